//! Saw plans: cuts worked out by hand, and a replay that has to notice every property spoiled.
//! Common practice, no published source: 12 in is the shortest piece ripped, 6 in stay in a crosscut.

use sledwright::boards::pile::{self, PileBoard};
use sledwright::boards::{JobDesign, NoPlan, Planned, Style, Terms, pile_after, plan};
use sledwright::design::{Against, BoardPlan, Design, Direction, Extent, Operation, Parent, SawStep, Status};
use sledwright::geometry::Rect;
use sledwright::length::{Length, Unit};
use sledwright::library::library;
use sledwright::plan::{Plan, plan as design_job};
use sledwright::request::{self, Request};
use sledwright::rules::Rule;
use sledwright::verify::{check_boards, check_handed_over};

fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

/// A job whose cut list is replaced by the parents wanted: what comes out of the boards is all that
/// matters here.
fn job(parents: &[(&str, Length, Length, Length, usize)]) -> (Request, Box<Design>) {
    let text = "[blank]\nlength = \"9\"\nwidth = \"6\"\nthickness = \"3/4\"\n";
    let request = match request::from_toml(text, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    };
    let Plan::Ready { mut design, .. } = design_job(&request) else { panic!("no design") };
    let part = design.parts[0].id.clone();
    design.cut_list.parents = parents
        .iter()
        .enumerate()
        .map(|(place, (material, length, width, thickness, count))| Parent {
            id: format!("P{}", place + 1),
            material: (*material).to_owned(),
            size: Extent { length: *length, width: *width, thickness: *thickness },
            count: *count,
            yields: vec![(part.clone(), *count)],
        })
        .collect();
    // Of the steps only the planing matters here: what is planed may come out of a thicker board.
    let any = design.cut_list.steps[0].clone();
    let planed = design.cut_list.parents.iter().filter(|parent| parent.material == "softwood board");
    let steps = planed.map(|parent| SawStep { operation: Operation::Plane, piece: parent.id.clone(), ..any.clone() });
    design.cut_list.steps = steps.collect();
    (request, design)
}

fn pile(text: &str) -> Vec<PileBoard> {
    match pile::from_toml(library(), text, "pile.toml", Unit::Inch) {
        Ok(pile) => pile.rows,
        Err(report) => panic!("{report}"),
    }
}

const TERMS: Terms = Terms { style: Style::Strips, keep: (Length::inches(12, 1), Length::inches(3, 1)), permille: 0 };

fn planned(parents: &[(&str, Length, Length, Length, usize)], boards: &str) -> Planned {
    let (request, design) = job(parents);
    let jobs = [JobDesign { request: &request, design: &design }];
    plan(&jobs, &pile(boards), &TERMS, &|| false, &mut |_| {}).expect("a plan")
}

fn broken(planned: &Planned, plan: &BoardPlan) -> Vec<Rule> {
    let there: Vec<usize> = planned.rows.iter().map(|row| row.count).collect();
    let checks = check_boards(plan, &planned.shop, &there);
    checks.iter().filter(|check| check.status != Status::Pass).map(|check| check.rule).collect()
}

/// A board 40 x 9, 1/4 off all round, kerf 1/8; two pieces 18 x 5 and one 20 x 3.
/// Rip: 9 - 1/4 = 8-3/4 stays when the near edge is off (the offcut is 1/8, the kerf 1/8). Then 5, and of
/// 8-3/4 - 5 - 1/8 = 3-5/8 the strip of 3; 3-5/8 - 3 - 1/8 = 1/2 is waste.
/// Strip of 5: 1/4 off the end leaves 39-3/4; 18 leaves 21-5/8, 18 leaves 3-1/2. 18 is held in the last.
/// Strip of 3: 1/4 off leaves 39-3/4; 20 leaves 19-5/8 x 3, which goes back on the pile.
const ONE: &str = "[[board]]\nmaterial = \"plywood\"\nthickness = \"15/32\"\nlength = \"40\"\nwidth = \"9\"\n";

fn three() -> Planned {
    let ply = inch(0, 15, 32);
    planned(
        &[
            ("plywood 15/32", inch(18, 0, 1), inch(5, 0, 1), ply, 2),
            ("plywood 15/32", inch(20, 0, 1), inch(3, 0, 1), ply, 1),
        ],
        ONE,
    )
}

