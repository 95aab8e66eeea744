//! Plan sizes with wedges at the trail and far sides of the blank.

use super::{ALL_SHARINGS, BARE_RAIL, Line, Rails, WALL, rail_claims, width_claims, window_claims, window_claims_in};
use crate::axis::Axis;
use crate::construct::Setting;
use crate::length::Length;
use crate::rules::Rule;
use crate::trace::Conflict;

/// Shortest bar beyond a pair of wedges. Common practice, no source.
const TRAIL_BAR: Length = Length::inches(3, 2);

/// Lays out the length with wedges between the blank and the trail bar: `gap` is theirs as set.
pub fn along_wedged(setting: &Setting<'_>, gap: Length) -> Result<Line, Conflict> {
    let machine = &setting.request.machine;
    let mut axis = Axis::new();
    let [wall, back, end] = [(); 3].map(|()| axis.sawn(setting.step()));
    let [lead, trail, ..] = setting.margins;
    let (lead, trail) = (setting.credit(lead), setting.credit(trail));
    let tolerance = setting.two_edges();
    let wanted = [("cutter to roller", machine.cutter_to_roller), ("wanted grip", machine.grip_wanted)];
    let least = [
        ("cutter to roller", machine.cutter_to_roller),
        ("least grip", machine.grip_least),
        ("cutter past the end", setting.past_end()),
        ("saw tolerance", tolerance),
    ];
    axis.claim(0, wall, Rule::GripWanted, "lead end", &[&wanted[..], &[("margin", -lead)]].concat());
    axis.claim(0, wall, Rule::LeadEndAllowance, "lead end", &[&least[..], &[("margin", -lead)]].concat());
    axis.claim(0, wall, Rule::RailWidth, "lead bar", &[("least wall", WALL)]);
    let blank = ("blank", setting.length.nominal);
    axis.claim(wall, back, Rule::WedgeShape, "pocket length", &[blank, ("wedges", gap)]);
    axis.claim(back, end, Rule::RailWidth, "trail bar", &[("least bar", TRAIL_BAR)]);
    // The wedges stand within the trailing allowance: it is counted from the blank.
    axis.claim(wall, end, Rule::GripWanted, "trail end", &[&[blank][..], &wanted, &[("margin", -trail)]].concat());
    let largest = ("largest blank", setting.length.high());
    let terms = [&least[..], &[("margin", -trail), largest]].concat();
    axis.claim(wall, end, Rule::TrailEndAllowance, "trail end", &terms);
    let guard = machine.length_guard.max(tolerance);
    axis.overall(end, Rule::LengthMin, "length", &[("shortest board", machine.length.min), ("guard", guard)]);
    axis.limit(0, end, Rule::LengthMax, "length", &[("longest board", machine.length.max), ("guard", -guard)]);
    Line::solve(axis, [wall, back, end], setting, &ALL_SHARINGS[1..])
}

/// Lays out the width with wedges between the blank and the far rail: `gap` is theirs as set.
pub fn across_wedged(setting: &Setting<'_>, gap: Length) -> Result<Line, Conflict> {
    let mut axis = Axis::new();
    let [wall, back, end] = [(); 3].map(|()| axis.sawn(setting.step()));
    let rails = Rails { least: BARE_RAIL, carries_strip: false, bite: None, stiff: None, along: None };
    rail_claims(&mut axis, 0, wall, "fence rail", setting, rails);
    rail_claims(&mut axis, back, end, "far rail", setting, rails);
    window_claims(&mut axis, wall, setting, Length::ZERO);
    let terms = [("blank", setting.width.nominal), ("wedges", gap)];
    axis.claim(wall, back, Rule::WedgeShape, "pocket width", &terms);
    width_claims(&mut axis, end, setting, false);
    Line::solve(axis, [wall, back, end], setting, &ALL_SHARINGS)
}

/// What lies beside a blank between cleats, along one axis: whole ruler steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beside {
    /// From the lead bar or the fence rail to the blank.
    pub near: Length,
    /// From the blank to the trail bar or the far rail.
    pub far: Length,
    /// How far the blank may lie off its place.
    pub strays: Length,
}

/// Lays out the length of a blank that cleats hold, with room for them.
pub fn along_cleated(setting: &Setting<'_>, beside: Beside) -> Result<Line, Conflict> {
    let machine = &setting.request.machine;
    let mut axis = Axis::new();
    let [wall, back, end] = [(); 3].map(|()| axis.sawn(setting.step()));
    let [lead, trail, ..] = setting.margins;
    let (lead, trail) = (setting.credit(lead), setting.credit(trail));
    let tolerance = setting.two_edges();
    let wanted = [("cutter to roller", machine.cutter_to_roller), ("wanted grip", machine.grip_wanted)];
    let least = [
        ("cutter to roller", machine.cutter_to_roller),
        ("least grip", machine.grip_least),
        ("cutter past the end", setting.past_end()),
        ("saw tolerance", tolerance),
        ("blank off its place", beside.strays),
    ];
    // Cleats stand within both allowances: these are counted from the blank.
    let before = [("margin", -lead), ("room for cleats", -beside.near)];
    axis.claim(0, wall, Rule::GripWanted, "lead end", &[&wanted[..], &before].concat());
    axis.claim(0, wall, Rule::LeadEndAllowance, "lead end", &[&least[..], &before].concat());
    axis.claim(0, wall, Rule::RailWidth, "lead bar", &[("least wall", WALL)]);
    let blank = [("room for cleats", beside.near), ("blank", setting.length.nominal)];
    axis.claim(
        wall,
        back,
        Rule::CleatRoom,
        "pocket length",
        &[&blank[..], &[("room for cleats", beside.far)]].concat(),
    );
    axis.claim(back, end, Rule::RailWidth, "trail bar", &[("least wall", WALL)]);
    axis.claim(wall, end, Rule::GripWanted, "trail end", &[&blank[..], &wanted, &[("margin", -trail)]].concat());
    let largest = [("room for cleats", beside.near), ("largest blank", setting.length.high())];
    let terms = [&least[..], &[("margin", -trail)], &largest].concat();
    axis.claim(wall, end, Rule::TrailEndAllowance, "trail end", &terms);
    let guard = machine.length_guard.max(tolerance);
    axis.overall(end, Rule::LengthMin, "length", &[("shortest board", machine.length.min), ("guard", guard)]);
    axis.limit(0, end, Rule::LengthMax, "length", &[("longest board", machine.length.max), ("guard", -guard)]);
    Line::solve(axis, [wall, back, end], setting, &ALL_SHARINGS[1..])
}

/// Lays out the width of a blank that cleats hold, with room for them.
pub fn across_cleated(setting: &Setting<'_>, beside: Beside) -> Result<Line, Conflict> {
    let mut axis = Axis::new();
    let [wall, back, end] = [(); 3].map(|()| axis.sawn(setting.step()));
    let rails = Rails { least: BARE_RAIL, carries_strip: false, bite: None, stiff: None, along: None };
    rail_claims(&mut axis, 0, wall, "fence rail", setting, rails);
    rail_claims(&mut axis, back, end, "far rail", setting, rails);
    window_claims_in(&mut axis, wall, setting, Length::ZERO, beside.near);
    let terms = [("room for cleats", beside.near), ("blank", setting.width.nominal), ("room for cleats", beside.far)];
    axis.claim(wall, back, Rule::CleatRoom, "pocket width", &terms);
    width_claims(&mut axis, end, setting, false);
    Line::solve(axis, [wall, back, end], setting, &ALL_SHARINGS)
}
