//! Sheet modes: projection, scales, paper, title block.

use crate::support::examples;
use std::sync::LazyLock;

use sledwright::design::Design;
use sledwright::drawing::{At, Item, Line, Page, Text};
use sledwright::request::{Paper, Projection, Request, SheetStyle, Standard};
use sledwright::sheet::sheets;
use sledwright::solve::solve;

fn texts(page: &Page) -> impl Iterator<Item = &Text> {
    page.picture.items.iter().filter_map(|item| if let Item::Text(text) = item { Some(text) } else { None })
}

fn place(page: &Page, words: &str) -> Option<At> {
    texts(page).find(|text| text.text == words).map(|text| text.at)
}

const MODES: [(Standard, Projection, Paper); 6] = [
    (Standard::Us, Projection::ThirdAngle, Paper::Letter),
    (Standard::Iso, Projection::FirstAngle, Paper::A4),
    (Standard::Iso, Projection::FirstAngle, Paper::A2),
    (Standard::Us, Projection::ThirdAngle, Paper::P22x34),
    (Standard::Iso, Projection::ThirdAngle, Paper::A3),
    (Standard::Us, Projection::FirstAngle, Paper::P11x17),
];

/// The best design of every other example.
static DESIGNS: LazyLock<Vec<(String, Request, Design)>> = LazyLock::new(|| {
    let best = |(name, request): (String, Request)| {
        let design = solve(&request).designs.into_iter().next()?;
        Some((name, request, design))
    };
    examples().into_iter().step_by(2).filter_map(best).collect()
});

/// Those designs on a paper, drawn in a mode.
fn drawn(standard: Standard, projection: Projection, paper: Paper) -> Vec<(String, Vec<Page>)> {
    let sheet = |(name, request, design): &(String, Request, Design)| {
        let sheet = SheetStyle { standard, projection, paper, ..request.sheet.clone() };
        (name.clone(), sheets(&Request { sheet, ..request.clone() }, design))
    };
    DESIGNS.iter().map(sheet).collect()
}

#[test]
fn views_stand_where_the_projection_puts_them() {
    // ISO 5456-2. Front view: section A-A, seen from the fence. Third angle: the view from above stands above
    // it, from below below, from the right (the trail end) at the right. First angle: each at the other side.
    let (mut above, mut aside, mut below) = (0, 0, 0);
    for (standard, projection, paper) in MODES {
        let third = projection == Projection::ThirdAngle;
        for (name, pages) in drawn(standard, projection, paper) {
            for page in &pages {
                let Some(front) = place(page, "SECTION A-A") else { continue };
                if let Some(plan) = place(page, "PLAN") {
                    assert_eq!(plan.y > front.y, third, "{name} {projection:?}: plan {plan:?}, front {front:?}");
                    above += 1;
                }
                if let Some(bed) = place(page, "SEEN FROM BELOW") {
                    assert_eq!(bed.y < front.y, third, "{name} {projection:?}: bed face {bed:?}, front {front:?}");
                    below += 1;
                }
                if let Some(across) = place(page, "SECTION B-B") {
                    assert_eq!(across.x > front.x, third, "{name} {projection:?}: across {across:?}, front {front:?}");
                    aside += 1;
                }
            }
        }
    }
    assert!(above > 30 && aside > 30 && below > 10, "{above} {aside} {below}");
}

#[test]
fn views_one_above_the_other_have_their_lead_ends_in_line() {
    let mut compared = 0;
    for (name, pages) in drawn(Standard::Us, Projection::ThirdAngle, Paper::P22x34) {
        for page in &pages {
            // The heavy line of the fence starts at the lead end; so does the word over the section.
            let fences = page.picture.items.iter().filter_map(|item| match item {
                Item::Path { points, line: Line::Fence, .. } => points.first().map(|start| start.x),
                _ => None,
            });
            let starts: Vec<f64> = fences.collect();
            let over = texts(page).filter(|text| text.text == "LEAD" && place(page, "SECTION A-A").is_some());
            for lead in over.map(|text| text.at.x) {
                assert!(starts.iter().all(|start| (start - lead).abs() < 1e-6), "{name}: {starts:?}, {lead}");
                compared += starts.len();
            }
        }
    }
    assert!(compared > 5, "{compared}");
}

