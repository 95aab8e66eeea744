//! Machine profiles: reading one, checking it, and writing one out to be filled in.

use std::fmt::Write as _;

use super::reader::{Key, Kind, Reader, Table};
use super::{Limits, Machine, MachineKind, library};
use crate::diagnostic::{Report, Severity, nearest, printable, quoted};
use crate::length::{Length, Unit};

const ZERO: Length = Length::ZERO;
/// Longest thing any figure may say: 100 ft.
const FAR: Length = Length::inches(1200, 1);
const SMALL: Length = Length::inches(1, 64);
const FOOT: Length = Length::inches(12, 1);

const fn figure(name: &'static str, least: Length, most: Length, meaning: &'static str) -> Key {
    let default = "the figure of the built-in machine of the same kind, marked not confirmed";
    Key { table: "machine", name, kind: Kind::Size(least, most), default, meaning }
}

const fn other(name: &'static str, kind: Kind, default: &'static str, meaning: &'static str) -> Key {
    Key { table: "machine", name, kind, default, meaning }
}

/// Every key of a machine profile, in the order it is written.
pub static MACHINE_KEYS: [Key; 30] = [
    other("units", Kind::Choice(&["in", "mm"]), "inches, or the job's units", "unit of the numbers without one"),
    other("id", Kind::Text(60), "the file's name", "name of the machine in lists"),
    other("name", Kind::Text(80), "as `id`", "plain description, printed on the sheet"),
    other("kind", Kind::Choice(&["carver", "planer", "drum-sander"]), "carver", "what the machine is"),
    figure("length-min", SMALL, FAR, "shortest board the machine takes"),
    figure("length-max", SMALL, FAR, "longest board it takes"),
    figure("width-min", SMALL, FAR, "narrowest board it takes"),
    figure("width-max", SMALL, FAR, "widest board it takes"),
    figure("thickness-min", SMALL, FOOT, "thinnest board it takes"),
    figure("thickness-max", SMALL, FOOT, "thickest board it takes"),
    figure("length-guard", ZERO, FOOT, "kept inside both length limits, for error of measuring"),
    figure("width-guard", ZERO, FOOT, "kept inside both width limits"),
    figure("thickness-guard", ZERO, FOOT, "kept inside the greatest thickness"),
    figure(
        "cutter-to-roller",
        SMALL,
        Length::inches(60, 1),
        "cutter centre to the farther roller's centre, along the feed",
    ),
    figure("grip-wanted", ZERO, Length::inches(60, 1), "how far past the roller's centre the board should still reach"),
    figure("grip-least", ZERO, Length::inches(60, 1), "the least it may reach past"),
    other(
        "end-allowance",
        Kind::Size(SMALL, FAR),
        "cutter-to-roller + grip-wanted",
        "blank end to carrier end, if you would rather state the sum; never less than cutter-to-roller + grip-least",
    ),
    figure("roller-radius", SMALL, FOOT, "radius of the hold-down rollers"),
    figure(
        "strip",
        ZERO,
        FOOT,
        "width of the flat strip under the fence edge that the machine feels; 0 if it has no sensor",
    ),
    other(
        "strip-joint-tolerated",
        Kind::Flag,
        "false",
        "whether you know that a closed, flush joint across the strip does no harm",
    ),
    figure("window-near", ZERO, FAR, "nearest the cutter's centre can be to the fence"),
    figure("window-far", SMALL, FAR, "farthest the cutter's centre can be from the fence"),
    figure("depth", Length::inches(1, 128), FOOT, "deepest the cutter's tip reaches below the top of the board"),
    figure("stick-out", Length::inches(1, 128), FOOT, "how far the cutter stands out of its holder"),
    figure("holder-radius", ZERO, FOOT, "radius of the cutter's holder"),
    figure("guide-gap", ZERO, Length::INCH, "how much wider than the board the guides are set"),
    figure("bed-length", Length::INCH, FAR, "length of the bed that supports the board"),
    figure(
        "bed-gap",
        ZERO,
        FAR,
        "longest stretch of the bed under the cutter, along the feed, that carries nothing: an opening, or from one bed roller to the next; 0 for a whole bed",
    ),
    other(
        "unconfirmed",
        Kind::Texts,
        "every figure that is missing",
        "figures nobody has measured yet; take a name out once you have",
    ),
    other("source", Kind::Text(200), "not stated", "where the figures come from"),
];

