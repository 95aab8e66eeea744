//! Full-size templates cut over pages that a printer can take.
//!
//! The pages of a part form a grid of cells with a registration cross at every corner of a cell. The
//! first cross lies on the part's corner nearest to lead end and fence edge, and the cells are a whole
//! number of ruler steps long, so that a page can be laid down by its neighbour's crosses or with a rule.

use super::form::{Form as Sheet, Lie};
use crate::design::Design;
use crate::drawing::{Align, Area, At, Line, Page, Picture, Text, Weight, at, clip, font};
use crate::length::{Length, Unit};
use crate::request::Request;
use crate::views::{LARGE, SMALL, Template, datum, templates, word, word_upwards};

/// What a printer leaves white along each side of the paper, mm: 1/4 in, a common default that varies
/// with the printer.
const MARGIN: f64 = 6.35;
/// How far neighbouring pages overlap at least, mm: 1/2 in, common practice.
const OVERLAP: f64 = 12.7;
/// What a page shows beyond its crosses at the left and below, mm.
const BEYOND: f64 = 7.0;
/// Arms of a registration cross, mm.
const ARM: f64 = 5.0;
/// Room at the left for the upright bars, mm.
const SIDE: f64 = 13.0;
/// Room for the level bars, mm.
const BARS: f64 = 14.0;
/// Distance between lines of text, mm.
const LEADING: f64 = 5.4;
/// From this many pages on, pages that show only straight sides of the part are left out.
const MANY: usize = 6;
/// A part that would need a larger grid than this has no template: it is marked out with a rule.
const MOST_CELLS: f64 = 4000.0;

/// What each page says, for every printer: the limits are common practice, no source.
const WARNING: &str = "Print at actual size (100 %), never 'fit to page'. Lay a steel rule on all four bars. If one is \
    off by more than 1/64 in (0.4 mm), do not use this print: set the scale to 100 % and print again. If the words \
    read backwards, the print is mirrored: do not use it.";

/// How the pages are used.
const STEPS: [&str; 5] = [
    "1. Check the four bars of every page. Paper grows in damp air: use the print on the day it is made.",
    "2. Cut each page along its thin lines marked 'cut', at the left and below.",
    "3. Lay it over its neighbour so that the crosses meet, and tape. Where the neighbour is not printed, lay it \
     down with a rule: each page gives the distance of its crosses.",
    "4. Glue the template to the top face, corner to corner, words readable. The solid lines of middle width are \
     the finished edges: saw or rout to their middle, but leave outside them what the operations saw over for the \
     last trim. Measure the finished distances below before you cut.",
    "5. Long dashes: border of the carve area. Short dashes: what is cut from below.",
];

/// The pages of `template.pdf`: page maps, then the pages of each part. Empty when no part is worth one,
/// or nothing may be sawn yet because the blank's thickness is not measured.
pub fn template(request: &Request, design: &Design) -> Vec<Page> {
    if !design.blank.thickness_known {
        return Vec::new();
    }
    let tiled: Vec<Tiled> =
        templates(request, design).into_iter().filter_map(|piece| Tiled::of(request, piece)).collect();
    if tiled.is_empty() {
        return Vec::new();
    }
    let mut pages = maps(request, &tiled);
    pages.extend(tiled.iter().flat_map(|tiled| tiled.pages(request)));
    pages
}

/// A page without its content: paper, printable area, and the window the template is seen through.
#[derive(Clone)]
struct Form {
    width: f64,
    height: f64,
    print: Area,
    window: Area,
    warning: Vec<String>,
}

impl Form {
    fn of(request: &Request, lie: Lie) -> Form {
        let (width, height) = Sheet::new(&request.sheet, lie).size();
        let print = Area::new(MARGIN, MARGIN, width - MARGIN, height - MARGIN);
        let warning = font::wrap(WARNING, SMALL, Weight::Bold, print.width());
        let below = BARS + LEADING * warning.len() as f64 + 1.0;
        let heading = LARGE + 3.0 * LEADING + 2.4;
        let window = Area::new(print.x0 + SIDE, print.y0 + below, print.x1, print.y1 - heading);
        Form { width, height, print, window, warning }
    }

