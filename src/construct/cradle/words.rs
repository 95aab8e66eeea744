//! The build sequence of a cradle in words.

use super::super::Setting;
use super::super::steps::{Steps, added, either, id, trim};
use crate::design::{Added, Design, Part, Role, VoidKind};
use crate::geometry::Rect;
use crate::length::Length;
use crate::request::{Hold, Level, RoundKind};
use crate::saw::{Assembly, end_over};

/// Glues up the carrier and trims it.
pub fn build(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let Some(room) = design.pockets.first().map(|pocket| pocket.outline.bounds()) else { return };
    let over = end_over(setting.request, Assembly::Trimmed);
    let base = id(design, Role::Base);
    let strips: Vec<&Part> = design.parts.iter().filter(|part| part.role == Role::CradleStrip).collect();
    let middle = (room.y0 + room.y1).half();
    let rail = id(design, Role::FenceRail);
    steps.careful(
        format!("Glue fence rail {rail} to base {base} flush with its fence edge; check with a straightedge. Wooden pegs from below, none in the no-metal area and none in the reference strip."),
        "No metal where the cutter runs: a brad in its path bursts the cutter.",
    );
    steps.adds(added::of(design, &[Role::Base]).chain(added::fence_rail(design)));
    if !strips.is_empty() {
        strike_and_glue(setting, design, &strips, (room, middle, over), steps);
    }
    // Equal rails share a letter, and equal ends.
    let (lead, trail) = (id(design, Role::LeadEnd), id(design, Role::TrailEnd));
    let ends = if trail.is_empty() { format!("ends {lead}") } else { format!("ends {lead} and {trail}") };
    let far = id(design, Role::FarRail);
    let far = if far.is_empty() { rail.clone() } else { far };
    let spindle = design.parts.iter().any(|part| part.role == Role::CradleStrip && part.places.len() > 2);
    if strips.is_empty() {
        steps.say(format!(
            "Mark the lead wall on the base {} from its lead end as it is now. Glue the {ends} square to the fence rail, the trail end set to the blank plus its clearance; then far rail {far}, set to the blank's flat plus its clearance.",
            setting.say(room.x0 + over)
        ));
    } else {
        steps.say(format!(
            "Glue the {ends} square to the fence rail, the lead end's inner face {} from the lead end of the base as it is now, the trail end {}; then far rail {far} against the strips.",
            setting.say(room.x0 + over),
            if spindle { "set to the blank plus its clearance" } else { "against the ends of the strips" }
        ));
    }
    steps.adds(added::lead_end(design).chain(added::trail_end(design)).chain(added::far_rail(design)));
    steps.say("Compare the diagonals, wipe out squeezed glue, weight it flat and let it cure.");
    trim(setting, design, steps);
}

/// The centre line, and the strips (or blocks) on it.
fn strike_and_glue(
    setting: &Setting<'_>,
    design: &Design,
    strips: &[&Part],
    (room, middle, over): (Rect, Length, Length),
    steps: &mut Steps,
) {
    let names: Vec<&str> = strips.iter().map(|part| part.id.as_str()).collect();
    let names = names.join(" and ");
    let places = || strips.iter().flat_map(|part| &part.places);
    let bevelled = places().any(|place| place.voids.iter().any(|void| void.kind == VoidKind::Bevel));
    steps.say(format!(
        "Strike the centre line over the whole base, {} from the fence edge at both ends.",
        setting.say_depth(middle)
    ));
    let risers: Vec<&Part> = design.parts.iter().filter(|part| part.role == Role::CradleRiser).collect();
    for riser in &risers {
        let Some(place) = riser.places.first() else { continue };
        steps.say(format!(
            "Glue riser {}, {} high, to the base against the fence rail: its lead edge {} from the lead end of the base as it is now.",
            riser.id,
            setting.say_depth(place.z1 - place.z0),
            setting.say(place.outline.bounds().x0 + over)
        ));
        steps.adds((0..riser.places.len()).map(|place| Added::Part { id: riser.id.clone(), place }));
    }
    let gap = places().map(|place| place.outline.bounds());
    let (mut low, mut high) = (room.y0, room.y1);
    for rect in gap {
        if rect.y1 <= middle { low = low.max(rect.y1) } else { high = high.min(rect.y0) }
    }
    let mut starts: Vec<Length> = places().map(|place| place.outline.bounds().x0).collect();
    starts.sort_unstable();
    starts.dedup();
    let at: Vec<String> = starts.iter().map(|x| setting.say(*x + over)).collect();
    let at = at.join(" and ");
    let on = if risers.is_empty() { "the base" } else { "base and risers" };
    if bevelled {
        steps.careful(
            format!(
                "Glue V strips {names} to {on}, wide faces down, lead ends {at} from the lead end of the base as it is now: the sharp edges meet on the centre line along their whole length, no gap and no overlap. Try the V with a square block before the glue grips."
            ),
            "Feather edges cut: gloves off, fingers flat. A gap in the bottom of the V lets the round sink.",
        );
    } else {
        steps.careful(
            format!(
                "Glue strips {names} to {on}, lead ends {at} from the lead end of the base as it is now, {} apart, the centre line in the middle of the gap: gauge it with a block of that width at both ends and between.",
                setting.say(high - low)
            ),
            "Do not ease the inner top edges: the round lies on them. A wider gap sinks it.",
        );
    }
    steps.adds(added::of(design, &[Role::CradleStrip]));
}

