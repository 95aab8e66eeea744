//! `saw`: one plan for several jobs out of one pile.

#![expect(clippy::disallowed_methods, reason = "a limit of time was asked for; it only ends the search earlier")]

use std::path::Path;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

use super::input::{self, Job};
use super::{Failure, Reply, args, code, created, planned};
use crate::boards::pile::{self, Pile, PileBoard};
use crate::boards::{self, JobDesign, NoPlan, Style, Terms};
use crate::design::{Design, Status};
use crate::length::Unit;
use crate::output::boards as files;
use crate::output::files::write_plan;
use crate::output::text;
use crate::request::Request;
use crate::verify::{check_boards, check_handed_over};

/// Longest search that can be asked for, seconds.
const LONGEST: f64 = 86_400.0;

/// Plans and writes.
pub fn saw(args: &args::Saw, stdin: &mut dyn std::io::Read) -> Result<Reply, Failure> {
    let mut jobs: Vec<(Request, Box<Design>)> = Vec::new();
    for named in &args.jobs {
        let job = Job::read(&args::Job { job: named.clone(), tables: args.tables.clone() }, stdin)?;
        let design = match planned(&job.request)? {
            Ok(planned) => planned.design,
            Err(refusal) => return Ok(refusal),
        };
        if !design.blank.thickness_known {
            let text = format!("{}: nothing is sawn before the blank's thickness is measured", job.request.name);
            return Err(Failure::usage(text));
        }
        jobs.push((job.request, design));
    }
    let unit = jobs.first().map_or(Unit::Inch, |(request, _)| request.units);
    let library = &*input::tables(&args.tables)?;
    let mut rows = of_jobs(&jobs);
    let mut as_csv = false;
    if let Some(path) = &args.stock {
        let text = input::read_file(path)?;
        let shown = path.display().to_string();
        as_csv = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
        let read = if as_csv { pile::from_csv } else { pile::from_toml };
        let Pile { rows: own, .. } =
            read(library, &text, &shown, unit).map_err(|report| Failure::usage(report.to_string()))?;
        rows.extend(own);
    }
    let terms = terms(args, unit)?;
    let wanted: Vec<JobDesign<'_>> = jobs.iter().map(|(request, design)| JobDesign { request, design }).collect();
    let planned = search(args, &wanted, &rows, &terms)?;
    let planned = match planned {
        Ok(planned) => planned,
        Err(no_plan) => {
            let code = match no_plan {
                NoPlan::Disagree(_) | NoPlan::TooMany(_) => code::BAD_JOB,
                _ => code::NOTHING_FITS,
            };
            return Err(Failure { code, message: no_plan.to_string() });
        }
    };
    let there: Vec<usize> = planned.rows.iter().map(|row| row.count).collect();
    let mut checks = check_boards(&planned.plan, &planned.shop, &there);
    let designs: Vec<(&Request, &Design)> = jobs.iter().map(|(request, design)| (request, &**design)).collect();
    checks.extend(check_handed_over(&planned.plan, &designs));
    let broken: Vec<String> = checks
        .iter()
        .filter(|check| check.status != Status::Pass)
        .map(|check| format!("{}: {}", check.rule.id(), check.subject))
        .collect();
    if !broken.is_empty() {
        return Err(Failure::fault(format!("the saw plan breaks rules of the trade:\n{}", broken.join("\n"))));
    }
    let source = files::Source {
        planned: &planned,
        checks: &checks,
        jobs: &designs,
        pile: &rows,
        pile_as_csv: as_csv,
        created: created()?,
    };
    let rendered = files::render(&source).map_err(|error| Failure::fault(error.to_string()))?;
    let folder = args.out.as_deref().unwrap_or(Path::new("saw-plan"));
    write_plan(folder, &rendered)?;
    let names: Vec<&str> = rendered.iter().map(|file| file.name.as_str()).collect();
    let mut answer = files::summary(&planned, &designs);
    answer.push_str(&text::paragraph(&format!("Written to {}: {}", folder.display(), names.join(", "))));
    Ok(Reply::done(answer))
}

/// The stock the jobs state; a board named by several of them is there once.
fn of_jobs(jobs: &[(Request, Box<Design>)]) -> Vec<PileBoard> {
    let mut rows: Vec<PileBoard> = Vec::new();
    for (request, _) in jobs {
        for row in pile::of_job(&request.stock) {
            let same = |other: &&mut PileBoard| PileBoard { count: row.count, ..(**other).clone() } == row;
            match rows.iter_mut().find(same) {
                Some(other) => other.count = other.count.max(row.count),
                None => rows.push(row),
            }
        }
    }
    rows
}

fn terms(args: &args::Saw, unit: Unit) -> Result<Terms, Failure> {
    let sizes = crate::length::parse_sizes(&args.keep, unit)
        .map_err(|error| Failure::usage(format!("--keep {}: {error}", args.keep)))?;
    let [length, width] = sizes.as_slice() else {
        return Err(Failure::usage(format!("--keep {}: two sizes are wanted, such as \"12 x 3\"", args.keep)));
    };
    if !(0.0..=1.0).contains(&args.worth) {
        return Err(Failure::usage("--worth is a share from 0 to 1"));
    }
    Ok(Terms {
        style: if args.free { Style::Free } else { Style::Strips },
        keep: (length.nominal, width.nominal),
        permille: libm::round(args.worth * 1000.0) as i64,
    })
}

/// Searches, showing how it goes where standard error is a terminal.
fn search(
    args: &args::Saw,
    jobs: &[JobDesign<'_>],
    rows: &[PileBoard],
    terms: &Terms,
) -> Result<Result<boards::Planned, NoPlan>, Failure> {
    let limit = match args.time {
        Some(seconds) if seconds > 0.0 && seconds <= LONGEST => Some(Duration::from_secs_f64(seconds)),
        Some(_) => return Err(Failure::usage("--time is a number of seconds above zero, at most a day")),
        None => None,
    };
    let start = Instant::now();
    let stop = || limit.is_some_and(|limit| start.elapsed() >= limit);
    // Hidden by itself where standard error is no terminal.
    let bar = ProgressBar::new(0);
    if let Ok(style) = ProgressStyle::with_template("{pos} of {len}  {msg}") {
        bar.set_style(style);
    }
    let planned = boards::plan(jobs, rows, terms, &stop, &mut |progress| {
        bar.set_length(progress.done.1 as u64);
        bar.set_position(progress.done.0 as u64);
        bar.set_message(format!("{}: {} found, {} at least", progress.material, progress.cost.0, progress.cost.1));
    });
    bar.finish_and_clear();
    Ok(planned)
}
