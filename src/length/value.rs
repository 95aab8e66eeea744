//! The grammar of one number with its unit: whole, fraction, mixed, decimal, feet and inches.
//!
//! All arithmetic is on whole numbers in `i128`; the lexer bounds the digits so that it cannot
//! overflow.

use std::ops::Range;

use super::lexis::{EXAMPLE, Mark, Material, Number, Spanned, Token, ambiguous, query, quoted, refused};
use super::parse::SizeError;
use super::{Length, Unit, names};

/// Largest length that is read, in millimetres.
const LARGEST_MM: i128 = 1_000_000;
/// Inches in a foot: as many beside feet are worth a remark.
const INCHES_IN_FOOT: i128 = 12;

impl Mark {
    pub(super) fn unit(self) -> Unit {
        match self {
            Mark::Inch | Mark::Foot => Unit::Inch,
            Mark::Millimetre | Mark::Centimetre | Mark::Metre => Unit::Millimetre,
        }
    }

    fn ticks(self) -> i128 {
        let (inch, mm) = (i128::from(Length::TICKS_PER_INCH), i128::from(Length::TICKS_PER_MM));
        match self {
            Mark::Inch => inch,
            Mark::Foot => 12 * inch,
            Mark::Millimetre => mm,
            Mark::Centimetre => 10 * mm,
            Mark::Metre => 1000 * mm,
        }
    }
}

/// A ratio of whole numbers as written.
#[derive(Debug, Clone)]
struct Quantity {
    numerator: i128,
    denominator: i128,
    form: Form,
    span: Range<usize>,
}

/// How a number was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    /// Whole or decimal.
    Decimal,
    /// A fraction alone.
    Fraction,
    /// A whole number with a fraction.
    Mixed,
}

/// A number with the unit written beside it, if any.
#[derive(Debug, Clone)]
pub(super) struct Value {
    pub numerator: i128,
    pub denominator: i128,
    /// Written with a fraction bar.
    pub fraction: bool,
    /// The unit written; feet with inches count as inches.
    pub mark: Option<Mark>,
    /// Written in feet and inches.
    pub compound: bool,
    /// Feet with twelve inches or more.
    pub inches_over: bool,
    pub span: Range<usize>,
}

impl Value {
    /// The length to the nearest tick when `mark` is its unit.
    pub(super) fn length(&self, text: &str, mark: Mark) -> Result<Length, SizeError> {
        let scaled = self.numerator * mark.ticks();
        if scaled > LARGEST_MM * i128::from(Length::TICKS_PER_MM) * self.denominator {
            return Err(refused(
                self.span.clone(),
                format!("{} is longer than {LARGEST_MM} mm", quoted(text, &self.span)),
                EXAMPLE,
            ));
        }
        let ticks = (2 * scaled + self.denominator) / (2 * self.denominator);
        match i64::try_from(ticks) {
            Ok(ticks) if ticks > 0 => Ok(Length::from_ticks(ticks)),
            _ => Err(refused(
                self.span.clone(),
                format!("{} is no length: a size must be more than nothing", quoted(text, &self.span)),
                EXAMPLE,
            )),
        }
    }
}

/// A place in the tokens of one reading.
pub(super) struct Cursor<'a> {
    text: &'a str,
    tokens: &'a [Spanned],
    at: usize,
    /// Where the reading's text ends, for errors about something missing.
    end: usize,
    /// Let fractions of one or more pass.
    lenient: bool,
}

