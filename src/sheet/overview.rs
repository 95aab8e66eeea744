//! The first sheet: the carrier taken apart, its overall sizes, what must be read first, the checks.

use super::bench;
use super::flow::Flow;
use super::frame::{Draft, Lie, content};
use crate::design::{Design, Status};
use crate::drawing::{Area, Text, Weight, at, font};
use crate::request::Request;
use crate::views::{Exploded, LARGE, SMALL};

/// Width of the text beside the picture, mm.
const COLUMN: f64 = 78.0;
/// Its width where it is long, mm.
const WIDER: f64 = 98.0;
/// Clear room between text and picture, mm.
const CLEAR: f64 = 5.0;
/// Height of the title of the picture, mm.
const TITLE: f64 = 9.0;
/// Distance of base lines, mm.
const PITCH: f64 = 1.55 * SMALL;
/// Share of an upright sheet for the picture and its foot.
const SHARE: f64 = 0.6;

/// A way of laying the sheet: where picture and foot go, and where the words.
struct Layout {
    lie: Lie,
    room: Area,
    text: Area,
    columns: usize,
}

/// The overview, on more than one sheet where the text is long. `rest` are the titles of the sheets after it.
pub(super) fn drafts(request: &Request, design: &Design, rest: &[&str]) -> Vec<Draft> {
    let exploded = Exploded::of(request, design);
    let foot = [key(design), checks(design), set(rest)];
    let named = |area: &Area| -> Vec<String> {
        foot.iter().flat_map(|text| font::wrap(text, SMALL, Weight::Regular, area.width())).collect()
    };
    let set = |layout: &Layout| {
        let mut flow = Flow::in_columns(layout.text, layout.columns);
        words(&mut flow, request, design);
        flow.finish()
    };
    // The first way whose words fit; else the first, and the rest of the words on the next sheet.
    let [first, wider, under] = layouts(request);
    let chosen = [&first, &wider, &under].into_iter().find(|layout| set(layout).len() == 1).unwrap_or(&first);
    let (lie, room) = (chosen.lie, chosen.room);
    let mut pages = set(chosen);
    if let Some(first) = pages.first_mut() {
        let title = Text::new(at(room.x0, room.y1 - 1.1 * LARGE), LARGE, "TAKEN APART").bold();
        let beside = at(title.at.x + title.width() + 3.0, title.at.y);
        first.text(title);
        first.text(Text::new(beside, SMALL, "not to scale"));
        let lines = named(&room);
        let foot = room.y0 + lines.len() as f64 * PITCH;
        for (place, line) in lines.iter().enumerate() {
            first.text(Text::new(at(room.x0, foot - (place as f64 + 0.8) * PITCH), SMALL, line));
        }
        let low = foot + CLEAR;
        let picture = exploded.picture((room.width(), (room.y1 - TITLE - low).max(30.0)));
        let own = picture.area();
        let (x, y) = ((room.x0 + room.x1 - own.width()) / 2.0, (low + room.y1 - TITLE - own.height()) / 2.0);
        first.add(picture, at(x - own.x0, y - own.y0));
    }
    let title = |place: usize| if place == 0 { "Overview".to_owned() } else { format!("Overview ({})", place + 1) };
    let draft = |(place, picture)| Draft { title: title(place), lie, scale: "none".to_owned(), picture };
    pages.into_iter().enumerate().map(draft).collect()
}

/// Words beside the picture, in a wider column, under it.
fn layouts(request: &Request) -> [Layout; 3] {
    let wide = content(request.shop.paper, Lie::Landscape);
    let beside = |column: f64| Layout {
        lie: Lie::Landscape,
        room: Area { x1: wide.x1 - column - CLEAR, ..wide },
        text: Area { x0: wide.x1 - column, ..wide },
        columns: 1,
    };
    let tall = content(request.shop.paper, Lie::Portrait);
    let middle = tall.y0 + (1.0 - SHARE) * tall.height();
    let under = Layout {
        lie: Lie::Portrait,
        room: Area { y0: middle, ..tall },
        text: Area { y1: middle - CLEAR, ..tall },
        columns: 2,
    };
    [beside(COLUMN), beside(WIDER), under]
}

fn words(flow: &mut Flow, request: &Request, design: &Design) {
    if let Some(numbers) = bench::numbers(request, design).pop() {
        flow.figure(numbers);
    }
    bench::warnings(flow, request, design);
}

/// How many checks hold, and which do not.
fn checks(design: &Design) -> String {
    let held = design.checks.iter().filter(|check| check.status == Status::Pass).count();
    let mut named: Vec<&str> = Vec::new();
    for check in design.checks.iter().filter(|check| check.status != Status::Pass) {
        if !named.contains(&check.rule.id()) {
            named.push(check.rule.id());
        }
    }
    let but = if named.is_empty() { String::new() } else { format!("; not met: {}", named.join(", ")) };
    format!("Checked twice over: {held} of {} rules hold{but}.", design.checks.len())
}

/// The sheets after this one, each kind once.
fn set(rest: &[&str]) -> String {
    let mut kinds: Vec<String> = Vec::new();
    for title in rest {
        let kind = title.trim_end_matches(|c: char| " ()".contains(c) || c.is_ascii_digit()).to_lowercase();
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    format!("Sheets after this one: {}.", kinds.join(", "))
}

/// What the letters stand for.
fn key(design: &Design) -> String {
    let named = design.parts.iter().map(|part| match part.places.len() {
        1 => format!("{}\u{a0}{}", part.id, part.name.replace(' ', "\u{a0}")),
        count => format!("{}\u{a0}{}\u{a0}({count})", part.id, part.name.replace(' ', "\u{a0}")),
    });
    named.collect::<Vec<_>>().join(", ")
}
