//! Blind pocket sunk into one board.

use super::assemble::{Draft, finish, hold_words, place_blank, plan_trace};
use super::framed::{best_panel, play_is_wide, stiffened, stock_part};
use super::layout::{self, Edges, HALF, Line, Rails, WALL};
use super::stack::{self, Heights};
use super::stiff::Field;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Pocket, PocketKind, Relief, Role, Void, VoidKind};
use crate::geometry::relief::{bored_bite, square_diagonal_bite};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Hold, Stock, Tool};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Conflict, Trace};

/// Blind pocket in one board.
pub struct BlindPocket;

impl Construction for BlindPocket {
    fn id(&self) -> &'static str {
        "blind-pocket"
    }

    fn title(&self) -> &'static str {
        "Blind pocket in one board"
    }

    fn when(&self) -> &'static str {
        "One plain rectangle, and a tool to sink a flat pocket."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Snug, Hold::Wedge, Hold::Tape, Hold::Film, Hold::HotGlue, Hold::Screws]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        vec![Attempt::of("one board", design(setting, self))]
    }
}

/// What is common to pockets sunk into a board, straight or round.
pub struct Sunk<'a> {
    /// Layout along the feed.
    pub along: Line,
    /// Layout across it.
    pub across: Line,
    /// Board.
    pub stock: &'a Stock,
    /// Heights.
    pub heights: Heights,
    /// Deepest cut below the top plane.
    pub depth_below_top: Length,
    /// Wishes left out.
    pub waived: Vec<Rule>,
    /// Reasons.
    pub trace: Trace,
}

/// Refuses what a pocket cannot be sunk for, whatever its size.
pub fn can_be_sunk(setting: &Setting<'_>) -> Result<(), Conflict> {
    setting.needs_plain_top()?;
    if setting.sinks_pockets() {
        return Ok(());
    }
    let text = "sinking a flat pocket needs a router, the carver itself, or drill press and chisel";
    Err(Conflict::plain(Rule::ToolOwned, text))
}

/// Sizes a board with a pocket sunk into it.
pub fn sunk<'a>(setting: &Setting<'a>, bite: Option<Length>) -> Result<Sunk<'a>, Conflict> {
    sunk_biting(setting, bite, bite)
}

/// The same, what is cut beyond the pocket biting differently into ends and sides.
pub fn sunk_biting<'a>(
    setting: &Setting<'a>,
    ends: Option<Length>,
    sides: Option<Length>,
) -> Result<Sunk<'a>, Conflict> {
    can_be_sunk(setting)?;
    let along = layout::along(setting, Edges::Loose, ends)?;
    let rails = Rails { least: WALL, carries_strip: false, bite: sides, stiff: None, along: None };
    let depth = stack::flush_depth(setting);
    let laid = |rails: Rails| {
        let across = layout::across(setting, Edges::Loose, rails)?;
        let field = Field::of(&along, &across, None);
        let (stock, heights) = best_panel(setting, &field, depth, true)?;
        Ok((across, stock, heights, field))
    };
    let (across, _, _) = stiffened(setting, rails, laid)?;
    let narrowest = along.pocket().min(across.pocket());
    let opening = (along.pocket(), across.pocket());
    sunk_between(setting, along, across, narrowest, opening)
}

/// Sizes a board with pockets sunk into it, the plan laid out already; `narrowest` is the narrowest
/// passage of any pocket, `opening` the box round one.
pub fn sunk_between<'a>(
    setting: &Setting<'a>,
    along: Line,
    across: Line,
    narrowest: Length,
    opening: (Length, Length),
) -> Result<Sunk<'a>, Conflict> {
    let cutter = setting.request.shop.pocket_cutter;
    let entry = [("pocket", narrowest)];
    stack::demand(setting, Rule::CutterEnters, "narrowest passage", &entry, cutter + Length::inches(1, 32), false)?;
    let depth = stack::flush_depth(setting);
    let (stock, heights) = best_panel(setting, &Field { opening, ..Field::of(&along, &across, None) }, depth, true)?;
    let (depth_below_top, flute) = stack::cut_depth(setting, heights.top, heights.floor, false)?;
    let mut trace = plan_trace(setting, &along, &across);
    stack::trace_heights(setting, &heights, stock, "pocket.depth", Length::ZERO, &mut trace);
    let waived = [&along.waived[..], &across.waived, &heights.waived, &flute].concat();
    Ok(Sunk { along, across, stock, heights, depth_below_top, waived, trace })
}

/// What must be left of the blank over a push-out hole: no less than a pocket's floor.
const LEFT: Length = Length::inches(3, 16);

