//! Carriers worked by hand, and the house machine they run on. The arithmetic stands in the comments:
//! common workshop practice (no published source) and plain geometry.

use std::collections::BTreeSet;

use sledwright::design::*;
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::{Length, Measured, Ruler, Unit};
use sledwright::library::{Limits, Machine, MachineKind, MaterialKind};
use sledwright::request::*;
use sledwright::trace::Trace;

pub const ZERO: Length = Length::ZERO;
pub const STEP: Length = Length::inches(1, 32);
pub const DEPTH_STEP: Length = Length::inches(1, 64);

/// `whole n/d` inches.
pub fn at(whole: i64, n: i64, d: i64) -> Length {
    Length::INCH * whole + Length::inches(n, d)
}

/// Whole inches.
pub fn inch(whole: i64) -> Length {
    at(whole, 0, 1)
}

/// `n/64` inches.
pub fn q(n: i64) -> Length {
    Length::inches(n, 64)
}

pub fn rect(x: Length, y: Length, length: Length, width: Length) -> Rect {
    Rect::sized(x, y, length, width)
}

pub fn tape(length: Length) -> Measured {
    Measured::exact(length, STEP, Unit::Inch)
}

pub fn machine() -> Machine {
    Machine {
        id: "roller-carver-medium".into(),
        name: "house machine".into(),
        kind: MachineKind::Carver,
        length: Limits { min: inch(16), max: inch(96) },
        width: Limits { min: at(4, 1, 2), max: at(13, 1, 2) },
        thickness: Limits { min: at(0, 3, 8), max: at(3, 1, 2) },
        length_guard: at(0, 1, 8),
        width_guard: at(0, 1, 16),
        thickness_guard: at(0, 1, 16),
        cutter_to_roller: at(3, 1, 4),
        grip_wanted: at(0, 3, 4),
        grip_least: at(0, 1, 2),
        roller_radius: at(0, 1, 2),
        strip: at(1, 1, 4),
        strip_joint_tolerated: false,
        window: Limits { min: at(0, 1, 2), max: inch(13) },
        depth: inch(1),
        stick_out: at(1, 1, 4),
        holder_radius: at(0, 1, 2),
        guide_gap: q(1),
        bed_length: inch(24),
        bed_gap: at(6, 1, 2),
        unconfirmed: Vec::new(),
        source: "invented".into(),
    }
}

pub fn stock(name: &str, kind: MaterialKind, thickness: Length) -> Stock {
    Stock {
        name: name.into(),
        kind,
        thickness,
        layers: 1,
        length: None,
        width: None,
        count: None,
        calipered: true,
        density: 750.0,
        elasticity: 2800.0,
    }
}

/// A request for a blank on the house machine, carved all over its top.
pub fn request(length: Length, width: Length, thickness: Length) -> Request {
    Request {
        name: "harbour gift".into(),
        date: None,
        units: Unit::Inch,
        machine: machine(),
        sheet: SheetStyle::usual(Unit::Inch),
        shop: Shop {
            ruler: Ruler::inch(32),
            depth_ruler: Ruler::inch(64),
            tolerance: q(1),
            kerf: at(0, 1, 8),
            clearance: q(1),
            tools: BTreeSet::from([Tool::TableSaw, Tool::MitreSaw, Tool::Planer, Tool::Router]),
            planer_shortest: inch(16),
            sander_shortest: inch(6),
            planer_thinnest: at(0, 1, 4),
            planer_widest: inch(12),
            sander_widest: inch(16),
            saw_height: inch(3),
            mitre_width: inch(6),
            mitre_height: at(3, 1, 2),
            pocket_cutter: at(0, 1, 4),
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
            length: tape(length),
            width: tape(width),
            // Calipered.
            thickness: Some(Measured::exact(thickness, Length::inches(5, 1000), Unit::Inch)),
            count: 1,
            name: String::new(),
            others: Vec::new(),
            wood: None,
            turn_free: false,
            corner_radius: ZERO,
            relief_height: ZERO,
            warp: None,
            slope: None,
            strip: None,
            angle: None,
            second_side: None,
            fragile: false,
            irreplaceable: false,
            growth_length: ZERO,
            growth_width: ZERO,
            moves: Default::default(),
        },
        carve: Carve {
            length,
            width,
            margin_lead: ZERO,
            margin_trail: ZERO,
            margin_fence: ZERO,
            margin_far: ZERO,
            stated: false,
            depth: at(0, 1, 4),
            through: Through::No,
            penetration: STEP,
            cutter: at(0, 1, 4),
            flute: None,
            overrun: at(0, 1, 16),
            finest: None,
        },
        hold: None,
        hold_thickness: None,
        screws: sledwright::request::ScrewChoice::default(),
        stands: None,
        stock: vec![
            stock("MDF 1", MaterialKind::Mdf, inch(1)),
            stock("plywood 15/32", MaterialKind::Plywood, at(0, 15, 32)),
        ],
        board: stock("softwood board", MaterialKind::Softwood, at(1, 1, 2)),
        construction: None,
        objective: sledwright::request::Objective::default(),
        assumptions: Vec::new(),
        cautions: Vec::new(),
    }
}

