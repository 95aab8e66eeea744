//! The plan: seen from above, fence edge at the bottom, lead end at the left.

use super::marks::{self, LETTER_RADIUS};
use super::ordinate::{BAND, Mark, Side, gaps, ordinates};
use super::{LARGE, Mapping, SMALL, Scale, in_ring, inside};
use super::{contact, detail};
use crate::design::{Design, Gang, Grain, Part, Place, Pocket, Role, VoidKind};
use crate::drawing::{Align, Area, At, Hatch, Ink, Line, Picture, Text, Weight, at, segments};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Drawn, Flip, Request, Shape};
use crate::setup::{face_word, has_datum_corner};

/// The boxes of arcs are rounded anew wherever they lie: pockets no farther apart than this stand in one row.
const SAME_ROW: Length = Length::micrometres(1);

/// A plan is drawn at least this high on paper, out of scale if it must be, mm.
const LEAST_HEIGHT: f64 = 26.0;

/// Draws the plan with its dimensions. The display list's origin is the lead/fence corner.
pub fn plan(request: &Request, design: &Design, scale: Scale) -> Picture {
    let (map, times) = Mapping::readable(scale, design.carrier.width, LEAST_HEIGHT);
    let mut picture = Picture::default();
    let size = at(map.x(design.carrier.length), map.y(design.carrier.width));

    if let Some(keep_out) = &design.keep_out {
        let area = within(keep_out.area, design);
        picture.hatch(Hatch::NO_METAL, map.ring(&Outline::Rect(area)));
    }
    draw_parts(&mut picture, design, &map);
    picture.ring(Line::Outline, carrier_ring(design, &map));
    picture.line(Line::Fence, &[at(0.0, 0.0), at(size.x, 0.0)]);
    if design.construction != "none" {
        map.draw(&mut picture, Line::Blank, &design.blank.outline);
    }
    if !request.machine.takes_whole_face() {
        map.draw(&mut picture, Line::Carve, &Outline::Rect(design.carve));
    }
    for keeper in design.keepers() {
        // Solid where it is parked, dashed as far as it goes, the peg where the short lines cross.
        map.draw(&mut picture, Line::Hidden, &Outline::Disc { centre: keeper.lock, diameter: keeper.diameter });
        let peg = map.point(keeper.pivot);
        picture.line(Line::Thin, &[at(peg.x - 1.0, peg.y), at(peg.x + 1.0, peg.y)]);
        picture.line(Line::Thin, &[at(peg.x, peg.y - 1.0), at(peg.x, peg.y + 1.0)]);
    }
    if let Some(strip) = &request.blank.strip {
        for part in design.strip_parts(strip) {
            map.draw(&mut picture, Line::Edge, &Outline::Rect(part));
        }
        for [from, to] in design.strip_cuts(strip) {
            picture.line(Line::Centre, &[map.point(from), map.point(to)]);
        }
    }
    draw_centres(&mut picture, design, &map);
    let cornered = has_datum_corner(design);
    if cornered {
        marks::datum(&mut picture, map.point(design.origin()));
    }

    let centre = map.point(design.section_point());
    let (x_marks, left, right) = plan_marks(request, design, &map);
    let mut lines: Vec<f64> = x_marks.iter().map(|mark| mark.place).collect();
    ordinates(&mut picture, Side::Below, 0.0, x_marks, LARGE);
    ordinates(&mut picture, Side::Left, 0.0, left, LARGE);
    ordinates(&mut picture, Side::Right, size.x, right, LARGE);
    if design.construction != "none" {
        marks::plane_end(&mut picture, at(0.0, centre.y), at(-1.0, 0.0), at(0.0, 1.0), "A");
        marks::plane_end(&mut picture, at(size.x, centre.y), at(1.0, 0.0), at(0.0, 1.0), "A");
        marks::plane_end(&mut picture, at(centre.x, 0.0), at(0.0, -1.0), at(-1.0, 0.0), "B");
        marks::plane_end(&mut picture, at(centre.x, size.y), at(0.0, 1.0), at(-1.0, 0.0), "B");
        if let Some(second) = design.second_section_point().map(|point| map.point(point)) {
            marks::plane_end(&mut picture, at(second.x, 0.0), at(0.0, -1.0), at(-1.0, 0.0), "C");
            marks::plane_end(&mut picture, at(second.x, size.y), at(0.0, 1.0), at(-1.0, 0.0), "C");
            lines.extend([second.x - 5.0, second.x + 1.0]);
        }
        lines.push(centre.x - 5.0);
        lines.push(centre.x + 1.0);
    }
    fence_word(&mut picture, &lines);

    contact::draw(&mut picture, design, &map);
    if let (Some(corner), true) = (detail::corner(design), design.blank.thickness_known) {
        detail::mark(&mut picture, map.point(corner));
    }
    rounds(&mut picture, request, design, &map);
    set_at(&mut picture, request, design, &map);
    first_station(&mut picture, request, design, &map);
    numbers(&mut picture, design, &map);
    words(&mut picture, request, design, &map);
    shim_marks(&mut picture, request, design, &map);
    let homeless = letters(&mut picture, design, &map);
    // Letters that find no room stand beyond the trail end, where nothing is in their way; the sections
    // show those of the other parts.
    for (dot, letter) in homeless.into_iter().filter(|(dot, _)| dot.x > size.x - 8.0) {
        let steps = (0..14).map(|step| f64::from((step + 1) / 2) * if step % 2 == 0 { 4.5 } else { -4.5 });
        let places = steps.map(|aside| at(size.x + 14.0, dot.y + aside));
        let free = |centre: &At| {
            let circle = Area::new(centre.x, centre.y, centre.x, centre.y).grown(LETTER_RADIUS + 0.5);
            picture.is_clear(&circle) && marks::passes(&picture, dot, *centre)
        };
        if let Some(centre) = places.into_iter().find(free) {
            marks::balloon(&mut picture, dot, centre, &letter);
        }
    }

    marks::feed_row(&mut picture, size.y + BAND + 2.0, size.x);
    let exaggerated = if times > 1 { format!(", WIDTHS x{times}, NOT TO SCALE") } else { String::new() };
    let seen = if request.blank.second_side.is_some() { "AS SEEN FROM ABOVE, CARVING DOWN" } else { "from above" };
    let said = format!("{seen}, {}{exaggerated}", scale.text);
    // Beside the row of words where the figures on the left leave room, else above it.
    let left = picture.area().x0;
    let (beside, below) = (at(left, size.y + BAND + 2.0), at(left, size.y + BAND - 4.4));
    let title = Text::new(beside, LARGE, "PLAN").bold();
    let rest = Text::new(below, SMALL, &said);
    if title.area().x1 < -2.0 && picture.is_clear(&title.area()) && picture.is_clear(&rest.area().grown(0.4)) {
        picture.text(title);
        picture.text(rest);
    } else {
        let title = Text { at: at(left, size.y + BAND + 10.5), ..title };
        let rest = Text { at: at(title.at.x + title.width() + 3.0, title.at.y), ..rest };
        picture.text(title);
        picture.text(rest);
    }
    if let Some(gang) = &design.gang {
        let mut line = size.y + BAND + 18.0;
        for words in pitch_words(request, gang) {
            picture.text(Text::new(at(left, line), SMALL, &words).bold());
            line += 1.7 * SMALL;
        }
    }
    picture
}

