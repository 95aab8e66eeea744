//! Marks inside views: letters in circles, grain and feed arrows, the datum corner, words in free places.

use super::{LARGE, SMALL};
use crate::drawing::{Align, Area, At, Ink, Item, Line, Picture, Text, Weight, at, font};

/// Radius of the circle round a part letter, mm.
pub(super) const LETTER_RADIUS: f64 = 3.6;

/// A part letter in its circle, on a cleared ground.
pub(super) fn letter(picture: &mut Picture, centre: At, letter: &str) {
    let ground = (0..24)
        .map(|step| f64::from(step) / 24.0 * std::f64::consts::TAU)
        .map(|turn| at(centre.x + LETTER_RADIUS * libm::cos(turn), centre.y + LETTER_RADIUS * libm::sin(turn)))
        .collect();
    picture.solid(Ink::Paper, ground);
    picture.circle(Line::Thin, centre, LETTER_RADIUS);
    picture.text(Text::new(at(centre.x, centre.y - SMALL / 2.0), SMALL, letter).bold().align(Align::Middle));
}

/// A part letter in its circle, with a leader from a dot in the part.
pub(super) fn balloon(picture: &mut Picture, dot_at: At, centre: At, name: &str) {
    let (dx, dy) = (centre.x - dot_at.x, centre.y - dot_at.y);
    let length = libm::sqrt(dx * dx + dy * dy);
    if length > LETTER_RADIUS {
        let kept = 1.0 - LETTER_RADIUS / length;
        picture.line(Line::Thin, &[dot_at, at(dot_at.x + dx * kept, dot_at.y + dy * kept)]);
    }
    dot(picture, dot_at);
    letter(picture, centre, name);
}

/// Whether a leader strikes through no lettering.
pub(super) fn passes(picture: &Picture, from: At, to: At) -> bool {
    !picture.items.iter().any(|item| matches!(item, Item::Text(text) if text.area().crossed_by(from, to)))
}

/// The dot at the end of a leader.
pub(super) fn dot(picture: &mut Picture, centre: At) {
    picture.solid(Ink::Black, Area::new(centre.x, centre.y, centre.x, centre.y).grown(0.5).corners());
}

/// A double-headed arrow along the grain, in a box that was found clear.
pub(super) fn grain(picture: &mut Picture, area: Area) {
    let (a, b) = if area.width() > area.height() {
        let middle = (area.y0 + area.y1) / 2.0;
        (at(area.x0, middle), at(area.x1, middle))
    } else {
        let middle = (area.x0 + area.x1) / 2.0;
        (at(middle, area.y0), at(middle, area.y1))
    };
    picture.line(Line::Thin, &[a, b]);
    picture.arrowhead(a, b);
    picture.arrowhead(b, a);
}

/// The datum corner: a filled wedge in the corner of the blank nearest to lead end and fence edge.
pub(crate) fn datum(picture: &mut Picture, corner: At) {
    picture.solid(Ink::Black, vec![corner, at(corner.x + 4.0, corner.y), at(corner.x, corner.y + 4.0)]);
}

/// The row of words along the top of a plan: which end leads, which way it is fed, which face is seen.
/// Stands on the line `y` and is at least as long as the view.
pub(super) fn feed_row(picture: &mut Picture, y: f64, length: f64) {
    let lead = Text::new(at(0.0, y), LARGE, "LEAD END").bold();
    let feed = Text::new(at(lead.width() + 24.0, y), SMALL, "FEED");
    let trail_width = font::width("TRAIL END", SMALL, Weight::Regular);
    // The face mark: the triangle of the parts, which points to the fence.
    let top = Text::new(at(feed.at.x + feed.width() + 13.0, y), SMALL, "TOP").bold();
    let mark = at(top.at.x - 4.0, y);
    let trail = (length - trail_width).max(top.at.x + top.width() + 6.0);
    let (tip, tail) = (at(lead.width() + 5.0, y + SMALL / 2.0), at(lead.width() + 22.0, y + SMALL / 2.0));
    picture.line(Line::Edge, &[tail, at(tip.x + 4.0, tip.y)]);
    picture.solid(Ink::Black, vec![tip, at(tip.x + 6.0, tip.y - 1.8), at(tip.x + 6.0, tip.y + 1.8)]);
    picture.text(lead);
    picture.text(feed);
    picture.solid(Ink::Black, vec![mark, at(mark.x + 1.7, mark.y + 3.4), at(mark.x - 1.7, mark.y + 3.4)]);
    picture.text(top);
    picture.text(Text::new(at(trail, y), SMALL, "TRAIL END"));
}

