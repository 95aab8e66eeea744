//! Random plausible jobs: what people bring to the gift workshop of a harbour museum, and what
//! their shops are like.

use std::collections::BTreeSet;

use sledwright::length::{Length, Measured, Note, Ruler, Unit};
use sledwright::library::{Limits, Machine, MachineKind, MaterialKind, Screw};
use sledwright::request::{
    Blank, Carve, Estimates, Hold, Moves, Objective, Paper, Request, ScrewChoice, Shape, SheetStyle, Shop, Stock,
    Through, Tool,
};

use crate::random::Random;

const IN: Length = Length::INCH;
const ZERO: Length = Length::ZERO;

/// `numerator/denominator` inches.
pub const fn inch(numerator: i64, denominator: i64) -> Length {
    Length::inches(numerator, denominator)
}

fn limits(min: Length, max: Length) -> Limits {
    Limits { min, max }
}

/// The house machine of the workshop.
pub fn house_machine() -> Machine {
    Machine {
        id: "house".to_owned(),
        name: "house machine".to_owned(),
        kind: MachineKind::Carver,
        length: limits(IN * 16, IN * 96),
        width: limits(inch(9, 2), inch(27, 2)),
        thickness: limits(inch(3, 8), inch(7, 2)),
        length_guard: inch(1, 8),
        width_guard: inch(1, 16),
        thickness_guard: inch(1, 16),
        cutter_to_roller: inch(13, 4),
        grip_wanted: inch(3, 4),
        grip_least: inch(1, 2),
        roller_radius: inch(1, 2),
        strip: inch(5, 4),
        strip_joint_tolerated: false,
        window: limits(inch(1, 2), IN * 13),
        depth: IN,
        stick_out: inch(5, 4),
        holder_radius: inch(1, 2),
        guide_gap: inch(1, 100),
        bed_length: IN * 24,
        bed_gap: inch(13, 2),
        unconfirmed: Vec::new(),
        source: "invented".to_owned(),
    }
}

fn machine(random: &mut Random) -> Machine {
    let mut machine = house_machine();
    match random.whole(0, 5) {
        0 => {
            machine.id = "small".to_owned();
            machine.length = limits(IN * 12, IN * 48);
            machine.width = limits(IN * 3, inch(17, 2));
            machine.thickness = limits(inch(1, 4), IN * 2);
            machine.cutter_to_roller = inch(11, 4);
            machine.strip = IN;
            machine.window = limits(inch(1, 2), IN * 8);
            machine.depth = inch(3, 4);
            machine.stick_out = IN;
            machine.holder_radius = inch(3, 8);
        }
        1 => {
            machine.id = "wide".to_owned();
            machine.length = limits(IN * 20, IN * 120);
            machine.width = limits(IN * 6, IN * 24);
            machine.thickness = limits(inch(1, 2), IN * 4);
            machine.cutter_to_roller = inch(9, 2);
            machine.strip = inch(3, 2);
            machine.window = limits(inch(3, 4), inch(47, 2));
            machine.depth = inch(3, 2);
            machine.stick_out = inch(7, 4);
        }
        2 => {
            // A planer: no sensor, the knives reach right across.
            machine.id = "planer".to_owned();
            machine.kind = MachineKind::Planer;
            machine.length = limits(IN * 14, IN * 96);
            machine.width = limits(inch(3, 4), IN * 12);
            machine.thickness = limits(inch(1, 4), IN * 6);
            machine.cutter_to_roller = IN * 3;
            machine.strip = ZERO;
            machine.window = limits(-IN, IN * 14);
            machine.depth = inch(1, 8);
            machine.stick_out = ZERO;
            machine.holder_radius = ZERO;
        }
        _ => {}
    }
    if random.chance(30) {
        machine.length_guard = random.size(ZERO, inch(3, 8), inch(1, 64));
        machine.width_guard = random.size(ZERO, inch(1, 4), inch(1, 64));
        machine.thickness_guard = random.size(ZERO, inch(1, 8), Length::micrometres(100));
    }
    if random.chance(25) {
        machine.cutter_to_roller = random.size(IN, IN * 6, Length::micrometres(500));
        machine.grip_least = random.size(inch(1, 8), IN, inch(1, 16));
        machine.grip_wanted = machine.grip_least + random.size(ZERO, inch(1, 2), inch(1, 16));
    }
    machine.strip_joint_tolerated = random.chance(15);
    machine
}

