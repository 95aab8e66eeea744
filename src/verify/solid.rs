//! Geometric questions about the finished solids.
//!
//! Upright rectangles are handled exactly, in ticks, by cutting the plan at every edge there is.
//! Discs and slanted edges are met by sections at exact places, the section's ends rounded to the
//! nearest tick (1/5760 um); between breakpoints such outlines are cut into [`FINE`] strips. A disc
//! also breaks at its centre and a polygon at its corners, so the narrowest place is always a section.

use crate::design::{Part, Role, Void, VoidKind};
use crate::geometry::path::from_mm;
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;

/// Strips between two breakpoints where an outline is round or slanted.
const FINE: i64 = 16;
/// Cells between two breakpoints where an outline is round or slanted: cells are only asked what lies
/// there, never how wide it is.
const COARSE: i64 = 4;

/// Overlaps shallower than this are contact, not interference: the roundings of slanted edges stay far below.
pub(super) const CONTACT: Length = Length::micrometres(2);

/// Chords that stand for a path of arcs lie this close to it, mm. What a nest keeps clear is asked of
/// the path itself, elsewhere.
const CHORD_ERROR: f64 = 0.005;

/// A polygon with more corners than this is a curve: it is cut where it turns back, not at each corner.
const CURVED: usize = 12;
/// Most breaks a curve adds along one axis.
const MOST_TURNS: usize = 48;

/// The outline with a path of arcs put into chords.
pub(super) fn in_chords(outline: &Outline) -> Outline {
    match outline {
        Outline::Path(path) => Outline::Polygon(path.flattened(CHORD_ERROR).into_iter().map(from_mm).collect()),
        other => other.clone(),
    }
}

/// A stretch from .. to, with from < to.
pub(super) type Span = (Length, Length);

/// One part in its place.
#[derive(Debug, Clone)]
pub(super) struct Solid {
    pub role: Role,
    pub outline: Outline,
    pub z0: Length,
    pub z1: Length,
    pub voids: Vec<Void>,
    /// Boxes round the voids, in their order: of very many, few are met by a section.
    boxes: Vec<Rect>,
}

impl Solid {
    /// The voids that a section at `x` can meet.
    pub fn voids_at(&self, x: Length) -> impl Iterator<Item = &Void> {
        let met = move |bounds: &Rect| bounds.x0 <= x && x <= bounds.x1;
        self.voids.iter().zip(&self.boxes).filter(move |(_, bounds)| met(bounds)).map(|(void, _)| void)
    }
}

/// All parts of a carrier in their places.
#[derive(Debug, Clone, Default)]
pub(super) struct Solids(pub Vec<Solid>);

/// What the blank lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Floor {
    /// Height of its highest place.
    pub level: Length,
    /// Least thickness of solid under the blank; zero where there are openings.
    pub thickness: Length,
}

impl Solids {
    /// The parts in their places. Shims lie under a blank that is not flat, not beside it: what they
    /// have to do is asked for them alone.
    pub fn of(parts: &[Part]) -> Solids {
        let body = parts.iter().filter(|part| !matches!(part.role, Role::Shim | Role::WedgeShim));
        let solid = |role: Role, place: &crate::design::Place| {
            let in_chords_too = |void: &Void| Void { outline: in_chords(&void.outline), ..void.clone() };
            let voids: Vec<Void> = place.voids.iter().map(in_chords_too).collect();
            let boxes = voids.iter().map(|void| void.outline.bounds()).collect();
            Solid { role, outline: in_chords(&place.outline), z0: place.z0, z1: place.z1, voids, boxes }
        };
        Solids(body.flat_map(|part| part.places.iter().map(move |place| solid(part.role, place))).collect())
    }

    /// Without the strips and risers of a cradle.
    pub fn upright(mut self) -> Solids {
        self.0.retain(|solid| !matches!(solid.role, Role::CradleStrip | Role::CradleRiser));
        self
    }

    /// The same solids with x and y exchanged, so that questions across can be asked along.
    pub fn transposed(&self) -> Solids {
        let turn_void = |void: &Void| Void { outline: transposed(&void.outline), ..void.clone() };
        let turn = |solid: &Solid| Solid {
            outline: transposed(&solid.outline),
            voids: solid.voids.iter().map(turn_void).collect(),
            boxes: solid.boxes.iter().copied().map(transposed_rect).collect(),
            ..solid.clone()
        };
        Solids(self.0.iter().map(turn).collect())
    }

