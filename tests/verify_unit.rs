//! The independent verification, held against carriers worked by hand.
//!
//! Every figure below is worked in a comment from common workshop practice (no published source)
//! and plain geometry; nothing is computed with the code under test. For each rule one property or
//! one dimension is moved by one ruler step past its limit, and exactly that rule must complain.

mod verify_carriers;

use std::collections::BTreeSet;

use sledwright::design::*;
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::{Length, Measured, Ruler, Unit};
use sledwright::library::MaterialKind;
use sledwright::request::*;
use sledwright::rules::Rule;
use sledwright::verify::verify;

use verify_carriers::*;

/// Rules that complain.
fn complaints(request: &Request, design: &Design) -> BTreeSet<Rule> {
    let checks = verify(request, design);
    checks.iter().filter(|check| check.status != Status::Pass).map(|check| check.rule).collect()
}

#[track_caller]
fn passes(request: &Request, design: &Design) {
    let bad: Vec<Check> = verify(request, design).into_iter().filter(|check| check.status != Status::Pass).collect();
    assert!(bad.is_empty(), "{bad:#?}");
}

#[track_caller]
fn only(request: &Request, design: &Design, rules: &[Rule]) {
    assert_eq!(complaints(request, design), rules.iter().copied().collect::<BTreeSet<_>>());
}

/// The plaque with one thing of the request at its limit (must pass) and one step past it.
#[track_caller]
fn plaque_limit(rule: Rule, at_limit: impl Fn(&mut Request), past: impl Fn(&mut Request)) {
    let (mut request, sizes) = plaque();
    at_limit(&mut request);
    passes(&request, &blind(&request, &sizes));
    past(&mut request);
    only(&request, &blind(&request, &sizes), &[rule]);
}

/// The plaque with other sizes, and the rules that must complain.
#[track_caller]
fn plaque_sized(change: impl Fn(&mut Request, &mut Blind), rules: &[Rule]) {
    let (mut request, mut sizes) = plaque();
    change(&mut request, &mut sizes);
    only(&request, &blind(&request, &sizes), rules);
}

/// The plaque's finished design with something changed, and the rules that must complain.
#[track_caller]
fn plaque_changed(change: impl Fn(&mut Design), rules: &[Rule]) {
    let (request, sizes) = plaque();
    let mut design = blind(&request, &sizes);
    change(&mut design);
    only(&request, &design, rules);
}

/// The carrier for the part cut free, changed.
#[track_caller]
fn cut_free_changed(change: impl Fn(&mut Request, &mut Rails), rules: &[Rule]) {
    let (mut request, mut sizes) = cut_free();
    change(&mut request, &mut sizes);
    only(&request, &rails(&request, &sizes), rules);
}

#[test]
fn worked_carriers_pass() {
    let (request, sizes) = plaque();
    let design = blind(&request, &sizes);
    // The hand-worked overall size.
    assert_eq!(design.carrier, extent(at(17, 1, 16), at(7, 9, 16), inch(1)));
    passes(&request, &design);
    let (request, sizes) = cut_free();
    let design = rails(&request, &sizes);
    assert_eq!(design.carrier, extent(at(18, 9, 16), at(6, 13, 16), at(1, 23, 64)));
    assert_eq!(design.depth_below_top, q(59));
    passes(&request, &design);
    let extended = self::request(inch(12), inch(10), at(0, 3, 4));
    passes(&extended, &extensions(&extended, at(1, 1, 4)));
    let (request, design) = taper();
    passes(&request, &design);
    let (request, design) = riser();
    passes(&request, &design);
    let (request, design) = none_needed();
    passes(&request, &design);
}

#[test]
fn machine_limits() {
    let past = STEP;
    // 17-1/16 less the guard 1/8, and with it.
    plaque_limit(Rule::LengthMin, |r| r.machine.length.min = at(16, 15, 16), |r| r.machine.length.min += past);
    plaque_limit(Rule::LengthMax, |r| r.machine.length.max = at(17, 3, 16), |r| r.machine.length.max -= past);
    plaque_limit(Rule::WidthMin, |r| r.machine.width.min = at(7, 1, 2), |r| r.machine.width.min += past);
    plaque_limit(Rule::WidthMax, |r| r.machine.width.max = at(7, 5, 8), |r| r.machine.width.max -= past);
    plaque_limit(Rule::ThicknessMin, |r| r.machine.thickness.min = inch(1), |r| r.machine.thickness.min += past);
    plaque_limit(Rule::ThicknessMax, |r| r.machine.thickness.max = at(1, 1, 16), |r| r.machine.thickness.max -= past);
    // A guard smaller than two sawn edges at 1/64 does not count: 7-9/16 - 1/32.
    let at_limit = |r: &mut Request| {
        r.machine.width_guard = ZERO;
        r.machine.width.min = at(7, 17, 32);
    };
    let (mut request, sizes) = plaque();
    at_limit(&mut request);
    passes(&request, &blind(&request, &sizes));
    request.machine.width.min += q(1);
    only(&request, &blind(&request, &sizes), &[Rule::WidthMin, Rule::StackUp]);
}

