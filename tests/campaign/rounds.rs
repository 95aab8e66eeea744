//! Random rods, half-rounds and spindles: the same machines, shops and stocks as other random jobs.

use sledwright::design::{Design, Role, VoidKind};
use sledwright::geometry::Outline;
use sledwright::length::{Length, Measured};
use sledwright::library::MachineKind;
use sledwright::plan::check;
use sledwright::request::{Hold, Level, Request, Round, RoundKind, Seat, Shape, Stock, Through, Tool};
use sledwright::solve::solve;

use crate::jobs::{self, inch};
use crate::random::Random;

/// How many jobs are tried.
const JOBS: u64 = 1500;
const ZERO: Length = Length::ZERO;

/// The round job with this number.
pub fn job(number: u64) -> Request {
    let mut request = jobs::job(number);
    let mut random = Random::new(0x70d5_0000_0000 + number);
    let random = &mut random;
    let unit = request.units;
    let sure = random.pick(&[inch(1, 1000), inch(5, 1000), inch(5, 1000), inch(1, 100), inch(1, 64), inch(1, 32)]);
    let step = if random.chance(50) { inch(1, 32) } else { Length::micrometres(100) };
    let long = random.size(inch(3, 1), inch(40, 1), inch(1, 16));
    let thick = random.size(inch(1, 4), inch(7, 2), step);
    let blank = &mut request.blank;
    blank.length = Measured::exact(long, inch(1, 32), unit);
    blank.width = Measured::exact(thick, sure, unit);
    let mut height = thick;
    let kind = match random.whole(0, 5) {
        0 | 1 => RoundKind::Rod,
        2 | 3 => {
            // From half a round down to a shallow one.
            height = random.size(thick.half().half(), thick.half(), Length::micrometres(100));
            if random.chance(50) { RoundKind::RoundUp } else { RoundKind::FlatUp }
        }
        _ => {
            let least = (thick - Length::from_ticks(long.ticks() / 10)).max(thick.half().half());
            let small = random.size(least, thick - step, step).min(thick - step);
            let level = if random.chance(50) { Level::Axis } else { Level::Crown };
            RoundKind::Spindle { small: Measured::exact(small, sure, unit), thick_leads: random.chance(50), level }
        }
    };
    blank.thickness = Some(Measured::exact(height, sure, unit));
    let seat = random.chance(20).then(|| if random.chance(50) { Seat::Vee } else { Seat::Saddle });
    let v_degrees = random.pick(&[90, 90, 90, 80, 60]);
    blank.shape = Shape::Round(Round { kind, v_degrees, seat });
    blank.turn_free = false;
    (blank.corner_radius, blank.relief_height, blank.fragile) = (ZERO, ZERO, false);
    let carve = &mut request.carve;
    carve.through = if random.chance(5) { Through::Inside } else { Through::No };
    (carve.length, carve.width) = (long, thick);
    (carve.margin_lead, carve.margin_trail, carve.margin_fence, carve.margin_far) = (ZERO, ZERO, ZERO, ZERO);
    carve.stated = request.machine.kind == MachineKind::Carver && random.chance(85);
    if carve.stated {
        let margin = |random: &mut Random, size: Length| random.size(ZERO, size.half().half(), inch(1, 64));
        (carve.margin_lead, carve.margin_trail) = (margin(random, long), margin(random, long));
        (carve.margin_fence, carve.margin_far) = (margin(random, thick), margin(random, thick));
        carve.length = long - carve.margin_lead - carve.margin_trail;
        carve.width = thick - carve.margin_fence - carve.margin_far;
    }
    carve.depth = carve.depth.min(height);
    request.hold = random.chance(30).then(|| random.pick(&[Hold::Tape, Hold::HotGlue, Hold::HotGlue, Hold::Wedge]));
    request.hold_thickness = None;
    request.construction = random.chance(10).then(|| random.pick(&["cradle", "cradle", "rails-on-base"]).to_owned());
    request
}

