//! The random jobs turned into kinds of blank that need more than a pocket: every carrier drawn for one
//! passes the verification, and enough are drawn to prove something.

use sledwright::geometry::Point;
use sledwright::geometry::path::{Path, Vertex};
use sledwright::length::{Length, Measured};
use sledwright::plan::check;
use sledwright::request::{Angle, CutApart, Drawn, Request, Shape, Slope, ThickEnd, Through};
use sledwright::solve::solve;

use crate::random::Random;
use crate::{Faults, jobs};

const JOBS: u64 = 600;

/// Solves every job that `change` can be made to; of the designs of this construction, and of all others,
/// every one must pass.
fn every_design_passes(construction: &str, least: usize, change: impl Fn(&mut Request, &mut Random) -> bool) {
    let (mut faults, mut drawn) = (Faults::default(), 0);
    for number in 0..JOBS {
        let mut request = jobs::job(number);
        let mut random = Random::new(0x6b1d_0000 + number);
        if !change(&mut request, &mut random) {
            continue;
        }
        for design in &mut solve(&request).designs {
            drawn += usize::from(design.construction == construction);
            for broken in check(&request, design) {
                let kind = format!("{} {:?} {}", broken.rule.id(), broken.status, design.construction);
                faults.note(kind, || format!("job {number} ({}): {broken:?}", design.variant));
            }
        }
    }
    assert!(faults.0.is_empty(), "{drawn} designs, faults:\n{}", faults.told());
    assert!(drawn >= least, "only {drawn} of {construction}");
}

#[test]
fn blanks_that_taper_in_thickness() {
    every_design_passes("taper-in-thickness", 60, |request, random| {
        let (Shape::Rectangle, Some(thick)) = (&request.blank.shape, &request.blank.thickness) else { return false };
        let share = random.whole(50, 95);
        let thin = Length::from_ticks(thick.nominal.ticks() / 100 * share);
        let uncertainty = thick.uncertainty.unwrap_or_default();
        let thin = Measured::exact(thin, uncertainty, request.units);
        let depth = request.carve.depth.min(thin.nominal);
        request.blank.slope =
            Some(Slope { thin, thick_end: if random.chance(50) { ThickEnd::Lead } else { ThickEnd::Fence } });
        request.carve.depth = depth;
        request.carve.through = Through::No;
        request.hold = None;
        request.construction = None;
        request.blank.fragile = false;
        true
    });
}

#[test]
fn parts_carved_in_a_strip() {
    every_design_passes("blind-pocket", 60, |request, random| {
        let cut_apart = if random.chance(50) { CutApart::HandSaw } else { CutApart::PowerSaw };
        request.blank.count = random.whole(1, 60) as u32;
        match request.in_strip(cut_apart) {
            Some(laid) => {
                *request = laid;
                true
            }
            None => false,
        }
    });
}

#[test]
fn rectangles_set_at_an_angle() {
    // Fewer than elsewhere: the cleats that are tried for each take a second or two.
    every_design_passes("outline-nest", 24, |request, random| {
        if request.blank.shape != Shape::Rectangle || request.machine.takes_whole_face() {
            return false;
        }
        let degrees = random.whole(1, 89) as f64 * if random.chance(50) { 1.0 } else { -1.0 };
        let (length, width) = (&request.blank.length, &request.blank.width);
        let Some((drawn, along, across, angle)) = Angle::set(degrees, length, width, request.units) else {
            return false;
        };
        let (blank, carve) = (&mut request.blank, &mut request.carve);
        (blank.shape, blank.angle) = (Shape::Outline(drawn), Some(angle));
        (blank.length, blank.width, blank.corner_radius) = (along, across, Length::ZERO);
        (blank.count, blank.turn_free) = (1, false);
        (carve.length, carve.width, carve.stated) = (blank.length.nominal, blank.width.nominal, false);
        (carve.margin_lead, carve.margin_trail) = (Length::ZERO, Length::ZERO);
        (carve.margin_fence, carve.margin_far) = (Length::ZERO, Length::ZERO);
        request.construction = None;
        true
    });
}

