//! Whether parts as they come from the saw are what the carrier needs: at their size, or over it by what
//! is trimmed once the carrier is glued up.

use crate::design::{Design, Extent, Grain, Operation, Part, Place, Role};
use crate::geometry::{Outline, Point};
use crate::length::Length;
use crate::request::Request;

/// Most that is left on at an end for the last trim.
const END_MOST: Length = Length::inches(1, 2);
/// Most that is left on at the far edge for the last rip, where the kerf is not wider.
const EDGE_MOST: Length = Length::inches(1, 8);
/// What jointing takes off a sawn edge, at the most.
const JOINTED: Length = Length::inches(1, 16);

/// A piece as it comes from the saw.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sawn {
    /// Its size; of a piece with a slope the rectangle round it.
    pub size: Extent,
    /// Width at the narrow end of a piece with a slope.
    pub narrow: Option<Length>,
    /// Whether its length was set at a stop, and is not just that of what it came from.
    pub stopped: bool,
}

/// What is trimmed off the glued-up carrier.
pub(super) struct Trims {
    /// Whether both ends are trimmed.
    ends: bool,
    /// Whether the far edge is ripped last.
    edge: bool,
    carrier: Extent,
    kerf: Length,
    /// Of plan sizes, and of marks for a slope.
    step: Length,
    fine: Length,
}

impl Trims {
    pub(super) fn of(request: &Request, design: &Design) -> Trims {
        let has = |operation: Operation| design.cut_list.steps.iter().any(|step| step.operation == operation);
        Trims {
            ends: has(Operation::TrimCrosscut),
            edge: has(Operation::TrimRip),
            carrier: design.carrier,
            kerf: request.shop.kerf,
            step: request.step(),
            fine: request.depth_step(),
        }
    }

    /// Ends of a part in this place that are trimmed with the carrier: at the lead end and at the trail end.
    fn ends(&self, place: &Place) -> [bool; 2] {
        let bounds = place.outline.bounds();
        [self.ends && bounds.x0 <= Length::ZERO, self.ends && bounds.x1 >= self.carrier.length]
    }

    fn edge(&self, place: &Place) -> bool {
        self.edge && place.outline.bounds().y1 >= self.carrier.width
    }
}

/// Sizes allowed from the first to the second.
type Range = (Length, Length);

/// What is wrong with the pieces sawn for a part, if anything: each place has to have a piece of its own.
pub(super) fn fits(part: &Part, sawn: &[&Sawn], trims: &Trims) -> Option<String> {
    let mut wanted: Vec<[Range; 3]> = part.places.iter().map(|place| ranges(part, place, trims)).collect();
    // Narrow demands first: a piece that serves a strict place is not spent on a lax one.
    wanted.sort_by_key(|[_, width, _]| *width);
    let mut pieces: Vec<&Sawn> = sawn.to_vec();
    pieces.sort_by_key(|sawn| sawn.size.width);
    for ([length, width, thickness], sawn) in wanted.iter().zip(&pieces) {
        let sides = [("length", sawn.size.length, length), ("width", sawn.size.width, width)];
        let sides = sides.into_iter().chain([("thickness", sawn.size.thickness, thickness)]);
        for (side, is, (least, most)) in sides {
            let most = &match side {
                // A base that is cut to length is cut to the carrier's.
                "length" if sawn.stopped && panel(part) => *least + (trims.step - Length::from_ticks(1)),
                // What need not be cut to length may stand out a kerf further.
                "length" if !sawn.stopped && most > least => *most + trims.kerf,
                _ => *most,
            };
            if is < *least || is > *most {
                let (is, least, most) = (is.to_inches(), least.to_inches(), most.to_inches());
                return Some(format!("{side} comes out at {is:.4} in, {least:.4} to {most:.4} is wanted"));
            }
        }
    }
    part.places.first().and_then(|place| slope(part, place, sawn, trims))
}

/// Whether it is a piece of sheet, pulled with its longer side along the fence.
fn panel(part: &Part) -> bool {
    matches!(part.role, Role::Board | Role::Base | Role::Ring) && part.grain == Grain::None
}

fn ranges(part: &Part, place: &Place, trims: &Trims) -> [Range; 3] {
    let size = part.size;
    let hair = trims.step - Length::from_ticks(1);
    // The next mark of the ruler, no more.
    let exact = |size: Length| (size, size + hair);
    let thickness = (size.thickness, size.thickness);
    if part.role == Role::WedgeShim {
        let off = Length::micrometres(1);
        return [exact(size.length), exact(size.width), (size.thickness - off, size.thickness + off)];
    }
    let ends = i64::from(trims.ends(place)[0]) + i64::from(trims.ends(place)[1]);
    let edge = trims.edge(place);
    let sloped = matches!(place.outline, Outline::Polygon(_));
    let rise = if sloped {
        fall(part, place).map_or(Length::ZERO, |(_, _, per)| by(per, END_MOST.up(trims.step)))
    } else {
        Length::ZERO
    };
    let panel = panel(part);
    let (along, across) =
        if panel && size.width > size.length { (size.width, size.length) } else { (size.length, size.width) };
    let length = if ends == 0 || part.grain == Grain::AcrossFeed {
        exact(along)
    } else {
        // Something has to come off at each end, or the glued-up ends are not flush; a base may be cut
        // to its length first.
        let least = if panel { along } else { along + trims.kerf * ends };
        (least, along + END_MOST.up(trims.step) * ends + hair)
    };
    let width = match part.role {
        Role::NestHalf => (across, across + JOINTED + EDGE_MOST + hair),
        _ if edge => (across, across + EDGE_MOST.max(trims.kerf).up(trims.step) + rise + hair),
        _ => (across, across + rise + hair),
    };
    [length, width, thickness]
}

