//! Straight cleats at angles to the feed, and one pair of wedges off a cleat of its own: for outlines that
//! faces square to the feed do not hold.
//!
//! Three faces stand (two places on the fence rail count as two) and the wedge pushes the blank against
//! them; the four contacts balance in one way only, so all of them bear. Cleats are plain strips, glued
//! on the base along two marks.

use super::Setting;
use super::assemble::{Draft, finish, place_blank, plan_trace};
use super::bearings::{Bearing, CLEAR, END, Hold, WIDE, holds};
use super::cleat_nest::{BELOW_CUT, CleatNest, gap_reason, meet, wedge_wood};
use super::framed::{best_panel, frame_joints, layer_part, stock_part};
use super::layout::{self, Beside, Line, carve_rect};
use super::seat::ASIDE;
use super::set_out::{Edge, Edges, clear_of};
use super::stack::{self, Allowed, UpperLayer};
use super::stiff::Field;
use super::wedges::{DRIFT, Pair, RUN};
use crate::design::{
    Contact, Design, Extent, Grain, Joint, JointKind, Part, Place, Pocket, PocketKind, Role, turn_words,
};
use crate::geometry::path::{Mm, from_mm};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::Drawn;
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Clash, Conflict};

/// Lengths of cleats, in the order tried. Common practice, no source.
const LENGTHS: [Length; 3] = [Length::inches(4, 1), Length::inches(3, 1), Length::inches(5, 2)];
/// Most the rounding of the marks may leave open at a contact, mm: as thick as card.
const MOST_OPEN: f64 = 0.4;
/// Friction with which a wedge drags the blank along while it is driven: a high value for dry planed
/// wood on wood. From memory.
const DRAG: f64 = 0.4;
/// What the marks' rounding may add to the wedge's travel, as a share.
const RESERVE: f64 = 1.05;

/// Where everything stands, from the lead and fence sides of the blank's box.
struct Laid {
    hold: Hold,
    /// Edges of the stops, and the length of each.
    stops: Vec<Edge>,
    length: Length,
    /// The edge of the cleat behind the wedges.
    backing: Edge,
    pair: Pair,
    /// Whether the driven wedge goes the way from the first mark to the second.
    onwards: bool,
    /// Which bearing the wedge pushes at.
    wedge: usize,
    beside: (Beside, Beside),
    along: Line,
    across: Line,
    /// Whether driving drags the blank off a stop.
    dragged: bool,
}

/// The carrier, or why there is none.
///
/// # Errors
/// `None` where no set of straight faces holds the outline; else what stands in the way of the one that
/// comes nearest.
pub fn design(nest: &CleatNest, setting: &Setting<'_>, drawn: &Drawn) -> Result<Design, Option<Conflict>> {
    let mut nearest: Option<Conflict> = None;
    let mut edges = Edges::default();
    let mut keep = |conflict: Conflict| {
        if nearest.as_ref().is_none_or(|least| conflict.shortfall < least.shortfall) {
            nearest = Some(conflict);
        }
    };
    for hold in holds(setting, drawn) {
        let turned = setting.request.turned_by(hold.degrees);
        let mut at_turn = Setting::new(turned.as_ref().unwrap_or(setting.request), false, setting.hold);
        at_turn.upper_choice = setting.upper_choice;
        let mut found: Vec<Laid> = Vec::new();
        for wedge in hold.on_fence..hold.bearings.len() {
            for onwards in [true, false] {
                match lay_out(&at_turn, drawn, &mut edges, &hold, wedge, onwards) {
                    Ok(laid) => found.push(laid),
                    Err(conflict) => keep(conflict),
                }
            }
        }
        let area = |laid: &Laid| laid.along.total().to_mm() * laid.across.total().to_mm();
        found.sort_by(|a, b| a.dragged.cmp(&b.dragged).then(area(a).total_cmp(&area(b))));
        for laid in found {
            match built(nest, &at_turn, drawn, &laid) {
                Ok(design) => return Ok(design),
                Err(conflict) => keep(conflict),
            }
        }
    }
    Err(nearest)
}

