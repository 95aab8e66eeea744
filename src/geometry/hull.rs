//! Convex hulls, and the turns of an outline at which its box can be least.
//!
//! Between two turns at which an edge of the hull lies flush with an axis, length and width of the box
//! are each the distance between two fixed corners seen along an axis: a positive stretch of a
//! sinusoid, which is concave. A product of such terms, each raised to a least size where need be, is
//! least at an end of a stretch on which no term changes over (Freeman and Shapira 1975 for the plain
//! area; the rest follows from the concavity). So it is enough to look at the flush turns and at the
//! turns where length or width passes a limit.

use super::path::Mm;

/// Length and width of the box round an outline turned by `degrees` counter-clockwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// Degrees, from 0 up to 180.
    pub degrees: f64,
    /// Along the feed, mm.
    pub length: f64,
    /// Across, mm.
    pub width: f64,
}

/// The convex hull, counter-clockwise, without points on its edges (Andrew's monotone chain).
pub fn hull(points: &[Mm]) -> Vec<Mm> {
    let mut sorted: Vec<Mm> = points.iter().copied().filter(|p| p.0.is_finite() && p.1.is_finite()).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let half = |points: &mut dyn Iterator<Item = Mm>| {
        let mut chain: Vec<Mm> = Vec::new();
        for p in points {
            while let [.., a, b] = chain.as_slice()
                && (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut lower = half(&mut sorted.iter().copied());
    lower.extend(half(&mut sorted.iter().rev().copied()));
    lower
}

/// Extent of a hull along the direction `angle` (radians).
fn extent(hull: &[Mm], angle: f64) -> f64 {
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let along = hull.iter().map(|p| p.0 * cos + p.1 * sin);
    let (least, most) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), x| (least.min(x), most.max(x)));
    (most - least).max(0.0)
}

/// The box of a hull turned by `degrees`.
pub fn boxed(hull: &[Mm], degrees: f64) -> Turn {
    // Turning the outline one way is looking along axes turned the other way.
    let angle = -degrees * std::f64::consts::PI / 180.0;
    let across = angle + std::f64::consts::FRAC_PI_2;
    Turn { degrees, length: extent(hull, angle), width: extent(hull, across) }
}

/// Every turn from 0 up to 180 degrees at which the least box can lie: an edge of the hull flush with
/// an axis, or length or width at one of the `limits` (length limits, width limits; mm).
pub fn critical_turns(hull: &[Mm], limits: (&[f64], &[f64])) -> Vec<Turn> {
    let degrees = |radians: f64| {
        let turn = radians * 180.0 / std::f64::consts::PI;
        turn - 180.0 * libm::floor(turn / 180.0)
    };
    let mut turns: Vec<f64> = vec![0.0, 90.0];
    for (a, b) in hull.iter().zip(hull.iter().cycle().skip(1)) {
        let direction = libm::atan2(b.1 - a.1, b.0 - a.0);
        let flush = degrees(-direction);
        turns.extend([flush, if flush < 90.0 { flush + 90.0 } else { flush - 90.0 }]);
    }
    turns.sort_by(f64::total_cmp);
    turns.dedup_by(|later, kept| *later - *kept < 1e-9);
    let mut passes: Vec<f64> = Vec::new();
    for (&from, &to) in turns.iter().zip(turns.iter().skip(1).chain([&180.0])) {
        let middle = (from + to) / 2.0;
        for (sought, along) in [(limits.0, true), (limits.1, false)] {
            let Some((dx, dy)) = support(hull, middle, along) else { continue };
            let far = libm::hypot(dx, dy);
            for &limit in sought.iter().filter(|limit| **limit > 0.0 && **limit <= far) {
                // The pair seen along the axis: far * cos(turn + bearing - axis).
                let bearing = libm::atan2(dy, dx) - if along { 0.0 } else { std::f64::consts::FRAC_PI_2 };
                let off = libm::acos((limit / far).clamp(-1.0, 1.0));
                for root in [off - bearing, -off - bearing] {
                    let root = degrees(root);
                    if from < root && root < to {
                        passes.push(root);
                    }
                }
            }
        }
    }
    turns.extend(passes);
    turns.sort_by(f64::total_cmp);
    turns.into_iter().map(|turn| boxed(hull, turn)).collect()
}

/// The vector between the two corners that make the box's length (or width) at a turn.
fn support(hull: &[Mm], degrees: f64, along: bool) -> Option<Mm> {
    let angle = -degrees * std::f64::consts::PI / 180.0 + if along { 0.0 } else { std::f64::consts::FRAC_PI_2 };
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let seen = |p: &Mm| p.0 * cos + p.1 * sin;
    let most = hull.iter().max_by(|a, b| seen(a).total_cmp(&seen(b)))?;
    let least = hull.iter().min_by(|a, b| seen(a).total_cmp(&seen(b)))?;
    Some((most.0 - least.0, most.1 - least.1))
}
