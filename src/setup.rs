//! What the person at the machine sets and reads: the numbers of the set-up card.

pub mod built;
mod cradle;
pub mod landing;
pub mod refit;
mod remedy;
mod screws;
pub mod sensitivity;
pub mod shrunk;

pub use cradle::{CradleFigures, Stretch, contacts, cradle_figures};
pub use landing::{Landing, LandingAxis, WidthStack, fine_ruler};
pub use screws::screw_words;

use crate::design::{Check, Design, Pocket, Quantity, Relation, Status, VoidKind};
use crate::geometry::{Outline, Point, Rect};
use crate::length::{Length, Ruler, Unit};
use crate::library::{Machine, MachineKind};
use crate::mechanics::NEWTONS_PER_LBF;
use crate::request::{Hold, Request, Stands};
use crate::rules::Rule;

/// How far the machine's reading of the length may be off before the feed is stopped:
/// 1/16 in, common practice, no source.
const LENGTH_READING: Length = Length::inches(1, 16);
/// How far its reading of the width may be off: 1/32 in, common practice, no source.
const WIDTH_READING: Length = Length::inches(1, 32);

/// A size the machine should read when it measures what is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// What it should read.
    pub size: Length,
    /// Stop when it is off by more than this, either way.
    pub tolerance: Length,
}

impl Reading {
    /// Least reading that is still right.
    pub fn least(&self) -> Length {
        self.size - self.tolerance
    }

    /// Greatest reading that is still right.
    pub fn greatest(&self) -> Length {
        self.size + self.tolerance
    }
}

/// The numbers of the set-up card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetupCard {
    /// Length the machine should read.
    pub length: Reading,
    /// Width the machine should read.
    pub width: Reading,
    /// The blank's datum corner from the lead end (x) and the fence edge (y).
    pub corner: Point,
    /// Blank centre less carrier centre.
    pub centre: Point,
    /// Carve area in carrier coordinates.
    pub carve: Rect,
    /// Deepest the tip goes below the top plane; `None` until the blank's thickness is measured.
    pub deepest: Option<Length>,
    /// Deepest the machine's tip reaches below the top plane.
    pub deepest_allowed: Length,
    /// How the blank is held.
    pub hold: Hold,
    /// Distance between fence and far guide.
    pub far_guide: Length,
    /// Whether stands are wanted on both sides, at bed height.
    pub stands: bool,
    /// Where they go, from the ends of the bed; empty where the shop has places of its own for them.
    pub stand_places: Vec<Length>,
    /// Datum corner of every pocket.
    pub pockets: Vec<Point>,
    /// Holes to push the blank out from below, by their centres.
    pub push_out: Vec<Point>,
    /// Whether the lead/far corner is clipped, so that it cannot look right when fed backwards.
    pub clipped_corner: bool,
    /// How far the carving may land from where it is drawn.
    pub landing: Landing,
}

impl SetupCard {
    /// The card of a design.
    pub fn of(request: &Request, design: &Design) -> SetupCard {
        let carrier = design.carrier;
        SetupCard {
            length: Reading { size: carrier.length, tolerance: LENGTH_READING },
            width: Reading { size: carrier.width, tolerance: WIDTH_READING },
            corner: design.origin(),
            centre: design.centre_offset(),
            carve: design.carve,
            deepest: design.blank.thickness_known.then_some(design.depth_below_top),
            deepest_allowed: request.machine.depth,
            hold: design.hold,
            far_guide: carrier.width + request.machine.guide_gap,
            stands: request.on_stands(carrier.length),
            stand_places: if request.stands.is_some() {
                Vec::new()
            } else {
                request.machine.stand_places(carrier.length)
            },
            pockets: design
                .pockets
                .iter()
                .map(|pocket| {
                    let bounds = pocket.outline.bounds();
                    Point::new(bounds.x0, bounds.y0)
                })
                .collect(),
            push_out: push_out_holes(design),
            clipped_corner: design.clip_corner,
            landing: Landing::of(request, design),
        }
    }
}

/// Where stands go, in words: `both sides, at bed height, 22 and 44 in from the bed's ends`.
pub fn stands_words(request: &Request, card: &SetupCard) -> String {
    let ruler = &request.shop.ruler;
    if let Some(own) = &request.stands {
        return own_stands(ruler, own);
    }
    let places: Vec<String> = match card.stand_places.split_last() {
        Some((last, rest)) => rest.iter().map(|place| ruler.number(*place)).chain([ruler.with_unit(*last)]).collect(),
        None => return "both sides, at bed height".to_owned(),
    };
    format!("both sides, at bed height, {} from the bed's ends (estimate)", places.join(" and "))
}

