//! Jobs that must come out alike, or no worse, when something about them is changed.

use sledwright::design::Design;
use sledwright::length::{Length, Ruler, Unit};
use sledwright::request::{Request, Tool};
use sledwright::rules::Rule;
use sledwright::solve::solve;

use crate::jobs::{self, inch};

/// One job in this many is put through every change.
const EVERY: usize = 4;

fn sample() -> impl Iterator<Item = (u64, Request)> {
    (0..crate::JOBS).step_by(EVERY).map(|number| (number, jobs::job(number)))
}

/// What a carrier is, without the words.
fn geometry(design: &Design) -> impl PartialEq + std::fmt::Debug + use<> {
    (
        (design.construction, design.turned, design.carrier, design.blank.clone(), design.pockets.clone()),
        design.parts.iter().map(|part| (part.role, part.size, part.places.clone())).collect::<Vec<_>>(),
        (design.depth_below_top, design.hold, design.adhesive, design.waived.clone(), design.swept),
    )
}

#[test]
fn the_same_job_twice_gives_the_same_answer() {
    for (number, request) in sample() {
        let (first, second) = (solve(&request), solve(&request));
        assert_eq!(first.designs, second.designs, "job {number}");
        assert_eq!(first.rejected, second.rejected, "job {number}");
    }
}

#[test]
fn inches_and_millimetres_of_the_same_lengths_give_the_same_carriers() {
    for (number, request) in sample() {
        let mut other = request.clone();
        other.units = if request.units == Unit::Inch { Unit::Millimetre } else { Unit::Inch };
        for ruler in [&mut other.shop.ruler, &mut other.shop.depth_ruler] {
            *ruler = Ruler { unit: other.units, decimal: true, ..*ruler };
        }
        let ours: Vec<_> = solve(&request).designs.iter().map(geometry).collect();
        let others: Vec<_> = solve(&other).designs.iter().map(geometry).collect();
        assert_eq!(ours, others, "job {number}");
    }
}

