//! Nests for blanks of any outline, sunk into one board or sawn through a ring on a base.
//!
//! The nest is the outline grown by the error of its capture and the clearance, every cove filled that
//! the cutter cannot enter. Where an outside corner is too sharp for the cutter's round, the cutter is
//! run out along the corner's middle line until the blank seats. A saw gets into every corner, and fills
//! only what would leave a neck too thin.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;

use super::assemble::{Draft, finish, hold_words, place_blank};
use super::blind_pocket::{Sunk, can_be_sunk, push_out_hole, sunk_biting};
use super::framed::{play_is_wide, stock_part};
use super::outline_ring;
use super::stack::demand;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Pocket, PocketKind, Relief, Role, Void, VoidKind, turn_words};
use crate::geometry::hull::{Turn, critical_turns, hull};
use crate::geometry::offset::{OffsetFault, closed, offset};
use crate::geometry::path::{Mm, Path, Vertex, from_mm, in_ring, to_mm};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Drawn, Hold, Shape};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Conflict, Reason, Term};

/// Nest for any outline.
pub struct OutlineNest;

/// Chords that stand for arcs where areas are compared, mm.
const CHORD_ERROR: f64 = 0.001;
/// Nests are grown by this much less, mm, so that roundings never carry one past its box on the ruler.
const SLIP: f64 = 0.003;
/// What the cutter leaves no deeper than this in a corner is the error of the chords, mm.
const SHALLOW: f64 = 0.008;
/// Least width of wood that reaches into a cove, in sheet stock. Common practice, no source.
const NECK: Length = Length::inches(1, 4);
/// Finger gaps are as wide as a thumb. Common practice, no source.
const FINGER: Length = Length::inches(1, 1);
/// A turn that takes more than this of the board it takes as drawn is not worth the turning.
const WORTH_TURNING: f64 = 0.98;
/// Turns sized in full, best by area first.
const MOST_TURNS: usize = 5;

impl Construction for OutlineNest {
    fn id(&self) -> &'static str {
        "outline-nest"
    }

    fn title(&self) -> &'static str {
        "Nest for an outline"
    }

    fn when(&self) -> &'static str {
        "Live edges, cut-outs and other outlines, where a pocket can be sunk."
    }

    fn holds(&self) -> &'static [Hold] {
        &[Hold::Tape, Hold::Film, Hold::HotGlue, Hold::Screws]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        let Shape::Outline(drawn) = &setting.request.blank.shape else {
            let conflict = Conflict::plain(Rule::EdgesShaped, "the blank has a plain shape");
            return vec![Attempt::fails("outline", conflict)];
        };
        let sunk = |setting: &Setting<'_>, nest: &Nest, degrees: f64| self.sunk_outline(setting, nest, degrees);
        let sawn =
            |setting: &Setting<'_>, nest: &Nest, degrees: f64| outline_ring::design(setting, self, nest, degrees);
        // What the shop cannot make is not drawn: that is the long part of the work.
        let nest = |making: Making, able: Result<(), Conflict>| able.and_then(|()| Nest::of(setting, drawn, making));
        let mut attempts = match nest(Making::Sunk, can_be_sunk(setting)) {
            Ok(nest) => ways(setting, drawn, ["as drawn", "turned"], &nest, &sunk),
            Err(conflict) => vec![Attempt::fails("as drawn", conflict)],
        };
        attempts.extend(match nest(Making::Sawn, outline_ring::can_be_sawn(setting)) {
            Ok(nest) => ways(setting, drawn, ["ring on a base", "ring on a base, turned"], &nest, &sawn),
            Err(conflict) => vec![Attempt::fails("ring on a base", conflict)],
        });
        attempts
    }
}

