//! Carriers measured after they were built, where the carving lands, and tables of the shop's own.
//!
//! The carrier of most cases, worked by hand (common practice, no published source): a 9 x 6 x 3/4 in
//! plaque read off a tape (+-1/32), slip 1/64 a side, so the pocket is 9-1/16 x 6-1/16; ends of 4 in,
//! rails of 3/4: 17-1/16 x 7-9/16; 3/4 deep in 1 in board, floor 1/4. Machine: boards 16 to 96 long and
//! 4-1/2 to 13-1/2 wide, cutter to roller 3-1/4, grip 3/4 wanted and 1/2 least: 4 and 3-3/4 in.
//! Carving 1/4 deep with a 1/4 in cutter that runs 1/16 past the outline.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use sledwright::design::{Check, Design, Quantity, Status};
use sledwright::length::Length;
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};
use sledwright::rules::Rule;
use sledwright::setup::refit::{Action, Finding, Refit, refit};
use sledwright::setup::sensitivity::weaknesses;
use sledwright::setup::{Landing, built};

mod support;
use support::examples;

const PLAQUE: &str = r#"
[job]
name = "Gull plaque"
[machine]
use = "roller-carver-medium"
[blank]
length = "9"
width = "6"
thickness = "3/4"
[carve]
depth = "1/4"
cutter = "1/4"
[hold]
by = "snug"
[carrier]
construction = "blind-pocket"
"#;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

fn read(job: &str) -> Request {
    request::from_toml(job, "job.toml", &|_| Err("no files here".to_owned()))
        .unwrap_or_else(|report| panic!("{report}"))
}

fn design(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        other => panic!("no design: {other:#?}"),
    }
}

fn refitted(job: &str, sizes: &str) -> Refit {
    let request = read(job);
    let design = design(&request);
    let built = built::read(sizes, "built.toml", &request, &design).unwrap_or_else(|report| panic!("{report}"));
    refit(&request, &design, &built)
}

fn report(job: &str, sizes: &str) -> String {
    let request = read(job);
    built::read(sizes, "built.toml", &request, &design(&request)).expect_err("refused").to_string()
}

fn found(refit: &Refit, rule: Rule) -> &Finding {
    refit.findings.iter().find(|finding| finding.check.rule == rule).unwrap_or_else(|| panic!("{:#?}", refit.findings))
}

fn failing(refit: &Refit) -> Vec<Rule> {
    refit.findings.iter().filter(|f| f.check.status == Status::Fail).map(|f| f.check.rule).collect()
}

fn number(check: &Check) -> Length {
    match check.actual {
        Quantity::Length(length) => length,
        Quantity::Number(..) => panic!("{check:?}"),
    }
}

/// Fence rail +-1/32 (both edges sawn to 1/64) and origin +-1/64 make 3/64. Not pushed home, the play
/// of the smallest blank comes to it: 6-1/16 - (6 - 1/32) = 3/32, in all 9/64. With the rail measured
/// to 1/64 instead: 1/32. One board: no stack of widths.
#[test]
fn the_carving_lands_within_3_64_pushed_home_and_9_64_not() {
    let request = read(PLAQUE);
    let landing = Landing::of(&request, &design(&request));
    for axis in [landing.along, landing.across] {
        assert_eq!(axis.pushed_home(), inch(0, 3, 64));
        assert_eq!(axis.play, inch(0, 3, 32));
        assert_eq!(axis.not_pushed_home(), inch(0, 9, 64));
        assert_eq!(axis.as_built(), inch(0, 1, 32));
    }
    assert_eq!(landing.width, None);
}

/// Rail, end block, rail: three parts of +-1/32 each. Worst 3/32; root of the sum of squares
/// sqrt(3) / 32 = 0.0541 in; after the last rip one edge of 1/64.
#[test]
fn three_parts_side_by_side_add_up() {
    let request = read(&PLAQUE.replace("blind-pocket", "rails-on-base"));
    let stack = Landing::of(&request, &design(&request)).width.expect("glued up");
    assert_eq!((stack.parts, stack.with_blank), (3, false));
    assert_eq!(stack.worst, inch(0, 3, 32));
    assert!((stack.root_sum_square.to_inches() - 0.0541).abs() < 0.0001, "{:?}", stack.root_sum_square);
    assert_eq!(stack.after_last_rip, inch(0, 1, 64));
}

