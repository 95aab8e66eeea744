//! Choices of boards, and plans out of a given one: each board is filled in turn with what is most valuable, and pieces that
//! were left over or lay in wasteful patterns are worth more in the next round (sequential value correction,
//! Mukhacheva, Belov and others 2000, from memory).

use super::budget::Budget;
use super::master::{Rest, search};
use super::strips::{SCALE, Wanted};
use super::task::{Pattern, Task};

/// Steps of the search for what a board is filled with.
const FILL: u64 = 1_000;
/// Choices of boards looked at, at the most.
const MOST_SETS: usize = 4_000;
/// Most steps of enumerating choices of boards.
const LISTING: usize = 200_000;

/// A choice of boards.
pub struct Choice {
    /// How many of each kind.
    pub boards: Vec<usize>,
    /// What they cost.
    pub cost: i64,
}

/// Surface of a kind of piece with one kerf more both ways, square ticks.
fn piece_surface(task: &Task, item: usize) -> i128 {
    let item = &task.items[item];
    i128::from((item.length + task.kerf).ticks()) * i128::from((item.width + task.kerf).ticks())
}

/// Surface of what is clear of a board, with one kerf more both ways: the pieces that come out of it never
/// have more.
fn board_surface(task: &Task, board: usize) -> i128 {
    let sets = task.boards[board].clear.iter().map(|set| {
        set.iter()
            .map(|clear| i128::from((clear.length + task.kerf).ticks()) * i128::from((clear.width + task.kerf).ticks()))
            .sum()
    });
    sets.max().unwrap_or(0)
}

/// Choices of boards that cost from `least` to `most` and have surface enough, by rising cost; `maximal`
/// asks only for those that no board can be added to. The second answer says whether they are all there.
pub fn choices(task: &Task, rest: &Rest, (least, most): (i64, i64), maximal: bool) -> (Vec<Choice>, bool) {
    let pieces = rest.wanted.iter().enumerate();
    let need: i128 = pieces.map(|(item, count)| piece_surface(task, item) * *count as i128).sum();
    // Dear ones first: of those few can be chosen.
    let mut order: Vec<usize> = (0..task.boards.len()).collect();
    order.sort_by_key(|board| (-task.boards[*board].cost, *board));
    let surfaces: Vec<i128> = order.iter().map(|board| board_surface(task, *board)).collect();
    // Surface and cost of all boards from a place on.
    let mut after = vec![(0_i128, 0_i64); order.len() + 1];
    for place in (0..order.len()).rev() {
        let count = rest.boards[order[place]];
        let cost = task.boards[order[place]].cost.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX));
        after[place] = (after[place + 1].0 + surfaces[place] * count as i128, after[place + 1].1.saturating_add(cost));
    }
    let chosen = vec![0; order.len()];
    let mut list =
        List { task, rest, most, maximal, need, order, surfaces, after, chosen, found: Vec::new(), steps: 0 };
    list.go(0, (0, 0), least);
    let whole = list.steps <= LISTING && list.found.len() < MOST_SETS;
    let mut found = list.found;
    found.sort_by(|a, b| a.cost.cmp(&b.cost).then_with(|| b.boards.cmp(&a.boards)));
    (found, whole)
}

struct List<'a> {
    task: &'a Task,
    rest: &'a Rest,
    most: i64,
    maximal: bool,
    need: i128,
    order: Vec<usize>,
    surfaces: Vec<i128>,
    after: Vec<(i128, i64)>,
    /// How many of each kind, by their places in the order.
    chosen: Vec<usize>,
    found: Vec<Choice>,
    steps: usize,
}

