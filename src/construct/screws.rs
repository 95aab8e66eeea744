//! Screws from below: which, where and how many hold the blank, short of the cutter.

use super::Setting;
use super::assemble::Draft;
use super::grip;
use crate::design::{Gang, Part, Place, Screws, Void, VoidKind};
use crate::geometry::path::{distance_to_line, in_ring, to_mm};
use crate::geometry::{Lay, Outline, Point, Rect};
use crate::length::{Length, Unit};
use crate::library::Screw;
use crate::mechanics::NEWTONS_PER_LBF;
use crate::mechanics::screw::{USED, head_through, pulled_out, pushed_aside};
use crate::request::{Assumption, Hold, Shape};
use crate::rules::Rule;
use crate::trace::{Clash, Conflict, Reason, Term};

/// Least and most that heads are sunk within the bed face.
const SUNK: (Length, Length) = (Length::inches(1, 32), Length::inches(1, 8));
/// Wood over a head: as much as a floor has at least.
const OVER_HEAD: Length = Length::inches(3, 16);
/// Least that a screw goes into the blank.
const BITE: Length = Length::inches(3, 8);
/// From a screw to the end of the blank's grain, to its side, and to the next screw, in diameters.
const END: i64 = 10;
const SIDE: (i64, i64) = (5, 2);
/// The same at least, whatever the diameter.
const EDGE: Length = Length::inches(3, 8);
/// From the reference strip.
const STRIP_ASIDE: Length = Length::inches(1, 4);
/// Most numbers of screws tried, from the least on, two by two.
const COUNTS: usize = 6;
/// Along a blank no stretch between two screws is longer. Common practice, no source.
const SPAN: Length = Length::inches(12, 1);
/// Places looked at each way in a blank that is no rectangle.
const LATTICE: i64 = 16;
/// Angle of a flat head: 82 degrees (ASME B18.6.1, from memory). The mouth widens by so much of what it is sunk.
const FLARE: f64 = 1.74;
/// Least of a head that bears on the wood round its hole. Common practice, no source.
const BEARING: Length = Length::inches(1, 32);
/// A hole no wider than this beyond the shank still holds the blank in its place.
const LOOSE: Length = Length::inches(1, 64);
/// Specific gravity that sheet stock is taken for where heads are pulled through it: the least in the tables of the
/// National Design Specification for Wood Construction (12.3.3B, from memory), or its own, if that is less.
const SHEET_GRAVITY: f64 = 0.42;
/// Weight of a specific gravity of one, at 12 % moisture, kg/m3 (USDA Wood Handbook, ch. 4).
const DENSITY_OVER_GRAVITY: f64 = 1120.0;
/// Of a bridge's bond, and of a bond elsewhere, so much more is asked.
const BRIDGE: f64 = 4.0 / 3.0;
/// A load that is just carried is one, however it is rounded.
const ROUNDING: f64 = 1.0 + 1e-4;

/// Where the strengths come from.
const PULL_SOURCE: &str = "a sixth of 108.25 G2 D L newtons and mm, point not counted (USDA Wood Handbook, ch. 8, from memory), or, if less, of its head 690 pi D G2 t lbf and inches (National Design Specification for Wood Construction 2018, 12.2.5, from memory)";
const SIDE_SOURCE: &str = "USDA Wood Handbook, ch. 8, from memory: K D2 at the proportional limit, less in proportion for a bite under seven diameters, with its square under four (judgement); a sixth of it is used";

/// The least floor that heads of the screws to choose from can be sunk into; nothing for other holds.
pub fn least_floor(setting: &Setting<'_>) -> Length {
    let heights = setting.request.screws.sizes.iter().map(|size| size.height);
    match heights.min() {
        Some(height) if setting.hold == Hold::Screws => height + SUNK.0 + OVER_HEAD,
        _ => Length::ZERO,
    }
}

