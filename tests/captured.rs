//! Outlines read from tables and drawings, and the nests made for them: against hand arithmetic and
//! the crate `geo`.

use std::path::PathBuf;

use geo::{BooleanOps, Contains, LineString, Polygon};
use sledwright::capture::{self, Treatment};
use sledwright::design::{Design, Status, VoidKind};
use sledwright::geometry::offset::offset;
use sledwright::geometry::path::{Mm, Path, to_mm};
use sledwright::geometry::{Outline, Point};
use sledwright::length::{Length, Unit};
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Drawn, Request, Shape};
use sledwright::rules::Rule;
use sledwright::verify::verify;

fn examples() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("examples")
}

fn load(named: &str) -> Result<String, String> {
    std::fs::read_to_string(examples().join(named)).map_err(|error| error.to_string())
}

fn near(found: f64, expected: f64, error: f64) {
    assert!((found - expected).abs() <= error, "{found} is not {expected}");
}

fn request_of(blank: &str) -> Result<Request, String> {
    request_loading(blank, &load)
}

fn request_loading(blank: &str, load: &dyn Fn(&str) -> Result<String, String>) -> Result<Request, String> {
    let job = format!(
        "[machine]\nuse = \"roller-carver-medium\"\n[blank]\nshape = \"outline\"\nthickness = \".750\"\n{blank}\n[hold]\nby = \"tape\"\n"
    );
    request::from_toml(&job, "job.toml", &|named| load(named)).map_err(|report| report.to_string())
}

fn drawn(request: &Request) -> &Drawn {
    match &request.blank.shape {
        Shape::Outline(drawn) => drawn,
        other => panic!("{other:?}"),
    }
}

/// What is said of a job whose outline is this file.
fn refused(name: &str, text: &str, more: &str) -> String {
    let blank = format!("outline-file = \"{name}\"\n{more}");
    request_loading(&blank, &|_| Ok(text.to_owned())).err().unwrap_or_else(|| panic!("{text} is taken"))
}

fn designed(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { design, broken } => panic!("verify disagrees on {}: {broken:#?}", design.construction),
    }
}

fn by_geo(path: &Path) -> Polygon {
    Polygon::new(LineString::from(path.flattened(0.002)), Vec::new())
}

#[test]
fn stations_enclose_what_the_trapezoid_rule_says() {
    // Half widths 2.5 3.8 4.6 5.2 6.1 5.8 4.3 at 10 mm about a centre line: each side
    // 10 ((2.5 + 4.3) / 2 + 3.8 + 4.6 + 5.2 + 6.1 + 5.8) = 289, so 578 in all (trapezoid rule).
    let offsets = [2.5, 3.8, 4.6, 5.2, 6.1, 5.8, 4.3];
    let mm = |value: f64| Length::from_mm(value).expect("small");
    let rows: Vec<Vec<Length>> = offsets
        .iter()
        .enumerate()
        .map(|(index, half)| vec![mm(10.0 * index as f64), mm(20.0 - half), mm(20.0 + half)])
        .collect();
    let drawing = capture::stations(&rows).expect("a table");
    // Sharpest bend: 5.2 6.1 5.8, second difference -1.2; over a gap of 10 the sagitta is 1.2 / 8.
    near(drawing.error, 0.15, 1e-9);
    let treatment =
        Treatment { error: Length::MM, underneath: false, line_outside: Length::ZERO, units: Unit::Millimetre };
    let captured = capture::finish(&drawing, treatment).expect("simple");
    near(captured.path.area_mm2(), 578.0, 1e-6);
    assert_eq!(captured.error, Length::micrometres(1150));
}

