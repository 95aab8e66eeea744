//! Bad places: the ways to cut them out of a board before anything is cut from the rest.

use super::task::{Clear, RIP_LEAST};
use crate::geometry::Rect;
use crate::length::Length;

/// Most ways looked at for one board.
const MOST_WAYS: usize = 16;
/// Narrower than this nothing is cut out of the band beside a bad place.
const NARROWEST: Length = Length::INCH;

/// Wood, and how it is parted from its bad places.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parting {
    /// The wood, untrimmed edges and all.
    pub wood: Rect,
    /// What is sound in it, if it is not parted any more.
    pub clear: Rect,
    /// How it is parted.
    pub way: Way,
}

/// How wood is parted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Way {
    /// Not at all; the clear rectangle has this place in its set.
    Whole(usize),
    /// Ripped along both edges of a bad place; then the band between is crosscut.
    Ripped {
        /// The bad place.
        bad: Rect,
        /// Near the near edge.
        near: Option<Box<Parting>>,
        /// Beyond the bad place.
        far: Option<Box<Parting>>,
        /// The band, before and behind the bad place.
        band: [Option<Box<Parting>>; 2],
    },
    /// Crosscut before and behind a bad place.
    Crosscut {
        /// The bad place.
        bad: Rect,
        /// Before it.
        near: Option<Box<Parting>>,
        /// Behind it.
        far: Option<Box<Parting>>,
    },
}

/// Whether wood may be ripped.
pub fn may_rip(wood: &Rect) -> bool {
    wood.length() >= RIP_LEAST && wood.length() >= wood.width()
}

/// The ways to part a board from its bad places.
pub fn partings(size: (Length, Length), trim: Length, bad: &[Rect], kerf: Length) -> Vec<Parting> {
    let wood = Rect::sized(Length::ZERO, Length::ZERO, size.0, size.1);
    // What is never ripped keeps its edges; the pieces are over-wide then.
    let across = if may_rip(&wood) { trim } else { Length::ZERO };
    let clear = Rect::new(trim, across, size.0 - trim, size.1 - across);
    let mut ways = part(&wood, &clear, bad, kerf);
    for way in &mut ways {
        let mut place = 0;
        number(way, &mut place);
    }
    ways
}

fn overlaps(a: &Rect, b: &Rect) -> bool {
    a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1
}

fn common(a: &Rect, b: &Rect) -> Rect {
    Rect::new(a.x0.max(b.x0), a.y0.max(b.y0), a.x1.min(b.x1), a.y1.min(b.y1))
}

/// Every combination of one way for each of two parts.
fn both(a: &[Option<Box<Parting>>], b: &[Option<Box<Parting>>]) -> Vec<[Option<Box<Parting>>; 2]> {
    a.iter().flat_map(|a| b.iter().map(move |b| [a.clone(), b.clone()])).take(MOST_WAYS).collect()
}

fn part(wood: &Rect, clear: &Rect, bad: &[Rect], kerf: Length) -> Vec<Parting> {
    let Some(bad_here) = bad.iter().find(|bad| overlaps(bad, clear)) else {
        return vec![Parting { wood: *wood, clear: *clear, way: Way::Whole(0) }];
    };
    let at = common(bad_here, wood);
    let sub = |wood: Rect, least: Length| -> Vec<Option<Box<Parting>>> {
        let clear = common(&wood, clear);
        // A short end with raw edges could not have them ripped off.
        if !may_rip(&wood) && (wood.y0 < clear.y0 || wood.y1 > clear.y1) {
            return vec![None];
        }
        if wood.length() < least || clear.length() < least || clear.width() < NARROWEST {
            return vec![None];
        }
        part(&wood, &clear, bad, kerf).into_iter().map(|parting| Some(Box::new(parting))).collect()
    };
    let mut ways = Vec::new();
    if may_rip(wood) {
        let near = sub(Rect::new(wood.x0, wood.y0, wood.x1, at.y0), Length::ZERO);
        let far = sub(Rect::new(wood.x0, at.y1, wood.x1, wood.y1), Length::ZERO);
        // The band reaches to the board's edge where the bad place does.
        let low = if at.y0 > wood.y0 { at.y0 + kerf } else { wood.y0 };
        let high = if at.y1 < wood.y1 { at.y1 - kerf } else { wood.y1 };
        let before = sub(Rect::new(wood.x0, low, at.x0, high), RIP_LEAST);
        let behind = sub(Rect::new(at.x1, low, wood.x1, high), RIP_LEAST);
        for [near, far] in both(&near, &far) {
            for band in both(&before, &behind) {
                let (near, far) = (near.clone(), far.clone());
                ways.push(Parting { wood: *wood, clear: *clear, way: Way::Ripped { bad: at, near, far, band } });
            }
        }
    }
    let near = sub(Rect::new(wood.x0, wood.y0, at.x0, wood.y1), RIP_LEAST);
    let far = sub(Rect::new(at.x1, wood.y0, wood.x1, wood.y1), RIP_LEAST);
    for [near, far] in both(&near, &far) {
        ways.push(Parting { wood: *wood, clear: *clear, way: Way::Crosscut { bad: at, near, far } });
    }
    ways.truncate(MOST_WAYS);
    ways
}

/// The parts of a parting, in the order their clear rectangles stand in the set.
pub fn parts(parting: &Parting) -> Vec<&Parting> {
    match &parting.way {
        Way::Whole(_) => Vec::new(),
        Way::Ripped { near, far, band, .. } => {
            let [before, behind] = band;
            [near, far, before, behind].into_iter().flatten().map(Box::as_ref).collect()
        }
        Way::Crosscut { near, far, .. } => [near, far].into_iter().flatten().map(Box::as_ref).collect(),
    }
}

fn number(parting: &mut Parting, next: &mut usize) {
    match &mut parting.way {
        Way::Whole(place) => {
            *place = *next;
            *next += 1;
        }
        Way::Ripped { near, far, band, .. } => {
            let [before, behind] = band;
            for part in [near, far, before, behind].into_iter().flatten() {
                number(part, next);
            }
        }
        Way::Crosscut { near, far, .. } => {
            for part in [near, far].into_iter().flatten() {
                number(part, next);
            }
        }
    }
}

/// The set of clear rectangles of a parting.
pub fn clears(parting: &Parting) -> Vec<Clear> {
    if let Way::Whole(_) = parting.way {
        let clear = parting.clear;
        return vec![Clear { x: clear.x0, y: clear.y0, length: clear.length(), width: clear.width() }];
    }
    parts(parting).into_iter().flat_map(clears).collect()
}
