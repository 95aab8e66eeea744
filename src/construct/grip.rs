//! Whether the blank stays down and in its place at the worst place of the cut, before it is cut free and after.

use super::Setting;
use super::assemble::Draft;
use super::layout::carve_rect;
use crate::design::{JointKind, Screws, VoidKind};
use crate::geometry::hull::hull;
use crate::geometry::path::{in_ring, to_mm};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::mechanics::hold::{Bond, Cell, Cutter, Mm};
use crate::mechanics::{N_PER_MM2_PER_PSI, NEWTONS_PER_LBF};
use crate::request::Hold;
use crate::rules::Rule;
use crate::trace::Conflict;

/// Least number of times the load must be carried, with what the programme's polygons and pieces may be out by.
const TIMES: f64 = 1.02;
/// So many times by the search over points of turning, good to a few per cent, leave no doubt.
const PLENTY: f64 = 1.15;
/// Pieces of bond along and across, and so many for the programme.
const PIECES: i32 = 16;
const FEW_PIECES: i32 = 5;
/// Corners that stand for a round.
const ROUND: i32 = 32;
/// Most places of the cutter that the programme is asked for.
const MOST_PLACES: usize = 12;
/// Standard acceleration of free fall, m/s2.
const GRAVITY: f64 = 9.806_65;
/// Spots of glue stand this far apart along the edges. Common practice, no source.
const SPOTS: Length = Length::inches(4, 1);

/// Corners of an outline, mm: of a curve those of its hull.
fn corners(outline: &Outline) -> Vec<Mm> {
    match outline {
        Outline::Rect(rect) => rect.corners().into_iter().map(to_mm).collect(),
        Outline::Polygon(points) => points.iter().copied().map(to_mm).collect(),
        Outline::Path(path) => hull(&path.flattened(0.5)),
        Outline::Disc { centre, diameter } => {
            let (middle, radius) = (to_mm(*centre), diameter.to_mm() / 2.0);
            let angle = |corner: i32| std::f64::consts::TAU * f64::from(corner) / f64::from(ROUND);
            let at = |turn: f64| (middle.0 + radius * libm::cos(turn), middle.1 + radius * libm::sin(turn));
            (0..ROUND).map(|corner| at(angle(corner))).collect()
        }
    }
}

/// The outline in pieces, less what lies in `holes`.
fn bond(outline: &Outline, holes: &[&Outline], pieces: i32) -> Bond {
    let bounds = outline.bounds();
    let (length, width) = (bounds.length().to_mm(), bounds.width().to_mm());
    let (from, ring) = (to_mm(Point::new(bounds.x0, bounds.y0)), ring(outline));
    let rings: Vec<Vec<Mm>> = holes.iter().map(|hole| corners(hole)).collect();
    let n = f64::from(pieces);
    let mut cells: Vec<Cell> = Vec::new();
    for column in 0..pieces {
        for row in 0..pieces {
            let share = |place: i32| (f64::from(place) + 0.5) / n;
            let at = (from.0 + length * share(column), from.1 + width * share(row));
            let open = rings.iter().any(|hole| in_ring(hole, at));
            if in_ring(&ring, at) && !open {
                cells.push(Cell { at, area: length * width / (n * n) });
            }
        }
    }
    // The pieces together are the whole: never more than that.
    let gone: f64 = holes.iter().map(|hole| hole.area_mm2()).sum();
    let (whole, sum) = (outline.area_mm2() - gone, cells.iter().map(|cell| cell.area).sum::<f64>());
    if sum > whole && sum > 0.0 {
        cells.iter_mut().for_each(|cell| cell.area *= whole.max(0.0) / sum);
    }
    Bond { cells, corners: corners(outline) }
}

/// What holds the blank from below.
#[derive(Clone, Copy)]
enum Below<'a> {
    /// A bond, less what lies in these holes.
    Bond(&'a [&'a Outline]),
    /// Screws: pieces of a bond whose strength is a force each.
    Screws(&'a Screws),
}

