//! Rows of one nest for blanks of any outline, sunk into one board: all the same way, or every second one
//! turned half round.

use super::super::assemble::{Draft, finish_gang, hold_words, place_blank};
use super::super::blind_pocket::{Sunk, can_be_sunk, push_out_hole, sunk_between};
use super::super::framed::{play_is_wide, stock_part};
use super::super::layout::{self, HALF, Line};
use super::super::outline_nest::{Making, Nest, outermost};
use super::super::stack::demand;
use super::super::{Attempt, Setting};
use super::gaps::Gaps;
use super::grid::{self, Cell, Figures, Grid, Layouts, Rows};
use super::spacing::Spacing;
use super::{Gang, best, described, free, rows_words, still_holds, with_cell};
use crate::design::{Design, Extent, GangLayout, Pocket, PocketKind, Relief, Role, Void, VoidKind, turn_words};
use crate::geometry::path::{Mm, Path, to_mm};
use crate::geometry::{Lay, Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Drawn, Shape};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Of all board, what turning every second nest half round must save to be worth it.
pub const WORTH_TURNING: f64 = 0.98;
/// Finger gaps that take more of the wall than this hardly leave the blank its place. Judgement.
const MOST_OPENED: f64 = 0.25;

/// Rows of the blank as drawn, and of it turned by a right angle where it may be turned.
pub fn attempts(setting: &Setting<'_>, gang: &Gang, drawn: &Drawn) -> Vec<Attempt> {
    let request = setting.request;
    // An area to carve stays where it was stated: then there is no request for the blank turned.
    let quarter = if request.blank.turn_free { request.turned_by(90.0) } else { None };
    let turned = quarter.as_ref().map(|request| {
        let mut turned = Setting::new(request, false, setting.hold);
        turned.upper_choice = setting.upper_choice;
        turned
    });
    let mixed = !request.blank.others.is_empty();
    let mut attempts = Vec::new();
    if !mixed {
        let names = ["nests in one board", "nests in one board, in pairs"];
        attempts = nests(setting, gang, drawn, 0.0, names);
        if let Some(turned) = &turned
            && let Shape::Outline(drawn) = &turned.request.blank.shape
        {
            let names = ["nests in one board, turned", "nests in one board, turned, in pairs"];
            attempts.extend(nests(turned, gang, drawn, 90.0, names));
        }
    }
    let mut rows: Vec<GangLayout> = Vec::new();
    if let Some(best) = attempts.iter().filter_map(|attempt| attempt.result.as_ref().ok()?.gang.as_ref()).next() {
        rows.clone_from(&best.layouts);
    }
    let free = std::iter::once((0.0, setting)).chain(turned.as_ref().map(|turned| (90.0, turned)));
    let free = free.map(|(degrees, setting)| (degrees, free::attempt(setting, gang, request, degrees, &rows)));
    let free: Vec<(f64, Result<Design, Conflict>)> = free.collect();
    for (degrees, found) in free {
        let name = if degrees == 0.0 { "nests set freely" } else { "nests set freely, turned" };
        match found {
            Ok(design) if mixed || free::is_worth(&design, &attempts) => attempts.push(Attempt::works(design)),
            Ok(_) => {}
            // Of one outline only what is better than rows is told.
            Err(conflict) if mixed => attempts.push(Attempt::fails(name, conflict)),
            Err(_) => {}
        }
    }
    attempts
}

/// The nests of a board: one, how they stand, and what is said of the blank in them.
struct Nests<'a> {
    drawn: &'a Drawn,
    nest: &'a Nest,
    gaps: Gaps,
    cell: Cell,
    layouts: Layouts,
    degrees: f64,
}

