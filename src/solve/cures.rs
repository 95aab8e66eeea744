//! The smallest single change to a job that makes some design possible, found by solving again.

use super::{Outcome, Rejected, solve};
use crate::design::Design;
use crate::length::{Length, Measured};
use crate::request::{CutApart, Hold, Request, RoundKind, Shape, Through, Tool};
use crate::rules::Rule;
use crate::trace::Cure;

/// A number in the job that may be changed, and which rules it is meant to cure.
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

/// With less than a quarter of its length or width left it is no longer the same carving.
fn three_quarters(size: Length) -> Length {
    Length::from_ticks(size.ticks() / 4 * 3)
}

const LEVERS: &[Lever] = &[
    Lever {
        key: "carve.depth",
        rules: &[Rule::DepthReach, Rule::HolderClears, Rule::FluteLength, Rule::WedgeHeight],
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
        most: |request| three_quarters(request.carve.width),
        apply: |request, by| narrower_carve(request, by, false),
    },
    Lever {
        key: "carve.length",
        rules: &[Rule::LeadEndAllowance, Rule::TrailEndAllowance, Rule::LengthMax],
        words: "keep the carving, in the middle, to a length of",
        step: plan_step,
        most: |request| three_quarters(request.carve.length),
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
            // A round is not planed thinner.
            if request.blank.round().is_some() {
                return None;
            }
            let thickness = shift(request.blank.thickness.as_mut()?, -by)?;
            (thickness >= request.carve.depth).then_some(thickness)
        },
    },
    Lever {
        key: "blank.wanted-thickness",
        rules: &[Rule::WarpBudget],
        words: "be content, once both faces are flat, with",
        step: depth_step,
        most: |request| request.blank.warp.as_ref().and_then(|warp| warp.wanted).unwrap_or_default(),
        apply: |request, by| {
            let wanted = request.blank.warp.as_mut()?.wanted.as_mut()?;
            *wanted -= by;
            (*wanted > Length::ZERO).then_some(*wanted)
        },
    },
    Lever {
        key: "blank.outline-error",
        rules: &[Rule::WedgeTravel, Rule::WedgeRoom],
        words: "measure the outline to within",
        step: depth_step,
        most: |request| match &request.blank.shape {
            Shape::Outline(drawn) => drawn.error,
            _ => Length::ZERO,
        },
        apply: |request, by| {
            let Shape::Outline(drawn) = &mut request.blank.shape else { return None };
            drawn.error -= by;
            let error = drawn.error;
            request.blank.length.uncertainty = Some(error * 2);
            request.blank.width.uncertainty = Some(error * 2);
            (error > Length::ZERO).then_some(error)
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
        rules: &[Rule::HoldSuits, Rule::FreedPartHeld, Rule::LiftFactor, Rule::SlideFactor, Rule::TurnStop],
        words: "let the search choose the hold, or tape the underside",
        apply: |request| request.hold.take().is_some_and(|hold| hold != Hold::Tape),
    },
    Switch {
        key: "blank.turn",
        rules: &[
            Rule::WidthMax,
            Rule::LengthMax,
            Rule::CutterWindow,
            Rule::WidthMin,
            Rule::LengthMin,
            Rule::FenceContacts,
            Rule::WedgeRoom,
        ],
        words: "turn the blank (turn = \"free\"), if grain and artwork allow",
        apply: |request| !std::mem::replace(&mut request.blank.turn_free, true),
    },
    Switch {
        key: "carve.through",
        rules: &[Rule::FloorAfterCut, Rule::FreedPartHeld, Rule::PerimeterInside, Rule::ThicknessMax],
        words: "do not cut through in the machine; saw the part free afterwards",
        apply: |request| std::mem::replace(&mut request.carve.through, Through::No) != Through::No,
    },
    Switch {
        key: "blank.measured",
        rules: &[Rule::BlankFlushLimit],
        words: "caliper the round at three places: its crown is known no better than its diameter",
        apply: calipered,
    },
];

