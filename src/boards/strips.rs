//! The most valuable way to cut one board in strips, and all ways that are valuable enough.
//!
//! A search in depth, strip after strip from the widest, piece after piece within each. What a branch
//! can still bring is bounded by two relaxations: pieces to a length and strips to a width (dynamic
//! programmes in which a piece may stand in several strips), and surface (each piece once, but in
//! parts). Both are sound: sizes are rounded down to cells, room is not.

use std::collections::BTreeMap;

use super::budget::Budget;
use super::task::{Clear, HELD_LEAST, Lay, Layout, Pattern, RIP_LEAST, Strip, Task, worth};
use crate::length::Length;

/// Dual values are whole numbers: this many to a unit of cost.
pub const SCALE: i64 = 1 << 20;
/// Cells of the dynamic programmes along and across.
const CELLS: i64 = 1024;

/// What to look for.
#[derive(Debug, Clone, Copy)]
pub enum Wanted {
    /// The most valuable pattern worth more than this.
    Best(i64),
    /// Every pattern worth at least this, up to a number.
    All(i64, usize),
}

/// What was found.
#[derive(Debug, Default)]
pub struct Found {
    /// Patterns and their values; for the best, each better than the one before.
    pub patterns: Vec<(i64, Pattern)>,
    /// No pattern of the board is worth more.
    pub upper: i64,
    /// Whether the search was finished.
    pub whole: bool,
}

/// One way a kind of piece may lie.
#[derive(Clone, Copy)]
struct Placement {
    lay: Lay,
    length: i64,
    width: i64,
    value: i64,
    /// What it brings beyond the worth of its surface as a leftover.
    net: i64,
}

/// The strip that is being filled.
struct Open {
    clear: usize,
    /// Placement it was opened with: none that follows is wider.
    opener: usize,
    width: i64,
    /// What is left of its length.
    rest: i64,
    longest: i64,
    lays: Vec<Lay>,
    /// What will be left of the rectangle's width beside it.
    beside: i64,
}

struct Search<'a, 'b> {
    task: &'a Task,
    board: usize,
    set: usize,
    clears: &'a [Clear],
    whole: i128,
    kerf: i64,
    placements: Vec<Placement>,
    /// Places of kinds of pieces by falling value for their surface.
    by_density: Vec<(usize, f64)>,
    left: Vec<usize>,
    values: &'a [i64],
    /// Best values by first placement and cells along the board.
    along: Vec<Vec<i64>>,
    cell: i64,
    /// For each clear rectangle, best values by first placement and cells across it.
    across: Vec<Vec<Vec<i64>>>,
    cell_across: Vec<i64>,
    /// Value of what is left for the surface, at the most.
    rate: f64,
    strips: Vec<Strip>,
    open: Option<Open>,
    wanted: Wanted,
    found: Found,
    known: BTreeMap<Vec<(usize, usize)>, (usize, i64)>,
    /// Highest bound of a branch that was not looked at.
    unseen: i64,
    budget: &'a mut Budget<'b>,
}

/// Searches one kind of board; `values` are those of the kinds of pieces, in parts of [`SCALE`], and
/// `left` how many of each may be used.
pub fn search(
    task: &Task,
    board: usize,
    values: &[i64],
    left: &[usize],
    wanted: Wanted,
    budget: &mut Budget<'_>,
) -> Found {
    let mut all = Found { whole: true, ..Found::default() };
    let Some(kind) = task.boards.get(board) else { return all };
    let mut wanted = wanted;
    for (set, clears) in kind.clear.iter().enumerate() {
        let mut search = Search::new(task, (board, set), clears, values, left, wanted, budget);
        search.run();
        let (found, unseen) = (search.found, search.unseen);
        if let (Wanted::Best(floor), Some((value, _))) = (wanted, found.patterns.last()) {
            wanted = Wanted::Best(floor.max(*value));
        }
        let best = found.patterns.iter().map(|(value, _)| *value).max().unwrap_or(0);
        all.upper = all.upper.max(best).max(unseen);
        all.whole &= found.whole;
        all.patterns.extend(found.patterns);
    }
    if let Wanted::Best(floor) = wanted {
        all.upper = all.upper.max(floor);
    }
    all
}

