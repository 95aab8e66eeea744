//! Problems found in a text, each shown at its place.
//!
//! A [`Problem`] is complete in itself (file, line, column, the line and the columns to mark), so
//! one [`Report`] can hold problems of several files.

use std::fmt;
use std::ops::Range;

use unicode_width::UnicodeWidthChar;

/// Problems kept in one report; the rest are only counted.
pub const MOST_PROBLEMS: usize = 50;

/// Columns of a source line that are shown; longer lines are cut around the marked part.
const LINE_COLUMNS: usize = 96;

/// Columns kept before the marked part of a line that had to be cut.
const COLUMNS_BEFORE: usize = 32;

/// Tab stops in shown lines.
const TAB: usize = 4;

/// Longest quotation of a user's text inside a message, in characters.
const LONGEST_QUOTE: usize = 40;

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The text is wrong; nothing is made from it.
    Error,
    /// Probably a slip; nothing is made until the user confirms by writing it another way.
    Query,
    /// Worth knowing; does not stop anything.
    Note,
}

impl Severity {
    /// The word printed before the message.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "Wrong",
            Severity::Query => "Meant?",
            Severity::Note => "Note",
        }
    }
}

/// One problem, with its place in a text where it has one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// How bad it is.
    pub severity: Severity,
    /// Name of the file, or of whatever the text is.
    pub file: String,
    /// What is wrong.
    pub message: String,
    /// What was expected, or how to mend it.
    pub help: Option<String>,
    /// Bytes of the text it is about; `None` for a problem with the file as a whole.
    pub span: Option<Range<usize>>,
    /// The place ready to be shown; worked out when the problem enters a [`Report`], because most
    /// of a flood of problems never do.
    pub place: Option<Place>,
}

/// A place in a text, with the line ready to be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The line with tabs expanded, control characters replaced and long lines cut.
    pub shown: String,
    /// Screen columns before the carets.
    pub indent: usize,
    /// Number of carets, at least one.
    pub carets: usize,
}

impl Problem {
    /// A problem with a file as a whole.
    pub fn whole(severity: Severity, file: &str, message: impl Into<String>) -> Problem {
        Problem { severity, file: printable(file), message: message.into(), help: None, span: None, place: None }
    }

    /// The same problem with a line of help.
    pub fn help(self, help: impl Into<String>) -> Problem {
        Problem { help: Some(help.into()), ..self }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.place {
            Some(place) => writeln!(f, "{}, line {}, column {}:", self.file, place.line, place.column)?,
            None => writeln!(f, "{}:", self.file)?,
        }
        writeln!(f, "{}: {}", self.severity.word(), self.message)?;
        if let Some(place) = &self.place {
            writeln!(f, "      {}", place.shown)?;
            writeln!(f, "      {}{}", " ".repeat(place.indent), "^".repeat(place.carets))?;
        }
        match &self.help {
            Some(help) => writeln!(f, "Mend: {help}"),
            None => Ok(()),
        }
    }
}

/// A text that problems are found in.
#[derive(Debug, Clone)]
pub struct Source<'a> {
    file: &'a str,
    text: &'a str,
    line_starts: Vec<usize>,
}

impl<'a> Source<'a> {
    /// A text and the name it goes by.
    pub fn new(file: &'a str, text: &'a str) -> Source<'a> {
        let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Source { file, text, line_starts }
    }

    /// The text.
    pub fn text(&self) -> &'a str {
        self.text
    }

    /// The name it goes by.
    pub fn file(&self) -> &'a str {
        self.file
    }

    /// The part of the text at a byte range; empty where the range is none of the text.
    pub fn slice(&self, span: &Range<usize>) -> &'a str {
        self.text.get(span.clone()).unwrap_or("")
    }

    /// The line (from 1) that holds a byte offset.
    pub fn line_of(&self, offset: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= offset).max(1)
    }

    /// A problem at a byte range of the text.
    pub fn problem(&self, severity: Severity, span: Range<usize>, message: impl Into<String>) -> Problem {
        Problem { span: Some(span), ..Problem::whole(severity, self.file, message) }
    }

    /// The place of a byte range. Ranges outside the text or within a character are moved to the
    /// nearest place that exists.
    pub fn place(&self, span: Range<usize>) -> Place {
        let start = floor_boundary(self.text, span.start);
        let line = self.line_of(start);
        let line_start = self.line_starts.get(line - 1).copied().unwrap_or(0);
        let rest = self.text.get(line_start..).unwrap_or("");
        let text = rest.split('\n').next().unwrap_or("").trim_end_matches('\r');
        let line_end = line_start + text.len();
        let start = start.min(line_end);
        let end = floor_boundary(self.text, span.end).clamp(start, line_end);
        let column = self.text.get(line_start..start).unwrap_or("").chars().count() + 1;
        let (shown, indent, carets) = show_line(text, start - line_start, end - line_start);
        Place { line, column, shown, indent, carets }
    }
}

