//! A saw plan replayed, cut by cut, from the boards as they lie on the pile.
//!
//! Nothing here knows how the plan was made. Each cut is made again on paper from its setting and the
//! kerf; what it leaves has to be what the plan says, and each operation has to be one that the trade's
//! rules allow.

use std::collections::BTreeMap;

use super::cut_list::replayed;
use super::{lengths, none_of, numbers};
use crate::design::Relation::{AtLeast, Equal};
use crate::design::{
    Against, BoardCut, BoardPlan, Check, Design, Direction, Extent, Parent, Role, SawnBoard, WantedPiece,
};
use crate::geometry::Rect;
use crate::length::Length;
use crate::request::{Request, Shop, Tool};
use crate::rules::Rule;

/// Shortest piece that is ripped.
const RIP_LEAST: Length = Length::inches(12, 1);
/// What the held piece reaches beyond a crosscut.
const HELD_LEAST: Length = Length::inches(6, 1);
/// A strip narrower than this is ripped with a pushing block.
const BLOCK_BELOW: Length = Length::inches(3, 4);
/// A narrower one is never between blade and fence.
const NARROWEST: Length = Length::inches(1, 4);
/// Most a board is planed down.
const PLANED_OFF: Length = Length::inches(1, 2);
/// Two sheets of one thickness differ by no more.
const SAME: Length = Length::micrometres(150);

/// Every rule of a saw plan with its numbers. `there` says how many boards the rows of the pile have.
pub fn boards(plan: &BoardPlan, shop: &Shop, there: &[usize]) -> Vec<Check> {
    let mut checks = Vec::new();
    let mut replay = Replay { plan, shop, wood: BTreeMap::new(), faults: Vec::new() };
    for board in &plan.boards {
        let whole = Rect::sized(Length::ZERO, Length::ZERO, board.size.length, board.size.width);
        if replay.wood.insert(board.id.clone(), (whole, board)).is_some() {
            replay.faults.push(format!("two boards are called {}", board.id));
        }
    }
    for (place, cut) in plan.cuts.iter().enumerate() {
        if cut.number != place + 1 {
            replay.faults.push(format!("cut {} is the {}th", cut.number, place + 1));
        }
        replay.cut(cut, &mut checks);
    }
    replay.pieces(&mut checks);
    replay.leftovers();
    let faults = std::mem::take(&mut replay.faults);
    // One check a fault, so that each is told; one that holds where there is none.
    for fault in &faults {
        numbers(&mut checks, Rule::CutsAddUp, fault, 1.0, Equal, 0.0, "");
    }
    none_of(&mut checks, Rule::CutsAddUp, "cuts, pieces and leftovers that do not add up", faults.len());
    pile(plan, there, &mut checks);
    checks
}

/// Every job's own cut list, replayed from the pieces as this plan hands them over: out of a board that is
/// thicker than the list asks for every part still has to come out at its size.
pub fn handed_over(plan: &BoardPlan, jobs: &[(&Request, &Design)]) -> Vec<Check> {
    let mut checks = Vec::new();
    let mut missing = 0;
    for (place, (request, design)) in jobs.iter().enumerate() {
        let size = |wanted: &WantedPiece| {
            let boards = plan.boards.iter().filter(|board| board.pieces.iter().any(|piece| piece.id == wanted.id));
            boards.map(|board| board.size.thickness).next()
        };
        let own = |parent: &Parent| -> Vec<Extent> {
            let wanted = plan.wanted.iter().filter(|piece| piece.job == place + 1 && piece.parent == parent.id);
            let sizes = wanted.filter_map(|piece| {
                let is = size(piece)?;
                let same = (is - parent.size.thickness).abs() <= SAME;
                Some(Extent { thickness: if same { parent.size.thickness } else { is }, ..piece.size })
            });
            sizes.collect()
        };
        for parent in &design.cut_list.parents {
            let sawn = own(parent).len();
            missing += usize::from(sawn != parent.count && (sawn > 0 || !by_hand(design, parent)));
        }
        let pulled = |parent: &Parent, number: usize| own(parent).get(number).copied().unwrap_or(parent.size);
        let own_checks = replayed(request, design, &pulled);
        checks.extend(
            own_checks
                .into_iter()
                .map(|check| Check { subject: format!("job {}, {}", place + 1, check.subject), ..check }),
        );
    }
    none_of(&mut checks, Rule::CutsAddUp, "pieces of the jobs that the plan does not cut", missing);
    checks
}

