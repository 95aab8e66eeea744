//! Where a job comes from: a file, standard input, or sizes on the command line.

use std::borrow::Cow;
use std::cell::Cell;
use std::ffi::OsStr;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use super::{Failure, Reply, args};
use crate::design::Design;
use crate::diagnostic::{printable, quoted};
use crate::job::TABLES;
use crate::length::{Unit, looks_like_sizes};
use crate::library::{self, Library};
use crate::output::text;
use crate::request::{self, Request};
use crate::setup::built::{self, Built};

/// Longest job file or machine profile read: 256 KiB.
const LONGEST: u64 = 256 * 1024;
/// Longest file a job names: tracings are long. Machine profiles are held to less where they are read.
const LONGEST_NAMED: u64 = 4 * 1024 * 1024;
/// Longest name made from a size text.
const LONGEST_NAME: usize = 60;

/// A job, read and checked.
pub struct Job {
    /// The request it makes.
    pub request: Request,
    /// Folder `design` writes when none is named.
    pub folder: String,
}

impl Job {
    /// Reads the job `named` on the command line.
    pub fn read(args: &args::Job, stdin: &mut dyn Read) -> Result<Job, Failure> {
        let named = args.job.as_os_str();
        if let Some(problem) = named.to_str().and_then(no_job) {
            return Err(Failure::usage(problem));
        }
        let library = &*tables(&args.tables)?;
        if let Some(sizes) = named.to_str().filter(|text| looks_like_sizes(text)) {
            let request = request::from_sizes_with(library, sizes, Unit::Inch)
                .map_err(|report| Failure::usage(report.to_string()))?;
            return Ok(Job { request, folder: sizes_name(sizes) });
        }
        if named == "-" {
            let text = bounded(stdin, STDIN)?;
            let mut request = from_toml(library, &text, STDIN, Path::new("."))?;
            if request.name == STDIN {
                request.name = "Untitled job".to_owned();
            }
            return Ok(Job { request, folder: "job.carrier".into() });
        }
        if named.is_empty() {
            return Err(Failure::usage("the job is empty: name a file, - for standard input, or sizes"));
        }
        let path = Path::new(named);
        let shown = path.display().to_string();
        let text = read_file(path).map_err(|failure| meant_as_sizes(failure, path, &shown))?;
        let beside = path.parent().unwrap_or(Path::new("."));
        let stem = path.file_stem().unwrap_or(OsStr::new("job")).to_string_lossy();
        Ok(Job { request: from_toml(library, &text, &shown, beside)?, folder: format!("{stem}.carrier") })
    }
}

/// What standard input is called in messages.
const STDIN: &str = "standard input";
/// How sizes look.
const SIZES_HINT: &str = "sizes look like \"9 x 6 x 3/4\" or \"240 x 90 x 18 mm\"";

/// Why a text is neither the name of a job nor sizes, where that can be told from the text alone.
fn no_job(text: &str) -> Option<String> {
    let text = text.trim();
    let shown = printable(text);
    if let Some(rest) = text.strip_prefix('-').filter(|rest| !rest.is_empty()) {
        let negative = rest.trim_start().starts_with(|c: char| c.is_ascii_digit() || c == '.');
        return Some(if negative {
            format!("{shown}: a size cannot be negative; {SIZES_HINT}")
        } else {
            format!(
                "there is no option {shown} here; `sledwright --help` names them all, and a file whose name begins \
                     with - is written ./{shown}"
            )
        });
    }
    let not_a_number =
        text.split(['x', 'X', '×', '*']).any(|size| matches!(size.trim().to_lowercase().as_str(), "nan" | "inf"));
    not_a_number.then(|| format!("{shown}: that is no size; {SIZES_HINT}"))
}

/// A missing file that may have been meant as sizes: says how they look.
fn meant_as_sizes(failure: Failure, path: &Path, shown: &str) -> Failure {
    let file_like = path.extension().is_some() || shown.contains(['/', '\\']);
    if path.exists() || file_like {
        return failure;
    }
    Failure::files(format!("{}\nIf it was meant as a size: {SIZES_HINT}", failure.message))
}

/// A folder name for a size text: `9 x 6 x 3/4` makes `carrier-9x6x3-4`.
fn sizes_name(sizes: &str) -> String {
    let mut name = String::from("carrier-");
    for c in sizes.chars().filter(|c| !c.is_whitespace()).take(LONGEST_NAME) {
        match c {
            '*' | '×' | 'X' => name.push('x'),
            c if c.is_ascii_alphanumeric() || c == '.' => name.push(c),
            _ if name.ends_with('-') => {}
            _ => name.push('-'),
        }
    }
    name.trim_end_matches(['-', '.']).to_owned()
}

/// The built-in tables with the rows of the files named over them.
pub fn tables(named: &args::Tables) -> Result<Cow<'static, Library>, Failure> {
    let mut library = Cow::Borrowed(library::library());
    for path in &named.files {
        let text = read_file(path)?;
        let more = library.with(&text, &path.display().to_string());
        library = Cow::Owned(more.map_err(|report| Failure::usage(report.to_string()))?);
    }
    Ok(library)
}

