//! Blanks held by straight parts and wedges: a carrier worked by hand, closures asked of motions
//! instead of pushes, one slice captured three ways, random outlines, and what is refused.

use std::path::PathBuf;

use sledwright::design::{Contact, Design, Role, Status};
use sledwright::geometry::closure::{self, form_closure};
use sledwright::geometry::path::{Mm, to_mm};
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::Length;
use sledwright::plan::{Plan, check, plan};
use sledwright::request::{self, Request, Shape};
use sledwright::rules::Rule;
use sledwright::solve::{cures, solve};
use sledwright::verify::verify;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

fn load(named: &str) -> Result<String, String> {
    let examples = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("examples");
    std::fs::read_to_string(examples.join(named)).map_err(|error| error.to_string())
}

fn read(job: &str) -> Request {
    match request::from_toml(job, "job.toml", &load) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

fn design(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { design, broken } => panic!("verify disagrees on {}: {broken:#?}", design.construction),
    }
}

fn job(blank: &str) -> Request {
    read(&format!(
        "[machine]\nuse = \"roller-carver-medium\"\n[carrier]\nconstruction = \"cleat-nest\"\n[blank]\nthickness = \"1.125\"\n{blank}\n[carve]\ndepth = \"1/4\"\n[hold]\nby = \"wedge\"\n"
    ))
}

/// A chunk with corners (0,1) (3,0) (11,0) (12,4) (8,6) (1,5), as if measured without error.
fn chunk() -> Request {
    job(
        "shape = \"outline\"\npoints = [[\"0\", \"1\"], [\"3\", \"0\"], [\"11\", \"0\"], [\"12\", \"4\"], [\"8\", \"6\"], [\"1\", \"5\"]]\noutline-error = \"0\"",
    )
}

fn part(design: &Design, role: Role) -> &sledwright::design::Part {
    design.parts.iter().find(|part| part.role == role).unwrap_or_else(|| panic!("no {role:?}"))
}

/// Whether every small motion of the plane runs into a contact: a motion is a turn w about the middle of
/// the contacts and a shift (u, v); a contact stops it where its normal meets the motion head on. This is
/// first-order form closure by its definition (Lynch and Park, Modern Robotics, 12.1.5: only the zero
/// twist is feasible), looked at in 40 000 directions.
fn every_motion_is_stopped(contacts: &[(Mm, Mm)]) -> bool {
    let count = contacts.len() as f64;
    let middle = contacts.iter().fold((0.0, 0.0), |sum, (at, _)| (sum.0 + at.0 / count, sum.1 + at.1 / count));
    let far = contacts.iter().map(|(at, _)| libm::hypot(at.0 - middle.0, at.1 - middle.1)).fold(1.0, f64::max);
    (0..40_000).all(|step| {
        // Directions spread evenly over a sphere (Fibonacci lattice).
        let z: f64 = 1.0 - 2.0 * (f64::from(step) + 0.5) / 40_000.0;
        let r = (1.0 - z * z).sqrt();
        let turn = f64::from(step) * std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
        let (u, v, w) = (r * libm::cos(turn), r * libm::sin(turn), z / far);
        contacts.iter().any(|(at, push)| {
            let (x, y) = (at.0 - middle.0, at.1 - middle.1);
            push.0 * (u - w * y) + push.1 * (v + w * x) < 0.0
        })
    })
}

/// Every contact of a design a quarter inch to either side along its face.
fn beside(contacts: &[Contact]) -> impl Iterator<Item = Vec<(Mm, Mm)>> + '_ {
    (0..1_u32 << contacts.len()).map(move |corner| {
        contacts
            .iter()
            .enumerate()
            .map(|(place, contact)| {
                let off = if corner >> place & 1 == 1 { 6.35 } else { -6.35 };
                let ((x, y), push) = (to_mm(contact.at), contact.push());
                ((x + off * push.1, y - off * push.0), push)
            })
            .collect()
    })
}

