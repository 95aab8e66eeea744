//! Whether the carrier gives under rollers and cutter, and whether it tips off the bed.
//!
//! The floor is a plate, its sag summed from Navier's double series (Timoshenko and Woinowsky-Krieger,
//! Theory of Plates and Shells, ch. 5). The carrier is a beam held in at the cutter, two cantilevers whose
//! deflections are found by the unit-load method, `integral of M m / EI` summed over short pieces; what the
//! supports push is what brings each either to its height or clear of it.

use super::*;
use crate::design::VoidKind;
use Relation::{AtLeast, AtMost};
use solid::{Strip, minus, spans_at, strips};

const NEWTONS_PER_LBF: f64 = 0.453_592_37 * 9.806_65;
const FREE_FALL: f64 = 9.806_65;
const POISSON: f64 = 0.3;
/// Odd terms of the series each way.
const TERMS: i32 = 25;
/// Places of the cutter that are looked at, and pieces each cantilever is summed over.
const PLACES: i32 = 5;
const PIECES: i32 = 120;
/// Most places that carry at a time: bed, its opening, and stands on both sides.
const MOST_RESTS: usize = 10;
/// How many times over a carrier is to be held down where it could tip.
const HELD_DOWN: f64 = 1.5;
/// A place without wood is taken as this stiff, N mm2.
const NO_WOOD: f64 = 1.0;
/// What a carrier gives that tips, mm.
const FALLS: f64 = 1000.0;
/// Heights and forces that count as none, mm and N: far more than is lost in the elimination, a tenth of a
/// thousandth of what anybody measures.
const SLIP: f64 = 1e-4;

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    if !case.heights_known() {
        return;
    }
    let most = case.request.shop.estimates.loads.most_give.to_mm();
    if let Some(sag) = floor_sag(case) {
        numbers(checks, Rule::FloorStiff, "floor gives (estimate)", sag, AtMost, most, "mm");
    }
    let beam = Beam::of(case);
    let (give, held) = beam.worst(case);
    // What does not lie at all gives more than anybody measures.
    let give = give.min(FALLS);
    numbers(checks, Rule::CarrierStiff, "carrier gives (estimate)", give, AtMost, most, "mm");
    if held.is_finite() {
        numbers(checks, Rule::Tipping, "held down on the bed (estimate)", held, AtLeast, HELD_DOWN, "times");
    }
}

fn cubed(number: f64) -> f64 {
    number * number * number
}

fn rigidity(elasticity: f64, thickness: f64) -> f64 {
    elasticity * cubed(thickness) / 12.0 / (1.0 - POISSON * POISSON)
}

/// Sag of the floor under the cutter, mm; `None` where nothing is open under it, or there is no floor.
fn floor_sag(case: &Case) -> Option<f64> {
    let floor = case.floor?;
    let (request, machine) = (case.request, &case.request.machine);
    if machine.bed_gap <= Length::ZERO {
        return None;
    }
    let under = case.room.centre();
    let lowest = case.design.parts.iter().find(|part| {
        let here = |place: &crate::design::Place| place.z0 <= case.bed && solid::inside(&place.outline, under);
        part.places.iter().any(here)
    });
    let elasticity = lowest.map_or(0.0, |part| material(request, &part.material));
    let loads = &request.shop.estimates.loads;
    let mut stiffness = rigidity(elasticity, floor.thickness.to_mm());
    let blank = &case.design.blank;
    let flat = blank.underside.is_none() && request.blank.round().is_none() && request.blank.second_side.is_none();
    if flat && !case.through() {
        let left = (blank.z1 - blank.z0 - request.carve.depth).or_zero();
        // The mean in proportion of its moduli along and across the grain.
        let both = (loads.blank_elasticity * loads.blank_along(true)).sqrt();
        stiffness += rigidity(both, left.to_mm());
    }
    let force = loads.plunge_force_lbf * NEWTONS_PER_LBF;
    let sides = (machine.bed_gap.min(case.room.length()).to_mm(), case.room.width().to_mm());
    Some(navier(force, sides) / stiffness)
}

