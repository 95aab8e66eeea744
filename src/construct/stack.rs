//! Heights: floor, pocket depth, top plane, and how deep the cutter goes below it.

use super::layout::wish_in;
use super::{Setting, screws, stiff};
use crate::axis::Axis;
use crate::length::Length;
use crate::library::{MachineKind, MaterialKind};
use crate::request::{Stock, Tool};
use crate::rules::Rule;
use crate::trace::{Clash, Conflict, Reason, Term, Trace};

/// Least floor under a pocket, and least wood left under a through cut. Common practice, no source.
const FLOOR: Length = Length::inches(3, 16);
/// Floor wanted in sheet stock.
const FLOOR_WANTED_SHEET: Length = Length::inches(1, 4);
/// Floor wanted in softwood.
const FLOOR_WANTED_SOFTWOOD: Length = Length::inches(3, 8);
/// Base wanted under an upper layer.
const BASE_WANTED: Length = Length::inches(3, 8);
/// Metal and holder clearances below the top plane.
const HOLDER_SPARE: Length = Length::inches(1, 16);

/// The most boards glued together for a rail.
const MOST_LAYERS: u32 = 3;

/// Heights of a carrier with a floor.
#[derive(Debug, Clone)]
pub struct Heights {
    /// Top of the floor (or base).
    pub floor: Length,
    /// Top plane.
    pub top: Length,
    /// Wishes left out.
    pub waived: Vec<Rule>,
}

impl Heights {
    /// Depth of the pocket.
    pub fn depth(&self) -> Length {
        self.top - self.floor
    }
}

/// Pocket depth for a flush blank: thickness and adhesive, rounded down so that the blank stands a
/// hair proud rather than sunk.
pub fn flush_depth(setting: &Setting<'_>) -> Length {
    (setting.thickness + setting.rise + setting.adhesive).down(setting.request.depth_step())
}

/// Heights with the pocket sunk into `stock` (`blind`), or with a `stock` base under an upper layer.
///
/// `opening` is the plan of one pocket, over which the floor is to be stiff.
pub fn floor_and_top(
    setting: &Setting<'_>,
    stock: &Stock,
    depth: Length,
    blind: bool,
    opening: (Length, Length),
) -> Result<Heights, Conflict> {
    let machine = &setting.request.machine;
    let mut axis = Axis::new();
    let (floor, top) = (axis.measured(), axis.measured());
    axis.fixed(floor, top, Rule::AdhesiveCounted, "depth", if blind { "pocket depth" } else { "upper layer" }, depth);
    if blind {
        axis.fixed(0, top, Rule::StockExists, "stock", "stock thickness", stock.total());
        let under = ("room for the relief", setting.below.map_or(Length::ZERO, |below| below.drop));
        axis.claim(0, floor, Rule::PocketFloor, "floor", &[("least floor", FLOOR), under]);
        let wanted = if stock.kind == MaterialKind::Softwood { FLOOR_WANTED_SOFTWOOD } else { FLOOR_WANTED_SHEET };
        axis.claim(0, floor, Rule::PocketFloorWanted, "floor", &[("wanted floor", wanted), under]);
    } else {
        axis.fixed(0, floor, Rule::StockExists, "base", "base thickness", stock.total());
        axis.claim(0, floor, Rule::BaseWanted, "base", &[("wanted base", BASE_WANTED)]);
    }
    let under = ("room for the relief", setting.below.filter(|_| blind).map_or(Length::ZERO, |below| below.drop));
    let stiff = stiff::least_floor(setting, opening, stock);
    axis.claim(
        0,
        floor,
        Rule::ScrewHead,
        "floor",
        &[("screw heads and the wood over them", screws::least_floor(setting))],
    );
    axis.claim(0, floor, Rule::FloorStiff, "floor", &[("stiff under the cutter", stiff), under]);
    if setting.cut_through() {
        let penetration = setting.request.carve.penetration;
        axis.claim(
            0,
            floor,
            Rule::FloorAfterCut,
            "floor",
            &[("left under the cut", FLOOR), ("penetration", penetration)],
        );
    }
    axis.claim(0, top, Rule::ThicknessMin, "thickness", &[("thinnest board", machine.thickness.min)]);
    let guard = machine.thickness_guard;
    axis.limit(
        0,
        top,
        Rule::ThicknessMax,
        "thickness",
        &[("thickest board", machine.thickness.max), ("guard", -guard)],
    );
    let mut waived = Vec::new();
    loop {
        match axis.least(|_| false) {
            Ok(positions) => return Ok(Heights { floor: positions.at(floor), top: positions.at(top), waived }),
            Err(cycle) => match wish_in(&cycle) {
                Some(rule) => {
                    axis = axis.without(rule);
                    waived.push(rule);
                }
                None => return Err(cycle.conflict(&setting.request.shop.depth_ruler)),
            },
        }
    }
}

