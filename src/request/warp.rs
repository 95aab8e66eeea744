//! A blank that is not flat: cup, bow and twist, or gaps read at a grid, and how it is laid level.

use super::build::{Builder, PRACTICE};
use crate::diagnostic::quoted;
use crate::geometry::heights::HeightGrid;
use crate::geometry::plane::levelled;
use crate::length::{Length, Measured, parse_measured};
use crate::library::reader::Table;

/// Shims stand no farther apart than this where the form of the warp is known. Common practice, no source.
const SHIM_SPACING: Length = Length::inches(4, 1);
/// Most spaces between shims along one side.
const MOST_SPACES: i64 = 24;
/// Most gaps in one row or column as typed.
const MOST_GAPS: usize = 25;

/// A warped blank, carved face up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warp {
    /// Gaps under the blank as it lies on a flat table, from its datum corner before any turn.
    pub gaps: HeightGrid,
    /// The same places with the blank laid level on shims: thickness of the shim at each.
    pub shims: HeightGrid,
    /// How far one corner lifts when the opposite one is pressed on a flat table.
    pub corner_lift: Length,
    /// Thickness the piece is to keep once both faces are flattened.
    pub wanted: Option<Length>,
}

impl Warp {
    /// Thinnest zone that holds the underside: what flattening one face takes off its high places.
    pub fn flatness(&self) -> Length {
        self.shims.greatest()
    }
}

impl Builder<'_, '_> {
    /// The warp of a rectangular blank; `None` for one that was not said to be warped.
    pub(super) fn warp(&mut self, table: &Table, length: &Measured, width: &Measured) -> Option<Warp> {
        let forms = ["cup", "bow", "twist"];
        let typed = table.get("gaps").is_some();
        let formed = forms.iter().any(|name| table.size(name).is_some_and(|size| size > Length::ZERO));
        if typed && let Some(name) = forms.iter().find(|name| table.get(name).is_some()) {
            let message = format!("`{name}` and `gaps` both say how the blank is warped");
            self.reader.error(table.span_of(name), message, "the gaps say it all: leave the other out");
            return None;
        }
        if !typed && !formed {
            if table.get("wanted-thickness").is_some() && !table.has("gaps") {
                let help = "state `cup`, `bow`, `twist` or `gaps`, or leave `wanted-thickness` out";
                self.reader.error(
                    table.span_of("wanted-thickness"),
                    "`wanted-thickness` is for a blank that is not flat",
                    help,
                );
            }
            return None;
        }
        let (long, wide) = (length.nominal, width.nominal);
        let gaps = if typed { self.typed_gaps(table, long, wide)? } else { self.form(table, long, wide) };
        let Some(shims) = levelled(&gaps) else {
            let help = "measure the gaps again, on a flat table";
            self.reader.error(table.span.clone(), "no level lie was found for this warp", help);
            return None;
        };
        let corner_lift = gaps.corner_lift();
        Some(Warp { gaps, shims, corner_lift, wanted: table.size("wanted-thickness") })
    }

