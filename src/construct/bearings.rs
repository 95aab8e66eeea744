//! Which straight faces, at whatever angles, can hold a blank between them: three that stand and one that
//! is wedged.
//!
//! Four contacts in first-order form closure balance in one way only, so one wedge loads all of them. Two
//! of them lie on the fence rail where the blank has a side for it; else none does. The faces looked at
//! are those flush with the longer sides of the hull, and those at every so many degrees. Of the sets that
//! hold with every contact beside its mark, those are best that resist the least push they resist best:
//! the radius of the largest ball of wrenches about nothing (Ferrari and Canny, "Planning optimal grasps",
//! ICRA 1992), moments counted in the spread of the contacts.

use super::Setting;
use super::seat::{ASIDE, TOUCH, flush, sides};
use super::set_out::clear_of;
use crate::geometry::closure::{Contact, determinant, form_closure, four, motions, strays};
use crate::geometry::hull::hull;
use crate::geometry::path::{Mm, Path};
use crate::length::Length;
use crate::request::Drawn;

/// Width of every cleat, before it is put on the ruler. Common practice, no source.
pub const WIDE: Length = Length::INCH;
/// The second mark stands so far short of the cleat's other end, and the blank bears no nearer to either.
pub const END: Length = Length::inches(1, 2);
/// Clear room round everything that must not touch. Common practice, no source.
pub const CLEAR: Length = Length::inches(1, 8);
/// Chords that stand for arcs, mm.
const CHORDS: f64 = 0.005;
/// Degrees between the faces looked at: of two beside the fence rail, and of four.
const FINE: u32 = 5;
const COARSE: u32 = 15;
/// Roundings of what is worked out along a side, mm.
const ROUNDING: f64 = 1e-6;
/// Sides of the hull shorter than this share of the blank's greater extent are corners, not sides.
const SIDE: f64 = 1.0 / 8.0;
/// Sides looked at, the longest first.
const MOST_SIDES: usize = 8;
/// Sets handed on, best first.
const MOST_SETS: usize = 32;
/// What wedges 3 in long take up before and behind their contact, with the drift, and off the blank with the
/// cleat behind them, mm: to leave out what there is no room for, before anything is laid out.
const LEAST_WEDGES: (f64, f64, f64) = (40.0, 70.0, 50.0);
/// A ball of wrenches smaller than this, whose pushes are 1, holds in name only. Engineering judgement.
const LEAST_BALL: f64 = 0.05;

/// A place where a straight face can bear on the blank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing {
    /// Where, from the lead and fence sides of the blank's box, mm.
    pub at: Mm,
    /// Into the blank, of length 1.
    pub push: Mm,
    /// Whether a side of the blank lies flush with the face, so that it bears wherever card makes it.
    pub flat: bool,
}

impl Bearing {
    /// Along the face, the blank to the left.
    pub fn along(&self) -> Mm {
        (self.push.1, -self.push.0)
    }

    /// As a contact, so far along its face.
    fn contact(&self, off: f64) -> Contact {
        let along = self.along();
        Contact { at: (self.at.0 + along.0 * off, self.at.1 + along.1 * off), push: self.push }
    }
}

/// A blank turned, and four bearings that hold it.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// Degrees counter-clockwise from how it was drawn.
    pub degrees: f64,
    /// Its hull, from the lead and fence sides of its box, mm, counter-clockwise.
    pub ring: Vec<Mm>,
    /// Length and width of its box, mm.
    pub size: Mm,
    /// The four, the two on the fence rail first.
    pub bearings: [Bearing; 4],
    /// How many of them lie on the fence rail: two or none.
    pub on_fence: usize,
    /// The least push resisted, every contact beside its mark.
    ball: f64,
}

