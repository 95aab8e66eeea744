//! Rails on a base for a blank that tapers in thickness, its top brought level by wedge shims.

use super::framed::{self, Framed};
use super::layout::WALL;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Grain, Part, Place, Role, Void, VoidKind};
use crate::geometry::heights::HeightGrid;
use crate::geometry::{Outline, Rect};
use crate::length::{Length, Unit};
use crate::request::{Hold, Slope, ThickEnd};
use crate::rules::Rule;
use crate::trace::{Clash, Conflict, Reason, Term};

/// Width of a wedge shim in plan: the board it is sawn from lies flat on the saw. Common practice, no source.
const WIDE: Length = Length::inches(3, 4);
/// A shim is nowhere thinner than this. Common practice, no source.
const FOOT: Length = Length::inches(1, 16);
/// Shims stand no farther apart than this. Common practice, no source.
const APART: Length = Length::inches(4, 1);
/// Steepest fall: 1 in this. Engineering judgement.
const STEEPEST: i64 = 8;
/// Most stations along a shim, and most shims.
const MOST: i64 = 24;

/// Blank that tapers in thickness, on wedge shims.
pub struct TaperInThickness;

impl Construction for TaperInThickness {
    fn id(&self) -> &'static str {
        "taper-in-thickness"
    }

    fn title(&self) -> &'static str {
        "Wedge-shaped blank levelled on wedge shims"
    }

    fn when(&self) -> &'static str {
        "The blank is thicker at one end or side than at the other, and its top is to lie level."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::HotGlue, Hold::Snug, Hold::Wedge]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        // Of a blank as thick all over this is only worth saying where it was asked for.
        if setting.request.blank.slope.is_none() && setting.request.construction.is_none() {
            return Vec::new();
        }
        vec![Attempt::of("wedge shims on a base", self.design(setting))]
    }
}

impl TaperInThickness {
    fn design(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        setting.needs_edges()?;
        setting.needs_plain_top()?;
        let Some(slope) = &setting.request.blank.slope else {
            return Err(Conflict::plain(Rule::WedgeShim, "the blank is as thick all over: nothing to level"));
        };
        if setting.cut_through() {
            let text = "a through cut would come out between the wedge shims, where nothing backs the wood";
            return Err(Conflict::plain(Rule::FloorAfterCut, text));
        }
        let across = low_side(setting, slope)? == ThickEnd::Fence;
        let (span, other) = if across { (setting.width, setting.length) } else { (setting.length, setting.width) };
        let (span, other) = (span.nominal, other.nominal);
        let rise = (setting.thickness - slope.thin.nominal).or_zero();
        steep(setting, rise, span)?;
        let seat = seat(setting, rise, (span, other), across);
        let level = Setting { rise: FOOT, seat: Some(seat), ..setting.clone() };
        let framed = Framed { rail: WALL, above: Length::ZERO, may_pack: false, corner_blocks: false };
        let mut design = framed::design(&level, self, framed)?;
        if setting.thickness_known {
            let term = |label: &str, amount| Term { label: label.to_owned(), amount, rule: Some(Rule::WedgeShim) };
            design.trace.reasons.push(Reason {
                dimension: "wedge-shim.height".to_owned(),
                value: FOOT + rise,
                terms: vec![
                    term("least shim", FOOT),
                    term("thick end", setting.thickness),
                    term("thin end", -slope.thin.nominal),
                ],
                decided_by: Some(Rule::WedgeShim),
                runner_up: None,
            });
        }
        Ok(design)
    }
}

/// The wall the thick end stands against as the blank lies; it is the low end of the shims.
fn low_side(setting: &Setting<'_>, slope: &Slope) -> Result<ThickEnd, Conflict> {
    match (setting.turned, slope.thick_end) {
        (false, end) => Ok(end),
        // A quarter turn brings the fence side to the lead end, and the lead end to the far side.
        (true, ThickEnd::Fence) => Ok(ThickEnd::Lead),
        (true, ThickEnd::Lead) => Err(Conflict::plain(
            Rule::LowStop,
            "turned by a quarter its thick end lies at the far side, where no datum wall stops it sliding down",
        )),
    }
}

