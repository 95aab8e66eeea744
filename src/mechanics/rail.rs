//! How wide a rail must be that is held only at its ends.

use crate::length::Length;

/// The narrowest rail, held only at its two ends, that the far guide bows by no more than `sag`.
///
/// A beam on two supports with the force in the middle bows by `F l^3 / (48 E I)`, with
/// `I = height x width^3 / 12` (USDA Wood Handbook, ch. 9, equation 9-2 and table 9-1, without the
/// shear term; Roark's Formulas for Stress and Strain, table 8.1). Solved for the width:
/// `cube root of (F l^3 / (4 E height sag))`, rounded up to a tick. Shear adds a few per cent for
/// rails shorter than ten times their width.
///
/// `force` is in N, `elasticity` in N/mm2; for lbf and psi multiply by
/// [`super::NEWTONS_PER_LBF`] and [`super::N_PER_MM2_PER_PSI`]. `None` when elasticity, height or sag is
/// not positive, force or span is negative, or the answer is out of range.
pub fn least_width(force: f64, span: Length, elasticity: f64, height: Length, sag: Length) -> Option<Length> {
    let (l, height_mm, sag_mm) = (span.to_mm(), height.to_mm(), sag.to_mm());
    let valid = force >= 0.0 && l >= 0.0 && elasticity > 0.0 && height_mm > 0.0 && sag_mm > 0.0;
    if !valid {
        return None;
    }
    let width_mm = libm::cbrt(force * l * l * l / (4.0 * elasticity * height_mm * sag_mm));
    let width = Length::from_mm(width_mm)?;
    Some(if width.to_mm() < width_mm { width + Length::from_ticks(1) } else { width })
}