/// A blank with its own ends for lead and trail end lands with the setting of the origin alone along
/// the feed. Millimetres: 0.4 mm a sawn edge, so 0.8 mm for a rail; the origin is still 1/64 in.
#[test]
fn landing_without_walls_and_in_millimetres() {
    let side = r#"
[blank]
length = "30"
width = "2-1/2"
thickness = "3/4"
[carve]
length = "20"
width = "1-1/2"
depth = "1/4"
[carrier]
construction = "side-rails"
"#;
    let request = read(side);
    let landing = Landing::of(&request, &design(&request));
    assert_eq!((landing.along.pushed_home(), landing.along.not_pushed_home()), (inch(0, 1, 64), inch(0, 1, 64)));
    assert_eq!(landing.along.as_built(), inch(0, 1, 64));
    assert_eq!(landing.across.pushed_home(), inch(0, 3, 64));
    let metric = r#"
[job]
units = "mm"
[blank]
length = "240"
width = "150"
thickness = "18"
"#;
    let request = read(metric);
    let landing = Landing::of(&request, &design(&request));
    assert_eq!(landing.across.pushed_home(), Length::micrometres(800) + inch(0, 1, 64));
}

/// Made 17 x 7-1/2 with a lead end of 3-31/32 and a fence rail of 23/32. 17 >= 16 and 7-1/2 >= 4-1/2
/// hold. Lead end 3-31/32 >= 3-3/4 holds, under 4: a note; trail end 17 - 3-31/32 - 9-1/16 = 3-31/32
/// the same. Origin (3-31/32, 23/32). Blank centre (8-15/32, 3-23/32), carrier centre (8-1/2, 3-3/4):
/// -1/32, -1/32. Rails of 23/32 on both sides are under 3/4, over 1/2: notes.
#[test]
fn a_carrier_made_a_little_small_gets_a_new_origin() {
    let sizes = "length = \"17\"\nwidth = \"7-1/2\"\nlead-end = \"3-31/32\"\nfence-rail = \"23/32\"\n";
    let refit = refitted(PLAQUE, sizes);
    assert!(refit.runs(), "{:#?}", refit.findings);
    let card = &refit.card;
    assert_eq!((card.corner.x, card.corner.y), (inch(3, 31, 32), inch(0, 23, 32)));
    assert_eq!((card.centre.x, card.centre.y), (inch(0, -1, 32), inch(0, -1, 32)));
    assert_eq!((card.length.size, card.width.size), (inch(17, 0, 1), inch(7, 1, 2)));
    assert_eq!(refit.design.carve.x0, inch(3, 31, 32));
    let lead = refit.checks.iter().find(|check| check.rule == Rule::LeadEndAllowance).expect("checked");
    assert_eq!((lead.status, number(lead)), (Status::Pass, inch(3, 31, 32)));
    assert_eq!(lead.required, Quantity::Length(inch(3, 3, 4)));
    let notes: Vec<(Rule, &str, Length)> =
        refit.findings.iter().map(|f| (f.check.rule, f.check.subject.as_str(), number(&f.check))).collect();
    assert_eq!(
        notes,
        [
            (Rule::GripWanted, "lead end", inch(3, 31, 32)),
            (Rule::GripWanted, "trail end", inch(3, 31, 32)),
            (Rule::RailWidth, "fence side", inch(0, 23, 32)),
            (Rule::RailWidth, "far side", inch(0, 23, 32)),
        ]
    );
    assert!(refit.findings.iter().all(|finding| finding.action == Action::Nothing));
}

/// 15-15/16 is 1/16 under the machine's shortest board: scrap, and nothing else is offered.
#[test]
fn too_short_after_trimming_is_scrap() {
    let refit = refitted(PLAQUE, "length = \"15-15/16\"");
    assert!(!refit.runs());
    let short = found(&refit, Rule::LengthMin);
    assert_eq!((short.action, short.amount), (Action::Scrap, inch(0, 1, 16)));
    assert_eq!(found(&refit, Rule::TrailEndAllowance).action, Action::Scrap);
}

