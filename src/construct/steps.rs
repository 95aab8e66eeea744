//! The build sequence in words.

use super::Setting;
use super::assemble::needs_stands;
use crate::design::{BuildStep, Design, PocketKind, Role, VoidKind};
use crate::length::Length;
use crate::request::{Flip, Hold};
use crate::saw::Assembly;

/// The order in which a carrier is built and fitted.
pub fn build_steps(setting: &Setting<'_>, design: &Design, assembly: Assembly) -> Vec<BuildStep> {
    let mut steps = Steps(Vec::new());
    if design.parts.is_empty() {
        steps.say("Check the blank for metal, grit and loose bark; joint the fence edge straight.");
        stands(setting, design, &mut steps);
        return steps.0;
    }
    let uncertainty = design_uncertainty(setting);
    steps.careful(
        format!(
            "Caliper the blank and the stock; write the sizes in the boxes. Stop if the blank differs from the sheet by more than {}.",
            setting.say(uncertainty)
        ),
        "Nominal thicknesses lie. Look for nails and grit in blank and scrap.",
    );
    if !design.blank.thickness_known {
        steps.say("Measure the thickness at three corners and run the job again: no depth, stock or cut list is given until then.");
        return steps.0;
    }
    steps.careful(
        "Prepare the parts in the order of the cut list: plane while long, rip, then crosscut.".to_owned(),
        "Guards on, push block at hand. Short pieces only ever fall away from a long one.",
    );
    match assembly {
        Assembly::Single => single(setting, design, &mut steps),
        Assembly::Trimmed => built_up(setting, design, &mut steps),
        Assembly::TrimmedEnds | Assembly::Untrimmed => glued_on(setting, design, &mut steps),
    }
    if design.blank.underside.is_some() {
        shims(setting, design, &mut steps);
    }
    steps.say("Ease the top edges at the lead and trail ends by 1/16 in (1.5 mm), so that the rollers climb.");
    fit_blank(setting, design, &mut steps);
    if design.clip_corner {
        steps.say("Saw 3/4 in (19 mm) off the lead/far corner, never the fence corner: the carrier is not symmetrical and must not look right backwards.");
    }
    steps.say("Mark FENCE, LEAD and TOP in big letters, with job and blank number.");
    steps.say("Check: rock on the flat bed at most 1/64 in (0.4 mm); both edges parallel; ends square; fence edge straight and bare of wax, tape and glue.");
    steps.say("Write the as-built sizes on the set-up card.");
    stands(setting, design, &mut steps);
    steps.0
}

struct Steps(Vec<BuildStep>);

impl Steps {
    fn say(&mut self, text: impl Into<String>) {
        self.0.push(BuildStep { text: text.into(), caution: None });
    }

    fn careful(&mut self, text: String, caution: &str) {
        self.0.push(BuildStep { text, caution: Some(caution.to_owned()) });
    }
}

fn design_uncertainty(setting: &Setting<'_>) -> Length {
    (setting.length.high() - setting.length.largest).max(setting.step())
}

fn id(design: &Design, role: Role) -> String {
    design.parts.iter().find(|part| part.role == role).map_or_else(String::new, |part| part.id.clone())
}

