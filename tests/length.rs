//! Reading and printing sizes.
//!
//! Expected values are worked by hand from 1 in = 25.4 mm exactly (international yard and pound
//! agreement, 1959) and stand beside each text as whole inches over a denominator or micrometres.
//! How people write sizes is common practice, no source.

use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use sledwright::length::SizeErrorKind::{Ambiguous, Query, Refused};
use sledwright::length::{
    Length, Measured, Note, Ruler, SizeError, SizeErrorKind, Unit, looks_like_sizes, parse_measured, parse_ruler,
    parse_sizes,
};

fn inch(top: i64, bottom: i64) -> Length {
    Length::inches(top, bottom)
}

fn um(micrometres: i64) -> Length {
    Length::micrometres(micrometres)
}

fn read(text: &str) -> Measured {
    parse_measured(text, Unit::Inch).unwrap_or_else(|error| panic!("{text:?}: {error:?}"))
}

fn fails(text: &str, unit: Unit) -> SizeError {
    match parse_measured(text, unit) {
        Ok(read) => panic!("{text:?} was read as {read:?}"),
        Err(error) => error,
    }
}

/// The error must point into the text, name what is wrong and say how to mend it.
fn assert_kind(text: &str, error: &SizeError, kind: SizeErrorKind) {
    assert_eq!(error.kind, kind, "{text:?}: {error:?}");
    assert!(text.get(error.span.clone()).is_some(), "{text:?}: span {:?}", error.span);
    assert!(!error.message.is_empty() && !error.help.is_empty(), "{text:?}: {error:?}");
}

#[test]
fn one_number_is_read_as_written() {
    let rows = [
        ("3-1/2", inch(7, 2)),
        ("3 1/2", inch(7, 2)),
        ("3 1/2\"", inch(7, 2)),
        ("3½", inch(7, 2)),
        ("3-½", inch(7, 2)),
        ("3 ½″", inch(7, 2)),
        ("3–1/2", inch(7, 2)),
        ("3—1/2", inch(7, 2)),
        ("3‑1/2", inch(7, 2)),
        ("3⁄4", inch(3, 4)),
        ("3.5", inch(7, 2)),
        (".75", inch(3, 4)),
        ("0.75", inch(3, 4)),
        ("3/4", inch(3, 4)),
        ("3''", inch(3, 1)),
        ("3″", inch(3, 1)),
        ("3”", inch(3, 1)),
        ("3 in", inch(3, 1)),
        ("3 in.", inch(3, 1)),
        ("3 inches", inch(3, 1)),
        ("3/4-inch", inch(3, 4)),
        ("  9-1/16\t", inch(145, 16)),
        (".752", inch(752, 1000)),
        ("7'6\"", inch(90, 1)),
        ("7'-6\"", inch(90, 1)),
        ("7' - 6\"", inch(90, 1)),
        ("7' 6", inch(90, 1)),
        ("7' 6-1/2\"", inch(181, 2)),
        ("7'6''", inch(90, 1)),
        ("7’6”", inch(90, 1)),
        ("7ft 6in", inch(90, 1)),
        ("7 ft. 6 in.", inch(90, 1)),
        ("7'", inch(84, 1)),
        ("7.5'", inch(90, 1)),
        ("7' 0\"", inch(84, 1)),
        ("90mm", um(90_000)),
        ("90 mm", um(90_000)),
        ("90 MM", um(90_000)),
        ("9cm", um(90_000)),
        ("0.09 m", um(90_000)),
        ("19,05 mm", um(19_050)),
        ("0,125 mm", um(125)),
        ("240,5 millimetres", um(240_500)),
        ("8\" dia", inch(8, 1)),
        ("dia 8", inch(8, 1)),
        ("dia. 8", inch(8, 1)),
        ("8 in diameter", inch(8, 1)),
        ("Ø50", inch(50, 1)),
        ("ø 8\"", inch(8, 1)),
        ("⌀50 mm", um(50_000)),
        ("97", inch(97, 1)),
        ("240 in", inch(240, 1)),
    ];
    for (text, expected) in rows {
        let got = read(text);
        assert_eq!((got.largest, got.smallest, got.nominal), (expected, expected, expected), "{text:?}");
        assert_eq!((got.readings, got.uncertainty), (1, None), "{text:?}");
        assert_eq!(got.text, text.trim(), "the text as typed");
        assert_eq!(got.notes, [Note::OneReading], "{text:?}");
    }
}