/// The word along the fence edge: as large as it may be in the widest gap between extension lines where
/// nothing is in its way, else beyond the trail end.
fn fence_word(picture: &mut Picture, lines: &[f64]) {
    let word = |x: f64, height: f64| Text::new(at(x, -2.0 - height), height, "FENCE").bold().align(Align::Middle);
    let gaps = gaps(lines);
    let tried = [LARGE, SMALL].into_iter().flat_map(|height| gaps.iter().map(move |(_, middle)| word(*middle, height)));
    let free = tried.into_iter().find(|text| picture.is_clear(&text.area().grown(0.3)));
    let beyond = || {
        let last = lines.iter().copied().fold(0.0, f64::max);
        let tried = (0..40).map(|step| word(last + 12.0 + f64::from(step), SMALL));
        tried.into_iter().find(|text| picture.is_clear(&text.area().grown(0.3)))
    };
    if let Some(text) = free.or_else(beyond) {
        picture.text(text);
    }
}

/// `PITCH 3-9/16 along (10 pockets), 2-1/16 across (4 rows)`, and of staggered rows how far they are
/// set off; the line that stands lowest first.
pub fn pitch_words(request: &Request, gang: &Gang) -> Vec<String> {
    if gang.is_free() {
        let turned = if gang.turns_any() { ", some turned half round" } else { "" };
        return vec![format!("NESTS SET FREELY{turned}: each by the pocket table")];
    }
    let number = |length: Length| request.shop.ruler.number(length);
    let along = (gang.columns > 1).then(|| match gang.pair {
        None => format!("{} along ({} pockets)", number(gang.pitch.x), gang.columns),
        Some(_) => format!("{} along from pair to pair ({} pockets)", number(gang.pitch.x), gang.columns),
    });
    let across = (gang.rows > 1).then(|| format!("{} across ({} rows)", number(gang.pitch.y), gang.rows));
    let said: Vec<String> = [along, across].into_iter().flatten().collect();
    let mut lines = Vec::new();
    if let Some(pair) = gang.pair.filter(|_| gang.columns > 1) {
        lines.push(format!("SECOND OF A PAIR TURNED HALF ROUND, {} beyond the first", number(pair)));
    }
    if gang.shift > Length::ZERO {
        lines.push(format!("EVERY SECOND ROW {} towards the trail end", number(gang.shift)));
    }
    lines.push(format!("PITCH {}", said.join(", ")));
    lines
}