/// The holds of an outline, best first; as drawn only, where the blank is not free to be turned.
pub fn holds(setting: &Setting<'_>, drawn: &Drawn) -> Vec<Hold> {
    let error = drawn.error.to_mm();
    let free = setting.request.blank.turn_free && !setting.request.carve.stated;
    let mut found = Vec::new();
    let own = hull(&drawn.path.flattened(CHORDS));
    let mut turns = vec![0.0];
    if free {
        turns.extend(sides(&own, 2.0 * error).into_iter().map(|(from, to)| {
            let degrees = -libm::atan2(to.1 - from.1, to.0 - from.0) * 180.0 / std::f64::consts::PI;
            if degrees.abs() < 0.01 { 0.0 } else { degrees }
        }));
    }
    turns.sort_by(|a, b| a.abs().total_cmp(&b.abs()).then(b.total_cmp(a)));
    turns.dedup();
    for degrees in turns {
        let (ring, around, size) = laid(&drawn.path, degrees);
        found.extend(on_fence(degrees, (&ring, &around), size, error));
    }
    if found.is_empty() {
        for degrees in if free { &[0.0, 90.0][..] } else { &[0.0][..] } {
            let (ring, around, size) = laid(&drawn.path, *degrees);
            found.extend(free_standing(*degrees, (&ring, &around), size));
        }
    }
    // What differs by less than a twentieth is not felt: then the widest span. The sort is stable.
    found.sort_by_key(|hold| (-(hold.ball * 20.0) as i64, -hold.span() as i64));
    found.truncate(MOST_SETS);
    found
}

/// The hull and the outline turned, their box at the origin, and its size.
fn laid(path: &Path, degrees: f64) -> (Vec<Mm>, Vec<Mm>, Mm) {
    let turned = if degrees == 0.0 { path.clone() } else { path.turned(degrees) };
    let turned = turned.moved_to(Length::ZERO, Length::ZERO);
    let bounds = turned.bounds();
    let around = turned.flattened(CHORDS);
    (hull(&around), around, (bounds.x1.to_mm(), bounds.y1.to_mm()))
}

/// How far a point lies inside a face through `on` that pushes that way.
pub fn depth(point: Mm, on: Mm, push: Mm) -> f64 {
    (point.0 - on.0) * push.0 + (point.1 - on.1) * push.1
}

/// Faces worth looking at: at every so many degrees, and flush with the longer sides.
fn faces((ring, around): (&[Mm], &[Mm]), size: Mm, every: u32) -> Vec<Bearing> {
    let unit = |degrees: f64| libm::sincos(degrees.to_radians());
    let mut pushes: Vec<Mm> = (0..360 / every).map(|step| unit(f64::from(step * every))).map(|(y, x)| (x, y)).collect();
    let edge = |(a, b): (&Mm, &Mm)| (b.0 - a.0, b.1 - a.1);
    let mut edges: Vec<Mm> = ring.iter().zip(ring.iter().cycle().skip(1)).map(edge).collect();
    let long = |edge: &Mm| libm::hypot(edge.0, edge.1);
    edges.retain(|edge| long(edge) >= size.0.max(size.1) * SIDE);
    edges.sort_by(|a, b| long(b).total_cmp(&long(a)));
    // The hull runs counter-clockwise: its inside lies to the left.
    pushes.extend(edges.iter().take(MOST_SIDES).map(|edge| (-edge.1 / long(edge), edge.0 / long(edge))));
    let mut found: Vec<Bearing> = Vec::new();
    for push in pushes {
        let along = (push.1, -push.0);
        let least = ring.iter().map(|p| depth(*p, (0.0, 0.0), push)).fold(f64::INFINITY, f64::min);
        let (from, to) = flush(ring, TOUCH, |p| (depth(*p, (0.0, 0.0), push) - least, p.0 * along.0 + p.1 * along.1));
        let place = |t: f64| (push.0 * least + along.0 * t, push.1 * least + along.1 * t);
        let flat = to - from >= size.0.max(size.1) * SIDE;
        // A hollow side is touched at its ends only.
        let shares: &[f64] = if flat { &[0.5, 1.0 / 6.0, 5.0 / 6.0, 0.0, 1.0] } else { &[0.5] };
        let at = |share: &f64| Bearing { at: place(from + (to - from) * share), push, flat };
        let there = |bearing: &Bearing| !flat || depth_beside(around, bearing, 0.0) <= 2.0 * TOUCH;
        let inner = shares.iter().take(3).map(at).filter(there).count();
        for bearing in shares.iter().take(if inner == 3 { 3 } else { 5 }).map(at).filter(there) {
            let twin = |other: &Bearing| {
                let apart = libm::hypot(other.at.0 - bearing.at.0, other.at.1 - bearing.at.1);
                apart < 0.1 && other.push.0 * push.0 + other.push.1 * push.1 > 0.999_99
            };
            if !found.iter().any(twin) {
                found.push(bearing);
            }
        }
    }
    found
}

