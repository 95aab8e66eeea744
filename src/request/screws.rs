//! Wood screws driven up through the floor into the blank: which may be used, and how near the cut they may come.

use super::Hold;
use super::build::{Builder, JUDGEMENT, PRACTICE};
use crate::diagnostic::{nearest, quoted};
use crate::length::Length;
use crate::library::Screw;
use crate::library::reader::list;

/// What a blank may be screwed down with. The default holds the least that is ever asked.
#[derive(Debug, Clone, PartialEq)]
pub struct ScrewChoice {
    /// Sizes to choose from, in the order in which they are tried; empty where the job holds its blank otherwise.
    pub sizes: Vec<Screw>,
    /// How far the tips stay below the deepest cut.
    pub clear: Length,
    /// Specific gravity of the blank: oven-dry weight, volume at 12 % moisture.
    pub gravity: f64,
    /// The shop's own figure for the pull one screw may take, lbf.
    pub pull_lbf: Option<f64>,
    /// The same for a push to the side, lbf.
    pub side_lbf: Option<f64>,
}

/// Least that a tip stays below the deepest cut. Common practice, no source.
const CLEAR: Length = Length::inches(1, 8);
/// Specific gravity of a wood that is not known: that of the lightest woods of common use. Judgement.
const LIGHT: f64 = 0.35;
/// A density at 12 % moisture over the specific gravity, kg/m3: water and the weight of the moisture in the wood
/// (USDA Wood Handbook, ch. 4).
const DENSITY_OVER_GRAVITY: f64 = 1000.0 * 1.12;

impl Default for ScrewChoice {
    fn default() -> ScrewChoice {
        ScrewChoice { sizes: Vec::new(), clear: CLEAR, gravity: LIGHT, pull_lbf: None, side_lbf: None }
    }
}

impl Builder<'_, '_> {
    /// The screws of a job that is held by `hold`.
    pub(super) fn screws(&mut self, hold: Option<Hold>) -> ScrewChoice {
        let job = self.job;
        let table = &job.hold;
        if hold != Some(Hold::Screws) {
            for name in ["screw", "screw-length", "screw-clear"] {
                if table.has(name) {
                    let help = "write `by = \"screws\"`, or leave it out";
                    self.reader.error(table.span_of(name), format!("`{name}` is of use for screws only"), help);
                }
            }
            return ScrewChoice::default();
        }
        let known: Vec<&Screw> = self.library.screws().iter().filter(|screw| screw.units == self.units).collect();
        let named = |name: &str| self.library.screws().iter().find(|screw| screw.id.eq_ignore_ascii_case(name.trim()));
        let mut sizes: Vec<Screw> = match table.text("screw") {
            None => known.iter().copied().cloned().collect(),
            Some(name) => match named(name) {
                Some(screw) => vec![screw.clone()],
                None => {
                    let ids: Vec<&str> = known.iter().map(|screw| screw.id.as_str()).collect();
                    let help = match nearest(name, ids.iter().copied()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("expected one of {}", list(&ids)),
                    };
                    self.reader.error(table.span_of("screw"), format!("unknown screw {}", quoted(name)), help);
                    Vec::new()
                }
            },
        };
        if let Some(length) = table.size("screw-length") {
            sizes.iter_mut().for_each(|size| size.lengths = vec![length]);
        }
        let clear = self.size_or(table, ("hold", "screw-clear"), CLEAR, CLEAR, PRACTICE);
        let stated = job.estimates.number("blank-density-kg-m3");
        let rows = job.blank.text("wood").map(|name| self.library.woods_like(name)).unwrap_or_default();
        let gravity = match (stated, rows.as_slice()) {
            (Some(density), _) => density / DENSITY_OVER_GRAVITY,
            (None, [wood]) => wood.density / DENSITY_OVER_GRAVITY,
            _ => {
                self.assume("blank.wood", format!("as weak as a light softwood, specific gravity {LIGHT}"), JUDGEMENT);
                LIGHT
            }
        };
        ScrewChoice {
            sizes,
            clear,
            gravity,
            pull_lbf: job.estimates.number("screw-pull-lbf"),
            side_lbf: job.estimates.number("screw-side-lbf"),
        }
    }
}
