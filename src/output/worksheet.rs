//! The worksheet for measuring a machine with shop means, filled in once.

use crate::drawing::{Area, Line as Stroke, Page, Picture, Text, Weight, at, font};
use crate::output::text::{pairs, paragraph};

/// Size of the pages, mm: as wide as A4 and as high as US letter, so that either paper holds them
/// at full size.
const PAPER: (f64, f64) = (210.0, 279.4);
/// Clear margin of the pages, mm.
const MARGIN: f64 = 14.0;
/// Height of the capitals, mm: legible at arm's length.
const LETTERS: f64 = 3.5;
/// Height of the capitals of headings, mm.
const HEADINGS: f64 = 5.0;
/// Distance of base lines over the height of the capitals.
const LEADING: f64 = 1.6;
/// Height of a line to write on, mm.
const WRITING: f64 = 10.0;

/// One thing to measure.
pub struct Line {
    /// What it is.
    pub what: &'static str,
    /// Keys of the machine profile it goes into.
    pub keys: &'static str,
    /// How to measure it.
    pub how: &'static str,
    /// How sure such a measurement is, plus or minus.
    pub sure: &'static str,
}

/// Title of the worksheet.
pub const TITLE: &str = "Measure your machine";

/// What stands above the table.
pub const INTRODUCTION: &str = "Do this once for each machine, unplugged wherever a hand goes under the head, and \
keep the sheet. Until a figure is measured the carrier sheets say MACHINE FIGURES NOT CONFIRMED. The distance from \
cutter to roller matters most: when it is wrong, blanks are spoilt. The machine's own manual comes first in all \
matters of safety.";

/// What to measure, and how. Common practice, no source.
pub const LINES: &[Line] = &[
    Line {
        what: "Longest and shortest board",
        keys: "length-min, length-max",
        how: "From the machine's manual, or the longest and shortest scrap that has run well.",
        sure: "1/8 in",
    },
    Line {
        what: "Widest and narrowest board",
        keys: "width-min, width-max",
        how: "From the manual, or by scrap as above; the widest one must still pass the far guide.",
        sure: "1/8 in",
    },
    Line {
        what: "Thickest and thinnest board",
        keys: "thickness-min, thickness-max",
        how: "From the manual, or by scrap: the thinnest one that the rollers still press.",
        sure: "1/8 in",
    },
    Line {
        what: "Cutter to roller, along the feed",
        keys: "cutter-to-roller",
        how: "Lay masking tape along a scrap. Chalk a roller and lower it, so that it prints a line; lower a pointed \
              bit until it pricks the tape. Measure from prick to line. Do it for both rollers and keep the larger.",
        sure: "1/32 in",
    },
    Line { what: "Roller radius", keys: "roller-radius", how: "Half the diameter by caliper.", sure: "1/64 in" },
    Line {
        what: "Reference strip under the fence edge",
        keys: "strip",
        how: "Chalk the sensor that feels the board's edge, or look where it touches. Feed a scrap 2 in and read the \
              stripe: the strip reaches from the fence edge to 1/2 in beyond it. Nil where there is no sensor.",
        sure: "1/16 in",
    },
    Line {
        what: "Cutter's travel across the bed",
        keys: "window-near, window-far",
        how: "Set a board against the fence. Move the cutter to either stop and measure from the fence to the bit's \
              centre.",
        sure: "1/32 in",
    },
    Line {
        what: "Deepest reach below the top plane",
        keys: "depth",
        how: "With a board under the rollers, lower the bit beside it as far as it goes and measure from the board's \
              top down to the tip.",
        sure: "1/32 in",
    },
    Line {
        what: "Bit below the holder, holder radius",
        keys: "stick-out, holder-radius",
        how: "Rule from the holder's face to the tip; half the holder's diameter by caliper.",
        sure: "1/64 in",
    },
    Line {
        what: "Far guide",
        keys: "guide-gap",
        how: "Sprung or fixed? For a fixed one, the feeler or paper that slides between board and guide.",
        sure: "0.005 in",
    },
    Line {
        what: "Length and height of the bed",
        keys: "bed-length",
        how: "Tape, over the part that carries the board. Write the height beside it: stands are set to it.",
        sure: "1/16 in",
    },
    Line {
        what: "Opening in the bed",
        keys: "bed-gap",
        how: "Rule, along the feed: the longest stretch under the cutter where nothing carries the board. A whole bed: 0.",
        sure: "1/16 in",
    },
];

