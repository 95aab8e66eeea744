//! Many blanks alike in one carrier: rows and columns of pockets, sunk into one board or made of strips
//! on a base.

mod fingers;
mod free;
mod gaps;
mod grid;
mod nests;
mod spacing;

use super::assemble::{Draft, finish_gang, hold_words, place_blank, plan_trace};
use super::blind_pocket::{Sunk, can_be_sunk, corner_relief, push_out_hole, relief_centres, sunk_between};
use super::disc_nest::round;
use super::framed::{self, best_panel, is_disc, layer_part, stock_part};
use super::layout::Line;
use super::stack::{self, Allowed, UpperLayer};
use super::stiff::Field;
use super::{Attempt, Construction, Setting};
use crate::design::{
    Design, Extent, Gang as Layout, Grain, Joint, JointKind, Kind, Part, Place, Pocket, PocketKind, Relief, Role, Void,
    VoidKind,
};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Hold, Shape};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::{Conflict, Reason, Term, Trace};
use grid::{Cell, Grid, Layouts, Rows};

/// Layouts tried, best first, where one after the other does not come out of the stock on hand.
const TRIED: usize = 400;

/// Gang carrier.
pub struct Gang;

impl Construction for Gang {
    fn id(&self) -> &'static str {
        "gang"
    }

    fn title(&self) -> &'static str {
        "Gang carrier"
    }

    fn when(&self) -> &'static str {
        "Several blanks, alike or of several outlines, carved in one load or a few."
    }

    fn holds(&self) -> &'static [Hold] {
        // Nobody packs forty blanks with card: each has its tape, or its screws where tape does not stick.
        &[Hold::Tape, Hold::Film, Hold::Screws]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        if setting.request.blank.pieces() < 2 {
            // One blank is no gang; that is only worth saying where a gang was asked for.
            let asked = setting.request.construction.is_some();
            let conflict = Conflict::plain(Rule::GangCount, "there is only one blank");
            return if asked { vec![Attempt::fails("rows", conflict)] } else { Vec::new() };
        }
        if let Err(conflict) = suits(setting) {
            return vec![Attempt::fails("rows", conflict)];
        }
        if let Shape::Outline(drawn) = &setting.request.blank.shape {
            return nests::attempts(setting, self, drawn);
        }
        vec![
            Attempt::of("pockets in one board", self.board(setting)),
            Attempt::of("strips on a base", self.ladder(setting)),
        ]
    }
}

fn suits(setting: &Setting<'_>) -> Result<(), Conflict> {
    setting.needs_plain_top()?;
    match setting.request.blank.shape {
        // A blank that does not lie flat on its floor is shimmed one at a time.
        Shape::Rectangle => setting.needs_rectangle(),
        Shape::Disc => Ok(()),
        Shape::Taper { .. } => {
            Err(Conflict::plain(Rule::EdgesShaped, "the blank tapers; rows of pockets need straight, parallel edges"))
        }
        Shape::Round(_) => {
            Err(Conflict::plain(Rule::EdgesShaped, "a round lies in a cradle of its own, one at a time"))
        }
        Shape::Outline(_) => Ok(()),
    }
}

/// The first layout, best first, that can be made. A layout is passed over only for want of stock or
/// because its strips cannot be sawn, or because its last row is out of the cutter's reach: nothing else gets better with another number of rows.
fn best(layouts: &Layouts, make: impl Fn(&Grid, &Line, &Line) -> Result<Design, Conflict>) -> Result<Design, Conflict> {
    let mut first: Option<Conflict> = None;
    // What is too large for the stock is so in anything larger.
    let mut too_large: Vec<(Length, Length)> = Vec::new();
    let mut tried = 0;
    for grid in &layouts.grids {
        let Some((along, across)) = layouts.lines(grid) else { continue };
        let size = (along.total(), across.total());
        if tried >= TRIED || too_large.iter().any(|known| known.0 <= size.0 && known.1 <= size.1) {
            continue;
        }
        tried += 1;
        let conflict = match make(grid, along, across) {
            Ok(design) => return Ok(design),
            Err(conflict) => conflict,
        };
        let only = match conflict.clashes.as_slice() {
            [clash] => Some(clash.rule),
            _ => None,
        };
        let kept = first.get_or_insert(conflict);
        match only {
            Some(Rule::StockExists) => too_large.push(size),
            Some(Rule::RipSafe | Rule::CrosscutSafe | Rule::CutterWindow) => {}
            _ => return Err(kept.clone()),
        }
    }
    Err(first.unwrap_or_else(|| Conflict::plain(Rule::GangCount, "no layout")))
}