fn proven(design: &Design) {
    // Five pushes square to the feed, or four at angles.
    let angled = design.contacts.iter().any(|contact| contact.part == Role::CleatWedge);
    assert_eq!(design.contacts.len(), if angled { 4 } else { 5 });
    assert!(beside(&design.contacts).all(|contacts| every_motion_is_stopped(&contacts)));
}

/// Base edge (3,0)-(11,0): contacts 8 apart, more than half of 12. Farthest point (8,6) between them.
/// Wedges 6 in, 3/8 to 1-1/8, set back 1: gap 3/8 + 1-1/8 - 1/8 = 1-3/8. Rails 1-1/4: 1-1/4 + 6 + 1-3/8 +
/// 1-1/4 = 9-7/8 wide; 4 + 12 + 4 = 20 long; 1-1/8 on plywood of 15/32.
/// Trail wedges stand between the rails, 7-3/8 apart: set back 3/4 and backed out by 3/4 more, a wedge of
/// 4-1/2 takes 6 in, and 3/4 for the drift makes 6-3/4; one of 4-3/4 is set back 1 (to a mark of the
/// eighth part), takes 6-3/4 and 3/4: 7-1/2, too much. So 4-1/2, 3/8 to 15/16, gap 3/8 + 15/16 - 3/32 =
/// 1-7/32, and the trail bar is 4 - 1-7/32 = 2-25/32. (With 6 in wedges it would be 2-5/8, but there
/// would be no room to drive them: 6 + 1 in 7-3/8.)
#[test]
fn a_chunk_with_a_straight_side() {
    let design = design(&chunk());
    assert_eq!(design.construction, "cleat-nest");
    assert_eq!(design.turn, 0.0);
    let carrier = design.carrier;
    assert_eq!((carrier.length, carrier.width, carrier.thickness), (inch(20, 0, 1), inch(9, 7, 8), inch(1, 19, 32)));
    let size = |role: Role| {
        let size = part(&design, role).size;
        (size.length, size.width, size.thickness)
    };
    assert_eq!(size(Role::Base), (inch(20, 0, 1), inch(9, 7, 8), inch(0, 15, 32)));
    // Two equal rails in one row.
    assert_eq!(size(Role::FenceRail), (inch(20, 0, 1), inch(1, 1, 4), inch(1, 1, 8)));
    assert_eq!(part(&design, Role::FenceRail).places.len(), 2);
    assert_eq!(size(Role::LeadEnd), (inch(4, 0, 1), inch(7, 3, 8), inch(1, 1, 8)));
    assert_eq!(size(Role::TrailEnd), (inch(2, 25, 32), inch(7, 3, 8), inch(1, 1, 8)));
    // Tops 1-1/8 - 1/4 - 1/8 above the base.
    assert_eq!(size(Role::FarWedge), (inch(6, 0, 1), inch(1, 1, 8), inch(0, 3, 4)));
    assert_eq!(size(Role::TrailWedge), (inch(4, 1, 2), inch(0, 15, 16), inch(0, 3, 4)));
    assert_eq!(part(&design, Role::FarWedge).places.len() + part(&design, Role::TrailWedge).places.len(), 4);
    let at = |x: Length, y: Length| Point::new(x, y);
    let places: Vec<Point> = design.contacts.iter().map(|contact| contact.at).collect();
    let fence = inch(1, 1, 4);
    assert_eq!(
        places,
        [
            at(inch(7, 0, 1), fence),
            at(inch(15, 0, 1), fence),
            at(inch(4, 0, 1), inch(2, 1, 4)),
            at(inch(12, 0, 1), inch(7, 1, 4)),
            at(inch(16, 0, 1), inch(5, 1, 4)),
        ]
    );
    // Lever of the trail push 5-1/4 - 2-1/4 = 3, least arm of the far push min(5, 3) = 3: driven alike.
    let order = design.checks.iter().find(|check| check.rule == Rule::DriveOrder).expect("asked");
    assert_eq!(order.status, Status::Pass);
    proven(&design);
}

