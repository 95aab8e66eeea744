//! Cut lists worked out by hand: what is pulled, what each cut is set to, what stays under the hands.
//! Common practice, no published source: 12 in is the shortest piece ripped, 6 in stay in a crosscut,
//! 3 in at each end of a planed board are waste, 1/2 in at each end of a built-up carrier is trimmed.

use sledwright::design::{Design, Operation, SawStep};
use sledwright::length::Length;
use sledwright::plan::{Plan, plan};
use sledwright::request;
use sledwright::rules::Rule;

fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

fn planned(job: &str) -> Plan {
    match request::from_toml(job, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(request) => plan(&request),
        Err(report) => panic!("{report}"),
    }
}

fn design(job: &str) -> Design {
    match planned(job) {
        Plan::Ready { design, .. } => *design,
        other => panic!("{other:?}"),
    }
}

fn step<'d>(design: &'d Design, operation: Operation, piece: &str, makes: &str) -> &'d SawStep {
    let found = design
        .cut_list
        .steps
        .iter()
        .find(|step| step.operation == operation && step.piece == piece && step.makes.starts_with(makes));
    found.unwrap_or_else(|| panic!("no {operation:?} of {piece} making {makes}: {:#?}", design.cut_list.steps))
}

const KEY_BOARD: &str = r#"
[shop]
tools = ["table saw", "mitre saw", "planer", "drum sander"]
[blank]
length = "10-1/2"
width = "5-1/4"
thickness = "7/8"
[carve]
depth = "1/4"
through = "all-round"
cutter = "1/8"
"#;

/// Rails 18-9/16 x 3/4, ends 4 x 5-5/16 (see the worked carriers). Rails: 18-9/16 + 1 left after 3 in
/// and a kerf at either end: 19-9/16 + 6-1/4 = 25-13/16; two strips with two kerfs, 1/8 over and 1/4
/// to joint: 1-1/2 + 1/4 + 1/8 + 1/4 = 2-1/8. Ends: 2 x (4-1/2 + 1/8) + 6 = 15-1/4, and 6-1/4: 21-1/2.
#[test]
fn rails_and_ends_out_of_planed_boards() {
    let design = design(KEY_BOARD);
    let rails = &design.cut_list.parents[1].size;
    assert_eq!((rails.length, rails.width), (inch(25, 13, 16), inch(2, 1, 8)));
    let ends = &design.cut_list.parents[2].size;
    assert_eq!((ends.length, ends.width), (inch(21, 1, 2), inch(5, 11, 16)));
    // 57/64 after the planer: pulled 1/16 thicker.
    assert_eq!(ends.thickness, inch(0, 57, 64) + inch(0, 1, 16));
    let waste = step(&design, Operation::Crosscut, "P2", "waste");
    assert_eq!((waste.setting, waste.times, waste.held), (inch(3, 0, 1), 2, inch(19, 9, 16)));
    // 21-1/2 - 6-1/4 = 15-1/4, less two ends of 4-1/2 and two kerfs leaves 6.
    let cut = step(&design, Operation::Crosscut, "P3", "C");
    assert_eq!((cut.setting, cut.times, cut.held), (inch(4, 1, 2), 2, inch(6, 0, 1)));
    let last = step(&design, Operation::TrimRip, "carrier", "carrier");
    assert_eq!((last.before.width, last.setting), (inch(6, 15, 16), inch(6, 13, 16)));
}

const STRAKE: &str = r#"
[blank]
shape = "taper"
length = "18"
width = "6"
narrow-width = "4-1/2"
wide-end = "lead"
thickness = "3/4"
"#;