#[test]
fn a_circle_by_stations_is_within_the_error_it_states() {
    // Stations 1/2 in apart over the flat part of a circle of radius 4 in: the sagitta is
    // s^2 / 8R = 0.25 / 32 = 1/128 in, and steeper stations bend more.
    let r = 4.0_f64;
    let rows: Vec<Vec<Length>> = (-6..=6)
        .map(|step| 0.5 * f64::from(step))
        .map(|x| (x, (r * r - x * x).sqrt()))
        .map(|(x, y)| [x + 4.0, 4.0 - y, 4.0 + y].map(|inches| Length::from_mm(inches * 25.4).expect("small")).to_vec())
        .collect();
    let drawing = capture::stations(&rows).expect("a table");
    assert!(drawing.error >= 25.4 / 128.0);
    let treatment = Treatment { error: Length::ZERO, underneath: false, line_outside: Length::ZERO, units: Unit::Inch };
    let captured = capture::finish(&drawing, treatment).expect("simple");
    // Every point of the true round between the end stations lies in the outline grown by its error.
    let grown = offset(&captured.path, captured.error.to_mm()).expect("grows");
    let shape = by_geo(&grown);
    let lift = captured.path.bounds().width().half().to_mm();
    for step in 0..200 {
        let x = -3.0 + 6.0 * f64::from(step) / 199.0;
        let y = (r * r - x * x).sqrt() * 25.4;
        for side in [lift - y, lift + y] {
            assert!(shape.contains(&geo::Point::new((x + 3.0) * 25.4, side)), "{x}");
        }
    }
}

#[test]
fn typed_points_with_arcs() {
    // A 12 x 4 stadium: chord 4, sagitta 2 is a half circle of radius 2 (chord-sagitta:
    // c^2/8s + s/2 = 1 + 1). Area 12 x 4 + 4 pi.
    let bulged = request_of(
        "points = [[\"2\", \"0\"], [\"14\", \"0\", \"2\"], [\"14\", \"4\"], [\"2\", \"4\", \"2\"]]\noutline-error = \"1/32\"",
    )
    .expect("a stadium");
    let stadium = drawn(&bulged);
    near(stadium.path.area_mm2(), (48.0 + 4.0 * std::f64::consts::PI) * 645.16, 0.01);
    assert_eq!(stadium.path.bounds().length(), Length::inches(16, 1));
    assert_eq!(stadium.error, Length::inches(1, 32));
    // The same by points the arcs pass through, listed the other way round, and hollow instead.
    let through = request_of(
        "points = [[\"2\", \"4\"], [\"14\", \"4\", \"16\", \"2\"], [\"14\", \"0\"], [\"2\", \"0\", \"0\", \"2\"]]",
    )
    .expect("a stadium");
    near(drawn(&through).path.area_mm2(), stadium.path.area_mm2(), 0.01);
    let hollow = request_of("points = [[\"2\", \"0\"], [\"14\", \"0\", \"-1\"], [\"14\", \"4\"], [\"2\", \"4\"]]")
        .expect("hollow");
    // Chord 4, sagitta 1: radius 2.5, half angle asin 0.8; segment r^2 (a - sin a cos a).
    let angle = libm::asin(0.8);
    near(drawn(&hollow).path.area_mm2(), (48.0 - 6.25 * (angle - 0.8 * 0.6)) * 645.16, 0.01);
    // From underneath it is a mirror image: what was hollow at the trail end still is, near and far change.
    let odd = "points = [[\"0\", \"0\"], [\"12\", \"0\"], [\"12\", \"3\"], [\"0\", \"6\"]]";
    let corner = |request: &Request, x: i64, y: i64| {
        drawn(request).path.vertices().iter().any(|v| v.point == Point::new(Length::inches(x, 1), Length::inches(y, 1)))
    };
    let top = request_of(odd).expect("simple");
    assert!(corner(&top, 12, 3) && corner(&top, 12, 0) && !corner(&top, 12, 6));
    let below = request_of(&format!("{odd}\ntraced-from = \"underneath\"")).expect("simple");
    assert!(corner(&below, 12, 3) && corner(&below, 12, 6) && !corner(&below, 12, 0));
    // Drawn half an inch outside all round: an 11 x 5 plate.
    let washer = request_of(
        "points = [[\"0\", \"0\"], [\"12\", \"0\"], [\"12\", \"6\"], [\"0\", \"6\"]]\noutline-outside = \"1/2\"",
    )
    .expect("simple");
    near(drawn(&washer).path.area_mm2(), 55.0 * 645.16, 0.05);
}

