//! What the machine accepts: size, end allowances, overhang and mass.

use super::*;
use crate::design::PocketKind;
use Relation::{AtLeast, AtMost, Equal};

/// Longest carrier that needs no stands.
const STANDS_LENGTH: Length = Length::inches(36, 1);
/// Most the edges may be out of parallel.
const PARALLEL: Length = Length::inches(1, 32);
/// Longest overhang beyond the bed that needs no stands.
const STANDS_OVERHANG: Length = Length::inches(24, 1);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    limits(case, checks);
    thickness(case, checks);
    ends(case, checks);
    overhang(case, checks);
    mass(case, checks);
    if case.carried() {
        closure(case, checks);
    }
}

/// What is asked of every single pocket.
pub(super) fn check_pocket(case: &Case, checks: &mut Vec<Check>) {
    ends(case, checks);
    closure(case, checks);
}

/// Length and width against the machine, with the guard; sawn edges also against their own tolerance.
fn limits(case: &Case, checks: &mut Vec<Check>) {
    let machine = &case.request.machine;
    // A size is sawn at both of its edges.
    let stack = case.request.shop.tolerance * 2;
    let axes = [
        (
            Rule::LengthMin,
            Rule::LengthMax,
            "length",
            machine.length,
            machine.length_guard,
            case.along,
            case.plan.length(),
        ),
        (Rule::WidthMin, Rule::WidthMax, "width", machine.width, machine.width_guard, case.across, case.plan.width()),
    ];
    for (least, greatest, subject, limit, guard, axis, drawn) in axes {
        let own_edges = !case.carried() || axis.own || case.blank.y0 <= case.plan.y0 || case.blank.y1 >= case.plan.y1;
        if subject == "width" && own_edges {
            not_parallel(axis.measured, checks);
        }
        if !case.carried() || axis.own {
            lengths(checks, least, subject, axis.measured.low(), AtLeast, limit.min + guard);
            lengths(checks, greatest, subject, axis.measured.high(), AtMost, limit.max - guard);
            continue;
        }
        let guard = guard.max(stack);
        // A side that the blank itself ends is as uncertain as the blank.
        let open_sided = match subject {
            "length" => case.blank.x0 <= case.plan.x0 || case.blank.x1 >= case.plan.x1,
            _ => case.blank.y0 <= case.plan.y0 || case.blank.y1 >= case.plan.y1,
        };
        let nominal = axis.measured.nominal;
        let (less, more) = if open_sided {
            (nominal - axis.measured.low(), axis.measured.high() - nominal)
        } else {
            (Length::ZERO, Length::ZERO)
        };
        lengths(checks, least, subject, drawn - less, AtLeast, limit.min + guard);
        lengths(checks, greatest, subject, drawn + more, AtMost, limit.max - guard);
        let kept = (drawn - limit.min).min(limit.max - drawn);
        lengths(checks, Rule::StackUp, subject, kept, AtLeast, stack);
    }
}

/// The blank's own edges run along fence or far guide: what its readings differ by more than both
/// ends of a reading can be wrong is a want of parallelism.
fn not_parallel(measured: &Measured, checks: &mut Vec<Check>) {
    let error = (measured.high() - measured.largest) + (measured.smallest - measured.low());
    let surely = measured.largest - measured.smallest - error;
    if surely > Length::ZERO {
        lengths(checks, Rule::ParallelEdges, "blank's own edges", surely, AtMost, PARALLEL);
    }
}

fn thickness(case: &Case, checks: &mut Vec<Check>) {
    let machine = &case.request.machine;
    let (least, greatest) = match (&case.request.blank.thickness, case.carried()) {
        (Some(measured), false) => (measured.low(), measured.high()),
        (None, false) => return,
        (_, true) => (case.top - case.bed, case.top.max(case.highest_part) - case.bed),
    };
    let guarded = machine.thickness.max - machine.thickness_guard;
    lengths(checks, Rule::ThicknessMin, "thickness", least, AtLeast, machine.thickness.min);
    lengths(checks, Rule::ThicknessMax, "thickness", greatest, AtMost, guarded);
}

