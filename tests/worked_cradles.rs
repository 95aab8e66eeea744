//! Cradles worked out by hand: plane trigonometry of a round on a V and on two edges, and common
//! practice for what is left around it (no published source). The arithmetic stands beside each case.
//!
//! House machine (`roller-carver-medium`, invented): boards 16..96 in long, 4-1/2..13-1/2 in wide,
//! 3/8..3-1/2 in thick, guards 1/8, 1/16, 1/16; end allowance 4 in less the margin credited, wall at
//! least 3/4 in. A caliper reads to 0.005 in and the slip is 1/64 in a side. Base 15/32 in plywood.

use std::f64::consts::{FRAC_1_SQRT_2, SQRT_2};

use sledwright::design::{Design, JointKind, Operation, Role, Status, VoidKind};
use sledwright::geometry::cradle::{sink, vee_centre, vee_contact_aside, vee_contact_height};
use sledwright::length::Length;
use sledwright::request;
use sledwright::rules::Rule;
use sledwright::solve::{Outcome, cures, nearest_miss};
use sledwright::verify::verify;

#[path = "support/carriers.rs"]
mod carriers;
use carriers::{design, inch, read, refused};

/// Rules that stand against the cradle, over all its variants.
fn against(outcome: &Outcome) -> Vec<Rule> {
    let cradles = outcome.rejected.iter().filter(|rejected| rejected.construction == "cradle");
    cradles.flat_map(|rejected| rejected.conflict.clashes.iter().map(|clash| clash.rule)).collect()
}

fn near(found: Length, inches: f64) {
    assert!((found.to_inches() - inches).abs() < 5e-5, "{} in, worked out as {inches} in", found.to_inches());
}

/// Top of the base.
fn base(design: &Design) -> Length {
    design.parts.iter().find(|part| part.role == Role::Base).expect("a base").places[0].z1
}

/// Lines of contact, glued: height above the base and distance from the middle.
fn contacts(design: &Design) -> Vec<(Length, Length)> {
    let bounds = design.blank.outline.bounds();
    let middle = (bounds.y0 + bounds.y1).half();
    let dabs = design.joints.iter().filter(|joint| joint.kind == JointKind::GlueSpots && joint.between.1 == "blank");
    dabs.map(|joint| (joint.z0 - base(design), (joint.contact.y0 - middle).abs())).collect()
}

fn strips(design: &Design) -> &sledwright::design::Part {
    design.parts.iter().find(|part| part.role == Role::CradleStrip).expect("strips")
}

fn rod(length: &str, diameter: &str, rest: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
shape = "rod"
length = "{length}"
diameter = "{diameter}"
measured = "caliper"
[carve]
length = "10"
width = "1"
depth = "1/8"
{rest}"#
    )
}

/// Carved 1/2 in wide instead of 1.
fn narrow(job: &str) -> String {
    job.replace("width = \"1\"", "width = \"1/2\"")
}

#[test]
fn a_round_on_a_v_of_90_and_of_60_degrees() {
    let close = |found: f64, by_hand: f64| assert!((found - by_hand).abs() < 5e-5, "{found}, by hand {by_hand}");
    // 90 degrees, R = 1: sin 45 = cos 45 = 0.70711. Centre 1/0.70711 = std::f64::consts::SQRT_2, crown 1 more = 2.41421;
    // contact std::f64::consts::FRAC_1_SQRT_2^2/0.70711 = 0.70711 high, 0.70711 aside.
    let right = std::f64::consts::FRAC_PI_4;
    close(vee_centre(1.0, right), SQRT_2);
    close(vee_contact_height(1.0, right), FRAC_1_SQRT_2);
    close(vee_contact_aside(1.0, right), FRAC_1_SQRT_2);
    // 60 degrees, R = 1/2: sin 30 = 1/2, cos 30 = 0.86603. Centre 1, crown 3/2; contact
    // (1/2)(3/4)/(1/2) = 3/4 high, 0.43301 aside.
    let sharp = std::f64::consts::FRAC_PI_6;
    close(vee_centre(0.5, sharp), 1.0);
    close(vee_contact_height(0.5, sharp), 0.75);
    close(vee_contact_aside(0.5, sharp), 0.43301);
    // A gap of 1.2 R: R - sqrt(R^2 - 0.36 R^2) = R - 0.8 R = 0.2 R.
    close(sink(1.0, 1.2), 0.2);
    close(sink(2.5, 3.0), 0.5);
}

