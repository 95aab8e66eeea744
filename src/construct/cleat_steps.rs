//! Setting out cleats at angles, and loading a blank between them, in words.

use super::Setting;
use super::seat::ASIDE;
use super::wedge_steps::{adding, careful, id, part, places, say, wedge};
use crate::design::{Added, BuildStep, Contact, Design, Role};
use crate::geometry::Point;
use crate::geometry::path::Mm;
use crate::length::Length;
use crate::saw::{Assembly, end_over};

/// The side of the carrier that lies that way.
fn towards((x, y): Mm) -> &'static str {
    if x.abs() > y.abs() {
        if x > 0.0 { "trail end" } else { "lead end" }
    } else if y > 0.0 {
        "far side"
    } else {
        "fence"
    }
}

/// Contacts of cleats and of the wedge off one, with their numbers and marks.
fn marked(design: &Design) -> impl Iterator<Item = (usize, &Contact, [Point; 2])> {
    let numbered = design.contacts.iter().enumerate();
    numbered.filter_map(|(place, contact)| Some((place + 1, contact, contact.marks?)))
}

/// `61 degrees to the fence edge, away from it towards the trail end`.
pub(super) fn angle(contact: &Contact) -> String {
    match contact.slant() {
        Some((degrees, _)) if degrees < 0.05 => "along the fence edge".to_owned(),
        Some((degrees, _)) if degrees > 89.95 => "square to the fence edge".to_owned(),
        Some((degrees, on)) => {
            let end = if on { "trail" } else { "lead" };
            format!("at {degrees:.1} degrees to the fence edge, away from it towards the {end} end")
        }
        None => String::new(),
    }
}

/// Marks, cleats and the first wedge on the base.
pub fn built(setting: &Setting<'_>, design: &Design) -> Vec<BuildStep> {
    if marked(design).next().is_none() {
        return Vec::new();
    }
    let over = end_over(setting.request, Assembly::Trimmed);
    let number = |length: Length| setting.request.shop.ruler.number(length);
    let at = |name: String, mark: Point| format!("{name} at {} / {}", number(mark.x + over), number(mark.y));
    let pair = |(place, _, [first, second]): (usize, &Contact, [Point; 2])| {
        format!("{}, {}", at(format!("{place}a"), first), at(format!("{place}b"), second))
    };
    let all: Vec<String> = marked(design).map(pair).collect();
    let mut steps = vec![careful(
        format!(
            "Mark on the base, each from its lead end as it is now / from the fence edge: {}. Join every a to its b with a sharp line.",
            all.join("; ")
        ),
        "Measure every mark from both edges, never from its neighbour; check the blank against the lines before any glue.",
    )];
    let mut first = true;
    for (place, contact, _) in marked(design) {
        let (x, y) = contact.push();
        let wedged = contact.part == Role::CleatWedge;
        let role = if wedged { Role::BackingCleat } else { Role::Cleat };
        let name = if wedged { "backing cleat" } else { "cleat" };
        let words = format!(
            "Glue {name} {} on the {} side of line {place}, a square end at {place}a and its edge on the line over {place}b. It runs {}. Wooden pegs from below.",
            id(design, role),
            towards((-x, -y)),
            angle(contact)
        );
        let step = if first {
            careful(words, "The marks place it, the angle is only a check. No metal where the cutter runs.")
        } else {
            say(words)
        };
        first = false;
        let row = part(design, role);
        let place = marked(design).filter(|(_, contact, _)| contact.part == Role::Cleat).position(|(n, ..)| n == place);
        let added =
            row.map(|row| Added::Part { id: row.id.clone(), place: if wedged { 0 } else { place.unwrap_or(0) } });
        steps.push(adding(step, added));
    }
    if let (Some(row), Some((_, way))) = (part(design, Role::CleatWedge), design.driven()) {
        // The glued one's thick end is where the driven one's thin end goes.
        steps.push(adding(
            say(format!(
                "Glue one wedge {} to the backing cleat {}, ends flush, thick end at its end towards the {}. Its slope stands square to the base, or leans over it a little: then the driven wedge does not climb.",
                row.id,
                id(design, Role::BackingCleat),
                towards(way)
            )),
            wedge(row, 0),
        ));
    }
    steps
}

/// Loading the blank and driving the wedge.
pub fn fitted(setting: &Setting<'_>, design: &Design) -> Vec<BuildStep> {
    let numbered: Vec<(usize, &Contact)> = design.contacts.iter().enumerate().collect();
    let named = |contact: &Contact, place: usize| match contact.part {
        Role::FenceRail => format!("{} of the fence rail", place + 1),
        _ => format!("{} of cleat {}", place + 1, id(design, Role::Cleat)),
    };
    let standing = numbered.iter().filter(|(_, contact)| contact.part != Role::CleatWedge);
    let on: Vec<String> = standing.map(|(place, contact)| named(contact, *place)).collect();
    let mut steps = vec![say(format!(
        "Mark the contacts as big dots on rail, cleats and wedge (from lead end / from fence edge): {}.",
        places(setting, &numbered)
    ))];
    let laid = say(format!("Lay the blank in top up, against dots {}.", on.join(", ")));
    steps.push(adding(laid, [Added::Blank]));
    if let (Some(row), Some((driven, way))) = (part(design, Role::CleatWedge), design.driven()) {
        let bounds = driven.outline.bounds();
        let number = |length: Length| setting.request.shop.ruler.number(length.nearest(setting.step()));
        let (ends, from) = if way.0.abs() > way.1.abs() {
            ((bounds.x0, bounds.x1), "lead end")
        } else {
            ((bounds.y0, bounds.y1), "fence edge")
        };
        let drive = careful(
            format!(
                "Drive the other wedge {} between the blank and the glued one, thin end towards the {}: as drawn it reaches from {} to {} from the {from}. It presses the blank against all the other contacts at once.",
                row.id,
                towards(way),
                number(ends.0),
                number(ends.1),
            ),
            "Strike a drift, never the wedge beside your fingers; hold the blank down on the base while it is driven.",
        );
        steps.push(adding(drive, wedge(row, row.places.len().saturating_sub(1))));
    }
    steps.push(careful(
        format!(
            "Test with a slip of paper: it must be gripped at every dot and nowhere farther than {} from one. Where the blank bears elsewhere first, back the wedge out, stick card at the dot until it bears there, and drive again.",
            setting.say(ASIDE)
        ),
        "A contact that does not grip lets the blank turn under the cutter, however hard the wedge is.",
    ));
    steps.push(say(
        "Tape across the wedges, or a dab of hot glue at the thick end, so that the driven one cannot shake out. A straightedge over the rails touches no cleat and no wedge.".to_owned(),
    ));
    steps
}
