//! Blanks that are round in section, on the strips and blocks that carry them.
//!
//! The height at which a round comes to rest is found from the strips as they stand: in a V by
//! raising a circle until it keeps its radius from both slopes, on square edges until it keeps its
//! radius from both corners.

use super::*;
use crate::design::{Operation, SawStep, VoidKind};
use crate::request::{Level, RoundKind};
use Relation::{AtLeast, AtMost};
use solid::{CONTACT, Solid};

/// Most a crown stands proud of the rails, and most it lies below them.
const FLUSH: Length = Length::inches(1, 32);
/// Most that what should lie level is out, and most a spindle springs.
const LEVEL: Length = Length::inches(1, 64);
const SPRING: Length = Length::inches(1, 64);
/// Slope left above the line of contact; air below a round on two edges, and round above them.
const SLOPE_ABOVE: Length = Length::inches(1, 8);
const AIR: Length = Length::inches(1, 16);
/// Strips stay this far below the rails.
const BELOW_RAILS: Length = Length::inches(1, 16);
/// Least board whose edges are bevelled.
const BOARD_LONG: Length = Length::inches(12, 1);
const BOARD_WIDE: Length = Length::inches(3, 1);
/// Modulus of elasticity of a spindle, psi: judgement.
const ELASTICITY_PSI: f64 = 1.2e6;

/// A round blank of one size the readings allow: radius at its lead and trail end, and for a half-round
/// its height, mm.
#[derive(Clone, Copy)]
struct Body {
    lead: f64,
    trail: f64,
    height: Option<f64>,
}

impl Body {
    fn radius(&self, along: f64) -> f64 {
        self.lead + (self.trail - self.lead) * along.clamp(0.0, 1.0)
    }
}

/// A body at rest: height of its centre at the lead and the trail end, mm.
#[derive(Clone, Copy)]
struct Pose {
    body: Body,
    lead: f64,
    trail: f64,
    /// Flat side on top.
    flat_up: bool,
}

impl Pose {
    /// Highest point above the bed at the lead and the trail end.
    fn tops(&self) -> [f64; 2] {
        let over = |radius: f64| match self.body.height {
            Some(height) if self.flat_up => height - radius,
            _ => radius,
        };
        [self.lead + over(self.body.lead), self.trail + over(self.body.trail)]
    }

    /// Height of the surface at a share of the length and a distance from the middle; `None` beside it.
    fn surface(&self, along: f64, aside: f64) -> Option<f64> {
        let radius = self.body.radius(along);
        let centre = self.lead + (self.trail - self.lead) * along;
        let square = radius * radius - aside * aside;
        (square >= 0.0).then(|| {
            let arc = centre + square.sqrt();
            match self.body.height {
                Some(height) if self.flat_up => centre + height - radius,
                // Below its flat a half-round has no surface.
                Some(height) => arc.max(centre + radius - height),
                None => arc,
            }
        })
    }
}

/// Every size the readings allow, the measured one first.
fn bodies(case: &Case) -> Vec<Body> {
    let Some(round) = case.request.blank.round() else { return Vec::new() };
    // What the wood grows by until the carrier is used makes the largest larger.
    let swells = 1.0 + case.across.growth.to_mm() / case.across.measured.nominal.to_mm();
    let most = |measured: &Measured| measured.high().to_mm() + measured.nominal.to_mm() * (swells - 1.0);
    let sizes = |measured: &Measured| [measured.nominal.to_mm(), measured.low().to_mm(), most(measured)];
    let wide = sizes(case.across.measured);
    match &round.kind {
        RoundKind::Rod => wide.iter().map(|d| Body { lead: d / 2.0, trail: d / 2.0, height: None }).collect(),
        RoundKind::Spindle { small, thick_leads, .. } => {
            let narrow = sizes(small);
            let pair = |thick: f64, thin: f64| {
                let (lead, trail) = if *thick_leads { (thick, thin) } else { (thin, thick) };
                Body { lead: lead / 2.0, trail: trail / 2.0, height: None }
            };
            wide.iter().flat_map(|thick| narrow.iter().map(move |thin| pair(*thick, *thin))).collect()
        }
        RoundKind::RoundUp | RoundKind::FlatUp => {
            let Some(thickness) = &case.request.blank.thickness else { return Vec::new() };
            let high = sizes(thickness);
            // Half the flat is the mean proportional between the height and the rest of the diameter.
            let arc = |w: f64, h: f64| (h + w * w / (4.0 * h)) / 2.0;
            let body = |w: f64, h: f64| Body { lead: arc(w, h), trail: arc(w, h), height: Some(h) };
            wide.iter().flat_map(|w| high.iter().map(move |h| body(*w, *h))).collect()
        }
    }
}