/// The numbers of the pockets, in each that has room for its own; where they have none, the first and
/// the last number of each row in the wood at its ends.
fn numbers(picture: &mut Picture, design: &Design, map: &Mapping) {
    if design.gang.is_none() {
        return;
    }
    let paper = |pocket: &Pocket| {
        let bounds = pocket.outline.bounds();
        Area::new(map.x(bounds.x0), map.y(bounds.y0), map.x(bounds.x1), map.y(bounds.y1))
    };
    let mut homeless: Vec<usize> = Vec::new();
    for (place, pocket) in design.pockets.iter().enumerate() {
        let number = (place + 1).to_string();
        let written = match &pocket.outline {
            // The boxes of nests may overlap: the number must lie in its own.
            Outline::Path(_) => within_ring(picture, &map.ring(&pocket.outline), paper(pocket), &number),
            _ => marks::word(picture, paper(pocket).grown(-0.4), &number, Weight::Bold),
        };
        if !written {
            homeless.push(place);
        }
    }
    // Nests in no row have no row's ends.
    let in_rows = design.gang.as_ref().is_some_and(|gang| !gang.is_free());
    let numbered: Vec<(usize, &Pocket)> = design.pockets.iter().enumerate().filter(|_| in_rows).collect();
    for row in numbered.chunk_by(|(_, a), (_, b)| (a.outline.bounds().y0 - b.outline.bounds().y0).abs() <= SAME_ROW) {
        let (Some(first), Some(last)) = (row.first(), row.last()) else { continue };
        let height = |pocket: &Pocket| (paper(pocket).y0 + paper(pocket).y1 - SMALL) / 2.0;
        let lead = Text::new(at(paper(first.1).x0 - 1.6, height(first.1)), SMALL, &(first.0 + 1).to_string());
        let trail = Text::new(at(paper(last.1).x1 + 1.6, height(last.1)), SMALL, &(last.0 + 1).to_string());
        for (place, text) in [(first.0, lead.bold().align(Align::End)), (last.0, trail.bold())] {
            if homeless.contains(&place) && picture.is_clear(&text.area()) {
                picture.label(text);
            }
        }
    }
}

