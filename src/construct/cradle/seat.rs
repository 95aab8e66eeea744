//! What a round side rests on, and how high it lies there.

use super::super::Setting;
use super::super::stack::{self, Allowed, UpperLayer};
use crate::geometry::cradle::{sink, vee_centre, vee_contact_aside, vee_contact_height};
use crate::length::{Length, Measured};
use crate::request::{Level, Round, RoundKind, Seat, Tool, arc_radius_mm};
use crate::rules::Rule;
use crate::trace::Conflict;

/// A V stands at least this much above the line of contact. Common practice, no source.
const ABOVE_CONTACT: Length = Length::inches(1, 8);
/// Least air under a round between two edges, and least round above them. Common practice, no source.
const AIR: Length = Length::inches(1, 16);
/// Flat left on top of a bevelled strip. Common practice, no source.
const LAND: Length = Length::inches(1, 2);
/// Thinnest strip that is made; the thinnest a planer usually leaves.
const THINNEST: Length = Length::inches(1, 4);
/// Narrowest square strip: ripped without a pushing block.
const NARROWEST: Length = Length::inches(3, 4);
/// Least width of a board whose edges are bevelled. Common practice, no source.
pub const BEVELLED_BOARD: Length = Length::inches(3, 1);
/// Share of the width of a round that the gap of a saddle takes: it then sinks a fifth of its radius.
const GAP_SHARE: f64 = 0.6;

/// The round a section is a piece of, at its smallest and at its largest.
#[derive(Debug, Clone, Copy)]
pub struct Radii {
    /// Smallest, mm.
    pub low: f64,
    /// As measured, mm.
    pub nominal: f64,
    /// Largest, mm.
    pub high: f64,
}

/// A blank as small or as large as its readings allow.
#[derive(Debug, Clone, Copy)]
pub struct Extreme {
    /// Radius at the lead end, mm.
    pub lead: f64,
    /// Radius at the trail end, mm.
    pub trail: f64,
    /// Height of a half-round, mm.
    pub height: Option<f64>,
}

/// Growth across the grain, as a share of the size.
fn growth(setting: &Setting<'_>) -> f64 {
    setting.growth_across.to_mm() / setting.width.nominal.to_mm().max(1e-9)
}

/// The largest a size can be once it has grown, mm.
pub fn grown(setting: &Setting<'_>, measured: &Measured) -> f64 {
    measured.high().to_mm() + measured.nominal.to_mm() * growth(setting)
}

fn radii(setting: &Setting<'_>, measured: &Measured) -> Radii {
    let half = |length: Length| length.to_mm() / 2.0;
    Radii { low: half(measured.low()), nominal: half(measured.nominal), high: grown(setting, measured) / 2.0 }
}

/// Radii of the thick end (of anything but a spindle: of the whole).
pub fn thick(setting: &Setting<'_>, round: &Round) -> Radii {
    match round.kind {
        RoundKind::Rod | RoundKind::Spindle { .. } => radii(setting, setting.width),
        RoundKind::RoundUp | RoundKind::FlatUp => {
            let all: Vec<f64> = half_rounds(setting).map(|(w, h)| arc_radius_mm(w, h)).collect();
            let nominal = arc_radius_mm(setting.width.nominal.to_mm(), setting.thickness.to_mm());
            Radii {
                low: all.iter().copied().fold(nominal, f64::min),
                nominal,
                high: all.iter().copied().fold(nominal, f64::max),
            }
        }
    }
}

/// Radii of the thin end (of anything but a spindle: of the whole).
pub fn thin(setting: &Setting<'_>, round: &Round) -> Radii {
    round.small().map_or_else(|| thick(setting, round), |small| radii(setting, small))
}

