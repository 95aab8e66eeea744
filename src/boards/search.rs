//! The planner: the cheapest way to cut all pieces out of the boards, and a proof that it is.
//!
//! A first plan board by board; a linear programme over patterns for a bound; a plan rounded from its
//! mixture; then every pattern that any better plan could use, and the cheapest choice among them. Where
//! those are too many, every choice of boards that would be cheaper is settled by itself: its boards
//! filled, or shown not to give the pieces, priced by surface so that only the waste decides.

use std::collections::BTreeMap;

use super::budget::Budget;
use super::choices::{Choice, Values, choices, refill};
use super::cover::{Duals, choose};
use super::fill::fill;
use super::master::{Relaxed, Rest, by_surface, mixture, relax, search};
use super::strips::{SCALE, Wanted, gcd};
use super::task::{Answer, Board, Cut, Pattern, Task};

/// Steps of one search for a pattern in a plan made board by board.
const GREEDY: u64 = 20_000;
/// Patterns a better plan could use, at the most; beyond it the proof is given up.
const MOST_PATTERNS: usize = 100_000;
/// Steps of a choice among patterns that is not the last word.
const CHOICE: u64 = 40_000;
/// Steps of a first, quick attempt at a proof, of a second one, and of those for parts of the task.
const QUICK_PROOF: u64 = 100_000;
const FIRST_PROOF: u64 = 300_000;
const LATER_PROOF: u64 = 200_000;
/// Rounds of filling cheaper choices of boards before any of them is settled.
const ROUNDS: usize = 12;
/// Steps of the first attempt to settle a choice of boards; each later one may take four times as many.
const EFFORT: u64 = 20_000;
/// How often a choice is filled in each attempt.
const TRIES: usize = 8;
/// Parts of the task kept in mind at once.
const MOST_PARTS: usize = 20_000;
/// Beyond this many patterns those that another one replaces are not looked for.
const COMPARED: usize = 3_000;

/// Plans a task within a budget; `None` where the pieces do not come out of the boards, or no plan was
/// found. `told` hears of the cost and the bound as they come nearer to each other.
pub fn plan(task: &Task, budget: &mut Budget<'_>, told: &mut dyn FnMut(i64, i64)) -> Option<Answer> {
    let wanted: Vec<usize> = task.items.iter().map(|item| item.count).collect();
    let pieces: usize = wanted.iter().sum();
    let boards: Vec<usize> = task.boards.iter().map(|board| board.count.min(pieces)).collect();
    let least = vec![0; boards.len()];
    let whole = Rest { wanted, boards, least };
    let mut planner = Planner { task, step: step(task), best: None, bound: 0, budget, told };
    planner.run(&whole);
    let (best, bound) = (planner.best, planner.bound);
    let cut = budget.ended();
    let (cost, chosen) = best?;
    let bound = bound.min(cost);
    let cut = if cost <= bound { None } else { cut.or(Some(Cut::Work)) };
    Some(Answer { uses: trimmed(task, chosen), cost, bound, cut })
}

/// All costs are whole multiples of this.
fn step(task: &Task) -> i64 {
    if task.keep.permille > 0 { 1 } else { task.boards.iter().map(|board| board.cost).fold(0, gcd).max(1) }
}

type Chosen = Vec<(Pattern, usize)>;

struct Planner<'t, 'b, 's> {
    task: &'t Task,
    step: i64,
    best: Option<(i64, Chosen)>,
    bound: i64,
    budget: &'b mut Budget<'s>,
    told: &'t mut dyn FnMut(i64, i64),
}