fn ticks(length: Length) -> i64 {
    length.ticks()
}

impl<'a, 'b> Search<'a, 'b> {
    fn new(
        task: &'a Task,
        (board, set): (usize, usize),
        clears: &'a [Clear],
        values: &'a [i64],
        left: &[usize],
        wanted: Wanted,
        budget: &'a mut Budget<'b>,
    ) -> Search<'a, 'b> {
        let kerf = ticks(task.kerf);
        let kind = &task.boards[board];
        let whole = kind.surface();
        // A unit of surface left over is worth this, in parts of SCALE; a hair more for safety.
        let rate = if whole > 0 {
            kind.cost as f64 * task.keep.permille as f64 / 1000.0 * SCALE as f64 / whole as f64 * (1.0 + 1e-9)
        } else {
            0.0
        };
        let mut placements = Vec::new();
        let mut by_density = Vec::new();
        for (place, item) in task.items.iter().enumerate() {
            let may = kind.takes.get(place).copied().unwrap_or(false);
            let value = values.get(place).copied().unwrap_or(0);
            // A worthless piece makes no pattern better, but has to be in some pattern of all.
            let useless = value <= 0 && matches!(wanted, Wanted::Best(_));
            if !may || useless || left.get(place).is_none_or(|left| *left == 0) {
                continue;
            }
            let (length, width) = (ticks(item.length), ticks(item.width));
            let mut fits_at_all = false;
            for turned in [false, true] {
                if turned && (!item.turns || length == width) {
                    continue;
                }
                let (length, width) = if turned { (width, length) } else { (length, width) };
                if clears.iter().any(|clear| length <= ticks(clear.length) && width <= ticks(clear.width)) {
                    let surface = (length + kerf) as f64 * (width + kerf) as f64;
                    let net = value - (surface * rate * (1.0 - 1e-9)) as i64 + 1;
                    placements.push(Placement { lay: Lay { item: place, turned }, length, width, value, net });
                    fits_at_all = true;
                }
            }
            if fits_at_all {
                let surface = (length + kerf) as f64 * (width + kerf) as f64;
                by_density.push((place, value as f64 / surface));
            }
        }
        placements.sort_by_key(|p| (-p.width, -p.length, p.lay.item, p.lay.turned));
        by_density.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let mut search = Search {
            task,
            board,
            set,
            clears,
            whole,
            kerf,
            placements,
            by_density,
            left: left.to_vec(),
            values,
            along: Vec::new(),
            cell: 1,
            across: Vec::new(),
            cell_across: Vec::new(),
            rate,
            strips: Vec::new(),
            open: None,
            wanted,
            found: Found { whole: true, ..Found::default() },
            known: BTreeMap::new(),
            unseen: 0,
            budget,
        };
        search.tables();
        search
    }

    /// The two dynamic programmes.
    fn tables(&mut self) {
        let longest = self.clears.iter().map(|clear| ticks(clear.length)).max().unwrap_or(0) + self.kerf;
        let sizes = self.placements.iter().map(|p| p.length + self.kerf);
        self.cell = cell(longest, sizes);
        let cells = usize::try_from(longest / self.cell).unwrap_or(0);
        let mut table = vec![vec![0; cells + 1]];
        for placement in self.placements.iter().rev() {
            let size = usize::try_from((placement.length + self.kerf) / self.cell).unwrap_or(usize::MAX);
            let most = self.left[placement.lay.item];
            let row = add(table.last().map_or(&[], Vec::as_slice), size, placement.net, most);
            table.push(row);
        }
        table.reverse();
        self.along = table;
        for clear in self.clears {
            let room = ticks(clear.width) + self.kerf;
            let sizes = self.placements.iter().map(|p| p.width + self.kerf);
            let cell = cell(room, sizes);
            let cells = usize::try_from(room / cell).unwrap_or(0);
            let mut table = vec![vec![0; cells + 1]];
            for (place, placement) in self.placements.iter().enumerate().rev() {
                let strip = self.best_along(place, ticks(clear.length) + self.kerf);
                let size = usize::try_from((placement.width + self.kerf) / cell).unwrap_or(usize::MAX);
                let most = self.left[placement.lay.item];
                let row = add(table.last().map_or(&[], Vec::as_slice), size, strip, most);
                table.push(row);
            }
            table.reverse();
            self.across.push(table);
            self.cell_across.push(cell);
        }
    }

