//! Heights of a nearly level face, read at the crossings of a grid in plan.

use crate::length::Length;

/// Heights at the crossings of lines across and along the feed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeightGrid {
    /// Places along the feed, rising; at least two.
    pub xs: Vec<Length>,
    /// Places across the feed, rising; at least two.
    pub ys: Vec<Length>,
    /// Heights, one row for each of `ys`, in it one for each of `xs`.
    pub rows: Vec<Vec<Length>>,
}

impl HeightGrid {
    /// Heights at every crossing, as `height` gives them by column and row.
    pub fn of(xs: Vec<Length>, ys: Vec<Length>, height: impl Fn(usize, usize) -> Length) -> HeightGrid {
        let rows = (0..ys.len()).map(|row| (0..xs.len()).map(|column| height(column, row)).collect()).collect();
        HeightGrid { xs, ys, rows }
    }

    /// Every crossing with its height: x, y, height.
    pub fn places(&self) -> impl Iterator<Item = (Length, Length, Length)> + '_ {
        let row = |(y, row): (&Length, &Vec<Length>)| {
            let y = *y;
            self.xs.iter().zip(row.clone()).map(move |(x, z)| (*x, y, z)).collect::<Vec<_>>()
        };
        self.ys.iter().zip(&self.rows).flat_map(row)
    }

    /// Greatest height; zero of an empty grid.
    pub fn greatest(&self) -> Length {
        self.rows.iter().flatten().copied().max().unwrap_or_default()
    }

    /// Least height; zero of an empty grid.
    pub fn least(&self) -> Length {
        self.rows.iter().flatten().copied().min().unwrap_or_default()
    }

    /// The grid moved in plan.
    pub fn moved(&self, x: Length, y: Length) -> HeightGrid {
        HeightGrid {
            xs: self.xs.iter().map(|at| *at + x).collect(),
            ys: self.ys.iter().map(|at| *at + y).collect(),
            rows: self.rows.clone(),
        }
    }

    /// The grid turned by a quarter, counter-clockwise seen from above, within its own box: the fence
    /// side leads, the trail end meets the fence.
    pub fn turned(&self) -> HeightGrid {
        let length = self.xs.last().copied().unwrap_or_default();
        let ys: Vec<Length> = self.xs.iter().rev().map(|x| length - *x).collect();
        let columns = self.xs.len();
        let at = |column: usize, row: usize| {
            let old = self.rows.get(column).and_then(|old| old.get(columns.checked_sub(row + 1)?));
            old.copied().unwrap_or_default()
        };
        HeightGrid::of(self.ys.clone(), ys, at)
    }

    /// Height at a place, straight between the crossings round it; beyond the grid as at its edge.
    pub fn at(&self, x: Length, y: Length) -> Length {
        let (columns, rows) = (share(&self.xs, x), share(&self.ys, y));
        let height = |row: usize, column: usize| {
            self.rows.get(row).and_then(|row| row.get(column)).map_or(0.0, |height| height.to_mm())
        };
        let ((c0, c1, u), (r0, r1, v)) = (columns, rows);
        let near = height(r0, c0) * (1.0 - u) + height(r0, c1) * u;
        let far = height(r1, c0) * (1.0 - u) + height(r1, c1) * u;
        Length::from_mm(near * (1.0 - v) + far * v).unwrap_or_default()
    }

    /// How far the fourth corner stands off the plane through the other three: twist as it is
    /// measured by pressing one corner down on a flat table. A measure of its own, not the flatness.
    pub fn corner_lift(&self) -> Length {
        let corner = |row: Option<&Vec<Length>>, last: bool| {
            row.and_then(|row| if last { row.last() } else { row.first() }).copied().unwrap_or_default()
        };
        let (near, far) = (self.rows.first(), self.rows.last());
        (corner(near, false) - corner(near, true) - corner(far, false) + corner(far, true)).abs()
    }
}

/// The two marks round a place, and how far it lies from the first to the second.
fn share(marks: &[Length], at: Length) -> (usize, usize, f64) {
    let after = marks.iter().position(|mark| *mark > at).unwrap_or(marks.len());
    let (before, last) = (after.saturating_sub(1), marks.len().saturating_sub(1));
    let after = after.min(last);
    match (marks.get(before), marks.get(after)) {
        (Some(from), Some(to)) if to > from => (before, after, ((at - *from) / (*to - *from)).clamp(0.0, 1.0)),
        _ => (before, after, 0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: Length = Length::MM;

    /// 0 1 2 at the fence, 3 4 5 at the far side, 10 mm apart both ways.
    fn grid() -> HeightGrid {
        let marks = |count: i64| (0..count).map(|place| MM * (10 * place)).collect();
        HeightGrid::of(marks(3), marks(2), |column, row| MM * (column as i64 + 3 * row as i64))
    }

    #[test]
    fn heights_run_straight_between_the_crossings() {
        // Half way from 1 to 2 at the fence; half way from there to 4.5: 3.
        assert_eq!(grid().at(MM * 15, Length::ZERO), Length::micrometres(1500));
        assert_eq!(grid().at(MM * 15, MM * 5), MM * 3);
        assert_eq!(grid().at(MM * 99, MM * 99), MM * 5);
    }

    #[test]
    fn a_quarter_turn_brings_the_trail_end_to_the_fence() {
        // Seen from above with the fence at the bottom: the fence row 0 1 2 becomes the leading
        // column, its trail end 2 at the fence.
        let turned = grid().turned();
        assert_eq!((turned.xs.len(), turned.ys.len()), (2, 3));
        assert_eq!(turned.rows, [[MM * 2, MM * 5], [MM, MM * 4], [Length::ZERO, MM * 3]]);
    }
}
