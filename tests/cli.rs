//! The real program, run as a person runs it: whole outputs and exit codes.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What one run said.
#[derive(Debug)]
struct Run {
    code: i32,
    out: String,
    err: String,
}

/// A folder of its own for each test, thrown away after it.
struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new() -> Bench {
        Bench { folder: tempfile::tempdir().expect("temporary folder") }
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path().join(name);
        fs::write(&path, text).expect("written");
        path
    }

    fn run(&self, args: &[&str]) -> Run {
        self.run_with(args, "")
    }

    fn run_with(&self, args: &[&str], stdin: &str) -> Run {
        let mut child = Command::new(env!("CARGO_BIN_EXE_sledwright"))
            .args(args)
            .current_dir(self.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        // A program that does not read its input closes it: no fault of the test.
        let _ = child.stdin.take().expect("piped").write_all(stdin.as_bytes());
        let done = child.wait_with_output().expect("the program ends");
        Run {
            code: done.status.code().expect("it ends by itself"),
            out: String::from_utf8(done.stdout).expect("UTF-8"),
            err: String::from_utf8(done.stderr).expect("UTF-8"),
        }
    }

    /// Everything in the folder and below, with its bytes.
    fn contents(&self) -> Vec<(PathBuf, Vec<u8>)> {
        fn walk(folder: &Path, found: &mut Vec<(PathBuf, Vec<u8>)>) {
            for entry in fs::read_dir(folder).expect("readable") {
                let path = entry.expect("entry").path();
                if path.is_dir() {
                    walk(&path, found)
                } else {
                    found.push((path.clone(), fs::read(&path).expect("readable")))
                }
            }
        }
        let mut found = Vec::new();
        walk(self.path(), &mut found);
        found.sort();
        found
            .into_iter()
            .map(|(path, bytes)| (path.strip_prefix(self.path()).expect("below").to_owned(), bytes))
            .collect()
    }

    fn names(&self) -> Vec<String> {
        self.contents().into_iter().map(|(path, _)| path.to_string_lossy().into_owned()).collect()
    }
}

/// The plaque of the README: short and narrow, on the medium carver.
const PLAQUE: &str = r#"
[job]
name = "Gull plaque"
units = "in"
[machine]
use = "roller-carver-medium"
[blank]
measured = "tape"
length = "9"
width = "6"
thickness = "3/4"
[carve]
depth = "1/4"
cutter = "1/4"
[hold]
by = "snug"
[[stock]]
material = "mdf"
thickness = "1"
length = "48"
width = "24"
count = 1
calipered = true
"#;

#[test]
fn without_a_command_the_help_is_shown_and_the_code_says_usage() {
    let run = Bench::new().run(&[]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("Usage: sledwright <COMMAND>"), "{}", run.err);
}

#[test]
fn the_version_is_the_crates() {
    let run = Bench::new().run(&["--version"]);
    assert_eq!((run.code, run.out), (0, format!("sledwright {}\n", env!("CARGO_PKG_VERSION"))));
}

#[test]
fn every_help_page_fits_a_hundred_columns_and_has_no_colour() {
    let bench = Bench::new();
    for command in
        ["", "new", "check", "design", "options", "explain", "refit", "list", "machine", "schema", "completions", "man"]
    {
        let args: Vec<&str> = [command, "--help"].into_iter().filter(|arg| !arg.is_empty()).collect();
        let run = bench.run(&args);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{command}");
        assert!(!run.out.contains('\u{1b}'), "{command}");
        for line in run.out.lines() {
            assert!(line.chars().count() <= 100, "{command}: {line}");
        }
    }
}

