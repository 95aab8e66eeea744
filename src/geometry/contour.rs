//! Closed contours of straight lines and circular arcs in millimetres, for full-size drawings.
//!
//! An edge carries its arc as a *bulge*, the tangent of a quarter of the angle it turns through
//! (positive counter-clockwise, 0 for a straight line, 1 for half a circle), so that an arc stays an arc
//! from the outline to the file.

use super::{Outline, Point, path};

/// Two spots nearer than this are one, mm: far below anything a shop can see, far above rounding.
const SAME: f64 = 1e-6;
/// How far beside an edge is looked for wood, mm.
const ASIDE: f64 = 1e-4;

/// A place in plan, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spot {
    /// Along the feed.
    pub x: f64,
    /// From the fence edge.
    pub y: f64,
}

impl Spot {
    /// The spot at `x`, `y`.
    pub const fn new(x: f64, y: f64) -> Spot {
        Spot { x, y }
    }

    fn of(point: &Point) -> Spot {
        Spot::new(point.x.to_mm(), point.y.to_mm())
    }

    fn minus(self, other: Spot) -> Spot {
        Spot::new(self.x - other.x, self.y - other.y)
    }

    fn plus(self, by: Spot, times: f64) -> Spot {
        Spot::new(self.x + times * by.x, self.y + times * by.y)
    }

    fn dot(self, other: Spot) -> f64 {
        self.x * other.x + self.y * other.y
    }

    fn cross(self, other: Spot) -> f64 {
        self.x * other.y - self.y * other.x
    }

    fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    fn is(self, other: Spot) -> bool {
        self.minus(other).length() < 10.0 * SAME
    }
}

/// A straight line or a circular arc of at most half a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Where it starts.
    pub a: Spot,
    /// Where it ends.
    pub b: Spot,
    /// Tangent of a quarter of the angle it turns through; 0 for a straight line.
    pub bulge: f64,
}

/// The circle an arc lies on, and how much of it the arc takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Centre.
    pub centre: Spot,
    /// Radius, mm.
    pub radius: f64,
    /// Direction of the start from the centre, radians.
    pub start: f64,
    /// Angle turned through, radians, positive counter-clockwise.
    pub sweep: f64,
}

impl Arc {
    /// The spot at a share of the way, from 0 to 1.
    fn at(&self, share: f64) -> Spot {
        let angle = self.start + share * self.sweep;
        self.centre.plus(Spot::new(libm::cos(angle), libm::sin(angle)), self.radius)
    }

    /// The share of the way at which a spot on the circle lies, if it lies on the arc.
    fn share(&self, spot: Spot) -> Option<f64> {
        let turn = std::f64::consts::TAU;
        let from = libm::atan2(spot.y - self.centre.y, spot.x - self.centre.x) - self.start;
        let along = if self.sweep < 0.0 { -from } else { from };
        let along = along - turn * libm::floor(along / turn);
        let share = along / self.sweep.abs();
        // Rounding may put the start a hair before itself, which is almost a whole turn on.
        let start = (turn - along) * self.radius < SAME;
        if start {
            Some(0.0)
        } else {
            (share <= 1.0 + SAME / (self.radius * self.sweep.abs())).then_some(share.min(1.0))
        }
    }
}

impl Edge {
    /// An edge of a path, an arc of more than half a turn in two.
    fn along(edge: &path::Edge) -> Vec<Edge> {
        let spot = |p: path::Mm| Spot::new(p.0, p.1);
        let (from, to) = (spot(edge.from), spot(edge.to));
        match &edge.arc {
            None => vec![Edge { a: from, b: to, bulge: 0.0 }],
            Some(arc) if arc.sweep.abs() <= std::f64::consts::PI => {
                vec![Edge { a: from, b: to, bulge: libm::tan(arc.sweep / 4.0) }]
            }
            Some(arc) => {
                let (middle, bulge) = (spot(edge.middle()), libm::tan(arc.sweep / 8.0));
                vec![Edge { a: from, b: middle, bulge }, Edge { a: middle, b: to, bulge }]
            }
        }
    }