    fn best_along(&self, from: usize, rest: i64) -> i64 {
        let cells = usize::try_from(rest.max(0) / self.cell).unwrap_or(0);
        let row = self.along.get(from).map_or(&[][..], Vec::as_slice);
        row.get(cells.min(row.len().saturating_sub(1))).copied().unwrap_or(0)
    }

    fn best_across(&self, clear: usize, from: usize, rest: i64) -> i64 {
        let (Some(cell), Some(table)) = (self.cell_across.get(clear), self.across.get(clear)) else { return 0 };
        let cells = usize::try_from(rest.max(0) / cell).unwrap_or(0);
        let row = table.get(from).map_or(&[][..], Vec::as_slice);
        row.get(cells.min(row.len().saturating_sub(1))).copied().unwrap_or(0)
    }

    /// Most that pieces and leftovers can still bring on this much surface, kerfs included.
    fn by_surface(&self, mut surface: f64) -> i64 {
        let mut sum = 0.0;
        for &(item, density) in &self.by_density {
            if density <= self.rate || surface <= 0.0 {
                break;
            }
            let piece = &self.task.items[item];
            let each = (ticks(piece.length) + self.kerf) as f64 * (ticks(piece.width) + self.kerf) as f64;
            let all = each * self.left[item] as f64;
            if all <= surface {
                sum += self.values[item] as f64 * self.left[item] as f64;
                surface -= all;
            } else {
                sum += density * surface;
                surface = 0.0;
            }
        }
        sum += self.rate * surface.max(0.0);
        // A whole number above it, whatever the rounding.
        (sum * (1.0 + 1e-12)) as i64 + 2
    }

    fn surface_after(&self, clear: usize) -> f64 {
        let rest = self.clears.iter().skip(clear + 1);
        rest.map(|clear| (ticks(clear.length) + self.kerf) as f64 * (ticks(clear.width) + self.kerf) as f64).sum()
    }

    fn after(&self, clear: usize) -> i64 {
        let rest = self.clears.iter().enumerate().skip(clear + 1);
        rest.map(|(place, clear)| self.best_across(place, 0, ticks(clear.width) + self.kerf)).sum()
    }

    fn run(&mut self) {
        if !self.placements.is_empty() {
            let width = self.clears.first().map_or(0, |clear| ticks(clear.width));
            self.strips_from(0, 0, width, 0);
        }
    }

    /// Whether a branch is worth looking at: `value` so far, `more` by the dynamic programmes, and
    /// `surface` still free.
    fn promising(&mut self, value: i64, more: i64, surface: f64) -> bool {
        let enough = |bound: i64| match self.wanted {
            Wanted::Best(floor) => bound > floor,
            Wanted::All(floor, _) => bound >= floor,
        };
        let kept = (self.rate * surface * (1.0 + 1e-12)) as i64 + 2;
        let bound = value + if self.rate > 0.0 { more + kept } else { more };
        if !enough(bound) {
            return false;
        }
        let bound = bound.min(value + self.by_surface(surface));
        if !enough(bound) {
            return false;
        }
        if !self.budget.step() {
            self.unseen = self.unseen.max(bound);
            self.found.whole = false;
            return false;
        }
        true
    }

