//! Screws from below.

use crate::geometry::Point;
use crate::length::Length;

/// Wood screws with flat heads, driven up from the bed face through the floor into the blank.
#[derive(Debug, Clone, PartialEq)]
pub struct Screws {
    /// Gauge or diameter, such as `No. 8`.
    pub size: String,
    /// Diameter of the shank.
    pub diameter: Length,
    /// Length over all, head included.
    pub length: Length,
    /// Greatest diameter of the head.
    pub head: Length,
    /// How far the top of the head lies within the bed face.
    pub sunk: Length,
    /// Diameter of the countersink at the bed face.
    pub mouth: Length,
    /// Depth of the countersink: head and all that it is sunk.
    pub countersink: Length,
    /// Diameter of the hole through the carrier, in which the shank turns freely.
    pub hole: Length,
    /// Diameter of the pilot hole in the blank.
    pub pilot: Length,
    /// From the blank's underside to the tip.
    pub bite: Length,
    /// Height of the tip above the bed face.
    pub tip: Length,
    /// Pull that one may take, N.
    pub pull: f64,
    /// Push to the side that one may take, N.
    pub side: f64,
    /// Where they are.
    pub places: Vec<Point>,
}

impl Screws {
    /// Where the drill for the pilot holes stops, from the bed face: a diameter short of the tips, which find
    /// their own way; on a ruler of this step.
    pub fn drill_stop(&self, step: Length) -> Length {
        (self.tip - self.diameter).down(step)
    }
}
