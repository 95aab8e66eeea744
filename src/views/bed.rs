//! The bed-face view: the carrier turned over about the feed axis, fence edge on top.

use super::marks;
use super::ordinate::{BAND, Mark, Side, ordinates};
use super::{LARGE, Mapping, SMALL, Scale};
use crate::design::{Design, Void, VoidKind};
use crate::drawing::{Align, Area, Hatch, Line, Picture, Text, Weight, at, segments};
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::request::Request;

/// A bed face is drawn at least this high on paper, out of scale if it must be, mm.
const LEAST_HEIGHT: f64 = 26.0;

/// Whether there is anything to show on the bed face: a reference strip, a hole or an open pocket.
pub fn has_bed_face(request: &Request, design: &Design) -> bool {
    request.machine.strip > Length::ZERO || open_below(design).next().is_some()
}

/// Voids that reach the bed face.
fn open_below(design: &Design) -> impl Iterator<Item = &Void> {
    let places = design.parts.iter().flat_map(|part| &part.places);
    places.flat_map(|place| &place.voids).filter(|void| void.z0 <= Length::ZERO)
}

/// Draws the bed face. The display list's origin is the lead/fence corner, which is on top here.
pub fn bed_face(request: &Request, design: &Design, scale: Scale) -> Picture {
    let (mut map, times) = Mapping::readable(scale, design.carrier.width, LEAST_HEIGHT);
    map.up = -map.up;
    let mut picture = Picture::default();
    let size = at(map.x(design.carrier.length), map.y(design.carrier.width));
    let strip = request.machine.strip.min(design.carrier.width);

    if strip > Length::ZERO {
        let area = Rect::sized(Length::ZERO, Length::ZERO, design.carrier.length, strip);
        picture.hatch(Hatch::STRIP, map.ring(&Outline::Rect(area)));
        picture.line(Line::Edge, &[at(0.0, map.y(strip)), at(size.x, map.y(strip))]);
    }
    let on_border = |a: f64, b: f64, border: f64| (a - border).abs() < 1e-6 && (b - border).abs() < 1e-6;
    let lowest = design.parts.iter().flat_map(|part| &part.places).filter(|place| place.z0 <= Length::ZERO);
    for place in lowest {
        for (a, b) in segments(&map.ring(&place.outline), true) {
            let border = on_border(a.x, b.x, 0.0)
                || on_border(a.x, b.x, size.x)
                || on_border(a.y, b.y, 0.0)
                || on_border(a.y, b.y, size.y);
            if !border {
                picture.line(Line::Edge, &[a, b]);
            }
        }
    }
    for void in open_below(design).filter(|void| matches!(void.kind, VoidKind::Pocket | VoidKind::PushOut)) {
        map.draw(&mut picture, Line::Edge, &void.outline);
    }
    if design.blank.z0 <= Length::ZERO {
        map.draw(&mut picture, Line::Blank, &design.blank.outline);
    }
    picture.ring(Line::Outline, super::plan::carrier_ring(design, &map));
    picture.line(Line::Fence, &[at(0.0, 0.0), at(size.x, 0.0)]);

    let number = |length: Length| request.shop.ruler.number(length);
    let mut below = vec![
        Mark { place: 0.0, feature: size.y, text: number(Length::ZERO) },
        Mark { place: size.x, feature: size.y, text: number(design.carrier.length) },
    ];
    let mut left = vec![
        Mark { place: 0.0, feature: 0.0, text: number(Length::ZERO) },
        Mark { place: size.y, feature: 0.0, text: number(design.carrier.width) },
    ];
    if strip > Length::ZERO {
        left.push(Mark { place: map.y(strip), feature: 0.0, text: number(strip) });
    }
    let mut holes = Vec::new();
    for hole in open_below(design).filter(|void| void.kind == VoidKind::PushOut) {
        let bounds = hole.outline.bounds();
        let (centre, radius) = (bounds.centre(), bounds.length().half());
        let middle = map.point(centre);
        let reach = map.x(radius) + 3.0;
        picture.line(Line::Centre, &[at(middle.x - reach, middle.y), at(middle.x + reach, middle.y)]);
        picture.line(Line::Centre, &[at(middle.x, middle.y - reach), at(middle.x, middle.y + reach)]);
        // Of nests in no rows each has its own two figures: the first is told, the others lie in the middle of
        // their nests.
        if design.gang.as_ref().is_some_and(|gang| gang.is_free()) && !holes.is_empty() {
            continue;
        }
        below.push(Mark { place: middle.x, feature: middle.y - reach, text: number(centre.x) });
        left.push(Mark { place: middle.y, feature: middle.x - reach, text: number(centre.y) });
        let name = format!("Ø {} push-out", request.shop.ruler.number(bounds.length()));
        holes.push((Area::new(middle.x + reach, middle.y - 8.0, size.x, middle.y + 8.0), name));
    }
    let mut told = None;
    if let Some(screws) = &design.screws {
        let reach = map.x(screws.mouth.half()) + 1.5;
        for (place, at_mark) in screws.places.iter().enumerate() {
            let middle = map.point(*at_mark);
            for diameter in [screws.hole, screws.mouth] {
                map.draw(&mut picture, Line::Edge, &Outline::Disc { centre: *at_mark, diameter });
            }
            picture.line(Line::Centre, &[at(middle.x - reach, middle.y), at(middle.x + reach, middle.y)]);
            picture.line(Line::Centre, &[at(middle.x, middle.y - reach), at(middle.x, middle.y + reach)]);
            if !screws.places[..place].iter().any(|other| other.x == at_mark.x) {
                below.push(Mark { place: middle.x, feature: middle.y - reach, text: number(at_mark.x) });
            }
            if !screws.places[..place].iter().any(|other| other.y == at_mark.y) {
                left.push(Mark { place: middle.y, feature: middle.x - reach, text: number(at_mark.y) });
            }
        }
        let depth = |length: Length| request.shop.depth_ruler.number(length);
        let (hole, mouth) = (depth(screws.hole), depth(screws.mouth));
        told = Some(format!("{} screw holes Ø {hole}, countersunk Ø {mouth}.", screws.places.len()));
    }
    ordinates(&mut picture, Side::Below, size.y, below, LARGE);
    ordinates(&mut picture, Side::Left, 0.0, left, LARGE);
    for (region, name) in holes {
        if !marks::word(&mut picture, region, &name, Weight::Regular) {
            marks::word(&mut picture, Area::new(0.0, size.y, size.x, 0.0), &name, Weight::Regular);
        }
    }
    let strip_area = Area::new(2.0, map.y(strip), size.x - 2.0, 0.0);
    let named = strip > Length::ZERO && marks::word(&mut picture, strip_area, "REFERENCE STRIP", Weight::Bold);

    let row = 2.4;
    let lead = Text::new(at(0.0, row), SMALL, "LEAD").bold();
    let trail = Text::new(at(size.x, row), SMALL, "TRAIL").align(Align::End);
    let between = (lead.width() + trail.start().x) / 2.0;
    let fence = Text::new(at(between, row), LARGE, "FENCE").bold().align(Align::Middle);
    // On a short view the words must not run into each other; the lead end is the one that matters.
    let fits = |text: &Text| text.width() + 6.0 <= trail.start().x - lead.width();
    if fits(&fence) {
        picture.text(fence);
        picture.text(trail);
    } else {
        let fence = Text { height: SMALL, ..fence };
        if fits(&fence) {
            picture.text(fence);
            picture.text(trail);
        } else {
            picture.text(Text { at: at(lead.width() + 4.0, row), align: Align::Start, ..fence });
        }
    }
    picture.text(lead);
    let x = picture.area().x0;
    // Figures that were spread reach past the view.
    let mut y = (row + BAND).max(picture.area().y1 + 0.6 * SMALL);
    if let Some(told) = told {
        picture.text(Text::new(at(x, y), SMALL, &told).bold());
        y += 1.5 * SMALL + 1.4;
    }
    if strip > Length::ZERO {
        let text = format!(
            "Upright hatching: reference strip, {} wide from the fence edge{}. No joint, hole, screw, tape or glue.",
            number(strip),
            if named { "" } else { " (REFERENCE STRIP)" }
        );
        let room = (size.x - x).max(120.0);
        let lines = crate::drawing::font::wrap(&text, SMALL, Weight::Regular, room);
        for line in lines.iter().rev() {
            picture.text(Text::new(at(x, y), SMALL, line));
            y += 1.5 * SMALL;
        }
        y += 1.4;
    }
    let exaggerated = if times > 1 { format!(", WIDTHS x{times}") } else { String::new() };
    let title = Text::new(at(x, y), LARGE, "SEEN FROM BELOW").bold();
    let rest = at(x + title.width() + 3.0, y);
    picture.text(title);
    picture.text(Text::new(rest, SMALL, &format!("bed face, {}{exaggerated}", scale.text)));
    picture
}
