//! What the rollers, the fence, the far guide and the position sensor meet.

use super::*;
use Relation::{AtLeast, AtMost};
use solid::{Strip, cell_centres, inside, strips, union};

/// Surface a roller needs at each side.
const SUPPORT: Length = Length::inches(3, 4);
/// Most a roller may sink into a gap.
const SINK: Length = Length::inches(1, 64);
/// Most two neighbouring surfaces may differ.
const STEP: Length = Length::inches(1, 32);
/// Most a blank may stand proud, and least it is sunk where it must not be rolled on.
const PROUD_WANTED: Length = Length::inches(1, 64);
const SUNK_LEAST: Length = Length::inches(1, 16);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    strip(case, checks);
    parallel(case, checks);
    surface(case, checks);
    if case.heights_known() {
        steps(case, checks);
        flush(case, checks);
    }
    lengths(checks, Rule::NothingAboveTop, "parts", case.highest_part, AtMost, case.top);
}

/// What is asked of every single pocket.
pub(super) fn check_pocket(case: &Case, checks: &mut Vec<Check>) {
    if case.heights_known() {
        flush(case, checks);
    }
}

/// The bed face between the fence edge and the strip's width: no opening, and one piece.
fn strip(case: &Case, checks: &mut Vec<Check>) {
    let machine = &case.request.machine;
    if machine.strip <= Length::ZERO {
        return;
    }
    let plan = case.plan;
    let area = Rect::new(plan.x0, plan.y0, plan.x1, plan.y0 + machine.strip);
    let blank = &case.design.blank;
    let blank_on_bed = blank.z0 <= case.bed;
    let mut pieces: Vec<usize> = Vec::new();
    let mut openings = 0;
    for at in cell_centres(case.solids.outlines().chain([&case.outline]), area) {
        let lies_there = |solid: &solid::Solid| {
            let cut = solid.voids.iter().any(|void| void.z0 <= case.bed && inside(&void.outline, at));
            solid.z0 <= case.bed && inside(&solid.outline, at) && !cut
        };
        match case.solids.0.iter().position(lies_there) {
            Some(piece) => pieces.push(piece),
            None if blank_on_bed && inside(&case.outline, at) => pieces.push(case.solids.0.len()),
            None => openings += 1,
        }
    }
    pieces.sort_unstable();
    pieces.dedup();
    none_of(checks, Rule::StripUnbroken, "openings in the strip", openings);
    if !machine.strip_joint_tolerated {
        none_of(checks, Rule::StripUnbroken, "joints across the strip", pieces.len().saturating_sub(1));
    }
}

/// Greatest less least width over all parts and the blank, section by section.
fn parallel(case: &Case, checks: &mut Vec<Check>) {
    let parts = || case.solids.0.iter().map(|solid| &solid.outline);
    let outlines = || parts().chain([&case.outline]);
    let mut range: Option<solid::Span> = None;
    for strip in strips(outlines(), case.plan.x0, case.plan.x1) {
        for x in strip.places() {
            let spans = union(outlines().flat_map(|outline| solid::spans_at(outline, x)).collect());
            let (Some(first), Some(last)) = (spans.first(), spans.last()) else { continue };
            let width = last.1 - first.0;
            let (least, greatest) = range.unwrap_or((width, width));
            range = Some((least.min(width), greatest.max(width)));
        }
    }
    let (least, greatest) = range.unwrap_or_default();
    let allowed = case.request.machine.guide_gap.min(STEP);
    lengths(checks, Rule::ParallelEdges, "outline", greatest - least, AtMost, allowed);
}

/// Widest gap a roller of radius `rho` crosses without sinking more than [`SINK`], rounded down.
pub(super) fn gap_limit(rho: Length) -> Length {
    let (rho, sink) = (rho.to_mm(), SINK.to_mm());
    let half = (2.0 * rho * sink - sink * sink).max(0.0).sqrt();
    Length::from_mm(2.0 * half).unwrap_or_default().down(Length::from_ticks(10))
}

/// Full-height surface under the rollers at every section.
fn surface(case: &Case, checks: &mut Vec<Check>) {
    let blank = &case.design.blank;
    // A blank that is not flat touches the rollers here and there only, a crown on a line at most.
    let flat = blank.underside.is_none() && case.request.blank.round().is_none();
    let carries = flat && !case.must_not_be_rolled() && (blank.z1 - case.top).abs() <= STEP;
    // Every pocket is filled: with a blank, or with scrap as thick.
    let blanks = match (carries, &case.design.gang) {
        (false, _) => Vec::new(),
        (true, None) => vec![case.outline.clone()],
        (true, Some(_)) => case.design.blank_outlines(),
    };
    let blanks: Vec<(Rect, Outline)> = blanks.into_iter().map(|outline| (outline.bounds(), outline)).collect();
    let outlines = case.solids.outlines().chain(blanks.iter().map(|(_, outline)| outline));
    let limit = gap_limit(case.request.machine.roller_radius);
    let sections: Vec<(Strip, Length, bool)> = strips(outlines, case.plan.x0, case.plan.x1)
        .into_iter()
        .map(|strip| {
            let mut least = case.plan.width();
            let mut open = false;
            for x in strip.places() {
                let mut spans = case.solids.surface(x, case.top - STEP);
                let met = blanks.iter().filter(|(bounds, _)| bounds.x0 <= x && x <= bounds.x1);
                spans.extend(met.flat_map(|(_, outline)| solid::spans_at(outline, x)));
                let spans = union(spans);
                open |= spans.is_empty();
                least = least.min(support(&spans, case.plan));
            }
            (strip, least, open)
        })
        .collect();
    let gap = runs(&sections, |&(_, _, open)| open).into_iter().map(|(from, to, _)| to - from).max();
    lengths(checks, Rule::GapUnderRoller, "widest gap", gap.unwrap_or_default(), AtMost, limit);

    // Over a stretch no longer than that limit the roller rests on the surfaces before and behind it.
    let poor = runs(&sections, |&(_, least, _)| least < SUPPORT);
    let worst_poor = poor.into_iter().filter(|&(from, to, _)| to - from > limit).map(|(_, _, least)| least).min();
    let good = sections.iter().map(|&(_, least, _)| least).filter(|&least| least >= SUPPORT).min();
    let least = worst_poor.or(good).unwrap_or_default();
    lengths(checks, Rule::RollerSupport, "narrowest side", least, AtLeast, SUPPORT);
}

