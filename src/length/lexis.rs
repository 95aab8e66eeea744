//! Cutting a size text into numbers, marks and words.

use std::ops::Range;

use super::parse::{SizeError, SizeErrorKind};

/// Longest text that is looked at, in characters.
const LONGEST_TEXT: usize = 200;
/// Most digits a number may have, so that no product of three of them leaves `i128`.
const MOST_DIGITS: usize = 12;

/// A unit as it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    Inch,
    Foot,
    Millimetre,
    Centimetre,
    Metre,
}

/// A word that moves a reading by a hair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shade {
    /// `strong`, `full`.
    Over,
    /// `bare`, `scant`.
    Under,
}

/// A word that turns a number into the name of a material.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Material {
    Plywood,
    OtherSheet,
    Lumber,
}

/// A number as written, `mantissa / scale`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Number {
    pub mantissa: i128,
    /// Power of ten.
    pub scale: i128,
    /// No decimal point was written.
    pub whole: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Token {
    Number(Number),
    /// A fraction in one character, such as `½`.
    Vulgar(i128, i128),
    Slash,
    Dash,
    Mark(Mark),
    PlusMinus,
    About,
    Shade(Shade),
    Diameter,
    Times,
    Comma,
    Semicolon,
    Open,
    Close,
    Material(Material),
}

/// A token and the bytes it was written in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Spanned {
    pub token: Token,
    pub span: Range<usize>,
}

/// An error about a part of a text.
pub(super) fn fault(
    kind: SizeErrorKind,
    span: Range<usize>,
    message: impl Into<String>,
    help: impl Into<String>,
) -> SizeError {
    SizeError { kind, span, message: message.into(), help: help.into() }
}

pub(super) fn refused(span: Range<usize>, message: impl Into<String>, help: impl Into<String>) -> SizeError {
    fault(SizeErrorKind::Refused, span, message, help)
}

pub(super) fn ambiguous(span: Range<usize>, message: impl Into<String>, help: impl Into<String>) -> SizeError {
    fault(SizeErrorKind::Ambiguous, span, message, help)
}

pub(super) fn query(span: Range<usize>, message: impl Into<String>, help: impl Into<String>) -> SizeError {
    fault(SizeErrorKind::Query, span, message, help)
}

/// The part of the text in quotes for a message, with control characters made visible.
pub(super) fn quoted(text: &str, span: &Range<usize>) -> String {
    let part = text.get(span.clone()).unwrap_or("").trim();
    let mut out = String::from("`");
    for c in part.chars() {
        if c.is_control() { out.extend(c.escape_default()) } else { out.push(c) }
    }
    out.push('`');
    out
}

/// The help line for texts that are nothing like a size.
pub(super) const EXAMPLE: &str = "write it like 9-1/16, 9.0625, 229 mm or 7' 6\"";

/// Cuts the whole text into tokens and settles what each comma means.
pub(super) fn tokens(text: &str) -> Result<Vec<Spanned>, SizeError> {
    if let Some((cut, _)) = text.char_indices().nth(LONGEST_TEXT) {
        return Err(refused(cut..text.len(), format!("the size is longer than {LONGEST_TEXT} characters"), EXAMPLE));
    }
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(c) = text.get(at..).and_then(|rest| rest.chars().next()) {
        if c.is_whitespace() {
            at += c.len_utf8();
        } else {
            let rest = text.get(at..).unwrap_or("");
            let (token, length) = token(text, rest, c, at)?;
            found.push(Spanned { token, span: at..at + length });
            at += length;
        }
    }
    settle_commas(text, found)
}

