//! Cleats at an angle and their wedges: faces read from the placed solids, and all that follows from them.
//!
//! How the blank moves when a cleat is out of true is asked of the point it turns about: where the lines of
//! the other two pushes meet (Reuleaux, 1876), not of a system of equations.

use super::cleat::{ASIDE, BELOW, DRIFT, FINE, FRICTION, OVERLAP, STEEPEST, THINNEST, held};
use super::*;
use crate::design::Contact;
use crate::geometry::path::{Mm, distance_to_line, in_ring, to_mm};
use crate::request::Drawn;
use Relation::{AtLeast, AtMost};
use solid::{CONTACT, Solid};

/// Least distance of two marks, and least cleat beyond the place where the blank bears.
const MARKS: Length = Length::inches(2, 1);
const END: Length = Length::inches(1, 2);
/// Clear room round everything that must not touch.
const CLEAR: Length = Length::inches(1, 8);
/// Most that the rounding of the marks may leave open at a contact, mm.
const OPEN: f64 = 0.4;
/// Roundings of slanted edges that are no error, mm.
const SLIP: f64 = 0.002;

/// A straight side of a solid: its ends, and off it.
#[derive(Debug, Clone, Copy)]
struct Side {
    from: Mm,
    to: Mm,
    out: Mm,
}

/// A contact, the side that pushes there and what part it belongs to.
struct Held<'a> {
    contact: &'a Contact,
    at: Mm,
    side: Side,
    solid: &'a Solid,
}

fn less(a: Mm, b: Mm) -> Mm {
    (a.0 - b.0, a.1 - b.1)
}

fn dot(a: Mm, b: Mm) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

fn cross(a: Mm, b: Mm) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

fn ring_of(outline: &Outline) -> Vec<Mm> {
    match outline {
        Outline::Path(path) => path.flattened(FINE / 4.0),
        Outline::Polygon(points) => points.iter().map(|point| to_mm(*point)).collect(),
        other => other.bounds().corners().map(to_mm).to_vec(),
    }
}

fn pairs(ring: &[Mm]) -> impl Iterator<Item = (Mm, Mm)> + Clone + '_ {
    ring.iter().copied().zip(ring.iter().copied().cycle().skip(1))
}

fn sides(ring: &[Mm]) -> Vec<Side> {
    let area: f64 = pairs(ring).map(|(a, b)| cross(a, b)).sum();
    let side = |(from, to): (Mm, Mm)| {
        let (x, y) = less(to, from);
        let long = libm::hypot(x, y).max(f64::MIN_POSITIVE) * area.signum();
        Side { from, to, out: (y / long, -x / long) }
    };
    pairs(ring).map(side).collect()
}

/// Least distance of two outlines; nothing where they meet.
fn apart(a: &[Mm], b: &[Mm]) -> f64 {
    if a.iter().any(|p| in_ring(b, *p)) || b.iter().any(|p| in_ring(a, *p)) {
        return 0.0;
    }
    let crossing = |(p, q): (Mm, Mm), (r, s): (Mm, Mm)| {
        let side = |from: Mm, to: Mm, at: Mm| cross(less(to, from), less(at, from));
        side(p, q, r) * side(p, q, s) < 0.0 && side(r, s, p) * side(r, s, q) < 0.0
    };
    if pairs(a).any(|one| pairs(b).any(|other| crossing(one, other))) {
        return 0.0;
    }
    let to = |points: &[Mm], ring: &[Mm]| {
        let each = points.iter().flat_map(|p| pairs(ring).map(move |(from, to)| distance_to_line(*p, from, to)));
        each.fold(f64::INFINITY, f64::min)
    };
    to(a, b).min(to(b, a))
}

