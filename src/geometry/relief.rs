//! Inside corners cut by a round cutter: what they leave, what their relief takes from the walls,
//! and whether a sharp blank seats without relief.
//!
//! All formulas follow from a circle of the cutter's radius touching both walls of the corner
//! (plane geometry, no source needed).

use crate::length::Length;

/// An inside corner and the cutter that makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    half_angle_sin: f64,
    half_angle_cos: f64,
    angle: f64,
    radius_mm: f64,
}

impl Corner {
    /// A corner of this interior angle in radians, cut with this radius.
    ///
    /// `None` unless the angle lies between zero and pi (a wall that turns outward leaves no
    /// fillet) and the radius is not negative.
    pub fn new(angle: f64, radius: Length) -> Option<Corner> {
        let valid = angle > 0.0 && angle < std::f64::consts::PI && radius >= Length::ZERO;
        valid.then(|| Corner {
            half_angle_sin: libm::sin(angle / 2.0),
            half_angle_cos: libm::cos(angle / 2.0),
            angle,
            radius_mm: radius.to_mm(),
        })
    }

    /// Distance from the fillet to the true corner, mm: `r (1 / sin(angle/2) - 1)`.
    ///
    /// This is also how far the cutter travels on along the bisector to make a diagonal relief.
    pub fn gap_mm(&self) -> f64 {
        self.radius_mm * (1.0 / self.half_angle_sin - 1.0)
    }

    /// Area of wood left between the fillet and the true corner, mm2:
    /// `r^2 (cot(angle/2) - (pi - angle)/2)`.
    pub fn area_left_mm2(&self) -> f64 {
        let cotangent = self.half_angle_cos / self.half_angle_sin;
        self.radius_mm * self.radius_mm * (cotangent - (std::f64::consts::PI - self.angle) / 2.0)
    }

    /// How far a diagonal relief, bored on the bisector through the true corner, cuts into each
    /// wall, mm: `r (1 - sin(angle/2))`.
    ///
    /// The same figure is the least clearance all round at which a sharp corner seats without
    /// relief.
    pub fn diagonal_bite_mm(&self) -> f64 {
        self.radius_mm * (1.0 - self.half_angle_sin)
    }

    /// Length of each wall that a diagonal relief removes, mm: `2 r cos(angle/2)`.
    pub fn diagonal_chord_mm(&self) -> f64 {
        2.0 * self.radius_mm * self.half_angle_cos
    }

    /// Whether a sharp corner of the same angle, drawn back by `clearance` from both walls, seats
    /// beside the fillet.
    pub fn clears(&self, clearance: Length) -> bool {
        clearance.to_mm() >= self.diagonal_bite_mm()
    }
}

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

/// Whether the sharp square corner of a blank seats in a pocket corner of `radius` when it stands
/// `clear_x` and `clear_y` off the two walls: `max(0, r - cx)^2 + max(0, r - cy)^2 <= r^2`, exactly.
///
/// A negative clearance is interference and never seats.
pub fn square_corner_seats(radius: Length, clear_x: Length, clear_y: Length) -> bool {
    if clear_x < Length::ZERO || clear_y < Length::ZERO {
        return false;
    }
    let r = i128::from(radius.or_zero().ticks());
    let short = |clear: Length| (r - i128::from(clear.ticks())).max(0);
    let (x, y) = (short(clear_x), short(clear_y));
    x * x + y * y <= r * r
}