#[test]
fn a_rod_of_two_inches_on_a_right_angled_v() {
    let design = design(&rod("20", "2.000", ""));
    assert_eq!(design.construction, "cradle");
    assert!(design.variant.starts_with("V of 90 degrees"), "{}", design.variant);
    assert_eq!(base(&design), inch(0, 15, 32));
    // Crown above the base 2.41421; of the thinnest, R 0.9975: 2.40818, of the thickest, R 1.0025:
    // 2.42025. Rails down to 1/64: 2.40818 x 64 = 154.1 -> 154/64 = 2-13/32; the thickest then stands
    // 0.014 proud. In all 15/32 + 2-13/32 = 2-7/8.
    near(design.blank.z1 - base(&design), 2.41421);
    assert_eq!(design.carrier.thickness, inch(2, 7, 8));
    // Lines of contact std::f64::consts::FRAC_1_SQRT_2 above the base and to each side.
    assert_eq!(contacts(&design).len(), 2);
    for (up, aside) in contacts(&design) {
        near(up, FRAC_1_SQRT_2);
        near(aside, FRAC_1_SQRT_2);
    }
    // Strips: 0.70888 for the thickest + 1/8 = 0.83388 -> 27/32 high, cut back as far; wide enough for
    // a board of 3 in with the kerf between the two: (3 - 1/8)/2 = 1-7/16.
    let strips = strips(&design);
    assert_eq!((strips.size.thickness, strips.size.width), (inch(0, 27, 32), inch(1, 7, 16)));
    assert!(strips.places.iter().all(|place| {
        place.voids.iter().any(|void| void.kind == VoidKind::Bevel && void.outline.bounds().width() == inch(0, 27, 32))
    }));
    // Pocket 2-7/8; rails (4-9/16 - 2-7/8)/2 = 27/32; rod at 27/32 + (2-7/8 - 2)/2 = 1-9/32.
    assert_eq!(design.carrier.width, inch(4, 9, 16));
    assert_eq!(design.origin().y, inch(1, 9, 32));
    // 20 + 0.005 + 1/32 -> 20-1/16; margins of 5 leave walls of 3/4: 21-9/16.
    assert_eq!(design.carrier.length, inch(21, 9, 16));
    // At the side of the cut, 1/2 + overrun 1/16 = 0.5625 from the middle, the thinnest has fallen
    // 0.9975 - sqrt(0.9975^2 - 0.5625^2) = 0.9975 - 0.82377 = 0.17373; with the cut 0.29873.
    near(design.depth_below_top, 0.29873);
    // The V is ripped: two bevels on one board, then the board parted down its middle.
    let bevels: Vec<_> = design.cut_list.steps.iter().filter(|step| step.operation == Operation::BevelRip).collect();
    assert_eq!(bevels.len(), 1);
    assert_eq!((bevels[0].times, bevels[0].before.width, bevels[0].careful), (2, inch(3, 0, 1), true));
    assert!(bevels[0].before.length >= inch(12, 0, 1));
    let told = |words: &str| {
        design
            .steps
            .iter()
            .any(|step| step.text.contains(words) || step.caution.as_deref().is_some_and(|c| c.contains(words)))
    };
    assert!(told("TURN STOP") && told("freehand"), "{:#?}", design.steps);
}

#[test]
fn a_sharper_v_when_the_job_asks_for_it() {
    let design = design(&narrow(&rod("20", "1.000", "[carrier]\nv-angle = 60\n")));
    // R 1/2 in a V of 60 degrees: crown 3 R = 1-1/2, contact 3/4 up, 0.43301 aside.
    near(design.blank.z1 - base(&design), 1.5);
    for (up, aside) in contacts(&design) {
        near(up, 0.75);
        near(aside, 0.43301);
    }
}

