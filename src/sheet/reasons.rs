//! The reasons: every limit that matters with its numbers, every default, and what set each dimension.

use super::flow::Flow;
use crate::design::{Design, Quantity, Relation, Status};
use crate::drawing::Weight;
use crate::request::Request;
use crate::rules::Rule;
use crate::setup::shrunk::shrunk_words;
use crate::setup::{number_text, telling_checks, unconfirmed};
use crate::trace::Reason;

/// The reasons.
pub(super) fn reasons(flow: &mut Flow, request: &Request, design: &Design) {
    flow.fine();
    if !design.trace.reasons.is_empty() {
        flow.heading("Why these sizes");
        let mut told = Vec::new();
        for reason in &design.trace.reasons {
            flow.paragraph(&sentence(request, reason, &mut told), Weight::Regular);
        }
    }
    if let Some(words) = shrunk_words(request).filter(|_| !design.parts.is_empty()) {
        flow.heading("Why a carrier");
        flow.paragraph(&words, Weight::Regular);
    }
    checks(flow, request, design);
    assumptions(flow, design);
    let unconfirmed = unconfirmed(&request.machine);
    if !unconfirmed.is_empty() {
        flow.heading("Not measured yet");
        flow.paragraph(&format!("On the machine: {}.", unconfirmed.join(", ")), Weight::Regular);
    }
}

fn checks(flow: &mut Flow, request: &Request, design: &Design) {
    if design.checks.is_empty() {
        return;
    }
    flow.heading("Checks");
    let held = design.checks.iter().filter(|check| check.status == Status::Pass).count();
    let said = format!(
        "{held} of {} checks hold. Any that do not come first; then each limit where least is to spare, in brackets.",
        design.checks.len()
    );
    flow.paragraph(&said, Weight::Regular);
    for check in telling_checks(&design.checks) {
        let sign = match check.relation {
            Relation::AtLeast => "≥",
            Relation::AtMost => "≤",
            Relation::Equal => "=",
        };
        let (verdict, weight) = match check.status {
            Status::Pass => ("+", Weight::Regular),
            Status::Warn => ("WARNING: off by ", Weight::Bold),
            Status::Fail => ("FAILS by ", Weight::Bold),
        };
        let margin = match (check.status, check.margin()) {
            (Status::Pass, margin) => margin,
            (_, Quantity::Length(length)) => Quantity::Length(length.abs()),
            (_, Quantity::Number(number, unit)) => Quantity::Number(number.abs(), unit),
        };
        let text = format!(
            "{}: {} {sign} {} ({verdict}{})",
            check.rule.id(),
            quantity(request, check.actual),
            quantity(request, check.required),
            quantity(request, margin)
        );
        flow.paragraph(&text, weight);
    }
    flow.paragraph("Forces and strengths behind these checks are estimates, not measurements.", Weight::Regular);
}

fn assumptions(flow: &mut Flow, design: &Design) {
    if design.assumptions.is_empty() {
        return;
    }
    flow.heading("Assumed, not stated");
    let mut sources: Vec<&str> = Vec::new();
    for assumption in &design.assumptions {
        if !sources.contains(&assumption.source.as_str()) {
            sources.push(&assumption.source);
        }
    }
    for source in sources {
        let from: Vec<String> = design
            .assumptions
            .iter()
            .filter(|assumption| assumption.source == source)
            .map(|assumption| format!("{} {}", assumption.key, assumption.value))
            .collect();
        flow.paragraph(&format!("From {source}: {}.", from.join("; ")), Weight::Regular);
    }
}

fn quantity(request: &Request, quantity: Quantity) -> String {
    match quantity {
        Quantity::Length(length) => request.shop.depth_ruler.number(length),
        // What a floor gives is told in thousandths.
        Quantity::Number(number, "mm") => number_text(request.units, number, "mm", 4),
        Quantity::Number(number, unit) => number_text(request.units, number, unit, 2),
    }
}

/// One dimension; why a rule exists is said only the first time it decides (`told` has those said before).
fn sentence(request: &Request, reason: &Reason, told: &mut Vec<Rule>) -> String {
    let ruler = &request.shop.depth_ruler;
    let terms: Vec<String> =
        reason.terms.iter().map(|term| format!("{} {}", term.label, ruler.number(term.amount))).collect();
    let mut text = format!("{}  {}", reason.dimension.to_uppercase(), ruler.number(reason.value));
    if !terms.is_empty() {
        text += &format!(": {}", terms.join(" + "));
    }
    text += ".";
    match reason.decided_by {
        Some(rule) if told.contains(&rule) => text += &format!(" Set by {}.", rule.id()),
        Some(rule) => {
            text += &format!(" Set by {}: {}.", rule.id(), rule.info().why);
            told.push(rule);
        }
        None => {}
    }
    if let Some(next) = &reason.runner_up {
        text += &format!(" Next would be {} at {}.", next.rule.id(), ruler.number(next.value));
    }
    text
}