fn steep(setting: &Setting<'_>, rise: Length, span: Length) -> Result<(), Conflict> {
    let shortfall = rise * STEEPEST - span;
    if shortfall <= Length::ZERO {
        return Ok(());
    }
    let text = format!("{} fall in {} is steeper than 1 in {STEEPEST}", setting.say_depth(rise), setting.say(span));
    Err(Conflict { clashes: vec![Clash { rule: Rule::WedgeSlope, text, amount: shortfall }], shortfall })
}

/// Heights of the shims: stations every 2 in (50 mm) up the slope, one line for each shim.
fn seat(setting: &Setting<'_>, rise: Length, (span, other): (Length, Length), across: bool) -> HeightGrid {
    let every = match setting.unit() {
        Unit::Inch => Length::inches(2, 1),
        Unit::Millimetre => Length::MM * 50,
    };
    let every = (1..=MOST).map(|times| every * times).find(|every| *every * MOST >= span).unwrap_or(span);
    let mut stations: Vec<Length> = (0..).map(|place| every * place).take_while(|at| *at < span).collect();
    stations.push(span);
    let spaces = (other.ticks() / APART.ticks() + 1).clamp(1, MOST);
    let lines: Vec<Length> = (0..=spaces).map(|line| Length::from_ticks(other.ticks() / spaces * line)).collect();
    let height = |station: usize| {
        let share = stations.get(station).map_or(0.0, |at| *at / span);
        FOOT + Length::from_mm(rise.to_mm() * share).unwrap_or_default()
    };
    if across {
        HeightGrid::of(lines, stations.clone(), |_, row| height(row))
    } else {
        HeightGrid::of(stations.clone(), lines, |column, _| height(column))
    }
}

/// The wedge shims on a base with its top at `floor`, for a blank that lies as `seat` says, in carrier
/// coordinates; each inside the blank's edge at its line.
pub fn wedge_shims(setting: &Setting<'_>, seat: &HeightGrid, floor: Length) -> Option<Part> {
    let (x0, x1) = (*seat.xs.first()?, *seat.xs.last()?);
    let (y0, y1) = (*seat.ys.first()?, *seat.ys.last()?);
    let across = seat.rows.first()?.first()? == seat.rows.first()?.last()?;
    let (low, high) = (floor + seat.least(), floor + seat.greatest());
    let board = setting.request.board.thickness;
    // What cannot be planed is as thick as it is sold.
    let wide = if setting.thicknesses_boards() { WIDE.min(board) } else { board };
    let wide = wide.min(if across { x1 - x0 } else { y1 - y0 });
    let from = |line: Length, least: Length, most: Length| (line - wide.half()).max(least).min(most - wide);
    let (lines, kind) = if across { (&seat.xs, VoidKind::SlopeAcross) } else { (&seat.ys, VoidKind::SlopeAlong) };
    let place = |line: &Length| {
        let plan = if across {
            Rect::sized(from(*line, x0, x1), y0, wide, y1 - y0)
        } else {
            Rect::sized(x0, from(*line, y0, y1), x1 - x0, wide)
        };
        let outline = Outline::Rect(plan);
        let sawn_off = Void { outline: outline.clone(), z0: low, z1: high, kind };
        Place { outline, z0: floor, z1: high, voids: vec![sawn_off] }
    };
    let board = &setting.request.board;
    let length = if across { y1 - y0 } else { x1 - x0 };
    Some(Part {
        id: String::new(),
        name: "wedge shim".to_owned(),
        role: Role::WedgeShim,
        material: board.name.clone(),
        size: Extent { length, width: wide, thickness: high - floor },
        grain: if across { Grain::AcrossFeed } else { Grain::AlongFeed },
        density: board.density,
        layers: 1,
        places: lines.iter().map(place).collect(),
        remark: Some(format!(
            "wedge, {} at its low end; the last figure is its high end",
            setting.say_depth(low - floor)
        )),
    })
}
