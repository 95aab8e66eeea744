//! How far the carving may land from where it is drawn, in the worst case.

use super::{fits_all_round, lies_in_cradle};
use crate::design::{Design, Role};
use crate::geometry::path::to_mm;
use crate::geometry::{Rect, closure};
use crate::length::{Length, Ruler, Unit};
use crate::request::{Request, Shape};
use crate::setup::held_by_contacts;

/// Error of setting the machine's origin: 1/64 in, common practice, no source.
const ORIGIN_SETTING: Length = Length::inches(1, 64);
/// Error of reading an as-built size off the finished carrier: 1/64 in, common practice, no source.
const READING: Length = Length::inches(1, 64);
/// Roundings of placed shapes that are no slip.
const TIGHT: Length = Length::micrometres(1);

/// What may shift the carving in one direction, each plus or minus.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LandingAxis {
    /// Lead end or fence rail, sawn at both of its edges; zero where the blank's own edge is the datum.
    pub wall: Length,
    /// Setting of the machine's origin.
    pub origin: Length,
    /// How far the smallest blank can shift in its pocket: all of the room to spare from the walls it is
    /// pushed to, half of it either way in the middle of a round or a nest; zero where it is held
    /// without slip. Of an outline that is wedged home, the error of its capture.
    pub play: Length,
    /// Reading of the wall as built, in place of the saw's tolerance.
    pub reading: Length,
}

impl LandingAxis {
    /// With the blank pushed home against the wall.
    pub fn pushed_home(&self) -> Length {
        self.wall + self.origin
    }

    /// With the blank anywhere in its pocket.
    pub fn not_pushed_home(&self) -> Length {
        self.pushed_home() + self.play
    }

    /// Pushed home, and the origin set from the wall measured on the finished carrier.
    pub fn as_built(&self) -> Length {
        self.reading + self.origin
    }
}

/// How far the width of a carrier glued up of several parts may be off, plus or minus.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WidthStack {
    /// Sawn parts side by side across the feed.
    pub parts: usize,
    /// Whether the blank itself lies between them without slip.
    pub with_blank: bool,
    /// Every part off by all of its tolerance, the same way.
    pub worst: Length,
    /// Root of the sum of the squares, to the nearest tick: what is likely.
    pub root_sum_square: Length,
    /// After the last rip off the far edge.
    pub after_last_rip: Length,
}

/// How far the carving may land from where it is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Landing {
    /// Along the feed.
    pub along: LandingAxis,
    /// Across the feed.
    pub across: LandingAxis,
    /// The carrier's width; `None` where it is sawn from one piece.
    pub width: Option<WidthStack>,
}

impl Landing {
    /// The landing of a design.
    pub fn of(request: &Request, design: &Design) -> Landing {
        let blank = design.blank.outline.bounds();
        let room = room(design);
        let (mut along, mut across) = (&request.blank.length, &request.blank.width);
        if design.turned {
            std::mem::swap(&mut along, &mut across);
        }
        let sawn = request.shop.tolerance * 2;
        // Pushed home by wedges, an outline lies where it was drawn but for the error of its capture.
        let drawn = match &request.blank.shape {
            Shape::Outline(drawn) if held_by_contacts(design) => Some(drawn.error),
            _ => None,
        };
        let cleated = cleated(request, design);
        let middle = fits_all_round(design);
        let axis = |wall: Length, room: Length, blank: Length, smallest: Length| {
            let walled = wall > Length::ZERO;
            LandingAxis {
                wall: if walled { sawn } else { Length::ZERO },
                origin: ORIGIN_SETTING,
                play: match (room - smallest).or_zero() {
                    _ if room - blank <= TIGHT => Length::ZERO,
                    _ if drawn.is_some() => drawn.unwrap_or_default(),
                    spare if middle => spare.half_up(),
                    spare => spare,
                },
                reading: if walled { READING } else { Length::ZERO },
            }
        };
        let mut across_axis = axis(room.y0, room.width(), blank.width(), across.low());
        let between = across_axis.play <= Length::ZERO && !held_by_contacts(design);
        // The strips of a cradle bring any round to the middle, however thick it is; on its flat side a
        // half-round is packed into the middle.
        if design.parts.iter().any(|part| part.role == Role::CradleStrip) {
            across_axis.play = Length::ZERO;
        } else if lies_in_cradle(design) {
            across_axis.play = across_axis.play.half_up();
        }
        let mut along_axis = axis(room.x0, room.length(), blank.length(), along.low());
        if let Some((x, y)) = cleated {
            (along_axis.play, across_axis.play) = (x, y);
        }
        Landing {
            along: along_axis,
            across: across_axis,
            width: width_stack(request, design, between.then(|| across.high() - across.nominal)),
        }
    }
}

