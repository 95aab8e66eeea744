//! Reports and files of one design worked out by hand, whole.
//!
//! The carrier: a 9 x 6 x 3/4 in plaque read off a tape (+-1/32), slip 1/64 a side, so the pocket is
//! 9 + 1/32 + 2/64 = 9-1/16 by 6-1/16. Ends of 4 in (3-1/4 cutter to roller + 3/4 grip):
//! 9-1/16 + 8 = 17-1/16 long. Rails of 3/4: 6-1/16 + 1-1/2 = 7-9/16 wide. Floor 1/4 under 3/4: 1 in.
//! Blank centre (4 + 4-1/2, 3/4 + 3) = (8-1/2, 3-3/4); carrier centre (8-17/32, 3-25/32): -1/32, -1/32.

use sledwright::design::{
    BuildStep, Check, CutList, Design, Extent, Grain, KeepOut, Operation, Parent, Part, Place, PlacedBlank, Pocket,
    PocketKind, Quantity, Relation, Relief, Role, SawStep, Void, VoidKind,
};
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::{Length, Measured, Ruler, Unit};
use sledwright::library::{Limits, Machine, MachineKind, MaterialKind};
use sledwright::output::files::{self, Source};
use sledwright::output::{csv, json, text};
use sledwright::request::{
    Assumption, Blank, Carve, Estimates, Hold, Paper, Request, Shape, Shop, Stock, Through, Tool,
};
use sledwright::rules::Rule;
use sledwright::setup::SetupCard;
use sledwright::solve::{Outcome, Rejected};
use sledwright::trace::{Clash, Conflict, Cure, Reason, RunnerUp, Term, Trace};

fn inches(whole: i64, numerator: i64, denominator: i64) -> Length {
    Length::inches(whole * denominator + numerator, denominator)
}

/// The machine of the worked carrier: boards of 16 to 96, 4-1/2 to 13-1/2 and 3/8 to 3-1/2 in.
fn machine() -> Machine {
    let limits = |min, max| Limits { min, max };
    Machine {
        id: "roller-carver-medium".to_owned(),
        name: "medium carver".to_owned(),
        kind: MachineKind::Carver,
        length: limits(inches(16, 0, 1), inches(96, 0, 1)),
        width: limits(inches(4, 1, 2), inches(13, 1, 2)),
        thickness: limits(inches(0, 3, 8), inches(3, 1, 2)),
        length_guard: inches(0, 1, 8),
        width_guard: inches(0, 1, 16),
        thickness_guard: inches(0, 1, 16),
        cutter_to_roller: inches(3, 1, 4),
        grip_wanted: inches(0, 3, 4),
        grip_least: inches(0, 1, 2),
        roller_radius: inches(0, 1, 2),
        strip: inches(1, 1, 4),
        strip_joint_tolerated: false,
        window: limits(inches(0, 1, 2), inches(13, 0, 1)),
        depth: Length::INCH,
        stick_out: inches(1, 1, 4),
        holder_radius: inches(0, 1, 2),
        guide_gap: inches(0, 1, 64),
        bed_length: inches(36, 0, 1),
        unconfirmed: Vec::new(),
        source: "invented".to_owned(),
    }
}

fn stock(name: &str, kind: MaterialKind, thickness: Length) -> Stock {
    Stock {
        name: name.to_owned(),
        kind,
        thickness,
        layers: 1,
        length: None,
        width: None,
        count: None,
        calipered: true,
        density: 750.0,
        elasticity: 2700.0,
    }
}

