//! The cut list of one carrier, replayed: every piece pulled is sawn again on paper, step by step, with the
//! kerf taken off, until the parts lie on the bench.
//!
//! Nothing here knows how the list was written. What a step says of the piece it starts from is not
//! believed but held against the piece as the steps before it have left it; the trade's rules are asked of
//! that piece, and every part has to come out of the parent that is named for it, at its size, as often as
//! the carrier has it.

use std::collections::BTreeMap;

use super::sawn::{Sawn, Trims, fits};
use super::{lengths, none_of, numbers};
use crate::design::Relation::{AtLeast, Equal};
use crate::design::{Check, Design, Extent, Operation, Parent, Part, Role, SawStep, VoidKind};
use crate::length::Length;
use crate::request::{Request, Tool};
use crate::rules::Rule;

/// Shortest piece that is ripped, or goes on a taper sled.
const RIP_LEAST: Length = Length::inches(12, 1);
/// What the held piece reaches beyond a crosscut.
const HELD_LEAST: Length = Length::inches(6, 1);
/// A strip narrower than this is ripped with a pushing block.
const BLOCK_BELOW: Length = Length::inches(3, 4);
/// A narrower one is never between blade and fence.
const NARROWEST: Length = Length::inches(1, 4);
/// Waste at each end of a planed piece.
const SNIPE: Length = Length::inches(3, 1);
/// What stays on the sled of a board that wedges are sawn off.
const ON_SLED: Length = Length::inches(3, 1);
/// Pieces on the bench, at the most.
const MOST_BARS: usize = 20_000;

/// Every rule of a cut list with its numbers.
pub fn cut_list(request: &Request, design: &Design) -> Vec<Check> {
    replayed(request, design, &|parent, _| parent.size)
}

/// The same with pieces that are not quite those of the list: `pulled` gives the size of each of a parent's
/// pieces, by its number from 0.
pub(super) fn replayed(request: &Request, design: &Design, pulled: &dyn Fn(&Parent, usize) -> Extent) -> Vec<Check> {
    // Before the thickness is measured nothing is cut, and no thickness is meant.
    if design.parts.is_empty() || request.blank.thickness.is_none() {
        return Vec::new();
    }
    let mut replay = Replay {
        request,
        design,
        kerf: request.shop.kerf,
        benches: BTreeMap::new(),
        made: BTreeMap::new(),
        faults: Vec::new(),
        checks: Vec::new(),
        unowned: 0,
    };
    for parent in &design.cut_list.parents {
        replay.pull(parent, pulled);
    }
    for (place, step) in design.cut_list.steps.iter().enumerate() {
        replay.step(place, step);
    }
    replay.settle();
    let (mut checks, faults, unowned) = (replay.checks, replay.faults, replay.unowned);
    // One check a fault, so that each is told; one that holds where there is none.
    for fault in &faults {
        numbers(&mut checks, Rule::CutsAddUp, fault, 1.0, Equal, 0.0, "");
    }
    let subject = "steps and parts of the cut list that do not add up";
    none_of(&mut checks, Rule::CutsAddUp, subject, faults.len());
    none_of(&mut checks, Rule::ToolOwned, "pieces larger than their saw takes", unowned);
    checks
}

/// What lies on the bench of one parent.
#[derive(Default)]
struct Bench {
    /// Wood that is still to be cut up.
    bars: Vec<Extent>,
    /// What fell off beside a rip.
    beside: Vec<Extent>,
    /// Strips that have a part's name on them.
    strips: BTreeMap<String, Vec<Extent>>,
    /// Width at the narrow end and how often, where the end of the wood was sawn to a taper.
    taper: Option<(Length, usize)>,
}

struct Replay<'a> {
    request: &'a Request,
    design: &'a Design,
    kerf: Length,
    benches: BTreeMap<&'a str, Bench>,
    /// Parts by their letter, with the parent each came out of.
    made: BTreeMap<String, Vec<(String, Sawn)>>,
    faults: Vec<String>,
    checks: Vec<Check>,
    /// Cuts that the named tool is too small for.
    unowned: usize,
}

