//! What keeps a blank down and in its place while the cutter pushes, pulls and turns it.
//!
//! The blank is stiff. A bond under it may carry its strength anywhere (the static theorem of limit analysis:
//! whatever spread of forces balances the load without overtaxing any contact shows that the load is carried).
//! Where several contacts share it, the greatest load that can be balanced is a linear programme.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};
use std::f64::consts::{FRAC_1_SQRT_2, TAU};

/// A place, mm.
pub type Mm = (f64, f64);

/// What the cutter does, N.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutter {
    /// Its push to the side, any way.
    pub side: f64,
    /// Its pull upwards.
    pub lift: f64,
    /// How far above the bond it pushes with nothing beside the blank to lean on, mm.
    pub arm: f64,
}

/// A piece of bond: where, and its area in mm2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Its middle.
    pub at: Mm,
    /// Its area.
    pub area: f64,
}

/// A bonded underside in pieces.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bond {
    /// The pieces.
    pub cells: Vec<Cell>,
    /// Corners of the blank, round which it would tip; its floor pushes up there.
    pub corners: Vec<Mm>,
}

/// Directions that stand for any push.
const WAYS: usize = 16;
/// Ways in which one piece of bond may push, in the plane: a polygon within the circle of its strength.
const PUSHES: [Mm; 8] = [
    (1.0, 0.0),
    (FRAC_1_SQRT_2, FRAC_1_SQRT_2),
    (0.0, 1.0),
    (-FRAC_1_SQRT_2, FRAC_1_SQRT_2),
    (-1.0, 0.0),
    (-FRAC_1_SQRT_2, -FRAC_1_SQRT_2),
    (0.0, -1.0),
    (FRAC_1_SQRT_2, -FRAC_1_SQRT_2),
];

fn ways() -> impl Iterator<Item = Mm> {
    (0..WAYS).map(|way| {
        let angle = TAU * way as f64 / WAYS as f64;
        (libm::cos(angle), libm::sin(angle))
    })
}

impl Bond {
    /// Its area, mm2.
    pub fn area(&self) -> f64 {
        self.cells.iter().map(|cell| cell.area).sum()
    }

    /// Its middle, about which it turns.
    pub fn middle(&self) -> Mm {
        let area = self.area().max(f64::MIN_POSITIVE);
        let sum = |of: fn(&Cell) -> f64| self.cells.iter().map(|cell| cell.area * of(cell)).sum::<f64>() / area;
        (sum(|cell| cell.at.0), sum(|cell| cell.at.1))
    }

    /// How many times over the bond carries a push through its middle: strength in N/mm2.
    pub fn slide(&self, strength: f64, cutter: Cutter) -> f64 {
        times(strength * self.area(), cutter.side)
    }

    /// How many times over it carries the turning alone of a push at the worst of `places`, square to its arm:
    /// every piece at its strength, square to its own arm.
    pub fn turn(&self, strength: f64, cutter: Cutter, places: &[Mm]) -> f64 {
        let (x, y) = self.middle();
        let arm = |at: &Mm| libm::hypot(at.0 - x, at.1 - y);
        let held: f64 = self.cells.iter().map(|cell| strength * cell.area * arm(&cell.at)).sum();
        times(held, cutter.side * places.iter().map(arm).fold(0.0, f64::max))
    }

    /// A number of times that it surely carries a push at the worst of `places`, sliding and turning at once:
    /// stresses shared as in a stiff group of fasteners, direct and turning added as if alike in direction
    /// (the elastic method for eccentric shear, as in any text on machine design).
    pub fn surely_stays(&self, strength: f64, cutter: Cutter, places: &[Mm]) -> f64 {
        let (x, y) = self.middle();
        let arm = |at: &Mm| libm::hypot(at.0 - x, at.1 - y);
        let polar: f64 = self.cells.iter().map(|cell| cell.area * arm(&cell.at) * arm(&cell.at)).sum();
        let far = self.corners.iter().map(arm).fold(0.0, f64::max);
        let off = places.iter().map(arm).fold(0.0, f64::max);
        let stress =
            cutter.side * (1.0 / self.area().max(f64::MIN_POSITIVE) + off * far / polar.max(f64::MIN_POSITIVE));
        times(strength, stress)
    }

    /// How many times over it carries a push at the worst of `places` in the worst direction; `None` where the
    /// programme fails.
    pub fn stays(&self, strength: f64, cutter: Cutter, places: &[Mm]) -> Option<f64> {
        let mut least = f64::INFINITY;
        for place in places {
            for way in ways() {
                least = least.min(self.balanced(strength, cutter.side, *place, way)?);
            }
        }
        Some(least)
    }

    /// How many times over it carries the pull at the worst of `places`, with the push to the side tipping the
    /// blank as well: exactly, for a bond and a floor alone. Of all ways to tip, which lift every corner or leave
    /// it where it is, the worst is about one of the outline's edges (they are the extreme rays of those ways).
    pub fn lifts(&self, strength: f64, cutter: Cutter, places: &[Mm]) -> f64 {
        let middle = self.middle();
        let held = strength * self.area();
        let edges = self.corners.iter().zip(self.corners.iter().cycle().skip(1));
        edges
            .filter_map(|(from, to)| {
                let (x, y) = (to.0 - from.0, to.1 - from.1);
                let long = libm::hypot(x, y);
                if long < 1e-6 {
                    return None;
                }
                let off = |at: Mm| ((at.1 - from.1) * x - (at.0 - from.0) * y) / long;
                let inward = if off(middle) < 0.0 { -1.0 } else { 1.0 };
                let rise = places.iter().map(|at| off(*at) * inward).fold(0.0, f64::max);
                Some(times(held * off(middle) * inward, cutter.lift * rise + cutter.side * cutter.arm))
            })
            .fold(MOST_TIMES, f64::min)
    }

