//! Whether the blank stays down and in its place at the worst place of the cut.
//!
//! Every way in which it could give is tried: tipping about a line that touches it, in all directions, and
//! turning about any point in the plane, or sliding. What holds it does so much work against that motion, the
//! cutter so much with it; the least ratio is what the bond carries (the kinematic theorem of limit analysis).

use super::*;
use crate::design::VoidKind;
use crate::geometry::Point;
use crate::geometry::hull::hull;
use Relation::AtLeast;
use solid::{edge_points, inside};

const NEWTONS_PER_LBF: f64 = 0.453_592_37 * 9.806_65;
const FREE_FALL: f64 = 9.806_65;
const SQUARE_INCH_MM2: f64 = 25.4 * 25.4;
/// Directions of tipping, and pieces of the bond along and across.
const WAYS: i32 = 180;
const PIECES: i32 = 24;
/// Points of turning looked at each way, and how often the search is narrowed.
const CENTRES: i32 = 8;
const NARROWED: i32 = 4;
/// Most corners of a curve that are looked at.
const MOST_CORNERS: usize = 96;
/// Least number of times the load must be carried.
const TIMES: f64 = 1.0;
/// A wall at least this high (and a third of the thickness) stops sliding.
const WALL_STOPS: Length = Length::inches(1, 4);

type Mm = (f64, f64);

pub(super) fn check(case: &Case, wall: Length, checks: &mut Vec<Check>) {
    let Some(thickness) = &case.request.blank.thickness else { return };
    let fast = |kind| matches!(kind, JointKind::GluedButt | JointKind::Pinched | JointKind::Glue);
    if case.request.blank.round().is_some() || joints(case).any(|joint| fast(joint.kind)) {
        return;
    }
    let third = Length::from_ticks(thickness.nominal.ticks() / 3);
    let walled = wall >= third.max(WALL_STOPS);
    let whole = Part::of(case, &case.outline, case.design.carve, case.request.carve.stated, walled);
    let factor = |checks: &mut Vec<Check>, subject: &str, times: f64| {
        numbers(checks, Rule::HoldWorst, subject, times.min(1e6), AtLeast, TIMES, "times");
    };
    if !case.design.hold.bonds_underside() && case.design.screws.is_none() {
        if let Outline::Rect(_) = case.design.blank.outline {
            factor(checks, "held down by its edges (estimate)", whole.edges(case));
            if let Some(check) = checks.last_mut() {
                only_warn(check);
            }
        }
        return;
    }
    factor(checks, "lift at the worst place (estimate)", whole.lifted(case));
    if !walled {
        factor(checks, "slide (estimate)", whole.slid(case));
        factor(checks, "turn about the bond's middle (estimate)", whole.turned(case, whole.middle()));
        factor(checks, "slide and turn together (estimate)", whole.moved(case));
    } else if matches!(case.design.blank.outline, Outline::Disc { .. }) {
        factor(checks, "turn in its round (estimate)", whole.turned(case, whole.middle()));
    }
    if case.request.carve.through == Through::AllRound {
        let area = Outline::Rect(case.design.carve);
        let outline = if case.request.carve.stated { &area } else { &case.outline };
        let mut free = Part::of(case, outline, case.design.carve, false, false);
        // The pass that frees it cuts wood in the lowest of the kerf only.
        let pass = case.request.shop.estimates.loads.cutting.map(|cutting| cutting.pass.to_mm());
        free.arm = pass.map_or(free.arm, |pass| pass.min(free.arm));
        factor(checks, "lift once it is cut free (estimate)", free.lifted(case));
        factor(checks, "slide and turn once it is cut free (estimate)", free.moved(case));
    }
}

/// What joins the blank to other parts.
fn joints<'a>(case: &Case<'a>) -> impl Iterator<Item = &'a crate::design::Joint> {
    case.design.joints.iter().filter(|joint| joint.between.0 == "blank" || joint.between.1 == "blank")
}

/// A stiff part on its bond.
struct Part {
    /// Pieces of the bond: where, and mm2.
    pieces: Vec<(Mm, f64)>,
    /// Its edge.
    edge: Vec<Mm>,
    /// Where the cutter may be.
    places: Vec<Mm>,
    /// How far above the bond the cutter pushes, where nothing stands beside the part.
    arm: f64,
    /// What an mm2 of the bond, or a screw, carries when lifted and when pushed, N.
    strength: (f64, f64),
}

fn mm(point: Point) -> Mm {
    (point.x.to_mm(), point.y.to_mm())
}

fn force(lbf: f64) -> f64 {
    lbf * NEWTONS_PER_LBF
}

