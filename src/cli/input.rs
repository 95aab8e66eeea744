//! Where a job comes from: a file, standard input, or sizes on the command line.

use std::cell::Cell;
use std::ffi::OsStr;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use super::{Failure, Reply};
use crate::length::{Unit, looks_like_sizes};
use crate::library;
use crate::output::text;
use crate::request::{self, Request};

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
    pub fn read(named: &OsStr, stdin: &mut dyn Read) -> Result<Job, Failure> {
        if let Some(sizes) = named.to_str().filter(|text| looks_like_sizes(text)) {
            let request =
                request::from_sizes(sizes, Unit::Inch).map_err(|report| Failure::usage(report.to_string()))?;
            return Ok(Job { request, folder: sizes_name(sizes) });
        }
        if named == "-" {
            let text = bounded(stdin, "standard input")?;
            return Ok(Job {
                request: from_toml(&text, "standard input", Path::new("."))?,
                folder: "job.carrier".into(),
            });
        }
        if named.is_empty() {
            return Err(Failure::usage("the job is empty: name a file, - for standard input, or sizes"));
        }
        let path = Path::new(named);
        let shown = path.display().to_string();
        let text = read_file(path)?;
        let beside = path.parent().unwrap_or(Path::new("."));
        let stem = path.file_stem().unwrap_or(OsStr::new("job")).to_string_lossy();
        Ok(Job { request: from_toml(&text, &shown, beside)?, folder: format!("{stem}.carrier") })
    }
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

fn read_file(path: &Path) -> Result<String, Failure> {
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

fn from_toml(text: &str, shown: &str, beside: &Path) -> Result<Request, Failure> {
    // A machine profile that cannot be read is file trouble, not a fault of the job.
    let unread = Cell::new(false);
    let load = |name: &str| {
        read_file_of(&beside.join(name), LONGEST_NAMED).map_err(|failure| {
            unread.set(true);
            failure.message
        })
    };
    request::from_toml(text, shown, &load).map_err(|report| {
        if unread.get() { Failure::files(report.to_string()) } else { Failure::usage(report.to_string()) }
    })
}

/// Checks a filled machine profile.
pub fn check_machine(path: &Path) -> Result<Reply, Failure> {
    let text = read_file(path)?;
    let shown = path.display().to_string();
    let (machine, notes) =
        library::parse_machine_profile(&text, &shown).map_err(|report| Failure::usage(report.to_string()))?;
    let mut answer = text::machine(&machine);
    let notes = notes.to_string();
    if !notes.is_empty() {
        answer.push('\n');
        answer.push_str(&notes);
    }
    Ok(Reply::done(answer))
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