/// Checks a single board (no floor) of thickness `top` against the machine.
pub fn bare_thickness(setting: &Setting<'_>, top: Length) -> Result<(), Conflict> {
    let machine = &setting.request.machine;
    demand(setting, Rule::ThicknessMin, "thickness", &[("board", top)], machine.thickness.min, false)?;
    let most = machine.thickness.max - machine.thickness_guard;
    demand(setting, Rule::ThicknessMax, "thickness", &[("board", top)], most, true)
}

/// A demand that involves no unknown position: the sum of the terms at most (or at least) a limit.
pub fn demand(
    setting: &Setting<'_>,
    rule: Rule,
    subject: &str,
    terms: &[(&str, Length)],
    limit: Length,
    at_most: bool,
) -> Result<(), Conflict> {
    let sum: Length = terms.iter().map(|(_, amount)| *amount).sum();
    let shortfall = if at_most { sum - limit } else { limit - sum };
    if shortfall <= Length::ZERO {
        return Ok(());
    }
    let ruler = &setting.request.shop.depth_ruler;
    let parts: Vec<String> = terms.iter().map(|(label, amount)| format!("{label} {}", ruler.number(*amount))).collect();
    let relation = if at_most { "above the limit" } else { "below the limit" };
    let text = if terms.len() > 1 {
        format!("{subject}: {} = {}, {relation} {}", parts.join(" + "), ruler.number(sum), ruler.with_unit(limit))
    } else {
        format!("{subject}: {}, {relation} {}", parts.join(" + "), ruler.with_unit(limit))
    };
    Err(Conflict { clashes: vec![Clash { rule, text, amount: shortfall }], shortfall })
}

/// How deep the tip goes below the top plane, with the reach, holder and flute rules checked.
///
/// `top` is the top plane, `floor` what the adhesive lies on, `recessed` whether rails stand above the blank.
pub fn cut_depth(
    setting: &Setting<'_>,
    top: Length,
    floor: Length,
    recessed: bool,
) -> Result<(Length, Vec<Rule>), Conflict> {
    let (request, machine, carve) = (setting.request, &setting.request.machine, &setting.request.carve);
    if machine.takes_whole_face() && setting.cut_through() {
        let text = "knives and drums take the whole face off; they cut nothing through";
        return Err(Conflict::plain(Rule::DepthReach, text));
    }
    let highest = floor + setting.adhesive + setting.thickness + setting.rise + request.blank.relief_height;
    let sink = (top - highest).or_zero();
    let carved = sink + carve.depth;
    let through = if setting.cut_through() { top - floor + carve.penetration } else { Length::ZERO };
    if through > carved {
        let terms = [("top plane to floor", top - floor), ("penetration", carve.penetration)];
        demand(setting, Rule::DepthReach, "through cut below the top plane", &terms, machine.depth, true)?;
    } else {
        let terms = [("blank below the top plane", sink), ("depth of cut", carve.depth)];
        let terms = if sink > Length::ZERO { &terms[..] } else { &terms[1..] };
        demand(setting, Rule::DepthReach, "tip below the top plane", terms, machine.depth, true)?;
    }
    let depth = carved.max(through);
    // Knives and drums have no holder that could rub.
    if machine.kind == MachineKind::Carver {
        let subject = if recessed { "tip below the rails beside it" } else { "tip below the wood beside it" };
        let most = machine.stick_out - HOLDER_SPARE;
        demand(setting, Rule::HolderClears, subject, &[("depth", depth)], most, true)?;
    }
    let mut waived = Vec::new();
    if carve.flute.is_some_and(|flute| (depth - sink) > flute) {
        waived.push(Rule::FluteLength);
    }
    Ok((depth, waived))
}

