//! Saw plans: which boards of the pile the pieces of several carriers come out of, and in which order
//! they are cut.

mod budget;
mod cover;
mod free;
mod master;
mod search;
mod strips;
mod task;

pub use budget::Budget;
pub use free::{endless, search as free_cuts};
pub use search::plan as solve;
pub use strips::{SCALE, Wanted};
pub use task::{Answer, Board, Clear, Cut, Item, Keep, Lay, Layout, Pattern, Strip, Style, Task, Tree};
