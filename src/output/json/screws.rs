//! Screws from below, as `design.json` has them.

use schemars::JsonSchema;
use serde::Serialize;

use super::Writer;
use super::record::{LengthRecord, PointRecord};
use crate::design::Design;

/// Wood screws driven up from the bed face into the blank.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ScrewsRecord {
    /// Gauge or diameter, such as `No. 8`.
    pub size: String,
    /// Diameter of the shank.
    pub diameter: LengthRecord,
    /// Length over all, head included.
    pub length: LengthRecord,
    /// Hole through the carrier.
    pub hole: LengthRecord,
    /// Countersink: its diameter at the bed face.
    pub countersink: LengthRecord,
    /// Its depth.
    pub countersink_depth: LengthRecord,
    /// How far the heads lie within the bed face.
    pub sunk: LengthRecord,
    /// Pilot hole in the blank.
    pub pilot: LengthRecord,
    /// Where the drill for it stops, from the bed face.
    pub drill_stop: LengthRecord,
    /// How far they go into the blank.
    pub bite: LengthRecord,
    /// Height of their tips above the bed face.
    pub tip: LengthRecord,
    /// Pull that one may take, newtons (estimate).
    pub pull_n: f64,
    /// Push to the side that one may take, newtons (estimate).
    pub side_n: f64,
    /// Where they are, from the lead end and the fence edge.
    pub places: Vec<PointRecord>,
}

/// The screws of a design.
pub(super) fn screws(w: &Writer, design: &Design) -> Option<ScrewsRecord> {
    let screws = design.screws.as_ref()?;
    let tenth = |newtons: f64| (newtons * 10.0).round() / 10.0;
    Some(ScrewsRecord {
        size: screws.size.clone(),
        diameter: w.height(screws.diameter),
        length: w.height(screws.length),
        hole: w.height(screws.hole),
        countersink: w.height(screws.mouth),
        countersink_depth: w.height(screws.countersink),
        sunk: w.height(screws.sunk),
        pilot: w.height(screws.pilot),
        drill_stop: w.height(screws.drill_stop(w.height.step)),
        bite: w.height(screws.bite),
        tip: w.height(screws.tip),
        pull_n: tenth(screws.pull),
        side_n: tenth(screws.side),
        places: screws.places.iter().map(|at| w.point(*at)).collect(),
    })
}
