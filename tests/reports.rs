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
    Assumption, Blank, Carve, Estimates, Hold, Request, Shape, SheetStyle, Shop, Stock, Through, Tool,
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
        bed_gap: inches(6, 1, 2),
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
        sheet: SheetStyle::usual(Unit::Inch),
        shop: Shop {
            ruler: Ruler::inch(32),
            depth_ruler: Ruler::inch(64),
            tolerance: inches(0, 1, 64),
            kerf: inches(0, 1, 8),
            clearance: inches(0, 1, 64),
            tools: [Tool::TableSaw, Tool::Router].into(),
            planer_shortest: inches(16, 0, 1),
            sander_shortest: inches(6, 0, 1),
            planer_thinnest: inches(0, 1, 4),
            planer_widest: inches(12, 0, 1),
            sander_widest: inches(16, 0, 1),
            saw_height: inches(3, 0, 1),
            mitre_width: inches(6, 0, 1),
            mitre_height: inches(3, 1, 2),
            pocket_cutter: inches(0, 1, 4),
            estimates: Estimates {
                bond_lift_psi: 2.0,
                bond_slide_psi: 3.0,
                film_lift_psi: 3.0,
                film_slide_psi: 4.5,
                side_force_lbf: 10.0,
                lift_force_lbf: 5.0,
                guide_force_lbf: 10.0,
                one_person_kg: 13.6,
                blank_density: 720.0,
                loads: sledwright::request::Loads::default(),
            },
        },
        blank: Blank {
            shape: Shape::Rectangle,
            length: measured(inches(9, 0, 1)),
            width: measured(inches(6, 0, 1)),
            thickness: Some(measured(inches(0, 3, 4))),
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
            irreplaceable: false,
            growth_length: Length::ZERO,
            growth_width: Length::ZERO,
            moves: Default::default(),
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
            finest: None,
        },
        hold: Some(Hold::Snug),
        hold_thickness: None,
        screws: sledwright::request::ScrewChoice::default(),
        stands: None,
        stock: vec![stock("MDF 1", MaterialKind::Mdf, Length::INCH)],
        board: stock("pine board", MaterialKind::Softwood, inches(1, 3, 4)),
        construction: None,
        objective: sledwright::request::Objective::default(),
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
        turn: 0.0,
        carrier,
        blank: PlacedBlank {
            outline: Outline::Rect(blank),
            z0: floor,
            z1: top,
            highest: top,
            thickness_known: true,
            underside: None,
        },
        contacts: Vec::new(),
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
        gang: None,
        joints: Vec::new(),
        keep_out: Some(KeepOut { area: blank.grown(inches(0, 7, 16)), above: inches(0, 5, 8) }),
        swept: blank.grown(inches(0, 3, 16)),
        carve: blank,
        depth_below_top: inches(0, 1, 4),
        hold: Hold::Snug,
        adhesive: zero,
        screws: None,
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
        steps: vec![BuildStep { text: "Sink the pocket.".to_owned(), caution: None, adds: Vec::new() }],
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
fn summary_says_what_to_build_and_where_the_blank_lies() {
    assert_eq!(
        text::summary(&request(), &plaque()),
        "\
Gull plaque: Blind pocket in one board (MDF 1).

  state          READY TO BUILD
  carrier        17-1/16 x 7-9/16 x 1 in (433.4 x 192.1 x 25.4 mm)
  blank at       4 in from the lead end, 3/4 in from the fence edge
  centre         -1/32 in along, -1/32 in across from the carrier's centre (plus: to trail, to far)
  deepest cut    1/4 in below the top plane (the machine reaches 1 in)
  hold           snug: card shims at the trail and far sides; the blank must not slide when pushed
                 by hand
  length set by  grip-wanted: a little more than the least grip forgives a slipping roller

Warnings
  1.  Caliper the stock.
"
    );
}

