//! Plan sizes: allowances and pocket along the feed, rails and pocket across it.

mod wedged;

use super::Setting;
use super::repeat_loading::{LOADING, NOTCH};
use crate::axis::{Axis, Cycle, Node, Positions, Sharing};
use crate::geometry::Rect;
use crate::length::{Length, Measured};
use crate::request::Hold;
use crate::rules::{Rule, Severity};
use crate::trace::{Clash, Conflict, Reason, RunnerUp, Term, Trace};
pub use wedged::{Beside, across_cleated, across_wedged, along_cleated, along_wedged};

/// Ways to share an overall shortfall, in the order tried: equal allowances are the default.
const ALL_SHARINGS: [Sharing; 4] = [Sharing::Equal, Sharing::Halves, Sharing::FarOnly, Sharing::NearOnly];

/// How the blank's edges meet the carrier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edges {
    /// Slipped into a pocket with clearance.
    Loose,
    /// Glued or pinched, no clearance.
    Fitted,
}

/// What the fence and far rails have to be.
#[derive(Debug, Clone, Copy)]
pub struct Rails {
    /// Least width of either.
    pub least: Length,
    /// Whether the fence rail alone carries the reference strip.
    pub carries_strip: bool,
    /// How far a corner relief bites into it.
    pub bite: Option<Length>,
    /// Width a rail held only at its ends needs against the far guide.
    pub stiff: Option<Length>,
    /// Width each rail is wanted so that the carrier is stiff along the feed.
    pub along: Option<Length>,
}

/// One axis, solved: an allowance, the pocket, an allowance.
#[derive(Debug, Clone)]
pub struct Line {
    base: Axis,
    axis: Axis,
    positions: Positions,
    nodes: [Node; 3],
    sharing: Sharing,
    /// Wishes left out to make it fit.
    pub waived: Vec<Rule>,
    /// Whether both allowances are equal within the clearance.
    pub symmetrical: bool,
}

impl Line {
    /// Lead end or fence rail.
    pub fn near(&self) -> Length {
        self.positions.at(self.nodes[0])
    }

    /// Pocket.
    pub fn pocket(&self) -> Length {
        self.positions.gap(self.nodes[0], self.nodes[1])
    }

    /// Trail end or far rail.
    pub fn far(&self) -> Length {
        self.positions.gap(self.nodes[1], self.nodes[2])
    }

    /// Overall.
    pub fn total(&self) -> Length {
        self.positions.at(self.nodes[2])
    }

    /// Solves an axis, an overall shortfall shared in the first of the ways that works. Where none
    /// does, the wishes that clash are left out one after the other.
    pub fn solve(axis: Axis, nodes: [Node; 3], setting: &Setting<'_>, sharings: &[Sharing]) -> Result<Line, Conflict> {
        let (mut trial, mut waived) = (axis, Vec::new());
        loop {
            let mut first = None;
            for sharing in sharings.iter().copied() {
                match trial.solve((0, nodes[0]), (nodes[1], nodes[2]), sharing) {
                    Ok((solved, positions)) => {
                        let near = positions.at(nodes[0]);
                        let lopsided = (near - positions.gap(nodes[1], nodes[2])).abs();
                        let symmetrical = lopsided <= setting.request.shop.clearance * 2;
                        return Ok(Line { base: trial, axis: solved, positions, nodes, sharing, waived, symmetrical });
                    }
                    // The conflict of the halves names no demand of ours that they be equal.
                    Err(cycle) if sharing == Sharing::Halves => first = Some(cycle),
                    Err(cycle) => first = first.or(Some(cycle)),
                }
            }
            let Some(cycle) = first else {
                return Err(Conflict::plain(Rule::Closure, "the axis has no way to be laid out"));
            };
            match wish_in(&cycle).filter(|rule| !waived.contains(rule)) {
                Some(rule) => {
                    trial = trial.without(rule);
                    waived.push(rule);
                }
                None => return Err(cycle.conflict(&setting.request.shop.ruler)),
            }
        }
    }

