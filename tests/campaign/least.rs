//! No smaller carrier of the same kind does: every mark of the job's own ruler below the solver's
//! answer is tried.

use sledwright::design::Design;
use sledwright::length::Length;
use sledwright::request::{Hold, Request};
use sledwright::rules::Rule;
use sledwright::solve::solve;

use crate::brute::{Meets, Pair, View, Wishes};
use crate::jobs::{self, inch};

/// How many marks below the answer, and to either side of its allowances, are tried.
const MARKS: i64 = 24;

/// How the blank meets the carrier along and across in each construction whose ends are all sawn.
fn meets(design: &Design) -> Option<(Meets, Meets)> {
    let (wall, bare) = (inch(3, 4), inch(5, 4));
    let bite = design.pockets.first()?.relief.map(|relief| relief.bite);
    let pocket = Meets::Pocket { wall, bite };
    match design.construction {
        "blind-pocket" | "rails-on-base" => Some((pocket, pocket)),
        // The two halves are equal whatever the rails would do.
        "disc-nest" if !design.variant.starts_with("two halves") => Some((pocket, pocket)),
        "bridge" => Some((pocket, Meets::Pocket { wall: bare, bite: None })),
        "flush-frame" => Some((Meets::Glued { wall, strip: false }, Meets::Glued { wall: bare, strip: true })),
        _ => None,
    }
}

/// A smaller total that keeps the rules, if there is one.
fn smaller(request: &Request, drawn: Pair, holds: impl Fn(Pair) -> bool) -> Option<Pair> {
    let step = request.step();
    (1..=MARKS)
        .flat_map(|less| (-MARKS..=MARKS).map(move |aside| (less, aside)))
        .map(|(less, aside)| Pair { near: drawn.near + step * aside, total: drawn.total - step * less, ..drawn })
        .find(|pair| pair.near >= Length::ZERO && holds(*pair))
}

#[test]
fn nothing_smaller_of_the_same_kind_keeps_the_rules() {
    let (mut wrong, mut compared) = (Vec::new(), 0);
    for number in (0..crate::JOBS).step_by(5) {
        let request = jobs::job(number);
        for design in &solve(&request).designs {
            let Some((along, across)) = meets(design) else { continue };
            let view = View::new(&request, design.turned);
            let room = design.pockets[0].outline.bounds();
            let (carrier, step) = (design.carrier, request.step());
            let ends = Pair { near: room.x0, pocket: room.length(), total: carrier.length };
            let rails = Pair { near: room.y0, pocket: room.width(), total: carrier.width };
            // What is equal stays equal, to the mark that a measured edge allows.
            let equal = |pair: Pair| {
                let off = (pair.near - pair.far()).abs();
                (off < step).then_some(off.max(if along == across {
                    Length::ZERO
                } else {
                    step - Length::from_ticks(1)
                }))
            };
            let grip = !design.waived.contains(&Rule::GripWanted);
            let end_wishes = Wishes { grip, equal: equal(ends) };
            let rail_wishes = Wishes { grip: false, equal: equal(rails) };
            let pinched = design.construction == "flush-frame" && design.hold == Hold::Snug;
            let stiff = if pinched { view.stiff() } else { Length::ZERO };
            if !view.ends_hold(along, ends, end_wishes) || !view.rails_hold(across, rails, stiff, rail_wishes) {
                wrong.push(format!("job {number}: {}: its own rules are broken", design.construction));
                continue;
            }
            compared += 1;
            // Each half of a shared shortfall is rounded up, so that sides that are not equal, or equal
            // only to the mark beside a measured edge, may take less than two marks more.
            let slack = |meets: Meets, pair: Pair, least: Pair| {
                let exact = matches!(meets, Meets::Pocket { .. }) && equal(pair).is_some();
                !exact && pair.total - least.total < step * 2
            };
            if let Some(least) = smaller(&request, ends, |pair| view.ends_hold(along, pair, end_wishes))
                && !slack(along, ends, least)
            {
                wrong.push(format!("job {number}: {} along: {ends:?} could be {least:?}", design.construction));
            }
            if let Some(least) = smaller(&request, rails, |pair| view.rails_hold(across, pair, stiff, rail_wishes))
                && !slack(across, rails, least)
            {
                wrong.push(format!("job {number}: {} across: {rails:?} could be {least:?}", design.construction));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {compared}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(compared >= 200, "only {compared} compared");
}
