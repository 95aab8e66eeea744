//! Sections through the middle of the blank, along the feed and across it.

use super::ordinate::{Mark, Side, balloons, ordinates, spread};
use super::{LARGE, Mapping, SMALL, Scale, marks, round};
use crate::design::{Design, Grain, Place, PlacedBlank, Role};
use crate::drawing::{Align, Area, At, Hatch, Line, Picture, Text, Weight, at, font};
use crate::geometry::Outline;
use crate::geometry::path::to_mm;
use crate::length::Length;
use crate::request::Request;

/// A section is drawn at least this high on paper, out of scale if it must be, mm.
const LEAST_HEIGHT: f64 = 16.0;

/// Which section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Section {
    /// A-A, along the feed, seen from the fence.
    Along,
    /// B-B, across the feed, seen from the trail end.
    Across,
    /// C-C, the same through the second block under a spindle.
    Second,
}

/// Draws a section through the middle of the blank. The display list's origin is the carrier's lower
/// left corner. Heights are meaningful only when the blank's thickness is known.
pub fn section(request: &Request, design: &Design, named: Section, scale: Scale) -> Picture {
    let (map, times) = Mapping::readable(scale, design.carrier.thickness, LEAST_HEIGHT);
    let centre = match named {
        Section::Second => design.second_section_point().unwrap_or_else(|| design.section_point()),
        Section::Along | Section::Across => design.section_point(),
    };
    let which = if named == Section::Along { Section::Along } else { Section::Across };
    let (length, cut_at) = match which {
        Section::Along => (design.carrier.length, centre.y),
        _ => (design.carrier.width, centre.x),
    };
    let cut = Cut { which, at: cut_at.to_mm() };
    let mut picture = Picture::default();
    let top = map.y(design.carrier.thickness);
    let right = map.x(length);

    let mut dots = Vec::new();
    let along = Cut { which: Section::Along, at: centre.y.to_mm() };
    for (row, part) in design.parts.iter().enumerate() {
        // Section B-B need not repeat the letters that section A-A has.
        let lettered =
            which == Section::Across && part.places.iter().any(|place| !along.chords(&place.outline).is_empty());
        if part.role == Role::WedgeShim {
            for place in &part.places {
                let Some(ring) = sloped(place, &cut, &map) else { continue };
                let middle = ring.iter().fold(at(0.0, 0.0), |sum, p| at(sum.x + p.x / 4.0, sum.y + p.y / 4.0));
                picture.hatch(Hatch::of_part(row, part.grain != Grain::None), ring.clone());
                picture.ring(Line::Edge, ring);
                if !lettered && !dots.iter().any(|(_, id)| *id == part.id) {
                    dots.push((middle, part.id.clone()));
                }
            }
            continue;
        }
        for place in &part.places {
            if let Some(ring) = round::strip_ring(place, which, cut.at) {
                if let [(y0, z0), _, _, (_, z1)] = ring.as_slice() {
                    // Near the square side, where the strip is as high as it goes.
                    let square =
                        if ring.iter().all(|(y, _)| *y >= *y0) && ring[3].0 == *y0 { ring[3].0 } else { ring[1].0 };
                    let aside = (ring[2].0 - ring[3].0) / 2.0;
                    let dot = if square == *y0 { square + aside } else { square - aside };
                    dots.push((at(dot * map.across, (z0 + z1) / 2.0 * map.up), part.id.clone()));
                }
                let ring: Vec<At> = ring.iter().map(|(y, z)| at(y * map.across, z * map.up)).collect();
                if !ring.is_empty() {
                    picture.hatch(Hatch::of_part(row, part.grain != Grain::None), ring.clone());
                    picture.ring(Line::Edge, ring);
                }
                continue;
            }
            let cells = Cells::of(place, &cut);
            for (x0, x1, z0, z1) in cells.boxes() {
                let area = Area::new(x0 * map.across, z0 * map.up, x1 * map.across, z1 * map.up);
                picture.hatch(Hatch::of_part(row, part.grain != Grain::None), area.corners());
            }
            for ((ax, az), (bx, bz)) in cells.edges() {
                picture.line(Line::Edge, &[at(ax * map.across, az * map.up), at(bx * map.across, bz * map.up)]);
            }
            let widest = cells.boxes().into_iter().fold(None::<(f64, f64, f64, f64)>, |best, cell| {
                let size = |(x0, x1, z0, z1): (f64, f64, f64, f64)| (x1 - x0) * (z1 - z0);
                match best {
                    Some(best) if size(best) >= size(cell) - 1e-9 => Some(best),
                    _ => Some(cell),
                }
            });
            // Of many webs alike one letter does.
            let again = part.role == Role::Web && dots.iter().any(|(_, id)| *id == part.id);
            if let (Some((x0, x1, z0, z1)), false) = (widest, lettered || again) {
                dots.push((at((x0 + x1) / 2.0 * map.across, (z0 + z1) / 2.0 * map.up), part.id.clone()));
            }
        }
    }
    draw_blank(&mut picture, request, design, &cut, &map);
    draw_screws(&mut picture, design, which, &map);
    let floor = map.y(design.carrier.thickness - design.depth_below_top);
    let carve = design.carve_areas().into_iter().flat_map(|area| cut.chords(&Outline::Rect(area)));
    if request.machine.takes_whole_face() {
        picture.line(Line::Carve, &[at(0.0, floor), at(right, floor)]);
    } else {
        for (x0, x1) in carve.map(|(x0, x1)| (x0 * map.across, x1 * map.across)) {
            picture.line(Line::Carve, &[at(x0, top), at(x0, floor), at(x1, floor), at(x1, top)]);
        }
    }
    if which == Section::Along {
        let marks = height_marks(request, design, &cut, &map);
        ordinates(&mut picture, Side::Left, 0.0, marks, LARGE);
    } else if design.blank.thickness_known {
        let number = |z| request.shop.depth_ruler.number(z);
        let marks = round::heights(request, design, cut.at);
        let marks = marks.into_iter().map(|(z, y)| Mark { place: map.y(z), feature: map.x(y), text: number(z) });
        ordinates(&mut picture, Side::Left, 0.0, marks.collect(), LARGE);
    }
    let (near, far) = match which {
        Section::Along => ("LEAD", "TRAIL"),
        _ => ("FENCE", "FAR"),
    };
    let far_width = font::width(far, SMALL, Weight::Bold);
    let far_at = (right - far_width).max(font::width(near, SMALL, Weight::Bold) + 6.0);
    // Relief that stands above the border may reach into the row of words.
    let words = top.max(map.y(design.blank.highest)) + 2.4;
    picture.text(Text::new(at(0.0, words), SMALL, near).bold());
    picture.text(Text::new(at(far_at, words), SMALL, far).bold());
    stations(&mut picture, request, design, &cut, &map, words);
    // A single board needs no letter; the plan has it.
    if design.parts.len() > 1 && !dots.is_empty() {
        balloons(&mut picture, true, -9.0, dots);
    }
    // After all lines, so that none strikes it through.
    label_blank(&mut picture, design, &cut, &map);
    // Figures spread past the top push the title up.
    let title = (words + 7.0).max(picture.area().y1 + 2.5);
    titles(&mut picture, named, scale, times, title);
    picture
}

