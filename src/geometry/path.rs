//! Closed outlines of straight lines and circular arcs.
//!
//! A [`Path`] keeps its vertices, and for an arc one point it passes through, in exact ticks: so it
//! can be compared, moved and mirrored without drift. Everything that needs centres and angles is
//! worked out from those points in `f64` millimetres (circle through three points: analytic
//! geometry, no source needed). A path is simple, runs counter-clockwise and closes itself.

use super::{Point, Rect};
use crate::length::Length;

/// Most vertices of a path: outlines traced by a scanner come with a few thousand.
pub const MOST_VERTICES: usize = 20_000;

/// Error of the chords on which arcs are tested for crossings, mm: finer than any of them is drawn.
const TEST_ERROR: f64 = 0.005;

/// Most chords an arc is flattened into.
const MOST_CHORDS: f64 = 2_000.0;

/// Least area of a path, mm2.
const LEAST_AREA: f64 = 1.0;

/// A point in plan, mm.
pub type Mm = (f64, f64);

/// A vertex, and how the path goes on from it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Vertex {
    /// Where it is.
    pub point: Point,
    /// A point that the arc to the next vertex passes through; `None` for a straight line.
    pub via: Option<Point>,
}

impl Vertex {
    /// A vertex from which a straight line goes on.
    pub const fn line(point: Point) -> Vertex {
        Vertex { point, via: None }
    }

    /// A vertex from which an arc through `via` goes on.
    pub const fn arc(point: Point, via: Point) -> Vertex {
        Vertex { point, via: Some(via) }
    }
}

/// What keeps vertices from being a path. Vertices are counted from 1, in the order given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PathFault {
    /// Fewer than three edges (two, where one is an arc).
    TooFew(usize),
    /// More than [`MOST_VERTICES`].
    TooMany(usize),
    /// A vertex lies on the one after it.
    Repeated(usize, Point),
    /// The point an arc passes through lies on one of its ends, or beyond the line between them.
    Arc(usize, Point),
    /// The edge after the first vertex meets the edge after the second one there.
    Crossing(usize, usize, Point),
    /// The path goes back on itself at this vertex.
    Spike(usize, Point),
    /// It encloses next to nothing.
    NoArea,
}

/// A closed, simple, counter-clockwise path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Path {
    vertices: Vec<Vertex>,
}

/// One edge of a path, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Start.
    pub from: Mm,
    /// End.
    pub to: Mm,
    /// The circle, where the edge is an arc.
    pub arc: Option<Arc>,
}

/// The circle of an arc, mm and radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Centre.
    pub centre: Mm,
    /// Radius.
    pub radius: f64,
    /// Direction of the start from the centre.
    pub start: f64,
    /// Angle run through, positive counter-clockwise.
    pub sweep: f64,
}

impl Arc {
    fn at(&self, turn: f64) -> Mm {
        let angle = self.start + turn;
        (self.centre.0 + self.radius * libm::cos(angle), self.centre.1 + self.radius * libm::sin(angle))
    }

    /// Whether the direction lies within the sweep.
    fn spans(&self, direction: f64) -> bool {
        let tau = std::f64::consts::TAU;
        let ahead = if self.sweep >= 0.0 { direction - self.start } else { self.start - direction };
        ahead - tau * libm::floor(ahead / tau) <= self.sweep.abs()
    }
}

/// Centre and radius of the circle through three points; `None` where they lie on a line.
pub fn circle_through(a: Mm, b: Mm, c: Mm) -> Option<(Mm, f64)> {
    // Measured from `a`, so that far coordinates cost no digits.
    let (b, c) = ((b.0 - a.0, b.1 - a.1), (c.0 - a.0, c.1 - a.1));
    let doubled = 2.0 * (b.0 * c.1 - b.1 * c.0);
    let (bb, cc) = (b.0 * b.0 + b.1 * b.1, c.0 * c.0 + c.1 * c.1);
    if doubled.abs() <= 1e-9 * (bb + cc) {
        return None;
    }
    let centre = ((c.1 * bb - b.1 * cc) / doubled, (b.0 * cc - c.0 * bb) / doubled);
    let radius = libm::hypot(centre.0, centre.1);
    Some(((a.0 + centre.0, a.1 + centre.1), radius))
}

