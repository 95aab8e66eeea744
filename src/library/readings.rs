//! Several readings of one dimension put together.

use crate::length::{Length, Measured, Note};

/// Several readings of one dimension as one.
pub(super) fn merged(readings: Vec<Measured>) -> Option<Measured> {
    let largest = readings.iter().map(|one| one.largest).max()?;
    let smallest = readings.iter().map(|one| one.smallest).min()?;
    let count: usize = readings.iter().map(|one| one.readings).sum();
    let total: i128 = readings.iter().map(|one| i128::from(one.nominal.ticks()) * one.readings as i128).sum();
    let mean = (2 * total + count as i128).div_euclid(2 * (count as i128).max(1));
    let mut notes: Vec<Note> = Vec::new();
    for note in readings.iter().flat_map(|one| one.notes.iter().copied()) {
        if !notes.contains(&note) && (note != Note::OneReading || count == 1) {
            notes.push(note);
        }
    }
    Some(Measured {
        largest,
        smallest,
        nominal: Length::from_ticks(i64::try_from(mean).ok()?),
        uncertainty: readings.iter().filter_map(|one| one.uncertainty).max(),
        readings: count,
        unit: readings.first()?.unit,
        text: readings.iter().map(|one| one.text.as_str()).collect::<Vec<_>>().join(", "),
        notes,
    })
}
