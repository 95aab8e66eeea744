//! The full-size template, read back from its PDF and put together again, against the design.
//!
//! Nothing of the layout is used: each page is placed by the crosses found on it and the row and column
//! printed on it, as a person would do. What must be found is sampled from the plain outlines of parts
//! and voids, each by itself.

use std::collections::BTreeMap;

use sledwright::design::{Design, Part, Place, Role, VoidKind};
use sledwright::geometry::path::from_mm;
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::Length;
use sledwright::output::files::{self, Source};
use sledwright::request::{Paper, Request, Tool};
use sledwright::solve::solve;

#[path = "support/pdf.rs"]
mod pdf;
mod support;
use pdf::{Line, Spot, strokes};
use support::examples;

/// What paper and design may differ by, mm.
const NEAR: f64 = 0.05;
/// Widths of the lines to cut along and of the thin ones, mm (a series of ISO 128-2).
const CUT: f64 = 0.35;
const THIN: f64 = 0.25;

/// An example and everything the solver finds for it, best first.
fn example(name: &str) -> (Request, Vec<Design>) {
    let (_, request) = examples().into_iter().find(|example| example.0 == name).expect("an example");
    let designs = solve(&request).designs;
    (request, designs)
}

fn template_of(request: &Request, design: &Design) -> Option<Vec<u8>> {
    let files = files::render(&Source::new(request, design), &["template".to_owned()]).expect("rendered");
    files.into_iter().find(|file| file.name == "template.pdf").map(|file| file.bytes)
}

trait Measured {
    fn is(&self, width: f64) -> bool;
    fn middle(&self) -> Spot;
    fn extent(&self) -> Spot;
}

impl Measured for Line {
    fn is(&self, width: f64) -> bool {
        !self.dashed && (self.width - width).abs() < 0.01
    }

    fn middle(&self) -> Spot {
        ((self.a.0 + self.b.0) / 2.0, (self.a.1 + self.b.1) / 2.0)
    }

    /// Length along x and along y.
    fn extent(&self) -> Spot {
        ((self.b.0 - self.a.0).abs(), (self.b.1 - self.a.1).abs())
    }
}

/// The lines of a page. Nothing on a template needs a curve.
fn lines(document: &lopdf::Document, page: lopdf::ObjectId) -> Vec<Line> {
    let found = strokes(document, page);
    assert!(found.curved.is_empty(), "{:?}", found.curved);
    found.lines
}

/// Middles of the registration crosses: a level and an upright thin line of 10 mm through one point.
fn crosses(lines: &[Line]) -> Vec<Spot> {
    let near = |a: f64, b: f64| (a - b).abs() < 0.01;
    let arms = |level: bool| {
        lines.iter().filter(move |line| {
            let (x, y) = line.extent();
            let (long, short) = if level { (x, y) } else { (y, x) };
            line.is(THIN) && near(long, 10.0) && near(short, 0.0)
        })
    };
    let mut found: Vec<Spot> = arms(true)
        .map(Line::middle)
        .filter(|p| arms(false).map(Line::middle).any(|q| near(p.0, q.0) && near(p.1, q.1)))
        .collect();
    found.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)));
    found
}

/// A page of a part, put in its place.
struct Sheet {
    part: String,
    row: usize,
    column: usize,
    /// What lies between its crosses, mm of the part.
    cell: (Spot, Spot),
    /// Lines in mm of the part.
    lines: Vec<Line>,
}

/// Row, column and part letter from a page's title such as `A-B2  PART A, board`.
fn title(text: &str) -> Option<(usize, usize, String)> {
    let before = text.split("PART ").next()?;
    let name = before.split_whitespace().last()?;
    let name = name.split_once('-')?.1;
    let letters: String = name.chars().take_while(char::is_ascii_uppercase).collect();
    let column: usize = name.get(letters.len()..)?.parse().ok()?;
    let row = letters.chars().fold(0, |row, c| row * 26 + (c as usize - 'A' as usize + 1)) - 1;
    let part = text.split("PART ").nth(1)?.split(',').next()?.to_owned();
    Some((row, column - 1, part))
}