#[test]
fn the_typed_unit_is_kept() {
    for (text, unit) in
        [("90 mm", Unit::Millimetre), ("9 cm", Unit::Millimetre), ("7' 6\"", Unit::Inch), ("3", Unit::Inch)]
    {
        assert_eq!(read(text).unit, unit, "{text:?}");
    }
    let bare = parse_measured("240", Unit::Millimetre).expect("millimetres by default");
    assert_eq!((bare.nominal, bare.unit), (um(240_000), Unit::Millimetre));
}

#[test]
fn several_dimensions_share_a_trailing_unit() {
    let plaque = [inch(9, 1), inch(6, 1), inch(3, 4)];
    let panel = [um(240_000), um(90_000), um(18_000)];
    let rows: [(&str, &[Length]); 14] = [
        ("9 x 6 x 3/4", &plaque),
        ("9x6x3/4\"", &plaque),
        ("9X6X3/4", &plaque),
        ("9 × 6 × .75", &plaque),
        ("9 by 6 by 3/4", &plaque),
        ("9\" x 6\" x 3/4\"", &plaque),
        ("240*90*18mm", &panel),
        ("240mmx90mmx18mm", &panel),
        ("24 x 9 x 1.8 cm", &panel),
        ("240 mm x 9 cm x 18 mm", &panel),
        ("9 x 6", &plaque[..2]),
        ("2 in x 4 in", &[Length::inches(2, 1), Length::inches(4, 1)]),
        ("9\" x 90 mm", &[Length::inches(9, 1), Length::micrometres(90_000)]),
        ("8\" dia x 3/4", &[Length::inches(8, 1), Length::inches(3, 4)]),
    ];
    for (text, expected) in rows {
        let got = parse_sizes(text, Unit::Inch).unwrap_or_else(|error| panic!("{text:?}: {error:?}"));
        assert_eq!(got.iter().map(|m| m.nominal).collect::<Vec<_>>(), expected, "{text:?}");
    }
}

#[test]
fn several_readings_keep_largest_smallest_and_mean() {
    // 6, 5-15/16, 6-1/32 in 32nds: 192 + 190 + 193 = 575, mean 575/96.
    for text in ["6, 5-15/16, 6-1/32", "6; 5-15/16; 6-1/32", "6, 5-15/16, 6-1/32\""] {
        let got = read(text);
        assert_eq!((got.largest, got.smallest, got.readings), (inch(193, 32), inch(95, 16), 3), "{text:?}");
        assert_eq!(got.nominal, inch(575, 96), "{text:?}");
        assert_eq!(got.spread(), inch(3, 32), "{text:?}");
        assert!(!got.notes.contains(&Note::OneReading));
    }
    let metric = read("240, 241 mm");
    assert_eq!((metric.smallest, metric.largest, metric.nominal), (um(240_000), um(241_000), um(240_500)));
    let comma = read("19,05 mm, 19,10 mm");
    assert_eq!((comma.smallest, comma.largest), (um(19_050), um(19_100)));
    let many = ["6"; 64].join(", ");
    assert_eq!(read(&many).readings, 64);
    let too_many = ["6"; 65].join(",  ");
    assert_kind(&too_many, &fails(&too_many, Unit::Inch), Refused);
}

