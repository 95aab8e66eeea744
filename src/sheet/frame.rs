//! The title block, and a finished page from its content.

use super::form::Form;
use crate::design::Design;
use crate::drawing::{Align, Area, Line, Page, Picture, Text, Weight, at, font};
use crate::length::Unit;
use crate::request::{Projection, Request};
use crate::setup::status;
use crate::views::{LARGE, SMALL};

/// Height of the row with kind of document, projection and status, mm.
const HEAD: f64 = 10.4;
/// Height of the other rows, mm.
const ROW: f64 = 6.8;

/// A sheet before its number is known.
pub(super) struct Draft {
    /// What it is.
    pub title: String,
    /// Its form.
    pub form: Form,
    /// Scale, as printed in the title block.
    pub scale: String,
    /// What is on it.
    pub picture: Picture,
}

/// Height of the title block of the first sheet, and of all others: the first names everybody.
pub(super) fn block_height(first: bool) -> f64 {
    HEAD + ROW * if first { 4.0 } else { 1.0 }
}

/// Puts marks and title block round a draft.
pub(super) fn page(request: &Request, design: &Design, draft: Draft, number: usize, total: usize) -> Page {
    let (width, height) = draft.form.size();
    let mut picture = draft.picture;
    let block = Block { area: draft.form.block(block_height(number == 1)), request, design };
    let sheet = format!("{number} of {total}");
    block.draw(&mut picture, &draft.title, &draft.scale, &sheet, number == 1);
    Page { title: draft.title, width, height, frame: draft.form.frame(), margin: draft.form.marks(), picture }
}

/// A cell of a title block: its share of the width, its name, what it says.
type Cell<'a> = (f64, &'a str, &'a str);

struct Block<'a> {
    area: Area,
    request: &'a Request,
    design: &'a Design,
}