    /// The circle of an arc; `None` for a straight line.
    pub fn arc(&self) -> Option<Arc> {
        let chord = self.b.minus(self.a);
        let length = chord.length();
        if self.bulge == 0.0 || length == 0.0 {
            return None;
        }
        // Sagitta = bulge * chord / 2; the centre lies on the chord's normal.
        let (n, k) = (Spot::new(-chord.y, chord.x), self.bulge);
        let centre = self.a.plus(chord, 0.5).plus(n, (1.0 - k * k) / (4.0 * k));
        let start = self.a.minus(centre);
        Some(Arc {
            centre,
            radius: length * (1.0 + k * k) / (4.0 * k.abs()),
            start: libm::atan2(start.y, start.x),
            sweep: 4.0 * libm::atan(k),
        })
    }

    /// The spot at a share of the way, and the unit normal to the left of it.
    fn middle(&self) -> (Spot, Spot) {
        match self.arc() {
            None => {
                let along = self.b.minus(self.a);
                let length = along.length().max(f64::MIN_POSITIVE);
                (self.a.plus(along, 0.5), Spot::new(-along.y / length, along.x / length))
            }
            Some(arc) => {
                let spot = arc.at(0.5);
                let out = spot.minus(arc.centre);
                let side = if arc.sweep > 0.0 { -1.0 } else { 1.0 } / arc.radius;
                (spot, Spot::new(out.x * side, out.y * side))
            }
        }
    }

    fn reversed(&self) -> Edge {
        Edge { a: self.b, b: self.a, bulge: -self.bulge }
    }

    /// Lowest x and y, highest x and y.
    fn bounds(&self) -> [f64; 4] {
        let mut bounds =
            [self.a.x.min(self.b.x), self.a.y.min(self.b.y), self.a.x.max(self.b.x), self.a.y.max(self.b.y)];
        if let Some(arc) = self.arc() {
            for (dx, dy) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
                let spot = arc.centre.plus(Spot::new(dx, dy), arc.radius);
                if arc.share(spot).is_some() {
                    let [x0, y0, x1, y1] = bounds;
                    bounds = [x0.min(spot.x), y0.min(spot.y), x1.max(spot.x), y1.max(spot.y)];
                }
            }
        }
        bounds
    }

    /// The share of the way at which a spot lies, if it lies on the edge.
    fn share(&self, spot: Spot) -> Option<f64> {
        match self.arc() {
            None => {
                let along = self.b.minus(self.a);
                let length = along.length();
                let reach = spot.minus(self.a);
                let (share, off) = (reach.dot(along) / (length * length), reach.cross(along) / length);
                let slack = SAME / length;
                (off.abs() < SAME && share > -slack && share < 1.0 + slack).then_some(share.clamp(0.0, 1.0))
            }
            Some(arc) => {
                let off = spot.minus(arc.centre).length() - arc.radius;
                if off.abs() < SAME { arc.share(spot) } else { None }
            }
        }
    }

    /// The spots the two have in common; of edges that run along each other the ends of both.
    fn meetings(&self, other: &Edge) -> Vec<Spot> {
        let ends = [self.a, self.b, other.a, other.b];
        let crossings = match (self.arc(), other.arc()) {
            (None, None) => line_line(self, other),
            (None, Some(arc)) => line_circle(self, &arc),
            (Some(arc), None) => line_circle(other, &arc),
            (Some(one), Some(two)) => circle_circle(&one, &two),
        };
        let on_both = |spot: &Spot| self.share(*spot).is_some() && other.share(*spot).is_some();
        ends.into_iter().chain(crossings).filter(on_both).collect()
    }

    /// The piece between two shares of the way.
    fn piece(&self, from: f64, to: f64) -> Edge {
        let (spot, bulge): (Box<dyn Fn(f64) -> Spot>, f64) = match self.arc() {
            None => {
                let along = self.b.minus(self.a);
                (Box::new(move |share| self.a.plus(along, share)), 0.0)
            }
            Some(arc) => (Box::new(move |share| arc.at(share)), libm::tan((to - from) * arc.sweep / 4.0)),
        };
        let place = |share: f64| match share {
            0.0 => self.a,
            1.0 => self.b,
            share => spot(share),
        };
        Edge { a: place(from), b: place(to), bulge }
    }
}

