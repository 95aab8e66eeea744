//! How close equal nests may stand: the true distance between neighbours, and the least pitch that keeps
//! it. Not the boxes but the outlines: a slanting nest reaches over the box of its neighbour.

use crate::geometry::contour::Contour;
use crate::geometry::path::{Mm, distance_to_line, in_ring};
use crate::geometry::{Outline, Point};
use crate::length::Length;
use crate::rules::Rule;

/// Chords that stand for arcs leave them by at most this, mm.
const CHORD: f64 = 0.0015;
/// Taken off every distance, mm: both outlines in chords, and as much again for who looks after us.
const SLACK: f64 = 3.0 * CHORD;
/// Chords looked at together.
const RUN: usize = 16;

/// A box in mm: least and greatest.
#[derive(Debug, Clone, Copy)]
struct Box2 {
    least: Mm,
    most: Mm,
}

impl Box2 {
    fn round(points: &[Mm]) -> Box2 {
        let start = Box2 { least: (f64::INFINITY, f64::INFINITY), most: (f64::NEG_INFINITY, f64::NEG_INFINITY) };
        points.iter().fold(start, |all, p| Box2 {
            least: (all.least.0.min(p.0), all.least.1.min(p.1)),
            most: (all.most.0.max(p.0), all.most.1.max(p.1)),
        })
    }

    fn moved(self, by: Mm) -> Box2 {
        let to = |p: Mm| (p.0 + by.0, p.1 + by.1);
        Box2 { least: to(self.least), most: to(self.most) }
    }

    fn apart(self, other: Box2) -> f64 {
        let x = (self.least.0 - other.most.0).max(other.least.0 - self.most.0).max(0.0);
        let y = (self.least.1 - other.most.1).max(other.least.1 - self.most.1).max(0.0);
        libm::hypot(x, y)
    }
}

/// An outline in chords, sorted into runs for the search.
struct Ring {
    points: Vec<Mm>,
    all: Box2,
    runs: Vec<(Box2, Vec<(Mm, Mm)>)>,
}

impl Ring {
    fn of(outline: &Outline) -> Ring {
        let points: Vec<Mm> = Contour::of(outline).flat(CHORD).into_iter().map(|spot| (spot.x, spot.y)).collect();
        let chords: Vec<(Mm, Mm)> = points.iter().copied().zip(points.iter().copied().cycle().skip(1)).collect();
        let runs = chords.chunks(RUN).map(|run| {
            let ends: Vec<Mm> = run.iter().flat_map(|(a, b)| [*a, *b]).collect();
            (Box2::round(&ends), run.to_vec())
        });
        Ring { all: Box2::round(&points), runs: runs.collect(), points }
    }

    /// Distance from another, moved, as far as it is less than `limit`; nothing where they overlap.
    fn apart(&self, other: &Ring, by: Mm, limit: f64) -> f64 {
        if self.all.apart(other.all.moved(by)) >= limit {
            return limit;
        }
        let within = |ring: &Ring, p: Option<&Mm>, by: Mm| {
            p.is_some_and(|p| in_ring(&ring.points, (p.0 + by.0, p.1 + by.1)))
        };
        if within(self, other.points.first(), by) || within(other, self.points.first(), (-by.0, -by.1)) {
            return 0.0;
        }
        let mut least = limit;
        for (mine, chords) in &self.runs {
            for (theirs, others) in &other.runs {
                if mine.apart(theirs.moved(by)) >= least {
                    continue;
                }
                for (a, b) in chords {
                    for (c, d) in others {
                        let (c, d) = ((c.0 + by.0, c.1 + by.1), (d.0 + by.0, d.1 + by.1));
                        least = least.min(chords_apart((*a, *b), (c, d)));
                    }
                }
                if least <= 0.0 {
                    return 0.0;
                }
            }
        }
        least
    }
}

