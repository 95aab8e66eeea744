//! A checked request: the job with every default filled in and every number in bounds.
//!
//! Everything after this module works from a [`Request`]; nothing after it can meet a missing or
//! impossible number.

mod angle;
mod blank;
mod build;
mod cutting;
mod loads;
mod movement;
mod outline;
mod round;
mod screws;
mod second_side;
mod sheet;
mod shop;
mod slope;
mod stands;
mod strip;
mod warp;

pub use angle::Angle;
pub use build::{build, from_sizes, from_sizes_with, from_toml, from_toml_with};
pub use cutting::{Cutting, SOURCE as CUTTING_SOURCE};
pub use loads::Loads;
pub use movement::Moves;
pub use round::{Level, Round, RoundKind, Seat, arc_radius_mm};
pub use screws::ScrewChoice;
pub use second_side::{Flip, SecondSide};
pub use sheet::{Paper, Projection, SheetStyle, Standard};
pub use shop::{Material, material};
pub use slope::{Slope, ThickEnd};
pub use stands::Stands;
pub use strip::{CutApart, Strip};
pub use warp::Warp;

use std::collections::BTreeSet;

use crate::geometry::path::Path;
use crate::length::{Length, Measured, Ruler, Unit};
use crate::library::{Machine, MaterialKind};

/// A checked job.
#[derive(Debug, Clone)]
pub struct Request {
    /// Job name for the sheet.
    pub name: String,
    /// Date to print, if the job states one (the program never asks a clock).
    pub date: Option<String>,
    /// Unit for numbers without one, and for printing.
    pub units: Unit,
    /// The machine the carrier is for.
    pub machine: Machine,
    /// The shop.
    pub shop: Shop,
    /// How the sheets are drawn, and on what.
    pub sheet: SheetStyle,
    /// The blank.
    pub blank: Blank,
    /// The cut.
    pub carve: Carve,
    /// The hold wanted; `None` lets the solver choose.
    pub hold: Option<Hold>,
    /// Thickness of the hold's adhesive where the job states it.
    pub hold_thickness: Option<Length>,
    /// What the blank may be screwed down with, where the job asks for that.
    pub screws: ScrewChoice,
    /// Stock on hand, then stock that can be bought, in the order to try them.
    pub stock: Vec<Stock>,
    /// Solid board that rails and ends are planed from: its `thickness` is the thickest that can be had.
    pub board: Stock,
    /// The shop's own stands; `None` where their places are suggested.
    pub stands: Option<Stands>,
    /// Construction the job insists on, by its id.
    pub construction: Option<String>,
    /// What a carrier for several blanks is chosen by.
    pub objective: Objective,
    /// Every default that was used, to be printed.
    pub assumptions: Vec<Assumption>,
    /// Doubts about the job that belong on the sheet (a tape reading of thickness, one reading only).
    pub cautions: Vec<String>,
}

impl Request {
    /// Plan dimensions are rounded to this step.
    pub fn step(&self) -> Length {
        self.shop.ruler.step
    }

    /// Depths and thicknesses are rounded to this step.
    pub fn depth_step(&self) -> Length {
        self.shop.depth_ruler.step
    }

    /// Modulus of elasticity of a material the carrier is made of, N/mm2; of card and other things that
    /// are no stock, nothing.
    pub fn elasticity_of(&self, material: &str) -> f64 {
        let mut pile = self.stock.iter().chain([&self.board]);
        pile.find(|stock| stock.name == material).map_or(0.0, |stock| stock.elasticity)
    }
}

/// What a carrier for several blanks is chosen by. Wood is counted as if each load had a carrier of its
/// own, so that one small carrier loaded over and over does not pass for the most sparing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Objective {
    /// Fewest loads, then least wood: the least handling.
    #[default]
    FewestLoads,
    /// Least carrier area for all loads together, then fewest loads.
    LeastWood,
    /// Fewest loads, of those the shortest carrier.
    Shortest,
    /// Every pocket filled in every load; of those the fewest loads, then the shortest carrier.
    NoEmptyPockets,
}

impl Objective {
    /// Every objective, the default first.
    pub const ALL: [Objective; 4] =
        [Objective::FewestLoads, Objective::LeastWood, Objective::Shortest, Objective::NoEmptyPockets];

