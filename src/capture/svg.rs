//! Outlines in SVG files (W3C SVG 1.1): one closed path or shape.
//!
//! Transforms, `use`, style and units are resolved by a library, which turns arcs and circles into
//! cubic curves; those that follow a circle are made arcs again.

use usvg::tiny_skia_path::{PathSegment, Point as SvgPoint, Transform};
use usvg::{Group, Node, Tree, roxmltree};

use super::{CHORD_ERROR, Drawing, DrawnVertex, Fault, closed};
use crate::geometry::path::{Edge, MOST_VERTICES, Mm};
use crate::length::Unit;

/// A curve this near to a circle (in parts of its radius, and in mm) is one: a quarter circle drawn as
/// a cubic is out by 2.7 in 10 000.
const ROUND: (f64, f64) = (4e-4, 0.05);
/// Pixels in an inch, by CSS 2.1.
const PIXELS: f64 = 96.0;

const UNITS: &str =
    "give width and height of the drawing in mm or in (such as `width=\"200mm\"`), or set `outline-units`";

/// Reads the one outline of a drawing, or the one with this `id`. `declared` is the unit of its
/// coordinates where the drawing declares no size in mm or inches; `units` is for messages.
///
/// # Errors
/// When it is no SVG, declares no scale, or holds no single closed outline.
pub fn read(text: &str, id: Option<&str>, declared: Option<Unit>, units: Unit) -> Result<Drawing, Fault> {
    let broken = |error: &dyn std::fmt::Display| {
        Fault::new(
            format!("not an SVG drawing: {}", crate::diagnostic::printable(&error.to_string())),
            "save it as plain SVG",
        )
    };
    let document = roxmltree::Document::parse(text).map_err(|error| broken(&error))?;
    let options = usvg::Options { dpi: PIXELS as f32, ..usvg::Options::default() };
    let tree = Tree::from_xmltree(&document, &options).map_err(|error| broken(&error))?;
    let scale = scale(&document.root_element(), &tree, declared)?;
    let mut found: Vec<Vec<DrawnVertex>> = Vec::new();
    let mut shapes = 0;
    collect(tree.root(), id, id.is_none(), scale, &mut shapes, &mut found, 0);
    let help = match id {
        Some(_) => "check `outline-id` against the drawing",
        None => "keep one closed outline in the file, or name it by `outline-id`",
    };
    match found.len() {
        0 => Err(Fault::new("the drawing holds no outline", help)),
        1 => {
            let outline = found.swap_remove(0);
            Ok(Drawing { vertices: closed(outline, units)?, error: CHORD_ERROR })
        }
        count => Err(Fault::new(format!("the drawing holds {count} outlines in {shapes} shapes"), help)),
    }
}

/// Millimetres in one pixel of the resolved drawing.
fn scale(root: &roxmltree::Node<'_, '_>, tree: &Tree, declared: Option<Unit>) -> Result<f64, Fault> {
    let physical = |name: &str| {
        let text = root.attribute(name)?.trim().to_lowercase();
        let unit = text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-' | 'e'));
        Some(matches!(unit, "mm" | "cm" | "in" | "pt" | "pc"))
    };
    match (physical("width"), physical("height"), declared) {
        (Some(true), Some(true), None) => Ok(25.4 / PIXELS),
        (Some(true), Some(true), Some(_)) => Err(Fault::new(
            "the drawing declares its own size, and `outline-units` another scale",
            "leave `outline-units` out",
        )),
        (Some(true), _, _) | (_, Some(true), _) => {
            Err(Fault::new("only one of the drawing's width and height has a unit of length", UNITS))
        }
        (_, _, None) => Err(Fault::new("the drawing does not declare its scale", UNITS)),
        (_, _, Some(unit)) => {
            let mm = match unit {
                Unit::Inch => 25.4,
                Unit::Millimetre => 1.0,
            };
            let size = f64::from(tree.size().width());
            let box_width: Option<f64> = root
                .attribute("viewBox")
                .and_then(|text| text.split([' ', ',']).filter(|part| !part.is_empty()).nth(2)?.parse().ok())
                .filter(|width: &f64| width.is_finite() && *width > 0.0);
            Ok(mm * box_width.map_or(1.0, |width| width / size.max(f64::MIN_POSITIVE)))
        }
    }
}

/// Deepest nesting of groups followed.
const DEEPEST: usize = 64;

