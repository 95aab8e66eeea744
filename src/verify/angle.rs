//! A rectangle set at an angle: whether it lies as the job says.

use super::*;
use crate::geometry::path::to_mm;
use Relation::AtMost;

/// Roundings of turned corners.
const SLIP: Length = Length::micrometres(2);

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let Some(angle) = &case.request.blank.angle else { return };
    let (long, wide) = (angle.length.to_mm(), angle.width.to_mm());
    let turn = angle.degrees.to_radians();
    let (sin, cos) = (libm::sin(turn).abs(), libm::cos(turn).abs());
    // The box of a turned rectangle: each side throws its own shadow.
    let off = (case.blank.length().to_mm() - (long * cos + wide * sin))
        .abs()
        .max((case.blank.width().to_mm() - (long * sin + wide * cos)).abs());
    numbers(checks, Rule::SetAtAngle, "box round the blank", off, AtMost, SLIP.to_mm(), "mm");
    let ring = match &case.design.blank.outline {
        Outline::Path(path) => path.flattened(1.0),
        Outline::Polygon(points) => points.iter().map(|point| to_mm(*point)).collect(),
        other => other.bounds().corners().map(to_mm).to_vec(),
    };
    // Its long edges lie at the angle: of every edge the length along and across that direction.
    let (right, up) = (libm::cos(turn), libm::sin(turn));
    let skew = ring
        .iter()
        .zip(ring.iter().cycle().skip(1))
        .map(|(from, to)| (to.0 - from.0, to.1 - from.1))
        .map(|(x, y)| ((x * right + y * up).abs(), (y * right - x * up).abs()))
        .map(|(along, across)| {
            let whole = |a: f64, b: f64, size: f64| (a - size).abs().max(b);
            whole(along, across, long).min(whole(across, along, wide))
        })
        .fold(0.0, f64::max);
    numbers(checks, Rule::SetAtAngle, "edges off their length or direction", skew, AtMost, SLIP.to_mm() * 2.0, "mm");
}