#[test]
fn an_unmeasured_thickness_gets_no_depth_anywhere() {
    let (request, mut design) = (request(), plaque());
    design.blank.thickness_known = false;
    let summary = text::summary(&request, &design);
    assert!(summary.contains("  carrier        17-1/16 x 7-9/16 in, thickness not known\n"), "{summary}");
    assert!(summary.contains("DO NOT SET DEPTH YET") && !summary.contains("below the top plane"), "{summary}");
    let json = parsed(&request, &design);
    for depth in
        [&json["depth_below_top"], &json["pockets"][0]["depth"], &json["pockets"][0]["z"], &json["blank"]["top"]]
    {
        assert!(depth.is_null(), "{json:#}");
    }
    assert_eq!(json["pockets"][0]["length"]["text"], "9-1/16 in");
    assert!(json["carrier"]["thickness"].is_null() && json["parts"][0]["thickness"].is_null());
    let files = files::render(&Source::new(&request, &design), &["csv".to_owned()]).expect("rendered");
    assert_eq!(files.iter().map(|file| file.name.as_str()).collect::<Vec<_>>(), ["design.json"]);
}

#[test]
fn figures_nobody_has_measured_are_named_worst_first() {
    let (mut request, design) = (request(), plaque());
    request.machine.unconfirmed =
        ["width-min", "bed-length", "length-min", "depth", "strip", "cutter-to-roller"].map(str::to_owned).to_vec();
    let summary = text::summary(&request, &design);
    assert!(
        summary.contains(
            "MACHINE FIGURES NOT CONFIRMED: cutter-to-roller, strip, depth, width-min, bed-length and 1 more.\n"
        ),
        "{summary}"
    );
}

#[test]
fn at_most_five_warnings_are_printed() {
    let (request, mut design) = (request(), plaque());
    design.warnings = (1..=7).map(|n| format!("warning number {n}")).collect();
    let summary = text::summary(&request, &design);
    assert!(summary.contains("  5.  warning number 5\n      and 2 more in design.json\n"), "{summary}");
    assert!(!summary.contains("number 6"), "{summary}");
    assert_eq!(parsed(&request, &design)["warnings"].as_array().map(Vec::len), Some(7));
}

#[test]
fn check_names_the_limits_and_by_how_much() {
    // 3-1/4 from cutter to roller and 1/2 of grip leave nothing in a blank carved to its end; with the
    // cutter's radius 1/8 and its overrun 1/16 it takes 3-15/16 of uncut wood.
    let clash = Clash {
        rule: Rule::LeadEndAllowance,
        text: "cutter to roller 3-1/4 + least grip 1/2 = 3-3/4 in".to_owned(),
        amount: inches(3, 3, 4),
    };
    let bare = Rejected {
        construction: "none",
        variant: "length".to_owned(),
        turned: false,
        conflict: Conflict { clashes: vec![clash], shortfall: inches(3, 3, 4) },
    };
    let outcome = Outcome { designs: vec![plaque()], rejected: vec![bare] };
    assert_eq!(
        text::check(&request(), &outcome),
        "\
A carrier is needed: the blank on its own breaks these limits of the machine.

The blank as it is: length, misses by 3-3/4 in
 rule                 demands
-------------------------------------------------------------------------
 lead-end-allowance   cutter to roller 3-1/4 + least grip 1/2 = 3-3/4 in

This assumes the whole face is carved, from edge to edge: no carve area is given. With 3-15/16 in of
uncut wood at each end no carrier would be needed (at the ends: cutter to roller 3-1/4 in + least
grip 1/2 in + cutter radius 1/8 in + overrun 1/16 in). Without a carrier nothing can be carved: the
machine does not take the bare blank, or its rollers leave no room between them.

One that fits: blind pocket in one board, 17-1/16 x 7-9/16 x 1 in.
"
    );
}

#[test]
fn options_rank_what_fits_and_explain_what_does_not() {
    let outcome = Outcome { designs: vec![plaque()], rejected: vec![rejected()] };
    assert_eq!(
        text::options(&request(), &outcome, &[]),
        "\
Gull plaque: Blind pocket in one board (MDF 1).

Can be built, best first
     construction   variant   overall                   why it stands here
---------------------------------------------------------------------------
 1   blind-pocket   MDF 1     17-1/16 x 7-9/16 x 1 in   best

Cannot be built
 construction   variant         why not
----------------------------------------------------------------------------------------------------
 bridge         plywood 15/32   fragile-top: clear height 1/16 in over an ornament of 3/8 in;
                                against depth-reach: cut 5/8 in deep, reach 1 in, misses by 1/16 in
"
    );
    let broken = plaque().checks;
    assert!(text::options(&request(), &outcome, &[broken]).contains("DO NOT BUILD"));
}