#[test]
fn end_allowances() {
    // Lead: 3-3/4 drawn less 2 x 1/64 misses 3-1/4 + 1/2; the trail end has 1/32 of pocket in hand.
    let grip = |r: &mut Request| r.machine.grip_wanted = at(0, 1, 4);
    let ends = |lead, trail| move |r: &mut Request, s: &mut Blind| (grip(r), s.ends = (lead, trail)).1;
    plaque_sized(ends(at(3, 25, 32), at(3, 3, 4)), &[]);
    plaque_sized(ends(at(3, 3, 4), at(3, 3, 4)), &[Rule::LeadEndAllowance]);
    plaque_sized(ends(at(3, 25, 32), at(3, 23, 32)), &[Rule::TrailEndAllowance]);
    plaque_sized(|_, s| s.ends = (at(3, 31, 32), at(3, 31, 32)), &[Rule::GripWanted]);
    // A part cut free needs the cutter's radius more: 4 - 1/32 at the lead end is enough for
    // 3-13/32 + 1/2 + 1/16, not for 1/32 more; the trail end has 1/32 in hand.
    let roller = |a: Length| {
        move |r: &mut Request, _: &mut Rails| {
            (r.machine.cutter_to_roller, r.machine.grip_wanted) = (a, at(0, 1, 2));
        }
    };
    cut_free_changed(roller(at(3, 13, 32)), &[]);
    cut_free_changed(roller(at(3, 7, 16)), &[Rule::LeadEndAllowance]);
    let (mut request, design) = none_needed();
    request.machine.grip_wanted = request.machine.grip_least;
    // 3-3/4 + 3/16 = 3-15/16 of margin is just enough for both rollers.
    request.machine.cutter_to_roller = at(4, 5, 16);
    passes(&request, &design);
    request.machine.cutter_to_roller += q(1);
    only(&request, &design, &[Rule::LeadEndAllowance, Rule::TrailEndAllowance, Rule::GripWanted]);
}

#[test]
fn cutter_travel() {
    // Nearest the fence 3/4 - 1/8 - 1/16 = 9/16; farthest 6-3/4 + 3/16 = 6-15/16.
    plaque_limit(Rule::CutterWindow, |r| r.machine.window.min = at(0, 9, 16), |r| r.machine.window.min += STEP);
    plaque_limit(Rule::CutterWindow, |r| r.machine.window.max = at(6, 15, 16), |r| r.machine.window.max -= STEP);
    plaque_limit(Rule::DepthReach, |r| r.machine.depth = at(0, 1, 4), |r| r.machine.depth -= DEPTH_STEP);
    plaque_limit(Rule::HolderClears, |r| r.machine.stick_out = at(0, 5, 16), |r| r.machine.stick_out -= DEPTH_STEP);
    plaque_limit(Rule::FluteLength, |r| r.carve.flute = Some(q(16)), |r| r.carve.flute = Some(q(15)));
    plaque_changed(|d| d.depth_below_top -= DEPTH_STEP, &[Rule::DepthReach]);
    // The through cut goes 59/64 deep.
    cut_free_changed(|r, _| r.machine.depth = q(59), &[]);
    cut_free_changed(|r, _| r.machine.depth = q(58), &[Rule::DepthReach]);
}

