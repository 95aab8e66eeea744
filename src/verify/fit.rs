//! The blank in its opening, and the walls round it.

use super::*;
use crate::design::VoidKind;
use crate::geometry::Point;
use crate::request::Hold;
use Relation::{AtLeast, AtMost, Equal};
use solid::{CONTACT, Solid, cell_centres, deep_inside, edge_points, inside, spans_at, strips};

/// Least rail on a base or in a solid board, and without a base or where rails carry the rollers alone.
const RAIL_BASED: Length = Length::inches(3, 4);
const RAIL_ALONE: Length = Length::inches(5, 4);
/// Least wall beyond a corner relief.
const WALL_LEAST: Length = Length::inches(1, 2);
/// Most play that is left to shims.
const PLAY_MOST: Length = Length::inches(1, 8);
/// Room a cutter needs beyond its diameter.
const CUTTER_ROOM: Length = Length::inches(1, 32);
/// Push-out holes: beyond the strip and clear of cuts by this, and no larger than that.
const HOLE_ASIDE: Length = Length::inches(1, 4);
const HOLE_MOST: Length = Length::INCH;
/// Most a blank without room may swell.
const SWELLS: Length = Length::inches(1, 64);
/// Roundings of placed shapes that are no error.
const SLIP: Length = Length::micrometres(1);

/// What holds with or without a carrier: shape, and that the blank drawn is the blank measured.
pub(super) fn check_always(case: &Case, checks: &mut Vec<Check>) {
    let suits = if case.carried() { shape_suits(case) } else { matches!(case.request.blank.shape, Shape::Rectangle) };
    numbers(checks, Rule::EdgesShaped, "outline", f64::from(u8::from(suits)), AtLeast, 1.0, "");
    inputs(case, checks);
    if !case.carried() {
        // Readings within their uncertainty of each other say nothing about taper.
        let width = case.across.measured;
        let taper = (width.spread() - width.uncertainty.unwrap_or_default() * 2).or_zero();
        let allowed = case.request.machine.guide_gap.min(Length::inches(1, 32));
        lengths(checks, Rule::ParallelEdges, "readings of the width", taper, AtMost, allowed);
    }
}

/// A blank without slip between walls that are tied to one another does not move, nor one that is glued to a floor.
fn movement(case: &Case, checks: &mut Vec<Check>) {
    let has = |roles: &[Role]| case.solids.0.iter().any(|solid| roles.contains(&solid.role));
    let ends = has(&[Role::LeadEnd, Role::TrailEnd]);
    let (walls, none) = (case.walls, Length::ZERO);
    let floored = has(&[Role::Base, Role::Board]) || (ends && walls.fence > none && walls.far > none);
    let own = &case.request.blank.moves;
    let moves = if case.design.turned { (own.width, own.length) } else { (own.length, own.width) };
    if case.design.hold == Hold::HotGlue && floored && case.request.blank.round().is_none() {
        for (subject, moves) in [("moves along, glued in", moves.0), ("moves across, glued in", moves.1)] {
            if moves > none {
                lengths(checks, Rule::MovementFree, subject, moves, AtMost, SWELLS);
            }
        }
        return;
    }
    let tied = ends;
    let sides = [
        ("along", case.along, moves.0, walls.lead > none && walls.trail > none),
        ("across", case.across, moves.1, walls.fence > none && walls.far > none),
    ];
    for (subject, axis, moves, both) in sides {
        if tied && both && axis.glued && moves > none {
            let subject = format!("moves {subject}, no room");
            lengths(checks, Rule::MovementFree, &subject, moves, AtMost, SWELLS);
        }
    }
}

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    movement(case, checks);
    openings(case, checks);
    interference(case, checks);
    rails(case, checks);
    reliefs(case, checks);
    push_out(case, checks);
}

