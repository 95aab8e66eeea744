//! Boards cut up: what is pulled from the pile, every cut in order, what is left.
//!
//! Coordinates on a board: x along its length from the near end, y across it from the near edge. The
//! near edge is the one that runs against the fence once it is sawn straight.

use super::Extent;
use crate::geometry::Rect;
use crate::length::Length;

/// A piece that a carrier asks for: a parent of its cut list.
#[derive(Debug, Clone, PartialEq)]
pub struct WantedPiece {
    /// Name on the label: number of the job and of the parent, such as `2-P1`, with a letter where there
    /// are several alike.
    pub id: String,
    /// Number of the job in the plan, from 1.
    pub job: usize,
    /// Name of the parent in the job's own cut list.
    pub parent: String,
    /// Material as the job prints it.
    pub material: String,
    /// Size to pull.
    pub size: Extent,
    /// Whether it may lie across the board (no grain).
    pub turns: bool,
    /// Whether it is planed afterwards, so that a thicker board will do.
    pub planed: bool,
}

/// Something left of a board, big enough to go back on the pile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leftover {
    /// Name on the label, such as `B3-L1`.
    pub id: String,
    /// Where it lay in the board.
    pub place: Rect,
    /// Bad places in it, in its own coordinates.
    pub bad: Vec<Rect>,
}

/// A piece in its place on a board.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlacedPiece {
    /// The piece's name.
    pub id: String,
    /// Its place.
    pub place: Rect,
    /// Whether its length runs across the board.
    pub turned: bool,
}

/// A board that is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct SawnBoard {
    /// Name in the plan, such as `B3`.
    pub id: String,
    /// What is written on it in the shop, if anything.
    pub mark: Option<String>,
    /// Row of the pile it is taken from, or of the sizes that can be bought.
    pub row: usize,
    /// Whether it has to be bought.
    pub bought: bool,
    /// Material as printed.
    pub material: String,
    /// Its size as it lies on the pile.
    pub size: Extent,
    /// Width of what is taken off each edge before it counts as straight and sound.
    pub trim: Length,
    /// Bad places.
    pub bad: Vec<Rect>,
    /// Price of it, in hundredths of the pile's currency.
    pub price: Option<i64>,
    /// Mass, kg.
    pub mass_kg: f64,
    /// What comes out of it.
    pub pieces: Vec<PlacedPiece>,
    /// What is left of it.
    pub leftovers: Vec<Leftover>,
}

/// Direction of a cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Along the board, against a fence.
    Rip,
    /// Across it, against a stop.
    Crosscut,
}

/// Which part lies between the blade and the fence or stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// The part at the near edge or near end.
    Near,
    /// The part at the far edge or far end.
    Far,
}

/// One cut through one piece of wood, from edge to edge.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardCut {
    /// Number in the plan, also on the picture of the board.
    pub number: usize,
    /// The board, by its name.
    pub board: String,
    /// What goes over the saw: the board, or what an earlier cut made.
    pub piece: String,
    /// Its size before.
    pub before: Extent,
    /// Direction.
    pub direction: Direction,
    /// The machine.
    pub machine: &'static str,
    /// Fence or stop setting.
    pub setting: Length,
    /// Which part is set to it.
    pub against: Against,
    /// The part at the near edge or end; `None` where it is waste.
    pub near: Option<String>,
    /// The part at the far edge or end; `None` where it is waste.
    pub far: Option<String>,
    /// Shortest length under the hands: of a rip the piece's own, of a crosscut that of the part held.
    pub held: Length,
    /// Where the kerf runs on the board.
    pub line: Rect,
    /// What to do, in words.
    pub note: String,
}

/// What is known of how good the plan is for boards of one kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// The materials.
    pub material: String,
    /// Pieces to be cut.
    pub pieces: usize,
    /// What the boards cut into cost.
    pub cost: i64,
    /// No plan costs less.
    pub bound: i64,
    /// What cost is counted in.
    pub unit: &'static str,
    /// Whether the search was ended by the limit of time.
    pub timed_out: bool,
}

impl Proof {
    /// Whether nothing better is possible.
    pub fn is_best(&self) -> bool {
        self.cost <= self.bound
    }
}

/// A plan for several jobs out of one pile.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardPlan {
    /// What is asked for.
    pub wanted: Vec<WantedPiece>,
    /// Boards in the order they are cut.
    pub boards: Vec<SawnBoard>,
    /// Cuts in order.
    pub cuts: Vec<BoardCut>,
    /// One for each kind of board.
    pub proofs: Vec<Proof>,
    /// Width of the saw kerf.
    pub kerf: Length,
    /// Least length and width of a leftover that goes back on the pile.
    pub keep: (Length, Length),
}