/// Sag in the middle of a plate on four simple supports, times its rigidity:
/// `4 F / (pi^4 a b) sum 1 / ((m/a)^2 + (n/b)^2)^2` over odd m and n.
fn navier(force: f64, (a, b): (f64, f64)) -> f64 {
    let odd = || (0..TERMS).map(|term| f64::from(2 * term + 1));
    let waves = odd().flat_map(|m| odd().map(move |n| (m / a) * (m / a) + (n / b) * (n / b)));
    let sum: f64 = waves.map(|wave| 1.0 / (wave * wave)).sum();
    let squared = std::f64::consts::PI * std::f64::consts::PI;
    4.0 * force / (squared * squared * a * b) * sum
}

/// Modulus of elasticity of a material of the job, N/mm2.
fn material(request: &Request, name: &str) -> f64 {
    let known = request.stock.iter().chain([&request.board]).find(|stock| stock.name == name);
    known.map_or(0.0, |stock| stock.elasticity)
}

/// Whether a part is built in and takes up bending.
fn built_in(role: Role) -> bool {
    !matches!(
        role,
        Role::CornerBlock
            | Role::Packing
            | Role::Shim
            | Role::WedgeShim
            | Role::CradleStrip
            | Role::CradleRiser
            | Role::FarWedge
            | Role::TrailWedge
            | Role::Cleat
            | Role::BackingCleat
            | Role::CleatWedge
            | Role::Keeper
    )
}

/// The carrier cut across: between two places, what it is worth in bending and what it weighs.
struct Beam {
    /// From, to, N mm2, N per mm.
    cuts: Vec<(f64, f64, f64, f64)>,
}

/// A force at a place, N, downwards.
type Load = (f64, f64);

impl Beam {
    fn of(case: &Case) -> Beam {
        let (design, request) = (case.design, case.request);
        let blanks: Vec<Outline> = design.blank_outlines().iter().map(solid::in_chords).collect();
        let solids = Solids::of(&design.parts);
        // Shims are no part of the solids.
        let body = design.parts.iter().filter(|part| !matches!(part.role, Role::Shim | Role::WedgeShim));
        let parts = body.flat_map(|part| part.places.iter().map(move |_| part));
        let wood: Vec<_> = solids.0.iter().zip(parts).filter(|(solid, _)| built_in(solid.role)).collect();
        let outlines = wood.iter().flat_map(|(solid, _)| {
            let voids = solid.voids.iter().filter(|void| void.kind != VoidKind::Relief).map(|void| &void.outline);
            std::iter::once(&solid.outline).chain(voids)
        });
        let named = |joint: &crate::design::Joint| joint.between.0 == "blank" || joint.between.1 == "blank";
        let stuck = design.joints.iter().any(named) || design.hold.bonds_underside();
        let flat = design.blank.underside.is_none() && request.blank.round().is_none();
        let tall = (design.blank.z1 - design.blank.z0).to_mm();
        let left = if case.through() { 0.0 } else { (tall - request.carve.depth.to_mm()).max(0.0) };
        let estimates = &request.shop.estimates;
        let strips = strips(outlines.chain(&blanks), case.plan.x0, case.plan.x1);
        let cuts = strips.iter().map(|strip: &Strip| {
            let x = strip.middle();
            // Width, middle, height and modulus of every slab met.
            let mut slabs: Vec<(f64, f64, f64, f64)> = Vec::new();
            let mut weight = 0.0;
            for (solid, part) in &wood {
                let own = spans_at(&solid.outline, x);
                if own.is_empty() {
                    continue;
                }
                let mut heights = vec![solid.z0, solid.z1];
                heights.extend(solid.voids.iter().flat_map(|void| [void.z0, void.z1]));
                heights.retain(|z| (solid.z0..=solid.z1).contains(z));
                heights.sort_unstable();
                heights.dedup();
                for (low, high) in heights.iter().zip(heights.iter().skip(1)) {
                    let open = solid.voids_at(x).filter(|void| void.z0 <= *low && void.z1 >= *high);
                    let spans = minus(own.clone(), open.flat_map(|void| spans_at(&void.outline, x)).collect());
                    let width: f64 = spans.iter().map(|span| (span.1 - span.0).to_mm()).sum();
                    let (height, middle) = ((*high - *low).to_mm(), (*low + *high).to_mm() / 2.0);
                    weight += width * height * part.density * 1e-9 * FREE_FALL;
                    slabs.push((width, middle, height, material(request, &part.material)));
                }
            }
            let spans = blanks.iter().flat_map(|blank| spans_at(blank, x));
            let across: f64 = spans.map(|span| (span.1 - span.0).to_mm()).sum();
            weight += across * tall * estimates.blank_density * 1e-9 * FREE_FALL;
            let mut stiffness = about_own_axis(&slabs).max(NO_WOOD);
            if stuck && flat {
                stiffness += estimates.loads.blank_along(design.turned) * across * cubed(left) / 12.0;
            }
            (strip.from.to_mm(), strip.to.to_mm(), stiffness, weight)
        });
        Beam { cuts: cuts.collect() }
    }

