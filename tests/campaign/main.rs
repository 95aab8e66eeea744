//! The campaign: thousands of random plausible jobs, every answer checked from outside.

mod brute;
mod jobs;
mod random;

use sledwright::length::{Length, Unit};
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
    println!("{solved} solved, {refused} refused, {} wrongly", wrong.len());
    assert!(wrong.is_empty(), "{} wrongly refused:\n{}", wrong.len(), wrong.join("\n"));
    assert!(solved > 900 && refused > 300, "{solved} solved, {refused} refused: too one-sided to prove much");
}
