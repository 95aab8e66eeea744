//! The pile of boards: read from a table, written back with what is left.

use toml::de::DeValue;

use crate::diagnostic::{Problem, Report, Severity, quoted};
use crate::geometry::Rect;
use crate::length::{Length, Ruler, Unit, parse_measured};
use crate::library::reader::{Key, Kind, Reader, Table};
use crate::library::{Library, MaterialKind};
use crate::request::{Stock, material};

/// Most rows of a pile.
const MOST_ROWS: usize = 500;
/// Most bad places of a board.
pub const MOST_BAD: usize = 4;
/// What is taken off every edge of a board before it counts as straight. Common practice, no source.
pub const TRIM: Length = Length::inches(1, 4);
/// Longest side of a board.
const LONGEST: Length = Length::inches(1200, 1);
/// Thickest board.
const THICKEST: Length = Length::inches(12, 1);

/// A row of the pile: boards alike.
#[derive(Debug, Clone, PartialEq)]
pub struct PileBoard {
    /// What is written on it, if anything.
    pub mark: Option<String>,
    /// Material, as it was typed.
    pub material: String,
    /// Nominal thickness, as it was typed.
    pub nominal: Option<String>,
    /// What it is.
    pub kind: MaterialKind,
    /// Actual thickness.
    pub thickness: Length,
    /// With the grain.
    pub length: Length,
    /// Across.
    pub width: Length,
    /// How many; without limit for what can be bought.
    pub count: usize,
    /// What is taken off every edge.
    pub trim: Length,
    /// Places to be avoided.
    pub bad: Vec<Rect>,
    /// Price of one, in hundredths.
    pub price: Option<i64>,
    /// Whether it is a size that can be bought rather than a board that is there.
    pub to_buy: bool,
    /// Density, kg/m3.
    pub density: f64,
}

impl PileBoard {
    /// The material as the plan prints it.
    pub fn name(&self, ruler: &Ruler) -> String {
        format!("{} {}", self.material, ruler.number(self.thickness))
    }

    /// Mass of one, kg.
    pub fn mass_kg(&self) -> f64 {
        self.length.to_mm() * self.width.to_mm() * self.thickness.to_mm() * self.density / 1e9
    }
}

/// A pile as it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Pile {
    /// Unit of bare numbers, and of what is written.
    pub units: Option<Unit>,
    /// Boards on hand, then sizes to buy.
    pub rows: Vec<PileBoard>,
}

const fn key(table: &'static str, name: &'static str, kind: Kind, default: &'static str, meaning: &'static str) -> Key {
    Key { table, name, kind, default, meaning }
}

/// Keys of a pile.
#[rustfmt::skip]
pub static PILE_KEYS: &[Key] = &[
    key("pile", "units", Kind::Choice(&["in", "mm"]), "in", "unit of numbers without one"),
    key("board", "mark", Kind::Text(20), "none", "what is written on it"),
    key("board", "material", Kind::Text(60), "must be stated", "sheet good, wood, or `softwood` or `hardwood`"),
    key("board", "nominal", Kind::Text(20), "none", "name of the thickness in the trade, such as `3/4 in`"),
    key("board", "thickness", Kind::Size(Length::inches(1, 64), THICKEST), "the usual actual one of `nominal`", "actual thickness"),
    key("board", "length", Kind::Size(Length::INCH, LONGEST), "must be stated", "length, with the grain"),
    key("board", "width", Kind::Size(Length::inches(1, 4), LONGEST), "must be stated", "width"),
    key("board", "count", Kind::Count(1, 1000), "1", "how many"),
    key("board", "trim", Kind::Size(Length::ZERO, Length::inches(6, 1)), "1/4 in", "what is taken off every edge"),
    key("board", "bad", Kind::Rows(LONGEST), "none", "places to avoid: rows of [from the near end, from the near edge, length, width]"),
    key("board", "price", Kind::Number(0.0, 100_000.0), "none", "price of one, or what it is worth to you"),
    key("board", "buy", Kind::Flag, "false", "whether it is a size that can be bought rather than a board on hand"),
];

