//! The display list: what is on the paper, in millimetres, before any file format.
//!
//! The origin is the lower left corner, y points up. Lines and hatches are named by what they mean;
//! their widths and dashes follow ISO 128-2 with line group 0.7 (wide) and 0.35 (narrow).

mod clip;
pub mod figure;
pub mod font;

pub use clip::clip;

/// A place on the paper, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct At {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

/// The place `x`, `y`.
pub const fn at(x: f64, y: f64) -> At {
    At { x, y }
}

/// An upright box on the paper, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Left.
    pub x0: f64,
    /// Bottom.
    pub y0: f64,
    /// Right.
    pub x1: f64,
    /// Top.
    pub y1: f64,
}

impl Area {
    /// Nothing yet: the box that any other one enlarges.
    pub const NOTHING: Area =
        Area { x0: f64::INFINITY, y0: f64::INFINITY, x1: f64::NEG_INFINITY, y1: f64::NEG_INFINITY };

    /// The box between two corners, lower left first.
    pub const fn new(x0: f64, y0: f64, x1: f64, y1: f64) -> Area {
        Area { x0, y0, x1, y1 }
    }

    /// Width.
    pub fn width(&self) -> f64 {
        (self.x1 - self.x0).max(0.0)
    }

    /// Height.
    pub fn height(&self) -> f64 {
        (self.y1 - self.y0).max(0.0)
    }

    /// The box that holds both.
    pub fn with(self, other: Area) -> Area {
        Area {
            x0: self.x0.min(other.x0),
            y0: self.y0.min(other.y0),
            x1: self.x1.max(other.x1),
            y1: self.y1.max(other.y1),
        }
    }

    /// The box grown by `by` on every side (shrunk where negative).
    pub fn grown(self, by: f64) -> Area {
        Area { x0: self.x0 - by, y0: self.y0 - by, x1: self.x1 + by, y1: self.y1 + by }
    }

    /// Whether the insides of the two have a point in common.
    pub fn meets(&self, other: &Area) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// Whether the other lies within this one.
    pub fn holds(&self, other: &Area) -> bool {
        self.x0 <= other.x0 && other.x1 <= self.x1 && self.y0 <= other.y0 && other.y1 <= self.y1
    }

    /// Whether the straight line from `a` to `b` passes through the inside.
    pub fn crossed_by(&self, a: At, b: At) -> bool {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, change, low, high) in [(a.x, b.x - a.x, self.x0, self.x1), (a.y, b.y - a.y, self.y0, self.y1)] {
            if change == 0.0 {
                if start <= low || start >= high {
                    return false;
                }
                continue;
            }
            let (one, other) = ((low - start) / change, (high - start) / change);
            from = from.max(one.min(other));
            to = to.min(one.max(other));
        }
        from < to
    }

    /// The four corners, counter-clockwise.
    pub fn corners(&self) -> Vec<At> {
        vec![at(self.x0, self.y0), at(self.x1, self.y0), at(self.x1, self.y1), at(self.x0, self.y1)]
    }
}

/// A line by what it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line {
    /// The edge that runs against the fence.
    Fence,
    /// Outline of the carrier, and the frame of a sheet.
    Outline,
    /// Any other visible edge.
    Edge,
    /// An edge to saw or rout, on a full-size template.
    Cut,
    /// An edge behind something.
    Hidden,
    /// The blank, which is not part of the carrier.
    Blank,
    /// Border of the carve area.
    Carve,
    /// Centre line.
    Centre,
    /// Where a section is taken.
    Plane,
    /// Dimension, extension and leader lines, table rules.
    Thin,
    /// Hatching.
    Hatch,
    /// The bar of a fraction, as wide as the strokes of its digits.
    Bar,
}

