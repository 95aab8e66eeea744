//! Straight cleats and wedges that hold a blank of any outline: no curved cutting.
//!
//! The blank's straightest side lies on the fence rail and touches it in two places, its leading point
//! on the lead bar; wedges off the far rail and off the trail bar push it home. The five contacts must
//! hold it in first-order form closure, wherever within their marks they lie.

use super::angled;
use super::assemble::{Draft, finish, place_blank, plan_trace};
use super::framed::{best_panel, layer_part, stock_part};
use super::layout::{self, Line, carve_rect};
use super::seat::{self, ASIDE, Places, Seat};
use super::stack::{self, Allowed, UpperLayer};
use super::stiff::Field;
use super::wedges::{Pair, Placed, RUN, far_outline, trail_outline};
use super::{Attempt, Construction, Setting};
use crate::design::{
    Contact, Design, Extent, Grain, Joint, JointKind, Part, Place, Pocket, PocketKind, Role, turn_words,
};
use crate::geometry::closure;
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Drawn, Hold, Shape, Stock};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Clash, Conflict, Reason, Term};

/// Straight cleats and wedges.
pub struct CleatNest;

/// Wedges stay this far below the deepest cut. Common practice, no source.
pub(super) const BELOW_CUT: Length = Length::inches(1, 8);
/// Lowest wedge, where a third of the blank's thickness is not more. Common practice, no source.
const LOWEST: Length = Length::inches(1, 4);
/// The lead contact is wanted this far from the fence rail. Common practice, no source.
const CORNER: Length = Length::inches(1, 2);

impl Construction for CleatNest {
    fn id(&self) -> &'static str {
        "cleat-nest"
    }

    fn title(&self) -> &'static str {
        "Straight cleats and wedges for an outline"
    }

    fn when(&self) -> &'static str {
        "Live edges and other outlines with one side straight enough, and only a saw in the shop."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Wedge]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let refuse = |conflict| vec![Attempt::fails("outline", conflict)];
        let drawn = match &setting.request.blank.shape {
            Shape::Outline(drawn) => drawn,
            Shape::Disc => return refuse(round(setting)),
            Shape::Rectangle | Shape::Taper { .. } | Shape::Round(_) => {
                return refuse(Conflict::plain(Rule::EdgesShaped, "the blank has a plain shape"));
            }
        };
        if let Err(conflict) = setting.needs_plain_top() {
            return refuse(conflict);
        }
        let (seats, mut nearest) = match seat::seats(setting, drawn) {
            Ok(seats) => (seats, None),
            Err(conflict) => (Vec::new(), Some(conflict)),
        };
        let square = !seats.is_empty();
        for seat in &seats {
            let turned = setting.request.turned_by(seat.degrees);
            let mut at_turn = Setting::new(turned.as_ref().unwrap_or(setting.request), false, setting.hold);
            at_turn.upper_choice = setting.upper_choice;
            match self.held(&at_turn, drawn, seat) {
                Ok(design) => return vec![Attempt::works(design)],
                Err(conflict) => {
                    if nearest.as_ref().is_none_or(|least| conflict.shortfall < least.shortfall) {
                        nearest = Some(conflict);
                    }
                }
            }
        }
        match angled::design(self, setting, drawn) {
            Ok(design) => vec![Attempt::works(design)],
            // No face at any angle helps: what is said of faces square to the feed tells more.
            Err(None) => refuse(
                nearest.unwrap_or_else(|| Conflict::plain(Rule::FenceContacts, "no side of it lies on the fence rail")),
            ),
            Err(Some(conflict)) => match nearest {
                // What stands in the way of a seat square to the feed stands nearer.
                Some(least) if square => refuse(least),
                _ => refuse(conflict),
            },
        }
    }
}

/// Why straight parts do not hold a disc.
fn round(setting: &Setting<'_>) -> Conflict {
    let radius = setting.length.nominal.to_mm() / 2.0;
    let touch = |x: f64, y: f64| closure::Contact { at: (-radius * x, -radius * y), push: (x, y) };
    let four = [touch(0.0, 1.0), touch(1.0, 0.0), touch(0.0, -1.0), touch(-1.0, 0.0)];
    let words =
        "the blank is round: every push passes through its centre, so no number of straight parts is in form closure";
    Conflict::plain(Rule::NestHeld, format!("{words}. {}", seat::not_held(&four)))
}

