//! Rows of one nest for blanks of any outline, sunk into one board.

use super::super::assemble::{Draft, finish_gang, hold_words, place_blank};
use super::super::blind_pocket::{Sunk, can_be_sunk, push_out_hole, sunk_between};
use super::super::framed::{play_is_wide, stock_part};
use super::super::layout::{self, HALF, Line};
use super::super::outline_nest::{Making, Nest};
use super::super::stack::demand;
use super::super::{Attempt, Setting};
use super::grid::{self, Cell, Grid, Rows};
use super::spacing::Spacing;
use super::{Gang, best, described, rows_words, still_holds, with_cell};
use crate::design::{Design, Extent, Gang as Layout, Pocket, PocketKind, Relief, Role, Void, VoidKind, turn_words};
use crate::geometry::path::to_mm;
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Drawn, Shape};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Rows of the blank as drawn, and of it turned by a right angle where it may be turned.
pub fn attempts(setting: &Setting<'_>, gang: &Gang, drawn: &Drawn) -> Vec<Attempt> {
    let mut attempts = vec![Attempt::of("nests in one board", nests(setting, gang, drawn, 0.0))];
    if !setting.request.blank.turn_free {
        return attempts;
    }
    // An area to carve stays where it was stated: then there is no request for the blank turned.
    if let Some(request) = setting.request.turned_by(90.0) {
        if let Shape::Outline(drawn) = &request.blank.shape {
            let mut turned = Setting::new(&request, false, setting.hold);
            turned.upper_choice = setting.upper_choice;
            attempts.push(Attempt::of("nests in one board, turned", nests(&turned, gang, drawn, 90.0)));
        }
    }
    attempts
}

/// The nests of a board: one, how they stand, and what is said of the blank in them.
struct Row<'a> {
    drawn: &'a Drawn,
    nest: Nest,
    cell: Cell,
    degrees: f64,
}

fn nests(setting: &Setting<'_>, gang: &Gang, drawn: &Drawn, degrees: f64) -> Result<Design, Conflict> {
    can_be_sunk(setting)?;
    let nest = Nest::of(setting, drawn, Making::Sunk)?;
    let bounds = nest.path.bounds();
    let (ends, sides) = nest.bites(&bounds);
    let mut cell = Cell::of(setting, None);
    let cuts: Vec<Outline> = cuts(&nest).map(|(outline, _)| outline).collect();
    let spacing = Spacing::of(&Outline::Path(nest.path.clone()), &cuts, cell.web.value, layout::WEB_LEFT);
    let web = cell.web.value;
    let beyond = |size: Length, bite: Option<Length>| (size + bite.unwrap_or_default() * 2 + web).up(setting.step());
    let most = Point::new(beyond(bounds.length(), ends), beyond(bounds.width(), sides));
    // A stated area to carve lies in the box of the blank and must not reach into the next nest.
    let boxes = Point::new(beyond(bounds.length(), None), beyond(bounds.width(), None));
    let from = if setting.request.carve.stated { boxes } else { Point::new(web, web) };
    (cell.pitch, cell.decided) = spacing.pitch(setting.step(), from, most);
    cell.bites = (ends, sides);
    let layouts = grid::layouts(setting, &cell, &[Rows::Straight])?;
    let row = Row { drawn, nest, cell, degrees };
    best(&layouts, |grid, along, across| {
        let layout = described(setting, grid, &row.cell, &layouts);
        row.board(setting, gang, grid, (along, across), layout)
    })
}

/// What is cut beyond a nest: reliefs and finger gaps.
fn cuts(nest: &Nest) -> impl Iterator<Item = (Outline, VoidKind)> + '_ {
    let reliefs = nest.reliefs.iter().map(|relief| (Outline::Path(relief.clone()), VoidKind::Relief));
    let gap = |centre: &Point| (Outline::Disc { centre: *centre, diameter: nest.finger }, VoidKind::FingerGap);
    reliefs.chain(nest.gaps.iter().map(gap))
}

impl Row<'_> {
    fn board(
        &self,
        setting: &Setting<'_>,
        gang: &Gang,
        grid: &Grid,
        (along, across): (&Line, &Line),
        layout: Layout,
    ) -> Result<Design, Conflict> {
        let Row { drawn, nest, cell, degrees } = self;
        let narrowest = cell.length.value.min(cell.width.value);
        let sunk = sunk_between(setting, along.clone(), across.clone(), narrowest)?;
        let Sunk { stock, heights, .. } = &sunk;
        let (length, width) = (along.total(), across.total());
        let bounds = nest.path.bounds();
        // Lead and fence sides of the first nest lie on the ruler, and with them those of all others.
        let (dx, dy) = (along.near() - bounds.x0, across.near() - bounds.y0);
        let blank = drawn.path.moved(dx, dy);
        let corner = blank.bounds();
        let [_, _, _, far] = setting.margins;
        let cut = [
            ("blank from the fence", corner.y0),
            ("rows before the last", grid.pitch.y * (grid.rows as i64 - 1)),
            ("blank to far side of cut", setting.width.nominal - far),
            ("cutter radius and overrun", setting.reach()),
        ];
        let window = setting.request.machine.window.max;
        demand(setting, Rule::CutterWindow, "far side of the cut", &cut, window, true)?;
        let board = Rect::new(Length::ZERO, Length::ZERO, length, width);
        let mut part = stock_part("board", Role::Board, stock, board, (Length::ZERO, heights.top));
        let relief = (!nest.reliefs.is_empty()).then(|| Relief {
            diameter: setting.request.shop.pocket_cutter,
            bite: cell.bites.0.unwrap_or_default().max(cell.bites.1.unwrap_or_default()),
            bored: false,
        });
        let (z0, z1) = (heights.floor, heights.top);
        let (mut pockets, mut voids) = (Vec::new(), Vec::new());
        for offset in grid.offsets() {
            let (x, y) = (dx + offset.x, dy + offset.y);
            let outline = Outline::Path(nest.path.moved(x, y));
            voids.push(Void { outline: outline.clone(), z0, z1, kind: VoidKind::Pocket });
            voids.extend(cuts(nest).map(|(outline, kind)| Void { outline: outline.moved(x, y), z0, z1, kind }));
            // The hole is wanted under the blank, clear of its edge.
            let room = bounds.moved(x, y);
            let centre = to_mm(bounds.centre());
            let clear = drawn.path.contains(centre) && drawn.path.distance(centre) >= Length::INCH.to_mm();
            let hole = push_out_hole(setting, &room, z0).filter(|hole| clear && still_holds(setting, hole));
            voids.extend(hole);
            pockets.push(Pocket { outline, z0, z1, kind: PocketKind::Blind, relief });
        }
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
                "{} nests in {}, {}, {}",
                rows_words(grid),
                stock.name,
                turn_words(*degrees),
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
