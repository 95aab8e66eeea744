//! A board of changing section that lies on supports which carry it but do not hold it down.
//!
//! Heights are positive upwards; the supports are level. Deflections are found by integrating `M / EI`
//! twice, exactly, for a section that is constant in stretches (USDA Wood Handbook, ch. 9, equation 9-2
//! without the shear term; Roark's Formulas for Stress and Strain, table 8.1, for single spans).

/// A stretch of constant section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Where it begins, mm from the beam's own beginning.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Bending stiffness, N mm2.
    pub stiffness: f64,
    /// Weight, N per mm.
    pub weight: f64,
}

/// A force on a beam, N, positive downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Force {
    /// Where, mm.
    pub at: f64,
    /// How much.
    pub down: f64,
}

/// How a beam lies under its load.
#[derive(Debug, Clone, PartialEq)]
pub struct Lie {
    /// Height of the beam's beginning, and its slope there.
    start: (f64, f64),
    /// The supports that carry, and what each carries, N.
    pub carried: Vec<(f64, f64)>,
}

/// The most supports that are looked at together.
const MOST_SUPPORTS: usize = 10;
/// Reactions and heights smaller than this count as none, N and mm.
const SLIP: f64 = 1e-7;

/// A beam: stretches from its beginning to its end, none missing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beam {
    /// In order.
    pub stretches: Vec<Stretch>,
}

impl Beam {
    /// Its length, mm.
    pub fn length(&self) -> f64 {
        self.stretches.last().map_or(0.0, |last| last.to)
    }

    /// Its own weight, N, and that weight's moment about the beginning, N mm.
    fn weight(&self) -> (f64, f64) {
        self.stretches.iter().fold((0.0, 0.0), |(weight, moment), stretch| {
            let own = stretch.weight * (stretch.to - stretch.from);
            (weight + own, moment + own * (stretch.from + stretch.to) / 2.0)
        })
    }

    /// How the beam lies on level supports under forces; `None` where it tips off them, or where there
    /// are none or more than ten under it.
    ///
    /// A support carries or is clear: every set of carrying supports is tried until one is found of which
    /// all push up and over the rest of which the beam stands clear. There is at most one.
    pub fn lie(&self, supports: &[f64], forces: &[Force]) -> Option<Lie> {
        let under: Vec<f64> = supports.iter().copied().filter(|at| (0.0..=self.length()).contains(at)).collect();
        if under.len() > MOST_SUPPORTS {
            return None;
        }
        // With all of them first: that is how a board usually lies.
        (1..1_usize << under.len()).rev().find_map(|set| {
            let carries = |place: usize| set >> place & 1 == 1;
            let chosen: Vec<f64> =
                under.iter().enumerate().filter(|(place, _)| carries(*place)).map(|(_, at)| *at).collect();
            let lie = self.on(&chosen, forces)?;
            let pushes = lie.carried.iter().all(|(_, up)| *up >= -SLIP);
            let clear = || under.iter().all(|at| self.height(&lie, *at, forces) >= -SLIP);
            (pushes && clear()).then_some(lie)
        })
    }

    /// The lie on exactly these supports, each taken to hold up and down.
    fn on(&self, supports: &[f64], forces: &[Force]) -> Option<Lie> {
        if supports.len() < 2 {
            return None;
        }
        // Unknowns: reactions, then height and slope of the beginning.
        let count = supports.len();
        let mut rows: Vec<Vec<f64>> = Vec::with_capacity(count + 2);
        for at in supports {
            let mut row: Vec<f64> = supports.iter().map(|from| self.bent_by(*from, *at)).collect();
            row.extend([1.0, *at, -self.bent_by_load(*at, forces)]);
            rows.push(row);
        }
        let (weight, moment) = self.weight();
        let (down, turning) = forces
            .iter()
            .fold((weight, moment), |(down, turning), force| (down + force.down, turning + force.down * force.at));
        let mut sums = vec![1.0; count];
        sums.extend([0.0, 0.0, down]);
        let mut moments = supports.to_vec();
        moments.extend([0.0, 0.0, turning]);
        rows.extend([sums, moments]);
        let found = solved(rows)?;
        let start = (*found.get(count)?, *found.get(count + 1)?);
        Some(Lie { start, carried: supports.iter().copied().zip(found).collect() })
    }