/// Volume of a round blank, mm3: its sections added up; `None` for any other.
pub(super) fn blank_mm3(case: &Case) -> Option<f64> {
    const SLICES: u32 = 2000;
    let body = bodies(case).into_iter().next()?;
    let length = case.along.measured.nominal.to_mm();
    let Some(height) = body.height else {
        let radius = |step: u32| body.radius((f64::from(step) + 0.5) / f64::from(SLICES));
        let areas: f64 = (0..SLICES).map(|step| std::f64::consts::PI * radius(step) * radius(step)).sum();
        return Some(areas * length / f64::from(SLICES));
    };
    let half = |step: u32| {
        let below = height * (f64::from(step) + 0.5) / f64::from(SLICES);
        (body.lead * body.lead - (body.lead - below) * (body.lead - below)).max(0.0).sqrt()
    };
    let area: f64 = (0..SLICES).map(|step| 2.0 * half(step)).sum::<f64>() * height / f64::from(SLICES);
    Some(area * length)
}

/// A pair of strips that stand at the same place along the feed.
struct Pair {
    fence: Solid,
    far: Solid,
}

/// The strips in pairs, from the lead end.
fn pairs(case: &Case) -> Vec<Pair> {
    let all = Solids::of(&case.design.parts);
    let mut strips: Vec<Solid> = all.0.into_iter().filter(|solid| solid.role == Role::CradleStrip).collect();
    strips.sort_by_key(|strip| (strip.outline.bounds().x0, strip.outline.bounds().y0));
    let pair = |two: &[Solid]| {
        let [fence, far] = two else { return None };
        let (a, b) = (fence.outline.bounds(), far.outline.bounds());
        (a.x0 == b.x0 && a.x1 == b.x1 && fence.z0 == far.z0).then(|| Pair { fence: fence.clone(), far: far.clone() })
    };
    strips.chunks(2).filter_map(pair).collect()
}

/// The edge of a strip that carries: from its lowest place to its highest, each as distance from the
/// fence edge and height, mm; both the same for a square strip.
fn face(strip: &Solid, far: bool) -> ((f64, f64), (f64, f64)) {
    let bounds = strip.outline.bounds();
    let inner = if far { bounds.y0 } else { bounds.y1 }.to_mm();
    match strip.voids.iter().find(|void| void.kind == VoidKind::Bevel) {
        Some(void) => {
            let cut = void.outline.bounds();
            let back = if far { cut.y1 } else { cut.y0 }.to_mm();
            ((inner, void.z0.to_mm()), (back, void.z1.to_mm()))
        }
        None => ((inner, strip.z1.to_mm()), (inner, strip.z1.to_mm())),
    }
}

/// Where a circle about `y` comes to rest on one edge: height of its centre, and of the place it touches.
fn rest(edge: ((f64, f64), (f64, f64)), y: f64, radius: f64) -> Option<(f64, f64)> {
    let ((y0, z0), (y1, z1)) = edge;
    let (run, rise) = ((y1 - y0).abs(), z1 - z0);
    let aside = (y - y0).abs();
    if run == 0.0 && rise == 0.0 {
        let square = radius * radius - aside * aside;
        return (square >= 0.0).then(|| (z0 + square.sqrt(), z0));
    }
    let slant = libm::hypot(run, rise);
    // The centre keeps off the slope by the cross product of its direction with the way from its foot.
    let centre = z0 + (radius * slant + aside * -rise) / run;
    // Foot of the perpendicular, along the slope.
    let along = (rise * (centre - z0) + run * -aside) / slant;
    Some((centre, z0 + along * rise / slant))
}

/// Where a pair of strips holds a body: share of its length at which it touches first, and for each
/// strip the height of the centre and of the place it touches there.
fn holds_at(case: &Case, pair: &Pair, body: &Body) -> Option<(f64, [(f64, f64); 2])> {
    let bounds = pair.fence.outline.bounds();
    let (x0, whole) = (case.blank.x0, case.blank.length().to_mm());
    let share = |x: Length| ((x - x0).to_mm() / whole).clamp(0.0, 1.0);
    // The end towards the thicker part of the body.
    let along = if body.lead >= body.trail { share(bounds.x0) } else { share(bounds.x1) };
    let (middle, radius) = ((case.blank.y0 + case.blank.y1).to_mm() / 2.0, body.radius(along));
    let fence = rest(face(&pair.fence, false), middle, radius)?;
    let far = rest(face(&pair.far, true), middle, radius)?;
    Some((along, [fence, far]))
}

