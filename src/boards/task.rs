//! What the planner is asked and what it answers: pieces, boards, patterns.

use crate::length::Length;

/// A piece never put over a saw along a fence when it is shorter. Common practice, no source.
pub const RIP_LEAST: Length = Length::inches(12, 1);
/// What stays under the hand beside a crosscut. Common practice, no source.
pub const HELD_LEAST: Length = Length::inches(6, 1);

/// A kind of piece to be cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Item {
    /// Along the grain; of a piece without grain, its longer side by custom.
    pub length: Length,
    /// Across.
    pub width: Length,
    /// Whether it may lie across the board as well.
    pub turns: bool,
    /// How many are wanted.
    pub count: usize,
}

/// A clear rectangle of a board, in the board's own coordinates: x along its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clear {
    /// Near end.
    pub x: Length,
    /// Near edge.
    pub y: Length,
    /// Along the board.
    pub length: Length,
    /// Across it.
    pub width: Length,
}

/// A kind of board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Board {
    /// What is left of it within its trimmed edges: the one rectangle, or, of a board with bad places,
    /// the sets of rectangles that are left when they are cut out in one way or another.
    pub clear: Vec<Vec<Clear>>,
    /// How many there are.
    pub count: usize,
    /// What it costs to cut into one of them, in whole units of any kind.
    pub cost: i64,
    /// The kinds of pieces that may come out of it, by their places.
    pub takes: Vec<bool>,
}

/// How a board may be divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Style {
    /// Ripped into strips over its whole length, the strips crosscut, narrower pieces ripped once more.
    #[default]
    Strips,
    /// Any sequence of cuts from edge to edge.
    Free,
}

/// What a big leftover is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Keep {
    /// Least length of one that is kept.
    pub length: Length,
    /// Least width.
    pub width: Length,
    /// Thousandths of what the same surface of the board costs.
    pub permille: i64,
}

/// Everything that is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    /// Pieces.
    pub items: Vec<Item>,
    /// Boards.
    pub boards: Vec<Board>,
    /// Width of the saw kerf.
    pub kerf: Length,
    /// How boards are divided.
    pub style: Style,
    /// Worth of leftovers.
    pub keep: Keep,
    /// Whether strips must also be safe at the saw: no rip of what is too short, a hand-hold in every
    /// crosscut. Off for tasks that are about geometry only.
    pub safe: bool,
}

/// A piece in a strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lay {
    /// Which kind of piece.
    pub item: usize,
    /// Whether its length runs across the board.
    pub turned: bool,
}

/// A strip over the length of a clear rectangle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Strip {
    /// The clear rectangle, by its place.
    pub clear: usize,
    /// Width it is ripped to.
    pub width: Length,
    /// Pieces, one after the other from the near end.
    pub lays: Vec<Lay>,
}

/// A rectangle divided by cuts from edge to edge.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Tree {
    /// A piece.
    Piece(Lay),
    /// Two rectangles one after the other along the board.
    Along(Box<Tree>, Box<Tree>),
    /// Two rectangles side by side across the board.
    Across(Box<Tree>, Box<Tree>),
}

/// How a board is divided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Layout {
    /// In strips.
    Strips(Vec<Strip>),
    /// By any cuts; the tree's rectangle lies in the near corner.
    Free(Tree),
}

/// A way to cut a kind of board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    /// Which kind of board.
    pub board: usize,
    /// Which of its sets of clear rectangles.
    pub set: usize,
    /// Kinds of pieces that come out of it and how many, by rising kind.
    pub makes: Vec<(usize, usize)>,
    /// Cost of the board less what its big leftovers are worth.
    pub cost: i64,
    /// Where the pieces lie.
    pub layout: Layout,
}

/// Why a search was ended before it was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cut {
    /// The limit of work.
    Work,
    /// The limit of time, or the user.
    Time,
}

/// A cutting plan and what is known of the best possible one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Patterns and how often each is cut.
    pub uses: Vec<(Pattern, usize)>,
    /// What it costs.
    pub cost: i64,
    /// No plan costs less than this.
    pub bound: i64,
    /// Why the search ended before the bound was reached, if it did.
    pub cut: Option<Cut>,
}

impl Answer {
    /// Whether nothing better is possible.
    pub fn proven(&self) -> bool {
        self.cost <= self.bound
    }
}

/// Worth of a leftover of a board that costs `cost` for its `whole` surface in square ticks.
pub fn worth(keep: &Keep, cost: i64, whole: i128, length: Length, width: Length) -> i64 {
    if length < keep.length || width < keep.width || whole <= 0 {
        return 0;
    }
    let area = i128::from(length.ticks()) * i128::from(width.ticks());
    let worth = i128::from(cost) * i128::from(keep.permille) * area / (whole * 1000);
    i64::try_from(worth).unwrap_or(0).clamp(0, cost)
}

impl Board {
    /// Surface of the largest set of clear rectangles, square ticks.
    pub fn surface(&self) -> i128 {
        let area = |clear: &Clear| i128::from(clear.length.ticks()) * i128::from(clear.width.ticks());
        self.clear.iter().map(|set| set.iter().map(area).sum()).max().unwrap_or(0)
    }
}
