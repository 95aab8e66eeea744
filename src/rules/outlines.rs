//! Rows for blanks of any outline: nests, and the wedges that hold without one.

use super::{Rounding, Rule, RuleInfo, Severity};

pub(super) const NEST_CLEARANCE: RuleInfo = RuleInfo {
    rule: Rule::NestClearance,
    id: "nest-clearance",
    severity: Severity::Must,
    rounding: Rounding::Up,
    statement: "a nest stands off the blank's outline by the error of its capture and the clearance, everywhere",
    why: "the blank does not go in",
    source: "geometry; errors of capture by common practice, no source",
};

pub(super) const NEST_CORNERS: RuleInfo = RuleInfo {
    rule: Rule::NestCorners,
    id: "nest-corners",
    severity: Severity::Must,
    rounding: Rounding::Exact,
    statement: "the cutter's round reaches every place that the blank grown by its capture error may fill: at a corner r (1 - sin(angle/2)) <= clearance + error (1 - sin(angle/2)), or the nest is relieved there",
    why: "a sharp corner rides up on the round the cutter leaves",
    source: "geometry",
};

pub(super) const NEST_NECKS: RuleInfo = RuleInfo {
    rule: Rule::NestNecks,
    id: "nest-necks",
    severity: Severity::Should,
    rounding: Rounding::Up,
    statement: "wood that reaches into a cove of the blank >= 1/4 in wide in sheet stock",
    why: "a thin neck snaps off",
    source: "common practice, no source",
};

pub(super) const FINGER_GAPS: RuleInfo = RuleInfo {
    rule: Rule::FingerGaps,
    id: "finger-gaps",
    severity: Severity::Should,
    rounding: Rounding::Exact,
    statement: "two gaps in the wall of a nest, each wide enough for a finger, to lift the blank by",
    why: "a blank that fits all round is pried out and bruised",
    source: "common practice, no source",
};

pub(super) const NEST_HELD: RuleInfo = RuleInfo {
    rule: Rule::NestHeld,
    id: "nest-held",
    severity: Severity::Must,
    rounding: Rounding::Exact,
    statement: "straight parts touch a blank of any outline where it cannot move, whichever way it is pushed and without friction: their pushes balance, none at zero, and do not all meet in one point; so too with every contact 1/4 in to either side",
    why: "it turns or slides under the cutter",
    source: "Lynch and Park, Modern Robotics, 12.1.7; Reuleaux 1876; 1/4 in by common practice, no source",
};

pub(super) const FENCE_CONTACTS: RuleInfo = RuleInfo {
    rule: Rule::FenceContacts,
    id: "fence-contacts",
    severity: Severity::Must,
    rounding: Rounding::Up,
    statement: "two contacts on the fence rail, as far apart as half the blank is long, and the push of the far wedges between them",
    why: "the blank rocks about one contact, or swings when the wedges are driven",
    source: "statics; half the length by common practice, no source",
};

pub(super) const WEDGE_SHAPE: RuleInfo = RuleInfo {
    rule: Rule::WedgeShape,
    id: "wedge-shape",
    severity: Severity::Must,
    rounding: Rounding::Exact,
    statement: "wedges no steeper than 1 in 8, an angle less than twice that of friction, and 3/8 in or more at the thin end",
    why: "a steep wedge shakes out, a thin end crushes",
    source: "statics of a wedge with two rubbing faces; 1 in 8 and 3/8 in by common practice, no source",
};

pub(super) const WEDGE_TRAVEL: RuleInfo = RuleInfo {
    rule: Rule::WedgeTravel,
    id: "wedge-travel",
    severity: Severity::Must,
    rounding: Rounding::Up,
    statement: "wedges can be backed out far enough for the largest the blank may be, and driven in by what the saw leaves open, a third of their length always overlapping",
    why: "the wedges do not reach the blank, or do not let it in",
    source: "geometry; a third by common practice, no source",
};

pub(super) const WEDGE_HEIGHT: RuleInfo = RuleInfo {
    rule: Rule::WedgeHeight,
    id: "wedge-height",
    severity: Severity::Must,
    rounding: Rounding::Down,
    statement: "wedges 1/8 in below the deepest cut where the cutter may pass over them, and nowhere above the top plane",
    why: "a wedge that is cut into flies out, and the blank with it",
    source: "common practice, no source",
};

pub(super) const WEDGE_ROOM: RuleInfo = RuleInfo {
    rule: Rule::WedgeRoom,
    id: "wedge-room",
    severity: Severity::Must,
    rounding: Rounding::Up,
    statement: "behind the thick end of a wedge that is not yet driven, 3/4 in for a drift",
    why: "the wedge cannot be struck home",
    source: "common practice, no source",
};

pub(super) const DRIVE_ORDER: RuleInfo = RuleInfo {
    rule: Rule::DriveOrder,
    id: "drive-order",
    severity: Severity::Should,
    rounding: Rounding::Exact,
    statement: "push of the trail wedges x its distance from the lead contact's line <= push of the far wedges x the lesser distance to a fence contact, both wedges driven alike",
    why: "the wedge driven second lifts the blank off a fence contact; it must then be driven more gently",
    source: "statics",
};
