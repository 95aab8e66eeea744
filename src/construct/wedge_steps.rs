//! Building and loading a carrier with wedges, in words.

use super::Setting;
use super::seat::ASIDE;
use super::steps::added;
use crate::design::{Added, BuildStep, Contact, Design, Part, Role, turn_words};
use crate::geometry::closure::{self, form_closure};
use crate::geometry::path::to_mm;
use crate::length::Length;
use crate::rules::Rule;
use crate::saw::{Assembly, end_over};

pub(super) fn say(text: String) -> BuildStep {
    BuildStep { text, caution: None, adds: Vec::new() }
}

pub(super) fn careful(text: String, caution: &str) -> BuildStep {
    BuildStep { text, caution: Some(caution.to_owned()), adds: Vec::new() }
}

/// The same step with what it adds.
pub(super) fn adding(step: BuildStep, added: impl IntoIterator<Item = Added>) -> BuildStep {
    BuildStep { adds: added.into_iter().collect(), ..step }
}

/// One wedge of a pair: the glued one or the driven one.
pub(super) fn wedge(row: &Part, place: usize) -> [Added; 1] {
    [Added::Part { id: row.id.clone(), place }]
}

pub(super) fn part(design: &Design, role: Role) -> Option<&Part> {
    design.parts.iter().find(|part| part.role == role)
}

pub(super) fn id(design: &Design, role: Role) -> &str {
    // Equal rails share one row.
    let twin = if role == Role::FarRail { Role::FenceRail } else { role };
    part(design, role).or_else(|| part(design, twin)).map_or("", |part| part.id.as_str())
}

/// Places of contacts, from lead end / from fence edge.
pub(super) fn places(setting: &Setting<'_>, contacts: &[(usize, &Contact)]) -> String {
    let number = |length: Length| setting.request.shop.ruler.number(length.nearest(setting.step()));
    let say = |(place, contact): &(usize, &Contact)| {
        format!("{} at {} / {}", place + 1, number(contact.at.x), number(contact.at.y))
    };
    contacts.iter().map(say).collect::<Vec<_>>().join("; ")
}

/// Rails, bars and the glued wedges on the base.
pub fn built(setting: &Setting<'_>, design: &Design) -> Vec<BuildStep> {
    let Some(room) = design.pockets.first().map(|pocket| pocket.outline.bounds()) else { return Vec::new() };
    let over = end_over(setting.request, Assembly::Trimmed);
    let mut steps = Vec::new();
    if design.turn != 0.0 {
        steps.push(say(format!(
            "The blank is loaded {}, seen from above, from how it was drawn; turn the artwork with it.",
            turn_words(design.turn)
        )));
    }
    let base = id(design, Role::Base);
    let first = careful(
        format!(
            "Glue fence rail {} to base {base} flush with its fence edge; check with a straightedge. Wooden pegs from below, none in the no-metal area and none in the reference strip.",
            id(design, Role::FenceRail)
        ),
        "No metal where the cutter runs: a brad in its path bursts the cutter.",
    );
    steps.push(adding(first, added::of(design, &[Role::Base]).chain(added::fence_rail(design))));
    let frame = say(format!(
        "Everything stands {} over at each end until the last trim. From the base's lead end as it is now mark the faces of the bars at {} and {}, and from the fence edge the face of the far rail at {}. Glue lead bar {}, far rail {} and trail bar {} to these marks, square to the fence rail and parallel to it: not to the blank, the wedges take up the difference.",
        setting.say(over),
        setting.say(room.x0 + over),
        setting.say(room.x1 + over),
        setting.say(room.y1),
        id(design, Role::LeadEnd),
        id(design, Role::FarRail),
        id(design, Role::TrailEnd)
    ));
    let rest = added::lead_end(design).chain(added::trail_end(design)).chain(added::far_rail(design));
    steps.push(adding(frame, rest));
    for (role, along, from, beside) in [
        (Role::FarWedge, "lead end", "base's lead end as it is now", "far rail"),
        (Role::TrailWedge, "fence edge", "fence edge", "trail bar"),
    ] {
        let Some((row, glued)) = part(design, role).and_then(|row| Some((row, row.places.first()?))) else { continue };
        let bounds = glued.outline.bounds();
        let (start, end) =
            if role == Role::FarWedge { (bounds.x0 + over, bounds.x1 + over) } else { (bounds.y0, bounds.y1) };
        let glued_on = say(format!(
            "Glue one wedge {} against the {beside}, thick end towards the {along}: from {} to {} from the {from}. Its slope stands square to the base, or leans over it a little: then the driven wedge does not climb.",
            row.id,
            setting.say(start),
            setting.say(end)
        ));
        steps.push(adding(glued_on, wedge(row, 0)));
    }
    steps
}

