//! A second derivation of every inequality, from the finished parts alone.
//!
//! Nothing here looks at how the design came about. The parts' prisms and voids, the joints and the
//! cut list are taken as a stranger would take them, and held against the measured blank, the
//! machine and the shop. Numbers printed on the sheet (overall size, depth, mass, bond area) are
//! themselves checked against the solids.

mod angle;
mod boards;
mod cleat;
mod cradle;
mod cut_list;
mod cutter;
mod fit;
mod gang;
mod grip;
mod hold;
mod keeper;
mod making;
mod nest;
mod nested;
mod rollers;
mod sawn;
mod screws;
mod second_side;
mod size;
mod slanted;
mod solid;
mod spacing;
mod stiffness;
mod strip;
mod thickness;
mod warp;

use crate::design::{Check, Design, JointKind, Pocket, PocketKind, Quantity, Relation, Role, Status};
use crate::geometry::{Outline, Rect};
use crate::length::{Length, Measured};
use crate::request::{Hold, Request, Shape, Through};
use crate::rules::Rule;
pub use boards::{boards as check_boards, handed_over as check_handed_over};
pub use cut_list::cut_list as check_cut_list;
use solid::{Floor, Solids};

/// Checks a finished design against every rule of the table that applies to it, in the order of the
/// table. Rules that do not apply are left out.
pub fn verify(request: &Request, design: &Design) -> Vec<Check> {
    // A blank of any outline may be loaded at any turn: all else is asked of the blank so turned.
    let turned = request.turned_by(design.turn);
    let request = turned.as_ref().unwrap_or(request);
    let case = Case::of(request, design);
    let mut checks = Vec::new();
    size::check(&case, &mut checks);
    cutter::check(&case, &mut checks);
    hold::check(&case, &mut checks);
    fit::check_always(&case, &mut checks);
    making::check_always(&case, &mut checks);
    warp::check(&case, &mut checks);
    thickness::check(&case, &mut checks);
    strip::check(&case, &mut checks);
    angle::check(&case, &mut checks);
    keeper::check(&case, &mut checks);
    screws::check(&case, &mut checks);
    second_side::check(&case, &mut checks);
    if case.carried() {
        rollers::check(&case, &mut checks);
        fit::check(&case, &mut checks);
        nest::check(&case, &mut checks);
        cleat::check(&case, &mut checks);
        making::check(&case, &mut checks);
        stiffness::check(&case, &mut checks);
        if let Some(gang) = &design.gang {
            gang::check(&case, gang, &mut checks);
        }
        cradle::check(&case, &mut checks);
    }
    checks.sort_by_key(|check| check.rule);
    checks
}

/// Everything the rules are asked about, worked out once from the solids.
struct Case<'a> {
    request: &'a Request,
    design: &'a Design,
    solids: Solids,
    /// Plan of what is fed: the box round the parts, or the blank where there are none.
    plan: Rect,
    /// Bed face.
    bed: Length,
    /// Highest point of any part.
    highest_part: Length,
    /// Height at which the rollers run.
    top: Length,
    /// Box round the blank as placed.
    blank: Rect,
    /// Outline of the blank, and of the pockets, arcs in chords.
    outline: Outline,
    openings: Vec<Outline>,
    /// The pocket the blank lies in.
    pocket: Option<&'a Pocket>,
    /// Plan of the pocket, or of the blank where there is none.
    room: Rect,
    floor: Option<Floor>,
    /// Along the feed.
    along: Axis<'a>,
    /// Across the feed.
    across: Axis<'a>,
    /// Least wood between the outer edges and the pocket (or the blank).
    walls: Walls,
}

/// One horizontal direction of the blank.
#[derive(Clone, Copy)]
struct Axis<'a> {
    measured: &'a Measured,
    growth: Length,
    /// Glued or pinched without slip, so that the opening is the blank's own size.
    glued: bool,
    /// The carrier's size is the blank's own: no sawn edge decides it.
    own: bool,
}

impl Axis<'_> {
    /// The largest the blank can be when it goes in.
    fn largest(&self) -> Length {
        if self.glued { self.measured.nominal } else { self.measured.high() + self.growth }
    }
}

/// Least wood between the carrier's edges and the pocket, per side; zero where there is none.
#[derive(Clone, Copy)]
struct Walls {
    lead: Length,
    trail: Length,
    fence: Length,
    far: Length,
}

