//! Whether contacts hold a flat body: first-order form closure, and force closure with friction.
//!
//! A contact can only push, along its inward normal. The body cannot move at all, however it is pushed,
//! when the contacts' wrenches (moment and force) span the plane's three degrees of freedom with
//! positive weights (Lynch and Park, Modern Robotics, 12.1.7). That is asked as a rank test and a
//! linear programme whose optimum is a margin after Trinkle, "A quantitative test for form closure
//! grasps" (IROS 1992): the least push of any contact when all of them press the body in balance, on
//! average with a push of 1. It depends neither on the origin nor on the unit of length. It says
//! nothing about stiffness, nor about bodies that only their curvature holds.

use microlp::{ComparisonOp, OptimizationDirection, Problem};

use super::path::Mm;

/// A margin below this is none: the solver's own tolerance is 1e-7.
const LEAST_MARGIN: f64 = 1e-5;
/// Wrenches whose greatest determinant of three is below this are dependent.
const DEPENDENT: f64 = 1e-9;

/// A point where something straight touches the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Where, mm.
    pub at: Mm,
    /// The direction in which it pushes: into the body, of length 1.
    pub push: Mm,
}

/// How contacts hold a body.
#[derive(Debug, Clone, PartialEq)]
pub struct Closure {
    /// The least push of any contact in the best balance of pushes, where their mean is 1: above 0, at
    /// most 1.
    pub margin: f64,
    /// The pushes in that balance, one for each contact.
    pub pushes: Vec<f64>,
}

/// The closure of contacts without friction; `None` where the body can move, if only by sliding.
pub fn form_closure(contacts: &[Contact]) -> Option<Closure> {
    // Reuleaux 1876: fewer than four contacts never hold a flat body without friction.
    if contacts.len() < 4 {
        return None;
    }
    balance(&wrenches(contacts))
}

/// The pushes of four contacts in balance, their mean 1: of four there is one balance at most, up to its
/// size, and each push is the determinant of the other three wrenches. `None` where they do not hold.
///
/// Contacts are given by their moments about one place and their pushes. The same as [`form_closure`],
/// in closed form, for searches over many.
pub fn four(wrenches: &[[f64; 3]; 4]) -> Option<[f64; 4]> {
    let [a, b, c, d] = wrenches;
    let pushes = [determinant(b, c, d), -determinant(a, c, d), determinant(a, b, d), -determinant(a, b, c)];
    let sum: f64 = pushes.iter().sum();
    let pushes = pushes.map(|push| 4.0 * push / sum);
    // Not a number where they are dependent, which is no more than any margin either.
    pushes.iter().all(|push| *push > LEAST_MARGIN).then_some(pushes)
}

/// The closure of contacts that also push sideways by up to `friction` times their push: each is put
/// as the two edges of its friction cone (Lynch and Park, Modern Robotics, 12.2.2).
pub fn force_closure(contacts: &[Contact], friction: f64) -> Option<Closure> {
    let edges: Vec<Contact> = contacts
        .iter()
        .flat_map(|contact| {
            let (x, y) = contact.push;
            let long = libm::hypot(1.0, friction);
            [friction, -friction]
                .map(|side| Contact { push: ((x - side * y) / long, (y + side * x) / long), ..*contact })
        })
        .collect();
    balance(&wrenches(&edges))
}

/// Moment and force of each contact, moments about the middle of the contacts and in units of their spread.
fn wrenches(contacts: &[Contact]) -> Vec<[f64; 3]> {
    let count = contacts.len().max(1) as f64;
    let middle =
        contacts.iter().fold((0.0, 0.0), |sum, contact| (sum.0 + contact.at.0 / count, sum.1 + contact.at.1 / count));
    let from_middle = |contact: &Contact| (contact.at.0 - middle.0, contact.at.1 - middle.1);
    let spread = contacts.iter().map(from_middle).map(|(x, y)| libm::hypot(x, y)).fold(f64::MIN_POSITIVE, f64::max);
    let wrench = |contact: &Contact| {
        let ((x, y), (fx, fy)) = (from_middle(contact), contact.push);
        [(x * fy - y * fx) / spread, fx, fy]
    };
    contacts.iter().map(wrench).collect()
}

/// The best balance of wrenches that span all three degrees of freedom.
fn balance(wrenches: &[[f64; 3]]) -> Option<Closure> {
    if !independent(wrenches) {
        return None;
    }
    let count = wrenches.len() as f64;
    // Each push is the margin and something over it.
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let margin = problem.add_var(1.0, (0.0, 1.0));
    let over: Vec<_> = wrenches.iter().map(|_| problem.add_var(0.0, (0.0, count))).collect();
    for row in 0..3 {
        let sum: f64 = wrenches.iter().map(|wrench| wrench[row]).sum();
        let each = over.iter().zip(wrenches).map(|(over, wrench)| (*over, wrench[row]));
        let terms: Vec<_> = std::iter::once((margin, sum)).chain(each).collect();
        problem.add_constraint(&terms, ComparisonOp::Eq, 0.0);
    }
    let all: Vec<_> = std::iter::once((margin, count)).chain(over.iter().map(|over| (*over, 1.0))).collect();
    problem.add_constraint(&all, ComparisonOp::Eq, count);
    let solution = problem.solve().ok()?.into_solution().ok()?;
    let found = solution.var_value(margin);
    let pushes = over.iter().map(|over| found + solution.var_value(*over)).collect();
    (found > LEAST_MARGIN).then_some(Closure { margin: found, pushes })
}

/// Whether three of the wrenches are independent. Without this, pushes that all meet in one point would
/// pass: they balance, and the body turns about that point.
fn independent(wrenches: &[[f64; 3]]) -> bool {
    wrenches.iter().enumerate().any(|(i, a)| {
        let later = wrenches.iter().enumerate().skip(i + 1);
        later.clone().any(|(j, b)| wrenches.iter().skip(j + 1).any(|c| determinant(a, b, c).abs() > DEPENDENT))
    })
}

/// How a body that rests on three contacts moves (along, across, turn in radians about the origin) when
/// one of them moves it by 1 mm along its push and the other two do not, for each in their order. `None`
/// where the three do not place it.
pub fn motions(standing: &[Contact; 3]) -> Option<[[f64; 3]; 3]> {
    // A row for each: push . (u, v) + moment * turn.
    let [a, b, c] = standing.map(|Contact { at, push }| [push.0, push.1, at.0 * push.1 - at.1 * push.0]);
    let whole = determinant(&a, &b, &c);
    let cross =
        |a: &[f64; 3], b: &[f64; 3]| [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let columns = [cross(&b, &c), cross(&c, &a), cross(&a, &b)].map(|column| column.map(|n| n / whole));
    columns.iter().flatten().all(|n| n.is_finite()).then_some(columns)
}

/// How far points of a body may move along and across when each of its three standing contacts is out by
/// `off` one way or the other; `None` where they do not place it.
pub fn strays(standing: &[Contact; 3], points: &[Mm], off: f64) -> Option<Mm> {
    let motions = motions(standing)?;
    Some(points.iter().fold((0.0, 0.0), |most, (x, y)| {
        let sums = motions
            .iter()
            .fold((0.0, 0.0), |sum, [u, v, turn]| (sum.0 + (u - turn * y).abs(), sum.1 + (v + turn * x).abs()));
        (f64::max(most.0, sums.0 * off), f64::max(most.1, sums.1 * off))
    }))
}

/// Volume that three vectors span.
pub fn determinant(a: &[f64; 3], b: &[f64; 3], c: &[f64; 3]) -> f64 {
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
}