/// Pushes k1, k2 (fence), k3 (lead), k4 (far), k5 (trail): k4 = k1 + k2, k5 = k3, and about the push of
/// the far wedges -5 k1 + 3 k2 + 3 k3 = 0. Sum 5: k1 + k2 + k3 = 5/2 with k1 = 3/5 (k2 + k3), so k2 + k3 =
/// 25/16; equal, 25/32 each, which is the margin; k1 = 15/16, k4 = 55/32.
#[test]
fn the_chunk_is_closed_by_hand() {
    let design = design(&chunk());
    let contacts: Vec<closure::Contact> = design
        .contacts
        .iter()
        .map(|contact| closure::Contact { at: to_mm(contact.at), push: contact.push() })
        .collect();
    let found = form_closure(&contacts).expect("closed");
    assert!((found.margin - 25.0 / 32.0).abs() < 1e-5, "{found:?}");
    for (push, hand) in found.pushes.iter().zip([15.0 / 16.0, 25.0 / 32.0, 25.0 / 32.0, 55.0 / 32.0, 25.0 / 32.0]) {
        assert!((push - hand).abs() < 1e-4, "{found:?}");
    }
    // Every contact 1/4 in aside the worst way: -4.5 k1 + 3.5 k2 + 3.5 k3 = 0, so k1 = 14/9 of k2 = k3,
    // and 5/2 = (2 + 14/9) k2 makes 45/64 = 0.70.
    assert!(design.variant.ends_with("margin 0.70"), "{}", design.variant);
}

#[test]
fn a_round_is_refused_with_the_reason_and_the_cure() {
    // Lynch and Park, 12.1.7: no contacts hold a disc. With friction four do, which is told.
    let disc = "[machine]\nuse = \"roller-carver-medium\"\n[carrier]\nconstruction = \"cleat-nest\"\n[blank]\nshape = \"disc\"\ndiameter = \"8\"\nthickness = \"3/4\"\n[hold]\nby = \"wedge\"\n";
    let traced = "[machine]\nuse = \"roller-carver-medium\"\n[carrier]\nconstruction = \"cleat-nest\"\n[blank]\nshape = \"outline\"\nthickness = \"3/4\"\nturn = \"free\"\npoints = [[\"0\", \"4\", \"4\"], [\"8\", \"4\", \"4\"]]\n[hold]\nby = \"wedge\"\n";
    for (text, rule) in [(disc, Rule::NestHeld), (traced, Rule::FenceContacts)] {
        let outcome = solve(&read(text));
        assert!(outcome.designs.is_empty());
        let [only] = outcome.rejected.as_slice() else { panic!("{:#?}", outcome.rejected) };
        let clash = only.conflict.clashes.first().expect("a reason");
        assert_eq!(clash.rule, rule);
        assert!(clash.text.contains("only friction keeps it from turning"), "{}", clash.text);
        assert!(clash.text.contains("tape"), "{}", clash.text);
    }
}

