//! How many rows and columns: every layout of equal pockets that the machine takes, best first.

use super::super::Setting;
use super::super::layout::{self, Edges, Line, Rails};
use crate::design::GangLayout;
use crate::geometry::Point;
use crate::length::Length;
use crate::request::Objective;
use crate::rules::Rule;
use crate::trace::{Conflict, Reason};

/// No carrier has more rows, or more pockets in a row, than this.
const MOST: usize = 250;

/// How the rows stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rows {
    /// One above the other.
    Straight,
    /// Every second row set off by half a pitch, all of the same number.
    SetOff,
    /// Every second row set off by half a pitch and one pocket shorter.
    Nested,
}

/// One layout of equal pockets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// How the rows stand.
    pub kind: Rows,
    /// Rows.
    pub rows: usize,
    /// Pockets in the row at the fence.
    pub columns: usize,
    /// From pocket to pocket, and from row to row.
    pub pitch: Point,
    /// How far every second row is set off.
    pub shift: Length,
}

impl Grid {
    /// Pockets in a row, counted from the fence.
    fn in_row(&self, row: usize) -> usize {
        let shorter = usize::from(self.kind == Rows::Nested && row % 2 == 1);
        self.columns.saturating_sub(shorter)
    }

    /// Pockets in all.
    pub fn pockets(&self) -> usize {
        (0..self.rows).map(|row| self.in_row(row)).sum()
    }

    /// Where each pocket lies, from the first.
    pub fn offsets(&self) -> Vec<Point> {
        let at = |row: usize, column: usize| {
            let shift = if row % 2 == 1 { self.shift } else { Length::ZERO };
            Point::new(self.pitch.x * column as i64 + shift, self.pitch.y * row as i64)
        };
        (0..self.rows).flat_map(|row| (0..self.in_row(row)).map(move |column| at(row, column))).collect()
    }

    /// Whether the layout looks the same fed backwards.
    pub fn is_even(&self) -> bool {
        match self.kind {
            Rows::Straight => true,
            // The row at the far side takes the place of the row at the fence.
            Rows::SetOff => self.rows.is_multiple_of(2),
            Rows::Nested => !self.rows.is_multiple_of(2) && self.shift * 2 == self.pitch.x,
        }
    }
}

/// Sizes that all layouts of one setting share.
#[derive(Debug, Clone)]
pub struct Cell {
    /// Pocket along the feed.
    pub length: Reason,
    /// Pocket across it.
    pub width: Reason,
    /// Wood between two pockets.
    pub web: Reason,
}

impl Cell {
    /// The pocket and web of a setting.
    pub fn of(setting: &Setting<'_>, bite: Option<Length>) -> Cell {
        Cell {
            length: layout::pocket_of_row(setting, false, "pocket.length"),
            width: layout::pocket_of_row(setting, true, "pocket.width"),
            web: layout::web(setting, bite),
        }
    }

    /// Pitch of straight rows.
    fn straight(&self) -> Point {
        Point::new(self.length.value + self.web.value, self.width.value + self.web.value)
    }

    /// Pitch and shift of rows set off: as close as the web on the slant allows.
    fn staggered(&self, step: Length) -> (Point, Length) {
        let slant = self.straight().x;
        let shift = slant.half_up().up(step);
        // The neighbours in the next row lie at `shift` and at `pitch - shift`, which is the nearer.
        let (c, a) = (i128::from(slant.ticks()), i128::from((slant - shift).ticks()));
        let square = (c * c - a * a).max(0);
        let root = square.isqrt();
        let height = if root * root < square { root + 1 } else { root };
        let height = Length::from_ticks(i64::try_from(height).unwrap_or(slant.ticks())).up(step);
        (Point::new(slant, height), shift)
    }
}

/// The layouts that fit, best first, and the table of the best for each number of rows.
#[derive(Debug, Clone)]
pub struct Layouts {
    /// Layouts that fit, best first by the job's objective.
    pub grids: Vec<Grid>,
    /// For each number of rows the best, then what forbids one row more.
    pub table: Vec<GangLayout>,
    lines: Vec<Lines>,
}

impl Layouts {
    /// The plan of a layout: along the feed and across it.
    pub fn lines(&self, grid: &Grid) -> Option<(&Line, &Line)> {
        let lines = self.lines.iter().find(|lines| lines.kind == grid.kind)?;
        lines.of(grid)
    }
}

/// The plans of one kind of layout, for every number of columns and of rows that fits.
#[derive(Debug, Clone)]
struct Lines {
    kind: Rows,
    columns: Vec<Line>,
    rows: Vec<Line>,
}

impl Lines {
    fn of(&self, grid: &Grid) -> Option<(&Line, &Line)> {
        Some((self.columns.get(grid.columns.checked_sub(1)?)?, self.rows.get(grid.rows.checked_sub(1)?)?))
    }
}

/// What layouts are compared by, most important first; smaller is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Figures {
    waived: usize,
    by: [i128; 3],
    kind: Rows,
    rows: usize,
}

fn figures(grid: &Grid, (along, across): (&Line, &Line), objective: Objective, blanks: usize) -> Figures {
    let loads = blanks.div_ceil(grid.pockets().max(1)) as i128;
    let length = i128::from(along.total().ticks());
    let area = length * i128::from(across.total().ticks()) * loads;
    let by = match objective {
        Objective::FewestLoads => [loads, area, length],
        Objective::LeastWood => [area, loads, length],
        Objective::Shortest | Objective::NoEmptyPockets => [loads, length, area],
    };
    Figures { waived: along.waived.len() + across.waived.len(), by, kind: grid.kind, rows: grid.rows }
}

