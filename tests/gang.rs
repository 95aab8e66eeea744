//! Gang carriers worked out by hand at the bench (common practice, no published source; plane geometry
//! for the staggered rows), against what the program designs, and pockets spoiled one at a time.
//!
//! House machine (`roller-carver-medium`, invented): boards 16..96 in long, 4-1/2..13-1/2 in wide,
//! guards 1/8 and 1/16, so 16-1/8..95-7/8 and 4-9/16..13-7/16; 4 in of end at each end; rails 3/4; window
//! 1/2..13. A tape reads to 1/32 and the slip is 1/64 a side, so a pocket is the blank plus 1/16.

use sledwright::design::{Check, Design, Role, Status, VoidKind};
use sledwright::geometry::Outline;
use sledwright::length::Length;
use sledwright::plan::{Plan, check, plan};
use sledwright::request::{self, Objective, Request};
use sledwright::rules::Rule;
use sledwright::solve::solve;
use sledwright::verify::verify;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

fn read(job: &str) -> Request {
    match request::from_toml(job, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

fn design_of(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { design, broken } => panic!("verify disagrees on {}: {broken:#?}", design.construction),
    }
}

fn design(job: &str) -> Design {
    design_of(&read(job))
}

/// Forty key tags 3 x 1-1/2 x 1/4, 1/8 bit, on tape of 1/64 in MDF of 3/4.
fn tags(objective: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[shop]
buy = false
[carrier]
objective = "{objective}"
[blank]
length = "3"
width = "1-1/2"
thickness = ".250"
count = 40
[carve]
depth = "1/16"
cutter = "1/8"
[hold]
by = "tape"
[[stock]]
material = "mdf"
thickness = "3/4"
length = "97"
width = "49"
calipered = true
"#
    )
}

/// Rows, columns, wide, long: pocket 3-1/16 x 1-9/16 and web 1/2, so pitch 3-9/16 by 2-1/16.
/// Length 8 + 3-1/16 + (columns - 1) x 3-9/16, width 1-1/2 + 1-9/16 + (rows - 1) x 2-1/16:
/// 2 x 20: 11-1/16 + 67-11/16 = 78-3/4 by 3-1/16 + 2-1/16 = 5-1/8, 403.6 sq in;
/// 3 x 14: 11-1/16 + 46-5/16 = 57-3/8 by 7-3/16, 412.4;
/// 4 x 10: 11-1/16 + 32-1/16 = 43-1/8 by 9-1/4, 398.9;
/// 5 x 8: 11-1/16 + 24-15/16 = 36 by 11-5/16, 407.3;
/// 6 x 7: 11-1/16 + 21-3/8 = 32-7/16 by 13-3/8, 433.9;
/// 7 rows: 15-7/16, over 13-7/16.
#[test]
fn every_number_of_rows_for_forty_tags() {
    let design = design(&tags("least-wood"));
    let gang = design.gang.as_ref().expect("a gang");
    let table = [
        (2, 20, 40, inch(5, 1, 8), inch(78, 3, 4), 403.6),
        (3, 14, 42, inch(7, 3, 16), inch(57, 3, 8), 412.4),
        (4, 10, 40, inch(9, 1, 4), inch(43, 1, 8), 398.9),
        (5, 8, 40, inch(11, 5, 16), inch(36, 0, 1), 407.3),
        (6, 7, 42, inch(13, 3, 8), inch(32, 7, 16), 433.9),
    ];
    for (rows, columns, pockets, width, length, square_inches) in table {
        let layout = gang.layouts.iter().find(|layout| layout.rows == rows).expect("told");
        assert_eq!((layout.columns, layout.pockets, layout.loads), (columns, pockets, 1), "{rows} rows");
        assert_eq!((layout.width, layout.length), (width, length), "{rows} rows");
        assert!((layout.area_mm2() / 645.16 - square_inches).abs() < 0.06, "{rows} rows");
    }
    let seven = gang.layouts.iter().find(|layout| layout.rows == 7).expect("told");
    assert_eq!((seven.refused, seven.width), (Some(Rule::WidthMax), inch(15, 7, 16)));
}

