//! The notes beside the views of a bench sheet: overall figures, warnings, depths, closing sums, the key.

use super::flow::Flow;
use crate::design::{Design, Gang, Grain, Pocket, PocketKind, Role, VoidKind};
use crate::drawing::{Picture, Text, Weight, at};
use crate::geometry::Outline;
use crate::length::{Length, Ruler};
use crate::request::{Flip, Request};
use crate::rules::Rounding;
use crate::setup::{
    cleats_at_angles, face_word, has_datum_corner, held_by_contacts, lies_in_cradle, lies_in_round, pocket_of,
    unconfirmed,
};
use crate::views::{self, SMALL, depth_text, proud_text};

/// Height of the three overall figures, mm (a nominal height of ISO 3098).
const HUGE: f64 = 7.0;

/// Text set in columns of several widths.
pub(super) fn columns(sheet: f64, write: impl Fn(&mut Flow)) -> Vec<Picture> {
    let widths = [78.0, 62.0, 56.0, 100.0, 130.0, 230.0_f64];
    let set = |width: f64| {
        let mut flow = Flow::column(width.min(sheet));
        write(&mut flow);
        flow.into_block().0
    };
    widths.into_iter().map(set).collect()
}

/// The three overall figures, side by side and one under the other.
pub(super) fn numbers(request: &Request, design: &Design) -> Vec<Picture> {
    let size = design.carrier;
    let known = design.blank.thickness_known;
    let shop = &request.shop;
    let cells = |below: bool| {
        let set = (below, request.sheet.other_unit);
        [
            figure(design, "LONG", "carrier.length", ("shorter", "longer"), size.length, &shop.ruler, true, set),
            figure(design, "WIDE", "carrier.width", ("narrower", "wider"), size.width, &shop.ruler, true, set),
            figure(
                design,
                "THICK",
                "carrier.thickness",
                ("thinner", "thicker"),
                size.thickness,
                &shop.depth_ruler,
                known,
                set,
            ),
        ]
    };
    let (mut row, mut column) = (Picture::default(), Picture::default());
    let mut x = 0.0;
    for cell in cells(true) {
        let width = cell.area().width();
        row.add(cell, at(x, 0.0));
        x += width + 6.0;
    }
    for (place, cell) in cells(false).into_iter().enumerate() {
        column.add(cell, at(0.0, -18.6 * place as f64));
    }
    vec![row, column]
}

/// One figure with its name above it; the other unit stands below, or else above beside the name.
#[expect(clippy::too_many_arguments, reason = "one private helper for three like figures")]
fn figure(
    design: &Design,
    name: &str,
    dimension: &str,
    (less, more): (&str, &str),
    size: Length,
    ruler: &Ruler,
    known: bool,
    (below, other_unit): (bool, bool),
) -> Picture {
    let decided = design.trace.find(dimension).and_then(|reason| reason.decided_by);
    let limit = match decided.map(|rule| rule.info().rounding) {
        Some(Rounding::Up) => format!("{name}, not {less}"),
        Some(Rounding::Down) => format!("{name}, not {more}"),
        Some(Rounding::Exact) | None => name.to_owned(),
    };
    let mut picture = Picture::default();
    let name = Text::new(at(0.0, 0.0), SMALL, if known { &limit } else { name });
    let other = if below { at(0.0, -18.6) } else { at(name.width() + 3.0, 0.0) };
    picture.text(name);
    if known {
        picture.text(Text::new(at(0.0, -11.4), HUGE, &ruler.with_unit(size)).bold().stacked());
        if let (Some((_, bracket)), true) = (ruler.both(size).split_once(" ("), other_unit) {
            picture.text(Text::new(other, SMALL, &format!("({bracket}")));
        }
    } else {
        picture.text(Text::new(at(0.0, -11.4), HUGE, "?").bold());
        picture.text(Text::new(other, SMALL, "caliper the blank first"));
    }
    picture
}

pub(super) fn has_warnings(request: &Request, design: &Design) -> bool {
    !unconfirmed(&request.machine).is_empty()
        || !design.blank.thickness_known
        || design.construction == "none"
        || !design.warnings.is_empty()
}

/// What must be read before anything else.
pub(super) fn warnings(flow: &mut Flow, request: &Request, design: &Design) {
    if let Some(text) = unconfirmed_text(request) {
        flow.boxed(&text);
    }
    if !design.blank.thickness_known {
        flow.boxed(
            "Caliper the blank's thickness at three corners and run the job again: no depth is given until then.",
        );
    }
    if design.construction == "none" {
        flow.boxed("No carrier needed: feed the blank itself.");
    }
    for (place, warning) in design.warnings.iter().take(5).enumerate() {
        if place == 0 {
            flow.heading("WARNINGS");
        }
        flow.paragraph(&format!("{}. {warning}", place + 1), Weight::Bold);
    }
}

