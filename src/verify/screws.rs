//! Screws from below: that they are bored as told, end short of the cutter, lie within the bed face, and hold.
//!
//! Strengths in pounds and inches by the same chapter of the USDA Wood Handbook as the inch tables print them
//! (ch. 8, from memory), worked out here on their own.

use super::*;
use crate::design::{Screws, Void, VoidKind};
use crate::geometry::Point;
use Relation::{AtLeast, AtMost, Equal};
use solid::edge_points;

const NEWTONS_PER_LBF: f64 = 0.453_592_37 * 9.806_65;
/// Least from a tip to the deepest cut.
const BELOW_CUT: Length = Length::inches(1, 8);
const BITE: Length = Length::inches(3, 8);
const SUNK: Length = Length::inches(1, 32);
const OVER_HEAD: Length = Length::inches(3, 16);
const STRIP_ASIDE: Length = Length::inches(1, 4);
const EDGE: Length = Length::inches(3, 8);
const SPAN: Length = Length::inches(12, 1);
/// Least of a head that bears beside its hole.
const BEARING: Length = Length::inches(1, 32);
/// Most that a hole is wider than its screw where nothing else keeps the blank in its place.
const LOOSE: Length = Length::inches(1, 64);
/// Of the load that fails a screw this share is used.
const SAFE: f64 = 1.0 / 6.0;
/// What a bridge's hold is asked beyond that of others.
const BRIDGE: f64 = 4.0 / 3.0;
/// Figures that two ways of working out round differently.
const ROUNDING: f64 = 1.0 + 1e-4;

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let bored = || case.design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let Some(screws) = &case.design.screws else {
        let holes = bored().filter(|void| void.kind.is_for_screw()).count();
        none_of(checks, Rule::ScrewPlaces, "holes for screws that are not told", holes);
        if case.design.hold == Hold::Screws && case.carried() && case.heights_known() {
            numbers(checks, Rule::ScrewPlaces, "screws", 0.0, AtLeast, 2.0, "");
        }
        return;
    };
    tips(case, screws, checks);
    heads(case, screws, checks);
    if case.design.gang.is_some() {
        let astray = |at: &&Point| !case.design.pockets.iter().any(|pocket| solid::inside(&pocket.outline, **at));
        none_of(checks, Rule::ScrewPlaces, "screws under no blank", screws.places.iter().filter(astray).count());
    }
    check_pocket(case, checks);
    let voids: Vec<&Void> = bored().collect();
    let missing = screws.places.iter().filter(|at| !is_bored(case, screws, &voids, **at)).count();
    none_of(checks, Rule::ScrewPlaces, "screws without their hole and countersink", missing);
}

/// What is asked of the screws of one blank: those under it.
pub(super) fn check_pocket(case: &Case, checks: &mut Vec<Check>) {
    let Some(screws) = &case.design.screws else { return };
    let own = Screws { places: under_blank(case, screws), ..screws.clone() };
    places(case, &own, checks);
    moving(case, &own, checks);
    strength(case, &own, checks);
}

/// Where the screws under the blank of this case are: in a gang those within its outline, else all.
pub(super) fn under_blank(case: &Case, screws: &Screws) -> Vec<Point> {
    let own = |at: &&Point| case.design.gang.is_none() || solid::inside(&case.design.blank.outline, **at);
    screws.places.iter().filter(own).copied().collect()
}

/// The holes let the blank move while the carrier is kept, and the heads still bear; where they are wide for that,
/// walls keep the blank in its place.
fn moving(case: &Case, screws: &Screws, checks: &mut Vec<Check>) {
    let side = (screws.head - screws.hole).half();
    lengths(checks, Rule::ScrewHead, "head beyond its hole, all round", side, AtLeast, BEARING);
    let blank = &case.request.blank;
    let share = |moves: Length, size: Length| moves.to_mm() / size.to_mm();
    let (long, wide) = (share(blank.moves.length, blank.length.nominal), share(blank.moves.width, blank.width.nominal));
    let (x, y) = match blank.shape {
        Shape::Rectangle if case.design.turned => (wide, long),
        Shape::Rectangle => (long, wide),
        _ => (long.max(wide), long.max(wide)),
    };
    let (x, y) = (x.max(blank.moves.sheet), y.max(blank.moves.sheet));
    let apart = |a: &Point, b: &Point| libm::hypot((a.x - b.x).to_mm() * x, (a.y - b.y).to_mm() * y);
    let each = |a: &Point| screws.places.iter().map(|b| apart(a, b)).fold(0.0, f64::max);
    let drift = screws.places.iter().map(each).fold(0.0, f64::max);
    if drift <= 0.0 {
        return;
    }
    let room = (screws.hole - screws.diameter).to_mm();
    numbers(checks, Rule::MovementFree, "room in the screws' holes", room, AtLeast, drift, "mm");
    if hold::slides(case) || matches!(case.design.blank.outline, Outline::Disc { .. }) {
        numbers(checks, Rule::MovementFree, "moves between its screws", drift, AtMost, LOOSE.to_mm(), "mm");
    }
}

