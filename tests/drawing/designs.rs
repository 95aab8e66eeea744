//! Requests and designs made by hand, with the arithmetic beside each.

use std::collections::BTreeSet;

use sledwright::design::*;
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::{Length, Measured, Ruler, Unit};
use sledwright::library::{Limits, Machine, MachineKind, MaterialKind};
use sledwright::request::*;
use sledwright::rules::Rule;
use sledwright::trace::{Reason, RunnerUp, Term, Trace};

fn inch(numerator: i64, denominator: i64) -> Length {
    Length::inches(numerator, denominator)
}

/// Whole inches and 64ths.
fn i(whole: i64, sixty_fourths: i64) -> Length {
    inch(64 * whole + sixty_fourths, 64)
}

fn rect(x: Length, y: Length, length: Length, width: Length) -> Outline {
    Outline::Rect(Rect::sized(x, y, length, width))
}

pub fn request(name: &str, paper: Paper) -> Request {
    let measured = |nominal: Length| Measured::exact(nominal, inch(1, 32), Unit::Inch);
    Request {
        name: name.to_owned(),
        date: None,
        units: Unit::Inch,
        machine: Machine {
            id: "roller-carver-medium".to_owned(),
            name: "medium through-feed carver".to_owned(),
            kind: MachineKind::Carver,
            length: Limits { min: i(16, 0), max: i(96, 0) },
            width: Limits { min: i(4, 32), max: i(13, 32) },
            thickness: Limits { min: i(0, 24), max: i(3, 32) },
            length_guard: inch(1, 8),
            width_guard: inch(1, 16),
            thickness_guard: inch(1, 16),
            cutter_to_roller: i(3, 16),
            grip_wanted: inch(3, 4),
            grip_least: inch(1, 2),
            roller_radius: inch(1, 2),
            strip: i(1, 16),
            strip_joint_tolerated: false,
            window: Limits { min: inch(1, 2), max: i(13, 0) },
            depth: i(1, 0),
            stick_out: i(1, 16),
            holder_radius: inch(1, 2),
            guide_gap: inch(1, 64),
            bed_length: i(20, 0),
            bed_gap: i(6, 0),
            unconfirmed: vec!["cutter-to-roller".to_owned(), "strip".to_owned(), "window-near".to_owned()],
            source: "invented".to_owned(),
        },
        sheet: SheetStyle { paper, ..SheetStyle::usual(if paper.is_metric() { Unit::Millimetre } else { Unit::Inch }) },
        shop: Shop {
            ruler: Ruler::inch(32),
            depth_ruler: Ruler::inch(64),
            tolerance: inch(1, 64),
            kerf: inch(1, 8),
            clearance: inch(1, 64),
            tools: BTreeSet::from([Tool::TableSaw, Tool::Router]),
            planer_shortest: i(16, 0),
            sander_shortest: i(6, 0),
            planer_thinnest: inch(1, 4),
            planer_widest: i(12, 0),
            sander_widest: i(16, 0),
            saw_height: i(3, 0),
            mitre_width: i(6, 0),
            mitre_height: inch(7, 2),
            pocket_cutter: inch(1, 4),
            estimates: Estimates {
                bond_lift_psi: 2.0,
                bond_slide_psi: 3.0,
                film_lift_psi: 3.0,
                film_slide_psi: 4.5,
                side_force_lbf: 10.0,
                lift_force_lbf: 5.0,
                guide_force_lbf: 10.0,
                one_person_kg: 13.6,
                blank_density: 700.0,
                loads: sledwright::request::Loads::default(),
            },
        },
        blank: Blank {
            shape: Shape::Rectangle,
            length: measured(i(9, 0)),
            width: measured(i(6, 0)),
            thickness: Some(measured(inch(3, 4))),
            count: 1,
            name: String::new(),
            others: Vec::new(),
            wood: None,
            turn_free: false,
            corner_radius: Length::ZERO,
            relief_height: Length::ZERO,
            warp: None,
            slope: None,
            strip: None,
            angle: None,
            second_side: None,
            fragile: false,
            irreplaceable: true,
            growth_length: Length::ZERO,
            growth_width: Length::ZERO,
            moves: Default::default(),
        },
        carve: Carve {
            length: i(8, 0),
            width: i(4, 0),
            margin_lead: inch(1, 2),
            margin_trail: inch(1, 2),
            margin_fence: i(1, 0),
            margin_far: i(1, 0),
            stated: true,
            depth: inch(1, 4),
            through: Through::No,
            penetration: inch(1, 32),
            cutter: inch(1, 4),
            flute: None,
            overrun: inch(1, 16),
            finest: None,
        },
        hold: None,
        hold_thickness: None,
        screws: sledwright::request::ScrewChoice::default(),
        stands: None,
        stock: Vec::new(),
        board: Stock {
            name: "pine".to_owned(),
            kind: MaterialKind::Softwood,
            thickness: i(1, 32),
            layers: 1,
            length: None,
            width: None,
            count: None,
            calipered: false,
            density: 400.0,
            elasticity: 8500.0,
        },
        construction: None,
        objective: sledwright::request::Objective::default(),
        assumptions: Vec::new(),
        cautions: vec!["Thickness was read off a tape measure: caliper it before the depth is set.".to_owned()],
    }
}

