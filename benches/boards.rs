//! How far the planner of boards comes: on the parents of the examples' own cut lists, in random numbers, out
//! of ten odd boards; and on random workshops where nearly every board and piece is of its own size.
//! `cargo bench --bench boards`; the numbers are those of DEVELOPERS.md.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a bench asks the clock")]

use std::time::Instant;

use sledwright::boards::{Board, Budget, Clear, Item, Keep, Style, Task, solve};
use sledwright::length::Length;

/// Steps the `saw` command takes at the most for one kind of board.
const WORK: u64 = 6_000_000;
/// Tasks of each kind.
const TASKS: u64 = 10;

struct Numbers(u64);
impl Numbers {
    fn below(&mut self, limit: i64) -> i64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) % limit.unsigned_abs()) as i64
    }
}
/// Thirty-seconds of an inch.
fn marks(number: i64) -> Length {
    Length::inches(number, 32)
}

/// Pieces and boards that all differ: sticks of one width, or panels.
fn differing(numbers: &mut Numbers, pieces: usize, panels: bool) -> Task {
    let mut items: Vec<Item> = Vec::new();
    let mut made = 0;
    while made < pieces {
        let count = (1 + numbers.below(3) as usize).min(pieces - made);
        made += count;
        let (a, b) = (384 + numbers.below(576), if panels { 128 + numbers.below(256) } else { 64 });
        items.push(Item { length: marks(a.max(b)), width: marks(a.min(b)), turns: panels, count });
    }
    let board = |length: i64, width: i64, count: usize, dearer: i64| {
        let (length, width) = (marks(length.max(width)), marks(length.min(width)));
        let clear = Clear { x: Length::ZERO, y: Length::ZERO, length, width };
        let cost = (length.to_mm() * width.to_mm() / 10_000.0).ceil() as i64 * dearer;
        Board { clear: vec![vec![clear]], count, cost, takes: vec![true; items.len()] }
    };
    let mut boards: Vec<Board> = (0..10)
        .map(|_| {
            let (a, b) = (768 + numbers.below(1280), if panels { 512 + numbers.below(768) } else { 64 });
            board(a, b, 1, 1)
        })
        .collect();
    boards.push(board(3072, if panels { 1536 } else { 64 }, 1000, 10));
    let keep = Keep { length: marks(384), width: marks(96), permille: 0 };
    Task { items, boards, kerf: marks(4), style: Style::Strips, keep, safe: true }
}

/// Parents of sheet goods in the cut lists of the examples, in thirty-seconds of an inch, and how many.
const BASES: [(i64, i64); 12] = [
    (626, 230),
    (548, 158),
    (738, 318),
    (872, 436),
    (557, 325),
    (610, 286),
    (786, 158),
    (914, 158),
    (672, 328),
    (707, 215),
    (770, 286),
    (706, 358),
];
/// Parents of solid wood in the cut lists of twelve of them.
const FRAMES: [&[(i64, i64, usize)]; 12] = [
    &[(826, 68, 1), (688, 182, 1)],
    &[(748, 74, 2), (584, 104, 2), (600, 108, 1), (584, 104, 1)],
    &[(1064, 56, 1), (1064, 127, 1), (584, 216, 1), (584, 156, 1)],
    &[(938, 68, 1), (688, 270, 1)],
    &[(636, 436, 1)],
    &[(757, 168, 1), (664, 177, 1)],
    &[(754, 40, 1), (594, 236, 1)],
    &[(810, 100, 1), (688, 206, 1)],
    &[(986, 84, 1), (584, 94, 1)],
    &[(1114, 74, 2), (584, 104, 2), (1054, 108, 1)],
    &[(872, 100, 1), (649, 248, 1), (784, 48, 1), (732, 42, 1)],
    &[(970, 68, 1), (688, 238, 1), (480, 150, 1)],
];

