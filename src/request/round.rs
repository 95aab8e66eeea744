//! Blanks that are round in section: rods, half-rounds and tapered spindles.

use super::build::{Builder, PRACTICE};
use super::{Blank, Carve, Shape};
use crate::length::{Length, Measured, Note, Unit};
use crate::library::reader::{Table, list};

/// A blank that is round in section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// What of a round it is.
    pub kind: RoundKind,
    /// Angle between the two faces of a V, whole degrees from 60 to 90.
    pub v_degrees: u32,
    /// The cradle the job insists on.
    pub seat: Option<Seat>,
}

/// Kinds of round section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RoundKind {
    /// A full round of one diameter.
    Rod,
    /// A half-round that lies on its flat side.
    RoundUp,
    /// A half-round that lies on its round side, flat side level and on top.
    FlatUp,
    /// A round that tapers along its length.
    Spindle {
        /// Diameter of the thin end.
        small: Measured,
        /// Whether the thick end leads.
        thick_leads: bool,
        /// What lies level.
        level: Level,
    },
}

/// What of a tapered spindle lies level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// Its highest line.
    Crown,
    /// Its centre line.
    Axis,
}

/// What a round side lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seat {
    /// Two strips bevelled to a V.
    Vee,
    /// Two square strips with a gap between them.
    Saddle,
}

impl Round {
    /// Half of the V's angle, radians.
    pub fn half_angle(&self) -> f64 {
        f64::from(self.v_degrees).to_radians() / 2.0
    }

    /// Diameter of the thin end of a spindle.
    pub fn small(&self) -> Option<&Measured> {
        match &self.kind {
            RoundKind::Spindle { small, .. } => Some(small),
            RoundKind::Rod | RoundKind::RoundUp | RoundKind::FlatUp => None,
        }
    }
}

/// Radius of the round a half-round is a piece of, mm, from the width of its flat and its height:
/// half the chord, the height and the radius make `R^2 = (w/2)^2 + (R - h)^2`.
pub fn arc_radius_mm(width: f64, height: f64) -> f64 {
    (width * width / 4.0 + height * height) / (2.0 * height)
}

/// Angle of a V when none is stated: any saw that tilts tilts to half of it.
const USUAL_V: u32 = 90;
/// A spindle is taken as upright rounds of changing size; past this taper of its radius along its
/// length (1 in 20) its sections are no longer near enough to rounds.
const STEEPEST: i64 = 20;
/// Farthest from the crown line that the round side is carved, as a share of its radius: there the wood
/// slopes 45 degrees and falls away by three tenths of the radius. Judgement.
const CARVED_SHARE: f64 = 0.7;

/// Keys of other shapes, and whose they are.
pub(super) const STRAYS: &[(&str, &str)] = &[
    ("narrow-width", "taper"),
    ("wide-end", "taper"),
    ("diagonals", "rectangle"),
    ("corner-radius", "rectangle"),
    ("turn", "rectangle"),
];

/// Keys of round sections that a shape does not know.
pub(super) fn strays_of(shape: &str) -> &'static [(&'static str, &'static str)] {
    match shape {
        "rod" => &[
            ("width", "half-round"),
            ("thickness", "half-round"),
            ("thickness-measured", "half-round"),
            ("up", "half-round"),
            ("small-diameter", "spindle"),
            ("thick-end", "spindle"),
            ("level", "spindle"),
        ],
        "half-round" => &[("small-diameter", "spindle"), ("thick-end", "spindle"), ("level", "spindle")],
        "spindle" => &[
            ("width", "half-round"),
            ("thickness", "half-round"),
            ("thickness-measured", "half-round"),
            ("up", "half-round"),
        ],
        _ => &[("up", "half-round"), ("small-diameter", "spindle"), ("thick-end", "spindle"), ("level", "spindle")],
    }
}

