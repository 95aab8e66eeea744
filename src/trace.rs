//! Why each dimension is what it is.

use crate::length::Length;
use crate::rules::Rule;

/// One term of the sum that makes a dimension.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Term {
    /// What it stands for, in a few words.
    pub label: String,
    /// How much it contributes.
    pub amount: Length,
    /// The rule that demands it; `None` for a measured or chosen size.
    pub rule: Option<Rule>,
}

/// What would have set the dimension if the rule that did had not been there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunnerUp {
    /// The rule next in line.
    pub rule: Rule,
    /// The value it alone would have given.
    pub value: Length,
    /// What it demands here, with the numbers in.
    pub text: String,
}

/// The reason for one dimension.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// Name of the dimension, such as `carrier.length`, `lead-end`, `fence-rail`, `pocket.depth`.
    pub dimension: String,
    /// The value drawn.
    pub value: Length,
    /// Terms that add up to the value (before rounding to the ruler).
    pub terms: Vec<Term>,
    /// The rule that decided, where one did.
    pub decided_by: Option<Rule>,
    /// What would have come next.
    pub runner_up: Option<RunnerUp>,
}

/// All reasons of a design, in the order of its construction.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Trace {
    /// One entry a dimension.
    pub reasons: Vec<Reason>,
}

impl Trace {
    /// The reason for a dimension by its name.
    pub fn find(&self, dimension: &str) -> Option<&Reason> {
        self.reasons.iter().find(|reason| reason.dimension == dimension)
    }
}

/// One rule of a conflict, with its numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clash {
    /// The rule.
    pub rule: Rule,
    /// What it demands here, with the numbers in.
    pub text: String,
    /// The length it contributes, positive where it takes room and negative where it limits room.
    pub amount: Length,
}

/// Why a candidate cannot be built: a minimal set of rules that cannot all hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The rules; leaving out any one of them would lift the conflict.
    pub clashes: Vec<Clash>,
    /// By how much they miss; zero where it is not a matter of length.
    pub shortfall: Length,
}

impl Conflict {
    /// A conflict with a single rule that is not a matter of length.
    pub fn plain(rule: Rule, text: impl Into<String>) -> Conflict {
        Conflict { clashes: vec![Clash { rule, text: text.into(), amount: Length::ZERO }], shortfall: Length::ZERO }
    }
}

/// The smallest single change to the job that cures a rule in conflict.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cure {
    /// The rule it cures.
    pub rule: Rule,
    /// The job key to change, such as `carve.depth`.
    pub key: String,
    /// What to do, in words with numbers.
    pub text: String,
    /// The new value of the key, where it is a length.
    pub value: Option<Length>,
}