pub fn part(
    id: &str,
    role: Role,
    material: &str,
    density: f64,
    size: Extent,
    grain: Grain,
    places: Vec<Place>,
) -> Part {
    Part {
        id: id.into(),
        name: id.into(),
        role,
        material: material.into(),
        size,
        grain,
        density,
        layers: 1,
        places,
        remark: None,
    }
}

pub fn extent(length: Length, width: Length, thickness: Length) -> Extent {
    Extent { length, width, thickness }
}

pub fn place(outline: Rect, z0: Length, z1: Length, voids: Vec<Void>) -> Place {
    Place { outline: Outline::Rect(outline), z0, z1, voids }
}

pub fn parent(id: &str, size: Extent, yields: &[(&str, usize)]) -> Parent {
    let yields = yields.iter().map(|&(id, count)| (id.to_owned(), count)).collect();
    Parent { id: id.into(), material: String::new(), size, count: 1, yields }
}

pub fn step(operation: Operation, piece: &str, before: Extent, setting: Length, times: usize, held: Length) -> SawStep {
    SawStep {
        operation,
        tool: match operation {
            Operation::Crosscut | Operation::TrimCrosscut if before.width > at(6, 0, 1) => "table saw with sled",
            Operation::Crosscut | Operation::TrimCrosscut => "mitre saw",
            Operation::Plane => "planer",
            _ => "table saw",
        },
        piece: piece.into(),
        before,
        setting,
        makes: String::new(),
        times,
        held,
        careful: false,
        note: String::new(),
    }
}

/// A design without parts: everything else is set by the fixtures.
pub fn bare(request: &Request, construction: &'static str, blank: Rect, z0: Length) -> Design {
    let thickness = request.blank.thickness.as_ref().map_or(inch(1), |t| t.nominal);
    Design {
        construction,
        title: String::new(),
        variant: String::new(),
        turned: false,
        turn: 0.0,
        carrier: extent(blank.length(), blank.width(), thickness),
        blank: PlacedBlank {
            outline: Outline::Rect(blank),
            z0,
            z1: z0 + thickness,
            highest: z0 + thickness + request.blank.relief_height,
            thickness_known: true,
            underside: None,
        },
        pockets: Vec::new(),
        contacts: Vec::new(),
        parts: Vec::new(),
        gang: None,
        joints: Vec::new(),
        keep_out: None,
        swept: blank.grown(at(0, 3, 16)),
        carve: blank,
        depth_below_top: request.carve.depth,
        hold: Hold::Snug,
        adhesive: ZERO,
        screws: None,
        bond_area_mm2: 0.0,
        bridge: false,
        clip_corner: false,
        pocket_cutter: None,
        cut_list: CutList::default(),
        steps: Vec::new(),
        waived: Vec::new(),
        trace: Trace::default(),
        checks: Vec::new(),
        assumptions: Vec::new(),
        warnings: Vec::new(),
        mass_kg: 0.0,
        uses_only_stock_on_hand: false,
    }
}

