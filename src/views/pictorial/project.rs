//! Isometric projection of solids with hidden lines removed (ISO 5456-3: axes at 30 degrees, every axis
//! foreshortened by the square root of 2/3).
//!
//! The viewer stands off the corner of the lead end and the fence edge, above the bed. An edge is cut
//! where it passes the border of a face, and each piece is hidden if a face lies before its middle.

use super::solid::{Solid, seen};
use crate::drawing::{At, at};

/// A place or a direction in space, mm: along the feed, from the fence edge, up.
pub type Vector = [f64; 3];

/// A place on the paper at true size, and how near to the viewer it is, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spot {
    /// To the right, mm.
    pub u: f64,
    /// Up, mm.
    pub v: f64,
    /// Towards the viewer, mm.
    pub near: f64,
}

impl Spot {
    /// The place on the paper at a scale.
    pub fn at(self, scale: f64) -> At {
        at(self.u * scale, self.v * scale)
    }
}

/// A face must lie so much nearer to hide something, mm: more than rounding, less than any gap.
const BEFORE: f64 = 0.01;
/// How far beside a line is looked for what hides it, mm.
const ASIDE: f64 = 1e-4;

/// Where a place in space is seen: the plane of the paper is square to the view along (1, 1, -1), so the
/// three axes are foreshortened alike.
pub fn project(p: Vector) -> Spot {
    let (two, three, six) = (2.0_f64.sqrt(), 3.0_f64.sqrt(), 6.0_f64.sqrt());
    Spot { u: (p[0] - p[1]) / two, v: (p[0] + p[1] + 2.0 * p[2]) / six, near: (p[2] - p[0] - p[1]) / three }
}

/// How much of a direction points towards the viewer.
pub fn towards_viewer(p: Vector) -> f64 {
    p[2] - p[0] - p[1]
}

pub fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub fn minus(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// A face on the paper, with what it takes to say how near each of its points is.
#[derive(Debug, Clone)]
struct Seen {
    rings: Vec<Vec<Spot>>,
    low: (f64, f64),
    high: (f64, f64),
    /// `near = offset + u * slope.0 + v * slope.1`.
    offset: f64,
    slope: (f64, f64),
}

impl Seen {
    fn sides(&self) -> impl Iterator<Item = (&Spot, &Spot)> {
        self.rings.iter().flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)))
    }

    fn near(&self, u: f64, v: f64) -> f64 {
        self.offset + u * self.slope.0 + v * self.slope.1
    }

    fn holds(&self, u: f64, v: f64) -> bool {
        if u < self.low.0 || self.high.0 < u || v < self.low.1 || self.high.1 < v {
            return false;
        }
        let crossed =
            self.sides().filter(|(a, b)| (a.v > v) != (b.v > v) && u < a.u + (b.u - a.u) * (v - a.v) / (b.v - a.v));
        crossed.count() % 2 == 1
    }

    fn hides(&self, spot: Spot) -> bool {
        self.near(spot.u, spot.v) > spot.near + BEFORE && self.holds(spot.u, spot.v)
    }
}

/// Solids as they are seen.
#[derive(Debug, Clone, Default)]
pub struct Scene {
    faces: Vec<Vec<Seen>>,
}

/// A place on a face that nothing hides, and how far it is from the nearest line, mm at true size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clear {
    /// Where.
    pub spot: Spot,
    /// How far from the nearest line.
    pub off: f64,
}