fn collect(
    group: &Group,
    id: Option<&str>,
    wanted: bool,
    scale: f64,
    shapes: &mut usize,
    found: &mut Vec<Vec<DrawnVertex>>,
    depth: usize,
) {
    if depth > DEEPEST {
        return;
    }
    let named = |name: &str| wanted || id.is_some_and(|id| id == name);
    for node in group.children() {
        match node {
            Node::Group(inner) => collect(inner, id, named(inner.id()), scale, shapes, found, depth + 1),
            Node::Path(path) if path.is_visible() && named(path.id()) => {
                *shapes += 1;
                found.extend(outlines(path.data().segments(), path.abs_transform(), scale));
            }
            _ => {}
        }
    }
}

/// The subpaths in millimetres, y upward; each ends where it began if it is closed.
fn outlines(segments: impl Iterator<Item = PathSegment>, transform: Transform, scale: f64) -> Vec<Vec<DrawnVertex>> {
    let place = |p: SvgPoint| {
        let (x, y) = (f64::from(p.x), f64::from(p.y));
        let (sx, kx, tx) = (f64::from(transform.sx), f64::from(transform.kx), f64::from(transform.tx));
        let (ky, sy, ty) = (f64::from(transform.ky), f64::from(transform.sy), f64::from(transform.ty));
        ((sx * x + kx * y + tx) * scale, -(ky * x + sy * y + ty) * scale)
    };
    let mut all: Vec<Vec<DrawnVertex>> = Vec::new();
    let mut run: Vec<DrawnVertex> = Vec::new();
    let mut finish = |run: &mut Vec<DrawnVertex>| {
        if run.len() > 1 {
            all.push(std::mem::take(run));
        }
        run.clear();
    };
    for segment in segments {
        let from = run.last().map(|vertex| vertex.0);
        match segment {
            PathSegment::MoveTo(p) => {
                finish(&mut run);
                run.push((place(p), None));
            }
            PathSegment::LineTo(p) => run.push((place(p), None)),
            PathSegment::QuadTo(c, p) => {
                let (c, p) = (place(c), place(p));
                let a = from.unwrap_or(p);
                let third = |end: Mm| (end.0 + (c.0 - end.0) * 2.0 / 3.0, end.1 + (c.1 - end.1) * 2.0 / 3.0);
                curve(&mut run, [a, third(a), third(p), p]);
            }
            PathSegment::CubicTo(c, d, p) => {
                let p = place(p);
                curve(&mut run, [from.unwrap_or(p), place(c), place(d), p]);
            }
            PathSegment::Close => {
                if let Some(first) = run.first().copied() {
                    run.push((first.0, None));
                }
                finish(&mut run);
            }
        }
        if run.len() > MOST_VERTICES + 1 {
            break;
        }
    }
    finish(&mut run);
    all
}

/// Adds a cubic: as an arc where it follows a circle, else in chords.
fn curve(run: &mut Vec<DrawnVertex>, p: [Mm; 4]) {
    let at = |t: f64| {
        let s = 1.0 - t;
        let (a, b, c, d) = (s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t);
        (a * p[0].0 + b * p[1].0 + c * p[2].0 + d * p[3].0, a * p[0].1 + b * p[1].1 + c * p[2].1 + d * p[3].1)
    };
    let middle = at(0.5);
    let edge = Edge::new(p[0], Some(middle), p[3]);
    let follows = edge.arc.is_some_and(|arc| {
        let allowed = (ROUND.0 * arc.radius).min(ROUND.1);
        let sampled = [0.1, 0.2, 0.3, 0.4, 0.6, 0.7, 0.8, 0.9];
        arc.sweep.abs() < 1.8 && sampled.iter().all(|t| edge.distance(at(*t)) <= allowed)
    });
    if follows {
        if let Some(last) = run.last_mut() {
            last.1 = Some(middle);
        }
        run.push((p[3], None));
        return;
    }
    // Chords of a cubic stay within D / (8/6 n^2) of it, D its largest second difference.
    let second = |a: Mm, b: Mm, c: Mm| libm::hypot(a.0 - 2.0 * b.0 + c.0, a.1 - 2.0 * b.1 + c.1);
    let bend = second(p[0], p[1], p[2]).max(second(p[1], p[2], p[3]));
    let count = libm::ceil((0.75 * bend / CHORD_ERROR).sqrt()).clamp(1.0, 500.0);
    for step in 1..=count as u32 {
        run.push((at(f64::from(step) / count), None));
    }
}
