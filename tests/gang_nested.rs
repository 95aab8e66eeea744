//! Nests that stand in no rows, of one outline and of several: held against plane geometry worked out here and
//! by hand (common practice, no published source), and spoiled one property at a time.
//!
//! House machine (`roller-carver-medium`, invented): boards 4-1/2..13-1/2 in wide with a guard of 1/16 and up to
//! 96 long with one of 1/8, rails 3/4, ends 4 in. Outlines are known to 1/64 and the slip is 1/64 a side, so a
//! nest stands c = 1/32 off. Between nests 1/2 is left, between what is cut beyond them 1/4.

use sledwright::design::{Design, Gang, Status, VoidKind};
use sledwright::geometry::Outline;
use sledwright::geometry::path::{Mm, in_ring, to_mm};
use sledwright::length::Length;
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};
use sledwright::rules::Rule;
use sledwright::verify::verify;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

const HEAD: &str = r#"
[machine]
use = "roller-carver-medium"
"#;
const TAIL: &str = r#"
[carve]
depth = "1/16"
cutter = "1/8"
[hold]
by = "tape"
"#;

fn blank(points: &str, count: u32, more: &str) -> String {
    format!(
        "[blank]\nshape = \"outline\"\nthickness = \".250\"\noutline-error = \"1/64\"\ncount = {count}\npoints = {points}\n{more}\n"
    )
}

fn also(name: &str, points: &str, count: u32) -> String {
    format!("[[also]]\nname = \"{name}\"\noutline-error = \"1/64\"\ncount = {count}\npoints = {points}\n")
}

