//! Sheets as one PDF, the same bytes for the same sheets.
//!
//! The library writes the pages; what it leaves out or takes from a process counter is mended
//! afterwards: version, page boxes, `/ID`, document information, and the wish not to be scaled.

use std::fmt;

use lopdf::{Dictionary, Object, StringFormat, dictionary};
use printpdf::{
    Color, DictItem, FontId, Greyscale, LineCapStyle, LineDashPattern, LineJoinStyle, LinePoint, Mm, Op, PaintMode,
    ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, Polygon, PolygonRing, Pt, TextItem,
    TextMatrix, WindingOrder,
};

use crate::drawing::{At, Ink, Item, Line, Page, Text, Weight, at, figure, font, hatch_lines};

/// Points in one millimetre.
const POINTS: f64 = 72.0 / 25.4;
/// Distance of the handles of a quarter circle from its ends, over the radius: 4/3 (sqrt 2 - 1).
const HANDLE: f64 = 0.552_284_749_8;

/// Document information.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meta {
    /// Title shown by viewers.
    pub title: String,
    /// Language of the text as a BCP 47 tag, such as `en`.
    pub language: String,
    /// When it was made, seconds since the start of 1970 in universal time; no date is written where
    /// none is given.
    pub created: Option<u64>,
}

/// Why a file could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OutputError {
    /// The embedded font could not be read.
    Font,
    /// The finished document could not be put together.
    Document(String),
}

impl fmt::Display for OutputError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            OutputError::Font => write!(f, "the embedded font cannot be read"),
            OutputError::Document(what) => write!(f, "the PDF cannot be put together: {what}"),
        }
    }
}

impl std::error::Error for OutputError {}

/// Writes sheets as one PDF.
///
/// # Errors
/// Only when the embedded font or the document library fails; no sheet causes it.
pub fn render(pages: &[Page], meta: &Meta) -> Result<Vec<u8>, OutputError> {
    let mut document = PdfDocument::new(&meta.title);
    for (weight, bytes) in [(Weight::Regular, font::REGULAR), (Weight::Bold, font::BOLD)] {
        let parsed = ParsedFont::from_bytes(bytes, 0, &mut Vec::new()).ok_or(OutputError::Font)?;
        // The library would name fonts from a process counter.
        document.resources.fonts.map.insert(font_id(weight), PdfFont::new(parsed));
    }
    let sheets = pages.iter().map(|page| PdfPage::new(mm(page.width), mm(page.height), operations(page))).collect();
    document.with_pages(sheets);
    let options = PdfSaveOptions { optimize: false, subset_fonts: false, secure: true, ..PdfSaveOptions::default() };
    let mut finished = document.to_lopdf_document(&options, &mut Vec::new());
    mend(&mut finished, pages, meta).map_err(|error| OutputError::Document(error.to_string()))?;
    finished.compress();
    let mut bytes = Vec::new();
    finished.save_to(&mut bytes).map_err(|error| OutputError::Document(error.to_string()))?;
    Ok(bytes)
}

fn mend(document: &mut lopdf::Document, pages: &[Page], meta: &Meta) -> Result<(), lopdf::Error> {
    document.version = "1.7".to_owned();
    name_fonts(document);
    let ids: Vec<lopdf::ObjectId> = document.page_iter().collect();
    let outline = bookmarks(document, &ids, pages);
    let mut digest = Digest::new();
    digest.feed(meta.title.as_bytes());
    for (id, page) in ids.into_iter().zip(pages) {
        let content = document.get_page_content(id);
        digest.feed(&content);
        let size = |mm: f64| Object::Real((mm * POINTS) as f32);
        let corners = vec![Object::Integer(0), Object::Integer(0), size(page.width), size(page.height)];
        let dictionary = document.get_dictionary_mut(id)?;
        for name in ["MediaBox", "CropBox", "TrimBox"] {
            dictionary.set(name, Object::Array(corners.clone()));
        }
        dictionary.remove(b"Annots");
    }
    // Paper has a scale: printers must not fit the sheet to the page.
    let catalog = document.catalog_mut()?;
    catalog.set("ViewerPreferences", dictionary! { "PrintScaling" => "None", "DisplayDocTitle" => true });
    catalog.set("Outlines", Object::Reference(outline));
    catalog.set("Lang", utf16(&meta.language));
    let mut information = Dictionary::new();
    information.set("Title", utf16(&meta.title));
    information.set("Creator", utf16("Sledwright"));
    information.set("Producer", utf16(concat!("Sledwright ", env!("CARGO_PKG_VERSION"))));
    if let Some(seconds) = meta.created {
        for name in ["CreationDate", "ModDate"] {
            information.set(name, Object::string_literal(date(seconds)));
        }
    }
    let information = document.add_object(information);
    document.trailer.set("Info", Object::Reference(information));
    document.prune_objects();
    let id = Object::String(digest.bytes(), StringFormat::Hexadecimal);
    document.trailer.set("ID", Object::Array(vec![id.clone(), id]));
    Ok(())
}

