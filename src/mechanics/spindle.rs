//! How far a round springs between two supports.

use crate::length::Length;

/// Sag in the middle of a round of `diameter` on two supports `span` apart, mm: `F l^3 / (48 E I)` with
/// `I = pi d^4 / 64` (USDA Wood Handbook, ch. 9, equation 9-2 and table 9-1, without the shear term).
///
/// `force` is in N, `elasticity` in N/mm2. `None` when elasticity or diameter is not positive, or force
/// or span is negative.
pub fn round_sag_mm(force: f64, span: Length, elasticity: f64, diameter: Length) -> Option<f64> {
    let (l, d) = (span.to_mm(), diameter.to_mm());
    let valid = force >= 0.0 && l >= 0.0 && elasticity > 0.0 && d > 0.0;
    let inertia = std::f64::consts::PI * d * d * d * d / 64.0;
    valid.then(|| force * l * l * l / (48.0 * elasticity * inertia))
}