#[test]
fn drawings_keep_scale_transform_and_arcs() {
    // A circle of diameter 80 mm, scaled by a viewBox of half size, moved and turned.
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 100 50">
        <g transform="translate(50 25) rotate(30)"><circle r="20"/></g></svg>"#;
    let request = request_loading("outline-file = \"a.svg\"", &|_| Ok(svg.to_owned())).expect("a circle");
    let round = drawn(&request);
    near(round.path.area_mm2(), 1600.0 * std::f64::consts::PI, 0.2);
    assert!(round.path.has_arcs() && round.path.vertices().len() <= 4);
    // Without a declared scale the job's unit counts, one unit of the viewBox each.
    let bare = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50"><path d="M0 0h40a10 10 0 0 1 0 20h-40z"/></svg>"#;
    let request = request_loading("outline-file = \"a.svg\"\noutline-units = \"mm\"", &|_| Ok(bare.to_owned()));
    near(drawn(&request.expect("a tongue")).path.area_mm2(), 800.0 + 50.0 * std::f64::consts::PI, 0.05);
    // Seen from above y runs up: the notch drawn at the lower left of the paper lies at lead and fence.
    let notched = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50"><path d="M0 0H100V50H20V40H0z"/></svg>"#;
    let request = request_loading("outline-file = \"a.svg\"", &|_| Ok(notched.to_owned())).expect("a plate");
    assert!(!drawn(&request).path.contains((10.0, 5.0)) && drawn(&request).path.contains((10.0, 45.0)));

    // Lines and arcs in any order and direction, in inches: a 4 x 2 stadium.
    let dxf = dxf(
        1,
        &[
            "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n4\n21\n0",
            "0\nARC\n8\n0\n10\n0\n20\n1\n40\n1\n50\n90\n51\n270",
            "0\nLINE\n8\n0\n10\n0\n20\n2\n11\n4\n21\n2",
            "0\nARC\n8\n0\n10\n4\n20\n1\n40\n1\n50\n270\n51\n90",
            "0\nTEXT\n8\n0\n10\n0\n20\n9\n40\n1\n1\nslice",
        ],
    );
    let request = request_loading("outline-file = \"a.dxf\"", &|_| Ok(dxf.clone())).expect("a stadium");
    near(drawn(&request).path.area_mm2(), (8.0 + std::f64::consts::PI) * 645.16, 0.01);
    // A B-spline of degree 2 over three points is a parabola: a third of its triangle's box below it.
    // Control points (0,0) (50,100) (100,0): area under it 2/3 of the triangle 5000.
    let spline = self::dxf(
        4,
        &[
            "0\nSPLINE\n8\n0\n70\n8\n71\n2\n72\n6\n73\n3\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n10\n0\n20\n0\n30\n0\n10\n50\n20\n100\n30\n0\n10\n100\n20\n0\n30\n0",
            "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n100\n21\n0",
        ],
    );
    let request = request_loading("outline-file = \"a.dxf\"\ncaptured = \"drawing-machined\"", &|_| Ok(spline.clone()));
    near(drawn(&request.expect("a parabola")).path.area_mm2(), 5000.0 * 2.0 / 3.0, 12.0);

    let csv = "x (in), y (in)\n0,0\n4,0\n4,3\n0,3\n";
    let request = request_loading("outline-file = \"a.csv\"", &|_| Ok(csv.to_owned())).expect("a plate");
    near(drawn(&request).path.area_mm2(), 12.0 * 645.16, 1e-6);
}

fn dxf(units: u8, entities: &[&str]) -> String {
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n9\n$INSUNITS\n70\n{units}\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n{}\n0\nENDSEC\n0\nEOF\n",
        entities.join("\n")
    )
}

