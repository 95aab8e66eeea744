//! Cradle: rods, half-rounds and tapered spindles on a V or on two square edges, between rails that
//! carry the rollers at the height of the crown.

mod seat;
mod words;

pub use words::{build, fit};

use super::assemble::{Draft, finish, hold_words, place_blank, plan_trace};
use super::framed::{best_panel, frame_joints, layer_part, stock_part};
use super::layout::{self, Edges, Line};
use super::stack::{self, Allowed, Heights, UpperLayer};
use super::stiff::Field;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Joint, JointKind, Part, Place, Pocket, PocketKind, Role, Void, VoidKind};
use crate::geometry::cradle::sink;
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::library::MachineKind;
use crate::mechanics;
use crate::request::{Hold, Level, Round, RoundKind, Seat, Stock};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Clash, Conflict, Reason, Term, Trace};
use seat::{Block, Extreme, Strips, extremes, length, radius_at, thick, thin, tops};

/// Most that a crown stands proud of the rails, or lies below them.
const FLUSH: Length = Length::inches(1, 32);
/// Most that what should lie level may be out.
const LEVEL: Length = Length::inches(1, 64);
/// Most that a spindle sags between its blocks. Judgement.
const SAG: Length = Length::inches(1, 64);
/// Modulus of elasticity of a wooden spindle, psi: judgement, on the low side of common woods.
const ELASTICITY_PSI: f64 = 1.2e6;
/// Between the tip and the holder, and whatever it passes.
const HOLDER_SPARE: Length = Length::inches(1, 16);
/// Most play along the feed that is left to card.
const PLAY: Length = Length::inches(1, 8);
/// Thinnest riser that is planed.
const THINNEST: Length = Length::inches(1, 4);

/// Cradle.
pub struct Cradle;

impl Construction for Cradle {
    fn id(&self) -> &'static str {
        "cradle"
    }

    fn title(&self) -> &'static str {
        "Cradle for a round"
    }

    fn when(&self) -> &'static str {
        "Rods, half-rounds and tapered spindles."
    }

    fn holds(&self) -> &'static [Hold] {
        // A whole round has nothing to tape; a half-round on its flat has.
        &[Hold::Tape, Hold::Film, Hold::HotGlue]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let Some(round) = setting.request.blank.round() else {
            let text = "the blank is not round in section";
            return vec![Attempt::fails("V", Conflict::plain(Rule::EdgesShaped, text))];
        };
        if round.kind == RoundKind::RoundUp {
            return vec![Attempt::of("flat side down", self.flat_down(setting, round))];
        }
        if setting.hold != Hold::HotGlue {
            let text = "no tape stops a round from turning: it is held by dabs of hot glue";
            return vec![Attempt::fails("V", Conflict::plain(Rule::TurnStop, text))];
        }
        let vee = || self.out_of_any(setting, round, Seat::Vee);
        let saddle = || self.out_of_any(setting, round, Seat::Saddle);
        match round.seat {
            Some(Seat::Vee) => vec![Attempt::of("V", vee())],
            Some(Seat::Saddle) => vec![Attempt::of("two square edges", saddle())],
            None => {
                let first = vee();
                // The V grips better; two edges lie lower, and need no bevels.
                let second = if first.is_err() { vec![Attempt::of("two square edges", saddle())] } else { Vec::new() };
                std::iter::once(Attempt::of("V", first)).chain(second).collect()
            }
        }
    }
}

/// Rails, ends and base, sized.
struct Frame<'a> {
    along: Line,
    across: Line,
    layer: UpperLayer,
    base: &'a Stock,
    heights: Heights,
    waived: Vec<Rule>,
}