/// Writes a number where it lies in a ring and on nothing else, as near the middle as may be; tells
/// whether there was room.
fn within_ring(picture: &mut Picture, ring: &[At], region: Area, number: &str) -> bool {
    const STEPS: i32 = 16;
    let size = Text::new(at(0.0, 0.0), SMALL, number).bold().area();
    let middle = |a: f64, b: f64, part: i32| a + (b - a) * (0.5 + f64::from(part) / f64::from(2 * STEPS));
    let mut places: Vec<(i32, i32)> =
        (-STEPS..=STEPS).flat_map(|across| (-STEPS..=STEPS).map(move |up| (across, up))).collect();
    places.sort_by_key(|(across, up)| (across * across + up * up, *across, *up));
    let found = places.into_iter().find_map(|(across, up)| {
        let (x, y) = (middle(region.x0, region.x1, across), middle(region.y0, region.y1, up));
        let text = Text::new(at(x - size.width() / 2.0, y - SMALL / 2.0), SMALL, number).bold();
        // Digits have nothing below their line.
        let digits = Area::new(text.at.x, text.at.y, text.at.x + size.width(), text.at.y + SMALL).grown(0.5);
        let inside = digits.corners().iter().all(|corner| in_ring(ring, corner.x, corner.y));
        (inside && picture.is_clear(&digits)).then_some((text, digits))
    });
    let Some((text, digits)) = found else { return false };
    picture.solid(Ink::Paper, digits.corners());
    picture.text(text);
    true
}

/// The keep-out area as far as it lies on the carrier.
fn within(area: Rect, design: &Design) -> Rect {
    let clamp = |v: Length, most: Length| v.or_zero().min(most);
    let (length, width) = (design.carrier.length, design.carrier.width);
    Rect::new(clamp(area.x0, length), clamp(area.y0, width), clamp(area.x1, length), clamp(area.y1, width))
}

/// Outline of the carrier, with the lead/far corner off where it is clipped.
pub(super) fn carrier_ring(design: &Design, map: &Mapping) -> Vec<At> {
    let (length, width) = (design.carrier.length, design.carrier.width);
    let clipped = design
        .parts
        .iter()
        .flat_map(|part| &part.places)
        .flat_map(|place| &place.voids)
        .find(|void| void.kind == VoidKind::ClippedCorner)
        .map(|void| void.outline.bounds());
    if design.parts.is_empty() {
        return map.ring(&design.blank.outline);
    }
    let mut ring = vec![at(0.0, 0.0), at(map.x(length), 0.0), at(map.x(length), map.y(width))];
    match clipped {
        Some(corner) => ring.extend([at(map.x(corner.x1), map.y(width)), at(0.0, map.y(corner.y0))]),
        None => ring.push(at(0.0, map.y(width))),
    }
    ring
}

fn draw_parts(picture: &mut Picture, design: &Design, map: &Mapping) {
    let size = at(map.x(design.carrier.length), map.y(design.carrier.width));
    let on_border = |a: At, b: At| {
        let same = |p: f64, q: f64, border: f64| (p - border).abs() < 1e-6 && (q - border).abs() < 1e-6;
        same(a.x, b.x, 0.0) || same(a.x, b.x, size.x) || same(a.y, b.y, 0.0) || same(a.y, b.y, size.y)
    };
    for part in &design.parts {
        let line = if matches!(part.role, Role::Base | Role::Packing | Role::Shim | Role::WedgeShim) {
            Line::Hidden
        } else {
            Line::Edge
        };
        for place in &part.places {
            for (a, b) in segments(&map.ring(&place.outline), true).filter(|(a, b)| !on_border(*a, *b)) {
                picture.line(line, &[a, b]);
            }
            for void in &place.voids {
                match void.kind {
                    VoidKind::Pocket | VoidKind::KeeperNotch => map.draw(picture, line, &void.outline),
                    VoidKind::PushOut | VoidKind::Under | VoidKind::ScrewHole => {
                        map.draw(picture, Line::Hidden, &void.outline)
                    }
                    VoidKind::Relief | VoidKind::FingerGap => draw_relief(picture, place, &void.outline, map),
                    // Where the slope begins; at the bottom it ends in the part's own edge.
                    VoidKind::Bevel => map.draw(picture, Line::Edge, &void.outline),
                    // A cross marks the peg.
                    VoidKind::PegHole
                    | VoidKind::ClippedCorner
                    | VoidKind::SlopeAlong
                    | VoidKind::SlopeAcross
                    | VoidKind::Countersink => {}
                }
            }
        }
    }
}

