//! Every key of a job file. This table drives reading, suggestions, the schema and the key reference.

use crate::capture::METHOD_NAMES;
use crate::length::Length;
use crate::library::MACHINE_KEYS;
use crate::library::reader::{Key, Kind};

/// Longest thing in a job: 100 ft.
const FAR: Length = Length::inches(1200, 1);
const FOOT: Length = Length::inches(12, 1);
const LEAST: Length = Length::from_ticks(1);
const ZERO: Length = Length::ZERO;

/// Constructions a job may insist on.
pub const CONSTRUCTION_NAMES: &[&str] = &[
    "none",
    "blind-pocket",
    "rails-on-base",
    "flush-frame",
    "end-extensions",
    "side-rails",
    "disc-nest",
    "outline-nest",
    "cleat-nest",
    "riser",
    "bridge",
    "taper-in-plan",
    "gang",
    "shimmed",
    "second-side",
    "cradle",
    "taper-in-thickness",
    "repeat-loading",
];

/// What a carrier for several blanks may be chosen by.
pub const OBJECTIVE_NAMES: [&str; 4] = ["fewest-loads", "least-wood", "shortest", "no-empty-pockets"];

/// Tools a shop may own.
pub const TOOL_NAMES: [&str; 11] = [
    "table saw",
    "mitre saw",
    "band saw",
    "jigsaw",
    "drill press",
    "router",
    "planer",
    "drum sander",
    "jointer",
    "carver",
    "chisel",
];

/// Ways to hold a blank.
pub const HOLD_NAMES: [&str; 7] = ["snug", "wedge", "tape", "film", "hot-glue", "keeper", "screws"];

/// Papers the sheets can be printed on.
const PAPER_NAMES: [&str; 10] = ["a4", "a3", "a2", "a1", "a0", "letter", "11x17", "17x22", "22x34", "34x44"];

/// A table of a job file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TableInfo {
    /// Its name.
    pub name: &'static str,
    /// Whether it may be repeated, as `[[stock]]`.
    pub repeated: bool,
    /// What it is about.
    pub meaning: &'static str,
}

/// Every table, in the order they are documented.
pub static TABLES: [TableInfo; 12] = [
    TableInfo { name: "job", repeated: false, meaning: "what the job is called, and its units" },
    TableInfo { name: "machine", repeated: false, meaning: "the machine the carrier is for" },
    TableInfo { name: "shop", repeated: false, meaning: "ruler, saw and tools" },
    TableInfo { name: "sheet", repeated: false, meaning: "paper of the sheets, and how they are drawn" },
    TableInfo { name: "carrier", repeated: false, meaning: "what the carrier must be, if you insist" },
    TableInfo { name: "blank", repeated: false, meaning: "the piece to be carved, as measured" },
    TableInfo {
        name: "also",
        repeated: true,
        meaning: "a blank of another outline, carved in the same carrier; as thick, of the same wood and cut alike",
    },
    TableInfo { name: "carve", repeated: false, meaning: "where and how deep it is cut" },
    TableInfo {
        name: "second-side",
        repeated: false,
        meaning: "the face carved already, which lies down; measured carved face up",
    },
    TableInfo { name: "hold", repeated: false, meaning: "how it is held in the carrier" },
    TableInfo { name: "stock", repeated: true, meaning: "one piece of sheet or board on hand" },
    TableInfo { name: "estimates", repeated: false, meaning: "forces and strengths, all judgement" },
];

const fn key(table: &'static str, name: &'static str, kind: Kind, default: &'static str, meaning: &'static str) -> Key {
    Key { table, name, kind, default, meaning }
}

