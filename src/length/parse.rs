//! Reading sizes as people write them.

use std::fmt;
use std::ops::Range;

use super::format::{inches_for_message, millimetres_for_message};
use super::lexis::{
    EXAMPLE, Mark, Shade, Spanned, Token, ambiguous, is_diameter, is_fraction, knows_word, query, quoted, refused,
    tokens,
};
use super::value::{Cursor, Value};
use super::{Length, Ruler, Unit, names};

/// Most readings of one dimension.
const MOST_READINGS: usize = 64;
/// Most dimensions in one text.
const MOST_DIMENSIONS: usize = 3;
/// Uncertainty of a reading given as `about` or `~` (common practice, no source).
const ABOUT: Length = Length::inches(1, 8);
/// How far `strong`, `full`, `bare` and `scant` move a reading, and how sure it then is
/// (common practice, no source).
const HAIR: Length = Length::inches(1, 64);
/// A bare number of inches above this is taken for millimetres: the longest sheet stock commonly
/// sold is 97 in.
const LONGEST_BARE: Length = Length::inches(97, 1);
/// Finest mark of a fractional inch ruler.
const FINEST_MARK: Length = Length::inches(1, 64);

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
    pub span: Range<usize>,
    /// What is wrong, naming the text.
    pub message: String,
    /// How to write it instead.
    pub help: String,
}

impl fmt::Display for SizeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.message)
    }
}

impl std::error::Error for SizeError {}

/// Reads one dimension. `default_unit` is for numbers without a unit.
///
/// Accepts whole numbers, decimals, fractions and mixed numbers in inches, feet and inches,
/// millimetres, centimetres and metres; several readings between commas or semicolons; `±`, `about`,
/// `strong`, `full`, `bare`, `scant` and `dia`. The result is exact where the number is a whole
/// number of ticks, else the nearest tick.
///
/// # Errors
/// When the text is no size, could mean two, or is more likely a slip: see [`SizeErrorKind`].
pub fn parse_measured(text: &str, default_unit: Unit) -> Result<Measured, SizeError> {
    let mut sizes = parse_sizes(text, default_unit)?;
    match (sizes.pop(), sizes.is_empty()) {
        (Some(only), true) => Ok(only),
        _ => Err(refused(
            0..text.len(),
            format!("{} is several dimensions where one belongs", quoted(text, &(0..text.len()))),
            "write one dimension, like 9-1/16",
        )),
    }
}

/// Reads `L x W x T` (or two, or one, of them) into one [`Measured`] each.
/// One trailing unit covers all.
///
/// # Errors
/// As [`parse_measured`]; besides, when there are more than three dimensions or one is missing.
pub fn parse_sizes(text: &str, default_unit: Unit) -> Result<Vec<Measured>, SizeError> {
    let tokens = tokens(text)?;
    if tokens.is_empty() {
        return Err(refused(0..text.len(), "the size is empty", EXAMPLE));
    }
    if default_unit == Unit::Inch {
        nominal_lumber(text, &tokens)?;
    }
    let mut dimensions = Vec::new();
    for part in split(&tokens, |token| token == Token::Times, text.len()) {
        if dimensions.len() == MOST_DIMENSIONS {
            return Err(refused(
                part.span,
                format!("{} has more than {MOST_DIMENSIONS} dimensions", quoted(text, &(0..text.len()))),
                "write length x width x thickness, like 9 x 6 x 3/4",
            ));
        }
        dimensions.push(Dimension::read(text, &part)?);
    }
    let units = Units::of(&dimensions, default_unit);
    dimensions.iter().map(|dimension| dimension.settle(text, &units)).collect()
}

/// Whether `text` looks like a size text rather than the name of a file.
///
/// A text that looks like sizes may still be refused by [`parse_sizes`].
pub fn looks_like_sizes(text: &str) -> bool {
    let text = text.trim();
    let begins_path = text.starts_with('/') || ["./", "~/", "\\"].iter().any(|mark| text.contains(mark));
    let chars: Vec<char> = text.chars().collect();
    // A point before a word begins a file extension, a slash beside a word stands in a path.
    let file_like = chars.windows(2).any(|pair| match pair {
        ['.' | '/', after] => after.is_alphabetic(),
        [before, '/'] => before.is_alphabetic(),
        _ => false,
    });
    let has_number = chars.iter().any(|&c| c.is_ascii_digit() || is_fraction(c));
    if begins_path || file_like || !has_number {
        return false;
    }
    let words = || text.split(|c: char| !c.is_alphabetic() || is_diameter(c)).filter(|word| !word.is_empty());
    let begins_with_word = chars.first().is_some_and(|&c| c.is_alphabetic() && !is_diameter(c));
    if begins_with_word && !words().next().is_some_and(knows_word) {
        return false;
    }
    // A strange word beside a multiplication sign is more likely a slip in a size than a file name.
    let has_times = text.split_whitespace().any(|word| matches!(word, "x" | "X" | "×" | "*" | "by"));
    words().all(knows_word) || has_times
}