/// The blank and the carve area as placed are those of the job.
fn inputs(case: &Case, checks: &mut Vec<Check>) {
    let mut same = |subject: &str, deviation: Length| {
        lengths(checks, Rule::InputsAgree, subject, deviation.abs(), AtMost, SLIP);
    };
    same("blank length as placed", case.blank.length() - case.along.measured.nominal);
    same("blank width as placed", case.blank.width() - case.across.measured.nominal);
    let blank = &case.design.blank;
    if let Some(thickness) = &case.request.blank.thickness {
        // A blank that is not flat is placed from its lowest underside to its highest top, one that
        // tapers from the foot of its shims.
        let rise = blank.underside.as_ref().map_or(Length::ZERO, |underside| match case.request.blank.slope {
            Some(_) => underside.least(),
            None => underside.greatest(),
        });
        same("blank thickness as placed", blank.z1 - blank.z0 - rise - thickness.nominal);
        same("relief as placed", blank.highest - blank.z1 - case.request.blank.relief_height);
    }
    let (carve, placed) = (&case.request.carve, case.design.carve);
    let found = [placed.x0 - case.blank.x0, placed.y0 - case.blank.y0, placed.length(), placed.width()];
    let expected = if case.design.turned {
        // A quarter turn either way.
        vec![
            [carve.margin_fence, carve.margin_trail, carve.width, carve.length],
            [carve.margin_far, carve.margin_lead, carve.width, carve.length],
        ]
    } else {
        vec![[carve.margin_lead, carve.margin_fence, carve.length, carve.width]]
    };
    let deviation =
        |expected: &[Length; 4]| expected.iter().zip(&found).map(|(&a, &b)| (a - b).abs()).max().unwrap_or_default();
    same("carve area as placed", expected.iter().map(deviation).min().unwrap_or_default());
}

fn shape_suits(case: &Case) -> bool {
    let opening = case.pocket.map(|pocket| &pocket.outline);
    match (&case.request.blank.shape, &case.design.blank.outline) {
        (Shape::Rectangle, Outline::Rect(_)) => matches!(opening, None | Some(Outline::Rect(_))),
        (Shape::Disc, Outline::Disc { .. }) => match opening {
            Some(Outline::Disc { .. }) => true,
            Some(Outline::Rect(rect)) => rect.length() == rect.width(),
            _ => false,
        },
        (Shape::Taper { .. }, outline @ Outline::Polygon(_)) => far_rail_follows(case, outline),
        // Whether it is the right path, and clear of the walls, is asked with the nests.
        // Whether it rests on its round is asked with the cradles.
        (Shape::Round(round), Outline::Rect(_)) => round.small().is_none() && matches!(opening, Some(Outline::Rect(_))),
        (Shape::Round(round), Outline::Polygon(_)) => {
            round.small().is_some() && matches!(opening, Some(Outline::Rect(_)))
        }
        (Shape::Outline(_), Outline::Path(_)) => match opening {
            Some(Outline::Rect(_)) => case.wedged(),
            opening => matches!(opening, Some(Outline::Path(_))),
        },
        _ => false,
    }
}

/// Whether the far rail's inner edge lies along the whole converging edge of the blank.
fn far_rail_follows(case: &Case, blank: &Outline) -> bool {
    let rails = || case.solids.0.iter().filter(|solid| solid.role == Role::FarRail);
    let ends = strips(std::iter::once(blank), case.blank.x0, case.blank.x1);
    let touches = |x: Length| {
        let edge = spans_at(blank, x).last().map(|span| span.1);
        let rail = rails().flat_map(|rail| spans_at(&rail.outline, x)).map(|span| span.0).min();
        edge.zip(rail).is_some_and(|(edge, rail)| (edge - rail).abs() <= CONTACT)
    };
    !ends.is_empty() && ends.iter().all(|strip| strip.places().into_iter().all(touches))
}

/// Fit, play and rounding-proof passage of the opening.
fn openings(case: &Case, checks: &mut Vec<Check>) {
    let Some(pocket) = case.pocket else { return };
    let shop = &case.request.shop;
    // The clearance covers the saw's tolerance where that is the larger.
    let slip = shop.clearance.max(shop.tolerance) * 2;
    // With keepers the blank goes in and out by hand all day.
    let slip = if case.design.hold == Hold::Keeper { slip.max(Length::inches(1, 8)) } else { slip };
    let play = case.play();
    let slips = case.slips();
    let axes = [
        ("length", slips.0, case.along, case.room.length(), play.0),
        ("width", slips.1, case.across, case.room.width(), play.1),
    ];
    for (subject, slips, axis, opening, play) in axes {
        if !slips {
            continue;
        }
        // Walls that are no straight lines are asked point by point elsewhere, roundings allowed for.
        let curved = matches!(pocket.outline, Outline::Path(_));
        let rounding = if curved { Length::micrometres(15) } else { Length::ZERO };
        lengths(checks, Rule::Fit, subject, opening + rounding - axis.largest(), AtLeast, slip);
        // Across, a round lies in the middle of its cradle, and no wall holds it.
        let cradled = subject == "width" && case.request.blank.round().is_some();
        if !matches!(case.design.hold, Hold::Wedge | Hold::Keeper) && !cradled {
            lengths(checks, Rule::Play, subject, play, AtMost, PLAY_MOST);
        }
    }
    if let Some(cutter) = case.design.pocket_cutter {
        let narrowest = pocket.outline.bounds().length().min(pocket.outline.bounds().width());
        lengths(checks, Rule::CutterEnters, "narrowest passage", narrowest, AtLeast, cutter + CUTTER_ROOM);
    }
}