/// Names of the figures that a person can measure.
fn is_figure(name: &str) -> bool {
    MACHINE_KEYS.iter().any(|key| key.name == name && matches!(key.kind, Kind::Size(..)) && name != "end-allowance")
}

/// Reads a machine profile and checks it. Beside the machine come notes that stop nothing.
///
/// # Errors
/// Every problem found in the text, when any of them stops the work.
pub fn parse_machine_profile(text: &str, file: &str) -> Result<(Machine, Report), Report> {
    let mut reader = Reader::new(file, text);
    // A profile may carry remarks of its own, so an unknown key is only pointed out.
    reader.unknown = Severity::Note;
    let machine = reader.parse().map(|toml| {
        let units = toml.get("units").and_then(|value| value.get_ref().as_str());
        reader.units = if units.is_some_and(|units| units.trim() == "mm") { Unit::Millimetre } else { Unit::Inch };
        let keys: Vec<&'static Key> = MACHINE_KEYS.iter().collect();
        let table = reader.table(&toml, 0..0, &keys, "a machine profile");
        let base = fallback(table.text("kind"));
        let stem = file.rsplit(['/', '\\']).next().unwrap_or(file);
        let stem = stem.strip_suffix(".toml").unwrap_or(stem);
        let (mut machine, _) = machine_from(&mut reader, &table, base, true);
        if table.text("id").is_none() {
            machine.id = printable(stem);
        }
        if table.text("name").is_none() {
            machine.name.clone_from(&machine.id);
        }
        if table.text("source").is_none() {
            machine.source = "not stated".to_owned();
        }
        machine
    });
    let report = reader.finish();
    match machine {
        Some(machine) if !report.stops() => Ok((machine, report)),
        _ => Err(report),
    }
}

/// The built-in machine whose figures stand in for missing ones.
fn fallback(kind: Option<&str>) -> Machine {
    let id = match kind {
        Some("planer") => "thickness-planer-benchtop",
        Some("drum-sander") => "drum-sander",
        _ => "roller-carver-medium",
    };
    library().machine(id).cloned().unwrap_or_else(Machine::plain)
}

impl Machine {
    /// A machine that every row of the tables starts from; rows state all of their figures.
    pub(super) fn plain() -> Machine {
        let inches = |numerator, denominator| Length::inches(numerator, denominator);
        Machine {
            id: String::new(),
            name: String::new(),
            kind: MachineKind::Carver,
            length: Limits { min: inches(16, 1), max: inches(96, 1) },
            width: Limits { min: inches(9, 2), max: inches(27, 2) },
            thickness: Limits { min: inches(3, 8), max: inches(7, 2) },
            length_guard: inches(1, 8),
            width_guard: inches(1, 16),
            thickness_guard: inches(1, 16),
            cutter_to_roller: inches(13, 4),
            grip_wanted: inches(3, 4),
            grip_least: inches(1, 2),
            roller_radius: inches(1, 2),
            strip: inches(5, 4),
            strip_joint_tolerated: false,
            window: Limits { min: inches(1, 2), max: inches(13, 1) },
            depth: inches(1, 1),
            stick_out: inches(5, 4),
            holder_radius: inches(1, 2),
            guide_gap: inches(1, 100),
            bed_length: inches(24, 1),
            bed_gap: inches(13, 2),
            unconfirmed: Vec::new(),
            source: String::new(),
        }
    }
}