fn short_of(rule: Rule, text: String, amount: Length) -> Conflict {
    Conflict { clashes: vec![Clash { rule, text, amount }], shortfall: amount }
}

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap_or_default()
}

/// The stops, then the longest wedges there is room for, then the carrier round all of it.
fn lay_out(
    setting: &Setting<'_>,
    drawn: &Drawn,
    edges: &mut Edges,
    hold: &Hold,
    wedge: usize,
    onwards: bool,
) -> Result<Laid, Conflict> {
    let step = setting.step();
    let mut last = None;
    for length in LENGTHS.map(|length| length.up(step)) {
        let Some(stops) = stops(edges, hold, wedge, length, step) else { continue };
        match with_stops(setting, drawn, edges, hold, (wedge, onwards), (&stops, length)) {
            Ok(laid) => return Ok(laid),
            Err(conflict) => last = Some(conflict),
        }
    }
    let text = || format!("no cleat {} long or longer finds two marks on the ruler", setting.say(LENGTHS[2].up(step)));
    Err(last.unwrap_or_else(|| short_of(Rule::CleatSetOut, text(), step)))
}

/// Edges of the stops.
fn stops(edges: &mut Edges, hold: &Hold, wedge: usize, length: Length, step: Length) -> Option<Vec<Edge>> {
    let standing = hold.bearings.iter().enumerate().filter(|(place, _)| *place >= hold.on_fence && *place != wedge);
    standing.map(|(_, bearing)| stop(edges, hold, bearing, length, step)).collect()
}

fn stop(edges: &mut Edges, hold: &Hold, bearing: &Bearing, length: Length, step: Length) -> Option<Edge> {
    let (along, at) = (bearing.along(), bearing.at);
    let half = length.to_mm() / 2.0;
    let from = (at.0 - along.0 * half, at.1 - along.1 * half);
    let to = half - END.to_mm();
    let edge = edges.edge(hold, bearing, [from, (at.0 + along.0 * to, at.1 + along.1 * to)], 0.0, step)?;
    let (bears, end) = (edge.bears(), (END + ASIDE).to_mm());
    let open = edge.gap + edge.off() <= MOST_OPEN;
    (open && bears >= end && bears <= length.to_mm() - end).then_some(edge)
}

/// A strip along an edge, beside the blank.
fn strip(edge: &Edge, length: Length, wide: Length) -> [Mm; 4] {
    let (long, wide) = (length.to_mm(), wide.to_mm());
    [edge.place(0.0, 0.0), edge.place(0.0, wide), edge.place(long, wide), edge.place(long, 0.0)]
}

/// A place in the wedges' own frame: along the face from the glued one's thick end, and off the blank.
fn on_pair(backing: &Edge, length: Length, onwards: bool, (u, v): (f64, f64)) -> Mm {
    let along = if onwards { length.to_mm() - u } else { u };
    backing.place(along, v - backing.gap)
}

