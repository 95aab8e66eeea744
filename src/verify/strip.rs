//! A strip whose parts are sawn apart after carving: webs, hold under each part, ends to hold it by.

use super::*;
use crate::request::{CutApart, Strip};
use Relation::{AtLeast, Equal};

/// Safety factor wanted of the bond under each part.
const FACTOR: f64 = 3.0;
const SQUARE_INCH_MM2: f64 = 25.4 * 25.4;
/// Web beside a cutter that passes between two parts.
const BESIDE_CUTTER: Length = Length::inches(1, 8);
/// What a power saw wants at both ends.
const HAND_HOLD: Length = Length::inches(6, 1);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let Some(strip) = &case.request.blank.strip else { return };
    let blanks = case.design.blank_outlines();
    let parts = case.design.strip_parts(strip);
    let made = parts.len() * case.request.blank.count as usize / blanks.len().max(1);
    numbers(checks, Rule::StripWeb, "parts in all strips", made as f64, AtLeast, strip.wanted as f64, "");
    // The first strip stands for all: they are alike.
    let own: Vec<Rect> = parts.iter().copied().filter(|part| holds(case.blank, *part)).collect();
    numbers(checks, Rule::StripWeb, "parts in a strip", own.len() as f64, Equal, strip.each as f64, "");
    webs(case, strip, &own, checks);
    hold(case, strip, &own, checks);
    carved(case, strip, &own, checks);
}

/// Distance of two parts along the strip.
fn apart(case: &Case, one: &Rect, other: &Rect) -> Length {
    if case.design.turned { one.y0 - other.y1 } else { other.x0 - one.x1 }
}

fn webs(case: &Case, strip: &Strip, parts: &[Rect], checks: &mut Vec<Check>) {
    let (shop, carve) = (&case.request.shop, &case.request.carve);
    let saw = shop.kerf + shop.tolerance * 2;
    let (part, area) = (Rect::sized(Length::ZERO, Length::ZERO, strip.length, strip.width), strip.carve);
    let rim = area.x0.min(area.y0).min(part.x1 - area.x1).min(part.y1 - area.y1);
    let stays = rim >= carve.cutter.half_up() + carve.overrun && rim > Length::ZERO;
    let least = if stays { saw } else { saw.max(carve.cutter + BESIDE_CUTTER) };
    let web = parts.iter().zip(parts.iter().skip(1)).map(|(one, other)| apart(case, one, other)).min();
    if let Some(web) = web {
        lengths(checks, Rule::StripWeb, "web between parts", web, AtLeast, least);
    }
    let (Some(first), Some(last)) = (parts.first(), parts.last()) else { return };
    let (lead, trail) = if case.design.turned {
        (case.blank.y1 - first.y1, last.y0 - case.blank.y0)
    } else {
        (first.x0 - case.blank.x0, case.blank.x1 - last.x1)
    };
    lengths(checks, Rule::StripWeb, "strip beyond its end parts", lead.min(trail), AtLeast, least);
    if strip.cut_apart == CutApart::PowerSaw {
        lengths(checks, Rule::HandHold, "end of the strip", lead.min(trail), AtLeast, HAND_HOLD);
    }
}

/// Each part with its share of the strip as wide as it is.
fn hold(case: &Case, strip: &Strip, parts: &[Rect], checks: &mut Vec<Check>) {
    let estimates = &case.request.shop.estimates;
    let (long, wide) = if case.design.turned {
        (case.blank.width(), case.blank.length())
    } else {
        (case.blank.length(), case.blank.width())
    };
    let web = parts.iter().zip(parts.iter().skip(1)).map(|(one, other)| apart(case, one, other)).min();
    let share = web.map_or(long, |web| web + strip.length).to_mm() * wide.to_mm();
    let factor = share / SQUARE_INCH_MM2 * estimates.bond_psi(case.design.hold).0 / estimates.lift_force_lbf;
    numbers(checks, Rule::StripHold, "lift factor of one part's share", factor, AtLeast, FACTOR, "");
}

/// The carve area of the strip holds that of every part.
fn carved(case: &Case, strip: &Strip, parts: &[Rect], checks: &mut Vec<Check>) {
    let area = case.design.carve;
    let outside = parts.iter().filter(|part| {
        let own = strip.carve;
        let placed = if case.design.turned {
            Rect::sized(part.x0 + own.y0, part.y1 - own.x1, own.width(), own.length())
        } else {
            own.moved(part.x0, part.y0)
        };
        !holds(area, placed)
    });
    none_of(checks, Rule::StripWeb, "parts carved beyond the carve area", outside.count());
}