#[test]
fn stated_uncertainty_is_kept() {
    let rows = [
        ("6 ± 1/16", inch(6, 1), inch(1, 16)),
        ("6 +- 1/16", inch(6, 1), inch(1, 16)),
        ("6 +/- 1/16\"", inch(6, 1), inch(1, 16)),
        ("6\"±1/16\"", inch(6, 1), inch(1, 16)),
        ("240 ± 0.5 mm", um(240_000), um(500)),
        ("240 mm ± 1/64\"", um(240_000), inch(1, 64)),
        ("6' ± 1/8", inch(72, 1), inch(1, 8)),
        ("~6", inch(6, 1), inch(1, 8)),
        ("about 6", inch(6, 1), inch(1, 8)),
        ("about 6 ± 1/4", inch(6, 1), inch(1, 4)),
        ("3/4 strong", inch(49, 64), inch(1, 64)),
        ("3/4 full", inch(49, 64), inch(1, 64)),
        ("full 3/4", inch(49, 64), inch(1, 64)),
        ("3/4 bare", inch(47, 64), inch(1, 64)),
        ("3/4\" scant", inch(47, 64), inch(1, 64)),
    ];
    for (text, length, uncertainty) in rows {
        let got = read(text);
        assert_eq!((got.nominal, got.uncertainty), (length, Some(uncertainty)), "{text:?}");
        assert_eq!((got.high(), got.low()), (length + uncertainty, length - uncertainty), "{text:?}");
    }
    assert!(read("~6").notes.contains(&Note::Approximate));
    assert!(read("3/4 strong").notes.contains(&Note::Shaded));
}

#[test]
fn doubtful_values_are_read_with_a_remark() {
    // 1/3 in is 48 768 000 ticks and 7/10 in 102 412 800, both whole.
    for (text, length) in [("12 1/3", inch(37, 3)), ("7/10", inch(7, 10)), ("12⅓", inch(37, 3))] {
        let got = read(text);
        assert_eq!((got.nominal, got.notes), (length, vec![Note::OneReading, Note::NotARulerMark]), "{text:?}");
    }
    let feet = read("5' 14\"");
    assert_eq!((feet.nominal, feet.notes), (inch(74, 1), vec![Note::OneReading, Note::InchesOverTwelve]));
    assert_eq!(read("5' 12\"").notes, [Note::OneReading, Note::InchesOverTwelve]);
    // Eleven inches and a half are still less than a foot.
    assert_eq!(read("5' 11-1/2\"").notes, [Note::OneReading]);
}

#[test]
fn a_second_unit_in_brackets_must_agree() {
    // 3/4 in is 19.05 mm; 18 mm is 0.7087 in; apart 1.05 mm or 0.0413 in.
    let error = fails("3/4\" (18mm)", Unit::Inch);
    assert_kind("3/4\" (18mm)", &error, Refused);
    for shown in ["0.75 in", "19.05 mm", "18 mm", "0.7087 in", "0.0413 in"] {
        assert!(error.message.contains(shown), "{shown} in {}", error.message);
    }
    assert_eq!(read("3/4\" (19 mm)").nominal, inch(3, 4));
    assert_eq!(read("17-1/16 in (433.4 mm)").nominal, inch(273, 16));
    assert_kind("3/4 (19)", &fails("3/4 (19)", Unit::Inch), Refused);
    assert_kind("3/4 (19 mm", &fails("3/4 (19 mm", Unit::Inch), Refused);
}

#[test]
fn likely_slips_are_questioned() {
    let rows = [
        ("240", "240 mm"),
        ("97.5", "97.5 in"),
        ("3/4 ply", "23/32"),
        ("1/2 plywood", "15/32"),
        ("3/4\" ply", "23/32"),
        ("3/4 mdf", "caliper"),
        ("18 mm ply", "caliper"),
        ("2x6", "1-1/2 x 5-1/2"),
        ("1 x 4", "3/4 x 3-1/2"),
        ("5/4", "about 1 in"),
        ("8/4", "about 1-3/4 in"),
    ];
    for (text, hint) in rows {
        let error = fails(text, Unit::Inch);
        assert_kind(text, &error, Query);
        assert!(error.help.contains(hint), "{text:?}: {}", error.help);
    }
    for text in ["2x6", "1x12", "4x4", "240 x 90 x 18", "9 x 6 x 5/4"] {
        assert_kind(text, &parse_sizes(text, Unit::Inch).expect_err(text), Query);
    }
    // Not names of lumber: a dimension no board has, a third dimension, a unit, millimetres.
    for (text, unit) in
        [("9x6", Unit::Inch), ("2 x 4 x 1", Unit::Inch), ("2x4\"", Unit::Inch), ("2x4", Unit::Millimetre)]
    {
        assert!(parse_sizes(text, unit).is_ok(), "{text:?}");
    }
}