impl Below<'_> {
    fn of(self, outline: &Outline, pieces: i32) -> Bond {
        match self {
            Below::Bond(holes) => bond(outline, holes, pieces),
            Below::Screws(screws) => Bond {
                cells: screws.places.iter().map(|at| Cell { at: to_mm(*at), area: 1.0 }).collect(),
                corners: corners(outline),
            },
        }
    }
}

fn ring(outline: &Outline) -> Vec<Mm> {
    match outline {
        Outline::Path(path) => path.flattened(0.1),
        other => corners(other),
    }
}

/// Strengths and forces of the job, in N and N/mm2.
struct Figures {
    lift: f64,
    slide: f64,
    cutter: Cutter,
}

/// How the blank stands to a push from the side.
#[derive(Clone, Copy, PartialEq)]
enum Beside {
    /// Wood beside it takes the push.
    Wall,
    /// Nothing does: the first pass pushes at its top.
    Nothing,
    /// It has been cut free in the last pass.
    Kerf,
}

/// How far above the bond the cutter pushes.
///
/// A part is cut free by the last pass, which has wood to cut only in the lowest `carve.pass` of the kerf; higher up
/// the flutes run in the slot that earlier passes made. Its force is that of one pass, as it is estimated, and lies
/// within that height above the underside: taken is the top of it, twice its middle, as the flutes may rub above.
fn arm(setting: &Setting<'_>, beside: Beside) -> f64 {
    let thickness = setting.thickness.to_mm();
    let pass = setting.request.shop.estimates.loads.cutting.map_or(thickness, |cutting| cutting.pass.to_mm());
    match beside {
        Beside::Wall => 0.0,
        Beside::Nothing => thickness,
        Beside::Kerf => pass.min(thickness),
    }
}

fn figures(setting: &Setting<'_>, beside: Beside) -> Figures {
    let estimates = &setting.request.shop.estimates;
    let (lift, slide) = estimates.bond_psi(setting.hold);
    Figures {
        lift: lift * N_PER_MM2_PER_PSI,
        slide: slide * N_PER_MM2_PER_PSI,
        cutter: Cutter {
            side: estimates.side_force_lbf * NEWTONS_PER_LBF,
            lift: estimates.lift_force_lbf * NEWTONS_PER_LBF,
            arm: arm(setting, beside),
        },
    }
}

/// Where the cutter may be at its worst: the corners of the area it cuts, of a blank of any outline that is cut
/// all over those of the outline.
fn places(area: Rect, outline: &Outline, stated: bool) -> Vec<Mm> {
    match outline {
        Outline::Rect(_) => corners(&Outline::Rect(area)),
        _ if stated => corners(&Outline::Rect(area)),
        other => corners(other),
    }
}

/// Whether a bond keeps a part in place against pushes: by a bound that is surely kept, or one that is surely
/// not, where that is enough, else by the programme.
fn stays(outline: &Outline, below: Below<'_>, figures: &Figures, places: &[Mm]) -> f64 {
    let whole = below.of(outline, PIECES);
    let (strength, cutter) = (figures.slide, figures.cutter);
    let sure = whole.surely_stays(strength, cutter, places);
    let most = whole.gives_way(strength, cutter, places);
    if sure >= TIMES || (!most.is_nan() && !(TIMES..PLENTY).contains(&most)) {
        return if most < TIMES { most } else { sure.max(TIMES) };
    }
    // Of a curve every so manieth corner stands for its neighbours.
    let mean = |of: fn(&Mm) -> f64| places.iter().map(of).sum::<f64>() / places.len().max(1) as f64;
    let (middle, aside) = (whole.middle(), (mean(|at| at.0), mean(|at| at.1)));
    let even = libm::hypot(middle.0 - aside.0, middle.1 - aside.1) < 1e-3;
    // The four corners of an area in the middle of a rectangle are alike.
    let solid = matches!(below, Below::Bond([]));
    let alike = even && solid && places.len() == 4 && matches!(outline, Outline::Rect(_));
    let places = if alike { &places[..1] } else { places };
    let few: Vec<Mm> = places.iter().copied().step_by(places.len().div_ceil(MOST_PLACES).max(1)).collect();
    below.of(outline, FEW_PIECES).stays(strength, cutter, &few).unwrap_or(0.0)
}