fn titles(picture: &mut Picture, which: Section, scale: Scale, times: u32, y: f64) {
    let left = picture.area().x0;
    let (name, way) = match which {
        Section::Along => ("SECTION A-A", "along"),
        Section::Across => ("SECTION B-B", "across"),
        Section::Second => ("SECTION C-C", "across"),
    };
    let exaggerated = if times > 1 { format!(", HEIGHTS x{times}, NOT TO SCALE") } else { String::new() };
    let name = Text::new(at(left, y), LARGE, name).bold();
    let rest = at(left + name.width() + 3.0, y);
    picture.text(name);
    picture.text(Text::new(rest, SMALL, &format!("{way}, {}{exaggerated}", scale.text)));
}

fn draw_blank(picture: &mut Picture, request: &Request, design: &Design, cut: &Cut, map: &Mapping) {
    let blank = &design.blank;
    if let Some(ring) = round::blank_ring(request, design, cut.which, cut.at) {
        let ring: Vec<At> = ring.iter().map(|(x, z)| at(x * map.across, z * map.up)).collect();
        picture.hatch(Hatch::BLANK, ring.clone());
        picture.ring(Line::Blank, ring);
        return;
    }
    let across = |chord: (f64, f64), z0: f64, z1: f64| Area::new(chord.0 * map.across, z0, chord.1 * map.across, z1);
    for chord in design.blank_outlines().iter().flat_map(|outline| cut.chords(outline)) {
        let area = across(chord, map.y(blank.z0), map.y(blank.z1));
        let level = design.parts.iter().any(|part| part.role == Role::WedgeShim);
        let ring = warped(blank, cut, chord, map, level).unwrap_or_else(|| area.corners());
        picture.hatch(Hatch::BLANK, ring.clone());
        picture.ring(Line::Blank, ring);
        if blank.highest > blank.z1 {
            let relief = across(chord, map.y(blank.z1), map.y(blank.highest));
            picture.frame(Line::Hidden, relief);
        }
    }
}

