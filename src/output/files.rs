//! The files of a design, and how they are written: all of them, or none.

use std::cell::OnceCell;
use std::fmt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use crate::design::Design;
use crate::drawing::Page;
use crate::output::{boards, csv, dxf, json, pdf, svg};
use crate::request::Request;
use crate::sheet::{sheets, template};

/// Name of the file by which a folder of ours is recognised.
pub const STAMP_FILE: &str = "design.json";

/// A `design.json` larger than this is not one of ours: 16 MiB.
const STAMP_LIMIT: u64 = 16 * 1024 * 1024;

/// What every format is rendered from.
pub struct Source<'a> {
    /// The request.
    pub request: &'a Request,
    /// The verified design.
    pub design: &'a Design,
    /// Date for the documents that carry one, seconds since the start of 1970; none by default.
    pub created: Option<u64>,
    sheets: OnceCell<Vec<Page>>,
}

impl<'a> Source<'a> {
    /// A verified design and the request it answers.
    pub fn new(request: &'a Request, design: &'a Design) -> Source<'a> {
        Source { request, design, created: None, sheets: OnceCell::new() }
    }

    /// Its sheets, laid out once for all formats, and only if one wants them.
    fn sheets(&self) -> &[Page] {
        self.sheets.get_or_init(|| sheets(self.request, self.design))
    }
}

/// A file, ready to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rendered {
    /// Name within the folder.
    pub name: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// Renders one format. Gets the files rendered before it, to list them.
type Render = fn(&Source<'_>, &[Rendered]) -> Result<Vec<Rendered>, RenderError>;

/// A file format.
pub struct Format {
    /// Name for `--only`.
    pub id: &'static str,
    /// Name of its file, `N` standing for the number of the page.
    pub file: &'static str,
    /// What it holds.
    pub what: &'static str,
    /// Whether it is written whatever `--only` says.
    pub always: bool,
    render: Render,
}

/// Every format, in the order they are rendered. The last one lists the others.
pub const FORMATS: &[Format] = &[
    Format {
        id: "pdf",
        file: "sheets.pdf",
        what: "drawing, parts, build sequence and machine card, to print",
        always: false,
        render: as_pdf,
    },
    Format { id: "svg", file: "sheet-N.svg", what: "the same sheets, one file each", always: false, render: as_svg },
    Format {
        id: "template",
        file: "template.pdf",
        what: "full-size templates over several pages; left out where every part is a plain rectangle",
        always: false,
        render: as_template,
    },
    Format {
        id: "dxf",
        file: "carrier.dxf",
        what: "the carrier in plan at full size in millimetres, for a drawing or machine program",
        always: false,
        render: as_dxf,
    },
    Format {
        id: "csv",
        file: "cutlist.csv",
        what: "parts to make, for a spreadsheet; left out until the blank's thickness is measured",
        always: false,
        render: as_csv,
    },
    Format {
        id: "json",
        file: STAMP_FILE,
        what: "the whole design, for other programs; marks the folder as ours, so it is always written",
        always: true,
        render: as_json,
    },
];

/// A format could not be rendered.
#[derive(Debug)]
pub struct RenderError {
    /// The file.
    pub file: &'static str,
    /// What went wrong.
    pub message: String,
}

impl fmt::Display for RenderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} could not be made: {}", self.file, self.message)
    }
}

impl std::error::Error for RenderError {}

fn as_pdf(source: &Source<'_>, _: &[Rendered]) -> Result<Vec<Rendered>, RenderError> {
    paper(source, "sheets.pdf", source.sheets(), &source.design.title)
}

fn as_template(source: &Source<'_>, _: &[Rendered]) -> Result<Vec<Rendered>, RenderError> {
    let pages = template(source.request, source.design);
    if pages.is_empty() { Ok(Vec::new()) } else { paper(source, "template.pdf", &pages, "full-size template") }
}

fn paper(source: &Source<'_>, file: &'static str, pages: &[Page], what: &str) -> Result<Vec<Rendered>, RenderError> {
    let title = match source.request.name.as_str() {
        "" => what.to_owned(),
        name => format!("{name}: {what}"),
    };
    let meta = pdf::Meta { title, language: "en".to_owned(), created: source.created };
    let bytes = pdf::render(pages, &meta).map_err(|error| RenderError { file, message: error.to_string() })?;
    Ok(vec![Rendered { name: file.to_owned(), bytes }])
}