fn request() -> Request {
    let tape = inches(0, 1, 32);
    let measured = |size| Measured::exact(size, tape, Unit::Inch);
    Request {
        name: "Gull plaque".to_owned(),
        date: None,
        units: Unit::Inch,
        machine: machine(),
        shop: Shop {
            ruler: Ruler::inch(32),
            depth_ruler: Ruler::inch(64),
            tolerance: inches(0, 1, 64),
            kerf: inches(0, 1, 8),
            clearance: inches(0, 1, 64),
            tools: [Tool::TableSaw, Tool::Router].into(),
            planer_shortest: inches(16, 0, 1),
            sander_shortest: inches(6, 0, 1),
            pocket_cutter: inches(0, 1, 4),
            paper: Paper::Letter,
            estimates: Estimates {
                bond_lift_psi: 2.0,
                bond_slide_psi: 3.0,
                side_force_lbf: 10.0,
                lift_force_lbf: 5.0,
                guide_force_lbf: 10.0,
                one_person_kg: 13.6,
                blank_density: 720.0,
            },
        },
        blank: Blank {
            shape: Shape::Rectangle,
            length: measured(inches(9, 0, 1)),
            width: measured(inches(6, 0, 1)),
            thickness: Some(measured(inches(0, 3, 4))),
            count: 1,
            wood: None,
            turn_free: false,
            corner_radius: Length::ZERO,
            relief_height: Length::ZERO,
            fragile: false,
            irreplaceable: false,
            growth_length: Length::ZERO,
            growth_width: Length::ZERO,
        },
        carve: Carve {
            length: inches(9, 0, 1),
            width: inches(6, 0, 1),
            margin_lead: Length::ZERO,
            margin_trail: Length::ZERO,
            margin_fence: Length::ZERO,
            margin_far: Length::ZERO,
            stated: false,
            depth: inches(0, 1, 4),
            through: Through::No,
            penetration: inches(0, 1, 32),
            cutter: inches(0, 1, 4),
            flute: None,
            overrun: inches(0, 1, 16),
        },
        hold: Some(Hold::Snug),
        hold_thickness: None,
        stock: vec![stock("MDF 1", MaterialKind::Mdf, Length::INCH)],
        board: stock("pine board", MaterialKind::Softwood, inches(1, 3, 4)),
        construction: None,
        assumptions: Vec::new(),
        cautions: Vec::new(),
    }
}

fn term(label: &str, amount: Length, rule: Option<Rule>) -> Term {
    Term { label: label.to_owned(), amount, rule }
}

fn plaque() -> Design {
    let zero = Length::ZERO;
    let (x0, y0) = (inches(4, 0, 1), inches(0, 3, 4));
    let carrier = Extent { length: inches(17, 1, 16), width: inches(7, 9, 16), thickness: inches(1, 0, 1) };
    let pocket = Outline::Rect(Rect::sized(x0, y0, inches(9, 1, 16), inches(6, 1, 16)));
    let blank = Rect::sized(x0, y0, inches(9, 0, 1), inches(6, 0, 1));
    let (floor, top) = (inches(0, 1, 4), carrier.thickness);
    let hole = Outline::Disc { centre: Point::new(inches(8, 17, 32), inches(3, 25, 32)), diameter: Length::INCH };
    Design {
        construction: "blind-pocket",
        title: "Blind pocket in one board".to_owned(),
        variant: "MDF 1".to_owned(),
        turned: false,
        carrier,
        blank: PlacedBlank { outline: Outline::Rect(blank), z0: floor, z1: top, highest: top, thickness_known: true },
        pockets: vec![Pocket {
            outline: pocket.clone(),
            z0: floor,
            z1: top,
            kind: PocketKind::Blind,
            // Diagonal relief: 0.293 x 1/8 in, printed to the mark.
            relief: Some(Relief { diameter: inches(0, 1, 4), bite: inches(0, 3, 64), bored: false }),
        }],
        parts: vec![Part {
            id: "A".to_owned(),
            name: "board".to_owned(),
            role: Role::Board,
            material: "=MDF 1".to_owned(),
            size: carrier,
            grain: Grain::None,
            density: 750.0,
            layers: 1,
            places: vec![Place {
                outline: Outline::Rect(Rect::sized(zero, zero, carrier.length, carrier.width)),
                z0: zero,
                z1: top,
                voids: vec![
                    Void { outline: pocket, z0: floor, z1: top, kind: VoidKind::Pocket },
                    Void { outline: hole, z0: zero, z1: floor, kind: VoidKind::PushOut },
                ],
            }],
            remark: Some("trim last, off the far edge".to_owned()),
        }],
        joints: Vec::new(),
        keep_out: Some(KeepOut { area: blank.grown(inches(0, 7, 16)), above: inches(0, 5, 8) }),
        swept: blank.grown(inches(0, 3, 16)),
        carve: blank,
        depth_below_top: inches(0, 1, 4),
        hold: Hold::Snug,
        adhesive: zero,
        bond_area_mm2: 0.0,
        bridge: false,
        clip_corner: false,
        pocket_cutter: Some(inches(0, 1, 4)),
        cut_list: CutList {
            parents: vec![Parent {
                id: "P1".to_owned(),
                material: "MDF 1".to_owned(),
                size: Extent { length: inches(23, 3, 16), width: inches(8, 0, 1), thickness: top },
                count: 1,
                yields: vec![("A".to_owned(), 1)],
            }],
            steps: vec![SawStep {
                operation: Operation::Rip,
                tool: "table saw",
                piece: "P1".to_owned(),
                before: Extent { length: inches(23, 3, 16), width: inches(8, 0, 1), thickness: top },
                setting: carrier.width,
                makes: "A".to_owned(),
                times: 1,
                held: inches(23, 3, 16),
                careful: false,
                note: "rip P1 to width".to_owned(),
            }],
        },
        steps: vec![BuildStep { text: "Sink the pocket.".to_owned(), caution: None }],
        waived: Vec::new(),
        trace: Trace {
            reasons: vec![Reason {
                dimension: "carrier.length".to_owned(),
                value: carrier.length,
                terms: vec![
                    term("lead end allowance", inches(4, 0, 1), Some(Rule::GripWanted)),
                    term("pocket length", inches(9, 1, 16), Some(Rule::Fit)),
                    term("trail end allowance", inches(4, 0, 1), Some(Rule::GripWanted)),
                ],
                decided_by: Some(Rule::GripWanted),
                runner_up: Some(RunnerUp {
                    rule: Rule::LengthMin,
                    value: inches(16, 1, 8),
                    text: "16 + 1/8 guard".to_owned(),
                }),
            }],
        },
        checks: vec![Check::of(
            Rule::LengthMin,
            "carrier length",
            Quantity::Length(carrier.length),
            Relation::AtLeast,
            Quantity::Length(inches(16, 1, 8)),
        )],
        assumptions: vec![Assumption {
            key: "shop.kerf".to_owned(),
            value: "1/8 in".to_owned(),
            source: "common practice, no source".to_owned(),
        }],
        uses_only_stock_on_hand: true,
        warnings: vec!["Caliper the stock.".to_owned()],
        mass_kg: 1.5,
    }
}

