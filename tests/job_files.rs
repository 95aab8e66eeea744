//! Job files: whole reports of broken ones, whole requests of good ones, and damage of every kind.

use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use sledwright::diagnostic::Report;
use sledwright::job::{self, STARTERS, key_reference, keys};
use sledwright::length::{Length, Unit};
use sledwright::library::reader::Kind;
use sledwright::library::{machine_profile_text, parse_machine_profile};
use sledwright::request::{Request, Shape, Through, from_sizes, from_toml};

fn no_file(path: &str) -> Result<String, String> {
    Err(format!("no file {path} here"))
}

fn good(text: &str) -> Request {
    from_toml(text, "job.toml", &no_file).unwrap_or_else(|report| panic!("{report}"))
}

fn bad(text: &str) -> String {
    match from_toml(text, "job.toml", &no_file) {
        Ok(_) => panic!("the job was taken"),
        Err(report) => report.to_string(),
    }
}

/// A job with its blank stated and one more line.
fn with(line: &str) -> String {
    format!("[blank]\nlength = \"9\"\nwidth = \"6\"\nthickness = \".75\"\n{line}\n")
}

fn inches(numerator: i64, denominator: i64) -> Length {
    Length::inches(numerator, denominator)
}

#[test]
fn every_mistake_of_a_file_is_told_in_one_run() {
    let text = r#"[job]
name = "Gull"
units = "inch"

[machne]
use = "roller-carver-medium"

[shop]
kref = "1/8"
tools = ["table saw", "rooter"]

[blank]
shape = "oval"
length = "31/2"
widht = "6"
thickness = true

[carve]
depth = "4 ft"
cutter = 0
"#;
    let expected = r#"job.toml, line 3, column 9:
Wrong: `units` cannot be `inch`
      units = "inch"
              ^^^^^^
Mend: expected one of `in`, `mm`

job.toml, line 5, column 2:
Wrong: unknown table `machne`
      [machne]
       ^^^^^^
Mend: did you mean `machine`?

job.toml, line 9, column 1:
Wrong: unknown key `kref` in [shop]
      kref = "1/8"
      ^^^^
Mend: did you mean `kerf`?

job.toml, line 10, column 23:
Wrong: `tools` cannot be `rooter`
      tools = ["table saw", "rooter"]
                            ^^^^^^^^
Mend: did you mean `router`? It is one of `table saw`, `mitre saw`, `band saw`, `jigsaw`, `drill press`, `router`, `planer`, `drum sander`, `jointer`, `carver`, `chisel`

job.toml, line 13, column 9:
Wrong: `shape` cannot be `oval`
      shape = "oval"
              ^^^^^^
Mend: expected one of `rectangle`, `disc`, `taper`, `outline`, `rod`, `half-round`, `spindle`

job.toml, line 14, column 11:
Wrong: `length`: `31/2` may be 15-1/2 or 3-1/2
      length = "31/2"
                ^^^^
Mend: write 15-1/2 or 3-1/2

job.toml, line 15, column 1:
Wrong: unknown key `widht` in [blank]
      widht = "6"
      ^^^^^
Mend: did you mean `width`?

job.toml, line 16, column 13:
Wrong: `thickness` cannot be true or false
      thickness = true
                  ^^^^
Mend: expected a size such as "5-1/4" or "90 mm", or a list of readings

job.toml, line 19, column 9:
Wrong: `depth` is out of range: `"4 ft"`
      depth = "4 ft"
              ^^^^^^
Mend: expected a size above zero and up to 12 in

"#;
    let shown = bad(text);
    assert!(shown.starts_with(expected), "{shown}");
    assert!(shown.contains("      cutter = 0\n               ^\n"), "{shown}");
    assert!(shown.contains("job.toml, line 20, column 10:\nWrong: `cutter`: "), "{shown}");
    assert_eq!(shown.matches("Wrong: ").count(), 10, "{shown}");
}

