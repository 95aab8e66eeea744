//! How close equal nests may stand: the true distance between neighbours, and the least pitch that keeps
//! it. Not the boxes but the outlines: a slanting nest reaches over the box of its neighbour, and one
//! turned half round may lie against its slope.

use super::gaps::Gaps;
use crate::geometry::contour::Contour;
use crate::geometry::path::{Mm, Path, distance_to_line, in_ring, to_mm};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::rules::Rule;

/// Chords that stand for arcs leave them by at most this, mm.
const CHORD: f64 = 0.0015;
/// Taken off every distance, mm: both outlines in chords, and as much again for who looks after us.
pub const SLACK: f64 = 3.0 * CHORD;
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
pub struct Ring {
    points: Vec<Mm>,
    all: Box2,
    runs: Vec<(Box2, Vec<(Mm, Mm)>)>,
}

impl Ring {
    /// An outline in chords 1.5 um off its arcs.
    pub fn of(outline: &Outline) -> Ring {
        let points: Vec<Mm> = Contour::of(outline).flat(CHORD).into_iter().map(|spot| (spot.x, spot.y)).collect();
        let chords: Vec<(Mm, Mm)> = points.iter().copied().zip(points.iter().copied().cycle().skip(1)).collect();
        let runs = chords.chunks(RUN).map(|run| {
            let ends: Vec<Mm> = run.iter().flat_map(|(a, b)| [*a, *b]).collect();
            (Box2::round(&ends), run.to_vec())
        });
        Ring { all: Box2::round(&points), runs: runs.collect(), points }
    }

    /// Distance from another, moved, as far as it is less than `limit`; nothing where they overlap.
    pub fn apart(&self, other: &Ring, by: Mm, limit: f64) -> f64 {
        if self.all.apart(other.all.moved(by)) >= limit {
            return limit;
        }
        let within =
            |ring: &Ring, p: Option<&Mm>, by: Mm| p.is_some_and(|p| in_ring(&ring.points, (p.0 + by.0, p.1 + by.1)));
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

impl Ring {
    /// Distance of a point from it, moved, as far as it is less than `limit`; nothing inside.
    fn to_point(&self, p: Mm, by: Mm, limit: f64) -> f64 {
        let p = (p.0 - by.0, p.1 - by.1);
        let point = Box2 { least: p, most: p };
        if self.all.apart(point) >= limit {
            return limit;
        }
        if in_ring(&self.points, p) {
            return 0.0;
        }
        let near = self.runs.iter().filter(|(run, _)| run.apart(point) < limit);
        near.flat_map(|(_, chords)| chords).map(|(a, b)| distance_to_line(p, *a, *b)).fold(limit, f64::min)
    }
}

/// Distance between two straight stretches, nothing where they cross.
fn chords_apart((a, b): (Mm, Mm), (c, d): (Mm, Mm)) -> f64 {
    let side = |p: Mm, q: Mm, r: Mm| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    if side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0 {
        return 0.0;
    }
    let ends =
        [distance_to_line(a, c, d), distance_to_line(b, c, d), distance_to_line(c, a, b), distance_to_line(d, a, b)];
    ends.into_iter().fold(f64::INFINITY, f64::min)
}

/// How nests follow each other in a row: all the same way at one pitch, or in pairs, the second of each
/// turned half round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// From a nest to the next that lies the same way.
    pub pitch: Length,
    /// How far the second of a pair lies beyond the first.
    pub pair: Option<Length>,
}

impl Row {
    fn turned(&self, place: i64) -> bool {
        self.pair.is_some() && place.rem_euclid(2) == 1
    }

    fn at(&self, place: i64) -> Length {
        match self.pair {
            None => self.pitch * place,
            Some(pair) => self.pitch * place.div_euclid(2) + pair * place.rem_euclid(2),
        }
    }

    /// The nests that are looked at: all others follow from them.
    fn kinds(&self) -> std::ops::Range<i64> {
        0..if self.pair.is_some() { 2 } else { 1 }
    }
}

/// A nest as drawn and turned half round in the same box, with what is cut beyond it.
struct Kind {
    nest: Ring,
    reliefs: Vec<Ring>,
}

/// A finger gap that counts for a nest: its middle, its radius, and whether the next one shares it.
#[derive(Clone, Copy)]
struct Gap {
    at: Mm,
    radius: f64,
    shared: bool,
}

/// What is missing between two nests, mm, and what asks for it. Of gaps, which move as the pitch does,
/// only that something is missing is known.
#[derive(Clone, Copy)]
struct Short {
    missing: f64,
    rule: Rule,
}

/// A nest with its reliefs and finger gaps, and what must be left between it and the next.
pub struct Spacing {
    kinds: [Kind; 2],
    room: Rect,
    gaps: Option<Gaps>,
    web: f64,
    left: f64,
}

impl Spacing {
    /// `web` is kept between nests, `left` between what is cut beyond them. No gaps are counted yet.
    pub fn of(nest: &Path, reliefs: &[Path], web: Length, left: Length) -> Spacing {
        let room = nest.bounds();
        let kind = |turned: bool| {
            let laid = |path: &Path| {
                let path =
                    if turned { path.turned(180.0).moved(room.x0 + room.x1, room.y0 + room.y1) } else { path.clone() };
                Ring::of(&Outline::Path(path))
            };
            Kind { nest: laid(nest), reliefs: reliefs.iter().map(laid).collect() }
        };
        Spacing { kinds: [kind(false), kind(true)], room, gaps: None, web: web.to_mm(), left: left.to_mm() }
    }