/// Puts the blank in its cradle.
pub fn fit(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let Some(round) = setting.request.blank.round() else { return };
    let rails = format!("rails {}", setting.say_depth(design.carrier.thickness));
    // As measured: the rails lie as low as the readings allow, and so do not tell it.
    let crown = setting.say_depth(design.blank.z1.nearest(setting.request.depth_step()));
    match &round.kind {
        RoundKind::RoundUp => {
            flat_down(setting, design, steps);
            return;
        }
        RoundKind::FlatUp => steps.say(format!(
            "Lay the half-round in its cradle, lead end against the lead wall, round side down. Turn it until a straightedge laid across both rails touches the flat over its whole width, at both ends and in the middle: flat {crown} above the bed face, {rails}; at most {} proud.",
            either(setting, "1/32 in", "0.8 mm")
        )),
        RoundKind::Spindle { level, thick_leads, .. } => {
            let (end, other) = if *thick_leads { ("lead", "trail") } else { ("trail", "lead") };
            let what = match level {
                Level::Crown => format!("the CROWN lies level: highest point {crown} above the bed face, {rails}; a straightedge along it is level with the rails at both ends"),
                Level::Axis => format!("the AXIS lies level: the crown, {crown} above the bed face at its highest, reaches the height of the rails ({rails}) at the thick end only and falls towards the {other} end"),
            };
            steps.say(format!(
                "Lay the spindle on its two blocks, thick end at the {end} end, lead end against the lead wall; {what}."
            ));
        }
        RoundKind::Rod => steps.say(format!(
            "Lay the rod in its cradle, lead end against the lead wall. Crown {crown} above the bed face, {rails}: a straightedge across both rails just touches it, at most {} proud.",
            either(setting, "1/32 in", "0.8 mm")
        )),
    }
    steps.adds([Added::Blank]);
    steps.careful(
        format!(
            "TURN STOP: nothing in the cradle's shape keeps a round from turning. Run hot glue along both lines where the blank touches, {} long within {} of each end and every {} between, both sides, below the top plane; the uncarved part of the blank may get a planed flat on a peg block as well. Let it set, then try with both hands to turn and lift it: it must not move.",
            either(setting, "1 in", "25 mm"),
            either(setting, "2 in", "50 mm"),
            either(setting, "6 in", "150 mm")
        ),
        "Hot glue burns. A round that turns under the cutter is thrown, and takes the depth with it.",
    );
    steps.careful(
        "Mark the crown line and the ends of blank and carrier across one another, so that a turned round shows; look at the marks after every pass.".to_owned(),
        "Never saw, plane or sand a round freehand: on a band saw it rolls and takes the hand with it. Keep it in this cradle, or a cradle like it, for every cut.",
    );
}

fn flat_down(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let Some(room) = design.pockets.first().map(|pocket| pocket.outline.bounds()) else { return };
    let play = room.width() - design.blank.outline.bounds().width();
    steps.say(format!(
        "Lay the half-round flat side down, lead end against the lead wall. The walls touch nothing but its bottom corners: pack BOTH sides with card at the bottom, the same on each ({} each as measured), so that the crown runs along the middle.",
        setting.say_depth(play.half())
    ));
    steps.adds([Added::Blank]);
    match setting.hold {
        Hold::HotGlue => steps.careful(
            "Hot-glue dabs along both bottom corners, at both ends and every 6 in (150 mm) between.".to_owned(),
            "Hot glue burns.",
        ),
        _ => steps.careful(
            format!(
                "Tape over the whole flat ({} thick), surfaces clean and dry; press the blank down hard all over; test by pushing sideways with {} and by lifting. Its flat keeps it from turning.",
                setting.say_depth(setting.adhesive),
                either(setting, "10 lb", "45 N")
            ),
            "Tape does not stick to dust, wax or fresh finish.",
        ),
    }
}