/// The closing sums and the key to the marks of the plan.
pub(super) fn key(flow: &mut Flow, request: &Request, design: &Design) {
    let ruler = &request.shop.ruler;
    let n = |length: Length| ruler.number(length);
    let (carve, blank) = (design.carve, design.blank.outline.bounds());
    if design.construction == "none" {
        flow.paragraph(
            &format!(
                "Uncarved margins: lead {}, trail {}, fence {}, far {}.",
                n(carve.x0 - blank.x0),
                n(blank.x1 - carve.x1),
                n(carve.y0 - blank.y0),
                n(blank.y1 - carve.y1)
            ),
            Weight::Regular,
        );
    } else if lies_in_round(design) {
        flow.paragraph("Adds up (to the round's centre, and on to the far side):", Weight::Regular);
        let centre = pocket_of(design).map_or(blank, |pocket| pocket.outline.bounds()).centre();
        let along = [centre.x, design.carrier.length - centre.x];
        flow.paragraph(&format!("along {}", sum(ruler, &along, design.carrier.length)), Weight::Bold);
        let across = [centre.y, design.carrier.width - centre.y];
        flow.paragraph(&format!("across {}", sum(ruler, &across, design.carrier.width)), Weight::Bold);
    } else {
        if let Some(gang) = &design.gang {
            rows(flow, request, design, gang);
        } else {
            let between = match (cleats_at_angles(design), held_by_contacts(design)) {
                (true, _) => "cleats",
                (_, true) => "wedges",
                _ => "play",
            };
            flow.paragraph(&format!("Adds up (lead end, blank, {between}, trail end):"), Weight::Regular);
            let pocket = pocket_of(design);
            let hold =
                |edge: fn(&crate::geometry::Rect) -> Length| pocket.map_or(edge(&blank), |p| edge(&p.outline.bounds()));
            let along = [blank.x0, blank.length(), hold(|r| r.x1) - blank.x1, design.carrier.length - hold(|r| r.x1)];
            flow.paragraph(&format!("along {}", sum(ruler, &along, design.carrier.length)), Weight::Bold);
            let across = [blank.y0, blank.width(), hold(|r| r.y1) - blank.y1, design.carrier.width - hold(|r| r.y1)];
            flow.paragraph(&format!("across {}", sum(ruler, &across, design.carrier.width)), Weight::Bold);
        }
    }
    if request.machine.takes_whole_face() {
        let done = face_word(&request.machine);
        flow.paragraph(&format!("The whole top is {done}, blank and carrier alike."), Weight::Regular);
    } else {
        flow.paragraph(
            &format!(
                "Dashed in the plan: carve area{}, {} to {} from the lead end, {} to {} from the fence edge.",
                if design.gang.is_some() { " of pocket 1" } else { "" },
                n(carve.x0),
                n(carve.x1),
                n(carve.y0),
                n(carve.y1)
            ),
            Weight::Regular,
        );
    }
    if views::has_near_figures(request, design) {
        flow.paragraph(
            "~ before a figure of the plan: an edge that lies between two marks, told to the nearest.",
            Weight::Regular,
        );
    }
    if !design.keepers().is_empty() {
        flow.paragraph(
            "Rounds beside the pocket: keepers, solid where parked, dashed as far as they turn; a cross marks the peg.",
            Weight::Bold,
        );
    }
    if let Some(angle) = &request.blank.angle {
        flow.paragraph(
            &format!("The blank is a rectangle {} x {} set at {}.", n(angle.length), n(angle.width), angle.words()),
            Weight::Bold,
        );
    }
    if let Some(strip) = &request.blank.strip {
        flow.paragraph(
            &format!(
                "Small rectangles: {} parts of {} x {}, {} from one to the next. Chain lines across: saw apart there, after carving.",
                strip.each,
                n(strip.length),
                n(strip.width),
                n(strip.pitch())
            ),
            Weight::Bold,
        );
    }
    if lies_in_round(design) {
        let said = if design.gang.is_some() {
            "Every blank lies in the middle of its round."
        } else {
            "The blank lies in the middle of its round."
        };
        flow.paragraph(said, Weight::Regular);
    } else if lies_in_cradle(design) {
        flow.paragraph(
            "The blank is pushed home to the lead wall, and lies in the middle of its cradle.",
            Weight::Regular,
        );
    } else if held_by_contacts(design) {
        let told = if cleats_at_angles(design) {
            "Dots in the plan: contacts, numbered as in the build steps. Crosses: the marks that the cleats are laid to, a and b for each; their table is with the build. Arrow: the wedge that is driven, and which way."
        } else {
            "Dots in the plan: contacts, numbered as in the build steps. Arrows: wedges in the order in which they are driven, and which way."
        };
        flow.paragraph(told, Weight::Regular);
    } else if has_datum_corner(design) {
        flow.paragraph(
            if design.gang.is_some() {
                "Black wedge: datum corner of pocket 1; every blank is pushed home to that corner of its pocket."
            } else {
                "Black wedge: datum corner; the blank is pushed home to it."
            },
            Weight::Regular,
        );
    }
    if let Some(keep_out) = &design.keep_out {
        let height = if design.blank.thickness_known && keep_out.above > Length::ZERO {
            format!(" above {} from the bed face", depth_text(request, keep_out.above))
        } else {
            String::new()
        };
        let but = if design.screws.is_some() { "; the screws of the table end below that" } else { "" };
        flow.paragraph(&format!("Slanting hatch in the plan: NO METAL{height}{but}."), Weight::Bold);
    }
    if let Some(relief) = design.pockets.iter().find_map(|pocket| pocket.relief) {
        let how = if relief.bored { "bore each inside corner" } else { "run the cutter out at each inside corner" };
        flow.paragraph(&format!("Corner relief: {how}, Ø {}.", n(relief.diameter)), Weight::Regular);
    }
    let voids = || design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let holes = || voids().filter(|void| void.kind == VoidKind::PushOut && void.z0 <= Length::ZERO);
    if let Some(hole) = holes().next() {
        let plural = if holes().count() > 1 { "holes" } else { "hole" };
        let size = n(hole.outline.bounds().length());
        flow.paragraph(&format!("Ø {size} push-out {plural}, through the floor."), Weight::Regular);
    }
    // The pockets of a gang are all of one size.
    let told = if design.gang.is_some() { 1 } else { design.pockets.len() };
    for pocket in design.pockets.iter().take(told) {
        if let Outline::Disc { diameter, .. } = &pocket.outline {
            flow.paragraph(&format!("Round pocket: Ø {}, not smaller.", n(*diameter)), Weight::Regular);
        }
    }
    if design.clip_corner {
        flow.paragraph("Saw off the lead/far corner: fed backwards, this carrier is wrong.", Weight::Bold);
    }
    if design.bridge {
        flow.paragraph("ROLLERS TOUCH THE RAILS ONLY.", Weight::Bold);
    }
}

