//! Carriers with several pockets: each pocket looked at as if it were the only one, then what stands
//! between them.

use super::*;
use crate::design::{CutList, Gang, Joint, Part, Place, Void, VoidKind};
use crate::geometry::Point;
use Relation::{AtLeast, AtMost, Equal};

/// Least web between two pockets.
const WEB: Length = Length::inches(1, 2);
/// Least web left between the reliefs of two neighbours.
const WEB_LEFT: Length = Length::inches(1, 4);
/// Kept between a cutter that cuts a part free and the next pocket; the same beyond its overrun.
const BESIDE_CUTTER: Length = Length::inches(1, 4);
const BESIDE_OVERRUN: Length = Length::inches(3, 16);

/// Checks of every pocket but the one the blank is drawn in, and of all of them together. Of the same
/// check of several pockets the one with least to spare is kept, with the pocket's number.
pub(super) fn check(case: &Case, gang: &Gang, checks: &mut Vec<Check>) {
    count(case, gang, checks);
    if gang.is_free() {
        nested::check(case, gang, checks);
    } else if case.design.pockets.iter().any(|pocket| matches!(pocket.outline, Outline::Path(_))) {
        spacing::check(case, gang, checks);
    } else {
        webs(case, checks);
        reliefs(case, checks);
    }
    if !gang.is_free() {
        pitch(case, gang, checks);
    }
    backwards(case, checks);
    let lean = lean(case.design);
    // A blank turned half round is asked about as it then lies.
    let half = gang.pair.and_then(|_| case.request.turned_by(180.0));
    for (place, pocket) in case.design.pockets.iter().enumerate().skip(1) {
        let turned = gang.is_turned(place);
        let alone = alone(&lean, case.design, gang, place, pocket);
        let own = nested::request_of(case, gang, place);
        let request = own.as_ref().or(half.as_ref().filter(|_| turned)).unwrap_or(case.request);
        let first = gang.is_free() && gang.nested.iter().position(|one| one.kind == gang.kind(place)) == Some(place);
        let case = Case::of(request, &alone);
        let mut found = Vec::new();
        size::check_pocket(&case, &mut found);
        cutter::check(&case, &mut found);
        hold::check(&case, &mut found);
        fit::check_always(&case, &mut found);
        fit::check(&case, &mut found);
        rollers::check_pocket(&case, &mut found);
        making::check_pocket(&case, &mut found);
        screws::check_pocket(&case, &mut found);
        if first {
            nest::check(&case, &mut found);
        }
        merge(checks, found, place + 1);
    }
}

/// Keeps of each check the one with least to spare.
fn merge(checks: &mut Vec<Check>, found: Vec<Check>, number: usize) {
    let spare = |check: &Check| match check.margin() {
        Quantity::Length(length) => length.to_mm(),
        Quantity::Number(number, _) => number,
    };
    let of = |subject: &str| subject.split(", pocket ").next().unwrap_or_default().to_owned();
    for check in found {
        let same = |known: &&mut Check| known.rule == check.rule && of(&known.subject) == check.subject;
        let numbered = |check: Check| Check { subject: format!("{}, pocket {number}", check.subject), ..check };
        match checks.iter_mut().find(same) {
            Some(known) if spare(&check) < spare(known) || check.status < known.status => *known = numbered(check),
            Some(_) => {}
            None => checks.push(numbered(check)),
        }
    }
}

/// What a design says apart from its parts and pockets, so that it can be repeated for each pocket.
fn lean(design: &Design) -> Design {
    let bearing =
        |joint: &&Joint| joint.kind == JointKind::Pinched || joint.between.0 == "blank" || joint.between.1 == "blank";
    Design {
        construction: design.construction,
        title: String::new(),
        variant: String::new(),
        blank: design.blank.clone(),
        pockets: Vec::new(),
        contacts: Vec::new(),
        gang: None,
        parts: Vec::new(),
        joints: design.joints.iter().filter(bearing).cloned().collect(),
        cut_list: CutList::default(),
        steps: Vec::new(),
        waived: Vec::new(),
        trace: Default::default(),
        checks: Vec::new(),
        assumptions: Vec::new(),
        warnings: Vec::new(),
        screws: design.screws.clone(),
        ..*design
    }
}