impl Planner<'_, '_, '_> {
    fn offer(&mut self, plan: Chosen) {
        let cost: i64 = plan.iter().map(|(pattern, times)| pattern.cost * *times as i64).sum();
        if self.best.as_ref().is_none_or(|(best, _)| cost < *best) {
            self.best = Some((cost, plan));
            self.tell();
        }
    }

    fn tell(&mut self) {
        if let Some((cost, _)) = &self.best {
            (self.told)(*cost, self.bound);
        }
    }

    fn raise(&mut self, scaled: i64) {
        // The cost of a plan is a whole multiple of the step.
        let cost = scaled.div_euclid(SCALE) + i64::from(scaled.rem_euclid(SCALE) > 0);
        let bound = -(-cost).div_euclid(self.step) * self.step;
        if bound > self.bound {
            self.bound = bound;
            self.tell();
        }
    }

    fn done(&self) -> bool {
        self.best.as_ref().is_some_and(|(cost, _)| *cost <= self.bound) || self.budget.ended().is_some()
    }

    fn run(&mut self, whole: &Rest) {
        if whole.wanted.iter().all(|left| *left == 0) {
            self.best = Some((0, Vec::new()));
            return;
        }
        let mut patterns: Vec<Pattern> = Vec::new();
        if let Some(plan) = greedy(self.task, whole, self.budget) {
            patterns.extend(plan.iter().map(|(pattern, _)| pattern.clone()));
            self.offer(plan);
        }
        self.raise(by_surface(self.task, whole));
        if self.done() {
            return;
        }
        let mut share = self.budget.share(self.budget.left() / 3);
        let relaxed = relax(self.task, whole, &mut patterns, None, &mut share);
        self.budget.charge(&share);
        let Some(relaxed) = relaxed else { return };
        self.raise(relaxed.bound);
        if self.done() {
            return;
        }
        self.choose_among(&patterns, whole, &relaxed.duals, CHOICE);
        if self.done() {
            return;
        }
        self.dive(whole, &mut patterns.clone());
        if self.done() {
            return;
        }
        if self.prove(whole, &relaxed, QUICK_PROOF) {
            self.raise(self.cost_scaled());
            return;
        }
        self.refill(whole);
        if self.done() {
            return;
        }
        if self.settle(whole) || self.done() {
            return;
        }
        if self.prove(whole, &relaxed, FIRST_PROOF) {
            self.raise(self.cost_scaled());
            return;
        }
        self.branch(whole, patterns, relaxed.bound);
    }

    /// Looks at every choice of boards that is cheaper than the best plan: whether the pieces come out of
    /// it. Where they do not, they come out of no part of it. `false` where there are too many choices.
    fn settle(&mut self, whole: &Rest) -> bool {
        let Some(best) = self.best.as_ref().map(|(cost, _)| *cost) else { return false };
        // What leftovers are worth is not known before the boards are cut up.
        if self.task.keep.permille > 0 {
            return false;
        }
        let list = |most: i64, bound: i64, maximal: bool| choices(self.task, whole, (bound, most), maximal);
        let (mut sets, all) = list(best - self.step, self.bound, false);
        if !all {
            let (maximal, complete) = list(best - self.step, self.bound, true);
            if !complete {
                return false;
            }
            sets = maximal;
        }
        let scaled = by_size(self.task);
        let mut patterns: Vec<Pattern> = Vec::new();
        let mut values = Values::new(self.task);
        let mut empty: Vec<Vec<usize>> = Vec::new();
        let part = |set: &Choice, of: &[usize]| set.boards.iter().zip(of).all(|(less, more)| less <= more);
        // What the programme said of choices that could not be settled.
        let mut asked: BTreeMap<Vec<usize>, Relaxed> = BTreeMap::new();
        let mut effort = EFFORT;
        while !sets.is_empty() && self.budget.ended().is_none() {
            let mut round = 0;
            while round < sets.len() && self.budget.ended().is_none() {
                // Of all choices the cheapest first: those it takes to prove the bound, and the best plan is the
                // first that is found. Of the largest only, the dearest.
                let place = if all { round } else { sets.len() - 1 - round };
                let boards = sets[place].boards.clone();
                let mut share = self.budget.share(effort);
                let known = asked.remove(&boards);
                let (plan, settled, relaxed) =
                    within((self.task, &scaled), whole, &boards, (&mut patterns, &mut values, known), &mut share);
                self.budget.charge(&share);
                if let Some(mut plan) = plan {
                    for (pattern, _) in &mut plan {
                        pattern.cost = self.task.boards[pattern.board].cost;
                    }
                    self.offer(plan);
                    let most = self.best.as_ref().map_or(0, |(cost, _)| cost - self.step);
                    if all {
                        sets.retain(|set| set.cost <= most);
                    } else {
                        let (maximal, complete) = choices(self.task, whole, (self.bound, most), true);
                        if !complete {
                            return false;
                        }
                        sets = maximal;
                        sets.retain(|set| !empty.iter().any(|empty| part(set, empty)));
                        round = 0;
                    }
                } else if settled {
                    sets.retain(|set| !part(set, &boards));
                    empty.push(boards);
                } else {
                    asked.extend(relaxed.map(|relaxed| (boards, relaxed)));
                    round += 1;
                }
            }
            // What is left of the budget was allowed already.
            if effort > self.budget.left() {
                break;
            }
            effort = effort.saturating_mul(4);
        }
        let cost = self.best.as_ref().map_or(0, |(cost, _)| *cost);
        if all || sets.is_empty() {
            self.raise(sets.first().map_or(cost, |set| set.cost).min(cost) * SCALE);
        }
        true
    }

    /// Tries cheaper choices of boards, filled again and again: the dearest that is cheaper than the best
    /// plan, and the one half way down to the bound.
    fn refill(&mut self, whole: &Rest) {
        let Some(best) = self.best.as_ref().map(|(cost, _)| *cost) else { return };
        let (mut sets, _) = choices(self.task, whole, (self.bound, best - self.step), false);
        let mut values = Values::new(self.task);
        for round in 0..ROUNDS {
            let last = sets.len().saturating_sub(1);
            let place = if round % 2 == 0 { last } else { last / 2 };
            let Some(set) = sets.get(place).filter(|_| !self.done()) else { return };
            if let Some(plan) = refill(self.task, whole, &set.boards, &mut values, self.budget) {
                self.offer(plan);
                let most = self.best.as_ref().map_or(0, |(cost, _)| cost - self.step);
                sets.retain(|set| set.cost <= most);
            }
        }
    }

    /// Splits the task by how many boards of a kind are used, the least bound first, until every part is
    /// settled.
    fn branch(&mut self, whole: &Rest, mut patterns: Vec<Pattern>, bound: i64) {
        let mut open: Vec<(i64, usize, Rest)> = vec![(bound, 0, whole.clone())];
        // The least bound of a part that could not be settled.
        let mut stuck: Option<i64> = None;
        let mut number = 0;
        while let Some(place) = (0..open.len()).min_by_key(|place| (open[*place].0, open[*place].1)) {
            let (bound, _, rest) = open.swap_remove(place);
            let lowest = stuck.map_or(bound, |stuck| stuck.min(bound));
            self.raise(lowest.min(self.cost_scaled()));
            if self.budget.ended().is_some() || open.len() > MOST_PARTS {
                return;
            }
            let most = self.most_scaled();
            if bound > most {
                continue;
            }
            let Some(relaxed) = relax(self.task, &rest, &mut patterns, Some(most), self.budget) else { return };
            if self.budget.ended().is_some() {
                return;
            }
            let bound = relaxed.bound.max(bound);
            if bound > most {
                continue;
            }
            let usable = |pattern: &Pattern| rest.boards[pattern.board] > 0;
            let here: Vec<Pattern> = patterns.iter().filter(|pattern| usable(pattern)).cloned().collect();
            let shares = mixture(self.task, &rest, &here);
            let mut used = vec![0.0; self.task.boards.len()];
            for (pattern, share) in here.iter().zip(&shares) {
                used[pattern.board] += share;
            }
            let off = |used: f64| (used - libm::floor(used)).min(libm::ceil(used) - used);
            let split = used.iter().enumerate().filter(|(_, used)| off(**used) > 1e-6);
            let split = split.max_by(|a, b| {
                let weight = |(board, used): &(usize, &f64)| off(**used) * self.task.boards[*board].cost as f64;
                weight(a).total_cmp(&weight(b)).then(b.0.cmp(&a.0))
            });
            if let Some((board, used)) = split {
                let floor = libm::floor(*used) as usize;
                let (mut fewer, mut more) = (rest.clone(), rest);
                fewer.boards[board] = floor;
                more.least[board] = floor + 1;
                for part in [more, fewer] {
                    number += 1;
                    open.push((bound, number, part));
                }
                continue;
            }
            self.dive(&rest, &mut here.clone());
            if bound > self.most_scaled() {
                continue;
            }
            let relaxed = Relaxed { bound: relaxed.bound, duals: relaxed.duals };
            if !self.prove(&rest, &relaxed, LATER_PROOF) {
                stuck = Some(stuck.map_or(bound, |stuck| stuck.min(bound)));
            }
        }
        let lowest = stuck.unwrap_or(i64::MAX).min(self.cost_scaled());
        self.raise(lowest);
    }

    fn cost_scaled(&self) -> i64 {
        self.best.as_ref().map_or(i64::MAX, |(cost, _)| cost * SCALE)
    }

    /// What a better plan costs at the most.
    fn most_scaled(&self) -> i64 {
        self.best.as_ref().map_or(i64::MAX / 4, |(cost, _)| (cost - self.step) * SCALE)
    }

    /// A better plan out of given patterns, if there is one; whether the search was finished.
    fn choose_among(&mut self, patterns: &[Pattern], whole: &Rest, duals: &Duals, steps: u64) -> bool {
        let most = self.best.as_ref().map_or(i64::MAX / (4 * SCALE), |(cost, _)| cost - self.step);
        let mut share = self.budget.share(steps);
        let rest = (whole.wanted.as_slice(), whole.boards.as_slice());
        let (chosen, finished) = choose(patterns, rest, duals, (most, self.step), &mut share);
        self.budget.charge(&share);
        if let Some(chosen) = chosen {
            let mut times: BTreeMap<usize, usize> = BTreeMap::new();
            for place in chosen {
                *times.entry(place).or_default() += 1;
            }
            self.offer(times.into_iter().map(|(place, times)| (patterns[place].clone(), times)).collect());
        }
        finished
    }

    /// Rounds the mixture down, or takes the pattern with the greatest share, and mixes again for the rest.
    fn dive(&mut self, rest: &Rest, patterns: &mut Vec<Pattern>) {
        let mut rest = rest.clone();
        let (mut taken, mut spent): (Chosen, i64) = (Vec::new(), 0);
        // Boards that have to be used are a matter of bounds only.
        rest.least.fill(0);
        let mut allowed = self.budget.left() / 3;
        loop {
            if self.done() || allowed == 0 {
                return;
            }
            if rest.wanted.iter().all(|left| *left == 0) {
                self.offer(taken);
                return;
            }
            // A rest that cannot be cut cheaply enough need not be cut at all.
            let most = self.best.as_ref().map(|(cost, _)| (cost - self.step - spent) * SCALE);
            let mut share = self.budget.share(allowed);
            let relaxed = relax(self.task, &rest, patterns, most, &mut share);
            self.budget.charge(&share);
            allowed -= share.taken();
            let Some(relaxed) = relaxed else { return };
            if most.is_some_and(|most| relaxed.bound > most) {
                return;
            }
            let shares = mixture(self.task, &rest, patterns);
            let mut steps: Vec<(usize, usize)> = shares
                .iter()
                .enumerate()
                .filter(|(_, share)| **share >= 1.0 - 1e-6)
                .map(|(place, share)| (place, (share + 1e-6) as usize))
                .collect();
            if steps.is_empty() {
                let most = shares.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)));
                match most {
                    Some((place, share)) if *share > 1e-6 => steps.push((place, 1)),
                    _ => return,
                }
            }
            for (place, times) in steps {
                let pattern = patterns[place].clone();
                let times = times.min(rest.boards[pattern.board]);
                if times == 0 {
                    continue;
                }
                rest.boards[pattern.board] -= times;
                for (item, count) in &pattern.makes {
                    rest.wanted[*item] = rest.wanted[*item].saturating_sub(count * times);
                }
                spent += pattern.cost * times as i64;
                taken.push((pattern, times));
            }
        }
    }

    /// All patterns a better plan of a part of the task could use, and the best choice among them;
    /// whether that settles the part.
    fn prove(&mut self, part: &Rest, relaxed: &Relaxed, steps: u64) -> bool {
        let Relaxed { bound, duals } = relaxed;
        let mut spare = self.budget.share(steps).left();
        // First only the most saving ones: a better plan makes the whole search smaller.
        for share in [16, 4, 2, 1] {
            let gap = self.most_scaled() - bound;
            if gap < 0 {
                return true;
            }
            let mut all: Vec<Pattern> = Vec::new();
            for (board, kind) in self.task.boards.iter().enumerate() {
                if part.boards[board] == 0 {
                    continue;
                }
                let least = kind.cost * SCALE - duals.musts[board] + duals.boards[board] - gap / share;
                let wanted = Wanted::All(least, MOST_PATTERNS.saturating_sub(all.len()));
                let mut own = self.budget.share(spare);
                let found = search(self.task, board, &duals.pieces, &part.wanted, wanted, &mut own);
                self.budget.charge(&own);
                spare -= own.taken();
                if !found.whole {
                    return false;
                }
                all.extend(found.patterns.into_iter().map(|(_, pattern)| pattern));
            }
            if all.len() <= COMPARED {
                all = undominated(all);
            }
            let own = if share == 1 { spare } else { spare.min(CHOICE) };
            let finished = self.choose_among(&all, part, duals, own);
            if !finished && share == 1 {
                return false;
            }
            if share == 1 {
                return true;
            }
        }
        true
    }
}

