//! Outlines in DXF drawings: polylines with bulges, lines, arcs, circles and splines, joined into one loop.

use dxf::entities::{Entity, EntityType, Spline};
use dxf::enums::Units;

use super::{CHORD_ERROR, Drawing, DrawnVertex, Fault, GAP, closed, place};
use crate::geometry::path::{MOST_VERTICES, Mm};
use crate::length::Unit;

/// Most pieces joined into a loop.
const MOST_PIECES: usize = 5_000;

/// Reads the one outline of a drawing, or the one on this `layer`. `declared` is the unit of a drawing
/// that declares none; `units` is for messages.
///
/// # Errors
/// When it is no DXF, declares no unit of length, or its pieces do not make one loop.
pub fn read(text: &str, layer: Option<&str>, declared: Option<Unit>, units: Unit) -> Result<Drawing, Fault> {
    let drawing = dxf::Drawing::load(&mut text.as_bytes()).map_err(|error| {
        let why = crate::diagnostic::printable(&error.to_string());
        Fault::new(format!("not a DXF drawing: {why}"), "save it as DXF text, R12 or later")
    })?;
    let scale = scale(drawing.header.default_drawing_units, declared)?;
    let mut pieces: Vec<Piece> = Vec::new();
    for entity in drawing.entities() {
        if entity.common.is_in_paper_space || layer.is_some_and(|layer| layer != entity.common.layer) {
            continue;
        }
        if let Some(piece) = piece(entity, scale)? {
            pieces.push(piece);
        }
        if pieces.len() > MOST_PIECES {
            return Err(Fault::new(format!("the drawing has more than {MOST_PIECES} pieces"), "keep the outline only"));
        }
    }
    let error = if pieces.iter().any(|piece| piece.in_chords) { CHORD_ERROR } else { 0.0 };
    let vertices = joined(pieces, units)?;
    Ok(Drawing { vertices, error })
}

fn scale(header: Units, declared: Option<Unit>) -> Result<f64, Fault> {
    let drawn = match header {
        Units::Unitless => None,
        Units::Inches => Some(25.4),
        Units::Feet => Some(304.8),
        Units::Millimeters => Some(1.0),
        Units::Centimeters => Some(10.0),
        Units::Decimeters => Some(100.0),
        Units::Meters => Some(1000.0),
        _ => return Err(Fault::new("the drawing is in a unit not read here", "draw it in millimetres or inches")),
    };
    let stated = declared.map(|unit| if unit == Unit::Inch { 25.4 } else { 1.0 });
    match (drawn, stated) {
        (Some(drawn), Some(stated)) if drawn != stated => {
            Err(Fault::new("the drawing declares one unit, `outline-units` another", "leave `outline-units` out"))
        }
        (Some(scale), _) | (None, Some(scale)) => Ok(scale),
        (None, None) => Err(Fault::new("the drawing does not declare its unit", "set `outline-units`")),
    }
}

/// A stretch of outline: vertices, the last one its end.
struct Piece {
    vertices: Vec<DrawnVertex>,
    whole: bool,
    in_chords: bool,
}

impl Piece {
    fn ends(&self) -> Option<(Mm, Mm)> {
        Some((self.vertices.first()?.0, self.vertices.last()?.0))
    }

    /// The same stretch run the other way.
    fn reversed(mut self) -> Piece {
        let mut vias: Vec<Option<Mm>> = self.vertices.iter().map(|vertex| vertex.1).collect();
        self.vertices.reverse();
        vias.reverse();
        // The arc that led away from a vertex now leads to it.
        vias.rotate_left(1);
        for (vertex, via) in self.vertices.iter_mut().zip(vias) {
            vertex.1 = via;
        }
        self
    }
}