#[test]
fn a_board_cut_by_hand() {
    let planned = three();
    assert_eq!(broken(&planned, &planned.plan), []);
    let plan = &planned.plan;
    assert!(plan.proofs[0].is_best() && !plan.boards[0].bought && plan.boards.len() == 1);
    let cuts: Vec<(Direction, Length, Length)> =
        plan.cuts.iter().map(|cut| (cut.direction, cut.setting, cut.held)).collect();
    let (rip, crosscut) = (Direction::Rip, Direction::Crosscut);
    let expected = [
        (rip, inch(8, 3, 4), inch(40, 0, 1)),
        (rip, inch(5, 0, 1), inch(40, 0, 1)),
        (rip, inch(3, 0, 1), inch(40, 0, 1)),
        (crosscut, inch(0, 1, 8), inch(39, 3, 4)),
        (crosscut, inch(18, 0, 1), inch(21, 5, 8)),
        (crosscut, inch(18, 0, 1), inch(18, 0, 1)),
        (crosscut, inch(0, 1, 8), inch(39, 3, 4)),
        (crosscut, inch(20, 0, 1), inch(20, 0, 1)),
    ];
    assert_eq!(cuts, expected);
    let left: Vec<(Length, Length)> =
        plan.boards[0].leftovers.iter().map(|left| (left.place.length(), left.place.width())).collect();
    assert_eq!(left, [(inch(19, 5, 8), inch(3, 0, 1))]);
    let after = pile_after(&pile(ONE), &planned.rows, plan);
    assert_eq!((after.len(), after[0].mark.as_deref(), after[0].length), (1, Some("B1-L1"), inch(19, 5, 8)));
}

/// A bad place 2 long in the middle of a board 50 x 6: 24 to either side of it, less 1/4 at the ends.
/// Two pieces 23 x 5-1/4 come out only when it is crosscut on both sides: at 24 and at 26 from the near end.
#[test]
fn a_bad_place_is_cut_out() {
    let board = "[[board]]\nmaterial = \"plywood\"\nthickness = \"15/32\"\nlength = \"50\"\nwidth = \"6\"\nbad = [[\"24\", \"2\", \"2\", \"1\"]]\n";
    let planned = planned(&[("plywood 15/32", inch(23, 0, 1), inch(5, 1, 4), inch(0, 15, 32), 2)], board);
    assert_eq!(broken(&planned, &planned.plan), []);
    assert_eq!(planned.plan.boards.len(), 1);
    let lines: Vec<Rect> =
        planned.plan.cuts.iter().filter(|cut| cut.direction == Direction::Crosscut).map(|cut| cut.line).collect();
    assert_eq!((lines[0].x0, lines[0].x1), (inch(24, 0, 1), inch(24, 1, 8)));
    assert!(lines.iter().any(|line| line.x1 == inch(26, 0, 1)), "{lines:?}");
}

/// Nothing on the pile is wide enough for 16 x 10: the quarter sheet of 48 x 24 is bought.
/// 48 x 24 x 15/32 in = 1.2192 x 0.6096 x 0.01190625 m = 0.008849 m3, at 560 kg/m3 4.955 kg.
#[test]
fn what_is_wanting_is_bought_in_a_standard_size() {
    let planned = planned(&[("plywood 15/32", inch(16, 0, 1), inch(10, 0, 1), inch(0, 15, 32), 1)], ONE);
    let board = &planned.plan.boards[0];
    assert!(board.bought);
    assert_eq!((board.size.length, board.size.width), (inch(48, 0, 1), inch(24, 0, 1)));
    assert!((board.mass_kg - 4.955).abs() < 0.001, "{}", board.mass_kg);
    // What is left goes on the pile beside the board that stays.
    let after = pile_after(&pile(ONE), &planned.rows, &planned.plan);
    assert!(after.len() > 1 && after[0].length == inch(40, 0, 1));
    assert_eq!(pile(&pile::to_toml(&after, Unit::Inch)), after);
}

