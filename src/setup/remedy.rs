//! What to do about a carrier that did not come out as drawn. Common practice, no source; every
//! amount follows from the limits and the sizes measured.

use super::refit::{Action, Finding};
use crate::design::{Check, Design, PocketKind, Quantity, Status};
use crate::length::Length;
use crate::request::Request;
use crate::rules::Rule;

/// A blank may stand this proud: 1/64 in, common practice, no source.
const PROUD: Length = Length::inches(1, 64);

/// What is out, failures first, each with its remedy.
pub(super) fn findings(request: &Request, design: &Design, checks: &[Check]) -> Vec<Finding> {
    let bench = Bench { request, design, checks };
    let flush_failed = checks.iter().any(|c| c.rule == Rule::BlankFlushLimit && c.status == Status::Fail);
    let mut out: Vec<&Check> = checks
        .iter()
        .filter(|check| check.status != Status::Pass)
        // The wish says nothing more where the limit itself is missed.
        .filter(|check| !(check.rule == Rule::BlankFlush && flush_failed))
        .filter(|check| !(check.rule == Rule::PocketFloorWanted && bench.failed(Rule::PocketFloor)))
        .filter(|check| !(check.rule == Rule::GripWanted && bench.failed(end_rule(&check.subject))))
        .collect();
    out.sort_by_key(|check| check.status);
    out.into_iter().map(|check| bench.finding(check)).collect()
}

/// The limit behind the wish for grip at one end.
fn end_rule(subject: &str) -> Rule {
    if subject == "lead end" { Rule::LeadEndAllowance } else { Rule::TrailEndAllowance }
}

struct Bench<'a> {
    request: &'a Request,
    design: &'a Design,
    checks: &'a [Check],
}

