//! Closed paths of lines and arcs, their offsets and their simplification, against published
//! formulas and against the crate `geo`.

use geo::{Area, BooleanOps, Contains, Distance, Euclidean, LineString, Polygon};
use sledwright::geometry::fit::{fit, outside};
use sledwright::geometry::hull::{boxed, critical_turns, hull};
use sledwright::geometry::offset::{OffsetFault, closed, offset};
use sledwright::geometry::path::{Edge, Mm, Path, PathFault, Vertex, circle_through, from_mm};
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::Length;

fn mm(x: f64, y: f64) -> Point {
    from_mm((x, y))
}

fn polygon(points: &[Mm]) -> Result<Path, PathFault> {
    Path::new(points.iter().map(|p| Vertex::line(mm(p.0, p.1))).collect())
}

fn near(found: f64, expected: f64, error: f64) {
    assert!((found - expected).abs() <= error, "{found} is not {expected}");
}

fn by_geo(ring: &[Mm]) -> Polygon {
    Polygon::new(LineString::from(ring.to_vec()), Vec::new())
}

/// A disc of radius 10 about (20, 15), of two half circles.
fn disc() -> Path {
    let vertices = vec![Vertex::arc(mm(10.0, 15.0), mm(20.0, 5.0)), Vertex::arc(mm(30.0, 15.0), mm(20.0, 25.0))];
    Path::new(vertices).expect("a disc")
}

/// A pebble with a cove: smooth, no two coordinates alike.
fn pebble(count: usize) -> Vec<Mm> {
    (0..count)
        .map(|step| {
            let turn = std::f64::consts::TAU * step as f64 / count as f64;
            let r = 100.0 + 22.0 * libm::cos(2.0 * turn + 0.3) + 9.0 * libm::sin(3.0 * turn);
            (150.0 + r * libm::cos(turn), 140.0 + r * libm::sin(turn))
        })
        .collect()
}

#[test]
fn shoelace_area_and_direction() {
    // Shoelace formula on (3,4) (5,11) (12,8) (9,5) (5,6), given clockwise: 30 (textbook example).
    let path = polygon(&[(3.0, 4.0), (5.0, 11.0), (12.0, 8.0), (9.0, 5.0), (5.0, 6.0)]).expect("simple");
    near(path.area_mm2(), 30.0, 1e-9);
    let counter = polygon(&[(5.0, 6.0), (9.0, 5.0), (12.0, 8.0), (5.0, 11.0), (3.0, 4.0)]).expect("simple");
    assert_eq!(path, counter, "turned the right way round, and begun where it was begun last");
}

#[test]
fn circles_through_three_points() {
    // Analytic geometry, worked by hand: a right angle at the origin has its hypotenuse as diameter;
    // the others from equal distances (5-12-13 and the like).
    let cases = [
        ([(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)], (2.0, 1.5), 2.5),
        ([(1.0, 1.0), (2.0, 4.0), (5.0, 3.0)], (3.0, 2.0), 5.0_f64.sqrt()),
        ([(0.0, 0.0), (10.0, 2.0), (20.0, 0.0)], (10.0, -24.0), 26.0),
    ];
    for ([a, b, c], centre, radius) in cases {
        let (found, r) = circle_through(a, b, c).expect("not on a line");
        near(found.0, centre.0, 1e-9);
        near(found.1, centre.1, 1e-9);
        near(r, radius, 1e-9);
    }
    assert_eq!(circle_through((0.0, 0.0), (5.0, 5.0), (9.0, 9.0)), None);
    // A semicircle of radius 6 over a chord of 12 is 6 pi long.
    near(Edge::new((0.0, 0.0), Some((6.0, -6.0)), (12.0, 0.0)).length(), 6.0 * std::f64::consts::PI, 1e-9);
}

#[test]
fn a_disc_of_arcs() {
    let disc = disc();
    near(disc.area_mm2(), 100.0 * std::f64::consts::PI, 1e-6);
    near(disc.length_mm(), 20.0 * std::f64::consts::PI, 1e-6);
    let bounds = Outline::Path(disc.clone()).bounds();
    assert_eq!(bounds, Rect::new(Length::MM * 10, Length::MM * 5, Length::MM * 30, Length::MM * 25));
    assert!(disc.contains((20.0, 24.9)) && disc.contains((12.0, 15.0)) && !disc.contains((12.0, 6.0)));
    near(disc.distance((20.0, 30.0)), 5.0, 1e-9);
    near(disc.distance((20.0, 18.0)), 7.0, 1e-9);
    // Every point flattened lies on the circle; the chords stay within the error stated.
    let ring = disc.flattened(0.01);
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        near(libm::hypot(a.0 - 20.0, a.1 - 15.0), 10.0, 1e-6);
        let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
        assert!(10.0 - libm::hypot(middle.0 - 20.0, middle.1 - 15.0) <= 0.01 + 1e-9);
    }
    // Grown by 3 it is a disc of radius 13, arcs and all.
    let grown = offset(&disc, 3.0).expect("grows");
    assert!(grown.has_arcs());
    near(grown.area_mm2(), 169.0 * std::f64::consts::PI, 1e-4);
    assert_eq!(offset(&disc, -11.0), Err(OffsetFault::Vanishes));
}

