//! What is said to people whose job is refused: the cures cure, and every rule named is needed.

use sledwright::length::Length;
use sledwright::request::Request;
use sledwright::rules::Rule;
use sledwright::solve::{cures, solve};
use sledwright::trace::Cure;

use crate::jobs::{self, inch};

/// Refused jobs looked at for cures.
const CURED: usize = 150;

fn refused() -> impl Iterator<Item = (u64, Request)> {
    (0..crate::JOBS).map(|number| (number, jobs::job(number))).filter(|(_, job)| solve(job).designs.is_empty())
}

/// Does what a cure says, but with `value`; false for a key that is not a length of the job.
fn follow(request: &mut Request, key: &str, value: Length) -> bool {
    let (carve, blank) = (&mut request.carve, &mut request.blank);
    let less = |size: &mut sledwright::length::Measured, value: Length| {
        let by = size.nominal - value;
        size.nominal -= by;
        size.largest -= by;
        size.smallest -= by;
        by
    };
    match key {
        "carve.depth" => carve.depth = value,
        "carve.penetration" => carve.penetration = value,
        "carve.cutter" => carve.cutter = value,
        "carve.width" => {
            let each = (carve.width - value).half();
            (carve.margin_fence, carve.margin_far) = (carve.margin_fence + each, carve.margin_far + each);
            (carve.width, carve.stated) = (value, true);
        }
        "carve.length" => {
            let each = (carve.length - value).half();
            (carve.margin_lead, carve.margin_trail) = (carve.margin_lead + each, carve.margin_trail + each);
            (carve.length, carve.stated) = (value, true);
        }
        "blank.width" => {
            let by = less(&mut blank.width, value);
            let waste = by.min(carve.margin_far);
            (carve.margin_far, carve.width) = (carve.margin_far - waste, carve.width - (by - waste));
        }
        "blank.length" => {
            let by = less(&mut blank.length, value);
            let waste = by.min(carve.margin_trail);
            (carve.margin_trail, carve.length) = (carve.margin_trail - waste, carve.length - (by - waste));
        }
        "blank.thickness" => match &mut blank.thickness {
            Some(thickness) => drop(less(thickness, value)),
            None => return false,
        },
        _ => return false,
    }
    true
}

fn solvable(request: &Request, cure: &Cure, value: Length) -> Option<bool> {
    let mut changed = request.clone();
    follow(&mut changed, &cure.key, value).then(|| !solve(&changed).designs.is_empty())
}

#[test]
fn cures_cure_and_one_step_less_does_not() {
    let (mut tried, mut wrong) = (0, Vec::new());
    for (number, request) in refused().step_by(5).take(CURED) {
        for cure in cures(&request, &solve(&request)) {
            let Some(value) = cure.value else { continue };
            let Some(cured) = solvable(&request, &cure, value) else { continue };
            tried += 1;
            if !cured {
                wrong.push(format!("job {number}: {cure:?} does not cure"));
            }
            let step = match cure.key.as_str() {
                "carve.depth" | "carve.penetration" | "carve.cutter" | "blank.thickness" => request.depth_step(),
                // Both margins move, each by a whole half of the step.
                "carve.width" | "carve.length" => request.step().half_up() * 2,
                _ => request.step(),
            };
            if solvable(&request, &cure, value + step) == Some(true) {
                wrong.push(format!("job {number}: {cure:?}: one step less cures as well"));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(tried > 20, "only {tried} cures tried");
}

/// Moves the limit behind a rule out of the way; false for rules without a limit of the machine's.
fn lift(request: &mut Request, rule: Rule) -> bool {
    let (machine, far) = (&mut request.machine, inch(1000, 1));
    match rule {
        Rule::LengthMin => machine.length.min = Length::ZERO,
        Rule::LengthMax => machine.length.max += far,
        Rule::WidthMin => machine.width.min = Length::ZERO,
        Rule::WidthMax => machine.width.max += far,
        Rule::ThicknessMin => machine.thickness.min = Length::ZERO,
        Rule::ThicknessMax => machine.thickness.max += far,
        Rule::CutterWindow => {
            machine.window.min -= far;
            machine.window.max += far;
        }
        Rule::DepthReach => machine.depth += far,
        Rule::HolderClears => machine.stick_out += far,
        Rule::FenceRail => machine.strip = Length::ZERO,
        _ => return false,
    }
    true
}

#[test]
fn every_limit_named_in_a_conflict_is_needed_for_it() {
    let (mut tried, mut wrong) = (0, Vec::new());
    for (number, request) in refused().step_by(3) {
        for rejected in solve(&request).rejected {
            // A construction that is not meant for such a blank is no matter of a limit.
            for clash in rejected.conflict.clashes.iter().filter(|clash| clash.amount != Length::ZERO) {
                let mut lifted = request.clone();
                lifted.construction = Some(rejected.construction.to_owned());
                if !lift(&mut lifted, clash.rule) {
                    continue;
                }
                tried += 1;
                // The same candidate may meet another conflict now, but not this one.
                let same = |other: &&sledwright::solve::Rejected| {
                    other.variant == rejected.variant && other.turned == rejected.turned
                };
                if solve(&lifted).rejected.iter().filter(same).any(|other| other.conflict == rejected.conflict) {
                    wrong.push(format!("job {number}: {} stands without {:?}", rejected.construction, clash));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(tried > 200, "only {tried} tried");
}