#[test]
fn floors() {
    // 1/64 in of 129.04 sq in at 750 kg/m3 is 0.0248 kg.
    let board = |r: &mut Request, s: &mut Blind, thickness: Length, mass: f64| {
        r.stock.push(stock("MDF", MaterialKind::Mdf, thickness));
        (s.board, s.mass) = (thickness, mass);
    };
    plaque_sized(|r, s| board(r, s, q(63), 1.517), &[Rule::PocketFloorWanted]);
    plaque_sized(|r, s| board(r, s, q(60), 1.443), &[Rule::PocketFloorWanted]);
    plaque_sized(|r, s| board(r, s, q(59), 1.418), &[Rule::PocketFloorWanted, Rule::PocketFloor]);
    // Softwood wants 3/8.
    plaque_sized(|r, _| r.stock[0].kind = MaterialKind::Softwood, &[Rule::PocketFloorWanted]);
    // Holes through the blank: 1/4 - 1/32 = 7/32 is enough, 1/4 - 1/8 = 1/8 is not.
    for (penetration, rules) in [(STEP, vec![]), (at(0, 1, 16), vec![]), (at(0, 1, 8), vec![Rule::FloorAfterCut])] {
        let (mut request, mut sizes) = plaque();
        request.carve.through = Through::Inside;
        request.carve.penetration = penetration;
        sizes.push_out = false;
        let mut design = blind(&request, &sizes);
        design.depth_below_top = at(0, 3, 4) + penetration;
        design.keep_out =
            design.keep_out.map(|keep_out| KeepOut { above: (at(0, 1, 8) - penetration).max(ZERO), ..keep_out });
        only(&request, &design, &rules);
        sizes.push_out = true;
        let mut holed = blind(&request, &sizes);
        (holed.depth_below_top, holed.keep_out) = (design.depth_below_top, design.keep_out);
        assert!(complaints(&request, &holed).contains(&Rule::PushOutHole));
    }
    // A through cut with nothing under the blank meets the bed.
    let (mut request, mut design) = none_needed();
    request.carve.through = Through::Inside;
    design.depth_below_top = at(0, 25, 32);
    only(&request, &design, &[Rule::FloorAfterCut]);
}

#[test]
fn rollers_and_strip() {
    let slot = |d: &mut Design, area: Rect| {
        let void = Void { outline: Outline::Rect(area), z0: at(0, 7, 8), z1: inch(1), kind: VoidKind::ClippedCorner };
        d.parts[0].places[0].voids.push(void);
    };
    // The surface may begin 3/4 in from the fence edge, no farther.
    plaque_changed(|d| slot(d, rect(inch(1), ZERO, inch(1), at(0, 3, 4))), &[]);
    plaque_changed(|d| slot(d, rect(inch(1), ZERO, inch(1), at(0, 25, 32))), &[Rule::RollerSupport]);
    // Roller radius 1/2: 2 sqrt(0.5^2 - (0.5 - 1/64)^2) = 0.248 in; 7/32 is crossed, 1/4 is not.
    plaque_changed(|d| slot(d, rect(inch(1), ZERO, at(0, 7, 32), inch(8))), &[]);
    plaque_changed(
        |d| slot(d, rect(inch(1), ZERO, at(0, 1, 4), inch(8))),
        &[Rule::GapUnderRoller, Rule::RollerSupport],
    );
    // Ends 2/64 below the rails are rolled over, 3/64 are a step.
    cut_free_changed(|_, s| s.end_height = q(55), &[]);
    cut_free_changed(|_, s| s.end_height = q(54), &[Rule::StepUnderRoller]);
    cut_free_changed(|_, s| s.end_height = q(58), &[Rule::NothingAboveTop]);
    // Plain butt joints across the strip only where the machine's profile allows them.
    let mut request = request(inch(12), inch(10), at(0, 3, 4));
    // The cut keeps off the fence edge: 1 - 3/16 = 13/16 from it.
    let mut design = extensions(&request, ZERO);
    request.machine.window.min = -at(0, 3, 16);
    only(&request, &design, &[Rule::StripUnbroken]);
    request.machine.strip_joint_tolerated = true;
    passes(&request, &design);
    // But not an open one.
    design.parts[0].places[0].outline = Outline::Rect(rect(ZERO, ZERO, inch(4) - STEP, inch(10)));
    assert!(complaints(&request, &design).contains(&Rule::StripUnbroken));
    // A far edge out of parallel by 1/64 still runs between the guides, by 1/32 it does not.
    for (off, rules) in [(DEPTH_STEP, vec![]), (STEP, vec![Rule::ParallelEdges])] {
        let (request, mut design) = taper();
        if let Outline::Polygon(points) = &mut design.parts[1].places[0].outline {
            points[2].y -= off;
        }
        only(&request, &design, &rules);
    }
}

#[test]
fn flush() {
    let deeper = |by: Length| {
        move |r: &mut Request, s: &mut Blind| {
            // A thicker board, so that the floor is no matter. Mass: 1/4 in more of 129.04 sq in: 0.396 kg.
            r.stock.push(stock("MDF", MaterialKind::Mdf, at(1, 1, 4)));
            s.board = at(1, 1, 4);
            s.mass = 1.935;
            s.depth += by;
        }
    };
    plaque_sized(deeper(ZERO), &[]);
    plaque_sized(deeper(-q(1)), &[]);
    plaque_sized(deeper(-q(2)), &[Rule::BlankFlush]);
    plaque_sized(deeper(q(1)), &[Rule::BlankFlush]);
    plaque_sized(deeper(q(3)), &[Rule::BlankFlush, Rule::BlankFlushLimit]);
    plaque_sized(deeper(-q(3)), &[Rule::BlankFlush, Rule::BlankFlushLimit]);
    // Relief of 1/16 that the rollers would climb.
    let (mut request, mut design) = none_needed();
    request.blank.relief_height = at(0, 1, 16);
    design.blank.highest += at(0, 1, 16);
    only(&request, &design, &[Rule::BlankFlushLimit]);
}