/// The design as it would be with only this pocket, the others filled with wood: its walls then reach
/// to the edges of the carrier, and all that holds for a carrier with one pocket holds for it.
fn alone(lean: &Design, whole: &Design, gang: &Gang, place: usize, pocket: &Pocket) -> Design {
    let mut design = lean.clone();
    if let Some(nested) = gang.nested.get(place) {
        // Whole blanks only are nested freely, and the bond is printed of the first.
        design.blank.outline = nested.blank.clone();
        design.carve = nested.blank.bounds();
        design.bond_area_mm2 = 0.0;
    } else {
        let first = whole.pockets.first().unwrap_or(pocket);
        let lay = spacing::lay(&first.outline, &pocket.outline, gang.is_turned(place));
        design.blank.outline = lay.outline(&design.blank.outline);
        design.carve = lay.rect(design.carve);
    }
    design.pockets = vec![pocket.clone()];
    if let Some(screws) = &mut design.screws {
        screws.places.retain(|at| solid::inside(&design.blank.outline, *at));
    }
    design.parts = beside(whole, pocket);
    design
}

/// The parts in line with a pocket, along or across, with only its own voids. Pockets between strips
/// are filled by pieces that are not there.
pub(super) fn beside(whole: &Design, pocket: &Pocket) -> Vec<Part> {
    let bounds = pocket.outline.bounds();
    let in_line =
        |rect: Rect| (rect.x0 < bounds.x1 && bounds.x0 < rect.x1) || (rect.y0 < bounds.y1 && bounds.y0 < rect.y1);
    // The boxes of staggered rounds overlap where the rounds do not, and those of slanting nests.
    let own = |void: &&Void| void.kind == VoidKind::ClippedCorner || spacing::overlap(&void.outline, &pocket.outline);
    let kept = |place: &Place| Place {
        outline: place.outline.clone(),
        voids: place.voids.iter().filter(own).cloned().collect(),
        ..*place
    };
    let parts = whole.parts.iter().map(|part| Part {
        id: part.id.clone(),
        name: part.name.clone(),
        material: part.material.clone(),
        places: part.places.iter().filter(|place| in_line(place.outline.bounds())).map(kept).collect(),
        remark: None,
        ..*part
    });
    let mut parts: Vec<Part> = parts.collect();
    let others = whole.pockets.iter().filter(|other| other.outline != pocket.outline);
    let filled = others.filter(|other| other.kind == PocketKind::OnBase && in_line(other.outline.bounds()));
    let filling: Vec<Place> = filled
        .map(|other| Place { outline: other.outline.clone(), z0: other.z0, z1: other.z1, voids: Vec::new() })
        .collect();
    if let (Some(part), false) = (parts.first().cloned(), filling.is_empty()) {
        parts.push(Part { role: Role::Web, places: filling, ..part });
    }
    parts
}