    /// Name in job files.
    pub fn id(self) -> &'static str {
        match self {
            Objective::FewestLoads => "fewest-loads",
            Objective::LeastWood => "least-wood",
            Objective::Shortest => "shortest",
            Objective::NoEmptyPockets => "no-empty-pockets",
        }
    }

    /// The objective in words, for sheets.
    pub fn words(self) -> &'static str {
        match self {
            Objective::FewestLoads => "fewest loads, then least wood",
            Objective::LeastWood => "least wood for all loads",
            Objective::Shortest => "fewest loads, then the shortest carrier",
            Objective::NoEmptyPockets => "no empty pockets, then the shortest carrier",
        }
    }
}

/// A default that was used, as it is printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumption {
    /// The job-file key it stands in for, such as `shop.kerf`.
    pub key: String,
    /// The value, as printed.
    pub value: String,
    /// Where the value comes from.
    pub source: String,
}

/// Tools a shop may own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "named by their trade names")]
pub enum Tool {
    TableSaw,
    MitreSaw,
    BandSaw,
    Jigsaw,
    DrillPress,
    Router,
    Planer,
    DrumSander,
    Jointer,
    Carver,
    Chisel,
}

/// The shop's tools and habits.
#[derive(Debug, Clone)]
pub struct Shop {
    /// Ruler for plan dimensions.
    pub ruler: Ruler,
    /// Ruler for depths and thicknesses (never coarser than `ruler`).
    pub depth_ruler: Ruler,
    /// Plus or minus on every sawn edge.
    pub tolerance: Length,
    /// Width of the saw kerf.
    pub kerf: Length,
    /// Slip clearance on each side of the blank, on top of the measuring uncertainty.
    pub clearance: Length,
    /// Tools owned.
    pub tools: BTreeSet<Tool>,
    /// Shortest piece the thickness planer takes.
    pub planer_shortest: Length,
    /// Shortest piece the drum sander takes.
    pub sander_shortest: Length,
    /// Thinnest piece the thickness planer leaves.
    pub planer_thinnest: Length,
    /// Widest piece the thickness planer takes.
    pub planer_widest: Length,
    /// Widest piece the drum sander takes.
    pub sander_widest: Length,
    /// Thickest piece the table saw cuts in one pass.
    pub saw_height: Length,
    /// Widest piece the mitre saw cuts off.
    pub mitre_width: Length,
    /// Thickest piece the mitre saw cuts off.
    pub mitre_height: Length,
    /// Diameter of the cutter that sinks pockets.
    pub pocket_cutter: Length,
    /// Estimates of force and strength, all editable.
    pub estimates: Estimates,
}

/// Forces and strengths: judgement, not measurement. Every one is editable in the job.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimates {
    /// Lifting strength of cloth tape, psi.
    pub bond_lift_psi: f64,
    /// Sliding strength of cloth tape, psi.
    pub bond_slide_psi: f64,
    /// Lifting strength of film tape, psi.
    pub film_lift_psi: f64,
    /// Sliding strength of film tape, psi.
    pub film_slide_psi: f64,
    /// Side force of the cutter that carves, lbf.
    pub side_force_lbf: f64,
    /// Lifting force of the cutter, lbf.
    pub lift_force_lbf: f64,
    /// Force of the far guide on a rail, lbf.
    pub guide_force_lbf: f64,
    /// Heaviest carrier with blank for one person, kg.
    pub one_person_kg: f64,
    /// Density of the blank, kg/m3.
    pub blank_density: f64,
    /// What presses on the carrier, and how stiff things are.
    pub loads: Loads,
}

impl Estimates {
    /// Strength of a bond against lifting and against sliding, psi: that of film tape, or of cloth tape for any
    /// other hold.
    pub fn bond_psi(&self, hold: Hold) -> (f64, f64) {
        match hold {
            Hold::Film => (self.film_lift_psi, self.film_slide_psi),
            _ => (self.bond_lift_psi, self.bond_slide_psi),
        }
    }
}

/// Plan shape of a blank.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shape {
    /// Rectangle: length and width.
    Rectangle,
    /// Disc: length and width are both the diameter.
    Disc,
    /// One straight edge, the other converging: `width` is the wider end, this the narrower one.
    Taper {
        /// Width at the narrow end.
        narrow: Measured,
        /// Whether the wide end leads.
        wide_leads: bool,
    },
    /// Any outline: length and width are those of the box round it.
    Outline(Drawn),
    /// Round in section, along the feed; lies in a cradle. `width` and `thickness` are those of the
    /// section: of a rod both the diameter, of a spindle both the diameter of its thick end.
    Round(Round),
}

