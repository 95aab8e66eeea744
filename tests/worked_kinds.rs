//! Worked carriers for kinds of blank that are no plain board: tapering in thickness. Sizes by hand, by
//! common practice (no published source), the arithmetic beside each case.
//!
//! House machine (`roller-carver-medium`, invented): 4 in of end allowance at each end, rails of 3/4; a
//! tape reads to 1/32 and the slip is 1/64 a side, so a pocket is the blank plus 1/16.

use sledwright::design::{Design, Operation, Role, VoidKind};
use sledwright::geometry::{Outline, Rect};
use sledwright::length::Length;
use sledwright::plan::check;
use sledwright::request::{self, Request};
use sledwright::rules::Rule;

#[path = "support/carriers.rs"]
mod carriers;
#[path = "support/parts.rs"]
mod parts;
use carriers::{design, inch, read, refused};
use parts::{part, sizes};

fn try_read(job: &str) -> Result<Request, String> {
    request::from_toml(job, "job.toml", &|_| Err("no files here".to_owned())).map_err(|report| report.to_string())
}

fn broken(request: &Request, mut design: Design) -> Vec<Rule> {
    check(request, &mut design).iter().map(|check| check.rule).collect()
}

fn shingle(extra: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "15"
width = "7"
thickness = "3/4"
thickness-measured = "caliper"
{extra}
"#
    )
}

/// 15 x 7, 3/4 thick at the lead end and 3/8 at the trail end. Rails 3/4 + 1/16 under the thick end =
/// 13/16, on 15/32 plywood 1-9/32; 15-1/16 + 8 = 23-1/16 long, 7-1/16 + 1-1/2 = 8-9/16 wide. Wedges from
/// 1/16 to 1/16 + 3/8 = 7/16 over 15 in; 10 in up 1/16 + 10/15 x 3/8 = 5/16. Two spaces of 3-1/2 in
/// across: wedges 3/4 wide at both edges (3/4 and 7 from the fence edge) and about the middle, 4-1/4 - 3/8.
#[test]
fn shingle_levelled_on_wedges() {
    let design = design(&shingle("thin-thickness = \"3/8\""));
    assert_eq!(design.construction, "taper-in-thickness");
    assert_eq!(sizes(&design), [inch(23, 1, 16), inch(8, 9, 16), inch(1, 9, 32)]);
    let wedge = part(&design, Role::WedgeShim);
    let plans: Vec<Rect> = wedge.places.iter().map(|place| place.outline.bounds()).collect();
    let at = |y: Length| Rect::sized(inch(4, 0, 1), y, inch(15, 0, 1), inch(0, 3, 4));
    assert_eq!(plans, [at(inch(0, 3, 4)), at(inch(3, 7, 8)), at(inch(7, 0, 1))]);
    for place in &wedge.places {
        let base = inch(0, 15, 32);
        let top = |along: i64| place.top_at(inch(4 + along, 0, 1), inch(1, 0, 1)) - base;
        assert_eq!([top(0), top(10), top(15)], [inch(0, 1, 16), inch(0, 5, 16), inch(0, 7, 16)]);
    }
    // Top of the blank: base, foot of the wedge and thick end.
    assert_eq!(design.blank.z1, design.carrier.thickness);
    // Sawn off a board of 15 in: 3 x (7/16 + 1/8) and 3 in that stay on the sled, 4-11/16.
    let sawn = design.cut_list.steps.iter().find(|step| step.operation == Operation::TaperRip).expect("sawn");
    assert_eq!((sawn.before.length, sawn.before.width, sawn.times), (inch(15, 0, 1), inch(4, 11, 16), 3));
    assert!(design.steps.iter().any(|step| step.text.contains("THICK end hard against the lead wall")));
}