#[test]
fn what_is_wrong_is_said_with_its_place() {
    let svg = |size: &str, body: &str| {
        format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {size} viewBox=\"0 0 100 100\">{body}</svg>")
    };
    let mm = "width=\"100mm\" height=\"100mm\"";
    let line = "0\nLINE\n8\n0\n10\n0\n20\n0\n11\n40\n21\n0";
    let cases: &[(&str, String, &str, &str)] = &[
        ("a.svg", svg(mm, "<path d=\"M0 0L40 30V0L0 30z\"/>"), "", "lines after vertices 1 and 3"),
        ("a.svg", svg(mm, "<path stroke=\"black\" fill=\"none\" d=\"M0 0H40V30H5\"/>"), "", "the outline is open"),
        ("a.svg", svg("", "<path d=\"M0 0H40V30z\"/>"), "", "does not declare its scale"),
        ("a.svg", svg("width=\"100\" height=\"100\"", "<path d=\"M0 0H40V30z\"/>"), "", "does not declare its scale"),
        ("a.svg", svg(mm, "<path d=\"M0 0H40V30z\"/>"), "outline-units = \"in\"", "another scale"),
        ("a.svg", svg(mm, "<path d=\"M0 0H40V30z\"/><circle r=\"9\"/>"), "", "holds 2 outlines"),
        ("a.svg", svg(mm, "<path d=\"M0 0H40V30z\"/>"), "outline-id = \"b\"", "holds no outline"),
        ("a.svg", svg(mm, "<path d=\"M0 0H4V3z\"/>"), "", "only"),
        ("a.svg", svg(mm, "<path d=\"M0 0H40V30z\"/>"), "length = \"3\"", "but 3 in is stated"),
        ("a.svg", "<svg".to_owned(), "", "not an SVG drawing"),
        ("a.dxf", dxf(0, &[line]), "", "does not declare its unit"),
        ("a.dxf", dxf(4, &[line]), "outline-units = \"in\"", "one unit"),
        ("a.dxf", dxf(4, &[line]), "", "the outline is open"),
        ("a.dxf", dxf(4, &[]), "", "holds no outline"),
        ("a.dxf", "nonsense".to_owned(), "", "not a DXF drawing"),
        ("a.csv", "x,y\n0,0\n4,0\n4,3\n".to_owned(), "", "does not say in what unit"),
        ("a.csv", "x mm,y in\n0,0\n4,0\n4,3\n".to_owned(), "", "two different units"),
        ("a.csv", "x mm,y mm\n0,0\n40,zero\n".to_owned(), "", "line 3: `zero` is no number"),
        ("a.csv", "x mm,y mm\n0,0\n40,0\n99999,30\n".to_owned(), "", "vertex 3 of the outline lies beyond"),
        ("a.csv", "x mm,y mm\n0,0\n40,0\n".to_owned(), "", "only 2 vertices"),
        ("a.png", String::new(), "", "neither .svg, .dxf nor .csv"),
    ];
    for (name, text, more, told) in cases {
        let said = refused(name, text, more);
        assert!(said.contains(told), "{told:?} is not in:\n{said}");
    }
    let typed = [
        ("", "the outline is not given"),
        ("stations = [[\"0\", \"0\", \"1\"], [\"0\", \"0\", \"1\"]]", "row 2: the station is not beyond"),
        ("stations = [[\"0\", \"0\", \"1\"], [\"1\", \"2\", \"1\"], [\"2\", \"0\", \"1\"]]", "row 2: the far edge"),
        ("stations = [[\"0\", \"0\"], [\"1\", \"2\"]]", "row 1 has 2 sizes"),
        ("points = [[\"0\", \"0\"], [\"9\"]]", "row 2 has 1 sizes"),
        ("points = [[\"0\", \"0\"], [\"9\", \"x\"]]", "`points`"),
        ("points = 3", "`points` cannot be a whole number"),
        ("stations = [[\"0\", \"0\", \"1\"]]\npoints = [[\"0\", \"0\"]]", "given twice"),
    ];
    for (blank, told) in typed {
        let said = request_of(blank).err().unwrap_or_else(|| panic!("{blank} is taken"));
        assert!(said.contains(told), "{told:?} is not in:\n{said}");
    }
    // Keys of an outline belong to no other shape.
    let plain = "[blank]\nlength = \"9\"\nwidth = \"6\"\nthickness = \"3/4\"\ncaptured = \"scan\"";
    let said = request::from_toml(plain, "job.toml", &|_| Err(String::new())).expect_err("stray").to_string();
    assert!(said.contains("captured"), "{said}");
}

#[test]
fn broken_drawings_never_bring_the_reader_down() {
    // Every example drawing cut short, and with a byte changed, at places spread by a fixed rule.
    for name in ["outlines/slice.svg", "outlines/slice.dxf"] {
        let text = load(name).expect("there");
        for step in 0..150 {
            let at = (step * 7919 + 13) % text.len();
            let cut = text.get(..at).unwrap_or_default().to_owned();
            let letter = [b'9', b'-', b'e', b'\n', b'<', b'0'][step % 6];
            let mut bytes = text.clone().into_bytes();
            bytes[at] = letter;
            for broken in [cut, String::from_utf8_lossy(&bytes).into_owned()] {
                let ending = name.rsplit('.').next().unwrap_or_default();
                // Taken or refused, but answered.
                let _ = request_loading(&format!("outline-file = \"a.{ending}\""), &|_| Ok(broken.clone())).is_ok();
            }
        }
    }
}