impl Frame<'_> {
    fn length(&self) -> Length {
        self.along.total()
    }

    fn width(&self) -> Length {
        self.across.total()
    }

    fn pocket(&self) -> Rect {
        Rect::sized(self.along.near(), self.across.near(), self.along.pocket(), self.across.pocket())
    }

    /// Base, rails and ends.
    fn parts(&self, setting: &Setting<'_>) -> Vec<Part> {
        let (length, width, pocket) = (self.length(), self.width(), self.pocket());
        let zero = Length::ZERO;
        let z = (self.heights.floor, self.heights.top);
        let board = Rect::new(zero, zero, length, width);
        let mut parts = vec![
            stock_part("base", Role::Base, self.base, board, (zero, self.heights.floor)),
            layer_part("rail", Role::FenceRail, &self.layer, Rect::new(zero, zero, length, pocket.y0), z),
            layer_part("rail", Role::FarRail, &self.layer, Rect::new(zero, pocket.y1, length, width), z),
            layer_part("end", Role::LeadEnd, &self.layer, Rect::new(zero, pocket.y0, pocket.x0, pocket.y1), z),
            layer_part("end", Role::TrailEnd, &self.layer, Rect::new(pocket.x1, pocket.y0, length, pocket.y1), z),
        ];
        for part in parts.iter_mut().skip(1).filter(|_| self.layer.planed) {
            part.remark = Some(format!("planed to {}", setting.say_depth(self.layer.height)));
        }
        parts
    }
}

/// Sizes rails, ends and base for a pocket of this width, and for highest points between `low` and
/// `high` above the base as the readings allow.
fn frame<'a>(
    setting: &Setting<'a>,
    (pocket, rule): (Length, Rule),
    low: Length,
    high: Length,
) -> Result<Frame<'a>, Conflict> {
    let along = layout::along(setting, Edges::Loose, None)?;
    let across = layout::across_cradle(setting, pocket, rule)?;
    let step = setting.request.depth_step();
    let mut waived = Vec::new();
    let mut height = low.down(step);
    if high - height > FLUSH {
        // Not both: the largest first, it must not carry the rollers.
        height = (high - FLUSH).up(step);
        waived.push(Rule::CrownWanted);
    }
    let layer = stack::upper_layer(setting, height, Allowed::Lower)?;
    let out = (high - layer.height).max(layer.height - low) - FLUSH;
    if out > Length::ZERO {
        let text = format!(
            "by the readings the crown lies from {} to {} above the base: no rail comes within {} of both; caliper the blank",
            setting.say_depth(low),
            setting.say_depth(high),
            setting.say_depth(FLUSH)
        );
        let clash = Clash { rule: Rule::BlankFlushLimit, text, amount: out };
        return Err(Conflict { clashes: vec![clash], shortfall: out });
    }
    let (base, heights) =
        best_panel(setting, &Field::of(&along, &across, Some(layer.elasticity)), layer.height, false)?;
    waived.extend([&along.waived[..], &across.waived, &heights.waived].concat());
    if along.pocket() - setting.length.low() > PLAY {
        waived.push(Rule::Play);
    }
    Ok(Frame { along, across, layer, base, heights, waived })
}

/// How far below the rails the tip goes: the crown's own depth there, the fall of the surface to the
/// side of the cut, and the depth of the cut; reach and holder checked.
fn depth(
    setting: &Setting<'_>,
    frame: &Frame<'_>,
    falls: Length,
    low: Length,
) -> Result<(Length, Vec<Rule>), Conflict> {
    let (machine, carve) = (&setting.request.machine, &setting.request.carve);
    if setting.cut_through() {
        let text = "a through cut would run into the cradle; saw or bore the round through afterwards";
        return Err(Conflict::plain(Rule::FloorAfterCut, text));
    }
    let sunk = (frame.layer.height - low).or_zero();
    let terms = [
        ("crown below the rails", sunk),
        ("surface falls to the side of the cut", falls),
        ("depth of cut", carve.depth),
    ];
    let terms = if sunk > Length::ZERO { &terms[..] } else { &terms[1..] };
    stack::demand(setting, Rule::DepthReach, "tip below the rails", terms, machine.depth, true)?;
    let depth = sunk + falls + carve.depth;
    if machine.kind == MachineKind::Carver {
        let most = machine.stick_out - HOLDER_SPARE;
        stack::demand(setting, Rule::HolderClears, "tip below the rails beside it", &[("depth", depth)], most, true)?;
    }
    let too_deep = carve.flute.is_some_and(|flute| carve.depth > flute);
    Ok((depth, if too_deep { vec![Rule::FluteLength] } else { Vec::new() }))
}

