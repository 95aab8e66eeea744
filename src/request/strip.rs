//! Parts too small to be held one by one: carved side by side in one strip, sawn apart afterwards.
//!
//! The strip is the blank from then on; every construction carries it as it would any other.

use super::{Blank, Carve, Hold, Moves, Request, Shape, Through};
use crate::geometry::{Point, Rect};
use crate::job::Job;
use crate::length::{Length, Measured};
use crate::library::reader::Reader;

/// A power saw wants this at both ends of the strip to be held by. Common practice, no source.
const HAND_HOLD: Length = Length::inches(6, 1);
/// Wood between two parts beside a cutter that passes between them. Common practice, no source.
const BESIDE_CUTTER: Length = Length::inches(1, 8);
/// Least ratio of bond strength to cutter force. Engineering judgement.
const HOLD_FACTOR: f64 = 3.0;
const SQUARE_INCH: f64 = 645.16;
/// A longer strip of small section bends under the rollers: several are made. Judgement.
const LONGEST: Length = Length::inches(24, 1);

/// How the parts are got out of the strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutApart {
    /// With a fine hand saw on a bench hook.
    HandSaw,
    /// With a mitre saw or band saw, the strip held by its ends.
    PowerSaw,
}

impl CutApart {
    /// Name in job files.
    pub fn id(self) -> &'static str {
        match self {
            CutApart::HandSaw => "hand-saw",
            CutApart::PowerSaw => "power-saw",
        }
    }
}

/// Parts in a row along a strip of their thickness.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Strip {
    /// Nominal length of one part, along the strip.
    pub length: Length,
    /// Nominal width of one part.
    pub width: Length,
    /// Parts in each strip.
    pub each: usize,
    /// Parts wanted in all.
    pub wanted: usize,
    /// Wood between two parts.
    pub web: Length,
    /// Wood before the first part and after the last.
    pub end: Length,
    /// Wood beside the parts, at the fence side and at the far side.
    pub side: Length,
    /// Where one part is carved, from its own lead fence corner.
    pub carve: Rect,
    /// How they are got out.
    pub cut_apart: CutApart,
}

impl Strip {
    /// From one part to the next.
    pub fn pitch(&self) -> Length {
        self.length + self.web
    }

    /// Length of the strip.
    pub fn total(&self) -> Length {
        self.end * 2 + times(self.pitch(), self.each) - self.web
    }

    /// Width of the strip.
    pub fn across(&self) -> Length {
        self.width + self.side * 2
    }

    /// The parts, from the strip's lead fence corner; the first is nearest to the lead end.
    pub fn parts(&self) -> Vec<Rect> {
        let part =
            |place: usize| Rect::sized(self.end + times(self.pitch(), place), self.side, self.length, self.width);
        (0..self.each).map(part).collect()
    }

    /// Lines along which the strip is sawn apart: in the middle of each web, and between the parts and
    /// the ends; from side to side.
    pub fn cuts(&self) -> Vec<[Point; 2]> {
        let half = self.web.half();
        let first = self.end - half.min(self.end.half());
        let last = self.total() - first;
        let between = (1..self.each).map(|place| self.end + times(self.pitch(), place) - half);
        let lines = std::iter::once(first).chain(between).chain([last]);
        lines.map(|x| [Point::new(x, Length::ZERO), Point::new(x, self.across())]).collect()
    }
}

fn times(length: Length, count: usize) -> Length {
    length * i64::try_from(count).unwrap_or(i64::from(u16::MAX))
}

/// Lays a job's blanks into strips where it asks for that; what stands against it is reported.
pub(super) fn laid_out(reader: &mut Reader<'_>, job: &Job, request: Request) -> Request {
    let table = &job.blank;
    let stated = match table.text("cut-apart") {
        Some("power-saw") => Some(CutApart::PowerSaw),
        Some(_) => Some(CutApart::HandSaw),
        None => None,
    };
    if table.flag("from-strip") != Some(true) {
        if stated.is_some() {
            let help = "add `from-strip = true`, or leave it out";
            reader.error(table.span_of("cut-apart"), "`cut-apart` is for parts carved in a strip", help);
        }
        return request;
    }
    let span = table.span_of("from-strip");
    let against = [
        (
            request.blank.shape != Shape::Rectangle,
            "the parts are no rectangles",
            "only rectangles are laid into a strip",
        ),
        (request.blank.warp.is_some(), "the strip is not flat", "plane it flat first, and leave the warp out"),
        (request.blank.slope.is_some(), "the strip tapers in thickness", "plane it parallel first"),
        (request.blank.second_side.is_some(), "a carved face lies down", "carve both faces in the strip as two jobs"),
    ];
    if let Some((_, message, help)) = against.iter().find(|row| row.0) {
        reader.error(span, format!("`from-strip` does not suit: {message}"), *help);
        return request;
    }
    if request.carve.through == Through::AllRound {
        let help = "set `through = \"no\"` and a `depth`: the parts stay joined by the strip until they are sawn apart";
        reader.error(job.carve.span_of("through"), "parts cut free all round fall out of their strip", help);
        return request;
    }
    let cut_apart = stated.unwrap_or(CutApart::HandSaw);
    let mut laid = request.in_strip(cut_apart).unwrap_or(request);
    if stated.is_none() {
        let source = "safest for small parts; common practice, no source".to_owned();
        laid.assumptions.push(super::Assumption {
            key: "blank.cut-apart".to_owned(),
            value: cut_apart.id().to_owned(),
            source,
        });
    }
    laid
}