#[test]
fn what_cannot_be_held_says_why() {
    let reason = |blank: &str| {
        let outcome = solve(&job(blank));
        assert!(outcome.designs.is_empty(), "{blank}");
        let rejected = outcome.rejected.first().expect("tried");
        rejected.conflict.clashes.iter().map(|clash| clash.text.clone()).collect::<Vec<_>>().join("; ")
    };
    // No side lies square to what holds it, and cleats at angles do. Leaning: the farthest point (11-1/2,7) lies
    // beyond the base edge (0,0)-(7,0). A triangle on its longest side ends in a point on the fence rail, where no wedge comes.
    let upended = "shape = \"outline\"\npoints = [[\"5\", \"0\"], [\"6\", \"3\"], [\"6\", \"11\"], [\"2\", \"12\"], [\"0\", \"8\"], [\"1\", \"1\"]]\noutline-error = \"0\"";
    let leaning = "shape = \"outline\"\npoints = [[\"0\", \"0\"], [\"7\", \"0\"], [\"12\", \"4\"], [\"11-1/2\", \"7\"], [\"9\", \"6-1/2\"]]\noutline-error = \"1/64\"";
    let pointed =
        "shape = \"outline\"\npoints = [[\"0\", \"0\"], [\"12\", \"0\"], [\"5\", \"7\"]]\noutline-error = \"0\"";
    for blank in [leaning, pointed] {
        let held = design(&job(blank));
        assert!(held.turn == 0.0 && held.parts.iter().any(|part| part.role == Role::Cleat), "{}", held.variant);
        proven(&held);
    }
    // The chunk drawn a quarter turn round stands on one corner, and with cleats round it is wider than the cutter
    // reaches. Free to be turned, it lies square to the feed.
    assert!(reason(upended).contains("far side of the cut"), "{}", reason(upended));
    let free = design(&job(&format!("{upended}\nturn = \"free\"")));
    assert!((free.turn + 90.0).abs() < 1e-9, "{}", free.turn);
    assert_eq!((free.carrier.length, free.carrier.width), (inch(20, 0, 1), inch(9, 7, 8)));
    proven(&free);
    // An outline so uncertain that wedges of 1 in 8 cannot take it up: 1/2 each way asks for over 8 in of travel.
    let loose = "shape = \"outline\"\npoints = [[\"0\", \"1\"], [\"3\", \"0\"], [\"11\", \"0\"], [\"12\", \"4\"], [\"8\", \"6\"], [\"1\", \"5\"]]\noutline-error = \"1/2\"";
    assert!(reason(loose).contains("measure it more closely"), "{}", reason(loose));
    let cured = |blank: &str, key: &str| {
        let request = job(blank);
        cures(&request, &solve(&request)).iter().any(|cure| cure.key == key)
    };
    assert!(cured(loose, "blank.outline-error"));
    // Cut so deep that no wedge may stand beneath: 1-1/8 - 7/8 - 1/8 = 1/8, under a third of 1-1/8.
    let deep = read(&format!(
        "[machine]\nuse = \"roller-carver-medium\"\n[carrier]\nconstruction = \"cleat-nest\"\n[blank]\nthickness = \"1.125\"\n{}\n[carve]\ndepth = \"7/8\"\n[hold]\nby = \"wedge\"\n",
        loose.replace("\"1/2\"", "\"1/64\"")
    ));
    let outcome = solve(&deep);
    let clash = outcome.rejected.first().and_then(|rejected| rejected.conflict.clashes.first()).expect("refused");
    assert_eq!(clash.rule, Rule::WedgeHeight, "{}", clash.text);
}

/// The slice of the examples, typed as a table, traced and drawn: one carrier.
#[test]
fn one_slice_captured_three_ways_is_held_alike() {
    let wedged = |name: &str| {
        let text = load(name).expect("an example").replace("by = \"tape\"", "by = \"wedge\"");
        let text = if text.contains("turn = ") { text } else { text.replace("[carve]", "turn = \"free\"\n\n[carve]") };
        // Stations come last in their table: the turn must stand before them.
        read(&text.replace("]\n\nturn = \"free\"\n\n[carve]", "]\nturn = \"free\"\n\n[carve]"))
    };
    let requests = ["slice-stations.toml", "slice-traced.toml", "slice-drawn.toml"].map(wedged);
    let designs = requests.each_ref().map(design);
    let error = |request: &Request| match &request.blank.shape {
        Shape::Outline(drawn) => drawn.error,
        other => panic!("{other:?}"),
    };
    for (request, found) in requests.iter().zip(&designs) {
        assert_eq!(found.construction, "cleat-nest");
        proven(found);
        // Against the first: sizes within both errors, two sides each, and two marks of the ruler.
        let within = (error(request) + error(&requests[0])) * 2 + request.step() * 2;
        let apart = |a: Length, b: Length| (a - b).abs();
        let first = &designs[0];
        assert!(apart(found.carrier.length, first.carrier.length) <= within);
        assert!(apart(found.carrier.width, first.carrier.width) <= within);
        assert_eq!(found.carrier.thickness, first.carrier.thickness);
        // The same side on the fence rail, touched at the same ends.
        assert!((found.turn - first.turn).abs() < 1.0, "{} and {}", found.turn, first.turn);
        for (a, b) in found.contacts.iter().zip(&first.contacts).take(2) {
            assert!(apart(a.at.x, b.at.x) <= within && apart(a.at.y, b.at.y) <= within, "{a:?} {b:?}");
        }
    }
}

