//! How far the planner of boards comes on random workshops: every board and every piece of its own size.
//! `cargo bench --bench boards`; the numbers are those of DEVELOPERS.md.
#![expect(clippy::print_stdout, reason = "a bench prints its figures")]
#![expect(clippy::disallowed_methods, reason = "a bench asks the clock")]

use std::time::Instant;

use sledwright::boards::{Board, Budget, Clear, Item, Keep, Style, Task, solve};
use sledwright::length::Length;

/// Steps the `saw` command takes at the most for one kind of board.
const WORK: u64 = 3_000_000;
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

/// Pieces and boards in thirty-seconds: sticks of one width, or panels.
fn task(numbers: &mut Numbers, pieces: usize, panels: bool) -> Task {
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

fn main() {
    for (what, panels) in [("sticks", false), ("panels", true)] {
        for pieces in [10, 20, 40] {
            let mut numbers = Numbers(1);
            let (mut proven, mut worst, mut slowest) = (0, 0.0_f64, 0.0_f64);
            for _ in 0..TASKS {
                let task = task(&mut numbers, pieces, panels);
                let start = Instant::now();
                let answer = solve(&task, &mut Budget::new(WORK, &|| false), &mut |_, _| {});
                slowest = slowest.max(start.elapsed().as_secs_f64());
                if let Some(answer) = answer {
                    proven += usize::from(answer.proven());
                    worst = worst.max((answer.cost - answer.bound) as f64 / answer.cost as f64 * 100.0);
                }
            }
            println!(
                "{pieces} {what} on 10 boards: {proven} of {TASKS} proven, worst gap {worst:.1} %, slowest {slowest:.2} s"
            );
        }
    }
}