/// Reads a ruler step such as `1/32`, `1/64 in`, `0.5 mm` or `0.01 in`.
///
/// Steps allowed are 1 in to 1/64 in by halves, 1/10, 1/20, 1/50, 1/100 and 0.001 in, and 0.1 mm to
/// 10 mm in hundredths. Steps in tenths and those typed as decimals make a decimal ruler.
///
/// # Errors
/// When the text is no size or no such step.
pub fn parse_ruler(text: &str, default_unit: Unit) -> Result<Ruler, SizeError> {
    const HELP: &str = "write a ruler step like 1/32 in, 1/64 in, 0.01 in or 0.5 mm";
    let tokens = tokens(text)?;
    let mut cursor = Cursor::new(text, &tokens, text.len()).lenient();
    let value = cursor.value()?;
    if cursor.peek().is_some() {
        let span = cursor.span();
        return Err(refused(span.clone(), format!("{} has no place in a ruler step", quoted(text, &span)), HELP));
    }
    let mark = value.mark.unwrap_or(bare_mark(default_unit));
    let step = value.length(text, mark)?;
    let refuse = || refused(value.span.clone(), format!("{} is no step of a ruler", quoted(text, &value.span)), HELP);
    match mark.unit() {
        Unit::Inch => {
            let halves = [1, 2, 4, 8, 16, 32, 64].into_iter().find(|&marks| step == Length::inches(1, marks));
            let tenths = [10, 20, 50, 100, 1000].into_iter().find(|&marks| step == Length::inches(1, marks));
            match (halves, tenths) {
                (Some(1), _) => Ok(Ruler::inch(1)),
                (Some(marks), _) if value.fraction => Ok(Ruler::inch(marks)),
                (Some(marks), _) | (_, Some(marks)) => Ok(Ruler::decimal_inch(marks)),
                _ => Err(refuse()),
            }
        }
        Unit::Millimetre => {
            let micrometres = step.ticks() / Length::micrometres(1).ticks();
            let allowed = step.is_multiple_of(Length::micrometres(10)) && (100..=10_000).contains(&micrometres);
            if allowed { Ok(Ruler::metric(micrometres)) } else { Err(refuse()) }
        }
    }
}

fn bare_mark(unit: Unit) -> Mark {
    match unit {
        Unit::Inch => Mark::Inch,
        Unit::Millimetre => Mark::Millimetre,
    }
}

/// Tokens between two separators and the bytes they span.
struct Part<'a> {
    tokens: &'a [Spanned],
    /// From the first token to the last; where there is none, the separator that follows or precedes.
    span: Range<usize>,
}

/// Cuts tokens at separators, keeping empty parts so that they can be reported.
fn split(tokens: &[Spanned], separates: impl Fn(Token) -> bool, end: usize) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    let mut after = end..end;
    let mut begun = 0;
    for piece in tokens.split(|s| separates(s.token)) {
        let separator = tokens.get(begun + piece.len()).map(|s| s.span.clone());
        let span = match (piece.first(), piece.last()) {
            (Some(first), Some(last)) => first.span.start..last.span.end,
            _ => separator.clone().unwrap_or(after),
        };
        parts.push(Part { tokens: piece, span });
        begun += piece.len() + 1;
        after = separator.unwrap_or(end..end);
    }
    parts
}

/// Questions `2x6` and its like, which name lumber rather than measure it.
fn nominal_lumber(text: &str, tokens: &[Spanned]) -> Result<(), SizeError> {
    let [first, times, second] = tokens else { return Ok(()) };
    let (Token::Number(thick), Token::Times, Token::Number(wide)) = (first.token, times.token, second.token) else {
        return Ok(());
    };
    if !thick.whole || !wide.whole {
        return Ok(());
    }
    let Some((thickness, width)) = names::lumber(thick.mantissa, wide.mantissa) else { return Ok(()) };
    let span = first.span.start..second.span.end;
    Err(query(
        span.clone(),
        format!("{} is the trade name of a board, not its size", quoted(text, &span)),
        format!(
            "measure it; it is usually {thickness} x {width} in. If it really is {} by {} in, write {} in x {} in",
            thick.mantissa, wide.mantissa, thick.mantissa, wide.mantissa
        ),
    ))
}

/// One reading as written.
struct Reading {
    value: Value,
    tolerance: Option<Value>,
    /// The same reading in another unit, in brackets.
    again: Option<Value>,
    about: bool,
    shade: Option<Shade>,
}