/// The names of the faces, each with a tag before it that says it is a part of the whole font
/// (ISO 32000-1, 9.6.4); the library names them as we called them.
fn name_fonts(document: &mut lopdf::Document) {
    document.objects.values_mut().for_each(name_font);
}

/// The same in an object and what it holds: the library writes some dictionaries within others.
fn name_font(object: &mut Object) {
    match object {
        Object::Array(held) => held.iter_mut().for_each(name_font),
        Object::Dictionary(dictionary) => {
            dictionary.iter_mut().for_each(|(_, held)| name_font(held));
            for key in ["BaseFont", "FontName"] {
                let (name, weight) = match dictionary.get(key.as_bytes()).and_then(Object::as_name) {
                    Ok(b"Regular") => ("SLEDRG+DejaVuSans", Weight::Regular),
                    Ok(b"Bold") => ("SLEDBD+DejaVuSans-Bold", Weight::Bold),
                    _ => continue,
                };
                dictionary.set(key, Object::Name(name.as_bytes().to_vec()));
                if let Ok(Object::Array(widths)) = dictionary.get_mut(b"W") {
                    exact(widths, weight);
                }
            }
        }
        _ => {}
    }
}

/// Widths of glyphs as the layout counts them: the library cuts them down to whole thousandths, and a line
/// of a hundred letters would end a quarter of a millimetre early. The list is first glyph, widths from it
/// on, and so forth (ISO 32000-1, 9.7.4.3).
fn exact(list: &mut [Object], weight: Weight) {
    for pair in list.chunks_exact_mut(2) {
        let [Object::Integer(first), Object::Array(widths)] = pair else { continue };
        for (glyph, width) in (*first..).zip(widths) {
            if let Some(advance) = u16::try_from(glyph).ok().and_then(|glyph| font::advance(glyph, weight)) {
                *width = Object::Real((advance * 1000.0) as f32);
            }
        }
    }
}

/// One bookmark a page, under its title (ISO 32000-1, 12.3.3).
fn bookmarks(document: &mut lopdf::Document, ids: &[lopdf::ObjectId], pages: &[Page]) -> lopdf::ObjectId {
    let root = document.new_object_id();
    let marks: Vec<lopdf::ObjectId> = ids.iter().zip(pages).map(|_| document.new_object_id()).collect();
    for (place, ((id, page), mark)) in ids.iter().zip(pages).zip(&marks).enumerate() {
        let mut item = dictionary! {
            "Title" => utf16(&page.title),
            "Parent" => Object::Reference(root),
            "Dest" => vec![Object::Reference(*id), "Fit".into()],
        };
        let neighbours = [("Prev", place.checked_sub(1)), ("Next", place.checked_add(1))];
        for (name, neighbour) in neighbours {
            if let Some(neighbour) = neighbour.and_then(|place| marks.get(place)) {
                item.set(name, Object::Reference(*neighbour));
            }
        }
        document.set_object(*mark, item);
    }
    let mut outline = dictionary! { "Type" => "Outlines" };
    if let (Some(first), Some(last)) = (marks.first(), marks.last()) {
        outline.set("First", Object::Reference(*first));
        outline.set("Last", Object::Reference(*last));
        outline.set("Count", i64::try_from(marks.len()).unwrap_or(0));
    }
    document.set_object(root, outline);
    root
}