/// Sizes of a blind pocket in one board.
#[derive(Clone)]
pub struct Blind {
    pub ends: (Length, Length),
    pub sides: (Length, Length),
    pub pocket: (Length, Length),
    pub depth: Length,
    pub board: Length,
    pub relief: Length,
    pub push_out: bool,
    pub mass: f64,
}

/// Short plaque 9 x 6 x 3/4 read off a tape, edge-held, not cut through.
/// Pocket: 9 + 1/32 (reading) + 2 x 1/64 (clearance) = 9-1/16; 6-1/16 across.
/// Ends 3-1/4 + 3/4 = 4, rails 3/4: carrier 4 + 9-1/16 + 4 = 17-1/16 by 3/4 + 6-1/16 + 3/4 = 7-9/16.
/// Depth 3/4, floor 1/4: board 1. Mass: 17.0625 x 7.5625 x 1 - 9.0625 x 6.0625 x 0.75 - 0.196 =
/// 87.633 cu in of 750 kg/m3 = 1.0770 kg; blank 40.5 cu in of 700 = 0.4646; together 1.542 kg.
pub fn plaque() -> (Request, Blind) {
    let sizes = Blind {
        ends: (inch(4), inch(4)),
        sides: (at(0, 3, 4), at(0, 3, 4)),
        pocket: (at(9, 1, 16), at(6, 1, 16)),
        depth: at(0, 3, 4),
        board: inch(1),
        relief: at(0, 1, 4),
        push_out: true,
        mass: 1.542,
    };
    (request(inch(9), inch(6), at(0, 3, 4)), sizes)
}

pub fn blind(request: &Request, sizes: &Blind) -> Design {
    let (length, width) = (request.blank.length.nominal, request.blank.width.nominal);
    let (x, y) = (sizes.ends.0, sizes.sides.0);
    let (carrier_l, carrier_w) = (x + sizes.pocket.0 + sizes.ends.1, y + sizes.pocket.1 + sizes.sides.1);
    let floor = sizes.board - sizes.depth;
    let room = rect(x, y, sizes.pocket.0, sizes.pocket.1);
    let mut voids = vec![Void { outline: Outline::Rect(room), z0: floor, z1: sizes.board, kind: VoidKind::Pocket }];
    // Run in diagonally with the 1/4 in cutter: r 3.175 mm, centre 0.7071 r = 2.245 mm from both walls,
    // so that the round just takes the corner.
    let inset = Length::micrometres(2245);
    for (corner, right, up) in
        room.corners().into_iter().zip([(1, 1), (-1, 1), (-1, -1), (1, -1)]).map(|(corner, (x, y))| (corner, x, y))
    {
        let centre = Point::new(corner.x + inset * right, corner.y + inset * up);
        let outline = Outline::Disc { centre, diameter: sizes.relief };
        voids.push(Void { outline, z0: floor, z1: sizes.board, kind: VoidKind::Relief });
    }
    if sizes.push_out {
        let outline = Outline::Disc { centre: room.centre(), diameter: inch(1) };
        voids.push(Void { outline, z0: ZERO, z1: floor, kind: VoidKind::PushOut });
    }
    let mut design = bare(request, "blind-pocket", rect(x, y, length, width), floor);
    design.carrier = extent(carrier_l, carrier_w, sizes.board);
    design.pockets = vec![Pocket {
        outline: Outline::Rect(room),
        z0: floor,
        z1: sizes.board,
        kind: PocketKind::Blind,
        relief: Some(Relief { diameter: sizes.relief, bite: Length::micrometres(930), bored: false }),
    }];
    design.pocket_cutter = Some(request.shop.pocket_cutter);
    let size = extent(carrier_l, carrier_w, sizes.board);
    let board = place(rect(ZERO, ZERO, carrier_l, carrier_w), ZERO, sizes.board, voids);
    design.parts = vec![part("A", Role::Board, "MDF 1", 750.0, size, Grain::None, vec![board])];
    design.depth_below_top = sizes.board - (design.blank.highest - request.carve.depth);
    design.keep_out = Some(KeepOut {
        area: design.swept.grown(at(0, 1, 4)),
        above: sizes.board - design.depth_below_top - at(0, 1, 8),
    });
    let rough = extent(carrier_l + inch(1), carrier_w + inch(1), sizes.board);
    design.cut_list = CutList {
        parents: vec![parent("P1", rough, &[("A", 1)])],
        steps: vec![
            step(Operation::Rip, "P1", rough, carrier_w, 1, rough.length),
            step(Operation::Crosscut, "P1", rough, carrier_l, 1, carrier_l),
            step(Operation::Pocket, "A", size, sizes.depth, 1, carrier_l),
        ],
    };
    design.mass_kg = sizes.mass;
    design
}

