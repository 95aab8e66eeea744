//! Printing lengths on the user's own ruler.

use super::{Length, Unit};

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

    /// A millimetre ruler with marks every `micrometres`.
    pub const fn metric(micrometres: i64) -> Ruler {
        Ruler { unit: Unit::Millimetre, step: Length::micrometres(micrometres), decimal: true }
    }

    /// The same ruler with another step.
    pub const fn with_step(self, step: Length) -> Ruler {
        Ruler { step, ..self }
    }

    /// The number alone in the ruler's unit: `17-1/16`, `-1/32`, `2`, `445.5`.
    /// A value that is no mark of the ruler is printed exactly if it is a fraction to 1/64 or a
    /// short decimal, else at the nearest mark with `~` before it.
    pub fn number(&self, length: Length) -> String {
        let _ = length;
        todo!()
    }

    /// The number with its unit: `17-1/16 in`, `445.5 mm`.
    pub fn with_unit(&self, length: Length) -> String {
        let _ = length;
        todo!()
    }

    /// The value with the other unit in brackets: `17-1/16 in (433.4 mm)`, `445.5 mm (17.54 in)`.
    pub fn both(&self, length: Length) -> String {
        let _ = length;
        todo!()
    }
}