/// Sizes a nest for a blank, both turned already by so many degrees.
type Make<'m> = &'m dyn Fn(&Setting<'_>, &Nest, f64) -> Result<Design, Conflict>;

/// The blank as drawn, and turned where that saves board.
fn ways(setting: &Setting<'_>, drawn: &Drawn, names: [&str; 2], nest: &Nest, make: Make<'_>) -> Vec<Attempt> {
    let drawn_so = make(setting, nest, 0.0);
    let taken = drawn_so.as_ref().ok().map(board_mm2);
    let mut attempts = vec![Attempt::of(names[0], drawn_so)];
    // An area to carve stays where it was stated, so only whole blanks are turned to save wood.
    if setting.request.blank.turn_free && !setting.request.carve.stated {
        let turned = best_turn(setting, drawn, nest, make);
        let gains = turned
            .as_ref()
            .map_or(taken.is_none(), |turned| taken.is_none_or(|taken| board_mm2(turned) <= taken * WORTH_TURNING));
        if gains {
            attempts.push(Attempt::of(names[1], turned));
        }
    }
    attempts
}

/// The turn that takes least board, among those that can be least.
fn best_turn(setting: &Setting<'_>, drawn: &Drawn, nest: &Nest, make: Make<'_>) -> Result<Design, Conflict> {
    let mut best: Option<(i128, Design)> = None;
    let mut nearest: Option<Conflict> = None;
    for turn in turns(setting, drawn) {
        let Some(request) = setting.request.turned_by(turn.degrees) else { continue };
        let mut turned = Setting::new(&request, false, setting.hold);
        turned.upper_choice = setting.upper_choice;
        match make(&turned, &nest.turned(drawn, turn.degrees), turn.degrees) {
            Ok(design) => {
                let area = i128::from(design.carrier.length.ticks()) * i128::from(design.carrier.width.ticks());
                if best.as_ref().is_none_or(|(least, _)| area < *least) {
                    best = Some((area, design));
                }
            }
            Err(conflict) => {
                if nearest.as_ref().is_none_or(|least| conflict.shortfall < least.shortfall) {
                    nearest = Some(conflict);
                }
            }
        }
    }
    match (best, nearest) {
        (Some((_, design)), _) => Ok(design),
        (None, Some(conflict)) => Err(conflict),
        (None, None) => Err(Conflict::plain(Rule::WidthMax, "no turn makes the nest narrow enough")),
    }
}

impl OutlineNest {
    /// The outline sunk into one board; `degrees` is how far the setting's blank was turned already.
    fn sunk_outline(&self, setting: &Setting<'_>, nest: &Nest, degrees: f64) -> Result<Design, Conflict> {
        let Shape::Outline(drawn) = &setting.request.blank.shape else {
            return Err(Conflict::plain(Rule::EdgesShaped, "the blank has a plain shape"));
        };
        let bounds = nest.path.bounds();
        let (ends, sides) = nest.bites(&bounds);
        let sunk = sunk_biting(setting, ends, sides)?;
        let Sunk { along, across, stock, heights, .. } = &sunk;
        let (length, width) = (along.total(), across.total());
        // Lead and fence sides lie on the ruler; the far ones where the outline ends.
        let (dx, dy) = (along.near() - bounds.x0, across.near() - bounds.y0);
        let path = nest.path.moved(dx, dy);
        let blank = drawn.path.moved(dx, dy);
        let corner = blank.bounds();
        let machine = &setting.request.machine;
        let [_, _, _, far] = setting.margins;
        let cut = [
            ("blank from the fence", corner.y0),
            ("blank to far side of cut", setting.width.nominal - far),
            ("cutter radius and overrun", setting.reach()),
        ];
        demand(setting, Rule::CutterWindow, "far side of the cut", &cut, machine.window.max, true)?;
        let board = Rect::new(Length::ZERO, Length::ZERO, length, width);
        let mut part = stock_part("board", Role::Board, stock, board, (Length::ZERO, heights.top));
        let outline = Outline::Path(path.clone());
        let void = |outline: Outline, kind: VoidKind| Void { outline, z0: heights.floor, z1: heights.top, kind };
        if let Some(place) = part.places.first_mut() {
            place.voids.push(void(outline.clone(), VoidKind::Pocket));
            for relief in &nest.reliefs {
                place.voids.push(void(Outline::Path(relief.moved(dx, dy)), VoidKind::Relief));
            }
            for gap in &nest.gaps {
                let centre = Point::new(gap.x + dx, gap.y + dy);
                place.voids.push(void(Outline::Disc { centre, diameter: nest.finger }, VoidKind::FingerGap));
            }
            // The hole is wanted under the blank, clear of its edge.
            let centre = to_mm(path.bounds().centre());
            let room = blank.contains(centre) && blank.distance(centre) >= Length::INCH.to_mm();
            place.voids.extend(push_out_hole(setting, &path.bounds(), heights.floor).filter(|_| room));
        }
        let mut waived = sunk.waived.clone();
        if play_is_wide(setting, &path.bounds()) {
            waived.push(Rule::Play);
        }
        let mut trace = sunk.trace.clone();
        trace.reasons.push(nest.reason(drawn));
        let relief = (!nest.reliefs.is_empty()).then(|| Relief {
            diameter: setting.request.shop.pocket_cutter,
            bite: ends.unwrap_or_default().max(sides.unwrap_or_default()),
            bored: false,
        });
        let turned = turn_words(degrees);
        let placed = place_blank(setting, corner.x0, corner.y0, heights.floor + setting.adhesive);
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: degrees,
                variant: format!("sunk into {}, {turned}, {}", stock.name, hold_words(setting.hold)),
                carrier: Extent { length, width, thickness: heights.top },
                blank: placed,
                pockets: vec![Pocket { outline, z0: heights.floor, z1: heights.top, kind: PocketKind::Blind, relief }],
                parts: vec![part],
                joints: Vec::new(),
                bridge: false,
                // Fed backwards, an outline is the wrong way round, however equal the ends.
                lopsided: true,
                pocket_cutter: Some(setting.request.shop.pocket_cutter),
                waived,
                trace,
                depth_below_top: sunk.depth_below_top,
                assembly: Assembly::Single,
                wall: heights.depth(),
                glued_edges: false,
            },
        )
    }
}