/// The screws from below, whole, as fasteners are shown, each where it stands though the cut passes it by.
fn draw_screws(picture: &mut Picture, design: &Design, which: Section, map: &Mapping) {
    let Some(screws) = &design.screws else { return };
    let mut drawn: Vec<Length> = Vec::new();
    for place in &screws.places {
        let middle = if which == Section::Along { place.x } else { place.y };
        if drawn.contains(&middle) {
            continue;
        }
        drawn.push(middle);
        let (x, shank, head) = (map.x(middle), map.x(screws.diameter) / 2.0, map.x(screws.head) / 2.0);
        let under = map.y(screws.countersink);
        let point = map.y(screws.tip - screws.diameter);
        picture.ring(
            Line::Thin,
            vec![
                at(x - head, map.y(screws.sunk)),
                at(x + head, map.y(screws.sunk)),
                at(x + shank, under),
                at(x + shank, point),
                at(x, map.y(screws.tip)),
                at(x - shank, point),
                at(x - shank, under),
            ],
        );
    }
}

/// The word in the blank, clear of the lines of the cut.
fn label_blank(picture: &mut Picture, design: &Design, cut: &Cut, map: &Mapping) {
    let blank = &design.blank;
    for (x0, x1) in design.blank_outlines().iter().flat_map(|outline| cut.chords(outline)) {
        let area = Area::new(x0 * map.across, map.y(blank.z0), x1 * map.across, map.y(blank.z1));
        // Where there is no room the level hatch says it, as the key on the bench sheet does.
        marks::word(picture, area.grown(-0.4), "BLANK", Weight::Bold);
    }
}

/// The cut face of a wedge shim, from its foot round to its sloping top.
fn sloped(place: &Place, cut: &Cut, map: &Mapping) -> Option<Vec<At>> {
    let (from, to) = cut.chords(&place.outline).first().copied()?;
    let aside = Length::from_mm(cut.at)?;
    let top = |place: &Place, along: f64| {
        let along = Length::from_mm(along)?;
        Some(match cut.which {
            Section::Along => place.top_at(along, aside),
            _ => place.top_at(aside, along),
        })
    };
    let corner = |along: f64, z: Length| at(along * map.across, map.y(z));
    Some(vec![
        corner(from, place.z0),
        corner(to, place.z0),
        corner(to, top(place, to)?),
        corner(from, top(place, from)?),
    ])
}

/// Heights of the wedge shims, station by station, over the section that shows their slope.
fn stations(picture: &mut Picture, request: &Request, design: &Design, cut: &Cut, map: &Mapping, words: f64) {
    let (Some(_), Some(underside)) = (&request.blank.slope, &design.blank.underside) else { return };
    let aside = Length::from_mm(cut.at).unwrap_or_default();
    let (marks, height): (&[Length], Box<dyn Fn(Length) -> Length>) = match cut.which {
        Section::Along => (&underside.xs, Box::new(|x| underside.at(x, aside))),
        _ => (&underside.ys, Box::new(|y| underside.at(aside, y))),
    };
    let (Some(first), Some(last)) = (marks.first(), marks.last()) else { return };
    if height(*first) == height(*last) {
        return;
    }
    let base = words + 1.8 * SMALL;
    let places: Vec<f64> = marks.iter().map(|mark| map.x(*mark)).collect();
    for ((mark, place), stands) in marks.iter().zip(&places).zip(spread(&places, 1.6 * SMALL)) {
        picture.line(Line::Thin, &[at(*place, base), at(stands, base + 4.0)]);
        let text = request.shop.depth_ruler.number(height(*mark).nearest(request.depth_step()));
        picture.text(Text::new(at(stands + SMALL / 2.0, base + 5.0), SMALL, &text).upwards());
    }
    let from = places.first().copied().unwrap_or_default() - 3.0;
    picture.text(Text::new(at(from, base + 5.0), SMALL, "wedge high").align(Align::End));
}