#[test]
fn what_does_not_agree_is_told_with_its_numbers() {
    let text = "[machine]\nuse = \"roler-carver-medium\"\nlength-min = \"96 in\"\nlength-max = \"16 in\"\n\n[blank]\n\
                length = [\"9\", \"9-1/2\"]\nwidth = 30\nthickness = 18\nwood = \"walnt, black\"\n\n[[stock]]\n\
                material = \"mfd\"\nlength = 3\nwidth = 2\n\n[[stock]]\nmaterial = \"mdf\"\nlength = 40\nwidth = 20\n";
    let expected = r#"job.toml, line 2, column 7:
Wrong: unknown machine `roler-carver-medium`
      use = "roler-carver-medium"
            ^^^^^^^^^^^^^^^^^^^^^
Mend: did you mean `roller-carver-medium`?

job.toml, line 3, column 14:
Wrong: `length-min` 96 in is more than `length-max` 16 in
      length-min = "96 in"
                   ^^^^^^^
Mend: the two look exchanged: the smaller figure goes first

job.toml, line 7, column 10:
Meant?: readings of `length` disagree: 9 in and 9-1/2 in differ by 1/2 in, more than 9/32 in
      length = ["9", "9-1/2"]
               ^^^^^^^^^^^^^^
Mend: measure again; if the blank really differs, give it `shape = "taper"`, or the larger reading

job.toml, line 8, column 9:
Meant?: `width` 30 in is beyond any machine here: were millimetres meant?
      width = 30
              ^^
Mend: write `30 mm`, or `30 in` if inches are right

job.toml, line 9, column 13:
Meant?: `thickness` 18 in is beyond any machine here: were millimetres meant?
      thickness = 18
                  ^^
Mend: write `18 mm`, or `18 in` if inches are right

job.toml, line 10, column 8:
Wrong: unknown wood `walnt, black`
      wood = "walnt, black"
             ^^^^^^^^^^^^^^
Mend: did you mean `walnut, black`?

job.toml, line 13, column 12:
Wrong: unknown material `mfd`
      material = "mfd"
                 ^^^^^
Mend: did you mean `mdf`?

job.toml, line 17, column 1:
Wrong: stock row 2 does not state `thickness`
      [[stock]]
      ^^^^^^^^^
Mend: caliper it, or give the trade's name for it as `nominal`, such as "3/4 in"
"#;
    assert_eq!(bad(text), expected);
}

#[test]
fn duplicates_and_broken_toml_are_told_without_a_flood() {
    let shown = bad("[blank]\nlength = 9\nlength = 8\nwidth = \n");
    assert!(shown.starts_with("job.toml, line 3, column 1:\nWrong: `length` is given twice\n"), "{shown}");
    assert_eq!(shown.matches("Wrong: ").count(), 2, "{shown}");
    let shown = bad("[blank\nlength = 9\n");
    assert_eq!(shown.matches("Wrong: ").count(), 1, "{shown}");
    assert_eq!(bad("").matches("Wrong: [blank] does not state `length`, `width`").count(), 1);
    let shown = bad("kerf = 2\n[blank]\nlength = 9\nwidth = 6\n");
    assert!(shown.contains("Mend: `kerf` belongs under `[shop]`"), "{shown}");
}