    /// The printed page: heading, bars and warning round what is in the window.
    fn page(&self, title: &str, right: &str, lines: &[String], picture: Picture) -> Page {
        let mut all = picture;
        let base = self.print.y1 - font::ASCENT * font::size(LARGE);
        let right = Text::new(at(self.print.x1 - 1.0, base), LARGE, right).bold().align(Align::End);
        let room = right.start().x - self.print.x0 - 4.0;
        all.text(Text::new(at(self.print.x0, base), LARGE, &font::shorten(title, LARGE, Weight::Bold, room)).bold());
        all.text(right);
        for (place, line) in lines.iter().enumerate() {
            let y = base - LEADING * (place + 1) as f64 - 0.6;
            all.text(Text::new(at(self.print.x0, y), SMALL, line));
        }
        self.bars(&mut all);
        for (place, line) in self.warning.iter().rev().enumerate() {
            let y = self.print.y0 + BARS + LEADING * place as f64;
            all.text(Text::new(at(self.print.x0, y), SMALL, line).bold());
        }
        Page {
            title: title.to_owned(),
            width: self.width,
            height: self.height,
            frame: self.print,
            margin: Picture::default(),
            picture: all,
        }
    }

    /// Check bars of 100 mm and 4 in along both edges of the paper.
    fn bars(&self, picture: &mut Picture) {
        for (row, (length, name)) in [(100.0, "100 mm"), (101.6, "4 in")].into_iter().enumerate() {
            let y = self.print.y0 + 3.0 + 6.0 * row as f64;
            let x = self.print.x0 + SIDE;
            bar(picture, at(x, y), at(x + length, y), at(0.0, 2.0));
            picture.text(Text::new(at(x + length + 2.0, y - SMALL / 2.0), SMALL, name));
            let (x, y) = (self.print.x0 + 2.8 + 6.0 * row as f64, self.window.y0 + 0.5);
            bar(picture, at(x, y), at(x, y + length), at(2.0, 0.0));
            let place = at(x + SMALL / 2.0, y + length + 2.0);
            picture.text(Text::new(place, SMALL, name).upwards());
        }
    }
}

fn bar(picture: &mut Picture, from: At, to: At, tick: At) {
    picture.line(Line::Thin, &[from, to]);
    for end in [from, to] {
        picture.line(Line::Thin, &[at(end.x - tick.x, end.y - tick.y), at(end.x + tick.x, end.y + tick.y)]);
    }
}

/// A template on its grid.
struct Tiled {
    piece: Template,
    form: Form,
    /// Distance between crosses.
    step: (Length, Length),
    columns: usize,
    rows: usize,
    /// Cells that are printed, as row and column, row by row.
    printed: Vec<(usize, usize)>,
}

impl Tiled {
    /// The grid with fewer pages, of upright and level paper.
    fn of(request: &Request, piece: Template) -> Option<Tiled> {
        let upright = Tiled::on(request, piece.clone(), Lie::Portrait);
        let level = Tiled::on(request, piece, Lie::Landscape);
        match (upright, level) {
            (Some(upright), Some(level)) if level.printed.len() < upright.printed.len() => Some(level),
            (Some(upright), _) => Some(upright),
            (None, level) => level,
        }
    }

    fn on(request: &Request, piece: Template, lie: Lie) -> Option<Tiled> {
        let form = Form::of(request, lie);
        let ruler_step = match request.shop.ruler.unit {
            Unit::Inch => Length::inches(1, 4),
            Unit::Millimetre => Length::MM * 5,
        };
        let step = |room: f64| Length::from_mm(room - OVERLAP).map(|room| room.down(ruler_step));
        let (step_x, step_y) = (step(form.window.width())?, step(form.window.height())?);
        if step_x < ruler_step || step_y < ruler_step {
            return None;
        }
        // The far edge, with as much beyond it as there is before the near one, is on the last page.
        let cells = |size: f64, window: f64, step: Length| {
            libm::ceil((size + 2.0 * BEYOND - window) / step.to_mm()).max(0.0) + 1.0
        };
        let columns = cells(piece.size.x, form.window.width(), step_x);
        let rows = cells(piece.size.y, form.window.height(), step_y);
        if columns * rows > MOST_CELLS {
            return None;
        }
        let mut tiled = Tiled {
            piece,
            form,
            step: (step_x, step_y),
            columns: columns as usize,
            rows: rows as usize,
            printed: Vec::new(),
        };
        tiled.choose();
        Some(tiled)
    }