impl Line {
    /// Width, mm (a width of the series of ISO 128-2).
    pub const fn width(self) -> f64 {
        match self {
            Line::Fence => 1.4,
            Line::Outline | Line::Plane => 0.7,
            Line::Edge | Line::Carve => 0.5,
            Line::Hidden | Line::Blank | Line::Cut | Line::Bar => 0.35,
            Line::Centre | Line::Thin | Line::Hatch => 0.25,
        }
    }

    /// Lengths of dashes and gaps by turns, mm; empty for a continuous line. In line widths d, from
    /// ISO 128-2: dashed 12 d, 3 d; long-dash dot 24 d, 3 d, 0.5 d, 3 d; double dot the same with two.
    pub fn dashes(self) -> Vec<f64> {
        let pattern: &[f64] = match self {
            Line::Hidden | Line::Carve => &[12.0, 3.0],
            Line::Centre => &[24.0, 3.0, 0.5, 3.0],
            Line::Blank => &[24.0, 3.0, 0.5, 3.0, 0.5, 3.0],
            Line::Fence
            | Line::Outline
            | Line::Edge
            | Line::Cut
            | Line::Plane
            | Line::Thin
            | Line::Hatch
            | Line::Bar => &[],
        };
        pattern.iter().map(|dash| dash * self.width()).collect()
    }
}

/// Parallel lines that fill a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hatch {
    /// Direction of the lines, degrees from the horizontal.
    pub angle: f64,
    /// Distance between them, mm.
    pub spacing: f64,
}

impl Hatch {
    /// The blank, where it is cut through.
    pub const BLANK: Hatch = Hatch { angle: 0.0, spacing: 1.4 };
    /// Where no metal may be.
    pub const NO_METAL: Hatch = Hatch { angle: 45.0, spacing: 4.0 };
    /// The reference strip.
    pub const STRIP: Hatch = Hatch { angle: 90.0, spacing: 3.0 };

    /// The hatch of a part by its material and its place in the parts table: sheet goods lean by 45 degrees
    /// and stand close, solid wood is steeper and wider; neighbours lean differently.
    pub fn of_part(place: usize, solid_wood: bool) -> Hatch {
        let lean = if solid_wood { 65.0 } else { 45.0 };
        let wider = 0.5 * ((place / 2) % 3) as f64;
        Hatch {
            angle: if place.is_multiple_of(2) { lean } else { 180.0 - lean },
            spacing: if solid_wood { 3.2 + wider } else { 1.9 + wider },
        }
    }
}

/// Black, or paper white to clear what lies below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Filled.
    Black,
    /// Cleared.
    Paper,
}

/// Weight of lettering.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// Ordinary.
    Regular,
    /// Heavy.
    Bold,
}

/// Which point of a text its place names, along the line of writing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A line of text. Its place is on the base line.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Place of the point named by `align`, on the base line.
    pub at: At,
    /// What it says, in characters the font has.
    pub text: String,
    /// Height of the capitals, mm.
    pub height: f64,
    /// Weight.
    pub weight: Weight,
    /// Which point of the text `at` is.
    pub align: Align,
    /// Whether it is written upwards (read from the right) rather than level.
    pub upwards: bool,
    /// Whether its fractions are stacked.
    pub stacked: bool,
}

impl Text {
    /// A level text in the regular weight that starts at a place. Characters the font lacks become `?`.
    pub fn new(at: At, height: f64, text: &str) -> Text {
        Text {
            at,
            text: font::printable(text),
            height,
            weight: Weight::Regular,
            align: Align::Start,
            upwards: false,
            stacked: false,
        }
    }

    /// The same in bold.
    pub fn bold(self) -> Text {
        Text { weight: Weight::Bold, ..self }
    }

    /// The same with another point at its place.
    pub fn align(self, align: Align) -> Text {
        Text { align, ..self }
    }

    /// The same written upwards.
    pub fn upwards(self) -> Text {
        Text { upwards: true, ..self }
    }

    /// The same with the fractions in it stacked.
    pub fn stacked(self) -> Text {
        let stacked = figure::has_fraction(&self.text);
        Text { stacked, ..self }
    }