fn line_line(one: &Edge, two: &Edge) -> Vec<Spot> {
    let (d, e) = (one.b.minus(one.a), two.b.minus(two.a));
    let cross = d.cross(e);
    if cross.abs() <= 1e-12 * d.length() * e.length() {
        return Vec::new();
    }
    vec![one.a.plus(d, two.a.minus(one.a).cross(e) / cross)]
}

fn line_circle(line: &Edge, arc: &Arc) -> Vec<Spot> {
    let d = line.b.minus(line.a);
    let length = d.length();
    if length == 0.0 {
        return Vec::new();
    }
    let unit = Spot::new(d.x / length, d.y / length);
    let nearest = line.a.plus(unit, arc.centre.minus(line.a).dot(unit));
    let off = nearest.minus(arc.centre).length();
    // A line that touches may miss by rounding: it then counts as touching.
    let half = (arc.radius * arc.radius - off * off).max(0.0).sqrt();
    vec![nearest.plus(unit, half), nearest.plus(unit, -half)]
}

fn circle_circle(one: &Arc, two: &Arc) -> Vec<Spot> {
    let d = two.centre.minus(one.centre);
    let distance = d.length();
    if distance < SAME {
        return Vec::new();
    }
    let along = (distance * distance + one.radius * one.radius - two.radius * two.radius) / (2.0 * distance);
    let half = (one.radius * one.radius - along * along).max(0.0).sqrt();
    let foot = one.centre.plus(d, along / distance);
    let normal = Spot::new(-d.y / distance, d.x / distance);
    vec![foot.plus(normal, half), foot.plus(normal, -half)]
}

/// A closed chain of edges, each starting where the one before ends.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Contour {
    /// The edges.
    pub edges: Vec<Edge>,
}

impl Contour {
    /// The contour of an outline, counter-clockwise as the outline is.
    pub fn of(outline: &Outline) -> Contour {
        match outline {
            Outline::Rect(rect) => Contour::through(rect.corners().iter().map(Spot::of).collect()),
            Outline::Polygon(points) => Contour::through(points.iter().map(Spot::of).collect()),
            Outline::Disc { centre, diameter } => {
                let (centre, radius) = (Spot::of(centre), diameter.to_mm() / 2.0);
                let (right, left) = (Spot::new(centre.x + radius, centre.y), Spot::new(centre.x - radius, centre.y));
                Contour { edges: vec![Edge { a: right, b: left, bulge: 1.0 }, Edge { a: left, b: right, bulge: 1.0 }] }
            }
            Outline::Path(path) => Contour { edges: path.edges().flat_map(|edge| Edge::along(&edge)).collect() },
        }
    }

    /// The polygon through corners; repeated corners count once.
    fn through(mut corners: Vec<Spot>) -> Contour {
        corners.dedup_by(|b, a| a.is(*b));
        if corners.len() > 1 && corners.first().zip(corners.last()).is_some_and(|(first, last)| first.is(*last)) {
            corners.pop();
        }
        let next = corners.iter().cycle().skip(1);
        Contour { edges: corners.iter().zip(next).map(|(a, b)| Edge { a: *a, b: *b, bulge: 0.0 }).collect() }
    }

    /// Centre and radius, where the contour is one whole circle.
    pub fn circle(&self) -> Option<(Spot, f64)> {
        let mut arcs = self.edges.iter().map(Edge::arc);
        let first = arcs.next()??;
        let mut turned = first.sweep;
        for arc in arcs {
            let arc = arc?;
            if !arc.centre.is(first.centre) || (arc.radius - first.radius).abs() > SAME {
                return None;
            }
            turned += arc.sweep;
        }
        ((turned.abs() - std::f64::consts::TAU).abs() < 1e-6).then_some((first.centre, first.radius))
    }

    /// The contour as a polygon whose chords leave its arcs by at most `off` mm. The last corner is
    /// joined to the first.
    pub fn flat(&self, off: f64) -> Vec<Spot> {
        let mut corners = Vec::new();
        for edge in &self.edges {
            corners.push(edge.a);
            if let Some(arc) = edge.arc() {
                let half = libm::acos((1.0 - off / arc.radius).clamp(-1.0, 1.0));
                let chords = libm::ceil(arc.sweep.abs() / (2.0 * half).max(1e-3)).clamp(1.0, 8192.0);
                corners.extend((1..chords as u32).map(|step| arc.at(f64::from(step) / chords)));
            }
        }
        corners
    }

