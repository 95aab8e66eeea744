//! Paper, frame and title block.

use crate::design::Design;
use crate::drawing::{Align, Area, Line, Page, Picture, Text, Weight, at, font};
use crate::length::Unit;
use crate::request::{Paper, Request};
use crate::setup::status;
use crate::views::{LARGE, SMALL};

/// Filing margin at the left, mm (ISO 5457).
const FILING: f64 = 20.0;
/// Margin at the other sides, mm (ISO 5457).
const MARGIN: f64 = 10.0;
/// Height of a row of the title block, mm.
const ROW: f64 = 7.6;
/// Height of the heading, mm.
const HEADING: f64 = 11.0;

/// Which way a sheet lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lie {
    /// Long side level.
    Landscape,
    /// Long side upright.
    Portrait,
}

/// Content of a sheet before its frame and numbers are known.
pub(super) struct Draft {
    /// Heading.
    pub title: String,
    /// Which way it lies.
    pub lie: Lie,
    /// Scale, as printed in the title block.
    pub scale: String,
    /// What is on it, within [`content`].
    pub picture: Picture,
}

/// Shorter and longer side, mm (ISO 216; inch sizes ANSI A and B).
fn sides(paper: Paper) -> (f64, f64) {
    match paper {
        Paper::A4 => (210.0, 297.0),
        Paper::A3 => (297.0, 420.0),
        Paper::A2 => (420.0, 594.0),
        Paper::Letter => (215.9, 279.4),
        Paper::Tabloid => (279.4, 431.8),
    }
}

pub(super) fn paper_size(paper: Paper, lie: Lie) -> (f64, f64) {
    let (short, long) = sides(paper);
    match lie {
        Lie::Landscape => (long, short),
        Lie::Portrait => (short, long),
    }
}

fn frame(paper: Paper, lie: Lie) -> Area {
    let (width, height) = paper_size(paper, lie);
    Area::new(FILING, MARGIN, width - MARGIN, height - MARGIN)
}

/// Rows of the title block: job and carrier share one where the sheet is wide.
fn rows(frame: Area) -> f64 {
    if frame.width() > 220.0 { 2.0 } else { 3.0 }
}

/// Where the content of a sheet goes.
pub(super) fn content(paper: Paper, lie: Lie) -> Area {
    let frame = frame(paper, lie);
    Area::new(frame.x0 + 3.0, frame.y0 + rows(frame) * ROW + 3.0, frame.x1 - 3.0, frame.y1 - HEADING - 2.0)
}

/// Puts frame, heading and title block round a draft.
pub(super) fn page(request: &Request, design: &Design, draft: Draft, number: usize, total: usize) -> Page {
    let (width, height) = paper_size(request.shop.paper, draft.lie);
    let frame = frame(request.shop.paper, draft.lie);
    let mut picture = Picture::default();
    picture.frame(Line::Outline, frame);
    heading(&mut picture, frame, &draft.title, status(request, design));
    title_block(&mut picture, frame, request, design, &draft.scale, number, total);
    picture.add(draft.picture, at(0.0, 0.0));
    Page { title: draft.title, width, height, frame, picture }
}

fn heading(picture: &mut Picture, frame: Area, title: &str, status: &str) {
    let base = frame.y1 - 3.0 - LARGE;
    let status = Text::new(at(frame.x1 - 5.0, base), LARGE, status).bold().align(Align::End);
    let left = status.start().x - 3.0;
    picture.frame(Line::Outline, Area::new(left, frame.y1 - HEADING + 0.9, frame.x1 - 2.0, frame.y1 - 1.0));
    let title = font::shorten(&title.to_uppercase(), LARGE, Weight::Bold, left - frame.x0 - 6.0);
    picture.text(Text::new(at(frame.x0 + 3.0, base), LARGE, &title).bold());
    picture.text(status);
    picture.line(Line::Thin, &[at(frame.x0, frame.y1 - HEADING), at(frame.x1, frame.y1 - HEADING)]);
}

fn title_block(
    picture: &mut Picture,
    frame: Area,
    request: &Request,
    design: &Design,
    scale: &str,
    number: usize,
    total: usize,
) {
    let rows = rows(frame);
    let mut top = frame.y0 + rows * ROW;
    picture.line(Line::Edge, &[at(frame.x0, top), at(frame.x1, top)]);
    let mut cells = |cells: &[(f64, &str, &str)]| {
        let mut x = frame.x0;
        for (share, name, value) in cells {
            let room = share * frame.width();
            let label = Text::new(at(x + 2.0, top - 5.4), SMALL, name);
            let value_x = label.at.x + label.width() + 2.0;
            let text = font::shorten(value, SMALL, Weight::Bold, x + room - 1.5 - value_x);
            picture.text(label);
            if value.is_empty() {
                picture.line(Line::Thin, &[at(value_x, top - 6.0), at(x + room - 3.0, top - 6.0)]);
            } else {
                picture.text(Text::new(at(value_x, top - 5.4), SMALL, &text).bold());
            }
            if x > frame.x0 {
                picture.line(Line::Thin, &[at(x, top), at(x, top - ROW)]);
            }
            x += room;
        }
        picture.line(Line::Thin, &[at(frame.x0, top), at(frame.x1, top)]);
        top -= ROW;
    };
    let units = match request.shop.ruler.unit {
        Unit::Inch => "inch",
        Unit::Millimetre => "mm",
    };
    let date = request.date.as_deref().unwrap_or("");
    let sheet = format!("{number} of {total}");
    if rows < 3.0 {
        // The construction's name is never cut: where both are long it is the job's that gives way.
        let label = font::width("CARRIER", SMALL, Weight::Regular) + 6.0;
        let named = font::width(&font::printable(&design.title), SMALL, Weight::Bold) + label;
        let carrier = (named / frame.width()).clamp(0.5, 0.8);
        cells(&[(1.0 - carrier, "JOB", &request.name), (carrier, "CARRIER", &design.title)]);
    } else {
        cells(&[(1.0, "JOB", &request.name)]);
        cells(&[(1.0, "CARRIER", &design.title)]);
    }
    cells(&[(0.29, "DATE", date), (0.2, "UNITS", units), (0.23, "SCALE", scale), (0.28, "SHEET", &sheet)]);
}
