//! An inside corner of a pocket with its relief, larger than the plan.

use super::{LARGE, SMALL};
use crate::design::{Design, Pocket, Relief};
use crate::drawing::{Align, At, Line, Picture, Text, at};
use crate::geometry::{Outline, Point};
use crate::length::{Length, Ruler, Unit};
use crate::request::Request;

/// The letter of the detail: far from those of parts and sections.
const LETTER: &str = "Z";
/// Enlargements (ISO 5455, from memory; the first and last are usual in the United States too).
const SCALES: [(f64, &str); 4] = [(1.0, "1:1"), (2.0, "2:1"), (5.0, "5:1"), (10.0, "10:1")];
/// The cutter is drawn at least this large where a scale does it, mm.
const LEAST: f64 = 11.0;
/// Walls are drawn so far from the corner, mm.
const REACH: f64 = 20.0;
/// Radius of the circle round the corner in the plan, mm.
const ROUND: f64 = 3.2;

/// The pocket and the relief that are shown: the first with square corners that has one.
fn shown(design: &Design) -> Option<(&Pocket, Relief)> {
    let mut pockets = design.pockets.iter().filter(|pocket| matches!(pocket.outline, Outline::Rect(_)));
    pockets.find_map(|pocket| Some((pocket, pocket.relief?)))
}

/// The corner that is shown: lead and far, where the datum mark is not.
pub(super) fn corner(design: &Design) -> Option<Point> {
    let bounds = shown(design)?.0.outline.bounds();
    Some(Point::new(bounds.x0, bounds.y1))
}

/// Marks the corner in the plan, and names the detail.
pub(super) fn mark(picture: &mut Picture, place: At) {
    picture.circle(Line::Thin, place, ROUND);
    // The nearest place first, from the upper left round.
    let places = [3.2, 5.0, 7.5, 10.0].into_iter().flat_map(|far| {
        (0..16).map(move |turn| {
            let (far, turn) = (ROUND + far, f64::from(turn + 5) / 16.0 * std::f64::consts::TAU);
            at(place.x + far * libm::cos(turn), place.y + far * libm::sin(turn))
        })
    });
    let text = |place: At| Text::new(at(place.x, place.y - SMALL / 2.0), SMALL, LETTER).bold().align(Align::Middle);
    if let Some(text) = places.map(text).find(|text| picture.is_clear(&text.area())) {
        picture.label(text);
    }
}

/// Draws the corner with the cutter's circle and how far its centre stands from both walls.
/// `None` where no pocket with square corners is relieved.
pub fn detail(request: &Request, design: &Design) -> Option<Picture> {
    let (_, relief) = shown(design)?;
    let diameter = relief.diameter.to_mm();
    let (ratio, scale) = SCALES.into_iter().find(|(ratio, _)| diameter * ratio >= LEAST).or(SCALES.last().copied())?;
    let radius = diameter / 2.0 * ratio;
    // From the corner to the centre, into the pocket.
    let inset = if relief.bored { Length::ZERO } else { relief.diameter.half_up() - relief.bite };
    let middle = at(inset.to_mm() * ratio, -inset.to_mm() * ratio);
    let mut picture = Picture::default();
    // Where the circle leaves the walls: it passes through the corner, or is bored on it.
    let leaves = if relief.bored { radius } else { 2.0 * middle.x };
    picture.line(Line::Outline, &[at(leaves, 0.0), at(REACH.max(leaves + 8.0), 0.0)]);
    picture.line(Line::Outline, &[at(0.0, -leaves), at(0.0, -REACH.max(leaves + 8.0))]);
    let on = |turn: f64| at(middle.x + radius * libm::cos(turn), middle.y + radius * libm::sin(turn));
    const STEPS: u32 = 96;
    let turns: Vec<At> =
        (0..=STEPS).map(|step| on(f64::from(step) / f64::from(STEPS) * std::f64::consts::TAU)).collect();
    for pair in turns.windows(2) {
        let [a, b] = pair else { continue };
        let bites = (a.x + b.x) < 1e-6 || (a.y + b.y) > -1e-6;
        picture.line(if bites { Line::Outline } else { Line::Thin }, &[*a, *b]);
    }
    let out = radius + 2.5;
    picture.line(Line::Centre, &[at(middle.x - out, middle.y), at(middle.x + out, middle.y)]);
    picture.line(Line::Centre, &[at(middle.x, middle.y - out), at(middle.x, middle.y + out)]);
    if inset > Length::ZERO {
        let number = inset_text(request, inset);
        // From the wall at the lead end, above; from the far wall, at the left.
        let (above, left) = (middle.y + out + 5.0, middle.x - out - 5.0);
        picture.line(Line::Thin, &[at(0.0, 1.5 + radius), at(0.0, above + 1.5)]);
        picture.line(Line::Thin, &[at(middle.x, middle.y + out + 1.0), at(middle.x, above + 1.5)]);
        between(&mut picture, [at(0.0, above), at(middle.x, above)], at(1.0, 0.0));
        picture.text(Text::new(at(middle.x + 7.0, above - SMALL / 2.0), SMALL, &number));
        picture.line(Line::Thin, &[at(-1.5 - radius, 0.0), at(left - 1.5, 0.0)]);
        picture.line(Line::Thin, &[at(middle.x - out - 1.0, middle.y), at(left - 1.5, middle.y)]);
        between(&mut picture, [at(left, middle.y), at(left, 0.0)], at(0.0, 1.0));
        picture.text(Text::new(at(left - 2.5, middle.y / 2.0 - SMALL / 2.0), SMALL, &number).align(Align::End));
    }
    // The diameter, at the end of a leader out of the pocket's middle.
    let number = request.shop.depth_ruler.number(relief.diameter);
    let tip = on(-std::f64::consts::FRAC_PI_4);
    let end = at(tip.x + 5.0, tip.y - 5.0);
    picture.line(Line::Thin, &[end, tip]);
    picture.arrowhead(end, tip);
    picture.text(Text::new(at(end.x + 1.0, end.y - SMALL), SMALL, &format!("Ø {number}")).stacked());
    let wall = Text::new(at(REACH.max(leaves + 8.0) + 1.5, -SMALL / 2.0), SMALL, "far wall");
    picture.text(wall);
    let below = -REACH.max(leaves + 8.0) - 1.4 * SMALL;
    picture.text(Text::new(at(0.0, below), SMALL, "lead wall").align(Align::Middle));

    let area = picture.area();
    let title = Text::new(at(area.x0, area.y1 + 2.4), LARGE, &format!("DETAIL {LETTER}")).bold();
    let rest = at(title.at.x + title.width() + 3.0, title.at.y);
    picture.text(title);
    picture.text(Text::new(rest, SMALL, &format!("{scale}, all inside corners alike")));
    Some(picture)
}

/// A dimension too narrow for its arrows: they point at it from outside.
fn between(picture: &mut Picture, [from, to]: [At; 2], way: At) {
    let out = 5.0;
    let (before, after) = (at(from.x - out * way.x, from.y - out * way.y), at(to.x + out * way.x, to.y + out * way.y));
    picture.line(Line::Thin, &[before, after]);
    picture.arrowhead(before, from);
    picture.arrowhead(after, to);
}

/// Thousandths of an inch or tenths of a millimetre, rounded down as in the build steps.
fn inset_text(request: &Request, inset: Length) -> String {
    match request.shop.ruler.unit {
        Unit::Inch => Ruler::decimal_inch(1000).number(inset.down(Length::inches(1, 1000))),
        Unit::Millimetre => Ruler::metric(100).number(inset.down(Length::micrometres(100))),
    }
}