    /// Length of the line of writing, mm.
    pub fn width(&self) -> f64 {
        if self.stacked { figure::set(self).width } else { font::width(&self.text, self.height, self.weight) }
    }

    /// Start of the base line.
    pub fn start(&self) -> At {
        let back = match self.align {
            Align::Start => 0.0,
            Align::Middle => self.width() / 2.0,
            Align::End => self.width(),
        };
        if self.upwards { at(self.at.x, self.at.y - back) } else { at(self.at.x - back, self.at.y) }
    }

    /// The box the lettering can reach.
    pub fn area(&self) -> Area {
        let (start, size, width) = (self.start(), font::size(self.height), self.width());
        let (mut below, mut above) = (font::DESCENT * size, font::ASCENT * size);
        if self.stacked {
            (below, above) = (below.max(figure::BELOW * self.height), above.max(figure::ABOVE * self.height));
        }
        if self.upwards {
            Area::new(start.x - above, start.y, start.x + below, start.y + width)
        } else {
            Area::new(start.x, start.y - below, start.x + width, start.y + above)
        }
    }
}

/// One thing on the paper.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A line through points.
    Path {
        /// The points.
        points: Vec<At>,
        /// Whether the last is joined to the first.
        closed: bool,
        /// What the line means.
        line: Line,
    },
    /// A circle.
    Circle {
        /// Centre.
        centre: At,
        /// Radius, mm.
        radius: f64,
        /// What the line means.
        line: Line,
    },
    /// A filled polygon.
    Solid {
        /// Its corners.
        points: Vec<At>,
        /// With what.
        ink: Ink,
    },
    /// Hatching within polygons (what lies inside an even number of them stays clear).
    Hatched {
        /// The polygons.
        rings: Vec<Vec<At>>,
        /// The lines.
        hatch: Hatch,
    },
    /// A text.
    Text(Text),
}

impl Item {
    /// The box that holds the item, without line widths.
    pub fn area(&self) -> Area {
        let of = |points: &[At]| points.iter().fold(Area::NOTHING, |area, p| area.with(Area::new(p.x, p.y, p.x, p.y)));
        match self {
            Item::Path { points, .. } | Item::Solid { points, .. } => of(points),
            Item::Circle { centre, radius, .. } => Area::new(centre.x, centre.y, centre.x, centre.y).grown(*radius),
            Item::Hatched { rings, .. } => rings.iter().fold(Area::NOTHING, |area, ring| area.with(of(ring))),
            Item::Text(text) => text.area(),
        }
    }

    fn shift(&mut self, by: At) {
        let shift = |p: &mut At| {
            p.x += by.x;
            p.y += by.y;
        };
        match self {
            Item::Path { points, .. } | Item::Solid { points, .. } => points.iter_mut().for_each(shift),
            Item::Circle { centre, .. } => shift(centre),
            Item::Hatched { rings, .. } => rings.iter_mut().flatten().for_each(shift),
            Item::Text(text) => shift(&mut text.at),
        }
    }
}

/// A display list.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Picture {
    /// Items, each drawn over those before it.
    pub items: Vec<Item>,
}

impl Picture {
    /// Adds an open line.
    pub fn line(&mut self, line: Line, points: &[At]) {
        self.items.push(Item::Path { points: points.to_vec(), closed: false, line });
    }

    /// Adds a closed line.
    pub fn ring(&mut self, line: Line, points: Vec<At>) {
        self.items.push(Item::Path { points, closed: true, line });
    }

    /// Adds a box.
    pub fn frame(&mut self, line: Line, area: Area) {
        self.ring(line, area.corners());
    }

    /// Adds a circle.
    pub fn circle(&mut self, line: Line, centre: At, radius: f64) {
        self.items.push(Item::Circle { centre, radius, line });
    }

    /// Adds a filled polygon.
    pub fn solid(&mut self, ink: Ink, points: Vec<At>) {
        self.items.push(Item::Solid { points, ink });
    }