/// How far the surface at the sides of the cut lies below the highest point, at the worst.
fn falls(setting: &Setting<'_>, round: &Round, blocks: Option<&[Block; 2]>, strips: Option<&Strips>) -> Length {
    if round.kind == RoundKind::FlatUp {
        return Length::ZERO;
    }
    let [lead, trail, fence, far] = setting.margins;
    let half = setting.width.nominal.half();
    let aside = ((half - fence).max(half - far) + setting.request.carve.overrun).or_zero().to_mm();
    let whole = setting.length.nominal;
    let mut worst: f64 = 0.0;
    for extreme in extremes(setting, round) {
        let (at_lead, at_trail) = strips.map_or((0.0, 0.0), |strips| tops(&extreme, strips, blocks, whole));
        let highest = at_lead.max(at_trail);
        for x in [lead, whole - trail] {
            let share = x.to_mm() / whole.to_mm().max(1e-9);
            let drop = highest - (at_lead + (at_trail - at_lead) * share);
            let radius = radius_at(&extreme, x, whole);
            // Where the thin end is narrower than the cut, the cut ends at the spindle's own side.
            let most = extreme.height.unwrap_or(radius.max(aside.min(extreme.lead.max(extreme.trail))));
            let fall = if aside < radius { sink(radius, 2.0 * aside).min(most) } else { most };
            worst = worst.max(drop + fall);
        }
    }
    length(worst)
}

impl Cradle {
    /// A half-round on its flat side: an ordinary pocket, the blank in its middle.
    fn flat_down(&self, setting: &Setting<'_>, round: &Round) -> Result<Design, Conflict> {
        let pocket = seat::room(setting).up(setting.step());
        let (low, high) =
            setting.request.blank.thickness.as_ref().map_or((setting.thickness, setting.thickness), |measured| {
                (measured.low(), length(seat::grown(setting, measured)))
            });
        let (low, high) = (low + setting.adhesive, high + setting.adhesive);
        let frame = frame(setting, (pocket, Rule::Fit), low, high)?;
        let falls = falls(setting, round, None, None);
        let (depth_below_top, flute) = depth(setting, &frame, falls, low)?;
        let room = frame.pocket();
        let floor = frame.heights.floor;
        let aside = (room.width() - setting.width.nominal).half();
        let blank = place_blank(setting, room.x0, room.y0 + aside, floor + setting.adhesive);
        let bounds = blank.outline.bounds();
        let glued = setting.hold == Hold::HotGlue;
        let mut joints = frame_joints(room, frame.length(), frame.width(), floor, frame.heights.top);
        if glued {
            for y in [bounds.y0, bounds.y1] {
                let contact = Rect::new(bounds.x0, y, bounds.x1, y);
                joints.push((Role::Base, None, joint(contact, floor, floor, JointKind::GlueSpots)));
            }
        }
        let mut trace = plan_trace(setting, &frame.along, &frame.across);
        trace_rails(&frame, low, &mut trace);
        let parts = frame.parts(setting);
        let variant = format!(
            "flat side down between rails of {} on {}, {}",
            frame.layer.material,
            frame.base.name,
            hold_words(setting.hold)
        );
        let waived = [&frame.waived[..], &flute].concat();
        self.finish(setting, frame, Made { variant, blank, parts, joints, waived, trace, depth_below_top, glued })
    }

    /// Anything that lies on its round side, the strips of the first material they come out of.
    fn out_of_any(&self, setting: &Setting<'_>, round: &Round, seat: Seat) -> Result<Design, Conflict> {
        let mut first = None;
        // Every stock and the planed board; nothing comes after those.
        for choice in 0..=setting.request.stock.len() {
            match self.on_strips(setting, round, seat, choice) {
                Ok(design) => return Ok(design),
                Err(conflict) => {
                    let stock = conflict.clashes.iter().any(|clash| clash.rule == Rule::StockExists);
                    let conflict = first.get_or_insert(conflict);
                    if !stock {
                        return Err(conflict.clone());
                    }
                }
            }
        }
        Err(first.unwrap_or_else(|| Conflict::plain(Rule::StockExists, "no stock for the strips")))
    }

