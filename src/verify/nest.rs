//! Nests: what a wall of any outline keeps clear, what the cutter that makes it reaches, and what is
//! left standing. Asked of the finished outlines, point by point.

use super::*;
use crate::design::{Void, VoidKind};
use crate::geometry::path::{Mm, Path, to_mm};
use crate::request::Drawn;
use Relation::AtLeast;

/// Points are taken this close to a curve, mm.
const FINE: f64 = 0.005;
/// Roundings of paths that are no error, mm: a quarter of a thousandth of an inch.
const SLIP: f64 = 0.006;
/// Least width of wood between two sides of a nest.
const NECK: Length = Length::inches(1, 4);
/// Least width of a gap for a finger.
const FINGER: Length = Length::inches(3, 4);
/// The longest stretch of an outline between two points looked at, mm.
const STRIDE: f64 = 2.0;

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let Shape::Outline(drawn) = &case.request.blank.shape else { return };
    let Outline::Path(blank) = &case.design.blank.outline else { return };
    same_outline(case, drawn, blank, checks);
    let Some(Outline::Path(nest)) = case.pocket.map(|pocket| &pocket.outline) else { return };
    let around = points(blank);
    let wall = points(nest);
    clearance(case, drawn, (blank, &around), (nest, &wall), checks);
    corners(case, drawn, &around, nest, checks);
    necks(case, &wall, checks);
    finger_gaps(case, checks);
}

/// A point of an outline and the direction out of it.
#[derive(Clone, Copy)]
struct OnEdge {
    at: Mm,
    out: Mm,
}

