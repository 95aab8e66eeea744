//! Rows of nests for blanks of any outline, worked out by hand (common practice, no published source;
//! plane geometry), and nests spoiled one at a time.
//!
//! House machine (`roller-carver-medium`, invented): boards 4-1/2..13-1/2 in wide with a guard of 1/16, rails
//! 3/4, ends 4 in. The outline is known to 1/64 and the slip is 1/64 a side, so a nest stands c = 1/32 off.
//! Between nests 1/2 is left, between what is cut beyond them 1/4.

use sledwright::design::{Design, Status, VoidKind};
use sledwright::geometry::Outline;
use sledwright::length::Length;
use sledwright::plan::{Plan, check, plan};
use sledwright::request::{self, Request};
use sledwright::rules::Rule;
use sledwright::solve::solve;
use sledwright::verify::verify;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

fn read(points: &str, count: u32, more: &str) -> Request {
    let job = format!(
        r#"
[machine]
use = "roller-carver-medium"
[carrier]
construction = "gang"
[blank]
shape = "outline"
thickness = ".250"
count = {count}
outline-error = "1/64"
{more}
points = {points}
[carve]
depth = "1/16"
cutter = "1/8"
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

fn gaps(design: &Design) -> Vec<Outline> {
    let voids = design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    voids.filter(|void| void.kind == VoidKind::FingerGap).map(|void| void.outline.clone()).collect()
}

/// 3 long, 2 wide, slanting at 45 degrees: its box is 5 long.
const SLANTED: &str = r#"[["0", "0"], ["3", "0"], ["5", "2"], ["2", "2"]]"#;
/// A 3-4-5 triangle.
const TRIANGLE: &str = r#"[["0", "0"], ["3", "0"], ["0", "4"]]"#;

/// At any height the nest is 3 + 2c x 1.41421 = 3.08839 long, and 1/2 square to the slope is 0.70711 along
/// the feed: 3.79549, on the marks of 1/32 in 3-13/16. (Boxes would need 5-1/16 + 1/2.) Rows: 2 + 2c + 1/2 =
/// 2-9/16. Half way up the walls of two neighbours are 3.8125 - 3.08839 = 0.72411 apart: a gap between
/// them that opens 13/16 of either is sqrt(0.72411^2 + 0.8125^2) = 1.0883 wide, as a bit 1-1/8. Those at the
/// ends of a row are of 1 in. So there is one gap more than nests in every row.
#[test]
fn slanted_plates_reach_over_each_other() {
    let design = design(&read(SLANTED, 6, "turn = \"locked\""));
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!((gang.pitch.x, gang.pair), (inch(3, 13, 16), None));
    if gang.rows > 1 {
        assert_eq!(gang.pitch.y, inch(2, 9, 16));
    }
    assert_eq!(design.pockets.len(), gang.pockets);
    let found = gaps(&design);
    assert_eq!(found.len(), gang.rows * (gang.columns + 1));
    let wide = |size: Length| found.iter().filter(|gap| gap.bounds().length() == size).count();
    assert_eq!(wide(inch(1, 1, 8)), gang.rows * (gang.columns - 1));
    assert_eq!(wide(inch(1, 0, 1)), gang.rows * 2);
}

/// Turned half round in the same box, a 3-4-5 triangle has its long side on the same line. Moved by s it
/// is 4/5 s off; both nests stand c off theirs, so 4/5 s - 2c >= 1/2: s >= 45/64, on the marks 23/32. Then come two upright
/// sides: the pitch of the pairs is 23/32 + 3 + 2c + 1/2 = 4-9/32. (All the same way the triangles stand
/// 3-9/16 apart, a pair 7-1/8.) The third nest lies as the first.
#[test]
fn triangles_stand_in_pairs() {
    let design = design(&read(TRIANGLE, 12, "turn = \"free\""));
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!((gang.pair, gang.pitch.x), (Some(inch(0, 23, 32)), inch(4, 9, 32)), "{}", design.variant);
    let corner = |place: usize| {
        let bounds = design.pockets[place].outline.bounds();
        (bounds.x0, bounds.y0)
    };
    let near = |a: (Length, Length), b: (Length, Length)| {
        (a.0 - b.0).abs() <= Length::micrometres(1) && (a.1 - b.1).abs() <= Length::micrometres(1)
    };
    let start = corner(0);
    assert!(near(corner(1), (start.0 + inch(0, 23, 32), start.1)));
    assert!(near(corner(2), (start.0 + inch(4, 9, 32), start.1)));
    // The blanks lie as their nests do: the right angle of the second is its far trail corner.
    let blanks = design.blank_outlines();
    let (first, second) = (blanks[0].bounds(), blanks[1].bounds());
    let holds = |outline: &Outline, x: Length, y: Length| match outline {
        Outline::Path(path) => path.vertices().iter().any(|vertex| (vertex.point.x, vertex.point.y) == (x, y)),
        _ => false,
    };
    assert!(holds(&blanks[0], first.x0, first.y0) && holds(&blanks[1], second.x1, second.y1));
    assert!(!holds(&blanks[0], first.x1, first.y1) && !holds(&blanks[1], second.x0, second.y0));
}

/// Where the artwork or the grain does not let the blank be turned, none is; nor where it saves nothing.
#[test]
fn nothing_is_turned_that_must_not_be_or_need_not_be() {
    let fixed = design(&read(TRIANGLE, 12, "turn = \"locked\""));
    assert_eq!(fixed.gang.as_ref().and_then(|gang| gang.pair), None);
    let square = r#"[["0", "0"], ["3", "0"], ["3", "2"], ["0", "2"]]"#;
    let same = design(&read(square, 12, "turn = \"free\""));
    assert_eq!(same.gang.as_ref().and_then(|gang| gang.pair), None);
}

fn broken(request: &Request, design: &Design) -> Vec<(Rule, String)> {
    let bad = verify(request, design).into_iter().filter(|check| check.status != Status::Pass);
    bad.map(|check| (check.rule, check.subject)).collect()
}

/// Moves a pocket, in the list and in the wood.
fn moved(design: &mut Design, place: usize, x: Length, y: Length) {
    let before = design.pockets[place].outline.clone();
    let voids = &mut design.parts[0].places[0].voids;
    let void = voids.iter_mut().find(|void| void.outline == before).expect("its void");
    void.outline = before.moved(x, y);
    design.pockets[place].outline = before.moved(x, y);
}

/// Each in turn: a nest out of its place, missing in the wood or on paper, the wrong way round; a gap or a
/// relief forgotten, a gap out of its place.
#[test]
fn a_spoiled_nest_is_noticed_wherever_it_is() {
    for (points, turn) in [(SLANTED, "locked"), (TRIANGLE, "free")] {
        let request = read(points, 12, &format!("turn = \"{turn}\""));
        let sound = design(&request);
        assert!(broken(&request, &sound).iter().all(|(rule, _)| sound.waived.contains(rule)));
        let mark = inch(0, 1, 32);
        let last = sound.pockets.len() - 1;
        let complains = |design: &Design, rule: Rule, what: &str| {
            let found = broken(&request, design);
            assert!(found.iter().any(|(at, _)| *at == rule), "{what}, {}: {found:?}", rule.id());
        };
        for place in [1, 4, last] {
            // Nearer to the nest before it: off the pitch, and the web is thinner by a mark.
            let mut off = sound.clone();
            moved(&mut off, place, -mark, Length::ZERO);
            complains(&off, Rule::EqualPitch, "moved");
            complains(&off, Rule::Web, "moved");
            let mut filled = sound.clone();
            let outline = filled.pockets[place].outline.clone();
            filled.parts[0].places[0].voids.retain(|void| void.outline != outline);
            complains(&filled, Rule::GangCount, "not cut");
            let mut untold = sound.clone();
            untold.pockets.remove(place);
            complains(&untold, Rule::GangCount, "not told");
            // The other way round in the same box.
            let mut wrong = sound.clone();
            let (outline, room) = (outline.clone(), outline.bounds());
            let other = outline.half_turned().moved(room.x0 + room.x1, room.y0 + room.y1);
            let voids = &mut wrong.parts[0].places[0].voids;
            voids.iter_mut().find(|void| void.outline == outline).expect("its void").outline = other.clone();
            wrong.pockets[place].outline = other;
            complains(&wrong, Rule::EqualPitch, "the wrong way round");
        }
        let count = gaps(&sound).len();
        for place in [0, count / 2, count - 1] {
            let gap = gaps(&sound)[place].clone();
            let mut forgotten = sound.clone();
            forgotten.parts[0].places[0].voids.retain(|void| void.outline != gap);
            complains(&forgotten, Rule::FingerGaps, "gap forgotten");
            // Far off in the wood it serves nobody.
            let mut lost = sound.clone();
            let voids = &mut lost.parts[0].places[0].voids;
            let void = voids.iter_mut().find(|void| void.outline == gap).expect("the gap");
            void.outline = gap.moved(Length::ZERO, inch(20, 0, 1));
            complains(&lost, Rule::FingerGaps, "gap lost");
        }
        let mut sharp = sound.clone();
        let voids = &mut sharp.parts[0].places[0].voids;
        let relief = voids.iter().rposition(|void| void.kind == VoidKind::Relief).expect("a relief");
        voids.remove(relief);
        complains(&sharp, Rule::EqualPitch, "relief forgotten");
        // A gap as wide as the nest is long reaches its neighbours.
        let mut wide = sound.clone();
        let void =
            wide.parts[0].places[0].voids.iter_mut().find(|void| void.kind == VoidKind::FingerGap).expect("a gap");
        if let Outline::Disc { diameter, .. } = &mut void.outline {
            *diameter = inch(9, 0, 1);
        }
        let found = broken(&request, &wide);
        assert!(found.iter().any(|(rule, _)| matches!(rule, Rule::WebAfterRelief | Rule::FingerGaps)), "{found:?}");
    }
}

/// A part of just 6 sq in counts as small, however its area was worked out: 2 x 3, and the same slanting.
#[test]
fn a_part_of_just_six_square_inches_is_no_quarrel() {
    for points in [SLANTED, r#"[["0", "0"], ["3", "0"], ["3", "2"], ["0", "2"]]"#, TRIANGLE] {
        for count in [1, 6] {
            let mut request = read(points, count, "turn = \"free\"");
            request.construction = None;
            for mut design in solve(&request).designs {
                let found = check(&request, &mut design);
                assert!(found.is_empty(), "{} {}: {found:#?}", design.construction, design.variant);
            }
        }
    }
}

/// From two to hundreds: several loads where one board does not hold them, and every nest verified.
///
/// Boards are 95-7/8 in long at most and 13-7/16 wide. As drawn: 8 + 3-1/16 + 23/32 for a pair, 4-9/32 for each
/// more: 20 pairs in a row, and two rows (three would be 1-1/2 + 3 x 4-1/16 + 2 x 1/2 = 14-11/16): 80. Turned by
/// a quarter the upright sides come first, 4 + 2c + 1/2 = 4-9/16, then the slopes, 3/5 s - 2c >= 1/2, s = 15/16:
/// the pitch of the pairs is 5-1/2, 8 + 4-1/16 + 15 x 5-1/2 = 94-9/16 holds 15 pairs and one more, and there are
/// three rows (1-1/2 + 3 x 3-1/16 + 2 x 1/2 = 11-11/16): 93.
#[test]
fn any_number_of_pennants() {
    for count in [2, 3, 7, 25, 93, 94, 400] {
        let request = read(TRIANGLE, count, "turn = \"free\"");
        let design = design(&request);
        let gang = design.gang.as_ref().expect("a gang");
        assert!(gang.loads() * gang.pockets >= count as usize && gang.last_load() <= gang.pockets);
        assert_eq!(gang.loads(), count.div_ceil(93) as usize, "{count}: {} in a load", gang.pockets);
    }
}

/// Lettering never meets lettering or leaves its sheet, whatever the number of nests.
#[test]
fn sheets_of_nests_are_legible() {
    for (points, count, turn) in [(SLANTED, 6, "locked"), (TRIANGLE, 2, "free"), (TRIANGLE, 60, "free")] {
        let request = read(points, count, &format!("turn = \"{turn}\""));
        for page in sledwright::sheet::sheets(&request, &design(&request)) {
            assert_eq!(sledwright::sheet::overlaps(&page), Vec::<String>::new(), "{}", page.title);
        }
    }
}
