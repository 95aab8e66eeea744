//! The reference tables: the embedded rows, and a user's own rows over them.

use std::sync::OnceLock;

use super::reader::{Key, Kind, Reader, Table, list};
use super::{
    Cutter, Limits, MACHINE_KEYS, Machine, MachineKind, MaterialKind, PaperSize, Screw, SheetGood, Wood, machine_from,
};
use crate::diagnostic::{Report, Severity, nearest, quoted};
use crate::length::{Length, Unit, parse_measured};
use toml::de::DeValue;

/// The embedded files: name for reports, and text.
const EMBEDDED: [(&str, &str); 6] = [
    ("shared/woods.toml", include_str!("../../shared/woods.toml")),
    ("shared/sheet-goods.toml", include_str!("../../shared/sheet-goods.toml")),
    ("shared/machines.toml", include_str!("../../shared/machines.toml")),
    ("shared/cutters.toml", include_str!("../../shared/cutters.toml")),
    ("shared/paper.toml", include_str!("../../shared/paper.toml")),
    ("shared/screws.toml", include_str!("../../shared/screws.toml")),
];

/// Most rows in one table of one file.
const MOST_ROWS: usize = 2000;

const LEAST: Length = Length::from_ticks(1);
/// Longest thing in a row: 100 ft.
const FAR: Length = Length::inches(1200, 1);

const fn needed(table: &'static str, name: &'static str, kind: Kind, meaning: &'static str) -> Key {
    Key { table, name, kind, default: NEEDED, meaning }
}

const fn optional(table: &'static str, name: &'static str, kind: Kind, meaning: &'static str) -> Key {
    Key { table, name, kind, default: "not known", meaning }
}

/// Marks a key that every row must state.
const NEEDED: &str = "must be stated";

static ROW_KEYS: [Key; 32] = [
    needed("wood", "id", Kind::Text(60), "name of the row"),
    needed("wood", "density", Kind::Number(50.0, 1500.0), "kg/m3 at 12 % moisture"),
    optional("wood", "elasticity", Kind::Number(500.0, 50_000.0), "N/mm2 along the grain"),
    optional("wood", "radial", Kind::Number(0.0, 0.01), "change per % of moisture, quarter-sawn width"),
    optional("wood", "tangential", Kind::Number(0.0, 0.01), "change per % of moisture, flat-sawn width"),
    needed("wood", "source", Kind::Text(300), "where the figures come from"),
    needed("sheet-good", "id", Kind::Text(60), "name of the row"),
    needed("sheet-good", "material", Kind::Text(60), "name of the material in job files"),
    needed("sheet-good", "kind", Kind::Choice(&MATERIAL_KINDS), "what it is"),
    needed("sheet-good", "nominal", Kind::Text(20), "name in the trade"),
    needed("sheet-good", "thickness", Kind::Size(LEAST, FAR), "actual thickness"),
    optional("sheet-good", "thickness-min", Kind::Size(LEAST, FAR), "least thickness allowed"),
    optional("sheet-good", "thickness-max", Kind::Size(LEAST, FAR), "greatest thickness allowed"),
    needed("sheet-good", "density", Kind::Number(50.0, 1500.0), "kg/m3"),
    needed("sheet-good", "elasticity", Kind::Number(100.0, 50_000.0), "N/mm2 in bending"),
    optional("sheet-good", "can-buy", Kind::Flag, "whether designs may ask for it"),
    needed("sheet-good", "source", Kind::Text(300), "where the figures come from"),
    needed("cutter", "id", Kind::Text(60), "name of the row"),
    needed("cutter", "diameter", Kind::Size(LEAST, FAR), "diameter"),
    needed("cutter", "flute", Kind::Size(LEAST, FAR), "length of the cutting edges"),
    needed("cutter", "source", Kind::Text(300), "where the figures come from"),
    needed("paper", "id", Kind::Text(20), "name of the row"),
    needed("paper", "width", Kind::Size(LEAST, FAR), "short side"),
    needed("paper", "length", Kind::Size(LEAST, FAR), "long side"),
    needed("paper", "source", Kind::Text(300), "where the figures come from"),
    needed("screw", "id", Kind::Text(20), "gauge or diameter, as it is asked for"),
    needed("screw", "units", Kind::Choice(&["in", "mm"]), "which jobs take it"),
    needed("screw", "diameter", Kind::Size(LEAST, Length::INCH), "diameter of the shank"),
    needed("screw", "head", Kind::Size(LEAST, Length::inches(2, 1)), "greatest diameter of the head"),
    needed("screw", "height", Kind::Size(LEAST, Length::INCH), "height of the head"),
    needed("screw", "lengths", Kind::Texts, "lengths over all that can be had"),
    needed("screw", "source", Kind::Text(300), "where the figures come from"),
];

/// Names of the kinds of material.
const MATERIAL_KINDS: [&str; 6] = ["hardwood", "softwood", "plywood", "mdf", "hardboard", "particleboard"];

/// Names of the tables a file may hold.
const TABLES: [&str; 6] = ["wood", "sheet-good", "machine", "cutter", "paper", "screw"];

