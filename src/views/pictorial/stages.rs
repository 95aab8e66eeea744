//! The carrier as far as it is built: one small picture for every step of the build that adds something.

use super::callout::{Callouts, Label};
use super::project::Scene;
use super::solid::Solid;
use super::{Drawn, Piece, pieces};
use crate::design::{Added, Design, Place, VoidKind};
use crate::drawing::{Line, Picture};
use crate::request::Request;

/// Two ends of edges nearer than this are one, mm.
const SAME: f64 = 1e-3;

/// The carrier after a step of the build.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Number of the step, counted from 1.
    pub step: usize,
    /// What it adds, in a line.
    pub line: String,
    /// What was there before in thin line, what is new in heavy line.
    pub picture: Picture,
}

/// What stands after a step.
#[derive(Default)]
struct Standing {
    parts: Vec<(usize, usize)>,
    blank: bool,
    cuts: Vec<VoidKind>,
}

impl Standing {
    /// A piece with the cuts made so far; `made` are those that some step makes, all others come from the saw.
    fn solid(&self, design: &Design, piece: &Piece, made: &[VoidKind]) -> Option<Solid> {
        let Some(row) = piece.row else { return self.blank.then(|| piece.solid.clone()) };
        if !self.parts.contains(&(row, piece.place)) {
            return None;
        }
        let place = design.parts.get(row)?.places.get(piece.place)?;
        let cut = |kind: VoidKind| !made.contains(&kind) || self.cuts.contains(&kind);
        let voids = place.voids.iter().filter(|void| cut(void.kind)).cloned().collect();
        Some(Solid::of(&Place { voids, ..place.clone() }))
    }
}

/// The carrier after every step that adds something, all at one scale, each within a room of a width and a
/// height on paper, mm.
pub fn stages(request: &Request, design: &Design, room: (f64, f64)) -> Vec<Stage> {
    let pieces = pieces(request, design);
    let adds = || design.steps.iter().flat_map(|step| &step.adds);
    let made: Vec<VoidKind> =
        adds().filter_map(|added| if let Added::Cut(kind) = added { Some(*kind) } else { None }).collect();
    let whole = Drawn::of(&pieces.iter().map(|piece| (piece.solid.clone(), Line::Thin)).collect::<Vec<_>>()).area();
    // Letters may stand outside.
    let scale = ((room.0 - 12.0) / whole.width().max(1.0)).min((room.1 - 10.0) / whole.height().max(1.0));
    let mut standing = Standing::default();
    let mut stages = Vec::new();
    for (number, step) in design.steps.iter().enumerate() {
        let before: Vec<Option<Solid>> = pieces.iter().map(|piece| standing.solid(design, piece, &made)).collect();
        for added in &step.adds {
            match added {
                Added::Part { id, place } => {
                    let row = design.parts.iter().position(|part| part.id == *id);
                    standing.parts.extend(row.map(|row| (row, *place)));
                }
                Added::Cut(kind) => standing.cuts.push(*kind),
                Added::Blank => standing.blank = true,
            }
        }
        let now: Vec<Option<Solid>> = pieces.iter().map(|piece| standing.solid(design, piece, &made)).collect();
        if step.adds.is_empty() || before == now {
            continue;
        }
        let line = words(design, &step.adds, before.iter().all(Option::is_none));
        let picture = drawn(design, &pieces, &before, &now, (scale, room));
        stages.push(Stage { step: number + 1, line, picture });
    }
    stages
}