    /// Smallest upright box round the parts: its plan, lowest and highest point.
    pub fn extent(&self) -> Option<(Rect, Length, Length)> {
        self.0.iter().map(|solid| (solid.outline.bounds(), solid.z0, solid.z1)).reduce(|(a, a0, a1), (b, b0, b1)| {
            let plan = Rect::new(a.x0.min(b.x0), a.y0.min(b.y0), a.x1.max(b.x1), a.y1.max(b.y1));
            (plan, a0.min(b0), a1.max(b1))
        })
    }

    /// Every outline of parts and voids.
    pub fn outlines(&self) -> impl Iterator<Item = &Outline> {
        self.0
            .iter()
            .flat_map(|solid| std::iter::once(&solid.outline).chain(solid.voids.iter().map(|void| &void.outline)))
    }

    /// Where there is wood at height `z` in the section at `x`, kinds of void in `ignore` filled.
    pub fn section(&self, x: Length, z: Length, ignore: &[VoidKind]) -> Vec<Span> {
        let spans = self.0.iter().filter(|solid| solid.z0 <= z && z < solid.z1).flat_map(|solid| {
            let cut = solid.voids_at(x).filter(|void| void.z0 <= z && z < void.z1 && !ignore.contains(&void.kind));
            minus(spans_at(&solid.outline, x), cut.flat_map(|void| spans_at(&void.outline, x)).collect())
        });
        union(spans.collect())
    }

    /// Where the section at `x` has a surface open to above at `level` or higher.
    pub fn surface(&self, x: Length, level: Length) -> Vec<Span> {
        let spans = self.0.iter().filter(|solid| solid.z1 >= level).flat_map(|solid| {
            let cut = solid.voids_at(x).filter(|void| void.z1 >= solid.z1 && void.z0 < level);
            minus(spans_at(&solid.outline, x), cut.flat_map(|void| spans_at(&void.outline, x)).collect())
        });
        union(spans.collect())
    }

    /// Heights between which there is wood above and below a place in plan, kinds of void in `ignore` filled.
    pub fn column(&self, at: Point, ignore: &[VoidKind]) -> Vec<Span> {
        let spans = self.0.iter().filter(|solid| inside(&solid.outline, at)).flat_map(|solid| {
            let cut = solid.voids_at(at.x).filter(|void| !ignore.contains(&void.kind) && inside(&void.outline, at));
            minus(vec![(solid.z0, solid.z1)], cut.map(|void| (void.z0, void.z1)).collect())
        });
        union(spans.collect())
    }

    /// The floor under a blank of this outline lying at `underside`; `None` where nothing is under it.
    pub fn floor(&self, blank: &Outline, underside: Length) -> Option<Floor> {
        let mut floor: Option<Floor> = None;
        let mut open = false;
        for at in cell_centres(self.outlines().chain([blank]), blank.bounds()) {
            if !inside(blank, at) {
                continue;
            }
            let column = self.column(at, &[VoidKind::PushOut, VoidKind::ScrewHole, VoidKind::Countersink]);
            if column.iter().any(|&(bottom, top)| bottom <= underside && underside < top) {
                // Wood beside the underside is no floor: whether the blank may reach there is asked elsewhere.
                continue;
            }
            match column.into_iter().rfind(|&(_, top)| top <= underside) {
                None => open = true,
                Some((bottom, top)) => {
                    let here = Floor { level: top, thickness: top - bottom };
                    let so_far = floor.unwrap_or(here);
                    floor = Some(Floor {
                        level: so_far.level.max(here.level),
                        thickness: so_far.thickness.min(here.thickness),
                    });
                }
            }
        }
        floor.map(|floor| if open { Floor { thickness: Length::ZERO, ..floor } } else { floor })
    }

