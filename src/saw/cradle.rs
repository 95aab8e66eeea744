//! Strips of a cradle: bevelled on a wide board, parted last.

use super::label;
use super::parts::times;
use super::writer::{Cut, Writer};
use crate::design::{Extent, Operation, Part, SawStep, VoidKind};
use crate::length::Length;
use crate::rules::Rule;

/// How far the edge of a bevelled strip is cut back, and how high it is: rise and run of its slope.
pub fn bevel(part: &Part) -> Option<(Length, Length)> {
    let void = part.places.first()?.voids.iter().find(|void| void.kind == VoidKind::Bevel)?;
    Some((void.outline.bounds().width(), void.z1 - void.z0))
}

impl Writer<'_> {
    /// Two strips side by side out of one board, as often as there are pairs.
    pub fn cradle_strips(&mut self, part: &Part) {
        let count = part.places.len();
        let (kerf, spare) = (self.kerf(), self.spare);
        let pair = self.mark(part.size.width * 2 + kerf);
        let width = pair + kerf + spare.edge;
        let needed = if part.size.length >= spare.shortest_rip {
            part.size.length + kerf + spare.end
        } else {
            times(part.size.length + kerf, count) + spare.hand_hold
        };
        let needed = needed.max(spare.shortest_rip).max(self.mark(width));
        let length = self.pull_length(part, needed, self.mark(width));
        let (id, before) = self.parent(part, length, width, 1, vec![(part.id.clone(), count)]);
        let before = self.plane(part, &id, before);
        let makes = label(part);
        self.rip(Cut {
            piece: &id,
            before,
            to: pair,
            times: 1,
            makes: &id,
            extra: " (two strips and the kerf between them)",
        });
        let before = Extent { width: pair, ..before };
        let mut face = "";
        if let Some((run, rise)) = bevel(part) {
            self.bevel_both_edges(&id, before, run, rise);
            face = ", wide face up";
        }
        let to = self.mark(part.size.width);
        let extra = format!(" down the middle{face}: both halves are strips");
        self.rip(Cut { piece: &id, before, to, times: 1, makes: &makes, extra: &extra });
        let strip = Extent { width: part.size.width, ..before };
        let to = self.mark(part.size.length);
        let held = if part.size.length >= spare.shortest_rip { to } else { before.length - times(to + kerf, count) };
        let extra = if part.size.length >= spare.shortest_rip {
            " (square one end first)"
        } else {
            ", half of them from each strip; the part is the piece that falls away"
        };
        self.crosscut(Cut { piece: &id, before: strip, to, times: count, makes: &makes, extra }, held);
    }

    /// Bevels both long edges of a board, the wide face keeping its width.
    fn bevel_both_edges(&mut self, id: &str, before: Extent, run: Length, rise: Length) {
        let (run_mm, rise_mm) = (run.to_mm(), rise.to_mm());
        let slant = Length::from_mm(libm::hypot(run_mm, rise_mm)).unwrap_or(rise);
        let degrees = libm::atan2(run_mm, rise_mm).to_degrees();
        if !self.owns(crate::request::Tool::TableSaw) || slant > self.request.shop.saw_height {
            let text = format!("a bevel {} long: no table saw in the shop reaches through it", self.say(slant));
            self.refuse(Rule::ToolOwned, text);
        }
        let shown = self.request.shop.depth_ruler.number(slant.up(self.request.depth_step()));
        self.step(SawStep {
            operation: Operation::BevelRip,
            tool: "table saw",
            piece: id.to_owned(),
            before,
            setting: before.width,
            makes: id.to_owned(),
            times: 2,
            held: before.length,
            careful: true,
            note: format!(
                "table saw, blade tilted {degrees:.0} degrees away from the fence: bevel both long edges of {id}, wide face up, \
                 fence so that the blade just leaves the top arris (wide face stays {}; bevel {shown} long); turn the board end \
                 for end between the cuts; the wedge falls free beside the blade, never between blade and fence",
                self.say(before.width)
            ),
        });
    }
}
