//! Nests that stand in no rows: every one held against every other as they lie, whatever their outlines.

use super::spacing::{FAR, Gap, Shape};
use super::*;
use crate::design::{Gang, Void, VoidKind};
use crate::geometry::path::Mm;
use Relation::{AtLeast, Equal};

/// Thumb and finger want to be opposite: 120 degrees, less what the chords of an outline may be out by. Judgement.
const OPPOSITE: f64 = 119.9;
/// Chords this close to an arc are no error of a centre, mm.
const FINE: f64 = 0.005;

/// What is cut of a nest, in its place.
struct Cut {
    nest: Shape,
    reliefs: Vec<Shape>,
    room: Rect,
}

/// Every pocket is the first one of its outline moved, or turned half round and moved, with its blank, its
/// reliefs and two finger gaps; and the wood left between them.
pub(super) fn check(case: &Case, gang: &Gang, checks: &mut Vec<Check>) {
    let pockets = &case.design.pockets;
    let voids = || case.design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let of = |kind: VoidKind| voids().filter(move |void| void.kind == kind);
    let told = gang.nested.len().abs_diff(pockets.len());
    none_of(checks, Rule::GangCount, "pockets of which it is not told what lies in them", told);
    numbers(checks, Rule::GangCount, "rows", gang.rows as f64, Equal, 0.0, "");

    let mut unlike = 0;
    let mut repeated = 0;
    for (place, (pocket, nested)) in pockets.iter().zip(&gang.nested).enumerate() {
        let Some(first) = gang.nested.iter().position(|other| other.kind == nested.kind) else { continue };
        let (Some(model), Some(there)) = (pockets.get(first), gang.nested.get(first)) else { continue };
        let lay = spacing::lay(&model.outline, &pocket.outline, nested.turned != there.turned);
        let own = |void: &&Void| spacing::overlap(&void.outline, &model.outline);
        let sunk = |void: &Void| void.outline == pocket.outline && (void.z0, void.z1) == (pocket.z0, pocket.z1);
        let again = |one: &&Void| {
            let moved = lay.outline(&one.outline);
            of(one.kind).any(|void| (void.z0, void.z1) == (one.z0, one.z1) && void.outline == moved)
        };
        let reliefs: Vec<&Void> = of(VoidKind::Relief).filter(own).collect();
        let there_too = reliefs.iter().filter(|one| again(one)).count();
        repeated += there_too;
        let same = lay.outline(&model.outline) == pocket.outline
            && lay.outline(&there.blank) == nested.blank
            && (pocket.z0, pocket.z1) == (model.z0, model.z1)
            && of(VoidKind::Pocket).any(sunk)
            && there_too == reliefs.len();
        unlike += usize::from(!same || (place == 0 && (nested.kind != 0 || nested.turned)));
    }
    none_of(checks, Rule::NestPlaces, "pockets that are not the first one of their outline moved", unlike);
    let strays = of(VoidKind::Relief).count().abs_diff(repeated);
    none_of(checks, Rule::NestPlaces, "reliefs of no pocket", strays);
    let sunk = of(VoidKind::Pocket).count().abs_diff(pockets.len());
    none_of(checks, Rule::GangCount, "nests cut that are no pockets, or pockets that are not cut", sunk);
    let turned = gang.nested.iter().filter(|nested| nested.turned && !case.request.blank.turn_free).count();
    none_of(checks, Rule::NestPlaces, "blanks turned that may not be", turned);
    off_marks(case, gang, checks);

    let reliefs: Vec<(usize, Outline)> = of(VoidKind::Relief)
        .filter_map(|void| {
            let owner = pockets.iter().position(|pocket| spacing::overlap(&void.outline, &pocket.outline))?;
            Some((owner, void.outline.clone()))
        })
        .collect();
    let (web, mut left) = between(pockets, &reliefs);
    let gaps: Vec<Gap> = of(VoidKind::FingerGap).map(|void| Gap::of(void, pockets)).collect();
    spacing::fingers(&gaps, pockets.len(), checks);
    let least = pockets.iter().enumerate().map(|(place, pocket)| opposite(&gaps, place, pocket)).fold(180.0, f64::min);
    numbers(checks, Rule::FingerGaps, "from one finger gap of a nest to another", least, AtLeast, OPPOSITE, "degrees");
    left = left.min(spacing::left_by(&gaps, pockets, &reliefs));
    spacing::webs(case, gang, (web, (!reliefs.is_empty() || !gaps.is_empty()).then_some(left)), checks);
}

