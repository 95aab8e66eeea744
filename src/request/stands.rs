//! Where the shop's own stands are.

use super::Request;
use super::build::Builder;
use crate::diagnostic::quoted;
use crate::length::{Length, parse_measured};
use crate::library::Machine;

/// Stands that carry a long carrier at bed height, by their distances from the cutter, nearest first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Stands {
    /// Before the cutter, where the carrier comes from.
    pub infeed: Vec<Length>,
    /// Behind it.
    pub outfeed: Vec<Length>,
}

/// Most stands on a side.
const MOST: usize = 3;

impl Request {
    /// Whether stands carry a carrier of this length: the shop's own, if it has any, or those that are suggested.
    pub fn on_stands(&self, length: Length) -> bool {
        match &self.stands {
            Some(own) => !(own.infeed.is_empty() && own.outfeed.is_empty()),
            None => self.machine.wants_stands(length),
        }
    }

    /// Where stands carry a carrier of this length: the shop's own, or the places suggested.
    pub fn stands_for(&self, length: Length) -> Stands {
        self.stands.clone().unwrap_or_else(|| {
            let half = self.machine.bed_length.half();
            let places = self.machine.stand_places(length);
            let off: Vec<Length> = places.into_iter().map(|place| half + place).collect();
            Stands { infeed: off.clone(), outfeed: off }
        })
    }
}

impl Builder<'_, '_> {
    /// The stands of the job; `None` where it leaves their places to be suggested.
    pub(super) fn stands(&mut self, machine: Option<&Machine>) -> Option<Stands> {
        let table = &self.job.shop;
        if !table.has("stands-infeed") && !table.has("stands-outfeed") {
            return None;
        }
        let bed = machine.map_or(Length::ZERO, |machine| machine.bed_length.half());
        Some(Stands { infeed: self.side("stands-infeed", bed), outfeed: self.side("stands-outfeed", bed) })
    }

    fn side(&mut self, name: &str, bed: Length) -> Vec<Length> {
        let table = &self.job.shop;
        let mut places = Vec::new();
        for text in table.texts(name).unwrap_or_default() {
            match parse_measured(text, self.units) {
                Ok(size) if size.nominal > bed && size.nominal <= Length::inches(1200, 1) => places.push(size.nominal),
                Ok(_) => {
                    let message = format!("a stand {} from the cutter does not stand beside the bed", quoted(text));
                    let help = format!(
                        "the bed reaches {} from the cutter; measure to the stand's roller, up to 100 ft",
                        self.show(bed)
                    );
                    self.reader.error(table.span_of(name), message, help);
                }
                Err(error) => self.reader.error(table.span_of(name), error.message, error.help),
            }
        }
        places.sort_unstable();
        places.dedup();
        if places.len() > MOST {
            let help = "name those nearest to the cutter";
            self.reader.error(table.span_of(name), format!("more than {MOST} stands on a side"), help);
            places.truncate(MOST);
        }
        places
    }
}
