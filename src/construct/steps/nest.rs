//! Laying out a nest on its board, in words.

use super::{Setting, Steps};
use crate::design::{Design, VoidKind, turn_words};
use crate::geometry::path::{Path, to_mm};
use crate::length::{Length, Unit};

/// How a nest gets onto the board: its edges at stations, from the two datums.
pub(super) fn nest_laid_out(setting: &Setting<'_>, design: &Design, path: &Path, steps: &mut Steps) {
    let bounds = path.bounds();
    let ruler = &setting.request.shop.ruler;
    let mixed = design.gang.as_ref().is_some_and(|gang| gang.is_mixed());
    steps.careful(
        format!(
            "Lay {} on the full-size template, top up: the nest must be its shape, not its mirror image. Then glue the template to the board, fence edge to fence edge, lead end to lead end.",
            if mixed { "a blank of every outline" } else { "the blank" }
        ),
        "A nest from a tracing made underneath is a mirror image: nothing mends it.",
    );
    if design.turn != 0.0 {
        steps.say(format!(
            "The blank is loaded {}, seen from above, from how it was drawn; turn the artwork with it.",
            turn_words(design.turn)
        ));
    }
    steps.say(format!(
        "Mark the fence edge and the lead end on the board. {} begins {} from the lead end and {} from the fence edge, and is {} long and {} wide.",
        if design.gang.is_some() { "Nest 1" } else { "The nest" },
        setting.say(bounds.x0),
        setting.say(bounds.y0),
        setting.say(bounds.length().up(setting.step())),
        setting.say(bounds.width().up(setting.step()))
    ));
    if let Some(gang) = &design.gang {
        let lies = if gang.is_free() && gang.turns_any() {
            ", some turned half round as the pocket table says"
        } else if gang.pair.is_some() {
            ", every second one of a row turned half round"
        } else {
            " and the same way round"
        };
        steps.careful(
            format!(
                "The template shows every nest, {}{lies}. Check the near corner of the box round each by the pocket table, each from the same two edges, never from its neighbour. Number them. What follows is said of nest 1.",
                if gang.is_mixed() { "each with its outline's name" } else { "all alike" },
            ),
            "A nest out of its place leaves too little wood to its neighbour.",
        );
    }
    // Stations an inch (25 mm) apart, or farther where there would be too many for one step.
    let usual = if setting.unit() == Unit::Inch { Length::INCH } else { Length::MM * 25 };
    let apart = (1..=48).map(|times| usual * times).find(|apart| bounds.length().ticks() / apart.ticks() <= 20);
    let ring = path.flattened(0.01);
    let mut rows: Vec<String> = Vec::new();
    let mut station = apart.map_or(bounds.x1, |apart| (bounds.x0 + Length::from_ticks(1)).up(apart));
    while let Some(apart) = apart.filter(|_| station < bounds.x1) {
        // Into the nest rounded down, out of it rounded up: the marks never make it tighter.
        let marks = crossings(&ring, station.to_mm()).into_iter().enumerate();
        let edges: Vec<String> = marks
            .map(|(index, y)| if index % 2 == 0 { y.down(setting.step()) } else { y.up(setting.step()) })
            .map(|y| ruler.number(y))
            .collect();
        rows.push(format!("{}: {}", ruler.number(station), edges.join(", ")));
        station += apart;
    }
    if let Some(corners) = straight_walled(path) {
        let say = |(x, y): &(f64, f64)| {
            let length = |mm: f64| ruler.number(Length::from_mm(mm).unwrap_or_default().nearest(setting.step()));
            format!("{} / {}", length(*x), length(*y))
        };
        steps.say(format!(
            "Corners of the nest to the nearest mark, from lead end / from fence edge ({}): {}; straight walls between them. They must agree with the template.",
            if setting.unit() == Unit::Inch { "in" } else { "mm" },
            corners.iter().map(say).collect::<Vec<_>>().join("; ")
        ));
    } else if !rows.is_empty() {
        steps.say(format!(
            "Edges of the nest from the fence edge, at stations from the lead end ({}): {}. They must agree with the template; where there is none, join them fair.",
            if setting.unit() == Unit::Inch { "in" } else { "mm" },
            rows.join("; ")
        ));
    }
    let cut: Vec<(f64, f64)> = design
        .parts
        .iter()
        .flat_map(|part| &part.places)
        .flat_map(|place| &place.voids)
        .filter(|void| matches!(void.kind, VoidKind::Relief | VoidKind::FingerGap))
        .map(|void| to_mm(void.outline.bounds().centre()))
        .collect();
    let contacts = contacts(&ring, &cut);
    let apart = |p: &(f64, f64), q: &(f64, f64)| libm::hypot(p.0 - q.0, p.1 - q.1) > 50.0;
    if let [a, b, c] = contacts.as_slice()
        // Three places close together would hold nothing: then all of the wall is left.
        && apart(a, b)
        && apart(b, c)
        && apart(a, c)
    {
        let say = |p: &(f64, f64)| {
            let length = |mm: f64| ruler.number(Length::from_mm(mm).unwrap_or_default().nearest(setting.step()));
            format!("{} / {}", length(p.0), length(p.1))
        };
        steps.say(format!(
            "Leave the wall full for an inch (25 mm) at three places, from lead end / from fence edge: {}, {} and {}; elsewhere it may be eased.",
            say(a),
            say(b),
            say(c)
        ));
    }
    super::gaps::say(setting, design, path, steps);
}