/// The largest blank, against the datum walls.
fn largest_blank(case: &Case) -> Outline {
    let (length, width) = (case.along.largest(), case.across.largest());
    match (&case.design.blank.outline, case.pocket.map(|pocket| &pocket.outline)) {
        (Outline::Rect(placed), pocket) => {
            // Against the walls of a pocket, else where it is drawn.
            let datum = if pocket.is_some() { case.room } else { *placed };
            Outline::Rect(Rect::sized(datum.x0, datum.y0, length, width))
        }
        (Outline::Disc { .. }, Some(Outline::Disc { centre, .. })) => {
            Outline::Disc { centre: *centre, diameter: length }
        }
        (Outline::Disc { .. }, _) => {
            let centre = Point::new(case.room.x0 + length.half_up(), case.room.y0 + length.half_up());
            Outline::Disc { centre, diameter: length }
        }
        (Outline::Polygon(points), _) => Outline::Polygon(points.clone()),
        (Outline::Path(_), _) => case.outline.clone(),
    }
}

/// No part stands where the largest blank lies, and no two parts stand in one place.
fn interference(case: &Case, checks: &mut Vec<Check>) {
    let blank = &case.design.blank;
    let outline = largest_blank(case);
    let blocks = |solid: &Solid, at: Point| {
        let (low, high) = (solid.z0.max(blank.z0), solid.z1.min(blank.z1));
        let cut = |void: &crate::design::Void| void.z0 <= low && void.z1 >= high && inside(&void.outline, at);
        low < high && deep_inside(&solid.outline, at) && !solid.voids.iter().any(cut)
    };
    let mut places = cell_centres(case.solids.outlines().chain([&outline]), outline.bounds());
    places.retain(|&at| inside(&outline, at));
    places.extend(edge_points(&outline));
    let met = places.iter().filter(|&&at| case.solids.0.iter().any(|solid| blocks(solid, at))).count();
    none_of(checks, Rule::Fit, "places where the largest blank meets wood", met);

    if let (Outline::Disc { centre, diameter }, Some(Outline::Disc { centre: hole, diameter: opening })) =
        (&blank.outline, case.pocket.map(|pocket| &pocket.outline))
    {
        let off = libm::hypot((centre.x - hole.x).to_mm(), (centre.y - hole.y).to_mm());
        let room = (*opening - *diameter).to_mm() / 2.0;
        numbers(checks, Rule::Closure, "round off the centre of its hole", off, AtMost, room + CONTACT.to_mm(), "mm");
    }

    let mut overlaps = 0;
    for (index, one) in case.solids.0.iter().enumerate() {
        for other in case.solids.0.iter().skip(index + 1) {
            let (low, high) = (one.z0.max(other.z0), one.z1.min(other.z1));
            if low >= high || !one.outline.bounds().meets(&other.outline.bounds()) {
                continue;
            }
            let cut = |at: Point| {
                let voids = one.voids.iter().chain(&other.voids);
                voids.into_iter().any(|v| v.z0 <= low && v.z1 >= high && inside(&v.outline, at))
            };
            let outlines = [&one.outline, &other.outline].into_iter();
            let both = |at: &Point| deep_inside(&one.outline, *at) && deep_inside(&other.outline, *at) && !cut(*at);
            overlaps += usize::from(cell_centres(outlines, one.outline.bounds()).iter().any(both));
        }
    }
    none_of(checks, Rule::Closure, "parts in one another's place", overlaps);
}

