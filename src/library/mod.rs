//! Reference tables: woods, sheet goods, machines, cutters, paper.
//!
//! The program embeds `shared/*.toml`; a user's own file overrides rows by their `id`.

use crate::length::Length;

/// Least and greatest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Least.
    pub min: Length,
    /// Greatest.
    pub max: Length,
}

/// What kind of through-feed machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MachineKind {
    /// Computer-controlled carver.
    Carver,
    /// Thickness planer.
    Planer,
    /// Drum sander.
    DrumSander,
}

/// A machine profile: what it accepts and where its parts are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Machine {
    /// Row name.
    pub id: String,
    /// Plain description.
    pub name: String,
    /// What it is.
    pub kind: MachineKind,
    /// Board length it accepts.
    pub length: Limits,
    /// Board width it accepts.
    pub width: Limits,
    /// Board thickness it accepts.
    pub thickness: Limits,
    /// Guard kept inside the length limits.
    pub length_guard: Length,
    /// Guard kept inside the width limits.
    pub width_guard: Length,
    /// Guard kept inside the greatest thickness.
    pub thickness_guard: Length,
    /// Cutter centre to the centre of the farther roller, along the feed.
    pub cutter_to_roller: Length,
    /// Grip past the roller centre that is wanted.
    pub grip_wanted: Length,
    /// Least grip past the roller centre.
    pub grip_least: Length,
    /// Radius of the hold-down rollers.
    pub roller_radius: Length,
    /// Width of the reference strip under the fence edge; zero where the machine has no sensor.
    pub strip: Length,
    /// Whether a closed, flush joint across the strip is known to be tolerated.
    pub strip_joint_tolerated: bool,
    /// Nearest and farthest the cutter centre can be from the fence.
    pub window: Limits,
    /// Deepest the cutter tip reaches below the top plane.
    pub depth: Length,
    /// Bit stick-out below the holder.
    pub stick_out: Length,
    /// Radius of the cutter holder.
    pub holder_radius: Length,
    /// Far-guide gap: how much wider than the carrier the guides are set.
    pub guide_gap: Length,
    /// Length of the bed that supports the board.
    pub bed_length: Length,
    /// Names of the figures nobody has measured yet, as they stand in the profile.
    pub unconfirmed: Vec<String>,
    /// Where the figures come from.
    pub source: String,
}

/// A wood species.
#[derive(Debug, Clone, PartialEq)]
pub struct Wood {
    /// Row name, such as `maple, sugar`.
    pub id: String,
    /// Density at 12 % moisture, kg/m3.
    pub density: f64,
    /// Modulus of elasticity as printed, N/mm2; `None` where not published.
    pub elasticity: Option<f64>,
    /// Change coefficient across a quarter-sawn width, per % of moisture.
    pub radial: Option<f64>,
    /// Change coefficient across a flat-sawn width, per % of moisture.
    pub tangential: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

/// What a board or sheet is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum MaterialKind {
    /// Solid wood, hard.
    Hardwood,
    /// Solid wood, soft.
    Softwood,
    /// Plywood.
    Plywood,
    /// Medium-density fibreboard.
    Mdf,
    /// Hardboard.
    Hardboard,
    /// Particleboard.
    Particleboard,
}

impl MaterialKind {
    /// Whether it is sheet stock (no grain to cup).
    pub fn is_sheet(self) -> bool {
        !matches!(self, MaterialKind::Hardwood | MaterialKind::Softwood)
    }
}

/// A stock material a carrier can be made of.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetGood {
    /// Row name, such as `mdf`.
    pub id: String,
    /// What it is.
    pub kind: MaterialKind,
    /// Name in the trade, such as `3/4`.
    pub nominal: String,
    /// Actual thickness.
    pub thickness: Length,
    /// Least and greatest thickness its standard allows, where it says.
    pub thickness_range: Option<Limits>,
    /// Density, kg/m3.
    pub density: f64,
    /// Modulus of elasticity, N/mm2.
    pub elasticity: f64,
    /// Where the figures come from.
    pub source: String,
}