/// Both axes and both pairs of wedges, placed.
struct Laid {
    along: Line,
    across: Line,
    far: (Pair, Placed),
    trail: (Pair, Placed),
    places: Places,
    waived: Vec<Rule>,
}

impl CleatNest {
    /// The carrier for the blank as the setting has it, seated so.
    fn held(&self, setting: &Setting<'_>, drawn: &Drawn, seat: &Seat) -> Result<Design, Conflict> {
        let laid = lay_out(setting, drawn, seat)?;
        let Laid { along, across, .. } = &laid;
        let layer = stack::upper_layer(setting, stack::flush_depth(setting), Allowed::Lower)?;
        let (length, width) = (along.total(), across.total());
        let (base, heights) =
            best_panel(setting, &Field::of(along, across, Some(layer.elasticity)), layer.height, false)?;
        let (depth_below_top, flute) = stack::cut_depth(setting, heights.top, heights.floor, false)?;
        let (lead, fence) = (along.near(), across.near());
        let pocket = Rect::sized(lead, fence, along.pocket(), across.pocket());
        let (zero, z) = (Length::ZERO, (heights.floor, heights.top));
        let mut parts = vec![
            stock_part("base", Role::Base, base, Rect::new(zero, zero, length, width), (zero, heights.floor)),
            layer_part("rail", Role::FenceRail, &layer, Rect::new(zero, zero, length, fence), z),
            layer_part("rail", Role::FarRail, &layer, Rect::new(zero, pocket.y1, length, width), z),
            layer_part("lead bar", Role::LeadEnd, &layer, Rect::new(zero, fence, lead, pocket.y1), z),
            layer_part("trail bar", Role::TrailEnd, &layer, Rect::new(pocket.x1, fence, length, pocket.y1), z),
        ];
        for part in parts.iter_mut().filter(|part| part.role != Role::Base && layer.planed) {
            part.remark = Some(format!("planed to {}", setting.say_depth(layer.height)));
        }
        let placed = place_blank(setting, lead, fence, heights.floor);
        let side = placed.outline.bounds();
        let shapes = |pair: &(Pair, Placed), gap: Length| pair.0.outlines(pair.1.start, gap);
        let far = shapes(&laid.far, pocket.y1 - side.y1).map(|points| far_outline(points, side.y1));
        let trail = shapes(&laid.trail, pocket.x1 - side.x1).map(|points| trail_outline(points, side.x1));
        // The cutter may pass over whatever the swept area reaches.
        let reach = carve_rect(setting, lead, fence).grown(setting.reach());
        let swept = |outlines: &[Outline; 2]| outlines.iter().any(|outline| meet(reach, outline.bounds()));
        let whole = setting.request.machine.takes_whole_face();
        let cut = if whole || swept(&far) || swept(&trail) { depth_below_top + BELOW_CUT } else { zero };
        let (wood, height) = wedge_wood(setting, heights.depth() - cut)?;
        let wz = (heights.floor, heights.floor + height);
        parts.push(wedges("far wedge", Role::FarWedge, &laid.far.0, &wood, far, wz, setting));
        parts.push(wedges("trail wedge", Role::TrailWedge, &laid.trail.0, &wood, trail, wz, setting));

        let mut trace = plan_trace(setting, along, across);
        stack::trace_heights(setting, &heights, base, "rail-height", zero, &mut trace);
        for (name, pair) in [("far-wedges", &laid.far.0), ("trail-wedges", &laid.trail.0)] {
            trace.reasons.push(gap_reason(name, pair));
        }
        let waived = [&along.waived[..], &across.waived, &heights.waived, &flute, &laid.waived].concat();
        let joints = joints(&pocket, (length, width), z, &laid, height);
        finish(
            setting,
            self,
            Draft {
                contacts: contacts(seat, &laid.places, lead, fence, &laid),
                turn: seat.degrees,
                variant: format!(
                    "{} on {}, {}, margin {:.2}",
                    layer.material,
                    base.name,
                    turn_words(seat.degrees),
                    laid.places.worst(seat.size).map_or(0.0, |worst| worst.margin)
                ),
                carrier: Extent { length, width, thickness: heights.top },
                blank: placed,
                pockets: vec![Pocket {
                    outline: Outline::Rect(pocket),
                    z0: heights.floor,
                    z1: heights.top,
                    kind: PocketKind::OnBase,
                    relief: None,
                }],
                parts,
                joints,
                bridge: false,
                // Fed backwards, an outline is the wrong way round, however equal the ends.
                lopsided: true,
                pocket_cutter: None,
                waived,
                trace,
                depth_below_top,
                assembly: Assembly::Trimmed,
                wall: height,
                glued_edges: false,
            },
        )
    }
}

