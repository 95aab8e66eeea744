//! The most valuable way to cut one clear rectangle by any sequence of cuts from edge to edge.
//!
//! Rectangles are built from the pieces upwards, two at a time along or across, the most promising
//! first (Viswanathan & Bagchi, Operations Research 41 (1993) 768-776). What a rectangle in the corner
//! of the board can still be joined by is bounded by the most that cuts from edge to edge bring when
//! pieces are in endless supply (Gilmore & Gomory, Operations Research 13 (1965) 94-120), and by surface.

use std::collections::{BTreeMap, BinaryHeap};

use super::budget::Budget;
use super::strips::{Found, SCALE, Wanted, gcd};
use super::task::{Clear, HELD_LEAST, Lay, Layout, Pattern, RIP_LEAST, Task, Tree, worth};
use crate::length::Length;

/// Most rectangles kept.
const MOST: usize = 400_000;

#[derive(Clone, Copy)]
enum Made {
    Piece(Lay),
    Along(usize, usize),
    Across(usize, usize),
}

/// A rectangle, one kerf added to both sizes.
struct Block {
    length: i64,
    width: i64,
    value: i64,
    counts: Vec<u16>,
    made: Made,
}

#[derive(Clone, Copy)]
struct Leaf {
    lay: Lay,
    length: i64,
    width: i64,
    value: i64,
}

/// Bounds by endless supply on a grid of cells.
pub struct Endless {
    cell: (i64, i64),
    size: (usize, usize),
    /// Most from a rectangle of so many cells.
    best: Vec<i64>,
    /// Most that can be added to a rectangle of so many cells in the corner.
    more: Vec<i64>,
}

impl Endless {
    fn new(leaves: &[Leaf], room: (i64, i64), cells: i64) -> Endless {
        let cell_of = |room: i64, sizes: &mut dyn Iterator<Item = i64>| sizes.fold(0, gcd).max(room / cells + 1);
        let cell = (
            cell_of(room.0, &mut leaves.iter().map(|leaf| leaf.length)),
            cell_of(room.1, &mut leaves.iter().map(|leaf| leaf.width)),
        );
        let count = |room: i64, cell: i64| usize::try_from(room / cell).unwrap_or(0);
        let size = (count(room.0, cell.0), count(room.1, cell.1));
        let mut endless = Endless { cell, size, best: Vec::new(), more: Vec::new() };
        // A piece smaller than a cell would take no room at all: then only surface bounds.
        if leaves.iter().all(|leaf| leaf.length >= cell.0 && leaf.width >= cell.1) {
            endless.fill_best(leaves);
            endless.fill_more();
        }
        endless
    }

    fn at(&self, x: usize, y: usize) -> usize {
        y * (self.size.0 + 1) + x
    }

    fn fill_best(&mut self, leaves: &[Leaf]) {
        let (nx, ny) = self.size;
        let mut best = vec![0_i64; (nx + 1) * (ny + 1)];
        for leaf in leaves {
            let cells = |size: i64, cell: i64| usize::try_from(size / cell).unwrap_or(usize::MAX);
            let (x0, y0) = (cells(leaf.length, self.cell.0), cells(leaf.width, self.cell.1));
            for y in y0..=ny {
                for x in x0..=nx {
                    let place = self.at(x, y);
                    best[place] = best[place].max(leaf.value);
                }
            }
        }
        for y in 1..=ny {
            for x in 1..=nx {
                let mut most = best[self.at(x, y)];
                for u in 1..=x / 2 {
                    most = most.max(best[self.at(u, y)] + best[self.at(x - u, y)]);
                }
                for v in 1..=y / 2 {
                    most = most.max(best[self.at(x, v)] + best[self.at(x, y - v)]);
                }
                best[y * (nx + 1) + x] = most;
            }
        }
        self.best = best;
    }

    fn fill_more(&mut self) {
        let (nx, ny) = self.size;
        let mut more = vec![0_i64; (nx + 1) * (ny + 1)];
        for y in (0..=ny).rev() {
            for x in (0..=nx).rev() {
                let mut most = 0;
                for u in 1..=nx - x {
                    most = most.max(more[self.at(x + u, y)] + self.best[self.at(u, y)]);
                }
                for v in 1..=ny - y {
                    most = most.max(more[self.at(x, y + v)] + self.best[self.at(x, v)]);
                }
                more[y * (nx + 1) + x] = most;
            }
        }
        self.more = more;
    }