impl Bench<'_> {
    fn failed(&self, rule: Rule) -> bool {
        self.checks.iter().any(|check| check.rule == rule && check.status == Status::Fail)
    }

    fn show(&self, length: Length) -> String {
        self.request.shop.depth_ruler.with_unit(length)
    }

    /// What a check of a length has to spare at least; nothing where there is no such check.
    fn spare(&self, rule: Rule, subject: Option<&str>) -> Option<Length> {
        let of = |check: &&Check| check.rule == rule && subject.is_none_or(|subject| check.subject == subject);
        let margins = self.checks.iter().filter(of).filter_map(|check| match check.margin() {
            Quantity::Length(margin) => Some(margin),
            Quantity::Number(..) => None,
        });
        margins.min()
    }

    fn finding(&self, check: &Check) -> Finding {
        let short = match check.margin() {
            Quantity::Length(margin) => -margin,
            Quantity::Number(..) => Length::ZERO,
        };
        let (action, amount, text) = self.remedy(check, short);
        Finding { check: check.clone(), action, amount, text }
    }

    fn remedy(&self, check: &Check, short: Length) -> (Action, Length, String) {
        let n = self.show(short);
        match check.rule {
            Rule::LengthMin => {
                let strip = if self.request.machine.strip > Length::ZERO {
                    " (a piece glued on would break the reference strip)"
                } else {
                    ""
                };
                self.scrap(short, format!("{n} too short for the machine: make the carrier again{strip}"))
            }
            Rule::LengthMax => self.trim(
                short,
                self.spare(Rule::TrailEndAllowance, None),
                format!("crosscut at least {n} off the trail end"),
                "the trail end",
            ),
            Rule::WidthMin => self.pack(
                short,
                format!("glue a strip at least {n} wide along the far edge, then rip that parallel to the fence edge"),
            ),
            Rule::WidthMax => self.trim(
                short,
                self.spare(Rule::WallAfterRelief, Some("far rail")),
                format!("rip at least {n} off the far edge"),
                "the far rail",
            ),
            Rule::ParallelEdges => self.trim(
                short,
                self.spare(Rule::WidthMin, None).map(|width| {
                    self.spare(Rule::WallAfterRelief, Some("far rail")).map_or(width, |wall| wall.min(width))
                }),
                format!("the ends differ by {n} too much: rip the far edge parallel to the fence edge"),
                "the far rail",
            ),
            Rule::ThicknessMin => self.under_bed(short, "too thin for the machine"),
            Rule::ThicknessMax => self.trim(
                short,
                self.floor_spare(),
                format!("plane or sand at least {n} off the bed face, no metal in the way"),
                "the floor",
            ),
            Rule::LeadEndAllowance | Rule::TrailEndAllowance => self.end_short(check, short),
            Rule::GripWanted => {
                let text = "over the least, with less reserve than wanted: leave it, and do not trim this end further";
                (Action::Nothing, short, text.to_owned())
            }
            Rule::ScrewTip => (
                Action::CarveLess,
                short,
                format!("the screws end {n} too near the cut: take shorter ones, or carve {n} less deep; not as it is"),
            ),
            Rule::ScrewBite => (
                Action::Recut,
                short,
                format!(
                    "the screws bite {n} too little: take longer ones if they stay clear of the cut, else tape the blank"
                ),
            ),
            Rule::ScrewHead => (
                Action::Recut,
                short,
                "bore for the screws anew, clear of the old holes, by the limits below".to_owned(),
            ),
            Rule::ScrewPlaces => (
                Action::Nothing,
                short,
                "nearer to the edge of the blank than wanted: bore the pilot holes in full and drive with care"
                    .to_owned(),
            ),
            Rule::CutterWindow => (
                Action::CarveLess,
                short,
                format!("the cutter does not get there: move or narrow the carve area by at least {n} on that side"),
            ),
            Rule::BlankFlush | Rule::BlankFlushLimit => self.flush(short),
            Rule::DepthReach => (Action::CarveLess, short, format!("cut at least {n} less deep: {}", self.or_shim())),
            Rule::HolderClears => (
                Action::CarveLess,
                short,
                format!("cut at least {n} less deep, or use a cutter that stands out {n} more: {}", self.or_shim()),
            ),
            Rule::PocketFloor | Rule::FloorAfterCut => self.under_bed(short, "floor too thin"),
            Rule::PocketFloorWanted => {
                let text = format!("{n} under the floor wanted, over the least: leave it, do not deepen the pocket");
                (Action::Nothing, short, text)
            }
            Rule::RailWidth => {
                let text = format!(
                    "{n} under the shop's figure, which holds a reserve and is no machine limit: leave it, trim no more"
                );
                (Action::Nothing, short, text)
            }
            Rule::WallAfterRelief | Rule::PerimeterInside if check.subject.starts_with("far") => {
                self.pack(short, format!("too little wood there: glue a strip at least {n} wide along the far edge"))
            }
            Rule::FloorStiff | Rule::CarrierStiff => {
                let text = "gives more than wanted, by estimate: leave it, light passes, and measure the depth of the first one";
                (Action::Nothing, Length::ZERO, text.to_owned())
            }
            Rule::Tipping => {
                let text = "may tip off the bed, by estimate: leave it, and hold its free end up or set stands closer";
                (Action::Nothing, Length::ZERO, text.to_owned())
            }
            Rule::RollerSupport if self.failed(Rule::BlankFlushLimit) => (
                Action::Nothing,
                Length::ZERO,
                "the blank does not carry the rollers yet: bring it flush first, then measure again".to_owned(),
            ),
            _ => self.scrap(short, format!("{n} out: make that part again")),
        }
    }

    fn scrap(&self, short: Length, text: String) -> (Action, Length, String) {
        (Action::Scrap, short, text)
    }

    fn pack(&self, short: Length, text: String) -> (Action, Length, String) {
        (Action::Pack, short, text)
    }

    /// Takes wood off where enough of it stays, else gives the carrier up.
    fn trim(&self, short: Length, spare: Option<Length>, text: String, side: &str) -> (Action, Length, String) {
        match spare {
            Some(spare) if spare < short => {
                let text = format!(
                    "{} must come off and {side} has only {} to spare: make it again",
                    self.show(short),
                    self.show(spare.or_zero())
                );
                (Action::Scrap, short, text)
            }
            Some(spare) => (Action::Recut, short, format!("{text}; {side} has {} to spare", self.show(spare))),
            None => (Action::Recut, short, text),
        }
    }

    /// A sheet under the whole bed face, where the machine takes the thickness.
    fn under_bed(&self, short: Length, what: &str) -> (Action, Length, String) {
        let n = self.show(short);
        if self.spare(Rule::ThicknessMax, None).is_some_and(|spare| spare < short) {
            return self.scrap(short, format!("{what} by {n}, and no thicker carrier fits the machine: make it again"));
        }
        let text =
            format!("{what} by {n}: glue one sheet at least {n} thick under the whole bed face, or make it again");
        self.pack(short, text)
    }

    /// An end that is too short can be credited with what is left uncarved there.
    fn end_short(&self, check: &Check, short: Length) -> (Action, Length, String) {
        if self.failed(Rule::LengthMin) {
            return self
                .scrap(short, format!("{} short: the longer carrier to be made cures this too", self.show(short)));
        }
        let (carve, blank) = (&self.request.carve, self.design.blank.outline.bounds());
        let now = if check.rule == Rule::LeadEndAllowance {
            self.design.carve.x0 - blank.x0
        } else {
            blank.x1 - self.design.carve.x1
        };
        // Only what lies beyond the cutter's own edge counts as a margin.
        let past = carve.cutter.half_up() + carve.overrun;
        let credited = if carve.stated { (now - past).or_zero() } else { Length::ZERO };
        let margin = credited + short + past;
        let blank_length = blank.x1 - blank.x0;
        if margin >= blank_length {
            return self.scrap(short, format!("{} short: make the carrier again", self.show(short)));
        }
        let text = format!(
            "{} short: leave at least {} of the blank uncarved at this end (state the carve area in the job), or make \
             the carrier again",
            self.show(short),
            self.show(margin)
        );
        (Action::CarveLess, margin, text)
    }

    /// The blank against the top plane. Only a plain top is rolled on, so its border is its top.
    fn flush(&self, short: Length) -> (Action, Length, String) {
        let sunk = self.design.carrier.thickness - self.design.blank.z1;
        if self.must_not_be_rolled() {
            return self.deepen(short, short);
        }
        if sunk <= Length::ZERO {
            return self.deepen((-sunk - PROUD).max(short), -sunk);
        }
        let n = self.show(sunk);
        if !self.floored() {
            let text = format!("the blank lies {n} below the top plane on the bed: sand {n} off the rails and ends");
            return (Action::Recut, sunk, text);
        }
        let most = self.show(sunk + PROUD);
        let text = format!("the blank is sunk {n}: lay a shim {n} thick under the whole of it (at most {most})");
        (Action::Shim, sunk, text)
    }

    /// The pocket deepened by `least` to `most`, where the floor allows.
    fn deepen(&self, least: Length, most: Length) -> (Action, Length, String) {
        let amount = if most > least {
            format!("{} to {}", self.show(least), self.show(most))
        } else {
            format!("at least {}", self.show(least))
        };
        if !self.floored() || self.design.pocket_cutter.is_none() {
            return self.scrap(least, format!("too proud: make the rails and ends again, higher by {amount}"));
        }
        match self.floor_spare() {
            Some(spare) if spare < least => {
                let text = format!(
                    "the pocket must be {amount} deeper and its floor has only {} to spare: make it again",
                    self.show(spare.or_zero())
                );
                self.scrap(least, text)
            }
            Some(spare) => {
                let text = format!("deepen the pocket by {amount}; its floor has {} to spare", self.show(spare));
                (Action::Recut, least, text)
            }
            None => (Action::Recut, least, format!("deepen the pocket by {amount}")),
        }
    }

    /// What the floor can lose.
    fn floor_spare(&self) -> Option<Length> {
        [Rule::PocketFloor, Rule::FloorAfterCut].into_iter().filter_map(|rule| self.spare(rule, None)).min()
    }

    /// Whether the blank lies on a floor of the carrier.
    fn floored(&self) -> bool {
        self.design.pockets.iter().any(|pocket| pocket.kind != PocketKind::Open)
    }

    fn must_not_be_rolled(&self) -> bool {
        self.design.bridge || self.request.blank.fragile
    }

    /// A sunk blank can also be raised.
    fn or_shim(&self) -> String {
        let sunk = self.design.carrier.thickness - self.design.blank.highest;
        if sunk > Length::ZERO && self.floored() && !self.must_not_be_rolled() {
            format!("a shim under the blank gives back up to {}", self.show(sunk))
        } else {
            "the machine reaches no deeper".to_owned()
        }
    }
}