#[test]
fn a_thick_rod_lies_on_two_edges_where_the_v_is_too_high() {
    let tools = "[shop]\ntools = [\"table saw\", \"mitre saw\", \"band saw\", \"planer\", \"drum sander\"]\n";
    let design = design(&rod("20", "2.750", tools));
    // On a V the thinnest reaches 1.20711 x 2.745 = 3.3135, with a base of 1/4 more than 3-7/16.
    assert!(design.variant.starts_with("two square edges"), "{}", design.variant);
    // Gap 0.6 x 2.75 = 1.65 -> 1-5/8. The thinnest, R 1.3725, sinks 1.3725 - sqrt(1.3725^2 - 0.8125^2) =
    // 1.3725 - 1.10617 = 0.26633; + 1/16 = 0.32883 -> strips 11/32 high.
    let strips = strips(&design);
    assert_eq!(strips.size.thickness, inch(0, 11, 32));
    let (fence, far) = (strips.places[0].outline.bounds(), strips.places[1].outline.bounds());
    assert_eq!(far.y0 - fence.y1, inch(1, 5, 8));
    // Its crown stands 0.34375 + 2.745 - 0.26633 = 2.82242 above the base -> rails 2-13/16; with 15/32
    // of base 3-9/32. The thickest: 0.34375 + 2.755 - 0.26514 = 2.83361, 0.021 proud.
    assert_eq!(design.carrier.thickness, inch(3, 9, 32));
    // Strips of 3/4 each: pocket 1-5/8 + 1-1/2 = 3-1/8, rails 3/4: 4-5/8.
    assert_eq!(design.carrier.width, inch(4, 5, 8));
    assert!(design.cut_list.steps.iter().all(|step| step.operation != Operation::BevelRip));
}

#[test]
fn a_shop_without_a_table_saw_builds_a_saddle() {
    let tools = "[shop]\ntools = [\"band saw\", \"mitre saw\", \"planer\"]\n";
    let design = design(&narrow(&rod("20", "1.000", tools)));
    assert!(design.variant.starts_with("two square edges"), "{}", design.variant);
    // Gap 0.6 -> 19/32; strips no thinner than 1/4. The thinnest sinks 0.4975 - sqrt(0.24751 - 0.08813) =
    // 0.09829: crown 0.25 + 0.995 - 0.09829 = 1.14671 -> rails 1-9/64.
    assert_eq!(strips(&design).size.thickness, inch(0, 1, 4));
    assert_eq!(design.carrier.thickness - base(&design), inch(1, 9, 64));
    for (up, aside) in contacts(&design) {
        assert_eq!((up, aside), (inch(0, 1, 4), inch(0, 19, 64)));
    }
}

fn half_round(up: &str, width: &str, height: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
shape = "half-round"
length = "20"
width = "{width}"
thickness = "{height}"
up = "{up}"
measured = "caliper"
[carve]
length = "10"
width = "1"
depth = "1/8"
"#
    )
}

#[test]
fn a_half_round_on_its_round_side() {
    let design = design(&half_round("flat", "3.000", "1.500"));
    // R 1.5. Flat above the base R (1.41421 - 1) + 1.5 = 2.12132. The smallest the readings allow, 2.995
    // by 1.495: R = (2.24251 + 2.23503)/2.99 = 1.49750; 0.41421 R + 1.495 = 2.11529 -> rails 135/64 =
    // 2-7/64. The largest, 3.005 by 1.505: 2.12736, 0.018 proud.
    near(design.blank.z1 - base(&design), 2.12132);
    assert_eq!(design.carrier.thickness - base(&design), inch(2, 7, 64));
    for (up, aside) in contacts(&design) {
        // 0.70711 x 1.5.
        near(up, 1.06066);
        near(aside, 1.06066);
    }
    // Strips 0.70711 x 1.50252 + 1/8 = 1.18744 -> 1-3/16; 1-3/16 + 1/2 = 1-11/16 wide each.
    assert_eq!((strips(&design).size.thickness, strips(&design).size.width), (inch(1, 3, 16), inch(1, 11, 16)));
    // The flat is level: the cut is as deep as it says.
    assert_eq!(design.depth_below_top, inch(0, 1, 8));
}

