//! A rectangular blank that is thicker at one end or side than at the other.

use super::build::{Builder, PRACTICE};
use crate::length::{Length, Measured};
use crate::library::reader::Table;

/// Both faces straight, the underside sloping once the top lies level.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slope {
    /// Thickness at the thin end or side; the blank's own thickness is that of the thick one.
    pub thin: Measured,
    /// Where the thick end or side lies as the blank is loaded.
    pub thick_end: ThickEnd,
}

/// Where a blank is thickest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ThickEnd {
    /// At its lead end; it thins along the feed.
    Lead,
    /// Along its fence edge; it thins across the feed.
    Fence,
}

impl Builder<'_, '_> {
    /// The slope of a rectangular blank; `None` for one that is as thick all over.
    pub(super) fn slope(&mut self, table: &Table, thickness: Option<&Measured>, error: Length) -> Option<Slope> {
        if !table.has("thin-thickness") {
            if let Some(entry) = table.get("thick-side") {
                let help = "state `thin-thickness` too, or leave it out";
                self.reader.error(entry.span.clone(), "`thick-side` is for a blank that tapers in thickness", help);
            }
            return None;
        }
        let mut thin = table.measured("thin-thickness")?.clone();
        let span = table.span_of("thin-thickness");
        if let Some(name) = ["cup", "bow", "twist", "gaps"].iter().find(|name| table.get(name).is_some()) {
            let message = format!("`{name}` and `thin-thickness` together: the blank would have to be levelled twice");
            self.reader.error(span, message, "plane one face flat first, then measure both thicknesses");
            return None;
        }
        let Some(thick) = thickness else {
            let help = "caliper the thick end and state it as `thickness`";
            self.reader.error(span, "`thin-thickness` without `thickness`", help);
            return None;
        };
        // Both ends are read with the same tool.
        thin.uncertainty = thin.uncertainty.or(thick.uncertainty).or(Some(error));
        if thin.nominal >= thick.nominal {
            let help = "`thickness` is the thick end, `thin-thickness` the other";
            self.reader.error(span, "`thin-thickness` is not less than `thickness`", help);
            return None;
        }
        let thick_end = match table.text("thick-side") {
            Some("fence") => ThickEnd::Fence,
            Some(_) => ThickEnd::Lead,
            None => {
                self.assume("blank.thick-side", "lead", PRACTICE);
                ThickEnd::Lead
            }
        };
        Some(Slope { thin, thick_end })
    }
}