/// What the design and its sheets say of the layout.
fn described(setting: &Setting<'_>, grid: &Grid, cell: &Cell, layouts: &Layouts) -> Layout {
    Layout {
        rows: grid.rows,
        columns: grid.columns,
        pockets: grid.pockets(),
        pitch: grid.pitch,
        pair: grid.pair,
        shift: grid.shift,
        web: cell.web.value,
        blanks: usize::try_from(setting.request.blank.count).unwrap_or(usize::MAX),
        objective: setting.request.objective,
        layouts: layouts.table.clone(),
        kinds: vec![Kind {
            name: setting.request.blank.name.clone(),
            blanks: usize::try_from(setting.request.blank.count).unwrap_or(usize::MAX),
            pockets: grid.pockets(),
        }],
        nested: Vec::new(),
    }
}

/// `4 rows of 10`.
fn rows_words(grid: &Grid) -> String {
    let rows = if grid.rows == 1 { "1 row".to_owned() } else { format!("{} rows", grid.rows) };
    match grid.kind {
        Rows::Straight => format!("{rows} of {}", grid.columns),
        Rows::SetOff => format!("{rows} of {}, staggered", grid.columns),
        Rows::Nested => format!("{rows} of {} and {}, staggered", grid.columns, grid.columns - 1),
    }
}

/// Reasons of one pocket and of the pitch beside those of the carrier, in which all pockets together
/// stand as one.
fn with_cell(mut trace: Trace, grid: &Grid, cell: &Cell) -> Trace {
    for reason in &mut trace.reasons {
        let all = |name: &mut String| match name.as_str() {
            "pocket.length" => "pockets.length".clone_into(name),
            "pocket.width" => "pockets.width".clone_into(name),
            _ => {}
        };
        all(&mut reason.dimension);
        reason.terms.iter_mut().for_each(|term| all(&mut term.label));
    }
    trace.reasons.extend([cell.length.clone(), cell.width.clone(), cell.web.clone()]);
    let sum = |dimension: &str, value: Length, pocket: &Reason, decided: Rule| {
        let term =
            |reason: &Reason| Term { label: reason.dimension.clone(), amount: reason.value, rule: reason.decided_by };
        // Staggered rows and outlines that reach over each other stand closer than a pocket and a web, and
        // finger gaps farther apart: there the distance decides.
        let straight = value == pocket.value + cell.web.value;
        Reason {
            dimension: dimension.to_owned(),
            value,
            terms: if straight { vec![term(pocket), term(&cell.web)] } else { Vec::new() },
            decided_by: Some(if straight { Rule::EqualPitch } else { decided }),
            runner_up: None,
        }
    };
    if let Some(pair) = grid.pair.filter(|_| grid.columns > 1) {
        trace.reasons.push(sum("pair.length", pair, &cell.length, cell.decided[0]));
    }
    if grid.columns > 1 {
        trace.reasons.push(sum("pitch.length", grid.pitch.x, &cell.length, cell.decided[0]));
    }
    if grid.rows > 1 {
        trace.reasons.push(sum("pitch.width", grid.pitch.y, &cell.width, cell.decided[1]));
    }
    trace
}

impl Gang {
    /// Pockets sunk into one board.
    fn board(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        can_be_sunk(setting)?;
        let disc = is_disc(setting);
        let relief = if disc { None } else { corner_relief(setting) };
        let bite = relief.map(|relief| relief.bite);
        let cell = Cell::of(setting, bite);
        let kinds = if disc { &[Rows::Straight, Rows::SetOff, Rows::Nested][..] } else { &[Rows::Straight][..] };
        let layouts = grid::layouts(setting, &cell, kinds)?;
        best(&layouts, |grid, along, across| {
            let narrowest = cell.length.value.min(cell.width.value);
            let opening = (cell.length.value, cell.width.value);
            let sunk = sunk_between(setting, along.clone(), across.clone(), narrowest, opening)?;
            self.sunk(setting, grid, &cell, relief, &sunk, described(setting, grid, &cell, &layouts))
        })
    }