#[test]
fn every_cradle_passes_verification() {
    let (mut faults, mut designs) = (crate::Faults::default(), 0);
    let mut kinds: std::collections::BTreeMap<String, usize> = std::collections::BTreeMap::new();
    for number in 0..JOBS {
        let request = job(number);
        for design in &mut solve(&request).designs {
            designs += 1;
            let kind = design.variant.split([',', ' ']).next().unwrap_or_default().to_owned();
            *kinds.entry(kind).or_default() += 1;
            for broken in check(&request, design) {
                let kind = format!("{} {} {:?}", broken.rule.id(), broken.subject, broken.status);
                faults.note(kind, || format!("round job {number} ({}): {broken:?}", design.variant));
            }
        }
    }
    assert!(faults.0.is_empty(), "{designs} designs, faults:\n{}", faults.told());
    assert!(designs > 300 && kinds.len() >= 3, "{designs} designs of {kinds:?}: too few to prove much");
}

#[test]
fn nothing_but_a_cradle_takes_a_round() {
    for number in 0..JOBS {
        let request = job(number);
        for design in &solve(&request).designs {
            assert_eq!(design.construction, "cradle", "round job {number}");
        }
    }
}

/// Corners of the cut face of a strip: from the fence edge and up, mm.
fn face(place: &sledwright::design::Place) -> Vec<(f64, f64)> {
    let strip = place.outline.bounds();
    let (y0, y1, z0, z1) = (strip.y0.to_mm(), strip.y1.to_mm(), place.z0.to_mm(), place.z1.to_mm());
    let (mut left, mut right) = (y0, y1);
    for void in place.voids.iter().filter(|void| void.kind == VoidKind::Bevel) {
        let cut = void.outline.bounds();
        if cut.y1 == strip.y1 { right = cut.y0.to_mm() } else { left = cut.y1.to_mm() }
    }
    vec![(y0, z0), (y1, z0), (right, z1), (left, z1)]
}

/// How deep a point lies inside a convex ring, counter-clockwise, mm; negative outside.
fn depth_in(ring: &[(f64, f64)], (y, z): (f64, f64)) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let sides = ring.iter().zip(next).filter(|(a, b)| a != b).map(|(a, b)| {
        let (dy, dz) = (b.0 - a.0, b.1 - a.1);
        (dy * (z - a.1) - dz * (y - a.0)) / libm::hypot(dy, dz)
    });
    sides.fold(f64::INFINITY, f64::min)
}

/// Where a round of this radius and centre enters the strips that stand at `x`: deepest on the fence side
/// and on the far side.
fn enters(design: &Design, x: Length, centre: (f64, f64), radius: f64) -> (f64, f64) {
    const POINTS: u32 = 14400;
    let strips = design.parts.iter().filter(|part| part.role == Role::CradleStrip).flat_map(|part| &part.places);
    let here: Vec<_> =
        strips.filter(|place| (place.outline.bounds().x0..=place.outline.bounds().x1).contains(&x)).map(face).collect();
    let (mut fence, mut far) = (f64::NEG_INFINITY, f64::NEG_INFINITY);
    for step in 0..POINTS {
        let turn = std::f64::consts::TAU * f64::from(step) / f64::from(POINTS);
        let at = (centre.0 + radius * libm::cos(turn), centre.1 + radius * libm::sin(turn));
        for ring in &here {
            let deep = depth_in(ring, at);
            if at.0 < centre.0 { fence = fence.max(deep) } else { far = far.max(deep) }
        }
    }
    (fence, far)
}

