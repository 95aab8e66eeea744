//! Saw plans: which boards of the pile the pieces of several carriers come out of, and in which order
//! they are cut.

mod budget;
mod buying;
mod choices;
mod cover;
mod fill;
mod free;
mod jobs;
mod master;
mod parting;
pub mod pile;
mod search;
mod sequence;
mod strips;
mod task;

pub use budget::Budget;
pub use free::{endless, search as free_cuts};
pub use jobs::{JobDesign, MOST_PIECES, NoPlan, Planned, Progress, Terms, pile_after, plan};
pub use search::plan as solve;
pub use strips::{SCALE, Wanted};
pub use task::{Answer, Board, Clear, Cut, Item, Keep, Lay, Layout, Pattern, Strip, Style, Task, Tree};
