//! Edges on a ruler: difference constraints along one axis, solved by longest path.
//!
//! Every edge of a part is a *node* on the axis, at a mark of the user's ruler if it is sawn, or
//! wherever it falls if it is an edge of the blank. Every rule is a *claim* that one node lies at
//! least so far beyond another. The least positions that satisfy all claims are the longest paths
//! from the origin; a cycle of claims that adds up to more than nothing is a minimal set of rules
//! that cannot all hold.

use crate::length::{Length, Ruler, Unit};
use crate::rules::Rule;
use crate::trace::{Clash, Conflict};

/// A position on the axis. Node 0 is the origin.
pub type Node = usize;

/// What a rule demands of two nodes: `to - from >= sum of the terms`.
#[derive(Debug, Clone)]
pub struct Claim {
    /// Where it is measured from.
    pub from: Node,
    /// What must lie beyond.
    pub to: Node,
    /// The rule that demands it.
    pub rule: Rule,
    /// What is demanded of what, in a few words, such as `lead end`.
    pub subject: &'static str,
    /// The sum it consists of.
    pub terms: Vec<(&'static str, Length)>,
    amount: Length,
    /// An overall minimum, whose shortfall is shared between the two allowances.
    shared: bool,
    /// A limit from above, kept negated; said the other way round.
    at_most: bool,
}

impl Claim {
    /// The sum of the terms.
    pub fn amount(&self) -> Length {
        self.amount
    }

    /// The demand with its numbers in.
    pub fn text(&self, ruler: &Ruler) -> String {
        let sign = if self.at_most { -1 } else { 1 };
        let mut text = format!("{}: {}", self.subject, if self.at_most { "at most " } else { "" });
        for (place, (label, amount)) in self.terms.iter().enumerate() {
            let amount = *amount * sign;
            let joined = match (place, amount < Length::ZERO) {
                (0, false) => "",
                (0, true) => "-",
                (_, false) => " + ",
                (_, true) => " - ",
            };
            text.push_str(&format!("{joined}{label} {}", ruler.number(amount.abs())));
        }
        if self.terms.len() > 1 {
            text.push_str(&format!(" = {}", ruler.with_unit(self.amount * sign)));
        } else {
            text.push_str(match ruler.unit {
                Unit::Inch => " in",
                Unit::Millimetre => " mm",
            });
        }
        text
    }
}

/// How two allowances share an overall shortfall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sharing {
    /// Half each, and both kept equal.
    Equal,
    /// Half each.
    Halves,
    /// All in the far one.
    FarOnly,
    /// All in the near one.
    NearOnly,
}

/// One axis with its claims.
#[derive(Debug, Clone, Default)]
pub struct Axis {
    steps: Vec<Option<Length>>,
    claims: Vec<Claim>,
}

/// Least positions, and the claim that set each.
#[derive(Debug, Clone)]
pub struct Positions {
    at: Vec<Length>,
    set_by: Vec<Option<usize>>,
}

impl Positions {
    /// Where a node lies.
    pub fn at(&self, node: Node) -> Length {
        self.at[node]
    }

    /// Distance between two nodes.
    pub fn gap(&self, from: Node, to: Node) -> Length {
        self.at[to] - self.at[from]
    }
}

/// Claims that cannot all hold, and by how much they miss.
#[derive(Debug, Clone)]
pub struct Cycle {
    claims: Vec<Claim>,
    excess: Length,
}

impl Cycle {
    /// The conflict with its numbers, for the user.
    pub fn conflict(&self, ruler: &Ruler) -> Conflict {
        let mut clashes: Vec<Clash> = Vec::new();
        for claim in &self.claims {
            let clash = Clash { rule: claim.rule, text: claim.text(ruler), amount: claim.amount };
            if !clashes.contains(&clash) {
                clashes.push(clash);
            }
        }
        Conflict { clashes, shortfall: self.excess }
    }

    /// The rules in the cycle.
    pub fn rules(&self) -> impl Iterator<Item = Rule> + '_ {
        self.claims.iter().map(|claim| claim.rule)
    }
}