#[test]
fn a_shallow_half_round_does_not_lie_in_a_v() {
    // 3 wide and 1/2 high: R = (2.25 + 0.25)/1 = 2.5. A V of 90 degrees would touch it R (1 - 0.70711) =
    // 0.732 above its lowest point, above its flat. On two edges 0.6 x 3 = 1.8 -> 1-25/32 apart it sinks
    // about 0.1637 of its 1/2.
    let design = design(&half_round("flat", "3.000", "0.500"));
    assert!(design.variant.starts_with("two square edges"), "{}", design.variant);
    let (up, aside) = contacts(&design)[0];
    assert_eq!(aside, inch(0, 57, 64));
    // 2.5 - sqrt(6.25 - 0.89063^2) = 2.5 - 2.33594 = 0.16406.
    near(design.blank.z1 - base(&design) - up, 0.5 - 0.16406);
}

#[test]
fn a_half_round_on_its_flat_side() {
    let design = design(&(half_round("round", "2.500", "1.250") + "[hold]\nby = \"tape\"\n"));
    // Cloth tape 1/64: the lowest crown 1.245 + 0.01563 = 1.26063 -> rails 1-1/4, in all 1-23/32.
    assert_eq!(design.carrier.thickness, inch(1, 23, 32));
    // 2.505 + 1/32 = 2.53625 -> pocket 2-9/16; the blank 1/32 from either wall.
    let (room, blank) = (design.pockets[0].outline.bounds(), design.blank.outline.bounds());
    assert_eq!(room.width(), inch(2, 9, 16));
    assert_eq!((blank.y0 - room.y0, room.y1 - blank.y1), (inch(0, 1, 32), inch(0, 1, 32)));
    assert!(design.parts.iter().all(|part| part.role != Role::CradleStrip));
    assert!(design.steps.iter().any(|step| step.text.contains("pack BOTH sides")), "{:#?}", design.steps);
    // At 0.5625 from the middle: R - sqrt(R^2 - 0.31641). The roundest, 2.495 by 1.255, R = (1.55626 +
    // 1.57503)/2.51 = 1.24752: 1.24752 - sqrt(1.55631 - 0.31641) = 1.24752 - 1.11351 = 0.13401; with the
    // cut 0.25901.
    near(design.depth_below_top, 0.25901);
}

fn spindle(level: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
shape = "spindle"
length = "14"
diameter = "1.500"
small-diameter = "1.000"
thick-end = "lead"
level = "{level}"
measured = "caliper"
[carve]
length = "7"
width = "1/2"
depth = "1/16"
"#
    )
}

/// Height of the riser under the trail block; the lead block stands on the base.
fn rise(design: &Design) -> Length {
    let places = design.parts.iter().filter(|part| part.role == Role::CradleStrip).flat_map(|part| &part.places);
    let mut feet: Vec<_> = places.map(|place| (place.outline.bounds().x0, place.z0 - base(design))).collect();
    feet.sort();
    assert_eq!(feet.len(), 4);
    assert_eq!(feet[0].1, Length::ZERO);
    feet[3].1
}

#[test]
fn a_spindle_with_its_crown_level() {
    let design = design(&spindle("crown"));
    // Blocks 1-1/2 long, 1/2 from each end. They touch at their ends towards the thick end, 1/2 and 12
    // from the lead end: radii 0.75 - 0.25 x 0.5/14 = 0.74107 and 0.75 - 0.25 x 12/14 = 0.53571. The thin
    // one stands (0.74107 - 0.53571)(1 + 1.41421) = 0.49578 higher -> 1/2.
    assert_eq!(rise(&design), inch(0, 1, 2));
    // Crown over the blocks 2.41421 x 0.74107 = 1.78910 and 1/2 + 2.41421 x 0.53571 = 1.79333: at the lead
    // end 1.78892, at the trail end 1.79406, 0.005 out of level. 0.005 less in diameter takes 0.00604 off:
    // 1.78288 -> rails 114/64 = 1-25/32; with the base 2-1/4.
    assert_eq!(design.carrier.thickness, inch(2, 1, 4));
    near(design.blank.z1 - base(&design), 1.79406);
    let told = design.steps.iter().any(|step| step.text.contains("CROWN lies level"));
    assert!(told, "{:#?}", design.steps);
}

