//! Pictorial views: the carrier taken apart, and as far as it is built, in isometric projection.
//!
//! Arcs are drawn as short chords here, and nothing is measured off these pictures.

mod callout;
mod project;
mod solid;
mod stages;
#[cfg(test)]
mod tests;

pub use stages::{Stage, stages};

use callout::{Callouts, Label};
use project::{Scene, Spot, Vector};
use solid::Solid;

use super::round;
use crate::design::{Design, Part, Role};
use crate::drawing::{Area, At, Line, Picture};
use crate::geometry::Rect;
use crate::length::Length;
use crate::request::Request;

/// Of a part that is wanted more often only so many pieces have assembly lines, the first ones.
const LINED: usize = 4;
/// Of so many pieces alike the one that is best seen bears the letter.
const LETTERED: usize = 4;

/// A piece in the picture: a part in one of its places, or the blank.
#[derive(Debug, Clone)]
struct Piece {
    /// Row of the parts table; `None` for the blank.
    row: Option<usize>,
    /// Which of the places of its row.
    place: usize,
    bounds: Rect,
    z0: Length,
    z1: Length,
    solid: Solid,
    /// How far it is taken off, mm.
    off: Vector,
    /// How far what it stands on is taken off, mm.
    seat: Vector,
}

impl Piece {
    fn of(row: usize, place: usize, part: &Part) -> Option<Piece> {
        let own = part.places.get(place)?;
        Some(Piece {
            row: Some(row),
            place,
            bounds: own.outline.bounds(),
            z0: own.z0,
            z1: own.z1,
            solid: Solid::of(own),
            off: [0.0; 3],
            seat: [0.0; 3],
        })
    }

    /// The blank, of a gang the one in pocket 1.
    fn blank(request: &Request, design: &Design) -> Piece {
        let blank = &design.blank;
        let bounds = blank.outline.bounds();
        let (z0, z1) = (blank.z0.to_mm(), blank.z1.to_mm());
        let solid = round::blank_ends(request, design).map_or_else(
            || Solid::plain(&blank.outline, z0, z1),
            |[lead, trail]| {
                let ring = |x: Length, ring: Vec<(f64, f64)>| ring.into_iter().map(|p| [x.to_mm(), p.0, p.1]).collect();
                Solid::loft(ring(bounds.x0, lead), ring(bounds.x1, trail))
            },
        );
        Piece { row: None, place: 0, bounds, z0: blank.z0, z1: blank.z1, solid, off: [0.0; 3], seat: [0.0; 3] }
    }

    fn is_under(&self, other: &Piece) -> bool {
        self.bounds.meets(&other.bounds) && self.z1 <= other.z0
    }
}

/// All pieces of a design, the blank last.
fn pieces(request: &Request, design: &Design) -> Vec<Piece> {
    let parts = design.parts.iter().enumerate();
    let places =
        parts.flat_map(|(row, part)| (0..part.places.len()).filter_map(move |place| Piece::of(row, place, part)));
    places.chain([Piece::blank(request, design)]).collect()
}