/// Outlines of straight sides, at random: what is designed is proven by the verification and by motions,
/// and everything else is refused with reasons.
#[test]
fn random_outlines_are_held_or_refused() {
    // A fixed linear congruential generator (Knuth's constants).
    let mut state = 0x5eed_u64;
    let mut random = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    };
    let (mut held, mut turned, mut refused, mut angled) = (0, 0, 0, 0);
    for round in 0..100 {
        let count = 3 + (random() * 7.0) as usize;
        let (long, wide, rough) = (70.0 + 90.0 * random(), 60.0 + 70.0 * random(), 0.5 * random());
        let curved = round % 4 == 0;
        let rows: Vec<String> = (0..count)
            .map(|step| {
                let turn = std::f64::consts::TAU * (step as f64 + 0.6 * random()) / count as f64;
                let r = 1.0 - rough * random();
                let sagitta = if curved { format!(", \"{:.1} mm\"", 6.0 * (random() - 0.4)) } else { String::new() };
                format!("[\"{:.2} mm\", \"{:.2} mm\"{sagitta}]", long * r * libm::cos(turn), wide * r * libm::sin(turn))
            })
            .collect();
        let error = ["0", "1/64", "1/32"][round % 3];
        let free = if round % 5 == 0 { "" } else { "turn = \"free\"" };
        let ruler = ["ruler = \"1/32\"", "ruler = \"1/64\"", "ruler = \"0.5 mm\""][round / 3 % 3];
        let text = format!(
            "[machine]\nuse = \"roller-carver-medium\"\n[shop]\n{ruler}\n[blank]\nshape = \"outline\"\nthickness = \"20 mm\"\npoints = [{}]\noutline-error = \"{error}\"\n{free}\n[carve]\ndepth = \"3 mm\"\n[carrier]\nconstruction = \"cleat-nest\"\n",
            rows.join(", ")
        );
        let Ok(request) = request::from_toml(&text, "job.toml", &load) else { continue };
        let outcome = solve(&request);
        if outcome.designs.is_empty() {
            let reasons = outcome.rejected.iter().flat_map(|rejected| &rejected.conflict.clashes);
            assert!(reasons.count() > 0, "refused without a reason:\n{text}");
            refused += 1;
        }
        for mut found in outcome.designs {
            let broken = check(&request, &mut found);
            assert!(broken.is_empty(), "{}\n{text}\n{broken:#?}", found.variant);
            proven(&found);
            held += 1;
            turned += usize::from(found.turn != 0.0);
            angled += usize::from(found.parts.iter().any(|part| part.role == Role::Cleat));
        }
    }
    let counts = format!("{held} held, {turned} turned, {angled} at angles, {refused} refused");
    assert!(held > 40 && turned > 10 && angled > 20 && refused > 0, "{counts}");
}

fn failing(request: &Request, design: &Design) -> Vec<Rule> {
    let broken = verify(request, design).into_iter().filter(|check| check.status != Status::Pass);
    broken.map(|check| check.rule).collect()
}

fn outlines(design: &mut Design, role: Role) -> Vec<&mut Outline> {
    let parts = design.parts.iter_mut().filter(|part| part.role == role);
    parts.flat_map(|part| &mut part.places).map(|place| &mut place.outline).collect()
}

fn moved(outline: &mut Outline, dx: Length, dy: Length) {
    match outline {
        Outline::Polygon(points) => points.iter_mut().for_each(|p| *p = Point::new(p.x + dx, p.y + dy)),
        Outline::Rect(r) => *r = Rect::new(r.x0 + dx, r.y0 + dy, r.x1 + dx, r.y1 + dy),
        other => panic!("{other:?}"),
    }
}

