//! The build sequence as data: every part gets into its place once, and so does the blank; nothing that is
//! drawn after a step was not added by then.

mod support;

use std::collections::BTreeMap;

use sledwright::design::{Added, Design, VoidKind};
use sledwright::length::Unit;
use sledwright::request::Request;
use sledwright::views::stages;

fn complete(name: &str, request: &Request, design: &Design) {
    let mut parts: BTreeMap<(&str, usize), usize> = BTreeMap::new();
    let (mut blanks, mut cuts) = (0, Vec::new());
    for added in design.steps.iter().flat_map(|step| &step.adds) {
        match added {
            Added::Part { id, place } => *parts.entry((id.as_str(), *place)).or_default() += 1,
            Added::Cut(kind) => {
                assert!(!cuts.contains(kind), "{name}: {kind:?} is cut twice");
                cuts.push(*kind);
            }
            Added::Blank => blanks += 1,
        }
    }
    let wanted: BTreeMap<(&str, usize), usize> = design
        .parts
        .iter()
        .flat_map(|part| (0..part.places.len()).map(|place| ((part.id.as_str(), place), 1)))
        .collect();
    let all = format!("{name}, {}", design.construction);
    assert_eq!(parts, wanted, "{all}: parts in the steps against parts of the design");
    assert_eq!(blanks, 1, "{all}: the blank");
    // What is cut out of a part by a step of the build is there to be cut.
    let has = |kind: VoidKind| {
        design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids).any(|void| void.kind == kind)
    };
    for kind in cuts {
        assert!(has(kind), "{all}: {kind:?} is cut, but no part has it");
    }
    // The last picture has everything; every picture shows something new.
    let stages = stages(request, design, (57.0, 40.0));
    assert!(!stages.is_empty(), "{all}: no picture");
    for stage in &stages {
        let area = stage.picture.area();
        assert!(area.width() <= 57.01 && area.height() <= 40.01, "{all}, step {}: {area:?}", stage.step);
        let heavy = stage.picture.items.iter().any(|item| {
            matches!(item, sledwright::drawing::Item::Path { line: sledwright::drawing::Line::Outline, .. })
        });
        assert!(heavy, "{all}: step {} shows nothing new", stage.step);
    }
}

#[test]
fn every_part_and_the_blank_get_into_their_places_once() {
    let mut requests = support::examples();
    for sizes in ["9 x 6 x 3/4", "2 x 2 x 1/2", "60 x 3 x 1/4", "14 x 12 x 1-1/2", "3' x 4 x 1"] {
        let request = sledwright::request::from_sizes(sizes, Unit::Inch);
        requests.push((sizes.to_owned(), request.unwrap_or_else(|report| panic!("{sizes}: {report:?}"))));
    }
    let mut count = 0;
    let mut constructions = std::collections::BTreeSet::new();
    for (name, request) in requests {
        for design in sledwright::solve::solve(&request).designs {
            if design.construction == "none" || !design.blank.thickness_known {
                continue;
            }
            complete(&name, &request, &design);
            constructions.insert(design.construction);
            count += 1;
        }
    }
    assert!(count > 70 && constructions.len() > 16, "{count} designs, {constructions:?}");
}

#[test]
fn the_blind_pocket_is_built_in_the_order_of_its_pictures() {
    let request = sledwright::request::from_sizes("9 x 6 x 3/4", Unit::Inch).unwrap();
    let designs = sledwright::solve::solve(&request).designs;
    let design = designs.iter().find(|design| design.construction == "blind-pocket").unwrap();
    let lines: Vec<String> = stages(&request, design, (57.0, 40.0)).into_iter().map(|stage| stage.line).collect();
    // Board first, then its pocket from the top, corners, hole from below, and the blank last.
    assert_eq!(
        lines,
        ["begin with A board", "cut the pocket", "relieve the corners", "bore the push-out hole", "lay in the blank"]
    );
}