#[test]
fn single_mistakes_are_refused() {
    // The line, and a part of what must be said of it.
    for (line, said) in [
        ("shape = \"disc\"", "does not state `diameter`"),
        ("shape = \"taper\"", "does not state `narrow-width`"),
        ("diameter = 8", "`diameter` belongs to a disc"),
        ("corner-radius = \"3-1/16\"", "`corner-radius` does not fit the blank"),
        ("wood = \"maple\"", "write one of `maple, sugar`, `maple, red`"),
        ("moisture-now = 8", "`moisture-now` alone"),
        ("moisture-now = nan", "`moisture-now` is out of range"),
        ("uncertainty = \"-1/32\"", "`uncertainty`"),
        ("count = 0", "`count` is out of range"),
        ("count = 99999999999999999999", "`count` is out of range"),
        ("diagonals = [\"10\"]", "expected a list of two sizes"),
        ("diagonals = [\"11\", \"11\"]", "the diagonals do not fit the sides"),
        ("[carve]\ndepth = \"1\"", "`depth` 1 in is more than the blank is thick, 3/4 in"),
        ("[carve]\ndepth = \"3/4\"", "`depth` leaves nothing of the blank, which is 3/4 in thick"),
        ("[carve]\nlength = \"9-1/2\"", "the carve area is not inside the blank"),
        ("[carve]\nlength = 8\nfrom-lead = 2", "the carve area is not inside the blank"),
        ("[carve]\nfrom-lead = 2", "places an area whose `length` is not stated"),
        ("[carve]\ndepth = inf", "`depth`"),
        ("[carve]\ndepth = 1e309", "`depth`"),
        ("[carve]\nthrough = \"everywhere\"", "`through` cannot be"),
        ("[shop]\nruler = \"0.5 mm\"", "`ruler` is in millimetres, the job is not"),
        ("[shop]\ndepth-ruler = \"1/16\"", "`depth-ruler` is coarser than `ruler`"),
        ("[hold]\nthickness = \"1/64\"", "needs to know the hold"),
        ("[machine]\nuse = \"drum-sander\"\npath = \"a.toml\"", "name two machines"),
        ("[machine]\npath = \"a.toml\"", "no file a.toml here"),
        ("[machine]\ndepth = 0", "`depth`"),
        ("[job]\nname = \"a\\u0007b\"", "cannot be printed"),
        ("[stock]\nmaterial = \"mdf\"", "write each under its own line `[[stock]]`"),
        ("[[shop]]\nkerf = 1", "write its keys under a line `[shop]`"),
        ("[carrier]\nconstruction = \"blind-poket\"", "did you mean `blind-pocket`?"),
        ("[carve.deep.deeper]\nx = [[[[[[[[1]]]]]]]]", "nested more than 8 deep"),
    ] {
        let shown = bad(&with(line));
        assert!(shown.contains(said), "{line}: {shown}");
    }
}

#[test]
fn names_the_font_cannot_print_are_refused_at_their_character() {
    let with = |name: &str| {
        format!(
            "[job]\nname = \"{name}\"\n[blank]\nlength = 9\nwidth = 6\nthickness = \"3/4\"\n[carve]\ndepth = \"1/4\"\n"
        )
    };
    let read = |text: &str, file: &str| sledwright::request::from_toml(text, file, &|_| Err("no file".to_owned()));
    // Latin with accents, Greek, Cyrillic, fractions and shop marks are printed as they are.
    for name in ["Ærø, Łódź, Škoda", "Φάρος Ψαρά", "Маяк Ёлка", "½ ⌀ Ø 45° ± 0,1 × 3″"]
    {
        assert_eq!(read(&with(name), "job.toml").expect(name).name, name);
    }
    // Line 2, the ninth column is the first of the name; the caret stands under the character itself. Wide
    // characters take two columns.
    for (name, lacking, carets) in [("Quay 漢字", "漢", "^^"), ("Quay שלום", "ש", "^"), ("Quay 🚢", "🚢", "^^")]
    {
        let report = read(&with(name), "job.toml").expect_err(name).to_string();
        assert!(
            report.contains(&format!("`name` holds a character that the font of the sheets lacks: `{lacking}`")),
            "{report}"
        );
        let lines: Vec<&str> = report.lines().collect();
        let at = lines.iter().position(|line| line.contains("name = ")).expect("the line is shown");
        let before = lines[at].split(lacking).next().expect("before it").chars().count();
        let shown = lines[at + 1];
        assert_eq!(shown.chars().position(|c| c == '^'), Some(before), "{report}");
        assert_eq!(shown.matches('^').count(), carets.len(), "{report}");
    }
    // A letter and an accent of its own (U+0301) are two characters.
    let report = read(&with("Cafe\u{301}"), "job.toml").expect_err("an accent alone").to_string();
    assert!(report.contains("not a letter and an accent"), "{report}");
    // Without a name the file's name is printed.
    let unnamed = with("x").replace("name = \"x\"\n", "");
    let report = read(&unnamed, "漢字.toml").expect_err("a file's name").to_string();
    assert!(
        report.contains("the file's name, printed as the job's name, holds a character")
            && report.contains("give the job a `name`"),
        "{report}"
    );
    assert_eq!(read(&unnamed, "шхуна.toml").expect("Cyrillic").name, "шхуна");
}