impl Part {
    fn of(case: &Case, outline: &Outline, carve: Rect, stated: bool, walled: bool) -> Part {
        let bounds = outline.bounds();
        let voids = case.solids.0.iter().flat_map(|solid| &solid.voids);
        let open: Vec<_> = voids.filter(|void| matches!(void.kind, VoidKind::PushOut | VoidKind::Under)).collect();
        let step = |size: Length| Length::from_ticks(size.ticks() / i64::from(PIECES) / 2);
        let (dx, dy) = (step(bounds.length()), step(bounds.width()));
        let each = bounds.length().to_mm() * bounds.width().to_mm() / f64::from(PIECES * PIECES);
        let grid = (0..PIECES).flat_map(|column| (0..PIECES).map(move |row| (column, row)));
        let at = |(column, row): (i32, i32)| {
            Point::new(bounds.x0 + dx * i64::from(2 * column + 1), bounds.y0 + dy * i64::from(2 * row + 1))
        };
        let bonded = |at: &Point| inside(outline, *at) && !open.iter().any(|void| inside(&void.outline, *at));
        let mut pieces: Vec<(Mm, f64)> = grid.map(at).filter(bonded).map(|at| (mm(at), each)).collect();
        // Pieces at the edge are in or out: together they have the area of the whole.
        let near = open.iter().filter(|void| gang::apart(&void.outline, outline) < Length::ZERO);
        let area = outline.area_mm2() - near.map(|void| void.outline.area_mm2()).sum::<f64>();
        let sum: f64 = pieces.iter().map(|piece| piece.1).sum();
        if sum > 0.0 {
            pieces.iter_mut().for_each(|piece| piece.1 *= area.max(0.0) / sum);
        }
        let edge: Vec<Mm> = match outline {
            Outline::Rect(rect) => rect.corners().into_iter().map(mm).collect(),
            Outline::Disc { .. } => edge_points(outline).into_iter().step_by(12).map(mm).collect(),
            Outline::Polygon(points) => {
                let corners = hull(&points.iter().copied().map(mm).collect::<Vec<_>>());
                let every = corners.len().div_ceil(MOST_CORNERS).max(1);
                corners.into_iter().step_by(every).collect()
            }
            Outline::Path(path) => hull(&path.flattened(0.5)),
        };
        let whole = matches!(outline, Outline::Rect(_)) || stated;
        let places = if whole { carve.corners().into_iter().map(mm).collect() } else { edge.clone() };
        let tall = case.request.blank.thickness.as_ref().map_or(0.0, |thickness| thickness.nominal.to_mm());
        let psi = |psi: f64| psi * NEWTONS_PER_LBF / SQUARE_INCH_MM2;
        let (lift, slide) = case.request.shop.estimates.bond_psi(case.design.hold);
        let mut strength = (psi(lift), psi(slide));
        if let Some(screws) = &case.design.screws {
            // Each screw is one piece.
            pieces = screws::under_blank(case, screws).iter().map(|at| (mm(*at), 1.0)).collect();
            let (pull, side) = screws::each_lbf(case, screws);
            strength = (force(pull), force(side));
        }
        Part { pieces, edge, places, arm: if walled { 0.0 } else { tall }, strength }
    }