fn part(id: &str, name: &str, role: Role, material: &str, size: (Length, Length, Length), grain: Grain) -> Part {
    Part {
        id: id.to_owned(),
        name: name.to_owned(),
        role,
        material: material.to_owned(),
        size: Extent { length: size.0, width: size.1, thickness: size.2 },
        grain,
        density: 750.0,
        layers: 1,
        places: Vec::new(),
        remark: None,
    }
}

fn assumption(key: &str, value: &str) -> Assumption {
    Assumption { key: key.to_owned(), value: value.to_owned(), source: "common practice, no source".to_owned() }
}

fn saw(operation: Operation, piece: &str, note: &str) -> SawStep {
    SawStep {
        operation,
        tool: "table saw",
        piece: piece.to_owned(),
        before: Extent::default(),
        setting: i(7, 36),
        makes: "A board".to_owned(),
        times: 1,
        held: i(17, 4),
        careful: operation == Operation::Pocket,
        note: note.to_owned(),
    }
}

fn step(text: &str, caution: Option<&str>) -> BuildStep {
    BuildStep { text: text.to_owned(), caution: caution.map(str::to_owned), adds: Vec::new() }
}

fn some_checks() -> Vec<Check> {
    let length = Quantity::Length;
    let mut checks = Vec::new();
    for (rule, subject, actual, relation, limit) in [
        (Rule::LengthMin, "carrier", length(i(17, 4)), Relation::AtLeast, length(i(16, 8))),
        (Rule::LengthMax, "carrier", length(i(17, 4)), Relation::AtMost, length(i(95, 56))),
        (Rule::WidthMin, "carrier", length(i(7, 36)), Relation::AtLeast, length(i(4, 36))),
        (Rule::WidthMax, "carrier", length(i(7, 36)), Relation::AtMost, length(i(13, 28))),
        (Rule::LeadEndAllowance, "lead end", length(i(4, 0)), Relation::AtLeast, length(i(3, 48))),
        (Rule::TrailEndAllowance, "trail end", length(i(4, 0)), Relation::AtLeast, length(i(3, 48))),
        (Rule::GripWanted, "both ends", length(i(4, 0)), Relation::AtLeast, length(i(4, 0))),
        (Rule::PocketFloor, "pocket", length(inch(1, 4)), Relation::AtLeast, length(inch(3, 16))),
        (Rule::PocketFloorWanted, "pocket", length(inch(15, 64)), Relation::AtLeast, length(inch(1, 4))),
        (Rule::LiftFactor, "blank", Quantity::Number(21.6, ""), Relation::AtLeast, Quantity::Number(3.0, "")),
        (Rule::Mass, "carrier and blank", Quantity::Number(2.35, "kg"), Relation::AtMost, Quantity::Number(13.6, "kg")),
    ] {
        checks.push(Check::of(rule, subject, actual, relation, limit));
    }
    checks
}

