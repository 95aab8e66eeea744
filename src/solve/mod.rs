//! Enumerates candidates, sizes each, ranks those that can be built and explains the others.

use crate::design::Design;
use crate::request::Request;
use crate::trace::{Conflict, Cure};

/// A candidate that cannot be built.
#[derive(Debug, Clone, PartialEq)]
pub struct Rejected {
    /// Construction id.
    pub construction: &'static str,
    /// Stock, kind of end, hold.
    pub variant: String,
    /// Whether the blank was turned by 90 degrees.
    pub turned: bool,
    /// Why not.
    pub conflict: Conflict,
}

/// Everything the search found.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    /// Designs that can be built, best first (not yet verified: `checks` is empty).
    pub designs: Vec<Design>,
    /// Candidates that cannot, one (the nearest miss) for each construction and orientation, in the order tried.
    pub rejected: Vec<Rejected>,
}

/// Searches all candidates of a request.
pub fn solve(request: &Request) -> Outcome {
    let _ = request;
    Outcome::default()
}

/// For the nearest miss, the smallest single changes that make some design possible, each found by
/// solving again. Empty when no single change of the kinds tried helps.
pub fn cures(request: &Request, outcome: &Outcome) -> Vec<Cure> {
    let _ = (request, outcome);
    Vec::new()
}

/// In one line, why `loser` ranks below `winner` (for `options` and the runner-up on the sheet).
pub fn why_lower(winner: &Design, loser: &Design) -> String {
    let _ = (winner, loser);
    String::new()
}
