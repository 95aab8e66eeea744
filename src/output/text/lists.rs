//! `list`: what the program knows, straight from its tables.

use super::layout::{pairs, paragraph, table};
use crate::construct::CONSTRUCTIONS;
use crate::job::{TABLES, keys_of};
use crate::length::{Length, Ruler};
use crate::library::{Limits, Machine, SheetGood, Wood};
use crate::output::files::FORMATS;
use crate::rules::{RULES, Severity};

/// Machines, and stock with an inch name, are printed in inches.
const RULER: Ruler = Ruler::inch(64);
/// Stock with a metric name.
const METRIC: Ruler = Ruler::metric(1);

fn range(ruler: Ruler, low: Length, high: Length) -> String {
    format!("{} to {}", ruler.number(low), ruler.with_unit(high))
}

/// Machine rows.
pub fn machines(rows: &[Machine]) -> String {
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            vec![
                row.id.clone(),
                row.kind.id().to_owned(),
                range(RULER, row.length.min, row.length.max),
                range(RULER, row.width.min, row.width.max),
                range(RULER, row.thickness.min, row.thickness.max),
                if row.unconfirmed.is_empty() { "yes" } else { "no" }.to_owned(),
            ]
        })
        .collect();
    table(&["machine", "kind", "length", "width", "thickness", "confirmed"], &rows)
}

/// A machine profile, as `machine check` shows it.
pub fn machine(row: &Machine) -> String {
    let limits = |limits: Limits, guard: Length| {
        if guard == Length::ZERO {
            range(RULER, limits.min, limits.max)
        } else {
            format!("{}, kept inside by {}", range(RULER, limits.min, limits.max), RULER.with_unit(guard))
        }
    };
    let mut text = format!("{}: {}\n", row.id, row.name);
    text.push_str(&named([
        ("length", limits(row.length, row.length_guard).as_str()),
        ("width", &limits(row.width, row.width_guard)),
        ("thickness", &limits(row.thickness, row.thickness_guard)),
        (
            "end allowance",
            &format!(
                "{} (cutter to roller {}, grip {}); at the very least {}",
                RULER.with_unit(row.cutter_to_roller + row.grip_wanted),
                RULER.with_unit(row.cutter_to_roller),
                RULER.with_unit(row.grip_wanted),
                RULER.with_unit(row.cutter_to_roller + row.grip_least),
            ),
        ),
        ("strip", &RULER.with_unit(row.strip)),
        ("cutter's travel", &format!("{} from the fence", range(RULER, row.window.min, row.window.max))),
        ("depth", &RULER.with_unit(row.depth)),
    ]));
    text.push_str(&match row.unconfirmed.as_slice() {
        [] => "Every figure is confirmed.\n".to_owned(),
        figures => paragraph(&format!("MACHINE FIGURES NOT CONFIRMED: {}", figures.join(", "))),
    });
    text
}

/// Sources named once, below the table that cites them by number.
#[derive(Default)]
struct Sources<'a>(Vec<&'a str>);

impl<'a> Sources<'a> {
    /// The number of a source.
    fn cite(&mut self, source: &'a str) -> String {
        let place = self.0.iter().position(|known| *known == source).unwrap_or_else(|| {
            self.0.push(source);
            self.0.len() - 1
        });
        format!("[{}]", place + 1)
    }

    fn list(&self) -> String {
        let rows: Vec<(String, String)> =
            (1..).zip(&self.0).map(|(n, s)| (format!("[{n}]"), (*s).to_owned())).collect();
        format!("\n{}", pairs(&rows))
    }
}

/// Wood species.
pub fn woods(rows: &[Wood]) -> String {
    let number = |value: Option<f64>, digits: usize| value.map_or_else(|| "-".to_owned(), |v| format!("{v:.digits$}"));
    let mut sources = Sources::default();
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            vec![
                row.id.clone(),
                format!("{:.0}", row.density),
                number(row.elasticity, 0),
                number(row.radial, 5),
                number(row.tangential, 5),
                sources.cite(&row.source),
            ]
        })
        .collect();
    let text = table(&["wood", "kg/m3", "E, N/mm2", "radial", "tangential", "source"], &rows);
    text + &sources.list()
}

/// Sheet goods.
pub fn stock(rows: &[SheetGood]) -> String {
    let mut sources = Sources::default();
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let ruler = if row.nominal.ends_with("mm") { METRIC } else { RULER };
            vec![
                row.id.clone(),
                row.nominal.clone(),
                ruler.both(row.thickness),
                row.thickness_range.map_or_else(String::new, |limits| range(ruler, limits.min, limits.max)),
                format!("{:.0}", row.density),
                sources.cite(&row.source),
            ]
        })
        .collect();
    let text = table(&["stock", "called", "is", "allowed", "kg/m3", "source"], &rows);
    text + &sources.list()
}

/// Constructions.
pub fn constructions() -> String {
    let rows: Vec<Vec<String>> =
        CONSTRUCTIONS.iter().map(|c| vec![c.id().to_owned(), c.title().to_owned(), c.when().to_owned()]).collect();
    table(&["construction", "what it is", "when"], &rows)
}

/// Rules.
pub fn rules() -> String {
    let rows: Vec<Vec<String>> = RULES
        .iter()
        .map(|row| {
            vec![
                row.id.to_owned(),
                row.statement.to_owned(),
                match row.severity {
                    Severity::Must => "no design",
                    Severity::Should => "a warning",
                }
                .to_owned(),
            ]
        })
        .collect();
    table(&["rule", "demands", "if broken"], &rows)
}

/// Keys of a job file, table by table.
pub fn keys() -> String {
    let mut text = String::new();
    for info in &TABLES {
        let heading = if info.repeated { format!("[[{}]]", info.name) } else { format!("[{}]", info.name) };
        let rows: Vec<Vec<String>> = keys_of(info.name)
            .map(|key| vec![key.name.to_owned(), key.kind.words(), key.default.to_owned(), key.meaning.to_owned()])
            .collect();
        let gap = if text.is_empty() { "" } else { "\n" };
        text.push_str(&format!("{gap}{}", paragraph(&format!("{heading} {}", info.meaning))));
        text.push_str(&table(&["key", "holds", "if left out", "meaning"], &rows));
    }
    text
}

/// File formats.
pub fn formats() -> String {
    let rows: Vec<Vec<String>> =
        FORMATS.iter().map(|f| vec![f.id.to_owned(), f.file.to_owned(), f.what.to_owned()]).collect();
    table(&["format", "file", "what it holds"], &rows)
}

/// Names with a line each.
pub fn named<'a>(rows: impl IntoIterator<Item = (&'a str, &'a str)>) -> String {
    let rows: Vec<(String, String)> = rows.into_iter().map(|(name, text)| (name.to_owned(), text.to_owned())).collect();
    pairs(&rows)
}
