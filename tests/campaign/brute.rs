//! Exhaustive search for a carrier on a coarse ruler, with every inequality written out from the
//! rules of the trade. It shares nothing with the solver but the request and the type of a length.
//!
//! Where the trade leaves room for judgement (what comes out of an offcut, which boards can be
//! ripped) it asks for more than anybody would, so that a carrier found here is beyond dispute.

use sledwright::length::{Length, Measured};
use sledwright::library::MachineKind;
use sledwright::request::{Hold, Request, Shape, Stock, Through, Tool};

use crate::jobs::inch;

const ZERO: Length = Length::ZERO;
/// Solid wood under a roller, and beside a pocket with a floor. Common practice, no source.
const WALL: Length = inch(3, 4);
/// Rail without a base. Common practice, no source.
const BARE: Length = inch(5, 4);
/// Left beside a relief or a perimeter cut. Common practice, no source.
const HALF: Length = inch(1, 2);
/// Least floor, and least wood left under a through cut. Common practice, no source.
const FLOOR: Length = inch(3, 16);
/// Farthest a flush blank may stand off the top plane. Common practice, no source.
const FLUSH: Length = inch(1, 32);
/// Kept between the holder and the wood. Common practice, no source.
const HOLDER: Length = inch(1, 16);
/// What a pull from an offcut may lose in length and width, more than anybody wastes.
const PULL: (Length, Length) = (inch(9, 1), inch(3, 1));
/// Strength of cloth tape, or of film, psi.
fn strength(request: &Request, hold: Hold) -> (f64, f64) {
    let estimates = &request.shop.estimates;
    if hold == Hold::Film {
        (estimates.film_lift_psi, estimates.film_slide_psi)
    } else {
        (estimates.bond_lift_psi, estimates.bond_slide_psi)
    }
}

const ALL_HOLDS: [Hold; 6] = [Hold::Snug, Hold::Wedge, Hold::Tape, Hold::Film, Hold::HotGlue, Hold::Screws];

/// A carrier the search came upon.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    pub construction: &'static str,
    pub turned: bool,
    pub hold: Hold,
    pub along: Pair,
    pub across: Pair,
    pub top: Length,
    pub made_of: String,
}

/// Sizes of one axis: allowance, pocket, allowance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pair {
    pub near: Length,
    pub pocket: Length,
    pub total: Length,
}

impl Pair {
    pub fn far(&self) -> Length {
        self.total - self.near - self.pocket
    }
}

/// How the blank meets the carrier along an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meets {
    /// In a pocket with clearance; walls no thinner than this, and so much more at a relief.
    Pocket { wall: Length, bite: Option<Length> },
    /// Glued or pinched between two parts of at least this width; `strip`: the near one carries it.
    Glued { wall: Length, strip: bool },
    /// A part at the near side only, the far edge is the blank's.
    Spliced,
    /// Its own edges are the carrier's.
    Bare,
    /// A sloping far rail; the slope reaches this far from the near rail.
    Sloped { widest: Length },
}

/// Wishes to be met as well, for comparing with a design that meets them.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wishes {
    pub grip: bool,
    /// The two allowances within this of each other.
    pub equal: Option<Length>,
}

/// The request with the blank one way round.
pub struct View<'a> {
    request: &'a Request,
    turned: bool,
    length: &'a Measured,
    width: &'a Measured,
    growth: (Length, Length),
    /// How far the blank itself moves along and across.
    moves: (Length, Length),
    /// Lead, trail, fence, far.
    margins: [Length; 4],
    thickness: Length,
}