/// A date of a PDF (ISO 32000-1, 7.9.4) in universal time. Years beyond 9999 have none: the last
/// second of 9999 stands for them.
fn date(seconds: u64) -> String {
    const DAY: u64 = 86_400;
    let seconds = seconds.min(253_402_300_799);
    let (day, rest) = (seconds / DAY, seconds % DAY);
    // Years are counted from March, so that the day a leap year adds is the last of its year.
    let day = day + 719_468;
    let (era, of_era) = (day / 146_097, day % 146_097);
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let month = (5 * of_year + 2) / 153;
    let of_month = of_year - (153 * month + 2) / 5 + 1;
    let (year, month) = (year + 400 * era, if month < 10 { month + 3 } else { month - 9 });
    let year = if month <= 2 { year + 1 } else { year };
    format!("D:{year:04}{month:02}{of_month:02}{:02}{:02}{:02}Z", rest / 3600, rest / 60 % 60, rest % 60)
}

/// A text string of a PDF, in UTF-16 with its byte order mark.
fn utf16(text: &str) -> Object {
    let bytes = std::iter::once(0xfeff).chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect();
    Object::String(bytes, StringFormat::Hexadecimal)
}

/// Two 64-bit FNV-1a hashes with different starts: enough to tell one file from another, which is all
/// `/ID` is for.
struct Digest([u64; 2]);

impl Digest {
    fn new() -> Digest {
        Digest([0xcbf2_9ce4_8422_2325, 0x8422_2325_cbf2_9ce4])
    }

    fn feed(&mut self, bytes: &[u8]) {
        for half in &mut self.0 {
            for byte in bytes {
                *half = (*half ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
            }
        }
    }

    fn bytes(&self) -> Vec<u8> {
        self.0.iter().flat_map(|half| half.to_be_bytes()).collect()
    }
}

fn font_id(weight: Weight) -> FontId {
    FontId(match weight {
        Weight::Regular => "Regular".to_owned(),
        Weight::Bold => "Bold".to_owned(),
    })
}

fn mm(mm: f64) -> Mm {
    Mm(mm as f32)
}

/// Millimetres to points, to a thousandth of a point: no drawing needs more, and files stay small.
fn pt(mm: f64) -> Pt {
    Pt((libm::rint(mm * POINTS * 1000.0) / 1000.0) as f32)
}

fn point(p: At) -> printpdf::Point {
    printpdf::Point { x: pt(p.x), y: pt(p.y) }
}

fn corner(p: At) -> LinePoint {
    LinePoint { p: point(p), bezier: false }
}

fn operations(page: &Page) -> Vec<Op> {
    let black = || Color::Greyscale(Greyscale::new(0.0, None));
    let mut pen = Pen { operations: Vec::new(), line: None, ink: None };
    pen.operations.extend([
        Op::SetOutlineColor { col: black() },
        Op::SetLineCapStyle { cap: LineCapStyle::Butt },
        Op::SetLineJoinStyle { join: LineJoinStyle::Miter },
    ]);
    for item in page.items() {
        pen.draw(item);
    }
    pen.operations
}

/// Writes operations, setting line and colour only where they change.
struct Pen {
    operations: Vec<Op>,
    line: Option<Line>,
    ink: Option<Ink>,
}

impl Pen {
    fn draw(&mut self, item: &Item) {
        match item {
            Item::Path { points, closed, line } => {
                self.set_line(*line);
                let line = printpdf::Line { points: points.iter().map(|p| corner(*p)).collect(), is_closed: *closed };
                self.operations.push(Op::DrawLine { line });
            }
            Item::Circle { centre, radius, line } => {
                self.set_line(*line);
                let line = printpdf::Line { points: circle(*centre, *radius), is_closed: true };
                self.operations.push(Op::DrawLine { line });
            }
            Item::Solid { points, ink } => {
                self.set_ink(*ink);
                let ring = PolygonRing { points: points.iter().map(|p| corner(*p)).collect() };
                self.polygon(vec![ring], PaintMode::Fill);
            }
            Item::Hatched { rings, hatch } => {
                let lines = hatch_lines(rings, *hatch);
                if !lines.is_empty() {
                    self.set_line(Line::Hatch);
                    let rings =
                        lines.iter().map(|(a, b)| PolygonRing { points: vec![corner(*a), corner(*b)] }).collect();
                    self.polygon(rings, PaintMode::Stroke);
                }
            }
            Item::Text(text) => self.text(text),
        }
    }