/// The longest wedges there is room for, and the carrier round them.
fn lay_out(setting: &Setting<'_>, drawn: &Drawn, seat: &Seat) -> Result<Laid, Conflict> {
    let pairs = Pair::all(setting, drawn);
    // The shortest wedges want the least room: what stands in their way is the reason.
    let mut last: Option<Conflict> = None;
    for far in &pairs {
        for trail in &pairs {
            match lay_out_pairs(setting, seat, far, trail) {
                Ok(laid) => return Ok(laid),
                Err(conflict) => last = Some(conflict),
            }
        }
    }
    Err(last.unwrap_or_else(|| Pair::none(setting, drawn)))
}

fn lay_out_pairs(setting: &Setting<'_>, seat: &Seat, far: &Pair, trail: &Pair) -> Result<Laid, Conflict> {
    let across = layout::across_wedged(setting, far.gap())?;
    let along = layout::along_wedged(setting, trail.gap())?;
    let (lead, fence) = (along.near(), across.near());
    let (bar, rail) = (lead + along.pocket(), fence + across.pocket());
    let trailing = lead + setting.length.nominal;
    // Between the fence contacts, whatever side of its mark each lies on.
    let aside = 2.0 * ASIDE.to_mm();
    let within = (seat.fence.0 + aside + lead.to_mm(), seat.fence.1 - aside + lead.to_mm());
    // The far wedges never stand in the way of the trail wedges.
    let far_placed = far.place(setting, (lead, trailing, bar), (&seat.far.moved(lead), within), "far")?;
    let touch = seat.trail.moved(fence);
    let trail_placed = trail.place(setting, (fence, rail, rail), (&touch, seat::ANYWHERE), "trail")?;
    let mut places = Places {
        fence: seat.fence,
        lead: seat.lead.natural,
        far: (far_placed.mark - lead).to_mm(),
        trail: (trail_placed.mark - fence).to_mm(),
    };
    let mut waived = Vec::new();
    let turns = |places: &Places| {
        let (lever, arm) = places.arms();
        lever > arm
    };
    // Nor in the corner beside the fence rail, where the two contacts would be one.
    if turns(&places) || places.lead < CORNER.to_mm() {
        places.lead = seat.lead.near(places.trail, seat::ANYWHERE).unwrap_or(places.lead);
    }
    if turns(&places) {
        waived.push(Rule::DriveOrder);
    }
    if places.worst(seat.size).is_none() || !places.held_by_far_wedges(seat.size) {
        let text = format!("with contacts {} to either side of their marks it can move", setting.say(ASIDE));
        return Err(Conflict::plain(Rule::NestHeld, text));
    }
    Ok(Laid { along, across, far: (*far, far_placed), trail: (*trail, trail_placed), places, waived })
}

