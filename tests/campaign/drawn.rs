//! The sheets of random jobs, of every example and of extreme shapes, on every paper and in both modes:
//! nothing overlaps, nothing lies outside the frame, nothing a builder needs is missing, told twice or wrong.

use std::collections::BTreeSet;
use std::sync::Mutex;

use sledwright::design::Design;
use sledwright::drawing::{At, Item, Line, Page, Picture};
use sledwright::job::CONSTRUCTION_NAMES;
use sledwright::length::Unit;
use sledwright::request::{Paper, Projection, Request, SheetStyle, Standard, from_sizes};
use sledwright::sheet::{overlaps, sheets};
use sledwright::solve::solve;
use sledwright::views::{self, Section};

use crate::support::examples;
use crate::{Faults, jobs, rounds, told};

/// Random jobs for which a carrier is found.
const DRAWN: usize = 300;

/// Carriers as long, as narrow, as square and as small as they get.
const EXTREMES: [&str; 9] = [
    "144 x 2 x 3/4",
    "144 x 11 x 1",
    "90 x 1/2 x 1/2",
    "1-1/2 x 1-1/2 x 1/2",
    "3 x 11 x 1/4",
    "14 x 12 x 1-1/2",
    "12-1/3 x 5-7/64 x .752",
    "3' x 4 x 1",
    "60 x 3 x 1/4",
];

fn requests() -> Vec<(String, Request)> {
    let mut requests: Vec<(String, Request)> = Vec::new();
    let modes = [
        (Standard::Us, Projection::ThirdAngle, Paper::Letter),
        (Standard::Iso, Projection::FirstAngle, Paper::A4),
        (Standard::Iso, Projection::ThirdAngle, Paper::A2),
        (Standard::Us, Projection::FirstAngle, Paper::P11x17),
        (Standard::Us, Projection::ThirdAngle, Paper::P34x44),
        (Standard::Iso, Projection::FirstAngle, Paper::A0),
    ];
    let extremes = EXTREMES.iter().filter_map(|sizes| Some(((*sizes).to_owned(), from_sizes(sizes, Unit::Inch).ok()?)));
    for (name, request) in examples().into_iter().chain(extremes) {
        for (place, (standard, projection, paper)) in modes.into_iter().enumerate() {
            // Every one on what an office prints on, one in three on each of the others.
            if place > 1 && (name.len() + place) % 3 > 0 {
                continue;
            }
            let sheet = SheetStyle { standard, projection, paper, ..request.sheet.clone() };
            requests.push((format!("{name} on {paper:?}"), Request { sheet, ..request.clone() }));
        }
    }
    requests.extend((0..700).map(|number| (format!("job {number}"), jobs::job(number))));
    requests.extend((0..60).map(|number| (format!("round {number}"), rounds::job(number))));
    requests
}

#[test]
fn sheets_of_every_kind_are_sound_and_complete() {
    let requests = requests();
    let threads = std::thread::available_parallelism().map_or(2, std::num::NonZero::get).min(8);
    let found = Mutex::new((Faults::default(), BTreeSet::new(), 0usize));
    std::thread::scope(|scope| {
        for thread in 0..threads {
            let (requests, found) = (&requests, &found);
            scope.spawn(move || {
                for (name, request) in requests.iter().skip(thread).step_by(threads) {
                    // The best, and one of another construction.
                    let designs = solve(request).designs;
                    let Some(first) = designs.first() else { continue };
                    let other = designs.iter().find(|design| design.construction != first.construction);
                    for design in std::iter::once(first).chain(other) {
                        let pages = sheets(request, design);
                        let mut wrong: Vec<String> = pages.iter().flat_map(page_faults).collect();
                        wrong.extend(views(request, design).iter().flat_map(crossings));
                        wrong.extend(told::faults(request, design, &pages));
                        let mut found = found.lock().expect("no thread panics");
                        found.1.insert(design.construction);
                        found.2 += 1;
                        for fault in wrong {
                            let kind = fault.split(':').next().unwrap_or_default();
                            let kind = format!("{kind}, {}", design.construction);
                            found.0.note(kind, || format!("{name}, {}: {fault}", request.sheet.paper.name()));
                        }
                    }
                }
            });
        }
    });
    let (faults, constructions, drawn) = found.into_inner().expect("no thread panics");
    assert!(faults.0.is_empty(), "{drawn} sets of sheets, faults:\n{}", faults.told());
    assert!(drawn > DRAWN, "only {drawn} sets of sheets");
    let missing: Vec<_> = CONSTRUCTION_NAMES.iter().filter(|name| !constructions.contains(*name)).collect();
    assert!(missing.is_empty(), "never drawn: {missing:?}");
}

