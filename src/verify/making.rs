//! Whether it can be made, safely, with what the shop owns, and cannot be fed wrong.

use super::*;
use crate::design::{Grain, Operation, Parent, Part, SawStep, VoidKind};
use crate::request::Tool;
use Relation::{AtLeast, AtMost, Equal};

/// Shortest piece that is ripped.
const RIP_LEAST: Length = Length::inches(12, 1);
/// What the held piece reaches beyond a crosscut.
const HELD_LEAST: Length = Length::inches(6, 1);
/// Coarsest reading of the blank's thickness from which a depth is set.
const CALIPER: Length = Length::inches(1, 64);

/// What is asked with or without a carrier.
pub(super) fn check_always(case: &Case, checks: &mut Vec<Check>) {
    for step in &case.design.cut_list.steps {
        let owned = tool_owned(case, step);
        numbers(checks, Rule::ToolOwned, &step_name(step), f64::from(u8::from(owned)), AtLeast, 1.0, "");
    }
}

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    grain(case, checks);
    saw_steps(case, checks);
    pieces(case, checks);
    // Nothing is cut before the thickness is measured.
    if case.heights_known() {
        parents(case, checks);
        trim_last(case, checks);
    }
    on_the_ruler(case, checks);
    thickness_known(case, checks);
    feed_marked(case, checks);
    stock(case, checks);
}

/// What is asked of every single pocket.
pub(super) fn check_pocket(case: &Case, checks: &mut Vec<Check>) {
    on_the_ruler(case, checks);
}

fn grain(case: &Case, checks: &mut Vec<Check>) {
    let glued_to_blank = |id: &str| {
        let joints = case.design.joints.iter().filter(|joint| joint.kind == JointKind::GluedButt);
        joints.map(|joint| &joint.between).any(|(a, b)| (a == "blank" && b == id) || (b == "blank" && a == id))
    };
    let wrong = |part: &&Part| {
        let along = match part.role {
            Role::FenceRail | Role::FarRail => true,
            // The blank's own grain runs with the feed unless it is loaded turned.
            Role::LeadEnd | Role::TrailEnd => !case.design.turned && glued_to_blank(&part.id),
            _ => false,
        };
        along && part.grain == Grain::AcrossFeed
    };
    none_of(
        checks,
        Rule::GrainAlongFeed,
        "parts with the grain across",
        case.design.parts.iter().filter(wrong).count(),
    );
}

fn step_name(step: &SawStep) -> String {
    let operation = match step.operation {
        Operation::Plane => "plane",
        Operation::Rip => "rip",
        Operation::Crosscut => "crosscut",
        Operation::TaperRip => "rip to a taper",
        Operation::BevelRip => "rip a bevel",
        Operation::SawRound => "saw round",
        Operation::Notch => "saw the notch",
        Operation::GlueUp => "glue up",
        Operation::Pocket => "sink the pocket",
        Operation::Bore => "bore",
        Operation::TrimRip => "last rip",
        Operation::TrimCrosscut => "last crosscut",
    };
    format!("{operation}: {}", step.piece)
}

/// Whether the shop owns the tool the step names, and the tool takes a piece of that section.
fn tool_owned(case: &Case, step: &SawStep) -> bool {
    let shop = &case.request.shop;
    let has = |tool: Tool| shop.tools.contains(&tool);
    let (width, thickness) = (step.before.width, step.before.thickness);
    let named = |word: &str| step.tool.contains(word);
    let saw = if named("table saw") {
        has(Tool::TableSaw) && thickness <= shop.saw_height
    } else if named("mitre saw") {
        has(Tool::MitreSaw) && width <= shop.mitre_width && thickness <= shop.mitre_height
    } else {
        named("band saw") && has(Tool::BandSaw)
    };
    match step.operation {
        // A mitre saw cannot rip.
        Operation::Rip | Operation::TaperRip | Operation::TrimRip => saw && !named("mitre saw"),
        Operation::BevelRip => {
            named("table saw") && has(Tool::TableSaw) && cradle::slant(case, step) <= shop.saw_height
        }
        Operation::Crosscut | Operation::TrimCrosscut => saw,
        Operation::Plane if named("sander") => has(Tool::DrumSander) && width <= shop.sander_widest,
        Operation::Plane => has(Tool::Planer) && width <= shop.planer_widest && step.setting >= shop.planer_thinnest,
        Operation::Pocket => has(Tool::Router) || has(Tool::Carver) || (has(Tool::DrillPress) && has(Tool::Chisel)),
        // A band saw's blade cannot get inside a board that stays whole all round.
        Operation::SawRound => {
            (named("jigsaw") && has(Tool::Jigsaw))
                || (named("band saw") && has(Tool::BandSaw) && !inside_cut(case, step))
        }
        Operation::Bore => has(Tool::DrillPress),
        Operation::Notch => has(Tool::BandSaw) || has(Tool::Jigsaw) || has(Tool::Chisel),
        Operation::GlueUp => true,
    }
}