fn name(place: usize, step: &SawStep) -> String {
    format!("step {}: {}", place + 1, step.piece)
}

/// The letter of the part that a step makes.
fn letter(step: &SawStep) -> &str {
    step.makes.split(' ').next().unwrap_or_default()
}

impl<'a> Replay<'a> {
    fn part(&self, id: &str) -> Option<&'a Part> {
        self.design.parts.iter().find(|part| part.id == id)
    }

    fn fault(&mut self, text: String) {
        self.faults.push(text);
    }

    fn pull(&mut self, parent: &'a Parent, pulled: &dyn Fn(&Parent, usize) -> Extent) {
        if parent.count > MOST_BARS {
            return self.fault(format!("{}: more pieces than can be counted", parent.id));
        }
        let bars = (0..parent.count).map(|number| pulled(parent, number)).collect();
        let bench = Bench { bars, ..Bench::default() };
        if self.benches.insert(&parent.id, bench).is_some() {
            self.fault(format!("two parents are called {}", parent.id));
        }
    }

    fn step(&mut self, place: usize, step: &'a SawStep) {
        let subject = name(place, step);
        if step.piece == "carrier" {
            return self.carrier(&subject, step);
        }
        if self.benches.contains_key(step.piece.as_str()) {
            match step.operation {
                Operation::GlueUp => self.glue(&subject, step),
                Operation::Plane => self.plane(&subject, place, step),
                Operation::Rip => self.rip(&subject, step),
                Operation::BevelRip => self.bevel(&subject, step),
                Operation::Crosscut if step.makes == "waste" => self.square(&subject, step),
                Operation::Crosscut => self.crosscut(&subject, &step.piece, step),
                Operation::TaperRip => self.taper(&subject, place, step),
                _ => self.fault(format!("{subject} is not a step for a piece that is no part yet")),
            }
            return;
        }
        let Some(part) = self.part(&step.piece) else {
            return self.fault(format!("{subject}: there is no such piece"));
        };
        // Parts sawn to length from strips that already carry their letter.
        let from = self.benches.iter().find(|(_, bench)| bench.strips.contains_key(&part.id));
        let from = from.map(|(id, _)| (*id).to_owned());
        match (step.operation, from) {
            (Operation::Crosscut, Some(from)) => self.crosscut(&subject, &from, step),
            (Operation::Crosscut, None) => self.fault(format!("{subject}: there is nothing to cut it from")),
            (Operation::Pocket | Operation::Bore, from) => {
                if from.is_none() && !self.made.contains_key(&part.id) {
                    self.fault(format!("{subject} is worked before it is there"));
                }
                if step.setting > part.size.thickness {
                    self.fault(format!("{subject}: deeper than it is thick"));
                }
            }
            (Operation::SawRound | Operation::Notch, from) => {
                if from.is_none() && !self.made.contains_key(&part.id) {
                    self.fault(format!("{subject} is worked before it is there"));
                }
                let round = step.operation == Operation::SawRound;
                if round && (step.setting != part.size.width || !has_hole(part)) {
                    self.fault(format!("{subject}: nothing of that width is sawn out of it"));
                }
            }
            _ => self.fault(format!("{subject} is not a step for a part")),
        }
    }

    /// What a step says of the wood it starts from.
    fn believes(&mut self, subject: &str, step: &SawStep, is: Extent) {
        let said = step.before;
        if said.length != is.length || said.thickness != is.thickness {
            self.fault(format!("{subject}: it is not that long or thick by then"));
        }
        // Strips of several widths share a line; none is larger than what was pulled.
        let ripped = matches!(step.operation, Operation::Rip | Operation::TaperRip | Operation::BevelRip);
        if ripped && said.width < is.width {
            self.fault(format!("{subject}: it is wider by then"));
        }
    }

    fn saw_takes(&mut self, step: &SawStep, is: Extent) {
        let shop = &self.request.shop;
        let has = |tool: Tool| shop.tools.contains(&tool);
        let takes = if step.tool.contains("table saw") {
            has(Tool::TableSaw) && is.thickness <= shop.saw_height
        } else if step.tool.contains("mitre saw") {
            // It cannot rip.
            let across = step.operation == Operation::Crosscut;
            across && has(Tool::MitreSaw) && is.width <= shop.mitre_width && is.thickness <= shop.mitre_height
        } else {
            step.tool.contains("band saw") && has(Tool::BandSaw)
        };
        self.unowned += usize::from(!takes);
    }

    fn ripped(&mut self, subject: &str, step: &SawStep, is: Extent) {
        self.saw_takes(step, is);
        lengths(&mut self.checks, Rule::RipSafe, subject, is.length, AtLeast, RIP_LEAST.max(is.width));
        if step.held > is.length {
            lengths(&mut self.checks, Rule::RipSafe, &format!("{subject}, as written"), is.length, AtLeast, step.held);
        }
    }

    fn bench(&mut self, id: &str) -> Bench {
        self.benches.get_mut(id).map(std::mem::take).unwrap_or_default()
    }

    fn put(&mut self, id: &str, bench: Bench) {
        if let Some(place) = self.benches.get_mut(id) {
            *place = bench;
        }
    }

    /// Layers glued face to face.
    fn glue(&mut self, subject: &str, step: &SawStep) {
        let mut bench = self.bench(&step.piece);
        let parent = self.design.cut_list.parents.iter().find(|parent| parent.id == step.piece);
        let part = parent.and_then(|parent| parent.yields.first()).and_then(|(id, _)| self.part(id));
        let layers = part.map_or(1, |part| usize::try_from(part.layers.max(1)).unwrap_or(1));
        if !bench.bars.len().is_multiple_of(layers) {
            self.fault(format!("{subject}: layers are left over"));
        }
        let height = i64::try_from(layers).unwrap_or(1);
        let glued = bench.bars.len() / layers;
        bench.bars.truncate(glued);
        for bar in &mut bench.bars {
            bar.thickness = bar.thickness * height;
        }
        let planed = part.is_some_and(|part| part.material == self.request.board.name);
        // What is planed next is glued thicker.
        let high = bench.bars.first().is_some_and(|bar| bar.thickness == step.setting || planed);
        if layers < 2 || step.times != 1 || !high || part.is_some_and(|part| part.size.thickness != step.setting) {
            self.fault(format!("{subject}: its layers do not come to its thickness"));
        }
        self.put(&step.piece, bench);
    }

    fn plane(&mut self, subject: &str, place: usize, step: &SawStep) {
        let mut bench = self.bench(&step.piece);
        let shop = &self.request.shop;
        let sander = step.tool.contains("sander");
        let least = if sander { shop.sander_shortest } else { shop.planer_shortest };
        let widest = if sander { shop.sander_widest } else { shop.planer_widest };
        for bar in &mut bench.bars {
            if bar.thickness < step.setting {
                self.faults.push(format!("{subject}: it is thinner than it is planed to"));
            }
            self.unowned += usize::from(bar.width > widest);
            bar.thickness = step.setting;
        }
        if let Some(bar) = bench.bars.first() {
            lengths(&mut self.checks, Rule::PlanerLength, subject, bar.length, AtLeast, least);
            // Its thickness is said as it comes out of the machine.
            self.believes(subject, step, *bar);
        }
        // Its ends come off before anything else is done to it.
        let after = self.design.cut_list.steps.iter().skip(place + 1).find(|other| other.piece == step.piece);
        let ends = after.filter(|other| other.operation == Operation::Crosscut && other.makes == "waste");
        let taken = ends.filter(|ends| ends.times >= 2).map_or(Length::ZERO, |ends| ends.setting);
        lengths(&mut self.checks, Rule::SnipeWaste, subject, taken, AtLeast, SNIPE);
        self.put(&step.piece, bench);
    }

    /// Waste off the ends.
    fn square(&mut self, subject: &str, step: &SawStep) {
        let mut bench = self.bench(&step.piece);
        let times = i64::try_from(step.times).unwrap_or(i64::from(u16::MAX)).min(i64::from(u16::MAX));
        if let Some(bar) = bench.bars.first() {
            self.believes(subject, step, *bar);
            self.saw_takes(step, *bar);
        }
        for bar in &mut bench.bars {
            bar.length -= (step.setting + self.kerf) * times;
        }
        let left = bench.bars.iter().map(|bar| bar.length).min().unwrap_or_default();
        self.held(subject, step, left);
        self.put(&step.piece, bench);
    }

    /// What is under the hands in a crosscut, and that the list promises no more.
    fn held(&mut self, subject: &str, step: &SawStep, is: Length) {
        lengths(&mut self.checks, Rule::CrosscutSafe, subject, is, AtLeast, HELD_LEAST);
        if step.held > is {
            lengths(&mut self.checks, Rule::CrosscutSafe, &format!("{subject}, as written"), is, AtLeast, step.held);
        }
    }

    fn rip(&mut self, subject: &str, step: &SawStep) {
        let told = step.setting >= BLOCK_BELOW || (step.careful && step.note.contains("pushing block"));
        let safe = told && step.setting >= NARROWEST;
        numbers(&mut self.checks, Rule::NarrowRip, subject, f64::from(u8::from(safe)), AtLeast, 1.0, "");
        let mut bench = self.bench(&step.piece);
        if let Some(bar) = bench.bars.first() {
            self.ripped(subject, step, *bar);
            self.believes(subject, step, *bar);
        }
        let mut strips = Vec::new();
        for _ in 0..step.times.min(MOST_BARS) {
            let Some(bar) = bench.bars.iter_mut().find(|bar| bar.width >= step.setting) else {
                self.faults.push(format!("{subject}: the width does not give {} strips and their kerfs", step.times));
                break;
            };
            if bar.width - step.setting < self.request.step() {
                self.faults.push(format!("{subject}: it is of that width already"));
            }
            strips.push(Extent { width: step.setting, ..*bar });
            bar.width -= step.setting + self.kerf;
        }
        if step.makes == step.piece {
            bench.beside.append(&mut bench.bars);
            bench.beside.retain(|bar| bar.width > Length::ZERO);
            bench.bars = strips;
        } else if self.part(letter(step)).is_some() {
            bench.strips.entry(letter(step).to_owned()).or_default().append(&mut strips);
        } else {
            self.fault(format!("{subject} makes no part of this carrier"));
        }
        self.put(&step.piece, bench);
    }

    fn bevel(&mut self, subject: &str, step: &SawStep) {
        let bench = self.bench(&step.piece);
        if let Some(bar) = bench.bars.first() {
            self.ripped(subject, step, *bar);
            self.believes(subject, step, *bar);
            if bar.width != step.setting || step.times != 2 {
                self.fault(format!("{subject}: two edges are bevelled, and the wide face keeps its width"));
            }
        }
        self.put(&step.piece, bench);
    }

    /// A slope sawn on the sled: off a whole piece, at the end of one that is then cut off, or wedge after
    /// wedge off the edge of a board.
    fn taper(&mut self, subject: &str, place: usize, step: &SawStep) {
        let sled = step.careful && step.note.contains("taper sled");
        numbers(&mut self.checks, Rule::TaperSled, subject, f64::from(u8::from(sled)), AtLeast, 1.0, "");
        let mut bench = self.bench(&step.piece);
        let own = self.part(letter(step));
        let named = own.and_then(|part| bench.strips.get(&part.id)).and_then(|strips| strips.first());
        let Some(mut bar) = named.or(bench.bars.first()).copied() else {
            return self.fault(format!("{subject}: there is no such piece any more"));
        };
        // Wedges cut off in between make it shorter before the last slope is sawn.
        let next = self.design.cut_list.steps.iter().skip(place + 1).find(|other| other.piece == step.piece);
        if let Some(cut) = next.filter(|next| next.operation == Operation::Crosscut && own.is_none()) {
            let before = i64::try_from(step.times.min(MOST_BARS)).unwrap_or(1) - 1;
            bar.length -= (cut.setting + self.kerf) * before.max(0);
        }
        lengths(&mut self.checks, Rule::TaperSled, subject, bar.length, AtLeast, RIP_LEAST);
        self.ripped(subject, step, bar);
        self.believes(subject, step, bar);
        match own {
            Some(part) if part.role == Role::WedgeShim => {
                let sawn = self.wedge_shims(subject, step, &mut bench, part);
                self.made.entry(part.id.clone()).or_default().extend(sawn);
            }
            Some(part) => {
                let pool = if named.is_some() { bench.strips.remove(&part.id) } else { None };
                let bars = pool.unwrap_or_else(|| std::mem::take(&mut bench.bars));
                if bars.len() != step.times {
                    self.fault(format!("{subject}: {} slopes on {} pieces", step.times, bars.len()));
                }
                let sawn = bars.into_iter().map(|size| Sawn { size, narrow: Some(step.setting), stopped: false });
                let sawn: Vec<_> = sawn.map(|sawn| (step.piece.clone(), sawn)).collect();
                self.made.entry(part.id.clone()).or_default().extend(sawn);
            }
            None if step.makes == step.piece => bench.taper = Some((step.setting, step.times)),
            None => self.fault(format!("{subject} makes no part of this carrier")),
        }
        self.put(&step.piece, bench);
    }

    /// Wedges off the edge of boards. Each takes no more width than its thick end and a kerf.
    fn wedge_shims(&mut self, subject: &str, step: &SawStep, bench: &mut Bench, part: &Part) -> Vec<(String, Sawn)> {
        let mut sawn = Vec::new();
        for _ in 0..step.times.min(MOST_BARS) {
            let rise = (part.size.thickness - step.setting) / part.size.length;
            // Of several boards each gives its share.
            let widest = bench.bars.iter_mut().reduce(|most, bar| if bar.width > most.width { bar } else { most });
            let taken = widest.and_then(|bar| {
                // Marked at the board's own end, with the finer ruler.
                let high = step.setting + Length::from_mm(rise * bar.length.to_mm()).unwrap_or_default();
                let each = high.nearest(self.request.depth_step()) + self.kerf;
                (bar.width >= each).then(|| {
                    bar.width -= each;
                    *bar
                })
            });
            let Some(bar) = taken else {
                self.faults.push(format!("{subject}: the boards do not give {} wedges", step.times));
                break;
            };
            lengths(&mut self.checks, Rule::TaperSled, &format!("{subject}, on the sled"), bar.width, AtLeast, ON_SLED);
            // Longer ones are cut off by hand, from the thin end.
            let length = bar.length.min(part.size.length);
            let high = step.setting + Length::from_mm(rise * length.to_mm()).unwrap_or_default();
            let size = Extent { length, width: bar.thickness, thickness: high };
            sawn.push((step.piece.clone(), Sawn { size, narrow: Some(step.setting), stopped: true }));
        }
        sawn
    }

    /// Parts off the end of strips, or out of what is left of a parent.
    fn crosscut(&mut self, subject: &str, from: &str, step: &SawStep) {
        let Some(part) = self.part(letter(step)) else {
            return self.fault(format!("{subject} makes no part of this carrier"));
        };
        let mut bench = self.bench(from);
        let named = bench.strips.remove(&part.id);
        let own = named.is_some();
        let mut bars = named.unwrap_or_else(|| std::mem::take(&mut bench.bars));
        // A board ripped down the middle gives two strips with one cut.
        let alike = |bar: &Extent| (bar.width - part.size.width).abs() < self.request.step();
        if part.role == Role::CradleStrip {
            let halves = if own { &mut bench.bars } else { &mut bench.beside };
            let (more, rest): (Vec<Extent>, Vec<Extent>) = halves.drain(..).partition(alike);
            *halves = rest;
            bars.extend(more);
        }
        if let Some(bar) = bars.first() {
            self.believes(subject, step, *bar);
        }
        if let Some(widest) = bars.iter().max_by_key(|bar| bar.width) {
            self.saw_takes(step, *widest);
        }
        // Two mitres and the wood between them: a triangle takes no more than its long side and two kerfs.
        let loss = if part.role == Role::CornerBlock { self.kerf * 2 } else { self.kerf };
        let mut least: Option<Length> = None;
        let mut sawn = Vec::new();
        let taper = bench.taper.take();
        if taper.is_some_and(|(_, times)| times != step.times) {
            self.fault(format!("{subject}: as many slopes are sawn as pieces cut off"));
        }
        let narrow = taper.map(|(narrow, _)| narrow);
        for _ in 0..step.times.min(MOST_BARS) {
            // A part that is to fall away is not what is held.
            let part_held = if step.note.contains("falls away") { Length::ZERO } else { step.setting };
            let held = |bar: &Extent| (bar.length - step.setting - loss).max(part_held);
            let there = |bar: &&mut Extent| bar.length >= step.setting;
            let safe = bars.iter().position(|bar| bar.length >= step.setting && held(bar) >= HELD_LEAST);
            let bar = match safe {
                Some(place) => bars.get_mut(place),
                None => bars.iter_mut().find(there),
            };
            let Some(bar) = bar else {
                self.faults.push(format!("{subject}: the length does not give {} pieces and their kerfs", step.times));
                break;
            };
            if bar.length > step.setting {
                let held = held(bar);
                least = Some(least.map_or(held, |least| least.min(held)));
            }
            let size = Extent { length: step.setting, ..*bar };
            sawn.push((from.to_owned(), Sawn { size, narrow, stopped: true }));
            bar.length -= step.setting + loss;
        }
        self.made.entry(part.id.clone()).or_default().append(&mut sawn);
        if let Some(least) = least {
            self.held(subject, step, least);
        }
        bars.retain(|bar| bar.length > Length::ZERO);
        if own {
            bench.beside.append(&mut bars);
        } else {
            bench.bars = bars;
        }
        self.put(from, bench);
    }

    /// Steps on what has been glued up.
    fn carrier(&mut self, subject: &str, step: &SawStep) {
        let carrier = self.design.carrier;
        let (is, before) = match step.operation {
            Operation::GlueUp => (carrier.thickness, carrier.thickness),
            Operation::TrimRip => (carrier.width, step.before.width),
            Operation::TrimCrosscut => (carrier.length, step.before.length),
            _ => return self.fault(format!("{subject} is not a step for the glued-up carrier")),
        };
        if step.setting != is || before < is {
            self.fault(format!("{subject}: the carrier does not come out at its size"));
        }
    }

    /// Holds what lies on the bench against the carrier.
    fn settle(&mut self) {
        // Strips trimmed with the carrier are parts as they are.
        let benches = std::mem::take(&mut self.benches);
        for (id, bench) in benches {
            for (letter, strips) in bench.strips {
                let sawn = strips.into_iter().map(|size| (id.to_owned(), Sawn { size, narrow: None, stopped: false }));
                self.made.entry(letter).or_default().extend(sawn);
            }
        }
        let trims = Trims::of(self.request, self.design);
        let made = std::mem::take(&mut self.made);
        for part in &self.design.parts {
            let sawn = made.get(&part.id).map_or(&[][..], Vec::as_slice);
            if by_hand(part) {
                self.by_hand(part);
                continue;
            }
            if sawn.len() != part.places.len() {
                self.fault(format!("{}: {} are sawn, {} are wanted", part.id, sawn.len(), part.places.len()));
            }
            for parent in &self.design.cut_list.parents {
                let own = sawn.iter().filter(|(from, _)| *from == parent.id).count();
                let said: usize = parent.yields.iter().filter(|(id, _)| *id == part.id).map(|(_, count)| count).sum();
                if own != said {
                    self.fault(format!("{}: {own} come out of {}, not {said}", part.id, parent.id));
                }
            }
            self.works(part);
            let pieces: Vec<&Sawn> = sawn.iter().map(|(_, sawn)| sawn).collect();
            let wrong = fits(part, &pieces, &trims);
            self.faults.extend(wrong.map(|wrong| format!("{} ({}): {wrong}", part.id, part.name)));
        }
    }

    /// What is cut into a part has a step of its own, to its depth.
    fn works(&mut self, part: &Part) {
        let steps = &self.design.cut_list.steps;
        for void in part.places.iter().flat_map(|place| &place.voids) {
            let operation = match void.kind {
                VoidKind::Pocket if part.role == Role::Board => Operation::Pocket,
                VoidKind::Under => Operation::Pocket,
                VoidKind::PushOut => Operation::Bore,
                VoidKind::KeeperNotch => Operation::Notch,
                VoidKind::Bevel => {
                    let parents = self.design.cut_list.parents.iter();
                    let own = parents.filter(|parent| parent.yields.iter().any(|(id, _)| *id == part.id));
                    let bevelled = |parent: &Parent| {
                        steps.iter().any(|step| step.piece == parent.id && step.operation == Operation::BevelRip)
                    };
                    let text = format!("{}: its edges are not bevelled", part.id);
                    if !own.into_iter().all(bevelled) && !self.faults.contains(&text) {
                        self.faults.push(text);
                    }
                    continue;
                }
                _ => continue,
            };
            let depth = void.z1 - void.z0;
            let own = |step: &&SawStep| step.piece == part.id && step.operation == operation && step.setting == depth;
            if steps.iter().find(own).is_none() {
                let text = format!("{}: a void {:.4} in deep that no step makes", part.id, depth.to_inches());
                if !self.faults.contains(&text) {
                    self.faults.push(text);
                }
            }
        }
        if has_hole(part) && !steps.iter().any(|step| step.piece == part.id && step.operation == Operation::SawRound) {
            self.faults.push(format!("{}: the nest is not sawn out", part.id));
        }
    }

    /// What is cut with a knife, or off a rod, straight from what is pulled for it.
    fn by_hand(&mut self, part: &Part) {
        let count = i64::try_from(part.places.len()).unwrap_or(i64::from(u16::MAX));
        let own =
            self.design.cut_list.parents.iter().filter(|parent| parent.yields.iter().any(|(id, _)| *id == part.id));
        let said: usize = own.clone().flat_map(|parent| &parent.yields).map(|(_, count)| count).sum();
        if said != part.places.len() {
            self.faults.push(format!("{}: {said} are pulled, {} are wanted", part.id, part.places.len()));
        }
        for parent in own {
            let (pulled, size) = (parent.size, part.size);
            let enough = if part.role == Role::Keeper {
                let sliced = (size.thickness + self.kerf) * count + HELD_LEAST;
                parent.count > 0
                    && pulled.length >= sliced
                    && (pulled.width, pulled.thickness) == (size.width, size.width)
            } else {
                pulled == size && parent.count >= said
            };
            if !enough {
                self.faults.push(format!("{}: {} does not give them", part.id, parent.id));
            }
        }
    }
}

/// Whether something is sawn out of it.
fn has_hole(part: &Part) -> bool {
    matches!(part.role, Role::NestHalf | Role::Ring)
}

fn by_hand(part: &Part) -> bool {
    matches!(part.role, Role::Packing | Role::Shim | Role::Keeper)
}