    /// Chooses the pages worth printing.
    fn choose(&mut self) {
        let cells = |rows: usize, columns: usize| (0..rows).flat_map(move |r| (0..columns).map(move |c| (r, c)));
        let all: Vec<(usize, usize)> = cells(self.rows, self.columns).collect();
        let shown: Vec<(usize, usize)> = all
            .iter()
            .filter(|cell| {
                let seen = self.seen(**cell);
                self.piece.strokes.iter().any(|stroke| !clip(&stroke.points, stroke.closed, &seen).is_empty())
            })
            .copied()
            .collect();
        self.printed = if shown.len() <= MANY {
            shown
        } else {
            // A feature in the overlap of two pages is on both, but one of them is enough.
            let mut wanted: Vec<(usize, usize)> = self.piece.wanted.iter().map(|p| self.cell_of(*p)).collect();
            wanted.sort_unstable();
            wanted.dedup();
            wanted
        };
    }

    /// The cell that shows a place of the part away from the borders of the page.
    fn cell_of(&self, p: At) -> (usize, usize) {
        let index = |v: f64, step: Length, most: usize| {
            let index = libm::floor((v + BEYOND / 2.0) / step.to_mm()).max(0.0) as usize;
            index.min(most.saturating_sub(1))
        };
        (index(p.y, self.step.1, self.rows), index(p.x, self.step.0, self.columns))
    }

    /// What of the part a page shows, mm of the part.
    fn seen(&self, (row, column): (usize, usize)) -> Area {
        let (x, y) = (column as f64 * self.step.0.to_mm() - BEYOND, row as f64 * self.step.1.to_mm() - BEYOND);
        Area::new(x, y, x + self.form.window.width(), y + self.form.window.height())
    }

    fn pages(&self, request: &Request) -> Vec<Page> {
        self.printed.iter().map(|cell| self.page(request, *cell)).collect()
    }

    fn page(&self, request: &Request, cell: (usize, usize)) -> Page {
        let (seen, window) = (self.seen(cell), self.form.window);
        let shift = at(window.x0 - seen.x0, window.y0 - seen.y0);
        let place = |p: At| at(p.x + shift.x, p.y + shift.y);
        let mut picture = Picture::default();
        for stroke in &self.piece.strokes {
            for run in clip(&stroke.points, stroke.closed, &seen) {
                picture.line(stroke.line, &run.into_iter().map(place).collect::<Vec<At>>());
            }
        }
        self.crosses(&mut picture);
        self.cuts(&mut picture, cell);
        if let Some(corner) = self.piece.datum {
            let wedge = Area::new(corner.x, corner.y, corner.x + 4.0, corner.y + 4.0);
            if seen.holds(&wedge) {
                datum(&mut picture, place(corner));
            }
        }
        self.words(&mut picture, &seen, shift);
        let (row, column) = cell;
        let lines = vec![
            font::shorten(&request.name, SMALL, Weight::Regular, self.form.print.width()),
            format!("Crosses at the left: {}.", self.distance(request, self.step.0 * column as i64, true)),
            format!("Crosses below: {}.", self.distance(request, self.step.1 * row as i64, false)),
        ];
        let title = format!("{}  PART {}, {}", self.name(cell), self.piece.part, self.piece.name);
        self.form.page(&title, "TOP FACE UP", &lines, picture)
    }

    /// Name of a page: the part, letter of its row, number of its column.
    fn name(&self, (row, column): (usize, usize)) -> String {
        let mut letters = String::new();
        let mut rest = row;
        loop {
            letters.insert(0, char::from(b'A' + (rest % 26) as u8));
            if rest < 26 {
                break;
            }
            rest = rest / 26 - 1;
        }
        format!("{}-{letters}{}", self.piece.part, column + 1)
    }

    /// How far crosses lie from the edge they are counted from.
    fn distance(&self, request: &Request, distance: Length, along: bool) -> String {
        let (lead, fence) = self.piece.at_datum;
        let edge = match (along, if along { lead } else { fence }) {
            (true, _) if self.piece.on_bench => "the part's left side",
            (false, _) if self.piece.on_bench => "the part's lower side",
            (true, true) => "the lead end",
            (true, false) => "the part's lead side",
            (false, true) => "the fence edge",
            (false, false) => "the part's fence side",
        };
        if distance == Length::ZERO {
            format!("on {edge}")
        } else {
            format!("{} from {edge}", request.shop.ruler.with_unit(distance))
        }
    }