/// The first token of `rest`, which begins with `c`, and its length in bytes.
fn token(text: &str, rest: &str, c: char, at: usize) -> Result<(Token, usize), SizeError> {
    let single = match c {
        '/' | '\u{2044}' | '\u{2215}' => Some(Token::Slash),
        '±' => Some(Token::PlusMinus),
        '~' | '\u{223c}' | '≈' => Some(Token::About),
        '*' | '×' => Some(Token::Times),
        ',' => Some(Token::Comma),
        ';' => Some(Token::Semicolon),
        '(' => Some(Token::Open),
        ')' => Some(Token::Close),
        '"' | '\u{201c}' | '\u{201d}' | '\u{2033}' => Some(Token::Mark(Mark::Inch)),
        c if is_diameter(c) => Some(Token::Diameter),
        c if is_dash(c) => Some(Token::Dash),
        c => vulgar(c).map(|(top, bottom)| Token::Vulgar(top, bottom)),
    };
    if let Some(token) = single {
        return Ok((token, c.len_utf8()));
    }
    if is_foot_mark(c) {
        let doubled = rest.chars().nth(1) == Some(c);
        let mark = if doubled { Mark::Inch } else { Mark::Foot };
        return Ok((Token::Mark(mark), c.len_utf8() * if doubled { 2 } else { 1 }));
    }
    if c == '+'
        && let Some(length) = plus_minus(rest)
    {
        return Ok((Token::PlusMinus, length));
    }
    if c.is_ascii_digit() || c == '.' {
        let length = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
        return number(text, at..at + length).map(|number| (Token::Number(number), length));
    }
    if c.is_alphabetic() {
        return word_token(text, rest, at);
    }
    let span = at..at + c.len_utf8();
    Err(refused(span.clone(), format!("{} has no place in a size", quoted(text, &span)), EXAMPLE))
}

/// Length of `+-` or `+/-` at the start of `rest`.
fn plus_minus(rest: &str) -> Option<usize> {
    let mut length = 1;
    let mut after = rest.chars().skip(1).peekable();
    if after.peek() == Some(&'/') {
        length += 1;
        after.next();
    }
    after.next().filter(|&c| is_dash(c)).map(|c| length + c.len_utf8())
}

/// Hyphen, the dashes word processors put in its place, and the minus sign.
fn is_dash(c: char) -> bool {
    matches!(c, '-' | '\u{2010}'..='\u{2015}' | '\u{2212}')
}

/// The diameter sign and the letters and signs typed for it.
pub(super) fn is_diameter(c: char) -> bool {
    matches!(c, 'Ø' | 'ø' | '\u{2300}' | '\u{2205}')
}

/// Whether the character is a whole fraction, such as `½`.
pub(super) fn is_fraction(c: char) -> bool {
    vulgar(c).is_some()
}

fn is_foot_mark(c: char) -> bool {
    matches!(c, '\'' | '\u{2018}' | '\u{2019}' | '\u{2032}')
}

fn vulgar(c: char) -> Option<(i128, i128)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅐' => (1, 7),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        _ => return None,
    })
}

/// Reads digits with at most one decimal point, which must have a digit after it.
fn number(text: &str, span: Range<usize>) -> Result<Number, SizeError> {
    let written = text.get(span.clone()).unwrap_or("");
    let name = quoted(text, &span);
    let (before, after) = match written.split_once('.') {
        Some((before, after)) => (before, Some(after)),
        None => (written, None),
    };
    if after.is_some_and(|after| after.is_empty() || after.contains('.')) {
        return Err(refused(span, format!("{name} is not a number"), "write a decimal like 3.5 or .75"));
    }
    let decimals = after.unwrap_or("");
    let digits = before.len() + decimals.len() - before.bytes().take_while(|&b| b == b'0').count();
    let too_long = || refused(span.clone(), format!("{name} has too many digits"), EXAMPLE);
    if digits > MOST_DIGITS || decimals.len() > MOST_DIGITS {
        return Err(too_long());
    }
    let mut mantissa = 0_i128;
    for digit in before.bytes().chain(decimals.bytes()) {
        mantissa = mantissa * 10 + i128::from(digit - b'0');
    }
    let scale = decimals.bytes().fold(1, |scale, _| scale * 10);
    Ok(Number { mantissa, scale, whole: after.is_none() })
}

/// Reads a word, with the point of an abbreviation (`in.`) if there is one.
fn word_token(text: &str, rest: &str, at: usize) -> Result<(Token, usize), SizeError> {
    let letters = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
    let written = rest.get(..letters).unwrap_or("");
    if let Some(token) = word(written) {
        let point = rest.get(letters..).is_some_and(|after| after.starts_with('.'));
        let abbreviates = point && matches!(token, Token::Mark(_) | Token::Diameter | Token::About);
        return Ok((token, letters + usize::from(abbreviates)));
    }
    // `240mmx90mm`: the unit and the multiplication sign run together.
    if let Some(unit) = written.strip_suffix(['x', 'X'])
        && let Some(token @ Token::Mark(_)) = word(unit)
    {
        return Ok((token, unit.len()));
    }
    let after_word = rest.get(letters..).unwrap_or("");
    if written.eq_ignore_ascii_case("e") && after_word.starts_with(|c: char| c.is_ascii_digit() || c == '-' || c == '+')
    {
        let before = text.get(..at).unwrap_or("");
        let start = before.trim_end_matches(|c: char| c.is_ascii_digit() || c == '.').len();
        let digits = after_word.trim_start_matches(|c: char| c.is_ascii_digit() || c == '-' || c == '+').len();
        let span = start..text.len() - digits;
        return Err(refused(span.clone(), format!("{} has an exponent", quoted(text, &span)), EXAMPLE));
    }
    let span = at..at + letters;
    Err(refused(span.clone(), format!("{} is neither a number nor a unit", quoted(text, &span)), EXAMPLE))
}

