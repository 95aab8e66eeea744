//! The plane that keeps a nearly level face within the thinnest zone.

use microlp::{ComparisonOp, OptimizationDirection, Problem};

use super::heights::HeightGrid;
use crate::length::Length;

/// How far an optimum found in floating point may be off, as a share of the greatest height.
const SLACK: f64 = 1e-9;
/// Heights this close to a mark of 1/1024 in or 1 um are that mark: floating point loses less.
const SNAP: i64 = 40;

/// A plane `z = a u + b v + c` through a face, with `u` and `v` running from -1 to 1 over its box,
/// and half the height of the zone about it that holds every point. Heights in the unit given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Zone {
    /// Rise from the middle to the trail end.
    pub a: f64,
    /// Rise from the middle to the far side.
    pub b: f64,
    /// Height in the middle.
    pub c: f64,
    /// Half the height of the zone, measured upright.
    pub half: f64,
}

/// The plane with the least zone about it (ISO 12781-1, minimum zone; upright, which for slopes as
/// shallow as a board's differs from the normal distance only in second order), and of several the
/// one that slopes least. Points are `(u, v, z)`; `None` where the linear program fails.
pub fn minimum_zone(points: &[(f64, f64, f64)]) -> Option<Zone> {
    let tallest = points.iter().fold(0.0_f64, |most, point| most.max(point.2.abs()));
    let (_, half) = solve(points, None)?;
    let (plane, _) = solve(points, Some(half + SLACK * tallest.max(1e-6)))?;
    // The zone of the plane found, whatever the program left of it.
    let off = |(u, v, z): &(f64, f64, f64)| z - plane.0 * u - plane.1 * v;
    let low = points.iter().map(off).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(off).fold(f64::NEG_INFINITY, f64::max);
    Some(Zone { a: plane.0, b: plane.1, c: (low + high) / 2.0, half: (high - low) / 2.0 })
}

/// Least zone, or with `most` given the least slope within that zone: slopes, and what was least.
fn solve(points: &[(f64, f64, f64)], most: Option<f64>) -> Option<((f64, f64), f64)> {
    let free = (f64::NEG_INFINITY, f64::INFINITY);
    let mut program = Problem::new(OptimizationDirection::Minimize);
    let (weight, slope) = if most.is_some() { (0.0, 1.0) } else { (1.0, 0.0) };
    let (a, b, c) = (program.add_var(0.0, free), program.add_var(0.0, free), program.add_var(0.0, free));
    let half = program.add_var(weight, (0.0, most.unwrap_or(f64::INFINITY)));
    for (u, v, z) in points {
        program.add_constraint([(a, *u), (b, *v), (c, 1.0), (half, 1.0)], ComparisonOp::Ge, *z);
        program.add_constraint([(a, *u), (b, *v), (c, 1.0), (half, -1.0)], ComparisonOp::Le, *z);
    }
    if most.is_some() {
        for rise in [a, b] {
            let steep = program.add_var(slope, (0.0, f64::INFINITY));
            program.add_constraint([(steep, 1.0), (rise, -1.0)], ComparisonOp::Ge, 0.0);
            program.add_constraint([(steep, 1.0), (rise, 1.0)], ComparisonOp::Ge, 0.0);
        }
    }
    let solution = program.solve().ok()?.into_solution().ok()?;
    Some(((solution.var_value(a), solution.var_value(b)), solution.var_value(half)))
}

