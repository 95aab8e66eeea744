//! What a step of the build adds to the carrier, by what the parts are for.

use crate::design::{Added, Design, Part, Role};

fn row(part: &Part) -> impl Iterator<Item = Added> + use<> {
    let (id, count) = (part.id.clone(), part.places.len());
    (0..count).map(move |place| Added::Part { id: id.clone(), place })
}

/// Every part.
pub(super) fn all(design: &Design) -> impl Iterator<Item = Added> + use<'_> {
    design.parts.iter().flat_map(row)
}

/// All parts with these roles.
pub(crate) fn of(design: &Design, roles: &[Role]) -> impl Iterator<Item = Added> + use<> {
    let parts: Vec<Added> = design.parts.iter().filter(|part| roles.contains(&part.role)).flat_map(row).collect();
    parts.into_iter()
}

/// All parts of a name.
pub(super) fn named(design: &Design, name: &str) -> impl Iterator<Item = Added> + use<> {
    let parts: Vec<Added> = design.parts.iter().filter(|part| part.name == name).flat_map(row).collect();
    parts.into_iter()
}

/// One piece of a pair, which share a row of the parts table where they are equal: the one that is first, or
/// the one that is last, along an axis.
fn one_of(design: &Design, roles: [Role; 2], along: bool, first: bool) -> impl Iterator<Item = Added> + use<> {
    let mut pair: Vec<_> = design
        .parts
        .iter()
        .filter(|part| roles.contains(&part.role))
        .flat_map(|part| part.places.iter().enumerate().map(move |(place, own)| (own.outline.bounds(), part, place)))
        .collect();
    pair.sort_by_key(|(bounds, ..)| if along { bounds.x0 } else { bounds.y0 });
    let [own, other] = roles;
    let piece = if first { pair.first() } else { pair.last() };
    // One alone is what its row says it is.
    let alone = pair.len() == 1 && piece.is_some_and(|(_, part, _)| part.role == if first { other } else { own });
    let piece = piece.filter(|_| !alone).map(|(_, part, place)| Added::Part { id: part.id.clone(), place: *place });
    piece.into_iter()
}

/// The rail at the fence.
pub(crate) fn fence_rail(design: &Design) -> impl Iterator<Item = Added> + use<> {
    one_of(design, [Role::FenceRail, Role::FarRail], false, true)
}

/// The rail at the far side.
pub(crate) fn far_rail(design: &Design) -> impl Iterator<Item = Added> + use<> {
    one_of(design, [Role::FenceRail, Role::FarRail], false, false)
}

/// The end that is fed first.
pub(crate) fn lead_end(design: &Design) -> impl Iterator<Item = Added> + use<> {
    one_of(design, [Role::LeadEnd, Role::TrailEnd], true, true)
}

/// The end that is fed last.
pub(crate) fn trail_end(design: &Design) -> impl Iterator<Item = Added> + use<> {
    one_of(design, [Role::LeadEnd, Role::TrailEnd], true, false)
}