fn base_design(construction: &'static str, title: &str) -> Design {
    Design {
        construction,
        title: title.to_owned(),
        variant: String::new(),
        turned: false,
        turn: 0.0,
        carrier: Extent::default(),
        blank: PlacedBlank {
            outline: rect(i(4, 0), inch(3, 4), i(9, 0), i(6, 0)),
            z0: inch(1, 4),
            z1: i(1, 0),
            highest: i(1, 0),
            thickness_known: true,
            underside: None,
        },
        pockets: Vec::new(),
        contacts: Vec::new(),
        parts: Vec::new(),
        gang: None,
        joints: Vec::new(),
        keep_out: None,
        swept: Rect::default(),
        carve: Rect::sized(i(4, 32), i(1, 48), i(8, 0), i(4, 0)),
        depth_below_top: inch(1, 4),
        hold: Hold::Snug,
        adhesive: Length::ZERO,
        screws: None,
        bond_area_mm2: 0.0,
        bridge: false,
        uses_only_stock_on_hand: true,
        clip_corner: false,
        pocket_cutter: None,
        cut_list: CutList::default(),
        steps: Vec::new(),
        waived: Vec::new(),
        trace: Trace::default(),
        checks: some_checks(),
        assumptions: vec![
            assumption("shop.kerf", "1/8 in"),
            assumption("shop.clearance", "1/64 in a side"),
            assumption("machine.cutter-to-roller", "3-1/4 in"),
        ],
        warnings: Vec::new(),
        mass_kg: 2.35,
    }
}

/// A short plaque in a blind pocket: 9 x 6 x 3/4 in 1 in MDF. By hand: pocket 9 + 1/16 by 6 + 1/16, length
/// 9-1/16 + 2 x 4 = 17-1/16, width 6-1/16 + 2 x 3/4 = 7-9/16, depth 3/4, floor 1/4.
pub fn blind_pocket() -> Design {
    let mut design = base_design("blind-pocket", "Blind pocket in one board");
    design.carrier = Extent { length: i(17, 4), width: i(7, 36), thickness: i(1, 0) };
    let pocket = rect(i(4, 0), inch(3, 4), i(9, 4), i(6, 4));
    design.pockets.push(Pocket {
        outline: pocket.clone(),
        z0: inch(1, 4),
        z1: i(1, 0),
        kind: PocketKind::Blind,
        relief: Some(Relief { diameter: inch(1, 4), bite: inch(3, 64), bored: false }),
    });
    let mut voids = vec![Void { outline: pocket.clone(), z0: inch(1, 4), z1: i(1, 0), kind: VoidKind::Pocket }];
    for corner in pocket.bounds().corners() {
        let outline = Outline::Disc { centre: corner, diameter: inch(1, 4) };
        voids.push(Void { outline, z0: inch(1, 4), z1: i(1, 0), kind: VoidKind::Relief });
    }
    let hole = Outline::Disc { centre: pocket.bounds().centre(), diameter: i(1, 0) };
    voids.push(Void { outline: hole, z0: Length::ZERO, z1: inch(1, 4), kind: VoidKind::PushOut });
    let mut board = part("A", "board", Role::Board, "MDF 1", (i(17, 4), i(7, 36), i(1, 0)), Grain::None);
    let outline = rect(Length::ZERO, Length::ZERO, i(17, 4), i(7, 36));
    board.places.push(Place { outline, z0: Length::ZERO, z1: i(1, 0), voids });
    design.parts.push(board);
    design.keep_out = Some(KeepOut { area: Rect::new(i(4, 4), i(1, 20), i(12, 60), i(6, 12)), above: i(0, 40) });
    design.cut_list.parents.push(Parent {
        id: "P1".to_owned(),
        material: "MDF 1".to_owned(),
        size: Extent { length: i(23, 12), width: i(7, 36), thickness: i(1, 0) },
        count: 1,
        yields: vec![("A".to_owned(), 1)],
    });
    design.cut_list.steps = vec![
        saw(Operation::Rip, "P1", "Table saw: rip P1 to 7-9/16 wide, full length, fence edge against the saw fence."),
        saw(Operation::Crosscut, "P1", "Mitre saw: crosscut A at 17-1/16; at least 6 stays under the hand."),
        saw(
            Operation::Pocket,
            "A",
            "Router and guide: sink the pocket 9-1/16 x 6-1/16, 3/4 (0.750) deep, in three passes.",
        ),
    ];
    design.steps = vec![
        step("Caliper the blank and the board in three places each. Stop if they differ from this sheet.", None),
        step("Mark FENCE and LEAD on the board before anything is cut into it.", None),
        step(
            "Sink the pocket from the lead wall and the fence wall.",
            Some("Clamp the board; both hands on the router."),
        ),
        step("Bore the push-out hole 1 in through the floor.", None),
        step("Ease the lead and trail top edges by 1/16.", None),
    ];
    design.trace = Trace {
        reasons: vec![Reason {
            dimension: "carrier.length".to_owned(),
            value: i(17, 4),
            terms: vec![
                Term { label: "lead end".to_owned(), amount: i(4, 0), rule: Some(Rule::GripWanted) },
                Term { label: "pocket".to_owned(), amount: i(9, 4), rule: None },
                Term { label: "trail end".to_owned(), amount: i(4, 0), rule: Some(Rule::GripWanted) },
            ],
            decided_by: Some(Rule::LeadEndAllowance),
            runner_up: Some(RunnerUp { rule: Rule::LengthMin, value: i(16, 8), text: String::new() }),
        }],
    };
    design.warnings = vec!["Thickness is a tape reading: caliper the blank before the depth is set.".to_owned()];
    design
}