/// A corner relief, as far as it bites past the pocket.
pub(super) fn draw_relief(picture: &mut Picture, place: &Place, relief: &Outline, map: &Mapping) {
    const TRUE_SIZE: Mapping = Mapping { across: 1.0, up: 1.0 };
    let bounds = relief.bounds();
    let pockets = place.voids.iter().filter(|void| void.kind == VoidKind::Pocket).map(|void| &void.outline);
    let near = pockets.filter(|pocket| pocket.bounds().meets(&bounds));
    let pockets: Vec<Vec<At>> = near.map(|pocket| TRUE_SIZE.ring(pocket)).collect();
    let visible = |p: At| !pockets.iter().any(|pocket| in_ring(pocket, p.x, p.y));
    for (a, b) in segments(&TRUE_SIZE.ring(relief), true).filter(|(a, b)| visible(*a) && visible(*b)) {
        let paper = |p: At| at(p.x * map.across, p.y * map.up);
        picture.line(Line::Edge, &[paper(a), paper(b)]);
    }
}

/// Centre lines through round pockets, the round blank and push-out holes.
fn draw_centres(picture: &mut Picture, design: &Design, map: &Mapping) {
    let several = design.gang.is_some();
    for (centre, diameter) in discs(design) {
        let middle = map.point(centre);
        // Of many rounds only the middles are marked, so that their numbers have room.
        let (rx, ry) = if several { (1.5, 1.5) } else { (map.x(diameter.half()) + 3.0, map.y(diameter.half()) + 3.0) };
        picture.line(Line::Centre, &[at(middle.x - rx, middle.y), at(middle.x + rx, middle.y)]);
        picture.line(Line::Centre, &[at(middle.x, middle.y - ry), at(middle.x, middle.y + ry)]);
    }
}

/// Centres and diameters of round pockets (a round blank has one, or is held by corner blocks).
fn discs(design: &Design) -> Vec<(Point, Length)> {
    let outlines = design.pockets.iter().map(|pocket| &pocket.outline);
    let mut discs: Vec<(Point, Length)> = outlines
        .filter_map(|outline| match outline {
            Outline::Disc { centre, diameter } => Some((*centre, *diameter)),
            _ => None,
        })
        .collect();
    if let (true, Outline::Disc { centre, diameter }) = (discs.is_empty(), &design.blank.outline) {
        discs.push((*centre, *diameter));
    }
    discs
}

/// So many arcs at most a pocket may have for their radii to be told: more are laid out from the template.
const ARCS: usize = 8;

/// Diameters of round pockets, once, and radii of the arcs of a pocket that has few.
fn rounds(picture: &mut Picture, request: &Request, design: &Design, map: &Mapping) {
    let number = |length: Length| figure(request, length);
    let Some(pocket) = design.pockets.first().filter(|_| map.is_true()) else { return };
    match &pocket.outline {
        Outline::Disc { centre, diameter } => {
            let count = design.pockets.len();
            let times = if count > 1 { format!("{count} x ") } else { String::new() };
            let told = format!("{times}Ø {}", number(*diameter));
            let radius = diameter.to_mm() / 2.0 * map.across;
            let all = (std::f64::consts::FRAC_PI_4, std::f64::consts::TAU);
            marks::round(picture, map.point(*centre), radius, &told, all);
        }
        Outline::Path(path) => {
            let arcs: Vec<_> = path.edges().filter_map(|edge| edge.arc).collect();
            let mut told: Vec<String> = Vec::new();
            for arc in if arcs.len() <= ARCS { arcs.as_slice() } else { &[] } {
                let Some(radius) = Length::from_mm(arc.radius) else { continue };
                let words = format!("R {}", number(radius));
                // Alike they are told once; what is smaller than lettering is seen in the template.
                if arc.radius * map.across < SMALL || told.contains(&words) {
                    continue;
                }
                let centre = at(arc.centre.0 * map.across, arc.centre.1 * map.up);
                if marks::round(picture, centre, arc.radius * map.across, &words, (arc.start, arc.sweep)) {
                    told.push(words);
                }
            }
        }
        Outline::Rect(_) | Outline::Polygon(_) => {}
    }
}

