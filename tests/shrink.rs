//! Shrinking any governed dimension by one ruler step makes the verification complain of the rule
//! that governs it. The designs are those of the examples; the change is made to the finished
//! geometry, so nothing of the solver has a part in the answer.

use sledwright::design::{Check, Design, Role, Screws, Status, VoidKind};
use sledwright::geometry::path::{Path, Vertex};
use sledwright::geometry::{Outline, Point, Rect};
use sledwright::length::Length;
use sledwright::request::{self, Request};
use sledwright::rules::Rule;
use sledwright::solve::solve;
use sledwright::verify::verify;

#[derive(Clone, Copy, PartialEq)]
enum Along {
    X,
    Y,
    Z,
}

/// Moves everything beyond `from` on one axis nearer by `by`.
struct Shift {
    along: Along,
    from: Length,
    by: Length,
}

impl Shift {
    fn on(&self, along: Along, at: &mut Length) {
        if self.along == along && *at >= self.from {
            *at -= self.by;
        }
    }

    fn point(&self, point: &mut Point) {
        self.on(Along::X, &mut point.x);
        self.on(Along::Y, &mut point.y);
    }

    fn rect(&self, rect: &mut Rect) {
        self.on(Along::X, &mut rect.x0);
        self.on(Along::X, &mut rect.x1);
        self.on(Along::Y, &mut rect.y0);
        self.on(Along::Y, &mut rect.y1);
    }

    fn outline(&self, outline: &mut Outline) {
        match outline {
            Outline::Rect(rect) => self.rect(rect),
            Outline::Polygon(points) => points.iter_mut().for_each(|point| self.point(point)),
            Outline::Path(path) => {
                let bounds = path.bounds();
                let middle = bounds.centre();
                // What a curve has beyond the line moves; one that ends there is squeezed in its far half.
                let moves = |point: Point| match self.along {
                    Along::X if bounds.x0 >= self.from => true,
                    Along::X => bounds.x1 >= self.from && point.x > middle.x,
                    Along::Y if bounds.y0 >= self.from => true,
                    Along::Y => bounds.y1 >= self.from && point.y > middle.y,
                    Along::Z => false,
                };
                let moved = |point: Point| match (moves(point), self.along) {
                    (true, Along::X) => Point::new(point.x - self.by, point.y),
                    (true, Along::Y) => Point::new(point.x, point.y - self.by),
                    _ => point,
                };
                let vertices = path
                    .vertices()
                    .iter()
                    .map(|vertex| Vertex { point: moved(vertex.point), via: vertex.via.map(moved) })
                    .collect();
                *path = Path::new(vertices).expect("still simple");
            }
            Outline::Disc { centre, diameter } => {
                // A round that spans the line shrinks across it; one beyond it moves.
                let (near, far, axis) = match self.along {
                    Along::X => (centre.x - diameter.half(), centre.x + diameter.half(), &mut centre.x),
                    Along::Y => (centre.y - diameter.half(), centre.y + diameter.half(), &mut centre.y),
                    Along::Z => return,
                };
                if near >= self.from {
                    *axis -= self.by;
                } else if far >= self.from {
                    *diameter -= self.by;
                    *axis -= self.by.half();
                }
            }
        }
    }

    fn heights(&self, z0: &mut Length, z1: &mut Length) {
        self.on(Along::Z, z0);
        self.on(Along::Z, z1);
    }