/// The words of a refusal, with what helps.
fn refused(what: &str, times: f64, area: f64, screws: Option<&Screws>) -> Conflict {
    if let Some(screws) = screws {
        let text = format!(
            "{what}: {} screws {} carry the cutter's force {times:.2} times at the worst place, wanted 1 (estimate): \
             longer or thicker screws, a shallower cut, or walls beside the blank",
            screws.places.len(),
            screws.size
        );
        return Conflict::plain(Rule::HoldWorst, text);
    }
    let text = format!(
        "{what}: the bond of {:.2} sq in carries the cutter's force {times:.2} times at the worst place, wanted 1 (estimate): \
         carve it in a strip and saw it apart afterwards, leave a web to be sawn, or state the strength of a stronger film \
         (`film-lift-psi`, `film-slide-psi`)",
        area / 645.16
    );
    Conflict::plain(Rule::HoldWorst, text)
}

/// Refuses a part whose bond does not hold at the worst place; gives the wishes left out for one held by its
/// edges. `wall` is the height of the wood beside the blank above its underside.
pub fn holds(
    setting: &Setting<'_>,
    draft: &Draft,
    wall: Length,
    low: Length,
    screws: Option<&Screws>,
) -> Result<Vec<Rule>, Conflict> {
    let request = setting.request;
    // A butt is glued for good: wood glue is stronger than the blank's own wood is in its way.
    let butted = draft.joints.iter().any(|(_, to, joint)| to.is_none() && joint.kind == JointKind::GluedButt);
    if butted || !setting.thickness_known || request.blank.round().is_some() || draft.parts.is_empty() {
        return Ok(Vec::new());
    }
    let outline = &draft.blank.outline;
    let bounds = outline.bounds();
    let area = carve_rect(setting, bounds.x0, bounds.y0);
    let stated = request.carve.stated;
    let walled = wall >= low;
    let beside = if walled { Beside::Wall } else { Beside::Nothing };
    if !setting.hold.bonds_underside() && screws.is_none() {
        let spots = draft.joints.iter().filter(|(_, to, joint)| to.is_none() && joint.kind == JointKind::GlueSpots);
        let seams: Vec<Rect> = spots.map(|(_, _, joint)| joint.contact).collect();
        let held = edges_hold(setting, outline, &seams, area, beside);
        return Ok(if held { Vec::new() } else { vec![Rule::HoldWorst] });
    }
    let voids = draft.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    let open = voids.filter(|void| matches!(void.kind, VoidKind::PushOut | VoidKind::Under));
    let holes: Vec<&Outline> = open.map(|void| &void.outline).filter(|hole| hole.bounds().meets(&bounds)).collect();
    let below = screws.map_or(Below::Bond(&holes), Below::Screws);
    let under = below.of(outline, PIECES);
    let mut forces = figures(setting, beside);
    if let Some(screws) = screws {
        (forces.lift, forces.slide) = (screws.pull, screws.side);
    }
    let at = places(area, outline, stated);
    let lift = under.lifts(forces.lift, forces.cutter, &at);
    if lift < TIMES {
        return Err(refused("lifted at one side", lift, under.area(), screws));
    }
    let turns = matches!(outline, Outline::Disc { .. }) && walled;
    let kept = match (walled, turns) {
        (true, false) => f64::INFINITY,
        (true, true) => under.turn(forces.slide, forces.cutter, &at),
        (false, _) => stays(outline, below, &forces, &at),
    };
    if kept < TIMES {
        return Err(refused("pushed and turned", kept, under.area(), screws));
    }
    if setting.freed() {
        let part = if stated { Outline::Rect(area) } else { outline.clone() };
        let free = bond(&part, &holes, PIECES);
        let forces = figures(setting, Beside::Kerf);
        let at = places(area, &part, false);
        let lift = free.lifts(forces.lift, forces.cutter, &at);
        let kept = stays(&part, Below::Bond(&holes), &forces, &at);
        if lift.min(kept) < TIMES {
            return Err(refused("once it is cut free", lift.min(kept), free.area(), None));
        }
    }
    Ok(Vec::new())
}