#[test]
fn texts_with_two_meanings_are_refused_as_such() {
    let rows = [
        ("31/2", "15-1/2 or 3-1/2"),
        ("17/8", "2-1/8 or 1-7/8"),
        ("3.1/2", "mixed number"),
        ("1,250", "comma"),
        ("1,250 mm", "comma"),
        ("1.234,5 mm", "comma"),
        ("6,5", "comma"),
        ("3 - 1/2", "difference"),
        ("3.5 1/2", "decimal"),
    ];
    for (text, hint) in rows {
        let error = fails(text, Unit::Inch);
        assert_kind(text, &error, Ambiguous);
        assert!(error.message.contains(hint), "{text:?}: {}", error.message);
    }
    for text in ["9\" x 6 x 18 mm", "240 mm x 90 x 18", "3 x 2 x 7' 6\"", "240 mm, 241"] {
        assert_kind(text, &parse_sizes(text, Unit::Inch).expect_err(text), Ambiguous);
    }
    assert_kind("9\" x 6", &parse_sizes("9\" x 6", Unit::Millimetre).expect_err("9 in x 6?"), Ambiguous);
}

#[test]
fn what_is_no_size_is_refused() {
    let rows = [
        "",
        " ",
        "3 5/4",
        "1/0",
        "0/0",
        "-3",
        "–3",
        "0",
        "0.0",
        "0/4",
        "0 mm",
        "three",
        "3..5",
        "3.",
        ".",
        "1e309",
        "1e3",
        "NaN",
        "nan",
        "inf",
        "-inf",
        "infinity",
        "3 cubits",
        "7\"6'",
        "3' 90mm",
        "3-1/2-1/4",
        "3/2",
        "3/",
        "/4",
        "3-",
        "3-4",
        "3 4",
        "1/2/3",
        "3/4/5",
        "7\" 6",
        "6\" 1/2",
        "7.5' 6\"",
        "1m 20cm",
        "6 x",
        "x 6",
        "6 x x 3",
        "6,",
        ",6",
        "1 x 2 x 3 x 5",
        "6 ±",
        "± 1/16",
        "6 ± 0",
        "6 ± 7",
        "~1/8",
        "1/64 bare",
        "1/64, ~6",
        "3/4 strong bare",
        "6 + 1",
        "$6",
        "6\u{7}",
        "99999999999999999999",
        "0.00000000000001",
        "1000001 mm",
        "40000 in",
        "1/999999999999999",
        "Ø",
        "about",
        "mm",
        "6 mm mm",
        "3/4\" (18",
        "()",
        "٣",
    ];
    for text in rows {
        assert_kind(text, &fails(text, Unit::Inch), Refused);
    }
    let long = "9".repeat(201);
    assert_kind(&long, &fails(&long, Unit::Inch), Refused);
    assert_kind("9 x 7", &fails("9 x 7", Unit::Inch), Refused);
}

#[test]
fn errors_point_at_the_offending_part() {
    for (text, part) in [
        ("9 x 6 x three", "three"),
        ("9 x 31/2", "31/2"),
        ("3 cubits", "cubits"),
        ("6, -3", "-3"),
        ("3–5/4", "3–5/4"),
        ("9 x 3/4 ply", "3/4 ply"),
        ("9 x 1e309 x 2", "1e309"),
        ("9 x 7\"6' x 2", "7\"6'"),
    ] {
        let error = parse_sizes(text, Unit::Inch).expect_err(text);
        assert_eq!(text.get(error.span.clone()), Some(part), "{text:?}");
        assert!(error.message.contains(part), "{}", error.message);
    }
    let control = fails("6\u{1b}[31m", Unit::Inch);
    assert!(!control.message.contains('\u{1b}'), "control characters must not reach the terminal");
}