fn with_stops(
    setting: &Setting<'_>,
    drawn: &Drawn,
    edges: &mut Edges,
    hold: &Hold,
    (wedge, onwards): (usize, bool),
    (stops, length): (&[Edge], Length),
) -> Result<Laid, Conflict> {
    let step = setting.step();
    let wide = WIDE.up(step);
    let tolerance = setting.request.shop.tolerance;
    let out = (drawn.error + tolerance).to_mm();
    let growth = setting.growth_along.max(setting.growth_across).to_mm();
    let Some((bearing, pushes)) = hold.bearings.get(wedge).zip(hold.pushes()) else {
        return Err(Conflict::plain(Rule::NestHeld, "the contacts leave it free to move"));
    };
    // What stands out by so much moves the wedge's contact by as much, by the ratio of their pushes.
    let own = pushes.get(wedge).copied().unwrap_or(1.0);
    let share = (4.0 / own).max(1.0) * RESERVE;
    let spread = mm(share * (out + growth / 2.0)) + step;
    let pairs = Pair::taking_up(setting, spread, mm(share * tolerance.to_mm()) + step);
    let mut last = pairs.is_empty().then(|| Pair::none(setting, drawn));
    for pair in pairs.iter().step_by(2) {
        let set = (pair.set + pair.back).to_mm();
        let (first, end) = (set + ASIDE.to_mm(), (pair.length - ASIDE).to_mm());
        let mark = ((pair.set + pair.length).to_mm() / 2.0).max(first).min(end);
        let start = if onwards { pair.length.to_mm() - mark } else { mark };
        let (along, push) = (bearing.along(), bearing.push);
        let gap = pair.gap().to_mm();
        let off = |t: f64| (bearing.at.0 + along.0 * t - push.0 * gap, bearing.at.1 + along.1 * t - push.1 * gap);
        let far = (pair.length - END).to_mm() - start;
        let Some(backing) = edges.edge(hold, bearing, [off(-start), off(far)], gap, step) else { continue };
        let bears = if onwards { pair.length.to_mm() - backing.bears() } else { backing.bears() };
        if backing.off() > MOST_OPEN || bears < first - step.to_mm() / 2.0 || bears > end + step.to_mm() / 2.0 {
            continue;
        }
        let held = as_set(hold, wedge, stops, &backing);
        let Some((held, strays)) = held.and_then(|held| Some((held.clone(), held.strays(wedge, out + growth / 2.0)?)))
        else {
            let text = format!("with contacts {} to either side of their marks it can move", setting.say(ASIDE));
            last = Some(Conflict::plain(Rule::NestHeld, text));
            continue;
        };
        // What the driven wedge sweeps when it is backed out for the largest blank, and the drift behind it.
        let run = RUN as f64;
        let set = pair.length.to_mm() - (backing.gap - 2.0 * pair.thin.to_mm()) * run;
        let own = held.pushes().and_then(|pushes| pushes.get(wedge).copied()).unwrap_or(1.0);
        let opens = 4.0 / own.max(f64::MIN_POSITIVE) * (out + growth / 2.0);
        let sweep = set + (pair.length + DRIFT).to_mm() + opens * run;
        let corners = [(0.0, 0.0), (sweep, 0.0), (sweep, backing.gap), (0.0, backing.gap)];
        let room = corners.map(|corner| on_pair(&backing, pair.length, onwards, corner));
        let strips: Vec<[Mm; 4]> =
            stops.iter().map(|edge| strip(edge, length, wide)).chain([strip(&backing, pair.length, wide)]).collect();
        let apart = CLEAR.to_mm();
        let crowded = strips.iter().enumerate().any(|(place, one)| {
            let others = strips.iter().skip(place + 1);
            others.clone().any(|other| !clear_of(one, other, apart))
                || place < stops.len() && !clear_of(one, &room, apart)
        });
        let all = || strips.iter().chain([&room]).flatten();
        let low = all().map(|p| p.1).fold(0.0, f64::min);
        if crowded || hold.on_fence > 0 && all().any(|p| p.1 < apart) {
            let text = format!(
                "cleats {} long and wedges {}: they stand in each other's way",
                setting.say(length),
                setting.say(pair.length)
            );
            last = Some(short_of(Rule::CleatRoom, text, mm(-low).max(CLEAR)));
            continue;
        }
        let most = |of: fn(&Mm) -> f64| all().map(of).fold(f64::NEG_INFINITY, f64::max);
        let least = |of: fn(&Mm) -> f64| all().map(of).fold(f64::INFINITY, f64::min);
        let around = |low: f64, high: f64, size: Length, strays: f64| {
            let own = strays + out + growth;
            Beside {
                near: (mm(own.max(-low)) + CLEAR).up(step),
                far: (mm(own.max(high - size.to_mm())) + CLEAR).up(step),
                strays: mm(strays),
            }
        };
        let along = around(least(|p| p.0), most(|p| p.0), setting.length.nominal, strays.0);
        let mut across = around(least(|p| p.1), most(|p| p.1), setting.width.nominal, strays.1);
        if hold.on_fence > 0 {
            across.near = Length::ZERO;
        }
        let lines =
            layout::along_cleated(setting, along).and_then(|line| Ok((line, layout::across_cleated(setting, across)?)));
        let (line_along, line_across) = match lines {
            Ok(lines) => lines,
            Err(conflict) => {
                last = Some(conflict);
                continue;
            }
        };
        let drag = if onwards { DRAG } else { -DRAG };
        let dragged = held.reactions(wedge, drag).iter().any(|push| *push < 0.0);
        return Ok(Laid {
            hold: held,
            stops: stops.to_vec(),
            length,
            backing,
            pair: *pair,
            onwards,
            wedge,
            beside: (along, across),
            along: line_along,
            across: line_across,
            dragged,
        });
    }
    let text = || "no wedge finds two marks on the ruler for the cleat behind it".to_owned();
    Err(last.unwrap_or_else(|| short_of(Rule::CleatSetOut, text(), step)))
}

