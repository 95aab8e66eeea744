//! The cheapest choice of given patterns that makes all pieces: a search in depth, bounded by duals.

use std::collections::BTreeMap;

use super::budget::Budget;
use super::strips::SCALE;
use super::task::Pattern;

/// Prices of pieces and of using up boards, in parts of [`SCALE`], from which no set of patterns can
/// save more than its cost.
#[derive(Debug, Clone, Default)]
pub struct Duals {
    /// A piece of each kind.
    pub pieces: Vec<i64>,
    /// A board of each kind.
    pub boards: Vec<i64>,
    /// What a board of each kind earns that has to be used.
    pub musts: Vec<i64>,
}

/// Most states remembered.
const MOST_STATES: usize = 200_000;

struct Cover<'a, 'b> {
    patterns: &'a [Pattern],
    /// Patterns that make a kind of piece, the most saving first.
    makers: Vec<Vec<usize>>,
    /// What each pattern costs beyond what its pieces are worth.
    costs: Vec<i64>,
    /// Kinds of pieces, those with the fewest makers first.
    order: Vec<usize>,
    duals: &'a Duals,
    premiums: Vec<i64>,
    wanted: Vec<usize>,
    boards: Vec<usize>,
    chosen: Vec<usize>,
    cost: i64,
    /// Only a cost of this or less is of use.
    most: i64,
    best: Option<Vec<usize>>,
    step: i64,
    /// What was still wanted and which boards were left, with the least cost it was looked at with.
    looked_at: BTreeMap<(Vec<usize>, Vec<usize>), i64>,
    budget: &'a mut Budget<'b>,
}

/// Chooses patterns (by their places, with repeats) for at most `most`; costs are whole multiples of
/// `step`. The second answer says whether the search was finished, so that nothing chosen is cheaper.
pub fn choose(
    patterns: &[Pattern],
    (wanted, boards): (&[usize], &[usize]),
    duals: &Duals,
    (most, step): (i64, i64),
    budget: &mut Budget<'_>,
) -> (Option<Vec<usize>>, bool) {
    // What a board earns that has to be used is taken off what using it up costs: how many are used in all is
    // not asked here.
    let premiums: Vec<i64> = duals.boards.iter().zip(&duals.musts).map(|(board, must)| (board - must).max(0)).collect();
    let reduced = |pattern: &Pattern| {
        let saved: i64 = pattern.makes.iter().map(|(item, count)| duals.pieces[*item] * *count as i64).sum();
        pattern.cost * SCALE - saved + premiums[pattern.board]
    };
    let mut makers = vec![Vec::new(); wanted.len()];
    for (place, pattern) in patterns.iter().enumerate() {
        for (item, _) in &pattern.makes {
            makers[*item].push(place);
        }
    }
    let costs: Vec<i64> = patterns.iter().map(reduced).collect();
    for makers in &mut makers {
        makers.sort_by_key(|place| (costs[*place], *place));
    }
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by_key(|item| (makers[*item].len(), *item));
    let mut cover = Cover {
        patterns,
        makers,
        costs,
        order,
        duals,
        premiums,
        wanted: wanted.to_vec(),
        boards: boards.to_vec(),
        chosen: Vec::new(),
        cost: 0,
        most,
        best: None,
        step,
        looked_at: BTreeMap::new(),
        budget,
    };
    cover.go();
    let whole = cover.budget.ended().is_none();
    (cover.best, whole)
}

impl Cover<'_, '_> {
    /// Least that what is still wanted costs, in parts of SCALE.
    fn least(&self) -> i64 {
        let pieces: i64 = self.wanted.iter().zip(&self.duals.pieces).map(|(left, price)| price * *left as i64).sum();
        let boards: i64 = self.boards.iter().zip(&self.premiums).map(|(left, price)| price * *left as i64).sum();
        pieces - boards
    }

    fn go(&mut self) {
        if !self.budget.step() {
            return;
        }
        let least = self.least();
        // The bound takes all boards for used: what is spent already may be more.
        if self.cost > self.most || self.cost * SCALE + least > self.most * SCALE {
            return;
        }
        if self.wanted.iter().all(|left| *left == 0) {
            self.best = Some(self.chosen.clone());
            self.most = self.cost - self.step;
            return;
        }
        let state = (self.wanted.clone(), self.boards.clone());
        let room = self.looked_at.len() < MOST_STATES;
        match self.looked_at.get_mut(&state) {
            Some(cost) if *cost <= self.cost => return,
            Some(cost) => *cost = self.cost,
            None if room => {
                self.looked_at.insert(state, self.cost);
            }
            None => {}
        }
        let Some(item) = self.order.iter().copied().find(|item| self.wanted[*item] > 0) else { return };
        for at in 0..self.makers[item].len() {
            let place = self.makers[item][at];
            // What a pattern costs beyond what it saves is lost, and those after it lose as much.
            if self.cost * SCALE + least + self.costs[place] > self.most * SCALE {
                break;
            }
            let board = self.patterns[place].board;
            if self.boards[board] == 0 {
                continue;
            }
            let patterns = self.patterns;
            let pattern = &patterns[place];
            let taken: Vec<usize> =
                pattern.makes.iter().map(|(item, count)| (*count).min(self.wanted[*item])).collect();
            for ((item, _), taken) in pattern.makes.iter().zip(&taken) {
                self.wanted[*item] -= taken;
            }
            self.boards[board] -= 1;
            self.cost += pattern.cost;
            self.chosen.push(place);
            self.go();
            self.chosen.pop();
            self.cost -= pattern.cost;
            self.boards[board] += 1;
            for ((item, _), taken) in pattern.makes.iter().zip(&taken) {
                self.wanted[*item] += taken;
            }
            if self.budget.ended().is_some() {
                return;
            }
        }
    }
}