/// The shop's own stands in words: `at bed height, 30 in from the cutter at the infeed, 28 in at the outfeed`.
fn own_stands(ruler: &Ruler, own: &Stands) -> String {
    let side = |places: &[Length], name: &str| match places.split_last() {
        Some((last, rest)) => {
            let all: Vec<String> = rest.iter().map(|at| ruler.number(*at)).chain([ruler.with_unit(*last)]).collect();
            format!("{} from the cutter at the {name}", all.join(" and "))
        }
        None => format!("none at the {name}"),
    };
    format!("at bed height, {}, {} (the shop's own)", side(&own.infeed, "infeed"), side(&own.outfeed, "outfeed"))
}

/// The cutter's force, in words: what is reckoned with to the side and up, and the estimate where there is one.
pub fn force_words(request: &Request) -> String {
    let estimates = &request.shop.estimates;
    let (scale, unit, digits) = match request.units {
        Unit::Inch => (1.0, "lbf", 1),
        Unit::Millimetre => (NEWTONS_PER_LBF, "N", 0),
    };
    let n = |lbf: f64| format!("{:.digits$}", lbf * scale);
    let taken = format!("{} {unit} side, {} up", n(estimates.side_force_lbf), n(estimates.lift_force_lbf));
    match &estimates.loads.cutting {
        Some(cutting) => {
            let (low, high) = cutting.range_lbf();
            format!("{taken}; estimate {} to {}", n(low), n(high))
        }
        None => format!("{taken} (estimate)"),
    }
}

/// Centres of the push-out holes; one through several layers counts once.
fn push_out_holes(design: &Design) -> Vec<Point> {
    let mut centres: Vec<Point> = Vec::new();
    for place in design.parts.iter().flat_map(|part| &part.places) {
        for void in place.voids.iter().filter(|void| void.kind == VoidKind::PushOut) {
            let centre = void.outline.bounds().centre();
            if !centres.contains(&centre) {
                centres.push(centre);
            }
        }
    }
    centres
}

/// How the hold is tested before the first cut, in words. A blank in a round of its own size has no
/// datum corner and lies in the middle. Common practice, no source.
pub fn hold_test(hold: Hold, in_round: bool) -> &'static str {
    match hold {
        Hold::Snug if in_round => "card shims of one thickness all round; the blank must not turn or slide by hand",
        Hold::Snug => "card shims at the trail and far sides; the blank must not slide when pushed by hand",
        Hold::Wedge if in_round => {
            "thin wedges, three, evenly round it; push sideways with 10 lb (45 N), turn and lift: nothing moves"
        }
        Hold::Wedge => {
            "wedges driven in the order of the build; push sideways with 10 lb (45 N) and lift: nothing moves"
        }
        Hold::Tape => "cloth tape on a clean floor; push sideways with 10 lb (45 N) and lift: nothing moves",
        Hold::Film => "film tape over the whole face; push sideways with 10 lb (45 N) and lift: nothing moves",
        Hold::Keeper => {
            "keepers turned until they bite, far side first; push sideways with 10 lb (45 N) and lift: nothing moves"
        }
        Hold::Screws => {
            "every screw driven and its head below the bed face; push sideways with 10 lb (45 N) and lift: nothing moves"
        }
        Hold::HotGlue => {
            "glue spots where blank and wood meet, cooled; push sideways with 10 lb (45 N), turn and lift: nothing moves"
        }
    }
}

/// The pocket the blank lies in.
pub fn pocket_of(design: &Design) -> Option<&Pocket> {
    let blank = design.blank.outline.bounds();
    design.pockets.iter().find(|pocket| {
        let pocket = pocket.outline.bounds();
        pocket.x0 <= blank.x0 && blank.x1 <= pocket.x1 && pocket.y0 <= blank.y0 && blank.y1 <= pocket.y1
    })
}

/// Whether a round blank lies in the middle of a round: it is set out by its centre and pushed to no corner.
pub fn lies_in_round(design: &Design) -> bool {
    let round = |outline: &Outline| matches!(outline, Outline::Disc { .. });
    round(&design.blank.outline) && pocket_of(design).is_none_or(|pocket| round(&pocket.outline))
}

/// Whether a blank lies in a nest of its own outline: it is pushed to no corner.
pub fn lies_in_nest(design: &Design) -> bool {
    matches!(design.blank.outline, Outline::Path(_)) && !held_by_contacts(design)
}