/// Points all round a path, its vertices among them, each with the outward normal. A vertex stands
/// for the edges on both of its sides.
fn points(path: &Path) -> Vec<OnEdge> {
    let mut found = Vec::new();
    for edge in path.edges() {
        let (start, end) = edge.directions();
        let mut ring = edge.flattened(FINE);
        ring.push(edge.to);
        let pieces = ring.len() - 1;
        for (index, (a, b)) in ring.iter().zip(ring.iter().skip(1)).enumerate() {
            let chord = libm::hypot(b.0 - a.0, b.1 - a.1);
            let parts = if edge.arc.is_some() { 1 } else { libm::ceil(chord / STRIDE).clamp(1.0, 10_000.0) as u32 };
            for part in 0..=parts {
                let share = f64::from(part) / f64::from(parts);
                let along = start + (end - start) * (index as f64 + share) / pieces as f64;
                let at = (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
                // Counter-clockwise, the outside is on the right.
                found.push(OnEdge { at, out: (libm::sin(along), -libm::cos(along)) });
            }
        }
    }
    found
}

/// The blank placed is the one measured: every vertex of either lies on the other.
fn same_outline(case: &Case, drawn: &Drawn, blank: &Path, checks: &mut Vec<Check>) {
    let measured = drawn.path.moved_to(case.blank.x0, case.blank.y0);
    let off = |a: &Path, b: &Path| {
        let places = a.vertices().iter().flat_map(|vertex| [Some(vertex.point), vertex.via]);
        places.flatten().map(|point| b.distance(to_mm(point))).fold(0.0, f64::max)
    };
    let apart = off(&measured, blank).max(off(blank, &measured));
    numbers(checks, Rule::InputsAgree, "outline as placed", apart, Relation::AtMost, SLIP, "mm");
}

/// Least distance between the blank and the wall, with all of the blank inside.
fn clearance(
    case: &Case,
    drawn: &Drawn,
    (blank, around): (&Path, &[OnEdge]),
    (nest, wall): (&Path, &[OnEdge]),
    checks: &mut Vec<Check>,
) {
    let shop = &case.request.shop;
    let growth = case.along.growth.max(case.across.growth).half();
    let wanted = (drawn.error + shop.clearance.max(shop.tolerance) + growth).to_mm();
    let outward = around.iter().map(|p| if nest.contains(p.at) { nest.distance(p.at) } else { -nest.distance(p.at) });
    let inward = wall.iter().map(|p| blank.distance(p.at));
    let least = outward.chain(inward).fold(f64::INFINITY, f64::min);
    numbers(checks, Rule::NestClearance, "blank to wall", least + SLIP, AtLeast, wanted, "mm");
}

/// Whether the cutter gets at every place the largest blank may fill. A place is reached when a cutter
/// over it can stand somewhere clear of the wall, or when a relief takes it away.
fn corners(case: &Case, drawn: &Drawn, around: &[OnEdge], nest: &Path, checks: &mut Vec<Check>) {
    let Some((pocket, cutter)) = case.routed() else { return };
    let radius = cutter.half_up().to_mm();
    let growth = case.along.growth.max(case.across.growth).half();
    let error = (drawn.error + growth).to_mm();
    let voids = || case.design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let deep = |void: &&Void| void.z0 <= pocket.z0 && void.z1 >= pocket.z1;
    let cut: Vec<&Void> =
        voids().filter(|void| matches!(void.kind, VoidKind::Relief | VoidKind::FingerGap)).filter(deep).collect();
    let taken = |p: Mm| {
        cut.iter().any(|void| match &void.outline {
            Outline::Path(path) => path.contains(p) || path.distance(p) <= 2.0 * FINE,
            Outline::Disc { centre, diameter } => {
                let centre = to_mm(*centre);
                libm::hypot(p.0 - centre.0, p.1 - centre.1) <= diameter.to_mm() / 2.0
            }
            other => solid::inside(other, crate::geometry::path::from_mm(p)),
        })
    };
    // How far the cutter's centre stands off the wall when its rim is at the place, seen from there at
    // an angle; the cutter is clear where that is its radius.
    let clear = |p: Mm, angle: f64| {
        let centre = (p.0 + radius * libm::cos(angle), p.1 + radius * libm::sin(angle));
        if nest.contains(centre) { nest.distance(centre) } else { -nest.distance(centre) }
    };
    let enough = radius - 2.0 * FINE;
    let reached = |p: Mm, out: Mm| {
        // First straight inward, then to both sides, then ever closer about the best.
        let inward = libm::atan2(-out.1, -out.0);
        let mut best = (clear(p, inward), inward);
        let look = |angle: f64, best: &mut (f64, f64)| {
            let found = clear(p, angle);
            if found > best.0 {
                *best = (found, angle);
            }
            best.0 >= enough
        };
        if best.0 >= enough {
            return true;
        }
        for step in 1..=16 {
            for angle in [inward + f64::from(step) * 0.09, inward - f64::from(step) * 0.09] {
                if look(angle, &mut best) {
                    return true;
                }
            }
        }
        let mut stride = 0.045;
        for _ in 0..14 {
            for angle in [best.1 + stride, best.1 - stride] {
                if look(angle, &mut best) {
                    return true;
                }
            }
            stride /= 2.0;
        }
        false
    };
    let missed = around.iter().filter(|p| {
        let place = (p.at.0 + error * p.out.0, p.at.1 + error * p.out.1);
        !taken(place) && !reached(place, p.out)
    });
    none_of(checks, Rule::NestCorners, "places of the blank the cutter leaves wood in", missed.count());
}

/// Least wood between two sides of the nest, straight out from the wall.
fn necks(case: &Case, wall: &[OnEdge], checks: &mut Vec<Check>) {
    let ring: Vec<Mm> = wall.iter().map(|p| p.at).collect();
    let reach = NECK.to_mm() * 2.0;
    let mut least = reach;
    for p in wall {
        // Begun a hair out, so that the wall itself is not met.
        let from = (p.at.0 + p.out.0 * 0.05, p.at.1 + p.out.1 * 0.05);
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            if (a.0.min(b.0) - from.0).max(from.0 - a.0.max(b.0)) > least
                || (a.1.min(b.1) - from.1).max(from.1 - a.1.max(b.1)) > least
            {
                continue;
            }
            let (ex, ey) = (b.0 - a.0, b.1 - a.1);
            let across = p.out.0 * ey - p.out.1 * ex;
            if across.abs() < 1e-12 {
                continue;
            }
            let (wx, wy) = (a.0 - from.0, a.1 - from.1);
            let ahead = (wx * ey - wy * ex) / across;
            let part = (wx * p.out.1 - wy * p.out.0) / across;
            if ahead > 0.0 && (0.0..=1.0).contains(&part) {
                least = least.min(ahead + 0.05);
            }
        }
    }
    // The chords of two curves may each be out by their error.
    let neck = Length::from_mm(least + 0.02).unwrap_or_default();
    lengths(checks, Rule::NestNecks, "wood between sides of the nest", neck.min(case.plan.width()), AtLeast, NECK);
}

/// Gaps wide enough for a finger, half in and half out of the nest.
fn finger_gaps(case: &Case, checks: &mut Vec<Check>) {
    let voids = case.solids.0.iter().flat_map(|solid| &solid.voids);
    let wide = |void: &&Void| {
        let bounds = void.outline.bounds();
        void.kind == VoidKind::FingerGap && bounds.length().min(bounds.width()) >= FINGER
    };
    let found = voids.filter(wide).count() as f64;
    numbers(checks, Rule::FingerGaps, "finger gaps", found, AtLeast, 2.0, "");
}