fn piece(entity: &Entity, scale: f64) -> Result<Option<Piece>, Fault> {
    let at = |x: f64, y: f64| (x * scale, y * scale);
    let whole = |vertices: Vec<DrawnVertex>, closed: bool| {
        let mut vertices = vertices;
        if closed && let Some(first) = vertices.first().copied() {
            vertices.push((first.0, None));
        }
        Some(Piece { vertices, whole: closed, in_chords: false })
    };
    let upright = |normal: &dxf::Vector| {
        if normal.z > 0.999 {
            return Ok(());
        }
        Err(Fault::new(
            "part of the drawing is tilted, or drawn as seen from below",
            "draw it flat, as seen from above",
        ))
    };
    Ok(match &entity.specific {
        EntityType::Line(line) => {
            whole(vec![(at(line.p1.x, line.p1.y), None), (at(line.p2.x, line.p2.y), None)], false)
        }
        EntityType::Arc(arc) => {
            upright(&arc.normal)?;
            let sweep = (arc.end_angle - arc.start_angle).rem_euclid(360.0);
            let on = |degrees: f64| {
                let angle = degrees * std::f64::consts::PI / 180.0;
                at(arc.center.x + arc.radius * libm::cos(angle), arc.center.y + arc.radius * libm::sin(angle))
            };
            let middle = on(arc.start_angle + sweep / 2.0);
            whole(vec![(on(arc.start_angle), Some(middle)), (on(arc.end_angle), None)], false)
        }
        EntityType::Circle(circle) => {
            upright(&circle.normal)?;
            let (x, y, r) = (circle.center.x, circle.center.y, circle.radius);
            let halves = vec![(at(x - r, y), Some(at(x, y - r))), (at(x + r, y), Some(at(x, y + r)))];
            whole(halves, true)
        }
        EntityType::LwPolyline(line) => {
            upright(&line.extrusion_direction)?;
            let vertices: Vec<(Mm, f64)> = line.vertices.iter().map(|v| (at(v.x, v.y), v.bulge)).collect();
            whole(bulged(&vertices, line.is_closed()), line.is_closed())
        }
        EntityType::Polyline(line) => {
            upright(&line.normal)?;
            let vertices: Vec<(Mm, f64)> = line.vertices().map(|v| (at(v.location.x, v.location.y), v.bulge)).collect();
            whole(bulged(&vertices, line.is_closed()), line.is_closed())
        }
        EntityType::Spline(spline) => {
            let vertices = flattened(spline, scale)?;
            Some(Piece { vertices, whole: false, in_chords: true })
        }
        EntityType::Ellipse(_) => {
            return Err(Fault::new(
                "the drawing holds an ellipse, which is not read",
                "turn it into a polyline or arcs",
            ));
        }
        EntityType::Insert(_) => {
            return Err(Fault::new("the drawing holds a block, which is not read", "explode blocks before saving"));
        }
        // Text, dimensions and the like are no outline.
        _ => None,
    })
}

/// Vertices with bulges (tangent of a quarter of the arc's angle) as vertices with points arcs pass through.
fn bulged(vertices: &[(Mm, f64)], closed: bool) -> Vec<DrawnVertex> {
    let count = vertices.len();
    let next = vertices.iter().cycle().skip(1);
    let arcs = vertices.iter().zip(next).enumerate().map(|(index, (&(a, bulge), &(b, _)))| {
        let last = index + 1 == count && !closed;
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let via = (a.0 + dx / 2.0 + bulge * dy / 2.0, a.1 + dy / 2.0 - bulge * dx / 2.0);
        (a, (bulge.abs() > 1e-9 && !last).then_some(via))
    });
    arcs.collect()
}