/// The task with every board at a cost that goes by its surface.
fn by_size(task: &Task) -> Task {
    let largest = task.boards.iter().map(Board::surface).max().unwrap_or(1).max(1);
    let mut scaled = task.clone();
    for board in &mut scaled.boards {
        board.cost = i64::try_from(board.surface() * 10_000 / largest).unwrap_or(1).max(1);
    }
    scaled
}

/// Whether all pieces come out of a choice of boards: a plan, whether it is settled, and what the linear
/// programme says of them where it is not.
fn within(
    (task, scaled): (&Task, &Task),
    whole: &Rest,
    boards: &[usize],
    (patterns, values, known): (&mut Vec<Pattern>, &mut Values, Option<Relaxed>),
    budget: &mut Budget<'_>,
) -> (Option<Chosen>, bool, Option<Relaxed>) {
    let rest = Rest { wanted: whole.wanted.clone(), boards: boards.to_vec(), least: vec![0; boards.len()] };
    let all: i64 = scaled.boards.iter().zip(boards).map(|(board, count)| board.cost * *count as i64).sum();
    let first = known.is_none();
    let Some(relaxed) = known.or_else(|| relax(scaled, &rest, patterns, Some(all * SCALE), budget)) else {
        return (None, false, None);
    };
    if relaxed.bound > all * SCALE {
        return (None, true, None);
    }
    // A programme that was broken off has to be asked again.
    if budget.ended().is_some() {
        return (None, false, None);
    }
    for _ in 0..TRIES {
        let mut share = budget.share(budget.left() / 4);
        let plan = refill(task, whole, boards, values, &mut share);
        budget.charge(&share);
        if plan.is_some() {
            return (plan, true, None);
        }
    }
    if budget.ended().is_some() {
        return (None, false, Some(relaxed));
    }
    if first {
        let mut told = |_, _| {};
        let mut inner =
            Planner { task: scaled, step: 1, best: Some((all + 1, Vec::new())), bound: all, budget, told: &mut told };
        let usable = |pattern: &&Pattern| boards[pattern.board] > 0;
        inner.dive(&rest, &mut patterns.iter().filter(usable).cloned().collect());
        let plan = inner.best.filter(|(cost, _)| *cost <= all).map(|(_, plan)| plan);
        if plan.is_some() {
            return (plan, true, None);
        }
    }
    let (plan, settled) = fill(scaled, &rest, &relaxed, all * SCALE - relaxed.bound, budget);
    (plan, settled, Some(relaxed))
}