/// Whether nothing of a parent is sawn from boards.
fn by_hand(design: &Design, parent: &Parent) -> bool {
    let part = |id: &str| design.parts.iter().find(|part| part.id == id);
    let rod_or_card = |role: Role| matches!(role, Role::Packing | Role::Shim | Role::Keeper);
    parent.yields.iter().all(|(id, _)| part(id).is_none_or(|part| rod_or_card(part.role)))
}

struct Replay<'a> {
    plan: &'a BoardPlan,
    shop: &'a Shop,
    /// What lies on the bench, by its name: its place in its board.
    wood: BTreeMap<String, (Rect, &'a SawnBoard)>,
    faults: Vec<String>,
}

fn subject(cut: &BoardCut) -> String {
    format!("cut {}: {}", cut.number, cut.piece)
}

impl<'a> Replay<'a> {
    fn cut(&mut self, cut: &BoardCut, checks: &mut Vec<Check>) {
        let Some((place, board)) = self.wood.remove(&cut.piece) else {
            self.faults.push(format!("{}: there is no such piece any more", subject(cut)));
            return;
        };
        let size = Extent { length: place.length(), width: place.width(), thickness: board.size.thickness };
        if size != cut.before || cut.board != board.id {
            self.faults.push(format!("{}: it has another size by then", subject(cut)));
        }
        let (start, end) = match cut.direction {
            Direction::Rip => (place.y0, place.y1),
            Direction::Crosscut => (place.x0, place.x1),
        };
        // The kerf begins where the part at the near side ends.
        let kerf = self.plan.kerf;
        let at = match cut.against {
            Against::Near => start + cut.setting,
            Against::Far => end - cut.setting - kerf,
        };
        let between = |from: Length, to: Length| match cut.direction {
            Direction::Rip => Rect::new(place.x0, from, place.x1, to),
            Direction::Crosscut => Rect::new(from, place.y0, to, place.y1),
        };
        // A setting of nothing squares an end: the blade takes less than its width.
        let shaving = cut.setting == Length::ZERO && cut.against == Against::Near && cut.line.x0 == start;
        let at = if shaving && cut.direction == Direction::Crosscut { cut.line.x1 - kerf } else { at };
        let line = between(at.max(start), (at + kerf).min(end));
        if line != cut.line || at + kerf <= start || at >= end {
            self.faults.push(format!("{}: setting and kerf do not lead to the line drawn", subject(cut)));
        }
        let parts = [(&cut.near, start, at), (&cut.far, at + kerf, end)];
        for (id, from, to) in parts {
            let Some(id) = id else { continue };
            if from >= to {
                self.faults.push(format!("{}: nothing is left for {id}", subject(cut)));
            } else if self.wood.insert(id.clone(), (between(from, to), board)).is_some() {
                self.faults.push(format!("{}: {id} is made twice", subject(cut)));
            }
        }
        self.rules(cut, (size, (at - start).or_zero(), (end - at - kerf).or_zero()), checks);
    }

    fn rules(&self, cut: &BoardCut, (size, near, far): (Extent, Length, Length), checks: &mut Vec<Check>) {
        let name = subject(cut);
        let has = |tool: Tool| self.shop.tools.contains(&tool);
        let low = size.thickness <= self.shop.saw_height;
        let owned = match cut.machine {
            "table saw" | "table saw with sled" => has(Tool::TableSaw) && low,
            "mitre saw" => {
                let takes = size.width <= self.shop.mitre_width && size.thickness <= self.shop.mitre_height;
                has(Tool::MitreSaw) && takes && cut.direction == Direction::Crosscut
            }
            "band saw with fence" | "band saw with mitre gauge" => has(Tool::BandSaw),
            _ => false,
        };
        // A fence guides rips, a sled or a gauge crosscuts.
        let guided = match cut.direction {
            Direction::Rip => matches!(cut.machine, "table saw" | "band saw with fence"),
            Direction::Crosscut => !matches!(cut.machine, "table saw" | "band saw with fence"),
        };
        numbers(checks, Rule::ToolOwned, &name, f64::from(u8::from(owned && guided)), AtLeast, 1.0, "");
        match cut.direction {
            Direction::Rip => {
                lengths(checks, Rule::RipSafe, &name, size.length, AtLeast, RIP_LEAST.max(size.width));
                let told = cut.setting >= BLOCK_BELOW || cut.note.contains("pushing block");
                let safe = told && cut.setting >= NARROWEST;
                numbers(checks, Rule::NarrowRip, &name, f64::from(u8::from(safe)), AtLeast, 1.0, "");
                lengths(checks, Rule::RipSafe, &format!("{name}, held"), size.length, AtLeast, cut.held);
            }
            Direction::Crosscut => {
                // What is held is the longer part, and the plan may not claim more.
                lengths(checks, Rule::CrosscutSafe, &name, near.max(far), AtLeast, HELD_LEAST);
                lengths(checks, Rule::CrosscutSafe, &format!("{name}, as written"), near.max(far), AtLeast, cut.held);
            }
        }
    }

