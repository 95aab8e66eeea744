//! What any carrier must be, whatever it is for: parts inside its box and not in each other, a
//! pocket that takes the blank, sums that close, edges on the ruler, sizes the machine takes.

use sledwright::design::{Design, PocketKind, Role};
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::Length;
use sledwright::request::{Request, Shape};

/// Everything wrong with a design, in words.
pub fn faults(request: &Request, design: &Design) -> Vec<String> {
    let mut faults = Vec::new();
    inside_its_box(design, &mut faults);
    nothing_in_the_same_place(design, &mut faults);
    takes_the_blank(request, design, &mut faults);
    on_the_ruler(request, design, &mut faults);
    within_the_machine(request, design, &mut faults);
    faults
}

fn inside_its_box(design: &Design, faults: &mut Vec<String>) {
    let whole = Rect::new(Length::ZERO, Length::ZERO, design.carrier.length, design.carrier.width);
    for part in &design.parts {
        for place in &part.places {
            let at = place.outline.bounds();
            let outside = at.x0 < whole.x0 || at.y0 < whole.y0 || at.x1 > whole.x1 || at.y1 > whole.y1;
            if outside || place.z0 < Length::ZERO || place.z1 > design.carrier.thickness {
                faults.push(format!("{} stands out of the carrier", part.name));
            }
            if at.x1 <= at.x0 || at.y1 <= at.y0 || place.z1 <= place.z0 {
                faults.push(format!("{} has no size", part.name));
            }
        }
    }
}

fn corners(outline: &Outline) -> Vec<Point> {
    match outline {
        Outline::Polygon(points) => points.clone(),
        Outline::Disc { centre, diameter } => {
            // Corners on the round itself: what lies within them lies within the disc.
            let radius = diameter.to_mm() / 2.0;
            let at = |turn: i32| {
                let angle = f64::from(turn) * std::f64::consts::TAU / 64.0;
                let mm = |length: f64| Length::from_mm(length).unwrap_or_default();
                Point::new(centre.x + mm(radius * libm::cos(angle)), centre.y + mm(radius * libm::sin(angle)))
            };
            (0..64).map(at).collect()
        }
        Outline::Path(path) => path.flattened(0.01).into_iter().map(sledwright::geometry::path::from_mm).collect(),
        other @ Outline::Rect(_) => other.bounds().corners().to_vec(),
    }
}

/// Whether an edge of `a` has all of `b` on its outer side (or on itself), within a thousandth of a
/// millimetre. Both are convex and run counter-clockwise.
fn separates(a: &[Point], b: &[Point]) -> bool {
    let mm = |length: Length| length.to_mm();
    a.iter().zip(a.iter().cycle().skip(1)).any(|(p, q)| {
        let (along_x, along_y) = (mm(q.x - p.x), mm(q.y - p.y));
        let long = libm::hypot(along_x, along_y);
        b.iter().all(|r| (along_x * mm(r.y - p.y) - along_y * mm(r.x - p.x)) / long <= 0.001)
    })
}

fn nothing_in_the_same_place(design: &Design, faults: &mut Vec<String>) {
    let places: Vec<_> =
        design.parts.iter().flat_map(|part| part.places.iter().map(move |place| (part, place))).collect();
    for (first, (part, place)) in places.iter().enumerate() {
        for (other, beside) in places.iter().skip(first + 1) {
            // Packing lies in the round sawn out of the halves of a nest.
            let nested = part.role == Role::NestHalf && other.role == Role::Packing;
            // A keeper turns in the notch sawn out for it.
            let notched = other.role == Role::Keeper
                && place.voids.iter().any(|void| {
                    let (notch, disc) = (void.outline.bounds(), beside.outline.bounds());
                    let along = notch.x0 <= disc.x0 && disc.x1 <= notch.x1;
                    along && notch.y0 <= disc.y0 && disc.y1 <= notch.y1
                });
            let apart = nested || notched || place.z1 <= beside.z0 || beside.z1 <= place.z0;
            let (a, b) = (corners(&place.outline), corners(&beside.outline));
            if !apart && !separates(&a, &b) && !separates(&b, &a) {
                faults.push(format!("{} {:?} and {} {:?} overlap", part.name, part.role, other.name, other.role));
            }
        }
    }
}

