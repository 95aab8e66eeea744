//! What the sheets are printed on, and by which conventions they are drawn.

use super::build::{Builder, PRACTICE};
use crate::length::Unit;

/// Paper of the sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "standard paper names; the last four are sizes B to E of ASME Y14.1")]
pub enum Paper {
    A4,
    A3,
    A2,
    A1,
    A0,
    Letter,
    P11x17,
    P17x22,
    P22x34,
    P34x44,
}

/// Every paper with the name a job gives it.
const PAPERS: [(&str, Paper); 10] = [
    ("a4", Paper::A4),
    ("a3", Paper::A3),
    ("a2", Paper::A2),
    ("a1", Paper::A1),
    ("a0", Paper::A0),
    ("letter", Paper::Letter),
    ("11x17", Paper::P11x17),
    ("17x22", Paper::P17x22),
    ("22x34", Paper::P22x34),
    ("34x44", Paper::P34x44),
];

impl Paper {
    /// The name a job gives it.
    pub fn name(self) -> &'static str {
        PAPERS.iter().find(|(_, paper)| *paper == self).map_or("letter", |(name, _)| name)
    }

    /// Shorter and longer side, mm (ISO 216; inch sizes ASME Y14.1).
    pub fn sides(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::A3 => (297.0, 420.0),
            Paper::A2 => (420.0, 594.0),
            Paper::A1 => (594.0, 841.0),
            Paper::A0 => (841.0, 1189.0),
            Paper::Letter => (215.9, 279.4),
            Paper::P11x17 => (279.4, 431.8),
            Paper::P17x22 => (431.8, 558.8),
            Paper::P22x34 => (558.8, 863.6),
            Paper::P34x44 => (863.6, 1117.6),
        }
    }

    /// Whether it is of the A series.
    pub fn is_metric(self) -> bool {
        matches!(self, Paper::A4 | Paper::A3 | Paper::A2 | Paper::A1 | Paper::A0)
    }

    /// Whether an office printer takes it, so that sheets of it may lie either way.
    pub fn is_small(self) -> bool {
        matches!(self, Paper::A4 | Paper::Letter)
    }
}

/// By which family of standards a sheet is drawn: scales, and the projection unless it is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standard {
    /// ISO 128, ISO 5455.
    Iso,
    /// Practice in the United States.
    Us,
}

/// How views are arranged round the front view (ISO 5456-2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Projection {
    /// The view from above stands below, the view from the right at the left.
    FirstAngle,
    /// The view from above stands above, the view from the right at the right.
    ThirdAngle,
}

impl Projection {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Projection::FirstAngle => "first-angle",
            Projection::ThirdAngle => "third-angle",
        }
    }
}

/// Paper, conventions and the title block's fields.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetStyle {
    /// Paper the printer takes.
    pub paper: Paper,
    /// Family of standards.
    pub standard: Standard,
    /// Arrangement of the views.
    pub projection: Projection,
    /// Whether the overall sizes carry the other unit in brackets.
    pub other_unit: bool,
    /// Whose drawing it is.
    pub owner: Option<String>,
    /// Its number.
    pub number: Option<String>,
    /// Its revision.
    pub revision: Option<String>,
    /// Who drew it up.
    pub drawn_by: Option<String>,
    /// Who approved it.
    pub approved_by: Option<String>,
}

impl SheetStyle {
    /// What is usual for jobs in a unit, with every field of the title block left to be filled in.
    pub fn usual(unit: Unit) -> SheetStyle {
        let (paper, standard, projection) = match unit {
            Unit::Inch => (Paper::Letter, Standard::Us, Projection::ThirdAngle),
            Unit::Millimetre => (Paper::A4, Standard::Iso, Projection::FirstAngle),
        };
        SheetStyle {
            paper,
            standard,
            projection,
            other_unit: true,
            owner: None,
            number: None,
            revision: None,
            drawn_by: None,
            approved_by: None,
        }
    }
}

impl Builder<'_, '_> {
    pub(super) fn sheet(&mut self) -> SheetStyle {
        let job = self.job;
        let table = &job.sheet;
        let standard = match table.text("standard") {
            Some("iso") => Standard::Iso,
            Some(_) => Standard::Us,
            None => {
                let usual = SheetStyle::usual(self.units).standard;
                self.assume("sheet.standard", if usual == Standard::Iso { "iso" } else { "us" }, PRACTICE);
                usual
            }
        };
        let usual = SheetStyle::usual(if standard == Standard::Iso { Unit::Millimetre } else { Unit::Inch });
        let paper = table.text("paper").and_then(|text| PAPERS.iter().find(|(name, _)| *name == text));
        let paper = paper.map_or_else(
            || {
                self.assume("sheet.paper", usual.paper.name(), PRACTICE);
                usual.paper
            },
            |(_, paper)| *paper,
        );
        let projection = match table.text("projection") {
            Some("first-angle") => Projection::FirstAngle,
            Some(_) => Projection::ThirdAngle,
            None => {
                self.assume("sheet.projection", usual.projection.name(), PRACTICE);
                usual.projection
            }
        };
        let field = |name: &str| table.text(name).map(str::to_owned);
        SheetStyle {
            paper,
            standard,
            projection,
            other_unit: table.flag("other-unit").unwrap_or(true),
            owner: field("owner"),
            number: field("number"),
            revision: field("revision"),
            drawn_by: field("drawn-by"),
            approved_by: field("approved-by"),
        }
    }
}