fn as_svg(source: &Source<'_>, _: &[Rendered]) -> Result<Vec<Rendered>, RenderError> {
    let files = source.sheets().iter().enumerate().map(|(place, page)| Rendered {
        name: format!("sheet-{}.svg", place + 1),
        bytes: svg::render(page).into_bytes(),
    });
    Ok(files.collect())
}

fn as_dxf(source: &Source<'_>, _: &[Rendered]) -> Result<Vec<Rendered>, RenderError> {
    let text = dxf::render(source.request, source.design);
    Ok(text.map(|text| Rendered { name: "carrier.dxf".to_owned(), bytes: text.into_bytes() }).into_iter().collect())
}

fn as_csv(source: &Source<'_>, _: &[Rendered]) -> Result<Vec<Rendered>, RenderError> {
    // Nothing is sawn before the blank's thickness is measured.
    if !source.design.blank.thickness_known {
        return Ok(Vec::new());
    }
    let file = "cutlist.csv";
    let bytes =
        csv::render(source.request, source.design).map_err(|error| RenderError { file, message: error.to_string() })?;
    Ok(vec![Rendered { name: file.to_owned(), bytes }])
}

fn as_json(source: &Source<'_>, before: &[Rendered]) -> Result<Vec<Rendered>, RenderError> {
    let names: Vec<String> = before.iter().map(|file| file.name.clone()).chain([STAMP_FILE.to_owned()]).collect();
    let text = json::render(source.request, source.design, &names)
        .map_err(|error| RenderError { file: STAMP_FILE, message: error.to_string() })?;
    Ok(vec![Rendered { name: STAMP_FILE.to_owned(), bytes: text.into_bytes() }])
}

/// Renders the formats wanted (all when `only` is empty), in memory.
pub fn render(source: &Source<'_>, only: &[String]) -> Result<Vec<Rendered>, RenderError> {
    let mut files = Vec::new();
    for format in FORMATS {
        if format.always || only.is_empty() || only.iter().any(|id| id == format.id) {
            let made = (format.render)(source, &files)?;
            files.extend(made);
        }
    }
    Ok(files)
}

/// Names of files for a report: of a format that makes several, only the first and the last.
pub fn names_in_short(names: &[&str]) -> String {
    let mut said: Vec<String> = Vec::new();
    for format in FORMATS {
        let ours: Vec<&str> = names.iter().copied().filter(|name| is_name_of(format, name)).collect();
        match ours.as_slice() {
            [] => {}
            [only] => said.push((*only).to_owned()),
            [first, .., last] => said.push(format!("{first} to {last}")),
        }
    }
    said.join(", ")
}

/// Why a folder was not written.
#[derive(Debug)]
pub enum WriteError {
    /// Something that is no folder stands at the path.
    InTheWay(PathBuf),
    /// The folder holds files that are not ours.
    NotOurs(PathBuf, &'static str),
    /// The file system refused.
    Io {
        /// What was being done.
        doing: String,
        /// The path.
        path: PathBuf,
        /// Its answer.
        source: io::Error,
    },
}

impl fmt::Display for WriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            WriteError::InTheWay(path) => {
                write!(f, "{} exists and is not a folder; choose another name with --out", path.display())
            }
            WriteError::NotOurs(path, stamp) => write!(
                f,
                "{} holds files but no {stamp} of ours, so nothing in it is touched; choose another name with --out",
                path.display()
            ),
            WriteError::Io { doing, path, source } => write!(f, "cannot {doing} {}: {source}", path.display()),
        }
    }
}

impl std::error::Error for WriteError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            WriteError::Io { source, .. } => Some(source),
            _ => None,
        }
    }
}

fn failed<'a>(doing: &'a str, path: &'a Path) -> impl FnOnce(io::Error) -> WriteError + 'a {
    move |source| WriteError::Io { doing: doing.to_owned(), path: path.to_owned(), source }
}