/// Every page of a template placed by its crosses. Checks the bars of each page on the way.
fn reassembled(bytes: &[u8], job: &str) -> Vec<Sheet> {
    let document = lopdf::Document::load_mem(bytes).expect("a PDF");
    let preferences = document.catalog().unwrap().get(b"ViewerPreferences").unwrap().as_dict().unwrap();
    assert_eq!(preferences.get(b"PrintScaling").unwrap().as_name().unwrap(), b"None");
    let mut sheets = Vec::new();
    for (number, page) in document.get_pages() {
        let lines = lines(&document, page);
        // 4 in = 101.6 mm.
        for length in [100.0, 101.6] {
            let is = |along: f64, across: f64| (along - length).abs() < 0.01 && across < 0.01;
            assert!(lines.iter().any(|line| is(line.extent().0, line.extent().1)), "page {number}: level {length}");
            assert!(lines.iter().any(|line| is(line.extent().1, line.extent().0)), "page {number}: upright {length}");
        }
        let text = document.extract_text(&[number]).expect("text");
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains("never 'fit to page'") && flat.contains(job), "{flat}");
        let Some((row, column, part)) = title(&flat) else {
            assert!(flat.contains("PAGE MAP"), "{flat}");
            continue;
        };
        let marks = crosses(&lines);
        assert_eq!(marks.len(), 4, "page {number}: {marks:?}");
        let (near, far) = (marks[0], marks[3]);
        let step = (far.0 - near.0, far.1 - near.1);
        let shift = (column as f64 * step.0 - near.0, row as f64 * step.1 - near.1);
        let place = |p: Spot| (p.0 + shift.0, p.1 + shift.1);
        let lines = lines.iter().map(|line| Line { a: place(line.a), b: place(line.b), ..*line }).collect();
        let cell = (place(near), place(far));
        sheets.push(Sheet { part, row, column, cell, lines });
    }
    sheets
}

/// An outline by itself, in mm from a part's corner.
struct Shape {
    outline: Outline,
    bounds: Rect,
    origin: Spot,
}

impl Shape {
    fn corners(&self) -> Vec<Spot> {
        let own = |p: &sledwright::geometry::Point| (p.x.to_mm() - self.origin.0, p.y.to_mm() - self.origin.1);
        match &self.outline {
            Outline::Rect(rect) => rect.corners().iter().map(own).collect(),
            Outline::Polygon(points) => points.iter().map(own).collect(),
            Outline::Disc { .. } | Outline::Path(_) => Vec::new(),
        }
    }

    fn sides(&self) -> Vec<(Spot, Spot)> {
        let corners = self.corners();
        corners.iter().copied().zip(corners.iter().copied().cycle().skip(1)).collect()
    }

    fn round(&self) -> Option<(Spot, f64)> {
        match &self.outline {
            Outline::Disc { centre, diameter } => {
                Some(((centre.x.to_mm() - self.origin.0, centre.y.to_mm() - self.origin.1), diameter.to_mm() / 2.0))
            }
            _ => None,
        }
    }

    /// How far outside its box a point lies at least: its border is no nearer.
    fn beyond(&self, p: Spot) -> f64 {
        let bounds = &self.bounds;
        let (x, y) = (p.0 + self.origin.0, p.1 + self.origin.1);
        let aside = (bounds.x0.to_mm() - x).max(x - bounds.x1.to_mm());
        aside.max(bounds.y0.to_mm() - y).max(y - bounds.y1.to_mm())
    }