impl Edge {
    /// The edge between two points, an arc where `via` is off the line between them.
    pub fn new(from: Mm, via: Option<Mm>, to: Mm) -> Edge {
        let arc = via.and_then(|via| {
            let (centre, radius) = circle_through(from, via, to)?;
            let direction = |p: Mm| libm::atan2(p.1 - centre.1, p.0 - centre.0);
            let (start, end) = (direction(from), direction(to));
            let left = (via.0 - from.0) * (to.1 - via.1) - (via.1 - from.1) * (to.0 - via.0) > 0.0;
            let tau = std::f64::consts::TAU;
            let ahead = end - start;
            let ahead = ahead - tau * libm::floor(ahead / tau);
            Some(Arc { centre, radius, start, sweep: if left { ahead } else { ahead - tau } })
        });
        Edge { from, to, arc }
    }

    /// Length, mm.
    pub fn length(&self) -> f64 {
        match self.arc {
            Some(arc) => arc.radius * arc.sweep.abs(),
            None => libm::hypot(self.to.0 - self.from.0, self.to.1 - self.from.1),
        }
    }

    /// The middle of the edge.
    pub fn middle(&self) -> Mm {
        match self.arc {
            Some(arc) => arc.at(arc.sweep / 2.0),
            None => ((self.from.0 + self.to.0) / 2.0, (self.from.1 + self.to.1) / 2.0),
        }
    }

    /// Direction of travel at the start and at the end, radians.
    pub fn directions(&self) -> (f64, f64) {
        match self.arc {
            Some(arc) => {
                let quarter = if arc.sweep >= 0.0 { std::f64::consts::FRAC_PI_2 } else { -std::f64::consts::FRAC_PI_2 };
                (arc.start + quarter, arc.start + arc.sweep + quarter)
            }
            None => {
                let along = libm::atan2(self.to.1 - self.from.1, self.to.0 - self.from.0);
                (along, along)
            }
        }
    }

    /// Points along the edge without its end, chords no farther than `error` mm off the arc.
    pub fn flattened(&self, error: f64) -> Vec<Mm> {
        let Some(arc) = self.arc else { return vec![self.from] };
        let flat = 1.0 - (error / arc.radius).clamp(1e-12, 1.0);
        let step = 2.0 * libm::acos(flat);
        let chords = libm::ceil(arc.sweep.abs() / step).clamp(1.0, MOST_CHORDS);
        let mut points = vec![self.from];
        points.extend((1..chords as u32).map(|chord| arc.at(arc.sweep * f64::from(chord) / chords)));
        points
    }

    /// Distance of a point from the edge, mm.
    pub fn distance(&self, p: Mm) -> f64 {
        if let Some(arc) = self.arc {
            let (dx, dy) = (p.0 - arc.centre.0, p.1 - arc.centre.1);
            if arc.spans(libm::atan2(dy, dx)) {
                return (libm::hypot(dx, dy) - arc.radius).abs();
            }
            return libm::hypot(p.0 - self.from.0, p.1 - self.from.1)
                .min(libm::hypot(p.0 - self.to.0, p.1 - self.to.1));
        }
        distance_to_line(p, self.from, self.to)
    }
}