/// A plan board by board: each time the pattern that cuts most surface for its cost, as often as it goes.
fn greedy(task: &Task, whole: &Rest, budget: &mut Budget<'_>) -> Option<Chosen> {
    let mut rest = whole.clone();
    let mut plan: Chosen = Vec::new();
    // Surface of a piece, kerf included, as its value: in thousandths of the largest.
    let surface =
        |item: &super::task::Item| (item.length + task.kerf).ticks() as f64 * (item.width + task.kerf).ticks() as f64;
    let largest = task.items.iter().map(surface).fold(1.0, f64::max);
    let dearest = task.boards.iter().map(|board| board.cost).max().unwrap_or(1).max(1);
    let values: Vec<i64> = task
        .items
        .iter()
        .map(|item| {
            ((surface(item) / largest * 1000.0) as i64).max(1).saturating_mul(dearest).saturating_mul(SCALE / 64)
        })
        .collect();
    while rest.wanted.iter().any(|left| *left > 0) {
        let mut best: Option<(f64, Pattern)> = None;
        for board in (0..task.boards.len()).filter(|board| rest.boards[*board] > 0).collect::<Vec<_>>() {
            let mut share = budget.share(GREEDY);
            let found = search(task, board, &values, &rest.wanted, Wanted::Best(0), &mut share);
            budget.charge(&share);
            if let Some((_, pattern)) = found.patterns.into_iter().last() {
                let brings: f64 = pattern.makes.iter().map(|(item, count)| values[*item] as f64 * *count as f64).sum();
                let ratio = brings / pattern.cost.max(1) as f64;
                if best.as_ref().is_none_or(|(before, _)| ratio > *before) {
                    best = Some((ratio, pattern));
                }
            }
        }
        let (_, pattern) = best?;
        let often = pattern.makes.iter().map(|(item, count)| rest.wanted[*item] / count).min().unwrap_or(1);
        let times = often.clamp(1, rest.boards[pattern.board]);
        rest.boards[pattern.board] -= times;
        for (item, count) in &pattern.makes {
            rest.wanted[*item] = rest.wanted[*item].saturating_sub(count * times);
        }
        plan.push((pattern, times));
    }
    Some(plan)
}