pub(super) fn check(case: &Case, drawn: &Drawn, checks: &mut Vec<Check>) {
    let contacts = case.design.contacts.as_slice();
    let blank = ring_of(&case.design.blank.outline);
    let found: Vec<Held> = contacts.iter().filter_map(|contact| faced(case, contact)).collect();
    let off = found.iter().map(|held| distance_to_line(held.at, held.side.from, held.side.to)).fold(0.0, f64::max);
    // A contact of nothing that pushes is nowhere near a face.
    let off = if found.len() == contacts.len() { off } else { 25.4 };
    numbers(checks, Rule::NestHeld, "contacts off the faces that push", off, AtMost, SLIP, "mm");
    let (mut behind, mut through) = (0.0_f64, 0.0_f64);
    for held in &found {
        let along = (-held.side.out.1, held.side.out.0);
        let place = |p: Mm| (dot(less(p, held.at), along), dot(less(p, held.at), held.side.out));
        let mut here = f64::INFINITY;
        for (a, b) in pairs(&blank) {
            let ((ta, da), (tb, db)) = (place(a), place(b));
            if ta * tb <= 0.0 && ta != tb {
                here = here.min(da - ta * (db - da) / (tb - ta));
            }
            // At the very end of a side.
            if ta.abs() <= 0.01 {
                here = here.min(da);
            }
            through = through.max(-da);
        }
        behind = behind.max(here);
    }
    let most = 2.0 * drawn.error.to_mm() + 2.0 * FINE + OPEN;
    numbers(checks, Rule::NestHeld, "contacts off the blank", behind, AtMost, most, "mm");
    numbers(checks, Rule::NestHeld, "blank beyond a face", through, AtMost, FINE, "mm");
    let pushes: Vec<(Mm, Mm)> = found.iter().map(|held| (held.at, held.side.out)).collect();
    self::held(&pushes, checks);
    fence(case, &found, checks);
    set_out(case, &found, checks);
    let wedge = found.iter().position(|held| held.contact.part == Role::CleatWedge);
    let Some((wedge, pair)) = wedge.and_then(|place| Some((place, Pair::of(case, found.get(place)?)?))) else {
        numbers(checks, Rule::WedgeShape, "wedges that fill their gap", 0.0, AtLeast, 1.0, "");
        return;
    };
    let out = drawn.error.to_mm() + case.request.shop.tolerance.to_mm();
    let growth = case.along.growth.max(case.across.growth).to_mm();
    let moves = Moves::of(&pushes, wedge);
    let strays = moves.strays(&blank, out + growth / 2.0);
    pair.check(case, (moves.share, out, growth), checks);
    room(case, &found, &pair, checks);
    walls(case, &found, strays, out + growth, checks);
}

/// Room that is left round a blank that cleats hold and that may lie off its place: along and across.
pub(super) fn strays(case: &Case) -> Option<(Length, Length)> {
    let Shape::Outline(drawn) = &case.request.blank.shape else { return None };
    let contacts = case.design.contacts.as_slice();
    let found: Vec<Held> = contacts.iter().filter_map(|contact| faced(case, contact)).collect();
    let wedge = found.iter().position(|held| held.contact.part == Role::CleatWedge)?;
    let pushes: Vec<(Mm, Mm)> = found.iter().map(|held| (held.at, held.side.out)).collect();
    let growth = case.along.growth.max(case.across.growth).to_mm();
    let out = drawn.error.to_mm() + case.request.shop.tolerance.to_mm() + growth / 2.0;
    let (x, y) = Moves::of(&pushes, wedge).strays(&ring_of(&case.design.blank.outline), out);
    Some((Length::from_mm(x)?, Length::from_mm(y)?))
}

/// The side of a solid of the contact's role that is nearest to it, among those beside the blank.
fn faced<'a>(case: &'a Case, contact: &'a Contact) -> Option<Held<'a>> {
    let at = to_mm(contact.at);
    let low = case.design.blank.z0;
    let solids = case.solids.0.iter().filter(|solid| solid.role == contact.part && solid.z0 <= low && solid.z1 > low);
    let all = solids.flat_map(|solid| sides(&ring_of(&solid.outline)).into_iter().map(move |side| (solid, side)));
    let near = |(_, side): &(&Solid, Side)| distance_to_line(at, side.from, side.to);
    let (solid, side) = all.min_by(|a, b| near(a).total_cmp(&near(b)))?;
    Some(Held { contact, at, side, solid })
}

/// Of contacts on the fence rail there are two, far enough apart.
fn fence(case: &Case, found: &[Held], checks: &mut Vec<Check>) {
    let along = || found.iter().filter(|held| held.contact.part == Role::FenceRail).map(|held| held.contact.at.x);
    if let (Some(first), Some(last)) = (along().min(), along().max()) {
        let half = case.blank.length().half_up();
        lengths(checks, Rule::FenceContacts, "contacts apart", last - first + CONTACT, AtLeast, half);
    }
}

