//! Text that flows down a column and over pages: headings, paragraphs, tick boxes, tables.

use crate::drawing::{Area, At, Line, Picture, Text, Weight, at, font};
use crate::views::{FINE, LARGE, SMALL};

/// Distance of base lines of small lettering, mm (ISO 3098 asks for at least 1.4 heights; from memory).
const PITCH: f64 = SPACING * SMALL;
/// The same over the height of the lettering, and where room is short.
const SPACING: f64 = 1.4;
const CLOSE: f64 = 1.39;
/// Clear margin inside table cells, mm.
const CELL: f64 = 1.3;
/// The same above and below where room is short, mm.
const TIGHT: f64 = 0.75;
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
/// Clear room under a text before something else begins below it, mm.
const BELOW: f64 = 4.0;

/// A room of a sheet that text may fill: the sheet's place, and where.
pub(super) type Room = (usize, Area);

/// A column of a room.
#[derive(Debug, Clone, Copy)]
struct Column {
    sheet: usize,
    area: Area,
    /// What of its room begins with this column: itself, and the columns right of it.
    rest: Area,
    /// Whether it is the first of its room.
    first: bool,
}

/// What a flow leaves behind.
pub(super) struct Filled {
    /// What was set, by sheets.
    pub pieces: Vec<(usize, Picture)>,
    /// Rooms, or parts of rooms, that nothing was set in.
    pub left: Vec<Room>,
}

/// Text set from the top of a column downwards, column by column and room by room; where there are no
/// more, on fresh sheets.
pub(super) struct Flow {
    column: Column,
    /// Columns after the current one, the next last.
    ahead: Vec<Column>,
    /// Rooms of a fresh sheet.
    fresh: Vec<Area>,
    /// Least width of a column where a room is split, mm.
    ideal: f64,
    /// Sheets so far, fresh ones included.
    sheets: usize,
    y: f64,
    /// Heights of the lettering of headings and of text, mm.
    heights: (f64, f64),
    /// Clear margin above and below in table cells, mm.
    cell: f64,
    /// Distance of base lines over the height of the lettering.
    spacing: f64,
    done: Vec<(usize, Picture)>,
    current: Picture,
}

impl Flow {
    /// A flow through rooms of `sheets` sheets, then through those of fresh sheets, each room split into
    /// as many columns of at least the ideal width as it has room for.
    pub fn new(rooms: &[Room], sheets: usize, fresh: Vec<Area>, ideal: f64) -> Flow {
        let mut ahead: Vec<Column> = rooms.iter().flat_map(|room| split(*room, ideal)).collect();
        ahead.reverse();
        let nowhere = Area::new(0.0, 0.0, ideal, 0.0);
        let column = Column { sheet: 0, area: nowhere, rest: nowhere, first: true };
        let (heights, current) = ((LARGE, SMALL), Picture::default());
        let mut flow = Flow {
            column,
            ahead,
            fresh,
            ideal,
            sheets,
            y: 0.0,
            heights,
            cell: CELL,
            spacing: SPACING,
            done: Vec::new(),
            current,
        };
        flow.next_column();
        flow
    }

    /// Goes on in the next smaller lettering, for what is looked up rather than read at the bench. Headings
    /// and paragraphs only.
    pub fn fine(&mut self) {
        self.heights = (SMALL, FINE);
    }

    /// Sets lines and the rows of tables close together.
    pub fn tight(&mut self) {
        self.cell = TIGHT;
        self.spacing = CLOSE;
    }

    /// A flow of one endless column, for a block on a drawing sheet; its top left corner is the origin.
    pub fn column(width: f64) -> Flow {
        Flow::new(&[(0, Area::new(0.0, f64::NEG_INFINITY, width, 0.0))], 1, Vec::new(), f64::INFINITY)
    }

    /// What was set in an endless column, and how high it is, mm.
    pub fn into_block(self) -> (Picture, f64) {
        (self.current, -self.y)
    }

