//! What leaves the program: files and text.

pub mod boards;
pub mod csv;
pub mod dxf;
pub mod files;
pub mod json;
pub mod pdf;
pub mod svg;
pub mod text;
pub mod worksheet;
