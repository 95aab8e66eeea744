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
use sledwright::length::{Length, Unit};
use sledwright::output::files::{self, Source};
use sledwright::output::{csv, json, text};
use sledwright::request::{self, Assumption, Hold, Request};
use sledwright::rules::Rule;
use sledwright::setup::SetupCard;
use sledwright::solve::{Outcome, Rejected};
use sledwright::trace::{Clash, Conflict, Cure, Reason, RunnerUp, Term, Trace};

fn inches(whole: i64, numerator: i64, denominator: i64) -> Length {
    Length::inches(whole * denominator + numerator, denominator)
}

fn request() -> Request {
    let mut request = request::from_sizes("9 x 6 x 3/4", Unit::Inch).expect("a plain size text");
    request.name = "Gull plaque".to_owned();
    request.machine.unconfirmed.clear();
    request.cautions.clear();
    request
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
        warnings: vec!["Caliper the stock.".to_owned()],
        mass_kg: 1.5,
    }
}
