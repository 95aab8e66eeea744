//! Rules of carriers for blanks that are many, irregular, round, warped or turned over.

use super::{Rounding, Rule, RuleInfo, Severity};

/// The rows after those of a plain board.
pub(super) const SHAPED: &[RuleInfo] = &[
    RuleInfo {
        rule: Rule::NestClearance,
        id: "nest-clearance",
        severity: Severity::Must,
        rounding: Rounding::Up,
        statement: "a nest stands off the blank's outline by the error of its capture and the clearance, everywhere",
        why: "the blank does not go in",
        source: "geometry; errors of capture by common practice, no source",
    },
    RuleInfo {
        rule: Rule::NestCorners,
        id: "nest-corners",
        severity: Severity::Must,
        rounding: Rounding::Exact,
        statement: "the cutter's round reaches every place that the blank grown by its capture error may fill: at a corner r (1 - sin(angle/2)) <= clearance + error (1 - sin(angle/2)), or the nest is relieved there",
        why: "a sharp corner rides up on the round the cutter leaves",
        source: "geometry",
    },
    RuleInfo {
        rule: Rule::NestNecks,
        id: "nest-necks",
        severity: Severity::Should,
        rounding: Rounding::Up,
        statement: "wood that reaches into a cove of the blank >= 1/4 in wide in sheet stock",
        why: "a thin neck snaps off",
        source: "common practice, no source",
    },
    RuleInfo {
        rule: Rule::FingerGaps,
        id: "finger-gaps",
        severity: Severity::Should,
        rounding: Rounding::Exact,
        statement: "two gaps in the wall of a nest, each wide enough for a finger, to lift the blank by",
        why: "a blank that fits all round is pried out and bruised",
        source: "common practice, no source",
    },
    RuleInfo {
        rule: Rule::Web,
        id: "web",
        severity: Severity::Must,
        rounding: Rounding::Up,
        statement: "wood between two pockets >= 1/2 in; where parts are cut free all round also >= cutter + 1/4 in and >= cutter + overrun + 3/16 in",
        why: "a thin web breaks loose, and the cutter runs into the next blank",
        source: "common practice, no source",
    },
    RuleInfo {
        rule: Rule::WebAfterRelief,
        id: "web-after-relief",
        severity: Severity::Must,
        rounding: Rounding::Up,
        statement: "wood between two pockets less the corner reliefs that bite into it >= 1/4 in",
        why: "the web cracks between the reliefs of two neighbours",
        source: "common practice, no source",
    },
    RuleInfo {
        rule: Rule::EqualPitch,
        id: "equal-pitch",
        severity: Severity::Must,
        rounding: Rounding::Exact,
        statement: "pockets of a row, and rows, stand at one pitch",
        why: "one artwork is stepped from blank to blank",
        source: "common practice, no source",
    },
    RuleInfo {
        rule: Rule::GangCount,
        id: "gang-count",
        severity: Severity::Must,
        rounding: Rounding::Exact,
        statement: "a gang carries two or more blanks alike, all of them in a whole number of loads",
        why: "one blank needs one pocket",
        source: "common practice, no source",
    },
];