fn rulers(random: &mut Random) -> (Ruler, Ruler) {
    let ruler = match random.whole(0, 9) {
        0 => Ruler::inch(16),
        1 => Ruler::inch(64),
        2 => Ruler::metric(1000),
        3 | 4 => Ruler::metric(500),
        5 => Ruler::decimal_inch(100),
        _ => Ruler::inch(32),
    };
    let depth = match (ruler.unit, random.whole(0, 9)) {
        (_, 0) => ruler,
        (Unit::Inch, 1) => Ruler::decimal_inch(1000),
        (Unit::Inch, _) => Ruler::inch(64),
        (Unit::Millimetre, _) => Ruler::metric(100),
    };
    if depth.step > ruler.step { (ruler, ruler) } else { (ruler, depth) }
}

/// A step people read sizes off at.
fn reading_step(random: &mut Random, unit: Unit) -> Length {
    match (unit, random.whole(0, 5)) {
        (Unit::Inch, 0) => inch(1, 1000),
        (Unit::Inch, 1) => inch(1, 16),
        (Unit::Inch, 2) => inch(1, 4),
        (Unit::Millimetre, 0) => Length::micrometres(100),
        (Unit::Millimetre, 1) => Length::micrometres(500),
        (Unit::Millimetre, _) => Length::MM,
        _ => inch(1, 32),
    }
}

/// One or several readings of a size from `low` to `high`.
fn measured(random: &mut Random, low: Length, high: Length, unit: Unit, uncertainty: Length) -> Measured {
    let step = reading_step(random, unit);
    let mut size = Measured::exact(random.size(low.max(step), high, step), uncertainty, unit);
    if random.chance(25) {
        let spread = random.size(ZERO, (uncertainty * 2).min(size.smallest.half()), step.min(inch(1, 64)));
        size.largest += spread;
        // Three readings: two at the smaller end.
        size.nominal = Length::from_ticks((size.smallest * 2 + size.largest).ticks() / 3);
        size.readings = 3;
    }
    size
}

fn tools(random: &mut Random) -> BTreeSet<Tool> {
    let all = [
        Tool::TableSaw,
        Tool::MitreSaw,
        Tool::BandSaw,
        Tool::Jigsaw,
        Tool::DrillPress,
        Tool::Router,
        Tool::Planer,
        Tool::DrumSander,
        Tool::Jointer,
        Tool::Carver,
        Tool::Chisel,
    ];
    match random.whole(0, 5) {
        0 => [Tool::TableSaw, Tool::MitreSaw].into(),
        1 => [Tool::TableSaw, Tool::MitreSaw, Tool::BandSaw, Tool::Planer].into(),
        2 => [Tool::BandSaw, Tool::MitreSaw, Tool::DrillPress, Tool::Chisel].into(),
        3 => all.into_iter().filter(|_| random.chance(60)).collect(),
        4 => all.into(),
        _ => [
            Tool::TableSaw,
            Tool::MitreSaw,
            Tool::BandSaw,
            Tool::Router,
            Tool::Planer,
            Tool::DrumSander,
            Tool::DrillPress,
            Tool::Chisel,
        ]
        .into(),
    }
}

fn sheet(name: &str, kind: MaterialKind, thickness: Length, layers: u32) -> Stock {
    let (density, elasticity) = match kind {
        MaterialKind::Mdf => (750.0, 2800.0),
        MaterialKind::Hardboard => (1000.0, 4000.0),
        _ => (560.0, 5000.0),
    };
    Stock {
        name: name.to_owned(),
        kind,
        thickness,
        layers,
        length: None,
        width: None,
        count: None,
        calipered: true,
        density,
        elasticity,
    }
}

/// What the timber merchant near the harbour sells.
fn for_sale(unit: Unit) -> Vec<Stock> {
    match unit {
        Unit::Inch => vec![
            sheet("hardboard 1/4", MaterialKind::Hardboard, inch(1, 4), 1),
            sheet("plywood 15/32", MaterialKind::Plywood, inch(15, 32), 1),
            sheet("MDF 3/4", MaterialKind::Mdf, inch(3, 4), 1),
            sheet("MDF 1", MaterialKind::Mdf, IN, 1),
            sheet("MDF 2 x 3/4", MaterialKind::Mdf, inch(3, 4), 2),
        ],
        Unit::Millimetre => vec![
            sheet("hardboard 6 mm", MaterialKind::Hardboard, Length::MM * 6, 1),
            sheet("plywood 12 mm", MaterialKind::Plywood, Length::MM * 12, 1),
            sheet("MDF 18 mm", MaterialKind::Mdf, Length::MM * 18, 1),
            sheet("MDF 25 mm", MaterialKind::Mdf, Length::MM * 25, 1),
            sheet("MDF 2 x 18 mm", MaterialKind::Mdf, Length::MM * 18, 2),
        ],
    }
}

