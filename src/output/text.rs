//! Reports in plain text, wrapped to a fixed width so that they do not depend on the terminal.

mod explain;
mod layout;
mod lists;
mod preview;
mod refit;

pub use explain::{assumptions, dimension, overview, rule};
pub use layout::{WIDTH, pairs, paragraph, table};
pub use lists::*;
pub use preview::preview;
pub use refit::{landing, refit};

use crate::design::{Check, Design, Extent, Gang, Quantity, Relation};
use crate::length::{Length, Unit};
use crate::library::Machine;
use crate::request::Request;
use crate::rules::{Rule, RuleInfo};
use crate::setup::shrunk::shrunk_words;
use crate::setup::{self, SetupCard, fits_all_round, hold_test, lies_in_round, number_text, stands_words, status};
use crate::solve::{Outcome, nearest_miss, why_lower};
use crate::trace::{Conflict, Cure};

/// Most warnings that are printed; a longer list is not read.
const WARNINGS: usize = 5;

/// A plan size in the user's unit.
fn plan(request: &Request, length: Length) -> String {
    request.shop.ruler.with_unit(length)
}

/// A height, depth or thickness in the user's unit.
fn height(request: &Request, length: Length) -> String {
    request.shop.depth_ruler.with_unit(length)
}

/// `17-1/16 x 7-9/16 x 1 in`.
fn overall(request: &Request, size: Extent) -> String {
    format!(
        "{} x {} x {}",
        request.shop.ruler.number(size.length),
        request.shop.ruler.number(size.width),
        height(request, size.thickness)
    )
}

/// The overall size as far as it is known: without a measured blank there is no thickness.
fn overall_known(request: &Request, design: &Design) -> String {
    let size = design.carrier;
    if design.blank.thickness_known {
        return overall(request, size);
    }
    format!("{} x {}, thickness not known", request.shop.ruler.number(size.length), plan(request, size.width))
}

/// The same in the unit the user does not work in, for comparing with a catalogue or a fence scale.
fn other_unit(request: &Request, size: Extent) -> String {
    let sides = [size.length, size.width, size.thickness];
    match request.shop.ruler.unit {
        Unit::Inch => format!("{} mm", sides.map(|side| format!("{:.1}", side.to_mm())).join(" x ")),
        Unit::Millimetre => format!("{} in", sides.map(|side| format!("{:.2}", side.to_inches())).join(" x ")),
    }
}

/// A limit or a value found.
fn quantity(request: &Request, quantity: Quantity) -> String {
    match quantity {
        Quantity::Length(length) => height(request, length),
        Quantity::Number(number, unit) => number_text(request.units, number, unit, 3),
    }
}

fn relation(relation: Relation) -> &'static str {
    match relation {
        Relation::AtLeast => "at least",
        Relation::AtMost => "at most",
        Relation::Equal => "exactly",
    }
}

/// One sentence: what to build, or that nothing need be built.
fn verdict(request: &Request, design: &Design) -> String {
    let name = if request.name.is_empty() { String::new() } else { format!("{}: ", request.name) };
    if design.parts.is_empty() {
        return format!("{name}no carrier needed; the blank itself meets every limit of the machine.");
    }
    let turned = if design.turned { ", blank turned by 90 degrees" } else { "" };
    let variant = if design.variant.is_empty() { String::new() } else { format!(" ({})", design.variant) };
    format!("{name}{}{variant}{turned}.", design.title)
}

/// Why a rule decided, in a few words, for the dimension given.
fn decided(design: &Design, dimension: &str) -> Option<&'static RuleInfo> {
    design.trace.find(dimension).and_then(|reason| reason.decided_by).map(Rule::info)
}

/// Rows, pitch and loads of a gang, and what it was chosen for.
fn pockets(request: &Request, gang: &Gang) -> String {
    let loads = match gang.loads() {
        0 | 1 => "one load".to_owned(),
        loads => format!("{loads} loads, {} blanks in the last", gang.last_load()),
    };
    if gang.is_free() {
        let kinds = gang.kinds_words();
        let turned = if gang.turns_any() { ", some turned half round" } else { "" };
        let of = if kinds.is_empty() { String::new() } else { format!(" ({kinds})") };
        return format!(
            "{} set freely{of}{turned}, {} blanks in {loads}; chosen for: {}",
            gang.pockets,
            gang.blanks,
            gang.objective.words()
        );
    }
    let mut pitch = format!("pitch {} x {}", request.shop.ruler.number(gang.pitch.x), plan(request, gang.pitch.y));
    if let Some(pair) = gang.pair {
        pitch
            .push_str(&format!(" in pairs, the second turned half round and {} beyond the first", plan(request, pair)));
    }
    let rows = format!("{} in rows of {}", gang.pockets, gang.columns);
    format!("{rows}, {pitch}, {} blanks in {loads}; chosen for: {}", gang.blanks, gang.objective.words())
}