impl Builder<'_, '_> {
    /// A rod, a half-round or a spindle; `None` when a size it cannot do without is missing or wrong.
    pub(super) fn round_blank(&mut self, table: &Table, shape: &str) -> Option<Blank> {
        let by_diameter = shape != "half-round" || table.has("diameter");
        let needed: &[&str] = match shape {
            "rod" => &["length", "diameter"],
            "spindle" => &["length", "diameter", "small-diameter"],
            _ if by_diameter => &["length", "diameter"],
            _ => &["length", "width", "thickness"],
        };
        let missing: Vec<&str> = needed.iter().copied().filter(|name| !table.has(name)).collect();
        if !missing.is_empty() {
            let message = format!("[blank] does not state {}", list(&missing));
            let other = if shape == "half-round" { "; or its length and diameter" } else { "" };
            let help = format!("a {shape} needs {}{other}, each such as \"1-1/8\" or \"28.5 mm\"", list(needed));
            self.reader.error(table.span.clone(), message, help);
        }
        for name in ["width", "thickness"] {
            if shape == "half-round" && by_diameter && table.has(name) {
                let message =
                    format!("a half-round has a `diameter`, or a `width` and a `thickness`: `{name}` is one too many");
                let help = "half of a whole round is told by its `diameter`; any other by `width` and `thickness`";
                self.reader.error(table.span_of(name), message, help);
            }
        }
        for name in ["relief-height", "fragile"] {
            if table.size(name).is_some_and(|height| height > Length::ZERO) || table.flag(name) == Some(true) {
                let message = format!("`{name}`: a round in a cradle is gripped near its top");
                let help = "carry it in a pocket cut for it, as a rectangle of its outer size";
                self.reader.error(table.span_of(name), message, help);
            }
        }
        let error = self.reading_error(table, &missing);
        let length = self.plan_size(table, "length", error);
        let (width, thickness) = if by_diameter {
            let width = self.diameter(table, "diameter", error);
            let height = width.as_ref().map(|width| if shape == "half-round" { halved(width) } else { width.clone() });
            (width, height)
        } else {
            (self.plan_size(table, "width", error), self.thickness(table, error))
        };
        let kind = match shape {
            "rod" => Some(RoundKind::Rod),
            "spindle" => self.spindle(table, error, length.as_ref(), width.as_ref()),
            _ => {
                self.is_half(table, width.as_ref(), thickness.as_ref());
                let flat = self.choice_or(table, "up", "round") == "flat";
                Some(if flat { RoundKind::FlatUp } else { RoundKind::RoundUp })
            }
        };
        let round = Round { kind: kind?, v_degrees: self.v_degrees(), seat: self.seat() };
        let (length, width, thickness) = (length?, width?, thickness?);
        self.likely_millimetres(table, &length, &width, Some(&thickness));
        let told =
            if by_diameter { [Some(&length), None, None] } else { [Some(&length), Some(&width), Some(&thickness)] };
        self.readings_told(table, &told);
        if by_diameter && width.readings == 1 {
            self.cautions
                .push("one reading only of diameter: caliper it at three places, and across at each".to_owned());
        }
        let wood = self.wood(table);
        let second_side = self.second_side(&length, &width, false);
        let ((growth_length, growth_width), moves) = self.growth(table, (&length, &width, None));
        Some(Blank {
            shape: Shape::Round(round),
            length,
            width,
            thickness: Some(thickness),
            count: table.count("count").unwrap_or(1),
            name: String::new(),
            others: Vec::new(),
            wood,
            turn_free: false,
            corner_radius: Length::ZERO,
            relief_height: Length::ZERO,
            fragile: false,
            irreplaceable: table.flag("irreplaceable").unwrap_or(false),
            warp: None,
            slope: None,
            strip: None,
            angle: None,
            second_side,
            growth_length,
            growth_width,
            moves,
        })
    }

    fn v_degrees(&mut self) -> u32 {
        self.job.carrier.count("v-angle").unwrap_or(USUAL_V)
    }

    fn seat(&mut self) -> Option<Seat> {
        match self.job.carrier.text("cradle") {
            Some("v") => Some(Seat::Vee),
            Some("saddle") => Some(Seat::Saddle),
            _ => None,
        }
    }

    /// A diameter: the crown hangs on it, so a reading in decimals is taken as calipered.
    fn diameter(&mut self, table: &Table, name: &str, error: Length) -> Option<Measured> {
        let mut size = table.measured(name)?.clone();
        if size.uncertainty.is_none() {
            let decimal = size.text.contains('.') || (size.text.contains(',') && size.readings == 1);
            let plain = table.has("uncertainty") || table.has("measured") || !decimal;
            let error = if plain { error } else { self.error_of("caliper") };
            size.uncertainty = Some(error);
            if !plain {
                let shown = self.show(error);
                self.assume(&format!("blank.{name}"), format!("calipered, {shown} either way"), PRACTICE);
            }
            if error > Length::inches(1, 100) {
                self.cautions.push(format!("{name} was not calipered: the height of the crown hangs on it"));
            }
        }
        if size.notes.contains(&Note::Approximate) {
            self.cautions.push(format!("{name} is only approximate: set the rails from the real piece"));
        }
        let error = size.uncertainty.unwrap_or(error);
        self.readings_agree(table, name, &size, error);
        Some(size)
    }