/// Board a carrier takes, mm2.
fn board_mm2(design: &Design) -> f64 {
    design.carrier.length.to_mm() * design.carrier.width.to_mm()
}

/// Turns worth sizing, none by more than a right angle: least board first, those too wide for the machine left out.
fn turns(setting: &Setting<'_>, drawn: &Drawn) -> Vec<Turn> {
    let machine = &setting.request.machine;
    let around = clear_of(setting, drawn).to_mm() * 2.0;
    let ends = (machine.cutter_to_roller + machine.grip_wanted).to_mm() * 2.0 + around;
    let sides = super::layout::WALL.to_mm() * 2.0 + around;
    let least =
        ((machine.length.min + machine.length_guard).to_mm(), (machine.width.min + machine.width_guard).to_mm());
    let widest = (machine.width.max - machine.width_guard).to_mm();
    let corners = hull(&drawn.path.flattened(0.05));
    let lengths = [least.0 - ends];
    let widths = [least.1 - sides, widest - sides];
    let mut turns = critical_turns(&corners, (&lengths, &widths));
    turns.retain(|turn| turn.width + sides <= widest + 1e-6);
    for turn in &mut turns {
        // Turned by half a turn the box is the same.
        turn.degrees -= if turn.degrees > 90.0 { 180.0 } else { 0.0 };
    }
    let area = |turn: &Turn| (turn.length + ends).max(least.0) * (turn.width + sides).max(least.1);
    turns.sort_by(|a, b| area(a).total_cmp(&area(b)).then(a.degrees.abs().total_cmp(&b.degrees.abs())));
    // Many corners of a curve lie flush within a hair of each other.
    let mut kept: Vec<Turn> = Vec::new();
    for turn in turns {
        if kept.len() < MOST_TURNS && kept.iter().all(|other| (other.degrees - turn.degrees).abs() > 0.2) {
            kept.push(turn);
        }
    }
    kept
}

/// How far the nest stands off the outline.
fn clear_of(setting: &Setting<'_>, drawn: &Drawn) -> Length {
    let growth = setting.growth_along.max(setting.growth_across).half_up();
    drawn.error + setting.clearance() + growth
}

/// How a nest is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Making {
    /// Sunk by the cutter for pockets.
    Sunk,
    /// Sawn through a board, which gets into every corner.
    Sawn,
}

/// A nest round the blank as the request has it, before it is placed on the board.
pub struct Nest {
    /// Its outline.
    pub path: Path,
    /// How far it stands off the outline of the blank.
    clear: Length,
    /// Where the cutter is run out into corners.
    pub reliefs: Vec<Path>,
    /// Centres of the finger gaps.
    pub gaps: Vec<Point>,
    /// Diameter of the finger gaps.
    pub finger: Length,
}

