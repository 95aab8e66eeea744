//! Blanks held by straight parts and wedges: worked out again from the finished solids.
//!
//! Which face pushes where is read off the solids; whether the pushes hold is asked by going through
//! all planes that two of them span, not by a linear programme.

use super::*;
use crate::design::Contact;
use crate::geometry::path::{Mm, to_mm};
use Relation::{AtLeast, AtMost};
use solid::{CONTACT, Solid};

/// How far to either side of its mark a contact may lie, mm.
pub(super) const ASIDE: f64 = 6.35;
/// Least friction of wood on wood (as measured on planed pine along the grain by Aira and others, 2014).
pub(super) const FRICTION: f64 = 0.12;
/// Steepest slope, thinnest end, room for a drift, how far below a cut, least overlap.
pub(super) const STEEPEST: f64 = 1.0 / 8.0;
pub(super) const THINNEST: Length = Length::inches(3, 8);
pub(super) const DRIFT: Length = Length::inches(3, 4);
pub(super) const BELOW: Length = Length::inches(1, 8);
pub(super) const OVERLAP: f64 = 1.0 / 3.0;
/// Roundings of slanted edges that are no error.
const SLIP: Length = Length::micrometres(2);
/// A wrench this far (of its length) off a plane lies beside it.
const BESIDE: f64 = 1e-9;
/// Points of the outline are this close to the true arcs, mm.
pub(super) const FINE: f64 = 0.02;

/// The side of the blank a face pushes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Push {
    Fence,
    Lead,
    Far,
    Trail,
}

impl Push {
    fn way(self) -> Mm {
        match self {
            Push::Fence => (0.0, 1.0),
            Push::Far => (0.0, -1.0),
            Push::Lead => (1.0, 0.0),
            Push::Trail => (-1.0, 0.0),
        }
    }
}

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let Shape::Outline(drawn) = &case.request.blank.shape else { return };
    if case.design.contacts.is_empty() && !case.wedged() {
        return;
    }
    let contacts = case.design.contacts.as_slice();
    if contacts.iter().any(|contact| contact.part.stands_at_angle()) || case.cleated() {
        slanted::check(case, drawn, checks);
        return;
    }
    let off = contacts.iter().map(|contact| off_face(case, contact)).max().unwrap_or_default();
    lengths(checks, Rule::NestHeld, "contacts off the faces that push", off, AtMost, CONTACT);
    let stray = contacts.iter().map(|contact| off_blank(case, contact)).fold(0.0, f64::max);
    let most = 2.0 * drawn.error.to_mm() + 2.0 * FINE;
    numbers(checks, Rule::NestHeld, "contacts off the blank", stray, AtMost, most, "mm");
    let pushes: Vec<(Mm, Mm)> =
        contacts.iter().filter_map(|contact| Some((to_mm(contact.at), push_of(contact.part)?.way()))).collect();
    held(&pushes, checks);
    fence(case, contacts, checks);
    order(contacts, checks);
    let error = drawn.error;
    for (role, name) in [(Role::FarWedge, "far wedges"), (Role::TrailWedge, "trail wedges")] {
        match Pair::of(case, role) {
            Some(pair) => pair.check(case, error, name, checks),
            None => numbers(checks, Rule::WedgeShape, &format!("{name} that fill their gap"), 0.0, AtLeast, 1.0, ""),
        }
    }
}

fn is_wedge(role: Role) -> bool {
    matches!(role, Role::FarWedge | Role::TrailWedge)
}

fn push_of(role: Role) -> Option<Push> {
    match role {
        Role::FenceRail => Some(Push::Fence),
        Role::LeadEnd => Some(Push::Lead),
        Role::FarWedge => Some(Push::Far),
        Role::TrailWedge => Some(Push::Trail),
        _ => None,
    }
}

/// The coordinate of the face a push comes from, and what it spans, over all solids of the role that
/// reach the blank's height. Of a pair of wedges the one nearer to the blank counts.
fn face(case: &Case, role: Role) -> Option<(Length, Length, Length)> {
    let push = push_of(role)?;
    let low = case.design.blank.z0;
    let blank = case.blank;
    // Equal rails share a row: the one that pushes this way lies on this side of the blank.
    let beside = |solid: &&Solid| {
        let bounds = solid.outline.bounds();
        solid.z0 <= low
            && solid.z1 > low
            && match push {
                Push::Fence => bounds.y1 <= blank.y0 + CONTACT,
                Push::Lead => bounds.x1 <= blank.x0 + CONTACT,
                Push::Far => bounds.y0 >= blank.y1 - CONTACT,
                Push::Trail => bounds.x0 >= blank.x1 - CONTACT,
            }
    };
    let faces = case.solids.0.iter().filter(|solid| solid.role == role).filter(beside).map(|solid| {
        let bounds = solid.outline.bounds();
        match push {
            Push::Fence => (bounds.y1, bounds.x0, bounds.x1),
            Push::Lead => (bounds.x1, bounds.y0, bounds.y1),
            Push::Far => (bounds.y0, bounds.x0, bounds.x1),
            Push::Trail => (bounds.x0, bounds.y0, bounds.y1),
        }
    });
    match push {
        Push::Fence | Push::Lead => faces.max_by_key(|face| face.0),
        Push::Far | Push::Trail => faces.min_by_key(|face| face.0),
    }
}

