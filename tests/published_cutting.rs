//! Published cutting-stock instances, their optima beside them.

use sledwright::boards::{
    Answer, Board, Budget, Clear, Item, Keep, Layout, Style, Task, Tree, Wanted, endless, free_cuts, solve,
};
use sledwright::length::Length;

const WORK: u64 = 20_000_000;

fn mm(number: i64) -> Length {
    Length::micrometres(number * 1000)
}

const NOTHING_KEPT: Keep = Keep { length: Length::ZERO, width: Length::ZERO, permille: 0 };

fn board(length: Length, width: Length, count: usize, cost: i64, kinds: usize) -> Board {
    let clear = Clear { x: Length::ZERO, y: Length::ZERO, length, width };
    Board { clear: vec![vec![clear]], count, cost, takes: vec![true; kinds] }
}

/// Sticks: every piece and every board as wide as the other, no kerf.
fn sticks(pieces: &[(Length, usize)], stock: &[(Length, i64)]) -> Task {
    let items: Vec<Item> = pieces
        .iter()
        .map(|(length, count)| Item { length: *length, width: mm(10), turns: false, count: *count })
        .collect();
    let boards = stock.iter().map(|(length, cost)| board(*length, mm(10), usize::MAX, *cost, items.len())).collect();
    Task { items, boards, kerf: Length::ZERO, style: Style::Strips, keep: NOTHING_KEPT, safe: false }
}

/// The plan, counted over again: every piece is there, no board is overfull, and it costs what it says.
fn solved(task: &Task) -> Answer {
    let mut budget = Budget::new(WORK, &|| false);
    let answer = solve(task, &mut budget, &mut |_, _| {}).expect("a plan");
    let mut made = vec![0; task.items.len()];
    for (pattern, times) in &answer.uses {
        let room = task.boards[pattern.board].clear[0][0].length;
        let Layout::Strips(strips) = &pattern.layout else { panic!("strips") };
        assert_eq!(strips.len(), 1);
        assert!(strips[0].lays.iter().map(|lay| task.items[lay.item].length).sum::<Length>() <= room);
        for lay in &strips[0].lays {
            made[lay.item] += times;
        }
    }
    assert!(task.items.iter().zip(&made).all(|(item, made)| *made >= item.count), "{made:?}");
    let cost: i64 = answer.uses.iter().map(|(pattern, times)| task.boards[pattern.board].cost * *times as i64).sum();
    assert_eq!(cost, answer.cost);
    answer
}

/// Chvatal, Linear Programming (1983), chapter 13: 453 rolls of 100 (the relaxation says 452.25).
#[test]
fn rolls_of_chvatal() {
    let task = sticks(&[(mm(45), 97), (mm(36), 610), (mm(31), 395), (mm(14), 211)], &[(mm(100), 1)]);
    let answer = solved(&task);
    assert_eq!((answer.cost, answer.bound), (453, 453));
}

/// The paper-mill example of the encyclopedia article on the cutting stock problem: 73 rolls of 5600.
#[test]
fn rolls_of_5600() {
    let pieces = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    let pieces: Vec<(Length, usize)> = pieces.iter().map(|(l, n)| (mm(*l), *n)).collect();
    let answer = solved(&sticks(&pieces, &[(mm(5600), 1)]));
    assert_eq!((answer.cost, answer.bound), (73, 73));
}

/// Gilmore & Gomory, Operations Research 9 (1961) 849-859, the illustration with stock of 5, 6 and 9 at 6,
/// 7 and 10 (data from memory): 10 boards of 6 and 10 of 9, cost 170.
#[test]
fn boards_of_three_prices() {
    let task = sticks(&[(mm(2), 20), (mm(3), 10), (mm(4), 20)], &[(mm(5), 6), (mm(6), 7), (mm(9), 10)]);
    let answer = solved(&task);
    assert_eq!((answer.cost, answer.bound), (170, 170));
}