/// Each objective chooses its own row of the table.
#[test]
fn the_objective_chooses() {
    let chosen = |objective: &str| {
        let design = design(&tags(objective));
        assert_eq!(design.construction, "gang");
        let gang = design.gang.expect("a gang");
        assert_eq!(gang.objective.id(), objective);
        assert_eq!(gang.loads(), 1);
        (gang.rows, gang.columns, design.carrier.length, design.carrier.width)
    };
    assert_eq!(chosen("least-wood"), (4, 10, inch(43, 1, 8), inch(9, 1, 4)));
    assert_eq!(chosen("fewest-loads"), (4, 10, inch(43, 1, 8), inch(9, 1, 4)));
    assert_eq!(chosen("no-empty-pockets"), (5, 8, inch(36, 0, 1), inch(11, 5, 16)));
    assert_eq!(chosen("shortest"), (6, 7, inch(32, 7, 16), inch(13, 3, 8)));
}

/// 1/4 + 1/64 = 17/64 deep in 3/4 leaves 31/64. 36 in needs no stands, being not more than 36. Lift
/// factor of a tag: 4.5 sq in x 2 psi / 2 lbf = 4.5. The pockets are numbered along the rows: number 12
/// is the second in the second row, 4 + 3-9/16 and 3/4 + 2-1/16.
#[test]
fn depth_pitch_and_hold_of_the_tags() {
    let request = read(&tags("least-wood"));
    let design = design_of(&request);
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!((gang.pitch.x, gang.pitch.y, gang.web), (inch(3, 9, 16), inch(2, 1, 16), inch(0, 1, 2)));
    assert_eq!(design.pockets.len(), 40);
    for pocket in &design.pockets {
        assert_eq!((pocket.z0, pocket.z1 - pocket.z0), (inch(0, 31, 64), inch(0, 17, 64)));
        assert_eq!(pocket.outline.bounds().length(), inch(3, 1, 16));
        assert_eq!(pocket.outline.bounds().width(), inch(1, 9, 16));
    }
    let twelfth = design.pockets[11].outline.bounds();
    assert_eq!((twelfth.x0, twelfth.y0), (inch(7, 9, 16), inch(2, 13, 16)));
    // Closure: 4 + 10 x 3-1/16 + 9 x 1/2 + 4.
    assert_eq!(inch(8, 0, 1) + inch(3, 1, 16) * 10 + inch(0, 1, 2) * 9, design.carrier.length);
    let lift = design.checks.iter().find(|check| check.rule == Rule::LiftFactor && check.subject == "lift factor");
    let Some(Check { actual: sledwright::design::Quantity::Number(factor, _), .. }) = lift else { panic!("{lift:?}") };
    assert!((factor - 4.5).abs() < 1e-6, "{factor}");
    // Forty tags of 3 x 1-1/2 x 1/4 = 45 cu in at 720.8 kg/m3 = 0.532 kg. The board is 398.906 x 3/4 =
    // 299.18 cu in less 40 x 3-1/16 x 1-9/16 x 17/64 = 50.84: 248.34 cu in = 0.0040696 m3.
    let board = 0.004_069_6 * request.stock.iter().find(|stock| stock.on_hand()).expect("mdf").density;
    assert!((design.mass_kg - board - 0.532).abs() < 0.01, "{}", design.mass_kg);
    let five = read(&tags("no-empty-pockets"));
    let five = design_of(&five);
    assert!(!five.warnings.iter().any(|warning| warning.contains("stands")), "{:?}", five.warnings);
}

