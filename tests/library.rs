//! The reference tables against the published figures, typed here by hand.

use sledwright::diagnostic::Severity;
use sledwright::length::Length;
use sledwright::library::{
    Library, MachineKind, cutters, library, machine, machine_profile_text, machines, papers, parse_machine_profile,
    sheet_goods, woods,
};

fn mm(mm: f64) -> Length {
    Length::from_mm(mm).expect("a finite length")
}

#[test]
fn every_embedded_file_reads_without_a_problem() {
    for (file, text) in Library::embedded_files() {
        if let Err(report) = Library::default().with(text, file) {
            panic!("{report}");
        }
    }
    assert!(woods().len() >= 20 && sheet_goods().len() >= 30 && machines().len() == 5);
    assert!(cutters().len() >= 8 && papers().len() == 10);
}

#[test]
fn every_row_names_its_source_and_no_name_is_used_twice() {
    let rows: Vec<(&str, &str, &str)> = woods()
        .iter()
        .map(|row| ("wood", row.id.as_str(), row.source.as_str()))
        .chain(sheet_goods().iter().map(|row| ("sheet-good", row.id.as_str(), row.source.as_str())))
        .chain(machines().iter().map(|row| ("machine", row.id.as_str(), row.source.as_str())))
        .chain(cutters().iter().map(|row| ("cutter", row.id.as_str(), row.source.as_str())))
        .chain(papers().iter().map(|row| ("paper", row.id.as_str(), row.source.as_str())))
        .collect();
    for (at, (table, id, source)) in rows.iter().enumerate() {
        assert!(source.len() > 5, "{table} {id} has no source");
        let again = rows.iter().skip(at + 1).find(|(other, name, _)| other == table && name == id);
        assert!(again.is_none(), "{table} {id} is there twice");
    }
}

/// Change coefficients: USDA Wood Handbook, Table 13-5. Densities: 1000 G 1.12 with the specific
/// gravities of its Table 5-3b (0.63, 0.55, 0.68, 0.37). Elasticity in GPa as printed there.
#[test]
fn woods_agree_with_the_wood_handbook() {
    for (id, radial, tangential, gravity, gpa) in [
        ("maple, sugar", 0.00165, 0.00353, 0.63, 12.6),
        ("walnut, black", 0.00190, 0.00274, 0.55, 11.6),
        ("oak, white", 0.00180, 0.00365, 0.68, 12.3),
        ("basswood, american", 0.00230, 0.00330, 0.37, 10.1),
    ] {
        let wood = library().wood(id).unwrap_or_else(|| panic!("no {id}"));
        assert_eq!((wood.radial, wood.tangential), (Some(radial), Some(tangential)), "{id}");
        assert!((wood.density - 1120.0 * gravity).abs() <= 1.0, "{id}: {}", wood.density);
        assert_eq!(wood.elasticity, Some(gpa * 1000.0), "{id}");
    }
}

/// Wood Handbook, note to Table 13-5: a flat-sawn width moves more than a quarter-sawn one.
#[test]
fn every_wood_moves_more_flat_sawn_than_quarter_sawn() {
    for wood in woods() {
        assert_eq!(wood.radial.is_some(), wood.tangential.is_some(), "{}", wood.id);
        if let (Some(radial), Some(tangential)) = (wood.radial, wood.tangential) {
            assert!(radial < tangential, "{}", wood.id);
        }
    }
    // No coefficient of mahogany could be confirmed.
    assert!(woods().iter().filter(|wood| wood.id.starts_with("mahogany")).all(|wood| wood.tangential.is_none()));
}

/// PS 1 structural plywood as tabulated by APA: least and greatest thickness in thousandths of an inch.
#[test]
fn plywood_agrees_with_ps_1() {
    for (nominal, least, greatest) in [
        ("1/4 in", 219, 281),
        ("3/8 in", 344, 406),
        ("15/32 in", 438, 500),
        ("1/2 in", 469, 531),
        ("19/32 in", 563, 625),
        ("5/8 in", 594, 656),
        ("23/32 in", 688, 750),
        ("3/4 in", 719, 781),
        ("1 in", 950, 1050),
    ] {
        let row = library().sheet_good(&format!("plywood {nominal}")).unwrap_or_else(|| panic!("no {nominal}"));
        let range = row.thickness_range.unwrap_or_else(|| panic!("{nominal} has no range"));
        assert_eq!(range.min, Length::inches(least, 1000), "{nominal}");
        assert_eq!(range.max, Length::inches(greatest, 1000), "{nominal}");
    }
    let row = library().sheet_good("plywood 23/32 in").expect("in the table");
    assert_eq!(row.thickness, Length::inches(23, 32));
}

/// A birch-plywood data sheet: nominal, mean, least and greatest thickness in mm, density in kg/m3.
#[test]
fn birch_plywood_agrees_with_its_data_sheet() {
    for (nominal, mean, least, greatest, density) in [
        ("4 mm", 3.8, 3.5, 4.1, 660.0),
        ("6.5 mm", 6.4, 6.1, 6.9, 670.0),
        ("9 mm", 9.2, 8.8, 9.5, 710.0),
        ("12 mm", 12.0, 11.5, 12.5, 695.0),
        ("15 mm", 14.9, 14.3, 15.3, 690.0),
        ("18 mm", 17.7, 17.1, 18.1, 685.0),
        ("21 mm", 20.5, 20.0, 20.9, 680.0),
        ("24 mm", 23.4, 22.9, 23.7, 680.0),
    ] {
        let row = library().sheet_good(&format!("plywood, birch {nominal}")).unwrap_or_else(|| panic!("no {nominal}"));
        let range = row.thickness_range.unwrap_or_else(|| panic!("{nominal} has no range"));
        assert_eq!((row.thickness, range.min, range.max), (mm(mean), mm(least), mm(greatest)), "{nominal}");
        assert_eq!(row.density, density, "{nominal}");
    }
}