/// What the rails and ends of a built-up carrier are made of, and how they get to their height.
#[derive(Debug, Clone)]
pub struct UpperLayer {
    /// Material as printed.
    pub material: String,
    /// Height of the rails.
    pub height: Length,
    /// Packing laid under the blank so that a thicker stock comes out flush; zero for none.
    pub packing: Length,
    /// Density, kg/m3.
    pub density: f64,
    /// Modulus of elasticity, N/mm2.
    pub elasticity: f64,
    /// Layers.
    pub layers: u32,
    /// Whether it is planed from board rather than used as it comes.
    pub planed: bool,
    /// Sheet stock.
    pub sheet: bool,
}

/// What stock may be used for rails of a given height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Allowed {
    /// At most 1/64 in lower, the blank then stands proud.
    Lower,
    /// The same, or thicker stock with packing under the blank.
    LowerOrPacked,
    /// Any that is higher, the blank then lies deeper.
    Higher,
}

/// Rails of exactly `height`: planed from board where the shop can, else stock that comes near
/// enough.
pub fn upper_layer(setting: &Setting<'_>, height: Length, allowed: Allowed) -> Result<UpperLayer, Conflict> {
    let request = setting.request;
    let of_stock = |stock: &Stock, packing: Length| UpperLayer {
        material: stock.name.clone(),
        height: stock.total(),
        packing,
        density: stock.density,
        elasticity: stock.elasticity,
        layers: stock.layers,
        planed: false,
        sheet: stock.kind.is_sheet(),
    };
    let off = Length::inches(1, 64);
    let exact = |stock: &&Stock| match allowed {
        Allowed::Higher => stock.total() >= height && stock.total() - height < off,
        Allowed::Lower | Allowed::LowerOrPacked => stock.total() <= height && height - stock.total() < off,
    };
    let mut choices: Vec<UpperLayer> = Vec::new();
    let whole = |stock: &Stock| of_stock(stock, Length::ZERO);
    choices.extend(request.stock.iter().filter(|stock| stock.on_hand()).filter(exact).map(whole));
    // Higher rails are glued up of two or three boards before they are planed.
    let layers = (1..=MOST_LAYERS).find(|layers| height <= request.board.thickness * i64::from(*layers));
    if let Some(layers) = layers.filter(|_| setting.thicknesses_boards()) {
        choices.push(UpperLayer {
            material: request.board.name.clone(),
            height,
            packing: Length::ZERO,
            density: request.board.density,
            elasticity: request.board.elasticity,
            layers,
            planed: true,
            sheet: false,
        });
    }
    choices.extend(request.stock.iter().filter(|stock| !stock.on_hand()).filter(exact).map(whole));
    if allowed == Allowed::LowerOrPacked {
        // Card and veneer are easily had up to 1/8 in; beyond that packing is a part of its own.
        let packable = |stock: &&Stock| stock.total() > height && stock.total() - height <= Length::inches(1, 8);
        let mut packed: Vec<&Stock> = request.stock.iter().filter(packable).collect();
        packed.sort_by_key(|stock| stock.total());
        choices.extend(packed.into_iter().map(|stock| of_stock(stock, stock.total() - height)));
    }
    if allowed == Allowed::Higher {
        let mut higher: Vec<&Stock> = request.stock.iter().filter(|stock| stock.total() - height >= off).collect();
        higher.sort_by_key(|stock| stock.total());
        choices.extend(higher.into_iter().map(whole));
    }
    if let Some(choice) = choices.into_iter().nth(setting.upper_choice) {
        return Ok(choice);
    }
    let text = if setting.thicknesses_boards() {
        format!("rails {} high: thicker than any board or stock", setting.say_depth(height))
    } else {
        format!(
            "rails {} high: no stock of that thickness, and no planer or drum sander to make it",
            setting.say_depth(height)
        )
    };
    Err(Conflict::plain(if setting.owns(Tool::Planer) { Rule::StockExists } else { Rule::ToolOwned }, text))
}

