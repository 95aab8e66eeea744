//! Rails and ends on a base: shared by all constructions that are built up this way.

use super::assemble::{Draft, finish, hold_words, place_blank, plan_trace};
use super::layout::{self, Edges, Line, Rails};
use super::repeat_loading::add_keepers;
use super::shimmed::shims;
use super::stack::{self, Allowed, Heights, UpperLayer};
use super::stiff::{self, Field};
use super::taper_in_thickness::wedge_shims;
use super::{Construction, Setting};
use crate::design::{Design, Extent, Grain, Joint, JointKind, Part, Place, Pocket, PocketKind, Role};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Hold, Shape, Stock};
use crate::rules::Rule;
use crate::saw::{Assembly, panel_parent};
use crate::trace::Conflict;

/// What distinguishes one framed construction from another.
#[derive(Debug, Clone, Copy)]
pub struct Framed {
    /// Least rail.
    pub rail: Length,
    /// How far the rails stand above a flush blank's height: zero for flush.
    pub above: Length,
    /// Whether thicker stock may be used with packing under the blank.
    pub may_pack: bool,
    /// Blocks in the corners of a square pocket for a disc.
    pub corner_blocks: bool,
}

/// A part with one place, its letter not yet given.
#[expect(clippy::too_many_arguments, reason = "a part is these things, and all callers name them in this order")]
pub fn part(
    name: &str,
    role: Role,
    material: &str,
    density: f64,
    layers: u32,
    grain: Grain,
    rect: Rect,
    z: (Length, Length),
) -> Part {
    // Length runs with the grain; for panels along the feed. All parts here lie along the feed.
    let size = Extent { length: rect.length(), width: rect.width(), thickness: z.1 - z.0 };
    Part {
        id: String::new(),
        name: name.to_owned(),
        role,
        material: material.to_owned(),
        size,
        grain,
        density,
        layers,
        places: vec![Place { outline: Outline::Rect(rect), z0: z.0, z1: z.1, voids: Vec::new() }],
        remark: None,
    }
}

/// The board or base made of `stock`.
pub fn stock_part(name: &str, role: Role, stock: &Stock, rect: Rect, z: (Length, Length)) -> Part {
    part(name, role, &stock.name, stock.density, stock.layers, Grain::None, rect, z)
}

/// A rail or end made of the upper layer.
pub fn layer_part(name: &str, role: Role, layer: &UpperLayer, rect: Rect, z: (Length, Length)) -> Part {
    let grain = if layer.sheet { Grain::None } else { Grain::AlongFeed };
    part(name, role, &layer.material, layer.density, layer.layers, grain, rect, z)
}

/// Refuses a stock on hand whose piece is too small for a panel of this size.
fn panel_fits(setting: &Setting<'_>, stock: &Stock, length: Length, width: Length) -> Result<(), Conflict> {
    let (Some(long), Some(wide), true) = (stock.length, stock.width, stock.on_hand()) else { return Ok(()) };
    let (need_long, need_wide) = panel_parent(setting.request, length, width);
    let waste = Length::inches(1, 2);
    let (need_long, need_wide) = (need_long + waste, need_wide + waste);
    if need_long.max(need_wide) <= long.max(wide) && need_long.min(need_wide) <= long.min(wide) {
        return Ok(());
    }
    let text = format!(
        "{} on hand is {} x {}; {} x {} is needed with waste",
        stock.name,
        setting.say(long),
        setting.say(wide),
        setting.say(need_long),
        setting.say(need_wide)
    );
    Err(Conflict::plain(Rule::StockExists, text))
}

/// The best stock for a panel of this plan that carries `upper` above its floor (or, `blind`, has a
/// pocket that deep sunk into it), and the heights it gives.
pub fn best_panel<'a>(
    setting: &Setting<'a>,
    field: &Field,
    upper: Length,
    blind: bool,
) -> Result<(&'a Stock, Heights), Conflict> {
    stack::best_stock(setting, |stock| {
        panel_fits(setting, stock, field.size.0, field.size.1)?;
        let mut heights = stack::floor_and_top(setting, stock, upper, blind, field.opening)?;
        if stiff::too_soft(setting, field, stock, &heights) {
            heights.waived.push(Rule::CarrierStiff);
        }
        Ok((heights.waived.len(), heights))
    })
}

/// Width, stock and heights, as `laid` makes them of the rails; where no stock is stiff enough, again with
/// wider rails, if any are wide enough and go into the machine.
pub fn stiffened<'a>(
    setting: &Setting<'_>,
    rails: Rails,
    laid: impl Fn(Rails) -> Result<(Line, &'a Stock, Heights, Field), Conflict>,
) -> Result<(Line, &'a Stock, Heights), Conflict> {
    let (across, stock, heights, field) = laid(rails)?;
    if heights.waived.contains(&Rule::CarrierStiff)
        && let Some(wider) = stiff::wider_rail(setting, &field, stock, &heights)
        && let Ok((across, stock, heights, _)) = laid(Rails { along: Some(wider), ..rails })
    {
        return Ok((across, stock, heights));
    }
    Ok((across, stock, heights))
}