/// Saws only: rails 17/64 high on 15/32 plywood, 47/64 in all. Three strips of 43-1/8 - 8 = 35-1/8
/// between four rows, nine webs of 1-9/16 in each.
#[test]
fn a_ladder_of_strips_where_nothing_can_be_sunk() {
    let job = tags("least-wood").replace("buy = false", "tools = [\"table saw\", \"mitre saw\", \"planer\"]");
    let job = job.split("[[stock]]").next().expect("text").to_owned();
    let design = design(&job);
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!((gang.rows, gang.columns), (4, 10));
    let size = design.carrier;
    assert_eq!((size.length, size.width, size.thickness), (inch(43, 1, 8), inch(9, 1, 4), inch(0, 47, 64)));
    let webs: Vec<_> = design.parts.iter().filter(|part| part.role == Role::Web).collect();
    let sizes: Vec<_> = webs.iter().map(|part| (part.places.len(), part.size.length, part.size.width)).collect();
    assert_eq!(sizes, [(3, inch(35, 1, 8), inch(0, 1, 2)), (36, inch(1, 9, 16), inch(0, 1, 2))]);
    // Every web comes off a piece that leaves 6 in under the hand.
    assert!(design.cut_list.steps.iter().all(|step| step.held >= inch(6, 0, 1)));
}

/// 400 tags: 24 columns take 8 + 24 x 3-9/16 - 1/2 = 93 in, 25 would take 96-9/16, and 6 rows fit: 144 at
/// most, so three loads. Three loads of 6 x 22 = 132 hold 396; of 6 x 23 = 138 hold 414. The last has
/// 400 - 276 = 124.
#[test]
fn more_than_one_load() {
    let design = design(&tags("fewest-loads").replace("count = 40", "count = 400"));
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!((gang.rows, gang.columns, gang.loads(), gang.last_load()), (6, 23, 3, 124));
    assert!(design.warnings.iter().any(|warning| warning.contains("3 loads: 138 in each, 124 in the last")));
}

const DISCS: &str = r#"
[machine]
use = "roller-carver-medium"
[blank]
shape = "disc"
diameter = "2"
thickness = ".500"
count = 20
[carve]
depth = "1/16"
cutter = "1/8"
"#;

/// Twenty discs of 2 in. Round 2-1/16, web 1/2: 2-9/16 on the slant; the set-off is half of it, 1-9/32,
/// and rows are sqrt(2-9/16^2 - 1-9/32^2) = 2.2192 apart, up to 2-1/4. Two rows of 10 set off:
/// 8 + 2-1/16 + 9 x 2-9/16 + 1-9/32 = 34-13/32 by 1-1/2 + 2-1/16 + 2-1/4 = 5-13/16, 199.99 sq in; straight 33-1/8 by
/// 6-1/8 = 202.89; three rows of 7, 6 and 7: 25-7/16 by 8-1/16 = 205.09.
#[test]
fn staggered_rows_of_discs_take_less_wood() {
    let design = design(DISCS);
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!((gang.rows, gang.columns, gang.pockets), (2, 10, 20));
    assert_eq!((gang.shift, gang.pitch.x, gang.pitch.y), (inch(1, 9, 32), inch(2, 9, 16), inch(2, 1, 4)));
    assert_eq!((design.carrier.length, design.carrier.width), (inch(34, 13, 32), inch(5, 13, 16)));
    // The web on the slant: sqrt(1.28125^2 + 2.25^2) - 2.0625 = 0.5267 in.
    let centres: Vec<_> = design.pockets.iter().map(|pocket| pocket.outline.bounds().centre()).collect();
    let apart = |a: usize, b: usize| {
        let (dx, dy) = ((centres[a].x - centres[b].x).to_inches(), (centres[a].y - centres[b].y).to_inches());
        libm::hypot(dx, dy) - 2.0625
    };
    assert!((apart(0, 10) - 0.5267).abs() < 0.0001 && (apart(1, 10) - 0.5267).abs() < 0.0001);
    let nested = gang.layouts.iter().find(|layout| layout.rows == 3 && layout.staggered).expect("told");
    assert_eq!((nested.columns, nested.pockets, nested.length), (7, 20, inch(25, 7, 16)));
}