/// The same shingle with its butt along the fence: 3/8 in 7 falls 1 in 18-2/3. Four spaces of 3-3/4 in
/// along 15, so five wedges, 7 in long and low at the fence. Under 12 in they are sawn at the end of a
/// longer board, 7 + 1/8 + 6 = 13-1/8, at the same slope: 1/16 + 3/8 x 13-1/8 / 7 = 0.766, to 1/64: 49/64.
#[test]
fn shingle_thick_along_the_fence() {
    let design = design(&shingle("thin-thickness = \"3/8\"\nthick-side = \"fence\""));
    let wedge = part(&design, Role::WedgeShim);
    assert_eq!(wedge.places.len(), 5);
    for place in &wedge.places {
        let top = |y: Length| place.top_at(inch(4, 1, 8), y) - inch(0, 15, 32);
        assert_eq!([top(inch(0, 3, 4)), top(inch(7, 3, 4))], [inch(0, 1, 16), inch(0, 7, 16)]);
        assert_eq!(place.voids[0].kind, VoidKind::SlopeAcross);
    }
    let sawn = design.cut_list.steps.iter().find(|step| step.operation == Operation::TaperRip).expect("sawn");
    assert_eq!(sawn.before.length, inch(13, 1, 8));
    assert!(sawn.note.contains("49/64"), "{}", sawn.note);
}

/// From 2-1/2 to 1/2 over 15 in falls 2 in 15: eight times 2 is 16, an inch more than there is.
#[test]
fn too_steep_to_stay_on_its_wedges() {
    let steep = shingle("thin-thickness = \"1/2\"").replace("\"3/4\"", "\"2-1/2\"");
    let (_, outcome) = refused(&steep);
    let own = outcome.rejected.iter().find(|one| one.construction == "taper-in-thickness").expect("tried");
    assert_eq!(own.conflict.clashes[0].rule, Rule::WedgeSlope);
    assert_eq!(own.conflict.shortfall, inch(1, 0, 1));
    // Laid flat its top would be 2 in out of level.
    let flat = outcome.rejected.iter().find(|one| one.construction == "rails-on-base").expect("tried");
    assert_eq!((flat.conflict.clashes[0].rule, flat.conflict.shortfall), (Rule::WedgeShim, inch(2, 0, 1)));
}

/// Several that do not lie flat are not laid into a gang's flat pockets: each goes on its own shims.
#[test]
fn a_gang_has_no_shims() {
    for (uneven, own) in [("thin-thickness = \"3/8\"", "taper-in-thickness"), ("cup = \"1/8\"", "shimmed")] {
        assert_eq!(design(&shingle(&format!("count = 4\n{uneven}"))).construction, own);
    }
}

/// A cut of 1/2 would come out of the thin end, which is 3/8.
#[test]
fn no_cut_deeper_than_the_thin_end() {
    let deep = shingle("thin-thickness = \"3/8\"") + "[carve]\ndepth = \"1/2\"\n";
    let said = try_read(&deep).expect_err("refused");
    assert!(said.contains("thin end"), "{said}");
    let parallel = try_read(&shingle("thin-thickness = \"3/4\"")).expect_err("refused");
    assert!(parallel.contains("not less than"), "{parallel}");
}

#[test]
fn wedges_that_do_not_fit_are_noticed() {
    let job = shingle("thin-thickness = \"3/8\"");
    let request = read(&job);
    let good = design(&job);
    assert_eq!(broken(&request, good.clone()), []);
    let wedges = |design: &mut Design, change: &dyn Fn(&mut sledwright::design::Place)| {
        let part = design.parts.iter_mut().find(|part| part.role == Role::WedgeShim).expect("wedges");
        part.places.iter_mut().for_each(change);
    };
    let mut thin = good.clone();
    wedges(&mut thin, &|place| place.voids[0].z0 -= inch(0, 1, 64));
    assert!(broken(&request, thin).contains(&Rule::WedgeShim));
    let mut across = good.clone();
    wedges(&mut across, &|place| place.voids[0].kind = VoidKind::SlopeAcross);
    assert!(broken(&request, across).contains(&Rule::WedgeShim));
    let mut few = good.clone();
    few.parts.iter_mut().filter(|part| part.role == Role::WedgeShim).for_each(|part| drop(part.places.remove(1)));
    // 7 in less two wedges of 3/4 leave 5-1/2 bare.
    assert!(broken(&request, few).contains(&Rule::WedgeShim));
    let mut away = good;
    let slid = inch(0, 1, 32);
    if let Outline::Rect(rect) = &mut away.blank.outline {
        *rect = rect.moved(slid, Length::ZERO);
    }
    assert!(broken(&request, away).contains(&Rule::LowStop));
}

