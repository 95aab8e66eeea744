//! How blank and carrier move between the day the blank is measured and the last day the carrier is kept.

use super::build::{Builder, JUDGEMENT, PRACTICE};
use crate::diagnostic::quoted;
use crate::length::{Length, Measured, Unit};
use crate::library::reader::Table;
use crate::mechanics::movement::{COEFFICIENT_RANGE, celsius, change, equilibrium_moisture};

/// Movement of an unknown wood per % of moisture: flat-sawn, quarter-sawn, and along the grain.
const USUAL_MOVEMENT: (f64, f64, f64) = (0.003, 0.0018, 0.0001);
/// Movement of sheet stock in its plane, per % by which wood in the same air changes: boards may grow by 0.33 % from
/// 50 to 80 % humidity, which takes wood from 9.2 to 16.0 %.
const SHEET_MOVEMENT: f64 = 0.0005;
const SHEET_SOURCE: &str =
    "ANSI A208.2-2009, table 2: MDF grows by 0.33 % at most from 50 to 80 % humidity; other sheet stock no more";
/// Shrinking that is worth a word.
const TOLD: Length = Length::inches(1, 64);
/// Temperature of a room nobody stated, Celsius.
const ROOM: f64 = 20.0;
const HANDBOOK: &str = "USDA Wood Handbook, ch. 4, equation 4-5";

/// What moisture does to a blank while its carrier is kept.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moves {
    /// How much its length changes, either way.
    pub length: Length,
    /// How much its width does.
    pub width: Length,
    /// How much sheet stock changes in its plane, either way, as a share of any size.
    pub sheet: f64,
}

impl Builder<'_, '_> {
    /// What openings must be larger by, along the blank's length and width, and how far the blank moves.
    ///
    /// A blank that swells needs the room at once; credit for an opening that grows with it is not given. Where
    /// everything dries, an opening in sheet stock may close by more than the blank shrinks along its grain.
    pub(super) fn growth(
        &mut self,
        table: &Table,
        (length, width, thickness): (&Measured, &Measured, Option<&Measured>),
    ) -> ((Length, Length), Moves) {
        let none = ((Length::ZERO, Length::ZERO), Moves::default());
        let room = self.room(table);
        let now = self.moisture(table, "moisture-now", "humidity-now", room);
        let later = self.moisture(table, "moisture-later", "humidity-later", room);
        let (now, later) = match (now, later) {
            (Some(now), Some(later)) => (now, later),
            (None, None) => {
                let said = ["moisture-now", "moisture-later", "humidity-now", "humidity-later"];
                if !said.iter().any(|key| table.has(key)) {
                    self.assume("blank.moisture-later", "no change: carved the day the carrier is made", PRACTICE);
                }
                return none;
            }
            (now, _) => {
                let (given, other) = if now.is_some() { ("now", "later") } else { ("later", "now") };
                let names = |when: &str| [format!("moisture-{when}"), format!("humidity-{when}")];
                // What is there but wrong has been complained of.
                if !names(other).iter().any(|key| table.has(key))
                    && let Some(given) = names(given).into_iter().find(|key| table.has(key))
                {
                    let message = format!("`{given}` alone tells no change of moisture");
                    let help = format!("state `moisture-{other}` or `humidity-{other}` too");
                    self.reader.error(table.span_of(&given), message, help);
                }
                return none;
            }
        };
        if !COEFFICIENT_RANGE.contains(&now) || !COEFFICIENT_RANGE.contains(&later) {
            self.cautions.push(format!(
                "moisture from {now:.1} % to {later:.1} % is outside {} % to {} %, where movement is known best",
                COEFFICIENT_RANGE.start(),
                COEFFICIENT_RANGE.end()
            ));
        }
        if later == now {
            return none;
        }
        let quarter = self.choice_or(table, "sawn", "flat") == "quarter";
        let (flat_sawn, quarter_sawn, along) = USUAL_MOVEMENT;
        let row = table.text("wood").map(|name| self.library.woods_like(name));
        let row = row.as_deref().and_then(|woods| if woods.len() == 1 { woods.first().copied() } else { None });
        let published = row.and_then(|wood| if quarter { wood.radial } else { wood.tangential });
        let usual = if quarter { quarter_sawn } else { flat_sawn };
        let source = if published.is_some() { row.map_or("", |wood| wood.source.as_str()) } else { JUDGEMENT };
        let across = published.unwrap_or(usual);
        self.assume("movement across the grain", format!("{across} per % of moisture"), source);
        self.assume("movement along the grain", format!("{along} per % of moisture"), JUDGEMENT);
        self.assume("movement of the carrier", format!("{SHEET_MOVEMENT} per % of moisture, of wood"), SHEET_SOURCE);
        let grown = |size: &Measured, coefficient: f64| {
            change(size.largest, coefficient, now, later).and_then(Length::from_mm).unwrap_or(Length::ZERO)
        };
        let own = (grown(length, along), grown(width, across));
        let closes = (grown(length, SHEET_MOVEMENT), grown(width, SHEET_MOVEMENT));
        let moves = Moves {
            length: own.0.abs(),
            width: own.1.abs(),
            sheet: change(Length::INCH, SHEET_MOVEMENT, now, later).unwrap_or(0.0).abs() / Length::INCH.to_mm(),
        };
        // The thickness moves as the other way of sawing does in width.
        let other = row.and_then(|wood| if quarter { wood.tangential } else { wood.radial });
        let through = other.unwrap_or(if quarter { flat_sawn } else { quarter_sawn });
        if let Some(by) = thickness.map(|size| grown(size, through).abs()).filter(|by| *by >= TOLD) {
            let shown = self.show(by.nearest(match self.units {
                Unit::Inch => TOLD,
                Unit::Millimetre => Length::micrometres(100),
            }));
            self.cautions.push(format!(
                "from {now:.1} % to {later:.1} % of moisture the thickness changes by {shown}: caliper it again on the day"
            ));
        }
        if later > now {
            return (own, moves);
        }
        // Room grows by what the blank shrinks more than the carrier: nothing to make, but to pack.
        let shrinks = -own.1.min(own.0);
        if shrinks >= TOLD {
            let shown = self.show(shrinks.nearest(TOLD));
            self.cautions
                .push(format!("drying from {now:.1} % to {later:.1} % the blank shrinks by {shown}: pack it again"));
        }
        let room = |own: Length, closes: Length| (own - closes).or_zero();
        ((room(own.0, closes.0), room(own.1, closes.1)), moves)
    }