    fn sunk(
        &self,
        setting: &Setting<'_>,
        grid: &Grid,
        cell: &Cell,
        relief: Option<Relief>,
        sunk: &Sunk<'_>,
        gang: Layout,
    ) -> Result<Design, Conflict> {
        let Sunk { along, across, stock, heights, .. } = sunk;
        let (length, width) = (along.total(), across.total());
        let board = Rect::new(Length::ZERO, Length::ZERO, length, width);
        let mut part = stock_part("board", Role::Board, stock, board, (Length::ZERO, heights.top));
        let first = Rect::sized(along.near(), across.near(), cell.length.value, cell.width.value);
        let disc = is_disc(setting);
        let z = (heights.floor, heights.top);
        let mut pockets = Vec::new();
        let mut voids = Vec::new();
        for offset in grid.offsets() {
            let square = first.moved(offset.x, offset.y);
            let outline = if disc { round(&square) } else { Outline::Rect(square) };
            voids.push(Void { outline: outline.clone(), z0: z.0, z1: z.1, kind: VoidKind::Pocket });
            if let Some(relief) = relief {
                voids.extend(relief_centres(&square, &relief).map(|centre| Void {
                    outline: Outline::Disc { centre, diameter: relief.diameter },
                    z0: z.0,
                    z1: z.1,
                    kind: VoidKind::Relief,
                }));
            }
            voids.extend(push_out_hole(setting, &square, heights.floor).filter(|hole| still_holds(setting, hole)));
            pockets.push(Pocket { outline, z0: z.0, z1: z.1, kind: PocketKind::Blind, relief });
        }
        if let Some(place) = part.places.first_mut() {
            place.voids = voids;
        }
        // A disc has no corner to be pushed into: it lies in the middle of its round.
        let slack = if disc { (cell.length.value - setting.length.nominal).half() } else { Length::ZERO };
        let mut waived = sunk.waived.clone();
        if framed::play_is_wide(setting, &first) {
            waived.push(Rule::Play);
        }
        let draft = Draft {
            contacts: Vec::new(),
            variant: format!("{} in {}, {}", rows_words(grid), stock.name, hold_words(setting.hold)),
            turn: 0.0,
            carrier: Extent { length, width, thickness: heights.top },
            blank: place_blank(setting, first.x0 + slack, first.y0 + slack, heights.floor + setting.adhesive),
            pockets,
            parts: vec![part],
            joints: Vec::new(),
            bridge: false,
            lopsided: !(along.symmetrical && across.symmetrical && grid.is_even()),
            pocket_cutter: Some(setting.request.shop.pocket_cutter),
            waived,
            trace: with_cell(sunk.trace.clone(), grid, cell),
            depth_below_top: sunk.depth_below_top,
            assembly: Assembly::Single,
            wall: heights.depth(),
            glued_edges: false,
        };
        finish_gang(setting, self, draft, Some(gang))
    }

    /// Rails and ends on a base, strips between the rows and short webs between the pockets of a row.
    fn ladder(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        let cell = Cell::of(setting, None);
        let layouts = grid::layouts(setting, &cell, &[Rows::Straight])?;
        let layer = stack::upper_layer(setting, stack::flush_depth(setting), Allowed::LowerOrPacked)?;
        best(&layouts, |grid, along, across| {
            let gang = described(setting, grid, &cell, &layouts);
            self.strips(setting, grid, &cell, (along, across), &layer, gang)
        })
    }

    fn strips(
        &self,
        setting: &Setting<'_>,
        grid: &Grid,
        cell: &Cell,
        (along, across): (&Line, &Line),
        layer: &UpperLayer,
        gang: Layout,
    ) -> Result<Design, Conflict> {
        let (length, width) = (along.total(), across.total());
        let opening = (cell.length.value, cell.width.value);
        let field = Field { opening, ..Field::of(along, across, Some(layer.elasticity)) };
        let (base, heights) = best_panel(setting, &field, layer.height, false)?;
        let floor = heights.floor + layer.packing;
        let (depth_below_top, flute) = stack::cut_depth(setting, heights.top, floor, false)?;
        let (zero, z) = (Length::ZERO, (heights.floor, heights.top));
        let field = Rect::sized(along.near(), across.near(), along.pocket(), across.pocket());
        let first = Rect::sized(field.x0, field.y0, cell.length.value, cell.width.value);
        let mut parts = vec![
            stock_part("base", Role::Base, base, Rect::new(zero, zero, length, width), (zero, heights.floor)),
            layer_part("rail", Role::FenceRail, layer, Rect::new(zero, zero, length, field.y0), z),
            layer_part("rail", Role::FarRail, layer, Rect::new(zero, field.y1, length, width), z),
            layer_part("end", Role::LeadEnd, layer, Rect::new(zero, field.y0, field.x0, field.y1), z),
            layer_part("end", Role::TrailEnd, layer, Rect::new(field.x1, field.y0, length, field.y1), z),
        ];
        let webs = webs(grid, cell, layer, field, first, z);
        let mut joints = framed::frame_joints(field, length, width, heights.floor, heights.top);
        for place in webs.iter().flat_map(|part| &part.places) {
            let unnamed = (String::new(), String::new());
            let contact = place.outline.bounds();
            let joint = Joint { between: unnamed, contact, z0: z.0, z1: z.0, kind: JointKind::Glue };
            joints.push((Role::Web, Some(Role::Base), joint));
        }
        parts.extend(webs);
        if layer.planed {
            for part in parts.iter_mut().filter(|part| part.role != Role::Base) {
                part.remark = Some(format!("planed to {}", setting.say_depth(layer.height)));
            }
        }
        if layer.packing > zero {
            parts.push(packing(setting, grid, first, (heights.floor, floor)));
        }
        let pocket = |offset: Point| Pocket {
            outline: Outline::Rect(first.moved(offset.x, offset.y)),
            z0: floor,
            z1: heights.top,
            kind: PocketKind::OnBase,
            relief: None,
        };
        let mut trace = plan_trace(setting, along, across);
        stack::trace_heights(setting, &heights, base, "rail-height", zero, &mut trace);
        let mut waived: Vec<Rule> = [&along.waived[..], &across.waived, &heights.waived, &flute].concat();
        if framed::play_is_wide(setting, &first) {
            waived.push(Rule::Play);
        }
        let draft = Draft {
            contacts: Vec::new(),
            variant: format!(
                "{} of strips, {} on {}, {}",
                rows_words(grid),
                layer.material,
                base.name,
                hold_words(setting.hold)
            ),
            turn: 0.0,
            carrier: Extent { length, width, thickness: heights.top },
            blank: place_blank(setting, first.x0, first.y0, floor + setting.adhesive),
            pockets: grid.offsets().into_iter().map(pocket).collect(),
            parts,
            joints,
            bridge: false,
            lopsided: !(along.symmetrical && across.symmetrical),
            pocket_cutter: None,
            waived,
            trace: with_cell(trace, grid, cell),
            depth_below_top,
            assembly: Assembly::Trimmed,
            wall: heights.top - floor,
            glued_edges: false,
        };
        finish_gang(setting, self, draft, Some(gang))
    }
}

