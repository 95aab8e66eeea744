//! Rows of the rule table for blanks that lie in a cradle.

use super::{Rounding, Rule, RuleInfo, Severity};

pub(super) const CRADLE_CONTACT: RuleInfo = RuleInfo {
    rule: Rule::CradleContact,
    id: "cradle-contact",
    severity: Severity::Must,
    rounding: Rounding::Up,
    statement: "the round touches both sides of its cradle, on its round; a V stands at least 1/8 in above the line of contact, the edges of a saddle at least 1/16 in above what lies lowest",
    why: "a round that rests on a corner, or on the floor, rocks",
    source: "geometry; 1/8 in and 1/16 in by common practice, no source",
};

pub(super) const CRADLE_LEVEL: RuleInfo = RuleInfo {
    rule: Rule::CradleLevel,
    id: "cradle-level",
    severity: Severity::Must,
    rounding: Rounding::Exact,
    statement: "the crown (or the axis, or the flat) that is to lie level does so within 1/64 in",
    why: "the depth would change along the carving",
    source: "geometry; 1/64 in by common practice, no source",
};

pub(super) const CROWN_WANTED: RuleInfo = RuleInfo {
    rule: Rule::CrownWanted,
    id: "crown-wanted",
    severity: Severity::Should,
    rounding: Rounding::Down,
    statement: "crown 0 to 1/32 in proud of the rails for the largest and the smallest blank the readings allow",
    why: "a sunk crown is not steadied by the rollers; a proud one carries them on a line",
    source: "common practice, no source",
};

pub(super) const TURN_STOP: RuleInfo = RuleInfo {
    rule: Rule::TurnStop,
    id: "turn-stop",
    severity: Severity::Must,
    rounding: Rounding::Exact,
    statement: "a round in a cradle has a stop against turning, on both sides, over at least half its length",
    why: "no cradle closes a round against turning: it rolls under the cutter",
    source: "form closure of a round in the plane leaves its rotation free: Lynch & Park, Modern Robotics, ch. 12; half the length by common practice, no source",
};

pub(super) const CRADLE_SPAN: RuleInfo = RuleInfo {
    rule: Rule::CradleSpan,
    id: "cradle-span",
    severity: Severity::Should,
    rounding: Rounding::Exact,
    statement: "between two blocks a spindle sags no more than 1/64 in under the cutter: F l^3 / (48 E I), I = pi d^4 / 64",
    why: "a slender spindle springs away from the cutter",
    source: "beam formula from the Wood Handbook, ch. 9; force and 1/64 in by judgement",
};

pub(super) const ROUNDS_HELD: RuleInfo = RuleInfo {
    rule: Rule::RoundsHeld,
    id: "rounds-held",
    severity: Severity::Must,
    rounding: Rounding::Exact,
    statement: "bevels are ripped from boards at least 12 in long and at least 3 in wide, blade tilted away from the fence; a round goes over a saw only in a cradle",
    why: "a narrow bevel is snatched, and a round rolls and takes the hand with it",
    source: "common practice, no source",
};