/// Hull (0,1) (3,0) (11,0) (12,4) (8,6) (1,5), out by 1/32 at most. It stands 1/32 + 1/64 off its nest
/// all round: pocket 12-3/32 by 6-3/32. Length 12-3/32 + 2 x 4 = 20-3/32, width 6-3/32 + 2 x 3/4 =
/// 7-19/32. Blank 4-3/64 from the lead end and 51/64 from the fence edge. Depth 3/4 + 1/64 = 49/64.
///
/// The cutter's radius is 1/8. A corner needs relief where 1 - sin(angle/2) > (1/64) / (1/8 - 1/32) = 1/6,
/// so below 112.9 degrees. By their sides' directions the corners have 94.4 at (0,1), 161.6 at (3,0),
/// 104.0 at (11,0), 102.5 at (12,4), 145.3 at (8,6), and 112.2 at (1,5), where relief is a hair.
#[test]
fn a_six_sided_chunk() {
    let request = request_of(
        "points = [[\"0\", \"1\"], [\"3\", \"0\"], [\"11\", \"0\"], [\"12\", \"4\"], [\"8\", \"6\"], [\"1\", \"5\"]]\noutline-error = \"1/32\"",
    )
    .expect("simple");
    let design = designed(&request);
    assert_eq!(design.construction, "outline-nest");
    assert_eq!(design.carrier.length, Length::inches(20 * 32 + 3, 32));
    assert_eq!(design.carrier.width, Length::inches(7 * 32 + 19, 32));
    assert_eq!(design.pockets[0].z1 - design.pockets[0].z0, Length::inches(49, 64));
    near(design.origin().x.to_mm(), (4.0 + 3.0 / 64.0) * 25.4, 0.005);
    near(design.origin().y.to_mm(), 51.0 / 64.0 * 25.4, 0.005);
    let reliefs: Vec<&Path> = voids(&design, VoidKind::Relief)
        .into_iter()
        .map(|outline| match outline {
            Outline::Path(path) => path,
            other => panic!("{other:?}"),
        })
        .collect();
    let at = |x: f64, y: f64| {
        let p: Mm = (design.origin().x.to_mm() + x * 25.4, design.origin().y.to_mm() + y * 25.4);
        reliefs.iter().filter(|relief| relief.contains(p)).count()
    };
    assert_eq!([at(0.0, 1.0), at(11.0, 0.0), at(12.0, 4.0)], [1, 1, 1]);
    assert_eq!([at(3.0, 0.0), at(8.0, 6.0)], [0, 0]);
    assert_eq!(voids(&design, VoidKind::FingerGap).len(), 2);
    holds_by_geo(&request, &design);
    // Without its reliefs the blank would ride up, and with a tighter nest not go in.
    let mut plain = design.clone();
    plain.parts[0].places[0].voids.retain(|void| void.kind != VoidKind::Relief);
    assert_eq!(broken(&request, &plain), [Rule::NestCorners]);
    let mut tight = design.clone();
    let Outline::Path(nest) = &design.pockets[0].outline else { panic!("a path") };
    tight.pockets[0].outline = Outline::Path(offset(nest, -0.1).expect("shrinks"));
    assert!(broken(&request, &tight).contains(&Rule::NestClearance));
    let mut gapless = design.clone();
    gapless.parts[0].places[0].voids.retain(|void| void.kind != VoidKind::FingerGap);
    assert_eq!(broken(&request, &gapless), [Rule::FingerGaps]);
    let mut mirrored = design.clone();
    let Outline::Path(blank) = &design.blank.outline else { panic!("a path") };
    let corner = design.origin();
    mirrored.blank.outline = Outline::Path(blank.mirrored().moved_to(corner.x, corner.y));
    assert!(broken(&request, &mirrored).contains(&Rule::InputsAgree));
}

fn voids(design: &Design, kind: VoidKind) -> Vec<&Outline> {
    let voids = design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    voids.filter(|void| void.kind == kind).map(|void| &void.outline).collect()
}

/// Rules newly broken, each once.
fn broken(request: &Request, design: &Design) -> Vec<Rule> {
    let checks = verify(request, design);
    let mut rules: Vec<Rule> = checks
        .iter()
        .filter(|check| check.status != Status::Pass && !design.waived.contains(&check.rule))
        .map(|check| check.rule)
        .collect();
    rules.dedup();
    rules
}

