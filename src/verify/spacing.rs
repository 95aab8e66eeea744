//! What stands between nests of any outline: every one held against every neighbour, by the distances of
//! points of one outline from the lines and arcs of the other.

use super::*;
use crate::design::{Gang, Void, VoidKind};
use crate::geometry::Point;
use crate::geometry::path::{Edge, Mm, to_mm};
use Relation::{AtLeast, AtMost};

/// Points are taken this close to an arc, mm; the distance found is too great by twice that at most.
const FINE: f64 = 0.0005;
/// Nests farther apart than this are no neighbours, mm.
const FAR: f64 = 100.0;
/// Least web between two nests, and least of it left between their reliefs and finger gaps.
const WEB: Length = Length::inches(1, 2);
const WEB_LEFT: Length = Length::inches(1, 4);

/// An outline as lines and arcs, each with its box, and as points.
struct Shape {
    edges: Vec<(Edge, [f64; 4])>,
    points: Vec<Mm>,
    outline: Outline,
}

impl Shape {
    fn of(outline: &Outline) -> Shape {
        let straight = |corners: &[Point]| -> Vec<Edge> {
            let next = corners.iter().cycle().skip(1);
            corners.iter().zip(next).map(|(a, b)| Edge::new(to_mm(*a), None, to_mm(*b))).collect()
        };
        let edges = match outline {
            Outline::Path(path) => path.edges().collect(),
            Outline::Rect(rect) => straight(&rect.corners()),
            Outline::Polygon(corners) => straight(corners),
            Outline::Disc { centre, diameter } => {
                let ((x, y), r) = (to_mm(*centre), diameter.to_mm() / 2.0);
                let [right, top, left, low] = [(x + r, y), (x, y + r), (x - r, y), (x, y - r)];
                vec![Edge::new(right, Some(top), left), Edge::new(left, Some(low), right)]
            }
        };
        let points = edges.iter().flat_map(|edge| edge.flattened(FINE)).collect();
        let boxed = |edge: Edge| {
            let mut ring = edge.flattened(FINE);
            ring.push(edge.to);
            let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
            let all = ring.iter().fold(start, |[x0, y0, x1, y1], p| [x0.min(p.0), y0.min(p.1), x1.max(p.0), y1.max(p.1)]);
            (edge, [all[0] - FINE, all[1] - FINE, all[2] + FINE, all[3] + FINE])
        };
        Shape { edges: edges.into_iter().map(boxed).collect(), points, outline: outline.clone() }
    }

    /// Whether a point lies inside.
    fn holds(&self, p: Mm) -> bool {
        match &self.outline {
            Outline::Path(path) => path.contains(p),
            other => solid::inside(other, crate::geometry::path::from_mm(p)),
        }
    }

    /// Least distance of the points of `other`, moved, from the edges of this one; nothing where that
    /// one begins inside. No more than `least` is looked for.
    fn from_points(&self, other: &Shape, (dx, dy): Mm, mut least: f64) -> f64 {
        if other.points.first().is_some_and(|p| self.holds((p.0 + dx, p.1 + dy))) {
            return 0.0;
        }
        for p in &other.points {
            let p = (p.0 + dx, p.1 + dy);
            for (edge, [x0, y0, x1, y1]) in &self.edges {
                let off = (x0 - p.0).max(p.0 - x1).max(y0 - p.1).max(p.1 - y1);
                if off < least {
                    least = least.min(edge.distance(p));
                }
            }
        }
        least
    }

    fn apart(&self, other: &Shape, by: Mm) -> f64 {
        let there = self.from_points(other, by, FAR);
        other.from_points(self, (-by.0, -by.1), there)
    }
}