/// What a page has overlapping or outside, by kind.
fn page_faults(page: &Page) -> Vec<String> {
    let short = |fault: String| {
        let kind = ["overlaps", "struck", "outside"].into_iter().find(|kind| fault.contains(kind)).unwrap_or("other");
        format!("{kind}: {fault}, {}", page.title)
    };
    overlaps(page).into_iter().map(short).collect()
}

/// The views of a design that carry dimensions, at every scale at which a sheet of it can be read.
fn views(request: &Request, design: &Design) -> Vec<(&'static str, Picture)> {
    let mut all: Vec<(&'static str, Picture)> = Vec::new();
    let scales = views::scales(request.sheet.standard);
    let long = design.carrier.length.to_mm();
    for scale in scales.iter().filter(|scale| (100.0..420.0).contains(&(long * scale.ratio))) {
        all.push(("plan", views::plan(request, design, *scale)));
        if design.construction != "none" && design.blank.thickness_known {
            all.push(("section along", views::section(request, design, Section::Along, *scale)));
            all.push(("section across", views::section(request, design, Section::Across, *scale)));
        }
        if design.construction != "none" && views::has_bed_face(request, design) {
            all.push(("bed face", views::bed_face(request, design, *scale)));
        }
    }
    all.extend(views::part_figures(request, design).into_iter().map(|figure| ("part", figure)));
    all.extend(views::detail(request, design).into_iter().map(|detail| ("detail", detail)));
    all
}

/// Dimension lines that cross one another (ISO 129-1, 5.3 and ASME Y14.5, 4.3: they shall not; from memory).
/// Theirs are the thin lines that end in an arrowhead; what only touches does not cross.
fn crossings((name, picture): &(&str, Picture)) -> Vec<String> {
    const TOUCH: f64 = 0.05;
    let items = picture.items.iter().enumerate();
    let tips: Vec<At> = picture
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Solid { points, .. } if points.len() == 3 => points.first().copied(),
            _ => None,
        })
        .collect();
    let tipped = |p: &At| tips.iter().any(|tip| libm::hypot(tip.x - p.x, tip.y - p.y) < TOUCH);
    let lines: Vec<(usize, At, At)> = items
        .filter_map(|(path, item)| match item {
            Item::Path { points, closed: false, line: Line::Thin }
                if points.first().is_some_and(tipped) || points.last().is_some_and(tipped) =>
            {
                Some((path, points))
            }
            _ => None,
        })
        .flat_map(|(path, points)| points.windows(2).map(move |pair| (path, pair[0], pair[1])))
        .collect();
    let mut found = Vec::new();
    for (place, (path, a, b)) in lines.iter().enumerate() {
        for (other, c, d) in lines.iter().skip(place + 1).filter(|(other, ..)| other != path) {
            let (ux, uy, vx, vy) = (b.x - a.x, b.y - a.y, d.x - c.x, d.y - c.y);
            let cross = ux * vy - uy * vx;
            let (own, its) = (libm::hypot(ux, uy), libm::hypot(vx, vy));
            if cross.abs() < 1e-6 * own * its {
                continue;
            }
            let along = ((c.x - a.x) * vy - (c.y - a.y) * vx) / cross * own;
            let across = ((c.x - a.x) * uy - (c.y - a.y) * ux) / cross * its;
            let within = |at: f64, length: f64| at > TOUCH && at < length - TOUCH;
            if within(along, own) && within(across, its) {
                let (x, y) = (a.x + ux * along / own, a.y + uy * along / own);
                found.push(format!("crossed: dimension lines at {x:.1}, {y:.1} of {name}, items {path} and {other}"));
            }
        }
    }
    found
}
