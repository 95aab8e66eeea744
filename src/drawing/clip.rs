//! What of a line lies within a box.

use super::{Area, At, at, segments};

/// The runs of a line through points that lie within a box, border included. A closed line that lies
/// within it as a whole is one run that ends where it starts.
pub fn clip(points: &[At], closed: bool, area: &Area) -> Vec<Vec<At>> {
    let mut runs: Vec<Vec<At>> = Vec::new();
    for (a, b) in segments(points, closed) {
        let Some((from, to)) = within(a, b, area) else { continue };
        match runs.last_mut() {
            Some(run) if run.last() == Some(&from) => run.push(to),
            _ => runs.push(vec![from, to]),
        }
    }
    // A closed line is cut where its list of points starts only if the border cuts it there.
    if closed && runs.len() > 1 && runs.last().and_then(|run| run.last()) == runs.first().and_then(|run| run.first()) {
        let rest = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            last.extend(rest.into_iter().skip(1));
        }
    }
    runs
}

/// The piece of a straight line within a box, by its parameters at the four borders (Liang and Barsky).
fn within(a: At, b: At, area: &Area) -> Option<(At, At)> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (start, change, low, high) in [(a.x, b.x - a.x, area.x0, area.x1), (a.y, b.y - a.y, area.y0, area.y1)] {
        if change == 0.0 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (one, other) = ((low - start) / change, (high - start) / change);
        from = from.max(one.min(other));
        to = to.min(one.max(other));
    }
    let place = |share: f64| match share {
        0.0 => a,
        1.0 => b,
        share => at(a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)),
    };
    (from < to).then(|| (place(from), place(to)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOX: Area = Area::new(0.0, 0.0, 10.0, 10.0);

    #[test]
    fn a_line_that_leaves_and_comes_back_is_two_runs() {
        // Out through the right side at (10, 5), back at (10, 8).
        let line = [at(5.0, 5.0), at(15.0, 5.0), at(15.0, 8.0), at(5.0, 8.0)];
        assert_eq!(clip(&line, false, &BOX), [vec![at(5.0, 5.0), at(10.0, 5.0)], vec![at(10.0, 8.0), at(5.0, 8.0)]]);
    }

    #[test]
    fn a_closed_line_stays_one_run_whether_cut_or_not() {
        let inside = [at(1.0, 1.0), at(9.0, 1.0), at(9.0, 9.0)];
        assert_eq!(clip(&inside, true, &BOX), [vec![at(1.0, 1.0), at(9.0, 1.0), at(9.0, 9.0), at(1.0, 1.0)]]);
        // A square that reaches 5 mm beyond the right side: one run round the left of it.
        let square = [at(5.0, 2.0), at(15.0, 2.0), at(15.0, 8.0), at(5.0, 8.0)];
        assert_eq!(clip(&square, true, &BOX), [vec![at(10.0, 8.0), at(5.0, 8.0), at(5.0, 2.0), at(10.0, 2.0)]]);
    }

    #[test]
    fn what_lies_outside_or_only_touches_a_corner_is_gone() {
        assert!(clip(&[at(-5.0, -1.0), at(15.0, -1.0)], false, &BOX).is_empty());
        assert!(clip(&[at(-1.0, 1.0), at(1.0, -1.0)], false, &Area::new(0.0, 0.0, 10.0, 10.0)).is_empty());
        // Along the border counts: half of a line of another page must not be lost.
        assert_eq!(clip(&[at(-5.0, 0.0), at(5.0, 0.0)], false, &BOX), [vec![at(0.0, 0.0), at(5.0, 0.0)]]);
    }
}
