//! Parts as solids with plane faces, for hidden lines: prisms less their voids, bevelled strips, wedges.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use super::project::{Spot, Vector, cross, minus, towards_viewer};
use crate::design::{Place, VoidKind};
use crate::geometry::Outline;
use crate::geometry::path::to_mm;

/// Chords of a whole circle.
const CHORDS: u32 = 48;
/// Chords leave the arcs of a path by at most this, mm.
const CHORD_ERROR: f64 = 0.05;
/// Two faces that meet at a smaller angle than this are one bent face: its cosine. Chords of the smallest
/// arcs meet at less, corners that somebody saws at more (35 degrees).
const SMOOTH: f64 = 0.819;
/// Heights and places nearer than this are one, mm.
const SAME: f64 = 1e-6;
/// Slivers left by rounding, mm2.
const SLIVER: f64 = 1e-3;

type Flat = [f64; 2];
type Ring = Vec<Flat>;

/// A plane face: its outer ring and its holes, seen from outside counter-clockwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// Rings of corners, mm.
    pub rings: Vec<Vec<Vector>>,
    /// A normal that points outwards.
    pub normal: Vector,
}

/// A body with plane faces. Only faces that can be seen from the viewer's place are kept.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Solid {
    /// Faces turned towards the viewer.
    pub faces: Vec<Face>,
    /// Edges that are drawn where nothing hides them.
    pub edges: Vec<[Vector; 2]>,
}

impl Solid {
    /// A part in its place.
    pub fn of(place: &Place) -> Solid {
        place.voids.iter().find(|void| void.kind.is_slanting()).map_or_else(
            || {
                let voids: Vec<_> =
                    place.voids.iter().map(|void| (ring(&void.outline), void.z0.to_mm(), void.z1.to_mm())).collect();
                Solid::prism(&ring(&place.outline), place.z0.to_mm(), place.z1.to_mm(), &voids)
            },
            |void| {
                let bounds = place.outline.bounds();
                let (x0, x1) = (bounds.x0.to_mm(), bounds.x1.to_mm());
                let (y0, y1) = (bounds.y0.to_mm(), bounds.y1.to_mm());
                let (z0, z1) = (place.z0.to_mm(), place.z1.to_mm());
                let top = |x, y| place.top_at(x, y).to_mm();
                match void.kind {
                    VoidKind::SlopeAlong => {
                        let (low, high) = (top(bounds.x0, bounds.y0), top(bounds.x1, bounds.y0));
                        let profile = [[x0, z0], [x1, z0], [x1, high], [x0, low]];
                        let corner = |y: f64| profile.iter().map(|p| [p[0], y, p[1]]).collect::<Vec<_>>();
                        Solid::loft(corner(y1), corner(y0))
                    }
                    VoidKind::SlopeAcross => {
                        let (low, high) = (top(bounds.x0, bounds.y0), top(bounds.x0, bounds.y1));
                        Solid::along_feed(&[[y0, z0], [y1, z0], [y1, high], [y0, low]], x0, x1)
                    }
                    _ => {
                        let cut = void.outline.bounds();
                        let (t0, t1) = if cut.y1 >= bounds.y1 { (y0, cut.y0.to_mm()) } else { (cut.y1.to_mm(), y1) };
                        Solid::along_feed(&[[y0, z0], [y1, z0], [t1, z1], [t0, z1]], x0, x1)
                    }
                }
            },
        )
    }

    /// A prism on an outline.
    pub fn plain(outline: &Outline, z0: f64, z1: f64) -> Solid {
        Solid::prism(&ring(outline), z0, z1, &[])
    }

    /// A section of corners `[y, z]`, counter-clockwise seen from the trail end, drawn out along the feed.
    pub fn along_feed(section: &[Flat], x0: f64, x1: f64) -> Solid {
        let at = |x: f64| section.iter().map(|p| [x, p[0], p[1]]).collect::<Vec<_>>();
        Solid::loft(at(x0), at(x1))
    }

