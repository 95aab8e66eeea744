//! What tests of carriers worked by hand start from: sizes in inches, jobs as text, the carrier that comes
//! of one, and the refusal.

use sledwright::design::Design;
use sledwright::length::Length;
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};
use sledwright::solve::Outcome;

/// `whole` and `n/d` inches.
pub fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

/// The request of a sound job that reads no other files.
pub fn read(job: &str) -> Request {
    match request::from_toml(job, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

/// The carrier of a job that has one.
pub fn design(job: &str) -> Design {
    match plan(&read(job)) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { design, broken } => panic!("verify disagrees on {}: {broken:#?}", design.construction),
    }
}

/// The request of a job that has none, and what stood against every candidate.
pub fn refused(job: &str) -> (Request, Outcome) {
    let request = read(job);
    match plan(&request) {
        Plan::Nothing(outcome) => (request, outcome),
        Plan::Ready { design, .. } => panic!("{} fits", design.construction),
        Plan::Disagree { broken, .. } => panic!("verify disagrees: {broken:#?}"),
    }
}
