//! Sledwright sizes, proves and draws carriers: sacrificial boards that let a roller-fed carver,
//! thickness planer or drum sander take a blank it would refuse or spoil on its own.

pub mod axis;
pub mod boards;
pub mod capture;
pub mod cli;
pub mod construct;
pub mod design;
pub mod diagnostic;
pub mod drawing;
pub mod geometry;
pub mod job;
pub mod length;
pub mod library;
pub mod mechanics;
pub mod output;
pub mod plan;
pub mod request;
pub mod rules;
pub mod saw;
pub mod setup;
pub mod sheet;
pub mod solve;
pub mod trace;
pub mod verify;
pub mod views;
