//! The rule table: every limit Sledwright enforces, with its reason and its source.
//!
//! This file is data. The inequalities are worked out twice elsewhere: once where constructions are
//! sized and once, separately, where a finished design is verified.

mod board;
mod cradle;
mod row;
mod shaped;

use board::BOARD;
pub use row::{Rounding, RuleInfo, Severity};
use shaped::SHAPED;

/// Names of the rules, in the order of [`RULES`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "RULES holds the statement of each")]
pub enum Rule {
    LengthMin,
    LengthMax,
    WidthMin,
    WidthMax,
    ThicknessMin,
    ThicknessMax,
    LeadEndAllowance,
    TrailEndAllowance,
    GripWanted,
    CutterWindow,
    StripUnbroken,
    ParallelEdges,
    RollerSupport,
    GapUnderRoller,
    StepUnderRoller,
    NothingAboveTop,
    BlankFlush,
    BlankFlushLimit,
    DepthReach,
    HolderClears,
    FluteLength,
    PocketFloor,
    PocketFloorWanted,
    FloorAfterCut,
    RailWidth,
    FenceRail,
    WallAfterRelief,
    PerimeterInside,
    MetalPlan,
    MetalDepth,
    CornerRelief,
    CutterEnters,
    PushOutHole,
    Fit,
    Play,
    AdhesiveCounted,
    LiftFactor,
    SlideFactor,
    FreedPartHeld,
    FragileTop,
    GrainAlongFeed,
    Mass,
    Overhang,
    RipSafe,
    CrosscutSafe,
    ParentPieces,
    PlanerLength,
    StackUp,
    TrimLast,
    RoundingDirection,
    ThicknessKnown,
    FeedMarked,
    Closure,
    InputsAgree,
    StockExists,
    EdgesShaped,
    ToolOwned,
    NeedsCarrier,
    HoldSuits,
    BaseWanted,
    NestClearance,
    NestCorners,
    NestNecks,
    FingerGaps,
    Web,
    WebAfterRelief,
    EqualPitch,
    GangCount,
    BlankFlat,
    WarpBudget,
    Ledge,
    ReliefClear,
    CradleContact,
    CradleLevel,
    CrownWanted,
    TurnStop,
    CradleSpan,
    RoundsHeld,
    NestHeld,
    FenceContacts,
    WedgeShape,
    WedgeTravel,
    WedgeHeight,
    WedgeRoom,
    DriveOrder,
    WedgeShim,
    WedgeSlope,
    LowStop,
    StripWeb,
    StripHold,
    HandHold,
    SetAtAngle,
    KeeperTravel,
    KeeperClear,
    FloorStiff,
    CarrierStiff,
    Tipping,
    HoldWorst,
    MovementFree,
    NarrowRip,
    TaperSled,
    SnipeWaste,
    CutsAddUp,
    BadPlace,
    CleatSetOut,
    CleatRoom,
    ScrewTip,
    ScrewBite,
    ScrewHead,
    ScrewPlaces,
    NestPlaces,
}

impl Rule {
    /// The rule's row in [`RULES`].
    pub fn info(self) -> &'static RuleInfo {
        &RULES[self as usize]
    }

    /// The rule's name, such as `length-min`.
    pub fn id(self) -> &'static str {
        self.info().id
    }

    /// The rule with this name.
    pub fn by_id(id: &str) -> Option<Rule> {
        RULES.iter().find(|row| row.id == id).map(|row| row.rule)
    }
}

/// Every rule, in the order they are listed to the user.
pub const RULES: [RuleInfo; BOARD.len() + SHAPED.len()] = joined();

/// Both tables in one, at compile time.
const fn joined() -> [RuleInfo; BOARD.len() + SHAPED.len()] {
    let mut rows = [BOARD[0]; BOARD.len() + SHAPED.len()];
    let mut row = 0;
    while row < rows.len() {
        rows[row] = if row < BOARD.len() { BOARD[row] } else { SHAPED[row - BOARD.len()] };
        row += 1;
    }
    rows
}

#[cfg(test)]
mod tests;
