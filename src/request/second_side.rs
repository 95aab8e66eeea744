//! A blank that is carved on one face already.

use super::build::{Builder, PRACTICE};
use crate::geometry::Rect;
use crate::length::{Length, Measured};

/// How the blank was turned over to lie on its carved face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flip {
    /// About the feed: the same end leads, fence side and far side change places.
    Along,
    /// End for end: the same side lies at the fence, lead and trail change places.
    Across,
}

/// The carved face, as it is seen from above before the blank is turned over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SecondSide {
    /// Rectangle round the relief, from the blank's own lead fence corner.
    pub relief: Rect,
    /// How far the relief stands above the border; zero where it lies below it.
    pub height: Length,
    /// How the blank is turned over.
    pub flip: Flip,
}

impl Flip {
    /// How the blank lies and how it came to lie so, for those who load it.
    pub fn words(self) -> &'static str {
        match self {
            Flip::Along => "CARVED FACE DOWN, rolled over sideways: the SAME END LEADS",
            Flip::Across => "CARVED FACE DOWN, turned end for end: the SAME EDGE AT THE FENCE",
        }
    }
}

impl Builder<'_, '_> {
    /// The carved face of a rectangular blank, where the job states one.
    pub(super) fn second_side(&mut self, length: &Measured, width: &Measured, rectangle: bool) -> Option<SecondSide> {
        let job = self.job;
        let table = &job.second_side;
        let needed = ["relief-length", "relief-width", "from-lead", "from-fence", "height", "flip"];
        let stated = needed.iter().filter(|name| table.has(name)).count();
        if stated == 0 {
            return None;
        }
        if !rectangle {
            let help = "only a rectangle is turned over; leave `[second-side]` out";
            self.reader.error(table.span.clone(), "the blank is no rectangle", help);
            return None;
        }
        let missing: Vec<&str> = needed.into_iter().filter(|name| !table.has(name)).collect();
        if !missing.is_empty() {
            let message = format!("[second-side] does not state {}", crate::library::reader::list(&missing));
            let help = "all are needed: a guess here crushes the carving. Measure with the carved face up";
            self.reader.error(table.span.clone(), message, help);
            return None;
        }
        let relief = Rect::sized(
            table.size("from-lead")?,
            table.size("from-fence")?,
            table.size("relief-length")?,
            table.size("relief-width")?,
        );
        if relief.x1 > length.nominal || relief.y1 > width.nominal {
            let help = "measure from the blank's own lead fence corner, carved face up";
            self.reader.error(table.span.clone(), "the relief is not inside the blank", help);
            return None;
        }
        let flip = if table.text("flip")? == "along" { Flip::Along } else { Flip::Across };
        self.assume("second-side", "relief measured with the carved face up, before turning over", PRACTICE);
        Some(SecondSide { relief, height: table.size("height")?, flip })
    }
}
