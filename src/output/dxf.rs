//! `carrier.dxf`: the carrier in plan, full size in millimetres, arcs as arcs.
//!
//! Written in the R12 form of the format (`AC1009`), the one that machine programs read most widely:
//! closed lines are `POLYLINE` entities whose `bulge` (group 42) is the tangent of a quarter of the arc's
//! angle, whole circles are `CIRCLE`. R12 has no variable for units; `$INSUNITS` (4, millimetres) and
//! `$MEASUREMENT` (1, metric) are those of later releases, for the programs that look for them.
//! The origin is the lead end at the fence edge, x along the feed, y away from the fence, seen from above.

use std::collections::BTreeSet;
use std::fmt::Write;

use crate::design::{Design, VoidKind};
use crate::geometry::contour::{Contour, Spot, cut};
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::request::Request;

/// Height of lettering, mm.
const LETTERING: f64 = 5.0;
/// Legs of the mark at the datum corner, mm.
const LEG: f64 = 15.0;
/// Longest text of a group in R12.
const LONGEST: usize = 255;

/// Colour numbers of the standard palette: white or black, red, and so on.
const LAYERS: [(&str, u8); 8] = [
    ("OUTLINE", 7),
    ("POCKET", 1),
    ("RELIEF", 6),
    ("PUSH-OUT", 4),
    ("CARVE", 3),
    ("KEEP-OUT", 2),
    ("DATUM", 5),
    ("TEXT", 8),
];

/// The file; `None` when there is no carrier to make, or nothing may be sawn yet because the blank's
/// thickness is not measured.
pub fn render(request: &Request, design: &Design) -> Option<String> {
    if design.parts.is_empty() || !design.blank.thickness_known {
        return None;
    }
    let mut drawing = Drawing::default();
    carrier(&mut drawing, design);
    parts(&mut drawing, design);
    pockets(&mut drawing, design);
    areas(&mut drawing, design);
    datum(&mut drawing, design);
    words(&mut drawing, request, design);
    Some(drawing.finish())
}

/// Entities, the layers of parts they lie on, and the box that holds them (lettering by its start).
#[derive(Default)]
struct Drawing {
    entities: String,
    part_layers: BTreeSet<String>,
    low: Spot,
    high: Spot,
}

/// One group: a code and its value, each on a line of its own.
fn group(text: &mut String, code: u32, value: &str) {
    let _ = write!(text, "{code:>3}\n{value}\n");
}

