//! Blanks of any outline: from a file or a table, and loaded at any turn.

use super::build::{Builder, Load, PRACTICE};
use super::{Drawn, Other, Request, Shape};
use crate::capture::{self, Captured, Drawing, Fault, Treatment};
use crate::diagnostic::{printable, quoted};
use crate::length::{Length, Measured, Unit};
use crate::library::lettering;
use crate::library::reader::Table;

/// Keys that give an outline; one of them is needed.
const SOURCES: [&str; 3] = ["outline-file", "stations", "points"];
/// Keys that only an outline has.
pub(super) const OUTLINE_KEYS: [&str; 9] = [
    "outline-file",
    "outline-id",
    "outline-units",
    "stations",
    "points",
    "captured",
    "traced-from",
    "outline-outside",
    "outline-error",
];

impl Builder<'_, '_> {
    /// Blanks of other outlines, carved beside the blank; and what the blank is called among them.
    pub(super) fn others(&mut self, blank: &Table, shape: &str, load: &Load<'_>) -> (String, Vec<Other>) {
        let job = self.job;
        let mut names: Vec<String> = Vec::new();
        let mut others = Vec::new();
        for (place, table) in std::iter::once(blank).chain(&job.also).enumerate() {
            let name = table.text("name").map_or_else(|| format!("outline {}", place + 1), str::to_owned);
            if let Some(lacking) = lettering::missing(&name) {
                let message = lettering::lacks("`name`", lacking);
                self.reader.error(table.span_of("name"), message, "name the outline in plain letters");
            }
            if names.contains(&name) {
                let message = format!("two outlines are called {}", quoted(&name));
                self.reader.error(table.span_of("name"), message, "give each a name of its own");
            }
            names.push(name.clone());
            if place == 0 {
                continue;
            }
            if shape != "outline" {
                let message = format!("`[[also]]` stands beside an outline, but the shape is a {shape}");
                let help = "give `[blank]` an outline, or a job of its own to what is carved apart";
                self.reader.error(table.span.clone(), message, help);
                return (String::new(), Vec::new());
            }
            if let Some(drawn) = self.outline(table, &format!("also {place}"), load) {
                others.push(Other { name, drawn, count: table.count("count").unwrap_or(1) });
            }
        }
        let name = names.into_iter().next().filter(|_| !others.is_empty());
        (name.unwrap_or_default(), others)
    }

    /// The outline of the blank, or what is wrong with it reported.
    pub(super) fn outline(&mut self, table: &Table, named: &str, load: &Load<'_>) -> Option<Drawn> {
        let given: Vec<&str> = SOURCES.into_iter().filter(|name| table.has(name)).collect();
        let &[source] = given.as_slice() else {
            let help = "give one of `outline-file` (.svg, .dxf, .csv), `stations` or `points`";
            let message = if given.is_empty() { "the outline is not given" } else { "the outline is given twice" };
            self.reader.error(given.last().map_or(table.span.clone(), |name| table.span_of(name)), message, help);
            return None;
        };
        let (read, usual) = self.drawing(table, source, load)?;
        let method = capture::method(table.text("captured").unwrap_or(usual))?;
        let mut drawing = match read {
            Ok(drawing) => drawing,
            Err(fault) => return self.faulty(table, source, &fault),
        };
        let error = match table.size("outline-error") {
            Some(stated) => {
                // All in: the program has nothing to add for the stations.
                drawing.error = 0.0;
                stated
            }
            None => method.error,
        };
        if !table.has("captured") {
            self.assume(&format!("{named}.captured"), method.id, PRACTICE);
        }
        let treatment = Treatment {
            error,
            underneath: table.text("traced-from") == Some("underneath"),
            line_outside: table.size("outline-outside").unwrap_or(Length::ZERO),
            units: self.units,
        };
        if !table.has("traced-from") && source != "stations" {
            self.assume(&format!("{named}.traced-from"), "top", PRACTICE);
        }
        match capture::finish(&drawing, treatment) {
            Ok(Captured { path, error }) => {
                if !table.has("outline-error") {
                    let shown = self.show(error.up(Length::inches(1, 128)));
                    self.assume(
                        &format!("{named}.outline-error"),
                        format!("{shown} each way, {}", method.words),
                        PRACTICE,
                    );
                }
                // Turned over sideways, the same end stays at the left.
                let rows = (source == "stations").then(|| table.rows(source)).flatten();
                let first_station = rows.and_then(|rows| rows.first().and_then(|(_, row)| row.first().copied()));
                Some(Drawn { path, error, method: method.words.to_owned(), first_station })
            }
            Err(fault) => self.faulty(table, source, &fault),
        }
    }