    fn on_strips(&self, setting: &Setting<'_>, round: &Round, seat: Seat, choice: usize) -> Result<Design, Conflict> {
        low_enough(setting, round, seat)?;
        let strips = seat::strips(setting, round, seat, choice)?;
        let whole = setting.length.nominal;
        let all = extremes(setting, round);
        let measured = *all.first().unwrap_or(&Extreme { lead: 0.0, trail: 0.0, height: None });
        let (blocks, level) = match round.kind {
            RoundKind::Spindle { thick_leads, level, .. } => {
                let mut blocks = seat::blocks(setting, thick_leads)?;
                let risers = risers(setting, seat::rise(&measured, &strips, &blocks, whole, level))?;
                for (block, riser) in blocks.iter_mut().zip(&risers) {
                    block.riser = riser.as_ref().map_or(Length::ZERO, |layer| layer.height);
                }
                (Some((blocks, risers)), level)
            }
            RoundKind::Rod | RoundKind::RoundUp | RoundKind::FlatUp => (None, Level::Crown),
        };
        let standing = blocks.as_ref().map(|(blocks, _)| blocks);
        let ends: Vec<(f64, f64)> = all.iter().map(|extreme| tops(extreme, &strips, standing, whole)).collect();
        check_level(setting, round, &measured, ends.first().copied().unwrap_or_default(), level)?;
        // With the axis level only the thick end reaches the rails.
        let heights = ends.iter().flat_map(|&(lead, trail)| match level {
            Level::Axis => vec![lead.max(trail)],
            Level::Crown => vec![lead, trail],
        });
        let (low, high) = heights.fold((f64::INFINITY, 0.0_f64), |(low, high), top| (low.min(top), high.max(top)));
        let (low, high) = (length(low), length(high));
        let frame = frame(setting, (strips.pocket(), Rule::CradleContact), low, high)?;
        let highest_strip = strips.layer.height + standing.map_or(Length::ZERO, |b| b[0].riser.max(b[1].riser));
        let reach = [("strips with their risers", highest_strip)];
        let most = frame.layer.height - Length::inches(1, 16);
        stack::demand(setting, Rule::NothingAboveTop, "strips beside the blank", &reach, most, true)?;
        let falls = falls(setting, round, standing, Some(&strips));
        let (depth_below_top, flute) = depth(setting, &frame, falls, low)?;

        let floor = frame.heights.floor;
        let room = frame.pocket();
        let aside = (room.width() - setting.width.nominal).half();
        let crown = ends.first().map_or(0.0, |ends| ends.0.max(ends.1));
        let blank = place_blank(setting, room.x0, room.y0 + aside, floor + length(crown) - setting.thickness);
        let mut parts = frame.parts(setting);
        let mut joints = frame_joints(room, frame.length(), frame.width(), floor, frame.heights.top);
        let whole_block =
            [Block { touch: Length::ZERO, from: Length::ZERO, length: room.length(), riser: Length::ZERO }];
        let stretches = standing.map_or(&whole_block[..], |blocks| &blocks[..]);
        for (index, block) in stretches.iter().enumerate() {
            let riser = blocks.as_ref().and_then(|(_, risers)| risers.get(index)?.as_ref());
            cradle_parts(setting, &strips, block, riser, room, floor, &mut parts);
            let radius = radius_at(&measured, block.touch, whole);
            let (up, beside) = strips.contact(radius);
            let (up, beside) = (floor + block.riser + length(up), length(beside));
            let (from, to) = (room.x0 + block.from, (room.x0 + block.from + block.length).min(room.x0 + whole));
            let middle = (room.y0 + room.y1).half();
            for y in [middle - beside, middle + beside] {
                joints.push((Role::CradleStrip, None, joint(Rect::new(from, y, to, y), up, up, JointKind::GlueSpots)));
            }
            let under = Rect::new(from, room.y0, room.x0 + block.from + block.length, room.y1);
            let on = if riser.is_some() { Role::CradleRiser } else { Role::Base };
            let at = floor + block.riser;
            joints.push((Role::CradleStrip, Some(on), joint(under, at, at, JointKind::Glue)));
            if riser.is_some() {
                joints.push((Role::CradleRiser, Some(Role::Base), joint(under, floor, floor, JointKind::GlueAndPegs)));
            }
        }
        let mut trace = plan_trace(setting, &frame.along, &frame.across);
        trace_rails(&frame, low, &mut trace);
        match standing {
            Some(blocks) => {
                let (lead, trail) = ends.first().copied().unwrap_or_default();
                let at_thick = (blocks[0].from < blocks[1].from) == (lead >= trail);
                trace_blocks(&strips, blocks, (&measured, whole), (length(crown), at_thick), &mut trace);
            }
            None => trace_seat(&strips, thick(setting, round).nominal, length(crown), &mut trace),
        }
        let mut waived = [&frame.waived[..], &flute].concat();
        if let Some((blocks, _)) = &blocks
            && sags(setting, round, blocks)
        {
            waived.push(Rule::CradleSpan);
        }
        let variant =
            format!("{}, rails of {} on {}", seat_words(&strips, round), frame.layer.material, frame.base.name);
        self.finish(setting, frame, Made { variant, blank, parts, joints, waived, trace, depth_below_top, glued: true })
    }