/// What `explain` says a dimension is.
fn reason(design: &Design, dimension: &str) -> Length {
    let found = design.trace.reasons.iter().find(|reason| reason.dimension == dimension);
    found.unwrap_or_else(|| panic!("no {dimension} in {:#?}", design.trace.reasons)).value
}

#[test]
fn each_block_of_a_spindle_has_its_own_figures() {
    let design = design(&spindle("crown"));
    // Radii where they touch 0.74107 and 0.53571, as above: contact R x 0.70711, crown R x 2.41421, the thin
    // block's on a riser of 1/2. The highest point is 1.79406, at the thin end.
    near(reason(&design, "thick-block.contact-height"), 0.52402);
    near(reason(&design, "thick-block.crown"), 1.78910);
    near(reason(&design, "thin-block.contact-height"), 0.37881);
    near(reason(&design, "thin-block.crown"), 1.79333);
    let highest = design.trace.reasons.iter().find(|reason| reason.dimension == "crown.above-base").expect("a crown");
    near(highest.value, 1.79406);
    assert!(highest.terms[0].label.contains("thin end"), "{highest:#?}");
}

#[test]
fn the_step_tells_the_crown_itself_and_the_rails_as_rails() {
    // Crown 15/32 + 2.41421 = 2.88296 -> 2-57/64 (2.89063); rails 2-7/8.
    let rod = design(&rod("20", "2.000", ""));
    let lay = rod.steps.iter().find(|step| step.text.starts_with("Lay the rod")).expect("laid");
    assert!(lay.text.contains("Crown 2-57/64 in above the bed face, rails 2-7/8 in"), "{}", lay.text);
}

#[test]
fn a_spindle_with_its_axis_level() {
    let design = design(&spindle("axis"));
    // (0.74107 - 0.53571) x 1.41421 = 0.29042 -> 19/64.
    assert_eq!(rise(&design), inch(0, 19, 64));
    // Centres 1.41421 x 0.74107 = 1.04803 and 0.29688 + 1.41421 x 0.53571 = 1.05449; at the lead end
    // 1.04803 - 0.5 x 0.00646/11.5 = 1.04775; crown there 0.75 more.
    near(design.blank.z1 - base(&design), 1.79775);
    let told = design.steps.iter().any(|step| step.text.contains("AXIS lies level"));
    assert!(told, "{:#?}", design.steps);
}

#[test]
fn the_thick_end_may_trail() {
    let lead = design(&spindle("crown"));
    let trail = design(&spindle("crown").replace("thick-end = \"lead\"", "thick-end = \"trail\""));
    // The same cradle the other way round.
    assert_eq!(lead.carrier, trail.carrier);
    let places = trail.parts.iter().filter(|part| part.role == Role::CradleRiser).flat_map(|part| &part.places);
    assert!(places.map(|place| place.outline.bounds().x1).all(|x| x < trail.carrier.length.half()));
}

#[test]
fn a_rod_read_by_tape_is_refused_until_it_is_calipered() {
    // A tape reads to 1/32: the crown of a rod of 1-3/4 lies anywhere within 1.20711 x 1/16 = 0.0754,
    // more than 1/32 above and 1/32 below the rails together.
    let by_tape = rod("20", "1-3/4", "").replace("measured = \"caliper\"", "measured = \"tape\"");
    let (_, outcome) = refused(&by_tape);
    assert!(against(&outcome).contains(&Rule::BlankFlushLimit), "{:#?}", outcome.rejected);
    let said = outcome.rejected.iter().any(|r| r.conflict.clashes.iter().any(|clash| clash.text.contains("caliper")));
    assert!(said, "{:#?}", outcome.rejected);
    let offered = cures(&read(&by_tape), &outcome);
    assert!(offered.iter().any(|cure| format!("{cure:?}").contains("caliper")), "{offered:#?}");
}

#[test]
fn a_reading_in_between_is_built_with_a_warning() {
    // 1/64 either way: 1.20711 x 1/32 = 0.0377 between the lowest crown and the highest. More than 1/32,
    // less than twice that.
    let by_rule = rod("20", "1-3/4", "").replace("measured = \"caliper\"", "measured = \"rule\"");
    let design = design(&by_rule);
    assert!(design.waived.contains(&Rule::CrownWanted), "{:?}", design.waived);
    // The thickest, 1.765625: 2.13130 above the base; 1/32 below is 2.10005 -> up to 2-7/64.
    assert_eq!(design.carrier.thickness - base(&design), inch(2, 7, 64));
}

