//! Finger gaps of nests that stand in no rows: two for each, on opposite sides, one gap for two
//! neighbours wherever they stand near enough.

use super::gaps::OPENED;
use crate::geometry::path::{Mm, distance_to_line, from_mm, to_mm};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;

/// Places along a wall where a gap may be.
const PLACES: usize = 48;
/// Gaps wider than one's own finger gap come in steps of an eighth, as bits do.
const BITS: Length = Length::inches(1, 8);
/// Cosine of the least angle between the two gaps of a nest, seen from its middle: thumb and finger want
/// to be opposite. Judgement.
const OPPOSITE: f64 = -0.5;
/// Taken off every distance, mm, for chords and for who looks after us.
const SLACK: f64 = 0.02;

/// A nest in its place, with what is cut beyond it, in chords.
pub struct Seat {
    /// The wall.
    pub wall: Vec<Mm>,
    /// Reliefs of its corners.
    pub reliefs: Vec<Vec<Mm>>,
}

impl Seat {
    fn bounds(&self) -> [f64; 4] {
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let all = std::iter::once(&self.wall).chain(&self.reliefs).flatten();
        all.fold(start, |[x0, y0, x1, y1], p| [x0.min(p.0), y0.min(p.1), x1.max(p.0), y1.max(p.1)])
    }

    /// Centre of its area.
    fn middle(&self) -> Mm {
        let Some(start) = self.wall.first().copied() else { return (0.0, 0.0) };
        let (mut doubled, mut x, mut y) = (0.0, 0.0, 0.0);
        for (a, b) in self.wall.iter().zip(self.wall.iter().cycle().skip(1)) {
            let (a, b) = ((a.0 - start.0, a.1 - start.1), (b.0 - start.0, b.1 - start.1));
            let cross = a.0 * b.1 - b.0 * a.1;
            (doubled, x, y) = (doubled + cross, x + (a.0 + b.0) * cross, y + (a.1 + b.1) * cross);
        }
        if doubled == 0.0 { start } else { (start.0 + x / (3.0 * doubled), start.1 + y / (3.0 * doubled)) }
    }

    /// Distance of a place outside from all that is cut here.
    fn off(&self, p: Mm) -> f64 {
        std::iter::once(&self.wall).chain(&self.reliefs).map(|ring| nearest(ring, p).0).fold(f64::INFINITY, f64::min)
    }

    /// Places along the wall, evenly apart.
    fn places(&self) -> Vec<Mm> {
        let chords = || self.wall.iter().zip(self.wall.iter().cycle().skip(1));
        let long = |(a, b): (&Mm, &Mm)| libm::hypot(b.0 - a.0, b.1 - a.1);
        let whole: f64 = chords().map(long).sum();
        let apart = whole / PLACES as f64;
        let (mut places, mut gone, mut next) = (Vec::with_capacity(PLACES), 0.0, apart / 2.0);
        for (a, b) in chords() {
            let chord = long((a, b));
            while chord > 0.0 && next <= gone + chord && places.len() < PLACES {
                let share = (next - gone) / chord;
                places.push((a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share));
                next += apart;
            }
            gone += chord;
        }
        places
    }
}

/// Distance of a place from a ring, and where on it.
fn nearest(ring: &[Mm], p: Mm) -> (f64, Mm) {
    let mut best = (f64::INFINITY, p);
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let off = distance_to_line(p, *a, *b);
        if off < best.0 {
            let (dx, dy) = (b.0 - a.0, b.1 - a.1);
            let square = dx * dx + dy * dy;
            let share =
                if square > 0.0 { (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
            best = (off, (a.0 + dx * share, a.1 + dy * share));
        }
    }
    best
}

/// A gap, and the nests it serves.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Gap {
    at: Point,
    middle: Mm,
    diameter: Length,
    serves: [Option<usize>; 2],
}

impl Gap {
    fn of(at: Mm, diameter: Length, serves: [Option<usize>; 2]) -> Gap {
        let at = from_mm(at);
        Gap { at, middle: to_mm(at), diameter, serves }
    }

    fn radius(&self) -> f64 {
        self.diameter.to_mm() / 2.0
    }

    fn serves(&self, nest: usize) -> bool {
        self.serves.contains(&Some(nest))
    }

    /// In which direction it lies from the middle of a nest.
    fn seen_from(&self, middle: Mm) -> Mm {
        let (x, y) = (self.middle.0 - middle.0, self.middle.1 - middle.1);
        let far = libm::hypot(x, y).max(1e-9);
        (x / far, y / far)
    }

    /// Whether enough is left between two of them; those of one nest may run into each other.
    fn clear_of(&self, other: &Gap, left: f64) -> bool {
        let one = self.serves.iter().flatten().any(|nest| other.serves(*nest));
        let (p, q) = (self.middle, other.middle);
        one || libm::hypot(p.0 - q.0, p.1 - q.1) >= self.radius() + other.radius() + left
    }
}

/// All nests of a board, and what must be left between what is cut, mm.
struct Board<'a> {
    seats: &'a [Seat],
    boxes: Vec<[f64; 4]>,
    left: f64,
    finger: Length,
    within: [f64; 4],
}

