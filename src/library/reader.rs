//! Reading TOML tables by a list of known keys, so that every problem of a file is found in one run.
//!
//! Job files, machine profiles and the reference tables are all read this way: the list of keys
//! says what each may hold, and the same list makes the key reference and the JSON schema.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::lettering;
use super::readings::merged;
use crate::diagnostic::{Problem, Report, Severity, Source, nearest, quoted};
use crate::length::{Length, Measured, Ruler, SizeError, SizeErrorKind, Unit, parse_measured, parse_ruler};

/// Largest file read, bytes.
pub const LARGEST_FILE: usize = 256 * 1024;

/// Deepest nesting of tables and arrays in a file.
const DEEPEST: usize = 8;

/// Longest size text, bytes.
const LONGEST_SIZE: usize = 200;

/// Most entries in one array.
const MOST_ENTRIES: usize = 200;

/// What a key may hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Free text of at most this many characters.
    Text(usize),
    /// A list of free texts.
    Texts,
    /// One of the words.
    Choice(&'static [&'static str]),
    /// One of the words; `false` means the first, `true` the last.
    ChoiceOrFlag(&'static [&'static str]),
    /// A list of the words.
    Choices(&'static [&'static str]),
    /// `true` or `false`.
    Flag,
    /// A whole number within the bounds.
    Count(u32, u32),
    /// A number within the bounds, in the unit the key's name ends with.
    Number(f64, f64),
    /// One size within the bounds.
    Size(Length, Length),
    /// A measured size above zero and up to the bound: several readings, a stated uncertainty.
    Measured(Length),
    /// Exactly two sizes above zero and up to the bound.
    Pair(Length),
    /// A table of sizes: a list of lists, each size up to the bound either way.
    Rows(Length),
    /// The step of a ruler.
    Step,
}

impl Kind {
    /// What may stand there, in words.
    pub fn words(self) -> String {
        match self {
            Kind::Text(_) => "a text".to_owned(),
            Kind::Texts => "a list of texts".to_owned(),
            Kind::Choice(words) => format!("one of {}", list(words)),
            Kind::ChoiceOrFlag(words) => format!("true, false or one of {}", list(words)),
            Kind::Choices(words) => format!("a list of any of {}", list(words)),
            Kind::Flag => "true or false".to_owned(),
            Kind::Count(least, most) => format!("a whole number from {least} to {most}"),
            Kind::Number(least, most) => format!("a number from {least} to {most}"),
            Kind::Size(..) => "a size such as \"1/4\" or \"6 mm\"".to_owned(),
            Kind::Measured(_) => "a size such as \"5-1/4\" or \"90 mm\", or a list of readings".to_owned(),
            Kind::Pair(_) => "a list of two sizes, such as [\"10-3/4\", \"10-13/16\"]".to_owned(),
            Kind::Rows(_) => {
                "a list of rows, such as [[\"0\", \"1/2\", \"3\"], [\"1\", \"1/4\", \"3-1/4\"]]".to_owned()
            }
            Kind::Step => "a ruler step such as \"1/32\" or \"0.5 mm\"".to_owned(),
        }
    }
}

/// Words in backquotes, with commas.
pub fn list(words: &[&str]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}

/// A key that a table may hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// Its table, such as `blank`.
    pub table: &'static str,
    /// Its name, such as `length`.
    pub name: &'static str,
    /// What it may hold.
    pub kind: Kind,
    /// What is assumed when it is missing, in words.
    pub default: &'static str,
    /// What it means.
    pub meaning: &'static str,
}

/// A value that passed the checks of its key.
#[derive(Debug, Clone, PartialEq)]
#[expect(missing_docs, reason = "each holds what the Kind of the same name allows")]
pub enum Value {
    Text(String),
    Texts(Vec<String>),
    Choice(&'static str),
    Choices(Vec<&'static str>),
    Flag(bool),
    Count(u32),
    Number(f64),
    Size(Length),
    Measured(Measured),
    Pair(Length, Length),
    /// Each row, and where it stands.
    Rows(Vec<(Range<usize>, Vec<Length>)>),
    Step(Ruler),
}

/// A value and where it stands in its file.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The value.
    pub value: Value,
    /// Bytes of the value in the file.
    pub span: Range<usize>,
}

/// A table that was read. Keys that were missing or wrong are not in it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Table {
    /// Bytes of the table's header in the file.
    pub span: Range<usize>,
    entries: BTreeMap<&'static str, Entry>,
    /// Keys present but wrong: reported already, so nobody may call them missing.
    broken: Vec<&'static str>,
}

