//! Contacts and wedges in the plan: where straight parts hold a blank, and which wedge is driven when.

use super::{Mapping, SMALL};
use crate::design::{Design, Role};
use crate::drawing::{Align, Area, At, Ink, Line, Picture, Text, Weight, at, font};
use crate::geometry::Point;

/// Radius of the dot at a contact, mm.
const DOT: f64 = 1.2;
/// Length of the arrow along which a wedge is driven, mm.
const ARROW: f64 = 8.0;

/// Places that are dimensioned along the feed and across it: the contacts, each along the face that
/// pushes there, and where the wedges begin and end along theirs.
pub(super) fn places(design: &Design) -> (Vec<Point>, Vec<Point>) {
    let (mut along, mut across) = (Vec::new(), Vec::new());
    for contact in &design.contacts {
        match contact.part {
            Role::FenceRail | Role::FarWedge => along.push(contact.at),
            _ => across.push(contact.at),
        }
    }
    for part in &design.parts {
        let corners = part.places.iter().flat_map(|place| place.outline.bounds().corners());
        match part.role {
            Role::FarWedge => along.extend(corners),
            Role::TrailWedge => across.extend(corners),
            _ => {}
        }
    }
    (along, across)
}

/// Dots at the contacts with their numbers, and the arrows.
pub(super) fn draw(picture: &mut Picture, design: &Design, map: &Mapping) {
    for contact in &design.contacts {
        let centre = map.point(contact.at);
        let ring = (0..16)
            .map(|step| f64::from(step) / 16.0 * std::f64::consts::TAU)
            .map(|turn| at(centre.x + DOT * libm::cos(turn), centre.y + DOT * libm::sin(turn)));
        picture.solid(Ink::Black, ring.collect());
    }
    for (place, contact) in design.contacts.iter().enumerate() {
        let centre = map.point(contact.at);
        // Into the part that pushes, else to either side, else into the blank.
        let (out, side) = match contact.part {
            Role::FenceRail => (at(0.0, -1.0), at(1.0, 0.0)),
            Role::LeadEnd => (at(-1.0, 0.0), at(0.0, 1.0)),
            Role::FarWedge => (at(0.0, 1.0), at(1.0, 0.0)),
            _ => (at(1.0, 0.0), at(0.0, 1.0)),
        };
        let ways = [
            (out, 4.0),
            (at(-out.x, -out.y), 4.5),
            (side, 4.5),
            (at(-side.x, -side.y), 4.5),
            (at(side.x - out.x, side.y - out.y), 4.5),
            (at(-side.x - out.x, -side.y - out.y), 4.5),
            (at(-out.x, -out.y), 8.0),
        ];
        label(picture, centre, &ways, &(place + 1).to_string());
    }
    let Some(room) = design.pockets.first().map(|pocket| pocket.outline.bounds()) else { return };
    let (near, end) =
        (map.point(Point::new(room.x1, room.y1)), map.point(Point::new(design.carrier.length, design.carrier.width)));
    for (role, way, name) in [(Role::FarWedge, at(-1.0, 0.0), "1st"), (Role::TrailWedge, at(0.0, -1.0), "2nd")] {
        let Some(part) = design.parts.iter().find(|part| part.role == role) else { continue };
        let Some(driven) = part.places.last() else { continue };
        let middle = map.point(driven.outline.bounds().centre());
        // On the rail or bar behind the pair, where nothing else is dimensioned.
        let middle = match role {
            Role::FarWedge => at(middle.x, (near.y + end.y) / 2.0),
            _ => at((near.x + end.x) / 2.0, middle.y),
        };
        let from = |along: f64| at(middle.x + way.x * along, middle.y + way.y * along);
        let (tail, root, tip) = (from(-ARROW / 2.0), from(ARROW / 2.0 - 5.0), from(ARROW / 2.0));
        picture.line(Line::Edge, &[tail, root]);
        let across = at(way.y * 1.6, -way.x * 1.6);
        let head = vec![tip, at(root.x + across.x, root.y + across.y), at(root.x - across.x, root.y - across.y)];
        picture.solid(Ink::Black, head);
        // Behind the arrow or ahead of it.
        let least = if way.x == 0.0 { 7.0 } else { 10.5 };
        let ways: Vec<(At, f64)> = [0.0, 1.5, 3.0, 5.0, 7.0, 10.0]
            .iter()
            .flat_map(|more| [at(-way.x, -way.y), way].map(|way| (way, least + more)))
            .collect();
        let whole = format!("{name} {}", part.id);
        let fits = way.y == 0.0 || font::width(&whole, SMALL, Weight::Bold) + 1.0 <= end.x - near.x;
        label(picture, middle, &ways, if fits { &whole } else { name });
    }
}

/// Writes a word beside a place, in the first of several directions where nothing is in its way.
fn label(picture: &mut Picture, from: At, ways: &[(At, f64)], word: &str) {
    let text = |(way, far): &(At, f64)| {
        let middle = at(from.x + way.x * far, from.y + way.y * far - SMALL / 2.0);
        Text::new(middle, SMALL, word).bold().align(Align::Middle)
    };
    let clear = |text: &Text| {
        let area: Area = text.area();
        picture.is_clear(&area.grown(0.3))
    };
    let texts: Vec<Text> = ways.iter().map(text).collect();
    if let Some(text) = texts.iter().find(|text| clear(text)).or(texts.first()) {
        picture.label(text.clone());
    }
}