/// Whether shims, wedges or spots of glue along its edges, the rollers that are on it and its own weight hold a
/// rectangle down. Glue is only where there are `seams`, if any are told.
fn edges_hold(setting: &Setting<'_>, outline: &Outline, seams: &[Rect], area: Rect, beside: Beside) -> bool {
    let Outline::Rect(rect) = outline else { return true };
    let (estimates, machine) = (&setting.request.shop.estimates, &setting.request.machine);
    let forces = figures(setting, beside);
    let own = Rect::new(rect.x0, rect.y0, rect.x1, rect.y1);
    let on_blank = |seam: &Rect| {
        let (x0, x1) = (seam.x0.max(own.x0), seam.x1.min(own.x1));
        let (y0, y1) = (seam.y0.max(own.y0), seam.y1.min(own.y1));
        Rect::new(x0, y0, x1, y1)
    };
    let seams: Vec<Rect> = seams.iter().map(on_blank).collect();
    let round: Length = seams.iter().map(|seam| seam.length() + seam.width()).sum();
    let round = if seams.is_empty() { (rect.length() + rect.width()) * 2 } else { round };
    let grip = NEWTONS_PER_LBF
        * if setting.hold == Hold::HotGlue {
            let spots = round.ticks() / SPOTS.ticks();
            let least = if seams.is_empty() { 4 } else { seams.len() as i64 };
            estimates.loads.glue_spot_lbf * spots.max(least) as f64
        } else {
            estimates.loads.edge_grip_lbf
        };
    let least = rect.length().min(rect.width()).to_mm() / 2.0;
    let load = 2.0 * forces.cutter.lift + forces.cutter.side * forces.cutter.arm / least.max(f64::MIN_POSITIVE);
    if seams.is_empty() && grip / load >= TIMES {
        return true;
    }
    let edge = corners(outline);
    let middle = |a: Mm, b: Mm| ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
    let mut held: Vec<(Mm, f64)> = if seams.is_empty() {
        let around = edge.iter().zip(edge.iter().cycle().skip(1)).flat_map(|(a, b)| [*a, middle(*a, *b)]);
        around.map(|at| (at, grip / 8.0)).collect()
    } else {
        let share = |seam: &Rect| grip * (seam.length() + seam.width()).to_mm() / round.to_mm();
        let ends = |seam: &Rect| (to_mm(Point::new(seam.x0, seam.y0)), to_mm(Point::new(seam.x1, seam.y1)));
        let at = |seam: &Rect| {
            let ((from, to), share) = (ends(seam), share(seam));
            [(from, share / 4.0), (middle(from, to), share / 2.0), (to, share / 4.0)]
        };
        seams.iter().flat_map(at).collect()
    };
    let volume = setting.request.blank.volume_mm3(setting.thickness);
    let weight = volume * estimates.blank_density * 1e-9 * GRAVITY;
    held.push((to_mm(rect.centre()), weight));
    let bare = Bond { cells: Vec::new(), corners: edge };
    let reach = machine.cutter_to_roller.to_mm();
    corners(&Outline::Rect(area)).into_iter().all(|place| {
        let mut here = held.clone();
        for roller in [place.0 - reach, place.0 + reach] {
            if (rect.x0.to_mm()..=rect.x1.to_mm()).contains(&roller) {
                let half = estimates.loads.roller_force_lbf * NEWTONS_PER_LBF / 2.0;
                here.extend([((roller, rect.y0.to_mm()), half), ((roller, rect.y1.to_mm()), half)]);
            }
        }
        bare.down(0.0, forces.cutter, &[place], &here).is_some_and(|times| times >= TIMES)
    })
}
