//! What keeps the blank in its place.

use super::*;
use crate::design::VoidKind;
use crate::geometry::Point;
use Relation::{AtLeast, AtMost};

/// Safety factor wanted of a bond, and of one the rollers do not help.
const FACTOR: f64 = 3.0;
const FACTOR_ALONE: f64 = 4.0;
/// Below this a part is small, and the lift factor binds: 6 sq in.
const SMALL_MM2: f64 = 6.0 * SQUARE_INCH_MM2 * ROUNDING;
/// What moving and turning an outline may do to its area is far less than this: a part of just that area
/// is small, and a bond just strong enough is.
const ROUNDING: f64 = 1.0 + 1e-7;
const SQUARE_INCH_MM2: f64 = 25.4 * 25.4;
/// Least a blank that must not be rolled on is sunk.
const SUNK_LEAST: Length = Length::inches(1, 16);
/// A wall at least this high (and a third of the thickness) stops sliding.
const WALL_STOPS: Length = Length::inches(1, 4);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    if !case.carried() {
        if case.request.blank.fragile {
            lengths(checks, Rule::FragileTop, "highest point sunk", Length::ZERO, AtLeast, SUNK_LEAST);
        }
        if case.heights_known() {
            let relief = case.request.blank.relief_height;
            lengths(checks, Rule::BlankFlushLimit, "relief proud", relief, AtMost, Length::inches(1, 32));
        }
        return;
    }
    let bond = bond_area_mm2(case);
    // Printed areas may differ in the last place.
    let claimed = case.design.bond_area_mm2;
    numbers(checks, Rule::LiftFactor, "bond area as printed", claimed, AtMost, bond * (1.0 + 1e-6), "mm2");
    // Screws are asked what they carry where their places are looked at.
    let screwed = case.design.hold == Hold::Screws;
    if !screwed {
        lift(case, bond, checks);
        slide(case, bond, checks);
    }
    grip::check(case, lowest_wall(case), checks);
    if case.request.carve.through == Through::AllRound {
        let bonded = f64::from(u8::from(bond > 0.0));
        numbers(checks, Rule::FreedPartHeld, "bonded underneath", bonded, AtLeast, 1.0, "");
    }
    if case.must_not_be_rolled() {
        if case.heights_known() {
            let sunk = case.top - case.design.blank.highest;
            lengths(checks, Rule::FragileTop, "highest point sunk", sunk, AtLeast, SUNK_LEAST);
        }
        if screwed {
            return;
        }
        let factor = lift_factor(case, bond);
        numbers(checks, Rule::FragileTop, "lift factor without rollers", factor, AtLeast, FACTOR_ALONE, "");
    }
}

/// Area bonded under the blank: its outline, less holes in the floor; nothing where there is no floor.
fn bond_area_mm2(case: &Case) -> f64 {
    if !case.design.hold.bonds_underside() || case.floor.is_none() {
        return 0.0;
    }
    // Neither a hole nor the room under a relief holds anything.
    let open = |void: &&crate::design::Void| matches!(void.kind, VoidKind::PushOut | VoidKind::Under);
    let holes = case.solids.0.iter().flat_map(|solid| &solid.voids).filter(open);
    let holes = holes.filter(|hole| spacing::overlap(&hole.outline, &case.design.blank.outline));
    let holes: f64 = holes.map(|void| void.outline.area_mm2()).sum();
    (case.design.blank.outline.area_mm2() - holes).max(0.0)
}

fn lift_factor(case: &Case, bond: f64) -> f64 {
    let estimates = &case.request.shop.estimates;
    rounded(bond / SQUARE_INCH_MM2 * estimates.bond_psi(case.design.hold).0 / estimates.lift_force_lbf)
}

/// A factor that falls short of the one wanted by no more than roundings is that.
fn rounded(factor: f64) -> f64 {
    if factor < FACTOR && factor * ROUNDING >= FACTOR { FACTOR } else { factor }
}

fn lift(case: &Case, bond: f64, checks: &mut Vec<Check>) {
    // Held at its edges only, a blank that a roller always presses is not lifted.
    let roller_holds = case.blank.length() >= case.request.machine.cutter_to_roller * 2;
    // Wood glue or glue spots along the edges do not let go either; screws that only pinch may.
    let glued = |joint: &crate::design::Joint| {
        let blank = joint.between.0 == "blank" || joint.between.1 == "blank";
        blank && matches!(joint.kind, JointKind::GlueSpots | JointKind::GluedButt | JointKind::Glue)
    };
    let glued = case.design.joints.iter().any(glued);
    if !case.design.hold.bonds_underside() && (roller_holds || glued) {
        return;
    }
    let factor = lift_factor(case, bond);
    numbers(checks, Rule::LiftFactor, "lift factor", factor, AtLeast, FACTOR, "");
    if let Some(check) = checks.last_mut()
        && case.design.blank.outline.area_mm2() >= SMALL_MM2
    {
        only_warn(check);
    }
}

fn slide(case: &Case, bond: f64, checks: &mut Vec<Check>) {
    let Some(thickness) = &case.request.blank.thickness else { return };
    // Dabs of glue between a round and what it lies on do not let it slide.
    let names_blank = |(a, b): &(String, String)| a == "blank" || b == "blank";
    let dabbed = case.design.joints.iter().any(|j| j.kind == JointKind::GlueSpots && names_blank(&j.between));
    if case.along.glued || case.across.glued || (dabbed && case.request.blank.round().is_some()) {
        return;
    }
    if is_walled(case, thickness) {
        return;
    }
    let estimates = &case.request.shop.estimates;
    let factor = rounded(bond / SQUARE_INCH_MM2 * estimates.bond_psi(case.design.hold).1 / estimates.side_force_lbf);
    numbers(checks, Rule::SlideFactor, "slide factor", factor, AtLeast, FACTOR, "");
}

/// Whether the wood beside the blank is high enough to take a push to the side.
fn is_walled(case: &Case, thickness: &Measured) -> bool {
    lowest_wall(case) >= Length::from_ticks(thickness.nominal.ticks() / 3).max(WALL_STOPS)
}

/// Whether nothing but what holds the blank down keeps it from sliding.
pub(super) fn slides(case: &Case) -> bool {
    case.request.blank.thickness.as_ref().is_some_and(|thickness| !is_walled(case, thickness))
}

/// Height above the blank's underside of the lowest of the four walls, looked at half way along each.
fn lowest_wall(case: &Case) -> Length {
    let (room, centre) = (case.room, case.room.centre());
    let beyond = Length::micrometres(10);
    let places = [
        Point::new(room.x0 - beyond, centre.y),
        Point::new(room.x1 + beyond, centre.y),
        Point::new(centre.x, room.y0 - beyond),
        Point::new(centre.x, room.y1 + beyond),
    ];
    let underside = case.design.blank.z0;
    // The boxes of nests may overlap: each is looked at as if the others were filled.
    let alone = case.pocket.filter(|_| case.design.gang.is_some());
    let alone = alone.map(|pocket| Solids::of(&gang::beside(case.design, pocket)));
    let solids = alone.as_ref().unwrap_or(&case.solids);
    // Beside a gap for a finger or a relieved corner the wall stands as it does elsewhere.
    let wall = |at: &Point| {
        solids
            .column(*at, &[VoidKind::FingerGap, VoidKind::Relief, VoidKind::KeeperNotch])
            .last()
            .map_or(Length::ZERO, |&(_, top)| top - underside)
    };
    places.iter().map(wall).min().unwrap_or_default().or_zero()
}
