//! No carrier: the blank is fed as it is.

use super::assemble::{Draft, finish, place_blank, plan_trace};
use super::layout::{across_bare, along_bare, broken_bare};
use super::stack::{bare_thickness, cut_depth};
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent};
use crate::length::Length;
use crate::request::Hold;
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Feeds the blank without a carrier.
pub struct None;

impl Construction for None {
    fn id(&self) -> &'static str {
        "none"
    }

    fn title(&self) -> &'static str {
        "No carrier needed"
    }

    fn when(&self) -> &'static str {
        "The blank itself meets every limit and has waste enough at both ends."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Snug]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let first = match self.design(setting) {
            Ok(design) => return vec![Attempt::works(design)],
            Err(conflict) => conflict,
        };
        // Whoever asks whether a carrier is needed wants every limit that is broken, not the first.
        let mut broken: Vec<Attempt> =
            broken_bare(setting).into_iter().map(|(subject, conflict)| Attempt::fails(subject, conflict)).collect();
        let thickness = bare_thickness(setting, setting.thickness).err();
        broken.extend(thickness.map(|conflict| Attempt::fails("thickness", conflict)));
        if broken.is_empty() { vec![Attempt::fails("as it is", first)] } else { broken }
    }
}

impl None {
    fn design(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        setting.needs_rectangle()?;
        setting.needs_plain_top()?;
        if setting.freed() {
            let text = "the part is cut free all round: something must hold it when it comes loose";
            return Err(Conflict::plain(Rule::FreedPartHeld, text));
        }
        if setting.cut_through() {
            return Err(Conflict::plain(Rule::FloorAfterCut, "a through cut needs wood underneath, or the bed is cut"));
        }
        let along = along_bare(setting)?;
        let across = across_bare(setting)?;
        bare_thickness(setting, setting.thickness)?;
        let (depth_below_top, flute) = cut_depth(setting, setting.thickness, Length::ZERO, false)?;
        let waived = [&along.waived[..], &across.waived, &flute].concat();
        let trace = plan_trace(setting, &along, &across);
        let carrier = Extent { length: along.total(), width: across.total(), thickness: setting.thickness };
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: 0.0,
                variant: "as it is".to_owned(),
                carrier,
                blank: place_blank(setting, Length::ZERO, Length::ZERO, Length::ZERO),
                pockets: Vec::new(),
                parts: Vec::new(),
                joints: Vec::new(),
                bridge: false,
                lopsided: false,
                pocket_cutter: Option::None,
                waived,
                trace,
                depth_below_top,
                assembly: Assembly::Single,
                wall: setting.thickness,
                glued_edges: true,
            },
        )
    }
}
