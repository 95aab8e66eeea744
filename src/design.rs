//! A finished carrier: parts placed in space, and everything needed to build and run it.
//!
//! Coordinates: x along the feed from the lead end, y from the fence edge, z up from the bed face.

mod boards;
mod contact;
mod gang;
mod making;
mod screws;

pub use boards::{Against, BoardCut, BoardPlan, Direction, Leftover, PlacedPiece, Proof, SawnBoard, WantedPiece};
pub use contact::Contact;
pub use gang::{Gang, GangLayout, Kind, Nested};
pub use making::{Added, BuildStep, CutList, Operation, Parent, SawStep};
pub use screws::Screws;

use crate::geometry::heights::HeightGrid;
use crate::geometry::{Lay, Outline, Point, Rect};
use crate::length::{Length, Unit};
use crate::request::{Assumption, Hold, Strip};
use crate::rules::{Rule, Severity};
use crate::trace::Trace;

/// A turn in words, seen from above: `turned 12.3 degrees clockwise`, or `as drawn`.
pub fn turn_words(degrees: f64) -> String {
    if degrees == 0.0 {
        return "as drawn".to_owned();
    }
    format!("turned {:.1} degrees {}clockwise", degrees.abs(), if degrees > 0.0 { "counter-" } else { "" })
}

/// Length, width and thickness. For a part, length runs with the grain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Extent {
    /// Along the feed (carrier) or with the grain (part).
    pub length: Length,
    /// Across.
    pub width: Length,
    /// Thickness.
    pub thickness: Length,
}

/// A carrier design.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Construction id, such as `blind-pocket`.
    pub construction: &'static str,
    /// The construction in plain words, such as `Blind pocket in one board`.
    pub title: String,
    /// What distinguishes this candidate from others of the construction: stock, kind of end, hold.
    pub variant: String,
    /// Whether the blank is loaded turned by 90 degrees.
    pub turned: bool,
    /// Degrees counter-clockwise, seen from above, by which a blank of any outline is loaded turned
    /// from how it was drawn; zero for all other shapes.
    pub turn: f64,
    /// Overall size of what is fed. For `none`, the blank itself.
    pub carrier: Extent,
    /// The blank in its place.
    pub blank: PlacedBlank,
    /// Pockets, for the drawing and the report (the solid they are cut from has them as voids).
    pub pockets: Vec<Pocket>,
    /// The rows and columns of pockets, where several blanks lie in one carrier.
    pub gang: Option<Gang>,
    /// Where straight parts hold a blank that has no nest; empty where walls or glue all round do.
    pub contacts: Vec<Contact>,
    /// Parts to make. Empty for `none`.
    pub parts: Vec<Part>,
    /// Glued or pegged joints.
    pub joints: Vec<Joint>,
    /// Where no metal may be.
    pub keep_out: Option<KeepOut>,
    /// Area the cutter's centre and radius sweep, with overrun.
    pub swept: Rect,
    /// The carve area in carrier coordinates.
    pub carve: Rect,
    /// Deepest the tip goes below the top plane.
    pub depth_below_top: Length,
    /// How the blank is held.
    pub hold: Hold,
    /// Thickness of the adhesive under the blank.
    pub adhesive: Length,
    /// The screws that hold the blank from below, where they do; those of the first pocket.
    pub screws: Option<Screws>,
    /// Area of the bond under the blank, mm2; zero when the underside is not bonded.
    pub bond_area_mm2: f64,
    /// Whether the rails carry the rollers and the blank is sunk below them on purpose.
    pub bridge: bool,
    /// Whether the lead/far corner is to be clipped because the carrier is not symmetrical.
    pub clip_corner: bool,
    /// Diameter of the cutter that sinks the pocket, where there is one.
    pub pocket_cutter: Option<Length>,
    /// Machine operations the build asks of each part, in order, with their safe sizes.
    pub cut_list: CutList,
    /// Build sequence.
    pub steps: Vec<BuildStep>,
    /// Wishes (SHOULD rules) the solver knows it could not meet.
    pub waived: Vec<Rule>,
    /// Reasons for every dimension.
    pub trace: Trace,
    /// Every rule with its numbers, from the independent verification.
    pub checks: Vec<Check>,
    /// Defaults and estimates the design rests on.
    pub assumptions: Vec<Assumption>,
    /// Warnings, worst first; a sheet shows the first five, the report all.
    pub warnings: Vec<String>,
    /// Mass of carrier and blank, kg.
    pub mass_kg: f64,
    /// Whether every part comes out of stock on hand.
    pub uses_only_stock_on_hand: bool,
}

