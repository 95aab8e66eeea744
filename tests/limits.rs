//! What the kind of a machine, its strip and the tools of a shop allow, and what is said when they
//! do not. Sizes are worked out by hand beside each check, by common practice (no published source).

use sledwright::design::{Design, Status};
use sledwright::geometry::Rect;
use sledwright::length::Length;
use sledwright::plan::{Plan, check, plan};
use sledwright::request::{Request, Through, from_toml};
use sledwright::rules::Rule;
use sledwright::solve::{Outcome, cures, nearest_miss};
use sledwright::trace::Cure;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

/// A blank 8 x 5 x 3/4 in on a machine, with more lines after it.
fn job(machine: &str, more: &str) -> String {
    format!("[machine]\n{machine}\n[blank]\nlength = \"8\"\nwidth = \"5\"\nthickness = \".75\"\n{more}\n")
}

fn read(text: &str) -> Request {
    from_toml(text, "job.toml", &|_| Err("no files here".to_owned())).unwrap_or_else(|report| panic!("{report}"))
}

fn told(text: &str) -> String {
    match from_toml(text, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(_) => panic!("the job was taken"),
        Err(report) => report.to_string(),
    }
}

fn ready(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { design, broken } => panic!("verify disagrees on {}: {broken:#?}", design.construction),
    }
}

fn refused(request: &Request) -> (Outcome, Vec<Cure>) {
    match plan(request) {
        Plan::Nothing(outcome) => {
            let cures = cures(request, &outcome);
            (outcome, cures)
        }
        Plan::Ready { design, .. } => panic!("{} fits", design.construction),
        Plan::Disagree { broken, .. } => panic!("verify disagrees: {broken:#?}"),
    }
}

const PLANER: &str = "use = \"thickness-planer-benchtop\"";
const SANDER: &str = "use = \"drum-sander\"";

#[test]
fn a_planer_and_a_drum_sander_take_the_whole_face_of_blank_and_carrier() {
    // Planer, 16 in at least: 16 + guard 1/8. Ends (16-1/8 - (8 + tape 1/32 + slip 1/32)) / 2 = 4-1/32,
    // no less than 3-1/4 to the roller + 3/4 grip = 4. Drum sander: 2-1/2 + 1/2 = 3 at each end of
    // 8-1/16. Both: 5-1/16 and two walls of 3/4 wide.
    for (machine, length) in [(PLANER, inch(16, 1, 8)), (SANDER, inch(14, 1, 16))] {
        let request = read(&job(machine, ""));
        // 1/32, no more than either machine takes in a pass (1/16 and 1/32); and no cutter.
        assert_eq!(request.carve.depth, inch(0, 1, 32), "{machine}");
        assert_eq!((request.carve.cutter, request.carve.overrun), (Length::ZERO, Length::ZERO));
        assert_eq!(request.shop.estimates.side_force_lbf, 10.0);
        let design = ready(&request);
        assert_eq!((design.carrier.length, design.carrier.width), (length, inch(6, 9, 16)), "{machine}");
        assert_eq!(design.swept, Rect::new(Length::ZERO, Length::ZERO, length, inch(6, 9, 16)), "{machine}");
        let keep_out = design.keep_out.expect("a keep-out");
        assert_eq!(keep_out.area, design.swept);
        // Under the pass and 1/8 in more.
        assert_eq!(keep_out.above, design.carrier.thickness - inch(0, 1, 32) - inch(0, 1, 8));
        assert!(design.blank.z1 >= design.carrier.thickness, "rails above the blank");
        assert!(design.checks.iter().all(|check| check.rule != Rule::CutterWindow));
        assert!(design.warnings.iter().any(|text| text.contains("taken down with the blank")), "{machine}");
    }
}

#[test]
fn verification_wants_no_metal_anywhere_in_a_planed_carrier() {
    let request = read(&job(PLANER, ""));
    let design = ready(&request);
    let fails = |change: &dyn Fn(&mut Design), rule: Rule| {
        let mut changed = design.clone();
        change(&mut changed);
        let broken = check(&request, &mut changed);
        broken.iter().any(|check| check.rule == rule && check.status == Status::Fail)
    };
    let blank = design.carve;
    assert!(fails(&|design| design.swept = blank, Rule::MetalPlan));
    assert!(fails(
        &|design| design.keep_out = design.keep_out.map(|k| sledwright::design::KeepOut { area: blank, ..k }),
        Rule::MetalPlan
    ));
    let higher = |design: &mut Design| {
        if let Some(keep_out) = &mut design.keep_out {
            keep_out.above += inch(0, 1, 64);
        }
    };
    assert!(fails(&higher, Rule::MetalDepth));
    // A request put together by other means than a job file may still ask for what cannot be done.
    let mut through = request.clone();
    through.carve.through = Through::AllRound;
    let (outcome, cures) = refused(&through);
    assert!(outcome.rejected.iter().any(|one| one.conflict.clashes.iter().any(|c| c.text.contains("nothing through"))));
    assert!(cures.iter().any(|cure| cure.key == "carve.through"), "{cures:?}");
    assert!(check(&through, &mut design.clone()).iter().any(|check| check.rule == Rule::DepthReach));
}