/// Rails and ends on a base: 10-1/2 x 5-1/4 x 7/8 cut free all round, taped. By hand: pocket 10-9/16 x 5-5/16,
/// length 18-9/16, width 6-13/16, rails 7/8 + 1/64 = 57/64, base 15/32, thickness 1-23/64.
pub fn rails_on_base() -> Design {
    let mut design = base_design("rails-on-base", "Rails and ends on a base");
    let (base, rail) = (i(0, 30), i(0, 57));
    design.carrier = Extent { length: i(18, 36), width: i(6, 52), thickness: base + rail };
    design.blank = PlacedBlank {
        outline: rect(i(4, 0), inch(3, 4), i(10, 32), i(5, 16)),
        z0: base + inch(1, 64),
        z1: base + rail,
        highest: base + rail,
        thickness_known: true,
        underside: None,
    };
    let pocket = rect(i(4, 0), inch(3, 4), i(10, 36), i(5, 20));
    design.pockets.push(Pocket { outline: pocket, z0: base, z1: base + rail, kind: PocketKind::OnBase, relief: None });
    let top = |outline: Outline| Place { outline, z0: base, z1: base + rail, voids: Vec::new() };
    let mut rails = part("A", "rail", Role::FenceRail, "pine", (i(18, 36), inch(3, 4), rail), Grain::AlongFeed);
    rails.places.push(top(rect(Length::ZERO, Length::ZERO, i(18, 36), inch(3, 4))));
    rails.places.push(top(rect(Length::ZERO, i(6, 4), i(18, 36), inch(3, 4))));
    rails.remark = Some("planed to the blank's thickness and the tape".to_owned());
    let mut ends = part("B", "end block", Role::LeadEnd, "pine", (i(4, 0), i(5, 20), rail), Grain::AlongFeed);
    ends.places.push(top(rect(Length::ZERO, inch(3, 4), i(4, 0), i(5, 20))));
    ends.places.push(top(rect(i(14, 36), inch(3, 4), i(4, 0), i(5, 20))));
    let mut floor = part("C", "base", Role::Base, "birch plywood 1/2", (i(18, 36), i(6, 52), base), Grain::None);
    let outline = rect(Length::ZERO, Length::ZERO, i(18, 36), i(6, 52));
    floor.places.push(Place { outline, z0: Length::ZERO, z1: base, voids: Vec::new() });
    design.parts = vec![rails, ends, floor];
    design.carve = Rect::sized(i(4, 0), inch(3, 4), i(10, 32), i(5, 16));
    design.keep_out = Some(KeepOut { area: Rect::new(i(3, 36), i(0, 20), i(14, 60), i(6, 24)), above: i(0, 20) });
    design.depth_below_top = rail + inch(1, 64) + inch(1, 64);
    design.hold = Hold::Tape;
    design.adhesive = inch(1, 64);
    design.cut_list.steps = vec![saw(Operation::Plane, "P1", "Planer: P1 and P2 to 57/64.")];
    design.steps = vec![step("Glue the fence rail to the base, flush with the fence edge.", None)];
    design.warnings = (1..=5)
        .map(|n| {
            format!("Warning number {n}: the part is cut free by the last pass, so nothing but the tape holds it.")
        })
        .collect();
    design
}