    /// Adds the reasons for the four dimensions of this axis to a trace.
    pub fn trace(&self, setting: &Setting<'_>, names: [&str; 4], trace: &mut Trace) {
        let [near, pocket, far, total] = names;
        let [wall, back, end] = self.nodes;
        let near_reason = self.reason(setting, near, 0, wall, None);
        let pocket_reason = self.reason(setting, pocket, wall, back, None);
        // Claims from the near wall to the end speak of the far allowance with the pocket counted in.
        let far_reason = self.reason(setting, far, back, end, Some((wall, end)));
        let bare = near_reason.value == Length::ZERO;
        let decided_by = if bare { pocket_reason.decided_by } else { near_reason.decided_by };
        let terms = [&near_reason, &pocket_reason, &far_reason]
            .into_iter()
            .filter(|reason| reason.value != Length::ZERO)
            .map(|reason| Term { label: reason.dimension.clone(), amount: reason.value, rule: reason.decided_by })
            .collect();
        let runner_up = decided_by.filter(|_| !bare).and_then(|rule| self.next(setting, rule));
        let overall = Reason { dimension: total.to_owned(), value: self.total(), terms, decided_by, runner_up };
        let parts = [near_reason, pocket_reason, far_reason].into_iter().filter(|r| r.value != Length::ZERO);
        trace.reasons.push(overall);
        trace.reasons.extend(parts);
    }

    fn reason(&self, setting: &Setting<'_>, name: &str, from: Node, to: Node, also: Option<(Node, Node)>) -> Reason {
        let value = self.positions.gap(from, to);
        let mut bids: Vec<(Length, &crate::axis::Claim)> =
            self.axis.claims_on(from, to).into_iter().map(|claim| (claim.amount(), claim)).collect();
        if let Some((from, to)) = also {
            let inner = self.pocket();
            bids.extend(self.axis.claims_on(from, to).into_iter().map(|claim| (claim.amount() - inner, claim)));
        }
        bids.sort_by_key(|(amount, _)| -amount.ticks());
        let ruler = &setting.request.shop.ruler;
        let Some((amount, first)) = bids.first().copied() else {
            return Reason { dimension: name.to_owned(), value, terms: Vec::new(), decided_by: None, runner_up: None };
        };
        let mut terms: Vec<Term> = first
            .terms
            .iter()
            .map(|(label, amount)| Term { label: (*label).to_owned(), amount: *amount, rule: Some(first.rule) })
            .collect();
        if first.amount() != amount {
            terms.push(Term { label: "pocket".to_owned(), amount: amount - first.amount(), rule: None });
        }
        // The demand that really decided when both allowances were raised together stands behind the raise.
        let runner_up = bids.iter().find(|(_, claim)| claim.rule != first.rule).map(|(amount, claim)| RunnerUp {
            rule: claim.rule,
            value: amount.up(setting.step()),
            text: claim.text(ruler),
        });
        Reason { dimension: name.to_owned(), value, terms, decided_by: Some(first.rule), runner_up }
    }

    /// The overall size without the deciding rule, and who decides then.
    fn next(&self, setting: &Setting<'_>, rule: Rule) -> Option<RunnerUp> {
        let [wall, back, end] = self.nodes;
        let (axis, positions) = self.base.without(rule).solve((0, wall), (back, end), self.sharing).ok()?;
        let next = *axis.claims_on(0, wall).first()?;
        let ruler = &setting.request.shop.ruler;
        Some(RunnerUp { rule: next.rule, value: positions.at(end), text: next.text(ruler) })
    }
}

/// The first wish in a cycle.
pub fn wish_in(cycle: &Cycle) -> Option<Rule> {
    cycle.rules().find(|rule| rule.info().severity == Severity::Should)
}

/// Demands on one pocket: the largest blank and its clearance.
fn pocket_terms(setting: &Setting<'_>, across: bool) -> [(&'static str, Length); 4] {
    let (measured, growth) =
        if across { (setting.width, setting.growth_across) } else { (setting.length, setting.growth_along) };
    let clearance = setting.clearance() * 2;
    let slack = match setting.hold {
        Hold::Keeper => ("room for loading", clearance.max(LOADING)),
        _ => ("clearance on both sides", clearance),
    };
    [
        ("largest reading", measured.largest),
        ("uncertainty", measured.high() - measured.largest),
        slack,
        ("growth", growth),
    ]
}

/// One pocket of a row of them, with its reason.
pub fn pocket_of_row(setting: &Setting<'_>, across: bool, dimension: &str) -> Reason {
    let terms = pocket_terms(setting, across);
    let sum: Length = terms.iter().map(|(_, amount)| *amount).sum();
    let terms = terms.into_iter().filter(|(_, amount)| *amount != Length::ZERO);
    Reason {
        dimension: dimension.to_owned(),
        value: sum.up(setting.step()),
        terms: terms.map(|(label, amount)| Term { label: label.to_owned(), amount, rule: Some(Rule::Fit) }).collect(),
        decided_by: Some(Rule::Fit),
        runner_up: None,
    }
}