/// A body at rest on the strips, or on its flat side.
fn pose(case: &Case, pairs: &[Pair], body: Body) -> Option<Pose> {
    let kind = &case.request.blank.round()?.kind;
    let flat_up = *kind == RoundKind::FlatUp;
    if *kind == RoundKind::RoundUp {
        let floor = case.floor.map_or(case.bed, |floor| floor.level) + case.design.adhesive;
        let centre = floor.to_mm() + body.height? - body.lead;
        return Some(Pose { body, lead: centre, trail: centre, flat_up: false });
    }
    let held: Vec<(f64, f64)> = pairs
        .iter()
        .filter_map(|pair| holds_at(case, pair, &body))
        .map(|(along, [fence, far])| (along, fence.0.max(far.0)))
        .collect();
    match held.as_slice() {
        [(_, centre)] => Some(Pose { body, lead: *centre, trail: *centre, flat_up }),
        [one, .., other] if other.0 > one.0 => {
            let slope = (other.1 - one.1) / (other.0 - one.0);
            Some(Pose { body, lead: one.1 - slope * one.0, trail: one.1 + slope * (1.0 - one.0), flat_up })
        }
        _ => None,
    }
}

/// Lowest place of the surface within the carve area, on any body the readings allow; `None` for a
/// blank that is not round.
pub(super) fn lowest_surface(case: &Case) -> Option<Length> {
    const STEPS: u32 = 24;
    case.request.blank.round()?;
    let pairs = pairs(case);
    let area = case.design.carve;
    let (whole, middle) = (case.blank.length().to_mm(), (case.blank.y0 + case.blank.y1).to_mm() / 2.0);
    let over = case.request.carve.overrun.to_mm();
    let share = |step: u32| f64::from(step) / f64::from(STEPS);
    let (from, to) = ((area.x0 - case.blank.x0).to_mm() / whole, (area.x1 - case.blank.x0).to_mm() / whole);
    let (near, far) = (area.y0.to_mm() - over - middle, area.y1.to_mm() + over - middle);
    let mut lowest = f64::INFINITY;
    for pose in bodies(case).into_iter().filter_map(|body| pose(case, &pairs, body)) {
        for along in (0..=STEPS).map(|step| from + (to - from) * share(step)) {
            for aside in (0..=STEPS).map(|step| near + (far - near) * share(step)) {
                lowest = pose.surface(along, aside).map_or(lowest, |z| lowest.min(z));
            }
        }
    }
    // Up to the next tick, so that a depth worked out exactly does not miss it by a rounding.
    Length::from_mm(lowest).map(|lowest| lowest + Length::micrometres(1))
}

pub(super) fn check(case: &Case, checks: &mut Vec<Check>) {
    let Some(round) = case.request.blank.round() else { return };
    let pairs = pairs(case);
    let poses: Vec<Pose> = bodies(case).into_iter().filter_map(|body| pose(case, &pairs, body)).collect();
    let at_rest = f64::from(u8::from(!poses.is_empty()));
    numbers(checks, Rule::CradleContact, "comes to rest in its cradle", at_rest, AtLeast, 1.0, "");
    if let Some(measured) = poses.first() {
        crowns(case, &round.kind, &poses, checks);
        level(&round.kind, measured, checks);
    }
    let room = case.room;
    let off = (case.blank.y0 - room.y0) - (room.y1 - case.blank.y1);
    let centred = if round.kind == RoundKind::RoundUp { Rule::Closure } else { Rule::CradleContact };
    lengths(checks, centred, "blank in the middle of its pocket", off.abs(), AtMost, CONTACT);
    if round.kind == RoundKind::RoundUp {
        return;
    }
    for pair in &pairs {
        contact(case, pair, checks);
    }
    standing(case, checks);
    turn_stop(case, checks);
    if let (RoundKind::Spindle { small, .. }, [one, .., other]) = (&round.kind, pairs.as_slice()) {
        span(case, one, other, small.low(), checks);
    }
    bevels(case, checks);
}

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap_or(Length::INCH * -10_000)
}