    /// Most from the whole room, pieces in endless supply; exact where sizes are whole cells.
    fn whole(&self) -> i64 {
        self.best.last().copied().unwrap_or(0)
    }

    /// Most that can be added to a rectangle.
    fn beyond(&self, length: i64, width: i64) -> i64 {
        // Sizes of a rectangle rounded down leave more room than there is: still a bound.
        let (x, y) = (length / self.cell.0, width / self.cell.1);
        let (x, y) = (usize::try_from(x).unwrap_or(0), usize::try_from(y).unwrap_or(0));
        self.more.get(self.at(x.min(self.size.0), y.min(self.size.1))).copied().unwrap_or(i64::MAX / 4)
    }
}

/// Most from one rectangle when pieces are in endless supply, in units of the values; `cells` each way.
pub fn endless(task: &Task, values: &[i64], room: (Length, Length), cells: i64) -> i64 {
    let clear = Clear { x: Length::ZERO, y: Length::ZERO, length: room.0, width: room.1 };
    let left = vec![usize::MAX; task.items.len()];
    let leaves = leaves(task, &clear, values, &left, None, true);
    let kerf = task.kerf.ticks();
    Endless::new(&leaves, (room.0.ticks() + kerf, room.1.ticks() + kerf), cells).whole()
}

fn leaves(
    task: &Task,
    clear: &Clear,
    values: &[i64],
    left: &[usize],
    board: Option<usize>,
    worthless: bool,
) -> Vec<Leaf> {
    let kerf = task.kerf.ticks();
    let takes = board.and_then(|board| task.boards.get(board)).map(|board| &board.takes);
    let mut leaves = Vec::new();
    for (place, item) in task.items.iter().enumerate() {
        let may = takes.is_none_or(|takes| takes.get(place).copied().unwrap_or(false));
        let value = values.get(place).copied().unwrap_or(0);
        if !may || left.get(place).is_none_or(|left| *left == 0) || (value <= 0 && !worthless) {
            continue;
        }
        for turned in [false, true] {
            if turned && (!item.turns || item.length == item.width) {
                continue;
            }
            let (length, width) = if turned { (item.width, item.length) } else { (item.length, item.width) };
            if length <= clear.length && width <= clear.width {
                let lay = Lay { item: place, turned };
                leaves.push(Leaf { lay, length: length.ticks() + kerf, width: width.ticks() + kerf, value });
            }
        }
    }
    leaves
}

struct Search<'a, 'b> {
    task: &'a Task,
    board: usize,
    clear: Clear,
    room: (i64, i64),
    values: &'a [i64],
    left: &'a [usize],
    endless: Endless,
    by_density: Vec<(usize, f64)>,
    rate: f64,
    whole: i128,
    blocks: Vec<Block>,
    seen: BTreeMap<Vec<u16>, Vec<(i64, i64)>>,
    queue: BinaryHeap<(i64, std::cmp::Reverse<usize>)>,
    wanted: Wanted,
    found: Found,
    unseen: i64,
    budget: &'a mut Budget<'b>,
}

