//! From a job to a request: the parts put together, the machine found, every default written down.

use super::{Assumption, Blank, Hold, Objective, Request, Through, strip};
use crate::diagnostic::{Report, Severity, nearest, printable, quoted};
use crate::job::{self, Job};
use crate::length::{Length, Ruler, Unit, parse_sizes};
use crate::library::reader::{Reader, Table, Value, list};
use crate::library::{Library, Machine, lettering, library, machine_from, parse_machine_profile};

/// Where a workshop habit comes from.
pub(super) const PRACTICE: &str = "common practice, no source";
/// Where a force or strength comes from.
pub(super) const JUDGEMENT: &str = "judgement, not measured";

/// The machine a job without one is for.
const USUAL_MACHINE: &str = "roller-carver-medium";

/// Reads the text of a file named in a job; the error says in words why it cannot.
pub type Load<'l> = dyn Fn(&str) -> Result<String, String> + 'l;

/// Reads a job file and checks it, with the built-in tables.
///
/// `load` is asked for a machine profile or an outline when the job names one.
///
/// # Errors
/// Every problem found in the job and in the machine profile.
pub fn from_toml(text: &str, file: &str, load: &Load<'_>) -> Result<Request, Report> {
    from_toml_with(library(), text, file, load)
}

/// As [`from_toml`], with other reference tables.
///
/// # Errors
/// Every problem found in the job and in the machine profile.
pub fn from_toml_with(library: &Library, text: &str, file: &str, load: &Load<'_>) -> Result<Request, Report> {
    let mut reader = Reader::new(file, text);
    let job = job::read(&mut reader);
    // In a broken text what seems missing may only be unreadable, so only what is there is judged.
    let built = match job {
        Some(job) if !reader.is_broken() => Some(build(&mut reader, &job, library, load)),
        _ => None,
    };
    let mut report = reader.finish();
    match built {
        Some((request, profile)) => {
            report.append(profile);
            match request {
                Some(request) if !report.stops() => Ok(request),
                _ => Err(report),
            }
        }
        None => Err(report),
    }
}

/// A request from a size text such as `9 x 6 x 3/4`: length, width and, if known, thickness. All
/// else is assumed. Prints in `units`, or in millimetres where the text says so.
///
/// # Errors
/// When the text is not two or three sizes, or they cannot be a blank.
pub fn from_sizes(text: &str, units: Unit) -> Result<Request, Report> {
    from_sizes_with(library(), text, units)
}

/// As [`from_sizes`], with other reference tables.
///
/// # Errors
/// When the text is not two or three sizes, or they cannot be a blank.
pub fn from_sizes_with(library: &Library, text: &str, units: Unit) -> Result<Request, Report> {
    let mut reader = Reader::new("sizes", text);
    reader.units = units;
    let mut job = Job::default();
    match parse_sizes(text, units) {
        Ok(sizes) => {
            if let [first, ..] = sizes.as_slice()
                && sizes.iter().all(|size| size.unit == Unit::Millimetre)
            {
                reader.units = first.unit;
            }
            let names = ["length", "width", "thickness"];
            if sizes.len() < 2 {
                let help = "write length x width x thickness, such as `9 x 6 x 3/4`, or put the rest in a job file";
                reader.error(0..text.len(), "one size alone is no blank", help);
            }
            for (name, size) in names.into_iter().zip(sizes) {
                job.blank.set(name, Value::Measured(size), 0..text.len());
            }
            job.job.set("name", Value::Text(printable(text.trim())), 0..text.len());
        }
        Err(error) => {
            let severity = match error.kind {
                crate::length::SizeErrorKind::Query => Severity::Query,
                _ => Severity::Error,
            };
            reader.report(severity, error.span, error.message, error.help);
            return Err(reader.finish());
        }
    }
    if reader.units == Unit::Millimetre {
        job.job.set("units", Value::Choice("mm"), 0..text.len());
    }
    let (request, _) = build(&mut reader, &job, library, &|_| Err("no file".to_owned()));
    let report = reader.finish();
    match request {
        Some(request) if !report.stops() => Ok(request),
        _ => Err(report),
    }
}

