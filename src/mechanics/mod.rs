//! Estimates of how wood moves and bends.
//!
//! Everything here works in millimetres, newtons, N/mm2 and per cent of moisture, in `f64`; only
//! finished lengths go back to exact ticks, rounded to the safe side.

pub mod beam;
pub mod hold;
pub mod movement;
pub mod plate;
pub mod rail;
pub mod screw;
pub mod section;
pub mod spindle;

/// Newtons in one pound-force (0.453 592 37 kg x 9.806 65 m/s2, exact by definition).
pub const NEWTONS_PER_LBF: f64 = 4.448_221_615_260_5;

/// N/mm2 in one pound-force per square inch (one lbf over 25.4 mm squared).
pub const N_PER_MM2_PER_PSI: f64 = NEWTONS_PER_LBF / (25.4 * 25.4);