#[test]
fn a_machine_profile_is_checked() {
    let profile = |text: &str| parse_machine_profile(text, "m.toml");
    let told = |text: &str| profile(text).expect_err("a bad profile").to_string();
    assert!(told("length-min = 96\nlength-max = 16\n").contains("`length-min` 96 in is more than `length-max` 16 in"));
    assert!(told("width-min = 14\nwidth-max = 13\nwindow-far = 12\n").contains("`width-min` 14 in is more than"));
    assert!(told("depth = 0\n").contains("`depth`"));
    // The rollers need 3-1/4 + 1/2 = 3-3/4 in.
    let shown = told("cutter-to-roller = \"3-1/4\"\ngrip-least = \"1/2\"\nend-allowance = \"2\"\n");
    assert!(shown.contains("`end-allowance` 2 in is less than 3.75 in"), "{shown}");
    assert!(shown.contains("cutter-to-roller 3.25 in + grip-least 0.5 in = 3.75 in"), "{shown}");

    // A missing figure is taken from the built-in machine and marked.
    let (machine, notes) = profile("length-min = 16\nstrp = \"1\"\n").unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(machine.cutter_to_roller, inches(13, 4));
    assert!(machine.unconfirmed.iter().any(|name| name == "cutter-to-roller"));
    assert!(!machine.unconfirmed.iter().any(|name| name == "length-min"));
    assert_eq!(machine.id, "m");
    assert_eq!(
        notes.to_string(),
        "m.toml, line 2, column 1:\nNote: unknown key `strp` in a machine profile\n      strp = \"1\"\n      ^^^^\nMend: did \
         you mean `strip`?\n"
    );
    // A stated sum is what is wanted: 4-1/2 - 3-1/4 = 1-1/4 past the roller.
    let (machine, _) = profile("end-allowance = \"4-1/2\"\n").unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(machine.grip_wanted, inches(5, 4));
}

#[test]
fn problems_of_a_profile_are_shown_in_the_profile() {
    let job = with("[machine]\npath = \"own.toml\"\nstrip = \"1\"");
    let load = |path: &str| {
        assert_eq!(path, "own.toml");
        Ok("units = \"mm\"\nlength-min = 400\nlength-max = \"300\"\n".to_owned())
    };
    let shown = from_toml(&job, "job.toml", &load).expect_err("limits exchanged").to_string();
    assert!(
        shown.contains("own.toml, line 2, column 14:\nWrong: `length-min` 400 mm is more than `length-max` 300 mm\n"),
        "{shown}"
    );
    let load = |_: &str| Ok(machine_profile_text(sledwright::library::machine("roller-carver-small").expect("there")));
    let request = from_toml(&job, "job.toml", &load).unwrap_or_else(|report| panic!("{report}"));
    assert_eq!((request.machine.id.as_str(), request.machine.strip), ("roller-carver-small", Length::INCH));
    assert!(!request.machine.unconfirmed.iter().any(|name| name == "strip"));
}

