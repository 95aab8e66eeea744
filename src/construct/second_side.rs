//! A blank carved on one face already, laid that face down: a pocket with a ledge for its border, and
//! a deeper one under the relief.

use super::stack::demand;
use super::{Attempt, Construction, Setting, blind_pocket};
use crate::design::Design;
use crate::geometry::Rect;
use crate::length::Length;
use crate::request::{Flip, Hold, SecondSide as Carved, Through};
use crate::rules::Rule;
use crate::trace::{Clash, Conflict, Reason, Term};

/// The deeper pocket is larger than the relief by this all round. Common practice, no source.
const ASIDE: Length = Length::inches(1, 8);
/// And deeper than the relief stands out by this. Common practice, no source.
const BELOW: Length = Length::inches(1, 16);
/// Least ledge under the border. Common practice, no source.
const LEDGE: Length = Length::inches(3, 8);

/// Second side.
pub struct SecondSide;

impl Construction for SecondSide {
    fn id(&self) -> &'static str {
        "second-side"
    }

    fn title(&self) -> &'static str {
        "Carved face down on a ledge"
    }

    fn when(&self) -> &'static str {
        "One face is carved already and lies down, so that the other can be carved."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Snug, Hold::Wedge, Hold::Tape, Hold::Film, Hold::HotGlue]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        // Of a blank with no face carved this is only worth saying where it was asked for.
        if setting.request.blank.second_side.is_none() && setting.request.construction.is_none() {
            return Vec::new();
        }
        vec![Attempt::of("one board, carved face down", self.design(setting))]
    }
}

/// Room under a blank whose carved face lies down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Below {
    /// Plan of the room from the blank's datum corner, as it lies.
    pub area: Rect,
    /// How far it goes below the ledge.
    pub drop: Length,
}

impl SecondSide {
    fn design(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        let Some(carved) = &setting.request.blank.second_side else {
            return Err(Conflict::plain(Rule::ReliefClear, "no face is said to be carved already"));
        };
        if setting.request.carve.through != Through::No {
            let text = "a through cut would meet the relief pocket, where nothing backs the wood";
            return Err(Conflict::plain(Rule::FloorAfterCut, text));
        }
        let below = room(setting, carved)?;
        let laid = Setting { below: Some(below), ..setting.clone() };
        let mut design = blind_pocket::design(&laid, self)?;
        if below.drop > Length::ZERO && setting.thickness_known {
            let term = |label: &str, amount| Term { label: label.to_owned(), amount, rule: Some(Rule::ReliefClear) };
            design.trace.reasons.push(Reason {
                dimension: "relief-room.depth".to_owned(),
                value: below.drop,
                terms: vec![term("relief above the border", carved.height), term("air below it", BELOW)],
                decided_by: Some(Rule::ReliefClear),
                runner_up: None,
            });
        }
        Ok(design)
    }
}

/// The relief's rectangle turned over with the blank, grown, and its ledges checked.
fn room(setting: &Setting<'_>, carved: &Carved) -> Result<Below, Conflict> {
    let (length, width) = (setting.request.blank.length.nominal, setting.request.blank.width.nominal);
    let Rect { x0, y0, x1, y1 } = carved.relief;
    let over = match carved.flip {
        // Rolled over sideways: the same end leads, near and far change places.
        Flip::Along => Rect::new(x0, width - y1, x1, width - y0),
        // Turned end for end: lead and trail change places.
        Flip::Across => Rect::new(length - x1, y0, length - x0, y1),
    };
    // Turned with the blank by a quarter: the fence side leads, the trail end meets the fence.
    let (over, length, width) = if setting.turned {
        (Rect::new(over.y0, length - over.x1, over.y1, length - over.x0), width, length)
    } else {
        (over, length, width)
    };
    let area = if carved.height > Length::ZERO { over.grown(ASIDE) } else { over };
    for (side, ledge) in [("lead", area.x0), ("fence", area.y0), ("trail", length - area.x1), ("far", width - area.y1)]
    {
        if ledge < LEDGE {
            let text = format!(
                "{side} side: {} of border left as a ledge beside the relief pocket, {} wanted",
                setting.say(ledge.or_zero()),
                setting.say(LEDGE)
            );
            let shortfall = LEDGE - ledge;
            return Err(Conflict { clashes: vec![Clash { rule: Rule::Ledge, text, amount: shortfall }], shortfall });
        }
    }
    if carved.height > Length::ZERO {
        let cutter = setting.request.shop.pocket_cutter;
        let passage = [("room for the relief", area.length().min(area.width()))];
        demand(setting, Rule::CutterEnters, "narrowest passage", &passage, cutter + Length::inches(1, 32), false)?;
        // The round the cutter leaves in a corner, against the corner of the relief.
        let (radius, inset) = (cutter.half_up().to_mm(), (cutter.half_up() - ASIDE).or_zero().to_mm());
        if 2.0 * inset * inset > radius * radius {
            let text =
                format!("a cutter of {} leaves corners so round that the relief touches them", setting.say(cutter));
            return Err(Conflict::plain(Rule::CornerRelief, text));
        }
    }
    let drop = if carved.height > Length::ZERO { carved.height + BELOW } else { Length::ZERO };
    Ok(Below { area, drop: drop.up(setting.request.depth_step()) })
}
