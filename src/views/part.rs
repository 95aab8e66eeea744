//! A part by itself: what it takes to saw it, not to scale.
//!
//! The face is drawn as it lies in the carrier, seen from above, the grain level: lead end at the left and
//! fence at the bottom, or fence at the left where the grain runs across the feed. Beside it stands its
//! section, or its edge where the top slopes along it.

use super::marks::{LETTER_RADIUS, grain, letter};
use super::{LARGE, SMALL};
use crate::design::{Design, Grain, Keeper, Part, Place, Role, Void, VoidKind};
use crate::drawing::{Align, Area, At, Ink, Line, Picture, Text, Weight, at, font, segments};
use crate::geometry::Outline;
use crate::geometry::path::to_mm;
use crate::length::Length;
use crate::request::Request;

/// A face is drawn within these lengths, mm.
const LONG: (f64, f64) = (26.0, 46.0);
/// And within these widths.
const WIDE: (f64, f64) = (11.0, 28.0);
/// A thickness is drawn within these, mm.
const THICK: (f64, f64) = (5.0, 14.0);
/// An edge seen from the side is drawn so long, mm.
const EDGE: f64 = 40.0;
/// From the outline to the first dimension line, mm (ASME Y14.5: at least 10).
const FIRST: f64 = 10.0;
/// To the next, mm (ASME Y14.5: at least 6; stacked fractions are higher).
const NEXT: f64 = 9.5;
/// Extension lines begin and end so far from what they belong to, mm.
const GAP: f64 = 1.5;
/// Clear room between two views of a part, mm.
const APART: f64 = 7.0;
/// Distance of base lines, mm.
const PITCH: f64 = 1.4 * SMALL;

/// One figure a part that is different, in the order of the parts table.
pub fn part_figures(request: &Request, design: &Design) -> Vec<Picture> {
    design.parts.iter().filter_map(|part| Some(Figure::of(request, part)?.draw())).collect()
}

/// A part turned so that its grain runs level, its corner at the origin.
struct Figure<'a> {
    request: &'a Request,
    part: &'a Part,
    /// As it lies on the bench.
    place: Place,
    /// Whether the fence side is at the left.
    turned: bool,
    /// Full size along and across.
    size: (Length, Length),
    /// Paper over model, along and across.
    scale: (f64, f64),
}

/// Bounds along and across: from, to.
type Span = (Length, Length);