#[test]
fn look() {
    let (request, design) = (request(), plaque());
    println!("{}", text::summary(&request, &design));
    let outcome = Outcome { designs: vec![design.clone()], rejected: vec![rejected()] };
    println!("=={}", text::check(&request, &outcome));
    println!("=={}", text::options(&request, &outcome, &[]));
    println!("=={}", text::overview(&request, &design, &outcome));
    println!("=={}", text::rule(&request, &design, Rule::LengthMin));
    let nothing = Outcome { designs: vec![], ..outcome };
    let cures =
        [Cure { rule: Rule::DepthReach, key: "carve.depth".to_owned(), text: "cut at most 9/16 in deep".to_owned() }];
    println!("=={}", text::refusal(&request, &nothing, &cures));
    println!("=={}", text::disagreement(&request, &design, &design.checks));
    println!("=={}", String::from_utf8(csv::render(&request, &design).unwrap()).unwrap());
    println!("=={}", json::render(&request, &design, &["design.json".to_owned()]).unwrap());
    println!("{}", sledwright::output::worksheet::text());
    println!("{}", text::rules());
    println!("{}", text::machine(&request.machine));
    println!("{}", text::machines(&[request.machine]));
}

/// The 10 x 6 x 3/4 plaque with an ornament 3/8 in high, to be lettered 5/8 in deep under 1/16 in of
/// clear height: 1/16 + 3/8 + 5/8 = 1-1/16 in below the top plane, where the machine reaches 1 in.
fn rejected() -> Rejected {
    let clash = |rule, text: &str, amount| Clash { rule, text: text.to_owned(), amount };
    Rejected {
        construction: "bridge",
        variant: "plywood 15/32".to_owned(),
        turned: false,
        conflict: Conflict {
            clashes: vec![
                clash(Rule::FragileTop, "clear height 1/16 in over an ornament of 3/8 in", inches(0, 7, 16)),
                clash(Rule::DepthReach, "cut 5/8 in deep, reach 1 in", -inches(0, 3, 8)),
            ],
            shortfall: inches(0, 1, 16),
        },
    }
}
