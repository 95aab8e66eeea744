//! A blank that lies on its carved face: its border on a ledge, its relief in the clear.

use super::*;
use crate::design::VoidKind;
use crate::geometry::Point;
use crate::request::Flip;
use Relation::AtLeast;
use solid::cell_centres;

/// Air beside and below the relief.
const ASIDE: Length = Length::inches(1, 8);
const BELOW: Length = Length::inches(1, 16);
/// Least ledge under the border.
const LEDGE: Length = Length::inches(3, 8);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let Some(carved) = &case.request.blank.second_side else { return };
    let (long, wide) = (case.request.blank.length.nominal, case.request.blank.width.nominal);
    // Corner by corner: where each point of the carved face lands when the blank is turned over
    // about its middle line, then loaded.
    let land = |at: Point| {
        let over = match carved.flip {
            Flip::Along => Point::new(at.x, wide - at.y),
            Flip::Across => Point::new(long - at.x, at.y),
        };
        let laid = if case.design.turned { Point::new(over.y, long - over.x) } else { over };
        Point::new(case.blank.x0 + laid.x, case.blank.y0 + laid.y)
    };
    let points: Vec<Point> = carved.relief.corners().into_iter().map(land).collect();
    let relief = Outline::Polygon(points).bounds();
    let blank = case.blank;
    let sides = [relief.x0 - blank.x0, relief.y0 - blank.y0, blank.x1 - relief.x1, blank.y1 - relief.y1];
    let raised = carved.height > Length::ZERO;
    let clear = if raised { relief.grown(ASIDE) } else { relief };
    if raised && case.heights_known() {
        let mut least = case.top;
        for at in cell_centres(case.solids.outlines().chain([&Outline::Rect(clear)]), clear) {
            let wood = case.solids.column(at, &[VoidKind::PushOut]);
            let top = wood.into_iter().map(|(_, top)| top).filter(|top| *top <= case.top).max();
            least = least.min(case.design.blank.z0 - top.unwrap_or(case.bed));
        }
        lengths(checks, Rule::ReliefClear, "room under the border's plane", least, AtLeast, carved.height + BELOW);
    }
    if let (true, Some(cutter)) = (raised, case.design.pocket_cutter) {
        // Each corner of the room is a quarter round; the relief's corner lies inside it.
        let radius = cutter.half_up().to_mm();
        let rooms = case.solids.0.iter().flat_map(|solid| &solid.voids).filter(|void| void.kind == VoidKind::Under);
        for room in rooms.map(|void| void.outline.bounds()) {
            let asides = [
                (relief.x0 - room.x0, relief.y0 - room.y0),
                (room.x1 - relief.x1, relief.y0 - room.y0),
                (relief.x0 - room.x0, room.y1 - relief.y1),
                (room.x1 - relief.x1, room.y1 - relief.y1),
            ];
            let off =
                |(x, y): &(Length, Length)| libm::hypot((radius - x.to_mm()).max(0.0), (radius - y.to_mm()).max(0.0));
            let worst = asides.iter().map(off).fold(0.0, f64::max);
            let (rule, subject) = (Rule::CornerRelief, "relief's corner from the centre of the round");
            numbers(checks, rule, subject, worst, Relation::AtMost, radius, "mm");
            let narrow = room.length().min(room.width());
            let least = cutter + Length::inches(1, 32);
            lengths(checks, Rule::CutterEnters, "room for the relief", narrow, AtLeast, least);
        }
    }
    // What is left of the ledge: from the blank's edge to the first place without a floor right under it.
    let level = case.floor.map_or(case.bed, |floor| floor.level);
    let under = |void: &&crate::design::Void| void.kind == VoidKind::Under && void.z0 < level;
    let voids = case.solids.0.iter().flat_map(|solid| &solid.voids).filter(under).map(|void| void.outline.bounds());
    let cut =
        voids.map(|void| (void.x0 - blank.x0).min(void.y0 - blank.y0).min(blank.x1 - void.x1).min(blank.y1 - void.y1));
    let ledge = cut.chain(sides).min().unwrap_or_default();
    lengths(checks, Rule::Ledge, "narrowest ledge", ledge, AtLeast, LEDGE);
}