/// The number of pockets, and that all blanks of the job are counted.
fn count(case: &Case, gang: &Gang, checks: &mut Vec<Check>) {
    let pockets = case.design.pockets.len();
    let mut equal = |subject: &str, actual: usize, required: usize| {
        numbers(checks, Rule::GangCount, subject, actual as f64, Equal, required as f64, "");
    };
    equal("pockets as printed", gang.pockets, pockets);
    let blank = &case.request.blank;
    equal("blanks of the job", gang.blanks, usize::try_from(blank.pieces()).unwrap_or(usize::MAX));
    equal("outlines of the job", gang.kinds.len(), 1 + blank.others.len());
    let wanted = std::iter::once(blank.count).chain(blank.others.iter().map(|other| other.count));
    for (kind, (told, wanted)) in gang.kinds.iter().zip(wanted).enumerate() {
        let own = (0..pockets).filter(|place| gang.kind(*place) == kind).count();
        equal("pockets of an outline as printed", told.pockets, own);
        equal("blanks of an outline", told.blanks, usize::try_from(wanted).unwrap_or(usize::MAX));
        let held = (0..gang.loads()).map(|load| told.blanks.saturating_sub(load * own).min(own)).sum();
        equal("blanks of an outline in all loads", held, told.blanks);
    }
    numbers(checks, Rule::GangCount, "pockets", pockets as f64, AtLeast, 2.0, "");
    if gang.last_load() < pockets {
        // The rollers want something under them everywhere.
        let mut texts = case.design.steps.iter().map(|step| &step.text).chain(&case.design.warnings);
        let named = !case.heights_known() || texts.any(|text| text.contains("scrap as thick"));
        numbers(
            checks,
            Rule::RollerSupport,
            "scrap named for empty pockets",
            f64::from(u8::from(named)),
            AtLeast,
            1.0,
            "",
        );
    }
    let held = gang.loads().saturating_mul(pockets);
    numbers(checks, Rule::GangCount, "pockets in all loads", held as f64, AtLeast, gang.blanks as f64, "");
}

/// Distance between two outlines of pockets, reliefs or holes; negative where they overlap.
pub(super) fn apart(a: &Outline, b: &Outline) -> Length {
    let mm = |distance: f64| Length::from_mm(distance).unwrap_or_default();
    match (a, b) {
        (Outline::Disc { centre: p, diameter: d }, Outline::Disc { centre: q, diameter: e }) => {
            mm(libm::hypot((p.x - q.x).to_mm(), (p.y - q.y).to_mm())) - (*d + *e).half_up()
        }
        (Outline::Disc { centre, diameter }, other) | (other, Outline::Disc { centre, diameter }) => {
            let point = Rect::new(centre.x, centre.y, centre.x, centre.y);
            between(&point, &other.bounds()) - diameter.half_up()
        }
        (one, other) => between(&one.bounds(), &other.bounds()),
    }
}

fn between(a: &Rect, b: &Rect) -> Length {
    let (x, y) = ((a.x0 - b.x1).max(b.x0 - a.x1), (a.y0 - b.y1).max(b.y0 - a.y1));
    if x > Length::ZERO && y > Length::ZERO {
        return Length::from_mm(libm::hypot(x.to_mm(), y.to_mm())).unwrap_or_default();
    }
    x.max(y)
}