/// What is bought for planed pieces, and birch plywood in millimetres, can be read back from the pile too.
#[test]
fn leftovers_of_bought_boards_are_read_back() {
    let planned = planned(&[("softwood board", inch(20, 0, 1), inch(3, 0, 1), inch(0, 61, 64), 1)], "");
    let after = pile_after(&[], &planned.rows, &planned.plan);
    assert!(!after.is_empty());
    assert_eq!(pile(&pile::to_toml(&after, Unit::Inch)), after);
    let (request, design) = example("rubbing-strake");
    let jobs = [JobDesign { request: &request, design: &design }];
    let planned = plan(&jobs, &[], &TERMS, &|| false, &mut |_| {}).expect("a plan");
    let after = pile_after(&[], &planned.rows, &planned.plan);
    let text = pile::to_toml(&after, Unit::Millimetre);
    let read = pile::from_toml(library(), &text, "pile.toml", Unit::Millimetre).map(|pile| pile.rows.len());
    assert_eq!(read.map_err(|report| report.to_string()), Ok(after.len()));
}

/// Prices decide where all boards have one: two small boards at 3.00 are cheaper than a large one at 7.00,
/// and dearer than one at 5.00.
#[test]
fn prices_decide() {
    let boards = |price: &str| {
        format!(
            "[[board]]\nmaterial = \"plywood\"\nthickness = \"15/32\"\nlength = \"20\"\nwidth = \"6\"\nbuy = true\nprice = 3.0\n\
             [[board]]\nmaterial = \"plywood\"\nthickness = \"15/32\"\nlength = \"40\"\nwidth = \"6\"\nbuy = true\nprice = {price}\n"
        )
    };
    let wanted = [("plywood 15/32", inch(18, 0, 1), inch(5, 0, 1), inch(0, 15, 32), 2)];
    assert_eq!(planned(&wanted, &boards("7.0")).plan.proofs[0].cost, 600);
    assert_eq!(planned(&wanted, &boards("5.0")).plan.proofs[0].cost, 500);
}

/// Solid boards are planed down by at most 1/2 in and never laid across the grain.
#[test]
fn solid_wood_is_planed_and_keeps_its_grain() {
    let boards = "[[board]]\nmaterial = \"pine, ponderosa\"\nthickness = \"1-1/2\"\nlength = \"30\"\nwidth = \"7\"\n\
                  [[board]]\nmaterial = \"pine, ponderosa\"\nthickness = \"1\"\nlength = \"30\"\nwidth = \"7\"\n";
    let planned = planned(&[("softwood board", inch(20, 0, 1), inch(5, 0, 1), inch(0, 13, 16), 1)], boards);
    assert_eq!(planned.plan.boards[0].size.thickness, inch(1, 0, 1));
    assert!(!planned.plan.boards[0].pieces[0].turned);
    assert_eq!(broken(&planned, &planned.plan), []);
}

/// Every property of a sound plan spoiled once: the replay names the rule.
#[test]
fn a_spoiled_plan_is_noticed() {
    let planned = three();
    type Spoil = fn(&mut BoardPlan);
    let spoils: [(&str, Rule, Spoil); 20] = [
        ("kerf thicker than counted", Rule::CutsAddUp, |plan| plan.kerf += Length::inches(1, 32)),
        ("setting off by a mark", Rule::CutsAddUp, |plan| plan.cuts[1].setting += Length::inches(1, 32)),
        ("size before is wrong", Rule::CutsAddUp, |plan| plan.cuts[4].before.length += Length::inches(1, 32)),
        ("line drawn elsewhere", Rule::CutsAddUp, |plan| {
            plan.cuts[1].line.y0 -= Length::inches(1, 32);
        }),
        ("a cut left out", Rule::CutsAddUp, |plan| {
            plan.cuts.remove(1);
        }),
        ("crosscut before it is ripped", Rule::CutsAddUp, |plan| plan.cuts.swap(1, 4)),
        ("the same name twice", Rule::CutsAddUp, |plan| plan.cuts[1].far = plan.cuts[1].near.clone()),
        ("a piece drawn elsewhere", Rule::CutsAddUp, |plan| {
            plan.boards[0].pieces[0].place.x0 += Length::inches(1, 32);
        }),
        ("a piece forgotten", Rule::CutsAddUp, |plan| {
            plan.boards[0].pieces.pop();
        }),
        ("a piece too small", Rule::CutsAddUp, |plan| plan.wanted[0].size.width += Length::inches(1, 32)),
        ("a leftover larger than it is", Rule::CutsAddUp, |plan| {
            plan.boards[0].leftovers[0].place.x1 += Length::inches(1, 32);
        }),
        ("against the other side", Rule::CutsAddUp, |plan| plan.cuts[1].against = Against::Far),
        ("a bound above the cost", Rule::CutsAddUp, |plan| plan.proofs[0].bound = plan.proofs[0].cost + 1),
        ("more under the hands than there is", Rule::CrosscutSafe, |plan| {
            plan.cuts[5].held += Length::inches(1, 32);
        }),
        ("a mitre saw that rips", Rule::ToolOwned, |plan| plan.cuts[1].machine = "mitre saw"),
        ("a crosscut along the fence", Rule::ToolOwned, |plan| plan.cuts[4].machine = "table saw"),
        ("sheet of another thickness", Rule::StockExists, |plan| {
            plan.boards[0].size.thickness += Length::inches(1, 64);
        }),
        ("more boards than there are", Rule::StockExists, |plan| plan.boards[0].row = usize::MAX),
        ("a bad place under a piece", Rule::BadPlace, |plan| {
            let place = plan.boards[0].pieces[0].place;
            plan.boards[0].bad = vec![Rect::sized(place.x0, place.y0, Length::INCH, Length::INCH)];
        }),
        ("a raw edge in a piece", Rule::BadPlace, |plan| plan.boards[0].trim = Length::inches(9, 32)),
    ];
    for (what, rule, spoil) in spoils {
        let mut plan = planned.plan.clone();
        spoil(&mut plan);
        let found = broken(&planned, &plan);
        assert!(found.contains(&rule), "{what}: {found:?}");
    }
}

