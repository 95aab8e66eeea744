//! Free nesting against published sets: all pieces of a set in one strip of the published width.
//!
//! dighe1 and dighe2 after Dighe and Jakiela (1996), fu after Fujita and others (1993), shapes0 after Oliveira,
//! Gomes and Ferreira (2000), pieces as the packing group of the European operational research societies
//! publishes them. The first two are cut-up squares of 100 x 100, so that a strip of 100 is the proven optimum.
//! Of fu (38.0 wide, turns by right angles; length 30.8 or 92.4 %) and shapes0 (40 wide, no turns; length 58.0 or
//! 68.8 %) the lengths are the best published, not proven. None of ours is turned by a right angle: what may be
//! turned is turned half round.

use sledwright::geometry::nesting::{Field, Figure, Kept, Laid, Nester};
use sledwright::geometry::path::Mm;

const DIGHE1: &str = "(0,0)(35,0)(0,34) · (0,0)(33,0)(18,15) · (0,0)(32,0)(32,41)(14,33) ·
    (35,0)(53,15)(51,38)(48,62)(39,57)(0,34) · (2,15)(17,0)(31,33)(25,34)(0,38) · (0,0)(39,23)(20,26)(0,66) ·
    (3,4)(28,0)(30,18)(32,39)(25,37)(0,28) · (0,1)(6,0)(24,8)(2,19) · (0,11)(22,0)(2,32) · (0,32)(20,0)(20,37) ·
    (1,0)(26,9)(0,15) · (0,3)(19,0)(28,5)(27,20)(24,43) · (20,0)(44,40)(0,40) · (3,6)(29,0)(36,2)(0,29) ·
    (0,27)(36,0)(56,27) · (0,0)(20,5)(20,27)";
const DIGHE2: &str = "(0,0)(33,0)(33,19)(3,11) · (0,0)(42,0)(37,30)(0,19) · (5,0)(30,0)(30,51)(0,30) ·
    (0,0)(3,11)(7,33)(8,38)(0,36) · (0,0)(30,8)(67,19)(56,29)(4,22) ·
    (23,0)(53,21)(53,70)(19,70)(7,42)(0,23)(12,10) · (0,0)(52,7)(40,20)(47,39)(3,30)(1,5) ·
    (0,0)(8,2)(10,27)(12,64)(0,64) · (0,0)(44,9)(16,37)(2,37) · (0,28)(28,0)(40,28)";
const FU: &str = "(0,0)(10,0)(10,10)(0,10) · (0,0)(14,0)(14,9)(0,9) · (0,0)(14,0)(14,14)(0,14) · (0,0)(5,0)(5,9)(0,9) ·
    (0,0)(14,0)(7,7) · (0,9)(0,0)(14,9) · (0,0)(10,4)(10,9)(0,9) · (0,0)(14,0)(14,14) · (0,0)(10,0)(10,10)(0,14) ·
    (0,8)(4,0)(8,8) · (0,0)(14,0)(7,12)";
const SHAPES0: &str = "(0,0)(2,0)(2,3)(12,3)(12,0)(14,0)(14,5)(0,5) · (0,0)(6,-6)(12,0)(6,6) ·
    (0,0)(6,0)(6,-2)(7,-2)(11,2)(11,4)(8,4)(8,1)(2,1)(2,4)(0,4) ·
    (0,0)(2,0)(2,-2)(4,-2)(4,0)(6,0)(6,2)(4,2)(4,4)(2,4)(2,2)(0,2)";

/// Pieces are made smaller all round by this much and kept apart by hardly less than twice it, so that pieces
/// that touch are told from pieces that overlap.
const HAIR: f64 = 0.004;

fn pieces(set: &str) -> Vec<Vec<Mm>> {
    let number = |text: &str| text.trim().parse::<f64>().expect("a number");
    let point = |pair: &str| pair.split_once(',').map(|(x, y)| (number(x), number(y))).expect("a pair");
    let piece = |text: &str| text.trim().trim_matches(['(', ')']).split(")(").map(point).collect();
    set.split('·').map(piece).collect()
}