    /// More than this it does not carry: the least, over points in the plane, of the work of every piece at its
    /// strength over that of the push where the bond turns about that point.
    pub fn gives_way(&self, strength: f64, cutter: Cutter, places: &[Mm]) -> f64 {
        let middle = self.middle();
        let far = self.corners.iter().map(|at| libm::hypot(at.0 - middle.0, at.1 - middle.1)).fold(0.0, f64::max);
        let about = |at: Mm| {
            let arm = |from: &Mm| libm::hypot(from.0 - at.0, from.1 - at.1);
            let held: f64 = self.cells.iter().map(|cell| strength * cell.area * arm(&cell.at)).sum();
            times(held, cutter.side * places.iter().map(arm).fold(0.0, f64::max))
        };
        let (mut least, mut best, mut wide) = (self.slide(strength, cutter), middle, 2.0 * far);
        for _ in 0..NARROWED {
            let from = best;
            for column in -CENTRES..=CENTRES {
                for row in -CENTRES..=CENTRES {
                    let off = |place: i32| wide * f64::from(place) / f64::from(CENTRES);
                    let at = (from.0 + off(column), from.1 + off(row));
                    let times = about(at);
                    if times < least {
                        (least, best) = (times, at);
                    }
                }
            }
            wide /= f64::from(CENTRES) / 2.0;
        }
        least
    }

    /// The greatest multiple of a push at one place that pushes of the pieces balance.
    fn balanced(&self, strength: f64, side: f64, at: Mm, way: Mm) -> Option<f64> {
        let mut program = Problem::new(OptimizationDirection::Maximize);
        let times = program.add_var(1.0, (0.0, MOST_TIMES));
        let load = side * (at.0 * way.1 - at.1 * way.0);
        let mut along = vec![(times, side * way.0)];
        let mut across = vec![(times, side * way.1)];
        let mut turning = vec![(times, load)];
        for cell in &self.cells {
            let pushes: Vec<Variable> = PUSHES.iter().map(|_| program.add_var(0.0, (0.0, f64::INFINITY))).collect();
            for (push, (x, y)) in pushes.iter().zip(PUSHES) {
                along.push((*push, x));
                across.push((*push, y));
                turning.push((*push, cell.at.0 * y - cell.at.1 * x));
            }
            program.add_constraint(
                pushes.iter().map(|push| (*push, 1.0)).collect::<Vec<_>>(),
                ComparisonOp::Le,
                strength * cell.area,
            );
        }
        for row in [along, across, turning] {
            program.add_constraint(row, ComparisonOp::Eq, 0.0);
        }
        Some(program.solve().ok()?.into_solution().ok()?.objective())
    }

    /// How many times over bond, grips and weight carry the pull at the worst of `places` with the push to the
    /// side tipping the blank the worst way; `None` where the programme fails.
    ///
    /// `held` are places that hold the blank down by at most so many N each: edges, rollers. The floor pushes
    /// up at the corners, so the blank cannot be pulled about a line inside it.
    pub fn down(&self, strength: f64, cutter: Cutter, places: &[Mm], held: &[(Mm, f64)]) -> Option<f64> {
        let mut least = f64::INFINITY;
        for place in places {
            for way in ways() {
                least = least.min(self.held_down(strength, cutter, *place, way, held)?);
            }
        }
        Some(least)
    }

    fn held_down(&self, strength: f64, cutter: Cutter, at: Mm, way: Mm, held: &[(Mm, f64)]) -> Option<f64> {
        let mut program = Problem::new(OptimizationDirection::Maximize);
        let times = program.add_var(1.0, (0.0, MOST_TIMES));
        // Upward forces and their moments about both axes.
        let mut up = vec![(times, cutter.lift)];
        let mut about_y = vec![(times, cutter.lift * at.0 + cutter.side * cutter.arm * way.0)];
        let mut about_x = vec![(times, cutter.lift * at.1 + cutter.side * cutter.arm * way.1)];
        let mut add = |variable: Variable, at: Mm, sign: f64| {
            up.push((variable, sign));
            about_y.push((variable, sign * at.0));
            about_x.push((variable, sign * at.1));
        };
        for corner in &self.corners {
            add(program.add_var(0.0, (0.0, f64::INFINITY)), *corner, 1.0);
        }
        let bond = strength * self.area();
        if bond > 0.0 {
            // Spread evenly at its strength: what that is too much, the floor gives back.
            add(program.add_var(0.0, (0.0, bond)), self.middle(), -1.0);
        }
        for (at, most) in held {
            add(program.add_var(0.0, (0.0, *most)), *at, -1.0);
        }
        for row in [up, about_y, about_x] {
            program.add_constraint(row, ComparisonOp::Eq, 0.0);
        }
        Some(program.solve().ok()?.into_solution().ok()?.objective())
    }
}

/// Points of turning looked at to each side, and how often the search is narrowed.
const CENTRES: i32 = 4;
const NARROWED: i32 = 4;
/// More than this many times over is as good as for ever.
const MOST_TIMES: f64 = 1e6;

fn times(carries: f64, load: f64) -> f64 {
    if load > 0.0 { (carries / load).min(MOST_TIMES) } else { MOST_TIMES }
}
