//! A round of radius `R` on a V or on two square edges (plane geometry, no source needed).
//!
//! Everything in millimetres and radians. In a V of half-angle `a` the centre lies `R / sin a` above
//! the apex, and the round touches each face `R cos a` beside the middle, `R cos^2 a / sin a` above the
//! apex. Between two edges a gap `G` apart it sinks `R - sqrt(R^2 - (G/2)^2)` below them.

/// Height of the centre above the apex of a V.
pub fn vee_centre(radius: f64, half_angle: f64) -> f64 {
    radius / libm::sin(half_angle)
}

/// Height above the apex at which the round touches the faces of a V.
pub fn vee_contact_height(radius: f64, half_angle: f64) -> f64 {
    let cosine = libm::cos(half_angle);
    radius * cosine * cosine / libm::sin(half_angle)
}

/// Distance beside the middle at which the round touches the faces of a V.
pub fn vee_contact_aside(radius: f64, half_angle: f64) -> f64 {
    radius * libm::cos(half_angle)
}

/// How far the lowest point of a round lies below the two edges it rests on; the same as how far its
/// surface lies below the crown half a gap beside the middle. A gap wider than the round counts as
/// its width.
pub fn sink(radius: f64, gap: f64) -> f64 {
    let half = (gap / 2.0).clamp(-radius, radius);
    // The same as `R - sqrt(...)`, without the loss of digits when little is left.
    let root = (radius * radius - half * half).max(0.0).sqrt();
    if radius > 0.0 { half * half / (radius + root) } else { 0.0 }
}