impl<'a> Cursor<'a> {
    pub(super) fn new(text: &'a str, tokens: &'a [Spanned], end: usize) -> Cursor<'a> {
        Cursor { text, tokens, at: 0, end, lenient: false }
    }

    /// Lets fractions of one or more pass, as `1/1` on a ruler.
    pub(super) fn lenient(self) -> Cursor<'a> {
        Cursor { lenient: true, ..self }
    }

    fn ahead(&self, by: usize) -> Option<Token> {
        self.tokens.get(self.at + by).map(|s| s.token)
    }

    pub(super) fn peek(&self) -> Option<Token> {
        self.ahead(0)
    }

    /// Bytes of the token at the cursor, or the empty end of the reading.
    pub(super) fn span(&self) -> Range<usize> {
        self.tokens.get(self.at).map_or(self.end..self.end, |s| s.span.clone())
    }

    pub(super) fn step(&mut self) {
        self.at += 1;
    }

    /// Whether the token at the cursor touches both of its neighbours.
    fn is_tight(&self) -> bool {
        let around = self.at.checked_sub(1).and_then(|before| self.tokens.get(before..self.at + 2));
        matches!(around, Some([a, b, c]) if a.span.end == b.span.start && b.span.end == c.span.start)
    }

    /// Reads a number and its unit, or feet and inches.
    pub(super) fn value(&mut self) -> Result<Value, SizeError> {
        let first = self.quantity()?;
        let start = first.span.start;
        // `3/4-inch` joins number and unit by a dash.
        if self.peek() == Some(Token::Dash) && matches!(self.ahead(1), Some(Token::Mark(_))) && self.is_tight() {
            self.step();
        }
        if let Some(Token::Material(material)) = self.peek() {
            return Err(self.material(&first, material));
        }
        let Some(Token::Mark(mark)) = self.peek() else {
            self.proper(&first)?;
            return Ok(plain(first, None));
        };
        let mark_span = self.span();
        self.step();
        let mut value = plain(first.clone(), Some(mark));
        value.span = start..mark_span.end;
        if let Some(Token::Material(material)) = self.peek() {
            return Err(self.material(&first, material));
        }
        self.proper(&first)?;
        let joined = usize::from(self.peek() == Some(Token::Dash));
        if !matches!(self.ahead(joined), Some(Token::Number(_) | Token::Vulgar(..))) {
            return Ok(value);
        }
        if mark != Mark::Foot {
            let unit_after = usize::from(matches!(self.ahead(joined + 1), Some(Token::Mark(_))));
            let span = start..self.tokens.get(self.at + joined + unit_after).map_or(self.end, |s| s.span.end);
            return Err(refused(
                span.clone(),
                format!("{} has a number after its unit", quoted(self.text, &span)),
                "feet stand before inches, like 7' 6\"; a fraction stands before the inch mark, like 6-1/2\"",
            ));
        }
        self.at += joined;
        let inches = self.quantity()?;
        self.proper(&inches)?;
        let mut end = inches.span.end;
        if let Some(Token::Mark(after)) = self.peek() {
            end = self.span().end;
            if after != Mark::Inch {
                let span = start..end;
                return Err(refused(
                    span.clone(),
                    format!("{} mixes units", quoted(self.text, &span)),
                    "only feet and inches go together, like 7' 6\"",
                ));
            }
            self.step();
        }
        if first.denominator != 1 || first.form != Form::Decimal {
            let span = start..end;
            return Err(refused(
                span.clone(),
                format!("{} has parts of a foot beside inches", quoted(self.text, &span)),
                "write whole feet and inches, like 7' 6\"",
            ));
        }
        value.numerator = first.numerator * INCHES_IN_FOOT * inches.denominator + inches.numerator;
        value.denominator = inches.denominator;
        value.fraction = inches.form != Form::Decimal;
        value.mark = Some(Mark::Inch);
        value.compound = true;
        value.inches_over = inches.numerator >= INCHES_IN_FOOT * inches.denominator;
        value.span = start..end;
        Ok(value)
    }

    /// Reads a whole, decimal, fractional or mixed number.
    fn quantity(&mut self) -> Result<Quantity, SizeError> {
        let span = self.span();
        match self.peek() {
            Some(Token::Vulgar(top, bottom)) => {
                self.step();
                Ok(Quantity { numerator: top, denominator: bottom, form: Form::Fraction, span })
            }
            Some(Token::Number(number)) => {
                self.step();
                if self.peek() == Some(Token::Slash) {
                    return self.fraction(number, span);
                }
                self.mixed(number, span)
            }
            Some(Token::Dash) => {
                let span = span.start..self.tokens.get(self.at + 1).map_or(span.end, |s| s.span.end);
                Err(refused(
                    span.clone(),
                    format!("{} is below nothing: sizes are positive", quoted(self.text, &span)),
                    EXAMPLE,
                ))
            }
            Some(_) => {
                Err(refused(span.clone(), format!("a number is missing before {}", quoted(self.text, &span)), EXAMPLE))
            }
            None => Err(refused(span, "a number is missing", EXAMPLE)),
        }
    }

    /// What may follow a number without a slash: the fraction of a mixed number.
    fn mixed(&mut self, number: Number, span: Range<usize>) -> Result<Quantity, SizeError> {
        let alone = Quantity { numerator: number.mantissa, denominator: number.scale, form: Form::Decimal, span };
        let dash = usize::from(self.peek() == Some(Token::Dash));
        let is_fraction = match self.ahead(dash) {
            Some(Token::Vulgar(..)) => true,
            Some(Token::Number(_)) => self.ahead(dash + 1) == Some(Token::Slash),
            _ => false,
        };
        let start = alone.span.start;
        if !is_fraction {
            if matches!(self.ahead(dash), Some(Token::Number(_))) {
                let span = start..self.tokens.get(self.at + dash).map_or(self.end, |s| s.span.end);
                let name = quoted(self.text, &span);
                return Err(refused(
                    span,
                    format!("{name} is two numbers where one belongs"),
                    "a whole number takes a fraction, like 3-1/2; readings are separated by commas, like 6, 5-15/16",
                ));
            }
            return Ok(alone);
        }
        let loose = dash == 1 && !self.is_tight();
        self.at += dash;
        let part_span = self.span();
        let part = match self.peek() {
            Some(Token::Number(top)) => {
                self.step();
                self.fraction(top, part_span)?
            }
            // Only a fraction in one character is left.
            _ => self.quantity()?,
        };
        let span = start..part.span.end;
        let name = quoted(self.text, &span);
        if loose {
            return Err(ambiguous(
                span,
                format!("{name} may be a sum or a difference"),
                "write a mixed number without spaces round the dash, like 3-1/2",
            ));
        }
        if !number.whole {
            return Err(ambiguous(span, format!("{name} has a decimal and a fraction"), "write either 3.5 or 3-1/2"));
        }
        if part.numerator >= part.denominator {
            return Err(refused(
                span,
                format!("the fraction in {name} is one or more"),
                "the fraction of a mixed number is less than one, like 3-1/4",
            ));
        }
        Ok(Quantity {
            numerator: number.mantissa * part.denominator + part.numerator,
            denominator: part.denominator,
            form: Form::Mixed,
            span,
        })
    }

    /// The slash and denominator after a numerator.
    fn fraction(&mut self, top: Number, top_span: Range<usize>) -> Result<Quantity, SizeError> {
        self.step();
        let after = self.span();
        let Some(Token::Number(bottom)) = self.peek() else {
            let span = top_span.start..after.end;
            let name = quoted(self.text, &span);
            return Err(refused(span, format!("{name} lacks a number under the slash"), "write a fraction like 3/4"));
        };
        self.step();
        let span = top_span.start..after.end;
        let name = quoted(self.text, &span);
        if !top.whole || !bottom.whole {
            return Err(ambiguous(
                span,
                format!("{name} has a decimal in a fraction: it may be a mixed number or a division"),
                "write a mixed number like 3-1/2, or a decimal like 3.5",
            ));
        }
        if bottom.mantissa == 0 {
            return Err(refused(span, format!("{name} divides by nothing"), "write a fraction like 3/4"));
        }
        Ok(Quantity { numerator: top.mantissa, denominator: bottom.mantissa, form: Form::Fraction, span })
    }

    /// Refuses or questions a fraction of one or more that is not part of a mixed number.
    fn proper(&self, quantity: &Quantity) -> Result<(), SizeError> {
        let (top, bottom, span) = (quantity.numerator, quantity.denominator, quantity.span.clone());
        if self.lenient || quantity.form != Form::Fraction || top < bottom {
            return Ok(());
        }
        let numerator = top.to_string();
        let name = quoted(self.text, &span);
        if bottom == 4
            && let Some(actual) = names::quarters(top)
        {
            return Err(query(
                span,
                format!("{name} is the trade name of a thickness, not a size"),
                format!(
                    "measure it; it is usually about {actual} in. If it really is {}, write that",
                    mixed_text(top, bottom)
                ),
            ));
        }
        // `31/2` was meant as 3-1/2 as often as 15-1/2.
        let run_together = (1..numerator.len()).find_map(|cut| {
            let (whole, rest) = numerator.split_at_checked(cut)?;
            let rest_value: i128 = rest.parse().ok()?;
            (!rest.starts_with('0') && rest_value < bottom).then(|| format!("{whole}-{rest}/{bottom}"))
        });
        Err(match run_together {
            Some(other) => ambiguous(
                span,
                format!("{name} may be {} or {other}", mixed_text(top, bottom)),
                format!("write {} or {other}", mixed_text(top, bottom)),
            ),
            None => refused(
                span,
                format!("{name} is a fraction of one or more"),
                format!("write {}", mixed_text(top, bottom)),
            ),
        })
    }

    /// The error for a number that names a material, such as `3/4 ply`.
    fn material(&self, quantity: &Quantity, material: Material) -> SizeError {
        let span = quantity.span.start..self.span().end;
        let name = quoted(self.text, &span);
        let usual = match material {
            Material::Plywood => names::plywood(quantity.numerator, quantity.denominator),
            Material::OtherSheet | Material::Lumber => None,
        };
        let help = match usual {
            Some(actual) => format!("caliper it and write that; it is usually about {actual} in"),
            None => "caliper it and write that, like .745 or 17.7 mm".to_owned(),
        };
        query(span, format!("{name} is the name of a material, not a measured thickness"), help)
    }
}

/// A value as its quantity stands.
fn plain(quantity: Quantity, mark: Option<Mark>) -> Value {
    Value {
        numerator: quantity.numerator,
        denominator: quantity.denominator,
        fraction: quantity.form != Form::Decimal,
        mark,
        compound: false,
        inches_over: false,
        span: quantity.span,
    }
}

/// `31/2` as `15-1/2`.
fn mixed_text(top: i128, bottom: i128) -> String {
    match (top / bottom, top % bottom) {
        (whole, 0) => whole.to_string(),
        (whole, rest) => format!("{whole}-{rest}/{bottom}"),
    }
}