#[test]
fn rails_and_walls() {
    plaque_sized(|_, s| s.sides = (at(0, 23, 32), at(0, 23, 32)), &[Rule::RailWidth]);
    // Fence rail narrower than the strip: the strip then also runs onto the blank.
    let request = request(inch(12), inch(10), at(0, 3, 4));
    only(&request, &extensions(&request, at(1, 7, 32)), &[Rule::FenceRail, Rule::StripUnbroken]);
    // Rail 3/4; centres 2.245 mm inside the walls: a round of r reaches r - 2.245 mm past them.
    // 3/4 - 1/2 = 6.35 mm: r up to 8.595 mm.
    plaque_sized(|_, s| s.relief = Length::micrometres(17_190), &[]);
    plaque_sized(|_, s| s.relief = Length::micrometres(17_200), &[Rule::WallAfterRelief]);
    // 3/4 - (1/4 + 1/16) = 7/16 < 1/2; with rails of 13/16 it is 1/2.
    cut_free_changed(|r, _| r.carve.cutter = at(0, 1, 4), &[Rule::PerimeterInside]);
    let wider = |r: &mut Request, s: &mut Rails| {
        r.carve.cutter = at(0, 1, 4);
        // Rails 2 x 1/16 wider over 18-9/16 x 57/64 and the base 1/8: 3.154 cu in at most, 0.03 kg.
        s.rail = at(0, 13, 16);
    };
    cut_free_changed(wider, &[]);
    // A rail pinched at its ends bows under 10 lbf over 10-9/16 by 1/64 at most:
    // cube root of 10 x 10.5625^3 / (4 x 1.2e6 x 57/64 x 1/64) = cube root of 11784 / 66797 = 0.561 in,
    // so 3/4 is enough; under 25 lbf it is 0.761 in and not.
    for (force, rules) in [(10.0, vec![]), (25.0, vec![Rule::RailWidth])] {
        let (mut request, sizes) = cut_free();
        request.shop.estimates.guide_force_lbf = force;
        let mut design = rails(&request, &sizes);
        // Screws in the end pieces' outer inch, clear of strip and keep-out.
        design.joints.push(Joint {
            between: ("B".into(), "C".into()),
            contact: Rect::new(inch(1), at(6, 1, 16), inch(2), at(6, 1, 16)),
            z0: at(0, 15, 32),
            z1: at(1, 23, 64),
            kind: JointKind::Pinched,
        });
        only(&request, &design, &rules);
    }
    // One corner left with the cutter's round.
    plaque_changed(|d| drop(d.parts[0].places[0].voids.remove(1)), &[Rule::CornerRelief]);
    plaque_changed(|d| drop(d.parts[0].places[0].voids.remove(3)), &[Rule::CornerRelief]);
    // Pocket 6-1/16 across; the blank's corners are rounder than this cutter.
    let cutter = |r: &mut Request| (r.blank.corner_radius = inch(4), r.shop.pocket_cutter = at(6, 1, 32)).1;
    plaque_limit(Rule::CutterEnters, cutter, |r| r.shop.pocket_cutter += STEP);
    // Hole: centre 3-25/32, near edge 3-9/32; the strip ends 1/4 before.
    plaque_limit(Rule::PushOutHole, |r| r.machine.strip = at(3, 1, 32), |r| r.machine.strip += STEP);
}