#[test]
fn what_no_cradle_does() {
    let through = narrow(&rod("20", "1.500", "through = \"inside\"\n"));
    assert!(against(&refused(&through).1).contains(&Rule::FloorAfterCut));
    let taped = narrow(&rod("20", "1.500", "[hold]\nby = \"tape\"\n"));
    assert!(against(&refused(&taped).1).contains(&Rule::TurnStop));
    let wedged = narrow(&rod("20", "1.500", "[hold]\nby = \"wedge\"\n"));
    assert!(against(&refused(&wedged).1).contains(&Rule::HoldSuits));
}

#[test]
fn a_rod_too_thick_for_the_machine_is_told_so() {
    // 6 in and a base of 1/4 are more than 3-1/2 - 1/16, whatever is under it and whatever saw there is.
    let job = rod("20", "6.000", "");
    let (_, outcome) = refused(&job);
    let near = nearest_miss(&outcome, &cures(&read(&job), &outcome)).expect("something was tried").clone();
    assert_eq!(near.construction, "cradle");
    assert!(near.conflict.clashes.iter().any(|clash| clash.rule == Rule::ThicknessMax), "{near:#?}");
    assert!(!against(&outcome).contains(&Rule::ToolOwned), "{:#?}", outcome.rejected);
}

/// Overrun 1/16 each side; no farther from the crown line than 0.7 R.
#[test]
fn an_area_that_reaches_round_the_side_is_refused() {
    let refusal =
        |job: &str| request::from_toml(job, "job.toml", &|_| Err(String::new())).expect_err("too wide").to_string();
    let told = |job: &str, width: &str| {
        let text = refusal(job);
        assert!(text.contains("0.7 of the radius") && text.contains('^'), "{text}");
        assert!(text.contains(&format!("to at most {width}, in the middle")), "{width} not in:\n{text}");
    };
    // 1-3/4 across, 0.005 less at the least, carved over all of it: 0.7 x 0.8725 = 0.61075; 2 (0.61075 - 0.0625) = 1.0965
    // -> 1-3/32 (1.09375).
    let wide = |job: String, width: &str| job.replace("width = \"1\"", &format!("width = \"{width}\""));
    told(&wide(rod("20", "1.750", ""), "1-3/4"), "1-3/32 in");
    told(&wide(rod("20", "1.750", ""), "1-7/64"), "1-3/32 in");
    read(&wide(rod("20", "1.750", ""), "1-3/32"));
    // No width stated is all of it, and told at the diameter.
    let unstated = rod("20", "1.750", "").replace("width = \"1\"\n", "").replace("length = \"10\"\n", "");
    told(&unstated, "1-3/32 in");
    assert!(refusal(&unstated).contains("diameter = \"1.750\""), "{}", refusal(&unstated));
    // Set off by 1/8: (1.75 - 0.9375) / 2 = 0.40625 in the middle; 1/4 from the fence reaches 0.625 + 0.0625.
    let off = wide(rod("20", "1.750", ""), "15/16");
    read(&off);
    told(&off.replace("depth =", "from-fence = \"1/4\"\ndepth ="), "1-3/32 in");
    // A half-round 2.5 on its flat, 2.495 at the least: with a height of half of that R is least, 1.2475; by the heights
    // read, 1.245 to 1.255, no more than a hair above it: 2 (0.87325 - 0.0625) = 1.6215 -> 1-39/64. Flat side up there is
    // no limit.
    let tape = "[hold]\nby = \"tape\"\n";
    told(&wide(half_round("round", "2.500", "1.250") + tape, "1-11/16"), "1-39/64 in");
    read(&wide(half_round("round", "2.500", "1.250") + tape, "1-39/64"));
    read(&wide(half_round("flat", "2.500", "1.250"), "2-1/4"));
    // A spindle carved 7 of its 14 in: at the thin end of the area 3.5 in from the thin end, R = 0.4975 +
    // 0.25 x 3.5/14 = 0.56: 2 (0.392 - 0.0625) = 0.659 -> 21/32 (0.65625).
    let spindle_wide = |width: &str| spindle("crown").replace("width = \"1/2\"", &format!("width = \"{width}\""));
    told(&spindle_wide("43/64"), "21/32 in");
    read(&spindle_wide("21/32"));
}

