//! What stands between nests of any outline: every one held against every neighbour, by the distances of
//! points of one outline from the lines and arcs of the other.

use super::*;
use crate::design::{Gang, Void, VoidKind};
use crate::geometry::path::{Edge, Mm, to_mm};
use crate::geometry::{Lay, Point};
use Relation::{AtLeast, AtMost};

/// Points are taken this close to an arc, mm; the distance found is too great by twice that at most.
const FINE: f64 = 0.0005;
/// Nests farther apart than this are no neighbours, mm.
pub(super) const FAR: f64 = 100.0;
/// Least web between two nests, and least of it left between their reliefs and finger gaps.
const WEB: Length = Length::inches(1, 2);
const WEB_LEFT: Length = Length::inches(1, 4);
/// Least width of a gap for a finger.
const FINGER: Length = Length::inches(3, 4);

/// The box round points on an outline, and what an arc may have beyond them: x0, y0, x1, y1.
fn round(points: &[Mm]) -> [f64; 4] {
    let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
    let all = points.iter().fold(start, |[x0, y0, x1, y1], p| [x0.min(p.0), y0.min(p.1), x1.max(p.0), y1.max(p.1)]);
    [all[0] - FINE, all[1] - FINE, all[2] + FINE, all[3] + FINE]
}

/// An outline as lines and arcs, each with its box, and as points.
pub(super) struct Shape {
    edges: Vec<(Edge, [f64; 4])>,
    points: Vec<Mm>,
    all: [f64; 4],
    outline: Outline,
}

