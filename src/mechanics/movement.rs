//! How wood swells and shrinks, and how much moisture it takes from the air.
//!
//! Moisture content is in per cent of oven-dry weight. Changes are in mm, positive for swelling.

use crate::length::Length;

/// Moisture contents between which the change coefficients hold, per cent
/// (USDA Wood Handbook, table 13-5).
pub const COEFFICIENT_RANGE: std::ops::RangeInclusive<f64> = 6.0..=14.0;

/// Moisture content above which wood no longer swells, per cent: the Wood Handbook's default for
/// the fibre saturation point.
pub const FIBRE_SATURATION: f64 = 30.0;

/// Temperatures of the Wood Handbook's table 4-2 (30 to 270 degrees Fahrenheit), in Celsius.
pub const TEMPERATURE_RANGE: std::ops::RangeInclusive<f64> = (30.0 - 32.0) / 1.8..=(270.0 - 32.0) / 1.8;

/// Change of a width between two moisture contents, mm.
///
/// Between 6 and 14 % by [`change_by_coefficient`], else by [`change_by_shrinkage`] with the
/// shrinkage that belongs to the coefficient. `None` for a coefficient outside 0 to 0.01 or a
/// moisture content below zero or not finite.
pub fn change(width: Length, coefficient: f64, from: f64, to: f64) -> Option<f64> {
    change_by_coefficient(width, coefficient, from, to)
        .or_else(|| change_by_shrinkage(width, shrinkage_from_coefficient(coefficient)?, from, to))
}

/// Change of a width by its change coefficient (per % of moisture), mm:
/// `width x C x (to - from)` (USDA Wood Handbook, ch. 13, "Dimensional Change"; equation 13-2, its
/// number from memory).
///
/// `None` when either moisture content lies outside 6 to 14 %, where the coefficients do not hold,
/// or the coefficient outside 0 to 0.01.
pub fn change_by_coefficient(width: Length, coefficient: f64, from: f64, to: f64) -> Option<f64> {
    let holds = COEFFICIENT_RANGE.contains(&from) && COEFFICIENT_RANGE.contains(&to) && is_coefficient(coefficient);
    holds.then(|| width.to_mm() * coefficient * (to - from))
}

/// Change of a width by its shrinkage from green to oven-dry (per cent), mm:
/// `width (to - from) / (30 x 100/S - 30 + from)` (USDA Wood Handbook, ch. 13; equation 13-3, from
/// memory; it is exact for shrinkage in a straight line from 30 % moisture).
///
/// Moisture above 30 % counts as 30 %: wood does not move there. `None` for a shrinkage outside
/// 0 to 25 % or a moisture content below zero or not finite.
pub fn change_by_shrinkage(width: Length, shrinkage: f64, from: f64, to: f64) -> Option<f64> {
    let moisture = 0.0..=f64::MAX;
    if !moisture.contains(&from) || !moisture.contains(&to) || !(0.0..=25.0).contains(&shrinkage) {
        return None;
    }
    let (from, to) = (from.min(FIBRE_SATURATION), to.min(FIBRE_SATURATION));
    // Multiplied through by S, so that no shrinkage gives no change rather than a division by zero.
    let scale = FIBRE_SATURATION * 100.0 + shrinkage * (from - FIBRE_SATURATION);
    Some(width.to_mm() * shrinkage * (to - from) / scale)
}

/// The shrinkage from green to oven-dry, per cent, of a wood with this change coefficient (per % of
/// moisture, at 10 % moisture): `3000 C / (1 + 20 C)`.
///
/// Derived from straight-line shrinkage from 30 %; for nearly all single species it gives the
/// shrinkage that the Wood Handbook prints beside the coefficient. It does not hold for the cedars and
/// redwood, whose fibre saturation is near 22 %. `None` for a coefficient outside 0 to 0.01.
pub fn shrinkage_from_coefficient(coefficient: f64) -> Option<f64> {
    is_coefficient(coefficient).then(|| 3000.0 * coefficient / (1.0 + 20.0 * coefficient))
}

/// The largest printed coefficient is near 0.005; twice that is surely a slip.
fn is_coefficient(coefficient: f64) -> bool {
    (0.0..=0.01).contains(&coefficient)
}

/// Degrees Celsius for degrees Fahrenheit.
pub fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// Equilibrium moisture content of wood, per cent, at a temperature in Celsius and a relative
/// humidity as a fraction.
///
/// The Hailwood-Horrobin equation for two hydrates with Simpson's coefficients (USDA Wood Handbook,
/// ch. 4, equation 4-5), from which the handbook's table 4-2 was calculated. `None` outside 30 to
/// 270 degrees Fahrenheit or when the humidity is not at least 0 and below 1.
pub fn equilibrium_moisture(celsius: f64, humidity: f64) -> Option<f64> {
    if !TEMPERATURE_RANGE.contains(&celsius) || !(0.0..1.0).contains(&humidity) {
        return None;
    }
    let t = celsius;
    let w = 349.0 + 1.29 * t + 0.0135 * t * t;
    let k = 0.805 + 0.000_736 * t - 0.000_002_73 * t * t;
    let k1 = 6.27 - 0.009_38 * t - 0.000_303 * t * t;
    let k2 = 1.91 + 0.0407 * t - 0.000_293 * t * t;
    let kh = k * humidity;
    let single = k1 * kh;
    let double = k1 * k2 * kh * kh;
    Some(1800.0 / w * (kh / (1.0 - kh) + (single + 2.0 * double) / (1.0 + single + double)))
}
