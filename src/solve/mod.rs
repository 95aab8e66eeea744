//! Enumerates candidates, sizes each, ranks those that can be built and explains the others.

mod cures;

pub use cures::{cures, nearest_miss};

use crate::construct::{Attempt, CONSTRUCTIONS, Construction, Setting};
use crate::design::Design;
use crate::request::{Hold, Objective, Request, RoundKind, Shape, Through};
use crate::rules::Rule;
use crate::trace::Conflict;

/// A candidate that cannot be built.
#[derive(Debug, Clone, PartialEq)]
pub struct Rejected {
    /// Construction id.
    pub construction: &'static str,
    /// Stock, kind of end, hold.
    pub variant: String,
    /// Whether the blank was turned by 90 degrees.
    pub turned: bool,
    /// Why not.
    pub conflict: Conflict,
}

/// Everything the search found.
#[derive(Debug, Clone, Default)]
pub struct Outcome {
    /// Designs that can be built, best first (not yet verified: `checks` is empty).
    pub designs: Vec<Design>,
    /// Candidates that cannot, one for each construction, variant and orientation, in the order tried.
    pub rejected: Vec<Rejected>,
}

/// Searches all candidates of a request: every construction, both orientations where the blank may
/// be turned, every hold it can be used with, every stock.
pub fn solve(request: &Request) -> Outcome {
    let mut outcome = Outcome::default();
    for construction in CONSTRUCTIONS {
        if request.construction.as_deref().is_some_and(|wanted| wanted != construction.id()) {
            continue;
        }
        if !request.blank.others.is_empty() && construction.id() != "gang" {
            let text = "there are several outlines; this carries one of them only";
            let conflict = Conflict::plain(Rule::GangCount, text);
            let (construction, variant) = (construction.id(), "several outlines".to_owned());
            outcome.rejected.push(Rejected { construction, variant, turned: false, conflict });
            continue;
        }
        for turned in orientations(request) {
            try_orientation(request, *construction, turned, &mut outcome);
        }
    }
    // A stable sort: what is equal in every respect stays in the order tried.
    outcome.designs.sort_by_key(|design| rank(request, design));
    outcome
}

fn orientations(request: &Request) -> impl Iterator<Item = bool> {
    let square = request.blank.shape == Shape::Rectangle && request.blank.turn_free;
    [false, true].into_iter().filter(move |turned| !turned || square)
}

/// Tries the holds of a construction in one orientation; for each variant keeps the first hold that
/// works best, or the first conflict met.
fn try_orientation(request: &Request, construction: &dyn Construction, turned: bool, outcome: &mut Outcome) {
    let mut holds: Vec<Hold> = construction.holds().to_vec();
    if let Some(wanted) = request.hold {
        let none = construction.id() == "none";
        if !none && !holds.contains(&wanted) {
            let mut text = format!("the job asks for {}; this construction is held by {}", wanted.id(), names(&holds));
            if wanted == Hold::Screws {
                text.push_str(&format!(": screws come up through a plain floor, which {} have", names_with(wanted)));
            }
            let conflict = Conflict::plain(Rule::HoldSuits, text);
            let variant = wanted.id().to_owned();
            outcome.rejected.push(Rejected { construction: construction.id(), variant, turned, conflict });
            return;
        }
        if !none {
            holds = vec![wanted];
        }
    } else {
        // Nothing but glue stops a round from turning.
        let round = request.blank.round().is_some();
        // Wedges and glue are only used when asked for where something simpler does.
        holds.retain(|hold| {
            !matches!(hold, Hold::Wedge | Hold::HotGlue | Hold::Screws)
                || holds_first_by(construction, *hold)
                || (round && *hold == Hold::HotGlue)
        });
        if construction.id() == "cradle" && request.blank.round().is_some_and(|round| round.kind != RoundKind::RoundUp)
        {
            holds.retain(|hold| *hold == Hold::HotGlue);
        }
        // A part cut free all round needs a bond underneath, where the construction offers one.
        if request.carve.through == Through::AllRound && holds.iter().any(|hold| hold.bonds_underside()) {
            holds.retain(|hold| hold.bonds_underside());
        }
    }
    let mut found: Vec<(usize, Design)> = Vec::new();
    let mut failed: Vec<(usize, Attempt)> = Vec::new();
    let mut taped = false;
    for hold in holds {
        // A second kind of tape only where the first will not do.
        let last_resort = hold.bonds_underside() && std::mem::replace(&mut taped, true);
        let mut setting = Setting::new(request, turned, hold);
        let mut short_of_stock: Vec<usize> = Vec::new();
        // Every stock and the planed board can be the upper layer; nothing comes after those.
        for choice in 0..=request.stock.len() {
            setting.upper_choice = choice;
            let again = std::mem::take(&mut short_of_stock);
            for (place, attempt) in construction.attempts(&setting).into_iter().enumerate() {
                if choice > 0 && !again.contains(&place) {
                    continue;
                }
                if last_resort && found.iter().any(|(at, _)| *at == place) {
                    continue;
                }
                match attempt.result {
                    Ok(design) => match found.iter_mut().find(|(at, _)| *at == place) {
                        Some((_, best)) if rank(request, &design) < rank(request, best) => *best = *design,
                        Some(_) => {}
                        None => found.push((place, *design)),
                    },
                    Err(ref conflict) => {
                        // The same conflict as before: the choice of upper layer is not what it hangs on.
                        let before = failed.iter().rev().find(|(at, _)| *at == place);
                        let told = choice > 0
                            && before.is_some_and(|(_, before)| before.result.as_ref().err() == Some(conflict));
                        if !told && conflict.clashes.iter().any(|clash| clash.rule == Rule::StockExists) {
                            short_of_stock.push(place);
                        }
                        failed.push((place, attempt));
                    }
                }
            }
            if short_of_stock.is_empty() {
                break;
            }
        }
    }
    let mut told: Vec<usize> = Vec::new();
    for (place, attempt) in failed {
        if told.contains(&place) || found.iter().any(|(at, _)| *at == place) {
            continue;
        }
        if let Err(conflict) = attempt.result {
            told.push(place);
            let construction = construction.id();
            outcome.rejected.push(Rejected { construction, variant: attempt.variant, turned, conflict });
        }
    }
    outcome.designs.extend(found.into_iter().map(|(_, design)| design));
}