impl Shape {
    pub(super) fn of(outline: &Outline) -> Shape {
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
        let points: Vec<Mm> = edges.iter().flat_map(|edge| edge.flattened(FINE)).collect();
        let boxed = |edge: Edge| {
            let mut ring = edge.flattened(FINE);
            ring.push(edge.to);
            (edge, round(&ring))
        };
        Shape { all: round(&points), edges: edges.into_iter().map(boxed).collect(), points, outline: outline.clone() }
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
    fn to_points(&self, other: &Shape, (dx, dy): Mm, mut least: f64) -> f64 {
        if other.points.first().is_some_and(|p| self.holds((p.0 + dx, p.1 + dy))) {
            return 0.0;
        }
        let [x0, y0, x1, y1] = self.all;
        for p in &other.points {
            let p = (p.0 + dx, p.1 + dy);
            if (x0 - p.0).max(p.0 - x1).max(y0 - p.1).max(p.1 - y1) >= least {
                continue;
            }
            for (edge, [x0, y0, x1, y1]) in &self.edges {
                let off = (x0 - p.0).max(p.0 - x1).max(y0 - p.1).max(p.1 - y1);
                if off < least {
                    least = least.min(edge.distance(p));
                }
            }
        }
        least
    }

    /// Least distance from another, moved, as far as it is less than `least`.
    pub(super) fn apart(&self, other: &Shape, by: Mm, least: f64) -> f64 {
        let there = self.to_points(other, by, least);
        other.to_points(self, (-by.0, -by.1), there)
    }
}

/// Every pocket is the first one moved, or turned half round and moved, with its reliefs and with finger
/// gaps at two places of its wall; and the wood left between them.
pub(super) fn check(case: &Case, gang: &Gang, checks: &mut Vec<Check>) {
    let Some(first) = case.design.pockets.first() else { return };
    let voids = || case.design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let of = |kind: VoidKind| voids().filter(move |void| void.kind == kind);
    let own: Vec<&Void> = of(VoidKind::Relief).filter(|void| overlap(&void.outline, &first.outline)).collect();
    let pockets = &case.design.pockets;
    let lays: Vec<Lay> = pockets
        .iter()
        .enumerate()
        .map(|(place, pocket)| lay(&first.outline, &pocket.outline, gang.is_turned(place)))
        .collect();
    let unlike = pockets.iter().zip(&lays).filter(|(pocket, lay)| {
        let sunk = |void: &Void| void.outline == pocket.outline && (void.z0, void.z1) == (pocket.z0, pocket.z1);
        let repeated = |one: &&Void| {
            let there = lay.outline(&one.outline);
            of(one.kind).any(|void| (void.z0, void.z1) == (one.z0, one.z1) && void.outline == there)
        };
        lay.outline(&first.outline) != pocket.outline
            || (pocket.z0, pocket.z1) != (first.z0, first.z1)
            || !of(VoidKind::Pocket).any(sunk)
            || !own.iter().all(repeated)
    });
    none_of(checks, Rule::EqualPitch, "pockets that are not the first one moved", unlike.count());
    let strays = of(VoidKind::Relief).count().abs_diff(own.len() * pockets.len());
    none_of(checks, Rule::EqualPitch, "reliefs of no pocket", strays);
    let sunk = of(VoidKind::Pocket).count().abs_diff(pockets.len());
    none_of(checks, Rule::GangCount, "nests cut that are no pockets, or pockets that are not cut", sunk);

    let (web, mut left) = between(first, &own, &lays);
    let gaps: Vec<Gap> = of(VoidKind::FingerGap).map(|void| Gap::of(void, pockets)).collect();
    fingers(&gaps, pockets.len(), checks);
    let reliefs: Vec<(usize, Outline)> = lays
        .iter()
        .enumerate()
        .flat_map(|(place, lay)| own.iter().map(move |one| (place, lay.outline(&one.outline))))
        .collect();
    left = left.min(left_by(&gaps, pockets, &reliefs));
    webs(case, gang, (web, (!own.is_empty() || !gaps.is_empty()).then_some(left)), checks);
}

/// Two finger gaps or more at every nest, and none that serves no nest.
pub(super) fn fingers(gaps: &[Gap], pockets: usize, checks: &mut Vec<Check>) {
    let fewest = (0..pockets).map(|place| gaps.iter().filter(|gap| gap.serves.contains(&place)).count()).min();
    numbers(checks, Rule::FingerGaps, "finger gaps of a nest", fewest.unwrap_or(0) as f64, AtLeast, 2.0, "");
    let idle = gaps.iter().filter(|gap| gap.serves.is_empty() || gap.serves.len() > 2).count();
    none_of(checks, Rule::FingerGaps, "finger gaps that serve no nest, or three", idle);
}

/// Least wood that finger gaps leave to nests they do not serve, to their reliefs and to each other, mm.
pub(super) fn left_by(gaps: &[Gap], pockets: &[Pocket], reliefs: &[(usize, Outline)]) -> f64 {
    let mut left = FAR;
    for (place, gap) in gaps.iter().enumerate() {
        left = left.min(gap.to_nests(pockets)).min(gap.to_reliefs(reliefs));
        left = gaps.iter().skip(place + 1).map(|other| gap.to_gap(other)).fold(left, f64::min);
    }
    left
}

/// The wood between two nests, and what cuts beyond them leave of it where there are any, mm.
pub(super) fn webs(case: &Case, gang: &Gang, (web, left): (f64, Option<f64>), checks: &mut Vec<Check>) {
    let length = |mm: f64| Length::from_mm(mm - 2.0 * FINE).unwrap_or_default();
    lengths(checks, Rule::Web, "between two nests", length(web), AtLeast, WEB);
    if let Some(left) = left {
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

/// How a pocket lies off the first, by the first vertex of either: moved, or turned half round and moved.
pub(super) fn lay(first: &Outline, there: &Outline, turned: bool) -> Lay {
    let corner = |outline: &Outline, far: bool| match outline {
        Outline::Path(path) => path.vertices().first().map(|vertex| vertex.point).unwrap_or_default(),
        other if far => Point::new(other.bounds().x1, other.bounds().y1),
        other => Point::new(other.bounds().x0, other.bounds().y0),
    };
    let (from, to) = (corner(first, false), corner(there, turned));
    let from = if turned { Point::new(-from.x, -from.y) } else { from };
    Lay { turned, by: Point::new(to.x - from.x, to.y - from.y) }
}

/// Least wood between two nests, and between the reliefs of one and another with its own, mm.
fn between(first: &Pocket, own: &[&Void], lays: &[Lay]) -> (f64, f64) {
    let bounds = first.outline.bounds();
    // How one of two lies off the other, seen from the one as it is drawn: the same for very many.
    let mut apart: Vec<(bool, i64, i64)> = Vec::new();
    for (place, a) in lays.iter().enumerate() {
        for b in lays.iter().skip(place + 1) {
            let (x, y) = (b.by.x - a.by.x, b.by.y - a.by.y);
            apart.push(match (a.turned, b.turned) {
                (false, false) => (false, x.ticks(), y.ticks()),
                (true, true) => (false, -x.ticks(), -y.ticks()),
                (false, true) => (true, x.ticks(), y.ticks()),
                (true, false) => (true, -x.ticks(), -y.ticks()),
            });
        }
    }
    apart.sort_unstable();
    apart.dedup();
    let (mut web, mut left) = (FAR, FAR);
    for turned in [false, true] {
        let moved = |x: i64, y: i64| Lay { turned, by: Point::new(Length::from_ticks(x), Length::from_ticks(y)) };
        let near = |(x, y): &(i64, i64)| {
            let there = moved(*x, *y).rect(bounds);
            let off = |a0: Length, a1: Length, b0: Length, b1: Length| (b0 - a1).max(a0 - b1).to_mm();
            off(bounds.x0, bounds.x1, there.x0, there.x1).max(off(bounds.y0, bounds.y1, there.y0, there.y1)) < FAR
        };
        let at_origin = moved(0, 0);
        let (nest, other) = (Shape::of(&first.outline), Shape::of(&at_origin.outline(&first.outline)));
        let cuts: Vec<Shape> = own.iter().map(|void| Shape::of(&void.outline)).collect();
        let others: Vec<Shape> = own.iter().map(|void| Shape::of(&at_origin.outline(&void.outline))).collect();
        let so = apart.iter().filter(|(kind, ..)| *kind == turned).map(|(_, x, y)| (*x, *y));
        for (x, y) in so.filter(near) {
            let by = (Length::from_ticks(x).to_mm(), Length::from_ticks(y).to_mm());
            web = web.min(nest.apart(&other, by, web));
            for cut in &cuts {
                left = left.min(cut.apart(&other, by, left));
                left = others.iter().map(|theirs| cut.apart(theirs, by, left)).fold(left, f64::min);
            }
            left = others.iter().map(|theirs| nest.apart(theirs, by, left)).fold(left, f64::min);
        }
    }
    (web, left)
}

/// A finger gap, and the pockets it serves.
pub(super) struct Gap {
    pub(super) centre: Mm,
    radius: f64,
    pub(super) serves: Vec<usize>,
    reach: Rect,
}

impl Gap {
    /// A gap serves a pocket when it is as deep, and opens its wall as wide as a finger, not from within
    /// and not from behind.
    pub(super) fn of(void: &Void, pockets: &[Pocket]) -> Gap {
        let bounds = void.outline.bounds();
        let (centre, radius) = (to_mm(bounds.centre()), bounds.length().min(bounds.width()).to_mm() / 2.0);
        let opens = |pocket: &Pocket| {
            let Outline::Path(path) = &pocket.outline else { return false };
            if !bounds.meets(&path.bounds()) || void.z0 > pocket.z0 || void.z1 < pocket.z1 {
                return false;
            }
            let off = path.distance(centre);
            let beyond = if path.contains(centre) { radius - off } else { radius + off };
            let half = (radius * radius - off * off).max(0.0).sqrt();
            off < radius && 2.0 * half >= FINGER.to_mm() && beyond >= FINGER.to_mm() / 2.0
        };
        let serves = pockets.iter().enumerate().filter(|(_, pocket)| opens(pocket)).map(|(place, _)| place).collect();
        let reach = bounds.grown(Length::from_mm(FAR).unwrap_or_default());
        Gap { centre, radius, serves, reach }
    }

    /// Wood left to the nests it does not serve, mm.
    fn to_nests(&self, pockets: &[Pocket]) -> f64 {
        let others = pockets.iter().enumerate().filter(|(place, _)| !self.serves.contains(place));
        others.map(|(_, pocket)| self.to_outline(&pocket.outline)).fold(FAR, f64::min)
    }

    /// Wood left to the reliefs of the nests it does not serve, mm.
    fn to_reliefs(&self, reliefs: &[(usize, Outline)]) -> f64 {
        let others = reliefs.iter().filter(|(place, _)| !self.serves.contains(place));
        others.map(|(_, outline)| self.to_outline(outline)).fold(FAR, f64::min)
    }

    fn to_outline(&self, outline: &Outline) -> f64 {
        if !self.reach.meets(&outline.bounds()) {
            return FAR;
        }
        let Outline::Path(path) = outline else { return FAR };
        if path.contains(self.centre) { 0.0 } else { (path.distance(self.centre) - self.radius).max(0.0) }
    }

    /// Wood left to another gap, mm; those of one nest may run into each other.
    fn to_gap(&self, other: &Gap) -> f64 {
        if self.serves.iter().any(|place| other.serves.contains(place)) {
            return FAR;
        }
        let (x, y) = (self.centre.0 - other.centre.0, self.centre.1 - other.centre.1);
        (libm::hypot(x, y) - self.radius - other.radius).max(0.0)
    }
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