impl Design {
    /// The blank's datum corner in carrier coordinates.
    pub fn origin(&self) -> Point {
        let bounds = self.blank.outline.bounds();
        Point::new(bounds.x0, bounds.y0)
    }

    /// Blanks on the carrier when it is fully loaded.
    pub fn blanks_at_once(&self) -> usize {
        if self.gang.is_some() { self.pockets.len() } else { 1 }
    }

    /// The blank's outline in every pocket, in the order of the pockets: in rows each lies in its pocket as
    /// the first does in its own.
    pub fn blank_outlines(&self) -> Vec<Outline> {
        if let Some(gang) = self.gang.as_ref().filter(|gang| gang.is_free()) {
            return gang.nested.iter().map(|nested| nested.blank.clone()).collect();
        }
        self.lays().iter().map(|lay| lay.outline(&self.blank.outline)).collect()
    }

    /// How every blank lies off the first, in the order of the pockets.
    fn lays(&self) -> Vec<Lay> {
        let (Some(gang), Some(first)) = (&self.gang, self.pockets.first()) else { return vec![Lay::default()] };
        let lay =
            |(place, pocket): (usize, &Pocket)| Lay::between(&first.outline, &pocket.outline, gang.is_turned(place));
        self.pockets.iter().enumerate().map(lay).collect()
    }

    /// The off-centre keepers, at the trail side and at the far side.
    pub fn keepers(&self) -> Vec<Keeper> {
        let blank = self.blank.outline.bounds();
        let places = self.parts.iter().filter(|part| part.role == Role::Keeper).flat_map(|part| &part.places);
        places
            .filter_map(|place| match place.outline {
                Outline::Disc { centre, diameter } => Some((centre, diameter)),
                _ => None,
            })
            .map(|(park, diameter)| {
                let towards = |by: Length| {
                    let trail = park.x > blank.x1;
                    if trail { Point::new(park.x - by, park.y) } else { Point::new(park.x, park.y - by) }
                };
                Keeper { diameter, park, pivot: towards(Keeper::OFF), lock: towards(Keeper::OFF * 2) }
            })
            .collect()
    }

    /// The parts of a strip in every blank, in the order of the blanks; nothing where the blank is none.
    pub fn strip_parts(&self, strip: &Strip) -> Vec<Rect> {
        let there = |outline: Outline| {
            let lay = self.laid(strip, outline.bounds());
            let part = move |part: Rect| {
                let (a, b) = (lay(Point::new(part.x0, part.y0)), lay(Point::new(part.x1, part.y1)));
                Rect::new(a.x.min(b.x), a.y.min(b.y), a.x.max(b.x), a.y.max(b.y))
            };
            strip.parts().into_iter().map(part)
        };
        self.blank_outlines().into_iter().flat_map(there).collect()
    }

    /// The lines along which the strips are sawn apart.
    pub fn strip_cuts(&self, strip: &Strip) -> Vec<[Point; 2]> {
        let there = |outline: Outline| {
            let lay = self.laid(strip, outline.bounds());
            strip.cuts().into_iter().map(move |[from, to]| [lay(from), lay(to)])
        };
        self.blank_outlines().into_iter().flat_map(there).collect()
    }

    /// Where a place in a strip lies once the strip is laid into `bounds`. A quarter turn brings the
    /// strip's fence side to the lead end and its trail end to the fence.
    fn laid(&self, strip: &Strip, bounds: Rect) -> impl Fn(Point) -> Point + Copy + use<> {
        let (turned, length) = (self.turned, strip.total());
        move |at: Point| {
            let at = if turned { Point::new(at.y, length - at.x) } else { at };
            Point::new(bounds.x0 + at.x, bounds.y0 + at.y)
        }
    }

    /// The carve area on every blank.
    pub fn carve_areas(&self) -> Vec<Rect> {
        // Whole blanks only are nested freely.
        if let Some(gang) = self.gang.as_ref().filter(|gang| gang.is_free()) {
            return gang.nested.iter().map(|nested| nested.blank.bounds()).collect();
        }
        self.lays().iter().map(|lay| lay.rect(self.carve)).collect()
    }