impl<'a> Case<'a> {
    fn of(request: &'a Request, design: &'a Design) -> Case<'a> {
        // Strips under a round are not prisms, and are asked about on their own.
        let solids = Solids::of(&design.parts).upright();
        let blank = design.blank.outline.bounds();
        let (plan, bed, highest_part) = solids.extent().unwrap_or((blank, design.blank.z0, design.blank.z1));
        let pocket = design.pockets.iter().find(|pocket| holds(pocket.outline.bounds(), blank));
        let pocket = pocket.or(design.pockets.first());
        let room = pocket.map_or(blank, |pocket| pocket.outline.bounds());
        let outline = solid::in_chords(&design.blank.outline);
        let openings = design.pockets.iter().map(|pocket| solid::in_chords(&pocket.outline)).collect();
        let floor = solids.floor(&outline, design.blank.z0);
        let top = top_plane(&solids, plan, design);
        let (length, width) = (&request.blank.length, &request.blank.width);
        let (grows_along, grows_across) = (request.blank.growth_length, request.blank.growth_width);
        let ((along, grows_along), (across, grows_across)) = if design.turned {
            ((width, grows_across), (length, grows_along))
        } else {
            ((length, grows_along), (width, grows_across))
        };
        let glued = glued_axes(design, blank, room);
        let carried = !design.parts.is_empty();
        let axis = |measured, growth, glued, own| Axis { measured, growth, glued, own };
        let along = axis(along, grows_along, glued.0, carried && blank.x0 <= plan.x0 && blank.x1 >= plan.x1);
        let across = axis(across, grows_across, glued.1, carried && blank.y0 <= plan.y0 && blank.y1 >= plan.y1);
        // Of several pockets this one's walls are looked at; what stands between them is seen to elsewhere.
        let in_line = pocket.filter(|_| design.gang.is_some()).map(|pocket| Solids::of(&gang::beside(design, pocket)));
        let level = floor.map_or(bed, |floor| floor.level);
        let mut walls = walls(in_line.as_ref().unwrap_or(&solids), plan, room, level, top);
        if pocket.is_some_and(|pocket| matches!(pocket.outline, Outline::Path(_))) {
            // Between two sections a curve may come nearer: its box tells how near.
            walls.lead = walls.lead.min(room.x0 - plan.x0);
            walls.trail = walls.trail.min(plan.x1 - room.x1);
            walls.fence = walls.fence.min(room.y0 - plan.y0);
            walls.far = walls.far.min(plan.y1 - room.y1);
        }
        Case {
            request,
            design,
            solids,
            plan,
            bed,
            highest_part,
            top,
            blank,
            outline,
            openings,
            pocket,
            room,
            floor,
            along,
            across,
            walls,
        }
    }

    /// Whether there is a carrier at all.
    fn carried(&self) -> bool {
        !self.design.parts.is_empty()
    }

    /// Whether wedges hold the blank.
    fn wedged(&self) -> bool {
        self.solids.0.iter().any(|solid| matches!(solid.role, Role::FarWedge | Role::TrailWedge | Role::CleatWedge))
    }

    /// Whether cleats at angles hold it, away from the walls.
    fn cleated(&self) -> bool {
        self.solids.0.iter().any(|solid| solid.role.stands_at_angle())
    }

    /// Whether heights may be relied on.
    fn heights_known(&self) -> bool {
        self.request.blank.thickness.is_some()
    }

    /// Whether the cut goes through.
    fn through(&self) -> bool {
        self.request.carve.through != Through::No
    }

    /// Whether the top must not be rolled on.
    fn must_not_be_rolled(&self) -> bool {
        self.request.blank.fragile || self.design.bridge
    }

    /// Whether the blank lies with slip between two walls, along and across.
    fn slips(&self) -> (bool, bool) {
        let between = |axis: &Axis, near: Length, far: Length| {
            self.pocket.is_some() && !axis.glued && near > Length::ZERO && far > Length::ZERO
        };
        let walls = self.walls;
        (between(&self.along, walls.lead, walls.trail), between(&self.across, walls.fence, walls.far))
    }

    /// Play of the smallest blank along and across.
    fn play(&self) -> (Length, Length) {
        let play = |axis: &Axis, room: Length| (room - axis.measured.low()).or_zero();
        (play(&self.along, self.room.length()), play(&self.across, self.room.width()))
    }

    /// Deepest point the tip reaches.
    fn tip(&self) -> Length {
        let (blank, carve) = (&self.design.blank, &self.request.carve);
        let tip = cradle::lowest_surface(self).unwrap_or(blank.highest) - carve.depth;
        if self.through() { tip.min(blank.z0 - self.design.adhesive - carve.penetration) } else { tip }
    }

    /// Deepest cut below the top plane: as it follows from the solids or as printed, the larger.
    fn depth_below_top(&self) -> Length {
        (self.top - self.tip()).max(self.design.depth_below_top)
    }

    /// Whether the blank lies in a pocket cut by a round cutter.
    fn routed(&self) -> Option<(&'a Pocket, Length)> {
        self.pocket.zip(self.design.pocket_cutter)
    }

    /// Whether there is a pocket sunk into one board.
    fn blind(&self) -> bool {
        self.pocket.is_some_and(|pocket| pocket.kind == PocketKind::Blind)
    }
}