fn stock(random: &mut Random, unit: Unit) -> Vec<Stock> {
    let mut stock = Vec::new();
    if random.chance(45) {
        for number in 1..=random.whole(1, 4) {
            let kind = random.pick(&[MaterialKind::Mdf, MaterialKind::Plywood, MaterialKind::Softwood]);
            let thickness = match unit {
                Unit::Inch => random.size(inch(3, 16), inch(7, 4), inch(1, 64)),
                Unit::Millimetre => random.size(Length::MM * 4, Length::MM * 40, Length::micrometres(500)),
            };
            let mut piece = sheet(&format!("offcut {number}"), kind, thickness, 1);
            piece.length = Some(random.size(IN * 6, IN * 60, inch(1, 2)));
            piece.width = Some(random.size(IN * 2, IN * 30, inch(1, 2)));
            piece.count = Some(random.whole(1, 3) as u32);
            piece.calipered = random.chance(60);
            stock.push(piece);
        }
    }
    if stock.is_empty() || random.chance(80) {
        stock.extend(for_sale(unit));
    }
    stock
}

fn shop(random: &mut Random, cutter: Length) -> Shop {
    let (ruler, depth_ruler) = rulers(random);
    let side = if cutter <= inch(1, 8) { 4.0 } else { 10.0 };
    let tolerance = match random.whole(0, 4) {
        0 => ZERO,
        1 => inch(1, 32),
        2 => Length::micrometres(400),
        _ => inch(1, 64),
    };
    Shop {
        ruler,
        depth_ruler,
        tolerance,
        kerf: random.pick(&[inch(1, 8), inch(3, 32), Length::micrometres(3200)]),
        clearance: random.pick(&[inch(1, 64), inch(1, 64), Length::micrometres(400), ZERO, inch(1, 32)]),
        tools: tools(random),
        planer_shortest: IN * 16,
        sander_shortest: IN * 6,
        // Large machines: what small ones cannot take is the matter of cases of their own.
        planer_thinnest: Length::MM,
        planer_widest: IN * 60,
        sander_widest: IN * 60,
        saw_height: IN * 12,
        mitre_width: IN * 60,
        mitre_height: IN * 12,
        pocket_cutter: random.pick(&[inch(1, 4), inch(1, 4), inch(1, 8), inch(1, 2), Length::MM * 6]),
        estimates: Estimates {
            bond_lift_psi: 2.0,
            bond_slide_psi: 3.0,
            film_lift_psi: 3.0,
            film_slide_psi: 4.5,
            side_force_lbf: side,
            lift_force_lbf: side / 2.0,
            guide_force_lbf: 10.0,
            one_person_kg: 13.608,
            blank_density: 720.8,
            loads: sledwright::request::Loads::default(),
        },
    }
}

