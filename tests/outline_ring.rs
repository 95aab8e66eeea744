//! A nest sawn through a ring on a base, worked out by hand (common practice, no published source; areas
//! by plane geometry), and the same with the wrong saw.

use sledwright::design::{Design, Operation, Status, VoidKind};
use sledwright::geometry::Outline;
use sledwright::length::Length;
use sledwright::plan::{Plan, plan};
use sledwright::request::{self, Request, Tool};
use sledwright::rules::Rule;
use sledwright::solve::solve;
use sledwright::verify::verify;

/// `whole` and `n/d` inches.
fn inch(whole: i64, n: i64, d: i64) -> Length {
    Length::inches(whole * d + n, d)
}

/// A plate 10 x 5 with a notch 2 wide and 2 deep in its far side, measured to 1/32; sharp corners all.
fn request(tools: &str) -> Request {
    let job = format!(
        r#"
[machine]
use = "roller-carver-medium"
[shop]
tools = [{tools}]
[carrier]
construction = "outline-nest"
[blank]
shape = "outline"
thickness = ".735"
outline-error = "1/32"
points = [["0", "0"], ["10", "0"], ["10", "5"], ["6", "5"], ["6", "3"], ["4", "3"], ["4", "5"], ["0", "5"]]
[carve]
depth = "1/8"
[hold]
by = "tape"
"#
    );
    match request::from_toml(&job, "job.toml", &|_| Err("no files here".to_owned())) {
        Ok(request) => request,
        Err(report) => panic!("{report}"),
    }
}

const SAWS: &str = r#""table saw", "mitre saw", "jigsaw""#;

fn design(request: &Request) -> Design {
    match plan(request) {
        Plan::Ready { design, .. } => *design,
        Plan::Nothing(outcome) => panic!("nothing fits: {:#?}", outcome.rejected),
        Plan::Disagree { broken, .. } => panic!("verify disagrees: {broken:#?}"),
    }
}

#[test]
fn a_plate_with_a_notch() {
    let design = design(&request(SAWS));
    assert_eq!(design.construction, "outline-nest");
    // The nest stands 1/32 + 1/64 = 3/64 off: 10-3/32 x 5-3/32. Ends 4 each (cutter to roller 3-1/4 and grip
    // 3/4, from the largest blank), rails 3/4 each.
    assert_eq!((design.carrier.length, design.carrier.width), (inch(18, 3, 32), inch(6, 19, 32)));
    // .735 + tape 1/64 = .7506, so a ring of 3/4, on the thinnest sheet of 3/8 or more that is plywood 15/32.
    assert_eq!(design.carrier.thickness, inch(0, 3, 4) + inch(0, 15, 32));
    let [pocket] = design.pockets.as_slice() else { panic!("one pocket") };
    assert_eq!((pocket.z0, pocket.z1), (inch(0, 15, 32), inch(1, 7, 32)));
    // Area: the plate 10 x 5 - 2 x 2 = 46 sq in; by Steiner's formula for its six outside corners of 90
    // degrees and its two inside ones, r = 3/64, perimeter 34: 46 + 34 r + 6 (pi / 4) r^2 - 2 r^2
    // = 46 + 1.59375 + .01036 - .00439 = 47.5997 sq in. At the two inside corners of the notch's mouth wood
    // reaches in with convex corners, so nothing is rounded there; a tongue of 2 - 3/32 is no thin neck.
    let Outline::Path(nest) = &pocket.outline else { panic!("a path") };
    let square_inches = nest.area_mm2() / 645.16;
    // The two corners of the tongue of wood are rounded by half the thinnest neck, 1/8: each gains
    // (1 - pi / 4) / 64 = .00335 sq in.
    assert!((square_inches - (47.5997 + 0.0067)).abs() < 0.006, "{square_inches}");
    let voids = || design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
    assert!(!voids().any(|void| void.kind == VoidKind::Relief), "a saw gets into the corners");
    assert_eq!(voids().filter(|void| void.kind == VoidKind::FingerGap).count(), 2);
    // The base is whole: what is cut away belongs to the ring.
    let names: Vec<&str> = design.parts.iter().map(|part| part.name.as_str()).collect();
    assert_eq!(names, ["base", "ring"]);
    assert!(design.parts[0].places[0].voids.iter().all(|void| void.kind == VoidKind::ClippedCorner));
    // Sawn before it is glued up, with the jigsaw, and marked as a cut for care.
    let steps = &design.cut_list.steps;
    let sawn = steps.iter().position(|step| step.operation == Operation::SawRound).expect("sawn");
    let glued = steps.iter().position(|step| step.operation == Operation::GlueUp).expect("glued");
    assert!(sawn < glued && steps[sawn].tool == "jigsaw" && steps[sawn].careful);
}

#[test]
fn a_band_saw_does_not_get_inside() {
    let refused = solve(&request(r#""table saw", "mitre saw", "band saw""#));
    assert!(refused.designs.is_empty());
    let ring = refused.rejected.iter().find(|rejected| rejected.variant == "ring on a base").expect("looked at");
    assert!(ring.conflict.clashes.iter().any(|clash| clash.rule == Rule::ToolOwned), "{ring:?}");
    // Nor does the verification let it pass, whoever owns one.
    let mut request = request(SAWS);
    request.shop.tools.insert(Tool::BandSaw);
    let mut design = design(&request);
    for step in &mut design.cut_list.steps {
        if step.operation == Operation::SawRound {
            step.tool = "band saw";
        }
    }
    let broken = verify(&request, &design);
    assert!(broken.iter().any(|check| check.rule == Rule::ToolOwned && check.status == Status::Fail));
}

#[test]
fn whoever_can_sink_a_pocket_sinks_it() {
    let design = design(&request(&format!("{SAWS}, \"router\"")));
    // One board and nothing to saw free-hand.
    assert_eq!(design.parts.len(), 1);
}