    /// What was set, and what room is left.
    pub fn finish(mut self) -> Filled {
        let (column, at_top) = (self.column, self.is_at_top());
        self.done.push((column.sheet, std::mem::take(&mut self.current)));
        let mut left = Vec::new();
        if at_top {
            left.push((column.sheet, column.rest));
        } else {
            left.push((column.sheet, Area { y1: self.y - BELOW, ..column.area }));
            left.extend(self.ahead.last().filter(|next| !next.first).map(|next| (next.sheet, next.rest)));
        }
        left.extend(self.ahead.iter().rev().filter(|next| next.first).map(|next| (next.sheet, next.rest)));
        Filled { pieces: self.done, left }
    }

    /// Width of the column, mm.
    pub fn width(&self) -> f64 {
        self.column.area.width()
    }

    fn is_at_top(&self) -> bool {
        self.y >= self.column.area.y1
    }

    fn next_column(&mut self) {
        if self.ahead.is_empty() {
            let sheet = self.sheets;
            self.sheets += 1;
            self.ahead = self.fresh.iter().flat_map(|area| split((sheet, *area), self.ideal)).collect();
            self.ahead.reverse();
        }
        if let Some(next) = self.ahead.pop() {
            self.column = next;
        }
        self.y = self.column.area.y1;
    }

    fn turn_page(&mut self) {
        self.done.push((self.column.sheet, std::mem::take(&mut self.current)));
        self.next_column();
    }

    /// Begins a new column unless this much height is left (or the column is still empty).
    pub fn keep(&mut self, height: f64) {
        if self.y - height < self.column.area.y0 && !self.is_at_top() {
            self.turn_page();
        }
    }

    /// A picture, at the left of the column. Wider or higher than a column it runs over its edge.
    pub fn figure(&mut self, picture: Picture) {
        let own = picture.area();
        self.keep(own.height());
        self.current.add(picture, at(self.column.area.x0 - own.x0, self.y - own.y1));
        self.y -= own.height() + 2.0;
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
        let (large, small) = self.heights;
        self.gap(0.6 * large);
        self.keep(1.6 * large + 5.6 * small);
        for line in font::wrap(text, large, Weight::Bold, self.width()) {
            self.put(self.column.area.x0, large, Weight::Bold, &line);
            self.y -= 1.55 * large;
        }
        self.y -= 0.8;
    }

    /// A paragraph.
    pub fn paragraph(&mut self, text: &str, weight: Weight) {
        self.indented(text, weight, 0.0);
    }

    fn indented(&mut self, text: &str, weight: Weight, indent: f64) {
        let small = self.heights.1;
        let pitch = self.spacing * small;
        let mut width = self.width();
        let mut lines = font::wrap(text, small, weight, width - indent);
        lines.reverse();
        while let Some(line) = lines.pop() {
            self.keep(pitch);
            if self.width() != width {
                // The rest is set anew for the width of this column.
                width = self.width();
                let rest: Vec<String> = std::iter::once(line).chain(lines.into_iter().rev()).collect();
                lines = font::wrap(&rest.join(" "), small, weight, width - indent);
                lines.reverse();
                continue;
            }
            self.put(self.column.area.x0 + indent, small, weight, &line);
            self.y -= pitch;
        }
        self.y -= 0.9;
    }

    /// Something to do: a box to tick, a number, the words, and a caution that belongs to it.
    pub fn tick(&mut self, number: usize, text: &str, caution: Option<&str>) {
        let label = format!("{number}.");
        let indent = TICK + 3.0 + font::width("00.", SMALL, Weight::Bold);
        let lines = font::wrap(text, SMALL, Weight::Regular, self.width() - indent).len();
        self.keep((lines.min(4) as f64) * PITCH + 1.0);
        let (x, top) = (self.column.area.x0, self.y);
        self.current.frame(Line::Edge, Area::new(x + 0.4, top - TICK - 0.2, x + 0.4 + TICK, top - 0.2));
        self.put(x + TICK + 2.0, SMALL, Weight::Bold, &label);
        self.indented(text, Weight::Regular, indent);
        if let Some(caution) = caution {
            let caution = format!("CAUTION: {caution}");
            // Not torn at the foot of a column, unless it is very long.
            let lines = font::wrap(&caution, SMALL, Weight::Bold, self.width() - indent).len();
            self.keep(lines.min(6) as f64 * PITCH);
            self.indented(&caution, Weight::Bold, indent);
        }
        self.y -= 0.8;
    }