    /// The same with finger gaps.
    #[must_use]
    pub fn with_gaps(self, gaps: Gaps) -> Spacing {
        Spacing { gaps: Some(gaps), ..self }
    }

    fn kind(&self, turned: bool) -> &Kind {
        let [drawn, other] = &self.kinds;
        if turned { other } else { drawn }
    }

    /// The gaps of a nest of a row, as they are between neighbours; `rows` apart, where that is known.
    fn gaps(&self, row: &Row, place: i64, rows: Option<Length>) -> Vec<Gap> {
        let Some(gaps) = self.gaps else { return Vec::new() };
        let own = gaps.of(&self.room, row.turned(place));
        // Neighbours on the line of the gaps, and how far off they are.
        let beside = |next: bool| -> Option<([Point; 2], Point)> {
            let there = if next { place + 1 } else { place - 1 };
            if gaps.ends {
                let by = row.at(there) - row.at(place);
                return Some((gaps.of(&self.room, row.turned(there)), Point::new(by, Length::ZERO)));
            }
            let by = rows?;
            Some((own, Point::new(Length::ZERO, if next { by } else { -by })))
        };
        let gap = |at: Point, radius: Length, shared: bool| Gap { at: to_mm(at), radius: radius.to_mm() / 2.0, shared };
        let [near, far] = own;
        let moved = |p: Point, by: Point| Point::new(p.x + by.x, p.y + by.y);
        let low = beside(false).and_then(|([_, theirs], by)| gaps.shared(moved(theirs, by), near));
        let high = beside(true).and_then(|([theirs, _], by)| gaps.shared(far, moved(theirs, by)));
        let of = |shared: Option<(Point, Length)>, own: Point| match shared {
            Some((at, wide)) => gap(at, wide, true),
            None => gap(own, gaps.finger, false),
        };
        // The last of a line has its own, whatever the others share.
        vec![of(low, near), of(high, far), gap(near, gaps.finger, false), gap(far, gaps.finger, false)]
    }

    /// What is missing between two nests of rows, the second so far off; `next` where it is the
    /// neighbour on the line of the gaps.
    fn between(&self, a: (bool, &[Gap]), b: (bool, &[Gap]), by: Point, next: bool) -> Option<Short> {
        let by = to_mm(by);
        let (one, other) = (self.kind(a.0), self.kind(b.0));
        let wanted = self.web + SLACK;
        let web = wanted - one.nest.apart(&other.nest, by, wanted);
        if web > 0.0 {
            return Some(Short { missing: web, rule: Rule::Web });
        }
        let wanted = self.left + SLACK;
        let missing = |one: &Ring, other: &Ring| wanted - one.apart(other, by, wanted);
        let beside = one.reliefs.iter().map(|relief| missing(relief, &other.nest));
        let beside = beside.chain(other.reliefs.iter().map(|relief| missing(&one.nest, relief)));
        let between = one.reliefs.iter().flat_map(|mine| other.reliefs.iter().map(|theirs| missing(mine, theirs)));
        let most = beside.chain(between).fold(0.0, f64::max);
        if most > 0.0 {
            return Some(Short { missing: most, rule: Rule::WebAfterRelief });
        }
        self.gaps_short(one, other, (a.1, b.1), by, next).then_some(Short { missing: 0.0, rule: Rule::WebAfterRelief })
    }

    /// Whether too little is left between the gaps of one and the other.
    fn gaps_short(&self, one: &Kind, other: &Kind, (mine, theirs): (&[Gap], &[Gap]), by: Mm, next: bool) -> bool {
        let wanted = self.left + SLACK;
        let near = |kind: &Kind, at: Mm, by: Mm, radius: f64| {
            let limit = radius + wanted;
            std::iter::once(&kind.nest).chain(&kind.reliefs).any(|ring| ring.to_point(at, by, limit) < limit)
        };
        // Of the four of a nest the second is what it shares with the next one and the first what it
        // shares with the one before; where they do, the others of that end are not made.
        let joined = next && mine.get(1).is_some_and(|gap| gap.shared);
        let made = |gaps: &[Gap], shared: usize| -> Vec<Gap> {
            let dropped = [shared, shared + 2];
            let kept = gaps.iter().enumerate().filter(|(place, _)| !joined || !dropped.contains(place));
            kept.map(|(_, gap)| *gap).collect()
        };
        let (mine, theirs) = (made(mine, 1), made(theirs, 0));
        let back = (-by.0, -by.1);
        mine.iter().any(|gap| near(other, gap.at, by, gap.radius))
            || theirs.iter().any(|gap| near(one, gap.at, back, gap.radius))
            || mine.iter().any(|a| {
                theirs.iter().any(|b| {
                    let apart = libm::hypot(b.at.0 + by.0 - a.at.0, b.at.1 + by.1 - a.at.1);
                    apart < a.radius + b.radius + wanted
                })
            })
    }