    /// Narrowest run of wood from the near edge and to the far edge of `plan` (across), over the
    /// sections between `from` and `to` at height `z`. Corner relief is looked at elsewhere.
    pub fn walls(&self, plan: Rect, from: Length, to: Length, z: Length) -> (Length, Length) {
        let mut least = (plan.width(), plan.width());
        for strip in strips(self.outlines(), from, to) {
            for x in strip.places() {
                let wood = self.section(
                    x,
                    z,
                    &[VoidKind::Relief, VoidKind::FingerGap, VoidKind::ClippedCorner, VoidKind::KeeperNotch],
                );
                let near = wood.first().filter(|span| span.0 <= plan.y0).map_or(Length::ZERO, |span| span.1 - plan.y0);
                // The far edge may run at a slant: whatever ends beyond the middle is the far wall.
                let middle = (plan.y0 + plan.y1).half();
                let far = wood.last().filter(|span| span.1 > middle).map_or(Length::ZERO, |span| span.1 - span.0);
                least = (least.0.min(near), least.1.min(far));
            }
        }
        least
    }

    /// Volume of a part's wood in cubic millimetres.
    pub fn volume_mm3(solid: &Solid) -> f64 {
        // Of a bevel's box the half above the slope is gone.
        let bevels = || solid.voids.iter().filter(|void| void.kind == VoidKind::Bevel);
        let gone: f64 = bevels().map(|v| v.outline.area_mm2() * (v.z1 - v.z0).to_mm() / 2.0).sum();
        let upright = || solid.voids.iter().filter(|void| void.kind != VoidKind::Bevel);
        let mut heights = vec![solid.z0, solid.z1];
        heights.extend(upright().flat_map(|void| [void.z0, void.z1]));
        heights.retain(|z| (solid.z0..=solid.z1).contains(z));
        heights.sort_unstable();
        heights.dedup();
        let bounds = solid.outline.bounds();
        let slabs = heights.iter().zip(heights.iter().skip(1));
        let filled: f64 = slabs
            .map(|(&low, &high)| {
                let cuts: Vec<(Rect, &Outline)> = upright()
                    .filter(|v| v.z0 <= low && v.z1 >= high)
                    .map(|v| (v.outline.bounds(), &v.outline))
                    .collect();
                let outlines = std::iter::once(&solid.outline).chain(cuts.iter().map(|(_, outline)| *outline));
                let area: f64 = strips(outlines, bounds.x0, bounds.x1)
                    .iter()
                    .map(|strip| {
                        let x = strip.middle();
                        let met = cuts.iter().filter(|(bounds, _)| bounds.x0 <= x && x <= bounds.x1);
                        let cut = met.flat_map(|(_, outline)| spans_at(outline, x)).collect();
                        let wood: Length = minus(spans_at(&solid.outline, x), cut).iter().map(|s| s.1 - s.0).sum();
                        wood.to_mm() * (strip.to - strip.from).to_mm()
                    })
                    .sum();
                area * (high - low).to_mm()
            })
            .sum();
        filled - gone
    }
}

/// A stretch of x within which nothing changes but slanted or round outlines.
#[derive(Debug, Clone, Copy)]
pub(super) struct Strip {
    pub from: Length,
    pub to: Length,
}

impl Strip {
    pub fn middle(&self) -> Length {
        (self.from + self.to).half()
    }

    /// Places at which the strip is looked at: just inside both ends, and the middle.
    pub fn places(&self) -> [Length; 3] {
        let tick = Length::from_ticks(1);
        [self.from + tick, self.middle(), self.to - tick]
    }
}

/// The strips between `from` and `to`.
pub(super) fn strips<'a>(outlines: impl Iterator<Item = &'a Outline>, from: Length, to: Length) -> Vec<Strip> {
    cut(outlines, from, to, FINE)
}

fn cut<'a>(outlines: impl Iterator<Item = &'a Outline>, from: Length, to: Length, bends: i64) -> Vec<Strip> {
    let mut breaks = vec![from, to];
    let mut bent: Vec<Span> = Vec::new();
    for outline in outlines {
        let bounds = outline.bounds();
        breaks.extend([bounds.x0, bounds.x1]);
        match outline {
            Outline::Rect(_) => {}
            Outline::Disc { centre, .. } => {
                breaks.push(centre.x);
                bent.push((bounds.x0, bounds.x1));
            }
            Outline::Polygon(points) if points.len() <= CURVED => {
                breaks.extend(points.iter().map(|point| point.x));
                bent.push((bounds.x0, bounds.x1));
            }
            Outline::Polygon(points) => {
                breaks.extend(turning_points(points));
                bent.push((bounds.x0, bounds.x1));
            }
            Outline::Path(_) => {
                if let Outline::Polygon(points) = in_chords(outline) {
                    breaks.extend(turning_points(&points));
                }
                bent.push((bounds.x0, bounds.x1));
            }
        }
    }
    breaks.retain(|x| (from..=to).contains(x));
    breaks.sort_unstable();
    breaks.dedup();
    let mut strips = Vec::new();
    for (&a, &b) in breaks.iter().zip(breaks.iter().skip(1)) {
        let pieces = if bent.iter().any(|span| span.0 < b && a < span.1) { bends } else { 1 };
        let edge = |piece: i64| a + Length::from_ticks((b - a).ticks() / pieces * piece);
        strips.extend(
            (0..pieces)
                .map(|piece| Strip { from: edge(piece), to: if piece + 1 == pieces { b } else { edge(piece + 1) } }),
        );
    }
    // A strip must have an inside to look at.
    strips.retain(|strip| (strip.to - strip.from).ticks() >= 4);
    strips
}

