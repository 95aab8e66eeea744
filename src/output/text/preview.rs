//! The plan as characters: enough to see whether the job says what was meant.

use super::layout::WIDTH;
use crate::design::Design;
use crate::geometry::Outline;
use crate::geometry::contour::{Contour, Spot};
use crate::length::Length;
use crate::request::Request;
use unicode_width::UnicodeWidthStr;

/// Most cells along the feed and across it.
const COLUMNS: f64 = 64.0;
const ROWS: f64 = 22.0;
/// A carrier narrower than this many rows is drawn wider than it is.
const LEAST_ROWS: f64 = 5.0;
/// Room for the figures on the left.
const MARGIN: usize = 9;
/// A cell of most terminals is about twice as high as wide.
const SLENDER: f64 = 2.0;

/// What is seen in a cell from above.
#[derive(Clone, Copy, PartialEq)]
enum Seen {
    Nothing,
    Carrier,
    Recess,
    Blank,
    Carved,
}

impl Seen {
    fn sign(self) -> char {
        match self {
            Seen::Nothing => ' ',
            Seen::Carrier => '░',
            Seen::Recess => '·',
            Seen::Blank => '▒',
            Seen::Carved => '█',
        }
    }
}

/// A small plan of the carrier, fence edge at the bottom, lead end at the left. Drawn with characters
/// alone, no colour.
pub fn preview(request: &Request, design: &Design) -> String {
    let (length, width) = (design.carrier.length.to_mm(), design.carrier.width.to_mm());
    if length <= 0.0 || width <= 0.0 {
        return String::new();
    }
    let cell = (length / COLUMNS).max(width / (ROWS * SLENDER));
    let columns = libm::ceil(length / cell - 1e-9).clamp(1.0, COLUMNS) as usize;
    let true_rows = libm::round(width / (cell * SLENDER));
    let rows = true_rows.clamp(LEAST_ROWS, ROWS) as usize;
    let scene = Scene::of(design);
    let at = |column: usize, row: usize| {
        let x = (column as f64 + 0.5) * length / columns as f64;
        let y = (row as f64 + 0.5) * width / rows as f64;
        scene.seen(Spot::new(x, y))
    };
    let mut text = String::from("Seen from above, to look at only");
    if true_rows < LEAST_ROWS {
        text.push_str(", drawn wider than it is");
    }
    if design.gang.is_some() {
        text.push_str("; webs thinner than a letter may not show");
    }
    text.push_str(".\n\n");
    let trail = "TRAIL END";
    let lead = "LEAD END  <- feed";
    let gap = (columns + 2).saturating_sub(lead.len() + trail.len());
    if gap > 1 {
        text.push_str(&format!("{:MARGIN$} {lead}{:gap$}{trail}\n", "", ""));
    } else {
        text.push_str(&format!("{:MARGIN$} {lead}\n", ""));
    }
    let blank = design.blank.outline.bounds();
    let number = |length: Length| request.shop.ruler.number(length);
    let row_of = |y: Length| ((y.to_mm() / width * rows as f64) as usize).min(rows - 1);
    // The outer figures first: where there is no room, it is the inner ones that go.
    let mut figures: Vec<Option<String>> = vec![None; rows];
    for (row, y) in [
        (0, Length::ZERO),
        (rows - 1, design.carrier.width),
        (row_of(blank.y0), blank.y0),
        (row_of(blank.y1), blank.y1),
    ] {
        if let Some(figure) = figures.get_mut(row).filter(|figure| figure.is_none()) {
            *figure = Some(number(y));
        }
    }
    let edge = "─".repeat(columns);
    text.push_str(&format!("{:MARGIN$} ┌{edge}┐\n", ""));
    for row in (0..rows).rev() {
        let figure = figures.get(row).and_then(Option::as_deref).unwrap_or_default();
        let cells: String = (0..columns).map(|column| at(column, row).sign()).collect();
        text.push_str(&format!("{figure:>MARGIN$} │{cells}│\n"));
    }
    text.push_str(&format!("{:>MARGIN$} └{edge}┘\n", "FENCE"));
    let column_of = |x: Length| (x.to_mm() / length * columns as f64) as usize;
    let wanted = [
        (0, Length::ZERO),
        (columns, design.carrier.length),
        (column_of(blank.x0), blank.x0),
        (column_of(blank.x1), blank.x1),
    ];
    text.push_str(&figures_below(&wanted.map(|(column, x)| (column, number(x)))));
    let signs = [
        (Seen::Carrier, "carrier"),
        (Seen::Recess, "lower than the top"),
        (Seen::Blank, "blank"),
        (Seen::Carved, if request.machine.takes_whole_face() { "worked" } else { "carve area" }),
    ];
    let shown: Vec<Seen> =
        (0..rows).flat_map(|row| (0..columns).map(move |column| (column, row))).map(|(c, r)| at(c, r)).collect();
    let legend: Vec<String> = signs
        .iter()
        .filter(|(seen, _)| shown.contains(seen))
        .map(|(seen, words)| format!("{} {words}", seen.sign()))
        .collect();
    text.push_str(&format!("{:MARGIN$}  {}\n\n", "", legend.join("   ")));
    text
}

/// A line of figures centred under their columns; what would run into one before it in the list is left out.
fn figures_below(wanted: &[(usize, String)]) -> String {
    let mut line = vec![' '; usize::from(WIDTH)];
    for (column, figure) in wanted {
        let wide = figure.width();
        let start = (MARGIN + 2 + column).saturating_sub(wide.div_ceil(2));
        let around = start.saturating_sub(1)..(start + wide + 1).min(line.len());
        if line.get(around).is_some_and(|cells| cells.iter().all(|cell| *cell == ' ')) {
            for (cell, sign) in line.iter_mut().skip(start).zip(figure.chars()) {
                *cell = sign;
            }
        }
    }
    let line: String = line.into_iter().collect();
    format!("{}\n", line.trim_end())
}

/// The outlines that decide what is seen.
struct Scene {
    /// Parts: whether each reaches the top plane, its outline, what is open to the top in it.
    places: Vec<(bool, Contour, Vec<Contour>)>,
    blanks: Vec<Contour>,
    carved: Vec<Contour>,
}

impl Scene {
    fn of(design: &Design) -> Scene {
        let places = design.parts.iter().flat_map(|part| &part.places);
        let places = places.map(|place| {
            let open = place.voids.iter().filter(|void| void.z1 >= place.z1);
            let high = place.z1 >= design.carrier.thickness;
            (high, Contour::of(&place.outline), open.map(|void| Contour::of(&void.outline)).collect())
        });
        Scene {
            places: places.collect(),
            blanks: design.blank_outlines().iter().map(Contour::of).collect(),
            carved: design.carve_areas().into_iter().map(|area| Contour::of(&Outline::Rect(area))).collect(),
        }
    }

    fn seen(&self, spot: Spot) -> Seen {
        let within = |contours: &[Contour]| contours.iter().any(|contour| contour.holds(spot));
        if within(&self.blanks) {
            return if within(&self.carved) { Seen::Carved } else { Seen::Blank };
        }
        let mut recess = self.places.is_empty();
        for (high, outline, open) in &self.places {
            if outline.holds(spot) {
                if *high && !within(open) {
                    return Seen::Carrier;
                }
                // Wood that does not reach the top plane, or a pocket in wood that does.
                recess = true;
            }
        }
        if recess { Seen::Recess } else { Seen::Nothing }
    }
}