/// Wrenches of bearings, moments about `middle` in units of `spread`.
fn wrenches(bearings: &[Bearing; 4], middle: Mm, spread: f64) -> [[f64; 3]; 4] {
    bearings.each_ref().map(|Bearing { at, push, .. }| {
        [((at.0 - middle.0) * push.1 - (at.1 - middle.1) * push.0) / spread, push.0, push.1]
    })
}

/// Radius of the largest ball about nothing within the tetrahedron of four wrenches.
fn ball(w: &[[f64; 3]; 4]) -> f64 {
    let face = |a: &[f64; 3], b: &[f64; 3], c: &[f64; 3]| {
        let (u, v) = ([b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]);
        let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
        determinant(a, b, c).abs() / n.iter().map(|n| n * n).sum::<f64>().sqrt().max(f64::MIN_POSITIVE)
    };
    let [a, b, c, d] = w;
    face(a, b, c).min(face(a, b, d)).min(face(a, c, d)).min(face(b, c, d))
}

/// Wrenches with each contact [`ASIDE`] to one side or the other, by the bits of `corner`: along its own face a
/// contact moves its moment by as much.
fn beside_marks(wrenches: &[[f64; 3]; 4], spread: f64, corner: usize) -> [[f64; 3]; 4] {
    let aside = ASIDE.to_mm() / spread;
    let mut moved = *wrenches;
    for (place, wrench) in moved.iter_mut().enumerate() {
        wrench[0] += if corner >> place & 1 == 1 { aside } else { -aside };
    }
    moved
}

/// Whether contacts hold at all corners of what they may be beside their marks.
fn worst_pushes(wrenches: &[[f64; 3]; 4], spread: f64) -> bool {
    (0..16).all(|corner| four(&beside_marks(wrenches, spread, corner)).is_some())
}

/// The ball at its worst with every contact up to [`ASIDE`] off its mark; `None` where it is open.
///
/// Only the corners of that range decide whether it is closed, for the same reason as of five contacts
/// that are square to the feed.
fn worst(bearings: &[Bearing; 4], size: Mm) -> Option<f64> {
    let (middle, spread) = ((size.0 / 2.0, size.1 / 2.0), libm::hypot(size.0, size.1) / 2.0);
    let wrenches = wrenches(bearings, middle, spread);
    four(&wrenches)?;
    if !worst_pushes(&wrenches, spread) {
        return None;
    }
    let least = (0..16).map(|corner| ball(&beside_marks(&wrenches, spread, corner))).fold(f64::INFINITY, f64::min);
    (least >= LEAST_BALL).then_some(least)
}

/// Holds with a side on the fence rail, and two faces more.
fn on_fence(degrees: f64, (ring, around): (&[Mm], &[Mm]), size: Mm, error: f64) -> Vec<Hold> {
    let as_drawn = flush(ring, TOUCH, |p| (p.1, p.0));
    let long = |(from, to): (f64, f64)| to - from >= size.0 / 2.0;
    let (near, next) = if long(as_drawn) { as_drawn } else { flush(ring, 2.0 * error + TOUCH, |p| (p.1, p.0)) };
    if next - near < size.0 / 2.0 {
        return Vec::new();
    }
    let rail = |x: f64| Bearing { at: (x, 0.0), push: (0.0, 1.0), flat: true };
    let faces = faces((ring, around), size, FINE);
    let mut found = Vec::new();
    for (place, one) in faces.iter().enumerate() {
        for other in faces.iter().skip(place + 1) {
            let bearings = [rail(near), rail(next), *one, *other];
            if let Some(ball) = worst(&bearings, size).filter(|_| has_room(&bearings, 2)) {
                found.push(Hold { degrees, ring: ring.to_vec(), size, bearings, on_fence: 2, ball });
            }
        }
    }
    best_of(found)
}

