//! How a blank of any outline can lie against straight parts: which side on the fence rail, and where
//! the other parts touch it.
//!
//! A straight part touches the convex hull only, so the turns worth looking at are those that lay an
//! edge of the hull on the fence rail: there are as many as the hull has edges, and none is sampled. A
//! true side may bulge by twice the error of its capture between two points of the hull; a run of
//! edges that bulges no more counts as one side, and card makes it bear at its ends.

use super::Setting;
use crate::geometry::closure::{Closure, Contact, force_closure, form_closure};
use crate::geometry::hull::hull;
use crate::geometry::path::{Mm, Path};
use crate::length::Length;
use crate::request::Drawn;
use crate::rules::Rule;
use crate::trace::{Clash, Conflict};

/// Chords that stand for arcs, mm.
const CHORDS: f64 = 0.005;
/// What lies no deeper than this behind a face touches it, mm: the roundings of turned outlines.
pub const TOUCH: f64 = 0.02;
/// How far to either side of its mark a contact may lie: card packs it there.
pub const ASIDE: Length = Length::inches(1, 4);
/// Friction of wood on wood, a low value (radial faces of Scots pine along the grain: Aira, Arriaga,
/// Iniguez-Gonzalez and Crespo, Materiales de Construccion, 2014).
pub const FRICTION: f64 = 0.12;
/// Seats sized in full, best first.
const MOST_SEATS: usize = 16;

/// Where along a face the blank touches it.
#[derive(Debug, Clone, PartialEq)]
pub struct Touch {
    /// Nearest to the middle of what touches, as drawn, mm.
    pub natural: f64,
    /// What may touch within the error of the capture: stretches along the face, in order, mm.
    pub reach: Vec<(f64, f64)>,
}

impl Touch {
    /// The place in reach that is nearest to `wanted`, among those from `low` to `high`.
    pub fn near(&self, wanted: f64, (low, high): (f64, f64)) -> Option<f64> {
        let there = self.reach.iter().map(|&(from, to)| (from.max(low), to.min(high))).filter(|(from, to)| from <= to);
        let places = there.map(|(from, to)| wanted.max(from).min(to));
        places.min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))
    }

    /// Whether anything farther than [`ASIDE`] from a place may touch first.
    pub fn elsewhere(&self, place: f64) -> bool {
        let aside = ASIDE.to_mm();
        self.reach.iter().any(|&(from, to)| from < place - aside || to > place + aside)
    }

    /// The same, counted from elsewhere.
    pub fn moved(&self, by: Length) -> Touch {
        let by = by.to_mm();
        Touch { natural: self.natural + by, reach: self.reach.iter().map(|(from, to)| (from + by, to + by)).collect() }
    }
}

/// No limit to where a contact may lie.
pub const ANYWHERE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// A blank turned so that a side of it lies on the fence rail. Places are measured from the lead and
/// fence sides of its box, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Seat {
    /// Degrees counter-clockwise from how it was drawn.
    pub degrees: f64,
    /// Length and width of its box.
    pub size: Mm,
    /// The two contacts on the fence rail, along the feed.
    pub fence: (f64, f64),
    /// Contact with the lead bar, across the feed.
    pub lead: Touch,
    /// Contact with the trail wedges, across the feed.
    pub trail: Touch,
    /// Contact with the far wedges, along the feed.
    pub far: Touch,
    /// Whether the fence side may bulge between the two, so that card has to make it bear on them.
    pub bulges: bool,
    /// Margin of the closure, every contact beside its mark.
    pub margin: f64,
}

/// Places of the five contacts: two on the fence rail, lead, far and trail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Places {
    /// Along the feed.
    pub fence: (f64, f64),
    /// Across the feed.
    pub lead: f64,
    /// Along the feed.
    pub far: f64,
    /// Across the feed.
    pub trail: f64,
}

impl Places {
    /// The contacts as pushes on a blank whose box has this size: fence, fence, lead, far, trail.
    pub fn contacts(&self, size: Mm) -> [Contact; 5] {
        [
            Contact { at: (self.fence.0, 0.0), push: (0.0, 1.0) },
            Contact { at: (self.fence.1, 0.0), push: (0.0, 1.0) },
            Contact { at: (0.0, self.lead), push: (1.0, 0.0) },
            Contact { at: (self.far, size.1), push: (0.0, -1.0) },
            Contact { at: (size.0, self.trail), push: (-1.0, 0.0) },
        ]
    }

    /// Closure at its worst with every contact up to [`ASIDE`] off its mark.
    ///
    /// Only the corners of that range need be looked at: between two places of one contact at which
    /// pushes balance, the pushes mixed in the same share balance too; and two contacts on one face
    /// never let all pushes meet in one point.
    pub fn worst(&self, size: Mm) -> Option<Closure> {
        let aside = ASIDE.to_mm();
        let mut worst: Option<Closure> = None;
        for corner in 0..32_u32 {
            let off = |place: u32| if corner >> place & 1 == 1 { aside } else { -aside };
            let moved = Places {
                fence: (self.fence.0 + off(0), self.fence.1 + off(1)),
                lead: self.lead + off(2),
                far: self.far + off(3),
                trail: self.trail + off(4),
            };
            let found = form_closure(&moved.contacts(size))?;
            if worst.as_ref().is_none_or(|worst| found.margin < worst.margin) {
                worst = Some(found);
            }
        }
        worst
    }