/// The greatest angle between two finger gaps of a nest, seen from the centre of its area, degrees.
fn opposite(gaps: &[Gap], place: usize, pocket: &Pocket) -> f64 {
    let Outline::Path(path) = &pocket.outline else { return 0.0 };
    let ring = path.flattened(FINE);
    let middle = ring.first().map_or((0.0, 0.0), |from| centre(&ring, *from));
    let directions: Vec<f64> = gaps
        .iter()
        .filter(|gap| gap.serves.contains(&place))
        .map(|gap| libm::atan2(gap.centre.1 - middle.1, gap.centre.0 - middle.0).to_degrees())
        .collect();
    let between = |a: &f64, b: &f64| {
        let apart = (a - b).abs();
        apart.min(360.0 - apart)
    };
    directions.iter().flat_map(|a| directions.iter().map(move |b| between(a, b))).fold(0.0, f64::max)
}

/// Centre of the area of a ring: of triangles from one of its places, each weighing its area.
fn centre(ring: &[Mm], from: Mm) -> Mm {
    let (mut all, mut at) = (0.0, (0.0, 0.0));
    for (p, q) in ring.iter().zip(ring.iter().skip(1)) {
        let area = ((p.0 - from.0) * (q.1 - from.1) - (q.0 - from.0) * (p.1 - from.1)) / 2.0;
        all += area;
        at = (at.0 + area * (from.0 + p.0 + q.0) / 3.0, at.1 + area * (from.1 + p.1 + q.1) / 3.0);
    }
    if all == 0.0 { from } else { (at.0 / all, at.1 / all) }
}

/// Nests lie at whole marks of the ruler from one another: what the pocket table says can be laid out.
fn off_marks(case: &Case, gang: &Gang, checks: &mut Vec<Check>) {
    let step = case.request.shop.ruler.step;
    let room = |place: usize| case.design.pockets.get(place).map(|pocket| pocket.outline.bounds());
    let off = |length: Length| (length - length.nearest(step)).abs();
    let start = room(0).unwrap_or_default();
    let mut most = Length::ZERO;
    for place in 0..gang.nested.len() {
        let Some(room) = room(place) else { continue };
        // From the first, whose own place is the lead end's and the fence rail's business.
        let (x, y) = (room.x0 - start.x0, room.y0 - start.y0);
        most = most.max(off(x)).max(off(y));
    }
    // Boxes of arcs are rounded anew wherever they lie.
    lengths(checks, Rule::NestPlaces, "near corners off the marks", most, Relation::AtMost, Length::micrometres(1));
}

/// Least wood between two nests, and between the reliefs of one and another with its own, mm.
fn between(pockets: &[Pocket], reliefs: &[(usize, Outline)]) -> (f64, f64) {
    let cut = |(place, pocket): (usize, &Pocket)| {
        let own: Vec<&Outline> =
            reliefs.iter().filter(|(owner, _)| *owner == place).map(|(_, outline)| outline).collect();
        let mut room = pocket.outline.bounds();
        for bounds in own.iter().map(|outline| outline.bounds()) {
            room = Rect::new(
                room.x0.min(bounds.x0),
                room.y0.min(bounds.y0),
                room.x1.max(bounds.x1),
                room.y1.max(bounds.y1),
            );
        }
        Cut { nest: Shape::of(&pocket.outline), reliefs: own.into_iter().map(Shape::of).collect(), room }
    };
    let cuts: Vec<Cut> = pockets.iter().enumerate().map(cut).collect();
    let (mut web, mut left) = (FAR, FAR);
    for (place, one) in cuts.iter().enumerate() {
        for other in cuts.iter().skip(place + 1) {
            let (a, b) = (one.room, other.room);
            let off = (b.x0 - a.x1).max(a.x0 - b.x1).max((b.y0 - a.y1).max(a.y0 - b.y1)).to_mm();
            if off >= web.max(left) {
                continue;
            }
            web = web.min(one.nest.apart(&other.nest, (0.0, 0.0), web));
            for cut in &one.reliefs {
                left = left.min(cut.apart(&other.nest, (0.0, 0.0), left));
                left = other.reliefs.iter().map(|theirs| cut.apart(theirs, (0.0, 0.0), left)).fold(left, f64::min);
            }
            left = other.reliefs.iter().map(|theirs| one.nest.apart(theirs, (0.0, 0.0), left)).fold(left, f64::min);
        }
    }
    (web, left)
}

/// The request for the blank in a pocket, as it lies there, and the design with only that blank.
pub(super) fn request_of(case: &Case, gang: &Gang, place: usize) -> Option<Request> {
    let nested = gang.nested.get(place)?;
    let request = case.request.of_kind(nested.kind)?;
    // The blank itself was turned with the whole request; the others were not.
    let request = if nested.kind > 0 { request.turned_by(case.design.turn).unwrap_or(request) } else { request };
    Some(if nested.turned { request.turned_by(180.0).unwrap_or(request) } else { request })
}