    /// Moisture at one time, per cent: typed, or that of wood kept long enough in the air typed instead.
    fn moisture(&mut self, table: &Table, typed: &str, humidity: &str, room: f64) -> Option<f64> {
        if table.has(typed) {
            if table.has(humidity) {
                let message = format!("`{humidity}` and `{typed}` say the same thing twice");
                self.reader.error(table.span_of(humidity), message, "leave one of them out".to_owned());
                return None;
            }
            return table.number(typed);
        }
        let air = table.number(humidity)?;
        let moisture = equilibrium_moisture(room, air / 100.0);
        if let Some(moisture) = moisture {
            let text = format!("{moisture:.1} % of moisture in air of {air} % at {room:.0} C, kept in it for weeks");
            self.assume(&format!("blank.{typed}"), text, HANDBOOK);
        }
        moisture
    }

    /// Temperature of the air, Celsius.
    fn room(&mut self, table: &Table) -> f64 {
        let Some(text) = table.text("air") else { return ROOM };
        let known = text.trim();
        let degrees = |number: &str| number.trim().trim_end_matches('\u{b0}').trim().parse::<f64>().ok();
        let read = if let Some(number) = known.strip_suffix(['F', 'f']) {
            degrees(number).map(celsius)
        } else {
            known.strip_suffix(['C', 'c']).and_then(degrees)
        };
        // Wood is not kept where water freezes or boils; the equation holds between.
        match read.filter(|room| equilibrium_moisture(*room, 0.5).is_some() && *room <= 60.0) {
            Some(room) => room,
            None => {
                let message = format!("`air` is not a temperature wood is kept at: {}", quoted(text));
                let help = "expected degrees from 30 F to 140 F, or 0 C to 60 C, such as \"68 F\" or \"20 C\"";
                self.reader.error(table.span_of("air"), message, help.to_owned());
                ROOM
            }
        }
    }
}
