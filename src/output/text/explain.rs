//! `explain`: the reasons of a design, of one dimension, of one rule.

use super::layout::{pairs, paragraph, table};
use super::refit::landing;
use super::{height, quantity, relation, verdict};
use crate::design::{Check, Design, Quantity, Status};
use crate::request::{CUTTING_SOURCE, Request};
use crate::rules::{Rounding, Rule, Severity};
use crate::setup::sensitivity::weaknesses;
use crate::setup::{fine_ruler, force_words, number_text};
use crate::solve::{Outcome, why_lower};
use crate::trace::Reason;

/// Every dimension with its terms and what decided it, and what came second overall.
pub fn overview(request: &Request, design: &Design, outcome: &Outcome) -> String {
    let mut text = paragraph(&verdict(request, design));
    for reason in &design.trace.reasons {
        text.push('\n');
        text.push_str(&dimension(request, reason));
    }
    text.push('\n');
    text.push_str(&landing(request, design));
    text.push_str("\nThe cutter's force\n");
    let mut force = vec![("taken as".to_owned(), force_words(request))];
    if request.shop.estimates.loads.cutting.is_some() {
        force.push(("source".to_owned(), CUTTING_SOURCE.to_owned()));
    }
    text.push_str(&pairs(&force));
    text.push('\n');
    text.push_str(&assumptions(request, design));
    if let Some(second) = outcome.designs.get(1) {
        text.push_str("\nInstead of\n");
        text.push_str(&pairs(&[(second.construction.to_owned(), why_lower(request, design, second))]));
    }
    let assumed: Vec<(String, String)> = design
        .assumptions
        .iter()
        .map(|a| {
            (a.key.clone(), if a.source.is_empty() { a.value.clone() } else { format!("{} ({})", a.value, a.source) })
        })
        .collect();
    if !assumed.is_empty() {
        text.push_str("\nTaken for granted\n");
        text.push_str(&pairs(&assumed));
    }
    text
}

/// The assumptions that would break the design first if they were wrong, each with the value that does.
pub fn assumptions(request: &Request, design: &Design) -> String {
    let mut text = String::from("assumptions: which would break this design first, if it were wrong\n");
    let weak = weaknesses(request, design);
    if weak.is_empty() {
        return text
            + &paragraph(
                "None: no figure of the machine, the saw, the reading or the forces does, within eight times what it is likely to be out by.",
            );
    }
    let rows: Vec<Vec<String>> = weak
        .iter()
        .map(|weak| {
            let (now, mut breaks_at) = (fine(request, weak.now), fine(request, weak.breaks_at));
            // What stands at its limit breaks as soon as it is wrong at all.
            if now == breaks_at {
                breaks_at = format!("{} {now}", if weak.upwards { "over" } else { "under" });
            }
            let distance = if weak.distance < 0.05 { "none".to_owned() } else { format!("{:.1}", weak.distance) };
            vec![weak.key.to_owned(), now, breaks_at, weak.rule.id().to_owned(), distance]
        })
        .collect();
    text.push_str(&table(&["figure", "taken as", "breaks at", "rule", "distance"], &rows));
    text + &paragraph(
        "Distance is the change in units of what such a figure is likely to be out by (judgement): 1/8 in for a machine's figure nobody has measured, 1/32 in for one measured, 1/64 in for the saw, half of a force or strength. Below 1, check that figure first; none: it stands at its limit.",
    )
}

/// A value that stands on no mark.
fn fine(request: &Request, value: Quantity) -> String {
    match value {
        Quantity::Length(length) => {
            let ruler = fine_ruler(request.units);
            ruler.with_unit(length.nearest(ruler.step))
        }
        Quantity::Number(number, unit) => number_text(request.units, number, unit, 2),
    }
}