/// The blank's extent in a pocket, or fitted; before the last pocket of a row stand the others and
/// their webs.
fn fit(axis: &mut Axis, from: Node, to: Node, setting: &Setting<'_>, edges: Edges, across: bool, before: Length) {
    let (measured, _, subject) = if across {
        (setting.width, setting.growth_across, "pocket width")
    } else {
        (setting.length, setting.growth_along, "pocket length")
    };
    match edges {
        Edges::Loose => {
            let [reading, uncertainty, clearance, growth] = pocket_terms(setting, across);
            let terms = [reading, uncertainty, clearance, growth, ("pockets and webs before it", before)];
            axis.claim(from, to, Rule::Fit, subject, &terms);
        }
        Edges::Fitted => axis.fixed(from, to, Rule::Fit, subject, "blank", measured.nominal),
    }
}

/// Lays out the length: lead end, pocket, trail end.
pub fn along(setting: &Setting<'_>, edges: Edges, bite: Option<Length>) -> Result<Line, Conflict> {
    along_shared(setting, edges, bite, [None, None], &ALL_SHARINGS, Length::ZERO)
}

/// Lays out the length for a row of pockets: `before` is what the pockets and webs before the last
/// take, a whole number of ruler steps.
pub fn along_row(setting: &Setting<'_>, bite: Option<Length>, before: Length) -> Result<Line, Conflict> {
    along_shared(setting, Edges::Loose, bite, [None, None], &ALL_SHARINGS, before)
}

/// Lays out the length for a tapered blank: no end longer than `most`, to which the slope can be
/// carried on. `narrow_only` puts what the machine's shortest board asks for into the end beside the
/// narrow end of the blank, where the slope takes the least width.
pub fn along_tapered(
    setting: &Setting<'_>,
    most: [Option<Length>; 2],
    wide_leads: bool,
    narrow_only: bool,
) -> Result<Line, Conflict> {
    let only = if wide_leads { [Sharing::FarOnly] } else { [Sharing::NearOnly] };
    let sharings = if narrow_only { &only[..] } else { &ALL_SHARINGS[..] };
    along_shared(setting, Edges::Fitted, None, most, sharings, Length::ZERO)
}

fn along_shared(
    setting: &Setting<'_>,
    edges: Edges,
    bite: Option<Length>,
    most: [Option<Length>; 2],
    sharings: &[Sharing],
    before: Length,
) -> Result<Line, Conflict> {
    let machine = &setting.request.machine;
    let step = setting.step();
    let mut axis = Axis::new();
    let wall = axis.sawn(step);
    let back = match edges {
        Edges::Loose => axis.sawn(step),
        Edges::Fitted => axis.measured(),
    };
    let end = axis.sawn(step);
    let [lead, trail, ..] = setting.margins;
    let (lead, trail) = (setting.credit(lead), setting.credit(trail));
    let tolerance = setting.two_edges();

    axis.claim(
        0,
        wall,
        Rule::GripWanted,
        "lead end",
        &[("cutter to roller", machine.cutter_to_roller), ("wanted grip", machine.grip_wanted), ("margin", -lead)],
    );
    let least = [
        ("cutter to roller", machine.cutter_to_roller),
        ("least grip", machine.grip_least),
        ("cutter past the end", setting.past_end()),
        ("saw tolerance", tolerance),
    ];
    axis.claim(
        0,
        wall,
        Rule::LeadEndAllowance,
        "lead end",
        &[least[0], least[1], least[2], least[3], ("margin", -lead)],
    );
    axis.claim(0, wall, Rule::RailWidth, "lead end wall", &[("least wall", WALL)]);
    axis.claim(back, end, Rule::RailWidth, "trail end wall", &[("least wall", WALL)]);
    if setting.hold == Hold::Keeper {
        axis.claim(
            back,
            end,
            Rule::RailWidth,
            "trail end wall",
            &[("keeper's notch", NOTCH), ("wood behind it", WALL)],
        );
    }
    if setting.freed() {
        let carve = &setting.request.carve;
        let beyond = [("wall left", HALF), ("cutter", carve.cutter), ("overrun", carve.overrun)];
        axis.claim(0, wall, Rule::PerimeterInside, "lead end wall", &beyond);
        axis.claim(back, end, Rule::PerimeterInside, "trail end wall", &beyond);
    }
    if let Some(bite) = bite {
        let wall_left = [("wall left", HALF), ("relief bite", bite)];
        axis.claim(0, wall, Rule::WallAfterRelief, "lead end wall", &wall_left);
        axis.claim(back, end, Rule::WallAfterRelief, "trail end wall", &wall_left);
    }
    fit(&mut axis, wall, back, setting, edges, false, before);
    axis.claim(
        back,
        end,
        Rule::GripWanted,
        "trail end",
        &[("cutter to roller", machine.cutter_to_roller), ("wanted grip", machine.grip_wanted), ("margin", -trail)],
    );
    axis.claim(
        wall,
        end,
        Rule::TrailEndAllowance,
        "trail end",
        &[
            least[0],
            least[1],
            least[2],
            least[3],
            ("margin", -trail),
            ("largest blank", setting.length.high()),
            ("pockets and webs before it", before),
        ],
    );
    if let Some(most) = most[0] {
        axis.limit(0, wall, Rule::EdgesShaped, "lead end", &[("where the slope runs out", most)]);
    }
    if let Some(most) = most[1] {
        axis.limit(back, end, Rule::EdgesShaped, "trail end", &[("where the slope runs out", most)]);
    }
    let guard = machine.length_guard.max(tolerance);
    axis.overall(end, Rule::LengthMin, "length", &[("shortest board", machine.length.min), ("guard", guard)]);
    axis.limit(0, end, Rule::LengthMax, "length", &[("longest board", machine.length.max), ("guard", -guard)]);
    Line::solve(axis, [wall, back, end], setting, sharings)
}