#[test]
fn fit_and_hold() {
    // Pocket - (9 + 1/32) must be 1/32; pocket - (9 - 1/32) at most 1/8.
    plaque_sized(|_, s| s.pocket.0 -= STEP, &[Rule::Fit]);
    plaque_sized(|_, s| s.pocket.1 -= STEP, &[Rule::Fit]);
    plaque_sized(|_, s| s.pocket.0 += STEP, &[]);
    plaque_sized(|_, s| s.pocket.0 += STEP * 2, &[Rule::Play]);
    plaque_changed(|d| d.adhesive = q(1), &[Rule::AdhesiveCounted]);
    // 55.125 sq in x 2 psi / 3 = 36.75 lbf.
    cut_free_changed(|r, _| r.shop.estimates.lift_force_lbf = 36.74, &[]);
    cut_free_changed(|r, _| r.shop.estimates.lift_force_lbf = 36.76, &[Rule::LiftFactor]);
    // On film, 120 sq in x 4.5 psi / 3 = 180 lbf.
    let (mut request, design) = riser();
    request.shop.estimates.side_force_lbf = 179.9;
    passes(&request, &design);
    request.shop.estimates.side_force_lbf = 180.1;
    only(&request, &design, &[Rule::SlideFactor]);
    // Held at the edges, a part cut free is held by nothing.
    let (request, sizes) = cut_free();
    let mut design = rails(&request, &sizes);
    (design.hold, design.bond_area_mm2) = (Hold::Snug, 0.0);
    only(&request, &design, &[Rule::FreedPartHeld]);
    design.hold = Hold::Tape;
    design.bond_area_mm2 = 36_000.0;
    only(&request, &design, &[Rule::LiftFactor]);
}

#[test]
fn a_small_part_must_be_held_down() {
    // Pendant 3/4 x 1/2: 0.375 sq in x 2 psi / 2 lbf = 0.375 < 3; a large one is only warned of.
    let (mut request, mut sizes) = cut_free();
    (request.blank.length, request.blank.width) = (tape(at(0, 3, 4)), tape(at(0, 1, 2)));
    (request.carve.length, request.carve.width) = (at(0, 3, 4), at(0, 1, 2));
    sizes.pocket = (at(0, 13, 16), at(0, 9, 16));
    request.shop.estimates.lift_force_lbf = 2.0;
    let lift = |checks: Vec<Check>| {
        let mut lift = checks.into_iter().filter(|c| c.rule == Rule::LiftFactor && c.subject == "lift factor");
        lift.next().map(|check| (check.status, check.actual))
    };
    let found = lift(verify(&request, &rails(&request, &sizes)));
    let Some((Status::Fail, Quantity::Number(factor, _))) = found else { panic!("{found:?}") };
    assert!((factor - 0.375).abs() < 1e-9, "{factor}");
    let (mut request, sizes) = cut_free();
    request.shop.estimates.lift_force_lbf = 100.0;
    assert!(matches!(lift(verify(&request, &rails(&request, &sizes))), Some((Status::Warn, _))));
}

#[test]
fn bridge() {
    let (mut request, design) = gilded(at(0, 1, 16), at(1, 1, 4));
    assert_eq!(design.carrier, extent(at(18, 1, 16), at(8, 9, 16), at(1, 43, 64)));
    // 1/16 + 3/8 + 1/8 = 9/16.
    assert_eq!(design.depth_below_top, at(0, 9, 16));
    passes(&request, &design);
    // 60 sq in x 2 psi / 4 = 30 lbf.
    request.shop.estimates.lift_force_lbf = 30.1;
    only(&request, &design, &[Rule::FragileTop]);
    let (request, design) = gilded(q(3), at(1, 1, 4));
    only(&request, &design, &[Rule::FragileTop, Rule::BlankFlushLimit]);
    let (request, design) = gilded(at(0, 1, 16), at(1, 7, 32));
    only(&request, &design, &[Rule::RailWidth]);
    // 5/8 deep from the border: 1/16 + 3/8 + 5/8 = 1-1/16 > 1.
    let (mut request, _) = gilded(at(0, 1, 16), at(1, 1, 4));
    request.carve.depth = inch(1);
    let sizes = Rails {
        pocket: (at(10, 1, 16), at(6, 1, 16)),
        rail: at(1, 1, 4),
        height: at(1, 13, 64),
        end_height: at(1, 13, 64),
        bridge: true,
        mass: 2.155,
    };
    only(&request, &rails(&request, &sizes), &[Rule::DepthReach]);
}

#[test]
fn metal() {
    // End screws in the cutter's way (4 to 14-9/16 along), and in the strip (1-1/4 across).
    let screw = |x: Length, y: Length| {
        let (request, sizes) = cut_free();
        let mut design = rails(&request, &sizes);
        let contact = Rect::new(x, y, x + at(0, 1, 2), y + at(0, 1, 2));
        let (z0, z1) = (at(0, 15, 32), at(1, 23, 64));
        design.joints.push(Joint { between: ("B".into(), "C".into()), contact, z0, z1, kind: JointKind::Pinched });
        complaints(&request, &design)
    };
    assert_eq!(screw(inch(1), inch(2)), BTreeSet::new());
    assert_eq!(screw(inch(5), inch(2)), BTreeSet::from([Rule::MetalPlan]));
    assert_eq!(screw(inch(1), inch(1)), BTreeSet::from([Rule::MetalDepth]));
    plaque_changed(|d| d.keep_out = d.keep_out.map(|k| KeepOut { area: k.area.grown(-STEP), ..k }), &[Rule::MetalPlan]);
    plaque_changed(|d| d.keep_out = None, &[Rule::MetalPlan]);
    plaque_changed(|d| d.swept = d.swept.grown(-STEP), &[Rule::MetalPlan]);
    plaque_changed(
        |d| d.keep_out = d.keep_out.map(|k| KeepOut { above: k.above + DEPTH_STEP, ..k }),
        &[Rule::MetalDepth],
    );
}

