//! What a builder must be told, derived from parts and voids, against what the sheets say.
//!
//! A figure on a drawing is an extension line and a text at its end: where the line starts says what is
//! measured, the text says how much. Both are read off the display list and held against each other, and
//! against the places that parts and voids have.

use std::collections::BTreeSet;

use sledwright::design::{Design, Part, PocketKind, Role, VoidKind};
use sledwright::drawing::{Align, At, Item, Line, Page, Text};
use sledwright::geometry::{Outline, Point};
use sledwright::length::{Length, Ruler};
use sledwright::request::Request;

/// How far a figure may stand from what it measures on paper, mm.
const NEAR: f64 = 0.01;

/// A figure: where its extension line starts, and what it says.
struct Figure {
    from: At,
    /// Where the line ends, beside the text.
    to: At,
    text: String,
}

fn texts(page: &Page) -> impl Iterator<Item = &Text> {
    page.picture.items.iter().filter_map(|item| if let Item::Text(text) = item { Some(text) } else { None })
}

/// Every extension line of a page with the text at its end: four places, the first and the last piece
/// straight away from the view.
fn figures(page: &Page) -> Vec<Figure> {
    let lines = page.picture.items.iter().filter_map(|item| match item {
        Item::Path { points, closed: false, line: Line::Thin } => match points.as_slice() {
            [from, _, _, to] => Some((*from, *to)),
            _ => None,
        },
        _ => None,
    });
    lines
        .filter_map(|(from, to)| {
            let at_end = |text: &&Text| {
                let (dx, dy) = (text.at.x - to.x, text.at.y - to.y);
                if text.upwards {
                    text.align == Align::End && (dx - text.height / 2.0).abs() < NEAR && (-3.0..0.0).contains(&dy)
                } else {
                    (dy + text.height / 2.0).abs() < NEAR && dx.abs() < 3.0
                }
            };
            texts(page).find(at_end).map(|text| Figure { from, to, text: text.text.clone() })
        })
        .collect()
}

/// A figure as a number of mm. Written by itself: `7-9/16`, `3/4`, `7.583`, after a sign of nearness.
fn value(text: &str, ruler: &Ruler) -> Option<f64> {
    let text = text.trim_start_matches(['~', '≈', ' ']);
    let unit = if ruler.unit == sledwright::length::Unit::Inch { 25.4 } else { 1.0 };
    let fraction = |text: &str| -> Option<f64> {
        let (top, bottom) = text.split_once('/')?;
        Some(top.parse::<f64>().ok()? / bottom.parse::<f64>().ok()?)
    };
    let number = match text.split_once('-') {
        Some((whole, rest)) if !whole.is_empty() => whole.parse::<f64>().ok()? + fraction(rest)?,
        _ => text.parse::<f64>().ok().or_else(|| fraction(text))?,
    };
    Some(number * unit)
}

/// What a printed figure may be off by: half of the last digit of a decimal, half a mark of the ruler.
fn slack(ruler: &Ruler) -> f64 {
    let digits = if ruler.unit == sledwright::length::Unit::Inch { 0.0005 * 25.4 } else { 0.05 };
    (ruler.step.to_mm() / 2.0).max(digits) + 1e-6
}

/// Places of an outline that are dimensioned: corners, the centre of a disc, the box of anything else.
fn corners(outline: &Outline) -> Vec<Point> {
    match outline {
        Outline::Rect(rect) => rect.corners().to_vec(),
        Outline::Disc { centre, .. } => vec![*centre],
        Outline::Polygon(points) if points.len() <= 12 => points.clone(),
        Outline::Polygon(_) | Outline::Path(_) => outline.bounds().corners().to_vec(),
    }
}

