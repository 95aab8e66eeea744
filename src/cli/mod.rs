//! The commands. Nothing here prints or exits: every command returns its text and an exit code.

mod args;
mod input;
mod saw;

use std::ffi::OsString;
use std::io::Read;
use std::path::Path;

use clap::{CommandFactory, Parser};

use crate::design::{Check, Design};
use crate::diagnostic::nearest;
use crate::job;
use crate::length::looks_like_sizes;
use crate::library::{self, Library};
use crate::output::files::{self, FORMATS, Source, WriteError};
use crate::output::{boards, json, pdf, text, worksheet};
use crate::plan::{self, Plan};
use crate::request::Request;
use crate::rules::{RULES, Rule};
use crate::setup;
use crate::solve::{Outcome, cures};

use args::{Cli, Command, Listing, MachineAction};
use input::Job;

/// Exit codes.
pub mod code {
    /// Done.
    pub const DONE: u8 = 0;
    /// The job is sound and nothing fits.
    pub const NOTHING_FITS: u8 = 1;
    /// A fault in the job or the command line.
    pub const BAD_JOB: u8 = 2;
    /// A file could not be read or written.
    pub const FILES: u8 = 3;
    /// The program contradicts itself.
    pub const FAULT: u8 = 70;
}

/// What a command answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    /// For standard output.
    pub out: Vec<u8>,
    /// For standard error.
    pub err: String,
    /// Exit code.
    pub code: u8,
}

impl Reply {
    fn done(out: impl Into<Vec<u8>>) -> Reply {
        Reply { out: out.into(), err: String::new(), code: code::DONE }
    }

    fn with_code(self, code: u8) -> Reply {
        Reply { code, ..self }
    }
}

/// Why a command did not do its work.
struct Failure {
    code: u8,
    message: String,
}

impl Failure {
    fn usage(message: impl Into<String>) -> Failure {
        Failure { code: code::BAD_JOB, message: message.into() }
    }

    fn files(message: impl Into<String>) -> Failure {
        Failure { code: code::FILES, message: message.into() }
    }

    fn fault(message: impl Into<String>) -> Failure {
        Failure { code: code::FAULT, message: message.into() }
    }
}

impl From<WriteError> for Failure {
    fn from(error: WriteError) -> Failure {
        Failure::files(error.to_string())
    }
}

/// Runs the command line `args` (the first is the program's own name), reading a job from `stdin`
/// where it is asked for.
pub fn run(args: impl IntoIterator<Item = OsString>, stdin: &mut dyn Read) -> Reply {
    let args: Vec<OsString> = args.into_iter().collect();
    let cli = match Cli::try_parse_from(&args) {
        Ok(cli) => cli,
        Err(error) if error.use_stderr() => {
            let mut message = error.render().to_string();
            if let Some(sizes) = args.get(1).and_then(|arg| arg.to_str()).filter(|arg| looks_like_sizes(arg)) {
                message.push_str(&format!("\nTo design a carrier for that blank: sledwright design \"{sizes}\"\n"));
            }
            return Reply { out: Vec::new(), err: message, code: code::BAD_JOB };
        }
        Err(help) => return Reply::done(help.render().to_string()),
    };
    command(cli.command, stdin).unwrap_or_else(|failure| {
        let mut err = failure.message;
        if !err.ends_with('\n') {
            err.push('\n');
        }
        Reply { out: Vec::new(), err, code: failure.code }
    })
}

fn command(command: Command, stdin: &mut dyn Read) -> Result<Reply, Failure> {
    match command {
        Command::New { starter, out } => new(starter.as_deref(), out.as_deref()),
        Command::Check { job } => check(&Job::read(&job, stdin)?),
        Command::Design { job, out, only, preview } => {
            let only = formats(&only)?;
            design(&Job::read(&job, stdin)?, out.as_deref(), &only, preview)
        }
        Command::Options { job } => options(&Job::read(&job, stdin)?),
        Command::Explain { job, about } => explain(&Job::read(&job, stdin)?, about.as_deref()),
        Command::Refit { job, built, out } => refit(&Job::read(&job, stdin)?, &built, out.as_deref()),
        Command::Saw(args) => saw::saw(&args, stdin),
        Command::List { what, tables } => Ok(list(what, &*input::tables(&tables)?)),
        Command::Machine { action } => machine(action),
        Command::Schema { design, saw_plan } => {
            let schema = match (design, saw_plan) {
                (true, _) => json::schema(),
                (false, true) => boards::schema(),
                (false, false) => job::schema(),
            };
            Ok(Reply::done(format!("{schema:#}\n")))
        }
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Cli::command(), "sledwright", &mut script);
            Ok(Reply::done(script))
        }
        Command::Man { command } => manual(command.as_deref()),
    }
}

/// `name` is not among `known`: says so, with the nearest one.
fn unknown<'a>(what: &str, name: &str, known: impl IntoIterator<Item = &'a str>, see: &str) -> Failure {
    let hint = nearest(name, known).map(|near| format!("; did you mean `{near}`?")).unwrap_or_default();
    Failure::usage(format!("there is no {what} `{}`{hint}\n{see}", crate::diagnostic::printable(name)))
}