/// Whether what is sawn out of a piece leaves it whole all round.
fn inside_cut(case: &Case, step: &SawStep) -> bool {
    let piece = case.design.parts.iter().filter(|part| part.id == step.piece);
    piece.flat_map(|part| &part.places).any(|place| {
        let wood = place.outline.bounds();
        let within = |void: &crate::design::Void| {
            let hole = void.outline.bounds();
            hole.x0 > wood.x0 && hole.x1 < wood.x1 && hole.y0 > wood.y0 && hole.y1 < wood.y1
        };
        place.voids.iter().any(|void| void.kind == VoidKind::Pocket && within(void))
    })
}

fn saw_steps(case: &Case, checks: &mut Vec<Check>) {
    let shop = &case.request.shop;
    for step in &case.design.cut_list.steps {
        let (name, before) = (step_name(step), step.before);
        match step.operation {
            Operation::Rip | Operation::TaperRip | Operation::BevelRip | Operation::TrimRip => {
                lengths(checks, Rule::RipSafe, &name, before.length, AtLeast, RIP_LEAST.max(before.width));
            }
            Operation::Crosscut | Operation::TrimCrosscut => {
                lengths(checks, Rule::CrosscutSafe, &name, held(case, step), AtLeast, HELD_LEAST);
            }
            Operation::Plane => {
                let sander = step.tool.to_lowercase().contains("sander");
                let least = if sander { shop.sander_shortest } else { shop.planer_shortest };
                lengths(checks, Rule::PlanerLength, &name, before.length, AtLeast, least);
            }
            Operation::SawRound | Operation::Notch | Operation::GlueUp | Operation::Pocket | Operation::Bore => {}
        }
    }
}

/// Length under the hands after the last of these crosscuts: what the step says, but no more than
/// the longer of the piece cut off and what remains.
fn held(case: &Case, step: &SawStep) -> Length {
    let kerf = case.request.shop.kerf;
    let parent = case.design.cut_list.parents.iter().find(|parent| parent.id == step.piece);
    // Each of the equal parents may have been ripped to several strips, which are crosscut one by one.
    let alike = parent.map_or(1, |parent| {
        let by_width = (parent.size.width + kerf).ticks() / (step.before.width + kerf).ticks().max(1);
        parent.count.saturating_mul(usize::try_from(by_width.clamp(1, 1000)).unwrap_or(1))
    });
    let cuts = step.times.div_ceil(alike.max(1));
    let each = step.setting + kerf;
    let cuts = i64::try_from(cuts).unwrap_or(i64::MAX).min(100_000);
    let remains = step.before.length - each * cuts;
    step.held.min(remains.max(step.setting))
}

/// Every piece comes out of the parents, and the parents are long enough to be held.
fn parents(case: &Case, checks: &mut Vec<Check>) {
    let cut_list = &case.design.cut_list;
    // Yields are those of all the equal parents together.
    for part in &case.design.parts {
        let yields = cut_list.parents.iter().flat_map(|parent| &parent.yields);
        let made: usize = yields.filter(|(id, _)| *id == part.id).fold(0, |sum, (_, n)| sum.saturating_add(*n));
        let count = part.places.len();
        let layered = count * usize::try_from(part.layers).unwrap_or(1).max(1);
        // Laminated parts may be counted by the layer.
        let wanted = if made == layered { layered } else { count };
        let subject = format!("pieces {} from the parents", part.id);
        numbers(checks, Rule::ParentPieces, &subject, made as f64, Equal, wanted as f64, "");
    }
    let packing = |parent: &&Parent| {
        let of = |id: &str| case.design.parts.iter().find(|part| part.id == id);
        parent
            .yields
            .iter()
            .all(|(id, _)| of(id).is_some_and(|part| matches!(part.role, Role::Packing | Role::Shim | Role::Keeper)))
    };
    // Card and veneer are cut with a knife, flat on the bench.
    for parent in cut_list.parents.iter().filter(|parent| !packing(parent)) {
        let (length, width) = parent_least(case, parent);
        lengths(checks, Rule::ParentPieces, &format!("length of {}", parent.id), parent.size.length, AtLeast, length);
        lengths(checks, Rule::ParentPieces, &format!("width of {}", parent.id), parent.size.width, AtLeast, width);
    }
}

