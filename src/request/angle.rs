//! A rectangle set at an angle to the feed, for a diagonal grain or a mitred piece.

use super::Drawn;
use super::build::Builder;
use crate::geometry::path::{Path, Vertex};
use crate::geometry::{Point, Rect};
use crate::length::{Length, Measured, Unit};
use crate::library::reader::Table;

/// A rectangle that lies turned; its outline is the blank's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angle {
    /// Counter-clockwise seen from above, degrees.
    pub degrees: f64,
    /// The rectangle's own length, along the feed before it is turned.
    pub length: Length,
    /// Its own width.
    pub width: Length,
}

impl Builder<'_, '_> {
    /// The angle of a rectangle, where the job states one.
    pub(super) fn angle(&mut self, table: &Table, shape: &str) -> Option<f64> {
        let degrees = table.number("angle")?;
        let span = table.span_of("angle");
        if shape != "rectangle" {
            let help =
                if shape == "outline" { "draw the outline turned, or set `turn = \"free\"`" } else { "leave it out" };
            self.reader.error(span, format!("`angle` belongs to a rectangle, but the shape is a {shape}"), help);
            return None;
        }
        // Two degrees is a blank out of line, not one set at an angle.
        const LEAST: f64 = 1.0;
        let from_square = (degrees - 90.0 * libm::rint(degrees / 90.0)).abs();
        if from_square < LEAST {
            let help = "leave it out for a blank in line with the feed; exchange length and width for a quarter turn";
            self.reader.error(span, "`angle` is within a degree of square to the feed", help);
            return None;
        }
        let against = ["cup", "bow", "twist", "gaps", "thin-thickness", "from-strip", "corner-radius"];
        if let Some(name) = against.into_iter().find(|name| table.has(name)) {
            let message = format!("`{name}` and `angle` together are not provided for");
            self.reader.error(span, message, "set the blank in line with the feed, or leave the other out");
            return None;
        }
        if table.text("turn") == Some("free") {
            let help = "leave `turn` out: the angle says how it is loaded";
            self.reader.error(table.span_of("turn"), "`turn = \"free\"` and `angle` contradict each other", help);
            return None;
        }
        Some(degrees)
    }
}

/// An angle without zeros that say nothing: `30`, `22.5`.
fn degrees_words(degrees: f64) -> String {
    let hundredths = libm::rint(degrees * 100.0) / 100.0;
    format!("{hundredths}")
}

impl Angle {
    /// A rectangle turned by so much: its outline, the box round it along and across, and the angle.
    /// `None` where it is too large for a path.
    pub fn set(
        degrees: f64,
        length: &Measured,
        width: &Measured,
        unit: Unit,
    ) -> Option<(Drawn, Measured, Measured, Angle)> {
        let (long, wide) = (length.nominal, width.nominal);
        let corner = |point: Point| Vertex { point, via: None };
        let flat = Rect::sized(Length::ZERO, Length::ZERO, long, wide).corners().map(corner);
        let path = Path::new(flat.to_vec()).ok()?.turned(degrees).moved_to(Length::ZERO, Length::ZERO);
        // Half of what either size may be over shows at each side; outwards from a corner both add up.
        let over = (length.high() - long).max(width.high() - wide).max(Length::ZERO);
        let error = Length::from_mm(over.to_mm() / 2.0 * std::f64::consts::SQRT_2)?.up(Length::micrometres(10));
        let bounds = path.bounds();
        let size = |extent: Length| Measured::exact(extent, error * 2, unit);
        let (along, across) = (size(bounds.length()), size(bounds.width()));
        let method = "rectangle set at an angle".to_owned();
        Some((
            Drawn { path, error, method, first_station: None },
            along,
            across,
            Angle { degrees, length: long, width: wide },
        ))
    }

    /// How far it is turned, without the way, as on a drawing: `30°`.
    pub fn degrees_text(&self) -> String {
        format!("{}°", degrees_words(self.degrees.abs()))
    }

    /// `30 degrees counter-clockwise, seen from above`.
    pub fn words(&self) -> String {
        let way = if self.degrees > 0.0 { "counter-clockwise" } else { "clockwise" };
        format!("{} degrees {way}, seen from above", degrees_words(self.degrees.abs()))
    }
}
