//! Figures of a cradle, read off the finished parts: where the round touches, and how high it lies.

use crate::design::{Design, Joint, JointKind, Role, VoidKind};
use crate::length::Length;
use crate::request::{Level, Request, RoundKind};

/// What a round lies on, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CradleFigures {
    /// Its middle, from the fence edge.
    pub centre_line: Length,
    /// The highest line of the blank above the bed face.
    pub crown: Length,
    /// What the round side lies on; `None` for a half-round on its flat.
    pub bevelled: Option<bool>,
    /// What of a tapered spindle lies level.
    pub level: Option<Level>,
    /// Each stretch that carries it, from the lead end.
    pub stretches: Vec<Stretch>,
}

/// A stretch of cradle that carries the blank along one line on each side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Where it begins and ends, from the lead end.
    pub from: Length,
    /// Its end.
    pub to: Length,
    /// What its strips stand on, above the bed face: of a V the apex.
    pub foot: Length,
    /// The lines of contact above the bed face.
    pub contact: Length,
    /// The lines of contact from the middle.
    pub aside: Length,
}

/// Lines along which the blank touches its strips.
pub fn contacts(design: &Design) -> impl Iterator<Item = &Joint> {
    let strip = |id: &str| design.parts.iter().any(|part| part.id == id && part.role == Role::CradleStrip);
    design.joints.iter().filter(move |joint| {
        joint.kind == JointKind::GlueSpots && joint.between.1 == "blank" && strip(&joint.between.0)
    })
}

/// The figures of a design for a round; `None` for any other.
pub fn cradle_figures(request: &Request, design: &Design) -> Option<CradleFigures> {
    let round = request.blank.round()?;
    let bounds = design.blank.outline.bounds();
    let middle = (bounds.y0 + bounds.y1).half();
    let strips = || design.parts.iter().filter(|part| part.role == Role::CradleStrip).flat_map(|part| &part.places);
    let bevelled = strips().any(|place| place.voids.iter().any(|void| void.kind == VoidKind::Bevel));
    let foot = |joint: &Joint| {
        let under = strips().filter(|place| {
            let plan = place.outline.bounds();
            plan.x0 <= joint.contact.x0 && plan.x1 >= joint.contact.x1
        });
        under.map(|place| place.z0).min().unwrap_or(Length::ZERO)
    };
    let mut stretches: Vec<Stretch> = contacts(design)
        .map(|joint| Stretch {
            from: joint.contact.x0,
            to: joint.contact.x1,
            foot: foot(joint),
            contact: joint.z0,
            aside: (joint.contact.y0 - middle).abs(),
        })
        .collect();
    stretches.sort_by_key(|stretch| stretch.from);
    // One line on each side makes one stretch.
    stretches.dedup_by_key(|stretch| stretch.from);
    let level = match round.kind {
        RoundKind::Spindle { level, .. } => Some(level),
        RoundKind::Rod | RoundKind::RoundUp | RoundKind::FlatUp => None,
    };
    Some(CradleFigures {
        centre_line: middle,
        crown: design.blank.z1,
        bevelled: (round.kind != RoundKind::RoundUp).then_some(bevelled),
        level,
        stretches,
    })
}