fn new(starter: Option<&str>, out: Option<&Path>) -> Result<Reply, Failure> {
    let Some(name) = starter else {
        return match out {
            Some(_) => Err(Failure::usage("which starter? `sledwright list starters` names them")),
            None => Ok(list(Listing::Starters, library::library())),
        };
    };
    let starter = job::STARTERS.iter().find(|starter| starter.name == name).ok_or_else(|| {
        unknown(
            "starter",
            name,
            job::STARTERS.iter().map(|starter| starter.name),
            "`sledwright list starters` names them all",
        )
    })?;
    match out {
        None => Ok(Reply::done(starter.text)),
        Some(path) => {
            files::write_new(path, starter.text.as_bytes())?;
            Ok(Reply::done(format!("Wrote {}\n", path.display())))
        }
    }
}

/// The formats asked for, each known.
fn formats(only: &[String]) -> Result<Vec<String>, Failure> {
    only.iter()
        .map(|name| name.trim())
        .filter(|name| !name.is_empty())
        .map(|name| match FORMATS.iter().find(|format| format.id == name) {
            Some(format) => Ok(format.id.to_owned()),
            None => Err(unknown(
                "format",
                name,
                FORMATS.iter().map(|format| format.id),
                "`sledwright list formats` names them all",
            )),
        })
        .collect()
}

/// What came of a plan, where there is a design.
struct Planned {
    design: Box<Design>,
    outcome: Outcome,
}

/// Plans the request: a design, or the refusal as it is printed.
fn planned(request: &Request) -> Result<Result<Planned, Reply>, Failure> {
    match plan::plan(request) {
        Plan::Ready { design, outcome } => Ok(Ok(Planned { design, outcome })),
        Plan::Nothing(outcome) => {
            let cures = cures(request, &outcome);
            Ok(Err(Reply::done(text::refusal(request, &outcome, &cures)).with_code(code::NOTHING_FITS)))
        }
        Plan::Disagree { design, broken } => Err(Failure::fault(text::disagreement(request, &design, &broken))),
    }
}

fn check(job: &Job) -> Result<Reply, Failure> {
    // Whether the blank can go alone does not depend on the construction the job insists on.
    let request = Request { construction: None, ..job.request.clone() };
    match plan::plan(&request) {
        Plan::Ready { outcome, .. } => Ok(Reply::done(text::check(&request, &outcome))),
        Plan::Nothing(outcome) => Ok(Reply::done(text::check(&request, &outcome)).with_code(code::NOTHING_FITS)),
        Plan::Disagree { design, broken } => Err(Failure::fault(text::disagreement(&request, &design, &broken))),
    }
}

fn design(job: &Job, out: Option<&Path>, only: &[String], preview: bool) -> Result<Reply, Failure> {
    let planned = match planned(&job.request)? {
        Ok(planned) => planned,
        Err(refusal) => return Ok(refusal),
    };
    let mut source = Source::new(&job.request, &planned.design);
    source.created = created()?;
    let rendered = files::render(&source, only).map_err(|error| Failure::fault(error.to_string()))?;
    let folder = out.unwrap_or(Path::new(&job.folder));
    let written = files::write(folder, &rendered)?;
    let mut answer = if preview { text::preview(&job.request, &planned.design) } else { String::new() };
    answer.push_str(&text::summary(&job.request, &planned.design));
    let names: Vec<&str> = rendered.iter().map(|file| file.name.as_str()).collect();
    answer.push('\n');
    answer.push_str(&text::paragraph(&format!("Written to {}: {}", folder.display(), files::names_in_short(&names))));
    let in_short = |names: &[String]| files::names_in_short(&names.iter().map(String::as_str).collect::<Vec<_>>());
    if !written.kept.is_empty() {
        let kept = in_short(&written.kept);
        answer.push_str(&text::paragraph(&format!("Left as it was, the same design: {kept}")));
    }
    if !written.removed.is_empty() {
        let removed = in_short(&written.removed);
        answer.push_str(&text::paragraph(&format!("REMOVED, it showed an earlier design: {removed}")));
    }
    Ok(Reply::done(answer))
}

/// The date to write into documents: the program asks no clock, but a build that wants one can say it.
fn created() -> Result<Option<u64>, Failure> {
    let Some(text) = std::env::var_os("SOURCE_DATE_EPOCH") else { return Ok(None) };
    let seconds = text.to_str().and_then(|text| text.trim().parse::<u64>().ok());
    seconds.map(Some).ok_or_else(|| {
        Failure::usage("SOURCE_DATE_EPOCH is not a number of seconds since the start of 1970; unset it or mend it")
    })
}

fn options(job: &Job) -> Result<Reply, Failure> {
    let planned = match planned(&job.request)? {
        Ok(planned) => planned,
        Err(refusal) => return Ok(refusal),
    };
    let designs = planned.outcome.designs.iter();
    let broken: Vec<Vec<Check>> = designs.map(|design| plan::check(&job.request, &mut design.clone())).collect();
    Ok(Reply::done(text::options(&job.request, &planned.outcome, &broken)))
}