impl<'a> View<'a> {
    pub fn new(request: &'a Request, turned: bool) -> View<'a> {
        let (blank, carve) = (&request.blank, &request.carve);
        let (lead, trail, fence, far) = (carve.margin_lead, carve.margin_trail, carve.margin_fence, carve.margin_far);
        // A quarter turn to the left brings the fence side to the lead end and the lead end to the far side.
        let margins = if turned { [fence, far, trail, lead] } else { [lead, trail, fence, far] };
        let (length, width) = if turned { (&blank.width, &blank.length) } else { (&blank.length, &blank.width) };
        let growth = (blank.growth_length, blank.growth_width);
        View {
            request,
            turned,
            length,
            width,
            growth: if turned { (growth.1, growth.0) } else { growth },
            moves: if turned {
                (blank.moves.width, blank.moves.length)
            } else {
                (blank.moves.length, blank.moves.width)
            },
            margins,
            // Without a thickness only the plan is sized; three quarters of an inch stands for it.
            thickness: blank.thickness.as_ref().map_or(inch(3, 4), |thickness| thickness.nominal),
        }
    }

    fn two_cuts(&self) -> Length {
        self.request.shop.tolerance * 2
    }

    fn radius(&self) -> Length {
        self.request.carve.cutter.half_up()
    }

    fn credit(&self, margin: Length) -> Length {
        let usable = margin - self.radius() - self.request.carve.overrun;
        if self.request.carve.stated && usable > ZERO { usable } else { ZERO }
    }

    fn all_round(&self) -> bool {
        self.request.carve.through == Through::AllRound
    }

    fn through(&self) -> bool {
        self.request.carve.through != Through::No
    }

    fn owns(&self, tool: Tool) -> bool {
        self.request.shop.tools.contains(&tool)
    }

    /// The smallest pocket that takes the largest blank however the saw wanders.
    pub fn pocket(&self, across: bool) -> Length {
        let (size, growth) = if across { (self.width, self.growth.1) } else { (self.length, self.growth.0) };
        let slip = self.request.shop.clearance.max(self.request.shop.tolerance);
        (size.high() + growth + slip * 2).up(self.request.step())
    }

    /// Whether these ends keep every rule along the feed.
    pub fn ends_hold(&self, meets: Meets, pair: Pair, wishes: Wishes) -> bool {
        let machine = &self.request.machine;
        let (lead, trail) = (self.credit(self.margins[0]), self.credit(self.margins[1]));
        let hard = machine.cutter_to_roller + machine.grip_least;
        if meets == Meets::Bare {
            return self.length.low() >= machine.length.min + machine.length_guard
                && self.length.high() <= machine.length.max - machine.length_guard
                && lead >= hard
                && trail >= hard;
        }
        let past = if self.all_round() { self.radius() } else { ZERO };
        let guard = machine.length_guard.max(self.two_cuts());
        let wall = match meets {
            Meets::Pocket { bite: Some(bite), .. } => WALL.max(HALF + bite),
            _ => WALL,
        };
        // A cut all round runs past the ends of the blank as it does past its sides.
        let carve = &self.request.carve;
        let wall = if self.all_round() { wall.max(HALF + carve.cutter + carve.overrun) } else { wall };
        let wanted = machine.cutter_to_roller + machine.grip_wanted;
        pair.near >= wall
            && pair.far() >= wall
            && pair.near + lead - self.two_cuts() >= hard + past
            && pair.total - pair.near - self.length.high() + trail - self.two_cuts() >= hard + past
            && pair.total >= machine.length.min + guard
            && pair.total <= machine.length.max - guard
            && (!wishes.grip || (pair.near + lead >= wanted && pair.far() + trail >= wanted))
            && wishes.equal.is_none_or(|within| (pair.near - pair.far()).abs() <= within)
    }

    /// Whether these rails keep every rule across the feed. `stiff`: width a rail needs not to bow.
    pub fn rails_hold(&self, meets: Meets, pair: Pair, stiff: Length, wishes: Wishes) -> bool {
        let (machine, carve) = (&self.request.machine, &self.request.carve);
        let reach = self.radius() + carve.overrun;
        let cut = (pair.near + self.margins[2], pair.near + self.width.nominal - self.margins[3]);
        if cut.0 - reach < machine.window.min || cut.1 + reach > machine.window.max {
            return false;
        }
        let guard = machine.width_guard.max(self.two_cuts());
        let own_edge = matches!(meets, Meets::Bare | Meets::Spliced);
        let (least, most) = if own_edge {
            (pair.near + self.width.low(), pair.near + self.width.high())
        } else {
            (pair.total, pair.total)
        };
        if least < machine.width.min + guard || most > machine.width.max - guard {
            return false;
        }
        let perimeter = if self.all_round() { HALF + carve.cutter + carve.overrun } else { ZERO };
        let rail = |wall: Length| wall.max(WALL).max(perimeter).max(stiff);
        let far = pair.far();
        let wide = match meets {
            // Surface under the roller at both sides, unless nothing is built at all.
            Meets::Bare => pair.total >= WALL * 2,
            Meets::Spliced => pair.near >= machine.strip.max(WALL) && pair.total >= WALL * 2,
            Meets::Pocket { wall, bite } => {
                let wall = rail(wall).max(bite.map_or(ZERO, |bite| HALF + bite));
                pair.near >= wall && far >= wall
            }
            Meets::Glued { wall, strip } => {
                pair.near >= rail(wall).max(if strip { machine.strip } else { ZERO }) && far >= rail(wall)
            }
            Meets::Sloped { widest } => {
                pair.near >= rail(BARE).max(machine.strip) && pair.total - pair.near - widest >= rail(BARE)
            }
        };
        wide && wishes.equal.is_none_or(|within| (pair.near - far).abs() <= within)
    }

    /// Whether the cutter reaches `deep` below the top plane with its holder clear.
    fn reaches(&self, deep: Length) -> bool {
        let machine = &self.request.machine;
        // Knives and drums have no holder that could rub.
        let held_clear = machine.kind != MachineKind::Carver || deep <= machine.stick_out - HOLDER;
        deep <= machine.depth && held_clear
    }

    fn thickness_holds(&self, top: Length) -> bool {
        let machine = &self.request.machine;
        top >= machine.thickness.min && top <= machine.thickness.max - machine.thickness_guard
    }

    fn adhesive(&self, hold: Hold) -> Length {
        match hold {
            Hold::Tape => self.request.hold_thickness.unwrap_or(inch(1, 64)),
            Hold::Film => self.request.hold_thickness.unwrap_or(inch(5, 1000)),
            _ => ZERO,
        }
    }

    /// Whether the hold is strong enough with a wall of this height beside the blank.
    fn held(&self, hold: Hold, wall: Length, glued: bool, bridge: bool) -> bool {
        let estimates = &self.request.shop.estimates;
        let bonds = matches!(hold, Hold::Tape | Hold::Film);
        if self.all_round() && !bonds {
            return false;
        }
        if hold == Hold::Screws {
            // What they hold is asked where it is known what they go into.
            let low = Length::from_ticks(self.thickness.ticks() / 3).max(inch(1, 4));
            return wall >= low && !self.through() && !self.request.machine.takes_whole_face();
        }
        let blank = self.request.blank.area_mm2() / (25.4 * 25.4);
        let bond = if bonds { blank } else { 0.0 };
        let (lift_psi, slide_psi) = strength(self.request, hold);
        let lift = bond * lift_psi / estimates.lift_force_lbf;
        if bridge && lift < 4.0 {
            return false;
        }
        let rolled = self.length.low() >= self.request.machine.cutter_to_roller * 2;
        if !bridge && !glued && (bonds || !rolled) && lift < 3.0 && blank < 6.0 * (1.0 + 1e-7) {
            return false;
        }
        // Tape lifts the blank along the wall.
        let wall = wall - self.adhesive(hold);
        let low = Length::from_ticks(self.thickness.ticks() / 3).max(inch(1, 4));
        let walled = wall >= low;
        if bonds
            && !glued
            && !(self.surely_stays(hold, false, walled) && (!self.all_round() || self.surely_stays(hold, true, false)))
        {
            return false;
        }
        glued || walled || bond * slide_psi / estimates.side_force_lbf >= 3.0
    }

    /// Whether screws from below hold beyond dispute in a floor like this: one of their sizes ends short
    /// of the cut with wood enough over its head, however far it is sunk, and four in the corners hold a rectangle.
    ///
    /// Lifted at a corner it tips about the far edges, and two screws at least are as far from those as its middle
    /// twice over: twice the pull of one is carried. Each counts for half of what the Handbook gives a third of an inch
    /// of thread (15 700 G2 D L / 6), and of what the head does (690 pi D G2 t, G 0.42; both from memory).
    fn surely_screwed(&self, floor: Length) -> bool {
        let request = self.request;
        if request.blank.shape != Shape::Rectangle || self.moves.0.max(self.moves.1) > ZERO {
            return false;
        }
        // The highest cut may be a step deeper than asked, the blank a step lower.
        let ceiling = floor + self.thickness - request.carve.depth - request.screws.clear - inch(1, 32);
        let strip = request.machine.strip;
        let lift = request.shop.estimates.lift_force_lbf;
        let density = request.stock.iter().map(|stock| stock.density).fold(f64::INFINITY, f64::min);
        request.screws.sizes.iter().any(|size| {
            let (end, side) = ((size.diameter * 10).max(inch(3, 8)), (size.diameter * 5).half_up().max(inch(3, 8)));
            let apart = size.diameter * 10 + inch(1, 8);
            // The rail beside it is 3/4 at least; the countersink reaches up to 3/8 beyond a place.
            let near = side.max(strip + inch(1, 4) + inch(3, 8) - inch(3, 4));
            let slack = |size: &Measured| size.nominal - size.low();
            let (along, across) = if self.turned { (side, end) } else { (end, side) };
            let (along_room, across_room) = (
                self.length.nominal - slack(self.length) - along * 2,
                self.width.nominal - slack(self.width) - across - across.max(near),
            );
            let room = along_room >= apart && across_room >= apart;
            let over = floor - inch(1, 16) - size.height;
            let ends = size.lengths.iter().any(|length| {
                let (low, high) = (inch(1, 16), inch(1, 16) + *length);
                high <= ceiling && high - floor >= inch(7, 16) && floor - low - size.height >= inch(3, 16)
            });
            let (d, head, g) = (size.diameter.to_inches(), size.head.to_inches(), request.screws.gravity);
            let thread = (inch(7, 16) - size.diameter).to_inches();
            let wood = (density / 1120.0).min(0.42);
            let pull = (15_700.0 * g * g * d * thread / 6.0)
                .min(690.0 * std::f64::consts::PI * head * wood * wood * over.to_inches());
            room && ends && pull / 2.0 * 2.0 >= lift * 4.0 / 3.0
        })
    }

    /// Whether a bond holds beyond dispute at the worst corner of the cut; `free` looks at the part cut free.
    ///
    /// Pulled up at its edge a part tips about the opposite one, where the middle of its bond rises half as far,
    /// of any convex part a third; a push as high as it is thick tips it too. Pushed, the elastic stress of sliding
    /// and of turning are added: force over area, and moment times the farthest corner over the polar moment.
    fn surely_stays(&self, hold: Hold, free: bool, walled: bool) -> bool {
        /// Asked beyond what just holds.
        const SURE: f64 = 1.1;
        let (estimates, carve) = (&self.request.shop.estimates, &self.request.carve);
        let (force, lift) = (estimates.side_force_lbf, estimates.lift_force_lbf);
        let (lift_psi, slide_psi) = strength(self.request, hold);
        let part = free && carve.stated;
        let (long, wide) = if part {
            (carve.length.to_inches(), carve.width.to_inches())
        } else {
            let across = match &self.request.blank.shape {
                Shape::Taper { narrow, .. } => narrow.nominal,
                _ => self.request.blank.width.nominal,
            };
            (self.request.blank.length.nominal.to_inches(), across.to_inches())
        };
        let disc = self.request.blank.shape == Shape::Disc && !part;
        let area = if disc { std::f64::consts::FRAC_PI_4 * long * long } else { long * wide };
        let plain = disc || part || self.request.blank.shape == Shape::Rectangle;
        let share = if plain { 2.0 } else { 3.0 };
        let arm = if walled { 0.0 } else { self.thickness.to_inches() };
        let half = long.min(wide) / 2.0;
        if area * lift_psi < SURE * (share * lift + share / 2.0 * force * arm / half) {
            return false;
        }
        if walled && !disc {
            return true;
        }
        // Of a taper the cutter may be beyond the rectangle that is counted on.
        let far = if disc {
            long / 2.0
        } else {
            let across = if part { wide } else { self.request.blank.width.nominal.to_inches() };
            libm::hypot(long, across)
        };
        let polar = if disc { area * long * long / 8.0 } else { area * (long * long + wide * wide) / 12.0 };
        area.min(polar / (far * far)) > 0.0 && slide_psi >= SURE * force * (1.0 / area + far * far / polar)
    }

    /// Width below which a rail that is held at its ends only bows more than 1/64 in under the
    /// guide: a beam on two supports with its load in the middle sags F l^3 / (48 E I), I = R A^3 / 12
    /// (USDA Wood Handbook, ch. 9), which for A gives the cube root of F l^3 / (4 E R d).
    pub fn stiff(&self) -> Length {
        let force = self.request.shop.estimates.guide_force_lbf;
        let span = self.length.nominal.to_inches();
        let cube = force * span * span * span / (4.0 * 1.2e6 * self.thickness.to_inches() / 64.0);
        Length::from_mm(libm::cbrt(cube) * 25.4).unwrap_or(inch(1000, 1)) + Length::from_ticks(1)
    }

    /// Whether a blank glued between parts that are tied to each other would lock or split: 1/64 in, common
    /// practice, no source.
    fn swells(&self, growth: Length) -> bool {
        growth > inch(1, 64)
    }

    fn planes(&self) -> bool {
        self.owns(Tool::Planer) || self.owns(Tool::DrumSander)
    }

    fn sinks(&self) -> bool {
        self.owns(Tool::Router) || self.owns(Tool::Carver) || (self.owns(Tool::DrillPress) && self.owns(Tool::Chisel))
    }

    fn plain_top(&self) -> bool {
        !self.request.blank.fragile && self.request.blank.relief_height == ZERO
    }
}

/// Every pair of allowances on the `coarse` ruler up to the machine's greatest size that holds.
fn every_pair(
    pocket: Length,
    measured_end: bool,
    fixed_near: Option<Length>,
    greatest: Length,
    coarse: Length,
    step: Length,
    holds: impl Fn(Pair) -> bool,
) -> Vec<Pair> {
    let mut found: Vec<Pair> = Vec::new();
    let mut near = fixed_near.unwrap_or(ZERO);
    while near + pocket <= greatest {
        if measured_end {
            let pair = Pair { near, pocket, total: near + pocket };
            if holds(pair) {
                found.push(pair);
            }
        } else {
            let mut total = (near + pocket).up(step);
            while total <= greatest {
                let pair = Pair { near, pocket, total };
                // One of each total is enough: nothing else couples the two axes.
                if holds(pair) && !found.iter().any(|known| known.total == total) {
                    found.push(pair);
                }
                total += coarse;
            }
        }
        if fixed_near.is_some() {
            break;
        }
        near += coarse;
    }
    found
}

/// How a carrier is built, as far as its heights go.
enum Built {
    /// Pocket sunk into sheet stock.
    Sunk,
    /// Upper layer on a base, with packing allowed under the blank or not; `above`: rails over the blank.
    OnBase { pack: bool, above: Option<Length> },
    /// Upper layer of the blank's own thickness on a base, the blank lying straight on it.
    ThinBase,
    /// A base only.
    Riser,
    /// Parts of the blank's thickness, no base.
    Open,
    /// Nothing.
    Nothing,
}

/// One way to build.
struct Way {
    construction: &'static str,
    along: Meets,
    across: Meets,
    built: Built,
    holds: &'static [Hold],
    halves: bool,
}

fn ways(view: &View<'_>) -> Vec<Way> {
    let (request, blank) = (view.request, &view.request.blank);
    let pocket = Meets::Pocket { wall: WALL, bite: None };
    let glue: &[Hold] = &[Hold::HotGlue];
    let bonds: &[Hold] = &[Hold::Tape, Hold::Film];
    let plain = Built::OnBase { pack: true, above: None };
    let way =
        |construction, along, across, built, holds| Way { construction, along, across, built, holds, halves: false };
    let mut ways = Vec::new();
    match &blank.shape {
        Shape::Disc => {
            let nest: &[Hold] = &[Hold::Tape, Hold::Film, Hold::HotGlue];
            if view.sinks() {
                ways.push(way("disc-nest", pocket, pocket, Built::Sunk, nest));
            }
            if view.owns(Tool::BandSaw) || view.owns(Tool::Jigsaw) {
                let built = Built::OnBase { pack: true, above: None };
                ways.push(Way { halves: true, ..way("disc-nest", pocket, pocket, built, nest) });
            }
            ways.push(way("disc-nest", pocket, pocket, plain, nest));
        }
        // The random jobs have none; rounds are searched on their own.
        Shape::Outline(_) | Shape::Round(_) => {}
        Shape::Taper { .. } if view.swells(view.moves.0.max(view.moves.1)) => {}
        Shape::Taper { .. } => {
            let along = Meets::Glued { wall: WALL, strip: false };
            ways.push(way("taper-in-plan", along, Meets::Sloped { widest: ZERO }, Built::Open, glue));
        }
        Shape::Rectangle => {
            ways.push(way("none", Meets::Bare, Meets::Bare, Built::Nothing, &[Hold::Snug]));
            if view.sinks() {
                let radius = request.shop.pocket_cutter.half_up();
                let bored = !(view.owns(Tool::Router) || view.owns(Tool::Carver));
                let bite = if bored { radius } else { Length::from_ticks(radius.ticks() / 1000 * 293 + 1000) };
                let bite = (blank.corner_radius < radius).then_some(bite);
                let meets = Meets::Pocket { wall: WALL, bite };
                ways.push(way("blind-pocket", meets, meets, Built::Sunk, &ALL_HOLDS));
            }
            ways.push(way("rails-on-base", pocket, pocket, plain, &ALL_HOLDS));
            let glued = Meets::Glued { wall: BARE, strip: true };
            let ends = Meets::Glued { wall: WALL, strip: false };
            if !view.swells(view.moves.0.max(view.moves.1)) {
                ways.push(way("flush-frame", ends, glued, Built::Open, &[Hold::HotGlue, Hold::Snug]));
            }
            if !view.swells(view.moves.0) {
                ways.push(way("end-extensions", ends, Meets::Spliced, Built::Open, glue));
                ways.push(way("end-extensions", ends, Meets::Bare, Built::ThinBase, glue));
                if request.machine.strip_joint_tolerated {
                    ways.push(way("end-extensions", ends, Meets::Bare, Built::Open, glue));
                }
            }
            ways.push(way("side-rails", Meets::Bare, glued, Built::Open, glue));
            if view.thickness < request.machine.thickness.min.max(inch(3, 8)) {
                ways.push(way("riser", Meets::Bare, Meets::Bare, Built::Riser, bonds));
                let lips = Built::OnBase { pack: false, above: None };
                ways.push(way("riser", pocket, pocket, lips, bonds));
            }
            let above = blank.relief_height + inch(1, 16);
            let high = Meets::Pocket { wall: BARE, bite: None };
            let built = Built::OnBase { pack: false, above: Some(above) };
            ways.push(way("bridge", pocket, high, built, bonds));
        }
    }
    ways
}

/// What the carrier would be made of, and its top plane: every choice that keeps the rules of height.
fn stacks<'a>(view: &View<'a>, way: &Way, hold: Hold) -> Vec<(Length, Vec<&'a Stock>, bool)> {
    let request = view.request;
    let (thick, glue) = (view.thickness, view.adhesive(hold));
    let carved = request.carve.depth;
    let under = if view.through() { request.carve.penetration } else { ZERO };
    let fits_flush = |proud: Length| proud >= ZERO && proud <= FLUSH;
    let glued = matches!(way.along, Meets::Glued { .. }) || matches!(way.across, Meets::Glued { .. } | Meets::Spliced);
    let sheets: Vec<&Stock> = request.stock.iter().filter(|stock| stock.kind.is_sheet()).collect();
    let floor_holds = |floor: Length| floor - under >= if view.through() { FLOOR } else { Length::from_ticks(1) };
    // An upper layer: every stock that is not higher than the blank, and planed board.
    let layers = |height: Length| -> Vec<(Length, Option<&'a Stock>)> {
        let mut layers: Vec<(Length, Option<&Stock>)> = Vec::new();
        if view.planes() && height <= request.board.thickness {
            layers.push((height, None));
        }
        layers.extend(request.stock.iter().map(|stock| (stock.total(), Some(stock))));
        layers
    };
    let mut found = Vec::new();
    match way.built {
        Built::Nothing => {
            let open = !view.through() && view.thickness_holds(thick) && view.reaches(carved);
            if open && view.plain_top() && view.held(hold, thick, true, false) {
                found.push((thick, Vec::new(), false));
            }
        }
        Built::Open => {
            let open = !view.through() && view.thickness_holds(thick) && view.reaches(carved);
            // Pinching screws keep their distance from the cutter, and glue nothing.
            let pinched = hold == Hold::Snug;
            let beside = view.radius() + request.carve.overrun + inch(1, 4);
            let clear = !pinched || view.margins.iter().all(|margin| *margin >= beside);
            if open && clear && view.plain_top() && view.held(hold, thick, !pinched, false) {
                for (height, stock) in layers(thick) {
                    let near = height <= thick && thick - height < inch(1, 64);
                    if near && view.thickness_holds(height) {
                        found.push((height, stock.into_iter().collect(), stock.is_none()));
                    }
                }
            }
        }
        Built::ThinBase => {
            let deep = if view.through() { carved.max(thick + under) } else { carved };
            if view.plain_top() && !view.all_round() && view.reaches(deep) {
                for base in &sheets {
                    let top = base.total() + thick;
                    if floor_holds(base.total()) && view.thickness_holds(top) {
                        for (height, stock) in layers(thick) {
                            if height <= thick && thick - height < inch(1, 64) {
                                let of: Vec<&Stock> = [*base].into_iter().chain(stock).collect();
                                found.push((top, of, stock.is_none()));
                            }
                        }
                    }
                }
            }
        }
        Built::Riser => {
            let deep = if view.through() { carved.max(thick + glue + under) } else { carved };
            let beyond = HALF + request.carve.cutter + request.carve.overrun;
            let inside = !view.all_round() || view.margins.iter().all(|margin| *margin >= beyond);
            if view.plain_top() && inside && view.reaches(deep) && view.held(hold, ZERO, false, false) {
                for base in &sheets {
                    let top = base.total() + thick + glue;
                    if floor_holds(base.total()) && view.thickness_holds(top) {
                        found.push((top, vec![*base], false));
                    }
                }
            }
        }
        Built::Sunk => {
            let depth = (thick + glue).down(request.depth_step());
            let deep = if view.through() { carved.max(depth + under) } else { carved };
            let flush = fits_flush(thick + glue - depth);
            if view.plain_top() && flush && view.reaches(deep) && view.held(hold, depth, glued, false) {
                for board in &sheets {
                    let floor = board.total() - depth;
                    let screwed = hold != Hold::Screws || view.surely_screwed(floor);
                    if screwed && floor >= FLOOR && floor_holds(floor) && view.thickness_holds(board.total()) {
                        found.push((board.total(), vec![*board], false));
                    }
                }
            }
        }
        Built::OnBase { pack, above } => {
            if above.is_none() && !view.plain_top() {
                return found;
            }
            let flush = (thick + glue).down(request.depth_step());
            let wanted = match above {
                Some(above) => (thick + glue + above).up(request.depth_step()),
                None => flush,
            };
            for (height, stock) in layers(wanted) {
                let packed = pack && height > wanted && height - wanted <= inch(1, 8);
                let lower = match above {
                    Some(_) => height >= wanted,
                    None => height <= wanted && wanted - height < inch(1, 64),
                };
                if !packed && !lower {
                    continue;
                }
                let pocket = if packed { wanted } else { height };
                let highest = thick + glue + request.blank.relief_height;
                let sunk = pocket - highest;
                let (recessed, flat) = (sunk >= inch(1, 16), fits_flush(thick + glue - pocket));
                if !(if above.is_some() { recessed } else { flat }) {
                    continue;
                }
                let carved = carved + if sunk > ZERO { sunk } else { ZERO };
                let deep = if view.through() { carved.max(pocket + under) } else { carved };
                if !view.reaches(deep) || !view.held(hold, pocket, glued, above.is_some()) {
                    continue;
                }
                for base in &sheets {
                    let top = base.total() + height;
                    // Penetration goes through the packing first; only wood below it is counted here.
                    let screwed =
                        hold != Hold::Screws || !packed && above.is_none() && view.surely_screwed(base.total());
                    if screwed && floor_holds(base.total()) && view.thickness_holds(top) {
                        let of: Vec<&Stock> = [*base].into_iter().chain(stock).collect();
                        found.push((top, of, stock.is_none()));
                    }
                }
            }
        }
    }
    found
}