/// A plan for a board 11-3/4 in long that is ripped all the same, one that leaves 5-7/8 in the hand, and a
/// strip of 1/2 in without a pushing block: made by hand, each breaks its own rule and adds up otherwise.
#[test]
fn forbidden_cuts_are_noticed() {
    let planned = three();
    // The board of the plan shortened until its rips are forbidden: every x is cut down to 11-3/4.
    let mut plan = planned.plan.clone();
    for cut in plan.cuts.iter_mut().filter(|cut| cut.direction == Direction::Rip) {
        cut.before.length = inch(11, 3, 4);
        cut.held = inch(11, 3, 4);
        cut.line.x1 = inch(11, 3, 4);
    }
    plan.boards[0].size.length = inch(11, 3, 4);
    assert!(broken(&planned, &plan).contains(&Rule::RipSafe));

    let mut plan = planned.plan.clone();
    let rip = &mut plan.cuts[2];
    rip.setting = inch(0, 1, 2);
    rip.line.y0 -= inch(2, 1, 2);
    rip.line.y1 -= inch(2, 1, 2);
    assert!(broken(&planned, &plan).contains(&Rule::NarrowRip));

    let mut plan = planned.plan.clone();
    plan.boards[0].size.length = inch(12, 0, 1);
    for cut in &mut plan.cuts {
        match cut.direction {
            Direction::Rip => {
                cut.before.length = inch(12, 0, 1);
                cut.line.x1 = inch(12, 0, 1);
            }
            Direction::Crosscut => cut.setting = inch(5, 7, 8),
        }
    }
    assert!(broken(&planned, &plan).contains(&Rule::CrosscutSafe));
}

#[test]
fn a_pile_is_read_and_written_the_same_in_both_ways() {
    let text = "[[board]]\nmark = \"W7\"\nmaterial = \"plywood\"\nthickness = \"15/32\"\nlength = \"31-1/4\"\nwidth = \"11\"\n\
                trim = \"1/8\"\ncount = 2\nprice = 4.5\nbad = [[\"9\", \"2\", \"1-1/2\", \"1\"]]\n\
                [[board]]\nmaterial = \"pine, ponderosa\"\nthickness = \"1-1/16\"\nlength = \"8 ft\"\nwidth = \"7-1/4\"\nbuy = true\n";
    let rows = pile(text);
    assert_eq!((rows[0].count, rows[0].price, rows[0].bad.len()), (2, Some(450), 1));
    assert!(rows[1].to_buy && rows[1].length == inch(96, 0, 1));
    let again = pile(&pile::to_toml(&rows, Unit::Inch));
    assert_eq!(again, rows);
    let csv = String::from_utf8(pile::to_csv(&rows, Unit::Inch).expect("table")).expect("text");
    let read = pile::from_csv(library(), &csv, "pile.csv", Unit::Inch).map(|pile| pile.rows);
    assert_eq!(read.map_err(|report| report.to_string()), Ok(rows));
}