    /// Distance to the border, positive inside.
    fn depth(&self, p: Spot) -> f64 {
        if let Some((c, r)) = self.round() {
            return r - libm::hypot(p.0 - c.0, p.1 - c.1);
        }
        let off = self.sides().iter().map(|side| distance(p, side.0, side.1)).fold(f64::INFINITY, f64::min);
        let crossings = self
            .sides()
            .into_iter()
            .filter(|(a, b)| (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (b.0 - a.0) * (p.1 - a.1) / (b.1 - a.1));
        if crossings.count() % 2 == 1 { off } else { -off }
    }

    /// Points of the border about half a millimetre apart.
    fn border(&self) -> Vec<Spot> {
        if let Some((c, r)) = self.round() {
            let n = (r * 12.0).ceil() as u32;
            let turn = |k: u32| f64::from(k) / f64::from(n) * std::f64::consts::TAU;
            return (0..n).map(|k| (c.0 + r * libm::cos(turn(k)), c.1 + r * libm::sin(turn(k)))).collect();
        }
        let sides = self.sides().into_iter();
        sides
            .flat_map(|(a, b)| {
                let n = (distance(a, b, b) * 2.0).ceil() as u32;
                (0..=n).map(move |k| {
                    let share = f64::from(k) / f64::from(n);
                    (a.0 + share * (b.0 - a.0), a.1 + share * (b.1 - a.1))
                })
            })
            .collect()
    }
}

/// Distance of a point from a straight piece of line.
fn distance(p: Spot, a: Spot, b: Spot) -> f64 {
    let (d, e) = ((b.0 - a.0, b.1 - a.1), (p.0 - a.0, p.1 - a.1));
    let long = d.0 * d.0 + d.1 * d.1;
    let share = if long == 0.0 { 0.0 } else { ((d.0 * e.0 + d.1 * e.1) / long).clamp(0.0, 1.0) };
    libm::hypot(e.0 - share * d.0, e.1 - share * d.1)
}

/// An outline with the arcs of a path as chords that leave them by less than can be measured here.
fn straight(outline: &Outline) -> Outline {
    match outline {
        Outline::Path(path) => Outline::Polygon(path.flattened(0.005).into_iter().map(from_mm).collect()),
        other => other.clone(),
    }
}

/// The part and what is cut from its top.
fn shapes(place: &Place) -> (Shape, Vec<Shape>) {
    let bounds = place.outline.bounds();
    let origin = (bounds.x0.to_mm(), bounds.y0.to_mm());
    let voids = place.voids.iter().filter(|void| void.kind != VoidKind::PushOut);
    let shape = |outline: &Outline| {
        let outline = straight(outline);
        Shape { bounds: outline.bounds(), outline, origin }
    };
    let voids = voids.map(|void| shape(&void.outline)).collect();
    (shape(&place.outline), voids)
}

/// How deep in the wood a point lies: nothing on its border, negative in the air.
fn in_wood(p: Spot, part: &Shape, voids: &[Shape]) -> f64 {
    // Of very many voids few are near.
    voids.iter().fold(
        part.depth(p),
        |least, void| {
            if void.beyond(p) >= least { least } else { least.min(-void.depth(p)) }
        },
    )
}

/// Whether a point on the border of a shape is on the border of the wood: there is none at it, and some
/// beside it. (A clipped corner also runs along the part's own edge, where nothing is left.)
fn borders_wood(p: Spot, part: &Shape, voids: &[Shape]) -> bool {
    let beside = |k: u32| {
        let turn = f64::from(k) / 16.0 * std::f64::consts::TAU;
        (p.0 + 0.01 * libm::cos(turn), p.1 + 0.01 * libm::sin(turn))
    };
    in_wood(p, part, voids).abs() < 1e-6 && (0..16).any(|k| in_wood(beside(k), part, voids) > 0.0)
}

/// Compares the sheets of one place of a part: every line to cut on them is the part's, and all of the
/// part that lies between the crosses of a page, and every round wherever it lies, is drawn.
fn compare(what: &str, sheets: &[&Sheet], place: &Place) {
    let (part, voids) = shapes(place);
    let cuts: Vec<Line> = sheets.iter().flat_map(|sheet| &sheet.lines).filter(|line| line.is(CUT)).copied().collect();
    assert!(!cuts.is_empty(), "{what}: nothing to cut");
    for line in &cuts {
        for p in [line.a, line.middle(), line.b] {
            let off = in_wood(p, &part, &voids);
            assert!(off.abs() < NEAR, "{what}: a line runs at {p:?}, {off} mm off the border");
        }
    }
    for shape in std::iter::once(&part).chain(&voids) {
        for p in shape.border().into_iter().filter(|p| borders_wood(*p, &part, &voids)) {
            let between =
                |cell: &(Spot, Spot)| (cell.0.0..=cell.1.0).contains(&p.0) && (cell.0.1..=cell.1.1).contains(&p.1);
            if shape.round().is_some() || sheets.iter().any(|sheet| between(&sheet.cell)) {
                let off = cuts.iter().map(|line| distance(p, line.a, line.b)).fold(f64::INFINITY, f64::min);
                assert!(off < NEAR, "{what}: the border at {p:?} is not drawn, nearest line {off} mm off");
            }
        }
    }
}

/// Whether a place has anything a fence or a stop cannot saw.
fn on_paper(place: &Place) -> bool {
    !matches!(place.outline, Outline::Rect(_)) || place.voids.iter().any(|void| void.kind == VoidKind::Pocket)
}

/// The places of a part that have pages of their own. Wedges that stand at an angle in the carrier are drawn
/// as they lie on the bench, once for both, 1 in 8, the side to the blank below: the push points down the page, and
/// the thin end is where the wedge is driven to. With the blank to the left of the marks, their way is to the left.
fn places(design: &Design, part: &Part) -> Vec<Place> {
    if part.role != Role::CleatWedge {
        let paper = part.places.iter().filter(|place| on_paper(place) && !part.role.stands_at_angle());
        // Wedges of a pair and keepers are alike: one page does for both.
        let once = matches!(part.role, Role::FarWedge | Role::TrailWedge | Role::Keeper);
        return paper.take(if once { 1 } else { usize::MAX }).cloned().collect();
    }
    let (zero, long, thick) = (Length::ZERO, part.size.length, part.size.width);
    let thin = thick - Length::from_ticks(long.ticks() / 8);
    let (_, way) = design.driven().expect("a wedge");
    let push = design.contacts.iter().find(|contact| contact.part == Role::CleatWedge).expect("its contact").push();
    let to_the_left = way.0 * push.1 - way.1 * push.0 > 0.0;
    let (left, right) = if to_the_left { (thin, thick) } else { (thick, thin) };
    let corners = [(zero, zero), (long, zero), (long, right), (zero, left)];
    let outline = Outline::Polygon(corners.map(|(x, y)| Point::new(x, y)).to_vec());
    part.places.first().map(|place| Place { outline, ..place.clone() }).into_iter().collect()
}

fn check(what: &str, request: &Request, design: &Design) {
    let bytes = template_of(request, design).unwrap_or_else(|| panic!("{what}: no template"));
    let sheets = reassembled(&bytes, &request.name);
    let mut by_part: BTreeMap<&str, Vec<&Sheet>> = BTreeMap::new();
    for sheet in &sheets {
        by_part.entry(sheet.part.as_str()).or_default().push(sheet);
    }
    for part in &design.parts {
        let mut pages = by_part.remove(part.id.as_str()).unwrap_or_default().into_iter().peekable();
        for place in &places(design, part) {
            // The pages of one place come row by row from A1.
            let mut own: Vec<&Sheet> = Vec::new();
            while let Some(next) = pages.peek() {
                if own.last().is_some_and(|last| (next.row, next.column) <= (last.row, last.column)) {
                    break;
                }
                own.extend(pages.next());
            }
            compare(&format!("{what}, part {}", part.id), &own, place);
        }
        assert!(pages.next().is_none(), "{what}: pages of part {} left over", part.id);
    }
    assert!(by_part.is_empty(), "{what}: pages of parts that are not there");
}

#[test]
fn every_design_of_every_example_comes_back_from_its_pages() {
    let (mut compared, mut slopes, mut rounds) = (0, 0, 0);
    for (name, mut request) in examples() {
        let designs = solve(&request).designs;
        for (place, design) in designs.iter().enumerate() {
            // The first on every paper, the others on one.
            let papers = [Paper::Letter, Paper::A4, Paper::A3];
            for paper in papers.into_iter().take(if place == 0 { 3 } else { 1 }) {
                request.sheet.paper = paper;
                if template_of(&request, design).is_some() {
                    check(&format!("{name}, {} on {paper:?}", design.variant), &request, design);
                    compared += 1;
                    let round = design.pockets.iter().any(|p| matches!(p.outline, Outline::Disc { .. }));
                    rounds += usize::from(round);
                    slopes += usize::from(design.construction == "taper-in-plan");
                }
            }
        }
    }
    // Sunk pockets, rounds and slopes are among them.
    assert!(compared > 20 && slopes > 0 && rounds > 0, "{compared} {slopes} {rounds}");
}

#[test]
fn half_rounds_come_back_one_by_one() {
    // With nothing that sinks a pocket, a disc gets two boards with a half-round sawn into each.
    let (mut request, _) = example("compass-rose.toml");
    request.shop.tools = [Tool::TableSaw, Tool::MitreSaw, Tool::BandSaw, Tool::Planer].into();
    let designs = solve(&request).designs;
    let halved = |design: &&Design| design.parts.iter().any(|part| part.role == Role::NestHalf);
    let design = designs.iter().find(halved).expect("two half-rounds");
    check("half-rounds", &request, design);
}

#[test]
fn parts_sawn_square_have_no_template() {
    // Rails and ends on a base are all rectangles: a fence and a stop are better than a line on paper.
    let (request, designs) = example("anchor-key-board.toml");
    let design = &designs[0];
    assert!(design.parts.iter().flat_map(|p| &p.places).all(|p| matches!(p.outline, Outline::Rect(_))));
    assert!(template_of(&request, design).is_none());
}

#[test]
fn a_long_carrier_gets_the_corners_of_its_pocket_not_metres_of_paper() {
    let (mut request, designs) = example("oar-inscription.toml");
    let design = &designs[0];
    request.sheet.paper = Paper::A4;
    let sheets = reassembled(&template_of(&request, design).expect("a template"), &request.name);
    let bounds = design.pockets[0].outline.bounds();
    for corner in bounds.corners() {
        let p = (corner.x.to_mm(), corner.y.to_mm());
        // The relief takes the corner itself; its walls begin within a cutter's width of it.
        let near = |line: &&Line| line.is(CUT) && distance(p, line.a, line.b) < 6.35;
        assert!(sheets.iter().flat_map(|sheet| &sheet.lines).any(|line| near(&line)), "corner {p:?}");
    }
    assert!(sheets.len() <= 6, "{} pages", sheets.len());
}

#[test]
fn the_same_job_gives_the_same_template_and_drawing() {
    let (request, designs) = example("gull-plaque.toml");
    let wanted = ["template".to_owned(), "dxf".to_owned()];
    let render = || files::render(&Source::new(&request, &designs[0]), &wanted).expect("rendered");
    assert_eq!(render(), render());
}