impl Block<'_> {
    /// Kind of document, symbol of the projection and status; then the fields that ISO 7200 asks for.
    fn draw(&self, picture: &mut Picture, title: &str, scale: &str, sheet: &str, first: bool) {
        let (area, request) = (self.area, self.request);
        picture.line(Line::Edge, &[at(area.x0, area.y1), at(area.x1, area.y1)]);
        picture.line(Line::Edge, &[at(area.x0, area.y0), at(area.x0, area.y1)]);
        self.head(picture, title);
        let style = &request.sheet;
        let field = |field: &Option<String>| field.clone().unwrap_or_default();
        let (owner, number, revision) = (field(&style.owner), field(&style.number), field(&style.revision));
        let (drawn, approved, date) = (field(&style.drawn_by), field(&style.approved_by), field(&request.date));
        let units = match request.shop.ruler.unit {
            Unit::Inch => "inch",
            Unit::Millimetre => "mm",
        };
        let top = area.y1 - HEAD;
        if first {
            self.row(picture, top, &[(0.78, "JOB", &request.name), (0.22, "SHEET", sheet)]);
            let carrier = &self.design.title;
            self.row(picture, top - ROW, &[(0.6, "CARRIER", carrier), (0.18, "UNITS", units), (0.22, "SCALE", scale)]);
            self.row(picture, top - 2.0 * ROW, &[(0.65, "OWNER", &owner), (0.35, "NO.", &number)]);
            let cells = [
                (0.29, "DRAWN", &*drawn),
                (0.33, "APPROVED", &approved),
                (0.24, "DATE", &date),
                (0.14, "REV", &revision),
            ];
            self.row(picture, top - 3.0 * ROW, &cells);
        } else {
            // The number of the drawing where it has one, else the job's whole name.
            let (job, no) = if number.is_empty() { (0.6, 0.0) } else { (0.3, 0.3) };
            let cells: [Cell<'_>; 4] =
                [(job, "JOB", &request.name), (no, "NO.", &number), (0.18, "SCALE", scale), (0.22, "SHEET", sheet)];
            let shown: Vec<Cell<'_>> = cells.into_iter().filter(|(share, ..)| *share > 0.0).collect();
            self.row(picture, top, &shown);
        }
    }

    fn head(&self, picture: &mut Picture, title: &str) {
        let area = self.area;
        let base = area.y1 - HEAD / 2.0 - LARGE / 2.0;
        let status =
            Text::new(at(area.x1 - 4.0, base), LARGE, status(self.request, self.design)).bold().align(Align::End);
        let left = status.start().x - 3.0;
        picture.frame(Line::Outline, Area::new(left, area.y1 - HEAD + 1.0, area.x1 - 1.0, area.y1 - 1.0));
        let symbol = Area::new(left - 22.0, area.y1 - HEAD + 1.0, left - 3.0, area.y1 - 1.0);
        projection(picture, symbol, self.request.sheet.projection);
        let room = symbol.x0 - area.x0 - 5.0;
        let title = title.to_uppercase();
        if font::width(&font::printable(&title), LARGE, Weight::Bold) <= room {
            picture.text(Text::new(at(area.x0 + 2.0, base), LARGE, &title).bold());
        } else {
            let mut lines = font::wrap(&title, SMALL, Weight::Bold, room);
            if lines.len() > 2 {
                lines.truncate(2);
                if let Some(last) = lines.last_mut() {
                    *last = font::shorten(&format!("{last} …"), SMALL, Weight::Bold, room);
                }
            }
            let top = area.y1 - 4.4;
            for (line, y) in lines.iter().zip([top, top - 1.4 * SMALL]) {
                picture.text(Text::new(at(area.x0 + 2.0, y), SMALL, line).bold());
            }
        }
        picture.text(status);
    }

    fn row(&self, picture: &mut Picture, top: f64, cells: &[Cell<'_>]) {
        let mut x = self.area.x0;
        for (share, name, value) in cells {
            let room = share * self.area.width();
            let label = Text::new(at(x + 2.0, top - 5.2), SMALL, name);
            let value_x = label.at.x + label.width() + 2.0;
            picture.text(label);
            if value.is_empty() {
                picture.line(Line::Thin, &[at(value_x, top - 5.8), at(x + room - 2.0, top - 5.8)]);
            } else {
                // What is too long for bold goes in regular before anything of it is left out.
                let room = x + room - 1.5 - value_x;
                let bold = font::width(&font::printable(value), SMALL, Weight::Bold) <= room;
                let weight = if bold { Weight::Bold } else { Weight::Regular };
                let text = Text::new(at(value_x, top - 5.2), SMALL, &font::shorten(value, SMALL, weight, room));
                picture.text(Text { weight, ..text });
            }
            if x > self.area.x0 {
                picture.line(Line::Thin, &[at(x, top), at(x, top - ROW)]);
            }
            x += room;
        }
        picture.line(Line::Thin, &[at(self.area.x0, top), at(self.area.x1, top)]);
    }
}

/// The symbol of the projection: a cut-off cone lying with its small end at the left, seen from the side
/// and from the left, where both its rims are seen (ISO 5456-2; sizes from memory: the large end twice the
/// small one, and as long). In first angle the view from the left stands at the right, in third angle at
/// the left.
fn projection(picture: &mut Picture, area: Area, projection: Projection) {
    let large = area.height().min(area.width() / 2.5) - 1.0;
    let (radius, y) = (large / 2.0, (area.y0 + area.y1) / 2.0);
    let (first, second) = (area.x0 + radius + 0.5, area.x1 - radius - 0.5);
    let (cone, rims) = match projection {
        Projection::FirstAngle => (first, second),
        Projection::ThirdAngle => (second, first),
    };
    let (left, right) = (cone - radius, cone + radius);
    picture.ring(
        Line::Thin,
        vec![at(left, y - radius / 2.0), at(right, y - radius), at(right, y + radius), at(left, y + radius / 2.0)],
    );
    picture.circle(Line::Thin, at(rims, y), radius);
    picture.circle(Line::Thin, at(rims, y), radius / 2.0);
    let axis = |from: f64, to: f64| [at(from, y), at(to, y)];
    picture.line(Line::Centre, &axis(left - 1.0, right + 1.0));
    picture.line(Line::Centre, &axis(rims - radius - 1.0, rims + radius + 1.0));
    picture.line(Line::Centre, &[at(rims, y - radius - 0.8), at(rims, y + radius + 0.8)]);
}
