//! How long the work takes, as ratios to a reference measured in the same run.
//!
//! The reference is reading the job file as plain TOML with the `toml` crate: work of the same kind
//! (small strings, small vectors) that does not change when Sledwright does. Run with `cargo bench`.
#![expect(clippy::disallowed_methods, reason = "a benchmark reads the clock")]
#![expect(clippy::print_stdout, reason = "a benchmark prints")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use sledwright::request;
use sledwright::solve::solve;

const JOB: &str = include_str!("../examples/gull-plaque.toml");

/// Least time of `runs` runs: the least is what the work takes when nothing else disturbs it.
fn least(runs: u32, mut work: impl FnMut()) -> Duration {
    let once = |work: &mut dyn FnMut()| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..runs).map(|_| once(&mut work)).min().unwrap_or_default()
}

fn main() {
    let read = || match request::from_toml(JOB, "gull-plaque.toml", &|_| Err("no files".to_owned())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    };
    let request = read();
    let reference = least(500, || {
        black_box(toml::from_str::<toml::Table>(black_box(JOB)).is_ok());
    });
    let reading = least(500, || {
        black_box(read());
    });
    let solving = least(500, || {
        black_box(solve(black_box(&request)));
    });
    let ratio = |time: Duration| time.as_secs_f64() / reference.as_secs_f64();
    println!("reference: job file as plain TOML   {reference:>10.1?}    1.0");
    println!("job file to request                 {reading:>10.1?}  {:>5.1}", ratio(reading));
    println!("solve, all candidates               {solving:>10.1?}  {:>5.1}", ratio(solving));
}