    /// Adds hatching within one polygon.
    pub fn hatch(&mut self, hatch: Hatch, ring: Vec<At>) {
        self.items.push(Item::Hatched { rings: vec![ring], hatch });
    }

    /// Adds a text, unless it is empty.
    pub fn text(&mut self, text: Text) {
        if !text.text.is_empty() {
            self.items.push(Item::Text(text));
        }
    }

    /// Adds a text on a cleared ground, for places that are hatched.
    pub fn label(&mut self, text: Text) {
        self.solid(Ink::Paper, text.area().grown(0.6).corners());
        self.text(text);
    }

    /// Adds a filled arrowhead, 3.6 mm long and a third as wide, with its tip at `tip`, pointing from `from`.
    pub fn arrowhead(&mut self, from: At, tip: At) {
        let (dx, dy) = (tip.x - from.x, tip.y - from.y);
        let length = libm::sqrt(dx * dx + dy * dy);
        if length == 0.0 {
            return;
        }
        let (ux, uy) = (dx / length, dy / length);
        let back = at(tip.x - 3.6 * ux, tip.y - 3.6 * uy);
        self.solid(
            Ink::Black,
            vec![tip, at(back.x - 0.6 * uy, back.y + 0.6 * ux), at(back.x + 0.6 * uy, back.y - 0.6 * ux)],
        );
    }

    /// Adds another display list, shifted.
    pub fn add(&mut self, other: Picture, by: At) {
        self.items.extend(other.items.into_iter().map(|mut item| {
            item.shift(by);
            item
        }));
    }

    /// The box that holds everything.
    pub fn area(&self) -> Area {
        self.items.iter().fold(Area::NOTHING, |area, item| area.with(item.area()))
    }

    /// Whether neither lettering, solids, circles nor lines (hatching apart) touch a box.
    pub fn is_clear(&self, area: &Area) -> bool {
        self.items.iter().all(|item| match item {
            Item::Path { points, closed, .. } => !segments(points, *closed).any(|(a, b)| area.crossed_by(a, b)),
            Item::Circle { .. } | Item::Solid { .. } | Item::Text(_) => !item.area().meets(area),
            Item::Hatched { .. } => true,
        })
    }
}

/// The straight pieces of a line through points.
pub fn segments(points: &[At], closed: bool) -> impl Iterator<Item = (At, At)> + '_ {
    let closing = match (closed, points.first(), points.last()) {
        (true, Some(first), Some(last)) => Some((*last, *first)),
        _ => None,
    };
    points.iter().zip(points.iter().skip(1)).map(|(a, b)| (*a, *b)).chain(closing)
}

/// The hatch lines inside polygons, by the even-odd rule. Lines of equal hatches on one sheet lie on
/// one grid, so that surfaces that touch are hatched through. At most 2000 lines.
pub fn hatch_lines(rings: &[Vec<At>], hatch: Hatch) -> Vec<(At, At)> {
    let angle = hatch.angle.to_radians();
    let (ux, uy) = (libm::cos(angle), libm::sin(angle));
    let along = |p: At| p.x * ux + p.y * uy;
    let aside = |p: At| p.y * ux - p.x * uy;
    let (low, high) = rings
        .iter()
        .flatten()
        .map(|p| aside(*p))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), d| (low.min(d), high.max(d)));
    let (first, last) = (libm::ceil(low / hatch.spacing), libm::floor(high / hatch.spacing));
    if !(first <= last && last - first < 2000.0) {
        return Vec::new();
    }
    let mut lines = Vec::new();
    for step in 0..=(last - first) as usize {
        let offset = (first + step as f64) * hatch.spacing;
        let mut crossings: Vec<f64> = rings
            .iter()
            .flat_map(|ring| segments(ring, true))
            .filter_map(|(a, b)| {
                let (da, db) = (aside(a) - offset, aside(b) - offset);
                ((da < 0.0) != (db < 0.0)).then(|| along(a) + (along(b) - along(a)) * da / (da - db))
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let point = |t: f64| at(t * ux - offset * uy, t * uy + offset * ux);
            if pair[1] - pair[0] > 0.05 {
                lines.push((point(pair[0]), point(pair[1])));
            }
        }
    }
    lines
}