/// Twelve feet by two inches, baseless rails: extreme in length and thin in section.
fn long_and_narrow() -> Design {
    let mut design = base_design("side-rails", "Side rails on a long narrow strip");
    design.carrier = Extent { length: i(144, 0), width: i(4, 36), thickness: inch(1, 4) };
    design.blank = PlacedBlank {
        outline: rect(Length::ZERO, i(1, 18), i(144, 0), i(2, 0)),
        z0: Length::ZERO,
        z1: inch(1, 4),
        highest: inch(1, 4),
        thickness_known: true,
        underside: None,
    };
    design.carve = Rect::sized(i(6, 0), i(1, 50), i(132, 0), i(1, 0));
    let place = |y: Length, width: Length| Place {
        outline: rect(Length::ZERO, y, i(144, 0), width),
        z0: Length::ZERO,
        z1: inch(1, 4),
        voids: Vec::new(),
    };
    let mut rails = part("A", "rail", Role::FenceRail, "pine", (i(144, 0), i(1, 18), inch(1, 4)), Grain::AlongFeed);
    rails.places = vec![place(Length::ZERO, i(1, 18)), place(i(3, 18), i(1, 18))];
    design.parts.push(rails);
    design
}

/// A round of 8 in split nest, 9-9/16 wide, on a base; lead/far corner clipped.
pub fn disc() -> Design {
    let mut design = base_design("disc-nest", "Split nest for a round, on a base");
    design.carrier = Extent { length: i(16, 4), width: i(9, 36), thickness: i(1, 14) };
    let centre = Point::new(i(8, 2), i(4, 50));
    let (base, top) = (i(0, 30), i(1, 14));
    design.blank = PlacedBlank {
        outline: Outline::Disc { centre, diameter: i(8, 0) },
        z0: base,
        z1: top,
        highest: top + inch(1, 8),
        thickness_known: true,
        underside: None,
    };
    let hole = Outline::Disc { centre, diameter: i(8, 4) };
    design.pockets.push(Pocket { outline: hole.clone(), z0: base, z1: top, kind: PocketKind::OnBase, relief: None });
    design.carve = Rect::sized(i(5, 34), i(2, 18), i(5, 0), i(5, 0));
    let half = |y: Length| Place {
        outline: rect(Length::ZERO, y, i(16, 4), i(4, 50)),
        z0: base,
        z1: top,
        voids: vec![Void { outline: hole.clone(), z0: base, z1: top, kind: VoidKind::Pocket }],
    };
    let mut halves = part("A", "nest half", Role::NestHalf, "pine", (i(16, 4), i(4, 50), i(0, 48)), Grain::AlongFeed);
    halves.places = vec![half(Length::ZERO), half(i(4, 50))];
    if let Some(far) = halves.places.last_mut() {
        let corner =
            [Point::new(Length::ZERO, i(8, 52)), Point::new(inch(3, 4), i(9, 36)), Point::new(Length::ZERO, i(9, 36))];
        let outline = Outline::Polygon(corner.to_vec());
        far.voids.push(Void { outline, z0: base, z1: top, kind: VoidKind::ClippedCorner });
    }
    let mut floor = part("B", "base", Role::Base, "plywood", (i(16, 4), i(9, 36), base), Grain::None);
    let outline = rect(Length::ZERO, Length::ZERO, i(16, 4), i(9, 36));
    floor.places.push(Place { outline, z0: Length::ZERO, z1: base, voids: Vec::new() });
    design.parts = vec![halves, floor];
    design.clip_corner = true;
    design
}