/// What `design` prints: verdict, sizes, place of the blank, what set the length, warnings.
pub fn summary(request: &Request, design: &Design) -> String {
    let card = SetupCard::of(request, design);
    let fed = if design.parts.is_empty() { "fed as it is" } else { "carrier" };
    let mut size = overall_known(request, design);
    if design.blank.thickness_known {
        size.push_str(&format!(" ({})", other_unit(request, design.carrier)));
    }
    let mut rows = vec![("state".to_owned(), status(request, design).to_owned()), (fed.to_owned(), size)];
    if !design.parts.is_empty() {
        let (name, from) = if lies_in_round(design) {
            ("centre of blank", design.blank.outline.bounds().centre())
        } else {
            ("blank at", card.corner)
        };
        rows.push((
            name.to_owned(),
            format!("{} from the lead end, {} from the fence edge", plan(request, from.x), plan(request, from.y)),
        ));
        rows.push((
            "centre".to_owned(),
            format!(
                "{} along, {} across from the carrier's centre (plus: to trail, to far)",
                plan(request, card.centre.x),
                plan(request, card.centre.y)
            ),
        ));
    }
    if let Some(gang) = &design.gang {
        rows.push(("pockets".to_owned(), pockets(request, gang)));
    }
    let layer = request.machine.takes_whole_face();
    rows.push((
        if layer { "one pass" } else { "deepest cut" }.to_owned(),
        match card.deepest {
            Some(depth) => format!(
                "{} below the top plane (the machine {} {})",
                height(request, depth),
                if layer { "takes at most" } else { "reaches" },
                height(request, card.deepest_allowed)
            ),
            None => "DO NOT SET DEPTH YET: caliper the blank's thickness at three corners first".to_owned(),
        },
    ));
    if !design.parts.is_empty() {
        rows.push((
            "hold".to_owned(),
            format!("{}: {}", design.hold.id(), hold_test(design.hold, fits_all_round(design))),
        ));
    }
    if card.stands {
        rows.push(("stands".to_owned(), stands_words(request, &card)));
    }
    let length = decided(design, "carrier.length").filter(|_| !design.parts.is_empty());
    if let Some(rule) = length {
        rows.push(("length set by".to_owned(), format!("{}: {}", rule.id, rule.why)));
    }
    let mut text = paragraph(&verdict(request, design));
    text.push('\n');
    text.push_str(&pairs(&rows));
    text.push_str(&warnings(request, design));
    text
}

/// Unconfirmed machine figures, and the warnings; doubts about the job are among them.
fn warnings(request: &Request, design: &Design) -> String {
    let mut text = String::new();
    if let Some(figures) = unconfirmed(&request.machine) {
        text.push('\n');
        text.push_str(&paragraph(&format!(
            "MACHINE FIGURES NOT CONFIRMED: {figures}. `sledwright machine worksheet` says how to measure them."
        )));
    }
    text.push_str(&numbered("Warnings", &design.warnings));
    text
}

/// The figures nobody has measured, those that spoil most first; the rest are only counted.
fn unconfirmed(machine: &Machine) -> Option<String> {
    /// So many are named.
    const NAMED: usize = 5;
    let names = setup::unconfirmed(machine);
    let named = names.get(..NAMED).unwrap_or(&names).join(", ");
    let more = names.len().saturating_sub(NAMED);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    (!names.is_empty()).then(|| format!("{named}{more}"))
}

/// A heading and at most five numbered lines; nothing at all where there are none.
fn numbered(heading: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut rows: Vec<(String, String)> =
        lines.iter().take(WARNINGS).enumerate().map(|(n, line)| (format!("{}.", n + 1), line.clone())).collect();
    if lines.len() > WARNINGS {
        rows.push((String::new(), format!("and {} more in design.json", lines.len() - WARNINGS)));
    }
    format!("\n{heading}\n{}", pairs(&rows))
}