impl Table {
    /// The value of a key and its place.
    pub fn get(&self, name: &str) -> Option<&Entry> {
        self.entries.get(name)
    }

    /// Sets a key to a value that stands at `span`.
    pub fn set(&mut self, name: &'static str, value: Value, span: Range<usize>) {
        self.entries.insert(name, Entry { value, span });
    }

    /// Whether the key was given, be it rightly or wrongly.
    pub fn has(&self, name: &str) -> bool {
        self.entries.contains_key(name) || self.broken.contains(&name)
    }

    /// Bytes of the key's value, or of the table's header.
    pub fn span_of(&self, name: &str) -> Range<usize> {
        self.get(name).map_or_else(|| self.span.clone(), |entry| entry.span.clone())
    }

    /// The text of a key, of a free text or a choice.
    pub fn text(&self, name: &str) -> Option<&str> {
        match &self.get(name)?.value {
            Value::Text(text) => Some(text),
            Value::Choice(word) => Some(word),
            _ => None,
        }
    }

    /// The list of texts of a key.
    pub fn texts(&self, name: &str) -> Option<Vec<&str>> {
        match &self.get(name)?.value {
            Value::Texts(texts) => Some(texts.iter().map(String::as_str).collect()),
            Value::Choices(words) => Some(words.clone()),
            _ => None,
        }
    }

    /// The flag of a key.
    pub fn flag(&self, name: &str) -> Option<bool> {
        match self.get(name)?.value {
            Value::Flag(flag) => Some(flag),
            _ => None,
        }
    }

    /// The whole number of a key.
    pub fn count(&self, name: &str) -> Option<u32> {
        match self.get(name)?.value {
            Value::Count(count) => Some(count),
            _ => None,
        }
    }

    /// The number of a key.
    pub fn number(&self, name: &str) -> Option<f64> {
        match self.get(name)?.value {
            Value::Number(number) => Some(number),
            _ => None,
        }
    }

    /// The size of a key.
    pub fn size(&self, name: &str) -> Option<Length> {
        match self.get(name)?.value {
            Value::Size(size) => Some(size),
            _ => None,
        }
    }

    /// The measured size of a key.
    pub fn measured(&self, name: &str) -> Option<&Measured> {
        match &self.get(name)?.value {
            Value::Measured(measured) => Some(measured),
            _ => None,
        }
    }

    /// The two sizes of a key.
    pub fn pair(&self, name: &str) -> Option<(Length, Length)> {
        match self.get(name)?.value {
            Value::Pair(first, second) => Some((first, second)),
            _ => None,
        }
    }

    /// The rows of a key, each with its place.
    pub fn rows(&self, name: &str) -> Option<&[(Range<usize>, Vec<Length>)]> {
        match &self.get(name)?.value {
            Value::Rows(rows) => Some(rows),
            _ => None,
        }
    }

    /// The ruler of a key.
    pub fn ruler(&self, name: &str) -> Option<Ruler> {
        match self.get(name)?.value {
            Value::Step(ruler) => Some(ruler),
            _ => None,
        }
    }
}

/// Reads one text, collecting its problems.
#[derive(Debug)]
pub struct Reader<'a> {
    /// The text.
    pub source: Source<'a>,
    /// Unit for numbers without one.
    pub units: Unit,
    /// How bad an unknown key is.
    pub unknown: Severity,
    problems: Vec<Problem>,
    /// Lines the TOML parser complained about; what was made of them is not worth reporting.
    broken_lines: Vec<usize>,
}