/// Least length and width of a parent: ripped to strips of its widest piece first, the pieces of
/// each strip laid end to end with a kerf each and a hand-hold left over.
fn parent_least(case: &Case, parent: &Parent) -> (Length, Length) {
    let kerf = case.request.shop.kerf;
    let size_of = |id: &str| {
        let part = case.design.parts.iter().find(|part| part.id == id)?;
        let mut size = part.size;
        // A panel without grain is pulled with its longer side along the fence of the saw.
        if matches!(part.role, Role::Board | Role::Base | Role::Ring)
            && part.grain == Grain::None
            && size.width > size.length
        {
            std::mem::swap(&mut size.width, &mut size.length);
        }
        // Wedges come off the edge of a board one beside the other, as wide there as they are high.
        if part.role == Role::WedgeShim {
            size.width = size.thickness;
        }
        Some(size)
    };
    let mut pieces: Vec<Length> = Vec::new();
    let mut widest = Length::ZERO;
    for (id, count) in &parent.yields {
        if let Some(size) = size_of(id) {
            widest = widest.max(size.width);
            pieces.extend(std::iter::repeat_n(size.length, (*count).min(10_000)));
        }
    }
    let by_width = (parent.size.width + kerf).ticks() / (widest + kerf).ticks().max(1);
    let strips = usize::try_from(by_width.clamp(1, 1000)).unwrap_or(1) * parent.count.clamp(1, 1000);
    pieces.sort_unstable_by(|a, b| b.cmp(a));
    // More strips than pieces would stay empty.
    let strips = strips.min(pieces.len().max(1));
    let mut loads: Vec<(Length, usize)> = vec![(Length::ZERO, 0); strips];
    for length in pieces {
        if let Some(load) = loads.iter_mut().min_by_key(|load| load.0) {
            *load = (load.0 + length + kerf, load.1 + 1);
        }
    }
    let needed = |&(load, count): &(Length, usize)| match count {
        0 => Length::ZERO,
        // A single long piece needs no hand-hold: it is one.
        1 if load - kerf >= RIP_LEAST => load - kerf,
        _ => load + HELD_LEAST,
    };
    (loads.iter().map(needed).max().unwrap_or_default(), widest)
}

/// The cut list's sizes are those of the solids.
fn pieces(case: &Case, checks: &mut Vec<Check>) {
    for part in &case.design.parts {
        let mut off = Length::ZERO;
        for place in &part.places {
            let bounds = place.outline.bounds();
            let drawn = match part.grain {
                _ if part.role.stands_at_angle() => vec![slanted::lies(&place.outline)],
                Grain::AlongFeed => vec![(bounds.length(), bounds.width())],
                Grain::AcrossFeed => vec![(bounds.width(), bounds.length())],
                Grain::None => vec![(bounds.length(), bounds.width()), (bounds.width(), bounds.length())],
            };
            let apart = |&(length, width): &(Length, Length)| {
                (part.size.length - length).abs().max((part.size.width - width).abs())
            };
            let plan = if part.role == Role::CornerBlock {
                triangle_apart(case, part, &bounds)
            } else {
                drawn.iter().map(apart).min().unwrap_or_default()
            };
            // A tapered part is sawn from a rectangle that may be larger than itself.
            let from_larger = matches!(place.outline, Outline::Polygon(_))
                && !part.role.stands_at_angle()
                && drawn.iter().any(|&(length, width)| part.size.length >= length && part.size.width >= width);
            off = off.max(if from_larger { Length::ZERO } else { plan });
            // Shims are as thick as their map says, none thicker than listed.
            let apart = part.size.thickness - (place.z1 - place.z0);
            off = off.max(if part.role == Role::Shim { -apart } else { apart.abs() });
        }
        lengths(checks, Rule::Closure, &format!("piece {} as listed", part.id), off, Equal, Length::ZERO);
    }
}

/// A corner block is listed by its long side and its height over it, each rounded down to a mark.
fn triangle_apart(case: &Case, part: &Part, legs: &Rect) -> Length {
    let (a, b) = (legs.length().to_mm(), legs.width().to_mm());
    let long = libm::hypot(a, b);
    let sides = [(part.size.length, long), (part.size.width, a * b / long)];
    let apart = |(listed, drawn): (Length, f64)| match Length::from_mm(drawn) {
        Some(drawn) if listed <= drawn + Length::micrometres(1) && drawn - listed < case.request.step() => Length::ZERO,
        Some(drawn) => (drawn - listed).abs(),
        None => Length::INCH,
    };
    sides.into_iter().map(apart).max().unwrap_or_default()
}

fn trim_last(case: &Case, checks: &mut Vec<Check>) {
    let assembled = case.solids.0.iter().filter(|solid| solid.role != Role::Base).count();
    if assembled <= 1 {
        return;
    }
    let (length, width) = (case.plan.length(), case.plan.width());
    // Too short or too wide to be ripped: the far edge is crosscut.
    let crosscut = length < width || length < RIP_LEAST;
    let trimmed =
        case.design.cut_list.steps.iter().any(|step| {
            step.operation == Operation::TrimRip || (crosscut && step.operation == Operation::TrimCrosscut)
        });
    numbers(checks, Rule::TrimLast, "last rip", f64::from(u8::from(trimmed)), AtLeast, 1.0, "");
}

