//! The smallest single change to a job that makes some design possible, found by solving again.

use super::{Outcome, Rejected, solve};
use crate::length::{Length, Measured};
use crate::request::{Hold, Request, Shape, Through, Tool};
use crate::rules::Rule;
use crate::trace::Cure;

/// A number in the job that may be changed, and which rules it can cure.
struct Lever {
    key: &'static str,
    rules: &'static [Rule],
    words: &'static str,
    /// Smallest useful change.
    step: fn(&Request) -> Length,
    /// The farthest it is worth changing.
    most: fn(&Request) -> Length,
    /// Changes the request by so much and returns the new value, or `None` where that makes no sense.
    apply: fn(&mut Request, Length) -> Option<Length>,
}

fn shift(measured: &mut Measured, by: Length) -> Option<Length> {
    measured.largest += by;
    measured.smallest += by;
    measured.nominal += by;
    (measured.smallest > Length::ZERO).then_some(measured.nominal)
}

fn plan_step(request: &Request) -> Length {
    request.step()
}

fn depth_step(request: &Request) -> Length {
    request.depth_step()
}

/// Moves a margin that is credited: the carve area shrinks with it.
fn narrower_carve(request: &mut Request, by: Length, along: bool) -> Option<Length> {
    let carve = &mut request.carve;
    carve.stated = true;
    let half = by.half_up();
    let size = if along {
        carve.margin_lead += half;
        carve.margin_trail += half;
        &mut carve.length
    } else {
        carve.margin_fence += half;
        carve.margin_far += half;
        &mut carve.width
    };
    *size -= half * 2;
    (*size > Length::ZERO).then_some(*size)
}

const LEVERS: &[Lever] = &[
    Lever {
        key: "carve.depth",
        rules: &[Rule::DepthReach, Rule::HolderClears, Rule::FluteLength],
        words: "carve no deeper than",
        step: depth_step,
        most: |request| request.carve.depth,
        apply: |request, by| {
            request.carve.depth -= by;
            (request.carve.depth > Length::ZERO).then_some(request.carve.depth)
        },
    },
    Lever {
        key: "carve.penetration",
        rules: &[Rule::FloorAfterCut, Rule::DepthReach, Rule::HolderClears],
        words: "let a through cut run past the underside by no more than",
        step: depth_step,
        most: |request| request.carve.penetration,
        apply: |request, by| {
            request.carve.penetration -= by;
            (request.carve.penetration >= Length::ZERO).then_some(request.carve.penetration)
        },
    },
    Lever {
        key: "carve.cutter",
        rules: &[Rule::CutterWindow, Rule::PerimeterInside, Rule::LeadEndAllowance, Rule::TrailEndAllowance],
        words: "use a cutter no larger than",
        step: depth_step,
        most: |request| request.carve.cutter,
        apply: |request, by| {
            request.carve.cutter -= by;
            (request.carve.cutter >= Length::inches(1, 32)).then_some(request.carve.cutter)
        },
    },
    Lever {
        key: "carve.width",
        rules: &[Rule::CutterWindow, Rule::WidthMax],
        words: "keep the carving, in the middle, to a width of",
        step: plan_step,
        most: |request| request.carve.width,
        apply: |request, by| narrower_carve(request, by, false),
    },
    Lever {
        key: "carve.length",
        rules: &[Rule::LeadEndAllowance, Rule::TrailEndAllowance, Rule::LengthMax],
        words: "keep the carving, in the middle, to a length of",
        step: plan_step,
        most: |request| request.carve.length,
        apply: |request, by| narrower_carve(request, by, true),
    },
    Lever {
        key: "blank.width",
        rules: &[Rule::WidthMax, Rule::CutterWindow],
        words: "trim the blank to a width of",
        step: plan_step,
        most: |request| request.blank.width.smallest,
        apply: |request, by| trim(request, by, false),
    },
    Lever {
        key: "blank.length",
        rules: &[Rule::LengthMax],
        words: "trim the blank to a length of",
        step: plan_step,
        most: |request| request.blank.length.smallest,
        apply: |request, by| trim(request, by, true),
    },
    Lever {
        key: "blank.thickness",
        rules: &[Rule::ThicknessMax, Rule::DepthReach, Rule::StockExists],
        words: "plane the blank to a thickness of",
        step: depth_step,
        most: |request| request.blank.thickness.as_ref().map_or(Length::ZERO, |measured| measured.smallest),
        apply: |request, by| {
            let thickness = shift(request.blank.thickness.as_mut()?, -by)?;
            (thickness >= request.carve.depth).then_some(thickness)
        },
    },
    Lever {
        key: "blank.length and blank.width",
        rules: &[Rule::LiftFactor, Rule::FragileTop, Rule::SlideFactor],
        words: "carve it in a larger strip, cut apart afterwards, with a side of at least",
        step: plan_step,
        most: |_| Length::inches(8, 1),
        apply: |request, by| {
            // An outline is as large as it was drawn.
            (!matches!(request.blank.shape, Shape::Outline(_))).then_some(())?;
            let width = shift(&mut request.blank.width, by)?;
            let length = shift(&mut request.blank.length, by)?;
            request.carve.margin_trail += by;
            request.carve.margin_far += by;
            Some(width.min(length))
        },
    },
];