/// Falkenauer's u120_00, as in the OR-Library's first file of bin packing: 48 bins of 150.
const U120: &str = "42 69 67 57 93 90 38 36 45 42 33 79 27 57 44 84 86 92 46 38 85 33 82 73 49 70 59 23 57 72 74 69 33 42 28 46 30 64 29 74 41 49 55 98 80 32 25 38 82 30 35 39 57 84 62 50 55 27 30 36 20 78 47 26 45 41 58 98 91 96 73 84 37 93 91 43 73 85 81 79 71 80 76 83 41 78 70 23 42 87 43 84 60 55 49 78 73 62 36 44 94 69 32 96 70 84 58 78 25 80 58 66 83 24 98 60 42 43 43 39";
/// Falkenauer's t60_00, three to a bin by construction: 20 bins of 100.
const T60: &str = "36.6 26.8 36.6 43.0 26.3 30.7 41.4 28.7 29.9 49.5 25.1 25.4 47.4 25.2 27.4 37.0 26.9 36.1 47.3 25.2 27.5 47.2 25.9 26.9 44.4 25.8 29.8 43.9 27.3 28.8 44.5 27.2 28.3 41.9 26.1 32.0 36.3 27.1 36.6 35.5 27.3 37.2 46.6 26.2 27.2 35.7 29.2 35.1 39.5 25.5 35.0 35.0 30.3 34.7 45.0 25.2 29.8 41.0 27.5 31.5";

fn bins(list: &str, room: i64) -> Task {
    let mut pieces: Vec<(Length, usize)> = Vec::new();
    for word in list.split_whitespace() {
        let tenths = (word.parse::<f64>().expect("number") * 10.0).round() as i64;
        let length = Length::micrometres(tenths * 100);
        match pieces.iter_mut().find(|(other, _)| *other == length) {
            Some((_, count)) => *count += 1,
            None => pieces.push((length, 1)),
        }
    }
    sticks(&pieces, &[(mm(room), 1)])
}

#[test]
fn u120_00() {
    let answer = solved(&bins(U120, 150));
    assert_eq!((answer.cost, answer.bound), (48, 48));
}

#[test]
fn t60_00() {
    let answer = solved(&bins(T60, 100));
    assert_eq!((answer.cost, answer.bound), (20, 20));
}

fn panel(pieces: &[(i64, i64, usize, i64)], length: i64, width: i64) -> (Task, Vec<i64>, Vec<usize>) {
    let items: Vec<Item> = pieces
        .iter()
        .map(|(l, w, count, _)| Item { length: mm(*l), width: mm(*w), turns: false, count: *count })
        .collect();
    let boards = vec![board(mm(length), mm(width), 1, 1, items.len())];
    let values = pieces.iter().map(|(_, _, _, value)| *value).collect();
    let left = pieces.iter().map(|(_, _, count, _)| *count).collect();
    (Task { items, boards, kerf: Length::ZERO, style: Style::Free, keep: NOTHING_KEPT, safe: false }, values, left)
}

fn most(pieces: &[(i64, i64, usize, i64)], length: i64, width: i64) -> i64 {
    let (task, values, left) = panel(pieces, length, width);
    let mut budget = Budget::new(WORK, &|| false);
    let found = free_cuts(&task, 0, &values, &left, (Wanted::Best(0), 256), &mut budget);
    assert!(found.whole, "not searched to the end");
    let (value, pattern) = found.patterns.last().expect("a pattern");
    // Worth what the pieces in it are worth, none more often than there are.
    let Layout::Free(tree) = &pattern.layout else { panic!("free") };
    let mut counts = vec![0; pieces.len()];
    let (long, wide) = extent(tree, pieces, &mut counts);
    assert!(long <= length && wide <= width, "{long} x {wide}");
    assert!(counts.iter().zip(pieces).all(|(count, piece)| *count <= piece.2));
    assert_eq!(counts.iter().zip(pieces).map(|(count, piece)| *count as i64 * piece.3).sum::<i64>(), *value);
    *value
}

/// Size of what is cut from edge to edge, added up from its pieces.
fn extent(tree: &Tree, pieces: &[(i64, i64, usize, i64)], counts: &mut Vec<usize>) -> (i64, i64) {
    match tree {
        Tree::Piece(lay) => {
            counts[lay.item] += 1;
            (pieces[lay.item].0, pieces[lay.item].1)
        }
        Tree::Along(a, b) => {
            let (a, b) = (extent(a, pieces, counts), extent(b, pieces, counts));
            (a.0 + b.0, a.1.max(b.1))
        }
        Tree::Across(a, b) => {
            let (a, b) = (extent(a, pieces, counts), extent(b, pieces, counts));
            (a.0.max(b.0), a.1 + b.1)
        }
    }
}