/// Widths and heights of a half-round at the ends of what its readings allow.
fn half_rounds(setting: &Setting<'_>) -> impl Iterator<Item = (f64, f64)> {
    let heights = match &setting.request.blank.thickness {
        Some(measured) => [measured.low().to_mm(), grown(setting, measured)],
        None => [setting.thickness.to_mm(); 2],
    };
    let widths = [setting.width.low().to_mm(), grown(setting, setting.width)];
    widths.into_iter().flat_map(move |w| heights.into_iter().map(move |h| (w, h)))
}

/// Every blank at the ends of what its readings allow, and first the blank as measured.
pub fn extremes(setting: &Setting<'_>, round: &Round) -> Vec<Extreme> {
    let body = radii(setting, setting.width);
    let even = |r: f64| Extreme { lead: r, trail: r, height: None };
    match &round.kind {
        RoundKind::Rod => [body.nominal, body.low, body.high].into_iter().map(even).collect(),
        RoundKind::RoundUp | RoundKind::FlatUp => {
            let measured = (setting.width.nominal.to_mm(), setting.thickness.to_mm());
            std::iter::once(measured)
                .chain(half_rounds(setting))
                .map(|(w, h)| Extreme { height: Some(h), ..even(arc_radius_mm(w, h)) })
                .collect()
        }
        RoundKind::Spindle { small, thick_leads, .. } => {
            let thin = radii(setting, small);
            let pairs = [
                (body.nominal, thin.nominal),
                (body.low, thin.low),
                (body.low, thin.high),
                (body.high, thin.low),
                (body.high, thin.high),
            ];
            let placed = |(thick, thin): (f64, f64)| {
                let (lead, trail) = if *thick_leads { (thick, thin) } else { (thin, thick) };
                Extreme { lead, trail, height: None }
            };
            pairs.into_iter().map(placed).collect()
        }
    }
}

/// Two strips on which the round lies.
#[derive(Debug, Clone)]
pub struct Strips {
    /// Bevelled or square.
    pub seat: Seat,
    /// Half of the V's angle, radians.
    pub half_angle: f64,
    /// Between two square strips; nothing between bevelled ones.
    pub gap: Length,
    /// What they are made of, and their height.
    pub layer: UpperLayer,
    /// Width of each at its widest.
    pub width: Length,
    /// Whether the round asks for this height, and not what can be made.
    pub governed: bool,
    /// How far the bevel reaches in from the sharp edge; nothing for square strips.
    pub bevel: Length,
}

impl Strips {
    /// Width of both with their gap.
    pub fn pocket(&self) -> Length {
        self.width * 2 + self.gap
    }

    /// Height of a round's centre above what the strips lie on, mm.
    pub fn centre(&self, radius: f64) -> f64 {
        match self.seat {
            Seat::Vee => vee_centre(radius, self.half_angle),
            Seat::Saddle => self.layer.height.to_mm() + radius - sink(radius, self.gap.to_mm()),
        }
    }

    /// Where the round touches: height above what the strips lie on, and distance from the middle, mm.
    pub fn contact(&self, radius: f64) -> (f64, f64) {
        match self.seat {
            Seat::Vee => (vee_contact_height(radius, self.half_angle), vee_contact_aside(radius, self.half_angle)),
            Seat::Saddle => (self.layer.height.to_mm(), self.gap.to_mm() / 2.0),
        }
    }
}

/// A length that lies outside what lengths can be counts as one that nothing takes.
pub fn length(mm: f64) -> Length {
    Length::from_mm(mm).unwrap_or(Length::INCH * 10_000)
}

/// Least width between the rails: the largest blank and its clearance.
pub fn room(setting: &Setting<'_>) -> Length {
    setting.width.high() + setting.growth_across + setting.clearance() * 2
}

/// The least height the rails can have on any strips: that of the smallest blank's thin end.
pub fn least_rails(setting: &Setting<'_>, round: &Round, seat: Seat) -> Length {
    let lowest = |extreme: Extreme| {
        let radius = extreme.lead.min(extreme.trail);
        let under = match seat {
            Seat::Vee => vee_centre(radius, round.half_angle()) - radius,
            Seat::Saddle => AIR.to_mm(),
        };
        under + extreme.height.unwrap_or(2.0 * radius)
    };
    let least = extremes(setting, round).into_iter().map(lowest).fold(f64::INFINITY, f64::min);
    length(least).down(setting.request.depth_step())
}

