//! Boring for screws from below, and driving them.

use super::{Setting, Steps};
use crate::design::{Added, Design, VoidKind};
use crate::length::Length;

/// Bores, lays in the blank and screws it down; `push` says how it is laid in.
pub(super) fn screwed(setting: &Setting<'_>, design: &Design, push: &str, steps: &mut Steps) {
    let Some(screws) = &design.screws else {
        steps.say(push.to_owned());
        return;
    };
    let (n, depth) = (&setting.request.shop.ruler, &setting.request.shop.depth_ruler);
    // A hole wider than a drill's step over its screw is for the blank to move in.
    let moves = screws.hole - screws.diameter > Length::inches(1, 64);
    steps.careful(
        format!(
            "Turn the carrier over and mark the screws by their table, each from the lead end and the fence edge. Bore {} through{}, scrap inside, then countersink {} deep by a stop, {} across at the face: a head laid in lies {} below the bed face.",
            depth.with_unit(screws.hole),
            if moves { ", no tighter: the blank swells and shrinks in these holes" } else { "" },
            depth.with_unit(screws.countersink),
            depth.with_unit(screws.mouth),
            depth.with_unit(screws.sunk)
        ),
        "Clamp the carrier. A countersink that is too deep lets the tip up towards the cutter.",
    );
    steps.adds([Added::Cut(VoidKind::ScrewHole), Added::Cut(VoidKind::Countersink)]);
    let stop = screws.drill_stop(setting.request.depth_step());
    steps.careful(
        format!(
            "{push} Clamp it down. Prick the middle of each screw hole through to the blank with the point of the drill that bored it; there bore pilot holes {} with the drill stopped {} from the bed face, that is {} into the blank.",
            depth.with_unit(screws.pilot),
            depth.with_unit(stop),
            depth.with_unit(stop - design.blank.z0)
        ),
        "A stop on the drill, and its depth tried on scrap: one that slips through spoils the blank.",
    );
    steps.adds([Added::Blank]);
    steps.careful(
        format!(
            "Drive the {} screws {} x {} by hand until the heads are home; a straightedge over the bed face touches none. Write their number and length on the carrier.",
            screws.places.len(),
            screws.size,
            n.with_unit(screws.length)
        ),
        "Measure every screw: a longer one meets the cutter. Before blank or carrier is sawn, planed, sanded or carved any deeper, take them all out and count them.",
    );
}