/// A sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// What the sheet is, such as `Cut list`.
    pub title: String,
    /// Width of the paper, mm.
    pub width: f64,
    /// Height of the paper, mm.
    pub height: f64,
    /// The drawing frame; nothing of the picture lies outside it.
    pub frame: Area,
    /// The frame itself and the marks outside it.
    pub margin: Picture,
    /// What is on it.
    pub picture: Picture,
}

impl Page {
    /// Everything on the paper, in the order it is drawn.
    pub fn items(&self) -> impl Iterator<Item = &Item> {
        self.margin.items.iter().chain(&self.picture.items)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn hatch_lines_stay_within_a_polygon_and_leave_its_hole_clear() {
        // A 10 mm square with a 4 mm hole in the middle, level lines 1 mm apart: the lines y = 0 to 9
        // count (half-open edges), those at y = 3 to 6 are cut in two by the hole.
        let square = Area::new(0.0, 0.0, 10.0, 10.0).corners();
        let hole = Area::new(3.0, 3.0, 7.0, 7.0).corners();
        let lines = hatch_lines(&[square, hole], Hatch { angle: 0.0, spacing: 1.0 });
        let total: f64 = lines.iter().map(|(a, b)| b.x - a.x).sum();
        assert_abs_diff_eq!(total, 10.0 * 10.0 - 4.0 * 4.0, epsilon = 1e-9);
        assert!(lines.iter().all(|(a, b)| a.y == b.y && (a.x >= 0.0 && b.x <= 10.0)));
    }

    #[test]
    fn hatch_length_times_spacing_is_the_area_at_any_angle() {
        // Cavalieri: parallel chords of a triangle, summed and multiplied by their distance, approach
        // its area, here 30 * 40 / 2 = 600 mm2.
        let triangle = vec![at(0.0, 0.0), at(30.0, 0.0), at(0.0, 40.0)];
        for angle in [0.0, 30.0, 45.0, 90.0, 135.0] {
            let lines = hatch_lines(std::slice::from_ref(&triangle), Hatch { angle, spacing: 0.1 });
            let total: f64 =
                lines.iter().map(|(a, b)| libm::sqrt((b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y))).sum();
            assert_abs_diff_eq!(total * 0.1, 600.0, epsilon = 4.0);
        }
    }

    #[test]
    fn a_box_knows_which_lines_cross_it() {
        let area = Area::new(0.0, 0.0, 10.0, 5.0);
        assert!(area.crossed_by(at(-1.0, 2.0), at(11.0, 3.0)));
        assert!(area.crossed_by(at(4.0, 1.0), at(5.0, 1.0)));
        assert!(!area.crossed_by(at(-1.0, 6.0), at(11.0, 6.0)));
        assert!(!area.crossed_by(at(0.0, 5.0), at(10.0, 5.0)), "along its edge is outside");
        assert!(!area.crossed_by(at(9.0, 7.0), at(12.0, 3.0)), "past the corner");
    }

    #[test]
    fn widths_are_of_the_iso_series_and_wide_is_twice_narrow() {
        // ISO 128-2: 0.13 0.18 0.25 0.35 0.5 0.7 1.0 1.4 2.0 mm.
        let series = [0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0];
        for line in [Line::Fence, Line::Outline, Line::Edge, Line::Hidden, Line::Thin, Line::Centre] {
            assert!(series.contains(&line.width()), "{line:?}");
        }
        assert_eq!(Line::Outline.width(), 2.0 * Line::Hidden.width());
        assert_eq!(Line::Hidden.dashes(), [12.0 * 0.35, 3.0 * 0.35]);
    }
}