/// 16-3/4 long: the largest blank, 9-1/32, ends 16-3/4 - 4 - 9-1/32 = 3-23/32 from the trail end,
/// 1/32 under 3-3/4. A margin counts beyond the cutter's edge, 1/8 + 1/16: leave 7/32 uncarved.
#[test]
fn a_short_trail_end_is_cured_by_an_uncarved_margin() {
    let refit = refitted(PLAQUE, "length = \"16-3/4\"");
    assert_eq!(failing(&refit), [Rule::TrailEndAllowance]);
    let short = found(&refit, Rule::TrailEndAllowance);
    assert_eq!(number(&short.check), inch(3, 23, 32));
    assert_eq!((short.action, short.amount), (Action::CarveLess, inch(0, 7, 32)));
    // The cure cures: with exactly that margin, 3-23/32 + (7/32 - 3/16) = 3-3/4.
    let margin = PLAQUE.replace("[carve]", "[carve]\nlength = \"8-25/32\"\nfrom-lead = 0");
    let cured = refitted(&margin, "length = \"16-3/4\"\nlead-end = \"4\"");
    assert!(cured.runs(), "{:#?}", cured.findings);
    let wider = margin.replace("8-25/32", "8-51/64");
    assert_eq!(failing(&refitted(&wider, "length = \"16-3/4\"\nlead-end = \"4\"")), [Rule::TrailEndAllowance]);
}

/// Guards belong to sizes that nobody has measured: 16-1/32 is over the bare 16, under 16-1/8. The
/// disc's margins are credited, so its ends of about 4 in hold with 1/16 less.
#[test]
fn a_finished_carrier_is_held_against_the_bare_limit() {
    let job = fs::read_to_string("examples/compass-rose.toml").expect("example");
    let drawn = design(&read(&job));
    assert_eq!(drawn.carrier.length, inch(16, 1, 8));
    assert!(refitted(&job, "length = \"16-1/32\"").runs());
    assert_eq!(failing(&refitted(&job, "length = \"15-31/32\"")), [Rule::LengthMin]);
}

/// 27/32 deep in 1 in leaves 5/32, 1/32 under 3/16: a sheet of at least 1/32 under the bed face. The
/// blank lies 27/32 - 3/4 = 3/32 low, beyond 1/32: a shim of 3/32, at most 1/64 more.
#[test]
fn a_pocket_far_too_deep_has_a_thin_floor_and_a_sunk_blank() {
    let refit = refitted(PLAQUE, "thickness = \"1\"\npocket-depth = \"27/32\"");
    assert!(failing(&refit).contains(&Rule::PocketFloor) && failing(&refit).contains(&Rule::BlankFlushLimit));
    let floor = found(&refit, Rule::PocketFloor);
    assert_eq!((number(&floor.check), floor.action, floor.amount), (inch(0, 5, 32), Action::Pack, inch(0, 1, 32)));
    let sunk = found(&refit, Rule::BlankFlushLimit);
    assert_eq!((number(&sunk.check), sunk.action, sunk.amount), (inch(0, -3, 32), Action::Shim, inch(0, 3, 32)));
    assert!(sunk.text.contains("3/32 in thick") && sunk.text.contains("at most 7/64 in"), "{}", sunk.text);
}

/// 49/64 deep: 1/64 low, within the limit: a shim of 1/64 is a note. The tip goes 1/4 + 1/64 = 17/64
/// below the top plane as it lies; the floor of 15/64 is under the 1/4 wanted.
#[test]
fn a_pocket_a_hair_too_deep_runs_with_a_shim() {
    let refit = refitted(PLAQUE, "pocket-depth = \"49/64\"");
    assert!(refit.runs(), "{:#?}", refit.findings);
    let sunk = found(&refit, Rule::BlankFlush);
    assert_eq!((sunk.action, sunk.amount), (Action::Shim, inch(0, 1, 64)));
    assert_eq!(refit.card.deepest, Some(inch(0, 17, 64)));
    assert_eq!(number(&found(&refit, Rule::PocketFloorWanted).check), inch(0, 15, 64));
}