/// Corners of everything that is laid out from the two datums in plan. Shims, keepers and wedges are not:
/// they have tables, or lie where the blank lets them; nor are pockets and webs of a gang but its first,
/// the next in the row and in the next row, and its last.
fn laid_out(design: &Design) -> Vec<Point> {
    let gang = design.gang.as_ref();
    let by_table = |part: &Part| match part.role {
        Role::Shim | Role::WedgeShim | Role::Keeper | Role::FarWedge | Role::TrailWedge => true,
        Role::Web | Role::Packing => gang.is_some(),
        // By their two marks, below.
        role => role.stands_at_angle(),
    };
    let parts = design.parts.iter().filter(|part| !by_table(part)).flat_map(|part| &part.places);
    let mut points: Vec<Point> = parts.flat_map(|place| corners(&place.outline)).collect();
    let pockets: Vec<&Outline> = design.pockets.iter().map(|pocket| &pocket.outline).collect();
    match gang {
        None => points.extend(pockets.iter().flat_map(|outline| corners(outline))),
        Some(gang) => {
            let wanted = [
                Some(0),
                (gang.columns > 1).then_some(1),
                (gang.rows > 1).then_some(gang.columns),
                pockets.len().checked_sub(1),
            ];
            let wanted: BTreeSet<usize> = wanted.into_iter().flatten().collect();
            points.extend(wanted.into_iter().filter_map(|place| pockets.get(place)).flat_map(|o| corners(o)));
        }
    }
    points.extend(design.contacts.iter().filter_map(|contact| contact.marks).flatten());
    points.extend([Point::new(Length::ZERO, Length::ZERO), Point::new(design.carrier.length, design.carrier.width)]);
    points
}

/// The plan on a page: where its datum corner is, and mm on paper for one of the carrier, each way.
struct Plan {
    origin: At,
    along: f64,
    across: f64,
    top: f64,
}

fn plan(page: &Page, design: &Design) -> Option<Plan> {
    texts(page).find(|text| text.text == "PLAN")?;
    let items = || page.picture.items.iter();
    items().find_map(|item| {
        let Item::Path { points, line: Line::Fence, .. } = item else { return None };
        let [from, to] = points.as_slice() else { return None };
        // The carrier stands on its fence edge in the plan, and hangs from it in the bed face.
        let top = items().find_map(|item| match item {
            Item::Path { points, closed: true, line: Line::Outline } => {
                let on = points.iter().filter(|p| (p.y - from.y).abs() < 1e-6 && (p.x - from.x).abs() < 1e-6).count();
                let top = points.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
                (on == 1 && top > from.y + 1.0).then_some(top)
            }
            _ => None,
        })?;
        Some(Plan {
            origin: *from,
            along: (to.x - from.x) / design.carrier.length.to_mm(),
            across: (top - from.y) / design.carrier.width.to_mm(),
            top,
        })
    })
}

/// What the sheets leave out, say twice or say wrong.
pub fn faults(request: &Request, design: &Design, pages: &[Page]) -> Vec<String> {
    let mut faults = Vec::new();
    if design.construction == "none" {
        return faults;
    }
    let Some((page, plan)) = pages.iter().find_map(|page| Some((page, plan(page, design)?))) else {
        return vec!["no plan".to_owned()];
    };
    plan_figures(request, design, page, &plan, &mut faults);
    if design.blank.thickness_known {
        heights(request, design, pages, &mut faults);
        words(request, design, pages, &mut faults);
    }
    faults
}

/// Each place of the plan has one figure, from either datum, and it is right.
fn plan_figures(request: &Request, design: &Design, page: &Page, plan: &Plan, faults: &mut Vec<String>) {
    let ruler = &request.shop.ruler;
    let points = laid_out(design);
    let (left, right) = (plan.origin.x, plan.origin.x + plan.along * design.carrier.length.to_mm());
    let mut along: Vec<(f64, String)> = Vec::new();
    let mut across: Vec<(f64, String)> = Vec::new();
    for figure in figures(page) {
        if figure.to.y < plan.origin.y
            && (left - 1.0..right + 1.0).contains(&figure.from.x)
            && figure.to.y < figure.from.y - 10.0
        {
            // The bed face has the same column of figures below it: its lines start below the plan.
            if figure.from.y >= plan.origin.y - 2.0 {
                along.push(((figure.from.x - left) / plan.along, figure.text));
            }
        } else if (plan.origin.y - 1e-6..plan.top + 1e-6).contains(&figure.from.y)
            && (left - 2.0..right + 2.0).contains(&figure.from.x)
            && (figure.to.x < left || figure.to.x > right)
        {
            across.push(((figure.from.y - plan.origin.y) / plan.across, figure.text));
        }
    }
    for (name, found, wanted) in [
        ("along", along, points.iter().map(|p| p.x).collect::<BTreeSet<_>>()),
        ("across", across, points.iter().map(|p| p.y).collect()),
    ] {
        for (place, text) in &found {
            match value(text, ruler) {
                Some(value) if (value - place).abs() <= slack(ruler) + NEAR / plan.along.min(plan.across) => {}
                _ => faults.push(format!("wrong figure {name}: {text} at {place:.3}")),
            }
        }
        for wanted in wanted {
            let paper = if name == "along" { plan.along } else { plan.across };
            let times = found.iter().filter(|(place, _)| ((place - wanted.to_mm()) * paper).abs() < NEAR).count();
            // Places that cannot be told apart on the ruler share a figure.
            let shared = found.iter().any(|(_, text)| *text == ruler.number(wanted));
            if times > 1 || (times == 0 && !shared) {
                faults.push(format!(
                    "{} {name}: {}",
                    if times > 1 { "told twice" } else { "no figure" },
                    ruler.number(wanted)
                ));
            }
        }
    }
}