fn area(ring: &[Mm]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    (ring.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>() / 2.0).abs()
}

/// A ring with every side moved in by a hair, counter-clockwise: corners where the moved sides meet.
fn smaller(ring: &[Mm]) -> Vec<Mm> {
    let signed =
        |ring: &[Mm]| ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>();
    let mut ring = ring.to_vec();
    if signed(&ring) < 0.0 {
        ring.reverse();
    }
    let n = ring.len();
    let side = |place: usize| {
        let (a, b) = (ring[place % n], ring[(place + 1) % n]);
        let long = f64::hypot(b.0 - a.0, b.1 - a.1);
        let (dx, dy) = ((b.0 - a.0) / long, (b.1 - a.1) / long);
        ((a.0 - dy * HAIR, a.1 + dx * HAIR), (dx, dy))
    };
    (0..n)
        .map(|place| {
            let ((p, d), (q, e)) = (side(place + n - 1), side(place));
            let cross = d.0 * e.1 - d.1 * e.0;
            let t = ((q.0 - p.0) * e.1 - (q.1 - p.1) * e.0) / cross;
            (p.0 + d.0 * t, p.1 + d.1 * t)
        })
        .collect()
}

struct Nested {
    rings: Vec<Vec<Mm>>,
    laid: Vec<Laid>,
    long: f64,
    density: f64,
}

/// A set in its strip; `half` whether its pieces may be turned half round.
fn nested(set: &str, counts: &[usize], wide: f64, half: bool, work: usize) -> Nested {
    let rings = pieces(set);
    let turned = |ring: &[Mm]| ring.iter().map(|p| (-p.0, -p.1)).collect::<Vec<Mm>>();
    let figures = rings.iter().map(|ring| {
        let mut figures = vec![Figure::of(&smaller(ring), &[]).expect("a ring")];
        figures.extend(half.then(|| Figure::of(&smaller(&turned(ring)), &[]).expect("a ring")));
        figures
    });
    let kept = Kept { web: 2.0 * HAIR - 0.001, left: 0.0 };
    let nester = Nester::of(figures.collect(), kept, 1.0);
    let field = Field { long: 400.0, wide: wide - 2.0 * HAIR };
    let laid = nester.nest(counts, field, work).expect("room");
    let size = |ring: &[Mm]| {
        let xs = || ring.iter().map(|p| p.0);
        xs().fold(f64::MIN, f64::max) - xs().fold(f64::MAX, f64::min)
    };
    let long = laid.iter().map(|place| f64::from(place.x) + size(&rings[place.outline])).fold(0.0, f64::max);
    let all: f64 = rings.iter().zip(counts).map(|(ring, count)| area(ring) * *count as f64).sum();
    Nested { density: all / (long * wide), rings, laid, long }
}

#[test]
fn explore() {
    for (name, set, counts, wide, half) in [
        ("dighe1", DIGHE1, vec![1; 16], 100.0, false),
        ("dighe2", DIGHE2, vec![1; 10], 100.0, false),
        ("fu", FU, vec![2, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1], 38.0, true),
        ("fu0", FU, vec![2, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1], 38.0, false),
        ("shapes0", SHAPES0, vec![15, 7, 9, 12], 40.0, false),
        ("shapes1", SHAPES0, vec![15, 7, 9, 12], 40.0, true),
    ] {
        for work in [0, 6_000, 100_000, 1_000_000] {
            let start = std::time::Instant::now();
            let found = nested(set, &counts, wide, half, work);
            println!(
                "{name} {work}: long {:.1} density {:.3} {} {:?}",
                found.long,
                found.density,
                found.laid.len() + found.rings.len(),
                start.elapsed()
            );
        }
    }
}
