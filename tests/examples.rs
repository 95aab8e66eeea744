//! Every example and every starter is designed, verified and rendered. The sizes of the examples are
//! worked out by hand beside each, by common practice (no published source).

use std::path::{Path, PathBuf};

use sledwright::length::Length;
use sledwright::output::files::{Source, render};
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};

fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

fn mm(tenths: i64) -> Length {
    Length::micrometres(tenths * 100)
}

fn files(folder: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).expect("folder").flatten().map(|e| e.path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
    files.sort();
    files
}

fn read(path: &Path) -> Request {
    let text = std::fs::read_to_string(path).expect("readable");
    let folder = path.parent().expect("folder").to_path_buf();
    let load = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    match request::from_toml(&text, &path.to_string_lossy(), &load) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

/// Name, construction, length, width, thickness.
type Expected = (&'static str, &'static str, Length, Length, Length);

fn expected() -> Vec<Expected> {
    vec![
        // Cut free, so taped: 10-9/16 + 2 x 4; 5-5/16 + 2 x 3/4; 57/64 on a base of 15/32.
        ("anchor-key-board", "rails-on-base", inch(18, 9, 16), inch(6, 13, 16), inch(1, 23, 64)),
        // 1 in 12: 6-1/3 at the carrier's wide end, 1-1/4 + 6.3333 + 1-1/4 = 8.8333, up to 8-27/32; 18 + 8.
        ("boat-strake", "taper-in-plan", inch(26, 0, 1), inch(8, 27, 32), inch(0, 3, 4)),
        // Round 8-1/16; the machine's shortest 16 + 1/8 rules; 8-1/16 + 1-1/2; 49/64 in two layers of 3/4.
        ("compass-rose", "disc-nest", inch(16, 1, 8), inch(9, 9, 16), inch(1, 1, 2)),
        // Margin 1 less the cutter's reach 1/16 + 1/16 is worth 7/8: ends 3-1/8, 20 + 6-1/4. 3/4 + 15/32.
        ("donors-board", "end-extensions", inch(26, 1, 4), inch(13, 1, 4), inch(1, 7, 32)),
        // Rails 3/4 + 1/64 + 3/8 + 1/16 = 1-13/64 on 15/32; 10-1/16 + 8; 6-1/16 + 2-1/2.
        ("gilded-rosette", "bridge", inch(18, 1, 16), inch(8, 9, 16), inch(1, 43, 64)),
        // Margin 1/2 less 1/8 + 1/16 is worth 5/16: ends 3-11/16; 9-1/16 + 7-3/8; 6-1/16 + 1-1/2.
        ("gull-plaque", "blind-pocket", inch(16, 7, 16), inch(7, 9, 16), inch(1, 0, 1)),
        // Margins of 2 less the cutter's reach 1/8 + 1/16 are worth 1-13/16: ends 2-3/16. 32 + 1/64 + 1/32 up to 32-1/16
        // for reading and slip; across 5-17/32 + 3/64 and 0.081 to swell (5.53 x 0.00365 x 4 %), up to 5-11/16.
        ("hatch-board", "blind-pocket", inch(36, 7, 16), inch(7, 3, 16), inch(1, 1, 2)),
        // 5 in of waste at each end: fed as it is.
        ("harbour-map", "none", inch(20, 0, 1), inch(6, 0, 1), inch(0, 3, 4)),
        // A rule reads to 1/64: 12 + 1/64 + 1/32 up to 12-1/16; 10-1/16 + 1-1/2.
        ("lifeboat-panel", "blind-pocket", inch(20, 1, 16), inch(11, 9, 16), inch(1, 0, 1)),
        // Margins do for the ends, so walls of 3/4: 30-1/16 + 1-1/2. 2-9/16 + 1-1/2 is under the
        // narrowest board 4-1/2 + 1/16, so rails of 1. 7/8 deep leaves too little of 1 in.
        ("oar-inscription", "blind-pocket", inch(31, 9, 16), inch(4, 9, 16), inch(1, 1, 2)),
        // Box 13 x 4-3/4 grown by 1/32 + 1/64 all round: 13-3/32 + 8; 4-27/32 + 1-1/2; ring 3/4 on 15/32.
        ("pilot-cutter-cutout", "outline-nest", inch(21, 3, 32), inch(6, 11, 32), inch(1, 7, 32)),
        // 101.6 less (15 - 3 - 1.5875) = 91.19 up to 91.5; 241.5 + 183; 91.5 + 39.
        ("pilot-name-board", "blind-pocket", mm(4245), mm(1305), mm(250)),
        // Wedges of 6 in fill 1-3/8: 4 + 12 + 4; 1-1/4 + 6 + 1-3/8 + 1-1/4; 1-1/8 on a base of 15/32.
        ("pier-post-chunk", "cleat-nest", inch(20, 0, 1), inch(9, 7, 8), inch(1, 19, 32)),
        // Margin 4 less 1/32 + 1/16 is worth all but 3/32 of the end, so walls of 3/4: 18-1/16 + 1-1/2;
        // 8-1/16 + 1-1/2; 1/8 deep in plywood of 15/32.
        ("tide-table-veneer", "blind-pocket", inch(19, 9, 16), inch(9, 9, 16), inch(0, 15, 32)),
    ]
}

#[test]
fn every_example_gives_the_carrier_worked_out_by_hand() {
    let expected = expected();
    for path in files("examples") {
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let request = read(&path);
        let design = match plan(&request) {
            Plan::Ready { design, .. } => design,
            other => panic!("{name}: {other:?}"),
        };
        if let Some((_, construction, length, width, thickness)) = expected.iter().find(|row| row.0 == name) {
            assert_eq!(design.construction, *construction, "{name}");
            let sizes = (design.carrier.length, design.carrier.width, design.carrier.thickness);
            assert_eq!(sizes, (*length, *width, *thickness), "{name}");
        }
    }
    assert!(expected.len() >= 8, "at least eight examples are worked out");
    for (name, ..) in expected {
        assert!(
            files("examples").iter().any(|path| path.file_stem().is_some_and(|stem| stem == name)),
            "{name} is gone"
        );
    }
}

/// Small carver, cutter to roller 2-3/4: 3-1/2 at each end, less the margin (11.2578 - 9) / 2 =
/// 1.1289 without the reach 1/16 + 1/16, leaves 2.4961, up to 2-1/2 on a ruler of sixteenths.
/// 2-1/2 + 11.2578 + 2.4961 = 16.2539, up to 16-5/16. Strip 7/8 + 7 = 7-7/8.
#[test]
fn box_lid_on_the_small_carver() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/ferry-ticket-box-lid.toml");
    let Plan::Ready { design, .. } = plan(&read(&path)) else { panic!("fits") };
    assert_eq!(design.construction, "end-extensions");
    assert_eq!((design.carrier.length, design.carrier.width), (inch(16, 5, 16), inch(7, 7, 8)));
}

#[test]
fn every_example_and_starter_is_rendered_the_same_twice() {
    for path in files("examples").into_iter().chain(files("templates")) {
        let request = read(&path);
        let Plan::Ready { design, .. } = plan(&request) else { panic!("{} does not fit", path.display()) };
        let once = render(&Source::new(&request, &design), &[]).expect("rendered");
        let twice = render(&Source::new(&request, &design), &[]).expect("rendered");
        assert!(once.len() > 3, "{}: {} files", path.display(), once.len());
        assert_eq!(once, twice, "{}", path.display());
    }
}
