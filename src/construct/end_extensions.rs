//! End extensions on a blank of full width.

use super::assemble::{Draft, finish, place_blank, plan_trace};
use super::flush_frame::{blank_thickness_reason, edge_joint, may_not_move, needs_no_floor};
use super::framed::{best_panel, layer_part, stock_part};
use super::layout::{self, Edges, Line};
use super::stack::{self, bare_thickness, cut_depth, upper_layer};
use super::stiff::Field;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, JointKind, Part, Pocket, PocketKind, Role};
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::request::Hold;
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Conflict, Trace};

/// End extensions: with a fence splice rail, on a thin base, or plainly butted.
pub struct EndExtensions;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    SpliceRail,
    ThinBase,
    PlainButt,
}

impl Construction for EndExtensions {
    fn id(&self) -> &'static str {
        "end-extensions"
    }

    fn title(&self) -> &'static str {
        "End extensions"
    }

    fn when(&self) -> &'static str {
        "Wide enough, only too short."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::HotGlue]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let kinds = [
            (Kind::SpliceRail, "with a rail spliced on along the fence"),
            (Kind::ThinBase, "on a thin full base"),
            (Kind::PlainButt, "plain butt joints"),
        ];
        kinds.map(|(kind, words)| Attempt::of(words, self.design(setting, kind, words))).into()
    }
}

impl EndExtensions {
    fn design(&self, setting: &Setting<'_>, kind: Kind, words: &str) -> Result<Design, Conflict> {
        setting.needs_rectangle()?;
        setting.needs_plain_top()?;
        if kind == Kind::ThinBase {
            if setting.freed() {
                let text = "the part is cut free all round and glued only at its ends";
                return Err(Conflict::plain(Rule::FreedPartHeld, text));
            }
        } else {
            needs_no_floor(setting)?;
        }
        if kind == Kind::PlainButt && !setting.request.machine.strip_joint_tolerated {
            let text = "two butt joints cross the reference strip, and the machine's profile does not say that it tolerates a closed joint";
            return Err(Conflict::plain(Rule::StripUnbroken, text));
        }
        may_not_move(setting, [setting.moves[0], Length::ZERO])?;
        let along = layout::along(setting, Edges::Fitted, None)?;
        let across =
            if kind == Kind::SpliceRail { layout::across_spliced(setting)? } else { layout::across_bare(setting)? };
        self.finish(setting, kind, words, &along, &across)
    }

    fn finish(
        &self,
        setting: &Setting<'_>,
        kind: Kind,
        words: &str,
        along: &Line,
        across: &Line,
    ) -> Result<Design, Conflict> {
        let (length, width) = (along.total(), across.total());
        let (zero, fence) = (Length::ZERO, across.near());
        let layer = upper_layer(setting, setting.thickness, stack::Allowed::Lower)?;
        let mut trace: Trace = plan_trace(setting, along, across);
        let mut parts: Vec<Part> = Vec::new();
        // The far edge is the blank's own: no last rip can true it.
        let mut waived = [&along.waived[..], &across.waived, &[Rule::TrimLast]].concat();
        let (floor, top) = if kind == Kind::ThinBase {
            let (base, heights) =
                best_panel(setting, &Field::of(along, across, Some(layer.elasticity)), setting.thickness, false)?;
            stack::trace_heights(setting, &heights, base, "rail-height", Length::ZERO, &mut trace);
            waived.extend(&heights.waived);
            parts.push(stock_part(
                "base",
                Role::Base,
                base,
                Rect::new(zero, zero, length, width),
                (zero, heights.floor),
            ));
            (heights.floor, heights.top)
        } else {
            bare_thickness(setting, setting.thickness)?;
            trace.reasons.push(blank_thickness_reason(setting));
            (zero, setting.thickness)
        };
        let (depth_below_top, flute) = cut_depth(setting, top, floor, false)?;
        waived.extend(flute);
        let z = (floor, floor + layer.height);
        bare_thickness(setting, z.1)?;
        let blank = Rect::sized(along.near(), fence, along.pocket(), across.pocket());
        if kind == Kind::SpliceRail {
            parts.push(layer_part("fence rail", Role::FenceRail, &layer, Rect::new(zero, zero, length, fence), z));
        }
        parts.push(layer_part("end", Role::LeadEnd, &layer, Rect::new(zero, fence, blank.x0, width), z));
        parts.push(layer_part("end", Role::TrailEnd, &layer, Rect::new(blank.x1, fence, length, width), z));
        let butt = JointKind::GluedButt;
        let mut joints = vec![
            edge_joint(Role::LeadEnd, Rect::new(blank.x0, fence, blank.x0, width), top, butt),
            edge_joint(Role::TrailEnd, Rect::new(blank.x1, fence, blank.x1, width), top, butt),
        ];
        if kind == Kind::SpliceRail {
            joints.push(edge_joint(
                Role::FenceRail,
                Rect::new(blank.x0, fence, blank.x1, fence),
                top,
                JointKind::GlueSpots,
            ));
        }
        if kind == Kind::ThinBase {
            joints.push(edge_joint(Role::Base, blank, floor, JointKind::GlueSpots));
        }
        for (_, _, joint) in &mut joints {
            joint.z0 = floor;
        }
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: 0.0,
                variant: format!("{words}, {}", layer.material),
                carrier: Extent { length, width, thickness: z.1 },
                blank: place_blank(setting, blank.x0, fence, floor),
                pockets: vec![Pocket {
                    outline: Outline::Rect(blank),
                    z0: floor,
                    z1: z.1,
                    kind: if floor > zero { PocketKind::OnBase } else { PocketKind::Open },
                    relief: None,
                }],
                parts,
                joints,
                bridge: false,
                // A rail on the fence side only: the carrier must not be fed the other way round.
                lopsided: kind == Kind::SpliceRail || !along.symmetrical,
                pocket_cutter: None,
                waived,
                trace,
                depth_below_top,
                assembly: Assembly::TrimmedEnds,
                wall: top - floor,
                glued_edges: true,
            },
        )
    }
}