/// What became of the files in a folder.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Written {
    /// Files of an earlier run that stay: other formats of the very same design.
    pub kept: Vec<String>,
    /// Files of an earlier run that went away: they showed another design.
    pub removed: Vec<String>,
}

/// Writes the files into `folder`, all or none.
///
/// A new folder is made aside and renamed. In a folder of ours the files are replaced one by one,
/// and put back should one of them fail. Our files of an earlier run that are not written this time
/// stay where they are of another format and show the very same design (the two `design.json` say the
/// same); else they go away. Other files are never touched.
pub fn write(folder: &Path, files: &[Rendered]) -> Result<Written, WriteError> {
    let old = match fs::symlink_metadata(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(failed("look at", folder)(error)),
        // A link to a folder is as good as the folder.
        Ok(_) if folder.is_dir() => Some(ours(folder)?),
        Ok(_) => return Err(WriteError::InTheWay(folder.to_owned())),
    };
    let parent = match folder.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    if old.is_none() {
        fs::create_dir_all(parent).map_err(failed("make", parent))?;
    }
    let aside = folder_aside(if old.is_some() { folder } else { parent })?;
    // A folder within it, because the temporary one is closed to everybody but its owner.
    let staged = aside.path().join("new");
    fs::create_dir(&staged).map_err(failed("make", &staged))?;
    let written = old.as_ref().map(|old| sorted_out(folder, old, files)).unwrap_or_default();
    for file in files {
        let path = staged.join(&file.name);
        // The stamp names what stays beside it as well, so that a later run still knows it.
        let stamped = (file.name == STAMP_FILE).then(|| listing(&file.bytes, &written.kept)).flatten();
        fs::write(&path, stamped.as_deref().unwrap_or(&file.bytes)).map_err(failed("write", &path))?;
    }
    match old {
        None => fs::rename(&staged, folder).map_err(failed("make", folder)),
        Some(_) => {
            let kept = aside.path().join("old");
            fs::create_dir(&kept).map_err(failed("make", &kept))?;
            let outcome = replace(folder, &staged, &kept, files, &written.removed);
            if outcome.as_ref().is_err_and(|failure| !failure.restored) {
                // The old files are in there: better a stray folder than a lost file.
                let _ = aside.keep();
            }
            outcome.map_err(|failure| failure.error)
        }
    }?;
    Ok(written)
}

/// Which of the old files stay and which go away; those written anew are neither.
fn sorted_out(folder: &Path, old: &[String], files: &[Rendered]) -> Written {
    let new = files.iter().find(|file| file.name == STAMP_FILE);
    let same = new.is_some_and(|new| {
        // It was read a moment ago, within its limit of size.
        let before = fs::read(folder.join(STAMP_FILE)).unwrap_or_default();
        let (before, now) = (without_listing(&before), without_listing(&new.bytes));
        before.is_some() && before == now
    });
    let written_now = |format: &&Format| files.iter().any(|file| is_name_of(format, &file.name));
    let mut written = Written::default();
    for name in old.iter().filter(|name| files.iter().all(|file| file.name != **name)) {
        let replaced = FORMATS.iter().filter(written_now).any(|format| is_name_of(format, name));
        // What somebody took away need not be told of.
        if fs::symlink_metadata(folder.join(name)).is_ok() {
            if same && !replaced { written.kept.push(name.clone()) } else { written.removed.push(name.clone()) }
        }
    }
    written
}

/// A `design.json` without its list of files.
fn without_listing(bytes: &[u8]) -> Option<serde_json::Value> {
    let mut value: serde_json::Value = serde_json::from_slice(bytes).ok()?;
    value.as_object_mut()?.remove("files")?;
    Some(value)
}

/// A `design.json` that lists more files; `None` where nothing is to be added.
fn listing(bytes: &[u8], more: &[String]) -> Option<Vec<u8>> {
    if more.is_empty() {
        return None;
    }
    let text = std::str::from_utf8(bytes).ok()?;
    let mut names = json::stamp(text)?.files;
    names.extend(more.iter().cloned());
    // In the order a run of all formats would list them.
    names.sort_by_key(|name| FORMATS.iter().position(|format| is_name_of(format, name)));
    json::with_files(text, &names).map(String::into_bytes)
}