    /// The body between two rings of as many corners, the second counter-clockwise seen from outside.
    /// Corners that belong together must lie so that the sides are plane.
    pub fn loft(from: Vec<Vector>, to: Vec<Vector>) -> Solid {
        let count = from.len().min(to.len());
        let next = |place: usize| (place + 1) % count.max(1);
        let corner = |ring: &[Vector], place: usize| ring.get(place).copied().unwrap_or_default();
        let sides: Vec<Face> = (0..count)
            .map(|place| {
                let (a, b) = (corner(&from, place), corner(&from, next(place)));
                let (c, d) = (corner(&to, next(place)), corner(&to, place));
                Face { normal: cross(minus(c, a), minus(d, b)), rings: vec![vec![a, b, c, d]] }
            })
            .collect();
        let mut edges = Vec::new();
        for place in 0..count {
            edges.push([corner(&from, place), corner(&from, next(place))]);
            edges.push([corner(&to, place), corner(&to, next(place))]);
            let before = (place + count - 1) % count;
            if let (Some(one), Some(two)) = (sides.get(before), sides.get(place))
                && is_edge(one.normal, two.normal)
            {
                edges.push([corner(&from, place), corner(&to, place)]);
            }
        }
        let end = |ring: Vec<Vector>| Face { normal: normal_of(&ring), rings: vec![ring] };
        let mut reversed = from;
        reversed.reverse();
        let faces = sides.into_iter().chain([end(to), end(reversed)]).filter(|face| faces_viewer(face.normal));
        Solid { faces: faces.collect(), edges }
    }

    /// A prism less upright voids, each with its ring, its bottom and its top.
    fn prism(outline: &Ring, z0: f64, z1: f64, voids: &[(Ring, f64, f64)]) -> Solid {
        let mut levels: Vec<f64> = voids.iter().flat_map(|void| [void.1, void.2]).chain([z0, z1]).collect();
        levels.retain(|z| (z0..=z1).contains(z));
        levels.sort_by(f64::total_cmp);
        levels.dedup_by(|later, kept| *later - *kept < SAME);
        let within = |low: f64, high: f64| -> Vec<Ring> {
            let middle = (low + high) / 2.0;
            let active = voids.iter().filter(|void| void.1 < middle && middle < void.2);
            active.map(|void| void.0.clone()).collect()
        };
        let slabs: Vec<(f64, f64, Vec<Ring>)> = levels
            .windows(2)
            .filter_map(|pair| Some((*pair.first()?, *pair.get(1)?)))
            .map(|(low, high)| (low, high, within(low, high)))
            .collect();
        let mut solid = Solid::default();
        let mut uprights: Vec<(Flat, f64, f64)> = Vec::new();
        for (low, high, cut) in &slabs {
            for contour in overlay(std::slice::from_ref(outline), cut, OverlayRule::Difference).iter().flatten() {
                solid.walls(contour, *low, *high, &mut uprights);
            }
        }
        solid.edges.extend(uprights.iter().map(|(p, low, high)| [[p[0], p[1], *low], [p[0], p[1], *high]]));
        // What is wood below a level and air above it is seen from above; the other way round it only has edges.
        let whole = vec![outline.clone()];
        let level = |solid: &mut Solid, z: f64, wood: &[Ring], air: &[Ring], seen: bool| {
            for shape in overlay(wood, air, OverlayRule::Difference) {
                let rings: Vec<Vec<Vector>> =
                    shape.iter().map(|ring| ring.iter().map(|p| [p[0], p[1], z]).collect()).collect();
                for ring in &rings {
                    let next = ring.iter().cycle().skip(1);
                    solid.edges.extend(ring.iter().zip(next).map(|(a, b)| [*a, *b]));
                }
                if seen {
                    solid.faces.push(Face { rings, normal: [0.0, 0.0, 1.0] });
                }
            }
        };
        for (place, (low, _, cut)) in slabs.iter().enumerate() {
            match place.checked_sub(1).and_then(|below| slabs.get(below)) {
                None => level(&mut solid, *low, &whole, cut, false),
                Some((_, _, below)) => {
                    for (wood, air, seen) in [(cut, below, true), (below, cut, false)] {
                        let inside: Vec<Ring> =
                            overlay(&whole, wood, OverlayRule::Intersect).into_iter().flatten().collect();
                        level(&mut solid, *low, &inside, air, seen);
                    }
                }
            }
        }
        if let Some((_, high, cut)) = slabs.last() {
            level(&mut solid, *high, &whole, cut, true);
        }
        solid
    }

