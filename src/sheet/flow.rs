//! Text that flows down a column and over pages: headings, paragraphs, tick boxes, tables.

use crate::drawing::{Area, At, Line, Picture, Text, Weight, at, font};
use crate::views::{LARGE, SMALL};

/// Distance of base lines of small lettering, mm (ISO 3098 asks for at least 1.4 heights; from memory).
const PITCH: f64 = 1.55 * SMALL;
/// Clear margin inside table cells, mm.
const CELL: f64 = 1.3;
/// Side of a tick box, mm.
const TICK: f64 = 4.2;

/// A table: its head and its rows, every row with as many cells as the head.
#[derive(Debug, Clone, Default)]
pub(super) struct Table {
    /// Names of the columns.
    pub head: Vec<String>,
    /// Cells by rows.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// A table without rows.
    pub fn new(head: &[&str]) -> Table {
        Table { head: head.iter().map(|name| (*name).to_owned()).collect(), rows: Vec::new() }
    }
}

/// Clear room between columns, mm.
const GUTTER: f64 = 6.0;

/// Text set from the top of an area downwards, column by column; a new page begins where it is full.
pub(super) struct Flow {
    area: Area,
    /// Columns of a page after the current one, the next last.
    ahead: Vec<Area>,
    /// Columns of a page, the first last.
    columns: Vec<Area>,
    y: f64,
    done: Vec<Picture>,
    current: Picture,
}

impl Flow {
    /// A flow that fills pages with this content area.
    pub fn new(area: Area) -> Flow {
        Flow::in_columns(area, 1)
    }

    /// A flow that fills pages in columns of equal width.
    pub fn in_columns(area: Area, count: usize) -> Flow {
        let count = count.max(1);
        let width = (area.width() - GUTTER * (count - 1) as f64) / count as f64;
        let column = |place: usize| {
            let x0 = area.x0 + place as f64 * (width + GUTTER);
            Area { x0, x1: x0 + width, ..area }
        };
        let columns: Vec<Area> = (0..count).rev().map(column).collect();
        let mut ahead = columns.clone();
        let area = ahead.pop().unwrap_or(area);
        Flow { area, ahead, columns, y: area.y1, done: Vec::new(), current: Picture::default() }
    }

    /// A flow of one endless column, for a block on a drawing sheet; its top left corner is the origin.
    pub fn column(width: f64) -> Flow {
        Flow::new(Area::new(0.0, f64::NEG_INFINITY, width, 0.0))
    }

    /// The pages; at least one.
    pub fn finish(mut self) -> Vec<Picture> {
        self.done.push(self.current);
        self.done
    }

    /// Width of the column.
    pub fn width(&self) -> f64 {
        self.area.width()
    }

    fn is_at_top(&self) -> bool {
        self.y >= self.area.y1
    }

    fn turn_page(&mut self) {
        if self.ahead.is_empty() {
            self.done.push(std::mem::take(&mut self.current));
            self.ahead.clone_from(&self.columns);
        }
        self.area = self.ahead.pop().unwrap_or(self.area);
        self.y = self.area.y1;
    }

    /// Begins a new page unless this much height is left (or the page is still empty).
    pub fn keep(&mut self, height: f64) {
        if self.y - height < self.area.y0 && !self.is_at_top() {
            self.turn_page();
        }
    }

    /// Leaves a gap, unless at the top of a page.
    pub fn gap(&mut self, height: f64) {
        if !self.is_at_top() {
            self.y -= height;
        }
    }

    /// One line of lettering whose top is at the current height.
    fn put(&mut self, x: f64, height: f64, weight: Weight, text: &str) {
        let text = Text::new(at(x, self.y - 1.1 * height), height, text);
        self.current.text(Text { weight, ..text });
    }

    /// A heading, kept with what follows it.
    pub fn heading(&mut self, text: &str) {
        self.gap(3.0);
        self.keep(1.6 * LARGE + 4.0 * PITCH);
        for line in font::wrap(text, LARGE, Weight::Bold, self.area.width()) {
            self.put(self.area.x0, LARGE, Weight::Bold, &line);
            self.y -= 1.55 * LARGE;
        }
        self.y -= 0.8;
    }

    /// A paragraph.
    pub fn paragraph(&mut self, text: &str, weight: Weight) {
        self.indented(text, weight, 0.0);
    }

    fn indented(&mut self, text: &str, weight: Weight, indent: f64) {
        for line in font::wrap(text, SMALL, weight, self.area.width() - indent) {
            self.keep(PITCH);
            self.put(self.area.x0 + indent, SMALL, weight, &line);
            self.y -= PITCH;
        }
        self.y -= 0.9;
    }

    /// A picture of a height, its lower left corner put under what stands already.
    pub fn picture(&mut self, picture: Picture, height: f64) {
        self.keep(height);
        self.y -= height;
        self.current.add(picture, at(self.area.x0, self.y));
        self.y -= 2.0;
    }

    /// Something to do: a box to tick, a number, the words, and a caution that belongs to it.
    pub fn tick(&mut self, number: usize, text: &str, caution: Option<&str>) {
        let label = format!("{number}.");
        let indent = TICK + 3.0 + font::width("00.", SMALL, Weight::Bold);
        let lines = font::wrap(text, SMALL, Weight::Regular, self.area.width() - indent).len();
        self.keep((lines.min(4) as f64) * PITCH + 1.0);
        let (x, top) = (self.area.x0, self.y);
        self.current.frame(Line::Edge, Area::new(x + 0.4, top - TICK - 0.2, x + 0.4 + TICK, top - 0.2));
        self.put(x + TICK + 2.0, SMALL, Weight::Bold, &label);
        self.indented(text, Weight::Regular, indent);
        if let Some(caution) = caution {
            self.indented(&format!("CAUTION: {caution}"), Weight::Bold, indent);
        }
        self.y -= 0.8;
    }

