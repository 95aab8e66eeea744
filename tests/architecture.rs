//! Imports go one way: a file may use only modules that stand before its own in the table below.
//! The order is that of DEVELOPERS.md.

use std::path::{Path, PathBuf};

const ORDER: &[&str] = &[
    "length",
    "diagnostic",
    "geometry",
    "capture",
    "rules",
    "trace",
    "library",
    "mechanics",
    "job",
    "request",
    "design",
    "axis",
    "saw",
    "construct",
    "solve",
    "verify",
    "plan",
    "boards",
    "setup",
    "drawing",
    "views",
    "sheet",
    "output",
    "cli",
];

/// The second derivation shares nothing with the first.
const BARRED_FROM_VERIFY: &[&str] = &["mechanics", "axis", "saw", "construct", "solve", "trace", "boards"];

const LONGEST_FILE: usize = 700;

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("source folder").flatten().map(|e| e.path()).collect();
    entries.sort();
    for entry in entries {
        if entry.is_dir() {
            sources(&entry, found);
        } else if entry.extension().is_some_and(|ending| ending == "rs") {
            found.push(entry);
        }
    }
}

fn files() -> Vec<(String, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    sources(&root, &mut paths);
    paths
        .into_iter()
        .map(|path| {
            let name = path.strip_prefix(&root).expect("below src").to_string_lossy().replace('\\', "/");
            let module = name.split('/').next().unwrap_or_default().trim_end_matches(".rs").to_owned();
            (name, module, std::fs::read_to_string(&path).expect("readable"))
        })
        .collect()
}

/// Modules named as `crate::module` anywhere in the code (comments left out).
fn used(text: &str) -> Vec<String> {
    let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    let mut found = Vec::new();
    for line in code {
        for piece in line.split("crate::").skip(1) {
            let name: String = piece.chars().take_while(|c| c.is_ascii_lowercase() || *c == '_').collect();
            if !name.is_empty() {
                found.push(name);
            }
            // `crate::{a, b}` names several.
            if let Some(list) = piece.strip_prefix('{') {
                for part in list.split('}').next().unwrap_or_default().split(',') {
                    found.push(part.trim().chars().take_while(|c| c.is_ascii_lowercase() || *c == '_').collect());
                }
            }
        }
    }
    found
}

#[test]
fn imports_go_one_way() {
    let place = |module: &str| ORDER.iter().position(|name| *name == module);
    let mut wrong = Vec::new();
    for (name, module, text) in files() {
        if module == "lib" || module == "main" {
            continue;
        }
        let own = place(&module).unwrap_or_else(|| panic!("{name}: module `{module}` has no place in the order"));
        for other in used(&text) {
            match place(&other) {
                Some(at) if at > own => wrong.push(format!("{name} uses {other}, which stands after {module}")),
                _ => {}
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn verification_shares_nothing_with_the_solver() {
    let verify = files().into_iter().filter(|(_, module, _)| module == "verify");
    let mut seen = 0;
    for (name, _, text) in verify {
        seen += 1;
        for other in used(&text) {
            assert!(!BARRED_FROM_VERIFY.contains(&other.as_str()), "{name} uses {other}");
        }
    }
    assert!(seen > 3, "the verification was not found");
}

#[test]
fn no_file_is_too_long() {
    let long: Vec<String> = files()
        .into_iter()
        .filter(|(_, _, text)| text.lines().count() > LONGEST_FILE)
        .map(|(name, _, text)| format!("{name}: {} lines", text.lines().count()))
        .collect();
    assert!(long.is_empty(), "longer than {LONGEST_FILE}: {}", long.join(", "));
}

#[test]
fn every_construction_can_be_named_in_a_job_and_has_an_example_or_a_case() {
    use sledwright::construct::CONSTRUCTIONS;
    use sledwright::job::CONSTRUCTION_NAMES;
    let ids: Vec<&str> = CONSTRUCTIONS.iter().map(|construction| construction.id()).collect();
    assert_eq!(ids, CONSTRUCTION_NAMES);
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let worked = std::fs::read_dir(&folder).expect("tests").flatten();
    let worked = worked.filter(|entry| entry.file_name().to_string_lossy().starts_with("worked_"));
    let mut cases: String = worked.map(|entry| std::fs::read_to_string(entry.path()).expect("cases")).collect();
    cases += &std::fs::read_to_string(folder.join("captured.rs")).expect("cases");
    for id in ids {
        assert!(cases.contains(&format!("\"{id}\"")), "no worked case for {id}");
    }
}