    /// Reads the outline, and names the method that is usual for its source.
    fn drawing(
        &mut self,
        table: &Table,
        source: &str,
        load: &Load<'_>,
    ) -> Option<(Result<Drawing, Fault>, &'static str)> {
        let rows = |name: &str| {
            let rows = table.rows(name)?;
            Some(rows.iter().map(|(_, row)| row.clone()).collect::<Vec<Vec<Length>>>())
        };
        match source {
            "stations" => return Some((capture::stations(&rows(source)?), "stations")),
            "points" => return Some((capture::points(&rows(source)?), "points")),
            _ => {}
        }
        let name = table.text("outline-file")?;
        let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default();
        if !matches!(ending.as_str(), "svg" | "dxf" | "csv") {
            let message = format!("{} is neither .svg, .dxf nor .csv", quoted(name));
            self.reader.error(
                table.span_of(source),
                message,
                "save the outline in one of these, or type it as a table",
            );
            return None;
        }
        let text = match load(name) {
            Ok(text) => text,
            Err(reason) => {
                let message = format!("the outline {} cannot be read: {}", quoted(name), printable(&reason));
                self.reader.error(table.span_of(source), message, "the path starts at the job file's folder");
                return None;
            }
        };
        let declared = match table.text("outline-units") {
            Some("in") => Some(Unit::Inch),
            Some("mm") => Some(Unit::Millimetre),
            _ => None,
        };
        let id = table.text("outline-id");
        Some(match ending.as_str() {
            "svg" => (capture::read_svg(&text, id, declared, self.units), "pencil"),
            "dxf" => (capture::read_dxf(&text, id, declared, self.units), "drawing-sawn"),
            _ => (capture::read_csv(&text, declared), "points"),
        })
    }

    fn faulty<T>(&mut self, table: &Table, source: &str, fault: &Fault) -> Option<T> {
        let row = fault.row.and_then(|row| table.rows(source)?.get(row).map(|(span, _)| span.clone()));
        let message = match table.text(source) {
            Some(file) => format!("{}: {}", printable(file), fault.message),
            None => fault.message.clone(),
        };
        self.reader.error(row.unwrap_or_else(|| table.span_of(source)), message, fault.help.clone());
        None
    }

    /// The box round the outline as length and width; where those are stated too they must agree.
    pub(super) fn boxed(&mut self, table: &Table, drawn: &Drawn, error: Length) -> (Measured, Measured) {
        let bounds = drawn.path.bounds();
        for (name, found) in [("length", bounds.length()), ("width", bounds.width())] {
            let Some(stated) = table.measured(name) else { continue };
            let allowed = drawn.error * 2 + stated.uncertainty.unwrap_or(error);
            if (stated.nominal - found).abs() > allowed {
                let (found, stated) = (self.show(found.nearest(Length::inches(1, 64))), self.show(stated.nominal));
                let message = format!("the outline is {found} in {name}, but {stated} is stated");
                let help =
                    format!("they may differ by {}; check the scale, the turn and the reading", self.show(allowed));
                self.reader.error(table.span_of(name), message, help);
            }
        }
        (measured(bounds.length(), drawn.error, self.units), measured(bounds.width(), drawn.error, self.units))
    }
}

/// An extent of an outline, both of whose sides may be out by `error`.
fn measured(extent: Length, error: Length, unit: Unit) -> Measured {
    Measured::exact(extent, error * 2, unit)
}

impl Request {
    /// The request with only one of its outlines, 0 being the blank itself; `None` where there is none.
    pub fn of_kind(&self, kind: usize) -> Option<Request> {
        let mut request = self.clone();
        let others = std::mem::take(&mut request.blank.others);
        let Some(place) = kind.checked_sub(1) else { return Some(request) };
        let other = others.into_iter().nth(place)?;
        let bounds = other.drawn.path.bounds();
        request.blank.length = measured(bounds.length(), other.drawn.error, self.units);
        request.blank.width = measured(bounds.width(), other.drawn.error, self.units);
        (request.carve.length, request.carve.width) = (bounds.length(), bounds.width());
        (request.blank.count, request.blank.name) = (other.count, other.name);
        request.blank.shape = Shape::Outline(other.drawn);
        Some(request)
    }

    /// The request with its outline loaded turned counter-clockwise by `degrees`; `None` where there is
    /// nothing to turn. An area to carve that was stated does not turn with it: only whole blanks do.
    pub fn turned_by(&self, degrees: f64) -> Option<Request> {
        let Shape::Outline(drawn) = &self.blank.shape else { return None };
        if degrees == 0.0 || self.carve.stated {
            return None;
        }
        let path = drawn.path.turned(degrees).moved_to(Length::ZERO, Length::ZERO);
        let bounds = path.bounds();
        let mut request = self.clone();
        request.blank.length = measured(bounds.length(), drawn.error, self.units);
        request.blank.width = measured(bounds.width(), drawn.error, self.units);
        (request.carve.length, request.carve.width) = (bounds.length(), bounds.width());
        request.blank.shape = Shape::Outline(Drawn { path, ..drawn.clone() });
        Some(request)
    }
}