fn rails(case: &Case, checks: &mut Vec<Check>) {
    let (plan, blank, walls) = (case.plan, case.blank, case.walls);
    let based = case.floor.is_some();
    // Beside a gap for wedges the rails alone carry the rollers, and take the push.
    let alone = case.design.bridge || !based || case.wedged();
    let least = if alone { RAIL_ALONE } else { RAIL_BASED };
    let (has_fence, has_far) = (blank.y0 > plan.y0, blank.y1 < plan.y1);
    let own = |role: Role, wall: Length| {
        let rails = case.solids.0.iter().filter(|solid| solid.role == role);
        rails.map(narrowest).min().map_or(wall, |rail| rail.min(wall))
    };
    // A single rail spliced along the fence edge of a full-width blank is as wide as the strip needs.
    let spliced = !based && has_fence && !has_far;
    if has_fence && !spliced {
        lengths(checks, Rule::RailWidth, "fence side", own(Role::FenceRail, walls.fence), AtLeast, least);
    }
    if has_far {
        lengths(checks, Rule::RailWidth, "far side", own(Role::FarRail, walls.far), AtLeast, least);
    }
    // Beside a tapered blank the end and the sloping rail together are the wall.
    let tapered = matches!(case.design.blank.outline, Outline::Polygon(_));
    let (lead, trail) = if tapered { (blank.x0 - plan.x0, plan.x1 - blank.x1) } else { (walls.lead, walls.trail) };
    if blank.x0 > plan.x0 {
        lengths(checks, Rule::RailWidth, "lead end", lead, AtLeast, RAIL_BASED);
    }
    if blank.x1 < plan.x1 {
        lengths(checks, Rule::RailWidth, "trail end", trail, AtLeast, RAIL_BASED);
    }
    if case.design.joints.iter().any(|joint| joint.kind == JointKind::Pinched) {
        let stiff = pinched_least(case);
        for (side, role, wall) in [("fence", Role::FenceRail, walls.fence), ("far", Role::FarRail, walls.far)] {
            if wall > Length::ZERO {
                lengths(checks, Rule::RailWidth, &format!("{side} rail, bending"), own(role, wall), AtLeast, stiff);
            }
        }
    }
    if !based && has_fence && case.request.machine.strip > Length::ZERO {
        let rail = own(Role::FenceRail, walls.fence);
        lengths(checks, Rule::FenceRail, "fence rail", rail, AtLeast, case.request.machine.strip);
    }
}

/// Narrowest place of a part across the feed.
fn narrowest(solid: &Solid) -> Length {
    let bounds = solid.outline.bounds();
    let strips = strips(std::iter::once(&solid.outline), bounds.x0, bounds.x1);
    let places = strips.iter().flat_map(|strip| strip.places());
    places.map(|x| spans_at(&solid.outline, x).iter().map(|s| s.1 - s.0).sum()).min().unwrap_or_default()
}

/// Width of a rail held only at its ends that the far guide bows by no more than it may: a beam
/// with the guide's force shared along it, `A^3 = F l^3 / (4 E R d)` (bending of beams after the
/// USDA Wood Handbook, ch. 9).
fn pinched_least(case: &Case) -> Length {
    let loads = &case.request.shop.estimates.loads;
    let span = case.room.length().to_inches();
    let rail = case.solids.0.iter().filter(|solid| matches!(solid.role, Role::FenceRail | Role::FarRail));
    let height = rail.map(|solid| solid.z1 - solid.z0).min().unwrap_or(case.top - case.bed).to_inches();
    let force = case.request.shop.estimates.guide_force_lbf;
    let width = libm::cbrt(
        force * span * span * span / (4.0 * loads.rail_elasticity_psi * height * loads.most_give.to_inches()),
    );
    // A rail without height is never stiff enough.
    Length::from_mm(width * 25.4).unwrap_or(Length::INCH * 10_000)
}