/// A round drawn in its cradle enters no strip, and would as soon as it is lowered: points on its
/// circle against the strips' cut faces.
#[test]
fn every_round_rests_on_both_its_strips() {
    // Points lie 0.05 mm apart on the largest round: what lies between two is less than a micrometre out.
    const SLACK: f64 = 0.002;
    const LOWER: f64 = 0.02;
    let mut looked = 0;
    for number in 0..JOBS / 3 {
        let request = job(number);
        let Some(round) = request.blank.round() else { panic!("round job {number} is not round") };
        for design in solve(&request).designs.iter().filter(|_| round.kind != RoundKind::RoundUp) {
            let bounds = design.blank.outline.bounds();
            let middle = (bounds.y0 + bounds.y1).to_mm() / 2.0;
            let (w, h) = (request.blank.width.nominal.to_mm(), design.blank.z1.to_mm() - design.blank.z0.to_mm());
            let touch: Vec<(Length, f64, f64)> = match &round.kind {
                RoundKind::Rod => vec![(bounds.centre().x, w / 2.0, design.blank.z1.to_mm() - w / 2.0)],
                // The chord theorem: (w/2)^2 = h (2 R - h).
                RoundKind::FlatUp => {
                    let radius = (w * w / 4.0 / h + h) / 2.0;
                    vec![(bounds.centre().x, radius, design.blank.z0.to_mm() + radius)]
                }
                RoundKind::Spindle { small, thick_leads, level } => {
                    // Only the crown of the axis-level spindle is drawn at both ends' height.
                    let strips = design.parts.iter().filter(|part| part.role == Role::CradleStrip);
                    let mut ends: Vec<_> = strips.flat_map(|part| &part.places).map(|p| p.outline.bounds()).collect();
                    ends.sort_by_key(|rect| rect.x0);
                    let x = if *thick_leads { ends[0].x0 } else { ends[ends.len() - 1].x1 };
                    let share = (x - bounds.x0).to_mm() / bounds.length().to_mm();
                    let share = if *thick_leads { share } else { 1.0 - share };
                    let radius = (w + (small.nominal.to_mm() - w) * share) / 2.0;
                    let centre = match level {
                        Level::Axis => design.blank.z1.to_mm() - w / 2.0,
                        Level::Crown => design.blank.z1.to_mm() - radius,
                    };
                    vec![(x, radius, centre)]
                }
                RoundKind::RoundUp => Vec::new(),
            };
            // A spindle lies level only to 1/64 in (0.4 mm).
            let out = if round.small().is_some() { 0.4 } else { 0.0 };
            for (x, radius, centre) in touch {
                looked += 1;
                let drawn = enters(design, x, (middle, centre), radius);
                let lower = enters(design, x, (middle, centre - LOWER - out), radius);
                assert!(drawn.0 < SLACK + out && drawn.1 < SLACK + out, "round job {number} enters {drawn:?} mm");
                assert!(lower.0 > SLACK && lower.1 > SLACK, "round job {number} hangs: {lower:?} mm");
                let plan = Outline::Rect(bounds);
                assert!(plan.bounds().y0 > design.pockets[0].outline.bounds().y0, "round job {number} meets the rail");
            }
        }
    }
    assert!(looked > 60, "only {looked} rounds looked at");
}

fn sheets(request: &Request) -> impl Iterator<Item = &Stock> {
    request.stock.iter().filter(|stock| stock.kind.is_sheet() && !stock.on_hand() && stock.length.is_none())
}