/// Fastens the blank of a draft: bores its floor and gives the screws, with the wishes left out; nothing for
/// other holds, or where no heights are known.
///
/// # Errors
/// Why no screws hold it short of the cut.
pub fn fastened(setting: &Setting<'_>, draft: &mut Draft, gang: Option<&Gang>) -> Result<Option<Screws>, Conflict> {
    if setting.hold != Hold::Screws || draft.parts.is_empty() || !setting.thickness_known {
        return Ok(None);
    }
    if setting.request.machine.takes_whole_face() {
        let text =
            "knives and drums take more off with every pass, down to the screws: hold it by shims, wedges or glue";
        return Err(Conflict::plain(Rule::ScrewTip, text));
    }
    if setting.cut_through() {
        let text = "the cut goes through the blank: there is nothing left for a screw to end in; tape holds it";
        return Err(Conflict::plain(Rule::ScrewTip, text));
    }
    let room = Room::of(setting, draft);
    let mut screws = chosen(setting, draft, &room)?;
    if let Some(gang) = gang {
        screws.places = repeated(setting, draft, &screws, gang)?;
    }
    bored(draft, &screws);
    let term = |label: &str, amount: Length, rule: Rule| Term { label: label.to_owned(), amount, rule: Some(rule) };
    draft.trace.reasons.push(Reason {
        dimension: "screw-length".to_owned(),
        value: screws.length,
        terms: vec![
            term("floor", draft.blank.z0, Rule::PocketFloor),
            term("bite", screws.bite, Rule::ScrewBite),
            term("head within the bed face", -screws.sunk, Rule::ScrewHead),
        ],
        decided_by: Some(Rule::ScrewTip),
        runner_up: None,
    });
    Ok(Some(screws))
}

/// The screws of the first blank and the same under every other.
fn repeated(setting: &Setting<'_>, draft: &Draft, screws: &Screws, gang: &Gang) -> Result<Vec<Point>, Conflict> {
    if gang.is_free() {
        let text = "blanks that are nested freely want their screws elsewhere each: lay them in rows, one outline to a \
                    carrier, or tape them";
        return Err(Conflict::plain(Rule::ScrewPlaces, text));
    }
    let Some(first) = draft.pockets.first().map(|pocket| &pocket.outline) else { return Ok(Vec::new()) };
    let step = setting.step();
    let mut places = Vec::new();
    for (place, pocket) in draft.pockets.iter().enumerate() {
        let lay = Lay::between(first, &pocket.outline, gang.is_turned(place));
        places.extend(screws.places.iter().map(|at| {
            let there = lay.rect(Rect::new(at.x, at.y, at.x, at.y));
            Point::new(there.x0, there.y0)
        }));
    }
    if !places.iter().all(|at| at.x.is_multiple_of(step) && at.y.is_multiple_of(step)) {
        let text = "under blanks turned half round the screws would stand off the ruler's marks: lay all the same way \
                    (turn = \"locked\"), or tape them";
        return Err(Conflict::plain(Rule::ScrewPlaces, text));
    }
    let strip = setting.request.machine.strip;
    let least = strip + STRIP_ASIDE + screws.mouth.half_up();
    if strip > Length::ZERO && places.iter().any(|at| at.y < least) {
        let text = "under blanks turned half round heads would lie in the reference strip: lay all the same way \
                    (turn = \"locked\"), or tape them";
        return Err(Conflict::plain(Rule::ScrewHead, text));
    }
    Ok(places)
}

/// What there is for screws to go into.
struct Room {
    /// Highest that a tip may come.
    ceiling: Length,
    /// The blank's underside.
    underside: Length,
    /// Wood from the bed face up, where the heads lie.
    wood: Length,
    /// Specific gravity of that wood.
    gravity: f64,
}

impl Room {
    fn of(setting: &Setting<'_>, draft: &Draft) -> Room {
        let request = setting.request;
        let lowest = (draft.carrier.thickness - draft.depth_below_top).min(draft.blank.highest - request.carve.depth);
        let under = |place: &Place| {
            let pockets = place.voids.iter().filter(|void| void.kind == VoidKind::Pocket);
            pockets.map(|void| void.z0).min().unwrap_or(place.z1)
        };
        let low = |part: &&Part| part.places.iter().any(|place| place.z0 <= Length::ZERO);
        let densities = draft.parts.iter().filter(low).map(|part| part.density);
        let floors = draft.parts.iter().flat_map(|part| &part.places).filter(|place| place.z0 <= Length::ZERO);
        Room {
            gravity: densities.fold(f64::INFINITY, f64::min).min(SHEET_GRAVITY * DENSITY_OVER_GRAVITY)
                / DENSITY_OVER_GRAVITY,
            ceiling: lowest - request.screws.clear,
            underside: draft.blank.z0,
            wood: floors.map(under).min().unwrap_or_default(),
        }
    }