#[test]
fn a_mistyped_command_gets_the_nearest_one() {
    let run = Bench::new().run(&["desing", "x.toml"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("'design'"), "{}", run.err);
}

#[test]
fn sizes_in_place_of_a_command_are_understood_as_a_question() {
    let run = Bench::new().run(&["9 x 6 x 3/4"]);
    assert_eq!(run.code, 2);
    assert!(
        run.err.ends_with("\nTo design a carrier for that blank: sledwright design \"9 x 6 x 3/4\"\n"),
        "{}",
        run.err
    );
}

#[test]
fn unknown_names_get_the_nearest_one() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    let run = bench.run(&["design", "gull.toml", "--only", "jsn"]);
    assert_eq!(
        (run.code, run.out.as_str(), run.err.as_str()),
        (2, "", "there is no format `jsn`; did you mean `json`?\n`sledwright list formats` names them all\n")
    );
    let run = bench.run(&["machine", "profile", "roller-carver-medum"]);
    assert_eq!(
        (run.code, run.err.as_str()),
        (
            2,
            "there is no machine `roller-carver-medum`; did you mean `roller-carver-medium`?\n\
             `sledwright list machines` names them all\n"
        )
    );
    let run = bench.run(&["man", "desing"]);
    assert_eq!(
        (run.code, run.err.as_str()),
        (2, "there is no command `desing`; did you mean `design`?\n`sledwright --help` names them all\n")
    );
    assert_eq!(bench.names(), ["gull.toml"]);
}

#[test]
fn a_missing_file_is_file_trouble() {
    let run = Bench::new().run(&["design", "none.toml"]);
    assert_eq!(
        (run.code, run.out.as_str(), run.err.as_str()),
        (3, "", "cannot read none.toml: No such file or directory (os error 2)\n")
    );
}

#[test]
fn a_job_that_is_no_text_or_far_too_long_is_a_bad_job() {
    let bench = Bench::new();
    fs::write(bench.path().join("noise.toml"), b"[job]\nname = \"\xff\"\n").expect("written");
    let run = bench.run(&["check", "noise.toml"]);
    assert_eq!(
        (run.code, run.err.as_str()),
        (2, "noise.toml is not UTF-8 text (byte 14); save it as plain text in UTF-8\n")
    );
    // 256 KiB and one byte.
    bench.file("long.toml", &"#".repeat(256 * 1024 + 1));
    let run = bench.run(&["check", "long.toml"]);
    assert_eq!((run.code, run.err.as_str()), (2, "long.toml is longer than 256 KiB; no job file is\n"));
}

#[test]
fn a_new_job_file_is_never_written_over_another() {
    let bench = Bench::new();
    let run = bench.run(&["new", "short-plaque", "--out", "gull.toml"]);
    assert_eq!((run.code, run.out.as_str(), run.err.as_str()), (0, "Wrote gull.toml\n", ""));
    let printed = bench.run(&["new", "short-plaque"]);
    assert_eq!(fs::read_to_string(bench.path().join("gull.toml")).expect("there"), printed.out);
    bench.file("gull.toml", "mine");
    let run = bench.run(&["new", "short-plaque", "--out", "gull.toml"]);
    assert_eq!((run.code, run.err.as_str()), (3, "cannot write gull.toml: File exists (os error 17)\n"));
    assert_eq!(bench.contents(), [(PathBuf::from("gull.toml"), b"mine".to_vec())]);
}

#[test]
fn every_starter_can_be_checked_as_it_stands() {
    let bench = Bench::new();
    for starter in sledwright::job::STARTERS {
        let text = bench.run(&["new", starter.name]);
        assert_eq!(text.code, 0, "{}", starter.name);
        let run = bench.run_with(&["check", "-"], &text.out);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{}: {}", starter.name, run.out);
    }
}

#[test]
fn every_list_can_be_printed() {
    let bench = Bench::new();
    // A word each list must hold: names fixed by the job-file format, species and sheets in trade.
    for (what, word) in [
        ("machines", "roller-carver-medium"),
        ("woods", "walnut, black"),
        ("stock", "hardboard"),
        ("constructions", "blind-pocket"),
        ("rules", "length-min"),
        ("starters", "short-plaque"),
        ("formats", "design.json"),
        ("keys", "depth-ruler"),
    ] {
        let run = bench.run(&["list", what]);
        assert_eq!((run.code, run.err.as_str()), (0, ""), "{what}");
        assert!(run.out.contains(word), "{what}: {}", run.out);
        for line in run.out.lines() {
            assert!(line.chars().count() <= 100, "{what}: {line}");
        }
    }
}

