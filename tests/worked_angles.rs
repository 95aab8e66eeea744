//! Blanks between cleats at angles: carriers and figures worked by hand, what is refused, and every
//! property of a finished carrier spoiled once.

use sledwright::design::{Design, Role, Status};
use sledwright::geometry::closure::{self, form_closure, four, strays};
use sledwright::geometry::path::{Mm, to_mm};
use sledwright::geometry::{Outline, Point};
use sledwright::length::Length;
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request};
use sledwright::rules::Rule;
use sledwright::solve::solve;
use sledwright::verify::verify;

const INCH: f64 = 25.4;

fn job(points: &str, more: &str) -> Request {
    let text = format!(
        "[machine]\nuse = \"roller-carver-medium\"\n[carrier]\nconstruction = \"cleat-nest\"\n[blank]\nshape = \"outline\"\nthickness = \"0.875\"\npoints = [{points}]\n{more}\n[carve]\ndepth = \"1/4\"\n[hold]\nby = \"wedge\"\n"
    );
    match request::from_toml(&text, "job.toml", &|_| Err(String::new())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

fn design(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { design, broken } => panic!("verify disagrees on {}: {broken:#?}", design.variant),
    }
}

/// The pennant: sides in the ratio 3 to 4 to 5, as if measured without error.
fn pennant() -> Request {
    job("[\"0\", \"0\"], [\"12\", \"0\"], [\"6\", \"8\"]", "outline-error = \"0\"")
}

/// An ellipse with these half axes, in 96 chords.
fn ellipse(long: f64, wide: f64) -> Request {
    let points: Vec<String> = (0..96)
        .map(|step| {
            let turn = f64::from(step) / 96.0 * std::f64::consts::TAU;
            format!("[\"{:.4}\", \"{:.4}\"]", long + long * libm::cos(turn), wide + wide * libm::sin(turn))
        })
        .collect();
    job(&points.join(", "), "outline-error = \"1/64\"\nturn = \"free\"")
}

/// Whether every small motion runs into a contact (Lynch and Park, Modern Robotics, 12.1.5), looked at in
/// 20 000 directions, every contact a quarter inch to either side along its face.
fn proven(design: &Design) {
    let contacts = &design.contacts;
    assert_eq!(contacts.len(), 4);
    for corner in 0..16_u32 {
        let moved: Vec<(Mm, Mm)> = contacts
            .iter()
            .enumerate()
            .map(|(place, contact)| {
                let off = if corner >> place & 1 == 1 { 6.35 } else { -6.35 };
                let ((x, y), push) = (to_mm(contact.at), contact.push());
                ((x + off * push.1, y - off * push.0), push)
            })
            .collect();
        let middle = moved.iter().fold((0.0, 0.0), |sum, (at, _)| (sum.0 + at.0 / 4.0, sum.1 + at.1 / 4.0));
        let stopped = (0..20_000).all(|step| {
            let z = 1.0 - 2.0 * (f64::from(step) + 0.5) / 20_000.0;
            let r = f64::sqrt(1.0 - z * z);
            let turn = f64::from(step) * std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
            let (u, v, w) = (r * libm::cos(turn), r * libm::sin(turn), z / 100.0);
            moved.iter().any(|(at, push)| {
                let (x, y) = (at.0 - middle.0, at.1 - middle.1);
                push.0 * (u - w * y) + push.1 * (v + w * x) < 0.0
            })
        });
        assert!(stopped, "{}, corner {corner}", design.variant);
    }
}

/// Marks of every cleat from the blank's own corner, inches, the fixed cleats first.
fn marks(design: &Design) -> Vec<[Mm; 2]> {
    let corner = design.origin();
    let from = |mark: Point| to_mm(Point::new(mark.x - corner.x, mark.y - corner.y));
    let inches = |mark: Point| (from(mark).0 / INCH, from(mark).1 / INCH);
    design.contacts.iter().filter_map(|contact| contact.marks).map(|marks| marks.map(inches)).collect()
}

/// The longest side lies on the fence rail, touched at 0 and 12. The other two sides are the lines
/// 4 x - 3 y = 0 and 4 x + 3 y = 48; a point is (4 x -+ 3 y - c) / 5 off them. Both rise 4 in 3: marks on a ruler
/// make lines exactly parallel to them, at atan(4/3) = 53.13 degrees.
/// Wedges of a length L, set back L/6 up to the next quarter inch (eight marks of 1/32): a gap of
/// 3/8 + (3/8 + L/8) less an eighth of that.
#[test]
fn a_pennant_by_hand() {
    let design = design(&pennant());
    assert_eq!(design.turn, 0.0);
    let (fence, x0) = (Length::inches(5, 4), design.origin().x);
    let [first, second, cleat, wedge] = design.contacts.as_slice() else { panic!("{:?}", design.contacts) };
    assert_eq!((first.at, second.at), (Point::new(x0, fence), Point::new(x0 + Length::inches(12, 1), fence)));
    assert_eq!((cleat.part, wedge.part), (Role::Cleat, Role::CleatWedge));
    for contact in [cleat, wedge] {
        let (degrees, _) = contact.slant().expect("at an angle");
        assert!((degrees - 53.130_102).abs() < 1e-5, "{degrees}");
        for mark in contact.marks.expect("marked") {
            assert_eq!(mark.x.nearest(Length::inches(1, 32)), mark.x);
            assert_eq!(mark.y.nearest(Length::inches(1, 32)), mark.y);
        }
    }
    // Off a side, outwards: nothing for the cleat (card is 1/64 in at most), the wedges' gap for the other.
    let off = |(x, y): Mm| ((3.0 * y - 4.0 * x) / 5.0).max((4.0 * x + 3.0 * y - 48.0) / 5.0);
    let [standing, behind] = marks(&design).try_into().expect("two cleats");
    for mark in standing {
        assert!((-1e-9..=1.0 / 64.0).contains(&off(mark)), "{mark:?}");
    }
    let long = design.parts.iter().find(|part| part.role == Role::CleatWedge).expect("wedges").size.length.to_inches();
    let gap = 0.375 + 0.375 + long / 8.0 - (long / 6.0 * 4.0).ceil() / 4.0 / 8.0;
    for mark in behind {
        assert!((gap - 1e-9..=gap + 1.0 / 32.0).contains(&off(mark)), "{mark:?}, wedges {long} long");
    }
    // Force up and down: k1 + k2 = 3/5 (k3 + k4), and k3 = k4. Both pushes at half height, (3, 4) and (9, 4), meet
    // half way between the contacts on the rail, so k1 = k2 = 3/5 of k3: of a mean of (6/5 + 2) / 4 = 4/5 the least
    // is 3/4. Where along their sides the program put them is read off the design: the lines meet at x, and k1 to k2
    // is 12 - x to x.
    let meet = {
        let at = |contact: &sledwright::design::Contact| {
            let (x, y) = to_mm(contact.at);
            (x / INCH - x0.to_inches(), y / INCH - fence.to_inches())
        };
        let ((ax, ay), (bx, by)) = (at(cleat), at(wedge));
        // Lines (ax, ay) + s (4, -3) and (bx, by) + t (-4, -3), or mirrored: both fall 3 in 4.
        let sign = cleat.push().0.signum();
        let s = ((bx - ax) * sign - (by - ay) * 4.0 / 3.0) / 8.0;
        ax + 4.0 * s * sign
    };
    let contacts: Vec<closure::Contact> =
        design.contacts.iter().map(|c| closure::Contact { at: to_mm(c.at), push: c.push() }).collect();
    let found = form_closure(&contacts).expect("closed");
    let (k1, k2) = (1.2 * (12.0 - meet) / 12.0, 1.2 * meet / 12.0);
    for (push, hand) in found.pushes.iter().zip([k1, k2, 1.0, 1.0]) {
        assert!((push - hand / 0.8).abs() < 1e-3, "{found:?}, {meet}");
    }
    proven(&design);
}

/// On two places of a rail at x = 0 and 12 and a cleat at (3, 4) that pushes (4/5, -3/5); each out by 1.
/// First place: it turns by -1/12; at (3, 4) it rises by 9/12, so along the face it must give 3/4 of that,
/// 0.5625; at the height of 0 that is 0.5625 - 4/12 = 0.2292, at 8 it is 0.8958. Second place: turns by 1/12,
/// rises by 1/4 there, gives 0.1875; 0.5208 and -0.1458. The cleat itself: 5/4 everywhere. Along: 2 at the
/// height of 0, 2.2917 at 8. Across: 1 at either place, the cleat adds nothing.
#[test]
fn a_blank_off_its_place_by_hand() {
    let contact = |at: Mm, push: Mm| closure::Contact { at, push };
    let standing =
        [contact((0.0, 0.0), (0.0, 1.0)), contact((12.0, 0.0), (0.0, 1.0)), contact((3.0, 4.0), (0.8, -0.6))];
    let (x, y) = strays(&standing, &[(0.0, 0.0), (12.0, 0.0)], 1.0).expect("placed");
    assert!((x - 2.0).abs() < 1e-9 && (y - 1.0).abs() < 1e-9, "{x} {y}");
    let (x, _) = strays(&standing, &[(6.0, 8.0)], 1.0).expect("placed");
    assert!((x - (0.895_833_333 + 0.145_833_333 + 1.25)).abs() < 1e-6, "{x}");
    // Three that meet in one point do not place it.
    let round = [contact((0.0, -1.0), (0.0, 1.0)), contact((-1.0, 0.0), (1.0, 0.0)), contact((0.0, 1.0), (0.0, -1.0))];
    assert_eq!(strays(&round, &[(0.0, 0.0)], 1.0), None);
}

/// The clamp at 45 degrees of `closure.rs`: two places below at 1 and 3, one at the left at height 1, the clamp
/// at (3.5, 2): pushes 1/4, 3/4, 1 and the root of 2. On its line through the second place nothing holds.
#[test]
fn four_pushes_in_closed_form() {
    let clamped = |x: f64| {
        let r = 0.5_f64.sqrt();
        [[1.0, 0.0, 1.0], [3.0, 0.0, 1.0], [-1.0, 1.0, 0.0], [(2.0 - x) * r, -r, -r]]
    };
    let found = four(&clamped(3.5)).expect("closed");
    let mean = (2.0 + 2.0_f64.sqrt()) / 4.0;
    for (push, hand) in found.iter().zip([0.25, 0.75, 1.0, 2.0_f64.sqrt()]) {
        assert!((push - hand / mean).abs() < 1e-12, "{found:?}");
    }
    assert_eq!(four(&clamped(4.0)), None);
}

/// A half round of radius 5: pushes on its arc pass through its centre, at (5, 0). A cleat's edge is 5 from
/// there, and card of 1/64 at most.
#[test]
fn a_half_round_lies_between_two_tangents() {
    let half = job("[\"0\", \"0\"], [\"10\", \"0\", \"5\"]", "outline-error = \"1/32\"");
    let design = design(&half);
    let [cleat, _] = marks(&design).try_into().expect("two cleats");
    let [(ax, ay), (bx, by)] = cleat;
    let distance = ((bx - ax) * (0.0 - ay) - (by - ay) * (5.0 - ax)).abs() / libm::hypot(bx - ax, by - ay);
    assert!((4.9999..5.0 + 1.0 / 64.0).contains(&distance), "{distance}");
    proven(&design);
}

/// No push on an ellipse passes farther from its middle than its half axes differ (the greatest distance of a
/// normal, at tan^2 t = b / a: a - b). With contacts a quarter inch aside, half axes of 5 and 4-7/8 leave every push
/// free to pass on either side: all of them turn it one way. 5 and 3 are held.
#[test]
fn an_oval_is_held_and_one_nearly_round_is_refused() {
    let held = design(&ellipse(5.0, 3.0));
    assert_eq!(
        held.parts.iter().filter(|part| part.role == Role::Cleat).map(|part| part.places.len()).sum::<usize>(),
        3
    );
    proven(&held);
    let outcome = solve(&ellipse(5.0, 4.875));
    assert!(outcome.designs.is_empty());
    let clash = outcome.rejected.first().and_then(|rejected| rejected.conflict.clashes.first()).expect("a reason");
    assert_eq!(clash.rule, Rule::FenceContacts, "{}", clash.text);
}

/// Triangles of every kind, and a bean, whichever way they are drawn.
#[test]
fn other_outlines_are_held() {
    let leg = 10.0 * libm::sqrt(3.0) / 2.0;
    let equilateral = format!("[\"0\", \"0\"], [\"10\", \"0\"], [\"5\", \"{leg:.4}\"]");
    let obtuse = "[\"0\", \"0\"], [\"12\", \"0\"], [\"3\", \"4\"]".to_owned();
    let standing = "[\"0\", \"12\"], [\"0\", \"0\"], [\"8\", \"6\"]".to_owned();
    let bean: Vec<String> = (0..48)
        .map(|step| {
            let turn = f64::from(step) / 48.0 * std::f64::consts::TAU;
            let (x, y) = (6.0 * libm::cos(turn), 3.0 * libm::sin(turn) + 0.12 * 36.0 * libm::pow(libm::cos(turn), 2.0));
            format!("[\"{:.3}\", \"{:.3}\"]", x + 6.0, y + 3.0)
        })
        .collect();
    for points in [equilateral, obtuse, standing, bean.join(", ")] {
        let found = design(&job(&points, "outline-error = \"1/64\"\nturn = \"free\""));
        if found.contacts.len() == 4 {
            proven(&found);
        }
    }
}

fn failing(request: &Request, design: &Design) -> Vec<Rule> {
    let broken = verify(request, design).into_iter().filter(|check| check.status != Status::Pass);
    broken.map(|check| check.rule).collect()
}

fn moved(design: &mut Design, role: Role, place: usize, dx: Length, dy: Length) {
    let part = design.parts.iter_mut().find(|part| part.role == role).expect("there");
    let Some(Outline::Polygon(points)) = part.places.get_mut(place).map(|place| &mut place.outline) else {
        panic!("at an angle")
    };
    points.iter_mut().for_each(|p| *p = Point::new(p.x + dx, p.y + dy));
}

/// One property of the finished carrier changed at a time: the rule that governs it complains.
#[test]
fn the_second_derivation_notices_what_is_wrong() {
    let request = pennant();
    let good = design(&request);
    assert!(failing(&request, &good).is_empty(), "{:?}", failing(&request, &good));
    let spoiled = |rule: Rule, what: &str, spoil: &dyn Fn(&mut Design)| {
        let mut bad = good.clone();
        spoil(&mut bad);
        let found = failing(&request, &bad);
        assert!(found.contains(&rule), "{what}: {} does not complain, only {found:?}", rule.id());
    };
    let (zero, mark) = (Length::ZERO, Length::inches(1, 32));
    // The driven wedge's own ways: along its face, and square to it.
    let (x, y) = good.contacts[3].push();
    let way = |along: f64, off: f64| {
        let mm = |mm: f64| Length::from_mm(mm * INCH).expect("a length");
        let (_, (ax, ay)) = good.driven().expect("a wedge");
        (mm(ax * along - x * off), mm(ay * along - y * off))
    };
    spoiled(Rule::NestHeld, "no cleat said to push", &|d| d.contacts.retain(|c| c.part != Role::Cleat));
    spoiled(Rule::NestHeld, "a contact off its face", &|d| d.contacts[2].at.x += Length::inches(1, 64));
    spoiled(Rule::NestHeld, "a contact off the blank", &|d| d.contacts[0].at.x -= Length::inches(1, 2));
    spoiled(Rule::NestHeld, "a cleat in the blank", &|d| {
        moved(d, Role::Cleat, 0, if d.contacts[2].push().0 > 0.0 { mark } else { -mark }, zero);
    });
    spoiled(Rule::FenceContacts, "fence contacts under half apart", &|d| {
        d.contacts[1].at.x = d.contacts[0].at.x + Length::inches(23, 4);
    });
    spoiled(Rule::CleatSetOut, "a mark between the lines of the rule", &|d| {
        let marks = d.contacts[2].marks.as_mut().expect("marked");
        marks[0].x += Length::inches(1, 64);
    });
    spoiled(Rule::CleatSetOut, "marks of another edge", &|d| {
        let marks = d.contacts[2].marks.as_mut().expect("marked");
        marks[1].y += mark;
    });
    spoiled(Rule::CleatSetOut, "the marks too near each other", &|d| {
        let marks = d.contacts[2].marks.as_mut().expect("marked");
        let part = |a: Length, b: Length| a + Length::from_ticks((b - a).ticks() / 4);
        marks[1] = Point::new(part(marks[0].x, marks[1].x), part(marks[0].y, marks[1].y));
    });
    spoiled(Rule::CleatSetOut, "a cleat without marks", &|d| d.contacts[2].marks = None);
    spoiled(Rule::WedgeShape, "no glued wedge", &|d| {
        d.parts.iter_mut().filter(|part| part.role == Role::CleatWedge).for_each(|part| {
            part.places.remove(0);
        });
    });
    spoiled(Rule::WedgeShape, "slopes apart", &|d| {
        let (dx, dy) = way(0.125, 0.0);
        moved(d, Role::CleatWedge, 1, dx, dy);
    });
    // Along the slope: 1 in on and 1/8 off, the slopes still touch, and nothing is left to drive.
    spoiled(Rule::WedgeTravel, "driven to the end", &|d| {
        let (dx, dy) = way(1.0, 0.0);
        moved(d, Role::CleatWedge, 1, dx, dy);
        let (dx, dy) = way(0.0, 0.125);
        for (role, place) in [(Role::CleatWedge, 0), (Role::BackingCleat, 0)] {
            moved(d, role, place, dx, dy);
        }
    });
    spoiled(Rule::WedgeHeight, "wedges in the cutter's way", &|d| {
        for part in d.parts.iter_mut().filter(|part| part.role == Role::CleatWedge) {
            part.places.iter_mut().for_each(|place| place.z1 += Length::inches(1, 64));
        }
    });
    spoiled(Rule::CleatRoom, "a bar beside a cleat", &|d| {
        let lead = d.parts.iter_mut().find(|part| part.role == Role::LeadEnd).expect("a bar");
        let far = d.blank.outline.bounds().x0;
        if let Outline::Rect(bar) = &mut lead.places[0].outline {
            bar.x1 = far;
        }
    });
    spoiled(Rule::Closure, "a cleat of another length", &|d| {
        d.parts.iter_mut().filter(|part| part.role == Role::Cleat).for_each(|part| part.size.length -= mark);
    });
}