/// A coordinate or length in mm, to a millionth: exact for every ruler step, and never `-0`.
fn number(value: f64) -> String {
    let text = format!("{value:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Drawing {
    fn entity(&mut self, kind: &str, layer: &str) {
        group(&mut self.entities, 0, kind);
        group(&mut self.entities, 8, layer);
    }

    fn real(&mut self, code: u32, value: f64) {
        group(&mut self.entities, code, &number(value));
    }

    fn spot(&mut self, code: u32, spot: Spot) {
        self.reach(spot, 0.0);
        self.real(code, spot.x);
        self.real(code + 10, spot.y);
        self.real(code + 20, 0.0);
    }

    /// The origin is a corner of the carrier, so the box may start from it.
    fn reach(&mut self, spot: Spot, by: f64) {
        self.low = Spot::new(self.low.x.min(spot.x - by), self.low.y.min(spot.y - by));
        self.high = Spot::new(self.high.x.max(spot.x + by), self.high.y.max(spot.y + by));
    }

    fn circle(&mut self, layer: &str, centre: Spot, radius: f64) {
        self.reach(centre, radius);
        self.entity("CIRCLE", layer);
        self.spot(10, centre);
        self.real(40, radius);
    }

    fn line(&mut self, layer: &str, a: Spot, b: Spot) {
        self.entity("LINE", layer);
        self.spot(10, a);
        self.spot(11, b);
    }

    fn contour(&mut self, layer: &str, contour: &Contour) {
        if let Some((centre, radius)) = contour.circle() {
            self.circle(layer, centre, radius);
            return;
        }
        self.entity("POLYLINE", layer);
        // 66: vertices follow; 10 to 30: a point that only gives the elevation; 70: closed.
        group(&mut self.entities, 66, "1");
        self.spot(10, Spot::default());
        group(&mut self.entities, 70, "1");
        for edge in &contour.edges {
            self.entity("VERTEX", layer);
            self.spot(10, edge.a);
            if edge.bulge != 0.0 {
                // More digits than a length: an error of the bulge is multiplied by the chord.
                group(&mut self.entities, 42, &format!("{:.12}", edge.bulge));
            }
        }
        self.entity("SEQEND", layer);
    }

    fn outline(&mut self, layer: &str, outline: &Outline) {
        self.contour(layer, &Contour::of(outline));
    }

    fn text(&mut self, place: Spot, words: &str) {
        self.entity("TEXT", "TEXT");
        self.spot(10, place);
        self.real(40, LETTERING);
        group(&mut self.entities, 1, &written(words));
    }

    fn finish(self) -> String {
        let mut text = String::new();
        group(&mut text, 999, "1:1, millimetres");
        group(&mut text, 0, "SECTION");
        group(&mut text, 2, "HEADER");
        let variable = |text: &mut String, name: &str, values: &[(u32, String)]| {
            group(text, 9, name);
            for (code, value) in values {
                group(text, *code, value);
            }
        };
        let corner = |spot: Spot| [(10, number(spot.x)), (20, number(spot.y)), (30, number(0.0))];
        variable(&mut text, "$ACADVER", &[(1, "AC1009".to_owned())]);
        variable(&mut text, "$INSUNITS", &[(70, "4".to_owned())]);
        variable(&mut text, "$MEASUREMENT", &[(70, "1".to_owned())]);
        variable(&mut text, "$EXTMIN", &corner(self.low));
        variable(&mut text, "$EXTMAX", &corner(self.high));
        group(&mut text, 0, "ENDSEC");
        group(&mut text, 0, "SECTION");
        group(&mut text, 2, "TABLES");
        table(&mut text, "LTYPE", 1, |text| {
            group(text, 0, "LTYPE");
            group(text, 2, "CONTINUOUS");
            group(text, 70, "0");
            group(text, 3, "Solid line");
            group(text, 72, "65");
            group(text, 73, "0");
            group(text, 40, "0");
        });
        let own = self.part_layers.iter().map(|name| (name.as_str(), 9));
        let layers: Vec<(&str, u8)> = std::iter::once(("0", 7)).chain(LAYERS).chain(own).collect();
        table(&mut text, "LAYER", layers.len(), |text| {
            for (name, colour) in &layers {
                group(text, 0, "LAYER");
                group(text, 2, name);
                group(text, 70, "0");
                group(text, 62, &colour.to_string());
                group(text, 6, "CONTINUOUS");
            }
        });
        table(&mut text, "STYLE", 1, |text| {
            group(text, 0, "STYLE");
            group(text, 2, "STANDARD");
            group(text, 70, "0");
            group(text, 40, "0");
            group(text, 41, "1");
            group(text, 50, "0");
            group(text, 71, "0");
            group(text, 42, "5");
            group(text, 3, "txt");
            group(text, 4, "");
        });
        group(&mut text, 0, "ENDSEC");
        group(&mut text, 0, "SECTION");
        group(&mut text, 2, "ENTITIES");
        text.push_str(&self.entities);
        group(&mut text, 0, "ENDSEC");
        group(&mut text, 0, "EOF");
        text
    }
}

fn table(text: &mut String, name: &str, rows: usize, write_rows: impl FnOnce(&mut String)) {
    group(text, 0, "TABLE");
    group(text, 2, name);
    group(text, 70, &rows.to_string());
    write_rows(text);
    group(text, 0, "ENDTAB");
}

/// A text as R12 can carry it: no line ends, no `%%` (which starts a code), no lone `^` (which starts a
/// control character), and what is not ASCII as the `\U+` escape of later releases.
fn written(words: &str) -> String {
    let mut text = String::new();
    for c in words.chars() {
        let one = match c {
            c if c.is_control() => " ".to_owned(),
            '%' if text.ends_with('%') => " %".to_owned(),
            '^' => "^ ".to_owned(),
            c if c.is_ascii() => c.to_string(),
            c if u32::from(c) <= 0xffff => format!("\\U+{:04X}", u32::from(c)),
            _ => "?".to_owned(),
        };
        if text.len() + one.len() > LONGEST {
            break;
        }
        text.push_str(&one);
    }
    text
}

fn carrier(drawing: &mut Drawing, design: &Design) {
    let board = Outline::Rect(Rect::new(Length::ZERO, Length::ZERO, design.carrier.length, design.carrier.width));
    let places = design.parts.iter().flat_map(|part| &part.places);
    let voids = places.flat_map(|place| &place.voids);
    let clipped: Vec<&Outline> =
        voids.filter(|void| void.kind == VoidKind::ClippedCorner).map(|void| &void.outline).collect();
    for contour in cut(&board, &clipped) {
        drawing.contour("OUTLINE", &contour);
    }
}

/// Each part as it is after everything that is cut from its top, on a layer of its own.
fn parts(drawing: &mut Drawing, design: &Design) {
    for part in &design.parts {
        let layer = format!("PART-{}", part.id);
        for place in &part.places {
            let open = place.voids.iter().filter(|void| void.z1 >= place.z1 && !void.kind.is_slanting());
            let open: Vec<&Outline> = open.map(|void| &void.outline).collect();
            for contour in cut(&place.outline, &open) {
                drawing.contour(&layer, &contour);
            }
        }
        drawing.part_layers.insert(layer);
    }
}

/// Pockets, reliefs and push-out holes, each once although several parts may share it.
fn pockets(drawing: &mut Drawing, design: &Design) {
    for pocket in &design.pockets {
        drawing.outline("POCKET", &pocket.outline);
    }
    let mut drawn: Vec<&Outline> = Vec::new();
    for void in design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids) {
        let layer = match void.kind {
            VoidKind::Relief => "RELIEF",
            VoidKind::FingerGap => "FINGER-GAP",
            VoidKind::Under => "RELIEF-ROOM",
            VoidKind::PushOut => "PUSH-OUT",
            VoidKind::KeeperNotch => "KEEPER-NOTCH",
            VoidKind::PegHole => "PEG-HOLE",
            VoidKind::ScrewHole => "SCREW-HOLE",
            VoidKind::Countersink => "COUNTERSINK",
            VoidKind::Pocket
            | VoidKind::ClippedCorner
            | VoidKind::Bevel
            | VoidKind::SlopeAlong
            | VoidKind::SlopeAcross => continue,
        };
        if !drawn.contains(&&void.outline) {
            drawn.push(&void.outline);
            drawing.outline(layer, &void.outline);
        }
    }
}