#[test]
fn a_bad_pile_is_refused_with_its_place() {
    for (text, told) in [
        ("[[board]]\nmaterial = \"plywood\"\nlength = \"20\"\n", "width"),
        ("[[board]]\nmaterial = \"tin\"\nthickness = \"1/2\"\nlength = \"20\"\nwidth = \"5\"\n", "unknown material"),
        (
            "[[board]]\nmaterial = \"plywood\"\nthickness = \"1/2\"\nlength = \"20\"\nwidth = \"5\"\nbad = [[\"19\", \"0\", \"2\", \"1\"]]\n",
            "bad places",
        ),
        (
            "[[board]]\nmaterial = \"plywood\"\nthickness = \"1/2\"\nlength = \"20\"\nwidth = \"5\"\nbad = [[\"1\", \"0\"]]\n",
            "four sizes",
        ),
        (
            "[[board]]\nmaterial = \"plywood\"\nthickness = \"1/2\"\nlength = \"20\"\nwidth = \"5\"\ntrim = \"3\"\n",
            "trimmed",
        ),
        ("[[plank]]\nlength = \"20\"\n", "unknown table"),
        ("board = 3\n", "not a list"),
    ] {
        let report = pile::from_toml(library(), text, "pile.toml", Unit::Inch).expect_err("refused");
        assert!(report.to_string().contains(told), "{text}: {report}");
    }
    for (text, told) in [
        ("material,length\nplywood,20\n", "no column `width`"),
        ("material,length,width,colour\nplywood,20,5,red\n", "unknown column"),
        ("material,thickness,length,width\nplywood,1/2,x,5\n", "`length`"),
        ("material,thickness,length,width,count\nplywood,1/2,20,5,0\n", "`count`"),
    ] {
        let report = pile::from_csv(library(), text, "pile.csv", Unit::Inch).expect_err("refused");
        assert!(report.to_string().contains(told), "{text}: {report}");
    }
}

fn example(name: &str) -> (Request, Box<Design>) {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let text = std::fs::read_to_string(folder.join(format!("{name}.toml"))).expect("example");
    let load = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let request = match request::from_toml(&text, name, &load) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    };
    let Plan::Ready { design, .. } = design_job(&request) else { panic!("{name}: no design") };
    (request, design)
}

/// Three carriers out of 25 odd offcuts: 8 pieces, nothing bought, nothing forbidden, proven.
#[test]
fn three_carriers_out_of_the_harbour_offcuts() {
    let jobs: Vec<(Request, Box<Design>)> =
        ["gilded-rosette", "pilot-cutter-cutout", "cupped-transom"].iter().map(|name| example(name)).collect();
    let text = include_str!("../examples/piles/harbour-offcuts.toml");
    let boards = pile(text);
    assert_eq!(boards.len(), 25);
    let wanted: Vec<JobDesign<'_>> = jobs.iter().map(|(request, design)| JobDesign { request, design }).collect();
    for style in [Style::Strips, Style::Free] {
        let terms = Terms { style, ..TERMS };
        let planned = plan(&wanted, &boards, &terms, &|| false, &mut |_| {}).expect("a plan");
        assert_eq!(broken(&planned, &planned.plan), []);
        assert_eq!(planned.plan.wanted.len(), 8);
        assert!(planned.plan.boards.iter().all(|board| !board.bought));
        assert!(planned.plan.proofs.iter().all(|proof| proof.is_best()), "{:?}", planned.plan.proofs);
        // The same again: no clock, no chance.
        let again = plan(&wanted, &boards, &terms, &|| false, &mut |_| {}).expect("a plan");
        assert_eq!(again.plan, planned.plan);
        let after = pile_after(&boards, &planned.rows, &planned.plan);
        let left: usize = planned.plan.boards.iter().map(|board| board.leftovers.len()).sum();
        assert_eq!(after.len(), 25 - planned.plan.boards.len() + left);
    }
}

