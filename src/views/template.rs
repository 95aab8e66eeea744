//! Full-size templates: which parts are worth one, and the lines on them, in millimetres of the part.
//!
//! A part that is a plain rectangle is sawn to a fence or a stop, better than to a line on paper, so it
//! has no template. What is left is sawn or routed to a line: pockets, rounds and slopes.

use super::depth_text;
use crate::design::{Design, Part, Place, Void, VoidKind};
use crate::drawing::{Area, At, Line, at, clip, segments};
use crate::geometry::contour::{Contour, Spot, cut};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::Request;
use crate::setup::has_datum_corner;

/// How far the chords of an arc may leave it, mm: a tenth of what can be seen on paper.
const OFF: f64 = 0.01;
/// Arms of a centre mark, mm: shorter than those of a registration cross.
const MARK: f64 = 4.0;

/// A line on a template.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Its points, mm from the part's corner nearest to lead end and fence edge.
    pub points: Vec<At>,
    /// Whether the last is joined to the first.
    pub closed: bool,
    /// What it means.
    pub line: Line,
}

/// A word and where it may stand. Of several in a row that say the same, a page has the first that fits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Word {
    /// The region, mm.
    pub region: Area,
    /// What it says.
    pub text: String,
    /// Whether it is in bold.
    pub bold: bool,
}

/// A full-size template of one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// Part letter.
    pub part: String,
    /// Trade name of the part.
    pub name: String,
    /// How many parts are made to it.
    pub count: usize,
    /// Its corner nearest to lead end and fence edge, in carrier coordinates.
    pub origin: Point,
    /// Extent along the feed and across, mm.
    pub size: At,
    /// Its lines.
    pub strokes: Vec<Stroke>,
    /// Where the wedge of the datum corner stands, if that corner lies on the part.
    pub datum: Option<At>,
    /// Places that a page is needed for, mm: what cannot be had from a fence or a stop.
    pub(crate) wanted: Vec<At>,
    pub(crate) words: Vec<Word>,
    /// What the words do not say: sizes and distances, one sentence each.
    pub notes: Vec<String>,
    /// Whether the part has the lead end of the carrier, and whether it has its fence edge.
    pub at_datum: (bool, bool),
    /// Whether it is drawn as it lies on the bench, for it stands at an angle in the carrier.
    pub on_bench: bool,
}

/// The templates of a design, in the order of its parts; none where every part is a plain rectangle.
pub fn templates(request: &Request, design: &Design) -> Vec<Template> {
    let mut templates: Vec<Template> = Vec::new();
    for part in &design.parts {
        for place in part.places.iter().map(|place| part.upright(place)).filter(is_wanted) {
            let template = template(request, design, part, &place);
            let twin = templates.iter_mut().find(|other| {
                let alike = other.strokes == template.strokes && other.datum == template.datum;
                other.part == template.part && (alike || part.role.lies_turned())
            });
            match twin {
                Some(twin) => twin.count += 1,
                None => templates.push(template),
            }
        }
    }
    templates
}

fn is_wanted(place: &Place) -> bool {
    !matches!(place.outline, Outline::Rect(_)) || place.voids.iter().any(|void| void.kind == VoidKind::Pocket)
}

