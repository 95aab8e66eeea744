//! The reasons: every rule with its numbers, every default, and what set each dimension.

use super::flow::{Flow, Table};
use super::frame::{Lie, content};
use crate::design::{Check, Design, Quantity, Relation, Status};
use crate::drawing::{Picture, Weight};
use crate::request::Request;
use crate::trace::Reason;

/// The reasons sheets.
pub(super) fn reasons(request: &Request, design: &Design) -> Vec<Picture> {
    let mut flow = Flow::new(content(request.shop.paper, Lie::Portrait));
    if !design.trace.reasons.is_empty() {
        flow.heading("Why each dimension is what it is");
        for reason in &design.trace.reasons {
            flow.paragraph(&sentence(request, reason), Weight::Regular);
        }
    }
    if !design.checks.is_empty() {
        flow.heading("Checks");
        let mut table = Table::new(&["Rule", "At", "Found", "Needs", "To spare", "Holds"]);
        for check in worst_first(&design.checks) {
            let sign = match check.relation {
                Relation::AtLeast => "≥",
                Relation::AtMost => "≤",
                Relation::Equal => "=",
            };
            let holds = match check.status {
                Status::Pass => "yes",
                Status::Warn => "WARN",
                Status::Fail => "NO",
            };
            table.rows.push(vec![
                check.rule.id().to_owned(),
                check.subject.clone(),
                quantity(request, check.actual),
                format!("{sign} {}", quantity(request, check.required)),
                quantity(request, check.margin()),
                holds.to_owned(),
            ]);
        }
        flow.table(&table);
        flow.paragraph("Forces and strengths behind these checks are estimates, not measurements.", Weight::Regular);
    }
    if !design.assumptions.is_empty() {
        flow.heading("Assumed, because the job does not say");
        let mut table = Table::new(&["Key", "Value", "From"]);
        for assumption in &design.assumptions {
            table.rows.push(vec![assumption.key.clone(), assumption.value.clone(), assumption.source.clone()]);
        }
        flow.table(&table);
    }
    flow.finish()
}

fn worst_first(checks: &[Check]) -> Vec<&Check> {
    let mut checks: Vec<&Check> = checks.iter().collect();
    checks.sort_by_key(|check| check.status);
    checks
}

fn quantity(request: &Request, quantity: Quantity) -> String {
    match quantity {
        Quantity::Length(length) => request.shop.depth_ruler.number(length),
        Quantity::Number(number, unit) => {
            let text = format!("{number:.2}");
            let text = text.trim_end_matches('0').trim_end_matches('.');
            let text = if text == "-0" { "0" } else { text };
            if unit.is_empty() { text.to_owned() } else { format!("{text} {unit}") }
        }
    }
}

fn sentence(request: &Request, reason: &Reason) -> String {
    let ruler = &request.shop.depth_ruler;
    let terms: Vec<String> =
        reason.terms.iter().map(|term| format!("{} {}", term.label, ruler.number(term.amount))).collect();
    let mut text = format!("{}  {}", reason.dimension.to_uppercase(), ruler.number(reason.value));
    if !terms.is_empty() {
        text += &format!(": {}", terms.join(" + "));
    }
    text += ".";
    if let Some(rule) = reason.decided_by {
        text += &format!(" Set by {}: {}.", rule.id(), rule.info().why);
    }
    if let Some(next) = &reason.runner_up {
        text += &format!(" Next would be {} at {}.", next.rule.id(), ruler.number(next.value));
    }
    text
}