/// The heights above a table of a face laid so that it keeps within the thinnest zone: the least is
/// zero, the greatest the flatness. `None` where no plane was found.
pub fn levelled(face: &HeightGrid) -> Option<HeightGrid> {
    let (x0, x1) = (face.xs.first()?.to_mm(), face.xs.last()?.to_mm());
    let (y0, y1) = (face.ys.first()?.to_mm(), face.ys.last()?.to_mm());
    if x1 <= x0 || y1 <= y0 {
        return None;
    }
    let unit = |at: Length, from: f64, to: f64| (2.0 * at.to_mm() - from - to) / (to - from);
    let points: Vec<(f64, f64, f64)> =
        face.places().map(|(x, y, z)| (unit(x, x0, x1), unit(y, y0, y1), z.to_mm())).collect();
    let zone = minimum_zone(&points)?;
    let mut heights = points.iter().map(|(u, v, z)| z - zone.a * u - zone.b * v - zone.c + zone.half);
    let mut rows = Vec::with_capacity(face.rows.len());
    for row in &face.rows {
        let level: Option<Vec<Length>> = row.iter().map(|_| heights.next().and_then(marked)).collect();
        rows.push(level?);
    }
    Some(HeightGrid { xs: face.xs.clone(), ys: face.ys.clone(), rows })
}

/// A height freed of what floating point left on it.
fn marked(mm: f64) -> Option<Length> {
    let height = Length::from_mm(mm.max(0.0))?;
    let near = |step: Length| Some(height.nearest(step)).filter(|mark| (height - *mark).abs().ticks() <= SNAP);
    near(Length::inches(1, 1024)).or_else(|| near(Length::micrometres(1))).or(Some(height))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Corners up and down by e in turn: no plane does better than level, so the zone is 2 e. The
    /// corner lift is 4 e (one corner stands 4 e off the plane of the other three).
    #[test]
    fn pure_twist() {
        let e = 0.25;
        let zone = minimum_zone(&[(-1.0, -1.0, e), (1.0, -1.0, -e), (-1.0, 1.0, -e), (1.0, 1.0, e)]).expect("solved");
        assert_abs_diff_eq!(zone.half * 2.0, 2.0 * e, epsilon = 1e-9);
        assert_abs_diff_eq!(zone.a, 0.0, epsilon = 1e-7);
        let marks = vec![Length::ZERO, Length::INCH * 10];
        let grid =
            HeightGrid::of(marks.clone(), marks, |column, row| if column == row { Length::MM } else { Length::ZERO });
        // Heights 1 0 / 0 1: e is 1/2, so the lift is 2 and the zone 1.
        assert_eq!(grid.corner_lift(), Length::MM * 2);
        assert_eq!(levelled(&grid).expect("solved").greatest(), Length::MM);
    }

    /// Rows 0 .02 .01, .03 .10 .02, 0 .01 .04 (x, y = 0, 1, 2). The middle lies half way between the
    /// corners .01 and 0, so no plane does better than .10 - .005 = 0.0950; 0.01 x + 0.005 y + 0.0375,
    /// found with an independent LP solver, reaches it. It may turn about the line of the two corners:
    /// the plane taken slopes no more than that one.
    #[test]
    fn nine_points_against_another_solver() {
        let rows = [[0.0, 0.02, 0.01], [0.03, 0.10, 0.02], [0.0, 0.01, 0.04]];
        let points: Vec<(f64, f64, f64)> = rows
            .iter()
            .zip([-1.0, 0.0, 1.0])
            .flat_map(|(row, v)| row.iter().zip([-1.0, 0.0, 1.0]).map(move |(z, u)| (u, v, *z)))
            .collect();
        let zone = minimum_zone(&points).expect("solved");
        assert_abs_diff_eq!(zone.half * 2.0, 0.0950, epsilon = 1e-9);
        let off = |(u, v, z): &(f64, f64, f64)| (z - zone.a * u - zone.b * v - zone.c).abs();
        assert!(points.iter().all(|point| off(point) <= 0.0475 + 1e-9));
        assert!(zone.a.abs() + zone.b.abs() <= 0.015 + 1e-9);
    }

    /// Four corners level, the middle 1 higher: every tilt adds to the zone of 1.
    #[test]
    fn a_bump_in_the_middle() {
        let points = [(-1.0, -1.0, 0.0), (1.0, -1.0, 0.0), (-1.0, 1.0, 0.0), (1.0, 1.0, 0.0), (0.0, 0.0, 1.0)];
        let zone = minimum_zone(&points).expect("solved");
        assert_abs_diff_eq!(zone.half * 2.0, 1.0, epsilon = 1e-9);
    }
}
