//! Printing lengths on the user's own ruler.

use super::{Length, Unit};

/// Fractions this fine are still printed as fractions when they fall between the ruler's marks.
const FINEST_FRACTION: i128 = 128;

/// The user's own ruler: unit, step, and whether it is read in fractions or decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ruler {
    /// Unit printed first.
    pub unit: Unit,
    /// Distance between two marks.
    pub step: Length,
    /// Decimal inches instead of fractions (millimetres are always decimal).
    pub decimal: bool,
}

impl Ruler {
    /// An inch ruler in fractions with marks every `1/denominator`.
    pub const fn inch(denominator: i64) -> Ruler {
        Ruler { unit: Unit::Inch, step: Length::inches(1, denominator), decimal: false }
    }

    /// An inch ruler in decimals with marks every `1/denominator`.
    pub const fn decimal_inch(denominator: i64) -> Ruler {
        Ruler { unit: Unit::Inch, step: Length::inches(1, denominator), decimal: true }
    }

    /// A millimetre ruler with marks every `micrometres`.
    pub const fn metric(micrometres: i64) -> Ruler {
        Ruler { unit: Unit::Millimetre, step: Length::micrometres(micrometres), decimal: true }
    }

    /// The same ruler with another step.
    pub const fn with_step(self, step: Length) -> Ruler {
        Ruler { step, ..self }
    }

    /// The number alone in the ruler's unit: `17-1/16`, `-1/32`, `2`, `445.5`.
    ///
    /// A value between the marks is printed exactly when that is short: a fraction to 1/128 in, a
    /// decimal to 0.001 in or 0.01 mm. Any other is printed to the nearest 0.001 in or 0.1 mm, which
    /// a caliper reads. Decimal inches keep the zeros of the ruler's step (`0.750` on a 0.001 in ruler).
    pub fn number(&self, length: Length) -> String {
        let ticks = i128::from(length.ticks());
        // The step is public; a step of nothing must not divide by zero.
        let step = i128::from(self.step.ticks()).max(1);
        let exact = match self.unit {
            Unit::Millimetre => exact_decimal(ticks, MM, 2, 0),
            Unit::Inch if self.decimal => decimal_inches(ticks, step),
            Unit::Inch if ticks % step == 0 || ticks % (INCH / FINEST_FRACTION) == 0 => Some(fraction(ticks)),
            Unit::Inch => exact_decimal(ticks, INCH, 3, 0),
        };
        exact.unwrap_or_else(|| match self.unit {
            Unit::Millimetre => fixed(ticks, MM, 1, 1),
            Unit::Inch => fixed(ticks, INCH, 3, 3),
        })
    }

    /// The number with its unit: `17-1/16 in`, `445.5 mm`.
    pub fn with_unit(&self, length: Length) -> String {
        format!("{} {}", self.number(length), symbol(self.unit))
    }

    /// The value with the other unit in brackets: `17-1/16 in (433.4 mm)`, `445.5 mm (17.54 in)`.
    ///
    /// The bracket is rounded to 0.1 mm (0.01 mm below 10 mm) or 0.01 in (0.001 in below 1 in).
    pub fn both(&self, length: Length) -> String {
        format!("{} ({})", self.with_unit(length), other_unit(length, self.unit))
    }
}

const MM: i128 = Length::TICKS_PER_MM as i128;
const INCH: i128 = Length::TICKS_PER_INCH as i128;

/// The length in the unit that is not `unit`, rounded for reading.
fn other_unit(length: Length, unit: Unit) -> String {
    let ticks = i128::from(length.ticks());
    match unit {
        Unit::Inch => format!("{} mm", fixed(ticks, MM, if ticks.abs() < 10 * MM { 2 } else { 1 }, 0)),
        Unit::Millimetre => format!("{} in", fixed(ticks, INCH, if ticks.abs() < INCH { 3 } else { 2 }, 0)),
    }
}

/// The length rounded to 0.0001 in, for messages that set two readings side by side.
pub(super) fn inches_for_message(length: Length) -> String {
    format!("{} in", fixed(i128::from(length.ticks()), INCH, 4, 0))
}

/// The length rounded to 0.001 mm, for messages that set two readings side by side.
pub(super) fn millimetres_for_message(length: Length) -> String {
    format!("{} mm", fixed(i128::from(length.ticks()), MM, 3, 0))
}

fn symbol(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "in",
        Unit::Millimetre => "mm",
    }
}

/// How many whole `step`s are nearest, halves away from zero.
fn nearest(ticks: i128, step: i128) -> i128 {
    (2 * ticks.abs() + step) / (2 * step) * ticks.signum()
}

/// A reduced fraction of inches with a dash between whole number and fraction.
fn fraction(ticks: i128) -> String {
    let sign = if ticks < 0 { "-" } else { "" };
    let (whole, rest) = (ticks.abs() / INCH, ticks.abs() % INCH);
    let common = greatest_common_divisor(rest, INCH);
    let (top, bottom) = (rest / common, INCH / common);
    match (whole, top) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}{top}/{bottom}"),
        _ => format!("{sign}{whole}-{top}/{bottom}"),
    }
}

fn greatest_common_divisor(a: i128, b: i128) -> i128 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

/// Decimal inches with the zeros of the step kept; `None` when the value has no short exact decimal.
fn decimal_inches(ticks: i128, step: i128) -> Option<String> {
    // 1/128 in is the finest step with a finite decimal that is let through, and has 7 places.
    let keep = (0..=7).find(|&places| (step * ten_to(places)) % INCH == 0).unwrap_or(0);
    if ticks % step == 0 || ticks % (INCH / FINEST_FRACTION) == 0 {
        exact_decimal(ticks, INCH, 7, keep)
    } else {
        exact_decimal(ticks, INCH, 3, keep)
    }
}

/// The decimal with at most `places` and at least `keep` places, if it is exact.
fn exact_decimal(ticks: i128, unit: i128, places: u32, keep: u32) -> Option<String> {
    ((ticks * ten_to(places)) % unit == 0).then(|| fixed(ticks, unit, places, keep))
}

/// The decimal rounded to `places`, with trailing zeros beyond `keep` places dropped.
fn fixed(ticks: i128, unit: i128, places: u32, keep: u32) -> String {
    let mut places = places;
    let mut scaled = nearest(ticks * ten_to(places), unit);
    while places > keep && scaled % 10 == 0 {
        scaled /= 10;
        places -= 1;
    }
    let sign = if scaled < 0 { "-" } else { "" };
    let (whole, rest) = (scaled.abs() / ten_to(places), scaled.abs() % ten_to(places));
    if places == 0 {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{rest:0width$}", width = places as usize)
    }
}

fn ten_to(places: u32) -> i128 {
    10_i128.pow(places)
}