/// Christofides & Whitlock, Operations Research 25 (1977) 30-44: length, width, number, value.
const CGCUT1: &[(i64, i64, usize, i64)] =
    &[(8, 4, 2, 66), (3, 7, 1, 35), (8, 2, 3, 24), (3, 4, 5, 17), (3, 3, 2, 11), (3, 2, 2, 8), (2, 1, 1, 2)];
const CGCUT2: &[(i64, i64, usize, i64)] = &[
    (21, 22, 1, 582),
    (31, 13, 1, 403),
    (9, 35, 3, 315),
    (9, 24, 3, 216),
    (30, 7, 2, 210),
    (11, 13, 3, 143),
    (10, 14, 1, 140),
    (14, 8, 3, 110),
    (12, 8, 3, 94),
    (13, 7, 3, 90),
];
const CGCUT3: &[(i64, i64, usize, i64)] = &[
    (31, 43, 4, 500),
    (30, 41, 2, 480),
    (29, 39, 4, 460),
    (28, 38, 4, 440),
    (27, 37, 3, 420),
    (26, 36, 4, 410),
    (25, 35, 3, 400),
    (24, 34, 4, 380),
    (33, 23, 4, 360),
    (22, 32, 3, 340),
    (31, 21, 3, 320),
    (29, 18, 3, 300),
    (17, 27, 2, 280),
    (15, 24, 2, 240),
    (16, 25, 4, 260),
    (15, 24, 1, 240),
    (23, 14, 4, 220),
    (21, 12, 3, 180),
    (19, 11, 4, 160),
    (9, 17, 1, 140),
];

/// Optima 244, 2892 and 1860, as published since.
#[test]
fn cgcut1() {
    assert_eq!(most(CGCUT1, 15, 10), 244);
}
#[test]
fn cgcut2() {
    assert_eq!(most(CGCUT2, 40, 70), 2892);
}
#[test]
fn cgcut3() {
    assert_eq!(most(CGCUT3, 40, 70), 1860);
}

/// Beasley, Journal of the Operational Research Society 36 (1985) 297-306; stock 250 x 250, worth their surface.
const GCUT1: &[(i64, i64)] =
    &[(167, 184), (114, 118), (167, 152), (83, 140), (70, 86), (143, 166), (120, 160), (66, 148), (87, 141), (69, 165)];
const GCUT2: &[(i64, i64)] = &[
    (120, 133),
    (135, 186),
    (86, 75),
    (103, 73),
    (66, 85),
    (135, 97),
    (91, 175),
    (131, 176),
    (71, 176),
    (153, 72),
    (87, 148),
    (168, 107),
    (118, 90),
    (140, 109),
    (132, 159),
    (152, 93),
    (135, 68),
    (121, 158),
    (68, 94),
    (155, 76),
];
const GCUT3: &[(i64, i64)] = &[
    (66, 80),
    (164, 107),
    (64, 184),
    (121, 86),
    (163, 135),
    (85, 98),
    (81, 102),
    (103, 186),
    (152, 106),
    (176, 139),
    (111, 118),
    (69, 169),
    (146, 133),
    (112, 112),
    (133, 160),
    (63, 129),
    (163, 152),
    (110, 155),
    (96, 136),
    (92, 142),
    (84, 143),
    (119, 133),
    (71, 71),
    (146, 84),
    (93, 86),
    (89, 86),
    (101, 146),
    (172, 73),
    (73, 169),
    (99, 99),
];

fn areas(pieces: &[(i64, i64)]) -> Vec<(i64, i64, usize, i64)> {
    pieces.iter().map(|(l, w)| (*l, *w, 1, l * w)).collect()
}

/// Each piece at most once. The first two by separate computation, the third published.
#[test]
fn gcut_once() {
    assert_eq!(most(&areas(GCUT1), 250, 250), 48_368);
    assert_eq!(most(&areas(GCUT2), 250, 250), 59_307);
    assert_eq!(most(&areas(GCUT3), 250, 250), 60_241);
}

/// In endless supply, as published.
#[test]
fn gcut_endless() {
    for (pieces, value) in [(GCUT1, 56_460), (GCUT2, 60_536), (GCUT3, 61_036)] {
        let (task, values, _) = panel(&areas(pieces), 250, 250);
        assert_eq!(endless(&task, &values, (mm(250), mm(250)), 256), value);
    }
}