/// Defaults of an inch job: workshop habits, common practice without a source.
#[test]
fn three_numbers_make_a_request_and_every_default_is_written_down() {
    let request = from_sizes("9 x 6 x 3/4", Unit::Inch).unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(request.name, "9 x 6 x 3/4");
    assert_eq!((request.step(), request.depth_step()), (inches(1, 32), inches(1, 64)));
    let shop = &request.shop;
    assert_eq!((shop.tolerance, shop.kerf, shop.clearance), (inches(1, 64), inches(1, 8), inches(1, 64)));
    // The built-in benchtop planer's and drum sander's own rows; the saws by common practice.
    assert_eq!((shop.planer_thinnest, shop.planer_widest), (inches(1, 4), inches(12, 1)));
    assert_eq!((shop.sander_widest, shop.saw_height), (inches(16, 1), inches(3, 1)));
    assert_eq!((shop.mitre_width, shop.mitre_height), (inches(6, 1), inches(7, 2)));
    assert_eq!(request.blank.length.uncertainty, Some(inches(1, 32)));
    // A third of 3/4 is 1/4.
    assert_eq!(request.carve.depth, inches(1, 4));
    assert!(!request.carve.stated);
    assert_eq!(request.machine.id, "roller-carver-medium");
    let estimates = shop.estimates;
    assert_eq!((estimates.side_force_lbf, estimates.lift_force_lbf), (10.0, 5.0));
    for key in [
        "machine.use",
        "shop.ruler",
        "shop.depth-ruler",
        "shop.tolerance",
        "shop.kerf",
        "shop.clearance",
        "shop.tools",
        "shop.planer-shortest",
        "shop.sander-shortest",
        "shop.planer-thinnest",
        "shop.planer-widest",
        "shop.sander-widest",
        "shop.saw-height",
        "shop.mitre-saw-width",
        "shop.mitre-saw-height",
        "shop.pocket-cutter",
        "shop.buy",
        "blank.measured",
        "blank.uncertainty",
        "blank.thickness-measured",
        "blank.turn",
        "blank.wood",
        "blank.diagonals",
        "blank.moisture-later",
        "carve.length",
        "carve.depth",
        "carve.cutter",
        "carve.overrun",
        "estimates.bond-lift-psi",
        "estimates.bond-slide-psi",
        "estimates.side-force-lbf",
        "estimates.lift-force-lbf",
        "estimates.guide-force-lbf",
        "estimates.one-person-kg",
        "estimates.blank-density-kg-m3",
        "board",
    ] {
        let found = request.assumptions.iter().filter(|one| one.key == key).collect::<Vec<_>>();
        assert_eq!(found.len(), 1, "{key}");
        assert!(found.iter().all(|one| !one.value.is_empty() && one.source.len() > 5), "{key}");
    }
    assert_eq!(
        request.cautions,
        [
            "thickness was read by tape: caliper it before setting the depth",
            "one reading only of length, width and thickness: measure at three places",
        ]
    );
    let names: Vec<&str> = request.stock.iter().map(|stock| stock.name.as_str()).collect();
    assert_eq!(
        names,
        ["hardboard 1/4", "plywood 15/32", "plywood 23/32", "MDF 1/2", "MDF 3/4", "MDF 1", "MDF 2 x 3/4"]
    );
    assert_eq!(request.stock.last().map(|stock| stock.total()), Some(inches(3, 2)));
}

#[test]
fn size_texts_in_millimetres_print_in_millimetres() {
    let request = from_sizes("240 x 90 x 18 mm", Unit::Inch).unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(request.units, Unit::Millimetre);
    let shop = &request.shop;
    let expected = [500, 100, 400, 3200, 400].map(Length::micrometres);
    assert_eq!([request.step(), request.depth_step(), shop.tolerance, shop.kerf, shop.clearance], expected);
    assert_eq!(request.blank.length.uncertainty, Some(Length::micrometres(500)));
    let names: Vec<&str> = request.stock.iter().map(|stock| stock.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "hardboard 6 mm",
            "birch plywood 12 mm",
            "birch plywood 18 mm",
            "MDF 12 mm",
            "MDF 18 mm",
            "MDF 19 mm",
            "MDF 25 mm",
            "MDF 2 x 18 mm"
        ]
    );
    assert!(from_sizes("9", Unit::Inch).is_err(), "one size is no blank");
    assert!(from_sizes("9 x 6 x", Unit::Inch).is_err());
    let without = from_sizes("9 x 6", Unit::Inch).unwrap_or_else(|report| panic!("{report}"));
    assert!(without.blank.thickness.is_none() && without.cautions.iter().any(|told| told.contains("not known")));
}

/// White fir is not in the table, so its coefficient is given here by a user's row: USDA Wood
/// Handbook, ch. 13, a flat-sawn board 232 mm wide from 8 % to 11 % grows by 1.705 mm.
#[test]
fn growth_follows_the_wood_handbook_example() {
    let rows =
        "[[wood]]\nid = \"fir, white\"\ndensity = 430\nradial = 0.00112\ntangential = 0.00245\nsource = \"ch. 13\"\n";
    let own = sledwright::library::library().with(rows, "own.toml").unwrap_or_else(|report| panic!("{report}"));
    let text = "[job]\nunits = \"mm\"\n[blank]\nlength = 300\nwidth = 232\nthickness = 20\nwood = \"white fir\"\n\
                moisture-now = 8\nmoisture-later = 11\nsawn = \"flat\"\n";
    let request = sledwright::request::from_toml_with(&own, text, "job.toml", &no_file)
        .unwrap_or_else(|report| panic!("{report}"));
    assert!((request.blank.growth_width.to_mm() - 1.705).abs() < 0.001, "{:?}", request.blank.growth_width);
    // Along the grain 300 x 0.0001 x 3 = 0.09 mm.
    assert!((request.blank.growth_length.to_mm() - 0.09).abs() < 1e-6);
    // Drying is no growth.
    let text = text.replace("moisture-later = 11", "moisture-later = 7");
    let request = sledwright::request::from_toml_with(&own, &text, "job.toml", &no_file)
        .unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(request.blank.growth_width, Length::ZERO);
}