/// ANSI A208.2-2009: the mean thickness of an MDF panel is within 0.005 in (0.125 mm) of its name.
#[test]
fn mdf_agrees_with_ansi_a208_2() {
    let inch = library().sheet_good("mdf 3/4 in").and_then(|row| row.thickness_range).expect("in the table");
    assert_eq!((inch.min, inch.max), (Length::inches(745, 1000), Length::inches(755, 1000)));
    let metric = library().sheet_good("mdf 18 mm").and_then(|row| row.thickness_range).expect("in the table");
    assert_eq!((metric.min, metric.max), (mm(17.875), mm(18.125)));
}

/// Trimmed sizes: ISO 216 (mm) and ASME Y14.1 (in).
#[test]
fn paper_agrees_with_iso_216_and_asme_y14_1() {
    for (id, width, length) in
        [("a4", 210.0, 297.0), ("a3", 297.0, 420.0), ("a2", 420.0, 594.0), ("a1", 594.0, 841.0), ("a0", 841.0, 1189.0)]
    {
        let row = papers().iter().find(|row| row.id == id).unwrap_or_else(|| panic!("no {id}"));
        assert_eq!((row.width, row.length), (mm(width), mm(length)), "{id}");
    }
    for (id, width, length) in
        [("letter", 17, 22), ("tabloid", 22, 34), ("ansi-c", 34, 44), ("ansi-d", 44, 68), ("ansi-e", 68, 88)]
    {
        let row = papers().iter().find(|row| row.id == id).unwrap_or_else(|| panic!("no {id}"));
        // Half inches, so that 8.5 is a whole number.
        assert_eq!((row.width, row.length), (Length::inches(width, 2), Length::inches(length, 2)), "{id}");
    }
}

#[test]
fn every_machine_says_to_measure_your_own() {
    for row in machines() {
        assert!(row.source.contains("measure your own"), "{}", row.id);
        assert!(row.unconfirmed.iter().any(|name| name == "cutter-to-roller"), "{}", row.id);
    }
    assert_eq!(library().machines_of(MachineKind::Carver).count(), 3);
}

#[test]
fn a_written_profile_reads_back_the_same() {
    for row in machines() {
        let text = machine_profile_text(row);
        let (read, notes) = parse_machine_profile(&text, "profile.toml").unwrap_or_else(|report| panic!("{report}"));
        assert!(notes.is_empty(), "{notes}");
        assert_eq!(&read, row);
    }
    // Lengths that are no fraction of an inch, and text that needs escapes.
    let mut odd = machine("roller-carver-small").expect("in the table").clone();
    odd.name = "the \"old\" one \\ left of the door".to_owned();
    odd.strip = Length::micrometres(22_345);
    odd.depth = Length::from_ticks(100_000_001);
    odd.unconfirmed.clear();
    let (read, _) = parse_machine_profile(&machine_profile_text(&odd), "x").unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(read, odd);
}

#[test]
fn a_users_row_replaces_the_one_with_its_name_and_others_are_added() {
    let text = "[[wood]]\nid = \"walnut, black\"\ndensity = 640\nsource = \"weighed here\"\n\n\
                [[wood]]\nid = \"bog oak\"\ndensity = 900\nsource = \"weighed here\"\n\n\
                [[machine]]\nid = \"roller-carver-medium\"\nstrip = \"1\"\n";
    let more = library().with(text, "own.toml").unwrap_or_else(|report| panic!("{report}"));
    assert_eq!(more.woods().len(), woods().len() + 1);
    assert_eq!(more.wood("walnut, black").map(|wood| wood.density), Some(640.0));
    let own = more.machine("roller-carver-medium").expect("still there");
    assert_eq!(own.strip, Length::INCH);
    assert_eq!(own.length, machine("roller-carver-medium").expect("in the table").length);
    assert!(!own.unconfirmed.iter().any(|name| name == "strip"), "what was typed was measured");
    assert!(own.unconfirmed.iter().any(|name| name == "depth"));
}

#[test]
fn a_broken_users_file_is_told_of_at_its_place() {
    let text = "[[wood]]\nid = \"bog oak\"\ndensty = 900\nsource = \"weighed here\"\n\n[[woods]]\nid = \"x\"\n\n[[cutter]]\nid = \"y\"\ndiameter = \"1/4\"\n";
    let report = library().with(text, "own.toml").expect_err("three mistakes");
    let expected = "\
own.toml, line 3, column 1:
Wrong: unknown key `densty` in [[wood]]
      densty = 900
      ^^^^^^
Mend: did you mean `density`?

own.toml, line 6, column 3:
Wrong: unknown table `woods`
      [[woods]]
        ^^^^^
Mend: did you mean `[[wood]]`?

own.toml, line 9, column 1:
Wrong: the row does not state `flute`, `source`
      [[cutter]]
      ^^^^^^^^^^
Mend: every row states these
";
    assert_eq!(report.to_string(), expected);
    assert!(report.problems().iter().all(|problem| problem.severity == Severity::Error));
}

#[test]
fn woods_are_found_by_the_words_people_use() {
    let ids = |name: &str| -> Vec<&str> { library().woods_like(name).iter().map(|wood| wood.id.as_str()).collect() };
    assert_eq!(ids("Black Walnut"), ["walnut, black"]);
    assert_eq!(ids("walnut"), ["walnut, black"]);
    assert_eq!(ids("maple"), ["maple, sugar", "maple, red"]);
    assert!(ids("").is_empty() && ids("teak").is_empty());
}