/// Columns of a pile in CSV, in the order they are written.
const COLUMNS: [&str; 11] =
    ["mark", "material", "nominal", "thickness", "length", "width", "count", "trim", "bad", "price", "buy"];

/// Reads a pile in TOML; `units` is for numbers without one, where the pile does not say.
pub fn from_toml(library: &Library, text: &str, shown: &str, units: Unit) -> Result<Pile, Report> {
    let mut reader = Reader::new(shown, text);
    reader.units = units;
    let mut pile = Pile::default();
    let Some(toml) = reader.parse() else { return Err(reader.finish()) };
    let stated = toml.get("pile").and_then(|pile| pile.get_ref().as_table()?.get("units")?.get_ref().as_str());
    if let Some(stated) = stated {
        let unit = if stated.trim().eq_ignore_ascii_case("mm") { Unit::Millimetre } else { Unit::Inch };
        reader.units = unit;
        pile.units = Some(unit);
    }
    let keys = |table: &str| -> Vec<&'static Key> { PILE_KEYS.iter().filter(|key| key.table == table).collect() };
    for (name, value) in &toml {
        match (name.get_ref().as_ref(), value.get_ref()) {
            ("pile", DeValue::Table(table)) => {
                reader.table(table, value.span(), &keys("pile"), "[pile]");
            }
            ("board", DeValue::Array(rows)) if rows.len() <= MOST_ROWS => {
                for (place, row) in rows.iter().enumerate() {
                    let Some(table) = row.get_ref().as_table() else {
                        reader.error(row.span(), "a board is not a table", "write each under its own line `[[board]]`");
                        continue;
                    };
                    let table = reader.table(table, row.span(), &keys("board"), "[[board]]");
                    let units = reader.units;
                    if let Some(board) = board(&mut reader, library, &table, units, place + 1) {
                        pile.rows.push(board);
                    }
                }
            }
            ("board", _) => {
                let message = format!("`board` is not a list of at most {MOST_ROWS} tables");
                reader.error(name.span(), message, "write each under its own line `[[board]]`");
            }
            (other, _) => {
                let message = format!("unknown table {}", quoted(other));
                reader.error(name.span(), message, "a pile has the tables `pile` and `board`");
            }
        }
    }
    let report = reader.finish();
    if report.stops() { Err(report) } else { Ok(pile) }
}

fn board(reader: &mut Reader<'_>, library: &Library, table: &Table, units: Unit, number: usize) -> Option<PileBoard> {
    for name in ["material", "length", "width"] {
        if !table.has(name) {
            let message = format!("board {number} does not state `{name}`");
            reader.error(table.span.clone(), message, "a board needs its material, length and width");
        }
    }
    let bad = table.rows("bad").unwrap_or_default().iter().filter_map(|(_, row)| match row.as_slice() {
        [x, y, length, width] => Some(Rect::sized(*x, *y, *length, *width)),
        _ => None,
    });
    let bad: Vec<Rect> = bad.collect();
    if bad.len() != table.rows("bad").map_or(0, <[_]>::len) {
        let help = "write each as [from the near end, from the near edge, length, width]";
        reader.error(table.span_of("bad"), "a bad place is not four sizes", help);
    }
    let row = Row {
        mark: table.text("mark"),
        material: table.text("material")?,
        nominal: table.text("nominal"),
        thickness: table.size("thickness"),
        size: (table.size("length")?, table.size("width")?),
        count: table.count("count").unwrap_or(1),
        trim: table.size("trim"),
        bad,
        price: table.number("price"),
        to_buy: table.flag("buy").unwrap_or(false),
    };
    row.board(library, units, number).map_err(|(message, help)| reader.error(table.span.clone(), message, help)).ok()
}