#[test]
fn completions_and_manual_pages_name_the_commands() {
    let bench = Bench::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let run = bench.run(&["completions", shell]);
        assert_eq!(run.code, 0, "{shell}");
        assert!(run.out.contains("explain") && run.out.contains("options"), "{shell}");
    }
    let run = bench.run(&["man"]);
    assert!(run.code == 0 && run.out.contains(".TH sledwright 1"), "{}", run.out);
    let run = bench.run(&["man", "design"]);
    assert!(run.code == 0 && run.out.contains(".TH sledwright-design 1"), "{}", run.out);
}

#[test]
fn a_profile_can_be_filled_in_and_checked() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["machine", "profile", "--out", "ours.toml"]).code, 0);
    let run = bench.run(&["machine", "check", "ours.toml"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    assert!(run.out.contains("MACHINE FIGURES NOT CONFIRMED"), "{}", run.out);
    // Shortest board longer than the longest one.
    bench.file("wrong.toml", "length-min = \"96\"\nlength-max = \"16\"\n");
    let run = bench.run(&["machine", "check", "wrong.toml"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("wrong.toml"), "{}", run.err);
    bench.file("slip.toml", "cutter-to-roler = \"3\"\n");
    let run = bench.run(&["machine", "check", "slip.toml"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("Wrong: unknown key `cutter-to-roler`"), "{}", run.err);
    bench.file("remark.toml", "colour-of-the-paint = \"grey\"\n");
    assert_eq!(bench.run(&["machine", "check", "remark.toml"]).code, 0, "a remark of one's own is let pass");
    bench.file("gull.toml", PLAQUE);
    let run = bench.run(&["machine", "check", "gull.toml"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(run.err.contains("gull.toml is no machine profile: it has ["), "{}", run.err);
}

#[test]
fn the_worksheet_asks_for_the_keys_of_a_profile() {
    let run = Bench::new().run(&["machine"]);
    let profile = Bench::new().run(&["machine", "profile"]).out;
    assert_eq!(run.code, 0);
    let keys: Vec<&str> = sledwright::output::worksheet::LINES.iter().flat_map(|line| line.keys.split(", ")).collect();
    assert!(keys.len() > 10);
    for key in keys {
        assert!(profile.lines().any(|line| line.trim_start_matches("# ").starts_with(&format!("{key} ="))), "{key}");
    }
}

#[test]
fn the_worksheet_is_a_pdf_where_its_name_says_so_and_nothing_on_it_overlaps() {
    let bench = Bench::new();
    let run = bench.run(&["machine", "worksheet", "--out", "sheet.pdf"]);
    assert_eq!((run.code, run.out.as_str()), (0, "Wrote sheet.pdf\n"), "{}", run.err);
    // ISO 32000-1, 7.5.2: a PDF starts with %PDF- and its version.
    assert!(fs::read(bench.path().join("sheet.pdf")).expect("there").starts_with(b"%PDF-1."));
    assert_eq!(bench.run(&["machine", "worksheet", "--out", "sheet.txt"]).code, 0);
    let text = fs::read_to_string(bench.path().join("sheet.txt")).expect("there");
    assert!(text.starts_with("Measure your machine\n"), "{text}");
    for page in sledwright::output::worksheet::pages() {
        let overlaps = sledwright::sheet::overlaps(&page);
        assert!(overlaps.is_empty(), "{overlaps:?}");
        // A4 is 210 mm wide (ISO 216), US letter 11 in high (ANSI Y14.1): either paper holds the page.
        assert!(page.width <= 210.0 && page.height <= 11.0 * 25.4 + 1e-9);
    }
}

#[test]
fn the_carve_area_of_a_taper_is_drawn_as_wide_as_it_was_typed() {
    // 6 in at the wide end, 4-1/2 at the narrow one, carve area 12 x 3-1/2 in the middle of its length:
    // 4-3/4 in are left at its narrow end.
    let bench = Bench::new();
    let job = bench.run(&["new", "tapered"]).out;
    let run = bench.run_with(&["design", "-", "--out", "taper"], &job);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    let text = fs::read_to_string(bench.path().join("taper/design.json")).expect("there");
    let json: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(json["carve_area"]["length"]["text"], "12 in");
    assert_eq!(json["carve_area"]["width"]["text"], "3-1/2 in");
}

/// Files of a whole `design`.
fn designed(bench: &Bench) -> Vec<String> {
    let run = bench.run(&["design", "gull.toml"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "{}", run.out);
    bench.names()
}

#[test]
fn a_design_writes_its_folder_and_nothing_beside_it() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    let names = designed(&bench);
    assert!(names.iter().all(|name| name == "gull.toml" || name.starts_with("gull.carrier/")), "{names:?}");
    for name in ["sheets.pdf", "sheet-1.svg", "template.pdf", "carrier.dxf", "cutlist.csv", "design.json"] {
        assert!(names.contains(&format!("gull.carrier/{name}")), "{names:?}");
    }
    let text = fs::read_to_string(bench.path().join("gull.carrier/design.json")).expect("there");
    let json: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    // Worked by hand: 9-1/16 + 2 x 4 = 17-1/16 in = 433.3875 mm; 6-1/16 + 2 x 3/4 = 7-9/16 in.
    assert_eq!(json["carrier"]["length"], serde_json::json!({"mm": 433.3875, "text": "17-1/16 in"}));
    assert_eq!(json["carrier"]["width"]["text"], "7-9/16 in");
    assert_eq!(json["carrier"]["thickness"]["text"], "1 in");
    assert_eq!(json["blank_origin"]["x"]["text"], "4 in");
    assert_eq!(json["centre_offset"]["y"]["text"], "-1/32 in");
    let listed: Vec<&str> = json["files"].as_array().expect("list").iter().filter_map(|name| name.as_str()).collect();
    assert_eq!(listed.len() + 1, names.len(), "{listed:?}");
}

#[test]
fn two_runs_write_the_same_bytes() {
    let (one, two) = (Bench::new(), Bench::new());
    for bench in [&one, &two] {
        bench.file("gull.toml", PLAQUE);
        designed(bench);
    }
    assert!(one.contents() == two.contents());
}

#[test]
fn a_second_run_over_the_first_changes_nothing_and_keeps_notes() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    designed(&bench);
    fs::write(bench.path().join("gull.carrier/notes.txt"), "mine").expect("written");
    let before = bench.contents();
    designed(&bench);
    assert!(before == bench.contents());
}

/// 9 x 6 in a carrier of 17-1/16 x 7-9/16, corner at 4 and 3/4 (worked by hand in `worked_cases`): of 64
/// columns each is 0.2666 in, so 15 middles (0.5 to 14.5 columns: to 3.87 in) lie before 4 in; rows of
/// twice that, 7.5625 / 0.5332 = 14.2, so 14: of 0.5402 in, and one middle (0.27 in) lies before 3/4.
#[test]
fn the_preview_shows_the_blank_where_it_lies() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    let run = bench.run(&["design", "gull.toml", "--preview"]);
    assert_eq!(run.code, 0, "{}", run.err);
    let rows: Vec<&str> = run.out.lines().filter_map(|line| line.split('│').nth(1)).collect();
    assert_eq!(rows.len(), 14, "{}", run.out);
    assert!(rows.iter().all(|row| row.chars().count() == 64));
    let from_fence: Vec<&str> = rows.into_iter().rev().collect();
    let bare = from_fence.iter().take_while(|row| row.chars().all(|sign| sign == '░')).count();
    assert_eq!(bare, 1, "{}", run.out);
    // Nothing less was said: the whole of it is carved.
    assert_eq!(from_fence[7].chars().position(|sign| sign == '█'), Some(15), "{}", run.out);
    // It ends at 13 in: 13 / 0.2666 = 48.8, so the middles of columns 16 to 49 lie in it.
    assert_eq!(from_fence[7].chars().filter(|sign| *sign == '█').count(), 34, "{}", run.out);
    let without = bench.run(&["design", "gull.toml"]);
    assert!(!without.out.contains('░'));
}

#[test]
fn only_some_formats_leave_no_stale_ones_behind() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    designed(&bench);
    let before = bench.contents();
    let run = bench.run(&["design", "gull.toml", "--only", "csv"]);
    assert_eq!(run.code, 0, "{}", run.err);
    assert!(run.out.contains("Left as it was, the same design: sheets.pdf, sheet-1.svg to"), "{}", run.out);
    assert!(bench.contents() == before, "nothing of the same design changes");
    bench.file("gull.toml", &PLAQUE.replace("\"9\"", "\"9-1/2\""));
    let run = bench.run(&["design", "gull.toml", "--only", "csv"]);
    assert!(run.out.contains("REMOVED, it showed an earlier design: sheets.pdf, sheet-1.svg to"), "{}", run.out);
    assert_eq!(bench.names(), ["gull.carrier/cutlist.csv", "gull.carrier/design.json", "gull.toml"]);
}

#[test]
fn a_file_in_the_way_is_file_trouble_and_nothing_is_left() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    bench.file("gull.carrier", "in the way");
    let before = bench.contents();
    let run = bench.run(&["design", "gull.toml"]);
    assert_eq!(
        (run.code, run.out.as_str(), run.err.as_str()),
        (3, "", "gull.carrier exists and is not a folder; choose another name with --out\n")
    );
    assert_eq!(bench.contents(), before);
}

#[test]
fn a_folder_of_something_else_is_not_touched() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    let before = bench.contents();
    let run = bench.run(&["design", "gull.toml", "--out", "."]);
    assert_eq!(
        (run.code, run.err.as_str()),
        (3, ". holds files but no design.json of ours, so nothing in it is touched; choose another name with --out\n")
    );
    assert_eq!(bench.contents(), before);
    let run = bench.run(&["design", "gull.toml", "--out", "no/such/folder"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""), "folders above are made");
    assert!(bench.path().join("no/such/folder/design.json").exists());
}