/// Distance of a point from a straight stretch, mm.
pub fn distance_to_line(p: Mm, from: Mm, to: Mm) -> f64 {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let square = dx * dx + dy * dy;
    let along = if square > 0.0 { (((p.0 - from.0) * dx + (p.1 - from.1) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
    libm::hypot(p.0 - from.0 - along * dx, p.1 - from.1 - along * dy)
}

/// Whether a point lies inside a ring (crossing rule), mm.
pub fn in_ring(ring: &[Mm], p: Mm) -> bool {
    let crosses =
        |(a, b): (&Mm, &Mm)| (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (b.0 - a.0) * (p.1 - a.1) / (b.1 - a.1);
    ring.iter().zip(ring.iter().cycle().skip(1)).filter(|pair| crosses(*pair)).count() % 2 == 1
}

/// A point of a plan in millimetres.
pub fn to_mm(point: Point) -> Mm {
    (point.x.to_mm(), point.y.to_mm())
}

/// The point nearest to a place in millimetres; places beyond any length become the origin.
pub fn from_mm(p: Mm) -> Point {
    Point::new(Length::from_mm(p.0).unwrap_or_default(), Length::from_mm(p.1).unwrap_or_default())
}

impl Path {
    /// A path through these vertices, either way round; it closes itself.
    ///
    /// # Errors
    /// The first thing found that keeps it from being a simple closed path.
    pub fn new(vertices: Vec<Vertex>) -> Result<Path, PathFault> {
        let count = vertices.len();
        if count > MOST_VERTICES {
            return Err(PathFault::TooMany(count));
        }
        if count < 3 && !(count == 2 && vertices.iter().any(|vertex| vertex.via.is_some())) {
            return Err(PathFault::TooFew(count));
        }
        let mut path = Path { vertices };
        for (index, (vertex, next)) in path.pairs().enumerate() {
            if vertex.point == next.point {
                return Err(PathFault::Repeated(index + 1, vertex.point));
            }
            if vertex.via.is_some_and(|via| !arc_works(vertex.point, via, next.point)) {
                return Err(PathFault::Arc(index + 1, vertex.point));
            }
        }
        path.crossings()?;
        let area = path.signed_area();
        if area.abs() < LEAST_AREA {
            return Err(PathFault::NoArea);
        }
        if area < 0.0 {
            path = path.reversed();
        }
        Ok(path)
    }

    /// The vertices, counter-clockwise.
    pub fn vertices(&self) -> &[Vertex] {
        &self.vertices
    }

    fn pairs(&self) -> impl Iterator<Item = (Vertex, Vertex)> + '_ {
        self.vertices.iter().copied().zip(self.vertices.iter().copied().cycle().skip(1))
    }

    /// The edges in mm.
    pub fn edges(&self) -> impl Iterator<Item = Edge> + '_ {
        self.pairs().map(|(vertex, next)| Edge::new(to_mm(vertex.point), vertex.via.map(to_mm), to_mm(next.point)))
    }

    fn signed_area(&self) -> f64 {
        let doubled: f64 = self
            .edges()
            .map(|edge| {
                let chord = edge.from.0 * edge.to.1 - edge.to.0 * edge.from.1;
                let cap = edge.arc.map_or(0.0, |arc| arc.radius * arc.radius * (arc.sweep - libm::sin(arc.sweep)));
                chord + cap
            })
            .sum();
        doubled / 2.0
    }

    /// Area, mm2.
    pub fn area_mm2(&self) -> f64 {
        self.signed_area().abs()
    }

    /// Length all round, mm.
    pub fn length_mm(&self) -> f64 {
        self.edges().map(|edge| edge.length()).sum()
    }

    /// The smallest upright rectangle round the path, to the nearest tick.
    pub fn bounds(&self) -> Rect {
        let mut bounds: Option<Rect> = None;
        let mut take = |p: Point| {
            let r = bounds.unwrap_or(Rect::new(p.x, p.y, p.x, p.y));
            bounds = Some(Rect::new(r.x0.min(p.x), r.y0.min(p.y), r.x1.max(p.x), r.y1.max(p.y)));
        };
        for (vertex, edge) in self.vertices.iter().zip(self.edges()) {
            take(vertex.point);
            if let Some(arc) = edge.arc {
                for quarter in [0.0, 1.0, 2.0, 3.0] {
                    let direction = quarter * std::f64::consts::FRAC_PI_2;
                    if arc.spans(direction) {
                        take(from_mm(arc.at(direction - arc.start)));
                    }
                }
            }
        }
        bounds.unwrap_or_default()
    }

    /// The path as a ring of points on it, no chord farther than `error` mm off its arc.
    pub fn flattened(&self, error: f64) -> Vec<Mm> {
        self.edges().flat_map(|edge| edge.flattened(error)).collect()
    }

    /// Whether a point lies inside.
    pub fn contains(&self, p: Mm) -> bool {
        // A hair aside, so that no point lies on a chord, where neither side is right.
        let p = (p.0 + 1.3e-7, p.1 + 0.7e-7);
        let ring: Vec<Mm> = self.vertices.iter().map(|vertex| to_mm(vertex.point)).collect();
        // What lies between a chord and its arc changes sides.
        let between = |edge: &Edge| {
            edge.arc.is_some_and(|arc| {
                let within = libm::hypot(p.0 - arc.centre.0, p.1 - arc.centre.1) < arc.radius;
                let side = |q: Mm| {
                    (edge.to.0 - edge.from.0) * (q.1 - edge.from.1) - (edge.to.1 - edge.from.1) * (q.0 - edge.from.0)
                };
                within && side(p) * side(edge.middle()) > 0.0
            })
        };
        self.edges().filter(between).count() % 2 == usize::from(!in_ring(&ring, p))
    }

    /// Distance of a point from the path, mm.
    pub fn distance(&self, p: Mm) -> f64 {
        self.edges().map(|edge| edge.distance(p)).fold(f64::INFINITY, f64::min)
    }

    fn mapped(&self, map: impl Fn(Point) -> Point) -> Path {
        let moved = |vertex: &Vertex| Vertex { point: map(vertex.point), via: vertex.via.map(&map) };
        Path { vertices: self.vertices.iter().map(moved).collect() }
    }

    fn reversed(&self) -> Path {
        let mut points: Vec<Point> = self.vertices.iter().map(|vertex| vertex.point).collect();
        let mut vias: Vec<Option<Point>> = self.vertices.iter().map(|vertex| vertex.via).collect();
        points.reverse();
        vias.reverse();
        // The arc from a vertex was the one to the vertex that now comes before it.
        vias.rotate_left(1);
        Path { vertices: points.into_iter().zip(vias).map(|(point, via)| Vertex { point, via }).collect() }
    }

    /// The path moved.
    pub fn moved(&self, dx: Length, dy: Length) -> Path {
        self.mapped(|p| Point::new(p.x + dx, p.y + dy))
    }

    /// The path moved so that the near corner of its bounds lies at `x`, `y`.
    pub fn moved_to(&self, x: Length, y: Length) -> Path {
        let bounds = self.bounds();
        self.moved(x - bounds.x0, y - bounds.y0)
    }

    /// The path as seen from underneath, turned over about the feed.
    pub fn mirrored(&self) -> Path {
        self.mapped(|p| Point::new(p.x, -p.y)).reversed()
    }

    /// The path with x and y exchanged.
    pub fn transposed(&self) -> Path {
        self.mapped(|p| Point::new(p.y, p.x)).reversed()
    }

    /// The path turned about the origin, counter-clockwise by `degrees`, to the nearest tick; quarter
    /// turns are exact.
    pub fn turned(&self, degrees: f64) -> Path {
        let quarters = degrees / 90.0;
        if quarters == libm::rint(quarters) {
            let quarters = (quarters - 4.0 * libm::floor(quarters / 4.0)) as u8;
            return self.mapped(|p| match quarters {
                0 => p,
                1 => Point::new(-p.y, p.x),
                2 => Point::new(-p.x, -p.y),
                _ => Point::new(p.y, -p.x),
            });
        }
        let angle = degrees * std::f64::consts::PI / 180.0;
        let (sin, cos) = (libm::sin(angle), libm::cos(angle));
        self.mapped(|p| {
            let (x, y) = to_mm(p);
            from_mm((x * cos - y * sin, x * sin + y * cos))
        })
    }

    /// Whether any edge is an arc.
    pub fn has_arcs(&self) -> bool {
        self.vertices.iter().any(|vertex| vertex.via.is_some())
    }

    /// Looks for edges that cross or touch others, in exact arithmetic on fine chords.
    fn crossings(&self) -> Result<(), PathFault> {
        let mut chords: Vec<Chord> = Vec::new();
        for (index, edge) in self.edges().enumerate() {
            let start = self.vertices.get(index).map(|vertex| vertex.point).unwrap_or_default();
            for (piece, p) in edge.flattened(TEST_ERROR).into_iter().enumerate() {
                // The vertex itself stays exact.
                chords.push(Chord { edge: index, from: if piece == 0 { start } else { from_mm(p) }, to: start });
            }
        }
        let starts: Vec<Point> = chords.iter().map(|chord| chord.from).collect();
        for (chord, to) in chords.iter_mut().zip(starts.iter().cycle().skip(1)) {
            chord.to = *to;
        }
        let count = chords.len();
        for (index, chord) in chords.iter().enumerate() {
            let next = chords[(index + 1) % count];
            let back = cross(chord.from, chord.to, next.to) == 0 && dot(chord.to, chord.from, next.to) > 0;
            if back {
                return Err(PathFault::Spike(next.edge + 1, chord.to));
            }
        }
        let mut order: Vec<usize> = (0..count).collect();
        order.sort_by_key(|&index| chords[index].low());
        let mut open: Vec<usize> = Vec::new();
        let mut first: Option<(usize, usize, Point)> = None;
        for &index in &order {
            let chord = chords[index];
            open.retain(|&other| chords[other].high() >= chord.low());
            for &other in &open {
                let apart = index.abs_diff(other);
                if apart == 1 || apart == count - 1 || !chord.meets(&chords[other]) {
                    continue;
                }
                let (a, b) = (chord.edge.min(chords[other].edge), chord.edge.max(chords[other].edge));
                let found = (a + 1, b + 1, chord.meeting(&chords[other]));
                if first.is_none_or(|known| (found.0, found.1) < (known.0, known.1)) {
                    first = Some(found);
                }
            }
            open.push(index);
        }
        match first {
            Some((a, b, at)) => Err(PathFault::Crossing(a, b, at)),
            None => Ok(()),
        }
    }
}

/// Whether `via` makes an arc between the points, or lies between them on a line.
fn arc_works(from: Point, via: Point, to: Point) -> bool {
    let off_ends = via != from && via != to;
    off_ends && (circle_through(to_mm(from), to_mm(via), to_mm(to)).is_some() || dot(via, from, to) < 0)
}

/// A stretch of a flattened path, and the edge it is part of.
#[derive(Clone, Copy)]
struct Chord {
    edge: usize,
    from: Point,
    to: Point,
}

impl Chord {
    fn low(&self) -> Length {
        self.from.x.min(self.to.x)
    }

    fn high(&self) -> Length {
        self.from.x.max(self.to.x)
    }

    fn meets(&self, other: &Chord) -> bool {
        let apart = self.from.y.max(self.to.y) < other.from.y.min(other.to.y)
            || other.from.y.max(other.to.y) < self.from.y.min(self.to.y)
            || self.high() < other.low()
            || other.high() < self.low();
        if apart {
            return false;
        }
        let side = |a: &Chord, p: Point| cross(a.from, a.to, p).signum();
        side(self, other.from) * side(self, other.to) <= 0 && side(other, self.from) * side(other, self.to) <= 0
    }

    fn meeting(&self, other: &Chord) -> Point {
        let (a, b) = (cross(other.from, other.to, self.from) as f64, cross(other.from, other.to, self.to) as f64);
        let part = if a == b { 0.0 } else { (a / (a - b)).clamp(0.0, 1.0) };
        let (from, to) = (to_mm(self.from), to_mm(self.to));
        from_mm((from.0 + part * (to.0 - from.0), from.1 + part * (to.1 - from.1)))
    }
}

/// Twice the area of the triangle, positive when it turns left. Lengths come bounded by the readers,
/// so nothing here can overflow.
fn cross(a: Point, b: Point, c: Point) -> i128 {
    let wide = |length: Length| i128::from(length.ticks());
    wide(b.x - a.x) * wide(c.y - a.y) - wide(b.y - a.y) * wide(c.x - a.x)
}

fn dot(at: Point, a: Point, b: Point) -> i128 {
    let wide = |length: Length| i128::from(length.ticks());
    wide(a.x - at.x) * wide(b.x - at.x) + wide(a.y - at.y) * wide(b.y - at.y)
}