/// The hold as the marks make it: `None` where it is no longer closed.
fn as_set(hold: &Hold, wedge: usize, stops: &[Edge], backing: &Edge) -> Option<Hold> {
    let mut held = hold.clone();
    let mut edges = stops.iter();
    for (place, bearing) in held.bearings.iter_mut().enumerate().skip(hold.on_fence) {
        let edge = if place == wedge { Some(backing) } else { edges.next() }?;
        *bearing = Bearing { at: edge.at, push: edge.push, ..*bearing };
    }
    held.is_closed().then_some(held)
}

/// Rails, bars, cleats and wedges on a base.
fn built(nest: &CleatNest, setting: &Setting<'_>, drawn: &Drawn, laid: &Laid) -> Result<Design, Conflict> {
    let Laid { along, across, .. } = laid;
    // What was worked out in closed form for many is confirmed by the programme for this one.
    let Some(margin) = laid.hold.margin() else {
        return Err(Conflict::plain(Rule::NestHeld, "the contacts leave it free to move"));
    };
    let layer = stack::upper_layer(setting, stack::flush_depth(setting), Allowed::Lower)?;
    let (length, width) = (along.total(), across.total());
    let (base, heights) = best_panel(setting, &Field::of(along, across, Some(layer.elasticity)), layer.height, false)?;
    let (depth_below_top, flute) = stack::cut_depth(setting, heights.top, heights.floor, false)?;
    let pocket = Rect::sized(along.near(), across.near(), along.pocket(), across.pocket());
    let corner = Point::new(pocket.x0 + laid.beside.0.near, pocket.y0 + laid.beside.1.near);
    let (zero, z) = (Length::ZERO, (heights.floor, heights.top));
    let mut parts = vec![
        stock_part("base", Role::Base, base, Rect::new(zero, zero, length, width), (zero, heights.floor)),
        layer_part("rail", Role::FenceRail, &layer, Rect::new(zero, zero, length, pocket.y0), z),
        layer_part("rail", Role::FarRail, &layer, Rect::new(zero, pocket.y1, length, width), z),
        layer_part("lead bar", Role::LeadEnd, &layer, Rect::new(zero, pocket.y0, pocket.x0, pocket.y1), z),
        layer_part("trail bar", Role::TrailEnd, &layer, Rect::new(pocket.x1, pocket.y0, length, pocket.y1), z),
    ];
    for part in parts.iter_mut().filter(|part| part.role != Role::Base && layer.planed) {
        part.remark = Some(format!("planed to {}", setting.say_depth(layer.height)));
    }
    let placed = place_blank(setting, corner.x, corner.y, heights.floor);
    let outlines = outlines(setting, laid, corner);
    // The cutter may pass over whatever the swept area reaches.
    let reach = carve_rect(setting, corner.x, corner.y).grown(setting.reach());
    let over = outlines.iter().flat_map(|(_, outlines)| outlines).any(|outline| meet(reach, outline.bounds()));
    let cut = if setting.request.machine.takes_whole_face() || over { depth_below_top + BELOW_CUT } else { zero };
    let (wood, height) = wedge_wood(setting, heights.depth() - cut)?;
    let low = (heights.floor, heights.floor + height);
    for (role, outlines) in outlines {
        parts.push(slanted(setting, laid, role, outlines, &wood, low));
    }
    let mut trace = plan_trace(setting, along, across);
    stack::trace_heights(setting, &heights, base, "rail-height", zero, &mut trace);
    trace.reasons.push(gap_reason("cleat-wedges", &laid.pair));
    // Of two ends that differ the one at the trail end is where the length can be taken off.
    let trail =
        trace.reasons.iter().find(|reason| reason.dimension == "trail-end").and_then(|reason| reason.decided_by);
    if let Some(whole) = trace.reasons.iter_mut().find(|reason| reason.dimension == "carrier.length") {
        (whole.decided_by, whole.runner_up) = (trail, None);
    }
    let mut joints = frame_joints(pocket, length, width, z.0, z.1);
    joints.extend(parts.iter().filter(|part| part.role.stands_at_angle()).flat_map(glued));
    let waived = [&along.waived[..], &across.waived, &heights.waived, &flute].concat();
    finish(
        setting,
        nest,
        Draft {
            contacts: contacts(setting, drawn, laid, corner),
            turn: laid.hold.degrees,
            variant: format!(
                "{} on {}, {}, cleats at angles, margin {:.2}",
                layer.material,
                base.name,
                turn_words(laid.hold.degrees),
                margin
            ),
            carrier: Extent { length, width, thickness: heights.top },
            blank: placed,
            pockets: vec![Pocket {
                outline: Outline::Rect(pocket),
                z0: heights.floor,
                z1: heights.top,
                kind: PocketKind::OnBase,
                relief: None,
            }],
            parts,
            joints,
            bridge: false,
            // Fed backwards, an outline is the wrong way round, however equal the ends.
            lopsided: true,
            pocket_cutter: None,
            waived,
            trace,
            depth_below_top,
            assembly: Assembly::Trimmed,
            wall: height,
            glued_edges: false,
        },
    )
}

