//! Whether pieces come out of a given choice of boards: board after board, those first that can be filled
//! in the fewest ways, with exactly the pieces that are left.
//!
//! All boards are there to be cut up and all pieces have to come out, so what the ways to fill them lose at
//! the prices of the linear programme is known beforehand: only ways that lose no more than that are looked
//! at, less what the other boards lose at the least with what is left for them. The last board has to take
//! the whole rest.

use std::collections::BTreeSet;
use std::rc::Rc;

use super::budget::Budget;
use super::master::{Relaxed, Rest, search};
use super::strips::{SCALE, Wanted};
use super::task::{Pattern, Task};

/// Ways to fill a board that are written down beforehand, at the most.
const LISTED: usize = 6_000;
/// The part of the work that goes into such a list.
const LISTING: u64 = 16;
/// Ways that are looked for with what is left, at the most.
const MOST: usize = 50_000;
/// Steps of asking what a board loses at the least.
const LEAST: u64 = 40;
/// States remembered, at the most.
const MOST_STATES: usize = 200_000;
/// Ways run through for a step.
const RUN: usize = 64;

/// A way to fill a board, and what it loses, in parts of [`SCALE`]; `None` leaves it as it is.
type Way = (i64, Option<Pattern>);

struct Fill<'a, 'b> {
    task: &'a Task,
    /// Prices of the pieces.
    prices: &'a [i64],
    /// What a board of each kind costs with its premium.
    own: Vec<i64>,
    /// Boards one by one, those alike together.
    boards: Vec<usize>,
    /// All ways of each kind of board, by rising loss, where they are few.
    lists: Vec<Option<Rc<Vec<Way>>>>,
    left: Vec<usize>,
    chosen: Vec<Pattern>,
    /// What was left at a depth where nothing came of it.
    dead: BTreeSet<(usize, Vec<usize>)>,
    /// Whether everything was looked at.
    whole: bool,
    budget: &'a mut Budget<'b>,
}

/// Fills the boards of `rest` with its pieces. The plan, or none; and whether that is certain. `gap` is what
/// the boards cost beyond the bound of `relaxed`.
pub fn fill(
    task: &Task,
    rest: &Rest,
    relaxed: &Relaxed,
    gap: i64,
    budget: &mut Budget<'_>,
) -> (Option<Vec<(Pattern, usize)>>, bool) {
    let kinds: Vec<usize> = (0..rest.boards.len()).filter(|board| rest.boards[*board] > 0).collect();
    let duals = &relaxed.duals;
    let own = |board: usize| task.boards[board].cost * SCALE + (duals.boards[board] - duals.musts[board]).max(0);
    let mut fill = Fill {
        task,
        prices: &duals.pieces,
        own: (0..task.boards.len()).map(own).collect(),
        boards: Vec::new(),
        lists: vec![None; rest.boards.len()],
        left: rest.wanted.clone(),
        chosen: Vec::new(),
        dead: BTreeSet::new(),
        whole: true,
        budget,
    };
    let share = (fill.budget.left() / LISTING).max(1);
    let mut sizes: Vec<(usize, usize)> = Vec::new();
    for board in kinds {
        let mut own = fill.budget.share(share);
        let (ways, whole) = fill.ways(board, gap, LISTED, &mut own);
        fill.budget.charge(&own);
        sizes.push((if whole { ways.len() } else { LISTED + ways.len() }, board));
        fill.lists[board] = whole.then(|| Rc::new(ways));
    }
    sizes.sort_unstable();
    for &(_, board) in &sizes {
        fill.boards.extend(std::iter::repeat_n(board, rest.boards[board]));
    }
    let done = fill.go(0, gap, 0);
    let whole = fill.whole && fill.budget.ended().is_none();
    let plan = done.then(|| fill.chosen.into_iter().map(|pattern| (pattern, 1)).collect());
    (plan, done || whole)
}

impl Fill<'_, '_> {
    /// Every way to fill a board with what is left that loses no more than `slack`, by rising loss.
    fn ways(&self, board: usize, slack: i64, most: usize, budget: &mut Budget<'_>) -> (Vec<Way>, bool) {
        let own = self.own[board];
        let found = search(self.task, board, self.prices, &self.left, Wanted::All(own - slack, most), budget);
        let worth = |pattern: &Pattern| -> i64 {
            pattern.makes.iter().map(|(item, count)| self.prices[*item] * *count as i64).sum()
        };
        let mut ways: Vec<Way> =
            found.patterns.into_iter().map(|(_, pattern)| (own - worth(&pattern), Some(pattern))).collect();
        if own <= slack {
            ways.push((own, None));
        }
        ways.sort_by_key(|(loss, _)| *loss);
        (ways, found.whole)
    }