fn pendants(count: u32, extra: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "3/4"
width = "1/2"
thickness = "1/4"
thickness-measured = "caliper"
count = {count}
{extra}
"#
    )
}

/// Pendants of 3/4 x 1/2, carved all over with a 1/8 cutter. Between them 1/8 + 1/8 for the cutter, more
/// than the saw's 1/8 + 2 x 1/64: one every inch. Lifting force 2 lbf, tape 2 psi: each needs 3 x 2 / 2 =
/// 3 sq in, so the strip is 3 wide, 1-1/4 beside the parts. Ten: 2 x 1/4 + 10 x 3/4 + 9 x 1/4 = 10-1/4.
/// Pocket 10-5/16 x 3-1/16; ends of 4 less the credit of 1/4 - 1/8 left of the strip's end = 3-7/8:
/// 18-1/16 x 4-9/16.
#[test]
fn pendants_carved_in_one_strip() {
    let job = pendants(10, "from-strip = true\n[carve]\ncutter = \"1/8\"\ndepth = \"3/32\"");
    let design = design(&job);
    let request = read(&job);
    let strip = request.blank.strip.as_ref().expect("a strip");
    assert_eq!((strip.total(), strip.across()), (inch(10, 1, 4), inch(3, 0, 1)));
    assert_eq!((strip.web, strip.end, strip.side, strip.each), (inch(0, 1, 4), inch(0, 1, 4), inch(1, 1, 4), 10));
    assert_eq!([design.carrier.length, design.carrier.width], [inch(18, 1, 16), inch(4, 9, 16)]);
    // The first at 3-7/8 + 1/4 and 3/4 + 1-1/4, the last nine inches on.
    let parts = design.strip_parts(strip);
    let at = |x: Length| Rect::sized(x, inch(2, 0, 1), inch(0, 3, 4), inch(0, 1, 2));
    assert_eq!((parts[0], parts[9]), (at(inch(4, 1, 8)), at(inch(13, 1, 8))));
    // Half way between the first two: 4-1/8 + 3/4 + 1/8.
    assert_eq!(design.strip_cuts(strip)[1].map(|end| end.x), [inch(5, 0, 1); 2]);
    assert!(design.steps.last().is_some_and(|step| step.text.contains("bench hook") && step.caution.is_some()));
}

/// Sawn apart with a power saw the same strip is held by 6 in at both ends: 12 + 7-1/2 + 2-1/4 = 21-3/4.
#[test]
fn a_power_saw_wants_ends_to_hold() {
    let request = read(&pendants(10, "from-strip = true\ncut-apart = \"power-saw\"\n[carve]\ncutter = \"1/8\""));
    let strip = request.blank.strip.as_ref().expect("a strip");
    assert_eq!((strip.total(), strip.end), (inch(21, 3, 4), inch(6, 0, 1)));
}

/// Forty do not go into 24 in: (24 - 1/2 + 1/4) / 1 leaves room for 23, so two strips of twenty, each
/// 2 x 1/4 + 20 x 3/4 + 19 x 1/4 = 20-1/4 long.
#[test]
fn many_parts_make_strips_alike() {
    let job = pendants(40, "from-strip = true\n[carve]\ncutter = \"1/8\"\ndepth = \"3/32\"");
    let (request, design) = (read(&job), design(&job));
    let strip = request.blank.strip.as_ref().expect("a strip");
    assert_eq!((request.blank.count, strip.each, strip.total()), (2, 20, inch(20, 1, 4)));
    assert_eq!(design.strip_parts(strip).len(), 20 * design.blanks_at_once());
}