/// One dimension: the sum, the rule that decided, and what would have come next.
pub fn dimension(request: &Request, reason: &Reason) -> String {
    let mut text = format!("{} = {}\n", reason.dimension, height(request, reason.value));
    let rows: Vec<(String, String)> = reason
        .terms
        .iter()
        .map(|term| {
            let because = term.rule.map(|rule| format!(" ({})", rule.id())).unwrap_or_default();
            (height(request, term.amount), format!("{}{because}", term.label))
        })
        .collect();
    text.push_str(&pairs(&rows));
    let mut notes = Vec::new();
    if let Some(rule) = reason.decided_by {
        let info = rule.info();
        notes.push(("decided by".to_owned(), format!("{}: {}", info.id, info.statement)));
        notes.push(("because".to_owned(), info.why.to_owned()));
        notes.push(("source".to_owned(), info.source.to_owned()));
    }
    if margin_does(reason) {
        let said = "the uncut margin of the blank already gives the rollers their grip: the wall alone decides";
        notes.push(("that is".to_owned(), said.to_owned()));
    }
    if let Some(next) = &reason.runner_up {
        notes.push((
            "next".to_owned(),
            format!("{} alone would give {}: {}", next.rule.id(), height(request, next.value), next.text),
        ));
    }
    text.push_str(&pairs(&notes));
    text
}

/// Whether the length of an end follows from its own strength and not from what the rollers ask.
fn margin_does(reason: &Reason) -> bool {
    let end = matches!(reason.dimension.as_str(), "lead-end" | "trail-end");
    end && matches!(reason.decided_by, Some(Rule::RailWidth | Rule::WallAfterRelief | Rule::PerimeterInside))
}

/// One rule: what it says, why, and its numbers in this design.
pub fn rule(request: &Request, design: &Design, rule: Rule) -> String {
    let info = rule.info();
    let mut text = format!("{}\n", info.id);
    text.push_str(&pairs(&[
        ("demands".to_owned(), info.statement.to_owned()),
        ("because".to_owned(), info.why.to_owned()),
        ("source".to_owned(), info.source.to_owned()),
        ("when broken".to_owned(), severity(info.severity).to_owned()),
        ("rounding".to_owned(), rounding(info.rounding).to_owned()),
    ]));
    let checks: Vec<Vec<String>> =
        design.checks.iter().filter(|check| check.rule == rule).map(|check| check_row(request, check)).collect();
    if checks.is_empty() {
        text.push_str("\nNo check of this design rests on it.\n");
    } else {
        text.push_str("\nIn this design\n");
        text.push_str(&table(&["looked at", "required", "found", "to spare", ""], &checks));
    }
    let sets: Vec<&str> = design
        .trace
        .reasons
        .iter()
        .filter(|reason| reason.decided_by == Some(rule))
        .map(|reason| reason.dimension.as_str())
        .collect();
    if !sets.is_empty() {
        text.push_str(&paragraph(&format!("It decided: {}.", sets.join(", "))));
    }
    let nearly: Vec<String> = design
        .trace
        .reasons
        .iter()
        .filter_map(|reason| reason.runner_up.as_ref().map(|next| (reason, next)))
        .filter(|(_, next)| next.rule == rule)
        .map(|(reason, next)| {
            format!("{} (it alone would give {}: {})", reason.dimension, height(request, next.value), next.text)
        })
        .collect();
    if !nearly.is_empty() {
        text.push_str(&paragraph(&format!("It came next for: {}.", nearly.join("; "))));
    }
    text
}

pub(super) fn check_row(request: &Request, check: &Check) -> Vec<String> {
    let status = match check.status {
        Status::Pass => "holds",
        Status::Warn => "warning",
        Status::Fail => "BROKEN",
    };
    vec![
        check.subject.clone(),
        format!("{} {}", relation(check.relation), quantity(request, check.required)),
        quantity(request, check.actual),
        quantity(request, check.margin()),
        status.to_owned(),
    ]
}

/// What breaking a rule means.
fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Must => "the design is not issued",
        Severity::Should => "the design carries a warning",
    }
}

fn rounding(rounding: Rounding) -> &'static str {
    match rounding {
        Rounding::Up => "to the next mark above",
        Rounding::Down => "to the next mark below",
        Rounding::Exact => "not a dimension that is rounded",
    }
}