#[test]
fn every_scale_is_a_standard_one_and_named_at_each_view() {
    // ISO 5455: 1:1, 1:2, 1:5 and their tenths; United States practice: halves of halves.
    let iso = ["1:1", "1:2", "1:5", "1:10", "1:20", "1:50", "1:100"];
    let us = ["1:1", "1:2", "1:4", "1:8", "1:16", "1:32", "1:64"];
    for (standard, projection, paper) in MODES {
        let scales = if standard == Standard::Iso { iso } else { us };
        for (name, pages) in drawn(standard, projection, paper) {
            for page in &pages {
                for view in ["PLAN", "SECTION A-A", "SECTION B-B", "SECTION C-C", "SEEN FROM BELOW"] {
                    let Some(at) = place(page, view) else { continue };
                    // Beside the title or under it.
                    let named = texts(page).any(|text| {
                        (text.at.x - at.x).abs() < 90.0
                            && (text.at.y - at.y).abs() < 8.0
                            && text.text.split([' ', ',']).any(|word| scales.contains(&word))
                    });
                    assert!(named, "{name}, {view} on {paper:?}");
                }
            }
        }
    }
}

#[test]
fn larger_paper_takes_fewer_sheets() {
    let papers = [Paper::A4, Paper::A3, Paper::A1];
    let mut before: Option<usize> = None;
    for paper in papers {
        let count: usize =
            drawn(Standard::Iso, Projection::FirstAngle, paper).iter().map(|(_, pages)| pages.len()).sum();
        assert!(before.is_none_or(|before| count < before), "{count} sheets on {paper:?}, before {before:?}");
        before = Some(count);
    }
}

#[test]
fn the_symbol_of_the_projection_is_the_right_one() {
    // ISO 5456-2: a cut-off cone with its small end at the left, and its view from the left, in which both
    // rims are seen: at the right of the cone in first angle, at its left in third angle.
    for (standard, projection, paper) in MODES {
        let (_, pages) = drawn(standard, projection, paper).remove(0);
        for page in &pages {
            let cones: Vec<&Vec<At>> = page
                .picture
                .items
                .iter()
                .filter_map(|item| match item {
                    Item::Path { points, closed: true, line: Line::Thin } if points.len() == 4 => Some(points),
                    _ => None,
                })
                .filter(|points| {
                    let side =
                        |x: f64| points.iter().filter(|p| (p.x - x).abs() < 1e-9).map(|p| p.y).collect::<Vec<_>>();
                    let height = |ys: Vec<f64>| ys.iter().fold(0.0_f64, |most, y| most.max((y - ys[0]).abs()));
                    let (left, right) =
                        points.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), p| (a.min(p.x), b.max(p.x)));
                    (2.0 * height(side(left)) - height(side(right))).abs() < 1e-9
                })
                .collect();
            let [cone] = cones.as_slice() else { panic!("{} cones on {}", cones.len(), page.title) };
            let rims: Vec<(At, f64)> = page
                .picture
                .items
                .iter()
                .filter_map(|item| match item {
                    Item::Circle { centre, radius, line: Line::Thin } => Some((*centre, *radius)),
                    _ => None,
                })
                .filter(|(centre, _)| (centre.x - cone[0].x).abs() < 25.0 && (centre.y - cone[0].y).abs() < 6.0)
                .collect();
            let [(one, large), (other, small)] = rims.as_slice() else { panic!("{rims:?}") };
            assert_eq!(one, other);
            assert!((large - 2.0 * small).abs() < 1e-9);
            assert_eq!(one.x > cone[0].x, projection == Projection::FirstAngle, "{projection:?}");
        }
    }
}

#[test]
fn the_title_block_says_what_the_job_says_and_other_units_can_be_left_out() {
    let (_, mut request) = examples().into_iter().find(|(name, _)| name == "gull-plaque.toml").unwrap();
    let design = solve(&request).designs.remove(0);
    let said = |request: &Request| {
        let pages = sheets(request, &design);
        pages.iter().flat_map(|page| texts(page).map(|text| text.text.clone()).collect::<Vec<_>>()).collect::<Vec<_>>()
    };
    let plain = said(&request);
    assert!(plain.iter().any(|text| text.ends_with(" mm)")), "{plain:?}");
    // The fields ISO 7200 asks for: owner, number, date, sheet, title, approval, creator.
    for label in ["OWNER", "NO.", "DATE", "SHEET", "JOB", "APPROVED", "DRAWN"] {
        assert!(plain.iter().any(|text| text == label), "{label}");
    }
    request.sheet.other_unit = false;
    request.sheet.owner = Some("Harbour museum gift workshop".to_owned());
    request.sheet.number = Some("C-014".to_owned());
    request.sheet.drawn_by = Some("Workshop".to_owned());
    let filled = said(&request);
    assert!(!filled.iter().any(|text| text.ends_with(" mm)")), "{filled:?}");
    for text in ["Harbour museum gift workshop", "C-014", "Workshop"] {
        assert!(filled.iter().any(|other| other == text), "{text}");
    }
}
