//! The linear programme over patterns, and the bound it gives.
//!
//! Prices of pieces come out of the programme in floating point and are then rounded to whole numbers.
//! Whatever they are, the cost of any plan is at least what the pieces are worth at those prices, less
//! what the best pattern of each board is worth beyond its cost: so the bound is worked out in whole
//! numbers and does not depend on how well the programme was solved.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use super::budget::Budget;
use super::cover::Duals;
use super::strips::{Found, SCALE, Wanted};
use super::task::{Board, Clear, Item, Pattern, Style, Task};
use super::{free, strips};
use crate::length::Length;

/// Rounds of finding new patterns, at the most.
const MOST_ROUNDS: usize = 1500;
/// Steps of one search for a pattern in the linear programme.
const PRICING: u64 = 60_000;
/// Steps of a quick one.
const QUICK: u64 = 1_500;
/// Steps that a row of a programme solved from the beginning counts for, and rows that are a step where one
/// is added to it: about as long as other steps take.
const FRESH_ROW: u64 = 2;
const ADDED_ROWS: u64 = 2;
/// Cells of the grid of the bound for free cuts.
pub const GRID: i64 = 96;
/// A pattern must save this many parts of SCALE to be worth another round.
const WORTHWHILE: i64 = 16;

/// Searches a board in the style of the task.
pub fn search(
    task: &Task,
    board: usize,
    values: &[i64],
    left: &[usize],
    wanted: Wanted,
    budget: &mut Budget<'_>,
) -> Found {
    // Bad places are always cut out in strips.
    let plain = task.boards.get(board).is_some_and(|board| matches!(board.clear.as_slice(), [set] if set.len() == 1));
    if task.style == Style::Free && plain {
        free::search(task, board, values, left, (wanted, GRID), budget)
    } else {
        strips::search(task, board, values, left, wanted, budget)
    }
}

/// What is still to be cut, and the boards there are for it.
#[derive(Debug, Clone)]
pub struct Rest {
    /// Pieces of each kind.
    pub wanted: Vec<usize>,
    /// Boards of each kind, no more than there are pieces.
    pub boards: Vec<usize>,
    /// How many of them are used at least.
    pub least: Vec<usize>,
}

/// What the linear programme came to.
pub struct Relaxed {
    /// No plan for the rest costs less, in parts of SCALE.
    pub bound: i64,
    /// The prices that say so.
    pub duals: Duals,
}

/// The programme in its dual form: a price for each kind of piece, a premium for each kind of board, a
/// row for each pattern.
struct Dual {
    solution: Option<Box<Solution>>,
    pieces: Vec<Variable>,
    boards: Vec<Variable>,
    /// What a board earns that has to be used.
    musts: Vec<Variable>,
    /// A unit of the programme in units of cost.
    unit: f64,
}

impl Dual {
    fn new(task: &Task, rest: &Rest, patterns: &[Pattern]) -> Dual {
        let dearest = task.boards.iter().map(|board| board.cost).max().unwrap_or(1).max(1);
        let unit = dearest as f64;
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        // Prices have a ceiling, so that a first programme without enough patterns has an answer.
        let ceiling = (0.0, 8.0);
        let pieces: Vec<Variable> = rest.wanted.iter().map(|left| problem.add_var(*left as f64, ceiling)).collect();
        let boards: Vec<Variable> = rest.boards.iter().map(|left| problem.add_var(-(*left as f64), ceiling)).collect();
        let musts: Vec<Variable> = rest.least.iter().map(|least| problem.add_var(*least as f64, ceiling)).collect();
        let mut dual = Dual { solution: None, pieces, boards, musts, unit };
        for pattern in patterns.iter().filter(|pattern| rest.boards[pattern.board] > 0) {
            problem.add_constraint(dual.row(rest, pattern), ComparisonOp::Le, pattern.cost as f64 / unit);
        }
        dual.solution = problem.solve().ok().and_then(|outcome| outcome.into_solution().ok()).map(Box::new);
        dual
    }

    fn row(&self, rest: &Rest, pattern: &Pattern) -> Vec<(Variable, f64)> {
        let useful = |(item, count): &(usize, usize)| (self.pieces[*item], (*count).min(rest.wanted[*item]) as f64);
        let mut row: Vec<(Variable, f64)> = pattern.makes.iter().map(useful).filter(|(_, n)| *n > 0.0).collect();
        row.push((self.boards[pattern.board], -1.0));
        row.push((self.musts[pattern.board], 1.0));
        row
    }

    fn add(&mut self, rest: &Rest, pattern: &Pattern) {
        let row = self.row(rest, pattern);
        let Some(solution) = self.solution.take() else { return };
        let outcome = solution.add_constraint(row, ComparisonOp::Le, pattern.cost as f64 / self.unit);
        self.solution = outcome.ok().and_then(|outcome| outcome.into_solution().ok()).map(Box::new);
    }

    fn prices(&self) -> Option<Duals> {
        let solution = self.solution.as_ref()?;
        let whole = |variable: &Variable| {
            let value = solution.var_value(*variable).max(0.0) * self.unit * SCALE as f64;
            value as i64
        };
        let all = |variables: &[Variable]| variables.iter().map(whole).collect();
        Some(Duals { pieces: all(&self.pieces), boards: all(&self.boards), musts: all(&self.musts) })
    }
}