/// Least solid wall round a pocket on a base or in one board. Common practice, no source.
pub const WALL: Length = Length::inches(3, 4);
/// Least rail without a base, or beside a recessed blank. Common practice, no source.
pub const BARE_RAIL: Length = Length::inches(5, 4);
/// Least wall left where a relief or a perimeter cut bites. Common practice, no source.
pub const HALF: Length = Length::inches(1, 2);

/// Most that the edges of what is fed may be out of parallel. Common practice, no source.
const OUT_OF_PARALLEL: Length = Length::inches(1, 32);
/// Least web between two pockets, and least of it left between their reliefs. Common practice, no source.
pub const WEB_LEFT: Length = Length::inches(1, 4);
/// From a cutter that cuts a part free to the next pocket, and the same beyond its overrun. Common
/// practice, no source.
const BESIDE_CUTTER: Length = Length::inches(1, 4);
const BESIDE_OVERRUN: Length = Length::inches(3, 16);

/// Wood between two neighbouring pockets, with its reason.
pub fn web(setting: &Setting<'_>, bite: Option<Length>) -> Reason {
    let carve = &setting.request.carve;
    let mut bids: Vec<(Rule, Vec<(&str, Length)>)> = vec![(Rule::Web, vec![("least web", HALF)])];
    if setting.freed() {
        bids.push((Rule::Web, vec![("cutter", carve.cutter), ("beside it", BESIDE_CUTTER)]));
        let beyond = vec![("cutter", carve.cutter), ("overrun", carve.overrun), ("beside it", BESIDE_OVERRUN)];
        bids.push((Rule::Web, beyond));
    }
    if let Some(bite) = bite {
        bids.push((Rule::WebAfterRelief, vec![("web left", WEB_LEFT), ("relief bites from both sides", bite * 2)]));
    }
    let sum = |terms: &[(&str, Length)]| -> Length { terms.iter().map(|(_, amount)| *amount).sum() };
    // A stable sort: of equal demands the first stands.
    bids.sort_by_key(|(_, terms)| -sum(terms).ticks());
    let step = setting.step();
    let first = bids.first().cloned().unwrap_or((Rule::Web, Vec::new()));
    let runner_up = bids.iter().find(|(rule, _)| *rule != first.0).map(|(rule, terms)| RunnerUp {
        rule: *rule,
        value: sum(terms).up(step),
        text: terms
            .iter()
            .map(|(label, amount)| format!("{label} {}", setting.say(*amount)))
            .collect::<Vec<_>>()
            .join(" + "),
    });
    Reason {
        dimension: "web".to_owned(),
        value: sum(&first.1).up(step),
        terms: first
            .1
            .iter()
            .map(|(label, amount)| Term { label: (*label).to_owned(), amount: *amount, rule: Some(first.0) })
            .collect(),
        decided_by: Some(first.0),
        runner_up,
    }
}