/// The least distance of two different ones, each against each.
fn least_apart<'o>(outlines: &[(usize, &'o Outline)], others: &[(usize, &'o Outline)]) -> Option<Length> {
    let pairs =
        outlines.iter().flat_map(|one| others.iter().filter(|other| other.0 != one.0).map(move |other| (one, other)));
    pairs.map(|(one, other)| apart(one.1, other.1)).min()
}

fn webs(case: &Case, checks: &mut Vec<Check>) {
    let pockets: Vec<(usize, &Outline)> =
        case.design.pockets.iter().map(|pocket| &pocket.outline).enumerate().collect();
    let Some(web) = least_apart(&pockets, &pockets) else { return };
    lengths(checks, Rule::Web, "between two pockets", web, AtLeast, WEB);
    let carve = &case.request.carve;
    if carve.through == Through::AllRound {
        lengths(checks, Rule::Web, "beside the cutter", web, AtLeast, carve.cutter + BESIDE_CUTTER);
        let overrun = carve.cutter + carve.overrun + BESIDE_OVERRUN;
        lengths(checks, Rule::Web, "beside the cutter's overrun", web, AtLeast, overrun);
    }
}

/// What the corner reliefs leave of the webs: each against the other pockets and their reliefs.
fn reliefs(case: &Case, checks: &mut Vec<Check>) {
    let pockets: Vec<(usize, &Outline)> =
        case.design.pockets.iter().map(|pocket| &pocket.outline).enumerate().collect();
    let owner = |relief: &Outline| {
        let meets = |pocket: &&(usize, &Outline)| apart(pocket.1, relief) < Length::ZERO;
        pockets.iter().find(meets).map(|(number, _)| *number)
    };
    let voids = case.solids.0.iter().flat_map(|solid| &solid.voids).filter(|void| void.kind == VoidKind::Relief);
    let reliefs: Vec<(usize, &Outline)> =
        voids.filter_map(|void| Some((owner(&void.outline)?, &void.outline))).collect();
    let left = least_apart(&reliefs, &pockets).into_iter().chain(least_apart(&reliefs, &reliefs)).min();
    if let Some(left) = left {
        lengths(checks, Rule::WebAfterRelief, "between two pockets", left, AtLeast, WEB_LEFT);
    }
}

/// Pockets of a row, and rows, at one distance, as printed.
fn pitch(case: &Case, gang: &Gang, checks: &mut Vec<Check>) {
    let Some(first) = case.design.pockets.first() else { return };
    let room = first.outline.bounds();
    // Boxes of arcs are rounded anew wherever they lie: the place of a pocket is the corner of the first
    // one's box, moved or turned with it.
    let place = |(place, pocket): (usize, &Pocket)| {
        let turned = gang.is_turned(place);
        let there = spacing::lay(&first.outline, &pocket.outline, turned).rect(room);
        Point::new(there.x0, there.y0)
    };
    let mut corners: Vec<Point> = case.design.pockets.iter().enumerate().map(place).collect();
    corners.sort_by_key(|corner| (corner.y, corner.x));
    let rows: Vec<&[Point]> = corners.chunk_by(|a, b| a.y == b.y).collect();
    let (mut along, mut across, mut set_off) = (Length::ZERO, Length::ZERO, Length::ZERO);
    let start = corners.first().copied().unwrap_or_default();
    for (number, row) in rows.iter().enumerate() {
        for (column, (a, b)) in row.iter().zip(row.iter().skip(1)).enumerate() {
            along = along.max((b.x - a.x - (gang.along(column + 1) - gang.along(column))).abs());
        }
        let Some(begin) = row.first() else { continue };
        across = across.max((begin.y - start.y - gang.pitch.y * number as i64).abs());
        let shift = if number % 2 == 1 { gang.shift } else { Length::ZERO };
        set_off = set_off.max((begin.x - start.x - shift).abs());
    }
    lengths(checks, Rule::EqualPitch, "along, off the pitch", along, Equal, Length::ZERO);
    lengths(checks, Rule::EqualPitch, "across, off the pitch", across, Equal, Length::ZERO);
    lengths(checks, Rule::EqualPitch, "rows, off their start", set_off, Equal, Length::ZERO);
    numbers(checks, Rule::EqualPitch, "rows", rows.len() as f64, Equal, gang.rows as f64, "");
}

/// Fed backwards every pocket takes the place of another within the play, or the corner is clipped.
fn backwards(case: &Case, checks: &mut Vec<Check>) {
    if case.design.clip_corner {
        return;
    }
    let plan = case.plan;
    let boxes: Vec<Rect> = case.design.pockets.iter().map(|pocket| pocket.outline.bounds()).collect();
    let off = |a: &Rect| {
        let turned = Rect::new(
            plan.x0 + plan.x1 - a.x1,
            plan.y0 + plan.y1 - a.y1,
            plan.x0 + plan.x1 - a.x0,
            plan.y0 + plan.y1 - a.y0,
        );
        let apart = |b: &Rect| ((turned.x0 - b.x0).abs(), (turned.y0 - b.y0).abs());
        boxes.iter().map(apart).min_by_key(|(x, y)| *x.max(y)).unwrap_or_default()
    };
    let (mut along, mut across) = (Length::ZERO, Length::ZERO);
    for (x, y) in boxes.iter().map(off) {
        (along, across) = (along.max(x), across.max(y));
    }
    let play = case.play();
    let usual = case.request.shop.clearance * 2;
    lengths(checks, Rule::FeedMarked, "pockets fed backwards, along", along, AtMost, play.0.max(usual));
    lengths(checks, Rule::FeedMarked, "pockets fed backwards, across", across, AtMost, play.1.max(usual));
}