fn tips(case: &Case, screws: &Screws, checks: &mut Vec<Check>) {
    let whole = case.request.machine.takes_whole_face() || case.through();
    none_of(checks, Rule::ScrewTip, "screws where the cutter takes all", usize::from(whole));
    // From the head in the bed face its whole length up.
    let tip = case.bed + screws.sunk + screws.length;
    let lowest = case.top - case.depth_below_top();
    let clear = case.request.screws.clear.max(BELOW_CUT);
    lengths(checks, Rule::ScrewTip, "tip below the deepest cut", lowest - tip, AtLeast, clear);
    lengths(checks, Rule::ScrewTip, "tip as printed", screws.tip, Equal, tip - case.bed);
    let bite = tip - case.design.blank.z0;
    lengths(checks, Rule::ScrewBite, "bite in the blank", bite, AtLeast, BITE);
    lengths(checks, Rule::ScrewBite, "bite as printed", screws.bite, Equal, bite);
    let size = case.request.screws.sizes.iter().find(|size| size.id == screws.size);
    let had = size.is_some_and(|size| {
        size.lengths.contains(&screws.length) && size.diameter == screws.diameter && size.head == screws.head
    });
    numbers(checks, Rule::ScrewBite, "such a screw is to be had", f64::from(u8::from(had)), AtLeast, 1.0, "");
}

fn heads(case: &Case, screws: &Screws, checks: &mut Vec<Check>) {
    lengths(checks, Rule::ScrewHead, "head within the bed face", screws.sunk, AtLeast, SUNK);
    lengths(checks, Rule::ScrewHead, "countersink over the head", screws.mouth - screws.head, AtLeast, Length::ZERO);
    let strip = case.request.machine.strip;
    let off = |at: &Point| at.y - screws.mouth.half() - case.plan.y0 - strip;
    if let Some(off) = screws.places.iter().map(off).min().filter(|_| strip > Length::ZERO) {
        lengths(checks, Rule::ScrewHead, "countersink beyond the reference strip", off, AtLeast, STRIP_ASIDE);
    }
    if let Some(over) = screws.places.iter().map(|at| wood_over(case, screws, *at)).min() {
        lengths(checks, Rule::ScrewHead, "wood over a head", over, AtLeast, OVER_HEAD);
    }
}

fn is_bored(case: &Case, screws: &Screws, voids: &[&Void], at: Point) -> bool {
    let there = |void: &&&Void| void.outline.bounds().centre() == at;
    let wide = |void: &Void| void.outline.bounds().length();
    let sunk = voids.iter().filter(there).any(|void| {
        void.kind == VoidKind::Countersink
            && void.z0 <= case.bed
            && void.z1 - case.bed == screws.countersink
            && wide(void) == screws.mouth
    });
    let through = voids
        .iter()
        .filter(there)
        .filter(|void| void.kind == VoidKind::ScrewHole && wide(void) == screws.hole && screws.hole > screws.diameter);
    let open: Length = through.map(|void| void.z1 - void.z0).sum();
    sunk && open >= case.design.blank.z0 - case.bed - screws.countersink
}

fn places(case: &Case, screws: &Screws, checks: &mut Vec<Check>) {
    let count = screws.places.len();
    numbers(checks, Rule::ScrewPlaces, "screws", count as f64, AtLeast, 2.0, "");
    let step = case.request.step();
    let on = |at: &&Point| !(at.x.is_multiple_of(step) && at.y.is_multiple_of(step));
    none_of(checks, Rule::ScrewPlaces, "screws off the ruler", screws.places.iter().filter(on).count());
    let distance = |a: &Point, b: &Point| libm::hypot((a.x - b.x).to_mm(), (a.y - b.y).to_mm());
    let ten = screws.diameter * 10;
    let mut apart = f64::INFINITY;
    for (place, a) in screws.places.iter().enumerate() {
        apart = screws.places[place + 1..].iter().map(|b| distance(a, b)).fold(apart, f64::min);
    }
    if apart.is_finite() {
        numbers(checks, Rule::ScrewPlaces, "from screw to screw", apart, AtLeast, ten.to_mm() / ROUNDING, "mm");
    }
    let (end, side) = (ten.max(EDGE), Length::from_ticks(screws.diameter.ticks() * 5 / 2).max(EDGE));
    let blank = case.blank;
    if let Outline::Rect(_) = case.design.blank.outline {
        // The smallest blank pushed home ends so much short of the nominal one.
        let (long, wide) = (case.along.measured.low(), case.across.measured.low());
        let (x1, y1) = (blank.x0 + long, blank.y0 + wide);
        let ends = screws.places.iter().map(|at| (at.x - blank.x0).min(x1 - at.x)).min().unwrap_or_default();
        let sides = screws.places.iter().map(|at| (at.y - blank.y0).min(y1 - at.y)).min().unwrap_or_default();
        let (grain, across) = if case.design.turned { (sides, ends) } else { (ends, sides) };
        lengths(checks, Rule::ScrewPlaces, "from the end of the blank's grain", grain, AtLeast, end);
        lengths(checks, Rule::ScrewPlaces, "from the side of the blank's grain", across, AtLeast, side);
        let ways: [fn(&Point) -> Length; 2] = [|at| at.x, |at| at.y];
        let way = ways[usize::from(blank.width() > blank.length())];
        let mut on: Vec<Length> = screws.places.iter().map(way).collect();
        on.sort_unstable();
        let gap = on.iter().zip(on.iter().skip(1)).map(|(a, b)| *b - *a).max().unwrap_or_default();
        lengths(checks, Rule::ScrewPlaces, "from one to the next along the blank", gap, AtMost, SPAN);
    } else {
        let edge = edge_points(&case.design.blank.outline);
        let off = screws.places.iter().flat_map(|at| edge.iter().map(move |point| distance(at, point)));
        let within = screws.places.iter().all(|at| solid::inside(&case.design.blank.outline, *at));
        let off = if within { off.fold(f64::INFINITY, f64::min) } else { 0.0 };
        numbers(checks, Rule::ScrewPlaces, "from the blank's edge", off, AtLeast, end.to_mm() / ROUNDING, "mm");
    }
}