/// A row as it was typed.
struct Row<'t> {
    mark: Option<&'t str>,
    material: &'t str,
    nominal: Option<&'t str>,
    thickness: Option<Length>,
    size: (Length, Length),
    count: u32,
    trim: Option<Length>,
    bad: Vec<Rect>,
    price: Option<f64>,
    to_buy: bool,
}

impl Row<'_> {
    fn board(self, library: &Library, units: Unit, number: usize) -> Result<PileBoard, (String, String)> {
        let Some(known) = material(library, units, (self.material, self.nominal, self.thickness)) else {
            let message = format!("board {number}: unknown material {}", quoted(self.material));
            return Err((message, "`sledwright list stock` and `sledwright list woods` name them all".to_owned()));
        };
        let Some(thickness) = self.thickness.or(known.thickness) else {
            let help = "caliper it, or give the trade's name for it as `nominal`, such as \"3/4 in\"";
            return Err((format!("board {number} does not state `thickness`"), help.to_owned()));
        };
        let (length, width) = self.size;
        let whole = Rect::sized(Length::ZERO, Length::ZERO, length, width);
        let outside = self.bad.iter().any(|bad| {
            let empty = bad.length() <= Length::ZERO || bad.width() <= Length::ZERO;
            empty || bad.x0 < whole.x0 || bad.y0 < whole.y0 || bad.x1 > whole.x1 || bad.y1 > whole.y1
        });
        if outside || self.bad.len() > MOST_BAD {
            let help =
                format!("at most {MOST_BAD}, each [from the near end, from the near edge, length, width] within it");
            return Err((format!("board {number}: bad places that do not lie in it"), help));
        }
        let trim = self.trim.unwrap_or(TRIM);
        if trim * 2 >= length || trim * 2 >= width {
            let help = "state a smaller `trim`: edges that are straight and sound need none";
            return Err((format!("board {number}: nothing is left of it within its trimmed edges"), help.to_owned()));
        }
        Ok(PileBoard {
            mark: self.mark.map(|mark| mark.trim().to_owned()).filter(|mark| !mark.is_empty()),
            material: self.material.trim().to_owned(),
            nominal: self.nominal.map(|nominal| nominal.trim().to_owned()),
            kind: known.kind,
            thickness,
            length,
            width,
            count: if self.to_buy { usize::MAX } else { usize::try_from(self.count).unwrap_or(1) },
            trim,
            bad: self.bad,
            // Bounded where it is read.
            price: self.price.map(|price| libm::round(price * 100.0) as i64),
            to_buy: self.to_buy,
            density: known.density,
        })
    }
}