/// All nests the same way, and every second one turned half round where that saves board.
fn nests(setting: &Setting<'_>, gang: &Gang, drawn: &Drawn, degrees: f64, names: [&str; 2]) -> Vec<Attempt> {
    let [alike, pairs] = names;
    let nest = match can_be_sunk(setting).and_then(|()| Nest::of(setting, drawn, Making::Sunk)) {
        Ok(nest) => nest,
        Err(conflict) => return vec![Attempt::fails(alike, conflict)],
    };
    let make = |found: &Nests<'_>| {
        best(&found.layouts, |grid, along, across| found.board(setting, gang, grid, (along, across)))
    };
    let plain = closest(setting, drawn, &nest, degrees, false);
    let taken = plain.as_ref().ok().and_then(|found| found.layouts.takes(setting));
    let mut attempts = vec![Attempt::of(alike, plain.and_then(|found| make(&found)))];
    // Grain runs the same way either way round; artwork on a stated area does not.
    if !setting.request.blank.turn_free || setting.request.carve.stated {
        return attempts;
    }
    if let Ok(found) = closest(setting, drawn, &nest, degrees, true) {
        let better = match (taken, found.layouts.takes(setting)) {
            (Some((wishes, loads, area)), Some((fewer, again, less))) => {
                fewer <= wishes && (again < loads || (again == loads && less <= area * WORTH_TURNING))
            }
            (None, taken) => taken.is_some(),
            (Some(_), None) => false,
        };
        if better {
            attempts.push(Attempt::of(pairs, make(&found)));
        }
    }
    attempts
}

/// The rows of a nest that take least, the finger gaps where they cost least, if that leaves enough of the
/// wall; of places that cost the same, where they take least of it.
fn closest<'a>(
    setting: &Setting<'_>,
    drawn: &'a Drawn,
    nest: &'a Nest,
    degrees: f64,
    in_pairs: bool,
) -> Result<Nests<'a>, Conflict> {
    let (bounds, step) = (nest.path.bounds(), setting.step());
    let bare = Cell::of(setting, None);
    let web = bare.web.value;
    let relieved = beyond_box(&bounds, nest.reliefs.iter().map(Path::bounds));
    let beyond = |size: Length, bite: Length| (size + bite * 2 + web).up(step);
    // A stated area to carve lies in the box of the blank and must not reach into the next nest.
    let boxes = Point::new((bounds.length() + web).up(step), (bounds.width() + web).up(step));
    let from = if setting.request.carve.stated { boxes } else { Point::new(web, web) };
    let most = |bites: Point| Point::new(beyond(bounds.length(), bites.x), beyond(bounds.width(), bites.y));
    let row_of = |spacing: &Spacing, from: Length, most: Length| {
        if in_pairs { spacing.pairs(step, from, most) } else { spacing.row(step, from, most) }
    };
    let mut spacing = Spacing::of(&nest.path, &nest.reliefs, web, layout::WEB_LEFT);
    // No finger gap brings nests nearer together than they may stand without.
    let (without, _) = row_of(&spacing, from.x, most(relieved).x);
    let least = without.pair.map_or(without.pitch, |pair| pair.min(without.pitch - pair));
    let mut chosen: Option<((bool, Figures, i64), Nests<'a>)> = None;
    let mut refused: Option<Conflict> = None;
    for gaps in lines(nest) {
        let own = gaps.at.map(|at| Outline::Disc { centre: at, diameter: gaps.finger }.bounds());
        let alone = beyond_box(&bounds, nest.reliefs.iter().map(Path::bounds).chain(own));
        spacing = spacing.with_gaps(gaps);
        let (row, along) = row_of(&spacing, from.x.max(least), most(alone).x);
        let (rows, across) = spacing.rows(step, &row, from.y, most(alone));
        let mut cell = bare.clone();
        (cell.pitch, cell.pair, cell.decided) = (Point::new(row.pitch, rows), row.pair, [along, across]);
        // A shared gap is wider than one's own, and may reach beyond the box where nests are small.
        let four =
            Grid { kind: Rows::Straight, rows: 2, columns: 3, pitch: cell.pitch, pair: row.pair, shift: Length::ZERO };
        let all = gaps.discs(&four, &bounds);
        let field = Rect::new(
            bounds.x0,
            bounds.y0,
            bounds.x1 + four.offsets().iter().map(|by| by.x).max().unwrap_or_default(),
            bounds.y1 + rows,
        );
        let reach = beyond_box(&field, all.iter().map(Outline::bounds));
        let bites = Point::new(alone.x.max(reach.x), alone.y.max(reach.y));
        let some = |bite: Length| (bite > Length::ZERO).then_some(bite);
        cell.bites = (some(bites.x), some(bites.y));
        match grid::layouts(setting, &cell, &[Rows::Straight]) {
            Ok(layouts) => {
                let Some(figures) = layouts.figures() else { continue };
                let opened = opened(nest, &gaps);
                let key = (opened > nest.path.length_mm() * MOST_OPENED, figures, (opened * 100.0) as i64);
                if chosen.as_ref().is_none_or(|(least, _)| key < *least) {
                    chosen = Some((key, Nests { drawn, nest, gaps, cell, layouts, degrees }));
                }
            }
            Err(conflict) => {
                refused.get_or_insert(conflict);
            }
        }
    }
    match (chosen, refused) {
        (Some((_, nests)), _) => Ok(nests),
        (None, Some(conflict)) => Err(conflict),
        (None, None) => Err(Conflict::plain(Rule::FingerGaps, "no place for finger gaps")),
    }
}