/// Builds the request of a job that was read through `reader`, which collects the problems.
///
/// Beside the request comes the report of the machine profile, if one was read. The request is
/// `None` when something it cannot do without is missing or wrong; where there is one it may still
/// not be used if any report stops the work.
pub fn build(reader: &mut Reader<'_>, job: &Job, library: &Library, load: &Load<'_>) -> (Option<Request>, Report) {
    let mut builder = Builder {
        units: job.units(),
        reader,
        job,
        library,
        assumptions: Vec::new(),
        cautions: Vec::new(),
        profile: Report::new(),
    };
    let machine = builder.machine(load);
    let blank = builder.blank(load);
    let carve = builder.carve(blank.as_ref(), machine.as_ref());
    // Knives and drums push about as hard as a quarter-inch cutter.
    let whole_face = machine.as_ref().is_some_and(Machine::takes_whole_face);
    let shop = if whole_face {
        builder.shop(Length::inches(1, 4), None)
    } else {
        let through = if carve.through == Through::No { None } else { blank.as_ref().and_then(Blank::thinnest) };
        builder.shop(carve.cutter, Some(carve.depth.max(through.unwrap_or(Length::ZERO))))
    };
    let sheet = builder.sheet();
    let stock = builder.stock();
    let board = builder.board();
    let hold = job.hold.text("by").and_then(hold_named);
    if let (Some(_), None) = (job.hold.size("thickness"), hold) {
        let help = "add `by`, or leave `thickness` out";
        builder.reader.error(job.hold.span_of("thickness"), "an adhesive thickness needs to know the hold", help);
    }
    let screws = builder.screws(hold);
    let stands = builder.stands(machine.as_ref());
    let count = blank.as_ref().map_or(1, Blank::pieces);
    if carve.stated
        && let Some(first) = job.also.first()
    {
        let help = "leave `length` and `width` of `[carve]` out: of several outlines each is carved whole";
        builder.reader.error(first.span.clone(), "one area to carve is stated for several outlines", help);
    }
    let objective = builder.objective(count);
    let name = builder.name();
    let Builder { units, assumptions, cautions, profile, reader, .. } = builder;
    let request = blank.zip(machine).map(|(blank, machine)| Request {
        name,
        date: job.job.text("date").map(str::to_owned),
        units,
        machine,
        shop,
        sheet,
        blank,
        carve,
        hold,
        hold_thickness: job.hold.size("thickness"),
        screws,
        stands,
        stock,
        board,
        construction: job.carrier.text("construction").map(str::to_owned),
        objective,
        assumptions,
        cautions,
    });
    let request = request.map(|request| strip::laid_out(reader, job, request));
    (request, profile)
}

/// A file's name without its folder and ending.
fn stem(file: &str) -> String {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    printable(name.strip_suffix(".toml").unwrap_or(name))
}

fn hold_named(name: &str) -> Option<Hold> {
    [Hold::Snug, Hold::Wedge, Hold::Tape, Hold::Film, Hold::HotGlue, Hold::Keeper, Hold::Screws]
        .into_iter()
        .find(|hold| hold.id() == name)
}

/// What is being put together, and what was assumed on the way.
pub(super) struct Builder<'b, 'a> {
    pub(super) reader: &'b mut Reader<'a>,
    pub(super) job: &'b Job,
    pub(super) library: &'b Library,
    pub(super) units: Unit,
    pub(super) assumptions: Vec<Assumption>,
    pub(super) cautions: Vec<String>,
    profile: Report,
}

impl Builder<'_, '_> {
    /// A length as assumptions and messages print it.
    pub(super) fn show(&self, length: Length) -> String {
        match self.units {
            Unit::Inch => Ruler::inch(64).with_unit(length),
            Unit::Millimetre => Ruler::metric(1).with_unit(length),
        }
    }

    /// Writes down a default that was used.
    pub(super) fn assume(&mut self, key: &str, value: impl Into<String>, source: &str) {
        self.assumptions.push(Assumption { key: key.to_owned(), value: value.into(), source: source.to_owned() });
    }

    /// The size of a key, or one for inch jobs and one for millimetre jobs, written down.
    pub(super) fn size_or(
        &mut self,
        table: &Table,
        names: (&str, &str),
        inch: Length,
        mm: Length,
        source: &str,
    ) -> Length {
        let (table_name, name) = names;
        if let Some(size) = table.size(name) {
            return size;
        }
        let size = match self.units {
            Unit::Inch => inch,
            Unit::Millimetre => mm,
        };
        let shown = self.show(size);
        self.assume(&format!("{table_name}.{name}"), shown, source);
        size
    }

