//! What a row of the rule table holds.

use super::Rule;

/// How badly a broken rule matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The design is not issued.
    Must,
    /// The design is issued with a warning.
    Should,
}

/// Which way a dimension set by the rule is rounded to the ruler.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// To the next mark above.
    Up,
    /// To the next mark below.
    Down,
    /// Not a dimension that is rounded.
    Exact,
}

/// One row of the rule table.
#[derive(Debug, Clone, Copy)]
pub struct RuleInfo {
    /// The rule.
    pub rule: Rule,
    /// Its name in commands, reports and `design.json`.
    pub id: &'static str,
    /// How badly it matters when broken.
    pub severity: Severity,
    /// Safe rounding direction.
    pub rounding: Rounding,
    /// What it demands.
    pub statement: &'static str,
    /// What goes wrong otherwise.
    pub why: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}