/// Whether two upright rectangles share more than an edge.
pub(super) fn meet(a: Rect, b: Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

/// What the wedges are made of, and how high they are: no higher than `most`.
pub(super) fn wedge_wood(setting: &Setting<'_>, most: Length) -> Result<(UpperLayer, Length), Conflict> {
    let most = most.down(setting.request.depth_step());
    let third = Length::from_ticks(setting.thickness.ticks() / 3);
    let least = LOWEST.max(third);
    if most < least {
        let text = format!(
            "wedges {} high at most below the cut: lower than {}, they would not hold the blank's edge",
            setting.say_depth(most.or_zero()),
            setting.say_depth(least)
        );
        let amount = least - most;
        return Err(Conflict { clashes: vec![Clash { rule: Rule::WedgeHeight, text, amount }], shortfall: amount });
    }
    let plain = Setting { upper_choice: 0, ..setting.clone() };
    let layer = stack::upper_layer(&plain, most, Allowed::Lower).or_else(|conflict| {
        // Lower sheet stock does as well, while it is not too low.
        let fits = |stock: &&Stock| stock.total() <= most && stock.total() >= least;
        let highest = setting.request.stock.iter().filter(fits).max_by_key(|stock| stock.total());
        let layer = |stock: &Stock| UpperLayer {
            material: stock.name.clone(),
            height: stock.total(),
            packing: Length::ZERO,
            density: stock.density,
            elasticity: stock.elasticity,
            layers: stock.layers,
            planed: false,
            sheet: stock.kind.is_sheet(),
        };
        highest.map(layer).ok_or(conflict)
    })?;
    let height = layer.height;
    Ok((layer, height))
}

/// A pair of wedges as one row of the cut list: the glued one first, the driven one second.
fn wedges(
    name: &str,
    role: Role,
    pair: &Pair,
    wood: &UpperLayer,
    outlines: [Outline; 2],
    (z0, z1): (Length, Length),
    setting: &Setting<'_>,
) -> Part {
    let grain = if role == Role::FarWedge { Grain::AlongFeed } else { Grain::AcrossFeed };
    Part {
        id: String::new(),
        name: name.to_owned(),
        role,
        material: wood.material.clone(),
        size: Extent { length: pair.length, width: pair.thick(), thickness: z1 - z0 },
        grain: if wood.sheet { Grain::None } else { grain },
        density: wood.density,
        layers: wood.layers,
        places: outlines.map(|outline| Place { outline, z0, z1, voids: Vec::new() }).to_vec(),
        remark: Some(format!("{} to {} thick, 1 in {RUN}", setting.say(pair.thin), setting.say(pair.thick()))),
    }
}

/// The contacts in carrier coordinates, in the order fence, fence, lead, far, trail.
fn contacts(seat: &Seat, places: &Places, lead: Length, fence: Length, laid: &Laid) -> Vec<Contact> {
    let mm = |value: f64| Length::from_mm(value).unwrap_or_default();
    let parts = [Role::FenceRail, Role::FenceRail, Role::LeadEnd, Role::FarWedge, Role::TrailWedge];
    let touches =
        [None, None, Some((&seat.lead, places.lead)), Some((&seat.far, places.far)), Some((&seat.trail, places.trail))];
    let packed = |touch: &Option<(&seat::Touch, f64)>| touch.map_or(seat.bulges, |(touch, at)| touch.elsewhere(at));
    let all = places.contacts(seat.size).into_iter().zip(parts).zip(&touches);
    let mut found: Vec<Contact> = all
        .map(|((contact, part), touch)| {
            let at = Point::new(lead + mm(contact.at.0), fence + mm(contact.at.1));
            Contact { at, part, packed: packed(touch), marks: None }
        })
        .collect();
    for contact in &mut found {
        match contact.part {
            Role::FarWedge => contact.at.x = laid.far.1.mark,
            Role::TrailWedge => contact.at.y = laid.trail.1.mark,
            _ => {}
        }
    }
    found
}

/// Why a gap for wedges is as wide as it is.
pub(super) fn gap_reason(name: &str, pair: &Pair) -> Reason {
    let term = |label: &str, amount: Length| Term { label: label.to_owned(), amount, rule: Some(Rule::WedgeShape) };
    Reason {
        dimension: format!("{name}.gap"),
        value: pair.gap(),
        terms: vec![
            term("thin end of one", pair.thin),
            term("thick end of the other", pair.thick()),
            Term {
                label: "set back from full overlap, by the slope".to_owned(),
                amount: -Length::from_ticks(pair.set.ticks() / RUN),
                rule: Some(Rule::WedgeTravel),
            },
        ],
        decided_by: Some(Rule::WedgeShape),
        runner_up: None,
    }
}

/// Rails, bars and the glued wedges on the base, the bars between the rails.
fn joints(
    pocket: &Rect,
    (length, width): (Length, Length),
    z: (Length, Length),
    laid: &Laid,
    height: Length,
) -> Vec<(Role, Option<Role>, Joint)> {
    let mut joints = super::framed::frame_joints(*pocket, length, width, z.0, z.1);
    let glued = |role: Role, to: Role, contact: Rect| {
        let joint = Joint {
            between: (String::new(), String::new()),
            contact,
            z0: z.0,
            z1: z.0 + height,
            kind: JointKind::Glue,
        };
        (role, Some(to), joint)
    };
    let ((far, at_far), (trail, at_trail)) = (laid.far, laid.trail);
    let face = Rect::new(at_far.start, pocket.y1, at_far.start + far.length, pocket.y1);
    joints.push(glued(Role::FarWedge, Role::FarRail, face));
    let face = Rect::new(pocket.x1, at_trail.start, pocket.x1, at_trail.start + trail.length);
    joints.push(glued(Role::TrailWedge, Role::TrailEnd, face));
    joints
}