    /// The walls on a contour with the wood on its left, and the upright edges between them.
    fn walls(&mut self, contour: &Ring, low: f64, high: f64, uprights: &mut Vec<(Flat, f64, f64)>) {
        let next = contour.iter().cycle().skip(1);
        let normals: Vec<Vector> =
            contour.iter().zip(next.clone()).map(|(a, b)| [b[1] - a[1], a[0] - b[0], 0.0]).collect();
        for ((a, b), normal) in contour.iter().zip(next).zip(&normals) {
            if faces_viewer(*normal) {
                let corners = vec![[a[0], a[1], low], [b[0], b[1], low], [b[0], b[1], high], [a[0], a[1], high]];
                self.faces.push(Face { rings: vec![corners], normal: *normal });
            }
        }
        let before = normals.iter().cycle().skip(normals.len().saturating_sub(1));
        for ((p, one), two) in contour.iter().zip(before).zip(&normals) {
            if !is_edge(*one, *two) {
                continue;
            }
            // An edge that goes on from the slab below is one edge.
            let same = |other: &&mut (Flat, f64, f64)| {
                (other.0[0] - p[0]).abs() < 1e-4 && (other.0[1] - p[1]).abs() < 1e-4 && (other.2 - low).abs() < SAME
            };
            match uprights.iter_mut().find(same) {
                Some(edge) => edge.2 = high,
                None => uprights.push((*p, low, high)),
            }
        }
    }

    /// The same set off.
    pub fn moved(mut self, by: Vector) -> Solid {
        let shift = |p: &mut Vector| p.iter_mut().zip(by).for_each(|(value, by)| *value += by);
        self.faces.iter_mut().flat_map(|face| &mut face.rings).flatten().for_each(shift);
        self.edges.iter_mut().flatten().for_each(shift);
        self
    }
}

/// Whether a line is drawn where faces with these normals meet: at a corner, and where a bent face turns
/// out of sight.
fn is_edge(one: Vector, two: Vector) -> bool {
    let dot = |a: Vector, b: Vector| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let lengths = (dot(one, one) * dot(two, two)).sqrt();
    faces_viewer(one) != faces_viewer(two) || dot(one, two) < SMOOTH * lengths
}

fn faces_viewer(normal: Vector) -> bool {
    let size = normal.iter().fold(0.0_f64, |size, part| size.max(part.abs()));
    towards_viewer(normal) > 1e-9 * size
}

/// Normal of a plane ring (Newell's sum).
fn normal_of(ring: &[Vector]) -> Vector {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).fold([0.0; 3], |sum, (a, b)| {
        let turn = cross(*a, *b);
        [sum[0] + turn[0], sum[1] + turn[1], sum[2] + turn[2]]
    })
}

/// The outline as a ring of corners, counter-clockwise.
fn ring(outline: &Outline) -> Ring {
    let ring: Ring = match outline {
        Outline::Rect(rect) => rect.corners().iter().map(|p| to_mm(*p).into()).collect(),
        Outline::Polygon(points) => points.iter().map(|p| to_mm(*p).into()).collect(),
        Outline::Path(path) => path.flattened(CHORD_ERROR).into_iter().map(Flat::from).collect(),
        Outline::Disc { centre, diameter } => {
            let (x, y) = to_mm(*centre);
            let radius = diameter.to_mm() / 2.0;
            let turns = (0..CHORDS).map(|step| f64::from(step) / f64::from(CHORDS) * std::f64::consts::TAU);
            turns.map(|turn| [x + radius * libm::cos(turn), y + radius * libm::sin(turn)]).collect()
        }
    };
    if area(&ring) < 0.0 { ring.into_iter().rev().collect() } else { ring }
}

fn area(ring: &[Flat]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>() / 2.0
}

/// Shapes of rings, the outer one counter-clockwise, holes clockwise; slivers left out.
fn overlay(one: &[Ring], other: &[Ring], rule: OverlayRule) -> Vec<Vec<Ring>> {
    let shapes = match (one, other) {
        ([], _) => return Vec::new(),
        (_, []) if rule == OverlayRule::Intersect => return Vec::new(),
        ([only], []) => return vec![vec![only.clone()]],
        _ => one.to_vec().overlay(&other.to_vec(), rule, FillRule::NonZero),
    };
    let turned = |(place, mut ring): (usize, Ring)| {
        if (area(&ring) > 0.0) != (place == 0) {
            ring.reverse();
        }
        ring
    };
    let kept = shapes.into_iter().filter(|shape| shape.first().is_some_and(|ring| area(ring).abs() > SLIVER));
    kept.map(|shape| shape.into_iter().filter(|ring| area(ring).abs() > SLIVER).enumerate().map(turned).collect())
        .collect()
}

/// Where a corner lies on the paper at true size.
pub fn seen(face: &Face) -> Vec<Vec<Spot>> {
    face.rings.iter().map(|ring| ring.iter().map(|corner| super::project::project(*corner)).collect()).collect()
}