#[test]
fn what_a_planer_cannot_do_is_refused_in_the_job() {
    let report = told(&job(PLANER, "[carve]\nthrough = \"all-round\"\ncutter = \"1/4\"\nwidth = \"3\""));
    assert!(report.contains("a thickness planer takes a layer off: it cannot cut through"), "{report}");
    assert!(report.contains("a thickness planer takes the whole face: `cutter` means nothing to it"), "{report}");
    assert!(report.contains("`width` means nothing to it"), "{report}");
    assert!(told(&job(SANDER, "[carve]\nflute = \"1\"")).contains("a drum sander takes the whole face: `flute`"));
    // What a carver's job may say as well changes nothing.
    assert_eq!(read(&job(SANDER, "[carve]\nthrough = \"no\"")).carve.through, Through::No);
}

#[test]
fn a_planer_set_too_deep_is_cured_by_depth_alone() {
    // The built-in planer takes 1/16 in.
    let (_, cures) = refused(&read(&job(PLANER, "[carve]\ndepth = \"1/4\"")));
    let first = cures.first().expect("a cure");
    assert_eq!((first.key.as_str(), first.value, first.rule), ("carve.depth", Some(inch(0, 1, 16)), Rule::DepthReach));
}

#[test]
fn every_missing_tool_that_would_do_is_offered_by_itself() {
    let router = "[shop]\ntools = [\"router\"]";
    let (outcome, found) = refused(&read(&job("use = \"roller-carver-medium\"", router)));
    // Table saw and band saw both rip and crosscut; a mitre saw alone does not rip.
    let tools: Vec<&str> =
        found.iter().filter(|cure| cure.key == "shop.tools").map(|cure| cure.text.as_str()).collect();
    assert!(tools.iter().any(|text| text.starts_with("with a table saw")), "{tools:?}");
    assert!(tools.iter().any(|text| text.starts_with("with a band saw")), "{tools:?}");
    // No other tool does both.
    assert_eq!(tools.len(), 2, "{tools:?}");
    let lacks = |cures: &[Cure]| {
        let near = nearest_miss(&outcome, cures).expect("a nearest miss");
        near.conflict.clashes.iter().any(|clash| clash.rule == Rule::ToolOwned)
    };
    // Ends on a thin base miss the cutter's window; that is not what stands in the way.
    assert!(outcome.rejected.iter().any(|one| one.conflict.clashes.iter().any(|c| c.rule == Rule::CutterWindow)));
    assert!(lacks(&found) && lacks(&[]));
}

#[test]
fn cures_of_the_nearest_miss_come_first() {
    // 1-1/4 in deep on a machine that reaches 1 in.
    let text = "[machine]\nuse = \"roller-carver-medium\"\n[blank]\nlength = 8\nwidth = 5\nthickness = \"1.5\"\n\
                [carve]\ndepth = \"1-1/4\"\n";
    let (outcome, found) = refused(&read(text));
    let near = nearest_miss(&outcome, &found).expect("a nearest miss");
    let there: Vec<bool> =
        found.iter().map(|cure| near.conflict.clashes.iter().any(|clash| clash.rule == cure.rule)).collect();
    assert!(there.first() == Some(&true) && there.windows(2).all(|pair| pair[0] || !pair[1]), "{found:?}");
}

#[test]
fn a_carrier_is_as_wide_as_the_strip_the_machine_feels() {
    // 7 + two sawn edges 1/32 - pocket 5-1/16 = 1-31/32, half of it 63/64, up to the ruler: 1 in each side.
    let small = |strip: &str| job(&format!("use = \"roller-carver-small\"\nstrip = \"{strip}\""), "");
    let design = ready(&read(&small("7")));
    assert_eq!(design.carrier.width, inch(7, 1, 16));
    assert!(design.checks.iter().any(|check| check.rule == Rule::StripUnbroken));

    // 8.45 in with its tolerance is beyond 8-1/2 - 1/16.
    let (outcome, _) = refused(&read(&small("8.45")));
    let pocket = outcome.rejected.iter().find(|one| one.construction == "blind-pocket").expect("tried");
    let rules: Vec<Rule> = pocket.conflict.clashes.iter().map(|clash| clash.rule).collect();
    assert!(rules.contains(&Rule::StripUnbroken) && rules.contains(&Rule::WidthMax), "{rules:?}");

    let report = told(&small("8-1/2"));
    assert!(report.contains("`strip` 8.5 in leaves nothing of the widest board, 8.5 in"), "{report}");
}

#[test]
fn a_blank_whose_edges_are_not_parallel_does_not_lie_against_fence_and_guide_itself() {
    // 26 x 6 with 6 in left at each end needs no carrier. Readings 1/4 apart, less 1/16 of reading
    // error, leave 3/16 of taper, more than the 1/32 that guides forgive.
    let bare = |width: &str| {
        read(&format!("[blank]\nlength = 26\nwidth = {width}\nthickness = \".75\"\n[carve]\nlength = 14\nwidth = 4\n"))
    };
    assert!(ready(&bare("[\"6\", \"5-31/32\"]")).parts.is_empty());
    let design = ready(&bare("[\"6\", \"5-3/4\"]"));
    assert!(!design.parts.is_empty());
    let mut forced = ready(&bare("[\"6\", \"5-31/32\"]"));
    let broken = check(&bare("[\"6\", \"5-3/4\"]"), &mut forced);
    assert!(broken.iter().any(|check| check.rule == Rule::ParallelEdges), "{broken:?}");
}