/// A temporary folder within another: on the same file system, so that renaming cannot turn into copying.
fn folder_aside(within: &Path) -> Result<tempfile::TempDir, WriteError> {
    fs::metadata(within).map_err(failed("write into", within))?;
    // The error would name the temporary folder, which is another one each time.
    let made = tempfile::Builder::new().prefix(".sledwright-").tempdir_in(within);
    made.map_err(|error| failed("write into", within)(io::Error::from(error.kind())))
}

/// Why files were not replaced, and whether the old ones are back.
struct ReplaceFailure {
    error: WriteError,
    restored: bool,
}

/// The files of an earlier run of ours in `folder`: none when it is empty.
fn ours(folder: &Path) -> Result<Vec<String>, WriteError> {
    let stamp = folder.join(STAMP_FILE);
    let size = fs::metadata(&stamp).map(|meta| if meta.is_file() { meta.len() } else { u64::MAX });
    if size.is_ok_and(|size| size <= STAMP_LIMIT) {
        let bytes = fs::read(&stamp).map_err(failed("read", &stamp))?;
        if let Some(stamp) = json::stamp(&String::from_utf8_lossy(&bytes)) {
            return Ok(stamp.files.into_iter().filter(|name| is_our_name(name)).collect());
        }
    }
    let mut entries = fs::read_dir(folder).map_err(failed("read", folder))?;
    if entries.next().is_none() { Ok(Vec::new()) } else { Err(WriteError::NotOurs(folder.to_owned(), STAMP_FILE)) }
}

/// Whether a name is one that [`FORMATS`] can write; a doctored list cannot name any other file.
fn is_our_name(name: &str) -> bool {
    FORMATS.iter().any(|format| is_name_of(format, name))
}

fn is_name_of(format: &Format, name: &str) -> bool {
    match format.file.split_once('N') {
        None => name == format.file,
        Some((before, after)) => name
            .strip_prefix(before)
            .and_then(|rest| rest.strip_suffix(after))
            .is_some_and(|number| !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit())),
    }
}

fn replace(
    folder: &Path,
    staged: &Path,
    kept: &Path,
    files: &[Rendered],
    stale: &[String],
) -> Result<(), ReplaceFailure> {
    let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
    let stale: Vec<&str> = stale.iter().map(String::as_str).collect();
    let mut moved_out: Vec<&str> = Vec::new();
    let mut moved_in: Vec<&str> = Vec::new();
    let mut step = || -> Result<(), WriteError> {
        for &name in names.iter().chain(&stale) {
            let path = folder.join(name);
            // A folder of that name is not ours to move.
            match fs::symlink_metadata(&path) {
                Ok(meta) if meta.is_dir() => return Err(WriteError::InTheWay(path)),
                Ok(_) => {
                    fs::rename(&path, kept.join(name)).map_err(failed("replace", &path))?;
                    moved_out.push(name);
                }
                Err(error) if error.kind() == io::ErrorKind::NotFound => {}
                Err(error) => return Err(failed("look at", &path)(error)),
            }
        }
        for &name in &names {
            let path = folder.join(name);
            fs::rename(staged.join(name), &path).map_err(failed("write", &path))?;
            moved_in.push(name);
        }
        Ok(())
    };
    let Err(error) = step() else { return Ok(()) };
    // No short cut: every file is to be put back, whatever became of the one before.
    let mut restored = true;
    for name in moved_in {
        restored &= fs::remove_file(folder.join(name)).is_ok();
    }
    for name in moved_out {
        restored &= fs::rename(kept.join(name), folder.join(name)).is_ok();
    }
    Err(ReplaceFailure { error, restored })
}

