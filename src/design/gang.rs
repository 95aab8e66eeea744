//! Several pockets in one carrier: how they stand, whose they are, and in how many loads they are filled.

use crate::geometry::{Outline, Point};
use crate::length::Length;
use crate::request::Objective;
use crate::rules::Rule;

/// Several pockets: in rows along the feed, numbered from the lead end row by row, the row at the fence
/// first; or nested freely, numbered outline by outline, each from the lead end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gang {
    /// Rows, counted from the fence; none where they are nested freely.
    pub rows: usize,
    /// Pockets in the row at the fence; none where they are nested freely.
    pub columns: usize,
    /// Pockets in all.
    pub pockets: usize,
    /// From a pocket to the next in its row that lies the same way (x), and from a row to the next (y).
    pub pitch: Point,
    /// How far the second of each pair in a row, turned half round, lies beyond the first; `None` where
    /// all lie the same way.
    pub pair: Option<Length>,
    /// How far every second row is set off along the feed; zero for straight rows.
    pub shift: Length,
    /// Least wood between two pockets, corner reliefs not counted.
    pub web: Length,
    /// Blanks to be carved in all.
    pub blanks: usize,
    /// What the layout was chosen by.
    pub objective: Objective,
    /// The best layout for each number of rows, and what forbids one row more.
    pub layouts: Vec<GangLayout>,
    /// The outlines of the job, each with its blanks and pockets; one where all are alike.
    pub kinds: Vec<Kind>,
    /// What lies in each pocket, in their order, where they are nested freely; nothing where they stand in
    /// rows.
    pub nested: Vec<Nested>,
}

/// An outline of a gang.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kind {
    /// Its name, for sheets.
    pub name: String,
    /// Blanks of it to be carved in all.
    pub blanks: usize,
    /// Pockets for it.
    pub pockets: usize,
}

/// What lies in a pocket that stands in no row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Nested {
    /// The outline, by its place among the kinds.
    pub kind: usize,
    /// Whether it is turned half round.
    pub turned: bool,
    /// The blank as it lies.
    pub blank: Outline,
}

impl Gang {
    /// How often a carrier is fed until all blanks are done.
    pub fn loads(&self) -> usize {
        self.kinds.iter().map(|kind| kind.blanks.div_ceil(kind.pockets.max(1))).max().unwrap_or(0)
    }

    /// Whether the pockets stand in no rows.
    pub fn is_free(&self) -> bool {
        !self.nested.is_empty()
    }

    /// Whether there are several outlines.
    pub fn is_mixed(&self) -> bool {
        self.kinds.len() > 1
    }

    /// The outline that lies in a pocket, counted from 0.
    pub fn kind(&self, place: usize) -> usize {
        self.nested.get(place).map_or(0, |nested| nested.kind)
    }

    /// Whether the blank in a pocket, counted from 0, is turned half round.
    pub fn is_turned(&self, place: usize) -> bool {
        if let Some(nested) = self.nested.get(place) {
            return nested.turned;
        }
        self.pair.is_some() && !(place % self.columns.max(1)).is_multiple_of(2)
    }

    /// Whether any blank is turned half round.
    pub fn turns_any(&self) -> bool {
        self.pair.is_some() || self.nested.iter().any(|nested| nested.turned)
    }

    /// How far the first pocket of its row is from one so many places on.
    pub fn along(&self, column: usize) -> Length {
        match self.pair {
            None => self.pitch.x * column as i64,
            Some(pair) => self.pitch.x * (column / 2) as i64 + pair * (column % 2) as i64,
        }
    }

    /// How many pockets there are for each of several outlines: `4 herring, 2 crab`.
    pub fn kinds_words(&self) -> String {
        if !self.is_mixed() {
            return String::new();
        }
        let kinds = self.kinds.iter().map(|kind| format!("{} {}", kind.pockets, kind.name));
        kinds.collect::<Vec<_>>().join(", ")
    }

    /// Blanks of an outline in a load, counted from 0.
    pub fn in_load(&self, kind: &Kind, load: usize) -> usize {
        kind.blanks.saturating_sub(load.saturating_mul(kind.pockets)).min(kind.pockets)
    }

    /// Blanks in the last load.
    pub fn last_load(&self) -> usize {
        let last = self.loads().saturating_sub(1);
        self.kinds.iter().map(|kind| self.in_load(kind, last)).sum()
    }
}

/// One way to set the pockets, for comparison.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GangLayout {
    /// Rows; none where the pockets are nested freely.
    pub rows: usize,
    /// Pockets in the row at the fence; zero where these rows do not fit.
    pub columns: usize,
    /// Pockets in all.
    pub pockets: usize,
    /// Whether every second row is set off.
    pub staggered: bool,
    /// Loads until all blanks are done.
    pub loads: usize,
    /// Carrier length.
    pub length: Length,
    /// Carrier width; where these rows do not fit, the least they would take.
    pub width: Length,
    /// The rule that forbids it, where it does not fit.
    pub refused: Option<Rule>,
}

impl GangLayout {
    /// Carrier area of one load, square millimetres.
    pub fn area_mm2(&self) -> f64 {
        self.length.to_mm() * self.width.to_mm()
    }
}