impl Reading {
    fn read(text: &str, part: &Part<'_>) -> Result<Reading, SizeError> {
        if part.tokens.is_empty() {
            return Err(refused(part.span.clone(), "a reading is missing here", EXAMPLE));
        }
        let mut cursor = Cursor::new(text, part.tokens, part.span.end);
        let (mut about, mut diameter, mut shade) = (false, false, None);
        loop {
            match cursor.peek() {
                Some(Token::About) if !about => about = true,
                Some(Token::Diameter) if !diameter => diameter = true,
                Some(Token::Shade(word)) if shade.is_none() => shade = Some(word),
                _ => break,
            }
            cursor.step();
        }
        let value = cursor.value()?;
        let (mut tolerance, mut again) = (None, None);
        loop {
            match cursor.peek() {
                None => break,
                Some(Token::Diameter) if !diameter => {
                    diameter = true;
                    cursor.step();
                }
                Some(Token::Shade(word)) if shade.is_none() => {
                    shade = Some(word);
                    cursor.step();
                }
                Some(Token::PlusMinus) if tolerance.is_none() => {
                    cursor.step();
                    tolerance = Some(cursor.value()?);
                }
                Some(Token::Open) if again.is_none() => {
                    cursor.step();
                    again = Some(cursor.value()?);
                    if cursor.peek() != Some(Token::Close) {
                        return Err(refused(cursor.span(), "the bracket is not closed", EXAMPLE));
                    }
                    cursor.step();
                }
                Some(_) => {
                    let span = cursor.span();
                    let whole = quoted(text, &part.span);
                    return Err(refused(
                        span.clone(),
                        format!("{} has no place in {whole}", quoted(text, &span)),
                        EXAMPLE,
                    ));
                }
            }
        }
        Ok(Reading { value, tolerance, again, about, shade })
    }

    /// The unit written with the reading, or with its tolerance (`6 ± 1/16"`).
    fn mark(&self) -> Option<Mark> {
        self.value.mark.or_else(|| self.tolerance.as_ref().and_then(|tolerance| tolerance.mark))
    }

    /// Length and uncertainty once the unit is known.
    fn settle(&self, text: &str, units: &Units) -> Result<(Length, Option<Length>, Mark), SizeError> {
        let span = self.value.span.clone();
        let mark = match self.mark() {
            Some(mark) => mark,
            None => units.for_bare(text, &span)?,
        };
        let read = self.value.length(text, mark)?;
        if units.none_written && mark == Mark::Inch && read > LONGEST_BARE {
            let name = quoted(text, &span);
            let number = text.get(span.clone()).unwrap_or("").trim();
            return Err(query(
                span,
                format!("{name} in would be longer than any board stock; it looks like millimetres"),
                format!("write {number} mm, or {number} in if it really is inches"),
            ));
        }
        // Rules have half millimetres, but no finer fractions of one.
        if self.value.fraction && mark == Mark::Millimetre && !read.is_multiple_of(Length::micrometres(500)) {
            let name = text.get(span.clone()).unwrap_or("").trim();
            let number = name.trim_end_matches(char::is_alphabetic).trim_end();
            return Err(query(
                span,
                format!("{} is a fraction of a millimetre; it looks like inches", quoted(text, &self.value.span)),
                format!("write {number} in, or a decimal such as 0.75 mm if it really is millimetres"),
            ));
        }
        let length = match self.shade {
            Some(Shade::Over) => read + HAIR,
            Some(Shade::Under) => read - HAIR,
            None => read,
        };
        let stated = match &self.tolerance {
            Some(tolerance) => {
                // A tolerance without a unit beside feet is in inches: nobody measures to a foot.
                let beside = if mark == Mark::Foot { Mark::Inch } else { mark };
                Some(tolerance.length(text, tolerance.mark.unwrap_or(beside))?)
            }
            None => None,
        };
        let implied = if self.about { Some(ABOUT) } else { self.shade.map(|_| HAIR) };
        let uncertainty = stated.or(implied);
        self.agrees(text, read, uncertainty)?;
        Ok((length, uncertainty, mark))
    }

    /// Refuses a reading whose bracket says something else.
    fn agrees(&self, text: &str, read: Length, uncertainty: Option<Length>) -> Result<(), SizeError> {
        let Some(again) = &self.again else { return Ok(()) };
        let span = self.value.span.start..again.span.end;
        let Some(mark) = again.mark else {
            return Err(refused(
                again.span.clone(),
                "the reading in brackets has no unit",
                "write it like 3/4\" (19 mm)",
            ));
        };
        let other = again.length(text, mark)?;
        let apart = (read - other).abs();
        if apart <= uncertainty.unwrap_or(HAIR) {
            return Ok(());
        }
        Err(refused(
            span,
            format!(
                "{} is {} ({}) but {} is {} ({}); they differ by {}",
                quoted(text, &self.value.span),
                inches_for_message(read),
                millimetres_for_message(read),
                quoted(text, &again.span),
                inches_for_message(other),
                millimetres_for_message(other),
                inches_for_message(apart),
            ),
            "measure again and write the one that is right",
        ))
    }
}