/// Sizes and draws a framed carrier.
pub fn design(setting: &Setting<'_>, construction: &dyn Construction, framed: Framed) -> Result<Design, Conflict> {
    let along = layout::along(setting, Edges::Loose, None)?;
    let height = stack::flush_depth(setting);
    // Above a recessed blank the rails may only come out higher, never lower.
    let height = if framed.above > Length::ZERO {
        (setting.thickness + setting.adhesive + framed.above).up(setting.request.depth_step())
    } else {
        height
    };
    let allowed = match framed {
        Framed { above, .. } if above > Length::ZERO => Allowed::Higher,
        Framed { may_pack: true, .. } => Allowed::LowerOrPacked,
        _ => Allowed::Lower,
    };
    let layer = stack::upper_layer(setting, height, allowed)?;
    let rails = Rails { least: framed.rail, carries_strip: false, bite: None, stiff: None, along: None };
    let laid = |rails: Rails| -> Result<(Line, &Stock, Heights, Field), Conflict> {
        let across = layout::across(setting, Edges::Loose, rails)?;
        let field = Field::of(&along, &across, Some(layer.elasticity));
        let (base, heights) = best_panel(setting, &field, layer.height, false)?;
        Ok((across, base, heights, field))
    };
    let (across, base, heights) = stiffened(setting, rails, laid)?;
    let (length, width) = (along.total(), across.total());
    let floor = heights.floor + layer.packing;
    let (depth_below_top, flute) = stack::cut_depth(setting, heights.top, floor, framed.above > Length::ZERO)?;

    let (lead, fence) = (along.near(), across.near());
    let pocket = Rect::sized(lead, fence, along.pocket(), across.pocket());
    let z = (heights.floor, heights.top);
    let mut parts = vec![
        stock_part(
            "base",
            Role::Base,
            base,
            Rect::new(Length::ZERO, Length::ZERO, length, width),
            (Length::ZERO, heights.floor),
        ),
        layer_part("rail", Role::FenceRail, &layer, Rect::new(Length::ZERO, Length::ZERO, length, fence), z),
        layer_part("rail", Role::FarRail, &layer, Rect::new(Length::ZERO, pocket.y1, length, width), z),
        layer_part("end", Role::LeadEnd, &layer, Rect::new(Length::ZERO, fence, lead, pocket.y1), z),
        layer_part("end", Role::TrailEnd, &layer, Rect::new(pocket.x1, fence, length, pocket.y1), z),
    ];
    if layer.packing > Length::ZERO {
        let blank = Rect::sized(lead, fence, setting.length.nominal, setting.width.nominal);
        let mut packing =
            part("packing", Role::Packing, "card or veneer", 800.0, 1, Grain::None, blank, (heights.floor, floor));
        if framed.corner_blocks {
            for place in &mut packing.places {
                place.outline = super::disc_nest::round(&blank);
            }
        }
        packing.remark = Some("cut with a knife; glue to the base".to_owned());
        parts.push(packing);
    }
    let seat = setting.seat.as_ref().map(|seat| seat.moved(lead, fence));
    parts.extend(seat.and_then(|seat| match setting.request.blank.slope {
        Some(_) => wedge_shims(setting, &seat, floor),
        None => shims(&seat, floor),
    }));
    if framed.corner_blocks {
        parts.push(corner_blocks(setting, &layer, pocket, z));
    }
    if setting.hold == Hold::Keeper {
        add_keepers(setting, &mut parts, pocket, z)?;
    }
    for part in parts
        .iter_mut()
        .filter(|part| !matches!(part.role, Role::Base | Role::Packing | Role::Shim | Role::WedgeShim | Role::Keeper))
    {
        if layer.planed && part.remark.is_none() {
            part.remark = Some(format!("planed to {}", setting.say_depth(layer.height)));
        }
    }
    let joints = frame_joints(pocket, length, width, heights.floor, heights.top);
    let mut trace = plan_trace(setting, &along, &across);
    stack::trace_heights(setting, &heights, base, "rail-height", framed.above, &mut trace);
    let mut waived: Vec<Rule> = [&along.waived[..], &across.waived, &heights.waived, &flute].concat();
    if !matches!(setting.hold, Hold::Wedge | Hold::Keeper) && play_is_wide(setting, &pocket) {
        waived.push(Rule::Play);
    }
    let wall = if framed.above > Length::ZERO { layer.height } else { heights.top - floor };
    finish(
        setting,
        construction,
        Draft {
            contacts: Vec::new(),
            turn: 0.0,
            variant: format!("{} on {}, {}", layer.material, base.name, hold_words(setting.hold)),
            carrier: Extent { length, width, thickness: heights.top },
            blank: place_blank(setting, lead, fence, floor + setting.adhesive),
            pockets: vec![Pocket {
                outline: Outline::Rect(pocket),
                z0: floor,
                z1: heights.top,
                kind: PocketKind::OnBase,
                relief: None,
            }],
            parts,
            joints,
            bridge: framed.above > Length::ZERO,
            lopsided: !(along.symmetrical && across.symmetrical),
            pocket_cutter: None,
            waived,
            trace,
            depth_below_top,
            assembly: Assembly::Trimmed,
            wall,
            glued_edges: false,
        },
    )
}

