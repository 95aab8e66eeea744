//! Off-centre keepers: whether they reach every blank, park clear of it, turn freely and stand low.

use super::*;
use crate::design::{Place, Void, VoidKind};
use crate::request::Hold;
use Relation::{AtLeast, AtMost, Equal};

/// From the middle of a keeper to its peg.
const OFF: Length = Length::inches(1, 8);
/// Travel kept for wear.
const RESERVE: Length = Length::inches(1, 32);
/// Least below the top plane, and round the disc as it turns.
const AIR: Length = Length::inches(1, 16);
/// Wood under the hole for a peg.
const UNDER: Length = Length::inches(1, 8);
/// Wood behind a notch.
const BEHIND: Length = Length::inches(3, 4);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    if case.design.hold != Hold::Keeper {
        return;
    }
    let parts = case.design.parts.iter().filter(|part| part.role == Role::Keeper);
    let places: Vec<&Place> = parts.flat_map(|part| &part.places).collect();
    let (mut trail, mut far) = (0, 0);
    for place in places {
        let disc = place.outline.bounds();
        let along = disc.centre().x > case.blank.x1;
        if along {
            trail += 1;
        } else {
            far += 1;
        }
        one(case, place, along, checks);
    }
    numbers(checks, Rule::KeeperTravel, "keepers at the trail side", f64::from(trail), Equal, 1.0, "");
    numbers(checks, Rule::KeeperTravel, "keepers at the far side", f64::from(far), Equal, 1.0, "");
    // The rails are a pair: the fence rail is as wide as the one with the notch in it.
    let notches = case.solids.0.iter().filter(|solid| solid.role == Role::FarRail).flat_map(|solid| &solid.voids);
    let deep =
        notches.filter(|void| void.kind == VoidKind::KeeperNotch).map(|void| void.outline.bounds().width()).max();
    let pair = deep.unwrap_or_default() + BEHIND;
    lengths(checks, Rule::RailWidth, "fence rail beside a keeper's rail", case.walls.fence, AtLeast, pair);
    let (plan, cut) = (case.blank, case.design.swept);
    let inside = (plan.x1 - cut.x1).min(plan.y1 - cut.y1);
    lengths(checks, Rule::KeeperClear, "cutter short of the edges at the keepers", inside, AtLeast, Length::ZERO);
}

/// A keeper, seen along the way it travels: from the carrier's far edge towards the blank.
fn one(case: &Case, place: &Place, along: bool, checks: &mut Vec<Check>) {
    let turn = |rect: Rect| if along { rect } else { solid::transposed_rect(rect) };
    let (disc, room) = (turn(place.outline.bounds()), turn(case.room));
    let smallest = if along { case.along.measured.low() } else { case.across.measured.low() };
    let radius = disc.length().half();
    // Parked, the near side of the disc stands outside the pocket.
    lengths(
        checks,
        Rule::KeeperTravel,
        "keeper out of the pocket when parked",
        disc.x0 - room.x1,
        AtLeast,
        Length::ZERO,
    );
    // Turned by half, its middle has gone twice the offset towards the blank.
    let reaches = disc.x0 - OFF * 2;
    let edge = room.x0 + smallest;
    lengths(checks, Rule::KeeperTravel, "keeper beyond the smallest blank's edge", edge - reaches, AtLeast, RESERVE);
    lengths(checks, Rule::KeeperClear, "keeper below the top plane", case.top - place.z1, AtLeast, AIR);
    // All round the peg the farthest of the disc is its radius and the offset away.
    let voids = case.solids.0.iter().flat_map(|solid| solid.voids.iter().map(move |void| (solid, void)));
    let notches = voids.filter(|(_, void)| void.kind == VoidKind::KeeperNotch);
    let own = notches
        .map(|(solid, void)| (solid, turn(void.outline.bounds()), void))
        .find(|(_, notch, _)| holds(*notch, disc));
    let Some((solid, notch, void)) = own else {
        numbers(checks, Rule::KeeperClear, "notch round the keeper", 0.0, AtLeast, 1.0, "");
        return;
    };
    pegged(case, place, along, checks);
    let peg = disc.centre().y;
    let aside = (peg - notch.y0).min(notch.y1 - peg) - radius - OFF;
    lengths(checks, Rule::KeeperClear, "air beside the turning keeper", aside, AtLeast, AIR);
    lengths(checks, Rule::KeeperClear, "air behind the parked keeper", notch.x1 - disc.x1, AtLeast, AIR);
    lengths(checks, Rule::KeeperClear, "notch open above", case.top - void.z1, AtMost, Length::ZERO);
    lengths(
        checks,
        Rule::RailWidth,
        "behind a keeper's notch",
        turn(solid.outline.bounds()).x1 - notch.x1,
        AtLeast,
        BEHIND,
    );
}

/// The peg of a keeper: off its middle towards the blank, in a hole of the base right under its own.
fn pegged(case: &Case, place: &Place, along: bool, checks: &mut Vec<Check>) {
    let turn = |rect: Rect| if along { rect } else { solid::transposed_rect(rect) };
    let disc = turn(place.outline.bounds());
    let bored = |void: &&Void| void.kind == VoidKind::PegHole;
    let own: Vec<&Void> = place.voids.iter().filter(bored).collect();
    let bases = case.solids.0.iter().filter(|solid| solid.role == Role::Base).flat_map(|solid| &solid.voids);
    let Some(hole) = own.first().filter(|hole| own.len() == 1 && hole.z0 <= place.z0 && hole.z1 >= place.z1) else {
        numbers(checks, Rule::KeeperClear, "hole for the peg through the keeper", own.len() as f64, Equal, 1.0, "");
        return;
    };
    let at = turn(hole.outline.bounds()).centre();
    let aside = (at.y - disc.centre().y).abs();
    lengths(checks, Rule::KeeperTravel, "keeper's middle beyond its peg", disc.centre().x - at.x, Equal, OFF);
    lengths(checks, Rule::KeeperTravel, "keeper's peg off the way it travels", aside, Equal, Length::ZERO);
    let below: Vec<&Void> = bases.filter(bored).filter(|void| void.outline == hole.outline).collect();
    let into = |void: &&Void| void.z1 >= place.z0;
    numbers(
        checks,
        Rule::KeeperClear,
        "hole for the peg in the base",
        below.iter().copied().filter(|void| into(void)).count() as f64,
        Equal,
        1.0,
        "",
    );
    let under = below.iter().map(|void| void.z0).min().unwrap_or_default();
    lengths(checks, Rule::KeeperClear, "base under the peg's hole", under, AtLeast, UNDER);
}