/// A limit of time of nothing at all: there is still a plan or a refusal, and a plan says it is not proven.
#[test]
fn out_of_time_is_said() {
    let (request, design) = example("gilded-rosette");
    let jobs = [JobDesign { request: &request, design: &design }];
    let boards = pile(include_str!("../examples/piles/harbour-offcuts.toml"));
    if let Ok(planned) = plan(&jobs, &boards, &TERMS, &|| true, &mut |_| {}) {
        assert_eq!(broken(&planned, &planned.plan), []);
    }
}

/// A board of every material and thickness that the examples are sawn from, 1/2 in thicker than listed where it
/// is planed: every part still comes out at its size, for every list says where it is planed.
#[test]
fn thicker_boards_come_down_to_their_size() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut thicker = 0;
    for entry in std::fs::read_dir(&folder).expect("examples").flatten() {
        let file = entry.file_name().to_string_lossy().into_owned();
        let Some(name) = file.strip_suffix(".toml") else { continue };
        let (request, design) = example(name);
        let jobs = [JobDesign { request: &request, design: &design }];
        let Ok(bought) = plan(&jobs, &[], &TERMS, &|| false, &mut |_| {}) else { continue };
        let mut boards: Vec<PileBoard> = Vec::new();
        for piece in bought.plan.wanted.iter().filter(|piece| piece.planed) {
            let row = bought.rows.iter().find(|row| !row.kind.is_sheet()).expect("a board to buy").clone();
            let size = piece.size;
            boards.push(PileBoard {
                thickness: size.thickness + Length::inches(1, 2),
                length: size.length + Length::inches(24, 1),
                width: size.width + Length::inches(2, 1),
                count: 1,
                to_buy: false,
                ..row
            });
            thicker += 1;
        }
        let Ok(planned) = plan(&jobs, &boards, &TERMS, &|| false, &mut |_| {}) else { continue };
        assert_eq!(broken(&planned, &planned.plan), [], "{name}");
        let checks = check_handed_over(&planned.plan, &[(&request, &design)]);
        let broken: Vec<_> = checks.iter().filter(|check| check.status != Status::Pass).collect();
        assert!(broken.is_empty(), "{name}: {broken:?}");
    }
    assert!(thicker > 30, "{thicker}");
}

/// Wedge shims 3/4 in wide are sawn off the edge of a board that is planed to 3/4. Out of 1-1/4 in without that step they would be
/// 1-1/4 wide: the planner does not take such a board then, and a plan that does is found out.
#[test]
fn shims_are_as_wide_as_listed() {
    let (request, design) = example("shingle-name-board");
    let shim = design.parts.iter().find(|part| part.name == "wedge shim").expect("shims");
    assert_eq!(shim.size.width, inch(0, 3, 4));
    let parent = design.cut_list.parents.iter().find(|parent| parent.yields[0].0 == shim.id).expect("a board");
    // 1/16 to be planed off; 3 in and a kerf at both ends.
    assert_eq!((parent.size.thickness, parent.size.length), (inch(0, 13, 16), inch(21, 1, 4)));
    let boards = pile(
        "[[board]]\nmaterial = \"softwood\"\nthickness = \"1-1/4\"\nlength = \"60\"\nwidth = \"12\"\ncount = 4\n\
         [[board]]\nmaterial = \"plywood\"\nthickness = \"15/32\"\nlength = \"60\"\nwidth = \"24\"\n",
    );
    let found = |planned: &Planned, design: &Design| -> Vec<Rule> {
        let checks = check_handed_over(&planned.plan, &[(&request, design)]);
        checks.iter().filter(|check| check.status != Status::Pass).map(|check| check.rule).collect()
    };
    let planned = plan(&[JobDesign { request: &request, design: &design }], &boards, &TERMS, &|| false, &mut |_| {});
    let planned = planned.expect("a plan");
    assert!(planned.plan.boards.iter().all(|board| !board.bought));
    assert_eq!(found(&planned, &design), []);
    let mut unplaned = (*design).clone();
    let id = parent.id.clone();
    unplaned.cut_list.steps.retain(|step| step.piece != id || step.operation == Operation::TaperRip);
    assert!(found(&planned, &unplaned).contains(&Rule::CutsAddUp));
    let jobs = [JobDesign { request: &request, design: &unplaned }];
    // 13/16 is no thickness that boards are sold in.
    let other = plan(&jobs, &boards, &TERMS, &|| false, &mut |_| {}).map(|planned| planned.plan.boards.len());
    assert!(matches!(&other, Err(NoPlan::NoBoard(text)) if text.contains("13/16")), "{other:?}");
}

