//! Drawn geometry measured on the sheets' PDF, as with a rule on paper, against the design at the scale
//! the sheet states.
//!
//! Nothing of the layout is used: the plan is found by the heavy line along the fence edge, its scale is the
//! one the sheet names, and where edges must lie follows from parts and voids alone.

#[path = "support/pdf.rs"]
mod pdf;
#[path = "support/mod.rs"]
mod support;

use pdf::{Line, Spot, Strokes, strokes};
use sledwright::design::{Design, Role, VoidKind};
use sledwright::geometry::Outline;
use sledwright::output::files::{self, Source};
use sledwright::request::{Paper, Projection, Request, SheetStyle, Standard};
use sledwright::solve::solve;
use support::examples;

/// What paper and design may differ by, mm.
const NEAR: f64 = 0.05;
/// Widths of lines, mm (a series of ISO 128-2).
const FENCE: f64 = 1.4;
const OUTLINE: f64 = 0.7;
const EDGE: f64 = 0.5;
const HIDDEN: f64 = 0.35;

/// Whether a line has this width, and is dashed only where that width may be.
fn is(line: &Line, width: f64) -> bool {
    (line.width - width).abs() < 0.01 && (!line.dashed || width == HIDDEN)
}

fn distance(p: Spot, a: Spot, b: Spot) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let t = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    libm::hypot(a.0 + t * dx - p.0, a.1 + t * dy - p.1)
}

/// A page: what it strokes, and its words in one line.
struct Page {
    strokes: Strokes,
    words: String,
}

fn pages(request: &Request, design: &Design) -> Vec<Page> {
    let files = files::render(&Source::new(request, design), &["pdf".to_owned()]).expect("rendered");
    let file = files.into_iter().find(|file| file.name == "sheets.pdf").expect("sheets");
    let document = lopdf::Document::load_mem(&file.bytes).expect("a PDF");
    let page = |(number, id)| {
        let text = document.extract_text(&[number]).expect("text");
        Page { strokes: strokes(&document, id), words: text.split_whitespace().collect::<Vec<_>>().join(" ") }
    };
    document.get_pages().into_iter().map(page).collect()
}

/// Corners of an outline in mm of the carrier, places along one with arcs; none of a disc.
fn corners(outline: &Outline) -> Vec<Spot> {
    let own = |p: &sledwright::geometry::Point| (p.x.to_mm(), p.y.to_mm());
    match outline {
        Outline::Rect(rect) => rect.corners().iter().map(own).collect(),
        Outline::Polygon(points) => points.iter().map(own).collect(),
        Outline::Path(path) => path.flattened(0.01),
        Outline::Disc { .. } => Vec::new(),
    }
}

/// The plan or the bed face on a page: origin, scales along and across (negative where the fence is on top).
struct View {
    origin: Spot,
    along: f64,
    across: f64,
}

/// Views with a fence edge, measured: the heavy level line, and the carrier's outline over or under it.
fn views(page: &Page, design: &Design) -> Vec<View> {
    let (length, width) = (design.carrier.length.to_mm(), design.carrier.width.to_mm());
    let heavy = page.strokes.lines.iter().filter(|line| is(line, FENCE) && (line.a.1 - line.b.1).abs() < 0.01);
    heavy
        .map(|fence| {
            let (x0, x1) = (fence.a.0.min(fence.b.0), fence.a.0.max(fence.b.0));
            let y = fence.a.1;
            // The trail end: an upright line of the outline from the fence edge's end.
            let ends = |line: &&Line| {
                is(line, OUTLINE)
                    && (line.a.0 - x1).abs() < 0.01
                    && (line.b.0 - x1).abs() < 0.01
                    && ((line.a.1 - y).abs() < 0.01 || (line.b.1 - y).abs() < 0.01)
            };
            let trail = page.strokes.lines.iter().find(ends).expect("the trail end");
            let reach = if (trail.a.1 - y).abs() < 0.01 { trail.b.1 - y } else { trail.a.1 - y };
            View { origin: (x0, y), along: (x1 - x0) / length, across: reach / width }
        })
        .collect()
}

/// How many times widths are drawn larger, as the sheet says of a view, else 1.
fn times(words: &str, after: &[&str], what: &str) -> f64 {
    let Some(from) = after.iter().find_map(|after| words.find(&format!("{after}, 1:"))) else {
        panic!("no {after:?} in {words}")
    };
    let near: String = words[from..].chars().take(60).collect();
    near.find(what).map_or(1.0, |at| {
        let digits: String = near[at + what.len()..].chars().take_while(char::is_ascii_digit).collect();
        digits.parse().expect("a whole number")
    })
}

