//! The build sequence in words.

pub(super) mod added;
mod gaps;
mod nest;
mod screwed;
mod strip;

use nest::nest_laid_out;

use super::assemble::needs_stands;
use super::{Setting, cleat_steps, cradle, wedge_steps};
use crate::design::{Added, BuildStep, Design, Gang, Grain, Keeper, Operation, Part, Role, VoidKind};
use crate::geometry::Outline;
use crate::length::{Length, Ruler, Unit};
use crate::request::{Flip, Hold};
use crate::saw::{Assembly, end_over};

/// The order in which a carrier is built and fitted.
pub fn build_steps(setting: &Setting<'_>, design: &Design, assembly: Assembly) -> Vec<BuildStep> {
    let mut steps = Steps(Vec::new());
    if let Some(strip) = &setting.request.blank.strip {
        strip::saw_strip(setting, strip, &mut steps);
    }
    if design.parts.is_empty() {
        steps.say("Check the blank for metal, grit and loose bark; joint the fence edge straight.");
        stands(setting, design, &mut steps);
        if let Some(strip) = &setting.request.blank.strip {
            strip::cut_apart(setting, strip, &mut steps);
        }
        return steps.0;
    }
    steps.careful(
        format!(
            "Caliper the blank and the stock; write the sizes in the boxes. Stop if the blank's length or width differs from the sheet by more than {}, its thickness or the stock's by more than {}.",
            setting.say(design_uncertainty(setting)),
            either(setting, "1/64 in", "0.4 mm")
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
    if assembly == Assembly::Single {
        steps.adds(added::all(design));
    }
    match assembly {
        Assembly::Single => single(setting, design, &mut steps),
        Assembly::Trimmed if setting.request.blank.round().is_some() => cradle::build(setting, design, &mut steps),
        Assembly::Trimmed => built_up(setting, design, &mut steps),
        Assembly::TrimmedEnds | Assembly::Untrimmed => glued_on(setting, design, &mut steps),
    }
    if setting.request.blank.slope.is_some() {
        wedge_shims(setting, design, &mut steps);
    } else if design.blank.underside.is_some() {
        shims(setting, design, &mut steps);
    }
    steps.say(format!(
        "Ease the top edges at the lead and trail ends by {}, so that the rollers climb.",
        either(setting, "1/16 in", "1.5 mm")
    ));
    if design.clip_corner {
        steps.say(format!(
            "With a hand saw take {} off the lead/far corner, never the fence corner: the carrier is not symmetrical and must not look right backwards.",
            either(setting, "3/4 in", "19 mm")
        ));
        steps.adds([Added::Cut(VoidKind::ClippedCorner)]);
    }
    fit_blank(setting, design, &mut steps);
    steps.say("Mark FENCE, LEAD and TOP in big letters, with job and blank number.");
    steps.say(format!(
        "Check: rock on the flat bed at most {}; both edges parallel; ends square; fence edge straight and bare of wax, tape and glue.",
        either(setting, "1/64 in", "0.4 mm")
    ));
    steps.say("Write the as-built sizes on the set-up card.");
    stands(setting, design, &mut steps);
    if let Some(strip) = &setting.request.blank.strip {
        strip::cut_apart(setting, strip, &mut steps);
    }
    steps.0
}

/// The words for the sheet's own unit.
pub(super) fn either(setting: &Setting<'_>, inch: &'static str, mm: &'static str) -> &'static str {
    match setting.unit() {
        Unit::Inch => inch,
        Unit::Millimetre => mm,
    }
}

pub(super) struct Steps(Vec<BuildStep>);

impl Steps {
    pub fn say(&mut self, text: impl Into<String>) {
        self.0.push(BuildStep { text: text.into(), caution: None, adds: Vec::new() });
    }

    pub fn careful(&mut self, text: String, caution: &str) {
        self.0.push(BuildStep { text, caution: Some(caution.to_owned()), adds: Vec::new() });
    }

    /// What the step said last adds to the carrier.
    pub fn adds(&mut self, added: impl IntoIterator<Item = Added>) {
        if let Some(step) = self.0.last_mut() {
            step.adds.extend(added);
        }
    }
}

fn design_uncertainty(setting: &Setting<'_>) -> Length {
    (setting.length.high() - setting.length.largest).down(setting.step()).max(setting.step())
}

pub(super) fn id(design: &Design, role: Role) -> String {
    design.parts.iter().find(|part| part.role == role).map_or_else(String::new, |part| part.id.clone())
}

/// Whether the carrier is a board of the blank's own size with nothing cut into it.
fn is_riser(design: &Design) -> bool {
    let cut = |part: &Part| part.places.iter().any(|place| !place.voids.is_empty());
    matches!(design.parts.as_slice(), [only] if only.role == Role::Base && !cut(only))
}

fn single(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let Some(pocket) = design.pockets.first() else { return };
    if is_riser(design) {
        return;
    }
    let bounds = pocket.outline.bounds();
    let (nest, gang) = (matches!(pocket.outline, Outline::Path(_)), design.gang.is_some());
    let (it, tried) = if gang { ("every pocket", "each") } else { ("the pocket", "it") };
    if let Outline::Path(path) = &pocket.outline {
        nest_laid_out(setting, design, path, steps);
    } else {
        steps.say(format!(
        "Mark the fence edge and the lead end on the board. Lay out {} from these two: {} from the lead end, {} from the fence edge{}",
        if gang { "pocket 1" } else { it },
        setting.say(bounds.x0),
        setting.say(bounds.y0),
        if gang { "; the others by the pocket table, each from the same two edges, never from its neighbour. Number them." } else { "." },
    ));
    }
    steps.careful(
        format!(
            "Sink {it} to {} in light passes, floor flat. Try {tried} with the blank{} and a straightedge: the blank may stand up to {} proud, never sunk.",
            setting.say_depth(pocket.z1 - pocket.z0),
            if setting.adhesive > Length::ZERO { ", a scrap of the tape under it," } else { "" },
            either(setting, "1/64 in", "0.4 mm")
        ),
        "Clamp the board. Cutter out of the wood before the router is lifted. Dust mask: the dust of boards is harmful.",
    );
    steps.adds([Added::Cut(VoidKind::Pocket)]);
    if let Some(relief) = pocket.relief {
        let size = setting.say_depth(relief.diameter);
        let corners = if nest { "the sharp corners as drawn" } else { "the four inside corners" };
        let of = if gang { " of every pocket" } else { "" };
        steps.say(if relief.bored {
            format!("Relieve {corners}{of}: bore {size} with its centre on each corner.")
        } else {
            // Thousandths or tenths: this is set by eye, between two marks.
            let inset = relief.diameter.half_up() - relief.bite;
            let inset = match setting.unit() {
                Unit::Inch => Ruler::decimal_inch(1000).with_unit(inset.down(Length::inches(1, 1000))),
                Unit::Millimetre => Ruler::metric(100).with_unit(inset.down(Length::micrometres(100))),
            };
            if nest {
                format!("Relieve {corners}{of}: run the {size} cutter in along the line that halves each corner, until its edge is on the corner.")
            } else {
                format!(
                    "Relieve {corners}{of}: run the {size} cutter in diagonally until its centre stands {inset} from both walls, its edge on the corner."
                )
            }
        });
    }
    if pocket.relief.is_some() {
        steps.adds([Added::Cut(VoidKind::Relief)]);
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
        steps.adds([Added::Cut(VoidKind::Under)]);
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
            "Bore the {} push-out hole through the floor{}, scrap underneath.",
            setting.say(hole.outline.bounds().length()),
            match &design.gang {
                Some(gang) if gang.is_free() => ", in the middle of the box round each nest, as the template shows",
                Some(_) => " of each pocket",
                None => "",
            }
        ));
        steps.adds([Added::Cut(VoidKind::PushOut)]);
    }
    if design.parts.iter().any(|part| part.grain != Grain::None) {
        steps.say("Let the hollowed board rest a day; check it flat again.");
    }
}

fn built_up(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let base = id(design, Role::Base);
    let over = setting.say(end_over(setting.request, Assembly::Trimmed));
    if design.parts.iter().any(|part| part.role == Role::NestHalf) {
        let halves = id(design, Role::NestHalf);
        let on = if base.is_empty() { String::new() } else { format!(" on base {base}") };
        steps.careful(
            format!(
                "Glue the two halves {halves} together on the centre line{on}, the round true with the blank in it; {over} stands over at each end."
            ),
            "Keep glue out of the pocket and off the bed face.",
        );
        steps.adds(added::all(design));
    } else if design.parts.iter().any(|part| part.role == Role::Ring) {
        ring(setting, design, steps);
    } else if base.is_empty() {
        glued_frame(setting, design, steps);
        return;
    } else if !design.contacts.is_empty() {
        steps.0.extend(wedge_steps::built(setting, design));
        steps.0.extend(cleat_steps::built(setting, design));
    } else {
        let rail = id(design, Role::FenceRail);
        let end = id(design, Role::LeadEnd);
        steps.say(format!("Dry-lay all parts round the blank on base {base}, card between for the clearance."));
        steps.careful(
            format!("Glue fence rail {rail} to the base flush with its fence edge; check with a straightedge. Wooden pegs from below, none in the no-metal area and none in the reference strip."),
            "No metal where the cutter runs: a brad in its path bursts the cutter.",
        );
        steps.adds(added::of(design, &[Role::Base]).chain(added::fence_rail(design)));
        let wall = design.pockets.first().map_or(Length::ZERO, |pocket| pocket.outline.bounds().x0);
        let wall = setting.say(wall + end_over(setting.request, Assembly::Trimmed));
        let lead = format!(
            "Everything stands {over} over at each end until the last trim. Mark the lead wall on the base {wall} from its lead end as it is now, and glue lead end {end} to that mark, square to the fence rail: the datum corner is made."
        );
        if let Some(gang) = &design.gang {
            steps.say(lead);
            steps.adds(added::lead_end(design));
            ladder(setting, design, gang, steps);
        } else if !end.is_empty() {
            steps.say(lead);
            steps.adds(added::lead_end(design));
            steps.say(if setting.hold == Hold::Keeper {
                format!("Set the keeper end and the keeper rail to the sizes of the plan, notches towards the pocket at the places of the table of keepers. The table counts from the finished lead end: as the base is now every place lies {over} farther from it. The largest of the blanks goes in with room to spare. Glue them.")
            } else {
                "Set the trail end and the far rail to the blank plus its clearance, not to the ruler; glue them.".to_owned()
            });
            steps.adds(added::trail_end(design).chain(added::far_rail(design)));
        }
        let blocks = id(design, Role::CornerBlock);
        if !blocks.is_empty() {
            steps.say(format!(
                "With the blank in its place glue the four corner blocks {blocks} into the corners of the square, right angle outwards, a card clear of the blank."
            ));
            steps.adds(added::of(design, &[Role::CornerBlock]));
        }
    }
    steps.say("Compare the diagonals, wipe out squeezed glue, weight it flat and let it cure.");
    trim(setting, design, steps);
}

/// A nest sawn through a board, and the ring that is left glued on its base.
fn ring(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let (base, ring) = (id(design, Role::Base), id(design, Role::Ring));
    let over = setting.say(end_over(setting.request, Assembly::Trimmed));
    let hole = either(setting, "1/2 in", "12 mm");
    steps.say(format!(
        "Strike a line across ring {ring} and across base {base}, {over} from the lead end as it is now: it is the lead end of the finished carrier, and every distance from the lead end is from that line."
    ));
    steps.adds(added::of(design, &[Role::Ring]));
    if let Some(Outline::Path(path)) = design.pockets.first().map(|pocket| &pocket.outline) {
        nest_laid_out(setting, design, path, steps);
    }
    steps.careful(
        format!(
            "Clamp ring {ring} to the bench, the nest over the bench's edge and nothing under the line. Bore a {hole} hole inside the nest, clear of the line, and saw from it with the jigsaw, on the waste side; go into each corner from both sides and shift the board rather than reach over the saw."
        ),
        "Both hands on the saw, none under the board; unplug it to change the blade. The waste drops as the cut ends and can throw the blade: tape across the kerf behind the saw holds it.",
    );
    steps.adds([Added::Cut(VoidKind::Pocket)]);
    steps.say(
        "File to the line, square to the faces. Try the blank: it goes in all round without force and comes out by the finger gaps.",
    );
    if let Some(packing) = design.parts.iter().find(|part| part.role == Role::Packing) {
        steps.say(format!(
            "Lay the ring on the base, trace the nest through it, and glue packing {} inside the tracing.",
            packing.id
        ));
    }
    steps.careful(
        format!("Glue ring {ring} to base {base}, fence edges and the two lines flush; wooden pegs from below, none in the no-metal area and none in the reference strip."),
        "No metal: a brad in the cutter's path bursts the cutter. Keep glue out of the nest and off the bed face.",
    );
    steps.adds(added::of(design, &[Role::Base, Role::Packing]));
}

/// Strips and webs, pocket by pocket from the datum corner.
fn ladder(setting: &Setting<'_>, design: &Design, gang: &Gang, steps: &mut Steps) {
    let over = setting.say(end_over(setting.request, Assembly::Trimmed));
    let named = |name: &str| design.parts.iter().find(|part| part.name == name).map(|part| part.id.clone());
    if let Some(web) = named("web") {
        steps.careful(
            format!(
                "Row by row from the fence, glue the webs {web} to the base: each stands against the fence side of its row at the distance from the lead end that the pocket table gives, and {over} more as everything is still long, not by its neighbour. Keep a blank with its clearance beside it to try."
            ),
            "Glue under the webs only: a lump in a pocket cocks the blank.",
        );
        steps.adds(added::named(design, "web"));
    }
    if let Some(strip) = named("row strip") {
        steps.say(format!(
            "After each row but the last, glue a row strip {strip} from end to end; rows are {} apart.",
            setting.say(gang.pitch.y)
        ));
        steps.adds(added::named(design, "row strip"));
    }
    steps.say("Glue the far rail and the trail end last, to the sizes of the plan. Number the pockets.");
    steps.adds(added::trail_end(design).chain(added::far_rail(design)));
}

fn glued_frame(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let pinched = setting.hold == Hold::Snug;
    let ends = design.parts.iter().any(|part| part.role == Role::LeadEnd);
    let over = setting.say(end_over(setting.request, Assembly::Trimmed));
    steps.say("Lay the blank face down on a flat, waxed board: all faces that touch the rollers come out flush. So it is seen from below: with LEAD at your left the fence edge lies away from you, as in the drawing SEEN FROM BELOW.");
    steps.adds([Added::Blank]);
    if pinched {
        steps.careful(
            format!("Screw through the rails into the ends, outside the no-metal area, so that they pinch the blank; {over} stands over at each end."),
            either(
                setting,
                "Screws never in the swept area, never in the reference strip; heads sunk 1/8 in.",
                "Screws never in the swept area, never in the reference strip; heads sunk 3 mm.",
            ),
        );
    } else {
        steps.careful(
            format!(
                "Glue the {} to the blank's edges with spots that will release; flush on both faces within {}{}.",
                if ends { "ends and rails" } else { "rails" },
                either(setting, "1/64 in", "0.4 mm"),
                if ends { format!("; {over} stands over at each end") } else { String::new() }
            ),
            "Hot glue burns. Let it set before the piece is moved.",
        );
    }
    steps.adds(added::all(design));
    if design.parts.iter().any(|part| {
        part.role == Role::FarRail
            && matches!(part.places.first().map(|place| &place.outline), Some(Outline::Polygon(_)))
    }) {
        steps.say("Check that the fence edge and the far edge run parallel before the glue grips: the far rail's wide end lies where the blank is narrow.");
    }
    steps.careful(
        "Before any sawing pull at every joint by hand, and clamp a board across the face so that nothing can come out.".to_owned(),
        "A blank that leaves its glue spots at the saw is thrown.",
    );
    trim(setting, design, steps);
}

fn glued_on(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let over = setting.say(end_over(setting.request, Assembly::TrimmedEnds));
    steps.careful(format!("{}; {over} stands over at each outer end.", peg_words(setting)), "No metal pegs.");
    let ends = added::of(design, &[Role::LeadEnd, Role::TrailEnd]);
    steps.adds(ends.chain([Added::Blank]));
    if design.parts.iter().any(|part| part.role == Role::FenceRail) {
        steps.say("Bring blank and ends to one line at the fence side against a straightedge as they are glued; then glue the fence rail on over its whole length.");
        steps.adds(added::fence_rail(design));
    } else {
        steps.say("Bring blank and ends to one line at both sides against a straightedge as they are glued.");
    }
    if design.parts.iter().any(|part| part.role == Role::Base) {
        steps.say("Glue the base under blank and ends in spots, both faces clean and dry.");
        steps.adds(added::of(design, &[Role::Base]));
    }
    steps.careful(
        "Lay it on a flat board to cure; carry it flat.".to_owned(),
        "A joint in end grain snaps when the piece is lifted by one end.",
    );
    if design.cut_list.steps.iter().any(|step| step.operation == Operation::TrimCrosscut) {
        steps.say(format!("Trim the ends square to {} overall.", setting.say(design.carrier.length)));
    }
}

/// How the butt joints are pegged, where the cut leaves wood enough for it.
fn peg_words(setting: &Setting<'_>) -> String {
    let (size, deep) = (Length::inches(1, 4), Length::inches(3, 4));
    let carve = &setting.request.carve;
    // A peg at mid-thickness with a wall of 1/8 in to the cut above it, or in uncarved waste.
    let below = setting.thickness.half() - size.half() - Length::inches(1, 8);
    let [lead, trail, ..] = setting.margins;
    let waste = lead.min(trail) >= deep + setting.reach() + Length::inches(1, 8);
    if setting.thickness >= Length::inches(1, 2) && (carve.depth <= below || (carve.stated && waste)) {
        format!(
            "Glue the ends on, grain with the blank's, each with two loose wooden pegs {} thick, {} deep on either side of the joint, at mid-thickness and a quarter of the width in from each edge",
            either(setting, "1/4 in", "6 mm"),
            either(setting, "3/4 in", "19 mm")
        )
    } else {
        "Glue the ends on, grain with the blank's, without pegs: the cut would lay them bare".to_owned()
    }
}

pub(super) fn trim(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
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
            "Glue shims {shim} to the base at the places of the shim map, each as thick as it says: up to {thickest}, at the edges shaved to the slope. Lay the blank on them in the datum corner, carved face up; where it rocks lift it out and add card. A dab of glue on each shim holds it; press nothing down."
        ),
        "Pressed flat it springs back after the cut, and the depth is wrong everywhere. Never tape it flat.",
    );
    steps.adds(added::of(design, &[Role::Shim]).chain([Added::Blank]));
    steps.say("Try with a straightedge from rail to rail: the highest place touches it, and the blank gives nowhere under the thumb. Shim where it gives.");
}