    /// A paragraph in a box.
    pub fn boxed(&mut self, text: &str) {
        let lines = font::wrap(text, SMALL, Weight::Bold, self.area.width() - 5.0);
        let height = lines.len() as f64 * PITCH + 3.0;
        self.keep(height);
        let top = self.y;
        self.y -= 1.6;
        for line in lines {
            self.keep(PITCH);
            self.put(self.area.x0 + 2.5, SMALL, Weight::Bold, &line);
            self.y -= PITCH;
        }
        self.y -= 1.4;
        if self.y < top {
            self.current.frame(Line::Outline, Area::new(self.area.x0, self.y, self.area.x1, top));
        }
        self.y -= 2.5;
    }

    /// A picture at the left, as far down as it is high.
    pub fn figure(&mut self, picture: Picture) {
        let own = picture.area();
        self.keep(own.height());
        self.current.add(picture, at(self.area.x0 - own.x0, self.y - own.y1));
        self.y -= own.height() + 2.0;
    }

    /// Names with lines to write on, side by side.
    pub fn fields(&mut self, names: &[&str]) {
        let height = 9.5;
        self.keep(height);
        let step = self.area.width() / names.len().max(1) as f64;
        for (place, name) in names.iter().enumerate() {
            let x = self.area.x0 + place as f64 * step;
            let text = Text::new(at(x, self.y - 6.8), SMALL, name);
            let from = x + text.width() + 2.0;
            self.current.text(text);
            self.current.line(Line::Thin, &[at(from, self.y - 7.6), at((x + step - 4.0).max(from), self.y - 7.6)]);
        }
        self.y -= height;
    }

    /// A table, its head repeated on every page. Columns take their natural width; where that is too
    /// much, the widest are narrowed to a common width and their cells wrapped.
    pub fn table(&mut self, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        let widths = column_widths(table, self.area.width());
        let wrapped = |cells: &[String], weight: Weight| -> Vec<Vec<String>> {
            let cells = cells.iter().zip(&widths);
            cells.map(|(cell, width)| font::wrap(cell, SMALL, weight, (width - 2.0 * CELL).max(SMALL))).collect()
        };
        let head = wrapped(&table.head, Weight::Bold);
        let height_of = |cells: &[Vec<String>]| row_height(cells.iter().map(Vec::len).max().unwrap_or(1));
        self.keep(height_of(&head) + row_height(1));
        self.row(&head, &widths, Weight::Bold);
        for cells in &table.rows {
            let mut cells = wrapped(cells, Weight::Regular);
            loop {
                let page = self.area.y1 - self.area.y0 - height_of(&head);
                let fits = self.y - height_of(&cells) >= self.area.y0;
                if fits {
                    self.row(&cells, &widths, Weight::Regular);
                    break;
                }
                if height_of(&cells) <= page || self.y - row_height(1) < self.area.y0 {
                    self.turn_page();
                    self.row(&head, &widths, Weight::Bold);
                    continue;
                }
                // Taller than a page: as much of it as fits here, the rest on the next.
                let lines = ((self.y - self.area.y0 - 2.0 * CELL) / PITCH).max(1.0) as usize;
                let rest: Vec<Vec<String>> =
                    cells.iter_mut().map(|cell| cell.split_off(lines.min(cell.len()))).collect();
                self.row(&cells, &widths, Weight::Regular);
                cells = rest;
                self.turn_page();
                self.row(&head, &widths, Weight::Bold);
            }
        }
        self.y -= 3.0;
    }

    fn row(&mut self, cells: &[Vec<String>], widths: &[f64], weight: Weight) {
        let height = row_height(cells.iter().map(Vec::len).max().unwrap_or(1));
        let mut x = self.area.x0;
        for (cell, width) in cells.iter().zip(widths) {
            for (line, text) in cell.iter().enumerate() {
                let base = at(x + CELL, self.y - CELL - 1.05 * SMALL - line as f64 * PITCH);
                let text = Text::new(base, SMALL, text);
                self.current.text(Text { weight, ..text });
            }
            x += width;
        }
        let bottom = self.y - height;
        let rule = if weight == Weight::Bold { Line::Edge } else { Line::Thin };
        let ends: [At; 2] = [at(self.area.x0, bottom), at(x, bottom)];
        self.current.line(rule, &ends);
        self.y = bottom;
    }
}

fn row_height(lines: usize) -> f64 {
    lines as f64 * PITCH + 2.0 * CELL - 0.6
}

fn column_widths(table: &Table, room: f64) -> Vec<f64> {
    let natural: Vec<f64> = (0..table.head.len())
        .map(|column| {
            let cell = |row: &Vec<String>, weight| {
                row.get(column).map_or(0.0, |text| font::width(&font::printable(text), SMALL, weight))
            };
            let widest = table.rows.iter().map(|row| cell(row, Weight::Regular)).fold(0.0, f64::max);
            widest.max(cell(&table.head, Weight::Bold)) + 2.0 * CELL + 1.0
        })
        .collect();
    let total: f64 = natural.iter().sum();
    if total <= room {
        return natural;
    }
    // Columns narrower than an equal share of what is left keep their width; the rest share.
    let mut cap = room / natural.len().max(1) as f64;
    for _ in 0..natural.len() {
        let kept: f64 = natural.iter().filter(|width| **width <= cap).sum();
        let others = natural.iter().filter(|width| **width > cap).count();
        if others == 0 {
            break;
        }
        cap = ((room - kept) / others as f64).max(cap);
    }
    natural.iter().map(|width| width.min(cap)).collect()
}
