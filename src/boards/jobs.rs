//! From the cut lists of several jobs and a pile to one plan.

use std::fmt;

use super::budget::Budget;
use super::buying::{self, Need};
use super::parting::{Parting, clears, partings};
use super::pile::PileBoard;
use super::search;
use super::sequence::Bench;
use super::strips::{SCALE, Wanted};
use super::task::{Answer, Board, Cut, Item, Keep, Pattern, Style, Task};
use crate::design::{BoardPlan, Design, Extent, Operation, Proof, Role, SawnBoard, WantedPiece};
use crate::geometry::Rect;
use crate::length::Length;
use crate::library::MaterialKind;
use crate::request::{Request, Shop, Stock};

/// Most pieces of one plan.
pub const MOST_PIECES: usize = 400;
/// Steps the search may take for one kind of board.
pub const WORK: u64 = 6_000_000;
/// A board that is planed down may be thicker than asked by no more than this.
const PLANED_OFF: Length = Length::inches(1, 2);
/// A sheet is as thick as the job says within this: what calipers tell apart in a shop.
const SAME: Length = Length::micrometres(150);
/// A board to be bought counts for so many times its wood.
const DEARER: i64 = 10;
/// Cubic millimetres in the unit of cost where there are no prices: a tenth of a litre.
const UNIT_MM3: f64 = 100_000.0;
/// Steps of the search for the best leftovers of one board.
const TIDY: u64 = 20_000;

/// A job and its design.
pub struct JobDesign<'a> {
    /// Request.
    pub request: &'a Request,
    /// Verified design.
    pub design: &'a Design,
}

/// How to plan.
#[derive(Debug, Clone, Copy)]
pub struct Terms {
    /// How boards are divided.
    pub style: Style,
    /// Least length and width of a leftover that goes back on the pile.
    pub keep: (Length, Length),
    /// Worth of such leftovers, thousandths of what their wood cost.
    pub permille: i64,
}

/// A plan and what it was made from.
#[derive(Debug, Clone)]
pub struct Planned {
    /// The plan.
    pub plan: BoardPlan,
    /// The rows its boards are taken from: the pile, then the sizes that can be bought.
    pub rows: Vec<PileBoard>,
    /// The shop it is for.
    pub shop: Shop,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoPlan {
    /// The jobs do not agree on the shop.
    Disagree(String),
    /// Nothing to be sawn.
    Nothing,
    /// Too many pieces.
    TooMany(usize),
    /// A piece comes out of no board, nor out of one that can be bought.
    NoBoard(String),
    /// No plan was found within the limits.
    NotFound(String),
    /// A saw is wanting.
    NoSaw(String),
}

impl fmt::Display for NoPlan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoPlan::Disagree(text) | NoPlan::NoBoard(text) | NoPlan::NotFound(text) | NoPlan::NoSaw(text) => {
                f.write_str(text)
            }
            NoPlan::Nothing => write!(f, "there is nothing to saw: no job needs a carrier that is sawn"),
            NoPlan::TooMany(count) => {
                write!(f, "{count} pieces: one plan takes {MOST_PIECES}; plan fewer jobs at once")
            }
        }
    }
}

/// How far a search has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Progress {
    /// Material being planned.
    pub material: String,
    /// Kinds of boards done, and all of them.
    pub done: (usize, usize),
    /// Cost of the best plan and its bound.
    pub cost: (i64, i64),
}

/// A piece with what is needed to find boards for it.
struct Asked {
    piece: WantedPiece,
    kind: MaterialKind,
    name: String,
    density: f64,
}

impl Asked {
    fn comes_out_of(&self, board: &PileBoard) -> bool {
        let thickness = self.piece.size.thickness;
        board.kind == self.kind
            && if self.piece.planed {
                board.thickness >= thickness && board.thickness <= thickness + PLANED_OFF
            } else {
                (board.thickness - thickness).abs() <= SAME
            }
    }
}

/// What the jobs ask for, and the pile, with standard sizes where the pile names none to buy.
struct Order {
    asked: Vec<Asked>,
    pile: Vec<PileBoard>,
}