/// Cut free all round by a 3/8 bit: web 3/8 + 1/4 = 5/8, and 3/8 + 1/16 + 3/16 = 5/8.
#[test]
fn a_perimeter_cut_widens_the_webs() {
    let job = tags("fewest-loads").replace("cutter = \"1/8\"", "cutter = \"3/8\"\nthrough = \"all-round\"");
    // A larger blank, that its tape may hold it against the larger bit.
    let job = job.replace("width = \"1-1/2\"", "width = \"6\"").replace("count = 40", "count = 4");
    assert_eq!(design(&job).gang.expect("a gang").web, inch(0, 5, 8));
}

/// Bored with a 1/2 in drill on the corner, a relief bites 1/4 in into each web from both sides:
/// 1/4 + 2 x 1/4 = 3/4 in of web.
#[test]
fn bored_reliefs_widen_the_webs() {
    let job = tags("fewest-loads").replace(
        "buy = false",
        "buy = false\ntools = [\"table saw\", \"mitre saw\", \"drill press\", \"chisel\"]\npocket-cutter = \"1/2\"",
    );
    let design = design(&job);
    assert_eq!(design.gang.as_ref().expect("a gang").web, inch(0, 3, 4));
    assert_eq!(design.trace.find("web").and_then(|reason| reason.decided_by), Some(Rule::WebAfterRelief));
}

#[test]
fn one_blank_is_no_gang_and_is_not_mentioned() {
    let one = tags("fewest-loads").replace("count = 40", "count = 1");
    let outcome = solve(&read(&one));
    assert!(outcome.designs.iter().all(|design| design.gang.is_none()));
    assert!(outcome.rejected.iter().all(|rejected| rejected.construction != "gang"));
}

#[test]
fn more_blanks_never_make_a_shorter_or_a_smaller_carrier() {
    for (objective, words) in [(Objective::Shortest, "shortest"), (Objective::LeastWood, "least-wood")] {
        let mut request = read(&tags(words));
        request.construction = Some("gang".to_owned());
        let mut before: Option<(Length, f64)> = None;
        for count in 2..=60 {
            request.blank.count = count;
            let outcome = solve(&request);
            let design = outcome.designs.first().expect("fits");
            let loads = design.gang.as_ref().map_or(0, |gang| gang.loads());
            let area = design.carrier.length.to_mm() * design.carrier.width.to_mm() * loads as f64;
            let now = (design.carrier.length, area);
            // A carrier for one blank more also holds these.
            if let Some(before) = before {
                match objective {
                    Objective::Shortest => assert!(now.0 >= before.0, "{count}: {now:?} after {before:?}"),
                    _ => assert!(now.1 >= before.1 - 1.0, "{count}: {now:?} after {before:?}"),
                }
            }
            before = Some(now);
        }
    }
}

fn broken(request: &Request, design: &Design) -> Vec<(Rule, String)> {
    let bad = verify(request, design).into_iter().filter(|check| check.status != Status::Pass);
    bad.map(|check| (check.rule, check.subject)).collect()
}

