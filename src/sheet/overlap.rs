//! A check of finished sheets: nothing illegible, nothing lost at the edge.

use crate::drawing::{Area, Ink, Item, Page, Text, segments};

/// Finds lettering that touches lettering, lettering struck through by a line or circle (unless the
/// ground was cleared in between), and items outside the frame. Each finding is one sentence; none
/// means the sheet is in order.
pub fn overlaps(page: &Page) -> Vec<String> {
    let items = &page.picture.items;
    let mut found = Vec::new();
    let texts: Vec<(usize, &Text, Area)> = items
        .iter()
        .enumerate()
        .filter_map(|(order, item)| match item {
            // A hair off each side: boxes that only touch are no overlap.
            Item::Text(text) => Some((order, text, text.area().grown(-0.05))),
            _ => None,
        })
        .collect();
    for (place, (_, text, area)) in texts.iter().enumerate() {
        for (_, other, other_area) in texts.iter().skip(place + 1) {
            if area.meets(other_area) {
                found.push(format!("'{}' overlaps '{}'", text.text, other.text));
            }
        }
    }
    for (order, text, area) in &texts {
        // Capitals only: a rule may touch the room kept for descenders.
        let area = area.grown(-0.12 * text.height);
        let cleared = items.iter().enumerate().take(*order).rev().find_map(|(at, item)| match item {
            Item::Solid { ink: Ink::Paper, .. } if item.area().grown(0.2).holds(&area) => Some(at),
            _ => None,
        });
        let struck = items.iter().enumerate().any(|(at, item)| {
            let hidden = cleared.is_some_and(|cleared| at < cleared);
            let hits = match item {
                Item::Path { points, closed, .. } => segments(points, *closed).any(|(a, b)| area.crossed_by(a, b)),
                Item::Solid { ink: Ink::Black, .. } => item.area().meets(&area),
                Item::Circle { centre, radius, .. } => {
                    let far = area
                        .corners()
                        .into_iter()
                        .map(|p| libm::sqrt((p.x - centre.x) * (p.x - centre.x) + (p.y - centre.y) * (p.y - centre.y)));
                    let (near, far) = far.fold((f64::INFINITY, 0.0_f64), |(n, f), d| (n.min(d), f.max(d)));
                    near < *radius && *radius < far
                }
                Item::Hatched { .. } => cleared.is_none() && item.area().holds(&area),
                Item::Solid { ink: Ink::Paper, .. } => at > *order && item.area().meets(&area),
                Item::Text(_) => false,
            };
            hits && !hidden
        });
        if struck {
            found.push(format!("'{}' is struck through", text.text));
        }
    }
    for item in items {
        if !page.frame.grown(0.01).holds(&item.area()) {
            let what = match item {
                Item::Text(text) => format!("'{}'", text.text),
                other => format!("{other:?}").chars().take(60).collect(),
            };
            found.push(format!("{what} is outside the frame"));
        }
    }
    found
}
