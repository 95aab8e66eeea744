//! Hidden lines against a search of their own: points marched towards the viewer through the parts as the
//! design has them, without any face or edge.

use std::path::Path;

use super::project::{Scene, Spot, Vector, project};
use super::*;
use crate::design::Place;
use crate::geometry::Outline;
use crate::geometry::path::to_mm;
use approx::assert_abs_diff_eq;

fn mm(value: i64) -> Length {
    Length::MM * value
}

#[test]
fn a_box_is_where_hand_arithmetic_puts_it() {
    // ISO 5456-3: lengths along all three axes are seen sqrt(2/3) = 0.8165 as long, the two level ones at 30
    // degrees. A box of 30 x 20 x 10: its corner (30, 0, 0) is seen 24.495 away at 30 degrees, 21.213 to the
    // right and 12.247 up; (0, 20, 0) is 16.330 away at 150 degrees, 14.142 to the left and 8.165 up;
    // (0, 0, 10) is 8.165 straight up.
    for (corner, u, v) in
        [([30.0, 0.0, 0.0], 21.213, 12.247), ([0.0, 20.0, 0.0], -14.142, 8.165), ([0.0, 0.0, 10.0], 0.0, 8.165)]
    {
        let spot = project(corner);
        assert_abs_diff_eq!(spot.u, u, epsilon = 0.001);
        assert_abs_diff_eq!(spot.v, v, epsilon = 0.001);
    }
    // Nine edges of the twelve are seen: all but the three that meet at the far lower corner (30, 20, 0).
    let outline = Outline::Rect(Rect::sized(Length::ZERO, Length::ZERO, mm(30), mm(20)));
    let solid = Solid::plain(&outline, 0.0, 10.0);
    let scene = Scene::of(std::slice::from_ref(&solid));
    let seen: Vec<[Spot; 2]> = solid.edges.iter().flat_map(|edge| scene.visible(*edge)).collect();
    assert_eq!(solid.edges.len(), 12);
    // Three edges along each axis: 0.8165 (3 x 30 + 3 x 20 + 3 x 10) = 146.97.
    let total: f64 = seen.iter().map(|[a, b]| libm::hypot(a.u - b.u, a.v - b.v)).sum();
    assert_abs_diff_eq!(total, 146.969, epsilon = 0.01);
    // The outline: lowest at the near corner (0, 0, 0), highest at (30, 20, 10) at 12.247 + 8.165 + 8.165.
    let drawn = Drawn::of(&[(solid, Line::Edge)]);
    let area = drawn.area();
    for (found, expected) in [(area.x0, -14.142), (area.x1, 21.213), (area.y0, 0.0), (area.y1, 28.577)] {
        assert_abs_diff_eq!(found, expected, epsilon = 0.001);
    }
}

#[test]
fn a_plate_before_another_hides_the_part_of_its_edge_behind_it() {
    // A block 10 high on the near half of a plate's lead edge hides what lies behind it: the plate's lead edge
    // on top, from (0, 0, 0) to (0, 20, 0), is covered from y = 0 to y = 10 where the block stands before it.
    let rect =
        |x: i64, y: i64, length: i64, width: i64| Outline::Rect(Rect::sized(mm(x), mm(y), mm(length), mm(width)));
    let plate = Solid::plain(&rect(0, 0, 40, 20), -5.0, 0.0);
    let block = Solid::plain(&rect(-10, 0, 10, 10), -5.0, 20.0);
    let scene = Scene::of(&[plate, block]);
    let seen = scene.visible([[0.0, 0.0, 0.0], [0.0, 20.0, 0.0]]);
    // The block's silhouette crosses that edge where its upright far edge (-10, 10, z) is seen: u = -20 / sqrt 2,
    // the same as the end (0, 20, 0) of the edge: all of it is hidden.
    assert!(seen.is_empty(), "{seen:?}");
    // With a block 10 wide standing 10 nearer to the trail end nothing is before the edge.
    let plate = Solid::plain(&rect(0, 0, 40, 20), -5.0, 0.0);
    let block = Solid::plain(&rect(10, 0, 10, 10), 0.0, 20.0);
    let seen = Scene::of(&[plate, block]).visible([[0.0, 0.0, 0.0], [0.0, 20.0, 0.0]]);
    let total: f64 = seen.iter().map(|[a, b]| libm::hypot(a.u - b.u, a.v - b.v)).sum();
    assert_abs_diff_eq!(total, 20.0 * 0.8165, epsilon = 0.001);
}

