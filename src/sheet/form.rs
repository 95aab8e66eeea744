//! A blank form: paper, drawing frame, zones, centring marks, and what of it is left for content.

use crate::drawing::{Align, Area, Line, Picture, Text, at};
use crate::request::{Paper, SheetStyle};
use crate::views::SMALL;

/// Filing margin at the left of paper of the A series, mm (ISO 5457).
const FILING: f64 = 20.0;
/// Margin at its other sides, mm (ISO 5457).
const MARGIN: f64 = 10.0;
/// Width of the band of the zone marks outside the frame, mm (ISO 5457).
const BAND: f64 = 5.0;
/// Clear distance of content from the frame, mm.
const INSET: f64 = 3.0;
/// Width of a title block where the sheet is wider, mm (ISO 7200).
const BLOCK: f64 = 180.0;
/// Beside a title block something of this width should have room, mm.
const COLUMN: f64 = 100.0;

/// Which way a sheet lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lie {
    /// Long side level.
    Landscape,
    /// Long side upright.
    Portrait,
}

/// A blank form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Form {
    paper: Paper,
    lie: Lie,
}

impl Form {
    /// The form of a sheet that lies so.
    pub fn new(style: &SheetStyle, lie: Lie) -> Form {
        Form { paper: style.paper, lie }
    }

