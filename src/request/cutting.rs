//! An estimate of the cutter's force from its feed, depth and the wood.

use super::build::{Builder, JUDGEMENT, PRACTICE};
use crate::length::{Length, Unit};
use crate::library::reader::Table;
use crate::mechanics::NEWTONS_PER_LBF;

/// Force at the cutter's edge, to the side, as estimated from the work it does.
///
/// Power is specific resistance times wood removed; with the whole width of the cutter in the wood the mean
/// force at the edge is `k a f / (pi n)` for a pass `a` deep, a feed `f` and a speed `n`: its diameter cancels
/// (power and cutting speed by definition; any text on wood machining).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutting {
    /// Feed, a length per minute.
    pub feed: Length,
    /// Speed, turns per minute.
    pub speed: f64,
    /// Depth of one pass.
    pub pass: Length,
    /// Resistance of the wood, least and greatest, N/mm2.
    pub resistance: (f64, f64),
}

/// Peak over mean for one or two cutting edges. Engineering bracket, 2 to 3.
const PEAK: f64 = 3.0;
/// Resistance to routing along the grain, N/mm2: engineering brackets, from memory. Measured for
/// particleboard: 32 to 37.6 (Palubicki, Materials 2021, 14, 2208).
const SOFT: (f64, f64) = (10.0, 25.0);
const HARD: (f64, f64) = (20.0, 40.0);
/// Woods that count as soft here are lighter than this, kg/m3. Judgement.
const LIGHT: f64 = 480.0;

/// Where the resistance comes from.
pub const SOURCE: &str = "k a f / (pi n), peak 3 times the mean; k by engineering brackets, from memory: 10 to 25 N/mm2 along the grain of light woods, 20 to 40 of others (particleboard measured 32 to 37.6, Palubicki, Materials 2021, 14, 2208)";

impl Cutting {
    /// Mean force with the softest and peak force with the hardest, lbf. End grain and a dull edge can double
    /// or treble it.
    pub fn range_lbf(&self) -> (f64, f64) {
        let mean = |resistance: f64| {
            let (feed, turns) = (self.feed.to_mm() / 60.0, self.speed / 60.0);
            resistance * self.pass.to_mm() * feed / (std::f64::consts::PI * turns) / NEWTONS_PER_LBF
        };
        (mean(self.resistance.0), PEAK * mean(self.resistance.1))
    }
}

impl Builder<'_, '_> {
    /// What the cutter does in the wood; `depth` is all that it cuts.
    pub(super) fn cutting(&mut self, cutter: Length, depth: Length, density: f64) -> Cutting {
        let job = self.job;
        let table: &Table = &job.carve;
        let (usual, metric) = (Length::inches(100, 1), Length::micrometres(2_500_000));
        let feed = match (table.number("feed"), self.units) {
            (Some(feed), Unit::Inch) => Length::from_mm(feed * 25.4).unwrap_or(usual),
            (Some(feed), Unit::Millimetre) => Length::from_mm(feed).unwrap_or(metric),
            (None, units) => {
                let feed = if units == Unit::Inch { usual } else { metric };
                let shown = self.show(feed);
                self.assume("carve.feed", format!("{shown} a minute"), PRACTICE);
                feed
            }
        };
        let speed = table.number("speed").unwrap_or_else(|| {
            self.assume("carve.speed", "18000 turns a minute", PRACTICE);
            18_000.0
        });
        let pass = table.size("pass").unwrap_or_else(|| {
            // As deep as the cutter is wide; small ones half of that.
            let whole = if cutter <= Length::inches(1, 8) { cutter.half() } else { cutter };
            let pass = whole.min(depth);
            let shown = self.show(pass);
            self.assume("carve.pass", shown, PRACTICE);
            pass
        });
        Cutting { feed, speed, pass, resistance: if density < LIGHT { SOFT } else { HARD } }
    }

    /// The side force to reckon with: the shop's figure, or the estimate where that is more.
    pub(super) fn side_force(&mut self, table: &Table, usual: f64, cutting: Option<&Cutting>) -> f64 {
        if let Some(own) = table.number("side-force-lbf") {
            return own;
        }
        let Some(cutting) = cutting else {
            return self.number_or(table, "side-force-lbf", usual, "lbf", JUDGEMENT);
        };
        let (low, high) = cutting.range_lbf();
        let range = match self.units {
            Unit::Inch => format!("{low:.1} to {high:.1} lbf"),
            Unit::Millimetre => format!("{:.0} to {:.0} N", low * NEWTONS_PER_LBF, high * NEWTONS_PER_LBF),
        };
        let (taken, which) =
            if high > usual { (high, "the estimate's upper end") } else { (usual, "the shop's figure, no less") };
        let shown = (taken * 100.0).round() / 100.0;
        let value = format!("{shown} lbf, {which}; the estimate is {range}, mean to peak");
        self.assume("estimates.side-force-lbf", value, SOURCE);
        taken
    }
}