    /// Whether the far wedges and the fence rail alone hold the blank by friction, so that it stays
    /// where it is while the trail wedges are driven.
    pub fn held_by_far_wedges(&self, size: Mm) -> bool {
        let [near, next, _, far, _] = self.contacts(size);
        force_closure(&[near, next, far], FRICTION).is_some()
    }

    /// Distance of the trail wedges' push from the lead contact's line, and of the far wedges' push
    /// from the nearer fence contact.
    pub fn arms(&self) -> (f64, f64) {
        ((self.trail - self.lead).abs(), (self.far - self.fence.0).min(self.fence.1 - self.far))
    }
}

/// The seats of an outline, best first: the greatest margin, then the widest span of the contacts on
/// the fence rail. As drawn only, where the blank is not free to be turned.
///
/// # Errors
/// Why no straight part can hold it.
pub fn seats(setting: &Setting<'_>, drawn: &Drawn) -> Result<Vec<Seat>, Conflict> {
    let error = drawn.error.to_mm();
    let ring = hull(&drawn.path.flattened(CHORDS));
    let free = setting.request.blank.turn_free && !setting.request.carve.stated;
    let mut turns: Vec<f64> = vec![0.0];
    if free {
        turns.extend(sides(&ring, 2.0 * error).into_iter().map(|(from, to)| {
            let degrees = -libm::atan2(to.1 - from.1, to.0 - from.0) * 180.0 / std::f64::consts::PI;
            // A turn by next to nothing is none.
            if degrees.abs() < 0.01 { 0.0 } else { degrees }
        }));
    }
    turns.sort_by(|a, b| a.abs().total_cmp(&b.abs()).then(b.total_cmp(a)));
    turns.dedup();
    let mut found: Vec<Seat> = Vec::new();
    let mut nearest: Option<Conflict> = None;
    for degrees in turns {
        match seat(setting, &drawn.path, degrees, error) {
            Ok(seat) => found.push(seat),
            Err(conflict) => {
                if nearest.as_ref().is_none_or(|least| conflict.shortfall < least.shortfall) {
                    nearest = Some(conflict);
                }
            }
        }
    }
    // Margins that differ in the last places are the same; the sort is stable.
    let key = |seat: &Seat| (-(seat.margin * 1e4) as i64, -((seat.fence.1 - seat.fence.0) * 10.0) as i64);
    found.sort_by_key(key);
    found.truncate(MOST_SEATS);
    if found.is_empty() {
        let mut conflict = nearest.unwrap_or_else(|| Conflict::plain(Rule::FenceContacts, "the outline has no side"));
        if let (false, Some(clash)) = (free, conflict.clashes.first_mut()) {
            clash.text.push_str("; as drawn only: `turn = \"free\"` lets it be turned");
        }
        return Err(conflict);
    }
    Ok(found)
}

/// Runs of hull edges that bulge no more than `slack` out of the line from their first to their last
/// point, each as long as can be, and every edge by itself.
pub fn sides(ring: &[Mm], slack: f64) -> Vec<(Mm, Mm)> {
    let count = ring.len();
    let mut found = Vec::new();
    for (start, from) in ring.iter().enumerate() {
        let at = |ahead: usize| ring[(start + ahead) % count];
        let bulge = |ahead: usize| {
            let to = at(ahead);
            let long = libm::hypot(to.0 - from.0, to.1 - from.1).max(f64::MIN_POSITIVE);
            let out = |p: Mm| ((to.0 - from.0) * (p.1 - from.1) - (to.1 - from.1) * (p.0 - from.0)).abs() / long;
            (1..ahead).map(|between| out(at(between))).fold(0.0, f64::max)
        };
        found.push((*from, at(1)));
        let longest = (2..count).take_while(|ahead| bulge(*ahead) <= slack).last();
        found.extend(longest.map(|ahead| (*from, at(ahead))));
    }
    found
}