impl Request {
    /// The request with its blanks laid side by side into one strip or several; `None` where they are no
    /// plain rectangles.
    pub fn in_strip(&self, cut_apart: CutApart) -> Option<Request> {
        let blank = &self.blank;
        let plain = blank.shape == Shape::Rectangle && blank.strip.is_none();
        if !plain || blank.warp.is_some() || blank.slope.is_some() || blank.second_side.is_some() {
            return None;
        }
        let strip = self.strip(cut_apart);
        let strips = strip.wanted.div_ceil(strip.each.max(1));
        let mut request = self.clone();
        let unsure = |measured: &Measured| measured.uncertainty.unwrap_or_default();
        let (length, width) = (strip.total(), strip.across());
        let grown = |growth: Length, from: Length, to: Length| {
            Length::from_mm(growth.to_mm() * (to / from).max(1.0)).unwrap_or(growth)
        };
        request.blank = Blank {
            growth_length: grown(blank.growth_length, strip.length, length),
            growth_width: grown(blank.growth_width, strip.width, width),
            moves: Moves {
                length: grown(blank.moves.length, strip.length, length),
                width: grown(blank.moves.width, strip.width, width),
                ..blank.moves
            },
            length: Measured::exact(length, unsure(&blank.length), self.units),
            width: Measured::exact(width, unsure(&blank.width), self.units),
            count: u32::try_from(strips).unwrap_or(u32::MAX),
            corner_radius: Length::ZERO,
            ..blank.clone()
        };
        let (own, area) = (&self.carve, strip.carve);
        let (far_end, far_side) = (strip.length - area.x1, strip.width - area.y1);
        request.carve = Carve {
            length: length - strip.end * 2 - area.x0 - far_end,
            width: area.width(),
            margin_lead: strip.end + area.x0,
            margin_trail: strip.end + far_end,
            margin_fence: strip.side + area.y0,
            margin_far: strip.side + far_side,
            stated: true,
            through: if own.through == Through::AllRound { Through::No } else { own.through },
            ..own.clone()
        };
        if self.machine.takes_whole_face() {
            request.carve = Carve { length, width, ..own.clone() };
        }
        request.blank.strip = Some(strip);
        Some(request)
    }

    /// Sizes the strip: webs for saw and cutter, sides for the hold each part needs.
    fn strip(&self, cut_apart: CutApart) -> Strip {
        let (blank, carve, shop, step) = (&self.blank, &self.carve, &self.shop, self.step());
        let (length, width) = (blank.length.nominal, blank.width.nominal);
        let reach = carve.cutter.half_up() + carve.overrun;
        let margins = [carve.margin_lead, carve.margin_trail, carve.margin_fence, carve.margin_far];
        // Stated well inside the part, the cutter stays on it; otherwise it passes between the parts.
        let inside = carve.stated && margins.iter().all(|margin| *margin >= reach);
        let saw = shop.kerf + shop.tolerance * 2;
        let least = if inside { saw } else { saw.max(carve.cutter + BESIDE_CUTTER).max(carve.overrun + BESIDE_CUTTER) };
        // Parts stand a whole number of marks apart.
        let pitch = (length + least).up(step);
        let (web, around) = (pitch - length, least.up(step));
        let end = match cut_apart {
            CutApart::HandSaw => around,
            CutApart::PowerSaw => around.max(HAND_HOLD.up(step)),
        };
        let needed = HOLD_FACTOR * shop.estimates.lift_force_lbf
            / shop.estimates.bond_psi(self.hold.unwrap_or(Hold::Tape)).0
            * SQUARE_INCH;
        let wide = Length::from_mm(needed / pitch.to_mm()).unwrap_or(width);
        let beside = if inside { Length::ZERO } else { around };
        let side = beside.max((wide - width).or_zero().half_up().up(step));
        let ends = (self.machine.cutter_to_roller + self.machine.grip_wanted + Length::INCH) * 2;
        let longest = LONGEST.min(self.machine.length.max - self.machine.length_guard - ends);
        let room = (longest - around * 2 + web).ticks() / pitch.ticks().max(1);
        let wanted = usize::try_from(blank.count).unwrap_or(1).max(1);
        let most = usize::try_from(room).unwrap_or(1).max(1);
        let each = wanted.div_ceil(wanted.div_ceil(most));
        let area = Rect::sized(carve.margin_lead, carve.margin_fence, carve.length, carve.width);
        Strip { length, width, each, wanted, web, end, side, carve: area, cut_apart }
    }
}
