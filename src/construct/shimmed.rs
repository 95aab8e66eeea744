//! Rails on a base for a blank that is not flat, carried by shims wherever it stands off the base.

use super::framed::{self, Framed};
use super::layout::WALL;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Grain, Part, Place, Role};
use crate::geometry::heights::HeightGrid;
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::request::{Hold, Warp};
use crate::rules::Rule;
use crate::trace::{Clash, Conflict};

/// Side of a shim in plan. Common practice, no source.
const SHIM: Length = Length::inches(3, 4);
/// A gap no feeler goes into needs no shim: 0.005 in. Common practice, no source.
const LEAST_SHIM: Length = Length::inches(5, 1000);

/// Shimmed carrier.
pub struct Shimmed;

impl Construction for Shimmed {
    fn id(&self) -> &'static str {
        "shimmed"
    }

    fn title(&self) -> &'static str {
        "Warped blank on shims"
    }

    fn when(&self) -> &'static str {
        "The blank is cupped, bowed or twisted and must not be pressed flat."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::HotGlue, Hold::Snug, Hold::Wedge]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        // A blank nobody found warped needs no shims; that is only worth saying where they were asked for.
        if setting.request.blank.warp.is_none() && setting.request.construction.is_none() {
            return Vec::new();
        }
        vec![Attempt::of("shims on a base", self.design(setting))]
    }
}

impl Shimmed {
    fn design(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        setting.needs_edges()?;
        setting.needs_plain_top()?;
        let Some(warp) = &setting.request.blank.warp else {
            return Err(Conflict::plain(Rule::BlankFlat, "the blank is taken as flat: nothing to shim"));
        };
        budget(setting, warp)?;
        let seat = if setting.turned { warp.shims.turned() } else { warp.shims.clone() };
        let level = Setting { rise: warp.flatness(), seat: Some(seat), ..setting.clone() };
        let framed = Framed { rail: WALL, above: Length::ZERO, may_pack: false, corner_blocks: false };
        framed::design(&level, self, framed)
    }
}

/// What is left once both faces are flat, against what is wanted.
fn budget(setting: &Setting<'_>, warp: &Warp) -> Result<(), Conflict> {
    let Some((wanted, measured)) = warp.wanted.zip(setting.request.blank.thickness.as_ref()) else { return Ok(()) };
    let left = measured.smallest - warp.flatness();
    if left >= wanted {
        return Ok(());
    }
    let text = format!(
        "thickness {} - {} out of flat leaves {} once both faces are flat, {} wanted",
        setting.say_depth(measured.smallest),
        setting.say_depth(warp.flatness()),
        setting.say_depth(left),
        setting.say_depth(wanted)
    );
    let shortfall = wanted - left;
    Err(Conflict { clashes: vec![Clash { rule: Rule::WarpBudget, text, amount: shortfall }], shortfall })
}

/// The shims on a base with its top at `floor`, for a blank that lies as `seat` says, in carrier
/// coordinates: each square lies inside the blank's edge at its place.
pub fn shims(seat: &HeightGrid, floor: Length) -> Option<Part> {
    let (x0, x1) = (*seat.xs.first()?, *seat.xs.last()?);
    let (y0, y1) = (*seat.ys.first()?, *seat.ys.last()?);
    let (long, wide) = (SHIM.min(x1 - x0), SHIM.min(y1 - y0));
    let places: Vec<Place> = seat
        .places()
        .filter(|(_, _, thickness)| *thickness >= LEAST_SHIM)
        .map(|(x, y, thickness)| {
            let near_x = (x - long.half()).max(x0).min(x1 - long);
            let near_y = (y - wide.half()).max(y0).min(y1 - wide);
            let outline = Outline::Rect(Rect::sized(near_x, near_y, long, wide));
            Place { outline, z0: floor, z1: floor + thickness, voids: Vec::new() }
        })
        .collect();
    if places.is_empty() {
        return None;
    }
    let mut part = framed::part(
        "shim",
        Role::Shim,
        "card, veneer or wedge",
        800.0,
        1,
        Grain::None,
        Rect::sized(x0, y0, long, wide),
        (floor, floor + seat.greatest()),
    );
    part.places = places;
    part.remark = Some("thickness at each place by the shim map; this is the thickest".to_owned());
    Some(part)
}