fn areas(drawing: &mut Drawing, design: &Design) {
    drawing.outline("CARVE", &Outline::Rect(design.carve));
    if let Some(keep_out) = &design.keep_out {
        // As far as it lies on the carrier.
        let clamp = |v: Length, most: Length| v.or_zero().min(most);
        let (area, length, width) = (keep_out.area, design.carrier.length, design.carrier.width);
        let area =
            Rect::new(clamp(area.x0, length), clamp(area.y0, width), clamp(area.x1, length), clamp(area.y1, width));
        drawing.outline("KEEP-OUT", &Outline::Rect(area));
    }
}

/// An angle along the walls the blank is pushed against; for a disc a cross on its centre.
fn datum(drawing: &mut Drawing, design: &Design) {
    if let Outline::Disc { centre, .. } = &design.blank.outline {
        let (x, y) = (centre.x.to_mm(), centre.y.to_mm());
        drawing.line("DATUM", Spot::new(x - LEG, y), Spot::new(x + LEG, y));
        drawing.line("DATUM", Spot::new(x, y - LEG), Spot::new(x, y + LEG));
        return;
    }
    let corner = design.origin();
    let (x, y) = (corner.x.to_mm(), corner.y.to_mm());
    drawing.line("DATUM", Spot::new(x, y), Spot::new(x + LEG, y));
    drawing.line("DATUM", Spot::new(x, y), Spot::new(x, y + LEG));
}

/// Words beside the carrier, where no line of it runs.
fn words(drawing: &mut Drawing, request: &Request, design: &Design) {
    let unit = |length: Length| request.shop.ruler.with_unit(length);
    let size = design.carrier;
    let mut lines = vec![
        "FENCE EDGE (lead end at the left, seen from above)".to_owned(),
        request.name.clone(),
        format!("{}: {} x {}; 1:1, millimetres", design.title, unit(size.length), unit(size.width)),
    ];
    for pocket in &design.pockets {
        let depth = request.shop.depth_ruler.with_unit(pocket.z1 - pocket.z0);
        lines.push(if pocket.kind == crate::design::PocketKind::Blind {
            format!("POCKET {depth} deep")
        } else {
            format!("POCKET through {depth}")
        });
    }
    for (place, line) in lines.iter().filter(|line| !line.is_empty()).enumerate() {
        drawing.text(Spot::new(0.0, -LETTERING * (2.0 + 1.8 * place as f64)), line);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_plain_and_exact_for_ruler_steps() {
        // 1/64 in = 0.396875 mm, six places.
        assert_eq!(number(0.396_875), "0.396875");
        assert_eq!(number(433.4), "433.4");
        assert_eq!(number(100.0), "100");
        assert_eq!(number(-0.000_000_01), "0");
    }

    #[test]
    fn texts_cannot_break_the_file_or_change_their_meaning() {
        assert_eq!(written("one\n  0\nEOF"), "one   0 EOF");
        assert_eq!(written("100%%u ^J"), "100% %u ^ J");
        assert_eq!(written("Möwe Ø ½"), "M\\U+00F6we \\U+00D8 \\U+00BD");
        assert_eq!(written(&"x".repeat(1000)).len(), 255);
    }
}