#[test]
fn making() {
    let (request, sizes) = cut_free();
    let changed = |change: &dyn Fn(&mut Design), rules: &[Rule]| {
        let mut design = rails(&request, &sizes);
        change(&mut design);
        only(&request, &design, rules);
    };
    changed(&|d| d.cut_list.steps[0].before.length = inch(16), &[]);
    changed(&|d| d.cut_list.steps[0].before.length = inch(16) - STEP, &[Rule::PlanerLength]);
    changed(&|d| d.cut_list.steps[1].before.length = inch(12), &[]);
    changed(&|d| d.cut_list.steps[1].before.length = inch(12) - STEP, &[Rule::RipSafe]);
    changed(&|d| d.cut_list.steps[1].before.width = at(18, 5, 8), &[Rule::RipSafe]);
    changed(&|d| d.cut_list.steps[2].held -= STEP, &[Rule::CrosscutSafe]);
    // One more cut of 4-1/8 leaves 1-7/8 behind.
    changed(&|d| d.cut_list.steps[2].times = 3, &[Rule::CrosscutSafe]);
    changed(&|d| d.cut_list.parents[2].size.length -= STEP, &[Rule::ParentPieces]);
    changed(&|d| d.cut_list.parents[1].yields[0].1 = 1, &[Rule::ParentPieces]);
    changed(&|d| d.cut_list.parents[1].size.width -= STEP, &[Rule::ParentPieces]);
    changed(&|d| drop(d.cut_list.steps.pop()), &[Rule::TrimLast]);
    changed(&|d| d.parts[1].size.width += STEP, &[Rule::Closure, Rule::ParentPieces]);
    let mut design = rails(&request, &sizes);
    design.parts[1].grain = Grain::AcrossFeed;
    assert!(complaints(&request, &design).contains(&Rule::GrainAlongFeed));
    // MDF of another thickness than the 1 in board.
    let (mut request, sizes) = plaque();
    request.stock[0].thickness += DEPTH_STEP;
    only(&request, &blind(&request, &sizes), &[Rule::StockExists]);
    let (mut request, sizes) = plaque();
    request.shop.tools.remove(&Tool::Router);
    only(&request, &blind(&request, &sizes), &[Rule::ToolOwned]);
    request.shop.tools.extend([Tool::DrillPress, Tool::Chisel]);
    passes(&request, &blind(&request, &sizes));
    // The board is 1 in thick: a saw that reaches a step less cannot rip it.
    let (mut request, sizes) = plaque();
    request.shop.saw_height = at(1, 0, 1);
    passes(&request, &blind(&request, &sizes));
    request.shop.saw_height = at(1, 0, 1) - DEPTH_STEP;
    only(&request, &blind(&request, &sizes), &[Rule::ToolOwned]);
    // Rails planed to 57/64 (cut free all round): a planer that leaves no less than 29/32 cannot.
    let (mut request, sizes) = cut_free();
    request.shop.planer_thinnest = at(0, 57, 64);
    passes(&request, &rails(&request, &sizes));
    request.shop.planer_thinnest = at(0, 29, 32);
    only(&request, &rails(&request, &sizes), &[Rule::ToolOwned]);
}