fn single(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let Some(pocket) = design.pockets.first() else { return };
    let bounds = pocket.outline.bounds();
    steps.say(format!(
        "Mark the fence edge and the lead end on the board. Lay out the pocket from these two: {} from the lead end, {} from the fence edge.",
        setting.say(bounds.x0),
        setting.say(bounds.y0)
    ));
    steps.careful(
        format!(
            "Sink the pocket to {} in light passes, floor flat. Try it with the blank and a straightedge: the blank may stand up to 1/64 in (0.4 mm) proud, never sunk.",
            setting.say_depth(pocket.z1 - pocket.z0)
        ),
        "Clamp the board. Cutter out of the wood before the router is lifted. Dust mask: fibreboard dust is harmful.",
    );
    if let Some(relief) = pocket.relief {
        let how = if relief.bored { "bored on the corner" } else { "run in diagonally" };
        steps.say(format!("Relieve the four inside corners, {} cutter {how}.", setting.say_depth(relief.diameter)));
    }
    if let Some((room, carved)) = design.pockets.get(1).zip(setting.request.blank.second_side.as_ref()) {
        let area = room.outline.bounds();
        steps.careful(
            format!(
                "Inside it sink the room for the relief, {} below the ledge: from {} to {} from the lead end, from {} to {} from the fence edge. Before cutting lay the blank over the lines, carved face down, {}, and look.",
                setting.say_depth(room.z1 - room.z0),
                setting.say(area.x0),
                setting.say(area.x1),
                setting.say(area.y0),
                setting.say(area.y1),
                match carved.flip {
                    Flip::Along => "rolled over sideways, the same end leads",
                    Flip::Across => "turned end for end, the same edge at the fence",
                }
            ),
            "Turned over the wrong way the relief lands on the ledge and is crushed.",
        );
    }
    if setting.below.is_some() {
        steps.say("Line the ledge with card where the border is crisp, and count its thickness in the depth. Tape only where the finish can bear it.");
    }
    let hole = design
        .parts
        .iter()
        .flat_map(|part| &part.places)
        .flat_map(|place| &place.voids)
        .find(|void| void.kind == VoidKind::PushOut);
    if let Some(hole) = hole {
        steps.say(format!(
            "Bore the {} push-out hole through the floor, scrap underneath.",
            setting.say(hole.outline.bounds().length())
        ));
    }
    steps.say("Let the hollowed board rest a day if it is solid wood; check it flat again.");
}

fn built_up(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let base = id(design, Role::Base);
    if design.parts.iter().any(|part| part.role == Role::NestHalf) {
        let halves = id(design, Role::NestHalf);
        let on = if base.is_empty() { String::new() } else { format!(" on base {base}") };
        steps.careful(
            format!(
                "Glue the two halves {halves} together on the centre line{on}, the round true with the blank in it."
            ),
            "Keep glue out of the pocket and off the bed face.",
        );
    } else if base.is_empty() {
        glued_frame(setting, design, steps);
        return;
    } else {
        let rail = id(design, Role::FenceRail);
        let end = id(design, Role::LeadEnd);
        steps.say(format!("Dry-lay all parts round the blank on base {base}, card between for the clearance."));
        steps.careful(
            format!("Glue fence rail {rail} to the base flush with its fence edge; check with a straightedge. Wooden pegs from below, none in the no-metal area."),
            "No metal where the cutter runs: a brad in its path bursts the cutter.",
        );
        if !end.is_empty() {
            steps.say(format!("Glue lead end {end} square to it: the datum corner is made."));
            steps.say(
                "Set the trail end and the far rail to the blank plus its clearance, not to the ruler; glue them.",
            );
        }
    }
    steps.say("Compare the diagonals, wipe out squeezed glue, weight it flat and let it cure.");
    trim(setting, design, steps);
}

fn glued_frame(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let pinched = setting.hold == Hold::Snug;
    steps.say("Lay the blank face down on a flat, waxed board: all faces that touch the rollers come out flush.");
    if pinched {
        steps.careful(
            "Screw through the rails into the ends, outside the no-metal area, so that they pinch the blank."
                .to_owned(),
            "Screws never in the swept area, never in the reference strip; heads sunk 1/8 in (3 mm).",
        );
    } else {
        steps.careful(
            "Glue the ends and rails to the blank's edges with spots that will release; flush on both faces within 1/64 in (0.4 mm).".to_owned(),
            "Hot glue burns. Let it set before the piece is moved.",
        );
    }
    if design.parts.iter().any(|part| part.role == Role::FarRail && part.remark.is_some()) {
        steps.say("Check that the fence edge and the far edge run parallel before the glue grips: the far rail's wide end lies where the blank is narrow.");
    }
    trim(setting, design, steps);
}