/// The nest holds the blank grown by its error, all of it, by `geo`.
fn holds_by_geo(request: &Request, design: &Design) {
    let (Outline::Path(nest), Outline::Path(blank)) = (&design.pockets[0].outline, &design.blank.outline) else {
        panic!("paths")
    };
    let grown = offset(blank, drawn(request).error.to_mm()).expect("grows");
    let (nest, grown) = (by_geo(nest), by_geo(&grown));
    assert!(nest.contains(&grown), "{} mm2 outside", geo::Area::unsigned_area(&grown.difference(&nest)));
}

/// The slice of the examples: typed as a table of offsets, traced, and drawn.
#[test]
fn three_captures_of_one_slice_make_one_carrier() {
    let mut made: Vec<(Request, Design)> = Vec::new();
    for name in ["slice-stations.toml", "slice-traced.toml", "slice-drawn.toml"] {
        let job = load(name).expect("there").replace("turn = \"free\"", "");
        let request = match request::from_toml(&job, name, &load) {
            Ok(request) => request,
            Err(report) => panic!("{report}"),
        };
        let design = designed(&request);
        assert_eq!(design.construction, "outline-nest");
        holds_by_geo(&request, &design);
        made.push((request, design));
    }
    for (index, (a_request, a)) in made.iter().enumerate() {
        for (b_request, b) in made.iter().skip(index + 1) {
            // Each may be out by its error, each way, and each size is rounded up by less than a mark.
            let errors = (drawn(a_request).error + drawn(b_request).error) * 2 + a_request.step();
            assert!((a.carrier.length - b.carrier.length).abs() <= errors);
            assert!((a.carrier.width - b.carrier.width).abs() <= errors);
            assert_eq!(a.carrier.thickness, b.carrier.thickness);
            assert!(errors <= Length::inches(5, 16), "{errors:?} tells nothing");
            // And each blank lies in the other's nest or within the errors of both of it.
            let (Outline::Path(first), Outline::Path(second)) = (&a.blank.outline, &b.blank.outline) else {
                panic!("paths")
            };
            let second = second.moved_to(a.origin().x, a.origin().y);
            let apart = drawn(a_request).error + drawn(b_request).error;
            let box_apart = (drawn(a_request).error + drawn(b_request).error).to_mm();
            for vertex in first.vertices() {
                assert!(second.distance(to_mm(vertex.point)) <= apart.to_mm() + box_apart);
            }
        }
    }
}

#[test]
fn a_free_turn_takes_no_more_board_than_any_other() {
    // A long lozenge drawn aslant: laid along the feed it needs far less width, and the machine takes
    // it at all.
    let blank = "points = [[\"0\", \"0\"], [\"8\", \"8\"], [\"8-1/2\", \"11\"], [\"5-1/2\", \"10-1/2\"], [\"-1\", \"3\"]]\noutline-error = \"1/32\"";
    let locked = request_of(blank).expect("simple");
    let free = request_of(&format!("{blank}\nturn = \"free\"")).expect("simple");
    let (straight, turned) = (designed(&locked), designed(&free));
    let area = |design: &Design| design.carrier.length.to_mm() * design.carrier.width.to_mm();
    assert_eq!(straight.turn, 0.0);
    assert!(turned.turn != 0.0 && area(&turned) < area(&straight) * 0.9);
    // No turn of a dense sample, sized by hand, takes less: box + 2 x 3/64 + 8 and + 1-1/2, at least
    // 16-1/8 by 4-9/16; a ruler step of rounding each way is left.
    let ring: Vec<Mm> = drawn(&free).path.flattened(0.01);
    let least = (0..1800)
        .map(|step| f64::from(step) * 0.1_f64.to_radians())
        .map(|turn| {
            let extent = |angle: f64| {
                let along = ring.iter().map(|p| p.0 * libm::cos(angle) + p.1 * libm::sin(angle));
                let (low, high) = along.fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(x), h.max(x)));
                (high - low) / 25.4
            };
            let length = (extent(turn) + 8.0 + 3.0 / 32.0).max(16.125);
            let width = (extent(turn + std::f64::consts::FRAC_PI_2) + 1.5 + 3.0 / 32.0).max(4.5625);
            (length * width, length + width)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .expect("some");
    assert!(area(&turned) / 645.16 <= least.0 + least.1 / 16.0, "{} against {}", area(&turned) / 645.16, least.0);
    holds_by_geo(&free, &turned);
}