/// The words a size may hold.
fn word(written: &str) -> Option<Token> {
    Some(match written.to_lowercase().as_str() {
        "in" | "inch" | "inches" => Token::Mark(Mark::Inch),
        "ft" | "foot" | "feet" => Token::Mark(Mark::Foot),
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Token::Mark(Mark::Millimetre),
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Token::Mark(Mark::Centimetre),
        "m" | "metre" | "metres" | "meter" | "meters" => Token::Mark(Mark::Metre),
        "x" | "by" => Token::Times,
        "about" | "approx" | "approximately" | "ca" | "circa" | "roughly" => Token::About,
        "strong" | "full" => Token::Shade(Shade::Over),
        "bare" | "scant" => Token::Shade(Shade::Under),
        "dia" | "diam" | "diameter" => Token::Diameter,
        "ply" | "plywood" => Token::Material(Material::Plywood),
        "mdf" | "hardboard" | "particleboard" | "chipboard" | "hdf" => Token::Material(Material::OtherSheet),
        "nominal" | "board" | "lumber" | "timber" | "stock" => Token::Material(Material::Lumber),
        _ => return None,
    })
}

/// Whether the word may stand in a size.
pub(super) fn knows_word(written: &str) -> bool {
    word(written).is_some() || written.strip_suffix(['x', 'X']).is_some_and(|unit| word(unit).is_some())
}

/// Makes decimal commas part of their numbers, keeps commas between readings, refuses the rest.
///
/// A comma with a digit close on both sides is a decimal comma only in a text that names a metric
/// unit, and only when it cannot be a thousands comma.
fn settle_commas(text: &str, found: Vec<Spanned>) -> Result<Vec<Spanned>, SizeError> {
    let metric =
        found.iter().any(|s| matches!(s.token, Token::Mark(Mark::Millimetre | Mark::Centimetre | Mark::Metre)));
    let mut settled: Vec<Spanned> = Vec::with_capacity(found.len());
    let mut coming = found.into_iter().peekable();
    while let Some(next) = coming.next() {
        let before = settled.last().cloned();
        let close = next.token == Token::Comma
            && before.as_ref().is_some_and(|b| b.span.end == next.span.start)
            && coming.peek().is_some_and(|after| after.span.start == next.span.end);
        let (Some(Spanned { token: Token::Number(left), span: left_span }), Some(after)) =
            (before.filter(|_| close), coming.peek().cloned())
        else {
            settled.push(next);
            continue;
        };
        let Token::Number(right) = after.token else {
            settled.push(next);
            continue;
        };
        let span = left_span.start..after.span.end;
        let digits = after.span.len();
        let name = quoted(text, &span);
        let could_be_thousands = digits == 3 && left_span.len() <= 3 && left.mantissa != 0;
        if !metric || !left.whole || !right.whole || could_be_thousands {
            return Err(ambiguous(
                span,
                format!("the comma in {name} may be a decimal comma, a thousands comma or stand between two readings"),
                "write a decimal point (1.25), no comma in thousands (1250), or a space after the comma between readings",
            ));
        }
        coming.next();
        settled.pop();
        let written = Number {
            mantissa: left.mantissa * right_scale(digits) + right.mantissa,
            scale: right_scale(digits),
            whole: false,
        };
        if left_span.len() + digits > MOST_DIGITS {
            return Err(refused(span, format!("{name} has too many digits"), EXAMPLE));
        }
        settled.push(Spanned { token: Token::Number(written), span });
    }
    Ok(settled)
}

/// Ten to the number of digits, which the text's own bounds keep small.
fn right_scale(digits: usize) -> i128 {
    (0..digits.min(MOST_DIGITS)).fold(1, |scale, _| scale * 10)
}