impl Scene {
    /// The scene of these solids.
    pub fn of(solids: &[Solid]) -> Scene {
        let one = |face: &super::solid::Face| {
            let rings = seen(face);
            let corner = rings.iter().flatten().next().copied().unwrap_or_default();
            // The plane n . p = c in paper coordinates: the normal along the three axes of the paper.
            let axes = project(face.normal);
            let slope = (-axes.u / axes.near, -axes.v / axes.near);
            let bounds =
                rings.iter().flatten().fold(
                    ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY)),
                    |(low, high), p| ((low.0.min(p.u), low.1.min(p.v)), (high.0.max(p.u), high.1.max(p.v))),
                );
            let offset = corner.near - corner.u * slope.0 - corner.v * slope.1;
            Seen { low: bounds.0, high: bounds.1, offset, slope, rings }
        };
        Scene { faces: solids.iter().map(|solid| solid.faces.iter().map(one).collect()).collect() }
    }

    fn hidden(&self, spot: Spot) -> bool {
        self.faces.iter().flatten().any(|face| face.hides(spot))
    }

    /// The pieces of a straight line in space that nothing hides.
    pub fn visible(&self, [from, to]: [Vector; 2]) -> Vec<[Spot; 2]> {
        let (a, b) = (project(from), project(to));
        let (du, dv) = (b.u - a.u, b.v - a.v);
        let length = (du * du + dv * dv).sqrt();
        if length < ASIDE {
            return Vec::new();
        }
        let (low, high) = ((a.u.min(b.u), a.v.min(b.v)), (a.u.max(b.u), a.v.max(b.v)));
        let before: Vec<&Seen> = self
            .faces
            .iter()
            .flatten()
            .filter(|face| {
                face.low.0 <= high.0
                    && low.0 <= face.high.0
                    && face.low.1 <= high.1
                    && low.1 <= face.high.1
                    && [a, b].iter().any(|end| face.near(end.u, end.v) > end.near + BEFORE)
            })
            .collect();
        let mut shares = vec![0.0, 1.0];
        for (c, d) in before.iter().flat_map(|face| face.sides()) {
            let (eu, ev) = (d.u - c.u, d.v - c.v);
            let turn = du * ev - dv * eu;
            if turn.abs() <= 1e-12 * length * (eu.abs() + ev.abs()) {
                continue;
            }
            let (cu, cv) = (c.u - a.u, c.v - a.v);
            let (share, other) = ((cu * ev - cv * eu) / turn, (cu * dv - cv * du) / turn);
            if 0.0 < share && share < 1.0 && (-1e-9..=1.0 + 1e-9).contains(&other) {
                shares.push(share);
            }
        }
        shares.sort_by(f64::total_cmp);
        let place =
            |share: f64| Spot { u: a.u + share * du, v: a.v + share * dv, near: a.near + share * (b.near - a.near) };
        let (side_u, side_v) = (-dv / length * ASIDE, du / length * ASIDE);
        let mut pieces: Vec<[Spot; 2]> = Vec::new();
        for (from, to) in shares.iter().zip(shares.iter().skip(1)) {
            if (to - from) * length < 10.0 * ASIDE {
                continue;
            }
            let middle = place((from + to) / 2.0);
            // A border of a face may run along the line: it is seen if it is seen on either side.
            let beside =
                [1.0, -1.0].map(|side| Spot { u: middle.u + side * side_u, v: middle.v + side * side_v, ..middle });
            if beside.iter().all(|spot| before.iter().any(|face| face.hides(*spot))) {
                continue;
            }
            match pieces.last_mut() {
                Some(last)
                    if (last[1].u - place(*from).u).abs() < 20.0 * ASIDE
                        && (last[1].v - place(*from).v).abs() < 20.0 * ASIDE =>
                {
                    last[1] = place(*to);
                }
                _ => pieces.push([place(*from), place(*to)]),
            }
        }
        pieces
    }

    /// The place of one solid that is seen and farthest from all lines.
    pub fn clearest(&self, solid: usize, lines: &[[Spot; 2]]) -> Option<Clear> {
        const STEPS: u32 = 17;
        let mut best: Option<Clear> = None;
        for face in self.faces.get(solid)? {
            let size = (face.high.0 - face.low.0).min(face.high.1 - face.low.1);
            // No point of this face can be farther from its border.
            if best.is_some_and(|best| best.off >= size / 2.0) {
                continue;
            }
            for step in 0..STEPS * STEPS {
                let share = |step: u32| (f64::from(step) + 0.5) / f64::from(STEPS);
                let u = face.low.0 + share(step % STEPS) * (face.high.0 - face.low.0);
                let v = face.low.1 + share(step / STEPS) * (face.high.1 - face.low.1);
                let spot = Spot { u, v, near: face.near(u, v) };
                if !face.holds(u, v) {
                    continue;
                }
                let least = best.map_or(0.0, |best| best.off + 1e-9);
                let mut off = f64::INFINITY;
                for [a, b] in lines {
                    off = off.min(distance(spot, *a, *b));
                    if off <= least {
                        break;
                    }
                }
                if off > least && !self.hidden(spot) {
                    best = Some(Clear { spot, off });
                }
            }
        }
        best
    }
}

/// Distance of a spot from a straight piece on the paper.
fn distance(p: Spot, a: Spot, b: Spot) -> f64 {
    let (du, dv) = (b.u - a.u, b.v - a.v);
    let square = du * du + dv * dv;
    let share = if square > 0.0 { (((p.u - a.u) * du + (p.v - a.v) * dv) / square).clamp(0.0, 1.0) } else { 0.0 };
    let (x, y) = (a.u + share * du - p.u, a.v + share * dv - p.v);
    (x * x + y * y).sqrt()
}