/// One end of a cutting plane: a wide stub outside the outline, an arrow in the direction of view, a letter.
pub(super) fn plane_end(picture: &mut Picture, from: At, out: At, view: At, name: &str) {
    let near = at(from.x + out.x * 1.5, from.y + out.y * 1.5);
    let far = at(from.x + out.x * 8.0, from.y + out.y * 8.0);
    picture.line(Line::Plane, &[near, far]);
    let root = at(far.x - out.x * 0.35, far.y - out.y * 0.35);
    let tip = at(root.x + view.x * 4.5, root.y + view.y * 4.5);
    picture.line(Line::Thin, &[root, tip]);
    picture.arrowhead(root, tip);
    // Beside the stub on the side of view, on the other side, ahead of the arrow, or out beyond it.
    let middle = at(from.x + out.x * 4.2, from.y + out.y * 4.2);
    let mut places = if out.x == 0.0 {
        let base = middle.y - SMALL / 2.0;
        vec![at(middle.x + view.x * 2.6, base), at(middle.x - view.x * 2.6, base)]
    } else {
        vec![at(middle.x, middle.y + 1.2), at(middle.x, middle.y - 1.2 - SMALL)]
    };
    places.push(at(tip.x + view.x * 2.6, tip.y + view.y * 2.6 - SMALL / 2.0));
    places.push(at(root.x - view.x * 2.6, root.y - view.y * 2.6 - SMALL / 2.0));
    let further = (0..12).map(|step| 3.0 + f64::from(step));
    places.extend(further.map(|more| at(far.x + out.x * more, far.y + out.y * more - SMALL / 2.0)));
    let texts: Vec<Text> =
        places.into_iter().map(|place| Text::new(place, SMALL, name).bold().align(Align::Middle)).collect();
    match texts.into_iter().find(|text| picture.is_clear(&text.area().grown(-0.4))) {
        Some(text) => picture.text(text),
        // No room between the figures: at the end of a leader.
        None => {
            flag(picture, far, name);
        }
    }
}

/// The first clear place for a box of this size on a grid within a region, by the order of preference
/// middle first, then outwards.
pub(super) fn clear_place(picture: &Picture, region: Area, width: f64, height: f64) -> Option<Area> {
    let (room_x, room_y) = (region.width() - width, region.height() - height);
    if room_x < 0.0 || room_y < 0.0 {
        return None;
    }
    const STEPS: [f64; 9] = [0.5, 0.375, 0.625, 0.25, 0.75, 0.125, 0.875, 0.04, 0.96];
    STEPS
        .iter()
        .flat_map(|v| STEPS.iter().map(move |h| (*h, *v)))
        .map(|(h, v)| {
            let (x, y) = (region.x0 + h * room_x, region.y0 + v * room_y);
            Area::new(x, y, x + width, y + height)
        })
        .find(|area| picture.is_clear(area))
}

/// Writes a word on cleared ground in the first free place of a region; tells whether it found one.
pub(crate) fn word(picture: &mut Picture, region: Area, word: &str, weight: Weight) -> bool {
    let size = font::size(SMALL);
    let width = font::width(word, SMALL, weight) + 2.0;
    let height = (font::ASCENT + font::DESCENT) * size + 1.2;
    let Some(area) = clear_place(picture, region, width, height) else { return false };
    let text = Text::new(at(area.x0 + 1.0, area.y0 + 0.6 + font::DESCENT * size), SMALL, word);
    picture.label(Text { weight, ..text });
    true
}

/// The same for a word written upwards.
pub(crate) fn word_upwards(picture: &mut Picture, region: Area, word: &str, weight: Weight) -> bool {
    let size = font::size(SMALL);
    let height = font::width(word, SMALL, weight) + 2.0;
    let width = (font::ASCENT + font::DESCENT) * size + 1.2;
    let Some(area) = clear_place(picture, region, width, height) else { return false };
    let text = Text::new(at(area.x0 + 0.6 + font::ASCENT * size, area.y0 + 1.0), SMALL, word).upwards();
    picture.label(Text { weight, ..text });
    true
}

/// Writes a word on cleared ground near a place and joins it to the place by a leader, in the nearest free
/// place all round. Tells whether it found one.
pub(super) fn flag(picture: &mut Picture, from: At, word: &str) -> bool {
    let size = font::size(SMALL);
    let (width, height) = (font::width(word, SMALL, Weight::Bold) + 2.0, (font::ASCENT + font::DESCENT) * size + 1.2);
    let ways = (4..16).flat_map(|far| (0..16).map(move |turn| (2.0 * f64::from(far), f64::from(turn) / 16.0)));
    let places = ways.map(|(far, turn)| {
        let turn = turn * std::f64::consts::TAU;
        at(from.x + far * libm::cos(turn), from.y + far * libm::sin(turn))
    });
    let found = places
        .map(|middle| Area::new(middle.x, middle.y, middle.x, middle.y))
        .map(|middle| {
            Area::new(
                middle.x0 - width / 2.0,
                middle.y0 - height / 2.0,
                middle.x1 + width / 2.0,
                middle.y1 + height / 2.0,
            )
        })
        .find_map(|area| {
            let end = at(from.x.clamp(area.x0, area.x1), from.y.clamp(area.y0, area.y1));
            (picture.is_clear(&area) && passes(picture, from, end)).then_some((area, end))
        });
    let Some((area, end)) = found else { return false };
    picture.line(Line::Thin, &[from, end]);
    dot(picture, from);
    picture.label(Text::new(at(area.x0 + 1.0, area.y0 + 0.6 + font::DESCENT * size), SMALL, word).bold());
    true
}