    /// Lengths of a size that end short of the cut, the longest first, each with how far it is sunk: no more than
    /// it must be, or (`deep`) as far as it may.
    fn sinkings(&self, size: &Screw, step: Length, deep: bool) -> Vec<(Length, Length)> {
        let least = SUNK.0.up(step);
        let ways = size.lengths.iter().rev().filter_map(|length| {
            let most = (self.ceiling - *length).min(SUNK.1).min(self.wood - OVER_HEAD - size.height).down(step);
            let sunk = if deep { most } else { least };
            let bite = sunk + *length - self.underside;
            (most >= least && bite >= BITE).then_some((*length, sunk))
        });
        ways.collect()
    }
}

/// The fewest screws that hold, heads sunk no more than they must be where that will do, the usual sizes first.
fn chosen(setting: &Setting<'_>, draft: &Draft, room: &Room) -> Result<Screws, Conflict> {
    let request = setting.request;
    let step = request.depth_step();
    let mut last: Option<Conflict> = None;
    let least = least_count(&draft.blank.outline, request.step());
    for count in (0..COUNTS).map(|more| least + 2 * more) {
        for deep in [false, true] {
            for size in &request.screws.sizes {
                // The longest bites most: a shorter one of its size carries no more.
                let Some((length, sunk)) = room.sinkings(size, step, deep).first().copied() else { continue };
                let held = places(setting, &draft.blank.outline, size, sunk, count).and_then(|places| {
                    let screws = sized(setting, room, size, (length, sunk), places)?;
                    holds(setting, draft, &screws).map(|()| screws)
                });
                match held {
                    Ok(screws) => return Ok(screws),
                    Err(conflict) => last = Some(conflict),
                }
            }
        }
    }
    Err(last.unwrap_or_else(|| too_thin(setting, room)))
}

/// Two at opposite corners of a short blank; of a long rectangle two rows, so that none of it is far from a screw.
fn least_count(outline: &Outline, step: Length) -> usize {
    let bounds = outline.bounds();
    let longest = bounds.length().max(bounds.width());
    if longest <= SPAN || !matches!(outline, Outline::Rect(_)) {
        return 2;
    }
    let most = (SPAN - step).ticks().max(1);
    let spans = (longest.ticks() + most - 1) / most;
    2 * (usize::try_from(spans).unwrap_or(1) + 1)
}

/// The refusal where no screw bites without coming too near the cut.
fn too_thin(setting: &Setting<'_>, room: &Room) -> Conflict {
    let left = (room.ceiling - room.underside).or_zero();
    let amount = (BITE - left).or_zero();
    let lengths: Vec<Length> = setting.request.screws.sizes.iter().flat_map(|size| size.lengths.clone()).collect();
    let had = match (lengths.iter().min(), lengths.iter().max()) {
        (Some(least), Some(most)) if amount == Length::ZERO => format!(
            ", and no screw from {} to {} long ends there with its head in a floor of {}",
            setting.say_depth(*least),
            setting.say_depth(*most),
            setting.say_depth(room.wood)
        ),
        _ => String::new(),
    };
    let text = format!(
        "a screw may go {} into the blank to end {} below the deepest cut, wanted {}{had}: cut less deep, take a thicker blank, or tape it",
        setting.say_depth(left),
        setting.say_depth(setting.request.screws.clear),
        setting.say_depth(BITE)
    );
    Conflict { clashes: vec![Clash { rule: Rule::ScrewBite, text, amount }], shortfall: amount }
}

