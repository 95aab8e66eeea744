//! Ordinate dimensions: every figure counts from the same datum, none is chained.

use crate::drawing::{Align, At, Line, Picture, Text, at, figure};

/// Room between outline and figures, mm, where extension lines run straight.
pub(super) const BAND: f64 = 9.0;
/// Room in which they step sideways where figures would stand too close.
const JOG: f64 = 5.0;
/// Distance of figures with stacked fractions, over their height.
const STACKED: f64 = 1.85;
/// Gap between a feature and its extension line (ASME Y14.5: visible, about 1.5 mm).
const GAP: f64 = 1.5;

/// One figure.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mark {
    /// Where on the axis, mm on paper.
    pub place: f64,
    /// Where the feature stands on the other axis, mm on paper.
    pub feature: f64,
    /// The figure.
    pub text: String,
}

/// Which side of the view the figures stand on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    /// Under it; the figures are read from the right.
    Below,
    /// To its left.
    Left,
    /// To its right.
    Right,
}

/// Draws extension lines from the features past `edge` (the outline on that side) and the figures,
/// spread so that none comes closer to the next than its own height.
pub(super) fn ordinates(picture: &mut Picture, side: Side, edge: f64, mut marks: Vec<Mark>, height: f64) {
    marks.sort_by(|a, b| a.place.total_cmp(&b.place));
    marks.dedup_by(|later, kept| {
        let same = later.place == kept.place && later.text == kept.text;
        if same {
            // The figure belongs to the feature nearest to it.
            kept.feature =
                if side == Side::Right { kept.feature.max(later.feature) } else { kept.feature.min(later.feature) };
        }
        same
    });
    // Stacked fractions are higher than a line of lettering.
    let stacked = marks.iter().any(|mark| figure::has_fraction(&mark.text));
    let pitch = height * if stacked { STACKED } else { 1.45 };
    let spread = spread(&marks.iter().map(|mark| mark.place).collect::<Vec<_>>(), pitch);
    let out = if side == Side::Right { 1.0 } else { -1.0 };
    let turn = |across: f64, along: f64| if side == Side::Below { at(along, across) } else { at(across, along) };
    for (mark, place) in marks.iter().zip(spread) {
        let start = mark.feature + out * GAP;
        let (straight, jogged) = (edge + out * BAND, edge + out * (BAND + JOG));
        let line: Vec<At> =
            [turn(start, mark.place), turn(straight, mark.place), turn(jogged, place), turn(jogged + out, place)]
                .to_vec();
        picture.line(Line::Thin, &line);
        let base = jogged + out * 2.0;
        let text = |place: At| Text::new(place, height, &mark.text).stacked();
        picture.text(match side {
            Side::Below => text(at(place + height / 2.0, base)).align(Align::End).upwards(),
            Side::Left => text(at(base, place - height / 2.0)).align(Align::End),
            Side::Right => text(at(base, place - height / 2.0)),
        });
    }
}

/// Places at least `pitch` apart, in the same order, moved as little as possible: places that crowd
/// are spread evenly about their mean.
pub(super) fn spread(places: &[f64], pitch: f64) -> Vec<f64> {
    // Each cluster is (members, mean of what its first member's place would be).
    let mut clusters: Vec<(usize, f64)> = Vec::new();
    for place in places {
        clusters.push((1, *place));
        while let [.., (before, first), (after, second)] = clusters[..] {
            if first + before as f64 * pitch <= second {
                break;
            }
            let members = before + after;
            let wanted_second = second - before as f64 * pitch;
            let merged = (first * before as f64 + wanted_second * after as f64) / members as f64;
            clusters.truncate(clusters.len() - 2);
            clusters.push((members, merged));
        }
    }
    clusters
        .iter()
        .flat_map(|(members, first)| (0..*members).map(move |member| first + member as f64 * pitch))
        .collect()
}

/// Widths and middles of the gaps between places along an axis, the widest first: for a word that must
/// not meet an extension line.
pub(super) fn gaps(places: &[f64]) -> Vec<(f64, f64)> {
    let mut sorted = places.to_vec();
    sorted.sort_by(f64::total_cmp);
    let mut gaps: Vec<(f64, f64)> =
        sorted.iter().zip(sorted.iter().skip(1)).map(|(a, b)| (b - a, (a + b) / 2.0)).collect();
    gaps.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    gaps
}

/// Part letters in circles beside a view, each with a leader from a dot in its part. `side` is where
/// they stand; `edge` the coordinate of their centres on the other axis.
pub(super) fn balloons(picture: &mut Picture, horizontal: bool, edge: f64, mut parts: Vec<(At, String)>) {
    let key = |p: At| if horizontal { p.x } else { p.y };
    parts.sort_by(|a, b| key(a.0).total_cmp(&key(b.0)));
    let spread = spread(&parts.iter().map(|part| key(part.0)).collect::<Vec<_>>(), 8.5);
    for ((dot, letter), place) in parts.into_iter().zip(spread) {
        let centre = if horizontal { at(place, edge) } else { at(edge, place) };
        super::marks::balloon(picture, dot, centre, &letter);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crowded_places_are_spread_about_their_mean_and_others_stay() {
        // 10, 11, 12 need 5 apart: 6, 11, 16 (mean 11 kept); 40 is far enough away.
        assert_eq!(spread(&[10.0, 11.0, 12.0, 40.0], 5.0), [6.0, 11.0, 16.0, 40.0]);
        // 0 and 8 are fine until the pair at 9, 9 pushes: all keep their distance.
        let places = spread(&[0.0, 8.0, 9.0, 9.0], 5.0);
        assert!(places.iter().zip(places.iter().skip(1)).all(|(a, b)| b - a >= 5.0 - 1e-9), "{places:?}");
    }

    #[test]
    fn gaps_come_with_the_widest_first() {
        let found = gaps(&[0.0, 30.0, 4.0, 100.0, 34.0]);
        assert_eq!(found, [(66.0, 67.0), (26.0, 17.0), (4.0, 2.0), (4.0, 32.0)]);
    }
}