/// A taper of 1 in 12 made parallel: 18 long, 6 to 4-1/2 wide. By hand: far rail 1-17/64 at the lead end and
/// 3-27/64 at the trail end, blank's far edge at 1-1/4 + 6-1/3 and 1-1/4 + 4-1/6.
pub fn taper() -> Design {
    let mut design = base_design("taper-in-plan", "Tapered blank made parallel");
    design.carrier = Extent { length: i(26, 0), width: i(8, 54), thickness: inch(3, 4) };
    let points = |xy: &[(Length, Length)]| Outline::Polygon(xy.iter().map(|(x, y)| Point::new(*x, *y)).collect());
    let (lead, trail) = (i(1, 16) + inch(19, 3), i(1, 16) + inch(25, 6));
    let (b0, b1) = (i(7, 16), i(5, 48));
    design.blank = PlacedBlank {
        outline: points(&[(i(4, 0), i(1, 16)), (i(22, 0), i(1, 16)), (i(22, 0), b1), (i(4, 0), b0)]),
        z0: Length::ZERO,
        z1: inch(3, 4),
        highest: inch(3, 4),
        thickness_known: true,
        underside: None,
    };
    design.carve = Rect::sized(i(6, 0), i(2, 0), i(12, 0), i(3, 0));
    let whole = |outline: Outline| Place { outline, z0: Length::ZERO, z1: inch(3, 4), voids: Vec::new() };
    let mut fence =
        part("A", "fence rail", Role::FenceRail, "pine", (i(26, 0), i(1, 16), inch(3, 4)), Grain::AlongFeed);
    fence.places.push(whole(rect(Length::ZERO, Length::ZERO, i(26, 0), i(1, 16))));
    let mut far = part("B", "far rail", Role::FarRail, "pine", (i(26, 0), i(3, 28), inch(3, 4)), Grain::AlongFeed);
    far.places.push(whole(points(&[
        (Length::ZERO, lead),
        (i(26, 0), trail),
        (i(26, 0), i(8, 54)),
        (Length::ZERO, i(8, 54)),
    ])));
    let mut ends = part("C", "lead end", Role::LeadEnd, "pine", (i(4, 0), i(6, 21), inch(3, 4)), Grain::AlongFeed);
    ends.places.push(whole(points(&[
        (Length::ZERO, i(1, 16)),
        (i(4, 0), i(1, 16)),
        (i(4, 0), b0),
        (Length::ZERO, lead),
    ])));
    let mut tail = part("D", "trail end", Role::TrailEnd, "pine", (i(4, 0), i(4, 32), inch(3, 4)), Grain::AlongFeed);
    tail.places.push(whole(points(&[(i(22, 0), i(1, 16)), (i(26, 0), i(1, 16)), (i(26, 0), trail), (i(22, 0), b1)])));
    design.parts = vec![fence, far, ends, tail];
    design.hold = Hold::HotGlue;
    design
}

/// No carrier: 20 x 6 x 3/4 with 10 x 4 in the middle. By hand: margins 5 at the ends, 1 at the sides.
pub fn none() -> Design {
    let mut design = base_design("none", "No carrier");
    design.carrier = Extent { length: i(20, 0), width: i(6, 0), thickness: inch(3, 4) };
    design.blank = PlacedBlank {
        outline: rect(Length::ZERO, Length::ZERO, i(20, 0), i(6, 0)),
        z0: Length::ZERO,
        z1: inch(3, 4),
        highest: inch(3, 4),
        thickness_known: true,
        underside: None,
    };
    design.carve = Rect::sized(i(5, 0), i(1, 0), i(10, 0), i(4, 0));
    design.checks.clear();
    design.assumptions.clear();
    design
}

