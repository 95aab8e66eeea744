//! From request to verified design: the solver's answer, checked a second time.

use crate::design::{Check, Design, Status};
use crate::request::Request;
use crate::solve::{Outcome, solve};
use crate::verify::{check_cut_list, verify};

/// What came of a request.
#[derive(Debug, Clone)]
pub enum Plan {
    /// A verified design (boxed with the other candidates, best first).
    Ready {
        /// The design, with its checks.
        design: Box<Design>,
        /// The whole search; its first design is the one above, before checking.
        outcome: Outcome,
    },
    /// Nothing fits.
    Nothing(Outcome),
    /// Solver and verification disagree: a bug of ours, nothing may be written.
    Disagree {
        /// The design the solver believed in.
        design: Box<Design>,
        /// The checks that say otherwise.
        broken: Vec<Check>,
    },
}

/// Solves a request and verifies the best design.
pub fn plan(request: &Request) -> Plan {
    let outcome = solve(request);
    let Some(best) = outcome.designs.first() else {
        return Plan::Nothing(outcome);
    };
    let mut design = Box::new(best.clone());
    let broken = check(request, &mut design);
    if broken.is_empty() { Plan::Ready { design, outcome } } else { Plan::Disagree { design, broken } }
}

/// Verifies a design, stores the checks in it, and returns those that contradict the solver:
/// any broken MUST, and any broken SHOULD that the solver did not know of.
pub fn check(request: &Request, design: &mut Design) -> Vec<Check> {
    design.checks = verify(request, design);
    design.checks.extend(check_cut_list(request, design));
    design.checks.sort_by_key(|check| check.rule);
    design
        .checks
        .iter()
        .filter(|check| match check.status {
            Status::Pass => false,
            Status::Warn => !design.waived.contains(&check.rule),
            Status::Fail => true,
        })
        .cloned()
        .collect()
}