#[test]
fn what_is_no_path_is_told_with_its_place() {
    let bow = polygon(&[(0.0, 0.0), (40.0, 30.0), (40.0, 0.0), (0.0, 30.0)]);
    // The diagonals of a 40 x 30 rectangle meet in its middle.
    assert_eq!(bow, Err(PathFault::Crossing(1, 3, mm(20.0, 15.0))));
    assert_eq!(polygon(&[(0.0, 0.0), (40.0, 30.0)]), Err(PathFault::TooFew(2)));
    assert_eq!(
        polygon(&[(0.0, 0.0), (40.0, 0.0), (40.0, 0.0), (0.0, 30.0)]),
        Err(PathFault::Repeated(2, mm(40.0, 0.0)))
    );
    // Out along the bottom edge and half of the way back.
    assert_eq!(polygon(&[(0.0, 0.0), (40.0, 0.0), (20.0, 0.0), (20.0, 30.0)]), Err(PathFault::Spike(2, mm(40.0, 0.0))));
    // A corner that touches the far edge.
    let touching = polygon(&[(0.0, 0.0), (20.0, 30.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]);
    assert!(matches!(touching, Err(PathFault::Crossing(1, 4, _) | PathFault::Crossing(2, 4, _))), "{touching:?}");
    assert_eq!(polygon(&[(0.0, 0.0), (40.0, 0.0), (20.0, 0.001)]), Err(PathFault::NoArea));
    let arc = Path::new(vec![
        Vertex::arc(mm(0.0, 0.0), mm(50.0, 0.0)),
        Vertex::line(mm(40.0, 0.0)),
        Vertex::line(mm(20.0, 20.0)),
    ]);
    assert_eq!(arc, Err(PathFault::Arc(1, mm(0.0, 0.0))));
    assert_eq!(Path::new(vec![Vertex::line(mm(0.0, 0.0)); 30_000]), Err(PathFault::TooMany(30_000)));
}

#[test]
fn turned_mirrored_and_moved() {
    let path = polygon(&[(0.0, 0.0), (40.0, 0.0), (0.0, 30.0)]).expect("simple");
    let quarter = path.turned(90.0);
    assert_eq!(quarter.bounds(), Rect::new(-Length::MM * 30, Length::ZERO, Length::ZERO, Length::MM * 40));
    assert_eq!(path.turned(90.0).turned(-90.0), path);
    assert_eq!(path.turned(360.0), path);
    let mirrored = path.mirrored();
    assert_eq!(mirrored.bounds(), Rect::new(Length::ZERO, -Length::MM * 30, Length::MM * 40, Length::ZERO));
    assert_eq!(mirrored.mirrored().area_mm2(), path.area_mm2());
    near(disc().turned(33.0).area_mm2(), disc().area_mm2(), 1e-3);
}

#[test]
fn offsets_contain_what_they_were_grown_from_by_geo() {
    for (count, by) in [(24, 3.0), (90, 1.2), (400, 6.0)] {
        let ring = pebble(count);
        let path = polygon(&ring).expect("simple");
        near(path.area_mm2(), by_geo(&ring).unsigned_area(), 1e-3);
        let grown = offset(&path, by).expect("grows");
        let fine = grown.flattened(0.001);
        // Every point of the grown outline is exactly so far away, and geo finds the area that the
        // formula of Steiner gives for a convex corner outline from below.
        for p in &fine {
            near(path.distance(*p), by, 0.002);
        }
        let outer = by_geo(&fine);
        assert!(outer.contains(&by_geo(&ring)));
        near(grown.area_mm2(), outer.unsigned_area(), 0.001 * grown.length_mm());
        assert!(grown.area_mm2() > path.area_mm2() + by * path.length_mm() * 0.9);
        let back = offset(&grown, -by).expect("shrinks");
        let lost = by_geo(&ring).difference(&by_geo(&back.flattened(0.001))).unsigned_area();
        assert!(lost < 0.01 * path.length_mm(), "{lost} mm2 lost");
    }
}

#[test]
fn offsets_stand_off_by_what_was_asked_for_by_geo_and_by_steiner() {
    // Steiner's formula for a convex outline grown by r: area + perimeter r + pi r^2. A 3-4-5 triangle of
    // 90 x 120 x 150: 5400 + 360 r + pi r^2; a regular hexagon of side 50: 6495.19 + 300 r + pi r^2.
    let hexagon: Vec<Mm> = (0..6)
        .map(|corner| f64::from(corner) * std::f64::consts::FRAC_PI_3)
        .map(|turn| (80.0 + 50.0 * libm::cos(turn), 70.0 + 50.0 * libm::sin(turn)))
        .collect();
    let triangle = vec![(0.0, 0.0), (90.0, 0.0), (0.0, 120.0)];
    for (ring, area, perimeter) in [(&triangle, 5400.0, 360.0), (&hexagon, 1.5 * 3.0_f64.sqrt() * 50.0 * 50.0, 300.0)] {
        for by in [0.5, 1.2, 7.0] {
            let grown = offset(&polygon(ring).expect("simple"), by).expect("grows");
            near(grown.area_mm2(), area + perimeter * by + std::f64::consts::PI * by * by, 1e-2);
        }
    }
    for (ring, by) in [(triangle, 2.5), (hexagon, 4.0), (pebble(150), 1.4), (pebble(900), 5.0)] {
        let outline = by_geo(&ring);
        let path = polygon(&ring).expect("simple");
        for (moved, sign) in [(offset(&path, by), 1.0), (offset(&path, -by), -1.0)] {
            let moved = moved.expect("is simple");
            let fine = moved.flattened(0.0005);
            for (a, b) in fine.iter().zip(fine.iter().cycle().skip(1)) {
                for p in [*a, ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0)] {
                    let p = geo::Point::new(p.0, p.1);
                    near(Euclidean.distance(&p, outline.exterior()), by, 0.002);
                    assert_eq!(outline.contains(&p), sign < 0.0);
                }
            }
        }
    }
}

