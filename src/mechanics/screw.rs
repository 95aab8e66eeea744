//! What a wood screw in the side grain carries.
//!
//! USDA Wood Handbook, ch. 8 (Fastenings), from memory: screws turned into lead holes of the right size.

/// Of the load at which a screw fails, or begins to give, no more than this is used: about a sixth, as the
/// Handbook advises for screws that are pulled. The load to the side is one at the proportional limit, for which
/// less would do; a short bite and a cutter that shakes are reason to keep it.
pub const USED: f64 = 1.0 / 6.0;
/// So many diameters of thread carry all that a screw can; a shorter bite carries less in proportion.
pub const FULL_BITE: f64 = 7.0;
/// The proportion holds down to so many diameters. A push on less is taken to carry less with its square: judgement.
pub const LEAST_BITE: f64 = 4.0;

/// Load at which a screw is pulled out, N: `108.25 G2 D L` for a specific gravity G (oven-dry weight, volume at
/// 12 % moisture), a shank of D mm and L mm of thread in the wood.
pub fn pulled_out(gravity: f64, diameter: f64, thread: f64) -> f64 {
    108.25 * gravity * gravity * diameter * thread.clamp(0.0, FULL_BITE * diameter)
}

/// Load to the side at the proportional limit, N: `K D2`, less in proportion where less than seven diameters of
/// thread are in the wood.
pub fn pushed_aside(gravity: f64, diameter: f64, thread: f64) -> f64 {
    let share = (thread / (FULL_BITE * diameter)).clamp(0.0, 1.0);
    let short = (thread / (LEAST_BITE * diameter)).clamp(0.0, 1.0);
    coefficient(gravity) * diameter * diameter * share * short
}

/// Pull that may be asked of a head before it goes through what it holds, N: `690 pi DH G2 t` psi and inches, no more
/// than for 2-1/2 heads of wood (National Design Specification for Wood Construction 2018, 12.2.5, from memory; for
/// round heads, safety included), for a head of DH mm over t mm of wood of a specific gravity G.
///
/// A head over a wide hole bears on less: it is given the share of its rim that is left beyond that of a hole as wide
/// as the shank. Judgement.
pub fn head_through(gravity: f64, head: f64, thickness: f64, (shank, hole): (f64, f64)) -> f64 {
    const PSI_690: f64 = 4.757_4;
    let rim = ((head - hole) / (head - shank)).clamp(0.0, 1.0);
    PSI_690 * std::f64::consts::PI * head * gravity * gravity * thickness.clamp(0.0, 2.5 * head) * rim
}

/// K in N/mm2, by the table of that chapter: where hardwoods and softwoods differ the lower of both, between two
/// classes that of the lighter; below the lightest class in proportion to the square of the gravity.
fn coefficient(gravity: f64) -> f64 {
    match gravity {
        g if g >= 0.57 => 44.13,
        g if g >= 0.48 => 31.99,
        g if g >= 0.29 => 23.17,
        g => 23.17 * (g / 0.29) * (g / 0.29),
    }
}