#[test]
fn blanks_loaded_again_and_again() {
    every_design_passes("repeat-loading", 40, |request, random| {
        if request.blank.shape != Shape::Rectangle || request.machine.takes_whole_face() {
            return false;
        }
        let (blank, carve) = (&mut request.blank, &mut request.carve);
        blank.count = random.whole(10, 60) as u32;
        blank.fragile = false;
        // Well inside the edges, where there is room for it.
        let margin = (carve.cutter.half_up() + carve.overrun).max(Length::inches(1, 8));
        let (long, wide) = (blank.length.nominal - margin * 2, blank.width.nominal - margin * 2);
        if long.min(wide) < Length::INCH {
            return false;
        }
        (carve.length, carve.width, carve.stated, carve.through) = (long, wide, true, Through::No);
        (carve.margin_lead, carve.margin_trail) = (margin, margin);
        (carve.margin_fence, carve.margin_far) = (margin, margin);
        request.hold = None;
        request.construction = Some("repeat-loading".to_owned());
        true
    });
}

/// Three to five corners round a box, arcs between some: triangles, kites, slanting plates, bays and noses.
fn random_outline(random: &mut Random, length: Length, width: Length) -> Option<Drawn> {
    let part = |size: Length, percent: i64| Length::from_ticks(size.ticks() / 100 * percent);
    let (long, wide) = (length, width);
    let zero = Length::ZERO;
    let cut = random.whole(0, 45);
    let corners: Vec<Point> = match random.whole(0, 3) {
        0 => vec![Point::new(zero, zero), Point::new(long, zero), Point::new(part(long, random.whole(0, 100)), wide)],
        1 => vec![
            Point::new(zero, zero),
            Point::new(long - part(long, cut), zero),
            Point::new(long, wide),
            Point::new(part(long, cut), wide),
        ],
        2 => vec![
            Point::new(part(long, 50), zero),
            Point::new(long, part(wide, random.whole(30, 70))),
            Point::new(part(long, 50), wide),
            Point::new(zero, part(wide, random.whole(30, 70))),
        ],
        _ => vec![
            Point::new(zero, zero),
            Point::new(long, part(wide, random.whole(20, 80))),
            Point::new(zero, wide),
            Point::new(part(long, random.whole(5, 30)), part(wide, 50)),
        ],
    };
    let bulge = random.whole(-12, 12);
    let next = corners.iter().cycle().skip(1);
    let vertices = corners.iter().zip(next).enumerate().map(|(place, (a, b))| {
        let middle = Point::new((a.x + b.x).half(), (a.y + b.y).half());
        // Square to the edge, outwards or inwards.
        let via = Point::new(middle.x + part(b.y - a.y, bulge), middle.y - part(b.x - a.x, bulge));
        Vertex { point: *a, via: (place == 1 && bulge != 0).then_some(via) }
    });
    let path = Path::new(vertices.collect()).ok()?.moved_to(zero, zero);
    Some(Drawn { path, error: Length::inches(1, 64), method: "random".to_owned(), first_station: None })
}

#[test]
fn rows_of_outlines() {
    every_design_passes("gang", 40, |request, random| {
        // Every pocket is verified: two jobs of five take long enough.
        if random.chance(60) || request.machine.takes_whole_face() || request.blank.shape != Shape::Rectangle {
            return false;
        }
        let (blank, carve) = (&mut request.blank, &mut request.carve);
        let size = |extent: Length, random: &mut Random| {
            extent.min(Length::INCH * random.whole(2, 7)).max(Length::inches(3, 2))
        };
        let (long, wide) = (size(blank.length.nominal, random), size(blank.width.nominal, random));
        let Some(drawn) = random_outline(random, long, wide) else { return false };
        let bounds = drawn.path.bounds();
        let measured = |extent: Length| Measured::exact(extent, drawn.error * 2, request.units);
        (blank.length, blank.width, blank.corner_radius) =
            (measured(bounds.length()), measured(bounds.width()), Length::ZERO);
        blank.shape = Shape::Outline(drawn);
        blank.count = random.whole(2, 40) as u32;
        blank.turn_free = random.chance(60);
        (carve.length, carve.width, carve.stated) = (blank.length.nominal, blank.width.nominal, false);
        (carve.margin_lead, carve.margin_trail) = (Length::ZERO, Length::ZERO);
        (carve.margin_fence, carve.margin_far) = (Length::ZERO, Length::ZERO);
        request.hold = None;
        request.construction = Some("gang".to_owned());
        true
    });
}