/// The marks that the cleats are laid to.
fn set_out(case: &Case, found: &[Held], checks: &mut Vec<Check>) {
    let step = case.request.step();
    let is_cleat = |solid: &&Solid| matches!(solid.role, Role::Cleat | Role::BackingCleat);
    let cleats: Vec<&Solid> = case.solids.0.iter().filter(is_cleat).collect();
    let (mut unmarked, mut beside, mut off) = (0_usize, 0.0_f64, Length::ZERO);
    let (mut least, mut end) = (f64::INFINITY, f64::INFINITY);
    for cleat in &cleats {
        let ring = ring_of(&cleat.outline);
        // The working edge is the one the blank bears on, or the first wedge leans on.
        let mine = found.iter().filter(|held| held.contact.marks.is_some()).find(|held| match cleat.role {
            Role::Cleat => std::ptr::eq(held.solid, *cleat),
            _ => held.contact.part == Role::CleatWedge,
        });
        let Some((held, [first, second])) = mine.and_then(|held| Some((held, held.contact.marks?))) else {
            unmarked += 1;
            continue;
        };
        for mark in [first.x, first.y, second.x, second.y] {
            off = off.max((mark - mark.nearest(step)).abs());
        }
        let (first, second) = (to_mm(first), to_mm(second));
        least = least.min(libm::hypot(second.0 - first.0, second.1 - first.1));
        let facing = |side: &Side| dot(side.out, held.side.out) > 0.999_999;
        let Some(edge) = sides(&ring).into_iter().find(facing) else {
            unmarked += 1;
            continue;
        };
        let corner = |p: Mm| libm::hypot(p.0 - first.0, p.1 - first.1);
        beside = beside.max(corner(edge.from).min(corner(edge.to)));
        beside = beside.max(distance_to_line(second, edge.from, edge.to));
        let (x, y) = less(edge.to, edge.from);
        let long = libm::hypot(x, y).max(f64::MIN_POSITIVE);
        let along = dot(less(held.at, edge.from), (x / long, y / long));
        end = end.min(along).min(long - along);
        // A strip with square ends.
        let square = pairs(&ring).zip(pairs(&ring).skip(1)).map(|((a, b), (_, c))| {
            let (u, v) = (less(b, a), less(c, b));
            (dot(u, v) / (libm::hypot(u.0, u.1) * libm::hypot(v.0, v.1)).max(f64::MIN_POSITIVE)).abs()
        });
        let bent = ring.len() != 4 || square.fold(0.0, f64::max) > 1e-5;
        unmarked += usize::from(bent);
    }
    unmarked += usize::from(cleats.is_empty());
    none_of(checks, Rule::CleatSetOut, "cleats that two marks do not place", unmarked);
    if cleats.is_empty() {
        return;
    }
    lengths(checks, Rule::CleatSetOut, "marks off the ruler", off, AtMost, Length::ZERO);
    numbers(checks, Rule::CleatSetOut, "marks off the edges they make", beside, AtMost, SLIP, "mm");
    numbers(checks, Rule::CleatSetOut, "marks apart", least, AtLeast, MARKS.to_mm(), "mm");
    numbers(checks, Rule::CleatSetOut, "cleat beyond its contact", end, AtLeast, END.to_mm(), "mm");
}

/// How the blank follows when the faces that stand are out of true, the wedge's giving way.
struct Moves {
    /// For each face that stands, moved by 1 mm: turn, and either the point turned about or the way shifted.
    each: Vec<(f64, Mm, Mm)>,
    /// How far the wedge's contact moves when all of them are out by 1 mm, each the worst way.
    share: f64,
}