/// Whether an offcut is large enough beyond dispute for every part of the carrier that is made of it.
fn offcut_suffices(stock: &Stock, along: Pair, across: Pair) -> bool {
    let (Some(length), Some(width)) = (stock.length, stock.width) else { return true };
    length >= (along.total + PULL.0).max(along.near + along.far() + inch(16, 1)) && width >= across.total + PULL.1
}

/// Searches everything the trade knows for this job; the first carrier found, if any.
pub fn search(request: &Request, coarse: Length) -> Option<Found> {
    let rectangle = request.blank.shape == Shape::Rectangle;
    for turned in [false, true] {
        if turned && !(rectangle && request.blank.turn_free) {
            continue;
        }
        let view = View::new(request, turned);
        let rips = view.owns(Tool::TableSaw) || view.owns(Tool::BandSaw);
        let crosscuts = view.owns(Tool::TableSaw) || view.owns(Tool::MitreSaw);
        for way in ways(&view) {
            if way.construction != "none" && !(rips && crosscuts) {
                continue;
            }
            if request.construction.as_deref().is_some_and(|wanted| wanted != way.construction) {
                continue;
            }
            for hold in way.holds.iter().copied() {
                let other = request.hold.is_some_and(|wanted| wanted != hold);
                if other && way.construction != "none" {
                    continue;
                }
                // Glued to a floor it may no more move than in a frame.
                let floored = matches!(way.built, Built::Sunk | Built::OnBase { .. } | Built::ThinBase);
                if hold == Hold::HotGlue && floored && view.swells(view.moves.0.max(view.moves.1)) {
                    continue;
                }
                if let Some(found) = search_way(&view, &way, hold, coarse) {
                    return Some(found);
                }
            }
        }
    }
    None
}