/// An outline as it was captured.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawn {
    /// Seen from above, the near corner of its bounds at zero, loaded as drawn.
    pub path: Path,
    /// How far the true edge may lie from it, each way: method, stations and simplification together.
    pub error: Length,
    /// How it was captured, in words.
    pub method: String,
    /// The first station, at the lead end as drawn, where it was typed as offsets from a baseline.
    pub first_station: Option<Length>,
}

/// A blank of another outline, carved in the same carrier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Other {
    /// What it is called on the sheets.
    pub name: String,
    /// Its outline.
    pub drawn: Drawn,
    /// How many alike.
    pub count: u32,
}

/// The blank as measured.
#[derive(Debug, Clone)]
pub struct Blank {
    /// Plan shape.
    pub shape: Shape,
    /// Along the feed, as loaded before any turn (uncertainty filled in).
    pub length: Measured,
    /// Across the feed (uncertainty filled in).
    pub width: Measured,
    /// Thickness; `None` when the user has not measured it (no depth is then given).
    pub thickness: Option<Measured>,
    /// How many alike; of several outlines, how many of this one.
    pub count: u32,
    /// What this outline is called on the sheets, where there are others.
    pub name: String,
    /// Blanks of other outlines that are carved beside it, alike in all else.
    pub others: Vec<Other>,
    /// Wood, as a row of the library.
    pub wood: Option<String>,
    /// Whether the blank may be loaded turned by 90 degrees.
    pub turn_free: bool,
    /// Radius of the blank's own corners, zero for sharp.
    pub corner_radius: Length,
    /// Relief standing above the border, zero for a plain top.
    pub relief_height: Length,
    /// Whether the top must not be rolled on.
    pub fragile: bool,
    /// Whether there is no second one.
    pub irreplaceable: bool,
    /// How far it is from flat, where that was stated.
    pub warp: Option<Warp>,
    /// How it tapers in thickness, where it does; `thickness` is that of the thick end.
    pub slope: Option<Slope>,
    /// How far it is turned, where it is a rectangle set at an angle: its outline is then that of the
    /// turned rectangle, length and width those of the box round it.
    pub angle: Option<Angle>,
    /// The parts in it, where it is a strip that is sawn apart after carving.
    pub strip: Option<Strip>,
    /// The face carved already, which lies down.
    pub second_side: Option<SecondSide>,
    /// What an opening must be longer by than the blank is today: for its growth, or because the opening closes more.
    pub growth_length: Length,
    /// What an opening must be wider by.
    pub growth_width: Length,
    /// How far blank and carrier move, whichever way.
    pub moves: Moves,
}

impl Blank {
    /// Blanks to be carved in all, of every outline.
    pub fn pieces(&self) -> u32 {
        self.others.iter().map(|other| other.count).fold(self.count, u32::saturating_add)
    }

    /// Diagonals are checked in the request; this is the plan area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        let (l, w) = (self.length.nominal.to_mm(), self.width.nominal.to_mm());
        match &self.shape {
            Shape::Rectangle => l * w,
            Shape::Disc => std::f64::consts::FRAC_PI_4 * l * l,
            Shape::Outline(drawn) => drawn.path.area_mm2(),
            Shape::Taper { narrow, .. } => l * (w + narrow.nominal.to_mm()) / 2.0,
            Shape::Round(round) => {
                let other = round.small().map_or(w, |small| small.nominal.to_mm());
                l * (w + other) / 2.0
            }
        }
    }

    /// Volume without relief, cubic millimetres, for a thickness of `thickness`.
    pub fn volume_mm3(&self, thickness: Length) -> f64 {
        let (l, w, t) = (self.length.nominal.to_mm(), self.width.nominal.to_mm(), thickness.to_mm());
        let Shape::Round(round) = &self.shape else {
            return self.area_mm2() * self.mean_thickness(thickness).to_mm();
        };
        match &round.kind {
            RoundKind::Rod => l * std::f64::consts::FRAC_PI_4 * w * w,
            // A piece of a round: the sector less its triangle.
            RoundKind::RoundUp | RoundKind::FlatUp => {
                let radius = arc_radius_mm(w, t);
                let turn = libm::acos(((radius - t) / radius).clamp(-1.0, 1.0));
                l * (radius * radius * turn - (radius - t) * w / 2.0)
            }
            // A cone cut off.
            RoundKind::Spindle { small, .. } => {
                let s = small.nominal.to_mm();
                l * std::f64::consts::PI / 12.0 * (w * w + w * s + s * s)
            }
        }
    }

    /// The section, where it is round.
    pub fn round(&self) -> Option<&Round> {
        match &self.shape {
            Shape::Round(round) => Some(round),
            Shape::Rectangle | Shape::Disc | Shape::Taper { .. } | Shape::Outline(_) => None,
        }
    }

    /// Thickness at the thinnest place; `None` where it has not been measured.
    pub fn thinnest(&self) -> Option<Length> {
        let whole = self.thickness.as_ref().map(|thickness| thickness.nominal);
        self.slope.as_ref().map_or(whole, |slope| whole.map(|whole| whole.min(slope.thin.nominal)))
    }

    /// Thickness in the middle of the two ends, from the nominal thickness of the thick one.
    pub fn mean_thickness(&self, thick: Length) -> Length {
        self.slope.as_ref().map_or(thick, |slope| (thick + slope.thin.nominal).half())
    }
}