/// One size of screw, with all that is bored for it and what it carries.
fn sized(
    setting: &Setting<'_>,
    room: &Room,
    size: &Screw,
    (length, sunk): (Length, Length),
    places: Vec<Point>,
) -> Result<Screws, Conflict> {
    let choice = &setting.request.screws;
    let tip = sunk + length;
    let bite = tip - room.underside;
    // Two thirds of a wood screw are thread; its point, a diameter long, holds nothing.
    let thread = bite.min(Length::from_ticks(length.ticks() / 3 * 2)) - size.diameter;
    // It turns freely in its hole, and the blank moves while the carrier is kept.
    let drift = drift(setting, &places);
    let hole = (size.diameter + drift.max(Length::micrometres(1))).up(drill_step(setting));
    if size.head - hole < BEARING * 2 {
        let text = format!(
            "the blank moves by {} between its screws while the carrier is kept; holes {} wide for that leave a head of {} \
             less than {} all round to bear on: carve it the same day, in steadier air, or tape it",
            setting.say_depth(drift.up(drill_step(setting))),
            setting.say_depth(hole),
            setting.say_depth(size.head),
            setting.say_depth(BEARING)
        );
        return Err(Conflict::plain(Rule::MovementFree, text));
    }
    let over = (room.wood - sunk - size.height).or_zero();
    let through = head_through(room.gravity, size.head.to_mm(), over.to_mm(), (size.diameter.to_mm(), hole.to_mm()));
    let (diameter, thread) = (size.diameter.to_mm(), thread.to_mm());
    let drill = drill_step(setting);
    // The root of the thread is two thirds of the shank (from memory); a pilot is 70 % of that in soft wood, 90 % in
    // hard (Commentary on the National Design Specification for Wood Construction, 11.1.2).
    let share = if choice.gravity < 0.5 { 0.7 } else { 0.9 };
    let pilot = Length::from_mm(diameter * 2.0 / 3.0 * share).unwrap_or(size.diameter.half()).nearest(drill);
    Ok(Screws {
        size: size.id.clone(),
        diameter: size.diameter,
        length,
        head: size.head,
        sunk,
        mouth: mouth(size, sunk, drill),
        countersink: sunk + size.height,
        hole,
        pilot: pilot.max(drill),
        bite,
        tip,
        pull: match choice.pull_lbf {
            Some(own) => own * NEWTONS_PER_LBF,
            None => (pulled_out(choice.gravity, diameter, thread) * USED).min(through),
        },
        side: choice
            .side_lbf
            .map_or(pushed_aside(choice.gravity, diameter, thread) * USED, |lbf| lbf * NEWTONS_PER_LBF),
        places,
    })
}

/// How far the blank moves between its outermost screws while the carrier is kept.
fn drift(setting: &Setting<'_>, places: &[Point]) -> Length {
    let moves = &setting.request.blank.moves;
    let share = |moves: Length, size: Length| (moves.to_mm() / size.to_mm().max(1e-9)).max(0.0);
    let [along, across] = setting.moves;
    let (along, across) = (share(along, setting.length.nominal), share(across, setting.width.nominal));
    // Which way the grain of anything but a rectangle runs nobody knows.
    let plain = setting.request.blank.shape == Shape::Rectangle;
    let most = along.max(across);
    let (along, across) = if plain { (along, across) } else { (most, most) };
    let span = |of: fn(&Point) -> Length| {
        let on = || places.iter().map(of);
        on().max().zip(on().min()).map_or(0.0, |(far, near)| (far - near).to_mm())
    };
    let (x, y) = (span(|at| at.x) * along.max(moves.sheet), span(|at| at.y) * across.max(moves.sheet));
    Length::from_mm(libm::hypot(x, y)).unwrap_or(Length::ZERO)
}

/// Drills come in 64ths of an inch or tenths of a millimetre.
fn drill_step(setting: &Setting<'_>) -> Length {
    match setting.unit() {
        Unit::Inch => Length::inches(1, 64),
        Unit::Millimetre => Length::micrometres(100),
    }
}

/// Diameter of the countersink at the bed face.
fn mouth(size: &Screw, sunk: Length, drill: Length) -> Length {
    (size.head + Length::from_mm(sunk.to_mm() * FLARE).unwrap_or(sunk * 2)).up(drill)
}

/// Where so many screws go: as far apart as blank and reference strip allow.
fn places(
    setting: &Setting<'_>,
    outline: &Outline,
    size: &Screw,
    sunk: Length,
    count: usize,
) -> Result<Vec<Point>, Conflict> {
    let request = setting.request;
    let step = setting.step();
    let end = (size.diameter * END).max(EDGE);
    let side = Length::from_ticks(size.diameter.ticks() * SIDE.0 / SIDE.1).max(EDGE);
    // A rectangle's grain runs along its length; of other outlines, which may be laid any way, nobody knows.
    let (along, across) = match (outline, setting.turned) {
        (Outline::Rect(_), false) => (end, side),
        (Outline::Rect(_), true) => (side, end),
        _ => (end, end),
    };
    let slack = (setting.length.nominal - setting.length.low(), setting.width.nominal - setting.width.low());
    let bounds = outline.bounds();
    let strip = request.machine.strip + STRIP_ASIDE + mouth(size, sunk, drill_step(setting)).half_up();
    let strip = if request.machine.strip > Length::ZERO { strip } else { Length::ZERO };
    let area = Rect::new(
        (bounds.x0 + along).up(step),
        (bounds.y0 + across).max(strip).up(step),
        (bounds.x1 - slack.0 - along).down(step),
        (bounds.y1 - slack.1 - across).down(step),
    );
    let apart = (size.diameter * END).to_mm();
    let found = match outline {
        _ if area.x1 < area.x0 || area.y1 < area.y0 => Vec::new(),
        Outline::Rect(_) => rows(area, count, step),
        other => spread(&corners(other), area, (along, across), count, step),
    };
    let near = |(place, at): (usize, &Point)| found[..place].iter().any(|other| distance(*at, *other) < apart);
    if found.len() == count && !found.iter().enumerate().any(near) {
        return Ok(found);
    }
    let text = format!(
        "no room for {count} screws {}, {} from the ends of the grain, {} from its sides and clear of the reference strip",
        size.id,
        setting.say(end),
        setting.say(side)
    );
    Err(Conflict::plain(Rule::ScrewPlaces, text))
}