/// All reference tables.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Library {
    woods: Vec<Wood>,
    sheet_goods: Vec<SheetGood>,
    machines: Vec<Machine>,
    cutters: Vec<Cutter>,
    papers: Vec<PaperSize>,
    screws: Vec<Screw>,
}

/// The built-in tables.
pub fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| {
        let mut library = Library::default();
        for (file, text) in EMBEDDED {
            // A test reads every embedded file and fails on any problem, so none is lost here.
            if let Ok(more) = library.with(text, file) {
                library = more;
            }
        }
        library
    })
}

impl Library {
    /// The embedded files, as name and text.
    pub fn embedded_files() -> &'static [(&'static str, &'static str)] {
        &EMBEDDED
    }

    /// These tables with the rows of a text over them: a row with the `id` of an existing one
    /// takes its place, others are added.
    ///
    /// # Errors
    /// Every problem found in the text.
    pub fn with(&self, text: &str, file: &str) -> Result<Library, Report> {
        let mut library = self.clone();
        let mut reader = Reader::new(file, text);
        if let Some(toml) = reader.parse() {
            for (name, value) in &toml {
                let table_name = TABLES.into_iter().find(|known| *known == name.get_ref().as_ref());
                let rows = match value.get_ref() {
                    DeValue::Array(rows) => rows.iter().collect(),
                    _ => Vec::new(),
                };
                let tables: Vec<_> =
                    rows.iter().filter_map(|row| Some((row.span(), row.get_ref().as_table()?))).collect();
                match table_name {
                    Some(known) if !tables.is_empty() && tables.len() == rows.len() && rows.len() <= MOST_ROWS => {
                        for (span, row) in tables {
                            library.add_row(&mut reader, known, row, span);
                        }
                    }
                    Some(known) => {
                        let help = format!("write each row under its own line `[[{known}]]`, {MOST_ROWS} at most");
                        reader.error(name.span(), format!("`{known}` is not a list of rows"), help);
                    }
                    None => {
                        let help = match nearest(name.get_ref(), TABLES) {
                            Some(near) => format!("did you mean `[[{near}]]`?"),
                            None => format!("expected rows of {}", list(&TABLES)),
                        };
                        reader.error(name.span(), format!("unknown table {}", quoted(name.get_ref())), help);
                    }
                }
            }
        }
        let report = reader.finish();
        if report.stops() { Err(report) } else { Ok(library) }
    }

    fn add_row<'a>(
        &mut self,
        reader: &mut Reader<'a>,
        name: &'static str,
        row: &toml::de::DeTable<'a>,
        span: std::ops::Range<usize>,
    ) {
        let keys: Vec<&'static Key> = if name == "machine" {
            MACHINE_KEYS.iter().collect()
        } else {
            ROW_KEYS.iter().filter(|key| key.table == name).collect()
        };
        let title = format!("[[{name}]]");
        // Numbers of a row are in inches, but for those of a machine row that says otherwise.
        let units = row.get("units").filter(|_| name == "machine").and_then(|value| value.get_ref().as_str());
        reader.units = if units.is_some_and(|units| units.trim() == "mm") { Unit::Millimetre } else { Unit::Inch };
        let table = reader.table(row, span, &keys, &title);
        let missing: Vec<&str> = keys
            .iter()
            .filter(|key| key.default == NEEDED || (name == "machine" && key.name == "id"))
            .map(|key| key.name)
            .filter(|name| !table.has(name))
            .collect();
        if !missing.is_empty() {
            let message = format!("the row does not state {}", list(&missing));
            reader.error(table.span.clone(), message, "every row states these");
            return;
        }
        if name == "machine" {
            let id = table.text("id").unwrap_or_default();
            let known = self.machine(id).cloned();
            let whole = known.is_none();
            let (machine, _) = machine_from(reader, &table, known.unwrap_or_else(Machine::plain), whole);
            put(&mut self.machines, machine, |row| &row.id);
        } else {
            // `None` only where a key was wrong, which has been reported.
            let _ = match name {
                "wood" => wood(&table).map(|row| put(&mut self.woods, row, |row| &row.id)),
                "sheet-good" => sheet_good(reader, &table).map(|row| put(&mut self.sheet_goods, row, |row| &row.id)),
                "cutter" => cutter(&table).map(|row| put(&mut self.cutters, row, |row| &row.id)),
                "screw" => screw(reader, &table).map(|row| put(&mut self.screws, row, |row| &row.id)),
                _ => paper(&table).map(|row| put(&mut self.papers, row, |row| &row.id)),
            };
        }
    }

    /// All woods.
    pub fn woods(&self) -> &[Wood] {
        &self.woods
    }

    /// All sheet goods.
    pub fn sheet_goods(&self) -> &[SheetGood] {
        &self.sheet_goods
    }

    /// All machines.
    pub fn machines(&self) -> &[Machine] {
        &self.machines
    }

    /// All cutters.
    pub fn cutters(&self) -> &[Cutter] {
        &self.cutters
    }

    /// All sizes of paper.
    pub fn papers(&self) -> &[PaperSize] {
        &self.papers
    }

    /// All wood screws, in the order in which they are tried.
    pub fn screws(&self) -> &[Screw] {
        &self.screws
    }

    /// The machine with this name.
    pub fn machine(&self, id: &str) -> Option<&Machine> {
        self.machines.iter().find(|machine| machine.id == id)
    }

    /// The carvers, planers or drum sanders.
    pub fn machines_of(&self, kind: MachineKind) -> impl Iterator<Item = &Machine> {
        self.machines.iter().filter(move |machine| machine.kind == kind)
    }

    /// The sheet good with this name.
    pub fn sheet_good(&self, id: &str) -> Option<&SheetGood> {
        self.sheet_goods.iter().find(|row| row.id == id)
    }

    /// The wood with this name.
    pub fn wood(&self, id: &str) -> Option<&Wood> {
        self.woods.iter().find(|row| row.id == id)
    }

    /// The woods a person may mean: the one with this name, else all whose name has every word of
    /// it (`black walnut`, `maple`).
    pub fn woods_like(&self, name: &str) -> Vec<&Wood> {
        let words = |text: &str| -> Vec<String> {
            let split = text.to_lowercase();
            split.split([' ', ',', '-']).filter(|word| !word.is_empty()).map(str::to_owned).collect()
        };
        let wanted = words(name);
        if let Some(wood) = self.woods.iter().find(|wood| wood.id.eq_ignore_ascii_case(name.trim())) {
            return vec![wood];
        }
        if wanted.is_empty() {
            return Vec::new();
        }
        self.woods
            .iter()
            .filter(|wood| {
                let known = words(&wood.id);
                wanted.iter().all(|word| known.contains(word))
            })
            .collect()
    }
}

