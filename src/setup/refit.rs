//! A carrier as it was built: which limits it still meets, and what to set now.
//!
//! The measured sizes are put into the design's own geometry, and the second derivation is run over
//! the result. A finished carrier is measured, so no guard is kept inside the machine's limits and no
//! tolerance of the saw is allowed for.

use super::built::{Built, pocket_depth};
use super::landing::room;
use super::{SetupCard, remedy};
use crate::design::{Check, Design, Quantity, Relation, Status, VoidKind};
use crate::geometry::{Outline, Point, Rect};
use crate::length::{Length, Measured};
use crate::request::Request;
use crate::rules::Rule;
use crate::verify::verify;

/// Least wall left after the corner relief: 1/2 in, common practice, no source.
const WALL_LEAST: Length = Length::inches(1, 2);
/// Most that the width may differ from end to end: 1/32 in, common practice, no source.
const TAPER_MOST: Length = Length::inches(1, 32);
/// Metal stays this far below the deepest cut: 1/8 in, common practice, no source.
const METAL_BELOW: Length = Length::inches(1, 8);

/// Rules that depend on sizes a finished carrier may have changed. Limits of overall size and walls
/// are judged here, from the readings.
const LOOKED_AT: [Rule; 24] = [
    Rule::LeadEndAllowance,
    Rule::TrailEndAllowance,
    Rule::GripWanted,
    Rule::CutterWindow,
    Rule::RollerSupport,
    Rule::GapUnderRoller,
    Rule::StepUnderRoller,
    Rule::BlankFlush,
    Rule::BlankFlushLimit,
    Rule::DepthReach,
    Rule::HolderClears,
    Rule::PocketFloor,
    Rule::PocketFloorWanted,
    Rule::FloorAfterCut,
    Rule::RailWidth,
    Rule::FenceRail,
    Rule::PerimeterInside,
    Rule::FloorStiff,
    Rule::CarrierStiff,
    Rule::Tipping,
    Rule::ScrewTip,
    Rule::ScrewBite,
    Rule::ScrewHead,
    Rule::ScrewPlaces,
];

/// A size beside the one drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BuiltSize {
    /// Its name in the file of as-built sizes.
    pub name: &'static str,
    /// As drawn.
    pub drawn: Length,
    /// As measured (the mean of several readings); `None` where it was not.
    pub built: Option<Length>,
}

/// What can be done about a size that is out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// Leave it.
    Nothing,
    /// Lay something thin under the blank.
    Shim,
    /// Glue wood on.
    Pack,
    /// Take wood off.
    Recut,
    /// Carve less, or elsewhere.
    CarveLess,
    /// Make the carrier or the part again.
    Scrap,
}

impl Action {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Action::Nothing => "leave",
            Action::Shim => "shim",
            Action::Pack => "pack",
            Action::Recut => "re-cut",
            Action::CarveLess => "carve less",
            Action::Scrap => "scrap",
        }
    }
}

/// One limit that the carrier misses as built, or meets only with less reserve than drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule with its numbers; it fails, or warns.
    pub check: Check,
    /// What to do.
    pub action: Action,
    /// How much; zero where there is nothing to measure off.
    pub amount: Length,
    /// The same in words.
    pub text: String,
}

/// A carrier as it was built.
#[derive(Debug, Clone)]
pub struct Refit {
    /// The design with the measured sizes in it.
    pub design: Design,
    /// Its set-up card.
    pub card: SetupCard,
    /// Sizes drawn and built.
    pub sizes: Vec<BuiltSize>,
    /// Every limit that was looked at.
    pub checks: Vec<Check>,
    /// What is out: failures first.
    pub findings: Vec<Finding>,
    /// Metal inside the keep-out stays below this height now, where it is lower than drawn.
    pub metal_below: Option<Length>,
}

impl Refit {
    /// Whether the carrier can be run as it is.
    pub fn runs(&self) -> bool {
        self.checks.iter().all(|check| check.status != Status::Fail)
    }
}