    /// The four crosses of a page.
    fn crosses(&self, picture: &mut Picture) {
        let near = at(self.form.window.x0 + BEYOND, self.form.window.y0 + BEYOND);
        for x in [near.x, near.x + self.step.0.to_mm()] {
            for y in [near.y, near.y + self.step.1.to_mm()] {
                picture.line(Line::Thin, &[at(x - ARM, y), at(x + ARM, y)]);
                picture.line(Line::Thin, &[at(x, y - ARM), at(x, y + ARM)]);
            }
        }
    }

    /// Where a page is cut to be laid over its neighbours.
    fn cuts(&self, picture: &mut Picture, (row, column): (usize, usize)) {
        let (window, print) = (self.form.window, self.form.print);
        let has = |row: Option<usize>, column: Option<usize>| {
            row.zip(column).is_some_and(|cell| self.printed.contains(&cell))
        };
        if has(Some(row), column.checked_sub(1)) {
            picture.line(Line::Thin, &[at(window.x0, window.y0), at(window.x0, window.y1)]);
            let text = Text::new(at(window.x0 - 1.4, window.y1 - 2.0), SMALL, "cut");
            picture.text(text.upwards().align(Align::End));
        }
        if has(row.checked_sub(1), Some(column)) {
            picture.line(Line::Thin, &[at(window.x0, window.y0), at(window.x1, window.y0)]);
            let y = print.y0 + BARS - 3.0;
            picture.text(Text::new(at(print.x1 - 2.0, y), SMALL, "cut along the line").align(Align::End));
        }
    }

    fn words(&self, picture: &mut Picture, seen: &Area, shift: At) {
        // Clear of the crosses' half of the overlap, so that no word is cut off with the margin.
        let clear = seen.grown(-BEYOND - 0.5);
        let mut write = |region: Area, inner: &Area, text: &str, weight: Weight, upwards: bool| {
            let region = Area::new(
                region.x0.max(inner.x0) + shift.x,
                region.y0.max(inner.y0) + shift.y,
                region.x1.min(inner.x1) + shift.x,
                region.y1.min(inner.y1) + shift.y,
            );
            let room = region.x0 < region.x1 && region.y0 < region.y1;
            room && if upwards {
                word_upwards(picture, region, text, weight)
            } else {
                word(picture, region, text, weight)
            }
        };
        let (size, (lead, fence)) = (self.piece.size, self.piece.at_datum);
        // The edges are named inside the part where there is room beside them, else outside.
        let edge = |inside: Area, outside: Area| [inside.grown(-0.8), outside.grown(-0.3)];
        let below = edge(Area::new(12.0, 0.0, size.x - 12.0, 9.0), Area::new(12.0, -BEYOND, size.x - 12.0, 0.0));
        let at_left = edge(Area::new(0.0, 12.0, 9.0, size.y - 12.0), Area::new(-BEYOND, 12.0, 0.0, size.y - 12.0));
        let names = [
            (below, if fence { "FENCE EDGE" } else { "TOWARDS FENCE" }, false),
            (at_left, if lead { "LEAD END" } else { "TOWARDS LEAD END" }, true),
        ];
        // What stands at an angle has no side to the fence.
        for (regions, text, upwards) in names.into_iter().filter(|_| !self.piece.on_bench) {
            let _ = regions.into_iter().any(|region| write(region, seen, text, Weight::Bold, upwards));
        }
        let mut last = None;
        for item in &self.piece.words {
            let weight = if item.bold { Weight::Bold } else { Weight::Regular };
            if last != Some(&item.text) && write(item.region, &clear, &item.text, weight, false) {
                last = Some(&item.text);
            }
        }
    }
}