/// Sizes of a blank on a base between rails and ends.
#[derive(Clone)]
pub struct Rails {
    pub pocket: (Length, Length),
    pub rail: Length,
    pub height: Length,
    pub end_height: Length,
    pub bridge: bool,
    pub mass: f64,
}

/// 10-1/2 x 5-1/4 x 7/8, cut free all round with a 1/8 in cutter, so taped (1/64).
/// Pocket 10-9/16 x 5-5/16; ends 4, rails 3/4: carrier 18-9/16 x 6-13/16. Rails 7/8 + 1/64 = 57/64
/// on a 15/32 base: thickness 1-23/64. Deepest cut 57/64 + 1/32 = 59/64 below the top. Mass:
/// base 18.5625 x 6.8125 x 0.46875 = 59.277 cu in of 680 kg/m3 = 0.6605; rails and ends
/// 24.799 + 37.852 = 62.651 cu in of 450 = 0.4620; blank 48.234 cu in of 700 = 0.5533; 1.676 kg.
pub fn cut_free() -> (Request, Rails) {
    let mut request = request(at(10, 1, 2), at(5, 1, 4), at(0, 7, 8));
    request.carve.cutter = at(0, 1, 8);
    request.carve.through = Through::AllRound;
    let sizes = Rails {
        pocket: (at(10, 9, 16), at(5, 5, 16)),
        rail: at(0, 3, 4),
        height: q(57),
        end_height: q(57),
        bridge: false,
        mass: 1.676,
    };
    (request, sizes)
}

