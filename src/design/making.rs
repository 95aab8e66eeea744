//! How the parts are sawn and put together: parents, saw steps, build steps.

use super::{Extent, VoidKind};
use crate::length::Length;

/// Machine operations and the pieces they start from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CutList {
    /// Pieces to pull from the stock.
    pub parents: Vec<Parent>,
    /// Operations in order.
    pub steps: Vec<SawStep>,
}

/// A piece long enough to be handled safely, from which parts are sawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parent {
    /// Name: `P1`, `P2`, ...
    pub id: String,
    /// Material as printed.
    pub material: String,
    /// Size to pull (rough).
    pub size: Extent,
    /// How many such pieces.
    pub count: usize,
    /// Part ids and how many of each come out.
    pub yields: Vec<(String, usize)>,
}

/// An operation at a machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "trade names")]
pub enum Operation {
    Plane,
    Rip,
    Crosscut,
    TaperRip,
    BevelRip,
    SawRound,
    Notch,
    GlueUp,
    Pocket,
    Bore,
    TrimRip,
    TrimCrosscut,
}

/// One operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SawStep {
    /// What is done.
    pub operation: Operation,
    /// The tool.
    pub tool: &'static str,
    /// What goes over the machine: a parent id, a part id or `carrier`.
    pub piece: String,
    /// Size of that piece before the operation.
    pub before: Extent,
    /// Fence or stop setting: the size that results; for planing the thickness.
    pub setting: Length,
    /// What comes off: a part id with its name, or `waste`.
    pub makes: String,
    /// How many such cuts.
    pub times: usize,
    /// Length of the piece that stays under the hands after the last of these cuts
    /// (crosscuts), or the length of the piece ripped or planed.
    pub held: Length,
    /// Needs more than ordinary care (narrow rip, taper, round).
    pub careful: bool,
    /// Line for the sheet.
    pub note: String,
}

/// One line of the build sequence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BuildStep {
    /// What to do.
    pub text: String,
    /// Caution that belongs to this step.
    pub caution: Option<String>,
    /// What the carrier has after this step that it had not before.
    pub adds: Vec<Added>,
}

/// What a step of the build adds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Added {
    /// A part is in its place.
    Part {
        /// Its letter.
        id: String,
        /// Which of its places, counted from 0.
        place: usize,
    },
    /// Cuts of a kind are made. Cuts that no step makes come with their part from the saw.
    Cut(VoidKind),
    /// The blank is in its place.
    Blank,
}