/// The page maps: how the pages of each part lie, its sizes, and how to use them.
fn maps(request: &Request, tiled: &[Tiled]) -> Vec<Page> {
    let form = Form::of(request, Lie::Portrait);
    let room = form.window.width() - 2.0;
    let mut pages: Vec<Page> = Vec::new();
    let mut picture = Picture::default();
    let mut top = form.window.y1 - 1.0;
    let line = |picture: &mut Picture, top: &mut f64, text: &str, weight: Weight| {
        for line in font::wrap(text, SMALL, weight, room) {
            *top -= LEADING;
            picture.text(Text { weight, ..Text::new(at(form.window.x0 + 2.0, *top + 1.2), SMALL, &line) });
        }
    };
    for step in STEPS {
        line(&mut picture, &mut top, step, Weight::Regular);
    }
    let number: usize = tiled.iter().map(|tiled| tiled.printed.len()).sum();
    let finish = |pages: &mut Vec<Page>, picture: Picture| {
        let lines = [
            font::shorten(&request.name, SMALL, Weight::Regular, form.print.width()),
            format!("{number} pages to join, each named by its part, row and column."),
        ];
        pages.push(form.page("FULL-SIZE TEMPLATE", "PAGE MAP", &lines, picture));
    };
    for tiled in tiled {
        let text = |text: &str| font::wrap(text, SMALL, Weight::Regular, room).len() as f64 * LEADING;
        let notes: f64 = tiled.piece.notes.iter().map(|note| text(note)).sum::<f64>() + 3.0 * LEADING;
        let height = map_size(tiled, at(form.window.width() - 4.0, 52.0)).y;
        if top - notes - height < form.window.y0 {
            finish(&mut pages, std::mem::take(&mut picture));
            top = form.window.y1 - 1.0;
        }
        top -= 3.0;
        for (place, note) in tiled.piece.notes.iter().enumerate() {
            line(&mut picture, &mut top, note, if place == 0 { Weight::Bold } else { Weight::Regular });
        }
        if tiled.piece.count > 1 {
            line(&mut picture, &mut top, &format!("Print it {} times.", tiled.piece.count), Weight::Regular);
        }
        let (x, y) = tiled.step;
        let apart = format!(
            "Crosses are {} apart along the feed, {} across.",
            request.shop.ruler.with_unit(x),
            request.shop.ruler.with_unit(y)
        );
        line(&mut picture, &mut top, &apart, Weight::Regular);
        top -= 2.0;
        let area = Area::new(form.window.x0 + 2.0, (top - height).max(form.window.y0), form.window.x1 - 2.0, top);
        map(&mut picture, tiled, area);
        top = area.y0 - 1.0;
    }
    finish(&mut pages, picture);
    pages
}

/// Size on paper of a map that is to fit a room. The cells hold the part, all but the last few
/// millimetres of it.
fn map_size(tiled: &Tiled, room: At) -> At {
    let grid = at(tiled.columns as f64 * tiled.step.0.to_mm(), tiled.rows as f64 * tiled.step.1.to_mm());
    let scale = (room.x / grid.x).min(room.y / grid.y).min(0.5);
    at(grid.x * scale, grid.y * scale)
}

/// The grid of pages over the part, as large as the area allows. Cells that are not printed have no name.
fn map(picture: &mut Picture, tiled: &Tiled, area: Area) {
    let (step_x, step_y) = (tiled.step.0.to_mm(), tiled.step.1.to_mm());
    let scale = map_size(tiled, at(area.width(), area.height())).x / (tiled.columns as f64 * step_x);
    let place = |x: f64, y: f64| at(area.x0 + x * scale, area.y0 + y * scale);
    for stroke in tiled.piece.strokes.iter().filter(|stroke| stroke.line == Line::Cut) {
        let points: Vec<At> = stroke.points.iter().map(|p| place(p.x, p.y)).collect();
        picture.ring(Line::Edge, points);
    }
    for (row, column) in &tiled.printed {
        let a = place(*column as f64 * step_x, *row as f64 * step_y);
        let b = place((*column + 1) as f64 * step_x, (*row + 1) as f64 * step_y);
        picture.frame(Line::Thin, Area::new(a.x, a.y, b.x, b.y));
    }
    for (row, column) in &tiled.printed {
        let middle = place((*column as f64 + 0.5) * step_x, (*row as f64 + 0.5) * step_y);
        let text = Text::new(at(middle.x, middle.y - SMALL / 2.0), SMALL, &tiled.name((*row, *column))).bold();
        let text = text.align(Align::Middle);
        if text.width() + 1.4 < step_x * scale && SMALL + 1.4 < step_y * scale {
            picture.label(text);
        }
    }
}
