//! The machine card: what to set, what the machine should read, when to stop.

use super::flow::{Flow, Table};
use super::frame::{Lie, content};
use super::{bench, lists};
use crate::design::{Design, Gang};
use crate::drawing::{Picture, Weight};
use crate::length::{Length, Unit};
use crate::request::{Hold, Request};
use crate::setup::{SetupCard, hold_test};
use crate::views::depth_text;

/// The machine card.
pub(super) fn card(request: &Request, design: &Design) -> Vec<Picture> {
    let setup = SetupCard::of(request, design);
    let mut flow = Flow::new(content(request.shop.paper, Lie::Portrait));
    if !request.machine.unconfirmed.is_empty() {
        flow.boxed(&bench::unconfirmed(request));
    }
    if setup.deepest.is_none() {
        flow.boxed("DO NOT SET DEPTH YET: the blank's thickness is not measured.");
    }
    let ruler = &request.shop.ruler;
    let n = |length: Length| ruler.number(length);
    let mut table = Table::new(&["Set or check", &request.machine.name]);
    let mut line = |name: &str, value: String| table.rows.push(vec![name.to_owned(), value]);
    line("Carrier", format!("{}, {}", design.title, size_or_plan(request, design)));
    line(
        "Machine should read",
        format!(
            "{} ± {} long, {} ± {} wide. Else STOP: clean the strip, feed again, measure by tape",
            n(setup.length.size),
            n(setup.length.tolerance),
            n(setup.width.size),
            n(setup.width.tolerance)
        ),
    );
    line(
        "Feed",
        "LEAD end first, FENCE edge to fence, TOP up; blank pushed home to its lead and fence walls".to_owned(),
    );
    line("Artwork by corner", format!("{} from LEAD, {} from FENCE", n(setup.corner.x), n(setup.corner.y)));
    if let Some(gang) = &design.gang {
        line("", "that is pocket 1; the others by the pitch, or by the pocket table".to_owned());
        let pitch: Vec<String> = crate::views::pitch_words(request, gang).into_iter().rev().collect();
        line("Rows", pitch.join("; "));
        line("Loads", loads(gang));
    }
    line(
        "or by centre",
        format!(
            "{} along, {} across, blank centre from carrier centre (plus: to trail, to far)",
            signed(request, setup.centre.x),
            signed(request, setup.centre.y)
        ),
    );
    line(
        "Carve area",
        format!(
            "{} x {}: {} to {} along, {} to {} across",
            n(setup.carve.length()),
            n(setup.carve.width()),
            n(setup.carve.x0),
            n(setup.carve.x1),
            n(setup.carve.y0),
            n(setup.carve.y1)
        ),
    );
    line(
        "Deepest cut",
        match setup.deepest {
            Some(deepest) => format!(
                "{} below the top plane; the machine reaches {}",
                depth_text(request, deepest),
                depth_text(request, setup.deepest_allowed)
            ),
            None => "not yet".to_owned(),
        },
    );
    line("Hold", format!("{}: {}", hold_name(setup.hold), hold_test(setup.hold)));
    line(
        "Far guide",
        format!("{} from the fence, at the widest place", request.shop.depth_ruler.number(setup.far_guide)),
    );
    line("Stands", if setup.stands { "both sides, at bed height" } else { "none needed at this length" }.to_owned());
    if setup.clipped_corner {
        line("Clipped corner", "lead/far: it shows which way the carrier goes".to_owned());
    }
    let line_to_write = "_".repeat(10);
    let read = format!("long {line_to_write}  wide {line_to_write}");
    table.rows.push(vec!["Machine read".to_owned(), read]);
    flow.table(&table);

    flow.heading("Before the first cut");
    let no_second =
        request.blank.irreplaceable.then_some("there is no second blank: run scrap of the same size first.");
    flow.tick(
        1,
        "Hand pass, cutter out, power off where the machine allows: feed the full length. No roller drops, rubs or climbs.",
        None,
    );
    let above = match request.shop.ruler.unit {
        Unit::Inch => "1/4 in",
        Unit::Millimetre => "6 mm",
    };
    flow.tick(2, &format!("Bit {above} above the wood: trace the carve area, watch its corners."), no_second);
    flow.gap(2.0);
    flow.paragraph(&cautions(design, setup.stands).join(" "), Weight::Regular);
    flow.finish()
}

/// `40 in one load` or `100 in 3 loads: 36, the last 28`.
fn loads(gang: &Gang) -> String {
    match gang.loads() {
        0 | 1 => format!("{} in one load", gang.blanks),
        loads => {
            format!("{} in {loads} loads: {} in each, {} in the last", gang.blanks, gang.pockets, gang.last_load())
        }
    }
}

fn size_or_plan(request: &Request, design: &Design) -> String {
    if design.blank.thickness_known {
        lists::size_text(request, design.carrier)
    } else {
        let ruler = &request.shop.ruler;
        format!("{} x {}", ruler.number(design.carrier.length), ruler.number(design.carrier.width))
    }
}

/// A figure with its sign: an offset without one is read the wrong way.
fn signed(request: &Request, length: Length) -> String {
    let number = request.shop.ruler.number(length);
    if length > Length::ZERO { format!("+{number}") } else { number }
}

fn hold_name(hold: Hold) -> &'static str {
    match hold {
        Hold::Snug => "Snug edges",
        Hold::Wedge => "Wedges",
        Hold::Tape => "Double-sided cloth tape",
        Hold::Film => "Double-sided film tape",
        Hold::HotGlue => "Hot glue",
    }
}

/// Cautions at the machine, worst first. Common practice, no source.
fn cautions(design: &Design, stands: bool) -> Vec<&'static str> {
    let mut cautions = vec!["Hands clear of rollers and cutter while power is on."];
    if design.keep_out.is_some() {
        cautions.push("No metal in the hatched area of the plan.");
    }
    cautions.push("Look for the LEAD and FENCE marks each time you feed.");
    cautions.push("Stay with the machine; stop it when it sounds different. Eye and ear protection.");
    if stands {
        cautions.push("Carry a long carrier flat, two people where it is heavy.");
    }
    cautions.push("The machine's own manual and local rules come first.");
    cautions
}
