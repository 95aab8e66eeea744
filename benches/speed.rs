//! How long the work takes, as ratios to a reference measured in the same run.
//!
//! The reference is reading the job file as plain TOML with the `toml` crate: work of the same kind
//! (small strings, small vectors) that does not change when Sledwright does. Run with `cargo bench`.
#![expect(clippy::disallowed_methods, reason = "a benchmark reads the clock")]
#![expect(clippy::print_stdout, reason = "a benchmark prints")]

use std::hint::black_box;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use sledwright::output::files::{Source, render};
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};
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

/// Resident memory of this process in KiB, where the system tells.
fn resident_kib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Every file of a job, in memory.
fn all_files(request: &Request) -> usize {
    let Plan::Ready { design, .. } = plan(request) else { panic!("the example fits") };
    match render(&Source::new(request, &design), &[]) {
        Ok(files) => files.iter().map(|file| file.bytes.len()).sum(),
        Err(error) => panic!("{error}"),
    }
}

/// The program itself, started and waited for.
fn process(args: &[&str]) {
    let status = Command::new(env!("CARGO_BIN_EXE_sledwright")).args(args).stdout(Stdio::null()).status();
    assert!(status.is_ok_and(|status| status.success()), "the program runs");
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
    let verifying = least(200, || {
        black_box(plan(black_box(&request)));
    });
    println!("solve and verify                    {verifying:>10.1?}  {:>5.1}", ratio(verifying));
    let writing = least(30, || {
        black_box(all_files(&request));
    });
    println!("solve, verify, all files            {writing:>10.1?}  {:>5.1}", ratio(writing));

    let job = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/gull-plaque.toml");
    let folder = std::env::temp_dir().join(format!("sledwright-bench-{}.carrier", std::process::id()));
    let out = folder.to_string_lossy().into_owned();
    let start = least(30, || process(&["--version"]));
    let whole = least(30, || process(&["design", job, "--out", &out]));
    std::fs::remove_dir_all(&folder).ok();
    println!("reference: the program started      {start:>10.1?}    1.0");
    let ratio = whole.as_secs_f64() / start.as_secs_f64();
    println!("the whole `design` process          {whole:>10.1?}  {ratio:>5.1}");

    // A thousand jobs in one process: what is resident after the first hundred and after the last.
    (0..100).for_each(|_| _ = black_box(all_files(&request)));
    let before = resident_kib();
    (0..900).for_each(|_| _ = black_box(all_files(&request)));
    if let (Some(before), Some(after)) = (before, resident_kib()) {
        println!("memory after 100 and 1000 jobs      {before} KiB, {after} KiB");
    }
}