impl Board<'_> {
    /// Nests that come nearer to a place than `reach`, but one.
    fn near(&self, p: Mm, reach: f64, but: [Option<usize>; 2]) -> Vec<usize> {
        let boxed =
            |[x0, y0, x1, y1]: &[f64; 4]| (x0 - p.0).max(p.0 - x1).max(0.0).max((y0 - p.1).max(p.1 - y1)) < reach;
        let others = self.boxes.iter().enumerate().filter(|(place, room)| !but.contains(&Some(*place)) && boxed(room));
        others
            .map(|(place, _)| place)
            .filter(|place| self.seats.get(*place).is_some_and(|seat| seat.off(p) < reach))
            .collect()
    }

    fn inside(&self, gap: &Gap) -> bool {
        let ([x0, y0, x1, y1], (x, y), r) = (self.within, gap.middle, gap.radius());
        x - r >= x0 && x + r <= x1 && y - r >= y0 && y + r <= y1
    }

    /// Gaps that could serve a nest: its own, or shared with the only neighbour that stands in the way.
    fn gaps(&self, nest: usize) -> Vec<Gap> {
        let Some(seat) = self.seats.get(nest) else { return Vec::new() };
        let own = self.finger.to_mm() / 2.0 + self.left + SLACK;
        let gap = |p: Mm| -> Option<Gap> {
            let gap = match self.near(p, own, [Some(nest), None]).as_slice() {
                [] => Gap::of(p, self.finger, [Some(nest), None]),
                [other] => {
                    let (apart, q) = nearest(&self.seats.get(*other)?.wall, p);
                    let wide = Length::from_mm(libm::hypot(apart, OPENED.to_mm()))?.up(BITS).max(self.finger);
                    // The nearest place of this wall to that one may lie aside: the middle is what counts.
                    let middle = ((p.0 + q.0) / 2.0, (p.1 + q.1) / 2.0);
                    let gap = Gap::of(middle, wide, [Some(nest), Some(*other)]);
                    let reach = gap.radius() + self.left + SLACK;
                    if apart >= own || !self.near(gap.middle, reach, gap.serves).is_empty() {
                        return None;
                    }
                    gap
                }
                _ => return None,
            };
            self.inside(&gap).then_some(gap)
        };
        seat.places().into_iter().filter_map(gap).collect()
    }
}

/// Those without which a nest would have no two on opposite sides; the last made are the first to go.
fn needed(made: &[Gap], seats: &[Seat]) -> Vec<Gap> {
    let mut kept = made.to_vec();
    for gap in made.iter().rev() {
        let rest: Vec<Gap> = kept.iter().filter(|other| *other != gap).copied().collect();
        let served = |nest: usize| {
            let Some(seat) = seats.get(nest) else { return false };
            let own: Vec<Mm> =
                rest.iter().filter(|gap| gap.serves(nest)).map(|gap| gap.seen_from(seat.middle())).collect();
            own.iter().any(|from| own.iter().any(|to| from.0 * to.0 + from.1 * to.1 <= OPPOSITE))
        };
        if gap.serves.iter().flatten().all(|nest| served(*nest)) {
            kept = rest;
        }
    }
    kept
}

/// Two gaps for every nest, `left` between what is cut; none of them beyond `within`. `None` where a nest
/// finds no two.
pub fn fingers(seats: &[Seat], left: Length, finger: Length, within: Rect) -> Option<Vec<Outline>> {
    let corner = |x: Length, y: Length| to_mm(Point::new(x, y));
    let ((x0, y0), (x1, y1)) = (corner(within.x0, within.y0), corner(within.x1, within.y1));
    let boxes = seats.iter().map(Seat::bounds).collect();
    let board = Board { seats, boxes, left: left.to_mm(), finger, within: [x0, y0, x1, y1] };
    let possible: Vec<Vec<Gap>> = (0..seats.len()).map(|nest| board.gaps(nest)).collect();
    // Those with the fewest possibilities first.
    let mut order: Vec<usize> = (0..seats.len()).collect();
    order.sort_by_key(|nest| possible.get(*nest).map_or(0, Vec::len));
    let mut made: Vec<Gap> = Vec::new();
    for nest in order {
        let middle = seats.get(nest)?.middle();
        let kept: Vec<Gap> = made.iter().filter(|gap| gap.serves(nest)).copied().collect();
        let clear = |gap: &&Gap| made.iter().all(|other| gap.clear_of(other, board.left + SLACK));
        let fresh: Vec<Gap> = possible.get(nest)?.iter().filter(clear).copied().collect();
        let seen = |gap: &Gap| gap.seen_from(middle);
        // A gap shared with a neighbour that has fewer than two saves one there.
        let wanting = |gap: &Gap| {
            let others = gap.serves.iter().flatten().filter(|other| **other != nest);
            others.filter(|other| made.iter().filter(|gap| gap.serves(**other)).count() < 2).count()
        };
        let mut best: Option<(f64, [Gap; 2])> = None;
        let all: Vec<(Gap, bool)> =
            kept.iter().map(|gap| (*gap, false)).chain(fresh.iter().map(|gap| (*gap, true))).collect();
        for (place, (one, new)) in all.iter().enumerate() {
            let (from, helped) = (seen(one), wanting(one));
            for (other, again) in all.iter().skip(place + 1) {
                let to = seen(other);
                let turn = from.0 * to.0 + from.1 * to.1;
                if turn > OPPOSITE || !(one.clear_of(other, board.left + SLACK)) {
                    continue;
                }
                let cost = |new: bool, helped: usize| if new { 1.0 - 0.6 * helped as f64 } else { 0.0 };
                let score = cost(*new, helped) + cost(*again, wanting(other)) + (1.0 + turn);
                if best.as_ref().is_none_or(|(least, _)| score < *least - 1e-9) {
                    best = Some((score, [*one, *other]));
                }
            }
        }
        let (_, pair) = best?;
        made.extend(pair.into_iter().filter(|gap| !kept.contains(gap)));
    }
    let kept = needed(&made, seats);
    Some(kept.into_iter().map(|gap| Outline::Disc { centre: gap.at, diameter: gap.diameter }).collect())
}