/// The highest line against the rails, for every size the readings allow.
fn crowns(case: &Case, kind: &RoundKind, poses: &[Pose], checks: &mut Vec<Check>) {
    // With the axis level only the thick end reaches the rails.
    let only_highest = matches!(kind, RoundKind::Spindle { level: Level::Axis, .. });
    let tops = |pose: &Pose| {
        let [lead, trail] = pose.tops();
        if only_highest { [lead.max(trail); 2] } else { [lead, trail] }
    };
    let all = || poses.iter().flat_map(tops);
    let (low, high) = (mm(all().fold(f64::INFINITY, f64::min)), mm(all().fold(0.0, f64::max)));
    let (sunk, proud) = (low - case.top, high - case.top);
    lengths(checks, Rule::BlankFlushLimit, "crown of the largest", proud, AtMost, FLUSH + CONTACT);
    lengths(checks, Rule::BlankFlushLimit, "crown of the smallest", sunk, AtLeast, -FLUSH - CONTACT);
    lengths(checks, Rule::CrownWanted, "crown of the smallest", sunk, AtLeast, -CONTACT);
    let placed = poses.first().map_or(0.0, |pose| pose.tops()[0].max(pose.tops()[1]));
    lengths(checks, Rule::Closure, "crown as placed", (mm(placed) - case.design.blank.z1).abs(), AtMost, CONTACT);
}

fn level(kind: &RoundKind, measured: &Pose, checks: &mut Vec<Check>) {
    let RoundKind::Spindle { level, .. } = kind else { return };
    let out = match level {
        Level::Crown => measured.tops()[0] - measured.tops()[1],
        Level::Axis => measured.lead - measured.trail,
    };
    lengths(checks, Rule::CradleLevel, "end to end", mm(out.abs()), AtMost, LEVEL);
}

/// Both strips touch the round on its round, and stand far enough above the line of contact.
fn contact(case: &Case, pair: &Pair, checks: &mut Vec<Check>) {
    let under = pair.fence.z0.to_mm();
    let mut uneven: f64 = 0.0;
    let (mut left, mut round_above, mut air) = (f64::INFINITY, f64::INFINITY, f64::INFINITY);
    let mut printed: f64 = 0.0;
    for (index, body) in bodies(case).iter().enumerate() {
        let Some((along, [fence, far])) = holds_at(case, pair, body) else { continue };
        uneven = uneven.max((fence.0 - far.0).abs());
        let (radius, centre, touch) = (body.radius(along), fence.0.max(far.0), fence.1.max(far.1));
        left = left.min(pair.fence.z1.to_mm() - touch);
        round_above = round_above.min(centre + body.height.map_or(radius, |height| height - radius) - touch);
        air = air.min(centre - radius - under);
        if index == 0 {
            printed = said_contact(case, pair, touch);
        }
    }
    let square = face(&pair.fence, false).0 == face(&pair.fence, false).1;
    lengths(checks, Rule::CradleContact, "both sides alike", mm(uneven), AtMost, CONTACT);
    if square {
        lengths(checks, Rule::CradleContact, "air under the round", mm(air) + CONTACT, AtLeast, AIR);
    } else {
        lengths(checks, Rule::CradleContact, "V above the line of contact", mm(left) + CONTACT, AtLeast, SLOPE_ABOVE);
    }
    lengths(checks, Rule::CradleContact, "round above the line of contact", mm(round_above) + CONTACT, AtLeast, AIR);
    lengths(checks, Rule::Closure, "line of contact as drawn", mm(printed), AtMost, CONTACT);
}

/// How far the dabs of glue drawn on a pair lie from the height at which it is touched, mm.
fn said_contact(case: &Case, pair: &Pair, touch: f64) -> f64 {
    let (x0, x1) = (pair.fence.outline.bounds().x0, pair.fence.outline.bounds().x1);
    let here = dabs(case).filter(|joint| joint.contact.x0 >= x0 && joint.contact.x1 <= x1);
    here.map(|joint| (joint.z0.to_mm() - touch).abs()).fold(0.0, f64::max)
}

/// Glue between strips and blank.
fn dabs<'a>(case: &'a Case) -> impl Iterator<Item = &'a crate::design::Joint> {
    let strip = |id: &str| case.design.parts.iter().any(|part| part.id == id && part.role == Role::CradleStrip);
    let between = move |(a, b): &(String, String)| (a == "blank" && strip(b)) || (b == "blank" && strip(a));
    case.design.joints.iter().filter(move |joint| joint.kind == JointKind::GlueSpots && between(&joint.between))
}