/// Where a curve turns back along either axis: its narrowest and widest places are among them. Of very
/// many every so manieth is taken, and the ends of the outline besides.
fn turning_points(points: &[Point]) -> Vec<Length> {
    let count = points.len();
    let turns = |index: &usize| {
        let (a, b, c) = (points[(index + count - 1) % count], points[*index], points[(index + 1) % count]);
        let back = |p: Length, q: Length, r: Length| (q >= p && q > r) || (q <= p && q < r);
        back(a.x, b.x, c.x) || back(a.y, b.y, c.y)
    };
    let found: Vec<Length> = (0..count).filter(turns).map(|index| points[index].x).collect();
    let every = found.len().div_ceil(MOST_TURNS).max(1);
    let extreme = |far: fn(&&Point, &&Point) -> std::cmp::Ordering| points.iter().max_by(far).map(|point| point.x);
    let low = extreme(|a, b| b.y.cmp(&a.y));
    let high = extreme(|a, b| a.y.cmp(&b.y));
    found.into_iter().step_by(every).chain(low).chain(high).collect()
}

/// Centres of the cells that all edges cut `area` into.
pub(super) fn cell_centres<'a>(outlines: impl Iterator<Item = &'a Outline>, area: Rect) -> Vec<Point> {
    let outlines: Vec<&Outline> = outlines.collect();
    let turned: Vec<Outline> = outlines.iter().map(|outline| transposed(outline)).collect();
    let xs: Vec<Length> = cut(outlines.into_iter(), area.x0, area.x1, COARSE).iter().map(Strip::middle).collect();
    let ys: Vec<Length> = cut(turned.iter(), area.y0, area.y1, COARSE).iter().map(Strip::middle).collect();
    xs.iter().flat_map(|&x| ys.iter().map(move |&y| Point::new(x, y))).collect()
}

/// Whether a point lies in an outline.
pub(super) fn inside(outline: &Outline, at: Point) -> bool {
    let wide = |length: Length| i128::from(length.ticks());
    match outline {
        Outline::Rect(r) => (r.x0..=r.x1).contains(&at.x) && (r.y0..=r.y1).contains(&at.y),
        Outline::Disc { centre, diameter } => {
            let (dx, dy) = (2 * wide(at.x - centre.x), 2 * wide(at.y - centre.y));
            dx * dx + dy * dy <= wide(*diameter) * wide(*diameter)
        }
        Outline::Polygon(points) => {
            let crossings = edges(points).filter(|(a, b)| {
                let rise = wide(b.y - a.y);
                let (left, right) = (wide(at.x - a.x) * rise, wide(b.x - a.x) * wide(at.y - a.y));
                (a.y > at.y) != (b.y > at.y) && if rise > 0 { left < right } else { left > right }
            });
            crossings.count() % 2 == 1
        }
        Outline::Path(_) => inside(&in_chords(outline), at),
    }
}

/// Whether a point lies in an outline and farther than [`CONTACT`] from its edge (looked at in four directions).
pub(super) fn deep_inside(outline: &Outline, at: Point) -> bool {
    [(1, 0), (-1, 0), (0, 1), (0, -1)]
        .iter()
        .all(|&(x, y)| inside(outline, Point::new(at.x + CONTACT * x, at.y + CONTACT * y)))
}

