//! How each kind of part is got out of its parent.

use super::writer::{Cut, Writer};
use super::{Assembly, label, panel_parent};
use crate::design::{Extent, Operation, Parent, Part, Role, SawStep, VoidKind};
use crate::geometry::{Outline, Point};
use crate::length::Length;
use crate::request::Tool;
use crate::rules::Rule;

/// `length` times a count.
pub(super) fn times(length: Length, count: usize) -> Length {
    length * i64::try_from(count).unwrap_or(i64::from(u16::MAX))
}

impl Writer<'_> {
    fn end_over(&self, assembly: Assembly) -> Length {
        super::end_over(self.request, assembly)
    }

    /// A base or a one-board carrier.
    pub fn panel(&mut self, part: &Part, over_size: bool) {
        let count = part.places.len();
        let (length, width) = panel_parent(self.request, part.size.length, part.size.width);
        let (id, before) = self.parent(part, length, width, count, vec![(part.id.clone(), count)]);
        // The longer side runs along the fence, whichever way the carrier is fed.
        let (long, short) = (part.size.length.max(part.size.width), part.size.length.min(part.size.width));
        let over = if over_size { self.spare.width } else { Length::ZERO };
        let extra = if over_size {
            format!(" ({} and {} over, trimmed last)", self.say(short), self.say(over))
        } else {
            String::new()
        };
        let makes = label(part);
        let to = self.mark(short + over);
        self.rip(Cut { piece: &id, before, to, times: 1, makes: &makes, extra: &extra });
        if !over_size {
            let ripped = Extent { width: to, ..before };
            let held = if long >= self.spare.shortest_rip { long } else { length - long - self.kerf() };
            let extra = " (square one end first)";
            let to = self.mark(long);
            self.crosscut(Cut { piece: &id, before: ripped, to, times: 1, makes: &makes, extra }, held);
        }
    }

    /// Two boards with a half-round each: ripped and jointed before the rounds are struck.
    pub fn nest_halves(&mut self, part: &Part) {
        let halves = part.places.len();
        let spare = self.spare;
        let width = times(part.size.width, halves) + self.kerf() + spare.jointing + spare.edge + spare.width;
        let length = self.pull_length(part, part.size.length + spare.end * 2, width);
        let (id, before) = self.parent(part, length, width, 1, vec![(part.id.clone(), halves)]);
        let before = self.plane(part, &id, before);
        let makes = label(part);
        let to = part.size.width + spare.jointing.half_up();
        let extra = "; joint the sawn edges, then strike the half-rounds from the jointed edges";
        self.rip(Cut { piece: &id, before, to, times: halves, makes: &makes, extra });
        let tool = if self.owns(Tool::BandSaw) { "band saw" } else { "jigsaw" };
        self.step(SawStep {
            operation: Operation::SawRound,
            tool,
            piece: part.id.clone(),
            before: Extent { width: part.size.width, ..before },
            setting: part.size.width,
            makes,
            times: halves,
            held: before.length,
            careful: true,
            note: format!(
                "{tool}: saw the half-round out of each {}, board flat on the table, both hands on the board's ends",
                part.name
            ),
        });
    }

    /// A nest sawn out of a board that stays whole all round.
    pub fn ring(&mut self, part: &Part) {
        let before = Extent { width: part.size.width + self.spare.width, ..part.size };
        self.step(SawStep {
            operation: Operation::SawRound,
            tool: "jigsaw",
            piece: part.id.clone(),
            before,
            setting: part.size.width,
            makes: label(part),
            times: 1,
            held: before.length,
            careful: true,
            note: format!(
                "jigsaw: saw the nest out of the {} from a hole bored in the waste, board clamped down at two places",
                part.name
            ),
        });
    }

    /// Rails and other strips long enough to be ripped at their own length.
    pub fn strips(&mut self, group: &[&Part], assembly: Assembly) {
        let Some(first) = group.first() else { return };
        let trimmed = assembly == Assembly::Trimmed;
        let spare = self.spare;
        let pieces: usize = group.iter().map(|part| part.places.len()).sum();
        let total: Length = group.iter().map(|part| times(part.size.width, part.places.len())).sum();
        let over = if trimmed { spare.width } else { Length::ZERO };
        let width = total + times(self.kerf(), pieces) + spare.edge + over;
        let end = self.end_over(assembly);
        // A parent wider than it is long could not be ripped; it is pulled longer instead.
        let needed = (first.size.length + end * 2).max(self.mark(width));
        let length = self.pull_length(first, needed, self.mark(width));
        let yields = group.iter().map(|part| (part.id.clone(), part.places.len())).collect();
        let (id, before) = self.parent(first, length, width, 1, yields);
        let before = self.plane(first, &id, before);
        let trims_far = |part: &Part| trimmed && (part.role == Role::FarRail || part.places.len() > 1);
        for part in group {
            let makes = label(part);
            let far = usize::from(trims_far(part));
            if part.places.len() > far {
                let cuts = part.places.len() - far;
                let to = self.mark(part.size.width);
                self.rip(Cut { piece: &id, before, to, times: cuts, makes: &makes, extra: "" });
            }
            if far > 0 {
                let to = self.mark(part.size.width + over);
                let extra = format!(" (the far one: {} over, the last rip takes it off)", self.say(over));
                self.rip(Cut { piece: &id, before, to, times: far, makes: &makes, extra: &extra });
            }
        }
        for part in group {
            let count = part.places.len();
            let strip = Extent { width: part.size.width, ..before };
            let to = self.mark(part.size.length + end * 2);
            // What is trimmed with the carrier needs no exact length yet, only not to be in the way.
            if end > Length::ZERO && strip.length <= to + self.kerf() {
                continue;
            }
            let extra = if end > Length::ZERO {
                format!(" ({} and {} over at each end, trimmed last)", self.say(part.size.length), self.say(end))
            } else {
                String::new()
            };
            let makes = label(part);
            self.crosscut(Cut { piece: &id, before: strip, to, times: count, makes: &makes, extra: &extra }, to);
        }
    }

    /// Pieces too short to be ripped: all from one parent, crosscut last.
    pub fn short_pieces(&mut self, group: &[&Part], assembly: Assembly) {
        let Some(first) = group.first() else { return };
        // Ends stand out a little when the carrier is glued up, and are trimmed with it. Their own
        // length is set on the ruler: the trim makes it what the drawing says.
        let over = self.end_over(assembly);
        let kerf = self.kerf();
        let cuts: Vec<Length> = group.iter().map(|part| self.mark(part.size.length + over)).collect();
        let taken: Length = group.iter().zip(&cuts).map(|(part, cut)| times(*cut + kerf, part.places.len())).sum();
        let width = first.size.width + kerf + self.spare.edge;
        let needed = (taken + self.spare.hand_hold).max(self.spare.shortest_rip).max(self.mark(width));
        let length = self.pull_length(first, needed, self.mark(width));
        let yields = group.iter().map(|part| (part.id.clone(), part.places.len())).collect();
        let (id, before) = self.parent(first, length, width, 1, yields);
        let before = self.plane(first, &id, before);
        let to = first.size.width;
        self.rip(Cut { piece: &id, before, to, times: 1, makes: &id, extra: " to the width of the parts" });
        let mut left = before.length;
        for (part, cut) in group.iter().zip(cuts) {
            let ripped = Extent { length: left, width: part.size.width, thickness: part.size.thickness };
            let count = part.places.len();
            left -= times(cut + kerf, count);
            let (extra, makes) = (self.end_words(over), label(part));
            let cut = Cut { piece: &id, before: ripped, to: cut, times: count, makes: &makes, extra: &extra };
            self.crosscut(cut, left);
        }
    }

    /// What is said of a short end: how much of it is trimmed off, and which piece falls away.
    fn end_words(&self, over: Length) -> String {
        let falls = "the part is the piece that falls away";
        if over > Length::ZERO {
            format!(" ({} over, trimmed last); {falls}", self.say(over))
        } else {
            format!("; {falls}")
        }
    }

    /// Parts with one sloping edge.
    ///
    /// A long part is brought to its over-length and marked at its own two ends. A short one is sawn
    /// at the end of a long board, its narrow end outwards: the board keeps its full width under the
    /// hands, and the part falls away in the crosscut that follows.
    pub fn tapered(&mut self, part: &Part, assembly: Assembly) {
        let Some((lead, trail)) = part.places.first().and_then(|place| end_widths(&place.outline)) else { return };
        let long = part.size.length >= self.spare.shortest_rip;
        let kerf = self.kerf();
        let end = self.end_over(assembly);
        let over = if long && assembly == Assembly::Trimmed { self.spare.width } else { Length::ZERO };
        let slope = ((lead - trail) / part.size.length).abs();
        let rise = |by: Length| Length::from_mm(slope * by.to_mm()).unwrap_or(Length::ZERO);
        // The over-length lies at both ends of a rail, and at the outer end of an end piece.
        let outer_is_wide = (part.role == Role::LeadEnd) == (lead > trail);
        let wide_over = if long || outer_is_wide { end } else { Length::ZERO };
        let narrow_over = if long || !outer_is_wide { end } else { Length::ZERO };
        let wide = lead.max(trail) + rise(wide_over) + over;
        let narrow = lead.min(trail) - rise(narrow_over) + over;
        let rough = self.mark(wide);
        let piece = part.size.length + wide_over + narrow_over;
        if narrow < Length::inches(1, 2) {
            self.refuse(Rule::RipSafe, format!("{}: its slope leaves too narrow an end to be sawn", part.name));
        }
        let width = rough + kerf + self.spare.edge;
        let hold = if long { Length::ZERO } else { kerf + self.spare.hand_hold };
        let needed = (self.mark(piece) + hold).max(self.spare.shortest_rip).max(self.mark(width));
        let length = self.pull_length(part, needed, self.mark(width));
        let (id, before) = self.parent(part, length, width, 1, vec![(part.id.clone(), part.places.len())]);
        let before = self.plane(part, &id, before);
        self.rip(Cut { piece: &id, before, to: rough, times: 1, makes: &id, extra: " to its widest" });
        let mut ripped = Extent { width: rough, ..before };
        let makes = label(part);
        let length = self.mark(piece);
        if long && ripped.length > length + kerf {
            let extra = " (over-length at both ends, trimmed last)";
            self.crosscut(Cut { piece: &id, before: ripped, to: length, times: 1, makes: &makes, extra }, length);
            ripped.length = length;
        }
        let tool = self.rip_tool(ripped.thickness);
        let exact = self.request.shop.depth_ruler;
        let say = |width: Length| exact.number(width.nearest(exact.step));
        let marks = if long {
            format!(
                "mark {} at its wide end and {} at its narrow end ({} long)",
                say(wide),
                say(narrow),
                self.say(length)
            )
        } else {
            format!("mark {} at one end and the full width {} in from it", say(narrow), self.say(length))
        };
        self.step(SawStep {
            operation: Operation::TaperRip,
            tool,
            piece: id.clone(),
            before: ripped,
            setting: narrow,
            makes: if long { makes.clone() } else { id.clone() },
            times: 1,
            held: ripped.length,
            careful: true,
            note: format!(
                "{tool} with taper sled: {id}, {marks}, measured from the straight edge; saw from mark to mark"
            ),
        });
        if !long {
            let extra = format!(" from its NARROW end{}", self.end_words(end));
            let held = ripped.length - length - kerf;
            self.crosscut(Cut { piece: &id, before: ripped, to: length, times: 1, makes: &makes, extra: &extra }, held);
        }
    }

    /// Wedges, one after the other off the end of a strip that stays long enough to be held on the sled.
    pub fn wedges(&mut self, part: &Part) {
        let count = part.places.len();
        let kerf = self.kerf();
        let slopes = part.places.first().and_then(|place| wedge_ends(&part.upright(place).outline));
        let Some((thick, thin)) = slopes else { return };
        let each = self.mark(part.size.length) + kerf;
        let before_last = times(each, count.saturating_sub(1));
        // The strip is sawn to a slope for the last time while it is still long enough to be ripped.
        let needed = (times(each, count) + self.spare.hand_hold).max(before_last + self.spare.shortest_rip);
        let width = part.size.width + kerf + self.spare.edge;
        let length = self.pull_length(part, needed.max(self.mark(width)), self.mark(width));
        let (id, before) = self.parent(part, length, width, 1, vec![(part.id.clone(), count)]);
        let before = self.plane(part, &id, before);
        let to = self.mark(thick);
        self.rip(Cut { piece: &id, before, to, times: 1, makes: &id, extra: " to the thick end of the wedges" });
        let tool = self.rip_tool(before.thickness);
        let strip = Extent { width: part.size.width, length: before.length - before_last, ..before };
        let makes = label(part);
        let exact = self.request.shop.depth_ruler;
        let say = |width: Length| exact.number(width.nearest(exact.step));
        self.step(SawStep {
            operation: Operation::TaperRip,
            tool,
            piece: id.clone(),
            before: strip,
            setting: thin,
            makes: id.clone(),
            times: count,
            held: strip.length,
            careful: true,
            note: format!(
                "{tool} with taper sled: {id}, mark {} at one end and the full width {} in from it; saw from mark to mark, crosscut the wedge off (next line), and begin again at the new end, {count} times in all",
                say(thin),
                self.say(part.size.length)
            ),
        });
        let held = strip.length - each;
        let extra = "; the wedge is the piece that falls away";
        let whole = Extent { length: before.length, ..strip };
        let to = self.mark(part.size.length);
        self.crosscut(Cut { piece: &id, before: whole, to, times: count, makes: &makes, extra }, held);
    }

    /// Wedge shims, sawn one after the other off the edge of a long board on a taper sled; the shim is
    /// what falls away. Short ones are sawn at the length of the board and cut off by hand.
    pub fn wedge_shims(&mut self, part: &Part) {
        let slope = part.places.iter().flat_map(|place| &place.voids).find(|void| void.kind.is_slope());
        let Some((slope, place)) = slope.zip(part.places.first()) else { return };
        let (kerf, count, spare) = (self.kerf(), part.places.len(), self.spare);
        let (low, fall) = (slope.z0 - place.z0, (slope.z1 - slope.z0) / part.size.length);
        let needed = if part.size.length >= spare.shortest_rip {
            part.size.length
        } else {
            self.mark(part.size.length + kerf + spare.hand_hold).max(spare.shortest_rip)
        };
        // The board is planed to what the shims are wide; where no machine does that, only a board of that
        // very thickness will do.
        let planes = self.is_planed(part) && self.thicknesser(spare.widest_parent, part.size.width).is_some();
        let pulled = if planes { self.pull_length(part, needed, spare.widest_parent) } else { needed };
        let length = if planes { pulled - (spare.snipe + kerf) * 2 } else { pulled };
        let whole = length < part.size.length + self.request.step();
        let depth = self.request.shop.depth_ruler;
        let high = low + Length::from_mm(fall * length.to_mm()).unwrap_or_default();
        let high = high.nearest(depth.step);
        // A hand's breadth of board stays on the sled after the last cut.
        let (each, left) = (high + kerf, spare.hand_hold.half());
        let room = (spare.widest_parent - left).ticks() / each.ticks().max(1);
        let in_board = usize::try_from(room).unwrap_or(1).clamp(1, count.max(1));
        let boards = count.div_ceil(in_board);
        let width = self.mark(times(each, in_board) + left);
        let before = Extent { length: pulled, width, thickness: part.size.width };
        let thickness = if planes { before.thickness + spare.planing } else { before.thickness };
        let id = format!("P{}", self.list.parents.len() + 1);
        self.list.parents.push(Parent {
            id: id.clone(),
            material: part.material.clone(),
            size: Extent { thickness, ..before },
            count: boards,
            yields: vec![(part.id.clone(), count)],
        });
        let before = if planes { self.plane_to(&id, before) } else { before };
        let tool = self.rip_tool(before.thickness);
        if length < width {
            self.refuse(Rule::RipSafe, format!("{}: the board they come from would be wider than long", part.name));
        }
        let shorten = if whole {
            String::new()
        } else {
            format!("; with a fine hand saw cut each to {} from its thin end", self.say(part.size.length))
        };
        self.step(SawStep {
            operation: Operation::TaperRip,
            tool,
            piece: id.clone(),
            before,
            setting: low,
            makes: label(part),
            times: count,
            held: length,
            careful: true,
            note: format!(
                "{tool} with taper sled: {count} wedges {} off the edge of {id}, board clamped to the sled, blade in a slot of its own; mark {} in from the edge as it is at one end and {} at the other, {} apart, and saw from mark to mark on the board's side of the line; turn the board end for end after each. The wedge is the offcut: let it lie until the blade stands{shorten}",
                label(part),
                depth.number(low),
                depth.number(high),
                self.say(length)
            ),
        });
    }

    /// Right-angled triangles, mitred off a strip in turn.
    pub fn corner_blocks(&mut self, part: &Part) {
        let count = part.places.len();
        let kerf = self.kerf();
        // Each mitred triangle takes its long side and, at 45 degrees, not quite two kerfs of the strip.
        let taken = times(part.size.length + kerf * 2, count);
        let width = part.size.width + kerf + self.spare.edge;
        let needed = (taken + self.spare.hand_hold).max(self.spare.shortest_rip).max(self.mark(width));
        let length = self.pull_length(part, needed, self.mark(width));
        let (id, before) = self.parent(part, length, width, 1, vec![(part.id.clone(), count)]);
        let before = self.plane(part, &id, before);
        let to = part.size.width;
        self.rip(Cut { piece: &id, before, to, times: 1, makes: &id, extra: " to the height of the triangles" });
        let strip = Extent { width: part.size.width, ..before };
        let held = before.length - taken;
        let makes = label(part);
        let extra = ", saw at 45 degrees left and right in turn; the part is the piece that falls away";
        let cut = Cut { piece: &id, before: strip, to: part.size.length, times: count, makes: &makes, extra };
        self.crosscut(cut, held);
    }

    /// Strips between rows, and short webs between pockets: ripped to their width from pieces long enough
    /// to be held, then cut to length; no piece is pulled longer than a short web needs it.
    pub fn webs(&mut self, part: &Part) {
        let (kerf, places, spare) = (self.kerf(), part.places.len(), self.spare);
        let long = part.size.length >= spare.shortest_rip;
        let each = self.mark(part.size.length) + kerf;
        let room = (spare.longest_strip - spare.hand_hold).ticks() / each.ticks().max(1);
        let in_strip = if long { 1 } else { usize::try_from(room).unwrap_or(1).clamp(1, places.max(1)) };
        let strips = places.div_ceil(in_strip);
        let taken = times(each, in_strip);
        let needed = if long { part.size.length + spare.end * 2 } else { taken + spare.hand_hold };
        // As many strips as a wide board gives side by side.
        let across = (spare.widest_parent.ticks() / (part.size.width + kerf).ticks().max(1)).max(1);
        let across = usize::try_from(across).unwrap_or(1).min(strips);
        let count = strips.div_ceil(across);
        let width = times(part.size.width + kerf, across) + spare.edge;
        let needed = needed.max(spare.shortest_rip).max(self.mark(width));
        let length = self.pull_length(part, needed, self.mark(width));
        let (id, before) = self.parent(part, length, width, count, vec![(part.id.clone(), places)]);
        let before = self.plane(part, &id, before);
        let own = label(part);
        let (makes, extra) = if long { (own.as_str(), "") } else { (id.as_str(), " to the width of the webs") };
        self.rip(Cut { piece: &id, before, to: part.size.width, times: strips, makes, extra });
        let strip = Extent { width: part.size.width, ..before };
        let (piece, held, extra) = if long {
            (part.id.as_str(), part.size.length, "")
        } else {
            (id.as_str(), before.length - taken, "; stop block, the part is the piece that falls away")
        };
        let to = part.size.length;
        self.crosscut(Cut { piece, before: strip, to, times: places, makes: &own, extra }, held);
    }

    /// Pockets sunk into a board, and push-out holes.
    pub fn pockets(&mut self, part: &Part) {
        let voids = || part.places.iter().flat_map(|place| &place.voids);
        let relieved = voids().any(|void| void.kind == VoidKind::Relief);
        let mut told: Vec<(VoidKind, Length)> = Vec::new();
        for void in voids() {
            let depth = void.z1 - void.z0;
            if told.contains(&(void.kind, depth)) {
                continue;
            }
            told.push((void.kind, depth));
            let times = voids().filter(|other| other.kind == void.kind && other.z1 - other.z0 == depth).count();
            let (operation, note) = match void.kind {
                VoidKind::Pocket if part.role == Role::Board => (
                    Operation::Pocket,
                    format!(
                        "sink {} to {} deep, floor flat{}",
                        if times > 1 { format!("the {times} pockets") } else { "the pocket".to_owned() },
                        self.request.shop.depth_ruler.number(depth),
                        if relieved { ", corners relieved" } else { "" }
                    ),
                ),
                VoidKind::Under => {
                    let deeper = self.request.shop.depth_ruler.number(depth);
                    (Operation::Pocket, format!("sink the room for the relief {deeper} below the pocket's floor"))
                }
                VoidKind::KeeperNotch => {
                    let bounds = void.outline.bounds();
                    let (long, wide) = (bounds.length().max(bounds.width()), bounds.length().min(bounds.width()));
                    let edge =
                        if part.role == Role::TrailEnd { "the middle of its inner end" } else { "its inner edge" };
                    let note = format!(
                        "saw out the keeper's notch, {} wide and {} in, from {edge}, at its place in the dry lay",
                        self.say(long),
                        self.say(wide)
                    );
                    (Operation::Notch, note)
                }
                VoidKind::PushOut => {
                    let what =
                        if times > 1 { format!("the {times} push-out holes") } else { "the push-out hole".to_owned() };
                    (Operation::Bore, format!("bore {what} from the top, scrap wood underneath"))
                }
                _ => continue,
            };
            let tool = match operation {
                Operation::Bore if self.owns(Tool::DrillPress) => "drill press",
                Operation::Bore => "hand drill",
                Operation::Notch if self.owns(Tool::BandSaw) => "band saw",
                Operation::Notch if self.owns(Tool::Jigsaw) => "jigsaw",
                Operation::Notch => {
                    if !self.owns(Tool::Chisel) {
                        let text = "a keeper's notch needs a band saw, a jigsaw, or a chisel beside the hand saw";
                        self.refuse(Rule::ToolOwned, text.to_owned());
                    }
                    "hand saw and chisel"
                }
                _ if self.owns(Tool::Router) => "router with guide",
                _ if self.owns(Tool::Carver) => "carver",
                _ => "drill press and chisel",
            };
            self.step(SawStep {
                operation,
                tool,
                piece: part.id.clone(),
                before: part.size,
                setting: depth,
                makes: label(part),
                times,
                held: part.size.length,
                careful: false,
                note: format!("{tool}: {note}"),
            });
        }
    }

    /// Glue-up and the trims that make the carrier's own size.
    pub fn finish(&mut self, carrier: Extent, parts: &[Part], assembly: Assembly) {
        if parts.is_empty() || assembly == Assembly::Single {
            return;
        }
        let length = carrier.length + self.end_over(assembly) * 2;
        let width = carrier.width + if assembly == Assembly::Trimmed { self.spare.width } else { Length::ZERO };
        let before = Extent { length, width, thickness: carrier.thickness };
        let plain = |operation, tool, setting, note: String| SawStep {
            operation,
            tool,
            piece: "carrier".to_owned(),
            before,
            setting,
            makes: "carrier".to_owned(),
            times: 1,
            held: length,
            careful: false,
            note,
        };
        let note = "glue up the carrier as the build steps say; let it cure".to_owned();
        self.step(plain(Operation::GlueUp, "clamps", carrier.thickness, note));
        if assembly == Assembly::Trimmed {
            let tool = self.rip_tool(before.thickness);
            if before.length < before.width {
                self.refuse(Rule::RipSafe, "the carrier is wider than long: its last rip would not be safe".to_owned());
            }
            let note = format!(
                "{tool}: last rip off the far edge, finished fence edge against the fence, to {} wide",
                self.say(carrier.width)
            );
            self.step(plain(Operation::TrimRip, tool, carrier.width, note));
        }
        if assembly != Assembly::Untrimmed {
            let tool = self.crosscut_tool(carrier.width, carrier.thickness);
            let note = format!(
                "{tool}: trim {} off the lead end, then the trail end to {} long, both square",
                self.say(self.end_over(assembly)),
                self.say(carrier.length)
            );
            // The rip came first.
            let ripped = Extent { width: carrier.width, ..before };
            self.step(SawStep { before: ripped, ..plain(Operation::TrimCrosscut, tool, carrier.length, note) });
        }
    }
}

/// Widths of a part with one sloping edge, at its lead and its trail side.
fn end_widths(outline: &Outline) -> Option<(Length, Length)> {
    let Outline::Polygon(points) = outline else { return None };
    let bounds = outline.bounds();
    let across = |x: Length| {
        let ys = || points.iter().filter(|point| point.x == x).map(|point| point.y);
        Some(ys().max()? - ys().min()?)
    };
    Some((across(bounds.x0)?, across(bounds.x1)?))
}

/// Thickness of a wedge at its thick and its thin end, whichever way it lies.
fn wedge_ends(outline: &Outline) -> Option<(Length, Length)> {
    let along = end_widths(outline).filter(|(a, b)| *a > Length::ZERO && *b > Length::ZERO && a != b);
    let turned = || {
        let Outline::Polygon(points) = outline else { return None };
        end_widths(&Outline::Polygon(points.iter().map(|point| Point::new(point.y, point.x)).collect()))
    };
    let (a, b) = along.or_else(turned)?;
    Some((a.max(b), a.min(b)))
}
