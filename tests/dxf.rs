//! `carrier.dxf`, read back by a reader that is not ours, against figures worked out by hand.

use dxf::Drawing;
use dxf::entities::{Entity, EntityType};
use sledwright::output::files::{self, Source};
use sledwright::request;
use sledwright::solve::solve;

fn drawing(job: &str) -> Option<Drawing> {
    let request = request::from_toml(job, "job.toml", &|_| Err("no files".to_owned())).expect("a sound job");
    let design = solve(&request).designs.remove(0);
    let files = files::render(&Source::new(&request, &design), &["dxf".to_owned()]).expect("rendered");
    let file = files.into_iter().find(|file| file.name == "carrier.dxf")?;
    Some(Drawing::load(&mut file.bytes.as_slice()).expect("a DXF"))
}

fn on<'a>(drawing: &'a Drawing, layer: &'a str) -> Vec<&'a Entity> {
    drawing.entities().filter(|entity| entity.common.layer == layer).collect()
}

/// Corners of the closed polylines of a layer, with their bulges.
fn polylines(drawing: &Drawing, layer: &str) -> Vec<Vec<(f64, f64, f64)>> {
    on(drawing, layer)
        .into_iter()
        .filter_map(|entity| match &entity.specific {
            EntityType::Polyline(line) => {
                assert!(line.is_closed(), "{layer} is open");
                Some(line.vertices().map(|v| (v.location.x, v.location.y, v.bulge)).collect())
            }
            _ => None,
        })
        .collect()
}

/// The 9 x 6 x 3/4 in plaque read off a tape (+-1/32), slip 1/64 a side, snug, in one board of 1 in MDF:
/// pocket 9-1/16 x 6-1/16, ends 4 (3-1/4 + 3/4), rails 3/4, carrier 17-1/16 x 7-9/16.
const PLAQUE: &str = r#"
[job]
name = "Gull plaque %%u ^J"
[machine]
use = "roller-carver-medium"
[shop]
tools = ["table saw", "router"]
[blank]
measured = "tape"
length = "9"
width = "6"
thickness = "3/4"
[carve]
depth = "1/4"
cutter = "1/4"
[hold]
by = "snug"
[[stock]]
material = "mdf"
thickness = "1"
length = "48"
width = "24"
calipered = true
"#;

#[test]
fn the_plaque_has_the_corners_worked_by_hand() {
    let drawing = drawing(PLAQUE).expect("a drawing");
    assert_eq!(drawing.header.version, dxf::enums::AcadVersion::R12);
    // 17-1/16 in = 433.3875 mm, 7-9/16 in = 192.0875 mm.
    let (length, width) = (433.3875, 192.0875);
    let outline = [(0.0, 0.0, 0.0), (length, 0.0, 0.0), (length, width, 0.0), (0.0, width, 0.0)];
    assert_eq!(polylines(&drawing, "OUTLINE"), [outline]);
    // 4 in = 101.6, 13-1/16 in = 331.7875, 3/4 in = 19.05, 6-13/16 in = 173.0375.
    let (x0, x1, y0, y1) = (101.6, 331.7875, 19.05, 173.0375);
    let pocket = [(x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)];
    assert_eq!(polylines(&drawing, "POCKET"), [pocket]);
    // Four reliefs, bored by the 1/4 in cutter on the bisector through the corner: r / sqrt 2 inside
    // both walls, 3.175 / 1.41421 = 2.24506 mm.
    let circles: Vec<(f64, f64, f64)> = on(&drawing, "RELIEF")
        .into_iter()
        .map(|entity| match &entity.specific {
            EntityType::Circle(circle) => (circle.center.x, circle.center.y, circle.radius),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(circles.len(), 4);
    for (corner_x, side_x) in [(x0, 1.0), (x1, -1.0)] {
        for (corner_y, side_y) in [(y0, 1.0), (y1, -1.0)] {
            let (x, y) = (corner_x + side_x * 2.24506, corner_y + side_y * 2.24506);
            let near = |c: &&(f64, f64, f64)| (c.0 - x).abs() < 1e-4 && (c.1 - y).abs() < 1e-4;
            let circle = circles.iter().find(near).unwrap_or_else(|| panic!("none at {x} {y}: {circles:?}"));
            assert!((circle.2 - 3.175).abs() < 1e-6);
        }
    }
    // The datum corner is that of the blank, in the corner of the pocket.
    let lines: Vec<(f64, f64)> = on(&drawing, "DATUM")
        .into_iter()
        .filter_map(|entity| match &entity.specific {
            EntityType::Line(line) => Some((line.p1.x, line.p1.y)),
            _ => None,
        })
        .collect();
    assert_eq!(lines, [(x0, y0), (x0, y0)]);
    // The name is text, not codes.
    let named = on(&drawing, "TEXT").into_iter().any(|entity| match &entity.specific {
        EntityType::Text(text) => text.value.starts_with("Gull plaque % %u ^"),
        _ => false,
    });
    assert!(named);
}

#[test]
fn the_part_has_its_reliefs_as_arcs_of_the_pocket() {
    let drawing = drawing(PLAQUE).expect("a drawing");
    let part = polylines(&drawing, "PART-A");
    assert_eq!(part.len(), 2, "the board and its pocket");
    // Four walls and four corners. A relief through the corner, centred on the bisector, cuts both walls
    // 2 r cos 45 degrees from the corner, so that half of its circle lies beyond the pocket: bulge 1.
    let pocket = &part[1];
    assert_eq!(pocket.len(), 8, "{pocket:?}");
    let bulges: Vec<f64> = pocket.iter().map(|v| v.2).filter(|bulge| *bulge != 0.0).collect();
    assert_eq!(bulges.len(), 4);
    for bulge in bulges {
        assert!((bulge.abs() - 1.0).abs() < 1e-5, "{bulge}");
    }
}

#[test]
fn without_a_measured_thickness_there_is_nothing_to_cut() {
    let unmeasured = PLAQUE.replace("thickness = \"3/4\"\n[carve]", "[carve]");
    assert_ne!(unmeasured, PLAQUE);
    assert!(drawing(&unmeasured).is_none());
}
