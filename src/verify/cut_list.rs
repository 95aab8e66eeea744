//! The cut list of one carrier, read step by step: what the trade asks of the way to the parts, beyond
//! what every design is asked anyway.

use super::{lengths, none_of, numbers};
use crate::design::Relation::{AtLeast, AtMost};
use crate::design::{Check, CutList, Operation, SawStep};
use crate::length::Length;
use crate::rules::Rule;

/// Shortest piece that goes on a taper sled.
const SLED_LEAST: Length = Length::inches(12, 1);
/// A strip narrower than this is ripped with a pushing block.
const BLOCK_BELOW: Length = Length::inches(3, 4);
/// A narrower one is never between blade and fence.
const NARROWEST: Length = Length::inches(1, 4);
/// Waste at each end of a planed piece.
const SNIPE: Length = Length::inches(3, 1);

/// Every rule of a cut list with its numbers; `kerf` is that of the saw.
pub fn cut_list(list: &CutList, kerf: Length) -> Vec<Check> {
    let mut checks = Vec::new();
    let yes = |holds: bool| f64::from(u8::from(holds));
    for (place, step) in list.steps.iter().enumerate() {
        let name = format!("step {}: {}", place + 1, step.piece);
        match step.operation {
            Operation::Rip => {
                let told = step.setting >= BLOCK_BELOW || (step.careful && step.note.contains("pushing block"));
                numbers(&mut checks, Rule::NarrowRip, &name, yes(told && step.setting >= NARROWEST), AtLeast, 1.0, "");
            }
            Operation::TaperRip => {
                let sled = step.careful && step.note.contains("taper sled");
                numbers(&mut checks, Rule::TaperSled, &name, yes(sled), AtLeast, 1.0, "");
                lengths(&mut checks, Rule::TaperSled, &name, step.before.length, AtLeast, SLED_LEAST);
            }
            Operation::Plane => {
                let after = list.steps.iter().skip(place + 1).filter(|other| other.piece == step.piece);
                let ends = after
                    .take(1)
                    .find(|other| other.operation == Operation::Crosscut && other.makes == "waste" && other.times >= 2);
                let taken = ends.map_or(Length::ZERO, |ends| ends.setting);
                lengths(&mut checks, Rule::SnipeWaste, &name, taken, AtLeast, SNIPE);
            }
            _ => {}
        }
    }
    for parent in &list.parents {
        let own: Vec<&SawStep> = list.steps.iter().filter(|step| step.piece == parent.id).collect();
        // Long pieces are ripped before anything is cut off them.
        let first_cut = own.iter().position(|step| step.operation == Operation::Crosscut && step.makes != "waste");
        let late = first_cut.map_or(0, |first| {
            own.iter()
                .skip(first)
                .filter(|step| step.operation == Operation::Rip && step.before.length < SLED_LEAST)
                .count()
        });
        none_of(&mut checks, Rule::ParentPieces, &format!("{}: short pieces ripped after a crosscut", parent.id), late);
        // Strips and their kerfs come out of its width, each of the equal pieces giving its share.
        let rips = own.iter().filter(|step| step.operation == Operation::Rip && step.makes != parent.id);
        let copies = i64::try_from(parent.count.max(1)).unwrap_or(1);
        let taken: Length =
            rips.map(|step| (step.setting + kerf) * i64::try_from(step.times).unwrap_or(i64::from(u16::MAX))).sum();
        let room = (parent.size.width + kerf) * copies;
        lengths(&mut checks, Rule::CutsAddUp, &format!("{}: strips and kerfs", parent.id), taken, AtMost, room);
        // What goes over the machine is never larger than what was pulled.
        let larger = own.iter().filter(|step| {
            step.before.length > parent.size.length || step.before.width > parent.size.width.max(parent.size.thickness)
        });
        none_of(&mut checks, Rule::CutsAddUp, &format!("{}: steps on more than there is", parent.id), larger.count());
    }
    checks
}