    /// A paragraph in a box.
    pub fn boxed(&mut self, text: &str) {
        let set = |flow: &Flow| font::wrap(text, SMALL, Weight::Bold, flow.width() - 5.0);
        self.keep(set(self).len() as f64 * PITCH + 3.0);
        let lines = set(self);
        let top = self.y;
        self.y -= 1.6;
        for line in lines {
            self.keep(PITCH);
            self.put(self.column.area.x0 + 2.5, SMALL, Weight::Bold, &line);
            self.y -= PITCH;
        }
        self.y -= 1.4;
        if self.y < top {
            self.current.frame(Line::Outline, Area::new(self.column.area.x0, self.y, self.column.area.x1, top));
        }
        self.y -= 2.5;
    }

    /// Names with lines to write on, side by side.
    pub fn fields(&mut self, names: &[&str]) {
        let height = 9.5;
        self.keep(height);
        let step = self.width() / names.len().max(1) as f64;
        for (place, name) in names.iter().enumerate() {
            let x = self.column.area.x0 + place as f64 * step;
            let text = Text::new(at(x, self.y - 6.8), SMALL, name);
            let from = x + text.width() + 2.0;
            self.current.text(text);
            self.current.line(Line::Thin, &[at(from, self.y - 7.6), at((x + step - 4.0).max(from), self.y - 7.6)]);
        }
        self.y -= height;
    }

    /// Whether a table fits the column with every word of it whole.
    pub fn holds(&self, table: &Table) -> bool {
        least_widths(table).iter().map(|(least, _)| least).sum::<f64>() <= self.width()
    }

    /// A table, its head repeated on every page. Columns take their natural width; where that is too
    /// much, the widest are narrowed to a common width and their cells wrapped.
    pub fn table(&mut self, table: &Table) {
        if table.rows.is_empty() {
            return;
        }
        let mut widths = column_widths(table, self.width());
        let mut set_for = self.width();
        let wrapped = |cells: &[String], widths: &[f64], weight: Weight| -> Vec<Vec<String>> {
            let cells = cells.iter().zip(widths);
            cells.map(|(cell, width)| font::wrap(cell, SMALL, weight, (width - 2.0 * CELL).max(SMALL))).collect()
        };
        let margin = self.cell;
        let height_of = |cells: &[Vec<String>]| row_height(margin, cells.iter().map(Vec::len).max().unwrap_or(1));
        let mut head = wrapped(&table.head, &widths, Weight::Bold);
        self.keep(height_of(&head) + row_height(margin, 1));
        let mut headed = false;
        for row in &table.rows {
            let mut rest: Option<Vec<Vec<String>>> = None;
            loop {
                if self.width() != set_for {
                    set_for = self.width();
                    widths = column_widths(table, set_for);
                    head = wrapped(&table.head, &widths, Weight::Bold);
                    // What was begun in another width goes on in this one.
                    let again = |cells: Vec<Vec<String>>| cells.iter().map(|lines| lines.join(" ")).collect::<Vec<_>>();
                    rest = rest.map(|cells| wrapped(&again(cells), &widths, Weight::Regular));
                }
                if !headed {
                    self.row(&head, &widths, Weight::Bold);
                    headed = true;
                }
                let mut cells = rest.take().unwrap_or_else(|| wrapped(row, &widths, Weight::Regular));
                if self.y - height_of(&cells) >= self.column.area.y0 {
                    self.row(&cells, &widths, Weight::Regular);
                    break;
                }
                headed = false;
                let page = self.column.area.height() - height_of(&head);
                if height_of(&cells) <= page || self.y - row_height(margin, 1) < self.column.area.y0 {
                    rest = Some(cells);
                    self.turn_page();
                    continue;
                }
                // Taller than a column: as much of it as fits here, the rest in the next.
                let lines = ((self.y - self.column.area.y0 - 2.0 * self.cell) / PITCH).max(1.0) as usize;
                rest = Some(cells.iter_mut().map(|cell| cell.split_off(lines.min(cell.len()))).collect());
                self.row(&cells, &widths, Weight::Regular);
                self.turn_page();
            }
        }
        self.y -= 3.0;
    }

