//! Views of a design: model space to paper, with dimensions and marks, each as one display list.
//!
//! The plan has the fence edge at the bottom and the lead end at the left. Section A-A looks from
//! the fence, section B-B towards the lead end, and the bed-face view from below with the fence edge
//! on top.

mod bed;
mod contact;
mod detail;
mod marks;
mod ordinate;
mod part;
mod pictorial;
mod plan;
mod round;
mod section;
mod template;

pub use bed::{bed_face, has_bed_face};
pub use detail::detail;
pub(crate) use marks::{datum, word, word_upwards};
pub use part::part_figures;
pub use pictorial::{Exploded, Stage, stages};
pub use plan::{has_near_figures, pitch_words, plan};
pub use round::cradle_lines;
pub use section::{Section, section};
pub use template::{Stroke, Template, templates};

use crate::drawing::{At, Line, Picture, at};
use crate::geometry::{Outline, Point};
use crate::length::{Length, Unit};
use crate::request::{Request, Standard};

/// Height of working dimensions, mm (a nominal height of ISO 3098).
pub const LARGE: f64 = 5.0;
/// Height of all other lettering that is read at the bench, mm.
pub const SMALL: f64 = 3.5;
/// Height of what is looked up rather than read at the bench, mm: nothing on a sheet is smaller.
pub const FINE: f64 = 2.5;

/// A drawing scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Millimetres on paper for one in the model.
    pub ratio: f64,
    /// As printed.
    pub text: &'static str,
}

/// Scales usual in the United States, largest first (common practice in shop drawings, no source).
const US_SCALES: [Scale; 7] = [
    Scale { ratio: 1.0, text: "1:1" },
    Scale { ratio: 0.5, text: "1:2" },
    Scale { ratio: 0.25, text: "1:4" },
    Scale { ratio: 0.125, text: "1:8" },
    Scale { ratio: 0.0625, text: "1:16" },
    Scale { ratio: 0.03125, text: "1:32" },
    Scale { ratio: 0.015625, text: "1:64" },
];

/// Scales of ISO 5455, largest first (from memory).
const ISO_SCALES: [Scale; 7] = [
    Scale { ratio: 1.0, text: "1:1" },
    Scale { ratio: 0.5, text: "1:2" },
    Scale { ratio: 0.2, text: "1:5" },
    Scale { ratio: 0.1, text: "1:10" },
    Scale { ratio: 0.05, text: "1:20" },
    Scale { ratio: 0.02, text: "1:50" },
    Scale { ratio: 0.01, text: "1:100" },
];

/// Standard scales, largest first.
pub fn scales(standard: Standard) -> &'static [Scale] {
    match standard {
        Standard::Us => &US_SCALES,
        Standard::Iso => &ISO_SCALES,
    }
}

/// Model to paper: scale factors along the two axes of a view, and which way its vertical axis runs.
#[derive(Debug, Clone, Copy)]
struct Mapping {
    across: f64,
    up: f64,
}

impl Mapping {
    /// Equal scales unless `size` drawn so would be lower than `least` mm on paper; then heights are
    /// drawn a whole number of times larger (at most 100 times).
    fn readable(scale: Scale, size: Length, least: f64) -> (Mapping, u32) {
        let drawn = size.to_mm() * scale.ratio;
        let times = if drawn >= least || drawn <= 0.0 { 1.0 } else { libm::ceil(least / drawn).min(100.0) };
        (Mapping { across: scale.ratio, up: scale.ratio * times }, times as u32)
    }

    fn x(&self, length: Length) -> f64 {
        length.to_mm() * self.across
    }

    fn y(&self, length: Length) -> f64 {
        length.to_mm() * self.up
    }

    fn point(&self, point: Point) -> At {
        at(self.x(point.x), self.y(point.y))
    }

    fn is_true(&self) -> bool {
        self.across == self.up.abs()
    }

    /// The outline as a polygon; a disc in 96 chords.
    fn ring(&self, outline: &Outline) -> Vec<At> {
        match outline {
            Outline::Rect(rect) => rect.corners().iter().map(|p| self.point(*p)).collect(),
            Outline::Polygon(points) => points.iter().map(|p| self.point(*p)).collect(),
            Outline::Path(path) => {
                // Chords within a hundredth of a millimetre on paper, and never absurdly many.
                let error = (0.01 / self.across.abs().max(self.up.abs())).max(0.01);
                path.flattened(error).into_iter().map(|p| at(p.0 * self.across, p.1 * self.up)).collect()
            }
            Outline::Disc { centre, diameter } => {
                let radius = diameter.to_mm() / 2.0;
                let middle = self.point(*centre);
                (0..96)
                    .map(|step| f64::from(step) / 96.0 * std::f64::consts::TAU)
                    .map(|turn| {
                        at(
                            middle.x + radius * self.across * libm::cos(turn),
                            middle.y + radius * self.up * libm::sin(turn),
                        )
                    })
                    .collect()
            }
        }
    }

    fn draw(&self, picture: &mut Picture, line: Line, outline: &Outline) {
        match outline {
            Outline::Disc { centre, diameter } if self.is_true() => {
                picture.circle(line, self.point(*centre), diameter.to_mm() / 2.0 * self.across);
            }
            _ => picture.ring(line, self.ring(outline)),
        }
    }
}

/// Whether a point lies inside an outline (crossing rule), in mm.
fn inside(outline: &Outline, x: f64, y: f64) -> bool {
    const TRUE_SIZE: Mapping = Mapping { across: 1.0, up: 1.0 };
    in_ring(&TRUE_SIZE.ring(outline), x, y)
}

/// The same for a ring of points.
fn in_ring(ring: &[At], x: f64, y: f64) -> bool {
    crate::drawing::segments(ring, true)
        .filter(|(a, b)| (a.y > y) != (b.y > y) && x < a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
        .count()
        % 2
        == 1
}

/// A depth or height on the finer ruler; for inch jobs with thousandths for the depth stop: `3/4 (0.750)`.
pub fn depth_text(request: &Request, depth: Length) -> String {
    let number = request.shop.depth_ruler.number(depth);
    match request.shop.depth_ruler.unit {
        // Off the ruler it stands in thousandths already.
        Unit::Inch if number.contains('/') || !number.contains('.') => format!("{number} ({:.3})", depth.to_inches()),
        Unit::Inch | Unit::Millimetre => number,
    }
}

/// A difference too small to draw a second height for: 1/16 in.
const SLIGHT: Length = Length::inches(1, 16);

/// How a face stands to the top plane when it is not in it: `proud by 0.010 in`, `sunk by 0.3 mm`.
/// `None` where they are one, to the nearest figure printed.
pub fn proud_text(request: &Request, above: Length) -> Option<String> {
    let (size, least) = match request.units {
        Unit::Inch => (format!("{:.3} in", above.abs().to_inches()), Length::inches(1, 2000)),
        Unit::Millimetre => (format!("{:.1} mm", above.abs().to_mm()), Length::micrometres(50)),
    };
    let how = if above > Length::ZERO { "proud" } else { "sunk" };
    (above.abs() >= least).then(|| format!("{how} by {size}"))
}

/// Whether two heights are so near each other that they are drawn and labelled as one.
fn nearly_level(a: Length, b: Length) -> bool {
    (a - b).abs() < SLIGHT
}
