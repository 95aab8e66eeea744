//! A carrier as a beam along the feed, on the bed and its stands, at every place the cutter works.

use crate::design::{Design, Part, Place, Role};
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::mechanics::NEWTONS_PER_LBF;
use crate::mechanics::beam::{Beam, Force, Stretch};
use crate::mechanics::section::{Layer, bonded};
use crate::request::{Request, Through};

/// Standard acceleration of free fall, m/s2 (BIPM, exact by definition).
const GRAVITY: f64 = 9.806_65;
/// No section is softer than this, N mm2: without any wood it would lie nowhere.
pub const SOFTEST: f64 = 1.0;
/// Places along the cut at which the carrier is looked at, beside its two ends.
const PLACES: usize = 10;

/// What comes of a carrier under the rollers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bearing {
    /// Most it gives at the cutter, up or down, mm; infinite where it tips.
    pub give: f64,
    /// Least number of times over it is held down against tipping off the bed and the stands.
    pub hold_down: f64,
}

/// Whether a part makes the carrier stiff along the feed.
fn carries(role: Role) -> bool {
    matches!(
        role,
        Role::Board
            | Role::Base
            | Role::FenceRail
            | Role::FarRail
            | Role::LeadEnd
            | Role::TrailEnd
            | Role::NestHalf
            | Role::Ring
            | Role::Web
    )
}

/// Width of an outline at a section, mm. A curved opening counts as its box: less wood, never more.
fn chord(outline: &Outline, x: f64) -> f64 {
    let bounds = outline.bounds();
    if x < bounds.x0.to_mm() || x > bounds.x1.to_mm() {
        return 0.0;
    }
    match outline {
        Outline::Rect(_) | Outline::Path(_) => bounds.width().to_mm(),
        Outline::Disc { centre, diameter } => {
            let (radius, off) = (diameter.to_mm() / 2.0, x - centre.x.to_mm());
            2.0 * (radius * radius - off * off).max(0.0).sqrt()
        }
        Outline::Polygon(points) => {
            let edges = points.iter().zip(points.iter().cycle().skip(1));
            let mut crossed: Vec<f64> = edges
                .filter_map(|(a, b)| {
                    let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
                    let (from, to) = (a.x.to_mm(), b.x.to_mm());
                    let inside = from <= x && x < to;
                    inside.then(|| a.y.to_mm() + (b.y - a.y).to_mm() * (x - from) / (to - from))
                })
                .collect();
            crossed.sort_by(f64::total_cmp);
            crossed.chunks_exact(2).map(|pair| pair[1] - pair[0]).sum()
        }
    }
}

/// Width of a blank at a section, mm: what it has there, as neither its weight nor its help is to be made
/// too much of.
fn own_chord(blank: &Outline, x: f64) -> f64 {
    let Outline::Path(path) = blank else { return chord(blank, x) };
    let ring = path.flattened(0.05);
    let edges = ring.iter().zip(ring.iter().cycle().skip(1));
    let mut crossed: Vec<f64> = edges
        .filter(|(a, b)| (a.0 <= x) != (b.0 <= x))
        .map(|(a, b)| a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0))
        .collect();
    crossed.sort_by(f64::total_cmp);
    crossed.chunks_exact(2).map(|pair| pair[1] - pair[0]).sum()
}

/// The wood of a place at a section, in layers between the heights at which something is cut away.
///
/// Of the round in a half of a nest, which is drawn whole, half lies in the part.
fn layers(place: &Place, x: f64, elasticity: f64, half: bool) -> Vec<Layer> {
    let whole = chord(&place.outline, x);
    let share = if half { 0.5 } else { 1.0 };
    let cut: Vec<(f64, f64, f64)> = place
        .voids
        .iter()
        .map(|void| (chord(&void.outline, x) * share, void.z0.to_mm(), void.z1.to_mm()))
        .filter(|(width, ..)| *width > 0.0)
        .collect();
    let mut heights = vec![place.z0.to_mm(), place.z1.to_mm()];
    heights.extend(cut.iter().flat_map(|(_, low, high)| [*low, *high]));
    heights.retain(|z| (place.z0.to_mm()..=place.z1.to_mm()).contains(z));
    heights.sort_by(f64::total_cmp);
    heights.dedup();
    let slabs = heights.iter().zip(heights.iter().skip(1));
    slabs
        .map(|(bottom, top)| {
            let gone: f64 = cut.iter().filter(|(_, low, high)| low <= bottom && high >= top).map(|cut| cut.0).sum();
            Layer { width: (whole - gone).max(0.0), bottom: *bottom, top: *top, elasticity }
        })
        .filter(|layer| layer.width > 0.0)
        .collect()
}

