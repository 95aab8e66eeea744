//! Cut list in an order that keeps hands away from blades.
//!
//! Every part comes out of a *parent* piece long enough to be held: parents are planed and ripped
//! while long, then crosscut, and a short part is always the piece that falls away. Assembled
//! carriers are built over-size and trimmed last.

use crate::design::{CutList, Extent, Operation, Parent, Part, Role, SawStep};
use crate::geometry::Outline;
use crate::length::Length;
use crate::request::{Request, Tool};

/// A piece shorter than this is never ripped. Common practice, no source; also in machine manuals.
const SHORTEST_RIP: Length = Length::inches(12, 1);
/// Length of the piece that stays under the hands in a crosscut. Common practice, no source.
const HAND_HOLD: Length = Length::inches(6, 1);
/// Waste at each end of a planed parent. Common practice, no source.
const SNIPE: Length = Length::inches(3, 1);
/// Over-length of long pieces, trimmed last.
const OVER_LENGTH: Length = Length::inches(1, 1);
/// Over-width taken off by the last rip.
const OVER_WIDTH: Length = Length::inches(1, 8);
/// Spare width to joint or straighten an edge.
const SPARE_WIDTH: Length = Length::inches(1, 4);
/// Narrower strips need a pushing block. Common practice, no source.
const NARROW: Length = Length::inches(3, 4);
/// What jointing takes off the two sawn edges of a split nest.
const JOINTING: Length = Length::inches(1, 16);

/// How the finished parts become a carrier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assembly {
    /// One board.
    Single,
    /// Glued up over-size and trimmed on all sides.
    Trimmed,
    /// Glued up; the far edge is the blank's own, so only the ends are trimmed.
    TrimmedEnds,
    /// Glued up; neither edges nor ends are trimmed (the blank's own).
    Untrimmed,
}

/// Size of the piece pulled for a panel (a base or a board) of finished size `length` x `width`.
pub fn panel_parent(request: &Request, length: Length, width: Length) -> (Length, Length) {
    let kerf = request.shop.kerf;
    let (long, short) = (length.max(width), length.min(width));
    let pulled = if long >= SHORTEST_RIP { long + OVER_LENGTH } else { (long + kerf + HAND_HOLD).max(SHORTEST_RIP) };
    (pulled, short + OVER_WIDTH + SPARE_WIDTH)
}

/// A cut of one setting, made once or several times.
struct Cut<'c> {
    /// What goes over the saw.
    piece: &'c str,
    /// Its size before.
    before: Extent,
    /// Fence or stop setting.
    to: Length,
    /// How often.
    times: usize,
    /// What comes off.
    makes: &'c str,
    /// Words that follow the setting.
    extra: &'c str,
}

struct Writer<'a> {
    request: &'a Request,
    list: CutList,
}

/// The cut list of a carrier made of `parts`.
pub fn cut_list(request: &Request, carrier: Extent, parts: &[Part], assembly: Assembly) -> CutList {
    let mut writer = Writer { request, list: CutList::default() };
    let is_panel = |part: &Part| matches!(part.role, Role::Board | Role::Base);
    for part in parts.iter().filter(|part| is_panel(part)) {
        writer.panel(part, assembly == Assembly::Trimmed);
    }
    for part in parts.iter().filter(|part| part.role == Role::NestHalf) {
        writer.nest_halves(part);
    }
    let sloped = |part: &Part| part.places.iter().any(|place| matches!(place.outline, Outline::Polygon(_)));
    let frame = |part: &&Part| {
        matches!(part.role, Role::FenceRail | Role::FarRail | Role::LeadEnd | Role::TrailEnd) && !sloped(part)
    };
    let (long, short): (Vec<&Part>, Vec<&Part>) =
        parts.iter().filter(frame).partition(|part| part.size.length >= SHORTEST_RIP);
    for group in grouped(&long, |a, b| {
        a.material == b.material && a.size.thickness == b.size.thickness && a.size.length == b.size.length
    }) {
        writer.strips(&group, assembly);
    }
    for group in grouped(&short, |a, b| {
        a.material == b.material && a.size.thickness == b.size.thickness && a.size.width == b.size.width
    }) {
        writer.short_pieces(&group);
    }
    for part in parts.iter().filter(|part| sloped(part) && part.role != Role::CornerBlock) {
        writer.tapered(part, assembly);
    }
    for part in parts.iter().filter(|part| part.role == Role::CornerBlock) {
        writer.corner_blocks(part);
    }
    for part in parts.iter().filter(|part| matches!(part.role, Role::Packing | Role::Shim)) {
        let id = format!("P{}", writer.list.parents.len() + 1);
        writer.list.parents.push(Parent {
            id,
            material: part.material.clone(),
            size: part.size,
            count: 1,
            yields: vec![(part.id.clone(), part.places.len())],
        });
    }
    for part in parts {
        writer.pockets(part);
    }
    writer.finish(carrier, parts, assembly);
    writer.list
}