/// Whether straight parts and wedges hold the blank: it is pushed against them, but to no corner.
pub fn held_by_contacts(design: &Design) -> bool {
    !design.contacts.is_empty()
}

/// Whether cleats at angles hold it.
pub fn cleats_at_angles(design: &Design) -> bool {
    design.contacts.iter().any(|contact| contact.part.stands_at_angle())
}

/// Whether the wall goes round the blank at an even gap, so that it is packed all round and may lie
/// anywhere within the gap.
pub fn fits_all_round(design: &Design) -> bool {
    lies_in_round(design) || lies_in_nest(design)
}

/// Whether a blank lies in the middle of a cradle: it has a lead wall, and no wall along the fence.
pub fn lies_in_cradle(design: &Design) -> bool {
    design.construction == "cradle"
}

/// Whether the blank is pushed home to a corner of two walls.
pub fn has_datum_corner(design: &Design) -> bool {
    design.construction != "none" && !fits_all_round(design) && !lies_in_cradle(design) && !held_by_contacts(design)
}

/// How the blank lies in the carrier, in words.
pub fn lies(design: &Design) -> &'static str {
    if lies_in_round(design) {
        "blank in the middle of its round"
    } else if lies_in_nest(design) {
        "blank in its nest, not forced"
    } else if lies_in_cradle(design) {
        "blank pushed home to its lead wall, in the middle of its cradle"
    } else if held_by_contacts(design) {
        match (
            cleats_at_angles(design),
            design.contacts.iter().any(|contact| contact.part == crate::design::Role::FenceRail),
        ) {
            (false, _) => "blank on the fence rail and the lead bar, wedged home",
            (true, true) => "blank on the fence rail and its cleat, wedged home",
            (true, false) => "blank against its cleats, wedged home",
        }
    } else {
        "blank pushed home to its lead and fence walls"
    }
}

/// What the machine does to the face, in words.
pub fn face_word(machine: &Machine) -> &'static str {
    match machine.kind {
        MachineKind::Carver => "carved",
        MachineKind::Planer => "planed",
        MachineKind::DrumSander => "sanded",
    }
}

/// Figures that only a carver has.
const CARVER_ONLY: [&str; 7] =
    ["strip", "window-near", "window-far", "stick-out", "holder-radius", "guide-gap", "end-allowance"];
/// Figures whose error spoils blanks soonest.
const CRITICAL: [&str; 5] = ["cutter-to-roller", "strip", "window-near", "window-far", "depth"];

/// The machine's figures that nobody has measured, as far as they matter to a machine of its kind, those
/// that spoil blanks soonest first.
pub fn unconfirmed(machine: &Machine) -> Vec<&str> {
    let matters = |name: &&str| !(machine.takes_whole_face() && CARVER_ONLY.contains(name));
    let mut names: Vec<&str> = machine.unconfirmed.iter().map(String::as_str).filter(matters).collect();
    names.sort_by_key(|name| CRITICAL.iter().position(|critical| critical == name).unwrap_or(CRITICAL.len()));
    names
}

/// The one phrase at the head of every sheet: what stands between it and the saw.
pub fn status(request: &Request, design: &Design) -> &'static str {
    let warns = |rule: Rule| design.checks.iter().any(|check| check.rule == rule && check.status != Status::Pass);
    if design.checks.iter().any(|check| check.status == Status::Fail) {
        "NOT BUILDABLE"
    } else if !design.blank.thickness_known || warns(Rule::ThicknessKnown) {
        "CALIPER FIRST"
    } else if !unconfirmed(&request.machine).is_empty() {
        "MEASURE MACHINE"
    } else if design.construction == "none" {
        "NO CARRIER NEEDED"
    } else {
        "READY TO BUILD"
    }
}

/// The ending of subjects under which two of our own figures are compared.
const OWN_FIGURE: &str = "as printed";

/// Limits that are told however much there is to spare: estimates that a person weighs for himself.
const ALWAYS_TOLD: [Rule; 6] =
    [Rule::LiftFactor, Rule::SlideFactor, Rule::Mass, Rule::FloorStiff, Rule::CarrierStiff, Rule::HoldWorst];

