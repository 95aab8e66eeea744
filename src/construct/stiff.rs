//! How thick a floor and how wide a rail must be so that the carrier gives no more than it may.
//!
//! The floor is asked as a plate under the cutter, over the bed's opening or from wall to wall. The whole is
//! asked here as a beam of one section, that of the pocket, over the opening alone; the finished design is
//! asked again with all its sections, its weight, and every place of the cutter.

use super::Setting;
use super::bearing::SOFTEST;
use super::layout::Line;
use super::stack::Heights;
use crate::length::Length;
use crate::mechanics::NEWTONS_PER_LBF;
use crate::mechanics::plate::{least_thickness, rigidity};
use crate::mechanics::section::{Layer, bonded};
use crate::request::{Shape, Stock, Through};

/// What of a carrier's plan decides how stiff it is.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Overall length and width.
    pub size: (Length, Length),
    /// One pocket, along and across.
    pub opening: (Length, Length),
    /// What all pockets together take across.
    pub open: Length,
    /// Modulus of elasticity of rails on a base, N/mm2; `None` where the stock itself stands beside the pocket.
    pub rails: Option<f64>,
}

impl Field {
    /// The plan of a carrier with one pocket.
    pub fn of(along: &Line, across: &Line, rails: Option<f64>) -> Field {
        Field {
            size: (along.total(), across.total()),
            opening: (along.pocket(), across.pocket()),
            open: across.pocket(),
            rails,
        }
    }
}

/// Downward force of the cutter, N.
fn plunge(setting: &Setting<'_>) -> f64 {
    setting.request.shop.estimates.loads.plunge_force_lbf * NEWTONS_PER_LBF
}

/// The least floor of this stock under one pocket, rounded up to the ruler for depths; zero for a bed
/// without an opening.
pub fn least_floor(setting: &Setting<'_>, opening: (Length, Length), stock: &Stock) -> Length {
    let request = setting.request;
    let gap = request.machine.bed_gap;
    if gap <= Length::ZERO {
        return Length::ZERO;
    }
    let sides = (gap.min(opening.0).to_mm(), opening.1.to_mm());
    let loads = &request.shop.estimates.loads;
    // A blank that lies flat on the floor bends with it; what is cut through has gone.
    let flat = setting.seat.is_none()
        && setting.below.is_none()
        && setting.thickness_known
        && !matches!(request.blank.shape, Shape::Round(_));
    let left = if flat && request.carve.through == Through::No {
        (setting.thickness - request.carve.depth).or_zero()
    } else {
        Length::ZERO
    };
    let on_it = rigidity(loads.blank_both_ways(), left.to_mm());
    least_thickness(plunge(setting), sides, stock.elasticity, on_it, loads.most_give.to_mm())
        .and_then(Length::from_mm)
        .unwrap_or_default()
        .up(request.depth_step())
}

/// How much a carrier of this plan gives over the bed's opening, mm: the section through its pocket, a beam
/// on two supports with the cutter in the middle.
pub fn gives(setting: &Setting<'_>, field: &Field, stock: &Stock, heights: &Heights) -> f64 {
    let span = setting.request.machine.bed_gap.to_mm();
    if span <= 0.0 {
        return 0.0;
    }
    let walls = field.size.1 - field.open;
    let stiffness = bonded(&[
        Layer { width: field.size.1.to_mm(), bottom: 0.0, top: heights.floor.to_mm(), elasticity: stock.elasticity },
        Layer {
            width: walls.to_mm(),
            bottom: heights.floor.to_mm(),
            top: heights.top.to_mm(),
            elasticity: field.rails.unwrap_or(stock.elasticity),
        },
    ]);
    plunge(setting) * span * span * span / (48.0 * stiffness.max(SOFTEST))
}

/// Whether it gives more than it may.
pub fn too_soft(setting: &Setting<'_>, field: &Field, stock: &Stock, heights: &Heights) -> bool {
    gives(setting, field, stock, heights) > setting.request.shop.estimates.loads.most_give.to_mm()
}

/// Widest rail that is tried: beyond it wood is better put under the pocket.
const WIDEST_RAIL: Length = Length::inches(6, 1);

/// Width of each of two rails with which a carrier that is too soft is stiff enough, on the ruler; `None`
/// where no rail does it.
pub fn wider_rail(setting: &Setting<'_>, field: &Field, stock: &Stock, heights: &Heights) -> Option<Length> {
    let step = setting.step();
    let soft = |rail: Length| {
        let size = (field.size.0, field.open + rail * 2);
        too_soft(setting, &Field { size, ..*field }, stock, heights)
    };
    if soft(WIDEST_RAIL) {
        return None;
    }
    let (mut low, mut high) = (0, WIDEST_RAIL.ticks() / step.ticks().max(1) + 1);
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if soft(step * middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(step * high)
}