/// Searches one clear rectangle of a kind of board; see `strips::search`. `cells` of the grid
/// of the bound each way.
pub fn search(
    task: &Task,
    board: usize,
    values: &[i64],
    left: &[usize],
    (wanted, cells): (Wanted, i64),
    budget: &mut Budget<'_>,
) -> Found {
    let Some(kind) = task.boards.get(board) else { return Found { whole: true, ..Found::default() } };
    let Some(&clear) = kind.clear.first().and_then(|set| set.first()) else {
        return Found { whole: true, ..Found::default() };
    };
    let kerf = task.kerf.ticks();
    let room = (clear.length.ticks() + kerf, clear.width.ticks() + kerf);
    let leaves = leaves(task, &clear, values, left, Some(board), matches!(wanted, Wanted::All(..)));
    let whole = kind.surface();
    let rate = if whole > 0 {
        kind.cost as f64 * task.keep.permille as f64 / 1000.0 * SCALE as f64 / whole as f64 * (1.0 + 1e-9)
    } else {
        0.0
    };
    let mut by_density: Vec<(usize, f64)> = Vec::new();
    for leaf in &leaves {
        if by_density.last().is_none_or(|(item, _)| *item != leaf.lay.item) {
            by_density.push((leaf.lay.item, leaf.value as f64 / (leaf.length as f64 * leaf.width as f64)));
        }
    }
    by_density.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut search = Search {
        task,
        board,
        clear,
        room,
        values,
        left,
        endless: Endless::new(&leaves, room, cells),
        by_density,
        rate,
        whole,
        blocks: Vec::new(),
        seen: BTreeMap::new(),
        queue: BinaryHeap::new(),
        wanted,
        found: Found { whole: true, ..Found::default() },
        unseen: 0,
        budget,
    };
    search.run(&leaves);
    let best = search.found.patterns.iter().map(|(value, _)| *value).max().unwrap_or(0);
    let floor = if let Wanted::Best(floor) = wanted { floor } else { 0 };
    search.found.upper = best.max(search.unseen).max(floor);
    search.found
}

impl Search<'_, '_> {
    fn run(&mut self, leaves: &[Leaf]) {
        for leaf in leaves {
            let mut counts = vec![0; self.task.items.len()];
            counts[leaf.lay.item] = 1;
            let made = Made::Piece(leaf.lay);
            self.add(Block { length: leaf.length, width: leaf.width, value: leaf.value, counts, made });
        }
        let mut closed: Vec<usize> = Vec::new();
        while let Some((bound, std::cmp::Reverse(place))) = self.queue.pop() {
            if !self.enough(bound) {
                break;
            }
            if self.budget.ended().is_some() || self.blocks.len() >= MOST {
                self.found.whole = false;
                self.unseen = self.unseen.max(bound);
                break;
            }
            closed.push(place);
            for &other in &closed {
                self.join(place, other);
            }
        }
    }

    fn enough(&self, bound: i64) -> bool {
        match self.wanted {
            Wanted::Best(floor) => bound > floor,
            Wanted::All(floor, _) => bound >= floor,
        }
    }

    fn join(&mut self, one: usize, other: usize) {
        let (a, b) = (&self.blocks[one], &self.blocks[other]);
        let room = a.counts.iter().zip(&b.counts).zip(self.left).all(|((a, b), left)| usize::from(a + b) <= *left);
        if !room {
            return;
        }
        let along = (a.length + b.length, a.width.max(b.width));
        let across = (a.length.max(b.length), a.width + b.width);
        let value = a.value + b.value;
        for (size, made) in [(along, Made::Along(one, other)), (across, Made::Across(one, other))] {
            if size.0 > self.room.0 || size.1 > self.room.1 || !self.safe(one, other, size, made) {
                continue;
            }
            let (a, b) = (&self.blocks[one], &self.blocks[other]);
            let counts: Vec<u16> = a.counts.iter().zip(&b.counts).map(|(a, b)| a + b).collect();
            self.add(Block { length: size.0, width: size.1, value, counts, made });
        }
    }

    /// Whether the cut that parts a rectangle, and the ones that bring both parts to their own sizes,
    /// can be made safely.
    fn safe(&self, one: usize, other: usize, size: (i64, i64), made: Made) -> bool {
        if !self.task.safe {
            return true;
        }
        let kerf = self.task.kerf.ticks();
        let (length, width) = (size.0 - kerf, size.1 - kerf);
        let (rip, held) = (RIP_LEAST.ticks(), HELD_LEAST.ticks());
        let parts = [&self.blocks[one], &self.blocks[other]].map(|part| (part.length - kerf, part.width - kerf));
        match made {
            Made::Along(..) => {
                let trims = |&(long, wide): &(i64, i64)| wide == width || (long >= rip && long >= width);
                parts.iter().map(|part| part.0).max() >= Some(held) && parts.iter().all(trims)
            }
            Made::Across(..) => {
                let trims = |&(long, _): &(i64, i64)| long == length || long.max(length - long - kerf) >= held;
                length >= rip && length >= width && parts.iter().all(trims)
            }
            Made::Piece(_) => true,
        }
    }

