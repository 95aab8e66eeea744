//! Rows of nests for blanks of any outline, worked out by hand (common practice, no published source;
//! plane geometry), and nests spoiled one at a time.
//!
//! House machine (`roller-carver-medium`, invented): boards 4-1/2..13-1/2 in wide with a guard of 1/16, rails
//! 3/4, ends 4 in.

use sledwright::design::{Design, Status, VoidKind};
use sledwright::geometry::Outline;
use sledwright::length::Length;
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};
use sledwright::rules::Rule;
use sledwright::verify::verify;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

fn read(points: &str, more: &str) -> Request {
    let job = format!(
        r#"
[machine]
use = "roller-carver-medium"
[carrier]
construction = "gang"
[blank]
shape = "outline"
thickness = ".250"
count = 6
outline-error = "1/64"
{more}
points = {points}
[carve]
depth = "1/16"
[hold]
by = "tape"
"#
    );
    match request::from_toml(&job, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

fn design(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { broken, .. } => panic!("verify disagrees: {broken:#?}"),
    }
}

/// 3 long, 2 wide, slanting at 45 degrees: its box is 5 long.
const SLANTED: &str = r#"[["0", "0"], ["3", "0"], ["5", "2"], ["2", "2"]]"#;

/// The nest stands c = 1/64 + 1/64 = 1/32 off. Half way up it is 3 + 2c x 1.41421 = 3.08839 long, and there
/// at both ends is the middle of a finger gap of 1 in; gaps of neighbours keep 1/4 between them, so that the
/// pitch is at least 3.08839 + 1 + 1/4 = 4.33839, on the marks of 1/32 in 4-11/32. (The slanting sides alone
/// would need 3 + (1/2 + 1/16) x 1.41421 = 3.79549, a gap and a side 3.08839 + 3/4 x 1.41421 = 4.14905; boxes
/// would need 5-1/16 + 1/2.) Rows: 2 + 2c + 1/2 = 2-9/16.
#[test]
fn slanted_plates_reach_over_each_other() {
    let design = design(&read(SLANTED, ""));
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!(gang.pitch.x, inch(4, 11, 32));
    if gang.rows > 1 {
        assert_eq!(gang.pitch.y, inch(2, 9, 16));
    }
    assert_eq!(design.pockets.len(), gang.pockets);
    let voids = || design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    assert_eq!(voids().filter(|void| void.kind == VoidKind::FingerGap).count(), 2 * gang.pockets);
}