    fn kept(&self, length: i64, width: i64) -> i64 {
        let cost = self.task.boards[self.board].cost;
        let (length, width) = (Length::from_ticks(length), Length::from_ticks(width));
        worth(&self.task.keep, cost, self.whole, length, width) * SCALE
    }

    /// Writes down the strips as they stand, `left` of the width of this rectangle and all of those
    /// after it being left over.
    fn record(&mut self, clear: usize, left: i64, value: i64) {
        let length = |place: usize| self.clears.get(place).map_or(0, |clear| ticks(clear.length));
        let here = self.kept(length(clear), left);
        let later = self.clears.iter().skip(clear + 1);
        let later: i64 = later.map(|room| self.kept(ticks(room.length), ticks(room.width))).sum();
        let value = value + here + later;
        let enough = match self.wanted {
            Wanted::Best(floor) => value > floor,
            Wanted::All(floor, _) => value >= floor,
        };
        if !enough {
            return;
        }
        let mut makes: Vec<(usize, usize)> = Vec::new();
        for lay in self.strips.iter().flat_map(|strip| &strip.lays) {
            match makes.iter_mut().find(|(item, _)| *item == lay.item) {
                Some((_, count)) => *count += 1,
                None => makes.push((lay.item, 1)),
            }
        }
        makes.sort_unstable();
        let brings: i64 = makes.iter().map(|(item, count)| self.values[*item] * (*count as i64)).sum();
        let cost = self.task.boards[self.board].cost - (value - brings) / SCALE;
        if matches!(self.wanted, Wanted::All(..)) {
            // Of layouts that make the same the first of the cheapest does.
            match self.known.get_mut(&makes) {
                Some((place, before)) if cost < *before => {
                    *before = cost;
                    let layout = Layout::Strips(self.strips.clone());
                    let (board, set) = (self.board, self.set);
                    self.found.patterns[*place] = (value, Pattern { board, set, makes, cost, layout });
                    return;
                }
                Some(_) => return,
                None => {
                    if let Wanted::All(_, most) = self.wanted
                        && self.found.patterns.len() >= most
                    {
                        self.found.whole = false;
                        self.unseen = self.unseen.max(value);
                        return;
                    }
                    self.known.insert(makes.clone(), (self.found.patterns.len(), cost));
                }
            }
        }
        let layout = Layout::Strips(self.strips.clone());
        self.found.patterns.push((value, Pattern { board: self.board, set: self.set, makes, cost, layout }));
        if let Wanted::Best(floor) = &mut self.wanted {
            *floor = value;
        }
    }

    /// Opens strips, from placement `from` on, in what is `left` of a rectangle's width; then those of
    /// the rectangles after it.
    fn strips_from(&mut self, clear: usize, from: usize, left: i64, value: i64) {
        let Some(&room) = self.clears.get(clear) else { return };
        let length = ticks(room.length);
        // Too short, or wider than long: it is not ripped.
        let rips = !self.task.safe || (length >= ticks(RIP_LEAST) && length >= left);
        for place in from..self.placements.len() {
            let placement = self.placements[place];
            let fits = placement.length <= length && placement.width <= left && self.left[placement.lay.item] > 0;
            let width = if rips { placement.width } else { left };
            if !fits || !self.trims(&placement, width) {
                continue;
            }
            let beside = left - width - self.kerf;
            let more = self.best_along(place, length + self.kerf)
                + self.best_across(clear, place, beside + self.kerf)
                + self.after(clear);
            let surface = (length + self.kerf) as f64 * (left + self.kerf) as f64 + self.surface_after(clear);
            if self.promising(value, more, surface) {
                let fresh = Open { clear, opener: place, width, rest: length, longest: 0, lays: Vec::new(), beside };
                let outer = self.open.replace(fresh);
                self.lay(place, value);
                self.open = outer;
            }
        }
        let next = clear + 1;
        if let Some(room) = self.clears.get(next) {
            let value = value + self.kept(length, left);
            let (more, surface) = (self.after(clear), self.surface_after(clear));
            if self.promising(value, more, surface) {
                self.strips_from(next, 0, ticks(room.width), value);
            }
        }
    }