/// Lays out the width: fence rail, pocket, far rail.
pub fn across(setting: &Setting<'_>, edges: Edges, rails: Rails) -> Result<Line, Conflict> {
    across_rows(setting, edges, rails, Length::ZERO)
}

/// Lays out the width for rows of pockets: `before` is what the rows and webs before the last take, a
/// whole number of ruler steps.
pub fn across_rows(setting: &Setting<'_>, edges: Edges, rails: Rails, before: Length) -> Result<Line, Conflict> {
    let step = setting.step();
    let mut axis = Axis::new();
    let wall = axis.sawn(step);
    let back = match edges {
        Edges::Loose => axis.sawn(step),
        Edges::Fitted => axis.measured(),
    };
    let end = axis.sawn(step);
    rail_claims(&mut axis, 0, wall, "fence rail", setting, rails);
    rail_claims(&mut axis, back, end, "far rail", setting, Rails { carries_strip: false, ..rails });
    window_claims(&mut axis, wall, setting, before);
    fit(&mut axis, wall, back, setting, edges, true, before);
    width_claims(&mut axis, end, setting, false);
    Line::solve(axis, [wall, back, end], setting, &ALL_SHARINGS)
}

/// Lays out the width of a cradle: a pocket of exactly `pocket`, which `rule` asks for, the blank in
/// its middle.
pub fn across_cradle(setting: &Setting<'_>, pocket: Length, rule: Rule) -> Result<Line, Conflict> {
    let mut axis = Axis::new();
    let (wall, back, end) = (axis.sawn(setting.step()), axis.sawn(setting.step()), axis.sawn(setting.step()));
    let rails = Rails { least: WALL, carries_strip: false, bite: None, stiff: None, along: None };
    rail_claims(&mut axis, 0, wall, "fence rail", setting, rails);
    rail_claims(&mut axis, back, end, "far rail", setting, rails);
    window_claims_in(&mut axis, wall, setting, Length::ZERO, (pocket - setting.width.nominal).half());
    axis.fixed(wall, back, rule, "pocket width", "cradle", pocket);
    width_claims(&mut axis, end, setting, false);
    Line::solve(axis, [wall, back, end], setting, &ALL_SHARINGS)
}

/// Lays out the width with a fence rail only: the blank's far edge is the carrier's.
pub fn across_spliced(setting: &Setting<'_>) -> Result<Line, Conflict> {
    let mut axis = Axis::new();
    let wall = axis.sawn(setting.step());
    let end = axis.measured();
    let strip = [("reference strip", setting.request.machine.strip)];
    axis.claim(0, wall, Rule::FenceRail, "fence rail", &strip);
    axis.claim(0, wall, Rule::RollerSupport, "fence rail", &[("carried by the roller", WALL)]);
    window_claims(&mut axis, wall, setting, Length::ZERO);
    fit(&mut axis, wall, end, setting, Edges::Fitted, true, Length::ZERO);
    width_claims(&mut axis, end, setting, true);
    carried_at_both_sides(&mut axis, end);
    Line::solve(axis, [wall, end, end], setting, &ALL_SHARINGS[1..])
}

/// Lays out the width for a tapered blank: `widest` is the blank's slope carried on to the wider end
/// of the carrier.
pub fn taper_across(setting: &Setting<'_>, widest: Length) -> Result<Line, Conflict> {
    let mut axis = Axis::new();
    let (wall, back, end) = (axis.sawn(setting.step()), axis.measured(), axis.sawn(setting.step()));
    let rails = Rails { least: BARE_RAIL, carries_strip: true, bite: None, stiff: None, along: None };
    rail_claims(&mut axis, 0, wall, "fence rail", setting, rails);
    let far = Rails { carries_strip: false, ..rails };
    rail_claims(&mut axis, back, end, "far rail, narrow end", setting, far);
    window_claims(&mut axis, wall, setting, Length::ZERO);
    axis.fixed(wall, back, Rule::EdgesShaped, "width", "slope at the carrier's wide end", widest);
    width_claims(&mut axis, end, setting, false);
    Line::solve(axis, [wall, back, end], setting, &ALL_SHARINGS[1..])
}