/// Sizes the strips of one kind, out of the material of this choice in the order of preference.
pub fn strips(setting: &Setting<'_>, round: &Round, seat: Seat, choice: usize) -> Result<Strips, Conflict> {
    match seat {
        Seat::Vee => vee(setting, round, choice),
        Seat::Saddle => saddle(setting, round, choice),
    }
}

fn layer(setting: &Setting<'_>, height: Length, choice: usize) -> Result<UpperLayer, Conflict> {
    // The rails' choice of material says nothing about the strips'.
    let own = Setting { upper_choice: choice, ..setting.clone() };
    stack::upper_layer(&own, height, Allowed::Higher)
}

/// The least height of a half-round above its lowest point; of a whole round its diameter.
fn least_height(setting: &Setting<'_>, round: &Round) -> f64 {
    let low = extremes(setting, round).into_iter().filter_map(|extreme| extreme.height).reduce(f64::min);
    low.unwrap_or_else(|| 2.0 * thin(setting, round).low)
}

fn vee(setting: &Setting<'_>, round: &Round, choice: usize) -> Result<Strips, Conflict> {
    let half_angle = round.half_angle();
    let (step, depth_step) = (setting.step(), setting.request.depth_step());
    if !setting.owns(Tool::TableSaw) {
        let text = "the faces of a V are ripped with the blade of a table saw tilted";
        return Err(Conflict::plain(Rule::ToolOwned, text));
    }
    let largest = thick(setting, round).high;
    // The lowest point of the round lies under the line of contact by R (1 - sin a).
    let under = largest * (1.0 - libm::sin(half_angle));
    if under + AIR.to_mm() > least_height(setting, round) {
        let text = format!(
            "a V of {} degrees would touch the blank {} above its lowest point, beyond its round",
            round.v_degrees,
            setting.say_depth(length(under).up(depth_step))
        );
        return Err(Conflict::plain(Rule::CradleContact, text));
    }
    let needed = (length(vee_contact_height(largest, half_angle)) + ABOVE_CONTACT).up(depth_step);
    let layer = layer(setting, needed.max(THINNEST), choice)?;
    let slant = length(layer.height.to_mm() / libm::cos(half_angle));
    if slant > setting.request.shop.saw_height {
        let text = format!(
            "a bevel through {} of wood is {} long: the saw reaches {}",
            setting.say_depth(layer.height),
            setting.say_depth(slant.up(depth_step)),
            setting.say(setting.request.shop.saw_height)
        );
        return Err(Conflict::plain(Rule::ToolOwned, text));
    }
    let bevel = length(layer.height.to_mm() * libm::tan(half_angle));
    let board = BEVELLED_BOARD - setting.request.shop.kerf;
    let width = (bevel + LAND).max(room(setting).half_up()).max(board.half_up()).up(step);
    Ok(Strips { seat: Seat::Vee, half_angle, gap: Length::ZERO, governed: layer.height == needed, layer, width, bevel })
}

fn saddle(setting: &Setting<'_>, round: &Round, choice: usize) -> Result<Strips, Conflict> {
    let step = setting.step();
    let narrow = round.small().unwrap_or(setting.width);
    let gap = length(narrow.nominal.to_mm() * GAP_SHARE).down(step);
    if gap <= Length::ZERO {
        let text = "so small a round lies between no two edges the ruler can set";
        return Err(Conflict::plain(Rule::CradleContact, text));
    }
    // The smallest round sinks deepest.
    let deepest = sink(thin(setting, round).low, gap.to_mm());
    if deepest + AIR.to_mm() > least_height(setting, round) {
        let text = "the blank is too low to stand above two edges it lies on";
        return Err(Conflict::plain(Rule::CradleContact, text));
    }
    let needed = (length(deepest) + AIR).up(setting.request.depth_step());
    let layer = layer(setting, needed.max(THINNEST), choice)?;
    let width = (room(setting) - gap).half_up().max(NARROWEST).up(step);
    Ok(Strips {
        seat: Seat::Saddle,
        half_angle: round.half_angle(),
        gap,
        governed: layer.height == needed,
        layer,
        width,
        bevel: Length::ZERO,
    })
}