/// Reads a pile in CSV, with a heading row; `units` is for numbers without one.
pub fn from_csv(library: &Library, text: &str, shown: &str, units: Unit) -> Result<Pile, Report> {
    let mut problems = Report::new();
    let mut wrong = |message: String, help: &str| {
        problems.append(Report::of(Problem::whole(Severity::Error, shown, message).help(help)));
    };
    let mut table = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let heads: Vec<String> = match table.headers() {
        Ok(heads) => heads.iter().map(str::to_lowercase).collect(),
        Err(error) => {
            wrong(format!("not a table: {error}"), "a pile in CSV starts with a row of headings");
            return Err(problems);
        }
    };
    let known = format!("columns are {}", COLUMNS.join(", "));
    for head in heads.iter().filter(|head| !COLUMNS.contains(&head.as_str())) {
        wrong(format!("unknown column {}", quoted(head)), &known);
    }
    for head in ["material", "length", "width"].iter().filter(|head| !heads.iter().any(|other| other == *head)) {
        wrong(format!("there is no column `{head}`"), &known);
    }
    let mut pile = Pile { units: Some(units), rows: Vec::new() };
    for (place, record) in table.records().enumerate() {
        let number = place + 1;
        if place >= MOST_ROWS {
            wrong(format!("more than {MOST_ROWS} boards"), "cut the pile into several files");
            break;
        }
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                wrong(format!("board {number} cannot be read: {error}"), "see the row in a text editor");
                break;
            }
        };
        let cell = |name: &str| {
            let column = heads.iter().position(|head| head == name)?;
            record.get(column).map(|text| text.trim_start_matches('\'')).filter(|text| !text.is_empty())
        };
        let mut odd: Vec<String> = Vec::new();
        let mut size = |name: &str| {
            let text = cell(name)?;
            let read = size_of(text, units);
            let read = read.filter(|size| (Length::ZERO..=LONGEST).contains(size));
            if read.is_none() {
                odd.push(format!("`{name}` {}", quoted(text)));
            }
            read
        };
        let (thickness, length, width, trim) = (size("thickness"), size("length"), size("width"), size("trim"));
        let bad = cell("bad").map(|text| bad_places(text, units)).unwrap_or_else(|| Some(Vec::new()));
        let count = cell("count").map_or(Some(1), |text| text.parse().ok().filter(|count| (1..=1000).contains(count)));
        let price = cell("price").map(|text| text.parse::<f64>().ok().filter(|price| (0.0..=1e5).contains(price)));
        let to_buy = cell("buy").is_some_and(|text| matches!(text.to_lowercase().as_str(), "true" | "yes" | "1"));
        for (name, fine) in [("bad", bad.is_some()), ("count", count.is_some()), ("price", price != Some(None))] {
            if !fine {
                odd.push(format!("`{name}` {}", quoted(cell(name).unwrap_or_default())));
            }
        }
        let (Some(material), Some(length), Some(width), true) = (cell("material"), length, width, odd.is_empty())
        else {
            let what = if odd.is_empty() { "material, length or width missing".to_owned() } else { odd.join(", ") };
            wrong(format!("board {number}: {what}"), "sizes look like 23-1/2 or 600 mm");
            continue;
        };
        let row = Row {
            mark: cell("mark"),
            material,
            nominal: cell("nominal"),
            thickness: thickness.filter(|thickness| *thickness > Length::ZERO),
            size: (length, width),
            count: count.unwrap_or(1),
            trim,
            bad: bad.unwrap_or_default(),
            price: price.flatten(),
            to_buy,
        };
        match row.board(library, units, number) {
            Ok(board) => pile.rows.push(board),
            Err((message, help)) => wrong(message, &help),
        }
    }
    if problems.stops() { Err(problems) } else { Ok(pile) }
}

/// A size in a cell. Nothing at all is a size here: of a trim, or where a bad place begins.
fn size_of(text: &str, units: Unit) -> Option<Length> {
    let bare = text.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c.is_whitespace());
    if bare == "0" {
        return Some(Length::ZERO);
    }
    parse_measured(text, units).ok().map(|size| size.nominal)
}

/// Bad places in a cell: four sizes each, with spaces between them, and `;` between places.
fn bad_places(text: &str, units: Unit) -> Option<Vec<Rect>> {
    let place = |text: &str| {
        let sizes: Option<Vec<Length>> = text.split_whitespace().map(|size| size_of(size, units)).collect();
        match sizes?.as_slice() {
            [x, y, length, width] => Some(Rect::sized(*x, *y, *length, *width)),
            _ => None,
        }
    };
    text.split(';').map(str::trim).filter(|text| !text.is_empty()).map(place).collect()
}

/// The stock a job file states, as rows of a pile.
pub fn of_job(stock: &[Stock]) -> Vec<PileBoard> {
    let row = |stock: &Stock| {
        let count = stock.count?;
        Some(PileBoard {
            mark: None,
            // The job's name for it ends with its thickness.
            material: match stock.name.rsplit_once(' ') {
                Some((name, last)) if last.starts_with(|c: char| c.is_ascii_digit() || c == '.') => name.to_owned(),
                _ => stock.name.clone(),
            },
            nominal: None,
            kind: stock.kind,
            thickness: stock.thickness,
            length: stock.length?,
            width: stock.width?,
            // Layers of one stock are as many boards.
            count: usize::try_from(count).unwrap_or(1) * usize::try_from(stock.layers.max(1)).unwrap_or(1),
            trim: TRIM,
            bad: Vec::new(),
            price: None,
            to_buy: false,
            density: stock.density,
        })
    };
    stock.iter().filter_map(row).collect()
}