/// The greatest character boundary of `text` that is not past `at`.
fn floor_boundary(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Renders a line for the screen and finds the screen columns of a byte range of it.
fn show_line(line: &str, start: usize, end: usize) -> (String, usize, usize) {
    // First pass: screen column of each character, counting tab stops from the line's start.
    let mut cells: Vec<(usize, usize, char)> = Vec::new();
    let mut column = 0;
    for (at, character) in line.char_indices() {
        let width = match character {
            '\t' => TAB - column % TAB,
            _ => visible(character).width().unwrap_or(1),
        };
        cells.push((at, column, character));
        column += width;
    }
    let column_at = |byte: usize| cells.iter().find(|(at, ..)| *at >= byte).map_or(column, |(_, column, _)| *column);
    let (from, to) = (column_at(start), column_at(end));

    let cut_from = if column <= LINE_COLUMNS { 0 } else { from.saturating_sub(COLUMNS_BEFORE) };
    let cut_to = if column <= LINE_COLUMNS { column } else { cut_from + LINE_COLUMNS };
    let dots = if cut_from > 0 { "..." } else { "" };
    let mut shown = dots.to_owned();
    let mut first = None;
    for (at, (_, cell, character)) in cells.iter().enumerate() {
        if *cell < cut_from {
            continue;
        }
        let width = cells.get(at + 1).map_or(column, |next| next.1) - cell;
        if cell + width > cut_to {
            break;
        }
        if first.is_none() {
            first = Some(*cell);
        }
        match character {
            '\t' => shown.extend(std::iter::repeat_n(' ', width)),
            other => shown.push(visible(*other)),
        }
    }
    if cut_to < column {
        shown.push_str("...");
    }
    let indent = dots.len() + from.saturating_sub(first.unwrap_or(cut_from));
    let carets = to.min(cut_to).saturating_sub(from).max(1);
    (shown.trim_end().to_owned(), indent, carets)
}

/// What is put on the screen for a character: control characters are replaced.
fn visible(character: char) -> char {
    // Besides the control characters proper, the marks that turn the direction of writing could
    // make a line read otherwise than it is.
    let turns = matches!(character, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    if character.is_control() || turns { '\u{fffd}' } else { character }
}

/// A text made safe to print on one line: control characters replaced.
pub fn printable(text: &str) -> String {
    text.chars().map(visible).collect()
}

/// A user's text quoted for a message: one line, in backquotes, cut when long.
pub fn quoted(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_QUOTE).map(visible).collect();
    if text.chars().nth(LONGEST_QUOTE).is_some() {
        shown.push_str("...");
    }
    format!("`{shown}`")
}

/// The known name most like a mistyped one, if any is near enough to be meant.
pub fn nearest<'k>(typed: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    // Long texts are no slips of the finger, and the comparison takes time in proportion to length.
    if typed.chars().count() > LONGEST_QUOTE {
        return None;
    }
    let typed = typed.to_lowercase().replace('_', "-");
    let mut best: Option<(f64, &str)> = None;
    for name in known {
        let likeness = strsim::normalized_damerau_levenshtein(&typed, &name.to_lowercase());
        let likeness = if is_part(&typed, name) { likeness.max(0.7) } else { likeness };
        if likeness >= 0.6 && best.is_none_or(|(most, _)| likeness > most) {
            best = Some((likeness, name));
        }
    }
    best.map(|(_, name)| name)
}

/// Whether one is a whole word of the other, as `ruler` is of `depth-ruler`.
fn is_part(typed: &str, name: &str) -> bool {
    let words = |text: &str, word: &str| text.len() > word.len() && text.split(['-', ' ']).any(|part| part == word);
    typed.len() >= 4 && (words(name, typed) || (name.len() >= 4 && words(typed, name)))
}

/// All problems of one run, in the order of their files and places.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Report {
    problems: Vec<Problem>,
    more: usize,
}

impl Report {
    /// An empty report.
    pub fn new() -> Report {
        Report::default()
    }