pub fn rails(request: &Request, sizes: &Rails) -> Design {
    let (length, width) = (request.blank.length.nominal, request.blank.width.nominal);
    let (base, end, adhesive) = (at(0, 15, 32), inch(4), q(1));
    let (room_l, room_w) = sizes.pocket;
    let (carrier_l, carrier_w) = (room_l + end * 2, room_w + sizes.rail * 2);
    let top = base + sizes.height;
    let mut design = bare(request, "rails-on-base", rect(end, sizes.rail, length, width), base + adhesive);
    let past = match request.carve.through {
        Through::AllRound => request.carve.cutter + request.carve.overrun,
        _ => request.carve.cutter.half() + request.carve.overrun,
    };
    design.swept = design.carve.grown(past);
    design.carrier = extent(carrier_l, carrier_w, top);
    design.hold = Hold::Tape;
    design.adhesive = adhesive;
    design.bridge = sizes.bridge;
    design.bond_area_mm2 = length.to_mm() * width.to_mm();
    let room = Outline::Rect(rect(end, sizes.rail, room_l, room_w));
    design.pockets = vec![Pocket { outline: room, z0: base, z1: top, kind: PocketKind::OnBase, relief: None }];
    let on_base = |outline: Rect, height: Length| place(outline, base, base + height, Vec::new());
    let whole = place(rect(ZERO, ZERO, carrier_l, carrier_w), ZERO, base, Vec::new());
    let rail_places = vec![
        on_base(rect(ZERO, ZERO, carrier_l, sizes.rail), sizes.height),
        on_base(rect(ZERO, carrier_w - sizes.rail, carrier_l, sizes.rail), sizes.height),
    ];
    let end_places = vec![
        on_base(rect(ZERO, sizes.rail, end, room_w), sizes.end_height),
        on_base(rect(carrier_l - end, sizes.rail, end, room_w), sizes.end_height),
    ];
    let rail_size = extent(carrier_l, sizes.rail, sizes.height);
    let end_size = extent(end, room_w, sizes.end_height);
    let base_size = extent(carrier_l, carrier_w, base);
    design.parts = vec![
        part("A", Role::Base, "plywood 15/32", 680.0, base_size, Grain::None, vec![whole]),
        part("B", Role::FenceRail, "softwood board", 450.0, rail_size, Grain::AlongFeed, rail_places),
        part("C", Role::LeadEnd, "softwood board", 450.0, end_size, Grain::AlongFeed, end_places),
    ];
    let tip = if request.carve.through == Through::No {
        design.blank.highest - request.carve.depth
    } else {
        base - request.carve.penetration
    };
    design.depth_below_top = top - tip;
    design.keep_out = Some(KeepOut { area: design.swept.grown(at(0, 1, 4)), above: (tip - at(0, 1, 8)).max(ZERO) });
    // Two strips side by side for the rails; ends 2 x 4 + 2 x 1/8 + 6 = 14-1/4.
    let rail_parent = extent(carrier_l, sizes.rail * 2 + at(0, 1, 8), inch(1));
    let end_parent = extent(at(14, 1, 4), room_w, inch(1));
    design.cut_list = CutList {
        parents: vec![
            parent("P1", base_size, &[("A", 1)]),
            parent("P2", rail_parent, &[("B", 2)]),
            parent("P3", end_parent, &[("C", 2)]),
        ],
        steps: vec![
            step(Operation::Plane, "P2", rail_parent, sizes.height, 1, carrier_l),
            step(Operation::Rip, "P2", rail_parent, sizes.rail, 2, carrier_l),
            // 14-1/4 - 2 x 4-1/8 = 6 left under the hands.
            step(Operation::Crosscut, "P3", end_parent, end, 2, inch(6)),
            step(Operation::TrimRip, "carrier", design.carrier, carrier_w, 1, carrier_l),
        ],
    };
    design.mass_kg = sizes.mass;
    design
}