/// `per` of a length.
fn by(per: f64, length: Length) -> Length {
    Length::from_mm(per * length.to_mm()).unwrap_or_default()
}

/// Width at the near end and at the far end of a piece with a slope, along its grain, and the fall for a
/// length.
fn fall(part: &Part, place: &Place) -> Option<(Length, Length, f64)> {
    let Outline::Polygon(points) = &place.outline else { return None };
    if part.role == Role::CleatWedge {
        return oblique(points);
    }
    let turned = part.grain == Grain::AcrossFeed;
    let points: Vec<(Length, Length)> =
        points.iter().map(|point| if turned { (point.y, point.x) } else { (point.x, point.y) }).collect();
    let (from, to) = (points.iter().map(|point| point.0).min()?, points.iter().map(|point| point.0).max()?);
    if to <= from {
        return None;
    }
    let across = |at: Length| {
        let ys = points.iter().filter(|point| point.0 == at).map(|point| point.1);
        let (low, high) = ys.fold((None, None), |(low, high): (Option<Length>, Option<Length>), y| {
            (Some(low.map_or(y, |low| low.min(y))), Some(high.map_or(y, |high| high.max(y))))
        });
        Some(high? - low?)
    };
    let (near, far) = (across(from)?, across(to)?);
    Some((near, far, ((near - far) / (to - from)).abs()))
}

/// The same of a wedge, which may stand at any angle: its ends are the two sides that run alike, and its
/// length is what lies between them.
fn oblique(points: &[Point]) -> Option<(Length, Length, f64)> {
    let [a, b, c, d] = points else { return None };
    let way = |(from, to): (&Point, &Point)| ((to.x - from.x).to_mm(), (to.y - from.y).to_mm());
    let long = |(x, y): (f64, f64)| libm::hypot(x, y);
    let ends = |one: (&Point, &Point), other: (&Point, &Point)| {
        let (p, q) = (way(one), way(other));
        let sine = (p.0 * q.1 - p.1 * q.0) / (long(p) * long(q));
        let across = ((other.0.x - one.0.x).to_mm(), (other.0.y - one.0.y).to_mm());
        let apart = ((p.0 * across.1 - p.1 * across.0) / long(p)).abs();
        (sine.abs(), long(p), long(q), apart)
    };
    // Of the two pairs the one that runs alike; a rectangle has no slope either way.
    let [first, second] = [ends((a, b), (c, d)), ends((b, c), (d, a))];
    let (_, near, far, apart) = if first.0 <= second.0 { first } else { second };
    Some((Length::from_mm(near)?, Length::from_mm(far)?, (near - far).abs() / apart))
}

/// Whether the narrow end marked for a slope leaves the finished piece within it.
fn slope(part: &Part, place: &Place, sawn: &[&Sawn], trims: &Trims) -> Option<String> {
    let off = |wanted: Length| {
        let off = sawn.iter().filter_map(|sawn| sawn.narrow).map(|narrow| (narrow - wanted).abs()).max();
        match off {
            None => Some("no slope is sawn".to_owned()),
            Some(off) if off > trims.fine => Some(format!("its narrow end is marked {:.4} in off", off.to_inches())),
            Some(_) => None,
        }
    };
    if part.role == Role::WedgeShim {
        let slope = place.voids.iter().find(|void| void.kind.is_slope())?;
        return off(slope.z0 - place.z0);
    }
    if part.role == Role::CornerBlock {
        return None;
    }
    let (near, far, per) = fall(part, place)?;
    // Corners of what stands at an angle are rounded.
    if (near - far).abs() < Length::micrometres(10) {
        return None;
    }
    let [lead, trail] = trims.ends(place);
    let trimmed = part.grain != Grain::AcrossFeed && if near < far { lead } else { trail };
    // The over-length carries the slope on beyond the finished end.
    let beyond = if trimmed { by(per, END_MOST.up(trims.step)) } else { Length::ZERO };
    let edge = if trims.edge(place) && part.role == Role::FarRail {
        EDGE_MOST.max(trims.kerf).up(trims.step)
    } else {
        Length::ZERO
    };
    let wanted = near.min(far) - beyond + edge;
    off(wanted)
}
