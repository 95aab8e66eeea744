//! The build in small pictures, side by side.

use crate::design::Design;
use crate::drawing::{Picture, Text, Weight, at, font};
use crate::request::Request;
use crate::views::{SMALL, stages};

/// Width of a picture with its line, mm.
const CELL: f64 = 57.0;
/// Clear room between two, mm.
const CLEAR: f64 = 3.0;
/// Height of a picture, mm.
const HIGH: f64 = 40.0;
/// Distance of base lines, mm.
const PITCH: f64 = 1.4 * SMALL;

/// Rows of pictures as wide as a column allows, each with the number of its step and a line above it.
pub(super) fn rows(request: &Request, design: &Design, width: f64) -> Vec<Picture> {
    let count = libm::floor((width + CLEAR) / (CELL + CLEAR)).max(1.0) as usize;
    let cell = ((width + CLEAR) / count as f64 - CLEAR).min(1.3 * CELL);
    let stages = stages(request, design, (cell, HIGH));
    let row = |stages: &[crate::views::Stage]| {
        let mut row = Picture::default();
        let lines: Vec<Vec<String>> = stages
            .iter()
            .map(|stage| font::wrap(&format!("{}. {}", stage.step, stage.line), SMALL, Weight::Bold, cell))
            .collect();
        let deep = lines.iter().map(Vec::len).max().unwrap_or(0) as f64 * PITCH + 1.0;
        for (place, (stage, lines)) in stages.iter().zip(&lines).enumerate() {
            let x = place as f64 * (cell + CLEAR);
            for (line, text) in lines.iter().enumerate() {
                let base = at(x, -SMALL - line as f64 * PITCH);
                row.text(Text::new(base, SMALL, text).bold());
            }
            let own = stage.picture.area();
            let left = x + (cell - own.width()) / 2.0;
            row.add(stage.picture.clone(), at(left - own.x0, -deep - own.y1));
        }
        row
    };
    stages.chunks(count).map(row).collect()
}