    /// Whether a spot that is not on the contour lies inside.
    pub fn holds(&self, spot: Spot) -> bool {
        let mut inside = false;
        for edge in &self.edges {
            let along = edge.b.minus(edge.a);
            // A spot on the line of a chord counts as a hair to its right, or above it if it is level,
            // in both questions: else one on the common chord of two half rounds lies in neither.
            let left = match along.cross(spot.minus(edge.a)) {
                0.0 if along.y == 0.0 => along.x > 0.0,
                0.0 => along.y < 0.0,
                side => side > 0.0,
            };
            let upward = edge.b.y > spot.y;
            if (edge.a.y > spot.y) != upward && left == upward {
                inside = !inside;
            }
            // What lies between an arc and its chord belongs to the other side than the chord says.
            if let Some(arc) = edge.arc()
                && left == (edge.bulge < 0.0)
                && spot.minus(arc.centre).length() < arc.radius
            {
                inside = !inside;
            }
        }
        inside
    }

    fn bounds(&self) -> [f64; 4] {
        let nothing = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        self.edges
            .iter()
            .map(Edge::bounds)
            .fold(nothing, |[x0, y0, x1, y1], [a, b, c, d]| [x0.min(a), y0.min(b), x1.max(c), y1.max(d)])
    }
}

fn near(one: &[f64; 4], two: &[f64; 4]) -> bool {
    one[0] <= two[2] + SAME && two[0] <= one[2] + SAME && one[1] <= two[3] + SAME && two[1] <= one[3] + SAME
}

/// What stays of an outline when voids are cut out of it: closed contours with the wood on their left,
/// so that outer ones run counter-clockwise and holes clockwise.
pub fn cut(outline: &Outline, voids: &[&Outline]) -> Vec<Contour> {
    let shape = Contour::of(outline);
    let holes: Vec<Contour> = voids.iter().map(|void| Contour::of(void)).collect();
    let reach: Vec<[f64; 4]> = holes.iter().map(Contour::bounds).collect();
    let wood = |spot: Spot| {
        let at = [spot.x, spot.y, spot.x, spot.y];
        shape.holds(spot) && !holes.iter().zip(&reach).any(|(hole, reach)| near(reach, &at) && hole.holds(spot))
    };
    let all: Vec<&Contour> = std::iter::once(&shape).chain(&holes).collect();
    let bounds: Vec<Vec<[f64; 4]>> = all.iter().map(|c| c.edges.iter().map(Edge::bounds).collect()).collect();
    let mut kept: Vec<Edge> = Vec::new();
    for (place, contour) in all.iter().enumerate() {
        let mut whole = true;
        let mut pieces: Vec<Edge> = Vec::new();
        for (edge, box_of) in contour.edges.iter().zip(bounds.get(place).into_iter().flatten()) {
            let mut shares = vec![0.0, 1.0];
            for (other, boxes) in all.iter().zip(&bounds).enumerate().filter(|(i, _)| *i != place).map(|(_, o)| o) {
                for (crossing, _) in other.edges.iter().zip(boxes).filter(|(_, other)| near(box_of, other)) {
                    shares.extend(edge.meetings(crossing).into_iter().filter_map(|spot| edge.share(spot)));
                }
            }
            whole &= shares.len() == 2;
            shares.sort_by(f64::total_cmp);
            for pair in shares.windows(2) {
                if let [from, to] = *pair {
                    let piece = edge.piece(from, to);
                    if !piece.a.is(piece.b) || edge.bulge != 0.0 && to - from > 0.5 {
                        pieces.push(piece);
                    }
                }
            }
        }
        let side = |edge: &Edge| {
            let (spot, normal) = edge.middle();
            match (wood(spot.plus(normal, ASIDE)), wood(spot.plus(normal, -ASIDE))) {
                (true, false) => Some(false),
                (false, true) => Some(true),
                _ => None,
            }
        };
        // A contour that meets no other one lies on the border of the wood as a whole or not at all.
        let common = if whole { pieces.first().map(side) } else { None };
        for edge in pieces {
            let Some(turned) = common.unwrap_or_else(|| side(&edge)) else { continue };
            let edge = if turned { edge.reversed() } else { edge };
            let twin = |other: &Edge| other.a.is(edge.a) && other.b.is(edge.b) && other.middle().0.is(edge.middle().0);
            if common.is_some() || !kept.iter().any(twin) {
                kept.push(edge);
            }
        }
    }
    chain(kept)
}