#[test]
fn marks_and_sums() {
    // Between two marks of the 1/32 ruler.
    plaque_sized(|_, s| s.sides = (at(0, 49, 64), at(0, 49, 64)), &[Rule::RoundingDirection]);
    // Ends 1/8 apart with 3/32 of play: fed backwards it would be seen.
    plaque_sized(|_, s| s.ends.1 += at(0, 3, 32), &[]);
    plaque_sized(|_, s| s.ends.1 += at(0, 1, 8), &[Rule::FeedMarked]);
    plaque_changed(|d| d.carrier.length += STEP, &[Rule::Closure]);
    plaque_changed(|d| d.carrier.width -= STEP, &[Rule::Closure]);
    plaque_changed(|d| d.carrier.thickness += DEPTH_STEP, &[Rule::Closure]);
    plaque_changed(|d| d.pockets[0].z0 += DEPTH_STEP, &[Rule::Closure]);
    // A pocket listed 1/16 shorter than the one in the board.
    let (request, sizes) = plaque();
    let mut design = blind(&request, &sizes);
    design.pockets[0].outline = Outline::Rect(rect(inch(4), at(0, 3, 4), inch(9), at(6, 1, 16)));
    assert!(complaints(&request, &design).contains(&Rule::Closure));
    plaque_sized(|r, _| r.carve.margin_lead = STEP, &[Rule::InputsAgree]);
    plaque_sized(|r, _| r.blank.shape = Shape::Disc, &[Rule::EdgesShaped]);
    let unsure = |r: &mut Request, u: Length| {
        r.blank.thickness = Some(Measured::exact(at(0, 3, 4), u, Unit::Inch));
    };
    plaque_limit(Rule::ThicknessKnown, |r| unsure(r, q(1)), |r| unsure(r, STEP));
    plaque_limit(Rule::Mass, |r| r.shop.estimates.one_person_kg = 1.55, |r| r.shop.estimates.one_person_kg = 1.53);
    plaque_changed(|d| d.mass_kg += 0.1, &[Rule::Mass]);
}

#[test]
fn long_carriers_need_stands() {
    // 28 + 1/16 + 8 = 36-1/16 > 36. Mass: 36.0625 x 7.5625 - 28.0625 x 6.0625 x 0.75 - 0.2 = 144.93 cu in,
    // 1.781 kg; blank 126 cu in, 1.445 kg.
    let (_, mut sizes) = plaque();
    let request = request(inch(28), inch(6), at(0, 3, 4));
    sizes.pocket.0 = at(28, 1, 16);
    sizes.mass = 3.227;
    let mut design = blind(&request, &sizes);
    only(&request, &design, &[Rule::Overhang]);
    design.steps.push(BuildStep {
        text: "Set stands on both sides at bed height.".into(),
        caution: None,
        adds: Vec::new(),
    });
    passes(&request, &design);
}

#[test]
fn discs() {
    // 8 in dish in a square pocket of 8-1/16 closed by a board: touches the walls at their middles.
    // Carrier 16-1/16 is under 16-1/8, so the ends are 4-1/32: 16-1/8. Rails 3/4: 9-9/16.
    // Mass: 16.125 x 9.5625 - 8.0625^2 x 0.75 - 0.196 = 105.25 cu in, 1.2935 kg; disc 50.265 x 0.75 =
    // 37.70 cu in, 0.4325 kg; 1.726 kg.
    let mut request = request(inch(8), inch(8), at(0, 3, 4));
    request.blank.shape = Shape::Disc;
    let (_, mut sizes) = plaque();
    sizes.ends = (at(4, 1, 32), at(4, 1, 32));
    sizes.pocket = (at(8, 1, 16), at(8, 1, 16));
    sizes.mass = 1.726;
    let mut design = blind(&request, &sizes);
    let centre = Point::new(at(8, 1, 32), at(4, 3, 4));
    design.blank.outline = Outline::Disc { centre, diameter: inch(8) };
    passes(&request, &design);

    // The same dish in a round hole: the hole's centre is 1/32 farther from lead and fence.
    let hole = Outline::Disc { centre: Point::new(at(8, 1, 16), at(4, 25, 32)), diameter: at(8, 1, 16) };
    let mut round = design.clone();
    round.pockets[0].outline = hole.clone();
    let voids = &mut round.parts[0].places[0].voids;
    voids.retain(|void| void.kind == VoidKind::PushOut);
    voids.push(Void { outline: hole, z0: at(0, 1, 4), z1: inch(1), kind: VoidKind::Pocket });
    // The hole takes 51.05 sq in instead of 65.00: 10.47 cu in more wood, 0.129 kg.
    round.mass_kg = 1.855;
    // Pushed to the lead wall, half the play off the centre: it cannot touch the fence wall as well.
    round.blank.outline = Outline::Disc { centre: Point::new(at(8, 1, 32), at(4, 25, 32)), diameter: inch(8) };
    round.carve = round.blank.outline.bounds();
    round.swept = round.carve.grown(at(0, 3, 16));
    round.keep_out = round.keep_out.map(|k| KeepOut { area: round.swept.grown(at(0, 1, 4)), ..k });
    passes(&request, &round);
    round.blank.outline = Outline::Disc { centre, diameter: inch(8) };
    round.carve = round.blank.outline.bounds();
    round.swept = round.carve.grown(at(0, 3, 16));
    round.keep_out = round.keep_out.map(|k| KeepOut { area: round.swept.grown(at(0, 1, 4)), ..k });
    only(&request, &round, &[Rule::Closure]);
}