/// Holds of four faces, none of them the fence rail.
fn free_standing(degrees: f64, (ring, around): (&[Mm], &[Mm]), size: Mm) -> Vec<Hold> {
    let faces = faces((ring, around), size, COARSE);
    let mut found: Vec<([Bearing; 4], f64)> = Vec::new();
    for (i, a) in faces.iter().enumerate() {
        for (j, b) in faces.iter().enumerate().skip(i + 1) {
            for (k, c) in faces.iter().enumerate().skip(j + 1) {
                for d in faces.iter().skip(k + 1) {
                    let bearings = [*a, *b, *c, *d];
                    if let Some(ball) = worst(&bearings, size).filter(|_| has_room(&bearings, 0)) {
                        found.push((bearings, ball));
                    }
                }
            }
        }
    }
    let hold = |(bearings, ball)| Hold { degrees, ring: Vec::new(), size, bearings, on_fence: 0, ball };
    let mut best = best_of(found.into_iter().map(hold).collect());
    for hold in &mut best {
        hold.ring = ring.to_vec();
    }
    best
}

/// Whether there is room for the shortest cleats and for the shortest wedges at one of them, whichever way
/// they are driven: clear of each other, and of the fence rail where the blank lies on it.
fn has_room(bearings: &[Bearing; 4], on_fence: usize) -> bool {
    let (half, wide, clear) = ((END + ASIDE).to_mm(), WIDE.to_mm(), CLEAR.to_mm());
    let block = |bearing: &Bearing, from: f64, to: f64, deep: f64| -> [Mm; 4] {
        let (along, push) = (bearing.along(), bearing.push);
        let place =
            |t: f64, off: f64| (bearing.at.0 + along.0 * t - push.0 * off, bearing.at.1 + along.1 * t - push.1 * off);
        [place(from, 0.0), place(from, deep), place(to, deep), place(to, 0.0)]
    };
    let stands = |ring: &[Mm; 4]| on_fence == 0 || ring.iter().all(|p| p.1 >= clear);
    let (short, long, deep) = LEAST_WEDGES;
    (on_fence..bearings.len()).any(|wedge| {
        [(-short, long), (-long, short)].iter().any(|(from, to)| {
            let each = bearings.iter().enumerate().skip(on_fence).map(|(place, bearing)| {
                if place == wedge { block(bearing, *from, *to, deep) } else { block(bearing, -half, half, wide) }
            });
            let blocks: Vec<[Mm; 4]> = each.collect();
            let apart = |(place, one): (usize, &[Mm; 4])| {
                blocks.iter().skip(place + 1).all(|other| clear_of(one, other, clear))
            };
            blocks.iter().all(stands) && blocks.iter().enumerate().all(apart)
        })
    })
}

fn best_of(mut found: Vec<Hold>) -> Vec<Hold> {
    found.sort_by_key(|hold| (-(hold.ball * 20.0) as i64, -hold.span() as i64));
    found.truncate(MOST_SETS);
    found
}

impl Hold {
    /// Least distance between two of the contacts, mm.
    fn span(&self) -> f64 {
        let pairs = self.bearings.iter().enumerate();
        let apart = |a: &Bearing, b: &Bearing| libm::hypot(a.at.0 - b.at.0, a.at.1 - b.at.1);
        let each = pairs.flat_map(|(place, a)| self.bearings.iter().skip(place + 1).map(move |b| apart(a, b)));
        each.fold(f64::INFINITY, f64::min)
    }

    /// Margin of the closure at its worst with every contact up to [`ASIDE`] off its mark, by the linear
    /// programme; `None` where it is open.
    pub fn margin(&self) -> Option<f64> {
        let aside = ASIDE.to_mm();
        (0..16_u32).try_fold(1.0_f64, |least, corner| {
            let off = |place: usize| if corner >> place & 1 == 1 { aside } else { -aside };
            let moved: Vec<Contact> =
                self.bearings.iter().enumerate().map(|(place, bearing)| bearing.contact(off(place))).collect();
            form_closure(&moved).map(|closure| least.min(closure.margin))
        })
    }