impl Axis {
    /// An axis with its origin.
    pub fn new() -> Axis {
        Axis { steps: vec![None], claims: Vec::new() }
    }

    /// Adds a sawn edge, which lies on a mark of the ruler.
    pub fn sawn(&mut self, step: Length) -> Node {
        self.steps.push(Some(step));
        self.steps.len() - 1
    }

    /// Adds a measured edge, which lies where it falls.
    pub fn measured(&mut self) -> Node {
        self.steps.push(None);
        self.steps.len() - 1
    }

    /// Demands `to - from >= sum of terms`.
    pub fn claim(
        &mut self,
        from: Node,
        to: Node,
        rule: Rule,
        subject: &'static str,
        terms: &[(&'static str, Length)],
    ) -> &mut Claim {
        let terms: Vec<_> =
            terms.iter().enumerate().filter(|(i, (_, t))| *i == 0 || *t != Length::ZERO).map(|(_, t)| *t).collect();
        let amount = terms.iter().map(|(_, amount)| *amount).sum();
        self.claims.push(Claim { from, to, rule, subject, terms, amount, shared: false, at_most: false });
        let last = self.claims.len() - 1;
        &mut self.claims[last]
    }

    /// Demands that `end` lies at least so far from the origin, the shortfall shared by both allowances.
    pub fn overall(&mut self, end: Node, rule: Rule, subject: &'static str, terms: &[(&'static str, Length)]) {
        self.claim(0, end, rule, subject, terms).shared = true;
    }