#[test]
fn coves_too_narrow_for_the_cutter_are_filled() {
    // A plate 100 x 60 with a slot 4 wide and 30 deep from above.
    let slotted = polygon(&[
        (0.0, 0.0),
        (100.0, 0.0),
        (100.0, 60.0),
        (52.0, 60.0),
        (52.0, 30.0),
        (48.0, 30.0),
        (48.0, 60.0),
        (0.0, 60.0),
    ])
    .expect("simple");
    // A disc of radius 3 enters the mouth by no more than its segment over a chord of 4:
    // 9 (a - sin a cos a) with sin a = 2/3, so 9 (0.7297 - 0.4969) = 2.095; the rest of the slot goes.
    near(closed(&slotted, 3.0).expect("closes").area_mm2(), 6000.0 - 2.095, 0.5);
    // A slot 4 wide lets a disc of radius 1 in; at its two inside corners r^2 (1 - pi/4) is filled each.
    let left = 6000.0 - 120.0 + 2.0 * (1.0 - std::f64::consts::FRAC_PI_4);
    near(closed(&slotted, 1.0).expect("closes").area_mm2(), left, 0.2);
    // Shrunk by 3 the two halves still hang together below the slot; by 16 nothing joins them.
    assert!(offset(&slotted, -3.0).is_ok());
    assert_eq!(offset(&slotted, -16.0), Err(OffsetFault::Splits(2)));
}

#[test]
fn fitted_paths_are_few_and_near_and_tell_what_lies_outside() {
    for (count, tolerance) in [(60, 0.3), (400, 0.1), (5000, 0.02)] {
        let ring = pebble(count);
        let fitted = fit(&ring, tolerance).expect("simple");
        assert!(fitted.path.vertices().len() * 2 < count, "{} of {count}", fitted.path.vertices().len());
        assert!(ring.iter().all(|p| fitted.path.distance(*p) <= tolerance + 1e-6));
        assert!(fitted.outside <= tolerance + 1e-6);
        // Grown by what lies outside, it holds the whole ring (geo).
        let grown = offset(&fitted.path, fitted.outside + 0.001).expect("grows");
        let out = by_geo(&ring).difference(&by_geo(&grown.flattened(0.0002))).unsigned_area();
        assert!(out < 0.001 * grown.length_mm(), "{out} mm2 outside");
        near(outside(&ring, &fitted.path), fitted.outside, 1e-12);
        // Where the list begins makes no difference.
        let mut rolled = ring.clone();
        rolled.rotate_left(count / 3);
        assert_eq!(fit(&rolled, tolerance).expect("simple").path, fitted.path);
    }
    // A circle of 360 points is a handful of arcs, with the radius it was drawn with.
    let round: Vec<Mm> = (0..360)
        .map(|degree| f64::from(degree).to_radians())
        .map(|turn| (50.0 + 40.0 * libm::cos(turn), 60.0 + 40.0 * libm::sin(turn)))
        .collect();
    let fitted = fit(&round, 0.05).expect("simple").path;
    assert!(fitted.vertices().len() <= 4, "{}", fitted.vertices().len());
    near(fitted.area_mm2(), 1600.0 * std::f64::consts::PI, 10.0);
}