/// The carrier with its blanks as a beam. Parts are bonded to one another; a blank lies loose, and only
/// counts where it is stuck down or glued in, with what the cut leaves of it.
pub fn beam(request: &Request, design: &Design) -> Beam {
    let parts: Vec<&Part> = design.parts.iter().filter(|part| carries(part.role)).collect();
    let mut ends: Vec<Length> = vec![Length::ZERO, design.carrier.length];
    for place in parts.iter().flat_map(|part| &part.places) {
        for outline in std::iter::once(&place.outline).chain(place.voids.iter().map(|void| &void.outline)) {
            let bounds = outline.bounds();
            ends.extend([bounds.x0, bounds.x1]);
            if !matches!(outline, Outline::Rect(_)) {
                // What changes along the way is taken in four pieces.
                let quarter = Length::from_ticks(bounds.length().ticks() / 4);
                ends.extend((1..4).map(|piece| bounds.x0 + quarter * piece));
            }
        }
    }
    let blanks: Vec<Outline> = design.blank_outlines();
    let boxes: Vec<Rect> = blanks.iter().map(Outline::bounds).collect();
    for bounds in &boxes {
        let quarter = Length::from_ticks(bounds.length().ticks() / 4);
        ends.extend((0..4).map(|piece| bounds.x0 + quarter * piece).chain([bounds.x1]));
    }
    ends.retain(|x| (Length::ZERO..=design.carrier.length).contains(x));
    ends.sort_unstable();
    ends.dedup();
    let glued = design.joints.iter().any(|joint| joint.between.0 == "blank" || joint.between.1 == "blank");
    let (low, high) = (design.blank.z0.to_mm(), design.blank.z1.to_mm());
    let left = match request.carve.through {
        Through::No => (high - low - request.carve.depth.to_mm()).max(0.0),
        Through::Inside | Through::AllRound => 0.0,
    };
    let flat = design.blank.underside.is_none() && request.blank.round().is_none();
    let counts = flat && (glued || design.hold.bonds_underside());
    let heavy = |density: f64, volume: f64| density * 1e-9 * volume * GRAVITY;
    let stretches = ends.iter().zip(ends.iter().skip(1)).map(|(from, to)| {
        let x = (from.to_mm() + to.to_mm()) / 2.0;
        let mut wood: Vec<Layer> = Vec::new();
        let mut weight = 0.0;
        for part in &parts {
            let elasticity = request.elasticity_of(&part.material);
            for place in &part.places {
                for layer in layers(place, x, elasticity, part.role == Role::NestHalf) {
                    weight += heavy(part.density, layer.width * (layer.top - layer.bottom));
                    wood.push(layer);
                }
            }
        }
        let near = blanks.iter().zip(&boxes).filter(|(_, bounds)| bounds.x0.to_mm() <= x && x <= bounds.x1.to_mm());
        let across: f64 = near.map(|(blank, _)| own_chord(blank, x)).sum();
        weight += heavy(request.shop.estimates.blank_density, across * (high - low));
        let mut stiffness = bonded(&wood).max(SOFTEST);
        if counts {
            let elasticity = request.shop.estimates.loads.blank_along(design.turned);
            stiffness += bonded(&[Layer { width: across, bottom: 0.0, top: left, elasticity }]);
        }
        Stretch { from: from.to_mm(), to: to.to_mm(), stiffness, weight }
    });
    Beam { stretches: stretches.collect() }
}

/// Where the carrier is carried from below with the cutter at `at`: the ends of the bed and the edges of
/// its opening, and the stands.
pub fn supports(request: &Request, length: Length, at: f64) -> Vec<f64> {
    let machine = &request.machine;
    let (half, gap) = (machine.bed_length.to_mm() / 2.0, machine.bed_gap.to_mm().min(machine.bed_length.to_mm()) / 2.0);
    let reach = machine.cutter_to_roller.to_mm().min(half);
    // A whole bed carries under the rollers and the cutter as well.
    let out = if gap > 0.0 { vec![gap, half] } else { vec![reach, half] };
    let stands = request.stands_for(length);
    // The lead end goes out first.
    let (before, behind) = (stands.infeed.iter().map(|off| off.to_mm()), stands.outfeed.iter().map(|off| off.to_mm()));
    let mut found: Vec<f64> = out.iter().copied().chain(behind).map(|off| at - off).collect();
    found.extend(out.iter().copied().chain(before).map(|off| at + off));
    if gap <= 0.0 {
        found.push(at);
    }
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    found
}

/// Looks at a design with the cutter at places all along its cut: pressing down, and pulling up.
pub fn bearing(request: &Request, design: &Design) -> Bearing {
    let beam = beam(request, design);
    let estimates = &request.shop.estimates;
    let newtons = |lbf: f64| lbf * NEWTONS_PER_LBF;
    let (roller, plunge) = (newtons(estimates.loads.roller_force_lbf), newtons(estimates.loads.plunge_force_lbf));
    let lift = newtons(estimates.lift_force_lbf);
    let reach = request.machine.cutter_to_roller.to_mm();
    let (from, to) = (design.swept.x0.to_mm().max(0.0), design.swept.x1.to_mm().min(beam.length()));
    let mut found = Bearing { give: 0.0, hold_down: f64::INFINITY };
    for place in 0..=PLACES {
        let at = from + (to - from) * place as f64 / PLACES as f64;
        let rests = supports(request, design.carrier.length, at);
        let under = || rests.iter().copied().filter(|x| (0.0..=beam.length()).contains(x));
        let rollers: Vec<Force> = [at - reach, at + reach]
            .into_iter()
            .filter(|x| (0.0..=beam.length()).contains(x))
            .map(|at| Force { at, down: roller })
            .collect();
        let (first, last) = (under().fold(f64::INFINITY, f64::min), under().fold(f64::NEG_INFINITY, f64::max));
        // The rollers hold down; the cutter's pull is the least that is against them.
        for cutter in [plunge, -lift] {
            let mut forces = rollers.clone();
            forces.push(Force { at, down: cutter });
            if first <= last {
                found.hold_down = found.hold_down.min(beam.hold_down(first, last, &forces));
            } else {
                found.hold_down = 0.0;
            }
            let give = beam.lie(&rests, &forces).map_or(f64::INFINITY, |lie| beam.height(&lie, at, &forces).abs());
            found.give = found.give.max(give);
        }
    }
    found
}
