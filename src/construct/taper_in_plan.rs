//! A blank that tapers in plan, made parallel by a far rail sawn to the same slope.

use super::assemble::{Draft, blank_outline, finish, place_blank, plan_trace};
use super::flush_frame::{blank_thickness_reason, edge_joint, may_not_move, needs_no_floor};
use super::framed::layer_part;
use super::layout::{self, BARE_RAIL, taper_across};
use super::stack::{Allowed, bare_thickness, cut_depth, upper_layer};
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, JointKind, Part, Pocket, PocketKind, Role};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Hold, Shape};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Taper in plan.
pub struct TaperInPlan;

impl Construction for TaperInPlan {
    fn id(&self) -> &'static str {
        "taper-in-plan"
    }

    fn title(&self) -> &'static str {
        "Frame with one sloping rail for a tapered blank"
    }

    fn when(&self) -> &'static str {
        "One edge is straight, the other converges."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::HotGlue]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let shared = self.design(setting, false);
        // Too wide where the slope is carried on at the wide end: the other end may take all of it.
        let result = shared.or_else(|conflict| self.design(setting, true).map_err(|_| conflict));
        vec![Attempt::of("no base", result)]
    }
}

impl TaperInPlan {
    fn design(&self, setting: &Setting<'_>, narrow_only: bool) -> Result<Design, Conflict> {
        let Shape::Taper { narrow, wide_leads } = &setting.request.blank.shape else {
            return Err(Conflict::plain(Rule::EdgesShaped, "the blank does not taper"));
        };
        setting.needs_plain_top()?;
        needs_no_floor(setting)?;
        may_not_move(setting, setting.moves)?;
        let (wide, small) = (setting.width.nominal, narrow.nominal);
        let per_mm = (wide.to_mm() - small.to_mm()) / setting.length.nominal.to_mm();
        let run_out = Length::from_mm((small - BARE_RAIL).to_mm() / per_mm).filter(|_| small >= BARE_RAIL);
        let most = if *wide_leads { [None, run_out] } else { [run_out, None] };
        let along = layout::along_tapered(setting, most, *wide_leads, narrow_only)?;
        let (length, lead, far_end) = (along.total(), along.near(), along.far());
        // Width of the blank's slope carried on to either end of the carrier.
        let grow = |distance: Length| Length::from_mm(per_mm * distance.to_mm()).unwrap_or(Length::ZERO);
        let (at_lead, at_trail, at_x0, at_x1) = if *wide_leads {
            (wide + grow(lead), small - grow(far_end), wide, small)
        } else {
            (small - grow(lead), wide + grow(far_end), small, wide)
        };
        if at_lead.min(at_trail) < BARE_RAIL {
            let text = format!("the slope runs out to {} within the carrier", setting.say(at_lead.min(at_trail)));
            return Err(Conflict::plain(Rule::EdgesShaped, text));
        }
        let across = taper_across(setting, at_lead.max(at_trail))?;
        let top = setting.thickness;
        bare_thickness(setting, top)?;
        let layer = upper_layer(setting, top, Allowed::Lower)?;
        bare_thickness(setting, layer.height)?;
        let (depth_below_top, waived) = cut_depth(setting, top, Length::ZERO, false)?;
        let (fence, width) = (across.near(), across.total());
        let (zero, z) = (Length::ZERO, (Length::ZERO, layer.height));
        let (x0, x1) = (lead, lead + setting.length.nominal);

        let sloped = |name: &str, role: Role, points: Vec<Point>, remark: String| -> Part {
            let outline = Outline::Polygon(points);
            let mut part = layer_part(name, role, &layer, outline.bounds(), z);
            for place in &mut part.places {
                place.outline = outline.clone();
            }
            part.remark = Some(remark);
            part
        };
        let say = |length: Length| setting.request.shop.depth_ruler.number(length.nearest(Length::inches(1, 64)));
        let one_in = 1.0 / per_mm.abs();
        let rail = sloped(
            "far rail",
            Role::FarRail,
            vec![
                Point::new(zero, fence + at_lead),
                Point::new(length, fence + at_trail),
                Point::new(length, width),
                Point::new(zero, width),
            ],
            format!(
                "{} at the lead end, {} at the trail end; slope 1 in {one_in:.1}",
                say(width - fence - at_lead),
                say(width - fence - at_trail)
            ),
        );
        let end = |role, from: Length, to: Length, w0: Length, w1: Length| {
            sloped(
                if role == Role::LeadEnd { "lead end" } else { "trail end" },
                role,
                vec![
                    Point::new(from, fence),
                    Point::new(to, fence),
                    Point::new(to, fence + w1),
                    Point::new(from, fence + w0),
                ],
                format!("{} at its lead side, {} at its trail side", say(w0), say(w1)),
            )
        };
        let parts = vec![
            layer_part("fence rail", Role::FenceRail, &layer, Rect::new(zero, zero, length, fence), z),
            rail,
            end(Role::LeadEnd, zero, x0, at_lead, at_x0),
            end(Role::TrailEnd, x1, length, at_x1, at_trail),
        ];
        let spots = JointKind::GlueSpots;
        let blank = blank_outline(setting, lead, fence);
        let joints = vec![
            edge_joint(Role::FenceRail, Rect::new(x0, fence, x1, fence), top, spots),
            edge_joint(
                Role::FarRail,
                Rect::new(x0, fence + at_x0.min(at_x1), x1, fence + at_x0.max(at_x1)),
                top,
                spots,
            ),
            edge_joint(Role::LeadEnd, Rect::new(x0, fence, x0, fence + at_x0), top, spots),
            edge_joint(Role::TrailEnd, Rect::new(x1, fence, x1, fence + at_x1), top, spots),
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
                blank: place_blank(setting, lead, fence, zero),
                pockets: vec![Pocket {
                    outline: blank,
                    z0: zero,
                    z1: layer.height,
                    kind: PocketKind::Open,
                    relief: None,
                }],
                parts,
                joints,
                bridge: false,
                lopsided: true,
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
