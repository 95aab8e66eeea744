//! Finger gaps: how many, how wide, and where.

use super::super::Setting;
use super::Steps;
use crate::design::{Added, Design, Role, VoidKind};
use crate::geometry::Rect;
use crate::geometry::path::{Path, to_mm};
use crate::length::Length;

/// Where fingers get at the blanks: of a gang by the template, with those of its first nest in figures.
pub(super) fn say(setting: &Setting<'_>, design: &Design, path: &Path, steps: &mut Steps) {
    let ruler = &setting.request.shop.ruler;
    let gaps = design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let gaps: Vec<Rect> =
        gaps.filter(|void| void.kind == VoidKind::FingerGap).map(|void| void.outline.bounds()).collect();
    let Some(first) = gaps.first() else { return };
    let sawn = design.parts.iter().any(|part| part.role == Role::Ring);
    let how = if sawn { "Bore or saw finger gaps" } else { "Sink finger gaps" };
    let deep = if sawn { "through the ring" } else { "to the same depth" };
    // Those whose middle lies nearer to this nest's wall than they are wide.
    let own: Vec<&Rect> =
        gaps.iter().filter(|gap| path.distance(to_mm(gap.centre())) < gap.length().to_mm() / 2.0).collect();
    let said = |gap: &Rect| {
        let (p, step) = (gap.centre(), setting.step());
        format!("{} / {}", ruler.number(p.x.nearest(step)), ruler.number(p.y.nearest(step)))
    };
    let places: Vec<String> = own.iter().copied().map(said).collect();
    let places = places.join(" and ");
    if design.gang.is_none() {
        let wide = setting.say(first.length());
        steps.say(format!("{how} {wide} across {deep}, centred at {places} (from lead end / from fence edge)."));
        steps.adds([Added::Cut(VoidKind::FingerGap)]);
        return;
    }
    let mut sizes: Vec<(Length, usize)> = Vec::new();
    for gap in &gaps {
        match sizes.iter_mut().find(|(size, _)| *size == gap.length()) {
            Some((_, count)) => *count += 1,
            None => sizes.push((gap.length(), 1)),
        }
    }
    let sizes: Vec<String> = sizes.iter().map(|(size, count)| format!("{count} of {}", setting.say(*size))).collect();
    let between = if gaps.len() < 2 * design.pockets.len() { "; one between two neighbours serves both" } else { "" };
    steps.say(format!(
        "{how} {deep}, centred at the crosses of the template: {} across{between}. Those of nest 1 are centred at {places} (from lead end / from fence edge).",
        sizes.join(", ")
    ));
    steps.adds([Added::Cut(VoidKind::FingerGap)]);
}