/// What `explain` calls the worst case of where the carving lands.
const LANDING: &str = "landing";
/// What it calls the figures that would break the design first.
const ASSUMPTIONS: &str = "assumptions";

fn explain(job: &Job, about: Option<&str>) -> Result<Reply, Failure> {
    let planned = match planned(&job.request)? {
        Ok(planned) => planned,
        Err(refusal) => return Ok(refusal),
    };
    let (request, design) = (&job.request, &planned.design);
    let Some(about) = about else {
        return Ok(Reply::done(text::overview(request, design, &planned.outcome)));
    };
    if let Some(reason) = design.trace.find(about) {
        return Ok(Reply::done(text::dimension(request, reason)));
    }
    if about == LANDING {
        return Ok(Reply::done(text::landing(request, design)));
    }
    if about == ASSUMPTIONS {
        return Ok(Reply::done(text::assumptions(request, design)));
    }
    if let Some(rule) = Rule::by_id(about) {
        return Ok(Reply::done(text::rule(request, design, rule)));
    }
    let dimensions = design.trace.reasons.iter().map(|reason| reason.dimension.as_str()).chain([LANDING, ASSUMPTIONS]);
    Err(unknown(
        "dimension or rule",
        about,
        dimensions.clone().chain(RULES.iter().map(|row| row.id)),
        &format!(
            "dimensions of this design: {}\n`sledwright list rules` names the rules",
            dimensions.collect::<Vec<_>>().join(", ")
        ),
    ))
}

fn refit(job: &Job, built: &Path, out: Option<&Path>) -> Result<Reply, Failure> {
    let planned = match planned(&job.request)? {
        Ok(planned) => planned,
        Err(refusal) => return Ok(refusal),
    };
    let (request, design) = (&job.request, &*planned.design);
    if design.parts.is_empty() {
        return Err(Failure::usage("this blank is fed without a carrier: there is nothing to measure"));
    }
    let refit = setup::refit::refit(request, design, &input::built(built, request, design)?);
    let mut answer = text::refit(request, &refit);
    if !refit.runs() {
        return Ok(Reply::done(answer).with_code(code::NOTHING_FITS));
    }
    if let Some(path) = out {
        files::write_new(path, answer.as_bytes())?;
        answer.push_str(&format!("\nWrote {}\n", path.display()));
    }
    Ok(Reply::done(answer))
}

fn list(what: Listing, library: &Library) -> Reply {
    Reply::done(match what {
        Listing::Machines => text::machines(library.machines()),
        Listing::Woods => text::woods(library.woods()),
        Listing::Stock => text::stock(library.sheet_goods()),
        Listing::Constructions => text::constructions(),
        Listing::Rules => text::rules(),
        Listing::Starters => text::named(job::STARTERS.iter().map(|starter| (starter.name, starter.when))),
        Listing::Formats => text::formats(),
        Listing::Keys => text::keys(),
    })
}

fn machine(action: Option<MachineAction>) -> Result<Reply, Failure> {
    match action.unwrap_or(MachineAction::Worksheet { out: None }) {
        MachineAction::Worksheet { out: None } => Ok(Reply::done(worksheet::text())),
        MachineAction::Worksheet { out: Some(path) } => {
            let printable = path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("pdf"));
            let bytes = if printable {
                let meta =
                    pdf::Meta { title: worksheet::TITLE.to_owned(), language: "en".to_owned(), created: created()? };
                pdf::render(&worksheet::pages(), &meta).map_err(|error| Failure::fault(error.to_string()))?
            } else {
                worksheet::text().into_bytes()
            };
            files::write_new(&path, &bytes)?;
            Ok(Reply::done(format!("Wrote {}\n", path.display())))
        }
        MachineAction::Profile { row, tables, out } => {
            let library = input::tables(&tables)?;
            let machine = library.machine(&row).ok_or_else(|| {
                unknown(
                    "machine",
                    &row,
                    library.machines().iter().map(|machine| machine.id.as_str()),
                    "`sledwright list machines` names them all",
                )
            })?;
            let profile = library::machine_profile_text(machine);
            match out {
                None => Ok(Reply::done(profile)),
                Some(path) => {
                    files::write_new(&path, profile.as_bytes())?;
                    Ok(Reply::done(format!("Wrote {}\n", path.display())))
                }
            }
        }
        MachineAction::Check { file } => input::check_machine(&file),
    }
}

fn manual(name: Option<&str>) -> Result<Reply, Failure> {
    let program = Cli::command();
    let page = match name {
        None => program,
        Some(name) => {
            let known = program.get_subcommands().map(clap::Command::get_name);
            let command = program
                .find_subcommand(name)
                .ok_or_else(|| unknown("command", name, known, "`sledwright --help` names them all"))?;
            command.clone().display_name(format!("sledwright-{name}"))
        }
    };
    let mut text = Vec::new();
    clap_mangen::Man::new(page)
        .render(&mut text)
        .map_err(|error| Failure::fault(format!("the manual page could not be made: {error}")))?;
    Ok(Reply::done(text))
}