    fn bound(&self, block: &Block) -> i64 {
        let whole = self.room.0 as f64 * self.room.1 as f64;
        let mut surface = (whole - block.length as f64 * block.width as f64).max(0.0);
        let mut beyond = self.endless.beyond(block.length, block.width);
        if self.rate > 0.0 {
            beyond += (self.rate * surface) as i64 + 2;
        }
        let mut sum = 0.0;
        for &(item, density) in &self.by_density {
            if density <= self.rate || surface <= 0.0 {
                break;
            }
            let kerf = self.task.kerf.ticks();
            let piece = &self.task.items[item];
            let each = (piece.length.ticks() + kerf) as f64 * (piece.width.ticks() + kerf) as f64;
            let left = self.left[item].saturating_sub(usize::from(block.counts[item])) as f64;
            let part = (each * left).min(surface);
            sum += density * part;
            surface -= part;
        }
        sum += self.rate * surface.max(0.0);
        block.value + beyond.min((sum * (1.0 + 1e-9)) as i64 + 2)
    }

    fn add(&mut self, block: Block) {
        if !self.budget.step() {
            let bound = self.bound(&block);
            self.found.whole = false;
            self.unseen = self.unseen.max(bound);
            return;
        }
        let bound = self.bound(&block);
        if !self.enough(bound) {
            return;
        }
        let shapes = self.seen.entry(block.counts.clone()).or_default();
        if shapes.iter().any(|shape| shape.0 <= block.length && shape.1 <= block.width) {
            return;
        }
        shapes.push((block.length, block.width));
        let place = self.blocks.len();
        self.blocks.push(block);
        self.record(place);
        self.queue.push((bound, std::cmp::Reverse(place)));
    }

    fn record(&mut self, place: usize) {
        let kerf = self.task.kerf.ticks();
        let block = &self.blocks[place];
        let (length, width) = (block.length - kerf, block.width - kerf);
        let (long, wide) = (self.clear.length.ticks(), self.clear.width.ticks());
        let (rip, held) = (RIP_LEAST.ticks(), HELD_LEAST.ticks());
        let rips = width == wide || (long >= rip && long >= wide);
        let crosscut = length == long || length.max(long - length - kerf) >= held;
        if self.task.safe && !(rips && crosscut) {
            return;
        }
        let cost = self.task.boards[self.board].cost;
        let kept = |length: i64, width: i64| {
            worth(&self.task.keep, cost, self.whole, Length::from_ticks(length), Length::from_ticks(width))
        };
        // The rip goes over the whole length: beside it a strip, behind it an end as wide as the block.
        let kept = kept(long, wide - width - kerf) + kept(long - length - kerf, width);
        let value = block.value + kept * SCALE;
        if !self.enough(value) {
            return;
        }
        if let Wanted::All(_, most) = self.wanted
            && self.found.patterns.len() >= most
        {
            self.found.whole = false;
            self.unseen = self.unseen.max(value);
            return;
        }
        let makes: Vec<(usize, usize)> =
            block.counts.iter().enumerate().map(|(item, n)| (item, usize::from(*n))).collect();
        let makes: Vec<(usize, usize)> = makes.into_iter().filter(|(_, count)| *count > 0).collect();
        let brings: i64 = makes.iter().map(|(item, count)| self.values[*item] * (*count as i64)).sum();
        debug_assert_eq!(brings, block.value);
        let layout = Layout::Free(self.tree(place));
        let pattern = Pattern { board: self.board, set: 0, makes, cost: cost - kept, layout };
        self.found.patterns.push((value, pattern));
        if let Wanted::Best(floor) = &mut self.wanted {
            *floor = value;
        }
    }

    fn tree(&self, place: usize) -> Tree {
        match self.blocks[place].made {
            Made::Piece(lay) => Tree::Piece(lay),
            Made::Along(a, b) => Tree::Along(Box::new(self.tree(a)), Box::new(self.tree(b))),
            Made::Across(a, b) => Tree::Across(Box::new(self.tree(a)), Box::new(self.tree(b))),
        }
    }
}