/// Reasons for the heights of a carrier with a floor; `sunk` is how far the blank's border lies below
/// the rails on purpose.
pub fn trace_heights(
    setting: &Setting<'_>,
    heights: &Heights,
    stock: &Stock,
    layer: &str,
    sunk: Length,
    trace: &mut Trace,
) {
    if !setting.thickness_known {
        return;
    }
    let blind = layer == "pocket.depth";
    let mut depth_terms = vec![
        Term { label: "blank".to_owned(), amount: setting.thickness, rule: None },
        Term { label: "adhesive".to_owned(), amount: setting.adhesive, rule: Some(Rule::AdhesiveCounted) },
    ];
    if setting.rise > Length::ZERO {
        let (label, rule) = match setting.request.blank.slope {
            Some(_) => ("wedge shim under the thick end", Rule::WedgeShim),
            None => ("highest place on its shims", Rule::BlankFlat),
        };
        depth_terms.push(Term { label: label.to_owned(), amount: setting.rise, rule: Some(rule) });
    }
    let floor = Term {
        label: if blind { "floor" } else { "base" }.to_owned(),
        amount: heights.floor,
        rule: Some(if blind { Rule::PocketFloorWanted } else { Rule::StockExists }),
    };
    let decided = if sunk > Length::ZERO {
        depth_terms.push(Term {
            label: "relief and clear height".to_owned(),
            amount: sunk,
            rule: Some(Rule::BlankFlushLimit),
        });
        Rule::BlankFlushLimit
    } else if setting.adhesive > Length::ZERO {
        Rule::AdhesiveCounted
    } else {
        Rule::BlankFlush
    };
    trace.reasons.push(Reason {
        dimension: "carrier.thickness".to_owned(),
        value: heights.top,
        terms: if blind {
            vec![Term { label: stock.name.clone(), amount: stock.total(), rule: Some(Rule::StockExists) }]
        } else {
            vec![floor.clone(), Term { label: layer.to_owned(), amount: heights.depth(), rule: Some(decided) }]
        },
        decided_by: Some(if blind { Rule::PocketFloorWanted } else { Rule::StockExists }),
        runner_up: None,
    });
    trace.reasons.push(Reason {
        dimension: layer.to_owned(),
        value: heights.depth(),
        terms: depth_terms,
        decided_by: Some(decided),
        runner_up: None,
    });
    if blind {
        let terms = vec![
            Term { label: stock.name.clone(), amount: stock.total(), rule: Some(Rule::StockExists) },
            Term { label: "pocket depth".to_owned(), amount: -heights.depth(), rule: Some(decided) },
        ];
        trace.reasons.push(Reason {
            dimension: "floor".to_owned(),
            value: heights.floor,
            terms,
            decided_by: Some(Rule::PocketFloorWanted),
            runner_up: None,
        });
    }
}

/// Stocks in the order in which they are tried as floor or base: those on hand first, then by thickness.
pub fn stocks_by_thickness<'a>(setting: &Setting<'a>) -> Vec<&'a Stock> {
    let mut stocks: Vec<&Stock> = setting.request.stock.iter().filter(|stock| stock.kind.is_sheet()).collect();
    stocks.sort_by_key(|stock| (stock.total(), !stock.on_hand(), stock.layers));
    stocks
}

/// Tries each stock and keeps the best: fewest wishes left out, on hand, fewest layers, thinnest.
/// Without one that fits, the conflict that misses by least.
pub fn best_stock<'a, T>(
    setting: &Setting<'a>,
    mut attempt: impl FnMut(&'a Stock) -> Result<(usize, T), Conflict>,
) -> Result<(&'a Stock, T), Conflict> {
    /// Wishes left out, to be bought, layers, thickness: less is better.
    type Key = (usize, bool, u32, Length);
    let mut best: Option<(Key, &Stock, T)> = None;
    let mut nearest: Option<Conflict> = None;
    for stock in stocks_by_thickness(setting) {
        match attempt(stock) {
            Ok((waived, value)) => {
                let key = (waived, !stock.on_hand(), stock.layers, stock.total());
                if best.as_ref().is_none_or(|(least, ..)| key < *least) {
                    best = Some((key, stock, value));
                }
            }
            Err(conflict) => {
                if nearest.as_ref().is_none_or(|least| conflict.shortfall < least.shortfall) {
                    nearest = Some(conflict);
                }
            }
        }
    }
    match (best, nearest) {
        (Some((_, stock, value)), _) => Ok((stock, value)),
        (None, Some(conflict)) => Err(conflict),
        (None, None) => Err(Conflict::plain(Rule::StockExists, "no sheet stock on hand, and none may be bought")),
    }
}