/// 45/64 deep: 3/64 proud, over 1/32. Deepen by 1/32 (to 1/64 proud) or up to 3/64 (flush); the floor
/// of 19/64 has 7/64 to spare.
#[test]
fn a_pocket_too_shallow_is_deepened() {
    let refit = refitted(PLAQUE, "pocket-depth = \"45/64\"");
    assert_eq!(failing(&refit), [Rule::BlankFlushLimit]);
    let proud = found(&refit, Rule::BlankFlushLimit);
    assert_eq!((proud.action, proud.amount), (Action::Recut, inch(0, 1, 32)));
    assert!(proud.text.contains("1/32 in to 3/64 in"), "{}", proud.text);
}

/// In a frame without a floor the blank lies on the bed: 51/64 rails round a blank of 3/4 stand 3/64
/// above it, and no shim stays in place there.
#[test]
fn a_frame_higher_than_its_blank_is_sanded_down() {
    let frame = PLAQUE.replace("blind-pocket", "flush-frame").replace("by = \"snug\"", "by = \"hot-glue\"");
    let refit = refitted(&frame, "thickness = \"51/64\"");
    let sunk = found(&refit, Rule::BlankFlushLimit);
    assert_eq!((sunk.check.status, sunk.action, sunk.amount), (Status::Fail, Action::Recut, inch(0, 3, 64)));
}

/// Rails that carry the rollers over a rosette stand at least 1/16 above it; 1/16 lower than drawn
/// they do not.
#[test]
fn rails_too_low_over_a_carved_blank_are_made_again() {
    let job = fs::read_to_string("examples/gilded-rosette.toml").expect("example");
    let drawn = design(&read(&job));
    assert_eq!(drawn.pockets[0].z1 - drawn.pockets[0].z0, inch(1, 13, 64));
    let refit = refitted(&job, "pocket-depth = \"1-9/64\"");
    assert!(failing(&refit).contains(&Rule::BlankFlushLimit), "{:#?}", refit.findings);
    assert_eq!(found(&refit, Rule::BlankFlushLimit).action, Action::Scrap);
}

/// A fence rail of 1/2 keeps 0.5 - 0.037 (0.293 of the 1/8 in radius) = 0.463 beyond the relief, under
/// 1/2: scrap. The same on the far side (7-9/16 - 1/4 = 7-5/16) can be packed.
#[test]
fn a_wall_thinner_than_half_an_inch_after_its_relief_fails() {
    let refit = refitted(PLAQUE, "fence-rail = \"1/2\"");
    let wall = found(&refit, Rule::WallAfterRelief);
    assert_eq!((wall.action, wall.check.subject.as_str()), (Action::Scrap, "fence rail"));
    assert!((number(&wall.check).to_inches() - 0.463).abs() < 0.001, "{wall:?}");
    let refit = refitted(PLAQUE, "width = \"7-5/16\"");
    let wall = found(&refit, Rule::WallAfterRelief);
    assert_eq!((wall.action, wall.check.subject.as_str()), (Action::Pack, "far rail"));
}

/// Readings at both ends: 1/32 apart is over the guides' gap of 0.01 in and no more than 1/32, a
/// note; 1/16 apart is 1/32 too much.
#[test]
fn a_tapered_carrier_is_ripped_parallel() {
    let refit = refitted(PLAQUE, "width = [\"7-9/16\", \"7-17/32\"]");
    assert!(refit.runs());
    assert_eq!(found(&refit, Rule::ParallelEdges).action, Action::Recut);
    let refit = refitted(PLAQUE, "width = [\"7-9/16\", \"7-1/2\"]");
    assert_eq!(failing(&refit), [Rule::ParallelEdges]);
    assert_eq!(found(&refit, Rule::ParallelEdges).amount, inch(0, 1, 32));
}

/// The narrowest board is 4-1/2: a carrier of 4-15/32 wants a strip of 1/32 on its far edge.
#[test]
fn too_narrow_is_packed_on_the_far_edge() {
    let job = fs::read_to_string("examples/oar-inscription.toml").expect("example");
    let refit = refitted(&job, "width = \"4-15/32\"");
    assert_eq!(failing(&refit), [Rule::WidthMin]);
    let narrow = found(&refit, Rule::WidthMin);
    assert_eq!((narrow.action, narrow.amount), (Action::Pack, inch(0, 1, 32)));
    assert!(narrow.text.contains("far edge"), "{}", narrow.text);
}

