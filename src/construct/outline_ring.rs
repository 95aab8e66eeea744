//! Nests for outlines sawn through a board, the ring glued on a base: for shops that saw curves but sink no
//! pockets.
//!
//! The nest is an inside cut. A jigsaw makes it from a hole bored in the waste, the board clamped down and
//! whole all round. A band saw could only come in through an edge, and a ring closed over that kerf is a
//! kerf narrower and no longer the shape of the template: it is not offered.

use super::assemble::{Draft, finish, hold_words, place_blank, plan_trace};
use super::framed::{self, best_panel, play_is_wide, stock_part};
use super::layout::{self, Edges, Rails, WALL};
use super::outline_nest::Nest;
use super::stack::{self, Allowed, UpperLayer};
use super::stiff::Field;
use super::{Construction, Setting};
use crate::design::{
    Design, Extent, Grain, Joint, JointKind, Part, Pocket, PocketKind, Role, Void, VoidKind, turn_words,
};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Shape, Tool};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Materials looked at for one that is a sheet.
const MOST_CHOICES: usize = 64;

/// Refuses what no ring can be sawn for, whatever its size.
pub fn can_be_sawn(setting: &Setting<'_>) -> Result<(), Conflict> {
    setting.needs_plain_top()?;
    if setting.owns(Tool::Jigsaw) {
        return Ok(());
    }
    let text = "a ring is sawn from inside, which needs a jigsaw: a band saw would have to come in through an edge";
    Err(Conflict::plain(Rule::ToolOwned, text))
}

/// The ring and its base round a nest; `degrees` is how far the setting's blank was turned already.
pub fn design(
    setting: &Setting<'_>,
    construction: &dyn Construction,
    nest: &Nest,
    degrees: f64,
) -> Result<Design, Conflict> {
    let Shape::Outline(drawn) = &setting.request.blank.shape else {
        return Err(Conflict::plain(Rule::EdgesShaped, "the blank has a plain shape"));
    };
    let bounds = nest.path.bounds();
    let (ends, sides) = nest.bites(&bounds);
    let along = layout::along(setting, Edges::Loose, ends)?;
    let rails = Rails { least: WALL, carries_strip: false, bite: sides, stiff: None, along: None };
    let across = layout::across(setting, Edges::Loose, rails)?;
    let layer = sheet_layer(setting)?;
    let (length, width) = (along.total(), across.total());
    let (base, heights) =
        best_panel(setting, &Field::of(&along, &across, Some(layer.elasticity)), layer.height, false)?;
    let floor = heights.floor + layer.packing;
    let (depth_below_top, flute) = stack::cut_depth(setting, heights.top, floor, false)?;

    let (dx, dy) = (along.near() - bounds.x0, across.near() - bounds.y0);
    let outline = Outline::Path(nest.path.moved(dx, dy));
    let corner = drawn.path.moved(dx, dy).bounds();
    let z = (heights.floor, heights.top);
    let board = Rect::new(Length::ZERO, Length::ZERO, length, width);
    let mut ring = framed::layer_part("ring", Role::Ring, &layer, board, z);
    if let Some(place) = ring.places.first_mut() {
        let void = |outline: Outline, kind: VoidKind| Void { outline, z0: z.0, z1: z.1, kind };
        place.voids.push(void(outline.clone(), VoidKind::Pocket));
        for gap in &nest.gaps {
            let centre = Point::new(gap.x + dx, gap.y + dy);
            place.voids.push(void(Outline::Disc { centre, diameter: nest.finger }, VoidKind::FingerGap));
        }
    }
    let mut parts = vec![stock_part("base", Role::Base, base, board, (Length::ZERO, heights.floor)), ring];
    let blank = place_blank(setting, corner.x0, corner.y0, floor + setting.adhesive);
    if layer.packing > Length::ZERO {
        parts.push(packing(&blank.outline, (heights.floor, floor)));
    }
    let unnamed = (String::new(), String::new());
    let contact = Joint { between: unnamed, contact: board, z0: z.0, z1: z.0, kind: JointKind::GlueAndPegs };
    let mut trace = plan_trace(setting, &along, &across);
    stack::trace_heights(setting, &heights, base, "ring-height", Length::ZERO, &mut trace);
    trace.reasons.push(nest.reason(drawn));
    let mut waived: Vec<Rule> = [&along.waived[..], &across.waived, &heights.waived, &flute].concat();
    if play_is_wide(setting, &outline.bounds()) {
        waived.push(Rule::Play);
    }
    let turned = turn_words(degrees);
    let draft = Draft {
        contacts: Vec::new(),
        turn: degrees,
        variant: format!("ring of {} on {}, {turned}, {}", layer.material, base.name, hold_words(setting.hold)),
        carrier: Extent { length, width, thickness: heights.top },
        blank,
        pockets: vec![Pocket { outline, z0: floor, z1: heights.top, kind: PocketKind::OnBase, relief: None }],
        parts,
        joints: vec![(Role::Ring, Some(Role::Base), contact)],
        bridge: false,
        // Fed backwards, an outline is the wrong way round, however equal the ends.
        lopsided: true,
        pocket_cutter: None,
        waived,
        trace,
        depth_below_top,
        assembly: Assembly::Trimmed,
        wall: heights.top - floor,
        glued_edges: false,
    };
    finish(setting, construction, draft)
}

/// The first material for the ring that is a sheet: solid boards are not as wide as a carrier, and a ring of
/// them would break where it runs across the grain.
fn sheet_layer(setting: &Setting<'_>) -> Result<UpperLayer, Conflict> {
    let height = stack::flush_depth(setting);
    let mut choice = setting.clone();
    let last = setting.upper_choice + MOST_CHOICES;
    while choice.upper_choice < last {
        let Ok(layer) = stack::upper_layer(&choice, height, Allowed::LowerOrPacked) else { break };
        if layer.sheet {
            return Ok(layer);
        }
        choice.upper_choice += 1;
    }
    let text = format!("a ring {} high: no sheet comes near enough to it", setting.say_depth(height));
    Err(Conflict::plain(Rule::StockExists, text))
}

/// Card or veneer under the blank, in its own outline.
fn packing(outline: &Outline, z: (Length, Length)) -> Part {
    let mut part = framed::part("packing", Role::Packing, "card or veneer", 800.0, 1, Grain::None, outline.bounds(), z);
    for place in &mut part.places {
        place.outline = outline.clone();
    }
    part.remark = Some("cut with a knife round the blank; glue to the base".to_owned());
    part
}