    fn end(&self) -> f64 {
        self.cuts.last().map_or(0.0, |cut| cut.1)
    }

    /// Bending stiffness and weight at a place.
    fn at(&self, x: f64) -> (f64, f64) {
        let place = self.cuts.partition_point(|cut| cut.1 < x);
        self.cuts.get(place).or(self.cuts.last()).map_or((NO_WOOD, 0.0), |cut| (cut.2, cut.3))
    }

    /// Most it gives at the cutter, and least times over it is held down.
    fn worst(&self, case: &Case) -> (f64, f64) {
        let (request, end) = (case.request, self.end());
        let estimates = &request.shop.estimates;
        let force = |lbf: f64| lbf * NEWTONS_PER_LBF;
        let reach = request.machine.cutter_to_roller.to_mm();
        let (from, to) = (case.design.swept.x0.to_mm().max(0.0), case.design.swept.x1.to_mm().min(end));
        let (mut give, mut held) = (0.0_f64, f64::INFINITY);
        for place in 0..=PLACES {
            let cutter = from + (to - from) * f64::from(place) / f64::from(PLACES);
            let mut rests = rests(case, cutter);
            rests.retain(|x| (0.0..=end).contains(x));
            let pressed = [cutter - reach, cutter + reach].into_iter().filter(|x| (0.0..=end).contains(x));
            let rollers: Vec<Load> = pressed.map(|x| (x, force(estimates.loads.roller_force_lbf))).collect();
            for tool in [force(estimates.loads.plunge_force_lbf), -force(estimates.lift_force_lbf)] {
                let loads: Vec<Load> = rollers.iter().copied().chain([(cutter, tool)]).collect();
                held = held.min(self.held_down(&rests, &loads));
                give = give.max(self.height_at(cutter, &rests, &loads).map_or(f64::INFINITY, f64::abs));
            }
        }
        (give, held)
    }

    /// Moments that keep the carrier down over those that tip it, about the first and the last rest.
    fn held_down(&self, rests: &[f64], loads: &[Load]) -> f64 {
        let (Some(first), Some(last)) = (rests.first(), rests.last()) else { return 0.0 };
        let weights = self.cuts.iter().flat_map(|&(from, to, _, weight)| {
            let edges = [from, first.clamp(from, to), last.clamp(from, to), to];
            [(edges[0], edges[1]), (edges[1], edges[2]), (edges[2], edges[3])]
                .map(|(a, b)| ((a + b) / 2.0, weight * (b - a)))
        });
        let all: Vec<Load> = weights.chain(loads.iter().copied()).collect();
        let about = |edge: f64, outside: f64| {
            let moment = |over: bool| -> f64 {
                let arms = all.iter().map(|(x, down)| ((x - edge) * outside, down));
                arms.filter(|(arm, _)| (*arm > 0.0) == over).map(|(arm, down)| arm.abs() * down).sum()
            };
            if moment(true) > 0.0 { moment(false) / moment(true) } else { f64::INFINITY }
        };
        about(*first, -1.0).min(about(*last, 1.0))
    }

