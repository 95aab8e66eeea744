//! Outlines as a shop has them: tables of offsets, points, drawings and tracings.
//!
//! Every reader gives vertices in millimetres seen from above. [`finish`] turns them into a path of few
//! lines and arcs and adds up how far the true edge may lie from it. Scale comes from declared units
//! and is never guessed.

mod csv;
mod dxf;
mod svg;
mod typed;

pub use csv::read as read_csv;
pub use dxf::read as read_dxf;
pub use svg::read as read_svg;
pub use typed::{points, stations};

use crate::geometry::fit::{fit, outside};
use crate::geometry::offset::offset;
use crate::geometry::path::{Mm, Path, PathFault, Vertex, from_mm, to_mm};
use crate::length::{Length, Unit};

/// Curves that are no arcs are put into chords this close to them, mm.
const CHORD_ERROR: f64 = 0.01;
/// Ends of a drawn outline no farther apart than this are one, mm.
const GAP: f64 = 0.1;
/// An outline with this many vertices is left as it is drawn.
const FEW: usize = 24;
/// Most vertices left when an outline is simplified: what is rougher than that is noise.
const MOST_KEPT: usize = 1_500;
/// Shortest side of the box round an outline worth a nest.
const TINY: Length = Length::inches(1, 4);
/// Largest coordinate, mm: 100 ft.
const HUGE: f64 = 30_480.0;

/// A way to get at an outline, with its error.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Method {
    /// Name in job files.
    pub id: &'static str,
    /// In words, for the sheet.
    pub words: &'static str,
    /// How far the true edge may lie from the captured one, each way. Common practice, no source.
    pub error: Length,
}

/// Every way, with its usual error (common practice, no source).
pub const METHODS: [Method; 8] = [
    Method { id: "stations", words: "offsets from a baseline, by rule", error: Length::inches(1, 32) },
    Method { id: "points", words: "points measured by rule", error: Length::inches(1, 32) },
    Method { id: "pencil", words: "traced with a pencil", error: Length::inches(1, 16) },
    Method { id: "fine-pencil", words: "traced with a fine upright pencil", error: Length::inches(1, 32) },
    Method { id: "pattern", words: "pattern fitted by eye", error: Length::inches(1, 32) },
    Method { id: "scan", words: "scanned on glass", error: Length::inches(1, 32) },
    Method { id: "drawing-sawn", words: "sawn to the drawing", error: Length::inches(1, 16) },
    Method { id: "drawing-machined", words: "cut to the drawing by machine", error: Length::inches(1, 64) },
];

/// Names of the ways, for the table of keys.
pub const METHOD_NAMES: [&str; 8] =
    ["stations", "points", "pencil", "fine-pencil", "pattern", "scan", "drawing-sawn", "drawing-machined"];

/// The method with this name.
pub fn method(id: &str) -> Option<&'static Method> {
    METHODS.iter().find(|method| method.id == id)
}

/// Vertices as they were read, and how far the reading itself may be off, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Vertices in order, either way round, mm.
    pub vertices: Vec<DrawnVertex>,
    /// Chords for curves, and rounds between stations.
    pub error: f64,
}

/// A vertex as drawn: where it is, and a point the arc to the next one passes through.
pub type DrawnVertex = (Mm, Option<Mm>);

/// What is wrong with an outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// What and where.
    pub message: String,
    /// How to mend it.
    pub help: String,
    /// The row of a table it is about, from 0.
    pub row: Option<usize>,
}

impl Fault {
    fn new(message: impl Into<String>, help: impl Into<String>) -> Fault {
        Fault { message: message.into(), help: help.into(), row: None }
    }

    fn at(self, row: usize) -> Fault {
        Fault { row: Some(row), ..self }
    }
}

/// What is done with a drawing before it is an outline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Treatment {
    /// Error of the way it was captured.
    pub error: Length,
    /// Whether it was traced from underneath.
    pub underneath: bool,
    /// How far outside the true edge the line was drawn (round a rolled washer), taken off again.
    pub line_outside: Length,
    /// Unit for places in messages.
    pub units: Unit,
}

/// An outline ready for use.
#[derive(Debug, Clone, PartialEq)]
pub struct Captured {
    /// The outline seen from above, the near corner of its bounds at zero.
    pub path: Path,
    /// How far the true edge may lie from it, each way: method, reading and simplification.
    pub error: Length,
}

