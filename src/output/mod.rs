//! What leaves the program: files and text.

pub mod pdf;
pub mod svg;
