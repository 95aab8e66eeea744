//! Rails and ends on a base: a through pocket made with straight saw cuts only.

use super::framed::{self, Framed};
use super::layout::WALL;
use super::{Attempt, Construction, Setting};
use crate::length::Length;
use crate::request::Hold;

/// Rails and ends on a base.
pub struct RailsOnBase;

impl Construction for RailsOnBase {
    fn id(&self) -> &'static str {
        "rails-on-base"
    }

    fn title(&self) -> &'static str {
        "Rails and ends on a base"
    }

    fn when(&self) -> &'static str {
        "Only saws in the shop, or a through cut that needs a base to run out into."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Snug, Hold::Wedge, Hold::Tape, Hold::Film, Hold::HotGlue, Hold::Screws]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let framed = Framed { rail: WALL, above: Length::ZERO, may_pack: true, corner_blocks: false };
        let result = setting
            .needs_rectangle()
            .and_then(|()| setting.needs_plain_top())
            .and_then(|()| framed::design(setting, self, framed));
        vec![Attempt::of("rails, ends and base", result)]
    }
}