/// Cleats, the cleat behind the wedges, and the glued and the driven wedge, in carrier coordinates.
fn outlines(setting: &Setting<'_>, laid: &Laid, corner: Point) -> Vec<(Role, Vec<Outline>)> {
    let place = |p: Mm| {
        let at = from_mm(p);
        Point::new(at.x + corner.x, at.y + corner.y)
    };
    let wide = WIDE.up(setting.step());
    let polygon = |ring: &[Mm]| Outline::Polygon(ring.iter().map(|p| place(*p)).collect());
    let stops = laid.stops.iter().map(|edge| polygon(&strip(edge, laid.length, wide))).collect();
    let backing = polygon(&strip(&laid.backing, laid.pair.length, wide));
    let shapes = laid.pair.outlines(Length::ZERO, mm(laid.backing.gap)).map(|points| {
        let on =
            |&(u, v): &(Length, Length)| on_pair(&laid.backing, laid.pair.length, laid.onwards, (u.to_mm(), v.to_mm()));
        let mut ring: Vec<Mm> = points.iter().map(on).collect();
        // Counter-clockwise, whichever way the frame runs.
        if !laid.onwards {
            ring.reverse();
        }
        polygon(&ring)
    });
    vec![(Role::Cleat, stops), (Role::BackingCleat, vec![backing]), (Role::CleatWedge, shapes.to_vec())]
}