    /// Whether it is closed with every contact up to [`ASIDE`] off its mark: what [`margin`](Hold::margin) asks of the
    /// programme, in closed form, for searches over many.
    pub fn is_closed(&self) -> bool {
        let (middle, spread) = ((self.size.0 / 2.0, self.size.1 / 2.0), libm::hypot(self.size.0, self.size.1) / 2.0);
        worst_pushes(&wrenches(&self.bearings, middle, spread), spread)
    }

    /// The pushes in balance, one for each bearing, their mean 1.
    pub fn pushes(&self) -> Option<[f64; 4]> {
        four(&wrenches(&self.bearings, (0.0, 0.0), 1.0))
    }

    /// The three that stand, where the one at `wedge` is wedged.
    fn standing(&self, wedge: usize) -> Option<[Contact; 3]> {
        let fixed = self.bearings.iter().enumerate().filter(|(place, _)| *place != wedge);
        let fixed: Vec<Contact> = fixed.map(|(_, bearing)| bearing.contact(0.0)).collect();
        fixed.try_into().ok()
    }

    /// Pushes of the standing faces against a wedge that pushes by 1 and drags the blank along its own
    /// face by `drag` of that, without friction of their own.
    pub fn reactions(&self, wedge: usize, drag: f64) -> Vec<f64> {
        let all = wrenches(&self.bearings, (0.0, 0.0), 1.0);
        let Some((pushed, bearing)) = all.get(wedge).zip(self.bearings.get(wedge)) else { return Vec::new() };
        let ((x, y), (ax, ay)) = (bearing.at, bearing.along());
        let load = [pushed[0] + drag * (x * ay - y * ax), pushed[1] + drag * ax, pushed[2] + drag * ay];
        let fixed: Vec<&[f64; 3]> =
            all.iter().enumerate().filter(|(place, _)| *place != wedge).map(|(_, w)| w).collect();
        let [a, b, c] = fixed.as_slice() else { return Vec::new() };
        let whole = determinant(a, b, c);
        [determinant(&load, b, c), determinant(a, &load, c), determinant(a, b, &load)]
            .map(|part| -part / whole)
            .to_vec()
    }

    /// How far any point of the blank may move along the feed and across it when every standing face is out by
    /// `off` one way or the other, mm.
    pub fn strays(&self, wedge: usize, off: f64) -> Option<Mm> {
        strays(&self.standing(wedge)?, &self.ring, off)
    }

    /// How far the blank may turn when every standing face is out by `off`, radians.
    pub fn turns(&self, wedge: usize, off: f64) -> f64 {
        let all = self.standing(wedge).and_then(|standing| motions(&standing));
        all.map_or(0.0, |all| all.iter().map(|motion| motion[2].abs() * off).sum())
    }

    /// How deep the blank lies behind the face of a bearing, so far along the face from its contact.
    pub fn depth_beside(&self, bearing: &Bearing, off: f64) -> f64 {
        depth_beside(&self.ring, bearing, off)
    }

    /// Whether a blank or a face out of true may touch farther than [`ASIDE`] from a contact first:
    /// outline so far out, face and blank turned against each other by so much. The hull bulges outwards,
    /// so what lies deep enough there lies deep enough beyond.
    pub fn elsewhere(&self, bearing: &Bearing, error: f64, turned: f64) -> bool {
        let aside = ASIDE.to_mm();
        [aside, -aside].iter().any(|off| self.depth_beside(bearing, *off) < 2.0 * error + TOUCH + aside * turned)
    }
}

/// How deep a ring lies behind the face of a bearing, so far along the face from its contact.
pub fn depth_beside(ring: &[Mm], bearing: &Bearing, off: f64) -> f64 {
    let along = bearing.along();
    let at = |p: &Mm| (depth(*p, bearing.at, along), depth(*p, bearing.at, bearing.push));
    let mut least = f64::INFINITY;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let ((ta, da), (tb, db)) = (at(a), at(b));
        // The very end of a side may lie a rounding beside it.
        if (ta - off).abs() <= ROUNDING {
            least = least.min(da);
        }
        if (ta - off) * (tb - off) <= 0.0 {
            let share = if ta == tb { 0.0 } else { (off - ta) / (tb - ta) };
            least = least.min(da + (db - da) * share).min(if ta == tb { db } else { f64::INFINITY });
        }
    }
    least
}