    fn spindle(
        &mut self,
        table: &Table,
        error: Length,
        length: Option<&Measured>,
        thick: Option<&Measured>,
    ) -> Option<RoundKind> {
        let small = self.diameter(table, "small-diameter", error)?;
        let (length, thick) = (length?, thick?);
        let fall = (thick.nominal - small.nominal).half();
        if fall <= Length::ZERO {
            let help = "`diameter` is the thick end, `small-diameter` the other; one diameter throughout makes a rod";
            self.reader.error(table.span_of("small-diameter"), "`small-diameter` is not less than `diameter`", help);
        } else if fall * STEEPEST > length.nominal {
            let (from, to, long) = (self.show(thick.nominal), self.show(small.nominal), self.show(length.nominal));
            let message = format!("from {from} to {to} over {long} is steeper than 1 in {STEEPEST} on the radius");
            let help = "so short a cone rolls out of a cradle; hold it in a block bored or turned to its shape";
            self.reader.error(table.span_of("small-diameter"), message, help);
        }
        let thick_leads = self.choice_or(table, "thick-end", "lead") == "lead";
        let level = if self.choice_or(table, "level", "crown") == "axis" { Level::Axis } else { Level::Crown };
        Some(RoundKind::Spindle { small, thick_leads, level })
    }

    /// Refuses a carve area that reaches round the side of a round, where the cutter meets it edge on.
    pub(super) fn round_area(&mut self, table: &Table, blank: &Blank, carve: &Carve) {
        let Shape::Round(round) = &blank.shape else { return };
        let (whole, width) = (blank.length.nominal, blank.width.nominal);
        // The least the radius may be by the readings.
        let thick = blank.width.low().to_mm() / 2.0;
        let radius = match &round.kind {
            RoundKind::FlatUp => return,
            RoundKind::Rod => thick,
            RoundKind::RoundUp => {
                let Some(height) = &blank.thickness else { return };
                let of = |height: Length| arc_radius_mm(thick * 2.0, height.to_mm());
                of(height.low()).min(of(height.high()))
            }
            RoundKind::Spindle { small, thick_leads, .. } => {
                // At the thin end of the area.
                let margin = if *thick_leads { carve.margin_trail } else { carve.margin_lead };
                let share = (margin.to_mm() / whole.to_mm().max(1e-9)).clamp(0.0, 1.0);
                let thin = small.low().to_mm() / 2.0;
                thin + (thick - thin) * share
            }
        };
        let aside = width.half() - carve.margin_fence.min(carve.margin_far);
        let most = Length::from_mm(CARVED_SHARE * radius).unwrap_or_default();
        if aside + carve.overrun <= most {
            return;
        }
        let step = if self.units == Unit::Inch { Length::inches(1, 64) } else { Length::MM };
        let (own, radius) = (self.show(carve.width), Length::from_mm(radius).unwrap_or_default());
        let message = format!(
            "the carve area ({own} wide) reaches {} from the crown line with its overrun: more than 0.7 of the radius, {}",
            self.show(aside + carve.overrun),
            self.show(radius.nearest(step))
        );
        let room = ((most - carve.overrun) * 2).down(step);
        let help = if room > Length::ZERO {
            format!(
                "set `width` under `[carve]` to at most {}, in the middle; carve what is wider in several goes, the round turned between",
                self.show(room)
            )
        } else {
            "the overrun alone reaches farther: take a smaller `overrun`, or a thicker round".to_owned()
        };
        let span = ["width", "from-fence", "length"].into_iter().find(|name| table.has(name));
        let span = span.map_or_else(
            || {
                let size = if self.job.blank.has("diameter") { "diameter" } else { "width" };
                self.job.blank.span_of(size)
            },
            |name| table.span_of(name),
        );
        self.reader.error(span, message, help);
    }

    /// Refuses what is more than half a round, or next to nothing of one.
    fn is_half(&mut self, table: &Table, width: Option<&Measured>, height: Option<&Measured>) {
        let (Some(width), Some(height)) = (width, height) else { return };
        if height.low() * 2 > width.high() {
            let (high, wide) = (self.show(height.nominal), self.show(width.nominal));
            let message = format!("{high} high on a flat of {wide} is more than half a round");
            let help = "a half-round is at most half as high as wide; measure the width at the flat, or make it a rod";
            self.reader.error(table.span_of("thickness"), message, help);
        } else if arc_radius_mm(width.nominal.to_mm(), height.nominal.to_mm()) > width.nominal.to_mm() * 2.0 {
            let (high, wide) = (self.show(height.nominal), self.show(width.nominal));
            let message = format!("{high} high on a flat of {wide} is hardly round");
            let help = "a bow as flat as this is carried as a rectangle, its round side shimmed";
            self.reader.error(table.span_of("thickness"), message, help);
        }
    }
}

/// Readings of a diameter as readings of half of it.
fn halved(width: &Measured) -> Measured {
    Measured {
        largest: width.largest.half(),
        smallest: width.smallest.half(),
        nominal: width.nominal.half(),
        uncertainty: width.uncertainty.map(Length::half_up),
        ..width.clone()
    }
}