/// Pull and push that one of them may take, lbf: the shop's own figures, or a sixth of the Handbook's.
pub(super) fn each_lbf(case: &Case, screws: &Screws) -> (f64, f64) {
    let choice = &case.request.screws;
    let g = choice.gravity;
    let (d, bite) = (screws.diameter.to_inches(), screws.bite.to_inches());
    let thread = (bite.min(screws.length.to_inches() / 1.5) - d).clamp(0.0, 7.0 * d);
    let k = if g < 0.29 {
        3360.0 * (g / 0.29) * (g / 0.29)
    } else if g < 0.48 {
        3360.0
    } else if g < 0.57 {
        4640.0
    } else {
        6400.0
    };
    let pull = SAFE * 15_700.0 * g * g * d * thread;
    let short = (thread / (4.0 * d)).min(1.0);
    let side = SAFE * k * d * d * (thread / (7.0 * d)) * short;
    let through = screws.places.iter().map(|at| head_lbf(case, screws, *at)).fold(f64::INFINITY, f64::min);
    (choice.pull_lbf.unwrap_or(pull.min(through)), choice.side_lbf.unwrap_or(side))
}

/// Pull at which a head may be trusted not to go through what is over it, lbf (National Design Specification for Wood
/// Construction 2018, 12.2.5, from memory, in its own pounds and inches), its rim less what a wide hole takes.
fn head_lbf(case: &Case, screws: &Screws, at: Point) -> f64 {
    let density = case.design.parts.iter().filter(|part| part.places.iter().any(|place| place.z0 <= case.bed));
    let density = density.map(|part| part.density).fold(f64::INFINITY, f64::min);
    let gravity = (density / 1120.0).min(0.42);
    let (head, over) = (screws.head.to_inches(), wood_over(case, screws, at).to_inches());
    let rim = (screws.head - screws.hole).to_mm() / (screws.head - screws.diameter).to_mm();
    690.0 * std::f64::consts::PI * head * gravity * gravity * over.clamp(0.0, 2.5 * head) * rim.clamp(0.0, 1.0)
}

/// The lowest wood over a head, holes of the screws themselves filled.
fn wood_over(case: &Case, screws: &Screws, at: Point) -> Length {
    let column = case.solids.column(at, &[VoidKind::ScrewHole, VoidKind::Countersink]);
    let lowest = column.iter().find(|(from, _)| *from <= case.bed);
    lowest.map_or(Length::ZERO, |(_, to)| (*to).min(case.design.blank.z0) - case.bed - screws.countersink)
}

fn strength(case: &Case, screws: &Screws, checks: &mut Vec<Check>) {
    let estimates = &case.request.shop.estimates;
    let (pull, side) = each_lbf(case, screws);
    // K is printed to four figures in either system.
    let printed = |newtons: f64| newtons / NEWTONS_PER_LBF;
    numbers(checks, Rule::LiftFactor, "pull of a screw as printed", printed(screws.pull), AtMost, pull * 1.002, "lbf");
    numbers(checks, Rule::SlideFactor, "push of a screw as printed", printed(screws.side), AtMost, side * 1.002, "lbf");
    let count = screws.places.len() as f64;
    let wanted = if case.design.bridge { BRIDGE } else { 1.0 };
    let lift = count * pull / estimates.lift_force_lbf;
    numbers(checks, Rule::LiftFactor, "screws against the lift (estimate)", lift, AtLeast, wanted, "times");
    if hold::slides(case) {
        let slide = count * side / estimates.side_force_lbf;
        numbers(checks, Rule::SlideFactor, "screws against the push (estimate)", slide, AtLeast, 1.0, "times");
    }
}