    /// A report of one problem.
    pub fn of(problem: Problem) -> Report {
        Report { problems: vec![problem], more: 0 }
    }

    /// Adds the problems of one text, sorted by place; those without a place come last.
    pub fn add(&mut self, source: &Source, mut problems: Vec<Problem>) {
        problems.sort_by_key(|problem| problem.span.as_ref().map_or(usize::MAX, |span| span.start));
        let room = MOST_PROBLEMS.saturating_sub(self.problems.len());
        self.more += problems.len().saturating_sub(room);
        for mut problem in problems.into_iter().take(room) {
            problem.place = problem.span.clone().map(|span| source.place(span));
            self.problems.push(problem);
        }
    }

    /// Adds the problems of another report after these.
    pub fn append(&mut self, other: Report) {
        let room = MOST_PROBLEMS.saturating_sub(self.problems.len());
        self.more += other.more + other.problems.len().saturating_sub(room);
        self.problems.extend(other.problems.into_iter().take(room));
    }

    /// The problems kept.
    pub fn problems(&self) -> &[Problem] {
        &self.problems
    }

    /// Makes errors of the problems that `which` picks.
    pub fn harden(&mut self, which: impl Fn(&Problem) -> bool) {
        for problem in self.problems.iter_mut().filter(|problem| which(problem)) {
            problem.severity = Severity::Error;
        }
    }

    /// How many problems were found beyond those kept.
    pub fn more(&self) -> usize {
        self.more
    }

    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// Whether anything in it stops the work: an error or a query. Problems beyond those kept
    /// are taken to do so.
    pub fn stops(&self) -> bool {
        self.more > 0 || self.problems.iter().any(|problem| problem.severity < Severity::Note)
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (number, problem) in self.problems.iter().enumerate() {
            if number > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        match self.more {
            0 => Ok(()),
            more => writeln!(f, "\nand {more} more"),
        }
    }
}

impl std::error::Error for Report {}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str, span: Range<usize>) -> String {
        let source = Source::new("a.toml", text);
        let mut report = Report::new();
        report.add(&source, vec![source.problem(Severity::Error, span, "bad")]);
        report.to_string()
    }

    #[test]
    fn carets_stand_under_the_marked_part() {
        let text = "one = 1\ntwo = 22\n";
        assert_eq!(shown(text, 14..16), "a.toml, line 2, column 7:\nWrong: bad\n      two = 22\n            ^^\n");
    }

    #[test]
    fn tabs_and_wide_characters_move_the_carets() {
        // A tab runs to column 4; each of the two wide characters takes two columns (UAX #11).
        let text = "\t漢字 = 7";
        let at = text.find('7').unwrap_or(0);
        assert_eq!(
            shown(text, at..at + 1),
            "a.toml, line 1, column 7:\nWrong: bad\n          漢字 = 7\n                 ^\n"
        );
    }

    #[test]
    fn a_long_line_is_cut_around_the_mark() {
        let text = format!("{}X{}", "a".repeat(5000), "b".repeat(5000));
        let place = Source::new("a.toml", &text).place(5000..5001);
        // 96 columns and three dots at both ends; 32 kept columns and the dots before the mark.
        assert_eq!((place.shown.len(), place.indent, place.carets), (102, 35, 1));
    }

    #[test]
    fn ranges_outside_the_text_or_inside_a_character_are_moved() {
        for span in [0..0, 2..3, 90..100, 1..usize::MAX] {
            assert!(shown("é\u{1b}x", span).contains('^'), "a caret is always shown");
        }
        assert!(!shown("é\u{1b}x", 0..1).contains('\u{1b}'), "no control character reaches the screen");
    }

    #[test]
    fn a_report_is_bounded() {
        let source = Source::new("a.toml", "x");
        let mut report = Report::new();
        report.add(&source, (0..60).map(|_| source.problem(Severity::Note, 0..1, "bad")).collect());
        assert_eq!((report.problems().len(), report.more()), (50, 10));
        assert!(report.to_string().ends_with("\nand 10 more\n"));
    }

    #[test]
    fn near_names_are_found_and_far_ones_are_not() {
        let known = ["length", "width", "thickness", "depth-ruler"];
        assert_eq!(nearest("widht", known), Some("width"));
        assert_eq!(nearest("Length", known), Some("length"));
        assert_eq!(nearest("depth_ruler", known), Some("depth-ruler"));
        assert_eq!(nearest("ruler", known), Some("depth-ruler"));
        assert_eq!(nearest("colour", known), None);
    }
}