/// Heights in section A-A: of every face of every part it cuts, and of the floor of the pocket.
fn heights(request: &Request, design: &Design, pages: &[Page], faults: &mut Vec<String>) {
    let ruler = &request.shop.depth_ruler;
    let Some((page, title)) =
        pages.iter().find_map(|page| Some((page, texts(page).find(|text| text.text == "SECTION A-A")?)))
    else {
        return faults.push("no section along".to_owned());
    };
    let below = |name: &str| {
        let near =
            texts(page).filter(|text| text.text == name && text.at.y < title.at.y && title.at.y - text.at.y < 60.0);
        near.filter(|text| text.at.x + 60.0 > title.at.x).max_by(|a, b| a.at.y.total_cmp(&b.at.y)).map(|text| text.at)
    };
    let Some(lead) = below("LEAD") else { return faults.push("no lead end in the section along".to_owned()) };
    let column: Vec<Figure> = figures(page)
        .into_iter()
        .filter(|figure| {
            (figure.to.x - (lead.x - 15.0)).abs() < NEAR && figure.from.y < lead.y && figure.to.x < figure.from.x
        })
        .collect();
    // The lowest line of the section is the bed: the first zero under the word.
    let zero = column.iter().filter(|figure| value(&figure.text, ruler) == Some(0.0)).map(|figure| figure.from.y);
    let Some(bed) = zero.filter(|y| *y < lead.y).reduce(f64::max) else {
        return faults.push("no bed in the section along".to_owned());
    };
    let column: Vec<Figure> = column.into_iter().filter(|figure| figure.from.y >= bed - 1e-6).collect();
    let Some(scale) = column
        .iter()
        .filter_map(|figure| Some(((figure.from.y - bed) / value(&figure.text, ruler).filter(|v| *v > 2.0)?, figure)))
        .max_by(|a, b| a.1.from.y.total_cmp(&b.1.from.y))
        .map(|(scale, _)| scale)
    else {
        return faults.push("no height in the section along".to_owned());
    };
    for figure in &column {
        let place = (figure.from.y - bed) / scale;
        match value(&figure.text, ruler) {
            Some(value) if (value - place).abs() <= 2.0 * slack(ruler) + NEAR / scale => {}
            _ => faults.push(format!("wrong height: {} at {place:.3}", figure.text)),
        }
    }
    let cut = design.section_point().y;
    let cuts = |outline: &Outline| {
        let bounds = outline.bounds();
        bounds.y0 < cut && cut < bounds.y1 && matches!(outline, Outline::Rect(_))
    };
    let mut wanted: BTreeSet<Length> = BTreeSet::from([Length::ZERO, design.carrier.thickness]);
    // Shims have a map; strips are dimensioned in the section across.
    let shown =
        design.parts.iter().filter(|part| !matches!(part.role, Role::Shim | Role::WedgeShim | Role::CradleStrip));
    for place in shown.flat_map(|part| &part.places).filter(|place| cuts(&place.outline)) {
        wanted.extend([place.z0, place.z1]);
    }
    wanted.extend(design.pockets.iter().filter(|pocket| cuts(&pocket.outline)).map(|pocket| pocket.z0));
    for wanted in wanted {
        let times = column
            .iter()
            .filter(|figure| ((figure.from.y - bed) / scale - wanted.to_mm()).abs() * scale < NEAR + 0.02 * scale);
        let times = times.count();
        let shared = column.iter().any(|figure| figure.text == ruler.number(wanted));
        if times > 1 || (times == 0 && !shared) {
            faults.push(format!("{} up: {}", if times > 1 { "told twice" } else { "no figure" }, ruler.number(wanted)));
        }
    }
}

