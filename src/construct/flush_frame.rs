//! Rails and ends without a base, flush with both faces of the blank.

use super::assemble::{Draft, finish, place_blank, plan_trace};
use super::framed::layer_part;
use super::layout::{self, BARE_RAIL, Edges, Rails};
use super::stack::{Allowed, bare_thickness, cut_depth, demand, upper_layer};
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Joint, JointKind, Pocket, PocketKind, Role};
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::mechanics::rail::least_width;
use crate::mechanics::{N_PER_MM2_PER_PSI, NEWTONS_PER_LBF};
use crate::request::Hold;
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Clash, Conflict, Reason, Term};

/// Baseless frame.
pub struct FlushFrame;

impl Construction for FlushFrame {
    fn id(&self) -> &'static str {
        "flush-frame"
    }

    fn title(&self) -> &'static str {
        "Frame without a base, flush on both faces"
    }

    fn when(&self) -> &'static str {
        "A thick blank that leaves no room for a base, or carving on both faces in one set-up."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::HotGlue, Hold::Snug]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        vec![Attempt::of("no base", self.design(setting))]
    }
}

/// Refuses what a carrier without a floor cannot do.
pub fn needs_no_floor(setting: &Setting<'_>) -> Result<(), Conflict> {
    if setting.freed() {
        let text = "the part is cut free all round: without a base nothing holds it when it comes loose";
        return Err(Conflict::plain(Rule::FreedPartHeld, text));
    }
    if setting.cut_through() {
        return Err(Conflict::plain(Rule::FloorAfterCut, "a through cut without a base cuts the bed"));
    }
    Ok(())
}

/// Glue or screws along the blank's edges.
pub fn edge_joint(role: Role, contact: Rect, top: Length, kind: JointKind) -> (Role, Option<Role>, Joint) {
    (role, None, Joint { between: (String::new(), String::new()), contact, z0: Length::ZERO, z1: top, kind })
}

/// The reason for a thickness that is the blank's own.
pub fn blank_thickness_reason(setting: &Setting<'_>) -> Reason {
    Reason {
        dimension: "carrier.thickness".to_owned(),
        value: setting.thickness,
        terms: vec![Term { label: "blank".to_owned(), amount: setting.thickness, rule: Option::None }],
        decided_by: Option::None,
        runner_up: Option::None,
    }
}

impl FlushFrame {
    fn design(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        setting.needs_rectangle()?;
        setting.needs_plain_top()?;
        needs_no_floor(setting)?;
        may_not_move(setting, setting.moves)?;
        let pinched = setting.hold == Hold::Snug;
        let along = layout::along(setting, Edges::Fitted, None)?;
        let stiff = pinched.then(|| pinched_rail(setting)).flatten();
        let rails = Rails { least: BARE_RAIL, carries_strip: true, bite: Option::None, stiff, along: None };
        let across = layout::across(setting, Edges::Fitted, rails)?;
        let top = setting.thickness;
        bare_thickness(setting, top)?;
        if pinched {
            screws_clear(setting)?;
        }
        let layer = upper_layer(setting, top, Allowed::Lower)?;
        bare_thickness(setting, layer.height)?;
        let (depth_below_top, waived) = cut_depth(setting, top, Length::ZERO, false)?;
        let (length, width) = (along.total(), across.total());
        let pocket = Rect::sized(along.near(), across.near(), along.pocket(), across.pocket());
        let (zero, z) = (Length::ZERO, (Length::ZERO, layer.height));
        let parts = vec![
            layer_part("rail", Role::FenceRail, &layer, Rect::new(zero, zero, length, pocket.y0), z),
            layer_part("rail", Role::FarRail, &layer, Rect::new(zero, pocket.y1, length, width), z),
            layer_part("end", Role::LeadEnd, &layer, Rect::new(zero, pocket.y0, pocket.x0, pocket.y1), z),
            layer_part("end", Role::TrailEnd, &layer, Rect::new(pocket.x1, pocket.y0, length, pocket.y1), z),
        ];
        let kind = if pinched { JointKind::Pinched } else { JointKind::GlueSpots };
        let joints = vec![
            edge_joint(Role::FenceRail, Rect::new(pocket.x0, pocket.y0, pocket.x1, pocket.y0), top, kind),
            edge_joint(Role::FarRail, Rect::new(pocket.x0, pocket.y1, pocket.x1, pocket.y1), top, kind),
            edge_joint(Role::LeadEnd, Rect::new(pocket.x0, pocket.y0, pocket.x0, pocket.y1), top, kind),
            edge_joint(Role::TrailEnd, Rect::new(pocket.x1, pocket.y0, pocket.x1, pocket.y1), top, kind),
        ];
        let mut trace = plan_trace(setting, &along, &across);
        trace.reasons.push(blank_thickness_reason(setting));
        let waived: Vec<Rule> = [&along.waived[..], &across.waived, &waived].concat();
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: 0.0,
                variant: format!(
                    "{}, {}",
                    layer.material,
                    if pinched { "pinched by end screws" } else { "glue spots" }
                ),
                carrier: Extent { length, width, thickness: layer.height },
                blank: place_blank(setting, along.near(), across.near(), Length::ZERO),
                pockets: vec![Pocket {
                    outline: Outline::Rect(pocket),
                    z0: Length::ZERO,
                    z1: layer.height,
                    kind: PocketKind::Open,
                    relief: Option::None,
                }],
                parts,
                joints,
                bridge: false,
                lopsided: !(along.symmetrical && across.symmetrical),
                pocket_cutter: Option::None,
                waived,
                trace,
                depth_below_top,
                assembly: Assembly::Trimmed,
                wall: top,
                glued_edges: !pinched,
            },
        )
    }
}

/// Refuses what is tied along the feed and across it, and leaves the blank no room or is glued to it, for a blank
/// that moves so much each way.
pub fn may_not_move(setting: &Setting<'_>, [along, across]: [Length; 2]) -> Result<(), Conflict> {
    let most = Length::inches(1, 64);
    let moves = along.max(across);
    if moves <= most {
        return Ok(());
    }
    let text = format!(
        "the blank swells or shrinks by {} while the carrier is kept, {} allowed where it is glued in or has no room: give it a \
         pocket with room and another hold, or carve it the same day",
        setting.say_depth(moves.up(setting.request.depth_step())),
        setting.say_depth(most)
    );
    let shortfall = moves - most;
    Err(Conflict { clashes: vec![Clash { rule: Rule::MovementFree, text, amount: shortfall }], shortfall })
}

/// Refuses end screws that would lie in the cutter's path: the cut has to keep off the blank's edges.
fn screws_clear(setting: &Setting<'_>) -> Result<(), Conflict> {
    let nearest = setting.margins.into_iter().min().unwrap_or(Length::ZERO);
    let keep_off = setting.reach() + Length::inches(1, 4);
    demand(setting, Rule::MetalPlan, "end screws beside the cut", &[("margin", nearest)], keep_off, false)
}

/// Width a rail needs that is held only at its ends, pressed by the far guide between them.
fn pinched_rail(setting: &Setting<'_>) -> Option<Length> {
    let estimates = &setting.request.shop.estimates;
    least_width(
        estimates.guide_force_lbf * NEWTONS_PER_LBF,
        setting.length.nominal,
        estimates.loads.rail_elasticity_psi * N_PER_MM2_PER_PSI,
        setting.thickness,
        estimates.loads.most_give,
    )
}