/// A stretch of cradle under a spindle, or under the whole blank.
#[derive(Debug, Clone, Copy)]
pub struct Block {
    /// From the lead end of the blank to where it touches first: the block's end towards the thick end.
    pub touch: Length,
    /// From the lead end of the blank to the block's lead end.
    pub from: Length,
    /// Its length along the feed.
    pub length: Length,
    /// How much higher than the base it stands.
    pub riser: Length,
}

/// Where blocks stand from the ends of a spindle, and their length. Common practice, no source.
const INSET: Length = Length::inches(1, 2);
const BLOCK: Length = Length::inches(3, 2);

/// The blocks under a spindle, the thick end's first, their risers not yet settled.
pub fn blocks(setting: &Setting<'_>, thick_leads: bool) -> Result<[Block; 2], Conflict> {
    let step = setting.step();
    let (inset, size) = (INSET.up(step), BLOCK.up(step));
    let whole = setting.length.nominal;
    if setting.length.low() < (inset + size) * 2 + Length::INCH {
        let text = format!(
            "{} is too short to lie on two blocks of {}; hold it in a block bored to its shape",
            setting.say(whole),
            setting.say(size)
        );
        return Err(Conflict::plain(Rule::CradleContact, text));
    }
    // The pocket's walls are on the ruler, and so are the blocks, whatever the blank's own length.
    let far = (whole - inset - size).down(step);
    let lead = Block { touch: inset, from: inset, length: size, riser: Length::ZERO };
    let trail = Block { touch: far, from: far, length: size, riser: Length::ZERO };
    Ok(if thick_leads {
        [lead, trail]
    } else {
        [Block { touch: far + size, ..trail }, Block { touch: inset + size, ..lead }]
    })
}

/// Radius of a blank at `x` from its lead end, mm.
pub fn radius_at(extreme: &Extreme, x: Length, whole: Length) -> f64 {
    let share = (x.to_mm() / whole.to_mm().max(1e-9)).clamp(0.0, 1.0);
    extreme.lead + (extreme.trail - extreme.lead) * share
}

/// Height above the base of the highest point at the lead and at the trail end, mm.
pub fn tops(extreme: &Extreme, strips: &Strips, blocks: Option<&[Block; 2]>, whole: Length) -> (f64, f64) {
    let Some([one, other]) = blocks else {
        let centre = strips.centre(extreme.lead);
        let top = centre + extreme.height.map_or(extreme.lead, |height| height - extreme.lead);
        return (top, top);
    };
    let axis = |block: &Block| block.riser.to_mm() + strips.centre(radius_at(extreme, block.touch, whole));
    let run = (other.touch - one.touch).to_mm();
    let slope = if run == 0.0 { 0.0 } else { (axis(other) - axis(one)) / run };
    let at = |x: f64| axis(one) + slope * (x - one.touch.to_mm());
    (at(0.0) + extreme.lead, at(whole.to_mm()) + extreme.trail)
}

/// How much higher the thin end's block must stand, mm.
pub fn rise(extreme: &Extreme, strips: &Strips, blocks: &[Block; 2], whole: Length, level: Level) -> f64 {
    let [thick, thin] = [radius_at(extreme, blocks[0].touch, whole), radius_at(extreme, blocks[1].touch, whole)];
    let axis = strips.centre(thick) - strips.centre(thin);
    match level {
        Level::Axis => axis,
        Level::Crown => axis + thick - thin,
    }
}