/// The cut face of a blank that is not flat, between the marks of its grid straight; its top lies level
/// or follows the underside.
fn warped(blank: &PlacedBlank, cut: &Cut, chord: (f64, f64), map: &Mapping, level: bool) -> Option<Vec<At>> {
    let underside = blank.underside.as_ref()?;
    let aside = Length::from_mm(cut.at)?;
    let marks = match cut.which {
        Section::Along => &underside.xs,
        _ => &underside.ys,
    };
    let thickness = blank.z1 - blank.z0 - underside.greatest();
    let low: Vec<(f64, Length)> = marks
        .iter()
        .filter(|mark| (chord.0 - 1e-3..=chord.1 + 1e-3).contains(&mark.to_mm()))
        .map(|mark| {
            let height = match cut.which {
                Section::Along => underside.at(*mark, aside),
                _ => underside.at(aside, *mark),
            };
            (mark.to_mm() * map.across, blank.z0 + height)
        })
        .collect();
    let below = low.iter().map(|(x, z)| at(*x, map.y(*z)));
    let above = low.iter().rev().map(|(x, z)| at(*x, map.y(if level { blank.z1 } else { *z + thickness })));
    Some(below.chain(above).collect())
}

/// Heights above the bed face: of every face of every part, the pocket floors and the blank.
fn height_marks(request: &Request, design: &Design, cut: &Cut, map: &Mapping) -> Vec<Mark> {
    let mut heights: Vec<(Length, f64)> = vec![(Length::ZERO, 0.0), (design.carrier.thickness, 0.0)];
    let start = |outline: &Outline| cut.chords(outline).first().map(|chord| chord.0 * map.across);
    if let Some(screws) = &design.screws {
        heights.extend(screws.places.first().map(|place| (screws.tip, map.x(place.x))));
    }
    // How thick each shim is stands in the shim map.
    let dimensioned =
        design.parts.iter().filter(|part| !matches!(part.role, Role::Shim | Role::CradleStrip | Role::WedgeShim));
    let places = dimensioned.flat_map(|part| &part.places);
    for (outline, z0, z1) in places.map(|place| (&place.outline, place.z0, place.z1)) {
        if let Some(x) = start(outline) {
            heights.extend([(z0, x), (z1, x)]);
        }
    }
    for pocket in &design.pockets {
        if let Some(x) = start(&pocket.outline) {
            heights.push((pocket.z0, x));
        }
    }
    if let Some(x) = start(&design.blank.outline) {
        // Within a hair of the top plane the notes say how proud or sunk the blank lies.
        let aside = |z: &Length| !super::nearly_level(*z, design.carrier.thickness);
        heights.extend([design.blank.z1, design.blank.highest].into_iter().filter(aside).map(|z| (z, x)));
    }
    heights
        .into_iter()
        .map(|(z, x)| Mark { place: map.y(z), feature: x, text: request.shop.depth_ruler.number(z) })
        .collect()
}

/// An upright plane through the design.
struct Cut {
    which: Section,
    at: f64,
}

impl Cut {
    /// Where the plane passes through an outline: intervals along the section, mm.
    fn chords(&self, outline: &Outline) -> Vec<(f64, f64)> {
        let axes = |x: f64, y: f64| match self.which {
            Section::Along => (x, y),
            _ => (y, x),
        };
        if let Outline::Disc { centre, diameter } = outline {
            let (middle, aside) = axes(centre.x.to_mm(), centre.y.to_mm());
            let radius = diameter.to_mm() / 2.0;
            let square = radius * radius - (self.at - aside) * (self.at - aside);
            let half = if square > 0.0 { libm::sqrt(square) } else { return Vec::new() };
            return vec![(middle - half, middle + half)];
        }
        let corners: Vec<(f64, f64)> = match outline {
            Outline::Rect(rect) => rect.corners().iter().map(|p| to_mm(*p)).collect(),
            Outline::Polygon(points) => points.iter().map(|p| to_mm(*p)).collect(),
            Outline::Path(path) => path.flattened(0.01),
            Outline::Disc { .. } => Vec::new(),
        };
        let points: Vec<(f64, f64)> = corners.iter().map(|p| axes(p.0, p.1)).collect();
        let mut crossings: Vec<f64> = points
            .iter()
            .zip(points.iter().cycle().skip(1))
            .filter(|(a, b)| (a.1 <= self.at) != (b.1 <= self.at))
            .map(|(a, b)| a.0 + (b.0 - a.0) * (self.at - a.1) / (b.1 - a.1))
            .collect();
        crossings.sort_by(f64::total_cmp);
        crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
    }
}