#[test]
fn a_refusal_gives_numbers_and_a_cure() {
    // The ornament leaves 1 - 1/16 - 3/8 = 9/16 in to cut.
    let cures = [Cure {
        rule: Rule::DepthReach,
        key: "carve.depth".to_owned(),
        value: Some(inches(0, 9, 16)),
        text: "cut at most 9/16 in deep".to_owned(),
    }];
    let outcome = Outcome { designs: Vec::new(), rejected: vec![rejected()] };
    assert_eq!(
        text::refusal(&request(), &outcome, &cures),
        "\
Gull plaque: nothing fits. No carrier can be built for this job as it stands.

Nearest: bridge (plywood 15/32), misses by 1/16 in. These cannot all hold:
 rule          demands
---------------------------------------------------------------
 fragile-top   clear height 1/16 in over an ornament of 3/8 in
 depth-reach   cut 5/8 in deep, reach 1 in

Any one of these changes cures it
 job key       change                     lifts
------------------------------------------------------
 carve.depth   cut at most 9/16 in deep   depth-reach

Everything that was tried
 construction   variant         why not
----------------------------------------------------------------------------------------------------
 bridge         plywood 15/32   fragile-top: clear height 1/16 in over an ornament of 3/8 in;
                                against depth-reach: cut 5/8 in deep, reach 1 in, misses by 1/16 in
"
    );
    assert!(text::refusal(&request(), &outcome, &[]).contains("No single change to the job cures it.\n"));
}

#[test]
fn a_dimension_is_explained_by_its_sum_its_rule_and_the_next_one() {
    let design = plaque();
    assert_eq!(
        text::dimension(&request(), &design.trace.reasons[0]),
        "\
carrier.length = 17-1/16 in
  4 in       lead end allowance (grip-wanted)
  9-1/16 in  pocket length (fit)
  4 in       trail end allowance (grip-wanted)
  decided by  grip-wanted: each end allowance + credited margin >= cutter-to-roller distance +
              wanted grip
  because     a little more than the least grip forgives a slipping roller
  source      common practice, no source
  next        length-min alone would give 16-1/8 in: 16 + 1/8 guard
"
    );
}