    /// Where the cutting planes of the sections meet: the middle of the blank; of a gang in the row at the
    /// fence, half way along it, clear of the figures at its ends.
    pub fn section_point(&self) -> Point {
        // A spindle is cut where the block of its thick end carries it.
        let block = self.parts.iter().find(|part| part.role == Role::CradleStrip).and_then(|part| part.places.first());
        if let Some(block) = block {
            return Point::new(block.outline.bounds().centre().x, self.blank.outline.bounds().centre().y);
        }
        let outlines = self.blank_outlines();
        let middle = self.gang.as_ref().map_or(0, |gang| gang.columns / 2);
        let outline = outlines.get(middle).unwrap_or(&self.blank.outline);
        Point::new(outline.bounds().centre().x, self.blank.outline.bounds().centre().y)
    }

    /// Where the section through the second block of a spindle is taken: its two blocks differ.
    pub fn second_section_point(&self) -> Option<Point> {
        let first = self.section_point();
        let strips = self.parts.iter().filter(|part| part.role == Role::CradleStrip).flat_map(|part| &part.places);
        let middles = strips.map(|place| place.outline.bounds().centre().x);
        middles.max_by_key(|x| (*x - first.x).abs()).filter(|x| *x != first.x).map(|x| Point::new(x, first.y))
    }

    /// Wood in the parts before anything is cut out of them, cubic millimetres.
    pub fn wood_mm3(&self) -> f64 {
        let places = self.parts.iter().flat_map(|part| &part.places);
        places.map(|place| place.outline.area_mm2() * (place.z1 - place.z0).to_mm()).sum()
    }

    /// Blank centre less carrier centre.
    pub fn centre_offset(&self) -> Point {
        let bounds = self.blank.outline.bounds();
        let doubled_x = bounds.x0 + bounds.x1 - self.carrier.length;
        let doubled_y = bounds.y0 + bounds.y1 - self.carrier.width;
        Point::new(doubled_x.half(), doubled_y.half())
    }
}

/// A round disc pegged off its middle, that advances on the blank as it is turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Keeper {
    /// Its diameter.
    pub diameter: Length,
    /// Its middle when it is parked, clear of the pocket.
    pub park: Point,
    /// The peg it turns on.
    pub pivot: Point,
    /// Its middle when it is turned as far as it goes towards the blank.
    pub lock: Point,
}

impl Keeper {
    /// From its middle to the peg. Common practice, no source.
    pub const OFF: Length = Length::inches(1, 8);
    /// Depth of the peg's hole in the base. Common practice, no source.
    pub const PEG_DEEP: Length = Length::inches(1, 4);

    /// Diameter of the peg, as dowel rod is sold in the sheet's unit. Common practice, no source.
    pub fn peg(unit: Unit) -> Length {
        match unit {
            Unit::Inch => Length::inches(3, 8),
            Unit::Millimetre => Length::MM * 10,
        }
    }
}

/// The blank as it lies in the carrier, at its nominal size, pushed to the datum corner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlacedBlank {
    /// Plan outline.
    pub outline: Outline,
    /// Underside.
    pub z0: Length,
    /// Top of the border.
    pub z1: Length,
    /// Highest relief on it (equal to `z1` for a plain top).
    pub highest: Length,
    /// Height of the underside of a blank that is not flat, or tapers in thickness, above `z0`, where
    /// it would lie without shims, in carrier coordinates; `z1` is then the highest place of its top, of
    /// a blank that tapers in thickness its whole top. `None` for a flat blank.
    pub underside: Option<HeightGrid>,
    /// Whether the thickness is measured; when not, heights are only for the drawing and no depth is printed.
    pub thickness_known: bool,
}

/// How a pocket is closed below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PocketKind {
    /// Sunk into one board.
    Blind,
    /// Through an upper layer, closed by a base.
    OnBase,
    /// Through, the blank lies on the machine's bed.
    Open,
}

/// Corner relief of a pocket that is cut with a round cutter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Relief {
    /// Diameter of the relief.
    pub diameter: Length,
    /// How far it bites past each wall.
    pub bite: Length,
    /// Whether it is bored on the corner itself rather than run in diagonally.
    pub bored: bool,
}