impl<'a> Figure<'a> {
    fn of(request: &'a Request, part: &'a Part) -> Option<Figure<'a>> {
        let place = part.upright(part.places.first()?);
        let turned = part.grain == Grain::AcrossFeed;
        let bounds = place.outline.bounds();
        let size = if turned { (bounds.width(), bounds.length()) } else { (bounds.length(), bounds.width()) };
        let (long, wide) = (size.0.to_mm().max(0.1), size.1.to_mm().max(0.1));
        let even = (LONG.1 / long).min(WIDE.1 / wide);
        let drawn = |size: f64, (least, most): (f64, f64)| (size * even).clamp(least, most) / size;
        Some(Figure { request, part, place, turned, size, scale: (drawn(long, LONG), drawn(wide, WIDE)) })
    }

    /// A length on the ruler; between its marks on the finer one, to its nearest mark.
    fn number(&self, length: Length) -> String {
        let shop = &self.request.shop;
        if length == length.nearest(self.request.step()) {
            shop.ruler.number(length)
        } else {
            shop.depth_ruler.number(length.nearest(self.request.depth_step()))
        }
    }

    /// A place in the carrier, on paper.
    fn at(&self, (x, y): (f64, f64)) -> At {
        let bounds = self.place.outline.bounds();
        let (x, y) = (x - bounds.x0.to_mm(), y - bounds.y0.to_mm());
        // A turn clockwise by a quarter; the part is not turned over.
        let (u, v) = if self.turned { (y, bounds.length().to_mm() - x) } else { (x, y) };
        at(u * self.scale.0, v * self.scale.1)
    }

    fn ring(&self, outline: &Outline) -> Vec<At> {
        let corners: Vec<(f64, f64)> = match outline {
            Outline::Rect(rect) => rect.corners().iter().map(|p| to_mm(*p)).collect(),
            Outline::Polygon(points) => points.iter().map(|p| to_mm(*p)).collect(),
            Outline::Path(path) => path.flattened(0.05),
            Outline::Disc { centre, diameter } => {
                let (x, y) = to_mm(*centre);
                let radius = diameter.to_mm() / 2.0;
                let turns = (0..72).map(|step| f64::from(step) / 72.0 * std::f64::consts::TAU);
                turns.map(|turn| (x + radius * libm::cos(turn), y + radius * libm::sin(turn))).collect()
            }
        };
        corners.into_iter().map(|corner| self.at(corner)).collect()
    }

    /// Bounds of an outline along and across, from the part's own corner.
    fn spans(&self, outline: &Outline) -> (Span, Span) {
        let (own, of) = (self.place.outline.bounds(), outline.bounds());
        let across = (of.y0 - own.y0, of.y1 - own.y0);
        if self.turned {
            (across, (own.x1 - of.x1, own.x1 - of.x0))
        } else {
            ((of.x0 - own.x0, of.x1 - own.x0), across)
        }
    }

    fn draw(&self) -> Picture {
        let mut picture = Picture::default();
        let ring = self.ring(&self.place.outline);
        let (right, top) = (self.size.0.to_mm() * self.scale.0, self.size.1.to_mm() * self.scale.1);
        for void in self.place.voids.iter().filter(|void| !matches!(void.kind, VoidKind::ClippedCorner)) {
            self.void(&mut picture, void);
        }
        picture.ring(Line::Outline, ring.clone());
        self.marks(&mut picture, &ring, (right, top));
        self.lengths(&mut picture, &ring, right);
        self.widths(&mut picture, &ring, (right, top));
        let aside = picture.area().x1.max(right);
        let beside = self.beside(top);
        let own = beside.area();
        picture.add(beside, at(aside + APART - own.x0.min(0.0), 0.0));
        self.words(&mut picture);
        picture
    }

    /// What is cut out of the face; of a notch the wood goes at its open side.
    fn void(&self, picture: &mut Picture, void: &Void) {
        match void.kind {
            VoidKind::Bevel => {
                let ((x0, x1), (y0, y1)) = self.spans(&void.outline);
                // The border of the bevel that is not an edge of the part.
                let y = if y0 > Length::ZERO { y0 } else { y1 };
                let line = |x: Length| at(x.to_mm() * self.scale.0, y.to_mm() * self.scale.1);
                picture.line(Line::Edge, &[line(x0), line(x1)]);
            }
            VoidKind::SlopeAlong | VoidKind::SlopeAcross | VoidKind::ClippedCorner => {}
            _ => picture.ring(Line::Edge, self.ring(&void.outline)),
        }
        if let (VoidKind::PegHole, Outline::Disc { centre, diameter }) = (void.kind, &void.outline) {
            let middle = self.at(to_mm(*centre));
            let reach = diameter.to_mm() / 2.0 * self.scale.0.max(self.scale.1) + 1.5;
            picture.line(Line::Centre, &[at(middle.x - reach, middle.y), at(middle.x + reach, middle.y)]);
            picture.line(Line::Centre, &[at(middle.x, middle.y - reach), at(middle.x, middle.y + reach)]);
        }
    }

    /// Grain and the face mark: a triangle on the top face that points to the fence. Both stand on wood.
    fn marks(&self, picture: &mut Picture, ring: &[At], (right, top): (f64, f64)) {
        if matches!(self.place.outline, Outline::Disc { .. }) {
            return;
        }
        let at_angle = self.part.role.stands_at_angle();
        let cut = self.place.voids.iter().filter(|void| !void.kind.is_slope() && void.kind != VoidKind::ClippedCorner);
        let voids: Vec<Vec<At>> = cut.map(|void| self.ring(&void.outline)).collect();
        let wood = |area: Area| {
            let on = area.corners().into_iter().all(|p| holds(ring, p) && !voids.iter().any(|void| holds(void, p)));
            let covers = |void: &Vec<At>| void.iter().any(|p| area.holds(&Area::new(p.x, p.y, p.x, p.y)));
            on && !voids.iter().any(covers)
        };
        let face = Area::new(0.8, 0.8, right - 0.8, top - 0.8);
        // From the fence inwards; along it the middle first.
        let places = |width: f64, height: f64| {
            let (x, y) = (face.width() - width, face.height() - height);
            let steps = [0.5, 0.3, 0.7, 0.1, 0.9, 0.0, 1.0];
            let inwards = [0.0, 0.15, 0.3, 0.5, 0.7, 0.85, 1.0];
            let turned = self.turned;
            inwards.into_iter().flat_map(move |far| {
                steps.into_iter().map(move |along| {
                    let (u, v) = if turned { (far, along) } else { (along, far) };
                    let corner = at(face.x0 + u * x, face.y0 + v * y);
                    Area::new(corner.x, corner.y, corner.x + width, corner.y + height)
                })
            })
        };
        let fits = |area: &Area| face.holds(area) && wood(*area);
        // What stands at an angle has no side to the fence.
        if let Some(area) = places(3.2, 3.2).find(|area| !at_angle && fits(area) && picture.is_clear(area)) {
            let (x, y) = ((area.x0 + area.x1) / 2.0, (area.y0 + area.y1) / 2.0);
            picture.solid(
                Ink::Black,
                if self.turned {
                    vec![at(area.x0, y), at(area.x1, area.y1), at(area.x1, area.y0)]
                } else {
                    vec![at(x, area.y0), at(area.x1, area.y1), at(area.x0, area.y1)]
                },
            );
        }
        if self.part.grain != Grain::None
            && let Some(area) = places(14.0, 3.0).find(|area| fits(area) && picture.is_clear(area))
        {
            grain(picture, Area { y0: area.y0 + 1.4, y1: area.y1 - 1.4, ..area });
        }
    }

    /// How far the outline reaches along (or across) on the side where the other coordinate is `side`.
    fn reach(ring: &[At], across: bool, side: f64) -> Option<(f64, f64)> {
        let pick = |p: &At| if across { (p.y, p.x) } else { (p.x, p.y) };
        let on = ring.iter().map(pick).filter(|(other, _)| (other - side).abs() < 1e-3);
        on.map(|(_, along)| (along, along)).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    /// Lengths under the face: of notches from its left end, of a shorter side, and of the whole.
    fn lengths(&self, picture: &mut Picture, ring: &[At], right: f64) {
        let mut dims: Vec<(f64, f64, String)> = Vec::new();
        for void in self.place.voids.iter().filter(|void| void.kind == VoidKind::KeeperNotch) {
            let ((x0, x1), _) = self.spans(&void.outline);
            for x in [x0, x1].into_iter().filter(|x| *x > Length::ZERO && *x < self.size.0) {
                dims.push((0.0, x.to_mm() * self.scale.0, self.number(x)));
            }
        }
        let top = self.size.1.to_mm() * self.scale.1;
        if self.is_straight() {
            for side in [0.0, top] {
                let Some((from, to)) = Self::reach(ring, true, side) else { continue };
                if to - from > 1e-3 && (from > 1e-3 || to < right - 1e-3) {
                    dims.push((from, to, self.measured((to - from) / self.scale.0)));
                }
            }
        }
        let round = matches!(self.place.outline, Outline::Disc { .. });
        let whole = self.number(self.size.0);
        dims.push((0.0, right, if round { format!("Ø {whole}") } else { whole }));
        dims.sort_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)));
        dims.dedup();
        for (place, (from, to, text)) in dims.iter().enumerate() {
            let y = -FIRST - NEXT * place as f64;
            level(picture, (*from, *to), y, 0.0, text);
        }
    }

    /// Widths at the sides of the face: of a shorter side on its own side, of the whole where none is shorter.
    fn widths(&self, picture: &mut Picture, ring: &[At], (right, top): (f64, f64)) {
        if matches!(self.place.outline, Outline::Disc { .. }) {
            return;
        }
        // Where the next dimension line goes, at the left and at the right.
        let mut out = [FIRST, FIRST];
        if self.is_straight() {
            for (side, x) in [(0, 0.0), (1, right)] {
                let Some((from, to)) = Self::reach(ring, false, x) else { continue };
                if to - from > 1e-3 && (from > 1e-3 || to < top - 1e-3) {
                    let text = self.measured((to - from) / self.scale.1);
                    let place = if side == 0 { -out[0] } else { right + out[1] };
                    upright(picture, (from, to), place, x, &text);
                    out[side] += NEXT + figure(&text).width();
                }
            }
        }
        let text = self.number(self.size.1);
        if out[0] > FIRST && out[1] <= FIRST {
            upright(picture, (0.0, top), right + out[1], right, &text);
        } else {
            upright(picture, (0.0, top), -out[0], 0.0, &text);
        }
    }

    fn is_straight(&self) -> bool {
        matches!(self.place.outline, Outline::Polygon(_))
    }

    fn measured(&self, mm: f64) -> String {
        let length = Length::from_mm(mm).unwrap_or_default();
        // What lies on a mark but for the rounding of the drawing is that mark.
        let mark = length.nearest(self.request.step());
        self.number(if (mark - length).abs() < Length::micrometres(5) { mark } else { length })
    }

    /// The section across the part, or its edge where the top slopes along it.
    fn beside(&self, top: f64) -> Picture {
        let mut picture = Picture::default();
        let thick = self.place.z1 - self.place.z0;
        let number = |length: Length| self.request.shop.depth_ruler.number(length);
        let scale = self.scale.0.min(self.scale.1);
        let drawn = (thick.to_mm() * scale).clamp(THICK.0, THICK.1);
        let slope = self.place.voids.iter().find(|void| void.kind.is_slope());
        if let Some(slope) = slope {
            let (low, high) = (slope.z0 - self.place.z0, slope.z1 - self.place.z0);
            let share = low.to_mm() / high.to_mm().max(0.01);
            let tall = THICK.1;
            let (a, b) = (tall * share, tall);
            picture.ring(Line::Outline, vec![at(0.0, 0.0), at(EDGE, 0.0), at(EDGE, b), at(0.0, a)]);
            let ends = [
                (low, at(-2.0, (a - SMALL).max(0.0) / 2.0), Align::End),
                (high, at(EDGE + 2.0, b / 2.0 - SMALL / 2.0), Align::Start),
            ];
            for (height, place, align) in ends {
                let text = self.request.shop.depth_ruler.number(height.nearest(self.request.depth_step()));
                picture.text(Text::new(place, SMALL, &text).align(align).stacked());
            }
            return picture;
        }
        let bevel = self.place.voids.iter().find(|void| void.kind == VoidKind::Bevel);
        let section = match bevel {
            None => vec![at(0.0, 0.0), at(drawn, 0.0), at(drawn, top), at(0.0, top)],
            Some(bevel) => {
                let (_, (y0, y1)) = self.spans(&bevel.outline);
                let y = |y: Length| y.to_mm() * self.scale.1;
                let (low, high) = if y1 >= self.size.1 { (0.0, y(y0)) } else { (y(y1), top) };
                vec![at(0.0, 0.0), at(drawn, low), at(drawn, high), at(0.0, top)]
            }
        };
        picture.ring(Line::Outline, section);
        let y = -FIRST;
        for x in [0.0, drawn] {
            picture.line(Line::Thin, &[at(x, -GAP), at(x, y - GAP)]);
        }
        // The room between is too narrow: the arrows point at it from outside.
        picture.line(Line::Thin, &[at(-6.0, y), at(0.0, y)]);
        picture.arrowhead(at(-6.0, y), at(0.0, y));
        picture.line(Line::Thin, &[at(drawn, y), at(drawn + 6.0, y)]);
        picture.arrowhead(at(drawn + 6.0, y), at(drawn, y));
        picture.text(Text { at: at(drawn + 7.5, y - LARGE / 2.0), ..figure(&number(thick)) });
        if let Some(degrees) = bevel.and_then(|bevel| self.bevel_degrees(bevel)) {
            picture.text(Text::new(at(drawn + 3.0, top / 2.0 - SMALL / 2.0), SMALL, &format!("{degrees:.0}°")));
        }
        picture
    }

    /// How far the saw is tilted from the upright.
    fn bevel_degrees(&self, bevel: &Void) -> Option<f64> {
        let (_, (y0, y1)) = self.spans(&bevel.outline);
        let (run, rise) = ((y1 - y0).to_mm(), (bevel.z1 - bevel.z0).to_mm());
        (rise > 0.0).then(|| libm::atan2(run, rise).to_degrees())
    }

    /// Letter, name, count and material above; what the figure cannot say below.
    fn words(&self, picture: &mut Picture) {
        let area = picture.area();
        let room = (area.width() - 2.0 * LETTER_RADIUS - 3.0).max(76.0);
        let part = self.part;
        let count = part.places.len();
        let many = if count > 1 { format!("{count} pieces") } else { "1 piece".to_owned() };
        let layers = if part.layers > 1 { format!(", {} layers glued", part.layers) } else { String::new() };
        let mut lines = vec![(format!("{}, {many}", part.name), Weight::Bold)];
        let mut rest = vec![format!("{}{layers}", part.material)];
        rest.extend(part.remark.clone());
        rest.extend(self.notes());
        let wrapped = font::wrap(&rest.join("; "), SMALL, Weight::Regular, room);
        lines.extend(wrapped.into_iter().map(|line| (line, Weight::Regular)));
        let deep = lines.len() as f64 * PITCH + 3.0;
        let top = area.y1 + deep;
        let left = area.x0 + 2.0 * LETTER_RADIUS + 3.0;
        for (place, (line, weight)) in lines.into_iter().enumerate() {
            let text = Text::new(at(left, top - SMALL - place as f64 * PITCH), SMALL, &line);
            picture.text(Text { weight, ..text });
        }
        letter(picture, at(area.x0 + LETTER_RADIUS, top - LETTER_RADIUS), &part.id);
    }

    /// What is cut elsewhere, and where it is told.
    fn notes(&self) -> Vec<String> {
        let mut notes = Vec::new();
        let has = |kind: VoidKind| self.place.voids.iter().any(|void| void.kind == kind);
        let deep = |kind: VoidKind| {
            let void = self.place.voids.iter().find(|void| void.kind == kind)?;
            let (_, (y0, y1)) = self.spans(&void.outline);
            Some(self.number(y1 - y0))
        };
        if let Some(deep) = deep(VoidKind::KeeperNotch) {
            let ((x0, x1), (y0, y1)) = self
                .place
                .voids
                .iter()
                .find(|void| void.kind == VoidKind::KeeperNotch)
                .map_or_else(Default::default, |void| self.spans(&void.outline));
            let along = x0 <= Length::ZERO || x1 >= self.size.0;
            let deep = if along && (y0 > Length::ZERO && y1 < self.size.1) { self.number(x1 - x0) } else { deep };
            notes.push(format!("notch {deep} deep, through"));
            if along {
                notes.push(format!("{} to {} from the lower edge", self.number(y0), self.number(y1)));
            }
        }
        if let Some(hole) = self.place.voids.iter().find(|void| void.kind == VoidKind::PegHole) {
            let (across, deep) = (self.number(hole.outline.bounds().length()), self.number(hole.z1 - hole.z0));
            notes.push(if self.part.role == Role::Keeper {
                format!("hole Ø {across} through, {} off the middle", self.number(Keeper::OFF))
            } else {
                format!("holes Ø {across}, {deep} deep, for the pegs of the keepers: see their table")
            });
        }
        if self.part.role == Role::NestHalf
            && let Some(Outline::Disc { diameter, .. }) =
                self.place.voids.iter().find(|void| void.kind == VoidKind::Pocket).map(|void| &void.outline)
        {
            notes.push(format!("half of a round, Ø {}, its middle as in the plan", self.number(*diameter)));
        } else if has(VoidKind::Pocket) {
            notes.push("pocket as in the plan".to_owned());
        }
        if has(VoidKind::PushOut) {
            notes.push("hole as seen from below".to_owned());
        }
        if has(VoidKind::ScrewHole) {
            notes.push("screw holes as seen from below".to_owned());
        }
        let other = |place: &Place| {
            let (own, of) = (self.place.outline.bounds(), self.part.upright(place).outline.bounds());
            (own.length(), own.width(), self.place.z1 - self.place.z0) != (of.length(), of.width(), place.z1 - place.z0)
        };
        if self.part.places.iter().any(other) {
            notes.push("the others are different: see the table".to_owned());
        }
        notes
    }
}