/// Plans several jobs from one pile. `stop` ends the search early; `told` hears how it goes.
///
/// # Errors
/// Why there is no plan.
pub fn plan(
    jobs: &[JobDesign<'_>],
    pile: &[PileBoard],
    terms: &Terms,
    stop: &dyn Fn() -> bool,
    told: &mut dyn FnMut(&Progress),
) -> Result<Planned, NoPlan> {
    let Some(shop) = agreed(jobs)? else { return Err(NoPlan::Nothing) };
    let shop = &shop;
    let asked = asked(jobs);
    if asked.is_empty() {
        return Err(NoPlan::Nothing);
    }
    if asked.len() > MOST_PIECES {
        return Err(NoPlan::TooMany(asked.len()));
    }
    let order = Order { pile: with_buying(&asked, pile, shop), asked };
    let groups = groups(&order);
    let mut plan = BoardPlan {
        wanted: Vec::new(),
        boards: Vec::new(),
        cuts: Vec::new(),
        proofs: Vec::new(),
        kerf: shop.kerf,
        keep: terms.keep,
    };
    for (place, group) in groups.iter().enumerate() {
        let material = group_name(&order, group, shop);
        let mut progress = Progress { material: material.clone(), done: (place, groups.len()), cost: (0, 0) };
        let set = task(&order, group, shop, terms).map_err(NoPlan::NoBoard)?;
        let mut budget = Budget::new(WORK, stop);
        let answer = search::plan(&set.task, &mut budget, &mut |cost, bound| {
            progress.cost = (cost, bound);
            told(&progress);
        });
        let Some(answer) = answer else {
            let text = format!("{material}: the pieces do not come out of the boards there are, or no plan was found");
            return Err(NoPlan::NotFound(text));
        };
        plan.proofs.push(Proof {
            material,
            pieces: group.pieces.len(),
            cost: answer.cost,
            bound: answer.bound,
            unit: set.unit,
            timed_out: answer.cut == Some(Cut::Time),
        });
        lay_out(&order, &set, &answer, shop, &mut plan)?;
    }
    plan.wanted = order.asked.into_iter().map(|asked| asked.piece).collect();
    Ok(Planned { plan, rows: order.pile, shop: shop.clone() })
}

/// The shop of the jobs: the tools all of them have, the least each saw takes. Ruler and kerf have to agree.
fn agreed(jobs: &[JobDesign<'_>]) -> Result<Option<Shop>, NoPlan> {
    let Some(first) = jobs.first() else { return Ok(None) };
    let mut shop = first.request.shop.clone();
    for job in jobs {
        let other = &job.request.shop;
        for (key, differs) in [("kerf", shop.kerf != other.kerf), ("ruler", shop.ruler != other.ruler)] {
            if differs {
                let (a, b) = (&first.request.name, &job.request.name);
                return Err(NoPlan::Disagree(format!(
                    "{a} and {b} do not agree: `{key}` under `[shop]` differs, and one plan is for one saw and one ruler"
                )));
            }
        }
        shop.tools.retain(|tool| other.tools.contains(tool));
        shop.saw_height = shop.saw_height.min(other.saw_height);
        shop.mitre_width = shop.mitre_width.min(other.mitre_width);
        shop.mitre_height = shop.mitre_height.min(other.mitre_height);
    }
    Ok(Some(shop))
}

/// The parents of every job, one by one.
fn asked(jobs: &[JobDesign<'_>]) -> Vec<Asked> {
    let mut all = Vec::new();
    for (place, job) in jobs.iter().enumerate() {
        let (request, design) = (job.request, job.design);
        for parent in &design.cut_list.parents {
            // Card, veneer and rod are not sawn from boards.
            let by_hand = |id: &str| {
                let part = design.parts.iter().find(|part| part.id == id);
                part.is_none_or(|part| matches!(part.role, Role::Packing | Role::Shim | Role::Keeper))
            };
            if parent.yields.iter().all(|(id, _)| by_hand(id)) {
                continue;
            }
            // Only what the carrier's own list planes may come out of a thicker board.
            let steps = &design.cut_list.steps;
            let planed = steps.iter().any(|step| step.operation == Operation::Plane && step.piece == parent.id);
            let stock: Option<&Stock> = if parent.material == request.board.name {
                Some(&request.board)
            } else {
                request.stock.iter().find(|stock| stock.name == parent.material)
            };
            let Some(stock) = stock else { continue };
            for copy in 0..parent.count {
                let letter = if parent.count > 1 { letters(copy) } else { String::new() };
                all.push(Asked {
                    piece: WantedPiece {
                        id: format!("{}-{}{letter}", place + 1, parent.id),
                        job: place + 1,
                        parent: parent.id.clone(),
                        material: parent.material.clone(),
                        size: parent.size,
                        turns: stock.kind.is_sheet(),
                        planed,
                    },
                    kind: stock.kind,
                    // The name it can be read back by.
                    name: material_of(stock.name.strip_suffix(" board").unwrap_or(&stock.name)),
                    density: stock.density,
                });
            }
        }
    }
    all
}

/// `a`, `b`, ... `z`, `aa`, ...
fn letters(number: usize) -> String {
    let letter = char::from(b'a' + u8::try_from(number % 26).unwrap_or(0));
    if number < 26 { letter.to_string() } else { format!("{}{letter}", letters(number / 26 - 1)) }
}

/// The material of a stock without its thickness.
fn material_of(name: &str) -> String {
    let mut words: Vec<&str> = name.split(' ').collect();
    while words.len() > 1
        && words.last().is_some_and(|word| {
            word.starts_with(|c: char| c.is_ascii_digit() || c == '.') || matches!(*word, "x" | "in" | "mm")
        })
    {
        words.pop();
    }
    words.join(" ")
}

/// The pile with standard sizes for what it names no size to buy for.
fn with_buying(asked: &[Asked], pile: &[PileBoard], shop: &Shop) -> Vec<PileBoard> {
    let mut all = pile.to_vec();
    let mut needs: Vec<Need> = Vec::new();
    for asked in asked {
        if pile.iter().any(|board| board.to_buy && asked.comes_out_of(board)) {
            continue;
        }
        let thickness = asked.piece.size.thickness;
        let need = Need { material: asked.name.clone(), kind: asked.kind, thickness, density: asked.density };
        if !needs.contains(&need) {
            needs.push(need);
        }
    }
    for need in needs {
        for row in buying::sizes(&need, shop.ruler.unit) {
            if !all.contains(&row) {
                all.push(row);
            }
        }
    }
    all
}

/// Pieces and boards that hang together.
struct Group {
    pieces: Vec<usize>,
    boards: Vec<usize>,
}

fn groups(order: &Order) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (place, asked) in order.asked.iter().enumerate() {
        let boards: Vec<usize> =
            (0..order.pile.len()).filter(|board| asked.comes_out_of(&order.pile[*board])).collect();
        let (joined, apart): (Vec<Group>, Vec<Group>) =
            groups.into_iter().partition(|group| group.boards.iter().any(|board| boards.contains(board)));
        let mut group = Group { pieces: vec![place], boards };
        for other in joined {
            group.pieces.extend(other.pieces);
            group.boards.extend(other.boards);
        }
        group.pieces.sort_unstable();
        group.boards.sort_unstable();
        group.boards.dedup();
        groups = apart;
        groups.push(group);
    }
    groups.sort_by_key(|group| group.pieces.first().copied());
    groups
}

fn group_name(order: &Order, group: &Group, shop: &Shop) -> String {
    // Each material once, with the thicknesses wanted of it.
    let mut names: Vec<(&str, Vec<String>)> = Vec::new();
    for piece in &group.pieces {
        let asked = &order.asked[*piece];
        let thickness = shop.depth_ruler.number(asked.piece.size.thickness);
        match names.iter_mut().find(|(name, _)| *name == asked.name) {
            Some((_, all)) if all.contains(&thickness) => {}
            Some((_, all)) => all.push(thickness),
            None => names.push((&asked.name, vec![thickness])),
        }
    }
    names.iter().map(|(name, all)| format!("{name} {}", all.join(", "))).collect::<Vec<_>>().join("; ")
}

/// A group as a task.
struct Set {
    task: Task,
    /// Pieces of each kind, by their places in the order.
    kinds: Vec<Vec<usize>>,
    /// Boards of the task by their places in the pile.
    rows: Vec<usize>,
    /// Ways to part each board from its bad places.
    ways: Vec<Vec<Parting>>,
    unit: &'static str,
}

fn task(order: &Order, group: &Group, shop: &Shop, terms: &Terms) -> Result<Set, String> {
    let mut items: Vec<Item> = Vec::new();
    let mut kinds: Vec<Vec<usize>> = Vec::new();
    for place in &group.pieces {
        let piece = &order.asked[*place].piece;
        // Pieces of different thickness come out of different boards.
        let same = kinds.iter().position(|kind| {
            kind.first().is_some_and(|other| {
                let other = &order.asked[*other].piece;
                other.size == piece.size && other.turns == piece.turns && other.planed == piece.planed
            })
        });
        match same {
            Some(kind) => {
                kinds[kind].push(*place);
                items[kind].count += 1;
            }
            None => {
                kinds.push(vec![*place]);
                let (length, width) = (piece.size.length, piece.size.width);
                items.push(Item { length, width, turns: piece.turns, count: 1 });
            }
        }
    }
    let priced = group.boards.iter().all(|board| order.pile[*board].price.is_some());
    let mut boards = Vec::new();
    let mut rows = Vec::new();
    let mut ways = Vec::new();
    for row in &group.boards {
        let board = &order.pile[*row];
        let partings = partings((board.length, board.width), board.trim, &board.bad, shop.kerf);
        let takes: Vec<bool> = kinds
            .iter()
            .map(|kind| kind.first().is_some_and(|piece| order.asked[*piece].comes_out_of(board)))
            .collect();
        let litres = board.length.to_mm() * board.width.to_mm() * board.thickness.to_mm() / UNIT_MM3;
        let cost = match board.price {
            Some(price) if priced => price,
            _ => (libm::ceil(litres) as i64).max(1) * if board.to_buy { DEARER } else { 1 },
        };
        boards.push(Board { clear: partings.iter().map(clears).collect(), count: board.count, cost, takes });
        rows.push(*row);
        ways.push(partings);
    }
    let keep = Keep { length: terms.keep.0, width: terms.keep.1, permille: terms.permille };
    let task = Task { items, boards, kerf: shop.kerf, style: terms.style, keep, safe: true };
    for (place, (item, kind)) in task.items.iter().zip(&kinds).enumerate() {
        if !fits_some(&task, item, place) {
            let piece = kind.first().map(|piece| &order.asked[*piece].piece);
            let text = piece.map_or_else(String::new, |piece| {
                format!(
                    "{} of {}: no board of the pile, and none of the sizes that can be bought, is large enough for {} x {} x {}; glue one up and put it on the pile",
                    piece.id,
                    piece.material,
                    shop.ruler.number(piece.size.length),
                    shop.ruler.number(piece.size.width),
                    shop.depth_ruler.number(piece.size.thickness)
                )
            });
            return Err(text);
        }
    }
    let unit = if priced { "hundredths of the price" } else { "tenths of a litre of wood, ten times as dear to buy" };
    Ok(Set { task, kinds, rows, ways, unit })
}

fn fits_some(task: &Task, item: &Item, kind: usize) -> bool {
    task.boards.iter().filter(|board| board.takes[kind]).any(|board| {
        board.clear.iter().flatten().any(|clear| {
            let lies = item.length <= clear.length && item.width <= clear.width;
            lies || (item.turns && item.width <= clear.length && item.length <= clear.width)
        })
    })
}

/// Puts the pieces into the boards of an answer and writes down boards and cuts.
fn lay_out(order: &Order, set: &Set, answer: &Answer, shop: &Shop, plan: &mut BoardPlan) -> Result<(), NoPlan> {
    let mut open: Vec<Vec<usize>> = set.kinds.iter().map(|kind| kind.iter().rev().copied().collect()).collect();
    for (pattern, times) in &answer.uses {
        for _ in 0..*times {
            // Of a piece made once too often the wood stays in the board.
            let mut makes: Vec<(usize, Vec<usize>)> = Vec::new();
            for (kind, count) in &pattern.makes {
                let from = open[*kind].len().saturating_sub(*count);
                let mut taken = open[*kind].split_off(from);
                taken.reverse();
                if !taken.is_empty() {
                    makes.push((*kind, taken));
                }
            }
            if makes.is_empty() {
                continue;
            }
            let pattern = tidied(set, pattern, &makes);
            saw_board(order, set, (&pattern, &makes), shop, plan)?;
        }
    }
    Ok(())
}

/// The pattern of the same board that makes just these pieces and leaves the most useful wood.
fn tidied(set: &Set, pattern: &Pattern, makes: &[(usize, Vec<usize>)]) -> Pattern {
    let mut task = set.task.clone();
    task.keep.permille = task.keep.permille.max(500);
    let mut left = vec![0; task.items.len()];
    let mut values = vec![0; task.items.len()];
    let cost = task.boards[pattern.board].cost;
    for (kind, pieces) in makes {
        left[*kind] = pieces.len();
        values[*kind] = cost.saturating_mul(4 * SCALE);
    }
    let mut budget = Budget::new(TIDY, &|| false);
    let found = super::master::search(&task, pattern.board, &values, &left, Wanted::Best(0), &mut budget);
    let wanted: Vec<(usize, usize)> = makes.iter().map(|(kind, pieces)| (*kind, pieces.len())).collect();
    let best = found.patterns.into_iter().map(|(_, pattern)| pattern).rfind(|pattern| pattern.makes == wanted);
    best.unwrap_or_else(|| pattern.clone())
}

fn saw_board(
    order: &Order,
    set: &Set,
    (pattern, makes): (&Pattern, &[(usize, Vec<usize>)]),
    shop: &Shop,
    plan: &mut BoardPlan,
) -> Result<(), NoPlan> {
    let row = set.rows[pattern.board];
    let board = &order.pile[row];
    let id = format!("B{}", plan.boards.len() + 1);
    let mut names: Vec<Vec<(String, Length, Length)>> = vec![Vec::new(); set.task.items.len()];
    for (kind, pieces) in makes {
        let item = set.task.items[*kind];
        names[*kind] =
            pieces.iter().rev().map(|piece| (order.asked[*piece].piece.id.clone(), item.length, item.width)).collect();
    }
    let parting = set.ways[pattern.board].get(pattern.set);
    let whole = Rect::sized(Length::ZERO, Length::ZERO, board.length, board.width);
    let fallback = Parting { wood: whole, clear: whole, way: super::parting::Way::Whole(0) };
    let mut bench = Bench::new(shop, &id, board.thickness, &board.bad);
    bench.keep = plan.keep;
    bench.names = names;
    bench.number = plan.cuts.len();
    bench.cut_up(parting.unwrap_or(&fallback), &pattern.layout).map_err(NoPlan::NoSaw)?;
    let (cuts, pieces, leftovers) = (bench.cuts, bench.pieces, bench.leftovers);
    plan.cuts.extend(cuts);
    plan.boards.push(SawnBoard {
        id,
        mark: board.mark.clone(),
        row,
        bought: board.to_buy,
        material: board.name(&shop.ruler),
        size: Extent { length: board.length, width: board.width, thickness: board.thickness },
        trim: board.trim,
        bad: board.bad.clone(),
        price: board.price,
        mass_kg: board.mass_kg(),
        pieces,
        leftovers,
    });
    Ok(())
}

/// The pile after the plan: boards cut into taken out, leftovers put in under the names on their labels.
/// `pile` is as it was, `rows` are those of the plan.
pub fn pile_after(pile: &[PileBoard], rows: &[PileBoard], plan: &BoardPlan) -> Vec<PileBoard> {
    let mut after = pile.to_vec();
    for board in plan.boards.iter().filter(|board| !board.bought) {
        if let Some(row) = after.get_mut(board.row) {
            row.count = row.count.saturating_sub(1);
        }
    }
    after.retain(|row| row.count > 0);
    for board in &plan.boards {
        let Some(from) = rows.get(board.row) else { continue };
        for leftover in &board.leftovers {
            let share = leftover.place.length().to_mm() * leftover.place.width().to_mm()
                / (from.length.to_mm() * from.width.to_mm());
            after.push(PileBoard {
                mark: Some(leftover.id.clone()),
                length: leftover.place.length(),
                width: leftover.place.width(),
                count: 1,
                bad: leftover.bad.clone(),
                price: from.price.map(|price| libm::floor(price as f64 * share) as i64),
                to_buy: false,
                ..from.clone()
            });
        }
    }
    after
}
