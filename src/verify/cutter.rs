//! What the cutter reaches, what is left under it, and where no metal may be.

use super::*;
use crate::geometry::Point;
use crate::library::MachineKind;
use Relation::{AtLeast, AtMost};

/// Between the holder and whatever it passes, beside it and below it.
const HOLDER_AIR: Length = Length::inches(1, 16);
/// Least wood under a cut.
const FLOOR_LEAST: Length = Length::inches(3, 16);
/// Floor wanted under a pocket in sheet stock, and in softwood.
const FLOOR_SHEET: Length = Length::inches(1, 4);
const FLOOR_SOFTWOOD: Length = Length::inches(3, 8);
/// Least wood beyond a cut all round.
const BEYOND_PERIMETER: Length = Length::inches(1, 2);
/// Metal stays this far from the swept area, and this far below the deepest cut.
const METAL_ASIDE: Length = Length::inches(1, 4);
const METAL_BELOW: Length = Length::inches(1, 8);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    window(case, checks);
    if case.heights_known() {
        depths(case, checks);
        floors(case, checks);
    }
    if case.carried() {
        perimeter(case, checks);
        metal(case, checks);
    }
}

/// Whether every part of what is fed comes under the knives or the drum.
fn sweeps(case: &Case) -> bool {
    match case.request.machine.kind {
        MachineKind::Planer | MachineKind::DrumSander => true,
        MachineKind::Carver => false,
    }
}

/// How far the cutter's edge can reach beyond the carve area.
fn reach_past(case: &Case) -> Length {
    let carve = &case.request.carve;
    match carve.through {
        // The cutter runs outside the outline it cuts free.
        Through::AllRound => carve.cutter + carve.overrun,
        Through::No | Through::Inside => carve.cutter.half_up() + carve.overrun,
    }
}

fn window(case: &Case, checks: &mut Vec<Check>) {
    let (carve, machine) = (&case.request.carve, &case.request.machine);
    // Knives and drums stand across the whole bed: what fits in their width they reach.
    if sweeps(case) {
        return;
    }
    let past = carve.cutter.half_up() + carve.overrun;
    let area = if carve.stated { case.design.carve } else { case.blank };
    let (nearest, farthest) = (area.y0 - past, area.y1 + past);
    lengths(checks, Rule::CutterWindow, "cut nearest the fence", nearest, AtLeast, machine.window.min);
    lengths(checks, Rule::CutterWindow, "cut farthest from the fence", farthest, AtMost, machine.window.max);
}

fn depths(case: &Case, checks: &mut Vec<Check>) {
    let (design, machine, carve) = (case.design, &case.request.machine, &case.request.carve);
    let worked_out = case.top - case.tip();
    let depth = case.depth_below_top();
    lengths(checks, Rule::DepthReach, "deepest cut", depth, AtMost, machine.depth);
    lengths(checks, Rule::DepthReach, "deepest cut as printed", design.depth_below_top, AtLeast, worked_out);

    // A blank sunk below the rails leaves the holder room above it, as long as it keeps off the
    // walls; otherwise the wood beside the cut reaches up to the top plane.
    let sunk = design.blank.highest + Length::inches(1, 32) < case.top;
    let swept = design.swept;
    let aside = (swept.x0 - case.room.x0)
        .min(case.room.x1 - swept.x1)
        .min(swept.y0 - case.room.y0)
        .min(case.room.y1 - swept.y1);
    let wall_near = aside < machine.holder_radius + HOLDER_AIR;
    let beside = if sunk && !wall_near { design.blank.highest - case.tip() } else { depth };
    // Knives and drums have no holder that could rub.
    if machine.kind == MachineKind::Carver {
        lengths(checks, Rule::HolderClears, "cut beside a wall", beside, AtMost, machine.stick_out - HOLDER_AIR);
    }

    if let Some(flute) = carve.flute {
        let cut = if case.through() { (design.blank.z1 - case.tip()).max(carve.depth) } else { carve.depth };
        lengths(checks, Rule::FluteLength, "depth of cut", cut, AtMost, flute);
    }
}

fn floors(case: &Case, checks: &mut Vec<Check>) {
    let thickness = case.floor.map_or(Length::ZERO, |floor| floor.thickness);
    if case.blind() {
        let wanted = if in_softwood(case) { FLOOR_SOFTWOOD } else { FLOOR_SHEET };
        lengths(checks, Rule::PocketFloor, "floor", thickness, AtLeast, FLOOR_LEAST);
        lengths(checks, Rule::PocketFloorWanted, "floor", thickness, AtLeast, wanted);
    }
    if case.through() && sweeps(case) {
        none_of(checks, Rule::DepthReach, "through cuts by knives or drum", 1);
    } else if case.through() {
        // Without a floor the cutter meets the machine's bed.
        let left = thickness - case.request.carve.penetration;
        lengths(checks, Rule::FloorAfterCut, "floor under the through cut", left, AtLeast, FLOOR_LEAST);
    }
}