/// A carrier for a rod or a half-round on a coarse ruler, every inequality written out again, asking for
/// more than anybody would where the trade leaves room; in words.
fn possible(request: &Request) -> Option<String> {
    let (machine, shop, blank, carve) = (&request.machine, &request.shop, &request.blank, &request.carve);
    let round = blank.round()?;
    let glue = request.hold.is_none_or(|hold| hold == Hold::HotGlue);
    let insisted = request.construction.as_deref().is_none_or(|wanted| wanted == "cradle");
    let tools = [Tool::TableSaw, Tool::BandSaw, Tool::MitreSaw, Tool::Planer];
    let carver = machine.kind == MachineKind::Carver;
    let owned = tools.iter().all(|tool| shop.tools.contains(tool));
    let own_board = !request.board.on_hand() && request.board.length.is_none();
    if !glue || !insisted || !owned || !carver || !own_board || carve.through != Through::No {
        return None;
    }
    let coarse = crate::coarse(request);
    let mm = Length::to_mm;
    let clearance = shop.clearance.max(shop.tolerance) * 2;
    // Along.
    let pocket = (blank.length.high() + blank.growth_length + clearance).up(coarse);
    let two = shop.tolerance * 2;
    let guard = machine.length_guard.max(two);
    let wanted = machine.cutter_to_roller + machine.grip_wanted.max(machine.grip_least) + two + coarse;
    let short = (machine.length.min + guard - pocket).or_zero().half();
    let end = wanted.max(short).max(inch(3, 4)).up(coarse);
    let length = pocket + end * 2;
    if length > machine.length.max - guard || length < inch(18, 1) || length > inch(90, 1) {
        return None;
    }
    // The round: width and height at the ends of their readings.
    let thickness = blank.thickness.as_ref()?;
    let growth = mm(blank.growth_width) / mm(blank.width.nominal);
    let sizes = |measured: &Measured| [mm(measured.low()), mm(measured.high()) + mm(measured.nominal) * growth];
    let whole = round.kind == RoundKind::Rod;
    let bodies: Vec<(f64, f64)> = sizes(&blank.width)
        .into_iter()
        .flat_map(|w| sizes(thickness).map(|h| if whole { (w, w) } else { (w, h) }))
        .collect();
    let radius = |(w, h): (f64, f64)| if whole { w / 2.0 } else { (w * w / (4.0 * h) + h) / 2.0 };
    let largest = bodies.iter().map(|b| radius(*b)).fold(0.0, f64::max);
    let smallest = bodies.iter().map(|b| radius(*b)).fold(f64::INFINITY, f64::min);
    let lowest = bodies.iter().map(|b| b.1).fold(f64::INFINITY, f64::min);
    let room = blank.width.high() + blank.growth_width + clearance;
    let up = |value: f64| Length::from_mm(value).unwrap_or(inch(1000, 1)).up(coarse);
    // Pocket width, height of the strips, and height of the centre for a radius.
    type Centre = Box<dyn Fn(f64) -> f64>;
    let mut ways: Vec<(&str, Length, Length, Centre)> = Vec::new();
    let tangent = libm::tan(f64::from(round.v_degrees).to_radians() / 2.0);
    let slope = (1.0 + tangent * tangent).sqrt();
    // In a V of half-angle a: 1/sin a = slope/tangent, and cos^2 a / sin a = 1/(slope tangent).
    let contact = largest / (slope * tangent);
    let under = largest * slope / tangent - contact - largest;
    let least = shop.planer_thinnest.max(inch(1, 4));
    match round.kind {
        RoundKind::Spindle { .. } => return None,
        RoundKind::RoundUp => {
            ways.push(("flat", room.up(coarse), ZERO, Box::new(|_| 0.0)));
        }
        RoundKind::Rod | RoundKind::FlatUp => {
            if round.seat != Some(Seat::Saddle) && under.abs() + largest - largest.min(mm(inch(1, 16))) >= 0.0 {
                let strip = (up(contact) + inch(1, 8) + coarse).max(least);
                let on_round = contact + mm(inch(1, 16)) + mm(coarse);
                let top = largest * slope / tangent + if whole { largest } else { lowest - largest };
                let slant = mm(strip) * slope;
                if on_round < top && slant < mm(shop.saw_height) - mm(coarse) {
                    let width = (up(mm(strip) * tangent) + inch(1, 2)).max(inch(3, 2)).max(room.half_up()).up(coarse);
                    let (slope, tangent) = (slope, tangent);
                    ways.push(("V", width * 2, strip, Box::new(move |r| r * slope / tangent)));
                }
            }
            if round.seat != Some(Seat::Vee) {
                let gap = Length::from_ticks(blank.width.nominal.ticks() / 10 * 6).down(request.step());
                let half = mm(gap) / 2.0;
                let sinks = smallest - (smallest * smallest - half * half).max(0.0).sqrt();
                if gap > ZERO && half < smallest && sinks + 3.0 < lowest {
                    let strip = (up(sinks) + inch(1, 16)).max(least).up(coarse);
                    let width = (room - gap).half_up().max(inch(3, 4)).up(coarse);
                    let high = mm(strip);
                    let centre = move |r: f64| high + (r * r - half * half).max(0.0).sqrt();
                    ways.push(("saddle", width * 2 + gap, strip, Box::new(centre)));
                }
            }
        }
    }
    for (what, across, strip, centre) in ways {
        let flat = what == "flat";
        let top = |b: (f64, f64)| {
            let r = radius(b);
            if flat { b.1 } else { centre(r) + if whole { r } else { b.1 - r } }
        };
        let low = bodies.iter().map(|b| top(*b)).fold(f64::INFINITY, f64::min);
        let high = bodies.iter().map(|b| top(*b)).fold(0.0, f64::max);
        let step = request.depth_step();
        let (Some(low), Some(high)) = (Length::from_mm(low), Length::from_mm(high)) else { continue };
        // As the solver must: never proud by more than 1/32 in, nor sunk.
        let rails = low.down(step);
        if high - rails > inch(1, 32) || strip + inch(1, 8) > rails {
            continue;
        }
        let boards = request.board.thickness * 3;
        if rails + inch(1, 4) > boards || rails < least || rails + inch(1, 8) > shop.mitre_height.max(inch(100, 1)) {
            continue;
        }
        let guard_w = machine.width_guard.max(two);
        let most = machine.width.max - guard_w;
        let rail = ((machine.width.min + guard_w + machine.strip + two - across).or_zero().half() + inch(1, 16))
            .max(inch(3, 4));
        let aside = (across - blank.width.nominal).half();
        let (reach, near) = (carve.cutter.half_up() + carve.overrun, carve.margin_fence + aside);
        let rail = rail.max(machine.window.min + reach - near).up(coarse);
        let width = across + rail * 2;
        let far = rail + aside + blank.width.nominal - carve.margin_far + reach;
        if width > most || far > machine.window.max || across + inch(1, 1) > shop.planer_widest || width > length {
            continue;
        }
        let half = mm(blank.width.nominal) / 2.0;
        let side = (half - mm(carve.margin_fence)).max(half - mm(carve.margin_far)) + mm(carve.overrun);
        let falls = |b: (f64, f64)| {
            let r = radius(b);
            let limit = if whole { r } else { b.1 };
            if side < r { (r - (r * r - side * side).sqrt()).min(limit) } else { limit }
        };
        let worst =
            if round.kind == RoundKind::FlatUp { 0.0 } else { bodies.iter().map(|b| falls(*b)).fold(0.0, f64::max) };
        let deep = mm(carve.depth) + worst + 0.01;
        if deep > mm(machine.depth) || deep > mm(machine.stick_out - inch(1, 16)) {
            continue;
        }
        for base in sheets(request).filter(|base| base.total() >= inch(1, 4)) {
            let thick = base.total() + rails;
            if thick >= machine.thickness.min && thick <= machine.thickness.max - machine.thickness_guard {
                return Some(format!("{what} on {}: {length:?} x {width:?} x {thick:?}", base.name));
            }
        }
    }
    None
}

#[test]
fn every_refusal_of_a_round_is_confirmed() {
    let (mut refused, mut confirmed_possible, mut wrong) = (0, 0, Vec::new());
    for number in 0..JOBS {
        let request = job(number);
        let outcome = solve(&request);
        let found = possible(&request);
        confirmed_possible += usize::from(found.is_some() && !outcome.designs.is_empty());
        if !outcome.designs.is_empty() {
            continue;
        }
        refused += 1;
        if let Some(found) = found {
            let claimed = outcome.rejected.iter().filter(|rejected| rejected.construction == "cradle");
            let claimed: Vec<_> = claimed.map(|rejected| &rejected.conflict).collect();
            wrong.push(format!("round job {number} was refused ({claimed:?}), but: {found}"));
        }
    }
    assert!(wrong.is_empty(), "{} wrongly refused:\n{}", wrong.len(), wrong.join("\n"));
    assert!(refused > 100 && confirmed_possible > 60, "{refused} refused, {confirmed_possible} found by both");
}