/// What `check` prints: whether a carrier is needed and why, then whether one fits.
pub fn check(request: &Request, outcome: &Outcome) -> String {
    let mut text = String::new();
    let bare = outcome.designs.iter().find(|design| design.parts.is_empty());
    if let Some(bare) = bare {
        text.push_str(&paragraph(&verdict(request, bare)));
        text.push_str(&format!("\n{}", pairs(&[("fed as it is".to_owned(), overall_known(request, bare))])));
        if bare.turned {
            text.push_str(&paragraph("Feed it turned by 90 degrees."));
        }
        return text;
    }
    text.push_str(&paragraph("A carrier is needed: the blank on its own breaks these limits of the machine."));
    for rejected in outcome.rejected.iter().filter(|rejected| rejected.construction == "none") {
        let loaded = if rejected.turned { "The blank turned by 90 degrees" } else { "The blank as it is" };
        text.push_str(&format!("\n{loaded}: {}{}\n", rejected.variant, missing(request, &rejected.conflict)));
        text.push_str(&clashes(&rejected.conflict));
    }
    text.push_str(&without_carrier(request, outcome));
    match outcome.designs.first() {
        Some(design) => {
            text.push('\n');
            text.push_str(&paragraph(&format!(
                "One that fits: {}, {}.",
                lower_first(&design.title),
                overall_known(request, design)
            )));
        }
        None => text.push_str("\nNo carrier fits either; `sledwright design` says why and what would cure it.\n"),
    }
    text
}