/// Writes the files of a saw plan into `folder`, all or none: a new folder, an empty one, or one that holds
/// a saw plan of ours, whose files are replaced.
///
/// # Errors
/// Why the folder was not written; then it is as it was.
pub fn write_plan(folder: &Path, files: &[Rendered]) -> Result<(), WriteError> {
    let stale: Vec<String> = match fs::symlink_metadata(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let parent = folder.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
            fs::create_dir_all(parent).map_err(failed("make", parent))?;
            let aside = folder_aside(parent)?;
            let staged = aside.path().join("new");
            stage(&staged, files)?;
            return fs::rename(&staged, folder).map_err(failed("make", folder));
        }
        Err(error) => return Err(failed("look at", folder)(error)),
        Ok(_) if folder.is_dir() => {
            let stamp = folder.join(boards::STAMP_FILE);
            let small = fs::metadata(&stamp).is_ok_and(|meta| meta.is_file() && meta.len() <= STAMP_LIMIT);
            let text = if small { fs::read_to_string(&stamp).map_err(failed("read", &stamp))? } else { String::new() };
            let empty = fs::read_dir(folder).map_err(failed("read", folder))?.next().is_none();
            if !empty && !boards::is_ours(&text) {
                return Err(WriteError::NotOurs(folder.to_owned(), boards::STAMP_FILE));
            }
            let written = |name: &&str| files.iter().any(|file| file.name == **name);
            let there = |name: &&str| fs::symlink_metadata(folder.join(name)).is_ok();
            let old = boards::FILES.iter().copied().filter(|name| !written(name) && there(name));
            old.map(str::to_owned).collect()
        }
        Ok(_) => return Err(WriteError::InTheWay(folder.to_owned())),
    };
    let aside = folder_aside(folder)?;
    let (staged, kept) = (aside.path().join("new"), aside.path().join("old"));
    stage(&staged, files)?;
    fs::create_dir(&kept).map_err(failed("make", &kept))?;
    let outcome = replace(folder, &staged, &kept, files, &stale);
    if outcome.as_ref().is_err_and(|failure| !failure.restored) {
        let _ = aside.keep();
    }
    outcome.map_err(|failure| failure.error)
}

/// Writes files into a new folder.
fn stage(staged: &Path, files: &[Rendered]) -> Result<(), WriteError> {
    fs::create_dir(staged).map_err(failed("make", staged))?;
    for file in files {
        let path = staged.join(&file.name);
        fs::write(&path, &file.bytes).map_err(failed("write", &path))?;
    }
    Ok(())
}