fn template(request: &Request, design: &Design, part: &Part, place: &Place) -> Template {
    let bounds = place.outline.bounds();
    let origin = Point::new(bounds.x0, bounds.y0);
    // What stands at an angle, or this way and that, is drawn as it lies on the bench.
    let at_feed = !part.role.stands_at_angle() && !part.role.lies_turned();
    let size = at(bounds.length().to_mm(), bounds.width().to_mm());
    let sheet = Area::new(0.0, 0.0, size.x, size.y);
    let mut draft = Draft { origin, sheet, strokes: Vec::new(), wanted: vec![at(0.0, 0.0)] };

    let open = place.voids.iter().filter(|void| void.z1 >= place.z1 && !void.kind.is_slanting());
    let open: Vec<&Outline> = open.map(|void| &void.outline).collect();
    for contour in cut(&place.outline, &open) {
        draft.contour(&contour);
    }
    let pocket = place.voids.iter().find(|void| void.kind == VoidKind::Pocket);
    for void in &place.voids {
        let outline = Contour::of(&void.outline);
        if void.z1 < place.z1 {
            draft.stroke(outline.flat(OFF), true, Line::Hidden);
        }
        if let Some((centre, _)) = outline.circle() {
            draft.centre(centre);
        }
    }
    if pocket.is_some() {
        let ring = Contour::of(&Outline::Rect(design.carve)).flat(OFF);
        let carve: Vec<At> = ring.into_iter().map(|spot| draft.at(spot)).collect();
        for run in clip(&carve, true, &sheet) {
            draft.strokes.push(Stroke { points: run, closed: false, line: Line::Carve });
        }
    }
    let corner = design.origin();
    let cornered = pocket.is_some()
        && has_datum_corner(design)
        && corner.x >= bounds.x0
        && corner.x < bounds.x1
        && corner.y >= bounds.y0
        && corner.y < bounds.y1;
    // The wedge stands in the corner of the pocket, clear of its relief.
    let relief = place.voids.iter().find(|void| void.kind == VoidKind::Relief);
    let clear = relief.map_or(0.0, |void| void.outline.bounds().length().to_mm() + 0.5);
    let datum = pocket.filter(|_| cornered).map(|void| {
        let walls = void.outline.bounds();
        draft.at(Spot::new(walls.x0.to_mm() + clear, walls.y0.to_mm() + clear))
    });
    Template {
        part: part.id.clone(),
        name: part.name.clone(),
        count: 1,
        origin,
        size,
        datum,
        words: words(design, place, &draft),
        notes: notes(request, design, part, place, &bounds),
        strokes: draft.strokes,
        wanted: draft.wanted,
        on_bench: !at_feed,
        at_datum: (at_feed && bounds.x0 == Length::ZERO, at_feed && bounds.y0 == Length::ZERO),
    }
}

/// Lines of a template while it is drawn.
struct Draft {
    origin: Point,
    sheet: Area,
    strokes: Vec<Stroke>,
    wanted: Vec<At>,
}

impl Draft {
    fn at(&self, spot: Spot) -> At {
        at(spot.x - self.origin.x.to_mm(), spot.y - self.origin.y.to_mm())
    }

    fn stroke(&mut self, spots: Vec<Spot>, closed: bool, line: Line) {
        let points = spots.into_iter().map(|spot| self.at(spot)).collect();
        self.strokes.push(Stroke { points, closed, line });
    }

    /// A contour to saw or rout. Its corners are wanted, and the whole of its arcs and slopes; corners
    /// of the rectangle the part is sawn to and its straight sides are not.
    fn contour(&mut self, contour: &Contour) {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
        for edge in &contour.edges {
            let (a, b) = (self.at(edge.a), self.at(edge.b));
            let sloped = edge.bulge != 0.0 || !(near(a.x, b.x) || near(a.y, b.y));
            let outer = (near(a.x, 0.0) || near(a.x, self.sheet.x1)) && (near(a.y, 0.0) || near(a.y, self.sheet.y1));
            if sloped {
                let single = Contour { edges: vec![*edge] };
                let points = single.flat(1.0).into_iter().chain([edge.b]);
                let points: Vec<At> = points.map(|spot| self.at(spot)).collect();
                for pair in points.windows(2) {
                    if let [from, to] = pair {
                        self.wanted.extend(along(*from, *to));
                    }
                }
            } else if !outer {
                self.wanted.push(a);
            }
        }
        self.stroke(contour.flat(OFF), true, Line::Cut);
    }

    fn centre(&mut self, centre: Spot) {
        let p = self.at(centre);
        if self.sheet.grown(MARK).holds(&Area::new(p.x, p.y, p.x, p.y)) {
            self.wanted.push(p);
            for (dx, dy) in [(MARK, 0.0), (0.0, MARK)] {
                let points = vec![at(p.x - dx, p.y - dy), at(p.x + dx, p.y + dy)];
                self.strokes.push(Stroke { points, closed: false, line: Line::Thin });
            }
        }
    }
}