/// Takes the pieces apart: up from what they stand on, and outwards where they stand beside the blanks.
fn take_apart(design: &Design, pieces: &mut [Piece]) {
    let beds = design.blank_outlines().into_iter().map(|outline| outline.bounds());
    let all = beds.reduce(|a, b| Rect::new(a.x0.min(b.x0), a.y0.min(b.y0), a.x1.max(b.x1), a.y1.max(b.y1)));
    let blanks = all.unwrap_or_else(|| design.blank.outline.bounds());
    let least = design.carrier.length.min(design.carrier.width).to_mm();
    // A plate lifted by its own width clears itself; the one blank of a gang must clear all of the board,
    // others only so much that what lies below is seen.
    let lift = if design.gang.is_some() { 1.0 } else { 0.62 };
    let (aside, up) = (0.22 * least, lift * least + design.carrier.thickness.to_mm());

    // Nothing is put under a piece that lies lower, so as many rounds as pieces settle every height.
    let mut ranks = vec![0_u32; pieces.len()];
    for _ in 0..pieces.len().min(8) {
        for (place, piece) in pieces.iter().enumerate() {
            let below = pieces.iter().zip(&ranks).filter(|(other, _)| other.row.is_some() && other.is_under(piece));
            let rank = below.map(|(_, rank)| rank + 1).max().unwrap_or(0);
            if let Some(own) = ranks.get_mut(place) {
                *own = rank;
            }
        }
    }
    // The blank is lifted clear of all that stands round it; with nothing under it, it stays between them.
    if let (Some(blank), Some((rank, others))) = (pieces.last(), ranks.split_last_mut()) {
        let carries = |other: &Piece| other.row.is_some() && other.bounds.meets(&blank.bounds) && other.z0 < blank.z0;
        *rank = if pieces.iter().any(carries) { others.iter().max().map_or(0, |top| top + 1) } else { 0 };
    }
    let ways: Vec<Option<(usize, f64)>> = pieces.iter().map(|piece| way(design, piece, &blanks)).collect();
    let mut offs = Vec::new();
    for ((piece, rank), own) in pieces.iter().zip(&ranks).zip(&ways) {
        let mut off = [0.0, 0.0, f64::from(*rank) * up];
        if let Some((axis, sign)) = own {
            // What stands farther out is taken off farther.
            let middle = |piece: &Piece| {
                let centre = piece.bounds.centre();
                if *axis == 0 { centre.x.to_mm() } else { centre.y.to_mm() }
            };
            let overlaps = |other: &Piece| {
                let (a, b) = (piece.bounds, other.bounds);
                if *axis == 0 { a.y0 < b.y1 && b.y0 < a.y1 } else { a.x0 < b.x1 && b.x0 < a.x1 }
            };
            let inner = pieces.iter().zip(&ways).filter(|(other, way)| {
                *way == own && overlaps(other) && (middle(other) - middle(piece)) * sign < -SLIGHT
            });
            let steps = 1 + inner.count().min(4);
            if let Some(value) = off.get_mut(*axis) {
                *value = sign * aside * steps as f64;
            }
        }
        offs.push(off);
    }
    for (place, off) in offs.iter().enumerate() {
        let Some(piece) = pieces.get(place) else { continue };
        let below =
            pieces.iter().zip(&ranks).zip(&offs).filter(|((other, _), _)| {
                other.row.is_some() && other.bounds.meets(&piece.bounds) && other.z0 < piece.z0
            });
        let seat = below.max_by_key(|((_, rank), _)| **rank).map_or([0.0; 3], |(_, off)| *off);
        if let Some(piece) = pieces.get_mut(place) {
            (piece.off, piece.seat) = (*off, seat);
        }
    }
}

/// Two middles nearer than this are not one outside the other, mm.
const SLIGHT: f64 = 0.5;

/// The way a piece is taken off sideways: the axis and the sign along it.
fn way(design: &Design, piece: &Piece, blanks: &Rect) -> Option<(usize, f64)> {
    let part = design.parts.get(piece.row?)?;
    let own = piece.bounds;
    if part.role == Role::NestHalf {
        return Some((1, if own.centre().y < blanks.centre().y { -1.0 } else { 1.0 }));
    }
    let slack = Length::inches(1, 8);
    if own.y1 <= blanks.y0 + slack {
        Some((1, -1.0))
    } else if own.y0 >= blanks.y1 - slack {
        Some((1, 1.0))
    } else if own.x1 <= blanks.x0 + slack {
        Some((0, -1.0))
    } else if own.x0 >= blanks.x1 - slack {
        Some((0, 1.0))
    } else {
        None
    }
}

/// Lines in space and what they mean, with what is seen of them.
struct Drawn {
    scene: Scene,
    lines: Vec<(Line, Vec<[Spot; 2]>)>,
}

impl Drawn {
    fn of(solids: &[(Solid, Line)]) -> Drawn {
        let bodies: Vec<Solid> = solids.iter().map(|(solid, _)| solid.clone()).collect();
        let scene = Scene::of(&bodies);
        let lines = solids
            .iter()
            .map(|(solid, line)| (*line, solid.edges.iter().flat_map(|edge| scene.visible(*edge)).collect()))
            .collect();
        Drawn { scene, lines }
    }