/// The corners of a nest whose walls are straight but for roundings smaller than lettering, where its
/// walls would meet; `None` of any other. A few corners are sooner laid out than stations.
fn straight_walled(path: &Path) -> Option<Vec<(f64, f64)>> {
    /// More are laid out by stations, mm and count.
    const ROUNDING: f64 = 3.0;
    const MOST: usize = 8;
    let edges: Vec<_> = path.edges().collect();
    if edges.iter().any(|edge| edge.arc.is_some_and(|arc| arc.radius > ROUNDING)) {
        return None;
    }
    let walls: Vec<_> = edges.iter().filter(|edge| edge.arc.is_none()).collect();
    if walls.len() < 3 || walls.len() > MOST {
        return None;
    }
    let meet = |((ax, ay), (bx, by)): ((f64, f64), (f64, f64)), ((cx, cy), (dx, dy)): ((f64, f64), (f64, f64))| {
        let ((ux, uy), (vx, vy)) = ((bx - ax, by - ay), (dx - cx, dy - cy));
        let cross = ux * vy - uy * vx;
        // Walls that hardly turn have no corner to lay out.
        (cross.abs() > 0.05 * libm::hypot(ux, uy) * libm::hypot(vx, vy)).then(|| {
            let t = ((cx - ax) * vy - (cy - ay) * vx) / cross;
            (ax + t * ux, ay + t * uy)
        })
    };
    let line = |index: usize| walls.get(index % walls.len()).map(|wall| (wall.from, wall.to));
    (0..walls.len()).map(|index| meet(line(index)?, line(index + 1)?)).collect()
}

/// Where a ring crosses the line at `x`, mm, from the fence edge on.
fn crossings(ring: &[(f64, f64)], x: f64) -> Vec<Length> {
    let mut ys: Vec<Length> = ring
        .iter()
        .zip(ring.iter().cycle().skip(1))
        .filter(|(a, b)| (a.0 <= x) != (b.0 <= x))
        .filter_map(|(a, b)| Length::from_mm(a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)))
        .collect();
    ys.sort_unstable();
    ys
}

/// Three places far out in directions a third of a turn apart, none of them where the wall is `cut`:
/// the blank touching there cannot shift.
fn contacts(ring: &[(f64, f64)], cut: &[(f64, f64)]) -> Vec<(f64, f64)> {
    const DIRECTIONS: [f64; 3] = [-150.0, -30.0, 90.0];
    let whole = |p: &(f64, f64)| cut.iter().all(|q| libm::hypot(p.0 - q.0, p.1 - q.1) > 30.0);
    let farthest = |degrees: f64| {
        let angle = degrees * std::f64::consts::PI / 180.0;
        let (x, y) = (libm::cos(angle), libm::sin(angle));
        ring.iter().copied().filter(whole).max_by(|a, b| (a.0 * x + a.1 * y).total_cmp(&(b.0 * x + b.1 * y)))
    };
    DIRECTIONS.into_iter().filter_map(farthest).collect()
}