/// Points of a straight line about 20 mm apart: near enough that no page it crosses is missed by more
/// than the overlap shows.
fn along(a: At, b: At) -> impl Iterator<Item = At> {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let steps = libm::ceil((dx * dx + dy * dy).sqrt() / 20.0).clamp(1.0, 2000.0);
    (0..=steps as u32).map(move |step| {
        let share = f64::from(step) / steps;
        at(a.x + share * dx, a.y + share * dy)
    })
}

fn words(design: &Design, place: &Place, draft: &Draft) -> Vec<Word> {
    let paper = |rect: Rect| {
        let (a, b) = (draft.at(Spot::new(rect.x0.to_mm(), rect.y0.to_mm())), {
            draft.at(Spot::new(rect.x1.to_mm(), rect.y1.to_mm()))
        });
        Area::new(a.x.max(0.0), a.y.max(0.0), b.x.min(draft.sheet.x1), b.y.min(draft.sheet.y1)).grown(-1.0)
    };
    let mut words = Vec::new();
    let mut word = |region: Area, text: &str, bold: bool| {
        words.push(Word { region, text: text.to_owned(), bold });
    };
    for void in &place.voids {
        match void.kind {
            VoidKind::Pocket => {
                let name = if void.z0 > place.z0 { "POCKET" } else { "CUT OUT" };
                word(paper(void.outline.bounds()), &numbered(design, void, name), true);
            }
            VoidKind::PushOut => {
                let area = paper(void.outline.bounds());
                word(Area { x0: area.x1 + 2.0, x1: area.x1 + 60.0, ..area.grown(6.0) }, "push-out hole", false);
            }
            VoidKind::Relief
            | VoidKind::ScrewHole
            | VoidKind::Countersink
            | VoidKind::PegHole
            | VoidKind::ClippedCorner
            | VoidKind::FingerGap
            | VoidKind::Under
            | VoidKind::SlopeAlong
            | VoidKind::SlopeAcross
            | VoidKind::KeeperNotch
            | VoidKind::Bevel => {}
        }
    }
    if place.voids.iter().any(|void| void.kind == VoidKind::Pocket) {
        word(paper(design.carve), "carve area, not a cut", false);
        let corner = paper(design.blank.outline.bounds());
        if has_datum_corner(design) {
            let near = Area { x1: corner.x1.min(corner.x0 + 60.0), y1: corner.y1.min(corner.y0 + 16.0), ..corner };
            word(near, "datum corner", false);
        }
    }
    for region in in_wood(draft) {
        word(region, "TOP FACE", true);
    }
    words
}

/// A pocket's name, of a gang with its number and the way it lies.
fn numbered(design: &Design, void: &Void, name: &str) -> String {
    let place = design.pockets.iter().position(|pocket| pocket.outline == void.outline);
    match (&design.gang, place) {
        (Some(gang), Some(place)) => {
            let turned = if gang.is_turned(place) { ", TURNED" } else { "" };
            let kind = gang.kinds.get(gang.kind(place)).filter(|_| gang.is_mixed());
            let called = kind.map_or_else(String::new, |kind| format!(", {}", kind.name));
            format!("{name} {}{called}{turned}", place + 1)
        }
        _ => name.to_owned(),
    }
}

/// Boxes for a short word that lie on the part, not in what is cut away, on a grid from the middle out.
fn in_wood(draft: &Draft) -> Vec<Area> {
    const BOX: At = at(34.0, 8.0);
    const STEPS: [f64; 13] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9, 0.05, 0.95, 0.01, 0.99];
    let sides: Vec<(At, At)> = draft
        .strokes
        .iter()
        .filter(|stroke| stroke.line == Line::Cut)
        .flat_map(|stroke| segments(&stroke.points, stroke.closed))
        .collect();
    // By the crossing rule: holes turn inside out.
    let wood = |p: At| {
        let crossed = |a: At, b: At| (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y);
        sides.iter().filter(|(a, b)| crossed(*a, *b)).count() % 2 == 1
    };
    let room = at((draft.sheet.x1 - BOX.x).max(0.0), (draft.sheet.y1 - BOX.y).max(0.0));
    STEPS
        .iter()
        .flat_map(|v| STEPS.iter().map(move |h| at(h * room.x, v * room.y)))
        .map(|near| Area::new(near.x, near.y, near.x + BOX.x, near.y + BOX.y))
        .filter(|area| {
            let clear = !sides.iter().any(|(a, b)| area.crossed_by(*a, *b));
            clear && area.corners().into_iter().all(wood)
        })
        .collect()
}