/// Tags of 3 x 2, carved 2 x 1 in the middle with a 1/4 cutter, which stays 1/2 - 1/8 - 1/16 inside: the
/// saw alone passes between them, 1/8 + 2 x 1/64 = 5/32. Lifting force 5 lbf: 7-1/2 sq in for each inch
/// of 3-5/32, so 2.376 wide; 0.188 on each side, to the next 1/32 7/32, makes 2-7/16. Four: 5 x 5/32 + 12.
#[test]
fn a_cutter_that_stays_inside_needs_the_kerf_only() {
    let job =
        pendants(4, "from-strip = true\n[carve]\nlength = \"2\"\nwidth = \"1\"\ncutter = \"1/4\"\ndepth = \"3/32\"");
    let job = job.replace("length = \"3/4\"", "length = \"3\"").replace("width = \"1/2\"", "width = \"2\"");
    let request = read(&job);
    let strip = request.blank.strip.as_ref().expect("a strip");
    assert_eq!((strip.total(), strip.across()), (inch(12, 25, 32), inch(2, 7, 16)));
    // The carve area of the strip: from 5/32 + 1/2 to as much from the other end.
    assert_eq!((request.carve.margin_lead, request.carve.length), (inch(0, 21, 32), inch(11, 15, 32)));
    assert_eq!((request.carve.margin_fence, request.carve.width), (inch(0, 23, 32), inch(1, 0, 1)));
}

/// One pendant alone, cut free all round: 3/8 sq in x 2 psi / 2 lbf = 0.375 against 3. The strip cures it.
#[test]
fn a_pendant_alone_is_refused_and_the_strip_named() {
    let job = pendants(10, "[carve]\ncutter = \"1/8\"\nthrough = \"all-round\"");
    let (_, outcome) = refused(&job);
    let held = outcome.rejected.iter().find(|one| one.construction == "blind-pocket").expect("tried");
    assert_eq!(held.conflict.clashes[0].rule, Rule::LiftFactor);
    assert!(held.conflict.clashes[0].text.contains("0.375, wanted 3"), "{:?}", held.conflict);
    let cures = sledwright::solve::cures(&read(&job), &outcome);
    let strip = cures.iter().find(|cure| cure.key == "blank.from-strip").expect("named");
    assert!(strip.text.contains("10-1/4 in long and 3 in wide"), "{}", strip.text);
}

#[test]
fn strips_that_make_no_sense_are_told() {
    let said = |extra: &str| try_read(&pendants(10, extra)).expect_err("refused");
    assert!(said("from-strip = true\n[carve]\nthrough = \"all-round\"").contains("fall out of their strip"));
    assert!(said("cut-apart = \"power-saw\"").contains("from-strip"));
    assert!(said("from-strip = true\ncup = \"1/16\"").contains("flat"));
}

#[test]
fn a_strip_that_breaks_its_rules_is_noticed() {
    let job = pendants(10, "from-strip = true\n[carve]\ncutter = \"1/8\"\ndepth = \"3/32\"");
    let (request, good) = (read(&job), design(&job));
    assert_eq!(broken(&request, good.clone()), []);
    let with = |change: &dyn Fn(&mut request::Strip)| {
        let mut changed = request.clone();
        change(changed.blank.strip.as_mut().expect("a strip"));
        broken(&changed, good.clone())
    };
    assert!(with(&|strip| strip.web -= inch(0, 1, 32)).contains(&Rule::StripWeb));
    assert!(with(&|strip| strip.end -= inch(0, 1, 32)).contains(&Rule::StripWeb));
    assert!(with(&|strip| strip.each = 9).contains(&Rule::StripWeb));
    assert!(with(&|strip| strip.cut_apart = request::CutApart::PowerSaw).contains(&Rule::HandHold));
    let mut strong = request.clone();
    strong.shop.estimates.lift_force_lbf = 2.1;
    assert!(broken(&strong, good).contains(&Rule::StripHold));
}

fn diagonal(extra: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[shop]
tools = ["table saw", "mitre saw", "router"]
[blank]
measured = "rule"
length = "10"
width = "4"
thickness = "3/4"
thickness-measured = "caliper"
{extra}
"#
    )
}