/// The angle a rectangle is set at, at its corner nearest to the fence.
fn set_at(picture: &mut Picture, request: &Request, design: &Design, map: &Mapping) {
    let Some(angle) = request.blank.angle.as_ref().filter(|_| map.is_true()) else { return };
    let ring = map.ring(&design.blank.outline);
    let Some(corner) = ring.iter().copied().reduce(|low, p| if p.y < low.y { p } else { low }) else { return };
    // From the level towards the edge that rises least steeply.
    let turn = if angle.degrees > 0.0 { angle.degrees } else { 180.0 + angle.degrees };
    let (turn, told) = (turn.rem_euclid(180.0), angle.degrees_text());
    marks::angle(picture, corner, turn, &told);
}

/// The end of an outline typed as offsets that its first station lies at: once the blank is turned, this
/// tells the end from the other. Of a gang, in the pocket nearest to the lead end at the fence.
fn first_station(picture: &mut Picture, request: &Request, design: &Design, map: &Mapping) {
    let Shape::Outline(Drawn { first_station: Some(station), .. }) = &request.blank.shape else { return };
    let ring: Vec<At> = Mapping { across: 1.0, up: 1.0 }.ring(&design.blank.outline);
    let angle = design.turn * std::f64::consts::PI / 180.0;
    // How far a place lies along the baseline, which was turned with the blank.
    let along = |p: &At| p.x * libm::cos(angle) + p.y * libm::sin(angle);
    let Some(least) = ring.iter().map(along).reduce(f64::min) else { return };
    let end: Vec<&At> = ring.iter().filter(|p| along(p) < least + 0.1).collect();
    let count = end.len().max(1) as f64;
    let (x, y) = end.iter().fold((0.0, 0.0), |sum, p| (sum.0 + p.x, sum.1 + p.y));
    let middle = at(x / count * map.across, y / count * map.up);
    marks::flag(picture, middle, &format!("STATION {}", request.shop.ruler.number(*station)));
}

/// Corners that are dimensioned: of a polygon all (up to twelve, else its box), of a disc the centre.
fn corners(outline: &Outline) -> Vec<Point> {
    match outline {
        Outline::Rect(rect) => rect.corners().to_vec(),
        Outline::Disc { centre, .. } => vec![*centre],
        Outline::Polygon(points) if points.len() <= 12 => points.clone(),
        Outline::Polygon(_) | Outline::Path(_) => outline.bounds().corners().to_vec(),
    }
}

/// The pockets that are dimensioned: all, or of a gang the first, the next in its row, the first of the
/// second row and the last. The others follow from the pitch, and stand in the pocket table.
fn dimensioned(design: &Design) -> Vec<&Pocket> {
    let Some(gang) = &design.gang else { return design.pockets.iter().collect() };
    let next = if gang.columns > 1 { Some(1) } else { None };
    let row = if gang.rows > 1 { Some(gang.columns) } else { None };
    let last = design.pockets.len().checked_sub(1);
    [Some(0), next, row, last].into_iter().flatten().filter_map(|place| design.pockets.get(place)).collect()
}

/// A place as a figure. The blank's own edge lies where it lies: off the ruler it is told to the nearest
/// mark, with a sign before it.
fn figure(request: &Request, length: Length) -> String {
    let marked = length.nearest(request.step());
    let number = request.shop.ruler.number(marked);
    if marked == length { number } else { format!("~{number}") }
}

/// Whether any figure of the plan is told to the nearest mark only.
pub fn has_near_figures(request: &Request, design: &Design) -> bool {
    let off = |length: Length| length != length.nearest(request.step());
    laid_out(design).iter().any(|point| off(point.x) || off(point.y))
}