    fn pieces(&mut self, checks: &mut Vec<Check>) {
        let mut over = 0;
        let mut turned = 0;
        let mut thickness = 0;
        for wanted in &self.plan.wanted {
            let places = self.plan.boards.iter().flat_map(|board| board.pieces.iter().map(move |piece| (board, piece)));
            let own: Vec<_> = places.filter(|(_, piece)| piece.id == wanted.id).collect();
            let [(board, piece)] = own.as_slice() else {
                self.faults.push(format!("{} comes out {} times", wanted.id, own.len()));
                continue;
            };
            // A board that is the piece as it lies is not cut at all.
            let whole = Rect::sized(Length::ZERO, Length::ZERO, board.size.length, board.size.width);
            let cut = self
                .wood
                .remove(&wanted.id)
                .or_else(|| (piece.place == whole).then(|| self.wood.remove(&board.id)).flatten());
            match cut {
                Some((place, from)) if place == piece.place && from.id == board.id => {}
                _ => self.faults.push(format!("{} is not cut where it is drawn", wanted.id)),
            }
            let (length, width) = (piece.place.length(), piece.place.width());
            let lies = if piece.turned { (width, length) } else { (length, width) };
            if lies != (wanted.size.length, wanted.size.width) {
                self.faults.push(format!("{} comes out at another size", wanted.id));
            }
            turned += usize::from(piece.turned && !wanted.turns);
            thickness += usize::from(!right_thickness(wanted, board));
            over += usize::from(over_bad_place(&piece.place, board));
        }
        none_of(checks, Rule::GrainAlongFeed, "pieces laid across the grain", turned);
        none_of(checks, Rule::StockExists, "pieces out of boards of another thickness", thickness);
        none_of(checks, Rule::BadPlace, "pieces over bad places or raw edges", over);
    }

    /// What is left on the bench is what the plan calls left over.
    fn leftovers(&mut self) {
        for board in &self.plan.boards {
            for leftover in &board.leftovers {
                match self.wood.remove(&leftover.id) {
                    Some((place, from)) if place == leftover.place && from.id == board.id => {}
                    _ => self.faults.push(format!("{} is not left where it is drawn", leftover.id)),
                }
            }
        }
        let stray: Vec<String> = self.wood.keys().cloned().collect();
        for id in stray {
            self.faults.push(format!("nothing becomes of {id}"));
        }
    }
}

fn right_thickness(wanted: &WantedPiece, board: &SawnBoard) -> bool {
    let (is, wants) = (board.size.thickness, wanted.size.thickness);
    if wanted.planed { is >= wants && is <= wants + PLANED_OFF } else { (is - wants).abs() <= SAME }
}

fn over_bad_place(place: &Rect, board: &SawnBoard) -> bool {
    let Extent { length, width, .. } = board.size;
    // A board that may not be ripped keeps its edges.
    let across = if length >= RIP_LEAST && length >= width { board.trim } else { Length::ZERO };
    let outside =
        place.x0 < board.trim || place.x1 > length - board.trim || place.y0 < across || place.y1 > width - across;
    let meets = |bad: &Rect| bad.x0 < place.x1 && place.x0 < bad.x1 && bad.y0 < place.y1 && place.y0 < bad.y1;
    outside || board.bad.iter().any(meets)
}

/// No more boards are taken than there are.
fn pile(plan: &BoardPlan, there: &[usize], checks: &mut Vec<Check>) {
    let mut short = 0;
    for (row, count) in there.iter().enumerate() {
        let taken = plan.boards.iter().filter(|board| board.row == row).count();
        short += usize::from(taken > *count);
    }
    short += plan.boards.iter().filter(|board| board.row >= there.len()).count();
    none_of(checks, Rule::StockExists, "rows of the pile with too few boards", short);
    let lost = plan.proofs.iter().filter(|proof| proof.cost < proof.bound).count();
    none_of(checks, Rule::CutsAddUp, "bounds above the cost of the plan", lost);
}