#[test]
fn size_texts_are_told_from_file_names() {
    for text in
        ["9 x 6 x 3/4", "9x6", "2x6", "240*90*18mm", "8\" dia", "Ø50", "about 6", "9 x 6 x three", "7' 6\"", "½ x 3"]
    {
        assert!(looks_like_sizes(text), "{text:?}");
    }
    for text in [
        "plaque.toml",
        "jobs/2x6.toml",
        "2x6.toml",
        "./9",
        "../9x6",
        "~/9x6",
        "/9",
        "9/jobs",
        "jobs/9x6",
        "gull",
        "",
        "x",
        "C:\\9",
        "job2",
        "9x6-gull",
        "-",
    ] {
        assert!(!looks_like_sizes(text), "{text:?}");
    }
}

#[test]
fn ruler_steps() {
    let rows = [
        ("1/32", Ruler::inch(32)),
        ("1/64 in", Ruler::inch(64)),
        ("1/16\"", Ruler::inch(16)),
        ("1", Ruler::inch(1)),
        ("1/1", Ruler::inch(1)),
        ("1/10", Ruler::decimal_inch(10)),
        ("1/20", Ruler::decimal_inch(20)),
        ("0.02", Ruler::decimal_inch(50)),
        ("0.01 in", Ruler::decimal_inch(100)),
        ("0.001", Ruler::decimal_inch(1000)),
        ("0.5 in", Ruler::decimal_inch(2)),
        ("0.5 mm", Ruler::metric(500)),
        ("0,5 mm", Ruler::metric(500)),
        ("1/2 mm", Ruler::metric(500)),
        ("1mm", Ruler::metric(1000)),
        ("0.1 mm", Ruler::metric(100)),
        ("1 cm", Ruler::metric(10_000)),
    ];
    for (text, expected) in rows {
        assert_eq!(parse_ruler(text, Unit::Inch), Ok(expected), "{text:?}");
    }
    assert_eq!(parse_ruler("0.5", Unit::Millimetre), Ok(Ruler::metric(500)));
    for text in [
        "1/3",
        "1/12",
        "1/128",
        "2",
        "1/0",
        "0",
        "-1/32",
        "0.05 mm",
        "11 mm",
        "1/3 mm",
        "1/32 x",
        "",
        "fine",
        "1/32, 1/64",
    ] {
        assert_kind(text, &parse_ruler(text, Unit::Inch).expect_err(text), Refused);
    }
    assert_kind("1/32", &parse_ruler("1/32", Unit::Millimetre).expect_err("1/32 mm"), Refused);
}

#[test]
fn lengths_are_printed_on_the_ruler() {
    let rows = [
        (Ruler::inch(32), inch(273, 16), "17-1/16"),
        (Ruler::inch(32), inch(-1, 32), "-1/32"),
        (Ruler::inch(32), inch(-33, 32), "-1-1/32"),
        (Ruler::inch(32), inch(2, 1), "2"),
        (Ruler::inch(32), inch(64, 32), "2"),
        (Ruler::inch(32), Length::ZERO, "0"),
        (Ruler::inch(16), inch(17, 64), "17/64"),
        (Ruler::inch(16), inch(3, 128), "3/128"),
        (Ruler::inch(32), inch(752, 1000), "0.752"),
        // Off the ruler: 18 mm is 0.70866 in; 50.7 mm is 1.99606 in; 50.79 mm is 1.99961 in, which carries.
        (Ruler::inch(32), um(18_000), "0.709"),
        (Ruler::inch(32), um(50_700), "1.996"),
        (Ruler::inch(32), um(50_790), "2.000"),
        (Ruler::inch(32), um(-18_000), "-0.709"),
        (Ruler::inch(32), um(10), "0.000"),
        (Ruler::inch(10), inch(7, 10), "7/10"),
        (Ruler::decimal_inch(1000), inch(3, 4), "0.750"),
        (Ruler::decimal_inch(100), inch(3, 4), "0.75"),
        (Ruler::decimal_inch(100), inch(2, 1), "2.00"),
        (Ruler::decimal_inch(100), inch(1, 64), "0.015625"),
        (Ruler::decimal_inch(100), inch(-752, 1000), "-0.752"),
        (Ruler::decimal_inch(100), um(18_000), "0.709"),
        (Ruler::decimal_inch(20), inch(3, 20), "0.15"),
        (Ruler::metric(500), um(445_500), "445.5"),
        (Ruler::metric(500), um(240_000), "240"),
        (Ruler::metric(500), um(19_050), "19.05"),
        (Ruler::metric(500), um(-400), "-0.4"),
        // 17-1/16 in is 433.3875 mm; 2-61/64 in is 75.0094 mm.
        (Ruler::metric(500), inch(273, 16), "433.4"),
        (Ruler::metric(500), inch(189, 64), "75.0"),
    ];
    for (ruler, length, expected) in rows {
        assert_eq!(ruler.number(length), expected, "{ruler:?} {length:?}");
    }
}

