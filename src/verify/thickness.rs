//! A blank that tapers in thickness: whether its wedge shims fit it, bring its top level and are stopped.

use super::*;
use crate::design::{Place, VoidKind};
use crate::geometry::heights::HeightGrid;
use crate::request::{Slope, ThickEnd};
use Relation::{AtLeast, AtMost};

/// Least thickness of a shim.
const FOOT: Length = Length::inches(1, 16);
/// Widest stretch of blank between two shims, and between a shim's edge and the blank's.
const APART: Length = Length::inches(4, 1);
/// Flattest run for a rise of one that still slides.
const RUN: f64 = 8.0;
/// Roundings of heights between stations.
const SLIP: Length = Length::micrometres(2);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let blank = &case.request.blank;
    let Some((slope, thick)) = blank.slope.as_ref().zip(blank.thickness.as_ref()) else { return };
    let Some(underside) = &case.design.blank.underside else {
        numbers(checks, Rule::WedgeShim, "shims under a blank that tapers", 0.0, AtLeast, 1.0, "");
        return;
    };
    // The thick end's wall: a quarter turn brings the fence side to the lead end.
    let lead = match (slope.thick_end, case.design.turned) {
        (ThickEnd::Lead, false) | (ThickEnd::Fence, true) => true,
        (ThickEnd::Fence, false) => false,
        (ThickEnd::Lead, true) => {
            numbers(checks, Rule::LowStop, "wall at the thick end", 0.0, AtLeast, 1.0, "");
            return;
        }
    };
    let (gap, wall, span) = if lead {
        (case.blank.x0 - case.room.x0, case.walls.lead, case.blank.length())
    } else {
        (case.blank.y0 - case.room.y0, case.walls.fence, case.blank.width())
    };
    lengths(checks, Rule::LowStop, "thick end off its wall", gap, AtMost, Length::ZERO);
    lengths(checks, Rule::LowStop, "wall at the thick end", wall, AtLeast, Length::from_ticks(1));
    let fall = (thick.nominal - slope.thin.nominal).to_mm();
    numbers(checks, Rule::WedgeSlope, "run for a fall of one", span.to_mm() / fall.max(1e-9), AtLeast, RUN, "");
    level(case, slope, underside, lead, checks);
    carried(case, underside, lead, checks);
}

/// Thickness the blank has under its level top, station by station, against the one measured.
fn level(case: &Case, slope: &Slope, underside: &HeightGrid, lead: bool, checks: &mut Vec<Check>) {
    let (blank, plan) = (&case.design.blank, case.blank);
    let thick = case.request.blank.thickness.as_ref().map_or(0.0, |thick| thick.nominal.to_mm());
    let thin = slope.thin.nominal.to_mm();
    let off = underside
        .places()
        .map(|(x, y, height)| {
            let share = if lead { (x - plan.x0) / plan.length() } else { (y - plan.y0) / plan.width() };
            let drawn = (blank.z1 - blank.z0 - height).to_mm();
            (drawn - (thick + (thin - thick) * share)).abs()
        })
        .fold(0.0, f64::max);
    numbers(checks, Rule::WedgeShim, "top out of level", off, AtMost, SLIP.to_mm(), "mm");
    let ends = |marks: &[Length], from: Length, to: Length| {
        marks.first().is_some_and(|first| (*first - from).abs() <= SLIP)
            && marks.last().is_some_and(|last| (*last - to).abs() <= SLIP)
    };
    let whole = ends(&underside.xs, plan.x0, plan.x1) && ends(&underside.ys, plan.y0, plan.y1);
    numbers(checks, Rule::WedgeShim, "heights from edge to edge", f64::from(u8::from(whole)), AtLeast, 1.0, "");
}

/// Thickness of a shim at its low and at its high end; `None` where it slopes another way.
fn ends(place: &Place, lead: bool) -> Option<(Length, Length)> {
    let kind = if lead { VoidKind::SlopeAlong } else { VoidKind::SlopeAcross };
    match place.voids.as_slice() {
        [only] if only.kind == kind && only.outline == place.outline && only.z1 == place.z1 => {
            Some((only.z0 - place.z0, only.z1 - place.z0))
        }
        _ => None,
    }
}

/// Shims of the blank's slope stand on the floor under it, all the way up, none too far from the next.
fn carried(case: &Case, underside: &HeightGrid, lead: bool, checks: &mut Vec<Check>) {
    let floor = case.floor.map_or(case.bed, |floor| floor.level);
    let lies = case.design.blank.z0 - case.design.adhesive - floor;
    let parts = case.design.parts.iter().filter(|part| part.role == Role::WedgeShim);
    let shims: Vec<&Place> = parts.flat_map(|part| &part.places).collect();
    let (mut off, mut least, mut astray) = (Length::ZERO, Length::INCH, 0);
    let mut across: Vec<(Length, Length)> = Vec::new();
    let plan = if lead { case.blank } else { solid::transposed_rect(case.blank) };
    for shim in &shims {
        let bounds = shim.outline.bounds();
        let bounds = if lead { bounds } else { solid::transposed_rect(bounds) };
        let Some((low, high)) = ends(shim, lead).filter(|_| shim.z0 == floor) else {
            astray += 1;
            continue;
        };
        least = least.min(low);
        off = off.max((low - underside.least() - lies).abs()).max((high - underside.greatest() - lies).abs());
        let reaches = (bounds.x0 - plan.x0).abs() <= SLIP && (bounds.x1 - plan.x1).abs() <= SLIP;
        astray += usize::from(!reaches || bounds.y0 < plan.y0 - SLIP || bounds.y1 > plan.y1 + SLIP);
        across.push((bounds.y0, bounds.y1));
    }
    none_of(checks, Rule::WedgeShim, "shims astray, or sloping another way", astray);
    lengths(checks, Rule::WedgeShim, "least thickness of a shim", least, AtLeast, FOOT);
    lengths(checks, Rule::WedgeShim, "shims off the underside", off, AtMost, SLIP);
    across.sort_unstable();
    let starts = across.iter().map(|shim| shim.0).chain([plan.y1]);
    let stops = [plan.y0].into_iter().chain(across.iter().map(|shim| shim.1));
    let bare = starts.zip(stops).map(|(start, stop)| start - stop).max().unwrap_or_default();
    lengths(checks, Rule::WedgeShim, "widest stretch without a shim", bare, AtMost, APART);
    // The edges themselves lie on shims.
    let edges =
        across.first().map_or(APART, |shim| shim.0 - plan.y0).max(plan.y1 - across.last().map_or(plan.y0, |s| s.1));
    lengths(checks, Rule::WedgeShim, "edge beside its shim", edges, AtMost, SLIP);
}
