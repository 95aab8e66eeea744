//! Forces, strengths and stiffness that the carrier is worked out for: judgement, each editable in the job.

use super::build::{Builder, JUDGEMENT, PRACTICE};
use crate::length::Length;
use crate::library::reader::Table;
use crate::mechanics::N_PER_MM2_PER_PSI;

/// What presses on the carrier and how stiff things are. Its default holds the figures of the shop that the
/// documented defaults speak of, for a 1/4 in cutter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loads {
    /// Force of one roller on what is fed, lbf.
    pub roller_force_lbf: f64,
    /// Downward force of the cutter, lbf.
    pub plunge_force_lbf: f64,
    /// Most that the carrier may give at the cutter, its floor, or a rail that is held only at its ends.
    pub most_give: Length,
    /// Modulus of elasticity of the blank along its grain, N/mm2.
    pub blank_elasticity: f64,
    /// Modulus of elasticity of a wooden rail that is held only at its ends, psi.
    pub rail_elasticity_psi: f64,
}

impl Default for Loads {
    fn default() -> Loads {
        Loads {
            roller_force_lbf: 20.0,
            plunge_force_lbf: 10.0,
            most_give: Length::inches(1, 64),
            blank_elasticity: USUAL_ELASTICITY_PSI * N_PER_MM2_PER_PSI,
            rail_elasticity_psi: USUAL_ELASTICITY_PSI,
        }
    }
}

/// Modulus of elasticity of a wood that is not known, psi: low for a wood of common use.
const USUAL_ELASTICITY_PSI: f64 = 1.2e6;
/// Modulus across the grain, as a share of that along it (USDA Wood Handbook, table 5-1, 0.04 to 0.1;
/// from memory).
const ACROSS: f64 = 1.0 / 16.0;

impl Loads {
    /// The blank's modulus along the feed, N/mm2: its grain runs along its length.
    pub fn blank_along(&self, turned: bool) -> f64 {
        if turned { self.blank_elasticity * ACROSS } else { self.blank_elasticity }
    }

    /// The modulus of the blank bent both ways as a plate, N/mm2: the mean in proportion of that along and
    /// across the grain (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, orthotropic plates).
    pub fn blank_both_ways(&self) -> f64 {
        self.blank_elasticity * ACROSS.sqrt()
    }
}

impl Builder<'_, '_> {
    /// The loads of a job whose cutter pushes sideways with `side` lbf.
    pub(super) fn loads(&mut self, table: &Table, side: f64) -> Loads {
        let usual = Loads::default();
        let most_give =
            self.size_or(table, ("estimates", "most-give"), usual.most_give, Length::micrometres(400), PRACTICE);
        let row = self.job.blank.text("wood").map(|name| self.library.woods_like(name)).unwrap_or_default();
        let printed = match row.as_slice() {
            [wood] => wood.elasticity.map(|elasticity| (elasticity, wood.source.clone())),
            _ => None,
        };
        let (psi, source) = printed.map_or((USUAL_ELASTICITY_PSI, JUDGEMENT.to_owned()), |(elasticity, source)| {
            ((elasticity / N_PER_MM2_PER_PSI).round(), source)
        });
        let mut number = |name, usual, unit, source: &str| self.number_or(table, name, usual, unit, source);
        Loads {
            roller_force_lbf: number("roller-force-lbf", usual.roller_force_lbf, "lbf", JUDGEMENT),
            plunge_force_lbf: number("plunge-force-lbf", side, "lbf", JUDGEMENT),
            most_give,
            blank_elasticity: number("blank-elasticity-psi", psi, "psi", &source) * N_PER_MM2_PER_PSI,
            rail_elasticity_psi: number("rail-elasticity-psi", usual.rail_elasticity_psi, "psi", JUDGEMENT),
        }
    }
}