/// Distance between two straight stretches, nothing where they cross.
fn chords_apart((a, b): (Mm, Mm), (c, d): (Mm, Mm)) -> f64 {
    let side = |p: Mm, q: Mm, r: Mm| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    if side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0 {
        return 0.0;
    }
    let ends = [distance_to_line(a, c, d), distance_to_line(b, c, d), distance_to_line(c, a, b), distance_to_line(d, a, b)];
    ends.into_iter().fold(f64::INFINITY, f64::min)
}

/// A nest with what is cut beyond it, and what must be left between it and the next.
pub struct Spacing {
    nest: Ring,
    cuts: Vec<Ring>,
    web: f64,
    left: f64,
}

impl Spacing {
    /// `cuts` are its reliefs and finger gaps; `web` is kept between nests, `left` between their cuts.
    pub fn of(nest: &Outline, cuts: &[Outline], web: Length, left: Length) -> Spacing {
        let cuts = cuts.iter().map(Ring::of).collect();
        Spacing { nest: Ring::of(nest), cuts, web: web.to_mm(), left: left.to_mm() }
    }

    /// How much is missing between a nest and one that stands so far from it, mm, and what asks for it.
    fn short(&self, by: Point) -> Option<(f64, Rule)> {
        let by = (by.x.to_mm(), by.y.to_mm());
        let missing = |one: &Ring, other: &Ring, wanted: f64| {
            let wanted = wanted + SLACK;
            wanted - one.apart(other, by, wanted)
        };
        let nests = missing(&self.nest, &self.nest, self.web);
        let beside = self.cuts.iter().flat_map(|cut| [(cut, &self.nest), (&self.nest, cut)]);
        let between = self.cuts.iter().flat_map(|cut| self.cuts.iter().map(move |other| (cut, other)));
        let cuts = beside.chain(between).map(|(one, other)| missing(one, other, self.left)).fold(0.0, f64::max);
        let most = nests.max(cuts);
        (most > 0.0).then_some((most, if nests >= cuts { Rule::Web } else { Rule::WebAfterRelief }))
    }

    /// The least pitch along the feed and across it, whole marks both, and what decides them. Pitches
    /// from `most` on are known to do; none less than `from` is looked at.
    ///
    /// A nest moved by so much comes nearer to its neighbour by no more: what is missing at one pitch is
    /// passed over at once, and no pitch that would do is.
    pub fn pitch(&self, step: Length, from: Point, most: Point) -> (Point, [Rule; 2]) {
        let along = |pitch: Length| self.first_short(pitch, most.x, |place| Point::new(place, Length::ZERO));
        let (x, by_x) = least(step, from.x, most.x, along);
        // Rows may stand so close that a nest has neighbours far along the next.
        let across = |pitch: Length| {
            let reach = (0..).take_while(|place| x * *place < most.x);
            reach.flat_map(|place| [place, -place]).find_map(|place| {
                self.first_short(pitch, most.y, |row| Point::new(x * place, row))
            })
        };
        let (y, by_y) = least(step, from.y, most.y, across);
        (Point::new(x, y), [by_x, by_y])
    }

    /// What is missing for one pitch more, of all neighbours on a line that are within reach.
    fn first_short(&self, pitch: Length, reach: Length, at: impl Fn(Length) -> Point) -> Option<(f64, Rule)> {
        let places = (1_i64..).take_while(|times| pitch * *times < reach);
        places.filter_map(|times| self.short(at(pitch * times)).map(|(mm, rule)| (mm / times as f64, rule))).next()
    }
}

/// The least whole mark from `from` on at which nothing is missing, and what forbids the one before.
fn least(
    step: Length,
    from: Length,
    most: Length,
    short: impl Fn(Length) -> Option<(f64, Rule)>,
) -> (Length, Rule) {
    let (mut pitch, mut decided) = (from.max(step).up(step), Rule::Web);
    while pitch < most {
        let Some((missing, rule)) = short(pitch) else { return (pitch, decided) };
        decided = rule;
        // A hair less, so that the rounding of the figure skips no mark.
        let on = Length::from_mm(missing - 1e-6).unwrap_or(step);
        pitch = (pitch + step).max((pitch + on).up(step));
    }
    (most.up(step), decided)
}