/// Points on the edge of an outline (moved inwards by [`CONTACT`]), its corners among them.
pub(super) fn edge_points(outline: &Outline) -> Vec<Point> {
    const ROUND: i32 = 720;
    match outline {
        Outline::Rect(rect) => rect.grown(-CONTACT).corners().to_vec(),
        Outline::Disc { centre, diameter } => {
            let radius = (diameter.half() - CONTACT).to_mm();
            let at = |step: i32| {
                let angle = std::f64::consts::TAU * f64::from(step) / f64::from(ROUND);
                let (x, y) = (radius * libm::cos(angle), radius * libm::sin(angle));
                Some(Point::new(centre.x + Length::from_mm(x)?, centre.y + Length::from_mm(y)?))
            };
            (0..ROUND).filter_map(at).collect()
        }
        Outline::Polygon(points) => {
            let centre = outline.bounds().centre();
            let inwards = |value: Length, middle: Length| {
                if value > middle { value - CONTACT } else { value + CONTACT }
            };
            let along = |(a, b): (Point, Point)| {
                (0..32).map(move |step| {
                    let part = |from: Length, to: Length| from + Length::from_ticks((to - from).ticks() / 32 * step);
                    Point::new(inwards(part(a.x, b.x), centre.x), inwards(part(a.y, b.y), centre.y))
                })
            };
            edges(points).flat_map(along).collect()
        }
        Outline::Path(_) => edge_points(&in_chords(outline)),
    }
}

/// Where the line at `x` runs inside an outline, from low to high y.
pub(super) fn spans_at(outline: &Outline, x: Length) -> Vec<Span> {
    match outline {
        Outline::Rect(r) if (r.x0..=r.x1).contains(&x) => vec![(r.y0, r.y1)],
        Outline::Rect(_) => Vec::new(),
        Outline::Disc { centre, diameter } => {
            let (across, radius) = ((x - centre.x).to_mm(), diameter.to_mm() / 2.0);
            let half = (radius * radius - across * across).max(0.0).sqrt();
            match Length::from_mm(half) {
                Some(half) if half > Length::ZERO => vec![(centre.y - half, centre.y + half)],
                _ => Vec::new(),
            }
        }
        Outline::Polygon(points) => {
            let crossing = |(a, b): (Point, Point)| {
                let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
                (a.x <= x && x < b.x).then(|| {
                    let (run, rise) = (i128::from((b.x - a.x).ticks()), i128::from((b.y - a.y).ticks()));
                    let nearest = (2 * rise * i128::from((x - a.x).ticks()) + run).div_euclid(2 * run);
                    a.y + Length::from_ticks(i64::try_from(nearest).unwrap_or(i64::MAX / 4))
                })
            };
            let mut ys: Vec<Length> = edges(points).filter_map(crossing).collect();
            ys.sort_unstable();
            ys.chunks_exact(2).filter_map(|pair| Some((*pair.first()?, *pair.last()?))).filter(|s| s.0 < s.1).collect()
        }
        Outline::Path(_) => spans_at(&in_chords(outline), x),
    }
}

/// The spans joined where they touch or overlap.
pub(super) fn union(mut spans: Vec<Span>) -> Vec<Span> {
    spans.sort_unstable();
    let mut joined: Vec<Span> = Vec::with_capacity(spans.len());
    for (from, to) in spans {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}

/// What is left of the spans when others are taken away.
pub(super) fn minus(spans: Vec<Span>, cut: Vec<Span>) -> Vec<Span> {
    let mut left = spans;
    for (from, to) in cut {
        left = left
            .into_iter()
            .flat_map(|(a, b)| [(a, b.min(from)), (a.max(to), b)])
            .filter(|span| span.0 < span.1)
            .collect();
    }
    left
}

/// The outline with x and y exchanged.
pub(super) fn transposed(outline: &Outline) -> Outline {
    let turn = |p: &Point| Point::new(p.y, p.x);
    match outline {
        Outline::Rect(r) => Outline::Rect(transposed_rect(*r)),
        Outline::Disc { centre, diameter } => Outline::Disc { centre: turn(centre), diameter: *diameter },
        // Reversed, so that it stays counter-clockwise.
        Outline::Polygon(points) => Outline::Polygon(points.iter().rev().map(turn).collect()),
        Outline::Path(path) => Outline::Path(path.transposed()),
    }
}

/// The rectangle with x and y exchanged.
pub(super) fn transposed_rect(r: Rect) -> Rect {
    Rect::new(r.y0, r.x0, r.y1, r.x1)
}

fn edges(points: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    points.iter().copied().zip(points.iter().copied().cycle().skip(1))
}