/// What margins at the lead and trail end are worth: stated, less what the cutter runs past the outline.
fn credits(case: &Case) -> (Length, Length) {
    let carve = &case.request.carve;
    // Knives and drums leave no margin standing.
    if !carve.stated || case.request.machine.kind != crate::library::MachineKind::Carver {
        return (Length::ZERO, Length::ZERO);
    }
    let past = carve.cutter.half_up() + carve.overrun;
    let credit = |margin: Length| (margin - past).or_zero();
    (credit(case.design.carve.x0 - case.blank.x0), credit(case.blank.x1 - case.design.carve.x1))
}

/// Both end allowances, for the worst carrier the tolerance allows and the largest blank.
fn ends(case: &Case, checks: &mut Vec<Check>) {
    let (machine, carve) = (&case.request.machine, &case.request.carve);
    let credit = credits(case);
    let cut_free = if carve.through == Through::AllRound { carve.cutter.half_up() } else { Length::ZERO };
    let required = machine.cutter_to_roller + machine.grip_least + cut_free;
    let wanted = machine.cutter_to_roller + machine.grip_wanted;
    let (worst, drawn) = if case.carried() && !case.along.own {
        let tolerance = case.request.shop.tolerance * 2;
        // Between cleats the blank lies off the lead wall, and by so much off its place.
        let strays =
            if case.cleated() { slanted::strays(case).map_or(Length::INCH, |(along, _)| along) } else { Length::ZERO };
        let datum = if case.cleated() { case.blank.x0 } else { case.room.x0.min(case.blank.x0) };
        let lead = datum - case.plan.x0;
        // The largest blank, pushed to the lead wall, reaches farthest towards the trail end.
        let reaches = datum + case.along.measured.high();
        let trail = case.plan.x1 - reaches.max(case.blank.x1);
        // Wedges stand within the trailing allowance: it is counted from the blank.
        let back = if case.wedged() { case.blank.x1 } else { case.room.x1.max(case.blank.x1) };
        ((lead - tolerance - strays, trail - tolerance - strays), (lead, case.plan.x1 - back))
    } else {
        ((Length::ZERO, Length::ZERO), (Length::ZERO, Length::ZERO))
    };
    lengths(checks, Rule::LeadEndAllowance, "lead end", worst.0 + credit.0, AtLeast, required);
    lengths(checks, Rule::TrailEndAllowance, "trail end", worst.1 + credit.1, AtLeast, required);
    lengths(checks, Rule::GripWanted, "lead end", drawn.0 + credit.0, AtLeast, wanted);
    lengths(checks, Rule::GripWanted, "trail end", drawn.1 + credit.1, AtLeast, wanted);
}

fn overhang(case: &Case, checks: &mut Vec<Check>) {
    let length = case.plan.length();
    // The cutter stands over the middle of the bed: with an end under it, half the bed carries.
    if length <= STANDS_LENGTH && length - case.request.machine.bed_length.half() <= STANDS_OVERHANG {
        return;
    }
    let steps = case.design.steps.iter().flat_map(|step| std::iter::once(&step.text).chain(&step.caution));
    let named = steps.chain(&case.design.warnings).any(|text| text.to_lowercase().contains("stands"));
    numbers(checks, Rule::Overhang, "stands named", f64::from(u8::from(named)), AtLeast, 1.0, "");
}