/// How far a contact lies off the face of the part that is said to push there.
fn off_face(case: &Case, contact: &Contact) -> Length {
    // A contact of nothing that pushes is nowhere near a face.
    let Some((level, from, to)) = face(case, contact.part) else { return Length::INCH };
    let (across, along) = match push_of(contact.part) {
        Some(Push::Fence | Push::Far) => (contact.at.y, contact.at.x),
        _ => (contact.at.x, contact.at.y),
    };
    (across - level).abs().max(from - along).max(along - to)
}

/// How far the blank lies behind its contact: card fills so much.
fn off_blank(case: &Case, contact: &Contact) -> f64 {
    let bounds = case.blank;
    let ring: Vec<Mm> = match &case.design.blank.outline {
        Outline::Path(path) => path.flattened(FINE / 4.0),
        other => other.bounds().corners().map(to_mm).to_vec(),
    };
    let at = to_mm(contact.at);
    // Outermost place of the blank within reach of the mark, seen from the face.
    let place = |p: &Mm| match push_of(contact.part) {
        Some(Push::Fence) => (p.0 - at.0, p.1 - bounds.y0.to_mm()),
        Some(Push::Far) => (p.0 - at.0, bounds.y1.to_mm() - p.1),
        Some(Push::Trail) => (p.1 - at.1, bounds.x1.to_mm() - p.0),
        _ => (p.1 - at.1, p.0 - bounds.x0.to_mm()),
    };
    let mut least = f64::INFINITY;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let ((sa, da), (sb, db)) = (place(a), place(b));
        let mut take = |s: f64, d: f64| {
            if s.abs() <= 0.01 {
                least = least.min(d);
            }
        };
        take(sa, da);
        take(sb, db);
        if sa * sb < 0.0 {
            least = least.min(da + (db - da) * sa / (sa - sb));
        }
    }
    least
}

/// Moment and force of a push, moments about a corner of the carrier in units of 100 mm.
fn wrench(at: Mm, push: Mm) -> [f64; 3] {
    let (x, y) = (at.0 / 100.0, at.1 / 100.0);
    [x * push.1 - y * push.0, push.0, push.1]
}

/// Whether every contact to either side of its mark, along its face, leaves the blank no way to move.
pub(super) fn held(pushes: &[(Mm, Mm)], checks: &mut Vec<Check>) {
    let mut free = 0;
    // Five contacts make 32 cases; more than eight are not looked for.
    let count = pushes.len().min(8);
    for corner in 0..1_u32 << count {
        let moved = pushes.iter().take(count).enumerate().map(|(place, &((x, y), push))| {
            let off = if corner >> place & 1 == 1 { ASIDE } else { -ASIDE };
            wrench((x + off * push.1, y - off * push.0), push)
        });
        free += usize::from(!spans(&moved.collect::<Vec<_>>()));
    }
    none_of(checks, Rule::NestHeld, "places of the contacts that leave it free to move", free);
}

/// Whether wrenches span all motions with positive weights: no plane through nothing has all of them
/// on one side. It is enough to look at the planes that two of them span, as long as three are
/// independent: any other can be turned until it meets two.
fn spans(wrenches: &[[f64; 3]]) -> bool {
    let mut planes = 0;
    for (index, a) in wrenches.iter().enumerate() {
        for b in wrenches.iter().skip(index + 1) {
            let normal = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
            let long = normal.iter().map(|n| n * n).sum::<f64>().sqrt();
            if long < BESIDE {
                continue;
            }
            let sides = wrenches.iter().map(|w| (w[0] * normal[0] + w[1] * normal[1] + w[2] * normal[2]) / long);
            let (least, most) = sides.fold((0.0_f64, 0.0_f64), |(least, most), side| (least.min(side), most.max(side)));
            if least > -BESIDE || most < BESIDE {
                return false;
            }
            planes += 1;
        }
    }
    planes > 0
}