fn blank(random: &mut Random, unit: Unit) -> Blank {
    let uncertainty = random.pick(&[inch(1, 32), inch(1, 32), inch(1, 64), inch(5, 1000), Length::micrometres(500)]);
    let (least, most) = match random.whole(0, 9) {
        0 => (inch(1, 2), IN * 3),
        1 => (IN * 14, IN * 40),
        _ => (IN * 2, IN * 16),
    };
    let length = measured(random, least, most, unit, uncertainty);
    let widest = if random.chance(15) { inch(29, 2) } else { (length.nominal + IN * 2).min(IN * 11) };
    let width = measured(random, inch(1, 2), widest.max(inch(3, 4)), unit, uncertainty);
    let thickness = (!random.chance(4)).then(|| {
        let (thin, thick) = match random.whole(0, 7) {
            0 => (inch(1, 32), inch(3, 8)),
            1 => (inch(5, 4), IN * 4),
            _ => (inch(3, 8), inch(5, 4)),
        };
        measured(random, thin, thick, unit, thickness_uncertainty(uncertainty))
    });
    let mut blank = Blank {
        shape: Shape::Rectangle,
        length,
        width,
        thickness,
        count: if random.chance(20) { random.whole(2, 40) as u32 } else { 1 },
        name: String::new(),
        others: Vec::new(),
        wood: None,
        turn_free: random.chance(35),
        corner_radius: if random.chance(20) { inch(1, 4) } else { ZERO },
        relief_height: if random.chance(5) { random.size(inch(1, 32), inch(1, 2), inch(1, 64)) } else { ZERO },
        warp: None,
        slope: None,
        strip: None,
        angle: None,
        second_side: None,
        fragile: random.chance(5),
        irreplaceable: random.chance(10),
        growth_length: ZERO,
        growth_width: if random.chance(15) { random.size(ZERO, inch(1, 16), Length::micrometres(10)) } else { ZERO },
        moves: Moves::default(),
    };
    blank.moves.width = blank.growth_width;
    match random.whole(0, 9) {
        0 | 1 => {
            blank.shape = Shape::Disc;
            blank.width = blank.length.clone();
            blank.corner_radius = ZERO;
        }
        2 if blank.width.smallest > IN => {
            let step = reading_step(random, unit);
            let high = blank.width.smallest - uncertainty * 2 - step;
            let narrow = random.size(blank.width.smallest.half(), high, step).min(high);
            let narrow = Measured::exact(narrow, uncertainty, unit);
            blank.shape = Shape::Taper { narrow, wide_leads: random.chance(50) };
            blank.corner_radius = ZERO;
        }
        _ => {}
    }
    blank.corner_radius = blank.corner_radius.min(blank.width.smallest.half());
    for size in [&mut blank.length, &mut blank.width] {
        if size.readings == 1 {
            size.notes.push(Note::OneReading);
        }
    }
    blank
}

fn thickness_uncertainty(plan: Length) -> Length {
    // Thickness is calipered where the plan is.
    if plan <= inch(1, 64) { inch(5, 1000) } else { plan }
}

fn carve(random: &mut Random, blank: &Blank, cutter: Length, unit: Unit) -> Carve {
    let through = match random.whole(0, 9) {
        0 => Through::AllRound,
        1 => Through::Inside,
        _ => Through::No,
    };
    let thickness = blank.thickness.as_ref().map_or(inch(3, 4), |thickness| thickness.nominal);
    let step = if unit == Unit::Inch { inch(1, 64) } else { Length::micrometres(500) };
    let deepest = if random.chance(85) { thickness.half().min(inch(1, 2)) } else { thickness };
    let depth = random.size(step, deepest, step);
    let mut carve = Carve {
        length: blank.length.nominal,
        width: blank.width.nominal,
        margin_lead: ZERO,
        margin_trail: ZERO,
        margin_fence: ZERO,
        margin_far: ZERO,
        stated: random.chance(55),
        depth,
        through,
        penetration: random.pick(&[inch(1, 32), inch(1, 32), inch(1, 16), inch(1, 8), Length::MM]),
        cutter,
        flute: random.chance(40).then(|| random.size(inch(1, 4), inch(3, 2), inch(1, 8))),
        overrun: random.pick(&[inch(1, 16), inch(1, 16), ZERO, Length::MM * 2]),
        finest: None,
    };
    if carve.stated {
        let quarter = |size: Length| Length::from_ticks(size.ticks() / 5 * 2);
        let mut margin = |size: Length| random.size(ZERO, quarter(size), Length::micrometres(500));
        carve.margin_lead = margin(carve.length);
        carve.margin_trail = margin(carve.length);
        carve.margin_fence = margin(carve.width);
        carve.margin_far = margin(carve.width);
        carve.length = carve.length - carve.margin_lead - carve.margin_trail;
        carve.width = carve.width - carve.margin_fence - carve.margin_far;
    }
    carve
}

const CONSTRUCTION_NAMES: [&str; 10] = [
    "none",
    "blind-pocket",
    "rails-on-base",
    "flush-frame",
    "end-extensions",
    "side-rails",
    "disc-nest",
    "riser",
    "bridge",
    "taper-in-plan",
];