/// A spline in chords, halved until their middles lie on it (B-splines by de Boor's recursion).
fn flattened(spline: &Spline, scale: f64) -> Result<Vec<DrawnVertex>, Fault> {
    let degree = usize::try_from(spline.degree_of_curve).ok().filter(|degree| (1..=10).contains(degree));
    let count = spline.control_points.len();
    let usable = degree.filter(|degree| count > *degree && spline.knot_values.len() == count + degree + 1);
    let rising = spline.knot_values.windows(2).all(|pair| matches!(pair, [a, b] if a <= b));
    let (Some(degree), true) = (usable, rising && count <= MOST_PIECES) else {
        let help = "save splines with their control points, or as polylines";
        return Err(Fault::new("the drawing holds a spline without usable control points and knots", help));
    };
    let weight = |index: usize| spline.weight_values.get(index).copied().filter(|w| *w > 0.0).unwrap_or(1.0);
    let points: Vec<[f64; 3]> = spline
        .control_points
        .iter()
        .enumerate()
        .map(|(index, p)| [p.x * scale * weight(index), p.y * scale * weight(index), weight(index)])
        .collect();
    let knots = &spline.knot_values;
    let on = |span: usize, u: f64| de_boor(&points, knots, degree, span, u);
    let mut vertices: Vec<DrawnVertex> = Vec::new();
    for span in degree..count {
        let (Some(&from), Some(&to)) = (knots.get(span), knots.get(span + 1)) else { continue };
        if to <= from {
            continue;
        }
        let at = |part: f64| on(span, from + (to - from) * part);
        let mut chords = 4_u32;
        while chords < 512 {
            let off = (0..chords).map(|chord| {
                let (a, b) = (f64::from(chord) / f64::from(chords), f64::from(chord + 1) / f64::from(chords));
                let (p, q, m) = (at(a), at(b), at((a + b) / 2.0));
                libm::hypot((p.0 + q.0) / 2.0 - m.0, (p.1 + q.1) / 2.0 - m.1)
            });
            if off.fold(0.0, f64::max) <= CHORD_ERROR {
                break;
            }
            chords *= 2;
        }
        let first = u32::from(!vertices.is_empty());
        vertices.extend((first..=chords).map(|chord| (at(f64::from(chord) / f64::from(chords)), None)));
        if vertices.len() > MOST_VERTICES {
            break;
        }
    }
    Ok(vertices)
}

fn de_boor(points: &[[f64; 3]], knots: &[f64], degree: usize, span: usize, u: f64) -> Mm {
    let knot = |index: usize| knots.get(index).copied().unwrap_or(u);
    let mut local: Vec<[f64; 3]> =
        (0..=degree).map(|j| points.get(j + span - degree).copied().unwrap_or([0.0, 0.0, 1.0])).collect();
    for r in 1..=degree {
        for j in (r..=degree).rev() {
            let (low, high) = (knot(j + span - degree), knot(j + 1 + span - r));
            let part = if high > low { (u - low) / (high - low) } else { 0.0 };
            let (Some(&a), Some(&b)) = (local.get(j - 1), local.get(j)) else { continue };
            let mixed = [0, 1, 2].map(|axis: usize| (1.0 - part) * a[axis] + part * b[axis]);
            if let Some(place) = local.get_mut(j) {
                *place = mixed;
            }
        }
    }
    local.get(degree).map_or((0.0, 0.0), |p| (p[0] / p[2], p[1] / p[2]))
}

/// The pieces as one loop.
fn joined(mut pieces: Vec<Piece>, units: Unit) -> Result<Vec<DrawnVertex>, Fault> {
    pieces.retain(|piece| piece.vertices.len() > 1);
    let help = "keep one closed outline in the drawing, or put it on a layer of its own and name that by `outline-id`";
    let wholes = pieces.iter().filter(|piece| piece.whole).count();
    if pieces.is_empty() {
        return Err(Fault::new("the drawing holds no outline", help));
    }
    if wholes > 0 && pieces.len() > 1 {
        return Err(Fault::new(
            format!("the drawing holds {wholes} closed outlines and {} other pieces", pieces.len() - wholes),
            help,
        ));
    }
    let mut chain = pieces.remove(0).vertices;
    while !pieces.is_empty() {
        let Some(end) = chain.last().map(|vertex| vertex.0) else { break };
        let apart = |p: Mm| libm::hypot(p.0 - end.0, p.1 - end.1);
        let mut best: Option<(f64, usize, bool)> = None;
        for (index, piece) in pieces.iter().enumerate() {
            let Some((from, to)) = piece.ends() else { continue };
            for (gap, back) in [(apart(from), false), (apart(to), true)] {
                if best.is_none_or(|(least, ..)| gap < least) {
                    best = Some((gap, index, back));
                }
            }
        }
        let Some((_, index, back)) = best.filter(|(gap, ..)| *gap <= GAP) else {
            let message =
                format!("the outline is open at {}: {} pieces join no further", place(end, units), pieces.len());
            return Err(Fault::new(message, help));
        };
        let piece = pieces.remove(index);
        let piece = if back { piece.reversed() } else { piece };
        chain.pop();
        chain.extend(piece.vertices);
        if chain.len() > MOST_VERTICES + 1 {
            break;
        }
    }
    closed(chain, units)
}
