//! Placing blocks of different sizes on a sheet.

use super::book::CLEAR;
use crate::drawing::{Area, At, at};

/// A block that must be placed: its sizes, one for every way it can be set, the best first.
pub(super) type Sizes = Vec<(f64, f64)>;

/// For each block which of its ways is used, and a place.
pub(super) type Places = Vec<(usize, At)>;

/// Places blocks in order, each in the highest, then leftmost free place where one of its sizes fits.
/// Returns for each which size was used and its upper left corner, and the areas left; `None` when one
/// does not fit.
pub(super) fn pack(mut free: Vec<Area>, blocks: &[Sizes]) -> Option<(Places, Vec<Area>)> {
    let mut placed = Vec::new();
    for sizes in blocks {
        let (variant, corner, taken) = sizes.iter().enumerate().find_map(|(variant, (width, height))| {
            let fits = |room: &&Area| room.width() + 1e-9 >= *width && room.height() + 1e-9 >= *height;
            let best = free
                .iter()
                .filter(fits)
                .reduce(|best, room| if (room.y1, -room.x0) > (best.y1, -best.x0) { room } else { best })?;
            let corner = at(best.x0, best.y1);
            Some((variant, corner, Area::new(corner.x, corner.y - height, corner.x + width, corner.y).grown(CLEAR)))
        })?;
        placed.push((variant, corner));
        free = free.into_iter().flat_map(|room| without(room, &taken)).collect();
    }
    Some((placed, free))
}

/// The largest boxes left of a room when part of it is taken.
pub(super) fn without(room: Area, taken: &Area) -> Vec<Area> {
    if !room.meets(taken) {
        return vec![room];
    }
    let rest = [
        Area { x1: taken.x0, ..room },
        Area { x0: taken.x1, ..room },
        Area { y1: taken.y0, ..room },
        Area { y0: taken.y1, ..room },
    ];
    rest.into_iter().filter(|rest| rest.x1 - rest.x0 > 1.0 && rest.y1 - rest.y0 > 1.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_keep_clear_of_each_other_and_inside() {
        let area = Area::new(0.0, 0.0, 250.0, 170.0);
        let sizes = [(150.0, 90.0), (150.0, 45.0), (90.0, 45.0), (80.0, 50.0), (80.0, 40.0)];
        let placed = pack(vec![area], &sizes.map(|size| vec![size])).unwrap().0;
        let boxes: Vec<Area> = placed
            .iter()
            .zip(sizes)
            .map(|((_, corner), (w, h))| Area::new(corner.x, corner.y - h, corner.x + w, corner.y))
            .collect();
        for (place, one) in boxes.iter().enumerate() {
            assert!(area.holds(one), "{one:?}");
            assert!(boxes.iter().skip(place + 1).all(|other| !one.grown(CLEAR - 0.01).meets(other)));
        }
    }

    #[test]
    fn another_way_of_setting_is_tried_and_what_does_not_fit_is_refused() {
        let area = Area::new(0.0, 0.0, 100.0, 50.0);
        let found = pack(vec![area], &[vec![(120.0, 10.0), (60.0, 20.0)]]).map(|(placed, _)| placed);
        assert_eq!(found, Some(vec![(1, at(0.0, 50.0))]));
        assert_eq!(pack(vec![area], &[vec![(60.0, 20.0)], vec![(60.0, 40.0)]]), None);
    }
}