/// Finds patterns until none would make the programme cheaper; adds them to `patterns`.
pub fn relax(
    task: &Task,
    rest: &Rest,
    patterns: &mut Vec<Pattern>,
    enough: Option<i64>,
    budget: &mut Budget<'_>,
) -> Option<Relaxed> {
    let mut best: Option<Relaxed> = None;
    // Pivots are not told by the solver: their number goes with the rows, and so does the work of each.
    let rows = |patterns: usize| (patterns + rest.wanted.len()) as u64;
    if !budget.spend(rows(patterns.len()) * FRESH_ROW) {
        return None;
    }
    let mut dual = Dual::new(task, rest, patterns);
    let mut steps = QUICK;
    for _ in 0..MOST_ROUNDS {
        let Some(prices) = dual.prices() else { break };
        let mut fresh: Vec<Pattern> = Vec::new();
        let sum = |prices: &[i64], counts: &[usize]| -> i64 {
            prices.iter().zip(counts).map(|(price, count)| price * *count as i64).sum()
        };
        let mut bound = sum(&prices.pieces, &rest.wanted) + sum(&prices.musts, &rest.least);
        let mut premiums = vec![0; task.boards.len()];
        for (board, kind) in task.boards.iter().enumerate() {
            if rest.boards[board] == 0 {
                continue;
            }
            let own = kind.cost * SCALE - prices.musts[board];
            let floor = own + prices.boards[board] + WORTHWHILE;
            let mut share = budget.share(steps);
            let found = search(task, board, &prices.pieces, &rest.wanted, Wanted::Best(floor), &mut share);
            budget.charge(&share);
            // What a search that was broken off may have missed counts as found.
            let premium = (found.upper - own).max(0);
            premiums[board] = premium;
            bound -= premium * rest.boards[board] as i64;
            fresh.extend(found.patterns.into_iter().last().map(|(_, pattern)| pattern));
        }
        if best.as_ref().is_none_or(|best| best.bound < bound) {
            let duals = Duals { boards: premiums, ..prices };
            best = Some(Relaxed { bound, duals });
        }
        let reached = enough.zip(best.as_ref()).is_some_and(|(enough, best)| best.bound > enough);
        if reached || budget.ended().is_some() || (fresh.is_empty() && steps >= PRICING) {
            break;
        }
        // Patterns that are quickly found first; where there are none, longer searches.
        steps = if fresh.is_empty() { (steps * 8).min(PRICING) } else { QUICK };
        for pattern in fresh {
            if !budget.spend(rows(patterns.len()) / ADDED_ROWS + 1) {
                break;
            }
            dual.add(rest, &pattern);
            patterns.push(pattern);
        }
    }
    best
}

/// The bound by surface alone, in parts of SCALE.
///
/// A board whose cost is c costs at least c times the share of it that pieces take; with their kerfs of
/// a board with one kerf more, but then only for the part of c that leftovers do not give back.
pub fn by_surface(task: &Task, rest: &Rest) -> i64 {
    let surface = |length: Length, width: Length, kerf: Length| {
        i128::from((length + kerf).ticks()) * i128::from((width + kerf).ticks())
    };
    let room = |board: &Board, kerf: Length| -> i128 {
        let set = |set: &Vec<Clear>| set.iter().map(|clear| surface(clear.length, clear.width, kerf)).sum();
        board.clear.iter().map(set).max().unwrap_or(0)
    };
    let (kerf, none) = (task.kerf, Length::ZERO);
    let back = i128::from(task.keep.permille);
    let price = |item: &Item, place: usize| -> i128 {
        let boards = task.boards.iter().zip(&rest.boards).filter(|(board, count)| **count > 0 && board.takes[place]);
        let price = |(board, _): (&Board, &usize)| {
            let cost = i128::from(board.cost) * i128::from(SCALE);
            let share = |kerf: Length, part: i128| {
                cost * part * surface(item.length, item.width, kerf) / (room(board, kerf).max(1) * 1000)
            };
            share(kerf, 1000 - back) + share(none, back)
        };
        boards.map(price).min().unwrap_or(0)
    };
    let each = task.items.iter().enumerate().zip(&rest.wanted);
    let sum: i128 = each.map(|((place, item), count)| price(item, place) * *count as i128).sum();
    i64::try_from(sum).unwrap_or(0)
}

/// How often each pattern is cut in the cheapest mixture.
pub fn mixture(task: &Task, rest: &Rest, patterns: &[Pattern]) -> Vec<f64> {
    let unit = task.boards.iter().map(|board| board.cost).max().unwrap_or(1).max(1) as f64;
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let shares: Vec<Variable> =
        patterns.iter().map(|pattern| problem.add_var(pattern.cost as f64 / unit, (0.0, f64::INFINITY))).collect();
    for (item, left) in rest.wanted.iter().enumerate().filter(|(_, left)| **left > 0) {
        let makes = |pattern: &Pattern| {
            pattern.makes.iter().find(|(kind, _)| *kind == item).map(|(_, count)| (*count).min(*left) as f64)
        };
        let row: Vec<(Variable, f64)> =
            patterns.iter().zip(&shares).filter_map(|(pattern, share)| Some((*share, makes(pattern)?))).collect();
        problem.add_constraint(row, ComparisonOp::Ge, *left as f64);
    }
    for (board, (left, least)) in rest.boards.iter().zip(&rest.least).enumerate() {
        let row: Vec<(Variable, f64)> = patterns
            .iter()
            .zip(&shares)
            .filter(|(pattern, _)| pattern.board == board)
            .map(|(_, share)| (*share, 1.0))
            .collect();
        if *least > 0 {
            problem.add_constraint(row.clone(), ComparisonOp::Ge, *least as f64);
        }
        if !row.is_empty() {
            problem.add_constraint(row, ComparisonOp::Le, *left as f64);
        }
    }
    let solution = problem.solve().ok().and_then(|outcome| outcome.into_solution().ok());
    solution.map_or_else(Vec::new, |solution| shares.iter().map(|share| solution.var_value(*share)).collect())
}