/// Whether a place lies within an outline, by counting crossings.
fn within(outline: &Outline, x: f64, y: f64) -> bool {
    match outline {
        Outline::Rect(rect) => {
            (rect.x0.to_mm()..rect.x1.to_mm()).contains(&x) && (rect.y0.to_mm()..rect.y1.to_mm()).contains(&y)
        }
        Outline::Disc { centre, diameter } => {
            let (cx, cy) = to_mm(*centre);
            libm::hypot(x - cx, y - cy) < diameter.to_mm() / 2.0
        }
        Outline::Polygon(points) => {
            let ring: Vec<(f64, f64)> = points.iter().map(|p| to_mm(*p)).collect();
            let sides = ring.iter().zip(ring.iter().cycle().skip(1));
            sides.filter(|(a, b)| (a.1 > y) != (b.1 > y) && x < a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1)).count() % 2
                == 1
        }
        Outline::Path(path) => path.contains((x, y)),
    }
}

/// Whether a place is wood of a part. Of a void that leaves a slope its box counts as cut away or not.
fn is_wood(place: &Place, p: Vector, slopes_are_wood: bool) -> bool {
    let height = |z0: Length, z1: Length| (z0.to_mm()..z1.to_mm()).contains(&p[2]);
    let cut = place.voids.iter().any(|void| {
        let counts = !void.kind.is_slanting() || !slopes_are_wood;
        counts && height(void.z0, void.z1) && within(&void.outline, p[0], p[1])
    });
    height(place.z0, place.z1) && within(&place.outline, p[0], p[1]) && !cut
}

/// A place in space that is seen at a spot.
fn back(spot: Spot, towards: f64) -> Vector {
    let (two, three, six) = (2.0_f64.sqrt(), 3.0_f64.sqrt(), 6.0_f64.sqrt());
    let near = spot.near + towards;
    let level = |side: f64| side * spot.u / two + spot.v / six - near / three;
    [level(1.0), level(-1.0), 2.0 * spot.v / six + near / three]
}

/// The examples, each with the best of its designs.
fn designs() -> Vec<(String, Request, Design)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let load = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|error| error.to_string());
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".toml"))
        .collect();
    names.sort();
    let all = names.into_iter().filter_map(|name| {
        let request = crate::request::from_toml(&load(&name).unwrap(), &name, &load).unwrap();
        let design = crate::solve::solve(&request).designs.into_iter().next()?;
        (design.construction != "none").then_some((name, request, design))
    });
    all.collect()
}

