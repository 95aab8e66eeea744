//! Setting out a straight edge at an angle by two marks on the ruler.
//!
//! A builder measures both marks from the fence edge and the lead end, so they stand on whole ruler steps
//! and the edge is where they say, not where it was wanted. Of the marks near the wanted ones that pair is
//! taken whose line touches the blank best. What is left of the rounding is part of the design: everything
//! is worked out from the edge the marks make.

use std::collections::BTreeMap;

use super::bearings::{Bearing, Hold, depth, depth_beside};
use super::seat::{TOUCH, flush};
use crate::geometry::Point;
use crate::geometry::path::{Mm, from_mm, to_mm};
use crate::length::Length;

/// Marks are looked for this far from where they are wanted.
const NEAR: Length = Length::inches(1, 8);
/// And at least so many ruler steps.
const STEPS: i64 = 2;
/// Marks nearer to each other than this tell no direction. Common practice, no source.
const APART: Length = Length::inches(2, 1);
/// What a degree off the wanted direction weighs, in mm of gap.
const PER_DEGREE: f64 = 0.02;
/// The edge never cuts into the blank: roundings of the marks, mm.
const ROUNDING: f64 = 1e-6;

/// A straight edge laid to two marks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// The marks, from the lead and fence sides of the blank's box; the blank lies to the left of the
    /// way from the first to the second.
    pub marks: [Point; 2],
    /// The first mark, mm.
    pub from: Mm,
    /// Direction from the first to the second.
    pub along: Mm,
    /// Off the edge towards the blank.
    pub push: Mm,
    /// Least distance of the blank from the edge, mm.
    pub gap: f64,
    /// Where the blank is nearest, or where it is wanted to bear.
    pub at: Mm,
    /// How much farther than the gap it lies there, mm.
    pub behind: f64,
}

impl Edge {
    /// The edge of two marks, unless its gap is not within these limits.
    fn of(ring: &[Mm], bearing: &Bearing, marks: [Point; 2], (least, most): (f64, f64)) -> Option<Edge> {
        let (from, to) = (to_mm(marks[0]), to_mm(marks[1]));
        let (x, y) = (to.0 - from.0, to.1 - from.1);
        let long = libm::hypot(x, y);
        if long < APART.to_mm() {
            return None;
        }
        let along = (x / long, y / long);
        let push = (-along.1, along.0);
        let gap = ring.iter().map(|p| depth(*p, from, push)).fold(f64::INFINITY, f64::min);
        if gap < least || gap > most {
            return None;
        }
        let (t, behind) = if bearing.flat {
            let t = depth(bearing.at, from, along);
            let faced = Bearing { push, ..*bearing };
            // The wanted place may lie a hair off the blank's side.
            let in_face = Bearing { at: (from.0 + along.0 * t, from.1 + along.1 * t), ..faced };
            (t, depth_beside(ring, &in_face, 0.0) - gap)
        } else {
            let (from, to) = flush(ring, gap + TOUCH, |p| (depth(*p, from, push), depth(*p, from, along)));
            ((from + to) / 2.0, 0.0)
        };
        let at = (from.0 + along.0 * t + push.0 * gap, from.1 + along.1 * t + push.1 * gap);
        Some(Edge { marks, from, along, push, gap, at, behind })
    }

    /// A place so far along the edge and off it, away from the blank, mm.
    pub fn place(&self, along: f64, off: f64) -> Mm {
        let ((x, y), (ax, ay), (px, py)) = (self.from, self.along, self.push);
        (x + ax * along - px * off, y + ay * along - py * off)
    }

    /// How far along the edge the blank bears, from the first mark, mm.
    pub fn bears(&self) -> f64 {
        depth(self.at, self.from, self.along)
    }

    /// How far the blank lies behind its contact, mm.
    pub fn off(&self) -> f64 {
        self.behind.max(0.0)
    }
}

/// Edges found before: bearings and lengths of cleats come back in many holds of a blank.
#[derive(Debug, Default)]
pub struct Edges {
    known: BTreeMap<[u64; 11], Option<Edge>>,
}