/// Slope 1 in 12. The lead end is 6-1/3 at its lead side and 6 at the blank; with 1/2 over at the lead
/// 6-1/3 + 1/24 = 6-3/8. It is sawn at a board's end: 6 there, the full 6-3/8 at 4-1/2 in. The trail end
/// is 4-1/2 at the blank and 4-1/6 at the carrier's end, with 1/2 over 4-1/8.
#[test]
fn tapered_ends_come_out_as_drawn() {
    let design = design(STRAKE);
    let ids: Vec<(&str, &str)> = design.parts.iter().map(|part| (part.id.as_str(), part.name.as_str())).collect();
    assert_eq!(ids, [("A", "fence rail"), ("B", "far rail"), ("C", "lead end"), ("D", "trail end")]);
    let lead = step(&design, Operation::TaperRip, "P3", "P3");
    assert_eq!(lead.before.width, inch(6, 3, 8));
    assert!((lead.setting.to_inches() - 6.0).abs() < 1e-4);
    assert_eq!(step(&design, Operation::Crosscut, "P3", "C").setting, inch(4, 1, 2));
    let trail = step(&design, Operation::TaperRip, "P4", "P4");
    assert_eq!(trail.before.width, inch(4, 1, 2));
    assert!((trail.setting.to_inches() - 4.125).abs() < 1e-4);
    // Far rail 1.2604 to 3.4271 over 26; over 27 with 1/2 at each end 1/24 less and more, and 1/8 over.
    let rail = step(&design, Operation::TaperRip, "P2", "B");
    assert_eq!(rail.before.length, inch(27, 0, 1));
    assert!((rail.setting.to_inches() - (1.2604 - 0.04167 + 0.125)).abs() < 2e-4);
    assert!(rail.note.contains("3-19/32 at its wide end"), "{}", rail.note);
}

/// A blank 3 in thick gets rails 3-1/4 high on a 1/4 base at the most: with a table saw that reaches 3 in
/// they cannot be ripped, with a band saw they can.
#[test]
fn wood_thicker_than_the_saw_reaches() {
    let thick = |tools: &str| {
        format!(
            r#"
[shop]
tools = [{tools}]
[blank]
length = "9"
width = "6"
thickness = "3-1/8"
[carrier]
construction = "flush-frame"
"#
        )
    };
    let Plan::Nothing(outcome) = planned(&thick("\"table saw\", \"mitre saw\", \"planer\"")) else {
        panic!("too thick")
    };
    assert_eq!(outcome.rejected[0].conflict.clashes[0].rule, Rule::ToolOwned);
    let design = design(&thick("\"table saw\", \"mitre saw\", \"band saw\", \"planer\""));
    assert_eq!(step(&design, Operation::TrimRip, "carrier", "carrier").tool, "band saw with fence");
}

/// Ends 13-1/4 wide do not go through a 12 in planer: stock of the right thickness is taken instead.
#[test]
fn wood_wider_than_the_planer_takes() {
    let job = r#"
[shop]
tools = ["table saw", "mitre saw", "planer"]
[blank]
length = "20"
width = "13-1/4"
thickness = "3/4"
[carve]
length = "18"
width = "11"
"#;
    let design = design(job);
    assert_eq!(design.construction, "end-extensions");
    let end = design.parts.iter().find(|part| part.name == "end").expect("ends");
    assert_eq!(end.material, "MDF 3/4");
    assert!(design.cut_list.steps.iter().all(|step| step.operation != Operation::Plane));
}

/// In millimetres every setting is a mark of the ruler of 0.5 mm.
#[test]
fn metric_settings_are_marks_of_the_ruler() {
    let job = r#"
[job]
units = "mm"
[shop]
tools = ["table saw", "mitre saw", "planer"]
[blank]
length = 240
width = 90
thickness = 18
"#;
    let design = design(job);
    assert_eq!(design.construction, "rails-on-base");
    for step in &design.cut_list.steps {
        let sawn = matches!(
            step.operation,
            Operation::Rip | Operation::Crosscut | Operation::TrimRip | Operation::TrimCrosscut
        );
        assert!(!sawn || step.setting.is_multiple_of(Length::micrometres(500)), "{}", step.note);
    }
}