/// 12 x 10 x 3/4 glued between ends with a rail along the fence: 12 + 2 x 4 = 20 long,
/// 10 + 1-1/4 = 11-1/4 wide, 3/4 thick. Mass: ends and rail 2 x 30 + 18.75 = 78.75 cu in of 450
/// = 0.5807 kg; blank 90 cu in of 700 = 1.0324; 1.613 kg.
pub fn extensions(request: &Request, rail: Length) -> Design {
    let (t, end) = (at(0, 3, 4), inch(4));
    let (length, width) = (request.blank.length.nominal, request.blank.width.nominal);
    let mut design = bare(request, "end-extensions", rect(end, rail, length, width), ZERO);
    let (carrier_l, carrier_w) = (length + end * 2, width + rail);
    design.carrier = extent(carrier_l, carrier_w, t);
    let ends = vec![
        place(rect(ZERO, rail, end, width), ZERO, t, Vec::new()),
        place(rect(end + length, rail, end, width), ZERO, t, Vec::new()),
    ];
    let size = extent(end, width, t);
    design.parts = vec![part("A", Role::LeadEnd, "softwood board", 450.0, size, Grain::AlongFeed, ends)];
    // 2 x 4 + 2 x 1/8 + 6 = 14-1/4.
    let ends_parent = extent(at(14, 1, 4), width, t);
    design.cut_list.parents = vec![parent("P1", ends_parent, &[("A", 2)])];
    design.cut_list.steps = vec![step(Operation::Crosscut, "P1", ends_parent, end, 2, inch(6))];
    if rail > ZERO {
        let size = extent(carrier_l, rail, t);
        let fence = vec![place(rect(ZERO, ZERO, carrier_l, rail), ZERO, t, Vec::new())];
        design.parts.push(part("B", Role::FenceRail, "softwood board", 450.0, size, Grain::AlongFeed, fence));
        design.cut_list.parents.push(parent("P2", size, &[("B", 1)]));
    }
    design.cut_list.steps.push(step(Operation::TrimRip, "carrier", design.carrier, carrier_w, 1, carrier_l));
    let butt = |x: Length| Joint {
        between: ("A".into(), "blank".into()),
        contact: Rect::new(x, rail, x, rail + width),
        z0: ZERO,
        z1: t,
        kind: JointKind::GluedButt,
    };
    design.joints = vec![butt(end), butt(end + length)];
    let side = Joint {
        between: ("B".into(), "blank".into()),
        contact: Rect::new(end, rail, end + length, rail),
        z0: ZERO,
        z1: t,
        kind: JointKind::GlueSpots,
    };
    design.joints.push(side);
    design.keep_out = Some(KeepOut { area: design.swept.grown(at(0, 1, 4)), above: at(0, 3, 8) });
    design.clip_corner = true;
    design.mass_kg = if rail > ZERO { 1.613 } else { 1.475 };
    design
}

/// 18 long, 6 at the lead end to 4-1/2, x 3/4, fence edge straight, glued, no base: slope 1 in 12.
/// Widest over the carrier 6 + 4/12 = 6.3333; width 1-1/4 + 6.3333 + 1-1/4 = 8.8333, up to 8-27/32.
/// Length 26. Far rail 8.84375 - 1.25 - 6.33333 = 1.2604 at the lead end, 8.84375 - 1.25 - 4.16667 =
/// 3.4271 at the trail end. Mass: 26 x 8.84375 x 0.75 less the blank's 18 x 5.25 x 0.75 = 70.875
/// leaves 101.578 cu in of 450 = 0.7491 kg; blank 0.8130; 1.562 kg.
pub fn taper() -> (Request, Design) {
    let t = at(0, 3, 4);
    let mut request = request(inch(18), inch(6), t);
    request.blank.shape = Shape::Taper { narrow: tape(at(4, 1, 2)), wide_leads: true };
    let (x, y, width) = (inch(4), at(1, 1, 4), at(8, 27, 32));
    let mut design = bare(&request, "taper-in-plan", rect(x, y, inch(18), inch(6)), ZERO);
    let point = Point::new;
    // Heights of the slanted edge: 1-1/4 + 6-1/3, + 6, + 4-1/2, + 4-1/6.
    let edge = [Length::inches(91, 12), at(7, 1, 4), at(5, 3, 4), Length::inches(65, 12)];
    design.blank.outline =
        Outline::Polygon(vec![point(x, y), point(inch(22), y), point(inch(22), edge[2]), point(x, edge[1])]);
    design.carrier = extent(inch(26), width, t);
    let piece = |points: Vec<Point>| Place { outline: Outline::Polygon(points), z0: ZERO, z1: t, voids: Vec::new() };
    let fence = place(rect(ZERO, ZERO, inch(26), y), ZERO, t, Vec::new());
    let far = piece(vec![point(ZERO, edge[0]), point(inch(26), edge[3]), point(inch(26), width), point(ZERO, width)]);
    let lead = piece(vec![point(ZERO, y), point(x, y), point(x, edge[1]), point(ZERO, edge[0])]);
    let trail = piece(vec![point(inch(22), y), point(inch(26), y), point(inch(26), edge[3]), point(inch(22), edge[2])]);
    let board =
        |id: &str, role, size, place| part(id, role, "softwood board", 450.0, size, Grain::AlongFeed, vec![place]);
    let sizes = [
        extent(inch(26), y, t),
        extent(inch(26), at(3, 7, 16), t),
        extent(inch(4), at(6, 3, 8), t),
        extent(inch(4), at(4, 1, 2), t),
    ];
    design.parts = vec![
        board("A", Role::FenceRail, sizes[0], fence),
        board("B", Role::FarRail, sizes[1], far),
        board("C", Role::LeadEnd, sizes[2], lead),
        board("D", Role::TrailEnd, sizes[3], trail),
    ];
    design.cut_list = CutList {
        parents: vec![
            parent("P1", sizes[0], &[("A", 1)]),
            parent("P2", sizes[1], &[("B", 1)]),
            // 4 + 1/8 + 4 + 1/8 + 6 = 14-1/4.
            parent("P3", extent(at(14, 1, 4), at(6, 3, 8), t), &[("C", 1), ("D", 1)]),
        ],
        steps: vec![step(Operation::TrimRip, "carrier", design.carrier, width, 1, inch(26))],
    };
    let spots = |contact: Rect| Joint {
        between: ("A".into(), "blank".into()),
        contact,
        z0: ZERO,
        z1: t,
        kind: JointKind::GlueSpots,
    };
    design.joints = vec![
        spots(Rect::new(x, y, inch(22), y)),
        spots(Rect::new(x, y, x, edge[1])),
        spots(Rect::new(inch(22), y, inch(22), edge[2])),
    ];
    design.keep_out = Some(KeepOut { area: design.swept.grown(at(0, 1, 4)), above: at(0, 3, 8) });
    design.clip_corner = true;
    design.mass_kg = 1.562;
    (request, design)
}