    fn add(&mut self, line: Line, edges: &[[Vector; 2]]) {
        let seen = edges.iter().flat_map(|edge| self.scene.visible(*edge)).collect();
        self.lines.push((line, seen));
    }

    fn all(&self) -> Vec<[Spot; 2]> {
        self.lines.iter().flat_map(|(_, pieces)| pieces).copied().collect()
    }

    /// The box on the paper at true size.
    fn area(&self) -> Area {
        let spots = self.lines.iter().flat_map(|(_, pieces)| pieces).flatten();
        spots.fold(Area::NOTHING, |area, p| area.with(Area::new(p.u, p.v, p.u, p.v)))
    }

    fn picture(&self, scale: f64) -> Picture {
        let mut picture = Picture::default();
        for (line, pieces) in &self.lines {
            for run in runs(pieces, scale) {
                picture.line(*line, &run);
            }
        }
        picture
    }
}

/// Pieces joined end to end into runs, so that bends are one line; what is too short to see is left out.
fn runs(pieces: &[[Spot; 2]], scale: f64) -> Vec<Vec<At>> {
    const JOINED: f64 = 0.01;
    let mut runs: Vec<Vec<At>> = Vec::new();
    let meet = |a: &At, b: &At| (a.x - b.x).abs() < JOINED && (a.y - b.y).abs() < JOINED;
    for [from, to] in pieces {
        let (a, b) = (from.at(scale), to.at(scale));
        match runs.last_mut() {
            Some(run) if run.last().is_some_and(|end| meet(end, &a)) => run.push(b),
            _ => runs.push(vec![a, b]),
        }
    }
    let long = |run: &Vec<At>| {
        let length: f64 = run.windows(2).filter_map(|pair| Some(callout::length(*pair.first()?, *pair.get(1)?))).sum();
        length > 0.15
    };
    runs.retain(long);
    runs
}

/// The carrier taken apart, hidden lines removed, ready to be drawn at any scale.
pub struct Exploded {
    drawn: Drawn,
    fence: Option<[Vector; 2]>,
    lead: Option<[Vector; 2]>,
    labels: Vec<Label>,
}

impl Exploded {
    /// Takes a design apart.
    pub fn of(request: &Request, design: &Design) -> Exploded {
        let mut pieces = pieces(request, design);
        take_apart(design, &mut pieces);
        let line = |piece: &Piece| if piece.row.is_some() { Line::Edge } else { Line::Thin };
        let solids = pieces.iter().map(|piece| (piece.solid.clone().moved(piece.off), line(piece)));
        let mut drawn = Drawn::of(&solids.collect::<Vec<_>>());
        let (fence, lead) = datums(&pieces);
        drawn.add(Line::Fence, fence.as_slice());
        let lined = pieces.iter().filter(|piece| piece.place < LINED).flat_map(assembly_lines);
        drawn.add(Line::Centre, &lined.collect::<Vec<_>>());
        let lines = drawn.all();
        let mut labels: Vec<Label> = Vec::new();
        for (row, part) in design.parts.iter().enumerate() {
            let places = pieces.iter().enumerate().filter(|(_, piece)| piece.row == Some(row)).take(LETTERED);
            let seen = places.filter_map(|(solid, _)| drawn.scene.clearest(solid, &lines));
            let best = seen.reduce(|best, other| if other.off > best.off { other } else { best });
            labels.extend(best.map(|clear| Label { text: part.id.clone(), round: true, clear }));
        }
        let count = design.blanks_at_once();
        let text = if count > 1 { format!("BLANK (1 of {count})") } else { "BLANK".to_owned() };
        let blank = drawn.scene.clearest(pieces.len().saturating_sub(1), &lines);
        labels.extend(blank.map(|clear| Label { text, round: false, clear }));
        Exploded { drawn, fence, lead, labels }
    }