fn distance(a: Point, b: Point) -> f64 {
    libm::hypot((a.x - b.x).to_mm(), (a.y - b.y).to_mm())
}

/// Two at opposite corners of an area, else rows of them; more along its longer side.
fn rows(area: Rect, count: usize, step: Length) -> Vec<Point> {
    if count == 2 {
        return vec![Point::new(area.x0, area.y0), Point::new(area.x1, area.y1)];
    }
    let (short, long) = (2, count / 2);
    let (columns, lines) = if area.length() >= area.width() { (long, short) } else { (short, long) };
    let at = |from: Length, to: Length, place: usize, of: usize| {
        let on = Length::from_ticks((to - from).ticks() / (of as i64 - 1).max(1) * place as i64);
        if place + 1 == of { to } else { (from + on).nearest(step) }
    };
    let column = |line: usize| {
        let y = at(area.y0, area.y1, line, lines);
        (0..columns).map(move |column| Point::new(at(area.x0, area.x1, column, columns), y))
    };
    (0..lines).flat_map(column).collect()
}

/// Corners of an outline, of a round so many that a chord is next to nothing off it, mm.
fn corners(outline: &Outline) -> Vec<(f64, f64)> {
    match outline {
        Outline::Rect(rect) => rect.corners().into_iter().map(to_mm).collect(),
        Outline::Polygon(points) => points.iter().copied().map(to_mm).collect(),
        Outline::Path(path) => path.flattened(0.05),
        Outline::Disc { centre, diameter } => {
            let (middle, radius) = (to_mm(*centre), diameter.to_mm() / 2.0);
            let at = |corner: i32| {
                let angle = std::f64::consts::TAU * f64::from(corner) / 180.0;
                (middle.0 + radius * libm::cos(angle), middle.1 + radius * libm::sin(angle))
            };
            (0..180).map(at).collect()
        }
    }
}

/// Places in an outline, each as far from those before as can be; the first two the farthest apart.
fn spread(
    ring: &[(f64, f64)],
    area: Rect,
    (along, across): (Length, Length),
    count: usize,
    step: Length,
) -> Vec<Point> {
    let lattice = |from: Length, to: Length| {
        let on = move |place: i64| (from + Length::from_ticks((to - from).ticks() / LATTICE * place)).nearest(step);
        (0..=LATTICE).map(on)
    };
    let (ends, sides) = (along.to_mm(), across.to_mm());
    let edges: Vec<_> = ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)).collect();
    // Its own edges are the ellipse of both distances away, seen square to the grain and along it.
    let clear = |at: &Point| {
        let scaled = |p: (f64, f64)| (p.0 / ends, p.1 / sides);
        let (x, y) = to_mm(*at);
        let off =
            |&(from, to): &((f64, f64), (f64, f64))| distance_to_line(scaled((x, y)), scaled(from), scaled(to)) >= 1.0;
        in_ring(ring, (x, y)) && edges.iter().all(off)
    };
    let all = lattice(area.x0, area.x1).flat_map(|x| lattice(area.y0, area.y1).map(move |y| Point::new(x, y)));
    let free: Vec<Point> = all.filter(clear).collect();
    let mut taken: Vec<Point> = Vec::new();
    let mut widest = 0.0;
    for (place, a) in free.iter().enumerate() {
        for b in &free[place + 1..] {
            if distance(*a, *b) > widest {
                (widest, taken) = (distance(*a, *b), vec![*a, *b]);
            }
        }
    }
    while !taken.is_empty() && taken.len() < count {
        let nearest = |at: &Point| taken.iter().map(|other| distance(*at, *other)).fold(f64::INFINITY, f64::min);
        let best = free.iter().fold((0.0, None), |best, at| {
            let off = nearest(at);
            if off > best.0 { (off, Some(*at)) } else { best }
        });
        match best.1 {
            Some(at) => taken.push(at),
            None => break,
        }
    }
    taken
}