#[test]
fn lengths_are_printed_with_the_other_unit() {
    let fraction = Ruler::inch(32);
    let metric = Ruler::metric(500);
    assert_eq!(fraction.with_unit(inch(273, 16)), "17-1/16 in");
    assert_eq!(metric.with_unit(um(445_500)), "445.5 mm");
    // 433.3875 mm; 445.5 / 25.4 = 17.5394; 25.4 x 2 = 50.8; 25.4 / 64 = 0.3969; 18 / 25.4 = 0.7087.
    assert_eq!(fraction.both(inch(273, 16)), "17-1/16 in (433.4 mm)");
    assert_eq!(metric.both(um(445_500)), "445.5 mm (17.54 in)");
    assert_eq!(fraction.both(inch(2, 1)), "2 in (50.8 mm)");
    assert_eq!(fraction.both(inch(-1, 64)), "-1/64 in (-0.4 mm)");
    assert_eq!(metric.both(um(18_000)), "18 mm (0.709 in)");
    assert_eq!(fraction.both(inch(10, 1)), "10 in (254 mm)");
}

/// Property tests run the same cases every time: a fixed seed and no failure file.
fn runner(cases: u32) -> TestRunner {
    let config = Config { cases, failure_persistence: None, ..Config::default() };
    TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha))
}

const RULERS: [Ruler; 18] = [
    Ruler::inch(1),
    Ruler::inch(2),
    Ruler::inch(4),
    Ruler::inch(8),
    Ruler::inch(16),
    Ruler::inch(32),
    Ruler::inch(64),
    Ruler::decimal_inch(10),
    Ruler::decimal_inch(20),
    Ruler::decimal_inch(50),
    Ruler::decimal_inch(100),
    Ruler::decimal_inch(1000),
    Ruler::decimal_inch(32),
    Ruler::metric(100),
    Ruler::metric(250),
    Ruler::metric(500),
    Ruler::metric(1000),
    Ruler::metric(10_000),
];

#[test]
fn every_mark_of_every_ruler_reads_back_exactly() {
    for ruler in RULERS {
        let most = Length::micrometres(2_500_000).ticks() / ruler.step.ticks();
        runner(300)
            .run(&(1..=most), |marks| {
                let length = ruler.step * marks;
                for text in [ruler.with_unit(length), ruler.both(length)] {
                    let back = parse_measured(&text, Unit::Inch)
                        .map_err(|error| TestCaseError::fail(format!("{text}: {error:?}")))?;
                    prop_assert_eq!(back.nominal, length, "{}", text);
                    prop_assert_eq!(back.unit, ruler.unit);
                }
                Ok(())
            })
            .expect("every mark reads back");
    }
}

#[test]
fn a_printed_value_between_marks_is_off_by_less_than_a_caliper_reads() {
    for ruler in RULERS {
        runner(300)
            .run(&(1_i64..Length::inches(100, 1).ticks()), |ticks| {
                let length = Length::from_ticks(ticks);
                let text = ruler.number(length);
                let (unit, fine) = match ruler.unit {
                    Unit::Inch => ("in", Length::inches(1, 1000)),
                    Unit::Millimetre => ("mm", Length::micrometres(100)),
                };
                if text.trim_matches(['0', '.']).is_empty() {
                    prop_assert!(length * 2 <= fine);
                    return Ok(());
                }
                let back = parse_measured(&format!("{text} {unit}"), Unit::Inch)
                    .map_err(|error| TestCaseError::fail(format!("{text}: {error:?}")))?;
                prop_assert!((back.nominal - length).abs() * 2 <= fine, "{}", text);
                Ok(())
            })
            .expect("values between marks");
    }
}