/// `, short by 1/16 in`, or nothing where it is not a matter of length.
fn missing(request: &Request, conflict: &Conflict) -> String {
    if conflict.shortfall > Length::ZERO {
        format!(", misses by {}", height(request, conflict.shortfall))
    } else {
        String::new()
    }
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        // A second capital means an abbreviation, which stays as it is.
        Some(first) if !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

fn clashes(conflict: &Conflict) -> String {
    let rows: Vec<Vec<String>> =
        conflict.clashes.iter().map(|clash| vec![clash.rule.id().to_owned(), clash.text.clone()]).collect();
    table(&["rule", "demands"], &rows)
}

/// What the answer of `check` rests on, and, where only the ends are too short, how much uncut wood at each
/// of them would do without a carrier.
fn without_carrier(request: &Request, outcome: &Outcome) -> String {
    let (machine, carve) = (&request.machine, &request.carve);
    if machine.takes_whole_face() {
        return String::new();
    }
    let mut said = Vec::new();
    if !carve.stated {
        said.push("This assumes the whole face is carved, from edge to edge: no carve area is given.".to_owned());
    }
    let as_it_is = || outcome.rejected.iter().filter(|rejected| rejected.construction == "none" && !rejected.turned);
    let at_the_edges =
        [Rule::LeadEndAllowance, Rule::TrailEndAllowance, Rule::GripWanted, Rule::CutterWindow, Rule::Fit];
    let edges_only = as_it_is()
        .filter_map(|rejected| rejected.conflict.clashes.first())
        .all(|clash| at_the_edges.contains(&clash.rule));
    let ends = as_it_is().any(|rejected| {
        rejected
            .conflict
            .clashes
            .iter()
            .any(|clash| at_the_edges.get(..3).is_some_and(|ends| ends.contains(&clash.rule)))
    });
    if edges_only && ends {
        let radius = carve.cutter.half_up();
        let uncut = machine.cutter_to_roller + machine.grip_least + radius + carve.overrun;
        let sides: String = as_it_is()
            .filter(|rejected| rejected.conflict.clashes.first().is_some_and(|c| c.rule == Rule::CutterWindow))
            .map(|rejected| {
                let fence = rejected.variant.starts_with("fence");
                let (side, margin) = if fence { ("fence", carve.margin_fence) } else { ("far", carve.margin_far) };
                let margin = if carve.stated { margin } else { Length::ZERO };
                let wanted = (margin + rejected.conflict.shortfall).up(request.step());
                format!(" and {} at the {side} side", plan(request, wanted))
            })
            .collect();
        said.push(format!(
            "With {} of uncut wood at each end{sides} no carrier would be needed (at the ends: cutter to roller {} + \
             least grip {} + cutter radius {} + overrun {}).",
            plan(request, uncut.up(request.step())),
            plan(request, machine.cutter_to_roller),
            plan(request, machine.grip_least),
            plan(request, radius),
            plan(request, carve.overrun)
        ));
    }
    said.extend(shrunk_words(request));
    if said.is_empty() { String::new() } else { format!("\n{}", paragraph(&said.join(" "))) }
}

/// What is printed when nothing fits.
pub fn refusal(request: &Request, outcome: &Outcome, cures: &[Cure]) -> String {
    let name = if request.name.is_empty() { String::new() } else { format!("{}: ", request.name) };
    let mut text = paragraph(&format!("{name}nothing fits. No carrier can be built for this job as it stands."));
    if let Some(near) = nearest_miss(outcome, cures) {
        let turned = if near.turned { ", blank turned by 90 degrees" } else { "" };
        let variant = if near.variant.is_empty() { String::new() } else { format!(" ({})", near.variant) };
        text.push('\n');
        text.push_str(&paragraph(&format!(
            "Nearest: {}{variant}{turned}{}. These cannot all hold:",
            near.construction,
            missing(request, &near.conflict)
        )));
        text.push_str(&clashes(&near.conflict));
    }
    text.push('\n');
    if cures.is_empty() {
        text.push_str(&paragraph("No single change to the job cures it."));
    } else {
        text.push_str("Any one of these changes cures it\n");
        let rows: Vec<Vec<String>> =
            cures.iter().map(|cure| vec![cure.key.clone(), cure.text.clone(), cure.rule.id().to_owned()]).collect();
        text.push_str(&table(&["job key", "change", "lifts"], &rows));
    }
    let others = rejected_rows(request, outcome);
    if !others.is_empty() {
        text.push_str("\nEverything that was tried\n");
        text.push_str(&table(&REJECTED, &others));
    }
    text
}

/// Construction, variants and reason of every rejected candidate; variants that fail alike share a row.
fn rejected_rows(request: &Request, outcome: &Outcome) -> Vec<Vec<String>> {
    let mut rows: Vec<(String, Vec<&str>, String)> = Vec::new();
    for rejected in &outcome.rejected {
        let turned = if rejected.turned { ", turned" } else { "" };
        let name = format!("{}{turned}", rejected.construction);
        let why = match rejected.conflict.clashes.as_slice() {
            [] => "cannot be built".to_owned(),
            [only] => format!("{}: {}", only.rule.id(), only.text),
            [first, .., last] => {
                format!("{}: {}; against {}: {}", first.rule.id(), first.text, last.rule.id(), last.text)
            }
        };
        let why = format!("{why}{}", missing(request, &rejected.conflict));
        match rows.iter_mut().find(|row| row.0 == name && row.2 == why) {
            Some(row) if row.1.contains(&rejected.variant.as_str()) => {}
            Some(row) => row.1.push(&rejected.variant),
            None => rows.push((name, vec![&rejected.variant], why)),
        }
    }
    rows.into_iter().map(|(name, variants, why)| vec![name, variants.join("; "), why]).collect()
}

/// Headings for [`rejected_rows`].
const REJECTED: [&str; 3] = ["construction", "variant", "why not"];

/// What `options` prints: every candidate, best first, with the reason each other one lost.
/// `broken` holds, for each design in turn, the checks of the second calculation that it fails.
pub fn options(request: &Request, outcome: &Outcome, broken: &[Vec<Check>]) -> String {
    let Some(best) = outcome.designs.first() else {
        return refusal(request, outcome, &[]);
    };
    let mut text = paragraph(&verdict(request, best));
    text.push_str("\nCan be built, best first\n");
    let rows: Vec<Vec<String>> = outcome
        .designs
        .iter()
        .enumerate()
        .map(|(place, design)| {
            let turned = if design.turned { ", turned" } else { "" };
            let failed: Vec<String> = broken
                .get(place)
                .into_iter()
                .flatten()
                .map(|check| format!("{}, {}", check.rule.id(), check.subject))
                .collect();
            let why = if !failed.is_empty() {
                format!("DO NOT BUILD: fails our own second calculation ({}); please report", failed.join("; "))
            } else if place == 0 {
                "best".to_owned()
            } else {
                why_lower(request, best, design)
            };
            vec![
                (place + 1).to_string(),
                format!("{}{turned}", design.construction),
                design.variant.clone(),
                overall_known(request, design),
                why,
            ]
        })
        .collect();
    text.push_str(&table(&["", "construction", "variant", "overall", "why it stands here"], &rows));
    let rejected = rejected_rows(request, outcome);
    if !rejected.is_empty() {
        text.push_str("\nCannot be built\n");
        text.push_str(&table(&REJECTED, &rejected));
    }
    text
}

/// What is printed when the second calculation contradicts the solver.
pub fn disagreement(request: &Request, design: &Design, broken: &[Check]) -> String {
    let mut text = paragraph(&format!(
        "A fault in Sledwright, not in your job: the design found ({}) fails when it is calculated a second, \
         separate way. Nothing was written. Please report it together with the job file.",
        design.construction
    ));
    text.push('\n');
    let rows: Vec<Vec<String>> = broken
        .iter()
        .map(|check| {
            vec![
                check.rule.id().to_owned(),
                check.subject.clone(),
                format!("{} {}", relation(check.relation), quantity(request, check.required)),
                quantity(request, check.actual),
            ]
        })
        .collect();
    text.push_str(&table(&["rule", "looked at", "required", "found"], &rows));
    text
}