/// Groups parts that can come out of one parent, in the order they stand.
fn grouped<'p>(parts: &[&'p Part], alike: impl Fn(&Part, &Part) -> bool) -> Vec<Vec<&'p Part>> {
    let mut groups: Vec<Vec<&Part>> = Vec::new();
    for part in parts {
        match groups.iter_mut().find(|group| group.first().is_some_and(|first| alike(first, part))) {
            Some(group) => group.push(part),
            None => groups.push(vec![part]),
        }
    }
    groups
}

impl Writer<'_> {
    fn say(&self, length: Length) -> String {
        self.request.shop.ruler.number(length)
    }

    fn kerf(&self) -> Length {
        self.request.shop.kerf
    }

    fn owns(&self, tool: Tool) -> bool {
        self.request.shop.tools.contains(&tool)
    }

    fn rip_tool(&self) -> &'static str {
        if self.owns(Tool::TableSaw) { "table saw" } else { "band saw with fence" }
    }

    fn crosscut_tool(&self, width: Length) -> &'static str {
        // A mitre saw of usual size cuts boards to about 6 in wide; wider ones go over a sled.
        if self.owns(Tool::MitreSaw) && (width <= Length::inches(6, 1) || !self.owns(Tool::TableSaw)) {
            "mitre saw"
        } else if self.owns(Tool::TableSaw) {
            "table saw with sled"
        } else {
            "band saw with mitre gauge"
        }
    }

    /// Writes down a parent, and the glue-up of its layers where it has several.
    fn parent(
        &mut self,
        part: &Part,
        length: Length,
        width: Length,
        count: usize,
        yields: Vec<(String, usize)>,
    ) -> String {
        let id = format!("P{}", self.list.parents.len() + 1);
        let layers = part.layers.max(1);
        let layer = Length::from_ticks(part.size.thickness.ticks() / i64::from(layers));
        let size = Extent { length, width, thickness: layer };
        let count = count * usize::try_from(layers).unwrap_or(1);
        self.list.parents.push(Parent { id: id.clone(), material: part.material.clone(), size, count, yields });
        if layers > 1 {
            let note = format!(
                "glue {layers} layers of {} face to face, flat under clamps; let them cure a day before they are worked",
                part.material
            );
            self.step(SawStep {
                operation: Operation::GlueUp,
                tool: "clamps",
                piece: id.clone(),
                before: Extent { length, width, thickness: part.size.thickness },
                setting: part.size.thickness,
                makes: id.clone(),
                times: 1,
                held: length,
                careful: false,
                note,
            });
        }
        id
    }

    fn step(&mut self, step: SawStep) {
        self.list.steps.push(step);
    }

    fn is_planed(&self, part: &Part) -> bool {
        part.material == self.request.board.name
    }

    fn planer(&self) -> (&'static str, Length) {
        if self.owns(Tool::Planer) {
            ("planer", self.request.shop.planer_shortest)
        } else {
            ("drum sander", self.request.shop.sander_shortest)
        }
    }

    /// Length of a planed parent: the planer's shortest, with waste for snipe.
    fn planed_length(&self, part: &Part, length: Length) -> Length {
        if self.is_planed(part) { (length + SNIPE).max(self.planer().1) } else { length }
    }

    fn plane(&mut self, part: &Part, piece: &str, before: Extent) {
        if !self.is_planed(part) {
            return;
        }
        let (tool, _) = self.planer();
        let thickness = self.request.shop.depth_ruler.number(part.size.thickness);
        self.step(SawStep {
            operation: Operation::Plane,
            tool,
            piece: piece.to_owned(),
            before,
            setting: part.size.thickness,
            makes: piece.to_owned(),
            times: 1,
            held: before.length,
            careful: false,
            note: format!("{tool}: {piece} to {thickness} thick while it is long, no metal in it; the first and last 3 in may be thinner, keep them as waste"),
        });
    }

    fn rip(&mut self, cut: Cut<'_>) {
        let Cut { piece, before, to: width, times, makes, extra } = cut;
        let tool = self.rip_tool();
        let narrow = width < NARROW;
        let block = if narrow { "; pushing block" } else { "" };
        let note = format!(
            "{tool}: rip {makes} from {piece}, fence at {}{}{extra}{block}",
            self.say(width),
            if times > 1 { format!(", {times} cuts") } else { String::new() }
        );
        self.step(SawStep {
            operation: Operation::Rip,
            tool,
            piece: piece.to_owned(),
            before,
            setting: width,
            makes: makes.to_owned(),
            times,
            held: before.length,
            careful: narrow,
            note,
        });
    }

    fn crosscut(&mut self, cut: Cut<'_>, held: Length) {
        let Cut { piece, before, to: length, times, makes, extra } = cut;
        let tool = self.crosscut_tool(before.width);
        let note = format!(
            "{tool}: crosscut {makes} from {piece} at {}{}{extra}; hand on the long end ({} or more stays)",
            self.say(length),
            if times > 1 { format!(", {times} times") } else { String::new() },
            self.say(held)
        );
        self.step(SawStep {
            operation: Operation::Crosscut,
            tool,
            piece: piece.to_owned(),
            before,
            setting: length,
            makes: makes.to_owned(),
            times,
            held,
            careful: false,
            note,
        });
    }

    /// A base or a one-board carrier.
    fn panel(&mut self, part: &Part, over_size: bool) {
        let count = part.places.len();
        let (length, width) = panel_parent(self.request, part.size.length, part.size.width);
        let yields = vec![(part.id.clone(), count)];
        let id = self.parent(part, length, width, count, yields);
        let before = Extent { length, width, thickness: part.size.thickness };
        // The longer side runs along the fence, whichever way the carrier is fed.
        let (long, short) = (part.size.length.max(part.size.width), part.size.length.min(part.size.width));
        let (rip_to, extra) = if over_size {
            (short + OVER_WIDTH, format!(" ({} and {} over, trimmed last)", self.say(short), self.say(OVER_WIDTH)))
        } else {
            (short, String::new())
        };
        self.rip(Cut { piece: &id, before, to: rip_to, times: 1, makes: &label(part), extra: &extra });
        if !over_size {
            let ripped = Extent { width: rip_to, ..before };
            let held = if long >= SHORTEST_RIP { long } else { length - long - self.kerf() };
            self.crosscut(
                Cut {
                    piece: &id,
                    before: ripped,
                    to: long,
                    times: 1,
                    makes: &label(part),
                    extra: " (square one end first)",
                },
                held,
            );
        }
    }

    /// Two boards with a half-round each: ripped and jointed before the rounds are struck.
    fn nest_halves(&mut self, part: &Part) {
        let halves = part.places.len();
        let both = Length::from_ticks(part.size.width.ticks() * halves as i64);
        let length = self.planed_length(part, part.size.length + OVER_LENGTH);
        let width = both + self.kerf() + JOINTING + SPARE_WIDTH + OVER_WIDTH;
        let id = self.parent(part, length, width, 1, vec![(part.id.clone(), halves)]);
        let before = Extent { length, width, thickness: part.size.thickness };
        self.plane(part, &id, before);
        self.rip(Cut {
            piece: &id,
            before,
            to: part.size.width + JOINTING.half_up(),
            times: halves,
            makes: &label(part),
            extra: "; joint the sawn edges, then strike the half-rounds from the jointed edges",
        });
        let half = Extent { length, width: part.size.width, thickness: part.size.thickness };
        let tool = if self.owns(Tool::BandSaw) { "band saw" } else { "jigsaw" };
        self.step(SawStep {
            operation: Operation::SawRound,
            tool,
            piece: part.id.clone(),
            before: half,
            setting: part.size.width,
            makes: label(part),
            times: halves,
            held: length,
            careful: true,
            note: format!(
                "{tool}: saw the half-round out of each {}, board flat on the table, both hands on the board's ends",
                part.name
            ),
        });
    }

    /// Rails and other strips long enough to be ripped at their own length.
    fn strips(&mut self, group: &[&Part], assembly: Assembly) {
        let Some(first) = group.first() else { return };
        let over = assembly == Assembly::Trimmed;
        let pieces: usize = group.iter().map(|part| part.places.len()).sum();
        let total: Length =
            group.iter().map(|part| Length::from_ticks(part.size.width.ticks() * part.places.len() as i64)).sum();
        let length = self.planed_length(first, first.size.length + OVER_LENGTH);
        let width = total + self.kerf() * pieces as i64 + SPARE_WIDTH + if over { OVER_WIDTH } else { Length::ZERO };
        // A parent wider than it is long could not be ripped; it is pulled longer instead.
        let length = length.max(width);
        let yields = group.iter().map(|part| (part.id.clone(), part.places.len())).collect();
        let id = self.parent(first, length, width, 1, yields);
        let before = Extent { length, width, thickness: first.size.thickness };
        self.plane(first, &id, before);
        let trims_far = |part: &Part| over && (part.role == Role::FarRail || part.places.len() > 1);
        for part in group {
            let far = usize::from(trims_far(part));
            if part.places.len() > far {
                self.rip(Cut {
                    piece: &id,
                    before,
                    to: part.size.width,
                    times: part.places.len() - far,
                    makes: &label(part),
                    extra: "",
                });
            }
            if far > 0 {
                let wide = part.size.width + OVER_WIDTH;
                let extra = format!(" (the far one: {} over, the last rip takes it off)", self.say(OVER_WIDTH));
                self.rip(Cut { piece: &id, before, to: wide, times: far, makes: &label(part), extra: &extra });
            }
        }
        if assembly == Assembly::Single || assembly == Assembly::Untrimmed {
            for part in group {
                let strip = Extent { length, width: part.size.width, thickness: part.size.thickness };
                let held = part.size.length;
                self.crosscut(
                    Cut {
                        piece: &part.id,
                        before: strip,
                        to: held,
                        times: part.places.len(),
                        makes: &label(part),
                        extra: "",
                    },
                    held,
                );
            }
        }
    }

    /// Pieces too short to be ripped: all from one parent, crosscut last.
    fn short_pieces(&mut self, group: &[&Part]) {
        let Some(first) = group.first() else { return };
        let kerf = self.kerf();
        let needed: Length = group
            .iter()
            .map(|part| Length::from_ticks((part.size.length + kerf).ticks() * part.places.len() as i64))
            .sum();
        let width = first.size.width + kerf + SPARE_WIDTH;
        let length = self.planed_length(first, needed + HAND_HOLD).max(SHORTEST_RIP).max(width);
        let yields = group.iter().map(|part| (part.id.clone(), part.places.len())).collect();
        let id = self.parent(first, length, width, 1, yields);
        let before = Extent { length, width, thickness: first.size.thickness };
        self.plane(first, &id, before);
        self.rip(Cut {
            piece: &id,
            before,
            to: first.size.width,
            times: 1,
            makes: &id,
            extra: " to the width of the parts",
        });
        let mut left = length;
        for part in group {
            let ripped = Extent { length: left, width: part.size.width, thickness: part.size.thickness };
            let count = part.places.len();
            left -= Length::from_ticks((part.size.length + kerf).ticks() * count as i64);
            self.crosscut(
                Cut {
                    piece: &id,
                    before: ripped,
                    to: part.size.length,
                    times: count,
                    makes: &label(part),
                    extra: "; the part is the piece that falls away",
                },
                left,
            );
        }
    }

    /// Parts with one sloping edge: the slope is sawn while the board is long.
    fn tapered(&mut self, part: &Part, assembly: Assembly) {
        let long = part.size.length >= SHORTEST_RIP;
        let kerf = self.kerf();
        let needed = if long { part.size.length + OVER_LENGTH } else { part.size.length + kerf + HAND_HOLD };
        let over = if long && assembly == Assembly::Trimmed { OVER_WIDTH } else { Length::ZERO };
        let width = part.size.width + kerf + SPARE_WIDTH + over;
        let length = self.planed_length(part, needed).max(SHORTEST_RIP).max(width);
        let id = self.parent(part, length, width, 1, vec![(part.id.clone(), part.places.len())]);
        let before = Extent { length, width, thickness: part.size.thickness };
        self.plane(part, &id, before);
        self.rip(Cut { piece: &id, before, to: part.size.width + over, times: 1, makes: &id, extra: " to its widest" });
        let tool = self.rip_tool();
        let ripped = Extent { width: part.size.width + over, ..before };
        self.step(SawStep {
            operation: Operation::TaperRip,
            tool,
            piece: id.clone(),
            before: ripped,
            setting: part.size.width,
            makes: label(part),
            times: 1,
            held: length,
            careful: true,
            note: format!(
                "{tool} with taper sled: saw the slope on {id} while it is long; both end widths are on the drawing"
            ),
        });
        if !long {
            let held = length - part.size.length - kerf;
            self.crosscut(
                Cut {
                    piece: &id,
                    before: ripped,
                    to: part.size.length,
                    times: 1,
                    makes: &label(part),
                    extra: "; the part is the piece that falls away",
                },
                held,
            );
        } else if assembly == Assembly::Untrimmed || assembly == Assembly::Single {
            self.crosscut(
                Cut { piece: &id, before: ripped, to: part.size.length, times: 1, makes: &label(part), extra: "" },
                part.size.length,
            );
        }
    }

    /// Right-angled triangles, mitred off a strip in turn.
    fn corner_blocks(&mut self, part: &Part) {
        let count = part.places.len();
        let kerf = self.kerf();
        // Each mitred triangle takes its long side and, at 45 degrees, not quite two kerfs of the strip.
        let each = part.size.length + kerf * 2;
        let width = part.size.width + kerf + SPARE_WIDTH;
        let needed = Length::from_ticks(each.ticks() * count as i64) + HAND_HOLD;
        let length = self.planed_length(part, needed).max(SHORTEST_RIP);
        let id = self.parent(part, length, width, 1, vec![(part.id.clone(), count)]);
        let before = Extent { length, width, thickness: part.size.thickness };
        self.plane(part, &id, before);
        self.rip(Cut {
            piece: &id,
            before,
            to: part.size.width,
            times: 1,
            makes: &id,
            extra: " to the height of the triangles",
        });
        let strip = Extent { width: part.size.width, ..before };
        let held = length - Length::from_ticks(each.ticks() * count as i64);
        self.crosscut(
            Cut {
                piece: &id,
                before: strip,
                to: part.size.length,
                times: count,
                makes: &label(part),
                extra: ", saw at 45 degrees left and right in turn; the part is the piece that falls away",
            },
            held,
        );
    }

    fn pockets(&mut self, part: &Part) {
        use crate::design::VoidKind;
        let voids = || part.places.iter().flat_map(|place| &place.voids);
        let relieved = voids().any(|void| void.kind == VoidKind::Relief);
        for void in voids() {
            let (operation, note) = match void.kind {
                VoidKind::Pocket if part.role == Role::Board => (
                    Operation::Pocket,
                    format!(
                        "sink the pocket to {} deep, floor flat{}",
                        self.request.shop.depth_ruler.number(void.z1 - void.z0),
                        if relieved { ", corners relieved" } else { "" }
                    ),
                ),
                VoidKind::Under => (
                    Operation::Pocket,
                    format!(
                        "sink the room for the relief {} below the pocket's floor",
                        self.request.shop.depth_ruler.number(void.z1 - void.z0)
                    ),
                ),
                VoidKind::PushOut => {
                    (Operation::Bore, "bore the push-out hole from the top, scrap wood underneath".to_owned())
                }
                _ => continue,
            };
            let tool = match operation {
                Operation::Bore if self.owns(Tool::DrillPress) => "drill press",
                Operation::Bore => "hand drill",
                _ if self.owns(Tool::Router) => "router with guide",
                _ if self.owns(Tool::Carver) => "carver",
                _ => "drill press and chisel",
            };
            self.step(SawStep {
                operation,
                tool,
                piece: part.id.clone(),
                before: part.size,
                setting: void.z1 - void.z0,
                makes: label(part),
                times: 1,
                held: part.size.length,
                careful: false,
                note: format!("{tool}: {note}"),
            });
        }
    }

    fn finish(&mut self, carrier: Extent, parts: &[Part], assembly: Assembly) {
        if parts.is_empty() || assembly == Assembly::Single {
            return;
        }
        let (mut length, mut width) = (carrier.length, carrier.width);
        if assembly != Assembly::Untrimmed {
            length += OVER_LENGTH;
        }
        if assembly == Assembly::Trimmed {
            width += OVER_WIDTH;
        }
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
        self.step(plain(
            Operation::GlueUp,
            "clamps",
            carrier.thickness,
            "glue up the carrier as the build steps say; let it cure".to_owned(),
        ));
        if assembly == Assembly::Trimmed {
            let tool = self.rip_tool();
            let note = format!(
                "{tool}: last rip off the far edge, finished fence edge against the fence, to {} wide",
                self.say(carrier.width)
            );
            self.step(plain(Operation::TrimRip, tool, carrier.width, note));
        }
        if assembly != Assembly::Untrimmed {
            let tool = self.crosscut_tool(carrier.width);
            let note = format!(
                "{tool}: trim both ends square, to {} long, keeping the lead end as dimensioned",
                self.say(carrier.length)
            );
            self.step(plain(Operation::TrimCrosscut, tool, carrier.length, note));
        }
    }
}

fn label(part: &Part) -> String {
    format!("{} ({})", part.id, part.name)
}