/// Makes an outline of a drawing: mirrors it where it was traced from underneath, takes off what the
/// line was drawn outside, and puts it into few lines and arcs. What those leave out is added to the
/// error, so a nest grown by the error is never tighter for the simplification.
///
/// # Errors
/// When the drawing is no simple closed outline of a workable size; the message names the vertices.
pub fn finish(drawing: &Drawing, treatment: Treatment) -> Result<Captured, Fault> {
    let vertices = tidy(&drawing.vertices);
    let far = |p: Mm| p.0.abs() > HUGE || p.1.abs() > HUGE || !p.0.is_finite() || !p.1.is_finite();
    if let Some(index) = vertices.iter().position(|(p, via)| far(*p) || via.is_some_and(far)) {
        let message = format!("vertex {} of the outline lies beyond 100 ft", index + 1);
        return Err(Fault::new(message, "check the unit of the file"));
    }
    let exact = vertices.iter().map(|(p, via)| Vertex { point: from_mm(*p), via: via.map(from_mm) }).collect();
    let whole = Path::new(exact).map_err(|fault| told(fault, treatment.units))?;
    let bounds = whole.bounds();
    if bounds.length().min(bounds.width()) < TINY {
        let message = format!(
            "the outline is only {} x {}",
            say(bounds.length().to_mm(), treatment.units),
            say(bounds.width().to_mm(), treatment.units)
        );
        return Err(Fault::new(message, "check the unit of the outline: nothing under 1/4 in (6 mm) is carved"));
    }
    // What comes on top of the method's own error, mm.
    let mut extra = drawing.error;
    let mut path = whole;
    if path.vertices().len() > FEW {
        let ring = path.flattened(CHORD_ERROR);
        let tolerance = ((extra + treatment.error.to_mm()) / 4.0).max(2.0 * CHORD_ERROR);
        let fitted = fit(&ring, tolerance).map_err(|fault| told(fault, treatment.units))?;
        if fitted.path.vertices().len() < path.vertices().len() {
            extra += outside(&ring, &fitted.path) + CHORD_ERROR;
            path = fitted.path;
        }
    }
    if path.vertices().len() > MOST_KEPT {
        let message = format!(
            "the outline is rough: {} vertices are left of {} when it is put into lines and arcs",
            path.vertices().len(),
            vertices.len()
        );
        return Err(Fault::new(message, "smooth it where it was drawn, or state a larger `outline-error`"));
    }
    if treatment.line_outside > Length::ZERO {
        path = offset(&path, -treatment.line_outside.to_mm()).map_err(|_| {
            let help = "check `outline-outside`: the washer's radius at its hole, measured on a straight side";
            Fault::new("nothing simple is left of the outline when what it was drawn outside is taken off", help)
        })?;
    }
    if treatment.underneath {
        path = path.mirrored();
    }
    let path = path.moved_to(Length::ZERO, Length::ZERO);
    // What was added is rounded up to a thousandth of a millimetre; a plain error stays on its mark.
    let error = treatment.error + Length::from_mm(extra).unwrap_or_default().up(Length::micrometres(1));
    Ok(Captured { path, error })
}

/// Drops what repeats, and the end where it comes back to the start.
fn tidy(vertices: &[DrawnVertex]) -> Vec<DrawnVertex> {
    let near = |a: Mm, b: Mm| (a.0 - b.0).abs() < 1e-6 && (a.1 - b.1).abs() < 1e-6;
    let mut kept: Vec<DrawnVertex> = Vec::with_capacity(vertices.len());
    for vertex in vertices {
        match kept.last_mut() {
            Some(last) if near(last.0, vertex.0) => *last = *vertex,
            _ => kept.push(*vertex),
        }
    }
    if let (Some(first), Some(last)) = (kept.first().copied(), kept.last().copied())
        && kept.len() > 1
        && near(first.0, last.0)
    {
        kept.pop();
    }
    kept
}

/// A path's fault in words, vertices counted and placed.
fn told(fault: PathFault, units: Unit) -> Fault {
    let at = |p: crate::geometry::Point| place(to_mm(p), units);
    match fault {
        PathFault::TooFew(count) => Fault::new(
            format!("the outline has only {count} vertices"),
            "give at least three, or two with an arc between them",
        ),
        PathFault::TooMany(count) => Fault::new(
            format!("the outline has {count} vertices; at most {} are read", crate::geometry::path::MOST_VERTICES),
            "simplify it where it was drawn",
        ),
        PathFault::Repeated(vertex, p) => Fault::new(
            format!("vertices {vertex} and {} of the outline are the same, at {}", vertex + 1, at(p)),
            "leave one of them out",
        ),
        PathFault::Arc(vertex, p) => Fault::new(
            format!("the arc from vertex {vertex} at {} passes through no point between its ends", at(p)),
            "the point an arc passes through lies off its ends",
        ),
        PathFault::Crossing(a, b, p) => Fault::new(
            format!("the outline meets itself at {}: the lines after vertices {a} and {b}", at(p)),
            "an outline runs round once and touches itself nowhere; look for a slip in one of these",
        ),
        PathFault::Spike(vertex, p) => Fault::new(
            format!("the outline goes back on itself at vertex {vertex}, {}", at(p)),
            "leave that vertex out, or the one after it",
        ),
        PathFault::NoArea => Fault::new("the outline encloses nothing", "check the order of its vertices and its unit"),
    }
}

/// A length in a message.
fn say(mm: f64, units: Unit) -> String {
    match units {
        Unit::Inch => format!("{:.3} in", mm / 25.4),
        Unit::Millimetre => format!("{mm:.2} mm"),
    }
}

/// A place in a message.
fn place(p: Mm, units: Unit) -> String {
    let (k, unit, digits) = match units {
        Unit::Inch => (25.4, "in", 3),
        Unit::Millimetre => (1.0, "mm", 2),
    };
    format!("({:.digits$}, {:.digits$}) {unit}", p.0 / k, p.1 / k)
}

/// Closes a chain whose ends nearly meet.
///
/// # Errors
/// When they do not.
fn closed(mut vertices: Vec<DrawnVertex>, units: Unit) -> Result<Vec<DrawnVertex>, Fault> {
    let (Some(first), Some(last)) = (vertices.first().copied(), vertices.last().copied()) else {
        return Err(Fault::new("the outline is empty", "draw one closed outline"));
    };
    let gap = libm::hypot(first.0.0 - last.0.0, first.0.1 - last.0.1);
    if gap > GAP {
        let message = format!(
            "the outline is open: it ends {} from where it began, at {} and {}",
            say(gap, units),
            place(first.0, units),
            place(last.0, units)
        );
        return Err(Fault::new(message, "close it where it was drawn"));
    }
    if vertices.len() > 1 {
        vertices.pop();
    }
    Ok(vertices)
}
