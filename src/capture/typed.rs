//! Outlines typed in the job: offsets from a baseline, points, and arcs by sagitta or a third point.

use super::{Drawing, DrawnVertex, Fault};
use crate::geometry::Point;
use crate::geometry::path::{Mm, to_mm};
use crate::length::Length;

/// A table of stations: place along the baseline, near edge, far edge.
///
/// Between stations the true edge may be rounder than the straight line: by `s^2 / 8R` for stations `s`
/// apart on a curve of radius `R` (sagitta of a shallow arc), `1/R` taken from the divided second
/// differences of the offsets on both sides of each gap, the larger counting. That is added to the error.
///
/// # Errors
/// When a row is short, stations do not ascend, or the far edge is not beyond the near one.
pub fn stations(rows: &[Vec<Length>]) -> Result<Drawing, Fault> {
    let help = "each row is [station, near edge, far edge], stations ascending";
    if rows.len() < 2 {
        return Err(Fault::new("a table of stations needs at least two rows", help));
    }
    let mut table: Vec<(f64, f64, f64)> = Vec::with_capacity(rows.len());
    for (index, row) in rows.iter().enumerate() {
        let [station, near, far] = row.as_slice() else {
            return Err(Fault::new(format!("row {} has {} sizes, not three", index + 1, row.len()), help).at(index));
        };
        let end = index == 0 || index + 1 == rows.len();
        if far < near || (far == near && !end) {
            let message = format!("row {}: the far edge is not beyond the near edge", index + 1);
            return Err(Fault::new(message, "only at the two ends may they meet").at(index));
        }
        if table.last().is_some_and(|last| last.0 >= station.to_mm()) {
            return Err(
                Fault::new(format!("row {}: the station is not beyond the one before", index + 1), help).at(index)
            );
        }
        table.push((station.to_mm(), near.to_mm(), far.to_mm()));
    }
    let near: Vec<Mm> = table.iter().map(|row| (row.0, row.1)).collect();
    let far: Vec<Mm> = table.iter().map(|row| (row.0, row.2)).collect();
    let error = roundness(&near).max(roundness(&far));
    let ring = near.into_iter().chain(far.into_iter().rev());
    Ok(Drawing { vertices: ring.map(|p| (p, None)).collect(), error })
}

/// The largest sagitta between two neighbouring stations, mm.
fn roundness(edge: &[Mm]) -> f64 {
    let bend = |a: &Mm, b: &Mm, c: &Mm| {
        let (left, right) = ((b.1 - a.1) / (b.0 - a.0), (c.1 - b.1) / (c.0 - b.0));
        (2.0 * (right - left) / (c.0 - a.0)).abs()
    };
    let bends: Vec<f64> =
        edge.iter().zip(edge.iter().skip(1)).zip(edge.iter().skip(2)).map(|((a, b), c)| bend(a, b, c)).collect();
    let gaps = edge.iter().zip(edge.iter().skip(1)).enumerate();
    gaps.map(|(gap, (a, b))| {
        // Bend `i` stands at station `i + 1`: a gap has one at its start and one at its end.
        let before = gap.checked_sub(1).and_then(|index| bends.get(index)).copied().unwrap_or(0.0);
        let after = bends.get(gap).copied().unwrap_or(0.0);
        let step = b.0 - a.0;
        step * step * before.max(after) / 8.0
    })
    .fold(0.0, f64::max)
}

/// A list of points `[x, y]`, in order. A third size is the sagitta of an arc to the next point,
/// positive where it bulges out of the blank; a third and fourth are a point the arc passes through.
///
/// # Errors
/// When a row has fewer than two or more than four sizes, or a sagitta belongs to no chord.
pub fn points(rows: &[Vec<Length>]) -> Result<Drawing, Fault> {
    let help = "each row is [x, y], with an arc to the next [x, y, sagitta] or [x, y, through x, through y]";
    let mut places: Vec<Mm> = Vec::with_capacity(rows.len());
    for (index, row) in rows.iter().enumerate() {
        match row.as_slice() {
            [x, y] | [x, y, _] | [x, y, _, _] => places.push(to_mm(Point::new(*x, *y))),
            _ => {
                return Err(Fault::new(format!("row {} has {} sizes", index + 1, row.len()), help).at(index));
            }
        }
    }
    let doubled: f64 = places.iter().zip(places.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    let outward = if doubled < 0.0 { -1.0 } else { 1.0 };
    let mut vertices: Vec<DrawnVertex> = Vec::with_capacity(rows.len());
    for (index, (row, (a, b))) in rows.iter().zip(places.iter().zip(places.iter().cycle().skip(1))).enumerate() {
        let via = match row.as_slice() {
            [_, _, sagitta] if *sagitta != Length::ZERO => {
                let (dx, dy) = (b.0 - a.0, b.1 - a.1);
                let chord = libm::hypot(dx, dy);
                if chord == 0.0 {
                    let message = format!("row {}: the arc begins and ends at one point", index + 1);
                    return Err(Fault::new(message, help).at(index));
                }
                // To the right of a counter-clockwise edge lies the outside.
                let out = outward * sagitta.to_mm() / chord;
                Some(((a.0 + b.0) / 2.0 + out * dy, (a.1 + b.1) / 2.0 - out * dx))
            }
            [_, _, x, y] => Some(to_mm(Point::new(*x, *y))),
            _ => None,
        };
        vertices.push((*a, via));
    }
    Ok(Drawing { vertices, error: 0.0 })
}
