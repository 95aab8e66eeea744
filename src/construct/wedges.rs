//! Pairs of straight wedges: one glued to a rail or bar, one driven between it and the blank.
//!
//! Both taper by 1 in 8 and lie with their slopes together, so the face against the blank stays square
//! while the driven one closes the gap by an eighth of its travel. It is set a sixth of its length
//! short of full overlap: so much is left to drive. It backs out as far as the largest blank asks for;
//! what a smaller blank leaves open beyond the last stroke is packed with card.

use super::Setting;
use super::seat::{ASIDE, Touch};
use crate::geometry::{Outline, Point};
use crate::length::Length;
use crate::request::Drawn;
use crate::rules::Rule;
use crate::trace::{Clash, Conflict};

/// Run for a rise of one. Common practice, no source.
pub const RUN: i64 = 8;
/// Thin end, before it is put on the ruler. Common practice, no source.
const THIN: Length = Length::inches(3, 8);
/// Longest and shortest wedge. Common practice, no source.
const LONGEST: Length = Length::inches(6, 1);
const SHORTEST: Length = Length::inches(2, 1);
/// Room behind a wedge for a drift. Common practice, no source.
pub const DRIFT: Length = Length::inches(3, 4);

/// A pair of wedges, all lengths on the ruler.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    /// Length of either.
    pub length: Length,
    /// Thickness at the thin end.
    pub thin: Length,
    /// How far the driven one lies back from full overlap as set.
    pub set: Length,
    /// How far it may have to be backed out from there.
    pub back: Length,
}

/// A pair in its place: along the face it pushes, counted as the face's own axis is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    /// Where the glued wedge begins, at its thick end.
    pub start: Length,
    /// Where the driven wedge pushes.
    pub mark: Length,
}

impl Pair {
    /// Pairs that let in the largest the blank may be with the saw's tolerance against it, longest first.
    pub fn all(setting: &Setting<'_>, drawn: &Drawn) -> Vec<Pair> {
        let growth = setting.growth_along.max(setting.growth_across);
        // The face a wedge is glued to lies on the ruler, up to a mark farther than wanted.
        let step = setting.step();
        let spread = drawn.error * 2 + growth + setting.two_edges() + step;
        Pair::taking_up(setting, spread, setting.two_edges() + step)
    }

    /// Pairs that open by `spread` and close by `closed` from where they are set, longest first.
    pub fn taking_up(setting: &Setting<'_>, spread: Length, closed: Length) -> Vec<Pair> {
        let step = setting.step();
        // A travel of eight marks moves the face by one.
        let mark = step * RUN;
        let mut pairs = Vec::new();
        let mut length = LONGEST.down(mark);
        while length >= SHORTEST && length > Length::ZERO {
            let set = Length::from_ticks(length.ticks() / 6).up(mark);
            let back = set.max((spread * RUN).up(mark));
            let closes = closed * RUN;
            // A third always overlaps, and the mark stays under the driven wedge.
            if (set + back) * 3 <= length * 2 && set >= closes && set + back + ASIDE * 2 <= length {
                pairs.push(Pair { length, thin: THIN.up(step), set, back });
            }
            length -= mark.max(Length::inches(1, 4).down(mark));
        }
        pairs
    }

    /// What such a pair could not take up.
    pub fn none(setting: &Setting<'_>, drawn: &Drawn) -> Conflict {
        let text = format!(
            "the outline may be {} out each way: more than wedges up to {} long take up; measure it more closely",
            setting.say(drawn.error.up(setting.step())),
            setting.say(LONGEST)
        );
        Conflict::plain(Rule::WedgeTravel, text)
    }

    /// Thickness at the thick end.
    pub fn thick(&self) -> Length {
        self.thin + Length::from_ticks(self.length.ticks() / RUN)
    }

    /// Gap the pair fills as set.
    pub fn gap(&self) -> Length {
        self.thin + self.thick() - Length::from_ticks(self.set.ticks() / RUN)
    }

    /// Puts the pair between `from` and `to` (the driven wedge's thick end never beyond it), with
    /// [`DRIFT`] behind it before `stop`, so that it pushes as near as it can to what touches as drawn, and `within` these places.
    pub fn place(
        &self,
        setting: &Setting<'_>,
        (from, to, stop): (Length, Length, Length),
        (touch, within): (&Touch, (f64, f64)),
        which: &str,
    ) -> Result<Placed, Conflict> {
        let step = setting.step();
        let lowest = from.up(step);
        let sweep = self.set + self.back + self.length;
        let highest = (to.min(stop - DRIFT) - sweep).down(step);
        let no_room = |short: Length, text: String| {
            Err(Conflict { clashes: vec![Clash { rule: Rule::WedgeRoom, text, amount: short }], shortfall: short })
        };
        if highest < lowest {
            let text = format!(
                "{which} wedges {} long: no room to drive them, with {} behind for a drift",
                setting.say(self.length),
                setting.say(DRIFT)
            );
            return no_room(lowest - highest, text);
        }
        // The driven wedge bears on the mark from its first stroke to its last.
        let first = (lowest + self.set + self.back + ASIDE).to_mm();
        let last = (highest + self.length - ASIDE).to_mm();
        let (low, high) = (first.max(within.0), last.min(within.1));
        let Some(mark) = touch.near(touch.natural, (low, high)) else {
            let short = Length::from_mm((low - touch.natural).max(touch.natural - high).max(0.0)).unwrap_or_default();
            let say = |mm: f64| setting.say(Length::from_mm(mm).unwrap_or_default().nearest(step));
            let text = format!(
                "the blank's {which} point is at {}, and the {which} wedges push from {} to {}: no room to drive them where they are wanted",
                say(touch.natural),
                say(low),
                say(high)
            );
            return no_room(short, text);
        };
        let mark = Length::from_mm(mark).unwrap_or_default();
        // In the middle of the wedge as set, or as near to it as keeps it on the mark throughout.
        let nearest = (mark - self.length + ASIDE).up(step).max(lowest);
        let farthest = (mark - self.set - self.back - ASIDE).down(step).min(highest);
        let middle = (mark - self.set - self.length.half()).down(step);
        Ok(Placed { start: middle.min(farthest).max(nearest), mark })
    }

    /// The glued and the driven wedge across a gap, along the face from the thin-going end: points
    /// (along the face, off the blank).
    pub fn outlines(&self, start: Length, gap: Length) -> [[(Length, Length); 4]; 2] {
        let (zero, long, thin, thick) = (Length::ZERO, self.length, self.thin, self.thick());
        // Closing the gap by one mark drives the wedge on by eight.
        let back = self.length - (gap - thin * 2) * RUN;
        let glued = [(zero, gap - thick), (long, gap - thin), (long, gap), (zero, gap)];
        let driven = [(zero, zero), (long, zero), (long, thick), (zero, thin)];
        [glued.map(|(u, v)| (start + u, v)), driven.map(|(u, v)| (start + back + u, v))]
    }
}

/// Wedges between the blank's far side at `side` and the far rail.
pub fn far_outline(points: [(Length, Length); 4], side: Length) -> Outline {
    Outline::Polygon(points.iter().map(|&(u, v)| Point::new(u, side + v)).collect())
}

/// Wedges between the blank's trail side at `side` and the trail bar.
pub fn trail_outline(points: [(Length, Length); 4], side: Length) -> Outline {
    Outline::Polygon(points.iter().rev().map(|&(u, v)| Point::new(side + v, u)).collect())
}