/// Where the finger gaps of a nest may be: at its ends half way up, at its sides half way along and near
/// either end.
fn lines(nest: &Nest) -> Vec<Gaps> {
    [(true, 0.5), (false, 0.5), (false, 0.25), (false, 0.75)]
        .into_iter()
        .filter_map(|(ends, share)| Some(Gaps { ends, at: outermost(&nest.path, ends, share)?, finger: nest.finger }))
        .collect()
}

/// How much of the wall the finger gaps of one nest take away, mm.
fn opened(nest: &Nest, gaps: &Gaps) -> f64 {
    let ring = nest.path.flattened(0.05);
    let radius = gaps.finger.half_up().to_mm();
    let middles = gaps.at.map(to_mm);
    let gone = |p: Mm| middles.iter().any(|q| libm::hypot(p.0 - q.0, p.1 - q.1) < radius);
    let chords = ring.iter().zip(ring.iter().cycle().skip(1)).flat_map(|(a, b)| {
        let parts = libm::ceil(libm::hypot(b.0 - a.0, b.1 - a.1)).clamp(1.0, 10_000.0);
        let at = move |part: u32| {
            let share = (f64::from(part) + 0.5) / parts;
            (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
        };
        let long = libm::hypot(b.0 - a.0, b.1 - a.1) / parts;
        (0..parts as u32).map(move |part| (at(part), long))
    });
    chords.filter(|(p, _)| gone(*p)).map(|(_, long)| long).sum()
}

/// How far areas reach beyond a box, at its ends (x) and at its sides (y), whichever is more.
pub fn beyond_box(room: &Rect, areas: impl Iterator<Item = Rect>) -> Point {
    areas.fold(Point::default(), |most, area| {
        let x = most.x.max(room.x0 - area.x0).max(area.x1 - room.x1);
        Point::new(x, most.y.max(room.y0 - area.y0).max(area.y1 - room.y1))
    })
}

impl Nests<'_> {
    fn board(
        &self,
        setting: &Setting<'_>,
        gang: &Gang,
        grid: &Grid,
        (along, across): (&Line, &Line),
    ) -> Result<Design, Conflict> {
        let Nests { drawn, nest, cell, degrees, .. } = self;
        let narrowest = cell.length.value.min(cell.width.value);
        let opening = (cell.length.value, cell.width.value);
        let sunk = sunk_between(setting, along.clone(), across.clone(), narrowest, opening)?;
        let Sunk { stock, heights, .. } = &sunk;
        let (length, width) = (along.total(), across.total());
        let bounds = nest.path.bounds();
        // Lead and fence sides of the first nest lie on the ruler, and with them those of all others.
        let (dx, dy) = (along.near() - bounds.x0, across.near() - bounds.y0);
        let blank = drawn.path.moved(dx, dy);
        let corner = blank.bounds();
        let [_, _, _, far] = setting.margins;
        let room = bounds.moved(dx, dy);
        // Turned half round, a blank lies as far from the other side of its nest.
        let near = if grid.pair.is_some() { corner.y0.max(room.y0 + room.y1 - corner.y1) } else { corner.y0 };
        let cut = [
            ("blank from the fence", near),
            ("rows before the last", grid.pitch.y * (grid.rows as i64 - 1)),
            ("blank to far side of cut", setting.width.nominal - far),
            ("cutter radius and overrun", setting.reach()),
        ];
        let window = setting.request.machine.window.max;
        demand(setting, Rule::CutterWindow, "far side of the cut", &cut, window, true)?;
        let board = Rect::new(Length::ZERO, Length::ZERO, length, width);
        let mut part = stock_part("board", Role::Board, stock, board, (Length::ZERO, heights.top));
        let relieved = beyond_box(&bounds, nest.reliefs.iter().map(Path::bounds));
        let relief = (!nest.reliefs.is_empty()).then(|| Relief {
            diameter: setting.request.shop.pocket_cutter,
            bite: relieved.x.max(relieved.y),
            bored: false,
        });
        let layout = described(setting, grid, cell, &self.layouts);
        let (z0, z1) = (heights.floor, heights.top);
        let (mut pockets, mut voids) = (Vec::new(), Vec::new());
        let first = Outline::Path(nest.path.moved(dx, dy));
        // The hole is wanted under the blank, clear of its edge.
        let centre = to_mm(bounds.centre());
        let clear = drawn.path.contains(centre) && drawn.path.distance(centre) >= Length::INCH.to_mm();
        for (place, offset) in grid.offsets().into_iter().enumerate() {
            let turned = layout.is_turned(place);
            // Turned half round a nest lies in the same box.
            let by = Point::new(offset.x + room.x0 + room.x1, offset.y + room.y0 + room.y1);
            let lay = Lay { turned, by: if turned { by } else { offset } };
            let outline = lay.outline(&first);
            let void = |outline: Outline, kind: VoidKind| Void { outline, z0, z1, kind };
            voids.push(void(outline.clone(), VoidKind::Pocket));
            let reliefs = nest.reliefs.iter().map(|relief| Outline::Path(relief.moved(dx, dy)));
            voids.extend(reliefs.map(|relief| void(lay.outline(&relief), VoidKind::Relief)));
            let hole = push_out_hole(setting, &room.moved(offset.x, offset.y), z0);
            voids.extend(hole.filter(|hole| clear && still_holds(setting, hole)));
            pockets.push(Pocket { outline, z0, z1, kind: PocketKind::Blind, relief });
        }
        let gaps = self.gaps.discs(grid, &bounds).into_iter().map(|gap| gap.moved(dx, dy));
        voids.extend(gaps.map(|outline| Void { outline, z0, z1, kind: VoidKind::FingerGap }));
        if let Some(place) = part.places.first_mut() {
            place.voids = voids;
        }
        let mut waived = sunk.waived.clone();
        if play_is_wide(setting, &bounds) {
            waived.push(Rule::Play);
        }
        let mut trace = with_cell(sunk.trace.clone(), grid, cell);
        trace.reasons.push(nest.reason(drawn));
        let draft = Draft {
            contacts: Vec::new(),
            turn: *degrees,
            variant: format!(
                "{} nests in {}, {}{}, {}",
                rows_words(grid),
                stock.name,
                turn_words(*degrees),
                if grid.pair.is_some() { " and every second one turned half round" } else { "" },
                hold_words(setting.hold)
            ),
            carrier: Extent { length, width, thickness: heights.top },
            blank: place_blank(setting, corner.x0, corner.y0, heights.floor + setting.adhesive),
            pockets,
            parts: vec![part],
            joints: Vec::new(),
            bridge: false,
            // Fed backwards, every nest is the wrong way round.
            lopsided: true,
            pocket_cutter: Some(setting.request.shop.pocket_cutter),
            waived,
            trace,
            depth_below_top: sunk.depth_below_top,
            assembly: Assembly::Single,
            wall: heights.depth(),
            glued_edges: false,
        };
        finish_gang(setting, gang, draft, Some(layout))
    }
}

const _: () = assert!(layout::WEB_LEFT.ticks() <= HALF.ticks(), "cuts a web apart leave what is wanted between them");