/// Whether a place lies inside a ring, by counting crossings.
fn holds(ring: &[At], p: At) -> bool {
    let crossed = segments(ring, true)
        .filter(|(a, b)| (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y));
    crossed.count() % 2 == 1
}

/// A figure, to be placed.
fn figure(text: &str) -> Text {
    Text::new(at(0.0, 0.0), LARGE, text).stacked()
}

/// A dimension under a view: extension lines, arrows inside, the figure above its line.
fn level(picture: &mut Picture, (from, to): (f64, f64), y: f64, feature: f64, text: &str) {
    for x in [from, to] {
        picture.line(Line::Thin, &[at(x, feature - GAP), at(x, y - GAP)]);
    }
    let width = figure(text).width();
    let room = to - from;
    if room >= width + 9.0 {
        // Broken round the figure, as it is read level either way (ASME Y14.5).
        let middle = (from + to) / 2.0;
        let half = width / 2.0 + 1.0;
        picture.line(Line::Thin, &[at(from, y), at(middle - half, y)]);
        picture.line(Line::Thin, &[at(middle + half, y), at(to, y)]);
        picture.arrowhead(at(middle, y), at(from, y));
        picture.arrowhead(at(middle, y), at(to, y));
        picture.text(Text { at: at(middle, y - LARGE / 2.0), ..figure(text) }.align(Align::Middle));
    } else {
        picture.line(Line::Thin, &[at(from, y), at(to, y)]);
        if room > 8.0 {
            picture.arrowhead(at(to, y), at(from, y));
            picture.arrowhead(at(from, y), at(to, y));
        }
        // At the left: the right is crossed by the extension lines of longer ones.
        picture.text(Text { at: at(from - 2.0, y - LARGE / 2.0), ..figure(text) }.align(Align::End));
    }
}

/// A dimension at the side of a view, its figure level beside the line, outside.
fn upright(picture: &mut Picture, (from, to): (f64, f64), x: f64, feature: f64, text: &str) {
    let out = if x < feature { -1.0 } else { 1.0 };
    for y in [from, to] {
        picture.line(Line::Thin, &[at(feature + out * GAP, y), at(x + out * GAP, y)]);
    }
    picture.line(Line::Thin, &[at(x, from), at(x, to)]);
    if to - from > 8.0 {
        picture.arrowhead(at(x, to), at(x, from));
        picture.arrowhead(at(x, from), at(x, to));
    }
    let align = if out < 0.0 { Align::End } else { Align::Start };
    picture.text(Text { at: at(x + out * 3.0, (from + to - LARGE) / 2.0), ..figure(text) }.align(align));
}
