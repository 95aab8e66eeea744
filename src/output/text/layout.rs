//! Paragraphs and tables of a fixed width.

use comfy_table::{Cell, ColumnConstraint, ContentArrangement, Table, TableComponent, presets};

use crate::diagnostic::printable;

/// Columns of every report.
pub const WIDTH: u16 = 100;
/// Longest name in a first column that is never broken.
const LONGEST_NAME: u16 = 32;

fn blank_table() -> Table {
    let mut table = Table::new();
    table.load_preset(presets::NOTHING).set_content_arrangement(ContentArrangement::Dynamic).set_width(WIDTH);
    table
}

/// Keeps the names in the first column whole, if they leave room for the rest.
fn keep_names(table: &mut Table) {
    let widest = table.column_max_content_widths().first().copied().unwrap_or(0);
    if widest <= LONGEST_NAME
        && let Some(column) = table.column_mut(0)
    {
        column.set_constraint(ColumnConstraint::ContentWidth);
    }
}

/// The table's text without the blanks that fill its last column.
fn finish(table: &Table) -> String {
    let mut text = String::new();
    for line in table.lines() {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Text on one line: control characters would break the lines of a report (and steer a terminal).
fn tame(text: &str) -> String {
    printable(&text.replace(['\n', '\r', '\t'], " "))
}

/// A paragraph, wrapped.
pub fn paragraph(text: &str) -> String {
    let mut table = blank_table();
    table.add_row([Cell::new(tame(text))]);
    if let Some(column) = table.column_mut(0) {
        column.set_padding((0, 0));
    }
    finish(&table)
}

/// Lines of a name and its text, the texts wrapped in a column of their own.
pub fn pairs(rows: &[(String, String)]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let mut table = blank_table();
    for (name, text) in rows {
        table.add_row([Cell::new(tame(name)), Cell::new(tame(text))]);
    }
    if let Some(column) = table.column_mut(0) {
        column.set_padding((2, 1));
    }
    keep_names(&mut table);
    finish(&table)
}

/// A table with a line under its headings. Columns that are empty throughout are left out.
pub fn table(headings: &[&str], rows: &[Vec<String>]) -> String {
    let used: Vec<usize> = (0..headings.len())
        .filter(|&column| rows.is_empty() || rows.iter().any(|row| row.get(column).is_some_and(|c| !c.is_empty())))
        .collect();
    let mut table = blank_table();
    table.set_style(TableComponent::HeaderLines, '-').set_style(TableComponent::MiddleHeaderIntersections, '-');
    table.set_header(used.iter().filter_map(|&column| headings.get(column)).map(Cell::new));
    for row in rows {
        table.add_row(used.iter().map(|&column| Cell::new(tame(row.get(column).map_or("", String::as_str)))));
    }
    keep_names(&mut table);
    finish(&table)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_wider_than_the_page() {
        let long = "word ".repeat(60);
        for text in [
            paragraph(&long),
            pairs(&[("name".to_owned(), long.clone())]),
            table(&["a", "b"], &[vec![long.clone(), long.clone()]]),
        ] {
            assert!(text.lines().count() > 1);
            for line in text.lines() {
                assert!(line.chars().count() <= usize::from(WIDTH), "{line:?}");
            }
        }
    }

    #[test]
    fn control_characters_do_not_reach_the_terminal() {
        assert_eq!(paragraph("a\u{1b}[31mb\nc"), "a\u{fffd}[31mb c\n");
    }
}