#[test]
fn an_end_set_by_its_wall_is_said_to_be() {
    let reason = |rule| Reason {
        dimension: "lead-end".to_owned(),
        value: inches(0, 3, 4),
        terms: vec![term("least rail", inches(0, 3, 4), Some(rule))],
        decided_by: Some(rule),
        runner_up: None,
    };
    let said = "the uncut margin of the blank already gives the rollers their grip: the wall alone decides";
    let explained = |rule| {
        let text = text::dimension(&request(), &reason(rule));
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(explained(Rule::RailWidth).contains(said));
    assert!(!explained(Rule::GripWanted).contains(said));
}

#[test]
fn a_rule_is_explained_with_its_numbers_here() {
    // 17-1/16 - 16-1/8 = 15/16.
    let explained = text::rule(&request(), &plaque(), Rule::LengthMin);
    assert!(
        explained.ends_with(
            "\
In this design
 looked at        required             found        to spare
---------------------------------------------------------------------
 carrier length   at least 16-1/8 in   17-1/16 in   15/16 in   holds
It came next for: carrier.length (it alone would give 16-1/8 in: 16 + 1/8 guard).
"
        ),
        "{explained}"
    );
    let explained = text::rule(&request(), &plaque(), Rule::Mass);
    assert!(explained.ends_with("No check of this design rests on it.\n"), "{explained}");
}

#[test]
fn the_cut_list_is_one_row_for_a_part_and_runs_no_formula() {
    // 17-1/16 in = 433.3875 mm, 7-9/16 in = 192.0875 mm: halves of a thousandth go away from zero.
    let table = csv::render(&request(), &plaque()).expect("rendered");
    assert_eq!(
        String::from_utf8(table).expect("UTF-8"),
        "piece,name,count,length,width,thickness,length_mm,width_mm,thickness_mm,material,grain,from,remark\r\n\
         A,board,1,17-1/16 in,7-9/16 in,1 in,433.388,192.088,25.400,'=MDF 1,none,P1,\"trim last, off the far edge\"\r\n"
    );
}

fn parsed(request: &Request, design: &Design) -> serde_json::Value {
    serde_json::from_str(&json::render(request, design, &["design.json".to_owned()]).expect("rendered")).expect("JSON")
}

#[test]
fn the_json_holds_the_worked_numbers() {
    let json = parsed(&request(), &plaque());
    let length = |mm: f64, text: &str| serde_json::json!({"mm": mm, "text": text});
    // Millimetres worked from 25.4 mm to the inch.
    assert_eq!(json["carrier"]["length"], length(433.3875, "17-1/16 in"));
    assert_eq!(json["blank_origin"]["x"], length(101.6, "4 in"));
    assert_eq!(json["blank_origin"]["y"], length(19.05, "3/4 in"));
    assert_eq!(json["centre_offset"]["x"], length(-0.79375, "-1/32 in"));
    assert_eq!(json["pockets"][0]["depth"], length(19.05, "3/4 in"));
    assert_eq!(json["depth_below_top"], length(6.35, "1/4 in"));
    assert_eq!(json["checks"][0]["margin"], length(23.8125, "15/16 in"));
    assert_eq!(json["saw_plan"]["parents"][0]["yields"], serde_json::json!([{"part": "A", "count": 1}]));
    assert_eq!((&json["format"], &json["version"]), (&"sledwright-design".into(), &1.into()));
    assert_eq!(json::stamp(&json.to_string()).map(|stamp| stamp.files), Some(vec!["design.json".to_owned()]));
    assert_eq!(json::stamp("{\"format\": \"other\", \"version\": 1, \"files\": []}"), None);
}

#[test]
fn the_schema_knows_every_field_of_the_json() {
    let (schema, json) = (json::schema(), parsed(&request(), &plaque()));
    let known = schema["properties"].as_object().expect("an object");
    let sorted = |object: &serde_json::Map<String, serde_json::Value>| {
        object.keys().cloned().collect::<std::collections::BTreeSet<String>>()
    };
    assert_eq!(sorted(known), sorted(json.as_object().expect("an object")));
    for field in known.values() {
        assert!(field["description"].is_string(), "{field}");
    }
}

#[test]
fn the_set_up_card_says_when_to_stop() {
    let card = SetupCard::of(&request(), &plaque());
    // Common practice: length within 1/16, width within 1/32; guides 1/64 wider than 7-9/16.
    assert_eq!((card.length.least(), card.length.greatest()), (inches(17, 0, 1), inches(17, 1, 8)));
    assert_eq!((card.width.least(), card.width.greatest()), (inches(7, 17, 32), inches(7, 19, 32)));
    assert_eq!(card.far_guide, inches(7, 37, 64));
    assert_eq!((card.corner.x, card.corner.y), (inches(4, 0, 1), inches(0, 3, 4)));
    assert_eq!((card.centre.x, card.centre.y), (-inches(0, 1, 32), -inches(0, 1, 32)));
    assert_eq!((card.deepest, card.deepest_allowed), (Some(inches(0, 1, 4)), Length::INCH));
    assert_eq!(card.push_out, [Point::new(inches(8, 17, 32), inches(3, 25, 32))]);
    assert!(!card.stands);
}

#[test]
fn stands_are_wanted_beyond_36_in_or_24_in_of_overhang() {
    let (mut request, mut design) = (request(), plaque());
    let stands = |request: &Request, design: &Design| SetupCard::of(request, design).stands;
    design.carrier.length = inches(36, 0, 1);
    assert!(!stands(&request, &design));
    design.carrier.length = inches(36, 1, 32);
    assert!(stands(&request, &design));
    // On a bed of 10 in a board of 29 in overhangs by 29 - 5 = 24 when its end is under the cutter.
    request.machine.bed_length = inches(10, 0, 1);
    design.carrier.length = inches(29, 0, 1);
    assert!(!stands(&request, &design));
    design.carrier.length = inches(29, 1, 32);
    assert!(stands(&request, &design));
}

#[test]
fn formats_can_be_chosen_and_the_stamp_is_always_there() {
    let (request, design) = (request(), plaque());
    let source = Source::new(&request, &design);
    let names = |only: &[&str]| -> Vec<String> {
        let only: Vec<String> = only.iter().map(|id| (*id).to_owned()).collect();
        files::render(&source, &only).expect("rendered").into_iter().map(|file| file.name).collect()
    };
    assert_eq!(names(&["csv"]), ["cutlist.csv", "design.json"]);
    assert_eq!(names(&["json"]), ["design.json"]);
    assert!(names(&[]).len() >= 2);
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
