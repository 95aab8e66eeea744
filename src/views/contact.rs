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
            // A cleat at an angle is told by its two marks, each both ways.
            part if part.stands_at_angle() => {
                along.extend(contact.marks.into_iter().flatten());
                across.extend(contact.marks.into_iter().flatten());
            }
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
    // What is drawn first is not written over.
    crosses(picture, design, map);
    cleat_wedge(picture, design, map);
    for (place, contact) in design.contacts.iter().enumerate() {
        let centre = map.point(contact.at);
        // Into the part that pushes, else to either side, else into the blank.
        let (x, y) = contact.push();
        let out = at(-x, -y);
        // Along the face, towards the trail end or the far side.
        let side = if x.abs() > y.abs() { at(-y * x.signum(), x.abs()) } else { at(y.abs(), -x * y.signum()) };
        let ways = [
            (out, 4.0),
            (at(-out.x, -out.y), 4.5),
            (side, 4.5),
            (at(-side.x, -side.y), 4.5),
            (at(side.x - out.x, side.y - out.y), 4.5),
            (at(-side.x - out.x, -side.y - out.y), 4.5),
            (at(-out.x, -out.y), 8.0),
        ];
        // Among cleats there is less room.
        let more = around().filter(|_| contact.marks.is_some());
        let ways: Vec<(At, f64)> = ways.into_iter().chain(more).collect();
        label(picture, centre, &ways, &(place + 1).to_string());
    }
    mark_letters(picture, design, map);
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

/// Arms of the cross at a mark, mm.
const ARM: f64 = 1.6;

/// Crosses at the marks that cleats are laid to.
fn crosses(picture: &mut Picture, design: &Design, map: &Mapping) {
    for mark in design.contacts.iter().filter_map(|contact| contact.marks).flatten() {
        let middle = map.point(mark);
        picture.line(Line::Edge, &[at(middle.x - ARM, middle.y), at(middle.x + ARM, middle.y)]);
        picture.line(Line::Edge, &[at(middle.x, middle.y - ARM), at(middle.x, middle.y + ARM)]);
    }
}

/// The number of the contact and a letter beside every cross.
fn mark_letters(picture: &mut Picture, design: &Design, map: &Mapping) {
    let numbered = design.contacts.iter().enumerate();
    for (place, contact, marks) in numbered.filter_map(|(place, contact)| Some((place, contact, contact.marks?))) {
        let (x, y) = contact.push();
        let ends = [at(-y, x), at(y, -x)];
        for ((mark, letter), end) in marks.into_iter().zip(["a", "b"]).zip(ends) {
            // Beyond the cleat's end, else off either of its sides, else all round.
            let mut ways = vec![
                (end, 5.0),
                (at(end.x + x, end.y + y), 4.0),
                (at(end.x - x, end.y - y), 4.0),
                (at(x, y), 4.5),
                (at(-x, -y), 4.5),
            ];
            ways.extend(around());
            label(picture, map.point(mark), &ways, &format!("{}{letter}", place + 1));
        }
    }
}

/// Ways off a place in sixteen directions, the nearest first.
fn around() -> impl Iterator<Item = (At, f64)> {
    let turns = |step: u32| f64::from(step) / 16.0 * std::f64::consts::TAU;
    let way = move |step: u32| at(libm::cos(turns(step)), libm::sin(turns(step)));
    [5.0, 6.5, 8.0, 10.0].into_iter().flat_map(move |far| (0..16).map(move |step| (way(step), far)))
}

/// The arrow along which the wedge off a cleat is driven, on the wedge itself.
fn cleat_wedge(picture: &mut Picture, design: &Design, map: &Mapping) {
    let Some((driven, way)) = design.driven() else { return };
    let corners = map.ring(&driven.outline);
    let count = corners.len().max(1) as f64;
    let middle = corners.iter().fold(at(0.0, 0.0), |sum, p| at(sum.x + p.x / count, sum.y + p.y / count));
    let from = |along: f64| at(middle.x + way.0 * along, middle.y + way.1 * along);
    let (tail, root, tip) = (from(-ARROW / 2.0), from(ARROW / 2.0 - 4.0), from(ARROW / 2.0));
    picture.line(Line::Edge, &[tail, root]);
    let across = at(way.1 * 1.4, -way.0 * 1.4);
    let head = vec![tip, at(root.x + across.x, root.y + across.y), at(root.x - across.x, root.y - across.y)];
    picture.solid(Ink::Black, head);
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