/// A pocket.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pocket {
    /// Outline in plan.
    pub outline: Outline,
    /// Floor.
    pub z0: Length,
    /// Top.
    pub z1: Length,
    /// How it is closed below.
    pub kind: PocketKind,
    /// Relief at its inside corners.
    pub relief: Option<Relief>,
}

/// What a part is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "trade names")]
pub enum Role {
    Board,
    Base,
    FenceRail,
    FarRail,
    LeadEnd,
    TrailEnd,
    NestHalf,
    Ring,
    CornerBlock,
    Packing,
    Web,
    Shim,
    CradleStrip,
    CradleRiser,
    FarWedge,
    TrailWedge,
    WedgeShim,
    Keeper,
    Cleat,
    BackingCleat,
    CleatWedge,
}

impl Role {
    /// Whether such parts may stand at an angle to the feed.
    pub fn stands_at_angle(self) -> bool {
        matches!(self, Role::Cleat | Role::BackingCleat | Role::CleatWedge)
    }

    /// Whether its pieces are alike and lie turned in the carrier, one to the other.
    pub fn lies_turned(self) -> bool {
        matches!(self, Role::FarWedge | Role::TrailWedge | Role::Keeper)
    }
}

/// Which way the grain of a part runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    /// With the feed.
    AlongFeed,
    /// Across the feed.
    AcrossFeed,
    /// Sheet stock without a direction that matters.
    None,
}

/// A part to make; equal parts share one row.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Piece letter: `A`, `B`, ...
    pub id: String,
    /// Trade name, such as `rail`.
    pub name: String,
    /// What it is for.
    pub role: Role,
    /// Material as printed.
    pub material: String,
    /// Finished size; for a tapered part the rectangle it is sawn from.
    pub size: Extent,
    /// Grain direction.
    pub grain: Grain,
    /// Density, kg/m3.
    pub density: f64,
    /// Layers glued to make the thickness.
    pub layers: u32,
    /// Where each of them goes; their number is the count.
    pub places: Vec<Place>,
    /// A remark for the cut list, such as `planed to the blank's thickness`.
    pub remark: Option<String>,
}

/// One part in its place: a prism less its voids.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Plan outline, before voids are cut.
    pub outline: Outline,
    /// Underside.
    pub z0: Length,
    /// Top.
    pub z1: Length,
    /// What is cut away.
    pub voids: Vec<Void>,
}

impl Place {
    /// Height of the top at a place in plan, where a wedge sawn off it is counted and no other void.
    pub fn top_at(&self, x: Length, y: Length) -> Length {
        let Some(slope) = self.voids.iter().find(|void| void.kind.is_slope()) else { return self.z1 };
        let bounds = slope.outline.bounds();
        let (at, from, to) = match slope.kind {
            VoidKind::SlopeAcross => (y, bounds.y0, bounds.y1),
            _ => (x, bounds.x0, bounds.x1),
        };
        if to <= from {
            return self.z1;
        }
        let share = ((at - from) / (to - from)).clamp(0.0, 1.0);
        let rise = Length::from_mm((slope.z1 - slope.z0).to_mm() * share).unwrap_or_default();
        slope.z0 + rise
    }
}

/// Why something is cut away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VoidKind {
    /// Pocket for the blank.
    Pocket,
    /// Corner relief.
    Relief,
    /// Gap in the wall of a nest for a finger to lift the blank.
    FingerGap,
    /// Room in the floor under relief on the blank's underside.
    Under,
    /// Hole to push the blank out from below.
    PushOut,
    /// Corner clipped so that the carrier cannot look right when fed backwards.
    ClippedCorner,
    /// Bevel along an edge: the wedge above the slope that rises from the part's edge at the bottom of
    /// the cut to the other side of the outline at its top.
    Bevel,
    /// Wedge sawn off the top: all of its height at the lead side, none at the trail side.
    SlopeAlong,
    /// The same, all of its height at the fence side, none at the far side.
    SlopeAcross,
    /// Notch in a wall in which a keeper turns.
    KeeperNotch,
    /// Hole for the peg a keeper turns on: through the keeper, blind in the base.
    PegHole,
    /// Hole through the floor for the shank of a screw.
    ScrewHole,
    /// Countersink for its head, as wide as it is at the bed face.
    Countersink,
}