/// Leaves out patterns that another one of the same board replaces: it makes as much and costs no more.
fn undominated(patterns: Vec<Pattern>) -> Vec<Pattern> {
    let covers = |more: &Pattern, less: &Pattern| {
        more.board == less.board
            && more.cost <= less.cost
            && less
                .makes
                .iter()
                .all(|(item, count)| more.makes.iter().any(|(other, makes)| other == item && makes >= count))
    };
    let keep: Vec<bool> = patterns
        .iter()
        .enumerate()
        .map(|(place, pattern)| {
            !patterns.iter().enumerate().any(|(other, more)| {
                // Of two that replace each other the first stays.
                other != place && covers(more, pattern) && (!covers(pattern, more) || other < place)
            })
        })
        .collect();
    patterns.into_iter().zip(keep).filter(|(_, keep)| *keep).map(|(pattern, _)| pattern).collect()
}

/// The plan with the same pattern written once, in the order of the boards.
fn trimmed(task: &Task, chosen: Chosen) -> Chosen {
    let mut uses: Chosen = Vec::new();
    for (pattern, times) in chosen {
        match uses.iter_mut().find(|(other, _)| *other == pattern) {
            Some((_, before)) => *before += times,
            None => uses.push((pattern, times)),
        }
    }
    uses.sort_by_key(|(pattern, _)| pattern.board.min(task.boards.len()));
    uses
}