/// Carriers of the examples, each in up to three copies: their bases out of sheet, or all else out of boards,
/// which can be bought in the standard sizes too.
fn workshop(numbers: &mut Numbers, pieces: usize, sheet: bool) -> Task {
    let mut items: Vec<Item> = Vec::new();
    let mut made = 0;
    let mut add = |length: i64, width: i64, count: usize| {
        let (length, width) = (marks(length), marks(width));
        match items.iter_mut().find(|item| (item.length, item.width) == (length, width)) {
            Some(item) => item.count += count,
            None => items.push(Item { length, width, turns: sheet, count }),
        }
    };
    while made < pieces {
        // A carrier, once or in several copies.
        let copies = 1 + numbers.below(3) as usize;
        let which = numbers.below(12) as usize;
        let parents: Vec<(i64, i64, usize)> =
            if sheet { vec![(BASES[which].0, BASES[which].1, 1)] } else { FRAMES[which].to_vec() };
        for (length, width, count) in parents {
            let count = (count * copies).min(pieces - made);
            if count > 0 {
                add(length, width, count);
            }
            made += count;
        }
    }
    let takes = vec![true; items.len()];
    let board = |length: i64, width: i64, count: usize, dearer: i64, trim: i64| {
        let clear =
            Clear { x: marks(trim), y: marks(trim), length: marks(length - 2 * trim), width: marks(width - 2 * trim) };
        let thick = if sheet { 12.0 } else { 25.0 };
        let cost = (marks(length).to_mm() * marks(width).to_mm() * thick / 100_000.0).ceil() as i64 * dearer;
        Board { clear: vec![vec![clear]], count, cost, takes: takes.clone() }
    };
    let mut boards = Vec::new();
    for _ in 0..10 {
        let b = if sheet {
            let (a, b) = (768 + 16 * numbers.below(80), 512 + 16 * numbers.below(48));
            board(a.max(b), a.min(b), 1, 1, 4)
        } else {
            let width = [112, 176, 232, 296, 360][numbers.below(5) as usize];
            board(1152 + 16 * numbers.below(120), width, 1, 1, 4)
        };
        boards.push(b);
    }
    if sheet {
        boards.push(board(1536, 768, 1000, 10, 0));
        boards.push(board(3072, 1536, 1000, 10, 0));
    } else {
        for width in [112, 176, 232, 296, 360] {
            for feet in [6, 8, 10] {
                boards.push(board(feet * 384, width, 1000, 10, 0));
            }
        }
        boards.push(board(3072, 512, 1000, 12, 0));
    }
    let keep = Keep { length: marks(384), width: marks(96), permille: 0 };
    Task { items, boards, kerf: marks(4), style: Style::Strips, keep, safe: true }
}

/// Makes a task of so many pieces.
type Make = fn(&mut Numbers, usize) -> Task;

fn main() {
    let sets: [(&str, Make); 4] = [
        ("bases out of sheet", |numbers, pieces| workshop(numbers, pieces, true)),
        ("parents out of boards", |numbers, pieces| workshop(numbers, pieces, false)),
        ("differing sticks", |numbers, pieces| differing(numbers, pieces, false)),
        ("differing panels", |numbers, pieces| differing(numbers, pieces, true)),
    ];
    for (what, make) in sets {
        for pieces in [10, 20, 30, 40] {
            let mut numbers = Numbers(1);
            let (mut proven, mut soon, mut worst, mut slowest) = (0, 0, 0.0_f64, 0.0_f64);
            for _ in 0..TASKS {
                let task = make(&mut numbers, pieces);
                let start = Instant::now();
                let answer = solve(&task, &mut Budget::new(WORK, &|| false), &mut |_, _| {});
                let took = start.elapsed().as_secs_f64();
                slowest = slowest.max(took);
                if let Some(answer) = answer {
                    proven += usize::from(answer.proven());
                    soon += usize::from(answer.proven() && took <= 1.0);
                    worst = worst.max((answer.cost - answer.bound) as f64 / answer.cost as f64 * 100.0);
                }
            }
            println!(
                "{pieces} {what}: {proven} of {TASKS} proven, {soon} within 1 s, worst gap {worst:.1} %, slowest {slowest:.2} s"
            );
        }
    }
}