fn run(args: &[&str]) -> sledwright::cli::Reply {
    let args = ["sledwright", "saw"].iter().chain(args).map(std::ffi::OsString::from);
    sledwright::cli::run(args, &mut std::io::empty())
}

fn names(folder: &std::path::Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("folder").flatten();
    let mut names: Vec<String> = entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// All files or none: a new folder, the same folder again with the pile in another form, a folder of
/// somebody else's, a pile with a fault, a piece that no board is large enough for, jobs that disagree.
#[test]
fn the_saw_command_writes_all_or_nothing() {
    let root = tempfile::tempdir().expect("temporary folder");
    let examples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let example = |name: &str| examples.join(name).to_string_lossy().into_owned();
    let (rosette, offcuts) = (example("gilded-rosette.toml"), example("piles/harbour-offcuts.toml"));
    let out = root.path().join("plan");
    let folder = out.to_string_lossy().into_owned();
    let reply = run(&[&rosette, "--stock", &offcuts, "--out", &folder]);
    assert_eq!(reply.code, 0, "{}", reply.err);
    assert!(String::from_utf8_lossy(&reply.out).contains("proven best"));
    assert_eq!(names(&out), ["pile-after.toml", "saw-plan.csv", "saw-plan.json", "saw-plan.pdf", "saw-plan.svg"]);
    let first = std::fs::read(out.join("saw-plan.pdf")).expect("there");
    assert_eq!(run(&[&rosette, "--stock", &offcuts, "--out", &folder]).code, 0);
    assert_eq!(std::fs::read(out.join("saw-plan.pdf")).expect("there"), first, "not the same bytes");

    // The pile as CSV: what is written of it is CSV too, and the TOML of the run before goes away.
    let rows = pile(&std::fs::read_to_string(&offcuts).expect("pile"));
    let table = root.path().join("offcuts.csv");
    std::fs::write(&table, pile::to_csv(&rows, Unit::Inch).expect("table")).expect("written");
    let reply = run(&[&rosette, "--stock", &table.to_string_lossy(), "--out", &folder]);
    assert_eq!(reply.code, 0, "{}", reply.err);
    assert_eq!(names(&out), ["pile-after.csv", "saw-plan.csv", "saw-plan.json", "saw-plan.pdf", "saw-plan.svg"]);
    let after = std::fs::read_to_string(out.join("pile-after.csv")).expect("there");
    let after = pile::from_csv(library(), &after, "pile-after.csv", Unit::Inch).map_err(|report| report.to_string());
    assert!(after.expect("a pile").rows.len() < 25);

    // Somebody else's folder is left alone.
    let other = root.path().join("letters");
    std::fs::create_dir(&other).expect("made");
    std::fs::write(other.join("dear.txt"), "dear").expect("written");
    assert_eq!(run(&[&rosette, "--out", &other.to_string_lossy()]).code, 3);
    assert_eq!(names(&other), ["dear.txt"]);

    let bad = root.path().join("bad.toml");
    std::fs::write(&bad, "[[board]]\nmaterial = \"plywood\"\n").expect("written");
    let nowhere = root.path().join("nowhere");
    let refused = |args: &[&str], code: u8, told: &str| {
        let reply = run(&[args, &["--out", &nowhere.to_string_lossy()]].concat());
        assert_eq!(reply.code, code, "{}", reply.err);
        assert!(reply.err.contains(told), "{}", reply.err);
        assert!(!nowhere.exists());
    };
    refused(&[&rosette, "--stock", &bad.to_string_lossy()], 2, "does not state");
    refused(&[&rosette, "--keep", "wide"], 2, "--keep");
    refused(&[&rosette, "--worth", "2"], 2, "--worth");
    refused(&[&rosette, "--time", "0"], 2, "--time");
    refused(&[&example("donors-board.toml")], 1, "no board of the pile");
    refused(&[&rosette, &example("rubbing-strake.toml")], 2, "differs");
    refused(&[&example("harbour-map.toml")], 1, "nothing to saw");
}