/// Places that are dimensioned in the plan.
fn laid_out(design: &Design) -> Vec<Point> {
    let carrier = Rect::sized(Length::ZERO, Length::ZERO, design.carrier.length, design.carrier.width);
    let mut points: Vec<Point> =
        if design.parts.is_empty() { corners(&design.blank.outline) } else { carrier.corners().to_vec() };
    if design.parts.is_empty() {
        points.extend(design.carve.corners());
    }
    points.extend(dimensioned(design).into_iter().flat_map(|pocket| corners(&pocket.outline)));
    // Where shims stand is in the shim map, where webs stand in the pocket table, where keepers turn in
    // their table; wedges are dimensioned along the face they rub on only.
    let shown = |part: &&Part| match part.role {
        Role::Shim | Role::FarWedge | Role::TrailWedge | Role::WedgeShim | Role::Keeper => false,
        // Told by the marks they are laid to.
        role if role.stands_at_angle() => false,
        Role::Web | Role::Packing => design.gang.is_none(),
        _ => true,
    };
    points.extend(
        design.parts.iter().filter(shown).flat_map(|part| &part.places).flat_map(|place| corners(&place.outline)),
    );
    points
}

/// Figures under the plan, to its left and (only where the trail end differs) to its right.
fn plan_marks(request: &Request, design: &Design, map: &Mapping) -> (Vec<Mark>, Vec<Mark>, Vec<Mark>) {
    let points = laid_out(design);
    let number = |length: Length| figure(request, length);
    // Contacts and driven wedges lie where the blank lets them: they are told to the nearest mark.
    let about = |length: Length| request.shop.ruler.number(length.nearest(request.step()));
    let (more_along, more_across) = contact::places(design);
    let middle = design.carrier.length.half();
    let mark_x = |p: &Point, text: String| Mark { place: map.x(p.x), feature: map.y(p.y), text };
    let mark_y = |p: &Point, text: String| Mark { place: map.y(p.y), feature: map.x(p.x), text };

    let below = points.iter().map(|p| mark_x(p, number(p.x)));
    let below = below.chain(more_along.iter().map(|p| mark_x(p, about(p.x)))).collect();
    let all = points.iter().map(|p| (p, number(p.y))).chain(more_across.iter().map(|p| (p, about(p.y))));
    let (left, right): (Vec<_>, Vec<_>) = all.partition(|(p, _)| p.x <= middle);
    let right = right.into_iter().filter(|(p, _)| !left.iter().any(|(other, _)| other.y == p.y));
    let right = right.map(|(p, text)| mark_y(p, text)).collect();
    (below, left.iter().map(|(p, text)| mark_y(p, text.clone())).collect(), right)
}

/// Names of areas, where there is room for them; the notes beside the plan say the same.
fn words(picture: &mut Picture, request: &Request, design: &Design, map: &Mapping) {
    let paper = |rect: Rect| Area::new(map.x(rect.x0), map.y(rect.y0), map.x(rect.x1), map.y(rect.y1)).grown(-1.0);
    let blank = paper(design.blank.outline.bounds());
    if let Some(keep_out) = &design.keep_out {
        marks::word(picture, paper(within(keep_out.area, design)), "NO METAL", Weight::Bold);
    }
    if design.construction != "none" {
        marks::word(picture, blank, "BLANK", Weight::Bold);
    }
    if let Some(underside) = &design.blank.underside
        && request.blank.slope.is_some()
    {
        let row = underside.rows.first();
        let across = row.is_some_and(|row| row.first() == row.last());
        let thick = if across { "THICK SIDE AT FENCE" } else { "THICK END AT LEAD" };
        marks::word(picture, blank, thick, Weight::Bold);
    }
    if let Some(carved) = &request.blank.second_side {
        marks::flip(picture, blank, (carved.flip == Flip::Along) != design.turned);
    }
    if request.machine.takes_whole_face() {
        let whole = format!("whole top {}", face_word(&request.machine));
        marks::word(picture, blank, &whole, Weight::Regular);
    } else {
        marks::word(picture, paper(design.carve), "carve area", Weight::Regular);
    }
    let near = Area { x1: blank.x1.min(blank.x0 + 60.0), y1: blank.y1.min(blank.y0 + 14.0), ..blank };
    if has_datum_corner(design) {
        marks::word(picture, near, "datum corner", Weight::Regular);
    }
}