/// Sizes and distances, measured in the carrier, so that a template can be laid down with a rule.
fn notes(request: &Request, design: &Design, part: &Part, place: &Place, bounds: &Rect) -> Vec<String> {
    let unit = |length: Length| request.shop.ruler.with_unit(length);
    let number = |length: Length| request.shop.ruler.number(length);
    let from_lead = if bounds.x0 == Length::ZERO { "the lead end" } else { "its lead side" };
    let from_fence = if bounds.y0 == Length::ZERO { "the fence edge" } else { "its fence side" };
    let mut notes = vec![format!(
        "Part {}, {}: {} x {}, {}.",
        part.id,
        part.name,
        number(bounds.length()),
        unit(bounds.width()),
        part.material
    )];
    // Of many alike one line is enough: where each is stands in the pocket table.
    const TOLD: usize = 2;
    let mut many: Vec<VoidKind> = Vec::new();
    for void in &place.voids {
        if many.contains(&void.kind) {
            continue;
        }
        let alike = place.voids.iter().filter(|other| other.kind == void.kind).count();
        let inner = void.outline.bounds();
        let depth = if void.kind == VoidKind::Under {
            format!("{} deeper than the pocket", depth_text(request, void.z1 - void.z0))
        } else if void.z0 > place.z0 && void.z1 >= place.z1 {
            format!("{} deep", depth_text(request, void.z1 - void.z0))
        } else {
            "through".to_owned()
        };
        let (x, y) = (|length: Length| length - bounds.x0, |length: Length| length - bounds.y0);
        let name = match void.kind {
            VoidKind::Pocket => "Pocket",
            VoidKind::PushOut => "Push-out hole",
            VoidKind::FingerGap => "Finger gap",
            VoidKind::Under => "Room for the relief",
            VoidKind::ScrewHole => "Screw hole",
            VoidKind::PegHole => "Peg hole",
            VoidKind::Relief
            | VoidKind::Countersink
            | VoidKind::ClippedCorner
            | VoidKind::KeeperNotch
            | VoidKind::Bevel
            | VoidKind::SlopeAlong
            | VoidKind::SlopeAcross => continue,
        };
        if alike > TOLD {
            many.push(void.kind);
            let size = match &void.outline {
                Outline::Disc { diameter, .. } => format!("Ø {}", unit(*diameter)),
                _ => format!("{} x {}", number(inner.length()), unit(inner.width())),
            };
            let places = match void.kind {
                VoidKind::PushOut => "one in the middle of each pocket",
                VoidKind::FingerGap => "at the large crosses",
                VoidKind::ScrewHole | VoidKind::Countersink => "their places are in the table of the screws",
                _ => "their places are in the pocket table",
            };
            notes.push(format!("{name}: {alike} alike, {size}, {depth}; {places}."));
            continue;
        }
        notes.push(match &void.outline {
            Outline::Disc { centre, diameter } => format!(
                "{name}: Ø {}, {depth}; centre {} from {from_lead}, {} from {from_fence}.",
                unit(*diameter),
                unit(x(centre.x)),
                unit(y(centre.y))
            ),
            _ => format!(
                "{name}: {} to {} from {from_lead}, {} to {} from {from_fence}, {depth}.",
                number(x(inner.x0)),
                unit(x(inner.x1)),
                number(y(inner.y0)),
                unit(y(inner.y1))
            ),
        });
    }
    let relief = place.voids.iter().find(|void| void.kind == VoidKind::Relief);
    if let Some(void) = relief {
        let bounds = || void.outline.bounds().length();
        let diameter =
            design.pockets.iter().find_map(|pocket| pocket.relief).map_or_else(bounds, |relief| relief.diameter);
        let across = request.shop.depth_ruler.with_unit(diameter);
        // Of a nest a relief is a run of the cutter, not a hole with a middle.
        notes.push(match &void.outline {
            Outline::Disc { .. } => format!("Corner reliefs: Ø {across} at the small crosses in the corners."),
            _ => format!("Corner reliefs: the Ø {across} cutter run into the corners as drawn."),
        });
    }
    notes
}