/// Every pair of one axis that holds for a way to build.
fn pairs(view: &View<'_>, meets: Meets, across: bool, stiff: Length, coarse: Length) -> Vec<Pair> {
    let (request, step) = (view.request, view.request.step());
    let greatest = if across { request.machine.width.max } else { request.machine.length.max };
    let size = if across { view.width } else { view.length };
    let pocket = if matches!(meets, Meets::Pocket { .. }) { view.pocket(across) } else { size.nominal };
    let fixed = (meets == Meets::Bare).then_some(ZERO);
    let measured_end = matches!(meets, Meets::Bare | Meets::Spliced);
    every_pair(pocket, measured_end, fixed, greatest, coarse, step, |pair| {
        if across {
            view.rails_hold(meets, pair, stiff, Wishes::default())
        } else {
            view.ends_hold(meets, pair, Wishes::default())
        }
    })
}

fn search_way(view: &View<'_>, way: &Way, hold: Hold, coarse: Length) -> Option<Found> {
    let stacks = stacks(view, way, hold);
    if stacks.is_empty() {
        return None;
    }
    let stiff = if way.construction == "flush-frame" && hold == Hold::Snug { view.stiff() } else { ZERO };
    let alongs = pairs(view, way.along, false, ZERO, coarse);
    if let Meets::Sloped { .. } = way.across {
        return alongs.iter().find_map(|along| {
            let across = Meets::Sloped { widest: slope_at_ends(view, *along)? };
            let acrosses = pairs(view, across, true, ZERO, coarse);
            finish(view, way, hold, &stacks, &[*along], &acrosses)
        });
    }
    let mut acrosses = pairs(view, way.across, true, stiff, coarse);
    if way.halves {
        acrosses.retain(|across| across.near == across.far());
    }
    finish(view, way, hold, &stacks, &alongs, &acrosses)
}