/// The rows of a gang, and their closing sums.
fn rows(flow: &mut Flow, request: &Request, design: &Design, gang: &Gang) {
    let n = |length: Length| request.shop.ruler.number(length);
    if gang.is_free() {
        let kinds = gang.kinds_words();
        let of = if kinds.is_empty() { String::new() } else { format!(" ({kinds})") };
        flow.paragraph(
            &format!(
                "{} nests{of} set freely, web {} at least; numbered {}. All near corners: pocket table. Chosen for: {}.",
                gang.pockets,
                n(gang.web),
                if gang.is_mixed() { "outline by outline, each from the lead end" } else { "from the lead end" },
                gang.objective.words()
            ),
            Weight::Regular,
        );
        return;
    }
    let Some(first) = design.pockets.first().map(|pocket| pocket.outline.bounds()) else { return };
    let last = design.pockets.iter().map(|pocket| pocket.outline.bounds());
    let mut voids = design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let (x1, y1) = last.fold((first.x1, first.y1), |(x, y), bounds| (x.max(bounds.x1), y.max(bounds.y1)));
    flow.paragraph(
        &format!(
            "{} pockets {} x {}, web {}{}; numbered from the lead end, the row at the fence first. All corners: pocket table. Chosen for: {}.",
            gang.pockets,
            n(first.length()),
            n(first.width()),
            n(gang.web),
            if voids.any(|void| void.kind == VoidKind::FingerGap) { " where no finger gap opens it" } else { "" },
            gang.objective.words()
        ),
        Weight::Regular,
    );
    flow.paragraph(
        if gang.pair.is_some() {
            "Adds up (lead end, pitches of pairs, second of the last pair, pocket, trail end):"
        } else {
            "Adds up (lead end, pitches, set-off, pocket, trail end):"
        },
        Weight::Regular,
    );
    let sum = |near: Length, pitch: Length, times: usize, all: Length, pocket: Length, whole: Length| {
        let mut terms = vec![n(near)];
        let pitches = pitch * times as i64;
        if times > 0 {
            terms.push(format!("{times} x {}", n(pitch)));
        }
        let rest = all - pitches - pocket;
        if rest != Length::ZERO {
            terms.push(n(rest));
        }
        terms.extend([n(pocket), n(whole - near - all)]);
        format!("{} =\u{a0}{}", terms.join(" + "), n(whole))
    };
    // Of pairs the whole pitches, and the rest is how far the second of the last pair lies beyond the first.
    let times = gang.columns.saturating_sub(1) / if gang.pair.is_some() { 2 } else { 1 };
    let along = sum(first.x0, gang.pitch.x, times, x1 - first.x0, first.length(), design.carrier.length);
    flow.paragraph(&format!("along {along}"), Weight::Bold);
    let across =
        sum(first.y0, gang.pitch.y, gang.rows.saturating_sub(1), y1 - first.y0, first.width(), design.carrier.width);
    flow.paragraph(&format!("across {across}"), Weight::Bold);
}

