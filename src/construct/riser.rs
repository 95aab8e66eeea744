//! Riser: a board under a thin blank.

use super::assemble::{Draft, finish, hold_words, place_blank, plan_trace};
use super::framed::{self, Framed, best_panel, stock_part};
use super::layout::{HALF, WALL, across_bare, along_bare};
use super::stack::{self, cut_depth};
use super::stiff::Field;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Pocket, PocketKind, Role};
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::request::Hold;
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// A thicker blank does not need one.
const FLOPPY: Length = Length::inches(3, 8);

/// Riser under thin stock.
pub struct Riser;

impl Construction for Riser {
    fn id(&self) -> &'static str {
        "riser"
    }

    fn title(&self) -> &'static str {
        "Riser under a thin blank"
    }

    fn when(&self) -> &'static str {
        "The blank is thinner than the machine takes, or floppy."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Film, Hold::Tape]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let thin = setting.request.machine.thickness.min.max(FLOPPY);
        let ready = setting.needs_rectangle().and_then(|()| setting.needs_plain_top()).and_then(|()| {
            if setting.thickness < thin {
                Ok(())
            } else {
                let text = format!(
                    "the blank is {} thick; a riser is for less than {}",
                    setting.say_depth(setting.thickness),
                    setting.say_depth(thin)
                );
                Err(Conflict::plain(Rule::ThicknessMin, text))
            }
        });
        if let Err(conflict) = ready {
            return vec![Attempt::fails("board under the blank", conflict)];
        }
        let lipped = Framed { rail: WALL, above: Length::ZERO, may_pack: false, corner_blocks: false };
        vec![
            Attempt::of("of the blank's own size", self.plain(setting)),
            Attempt::of("with lips all round", framed::design(setting, self, lipped)),
        ]
    }
}

impl Riser {
    /// A riser of the blank's own size: long and wide enough as it is.
    fn plain(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        if setting.freed() {
            // The riser ends where the blank does: its own margins keep the cutter on the wood.
            let nearest = setting.margins.into_iter().min().unwrap_or(Length::ZERO);
            let carve = &setting.request.carve;
            let inside = HALF + carve.cutter + carve.overrun;
            stack::demand(setting, Rule::PerimeterInside, "cut all round", &[("margin", nearest)], inside, false)?;
        }
        let along = along_bare(setting)?;
        let across = across_bare(setting)?;
        let (length, width) = (along.total(), across.total());
        let upper = setting.thickness + setting.adhesive;
        let (base, heights) = best_panel(setting, &Field::of(&along, &across, None), upper, false)?;
        let (depth_below_top, flute) = cut_depth(setting, heights.top, heights.floor, false)?;
        let zero = Length::ZERO;
        let whole = Rect::new(zero, zero, length, width);
        let mut trace = plan_trace(setting, &along, &across);
        stack::trace_heights(setting, &heights, base, "blank-on-adhesive", Length::ZERO, &mut trace);
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: 0.0,
                variant: format!("of the blank's own size, {}, {}", base.name, hold_words(setting.hold)),
                carrier: Extent { length, width, thickness: heights.top },
                blank: place_blank(setting, zero, zero, heights.floor + setting.adhesive),
                pockets: vec![Pocket {
                    outline: Outline::Rect(whole),
                    z0: heights.floor,
                    z1: heights.top,
                    kind: PocketKind::OnBase,
                    relief: None,
                }],
                parts: vec![stock_part("riser", Role::Base, base, whole, (zero, heights.floor))],
                joints: Vec::new(),
                bridge: false,
                lopsided: false,
                pocket_cutter: None,
                waived: [&along.waived[..], &across.waived, &heights.waived, &flute].concat(),
                trace,
                depth_below_top,
                assembly: Assembly::Single,
                wall: zero,
                glued_edges: false,
            },
        )
    }
}
