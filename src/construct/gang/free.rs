//! Nests that stand in no rows, of one outline or of several: as they are found to take least, the place
//! of each on whole marks, every distance proven from the true outlines.

use super::super::assemble::{Draft, finish_kinds, hold_words, place_blank};
use super::super::blind_pocket::{Sunk, can_be_sunk, push_out_hole, sunk_between};
use super::super::framed::{play_is_wide, stock_part};
use super::super::layout::{self, Edges, Line, Rails};
use super::super::outline_nest::{Making, Nest};
use super::super::stack::demand;
use super::super::{Attempt, Setting};
use super::fingers::{Seat, fingers};
use super::grid::{Cell, Grid, Rows};
use super::nests::{WORTH_TURNING, beyond_box};
use super::spacing::{Ring, SLACK};
use super::{Gang, still_holds, with_cell};
use crate::design::{
    Design, Extent, Gang as Layout, GangLayout, Kind, Nested, Pocket, PocketKind, Relief, Role, Void, VoidKind,
    turn_words,
};
use crate::geometry::contour::Contour;
use crate::geometry::nesting::{Field, Figure, Kept, Laid, Nester};
use crate::geometry::path::{Mm, Path, to_mm};
use crate::geometry::{Lay, Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Drawn, Objective, Request, Shape};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Chords that stand for arcs while places are looked for, mm.
const CHORD: f64 = 0.005;
/// Marks are no finer than this, mm: of a finer ruler every second one is used, or every fourth.
const LEAST_MARK: Length = Length::micrometres(750);
/// Outlines laid while the best layout of a board is looked for, beyond the first tries.
const WORK: usize = 6_000;
/// Widths of the field that are tried, the greatest first, each an eighth of it less.
const WIDTHS: i64 = 6;
/// Numbers of loads tried beyond the least conceivable.
const MORE_LOADS: usize = 40;
/// Boards whose finger gaps are looked for, best first.
const BOARDS: usize = 6;
/// No more pockets are nested freely in a board than this.
const MOST: usize = 250;
/// How far a gap may reach into a rail that takes no harm by it: what a wall has over what is left.
const SPARE: Length = Length::from_ticks(layout::WALL.ticks() - layout::HALF.ticks());

/// One of the outlines: its request, as loaded, and its nest.
struct One {
    request: Request,
    drawn: Drawn,
    nest: Nest,
    count: usize,
}

/// What a board is compared with others by: wishes left out, then by the objective.
type Key = (usize, [i128; 3]);

/// Where nests were laid, and the lines of the board round them.
struct Board {
    key: Key,
    loads: usize,
    pockets: Vec<usize>,
    laid: Vec<Laid>,
}

/// Outlines nested freely, all loaded turned by so many degrees; `rows` are the layouts in rows it is
/// compared with.
pub fn attempt(
    setting: &Setting<'_>,
    gang: &Gang,
    whole: &Request,
    degrees: f64,
    rows: &[GangLayout],
) -> Result<Design, Conflict> {
    can_be_sunk(setting)?;
    if setting.request.carve.stated {
        let text =
            "an area to carve is stated, which lies in the box of its blank; only whole blanks are nested freely";
        return Err(Conflict::plain(Rule::GangCount, text));
    }
    let mut ones = Vec::new();
    for kind in 0..=whole.blank.others.len() {
        let Some(request) = whole.of_kind(kind) else { continue };
        let request = request.turned_by(degrees).unwrap_or(request);
        let Shape::Outline(drawn) = request.blank.shape.clone() else { continue };
        let count = usize::try_from(request.blank.count).unwrap_or(usize::MAX);
        let nest = Nest::of(&like(setting, &request), &drawn, Making::Sunk)?;
        ones.push(One { request, drawn, nest, count });
    }
    Free::of(setting, &ones, degrees).design(gang, rows)
}

/// A request seen as another is.
fn like<'a>(setting: &Setting<'_>, request: &'a Request) -> Setting<'a> {
    let mut other = Setting::new(request, false, setting.hold);
    other.upper_choice = setting.upper_choice;
    other
}

