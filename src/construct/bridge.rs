//! Recessed bridge: rails stand above the blank and carry the rollers.

use super::framed::{self, Framed};
use super::layout::BARE_RAIL;
use super::{Attempt, Construction, Setting};
use crate::length::Length;
use crate::request::Hold;

/// Clear height between the blank's highest point and the rollers. Common practice, no source.
const CLEAR: Length = Length::inches(1, 16);

/// Recessed bridge.
pub struct Bridge;

impl Construction for Bridge {
    fn id(&self) -> &'static str {
        "bridge"
    }

    fn title(&self) -> &'static str {
        "Recessed, rails bridge over the blank"
    }

    fn when(&self) -> &'static str {
        "The top is fragile, finished or already carved and must not be rolled on."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Tape, Hold::Film, Hold::Screws]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let above = setting.request.blank.relief_height + CLEAR;
        let framed = Framed { rail: BARE_RAIL, above, may_pack: false, corner_blocks: false };
        let result = setting.needs_rectangle().and_then(|()| framed::design(setting, self, framed));
        vec![Attempt::of("high rails on a base", result)]
    }
}