/// The contacts on the fence rail, and the push between them.
fn fence(case: &Case, contacts: &[Contact], checks: &mut Vec<Check>) {
    let along = |role: Role| contacts.iter().filter(move |contact| contact.part == role).map(|contact| contact.at.x);
    let (first, last) = (along(Role::FenceRail).min(), along(Role::FenceRail).max());
    let (Some(first), Some(last)) = (first, last) else {
        numbers(checks, Rule::FenceContacts, "contacts on the fence rail", 0.0, AtLeast, 2.0, "");
        return;
    };
    let half = case.blank.length().half_up();
    lengths(checks, Rule::FenceContacts, "contacts apart", last - first + SLIP, AtLeast, half);
    let between = along(Role::FarWedge).map(|at| (at - first).min(last - at)).min().unwrap_or(-Length::INCH);
    // A mark's width for the push and one for the contact.
    let aside = Length::from_mm(2.0 * ASIDE).unwrap_or_default();
    lengths(checks, Rule::FenceContacts, "push of the far wedges within them", between + SLIP, AtLeast, aside);
}

/// Turning moment of the trail wedges against what the far wedges hold down.
fn order(contacts: &[Contact], checks: &mut Vec<Check>) {
    let find = |role: Role| contacts.iter().find(|contact| contact.part == role).map(|contact| contact.at);
    let fence = contacts.iter().filter(|contact| contact.part == Role::FenceRail).map(|contact| contact.at.x);
    let (Some(lead), Some(trail), Some(far)) = (find(Role::LeadEnd), find(Role::TrailWedge), find(Role::FarWedge))
    else {
        return;
    };
    let arm = fence.map(|x| (far.x - x).abs()).min().unwrap_or_default();
    lengths(checks, Rule::DriveOrder, "trail push off the lead contact's line", (trail.y - lead.y).abs(), AtMost, arm);
}

/// A wedge in its place: extent along the face it rubs on, and thickness at either end of that extent.
#[derive(Debug, Clone, Copy)]
struct Wedge {
    from: Length,
    to: Length,
    /// Thickness where it begins and where it ends.
    ends: (Length, Length),
    /// Nearest to the blank.
    face: Length,
    /// Farthest from it.
    back: Length,
    top: Length,
}

impl Wedge {
    fn of(solid: &Solid, across: bool) -> Option<Wedge> {
        let turned = if across { solid.outline.clone() } else { solid::transposed(&solid.outline) };
        let Outline::Polygon(points) = &turned else { return None };
        let bounds = turned.bounds();
        let thick = |x: Length| {
            let ys = || points.iter().filter(|point| point.x == x).map(|point| point.y);
            Some(ys().max()? - ys().min()?)
        };
        Some(Wedge {
            from: bounds.x0,
            to: bounds.x1,
            ends: (thick(bounds.x0)?, thick(bounds.x1)?),
            face: bounds.y0,
            back: bounds.y1,
            top: solid.z1,
        })
    }

    fn length(&self) -> Length {
        self.to - self.from
    }

    fn slope(&self) -> f64 {
        (self.ends.1 - self.ends.0).to_mm().abs() / self.length().to_mm().max(f64::MIN_POSITIVE)
    }
}

/// The two wedges between the blank and a rail or bar.
struct Pair {
    glued: Wedge,
    driven: Wedge,
    /// Where the thick end of the driven one meets something when it is backed out.
    stop: Length,
    /// How far the slopes stand off each other.
    apart: Length,
    swept: bool,
}