fn holds_first_by(construction: &dyn Construction, hold: Hold) -> bool {
    construction.holds().first() == Some(&hold)
}

/// The constructions that offer a hold.
fn names_with(hold: Hold) -> String {
    let offer = CONSTRUCTIONS.iter().filter(|construction| construction.holds().contains(&hold));
    offer.map(|construction| construction.id()).collect::<Vec<_>>().join(", ")
}

fn names(holds: &[Hold]) -> String {
    holds.iter().map(|hold| hold.id()).collect::<Vec<_>>().join(", ")
}

/// What decides between two designs, most important first; smaller is better.
type Rank = (bool, (i64, i64), usize, usize, usize, bool, bool, i64);

/// How often something is fed until all blanks are done.
fn loads(request: &Request, design: &Design) -> i64 {
    let loads = design.gang.as_ref().map_or(request.blank.pieces() as usize, crate::design::Gang::loads);
    i64::try_from(loads).unwrap_or(i64::MAX)
}

/// What the job's objective makes of a design where there are several blanks; the same for all where
/// there is one.
fn handling(request: &Request, design: &Design) -> (i64, i64) {
    if request.blank.pieces() < 2 {
        return (0, 0);
    }
    let loads = loads(request, design);
    match request.objective {
        Objective::FewestLoads | Objective::NoEmptyPockets => (loads, 0),
        Objective::Shortest => (loads, design.carrier.length.ticks()),
        // Whole square centimetres, a carrier for each load.
        Objective::LeastWood => {
            let area = design.carrier.length.to_mm() * design.carrier.width.to_mm() * loads as f64;
            ((area / 100.0) as i64, loads)
        }
    }
}

fn rank(request: &Request, design: &Design) -> Rank {
    let parts = design.parts.iter().map(|part| part.places.len()).sum::<usize>();
    let layers: usize =
        design.parts.iter().map(|part| usize::try_from(part.layers).unwrap_or(1).saturating_sub(1)).sum();
    let careful = design.cut_list.steps.iter().filter(|step| step.careful).count();
    let reusable = design.joints.iter().all(|joint| joint.between.0 != "blank" && joint.between.1 != "blank");
    (
        !design.parts.is_empty(),
        handling(request, design),
        // A thickness nobody has calipered is the same for every candidate.
        design.waived.iter().filter(|rule| **rule != Rule::ThicknessKnown).count(),
        careful,
        // Freeing the blank from glue or screws is work like making one more part.
        parts + layers + usize::from(!reusable),
        !design.uses_only_stock_on_hand,
        !reusable,
        // Whole cubic centimetres: wood finer than that decides nothing.
        (design.wood_mm3() / 1000.0) as i64,
    )
}

/// In one line, why `loser` ranks below `winner` (for lists and the runner-up on the sheet).
pub fn why_lower(request: &Request, winner: &Design, loser: &Design) -> String {
    let (a, b) = (rank(request, winner), rank(request, loser));
    if a.0 != b.0 {
        return "no carrier is needed".to_owned();
    }
    if a.1 != b.1 {
        let (few, many) = (loads(request, winner), loads(request, loser));
        return if few != many {
            format!("{many} loads for {} blanks, against {few}", request.blank.pieces())
        } else {
            format!("the layout is worse by {}", request.objective.id())
        };
    }
    if a.2 != b.2 {
        let rules: Vec<&str> =
            loser.waived.iter().map(|rule| rule.id()).filter(|id| *id != "thickness-known").collect();
        return format!("leaves {} of the wishes unmet ({}), against {}", b.2, rules.join(", "), a.2);
    }
    if a.3 != b.3 {
        return format!("{} saw cuts that need more than ordinary care, against {}", b.3, a.3);
    }
    if a.4 != b.4 {
        return format!("{} parts to make, against {}", b.4, a.4);
    }
    if a.5 != b.5 {
        return "needs stock to be bought".to_owned();
    }
    if a.6 != b.6 {
        return "is glued to the blank and cannot be used again".to_owned();
    }
    if a.7 != b.7 {
        return format!("takes {} cm3 of wood, against {}", b.7, a.7);
    }
    "is as good; it comes later in the list".to_owned()
}