/// How far the cutter goes through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Through {
    /// It does not.
    No,
    /// Holes within the blank; its edge stays.
    Inside,
    /// All round: the part is cut free of the blank.
    AllRound,
}

/// What is to be carved.
#[derive(Debug, Clone)]
pub struct Carve {
    /// Length of the carve area along the feed (before any turn).
    pub length: Length,
    /// Width of the carve area.
    pub width: Length,
    /// Uncarved margin at the blank's lead end.
    pub margin_lead: Length,
    /// Uncarved margin at the trail end.
    pub margin_trail: Length,
    /// Uncarved margin at the fence side.
    pub margin_fence: Length,
    /// Uncarved margin at the far side, of a taper from the far side of its wide end.
    pub margin_far: Length,
    /// Whether the user stated the carve area (only then are margins credited to the end allowance).
    pub stated: bool,
    /// Deepest the tip goes below the highest thing on top, through cuts not counted.
    pub depth: Length,
    /// Through cut.
    pub through: Through,
    /// How far a through cut goes past the underside.
    pub penetration: Length,
    /// Diameter of the largest cutter used.
    pub cutter: Length,
    /// Length of its flutes; `None` when not stated.
    pub flute: Option<Length>,
    /// How far the cutter's edge runs past the outline of the cut.
    pub overrun: Length,
    /// Width of the finest line of the artwork; `None` when not stated.
    pub finest: Option<Length>,
}

/// How a blank is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hold {
    /// Snug edges with card shims.
    Snug,
    /// Wedges at the trail and far sides.
    Wedge,
    /// Double-sided cloth tape.
    Tape,
    /// Double-sided film tape.
    Film,
    /// Hot glue or glue spots at the edges.
    HotGlue,
    /// Off-centre keepers at the trail and far sides, turned by hand.
    Keeper,
    /// Wood screws from below, through the floor into the blank.
    Screws,
}

impl Hold {
    /// Name in job files.
    pub fn id(self) -> &'static str {
        match self {
            Hold::Snug => "snug",
            Hold::Wedge => "wedge",
            Hold::Tape => "tape",
            Hold::Film => "film",
            Hold::HotGlue => "hot-glue",
            Hold::Keeper => "keeper",
            Hold::Screws => "screws",
        }
    }

    /// Whether the underside of the blank is bonded.
    pub fn bonds_underside(self) -> bool {
        matches!(self, Hold::Tape | Hold::Film)
    }
}

/// A stock the carrier may be made from.
#[derive(Debug, Clone)]
pub struct Stock {
    /// Name to print, such as `MDF 3/4`.
    pub name: String,
    /// What it is.
    pub kind: MaterialKind,
    /// Actual thickness of one layer.
    pub thickness: Length,
    /// Layers glued together to make the stock.
    pub layers: u32,
    /// Length of the piece; `None` for stock that can be bought in any size.
    pub length: Option<Length>,
    /// Width of the piece.
    pub width: Option<Length>,
    /// How many; `None` for stock that can be bought.
    pub count: Option<u32>,
    /// Whether the thickness was calipered.
    pub calipered: bool,
    /// Density, kg/m3.
    pub density: f64,
    /// Modulus of elasticity, N/mm2.
    pub elasticity: f64,
}

impl Stock {
    /// Thickness of all layers together.
    pub fn total(&self) -> Length {
        self.thickness * i64::from(self.layers)
    }

    /// Whether it is on hand rather than to be bought.
    pub fn on_hand(&self) -> bool {
        self.count.is_some()
    }
}
