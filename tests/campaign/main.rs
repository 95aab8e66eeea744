//! The campaign: thousands of random plausible jobs, every answer checked from outside.

mod alike;
mod brute;
mod drawn;
mod jobs;
mod kinds;
mod least;
mod random;
mod refused;
mod rounds;
mod shape;
#[path = "../support/mod.rs"]
mod support;
mod text;
mod told;

use std::collections::BTreeMap;

use sledwright::length::{Length, Unit};
use sledwright::plan::check;
use sledwright::request::Request;
use sledwright::solve::solve;

/// How many jobs are tried.
const JOBS: u64 = 2000;

/// A coarse ruler whose marks are also marks of the job's own.
pub fn coarse(request: &Request) -> Length {
    let quarter = Length::inches(1, 4);
    match request.shop.ruler.unit {
        Unit::Millimetre => Length::MM * 6,
        Unit::Inch => quarter.up(request.step()),
    }
}

#[test]
fn every_refusal_is_confirmed_by_exhaustive_search() {
    let (mut solved, mut refused) = (0, 0);
    let mut wrong: Vec<String> = Vec::new();
    for number in 0..JOBS {
        let request = jobs::job(number);
        let outcome = solve(&request);
        if !outcome.designs.is_empty() {
            solved += 1;
            continue;
        }
        refused += 1;
        if let Some(found) = brute::search(&request, coarse(&request)) {
            let claimed = outcome.rejected.iter().filter(|rejected| rejected.construction == found.construction);
            let claimed: Vec<_> = claimed.map(|rejected| &rejected.conflict).collect();
            wrong.push(format!("job {number} was refused ({claimed:?}), but: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{} wrongly refused:\n{}", wrong.len(), wrong.join("\n"));
    assert!(solved > 900 && refused > 300, "{solved} solved, {refused} refused: too one-sided to prove much");
}

/// Kinds of fault, how often each was met, and the first job it was met in.
#[derive(Default)]
struct Faults(BTreeMap<String, (usize, String)>);

impl Faults {
    fn note(&mut self, kind: String, example: impl FnOnce() -> String) {
        self.0.entry(kind).or_insert_with(|| (0, example())).0 += 1;
    }

    fn told(&self) -> String {
        self.0.iter().map(|(kind, (times, first))| format!("{times:5} x {kind}, first {first}\n")).collect()
    }
}

#[test]
fn every_design_passes_verification() {
    let (mut faults, mut designs) = (Faults::default(), 0);
    for number in 0..JOBS {
        let request = jobs::job(number);
        for design in &mut solve(&request).designs {
            designs += 1;
            for broken in check(&request, design) {
                let kind = format!("{} {:?} {}", broken.rule.id(), broken.status, design.construction);
                faults.note(kind, || format!("job {number} ({}): {broken:?}", design.variant));
            }
        }
    }
    assert!(faults.0.is_empty(), "{designs} designs, faults:\n{}", faults.told());
}

#[test]
fn every_design_is_a_thing_that_can_be() {
    let mut faults = Faults::default();
    for number in 0..JOBS {
        let request = jobs::job(number);
        for design in &solve(&request).designs {
            for fault in shape::faults(&request, design) {
                let kind = format!("{} {}", design.construction, fault.split(',').next().unwrap_or_default());
                faults.note(kind, || format!("job {number} ({}): {fault}", design.variant));
            }
        }
    }
    assert!(faults.0.is_empty(), "faults:\n{}", faults.told());
}