/// Reads as-built sizes of `design`.
pub fn built(path: &Path, request: &Request, design: &Design) -> Result<Built, Failure> {
    let text = read_file(path)?;
    let shown = path.display().to_string();
    built::read(&text, &shown, request, design).map_err(|report| Failure::usage(report.to_string()))
}

/// Reads a text file of the usual length.
pub fn read_file(path: &Path) -> Result<String, Failure> {
    read_file_of(path, LONGEST)
}

fn read_file_of(path: &Path, longest: u64) -> Result<String, Failure> {
    let shown = path.display().to_string();
    let mut file = File::open(path).map_err(|error| unreadable(&shown, &error))?;
    bounded_by(&mut file, &shown, longest)
}

fn unreadable(shown: &str, error: &io::Error) -> Failure {
    Failure::files(format!("cannot read {shown}: {error}"))
}

/// Reads a text of at most [`LONGEST`] bytes.
fn bounded(from: &mut dyn Read, shown: &str) -> Result<String, Failure> {
    bounded_by(from, shown, LONGEST)
}

fn bounded_by(from: &mut dyn Read, shown: &str, longest: u64) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    from.take(longest + 1).read_to_end(&mut bytes).map_err(|error| unreadable(shown, &error))?;
    if bytes.len() as u64 > longest {
        return Err(Failure::usage(format!("{shown} is longer than {} KiB; no job file is", longest / 1024)));
    }
    String::from_utf8(bytes).map_err(|error| {
        let place = error.utf8_error().valid_up_to();
        Failure::usage(format!("{shown} is not UTF-8 text (byte {place}); save it as plain text in UTF-8"))
    })
}

fn from_toml(library: &Library, text: &str, shown: &str, beside: &Path) -> Result<Request, Failure> {
    // A machine profile that cannot be read is file trouble, not a fault of the job.
    let unread = Cell::new(false);
    let load = |name: &str| {
        read_file_of(&beside.join(name), LONGEST_NAMED).map_err(|failure| {
            unread.set(true);
            failure.message
        })
    };
    request::from_toml_with(library, text, shown, &load).map_err(|report| {
        if unread.get() { Failure::files(report.to_string()) } else { Failure::usage(report.to_string()) }
    })
}

/// Checks a filled machine profile.
pub fn check_machine(path: &Path) -> Result<Reply, Failure> {
    let text = read_file(path)?;
    let shown = path.display().to_string();
    if let Some(problem) = no_profile(&text, &shown) {
        return Err(Failure::usage(problem));
    }
    let (machine, mut notes) =
        library::parse_machine_profile(&text, &shown).map_err(|report| Failure::usage(report.to_string()))?;
    // A figure under a name one slip away from the right one was not read at all.
    let misspelt: Vec<String> = misspelt_keys(&text).iter().map(|key| format!("key {}", quoted(key))).collect();
    notes.harden(|problem| misspelt.iter().any(|key| problem.message.contains(key.as_str())));
    if notes.stops() {
        return Err(Failure::usage(notes.to_string()));
    }
    let mut answer = text::machine(&machine);
    let notes = notes.to_string();
    if !notes.is_empty() {
        answer.push('\n');
        answer.push_str(&notes);
    }
    Ok(Reply::done(answer))
}

/// Says so where a text is a job file rather than a machine profile.
fn no_profile(text: &str, shown: &str) -> Option<String> {
    let table: toml::Table = text.parse().ok()?;
    let of_a_job =
        TABLES.iter().find(|info| table.get(info.name).is_some_and(|value| value.is_table() || value.is_array()))?;
    Some(format!(
        "{shown} is no machine profile: it has [{}], so it is a job file.\n`sledwright check {shown}` checks it; \
         `sledwright machine profile` prints a profile to fill in",
        of_a_job.name
    ))
}

/// Keys of a profile that are unknown, but at most two letters from a known one.
fn misspelt_keys(text: &str) -> Vec<String> {
    let known = |key: &str| library::MACHINE_KEYS.iter().any(|known| known.name == key);
    let near = |key: &str| library::MACHINE_KEYS.iter().any(|known| strsim::damerau_levenshtein(key, known.name) <= 2);
    let table: toml::Table = text.parse().unwrap_or_default();
    table.into_iter().map(|(key, _)| key).filter(|key| !known(key) && near(&key.to_lowercase())).collect()
}

#[cfg(test)]
mod tests {
    use super::sizes_name;

    #[test]
    fn folder_names_are_safe() {
        assert_eq!(sizes_name("9 x 6 x 3/4"), "carrier-9x6x3-4");
        assert_eq!(sizes_name("9-1/16 × 6″ × 18 mm"), "carrier-9-1-16x6-x18mm");
        assert_eq!(sizes_name("../../etc"), "carrier-..-..-etc");
        assert_eq!(sizes_name("9 x 6\""), "carrier-9x6");
    }
}