/// Puts the figures of a table over those of `base`, checks the whole, and says which figures were
/// taken from `base`. With `list_missing` those are marked as not confirmed.
pub fn machine_from(
    reader: &mut Reader<'_>,
    table: &Table,
    base: Machine,
    list_missing: bool,
) -> (Machine, Vec<&'static str>) {
    let mut machine = base;
    if let Some(id) = table.text("id") {
        machine.id = id.to_owned();
        machine.name = id.to_owned();
    }
    if let Some(name) = table.text("name") {
        machine.name = name.to_owned();
    }
    if let Some(source) = table.text("source") {
        machine.source = source.to_owned();
    }
    machine.kind = match table.text("kind") {
        Some("carver") => MachineKind::Carver,
        Some("planer") => MachineKind::Planer,
        Some("drum-sander") => MachineKind::DrumSander,
        _ => machine.kind,
    };
    if let Some(tolerated) = table.flag("strip-joint-tolerated") {
        machine.strip_joint_tolerated = tolerated;
    }
    let mut missing = Vec::new();
    for (name, place) in figures(&mut machine) {
        match table.size(name) {
            Some(size) => *place = size,
            None if !table.has(name) => missing.push(name),
            None => {}
        }
    }
    // A figure that was typed counts as measured unless the same table says it is not.
    let typed = |name: &str| table.has(name);
    let mut unconfirmed: Vec<String> =
        machine.unconfirmed.iter().filter(|name| !list_missing && !typed(name)).cloned().collect();
    for name in table.texts("unconfirmed").unwrap_or_default() {
        if is_figure(name) {
            unconfirmed.push(name.to_owned());
        } else {
            let names = MACHINE_KEYS.iter().map(|key| key.name).filter(|name| is_figure(name));
            let help = match nearest(name, names) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "expected names of figures of this profile, such as `cutter-to-roller`".to_owned(),
            };
            let message = format!("`unconfirmed` names no figure: {}", quoted(name));
            reader.report(reader.unknown, table.span_of("unconfirmed"), message, help);
        }
    }
    if list_missing {
        unconfirmed.extend(missing.iter().map(|name| (*name).to_owned()));
    }
    machine.unconfirmed = MACHINE_KEYS
        .iter()
        .filter(|key| unconfirmed.iter().any(|name| name == key.name))
        .map(|key| key.name.to_owned())
        .collect();
    check(reader, table, &mut machine);
    (machine, missing)
}