/// The scale in the title block.
fn scale(words: &str) -> f64 {
    let at = words.find("SCALE 1:").expect("a scale");
    let digits: String = words[at + 8..].chars().take_while(char::is_ascii_digit).collect();
    1.0 / digits.parse::<f64>().expect("a whole number")
}

/// Compares one set of sheets; returns how many edges were found.
fn compare(name: &str, request: &Request, design: &Design) -> usize {
    let mut found = 0;
    for page in pages(request, design) {
        let views = views(&page, design);
        if views.is_empty() {
            continue;
        }
        let stated = scale(&page.words);
        for view in views {
            let plan = view.across > 0.0;
            let exaggerated =
                times(&page.words, if plan { &["from above", "CARVING DOWN"] } else { &["bed face"] }, "WIDTHS x");
            let (length, width) = (design.carrier.length.to_mm(), design.carrier.width.to_mm());
            assert!((view.along - stated).abs() * length < NEAR, "{name}: along {} at {stated}", view.along);
            let across = stated * exaggerated;
            assert!((view.across.abs() - across).abs() * width < NEAR, "{name}: across {} at {across}", view.across);
            found += 2;
            let sign = view.across.signum();
            let paper = |p: Spot| (view.origin.0 + p.0 * stated, view.origin.1 + sign * p.1 * across);
            let on = |p: Spot, widths: &[f64]| {
                let p = paper(p);
                let lines = page.strokes.lines.iter().filter(|line| widths.iter().any(|width| is(line, *width)));
                lines.map(|line| distance(p, line.a, line.b)).fold(f64::INFINITY, f64::min)
            };
            let mut check = |outline: &Outline, widths: &[f64], what: &str| {
                let corners = corners(outline);
                for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
                    for share in [0.0, 0.3, 0.5, 1.0] {
                        let p = (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1));
                        let off = on(p, widths);
                        assert!(off < NEAR, "{name}: {what} at {p:?} is {off} mm off");
                        found += 1;
                    }
                }
                if let (Outline::Disc { centre, diameter }, true) = (outline, exaggerated == 1.0) {
                    let (x, y, r) = (centre.x.to_mm(), centre.y.to_mm(), diameter.to_mm() / 2.0);
                    for (dx, dy) in [(r, 0.0), (0.0, r), (-r, 0.0), (0.0, -r)] {
                        let p = paper((x + dx, y + dy));
                        let ends =
                            page.strokes.curved.iter().filter(|(_, w)| widths.iter().any(|v| (v - w).abs() < 0.01));
                        let round = ends.map(|(q, _)| libm::hypot(q.0 - p.0, q.1 - p.1)).fold(f64::INFINITY, f64::min);
                        // A round is drawn as arcs, or as chords with corners at these places.
                        let off = round.min(on((x + dx, y + dy), widths));
                        assert!(off < NEAR, "{name}: {what} {p:?} is {off} mm off");
                        found += 1;
                    }
                }
            };
            let places = design.parts.iter().flat_map(|part| part.places.iter().map(move |place| (part, place)));
            for (part, place) in places {
                if plan {
                    let clipped = place.voids.iter().any(|void| void.kind == VoidKind::ClippedCorner);
                    if !clipped {
                        check(&place.outline, &[FENCE, OUTLINE, EDGE, HIDDEN], &part.name);
                    }
                    for void in place.voids.iter().filter(|void| void.kind == VoidKind::Pocket) {
                        check(&void.outline, &[EDGE, HIDDEN, OUTLINE, FENCE], "pocket");
                    }
                } else {
                    for void in
                        place.voids.iter().filter(|void| void.kind == VoidKind::PushOut && part.role != Role::Web)
                    {
                        if void.z0.to_mm() <= 0.0 {
                            check(&void.outline, &[EDGE], "push-out hole");
                        }
                    }
                }
            }
            if plan && design.construction != "none" {
                check(&design.blank.outline, &[HIDDEN], "blank");
            }
        }
    }
    found
}

#[test]
fn edges_measured_on_paper_lie_where_the_design_puts_them() {
    let modes = [
        (Standard::Us, Projection::ThirdAngle, Paper::Letter),
        (Standard::Iso, Projection::FirstAngle, Paper::A4),
        (Standard::Iso, Projection::FirstAngle, Paper::A1),
    ];
    for (standard, projection, paper) in modes {
        let mut found = 0;
        for (name, mut request) in examples() {
            request.sheet = SheetStyle { standard, projection, paper, ..request.sheet };
            if let Some(design) = solve(&request).designs.first() {
                let here = compare(&format!("{name} on {paper:?}"), &request, design);
                assert!(here > 0 || design.construction == "none", "{name} on {paper:?}: nothing measured");
                found += here;
            }
        }
        assert!(found > 1000, "{found} places on {paper:?}");
    }
}