fn takes_the_blank(request: &Request, design: &Design, faults: &mut Vec<String>) {
    let blank = &request.blank;
    let (length, width) = if design.turned { (&blank.width, &blank.length) } else { (&blank.length, &blank.width) };
    let drawn = design.blank.outline.bounds();
    if drawn.length() != length.nominal || drawn.width() != width.nominal {
        faults.push("the blank is not drawn at its size".to_owned());
    }
    let Some(pocket) = design.pockets.first() else { return };
    let (room, worst) = (pocket.outline.bounds(), request.shop.tolerance * 2);
    let glued = design.joints.iter().any(|joint| joint.between.0 == "blank" || joint.between.1 == "blank");
    let open = pocket.kind == PocketKind::Open || glued || room == drawn;
    if !open && (room.length() - worst < length.high() || room.width() - worst < width.high()) {
        faults.push("the pocket may come out too small for the blank".to_owned());
    }
    let round = blank.shape == Shape::Disc;
    if !round && (drawn.x0 != room.x0 || drawn.y0 != room.y0) {
        faults.push("the blank does not lie in its datum corner".to_owned());
    }
    if drawn.x0 < room.x0 || drawn.y0 < room.y0 || drawn.x1 > room.x1 || drawn.y1 > room.y1 {
        faults.push("the blank lies outside its pocket".to_owned());
    }
    // The pockets of a gang together stand for the one pocket of others.
    let room = design.pockets.iter().filter(|_| design.gang.is_some()).fold(room, |all, pocket| {
        let one = pocket.outline.bounds();
        Rect::new(all.x0.min(one.x0), all.y0.min(one.y0), all.x1.max(one.x1), all.y1.max(one.y1))
    });
    // Lead end, pocket and trail end make the carrier, and so they do across.
    let sums = [
        (design.trace.find("lead-end"), design.trace.find("trail-end"), room.length(), design.carrier.length),
        (design.trace.find("fence-rail"), design.trace.find("far-rail"), room.width(), design.carrier.width),
    ];
    for (near, far, between, whole) in sums {
        let told = |reason: Option<&sledwright::trace::Reason>| reason.map_or(Length::ZERO, |reason| reason.value);
        let taper = matches!(blank.shape, Shape::Taper { .. });
        if told(near) + between + told(far) != whole && !taper {
            faults.push("the sum does not close".to_owned());
        }
    }
}

fn on_the_ruler(request: &Request, design: &Design, faults: &mut Vec<String>) {
    let step = request.step();
    // What is glued on at a measured edge takes that edge as it is.
    let measured = |at: Length, across: bool| {
        let bounds = design.blank.outline.bounds();
        let edges = if across { [bounds.y0, bounds.y1] } else { [bounds.x0, bounds.x1] };
        edges.contains(&at)
    };
    let marks = [(design.carrier.length, false), (design.carrier.width, true)];
    for (at, across) in marks {
        if !at.is_multiple_of(step) && !measured(at, across) {
            faults.push(format!("the carrier ends between two marks, at {at:?}"));
        }
    }
    for part in design.parts.iter().filter(|part| !matches!(part.role, Role::Packing | Role::NestHalf)) {
        for place in &part.places {
            let Outline::Rect(rect) = &place.outline else { continue };
            for (at, across) in [(rect.x0, false), (rect.x1, false), (rect.y0, true), (rect.y1, true)] {
                if !at.is_multiple_of(step) && !measured(at, across) {
                    faults.push(format!("{} {:?} ends between two marks, at {at:?}", part.name, part.role));
                }
            }
        }
    }
}

fn within_the_machine(request: &Request, design: &Design, faults: &mut Vec<String>) {
    let (machine, carrier) = (&request.machine, &design.carrier);
    // However the saw wanders, the bare limits hold.
    let wander = if design.parts.is_empty() { Length::ZERO } else { request.shop.tolerance * 2 };
    let sizes = [
        ("length", carrier.length, machine.length, wander),
        ("width", carrier.width, machine.width, wander),
        ("thickness", carrier.thickness, machine.thickness, Length::ZERO),
    ];
    for (name, size, limits, wander) in sizes {
        let bare = design.construction == "riser"
            || design.construction == "side-rails"
            || design.construction == "end-extensions";
        let wander = if bare { Length::ZERO } else { wander };
        if size - wander < limits.min || size + wander > limits.max {
            faults.push(format!("the machine does not take the {name} {size:?}"));
        }
    }
    if design.depth_below_top > machine.depth {
        faults.push("the cutter does not reach".to_owned());
    }
    let reach = request.carve.cutter.half_up() + request.carve.overrun;
    if design.carve.y0 - reach < machine.window.min || design.carve.y1 + reach > machine.window.max {
        faults.push("the cut lies outside the cutter's window".to_owned());
    }
}