impl Nest {
    /// The nest of a blank.
    ///
    /// # Errors
    /// Why none can be drawn, or made.
    pub fn of(setting: &Setting<'_>, drawn: &Drawn, making: Making) -> Result<Nest, Conflict> {
        let cutter = setting.request.shop.pocket_cutter;
        let radius = cutter.half_up().to_mm();
        let clear = clear_of(setting, drawn);
        let broken = |fault: OffsetFault| {
            let text = match fault {
                OffsetFault::Vanishes => "the outline is too small for a nest".to_owned(),
                OffsetFault::Splits(pieces) => format!("the nest falls into {pieces} pieces"),
                OffsetFault::Broken => "no simple nest can be drawn round the outline: simplify it".to_owned(),
            };
            Conflict::plain(Rule::EdgesShaped, text)
        };
        let grown = offset(&drawn.path, clear.to_mm() - SLIP).map_err(broken)?;
        let thinnest = NECK.half_up().to_mm();
        if making == Making::Sawn {
            let path = closed(&grown, thinnest).map_err(broken)?;
            let gaps = gaps(&path);
            return Ok(Nest { path, clear, reliefs: Vec::new(), gaps, finger: FINGER });
        }
        let path = closed(&grown, radius.max(thinnest)).map_err(broken)?;
        // The cutter's centre must be able to run everywhere inside, in one piece.
        let spare = Length::inches(1, 64).to_mm();
        let entered = offset(&path, -(radius + spare)).map_err(|fault| {
            let text = match fault {
                OffsetFault::Splits(pieces) => {
                    format!(
                        "a passage of the nest is too narrow for the {} cutter: it falls into {pieces} parts",
                        setting.say_depth(cutter)
                    )
                }
                _ => format!("the nest is too narrow for the {} cutter", setting.say_depth(cutter)),
            };
            Conflict::plain(Rule::CutterEnters, text)
        });
        entered?;
        let reached = offset(&path, -radius).and_then(|inner| offset(&inner, radius)).map_err(broken)?;
        let largest = offset(&drawn.path, (clear - setting.clearance()).to_mm()).map_err(broken)?;
        let reliefs = reliefs(setting, &largest, &reached, radius, setting.clearance().to_mm())?;
        let finger = FINGER.max(cutter + Length::inches(1, 16));
        let gaps = gaps(&path);
        Ok(Nest { path, clear, reliefs, gaps, finger })
    }

    /// The nest of the blank loaded turned, as the request so turned has it: drawn once, it is the same
    /// nest at every turn. Only the finger gaps lie elsewhere.
    fn turned(&self, drawn: &Drawn, degrees: f64) -> Nest {
        let corner = drawn.path.turned(degrees).bounds();
        let turned = |path: &Path| path.turned(degrees).moved(-corner.x0, -corner.y0);
        let path = turned(&self.path);
        let gaps = gaps(&path);
        Nest { path, clear: self.clear, reliefs: self.reliefs.iter().map(turned).collect(), gaps, finger: self.finger }
    }

    /// Why the nest stands off the outline as far as it does.
    pub fn reason(&self, drawn: &Drawn) -> Reason {
        let clearance = self.clear - drawn.error;
        Reason {
            dimension: "nest.clearance".to_owned(),
            value: self.clear,
            terms: vec![
                Term { label: "error of the outline".to_owned(), amount: drawn.error, rule: None },
                Term { label: "clearance".to_owned(), amount: clearance, rule: Some(Rule::NestClearance) },
            ],
            decided_by: Some(Rule::NestClearance),
            runner_up: None,
        }
    }

    /// How far reliefs and finger gaps reach beyond the box round the nest, at the ends and at the sides.
    pub fn bites(&self, bounds: &Rect) -> (Option<Length>, Option<Length>) {
        let gaps = self.gaps.iter().map(|gap| {
            let half = self.finger.half_up();
            Rect::new(gap.x - half, gap.y - half, gap.x + half, gap.y + half)
        });
        let (mut ends, mut sides) = (Length::ZERO, Length::ZERO);
        for area in self.reliefs.iter().map(Path::bounds).chain(gaps) {
            ends = ends.max(bounds.x0 - area.x0).max(area.x1 - bounds.x1);
            sides = sides.max(bounds.y0 - area.y0).max(area.y1 - bounds.y1);
        }
        let some = |bite: Length| (bite > Length::ZERO).then_some(bite);
        (some(ends), some(sides))
    }
}

/// Two finger gaps on the nest's outline, half way up it: nearest to the lead and to the trail end.
fn gaps(path: &Path) -> Vec<Point> {
    outermost(path, true, 0.5).map(Vec::from).unwrap_or_default()
}