#[test]
fn readings_that_differ_are_taken_with_a_caution_until_they_look_like_a_slip() {
    let sizes = |text: &str| from_sizes(text, Unit::Inch);
    let request = sizes("9 x 6, 5-15/16, 6-1/32 x 3/4").unwrap_or_else(|report| panic!("{report}"));
    let width = &request.blank.width;
    // Largest 6-1/32, smallest 5-15/16, mean (6 + 5-15/16 + 6-1/32) / 3 = 575/96.
    assert_eq!((width.largest, width.smallest, width.nominal), (inches(193, 32), inches(95, 16), inches(575, 96)));
    let told = &request.cautions;
    assert!(told.iter().any(|told| told == "width: readings differ by 3/32 in: look for taper"), "{told:?}");
    // Twice the error of a tape explains 1/16.
    let request = sizes("9 x 6, 5-15/16 x 3/4").unwrap_or_else(|report| panic!("{report}"));
    assert!(!request.cautions.iter().any(|told| told.contains("differ")), "{:?}", request.cautions);
    // Up to 1/4 in, or 3 % of 20 in = 0.6 in.
    assert!(sizes("9 x 6, 5-3/4 x 3/4").is_ok() && sizes("20, 19-13/32 x 6 x 3/4").is_ok());
    for (text, allowed) in
        [("9 x 6, 5-23/32 x 3/4", "more than 1/4 in"), ("20, 19-3/8 x 6 x 3/4", "more than 19/32 in")]
    {
        let Err(report) = sizes(text) else { panic!("{text} was taken") };
        assert!(report.to_string().contains(allowed), "{report}");
    }
    // Under rollers no two places may differ by more than 1/32 in; a caliper reads to 0.005.
    assert!(sizes("9 x 6 x .750, .781").is_ok());
    assert!(sizes("9 x 6 x .750, .783").is_err());
}

#[test]
fn readings_margins_and_shapes_are_understood() {
    let request = good(
        "[blank]\nshape = \"disc\"\ndiameter = [\"8\", \"7-31/32\", \"8\"]\nthickness = \".75\"\nwood = \"walnut\"\n\
         [carve]\nlength = 5\nwidth = 4\nthrough = true\ncutter = \"1/2\"\n",
    );
    assert_eq!(request.blank.shape, Shape::Disc);
    assert_eq!((request.blank.length.largest, request.blank.width.smallest), (inches(8, 1), inches(255, 32)));
    assert_eq!(request.blank.wood.as_deref(), Some("walnut, black"));
    assert_eq!(request.carve.through, Through::AllRound);
    assert!(request.assumptions.iter().any(|one| one.key == "carve.through"));
    // Mean of 8, 7-31/32, 8 is 7-95/96; less 5 leaves 2-95/96, half of it at each end.
    assert_eq!(request.carve.margin_lead + request.carve.margin_trail, inches(287, 96));
    // 10 lbf at 1/4 in, in proportion: 20 at 1/2.
    assert_eq!(request.shop.estimates.side_force_lbf, 20.0);

    // Diagonals 13-3/8 and 13-1/8 of 11-1/4 x 7: the lean is (13.375^2 - 13.125^2) / (4 x 11.25) =
    // 6.625 / 45 = 0.1472 in, added to the largest length.
    let request = good(
        "[blank]\nlength = \"11-1/4\"\nwidth = \"7\"\nthickness = \".75\"\ndiagonals = [\"13-3/8\", \"13-1/8\"]\n",
    );
    let lean = request.blank.length.spread().to_inches();
    assert!((0.1472..0.1483).contains(&lean), "{lean}");
    assert!(request.cautions.iter().any(|told| told.contains("out of square")));

    // Wide end 6 leads, 4-1/2 trails over 18: the area ends 3 from the trail end, where the width is
    // 4-1/2 + 1-1/2 x 3/18 = 4-3/4; an area 3-3/4 wide from 1/2 fits. From the wide end's far side it
    // leaves 6 - 1/2 - 3-3/4 = 1-3/4.
    let request = good(
        "[blank]\nshape = \"taper\"\nlength = 18\nwidth = 6\nnarrow-width = \"4-1/2\"\nthickness = \".75\"\n\
         [carve]\nlength = 12\nfrom-lead = 3\nwidth = \"3-3/4\"\nfrom-fence = \"1/2\"\n",
    );
    assert_eq!(request.carve.margin_far, inches(7, 4));
    assert_eq!(request.carve.margin_trail, inches(3, 1));
}