/// Levelling a blank that tapers in thickness.
fn wedge_shims(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    let shim = id(design, Role::WedgeShim);
    let across =
        setting.seat.as_ref().is_some_and(|seat| seat.rows.first().is_some_and(|row| row.first() == row.last()));
    let shims = design.parts.iter().filter(|part| part.role == Role::WedgeShim).flat_map(|part| &part.places);
    let edge = |shim: &crate::design::Place| {
        let bounds = shim.outline.bounds();
        let near = if across { bounds.x0 } else { bounds.y0 };
        setting.request.shop.ruler.number(near.nearest(setting.step()))
    };
    let places: Vec<String> = shims.map(edge).collect();
    let (wall, up) = if across { ("fence", "far side") } else { ("lead", "trail end") };
    let (low, high) =
        setting.seat.as_ref().map_or((setting.rise, setting.rise), |seat| (seat.least(), seat.greatest()));
    steps.careful(
        format!(
            "Glue the wedge shims {shim} to the base with their near edges {places} from the {from}, sawn face up, thin ends ({}) against the {wall} wall, rising to {} at the {up}; check them with the table of wedge heights.",
            setting.say_depth(low),
            setting.say_depth(high),
            places = places.join(", "),
            from = if across { "lead end" } else { "fence edge" },
        ),
        "The wrong way round the slope doubles instead of vanishing.",
    );
    steps.adds(added::of(design, &[Role::WedgeShim]));
    steps.careful(
        format!("Lay the blank on the shims, carved face up, its THICK end hard against the {wall} wall: that wall is the stop. A straightedge from rail to rail touches the blank all over; with a thin feeler find any shim that does not carry, and pack it."),
        "The feed pushes the blank down its wedges: leave no gap between the thick end and its wall.",
    );
    steps.adds([Added::Blank]);
}