/// Every pocket is looked at: whichever is spoiled, it is named.
#[test]
fn a_spoiled_pocket_is_noticed_wherever_it_is() {
    let request = read(&tags("least-wood"));
    let sound = design_of(&request);
    assert!(broken(&request, &sound).iter().all(|(rule, _)| sound.waived.contains(rule)));
    let of = |design: &Design, number: usize| {
        let pocket = design.pockets[number - 1].outline.clone();
        design.parts[0].places[0].voids.iter().position(|void| void.outline == pocket).expect("its void")
    };
    for number in [2, 10, 11, 23, 40] {
        let has = |design: &Design, rule: Rule, named: bool| {
            let found = broken(&request, design);
            let tail = format!("pocket {number}");
            let hit = |(at, subject): &(Rule, String)| *at == rule && (!named || subject.ends_with(&tail));
            assert!(found.iter().any(hit), "{} of pocket {number}: {found:?}", rule.id());
        };
        // Sunk 1/16 too deep: the floor is not where the tape and blank need it.
        let mut deep = sound.clone();
        let void = of(&deep, number);
        deep.parts[0].places[0].voids[void].z0 -= inch(0, 1, 16);
        has(&deep, Rule::AdhesiveCounted, true);
        // Sunk almost through.
        let mut thin = sound.clone();
        thin.parts[0].places[0].voids[void].z0 = inch(0, 1, 8);
        has(&thin, Rule::PocketFloor, true);
        // Narrower by 1/32: the largest blank does not go in.
        let mut narrow = sound.clone();
        for outline in [&mut narrow.parts[0].places[0].voids[void].outline, &mut narrow.pockets[number - 1].outline] {
            let Outline::Rect(rect) = outline else { panic!("a rectangle") };
            rect.y1 -= inch(0, 1, 32);
        }
        has(&narrow, Rule::Fit, true);
        // Set off by 1/32: off the pitch, and one web is thinner.
        let mut off = sound.clone();
        for outline in [&mut off.parts[0].places[0].voids[void].outline, &mut off.pockets[number - 1].outline] {
            *outline = outline.moved(-inch(0, 1, 32), Length::ZERO);
        }
        has(&off, Rule::EqualPitch, false);
        if number != 11 {
            has(&off, Rule::Web, false);
        }
        // Its reliefs forgotten.
        let mut sharp = sound.clone();
        let around = sharp.pockets[number - 1].outline.bounds();
        sharp.parts[0].places[0]
            .voids
            .retain(|void| void.kind != VoidKind::Relief || !void.outline.bounds().meets(&around));
        has(&sharp, Rule::CornerRelief, true);
    }
}

/// A web left out of the ladder, or a pocket more on paper than in wood.
#[test]
fn a_missing_web_and_a_wrong_count_are_noticed() {
    let job = tags("least-wood").replace("buy = false", "tools = [\"table saw\", \"mitre saw\", \"planer\"]");
    let request = read(job.split("[[stock]]").next().expect("text"));
    let sound = design_of(&request);
    for place in [0, 17, 35] {
        let mut spoiled = sound.clone();
        let webs = spoiled.parts.iter_mut().find(|part| part.name == "web").expect("webs");
        webs.places.remove(place);
        assert!(broken(&request, &spoiled).iter().any(|(rule, _)| *rule == Rule::Closure), "web {place}");
    }
    let mut told = sound.clone();
    told.gang.as_mut().expect("a gang").blanks = 39;
    assert!(broken(&request, &told).iter().any(|(rule, _)| *rule == Rule::GangCount));
}

#[test]
fn a_hundred_tags_and_a_thousand() {
    for count in [100, 1000] {
        let mut request = read(&tags("fewest-loads"));
        request.blank.count = count;
        for mut design in solve(&request).designs.into_iter().filter(|design| design.gang.is_some()) {
            assert!(check(&request, &mut design).is_empty());
        }
    }
}

/// Lettering never meets lettering or leaves its sheet, whatever the number of pockets.
#[test]
fn sheets_of_gangs_are_legible() {
    let strips = tags("least-wood").replace("buy = false", "tools = [\"table saw\", \"mitre saw\", \"planer\"]");
    let strips = strips.split("[[stock]]").next().expect("text").to_owned();
    let few = tags("fewest-loads").replace("count = 40", "count = 2");
    let many = tags("fewest-loads").replace("count = 40", "count = 400");
    for job in [tags("shortest"), strips, few, many, DISCS.to_owned()] {
        let request = read(&job);
        for page in sledwright::sheet::sheets(&request, &design_of(&request)) {
            assert_eq!(sledwright::sheet::overlaps(&page), Vec::<String>::new(), "{}", page.title);
        }
    }
}