/// The cut face of one part: a grid of boxes, each wood or not.
struct Cells {
    x: Vec<f64>,
    z: Vec<f64>,
    wood: Vec<Vec<bool>>,
}

/// Left, right, bottom, top of a box in a section, mm.
type CellBox = (f64, f64, f64, f64);

impl Cells {
    fn of(place: &Place, cut: &Cut) -> Cells {
        let boxes = |outline: &Outline, z0: Length, z1: Length| -> Vec<CellBox> {
            cut.chords(outline).into_iter().map(|(a, b)| (a, b, z0.to_mm(), z1.to_mm())).collect()
        };
        let solids = boxes(&place.outline, place.z0, place.z1);
        let voids: Vec<CellBox> = place.voids.iter().flat_map(|void| boxes(&void.outline, void.z0, void.z1)).collect();
        let breaks = |pick: fn(&CellBox) -> [f64; 2]| {
            let mut breaks: Vec<f64> = solids.iter().chain(&voids).flat_map(pick).collect();
            breaks.sort_by(f64::total_cmp);
            breaks.dedup_by(|later, kept| *later - *kept < 1e-6);
            breaks
        };
        let (x, z) = (breaks(|cell| [cell.0, cell.1]), breaks(|cell| [cell.2, cell.3]));
        let within = |cells: &[CellBox], x: f64, z: f64| {
            cells.iter().any(|cell| cell.0 < x && x < cell.1 && cell.2 < z && z < cell.3)
        };
        let middles = |breaks: &[f64]| -> Vec<f64> {
            breaks.iter().zip(breaks.iter().skip(1)).map(|(a, b)| (a + b) / 2.0).collect()
        };
        let wood = middles(&z)
            .iter()
            .map(|z| middles(&x).iter().map(|x| within(&solids, *x, *z) && !within(&voids, *x, *z)).collect())
            .collect();
        Cells { x, z, wood }
    }

    fn is_wood(&self, column: Option<usize>, row: Option<usize>) -> bool {
        let row = row.and_then(|row| self.wood.get(row));
        row.zip(column).and_then(|(row, column)| row.get(column)).copied().unwrap_or(false)
    }

    /// The wood as boxes, each as wide as it goes.
    fn boxes(&self) -> Vec<CellBox> {
        let mut boxes: Vec<CellBox> = Vec::new();
        for (row, z) in self.z.iter().zip(self.z.iter().skip(1)).enumerate() {
            for (column, x) in self.x.iter().zip(self.x.iter().skip(1)).enumerate() {
                if !self.is_wood(Some(column), Some(row)) {
                    continue;
                }
                match boxes.last_mut() {
                    Some(last) if last.1 == *x.0 && last.2 == *z.0 => last.1 = *x.1,
                    _ => boxes.push((*x.0, *x.1, *z.0, *z.1)),
                }
            }
        }
        boxes
    }

    /// The edges between wood and air.
    fn edges(&self) -> Vec<((f64, f64), (f64, f64))> {
        let mut edges = Vec::new();
        for (row, z) in self.z.iter().enumerate() {
            for (column, x) in self.x.iter().enumerate() {
                let (left, below) = (column.checked_sub(1), row.checked_sub(1));
                if let Some(next) = self.z.get(row + 1)
                    && self.is_wood(left, Some(row)) != self.is_wood(Some(column), Some(row))
                {
                    edges.push(((*x, *z), (*x, *next)));
                }
                if let Some(next) = self.x.get(column + 1)
                    && self.is_wood(Some(column), below) != self.is_wood(Some(column), Some(row))
                {
                    edges.push(((*x, *z), (*next, *z)));
                }
            }
        }
        edges
    }
}