/// A round read to what a caliper reads to; whether that is better than it was.
fn calipered(request: &mut Request) -> bool {
    const CALIPER: Length = Length::inches(5, 1000);
    let blank = &mut request.blank;
    let Shape::Round(round) = &mut blank.shape else { return false };
    let mut better = false;
    let small = match &mut round.kind {
        RoundKind::Spindle { small, .. } => Some(small),
        RoundKind::Rod | RoundKind::RoundUp | RoundKind::FlatUp => None,
    };
    for size in [Some(&mut blank.width), blank.thickness.as_mut(), small].into_iter().flatten() {
        better |= size.uncertainty.is_some_and(|error| error > CALIPER);
        size.uncertainty = size.uncertainty.map(|error| error.min(CALIPER));
    }
    better
}

/// Rules that a part breaks which is too small to be held by itself.
const TOO_SMALL: &[Rule] =
    &[Rule::HoldWorst, Rule::LiftFactor, Rule::SlideFactor, Rule::FreedPartHeld, Rule::FragileTop];

/// Every tool a shop may lack, with what it would be good for.
const TOOLS: &[(Tool, &str)] = &[
    (Tool::TableSaw, "with a table saw, parts can be ripped and crosscut"),
    (Tool::MitreSaw, "with a mitre saw, parts can be crosscut"),
    (Tool::BandSaw, "with a band saw, parts can be ripped and half-rounds sawn"),
    (Tool::Planer, "with a planer, rails can be made to any thickness"),
    (Tool::DrumSander, "with a drum sander, rails can be made to any thickness"),
    (Tool::Router, "with a router, a pocket can be sunk"),
    (Tool::Carver, "with a carver, a pocket can be sunk"),
    (Tool::DrillPress, "with a drill press, corners can be bored and a pocket's waste cleared"),
    (Tool::Chisel, "with a chisel, a bored pocket can be pared flat"),
    (Tool::Jigsaw, "with a jigsaw, curves can be sawn"),
    (Tool::Jointer, "with a jointer, edges can be trued"),
];

/// For the rejected candidates, the smallest single changes that make some design possible, each
/// found by solving again; first those that lift a rule of the nearest miss. Empty when no single
/// change of the kinds tried helps.
///
/// Every lever and switch is tried on every refusal: the rule met first in a candidate may not be
/// the one that a change lifts. A lever solves at most twice as often as its steps have binary digits.
pub fn cures(request: &Request, outcome: &Outcome) -> Vec<Cure> {
    let mut cures: Vec<Cure> = Vec::new();
    for lever in LEVERS {
        let Some((value, best)) = smallest(request, lever) else { continue };
        let rule = lifted(outcome, &best, lever.rules);
        let ruler = if IN_DEPTH.contains(&lever.key) { &request.shop.depth_ruler } else { &request.shop.ruler };
        let text = format!("{} {}", lever.words, ruler.with_unit(value));
        cures.push(Cure { rule, key: lever.key.to_owned(), text, value: Some(value) });
    }
    let mut switch = |key: &str, words: &str, rules: &[Rule], changed: &Request| {
        if let Some(best) = solve(changed).designs.into_iter().next() {
            let rule = lifted(outcome, &best, rules);
            cures.push(Cure { rule, key: key.to_owned(), text: words.to_owned(), value: None });
        }
    };
    for row in SWITCHES {
        let mut changed = request.clone();
        if (row.apply)(&mut changed) {
            switch(row.key, row.words, row.rules, &changed);
        }
    }
    // Parts too small to be held one by one are held in a strip.
    let small =
        outcome.rejected.iter().flat_map(|one| &one.conflict.clashes).any(|clash| TOO_SMALL.contains(&clash.rule));
    if let Some(laid) = request.in_strip(CutApart::HandSaw).filter(|_| small)
        && let Some(strip) = &laid.blank.strip
    {
        let ruler = &request.shop.ruler;
        let words = format!(
            "carve {} in one strip {} long and {} wide, the outline not cut through, and saw apart afterwards (from-strip = true)",
            if strip.each == 1 { "it".to_owned() } else { format!("{} side by side", strip.each) },
            ruler.with_unit(strip.total()),
            ruler.with_unit(strip.across())
        );
        switch("blank.from-strip", &words, TOO_SMALL, &laid);
    }
    for (tool, words) in TOOLS {
        let mut changed = request.clone();
        if changed.shop.tools.insert(*tool) {
            switch("shop.tools", words, &[Rule::ToolOwned, Rule::StockExists], &changed);
        }
    }
    if let Some(near) = nearest_miss(outcome, &cures) {
        let there = |cure: &Cure| near.conflict.clashes.iter().any(|clash| clash.rule == cure.rule);
        cures.sort_by_key(|cure| !there(cure));
    }
    cures
}