/// Built exactly as drawn, every example runs, at the place drawn.
#[test]
fn built_as_drawn_is_fit_to_run() {
    let mut carriers = 0;
    for (name, request) in examples() {
        let design = design(&request);
        if design.parts.is_empty() {
            continue;
        }
        carriers += 1;
        let refit = refit(&request, &design, &built::Built::default());
        assert!(refit.runs(), "{name}: {:#?}", refit.findings);
        assert_eq!(refit.design.parts, design.parts, "{name}");
        assert_eq!((refit.card.corner, refit.card.centre), (design.origin(), design.centre_offset()), "{name}");
        assert_eq!(refit.card.deepest, design.blank.thickness_known.then_some(design.depth_below_top), "{name}");
        assert_eq!(refit.metal_below, None, "{name}");
    }
    assert!(carriers > 8);
}

/// Whatever is measured, there is an answer: sizes from a hair to a hundred feet, together and alone.
#[test]
fn no_size_is_too_odd_to_judge() {
    let values = ["1/64", "1/2", "3", "16", "40", "1200"];
    let names = ["length", "width", "thickness", "lead-end", "fence-rail", "pocket-depth"];
    for (name, request) in examples() {
        let design = design(&request);
        for (turn, first) in names.into_iter().enumerate() {
            for (step, value) in values.into_iter().enumerate() {
                let other = names[(turn + step + 1) % names.len()];
                for text in [format!("{first} = '{value} in'"), format!("{first} = '{value} in'\n{other} = '5 in'")] {
                    if let Ok(built) = built::read(&text, "built.toml", &request, &design) {
                        let refit = refit(&request, &design, &built);
                        assert!(refit.runs() || !refit.findings.is_empty(), "{name}: {text}");
                        let told = sledwright::output::text::refit(&request, &refit);
                        assert!(told.lines().all(|line| line.chars().count() <= 100), "{name}: {told}");
                    }
                }
            }
        }
    }
}

#[test]
fn every_problem_of_the_sizes_is_reported_at_its_place() {
    let told = report(PLAQUE, "lenght = \"17\"\nwidth = \"71/2\"\nthickness = \"3/4 ply\"\nlead-end = 0\n");
    for line in ["line 1, column 1", "line 2, column", "line 3, column", "line 4, column"] {
        assert!(told.contains(line), "{line}: {told}");
    }
    assert!(told.contains("did you mean `length`?") && told.contains('^'), "{told}");
    assert!(report(PLAQUE, "# nothing\n").contains("no as-built size is given"));
    assert!(report(PLAQUE, "pocket-depth = \"1\"").contains("leaves no floor"));
    assert!(report(PLAQUE, "length = \"12\"").contains("leave no trail end"));
    let glued = PLAQUE.replace("blind-pocket", "end-extensions").replace("by = \"snug\"", "by = \"hot-glue\"");
    assert!(report(&glued, "pocket-depth = \"1/2\"").contains("does not have"));
    let unmeasured = PLAQUE.replace("thickness = \"3/4\"\n", "");
    assert!(report(&unmeasured, "pocket-depth = \"1/2\"").contains("caliper the blank"));
}

struct Run {
    code: i32,
    out: String,
    err: String,
}

fn run(folder: &Path, args: &[&str]) -> Run {
    let done = Command::new(env!("CARGO_BIN_EXE_sledwright"))
        .args(args)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .expect("the program runs");
    Run {
        code: done.status.code().expect("it ends by itself"),
        out: String::from_utf8(done.stdout).expect("UTF-8"),
        err: String::from_utf8(done.stderr).expect("UTF-8"),
    }
}

fn bench(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("temporary folder");
    for (name, text) in files {
        fs::write(folder.path().join(name), text).expect("written");
    }
    folder
}