impl Pair {
    fn of(case: &Case, role: Role) -> Option<Pair> {
        let across = role == Role::FarWedge;
        let wedges: Vec<(&Solid, Wedge)> = case
            .solids
            .0
            .iter()
            .filter(|solid| solid.role == role)
            .map(|solid| Some((solid, Wedge::of(solid, across)?)))
            .collect::<Option<_>>()?;
        let [one, other] = wedges.as_slice() else { return None };
        let (glued, driven) = if one.1.face > other.1.face { (one, other) } else { (other, one) };
        // Each fills its part of the gap: driven against the blank, glued against the part behind.
        let touches_blank = if across { case.blank.y1 } else { case.blank.x1 };
        let behind = if across { case.room.y1 } else { case.room.x1 };
        if (driven.1.face - touches_blank).abs() > SLIP || (glued.1.back - behind).abs() > SLIP {
            return None;
        }
        let (g, d) = (glued.1, driven.1);
        // Thick end on the far side of the way it is driven, the glued one's the other way.
        if d.ends.1 <= d.ends.0 || g.ends.1 >= g.ends.0 {
            return None;
        }
        // Along a face common to both the two thicknesses make the gap.
        let gap = behind - touches_blank;
        let at = d.from.max(g.from);
        let share = |w: &Wedge, x: Length| {
            let part = (x - w.from).to_mm() / w.length().to_mm().max(f64::MIN_POSITIVE);
            w.ends.0.to_mm() + (w.ends.1 - w.ends.0).to_mm() * part
        };
        let apart = Length::from_mm((share(&d, at) + share(&g, at) - gap.to_mm()).abs())?;
        // Whatever part stands behind the driven wedge, in the row it is driven along.
        let row = |solid: &&Solid| {
            let bounds = if across { solid.outline.bounds() } else { solid::transposed_rect(solid.outline.bounds()) };
            let level = solid.z1 > driven.0.z0 && solid.z0 < driven.0.z1;
            let beside = bounds.y0 < d.face + d.ends.1 && bounds.y1 > d.face + SLIP;
            level && beside && bounds.x0 + SLIP >= d.to && !is_wedge(solid.role)
        };
        let edge = if across { case.plan.x1 } else { case.plan.y1 };
        let start = |solid: &Solid| if across { solid.outline.bounds().x0 } else { solid.outline.bounds().y0 };
        let stop = case.solids.0.iter().filter(row).map(start).min().unwrap_or(edge);
        let reach = case.request.carve.cutter.half_up() + case.request.carve.overrun;
        let cut = case.design.carve.grown(reach);
        let whole = case.request.machine.kind != crate::library::MachineKind::Carver;
        let over = |solid: &Solid| {
            let bounds = solid.outline.bounds();
            bounds.x0 < cut.x1 && cut.x0 < bounds.x1 && bounds.y0 < cut.y1 && cut.y0 < bounds.y1
        };
        Some(Pair { glued: g, driven: d, stop, apart, swept: whole || over(glued.0) || over(driven.0) })
    }

    fn check(&self, case: &Case, error: Length, name: &str, checks: &mut Vec<Check>) {
        let shop = &case.request.shop;
        for (which, wedge) in [("glued", &self.glued), ("driven", &self.driven)] {
            // A micrometre over a wedge's length is rounding.
            let slope = wedge.slope() - 1e-4;
            numbers(
                checks,
                Rule::WedgeShape,
                &format!("slope of the {which} one, {name}"),
                slope,
                AtMost,
                STEEPEST,
                "",
            );
            let friction = 2.0 * libm::atan(FRICTION);
            let angle = libm::atan(wedge.slope());
            numbers(
                checks,
                Rule::WedgeShape,
                &format!("angle of the {which} one, {name}"),
                angle,
                AtMost,
                friction,
                "rad",
            );
            let thin = wedge.ends.0.min(wedge.ends.1);
            lengths(checks, Rule::WedgeShape, &format!("thin end of the {which} one, {name}"), thin, AtLeast, THINNEST);
        }
        lengths(checks, Rule::WedgeShape, &format!("slopes apart, {name}"), self.apart, AtMost, SLIP);
        // Travel changes the gap by the slope.
        let (glued, driven) = (&self.glued, &self.driven);
        let shorter = glued.length().min(driven.length()).to_mm();
        let set = (driven.from - glued.from).to_mm();
        let slope = driven.slope();
        let room = (self.stop - driven.to - DRIFT).to_mm();
        let growth = case.along.growth.max(case.across.growth);
        let saw = shop.tolerance * 2;
        let larger = (error * 2 + growth + saw).to_mm();
        let out = ((1.0 - OVERLAP) * shorter - set).min(room) * slope;
        numbers(checks, Rule::WedgeTravel, &format!("{name} back out by"), out + SLIP.to_mm(), AtLeast, larger, "mm");
        numbers(
            checks,
            Rule::WedgeTravel,
            &format!("{name} drive in by"),
            set * slope + SLIP.to_mm(),
            AtLeast,
            saw.to_mm(),
            "mm",
        );
        let behind = self.stop - driven.to - Length::from_mm(larger / slope.max(1e-6)).unwrap_or_default();
        lengths(checks, Rule::WedgeRoom, &format!("behind the {name}"), behind + SLIP, AtLeast, DRIFT);
        let limit = if self.swept { case.top - case.depth_below_top() - BELOW } else { case.top };
        lengths(checks, Rule::WedgeHeight, &format!("top of the {name}"), glued.top.max(driven.top), AtMost, limit);
    }
}