/// Sizes of parts, depths and diameters, in words.
fn words(request: &Request, design: &Design, pages: &[Page], faults: &mut Vec<String>) {
    let all: Vec<&str> = pages.iter().flat_map(texts).map(|text| text.text.as_str()).collect();
    let all = all.join(" ").replace('\u{a0}', " ");
    let (plan, depth) = (&request.shop.ruler, &request.shop.depth_ruler);
    for part in &design.parts {
        let size = format!(
            "{} {} x {} x {}",
            part.places.len(),
            plan.number(part.size.length),
            plan.number(part.size.width),
            depth.number(part.size.thickness)
        );
        if !all.contains(&size) {
            faults.push(format!("no size of a part: {} {size}", part.id));
        }
    }
    let times = |words: &str| all.matches(words).count();
    if let Some(pocket) = design.pockets.first() {
        let height = depth.number(pocket.z1 - pocket.z0);
        match pocket.kind {
            PocketKind::Blind if times(&format!("POCKET DEPTH {height}")) != 1 => {
                faults.push(format!("pocket depth not told once: {height}"));
            }
            PocketKind::OnBase
                if times(&format!("RAIL HEIGHT {height}")) + times(&format!("RING HEIGHT {height}")) != 1 =>
            {
                faults.push(format!("wall height not told once: {height}"));
            }
            _ => {}
        }
        if let Outline::Disc { diameter, .. } = &pocket.outline {
            let told = format!("Round pocket: Ø {}", plan.number(*diameter));
            if times(&told) == 0 {
                faults.push(format!("not told: {told}"));
            }
        }
        if let Some(relief) = &pocket.relief {
            let told = format!("Ø {}.", plan.number(relief.diameter));
            if times("Corner relief: ") != 1 || times(&told) == 0 {
                faults.push(format!("corner relief is not told once: {told}"));
            }
        }
    }
    detail(request, design, pages, faults);
    let voids = design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    for hole in voids.filter(|void| void.kind == VoidKind::PushOut && void.z0 <= Length::ZERO) {
        let told = format!("Ø {} push-out", plan.number(hole.outline.bounds().length()));
        if times(&told) == 0 {
            faults.push(format!("push-out hole is not told: {told}"));
        }
    }
    // Every pocket of a gang stands in the pocket table by two figures.
    if let Some(gang) = &design.gang {
        for (place, pocket) in design.pockets.iter().enumerate() {
            let bounds = pocket.outline.bounds();
            let at = match &pocket.outline {
                Outline::Disc { .. } => bounds.centre(),
                _ => Point::new(bounds.x0, bounds.y0),
            };
            let kind = gang.kinds.get(gang.kind(place)).filter(|_| gang.kinds.len() > 1);
            let name = kind.map_or_else(String::new, |kind| format!(" {}", kind.name));
            let turned = if gang.is_turned(place) { " turned" } else { "" };
            let told = format!(" {}{turned}{name} {} {} ", place + 1, plan.number(at.x), plan.number(at.y));
            if times(&told) == 0 {
                faults.push(format!("pocket not in the table: {told}"));
            }
        }
    }
}

/// A relieved square corner is drawn once, larger, with the place of the cutter's centre from both walls: a
/// circle through the corner whose centre lies on the diagonal stands off each wall by its radius over the
/// root of two (plane geometry).
fn detail(request: &Request, design: &Design, pages: &[Page], faults: &mut Vec<String>) {
    let mut square = design.pockets.iter().filter(|pocket| matches!(pocket.outline, Outline::Rect(_)));
    let relief = square.find_map(|pocket| pocket.relief);
    let drawn: Vec<&Page> = pages.iter().filter(|page| texts(page).any(|text| text.text == "DETAIL Z")).collect();
    match (relief, drawn.as_slice()) {
        (None, []) => {}
        (Some(relief), [page]) => {
            let inset = relief.diameter.to_mm() / 2.0 * std::f64::consts::FRAC_1_SQRT_2;
            // Rounded down to a thousandth of an inch or a tenth of a millimetre.
            let figures = texts(page).filter_map(|text| value(&text.text, &request.shop.ruler));
            let count = figures.filter(|figure| (inset - 0.1001..inset + 1e-6).contains(figure)).count();
            if count < 2 && !relief.bored {
                faults.push(format!("detail: its centre is told {count} times"));
            }
        }
        (_, drawn) => faults.push(format!("detail: drawn {} times", drawn.len())),
    }
}