/// What stands below the table.
pub const CLOSING: &str = "Then: sledwright machine profile --out ours.toml, fill it in, \
sledwright machine check ours.toml.";

/// The places to write the readings of a line, each with its key of the profile.
pub fn blanks(line: &Line) -> Vec<String> {
    line.keys.split(", ").map(|key| format!("{key} ____________")).collect()
}

/// The worksheet as text.
pub fn text() -> String {
    let mut text = format!("{TITLE}\n\n{}\n", paragraph(INTRODUCTION));
    text.push_str("Machine ____________________   Measured by ____________________   Date ____________\n");
    for (place, line) in LINES.iter().enumerate() {
        text.push_str(&format!("\n{}. {} (+/- {})\n", place + 1, line.what, line.sure));
        text.push_str(&pairs(&[(String::new(), line.how.to_owned()), (String::new(), blanks(line).join("     "))]));
    }
    format!("{text}\n{}", paragraph(CLOSING))
}

/// The worksheet as pages to print.
pub fn pages() -> Vec<Page> {
    let mut sheet = Sheet::new();
    sheet.lines(TITLE, HEADINGS, Weight::Bold, 0.0);
    sheet.lines(INTRODUCTION, LETTERS, Weight::Regular, 0.0);
    sheet.writing(&["Machine", "Measured by", "Date"]);
    for (place, line) in LINES.iter().enumerate() {
        let names: Vec<&str> = line.keys.split(", ").collect();
        sheet.keep(line);
        sheet.y -= GAP;
        sheet.lines(&format!("{}. {} (± {})", place + 1, line.what, line.sure), LETTERS, Weight::Bold, 0.0);
        sheet.lines(line.how, LETTERS, Weight::Regular, INDENT);
        sheet.writing(&names);
    }
    sheet.y -= 3.0;
    sheet.lines(CLOSING, LETTERS, Weight::Regular, 0.0);
    sheet.finish()
}

/// Indent of what belongs to a numbered heading, mm.
const INDENT: f64 = 7.0;

/// Gap before an entry, mm.
const GAP: f64 = 4.0;

/// Pages filled from the top down.
struct Sheet {
    y: f64,
    full: Vec<Picture>,
    picture: Picture,
}

impl Sheet {
    fn new() -> Sheet {
        Sheet { y: PAPER.1 - MARGIN, full: Vec::new(), picture: Picture::default() }
    }

    fn room() -> f64 {
        PAPER.0 - 2.0 * MARGIN
    }

    /// Begins a new page unless the whole entry fits on this one.
    fn keep(&mut self, line: &Line) {
        let lines = font::wrap(line.how, LETTERS, Weight::Regular, Sheet::room() - INDENT).len() + 1;
        let height = GAP + lines as f64 * LETTERS * LEADING + WRITING;
        if self.y - height < MARGIN {
            self.full.push(std::mem::take(&mut self.picture));
            self.y = PAPER.1 - MARGIN;
            self.lines(&format!("{TITLE}, continued"), HEADINGS, Weight::Bold, 0.0);
        }
    }

    /// A paragraph.
    fn lines(&mut self, text: &str, height: f64, weight: Weight, indent: f64) {
        for line in font::wrap(text, height, weight, Sheet::room() - indent) {
            self.y -= height * LEADING;
            let text = Text::new(at(MARGIN + indent, self.y), height, &line);
            self.picture.text(Text { weight, ..text });
        }
    }

    /// Names, each with a line to write on, side by side.
    fn writing(&mut self, names: &[&str]) {
        self.y -= WRITING;
        let share = (Sheet::room() - INDENT) / names.len().max(1) as f64;
        for (place, name) in names.iter().enumerate() {
            let left = MARGIN + INDENT + place as f64 * share;
            let text = Text::new(at(left, self.y), LETTERS, name);
            let from = left + text.width() + 2.0;
            self.picture.text(text);
            self.picture.line(Stroke::Thin, &[at(from, self.y - 1.0), at(left + share - 4.0, self.y - 1.0)]);
        }
    }

    fn finish(mut self) -> Vec<Page> {
        self.full.push(self.picture);
        let (width, height) = PAPER;
        let frame = Area::new(MARGIN, MARGIN, width - MARGIN, height - MARGIN);
        self.full
            .into_iter()
            .map(|picture| Page { title: TITLE.to_owned(), width, height, frame, margin: Picture::default(), picture })
            .collect()
    }
}
