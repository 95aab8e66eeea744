//! What is told of a design from its parts and its job: parts of a strip, and the ways of the keepers.

use super::{Design, Role};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::Strip;

/// A round disc pegged off its middle, that advances on the blank as it is turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Keeper {
    /// Its diameter.
    pub diameter: Length,
    /// Its middle when it is parked, clear of the pocket.
    pub park: Point,
    /// The peg it turns on.
    pub pivot: Point,
    /// Its middle when it is turned as far as it goes towards the blank.
    pub lock: Point,
}

impl Keeper {
    /// From its middle to the peg. Common practice, no source.
    pub const OFF: Length = Length::inches(1, 8);
}

impl Design {
    /// The off-centre keepers, at the trail side and at the far side.
    pub fn keepers(&self) -> Vec<Keeper> {
        let blank = self.blank.outline.bounds();
        let places = self.parts.iter().filter(|part| part.role == Role::Keeper).flat_map(|part| &part.places);
        places
            .filter_map(|place| match place.outline {
                Outline::Disc { centre, diameter } => Some((centre, diameter)),
                _ => None,
            })
            .map(|(park, diameter)| {
                let towards = |by: Length| {
                    let trail = park.x > blank.x1;
                    if trail { Point::new(park.x - by, park.y) } else { Point::new(park.x, park.y - by) }
                };
                Keeper { diameter, park, pivot: towards(Keeper::OFF), lock: towards(Keeper::OFF * 2) }
            })
            .collect()
    }

    /// The parts of a strip in every blank, in the order of the blanks; nothing where the blank is none.
    pub fn strip_parts(&self, strip: &Strip) -> Vec<Rect> {
        let there = |outline: Outline| {
            let lay = self.laid(strip, outline.bounds());
            let part = move |part: Rect| {
                let (a, b) = (lay(Point::new(part.x0, part.y0)), lay(Point::new(part.x1, part.y1)));
                Rect::new(a.x.min(b.x), a.y.min(b.y), a.x.max(b.x), a.y.max(b.y))
            };
            strip.parts().into_iter().map(part)
        };
        self.blank_outlines().into_iter().flat_map(there).collect()
    }

    /// The lines along which the strips are sawn apart.
    pub fn strip_cuts(&self, strip: &Strip) -> Vec<[Point; 2]> {
        let there = |outline: Outline| {
            let lay = self.laid(strip, outline.bounds());
            strip.cuts().into_iter().map(move |[from, to]| [lay(from), lay(to)])
        };
        self.blank_outlines().into_iter().flat_map(there).collect()
    }

    /// Where a place in a strip lies once the strip is laid into `bounds`. A quarter turn brings the
    /// strip's fence side to the lead end and its trail end to the fence.
    fn laid(&self, strip: &Strip, bounds: Rect) -> impl Fn(Point) -> Point + Copy + use<> {
        let (turned, length) = (self.turned, strip.total());
        move |at: Point| {
            let at = if turned { Point::new(at.y, length - at.x) } else { at };
            Point::new(bounds.x0 + at.x, bounds.y0 + at.y)
        }
    }
}