#[test]
fn nonsense_is_refused_where_it_stands() {
    let cases = [
        (rod("20", "1.500", "").replace("diameter = \"1.500\"\n", ""), "[blank]", "does not state `diameter`"),
        (rod("20", "1.500", "").replace("shape", "thickness = \"1\"\nshape"), "thickness", "belongs to a half-round"),
        (half_round("flat", "2.000", "1.250"), "1.250", "more than half a round"),
        (half_round("flat", "4.000", "0.200"), "0.200", "hardly round"),
        (half_round("flat", "2.000", "1.000").replace("up =", "diameter = \"2\"\nup ="), "2.000", "one too many"),
        (spindle("crown").replace("\"1.000\"", "\"1.600\""), "1.600", "is not less than `diameter`"),
        (
            spindle("crown").replace("\"14\"", "\"6\"").replace("\"1.000\"", "\"0.200\""),
            "0.200",
            "steeper than 1 in 20",
        ),
        (rod("20", "1.500", "[carrier]\nv-angle = 120\n"), "120", "90"),
        (rod("20", "1.500", "").replace("shape", "narrow-width = \"1\"\nshape"), "narrow-width", "belongs to a taper"),
    ];
    for (job, at, words) in cases {
        let report = request::from_toml(&job, "job.toml", &|_| Err(String::new())).expect_err("nonsense");
        let text = report.to_string();
        assert!(text.contains(words), "no `{words}` in:\n{text}");
        assert!(text.contains('^') && text.contains("Mend:"), "no caret or no remedy:\n{text}");
        assert!(text.contains(at), "not at `{at}`:\n{text}");
    }
}

#[test]
fn a_diameter_alone_makes_half_of_a_whole_round() {
    let by_diameter = half_round("round", "2.500", "1.250")
        .replace("width = \"2.500\"\nthickness = \"1.250\"", "diameter = \"2.500\"");
    let request = read(&by_diameter);
    assert_eq!(request.blank.width.nominal, inch(2, 1, 2));
    assert_eq!(request.blank.thickness.expect("a height").nominal, inch(1, 1, 4));
}

/// Rules a changed design breaks that it did not break before.
fn breaks(job: &str, change: impl Fn(&mut Design)) -> Vec<Rule> {
    let (request, design) = (read(job), design(job));
    let bad = |design: &Design| -> Vec<Rule> {
        let checks = verify(&request, design);
        checks.iter().filter(|check| check.status != Status::Pass).map(|check| check.rule).collect()
    };
    let mut changed = design.clone();
    change(&mut changed);
    let before = bad(&design);
    bad(&changed).into_iter().filter(|rule| !before.contains(rule)).collect()
}

fn strips_of(design: &mut Design) -> impl Iterator<Item = &mut sledwright::design::Place> {
    let parts = design.parts.iter_mut().filter(|part| part.role == Role::CradleStrip);
    parts.flat_map(|part| &mut part.places)
}