/// Judges a design by the sizes measured on the finished carrier.
pub fn refit(request: &Request, design: &Design, built: &Built) -> Refit {
    let shift = Shift::of(design, built);
    let mut as_built = shift.design(design, built);
    let metal_below = as_built.keep_out.as_mut().and_then(|keep_out| {
        let highest = (as_built.carrier.thickness - as_built.depth_below_top - METAL_BELOW).or_zero();
        let lower = highest < keep_out.above && design.blank.thickness_known;
        lower.then(|| {
            keep_out.above = highest;
            highest
        })
    });
    let bare = bare(request);
    let mut checks = limits(&bare, design, built);
    // Nothing has been printed of a carrier as built.
    let looked_at = |check: &Check| LOOKED_AT.contains(&check.rule) && !check.subject.ends_with("as printed");
    checks.extend(verify(&bare, &as_built).into_iter().filter(looked_at).map(|mut check| {
        // The width wanted of a rail holds a reserve; what it must have is checked as its wall.
        // A hole that came nearer to the blank's edge than wanted is bored by then: with a pilot it need not split.
        let near = check.rule == Rule::ScrewPlaces && matches!(check.required, Quantity::Length(_));
        if (near || check.rule == Rule::RailWidth) && check.status == Status::Fail {
            check.status = Status::Warn;
        }
        check
    }));
    checks.extend(walls(&as_built));
    checks.sort_by_key(|check| check.rule);
    let findings = remedy::findings(request, &as_built, &checks);
    as_built.checks.clone_from(&checks);
    Refit {
        card: SetupCard::of(request, &as_built),
        sizes: sizes(design, built),
        design: as_built,
        checks,
        findings,
        metal_below,
    }
}

/// The request without what guards against sizes nobody has measured yet.
fn bare(request: &Request) -> Request {
    let mut bare = request.clone();
    bare.machine.length_guard = Length::ZERO;
    bare.machine.width_guard = Length::ZERO;
    bare.machine.thickness_guard = Length::ZERO;
    bare.shop.tolerance = Length::ZERO;
    bare
}

/// The readings against the machine's own limits: the least reading and the greatest.
fn limits(request: &Request, design: &Design, built: &Built) -> Vec<Check> {
    let machine = &request.machine;
    let range = |measured: &Option<Measured>, drawn: Length| {
        measured.as_ref().map_or((drawn, drawn), |measured| (measured.low(), measured.high()))
    };
    let length = (Rule::LengthMin, Rule::LengthMax, "length", machine.length);
    let width = (Rule::WidthMin, Rule::WidthMax, "width", machine.width);
    let thickness = (Rule::ThicknessMin, Rule::ThicknessMax, "thickness", machine.thickness);
    let mut sizes =
        vec![(length, range(&built.length, design.carrier.length)), (width, range(&built.width, design.carrier.width))];
    // Until blank or carrier is measured, the thickness drawn says nothing.
    if design.blank.thickness_known || built.thickness.is_some() {
        sizes.push((thickness, range(&built.thickness, design.carrier.thickness)));
    }
    let mut checks = Vec::new();
    for ((least, greatest, subject, limit), (low, high)) in sizes {
        checks.push(at(least, subject, low, Relation::AtLeast, limit.min));
        checks.push(at(greatest, subject, high, Relation::AtMost, limit.max));
    }
    if let Some(width) = built.width.as_ref().filter(|width| width.readings > 1) {
        let mut check = at(Rule::ParallelEdges, "width readings", width.spread(), Relation::AtMost, TAPER_MOST);
        if check.status == Status::Pass && width.spread() > machine.guide_gap {
            check.required = Quantity::Length(machine.guide_gap);
            check.status = Status::Warn;
        }
        checks.push(check);
    }
    checks
}

/// What is left of every side beyond the relief of the pocket's corners.
fn walls(design: &Design) -> Vec<Check> {
    let (room, carrier) = (room(design), design.carrier);
    let voids = design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let reliefs = voids.filter(|void| void.kind == VoidKind::Relief).map(|void| void.outline.bounds());
    let reach = reliefs.fold(room, |reach, relief| {
        Rect::new(reach.x0.min(relief.x0), reach.y0.min(relief.y0), reach.x1.max(relief.x1), reach.y1.max(relief.y1))
    });
    let sides = [
        ("lead end", room.x0, reach.x0),
        ("fence rail", room.y0, reach.y0),
        ("trail end", carrier.length - room.x1, carrier.length - reach.x1),
        ("far rail", carrier.width - room.y1, carrier.width - reach.y1),
    ];
    let walled = sides.into_iter().filter(|(_, wall, _)| *wall > Length::ZERO);
    walled.map(|(side, _, left)| at(Rule::WallAfterRelief, side, left, Relation::AtLeast, WALL_LEAST)).collect()
}