/// 10 x 4 at 30 degrees: box 10 cos 30 + 4 sin 30 = 10.6603 by 10 sin 30 + 4 cos 30 = 8.4641. A rule reads
/// to 1/64: half of it at each side, times the square root of two at the corners, is 0.2806 mm, taken as
/// 0.29; with the slip of 1/64 (0.3969) the nest stands 0.6869 mm = 0.0270 off, so 10.7143 by 8.5182. The
/// carved 4 x 1-1/2 leaves (10.6603 - 4) / 2 = 3.33 at the ends, less 3/16: 3.14 of the 4 wanted, but the
/// machine wants 16-1/8: (16.125 - 10.7143) / 2 = 2.705, to the mark 2-23/32, and 16.152 to 16-5/32.
/// Across 8.5182 + 1-1/2 = 10.018, to 10-1/32. The corner at the fence lies 4 sin 30 = 2 in from the box's
/// lead side: 2.7188 + 0.0270 + 2 = 4.7458 in from the lead end.
#[test]
fn drawer_front_set_at_thirty_degrees() {
    let design = design(&diagonal("angle = 30\n[carve]\nlength = \"4\"\nwidth = \"1-1/2\"\ndepth = \"1/4\""));
    assert_eq!(design.construction, "outline-nest");
    assert_eq!([design.carrier.length, design.carrier.width], [inch(16, 5, 32), inch(10, 1, 32)]);
    let bounds = design.blank.outline.bounds();
    let near = |length: Length, inches: f64| (length.to_inches() - inches).abs() < 2e-4;
    assert!(near(bounds.length(), 10.6603) && near(bounds.width(), 8.4641), "{bounds:?}");
    let Outline::Path(path) = &design.blank.outline else { panic!("no path") };
    let lowest = path.vertices().iter().map(|vertex| vertex.point).min_by_key(|point| point.y).expect("corners");
    assert!(near(lowest.x, 4.7458), "{lowest:?}");
}

/// The other way round the corner at the fence is the one that leads: from its lead side 10 cos 30 = 8.6603.
#[test]
fn a_negative_angle_turns_clockwise() {
    let design = design(&diagonal("angle = -30"));
    let Outline::Path(path) = &design.blank.outline else { panic!("no path") };
    let lowest = path.vertices().iter().map(|vertex| vertex.point).min_by_key(|point| point.y).expect("corners");
    let from_box = (lowest.x - path.bounds().x0).to_inches();
    assert!((from_box - 8.6603).abs() < 2e-4, "{from_box}");
}

#[test]
fn angles_that_make_no_sense_are_told() {
    let said = |extra: &str| try_read(&diagonal(extra)).expect_err("refused");
    assert!(said("angle = 0.5").contains("within a degree"));
    assert!(said("angle = 30\nturn = \"free\"").contains("contradict"));
    assert!(said("angle = 30\ncup = \"1/8\"").contains("`cup` and `angle`"));
    assert!(said("angle = 95").contains("from -89 to 89"));
    let past = read(&diagonal("angle = 30\n[carve]\nlength = \"9\"\nwidth = \"2\""));
    assert!(past.cautions.iter().any(|caution| caution.contains("slanting edges")), "{:?}", past.cautions);
}

#[test]
fn a_blank_at_another_angle_is_noticed() {
    let job = diagonal("angle = 30");
    let (request, good) = (read(&job), design(&job));
    assert_eq!(broken(&request, good.clone()), []);
    let mut other = request.clone();
    other.blank.angle.as_mut().expect("an angle").degrees = 30.1;
    assert!(broken(&other, good.clone()).contains(&Rule::SetAtAngle));
    // The mirrored angle has the same box.
    let mut mirrored = request;
    mirrored.blank.angle.as_mut().expect("an angle").degrees = -30.0;
    assert!(broken(&mirrored, good).contains(&Rule::SetAtAngle));
}

fn magnets(uncertainty: &str, carve: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[shop]
tools = ["table saw", "mitre saw", "band saw", "planer"]
[carrier]
construction = "repeat-loading"
[blank]
uncertainty = "{uncertainty}"
length = "9"
width = "5"
thickness = "3/4"
thickness-measured = "caliper"
count = 24
[carve]
depth = "1/8"
cutter = "1/8"
{carve}
"#
    )
}