/// Making the keepers, and loading a blank with them.
fn load_with_keepers(setting: &Setting<'_>, design: &Design, push: &str, steps: &mut Steps) {
    let keeper = id(design, Role::Keeper);
    let high =
        design.parts.iter().find(|part| part.role == Role::Keeper).map_or(Length::ZERO, |part| part.size.thickness);
    steps.careful(
        format!(
            "Saw the keepers {keeper} {} thick off the rod with a hand saw in a mitre box and bore each {} through, {} off its middle. Mark the edge farthest from the hole: that is the edge that locks.",
            setting.say_depth(high),
            setting.say(Keeper::peg(setting.unit())),
            setting.say(Keeper::OFF)
        ),
        "Clamp the disc for boring; never hold it in the fingers.",
    );
    steps.careful(
        format!(
            "Bore the base {} deep, not through, at the pivots of the table of keepers, and glue in wooden pegs that end below the keepers' tops. Each keeper turns freely and parks clear of the pocket.",
            setting.say(Keeper::PEG_DEEP)
        ),
        "No screw for a pivot: the cutter runs near it.",
    );
    steps.adds([Added::Cut(VoidKind::PegHole)]);
    steps.adds(added::of(design, &[Role::Keeper]));
    steps.careful(
        format!("{push} Turn the far keeper, then the trail one, until they bite; both lock before their mark points straight at the blank. For the next blank turn them back to park, brush the chips out, push home, turn."),
        "A keeper that goes past its mark without biting is worn, or the blank is too small: make a new one.",
    );
}