    /// Height of the carrier at the cutter, mm; `None` where no set of rests holds it.
    fn height_at(&self, cutter: f64, rests: &[f64], loads: &[Load]) -> Option<f64> {
        let arms: Vec<Cantilever> = [(-1.0, cutter), (1.0, self.end() - cutter)]
            .iter()
            .map(|&(way, long)| self.cantilever(cutter, way, long, loads))
            .collect();
        let arm = |x: f64| arms.get(usize::from(x > cutter));
        let sags: Vec<f64> = rests.iter().map(|x| arm(*x).map_or(0.0, |arm| arm.sag(*x - cutter))).collect();
        let springs = |i: f64, j: f64| {
            let same = (i > cutter) == (j > cutter);
            arm(i).filter(|_| same).map_or(0.0, |arm| arm.spring((i - cutter).abs(), (j - cutter).abs()))
        };
        let spring: Vec<Vec<f64>> = rests.iter().map(|i| rests.iter().map(|j| springs(*i, *j)).collect()).collect();
        let (down, turning) = self.cuts.iter().fold((0.0, 0.0), |(down, turning), &(from, to, _, weight)| {
            (down + weight * (to - from), turning + weight * (to - from) * ((from + to) / 2.0 - cutter))
        });
        let (down, turning) = loads.iter().fold((down, turning), |(d, t), (x, p)| (d + p, t + p * (x - cutter)));
        // More rests than this under one carrier are beyond any machine.
        if rests.len() > MOST_RESTS {
            return None;
        }
        (1..1_u32 << rests.len()).rev().find_map(|set| {
            let on: Vec<usize> = (0..rests.len()).filter(|rest| set >> rest & 1 == 1).collect();
            if on.len() < 2 {
                return None;
            }
            let place = |rest: usize| rests.get(rest).map_or(0.0, |x| x - cutter);
            let get = |i: usize, j: usize| spring.get(i).and_then(|row| row.get(j)).copied().unwrap_or(0.0);
            let sag = |rest: usize| sags.get(rest).copied().unwrap_or(0.0);
            let mut equations: Vec<Vec<f64>> =
                on.iter().map(|i| on.iter().map(|j| get(*i, *j)).chain([1.0, place(*i), -sag(*i)]).collect()).collect();
            equations.push(on.iter().map(|_| 1.0).chain([0.0, 0.0, down]).collect());
            equations.push(on.iter().map(|rest| place(*rest)).chain([0.0, 0.0, turning]).collect());
            let found = eliminated(equations)?;
            let (pushes, lie) = found.split_at(on.len());
            let (height, slope) = (*lie.first()?, *lie.last()?);
            let at = |rest: usize| {
                let raised: f64 = on.iter().zip(pushes).map(|(j, push)| get(rest, *j) * push).sum();
                height + slope * place(rest) + sag(rest) + raised
            };
            let stands = pushes.iter().all(|push| *push >= -SLIP) && (0..rests.len()).all(|rest| at(rest) >= -SLIP);
            stands.then_some(height)
        })
    }

    /// One side of the carrier, held in at the cutter.
    fn cantilever(&self, cutter: f64, way: f64, long: f64, loads: &[Load]) -> Cantilever {
        let piece = long.max(0.0) / f64::from(PIECES);
        let mut pieces: Vec<(f64, f64, f64)> = Vec::new();
        // From the free end inwards: what hangs beyond, its weight and its moment.
        let (mut weight, mut moment) = (0.0, 0.0);
        for place in (0..PIECES).rev() {
            let middle = piece * (f64::from(place) + 0.5);
            let (stiffness, heavy) = self.at(cutter + way * middle);
            let half = piece / 2.0;
            let bends = moment + weight * half + heavy * half * half / 2.0;
            let beyond: f64 = loads
                .iter()
                .map(|(x, down)| ((x - cutter) * way, down))
                .filter(|(x, _)| *x > middle)
                .map(|(x, down)| (x - middle) * down)
                .sum();
            pieces.push((middle, -(bends + beyond) / stiffness, 1.0 / stiffness));
            moment += weight * piece + heavy * piece * piece / 2.0;
            weight += heavy * piece;
        }
        Cantilever { piece, pieces }
    }
}

