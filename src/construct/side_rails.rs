//! Side rails only: the blank is long enough, but too narrow or crooked at its edges.

use super::assemble::{Draft, finish, place_blank, plan_trace};
use super::flush_frame::{blank_thickness_reason, edge_joint, needs_no_floor};
use super::framed::layer_part;
use super::layout::{self, BARE_RAIL, Edges, Rails, along_bare};
use super::stack::{Allowed, bare_thickness, cut_depth, upper_layer};
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, JointKind, Pocket, PocketKind, Role};
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::request::Hold;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Side rails.
pub struct SideRails;

impl Construction for SideRails {
    fn id(&self) -> &'static str {
        "side-rails"
    }

    fn title(&self) -> &'static str {
        "Rails along both sides"
    }

    fn when(&self) -> &'static str {
        "Long enough with waste at both ends, but too narrow."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::HotGlue]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        vec![Attempt::of("no ends, no base", self.design(setting))]
    }
}

impl SideRails {
    fn design(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        setting.needs_rectangle()?;
        setting.needs_plain_top()?;
        needs_no_floor(setting)?;
        let along = along_bare(setting)?;
        let rails = Rails { least: BARE_RAIL, carries_strip: true, bite: None, stiff: None, along: None };
        let across = layout::across(setting, Edges::Fitted, rails)?;
        let top = setting.thickness;
        bare_thickness(setting, top)?;
        let layer = upper_layer(setting, top, Allowed::Lower)?;
        bare_thickness(setting, layer.height)?;
        let (depth_below_top, waived) = cut_depth(setting, top, Length::ZERO, false)?;
        let (length, width) = (along.total(), across.total());
        let (zero, z) = (Length::ZERO, (Length::ZERO, layer.height));
        let blank = Rect::sized(zero, across.near(), length, across.pocket());
        let parts = vec![
            layer_part("rail", Role::FenceRail, &layer, Rect::new(zero, zero, length, blank.y0), z),
            layer_part("rail", Role::FarRail, &layer, Rect::new(zero, blank.y1, length, width), z),
        ];
        let spots = JointKind::GlueSpots;
        let joints = vec![
            edge_joint(Role::FenceRail, Rect::new(zero, blank.y0, length, blank.y0), top, spots),
            edge_joint(Role::FarRail, Rect::new(zero, blank.y1, length, blank.y1), top, spots),
        ];
        let mut trace = plan_trace(setting, &along, &across);
        trace.reasons.push(blank_thickness_reason(setting));
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: 0.0,
                variant: format!("{}, glue spots", layer.material),
                carrier: Extent { length, width, thickness: layer.height },
                blank: place_blank(setting, zero, across.near(), zero),
                pockets: vec![Pocket {
                    outline: Outline::Rect(blank),
                    z0: zero,
                    z1: layer.height,
                    kind: PocketKind::Open,
                    relief: None,
                }],
                parts,
                joints,
                bridge: false,
                lopsided: !across.symmetrical,
                pocket_cutter: None,
                waived: [&along.waived[..], &across.waived, &waived].concat(),
                trace,
                depth_below_top,
                assembly: Assembly::Trimmed,
                wall: top,
                glued_edges: true,
            },
        )
    }
}