/// Loading the blank and driving the wedges.
pub fn fitted(setting: &Setting<'_>, design: &Design) -> Vec<BuildStep> {
    let numbered: Vec<(usize, &Contact)> = design.contacts.iter().enumerate().collect();
    let mut steps = vec![say(format!(
        "Mark the contacts as big dots on rails and bars (from lead end / from fence edge): {}.",
        places(setting, &numbered)
    ))];
    let on_wedge = |contact: &Contact| matches!(contact.part, Role::FarWedge | Role::TrailWedge);
    let names = |wanted: &dyn Fn(&Contact) -> bool| {
        let wanted = numbered.iter().filter(|(_, contact)| wanted(contact));
        wanted.map(|(place, _)| (place + 1).to_string()).collect::<Vec<_>>().join(", ")
    };
    let laid = say(format!(
        "Lay the blank in top up, on dots {} of the fence rail and {} of the lead bar.",
        names(&|contact| contact.part == Role::FenceRail),
        names(&|contact| contact.part == Role::LeadEnd)
    ));
    steps.push(adding(laid, [Added::Blank]));
    let test = |dots: String, on: &str| {
        say(format!(
            "Test with a slip of paper: it must be gripped at contact {dots} and nowhere farther than {} from it. Where the blank bears elsewhere first, stick card on {on} at the dot until it bears there.",
            setting.say(ASIDE)
        ))
    };
    let first = names(&|contact| contact.packed && !on_wedge(contact));
    if !first.is_empty() {
        steps.push(test(first, "the rail or bar"));
    }
    let driven = |role: Role| part(design, role).and_then(|row| Some((row, row.places.last()?.outline.bounds())));
    if let (Some((far, at_far)), Some((trail, at_trail))) = (driven(Role::FarWedge), driven(Role::TrailWedge)) {
        let drive = careful(
            format!(
                "FIRST drive the other wedge {} between the blank and the far pair, thin end towards the lead end: as drawn its thick end stands {} from the lead end. With the fence rail it now holds the blank by friction alone.",
                far.id,
                setting.say(at_far.x1.nearest(setting.step()))
            ),
            "Strike a drift, never the wedge beside your fingers; hold the blank down on the base while it is driven.",
        );
        steps.push(adding(drive, wedge(far, far.places.len().saturating_sub(1))));
        let more = if design.waived.contains(&Rule::DriveOrder) {
            "; ONLY UNTIL IT GRIPS, it pushes far off the line of the lead contact"
        } else {
            ""
        };
        let drive = careful(
            format!(
                "THEN drive the other wedge {} at the trail end, thin end towards the fence edge, thick end {} from the fence edge, {}{more}.",
                trail.id,
                setting.say(at_trail.y1.nearest(setting.step())),
                gentler(design)
            ),
            "Driven too hard it lifts the blank off a contact: try the slip of paper at every dot again.",
        );
        steps.push(adding(drive, wedge(trail, trail.places.len().saturating_sub(1))));
        let last = names(&|contact| contact.packed && on_wedge(contact));
        if !last.is_empty() {
            steps.push(test(last, "the wedge, and drive it again,"));
        }
        steps.push(say(
            "Tape across each pair, or a dab of hot glue at its thick end, so that it cannot shake out. A straightedge over the rails touches no wedge.".to_owned(),
        ));
    }
    steps
}

/// How much more gently than the far wedge the trail wedge is driven for every contact to bear.
fn gentler(design: &Design) -> String {
    let push = |part: Role| match part {
        Role::FenceRail => (0.0, 1.0),
        Role::LeadEnd => (1.0, 0.0),
        Role::FarWedge => (0.0, -1.0),
        _ => (-1.0, 0.0),
    };
    let contacts: Vec<closure::Contact> = design
        .contacts
        .iter()
        .map(|contact| closure::Contact { at: to_mm(contact.at), push: push(contact.part) })
        .collect();
    let of = |pushes: &[f64], role: Role| {
        design.contacts.iter().zip(pushes).find(|(contact, _)| contact.part == role).map(|(_, push)| *push)
    };
    let ratio = form_closure(&contacts).and_then(|closure| {
        Some(of(&closure.pushes, Role::FarWedge)? / of(&closure.pushes, Role::TrailWedge)?.max(f64::MIN_POSITIVE))
    });
    match ratio {
        // Finer differences a hand does not feel.
        Some(ratio) if ratio >= 3.5 => "only a quarter as hard as the first".to_owned(),
        Some(ratio) if ratio >= 2.5 => "only a third as hard as the first".to_owned(),
        Some(ratio) if ratio >= 1.5 => "only half as hard as the first".to_owned(),
        _ => "no harder than the first".to_owned(),
    }
}