/// Surface in the half nearer to each side, the lesser of the two; none where it begins farther than
/// [`SUPPORT`] from the side.
fn support(spans: &[solid::Span], plan: Rect) -> Length {
    let middle = (plan.y0 + plan.y1).half();
    let within = |from: Length, to: Length| -> Length {
        spans.iter().map(|span| (span.1.min(to) - span.0.max(from)).or_zero()).sum()
    };
    let near = spans.first().is_some_and(|span| span.0 <= plan.y0 + SUPPORT);
    let far = spans.last().is_some_and(|span| span.1 >= plan.y1 - SUPPORT);
    let fence = if near { within(plan.y0, middle) } else { Length::ZERO };
    let other = if far { within(middle, plan.y1) } else { Length::ZERO };
    fence.min(other)
}

/// Stretches of neighbouring sections for which `test` holds, with the least support in each.
fn runs(
    sections: &[(Strip, Length, bool)],
    test: impl Fn(&(Strip, Length, bool)) -> bool,
) -> Vec<(Length, Length, Length)> {
    let mut runs: Vec<(Length, Length, Length)> = Vec::new();
    let mut running = false;
    for section in sections {
        let (strip, least, _) = *section;
        let holds = test(section);
        match runs.last_mut() {
            Some(run) if holds && running => *run = (run.0, strip.to, run.2.min(least)),
            _ if holds => runs.push((strip.from, strip.to, least)),
            _ => {}
        }
        running = holds;
    }
    runs
}

/// Outside the pocket and its reliefs, everything that faces up faces up at the top plane. Section by
/// section, the solids from the highest down: what is neither open nor covered already faces up there.
fn steps(case: &Case, checks: &mut Vec<Check>) {
    let mut deepest = Length::ZERO;
    let voids = || case.solids.0.iter().flat_map(|solid| solid.voids.iter().map(|void| &void.outline));
    let open: Vec<(Rect, &Outline)> =
        case.openings.iter().chain([&case.outline]).chain(voids()).map(|outline| (outline.bounds(), outline)).collect();
    let mut solids: Vec<(Rect, &solid::Solid)> =
        case.solids.0.iter().map(|solid| (solid.outline.bounds(), solid)).collect();
    solids.sort_by_key(|(_, solid)| std::cmp::Reverse(solid.z1));
    let crosses = |bounds: &Rect, x: Length| bounds.x0 <= x && x <= bounds.x1;
    for strip in
        strips(case.solids.outlines().chain(open.iter().map(|(_, outline)| *outline)), case.plan.x0, case.plan.x1)
    {
        let x = strip.middle();
        let holes = open.iter().filter(|(bounds, _)| crosses(bounds, x));
        let mut covered = union(holes.flat_map(|(_, outline)| solid::spans_at(outline, x)).collect());
        for (_, solid) in solids.iter().filter(|(bounds, _)| crosses(bounds, x)) {
            let spans = solid::spans_at(&solid.outline, x);
            let seen = solid::minus(spans.clone(), covered.clone());
            if seen.iter().any(|span| span.1 - span.0 > solid::CONTACT) {
                deepest = deepest.max(case.top - solid.z1);
            }
            covered = union(covered.into_iter().chain(spans).collect());
        }
    }
    lengths(checks, Rule::StepUnderRoller, "outside the pocket", deepest, AtMost, STEP);
}

/// The blank against the top plane.
fn flush(case: &Case, checks: &mut Vec<Check>) {
    let blank = &case.design.blank;
    if case.must_not_be_rolled() {
        lengths(checks, Rule::BlankFlushLimit, "highest point sunk", case.top - blank.highest, AtLeast, SUNK_LEAST);
        return;
    }
    // The crown of a round is asked over the whole range of its readings.
    if case.request.blank.round().is_some() {
        return;
    }
    let proud = blank.z1 - case.top;
    lengths(checks, Rule::BlankFlushLimit, "highest point proud", blank.highest - case.top, AtMost, STEP);
    lengths(checks, Rule::BlankFlushLimit, "border proud", proud, AtLeast, -STEP);
    if proud < Length::ZERO {
        lengths(checks, Rule::BlankFlush, "border proud", proud, AtLeast, Length::ZERO);
    } else {
        lengths(checks, Rule::BlankFlush, "border proud", proud, AtMost, PROUD_WANTED);
    }
}