    /// Demands `to - from <= sum of terms`.
    pub fn limit(&mut self, from: Node, to: Node, rule: Rule, subject: &'static str, terms: &[(&'static str, Length)]) {
        let negated: Vec<_> = terms.iter().map(|(label, amount)| (*label, -*amount)).collect();
        self.claim(to, from, rule, subject, &negated).at_most = true;
    }

    /// Demands `to - from` to be exactly `amount`.
    pub fn fixed(
        &mut self,
        from: Node,
        to: Node,
        rule: Rule,
        subject: &'static str,
        label: &'static str,
        amount: Length,
    ) {
        self.claim(from, to, rule, subject, &[(label, amount)]);
        self.claim(to, from, rule, subject, &[(label, -amount)]).at_most = true;
    }

    /// Least positions that satisfy every claim but those `skip` leaves out.
    pub fn least(&self, skip: impl Fn(&Claim) -> bool) -> Result<Positions, Cycle> {
        let mut at = vec![Length::ZERO; self.steps.len()];
        let mut set_by: Vec<Option<usize>> = vec![None; self.steps.len()];
        // A longest path visits each node once; one more round that still moves something has met a cycle.
        for _ in 0..=self.steps.len() {
            let mut moved = false;
            for (index, claim) in self.claims.iter().enumerate() {
                if skip(claim) {
                    continue;
                }
                let mut demanded = at[claim.from] + claim.amount;
                if let Some(step) = self.steps[claim.to] {
                    demanded = demanded.up(step);
                }
                if demanded > at[claim.to] {
                    let excess = demanded - at[claim.to];
                    set_by[claim.to] = Some(index);
                    if claim.to == 0 {
                        return Err(self.cycle(&set_by, 0, excess));
                    }
                    at[claim.to] = demanded;
                    moved = true;
                }
            }
            if !moved {
                return Ok(Positions { at, set_by });
            }
        }
        let (node, excess) = self.still_moving(&at, &skip);
        Err(self.cycle(&set_by, node, excess))
    }

    fn still_moving(&self, at: &[Length], skip: &impl Fn(&Claim) -> bool) -> (Node, Length) {
        for claim in self.claims.iter().filter(|claim| !skip(claim)) {
            let demanded = at[claim.from] + claim.amount;
            let demanded = self.steps[claim.to].map_or(demanded, |step| demanded.up(step));
            if demanded > at[claim.to] {
                return (claim.to, demanded - at[claim.to]);
            }
        }
        (0, Length::ZERO)
    }

    fn cycle(&self, set_by: &[Option<usize>], start: Node, excess: Length) -> Cycle {
        // Walk back far enough to be inside the cycle, then once round it.
        let mut node = start;
        for _ in 0..set_by.len() {
            match set_by[node] {
                Some(index) => node = self.claims[index].from,
                None => break,
            }
        }
        let first = if set_by[node].is_some() { node } else { start };
        let (mut claims, mut node) = (Vec::new(), first);
        while let Some(index) = set_by[node] {
            claims.push(self.claims[index].clone());
            node = self.claims[index].from;
            if node == first || claims.len() > set_by.len() {
                break;
            }
        }
        claims.reverse();
        Cycle { claims, excess }
    }

    /// Least positions with two allowances (each a pair of nodes) that share every overall
    /// shortfall as `sharing` says.
    ///
    /// Two equal gaps are not a difference constraint; each pair is treated as one allowance that
    /// is raised on both sides together.
    pub fn solve(&self, near: (Node, Node), far: (Node, Node), sharing: Sharing) -> Result<(Axis, Positions), Cycle> {
        let mut axis = self.clone();
        let equal = sharing == Sharing::Equal;
        let step = self.steps[far.1].or(self.steps[near.1]).unwrap_or(Length::from_ticks(1));
        // A side with nothing between blank and edge cannot be raised.
        let near_grows = near.0 != near.1 && sharing != Sharing::FarOnly;
        let far_grows = far.0 != far.1 && sharing != Sharing::NearOnly;
        let mut positions = axis.least(|claim| claim.shared)?;
        // Raising one side can only be answered by raising the other: two rounds reach the fixpoint.
        for _ in 0..4 {
            let (near_gap, far_gap) = (positions.gap(near.0, near.1), positions.gap(far.0, far.1));
            let mut raise = (near_gap, far_gap);
            let mut cause = (Rule::FeedMarked, "same at both sides", Length::ZERO);
            // Next to a measured edge the two can only be equal to within one mark.
            if equal && near_grows && far_grows && (near_gap - far_gap).abs() >= step {
                raise = (near_gap.max(far_gap), near_gap.max(far_gap));
            }
            let missing = (raise.0 - near_gap) + (raise.1 - far_gap);
            for claim in self.claims.iter().filter(|claim| claim.shared) {
                let short = claim.amount - positions.at(claim.to) - missing;
                if short > Length::ZERO {
                    let part = if near_grows && far_grows { short.half_up() } else { short }.up(step);
                    if part > cause.2 {
                        cause = (claim.rule, claim.subject, part);
                    }
                }
            }
            let (rule, subject, part) = cause;
            let wanted = (raise.0 + part, raise.1 + part);
            let before = axis.claims.len();
            if near_grows && wanted.0 > near_gap {
                axis.claim(near.0, near.1, rule, subject, &[("allowance raised to", wanted.0)]);
            }
            if far_grows && wanted.1 > far_gap {
                axis.claim(far.0, far.1, rule, subject, &[("allowance raised to", wanted.1)]);
            }
            if axis.claims.len() == before {
                break;
            }
            positions = axis.least(|claim| claim.shared)?;
        }
        let positions = axis.least(|_| false)?;
        Ok((axis, positions))
    }

    /// The claims that do not hold with the nodes at these positions, and by how much each misses.
    pub fn broken_at(&self, at: &[Length]) -> Vec<(&Claim, Length)> {
        let place = |node: Node| at.get(node).copied().unwrap_or_default();
        let missing = |claim: &Claim| claim.amount - (place(claim.to) - place(claim.from));
        self.claims.iter().map(|claim| (claim, missing(claim))).filter(|(_, missing)| *missing > Length::ZERO).collect()
    }

    /// The claims that bear on the gap between two nodes directly, greatest first (in the order
    /// they were made where equal).
    pub fn claims_on(&self, from: Node, to: Node) -> Vec<&Claim> {
        let mut found: Vec<&Claim> = self.claims.iter().filter(|c| c.from == from && c.to == to).collect();
        found.sort_by_key(|claim| -claim.amount.ticks());
        found
    }

    /// The chain of claims that puts `node` where it is, from the origin on.
    pub fn chain<'a>(&'a self, positions: &Positions, node: Node) -> Vec<&'a Claim> {
        let (mut chain, mut node) = (Vec::new(), node);
        while let Some(index) = positions.set_by[node] {
            chain.push(&self.claims[index]);
            node = self.claims[index].from;
            if node == 0 || chain.len() > self.steps.len() {
                break;
            }
        }
        chain.reverse();
        chain
    }

    /// The axis without the claims of one rule.
    pub fn without(&self, rule: Rule) -> Axis {
        let claims = self.claims.iter().filter(|claim| claim.rule != rule).cloned().collect();
        Axis { steps: self.steps.clone(), claims }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sixteenths(n: i64) -> Length {
        Length::inches(n, 16)
    }

    #[test]
    fn longest_path_rounds_up_to_the_ruler() {
        let mut axis = Axis::new();
        let step = Length::inches(1, 4);
        let wall = axis.sawn(step);
        axis.claim(0, wall, Rule::RailWidth, "rail", &[("least", sixteenths(9))]);
        axis.claim(0, wall, Rule::FenceRail, "rail", &[("strip", sixteenths(5))]);
        let positions = axis.least(|_| false).unwrap();
        // 9/16 in on a ruler of quarters is 3/4 in.
        assert_eq!(positions.at(wall), sixteenths(12));
        assert_eq!(axis.claims_on(0, wall)[0].rule, Rule::RailWidth);
    }

    #[test]
    fn a_limit_that_cannot_be_kept_gives_the_cycle_and_the_shortfall() {
        let mut axis = Axis::new();
        let step = Length::inches(1, 32);
        let (wall, end) = (axis.sawn(step), axis.sawn(step));
        axis.claim(0, wall, Rule::RailWidth, "fence rail", &[("least", Length::inches(3, 4))]);
        axis.claim(wall, end, Rule::Fit, "width", &[("blank", Length::inches(13, 1))]);
        axis.claim(0, end, Rule::WidthMin, "width", &[("least", Length::inches(4, 1))]);
        axis.limit(0, end, Rule::WidthMax, "width", &[("widest", Length::inches(13, 1))]);
        let cycle = axis.least(|_| false).unwrap_err();
        assert_eq!(cycle.rules().collect::<Vec<_>>(), [Rule::RailWidth, Rule::Fit, Rule::WidthMax]);
        assert_eq!(cycle.excess, Length::inches(3, 4));
    }

    #[test]
    fn overall_shortfall_is_shared_and_each_half_rounded_up() {
        // Pocket 5 in, ends 4 in wanted, board at least 16-1/8 in: 3-1/8 in short, 1-9/16 in each end.
        let mut axis = Axis::new();
        let step = Length::inches(1, 32);
        let (lead, trail, end) = (axis.sawn(step), axis.sawn(step), axis.sawn(step));
        axis.claim(0, lead, Rule::GripWanted, "lead end", &[("wanted", Length::inches(4, 1))]);
        axis.claim(lead, trail, Rule::Fit, "pocket", &[("blank", Length::inches(5, 1))]);
        axis.claim(trail, end, Rule::GripWanted, "trail end", &[("wanted", Length::inches(4, 1))]);
        axis.overall(end, Rule::LengthMin, "length", &[("least", Length::inches(129, 8))]);
        let (axis, positions) = axis.solve((0, lead), (trail, end), Sharing::Equal).unwrap();
        assert_eq!(positions.at(lead), Length::inches(89, 16));
        assert_eq!(positions.at(end), Length::inches(129, 8));
        assert_eq!(axis.claims_on(0, lead)[0].rule, Rule::LengthMin);
    }
}