fn mass(case: &Case, checks: &mut Vec<Check>) {
    const CUBIC_MM_PER_CUBIC_M: f64 = 1e9;
    let all = Solids::of(&case.design.parts);
    let solids = all.0.iter();
    let is_shim = |part: &&crate::design::Part| matches!(part.role, Role::Shim | Role::WedgeShim);
    let body = || case.design.parts.iter().filter(|part| !is_shim(part));
    let densities = body().flat_map(|part| part.places.iter().map(|_| part.density));
    let parts: f64 = solids.zip(densities).map(|(solid, density)| Solids::volume_mm3(solid) * density).sum();
    let blank = &case.design.blank;
    let shims = case.design.parts.iter().filter(is_shim);
    // Half of what slopes is wood.
    let tall = |shim: &crate::design::Place| {
        let slope: Length = shim.voids.iter().filter(|void| void.kind.is_slope()).map(|void| void.z1 - void.z0).sum();
        (shim.z1 - shim.z0 - slope.half()).to_mm()
    };
    let shims: f64 = shims
        .flat_map(|part| part.places.iter().map(|shim| (part.density, shim)))
        .map(|(density, shim)| shim.outline.area_mm2() * tall(shim) * density)
        .sum();
    let rise = blank.underside.as_ref().map_or(Length::ZERO, |underside| match case.request.blank.slope {
        // Under a level top the blank is as thick in the mean as half way up its shims.
        Some(_) => (underside.least() + underside.greatest()).half(),
        None => underside.greatest(),
    });
    // A gang is weighed with a blank in every pocket.
    let area = || case.design.blank_outlines().iter().map(Outline::area_mm2).sum::<f64>();
    let upright = || area() * (blank.z1 - blank.z0 - rise).to_mm();
    let blank = cradle::blank_mm3(case).unwrap_or_else(upright) * case.request.shop.estimates.blank_density;
    let mass = (parts + shims + blank) / CUBIC_MM_PER_CUBIC_M;
    numbers(checks, Rule::Mass, "carrier and blank", mass, AtMost, case.request.shop.estimates.one_person_kg, "kg");
    // Round outlines are summed in strips and reliefs may be left out of a printed mass: 2 %.
    let slip = (case.design.mass_kg - mass).abs();
    numbers(checks, Rule::Mass, "mass as printed", slip, AtMost, (0.02 * mass).max(0.05), "kg");
}

/// The solids add up to the sizes printed, and the blank lies at its datum corner.
fn closure(case: &Case, checks: &mut Vec<Check>) {
    let (design, walls) = (case.design, case.walls);
    let mut equal = |subject: &str, actual, required| lengths(checks, Rule::Closure, subject, actual, Equal, required);
    equal("length over the parts", case.plan.length(), design.carrier.length);
    equal("width over the parts", case.plan.width(), design.carrier.width);
    equal(
        "bed face, lead end and fence edge at zero",
        case.bed.abs() + case.plan.x0.abs() + case.plan.y0.abs(),
        Length::ZERO,
    );
    if case.heights_known() {
        equal("thickness over the parts", case.top - case.bed, design.carrier.thickness);
    }
    pocket_heights(case, checks);
    let mut equal = |subject: &str, actual, required| lengths(checks, Rule::Closure, subject, actual, Equal, required);
    // A polygon's ends are sections at a slant: its walls are not constant, and the sums are
    // closed by the interference check instead.
    if matches!(design.blank.outline, Outline::Polygon(_) | Outline::Path(_)) && !case.wedged() {
        return;
    }
    let round = case.pocket.is_some_and(|pocket| matches!(pocket.outline, Outline::Disc { .. }));
    equal("along", walls.lead + case.room.length() + walls.trail, design.carrier.length);
    equal("across", walls.fence + case.room.width() + walls.far, design.carrier.width);
    // A round cannot touch a lead and a fence wall of a round pocket at once.
    if case.request.blank.round().is_some() {
        equal("blank against the lead wall", case.blank.x0, case.plan.x0 + walls.lead);
    } else if case.cleated() {
        if design.contacts.iter().any(|contact| contact.part == Role::FenceRail) {
            equal("blank against the fence wall", case.blank.y0, case.plan.y0 + walls.fence);
        }
    } else if !round {
        equal("blank against the lead wall", case.blank.x0, case.plan.x0 + walls.lead);
        equal("blank against the fence wall", case.blank.y0, case.plan.y0 + walls.fence);
    }
}

/// The pocket as printed is as deep as the one in the solids.
fn pocket_heights(case: &Case, checks: &mut Vec<Check>) {
    let Some(pocket) = case.pocket.filter(|_| case.heights_known()) else { return };
    let floor = match (pocket.kind, case.floor) {
        (PocketKind::Open, None) => case.bed,
        (_, Some(floor)) => floor.level,
        // A pocket said to have a floor, and there is none.
        (PocketKind::Blind | PocketKind::OnBase, None) => case.bed - Length::INCH,
    };
    // Packing raises the blank above the pocket's own floor.
    if !case.solids.0.iter().any(|solid| solid.role == Role::Packing) {
        lengths(checks, Rule::Closure, "pocket floor", pocket.z0, Equal, floor);
    }
    lengths(checks, Rule::Closure, "pocket top", pocket.z1, Equal, case.top);
}