/// A cantilever in short pieces: its middle from the cutter, its curvature under the loads, and what it bends
/// by for a moment of one.
struct Cantilever {
    piece: f64,
    pieces: Vec<(f64, f64, f64)>,
}

impl Cantilever {
    /// Height at a place under the loads alone.
    fn sag(&self, at: f64) -> f64 {
        let at = at.abs();
        let near = self.pieces.iter().filter(|piece| piece.0 < at);
        near.map(|(middle, curvature, _)| curvature * (at - middle) * self.piece).sum()
    }

    /// Rise at one place for a push of one at another.
    fn spring(&self, at: f64, push: f64) -> f64 {
        let near = self.pieces.iter().filter(|piece| piece.0 < at.min(push));
        near.map(|(middle, _, supple)| supple * (at - middle) * (push - middle) * self.piece).sum()
    }
}

/// Sum of E (b h^3 / 12 + b h y^2) about the axis on which slabs of these widths, middles, heights and moduli
/// do not pull.
fn about_own_axis(slabs: &[(f64, f64, f64, f64)]) -> f64 {
    let pull: f64 = slabs.iter().map(|(width, _, height, modulus)| width * height * modulus).sum();
    if pull <= 0.0 {
        return 0.0;
    }
    let axis =
        slabs.iter().map(|(width, middle, height, modulus)| width * height * modulus * middle).sum::<f64>() / pull;
    slabs
        .iter()
        .map(|(width, middle, height, modulus)| {
            modulus * width * height * (height * height / 12.0 + (middle - axis) * (middle - axis))
        })
        .sum()
}

/// Where bed and stands carry with the cutter at a place.
fn rests(case: &Case, cutter: f64) -> Vec<f64> {
    let machine = &case.request.machine;
    let bed = machine.bed_length.to_mm() / 2.0;
    let open = (machine.bed_gap.to_mm() / 2.0).min(bed);
    let mut off = vec![bed];
    if open > 0.0 {
        off.push(open);
    } else {
        off.extend([0.0, machine.cutter_to_roller.to_mm().min(bed)]);
    }
    let mut rests: Vec<f64> = off.iter().flat_map(|off| [cutter - off, cutter + off]).collect();
    match &case.request.stands {
        // What has gone past the cutter lies towards the lead end.
        Some(own) => {
            rests.extend(own.outfeed.iter().map(|stand| cutter - stand.to_mm()));
            rests.extend(own.infeed.iter().map(|stand| cutter + stand.to_mm()));
        }
        None => {
            let suggested = machine.stand_places(case.plan.length());
            rests
                .extend(suggested.iter().flat_map(|stand| [-1.0, 1.0].map(|way| cutter + way * (bed + stand.to_mm()))));
        }
    }
    rests.sort_by(f64::total_cmp);
    rests.dedup_by(|a, b| (*a - *b).abs() < SLIP);
    rests
}

/// Unknowns of linear equations, each row its factors and their sum; `None` where they do not settle it.
fn eliminated(mut rows: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let count = rows.len();
    for at in 0..count {
        let scaled = |row: &[f64]| {
            let most = row.iter().take(count).fold(0.0_f64, |most, value| most.max(value.abs()));
            if most > 0.0 { row.get(at).copied().unwrap_or(0.0).abs() / most } else { 0.0 }
        };
        let best = (at..count).max_by(|a, b| scaled(&rows[*a]).total_cmp(&scaled(&rows[*b])))?;
        if scaled(&rows[best]) < 1e-13 {
            return None;
        }
        rows.swap(at, best);
        let pivot = rows[at].clone();
        for (place, row) in rows.iter_mut().enumerate() {
            if place != at {
                let times = row[at] / pivot[at];
                row.iter_mut().zip(&pivot).for_each(|(value, above)| *value -= times * above);
            }
        }
    }
    let found: Vec<f64> = rows.iter().enumerate().map(|(at, row)| row[count] / row[at]).collect();
    found.iter().all(|value| value.is_finite()).then_some(found)
}