/// A hole of an inch through the floor under the pocket's middle, where it is clear of strip and cuts; none
/// under a blank that is carved so thin that it would bend into the hole, or break when it is pushed.
pub fn push_out_hole(setting: &Setting<'_>, pocket: &Rect, floor: Length) -> Option<Void> {
    // Screws leave holes enough to push it out by.
    if setting.cut_through() || setting.hold == Hold::Screws || !setting.owns(Tool::DrillPress) {
        return None;
    }
    let request = setting.request;
    if request.blank.thickness.as_ref().is_some_and(|thickness| thickness.smallest - request.carve.depth < LEFT) {
        return None;
    }
    let diameter = Length::INCH;
    let centre = pocket.centre();
    let near = centre.y - diameter.half();
    let room = pocket.length().min(pocket.width()) >= diameter * 2;
    let clear = near >= setting.request.machine.strip + Length::inches(1, 4);
    (room && clear).then_some(Void {
        outline: Outline::Disc { centre, diameter },
        z0: Length::ZERO,
        z1: floor,
        kind: VoidKind::PushOut,
    })
}

/// A board with a pocket for a rectangle, and a deeper one in its floor where the setting asks for it.
pub fn design(setting: &Setting<'_>, construction: &dyn Construction) -> Result<Design, Conflict> {
    setting.needs_rectangle()?;
    let relief = corner_relief(setting);
    let sunk = sunk(setting, relief.map(|relief| relief.bite))?;
    let Sunk { along, across, stock, heights, .. } = &sunk;
    let pocket = Rect::sized(along.near(), across.near(), along.pocket(), across.pocket());
    let (length, width) = (along.total(), across.total());
    let board = Rect::new(Length::ZERO, Length::ZERO, length, width);
    let mut part = stock_part("board", Role::Board, stock, board, (Length::ZERO, heights.top));
    let Some(place) = part.places.first_mut() else {
        return Err(Conflict::plain(Rule::StockExists, "no board"));
    };
    let outline = Outline::Rect(pocket);
    place.voids.push(Void { outline: outline.clone(), z0: heights.floor, z1: heights.top, kind: VoidKind::Pocket });
    if let Some(relief) = relief {
        for centre in relief_centres(&pocket, &relief) {
            let outline = Outline::Disc { centre, diameter: relief.diameter };
            place.voids.push(Void { outline, z0: heights.floor, z1: heights.top, kind: VoidKind::Relief });
        }
    }
    let room = setting.below.filter(|below| below.drop > Length::ZERO).map(|below| {
        let Rect { x0, y0, x1, y1 } = below.area;
        let area = Rect::new(pocket.x0 + x0, pocket.y0 + y0, pocket.x0 + x1, pocket.y0 + y1);
        (Outline::Rect(area), heights.floor - below.drop)
    });
    match &room {
        Some((area, z0)) => {
            let (outline, z0, z1) = (area.clone(), *z0, heights.floor);
            place.voids.push(Void { outline, z0, z1, kind: VoidKind::Under });
        }
        None => place.voids.extend(push_out_hole(setting, &pocket, heights.floor)),
    }
    let mut pockets = vec![Pocket { outline, z0: heights.floor, z1: heights.top, kind: PocketKind::Blind, relief }];
    if let Some((outline, z0)) = room {
        pockets.push(Pocket { outline, z0, z1: heights.floor, kind: PocketKind::Blind, relief: None });
    }
    let mut waived = sunk.waived.clone();
    if setting.hold != Hold::Wedge && play_is_wide(setting, &pocket) {
        waived.push(Rule::Play);
    }
    finish(
        setting,
        construction,
        Draft {
            contacts: Vec::new(),
            turn: 0.0,
            variant: format!("{}, {}", stock.name, hold_words(setting.hold)),
            carrier: Extent { length, width, thickness: heights.top },
            blank: place_blank(setting, along.near(), across.near(), heights.floor + setting.adhesive),
            pockets,
            parts: vec![part],
            joints: Vec::new(),
            bridge: false,
            lopsided: !(along.symmetrical && across.symmetrical),
            pocket_cutter: Some(setting.request.shop.pocket_cutter),
            waived,
            trace: sunk.trace.clone(),
            depth_below_top: sunk.depth_below_top,
            assembly: Assembly::Single,
            wall: heights.depth(),
            glued_edges: false,
        },
    )
}

/// The relief its corners need: none where the blank's own corners are rounder than the cutter.
pub fn corner_relief(setting: &Setting<'_>) -> Option<Relief> {
    let diameter = setting.request.shop.pocket_cutter;
    let radius = diameter.half_up();
    if setting.request.blank.corner_radius >= radius {
        return None;
    }
    let bored = !(setting.owns(Tool::Router) || setting.owns(Tool::Carver));
    let bite = if bored { bored_bite(diameter) } else { square_diagonal_bite(radius) };
    Some(Relief { diameter, bite, bored })
}

/// Centres of the four relief cuts.
pub fn relief_centres(pocket: &Rect, relief: &Relief) -> [Point; 4] {
    let inset = if relief.bored { Length::ZERO } else { relief.diameter.half_up() - relief.bite };
    let Rect { x0, y0, x1, y1 } = *pocket;
    [
        Point::new(x0 + inset, y0 + inset),
        Point::new(x1 - inset, y0 + inset),
        Point::new(x1 - inset, y1 - inset),
        Point::new(x0 + inset, y1 - inset),
    ]
}

const _: () = assert!(HALF.ticks() < WALL.ticks(), "a wall is thicker than what a relief may leave of it");