    fn finish(&self, setting: &Setting<'_>, frame: Frame<'_>, made: Made) -> Result<Design, Conflict> {
        let carrier = Extent { length: frame.length(), width: frame.width(), thickness: frame.heights.top };
        let pocket = Pocket {
            outline: Outline::Rect(frame.pocket()),
            z0: frame.heights.floor,
            z1: frame.heights.top,
            kind: PocketKind::OnBase,
            relief: None,
        };
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                variant: made.variant,
                carrier,
                blank: made.blank,
                pockets: vec![pocket],
                parts: made.parts,
                joints: made.joints,
                bridge: false,
                turn: 0.0,
                lopsided: !(frame.along.symmetrical && frame.across.symmetrical),
                pocket_cutter: None,
                waived: made.waived,
                trace: made.trace,
                depth_below_top: made.depth_below_top,
                assembly: Assembly::Trimmed,
                wall: frame.heights.depth(),
                glued_edges: made.glued,
            },
        )
    }
}

/// Refuses what is too high for the machine on strips of any make, before it is asked what the shop can saw.
fn low_enough(setting: &Setting<'_>, round: &Round, seat: Seat) -> Result<(), Conflict> {
    let least = seat::least_rails(setting, round, seat);
    let lowest = stack::best_stock(setting, |stock| {
        let opening = (setting.length.nominal, setting.width.nominal);
        stack::floor_and_top(setting, stock, least, false, opening).map(|heights| (heights.waived.len(), heights))
    });
    // Anything else is judged by the rails it really gets.
    let too_high = |conflict: &Conflict| conflict.clashes.iter().any(|clash| clash.rule == Rule::ThicknessMax);
    lowest.err().filter(too_high).map_or(Ok(()), Err)
}

/// What differs from one kind of cradle to another.
struct Made {
    variant: String,
    blank: crate::design::PlacedBlank,
    parts: Vec<Part>,
    joints: Vec<(Role, Option<Role>, Joint)>,
    waived: Vec<Rule>,
    trace: Trace,
    depth_below_top: Length,
    glued: bool,
}

fn joint(contact: Rect, z0: Length, z1: Length, kind: JointKind) -> Joint {
    Joint { between: (String::new(), String::new()), contact, z0, z1, kind }
}

fn seat_words(strips: &Strips, round: &Round) -> String {
    match (strips.seat, &round.kind) {
        (Seat::Vee, RoundKind::Spindle { .. }) => format!("two V blocks of {} degrees", round.v_degrees),
        (Seat::Vee, _) => format!("V of {} degrees", round.v_degrees),
        (Seat::Saddle, RoundKind::Spindle { .. }) => "two blocks with a gap".to_owned(),
        (Seat::Saddle, _) => "two square edges".to_owned(),
    }
}