/// Strips and risers stand on something, inside the pocket, below the rails, and nowhere in one another.
fn standing(case: &Case, checks: &mut Vec<Check>) {
    let all = Solids::of(&case.design.parts).0;
    let own = |solid: &&Solid| matches!(solid.role, Role::CradleStrip | Role::CradleRiser);
    let floor = case.floor.map_or(case.bed, |floor| floor.level);
    let within = |inner: Rect, outer: Rect| holds(outer, inner);
    let mut hanging = 0;
    let mut outside = 0;
    let mut overlaps = 0;
    let mut highest = floor;
    for (index, one) in all.iter().enumerate().filter(|(_, solid)| own(solid)) {
        let plan = one.outline.bounds();
        highest = highest.max(one.z1);
        outside += usize::from(!within(plan, case.room));
        let riser = |solid: &&Solid| {
            solid.role == Role::CradleRiser && solid.z1 == one.z0 && within(plan, solid.outline.bounds())
        };
        let stands = one.z0 == floor || all.iter().any(|solid| riser(&solid));
        hanging += usize::from(!stands);
        for other in all.iter().enumerate().filter(|(at, _)| *at != index).map(|(_, other)| other) {
            let (b, low, high) = (other.outline.bounds(), one.z0.max(other.z0), one.z1.min(other.z1));
            let apart = plan.x1 <= b.x0 || plan.x0 >= b.x1 || plan.y1 <= b.y0 || plan.y0 >= b.y1;
            overlaps += usize::from(low < high && !apart);
        }
    }
    none_of(checks, Rule::Closure, "strips that stand on nothing", hanging);
    none_of(checks, Rule::Closure, "strips outside their pocket", outside);
    none_of(checks, Rule::Closure, "strips in another part's place", overlaps);
    lengths(checks, Rule::NothingAboveTop, "strips beside the blank", highest, AtMost, case.top - BELOW_RAILS);
}

/// Glue on both sides of the middle, over at least half the length.
fn turn_stop(case: &Case, checks: &mut Vec<Check>) {
    let middle = (case.blank.y0 + case.blank.y1).half();
    let half = case.along.measured.nominal.half();
    let spread = |far: bool| {
        let side = || dabs(case).map(|joint| joint.contact).filter(move |rect| (rect.y0 > middle) == far);
        let ends = side().map(|rect| rect.x0).min().zip(side().map(|rect| rect.x1).max());
        ends.map_or(Length::ZERO, |(from, to)| to - from)
    };
    lengths(checks, Rule::TurnStop, "glued on the fence side over", spread(false), AtLeast, half);
    lengths(checks, Rule::TurnStop, "glued on the far side over", spread(true), AtLeast, half);
}

/// A round between two blocks springs in its middle by `4 F l^3 / (3 pi E d^4)`.
fn span(case: &Case, one: &Pair, other: &Pair, diameter: Length, checks: &mut Vec<Check>) {
    let free = (other.fence.outline.bounds().x0 - one.fence.outline.bounds().x1).to_inches();
    let d = diameter.to_inches();
    let force = case.request.shop.estimates.side_force_lbf;
    let spring = 4.0 * force * free * free * free / (3.0 * std::f64::consts::PI * ELASTICITY_PSI * d * d * d * d);
    let spring = Length::from_mm(spring * 25.4).unwrap_or(Length::INCH * 10_000);
    lengths(checks, Rule::CradleSpan, "spring between the blocks", spring, AtMost, SPRING);
}

/// Bevels come off boards that are long and wide enough, and no round goes over a saw.
fn bevels(case: &Case, checks: &mut Vec<Check>) {
    let steps = || case.design.cut_list.steps.iter();
    for step in steps().filter(|step| step.operation == Operation::BevelRip) {
        lengths(checks, Rule::RoundsHeld, "length of a bevelled board", step.before.length, AtLeast, BOARD_LONG);
        lengths(checks, Rule::RoundsHeld, "width of a bevelled board", step.before.width, AtLeast, BOARD_WIDE);
    }
    let rolled = steps().filter(|step| step.operation == Operation::SawRound || step.piece == "blank").count();
    none_of(checks, Rule::RoundsHeld, "rounds over a saw", rolled);
    let bevelled = Solids::of(&case.design.parts).0.iter().any(|s| s.voids.iter().any(|v| v.kind == VoidKind::Bevel));
    let cut = steps().any(|step| step.operation == Operation::BevelRip);
    none_of(checks, Rule::RoundsHeld, "bevels that no cut makes", usize::from(bevelled && !cut));
}

/// Length of the cut through a bevel: through the strips' height and as far as they are cut back.
pub(super) fn slant(case: &Case, step: &SawStep) -> Length {
    let strips = Solids::of(&case.design.parts).0;
    let bevel = strips.iter().flat_map(|strip| &strip.voids).find(|void| void.kind == VoidKind::Bevel);
    let run = bevel.map_or(0.0, |void| void.outline.bounds().width().to_mm());
    Length::from_mm(libm::hypot(run, step.before.thickness.to_mm())).unwrap_or(step.before.thickness)
}