impl<'a> Reader<'a> {
    /// A reader of a text.
    pub fn new(file: &'a str, text: &'a str) -> Reader<'a> {
        Reader {
            source: Source::new(file, text),
            units: Unit::Inch,
            unknown: Severity::Error,
            problems: Vec::new(),
            broken_lines: Vec::new(),
        }
    }

    /// Parses the text as TOML. `None` when it is too large or too deeply nested to look at.
    pub fn parse(&mut self) -> Option<DeTable<'a>> {
        let text = self.source.text();
        if text.len() > LARGEST_FILE {
            let message = format!("the file is larger than {} KiB", LARGEST_FILE / 1024);
            self.problems.push(Problem::whole(Severity::Error, self.source.file(), message));
            return None;
        }
        let (table, errors) = DeTable::parse_recoverable(text);
        for error in errors {
            let span = error.span().unwrap_or(text.len()..text.len());
            self.broken_lines.push(self.source.line_of(span.start));
            let problem = match error.message() {
                "duplicate key" => {
                    let name = self.source.slice(&span).trim();
                    let message = format!("{} is given twice", quoted(name));
                    self.source.problem(Severity::Error, span, message).help("keep one of the two")
                }
                message => {
                    let message = format!("not TOML here: {message}");
                    self.source.problem(Severity::Error, span, message)
                }
            };
            self.problems.push(problem);
        }
        self.broken_lines.sort_unstable();
        let table = table.into_inner();
        if let Some(span) = table.values().find_map(|value| too_deep(value, DEEPEST)) {
            let message = format!("nested more than {DEEPEST} deep");
            self.error(span, message, "tables and lists here never need more than three levels");
            return None;
        }
        Some(table)
    }

    /// Whether the text is broken as TOML, so that what seems missing may only be unreadable.
    pub fn is_broken(&self) -> bool {
        !self.broken_lines.is_empty()
    }

    /// Reports a problem that stops the work.
    pub fn error(&mut self, span: Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        self.report(Severity::Error, span, message, help);
    }

    /// Reports a problem. Problems on lines that are no TOML are left out.
    pub fn report(
        &mut self,
        severity: Severity,
        span: Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        if self.broken_lines.binary_search(&self.source.line_of(span.start)).is_err() {
            self.problems.push(self.source.problem(severity, span, message).help(help));
        }
    }

    /// Adds a problem made elsewhere.
    pub fn push(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// All problems found, sorted by place.
    pub fn finish(self) -> Report {
        let mut report = Report::new();
        report.add(&self.source, self.problems);
        report
    }

    /// Reads one table by its known keys. `title` is how messages call it, such as `[blank]`.
    pub fn table(&mut self, table: &DeTable<'a>, span: Range<usize>, keys: &[&'static Key], title: &str) -> Table {
        let mut read = Table { span, ..Table::default() };
        for (name, value) in table {
            let Some(key) = keys.iter().find(|key| key.name == name.get_ref().as_ref()) else {
                // A mistyped key is not missing as well.
                read.broken.extend(self.unknown_key(name, keys, title));
                continue;
            };
            match self.value(key, value) {
                Some(found) => {
                    read.entries.insert(key.name, Entry { value: found, span: value.span() });
                }
                None => read.broken.push(key.name),
            }
        }
        read
    }

    /// Reports an unknown key; the answer is the key it was probably meant to be.
    fn unknown_key(
        &mut self,
        name: &Spanned<std::borrow::Cow<'a, str>>,
        keys: &[&'static Key],
        title: &str,
    ) -> Option<&'static str> {
        let near = nearest(name.get_ref(), keys.iter().map(|key| key.name));
        let help = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("{title} knows {}", list(&keys.iter().map(|key| key.name).collect::<Vec<_>>())),
        };
        let message = format!("unknown key {} in {title}", quoted(name.get_ref()));
        self.report(self.unknown, name.span(), message, help);
        near.filter(|_| self.unknown == Severity::Error)
    }

    fn wrong_type(&mut self, key: &Key, value: &Spanned<DeValue<'a>>) {
        let found = match value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let message = format!("`{}` cannot be {found}", key.name);
        self.error(value.span(), message, format!("expected {}", key.kind.words()));
    }

    /// Checks a value against its key; reports and returns `None` when it does not fit.
    fn value(&mut self, key: &'static Key, value: &Spanned<DeValue<'a>>) -> Option<Value> {
        let span = value.span();
        match (key.kind, value.get_ref()) {
            (Kind::Text(longest), DeValue::String(text)) => self.free_text(key, span, text, longest).map(Value::Text),
            (Kind::Text(_), DeValue::Datetime(date)) => Some(Value::Text(date.to_string())),
            (Kind::Texts, DeValue::Array(items)) => {
                let texts = self.items(key, value, items.iter(), |reader, item| match item.get_ref() {
                    DeValue::String(text) => reader.free_text(key, item.span(), text, LONGEST_SIZE),
                    _ => reader.refuse(key, item),
                })?;
                Some(Value::Texts(texts))
            }
            (Kind::Choice(words) | Kind::ChoiceOrFlag(words), DeValue::String(text)) => {
                self.choice(key, span, text, words).map(Value::Choice)
            }
            (Kind::ChoiceOrFlag(words), DeValue::Boolean(flag)) => {
                let word = if *flag { words.last() } else { words.first() };
                word.copied().map(Value::Choice)
            }
            (Kind::Choices(words), DeValue::Array(items)) => {
                let chosen = self.items(key, value, items.iter(), |reader, item| match item.get_ref() {
                    DeValue::String(text) => reader.choice(key, item.span(), text, words),
                    _ => reader.refuse(key, item),
                })?;
                Some(Value::Choices(chosen))
            }
            (Kind::Flag, DeValue::Boolean(flag)) => Some(Value::Flag(*flag)),
            (Kind::Count(least, most), DeValue::Integer(number)) => {
                let count = u32::from_str_radix(number.as_str(), number.radix()).ok();
                match count.filter(|count| (least..=most).contains(count)) {
                    Some(count) => Some(Value::Count(count)),
                    None => self.out_of_range(key, span),
                }
            }
            (Kind::Number(least, most), DeValue::Integer(_) | DeValue::Float(_)) => {
                let text = number_text(value.get_ref()).unwrap_or_default();
                let number: Option<f64> = text.parse().ok();
                match number.filter(|number| (least..=most).contains(number)) {
                    Some(number) => Some(Value::Number(number)),
                    None => self.out_of_range(key, span),
                }
            }
            (Kind::Size(least, most), _) => self.single(key, value, least, most).map(Value::Size),
            (Kind::Measured(most), DeValue::Array(items)) => {
                let readings = self.items(key, value, items.iter(), |reader, item| reader.measured(key, item, most))?;
                merged(readings).map(Value::Measured)
            }
            (Kind::Measured(most), _) => self.measured(key, value, most).map(Value::Measured),
            (Kind::Pair(most), DeValue::Array(items)) => {
                let smallest = Length::from_ticks(1);
                let both =
                    self.items(key, value, items.iter(), |reader, item| reader.single(key, item, smallest, most))?;
                match both.as_slice() {
                    [first, second] => Some(Value::Pair(*first, *second)),
                    _ => self.refuse(key, value),
                }
            }
            (Kind::Rows(most), DeValue::Array(rows)) => {
                let rows = self.items(key, value, rows.iter(), |reader, row| match row.get_ref() {
                    DeValue::Array(items) => {
                        let sizes =
                            reader.items(key, row, items.iter(), |reader, item| reader.signed(key, item, most))?;
                        Some((row.span(), sizes))
                    }
                    _ => reader.refuse(key, row),
                })?;
                Some(Value::Rows(rows))
            }
            (Kind::Step, _) => {
                let Some((text, inner)) = self.size_text(value) else { return self.refuse(key, value) };
                match parse_ruler(&text, self.units) {
                    Ok(ruler) => Some(Value::Step(ruler)),
                    Err(error) => self.size_error(key, inner, error),
                }
            }
            _ => self.refuse(key, value),
        }
    }

    fn refuse<T>(&mut self, key: &Key, value: &Spanned<DeValue<'a>>) -> Option<T> {
        self.wrong_type(key, value);
        None
    }

    fn out_of_range<T>(&mut self, key: &Key, span: Range<usize>) -> Option<T> {
        let message = format!("`{}` is out of range: {}", key.name, quoted(self.source.slice(&span)));
        self.error(span, message, format!("expected {}", key.kind.words()));
        None
    }

    /// Reads every item of a list, so that all its problems are reported; `None` if any was wrong.
    fn items<'v, T>(
        &mut self,
        key: &'static Key,
        whole: &Spanned<DeValue<'a>>,
        items: impl ExactSizeIterator<Item = &'v Spanned<DeValue<'a>>>,
        mut read: impl FnMut(&mut Self, &Spanned<DeValue<'a>>) -> Option<T>,
    ) -> Option<Vec<T>>
    where
        'a: 'v,
    {
        if items.len() > MOST_ENTRIES {
            let message = format!("`{}` has more than {MOST_ENTRIES} entries", key.name);
            self.error(whole.span(), message, format!("expected {}", key.kind.words()));
            return None;
        }
        let count = items.len();
        let read: Vec<T> = items.filter_map(|item| read(self, item)).collect();
        (read.len() == count).then_some(read)
    }

    fn free_text(&mut self, key: &Key, span: Range<usize>, text: &str, longest: usize) -> Option<String> {
        if text.chars().count() > longest {
            let message = format!("`{}` is longer than {longest} characters", key.name);
            self.error(span, message, "write it shorter");
            return None;
        }
        if text.chars().any(char::is_control) {
            let message = format!("`{}` holds characters that cannot be printed", key.name);
            self.error(span, message, "write it on one line, without control characters");
            return None;
        }
        // What names a file is never printed on a sheet.
        if !matches!(key.name, "path" | "outline-file" | "outline-id")
            && let Some(lacking) = lettering::missing(text)
        {
            // Shown at the character itself where it is written as such.
            let at = self.source.slice(&span).find(lacking).map(|at| span.start + at);
            let span = at.map_or(span, |at| at..at + lacking.len_utf8());
            self.error(span, lettering::lacks(&format!("`{}`", key.name), lacking), lettering::HELP);
            return None;
        }
        Some(text.trim().to_owned())
    }

    fn choice(
        &mut self,
        key: &Key,
        span: Range<usize>,
        text: &str,
        words: &'static [&'static str],
    ) -> Option<&'static str> {
        let plain = |text: &str| text.trim().to_lowercase().replace(['-', '_'], " ").replace("miter", "mitre");
        let found = words.iter().copied().find(|word| text.len() <= LONGEST_SIZE && plain(word) == plain(text));
        if found.is_none() {
            let message = format!("`{}` cannot be {}", key.name, quoted(text));
            let help = match nearest(text, words.iter().copied()) {
                Some(near) => format!("did you mean `{near}`? It is {}", Kind::Choice(words).words()),
                None => format!("expected {}", Kind::Choice(words).words()),
            };
            self.error(span, message, help);
        }
        found
    }

    /// The text of a size and where its first byte stands, if the value can be a size at all.
    fn size_text(&self, value: &Spanned<DeValue<'a>>) -> Option<(String, SizeSpan)> {
        let span = value.span();
        let text = match value.get_ref() {
            DeValue::String(text) => text.to_string(),
            other => number_text(other)?,
        };
        // Inside a plain string the parser's place is known to the byte; where escapes were
        // resolved or underscores dropped it is not, and the whole value is marked.
        let raw = self.source.slice(&span);
        let offset = if raw == text {
            Some(span.start)
        } else if raw.len() == text.len() + 2 && raw.get(1..raw.len() - 1) == Some(text.as_str()) {
            Some(span.start + 1)
        } else {
            None
        };
        Some((text, SizeSpan { whole: span, offset }))
    }

    fn measured(&mut self, key: &Key, value: &Spanned<DeValue<'a>>, most: Length) -> Option<Measured> {
        let Some((text, span)) = self.size_text(value) else { return self.refuse(key, value) };
        let measured = self.parse_size(key, &text, &span)?;
        if measured.smallest <= Length::ZERO || measured.largest > most {
            self.size_bounds(key, span.whole, Length::from_ticks(1), most);
            return None;
        }
        Some(measured)
    }

    fn single(&mut self, key: &Key, value: &Spanned<DeValue<'a>>, least: Length, most: Length) -> Option<Length> {
        let Some((text, span)) = self.size_text(value) else { return self.refuse(key, value) };
        if least <= Length::ZERO && is_zero(&text) {
            return Some(Length::ZERO);
        }
        let measured = self.parse_size(key, &text, &span)?;
        if measured.readings != 1 || measured.smallest != measured.largest || measured.uncertainty.is_some() {
            let message = format!("`{}` takes one plain size", key.name);
            self.error(span.whole, message, format!("expected {}", key.kind.words()));
            return None;
        }
        if measured.nominal < least || measured.nominal > most {
            self.size_bounds(key, span.whole, least, most);
            return None;
        }
        Some(measured.nominal)
    }

    /// A size that may lie on either side of a baseline: with a minus sign before it, or zero.
    fn signed(&mut self, key: &Key, value: &Spanned<DeValue<'a>>, most: Length) -> Option<Length> {
        let Some((text, mut span)) = self.size_text(value) else { return self.refuse(key, value) };
        let plain = text.trim_start();
        let (plain, minus) = match plain.strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (rest, true),
            None => (plain, false),
        };
        if is_zero(plain) {
            return Some(Length::ZERO);
        }
        span.offset = span.offset.map(|offset| offset + text.len() - plain.len());
        let measured = self.parse_size(key, plain, &span)?;
        if measured.readings != 1 || measured.smallest != measured.largest || measured.uncertainty.is_some() {
            let message = format!("`{}` takes plain sizes", key.name);
            self.error(span.whole, message, "state the error of all of them by `captured` or `uncertainty`");
            return None;
        }
        if measured.nominal > most {
            self.size_bounds(key, span.whole, Length::ZERO, most);
            return None;
        }
        Some(if minus { -measured.nominal } else { measured.nominal })
    }

    fn parse_size(&mut self, key: &Key, text: &str, span: &SizeSpan) -> Option<Measured> {
        if text.len() > LONGEST_SIZE {
            let message = format!("`{}` is too long for a size", key.name);
            self.error(span.whole.clone(), message, format!("expected {}", key.kind.words()));
            return None;
        }
        match parse_measured(text, self.units) {
            Ok(measured) => Some(measured),
            Err(error) => self.size_error(key, span.clone(), error),
        }
    }

    fn size_error<T>(&mut self, key: &Key, span: SizeSpan, error: SizeError) -> Option<T> {
        let severity = match error.kind {
            SizeErrorKind::Refused | SizeErrorKind::Ambiguous => Severity::Error,
            SizeErrorKind::Query => Severity::Query,
        };
        let place = match span.offset {
            Some(offset) => offset + error.span.start..offset + error.span.end,
            None => span.whole,
        };
        self.report(severity, place, format!("`{}`: {}", key.name, error.message), error.help);
        None
    }

    fn size_bounds(&mut self, key: &Key, span: Range<usize>, least: Length, most: Length) {
        let message = format!("`{}` is out of range: {}", key.name, quoted(self.source.slice(&span)));
        let bounds = |length: Length| match self.units {
            Unit::Inch => format!("{} in", rounded(length.to_inches())),
            Unit::Millimetre => format!("{} mm", rounded(length.to_mm())),
        };
        let help = if least <= Length::from_ticks(1) {
            let zero = if least <= Length::ZERO { "from zero" } else { "above zero and" };
            format!("expected a size {zero} up to {}", bounds(most))
        } else {
            format!("expected a size from {} to {}", bounds(least), bounds(most))
        };
        self.error(span, message, help);
    }
}