    /// Whether a piece narrower than its strip can be ripped to its width once it is cut off.
    fn trims(&self, placement: &Placement, strip: i64) -> bool {
        let safe = placement.length >= ticks(RIP_LEAST) && placement.length >= strip;
        placement.width == strip || !self.task.safe || safe
    }

    /// Lays a piece at the end of the open strip, and everything that can follow it.
    fn lay(&mut self, place: usize, value: i64) {
        let placement = self.placements[place];
        let Some(open) = &mut self.open else { return };
        let (rest, longest) = (open.rest, open.longest);
        open.rest = rest - placement.length - self.kerf;
        open.longest = longest.max(placement.length);
        open.lays.push(placement.lay);
        self.left[placement.lay.item] -= 1;
        self.fill(place, value + placement.value);
        self.left[placement.lay.item] += 1;
        if let Some(open) = &mut self.open {
            open.lays.pop();
            (open.rest, open.longest) = (rest, longest);
        }
    }

    fn fill(&mut self, from: usize, value: i64) {
        let Some(open) = &self.open else { return };
        let (rest, width, clear, opener, beside) = (open.rest, open.width, open.clear, open.opener, open.beside);
        let length = self.clears.get(clear).map_or(0, |clear| ticks(clear.length));
        let outside = self.best_across(clear, opener, beside + self.kerf) + self.after(clear);
        let outer = (length + self.kerf) as f64 * (beside + self.kerf).max(0) as f64 + self.surface_after(clear);
        for place in from..self.placements.len() {
            let placement = self.placements[place];
            if placement.length > rest || self.left[placement.lay.item] == 0 || !self.trims(&placement, width) {
                continue;
            }
            let more = self.best_along(place, rest + self.kerf) + outside;
            let surface = (rest + self.kerf) as f64 * (width + self.kerf) as f64 + outer;
            if self.promising(value, more, surface) {
                self.lay(place, value);
            }
        }
        self.close(value, outside, outer);
    }

    /// Ends the open strip, writes the pattern down, and goes on beside it.
    fn close(&mut self, value: i64, outside: i64, outer: f64) {
        let Some(open) = self.open.take() else { return };
        let (clear, opener, beside) = (open.clear, open.opener, open.beside);
        // What is held in the last crosscut is the longest piece or the tail, whichever is longer.
        let crosscut = open.lays.len() > 1 || open.rest > -self.kerf;
        let held = open.longest.max(open.rest);
        if !self.task.safe || !crosscut || held >= ticks(HELD_LEAST) {
            let value = value + self.kept(open.rest, open.width);
            let strip = Strip { clear, width: Length::from_ticks(open.width), lays: open.lays.clone() };
            self.strips.push(strip);
            self.record(clear, beside, value);
            if self.promising(value, outside, outer) {
                self.strips_from(clear, opener, beside, value);
            }
            self.strips.pop();
        }
        self.open = Some(open);
    }
}

/// A cell for sizes in a room: their greatest common measure where that makes few cells, else so that
/// there are few.
fn cell(room: i64, sizes: impl Iterator<Item = i64>) -> i64 {
    let common = sizes.fold(0, gcd).max(1);
    common.max(room / CELLS + 1)
}

/// Greatest common measure.
pub fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

/// The table with up to `most` things of one size and value added.
fn add(table: &[i64], size: usize, value: i64, most: usize) -> Vec<i64> {
    let mut row = table.to_vec();
    if value <= 0 {
        return row;
    }
    // One count after the other, so that the innermost loop is a plain one over two slices.
    for count in 1..=most {
        let taken = size.saturating_mul(count);
        let value = value.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX));
        let Some(to) = row.get_mut(taken..) else { break };
        for (best, before) in to.iter_mut().zip(table) {
            *best = (*best).max(before + value);
        }
    }
    row
}