/// How far a blank between cleats at angles may lie off its place, along and across: by the error of its
/// outline and by the cleats', each set out to the shop's tolerance. `None` for other blanks.
fn cleated(request: &Request, design: &Design) -> Option<(Length, Length)> {
    let Shape::Outline(drawn) = &request.blank.shape else { return None };
    let standing = design.contacts.iter().filter(|contact| contact.part != Role::CleatWedge);
    let standing: Vec<closure::Contact> =
        standing.map(|contact| closure::Contact { at: to_mm(contact.at), push: contact.push() }).collect();
    let contacts = design.contacts.iter().any(|contact| contact.part == Role::CleatWedge).then_some(standing)?;
    let corners = design.blank.outline.bounds().corners().map(to_mm);
    let off = (drawn.error + request.shop.tolerance).to_mm();
    let (x, y) = closure::strays(&contacts.try_into().ok()?, &corners, off)?;
    Some((Length::from_mm(x)?, Length::from_mm(y)?))
}

/// The ruler for figures that stand on no mark: 0.001 in, or 0.01 mm.
pub fn fine_ruler(units: Unit) -> Ruler {
    match units {
        Unit::Inch => Ruler::decimal_inch(1000),
        Unit::Millimetre => Ruler::metric(10),
    }
}

/// Plan of the pocket the blank lies in, or of the blank where there is none.
pub(super) fn room(design: &Design) -> Rect {
    let blank = design.blank.outline.bounds();
    let bounds = design.pockets.iter().map(|pocket| pocket.outline.bounds());
    let mut holding =
        bounds.filter(|room| room.x0 <= blank.x0 && room.y0 <= blank.y0 && room.x1 >= blank.x1 && room.y1 >= blank.y1);
    holding.next().unwrap_or(blank)
}

/// Adds up the parts across the feed where most of them lie side by side. `blank_error` is what the
/// blank adds where it fills the gap between them.
fn width_stack(request: &Request, design: &Design, blank_error: Option<Length>) -> Option<WidthStack> {
    // Corner blocks and packing lie within the frame; they do not make its width.
    let within =
        |role: Role| matches!(role, Role::CornerBlock | Role::Packing | Role::Keeper) || role.stands_at_angle();
    let parts = design.parts.iter().filter(|part| !within(part.role));
    let places: Vec<(Rect, Length, Length)> =
        parts.flat_map(|part| &part.places).map(|place| (place.outline.bounds(), place.z0, place.z1)).collect();
    let along = middles(places.iter().flat_map(|(bounds, ..)| [bounds.x0, bounds.x1]));
    let levels = middles(places.iter().flat_map(|&(_, z0, z1)| [z0, z1]));
    let mut widest: Vec<Length> = Vec::new();
    let mut filled = false;
    for &x in &along {
        for &z in &levels {
            let here: Vec<Length> = places
                .iter()
                .filter(|(bounds, z0, z1)| bounds.x0 < x && x < bounds.x1 && *z0 < z && z < *z1)
                .map(|(bounds, ..)| bounds.width())
                .collect();
            if here.len() > widest.len() {
                filled = here.iter().copied().sum::<Length>() + TIGHT < design.carrier.width;
                widest = here;
            }
        }
    }
    let blank_error = blank_error.filter(|_| filled);
    if widest.len() + usize::from(blank_error.is_some()) < 2 {
        return None;
    }
    let sawn = request.shop.tolerance * 2;
    let errors: Vec<Length> = widest.iter().map(|_| sawn).chain(blank_error).collect();
    let squares: f64 = errors.iter().map(|error| error.to_mm() * error.to_mm()).sum();
    Some(WidthStack {
        parts: widest.len(),
        with_blank: blank_error.is_some(),
        worst: errors.iter().copied().sum(),
        root_sum_square: Length::from_mm(squares.sqrt()).unwrap_or_default(),
        after_last_rip: request.shop.tolerance,
    })
}

/// The middles between neighbouring edges.
fn middles(edges: impl Iterator<Item = Length>) -> Vec<Length> {
    let mut edges: Vec<Length> = edges.collect();
    edges.sort_unstable();
    edges.dedup();
    edges.iter().zip(edges.iter().skip(1)).map(|(&from, &to)| (from + to).half()).collect()
}