impl VoidKind {
    /// Whether it is bored for a screw from below.
    pub fn is_for_screw(self) -> bool {
        matches!(self, VoidKind::ScrewHole | VoidKind::Countersink)
    }

    /// Whether it takes a wedge off the top, half of its box.
    pub fn is_slope(self) -> bool {
        matches!(self, VoidKind::SlopeAlong | VoidKind::SlopeAcross)
    }

    /// Whether it leaves wood under all of it but a line, so that the part's outline in plan stays.
    pub fn is_slanting(self) -> bool {
        self.is_slope() || self == VoidKind::Bevel
    }
}

/// A prism cut away from a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Void {
    /// Plan outline.
    pub outline: Outline,
    /// Bottom of the cut.
    pub z0: Length,
    /// Top of the cut.
    pub z1: Length,
    /// Why.
    pub kind: VoidKind,
}

/// How a joint is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JointKind {
    /// Wood glue.
    Glue,
    /// Glue with wooden pegs from below.
    GlueAndPegs,
    /// Glued butt with two loose pegs or dowels at mid-thickness.
    GluedButt,
    /// Glue spots that release.
    GlueSpots,
    /// Pinched by end screws outside the cut.
    Pinched,
}

/// A joint between two parts (or a part and the blank).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joint {
    /// Names of what is joined: part ids or `blank`.
    pub between: (String, String),
    /// Plan line or area of contact.
    pub contact: Rect,
    /// Lowest point of the joint face.
    pub z0: Length,
    /// Highest point of the joint face.
    pub z1: Length,
    /// How it is made.
    pub kind: JointKind,
}

/// Space that must stay free of metal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KeepOut {
    /// Plan area.
    pub area: Rect,
    /// Metal inside the area stays below this height.
    pub above: Length,
}

/// A quantity in a check.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Quantity {
    /// A length.
    Length(Length),
    /// A number with its unit (empty for ratios).
    Number(f64, &'static str),
}

/// Result of one check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Broken, and it must not be.
    Fail,
    /// Broken, with a warning.
    Warn,
    /// Holds.
    Pass,
}

/// Which side of the limit is safe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// Actual at least the limit.
    AtLeast,
    /// Actual at most the limit.
    AtMost,
    /// Actual equal to the limit.
    Equal,
}

/// One rule with its numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Check {
    /// The rule.
    pub rule: Rule,
    /// What was looked at, such as `lead end`.
    pub subject: String,
    /// Whether it holds.
    pub status: Status,
    /// The limit.
    pub required: Quantity,
    /// The value found.
    pub actual: Quantity,
    /// Which side is safe.
    pub relation: Relation,
}

impl Check {
    /// A check whose status follows from the numbers and the rule's severity.
    pub fn of(rule: Rule, subject: &str, actual: Quantity, relation: Relation, required: Quantity) -> Check {
        let margin = Self::margin_of(actual, relation, required);
        let holds = match margin {
            Quantity::Length(length) => length >= Length::ZERO,
            Quantity::Number(number, _) => number >= 0.0,
        };
        let status = match (holds, rule.info().severity) {
            (true, _) => Status::Pass,
            (false, Severity::Must) => Status::Fail,
            (false, Severity::Should) => Status::Warn,
        };
        Check { rule, subject: subject.to_owned(), status, required, actual, relation }
    }

    /// How much is to spare; negative when broken.
    pub fn margin(&self) -> Quantity {
        Self::margin_of(self.actual, self.relation, self.required)
    }

    fn margin_of(actual: Quantity, relation: Relation, required: Quantity) -> Quantity {
        match (actual, required) {
            (Quantity::Length(actual), Quantity::Length(required)) => Quantity::Length(match relation {
                Relation::AtLeast => actual - required,
                Relation::AtMost => required - actual,
                Relation::Equal => -(actual - required).abs(),
            }),
            (actual, required) => {
                let number = |quantity| match quantity {
                    Quantity::Length(length) => (length.to_mm(), "mm"),
                    Quantity::Number(number, unit) => (number, unit),
                };
                let ((actual, unit), (required, _)) = (number(actual), number(required));
                let margin = match relation {
                    Relation::AtLeast => actual - required,
                    Relation::AtMost => required - actual,
                    Relation::Equal => -(actual - required).abs(),
                };
                Quantity::Number(margin, unit)
            }
        }
    }
}