#[test]
fn the_card_is_printed_and_written_only_for_a_carrier_that_runs() {
    let bench = bench(&[
        ("gull.toml", PLAQUE),
        ("built.toml", "length = \"17\"\nwidth = \"7-1/2\"\nlead-end = \"3-31/32\"\nfence-rail = \"23/32\"\n"),
        ("short.toml", "length = \"15-15/16\"\n"),
        ("wrong.toml", "length = \"31/2\"\n"),
    ]);
    let good = run(bench.path(), &["refit", "gull.toml", "--built", "built.toml", "--out", "card.txt"]);
    assert_eq!((good.code, good.err.as_str()), (0, ""), "{}", good.out);
    for text in [
        "3-31/32 in from the lead end, 23/32 in from the fence edge",
        "-1/32 in along, -1/32 in across",
        "17 in ± 1/16 in long",
    ] {
        assert!(good.out.split_whitespace().collect::<Vec<_>>().join(" ").contains(text), "{text}: {}", good.out);
    }
    let card = fs::read_to_string(bench.path().join("card.txt")).expect("written");
    assert_eq!(good.out, format!("{card}\nWrote card.txt\n"));
    let short = run(bench.path(), &["refit", "gull.toml", "--built", "short.toml", "--out", "no.txt"]);
    assert_eq!((short.code, short.err.as_str()), (1, ""));
    assert!(short.out.contains("DO NOT RUN THIS CARRIER") && !short.out.contains("artwork"), "{}", short.out);
    assert!(!bench.path().join("no.txt").exists());
    let wrong = run(bench.path(), &["refit", "gull.toml", "--built", "wrong.toml"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (2, ""));
    assert!(wrong.err.contains("wrong.toml, line 1"), "{}", wrong.err);
    assert_eq!(run(bench.path(), &["refit", "gull.toml", "--built", "none.toml"]).code, 3);
    fs::copy("examples/harbour-map.toml", bench.path().join("map.toml")).expect("copied");
    let bare = run(bench.path(), &["refit", "map.toml", "--built", "built.toml"]);
    assert_eq!((bare.code, bare.out.as_str()), (2, ""));
    assert!(bare.err.contains("fed without a carrier"), "{}", bare.err);
}

#[test]
fn the_landing_is_explained_and_stands_in_the_json() {
    let bench = bench(&[("gull.toml", PLAQUE)]);
    let told = run(bench.path(), &["explain", "gull.toml", "landing"]);
    assert_eq!(told.code, 0, "{}", told.err);
    for text in ["3/64 in", "9/64 in", "1/32 in"] {
        assert!(told.out.contains(text), "{text}: {}", told.out);
    }
    assert!(run(bench.path(), &["explain", "gull.toml", "landign"]).err.contains("did you mean `landing`?"));
    assert_eq!(run(bench.path(), &["design", "gull.toml", "--only", "json", "--out", "gull"]).code, 0);
    let text = fs::read_to_string(bench.path().join("gull/design.json")).expect("written");
    let json: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    // 9/64 in is 3.571875 mm.
    let landing = &json["setup"]["landing"];
    assert_eq!(landing["across"]["not_pushed_home"], serde_json::json!({"mm": 3.571875, "text": "9/64 in"}));
    assert!(landing["width"].is_null());
}

/// The shop's machine takes nothing under 18 in: 18 + 1/8 guard in place of 17-1/16.
#[test]
fn a_row_of_the_shops_own_changes_the_design() {
    let tables = "[[machine]]\nid = \"roller-carver-medium\"\nlength-min = \"18\"\n\n\
                  [[machine]]\nid = \"ours\"\nunits = \"mm\"\nlength-min = \"500\"\n";
    let bench = bench(&[("gull.toml", PLAQUE), ("shop.toml", tables)]);
    let usual = run(bench.path(), &["check", "gull.toml"]);
    assert!(usual.out.contains("17-1/16 x 7-9/16"), "{}", usual.out);
    let own = run(bench.path(), &["check", "gull.toml", "--tables", "shop.toml"]);
    assert_eq!((own.code, own.err.as_str()), (0, ""));
    assert!(own.out.contains("18-1/8 x 7-9/16"), "{}", own.out);
    let sizes = run(bench.path(), &["check", "9 x 6 x 3/4", "--tables", "shop.toml"]);
    assert!(sizes.out.contains("18-1/8 x"), "{}", sizes.out);
    let listed = run(bench.path(), &["list", "machines", "--tables", "shop.toml"]);
    // 500 mm = 19.68504 in, on no mark of a ruler in 64ths.
    assert!(listed.out.contains("ours") && listed.out.contains("19.685 to"), "{}", listed.out);
    let profile = run(bench.path(), &["machine", "profile", "ours", "--tables", "shop.toml"]);
    assert!(profile.code == 0 && profile.out.contains("id = \"ours\""), "{}", profile.err);
}

#[test]
fn a_broken_table_is_reported_with_its_line() {
    let bench = bench(&[
        ("gull.toml", PLAQUE),
        ("shop.toml", "[[machine]]\nid = \"ours\"\nlength-mim = \"18\"\n[[wod]]\nid = \"x\"\n"),
    ]);
    let told = run(bench.path(), &["design", "gull.toml", "--tables", "shop.toml"]);
    assert_eq!((told.code, told.out.as_str()), (2, ""));
    assert!(told.err.contains("shop.toml, line 3") && told.err.contains("length-min"), "{}", told.err);
    assert!(told.err.contains("shop.toml, line 4") && told.err.contains("[[wood]]"), "{}", told.err);
    assert_eq!(run(bench.path(), &["list", "woods", "--tables", "none.toml"]).code, 3);
}

/// A disc of 8 in read three times within a tape's 1/32 lies in the middle of its round of 8-1/16. The
/// smallest it may be is 7-31/32: 3/32 to spare, half of it either way. Wall 1/32 and origin 1/64 as
/// above: 1/32 + 1/64 + 3/64 = 3/32.
#[test]
fn a_disc_shifts_by_half_of_what_it_has_to_spare() {
    let job = "[job]\nunits = \"in\"\n[machine]\nuse = \"roller-carver-medium\"\n[blank]\nshape = \"disc\"\nmeasured = \"tape\"\ndiameter = \"8\"\nthickness = \"3/4\"\n[carve]\ndepth = \"1/8\"\ncutter = \"1/4\"\n[hold]\nby = \"tape\"\n";
    let request = read(job);
    let landing = Landing::of(&request, &design(&request));
    for axis in [landing.along, landing.across] {
        assert_eq!((axis.play, axis.not_pushed_home()), (inch(0, 3, 64), inch(0, 3, 32)));
    }
}

/// The plaque's lead end of 4 in is the wish, 3-1/4 to the roller and 3/4 grip. It must hold with 1/2 in
/// grip and both edges of the end out by 1/64: 4 - 1/2 - 1/32 = 3-15/32 to the roller, 7/32 farther.
/// Nobody measured it: 1/8 in likely, so 1.75 of that. The shortest board may be 17-1/16 less the guard of
/// 1/8: 16-15/16, 15/16 or 7.5 times farther; it comes after the cutter's window: the cut runs from 3/4
/// in less half the cutter and 1/16 overrun, 9/16 from the fence, and the window begins at 1/2: a
/// sixteenth, half of what is likely.
#[test]
fn the_figure_that_breaks_the_design_first_is_told_first() {
    let request = read(PLAQUE);
    let weak = weaknesses(&request, &design(&request));
    let told: Vec<(&str, Rule)> = weak.iter().map(|weak| (weak.key, weak.rule)).collect();
    assert_eq!(
        told.get(..2),
        Some(&[("machine.window-near", Rule::CutterWindow), ("machine.cutter-to-roller", Rule::LeadEndAllowance)][..]),
        "{weak:?}"
    );
    let near = |found: Quantity, expected: Length| match found {
        Quantity::Length(found) => (found - expected).abs() <= Length::micrometres(10),
        Quantity::Number(..) => false,
    };
    assert!(near(weak[0].breaks_at, inch(0, 9, 16)) && near(weak[0].now, inch(0, 1, 2)), "{weak:?}");
    assert!(near(weak[1].breaks_at, inch(3, 15, 32)) && near(weak[1].now, inch(3, 1, 4)), "{weak:?}");
    assert!((weak[0].distance - 0.5).abs() < 0.01 && (weak[1].distance - 1.75).abs() < 0.01, "{weak:?}");
    // A figure the user measured is likely out by less: the same 1/16 is twice 1/32.
    let mut measured = request.clone();
    measured.machine.unconfirmed.clear();
    let weak = weaknesses(&measured, &design(&measured));
    assert!(
        weak.iter().any(|weak| weak.key == "machine.window-near" && (weak.distance - 2.0).abs() < 0.01),
        "{weak:?}"
    );
}