#[test]
fn letters_stand_on_their_parts_and_hidden_lines_agree_with_points_marched_through_the_wood() {
    let designs = designs();
    assert!(designs.len() >= 25);
    for (name, request, design) in &designs {
        let mut pieces = pieces(request, design);
        take_apart(design, &mut pieces);
        let places: Vec<(Option<&Place>, Vector, &Piece)> = pieces
            .iter()
            .map(|piece| {
                let part = piece.row.and_then(|row| design.parts.get(row));
                (part.and_then(|part| part.places.get(piece.place)), piece.off, piece)
            })
            .collect();
        let blank = |p: Vector| {
            let own = &design.blank;
            // Of a round blank only what is surely wood.
            let round = request.blank.round().is_some();
            !round && (own.z0.to_mm()..own.z1.to_mm()).contains(&p[2]) && within(&own.outline, p[0], p[1])
        };
        let wood_at = |p: Vector, slopes: bool| {
            places.iter().any(|(place, off, _)| {
                let own = [p[0] - off[0], p[1] - off[1], p[2] - off[2]];
                place.map_or_else(|| blank(own), |place| is_wood(place, own, slopes))
            })
        };
        let exploded = Exploded::of(request, design);
        let steps = |from: f64| (0..900).map(move |step| from + 0.7 * f64::from(step));

        // What hides an edge may be a wall of half a millimetre just before it.
        let closely = |near: bool| (0..if near { 30 } else { 0 }).map(|step| 0.05 + 0.05 * f64::from(step));

        // One letter a part, and the dot under it is the nearest wood, of that very part.
        assert_eq!(exploded.labels.iter().filter(|label| label.round).count(), design.parts.len(), "{name}");
        for label in &exploded.labels {
            let spot = label.clear.spot;
            assert!(!steps(0.3).any(|by| wood_at(back(spot, by), false)), "{name}: {} is behind something", label.text);
            let Some(part) = design.parts.iter().find(|part| part.id == label.text && label.round) else { continue };
            let behind = back(spot, -0.3);
            let own =
                places.iter().filter(|(_, _, piece)| piece.row.is_some_and(|row| design.parts[row].id == part.id));
            let on = own
                .filter_map(|(place, off, _)| Some((place.as_ref()?, off)))
                .any(|(place, off)| is_wood(place, [behind[0] - off[0], behind[1] - off[1], behind[2] - off[2]], true));
            assert!(on, "{name}: {} stands beside its part", label.text);
        }

        // Along every edge some places: seen where nothing is marched into, hidden where something surely is.
        let (mut seen, mut hidden) = (0, 0);
        for (_, off, piece) in &places {
            let solid = piece.solid.clone().moved(*off);
            let long = |edge: &&[Vector; 2]| (0..3).any(|axis| (edge[0][axis] - edge[1][axis]).abs() > 2.0);
            for edge in solid.edges.iter().filter(long).step_by(3) {
                let pieces = exploded.drawn.scene.visible(*edge);
                for share in [0.21, 0.5, 0.83] {
                    let p: Vector = [0, 1, 2].map(|axis| edge[0][axis] + share * (edge[1][axis] - edge[0][axis]));
                    let spot = project(p);
                    let on = |[a, b]: &[Spot; 2]| {
                        let (du, dv) = (b.u - a.u, b.v - a.v);
                        let along = ((spot.u - a.u) * du + (spot.v - a.v) * dv) / (du * du + dv * dv);
                        let slack = 0.3 / libm::hypot(du, dv);
                        (along > slack && along < 1.0 - slack, (-slack..=1.0 + slack).contains(&along))
                    };
                    // Marched at four places round the edge, so that its own part's border decides nothing.
                    let around = [(0.25, 0.0), (-0.25, 0.0), (0.0, 0.25), (0.0, -0.25)];
                    let meets = |(u, v): (f64, f64), slopes: bool| {
                        let aside = Spot { u: spot.u + u, v: spot.v + v, ..spot };
                        closely(slopes).chain(steps(1.5)).any(|by| wood_at(back(aside, by), slopes))
                    };
                    if pieces.iter().any(|piece| on(piece).0) {
                        seen += 1;
                        assert!(
                            !around.iter().all(|by| meets(*by, false)),
                            "{name}: an edge at {p:?} is drawn, but hidden"
                        );
                    } else if !pieces.iter().any(|piece| on(piece).1) {
                        hidden += 1;
                        let any = around.iter().any(|by| meets(*by, true)) || request.blank.round().is_some();
                        assert!(any, "{name}: an edge at {p:?} is hidden by nothing");
                    }
                }
            }
        }
        assert!(seen > 10 && hidden > 3, "{name}: {seen} places seen, {hidden} hidden");
    }
}