impl Moves {
    fn of(pushes: &[(Mm, Mm)], wedge: usize) -> Moves {
        let standing: Vec<(Mm, Mm)> =
            pushes.iter().enumerate().filter(|(place, _)| *place != wedge).map(|(_, push)| *push).collect();
        let mut each = Vec::new();
        for (place, (at, push)) in standing.iter().enumerate() {
            let others: Vec<(Mm, Mm)> =
                standing.iter().enumerate().filter(|(other, _)| *other != place).map(|(_, push)| *push).collect();
            let [(p, n), (q, m)] = others.as_slice() else { continue };
            let meet = cross(*n, *m);
            if meet.abs() < 1e-9 {
                // Pushes side by side let it shift square to themselves only.
                let way = (-n.1, n.0);
                let step = dot(way, *push);
                each.push((0.0, (0.0, 0.0), (way.0 / step, way.1 / step)));
            } else {
                let t = cross(less(*q, *p), *m) / meet;
                let centre = (p.0 + n.0 * t, p.1 + n.1 * t);
                each.push((1.0 / cross(less(*at, centre), *push), centre, (0.0, 0.0)));
            }
        }
        let mut moves = Moves { each, share: 0.0 };
        if let Some((at, push)) = pushes.get(wedge) {
            moves.share = moves.shifts(*at).iter().map(|shift| dot(*shift, *push).abs()).sum();
        }
        moves
    }

    /// Shift of a point of the blank for each face.
    fn shifts(&self, at: Mm) -> Vec<Mm> {
        let shift = |(turn, centre, way): &(f64, Mm, Mm)| {
            let arm = less(at, *centre);
            (way.0 - turn * arm.1, way.1 + turn * arm.0)
        };
        self.each.iter().map(shift).collect()
    }

    /// How far any point of the blank may move along and across with every face out by `off`.
    fn strays(&self, blank: &[Mm], off: f64) -> Mm {
        blank.iter().fold((0.0, 0.0), |(x, y), p| {
            let sum =
                self.shifts(*p).iter().fold((0.0, 0.0), |sum, shift| (sum.0 + shift.0.abs(), sum.1 + shift.1.abs()));
            (f64::max(x, sum.0 * off), f64::max(y, sum.1 * off))
        })
    }
}

/// A wedge seen along the face it rubs on: from, to, thickness at either end, nearest to the blank and
/// farthest from it.
#[derive(Debug, Clone, Copy)]
struct Wedge {
    from: f64,
    to: f64,
    ends: (f64, f64),
    face: f64,
    back: f64,
}

