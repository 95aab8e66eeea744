//! Which assumption, if it is wrong, breaks the design first.
//!
//! The finished design is verified again with one figure of the job changed at a time, until a rule
//! that must hold no longer does. How far a figure is likely to be out is judgement; it only ranks.

use super::OWN_FIGURE;
use crate::design::{Design, Quantity, Status};
use crate::length::Length;
use crate::request::{Request, RoundKind, Shape};
use crate::rules::Rule;
use crate::verify::verify;

/// How many are told.
const TOLD: usize = 3;
/// A figure is changed by at most this many times what it is likely to be out by.
const FARTHEST: f64 = 8.0;
/// Halvings of the farthest change: a break is known to one part in 2 to this power of it.
const HALVINGS: usize = 12;
/// How far figures are likely to be out. Judgement: a machine's figure nobody has measured, one measured
/// with a rule, a saw setting.
const NOT_MEASURED: Length = Length::inches(1, 8);
const MEASURED: Length = Length::inches(1, 32);
const SAW: Length = Length::inches(1, 64);
/// The same for forces, strengths and densities, as a share of the figure.
const FORCES: f64 = 0.5;

/// A figure that may be wrong.
struct Figure {
    /// Its key in job files.
    key: &'static str,
    value: fn(&Request) -> Value,
    set: fn(&mut Request, Value),
}

/// A figure's value.
#[derive(Debug, Clone, Copy)]
enum Value {
    Size(Length),
    Number(f64, &'static str),
}

impl Value {
    fn plus(self, by: f64) -> Value {
        match self {
            Value::Size(size) => Value::Size(size + Length::from_mm(by).unwrap_or_default()),
            Value::Number(number, unit) => Value::Number(number + by, unit),
        }
    }

    fn positive(self) -> bool {
        match self {
            Value::Size(size) => size > Length::ZERO,
            Value::Number(number, _) => number > 0.0,
        }
    }

    fn quantity(self) -> Quantity {
        match self {
            Value::Size(size) => Quantity::Length(size),
            Value::Number(number, unit) => Quantity::Number(number, unit),
        }
    }
}

macro_rules! size {
    ($key:literal, $($field:ident).+) => {
        Figure {
            key: $key,
            value: |request| Value::Size(request.$($field).+),
            set: |request, value| {
                if let Value::Size(size) = value {
                    request.$($field).+ = size;
                }
            },
        }
    };
}

macro_rules! number {
    ($key:literal, $unit:literal, $($field:ident).+) => {
        Figure {
            key: $key,
            value: |request| Value::Number(request.$($field).+, $unit),
            set: |request, value| {
                if let Value::Number(number, _) = value {
                    request.$($field).+ = number;
                }
            },
        }
    };
}

/// Figures of the machine come first; those of the same weight are told in this order.
const FIGURES: &[Figure] = &[
    size!("machine.cutter-to-roller", machine.cutter_to_roller),
    size!("machine.length-min", machine.length.min),
    size!("machine.length-max", machine.length.max),
    size!("machine.width-min", machine.width.min),
    size!("machine.width-max", machine.width.max),
    size!("machine.thickness-min", machine.thickness.min),
    size!("machine.thickness-max", machine.thickness.max),
    size!("machine.strip", machine.strip),
    size!("machine.window-near", machine.window.min),
    size!("machine.window-far", machine.window.max),
    size!("machine.depth", machine.depth),
    size!("machine.stick-out", machine.stick_out),
    size!("machine.holder-radius", machine.holder_radius),
    size!("machine.roller-radius", machine.roller_radius),
    size!("shop.tolerance", shop.tolerance),
    size!("carve.penetration", carve.penetration),
    number!("estimates.bond-lift-psi", "psi", shop.estimates.bond_lift_psi),
    number!("estimates.bond-slide-psi", "psi", shop.estimates.bond_slide_psi),
    number!("estimates.side-force-lbf", "lbf", shop.estimates.side_force_lbf),
    number!("estimates.lift-force-lbf", "lbf", shop.estimates.lift_force_lbf),
    number!("estimates.guide-force-lbf", "lbf", shop.estimates.guide_force_lbf),
    Figure {
        key: "blank.length, its uncertainty",
        value: |request| Value::Size(request.blank.length.uncertainty.unwrap_or_default()),
        set: |request, value| {
            if let Value::Size(size) = value {
                request.blank.length.uncertainty = Some(size);
            }
        },
    },
    Figure {
        key: "blank.width, its uncertainty",
        value: |request| Value::Size(request.blank.width.uncertainty.unwrap_or_default()),
        set: |request, value| {
            if let Value::Size(size) = value {
                request.blank.width.uncertainty = Some(size);
            }
        },
    },
];

/// A figure and the value at which the design no longer stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Weakness {
    /// The figure's key in job files.
    pub key: &'static str,
    /// As the job has it.
    pub now: Quantity,
    /// The nearest value, to a thousandth of the farthest tried, at which a rule is broken.
    pub breaks_at: Quantity,
    /// That rule.
    pub rule: Rule,
    /// The change to it, in units of what the figure is likely to be out by.
    pub distance: f64,
    /// Whether it breaks the design when it is more than the job says.
    pub upwards: bool,
}