/// One property of the finished carrier changed at a time: the rule that governs it complains.
#[test]
fn the_second_derivation_notices_what_is_wrong() {
    let request = chunk();
    let good = design(&request);
    assert!(failing(&request, &good).is_empty());
    let spoiled = |rule: Rule, what: &str, spoil: &dyn Fn(&mut Design)| {
        let mut bad = good.clone();
        spoil(&mut bad);
        let found = failing(&request, &bad);
        assert!(found.contains(&rule), "{what}: {} does not complain, only {found:?}", rule.id());
    };
    let zero = Length::ZERO;
    spoiled(Rule::NestHeld, "no trail wedges said to push", &|d| d.contacts.retain(|c| c.part != Role::TrailWedge));
    spoiled(Rule::NestHeld, "a contact in the air", &|d| d.contacts[3].at.x = inch(15, 7, 8));
    spoiled(Rule::NestHeld, "a contact off the blank", &|d| d.contacts[2].at.y = inch(6, 0, 1));
    spoiled(Rule::FenceContacts, "fence contacts under half apart", &|d| {
        d.contacts[0].at.x = inch(9, 1, 2);
    });
    spoiled(Rule::FenceContacts, "the push beside them", &|d| d.contacts[1].at.x = inch(12, 0, 1));
    spoiled(Rule::DriveOrder, "trail push far off the lead contact", &|d| d.contacts[4].at.y = inch(5, 9, 32));
    spoiled(Rule::WedgeShape, "no glued wedge", &|d| {
        for part in d.parts.iter_mut().filter(|part| part.role == Role::FarWedge) {
            part.places.remove(0);
        }
    });
    spoiled(Rule::WedgeShape, "a wedge that does not reach the blank", &|d| {
        moved(outlines(d, Role::FarWedge).remove(1), zero, inch(0, 1, 32));
    });
    spoiled(Rule::WedgeShape, "a steeper slope", &|d| {
        for outline in outlines(d, Role::TrailWedge) {
            let Outline::Polygon(points) = outline else { panic!("a wedge is a polygon") };
            let (low, high) = (inch(2, 5, 8), inch(6, 3, 8));
            points.iter_mut().for_each(|p| p.y = if p.y <= low { p.y + inch(0, 1, 4) } else { p.y }.min(high));
        }
    });
    // Two wedges, each 3/8 at its thin end, 1/32 less and nearer together.
    spoiled(Rule::WedgeShape, "a thin end", &|d| {
        for outline in outlines(d, Role::FarWedge) {
            let Outline::Polygon(points) = outline else { panic!("a wedge is a polygon") };
            let top = points.iter().map(|p| p.y).max().expect("points");
            points.iter_mut().filter(|p| p.y == top).for_each(|p| p.y -= inch(0, 1, 32));
        }
    });
    // Driven on by 1: nothing is left to drive; backed out by 3 more: less than a third overlaps.
    spoiled(Rule::WedgeTravel, "driven to the end", &|d| {
        moved(outlines(d, Role::FarWedge).remove(1), -inch(1, 0, 1), zero)
    });
    spoiled(Rule::WedgeTravel, "hardly overlapping", &|d| {
        moved(outlines(d, Role::FarWedge).remove(1), inch(3, 0, 1), zero)
    });
    spoiled(Rule::WedgeRoom, "a bar behind the wedge", &|d| {
        for outline in outlines(d, Role::TrailEnd) {
            let Outline::Rect(bar) = outline else { panic!("a bar is a rectangle") };
            bar.x0 = inch(15, 1, 2);
        }
    });
    spoiled(Rule::WedgeHeight, "wedges in the cutter's way", &|d| {
        for part in d.parts.iter_mut().filter(|part| part.role == Role::FarWedge) {
            part.places.iter_mut().for_each(|place| place.z1 += inch(0, 1, 64));
        }
    });
    spoiled(Rule::RailWidth, "a narrow rail", &|d| {
        for outline in outlines(d, Role::FenceRail) {
            let Outline::Rect(rail) = outline else { panic!("a rail is a rectangle") };
            if rail.y0 == zero {
                rail.y1 -= inch(0, 1, 32);
            }
        }
    });
}