struct Pair<'a> {
    glued: (&'a Solid, Wedge),
    driven: (&'a Solid, Wedge),
    /// Frame: the contact, along the face the way the driven wedge backs out, and off the blank.
    frame: (Mm, Mm, Mm),
    /// Height of the gap, from the blank to the cleat behind.
    gap: f64,
}

impl Wedge {
    fn of(ring: &[Mm]) -> Wedge {
        let along = |p: &Mm| p.0;
        let (from, to) = (
            ring.iter().map(along).fold(f64::INFINITY, f64::min),
            ring.iter().map(along).fold(f64::NEG_INFINITY, f64::max),
        );
        let span = |near: f64| {
            let there = ring.iter().filter(|p| (p.0 - near).abs() < 0.01).map(|p| p.1);
            there.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
        };
        let (a, b) = (span(from), span(to));
        Wedge { from, to, ends: (a.1 - a.0, b.1 - b.0), face: a.0.min(b.0), back: a.1.max(b.1) }
    }

    fn slope(&self) -> f64 {
        (self.ends.1 - self.ends.0).abs() / (self.to - self.from).max(f64::MIN_POSITIVE)
    }

    /// Thickness so far along.
    fn thick(&self, u: f64) -> f64 {
        self.ends.0 + (self.ends.1 - self.ends.0) * (u - self.from) / (self.to - self.from).max(f64::MIN_POSITIVE)
    }
}

impl<'a> Pair<'a> {
    fn of(case: &'a Case, held: &Held<'a>) -> Option<Pair<'a>> {
        let wedges: Vec<&Solid> = case.solids.0.iter().filter(|solid| solid.role == Role::CleatWedge).collect();
        let [one, other] = wedges.as_slice() else { return None };
        let glued = if std::ptr::eq(*one, held.solid) { other } else { one };
        let away = (-held.side.out.0, -held.side.out.1);
        let frame = |along: Mm| {
            move |solid: &Solid| -> Vec<Mm> {
                let ring = ring_of(&solid.outline);
                ring.iter().map(|p| less(*p, held.at)).map(|p| (dot(p, along), dot(p, away))).collect()
            }
        };
        // Thick end on the far side of the way it is driven.
        let along = (-away.1, away.0);
        let thin_first = |wedge: &Wedge| wedge.ends.1 > wedge.ends.0;
        let along = if thin_first(&Wedge::of(&frame(along)(held.solid))) { along } else { (away.1, -away.0) };
        let seen = frame(along);
        let (driven, still) = (Wedge::of(&seen(held.solid)), Wedge::of(&seen(glued)));
        let backing = case.solids.0.iter().find(|solid| solid.role == Role::BackingCleat)?;
        let gap = seen(backing).iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        let fills = driven.face.abs() <= SLIP && (still.back - gap).abs() <= SLIP;
        let slopes = thin_first(&driven) && still.ends.1 < still.ends.0;
        (fills && slopes).then_some(Pair {
            glued: (glued, still),
            driven: (held.solid, driven),
            frame: (held.at, along, away),
            gap,
        })
    }

    fn place(&self, (u, v): Mm) -> Mm {
        let (at, along, away) = self.frame;
        (at.0 + along.0 * u + away.0 * v, at.1 + along.1 * u + away.1 * v)
    }

    fn check(&self, case: &Case, (share, out, growth): (f64, f64, f64), checks: &mut Vec<Check>) {
        let (glued, driven) = (&self.glued.1, &self.driven.1);
        for (which, wedge) in [("glued", glued), ("driven", driven)] {
            let slope = wedge.slope() - 1e-4;
            numbers(checks, Rule::WedgeShape, &format!("slope of the {which} wedge"), slope, AtMost, STEEPEST, "");
            let (angle, most) = (libm::atan(wedge.slope()), 2.0 * libm::atan(FRICTION));
            numbers(checks, Rule::WedgeShape, &format!("angle of the {which} wedge"), angle, AtMost, most, "rad");
            let thin = wedge.ends.0.min(wedge.ends.1) + SLIP;
            numbers(
                checks,
                Rule::WedgeShape,
                &format!("thin end of the {which} wedge"),
                thin,
                AtLeast,
                THINNEST.to_mm(),
                "mm",
            );
        }
        let at = driven.from.max(glued.from);
        let open = (driven.thick(at) + glued.thick(at) - self.gap).abs();
        numbers(checks, Rule::WedgeShape, "slopes apart", open, AtMost, SLIP, "mm");
        let slope = driven.slope();
        let set = driven.from - glued.from;
        let shorter = (glued.to - glued.from).min(driven.to - driven.from);
        let larger = (share + 1.0) * (out + growth / 2.0);
        let saw = (share + 1.0) * case.request.shop.tolerance.to_mm();
        let back = ((1.0 - OVERLAP) * shorter - set) * slope + SLIP;
        numbers(checks, Rule::WedgeTravel, "wedges back out by", back, AtLeast, larger, "mm");
        numbers(checks, Rule::WedgeTravel, "wedges drive in by", set * slope + SLIP, AtLeast, saw, "mm");
        // The face bears on its contact from the first stroke to the last.
        let first = driven.from + larger / slope.max(1e-6);
        let beyond = (-first).min(driven.to - set) - ASIDE + SLIP;
        numbers(checks, Rule::WedgeTravel, "driven wedge beyond its contact", beyond, AtLeast, 0.0, "mm");
        let reach = driven.to + larger / slope.max(1e-6) + DRIFT.to_mm();
        let swept =
            [(driven.from, 0.0), (reach, 0.0), (reach, self.gap), (driven.from, self.gap)].map(|p| self.place(p));
        let others = case.solids.0.iter().filter(|solid| {
            let own = matches!(solid.role, Role::BackingCleat | Role::CleatWedge);
            !own && solid.z1 > self.driven.0.z0 && solid.z0 < self.driven.0.z1
        });
        let free = others.map(|solid| apart(&swept, &ring_of(&solid.outline))).fold(f64::INFINITY, f64::min).min(1e3);
        numbers(checks, Rule::WedgeRoom, "round the wedges and their drift", free + SLIP, AtLeast, CLEAR.to_mm(), "mm");
        let reach = case.request.carve.cutter.half_up() + case.request.carve.overrun;
        let cut = case.design.carve.grown(reach);
        let whole = case.request.machine.kind != crate::library::MachineKind::Carver;
        let low = case.solids.0.iter().filter(|solid| solid.role.stands_at_angle());
        let over = |solid: &Solid| {
            let bounds = solid.outline.bounds();
            bounds.x0 < cut.x1 && cut.x0 < bounds.x1 && bounds.y0 < cut.y1 && cut.y0 < bounds.y1
        };
        let swept = whole || low.clone().any(over);
        let limit = if swept { case.top - case.depth_below_top() - BELOW } else { case.top };
        let top = low.map(|solid| solid.z1).max().unwrap_or_default();
        lengths(checks, Rule::WedgeHeight, "top of cleats and wedges", top, AtMost, limit);
    }
}