/// The inside corners of a pocket, and what is left beyond their relief.
fn reliefs(case: &Case, checks: &mut Vec<Check>) {
    let all = || case.solids.0.iter().flat_map(|solid| &solid.voids);
    let voids = || all().filter(|void| void.kind == VoidKind::Relief);
    let bites = || all().filter(|void| matches!(void.kind, VoidKind::Relief | VoidKind::FingerGap));
    let plan = case.plan;
    let beyond = |void: &crate::design::Void| {
        let relief = void.outline.bounds();
        (relief.x0 - plan.x0).min(plan.x1 - relief.x1).min(relief.y0 - plan.y0).min(plan.y1 - relief.y1)
    };
    if let Some(wall) = bites().map(beyond).min() {
        lengths(checks, Rule::WallAfterRelief, "wall beyond the relief", wall, AtLeast, WALL_LEAST);
    }

    let relieved = case.pocket.filter(|pocket| pocket.relief.is_some()).map(|p| (p, case.request.shop.pocket_cutter));
    let Some((pocket, cutter)) = case.routed().or(relieved) else { return };
    let Outline::Rect(room) = pocket.outline else { return };
    let radius = cutter.half_up();
    if case.request.blank.corner_radius >= radius {
        // The blank's own corners are rounder than the cutter's.
        none_of(checks, Rule::CornerRelief, "corners the blank rides up on", 0);
        return;
    }
    let slack = ((room.length() - case.along.largest()).or_zero(), (room.width() - case.across.largest()).or_zero());
    let zero = Length::ZERO;
    let corners = [
        (Point::new(room.x0, room.y0), (1, 1), (zero, zero)),
        (Point::new(room.x1, room.y0), (-1, 1), (slack.0, zero)),
        (Point::new(room.x1, room.y1), (-1, -1), slack),
        (Point::new(room.x0, room.y1), (1, -1), (zero, slack.1)),
    ];
    let rides = corners.iter().filter(|&&(corner, (right, up), (cx, cy))| {
        let (dx, dy) = ((radius - cx).or_zero().to_mm(), (radius - cy).or_zero().to_mm());
        if dx * dx + dy * dy <= radius.to_mm() * radius.to_mm() {
            return false;
        }
        // The relief takes the corner and both walls as far as the cutter's round reaches.
        let (x, y) = (corner.x + radius * right, corner.y + radius * up);
        let round = [corner, Point::new(x, corner.y), Point::new(corner.x, y)];
        let takes = |void: &&crate::design::Void| {
            void.z0 <= pocket.z0 && void.z1 >= pocket.z1 && round.iter().all(|&at| nearly_inside(&void.outline, at))
        };
        !voids().any(|void| takes(&void))
    });
    none_of(checks, Rule::CornerRelief, "corners the blank rides up on", rides.count());
}

/// Whether a point lies in an outline or within [`CONTACT`] of it.
fn nearly_inside(outline: &Outline, at: Point) -> bool {
    match outline {
        Outline::Disc { centre, diameter } => {
            inside(&Outline::Disc { centre: *centre, diameter: *diameter + CONTACT * 2 }, at)
        }
        Outline::Rect(rect) => inside(&Outline::Rect(rect.grown(CONTACT)), at),
        Outline::Polygon(_) | Outline::Path(_) => inside(outline, at),
    }
}

fn push_out(case: &Case, checks: &mut Vec<Check>) {
    let holes = case.solids.0.iter().flat_map(|solid| &solid.voids).filter(|void| void.kind == VoidKind::PushOut);
    for hole in holes {
        let bounds = hole.outline.bounds();
        let strip = case.plan.y0 + case.request.machine.strip;
        lengths(checks, Rule::PushOutHole, "beyond the strip", bounds.y0 - strip, AtLeast, HOLE_ASIDE);
        lengths(checks, Rule::PushOutHole, "diameter", bounds.length().max(bounds.width()), AtMost, HOLE_MOST);
        if case.through() {
            let cut = case.design.swept.grown(HOLE_ASIDE);
            let apart = bounds.x1 <= cut.x0 || bounds.x0 >= cut.x1 || bounds.y1 <= cut.y0 || bounds.y0 >= cut.y1;
            none_of(checks, Rule::PushOutHole, "under a through cut", usize::from(!apart));
        }
    }
    let on_strips = case.design.parts.iter().any(|part| part.role == Role::CradleStrip);
    if case.heights_known() && !on_strips {
        let level = case.floor.map_or(case.bed, |floor| floor.level);
        let gap = case.design.blank.z0 - level;
        lengths(checks, Rule::AdhesiveCounted, "under the blank", gap, Equal, case.design.adhesive);
        if let Some(stated) = case.request.hold_thickness.filter(|_| case.design.hold.bonds_underside()) {
            lengths(checks, Rule::AdhesiveCounted, "adhesive as stated", case.design.adhesive, Equal, stated);
        }
    }
}
