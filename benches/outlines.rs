//! Outlines and gangs: how long they take, and the ratio to Shapely on the same outline in the same run.
//!
//! Shapely is an outside program: `SLEDWRIGHT_PYTHON` names a Python that has it. Without it the
//! reference is missing and the bench says so. Run with `cargo bench --bench outlines`.
#![expect(clippy::disallowed_methods, reason = "a benchmark reads the clock and the environment")]
#![expect(clippy::print_stdout, reason = "a benchmark prints")]

use std::fmt::Write as _;
use std::hint::black_box;
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use sledwright::geometry::fit::{fit, polygon};
use sledwright::geometry::hull::{critical_turns, hull};
use sledwright::geometry::offset::offset;
use sledwright::geometry::path::{Mm, Path};
use sledwright::output::files::{Source, render};
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};
use sledwright::solve::solve;
use sledwright::verify::verify;

/// What Shapely is asked: the least time of several runs of each, in seconds, one a line.
const REFERENCE: &str = r"
import sys, time
import shapely
ring = shapely.Polygon([tuple(map(float, line.split())) for line in sys.stdin])
def least(work, runs=9):
    found = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return min(found)
print(least(lambda: ring.buffer(3)))
print(least(lambda: ring.buffer(-3)))
print(least(lambda: ring.minimum_rotated_rectangle))
";

/// Least time of `runs` runs: the least is what the work takes when nothing else disturbs it.
fn least(runs: u32, mut work: impl FnMut()) -> Duration {
    let once = |work: &mut dyn FnMut()| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..runs).map(|_| once(&mut work)).min().unwrap_or_default()
}

/// A smooth outline with coves, about 250 x 200 mm.
fn smooth(count: u32) -> Vec<Mm> {
    (0..count)
        .map(|step| {
            let turn = std::f64::consts::TAU * f64::from(step) / f64::from(count);
            let r = 100.0 + 22.0 * libm::cos(2.0 * turn + 0.3) + 9.0 * libm::sin(5.0 * turn);
            (150.0 + r * libm::cos(turn), 140.0 + r * libm::sin(turn))
        })
        .collect()
}

/// Times of the reference: grown, shrunk, least box at any turn.
fn reference(ring: &[Mm]) -> Option<[f64; 3]> {
    let python = std::env::var_os("SLEDWRIGHT_PYTHON")?;
    let mut text = String::new();
    for p in ring {
        writeln!(text, "{} {}", p.0, p.1).ok()?;
    }
    let mut command = Command::new(python);
    command.args(["-c", REFERENCE]).stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = command.spawn().ok()?;
    child.stdin.take()?.write_all(text.as_bytes()).ok()?;
    let answer = child.wait_with_output().ok()?;
    let numbers = String::from_utf8(answer.stdout).ok()?;
    let mut numbers = numbers.lines().map(str::parse::<f64>);
    Some([numbers.next()?.ok()?, numbers.next()?.ok()?, numbers.next()?.ok()?])
}

fn show(what: &str, time: Duration, of: Option<f64>) {
    match of {
        Some(of) => println!("{what:<46} {time:>10.1?}  {:>6.2}", time.as_secs_f64() / of),
        None => println!("{what:<46} {time:>10.1?}"),
    }
}