/// The outline turned by `degrees` against straight faces.
fn seat(setting: &Setting<'_>, path: &Path, degrees: f64, error: f64) -> Result<Seat, Conflict> {
    let turned = if degrees == 0.0 { path.clone() } else { path.turned(degrees) };
    let turned = turned.moved_to(Length::ZERO, Length::ZERO);
    let bounds = turned.bounds();
    let size = (bounds.x1.to_mm(), bounds.y1.to_mm());
    let around = turned.flattened(CHORDS);
    let ring = hull(&around);
    let deep = 2.0 * error + TOUCH;
    // What lies flush does, where it is long enough; else what card can make bear.
    let as_drawn = flush(&ring, TOUCH, |p| (p.1, p.0));
    let long = |(from, to): (f64, f64)| to - from >= size.0 / 2.0;
    let (near, next) = if long(as_drawn) { as_drawn } else { flush(&ring, deep, |p| (p.1, p.0)) };
    let say = |mm: f64| setting.say(Length::from_mm(mm).unwrap_or_default().nearest(setting.step()));
    let span = next - near;
    let short = size.0 / 2.0 - span;
    if short > TOUCH {
        let text = format!(
            "no side lies on the fence rail far enough: contacts {} apart, wanted half of {} long. {}",
            say(span),
            say(size.0),
            kept_by_friction(&ring, size)
        );
        return Err(missing(text, short));
    }
    let touch = |depth: fn(&Mm, Mm) -> (f64, f64)| {
        let (from, to) = flush(&ring, TOUCH, |p| depth(p, size));
        let mut touch = Touch { natural: (from + to) / 2.0, reach: reach(&around, deep, |p| depth(p, size)) };
        touch.natural = touch.near(touch.natural, ANYWHERE).unwrap_or(touch.natural);
        touch
    };
    let far = touch(|p, size| (size.1 - p.1, p.0));
    let lead = touch(|p, _| (p.0, p.1));
    let trail = touch(|p, size| (size.0 - p.0, p.1));
    // A mark's width to either side of all three, and something left.
    let aside = 2.0 * ASIDE.to_mm();
    let within = (near + aside, next - aside);
    let Some(push) = far.near(far.natural, within).filter(|push| within.0 < *push && *push < within.1) else {
        let text = format!(
            "the far wedges would push {} from the lead side, not between the contacts on the fence rail at {} and {}",
            say(far.natural),
            say(near),
            say(next)
        );
        return Err(missing(text, (within.0 - far.natural).max(far.natural - within.1).max(TOUCH)));
    };
    let places = Places { fence: (near, next), lead: lead.natural, far: push, trail: trail.natural };
    let Some(worst) = places.worst(size) else {
        let text = "the contacts leave it free to move: no first-order form closure".to_owned();
        return Err(Conflict::plain(Rule::NestHeld, text));
    };
    Ok(Seat { degrees, size, fence: (near, next), lead, trail, far, bulges: error > 0.0, margin: worst.margin })
}

fn missing(text: String, by: f64) -> Conflict {
    let shortfall = Length::from_mm(by).unwrap_or_default();
    Conflict { clashes: vec![Clash { rule: Rule::FenceContacts, text, amount: shortfall }], shortfall }
}

/// What is said of a blank that straight faces all round touch only at its four extremes.
fn kept_by_friction(ring: &[Mm], size: Mm) -> String {
    let middle = |depth: &dyn Fn(Mm) -> (f64, f64)| {
        let (from, to) = flush(ring, TOUCH, |p| depth(*p));
        (from + to) / 2.0
    };
    let four = [
        Contact { at: (middle(&|p| (p.1, p.0)), 0.0), push: (0.0, 1.0) },
        Contact { at: (0.0, middle(&|p| (p.0, p.1))), push: (1.0, 0.0) },
        Contact { at: (middle(&|p| (size.1 - p.1, p.0)), size.1), push: (0.0, -1.0) },
        Contact { at: (size.0, middle(&|p| (size.0 - p.0, p.1))), push: (-1.0, 0.0) },
    ];
    not_held(&four).to_owned()
}

/// Why contacts that do not hold are not enough, and what to do instead.
pub fn not_held(contacts: &[Contact]) -> &'static str {
    match (form_closure(contacts), force_closure(contacts, FRICTION)) {
        (Some(_), _) => "Joint a straight side on it, or use a nest of its outline",
        (None, Some(_)) => {
            "Against one straight part on each side only friction keeps it from turning, and chatter shakes that loose: joint a straight side on it, or use a nest of its outline and tape"
        }
        (None, None) => {
            "Against one straight part on each side it turns: joint a straight side on it, or use a nest of its outline and tape"
        }
    }
}

/// Between which corners of the hull (the second coordinate `depth` gives) it lies within `most` of a
/// face (the first).
pub fn flush(ring: &[Mm], most: f64, depth: impl Fn(&Mm) -> (f64, f64)) -> (f64, f64) {
    let there = ring.iter().map(depth).filter(|(deep, _)| *deep <= most);
    there.fold((f64::INFINITY, f64::NEG_INFINITY), |range, (_, along)| (range.0.min(along), range.1.max(along)))
}

/// Stretches (of the second coordinate `depth` gives) where a ring comes within `most` of a face (the
/// first), in order.
fn reach(ring: &[Mm], most: f64, depth: impl Fn(&Mm) -> (f64, f64)) -> Vec<(f64, f64)> {
    let mut runs: Vec<(f64, f64)> = Vec::new();
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let ((da, a), (db, b)) = (depth(a), depth(b));
        let crossing = || a + (b - a) * (most - da) / (db - da);
        let ends = match (da <= most, db <= most) {
            (true, true) => (a, b),
            (true, false) => (a, crossing()),
            (false, true) => (crossing(), b),
            (false, false) => continue,
        };
        runs.push((ends.0.min(ends.1), ends.0.max(ends.1)));
    }
    runs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for (from, to) in runs {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}
