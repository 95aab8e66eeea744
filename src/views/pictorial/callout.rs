//! Letters and words of a pictorial: on a face where there is room, else beside it with a leader.

use super::project::Clear;
use crate::drawing::{Align, Area, At, Line, Picture, Text, Weight, at, font};
use crate::views::SMALL;
use crate::views::marks::{LETTER_RADIUS, dot, letter};

/// Clear room round a letter or word, mm.
const CLEAR: f64 = 0.9;
/// Directions in which a place beside a face is looked for.
const DIRECTIONS: u32 = 24;

/// What is written at a solid.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The words.
    pub text: String,
    /// Whether it stands in a circle, as letters of parts do.
    pub round: bool,
    /// Where the solid is seen best, at true size.
    pub clear: Clear,
}

impl Label {
    /// Half its width and height.
    fn half(&self) -> (f64, f64) {
        if self.round {
            (LETTER_RADIUS, LETTER_RADIUS)
        } else {
            (font::width(&self.text, SMALL, Weight::Bold) / 2.0, SMALL * 0.62)
        }
    }
}

/// Length of a straight line.
pub fn length(a: At, b: At) -> f64 {
    ((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y)).sqrt()
}

/// Places words in a picture whose lines are drawn.
pub struct Callouts<'a> {
    picture: &'a mut Picture,
    taken: Vec<Area>,
}

impl<'a> Callouts<'a> {
    /// For this picture.
    pub fn new(picture: &'a mut Picture) -> Callouts<'a> {
        Callouts { picture, taken: Vec::new() }
    }

    /// The word at the fence edge, below its middle.
    pub fn fence(&mut self, middle: At) {
        self.word("FENCE", middle, (0.5, -0.866), 3.0);
    }

    /// An arrow out of the lead end, the way it is fed, and its name.
    pub fn lead(&mut self, middle: At) {
        let out = (-0.866, -0.5);
        let on = |by: f64| at(middle.x + by * out.0, middle.y + by * out.1);
        let (tail, neck, tip) = (on(3.0), on(10.0), on(13.0));
        self.picture.line(Line::Edge, &[tail, neck]);
        self.picture.arrowhead(tail, tip);
        self.word("LEAD END", tip, out, 3.0);
    }

    /// A word as near to a place as it goes in a direction, nothing in its way.
    fn word(&mut self, word: &str, from: At, way: (f64, f64), least: f64) {
        let (half, high) = (font::width(word, SMALL, Weight::Bold) / 2.0, SMALL / 2.0);
        let places = (0..200).map(|step| least + 0.5 * f64::from(step));
        let text = |by: f64| {
            let middle = at(from.x + by * way.0 + half * way.0.signum(), from.y + by * way.1);
            Text::new(at(middle.x, middle.y - high), SMALL, word).bold().align(Align::Middle)
        };
        let place = places.map(text).find(|text| self.is_free(&text.area().grown(CLEAR)));
        if let Some(text) = place {
            self.taken.push(text.area().grown(CLEAR));
            self.picture.text(text);
        }
    }

    fn is_free(&self, area: &Area) -> bool {
        self.picture.is_clear(area) && !self.taken.iter().any(|taken| taken.meets(area))
    }

    /// All labels at a scale: those that fit on their faces first, the others beside them.
    pub fn label(&mut self, labels: &[Label], scale: f64) {
        let (on, beside): (Vec<&Label>, Vec<&Label>) = labels.iter().partition(|label| {
            let (half, high) = label.half();
            label.clear.off * scale > half.max(high) + CLEAR
        });
        for label in on {
            let place = label.clear.spot.at(scale);
            if self.is_free(&Area::new(place.x, place.y, place.x, place.y).grown(LETTER_RADIUS)) {
                self.write(label, place);
            } else {
                self.lead_to(label, place);
            }
        }
        for label in beside {
            self.lead_to(label, label.clear.spot.at(scale));
        }
    }

    fn write(&mut self, label: &Label, centre: At) {
        let (half, high) = label.half();
        self.taken.push(Area::new(centre.x - half, centre.y - high, centre.x + half, centre.y + high).grown(CLEAR));
        if label.round {
            letter(self.picture, centre, &label.text);
        } else {
            let base = at(centre.x, centre.y - SMALL / 2.0);
            self.picture.text(Text::new(base, SMALL, &label.text).bold().align(Align::Middle));
        }
    }

    /// Beside its face, with a leader that crosses no word and as few lines as can be.
    fn lead_to(&mut self, label: &Label, from: At) {
        let (half, high) = label.half();
        let mut best: Option<(f64, At, At)> = None;
        for ring in 0..26 {
            let reach = 7.0 + 4.0 * f64::from(ring);
            if best.is_some_and(|(cost, ..)| cost <= reach) {
                break;
            }
            for step in 0..DIRECTIONS {
                let turn = f64::from(step) / f64::from(DIRECTIONS) * std::f64::consts::TAU;
                let (x, y) = (libm::cos(turn), libm::sin(turn));
                let centre = at(from.x + (reach + half - LETTER_RADIUS) * x, from.y + reach * y);
                let own = Area::new(centre.x - half, centre.y - high, centre.x + half, centre.y + high).grown(CLEAR);
                if !self.is_free(&own) {
                    continue;
                }
                let end = border(centre, from, label, half, high);
                if self.taken.iter().any(|taken| taken.crossed_by(from, end)) {
                    continue;
                }
                let cost = reach + 5.0 * self.crossed(from, end) as f64;
                if best.is_none_or(|(least, ..)| cost < least - 1e-9) {
                    best = Some((cost, centre, end));
                }
            }
        }
        if let Some((_, centre, end)) = best {
            self.picture.line(Line::Thin, &[from, end]);
            dot(self.picture, from);
            self.write(label, centre);
        }
    }

    /// How many lines of the picture a leader crosses.
    fn crossed(&self, a: At, b: At) -> usize {
        let side = |p: At, a: At, b: At| (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x) > 0.0;
        let cut = |(c, d): (At, At)| side(a, c, d) != side(b, c, d) && side(c, a, b) != side(d, a, b);
        let lines = self.picture.items.iter().filter_map(|item| match item {
            crate::drawing::Item::Path { points, closed, .. } => Some((points, *closed)),
            _ => None,
        });
        lines.map(|(points, closed)| crate::drawing::segments(points, closed).filter(|line| cut(*line)).count()).sum()
    }
}

/// Where a leader ends: on the circle, or at the middle of the word's nearer end.
fn border(centre: At, from: At, label: &Label, half: f64, high: f64) -> At {
    let far = length(centre, from).max(1e-9);
    let (x, y) = ((from.x - centre.x) / far, (from.y - centre.y) / far);
    if label.round {
        return at(centre.x + LETTER_RADIUS * x, centre.y + LETTER_RADIUS * y);
    }
    let (wide, tall) = (half + CLEAR, high + CLEAR);
    let share = (wide / x.abs().max(1e-9)).min(tall / y.abs().max(1e-9));
    at(centre.x + share * x, centre.y + share * y)
}