/// Two dozen of 9 x 5, read to 1/64: pockets 9 + 1/64 + 1/8 for loading, to the mark 9-5/32, and 5-5/32. The
/// carved 8 x 4 leaves 1/2 less 1/8 at the ends: 4 - 3/8 = 3-5/8 each, 16-13/32 long. Keepers of 1-1/2 turn
/// in notches 1-1/2 + 1/4 + 1/8 = 1-7/8 wide and 1-9/16 deep, 3/4 left behind: rails of 2-5/16, both alike,
/// 9-25/32 wide. Rails 3/4 on 15/32: 1-7/32. The trail notch begins half of 5-5/32 - 1-7/8, 1-41/64, down to
/// 1-5/8, past the fence wall: 3-15/16, its middle at 4-7/8. Parked the disc's middle is 3/4 behind the
/// pocket, 12-25/32 + 3/4 = 13-17/32; its peg 1/8 nearer, and locked 1/4 nearer.
#[test]
fn magnets_loaded_again_and_again() {
    let design = design(&magnets("1/64", "length = \"8\"\nwidth = \"4\""));
    assert_eq!(design.construction, "repeat-loading");
    assert_eq!(sizes(&design), [inch(16, 13, 32), inch(9, 25, 32), inch(1, 7, 32)]);
    let notch = |role: Role| {
        let voids = &part(&design, role).places[0].voids;
        let void = voids.iter().find(|void| void.kind == VoidKind::KeeperNotch).expect("a notch");
        void.outline.bounds()
    };
    assert_eq!(notch(Role::TrailEnd), Rect::sized(inch(12, 25, 32), inch(3, 15, 16), inch(1, 9, 16), inch(1, 7, 8)));
    assert_eq!((notch(Role::FarRail).y0, notch(Role::FarRail).width()), (inch(7, 15, 32), inch(1, 9, 16)));
    let keepers = design.keepers();
    let trail = keepers.first().expect("keepers");
    let xs = [trail.park.x, trail.pivot.x, trail.lock.x];
    assert_eq!(xs, [inch(13, 17, 32), inch(13, 13, 32), inch(13, 9, 32)]);
    assert_eq!((trail.park.y, keepers.len()), (inch(4, 7, 8), 2));
    // 1/16 below the rails, which stand on 15/32.
    assert_eq!(part(&design, Role::Keeper).size.thickness, inch(0, 11, 16));
}

/// Read to 1/16 only, the pocket is 9-3/16 and the smallest blank 8-15/16: 1/4 + 1/32 kept for wear is 1/32
/// more than a keeper travels. Carved all over, the cutter would run 1/8 into the keepers.
#[test]
fn keepers_that_do_not_reach_or_are_cut() {
    let own = |job: &str| {
        let (_, outcome) = refused(job);
        let own = outcome.rejected.iter().find(|one| one.construction == "repeat-loading").expect("tried");
        (own.conflict.clashes[0].rule, own.conflict.shortfall)
    };
    assert_eq!(own(&magnets("1/16", "length = \"8\"\nwidth = \"4\"")), (Rule::KeeperTravel, inch(0, 1, 32)));
    assert_eq!(own(&magnets("1/64", "")), (Rule::KeeperClear, inch(0, 1, 8)));
}

#[test]
fn keepers_that_catch_or_miss_are_noticed() {
    let job = magnets("1/64", "length = \"8\"\nwidth = \"4\"");
    let (request, good) = (read(&job), design(&job));
    assert_eq!(broken(&request, good.clone()), []);
    let with = |change: &dyn Fn(&mut sledwright::design::Place)| {
        let mut design = good.clone();
        let keeper = design.parts.iter_mut().find(|part| part.role == Role::Keeper).expect("keepers");
        change(&mut keeper.places[0]);
        broken(&request, design)
    };
    assert!(with(&|keeper| keeper.z1 += inch(0, 1, 64)).contains(&Rule::KeeperClear));
    // 5/64 beyond the smallest blank's edge; 1/16 farther away leaves 1/64.
    let away = with(&|keeper| keeper.outline = keeper.outline.moved(inch(0, 1, 16), Length::ZERO));
    assert!(away.contains(&Rule::KeeperTravel) && away.contains(&Rule::KeeperClear), "{away:?}");
    let near = with(&|keeper| keeper.outline = keeper.outline.moved(-inch(0, 1, 64), Length::ZERO));
    assert!(near.contains(&Rule::KeeperTravel), "{near:?}");
    let aside = with(&|keeper| keeper.outline = keeper.outline.moved(Length::ZERO, inch(0, 1, 64)));
    assert!(aside.contains(&Rule::KeeperClear), "{aside:?}");
}