    /// The job's name, or that of its file; either is printed on every sheet.
    fn name(&mut self) -> String {
        let stated = self.job.job.text("name");
        let name = stated.map_or_else(|| stem(self.reader.source.file()), str::to_owned);
        if let Some(lacking) = lettering::missing(&name) {
            let whose = if stated.is_some() { "the sizes as typed" } else { "the file's name" };
            let message = lettering::lacks(&format!("{whose}, printed as the job's name,"), lacking);
            self.reader.error(self.job.job.span_of("name"), message, "give the job a `name` in `[job]`");
        }
        name
    }

    /// What decides between carriers for several blanks; written down where there are several.
    fn objective(&mut self, count: u32) -> Objective {
        let stated = self.job.carrier.text("objective");
        if stated.is_none() && count > 1 {
            self.assume("carrier.objective", Objective::default().id(), "least handling; our own choice");
        }
        let named = |name: &str| Objective::ALL.into_iter().find(|objective| objective.id() == name);
        stated.and_then(named).unwrap_or_default()
    }

    fn machine(&mut self, load: &Load<'_>) -> Option<Machine> {
        let job = self.job;
        let table = &job.machine;
        let figures = job::keys_of("machine").any(|key| table.has(key.name) && !matches!(key.name, "use" | "path"));
        match (table.text("use"), table.text("path")) {
            (Some(_), Some(_)) => {
                let help = "keep one of them; figures beside it replace its own";
                self.reader.error(table.span_of("path"), "`use` and `path` name two machines", help);
                None
            }
            (Some(id), None) => match self.library.machine(id) {
                Some(row) => Some(self.replaced(row.clone(), figures)),
                None => {
                    let ids: Vec<&str> = self.library.machines().iter().map(|row| row.id.as_str()).collect();
                    let help = match nearest(id, ids.iter().copied()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("there are {}; or measure your own and name its profile by `path`", list(&ids)),
                    };
                    self.reader.error(table.span_of("use"), format!("unknown machine {}", quoted(id)), help);
                    // The figures beside it are still looked at, for the sake of one full report.
                    let base = self.library.machine(USUAL_MACHINE)?.clone();
                    Some(self.replaced(base, figures))
                }
            },
            (None, Some(path)) => match load(path) {
                Ok(text) => match parse_machine_profile(&text, path) {
                    Ok((machine, notes)) => {
                        for note in notes.problems() {
                            let help = note.help.as_deref().unwrap_or_default();
                            self.cautions.push(format!("machine profile: {}; {help}", note.message));
                        }
                        Some(self.replaced(machine, figures))
                    }
                    Err(report) => {
                        self.profile = report;
                        None
                    }
                },
                Err(reason) => {
                    let message =
                        format!("the machine profile {} cannot be read: {}", quoted(path), printable(&reason));
                    self.reader.error(table.span_of("path"), message, "the path starts at the job file's folder");
                    None
                }
            },
            (None, None) if table.has("use") || table.has("path") => None,
            (None, None) => {
                let id = match table.text("kind") {
                    Some("planer") => "thickness-planer-benchtop",
                    Some("drum-sander") => "drum-sander",
                    _ => USUAL_MACHINE,
                };
                let base = self.library.machine(id)?.clone();
                if !figures {
                    self.assume("machine.use", id, "invented, generic: measure your own");
                    return Some(base);
                }
                let (mut machine, missing) = machine_from(self.reader, table, base, true);
                if table.text("name").is_none() {
                    machine.name = table.text("id").unwrap_or("machine of this job").to_owned();
                }
                if table.text("id").is_none() {
                    machine.id = "this-job".to_owned();
                }
                if !missing.is_empty() {
                    let source = format!("figures of {id}: measure your own");
                    self.assume("machine", format!("not stated: {}", missing.join(", ")), &source);
                }
                Some(machine)
            }
        }
    }

    /// A machine with the job's own figures over its own.
    fn replaced(&mut self, base: Machine, figures: bool) -> Machine {
        if figures { machine_from(self.reader, &self.job.machine, base, false).0 } else { base }
    }
}