fn slanted(
    setting: &Setting<'_>,
    laid: &Laid,
    role: Role,
    outlines: Vec<Outline>,
    wood: &UpperLayer,
    (z0, z1): (Length, Length),
) -> Part {
    let wide = WIDE.up(setting.step());
    let pair = &laid.pair;
    let (name, length, width) = match role {
        Role::Cleat => ("cleat", laid.length, wide),
        Role::BackingCleat => ("backing cleat", pair.length, wide),
        _ => ("wedge", pair.length, pair.thick()),
    };
    let slope = || format!("{} to {} thick, 1 in {RUN}", setting.say(pair.thin), setting.say(pair.thick()));
    Part {
        id: String::new(),
        name: name.to_owned(),
        role,
        material: wood.material.clone(),
        size: Extent { length, width, thickness: z1 - z0 },
        grain: if wood.sheet { Grain::None } else { Grain::AlongFeed },
        density: wood.density,
        layers: wood.layers,
        places: outlines.into_iter().map(|outline| Place { outline, z0, z1, voids: Vec::new() }).collect(),
        remark: (role == Role::CleatWedge).then(slope),
    }
}

/// Cleats and the first wedge are glued to the base.
fn glued(part: &Part) -> Vec<(Role, Option<Role>, Joint)> {
    let count = if part.role == Role::CleatWedge { 1 } else { part.places.len() };
    let kind = if part.role == Role::CleatWedge { JointKind::Glue } else { JointKind::GlueAndPegs };
    let joint = |place: &Place| Joint {
        between: (String::new(), String::new()),
        contact: place.outline.bounds(),
        z0: place.z0,
        z1: place.z0,
        kind,
    };
    part.places.iter().take(count).map(|place| (part.role, Some(Role::Base), joint(place))).collect()
}

/// The contacts in carrier coordinates: on the fence rail, on the stops, under the wedge.
fn contacts(setting: &Setting<'_>, drawn: &Drawn, laid: &Laid, corner: Point) -> Vec<Contact> {
    let hold = &laid.hold;
    let error = drawn.error.to_mm();
    let tolerance = setting.request.shop.tolerance.to_mm();
    let turns = hold.turns(laid.wedge, error + tolerance);
    let at = |p: Mm| {
        let at = from_mm(p);
        Point::new(at.x + corner.x, at.y + corner.y)
    };
    let rail = |bearing: &Bearing| Contact {
        at: at(bearing.at),
        part: Role::FenceRail,
        packed: drawn.error > Length::ZERO,
        marks: None,
    };
    let slanted = |edge: &Edge, bearing: &Bearing, part: Role| {
        let [from, to] = edge.marks;
        let long = libm::hypot((to.x - from.x).to_mm(), (to.y - from.y).to_mm()).max(1.0);
        let on = if part == Role::Cleat { edge.place(edge.bears(), 0.0) } else { edge.at };
        let moved = |mark: Point| Point::new(mark.x + corner.x, mark.y + corner.y);
        Contact {
            at: at(on),
            part,
            packed: bearing.flat || hold.elsewhere(bearing, error, turns + 2.0 * tolerance / long),
            marks: Some([moved(from), moved(to)]),
        }
    };
    let mut found: Vec<Contact> = hold.bearings.iter().take(hold.on_fence).map(rail).collect();
    let standing =
        hold.bearings.iter().enumerate().filter(|(place, _)| *place >= hold.on_fence && *place != laid.wedge);
    found.extend(standing.zip(&laid.stops).map(|((_, bearing), edge)| slanted(edge, bearing, Role::Cleat)));
    let wedge = hold.bearings.get(laid.wedge);
    found.extend(wedge.map(|bearing| slanted(&laid.backing, bearing, Role::CleatWedge)));
    found
}