    /// The ways paper may lie: what an office printer takes either way, larger paper level only.
    pub fn lies(style: &SheetStyle) -> &'static [Lie] {
        if style.paper.is_small() { &[Lie::Portrait, Lie::Landscape] } else { &[Lie::Landscape] }
    }

    /// The form of a sheet of text.
    pub fn of_text(style: &SheetStyle) -> Form {
        Form::new(style, Form::lies(style).first().copied().unwrap_or(Lie::Landscape))
    }

    /// Width and height of the paper, mm.
    pub fn size(&self) -> (f64, f64) {
        let (short, long) = self.paper.sides();
        match self.lie {
            Lie::Landscape => (long, short),
            Lie::Portrait => (short, long),
        }
    }

    /// Level and upright margin of inch paper lying level, mm (ASME Y14.1, from memory: 0.38, 0.5, 0.62,
    /// 0.75 and 1 in; size A has 0.38 all round instead of 0.25 in at two sides, which few printers print).
    fn inch_margins(&self) -> (f64, f64) {
        const IN: f64 = 25.4;
        match self.paper {
            Paper::P11x17 => (0.38 * IN, 0.62 * IN),
            Paper::P17x22 => (0.75 * IN, 0.5 * IN),
            Paper::P22x34 => (0.5 * IN, IN),
            Paper::P34x44 => (IN, 0.5 * IN),
            _ => (0.38 * IN, 0.38 * IN),
        }
    }

    /// The drawing frame.
    pub fn frame(&self) -> Area {
        let (width, height) = self.size();
        if self.paper.is_metric() {
            return Area::new(FILING, MARGIN, width - MARGIN, height - MARGIN);
        }
        let (across, up) = self.inch_margins();
        Area::new(across, up, width - across, height - up)
    }

    /// The title block, this high, in the lower right corner of the frame.
    pub fn block(&self, height: f64) -> Area {
        let frame = self.frame();
        // A strip beside it narrower than a column would be of no use: rather a lower block.
        let width = if frame.width() - BLOCK < COLUMN { frame.width() } else { BLOCK };
        Area::new(frame.x1 - width, frame.y0, frame.x1, frame.y0 + height)
    }

    /// What is left for content round a title block this high: the whole width above it, and the whole
    /// height beside it where there is room.
    pub fn free(&self, block: f64) -> Vec<Area> {
        let (inner, block) = (self.frame().grown(-INSET), self.block(block));
        let above = Area { y0: block.y1 + INSET, ..inner };
        let beside = Area { x1: block.x0 - INSET, ..inner };
        [above, beside].into_iter().filter(|area| area.width() > 50.0).collect()
    }

    /// Zones along the paper's level and upright side.
    fn zones(&self) -> (usize, usize) {
        // ISO 5457, Table 2; ASME Y14.1, from memory.
        let (long, short) = match self.paper {
            Paper::A4 => (6, 4),
            Paper::A3 => (8, 6),
            Paper::A2 => (12, 8),
            Paper::A1 => (16, 12),
            Paper::A0 => (24, 16),
            Paper::Letter => (2, 2),
            Paper::P11x17 => (4, 2),
            Paper::P17x22 => (4, 4),
            Paper::P22x34 => (8, 4),
            Paper::P34x44 => (8, 8),
        };
        match self.lie {
            Lie::Landscape => (long, short),
            Lie::Portrait => (short, long),
        }
    }

    /// Where zones end along a side: 50 mm fields counted outward from the middle of paper of the A
    /// series, equal fields of inch paper.
    fn fields(&self, count: usize, side: f64, (from, to): (f64, f64)) -> Vec<f64> {
        let half = (count / 2) as f64;
        let pitch = if self.paper.is_metric() { 50.0 } else { side / count as f64 };
        let mut ends: Vec<f64> = (1..count).map(|place| side / 2.0 + (place as f64 - half) * pitch).collect();
        ends.insert(0, from);
        ends.push(to);
        ends
    }

    /// Frame, zones and centring marks. All but the frame lies outside it.
    pub fn marks(&self) -> Picture {
        let mut picture = Picture::default();
        let ((width, height), frame) = (self.size(), self.frame());
        picture.frame(Line::Outline, frame);
        let outer = frame.grown(BAND);
        // Centring marks, from the band to the frame: beyond it they would stand in the text.
        for (from, to) in [
            (at(width / 2.0, outer.y1), at(width / 2.0, frame.y1)),
            (at(width / 2.0, outer.y0), at(width / 2.0, frame.y0)),
            (at(outer.x0, height / 2.0), at(frame.x0, height / 2.0)),
            (at(outer.x1, height / 2.0), at(frame.x1, height / 2.0)),
        ] {
            picture.line(Line::Outline, &[from, to]);
        }
        let metric = self.paper.is_metric();
        let (across, up) = self.zones();
        // A4 has zones at the top and at the right only (ISO 5457); the filing margin is kept clear.
        let both = self.paper != Paper::A4;
        let place = |middle: f64| middle - SMALL / 2.0;
        let columns = self.fields(across, width, (frame.x0, frame.x1));
        for (number, pair) in columns.windows(2).enumerate() {
            let [from, to] = pair else { continue };
            // Figures run from the left (ISO) or from the right (ASME).
            let name = (if metric { number + 1 } else { across - number }).to_string();
            for (inside, outside) in
                [(frame.y1, outer.y1), (frame.y0, outer.y0)].into_iter().take(1 + usize::from(both))
            {
                let text = Text::new(at((from + to) / 2.0, place((inside + outside) / 2.0)), SMALL, &name);
                picture.text(text.align(Align::Middle));
                if number > 0 && (from - width / 2.0).abs() > 0.1 {
                    picture.line(Line::Thin, &[at(*from, inside), at(*from, outside)]);
                }
            }
        }
        let rows = self.fields(up, height, (frame.y0, frame.y1));
        for (number, pair) in rows.windows(2).enumerate() {
            let [from, to] = pair else { continue };
            // Letters run from the top (ISO) or from the bottom (ASME), without I and O.
            let letter = if metric { up - 1 - number } else { number };
            let name = "ABCDEFGHJKLMNPQRSTUVWXYZ".get(letter..=letter).unwrap_or("");
            for (inside, outside) in
                [(frame.x1, outer.x1), (frame.x0, outer.x0)].into_iter().take(1 + usize::from(both))
            {
                let text = Text::new(at((inside + outside) / 2.0, place((from + to) / 2.0)), SMALL, name);
                picture.text(text.align(Align::Middle));
                if number > 0 && (from - height / 2.0).abs() > 0.1 {
                    picture.line(Line::Thin, &[at(inside, *from), at(outside, *from)]);
                }
            }
        }
        picture
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::length::Unit;

    fn form(paper: Paper, lie: Lie) -> Form {
        Form::new(&SheetStyle { paper, ..SheetStyle::usual(Unit::Inch) }, lie)
    }

    #[test]
    fn frames_of_the_a_series_are_those_of_iso_5457() {
        // The drawing spaces printed there: A4 180 x 277 upright, A3 390 x 277, A2 564 x 400, A1 811 x 574,
        // A0 1159 x 821.
        for (paper, lie, width, height) in [
            (Paper::A4, Lie::Portrait, 180.0, 277.0),
            (Paper::A3, Lie::Landscape, 390.0, 277.0),
            (Paper::A2, Lie::Landscape, 564.0, 400.0),
            (Paper::A1, Lie::Landscape, 811.0, 574.0),
            (Paper::A0, Lie::Landscape, 1159.0, 821.0),
        ] {
            let frame = form(paper, lie).frame();
            assert_eq!((frame.width(), frame.height()), (width, height), "{paper:?}");
        }
    }

    #[test]
    fn zone_ends_are_fifty_apart_and_corner_fields_take_the_rest() {
        // A3: the frame from 20 to 410, the middle at 210: ends at 60, 110, 160, 210, 260, 310, 360.
        let ends = form(Paper::A3, Lie::Landscape).fields(8, 420.0, (20.0, 410.0));
        assert_eq!(ends, [20.0, 60.0, 110.0, 160.0, 210.0, 260.0, 310.0, 360.0, 410.0]);
    }

    #[test]
    fn everything_but_the_frame_lies_outside_it_and_on_the_paper() {
        // The room kept for descenders, which figures and capitals do not have, may reach over it.
        for (_, paper) in [("", Paper::A4), ("", Paper::A0), ("", Paper::Letter), ("", Paper::P22x34)] {
            let form = form(paper, Lie::Landscape);
            let (frame, (width, height)) = (form.frame(), form.size());
            for item in form.marks().items.iter().skip(1) {
                let area = item.area();
                assert!(!frame.grown(-0.5).meets(&area), "{paper:?} {item:?}");
                assert!(Area::new(3.0, 3.0, width - 3.0, height - 3.0).holds(&area), "{paper:?} {item:?}");
            }
        }
    }
}
