//! Contacts of straight parts, as they stand in `design.json`.

use schemars::JsonSchema;
use serde::Serialize;

use super::record::LengthRecord;

/// A place where a straight part holds the blank.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ContactRecord {
    /// Along the feed, from the lead end.
    pub x: LengthRecord,
    /// Across, from the fence edge.
    pub y: LengthRecord,
    /// The side of the blank it is on: `fence`, `lead`, `far` or `trail`; `cleat` and `wedge` where cleats at
    /// angles hold it.
    pub side: String,
    /// Whether card has to make the blank bear there.
    pub packed: bool,
    /// Direction in which the blank is pushed, of length 1: along the feed and across it.
    pub push: [f64; 2],
    /// The two marks that the working edge of a cleat at an angle is laid to; a square end of it stands at the
    /// first. Of a wedge, the marks of the cleat behind it. Null where all is square to the feed.
    pub marks: Option<[MarkRecord; 2]>,
    /// Degrees between that edge and the fence edge, 0 to 90.
    pub angle: Option<f64>,
}

/// A mark on the base.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MarkRecord {
    /// From the lead end.
    pub x: LengthRecord,
    /// From the fence edge.
    pub y: LengthRecord,
}
