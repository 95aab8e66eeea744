//! Straight parts at an angle to the feed: where they hold the blank, and how they look by themselves.

use super::{Design, Part, Place, Role};
use crate::geometry::path::{Mm, to_mm};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;

/// Grid that turned corners are put back on: rounding is far below it, and no ruler is finer.
const ROUNDING: Length = Length::from_ticks(720);

/// A place where a straight part holds the blank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Contact {
    /// Where.
    pub at: Point,
    /// The part that pushes: square off its own face.
    pub part: Role,
    /// Whether the blank may touch elsewhere first, so that card has to make it bear here.
    pub packed: bool,
    /// Two marks that the working edge of a cleat at an angle is laid to, of a driven wedge the working
    /// edge of the cleat behind it, to which its own face is parallel. The blank lies to the left of the
    /// way from the first to the second; a square end of the cleat stands at the first. `None` for what
    /// is square to the feed.
    pub marks: Option<[Point; 2]>,
}

impl Contact {
    /// The direction in which the blank is pushed, of length 1: along the feed and across it.
    pub fn push(&self) -> Mm {
        if let Some([from, to]) = self.marks {
            let (x, y) = to_mm(Point::new(to.x - from.x, to.y - from.y));
            let long = libm::hypot(x, y).max(f64::MIN_POSITIVE);
            return (-y / long, x / long);
        }
        match self.part {
            Role::FenceRail => (0.0, 1.0),
            Role::LeadEnd => (1.0, 0.0),
            Role::FarWedge => (0.0, -1.0),
            _ => (-1.0, 0.0),
        }
    }

    /// Degrees between the marked edge and the fence edge, 0 to 90, and whether the edge runs away from
    /// the fence towards the trail end; `None` for what is square to the feed.
    pub fn slant(&self) -> Option<(f64, bool)> {
        let [from, to] = self.marks?;
        let (x, y) = to_mm(Point::new(to.x - from.x, to.y - from.y));
        let degrees = libm::atan2(y.abs(), x.abs()) * 180.0 / std::f64::consts::PI;
        Some((degrees, (x >= 0.0) == (y >= 0.0)))
    }
}

impl Part {
    /// A place of the part as it lies on the bench: one that stands at an angle is laid with its longest
    /// square side along x, its corner at zero. Others stay as they are.
    pub fn upright(&self, place: &Place) -> Place {
        let Outline::Polygon(points) = &place.outline else { return place.clone() };
        let Some((from, along)) = square_side(points).filter(|_| self.role.stands_at_angle()) else {
            return place.clone();
        };
        if self.role != Role::CleatWedge {
            let size = self.size;
            let outline = Outline::Rect(Rect::sized(Length::ZERO, Length::ZERO, size.length, size.width));
            return Place { outline, ..place.clone() };
        }
        let turned: Vec<Mm> = points
            .iter()
            .map(|point| to_mm(Point::new(point.x - from.x, point.y - from.y)))
            .map(|(x, y)| (x * along.0 + y * along.1, y * along.0 - x * along.1))
            .collect();
        let least = |of: fn(&Mm) -> f64| turned.iter().map(of).fold(f64::INFINITY, f64::min);
        let (left, low) = (least(|p| p.0), least(|p| p.1));
        let mark = |mm: f64| Length::from_mm(mm).unwrap_or_default().nearest(ROUNDING);
        let mut points: Vec<Point> = turned.iter().map(|p| Point::new(mark(p.0 - left), mark(p.1 - low))).collect();
        // Equal parts are drawn alike, wherever their outlines begin.
        let first = (0..points.len()).min_by_key(|place| points.get(*place).map(|p| (p.x, p.y))).unwrap_or(0);
        points.rotate_left(first);
        Place { outline: Outline::Polygon(points), ..place.clone() }
    }
}

impl Design {
    /// The wedge that is driven off a cleat at an angle, and the way it goes, of length 1: from its thick
    /// end to its thin one, along the face it pushes with.
    pub fn driven(&self) -> Option<(&Place, Mm)> {
        let part = self.parts.iter().find(|part| part.role == Role::CleatWedge)?;
        let (driven, contact) = part.places.last().zip(self.contacts.iter().find(|c| c.part == Role::CleatWedge))?;
        let Outline::Polygon(points) = &driven.outline else { return None };
        let push = contact.push();
        let along = (push.1, -push.0);
        // On the slope the wedge is thickest where it stands farthest off the blank.
        let far =
            points.iter().map(|point| to_mm(*point)).map(|(x, y)| (x * push.0 + y * push.1, x * along.0 + y * along.1));
        let (mut least, mut thick, mut sum) = (f64::INFINITY, 0.0, 0.0);
        for (off, t) in far {
            sum += t / points.len().max(1) as f64;
            if off < least {
                (least, thick) = (off, t);
            }
        }
        Some((driven, if thick < sum { along } else { (-along.0, -along.1) }))
    }
}

/// The longest side of a polygon that is square to both its neighbours: where it begins, and its direction.
fn square_side(points: &[Point]) -> Option<(Point, Mm)> {
    let count = points.len();
    let side = |place: usize| {
        let (from, to) = (points.get(place % count)?, points.get((place + 1) % count)?);
        let (x, y) = to_mm(Point::new(to.x - from.x, to.y - from.y));
        let long = libm::hypot(x, y);
        (long > 0.0).then_some((*from, (x / long, y / long), long))
    };
    let mut best: Option<(Point, Mm, f64)> = None;
    for place in 0..count {
        let (before, here, after) = (side(place + count - 1)?, side(place)?, side(place + 1)?);
        let square = |other: Mm| (other.0 * here.1.0 + other.1 * here.1.1).abs() < 1e-5;
        if square(before.1) && square(after.1) && best.is_none_or(|best| here.2 > best.2 + 1e-3) {
            best = Some(here);
        }
    }
    best.map(|(from, along, _)| (from, along))
}
