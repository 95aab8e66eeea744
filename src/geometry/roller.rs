//! A roller that crosses a gap in the surface it presses on.
//!
//! A roller of radius `rho` over a gap `G` between edges of equal height sinks until it touches
//! both: `rho - sqrt(rho^2 - (G/2)^2)` (plane geometry, no source needed).

use crate::length::Length;

/// How far a roller sinks into a gap, mm. `None` when the gap swallows it (`G > 2 rho`).
/// A negative gap counts as none.
pub fn drop_mm(radius: Length, gap: Length) -> Option<f64> {
    let (rho, half) = (radius.to_mm(), gap.or_zero().to_mm() / 2.0);
    if half > rho {
        return None;
    }
    if half == 0.0 {
        return Some(0.0);
    }
    // The same as `rho - sqrt(...)`, without the loss of digits when the drop is small.
    Some(half * half / (rho + (rho * rho - half * half).sqrt()))
}

/// The widest gap into which a roller sinks by no more than `drop`, mm: `2 sqrt(2 rho d - d^2)`.
///
/// From a drop of one radius on it is the roller's diameter. Negative arguments count as none.
pub fn widest_gap_mm(radius: Length, drop: Length) -> f64 {
    let rho = radius.or_zero().to_mm();
    let d = drop.or_zero().to_mm().min(rho);
    2.0 * (2.0 * rho * d - d * d).sqrt()
}

/// [`widest_gap_mm`] rounded down to the ruler step, in whole-number arithmetic. `step` must be
/// positive.
pub fn widest_gap(radius: Length, drop: Length, step: Length) -> Length {
    let ticks = gap_squared(radius, drop).isqrt();
    Length::from_ticks(i64::try_from(ticks).unwrap_or(0)).down(step)
}

/// Whether a roller sinks into the gap by no more than `drop`, exactly.
pub fn carries_over(radius: Length, gap: Length, drop: Length) -> bool {
    let gap = i128::from(gap.or_zero().ticks());
    gap * gap <= gap_squared(radius, drop)
}

/// Square of the widest gap in ticks; only lengths beyond any the parser lets through saturate.
fn gap_squared(radius: Length, drop: Length) -> i128 {
    let rho = i128::from(radius.or_zero().ticks());
    let d = i128::from(drop.or_zero().ticks()).min(rho);
    (2 * rho * d - d * d).saturating_mul(4)
}