/// Pieces that lift the blocks of a spindle: of the thick end's block and the thin end's. A rise too
/// small to be planed is made by lifting both.
fn risers(setting: &Setting<'_>, rise: f64) -> Result<[Option<UpperLayer>; 2], Conflict> {
    let step = setting.request.depth_step();
    let rise = length(rise).nearest(step);
    if rise <= Length::ZERO {
        return Ok([None, None]);
    }
    let least = THINNEST.max(setting.request.shop.planer_thinnest).up(step);
    let own = Setting { upper_choice: 0, ..setting.clone() };
    let of = |height: Length| stack::upper_layer(&own, height, Allowed::Lower);
    if rise >= least { Ok([None, Some(of(rise)?)]) } else { Ok([Some(of(least)?), Some(of(least + rise)?)]) }
}

/// Whether what is to lie level does.
fn check_level(
    setting: &Setting<'_>,
    round: &Round,
    measured: &Extreme,
    (lead, trail): (f64, f64),
    level: Level,
) -> Result<(), Conflict> {
    if !matches!(round.kind, RoundKind::Spindle { .. }) {
        return Ok(());
    }
    let out = match level {
        Level::Crown => lead - trail,
        Level::Axis => (lead - measured.lead) - (trail - measured.trail),
    };
    let out = [("ends differ by", length(out.abs()))];
    stack::demand(setting, Rule::CradleLevel, "spindle on its blocks", &out, LEVEL, true)
}

/// Whether a spindle springs away from the cutter between its blocks.
fn sags(setting: &Setting<'_>, round: &Round, blocks: &[Block; 2]) -> bool {
    let force = setting.request.shop.estimates.side_force_lbf * mechanics::NEWTONS_PER_LBF;
    let elasticity = ELASTICITY_PSI * mechanics::N_PER_MM2_PER_PSI;
    let span = (blocks[1].from - blocks[0].from).abs() - blocks[0].length;
    mechanics::spindle::round_sag_mm(force, span, elasticity, length(2.0 * thin(setting, round).low))
        .is_none_or(|sag| sag > SAG.to_mm())
}

/// The two strips of one stretch, and the riser under them.
fn cradle_parts(
    setting: &Setting<'_>,
    strips: &Strips,
    block: &Block,
    riser: Option<&UpperLayer>,
    room: Rect,
    floor: Length,
    parts: &mut Vec<Part>,
) {
    let (x0, x1) = (room.x0 + block.from, room.x0 + block.from + block.length);
    if let Some(layer) = riser {
        let rect = Rect::new(x0, room.y0, x1, room.y1);
        let mut part = layer_part("riser", Role::CradleRiser, layer, rect, (floor, floor + block.riser));
        part.remark = layer.planed.then(|| format!("planed to {}", setting.say_depth(layer.height)));
        parts.push(part);
    }
    let z = (floor + block.riser, floor + block.riser + strips.layer.height);
    let (fence, far) = (room.y0 + strips.width, room.y1 - strips.width);
    let bevel = |y0: Length, y1: Length| Void {
        outline: Outline::Rect(Rect::new(x0, y0, x1, y1)),
        z0: z.0,
        z1: z.1,
        kind: VoidKind::Bevel,
    };
    let sides = [
        (Rect::new(x0, room.y0, x1, fence), bevel(fence - strips.bevel, fence)),
        (Rect::new(x0, far, x1, room.y1), bevel(far, far + strips.bevel)),
    ];
    let bevelled = strips.seat == Seat::Vee;
    let mut part: Option<Part> = None;
    for (rect, void) in sides {
        let voids = if bevelled { vec![void] } else { Vec::new() };
        let place = Place { outline: Outline::Rect(rect), z0: z.0, z1: z.1, voids };
        match &mut part {
            Some(part) => part.places.push(place),
            None => {
                let name = if bevelled { "V strip" } else { "strip" };
                let mut first = layer_part(name, Role::CradleStrip, &strips.layer, rect, z);
                first.remark = Some(if bevelled {
                    format!("one edge bevelled {:.0} degrees", strips.half_angle.to_degrees())
                } else {
                    "square; inner top edges sharp".to_owned()
                });
                first.places = vec![place];
                part = Some(first);
            }
        }
    }
    parts.extend(part);
}