/// Where the slope of a tapered blank is farthest from the fence rail within the carrier; `None`
/// where it runs out to less than a rail.
fn slope_at_ends(view: &View<'_>, along: Pair) -> Option<Length> {
    let Shape::Taper { narrow, wide_leads } = &view.request.blank.shape else { return None };
    let (wide, narrow) = (view.width.nominal.to_mm(), narrow.nominal.to_mm());
    let slope = (wide - narrow) / view.length.nominal.to_mm();
    let (beside_wide, beside_narrow) = if *wide_leads { (along.near, along.far()) } else { (along.far(), along.near) };
    // A thousandth of a millimetre on the safe side at either end.
    let least = narrow - slope * beside_narrow.to_mm() - 0.001;
    let widest = Length::from_mm(wide + slope * beside_wide.to_mm() + 0.001)?;
    (least >= BARE.to_mm()).then_some(widest)
}

fn finish(
    view: &View<'_>,
    way: &Way,
    hold: Hold,
    stacks: &[(Length, Vec<&Stock>, bool)],
    alongs: &[Pair],
    acrosses: &[Pair],
) -> Option<Found> {
    let shop = &view.request.shop;
    for along in alongs {
        for across in acrosses {
            let assembled = !matches!(way.built, Built::Sunk | Built::Riser | Built::Nothing);
            // A glued-up carrier wider than long cannot be ripped along the fence.
            if assembled && along.total < (across.total + inch(1, 1)).max(inch(12, 1)) {
                continue;
            }
            if matches!(way.built, Built::Sunk) && along.pocket.min(across.pocket) < shop.pocket_cutter + inch(1, 32) {
                continue;
            }
            for (top, of, planed) in stacks {
                if of.iter().all(|stock| offcut_suffices(stock, *along, *across)) {
                    let mut names: Vec<&str> = of.iter().map(|stock| stock.name.as_str()).collect();
                    names.extend(planed.then_some("planed board"));
                    return Some(Found {
                        construction: way.construction,
                        turned: view.turned,
                        hold,
                        along: *along,
                        across: *across,
                        top: *top,
                        made_of: names.join(", "),
                    });
                }
            }
        }
    }
    None
}
