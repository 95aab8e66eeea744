//! Inside corners cut by a round cutter: what their relief takes from the walls.
//!
//! The formulas follow from a circle of the cutter's radius through the corner (plane geometry, no
//! source needed).

use crate::length::Length;

/// How far a diagonal relief of a square corner cuts into each wall, rounded up to a tick:
/// `r (1 - 1/sqrt 2)`, about 0.2929 r. A negative radius counts as none.
pub fn square_diagonal_bite(radius: Length) -> Length {
    let r = i128::from(radius.or_zero().ticks());
    // The root is rounded down, so the bite is never understated.
    let along_wall = i64::try_from((r * r / 2).isqrt()).unwrap_or(0);
    radius.or_zero() - Length::from_ticks(along_wall)
}

/// How far a hole bored with its centre on the corner cuts into each wall: its radius.
pub fn bored_bite(diameter: Length) -> Length {
    diameter.half_up()
}
