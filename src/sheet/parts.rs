//! The parts by themselves, one figure for every part that is different.

use super::flow::Flow;
use crate::drawing::{Picture, Weight, at};

/// Clear room between figures, mm.
const CLEAR: f64 = 8.0;

/// Sets the figures, as many side by side as there is room for.
pub(super) fn parts(flow: &mut Flow, figures: Vec<Picture>) {
    flow.heading("Parts, finished sizes");
    flow.paragraph("Not to scale. What is sawn over for the last trim stands in the operations. Seen from above, grain along the arrow.", Weight::Regular);
    flow.paragraph("The triangle marks the top face and points to the fence.", Weight::Regular);
    let mut rest = figures.as_slice();
    while !rest.is_empty() {
        let width = flow.width();
        let (row, count) = row(rest, width);
        flow.keep(row.area().height());
        // Another column may have room for fewer.
        if flow.width() == width {
            flow.figure(row);
            rest = rest.get(count..).unwrap_or_default();
            if !rest.is_empty() {
                flow.gap(CLEAR / 2.0);
            }
        }
    }
}

/// The first figures side by side, as many as there is room for, their tops in line; and how many.
fn row(figures: &[Picture], width: f64) -> (Picture, usize) {
    let mut row = Picture::default();
    let mut count = 0;
    for figure in figures {
        let (own, filled) = (figure.area(), row.area());
        if count > 0 && filled.width() + CLEAR + own.width() > width {
            break;
        }
        let x = if count > 0 { filled.x1 + CLEAR } else { 0.0 };
        row.add(figure.clone(), at(x - own.x0, -own.y1));
        count += 1;
    }
    (row, count)
}
