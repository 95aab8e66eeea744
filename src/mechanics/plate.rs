//! How far a floor gives under the cutter: a thin plate with a load in its middle.

/// Poisson's ratio taken for wood and panels (generic figure for panels; from memory).
const POISSON: f64 = 0.3;

/// Long side over short side, and the factor of the sag for it: a rectangular plate simply supported on all
/// four sides, loaded in the middle (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed.,
/// table 23; from memory, and as its own series gives them).
const FACTORS: [(f64, f64); 9] = [
    (1.0, 0.01160),
    (1.2, 0.01353),
    (1.4, 0.01484),
    (1.6, 0.01570),
    (1.8, 0.01620),
    (2.0, 0.01651),
    (3.0, 0.01690),
    (5.0, 0.01695),
    (f64::INFINITY, 0.01695),
];

/// Stiffness of a plate, `E t^3 / (12 (1 - nu^2))`, N mm; `elasticity` in N/mm2, `thickness` in mm.
pub fn rigidity(elasticity: f64, thickness: f64) -> f64 {
    elasticity * thickness * thickness * thickness / (12.0 * (1.0 - POISSON * POISSON))
}

/// The factor for a plate of these sides, between the rows of the table in a straight line.
fn factor(one: f64, other: f64) -> f64 {
    let (short, long) = (one.min(other), one.max(other));
    let ratio = if short > 0.0 { (long / short).max(1.0) } else { f64::INFINITY };
    let rows = FACTORS.iter().zip(FACTORS.iter().skip(1));
    let found = rows.into_iter().find(|(low, high)| (low.0..high.0).contains(&ratio));
    found.map_or(FACTORS[FACTORS.len() - 1].1, |(low, high)| {
        if high.0.is_finite() { low.1 + (high.1 - low.1) * (ratio - low.0) / (high.0 - low.0) } else { high.1 }
    })
}

/// Sag in the middle of a rectangular plate, simply supported on all four sides, under a force there:
/// `alpha F b^2 / D`, `b` the shorter side, mm. `rigidity` in N mm is the sum over layers that lie loose on
/// one another. Nothing sags over no span; a plate without stiffness falls through.
pub fn sag(force: f64, sides: (f64, f64), rigidity: f64) -> f64 {
    let short = sides.0.min(sides.1);
    if short <= 0.0 || force <= 0.0 {
        return 0.0;
    }
    if rigidity <= 0.0 {
        return f64::INFINITY;
    }
    factor(sides.0, sides.1) * force * short * short / rigidity
}

/// The least thickness of the lowest layer, mm, that keeps the sag of [`sag`] to `most` where the layers
/// lying on it have a rigidity of `others`; zero where those alone do. `None` where `most` or the elasticity
/// is not positive.
pub fn least_thickness(force: f64, sides: (f64, f64), elasticity: f64, others: f64, most: f64) -> Option<f64> {
    if most <= 0.0 || elasticity <= 0.0 {
        return None;
    }
    let wanted = sag(force, sides, 1.0) / most - others;
    Some(libm::cbrt(wanted.max(0.0) * 12.0 * (1.0 - POISSON * POISSON) / elasticity))
}