/// Claims on the length for a blank whose own ends are the carrier's: machine limits for the
/// shortest and longest the blank may be, and margins enough at both ends.
pub fn along_bare(setting: &Setting<'_>) -> Result<Line, Conflict> {
    let (axis, end) = bare_length(setting);
    Line::solve(axis, [0, end, end], setting, &ALL_SHARINGS[1..])
}

fn bare_length(setting: &Setting<'_>) -> (Axis, Node) {
    let machine = &setting.request.machine;
    let measured = setting.length;
    let mut axis = Axis::new();
    let end = axis.measured();
    axis.fixed(0, end, Rule::Fit, "length", "blank", measured.nominal);
    let guard = machine.length_guard;
    let (short, long) = (measured.nominal - measured.low(), measured.high() - measured.nominal);
    axis.overall(
        end,
        Rule::LengthMin,
        "length",
        &[("shortest board", machine.length.min), ("guard", guard), ("uncertainty", short)],
    );
    axis.limit(
        0,
        end,
        Rule::LengthMax,
        "length",
        &[("longest board", machine.length.max), ("guard", -guard), ("uncertainty", -long)],
    );
    let [lead, trail, ..] = setting.margins;
    let ends = [(Rule::LeadEndAllowance, "lead end", lead), (Rule::TrailEndAllowance, "trail end", trail)];
    for (rule, subject, margin) in ends {
        // Nothing can be added at a bare end: its own margin has to do.
        let margin = setting.credit(margin);
        let terms =
            [("cutter to roller", machine.cutter_to_roller), ("least grip", machine.grip_least), ("margin", -margin)];
        axis.claim(0, 0, rule, subject, &terms);
        let wanted =
            [("cutter to roller", machine.cutter_to_roller), ("wanted grip", machine.grip_wanted), ("margin", -margin)];
        axis.claim(0, 0, Rule::GripWanted, subject, &wanted);
    }
    (axis, end)
}

/// Claims on the width for a blank that lies with its own edges against fence and far guide.
pub fn across_bare(setting: &Setting<'_>) -> Result<Line, Conflict> {
    let (axis, end) = bare_width(setting);
    Line::solve(axis, [0, end, end], setting, &ALL_SHARINGS[1..])
}

fn bare_width(setting: &Setting<'_>) -> (Axis, Node) {
    let mut axis = Axis::new();
    let end = axis.measured();
    window_claims(&mut axis, 0, setting, Length::ZERO);
    axis.fixed(0, end, Rule::Fit, "width", "blank", setting.width.nominal);
    width_claims(&mut axis, end, setting, true);
    carried_at_both_sides(&mut axis, end);
    (axis, end)
}

/// Every limit that a blank without a carrier breaks, each with the size that breaks it.
pub fn broken_bare(setting: &Setting<'_>) -> Vec<(&'static str, Conflict)> {
    let ruler = &setting.request.shop.ruler;
    let axes = [
        (bare_length(setting).0, setting.length.nominal, "length"),
        (bare_width(setting).0, setting.width.nominal, "width"),
    ];
    let mut broken = Vec::new();
    for (axis, nominal, direction) in &axes {
        for (claim, shortfall) in axis.broken_at(&[Length::ZERO, *nominal]) {
            if claim.rule.info().severity == Severity::Should {
                continue;
            }
            let mut clashes = vec![Clash { rule: claim.rule, text: claim.text(ruler), amount: claim.amount() }];
            if claim.from != claim.to {
                let text = format!("{direction}: blank {}", ruler.with_unit(*nominal));
                clashes.push(Clash { rule: Rule::Fit, text, amount: *nominal });
            }
            broken.push((claim.subject, Conflict { clashes, shortfall }));
        }
    }
    broken
}

/// With the blank's own edge at a side, the rollers still want their share of surface at each.
fn carried_at_both_sides(axis: &mut Axis, end: Node) {
    axis.overall(end, Rule::RollerSupport, "width", &[("carried by the roller, both sides", WALL * 2)]);
}

