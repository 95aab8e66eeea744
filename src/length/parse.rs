//! Reading sizes as people write them.

use super::{Length, Ruler, Unit};

/// Something worth repeating to the user about how a size was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Note {
    /// Only one reading was given.
    OneReading,
    /// The value is not a mark on any ruler (`12 1/3`, `7/10`).
    NotARulerMark,
    /// More than eleven inches beside feet (`5' 14"`).
    InchesOverTwelve,
    /// The reading is approximate (`~6`, `about 6`).
    Approximate,
    /// Moved by `strong`, `full`, `bare` or `scant`.
    Shaded,
}

/// One dimension as measured: one or several readings and how sure they are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Measured {
    /// Largest reading (moved by strong/scant where said).
    pub largest: Length,
    /// Smallest reading.
    pub smallest: Length,
    /// Mean of the readings, to the nearest tick; used for centring and for glued-up edges.
    pub nominal: Length,
    /// Measuring uncertainty of one reading, plus or minus; `None` until the request fills it in.
    pub uncertainty: Option<Length>,
    /// How many readings were given.
    pub readings: usize,
    /// Unit the user typed.
    pub unit: Unit,
    /// The text as typed.
    pub text: String,
    /// What is worth repeating to the user.
    pub notes: Vec<Note>,
}

impl Measured {
    /// A single exact reading with a stated uncertainty.
    pub fn exact(length: Length, uncertainty: Length, unit: Unit) -> Measured {
        Measured {
            largest: length,
            smallest: length,
            nominal: length,
            uncertainty: Some(uncertainty),
            readings: 1,
            unit,
            text: String::new(),
            notes: Vec::new(),
        }
    }

    /// The largest the piece can be: largest reading plus uncertainty (none if not filled in).
    pub fn high(&self) -> Length {
        self.largest + self.uncertainty.unwrap_or(Length::ZERO)
    }

    /// The smallest the piece can be: smallest reading less uncertainty (none if not filled in).
    pub fn low(&self) -> Length {
        self.smallest - self.uncertainty.unwrap_or(Length::ZERO)
    }

    /// Difference between the largest and the smallest reading.
    pub fn spread(&self) -> Length {
        self.largest - self.smallest
    }
}

/// Why a size was not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SizeErrorKind {
    /// Not a size at all, or one that cannot be.
    Refused,
    /// Could mean two things; the user must say which.
    Ambiguous,
    /// Readable, but more likely a slip; the user must confirm by writing it another way.
    Query,
}

/// A size that was not read: what is wrong, where in the text, and how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SizeError {
    /// Whether the text is wrong, unclear or merely doubtful.
    pub kind: SizeErrorKind,
    /// Byte range of the offending part within the text given.
    pub span: std::ops::Range<usize>,
    /// What is wrong, naming the text.
    pub message: String,
    /// How to write it instead.
    pub help: String,
}

/// Reads one dimension. `default_unit` is for numbers without a unit.
pub fn parse_measured(text: &str, default_unit: Unit) -> Result<Measured, SizeError> {
    let _ = (text, default_unit);
    todo!()
}

/// Reads `L x W x T` (or two, or one, of them) into one [`Measured`] each.
/// One trailing unit covers all.
pub fn parse_sizes(text: &str, default_unit: Unit) -> Result<Vec<Measured>, SizeError> {
    let _ = (text, default_unit);
    todo!()
}

/// Whether `text` looks like a size text rather than the name of a file.
pub fn looks_like_sizes(text: &str) -> bool {
    let _ = text;
    todo!()
}

/// Reads a ruler step such as `1/32`, `1/64 in`, `0.5 mm` or `0.01 in`.
pub fn parse_ruler(text: &str, default_unit: Unit) -> Result<Ruler, SizeError> {
    let _ = (text, default_unit);
    todo!()
}