/// A diameter or a radius: the figure at the end of a leader whose arrow points at the circle, outside it or
/// inside, where it stands clear. Tells whether it found a place.
pub(super) fn round(picture: &mut Picture, centre: At, radius: f64, figure: &str, arc: (f64, f64)) -> bool {
    let text = |place: At| Text::new(place, SMALL, figure).stacked();
    let own = text(at(0.0, 0.0));
    let (width, area) = (own.width(), own.area());
    let (start, sweep) = arc;
    let ways = [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9].map(|share| start + share * sweep);
    let reaches = [6.0, 9.0, 13.0, 18.0, 24.0, 32.0, -6.0, -9.0, -13.0];
    for (reach, turn) in reaches.into_iter().flat_map(|reach| ways.into_iter().map(move |turn| (reach, turn))) {
        if -reach > radius {
            continue;
        }
        let way = at(libm::cos(turn), libm::sin(turn));
        let on = |far: f64| at(centre.x + far * way.x, centre.y + far * way.y);
        let (tip, end) = (on(radius), on(radius + reach));
        // The figure goes on the way the leader goes.
        let right = way.x * reach >= 0.0;
        let left = if right { end.x + 1.0 } else { end.x - 1.0 - width };
        let text = text(at(left, end.y - SMALL / 2.0));
        let taken = Area::new(left, end.y - SMALL / 2.0 + area.y0, left + width, end.y - SMALL / 2.0 + area.y1);
        if picture.is_clear(&taken.grown(0.3)) && passes(picture, tip, end) {
            picture.line(Line::Thin, &[end, tip]);
            picture.arrowhead(end, tip);
            picture.label(text);
            return true;
        }
    }
    false
}

/// An angle from the level, counter-clockwise where it is positive: an arc round its corner, with the
/// figure at its end. Tells whether there was room for the figure.
pub(super) fn angle(picture: &mut Picture, corner: At, degrees: f64, figure: &str) -> bool {
    let turn = degrees.to_radians();
    let on = |radius: f64, turn: f64| at(corner.x + radius * libm::cos(turn), corner.y + radius * libm::sin(turn));
    // Outside the arc in the middle of the angle, farther out where that is taken.
    let text = |place: At| Text::new(at(place.x, place.y - SMALL / 2.0), SMALL, figure).align(Align::Middle);
    let places = [16.0, 22.0, 28.0, 36.0].into_iter().flat_map(|radius| {
        [0.5, 0.3, 0.7, -0.25, 1.25]
            .map(|share| (radius, on(radius + 1.5 + 0.5 * font::width(figure, SMALL, Weight::Regular), share * turn)))
    });
    let Some((radius, text)) =
        places.map(|(radius, place)| (radius, text(place))).find(|(_, text)| picture.is_clear(&text.area().grown(0.3)))
    else {
        return false;
    };
    picture.line(Line::Thin, &[corner, on(radius + 3.0, 0.0)]);
    let points: Vec<At> = (0..=24).map(|step| on(radius, turn * f64::from(step) / 24.0)).collect();
    picture.line(Line::Thin, &points);
    picture.arrowhead(on(radius, turn * 0.8), on(radius, turn));
    picture.arrowhead(on(radius, turn * 0.2), on(radius, 0.0));
    picture.label(text);
    true
}

/// The way a blank was turned over to lie on its carved face: a bowed arrow across the feed (the same
/// end leads) or along it (end for end), with its word.
pub(super) fn flip(picture: &mut Picture, region: Area, about_feed: bool) {
    let (long, bow) = (14.0, 3.5);
    let (width, height) = if about_feed { (bow + 2.0, long) } else { (long, bow + 2.0) };
    let Some(area) = clear_place(picture, region, width, height) else { return };
    let along = |t: f64| {
        let (run, rise) = (t * long, 4.0 * bow * t * (1.0 - t));
        if about_feed { at(area.x0 + 1.0 + rise, area.y0 + run) } else { at(area.x0 + run, area.y0 + 1.0 + rise) }
    };
    let points: Vec<At> = (0..=16).map(|step| along(f64::from(step) / 16.0)).collect();
    picture.line(Line::Edge, &points);
    picture.arrowhead(along(0.8), along(1.0));
    word(picture, region, if about_feed { "rolled over sideways" } else { "turned end for end" }, Weight::Regular);
}