fn read(job: &str, file: &str) -> Request {
    match request::from_toml(job, "job.toml", &|_| Ok(file.to_owned())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

fn all_files(request: &Request) -> usize {
    let Plan::Ready { design, .. } = plan(request) else { panic!("the job fits") };
    match render(&Source::new(request, &design), &[]) {
        Ok(files) => files.iter().map(|file| file.bytes.len()).sum(),
        Err(error) => panic!("{error}"),
    }
}

/// Reading, choosing, verifying, all files of one job.
fn job(name: &str, text: &str, file: &str, runs: u32) {
    let request = read(text, file);
    show(&format!("{name}: file to request"), least(runs, || drop(black_box(read(text, file)))), None);
    let chosen = least(runs, || drop(black_box(solve(&read(text, file)))));
    show(&format!("{name}: file to chosen carrier"), chosen, None);
    let Some(design) = solve(&request).designs.first().cloned() else { panic!("the job fits") };
    show(&format!("{name}: verified"), least(runs, || drop(black_box(verify(&request, &design)))), None);
    show(&format!("{name}: all of it, all files"), least(3, || _ = black_box(all_files(&request))), None);
}

fn main() {
    let ring = smooth(10_000);
    let found = reference(&ring);
    match found {
        Some([grown, shrunk, turned]) => {
            println!("reference: Shapely on 10 000 vertices, ratio 1:");
            println!("  grown {:.1} ms, shrunk {:.1} ms, least box {:.1} ms", grown * 1e3, shrunk * 1e3, turned * 1e3);
        }
        None => println!("reference missing: set SLEDWRIGHT_PYTHON to a Python that has shapely"),
    }
    let of = |place: usize| found.and_then(|found| found.get(place).copied());
    let simple = |ring: &[Mm]| -> Path { polygon(ring).unwrap_or_else(|fault| panic!("{fault:?}")) };
    let whole = simple(&ring);
    let fitted = match fit(&ring, 0.05) {
        Ok(fitted) => fitted.path,
        Err(fault) => panic!("{fault:?}"),
    };
    show("10 000 chords grown by 3 mm", least(5, || drop(black_box(offset(&whole, 3.0)))), of(0));
    show("10 000 chords shrunk by 3 mm", least(5, || drop(black_box(offset(&whole, -3.0)))), of(1));
    show("put into lines and arcs (0.05 mm)", least(5, || drop(black_box(fit(&ring, 0.05)))), of(0));
    let what = format!("{} lines and arcs grown by 3 mm", fitted.vertices().len());
    show(&what, least(20, || drop(black_box(offset(&fitted, 3.0)))), of(0));
    let turns = least(20, || drop(black_box(critical_turns(&hull(&ring), (&[], &[])))));
    show("critical turns of 10 000 vertices", turns, of(2));
    let few = least(20, || drop(black_box(critical_turns(&hull(&fitted.flattened(0.05)), (&[], &[])))));
    show("critical turns of the lines and arcs", few, of(2));

    let mut csv = String::from("x mm,y mm\n");
    for p in smooth(1_000) {
        let _ = writeln!(csv, "{:.3},{:.3}", p.0, p.1);
    }
    let head = "[machine]\nuse = \"roller-carver-medium\"\n[hold]\nby = \"tape\"\n";
    let outline = format!(
        "{head}[blank]\nshape = \"outline\"\nthickness = \".940\"\noutline-file = \"o.csv\"\nturn = \"free\"\n[carve]\ndepth = \"1/8\"\n"
    );
    // A nest, whatever else may hold the blank.
    let outline = format!("{outline}[carrier]\nconstruction = \"outline-nest\"\n");
    job("1 000 vertices", &outline, &csv, 5);
    let gang = format!(
        "{head}[blank]\nlength = \"2\"\nwidth = \"1-1/2\"\nthickness = \".250\"\ncount = 100\n[carve]\ndepth = \"1/16\"\ncutter = \"1/8\"\n"
    );
    job("100 blanks", &gang, "", 5);
    // Small enough for one board, and in no shape for rows; then three outlines.
    let points = |points: &str, count: u32| format!("outline-error = \"1/64\"\ncount = {count}\npoints = {points}\n");
    let lozenge = r#"[["0", "1"], ["1-3/4", "0"], ["3-1/2", "1"], ["1-3/4", "2"]]"#;
    let carve = "[carve]\ndepth = \"1/16\"\ncutter = \"1/8\"\n[hold]\nby = \"tape\"\n";
    let blank = "[blank]\nshape = \"outline\"\nthickness = \".250\"\n";
    let free = format!("{head}{blank}{}{carve}", points(lozenge, 100));
    job("100 lozenges", &free, "", 3);
    let sail = points(r#"[["0", "0"], ["3", "0"], ["0", "3"]]"#, 30);
    let hull = points(r#"[["1", "0"], ["3", "0"], ["4", "1-3/4"], ["0", "1-3/4"]]"#, 30);
    let first = points(lozenge, 40);
    let mixed = format!("{head}{blank}turn = \"free\"\n{first}[[also]]\n{sail}[[also]]\n{hull}{carve}");
    job("100 of three outlines", &mixed, "", 3);
    let nests = format!(
        "{head}[blank]\nshape = \"outline\"\npoints = [[\"0\", \"0\"], [\"3\", \"0\"], [\"0\", \"4\"]]\nthickness = \".250\"\ncount = 100\nturn = \"free\"\n[carve]\ndepth = \"1/16\"\ncutter = \"1/8\"\n[carrier]\nconstruction = \"gang\"\n"
    );
    job("100 triangles", &nests, "", 3);
}