/// Joins edges into closed contours; what does not close is left out (rounding splinters only).
fn chain(edges: Vec<Edge>) -> Vec<Contour> {
    let mut rest: std::collections::VecDeque<Edge> = edges.into();
    let mut contours = Vec::new();
    while let Some(first) = rest.pop_front() {
        let mut run = vec![first];
        let mut end = first.b;
        while !end.is(first.a) {
            let Some(next) = rest.iter().position(|edge| edge.a.is(end)) else { break };
            let Some(edge) = rest.remove(next) else { break };
            end = edge.b;
            run.push(edge);
        }
        if end.is(first.a) {
            contours.push(Contour { edges: merged(run) });
        }
    }
    contours
}

/// Neighbours on one line or one circle become one edge again.
fn merged(run: Vec<Edge>) -> Vec<Edge> {
    let mut edges: Vec<Edge> = Vec::new();
    for edge in run {
        match edges.last().and_then(|last| joined(last, &edge)) {
            Some(one) => {
                edges.pop();
                edges.push(one);
            }
            None => edges.push(edge),
        }
    }
    if edges.len() > 2
        && let Some(one) = edges.last().zip(edges.first()).and_then(|(last, first)| joined(last, first))
    {
        edges.pop();
        if let Some(first) = edges.first_mut() {
            *first = one;
        }
    }
    edges
}