    fn design(&self, design: &mut Design) {
        for part in &mut design.parts {
            let before: Vec<Rect> = part.places.iter().map(|place| place.outline.bounds()).collect();
            let tall = part.places.first().map(|place| place.z1 - place.z0);
            for place in &mut part.places {
                self.outline(&mut place.outline);
                self.heights(&mut place.z0, &mut place.z1);
                for void in &mut place.voids {
                    self.outline(&mut void.outline);
                    self.heights(&mut void.z0, &mut void.z1);
                }
            }
            // The list follows the drawing, so that only the rule itself can complain.
            if let (Some(old), Some(place)) = (before.first(), part.places.first()) {
                let new = place.outline.bounds();
                part.size.length -= old.length() - new.length();
                part.size.width -= old.width() - new.width();
                if let Some(tall) = tall {
                    part.size.thickness -= tall - (place.z1 - place.z0);
                }
            }
        }
        for pocket in &mut design.pockets {
            self.outline(&mut pocket.outline);
            self.heights(&mut pocket.z0, &mut pocket.z1);
        }
        // The blank keeps its size: it moves with its datum corner or not at all.
        for nested in design.gang.iter_mut().flat_map(|gang| &mut gang.nested) {
            let corner = nested.blank.bounds();
            let near = if self.along == Along::X { corner.x0 } else { corner.y0 };
            if self.along != Along::Z && near >= self.from {
                Shift { from: Length::from_ticks(i64::MIN / 4), ..*self }.outline(&mut nested.blank);
            }
        }
        let corner = design.blank.outline.bounds();
        let moved = match self.along {
            Along::X => corner.x0 >= self.from,
            Along::Y => corner.y0 >= self.from,
            Along::Z => design.blank.z0 >= self.from,
        };
        if moved {
            let all = Shift { from: Length::from_ticks(i64::MIN / 4), ..*self };
            match (&mut design.blank.outline, self.along) {
                (Outline::Disc { centre, .. }, Along::X) => centre.x -= self.by,
                (Outline::Disc { centre, .. }, Along::Y) => centre.y -= self.by,
                (outline, _) => all.outline(outline),
            }
            all.rect(&mut design.carve);
            all.rect(&mut design.swept);
            if let Some(keep_out) = &mut design.keep_out {
                all.rect(&mut keep_out.area);
            }
            all.heights(&mut design.blank.z0, &mut design.blank.z1);
            if self.along == Along::Z {
                design.blank.highest -= self.by;
            }
        }
        match self.along {
            Along::X => design.carrier.length -= self.by,
            Along::Y => design.carrier.width -= self.by,
            Along::Z => design.carrier.thickness -= self.by,
        }
    }
}

/// Where the far side of a governed dimension lies, and its axis.
fn edge(design: &Design, dimension: &str) -> Option<(Along, Length)> {
    let pocket = design.pockets.first().map(|pocket| pocket.outline.bounds());
    let slack = Length::from_ticks(1);
    // Of nests in no rows the first is not always the nearest to the lead end and the fence.
    let least = |side: fn(&Rect) -> Length| design.pockets.iter().map(|pocket| side(&pocket.outline.bounds())).min();
    Some(match dimension {
        "lead-end" => (Along::X, least(|room| room.x0)?),
        "pocket.length" => (Along::X, pocket?.x1),
        // Between the first two pockets of a row, or the first two rows.
        "web" => match design.gang.as_ref()? {
            // The boxes of a pair overlap; those of two pairs need not.
            gang if gang.pair.is_some() => (Along::X, design.pockets.get(2)?.outline.bounds().x0),
            // In no row what moves one nest moves others beside it.
            gang if gang.is_free() => return None,
            gang if gang.columns > 1 => (Along::X, design.pockets.get(1)?.outline.bounds().x0),
            gang => (Along::Y, design.pockets.get(gang.columns)?.outline.bounds().y0),
        },
        "trail-end" | "carrier.length" => (Along::X, design.carrier.length),
        "fence-rail" => (Along::Y, least(|room| room.y0)?),
        "pocket.width" => (Along::Y, pocket?.y1),
        "far-rail" | "carrier.width" => (Along::Y, design.carrier.width),
        "pocket.depth" | "rail-height" => (Along::Z, design.carrier.thickness - slack),
        "strip.height" => {
            let strips = design.parts.iter().find(|part| part.role == Role::CradleStrip)?;
            (Along::Z, strips.places.first()?.z1 - slack)
        }
        "floor" => (Along::Z, design.pockets.first()?.z0),
        _ => return None,
    })
}