/// One dimension as written.
struct Dimension {
    readings: Vec<Reading>,
    span: Range<usize>,
}

impl Dimension {
    fn read(text: &str, part: &Part<'_>) -> Result<Dimension, SizeError> {
        if part.tokens.is_empty() {
            return Err(refused(
                part.span.clone(),
                format!("a dimension is missing in {}", quoted(text, &(0..text.len()))),
                "write length x width x thickness, like 9 x 6 x 3/4",
            ));
        }
        let mut readings = Vec::new();
        let separates = |token| matches!(token, Token::Comma | Token::Semicolon);
        for reading in split(part.tokens, separates, part.span.end) {
            if readings.len() == MOST_READINGS {
                return Err(refused(reading.span, format!("more than {MOST_READINGS} readings"), EXAMPLE));
            }
            readings.push(Reading::read(text, &reading)?);
        }
        Ok(Dimension { readings, span: part.span.clone() })
    }

    fn settle(&self, text: &str, units: &Units) -> Result<Measured, SizeError> {
        let mut lengths = Vec::with_capacity(self.readings.len());
        let mut uncertainty: Option<Length> = None;
        let mut unit = None;
        let mut off_ruler = false;
        for reading in &self.readings {
            let (length, unsure, mark) = reading.settle(text, units)?;
            off_ruler |= reading.value.fraction
                && (mark.unit() == Unit::Millimetre || !reading.value.length(text, mark)?.is_multiple_of(FINEST_MARK));
            uncertainty = uncertainty.max(unsure);
            unit.get_or_insert(mark.unit());
            lengths.push(length);
        }
        let (Some(&largest), Some(&smallest), Some(unit)) = (lengths.iter().max(), lengths.iter().min(), unit) else {
            return Err(refused(self.span.clone(), "a reading is missing here", EXAMPLE));
        };
        if smallest - uncertainty.unwrap_or(Length::ZERO) <= Length::ZERO {
            return Err(refused(
                self.span.clone(),
                format!("{} is no larger than its own uncertainty", quoted(text, &self.span)),
                "measure it with a finer tool and write it like .125 ± .005",
            ));
        }
        let any = |holds: fn(&Reading) -> bool| self.readings.iter().any(holds);
        let notes = [
            (lengths.len() == 1, Note::OneReading),
            (off_ruler, Note::NotARulerMark),
            (any(|reading| reading.value.inches_over), Note::InchesOverTwelve),
            (any(|reading| reading.about), Note::Approximate),
            (any(|reading| reading.shade.is_some()), Note::Shaded),
        ];
        Ok(Measured {
            largest,
            smallest,
            nominal: mean(&lengths),
            uncertainty,
            readings: lengths.len(),
            unit,
            text: text.get(self.span.clone()).unwrap_or("").to_owned(),
            notes: notes.into_iter().filter(|(holds, _)| *holds).map(|(_, note)| note).collect(),
        })
    }
}

/// Mean of positive lengths to the nearest tick.
fn mean(lengths: &[Length]) -> Length {
    // Readings are bounded in number and size, so that the sum cannot overflow.
    let count = i64::try_from(lengths.len()).unwrap_or(1).max(1);
    let sum: Length = lengths.iter().copied().sum();
    Length::from_ticks((2 * sum.ticks() + count) / (2 * count))
}

/// The units written anywhere in a text, which settle the numbers without one.
struct Units {
    none_written: bool,
    bare: Option<Mark>,
}

impl Units {
    fn of(dimensions: &[Dimension], default_unit: Unit) -> Units {
        let readings = || dimensions.iter().flat_map(|dimension| &dimension.readings);
        let one_family = |unit: Unit| readings().filter_map(Reading::mark).all(|mark| mark.unit() == unit);
        let none_written = readings().all(|reading| reading.mark().is_none());
        let bare = match readings().last() {
            // One trailing unit covers all; feet and inches together are no single unit.
            Some(last) if last.mark().is_some() => {
                last.mark().filter(|mark| one_family(mark.unit()) && !last.value.compound)
            }
            _ => Some(bare_mark(default_unit)).filter(|_| one_family(default_unit)),
        };
        Units { none_written, bare }
    }

    /// The unit of a number without one.
    fn for_bare(&self, text: &str, span: &Range<usize>) -> Result<Mark, SizeError> {
        self.bare.ok_or_else(|| {
            ambiguous(
                span.clone(),
                format!("{} has no unit, and others in the same text do", quoted(text, span)),
                "write the unit with every number, or once at the end, like 240 x 90 x 18 mm",
            )
        })
    }
}
