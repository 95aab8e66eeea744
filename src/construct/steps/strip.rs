//! Steps for a strip of small parts: sawing it before the carrier is made, and apart after carving.

use super::{Setting, Steps, either};
use crate::length::Length;
use crate::request::{CutApart, Strip};

pub(super) fn saw_strip(setting: &Setting<'_>, strip: &Strip, steps: &mut Steps) {
    let many = setting.request.blank.count;
    let strips = if many == 1 { "one strip".to_owned() } else { format!("{many} strips alike") };
    steps.careful(
        format!(
            "Saw {strips} {} long, {} wide, grain along it, out of one longer board: {} parts in each. Mark its lead end and fence edge. From here on the strip is the blank.",
            setting.say(strip.total()),
            setting.say(strip.across()),
            strip.each
        ),
        "Do not saw the parts to size now: one alone is too small to be held.",
    );
}

pub(super) fn cut_apart(setting: &Setting<'_>, strip: &Strip, steps: &mut Steps) {
    if strip.side > Length::ZERO {
        steps.careful(
            format!(
                "After carving take the strip out whole. Saw the {} of waste off each side of the parts first, with a hand saw or on a band saw with fence and push stick, while the strip is in one piece.",
                setting.say(strip.side)
            ),
            "No part alone ever goes over a power saw.",
        );
    } else {
        steps.say("After carving take the strip out whole.");
    }
    match strip.cut_apart {
        CutApart::HandSaw => steps.careful(
            "Hold the strip on a bench hook and saw it apart with a fine hand saw along the cutting lines, from the lead end on; the part is the piece that falls away. Bring each to its edge on a sanding block.".to_owned(),
            "Hold the long side; the last part is held in a clamp, not in the fingers.",
        ),
        CutApart::PowerSaw => steps.careful(
            format!(
                "Saw it apart with the mitre saw or band saw along the cutting lines: hand on the {} end at the trail side, a backing board behind the strip, first the lead end off, then part after part; the small part is the piece that falls away, the trail end stays in the hand. Set each length by a mark or a stop that is swung away before the cut.",
                either(setting, "6 in", "150 mm")
            ),
            "A part caught between stop and blade is thrown: no stop beside the piece that falls away. Let it lie until the blade stands.",
        ),
    }
}