fn at(rule: Rule, subject: &str, actual: Length, relation: Relation, required: Length) -> Check {
    Check::of(rule, subject, Quantity::Length(actual), relation, Quantity::Length(required))
}

fn sizes(design: &Design, built: &Built) -> Vec<BuiltSize> {
    let nominal = |measured: &Option<Measured>| measured.as_ref().map(|measured| measured.nominal);
    let (room, known) = (room(design), design.blank.thickness_known);
    let rows = [
        ("length", Some(design.carrier.length), nominal(&built.length)),
        ("width", Some(design.carrier.width), nominal(&built.width)),
        ("thickness", Some(design.carrier.thickness).filter(|_| known), nominal(&built.thickness)),
        ("lead-end", Some(room.x0).filter(|wall| *wall > Length::ZERO), built.lead_end),
        ("fence-rail", Some(room.y0).filter(|wall| *wall > Length::ZERO), built.fence_rail),
        ("pocket-depth", pocket_depth(design).filter(|_| known), built.pocket_depth),
    ];
    rows.into_iter().filter_map(|(name, drawn, built)| drawn.map(|drawn| BuiltSize { name, drawn, built })).collect()
}

/// Where the edges of one horizontal direction have moved.
struct Edges {
    /// Wall nearest to the datum.
    wall: Length,
    /// The opposite wall.
    far_wall: Length,
    /// The carrier's edge beyond it.
    end: Length,
    /// How far pocket and blank moved.
    by: Length,
    /// How far the edge moved.
    end_by: Length,
}

impl Edges {
    fn of(wall: (Length, Option<Length>), far_wall: Length, end: (Length, Option<Length>)) -> Edges {
        let by = wall.1.map_or(Length::ZERO, |built| built - wall.0);
        // Where the blank itself ends the carrier, that edge moves with the blank.
        let end_by = if far_wall < end.0 { end.1.map_or(Length::ZERO, |built| built - end.0) } else { by };
        Edges { wall: wall.0, far_wall, end: end.0, by, end_by }
    }

    /// Where an edge of a part lies now. Edges nearer to the pocket go with the pocket, edges nearer
    /// to an outer edge go with that.
    fn moved(&self, edge: Length) -> Length {
        if edge >= self.end || edge > (self.far_wall + self.end).half() {
            edge + self.end_by
        } else if edge > self.wall.half().or_zero() {
            edge + self.by
        } else {
            edge
        }
    }
}

/// How the geometry of a design moves when measured sizes are put into it.
struct Shift {
    along: Edges,
    across: Edges,
    /// Floor of the pocket as drawn.
    floor: Length,
    /// Heights above this go with the top plane.
    middle: Length,
    floor_by: Length,
    top_by: Length,
}

impl Shift {
    fn of(design: &Design, built: &Built) -> Shift {
        let (room, carrier, blank) = (room(design), design.carrier, &design.blank);
        let nominal = |measured: &Option<Measured>| measured.as_ref().map(|measured| measured.nominal);
        let top_by = nominal(&built.thickness).map_or(Length::ZERO, |built| built - carrier.thickness);
        let drawn_depth = pocket_depth(design);
        let floor = drawn_depth.map_or(blank.z0 - design.adhesive, |depth| carrier.thickness - depth);
        let deeper = built.pocket_depth.zip(drawn_depth).map_or(Length::ZERO, |(built, drawn)| built - drawn);
        // A blank on the bed stays there.
        let floor_by = if floor > Length::ZERO { top_by - deeper } else { Length::ZERO };
        Shift {
            along: Edges::of((room.x0, built.lead_end), room.x1, (carrier.length, nominal(&built.length))),
            across: Edges::of((room.y0, built.fence_rail), room.y1, (carrier.width, nominal(&built.width))),
            floor,
            middle: (blank.z0 + carrier.thickness).half(),
            floor_by,
            top_by,
        }
    }