    /// What is missing in a row, and how many pitches lie between the two it is missing between.
    fn row_short(&self, row: &Row, reach: Length, rows: Option<Length>) -> Option<(Short, i64)> {
        let ends = self.gaps.is_some_and(|gaps| gaps.ends);
        row.kinds().find_map(|place| {
            let own = self.gaps(row, place, rows);
            let within = (place + 1..).take_while(|other| row.at(*other) - row.at(place) < reach);
            within.into_iter().find_map(|other| {
                let by = Point::new(row.at(other) - row.at(place), Length::ZERO);
                let theirs = self.gaps(row, other, rows);
                let next = ends && other == place + 1;
                let short = self.between((row.turned(place), &own), (row.turned(other), &theirs), by, next)?;
                let pitches = if row.pair.is_some() { other / 2 - place / 2 } else { other - place };
                Some((short, pitches.max(1)))
            })
        })
    }

    /// What is missing between rows so far apart, and how many of them lie between.
    fn rows_short(&self, row: &Row, rows: Length, reach: Point) -> Option<(Short, i64)> {
        let sides = self.gaps.is_some_and(|gaps| !gaps.ends);
        row.kinds().find_map(|place| {
            let own = self.gaps(row, place, Some(rows));
            let up = (1..).take_while(|times| rows * *times < reach.y);
            up.into_iter().find_map(|times| {
                let on = |other: &i64| (row.at(*other) - row.at(place)).abs() < reach.x;
                let after = (place..).take_while(on);
                let before = (1..).map(|back| place - back).take_while(on);
                after.chain(before).find_map(|other| {
                    let by = Point::new(row.at(other) - row.at(place), rows * times);
                    let theirs = self.gaps(row, other, Some(rows));
                    let next = sides && times == 1 && other == place;
                    let short = self.between((row.turned(place), &own), (row.turned(other), &theirs), by, next)?;
                    Some((short, times))
                })
            })
        })
    }

    /// The least pitch along the feed, all nests the same way, and what decides it. Pitches from `most` on
    /// are known to do; none less than `from` is looked at.
    ///
    /// A nest moved by so much comes nearer to its neighbour by no more: what is missing at one pitch is
    /// passed over at once, and no pitch that would do is.
    pub fn row(&self, step: Length, from: Length, most: Length) -> (Row, Rule) {
        let row = |pitch: Length| Row { pitch, pair: None };
        let (pitch, rule) = least(step, from, most, |pitch| self.row_short(&row(pitch), most, None));
        (row(pitch), rule)
    }

    /// The same for pairs, the second of each turned half round.
    pub fn pairs(&self, step: Length, from: Length, most: Length) -> (Row, Rule) {
        let ends = self.gaps.is_some_and(|gaps| gaps.ends);
        let (pair, _) = least(step, from, most, |pair| {
            // The two alone, as if the next pair were far off.
            let row = Row { pitch: pair + most * 2, pair: Some(pair) };
            let (mine, theirs) = (self.gaps(&row, 0, None), self.gaps(&row, 1, None));
            let short = self.between((false, &mine), (true, &theirs), Point::new(pair, Length::ZERO), ends);
            short.map(|short| (short, 1))
        });
        let row = |pitch: Length| Row { pitch, pair: Some(pair) };
        let all = (pair + most).up(step);
        let (pitch, rule) = least(step, pair + from, all, |pitch| self.row_short(&row(pitch), most, None));
        (row(pitch), rule)
    }

    /// The least pitch of the rows, for rows so.
    pub fn rows(&self, step: Length, row: &Row, from: Length, most: Point) -> (Length, Rule) {
        least(step, from, most.y, |rows| {
            self.rows_short(row, rows, most).or_else(|| self.row_short(row, most.x, Some(rows)))
        })
    }
}

/// The least whole mark from `from` on at which nothing is missing, and what forbids the one before.
fn least(step: Length, from: Length, most: Length, short: impl Fn(Length) -> Option<(Short, i64)>) -> (Length, Rule) {
    let (mut pitch, mut decided) = (from.max(step).up(step), Rule::Web);
    while pitch < most {
        let Some((found, times)) = short(pitch) else { return (pitch, decided) };
        decided = found.rule;
        // A hair less, so that the rounding of the figure skips no mark.
        let on = Length::from_mm(found.missing / times as f64 - 1e-6).unwrap_or(step);
        pitch = (pitch + step).max((pitch + on).up(step));
    }
    (most.up(step), decided)
}