/// Writes a pile in TOML.
pub fn to_toml(rows: &[PileBoard], units: Unit) -> String {
    let ruler = exact(units);
    let mut text = format!("[pile]\nunits = \"{}\"\n", if units == Unit::Inch { "in" } else { "mm" });
    for row in rows {
        text.push_str("\n[[board]]\n");
        let quoted = |text: &str| toml::Value::String(text.to_owned()).to_string();
        for (name, value) in cells(row, &ruler) {
            let value = match name {
                "bad" => {
                    let places = row.bad.iter().map(|bad| {
                        let sizes = [bad.x0, bad.y0, bad.length(), bad.width()];
                        format!("[{}]", sizes.map(|size| quoted(&ruler.number(size))).join(", "))
                    });
                    format!("[{}]", places.collect::<Vec<_>>().join(", "))
                }
                "count" | "price" | "buy" => value,
                _ => quoted(&value),
            };
            text.push_str(&format!("{name} = {value}\n"));
        }
    }
    text
}

/// Writes a pile in CSV.
///
/// # Errors
/// Only when the table cannot be put together; no pile causes it.
pub fn to_csv(rows: &[PileBoard], units: Unit) -> Result<Vec<u8>, csv::Error> {
    let ruler = exact(units);
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(COLUMNS)?;
    for row in rows {
        let cells = cells(row, &ruler);
        let cell = |column: &str| {
            let text = cells.iter().find(|(name, _)| *name == column).map_or("", |(_, text)| text.as_str());
            // As in every table of ours: a spreadsheet must not take it for a formula.
            if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_owned() }
        };
        table.write_record(COLUMNS.map(cell))?;
    }
    table.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

/// A ruler fine enough for every size of a pile, kerfs taken off.
fn exact(units: Unit) -> Ruler {
    match units {
        Unit::Inch => Ruler::inch(64),
        Unit::Millimetre => Ruler::metric(100),
    }
}

fn cells(row: &PileBoard, ruler: &Ruler) -> Vec<(&'static str, String)> {
    let unit = |size: Length| ruler.with_unit(size);
    let mut cells = Vec::new();
    if let Some(mark) = &row.mark {
        cells.push(("mark", mark.clone()));
    }
    cells.push(("material", row.material.clone()));
    if let Some(nominal) = &row.nominal {
        cells.push(("nominal", nominal.clone()));
    }
    cells.push(("thickness", unit(row.thickness)));
    // Never larger than it is: what does not lie on a mark is written as the mark below.
    cells.push(("length", unit(row.length.down(ruler.step))));
    cells.push(("width", unit(row.width.down(ruler.step))));
    if !row.to_buy && row.count != 1 {
        cells.push(("count", row.count.to_string()));
    }
    if row.trim != TRIM {
        cells.push(("trim", unit(row.trim)));
    }
    if !row.bad.is_empty() {
        let place = |bad: &Rect| {
            let sizes = [bad.x0, bad.y0, bad.length(), bad.width()];
            // Without spaces inside a size.
            sizes.map(|size| ruler.number(size)).join(" ")
        };
        cells.push(("bad", row.bad.iter().map(place).collect::<Vec<_>>().join("; ")));
    }
    if let Some(price) = row.price {
        cells.push(("price", format!("{}.{:02}", price / 100, price % 100)));
    }
    if row.to_buy {
        cells.push(("buy", "true".to_owned()));
    }
    cells
}