struct Free<'a> {
    setting: &'a Setting<'a>,
    ones: &'a [One],
    cells: Vec<Cell>,
    mark: Length,
    degrees: f64,
}

fn chords(path: &Path, error: f64) -> Vec<Mm> {
    let spots = Contour::of(&Outline::Path(path.clone())).flat(error);
    spots.into_iter().map(|spot| (spot.x, spot.y)).collect()
}

impl<'a> Free<'a> {
    fn of(setting: &'a Setting<'a>, ones: &'a [One], degrees: f64) -> Free<'a> {
        let cells = ones.iter().map(|one| Cell::of(&like(setting, &one.request), None)).collect();
        let mut mark = setting.step();
        while mark < LEAST_MARK {
            mark = mark * 2;
        }
        Free { setting, ones, cells, mark, degrees }
    }

    fn web(&self) -> Length {
        self.cells.first().map_or(layout::HALF, |cell| cell.web.value)
    }

    /// Whether blanks may be turned half round.
    fn turns(&self) -> bool {
        self.setting.request.blank.turn_free
    }

    /// The nest of an outline as it lies, with its reliefs, its box where it is as drawn.
    fn laid_so(&self, kind: usize, turned: bool) -> Option<(Path, Vec<Path>)> {
        let nest = &self.ones.get(kind)?.nest;
        let room = nest.path.bounds();
        let lay = |path: &Path| {
            if turned { path.turned(180.0).moved(room.x0 + room.x1, room.y0 + room.y1) } else { path.clone() }
        };
        Some((lay(&nest.path), nest.reliefs.iter().map(lay).collect()))
    }

    fn figures(&self, kind: usize) -> Vec<Figure> {
        let turns = if self.turns() { &[false, true][..] } else { &[false][..] };
        let figure = |turned: &bool| {
            let (nest, reliefs) = self.laid_so(kind, *turned)?;
            let cuts: Vec<Vec<Mm>> = reliefs.iter().map(|relief| chords(relief, CHORD)).collect();
            Figure::of(&chords(&nest, CHORD), &cuts)
        };
        turns.iter().filter_map(figure).collect()
    }

    /// Length and width of a pocket, on the ruler.
    fn pocket(&self, kind: usize) -> Point {
        self.cells.get(kind).map_or_else(Point::default, |cell| Point::new(cell.length.value, cell.width.value))
    }

    /// The outline whose pocket is the longest, and the one whose is the widest: they stand for the last of
    /// a row.
    fn largest(&self) -> (usize, usize) {
        let most = |size: fn(&Cell) -> Length| {
            let sizes = self.cells.iter().enumerate().map(|(kind, cell)| (size(cell), std::cmp::Reverse(kind)));
            sizes.max().map_or(0, |(_, kind)| kind.0)
        };
        (most(|cell| cell.length.value), most(|cell| cell.width.value))
    }

    fn along(&self, field: Length, bite: Option<Length>) -> Result<Line, Conflict> {
        let kind = self.largest().0;
        let setting = self.ones.get(kind).map(|one| like(self.setting, &one.request));
        let setting = setting.as_ref().unwrap_or(self.setting);
        layout::along_row(setting, bite, field - self.pocket(kind).x)
    }

    fn across(&self, field: Length, bite: Option<Length>) -> Result<Line, Conflict> {
        let kind = self.largest().1;
        let setting = self.ones.get(kind).map(|one| like(self.setting, &one.request));
        let setting = setting.as_ref().unwrap_or(self.setting);
        let rails = Rails { least: layout::WALL, carries_strip: false, bite, stiff: None, along: None };
        layout::across_rows(setting, Edges::Loose, rails, field - self.pocket(kind).y)
    }

    /// The greatest field for which a line can be laid out with no more wishes left out than for the least.
    fn greatest(&self, least: Length, line: impl Fn(Length) -> Result<Line, Conflict>) -> Result<Length, Conflict> {
        let waived = line(least)?.waived.len();
        let does = |marks: i64| line(least + self.mark * marks).is_ok_and(|line| line.waived.len() <= waived);
        let (mut low, mut high) = (0, 4096);
        while low + 1 < high {
            let middle = (low + high) / 2;
            if does(middle) { low = middle } else { high = middle }
        }
        Ok(least + self.mark * low)
    }

    /// The field that nests laid so take.
    fn taken(&self, laid: &[Laid]) -> Point {
        laid.iter().fold(Point::default(), |most, place| {
            let (at, size) = (self.at(place), self.pocket(place.outline));
            Point::new(most.x.max(at.x + size.x), most.y.max(at.y + size.y))
        })
    }

    fn at(&self, place: &Laid) -> Point {
        Point::new(self.mark * i64::from(place.x), self.mark * i64::from(place.y))
    }

    fn key(&self, laid: &[Laid], loads: usize) -> Option<Key> {
        let field = self.taken(laid);
        let (along, across) = (self.along(field.x, None).ok()?, self.across(field.y, None).ok()?);
        let (loads, length) = (loads as i128, i128::from(along.total().ticks()));
        let area = length * i128::from(across.total().ticks()) * loads;
        let by = match self.setting.request.objective {
            Objective::FewestLoads => [loads, area, length],
            Objective::LeastWood => [area, loads, length],
            Objective::Shortest | Objective::NoEmptyPockets => [loads, length, area],
        };
        Some((along.waived.len() + across.waived.len(), by))
    }

    /// Boards found, best first.
    fn boards(&self, nester: &Nester, field: Point) -> Vec<Board> {
        let counts: Vec<usize> = self.ones.iter().map(|one| one.count).collect();
        let area: f64 = counts.iter().enumerate().map(|(kind, count)| nester.area_mm2(kind) * *count as f64).sum();
        let room = field.x.to_mm() * field.y.to_mm();
        let least = (area / room.max(1.0)).max(1.0) as usize;
        let most = counts.iter().copied().max().unwrap_or(1);
        let even = self.setting.request.objective == Objective::NoEmptyPockets;
        let mut boards: Vec<Board> = Vec::new();
        for loads in least..=most.min(least.saturating_add(MORE_LOADS)) {
            let pockets: Vec<usize> = counts.iter().map(|count| count.div_ceil(loads)).collect();
            let all: usize = pockets.iter().sum();
            if !(2..=MOST).contains(&all) || (even && counts.iter().any(|count| !count.is_multiple_of(loads))) {
                continue;
            }
            let mut widths: Vec<Length> =
                (0..WIDTHS).map(|less| Length::from_ticks(field.y.ticks() / 8 * (8 - less)).down(self.mark)).collect();
            widths.dedup();
            let lay = |wide: Length, work: usize| -> Option<Board> {
                let laid = nester.nest(&pockets, Field { long: field.x.to_mm(), wide: wide.to_mm() }, work)?;
                let key = self.key(&laid, loads)?;
                Some(Board { key, loads, pockets: pockets.clone(), laid })
            };
            let mut found: Vec<(Length, Board)> =
                widths.into_iter().filter_map(|wide| Some((wide, lay(wide, 0)?))).collect();
            found.sort_by_key(|(_, board)| board.key);
            if let Some((wide, _)) = found.first() {
                boards.extend(lay(*wide, WORK));
            }
            boards.extend(found.into_iter().map(|(_, board)| board));
            if !boards.is_empty() {
                break;
            }
        }
        boards.sort_by_key(|board| board.key);
        boards
    }

    fn design(&self, gang: &Gang, rows: &[GangLayout]) -> Result<Design, Conflict> {
        let largest = self.largest();
        let (least_x, least_y) = (self.pocket(largest.0).x, self.pocket(largest.1).y);
        let field = Point::new(
            self.greatest(least_x, |field| self.along(field, None))?,
            self.greatest(least_y, |field| self.across(field, None))?,
        );
        let kept = Kept {
            web: self.web().to_mm() + SLACK + 2.0 * CHORD,
            left: layout::WEB_LEFT.to_mm() + SLACK + 2.0 * CHORD,
        };
        let outlines = (0..self.ones.len()).map(|kind| self.figures(kind)).collect();
        let nester = Nester::of(outlines, kept, self.mark.to_mm());
        let mut refused = None;
        for board in self.boards(&nester, field).iter().take(BOARDS) {
            match self.made(gang, rows, board) {
                Ok(design) => return Ok(design),
                Err(conflict) => {
                    refused.get_or_insert(conflict);
                }
            }
        }
        let none = || Conflict::plain(Rule::LengthMax, "no carrier that the machine takes holds them");
        Err(refused.unwrap_or_else(none))
    }

    /// The nests of a board in the order of their numbers, the first one as drawn: outline by outline, each
    /// from the lead end.
    fn numbered(&self, laid: &[Laid]) -> Option<Vec<(usize, bool, Point)>> {
        let turned = |place: &Laid| if self.turns() { place.figure % 2 == 1 } else { false };
        let mut all: Vec<(usize, bool, Point)> =
            laid.iter().map(|place| (place.outline, turned(place), self.at(place))).collect();
        all.sort_by_key(|(kind, _, at)| (*kind, at.x, at.y));
        let first = all.iter().position(|(kind, turned, _)| *kind == 0 && !turned)?;
        let first = all.remove(first);
        all.insert(0, first);
        Some(all)
    }

    /// Proves from the true outlines that enough is left between every two.
    fn proven(&self, all: &[(usize, bool, Point)]) -> bool {
        struct Cut {
            nest: Ring,
            reliefs: Vec<Ring>,
        }
        let cut = |kind: usize, turned: bool| {
            let (nest, reliefs) = self.laid_so(kind, turned)?;
            let room = nest.bounds();
            let ring = |path: &Path| Ring::of(&Outline::Path(path.moved(-room.x0, -room.y0)));
            Some(Cut { nest: ring(&nest), reliefs: reliefs.iter().map(ring).collect() })
        };
        let cuts: Vec<[Option<Cut>; 2]> =
            (0..self.ones.len()).map(|kind| [cut(kind, false), cut(kind, true)]).collect();
        let of = |kind: usize, turned: bool| cuts.get(kind)?.get(usize::from(turned))?.as_ref();
        let (web, left) = (self.web().to_mm() + SLACK, layout::WEB_LEFT.to_mm() + SLACK);
        all.iter().enumerate().all(|(place, (kind, turned, at))| {
            all.iter().skip(place + 1).all(|(other, again, there)| {
                let (Some(one), Some(two)) = (of(*kind, *turned), of(*other, *again)) else { return false };
                let by = to_mm(Point::new(there.x - at.x, there.y - at.y));
                let reliefs = |mine: &Ring| two.reliefs.iter().all(|theirs| mine.apart(theirs, by, left) >= left);
                one.nest.apart(&two.nest, by, web) >= web
                    && reliefs(&one.nest)
                    && one.reliefs.iter().all(|mine| mine.apart(&two.nest, by, left) >= left && reliefs(mine))
            })
        })
    }

    /// Finger gaps, none of them in the way of a rail; where that cannot be, wherever there is room.
    fn gaps(&self, seats: &[Seat], field: Point) -> Result<Vec<Outline>, Conflict> {
        let finger = self.ones.iter().map(|one| one.nest.finger).max().unwrap_or(Length::INCH);
        let (ends, tight) = (Length::INCH, Rect::new(Length::ZERO, Length::ZERO, field.x, field.y));
        let within = |sides: Length| Rect::new(tight.x0 - ends, tight.y0 - sides, tight.x1 + ends, tight.y1 + sides);
        fingers(seats, layout::WEB_LEFT, finger, within(SPARE))
            .or_else(|| fingers(seats, layout::WEB_LEFT, finger, within(Length::INCH)))
            .ok_or_else(|| Conflict::plain(Rule::FingerGaps, "no place for two finger gaps at every nest"))
    }

    fn made(&self, gang: &Gang, rows: &[GangLayout], board: &Board) -> Result<Design, Conflict> {
        let setting = self.setting;
        let none = |text: &str| Conflict::plain(Rule::Web, text);
        let all = self.numbered(&board.laid).ok_or_else(|| none("no nest lies as it is drawn"))?;
        if !self.proven(&all) {
            return Err(none("two nests stand too near"));
        }
        let taken = self.taken(&board.laid);
        // Every nest where it lies in the field.
        let in_field = |(kind, turned, at): &(usize, bool, Point)| {
            let (nest, reliefs) = self.laid_so(*kind, *turned)?;
            let room = nest.bounds();
            let moved = |path: &Path| path.moved(at.x - room.x0, at.y - room.y0);
            Some((moved(&nest), reliefs.iter().map(moved).collect::<Vec<Path>>()))
        };
        let cut: Vec<(Path, Vec<Path>)> = all.iter().filter_map(in_field).collect();
        let seat = |(nest, reliefs): &(Path, Vec<Path>)| Seat {
            wall: chords(nest, CHORD),
            reliefs: reliefs.iter().map(|relief| chords(relief, CHORD)).collect(),
        };
        let seats: Vec<Seat> = cut.iter().map(seat).collect();
        let gaps = self.gaps(&seats, taken)?;
        let field = Rect::new(Length::ZERO, Length::ZERO, taken.x, taken.y);
        let reliefs = cut.iter().flat_map(|(_, reliefs)| reliefs).map(Path::bounds);
        let bites = beyond_box(&field, reliefs.chain(gaps.iter().map(Outline::bounds)));
        let some = |bite: Length| (bite > Length::ZERO).then_some(bite);
        let (along, across) = (self.along(taken.x, some(bites.x))?, self.across(taken.y, some(bites.y))?);
        let most = |size: fn(&Cell) -> Length| self.cells.iter().map(size).max().unwrap_or_default();
        let narrowest = self.cells.iter().map(|cell| cell.length.value.min(cell.width.value)).min();
        let opening = (most(|cell| cell.length.value), most(|cell| cell.width.value));
        let sunk = sunk_between(setting, along, across, narrowest.unwrap_or_default(), opening)?;
        let Sunk { along, across, stock, heights, .. } = &sunk;
        let (length, width) = (along.total(), across.total());
        let (dx, dy) = (along.near(), across.near());
        let rect = Rect::new(Length::ZERO, Length::ZERO, length, width);
        let mut part = stock_part("board", Role::Board, stock, rect, (Length::ZERO, heights.top));
        let (z0, z1) = (heights.floor, heights.top);
        let void = |outline: Outline, kind: VoidKind| Void { outline, z0, z1, kind };
        let (mut pockets, mut voids, mut nested) = (Vec::new(), Vec::new(), Vec::new());
        let mut waived = sunk.waived.clone();
        for ((kind, turned, _), (nest, reliefs)) in all.iter().zip(&cut) {
            let Some(one) = self.ones.get(*kind) else { continue };
            let bounds = one.nest.path.bounds();
            let nest = nest.moved(dx, dy);
            let room = nest.bounds();
            // As drawn the nest lies about its blank; both lie so here, or turned half round together.
            let vertex = |path: &Path| path.vertices().first().map(|vertex| vertex.point).unwrap_or_default();
            let (from, to) = (vertex(&one.nest.path), vertex(&nest));
            let by = if *turned {
                Point::new(to.x + from.x, to.y + from.y)
            } else {
                Point::new(to.x - from.x, to.y - from.y)
            };
            let lay = Lay { turned: *turned, by };
            nested.push(Nested {
                kind: *kind,
                turned: *turned,
                blank: lay.outline(&Outline::Path(one.drawn.path.clone())),
            });
            voids.push(void(Outline::Path(nest.clone()), VoidKind::Pocket));
            let reliefs = reliefs.iter().map(|relief| Outline::Path(relief.moved(dx, dy)));
            voids.extend(reliefs.map(|relief| void(relief, VoidKind::Relief)));
            // The hole is wanted under the blank, clear of its edge.
            let setting = like(setting, &one.request);
            let centre = to_mm(bounds.centre());
            let clear = one.drawn.path.contains(centre) && one.drawn.path.distance(centre) >= Length::INCH.to_mm();
            let hole = push_out_hole(&setting, &room, z0);
            voids.extend(hole.filter(|hole| clear && still_holds(&setting, hole)));
            if play_is_wide(&setting, &bounds) {
                waived.push(Rule::Play);
            }
            let relieved = beyond_box(&bounds, one.nest.reliefs.iter().map(Path::bounds));
            let relief = (!one.nest.reliefs.is_empty()).then(|| Relief {
                diameter: setting.request.shop.pocket_cutter,
                bite: relieved.x.max(relieved.y),
                bored: false,
            });
            pockets.push(Pocket { outline: Outline::Path(nest), z0, z1, kind: PocketKind::Blind, relief });
        }
        voids.extend(gaps.into_iter().map(|gap| void(gap.moved(dx, dy), VoidKind::FingerGap)));
        if let Some(place) = part.places.first_mut() {
            place.voids = voids;
        }
        let corner = nested.first().map(|nested| nested.blank.bounds()).unwrap_or_default();
        let far = nested.iter().map(|nested| nested.blank.bounds().y1).max().unwrap_or_default();
        let cut = [("far side of the last blank", far), ("cutter radius and overrun", setting.reach())];
        demand(setting, Rule::CutterWindow, "far side of the cut", &cut, setting.request.machine.window.max, true)?;
        let one_row = Grid {
            kind: Rows::Straight,
            rows: 1,
            columns: 1,
            pitch: Point::default(),
            pair: None,
            shift: Length::ZERO,
        };
        let mut trace = match self.cells.first() {
            Some(cell) => with_cell(sunk.trace.clone(), &one_row, cell),
            None => sunk.trace.clone(),
        };
        if let Some(one) = self.ones.first() {
            trace.reasons.push(one.nest.reason(&one.drawn));
        }
        let mut layouts = rows.to_vec();
        layouts.push(GangLayout {
            rows: 0,
            columns: 0,
            pockets: pockets.len(),
            staggered: false,
            loads: board.loads,
            length,
            width,
            refused: None,
        });
        let kinds: Vec<Kind> = self
            .ones
            .iter()
            .zip(&board.pockets)
            .map(|(one, pockets)| Kind { name: one.request.blank.name.clone(), blanks: one.count, pockets: *pockets })
            .collect();
        let turns_any = nested.iter().any(|nested| nested.turned);
        let layout = Layout {
            rows: 0,
            columns: 0,
            pockets: pockets.len(),
            pitch: Point::default(),
            pair: None,
            shift: Length::ZERO,
            web: self.web(),
            blanks: self.ones.iter().map(|one| one.count).fold(0, usize::saturating_add),
            objective: setting.request.objective,
            layouts,
            kinds,
            nested,
        };
        let draft = Draft {
            contacts: Vec::new(),
            turn: self.degrees,
            variant: format!(
                "{} nests set freely in {}, {}{}, {}",
                pockets.len(),
                stock.name,
                turn_words(self.degrees),
                if turns_any { " and some turned half round" } else { "" },
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
        let settings: Vec<Setting<'_>> = self.ones.iter().map(|one| like(setting, &one.request)).collect();
        finish_kinds(setting, gang, draft, Some(layout), &settings)
    }
}

/// Whether a board nested freely is so much better than the best one in rows that the pitch table is given
/// up for it: a load saved, or a fiftieth of the board.
pub fn is_worth(free: &Design, rows: &[Attempt]) -> bool {
    let loads = |design: &Design| design.gang.as_ref().map_or(usize::MAX, Layout::loads);
    let board = |design: &Design| design.carrier.length.to_mm() * design.carrier.width.to_mm();
    rows.iter().filter_map(|attempt| attempt.result.as_deref().ok()).all(|rows| {
        let (few, many) = (loads(free), loads(rows));
        let wishes = free.waived.len() <= rows.waived.len();
        wishes && (few < many || (few == many && board(free) <= board(rows) * WORTH_TURNING))
    })
}