/// The deeper pocket under relief, and how the blank is turned over to lie in it.
fn relief_room(flow: &mut Flow, request: &Request, room: &Pocket, flip: Flip) {
    let (depth, floor) = (depth_text(request, room.z1 - room.z0), depth_text(request, room.z0));
    flow.paragraph("not deeper: the ledge the border lies on", Weight::Regular);
    flow.paragraph(&format!("Room for the relief: {depth} below the ledge; floor left {floor}"), Weight::Bold);
    flow.paragraph(&format!("{}.", flip.words()), Weight::Bold);
}

/// Depths that are set on a machine, each with the way an error may go.
pub(super) fn depths(flow: &mut Flow, request: &Request, design: &Design) {
    if let Some(pocket) = pocket_of(design) {
        let depth = depth_text(request, pocket.z1 - pocket.z0);
        let below = depth_text(request, pocket.z0);
        match pocket.kind {
            PocketKind::Blind => {
                flow.heading(&format!("POCKET DEPTH {depth}"));
                match (design.pockets.get(1), &request.blank.second_side) {
                    (Some(room), Some(carved)) => relief_room(flow, request, room, carved.flip),
                    _ => flow.paragraph(&format!("not deeper; floor left {below}"), Weight::Regular),
                }
            }
            PocketKind::OnBase => {
                let ring = design.parts.iter().any(|part| part.role == Role::Ring);
                flow.heading(&format!("{} HEIGHT {depth}", if ring { "RING" } else { "RAIL" }));
                flow.paragraph(&format!("not higher; base {below}"), Weight::Regular);
            }
            PocketKind::Open => flow.paragraph("The blank lies on the machine's bed.", Weight::Regular),
        }
    }
    if design.adhesive > Length::ZERO {
        let text = format!("Under the blank: adhesive {} thick.", depth_text(request, design.adhesive));
        flow.paragraph(&text, Weight::Regular);
    }
    let blank = &design.blank;
    for (name, top) in [("Blank top", blank.z1), ("Relief", blank.highest)] {
        let relief = name == "Relief";
        if let (Some(how), false) = (proud_text(request, top - design.carrier.thickness), relief && top == blank.z1) {
            flow.paragraph(&format!("{name} {how}."), Weight::Bold);
        }
    }
    for line in views::cradle_lines(request, design) {
        flow.paragraph(&line, Weight::Regular);
    }
    let deepest = depth_text(request, design.depth_below_top);
    let below = format!("{deepest} below the top plane");
    let text = if request.machine.takes_whole_face() {
        format!("Dashed in the sections: what is {}, {below}.", face_word(&request.machine))
    } else {
        format!("Dashed in the sections: deepest cut, {below}.")
    };
    flow.paragraph(&text, Weight::Regular);
    let off = request.shop.ruler.number(request.shop.tolerance);
    let text = format!("Sizes may be off by ± {off} where nothing else is said; the checks allow for it.");
    flow.paragraph(&text, Weight::Regular);
    let mut hatched = vec!["level, the blank"];
    for (sheet, name) in [(true, "45 degrees and close, sheet goods"), (false, "steep and wide, solid wood")] {
        if design.parts.iter().any(|part| (part.grain == Grain::None) == sheet) {
            hatched.push(name);
        }
    }
    flow.paragraph(&format!("Hatch in the sections: {}.", hatched.join("; ")), Weight::Regular);
}

/// `4 + 9 + 1/16 + 4 = 17-1/16`; parts of no length are left out.
fn sum(ruler: &Ruler, parts: &[Length], whole: Length) -> String {
    let parts: Vec<String> =
        parts.iter().filter(|part| **part != Length::ZERO).map(|part| ruler.number(*part)).collect();
    // The result is not torn from its sign of equality at a line's end.
    format!("{} =\u{a0}{}", parts.join(" + "), ruler.number(whole))
}

/// So many names stand in the box; the reasons sheet has all.
const NAMED: usize = 4;

/// The boxed line for a machine nobody has measured: the figures that matter most, and how many more.
pub(super) fn unconfirmed_text(request: &Request) -> Option<String> {
    let names = unconfirmed(&request.machine);
    let more = names.len().saturating_sub(NAMED);
    let named = names.get(..NAMED).unwrap_or(&names).join(", ");
    let rest = if more > 0 { format!(" and {more} more (reasons sheet)") } else { String::new() };
    (!names.is_empty()).then(|| format!("MACHINE FIGURES NOT CONFIRMED: {named}{rest}"))
}