/// Sawn edges lie on the ruler; measured edges lie where they are.
fn on_the_ruler(case: &Case, checks: &mut Vec<Check>) {
    let (step, depth_step) = (case.request.step(), case.request.depth_step());
    let (plan, room) = (case.plan, case.room);
    let mut edges: Vec<Length> = Vec::new();
    let slips = case.slips();
    let axes = [
        (slips.0, case.along.own, plan.x0, plan.x1, room.x0, room.x1),
        (slips.1, case.across.own, plan.y0, plan.y1, room.y0, room.y1),
    ];
    for (slips, own, near, far, from, to) in axes {
        if own {
            continue;
        }
        edges.push(from - near);
        if slips {
            edges.push(far - near);
        }
        // The far sides of a nest lie where its outline ends.
        if slips && !matches!(case.pocket.map(|pocket| &pocket.outline), Some(Outline::Path(_))) {
            edges.push(to - near);
        }
    }
    let off = edges.iter().filter(|edge| !edge.is_multiple_of(step)).count();
    none_of(checks, Rule::RoundingDirection, "sawn edges off the ruler", off);

    let Some((pocket, thickness)) = case.pocket.zip(case.request.blank.thickness.as_ref()) else { return };
    let depth = pocket.z1 - pocket.z0;
    let as_stock = case.request.stock.iter().any(|stock| stock.total() == depth);
    let as_blank = depth == thickness.nominal + case.design.adhesive;
    let sawn = match pocket.kind {
        PocketKind::Blind => true,
        PocketKind::OnBase => !as_stock && !as_blank,
        PocketKind::Open => false,
    };
    if sawn {
        let off = usize::from(!depth.is_multiple_of(depth_step));
        none_of(checks, Rule::RoundingDirection, "depths off the depth ruler", off);
    }
}

fn thickness_known(case: &Case, checks: &mut Vec<Check>) {
    match &case.request.blank.thickness {
        None => numbers(checks, Rule::ThicknessKnown, "readings of the thickness", 0.0, AtLeast, 1.0, ""),
        Some(measured) => {
            let sure = measured.uncertainty.unwrap_or_default();
            lengths(checks, Rule::ThicknessKnown, "uncertainty of the thickness", sure, AtMost, CALIPER);
        }
    }
}

/// Fed backwards it is wrong by no more than the play, or it cannot look right backwards.
fn feed_marked(case: &Case, checks: &mut Vec<Check>) {
    if case.design.clip_corner {
        let voids = case.solids.0.iter().flat_map(|solid| &solid.voids);
        let elsewhere = |void: &&crate::design::Void| {
            let corner = void.outline.bounds();
            void.kind == VoidKind::ClippedCorner && !(corner.x0 <= case.plan.x0 && corner.y1 >= case.plan.y1)
        };
        none_of(
            checks,
            Rule::FeedMarked,
            "corners clipped elsewhere than at lead/far",
            voids.filter(elsewhere).count(),
        );
        return;
    }
    if case.design.gang.is_some() {
        // One pocket of several is not in the middle; all of them together are looked at as such.
        return;
    }
    let (plan, room, play) = (case.plan, case.room, case.play());
    // Glued edges have no play; there the usual clearance is as far as it may be off.
    let usual = case.request.shop.clearance * 2;
    let along = ((room.x0 - plan.x0) - (plan.x1 - room.x1)).abs();
    let across = ((room.y0 - plan.y0) - (plan.y1 - room.y1)).abs();
    lengths(checks, Rule::FeedMarked, "difference of the ends", along, AtMost, play.0.max(usual));
    lengths(checks, Rule::FeedMarked, "difference of the sides", across, AtMost, play.1.max(usual));
}

fn stock(case: &Case, checks: &mut Vec<Check>) {
    let request = case.request;
    let comes_from_stock = |part: &Part| {
        // A wedge is sawn off the edge of a board: its width in plan is the board's thickness.
        let thickness = if part.role == Role::WedgeShim { part.size.width } else { part.size.thickness };
        let layers = i64::from(part.layers.max(1));
        let sheet = request.stock.iter().any(|s| s.total() == thickness || s.thickness * layers == thickness);
        // Solid wood is planed to any thickness up to the thickest board.
        sheet || (part.grain != Grain::None && thickness <= request.board.thickness * layers)
    };
    // Packing is built up of card or veneer to whatever is needed.
    for part in case.design.parts.iter().filter(|part| !matches!(part.role, Role::Packing | Role::Shim | Role::Keeper))
    {
        let found = f64::from(u8::from(comes_from_stock(part)));
        numbers(checks, Rule::StockExists, &format!("stock for piece {}", part.id), found, AtLeast, 1.0, "");
    }
}
