//! Reference tables: woods, sheet goods, machines, cutters, paper.
//!
//! The program embeds `shared/*.toml`; a user's own file overrides rows by their `id`.

pub mod lettering;
mod machine;
pub mod reader;
mod readings;
mod tables;

pub use machine::{MACHINE_KEYS, machine_from, machine_profile_text, parse_machine_profile};
pub use tables::{Library, library};

use crate::length::{Length, Unit};

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

impl MachineKind {
    /// Name in profiles.
    pub fn id(self) -> &'static str {
        match self {
            MachineKind::Carver => "carver",
            MachineKind::Planer => "planer",
            MachineKind::DrumSander => "drum-sander",
        }
    }
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
    /// Longest stretch of the bed, along the feed, that carries nothing under the rollers: an opening
    /// under the cutter, or the space between two bed rollers. Zero for a bed that is whole.
    pub bed_gap: Length,
    /// Names of the figures nobody has measured yet, as they stand in the profile.
    pub unconfirmed: Vec<String>,
    /// Where the figures come from.
    pub source: String,
}

/// Longest stretch of a carrier that may hang free. Engineering judgement, no published source.
const STAND_REACH: Length = Length::inches(24, 1);

impl Machine {
    /// Whether knives or a drum take the whole face that is fed, blank and carrier alike, where a
    /// carver's cutter takes a part of it.
    pub fn takes_whole_face(&self) -> bool {
        matches!(self.kind, MachineKind::Planer | MachineKind::DrumSander)
    }

    /// Whether a carrier of this length wants stands on both sides, at bed height: longer than 36 in,
    /// or hanging more than 24 in over the bed while its end is under the cutter, which stands over
    /// the middle of the bed. Engineering judgement, no published source.
    pub fn wants_stands(&self, length: Length) -> bool {
        length > Length::inches(36, 1) || self.longest_overhang(length) > STAND_REACH
    }

    /// How far a carrier of this length hangs over the end of the bed at most: with its other end under the
    /// cutter, which stands over the middle of the bed.
    pub fn longest_overhang(&self, length: Length) -> Length {
        length - self.bed_length.half()
    }

    /// Where stands go on either side, from the end of the bed: none where none are wanted, else so many
    /// that from bed to stand, from stand to stand and beyond the last one the same stretch hangs free at
    /// most, no longer than 24 in; whole inches, rounded down. Statics of an even board: the moments over
    /// bed and stands are then least.
    pub fn stand_places(&self, length: Length) -> Vec<Length> {
        if !self.wants_stands(length) {
            return Vec::new();
        }
        let longest = self.longest_overhang(length).max(Length::INCH);
        let free = (longest.ticks() + STAND_REACH.ticks() - 1) / STAND_REACH.ticks();
        let stretches = free.max(2);
        let apart = Length::from_ticks(longest.ticks() / stretches).down(Length::INCH).max(Length::INCH);
        (1..stretches).map(|stand| apart * stand).collect()
    }
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
    /// Row name, such as `mdf 3/4 in`.
    pub id: String,
    /// Name of the material in job files, such as `mdf` or `plywood, birch`.
    pub material: String,
    /// What it is.
    pub kind: MaterialKind,
    /// Name in the trade, such as `3/4 in`.
    pub nominal: String,
    /// Actual thickness.
    pub thickness: Length,
    /// Least and greatest thickness its standard allows, where it says.
    pub thickness_range: Option<Limits>,
    /// Density, kg/m3.
    pub density: f64,
    /// Modulus of elasticity, N/mm2.
    pub elasticity: f64,
    /// Whether designs may ask for it when it is not on hand.
    pub can_buy: bool,
    /// Where the figures come from.
    pub source: String,
}

/// A cutter.
#[derive(Debug, Clone, PartialEq)]
pub struct Cutter {
    /// Row name, such as `straight 1/4 in`.
    pub id: String,
    /// Diameter.
    pub diameter: Length,
    /// Length of the cutting edges.
    pub flute: Length,
    /// Where the figures come from.
    pub source: String,
}

/// A size of paper, upright.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperSize {
    /// Row name, such as `a4` or `letter`.
    pub id: String,
    /// Short side.
    pub width: Length,
    /// Long side.
    pub length: Length,
    /// Where the figures come from.
    pub source: String,
}

/// A wood screw with a flat head.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Screw {
    /// Row name: its gauge or diameter.
    pub id: String,
    /// Jobs in this unit take it.
    pub units: Unit,
    /// Diameter of the shank.
    pub diameter: Length,
    /// Greatest diameter of the head.
    pub head: Length,
    /// Height of the head, part of the length.
    pub height: Length,
    /// Lengths over all, shortest first.
    pub lengths: Vec<Length>,
    /// Where the figures come from.
    pub source: String,
}

/// The built-in woods.
pub fn woods() -> &'static [Wood] {
    library().woods()
}

/// The built-in sheet goods.
pub fn sheet_goods() -> &'static [SheetGood] {
    library().sheet_goods()
}

/// The built-in machines.
pub fn machines() -> &'static [Machine] {
    library().machines()
}

/// The built-in cutters.
pub fn cutters() -> &'static [Cutter] {
    library().cutters()
}

/// The built-in paper sizes.
pub fn papers() -> &'static [PaperSize] {
    library().papers()
}

/// The built-in machine with this name.
pub fn machine(id: &str) -> Option<&'static Machine> {
    library().machine(id)
}