fn rail_claims(axis: &mut Axis, from: Node, to: Node, name: &'static str, setting: &Setting<'_>, rails: Rails) {
    let carve = &setting.request.carve;
    axis.claim(from, to, Rule::RailWidth, name, &[("least rail", rails.least)]);
    axis.claim(from, to, Rule::RollerSupport, name, &[("carried by the roller", WALL)]);
    if rails.carries_strip {
        axis.claim(from, to, Rule::FenceRail, name, &[("reference strip", setting.request.machine.strip)]);
    }
    if let Some(stiff) = rails.stiff {
        axis.claim(from, to, Rule::RailWidth, name, &[("stiff against the guide", stiff)]);
    }
    if let Some(along) = rails.along {
        axis.claim(from, to, Rule::CarrierStiff, name, &[("stiff along the feed", along)]);
    }
    if let Some(bite) = rails.bite {
        axis.claim(from, to, Rule::WallAfterRelief, name, &[("wall left", HALF), ("relief bite", bite)]);
    }
    if setting.freed() {
        let terms = [("wall left", HALF), ("cutter", carve.cutter), ("overrun", carve.overrun)];
        axis.claim(from, to, Rule::PerimeterInside, name, &terms);
    }
}

fn window_claims(axis: &mut Axis, wall: Node, setting: &Setting<'_>, before: Length) {
    window_claims_in(axis, wall, setting, before, Length::ZERO);
}

/// The same for a blank that lies `inside` the wall.
fn window_claims_in(axis: &mut Axis, wall: Node, setting: &Setting<'_>, before: Length, inside: Length) {
    let (machine, carve) = (&setting.request.machine, &setting.request.carve);
    // Knives and drums reach across everything the machine takes.
    if machine.takes_whole_face() {
        return;
    }
    let (radius, overrun) = (setting.cutter_radius(), carve.overrun);
    let [_, _, fence, far] = setting.margins;
    axis.claim(
        0,
        wall,
        Rule::CutterWindow,
        "fence side of the cut",
        &[
            ("nearest reach", machine.window.min),
            ("cutter radius", radius),
            ("overrun", overrun),
            ("margin", -fence - inside),
        ],
    );
    let cut = inside + setting.width.nominal - far;
    axis.limit(
        0,
        wall,
        Rule::CutterWindow,
        "far side of the cut",
        &[
            ("farthest reach", machine.window.max),
            ("blank to far side of cut", -cut),
            ("rows and webs before it", -before),
            ("cutter radius", -radius),
            ("overrun", -overrun),
        ],
    );
}

/// Machine limits on the width. `own_edge`: the far edge is the blank's, as uncertain as its reading.
fn width_claims(axis: &mut Axis, end: Node, setting: &Setting<'_>, own_edge: bool) {
    let (machine, measured) = (&setting.request.machine, setting.width);
    let guard = machine.width_guard.max(setting.two_edges());
    let (narrow, wide, tolerance) = if own_edge {
        (measured.nominal - measured.low(), measured.high() - measured.nominal, Length::ZERO)
    } else {
        (Length::ZERO, Length::ZERO, setting.two_edges())
    };
    let least = [("narrowest board", machine.width.min), ("guard", guard), ("uncertainty", narrow)];
    axis.overall(end, Rule::WidthMin, "width", &least);
    // The machine feels the bed face over the whole width of the strip.
    if machine.strip > Length::ZERO {
        let covered = [("reference strip", machine.strip), ("saw tolerance", tolerance), ("uncertainty", narrow)];
        axis.overall(end, Rule::StripUnbroken, "width", &covered);
    }
    if own_edge {
        parallel_claim(axis, measured);
    }
    let most = [("widest board", machine.width.max), ("guard", -guard), ("uncertainty", -wide)];
    axis.limit(0, end, Rule::WidthMax, "width", &most);
}

/// Readings farther apart than their error explains mean edges that are not parallel, which a blank
/// between fence and far guide must be.
fn parallel_claim(axis: &mut Axis, measured: &Measured) {
    let error = measured.uncertainty.unwrap_or_default() * 2;
    if measured.spread() - error > OUT_OF_PARALLEL {
        let terms =
            [("readings differ by", measured.spread()), ("reading error", -error), ("allowed", -OUT_OF_PARALLEL)];
        axis.claim(0, 0, Rule::ParallelEdges, "width", &terms);
    }
}

/// The carve area in carrier coordinates, for a blank whose near corner lies at `x`, `y`.
pub fn carve_rect(setting: &Setting<'_>, x: Length, y: Length) -> Rect {
    let [lead, trail, fence, far] = setting.margins;
    Rect::new(x + lead, y + fence, x + setting.length.nominal - trail, y + setting.width.nominal - far)
}
