//! Sizes measured on the finished carrier, as they are written into the as-built boxes of the sheet.

use super::landing::room;
use crate::design::{Design, PocketKind};
use crate::diagnostic::{Problem, Report, Severity};
use crate::length::{Length, Measured};
use crate::library::reader::{Key, Kind, Reader, Table, Value};
use crate::request::Request;

/// Longest thing in a file: 100 ft.
const FAR: Length = Length::inches(1200, 1);
const LEAST: Length = Length::from_ticks(1);

const fn key(name: &'static str, kind: Kind, meaning: &'static str) -> Key {
    Key { table: "as built", name, kind, default: "as drawn", meaning }
}

/// Every key of a file of as-built sizes; all may be left out.
pub static BUILT_KEYS: [Key; 6] = [
    key("length", Kind::Measured(FAR), "length of the finished carrier, along the feed"),
    key("width", Kind::Measured(FAR), "its width; measured at both ends, both readings"),
    key("thickness", Kind::Measured(FAR), "its thickness from bed face to top plane"),
    key("lead-end", Kind::Size(LEAST, FAR), "lead end of the carrier to the pocket's lead wall"),
    key("fence-rail", Kind::Size(LEAST, FAR), "fence edge to the pocket's fence wall"),
    key("pocket-depth", Kind::Size(LEAST, FAR), "top plane to the pocket's floor"),
];

/// As-built sizes; what was not measured is taken as drawn.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Built {
    /// Length of the finished carrier.
    pub length: Option<Measured>,
    /// Its width.
    pub width: Option<Measured>,
    /// Its thickness.
    pub thickness: Option<Measured>,
    /// Lead end to the pocket's lead wall.
    pub lead_end: Option<Length>,
    /// Fence edge to the pocket's fence wall.
    pub fence_rail: Option<Length>,
    /// Top plane to the pocket's floor.
    pub pocket_depth: Option<Length>,
}

/// Depth of the design's pocket, where it has a floor to measure to.
pub(super) fn pocket_depth(design: &Design) -> Option<Length> {
    let mut floored = design.pockets.iter().filter(|pocket| pocket.kind != PocketKind::Open);
    floored.next().map(|pocket| pocket.z1 - pocket.z0)
}

/// Reads the as-built sizes of `design`, in the units of its job.
///
/// # Errors
/// Every problem found in the text, and every size that this carrier cannot have.
pub fn read(text: &str, file: &str, request: &Request, design: &Design) -> Result<Built, Report> {
    let mut reader = Reader::new(file, text);
    reader.units = request.units;
    let keys: Vec<&'static Key> = BUILT_KEYS.iter().collect();
    let mut built = Built::default();
    if let Some(toml) = reader.parse() {
        let table = reader.table(&toml, 0..0, &keys, "the as-built sizes");
        if !reader.is_broken() && !BUILT_KEYS.iter().any(|key| table.has(key.name)) {
            let names: Vec<&str> = BUILT_KEYS.iter().map(|key| key.name).collect();
            let problem = Problem::whole(Severity::Error, file, "no as-built size is given");
            reader.push(problem.help(format!("measure the finished carrier and state any of {}", names.join(", "))));
        }
        let measured = |name: &str| table.measured(name).cloned();
        built = Built {
            length: measured("length"),
            width: measured("width"),
            thickness: measured("thickness"),
            lead_end: table.size("lead-end"),
            fence_rail: table.size("fence-rail"),
            pocket_depth: table.size("pocket-depth"),
        };
        against(&mut reader, &table, request, design);
    }
    let report = reader.finish();
    if report.stops() { Err(report) } else { Ok(built) }
}

/// Refuses sizes that this carrier does not have, or that leave nothing of one of its sides.
fn against(reader: &mut Reader<'_>, table: &Table, request: &Request, design: &Design) {
    let room = room(design);
    let carrier = design.carrier;
    let show = |length: Length| request.shop.depth_ruler.with_unit(length);
    let nominal = |name: &str, drawn: Length| match table.get(name).map(|entry| &entry.value) {
        Some(Value::Measured(measured)) => measured.nominal,
        _ => drawn,
    };
    let sides = [
        ("lead-end", "length", "trail end", room.x0, room.length(), room.x1, carrier.length),
        ("fence-rail", "width", "far side", room.y0, room.width(), room.y1, carrier.width),
    ];
    for (name, overall, opposite, wall, opening, far_wall, drawn) in sides {
        if table.get(name).is_some() && wall <= Length::ZERO {
            let message = format!("`{name}` is a size this carrier does not have");
            reader.error(
                table.span_of(name),
                message,
                "there the blank's own edge is the carrier's edge: leave it out",
            );
            continue;
        }
        let (near, whole) = (table.size(name).unwrap_or(wall), nominal(overall, drawn));
        if far_wall < drawn && near + opening >= whole {
            let given = if table.get(overall).is_some() { overall } else { name };
            let message = format!("the sizes leave no {opposite}: {overall} {}, {name} {}", show(whole), show(near));
            let help = format!("the pocket is {} there as drawn; measure again", show(opening));
            reader.error(table.span_of(given), message, help);
        }
    }
    let Some(depth) = table.size("pocket-depth") else {
        if let Some(drawn) = pocket_depth(design).filter(|_| design.blank.thickness_known)
            && nominal("thickness", carrier.thickness) <= drawn
        {
            let message = "the thickness leaves no floor under the pocket";
            reader.error(table.span_of("thickness"), message, format!("the pocket is {} deep as drawn", show(drawn)));
        }
        return;
    };
    let span = table.span_of("pocket-depth");
    if pocket_depth(design).is_none() {
        let message = "`pocket-depth` is a size this carrier does not have";
        reader.error(span, message, "it has no pocket with a floor: leave it out");
    } else if !design.blank.thickness_known {
        let message = "`pocket-depth` cannot be judged: the blank's thickness is not measured";
        reader.error(span, message, "caliper the blank and state `thickness` under `[blank]` in the job");
    } else if depth >= nominal("thickness", carrier.thickness) {
        let message = format!("a pocket {} deep leaves no floor", show(depth));
        reader.error(span, message, "measure again; a carrier whose pocket is broken through is scrap");
    }
}
