//! Rings of points put into few lines and arcs.

use super::path::{Edge, MOST_VERTICES, Mm, Path, PathFault, Vertex, distance_to_line, from_mm};

/// Arcs turn by no more than this, so that they cannot stand for a whole side of the outline.
const MOST_SWEEP: f64 = 2.5;
/// Flatter arcs than this, mm, are lines.
const FLATTEST: f64 = 100_000.0;

/// A path put through a ring, and what it left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The path.
    pub path: Path,
    /// Farthest any of the ring lies outside the path, mm.
    pub outside: f64,
}

/// Lines and arcs that pass within `tolerance` mm of every point of a closed ring and of the middles
/// between them. Each starts and ends on a point of the ring.
///
/// The ring is taken greedily from its sharpest corner on, so the same ring gives the same path
/// wherever its list begins.
///
/// # Errors
/// When the ring itself is no simple path.
pub fn fit(ring: &[Mm], tolerance: f64) -> Result<Fitted, PathFault> {
    // What is wrong with the ring is told in the ring's own numbers.
    let whole = polygon(ring)?;
    if ring.len() < 4 {
        return Ok(Fitted { path: whole, outside: 0.0 });
    }
    let mut points: Vec<Mm> = ring.to_vec();
    points.rotate_left(sharpest(ring));
    if let Some(first) = points.first().copied() {
        points.push(first);
    }
    let mut vertices: Vec<Vertex> = Vec::new();
    let (mut at, last) = (0, points.len() - 1);
    while at < last {
        let (to, via) = farthest(&points, at, last, tolerance);
        vertices.push(Vertex { point: from_mm(points[at]), via: via.map(from_mm) });
        at = to;
    }
    let path = match Path::new(vertices) {
        Ok(path) => path,
        // Two sides nearer to each other than the tolerance: the ring stays as it is.
        Err(_) => return Ok(Fitted { path: whole, outside: 0.0 }),
    };
    let outside = outside(ring, &path);
    Ok(Fitted { path, outside })
}

/// The ring as a path of straight lines.
///
/// # Errors
/// When the ring is no simple path.
pub fn polygon(ring: &[Mm]) -> Result<Path, PathFault> {
    if ring.len() > MOST_VERTICES {
        return Err(PathFault::TooMany(ring.len()));
    }
    Path::new(ring.iter().map(|p| Vertex::line(from_mm(*p))).collect())
}

/// Farthest any point of the ring, or the middle between two, lies outside the path, mm.
pub fn outside(ring: &[Mm], path: &Path) -> f64 {
    let middles = ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0));
    let edges: Vec<(Edge, [f64; 4])> = path.edges().map(|edge| (edge, reach(&edge))).collect();
    let near = |p: Mm| {
        edges.iter().fold(f64::INFINITY, |least, (edge, area)| {
            let beyond = (area[0] - p.0).max(p.0 - area[1]).max(area[2] - p.1).max(p.1 - area[3]);
            if beyond >= least { least } else { least.min(edge.distance(p)) }
        })
    };
    let mut most = 0.0_f64;
    for p in ring.iter().copied().chain(middles) {
        let off = near(p);
        if off > most && !path.contains(p) {
            most = off;
        }
    }
    most
}

/// A box that holds an edge: least and greatest x, least and greatest y.
fn reach(edge: &Edge) -> [f64; 4] {
    let around = edge.arc.map_or(0.0, |arc| {
        // An arc stays within its sagitta (or, beyond a half turn, its diameter) of its ends.
        if arc.sweep.abs() < std::f64::consts::PI {
            arc.radius * (1.0 - libm::cos(arc.sweep / 2.0))
        } else {
            2.0 * arc.radius
        }
    });
    [
        edge.from.0.min(edge.to.0) - around,
        edge.from.0.max(edge.to.0) + around,
        edge.from.1.min(edge.to.1) - around,
        edge.from.1.max(edge.to.1) + around,
    ]
}

/// The point at which a ring turns most.
fn sharpest(ring: &[Mm]) -> usize {
    let count = ring.len();
    let turn = |index: usize| {
        let (a, b, c) = (ring[(index + count - 1) % count], ring[index], ring[(index + 1) % count]);
        let (u, v) = ((b.0 - a.0, b.1 - a.1), (c.0 - b.0, c.1 - b.1));
        libm::atan2(u.0 * v.1 - u.1 * v.0, u.0 * v.0 + u.1 * v.1).abs()
    };
    (0..count).fold((0, -1.0), |best, index| if turn(index) > best.1 + 1e-9 { (index, turn(index)) } else { best }).0
}

/// How far a single line or arc from a point goes, and the point its arc passes through.
fn farthest(points: &[Mm], from: usize, last: usize, tolerance: f64) -> (usize, Option<Mm>) {
    let mut good = (from + 1, None);
    let (mut step, mut bad) = (2, last + 1);
    while from + step <= last {
        match one(points, from, from + step, tolerance) {
            Some(via) => good = (from + step, via),
            None => {
                bad = from + step;
                break;
            }
        }
        step *= 2;
    }
    // Between the last that fitted and the first that did not.
    while good.0 + 1 < bad {
        let middle = good.0 + (bad - good.0) / 2;
        match one(points, from, middle, tolerance) {
            Some(via) => good = (middle, via),
            None => bad = middle,
        }
    }
    good
}

/// Whether one line (`Some(None)`) or one arc (`Some(Some(via))`) does for a stretch of points.
fn one(points: &[Mm], from: usize, to: usize, tolerance: f64) -> Option<Option<Mm>> {
    let (a, b, inner) = (*points.get(from)?, *points.get(to)?, points.get(from + 1..to)?);
    if a == b {
        return None;
    }
    if inner.iter().all(|p| distance_to_line(*p, a, b) <= tolerance) && forward(points, from, to, a, b) {
        return Some(None);
    }
    let via = *inner.get(inner.len() / 2)?;
    let edge = Edge::new(a, Some(via), b);
    let arc = edge.arc.filter(|arc| arc.sweep.abs() <= MOST_SWEEP && arc.radius <= FLATTEST)?;
    let stretch = points.get(from..=to)?;
    let middles = stretch.iter().zip(stretch.iter().skip(1)).map(|(p, q)| ((p.0 + q.0) / 2.0, (p.1 + q.1) / 2.0));
    if !inner.iter().copied().chain(middles).all(|p| edge.distance(p) <= tolerance) {
        return None;
    }
    // Every point lies farther round than the one before it.
    let mut ahead = 0.0;
    for p in inner {
        let direction = libm::atan2(p.1 - arc.centre.1, p.0 - arc.centre.0);
        let turn = if arc.sweep >= 0.0 { direction - arc.start } else { arc.start - direction };
        let turn = turn - std::f64::consts::TAU * libm::floor(turn / std::f64::consts::TAU);
        if turn + 1e-9 < ahead {
            return None;
        }
        ahead = turn;
    }
    Some(Some(via))
}

/// Whether the points go forward along a line.
fn forward(points: &[Mm], from: usize, to: usize, a: Mm, b: Mm) -> bool {
    let along = |p: &Mm| (p.0 - a.0) * (b.0 - a.0) + (p.1 - a.1) * (b.1 - a.1);
    let stretch = points.get(from..=to).unwrap_or_default();
    stretch.iter().zip(stretch.iter().skip(1)).all(|(p, q)| along(p) <= along(q))
}