/// Reasons for the heights of carrier and rails: the lowest crown the readings allow, rounded down.
fn trace_rails(frame: &Frame<'_>, low: Length, trace: &mut Trace) {
    let term = |label: &str, amount: Length, rule: Rule| Term { label: label.to_owned(), amount, rule: Some(rule) };
    let (base, rails) = (frame.heights.floor, frame.layer.height);
    let reasons = [
        (
            "carrier.thickness",
            frame.heights.top,
            vec![term("base", base, Rule::StockExists), term("rail-height", rails, Rule::CrownWanted)],
            Rule::StockExists,
        ),
        ("rail-height", rails, vec![term("lowest crown above the base", low, Rule::CrownWanted)], Rule::CrownWanted),
    ];
    for (dimension, value, terms, decided) in reasons {
        let decided_by = Some(decided);
        trace.reasons.push(Reason { dimension: dimension.to_owned(), value, terms, decided_by, runner_up: None });
    }
}

/// Reasons for the height of the crown and the lines of contact of a spindle, which differ from block to
/// block.
fn trace_blocks(
    strips: &Strips,
    blocks: &[Block; 2],
    (measured, whole): (&Extreme, Length),
    (crown, at_thick): (Length, bool),
    trace: &mut Trace,
) {
    let end = if at_thick { "highest point, at the thick end" } else { "highest point, at the thin end" };
    let mut rows = vec![("crown.above-base".to_owned(), vec![(end, crown)])];
    for (name, block) in ["thick-block", "thin-block"].into_iter().zip(blocks) {
        let radius = radius_at(measured, block.touch, whole);
        let (up, aside) = strips.contact(radius);
        let riser = Some(("riser", block.riser)).filter(|(_, height)| *height > Length::ZERO);
        let crown = [("its foot to the centre", length(strips.centre(radius))), ("centre to crown", length(radius))];
        rows.push((format!("{name}.crown"), riser.into_iter().chain(crown).collect()));
        let up = ("line of contact above what the strips lie on", length(up));
        rows.push((format!("{name}.contact-height"), vec![up]));
        rows.push((format!("{name}.half-spacing"), vec![("line of contact from the middle", length(aside))]));
    }
    for (dimension, amounts) in rows {
        let value = amounts.iter().map(|(_, amount)| *amount).sum();
        let term = |(label, amount): (&str, Length)| Term { label: label.to_owned(), amount, rule: None };
        let terms = amounts.into_iter().map(term).collect();
        let decided_by = Some(Rule::CradleContact);
        trace.reasons.push(Reason { dimension, value, terms, decided_by, runner_up: None });
    }
    // They are high enough for its thick end, which lies beyond its block.
    let (dimension, value) = ("strip.height".to_owned(), strips.layer.height);
    let terms = vec![Term { label: "strip".to_owned(), amount: value, rule: None }];
    trace.reasons.push(Reason { dimension, value, terms, decided_by: None, runner_up: None });
}

/// Reasons for the height of the crown and the line of contact of anything but a spindle.
fn trace_seat(strips: &Strips, radius: f64, crown: Length, trace: &mut Trace) {
    let (up, aside) = strips.contact(radius);
    let (up, aside, radius) = (length(up), length(aside), length(radius));
    let plain = |label: &str, amount: Length| Term { label: label.to_owned(), amount, rule: None };
    let crown_terms = match strips.seat {
        Seat::Vee => vec![
            plain("apex to centre, R / sin a", length(strips.centre(radius.to_mm()))),
            plain("centre to top", crown - length(strips.centre(radius.to_mm()))),
        ],
        Seat::Saddle => {
            vec![plain("strips", strips.layer.height), plain("above their edges", crown - strips.layer.height)]
        }
    };
    let governed = Some(Rule::CradleContact).filter(|_| strips.governed);
    for (dimension, value, terms) in [
        ("crown.above-base", crown, crown_terms),
        ("contact.height", up, vec![plain("line of contact above what the strips lie on", up)]),
        ("contact.half-spacing", aside, vec![plain("line of contact from the middle", aside)]),
        ("strip.height", strips.layer.height, vec![plain("strip", strips.layer.height)]),
    ] {
        trace.reasons.push(Reason {
            dimension: dimension.to_owned(),
            value,
            terms,
            decided_by: if dimension == "strip.height" { governed } else { Some(Rule::CradleContact) },
            runner_up: None,
        });
    }
}