impl Edges {
    /// What [`edge`] finds; every hold of one turn of the blank has the same ring.
    pub fn edge(&mut self, hold: &Hold, bearing: &Bearing, wanted: [Mm; 2], gap: f64, step: Length) -> Option<Edge> {
        let ([from, to], Bearing { at, push, flat }) = (wanted, bearing);
        let figures = [hold.degrees, at.0, at.1, push.0, push.1, from.0, from.1, to.0, to.1, gap].map(f64::to_bits);
        let mut key = [u64::from(*flat); 11];
        key[1..].copy_from_slice(&figures);
        *self.known.entry(key).or_insert_with(|| edge(hold, bearing, wanted, gap, step))
    }
}

/// The edge for a bearing by marks near `wanted` (mm) that leaves at least `gap` (mm) between itself and
/// the blank, and as little more and as straight as can be.
fn edge(hold: &Hold, bearing: &Bearing, wanted: [Mm; 2], gap: f64, step: Length) -> Option<Edge> {
    let reach = (NEAR.ticks() / step.ticks().max(1)).clamp(STEPS, 8);
    let around = |place: Mm| -> Vec<Point> {
        let middle = from_mm(place);
        let (x, y) = (middle.x.nearest(step), middle.y.nearest(step));
        let all = (-reach..=reach).flat_map(|i| (-reach..=reach).map(move |j| (i, j)));
        all.map(|(i, j)| Point::new(x + step * i, y + step * j)).collect()
    };
    let along = bearing.along();
    // A line through both marks comes no nearer to the blank than the wanted line less what the nearer mark
    // lies inside it; marks on the wrong side are left out at once.
    let slack = 1.5 * step.to_mm();
    let outside = |place: Mm| {
        let on = |p: &Point| {
            let off = depth(to_mm(*p), place, bearing.push);
            (-slack..=slack).contains(&off)
        };
        around(place).into_iter().filter(on).collect::<Vec<Point>>()
    };
    let (firsts, seconds) = (outside(wanted[0]), outside(wanted[1]));
    // Only corners that some such line may meet first are asked.
    let lean = 2.0 * slack / libm::hypot(wanted[1].0 - wanted[0].0, wanted[1].1 - wanted[0].1).max(slack);
    let near = |p: &&Mm| depth(**p, bearing.at, bearing.push) <= depth(**p, bearing.at, along).abs() * lean + slack;
    let ring: Vec<Mm> = hold.ring.iter().filter(near).copied().collect();
    let mut best: Option<(f64, Edge)> = None;
    for first in &firsts {
        for second in &seconds {
            // Its gap alone may be worse than the best so far.
            let most = best.as_ref().map_or(f64::INFINITY, |(least, _)| gap + least);
            let Some(edge) = Edge::of(&ring, bearing, [*first, *second], (gap - ROUNDING, most)) else { continue };
            if best.as_ref().is_some_and(|(least, _)| edge.gap - gap + edge.off() >= *least) {
                continue;
            }
            let cosine = (edge.along.0 * along.0 + edge.along.1 * along.1).clamp(-1.0, 1.0);
            let degrees = libm::acos(cosine) * 180.0 / std::f64::consts::PI;
            let cost = edge.gap - gap + edge.off() + PER_DEGREE * degrees;
            if best.as_ref().is_none_or(|(least, _)| cost < least - 1e-9) {
                best = Some((cost, edge));
            }
        }
    }
    best.map(|(_, edge)| edge)
}

/// Whether two convex outlines stay at least `apart` (mm) from each other, seen along the sides of either.
pub fn clear_of(a: &[Mm], b: &[Mm], apart: f64) -> bool {
    [a, b].iter().any(|ring| {
        ring.iter().zip(ring.iter().cycle().skip(1)).any(|(from, to)| {
            let long = libm::hypot(to.0 - from.0, to.1 - from.1).max(f64::MIN_POSITIVE);
            let normal = ((to.1 - from.1) / long, (from.0 - to.0) / long);
            let span = |ring: &[Mm]| {
                let offs = ring.iter().map(|p| p.0 * normal.0 + p.1 * normal.1);
                offs.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), off| (least.min(off), most.max(off)))
            };
            let (a, b) = (span(a), span(b));
            b.0 - a.1 >= apart || a.0 - b.1 >= apart
        })
    })
}