/// The checks worth reading: every one that does not hold, worst first; then of each rule with a real
/// limit (one to keep above or below, not a count of faults) the one with least to spare for its size,
/// unless there is as much to spare as the limit is large.
pub fn telling_checks(checks: &[Check]) -> Vec<&Check> {
    let number = |quantity: Quantity| match quantity {
        Quantity::Length(length) => length.to_mm(),
        Quantity::Number(number, _) => number,
    };
    let spare = |check: &Check| number(check.margin()) / number(check.required).abs().max(1e-9);
    let mut shown: Vec<&Check> = checks.iter().filter(|check| check.status != Status::Pass).collect();
    shown.sort_by_key(|check| check.status);
    let broken = shown.len();
    let limits = checks.iter().filter(|check| {
        let counted = matches!(check.required, Quantity::Number(limit, "") if limit == 0.0 || limit == 1.0);
        let own = check.subject.ends_with(OWN_FIGURE) || check.relation == Relation::Equal || counted;
        let near = spare(check) < 1.0 || ALWAYS_TOLD.contains(&check.rule);
        check.status == Status::Pass && !own && number(check.required) != 0.0 && near
    });
    for check in limits {
        match shown.iter_mut().skip(broken).find(|kept| kept.rule == check.rule) {
            Some(kept) if spare(check) < spare(kept) => *kept = check,
            Some(_) => {}
            None => shown.push(check),
        }
    }
    shown
}

/// A number with its unit, in the user's own: areas and masses are kept in mm2 and kg.
pub fn number_text(units: Unit, number: f64, unit: &str, digits: usize) -> String {
    let (number, unit) = match (units, unit) {
        (Unit::Inch, "mm2") => (number / (25.4 * 25.4), "sq in"),
        (Unit::Inch, "mm") => (number / 25.4, "in"),
        // The international pound, exactly.
        (Unit::Inch, "kg") => (number / 0.453_592_37, "lb"),
        _ => (number, unit),
    };
    let text = format!("{number:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    let text = if text == "-0" { "0" } else { text };
    if unit.is_empty() { text.to_owned() } else { format!("{text} {unit}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(rule: Rule, subject: &str, actual: f64, relation: Relation, limit: f64, unit: &'static str) -> Check {
        Check::of(rule, subject, Quantity::Number(actual, unit), relation, Quantity::Number(limit, unit))
    }

    #[test]
    fn limits_are_told_where_they_are_nearest_and_our_own_figures_are_not() {
        use Relation::{AtLeast, AtMost, Equal};
        let inch = |n: i64| Quantity::Length(Length::inches(n, 16));
        let checks = [
            // Nothing to spare, but only our own two figures are compared.
            number(Rule::LiftFactor, "bond area as printed", 100.0, AtMost, 100.0, "mm2"),
            // More than the limit to spare: told all the same.
            number(Rule::LiftFactor, "lift factor", 21.6, AtLeast, 3.0, ""),
            number(Rule::Mass, "mass as printed", 0.0, AtMost, 0.05, "kg"),
            number(Rule::Mass, "carrier and blank", 1.5, AtMost, 13.6, "kg"),
            // 1/16 of 3/4 to spare against 4/16 of 12/16: the first is nearer.
            Check::of(Rule::RailWidth, "fence side", inch(13), AtLeast, inch(12)),
            Check::of(Rule::RailWidth, "far side", inch(16), AtLeast, inch(12)),
            // Three times what is asked for.
            Check::of(Rule::PocketFloor, "floor", inch(9), AtLeast, inch(3)),
            number(Rule::ToolOwned, "rip", 1.0, AtLeast, 1.0, ""),
            Check::of(Rule::Closure, "length", inch(20), Equal, inch(20)),
            number(Rule::Play, "length", 2.0, AtMost, 1.0, ""),
        ];
        let told: Vec<&str> = telling_checks(&checks).iter().map(|check| check.subject.as_str()).collect();
        assert_eq!(told, ["length", "lift factor", "carrier and blank", "fence side"]);
    }

    #[test]
    fn areas_and_masses_are_in_the_users_units() {
        // 1 sq in = 645.16 mm2; 13.6 kg / 0.45359237 = 29.98 lb.
        assert_eq!(number_text(Unit::Inch, 1290.32, "mm2", 2), "2 sq in");
        assert_eq!(number_text(Unit::Inch, 13.6, "kg", 2), "29.98 lb");
        assert_eq!(number_text(Unit::Millimetre, 13.6, "kg", 2), "13.6 kg");
        assert_eq!(number_text(Unit::Inch, 30.0, "", 0), "30");
    }

    #[test]
    fn figures_a_planer_has_not_are_not_asked_for() {
        let planer = crate::library::machine("thickness-planer-benchtop").cloned();
        let planer = planer.unwrap_or_else(|| panic!("the planer is in the tables"));
        let names = unconfirmed(&planer);
        assert_eq!(names.first(), Some(&"cutter-to-roller"), "{names:?}");
        assert!(!names.iter().any(|name| CARVER_ONLY.contains(name)), "{names:?}");
    }
}
