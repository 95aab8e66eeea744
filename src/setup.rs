//! What the person at the machine sets and reads: the numbers of the set-up card.

pub mod built;
pub mod landing;
pub mod refit;
mod remedy;

pub use landing::{Landing, LandingAxis, WidthStack, fine_ruler};

use crate::design::{Design, VoidKind};
use crate::geometry::{Point, Rect};
use crate::length::Length;
use crate::request::{Hold, Request};

/// How far the machine's reading of the length may be off before the feed is stopped:
/// 1/16 in, common practice, no source.
const LENGTH_READING: Length = Length::inches(1, 16);
/// How far its reading of the width may be off: 1/32 in, common practice, no source.
const WIDTH_READING: Length = Length::inches(1, 32);

/// A size the machine should read when it measures what is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reading {
    /// What it should read.
    pub size: Length,
    /// Stop when it is off by more than this, either way.
    pub tolerance: Length,
}

impl Reading {
    /// Least reading that is still right.
    pub fn least(&self) -> Length {
        self.size - self.tolerance
    }

    /// Greatest reading that is still right.
    pub fn greatest(&self) -> Length {
        self.size + self.tolerance
    }
}

/// The numbers of the set-up card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetupCard {
    /// Length the machine should read.
    pub length: Reading,
    /// Width the machine should read.
    pub width: Reading,
    /// The blank's datum corner from the lead end (x) and the fence edge (y).
    pub corner: Point,
    /// Blank centre less carrier centre.
    pub centre: Point,
    /// Carve area in carrier coordinates.
    pub carve: Rect,
    /// Deepest the tip goes below the top plane; `None` until the blank's thickness is measured.
    pub deepest: Option<Length>,
    /// Deepest the machine's tip reaches below the top plane.
    pub deepest_allowed: Length,
    /// How the blank is held.
    pub hold: Hold,
    /// Distance between fence and far guide.
    pub far_guide: Length,
    /// Whether stands are wanted on both sides, at bed height.
    pub stands: bool,
    /// Datum corner of every pocket.
    pub pockets: Vec<Point>,
    /// Holes to push the blank out from below, by their centres.
    pub push_out: Vec<Point>,
    /// Whether the lead/far corner is clipped, so that it cannot look right when fed backwards.
    pub clipped_corner: bool,
    /// How far the carving may land from where it is drawn.
    pub landing: Landing,
}

impl SetupCard {
    /// The card of a design.
    pub fn of(request: &Request, design: &Design) -> SetupCard {
        let carrier = design.carrier;
        SetupCard {
            length: Reading { size: carrier.length, tolerance: LENGTH_READING },
            width: Reading { size: carrier.width, tolerance: WIDTH_READING },
            corner: design.origin(),
            centre: design.centre_offset(),
            carve: design.carve,
            deepest: design.blank.thickness_known.then_some(design.depth_below_top),
            deepest_allowed: request.machine.depth,
            hold: design.hold,
            far_guide: carrier.width + request.machine.guide_gap,
            stands: request.machine.wants_stands(carrier.length),
            pockets: design
                .pockets
                .iter()
                .map(|pocket| {
                    let bounds = pocket.outline.bounds();
                    Point::new(bounds.x0, bounds.y0)
                })
                .collect(),
            push_out: push_out_holes(design),
            clipped_corner: design.clip_corner,
            landing: Landing::of(request, design),
        }
    }
}

/// Centres of the push-out holes; one through several layers counts once.
fn push_out_holes(design: &Design) -> Vec<Point> {
    let mut centres: Vec<Point> = Vec::new();
    for place in design.parts.iter().flat_map(|part| &part.places) {
        for void in place.voids.iter().filter(|void| void.kind == VoidKind::PushOut) {
            let centre = void.outline.bounds().centre();
            if !centres.contains(&centre) {
                centres.push(centre);
            }
        }
    }
    centres
}

/// How the hold is tested before the first cut, in words. Common practice, no source.
pub fn hold_test(hold: Hold) -> &'static str {
    match hold {
        Hold::Snug => "card shims at the trail and far sides; the blank must not slide when pushed by hand",
        Hold::Wedge => "wedges driven far side first; push sideways with 10 lb and lift: nothing moves",
        Hold::Tape => "cloth tape on a clean floor; push sideways with 10 lb and lift: nothing moves",
        Hold::Film => "film tape over the whole face; push sideways with 10 lb and lift: nothing moves",
        Hold::HotGlue => "glue spots at the edges, cooled; push sideways with 10 lb and lift: nothing moves",
    }
}
