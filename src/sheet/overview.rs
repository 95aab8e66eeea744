//! The first sheet: the carrier taken apart, its overall sizes, what must be read first, the checks.

use super::bench::ROOM;
use super::book::{Leaf, NO_SCALE, apart};
use super::flow::{Filled, Flow};
use super::form::{Form, Lie};
use super::frame::block_height;
use super::notes;
use super::pack::without;
use crate::design::{Design, Status};
use crate::drawing::{Area, Picture, Text, Weight, at, font};
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

/// Greatest size of picture and foot on a large sheet, mm; text has the rest of it.
const LARGEST: (f64, f64) = (270.0, 230.0);

/// A way of laying the sheet: where picture and foot go, and where the words.
struct Layout {
    form: Form,
    room: Area,
    text: Area,
    columns: usize,
}

/// The overview, on more than one sheet where the text is long. `rest` are the kinds of sheets after it.
pub(super) fn leaves(request: &Request, design: &Design, rest: &[&str]) -> Vec<Leaf> {
    let exploded = Exploded::of(request, design);
    let foot = [key(design), checks(design), set(rest)];
    let named = |area: &Area| -> Vec<String> {
        foot.iter().flat_map(|text| font::wrap(text, SMALL, Weight::Regular, area.width())).collect()
    };
    let after = Form::of_text(&request.sheet);
    let fresh = after.free(block_height(false));
    let fill = |layout: &Layout| {
        let ideal = layout.text.width() / layout.columns as f64 - CLEAR;
        let mut flow = Flow::new(&[(0, layout.text)], 1, fresh.iter().copied().take(1).collect(), ideal);
        words(&mut flow, request, design);
        flow.finish()
    };
    // The first way whose words fit; else the first, and the rest of the words on the next sheet.
    let layouts = layouts(request);
    let sheets = |filled: &Filled| filled.pieces.iter().map(|(place, _)| place + 1).max().unwrap_or(1);
    let Some(chosen) = layouts.iter().find(|layout| sheets(&fill(layout)) == 1).or(layouts.first()) else {
        return Vec::new();
    };
    let filled = fill(chosen);
    let leaf = |form| Leaf {
        form,
        picture: Picture::default(),
        scale: NO_SCALE.to_owned(),
        names: vec!["Overview"],
        rooms: Vec::new(),
    };
    let mut leaves: Vec<Leaf> =
        (0..sheets(&filled)).map(|place| leaf(if place == 0 { chosen.form } else { after })).collect();
    for (place, piece) in filled.pieces {
        if let Some(leaf) = leaves.get_mut(place) {
            leaf.picture.add(piece, at(0.0, 0.0));
        }
    }
    if let Some(first) = leaves.first_mut() {
        let room = chosen.room;
        let title = Text::new(at(room.x0, room.y1 - 1.1 * LARGE), LARGE, "TAKEN APART").bold();
        let beside = at(title.at.x + title.width() + 3.0, title.at.y);
        first.picture.text(title);
        first.picture.text(Text::new(beside, SMALL, "not to scale"));
        let lines = named(&room);
        let foot = room.y0 + lines.len() as f64 * PITCH;
        for (place, line) in lines.iter().enumerate() {
            first.picture.text(Text::new(at(room.x0, foot - (place as f64 + 0.8) * PITCH), SMALL, line));
        }
        let low = foot + CLEAR;
        let picture = exploded.picture((room.width(), (room.y1 - TITLE - low).max(30.0)));
        let own = picture.area();
        let (x, y) = ((room.x0 + room.x1 - own.width()) / 2.0, (low + room.y1 - TITLE - own.height()) / 2.0);
        first.picture.add(picture, at(x - own.x0, y - own.y0));
        let taken = room.grown(CLEAR);
        let around = chosen.form.free(block_height(true)).into_iter();
        let around =
            around.flat_map(|area| without(area, &taken)).flat_map(|area| without(area, &chosen.text.grown(CLEAR)));
        first.rooms = apart(around.collect(), ROOM);
        first.rooms.extend(filled.left.iter().filter(|(place, _)| *place == 0).map(|(_, area)| *area));
    }
    leaves
}

/// Words beside the picture, in a wider column; where the paper may stand upright, under it.
fn layouts(request: &Request) -> Vec<Layout> {
    let lies = Form::lies(&request.sheet).iter().rev();
    let forms = lies.map(|lie| (*lie, Form::new(&request.sheet, *lie)));
    let mut layouts = Vec::new();
    for (lie, form) in forms {
        let Some(area) = form.free(block_height(true)).first().copied() else { continue };
        if lie == Lie::Portrait {
            let middle = area.y0 + (1.0 - SHARE) * area.height();
            let (room, text) = (Area { y0: middle, ..area }, Area { y1: middle - CLEAR, ..area });
            layouts.push(Layout { form, room, text, columns: 2 });
            continue;
        }
        for column in [COLUMN, WIDER] {
            let right = (area.x1 - column - CLEAR).min(area.x0 + LARGEST.0);
            let room = Area { x1: right, y0: area.y0.max(area.y1 - LARGEST.1), ..area };
            let text = Area { x0: right + CLEAR, x1: right + CLEAR + column, ..room };
            layouts.push(Layout { form, room, text, columns: 1 });
        }
    }
    layouts
}

fn words(flow: &mut Flow, request: &Request, design: &Design) {
    if let Some(numbers) = notes::numbers(request, design).pop() {
        flow.figure(numbers);
    }
    notes::warnings(flow, request, design);
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

/// The sheets after this one.
fn set(rest: &[&str]) -> String {
    format!("Sheets after this one: {}.", rest.join(", "))
}

/// What the letters stand for.
fn key(design: &Design) -> String {
    let named = design.parts.iter().map(|part| match part.places.len() {
        1 => format!("{}\u{a0}{}", part.id, part.name.replace(' ', "\u{a0}")),
        count => format!("{}\u{a0}{}\u{a0}({count})", part.id, part.name.replace(' ', "\u{a0}")),
    });
    named.collect::<Vec<_>>().join(", ")
}