    fn row(&mut self, cells: &[Vec<String>], widths: &[f64], weight: Weight) {
        let height = row_height(self.cell, cells.iter().map(Vec::len).max().unwrap_or(1));
        let mut x = self.column.area.x0;
        for (cell, width) in cells.iter().zip(widths) {
            for (line, text) in cell.iter().enumerate() {
                let base = at(x + CELL, self.y - self.cell - 1.05 * SMALL - line as f64 * PITCH);
                let text = Text::new(base, SMALL, text);
                self.current.text(Text { weight, ..text });
            }
            x += width;
        }
        let bottom = self.y - height;
        let rule = if weight == Weight::Bold { Line::Edge } else { Line::Thin };
        let ends: [At; 2] = [at(self.column.area.x0, bottom), at(x, bottom)];
        self.current.line(rule, &ends);
        self.y = bottom;
    }
}

/// Height of a row of so many lines with this margin in its cells, mm.
fn row_height(cell: f64, lines: usize) -> f64 {
    lines as f64 * PITCH + 2.0 * cell - 0.6
}

/// The columns of a room.
fn split((sheet, room): Room, ideal: f64) -> Vec<Column> {
    let count = libm::floor((room.width() + GUTTER) / (ideal + GUTTER)).clamp(1.0, 12.0);
    let width = (room.width() - GUTTER * (count - 1.0)) / count;
    let column = |place: usize| {
        let x0 = room.x0 + place as f64 * (width + GUTTER);
        Column { sheet, area: Area { x0, x1: x0 + width, ..room }, rest: Area { x0, ..room }, first: place == 0 }
    };
    (0..count as usize).map(column).collect()
}

/// Width of the longest word and of the longest cell of each column.
fn least_widths(table: &Table) -> Vec<(f64, f64)> {
    let widest = |column: usize, of: &dyn Fn(&str, Weight) -> f64| {
        let cell = |row: &Vec<String>, weight| row.get(column).map_or(0.0, |text| of(&font::printable(text), weight));
        let widest = table.rows.iter().map(|row| cell(row, Weight::Regular)).fold(0.0, f64::max);
        widest.max(cell(&table.head, Weight::Bold)) + 2.0 * CELL + 1.0
    };
    let whole = |text: &str, weight: Weight| font::width(text, SMALL, weight);
    let longest =
        |text: &str, weight: Weight| text.split(' ').map(|word| font::width(word, SMALL, weight)).fold(0.0, f64::max);
    (0..table.head.len()).map(|column| (widest(column, &longest), widest(column, &whole))).collect()
}

/// Natural widths where there is room for them; else the widest columns are narrowed to a common width, but
/// none below its longest word, so that no figure is torn.
fn column_widths(table: &Table, room: f64) -> Vec<f64> {
    let columns = least_widths(table);
    let at = |cap: f64| -> Vec<f64> { columns.iter().map(|(least, natural)| natural.min(cap.max(*least))).collect() };
    let natural = at(f64::INFINITY);
    if natural.iter().sum::<f64>() <= room {
        return natural;
    }
    // The largest common width that fits, to a hundredth of a millimetre.
    let (mut low, mut high) = (0.0, room);
    while high - low > 0.01 {
        let middle = (low + high) / 2.0;
        if at(middle).iter().sum::<f64>() <= room { low = middle } else { high = middle }
    }
    let fitted = at(low);
    let total: f64 = fitted.iter().sum();
    // Words too long for the room altogether are broken after all.
    if total > room { fitted.iter().map(|width| width * room / total).collect() } else { fitted }
}