/// Puts a row in the place of the one with its name, or at the end.
fn put<T>(rows: &mut Vec<T>, row: T, id: impl Fn(&T) -> &String) {
    match rows.iter_mut().find(|known| id(known) == id(&row)) {
        Some(place) => *place = row,
        None => rows.push(row),
    }
}

fn wood(table: &Table) -> Option<Wood> {
    Some(Wood {
        id: table.text("id")?.to_owned(),
        density: table.number("density")?,
        elasticity: table.number("elasticity"),
        radial: table.number("radial"),
        tangential: table.number("tangential"),
        source: table.text("source")?.to_owned(),
    })
}

fn sheet_good(reader: &mut Reader<'_>, table: &Table) -> Option<SheetGood> {
    let thickness = table.size("thickness")?;
    let thickness_range = match (table.size("thickness-min"), table.size("thickness-max")) {
        (Some(min), Some(max)) => Some(Limits { min, max }),
        _ => None,
    };
    if let Some(range) = thickness_range
        && !(range.min..=range.max).contains(&thickness)
    {
        let message = "`thickness` is not between `thickness-min` and `thickness-max`";
        reader.push(reader.source.problem(Severity::Error, table.span_of("thickness"), message));
        return None;
    }
    let kind = match table.text("kind")? {
        "hardwood" => MaterialKind::Hardwood,
        "softwood" => MaterialKind::Softwood,
        "plywood" => MaterialKind::Plywood,
        "mdf" => MaterialKind::Mdf,
        "hardboard" => MaterialKind::Hardboard,
        _ => MaterialKind::Particleboard,
    };
    Some(SheetGood {
        id: table.text("id")?.to_owned(),
        material: table.text("material")?.to_owned(),
        kind,
        nominal: table.text("nominal")?.to_owned(),
        thickness,
        thickness_range,
        density: table.number("density")?,
        elasticity: table.number("elasticity")?,
        can_buy: table.flag("can-buy").unwrap_or(false),
        source: table.text("source")?.to_owned(),
    })
}

fn cutter(table: &Table) -> Option<Cutter> {
    Some(Cutter {
        id: table.text("id")?.to_owned(),
        diameter: table.size("diameter")?,
        flute: table.size("flute")?,
        source: table.text("source")?.to_owned(),
    })
}

fn screw(reader: &mut Reader<'_>, table: &Table) -> Option<Screw> {
    let units = if table.text("units")? == "mm" { Unit::Millimetre } else { Unit::Inch };
    let mut lengths = Vec::new();
    for text in table.texts("lengths")? {
        match parse_measured(text, units) {
            Ok(size) if (LEAST..=Length::inches(12, 1)).contains(&size.nominal) => lengths.push(size.nominal),
            _ => {
                let message = format!("{} is no length of a screw", quoted(text));
                reader.error(table.span_of("lengths"), message, "write lengths such as \"1-1/4 in\", up to a foot");
                return None;
            }
        }
    }
    lengths.sort_unstable();
    Some(Screw {
        id: table.text("id")?.to_owned(),
        units,
        diameter: table.size("diameter")?,
        head: table.size("head")?,
        height: table.size("height")?,
        lengths,
        source: table.text("source")?.to_owned(),
    })
}

fn paper(table: &Table) -> Option<PaperSize> {
    Some(PaperSize {
        id: table.text("id")?.to_owned(),
        width: table.size("width")?,
        length: table.size("length")?,
        source: table.text("source")?.to_owned(),
    })
}
