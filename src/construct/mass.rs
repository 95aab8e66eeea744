//! What a finished carrier weighs with its blanks.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use super::Setting;
use crate::design::{Part, Place, Role, Void, VoidKind};
use crate::geometry::Outline;
use crate::geometry::contour::Contour;
use crate::length::Length;
use crate::request::Shape;

/// Mass of parts and blanks, kg.
pub fn mass_kg(setting: &Setting<'_>, parts: &[Part], blanks_mm3: f64) -> f64 {
    const MM3_PER_M3: f64 = 1e9;
    // Corners of a rectangle weigh next to nothing; those of rows of nests add up.
    let outlined = matches!(setting.request.blank.shape, Shape::Outline(_));
    let solid = |outline: &Outline, z0: Length, z1: Length| outline.area_mm2() * (z1 - z0).to_mm();
    let carrier: f64 = parts
        .iter()
        .map(|part| {
            let volume: f64 = part
                .places
                .iter()
                .map(|place| {
                    // A half-round is drawn as a whole disc cut from the edge, so half of it is in the
                    // part; of a bevel or a slope half its box is cut away.
                    let half = |void: &Void| {
                        part.role == Role::NestHalf || void.kind == VoidKind::Bevel || void.kind.is_slope()
                    };
                    let share = |void: &Void| if half(void) { 0.5 } else { 1.0 };
                    let voids: f64 = place
                        .voids
                        .iter()
                        .filter(|void| outlined || void.kind != VoidKind::Relief)
                        .map(|void| match void.kind {
                            VoidKind::FingerGap | VoidKind::Relief => {
                                beyond_pockets(void, place) * (void.z1 - void.z0).to_mm()
                            }
                            _ => share(void) * solid(&void.outline, void.z0, void.z1),
                        })
                        .sum();
                    solid(&place.outline, place.z0, place.z1) - voids
                })
                .sum();
            volume * part.density / MM3_PER_M3
        })
        .sum();
    carrier + blanks_mm3 * setting.request.shop.estimates.blank_density / MM3_PER_M3
}

/// Area of a finger gap or a relief that is not cut with a pocket already, mm2.
fn beyond_pockets(gap: &Void, place: &Place) -> f64 {
    // Chords this close to a round are no error of a weight.
    const CHORDS: f64 = 0.1;
    let ring = |outline: &Outline| -> Vec<[f64; 2]> {
        Contour::of(outline).flat(CHORDS).into_iter().map(|spot| [spot.x, spot.y]).collect()
    };
    let bounds = gap.outline.bounds();
    let pockets = place.voids.iter().filter(|void| void.kind == VoidKind::Pocket);
    let near: Vec<Vec<[f64; 2]>> =
        pockets.filter(|void| void.outline.bounds().meets(&bounds)).map(|void| ring(&void.outline)).collect();
    let left = vec![ring(&gap.outline)].overlay(&near, OverlayRule::Difference, FillRule::NonZero);
    let area = |ring: &Vec<[f64; 2]>| {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>() / 2.0
    };
    // Holes run the other way round.
    left.iter().map(|shape| shape.iter().map(area).sum::<f64>().abs()).sum()
}
