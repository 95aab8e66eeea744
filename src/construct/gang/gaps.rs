//! Where fingers get at the blanks of a gang: at both ends of each nest or at both its sides, one gap for
//! two neighbours wherever they stand near enough.

use super::super::layout::WEB_LEFT;
use super::grid::Grid;
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;

/// A gap between two neighbours is wide enough to open this much of either's edge. Common practice, no
/// source: a fingertip, and a mark of the ruler over.
pub const OPENED: Length = Length::inches(13, 16);
/// Gaps wider than one's own finger gap come in steps of an eighth, as bits do.
const BITS: Length = Length::inches(1, 8);

/// The two finger gaps of a nest, by their middles on its outline.
#[derive(Debug, Clone, Copy)]
pub struct Gaps {
    /// Whether they lie at the ends, on a line along the feed; else at the sides.
    pub ends: bool,
    /// Nearest to the lead end (or fence) and farthest from it, the nest as it is drawn.
    pub at: [Point; 2],
    /// Diameter of a gap that serves one nest.
    pub finger: Length,
}

impl Gaps {
    /// Those of a nest in a box, or of the same turned half round in it.
    pub fn of(&self, room: &Rect, turned: bool) -> [Point; 2] {
        if !turned {
            return self.at;
        }
        let turn = |p: Point| Point::new(room.x0 + room.x1 - p.x, room.y0 + room.y1 - p.y);
        let [near, far] = self.at;
        [turn(far), turn(near)]
    }

    /// The gap that serves two neighbours, by where each would have its own; `None` where they stand so
    /// far apart that each keeps its own.
    pub fn shared(&self, one: Point, next: Point) -> Option<(Point, Length)> {
        let apart = libm::hypot((next.x - one.x).to_mm(), (next.y - one.y).to_mm());
        if apart >= (self.finger + WEB_LEFT).to_mm() {
            return None;
        }
        let wide = Length::from_mm(libm::hypot(apart, OPENED.to_mm()))?.up(BITS);
        let middle = Point::new(one.x + (next.x - one.x).half(), one.y + (next.y - one.y).half());
        Some((middle, wide.max(self.finger)))
    }

    /// The gaps of all nests of a grid, the box of the first at `room`.
    pub fn discs(&self, grid: &Grid, room: &Rect) -> Vec<Outline> {
        let offsets = grid.offsets();
        let places: Vec<[Point; 2]> = offsets
            .iter()
            .enumerate()
            .map(|(place, by)| {
                let turned = grid.pair.is_some() && !(place % grid.columns).is_multiple_of(2);
                self.of(room, turned).map(|p| Point::new(p.x + by.x, p.y + by.y))
            })
            .collect();
        let step = if self.ends { 1 } else { grid.columns };
        let next_to = |place: usize| {
            let last = self.ends && (place + 1).is_multiple_of(grid.columns);
            if last { None } else { places.get(place + step) }
        };
        let between = |place: usize| {
            let [_, far] = places.get(place)?;
            let [near, _] = next_to(place)?;
            self.shared(*far, *near)
        };
        let before = |place: usize| {
            let first = self.ends && place.is_multiple_of(grid.columns);
            place.checked_sub(step).filter(|_| !first)
        };
        let mut found = Vec::new();
        for (place, [near, far]) in places.iter().enumerate() {
            if before(place).and_then(between).is_none() {
                found.push((*near, self.finger));
            }
            found.push(between(place).unwrap_or((*far, self.finger)));
        }
        found.into_iter().map(|(centre, diameter)| Outline::Disc { centre, diameter }).collect()
    }
}