#[test]
fn what_is_no_job_is_answered_by_how_sizes_look() {
    let bench = Bench::new();
    for (typed, code, said) in [
        ("-9 x 6", 2, "-9 x 6: a size cannot be negative; sizes look like \"9 x 6 x 3/4\""),
        ("NaN x 6 x 1", 2, "NaN x 6 x 1: that is no size; sizes look like"),
        ("abc", 3, "If it was meant as a size: sizes look like"),
        ("--frob", 2, "there is no option --frob here"),
    ] {
        let run = bench.run(&["check", typed]);
        assert_eq!((run.code, run.out.as_str()), (code, ""), "{typed}");
        assert!(run.err.contains(said), "{typed}: {}", run.err);
    }
}

#[test]
fn a_job_without_a_name_is_not_called_after_standard_input() {
    let run = Bench::new().run_with(&["design", "-"], "[blank]\nlength = \"9\"\nwidth = \"6\"\nthickness = \".75\"\n");
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(run.out.starts_with("Untitled job: "), "{}", run.out);
}

#[test]
fn sizes_and_standard_input_are_jobs_too() {
    let bench = Bench::new();
    let run = bench.run(&["design", "9 x 6 x 3/4"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(bench.path().join("carrier-9x6x3-4/design.json").exists());
    let run = bench.run_with(&["design", "-", "--out", "typed"], PLAQUE);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(bench.path().join("typed/design.json").exists());
}

#[test]
fn a_blank_that_fits_needs_no_carrier() {
    // 20 x 6 x 3/4 with a carve area of 10 x 4 in its middle: 5 in at each end, 4 are wanted;
    // 20 >= 16-1/8 and 6 >= 4-9/16.
    let job = PLAQUE
        .replace("length = \"9\"", "length = \"20\"")
        .replace("[carve]", "[carve]\nlength = \"10\"\nwidth = \"4\"");
    let run = Bench::new().run_with(&["check", "-"], &job);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(
        run.out.starts_with("Gull plaque: no carrier needed; the blank itself meets every limit of the machine.\n"),
        "{}",
        run.out
    );
}

#[test]
fn a_short_blank_needs_one_and_the_limits_are_named() {
    let run = Bench::new().run_with(&["check", "-"], PLAQUE);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(run.out.starts_with("A carrier is needed"), "{}", run.out);
    assert!(run.out.contains("17-1/16 x 7-9/16 x 1 in"), "{}", run.out);
}

#[test]
fn nothing_fits_is_an_answer_of_its_own() {
    // 5 in thick: the machine takes 3-1/2 at the most.
    let bench = Bench::new();
    bench.file("thick.toml", &PLAQUE.replace("thickness = \"3/4\"", "thickness = \"5\""));
    let before = bench.contents();
    for command in ["check", "design", "options", "explain"] {
        let run = bench.run(&[command, "thick.toml"]);
        assert_eq!((run.code, run.err.as_str()), (1, ""), "{command}: {}", run.out);
        assert!(run.out.contains("thickness-max"), "{command}: {}", run.out);
    }
    assert_eq!(bench.contents(), before);
}

#[test]
fn reasons_are_given_for_dimensions_and_rules() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    let run = bench.run(&["explain", "gull.toml", "carrier.length"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(run.out.starts_with("carrier.length = 17-1/16 in\n"), "{}", run.out);
    let run = bench.run(&["explain", "gull.toml", "grip-wanted"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(run.out.starts_with("grip-wanted\n"), "{}", run.out);
    assert!(run.out.contains("It decided: carrier.length, lead-end, trail-end.\n"), "{}", run.out);
    let run = bench.run(&["explain", "gull.toml", "length-mim"]);
    assert_eq!((run.code, run.out.as_str()), (2, ""));
    assert!(
        run.err.starts_with("there is no dimension or rule `length-mim`; did you mean `length-min`?\n"),
        "{}",
        run.err
    );
}

#[test]
fn options_say_why_the_others_lost() {
    let bench = Bench::new();
    bench.file("gull.toml", PLAQUE);
    let run = bench.run(&["options", "gull.toml"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(run.out.contains("Can be built, best first") && run.out.contains("Cannot be built"), "{}", run.out);
    // With the hold left open every option that is offered passes the second calculation.
    let run = bench.run(&["options", "9 x 6 x 3/4"]);
    assert_eq!((run.code, run.err.as_str()), (0, ""));
    assert!(run.out.contains("flush-frame") && !run.out.contains("DO NOT BUILD"), "{}", run.out);
}

#[test]
fn schemas_are_json_schema() {
    let bench = Bench::new();
    for args in [["schema"].as_slice(), &["schema", "--design"], &["schema", "--saw-plan"]] {
        let run = bench.run(args);
        assert_eq!(run.code, 0);
        let schema: serde_json::Value = serde_json::from_str(&run.out).expect("JSON");
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    }
}

#[test]
fn a_reader_that_has_seen_enough_is_no_fault() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_sledwright"))
        .args(["check", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // The program waits for its job, so the reading end is closed before it can answer.
    drop(child.stdout.take());
    child.stdin.take().expect("piped").write_all(PLAQUE.as_bytes()).expect("it reads its job");
    let done = child.wait_with_output().expect("the program ends");
    assert_eq!((done.status.code(), String::from_utf8_lossy(&done.stderr).as_ref()), (Some(0), ""));
}
