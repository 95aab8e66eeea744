//! A blank that is not flat: whether it is carried where it stands off, and what flattening leaves.

use super::*;
use crate::geometry::heights::HeightGrid;
use Relation::{AtLeast, AtMost};
use solid::inside;

/// A blank no farther off a flat table lies flat.
const FLAT: Length = Length::inches(1, 64);
/// Roundings of heights that came out of a linear program.
const SLIP: Length = Length::micrometres(2);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    if case.request.blank.slope.is_some() {
        return;
    }
    let Some(warp) = &case.request.blank.warp else {
        // A blank said to be flat lies flat.
        let drawn = case.design.blank.underside.as_ref().map_or(Length::ZERO, HeightGrid::greatest);
        if drawn > Length::ZERO {
            lengths(checks, Rule::BlankFlat, "underside as drawn", drawn, AtMost, Length::ZERO);
        }
        return;
    };
    let Some(underside) = &case.design.blank.underside else {
        lengths(checks, Rule::BlankFlat, "gap on a flat table", warp.gaps.greatest(), AtMost, FLAT);
        lengths(checks, Rule::BlankFlat, "lift of a corner", lift(&warp.gaps), AtMost, FLAT);
        return;
    };
    let gaps = if case.design.turned { warp.gaps.turned() } else { warp.gaps.clone() };
    lies_as_measured(case, &gaps, underside, checks);
    carried(case, underside, checks);
    if let Some((wanted, measured)) = warp.wanted.zip(case.request.blank.thickness.as_ref()) {
        let left = measured.smallest - (underside.greatest() - underside.least());
        lengths(checks, Rule::WarpBudget, "left once both faces are flat", left, AtLeast, wanted);
    }
}

/// How far the trail/far corner stands off the plane of the other three.
fn lift(gaps: &HeightGrid) -> Length {
    let height = |at: Option<&Vec<Length>>, x: usize| at.and_then(|row| row.get(x)).copied().unwrap_or_default();
    let last = gaps.xs.len().saturating_sub(1);
    let (fence, far) = (gaps.rows.first(), gaps.rows.last());
    let expected = height(fence, last) + height(far, 0) - height(fence, 0);
    (height(far, last) - expected).abs()
}

/// The underside as drawn is the one measured, only tilted as a stiff body tilts.
fn lies_as_measured(case: &Case, gaps: &HeightGrid, drawn: &HeightGrid, checks: &mut Vec<Check>) {
    let corner = case.design.origin();
    let at_its_place = drawn.xs.iter().zip(&gaps.xs).all(|(x, from)| (*x - *from - corner.x).abs() <= SLIP)
        && drawn.ys.iter().zip(&gaps.ys).all(|(y, from)| (*y - *from - corner.y).abs() <= SLIP);
    let same = drawn.xs.len() == gaps.xs.len() && drawn.ys.len() == gaps.ys.len() && at_its_place;
    numbers(checks, Rule::BlankFlat, "places measured", f64::from(u8::from(same)), AtLeast, 1.0, "");
    let raised: Vec<(f64, f64, f64)> = drawn
        .places()
        .zip(gaps.places())
        .map(|((x, y, height), (_, _, gap))| (x.to_mm(), y.to_mm(), (height - gap).to_mm()))
        .collect();
    let columns = drawn.xs.len();
    let (first, second) = (raised.first(), raised.get(columns.saturating_sub(1)));
    let third = raised.get(raised.len().saturating_sub(columns));
    let bent = match (first, second, third) {
        (Some(o), Some(p), Some(q)) if p.0 > o.0 && q.1 > o.1 => raised
            .iter()
            .map(|(x, y, lift)| {
                let plane = o.2 + (p.2 - o.2) * (x - o.0) / (p.0 - o.0) + (q.2 - o.2) * (y - o.1) / (q.1 - o.1);
                (lift - plane).abs()
            })
            .fold(0.0, f64::max),
        _ => f64::INFINITY,
    };
    numbers(checks, Rule::BlankFlat, "bent away from its measured shape", bent, AtMost, 4.0 * SLIP.to_mm(), "mm");
    let off = drawn.least().abs();
    lengths(checks, Rule::BlankFlat, "lowest place off its height", off, AtMost, SLIP);
}

/// At every place measured the underside stands on something: the floor, or a shim that reaches it.
fn carried(case: &Case, underside: &HeightGrid, checks: &mut Vec<Check>) {
    let blank = &case.design.blank;
    let floor = case.floor.map_or(case.bed, |floor| floor.level);
    let parts = case.design.parts.iter().filter(|part| part.role == Role::Shim);
    let shims: Vec<&crate::design::Place> = parts.flat_map(|part| &part.places).collect();
    let mut widest = Length::ZERO;
    let mut pinched = Length::ZERO;
    for (x, y, height) in underside.places() {
        let lies = blank.z0 + height;
        let under = shims.iter().filter(|shim| inside(&shim.outline, crate::geometry::Point::new(x, y)));
        let top = under.filter(|shim| shim.z0 == floor).map(|shim| shim.z1).max().unwrap_or(floor);
        widest = widest.max(lies - top - case.design.adhesive);
        pinched = pinched.max(top - lies);
    }
    lengths(checks, Rule::BlankFlat, "widest gap left", widest, AtMost, FLAT);
    lengths(checks, Rule::BlankFlat, "shim above the underside", pinched, AtMost, SLIP);
    let astray = shims.iter().filter(|shim| {
        let place = shim.outline.bounds();
        !holds(case.blank.grown(SLIP), place)
    });
    none_of(checks, Rule::BlankFlat, "shims beside the blank", astray.count());
}
