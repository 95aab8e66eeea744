//! Points as comma-separated values: a header that names the columns with their unit, then x and y.

use super::{Drawing, DrawnVertex, Fault};
use crate::length::Unit;

const HELP: &str = "the first line is such as `x mm,y mm` or `x (in),y (in)`, each other line a point";

/// Reads a list of points. `declared` is the unit the job gives for a file that names none.
///
/// # Errors
/// When the header names no columns `x` and `y`, or no unit or two of them, or a line is no point.
pub fn read(text: &str, declared: Option<Unit>) -> Result<Drawing, Fault> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).comment(Some(b'#')).from_reader(text.as_bytes());
    let headers = reader.headers().map_err(|error| Fault::new(format!("not a table: {error}"), HELP))?.clone();
    let find = |name: char| headers.iter().position(|header| header.to_lowercase().starts_with(name));
    let (Some(x), Some(y)) = (find('x'), find('y')) else {
        return Err(Fault::new("the header names no columns x and y", HELP));
    };
    let unit_of = |column: usize| unit_in(headers.get(column).unwrap_or_default());
    let unit = match (unit_of(x)?, unit_of(y)?, declared) {
        (Some(a), Some(b), _) if a != b => {
            return Err(Fault::new("x and y are in two different units", "give both columns in one unit"));
        }
        (Some(a), _, Some(declared)) | (None, Some(a), Some(declared)) if a != declared => {
            return Err(Fault::new("the header names one unit, `outline-units` another", "leave `outline-units` out"));
        }
        (Some(unit), _, _) | (None, Some(unit), _) | (None, None, Some(unit)) => unit,
        (None, None, None) => {
            return Err(Fault::new("the file does not say in what unit its points are", HELP));
        }
    };
    let scale = match unit {
        Unit::Inch => 25.4,
        Unit::Millimetre => 1.0,
    };
    let mut vertices: Vec<DrawnVertex> = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| Fault::new(format!("not a table: {error}"), HELP))?;
        let line = record.position().map_or(0, csv::Position::line);
        let number = |column: usize| {
            let text = record.get(column).unwrap_or_default();
            let number: Option<f64> = text.parse().ok();
            number.filter(|number| number.is_finite()).ok_or_else(|| {
                let text = crate::diagnostic::quoted(text);
                Fault::new(format!("line {line}: {text} is no number"), "write decimals, such as 12.5")
            })
        };
        vertices.push(((number(x)? * scale, number(y)? * scale), None));
        if vertices.len() > crate::geometry::path::MOST_VERTICES + 1 {
            break;
        }
    }
    Ok(Drawing { vertices, error: 0.0 })
}

/// The unit named in a header.
fn unit_in(header: &str) -> Result<Option<Unit>, Fault> {
    let lower = header.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric() && c != '"').skip(1).filter(|word| !word.is_empty());
    let mut found = None;
    for word in words {
        let unit = match word {
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Millimetre,
            "in" | "inch" | "inches" | "\"" => Unit::Inch,
            other => {
                let message = format!("{} is no unit read here", crate::diagnostic::quoted(other));
                return Err(Fault::new(message, HELP));
            }
        };
        if found.is_some_and(|known| known != unit) {
            return Err(Fault::new("a column names two units", HELP));
        }
        found = Some(unit);
    }
    Ok(found)
}