/// A change to a job, in words and as it is made.
type Change = (&'static str, fn(&mut Request));

/// Every change that asks less of the carrier or gives the shop more.
fn looser() -> Vec<Change> {
    vec![
        ("shortest board shorter", |request| request.machine.length.min -= inch(2, 1)),
        ("longest board longer", |request| request.machine.length.max += inch(12, 1)),
        ("narrowest board narrower", |request| request.machine.width.min -= inch(1, 2)),
        ("widest board wider", |request| request.machine.width.max += inch(2, 1)),
        ("thinnest board thinner", |request| request.machine.thickness.min -= inch(1, 8)),
        ("thickest board thicker", |request| request.machine.thickness.max += inch(1, 2)),
        ("deeper", |request| {
            request.machine.depth += inch(1, 2);
            if request.machine.stick_out > Length::ZERO {
                request.machine.stick_out += inch(1, 2);
            }
        }),
        ("window wider", |request| {
            request.machine.window.min -= inch(1, 2);
            request.machine.window.max += inch(1, 2);
        }),
        ("cutter nearer to the rollers", |request| request.machine.cutter_to_roller -= inch(1, 2)),
        ("narrower strip", |request| request.machine.strip = request.machine.strip.half()),
        ("smaller guards", |request| {
            request.machine.length_guard = Length::ZERO;
            request.machine.width_guard = Length::ZERO;
            request.machine.thickness_guard = Length::ZERO;
        }),
        ("surer saw", |request| request.shop.tolerance = Length::ZERO),
    ]
}

/// Gives the shop more than it had.
fn richer() -> Vec<Change> {
    vec![
        ("router", |request| request.shop.tools.extend([Tool::Router])),
        ("planer", |request| request.shop.tools.extend([Tool::Planer])),
        ("band saw", |request| request.shop.tools.extend([Tool::BandSaw])),
        ("table saw", |request| request.shop.tools.extend([Tool::TableSaw])),
        ("drill press and chisel", |request| request.shop.tools.extend([Tool::DrillPress, Tool::Chisel])),
        ("one more stock at the end", |request| {
            let mut more = request.board.clone();
            more.name = "one more sheet".to_owned();
            more.kind = sledwright::library::MaterialKind::Mdf;
            more.thickness = inch(5, 8);
            request.stock.push(more);
        }),
        ("one more offcut at the front", |request| {
            let mut more = request.board.clone();
            more.name = "one more offcut".to_owned();
            more.kind = sledwright::library::MaterialKind::Plywood;
            more.thickness = inch(11, 16);
            (more.length, more.width, more.count) = (Some(inch(20, 1)), Some(inch(8, 1)), Some(1));
            request.stock.insert(0, more);
        }),
        ("stock in another order", |request| request.stock.reverse()),
    ]
}

#[test]
fn asking_less_or_owning_more_never_turns_a_yes_into_a_no() {
    let mut wrong = Vec::new();
    for (number, request) in sample() {
        let before = solve(&request);
        if before.designs.is_empty() {
            continue;
        }
        for (change, apply) in looser().into_iter().chain(richer()) {
            let mut changed = request.clone();
            apply(&mut changed);
            let after = solve(&changed);
            if after.designs.is_empty() {
                wrong.push(format!("job {number}: {change}: {:?}", after.rejected));
            }
            // Each construction for itself, too.
            for design in &before.designs {
                let still = after.designs.iter().any(|other| other.construction == design.construction);
                // A riser is for what the machine finds too thin; it may not find it so any more.
                let unneeded = change == "thinnest board thinner" && design.construction == "riser";
                if !still && !unneeded {
                    wrong.push(format!("job {number}: {change}: no {} any more", design.construction));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} cases:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn stock_in_another_order_never_turns_a_no_into_a_yes() {
    for (number, request) in sample() {
        let mut changed = request.clone();
        changed.stock.reverse();
        assert_eq!(solve(&request).designs.is_empty(), solve(&changed).designs.is_empty(), "job {number}");
    }
}

#[test]
fn looser_limits_never_make_the_same_carrier_larger() {
    let mut wrong = Vec::new();
    for (number, request) in sample() {
        let before = solve(&request);
        let level = |design: &Design| {
            let end = |name: &str| design.trace.find(name).map_or(Length::ZERO, |reason| reason.value);
            (end("lead-end") - end("trail-end")).abs() < request.step()
        };
        for (change, apply) in looser() {
            let mut changed = request.clone();
            apply(&mut changed);
            let after = solve(&changed);
            for design in &before.designs {
                // Meeting one wish more may take more room, and so may equal ends: only like is compared
                // with like.
                let same = |other: &&Design| {
                    (other.construction, other.turned, &other.variant, &other.waived, other.clip_corner)
                        == (design.construction, design.turned, &design.variant, &design.waived, design.clip_corner)
                };
                let Some(other) = after.designs.iter().find(same) else { continue };
                if level(design) != level(other) {
                    continue;
                }
                let (was, is) = (&design.carrier, &other.carrier);
                // A smaller pocket can leave an odd number of marks to be shared by two equal sides:
                // each is rounded up, which takes less than two marks.
                let slack = request.step() * 2;
                if is.length >= was.length + slack || is.width >= was.width + slack {
                    wrong.push(format!("job {number}: {change}: {} {was:?} became {is:?}", design.construction));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} cases:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn margins_the_other_way_round_give_the_ends_the_other_way_round() {
    let (mut wrong, mut compared) = (Vec::new(), 0);
    for (number, mut request) in sample() {
        request.blank.turn_free = false;
        let machine = &request.machine;
        // Where the least grip decides, the trail end has the slack of the pocket to its credit.
        let radius = request.carve.cutter.half_up();
        if machine.grip_wanted < machine.grip_least + request.shop.tolerance * 2 + radius {
            continue;
        }
        let mut mirrored = request.clone();
        std::mem::swap(&mut mirrored.carve.margin_lead, &mut mirrored.carve.margin_trail);
        let (ours, others) = (solve(&request).designs, solve(&mirrored).designs);
        for design in ours.iter().filter(|design| !design.waived.contains(&Rule::GripWanted)) {
            let pocketed = ["blind-pocket", "rails-on-base", "bridge", "disc-nest"].contains(&design.construction);
            let same = |other: &&Design| other.construction == design.construction && other.variant == design.variant;
            let (true, Some(other)) = (pocketed, others.iter().find(same)) else { continue };
            let end = |design: &Design, name: &str| design.trace.find(name).map(|reason| reason.value);
            compared += 1;
            if end(design, "lead-end") != end(other, "trail-end") || end(design, "trail-end") != end(other, "lead-end")
            {
                wrong.push(format!("job {number}: {}", design.construction));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {compared}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(compared > 100, "only {compared} compared");
}