#[test]
fn stock_on_hand_comes_first_and_nominal_names_are_known() {
    let request = good(&with(
        "[shop]\nbuy = false\n[[stock]]\nmaterial = \"plywood, birch\"\nnominal = \"18 mm\"\nlength = 48\nwidth = 24\n\
         [[stock]]\nmaterial = \"pine, ponderosa\"\nthickness = \"1-1/2\"\nlength = 72\nwidth = \"5-1/2\"\ncount = 3\n",
    ));
    let kinds: Vec<_> = request.stock.iter().map(|stock| (stock.kind, stock.count, stock.on_hand())).collect();
    use sledwright::library::MaterialKind::{Plywood, Softwood};
    assert_eq!(kinds, [(Plywood, Some(1), true), (Softwood, Some(3), true)]);
    // The data sheet's mean for 18 mm birch plywood is 17.7 mm.
    assert_eq!(request.stock.first().map(|stock| stock.thickness), Some(Length::micrometres(17_700)));
    assert!(request.assumptions.iter().any(|one| one.key == "stock 1.thickness"));
}

#[test]
fn every_starter_and_example_makes_a_request() {
    for starter in STARTERS {
        let report = from_toml(starter.text, starter.name, &no_file).err();
        assert!(report.is_none(), "{}: {}", starter.name, report.unwrap_or_default());
        assert!(starter.text.starts_with('#'), "{} has comments", starter.name);
    }
    let mut count = 0;
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let beside = |named: &str| fs::read_to_string(folder.join(named)).map_err(|error| error.to_string());
    for entry in fs::read_dir(&folder).expect("the folder is there") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "toml") {
            let text = fs::read_to_string(&path).expect("readable");
            let report: Option<Report> = from_toml(&text, &path.to_string_lossy(), &beside).err();
            assert!(report.is_none(), "{}: {}", path.display(), report.unwrap_or_default());
            count += 1;
        }
    }
    assert!(count >= 10, "{count} examples");
}

#[test]
fn the_table_of_keys_is_whole() {
    let all: Vec<_> = keys().collect();
    for (at, key) in all.iter().enumerate() {
        assert!(!key.default.is_empty() && !key.meaning.is_empty(), "{}.{}", key.table, key.name);
        assert!(
            !all.iter().skip(at + 1).any(|other| (other.table, other.name) == (key.table, key.name)),
            "{}",
            key.name
        );
        assert!(key_reference().contains(&format!("| `{}` |", key.name)));
        let size = matches!(key.kind, Kind::Size(..) | Kind::Step);
        let place = &job::schema()["properties"][key.table];
        let place = if matches!(key.table, "stock" | "also") { &place["items"] } else { place };
        let property = &place["properties"][key.name];
        assert!(property.is_object(), "{}.{} is not in the schema", key.table, key.name);
        assert_eq!(property["$ref"] == "#/$defs/size", size, "{}", key.name);
    }
    assert_eq!(job::schema()["$schema"], "https://json-schema.org/draft/2020-12/schema");
}

/// A small generator of numbers (xorshift, Marsaglia 2003), so that damage is the same every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % limit.max(1) as u64) as usize
    }
}