    fn height(&self, height: Length) -> Length {
        if height <= Length::ZERO {
            height
        } else if height > self.middle {
            height + self.top_by
        } else if height > self.floor.half() {
            height + self.floor_by
        } else {
            height
        }
    }

    /// Where a point of a part lies now.
    fn point(&self, point: Point) -> Point {
        Point::new(self.along.moved(point.x), self.across.moved(point.y))
    }

    fn part(&self, outline: &Outline) -> Outline {
        match outline {
            Outline::Rect(rect) => {
                let (near, far) = (self.point(Point::new(rect.x0, rect.y0)), self.point(Point::new(rect.x1, rect.y1)));
                Outline::Rect(Rect::new(near.x, near.y, far.x, far.y))
            }
            Outline::Disc { centre, diameter } => Outline::Disc { centre: self.point(*centre), diameter: *diameter },
            Outline::Polygon(points) => Outline::Polygon(points.iter().map(|point| self.point(*point)).collect()),
            // Only a nest has an outline of its own, and it lies with the blank.
            Outline::Path(path) => Outline::Path(path.moved(self.along.by, self.across.by)),
        }
    }

    /// What lies with the blank keeps its size.
    fn with_blank(&self, outline: &Outline) -> Outline {
        outline.moved(self.along.by, self.across.by)
    }

    fn area(&self, area: Rect) -> Rect {
        Rect::sized(area.x0 + self.along.by, area.y0 + self.across.by, area.length(), area.width())
    }

    fn design(&self, drawn: &Design, built: &Built) -> Design {
        let mut design = drawn.clone();
        let nominal =
            |measured: &Option<Measured>, drawn: Length| measured.as_ref().map_or(drawn, |measured| measured.nominal);
        design.carrier.length = nominal(&built.length, drawn.carrier.length);
        design.carrier.width = nominal(&built.width, drawn.carrier.width);
        design.carrier.thickness = drawn.carrier.thickness + self.top_by;
        for place in design.parts.iter_mut().flat_map(|part| &mut part.places) {
            place.outline = self.part(&place.outline);
            (place.z0, place.z1) = (self.height(place.z0), self.height(place.z1));
            for void in &mut place.voids {
                void.outline = match void.kind {
                    VoidKind::ClippedCorner | VoidKind::Bevel => self.part(&void.outline),
                    // Bored from the finished carrier's own edges.
                    VoidKind::ScrewHole | VoidKind::Countersink => void.outline.clone(),
                    VoidKind::PegHole
                    | VoidKind::Pocket
                    | VoidKind::Relief
                    | VoidKind::PushOut
                    | VoidKind::FingerGap
                    | VoidKind::Under
                    | VoidKind::SlopeAlong
                    | VoidKind::SlopeAcross
                    | VoidKind::KeeperNotch => self.with_blank(&void.outline),
                };
                (void.z0, void.z1) = (self.height(void.z0), self.height(void.z1));
            }
        }
        for pocket in &mut design.pockets {
            pocket.outline = self.with_blank(&pocket.outline);
            (pocket.z0, pocket.z1) = (self.height(pocket.z0), self.height(pocket.z1));
        }
        design.blank.outline = self.with_blank(&drawn.blank.outline);
        for nested in design.gang.iter_mut().flat_map(|gang| &mut gang.nested) {
            nested.blank = self.with_blank(&nested.blank);
        }
        design.blank.underside =
            drawn.blank.underside.as_ref().map(|underside| underside.moved(self.along.by, self.across.by));
        design.blank.z0 += self.floor_by;
        design.blank.z1 += self.floor_by;
        design.blank.highest += self.floor_by;
        if let Some(screws) = &mut design.screws {
            screws.bite = screws.tip - design.blank.z0;
        }
        design.carve = self.area(drawn.carve);
        design.swept = self.area(drawn.swept);
        if let Some(keep_out) = &mut design.keep_out {
            keep_out.area = self.area(keep_out.area);
        }
        design.depth_below_top = drawn.depth_below_top + self.top_by - self.floor_by;
        design
    }
}