/// 20 x 6 x 1/8 sheet taped to a 3/4 board of its own size; 7/8 thick, no walls. Mass: 90 cu in of
/// 450 = 0.6637 kg, 15 cu in of 700 = 0.1721; 0.836 kg. Margins of 5 in carry the rollers.
pub fn riser() -> (Request, Design) {
    let mut request = request(inch(20), inch(6), at(0, 1, 8));
    centred(&mut request);
    request.carve.depth = at(0, 1, 16);
    let (board, film) = (at(0, 3, 4), Length::micrometres(127));
    let mut design = bare(&request, "riser", rect(ZERO, ZERO, inch(20), inch(6)), board + film);
    placed_centred(&mut design);
    design.carrier = extent(inch(20), inch(6), board + film + at(0, 1, 8));
    let size = extent(inch(20), inch(6), board);
    let riser = vec![place(rect(ZERO, ZERO, inch(20), inch(6)), ZERO, board, Vec::new())];
    design.parts = vec![part("A", Role::Board, "softwood board", 450.0, size, Grain::AlongFeed, riser)];
    design.cut_list.parents = vec![parent("P1", size, &[("A", 1)])];
    design.hold = Hold::Film;
    design.adhesive = film;
    // 120 sq in x 645.16.
    design.bond_area_mm2 = 77_419.2;
    design.keep_out = Some(KeepOut { area: design.swept.grown(at(0, 1, 4)), above: at(0, 5, 8) });
    design.mass_kg = 0.836;
    (request, design)
}