/// Metric: 240 x 90 x 18 in 25 mm MDF on A4. By hand: pocket 241.5 x 91.5, carrier 445.5 x 130.5 x 25.
pub fn metric() -> (Request, Design) {
    let mm = |tenths: i64| Length::micrometres(100 * tenths);
    let mut request = request("Key rack, 240 mm", Paper::A4);
    request.units = Unit::Millimetre;
    request.shop.ruler = Ruler::metric(500);
    request.shop.depth_ruler = Ruler::metric(100);
    request.machine.unconfirmed.clear();
    request.machine.strip = mm(320);
    let mut design = base_design("blind-pocket", "Blind pocket in one board");
    design.carrier = Extent { length: mm(4455), width: mm(1305), thickness: mm(250) };
    let pocket = rect(mm(1020), mm(195), mm(2415), mm(915));
    design.pockets.push(Pocket {
        outline: pocket.clone(),
        z0: mm(70),
        z1: mm(250),
        kind: PocketKind::Blind,
        relief: None,
    });
    design.blank = PlacedBlank {
        outline: rect(mm(1020), mm(195), mm(2400), mm(900)),
        z0: mm(70),
        z1: mm(250),
        highest: mm(250),
        thickness_known: true,
        underside: None,
    };
    design.carve = Rect::sized(mm(1100), mm(300), mm(2200), mm(600));
    design.depth_below_top = mm(60);
    let mut board = part("A", "board", Role::Board, "MDF 25", (mm(4455), mm(1305), mm(250)), Grain::None);
    let voids = vec![Void { outline: pocket, z0: mm(70), z1: mm(250), kind: VoidKind::Pocket }];
    let outline = rect(Length::ZERO, Length::ZERO, mm(4455), mm(1305));
    board.places.push(Place { outline, z0: Length::ZERO, z1: mm(250), voids });
    design.parts.push(board);
    (request, design)
}

/// The plaque before anybody has measured its thickness.
pub fn unmeasured() -> Design {
    let mut design = blind_pocket();
    design.blank.thickness_known = false;
    design
}

/// Designs on the papers they might be printed on, by a name for messages.
pub fn samples() -> Vec<(&'static str, Request, Design)> {
    let plaque = || request("Gull plaque", Paper::Letter);
    let mut wordy = request(&"Tide table for the harbour's north steps, Übergröße ½ ".repeat(6), Paper::A4);
    wordy.cautions = vec!["Readings of the thickness differ by more than the caliper does. ".repeat(30)];
    let mut crowded = blind_pocket();
    crowded.checks = (0..9).flat_map(|_| some_checks()).collect();
    crowded.assumptions = (0..60).map(|n| assumption(&format!("shop.key-{n}"), &"long value ".repeat(n))).collect();
    crowded.steps =
        (0..40).map(|n| step(&"Do the next thing with care. ".repeat(n % 7 + 1), Some("Fingers."))).collect();
    let (metric_request, metric_design) = metric();
    vec![
        ("blind-pocket", plaque(), blind_pocket()),
        ("blind-pocket-11x17", request("Gull plaque", Paper::P11x17), blind_pocket()),
        ("rails-on-base", request("Ferry ticket stand, cut free", Paper::Letter), rails_on_base()),
        ("rails-on-base-a3", request("Ferry ticket stand, cut free", Paper::A3), rails_on_base()),
        ("long", request("Rope locker rail", Paper::A4), long_and_narrow()),
        ("disc", request("Compass rose", Paper::Letter), disc()),
        ("taper", request("Oar blade", Paper::Letter), taper()),
        ("none", plaque(), none()),
        ("metric", metric_request, metric_design),
        ("unmeasured", plaque(), unmeasured()),
        ("crowded", wordy, crowded),
    ]
}