/// The figures whose error would most likely break the design, the likeliest first; at most three.
/// Empty where even an error of eight times the likely one breaks nothing.
///
/// A greater error is taken to break whatever a smaller one of the same sign breaks.
pub fn weaknesses(request: &Request, design: &Design) -> Vec<Weakness> {
    let mut found: Vec<Weakness> = Vec::new();
    for figure in FIGURES {
        for sign in [1.0, -1.0] {
            // What lies farther off than the last of those to be told is not looked for.
            let farthest = found.get(TOLD - 1).map_or(FARTHEST, |last| last.distance);
            let Some(weak) = weakness(request, design, figure, sign, farthest) else { continue };
            match found.iter().position(|known| known.key == weak.key) {
                Some(known) if found.get(known).is_some_and(|known| known.distance <= weak.distance) => continue,
                Some(known) => {
                    found.remove(known);
                }
                None => {}
            }
            found.push(weak);
            found.sort_by(|a, b| a.distance.total_cmp(&b.distance));
            found.truncate(TOLD);
        }
    }
    found
}

/// The least change of one figure in one direction that breaks the design, if one up to `farthest` does.
fn weakness(request: &Request, design: &Design, figure: &Figure, sign: f64, farthest: f64) -> Option<Weakness> {
    let now = (figure.value)(request);
    let step = sign * likely(request, figure.key, now);
    let at = |times: f64| {
        let value = now.plus(times * step);
        let mut changed = request.clone();
        (figure.set)(&mut changed, value);
        // Nothing is smaller than nothing: a limit of zero is no limit.
        if value.positive() { broken(&changed, design) } else { None }
    };
    at(farthest)?;
    let (mut holds, mut breaks) = (0.0, farthest);
    for _ in 0..HALVINGS {
        let middle = (holds + breaks) / 2.0;
        if at(middle).is_some() {
            breaks = middle;
        } else {
            holds = middle;
        }
    }
    let rule = at(breaks)?;
    // What is told by its diameter has no width.
    let by_diameter = match &request.blank.shape {
        Shape::Disc => figure.key.starts_with("blank."),
        Shape::Round(round) if matches!(round.kind, RoundKind::Rod | RoundKind::Spindle { .. }) => {
            figure.key.starts_with("blank.width")
        }
        _ => false,
    };
    let key = if by_diameter { "blank.diameter, its uncertainty" } else { figure.key };
    Some(Weakness {
        key,
        now: now.quantity(),
        breaks_at: now.plus(breaks * step).quantity(),
        rule,
        distance: breaks,
        upwards: sign > 0.0,
    })
}

/// By how much a figure is likely to be out, in mm or its own unit.
fn likely(request: &Request, key: &str, now: Value) -> f64 {
    let machine = key.strip_prefix("machine.");
    let size = match machine {
        Some(name) if request.machine.unconfirmed.iter().any(|known| known == name) => NOT_MEASURED,
        Some(_) => MEASURED,
        None if key.starts_with("shop.") => SAW,
        None => MEASURED,
    };
    match now {
        Value::Size(_) => size.to_mm(),
        Value::Number(number, _) => FORCES * number,
    }
}

/// The first rule that must hold and does not. Comparisons of the drawing with the job are left out:
/// the drawing stays as it is while the job changes. So is the fit: a blank that does not go in is found
/// out at the bench, before anything is fed.
fn broken(request: &Request, design: &Design) -> Option<Rule> {
    let checks = verify(request, design);
    // Where metal may be is drawn for the cut as stated.
    let drawn = [Rule::Closure, Rule::MetalPlan, Rule::MetalDepth, Rule::Fit];
    let real = |subject: &str, rule: Rule| !subject.ends_with(OWN_FIGURE) && !drawn.contains(&rule);
    let fails = checks.iter().find(|check| check.status == Status::Fail && real(&check.subject, check.rule));
    fails.map(|check| check.rule)
}