/// Writes one file where none stands yet.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    let parent = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let aside = folder_aside(parent)?;
    let staged = aside.path().join("new");
    fs::write(&staged, bytes).map_err(failed("write", &staged))?;
    // A hard link fails where something stands already, which a rename would silently replace.
    match fs::hard_link(&staged, path) {
        Ok(()) => Ok(()),
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(failed("write", path)(error)),
        // File systems without hard links: look, then rename.
        Err(_) if fs::symlink_metadata(path).is_err() => fs::rename(&staged, path).map_err(failed("write", path)),
        Err(error) => Err(failed("write", path)(error)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str, text: &str) -> Rendered {
        Rendered { name: name.to_owned(), bytes: text.as_bytes().to_vec() }
    }

    fn stamp(files: &str) -> Rendered {
        file(STAMP_FILE, &format!(r#"{{"format":"sledwright-design","version":1,"files":[{files}]}}"#))
    }

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .expect("readable")
            .map(|entry| entry.expect("entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_new_folder_is_made_whole_and_nothing_stays_beside_it() {
        let root = tempfile::tempdir().expect("temporary folder");
        let folder = root.path().join("plaque.carrier");
        write(&folder, &[file("cutlist.csv", "a"), stamp("")]).expect("written");
        assert_eq!(names(&folder), ["cutlist.csv", "design.json"]);
        assert_eq!(names(root.path()), ["plaque.carrier"]);
    }

    #[test]
    fn a_later_run_replaces_ours_drops_stale_ones_and_leaves_the_rest() {
        let root = tempfile::tempdir().expect("temporary folder");
        let folder = root.path().join("plaque.carrier");
        // The list also names a file that is not ours to remove.
        write(&folder, &[file("cutlist.csv", "old"), stamp(r#""cutlist.csv","design.json","notes.txt""#)])
            .expect("written");
        fs::write(folder.join("notes.txt"), "mine").expect("written");
        // Another design: a stamp that says something else besides its files.
        let other = r#"{"format":"sledwright-design","version":2,"files":["design.json"]}"#;
        write(&folder, &[file(STAMP_FILE, other)]).expect("written");
        assert_eq!(names(&folder), ["design.json", "notes.txt"]);
        assert_eq!(fs::read_to_string(folder.join("notes.txt")).expect("there"), "mine");
    }

    #[test]
    fn other_formats_stay_beside_the_same_design_and_go_with_another() {
        let root = tempfile::tempdir().expect("temporary folder");
        let folder = root.path().join("plaque.carrier");
        let design = |files: &str, what: &str| {
            let text = format!(
                "{{\n  \"format\": \"sledwright-design\",\n  \"version\": 1,\n  \"files\": [\n    {files}\n  ],\n  \"title\": \"{what}\"\n}}\n"
            );
            file(STAMP_FILE, &text)
        };
        let first = design("\"sheets.pdf\",\n    \"cutlist.csv\",\n    \"design.json\"", "one");
        write(&folder, &[file("sheets.pdf", "a"), file("cutlist.csv", "a"), first.clone()]).expect("written");
        let again = [file("sheets.pdf", "b"), design("\"sheets.pdf\",\n    \"design.json\"", "one")];
        let written = write(&folder, &again).expect("written");
        assert_eq!(written, Written { kept: vec!["cutlist.csv".to_owned()], removed: Vec::new() });
        // The list names it still, byte for byte as the run of all formats did.
        assert_eq!(fs::read(folder.join(STAMP_FILE)).expect("there"), first.bytes);
        let other = [file("sheets.pdf", "c"), design("\"sheets.pdf\",\n    \"design.json\"", "two")];
        let written = write(&folder, &other).expect("written");
        assert_eq!(written, Written { kept: Vec::new(), removed: vec!["cutlist.csv".to_owned()] });
        assert_eq!(names(&folder), ["design.json", "sheets.pdf"]);
    }

    #[test]
    fn a_folder_that_is_not_ours_is_left_alone() {
        let root = tempfile::tempdir().expect("temporary folder");
        fs::write(root.path().join("letter.txt"), "dear").expect("written");
        let error = write(root.path(), &[stamp("")]).expect_err("refused");
        assert!(matches!(error, WriteError::NotOurs(..)), "{error}");
        assert_eq!(names(root.path()), ["letter.txt"]);
    }

    #[test]
    fn an_empty_folder_may_be_filled() {
        let root = tempfile::tempdir().expect("temporary folder");
        write(root.path(), &[stamp("")]).expect("written");
        assert_eq!(names(root.path()), ["design.json"]);
    }

    #[test]
    fn a_failure_half_way_puts_the_old_files_back() {
        let root = tempfile::tempdir().expect("temporary folder");
        let folder = root.path().join("plaque.carrier");
        let old = stamp(r#""design.json""#);
        write(&folder, std::slice::from_ref(&old)).expect("written");
        // A folder stands where the second file must go.
        fs::create_dir(folder.join("cutlist.csv")).expect("made");
        let error = write(&folder, &[stamp(r#""new""#), file("cutlist.csv", "new")]).expect_err("refused");
        assert!(matches!(error, WriteError::InTheWay(_)), "{error}");
        assert_eq!(fs::read(folder.join(STAMP_FILE)).expect("there"), old.bytes);
        assert_eq!(names(&folder), ["cutlist.csv", "design.json"]);
    }

    #[test]
    fn a_file_is_never_written_over() {
        let root = tempfile::tempdir().expect("temporary folder");
        let path = root.path().join("job.toml");
        write_new(&path, b"first").expect("written");
        write_new(&path, b"second").expect_err("refused");
        assert_eq!(fs::read(&path).expect("there"), b"first");
        assert_eq!(names(root.path()), ["job.toml"]);
    }

    #[test]
    fn formats_have_names_of_their_own_and_the_stamp_comes_last() {
        for (place, format) in FORMATS.iter().enumerate() {
            assert!(FORMATS.iter().skip(place + 1).all(|other| other.id != format.id), "{} stands twice", format.id);
            assert_eq!(format.always, place + 1 == FORMATS.len(), "{}", format.id);
        }
        assert!(is_our_name("sheet-12.svg") && !is_our_name("sheet-.svg") && !is_our_name("sheet-1/../x.svg"));
        assert!(!is_our_name("../design.json") && !is_our_name("notes.txt") && is_our_name(STAMP_FILE));
    }
}