#[test]
#[expect(clippy::disallowed_methods, reason = "the test is about time taken")]
fn damaged_files_never_panic() {
    const SHARDS: [&str; 16] = [
        "nan",
        "inf",
        "1e309",
        "-0",
        "\"",
        "\"\"\"",
        "[",
        "]]",
        "{",
        "}",
        "\u{0}",
        "é",
        "=",
        "9223372036854775807",
        "\t",
        "'",
    ];
    let start = Instant::now();
    let mut dice = Dice(0x9e37_79b9_7f4a_7c15);
    let mut refused = 0;
    for round in 0..3000 {
        let starter = STARTERS[round % STARTERS.len()].text;
        let mut bytes = starter.as_bytes().to_vec();
        for _ in 0..=dice.below(4) {
            let at = dice.below(bytes.len());
            match dice.below(4) {
                0 => bytes[at] ^= 1 << dice.below(8),
                1 => {
                    let shard = SHARDS[dice.below(SHARDS.len())].bytes();
                    bytes.splice(at..at, shard);
                }
                2 => {
                    let end = (at + dice.below(30)).min(bytes.len());
                    bytes.drain(at..end);
                }
                _ => {
                    let text = String::from_utf8_lossy(&bytes).into_owned();
                    let lines: Vec<&str> = text.lines().collect();
                    let line = lines[dice.below(lines.len())].to_owned();
                    bytes = format!("{text}\n{line}\n").into_bytes();
                }
            }
            if bytes.is_empty() {
                bytes.push(b'x');
            }
        }
        let text = String::from_utf8_lossy(&bytes);
        if let Err(report) = from_toml(&text, "job.toml", &no_file) {
            assert!(!report.to_string().is_empty());
            refused += 1;
        }
        // The same damage as a machine profile.
        let _ = parse_machine_profile(&text, "m.toml").map_err(|report| report.to_string());
    }
    assert!(refused > 500, "{refused} refused: the damage is too mild to mean anything");
    assert!(start.elapsed() < Duration::from_secs(20), "{:?}", start.elapsed());
}

#[test]
#[expect(clippy::disallowed_methods, reason = "the test is about time taken")]
fn huge_and_deep_files_are_refused_fast() {
    let cases = [
        ("x".repeat(300_000), "the file is larger than 256 KiB"),
        ("[".repeat(250_000), "Wrong: "),
        (format!("a = {}", "[".repeat(250_000)), "Wrong: "),
        (format!("a = {}", "{a=".repeat(80_000)), "Wrong: "),
        (format!("{}a = 1", "a.".repeat(120_000)), "Wrong: "),
        (format!("[{}a]\n", "a.".repeat(120_000)), "Wrong: "),
        ("[[a]]\n".repeat(40_000), "unknown table"),
        ("[a]\n".repeat(60_000), "more"),
        ((0..20_000).map(|n| format!("k{n} = 1\n")).collect(), "and 19951 more"),
        (format!("[blank]\nlength = [{}]", "9,".repeat(100_000)), "has more than 200 entries"),
        (format!("blank = {{ {} }}", (0..15_000).map(|n| format!("k{n} = 1,")).collect::<String>()), "Wrong: "),
        (with(&format!("wood = \"{}\"", "w".repeat(200_000))), "longer than 60 characters"),
        (with(&format!("corner-radius = \"{}\"", "1".repeat(200_000))), "too long for a size"),
        (with(&format!("{} = 1", "k".repeat(200_000))), "unknown key"),
        (with(&"[[stock]]\nmaterial = \"mdf\"\n".repeat(500)), "a list of at most 200"),
        ("\u{0}".repeat(200_000), "Wrong: "),
        ("a = \"".repeat(50_000), "Wrong: "),
    ];
    for (text, said) in cases {
        let start = Instant::now();
        let shown = bad(&text);
        let head: String = text.chars().take(30).collect();
        assert!(shown.contains(said), "{head}: {}", shown.chars().take(2000).collect::<String>());
        assert!(shown.len() < 60_000, "{head}: a report of {} bytes", shown.len());
        assert!(start.elapsed() < Duration::from_secs(5), "{head}: {:?}", start.elapsed());
    }
}