    fn fits(&self, way: &Way) -> bool {
        way.1.iter().flat_map(|pattern| &pattern.makes).all(|(item, count)| self.left[*item] >= *count)
    }

    /// What a board loses at the least with what is left, or `slack` and more.
    fn least(&mut self, board: usize, slack: i64) -> i64 {
        if let Some(list) = &self.lists[board] {
            let place = list.iter().position(|way| self.fits(way));
            for _ in 0..place.unwrap_or(list.len()) / RUN {
                self.budget.step();
            }
            return place.and_then(|place| list.get(place)).map_or(slack + 1, |way| way.0);
        }
        let own = self.own[board];
        let mut share = self.budget.share(LEAST);
        let floor = (own - slack - 1).max(0);
        let found = search(self.task, board, self.prices, &self.left, Wanted::Best(floor), &mut share);
        self.budget.charge(&share);
        (own - found.upper).max(0)
    }

    /// Fills the boards from `depth` on; `slack` is what they still have to lose. Of boards alike the second
    /// is filled in a way that is listed no earlier than `from`.
    fn go(&mut self, depth: usize, slack: i64, from: usize) -> bool {
        if self.left.iter().all(|left| *left == 0) {
            return true;
        }
        if !self.budget.step() {
            return false;
        }
        let Some(&board) = self.boards.get(depth) else { return false };
        if depth + 1 == self.boards.len() {
            return self.last(board);
        }
        let alike = depth > 0 && self.boards[depth - 1] == board;
        let state = (depth, self.left.clone());
        // What comes of a state with ways struck out says nothing of the whole of it.
        if !alike && self.dead.contains(&state) {
            return false;
        }
        let mut lost = 0;
        for later in (depth..self.boards.len()).rev() {
            let least = self.least(self.boards[later], slack - lost);
            if lost + least > slack {
                return false;
            }
            lost += if later == depth { 0 } else { least };
        }
        let found = if let Some(list) = self.lists[board].clone() {
            let mut found = false;
            for (place, way) in list.iter().enumerate().skip(from) {
                if way.0 + lost > slack || self.budget.ended().is_some() || found {
                    break;
                }
                if place % RUN == 0 {
                    self.budget.step();
                }
                found = self.fits(way) && self.with(way, depth, slack, place);
            }
            found
        } else {
            let mut own = self.budget.share(self.budget.left());
            let (ways, whole) = self.ways(board, slack - lost, MOST, &mut own);
            self.budget.charge(&own);
            self.whole &= whole;
            ways.iter().any(|way| self.budget.ended().is_none() && self.with(way, depth, slack, 0))
        };
        if !found && !alike && self.whole && self.budget.ended().is_none() && self.dead.len() < MOST_STATES {
            self.dead.insert(state);
        }
        found
    }

    /// Fills one board in a way, and those after it.
    fn with(&mut self, way: &Way, depth: usize, slack: i64, place: usize) -> bool {
        let makes = way.1.as_ref().map_or(&[][..], |pattern| pattern.makes.as_slice());
        for (item, count) in makes {
            self.left[*item] -= count;
        }
        self.chosen.extend(way.1.clone());
        let same = self.boards.get(depth + 1) == self.boards.get(depth);
        let found = self.go(depth + 1, slack - way.0, if same { place } else { 0 });
        if !found {
            if way.1.is_some() {
                self.chosen.pop();
            }
            for (item, count) in makes {
                self.left[*item] += count;
            }
        }
        found
    }

    /// Whether the last board takes all that is left.
    fn last(&mut self, board: usize) -> bool {
        // By surface every piece counts, one that has no price too.
        let surface = |item: &super::task::Item| libm::ceil(item.length.to_mm() * item.width.to_mm()).clamp(1.0, 1e12);
        let values: Vec<i64> = self.task.items.iter().map(|item| surface(item) as i64).collect();
        let all: i64 = values.iter().zip(&self.left).map(|(value, left)| value * *left as i64).sum();
        let mut own = self.budget.share(self.budget.left());
        let found = search(self.task, board, &values, &self.left, Wanted::Best(all - 1), &mut own);
        self.budget.charge(&own);
        self.whole &= found.whole;
        match found.patterns.into_iter().last() {
            Some((_, pattern)) => {
                self.left.fill(0);
                self.chosen.push(pattern);
                true
            }
            None => false,
        }
    }
}
