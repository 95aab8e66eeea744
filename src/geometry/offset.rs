//! Outlines grown and shrunk, arcs staying arcs, and closed where a cutter cannot enter.
//!
//! Offsets of lines and arcs come from one library and are held against the area another makes of
//! fine chords; where they disagree, or the first gives no simple path, the second one's answer is
//! taken, put into lines and arcs again.

use cavalier_contours::polyline::{PlineSource, PlineSourceMut, Polyline};
use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

use super::fit::fit;
use super::path::{Mm, Path, Vertex, from_mm};

/// Chords for the comparison lie this close to their arcs, mm.
const CHORD_ERROR: f64 = 0.001;
/// Angle of one chord of a rounded corner in the comparison, radians.
const ROUND_STEP: f64 = 0.04;
/// Two offsets may differ by slivers this wide on average, mm.
const AGREE: f64 = 0.004;
/// What the answer of the second library may be simplified by, mm.
const REFIT: f64 = 0.001;
/// Vertices nearer together than this are one, mm.
const SAME: f64 = 1e-4;
/// Arcs no higher than this over their chord are lines, mm.
const FLAT: f64 = 1e-5;

/// Why an outline cannot be offset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OffsetFault {
    /// Nothing is left of it.
    Vanishes,
    /// It falls into this many pieces.
    Splits(usize),
    /// Neither library gives a simple path.
    Broken,
}

/// The outline moved outward by `by` mm (inward where negative) all round: outside corners become
/// arcs. Holes that arise when a path grows together are filled.
///
/// # Errors
/// When a shrunk outline vanishes or falls into pieces.
pub fn offset(path: &Path, by: f64) -> Result<Path, OffsetFault> {
    if by == 0.0 {
        return Ok(path.clone());
    }
    let rough = by_chords(path, by);
    let tidy = |area: f64| area > 0.5;
    if let Some(rings) = by_arcs(path, by)
        && rough.iter().filter(|ring| tidy(ring_area(ring))).count() == rings.len()
    {
        match rings.as_slice() {
            [] => return Err(OffsetFault::Vanishes),
            [only] if agree(&only.flattened(CHORD_ERROR), &rough) => return Ok(only.clone()),
            [_] => {}
            several => return Err(OffsetFault::Splits(several.len())),
        }
    }
    let kept: Vec<&Vec<Mm>> = rough.iter().filter(|ring| tidy(ring_area(ring))).collect();
    match kept.as_slice() {
        [] => Err(OffsetFault::Vanishes),
        [ring] => fit(ring, REFIT).map(|fitted| fitted.path).map_err(|_| OffsetFault::Broken),
        several => Err(OffsetFault::Splits(several.len())),
    }
}

/// The outline with every cove filled that a disc of `radius` mm cannot enter from outside.
///
/// # Errors
/// When neither step gives a simple path.
pub fn closed(path: &Path, radius: f64) -> Result<Path, OffsetFault> {
    offset(&offset(path, radius)?, -radius)
}

/// Whether two answers differ by no more than slivers along their edges: a lobe lost by one of them is
/// found however small it is beside the whole.
fn agree(ring: &[Mm], rough: &[Vec<Mm>]) -> bool {
    let doubles = |ring: &[Mm]| -> Vec<[f64; 2]> { ring.iter().map(|p| [p.0, p.1]).collect() };
    let other: Vec<Vec<[f64; 2]>> = rough.iter().map(|ring| doubles(ring)).collect();
    let between = vec![doubles(ring)].overlay(&other, OverlayRule::Xor, FillRule::NonZero);
    between.iter().all(|shape| {
        let area = |ring: &Vec<[f64; 2]>| ring_area(&ring.iter().map(|p| (p[0], p[1])).collect::<Vec<Mm>>());
        let round: f64 = shape.iter().map(|ring| length_of(ring)).sum();
        let holes: f64 = shape.iter().skip(1).map(area).sum();
        let solid = shape.first().map_or(0.0, area) - holes;
        solid <= round / 2.0 * AGREE + 1e-3
    })
}

fn length_of(ring: &[[f64; 2]]) -> f64 {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1])).sum()
}

/// Outer rings by the library that keeps arcs; `None` where it gives no simple path.
fn by_arcs(path: &Path, by: f64) -> Option<Vec<Path>> {
    let mut line = Polyline::new_closed();
    for edge in path.edges() {
        // An arc that leaves its chord by less than roundings is a line.
        let bent = edge.arc.filter(|arc| arc.radius * (1.0 - libm::cos(arc.sweep / 2.0)) > FLAT);
        let bulge = bent.map_or(0.0, |arc| libm::tan(arc.sweep / 4.0));
        line.add(edge.from.0, edge.from.1, bulge);
    }
    // To the library the right of a counter-clockwise path is the negative side.
    let mut rings = Vec::new();
    for found in line.parallel_offset(-by) {
        if found.area() <= 0.5 {
            continue;
        }
        let corners: Vec<(f64, f64, f64)> = found.iter_vertexes().map(|v| (v.x, v.y, v.bulge)).collect();
        let mut vertices: Vec<Vertex> = Vec::new();
        for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            if libm::hypot(dx, dy) < SAME {
                continue;
            }
            let via = (a.0 + dx / 2.0 + a.2 * dy / 2.0, a.1 + dy / 2.0 - a.2 * dx / 2.0);
            let bent = (a.2 * libm::hypot(dx, dy) / 2.0).abs() > FLAT;
            vertices.push(Vertex { point: from_mm((a.0, a.1)), via: bent.then(|| from_mm(via)) });
        }
        let path = Path::new(vertices).ok()?;
        rings.push(path);
    }
    Some(rings)
}

/// Outer rings by the library that works on chords.
fn by_chords(path: &Path, by: f64) -> Vec<Vec<Mm>> {
    let ring: Vec<[f64; 2]> = path.flattened(CHORD_ERROR).into_iter().map(|p| [p.0, p.1]).collect();
    let style = OutlineStyle::new(by).line_join(LineJoin::Round(ROUND_STEP));
    let shapes = ring.outline(&style);
    let outer = shapes.into_iter().filter_map(|shape| shape.into_iter().next());
    outer.map(|ring| apart(ring.into_iter().map(|p| (p[0], p[1])))).collect()
}

/// A ring without points that lie on the one before them: the step between two such has no direction
/// worth the name, and a normal taken there points anywhere.
fn apart(points: impl Iterator<Item = Mm>) -> Vec<Mm> {
    let same = |a: &Mm, b: &Mm| libm::hypot(b.0 - a.0, b.1 - a.1) < SAME;
    let mut ring: Vec<Mm> = Vec::new();
    for p in points {
        if ring.last().is_none_or(|last| !same(last, &p)) {
            ring.push(p);
        }
    }
    while ring.len() > 1 && ring.first().zip(ring.last()).is_some_and(|(first, last)| same(first, last)) {
        ring.pop();
    }
    ring
}

fn ring_area(ring: &[Mm]) -> f64 {
    let doubled: f64 = ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    doubled.abs() / 2.0
}