#[test]
fn the_least_box_is_among_the_critical_turns() {
    // A 40 x 10 rectangle standing at 30 degrees: laid flat again by turning -30 = 150 degrees.
    let slanted = polygon(&[(0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (0.0, 10.0)]).expect("simple").turned(30.0);
    let corners = hull(&slanted.flattened(0.01));
    let turns = critical_turns(&corners, (&[], &[]));
    let least = turns.iter().min_by(|a, b| (a.length * a.width).total_cmp(&(b.length * b.width))).expect("some");
    near(least.length * least.width, 400.0, 1e-3);
    assert!((least.degrees - 150.0).abs() < 1e-6 || (least.degrees - 60.0).abs() < 1e-6, "{least:?}");
    // Against a dense sample of turns, with allowances round the box and least sizes, none is better.
    for (points, add, least_size) in
        [(pebble(40), (203.0, 38.0), (400.0, 150.0)), (pebble(7), (50.0, 80.0), (310.0, 310.0))]
    {
        let corners = hull(&points);
        let limits = (&[least_size.0 - add.0][..], &[least_size.1 - add.1][..]);
        let area = |length: f64, width: f64| (length + add.0).max(least_size.0) * (width + add.1).max(least_size.1);
        let found = critical_turns(&corners, limits)
            .iter()
            .map(|turn| area(turn.length, turn.width))
            .fold(f64::INFINITY, f64::min);
        let sampled = (0..36_000)
            .map(|step| boxed(&corners, f64::from(step) / 200.0))
            .map(|turn| area(turn.length, turn.width))
            .fold(f64::INFINITY, f64::min);
        assert!(found <= sampled + 1e-6, "{found} against {sampled}");
    }
}

/// Outlines of every kind of badness a tracing has, grown, shrunk and closed: answered, never more than
/// the roundings out, and never brought down.
#[test]
fn wild_outlines_are_offset_or_refused() {
    // Numbers from a fixed linear congruential generator (Knuth's constants).
    let mut state = 0x5eed_u64;
    let mut random = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    };
    let (mut grown_ones, mut shrunk_ones) = (0, 0);
    for round in 0..18 {
        let count = 5 + (random() * [12.0, 60.0, 300.0][round % 3]) as usize;
        let rough = random() * 40.0;
        let vertices: Vec<Mm> = (0..count)
            .map(|step| {
                let turn = std::f64::consts::TAU * step as f64 / count as f64;
                let r = 90.0 + rough * random();
                (150.0 + r * libm::cos(turn), 150.0 + r * libm::sin(turn))
            })
            .collect();
        let arcs = round % 2 == 0;
        let bent: Vec<Vertex> = vertices
            .iter()
            .zip(vertices.iter().cycle().skip(1))
            .map(|(a, b)| {
                let lift = (random() - 0.5) * 0.6;
                let via = ((a.0 + b.0) / 2.0 + lift * (b.1 - a.1), (a.1 + b.1) / 2.0 - lift * (b.0 - a.0));
                Vertex { point: mm(a.0, a.1), via: arcs.then(|| mm(via.0, via.1)) }
            })
            .collect();
        let Ok(path) = Path::new(bent) else { continue };
        for by in [0.8, 1.2, 3.0, 6.0] {
            let grown = offset(&path, by).expect("a single outline grows into one");
            grown_ones += 1;
            // Nothing of the grown outline is nearer or farther than it should be, but where coves met.
            for p in grown.flattened(0.002).iter().step_by(7) {
                near(path.distance(*p), by, 0.01);
            }
            let out = by_geo(&path.flattened(0.005)).difference(&by_geo(&grown.flattened(0.001))).unsigned_area();
            assert!(out < 1e-6, "{out} mm2 of outline {round} is not in it grown by {by}");
            // A step too short to have a direction has no normal: what stands on it would point anywhere.
            assert!(grown.edges().all(|edge| edge.length() > 5e-5), "outline {round}");
            if let Ok(back) = closed(&path, by) {
                assert!(back.edges().all(|edge| edge.length() > 5e-5), "outline {round} closed");
                let lost = by_geo(&path.flattened(0.001)).difference(&by_geo(&back.flattened(0.001)));
                assert!(lost.unsigned_area() < 0.006 * path.length_mm(), "{}", lost.unsigned_area());
            }
            if let Ok(shrunk) = offset(&path, -by) {
                shrunk_ones += 1;
                for p in shrunk.flattened(0.002).iter().step_by(7) {
                    near(path.distance(*p), by, 0.01);
                }
            }
        }
    }
    assert!(grown_ones > 40 && shrunk_ones > 20, "{grown_ones} and {shrunk_ones}");
}