impl List<'_> {
    /// `floor` is what the choice costs at least, or a board left out could be added.
    fn go(&mut self, place: usize, (cost, surface): (i64, i128), floor: i64) {
        self.steps += 1;
        let (more_surface, more_cost) = self.after[place];
        let full = self.steps > LISTING || self.found.len() >= MOST_SETS;
        if full || surface + more_surface < self.need || cost.saturating_add(more_cost) < floor {
            return;
        }
        let Some(&board) = self.order.get(place) else {
            let mut boards = vec![0; self.task.boards.len()];
            for (place, board) in self.order.iter().enumerate() {
                boards[*board] = self.chosen[place];
            }
            self.found.push(Choice { boards, cost });
            return;
        };
        let kind = &self.task.boards[board];
        // Of boards that are alike the first ones are used first.
        let before = place.checked_sub(1);
        let spent = before.is_some_and(|before| {
            self.task.boards[self.order[before]] == *kind && self.chosen[before] < self.rest.boards[self.order[before]]
        });
        let there = if spent { 0 } else { self.rest.boards[board] };
        let affordable =
            (self.most - cost).checked_div(kind.cost).map_or(there, |most| usize::try_from(most).unwrap_or(0));
        for count in (0..=there.min(affordable)).rev() {
            self.chosen[place] = count;
            let left_out = self.maximal && count < self.rest.boards[board];
            let floor = if left_out { floor.max(self.most - kind.cost + 1) } else { floor };
            let cost = cost + kind.cost * count as i64;
            self.go(place + 1, (cost, surface + self.surfaces[place] * count as i128), floor);
        }
        self.chosen[place] = 0;
    }
}

/// Values of pieces that are corrected from round to round.
pub struct Values {
    /// One for each kind of piece.
    values: Vec<f64>,
    /// Rounds made.
    round: usize,
}

impl Values {
    /// To begin with a piece is worth its surface.
    pub fn new(task: &Task) -> Values {
        let values = (0..task.items.len()).map(|item| piece_surface(task, item) as f64).collect();
        Values { values, round: 0 }
    }
}

/// Fills the boards of a choice once. The plan, if all pieces came out.
pub fn refill(
    task: &Task,
    rest: &Rest,
    boards: &[usize],
    values: &mut Values,
    budget: &mut Budget<'_>,
) -> Option<Vec<(Pattern, usize)>> {
    let mut order: Vec<usize> = Vec::new();
    for (board, count) in boards.iter().enumerate() {
        order.extend(std::iter::repeat_n(board, *count));
    }
    order.sort_by_key(|board| (-board_surface(task, *board), *board));
    let round = values.round;
    values.round += 1;
    // The largest board first, last, and each in its turn.
    match round % 3 {
        1 => order.reverse(),
        2 => {
            let by = (round / 3) % order.len().max(1);
            order.rotate_left(by);
        }
        _ => {}
    }
    let mut left = rest.wanted.clone();
    let mut plan: Vec<(Pattern, usize)> = Vec::new();
    let largest = values.values.iter().copied().fold(1.0, f64::max);
    let dearest = task.boards.iter().map(|board| board.cost).max().unwrap_or(1).max(1);
    for board in order {
        if left.iter().all(|left| *left == 0) {
            break;
        }
        let whole: Vec<i64> = values
            .values
            .iter()
            .map(|value| ((value / largest * 4096.0) as i64).max(1).saturating_mul(dearest).saturating_mul(SCALE / 256))
            .collect();
        let mut share = budget.share(FILL);
        let found = search(task, board, &whole, &left, Wanted::Best(0), &mut share);
        budget.charge(&share);
        let Some((_, pattern)) = found.patterns.into_iter().last() else { continue };
        let used: i128 = pattern.makes.iter().map(|(item, count)| piece_surface(task, *item) * *count as i128).sum();
        // What lay in a wasteful pattern is worth more the next time.
        let waste = board_surface(task, board) as f64 / (used as f64).max(1.0);
        for (item, count) in &pattern.makes {
            let fair = piece_surface(task, *item) as f64 * libm::pow(waste, 1.5);
            let weight = (*count as f64 / rest.wanted[*item].max(1) as f64).min(1.0) * 0.5;
            values.values[*item] = values.values[*item] * (1.0 - weight) + fair * weight;
            left[*item] = left[*item].saturating_sub(*count);
        }
        plan.push((pattern, 1));
    }
    if left.iter().all(|left| *left == 0) {
        return Some(plan);
    }
    // What came out nowhere is laid first.
    for (item, left) in left.iter().enumerate().filter(|(_, left)| **left > 0) {
        let share = *left as f64 / rest.wanted[item].max(1) as f64;
        values.values[item] *= 1.0 + 0.25 * share;
    }
    None
}