/// Every figure of a machine by its key.
fn figures(machine: &mut Machine) -> [(&'static str, &mut Length); 22] {
    [
        ("length-min", &mut machine.length.min),
        ("length-max", &mut machine.length.max),
        ("width-min", &mut machine.width.min),
        ("width-max", &mut machine.width.max),
        ("thickness-min", &mut machine.thickness.min),
        ("thickness-max", &mut machine.thickness.max),
        ("length-guard", &mut machine.length_guard),
        ("width-guard", &mut machine.width_guard),
        ("thickness-guard", &mut machine.thickness_guard),
        ("cutter-to-roller", &mut machine.cutter_to_roller),
        ("grip-wanted", &mut machine.grip_wanted),
        ("grip-least", &mut machine.grip_least),
        ("roller-radius", &mut machine.roller_radius),
        ("strip", &mut machine.strip),
        ("window-near", &mut machine.window.min),
        ("window-far", &mut machine.window.max),
        ("depth", &mut machine.depth),
        ("stick-out", &mut machine.stick_out),
        ("holder-radius", &mut machine.holder_radius),
        ("guide-gap", &mut machine.guide_gap),
        ("bed-length", &mut machine.bed_length),
        ("bed-gap", &mut machine.bed_gap),
    ]
}

/// Checks that hold between figures.
fn check(reader: &mut Reader<'_>, table: &Table, machine: &mut Machine) {
    let shown = |length: Length| in_units(length, reader.units);
    let mut found: Vec<(&str, String, String)> = Vec::new();
    for (what, limits, low, high, guards) in [
        ("length", machine.length, "length-min", "length-max", machine.length_guard * 2),
        ("width", machine.width, "width-min", "width-max", machine.width_guard * 2),
        ("thickness", machine.thickness, "thickness-min", "thickness-max", machine.thickness_guard),
        ("window", machine.window, "window-near", "window-far", Length::ZERO),
    ] {
        let (min, max) = (shown(limits.min), shown(limits.max));
        if limits.min > limits.max {
            let help = "the two look exchanged: the smaller figure goes first".to_owned();
            found.push((low, format!("`{low}` {min} is more than `{high}` {max}"), help));
        } else if limits.min + guards > limits.max {
            let help = format!("widen the limits or lower `{what}-guard`");
            found.push((
                low,
                format!("nothing fits between `{low}` {min} and `{high}` {max} with the guards kept"),
                help,
            ));
        }
    }
    if machine.grip_least > machine.grip_wanted {
        let (least, wanted) = (shown(machine.grip_least), shown(machine.grip_wanted));
        let help = "want at least the least".to_owned();
        found.push(("grip-least", format!("`grip-least` {least} is more than `grip-wanted` {wanted}"), help));
    }
    if machine.window.max > machine.width.max && machine.width.min <= machine.width.max {
        let (far, widest) = (shown(machine.window.max), shown(machine.width.max));
        let help = "measure both from the fence".to_owned();
        found.push(("window-far", format!("`window-far` {far} is beyond the widest board, {widest}"), help));
    }
    if machine.strip >= machine.width.max {
        let (strip, widest) = (shown(machine.strip), shown(machine.width.max));
        let help = "the strip is a part of the board's width, at the fence".to_owned();
        found.push(("strip", format!("`strip` {strip} leaves nothing of the widest board, {widest}"), help));
    }
    if let Some(allowance) = table.size("end-allowance") {
        let least = machine.cutter_to_roller + machine.grip_least;
        if allowance < least {
            let (typed, sum) = (shown(allowance), shown(least));
            let (reach, grip) = (shown(machine.cutter_to_roller), shown(machine.grip_least));
            let message = format!("`end-allowance` {typed} is less than {sum}, which the rollers need");
            let help =
                format!("cutter-to-roller {reach} + grip-least {grip} = {sum}: leave `end-allowance` out or raise it");
            found.push(("end-allowance", message, help));
        } else {
            machine.grip_wanted = allowance - machine.cutter_to_roller;
        }
    }
    for (name, message, help) in found {
        reader.error(table.span_of(name), message, help);
    }
}

/// A length in one unit, as exactly as four decimals of a millimetre or five of an inch tell.
fn in_units(length: Length, units: Unit) -> String {
    match units {
        Unit::Inch => format!("{} in", (length.to_inches() * 100_000.0).round() / 100_000.0),
        Unit::Millimetre => format!("{} mm", (length.to_mm() * 10_000.0).round() / 10_000.0),
    }
}

/// A length as a size text that reads back to the same ticks.
fn exact_text(length: Length) -> String {
    if length == Length::ZERO {
        return "0".to_owned();
    }
    for denominator in [1, 2, 4, 8, 16, 32, 64] {
        let mark = Length::inches(1, denominator);
        if length.is_multiple_of(mark) {
            let parts = length.ticks() / mark.ticks();
            return match (parts / denominator, parts % denominator) {
                (whole, 0) => format!("{whole} in"),
                (0, part) => format!("{part}/{denominator} in"),
                (whole, part) => format!("{whole}-{part}/{denominator} in"),
            };
        }
    }
    let thousandth = Length::inches(1, 1000);
    if length.is_multiple_of(thousandth) {
        return format!("{} in", length.ticks() as f64 / thousandth.ticks() as f64 / 1000.0);
    }
    // Eight decimals of a millimetre are finer than a tick.
    let text = format!("{:.8}", length.to_mm());
    format!("{} mm", text.trim_end_matches('0').trim_end_matches('.'))
}

/// A commented profile of a machine, to be filled in; [`parse_machine_profile`] reads it back.
pub fn machine_profile_text(machine: &Machine) -> String {
    let mut text = String::from(
        "# Machine profile. Every length carries its unit, so change units as you like.\n\
         # Measure each figure, correct it, and take its name out of `unconfirmed` at the end.\n\
         # Until that list is empty, every sheet says in a box which figures are guesses.\n",
    );
    let mut copy = machine.clone();
    let sizes: Vec<(&str, String)> =
        figures(&mut copy).into_iter().map(|(name, size)| (name, exact_text(*size))).collect();
    for key in &MACHINE_KEYS {
        let value = match key.name {
            "id" => toml_text(&machine.id),
            "name" => toml_text(&machine.name),
            "kind" => toml_text(machine.kind.id()),
            "strip-joint-tolerated" => machine.strip_joint_tolerated.to_string(),
            "source" => toml_text(&machine.source),
            "unconfirmed" => {
                let names: String =
                    machine.unconfirmed.iter().map(|name| format!("    {},\n", toml_text(name))).collect();
                if names.is_empty() { "[]".to_owned() } else { format!("[\n{names}]") }
            }
            name => match sizes.iter().find(|(known, _)| *known == name) {
                Some((_, size)) => toml_text(size),
                None => continue,
            },
        };
        // Writing to a String cannot fail.
        let _ = write!(text, "\n# {}\n{} = {value}\n", key.meaning, key.name);
    }
    text
}

/// A text as a TOML string.
fn toml_text(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}