/// Every layout of two pockets or more for the blanks of the job.
///
/// # Errors
/// The conflict that keeps even two pockets off a carrier.
pub fn layouts(setting: &Setting<'_>, cell: &Cell, bite: Option<Length>, kinds: &[Rows]) -> Result<Layouts, Conflict> {
    let blanks = usize::try_from(setting.request.blank.count).unwrap_or(usize::MAX);
    let objective = setting.request.objective;
    let mut grids: Vec<(Figures, Grid)> = Vec::new();
    let mut all_lines = Vec::new();
    let mut table: Vec<GangLayout> = Vec::new();
    for kind in kinds.iter().copied() {
        let (pitch, shift) = match kind {
            Rows::Straight => (cell.straight(), Length::ZERO),
            Rows::SetOff | Rows::Nested => cell.staggered(setting.step()),
        };
        let (columns, too_long) = lines(blanks, |column| {
            let set_off = if kind == Rows::SetOff { shift } else { Length::ZERO };
            layout::along_row(setting, bite, pitch.x * column + set_off)
        });
        let (rows, too_wide) = lines(blanks, |row| {
            let rails = Rails { least: layout::WALL, carries_strip: false, bite, stiff: None, along: None };
            layout::across_rows(setting, Edges::Loose, rails, pitch.y * row)
        });
        if kind == Rows::Straight {
            if rows.len() * columns.len() < 2 {
                let one = || Conflict::plain(Rule::GangCount, "there is only one blank");
                return Err(too_long.or(too_wide).unwrap_or_else(one));
            }
            let field = pitch.y * rows.len() as i64 + cell.width.value;
            table.extend(too_wide.map(|conflict| refused(setting, rows.len() + 1, field, &conflict)));
        }
        let lines = Lines { kind, columns, rows };
        grids.extend(grids_of(&lines, pitch, shift, objective, blanks));
        all_lines.push(lines);
    }
    grids.sort_by_key(|(figures, _)| *figures);
    let grids: Vec<Grid> = grids.into_iter().map(|(_, grid)| grid).collect();
    let mut layouts = Layouts { grids, table, lines: all_lines };
    let mut told: Vec<(usize, bool)> = Vec::new();
    for grid in &layouts.grids {
        let key = (grid.rows, grid.kind != Rows::Straight);
        if let (false, Some(lines)) = (told.contains(&key), layouts.lines(grid)) {
            let layout = layout_of(grid, lines, blanks);
            told.push(key);
            layouts.table.push(layout);
        }
    }
    layouts.table.sort_by_key(|layout| (layout.rows, layout.staggered));
    if layouts.grids.is_empty() {
        let text = format!(
            "no rows and columns of two pockets or more are filled by {blanks} blanks; another objective leaves some empty"
        );
        return Err(Conflict::plain(Rule::GangCount, text));
    }
    Ok(layouts)
}

/// The layouts of one kind that fit.
fn grids_of(lines: &Lines, pitch: Point, shift: Length, objective: Objective, blanks: usize) -> Vec<(Figures, Grid)> {
    // Rows that are set off need a second row, rows that are nested a second pocket as well.
    let (least_rows, least_columns) = match lines.kind {
        Rows::Straight => (1, 1),
        Rows::SetOff => (2, 1),
        Rows::Nested => (2, 2),
    };
    let mut found = Vec::new();
    for rows in least_rows..=lines.rows.len() {
        for columns in least_columns..=lines.columns.len() {
            let grid = Grid { kind: lines.kind, rows, columns, pitch, shift };
            let pockets = grid.pockets();
            if pockets < 2 {
                continue;
            }
            let wanted = objective != Objective::NoEmptyPockets || blanks.is_multiple_of(pockets);
            if let (true, Some(lines)) = (wanted, lines.of(&grid)) {
                found.push((figures(&grid, lines, objective, blanks), grid));
            }
            // More columns would only stay empty.
            if pockets >= blanks {
                break;
            }
        }
    }
    found
}

/// A number of rows that does not fit, with the least width they would take and the limit they break:
/// that on the width where it is broken, else whatever the conflict names.
fn refused(setting: &Setting<'_>, rows: usize, field: Length, conflict: &Conflict) -> GangLayout {
    let machine = &setting.request.machine;
    let width = field + layout::WALL * 2;
    let widest = machine.width.max - machine.width_guard.max(setting.two_edges());
    let named = conflict.clashes.first().map(|clash| clash.rule);
    GangLayout {
        rows,
        columns: 0,
        pockets: 0,
        staggered: false,
        loads: 0,
        length: Length::ZERO,
        width,
        refused: if width > widest { Some(Rule::WidthMax) } else { named },
    }
}

fn layout_of(grid: &Grid, (along, across): (&Line, &Line), blanks: usize) -> GangLayout {
    GangLayout {
        rows: grid.rows,
        columns: grid.columns,
        pockets: grid.pockets(),
        staggered: grid.kind != Rows::Straight,
        loads: blanks.div_ceil(grid.pockets().max(1)),
        length: along.total(),
        width: across.total(),
        refused: None,
    }
}

/// Lines for one pocket, two, three and so on until there is no room for more, and why not.
fn lines(blanks: usize, line: impl Fn(i64) -> Result<Line, Conflict>) -> (Vec<Line>, Option<Conflict>) {
    let mut lines = Vec::new();
    for (_, number) in (0..blanks.min(MOST)).zip(0..) {
        match line(number) {
            Ok(line) => lines.push(line),
            Err(conflict) => return (lines, Some(conflict)),
        }
    }
    (lines, None)
}
