//! The random jobs turned into kinds of blank that need more than a pocket: every carrier drawn for one
//! passes the verification, and enough are drawn to prove something.

use sledwright::length::{Length, Measured};
use sledwright::plan::check;
use sledwright::request::{Angle, CutApart, Request, Shape, Slope, ThickEnd, Through};
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
    every_design_passes("outline-nest", 60, |request, random| {
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