/// Whether the bond still holds the blank three times over with a hole under it: of small blanks every
/// bit is wanted.
fn still_holds(setting: &Setting<'_>, hole: &Void) -> bool {
    const SQUARE_INCH: f64 = 645.16;
    let estimates = &setting.request.shop.estimates;
    let left = (setting.request.blank.area_mm2() - hole.outline.area_mm2()) / SQUARE_INCH;
    left * estimates.bond_psi(setting.hold).0 >= 3.0 * estimates.lift_force_lbf
}

/// Strips between the rows, from end to end, and short webs between the pockets of each row.
fn webs(grid: &Grid, cell: &Cell, layer: &UpperLayer, field: Rect, first: Rect, z: (Length, Length)) -> Vec<Part> {
    let web = cell.web.value;
    let strip = |row: usize| {
        let y = field.y0 + grid.pitch.y * row as i64 - web;
        Rect::new(field.x0, y, field.x1, y + web)
    };
    let cross = |(row, column): (usize, usize)| {
        let x = first.x0 + grid.pitch.x * column as i64 - web;
        Rect::sized(x, field.y0 + grid.pitch.y * row as i64, web, first.width())
    };
    let part = |name: &str, grain: Grain, size: (Length, Length), places: Vec<Rect>| Part {
        id: String::new(),
        name: name.to_owned(),
        role: Role::Web,
        material: layer.material.clone(),
        size: Extent { length: size.0, width: size.1, thickness: z.1 - z.0 },
        grain: if layer.sheet { Grain::None } else { grain },
        density: layer.density,
        layers: layer.layers,
        places: places
            .into_iter()
            .map(|rect| Place { outline: Outline::Rect(rect), z0: z.0, z1: z.1, voids: Vec::new() })
            .collect(),
        remark: None,
    };
    let strips: Vec<Rect> = (1..grid.rows).map(strip).collect();
    let crosses: Vec<Rect> =
        (0..grid.rows).flat_map(|row| (1..grid.columns).map(move |column| (row, column))).map(cross).collect();
    let mut parts = Vec::new();
    if !strips.is_empty() {
        parts.push(part("row strip", Grain::AlongFeed, (field.length(), web), strips));
    }
    if !crosses.is_empty() {
        parts.push(part("web", Grain::AcrossFeed, (first.width(), web), crosses));
    }
    parts
}

/// Card or veneer under every blank.
fn packing(setting: &Setting<'_>, grid: &Grid, first: Rect, z: (Length, Length)) -> Part {
    let blank = Rect::sized(first.x0, first.y0, setting.length.nominal, setting.width.nominal);
    let disc = is_disc(setting);
    let mut part = framed::part("packing", Role::Packing, "card or veneer", 800.0, 1, Grain::None, blank, z);
    let place = |offset: Point| {
        let rect = blank.moved(offset.x, offset.y);
        let outline = if disc { round(&rect) } else { Outline::Rect(rect) };
        Place { outline, z0: z.0, z1: z.1, voids: Vec::new() }
    };
    part.places = grid.offsets().into_iter().map(place).collect();
    part.remark = Some("cut with a knife; glue to the base".to_owned());
    part
}