    /// Height of the beam at a place, mm above the supports.
    pub fn height(&self, lie: &Lie, at: f64, forces: &[Force]) -> f64 {
        let reactions: f64 = lie.carried.iter().map(|(from, up)| up * self.bent_by(*from, at)).sum();
        lie.start.0 + lie.start.1 * at + reactions + self.bent_by_load(at, forces)
    }

    /// Rise at `at` from the curvature that a force of 1 N upwards at `from` makes to the right of it:
    /// `integral of (at - x) (x - from) / EI`.
    fn bent_by(&self, from: f64, at: f64) -> f64 {
        let reach = at - from;
        // Of the integral of (reach - u) u.
        let whole = |u: f64| reach * u * u / 2.0 - u * u * u / 3.0;
        self.summed(from, at, |stretch, low, high| (whole(high) - whole(low)) / stretch.stiffness)
    }

    /// The same of all forces and the beam's own weight, which push down.
    fn bent_by_load(&self, at: f64, forces: &[Force]) -> f64 {
        let forces: f64 = forces.iter().map(|force| -force.down * self.bent_by(force.at, at)).sum();
        // A weight that begins somewhere and goes on for ever, less one that begins where it ends.
        let from = |start: f64| {
            let reach = at - start;
            let whole = |u: f64| reach * u * u * u / 6.0 - u * u * u * u / 8.0;
            self.summed(start, at, |stretch, low, high| (whole(high) - whole(low)) / stretch.stiffness)
        };
        let weight: f64 = self
            .stretches
            .iter()
            .filter(|stretch| stretch.weight > 0.0 && stretch.from < at)
            .map(|stretch| -stretch.weight * (from(stretch.from) - from(stretch.to)))
            .sum();
        forces + weight
    }

    /// Sum over the stretches between two places of what `part` makes of each, by distances from `from`.
    fn summed(&self, from: f64, to: f64, part: impl Fn(&Stretch, f64, f64) -> f64) -> f64 {
        let within = self.stretches.iter().map(|stretch| (stretch, stretch.from.max(from), stretch.to.min(to)));
        within
            .filter(|(_, low, high)| low < high)
            .map(|(stretch, low, high)| part(stretch, low - from, high - from))
            .sum()
    }

    /// How many times over the forces and the weight between two supports keep the beam down that the
    /// weight and the forces beyond either of them would tip: moments about that support. Infinite where
    /// nothing hangs over.
    pub fn hold_down(&self, first: f64, last: f64, forces: &[Force]) -> f64 {
        // Moments about a support: of what lies beyond it, and of all that lies on its other side.
        let about = |edge: f64, beyond: f64| {
            let mut sums = (0.0, 0.0);
            let mut add = |arm: f64, down: f64| {
                let beyond = arm * beyond;
                if beyond > 0.0 { sums.0 += beyond * down } else { sums.1 -= beyond * down }
            };
            for stretch in &self.stretches {
                for (low, high) in [(stretch.from, stretch.to.min(edge)), (stretch.from.max(edge), stretch.to)] {
                    if low < high {
                        add((low + high) / 2.0 - edge, stretch.weight * (high - low));
                    }
                }
            }
            for force in forces {
                add(force.at - edge, force.down);
            }
            if sums.0 > 0.0 { sums.1 / sums.0 } else { f64::INFINITY }
        };
        about(first, -1.0).min(about(last, 1.0))
    }
}

/// Solves linear equations, each row its factors and then what they add up to.
fn solved(mut rows: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let count = rows.len();
    for row in &mut rows {
        let largest = row.iter().take(count).fold(0.0_f64, |most, value| most.max(value.abs()));
        if largest <= 0.0 {
            return None;
        }
        row.iter_mut().for_each(|value| *value /= largest);
    }
    for column in 0..count {
        let pivot = (column..count).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        rows.swap(column, pivot);
        if rows[column][column].abs() < 1e-14 {
            return None;
        }
        let (done, rest) = rows.split_at_mut(column + 1);
        let top = &done[column];
        for row in rest {
            let share = row[column] / top[column];
            for (value, above) in row.iter_mut().zip(top).skip(column) {
                *value -= share * above;
            }
        }
    }
    let mut found = vec![0.0; count];
    for place in (0..count).rev() {
        let row = &rows[place];
        let known: f64 = row.iter().zip(&found).take(count).skip(place + 1).map(|(factor, value)| factor * value).sum();
        found[place] = (row[count] - known) / row[place];
    }
    found.iter().all(|value| value.is_finite()).then_some(found)
}