#[test]
fn loaded_turned() {
    // The plaque measured 6 x 9 and loaded turned is the same carrier; the same design not turned is
    // another blank than the one measured.
    let (mut request, sizes) = plaque();
    let mut design = blind(&request, &sizes);
    std::mem::swap(&mut request.blank.length, &mut request.blank.width);
    std::mem::swap(&mut request.carve.length, &mut request.carve.width);
    assert!(complaints(&request, &design).contains(&Rule::InputsAgree));
    design.turned = true;
    passes(&request, &design);
    // Growth follows the blank: 1/32 across the measured width is now along the feed.
    request.blank.growth_width = STEP;
    only(&request, &design, &[Rule::Fit]);
}

#[test]
fn narrow_blank_between_side_rails() {
    let (mut request, mut design) = side_rails();
    passes(&request, &design);
    // The same with its opening listed.
    let outline = design.blank.outline.clone();
    design.pockets = vec![Pocket { outline, z0: ZERO, z1: at(0, 3, 4), kind: PocketKind::Open, relief: None }];
    passes(&request, &design);
    // The carrier's length is the blank's: 20 - 1/32 read short, guard 1/8.
    request.machine.length.min = at(19, 27, 32);
    passes(&request, &design);
    request.machine.length.min += DEPTH_STEP;
    only(&request, &design, &[Rule::LengthMin]);
}

#[test]
fn metric() {
    // 240 x 90 x 18 mm, readings +-0.5, clearance 0.4, ruler 0.5 mm, 25 mm MDF:
    // pocket 240 + 0.5 + 0.8 = 241.3, up to 241.5, and 91.5; ends 101.6, up to 102; rails 19.05, up to
    // 19.5: carrier 445.5 x 130.5. Floor 25 - 18 = 7. Mass: 445.5 x 130.5 x 25 - 241.5 x 91.5 x 18 -
    // 507 x 7 = 1.0522e6 mm3 of 750 = 0.789 kg; blank 388 800 of 700 = 0.272; 1.061 kg.
    let um = Length::micrometres;
    let mut request = request(um(240_000), um(90_000), um(18_000));
    let measured = |size: i64, sure: i64| Measured::exact(um(size), um(sure), Unit::Millimetre);
    request.units = Unit::Millimetre;
    (request.blank.length, request.blank.width) = (measured(240_000, 500), measured(90_000, 500));
    request.blank.thickness = Some(measured(18_000, 100));
    (request.shop.ruler, request.shop.depth_ruler) = (Ruler::metric(500), Ruler::metric(500));
    (request.shop.clearance, request.shop.tolerance) = (um(400), um(400));
    request.stock.push(stock("MDF 25", MaterialKind::Mdf, um(25_000)));
    let (_, mut sizes) = plaque();
    sizes.ends = (um(102_000), um(102_000));
    sizes.sides = (um(19_500), um(19_500));
    sizes.pocket = (um(241_500), um(91_500));
    (sizes.depth, sizes.board, sizes.mass) = (um(18_000), um(25_000), 1.061);
    let design = blind(&request, &sizes);
    assert_eq!((design.carrier.length, design.carrier.width), (um(445_500), um(130_500)));
    passes(&request, &design);
    sizes.pocket.0 = um(241_000);
    only(&request, &blind(&request, &sizes), &[Rule::Fit]);
}

#[test]
fn unmeasured_thickness_gives_no_verdict_on_heights() {
    let (mut request, sizes) = plaque();
    let design = blind(&request, &sizes);
    request.blank.thickness = None;
    only(&request, &design, &[Rule::ThicknessKnown]);
    let rules: BTreeSet<Rule> = verify(&request, &design).iter().map(|check| check.rule).collect();
    for rule in [Rule::DepthReach, Rule::PocketFloor, Rule::BlankFlush, Rule::AdhesiveCounted, Rule::HolderClears] {
        assert!(!rules.contains(&rule), "{rule:?}");
    }
}

#[test]
fn nonsense_does_not_panic() {
    let (request, sizes) = plaque();
    let mut design = blind(&request, &sizes);
    design.parts[0].places[0].outline = Outline::Polygon(Vec::new());
    design.pockets[0].outline = Outline::Polygon(vec![Point::default()]);
    design.blank.outline = Outline::Disc { centre: Point::default(), diameter: ZERO };
    design.cut_list.parents[0].count = 0;
    design.cut_list.parents[0].yields.push(("nobody".into(), usize::MAX / 2));
    design.cut_list.steps[1].times = usize::MAX;
    assert!(!complaints(&request, &design).is_empty());
}