    /// The picture within a room of a width and a height on paper, mm, as large as it goes.
    pub fn picture(&self, room: (f64, f64)) -> Picture {
        let own = self.drawn.area();
        let along = |room: f64, size: f64| (room - 16.0).max(10.0) / size.max(1.0);
        let mut scale = along(room.0, own.width()).min(along(room.1, own.height()));
        let mut picture = Picture::default();
        // Letters do not shrink with the picture, so the scale is found by trying.
        for _ in 0..16 {
            picture = self.drawn.picture(scale);
            let mut callouts = Callouts::new(&mut picture);
            if let Some([from, to]) = self.fence {
                callouts.fence(middle(from, to).at(scale));
            }
            if let Some([from, to]) = self.lead {
                callouts.lead(middle(from, to).at(scale));
            }
            callouts.label(&self.labels, scale);
            let area = picture.area();
            if area.width() <= room.0 && area.height() <= room.1 {
                break;
            }
            scale *= 0.95;
        }
        picture
    }
}

fn middle(from: Vector, to: Vector) -> Spot {
    let (a, b) = (project::project(from), project::project(to));
    Spot { u: (a.u + b.u) / 2.0, v: (a.v + b.v) / 2.0, near: (a.near + b.near) / 2.0 }
}

/// The lower edges at the fence and at the lead end, of what lies lowest there.
fn datums(pieces: &[Piece]) -> (Option<[Vector; 2]>, Option<[Vector; 2]>) {
    let lowest = |at_edge: &dyn Fn(&Piece) -> bool| {
        let there = pieces.iter().filter(|piece| at_edge(piece));
        there.reduce(|best, other| if (other.z0, other.off[2]) < (best.z0, best.off[2]) { other } else { best })
    };
    let corner = |piece: &Piece, x: Length, y: Length| {
        [x.to_mm() + piece.off[0], y.to_mm() + piece.off[1], piece.z0.to_mm() + piece.off[2]]
    };
    let fence = lowest(&|piece| piece.bounds.y0 == Length::ZERO).map(|piece| {
        let own = piece.bounds;
        [corner(piece, own.x0, own.y0), corner(piece, own.x1, own.y0)]
    });
    let lead = lowest(&|piece| piece.bounds.x0 == Length::ZERO).map(|piece| {
        let own = piece.bounds;
        [corner(piece, own.x0, own.y0), corner(piece, own.x0, own.y1)]
    });
    (fence, lead)
}

/// From two corners of a piece taken off down to where it goes, and in to its place.
fn assembly_lines(piece: &Piece) -> Vec<[Vector; 2]> {
    let moved = [piece.off[0] - piece.seat[0], piece.off[1] - piece.seat[1], piece.off[2] - piece.seat[2]];
    if moved.iter().all(|part| part.abs() < SLIGHT) {
        return Vec::new();
    }
    let points = || piece.solid.edges.iter().flatten();
    // Straight sideways: from the two ends of the side it came from; else from what is seen farthest to the
    // left and to the right.
    let sideways = moved[2].abs() < SLIGHT;
    let axis = usize::from(moved[0].abs() < SLIGHT);
    let key = |p: &Vector| -> [f64; 3] {
        let spot = project::project(*p);
        if sideways { [p[1 - axis], p[axis] * moved[axis].signum(), p[2]] } else { [spot.u, spot.v, 0.0] }
    };
    let least = |sign: f64| {
        let order = |a: &&Vector, b: &&Vector| {
            let ([a, c, e], [b, d, f]) = (key(a), key(b));
            let first =
                if (a - b).abs() < SLIGHT { std::cmp::Ordering::Equal } else { (a * sign).total_cmp(&(b * sign)) };
            first.then(c.total_cmp(&d)).then(e.total_cmp(&f))
        };
        points().min_by(order).map(|p| [p[0] + piece.seat[0], p[1] + piece.seat[1], p[2] + piece.seat[2]])
    };
    let corners = [least(1.0), least(-1.0)].into_iter().flatten();
    let lines = corners.flat_map(|foot| {
        let from = [foot[0] + moved[0], foot[1] + moved[1], foot[2] + moved[2]];
        let knee = [from[0], from[1], foot[2]];
        [[from, knee], [knee, foot]]
    });
    lines.filter(|[a, b]| a.iter().zip(b).any(|(a, b)| (a - b).abs() > SLIGHT)).collect()
}