    fn polygon(&mut self, rings: Vec<PolygonRing>, mode: PaintMode) {
        let polygon = Polygon { rings, mode, winding_order: WindingOrder::NonZero };
        self.operations.push(Op::DrawPolygon { polygon });
    }

    fn set_line(&mut self, line: Line) {
        if self.line == Some(line) {
            return;
        }
        self.line = Some(line);
        let dashes: Vec<f32> = line.dashes().iter().map(|dash| pt(*dash).0).collect();
        self.operations.push(Op::SetOutlineThickness { pt: pt(line.width()) });
        self.operations.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, &dashes) });
    }

    fn set_ink(&mut self, ink: Ink) {
        if self.ink == Some(ink) {
            return;
        }
        self.ink = Some(ink);
        let grey = if ink == Ink::Black { 0.0 } else { 1.0 };
        self.operations.push(Op::SetFillColor { col: Color::Greyscale(Greyscale::new(grey, None)) });
    }

    fn text(&mut self, text: &Text) {
        self.set_ink(Ink::Black);
        let start = text.start();
        // A place along and above the base line, on the page.
        let on = |along: f64, above: f64| {
            if text.upwards { at(start.x - above, start.y + along) } else { at(start.x + along, start.y + above) }
        };
        if !text.stacked {
            return self.show(text, on(0.0, 0.0), text.height, &text.text);
        }
        let set = figure::set(text);
        // Searched, copied and read aloud as one text, whatever its pieces are.
        let spoken = std::iter::once(0xfeff).chain(text.text.encode_utf16()).flat_map(u16::to_be_bytes).collect();
        let map = [("ActualText".to_owned(), DictItem::String { data: spoken, literal: false })].into();
        self.operations
            .push(Op::BeginMarkedContentWithProperties { tag: "Span".to_owned(), properties: DictItem::Dict { map } });
        for run in set.runs.iter().filter(|run| run.shown) {
            self.show(text, on(run.x, run.y), run.height, &run.text);
        }
        self.operations.push(Op::EndMarkedContent);
        for (from, to, high) in set.bars {
            self.set_line(Line::Bar);
            let rings = vec![PolygonRing { points: vec![corner(on(from, high)), corner(on(to, high))] }];
            self.polygon(rings, PaintMode::Stroke);
        }
    }

    fn show(&mut self, text: &Text, place: At, height: f64, words: &str) {
        let (x, y) = (pt(place.x).0, pt(place.y).0);
        let matrix = if text.upwards { [0.0, 1.0, -1.0, 0.0, x, y] } else { [1.0, 0.0, 0.0, 1.0, x, y] };
        self.operations.extend([
            Op::StartTextSection,
            Op::SetFont { font: PdfFontHandle::External(font_id(text.weight)), size: pt(font::size(height)) },
            Op::SetTextMatrix { matrix: TextMatrix::Raw(matrix) },
            Op::ShowText { items: vec![TextItem::Text(words.to_owned())] },
            Op::EndTextSection,
        ]);
    }
}

/// A circle as four cubic curves (off by at most 0.03 % of the radius).
fn circle(centre: At, radius: f64) -> Vec<LinePoint> {
    let on = |x: f64, y: f64| at(centre.x + radius * x, centre.y + radius * y);
    let quarter = |cx: f64, cy: f64| {
        // From (cx, cy) a quarter turn counter-clockwise to (-cy, cx).
        [
            LinePoint { p: point(on(cx - HANDLE * cy, cy + HANDLE * cx)), bezier: true },
            LinePoint { p: point(on(-cy + HANDLE * cx, cx + HANDLE * cy)), bezier: true },
            corner(on(-cy, cx)),
        ]
    };
    let start = corner(on(1.0, 0.0));
    let quarters = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
    std::iter::once(start).chain(quarters.into_iter().flat_map(|(x, y)| quarter(x, y))).collect()
}