/// 20 x 3 x 3/4 between rails of 1-1/4, glued: 20 x 5-1/2 x 3/4; carve area 10 x 1 in the middle, so
/// 5 in of margin at the ends and 1 at the sides. Mass: rails 37.5 cu in of 450 = 0.2765 kg; blank 45
/// of 700 = 0.5162; 0.793 kg.
pub fn side_rails() -> (Request, Design) {
    let (t, rail) = (at(0, 3, 4), at(1, 1, 4));
    let mut request = request(inch(20), inch(3), t);
    centred(&mut request);
    request.carve.width = inch(1);
    let mut design = bare(&request, "side-rails", rect(ZERO, rail, inch(20), inch(3)), ZERO);
    design.carve = rect(inch(5), at(2, 1, 4), inch(10), inch(1));
    design.swept = design.carve.grown(at(0, 3, 16));
    design.carrier = extent(inch(20), at(5, 1, 2), t);
    let places = [ZERO, at(4, 1, 4)].map(|y| place(rect(ZERO, y, inch(20), rail), ZERO, t, Vec::new()));
    let size = extent(inch(20), rail, t);
    let rails = part("A", Role::FenceRail, "softwood board", 450.0, size, Grain::AlongFeed, places.to_vec());
    design.parts = vec![rails];
    // Two rails side by side: 2 x 1-1/4 + 1/8.
    design.cut_list.parents = vec![parent("P1", extent(inch(20), at(2, 5, 8), t), &[("A", 2)])];
    design.cut_list.steps =
        vec![step(Operation::TrimRip, "carrier", design.carrier, design.carrier.width, 1, inch(20))];
    let spots = |y: Length| Joint {
        between: ("A".into(), "blank".into()),
        contact: Rect::new(ZERO, y, inch(20), y),
        z0: ZERO,
        z1: t,
        kind: JointKind::GlueSpots,
    };
    design.joints = vec![spots(rail), spots(at(4, 1, 4))];
    design.keep_out = Some(KeepOut { area: design.swept.grown(at(0, 1, 4)), above: at(0, 3, 8) });
    design.mass_kg = 0.793;
    (request, design)
}

/// States a carve area of 10 x 4 in the middle of a 20 x 6 blank.
pub fn centred(request: &mut Request) {
    request.carve.stated = true;
    (request.carve.length, request.carve.width) = (inch(10), inch(4));
    (request.carve.margin_lead, request.carve.margin_trail) = (inch(5), inch(5));
    (request.carve.margin_fence, request.carve.margin_far) = (inch(1), inch(1));
}

pub fn placed_centred(design: &mut Design) {
    design.carve = rect(inch(5), inch(1), inch(10), inch(4));
    design.swept = design.carve.grown(at(0, 3, 16));
}

/// 20 x 6 x 3/4 with the carve area 10 x 4 in its middle needs no carrier: margins 5, less cutter
/// radius and overrun 3/16, leave 4-13/16 >= 4; 20 >= 16-1/8; 6 >= 4-9/16. Blank 90 cu in: 1.032 kg.
pub fn none_needed() -> (Request, Design) {
    let mut request = request(inch(20), inch(6), at(0, 3, 4));
    centred(&mut request);
    let mut design = bare(&request, "none", rect(ZERO, ZERO, inch(20), inch(6)), ZERO);
    placed_centred(&mut design);
    design.mass_kg = 1.032;
    (request, design)
}

/// Gilded 10 x 6 x 3/4 plaque, ornament 3/8 above the border, letter 1/8 deep, 1/16 clear, tape 1/64.
/// Rails 3/4 + 1/64 + 3/8 + 1/16 = 1-13/64 on 15/32; rails 1-1/4: 18-1/16 x 8-9/16 x 1-43/64.
/// Mass: base 18.0625 x 8.5625 x 0.46875 = 72.497 cu in of 680 = 0.8079; rails 2 x 18.0625 x 1.25 x
/// 1.203125 = 54.329, ends 2 x 4 x 6.0625 x 1.203125 = 58.352, 112.681 of 450 = 0.8309; blank 45 of
/// 700 = 0.5162; 2.155 kg.
pub fn gilded(clear: Length, rail: Length) -> (Request, Design) {
    let mut request = request(inch(10), inch(6), at(0, 3, 4));
    request.blank.fragile = true;
    request.blank.relief_height = at(0, 3, 8);
    request.carve.depth = at(0, 1, 2);
    let height = at(0, 3, 4) + q(1) + at(0, 3, 8) + clear;
    let sizes =
        Rails { pocket: (at(10, 1, 16), at(6, 1, 16)), rail, height, end_height: height, bridge: true, mass: 2.155 };
    let design = rails(&request, &sizes);
    (request, design)
}