/// Every paper in turn; of each other job the standard is not the usual one of its unit.
fn style(number: u64, unit: Unit) -> SheetStyle {
    const PAPERS: [Paper; 10] = [
        Paper::Letter,
        Paper::A4,
        Paper::P11x17,
        Paper::A3,
        Paper::Letter,
        Paper::A4,
        Paper::A2,
        Paper::P22x34,
        Paper::A1,
        Paper::P17x22,
    ];
    let standard = match (number % 4 == 3, unit) {
        (false, unit) => unit,
        (true, Unit::Inch) => Unit::Millimetre,
        (true, Unit::Millimetre) => Unit::Inch,
    };
    SheetStyle { paper: PAPERS[number as usize % PAPERS.len()], ..SheetStyle::usual(standard) }
}

/// Screws to choose from: two sizes of each system, as a shop may have them.
fn screws(unit: Unit) -> ScrewChoice {
    let size = |id: &str, diameter: Length, head: Length, height: Length, lengths: Vec<Length>| Screw {
        id: id.to_owned(),
        units: unit,
        diameter,
        head,
        height,
        lengths,
        source: "made up".to_owned(),
    };
    let sizes = match unit {
        Unit::Inch => vec![
            size("No. 8", inch(164, 1000), inch(332, 1000), inch(100, 1000), (5..=16).map(|n| inch(n, 8)).collect()),
            size("No. 4", inch(112, 1000), inch(225, 1000), inch(67, 1000), (4..=8).map(|n| inch(n, 8)).collect()),
        ],
        Unit::Millimetre => {
            let lengths = |from: i64, to: i64| (from..=to).map(|fives| Length::MM * (fives * 5)).collect();
            vec![
                size("4 mm", Length::MM * 4, Length::MM * 8, Length::micrometres(2400), lengths(3, 10)),
                size("3 mm", Length::MM * 3, Length::MM * 6, Length::micrometres(1800), lengths(2, 6)),
            ]
        }
    };
    ScrewChoice { sizes, ..ScrewChoice::default() }
}

/// The job with this number.
pub fn job(number: u64) -> Request {
    let mut random = Random::new(0x51ed_0000_0000 + number);
    let random = &mut random;
    let cutter = random.pick(&[inch(1, 4), inch(1, 4), inch(1, 8), inch(1, 16), inch(1, 2), Length::MM * 3]);
    let shop = shop(random, cutter);
    let unit = shop.ruler.unit;
    let reads = if random.chance(90) { unit } else { random.pick(&[Unit::Inch, Unit::Millimetre]) };
    let blank = blank(random, reads);
    let carve = carve(random, &blank, cutter, unit);
    let hold = random
        .chance(35)
        .then(|| random.pick(&[Hold::Snug, Hold::Wedge, Hold::Tape, Hold::Tape, Hold::Film, Hold::HotGlue]));
    // One job in twelve is held by screws from below; what is drawn at random for the others stays as it is.
    let hold = if number % 12 == 5 { Some(Hold::Screws) } else { hold };
    let mut board = sheet("softwood board", MaterialKind::Softwood, inch(7, 4), 1);
    if unit == Unit::Millimetre {
        board.thickness = Length::MM * 44;
    }
    let machine = machine(random);
    let mut carve = carve;
    if machine.kind == MachineKind::Planer {
        // Knives take the whole face, and nothing through it.
        carve.depth = carve.depth.min(inch(1, 16));
        (carve.length, carve.width) = (blank.length.nominal, blank.width.nominal);
        (carve.margin_lead, carve.margin_trail, carve.margin_fence, carve.margin_far) = (ZERO, ZERO, ZERO, ZERO);
        (carve.stated, carve.through, carve.penetration) = (false, Through::No, ZERO);
        (carve.cutter, carve.overrun, carve.flute) = (ZERO, ZERO, None);
    }
    Request {
        name: format!("job {number}"),
        date: None,
        units: unit,
        machine,
        stock: stock(random, unit),
        board,
        shop,
        sheet: style(number, unit),
        blank,
        carve,
        hold,
        hold_thickness: (hold.is_some() && random.chance(15) && hold != Some(Hold::Screws)).then(|| inch(12, 1000)),
        screws: if hold == Some(Hold::Screws) { screws(unit) } else { ScrewChoice::default() },
        stands: None,
        construction: random.chance(8).then(|| random.pick(&CONSTRUCTION_NAMES).to_owned()),
        objective: random.pick(&Objective::ALL),
        assumptions: Vec::new(),
        cautions: Vec::new(),
    }
}