/// Every key of a job file but the machine's figures, which are in [`MACHINE_KEYS`].
#[rustfmt::skip]
static JOB_KEYS: &[Key] = &[
    key("job", "name", Kind::Text(60), "the file's name", "name of the job, printed on the sheet"),
    key("job", "units", Kind::Choice(&["in", "mm"]), "in", "unit of numbers without one, and of everything printed"),
    key("job", "date", Kind::Text(30), "a line to fill in", "date to print"),

    key("machine", "use", Kind::Text(60), "`roller-carver-medium`", "a built-in machine by its name; figures beside it replace its own"),
    key("machine", "path", Kind::Text(300), "none", "a machine profile, relative to the job file; figures beside it replace its own"),

    key("shop", "ruler", Kind::Step, "1/32 in, or 0.5 mm", "step of the ruler lengths and widths are marked with"),
    key("shop", "depth-ruler", Kind::Step, "1/64 in, or 0.1 mm", "step for depths and thicknesses, never coarser than `ruler`"),
    key("shop", "tolerance", Kind::Size(ZERO, Length::inches(1, 4)), "1/64 in, or 0.4 mm", "plus or minus on every sawn edge"),
    key("shop", "kerf", Kind::Size(LEAST, Length::inches(1, 2)), "1/8 in, or 3.2 mm", "width of the saw kerf"),
    key("shop", "clearance", Kind::Size(ZERO, Length::inches(1, 2)), "1/64 in, or 0.4 mm", "slip on each side of the blank, beyond the error of measuring"),
    key("shop", "tools", Kind::Choices(&TOOL_NAMES), "table saw, mitre saw, router, planer, drum sander, drill press, chisel", "the tools there are"),
    key("shop", "planer-shortest", Kind::Size(LEAST, FAR), "16 in", "shortest piece the thickness planer takes"),
    key("shop", "sander-shortest", Kind::Size(LEAST, FAR), "6 in", "shortest piece the drum sander takes"),
    key("shop", "planer-thinnest", Kind::Size(LEAST, FOOT), "1/4 in, or 6.5 mm", "thinnest piece the thickness planer leaves"),
    key("shop", "planer-widest", Kind::Size(Length::INCH, FAR), "12 in, or 300 mm", "widest piece the thickness planer takes"),
    key("shop", "sander-widest", Kind::Size(Length::INCH, FAR), "16 in, or 400 mm", "widest piece the drum sander takes"),
    key("shop", "saw-height", Kind::Size(LEAST, FOOT), "3 in, or 75 mm", "thickest piece the table saw cuts in one pass"),
    key("shop", "mitre-saw-width", Kind::Size(Length::INCH, FAR), "6 in, or 150 mm", "widest piece the mitre saw cuts off"),
    key("shop", "mitre-saw-height", Kind::Size(LEAST, FOOT), "3-1/2 in, or 88 mm", "thickest piece the mitre saw cuts off"),
    key("shop", "pocket-cutter", Kind::Size(LEAST, Length::inches(2, 1)), "1/4 in", "diameter of the cutter that sinks pockets"),
    key("shop", "stands-infeed", Kind::Texts, "suggested by the carrier's length", "distances from the cutter to the shop's own stands where the carrier comes from, such as [\"30\", \"54\"]; three at most"),
    key("shop", "stands-outfeed", Kind::Texts, "suggested by the carrier's length; none, if `stands-infeed` is stated", "the same on the side it leaves by"),
    key("shop", "buy", Kind::Flag, "true", "whether stock may be bought"),

    key("sheet", "standard", Kind::Choice(&["iso", "us"]), "us, or iso for a job in mm", "scales, paper and projection, where those are left out"),
    key("sheet", "paper", Kind::Choice(&PAPER_NAMES), "letter, or a4 by `standard`", "paper the printer takes; more of it takes fewer sheets"),
    key("sheet", "projection", Kind::Choice(&["first-angle", "third-angle"]), "third-angle, or first-angle by `standard`", "how views are arranged round the front view"),
    key("sheet", "other-unit", Kind::Flag, "true", "whether the overall sizes carry the other unit in brackets"),
    key("sheet", "owner", Kind::Text(40), "a line to fill in", "whose drawing it is"),
    key("sheet", "number", Kind::Text(16), "a line to fill in", "number of the drawing"),
    key("sheet", "revision", Kind::Text(4), "a line to fill in", "its revision"),
    key("sheet", "drawn-by", Kind::Text(20), "a line to fill in", "who drew it up"),
    key("sheet", "approved-by", Kind::Text(20), "a line to fill in", "who approved it"),

    key("carrier", "objective", Kind::Choice(&OBJECTIVE_NAMES), "fewest-loads", "what a carrier for several blanks is chosen by"),
    key("carrier", "construction", Kind::Choice(CONSTRUCTION_NAMES), "the best that fits", "insist on one construction"),
    key("carrier", "cradle", Kind::Choice(&["v", "saddle"]), "a V where it fits", "what a round side lies on: two bevelled strips, or two square strips with a gap"),
    key("carrier", "v-angle", Kind::Count(60, 90), "90", "angle between the faces of a V, degrees; a saw blade tilts by half of it, 45 at most"),

    key("blank", "shape", Kind::Choice(&["rectangle", "disc", "taper", "outline", "rod", "half-round", "spindle"]), "rectangle", "plan shape; a taper has one straight edge, which goes to the fence; an outline is given by a file or a table; rods, half-rounds and spindles are round in section, a spindle tapers"),
    key("blank", "measured", Kind::Choice(&["tape", "rule", "caliper", "trace"]), "tape", "how length and width were measured; sets the error of a reading"),
    key("blank", "uncertainty", Kind::Size(ZERO, Length::inches(1, 2)), "by `measured`: 1/32, 1/64, 0.005, 1/32 in", "error of one reading, plus or minus"),
    key("blank", "length", Kind::Measured(FAR), "must be stated", "size along the feed, as it goes in"),
    key("blank", "width", Kind::Measured(FAR), "must be stated", "size across the feed; of a taper, the wide end"),
    key("blank", "narrow-width", Kind::Measured(FAR), "must be stated for a taper", "width of the narrow end of a taper"),
    key("blank", "wide-end", Kind::Choice(&["lead", "trail"]), "lead", "which end of a taper is the wide one"),
    key("blank", "diameter", Kind::Measured(FAR), "must be stated for a disc, a rod or a spindle", "diameter of a disc, a rod, a half-round (its width, twice its height) or the thick end of a spindle: caliper it at three places"),
    key("blank", "small-diameter", Kind::Measured(FAR), "must be stated for a spindle", "diameter of the thin end of a spindle"),
    key("blank", "thick-end", Kind::Choice(&["lead", "trail"]), "lead", "which end of a spindle is the thick one"),
    key("blank", "level", Kind::Choice(&["crown", "axis"]), "crown", "what of a spindle lies level: its highest line or its centre line"),
    key("blank", "up", Kind::Choice(&["round", "flat"]), "round", "which side of a half-round is up"),
    key("blank", "thickness", Kind::Measured(FAR), "not measured: no depth is given", "thickness; caliper it at three places"),
    key("blank", "thickness-measured", Kind::Choice(&["tape", "rule", "caliper"]), "as `measured`, but caliper for a decimal reading", "how the thickness was measured"),
    key("blank", "count", Kind::Count(1, 1000), "1", "how many alike"),
    key("blank", "name", Kind::Text(20), "outline 1", "what this outline is called on the sheets, where there are others"),
    key("blank", "outline-file", Kind::Text(300), "none", "drawing or tracing of an outline (.svg, .dxf or .csv), relative to the job file, seen from above"),
    key("blank", "outline-id", Kind::Text(60), "the only outline there is", "id of the outline in an SVG, its layer in a DXF"),
    key("blank", "outline-units", Kind::Choice(&["in", "mm"]), "as the file declares", "unit of a file that declares none"),
    key("blank", "stations", Kind::Rows(FAR), "none", "an outline by offsets from a straight baseline: rows of [station, near edge, far edge]"),
    key("blank", "points", Kind::Rows(FAR), "none", "an outline by points in order: rows of [x, y]; an arc to the next as [x, y, sagitta], outward positive, or [x, y, through x, through y]"),
    key("blank", "captured", Kind::Choice(&METHOD_NAMES), "stations or points for a table, pencil for an SVG, points for a CSV, drawing-sawn for a DXF", "how the outline was got at; sets its error each way"),
    key("blank", "traced-from", Kind::Choice(&["top", "underneath"]), "top", "side an outline was traced from; from underneath it is turned over about the feed"),
    key("blank", "outline-outside", Kind::Size(ZERO, Length::inches(2, 1)), "0", "how far outside the true edge the line was drawn, as by a pencil in a rolled washer"),
    key("blank", "outline-error", Kind::Size(ZERO, Length::inches(1, 2)), "by `captured`", "error of the outline each way, all in"),
    key("blank", "wood", Kind::Text(60), "not known: 45 lb/ft3", "wood, such as `walnut, black`"),
    key("blank", "turn", Kind::Choice(&["locked", "free"]), "locked", "whether it may be loaded turned: by a quarter; an outline by any angle, unless an area to carve is stated"),
    key("blank", "corner-radius", Kind::Size(ZERO, FOOT), "0", "radius of its corners"),
    key("blank", "relief-height", Kind::Size(ZERO, FOOT), "0", "how far relief stands above the border already"),
    key("blank", "fragile", Kind::Flag, "false", "whether the top must not be rolled on"),
    key("blank", "irreplaceable", Kind::Flag, "false", "whether there is no second one"),
    key("blank", "diagonals", Kind::Pair(FAR), "not measured: taken as square", "both diagonals: lead fence corner to trail far corner, then the other"),
    key("blank", "moisture-now", Kind::Number(0.0, 30.0), "no change", "moisture when measured, %"),
    key("blank", "moisture-later", Kind::Number(0.0, 30.0), "no change", "highest moisture while the carrier is kept, %"),
    key("blank", "humidity-now", Kind::Number(0.0, 99.0), "no change", "relative humidity it has been kept in, %, in place of `moisture-now`"),
    key("blank", "humidity-later", Kind::Number(0.0, 99.0), "no change", "highest relative humidity while the carrier is kept, %, in place of `moisture-later`"),
    key("blank", "air", Kind::Text(12), "68 F (20 C)", "temperature of that air, such as `68 F` or `20 C`"),
    key("blank", "sawn", Kind::Choice(&["flat", "quarter"]), "flat", "how the blank was sawn from the log"),

    key("blank", "cup", Kind::Size(ZERO, Length::inches(2, 1)), "0", "how far the face is hollow or crowned across its width"),
    key("blank", "cup-hollow", Kind::Choice(&["down", "up"]), "down", "which way the hollow of a cup faces as the blank is loaded"),
    key("blank", "bow", Kind::Size(ZERO, Length::inches(2, 1)), "0", "how far the face is hollow or crowned along its length"),
    key("blank", "bow-hollow", Kind::Choice(&["down", "up"]), "down", "which way the hollow of a bow faces as the blank is loaded"),
    key("blank", "twist", Kind::Size(ZERO, Length::inches(2, 1)), "0", "gap under one corner with the opposite one pressed on a flat table"),
    key("blank", "twist-high", Kind::Choice(&["lead-fence", "lead-far"]), "lead-far", "one of the two corners that float"),
    key("blank", "gaps", Kind::Texts, "none", "gaps under the blank on a flat table, evenly spaced from edge to edge: one text a row, fence side first, from lead to trail with commas"),
    key("blank", "angle", Kind::Number(-89.0, 89.0), "in line with the feed", "degrees by which a rectangle is set to the feed, counter-clockwise seen from above; an area to carve is then placed in the box round it"),
    key("blank", "from-strip", Kind::Flag, "false", "carve `count` parts of this size side by side in one strip, sawn apart afterwards: for parts too small to be held alone"),
    key("blank", "cut-apart", Kind::Choice(&["hand-saw", "power-saw"]), "hand-saw", "how a strip is sawn apart; for a power saw it is 6 in longer at both ends, to be held by"),
    key("blank", "wanted-thickness", Kind::Size(LEAST, FOOT), "not checked", "thickness a warped blank is to keep once both faces are flattened"),

    key("blank", "thin-thickness", Kind::Measured(FAR), "as thick all over", "thickness at the thin end or side of a blank that tapers in thickness; `thickness` is then the thick one"),
    key("blank", "thick-side", Kind::Choice(&["lead", "fence"]), "lead", "where the thick end or side of such a blank lies: at the lead end, or along the fence"),

    key("also", "name", Kind::Text(20), "outline 2, and so on", "what this outline is called on the sheets"),
    key("also", "count", Kind::Count(1, 1000), "1", "how many alike"),
    key("also", "outline-file", Kind::Text(300), "none", "as under `[blank]`"),
    key("also", "outline-id", Kind::Text(60), "the only outline there is", "as under `[blank]`"),
    key("also", "outline-units", Kind::Choice(&["in", "mm"]), "as the file declares", "as under `[blank]`"),
    key("also", "stations", Kind::Rows(FAR), "none", "as under `[blank]`"),
    key("also", "points", Kind::Rows(FAR), "none", "as under `[blank]`"),
    key("also", "captured", Kind::Choice(&METHOD_NAMES), "as under `[blank]`", "as under `[blank]`"),
    key("also", "traced-from", Kind::Choice(&["top", "underneath"]), "top", "as under `[blank]`"),
    key("also", "outline-outside", Kind::Size(ZERO, Length::inches(2, 1)), "0", "as under `[blank]`"),
    key("also", "outline-error", Kind::Size(ZERO, Length::inches(1, 2)), "by `captured`", "as under `[blank]`"),

    key("carve", "length", Kind::Size(LEAST, FAR), "the whole blank", "length of the area cut, along the feed"),
    key("carve", "width", Kind::Size(LEAST, FAR), "the whole blank", "width of the area cut"),
    key("carve", "from-lead", Kind::Size(ZERO, FAR), "centred", "blank's lead end to the area"),
    key("carve", "from-fence", Kind::Size(ZERO, FAR), "centred", "blank's fence edge to the area"),
    key("carve", "depth", Kind::Size(LEAST, FOOT), "1/4 in, or a third of the thickness if that is less; of a planer or drum sander 1/32 in", "deepest the tip goes below the highest thing on top, through cuts not counted"),
    key("carve", "through", Kind::ChoiceOrFlag(&["no", "inside", "all-round"]), "no", "cut through: holes inside the blank, or all round so that the part comes free (true means all round)"),
    key("carve", "penetration", Kind::Size(ZERO, Length::inches(1, 2)), "1/32 in", "how far a through cut goes past the underside"),
    key("carve", "cutter", Kind::Size(LEAST, Length::inches(4, 1)), "1/4 in", "diameter of the largest cutter used"),
    key("carve", "flute", Kind::Size(LEAST, FOOT), "not stated", "length of its cutting edges"),
    key("carve", "overrun", Kind::Size(ZERO, Length::inches(4, 1)), "1/16 in", "how far the cutter's edge runs past the outline"),

    key("carve", "finest", Kind::Size(LEAST, FOOT), "as wide as the cutter", "width of the finest line of the artwork: `check` tells what would be left of it without a carrier"),
    key("carve", "feed", Kind::Number(0.1, 100_000.0), "100 (inches), or 2500 (mm)", "feed per minute, in the job's units, for the estimate of the cutter's force"),
    key("carve", "speed", Kind::Number(100.0, 100_000.0), "18000", "speed of the cutter, turns per minute, for the same"),
    key("carve", "pass", Kind::Size(LEAST, FOOT), "the cutter's diameter, half of it up to 1/8 in; never more than the depth", "depth of one pass, for the same"),

    key("second-side", "relief-length", Kind::Size(LEAST, FAR), "must be stated", "length of a rectangle round the relief"),
    key("second-side", "relief-width", Kind::Size(LEAST, FAR), "must be stated", "its width"),
    key("second-side", "from-lead", Kind::Size(ZERO, FAR), "must be stated", "blank's lead end to the rectangle"),
    key("second-side", "from-fence", Kind::Size(ZERO, FAR), "must be stated", "blank's fence edge to the rectangle"),
    key("second-side", "height", Kind::Size(ZERO, FOOT), "must be stated", "how far the relief stands above the border; 0 where it lies below it"),
    key("second-side", "flip", Kind::Choice(&["along", "across"]), "must be stated", "turned over about the feed (along: the same end leads) or end for end (across)"),

    key("hold", "by", Kind::Choice(&HOLD_NAMES), "the best that fits", "how the blank is held"),
    key("hold", "thickness", Kind::Size(ZERO, Length::inches(1, 4)), "by the kind of hold", "thickness of the adhesive under the blank"),
    key("hold", "screw", Kind::Text(20), "the usual one of those of which fewest hold", "screws from below: their gauge or diameter, such as `No. 8` or `4 mm`"),
    key("hold", "screw-length", Kind::Size(Length::inches(1, 4), FOOT), "the longest that stays clear of the cut", "their length over all, head included"),
    key("hold", "screw-clear", Kind::Size(Length::inches(1, 8), Length::inches(2, 1)), "1/8 in", "how far their tips stay below the deepest cut"),

    key("stock", "material", Kind::Text(60), "must be stated", "sheet good, wood, or `softwood` or `hardwood`"),
    key("stock", "nominal", Kind::Text(20), "none", "name of the thickness in the trade, such as `3/4 in`"),
    key("stock", "thickness", Kind::Size(Length::inches(1, 64), FOOT), "the usual actual one of `nominal`", "actual thickness of one layer"),
    key("stock", "length", Kind::Size(LEAST, FAR), "must be stated", "length; of a board, with the grain"),
    key("stock", "width", Kind::Size(LEAST, FAR), "must be stated", "width"),
    key("stock", "count", Kind::Count(1, 1000), "1", "how many"),
    key("stock", "layers", Kind::Count(1, 6), "1", "layers glued together to make the stock"),
    key("stock", "calipered", Kind::Flag, "false", "whether the thickness was calipered"),

    key("estimates", "bond-lift-psi", Kind::Number(0.1, 200.0), "2", "lifting strength of cloth tape, psi"),
    key("estimates", "bond-slide-psi", Kind::Number(0.1, 200.0), "3", "sliding strength of cloth tape, psi"),
    key("estimates", "film-lift-psi", Kind::Number(0.1, 200.0), "that stated for tape, else 3", "lifting strength of film tape, psi"),
    key("estimates", "film-slide-psi", Kind::Number(0.1, 200.0), "that stated for tape, else 4.5", "sliding strength of film tape, psi"),
    key("estimates", "screw-pull-lbf", Kind::Number(0.1, 2000.0), "a sixth of what pulls it out, by its size, its bite and the wood", "pull that one screw from below may take, lbf"),
    key("estimates", "screw-side-lbf", Kind::Number(0.1, 2000.0), "a sixth of its load at the proportional limit", "push to the side that one screw from below may take, lbf"),
    key("estimates", "side-force-lbf", Kind::Number(0.1, 500.0), "4 up to a 1/8 in cutter, 10 up to 1/4 in, more in proportion, or the upper end of the estimate if that is more; 10 for knives and drums", "side force of the cutter, lbf"),
    key("estimates", "lift-force-lbf", Kind::Number(0.1, 500.0), "half the side force", "lifting force of the cutter, lbf"),
    key("estimates", "guide-force-lbf", Kind::Number(0.1, 500.0), "10", "force of the far guide on a rail, lbf"),
    key("estimates", "roller-force-lbf", Kind::Number(0.1, 2000.0), "20", "force of one roller on what is fed, lbf"),
    key("estimates", "plunge-force-lbf", Kind::Number(0.1, 500.0), "the side force", "downward force of the cutter, lbf"),
    key("estimates", "most-give", Kind::Size(Length::inches(1, 1000), Length::inches(1, 4)), "1/64 in, or 0.4 mm", "most that the carrier, its floor, or a rail held only at its ends may give"),
    key("estimates", "blank-elasticity-psi", Kind::Number(1e4, 1e7), "of the wood, or 1200000", "modulus of elasticity of the blank along its grain, psi"),
    key("estimates", "rail-elasticity-psi", Kind::Number(1e4, 1e7), "1200000", "modulus of elasticity of a wooden rail held only at its ends, psi"),
    key("estimates", "edge-grip-lbf", Kind::Number(0.1, 500.0), "15", "force with which shims, wedges or keepers along its edges hold a blank down, lbf"),
    key("estimates", "glue-spot-lbf", Kind::Number(0.1, 500.0), "10", "force that one spot of glue along its edges takes, lbf; a spot every 4 in"),
    key("estimates", "one-person-kg", Kind::Number(1.0, 100.0), "13.608 (30 lb)", "heaviest carrier with its blank for one person, kg"),
    key("estimates", "blank-density-kg-m3", Kind::Number(50.0, 9000.0), "of the wood, or 720.8 (45 lb/ft3)", "density of the blank, kg/m3"),
];

/// Every key of a job file in the order of its tables: first the tables' own, then, under
/// `machine`, every figure of a machine profile.
pub fn keys() -> impl Iterator<Item = &'static Key> {
    TABLES.iter().flat_map(|table| keys_of(table.name))
}

/// The keys of one table.
pub fn keys_of(table: &str) -> impl Iterator<Item = &'static Key> {
    let own = JOB_KEYS.iter().filter(move |key| key.table == table);
    // Units of a job are set once, under `[job]`.
    own.chain(MACHINE_KEYS.iter().filter(move |key| key.table == table && key.name != "units"))
}

/// The key reference as a table in Markdown, for the README and `list`.
pub fn key_reference() -> String {
    let mut text = String::new();
    for table in &TABLES {
        let heading = if table.repeated { format!("[[{}]]", table.name) } else { format!("[{}]", table.name) };
        text.push_str(&format!(
            "### `{heading}`: {}\n\n| Key | Holds | If left out | Meaning |\n|---|---|---|---|\n",
            table.meaning
        ));
        for key in keys_of(table.name) {
            text.push_str(&format!("| `{}` | {} | {} | {} |\n", key.name, key.kind.words(), key.default, key.meaning));
        }
        text.push('\n');
    }
    text
}