fn fit_blank(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    if setting.request.blank.round().is_some() {
        cradle::fit(setting, design, steps);
        return;
    }
    if !design.contacts.is_empty() {
        steps.0.extend(if design.driven().is_some() {
            cleat_steps::fitted(setting, design)
        } else {
            wedge_steps::fitted(setting, design)
        });
        return;
    }
    if design.joints.iter().any(|joint| joint.between.0 == "blank" || joint.between.1 == "blank") {
        return;
    }
    let round = design.pockets.first().is_some_and(|pocket| matches!(pocket.outline, Outline::Disc { .. }));
    let (push, sides) = if round {
        ("Lay the disc in the middle of its round, the same gap all about.", "all round")
    } else if matches!(design.blank.outline, Outline::Path(_))
        && design.gang.as_ref().is_some_and(|gang| gang.pair.is_some())
    {
        (
            "Lay every blank into its nest, top up, every second one of a row turned half round and its artwork with it; each goes in without force.",
            "all round",
        )
    } else if design.gang.as_ref().is_some_and(|gang| gang.is_free() && gang.turns_any()) {
        (
            "Lay every blank into its nest, top up, those that the pocket table says turned half round, their artwork with them; each goes in without force.",
            "all round",
        )
    } else if matches!(design.blank.outline, Outline::Path(_)) && design.gang.is_some() {
        ("Lay every blank into its nest, top up, all the same way round; each goes in without force.", "all round")
    } else if matches!(design.blank.outline, Outline::Path(_)) {
        ("Lay the blank into its nest, top up; it goes in without force.", "all round")
    } else if is_riser(design) {
        (
            "Lay the blank on the board, fence edges in one line, lead ends in another; check both with a straightedge.",
            "all round",
        )
    } else if design.gang.is_some() {
        ("Push every blank home into the datum corner of its own pocket, lead and fence.", "at the trail and far sides")
    } else {
        ("Push the blank home into the datum corner, lead and fence.", "at the trail and far sides")
    };
    let push = match &setting.request.blank.second_side {
        Some(carved) => format!("{}. {push}", carved.flip.words()),
        None => push.to_owned(),
    };
    let press = if setting.request.blank.fragile {
        "Press it down on the level border only, through a soft block"
    } else {
        "Press it down hard all over"
    };
    match setting.hold {
        Hold::Keeper => load_with_keepers(setting, design, &push, steps),
        Hold::Screws => screwed::screwed(setting, design, &push, steps),
        Hold::Snug => steps.say(format!("{push} Pack it with card {sides} until it cannot be moved by hand.")),
        Hold::Wedge => steps.say(format!("{push} Drive the wedges at the far side first, then at the trail end; a dab of glue on each.")),
        Hold::Tape | Hold::Film => steps.careful(
            format!(
                "Tape over the whole underside ({} thick), surfaces clean and dry. {push} {press}; test by pushing sideways with {} and by lifting.",
                setting.say_depth(setting.adhesive),
                either(setting, "10 lb", "45 N")
            ),
            "Tape does not stick to dust, wax or fresh finish.",
        ),
        Hold::HotGlue if design.blank.underside.is_some() && setting.request.blank.slope.is_none() => {}
        Hold::HotGlue => steps.careful(format!("{push} Hot-glue dabs {sides}, below the top plane."), "Hot glue burns."),
    }
    if !steps.0.iter().any(|step| step.adds.contains(&Added::Blank)) {
        steps.adds([Added::Blank]);
    }
    if let Some(gang) = &design.gang {
        let last = gang.last_load();
        let rest = match (gang.loads(), last == gang.pockets) {
            (loads, _) if loads > 1 && gang.is_mixed() => {
                format!(", {loads} times, of each outline as many as beside the pocket table")
            }
            (1, _) => String::new(),
            (loads, true) => format!(", {loads} times"),
            (loads, false) => format!(", {} times; {last} in the last load", loads - 1),
        };
        let fill = gang.pockets.min(gang.blanks);
        if last < gang.pockets {
            steps.say(format!(
                "Fill the {} pockets that stay empty in the last load with scrap as thick as the blanks, taped like them: the rollers want something under them.",
                gang.pockets - last
            ));
        }
        // Screwed blanks are in their pockets already.
        let load = if setting.hold == Hold::Screws { "Check" } else { "Load" };
        steps.careful(
            format!("{load} {fill} blanks{rest}, pocket 1 first, in the order of the numbers; tick them off. A straightedge over rails and blanks: none stands more than {} above its neighbours.", either(setting, "1/64 in", "0.4 mm")),
            "One blank that lifts wrecks its neighbours.",
        );
    }
    if design.bridge {
        steps.say("Lay a straightedge over the rails: nothing on the blank may touch it. ROLLERS TOUCH RAILS ONLY.");
    }
    if matches!(design.blank.outline, Outline::Disc { .. }) {
        steps.say("Mark blank and carrier across the edge, so that a turned disc shows.");
    }
}

fn stands(setting: &Setting<'_>, design: &Design, steps: &mut Steps) {
    if !needs_stands(setting, design.carrier.length) {
        return;
    }
    let say = |places: &[Length]| places.iter().map(|place| setting.say(*place)).collect::<Vec<_>>().join(" and ");
    let text = match &setting.request.stands {
        Some(own) if own.infeed == own.outfeed => {
            format!("Set the stands on both sides of the machine to bed height, {} from the cutter.", say(&own.infeed))
        }
        Some(own) => {
            let side = |places: &[Length], name: &str| match places {
                [] => format!("none at the {name}"),
                some => format!("{} from it at the {name}", say(some)),
            };
            format!(
                "Set the stands to bed height, measured from the cutter: {}, {}.",
                side(&own.infeed, "infeed"),
                side(&own.outfeed, "outfeed")
            )
        }
        None => format!(
            "Put stands on both sides of the machine at bed height, {} from the ends of its bed (estimate).",
            say(&setting.request.machine.stand_places(design.carrier.length))
        ),
    };
    steps.careful(text, "A long carrier tips and lifts under the cutter.");
}