#[test]
fn one_thing_changed_makes_its_rule_complain() {
    let rod = rod("20", "2.000", "");
    // Without glue nothing keeps it from turning; with glue on one side only neither.
    let unglued = |design: &mut Design| design.joints.retain(|joint| joint.kind != JointKind::GlueSpots);
    assert!(breaks(&rod, unglued).contains(&Rule::TurnStop));
    let one_sided = |design: &mut Design| {
        let dab = design.joints.iter().position(|joint| joint.kind == JointKind::GlueSpots).expect("glue");
        design.joints.remove(dab);
    };
    assert!(breaks(&rod, one_sided).contains(&Rule::TurnStop));
    let short = |design: &mut Design| {
        for joint in design.joints.iter_mut().filter(|joint| joint.kind == JointKind::GlueSpots) {
            joint.contact.x1 = joint.contact.x0 + inch(9, 0, 1);
        }
    };
    assert!(breaks(&rod, short).contains(&Rule::TurnStop));
    // Bevelled on boards too short or too narrow.
    let narrow = |design: &mut Design| {
        for step in design.cut_list.steps.iter_mut().filter(|step| step.operation == Operation::BevelRip) {
            step.before.width = inch(2, 31, 32);
        }
    };
    assert!(breaks(&rod, narrow).contains(&Rule::RoundsHeld));
    let uncut = |design: &mut Design| design.cut_list.steps.retain(|step| step.operation != Operation::BevelRip);
    assert!(breaks(&rod, uncut).contains(&Rule::RoundsHeld));
    // One strip steeper than the other.
    let steeper = |design: &mut Design| {
        if let Some(void) = strips_of(design).flat_map(|place| &mut place.voids).next()
            && let sledwright::geometry::Outline::Rect(cut) = &mut void.outline
        {
            cut.y0 += inch(0, 1, 32);
        }
    };
    assert!(breaks(&rod, steeper).contains(&Rule::CradleContact));
    // Rails a step higher: the thinnest rod is sunk (2.40818 under 2-27/64 = 2.42188).
    let higher = |design: &mut Design| {
        let top = design.carrier.thickness;
        design.carrier.thickness += inch(0, 1, 64);
        design.pockets[0].z1 += inch(0, 1, 64);
        for place in design.parts.iter_mut().flat_map(|part| &mut part.places).filter(|place| place.z1 == top) {
            place.z1 += inch(0, 1, 64);
        }
    };
    assert!(breaks(&rod, higher).contains(&Rule::CrownWanted));
    // A block 1/32 higher than it should be: 0.03 out over 11-1/2, more than 1/64 from end to end.
    let lifted = |design: &mut Design| {
        let low = strips_of(design).map(|place| place.z0).min().expect("strips");
        for place in strips_of(design).filter(|place| place.z0 > low) {
            (place.z0, place.z1) = (place.z0 + inch(0, 1, 32), place.z1 + inch(0, 1, 32));
            for void in &mut place.voids {
                (void.z0, void.z1) = (void.z0 + inch(0, 1, 32), void.z1 + inch(0, 1, 32));
            }
        }
    };
    assert!(breaks(&spindle("crown"), lifted).contains(&Rule::CradleLevel));
    assert!(breaks(&spindle("axis"), lifted).contains(&Rule::CradleLevel));
}

#[test]
fn a_slender_spindle_springs() {
    // 3/4 to 1/2 over 30, a cutter of 1/4 pushing with 10 lb (judgement). Free between the blocks 30 - 1 - 3
    // = 26. I = pi 0.495^4/64 = 0.00295 in^4; 10 x 26^3/(48 x 1.2e6 x 0.00295) = 1.04 in, 1/64 wanted.
    let slender = spindle("crown").replace("\"14\"", "\"30\"").replace("\"1.500\"", "\"0.750\"");
    let slender = slender.replace("\"1.000\"", "\"0.500\"").replace("width = \"1/2\"", "width = \"1/4\"");
    let design = design(&slender);
    assert!(design.waived.contains(&Rule::CradleSpan), "{:?}", design.waived);
}

#[test]
fn the_design_file_tells_the_cradle() {
    let job = rod("20", "2.000", "");
    let text = sledwright::output::json::render(&read(&job), &design(&job), &[]).expect("a design file");
    let file: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let cradle = &file["cradle"];
    assert_eq!((cradle["seat"].as_str(), cradle["v_angle"].as_u64()), (Some("v"), Some(90)));
    assert_eq!(cradle["stretches"].as_array().map(Vec::len), Some(1));
    // Apex 15/32 in = 11.906 mm; contact 0.70711 in = 17.961 mm above it and to each side; crown 2.41421 in =
    // 61.321 mm above it.
    let close = |value: &serde_json::Value, mm: f64| {
        let found = value["mm"].as_f64().expect("a length");
        assert!((found - mm).abs() < 0.002, "{found} mm, by hand {mm} mm");
    };
    close(&cradle["stretches"][0]["foot"], 11.906);
    close(&cradle["stretches"][0]["contact"], 29.867);
    close(&cradle["stretches"][0]["aside"], 17.961);
    close(&cradle["crown"], 73.227);
}