/// Cleats and wedges clear of one another and of the frame.
fn room(case: &Case, found: &[Held], pair: &Pair, checks: &mut Vec<Check>) {
    let base = case.solids.0.iter().filter(|solid| solid.z1 > case.design.blank.z0);
    let solids: Vec<(&Solid, Vec<Mm>)> = base.map(|solid| (solid, ring_of(&solid.outline))).collect();
    let own = |solid: &Solid| {
        let wedge = std::ptr::eq(solid, pair.glued.0) || std::ptr::eq(solid, pair.driven.0);
        wedge || solid.role == Role::BackingCleat
    };
    let mut least = 1e3_f64;
    for (place, (one, ring)) in solids.iter().enumerate() {
        for (other, there) in solids.iter().skip(place + 1) {
            let slanted = one.role.stands_at_angle() || other.role.stands_at_angle();
            if slanted && !(own(one) && own(other)) {
                least = least.min(apart(ring, there));
            }
        }
    }
    numbers(checks, Rule::CleatRoom, "cleats and wedges apart", least + SLIP, AtLeast, CLEAR.to_mm(), "mm");
    let cleats = case.solids.0.iter().filter(|solid| solid.role == Role::Cleat).count();
    let bearing = found.iter().filter(|held| held.contact.part == Role::Cleat).count();
    none_of(checks, Rule::CleatRoom, "cleats the blank does not bear on", cleats.abs_diff(bearing));
}

/// The blank clear of rails and bars it does not bear on, wherever it may lie.
fn walls(case: &Case, found: &[Held], strays: Mm, own: f64, checks: &mut Vec<Check>) {
    let on_fence = found.iter().any(|held| held.contact.part == Role::FenceRail);
    let (blank, plan, walls) = (case.blank, case.plan, case.walls);
    let sides = [
        ("lead bar", blank.x0 - plan.x0 - walls.lead, strays.0),
        ("trail bar", plan.x1 - walls.trail - blank.x1, strays.0),
        ("far rail", plan.y1 - walls.far - blank.y1, strays.1),
        ("fence rail", blank.y0 - plan.y0 - walls.fence, strays.1),
    ];
    for (name, gap, strays) in sides.into_iter().filter(|(name, ..)| !(on_fence && *name == "fence rail")) {
        let left = gap.to_mm() - strays - own + SLIP;
        numbers(checks, Rule::CleatRoom, &format!("blank clear of the {name}"), left, AtLeast, CLEAR.to_mm(), "mm");
    }
}

/// Length and width of a straight part as it lies at an angle: over the side that is square to its
/// neighbours and longest, roundings of its corners taken off.
pub(super) fn lies(outline: &Outline) -> (Length, Length) {
    let ring = ring_of(outline);
    let square = |side: &&Side| {
        let along = less(side.to, side.from);
        let at = |p: Mm| {
            pairs(&ring).any(|(a, b)| (a == p || b == p) && dot(less(b, a), along).abs() < 1e-4 * dot(along, along))
        };
        at(side.from) && at(side.to)
    };
    let long = |side: &Side| libm::hypot(side.to.0 - side.from.0, side.to.1 - side.from.1);
    let all = sides(&ring);
    let Some(side) = all.iter().filter(square).max_by(|a, b| long(a).total_cmp(&long(b))) else {
        return (Length::ZERO, Length::ZERO);
    };
    let wide = ring.iter().map(|p| dot(less(side.from, *p), side.out)).fold(0.0, f64::max);
    // Corners are rounded to ticks; an eighth of a micrometre is far coarser than that.
    let mark = |mm: f64| Length::from_mm(mm).unwrap_or_default().nearest(Length::from_ticks(720));
    (mark(long(side)), mark(wide))
}