fn joined(one: &Edge, two: &Edge) -> Option<Edge> {
    match (one.arc(), two.arc()) {
        (None, None) => {
            let (d, e) = (one.b.minus(one.a), two.b.minus(two.a));
            let straight = d.cross(e).abs() < SAME * d.length().max(e.length()) && d.dot(e) > 0.0;
            straight.then_some(Edge { a: one.a, b: two.b, bulge: 0.0 })
        }
        (Some(first), Some(second)) => {
            let sweep = first.sweep + second.sweep;
            let same = first.centre.is(second.centre)
                && (first.radius - second.radius).abs() < SAME
                && first.sweep.signum() == second.sweep.signum()
                && sweep.abs() <= std::f64::consts::PI + 1e-9;
            same.then_some(Edge { a: one.a, b: two.b, bulge: libm::tan(sweep / 4.0) })
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Rect;
    use crate::length::Length;
    use approx::assert_abs_diff_eq;

    fn mm(value: i64) -> Length {
        Length::from_ticks(value * 5_760_000)
    }

    fn rect(x: i64, y: i64, length: i64, width: i64) -> Outline {
        Outline::Rect(Rect::sized(mm(x), mm(y), mm(length), mm(width)))
    }

    fn disc(x: i64, y: i64, diameter: i64) -> Outline {
        Outline::Disc { centre: Point::new(mm(x), mm(y)), diameter: mm(diameter) }
    }

    /// Area with its sign, from chords 0.1 micrometre off.
    fn area(contour: &Contour) -> f64 {
        let corners = contour.flat(1e-4);
        corners.iter().zip(corners.iter().cycle().skip(1)).map(|(a, b)| a.x * b.y - b.x * a.y).sum::<f64>() / 2.0
    }

    #[test]
    fn nothing_cut_leaves_the_outline() {
        let whole = cut(&rect(0, 0, 30, 20), &[]);
        assert_eq!(whole, [Contour::of(&rect(0, 0, 30, 20))]);
        // A circle of 10 mm: area 25 pi.
        let round = cut(&disc(5, 5, 10), &[]);
        assert_eq!(round.len(), 1);
        let (centre, radius) = round[0].circle().expect("round");
        assert!(centre.is(Spot::new(5.0, 5.0)) && (radius - 5.0).abs() < 1e-9);
        assert_abs_diff_eq!(area(&round[0]), 25.0 * std::f64::consts::PI, epsilon = 0.01);
    }

    #[test]
    fn a_pocket_with_bored_corners_is_one_hole_with_arcs() {
        // Pocket 40 x 20 with a 6 mm hole bored on each corner: a quarter of each hole lies in the
        // pocket, so three quarters of four holes are added: 800 + 3 pi 3^2 = 800 + 27 pi.
        let pocket = rect(10, 10, 40, 20);
        let holes = [disc(10, 10, 6), disc(50, 10, 6), disc(50, 30, 6), disc(10, 30, 6)];
        let voids: Vec<&Outline> = std::iter::once(&pocket).chain(&holes).collect();
        let left = cut(&rect(0, 0, 60, 40), &voids);
        assert_eq!(left.len(), 2);
        assert_abs_diff_eq!(area(&left[0]), 2400.0, epsilon = 1e-6);
        assert_abs_diff_eq!(area(&left[1]), -(800.0 + 27.0 * std::f64::consts::PI), epsilon = 0.01);
        // Four walls; each 270 degree relief is two arcs, an arc being half a turn at the most.
        assert_eq!(left[1].edges.iter().filter(|edge| edge.bulge == 0.0).count(), 4);
        for (one, two) in left[1].edges.iter().zip(left[1].edges.iter().cycle().skip(1)) {
            assert!(one.b.is(two.a), "a gap");
        }
    }

    #[test]
    fn half_a_round_cut_from_the_edge_of_a_board() {
        // Board 100 x 50, disc of 60 centred on its far edge: 5000 - pi 30^2 / 2.
        let left = cut(&rect(0, 0, 100, 50), &[&disc(50, 50, 60)]);
        assert_eq!(left.len(), 1);
        assert_abs_diff_eq!(area(&left[0]), 5000.0 - 450.0 * std::f64::consts::PI, epsilon = 0.01);
        // Six edges: three sides, two stumps of the far edge, one arc.
        assert_eq!(left[0].edges.len(), 6);
    }

    #[test]
    fn a_round_centred_on_a_wall_takes_half_of_itself_beyond_it() {
        // Pocket 40 x 20; a round of 6 centred half way up its near wall adds half of 9 pi.
        let left = cut(&rect(0, 0, 60, 40), &[&rect(10, 10, 40, 20), &disc(10, 20, 6)]);
        assert_eq!(left.len(), 2);
        assert_abs_diff_eq!(area(&left[1]), -(800.0 + 4.5 * std::f64::consts::PI), epsilon = 0.01);
    }

    #[test]
    fn a_clipped_corner_goes_although_it_lies_along_two_edges() {
        // Legs of 10: 5000 - 50, five edges.
        let corner =
            Outline::Polygon(vec![Point::new(mm(0), mm(40)), Point::new(mm(10), mm(50)), Point::new(mm(0), mm(50))]);
        let left = cut(&rect(0, 0, 100, 50), &[&corner]);
        assert_eq!(left.len(), 1);
        assert_abs_diff_eq!(area(&left[0]), 4950.0, epsilon = 1e-6);
        assert_eq!(left[0].edges.len(), 5);
    }

    #[test]
    fn a_round_that_touches_the_edge_and_one_that_takes_all() {
        // Touching from inside: the disc of 50 in a board 100 x 50 leaves 5000 - 625 pi, in all.
        let left = cut(&rect(0, 0, 100, 50), &[&disc(50, 25, 50)]);
        let total: f64 = left.iter().map(area).sum();
        assert_abs_diff_eq!(total, 5000.0 - 625.0 * std::f64::consts::PI, epsilon = 0.02);
        assert!(cut(&rect(10, 10, 5, 5), &[&rect(0, 0, 100, 50)]).is_empty());
        assert!(cut(&rect(0, 0, 10, 5), &[&rect(0, 0, 10, 5)]).is_empty());
    }

    #[test]
    fn two_pockets_that_share_a_wall_are_one() {
        let left = cut(&rect(0, 0, 100, 50), &[&rect(10, 10, 20, 20), &rect(30, 10, 20, 20)]);
        assert_eq!(left.len(), 2);
        assert_eq!(left[1].edges.len(), 4);
        assert_abs_diff_eq!(area(&left[1]), -800.0, epsilon = 1e-6);
    }
}