    fn area(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.1).sum()
    }

    fn middle(&self) -> Mm {
        let area = self.area().max(f64::MIN_POSITIVE);
        let sum = |of: fn(&Mm) -> f64| self.pieces.iter().map(|(at, area)| of(at) * area).sum::<f64>() / area;
        (sum(|at| at.0), sum(|at| at.1))
    }

    /// Least ratio of the work of what holds it down to that of the cutter, over every way of tipping.
    fn tipped(&self, case: &Case, places: &[Mm], holds: impl Fn(&dyn Fn(Mm) -> f64) -> f64) -> f64 {
        let estimates = &case.request.shop.estimates;
        let (lift, side) = (force(estimates.lift_force_lbf), force(estimates.side_force_lbf));
        (0..WAYS)
            .map(|way| {
                let angle = std::f64::consts::TAU * f64::from(way) / f64::from(WAYS);
                let (x, y) = (libm::cos(angle), libm::sin(angle));
                let along = |at: Mm| at.0 * x + at.1 * y;
                let line = self.edge.iter().map(|at| along(*at)).fold(f64::INFINITY, f64::min);
                let rise = |at: Mm| (along(at) - line).max(0.0);
                let most = places.iter().map(|at| rise(*at)).fold(0.0, f64::max);
                holds(&rise) / (lift * most + side * self.arm).max(f64::MIN_POSITIVE)
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn lifted(&self, case: &Case) -> f64 {
        let held = |at: &Mm, area: f64, rise: &dyn Fn(Mm) -> f64| self.strength.0 * area * rise(*at);
        self.tipped(case, &self.places, |rise| self.pieces.iter().map(|(at, area)| held(at, *area, rise)).sum())
    }

    /// Held at the edges, by the rollers that are on it, and by its weight.
    fn edges(&self, case: &Case) -> f64 {
        let estimates = &case.request.shop.estimates;
        // Spots of glue along seams, of each what lies at the blank; else all round.
        let (x, y) = ((case.blank.x0, case.blank.x1), (case.blank.y0, case.blank.y1));
        let spotted = joints(case).filter(|joint| joint.kind == JointKind::GlueSpots).map(|joint| {
            let ends = [(joint.contact.x0, joint.contact.y0), (joint.contact.x1, joint.contact.y1)];
            ends.map(|at| (at.0.clamp(x.0, x.1).to_mm(), at.1.clamp(y.0, y.1).to_mm()))
        });
        let seams: Vec<[Mm; 2]> = spotted.collect();
        let long = |seam: &[Mm; 2]| libm::hypot(seam[1].0 - seam[0].0, seam[1].1 - seam[0].1);
        let around = match seams.as_slice() {
            [] => ((case.blank.length() + case.blank.width()) * 2).to_mm(),
            seams => seams.iter().map(long).sum(),
        };
        let grip = if case.design.hold == Hold::HotGlue {
            let least = if seams.is_empty() { 4.0 } else { seams.len() as f64 };
            let spots = (around / (4.0 * 25.4) + 1e-9).floor().max(least);
            force(estimates.loads.glue_spot_lbf) * spots
        } else {
            force(estimates.loads.edge_grip_lbf)
        };
        let tall = case
            .request
            .blank
            .thickness
            .as_ref()
            .map_or(0.0, |thick| case.request.blank.mean_thickness(thick.nominal).to_mm());
        let weight = case.design.blank.outline.area_mm2() * tall * estimates.blank_density * 1e-9 * FREE_FALL;
        let sides = self.edge.iter().zip(self.edge.iter().cycle().skip(1));
        let middle = |a: &Mm, b: &Mm| ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
        let mut grips: Vec<(Mm, f64)> =
            sides.flat_map(|(a, b)| [(*a, grip / 8.0), (middle(a, b), grip / 8.0)]).collect();
        if !seams.is_empty() {
            let share = |seam: &[Mm; 2]| grip * long(seam) / around;
            let at = |seam: &[Mm; 2]| {
                let [from, to] = *seam;
                [(from, share(seam) / 4.0), (middle(&from, &to), share(seam) / 2.0), (to, share(seam) / 4.0)]
            };
            grips = seams.iter().flat_map(at).collect();
        }
        let reach = case.request.machine.cutter_to_roller.to_mm();
        let on = (case.blank.x0.to_mm(), case.blank.x1.to_mm());
        self.places
            .iter()
            .map(|place| {
                let rollers = [place.0 - reach, place.0 + reach].into_iter().filter(|x| (on.0..=on.1).contains(x));
                let rollers: Vec<f64> = rollers.collect();
                self.tipped(case, std::slice::from_ref(place), |rise| {
                    let edges: f64 = grips.iter().map(|(at, most)| most * rise(*at)).sum();
                    let sides = |x: f64| rise((x, case.blank.y0.to_mm())) + rise((x, case.blank.y1.to_mm()));
                    let pressed: f64 =
                        rollers.iter().map(|x| force(estimates.loads.roller_force_lbf) / 2.0 * sides(*x)).sum();
                    edges + pressed + weight * rise(mm(case.blank.centre()))
                })
            })
            .fold(f64::INFINITY, f64::min)
    }

    fn slid(&self, case: &Case) -> f64 {
        self.strength.1 * self.area() / force(case.request.shop.estimates.side_force_lbf)
    }

    /// Turned about a point: the work against the bond over that of the cutter's push, square to its arm.
    fn turned(&self, case: &Case, about: Mm) -> f64 {
        let arm = |at: &Mm| libm::hypot(at.0 - about.0, at.1 - about.1);
        let held: f64 = self.pieces.iter().map(|(at, area)| self.strength.1 * area * arm(at)).sum();
        let pushed =
            force(case.request.shop.estimates.side_force_lbf) * self.places.iter().map(arm).fold(0.0, f64::max);
        if pushed > 0.0 { held / pushed } else { f64::INFINITY }
    }

    /// The least over every point of turning; sliding is turning about one very far off.
    fn moved(&self, case: &Case) -> f64 {
        let middle = self.middle();
        let far = self.edge.iter().map(|at| libm::hypot(at.0 - middle.0, at.1 - middle.1)).fold(0.0, f64::max);
        let (mut best, mut about, mut wide) = (self.slid(case), middle, far * 3.0);
        for _ in 0..NARROWED {
            let from = about;
            for column in -CENTRES..=CENTRES {
                for row in -CENTRES..=CENTRES {
                    let off = |place: i32| wide * f64::from(place) / f64::from(CENTRES);
                    let at = (from.0 + off(column), from.1 + off(row));
                    let times = self.turned(case, at);
                    if times < best {
                        (best, about) = (times, at);
                    }
                }
            }
            wide /= f64::from(CENTRES) / 2.0;
        }
        best
    }
}