/// Every pocket is the first one moved, with all that is cut beside it; and the wood left between them.
pub(super) fn check(case: &Case, gang: &Gang, checks: &mut Vec<Check>) {
    let Some(first) = case.design.pockets.first() else { return };
    let voids = || case.design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let beside = |void: &&Void| matches!(void.kind, VoidKind::Relief | VoidKind::FingerGap);
    let own: Vec<&Void> = voids().filter(beside).filter(|void| overlap(&void.outline, &first.outline)).collect();
    let start = first.outline.anchor();
    let offsets: Vec<Point> = case
        .design
        .pockets
        .iter()
        .map(|pocket| pocket.outline.anchor())
        .map(|there| Point::new(there.x - start.x, there.y - start.y))
        .collect();
    let unlike = case.design.pockets.iter().zip(&offsets).filter(|(pocket, by)| {
        let sunk = |void: &Void| void.kind == VoidKind::Pocket && void.outline == pocket.outline;
        let repeated = |one: &&Void| {
            let moved = one.outline.moved(by.x, by.y);
            voids().any(|void| void.kind == one.kind && (void.z0, void.z1) == (one.z0, one.z1) && void.outline == moved)
        };
        first.outline.moved(by.x, by.y) != pocket.outline
            || (pocket.z0, pocket.z1) != (first.z0, first.z1)
            || !voids().any(sunk)
            || !own.iter().all(repeated)
    });
    none_of(checks, Rule::EqualPitch, "pockets that are not the first one moved", unlike.count());
    let strays = voids().filter(beside).count().abs_diff(own.len() * gang.pockets);
    none_of(checks, Rule::EqualPitch, "reliefs and finger gaps of no pocket", strays);

    let mut apart: Vec<(i64, i64)> = offsets
        .iter()
        .flat_map(|a| offsets.iter().map(move |b| ((b.x - a.x).ticks(), (b.y - a.y).ticks())))
        .filter(|by| *by > (0, 0))
        .collect();
    apart.sort_unstable();
    apart.dedup();
    let bounds = first.outline.bounds();
    let near = |(x, y): &(i64, i64)| {
        let (x, y) = (Length::from_ticks(x.abs()).to_mm(), Length::from_ticks(y.abs()).to_mm());
        x < bounds.length().to_mm() + FAR && y < bounds.width().to_mm() + FAR
    };
    let nest = Shape::of(&first.outline);
    let cuts: Vec<Shape> = own.iter().map(|void| Shape::of(&void.outline)).collect();
    let (mut web, mut left) = (FAR, FAR);
    for (x, y) in apart.into_iter().filter(near) {
        let by = (Length::from_ticks(x).to_mm(), Length::from_ticks(y).to_mm());
        web = web.min(nest.apart(&nest, by));
        for cut in &cuts {
            left = left.min(nest.apart(cut, by)).min(cut.apart(&nest, by));
            left = cuts.iter().map(|other| cut.apart(other, by)).fold(left, f64::min);
        }
    }
    let length = |mm: f64| Length::from_mm(mm - 2.0 * FINE).unwrap_or_default();
    lengths(checks, Rule::Web, "between two nests", length(web), AtLeast, WEB);
    if !cuts.is_empty() {
        lengths(checks, Rule::WebAfterRelief, "between two nests", length(left), AtLeast, WEB_LEFT);
    }
    let carve = &case.request.carve;
    if carve.through == Through::AllRound {
        let beside = carve.cutter + Length::inches(1, 4);
        lengths(checks, Rule::Web, "nests beside the cutter", length(web), AtLeast, beside);
        let overrun = carve.cutter + carve.overrun + Length::inches(3, 16);
        lengths(checks, Rule::Web, "nests beside the cutter's overrun", length(web), AtLeast, overrun);
    }
    // The web as printed is no wider than the one there is.
    let printed = gang.web - Length::from_mm(web).unwrap_or_default();
    lengths(checks, Rule::Web, "web as printed, over the one there is", printed, AtMost, Length::ZERO);
}

/// Whether what is cut out at one place reaches into a pocket: a corner, the middle or a point of it does.
pub(super) fn overlap(outline: &Outline, pocket: &Outline) -> bool {
    if !outline.bounds().meets(&pocket.bounds()) {
        return false;
    }
    let Outline::Path(path) = pocket else { return gang::apart(outline, pocket) < Length::ZERO };
    if let Outline::Path(other) = outline {
        let corner = other.vertices().iter().any(|vertex| path.contains(to_mm(vertex.point)));
        return other == path || corner;
    }
    let bounds = outline.bounds();
    let (x, y) = to_mm(bounds.centre());
    let reach = bounds.length().to_mm() / 2.0;
    path.contains((x, y)) || path.distance((x, y)) < reach
}