/// A bevelled strip sawn lower keeps the tilt of the blade: its bevel reaches back less far.
fn keep_slopes(design: &Design, smaller: &mut Design) {
    let before = design.parts.iter().flat_map(|part| &part.places);
    let after = smaller.parts.iter_mut().flat_map(|part| &mut part.places);
    for (before, after) in before.zip(after) {
        let (old, new) = ((before.z1 - before.z0).to_mm(), (after.z1 - after.z0).to_mm());
        for void in after.voids.iter_mut().filter(|void| void.kind == VoidKind::Bevel) {
            let Outline::Rect(cut) = &mut void.outline else { continue };
            let run = Length::from_mm((cut.y1 - cut.y0).to_mm() * new / old).expect("a length");
            if cut.y1 == after.outline.bounds().y1 { cut.y0 = cut.y1 - run } else { cut.y1 = cut.y0 + run }
        }
    }
}

fn broken(checks: &[Check]) -> Vec<(Rule, String)> {
    let bad = checks.iter().filter(|check| check.status != Status::Pass);
    bad.map(|check| (check.rule, check.subject.clone())).collect()
}

/// Rules that say the same of an allowance from two sides: a shortage shows under either.
fn kin(rule: Rule) -> &'static [Rule] {
    match rule {
        Rule::GripWanted | Rule::LeadEndAllowance | Rule::TrailEndAllowance => {
            &[Rule::GripWanted, Rule::LeadEndAllowance, Rule::TrailEndAllowance]
        }
        // Too deep a pocket leaves the blank sunk.
        Rule::AdhesiveCounted | Rule::BlankFlush => &[Rule::BlankFlush, Rule::BlankFlushLimit, Rule::AdhesiveCounted],
        Rule::PocketFloor | Rule::PocketFloorWanted | Rule::FloorAfterCut => {
            &[Rule::PocketFloor, Rule::PocketFloorWanted, Rule::FloorAfterCut, Rule::StockExists]
        }
        // An allowance raised to match the other, or a machine's least shared by both.
        Rule::FeedMarked => &[Rule::FeedMarked],
        // The clearance of a nest is the fit of its box.
        Rule::Fit => &[Rule::Fit, Rule::NestClearance],
        // Among what stands clear of rails and bars are the wedges and the drift behind them.
        Rule::CleatRoom => &[Rule::CleatRoom, Rule::WedgeRoom],
        Rule::RailWidth | Rule::RollerSupport => &[Rule::RailWidth, Rule::RollerSupport],
        _ => &[],
    }
}

fn examples() -> Vec<(String, Request)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut files: Vec<_> = std::fs::read_dir(&folder).expect("examples").flatten().map(|entry| entry.path()).collect();
    files.sort();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "toml"));
    files
        .into_iter()
        .map(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).expect("readable");
            match request::from_toml(&text, &name, &|named| {
                std::fs::read_to_string(folder.join(named)).map_err(|error| error.to_string())
            }) {
                Ok(request) => (name, request),
                Err(report) => panic!("{report}"),
            }
        })
        .collect()
}

