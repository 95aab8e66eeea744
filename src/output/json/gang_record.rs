//! Several pockets in one carrier, as `design.json` has them.

use schemars::JsonSchema;
use serde::Serialize;

use super::record::{LengthRecord, OutlineRecord, PointRecord};

/// Several pockets, in rows or set freely.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GangRecord {
    /// Rows, counted from the fence; 0 where the pockets stand in no rows.
    pub rows: usize,
    /// Pockets in the row at the fence; 0 where they stand in no rows.
    pub columns: usize,
    /// From a pocket to the next in its row that lies the same way, and from a row to the next.
    pub pitch: PointRecord,
    /// How far the second of each pair in a row, turned half round, lies beyond the first; null where all
    /// lie the same way.
    pub pair: Option<LengthRecord>,
    /// How far every second row is set off along the feed.
    pub set_off: LengthRecord,
    /// Wood between two pockets, before corner relief.
    pub web: LengthRecord,
    /// Blanks to be carved in all.
    pub blanks: usize,
    /// Blanks in each load, in order.
    pub loads: Vec<usize>,
    /// What the layout was chosen by: `fewest-loads`, `least-wood`, `shortest` or `no-empty-pockets`.
    pub objective: String,
    /// The best layout for each number of rows.
    pub layouts: Vec<LayoutRecord>,
    /// The outlines of the job, in its order; one where all blanks are alike.
    pub outlines: Vec<GangOutlineRecord>,
    /// What lies in each pocket, in their order, where they stand in no rows; empty where they do.
    pub nested: Vec<NestedRecord>,
}

/// An outline of a gang.
#[derive(Debug, Serialize, JsonSchema)]
pub struct GangOutlineRecord {
    /// Its name; empty where there is only one.
    pub name: String,
    /// Blanks of it to be carved in all.
    pub blanks: usize,
    /// Pockets for it in one carrier.
    pub pockets: usize,
}

/// What lies in a pocket that stands in no row; where it lies is said of the pocket.
#[derive(Debug, Serialize, JsonSchema)]
pub struct NestedRecord {
    /// The outline, counted from 1.
    pub outline: usize,
    /// Whether it is turned half round from how its outline is loaded.
    pub turned_half_round: bool,
    /// The blank as it lies there.
    pub blank: Option<OutlineRecord>,
}

/// A layout that was compared.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LayoutRecord {
    /// Rows; 0 where the pockets stand in none.
    pub rows: usize,
    /// Pockets in the row at the fence; 0 where so many rows do not fit.
    pub columns: usize,
    /// Pockets in all.
    pub pockets: usize,
    /// Whether every second row is set off.
    pub staggered: bool,
    /// Loads until all blanks are done.
    pub loads: usize,
    /// Carrier length.
    pub length: LengthRecord,
    /// Carrier width.
    pub width: LengthRecord,
    /// The rule that forbids it, where it does not fit.
    pub refused: Option<String>,
}