    /// Gaps of a blank with stated cup, bow and twist: arcs across and along, taken as parabolas, and
    /// edges that turn evenly from end to end.
    fn form(&mut self, table: &Table, long: Length, wide: Length) -> HeightGrid {
        let size = |name: &str| table.size(name).unwrap_or(Length::ZERO).to_mm();
        let (cup, bow, twist) = (size("cup"), size("bow"), size("twist"));
        let mut down = |name: &str, used: bool| {
            if !used {
                return true;
            }
            let hollow = table.text(name).unwrap_or_else(|| {
                self.assume(&format!("blank.{name}"), "down", PRACTICE);
                "down"
            });
            hollow == "down"
        };
        let (cup_down, bow_down) = (down("cup-hollow", cup > 0.0), down("bow-hollow", bow > 0.0));
        let corner = if twist > 0.0 {
            table.text("twist-high").unwrap_or_else(|| {
                self.assume("blank.twist-high", "lead-far", PRACTICE);
                "lead-far"
            })
        } else {
            "lead-far"
        };
        let way = if corner == "lead-fence" { 1.0 } else { -1.0 };
        let marks = |size: Length| -> Vec<Length> {
            // An even number of spaces, so that the middle has a shim.
            let spaces = 2 * ((size.ticks() + SHIM_SPACING.ticks() * 2 - 1) / (SHIM_SPACING.ticks() * 2));
            let spaces = spaces.clamp(2, MOST_SPACES);
            (0..=spaces).map(|place| Length::from_ticks(size.ticks() / spaces * place)).collect()
        };
        let (mut xs, mut ys) = (marks(long), marks(wide));
        // The last mark is the edge itself, whatever the division left over.
        for (marks, edge) in [(&mut xs, long), (&mut ys, wide)] {
            if let Some(last) = marks.last_mut() {
                *last = edge;
            }
        }
        let share = |place: usize, marks: usize| 2.0 * place as f64 / (marks.max(2) - 1) as f64 - 1.0;
        let (columns, rows) = (xs.len(), ys.len());
        let raw = |column: usize, row: usize| {
            let (u, v) = (share(column, columns), share(row, rows));
            let arc = |amount: f64, at: f64, down: bool| amount * if down { 1.0 - at * at } else { at * at };
            arc(cup, v, cup_down) + arc(bow, u, bow_down) + way * twist / 4.0 * u * v
        };
        let least =
            (0..rows).flat_map(|row| (0..columns).map(move |column| raw(column, row))).fold(f64::INFINITY, f64::min);
        let mark = Length::inches(1, 1024);
        HeightGrid::of(xs, ys, |column, row| {
            let height = Length::from_mm(raw(column, row) - least).unwrap_or_default();
            // Floating point may leave a tick or two on what is a whole mark.
            let near = height.nearest(mark);
            if (height - near).abs().ticks() <= 40 { near } else { height.nearest(Length::from_ticks(5760)) }
        })
    }

    /// The gaps as typed: one text a row, from the fence side to the far side, in it from the lead
    /// end to the trail end with commas.
    fn typed_gaps(&mut self, table: &Table, long: Length, wide: Length) -> Option<HeightGrid> {
        let span = table.span_of("gaps");
        let help = "one text a row, fence side first: [\"0, 1/16, 0\", \"1/32, 1/8, 1/32\", \"0, 1/16, 0\"]";
        let most = self.most_gap();
        let mut rows: Vec<Vec<Length>> = Vec::new();
        for text in table.texts("gaps")? {
            let mut row = Vec::new();
            for part in text.split([',', ';']) {
                let part = part.trim();
                let zero = !part.is_empty() && part.chars().all(|c| c == '0');
                let gap = if zero {
                    Some(Length::ZERO)
                } else {
                    parse_measured(part, self.units).ok().map(|size| size.nominal).filter(|gap| *gap <= most)
                };
                let Some(gap) = gap else {
                    self.reader.error(span, format!("a gap is no size, or too large: {}", quoted(part)), help);
                    return None;
                };
                row.push(gap);
            }
            rows.push(row);
        }
        let columns = rows.first().map_or(0, Vec::len);
        let even = rows.iter().all(|row| row.len() == columns);
        if !even || !(2..=MOST_GAPS).contains(&columns) || !(2..=MOST_GAPS).contains(&rows.len()) {
            let message = format!("`gaps` must be 2 to {MOST_GAPS} rows of 2 to {MOST_GAPS} gaps, all rows as long");
            self.reader.error(span, message, help);
            return None;
        }
        let marks = |size: Length, count: usize| -> Vec<Length> {
            let spaces = i64::try_from(count).unwrap_or(2).max(2) - 1;
            let at =
                |place: i64| if place == spaces { size } else { Length::from_ticks(size.ticks() / spaces * place) };
            (0..=spaces).map(at).collect()
        };
        let (xs, ys) = (marks(long, columns), marks(wide, rows.len()));
        let wide_apart =
            |marks: &[Length]| marks.iter().zip(marks.iter().skip(1)).any(|(from, to)| *to - *from > SHIM_SPACING * 2);
        if wide_apart(&xs) || wide_apart(&ys) {
            let apart = self.show(SHIM_SPACING * 2);
            self.cautions.push(format!(
                "gaps were read more than {apart} apart: press the blank between the shims, and shim where it gives"
            ));
        }
        Some(HeightGrid { xs, ys, rows })
    }

    /// Nothing that stands farther off a table is a board.
    fn most_gap(&self) -> Length {
        Length::inches(2, 1)
    }
}
