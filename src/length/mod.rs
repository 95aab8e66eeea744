//! Exact lengths.
//!
//! A [`Length`] is a whole number of *ticks*, chosen so that every mark a workshop uses is a whole
//! number of them: one micrometre, 1/1024 inch, 0.001 inch and one printer's point are all exact.
//! Arithmetic is integer arithmetic, so nothing drifts and nothing depends on the processor.

mod format;
mod lexis;
mod names;
mod parse;
mod value;

pub use format::Ruler;
pub use parse::{Measured, Note, SizeError, SizeErrorKind, looks_like_sizes, parse_measured, parse_ruler, parse_sizes};

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// A unit of length that a size may be typed or printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// International inch, exactly 25.4 mm.
    Inch,
    /// Millimetre.
    Millimetre,
}

/// An exact length, kept in ticks of 1/5 760 000 mm.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0);
    /// Ticks in one millimetre.
    pub const TICKS_PER_MM: i64 = 5_760_000;
    /// Ticks in one inch.
    pub const TICKS_PER_INCH: i64 = 146_304_000;
    /// One millimetre.
    pub const MM: Length = Length(Self::TICKS_PER_MM);
    /// One inch.
    pub const INCH: Length = Length(Self::TICKS_PER_INCH);

    /// A length of this many ticks.
    pub const fn from_ticks(ticks: i64) -> Length {
        Length(ticks)
    }

    /// The number of ticks.
    pub const fn ticks(self) -> i64 {
        self.0
    }

    /// `micrometres` thousandths of a millimetre, exactly.
    pub const fn micrometres(micrometres: i64) -> Length {
        Length(micrometres * (Self::TICKS_PER_MM / 1000))
    }

    /// `numerator/denominator` inches, to the nearest tick (exact for every denominator that
    /// divides 146 304 000, among them all powers of two to 1024, 3, 5, 10 and 1000).
    ///
    /// `denominator` must be positive.
    pub const fn inches(numerator: i64, denominator: i64) -> Length {
        Length(Self::TICKS_PER_INCH * numerator / denominator)
    }

    /// The length in millimetres, for drawing and for reports.
    pub fn to_mm(self) -> f64 {
        self.0 as f64 / Self::TICKS_PER_MM as f64
    }

    /// The length in inches, for drawing and for reports.
    pub fn to_inches(self) -> f64 {
        self.0 as f64 / Self::TICKS_PER_INCH as f64
    }

    /// The tick nearest to `mm` millimetres; `None` when not finite or out of range.
    pub fn from_mm(mm: f64) -> Option<Length> {
        let ticks = mm * Self::TICKS_PER_MM as f64;
        // 2^62 leaves headroom, so that sums of a few lengths cannot overflow.
        (ticks.is_finite() && ticks.abs() < 4.6e18).then(|| Length(libm::rint(ticks) as i64))
    }

    /// The least multiple of `step` that is not below this length. `step` must be positive.
    pub fn up(self, step: Length) -> Length {
        Length(-(-self.0).div_euclid(step.0) * step.0)
    }

    /// The greatest multiple of `step` that is not above this length. `step` must be positive.
    pub fn down(self, step: Length) -> Length {
        Length(self.0.div_euclid(step.0) * step.0)
    }

    /// The multiple of `step` nearest to this length, halves away from zero. `step` must be positive.
    pub fn nearest(self, step: Length) -> Length {
        let magnitude = Length(self.0.abs() + step.0 / 2).down(step);
        if self.0 < 0 { -magnitude } else { magnitude }
    }

    /// Half of this length, rounded up to a tick.
    pub fn half_up(self) -> Length {
        Length(-(-self.0).div_euclid(2))
    }

    /// Half of this length, rounded down to a tick.
    pub fn half(self) -> Length {
        Length(self.0.div_euclid(2))
    }

    /// The length without its sign.
    pub fn abs(self) -> Length {
        Length(self.0.abs())
    }

    /// Whether this is a whole number of `step`s. `step` must be positive.
    pub fn is_multiple_of(self, step: Length) -> bool {
        self.0 % step.0 == 0
    }

    /// Zero where the length is negative, else the length.
    pub fn or_zero(self) -> Length {
        self.max(Length::ZERO)
    }
}

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm ({} in)", self.to_mm(), self.to_inches())
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}

impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0 * times)
    }
}

/// How many times the divisor goes into the length, as a ratio for reports.
impl Div for Length {
    type Output = f64;
    fn div(self, other: Length) -> f64 {
        self.0 as f64 / other.0 as f64
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}