fn trim(request: &mut Request, by: Length, along: bool) -> Option<Length> {
    let (carve, blank) = (&mut request.carve, &mut request.blank);
    if blank.shape != Shape::Rectangle {
        return None;
    }
    let (measured, margin, size) = if along {
        (&mut blank.length, &mut carve.margin_trail, &mut carve.length)
    } else {
        (&mut blank.width, &mut carve.margin_far, &mut carve.width)
    };
    // Waste at the far side goes first, then carved wood.
    let waste = by.min(*margin);
    *margin -= waste;
    *size -= by - waste;
    (*size > Length::ZERO).then_some(())?;
    shift(measured, -by)
}

/// A change that is not a matter of more or less.
struct Switch {
    key: &'static str,
    rules: &'static [Rule],
    words: &'static str,
    apply: fn(&mut Request) -> bool,
}

const SWITCHES: &[Switch] = &[
    Switch {
        key: "carrier.construction",
        rules: &[],
        words: "let the search choose the construction",
        apply: |request| request.construction.take().is_some(),
    },
    Switch {
        key: "hold.by",
        rules: &[Rule::HoldSuits, Rule::FreedPartHeld, Rule::LiftFactor, Rule::SlideFactor],
        words: "let the search choose the hold, or tape the underside",
        apply: |request| request.hold.take().is_some_and(|hold| hold != Hold::Tape),
    },
    Switch {
        key: "blank.turn",
        rules: &[Rule::WidthMax, Rule::LengthMax, Rule::CutterWindow, Rule::WidthMin, Rule::LengthMin],
        words: "turn the blank by 90 degrees (turn = \"free\"), if grain and artwork allow",
        apply: |request| !std::mem::replace(&mut request.blank.turn_free, true),
    },
    Switch {
        key: "carve.through",
        rules: &[Rule::FloorAfterCut, Rule::FreedPartHeld, Rule::PerimeterInside, Rule::ThicknessMax],
        words: "do not cut through in the machine; saw the part free afterwards",
        apply: |request| std::mem::replace(&mut request.carve.through, Through::No) != Through::No,
    },
    Switch {
        key: "shop.tools",
        rules: &[Rule::ToolOwned, Rule::StockExists],
        words: "with a planer, rails can be made to any thickness",
        apply: |request| request.shop.tools.insert(Tool::Planer),
    },
    Switch {
        key: "shop.tools",
        rules: &[Rule::ToolOwned],
        words: "with a router, a pocket can be sunk",
        apply: |request| request.shop.tools.insert(Tool::Router),
    },
    Switch {
        key: "shop.tools",
        rules: &[Rule::ToolOwned],
        words: "with a band saw, half-rounds can be sawn",
        apply: |request| request.shop.tools.insert(Tool::BandSaw),
    },
];

/// The most candidates whose conflicts are looked at.
const LOOKED_AT: usize = 24;

/// For the rejected candidates, the smallest single changes that make some design possible, each
/// found by solving again. Empty when no single change of the kinds tried helps.
pub fn cures(request: &Request, outcome: &Outcome) -> Vec<Cure> {
    let mut cures: Vec<Cure> = Vec::new();
    let clashing: Vec<Rule> = clashing(&outcome.rejected);
    for lever in LEVERS {
        let Some(rule) = clashing.iter().copied().find(|rule| lever.rules.contains(rule)) else { continue };
        if let Some(value) = smallest(request, lever) {
            let ruler = if lever.key.starts_with("carve.depth")
                || lever.key == "blank.thickness"
                || lever.key == "carve.penetration"
                || lever.key == "carve.cutter"
            {
                &request.shop.depth_ruler
            } else {
                &request.shop.ruler
            };
            let text = format!("{} {}", lever.words, ruler.with_unit(value));
            cures.push(Cure { rule, key: lever.key.to_owned(), text, value: Some(value) });
        }
    }
    for switch in SWITCHES {
        let rule = clashing.iter().copied().find(|rule| switch.rules.contains(rule));
        let Some(rule) = rule.or_else(|| clashing.first().copied().filter(|_| switch.rules.is_empty())) else {
            continue;
        };
        let mut changed = request.clone();
        if (switch.apply)(&mut changed) && !solve(&changed).designs.is_empty() {
            cures.push(Cure { rule, key: switch.key.to_owned(), text: switch.words.to_owned(), value: None });
        }
    }
    cures
}

/// The rules in conflict, each once, in the order met.
fn clashing(rejected: &[Rejected]) -> Vec<Rule> {
    let mut rules = Vec::new();
    for clash in rejected.iter().take(LOOKED_AT).flat_map(|candidate| &candidate.conflict.clashes) {
        if !rules.contains(&clash.rule) {
            rules.push(clash.rule);
        }
    }
    rules
}

/// The new value at the smallest change of a lever that makes a design possible.
///
/// Doubles the change until something fits, then halves the interval: a lever that helps at all
/// helps more the farther it is moved, up to where the job becomes something else.
fn smallest(request: &Request, lever: &Lever) -> Option<Length> {
    let step = (lever.step)(request);
    let most = (lever.most)(request).ticks() / step.ticks();
    let fits = |steps: i64| -> Option<Length> {
        let mut changed = request.clone();
        let value = (lever.apply)(&mut changed, step * steps)?;
        (!solve(&changed).designs.is_empty()).then_some(value)
    };
    let (mut low, mut high) = (0, 1);
    loop {
        let steps = high.min(most);
        if steps <= low {
            return None;
        }
        if fits(steps).is_some() {
            high = steps;
            break;
        }
        low = steps;
        high *= 2;
    }
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if fits(middle).is_some() {
            high = middle;
        } else {
            low = middle;
        }
    }
    fits(high)
}