fn drawn(
    design: &Design,
    pieces: &[Piece],
    before: &[Option<Solid>],
    now: &[Option<Solid>],
    (scale, room): (f64, (f64, f64)),
) -> Picture {
    let bodies: Vec<Solid> = now.iter().map(|solid| solid.clone().unwrap_or_default()).collect();
    let mut drawn = Drawn { scene: Scene::of(&bodies), lines: Vec::new() };
    let mut fresh = Vec::new();
    for (place, (old, new)) in before.iter().zip(now).enumerate() {
        let Some(new) = new else { continue };
        match old {
            None => {
                fresh.push(place);
                drawn.add(Line::Outline, &new.edges);
            }
            Some(old) if old == new => drawn.add(Line::Thin, &new.edges),
            Some(old) => {
                // What a cut leaves is heavy, the rest as before.
                let near = |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < SAME);
                let had = |edge: &&[[f64; 3]; 2]| old.edges.iter().any(|[a, b]| near(a, &edge[0]) && near(b, &edge[1]));
                let (same, cut): (Vec<_>, Vec<_>) = new.edges.iter().partition(had);
                drawn.add(Line::Thin, &same);
                drawn.add(Line::Outline, &cut);
            }
        }
    }
    let lines = drawn.all();
    // One letter for every row of the parts table that is new here.
    let mut labels: Vec<(Option<usize>, Label)> = Vec::new();
    for place in fresh {
        let Some(piece) = pieces.get(place) else { continue };
        let text = match piece.row.and_then(|row| design.parts.get(row)) {
            Some(part) => part.id.clone(),
            None => "BLANK".to_owned(),
        };
        let Some(clear) = drawn.scene.clearest(place, &lines) else { continue };
        match labels.iter_mut().find(|(row, _)| *row == piece.row) {
            Some((_, label)) if label.clear.off < clear.off => label.clear = clear,
            Some(_) => {}
            None => labels.push((piece.row, Label { text, round: piece.row.is_some(), clear })),
        }
    }
    let labels: Vec<Label> = labels.into_iter().map(|(_, label)| label).collect();
    let mut scale = scale;
    let mut picture = Picture::default();
    for _ in 0..12 {
        picture = drawn.picture(scale);
        Callouts::new(&mut picture).label(&labels, scale);
        let area = picture.area();
        if area.width() <= room.0 && area.height() <= room.1 {
            break;
        }
        scale *= 0.95;
    }
    picture
}

/// What a step adds, in a line.
fn words(design: &Design, adds: &[Added], first: bool) -> String {
    let mut rows: Vec<(&str, &str, usize)> = Vec::new();
    let mut cuts: Vec<&str> = Vec::new();
    let mut blank = false;
    for added in adds {
        match added {
            Added::Part { id, .. } => match rows.iter_mut().find(|(known, ..)| *known == id.as_str()) {
                Some(row) => row.2 += 1,
                None => {
                    let part = design.parts.iter().find(|part| part.id == *id);
                    rows.extend(part.map(|part| (part.id.as_str(), part.name.as_str(), 1)));
                }
            },
            Added::Cut(VoidKind::Countersink) => {}
            Added::Cut(kind) => cuts.push(match kind {
                VoidKind::Pocket => "cut the pocket",
                VoidKind::Relief => "relieve the corners",
                VoidKind::FingerGap => "cut the finger gaps",
                VoidKind::Under => "sink the room for the relief",
                VoidKind::PushOut => "bore the push-out hole",
                VoidKind::ClippedCorner => "clip the lead/far corner",
                VoidKind::Bevel | VoidKind::SlopeAlong | VoidKind::SlopeAcross => "saw the slope",
                VoidKind::KeeperNotch => "saw the notch",
                VoidKind::ScrewHole | VoidKind::Countersink => "bore and countersink for the screws",
                VoidKind::PegHole => "bore for the pegs",
            }),
            Added::Blank => blank = true,
        }
    }
    let named: Vec<String> = rows
        .iter()
        .map(|(id, name, count)| if *count > 1 { format!("{id} {name} ({count})") } else { format!("{id} {name}") })
        .collect();
    let mut said = Vec::new();
    if !named.is_empty() {
        said.push(format!("{} {}", if first && named.len() == 1 { "begin with" } else { "set" }, named.join(", ")));
    }
    said.extend(cuts.into_iter().map(str::to_owned));
    if blank {
        said.push("lay in the blank".to_owned());
    }
    said.join("; ")
}