fn read(job: &str) -> Request {
    match request::from_toml(job, "job.toml", &|_| Err("no files here".to_owned())) {
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

fn gang(design: &Design) -> &Gang {
    design.gang.as_ref().expect("a gang")
}

/// 5 long, 3 wide, corners in the middle of the sides of its box.
const LOZENGE: &str = r#"[["0", "1-1/2"], ["2-1/2", "0"], ["5", "1-1/2"], ["2-1/2", "3"]]"#;
/// A 3-4-5 triangle.
const SAIL: &str = r#"[["0", "0"], ["3", "0"], ["0", "4"]]"#;
const HULL: &str = r#"[["1", "0"], ["5", "0"], ["6", "1-3/4"], ["0", "1-3/4"]]"#;

fn lozenges(count: u32) -> Request {
    read(&format!("{HEAD}{}{TAIL}", blank(LOZENGE, count, "")))
}

fn mixed(sails: u32, hulls: u32, turn: &str) -> Request {
    let turn = format!("turn = \"{turn}\"\nname = \"sail\"");
    read(&format!("{HEAD}{}{}{TAIL}", blank(SAIL, sails, &turn), also("hull", HULL, hulls)))
}

/// Corners of a blank of straight sides, mm.
fn corners(outline: &Outline) -> Vec<Mm> {
    match outline {
        Outline::Path(path) => path.vertices().iter().map(|vertex| to_mm(vertex.point)).collect(),
        other => panic!("no outline: {other:?}"),
    }
}

/// Distance of two polygons with straight sides: least distance of a corner of one from a side of the other,
/// nothing where one holds a corner of the other (school geometry; written for this test).
fn apart(a: &[Mm], b: &[Mm]) -> f64 {
    let to_side = |p: Mm, q: Mm, r: Mm| {
        let (dx, dy) = (r.0 - q.0, r.1 - q.1);
        let t = (((p.0 - q.0) * dx + (p.1 - q.1) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
        libm::hypot(p.0 - q.0 - t * dx, p.1 - q.1 - t * dy)
    };
    let one_way = |a: &[Mm], b: &[Mm]| {
        let sides = b.iter().zip(b.iter().cycle().skip(1));
        let off = a.iter().flat_map(|p| sides.clone().map(move |(q, r)| to_side(*p, *q, *r))).fold(f64::MAX, f64::min);
        if a.iter().any(|p| in_ring(b, *p)) { 0.0 } else { off }
    };
    one_way(a, b).min(one_way(b, a))
}

/// Blanks of straight sides stand 1/2 + 2c = 9/16 apart: each nest 1/32 off its blank, 1/2 between nests. The
/// program's nests are 3 um smaller all round.
fn blanks_stand_apart(design: &Design) {
    let wanted = 25.4 * 9.0 / 16.0 - 0.02;
    let rings: Vec<Vec<Mm>> = design.blank_outlines().iter().map(corners).collect();
    for (place, one) in rings.iter().enumerate() {
        for (other, two) in rings.iter().enumerate().skip(place + 1) {
            let found = apart(one, two);
            assert!(found >= wanted, "{} and {}: {found}", place + 1, other + 1);
        }
    }
}

/// In straight rows lozenges stand box beside box: three rows across and five along, 8 + 5 x 5-1/16 + 4 x 1/2 =
/// 35-5/16 by 1-1/2 + 3 x 3-1/16 + 2 x 1/2 = 11-11/16, 413 sq in for fourteen.
///
/// By hand, in columns: two sides that face each other run at 3 in 5. Moved by (s, t) a lozenge clears the next
/// one where (3 s + 5 t) / sqrt(34) is no less than the distance 15 / sqrt(34) of two opposite sides and 9/16
/// more, so 3 s + 5 t >= 15 + 3.28 = 18.28. Columns of three, 3 + 2c + 1/2 = 3-9/16 from one to the next
/// (t = 3-9/16), every second column of two set off by half of that, t = 1-25/32 (1.78125): s >= 3.125, 3-1/8 from one
/// column to the next. 3 + 2 + 3 + 2 + 3 + 2 = 15 in six columns: 8 + 5-1/16 + 5 x 3-1/8 = 28-11/16 by
/// 1-1/2 + 3-1/16 + 2 x 3-9/16 = 11-11/16: 335 sq in. A free nest is to do no worse than that, and may have an
/// inch more for finger gaps that find no place between three nests.
#[test]
fn lozenges_lie_between_lozenges() {
    let design = design(&lozenges(14));
    let gang = gang(&design);
    assert!(gang.is_free(), "{}", design.variant);
    assert_eq!((gang.pockets, gang.loads(), gang.rows), (14, 1, 0));
    assert!(gang.nested.iter().all(|nested| !nested.turned && nested.kind == 0));
    let area = design.carrier.length.to_mm() * design.carrier.width.to_mm() / 645.16;
    let by_hand = 28.6875 * 11.6875;
    assert!(area <= by_hand * 1.05, "{area:.0} sq in, by hand {by_hand:.0}");
    blanks_stand_apart(&design);
}

/// Where rows are as good they are taken: rectangles fill them.
#[test]
fn rows_are_kept_where_nothing_is_gained() {
    let square = r#"[["0", "0"], ["3", "0"], ["3", "2"], ["0", "2"]]"#;
    let design = design(&read(&format!("{HEAD}{}{TAIL}", blank(square, 12, "turn = \"free\""))));
    assert!(!gang(&design).is_free(), "{}", design.variant);
}

/// Six sails and four hulls in one load, each with its name, count and place; where nothing may be turned
/// nothing is.
#[test]
fn two_outlines_lie_in_one_board() {
    for turn in ["free", "locked"] {
        let request = mixed(6, 4, turn);
        let design = design(&request);
        let gang = gang(&design);
        assert_eq!((gang.loads(), gang.pockets, gang.blanks), (1, 10, 10));
        let told: Vec<(&str, usize, usize)> =
            gang.kinds.iter().map(|kind| (kind.name.as_str(), kind.blanks, kind.pockets)).collect();
        assert_eq!(told, [("sail", 6, 6), ("hull", 4, 4)]);
        // A sail is 3 x 4 / 2 = 6 sq in, a hull (4 + 6) / 2 x 1-3/4 = 8-3/4.
        for (nested, outline) in gang.nested.iter().zip(design.blank_outlines()) {
            let wanted = [6.0, 8.75][nested.kind];
            assert!((outline.area_mm2() / 645.16 - wanted).abs() < 1e-3);
            assert!(turn == "free" || !nested.turned);
        }
        blanks_stand_apart(&design);
    }
}

/// More than one board holds: the same carrier is filled again, of each outline as many as are left. Every
/// blank has its turn.
#[test]
fn many_of_several_outlines_go_in_several_loads() {
    let design = design(&mixed(90, 61, "free"));
    let gang = gang(&design);
    let loads = gang.loads();
    assert!(loads >= 2);
    for (kind, blanks) in gang.kinds.iter().zip([90, 61]) {
        assert_eq!(kind.pockets, usize::div_ceil(blanks, loads));
        assert_eq!((0..loads).map(|load| gang.in_load(kind, load)).sum::<usize>(), blanks);
    }
    assert!(design.carrier.length <= inch(95, 7, 8));
    blanks_stand_apart(&design);
}

fn broken(request: &Request, design: &Design) -> Vec<(Rule, String)> {
    let bad = verify(request, design).into_iter().filter(|check| check.status != Status::Pass);
    bad.map(|check| (check.rule, check.subject)).collect()
}

/// Moves a nest with its blank, in the lists and in the wood.
fn moved(design: &mut Design, place: usize, x: Length, y: Length) {
    let before = design.pockets[place].outline.clone();
    let voids = &mut design.parts[0].places[0].voids;
    voids.iter_mut().find(|void| void.outline == before).expect("its void").outline = before.moved(x, y);
    design.pockets[place].outline = before.moved(x, y);
    let nested = &mut design.gang.as_mut().expect("a gang").nested[place];
    nested.blank = nested.blank.moved(x, y);
}

/// The nest that stands nearest to another one, and a move of 1/16 towards it along the feed or across.
fn towards(design: &Design, place: usize) -> (Length, Length) {
    let rings: Vec<Vec<Mm>> = design.blank_outlines().iter().map(corners).collect();
    let sixteenth = inch(0, 1, 16);
    let ways =
        [(sixteenth, Length::ZERO), (-sixteenth, Length::ZERO), (Length::ZERO, sixteenth), (Length::ZERO, -sixteenth)];
    let after = |(x, y): &(Length, Length)| {
        let own: Vec<Mm> = rings[place].iter().map(|p| (p.0 + x.to_mm(), p.1 + y.to_mm())).collect();
        let others = rings.iter().enumerate().filter(|(other, _)| *other != place);
        others.map(|(_, ring)| apart(&own, ring)).fold(f64::MAX, f64::min)
    };
    ways.into_iter().min_by(|a, b| after(a).total_cmp(&after(b))).expect("a way")
}

#[test]
fn a_spoiled_nest_is_noticed_wherever_it_is() {
    for request in [lozenges(14), mixed(6, 4, "free")] {
        let sound = design(&request);
        assert!(broken(&request, &sound).iter().all(|(rule, _)| sound.waived.contains(rule)));
        let complains = |design: &Design, rule: Rule, what: &str| {
            let found = broken(&request, design);
            assert!(found.iter().any(|(at, _)| *at == rule), "{what}, {}: {found:?}", rule.id());
        };
        let mut nearer = 0;
        for place in 1..sound.pockets.len() {
            // A sixteenth nearer to its nearest neighbour: the ruler's marks are kept, the web may be.
            let (x, y) = towards(&sound, place);
            let mut off = sound.clone();
            moved(&mut off, place, x, y);
            let rings: Vec<Vec<Mm>> = off.blank_outlines().iter().map(corners).collect();
            let others = rings.iter().enumerate().filter(|(other, _)| *other != place);
            let least = others.map(|(_, ring)| apart(&rings[place], ring)).fold(f64::MAX, f64::min);
            if least < 25.4 * 9.0 / 16.0 - 0.05 {
                nearer += 1;
                complains(&off, Rule::Web, "moved");
            }
            // Half a mark: it can no longer be laid out.
            let mut between = sound.clone();
            moved(&mut between, place, inch(0, 1, 64), Length::ZERO);
            complains(&between, Rule::NestPlaces, "off the marks");
        }
        assert!(nearer * 2 > sound.pockets.len(), "{nearer} of {} stand close", sound.pockets.len());
        let last = sound.pockets.len() - 1;
        let mut filled = sound.clone();
        let outline = filled.pockets[last].outline.clone();
        filled.parts[0].places[0].voids.retain(|void| void.outline != outline);
        complains(&filled, Rule::GangCount, "not cut");
        let mut untold = sound.clone();
        untold.pockets.remove(last);
        complains(&untold, Rule::GangCount, "not told");
        let mut lost = sound.clone();
        lost.gang.as_mut().expect("a gang").nested.pop();
        complains(&lost, Rule::GangCount, "not told what lies there");
        // The blank of one lies out of its nest.
        let mut slipped = sound.clone();
        let nested = &mut slipped.gang.as_mut().expect("a gang").nested[last];
        nested.blank = nested.blank.moved(inch(0, 1, 8), Length::ZERO);
        complains(&slipped, Rule::NestPlaces, "blank moved");
        // Told to be turned though it is not, or the other way about.
        let mut wrong = sound.clone();
        let nested = &mut wrong.gang.as_mut().expect("a gang").nested[last];
        nested.turned = !nested.turned;
        let found = broken(&request, &wrong);
        assert!(
            found.iter().any(|(rule, _)| matches!(rule, Rule::NestPlaces | Rule::InputsAgree)),
            "told to be turned: {found:?}"
        );
        let mut sharp = sound.clone();
        let voids = &mut sharp.parts[0].places[0].voids;
        let relief = voids.iter().rposition(|void| void.kind == VoidKind::Relief).expect("a relief");
        voids.remove(relief);
        complains(&sharp, Rule::NestPlaces, "relief forgotten");
        let gaps = sound.parts[0].places[0].voids.iter().filter(|void| void.kind == VoidKind::FingerGap).count();
        for gap in 0..gaps {
            let mut forgotten = sound.clone();
            let voids = &mut forgotten.parts[0].places[0].voids;
            let places: Vec<usize> = voids
                .iter()
                .enumerate()
                .filter(|(_, void)| void.kind == VoidKind::FingerGap)
                .map(|(at, _)| at)
                .collect();
            voids.remove(places[gap]);
            complains(&forgotten, Rule::FingerGaps, "gap forgotten");
        }
        // Another count of blanks.
        let mut more = sound.clone();
        more.gang.as_mut().expect("a gang").kinds[0].blanks += 1;
        complains(&more, Rule::GangCount, "counted wrong");
    }
}

/// A nest of another outline in place of its own: seen by its shape.
#[test]
fn an_outline_in_the_wrong_pocket_is_noticed() {
    let request = mixed(6, 4, "free");
    let mut design = design(&request);
    let nested = &mut design.gang.as_mut().expect("a gang").nested;
    let hull = nested.iter().position(|nested| nested.kind == 1).expect("a hull");
    nested[hull].kind = 0;
    assert!(!broken(&request, &design).is_empty());
}

/// The same job, the same board, to the last tick.
#[test]
fn the_same_job_has_the_same_nest() {
    assert_eq!(design(&mixed(6, 4, "free")), design(&mixed(6, 4, "free")));
}

/// Mistakes in the table of further outlines are told with their place.
#[test]
fn mistakes_in_further_outlines_are_told() {
    let said = |job: &str| match request::from_toml(job, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(_) => panic!("taken: {job}"),
        Err(report) => report.to_string(),
    };
    let rectangle = "[blank]\nlength = \"9\"\nwidth = \"6\"\nthickness = \".75\"\n";
    let text = said(&format!("{HEAD}{rectangle}{}{TAIL}", also("hull", HULL, 2)));
    assert!(text.contains("`[[also]]` stands beside an outline, but the shape is a rectangle"), "{text}");
    let text = said(&format!("{HEAD}{}[[also]]\nname = \"hull\"\n{TAIL}", blank(SAIL, 2, "")));
    assert!(text.contains("the outline is not given") && text.contains("[[also]]"), "{text}");
    let twins = format!("{}{}", also("hull", HULL, 2), also("hull", SAIL, 2));
    let text = said(&format!("{HEAD}{}{twins}{TAIL}", blank(SAIL, 2, "")));
    assert!(text.contains("two outlines are called `hull`"), "{text}");
    let area = TAIL.replace("[carve]", "[carve]\nlength = \"1\"\nwidth = \"1\"");
    let text = said(&format!("{HEAD}{}{}{area}", blank(SAIL, 2, ""), also("hull", HULL, 2)));
    assert!(text.contains("one area to carve is stated for several outlines"), "{text}");
    let text = said(&format!("{HEAD}{}[[also]]\ncuont = 2\npoints = {HULL}\n{TAIL}", blank(SAIL, 2, "")));
    assert!(text.contains("`count`"), "{text}");
    // Insisting on a carrier for one of them.
    let one = format!(
        "{HEAD}[carrier]\nconstruction = \"outline-nest\"\n{}{}{TAIL}",
        blank(SAIL, 2, ""),
        also("hull", HULL, 2)
    );
    match plan(&read(&one)) {
        Plan::Nothing(outcome) => {
            let clash = outcome.rejected.iter().flat_map(|rejected| &rejected.conflict.clashes);
            assert!(clash.into_iter().any(|clash| clash.text.contains("several outlines")));
        }
        other => panic!("{other:?}"),
    }
}

/// Lettering never meets lettering or leaves its sheet, and every outline is told by its name.
#[test]
fn sheets_of_nests_are_legible() {
    for request in [lozenges(14), lozenges(60), mixed(6, 4, "free"), mixed(30, 20, "locked")] {
        let design = design(&request);
        let pages = sledwright::sheet::sheets(&request, &design);
        for page in &pages {
            assert_eq!(sledwright::sheet::overlaps(page), Vec::<String>::new(), "{}", page.title);
        }
    }
}

/// Random outlines with corners, coves and spikes, one to four in a job, of many counts: whatever is designed
/// is verified, and the blanks stand apart. Numbers from a linear congruential generator (Knuth's constants).
#[test]
fn random_outlines_are_verified() {
    let mut state: u64 = 0x1337;
    let mut random = |most: u64| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) % most
    };
    let (mut free, mut refused) = (0, 0);
    for round in 0..14 {
        let outline = |random: &mut dyn FnMut(u64) -> u64| {
            let corners = 3 + random(6);
            let (long, wide) = (1.3 + random(20) as f64 / 10.0, 1.2 + random(12) as f64 / 10.0);
            let points: Vec<String> = (0..corners)
                .map(|corner| {
                    let turn = std::f64::consts::TAU * (corner as f64 + random(5) as f64 / 10.0) / corners as f64;
                    let far = 0.6 + random(5) as f64 / 10.0;
                    let (x, y) = (far * long * libm::cos(turn) + 4.0, far * wide * libm::sin(turn) + 4.0);
                    format!("[\"{x:.3}\", \"{y:.3}\"]")
                })
                .collect();
            format!("[{}]", points.join(", "))
        };
        let kinds = 1 + random(4);
        let turn = if random(2) == 0 { "free" } else { "locked" };
        let mut job =
            format!("{HEAD}{}", blank(&outline(&mut random), 2 + random(9) as u32, &format!("turn = \"{turn}\"")));
        for kind in 1..kinds {
            job.push_str(&also(&format!("other {kind}"), &outline(&mut random), 1 + random(6) as u32));
        }
        job.push_str(TAIL);
        let Ok(request) = request::from_toml(&job, "job.toml", &|_| Err("no files here".to_owned())) else {
            refused += 1;
            continue;
        };
        match plan(&request) {
            Plan::Ready { design, .. } => {
                if design.gang.as_ref().is_some_and(Gang::is_free) {
                    free += 1;
                    blanks_stand_apart(&design);
                }
            }
            Plan::Nothing(_) => refused += 1,
            Plan::Disagree { broken, .. } => panic!("{round}: {job}\n{broken:#?}"),
        }
    }
    assert!(free >= 5, "{free} nested freely, {refused} refused");
}