fn glued_on(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    steps.careful(
        "Bore for two loose wooden pegs across every butt joint, at mid-thickness and clear of the cut; glue the ends on, grain with the blank's.".to_owned(),
        "No metal pegs.",
    );
    if design.parts.iter().any(|part| part.role == Role::FenceRail) {
        steps.say("Joint the fence edge of blank and ends straight in one pass, then glue the fence rail on over its whole length.");
    }
    if design.parts.iter().any(|part| part.role == Role::Base) {
        steps.say("Glue the base under blank and ends in spots, both faces clean and dry.");
    }
    steps.careful(
        "Lay it on a flat board to cure; carry it flat.".to_owned(),
        "A joint in end grain snaps when the piece is lifted by one end.",
    );
    if design
        .cut_list
        .steps
        .iter()
        .any(|step| step.piece == "carrier" && step.operation == crate::design::Operation::TrimCrosscut)
    {
        steps.say(format!("Trim the ends square to {} overall.", setting.say(design.carrier.length)));
    }
}

fn trim(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    steps.careful(
        format!(
            "Trim last: rip the far edge parallel to the fence edge to {} wide, then both ends square to {} long. Measure at both ends. NOT SHORTER, NOT NARROWER.",
            setting.say(design.carrier.width),
            setting.say(design.carrier.length)
        ),
        "No metal in the path of the saw.",
    );
}

/// Laying a warped blank level.
fn shims(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let thickest = setting.say_depth(setting.rise);
    let shim = id(design, Role::Shim);
    steps.careful(
        format!(
            "Lay the blank in the datum corner, carved face up, and slide shims {shim} under it at the places of the shim map until each just touches: up to {thickest} thick, at the edges shaved to the slope. Dab each with glue to the base and to the blank; press nothing down."
        ),
        "Pressed flat it springs back after the cut, and the depth is wrong everywhere. Never tape it flat.",
    );
    steps.say("Try with a straightedge from rail to rail: the highest place touches it, and the blank gives nowhere under the thumb. Shim where it gives.");
}

fn fit_blank(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let glued = design.pockets.first().is_none_or(|pocket| pocket.kind == PocketKind::Open)
        && !design.joints.is_empty()
        && matches!(setting.hold, Hold::HotGlue | Hold::Snug)
        && design.joints.iter().any(|joint| joint.between.0 == "blank" || joint.between.1 == "blank");
    if glued {
        return;
    }
    let push = "Push the blank home into the datum corner, lead and fence.";
    match setting.hold {
        Hold::Snug => steps.say(format!("{push} Pack the trail and far sides with card until it cannot be moved by hand.")),
        Hold::Wedge => steps.say(format!("{push} Drive the wedges at the far side first, then at the trail end; a dab of glue on each.")),
        Hold::Tape | Hold::Film => steps.careful(
            format!("Tape over the whole underside ({} thick), surfaces clean and dry. {push} Press it down hard all over; test by pushing sideways with 10 lb (45 N) and by lifting.", setting.say_depth(setting.adhesive)),
            "Tape does not stick to dust, wax or fresh finish.",
        ),
        Hold::HotGlue if design.blank.underside.is_some() => {}
        Hold::HotGlue => steps.careful(format!("{push} Hot-glue dabs at the trail and far sides, below the top plane."), "Hot glue burns."),
    }
    if design.bridge {
        steps.say("Lay a straightedge over the rails: nothing on the blank may touch it. ROLLERS TOUCH RAILS ONLY.");
    }
    if design.parts.iter().any(|part| part.role == Role::CornerBlock)
        || matches!(design.blank.outline, crate::geometry::Outline::Disc { .. })
    {
        steps.say("Mark blank and carrier across the edge, so that a turned disc shows.");
    }
}

fn stands(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    if needs_stands(setting, design.carrier.length) {
        steps.careful(
            "Put stands on both sides of the machine at bed height, closer together than half the carrier's length."
                .to_owned(),
            "A long carrier tips and lifts under the cutter.",
        );
    }
}