/// Whether the play round the smallest blank is more than a shim fills.
pub fn play_is_wide(setting: &Setting<'_>, pocket: &Rect) -> bool {
    let most = Length::inches(1, 8);
    pocket.length() - setting.length.low() > most || pocket.width() - setting.width.low() > most
}

/// Joints of a frame on a base: rails and ends on the base, ends against the rails.
pub fn frame_joints(
    pocket: Rect,
    length: Length,
    width: Length,
    floor: Length,
    top: Length,
) -> Vec<(Role, Option<Role>, Joint)> {
    let glue = |a: Role, b: Role, contact: Rect, z0: Length, z1: Length, kind: JointKind| {
        (a, Some(b), Joint { between: (String::new(), String::new()), contact, z0, z1, kind })
    };
    let zero = Length::ZERO;
    let pegs = JointKind::GlueAndPegs;
    vec![
        glue(Role::FenceRail, Role::Base, Rect::new(zero, zero, length, pocket.y0), floor, floor, pegs),
        glue(Role::FarRail, Role::Base, Rect::new(zero, pocket.y1, length, width), floor, floor, pegs),
        glue(Role::LeadEnd, Role::Base, Rect::new(zero, pocket.y0, pocket.x0, pocket.y1), floor, floor, pegs),
        glue(Role::TrailEnd, Role::Base, Rect::new(pocket.x1, pocket.y0, length, pocket.y1), floor, floor, pegs),
        glue(
            Role::LeadEnd,
            Role::FenceRail,
            Rect::new(zero, pocket.y0, pocket.x0, pocket.y0),
            floor,
            top,
            JointKind::Glue,
        ),
        glue(
            Role::LeadEnd,
            Role::FarRail,
            Rect::new(zero, pocket.y1, pocket.x0, pocket.y1),
            floor,
            top,
            JointKind::Glue,
        ),
        glue(
            Role::TrailEnd,
            Role::FenceRail,
            Rect::new(pocket.x1, pocket.y0, length, pocket.y0),
            floor,
            top,
            JointKind::Glue,
        ),
        glue(
            Role::TrailEnd,
            Role::FarRail,
            Rect::new(pocket.x1, pocket.y1, length, pocket.y1),
            floor,
            top,
            JointKind::Glue,
        ),
    ]
}

/// Triangles that fill the corners a disc leaves in a square pocket, short of the largest disc.
fn corner_blocks(setting: &Setting<'_>, layer: &UpperLayer, pocket: Rect, z: (Length, Length)) -> Part {
    let side = pocket.length().min(pocket.width()).to_mm();
    let radius = setting.length.high().to_mm() / 2.0;
    // The disc touches lead and fence walls. Nearest corner: its centre is one radius from both
    // walls, so the corner lies (sqrt 2 - 1) radii off the disc, and a triangle of leg t reaches
    // t / sqrt 2 from the corner. The other corners leave more room.
    let leg = (std::f64::consts::SQRT_2 - 1.0) * radius * std::f64::consts::SQRT_2;
    let leg = Length::from_mm(leg.min(side / 2.0)).unwrap_or(Length::ZERO);
    let leg = (leg - setting.step()).down(setting.step());
    let Rect { x0, y0, x1, y1 } = pocket;
    let triangles = [
        [Point::new(x0, y0), Point::new(x0 + leg, y0), Point::new(x0, y0 + leg)],
        [Point::new(x1, y0), Point::new(x1, y0 + leg), Point::new(x1 - leg, y0)],
        [Point::new(x1, y1), Point::new(x1 - leg, y1), Point::new(x1, y1 - leg)],
        [Point::new(x0, y1), Point::new(x0, y1 - leg), Point::new(x0 + leg, y1)],
    ];
    let long = Length::from_mm(leg.to_mm() * std::f64::consts::SQRT_2).unwrap_or(leg).down(setting.step());
    let height = Length::from_mm(leg.to_mm() / std::f64::consts::SQRT_2).unwrap_or(leg).down(setting.step());
    Part {
        id: String::new(),
        name: "corner block".to_owned(),
        role: Role::CornerBlock,
        material: layer.material.clone(),
        size: Extent { length: long, width: height, thickness: z.1 - z.0 },
        grain: if layer.sheet { Grain::None } else { Grain::AlongFeed },
        density: layer.density,
        layers: layer.layers,
        places: triangles
            .into_iter()
            .map(|triangle| Place { outline: Outline::Polygon(triangle.to_vec()), z0: z.0, z1: z.1, voids: Vec::new() })
            .collect(),
        remark: Some(format!("triangle, legs {}", setting.say(leg))),
    }
}

/// Whether the blank is a disc.
pub fn is_disc(setting: &Setting<'_>) -> bool {
    setting.request.blank.shape == Shape::Disc
}
