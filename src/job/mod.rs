//! Job files: TOML in, checked values with their places out.
//!
//! This module knows what may stand where. What the values mean together, and what is assumed where
//! they are missing, is the business of [`crate::request`].

mod keys;
mod schema;

use toml::de::DeValue;

pub use keys::{CONSTRUCTION_NAMES, HOLD_NAMES, TABLES, TOOL_NAMES, TableInfo, key_reference, keys, keys_of};
pub use schema::schema;

use crate::diagnostic::{nearest, quoted};
use crate::length::Unit;
use crate::library::reader::{Key, Reader, Table, list};

/// Most pieces of stock in one job.
const MOST_STOCK: usize = 200;

/// Most further outlines in one job.
const MOST_ALSO: usize = 11;

/// A starter for a new job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Starter {
    /// Its name.
    pub name: &'static str,
    /// When to start from it.
    pub when: &'static str,
    /// The job file, with comments.
    pub text: &'static str,
}

/// Every starter, in the order they are listed.
pub const STARTERS: &[Starter] = &[
    Starter {
        name: "short-plaque",
        when: "a rectangle too short, too narrow or both",
        text: include_str!("../../templates/short-plaque.toml"),
    },
    Starter { name: "disc", when: "a round blank", text: include_str!("../../templates/disc.toml") },
    Starter {
        name: "thin-stock",
        when: "a sheet thinner than the machine takes",
        text: include_str!("../../templates/thin-stock.toml"),
    },
    Starter {
        name: "long-narrow",
        when: "long enough, but too narrow",
        text: include_str!("../../templates/long-narrow.toml"),
    },
    Starter {
        name: "tapered",
        when: "one straight edge, the other converging",
        text: include_str!("../../templates/tapered.toml"),
    },
    Starter { name: "mm", when: "a rectangle, all in millimetres", text: include_str!("../../templates/mm.toml") },
];

/// A job as it was typed: every value fits its key, nothing is filled in yet.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Job {
    /// `[job]`.
    pub job: Table,
    /// `[machine]`.
    pub machine: Table,
    /// `[shop]`.
    pub shop: Table,
    /// `[sheet]`.
    pub sheet: Table,
    /// `[carrier]`.
    pub carrier: Table,
    /// `[blank]`.
    pub blank: Table,
    /// `[[also]]`, in the order given.
    pub also: Vec<Table>,
    /// `[carve]`.
    pub carve: Table,
    /// `[second-side]`.
    pub second_side: Table,
    /// `[hold]`.
    pub hold: Table,
    /// `[[stock]]`, in the order given.
    pub stock: Vec<Table>,
    /// `[estimates]`.
    pub estimates: Table,
}

impl Job {
    /// The job's unit.
    pub fn units(&self) -> Unit {
        if self.job.text("units") == Some("mm") { Unit::Millimetre } else { Unit::Inch }
    }

    fn place(&mut self, name: &str) -> Option<&mut Table> {
        Some(match name {
            "job" => &mut self.job,
            "machine" => &mut self.machine,
            "shop" => &mut self.shop,
            "sheet" => &mut self.sheet,
            "carrier" => &mut self.carrier,
            "blank" => &mut self.blank,
            "carve" => &mut self.carve,
            "second-side" => &mut self.second_side,
            "hold" => &mut self.hold,
            "estimates" => &mut self.estimates,
            _ => return None,
        })
    }
}

/// Reads a job through `reader`, which collects every problem of the text and, afterwards, those
/// found in the request. `None` when the text could not be looked at.
pub fn read(reader: &mut Reader<'_>) -> Option<Job> {
    let toml = reader.parse()?;
    // The unit decides how every bare number reads, so it is looked up first; what is wrong with
    // it is reported in its turn.
    let units = toml.get("job").and_then(|job| job.get_ref().as_table()?.get("units")?.get_ref().as_str());
    reader.units =
        if units.is_some_and(|units| units.trim().eq_ignore_ascii_case("mm")) { Unit::Millimetre } else { Unit::Inch };
    let mut job = Job::default();
    for (name, value) in &toml {
        let Some(info) = TABLES.iter().find(|table| table.name == name.get_ref().as_ref()) else {
            // A broken line can turn keys into tables and the other way round.
            if !reader.is_broken() {
                unknown_table(reader, name.get_ref(), name.span(), value.get_ref());
            }
            continue;
        };
        let keys: Vec<&'static Key> = keys_of(info.name).collect();
        match value.get_ref() {
            DeValue::Table(table) if !info.repeated => {
                let read = reader.table(table, value.span(), &keys, &format!("[{}]", info.name));
                if let Some(place) = job.place(info.name) {
                    *place = read;
                }
            }
            DeValue::Array(rows) if info.repeated && rows.len() <= most(info) => {
                let heading = format!("[[{}]]", info.name);
                for row in rows.iter() {
                    match row.get_ref().as_table() {
                        Some(table) => {
                            let read = reader.table(table, row.span(), &keys, &heading);
                            let place = if info.name == "also" { &mut job.also } else { &mut job.stock };
                            place.push(read);
                        }
                        None => wrong_table(reader, info, row.span()),
                    }
                }
            }
            _ => wrong_table(reader, info, name.span()),
        }
    }
    Some(job)
}

/// Most tables of a kind that may be repeated.
fn most(info: &TableInfo) -> usize {
    if info.name == "also" { MOST_ALSO } else { MOST_STOCK }
}

fn wrong_table(reader: &mut Reader<'_>, info: &TableInfo, span: std::ops::Range<usize>) {
    let (message, help) = if info.repeated {
        (
            format!("`{}` is not a list of at most {} tables", info.name, most(info)),
            format!("write each under its own line `[[{}]]`", info.name),
        )
    } else {
        (format!("`{}` is not a table", info.name), format!("write its keys under a line `[{}]`", info.name))
    };
    reader.error(span, message, help);
}

fn unknown_table(reader: &mut Reader<'_>, name: &str, span: std::ops::Range<usize>, value: &DeValue<'_>) {
    let is_table = matches!(value, DeValue::Table(_))
        || value.as_array().is_some_and(|rows| rows.iter().any(|row| row.get_ref().is_table()));
    let names: Vec<&str> = TABLES.iter().map(|table| table.name).collect();
    if is_table {
        let help = match nearest(name, names.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("a job has the tables {}", list(&names)),
        };
        reader.error(span, format!("unknown table {}", quoted(name)), help);
    } else {
        // A key above the first table header: say where it belongs, if it is known at all.
        let help = match keys().find(|key| key.name == name) {
            Some(key) => format!("`{name}` belongs under `[{}]`", key.table),
            None => format!("keys belong under one of the tables {}", list(&names)),
        };
        reader.error(span, format!("the key {} stands outside any table", quoted(name)), help);
    }
}