/// Whether the screws carry the cutter's pull and push, at once and at the worst place.
fn holds(setting: &Setting<'_>, draft: &Draft, screws: &Screws) -> Result<(), Conflict> {
    let estimates = &setting.request.shop.estimates;
    let count = screws.places.len();
    let wanted = if draft.bridge { BRIDGE } else { 1.0 };
    let lbf = |newtons: f64| newtons / NEWTONS_PER_LBF;
    let lift = count as f64 * lbf(screws.pull) / estimates.lift_force_lbf;
    if lift < wanted * ROUNDING {
        let text = format!(
            "{count} screws {} x {} may be pulled with {:.1} lbf each, the cutter lifts with {:.1}: {lift:.2} times, wanted {wanted:.2} (estimate); a shallower cut lets them bite deeper",
            screws.size,
            setting.say_depth(screws.length),
            lbf(screws.pull),
            estimates.lift_force_lbf
        );
        return Err(Conflict::plain(Rule::LiftFactor, text));
    }
    let low = Length::from_ticks(setting.thickness.ticks() / 3).max(Length::inches(1, 4));
    let round = matches!(draft.blank.outline, Outline::Disc { .. });
    let loose = drift(setting, &screws.places);
    if (draft.wall < low || round) && loose > LOOSE {
        let text = format!(
            "nothing beside the blank keeps it in its place, and the screws' holes are {} wider for it to move while the \
             carrier is kept: carve it the same day, or tape it",
            setting.say_depth(loose.up(drill_step(setting)))
        );
        return Err(Conflict::plain(Rule::MovementFree, text));
    }
    let side = count as f64 * lbf(screws.side) / estimates.side_force_lbf;
    if draft.wall < low && side < ROUNDING {
        let text = format!(
            "{count} screws {} x {} may be pushed with {:.1} lbf each, the cutter pushes with {:.1}: {side:.2} times, wanted 1 (estimate)",
            screws.size,
            setting.say_depth(screws.length),
            lbf(screws.side),
            estimates.side_force_lbf
        );
        return Err(Conflict::plain(Rule::SlideFactor, text));
    }
    grip::holds(setting, draft, draft.wall, low, Some(screws)).map(|_| ())
}

/// What was taken where the job leaves it open, to be printed.
pub fn assumed(setting: &Setting<'_>, screws: &Screws) -> Vec<Assumption> {
    let choice = &setting.request.screws;
    let mut assumed = Vec::new();
    let mut say = |key: &str, value: String, source: &str| {
        assumed.push(Assumption { key: key.to_owned(), value, source: source.to_owned() });
    };
    if choice.sizes.len() > 1 {
        let value = format!("{} x {}", screws.size, setting.say_depth(screws.length));
        say("hold.screw", value, "chosen by the search: fewest that hold short of the cut, the usual sizes first");
    }
    let force = |newtons: f64| match setting.unit() {
        Unit::Inch => format!("{:.1} lbf each", newtons / NEWTONS_PER_LBF),
        Unit::Millimetre => format!("{newtons:.0} N each"),
    };
    if choice.pull_lbf.is_none() {
        say("estimates.screw-pull-lbf", force(screws.pull), PULL_SOURCE);
    }
    if choice.side_lbf.is_none() {
        say("estimates.screw-side-lbf", force(screws.side), SIDE_SOURCE);
    }
    assumed
}

/// Bores the holes and countersinks into everything between bed face and blank.
fn bored(draft: &mut Draft, screws: &Screws) {
    let underside = draft.blank.z0;
    for place in draft.parts.iter_mut().flat_map(|part| &mut part.places).filter(|place| place.z0 < underside) {
        let bounds = place.outline.bounds();
        for at in &screws.places {
            if !(bounds.x0 < at.x && at.x < bounds.x1 && bounds.y0 < at.y && at.y < bounds.y1) {
                continue;
            }
            let disc = |diameter: Length| Outline::Disc { centre: *at, diameter };
            let mut from = place.z0;
            if from <= Length::ZERO {
                from = screws.countersink;
                let outline = disc(screws.mouth);
                place.voids.push(Void { outline, z0: Length::ZERO, z1: from, kind: VoidKind::Countersink });
            }
            let (outline, z1) = (disc(screws.hole), place.z1.min(underside));
            place.voids.push(Void { outline, z0: from, z1, kind: VoidKind::ScrewHole });
        }
    }
}