#[test]
fn shrinking_a_governed_dimension_by_one_step_is_noticed() {
    let mut tried = 0;
    for (name, request) in examples() {
        for design in solve(&request).designs {
            // A last rip that trims to a machine's least is shared by both sides: one step off either
            // side breaks the overall least only where rounding left nothing to spare.
            let clean = broken(&verify(&request, &design));
            for reason in &design.trace.reasons {
                let (Some((along, from)), Some(rule)) = (edge(&design, &reason.dimension), reason.decided_by) else {
                    continue;
                };
                // Where the blank's own edge is the carrier's, that is not for the carrier to govern.
                let bounds = design.blank.outline.bounds();
                let own = match along {
                    Along::X => bounds.x1 == design.carrier.length && from == design.carrier.length,
                    Along::Y => bounds.y1 == design.carrier.width && from == design.carrier.width,
                    Along::Z => false,
                };
                if own {
                    continue;
                }
                if reason.value == Length::ZERO || reason.dimension == "floor" && rule == Rule::StockExists {
                    continue;
                }
                // A depth for a flush blank is rounded down, so its unsafe side is deeper.
                let deeper = matches!(rule, Rule::AdhesiveCounted | Rule::BlankFlush | Rule::CrownWanted);
                let by = match along {
                    Along::Z if deeper => -request.depth_step(),
                    Along::Z => request.depth_step(),
                    _ => request.step(),
                };
                let mut smaller = design.clone();
                Shift { along, from, by }.design(&mut smaller);
                if reason.dimension == "strip.height" {
                    keep_slopes(&design, &mut smaller);
                }
                let new: Vec<_> =
                    broken(&verify(&request, &smaller)).into_iter().filter(|bad| !clean.contains(bad)).collect();
                tried += 1;
                let named = |bad: &(Rule, String)| bad.0 == rule || kin(rule).contains(&bad.0);
                assert!(
                    new.iter().any(named),
                    "{name}, {} ({}): {} less one step should break {}, but only {new:?} broke",
                    design.construction,
                    design.variant,
                    reason.dimension,
                    rule.id()
                );
            }
        }
    }
    assert!(tried > 200, "only {tried} dimensions tried");
}

/// Every screw as far out as it may be, its head no deeper and its hole no wider than they must: a step beyond is noticed.
#[test]
fn a_screw_one_step_farther_is_noticed() {
    let mut tried = 0;
    for (name, request) in examples() {
        for design in solve(&request).designs.iter().filter(|design| design.screws.is_some()) {
            let clean = broken(&verify(&request, design));
            let mut notices = |what: &str, rules: &[Rule], change: &dyn Fn(&mut Screws)| {
                let mut changed = design.clone();
                changed.screws.iter_mut().for_each(change);
                // It is bored as it is told, so that only the rule itself can complain.
                let (from, to) = (design.screws.as_ref().expect("screws"), changed.screws.clone().expect("screws"));
                for void in
                    changed.parts.iter_mut().flat_map(|part| &mut part.places).flat_map(|place| &mut place.voids)
                {
                    let Outline::Disc { centre, diameter } = &mut void.outline else { continue };
                    let Some(place) = from.places.iter().position(|at| at == centre) else { continue };
                    *centre = to.places[place];
                    match void.kind {
                        VoidKind::ScrewHole => (*diameter, void.z0) = (to.hole, to.countersink),
                        VoidKind::Countersink => void.z1 = to.countersink,
                        _ => {}
                    }
                }
                let new: Vec<_> =
                    broken(&verify(&request, &changed)).into_iter().filter(|bad| !clean.contains(bad)).collect();
                assert!(
                    new.iter().any(|bad| rules.contains(&bad.0)),
                    "{name}, {}: {what}: {new:?}",
                    design.construction
                );
                tried += 1;
            };
            let (step, depth) = (request.step(), request.depth_step());
            let last = design.screws.iter().map(|screws| screws.places.len()).sum::<usize>() - 1;
            notices("lead", &[Rule::ScrewPlaces], &|screws| screws.places[0].x -= step);
            notices("fence", &[Rule::ScrewPlaces, Rule::ScrewHead], &|screws| screws.places[0].y -= step);
            notices("trail", &[Rule::ScrewPlaces], &|screws| screws.places[last].x += step);
            notices("far", &[Rule::ScrewPlaces], &|screws| screws.places[last].y += step);
            notices("head", &[Rule::ScrewHead], &|screws| {
                (screws.sunk, screws.countersink) = (screws.sunk - depth, screws.countersink - depth);
                (screws.tip, screws.bite) = (screws.tip - depth, screws.bite - depth);
            });
            notices("hole", &[Rule::MovementFree, Rule::ScrewPlaces], &|screws| screws.hole -= Length::inches(1, 64));
            notices("tip", &[Rule::ScrewTip], &|screws| {
                let by = Length::inches(1, 4);
                (screws.length, screws.tip, screws.bite) = (screws.length + by, screws.tip + by, screws.bite + by);
            });
        }
    }
    assert!(tried > 20, "only {tried} tried");
}
