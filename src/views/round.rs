//! Blanks that are round in section, and the strips they lie on, in the sections.

use super::Section;
use crate::design::{Design, Place, Role, VoidKind};
use crate::geometry::Outline;
use crate::length::Length;
use crate::request::{Level, Request, Round, RoundKind, arc_radius_mm};
use crate::setup::{contacts, cradle_figures};

/// Chords in which a whole round is drawn.
const CHORDS: u32 = 96;

/// Radius and height of the centre of a round blank at `x`, mm, and the least and greatest height of
/// its section.
fn section_at(round: &Round, design: &Design, x: f64) -> (f64, f64, f64, f64) {
    let blank = &design.blank;
    let bounds = blank.outline.bounds();
    let (z0, z1, width) = (blank.z0.to_mm(), blank.z1.to_mm(), bounds.width().to_mm());
    match &round.kind {
        RoundKind::Rod => (width / 2.0, (z0 + z1) / 2.0, z0, z1),
        RoundKind::RoundUp => {
            let radius = arc_radius_mm(width, z1 - z0);
            (radius, z1 - radius, z0, z1)
        }
        RoundKind::FlatUp => {
            let radius = arc_radius_mm(width, z1 - z0);
            (radius, z0 + radius, z0, z1)
        }
        RoundKind::Spindle { small, thick_leads, level } => {
            let share = ((x - bounds.x0.to_mm()) / bounds.length().to_mm().max(1e-9)).clamp(0.0, 1.0);
            let share = if *thick_leads { share } else { 1.0 - share };
            let radius = (width + (small.nominal.to_mm() - width) * share) / 2.0;
            let centre = match level {
                Level::Crown => z1 - radius,
                Level::Axis => z1 - width / 2.0,
            };
            (radius, centre, centre - radius, centre + radius)
        }
    }
}

/// The cut face of a round blank as a ring: along the section and up, mm. `None` for any other blank,
/// and where the cut misses it.
pub(super) fn blank_ring(request: &Request, design: &Design, which: Section, at: f64) -> Option<Vec<(f64, f64)>> {
    let round = request.blank.round()?;
    let bounds = design.blank.outline.bounds();
    let (x0, x1) = (bounds.x0.to_mm(), bounds.x1.to_mm());
    match which {
        Section::Along => {
            let (.., low0, high0) = section_at(round, design, x0);
            let (.., low1, high1) = section_at(round, design, x1);
            Some(vec![(x0, low0), (x1, low1), (x1, high1), (x0, high0)])
        }
        _ if at <= x0 || at >= x1 => None,
        _ => {
            let middle = (bounds.y0 + bounds.y1).to_mm() / 2.0;
            let (radius, centre, low, high) = section_at(round, design, at);
            let turns = (0..CHORDS).map(|step| f64::from(step) / f64::from(CHORDS) * std::f64::consts::TAU);
            let mut ring: Vec<(f64, f64)> = turns
                .map(|turn| (middle + radius * libm::cos(turn), centre + radius * libm::sin(turn)))
                .filter(|(_, z)| (low..=high).contains(z))
                .collect();
            if round.kind == RoundKind::RoundUp || round.kind == RoundKind::FlatUp {
                // The flat, corner to corner; corners in order round the middle of the section.
                let (half, flat) =
                    (bounds.width().to_mm() / 2.0, if round.kind == RoundKind::FlatUp { high } else { low });
                ring.extend([(middle - half, flat), (middle + half, flat)]);
                let inner = (low + high) / 2.0;
                let turn = |p: &(f64, f64)| libm::atan2(p.1 - inner, p.0 - middle);
                ring.sort_by(|a, b| turn(a).total_cmp(&turn(b)));
            }
            Some(ring)
        }
    }
}

/// The two ends of a round blank as rings of as many corners, counter-clockwise seen from the trail end:
/// from the fence edge and up, mm. `None` for any other blank.
pub(super) fn blank_ends(request: &Request, design: &Design) -> Option<[Vec<(f64, f64)>; 2]> {
    let round = request.blank.round()?;
    let bounds = design.blank.outline.bounds();
    if !matches!(round.kind, RoundKind::Spindle { .. }) {
        let middle = bounds.centre().x.to_mm();
        let ring = blank_ring(request, design, Section::Across, middle)?;
        return Some([ring.clone(), ring]);
    }
    let middle = (bounds.y0 + bounds.y1).to_mm() / 2.0;
    let ring = |x: Length| {
        let (radius, centre, ..) = section_at(round, design, x.to_mm());
        let turns = (0..CHORDS / 2).map(|step| f64::from(step) / f64::from(CHORDS / 2) * std::f64::consts::TAU);
        turns.map(|turn| (middle + radius * libm::cos(turn), centre + radius * libm::sin(turn))).collect()
    };
    Some([ring(bounds.x0), ring(bounds.x1)])
}