/// Thickness beside every shim, or at the end of a leader; the shim map has them all.
fn shim_marks(picture: &mut Picture, request: &Request, design: &Design, map: &Mapping) {
    for place in design.parts.iter().filter(|part| part.role == Role::Shim).flat_map(|part| &part.places) {
        let bounds = place.outline.bounds();
        let near = Area::new(map.x(bounds.x0), map.y(bounds.y0), map.x(bounds.x1), map.y(bounds.y1)).grown(7.0);
        let text = request.shop.depth_ruler.number(place.z1 - place.z0);
        if !marks::word(picture, near, &text, Weight::Bold) {
            let middle = map.point(bounds.centre());
            marks::flag(picture, middle, &text);
        }
    }
}

/// Part letters and grain arrows inside the parts; returns the letters that found no room.
fn letters(picture: &mut Picture, design: &Design, map: &Mapping) -> Vec<(At, String)> {
    let mut homeless = Vec::new();
    for part in design.parts.iter().filter(|part| part.role != Role::Shim) {
        // One letter does for many webs alike.
        let shown = if part.role == Role::Web { 1 } else { part.places.len() };
        for place in part.places.iter().take(shown) {
            let bounds = place.outline.bounds();
            let region = Area::new(map.x(bounds.x0), map.y(bounds.y0), map.x(bounds.x1), map.y(bounds.y1));
            let side = 2.0 * LETTER_RADIUS + 1.0;
            match solid_place(picture, design, part, place, map, region, side, side) {
                Some(area) => {
                    marks::letter(picture, at((area.x0 + area.x1) / 2.0, (area.y0 + area.y1) / 2.0), &part.id);
                }
                None if !matches!(part.role, Role::Base | Role::Packing | Role::Web | Role::Shim | Role::WedgeShim) => {
                    let middle = at(region.x1 - (region.width() * 0.1).min(6.0), (region.y0 + region.y1) / 2.0);
                    homeless.push((middle, part.id.clone()));
                }
                None => {}
            }
            let (w, h) = match part.grain {
                Grain::AlongFeed => (16.0, 2.4),
                Grain::AcrossFeed => (2.4, 16.0),
                Grain::None => continue,
            };
            if let Some(area) = solid_place(picture, design, part, place, map, region, w, h) {
                marks::grain(picture, area);
            }
        }
    }
    homeless
}

/// A clear box whose middle lies in the wood of a part that is seen from above.
#[expect(clippy::too_many_arguments, reason = "one private helper, called twice")]
fn solid_place(
    picture: &Picture,
    design: &Design,
    part: &Part,
    place: &Place,
    map: &Mapping,
    region: Area,
    width: f64,
    height: f64,
) -> Option<Area> {
    const STEPS: [f64; 11] = [0.9, 0.1, 0.8, 0.2, 0.7, 0.3, 0.6, 0.4, 0.5, 0.95, 0.05];
    let covered = |x: f64, y: f64| {
        let above = design.parts.iter().filter(|other| other.id != part.id).flat_map(|other| &other.places);
        inside(&design.blank.outline, x, y)
            || place.voids.iter().any(|void| inside(&void.outline, x, y))
            || above.filter(|other| other.z1 > place.z1).any(|other| inside(&other.outline, x, y))
    };
    let (room_x, room_y) = (region.width() - width, region.height() - height);
    if room_x < 0.0 || room_y < 0.0 {
        return None;
    }
    STEPS
        .iter()
        .flat_map(|h| STEPS.iter().rev().map(move |v| (*h, *v)))
        .map(|(h, v)| {
            let (x, y) = (region.x0 + h * room_x, region.y0 + v * room_y);
            Area::new(x, y, x + width, y + height)
        })
        .find(|area| {
            let (x, y) = ((area.x0 + area.x1) / 2.0 / map.across, (area.y0 + area.y1) / 2.0 / map.up);
            inside(&place.outline, x, y) && !covered(x, y) && picture.is_clear(area)
        })
}
