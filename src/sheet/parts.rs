//! The parts by themselves, one figure for every part that is different.

use super::flow::Flow;
use crate::drawing::{Picture, Weight, at};

/// Clear room between figures, mm.
const CLEAR: f64 = 8.0;

/// Sets the figures, as many side by side as there is room for.
pub(super) fn parts(flow: &mut Flow, figures: Vec<Picture>) {
    flow.heading("Parts as they are sawn");
    flow.paragraph("Not to scale: saw to the figures. Seen from above, grain along the arrow.", Weight::Regular);
    flow.paragraph("The triangle marks the top face and points to the fence.", Weight::Regular);
    let mut row = Picture::default();
    for figure in figures {
        let (own, filled) = (figure.area(), row.area().width());
        if filled > 0.0 && filled + CLEAR + own.width() > flow.width() {
            flow.figure(std::mem::take(&mut row));
            flow.gap(CLEAR / 2.0);
        }
        let filled = row.area();
        // Figures side by side have their tops in line.
        let x = if filled.width() > 0.0 { filled.x1 + CLEAR } else { 0.0 };
        row.add(figure, at(x - own.x0, -own.y1));
    }
    if !row.items.is_empty() {
        flow.figure(row);
    }
}