/// Whether the part under the blank is softwood: by the stock of that name, else by its own name.
fn in_softwood(case: &Case) -> bool {
    let centre = case.blank.centre();
    let under = |part: &&crate::design::Part| part.places.iter().any(|place| solid::inside(&place.outline, centre));
    let Some(part) = case.design.parts.iter().find(under) else { return false };
    let stock = case.request.stock.iter().chain([&case.request.board]);
    // The longest name that fits, so that a short one does not shadow it.
    let named = stock.filter(|stock| !stock.name.is_empty() && part.material.contains(&stock.name));
    match named.max_by_key(|stock| stock.name.len()) {
        Some(stock) => stock.kind == crate::library::MaterialKind::Softwood,
        None => part
            .material
            .to_lowercase()
            .split(|c: char| !c.is_alphanumeric())
            .any(|word| matches!(word, "softwood" | "pine" | "board")),
    }
}

fn perimeter(case: &Case, checks: &mut Vec<Check>) {
    if case.request.carve.through != Through::AllRound {
        return;
    }
    let (walls, past) = (case.walls, reach_past(case));
    // Where nothing stands beside the blank, its own waste keeps the cutter on the wood.
    let (carve, plan) = (case.design.carve, case.plan);
    let sides = [
        ("fence", walls.fence, carve.y0 - plan.y0),
        ("far", walls.far, plan.y1 - carve.y1),
        ("lead", walls.lead, carve.x0 - plan.x0),
        ("trail", walls.trail, plan.x1 - carve.x1),
    ];
    for (side, wall, waste) in sides {
        let wall = if wall > Length::ZERO { wall } else { waste };
        lengths(checks, Rule::PerimeterInside, &format!("{side} side"), wall - past, AtLeast, BEYOND_PERIMETER);
    }
}

fn metal(case: &Case, checks: &mut Vec<Check>) {
    let design = case.design;
    let swept = if sweeps(case) { case.plan } else { case.design.carve.grown(reach_past(case)) };
    let printed = [
        swept.x0 - design.swept.x0,
        swept.y0 - design.swept.y0,
        design.swept.x1 - swept.x1,
        design.swept.y1 - swept.y1,
    ];
    let short = printed.into_iter().min().unwrap_or_default().min(Length::ZERO);
    lengths(checks, Rule::MetalPlan, "swept area as printed", short, AtLeast, Length::ZERO);

    let Some(keep_out) = design.keep_out else {
        // Whatever is built must say where metal may not go.
        lengths(checks, Rule::MetalPlan, "keep-out", Length::ZERO, AtLeast, METAL_ASIDE);
        return;
    };
    let (area, plan) = (keep_out.area, case.plan);
    // Beyond the carrier's own edges there is nothing to keep metal out of.
    let sides = [
        (area.x0 <= plan.x0, swept.x0 - area.x0),
        (area.y0 <= plan.y0, swept.y0 - area.y0),
        (area.x1 >= plan.x1, area.x1 - swept.x1),
        (area.y1 >= plan.y1, area.y1 - swept.y1),
    ];
    let aside = sides.iter().filter(|(beyond, _)| !beyond).map(|&(_, aside)| aside).min().unwrap_or(METAL_ASIDE);
    lengths(checks, Rule::MetalPlan, "keep-out", aside, AtLeast, METAL_ASIDE);

    if case.heights_known() {
        let highest = (case.top - case.depth_below_top() - METAL_BELOW).max(case.bed);
        lengths(checks, Rule::MetalDepth, "keep-out", keep_out.above, AtMost, highest);
    }

    let strip = Rect::new(plan.x0, plan.y0, plan.x1, plan.y0 + case.request.machine.strip);
    let pinched = design.joints.iter().filter(|joint| joint.kind == JointKind::Pinched);
    let in_area = |contact: Rect, area: Rect| {
        let middle = Point::new((contact.x0 + contact.x1).half(), (contact.y0 + contact.y1).half());
        let apart = contact.x1 <= area.x0 || contact.x0 >= area.x1 || contact.y1 <= area.y0 || contact.y0 >= area.y1;
        !apart || (area.x0 < middle.x && middle.x < area.x1 && area.y0 < middle.y && middle.y < area.y1)
    };
    let (mut screws, mut struck, mut in_strip) = (0, 0, 0);
    for joint in pinched {
        screws += 1;
        struck += usize::from(in_area(joint.contact, area) && joint.z1 > keep_out.above);
        in_strip += usize::from(in_area(joint.contact, strip));
    }
    if screws > 0 {
        none_of(checks, Rule::MetalPlan, "end screws in the keep-out", struck);
        none_of(checks, Rule::MetalDepth, "end screws in the reference strip", in_strip);
    }
}