#[test]
fn rounding_brackets_the_value() {
    for ruler in RULERS {
        let step = ruler.step;
        let most = Length::inches(200, 1).ticks();
        runner(500)
            .run(&(-most..most), |ticks| {
                let length = Length::from_ticks(ticks);
                let (up, down, nearest) = (length.up(step), length.down(step), length.nearest(step));
                prop_assert!(down <= length && length <= up && up - down <= step);
                prop_assert!(up.is_multiple_of(step) && down.is_multiple_of(step) && nearest.is_multiple_of(step));
                prop_assert!((nearest - length).abs() * 2 <= step);
                prop_assert_eq!(up == down, length.is_multiple_of(step));
                Ok(())
            })
            .expect("rounding brackets");
    }
}

/// Reads a text every way; only that nothing panics and that spans fit is asked.
fn survives(text: &str) -> Result<(), TestCaseError> {
    looks_like_sizes(text);
    for unit in [Unit::Inch, Unit::Millimetre] {
        for result in [
            parse_measured(text, unit).map(|m| vec![m]),
            parse_sizes(text, unit),
            parse_ruler(text, unit).map(|_| Vec::new()),
        ] {
            match result {
                Ok(read) => {
                    for m in read {
                        prop_assert!(Length::ZERO < m.smallest && m.smallest <= m.nominal && m.nominal <= m.largest);
                        // A million millimetres, and a hair for `strong`.
                        prop_assert!(m.largest <= Length::micrometres(1_000_000_000) + inch(1, 64));
                        prop_assert!(m.low() > Length::ZERO || m.uncertainty.is_none());
                    }
                }
                Err(error) => {
                    prop_assert!(text.get(error.span.clone()).is_some(), "{:?} {:?}", text, error);
                    prop_assert!(!error.message.is_empty() && !error.help.is_empty());
                }
            }
        }
    }
    Ok(())
}

#[test]
fn arbitrary_texts_never_panic() {
    runner(4000).run(&any::<String>(), |text| survives(&text)).expect("arbitrary text");
    let alphabet = prop::sample::select("0123456789 ./-–,;x×*'\"″½⁄±~()+inmftabouØ".chars().collect::<Vec<_>>());
    let texts = prop::collection::vec(alphabet, 0..24).prop_map(|chars| chars.into_iter().collect::<String>());
    runner(20_000).run(&texts, |text| survives(&text)).expect("text from the alphabet of sizes");
}

#[test]
fn mutated_sizes_never_panic() {
    let good = prop::sample::select(vec![
        "9-1/16 x 6 x 3/4",
        "7' 6-1/2\"",
        "240*90*18mm",
        "6 ± 1/16",
        "6, 5-15/16, 6-1/32",
        "19,05 mm",
        "3/4\" (18mm)",
        "about 3 ½″ strong",
        "999999999999 999999999999/999999999999 ft",
    ]);
    let edits = prop::collection::vec((0_usize..64, any::<prop::sample::Index>(), any::<char>()), 0..4);
    runner(10_000)
        .run(&(good, edits), |(good, edits)| {
            let mut chars: Vec<char> = good.chars().collect();
            for (kind, at, new) in edits {
                let at = at.index(chars.len().max(1)).min(chars.len());
                match kind % 4 {
                    0 => chars.insert(at, new),
                    1 if at < chars.len() => drop(chars.remove(at)),
                    2 if at < chars.len() => chars.insert(at, chars[at]),
                    _ => chars.rotate_left(at),
                }
            }
            survives(&chars.into_iter().collect::<String>())
        })
        .expect("mutated sizes");
}