/// Whether `outer` holds `inner`.
fn holds(outer: Rect, inner: Rect) -> bool {
    outer.x0 <= inner.x0 && outer.y0 <= inner.y0 && outer.x1 >= inner.x1 && outer.y1 >= inner.y1
}

/// Height at which the rollers run: the highest surface that reaches the fence edge and is not
/// wholly covered by the blank; the blank's own top where it covers everything.
fn top_plane(solids: &Solids, plan: Rect, design: &Design) -> Length {
    let (blank, underside) = (design.blank.outline.bounds(), design.blank.z0);
    let covered = |bounds: Rect, z1: Length| holds(blank, bounds) && z1 <= underside;
    let open = solids.0.iter().filter(|solid| !covered(solid.outline.bounds(), solid.z1));
    open.filter(|solid| solid.outline.bounds().y0 <= plan.y0).map(|solid| solid.z1).max().unwrap_or(design.blank.z1)
}

/// Whether the blank is glued or pinched along and across: a joint says so, and no slip was left.
fn glued_axes(design: &Design, blank: Rect, room: Rect) -> (bool, bool) {
    let edge_joint = |kind| matches!(kind, JointKind::GlueSpots | JointKind::GluedButt | JointKind::Pinched);
    let names_blank = |between: &(String, String)| between.0 == "blank" || between.1 == "blank";
    let joints = || design.joints.iter().filter(|joint| edge_joint(joint.kind) && names_blank(&joint.between));
    let along = joints().any(|joint| joint.contact.length() < joint.contact.width());
    let across = joints().any(|joint| joint.contact.length() >= joint.contact.width());
    let tight = |room: Length, blank: Length| room - blank <= Length::micrometres(1);
    (along && tight(room.length(), blank.length()), across && tight(room.width(), blank.width()))
}

fn walls(solids: &Solids, plan: Rect, room: Rect, floor: Length, top: Length) -> Walls {
    // Half way up the walls: above any floor, below any top.
    let z = (floor + top).half();
    let (fence, far) = solids.walls(plan, room.x0, room.x1, z);
    let turned = solids.transposed();
    let (lead, trail) = turned.walls(solid::transposed_rect(plan), room.y0, room.y1, z);
    // Where the room reaches the carrier's edge nothing stands beside it, whatever stands opposite.
    let beside = |wall: Length, open: bool| if open { Length::ZERO } else { wall };
    Walls {
        lead: beside(lead, room.x0 <= plan.x0),
        trail: beside(trail, room.x1 >= plan.x1),
        fence: beside(fence, room.y0 <= plan.y0),
        far: beside(far, room.y1 >= plan.y1),
    }
}

/// Adds a check of two lengths.
fn lengths(checks: &mut Vec<Check>, rule: Rule, subject: &str, actual: Length, relation: Relation, required: Length) {
    checks.push(Check::of(rule, subject, Quantity::Length(actual), relation, Quantity::Length(required)));
}

/// Adds a check of two numbers.
fn numbers(
    checks: &mut Vec<Check>,
    rule: Rule,
    subject: &str,
    actual: f64,
    relation: Relation,
    required: f64,
    unit: &'static str,
) {
    let quantity = |number| Quantity::Number(number, unit);
    checks.push(Check::of(rule, subject, quantity(actual), relation, quantity(required)));
}

/// Adds a check that there are none of something.
fn none_of(checks: &mut Vec<Check>, rule: Rule, subject: &str, found: usize) {
    numbers(checks, rule, subject, found as f64, Relation::AtMost, 0.0, "");
}

/// Lowers a failure to a warning where a rule binds only in part.
fn only_warn(check: &mut Check) {
    if check.status == Status::Fail {
        check.status = Status::Warn;
    }
}