/// Where a size stands, and where its text begins if that is known to the byte.
#[derive(Debug, Clone)]
struct SizeSpan {
    whole: Range<usize>,
    offset: Option<usize>,
}

/// A bound to four decimals, without trailing zeros.
fn rounded(number: f64) -> f64 {
    (number * 10_000.0).round() / 10_000.0
}

fn number_text(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().to_owned()),
        DeValue::Float(number) => Some(number.as_str().to_owned()),
        _ => None,
    }
}

/// Whether a size text is a plain zero, which the size parser refuses as a measurement but which
/// some keys take for "none".
fn is_zero(text: &str) -> bool {
    let text = text.trim();
    let number = text.strip_suffix("mm").or_else(|| text.strip_suffix("in")).unwrap_or(text);
    let number = number.trim_end_matches('"').trim();
    !number.is_empty() && number.contains('0') && number.chars().all(|digit| matches!(digit, '0' | '.'))
}

/// Where nesting first goes deeper than `levels`.
fn too_deep(value: &Spanned<DeValue<'_>>, levels: usize) -> Option<Range<usize>> {
    let Some(levels) = levels.checked_sub(1) else { return Some(value.span()) };
    match value.get_ref() {
        DeValue::Array(items) => items.iter().find_map(|item| too_deep(item, levels)),
        DeValue::Table(table) => table.values().find_map(|item| too_deep(item, levels)),
        _ => None,
    }
}