/// Where a line along the feed first and last meets an outline, so far up its box; or a line across it, so
/// far along.
pub fn outermost(path: &Path, along: bool, share: f64) -> Option<[Point; 2]> {
    let turn = |(x, y): Mm| if along { (x, y) } else { (y, x) };
    let ring: Vec<Mm> = path.flattened(CHORD_ERROR).into_iter().map(turn).collect();
    let bounds = path.bounds();
    let (from, to) = (turn(to_mm(Point::new(bounds.x0, bounds.y0))).1, turn(to_mm(Point::new(bounds.x1, bounds.y1))).1);
    let line = from + (to - from) * share;
    let mut met: Vec<f64> = ring
        .iter()
        .zip(ring.iter().cycle().skip(1))
        .filter(|(a, b)| (a.1 <= line) != (b.1 <= line))
        .map(|(a, b)| a.0 + (b.0 - a.0) * (line - a.1) / (b.1 - a.1))
        .collect();
    met.sort_by(f64::total_cmp);
    let (first, last) = (met.first()?, met.last()?);
    Some([from_mm(turn((*first, line))), from_mm(turn((*last, line)))])
}

/// Where the largest blank is not reached by the cutter's round, the cutter is run out: from where it
/// stops, away from the nest, until everything of the blank there is within it.
fn reliefs(
    setting: &Setting<'_>,
    largest: &Path,
    reached: &Path,
    radius: f64,
    clearance: f64,
) -> Result<Vec<Path>, Conflict> {
    let ring = |path: &Path| -> Vec<[f64; 2]> { path.flattened(CHORD_ERROR).into_iter().map(|p| [p.0, p.1]).collect() };
    let left = ring(largest).overlay(&ring(reached), OverlayRule::Difference, FillRule::NonZero);
    let inner = reached.flattened(CHORD_ERROR);
    let mut reliefs = Vec::new();
    for shape in left {
        let Some(outer) = shape.into_iter().next() else { continue };
        let corner: Vec<Mm> = outer.into_iter().map(|p| (p[0], p[1])).collect();
        let deep = |p: &Mm| if in_ring(&inner, *p) { 0.0 } else { reached.distance(*p) };
        let Some(tip) = corner.iter().copied().max_by(|a, b| deep(a).total_cmp(&deep(b))) else { continue };
        if deep(&tip) <= SHALLOW {
            continue;
        }
        let from = nearest_on(&inner, tip);
        let depth = libm::hypot(tip.0 - from.0, tip.1 - from.1);
        let (dx, dy) = ((tip.0 - from.0) / depth, (tip.1 - from.1) / depth);
        // The cutter's centre when it stops, and how far it must go on.
        let start = (from.0 - dx * radius, from.1 - dy * radius);
        let relief = (0..=16).find_map(|step| {
            let run = depth + clearance + radius * f64::from(step) / 16.0;
            let end = (start.0 + dx * run, start.1 + dy * run);
            let within = |p: &Mm| crate::geometry::path::distance_to_line(*p, start, end) <= radius - 0.01;
            let outside = corner.iter().filter(|p| deep(p) > SHALLOW / 2.0);
            outside.into_iter().all(within).then(|| slot(start, end, (dx, dy), radius)).flatten()
        });
        match relief {
            Some(relief) => reliefs.push(relief),
            None => {
                let cutter = setting.say_depth(setting.request.shop.pocket_cutter);
                let text = format!("a corner of the outline is too sharp for the {cutter} cutter to be relieved");
                return Err(Conflict::plain(Rule::NestCorners, text));
            }
        }
    }
    Ok(reliefs)
}

/// The point of a ring nearest to a place.
fn nearest_on(ring: &[Mm], p: Mm) -> Mm {
    let mut best = (f64::INFINITY, p);
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let square = dx * dx + dy * dy;
        let part = if square > 0.0 { (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / square).clamp(0.0, 1.0) } else { 0.0 };
        let q = (a.0 + part * dx, a.1 + part * dy);
        let off = libm::hypot(p.0 - q.0, p.1 - q.1);
        if off < best.0 {
            best = (off, q);
        }
    }
    best.1
}

/// What a cutter sweeps from one place to another.
fn slot(from: Mm, to: Mm, (dx, dy): Mm, radius: f64) -> Option<Path> {
    let side = |p: Mm, along: f64, across: f64| {
        from_mm((p.0 + radius * (along * dx - across * dy), p.1 + radius * (along * dy + across * dx)))
    };
    Path::new(vec![
        Vertex::arc(side(from, 0.0, 1.0), side(from, -1.0, 0.0)),
        Vertex::line(side(from, 0.0, -1.0)),
        Vertex::arc(side(to, 0.0, -1.0), side(to, 1.0, 0.0)),
        Vertex::line(side(to, 0.0, 1.0)),
    ])
    .ok()
}