/// The cut face of a bevelled strip: a ring across the feed, nothing along it, where the cut runs
/// through the bottom of the V. `None` for a part without a bevel.
pub(super) fn strip_ring(place: &Place, which: Section, at: f64) -> Option<Vec<(f64, f64)>> {
    let void = place.voids.iter().find(|void| void.kind == VoidKind::Bevel)?;
    let (strip, cut) = (place.outline.bounds(), void.outline.bounds());
    if which == Section::Along || at <= strip.x0.to_mm() || at >= strip.x1.to_mm() {
        return Some(Vec::new());
    }
    let (z0, z1) = (place.z0.to_mm(), place.z1.to_mm());
    let (y0, y1) = (strip.y0.to_mm(), strip.y1.to_mm());
    // The top ends where the bevel begins.
    let (t0, t1) = if cut.y1 >= strip.y1 { (y0, cut.y0.to_mm()) } else { (cut.y1.to_mm(), y1) };
    Some(vec![(y0, z0), (y1, z0), (t1, z1), (t0, z1)])
}

/// Heights above the bed in the section across at `at`: each with where it is, from the fence edge.
pub(super) fn heights(request: &Request, design: &Design, at: f64) -> Vec<(Length, Length)> {
    let Some(round) = request.blank.round() else { return Vec::new() };
    let zero = Length::ZERO;
    let mut heights = vec![(zero, zero), (design.carrier.thickness, zero)];
    let cut = |outline: &Outline| (outline.bounds().x0.to_mm()..=outline.bounds().x1.to_mm()).contains(&at);
    for part in &design.parts {
        for place in part.places.iter().filter(|place| cut(&place.outline)) {
            let start = place.outline.bounds().y0;
            match part.role {
                Role::Base | Role::CradleRiser | Role::CradleStrip => heights.push((place.z1, start)),
                _ => {}
            }
        }
    }
    let here = |joint: &&crate::design::Joint| (joint.contact.x0.to_mm()..=joint.contact.x1.to_mm()).contains(&at);
    if round.kind != RoundKind::RoundUp
        && let Some(joint) = contacts(design).find(here)
    {
        heights.push((joint.z0, joint.contact.y0));
    }
    let crown = design.blank.z1;
    if !super::nearly_level(crown, design.carrier.thickness) {
        heights.push((crown, (design.blank.outline.bounds().y0 + design.blank.outline.bounds().y1).half()));
    }
    heights
}

/// What is said of a cradle beside its sections: centre line, contact, crown and turn stop.
pub fn cradle_lines(request: &Request, design: &Design) -> Vec<String> {
    let (Some(round), Some(figures)) = (request.blank.round(), cradle_figures(request, design)) else {
        return Vec::new();
    };
    let depth = |length: Length| request.shop.depth_ruler.with_unit(length.nearest(request.shop.depth_ruler.step));
    let mut lines = vec![format!("Centre line {} from the fence edge.", depth(figures.centre_line))];
    let bevelled = figures.bevelled == Some(true);
    for stretch in &figures.stretches {
        let lead = stretch.from < design.carrier.length.half();
        let place = match (figures.stretches.len() > 1, bevelled) {
            (true, true) if lead => "Lead block: apex of the V",
            (true, true) => "Trail block: apex of the V",
            (true, false) if lead => "Lead block: foot of the strips",
            (true, false) => "Trail block: foot of the strips",
            (false, true) => "Apex of the V",
            (false, false) => "Foot of the strips",
        };
        lines.push(format!(
            "{place} {}, line of contact {} above the bed face, {} to each side of the centre line.",
            depth(stretch.foot),
            depth(stretch.contact),
            depth(stretch.aside)
        ));
    }
    let top = match &round.kind {
        RoundKind::FlatUp => "Flat",
        RoundKind::Spindle { level: Level::Axis, .. } => "AXIS level. Crown at the thick end",
        RoundKind::Spindle { .. } => "CROWN level,",
        RoundKind::Rod | RoundKind::RoundUp => "Crown",
    };
    lines.push(format!(
        "{top} {} above the bed face; rails {}.",
        depth(figures.crown),
        depth(design.carrier.thickness)
    ));
    lines.push(if figures.bevelled.is_none() {
        "Walls touch only the bottom corners: card on BOTH sides.".to_owned()
    } else {
        "TURN STOP: hot glue along both lines of contact. No cradle stops a round from turning.".to_owned()
    });
    lines
}
