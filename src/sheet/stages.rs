//! The build in small pictures, side by side.

use super::flow::Flow;
use crate::design::Design;
use crate::drawing::{Picture, Text, Weight, at, font};
use crate::request::Request;
use crate::views::{SMALL, Stage, stages};

/// Width of a picture with its line, mm.
const CELL: f64 = 57.0;
/// Clear room between two, mm.
const CLEAR: f64 = 3.0;
/// Height of a picture, mm.
const HIGH: f64 = 40.0;
/// Distance of base lines, mm.
const PITCH: f64 = 1.4 * SMALL;

/// The pictures, each as large as its cell allows.
pub(super) fn pictures(request: &Request, design: &Design) -> Vec<Stage> {
    stages(request, design, (CELL, HIGH))
}

/// Rows of pictures, as many abreast as a column allows, each with the number of its step and a line above.
pub(super) fn rows(flow: &mut Flow, stages: &[Stage]) {
    let mut rest = stages;
    while !rest.is_empty() {
        let width = flow.width();
        let count = libm::floor((width + CLEAR) / (CELL + CLEAR)).max(1.0) as usize;
        let (here, after) = rest.split_at(count.min(rest.len()));
        let picture = row(here);
        flow.keep(picture.area().height());
        // Another column may have room for fewer.
        if flow.width() == width {
            flow.figure(picture);
            rest = after;
        }
    }
}

fn row(stages: &[Stage]) -> Picture {
    let mut row = Picture::default();
    let lines: Vec<Vec<String>> = stages
        .iter()
        .map(|stage| font::wrap(&format!("{}. {}", stage.step, stage.line), SMALL, Weight::Bold, CELL))
        .collect();
    let deep = lines.iter().map(Vec::len).max().unwrap_or(0) as f64 * PITCH + 1.0;
    for (place, (stage, lines)) in stages.iter().zip(&lines).enumerate() {
        let x = place as f64 * (CELL + CLEAR);
        for (line, text) in lines.iter().enumerate() {
            let base = at(x, -SMALL - line as f64 * PITCH);
            row.text(Text::new(base, SMALL, text).bold());
        }
        let own = stage.picture.area();
        let left = x + (CELL - own.width()) / 2.0;
        row.add(stage.picture.clone(), at(left - own.x0, -deep - own.y1));
    }
    row
}