/// A scanner's outline of ten thousand points becomes a few arcs and a carrier; one that is only noise
/// is refused with the counts.
#[test]
fn long_tracings_are_simplified_and_noise_is_refused() {
    let tracing = |noise: f64| {
        let mut text = "x mm,y mm\n".to_owned();
        for step in 0..10_000 {
            let turn = std::f64::consts::TAU * f64::from(step) / 10_000.0;
            let jitter = noise * f64::from((step * 7919) % 13 - 6);
            let r = 90.0 + 15.0 * libm::cos(2.0 * turn) + 6.0 * libm::sin(3.0 * turn) + jitter;
            text.push_str(&format!("{:.4},{:.4}\n", 150.0 + r * libm::cos(turn), 150.0 + r * libm::sin(turn)));
        }
        text
    };
    let smooth =
        request_loading("outline-file = \"a.csv\"\ncaptured = \"scan\"", &|_| Ok(tracing(0.0))).expect("simple");
    assert!(drawn(&smooth).path.vertices().len() < 60, "{}", drawn(&smooth).path.vertices().len());
    // The simplification is at most a quarter of the method's error, and is added to it.
    assert!(drawn(&smooth).error <= Length::inches(5, 128) + Length::micrometres(20));
    assert_eq!(designed(&smooth).construction, "outline-nest");
    let noise = refused("a.csv", &tracing(0.2), "captured = \"scan\"");
    assert!(noise.contains("the outline is rough") && noise.contains("of 10000"), "{noise}");
}

/// Random outlines, shops and cutters: whatever is designed is confirmed by the verification and by
/// `geo`, and everything else is refused with reasons.
#[test]
fn random_outlines_are_confirmed_or_refused() {
    // A fixed linear congruential generator (Knuth's constants).
    let mut state = 0xca7c_u64;
    let mut random = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    };
    let (mut made, mut turned) = (0, 0);
    for round in 0..60 {
        let count = 3 + (random() * 12.0) as usize;
        let (long, wide, rough) = (40.0 + 160.0 * random(), 30.0 + 120.0 * random(), 0.7 * random());
        let curved = round % 3 == 0;
        let mut rows = Vec::new();
        for step in 0..count {
            let turn = std::f64::consts::TAU * (step as f64 + 0.6 * random()) / count as f64;
            let r = 1.0 - rough * random();
            let sagitta = if curved { format!(", \"{:.1} mm\"", 6.0 * (random() - 0.4)) } else { String::new() };
            let place = |mm: f64| format!("\"{mm:.2} mm\"");
            rows.push(format!(
                "[{}, {}{sagitta}]",
                place(long * r * libm::cos(turn)),
                place(wide * r * libm::sin(turn))
            ));
        }
        let cutter = ["1/8", "1/4", "1/2"][round % 3];
        let error = ["0", "1/64", "1/16"][round / 3 % 3];
        let free = if round % 2 == 0 { "turn = \"free\"" } else { "" };
        let tolerance = ["1/64", "1/32"][round % 2];
        let job = format!(
            "[machine]\nuse = \"roller-carver-medium\"\n[shop]\npocket-cutter = \"{cutter}\"\ntolerance = \"{tolerance}\"\n[blank]\nshape = \"outline\"\nthickness = \"20 mm\"\npoints = [{}]\noutline-error = \"{error}\"\n{free}\n[hold]\nby = \"tape\"\n",
            rows.join(", ")
        );
        let Ok(request) = request::from_toml(&job, "job.toml", &load) else { continue };
        let outcome = sledwright::solve::solve(&request);
        for mut design in outcome.designs {
            let broken = sledwright::plan::check(&request, &mut design);
            assert!(broken.is_empty(), "{} in\n{job}\n{broken:#?}", design.variant);
            if matches!(design.pockets.first().map(|pocket| &pocket.outline), Some(Outline::Path(_))) {
                holds_by_geo(&request, &design);
                made += 1;
                turned += usize::from(design.turn != 0.0);
            }
        }
    }
    assert!(made > 25 && turned > 8, "{made} made, {turned} turned");
}