/// Keys whose values stand on the ruler for depths.
const IN_DEPTH: [&str; 6] = [
    "blank.outline-error",
    "carve.depth",
    "carve.penetration",
    "carve.cutter",
    "blank.thickness",
    "blank.wanted-thickness",
];

/// The rule that a change lifted: one it is meant for, if that stood against the candidate that can
/// now be built, else the first that did.
fn lifted(outcome: &Outcome, best: &Design, meant: &[Rule]) -> Rule {
    let same = |rejected: &&Rejected| rejected.construction == best.construction;
    let stood = || outcome.rejected.iter().filter(same).flat_map(|rejected| &rejected.conflict.clashes);
    let first = || outcome.rejected.iter().flat_map(|rejected| &rejected.conflict.clashes).next();
    let found = stood().find(|clash| meant.contains(&clash.rule)).or_else(|| stood().next()).or_else(first);
    found.map_or(Rule::NeedsCarrier, |clash| clash.rule)
}

/// The rejected candidate to show in full: one that suits the blank and that a cure would lift before any other, a
/// carrier before none, one that suits the blank before one that does not, a tool that most candidates lack
/// before what stops another, a matter of length before one that is not, then the least shortfall,
/// then the first.
pub fn nearest_miss<'a>(outcome: &'a Outcome, cures: &[Cure]) -> Option<&'a Rejected> {
    let has = |rejected: &Rejected, rule: Rule| rejected.conflict.clashes.iter().any(|clash| clash.rule == rule);
    let unsuited = |rejected: &Rejected| has(rejected, Rule::EdgesShaped) || has(rejected, Rule::HoldSuits);
    let tool = |rejected: &Rejected| has(rejected, Rule::ToolOwned);
    let suited = || outcome.rejected.iter().filter(|other| other.construction != "none" && !unsuited(other));
    let tools_lack = suited().filter(|other| tool(other)).count() * 2 > suited().count();
    outcome.rejected.iter().min_by_key(|rejected| {
        let conflict = &rejected.conflict;
        // To ask for another hold or shape lifts everything that was not meant for this one.
        let curable = !unsuited(rejected)
            && conflict.clashes.iter().any(|clash| cures.iter().any(|cure| cure.rule == clash.rule));
        let plain = conflict.shortfall <= Length::ZERO;
        (
            !curable,
            rejected.construction == "none",
            unsuited(rejected),
            tools_lack && !tool(rejected),
            plain,
            conflict.shortfall,
        )
    })
}

/// The most steps, of at most `most`, by which the lever can be moved and leave a job.
fn applicable(request: &Request, lever: &Lever, step: Length, most: i64) -> i64 {
    let applies = |steps: i64| (lever.apply)(&mut request.clone(), step * steps).is_some();
    if most <= 0 || applies(most) {
        return most;
    }
    let (mut low, mut high) = (0, most);
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if applies(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// The new value at the smallest change of a lever that makes a design possible, and the best design.
///
/// Doubles the change until something fits, then halves the interval: a lever that helps at all
/// helps more the farther it is moved, up to where the job becomes something else.
fn smallest(request: &Request, lever: &Lever) -> Option<(Length, Design)> {
    let step = (lever.step)(request);
    let most = applicable(request, lever, step, (lever.most)(request).ticks() / step.ticks());
    let fits = |steps: i64| -> Option<(Length, Design)> {
        let mut changed = request.clone();
        let value = (lever.apply)(&mut changed, step * steps)?;
        Some((value, solve(&changed).designs.into_iter().next()?))
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
