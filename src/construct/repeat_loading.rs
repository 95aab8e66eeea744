//! Rails on a base with a fixed datum corner and off-centre keepers, for a blank after another.

use super::framed::{self, Framed};
use super::layout::WALL;
use super::stack::demand;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Grain, Keeper, Part, Place, Role, Void, VoidKind};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Hold, Through};
use crate::rules::Rule;
use crate::trace::Conflict;

/// Diameter of a keeper: six times twice its offset, so that it locks itself by friction. Judgement.
const ROUND: Length = Length::inches(3, 2);
/// Room round a keeper in its notch. Common practice, no source.
const AIR: Length = Length::inches(1, 16);
/// Keepers stand this far below the top plane. Common practice, no source.
const BELOW: Length = Length::inches(1, 16);
/// Travel kept in hand for wear. Common practice, no source.
const RESERVE: Length = Length::inches(1, 32);
/// Wood under the hole for a peg. Common practice, no source.
const UNDER: Length = Length::inches(1, 8);
/// Rails lower than this leave no height for a keeper. Common practice, no source.
const LOWEST: Length = Length::inches(3, 8);
/// Depth of the notch behind the pocket's wall.
pub const NOTCH: Length = Length::inches(25, 16);
/// Room for loading, over the largest blank. Common practice, no source.
pub const LOADING: Length = Length::inches(1, 8);
/// From so many blanks on it is worth a mention.
const MANY: u32 = 10;

/// Carrier that is loaded over and over.
pub struct RepeatLoading;

impl Construction for RepeatLoading {
    fn id(&self) -> &'static str {
        "repeat-loading"
    }

    fn title(&self) -> &'static str {
        "Rails on a base with keepers, loaded again and again"
    }

    fn when(&self) -> &'static str {
        "Ten blanks alike or more, carved one after the other in the same carrier."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Keeper]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        if setting.request.blank.count < MANY && setting.request.construction.is_none() {
            return Vec::new();
        }
        vec![Attempt::of("keepers at the trail and far sides", self.design(setting))]
    }
}

impl RepeatLoading {
    fn design(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        setting.needs_rectangle()?;
        setting.needs_plain_top()?;
        if setting.request.machine.takes_whole_face() {
            let text = "knives and drums take the keepers down with the blank";
            return Err(Conflict::plain(Rule::KeeperClear, text));
        }
        if setting.request.carve.through == Through::AllRound {
            let text = "the part is cut free all round and keepers hold only what is left of the blank";
            return Err(Conflict::plain(Rule::FreedPartHeld, text));
        }
        let [_, trail, _, far] = setting.margins;
        for (side, margin) in [("trail", trail), ("far", far)] {
            let subject = format!("uncarved at the {side} side, beside the keeper");
            demand(setting, Rule::KeeperClear, &subject, &[("margin", margin)], setting.reach(), false)?;
        }
        // Both rails alike: ripped at one setting, and the blank in the middle.
        let framed = Framed { rail: WALL + NOTCH, above: Length::ZERO, may_pack: true, corner_blocks: false };
        framed::design(setting, self, framed)
    }
}

/// Notches the far rail and the trail end for the keepers, and adds these, parked.
pub fn add_keepers(
    setting: &Setting<'_>,
    parts: &mut Vec<Part>,
    pocket: Rect,
    (floor, top): (Length, Length),
) -> Result<(), Conflict> {
    let wide = ROUND + Keeper::OFF * 2 + AIR * 2;
    let least = wide + Length::INCH;
    for (subject, size) in [("pocket length", pocket.length()), ("pocket width", pocket.width())] {
        demand(setting, Rule::KeeperClear, &format!("{subject} for a notch"), &[("pocket", size)], least, false)?;
    }
    demand(setting, Rule::KeeperClear, "rails beside the keepers", &[("rail height", top - floor)], LOWEST, false)?;
    for (subject, room, measured) in
        [("along", pocket.length(), setting.length), ("across", pocket.width(), setting.width)]
    {
        let terms = [("pocket", room), ("smallest blank", -measured.low()), ("reserve", RESERVE)];
        demand(setting, Rule::KeeperTravel, &format!("keeper's way {subject}"), &terms, Keeper::OFF * 2, true)?;
    }
    let step = setting.step();
    let from = |near: Length, far: Length| near + (far - near - wide).half().down(step);
    let notches = [
        (Role::TrailEnd, Rect::sized(pocket.x1, from(pocket.y0, pocket.y1), NOTCH, wide)),
        (Role::FarRail, Rect::sized(from(pocket.x0, pocket.x1), pocket.y1, wide, NOTCH)),
    ];
    let mut keepers: Vec<Place> = Vec::new();
    for (role, notch) in notches {
        for part in parts.iter_mut().filter(|part| part.role == role) {
            part.name = if role == Role::FarRail { "keeper rail" } else { "keeper end" }.to_owned();
            for place in &mut part.places {
                let outline = Outline::Rect(notch);
                place.voids.push(Void { outline, z0: floor, z1: top, kind: VoidKind::KeeperNotch });
            }
        }
        // Parked it touches the line of the pocket's wall from outside.
        let middle = notch.centre();
        let centre = if role == Role::TrailEnd {
            Point::new(pocket.x1 + ROUND.half(), middle.y)
        } else {
            Point::new(middle.x, pocket.y1 + ROUND.half())
        };
        let outline = Outline::Disc { centre, diameter: ROUND };
        keepers.push(Place { outline, z0: floor, z1: top - BELOW, voids: Vec::new() });
    }
    // The peg stands off the parked keeper's middle, on the side of the pocket.
    let peg = Keeper::peg(setting.unit());
    let bored = |pivot: Point, z0: Length, z1: Length| {
        let outline = Outline::Disc { centre: pivot, diameter: peg };
        Void { outline, z0, z1, kind: VoidKind::PegHole }
    };
    demand(setting, Rule::KeeperClear, "base for a peg", &[("base", floor)], Keeper::PEG_DEEP + UNDER, false)?;
    for place in &mut keepers {
        let parked = place.outline.bounds().centre();
        let trail = parked.x > pocket.x1;
        let pivot = if trail {
            Point::new(parked.x - Keeper::OFF, parked.y)
        } else {
            Point::new(parked.x, parked.y - Keeper::OFF)
        };
        place.voids.push(bored(pivot, place.z0, place.z1));
        for base in parts.iter_mut().filter(|part| part.role == Role::Base).flat_map(|part| &mut part.places) {
            base.voids.push(bored(pivot, floor - Keeper::PEG_DEEP, floor));
        }
    }
    parts.push(Part {
        id: String::new(),
        name: "keeper".to_owned(),
        role: Role::Keeper,
        material: format!("hardwood rod, {} thick", setting.say(ROUND)),
        size: Extent { length: ROUND, width: ROUND, thickness: top - BELOW - floor },
        grain: Grain::None,
        density: 700.0,
        layers: 1,
        places: keepers,
        remark: Some("slice of the rod".to_owned()),
    });
    Ok(())
}
