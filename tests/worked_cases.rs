//! Worked carriers: sizes worked out by hand at the bench, by common practice (no published source),
//! against what the program designs. The arithmetic stands beside each case.
//!
//! House machine (`roller-carver-medium`, invented): boards 16..96 in long, 4-1/2..13-1/2 in wide,
//! 3/8..3-1/2 in thick, guards 1/8, 1/16, 1/16; cutter to roller 3-1/4, grip 3/4 wanted and 1/2
//! least, so 4 in of end allowance at each end; strip 1-1/4; window 1/2..13; reach 1 in.
//! A tape reads to 1/32 and the slip is 1/64 a side, so a pocket is the blank plus 1/16.

use sledwright::design::{Operation, PocketKind, Role, VoidKind};
use sledwright::geometry::Outline;
use sledwright::length::Length;
use sledwright::plan::check;
use sledwright::rules::Rule;
use sledwright::solve;

#[path = "support/carriers.rs"]
mod carriers;
#[path = "support/parts.rs"]
mod parts;
use carriers::{design, inch, read, refused};
use parts::{part, sizes};

fn mm(tenths: i64) -> Length {
    Length::micrometres(tenths * 100)
}

const SHORT_PLAQUE: &str = r#"
[job]
name = "Gull plaque"
[machine]
use = "roller-carver-medium"
[blank]
length = "9"
width = "6"
thickness = "3/4"
wood = "maple, sugar"
[hold]
by = "snug"
"#;

/// 9 x 6 x 3/4 in a blind pocket. Pocket 9-1/16 x 6-1/16; length 9-1/16 + 2 x 4 = 17-1/16; width
/// 6-1/16 + 2 x 3/4 = 7-9/16; 3/4 deep in 1 in board leaves a floor of 1/4. Blank centre (8-1/2,
/// 3-3/4) against carrier centre (8-17/32, 3-25/32).
#[test]
fn short_plaque_in_a_blind_pocket() {
    let design = design(SHORT_PLAQUE);
    assert_eq!(design.construction, "blind-pocket");
    assert_eq!(sizes(&design), [inch(17, 1, 16), inch(7, 9, 16), inch(1, 0, 1)]);
    let pocket = &design.pockets[0];
    assert_eq!(pocket.outline.bounds().length(), inch(9, 1, 16));
    assert_eq!(pocket.outline.bounds().width(), inch(6, 1, 16));
    assert_eq!(pocket.z1 - pocket.z0, inch(0, 3, 4));
    assert_eq!(pocket.z0, inch(0, 1, 4));
    assert_eq!((design.origin().x, design.origin().y), (inch(4, 0, 1), inch(0, 3, 4)));
    assert_eq!(design.centre_offset().x, inch(0, -1, 32));
    assert_eq!(design.centre_offset().y, inch(0, -1, 32));
    assert_eq!(design.parts.len(), 1);
    // Closure: 4 + 9 + 1/16 + 4, and 3/4 + 6 + 1/16 + 3/4.
    assert_eq!(inch(4, 0, 1) + inch(9, 0, 1) + inch(0, 1, 16) + inch(4, 0, 1), design.carrier.length);
}

/// A sharp blank needs relief at all four corners: at the datum corner with a 1/8 in radius,
/// 0.125^2 + 0.125^2 = 0.03125 > 0.015625. Run in diagonally it bites 0.293 x 1/8 = 0.037 in past
/// each wall and leaves 3/4 - 0.037 = 0.713 in.
#[test]
fn corners_of_a_routed_pocket_are_relieved() {
    let design = design(SHORT_PLAQUE);
    let relief = design.pockets[0].relief.expect("relieved");
    assert!((relief.bite.to_inches() - 0.0366).abs() < 0.0002);
    let reliefs = design.parts[0].places[0].voids.iter().filter(|void| void.kind == VoidKind::Relief);
    assert_eq!(reliefs.count(), 4);
}

/// The same blank on cloth tape of 1/64: 49/64 deep leaves 15/64 in 1 in stock, under the 1/4
/// wanted and over the 3/16 it must have: a warning there, none in 1-1/2 stock (floor 47/64).
#[test]
fn tape_thickness_counts_in_the_depth() {
    let taped = SHORT_PLAQUE.replace("snug", "tape");
    let thick = design(&taped);
    assert_eq!(thick.pockets[0].z1 - thick.pockets[0].z0, inch(0, 49, 64));
    assert_eq!(thick.pockets[0].z0, inch(0, 47, 64));
    assert!(!thick.waived.contains(&Rule::PocketFloorWanted));
    let only_inch = taped
        + r#"
[shop]
buy = false
[[stock]]
material = "mdf"
thickness = "1"
length = "48"
width = "24"
calipered = true
[carrier]
construction = "blind-pocket"
"#;
    let thin = design(&only_inch);
    assert_eq!(thin.pockets[0].z0, inch(0, 15, 64));
    assert!(thin.waived.contains(&Rule::PocketFloorWanted));
}

fn cut_free(cutter: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[shop]
tools = ["table saw", "mitre saw", "planer", "drum sander"]
[blank]
length = "10-1/2"
width = "5-1/4"
thickness = "7/8"
[carve]
depth = "1/4"
through = "all-round"
cutter = "{cutter}"
"#
    )
}

/// 10-1/2 x 5-1/4 x 7/8 cut free all round in a shop with saws only: taped, 1/64. Pocket 10-9/16 x
/// 5-5/16; 10-9/16 + 8 = 18-9/16; 5-5/16 + 1-1/2 = 6-13/16; rails 7/8 + 1/64 = 57/64, on 15/32
/// plywood 57/64 + 30/64 = 1-23/64. Tip 57/64 + 1/32 = 59/64 below the top.
#[test]
fn cut_free_all_round_with_saws_only() {
    let design = design(&cut_free("1/8"));
    assert_eq!(design.construction, "rails-on-base");
    assert_eq!(sizes(&design), [inch(18, 9, 16), inch(6, 13, 16), inch(1, 23, 64)]);
    assert_eq!(design.depth_below_top, inch(0, 59, 64));
    let rail = part(&design, Role::FenceRail);
    assert_eq!((rail.places.len(), rail.size.length), (2, inch(18, 9, 16)));
    assert_eq!((rail.size.width, rail.size.thickness), (inch(0, 3, 4), inch(0, 57, 64)));
    let end = part(&design, Role::LeadEnd);
    assert_eq!((end.places.len(), end.size.length, end.size.width), (2, inch(4, 0, 1), inch(5, 5, 16)));
    assert_eq!(part(&design, Role::Base).size.thickness, inch(0, 15, 32));
}

/// With a 1/4 bit the rail must be 1/2 + 1/4 + 1/16 = 13/16, so the carrier 5-5/16 + 1-5/8 = 6-15/16.
#[test]
fn a_larger_bit_widens_the_rails_of_a_perimeter_cut() {
    let design = design(&cut_free("1/4"));
    assert_eq!(part(&design, Role::FenceRail).size.width, inch(0, 13, 16));
    assert_eq!(design.carrier.width, inch(6, 15, 16));
    let reason = design.trace.find("fence-rail").expect("traced");
    assert_eq!(reason.decided_by, Some(Rule::PerimeterInside));
}

/// 12 x 10 x 3/4, glued: 12 + 8 = 20 long; two butt joints would lie in the strip, so a rail of
/// 1-1/4 is spliced on: 10 + 1-1/4 = 11-1/4 wide, 3/4 thick. Ends 4 x 10 out of one parent.
#[test]
fn full_width_but_too_short_gets_ends_and_a_spliced_rail() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "12"
width = "10"
thickness = "3/4"
[carrier]
construction = "end-extensions"
"#;
    let design = design(job);
    assert!(design.variant.contains("spliced"), "{}", design.variant);
    assert_eq!(sizes(&design), [inch(20, 0, 1), inch(11, 1, 4), inch(0, 3, 4)]);
    assert_eq!((design.origin().x, design.origin().y), (inch(4, 0, 1), inch(1, 1, 4)));
    let end = part(&design, Role::LeadEnd);
    assert_eq!((end.places.len(), end.size.length, end.size.width), (2, inch(4, 0, 1), inch(10, 0, 1)));
    // 2 x 4 + 2 x 1/8 + 6 = 14-1/4 at least, and the planer wants 16.
    let parent =
        design.cut_list.parents.iter().find(|parent| parent.yields.iter().any(|(id, _)| *id == end.id)).unwrap();
    assert!(parent.size.length >= inch(14, 1, 4));
    assert!(parent.size.length >= inch(16, 0, 1));
}

/// 18 long, 6 to 4-1/2 wide, 1 in 12: carried on over 4 in at the wide end 6-1/3. Width 1-1/4 +
/// 6.3333 + 1-1/4 = 8.8333, up to 8-27/32; length 26. Far rail 8.84375 - 1.25 - 6.33333 = 1.2604 at
/// the lead end, 8.84375 - 1.25 - 4.16667 = 3.4271 at the trail end.
#[test]
fn tapered_blank_gets_a_sloping_far_rail() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
shape = "taper"
length = "18"
width = "6"
narrow-width = "4-1/2"
wide-end = "lead"
thickness = "3/4"
"#;
    let design = design(job);
    assert_eq!(design.construction, "taper-in-plan");
    assert_eq!(sizes(&design), [inch(26, 0, 1), inch(8, 27, 32), inch(0, 3, 4)]);
    let Outline::Polygon(points) = &part(&design, Role::FarRail).places[0].outline else { panic!("sloping") };
    let lead = (design.carrier.width - points[0].y).to_inches();
    let trail = (design.carrier.width - points[1].y).to_inches();
    assert!((lead - 1.2604).abs() < 1e-4, "{lead}");
    assert!((trail - 3.4271).abs() < 1e-4, "{trail}");
    assert!((trail - lead) / 26.0 - 1.0 / 12.0 < 1e-6);
    let Outline::Polygon(points) = &part(&design, Role::LeadEnd).places[0].outline else { panic!("sloping") };
    // Lead end piece 6-1/3 to 6; the far sides of a piece are its third and fourth corners.
    assert!(((points[3].y - points[0].y).to_inches() - 6.33333).abs() < 1e-4);
    assert!(((points[2].y - points[1].y).to_inches() - 6.0).abs() < 1e-4);
}

/// 240 x 90 x 18 mm, reading to 0.5, slip 0.4 a side, ruler 0.5: pocket 241.3 up to 241.5 by 91.5;
/// end 101.6 up to 102; 241.5 + 204 = 445.5; rail 19.05 up to 19.5; 91.5 + 39 = 130.5. In 25 mm
/// board 18 deep leaves 7.
#[test]
fn metric_throughout() {
    let job = r#"
[job]
units = "mm"
[machine]
use = "roller-carver-medium"
[shop]
buy = false
[blank]
length = 240
width = 90
thickness = 18
[hold]
by = "snug"
[[stock]]
material = "mdf"
thickness = 25
length = 1200
width = 600
"#;
    let design = design(job);
    assert_eq!(design.construction, "blind-pocket");
    assert_eq!(sizes(&design), [mm(4455), mm(1305), mm(250)]);
    let pocket = &design.pockets[0];
    assert_eq!((pocket.outline.bounds().length(), pocket.outline.bounds().width()), (mm(2415), mm(915)));
    assert_eq!((pocket.z1 - pocket.z0, pocket.z0), (mm(180), mm(70)));
}

/// Six tiles 100 x 60 x 12 mm on tape: pockets 101.3 up to 101.5 by 61.3 up to 61.5, web 12.7 up to 13.
/// Two rows of three: 204 + 3 x 101.5 + 2 x 13 = 534.5 by 39 + 2 x 61.5 + 13 = 175, 935 cm2; three of
/// two: 420 by 39 + 184.5 + 26 = 249.5, 1048; one of six: 878 by 116.5, 1023; four of two leave two empty: 420 by 39 + 246 + 39 = 324, 1361; five rows take
/// 39 + 307.5 + 52 = 398.5, over 341.3.
/// 12 + 0.397 of tape, down to 12.3 deep, leave 12.7 of 25.
#[test]
fn six_tiles_in_rows() {
    let job = r#"
[job]
units = "mm"
[machine]
use = "roller-carver-medium"
[shop]
buy = false
[blank]
length = 100
width = 60
thickness = 12.0
count = 6
[carve]
depth = 1
cutter = 3
[[stock]]
material = "mdf"
thickness = 25
length = 1200
width = 600
"#;
    let design = design(job);
    assert_eq!(design.construction, "gang");
    assert_eq!(sizes(&design), [mm(5345), mm(1750), mm(250)]);
    let gang = design.gang.as_ref().expect("a gang");
    assert_eq!((gang.rows, gang.columns, gang.web), (2, 3, mm(130)));
    assert_eq!((gang.pitch.x, gang.pitch.y), (mm(1145), mm(745)));
    assert_eq!((design.pockets[5].z1 - design.pockets[5].z0, design.pockets[5].z0), (mm(123), mm(127)));
    let lengths: Vec<_> = gang.layouts.iter().filter(|layout| layout.refused.is_none()).map(|l| l.length).collect();
    assert_eq!(lengths, [mm(8780), mm(5345), mm(4200), mm(4200)]);
}

/// 20 x 6 x 3/4 with a carving of 10 x 4 in the middle: 5 in of waste at each end is more than the
/// 4 in it needs (even less the cutter's reach of 3/16), 20 >= 16-1/8, 6 >= 4-9/16.
#[test]
fn a_long_blank_with_waste_needs_no_carrier() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "20"
width = "6"
thickness = "3/4"
[carve]
length = "10"
width = "4"
"#;
    let design = design(job);
    assert_eq!(design.construction, "none");
    assert!(design.parts.is_empty());
}

/// 20 long, carved 12: margins 4, worth 3-13/16 less than the reach of 3/16: over the 3-3/4 it must
/// have, under the 4 wanted. No carrier, and a warning about the grip.
#[test]
fn waste_between_least_and_wanted_grip_is_a_warning() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "20"
width = "7"
thickness = ".75"
[carve]
length = "12"
width = "4"
"#;
    let design = design(job);
    assert_eq!(design.construction, "none");
    assert!(design.waived.contains(&Rule::GripWanted));
}

fn as_wide_as_the_machine(carve_width: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[shop]
buy = false
[blank]
length = "20"
width = "13-1/4"
thickness = "3/4"
[carve]
length = "20"
width = "{carve_width}"
[[stock]]
material = "hardboard"
thickness = "1/4"
length = "48"
width = "24"
"#
    )
}

/// 20 x 13-1/4 x 3/4: with rails 13-5/16 + 1-1/2 = 14-13/16, with a spliced rail 14-1/2, both over
/// 13-7/16. On a thin base: 28 x 13-1/4 x 1, with a warning. Only 1/2 to 13 from the fence can be cut.
#[test]
fn as_wide_as_the_machine_takes() {
    let design = design(&as_wide_as_the_machine("11-7/8"));
    assert_eq!(design.construction, "end-extensions");
    assert!(design.variant.contains("thin full base"), "{}", design.variant);
    assert_eq!(sizes(&design), [inch(28, 0, 1), inch(13, 1, 4), inch(1, 0, 1)]);
    assert!(design.waived.contains(&Rule::BaseWanted));
    let (_, outcome) = refused(&as_wide_as_the_machine("13-1/4"));
    let thin = outcome.rejected.iter().find(|one| one.variant.contains("thin full base")).expect("tried");
    assert!(thin.conflict.clashes.iter().any(|clash| clash.rule == Rule::CutterWindow), "{thin:?}");
}

fn holes_inside(penetration: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "9"
width = "6"
thickness = "3/4"
[carve]
through = "inside"
penetration = "{penetration}"
[carrier]
construction = "blind-pocket"
[hold]
by = "snug"
"#
    )
}

/// Holes through a blank of 3/4 over a blind pocket: in 1 in stock a penetration of 1/32 leaves 7/32,
/// enough; 1/8 would leave 1/8, so the stock becomes 1-1/2: floor 3/4, leaving 5/8, tip 7/8 down.
#[test]
fn through_cut_over_a_blind_pocket() {
    let little = design(&holes_inside("1/32"));
    assert_eq!((little.carrier.thickness, little.pockets[0].z0), (inch(1, 0, 1), inch(0, 1, 4)));
    let much = design(&holes_inside("1/8"));
    assert_eq!((much.carrier.thickness, much.pockets[0].z0), (inch(1, 1, 2), inch(0, 3, 4)));
    assert_eq!(much.depth_below_top, inch(0, 7, 8));
    // No push-out hole under a through cut.
    assert!(much.parts[0].places[0].voids.iter().all(|void| void.kind != VoidKind::PushOut));
}

fn rosette(depth: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "10"
width = "6"
thickness = "3/4"
relief-height = "3/8"
fragile = true
[carve]
depth = "{depth}"
[hold]
by = "tape"
"#
    )
}

/// A plaque of 10 x 6 x 3/4 with an ornament 3/8 high, lettered 1/8 deep below its border: the
/// depth is given from the highest thing on top, 3/8 + 1/8 = 1/2. Rails 3/4 + 1/64 + 3/8 + 1/16 =
/// 1-13/64; with the base of 15/32 1-43/64. 10-1/16 + 8 = 18-1/16; 6-1/16 + 2-1/2 = 8-9/16. Tip
/// 1/16 + 1/2 = 9/16 down. Bond 60 sq in x 2 / 5 lbf = 24 >= 4.
#[test]
fn fragile_top_under_a_bridge() {
    let design = design(&rosette("1/2"));
    assert_eq!(design.construction, "bridge");
    assert_eq!(sizes(&design), [inch(18, 1, 16), inch(8, 9, 16), inch(1, 43, 64)]);
    assert_eq!(design.depth_below_top, inch(0, 9, 16));
    assert_eq!(part(&design, Role::FenceRail).size.thickness, inch(1, 13, 64));
}

/// The same, 5/8 below the border: 1/16 + 3/8 + 5/8 = 1-1/16 > 1, over by 1/16. It would go at 1/16
/// less: 9/16 below the border, 15/16 from the highest point.
#[test]
fn too_deep_to_reach_is_refused_with_the_cure() {
    let (request, outcome) = refused(&rosette("1"));
    let bridge = outcome.rejected.iter().find(|one| one.construction == "bridge").expect("tried");
    assert_eq!(bridge.conflict.clashes[0].rule, Rule::DepthReach);
    assert_eq!(bridge.conflict.shortfall, inch(0, 1, 16));
    let cures = solve::cures(&request, &outcome);
    let cure = cures.iter().find(|cure| cure.key == "carve.depth").expect("a cure by depth");
    assert!(cure.text.contains("15/16"), "{}", cure.text);
}

/// A pendant of 3/4 x 1/2, 1/8 bit, cut free: 0.375 sq in x 2 psi / 2 lbf = 0.375, under 3. No way to
/// hold it; a larger strip, cut apart afterwards, is the cure.
#[test]
fn a_pendant_cannot_be_held() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "3/4"
width = "1/2"
thickness = "1/4"
[carve]
depth = "1/8"
through = "all-round"
cutter = "1/8"
"#;
    let (request, outcome) = refused(job);
    let framed = outcome.rejected.iter().find(|one| one.construction == "rails-on-base").expect("tried");
    assert_eq!(framed.conflict.clashes[0].rule, Rule::LiftFactor);
    assert!(framed.conflict.clashes[0].text.contains("0.375"), "{}", framed.conflict.clashes[0].text);
    let cures = solve::cures(&request, &outcome);
    assert!(cures.iter().any(|cure| cure.text.contains("strip")), "{cures:?}");
}

/// Without a thickness: length and width as ever, but no depth and nothing to cut.
#[test]
fn thickness_missing_gives_plan_sizes_only() {
    let design = design(&SHORT_PLAQUE.replace("thickness = \"3/4\"\n", ""));
    assert_eq!((design.carrier.length, design.carrier.width), (inch(17, 1, 16), inch(7, 9, 16)));
    assert!(!design.blank.thickness_known);
    assert!(design.cut_list.parents.is_empty() && design.cut_list.steps.is_empty());
}

/// "about 3/4" is read with 1/8 of doubt: the depth is 3/4 and the sheet says to set it from the piece.
#[test]
fn an_approximate_thickness_warns() {
    let design = design(&SHORT_PLAQUE.replace("\"3/4\"", "\"about 3/4\""));
    assert_eq!(design.pockets[0].z1 - design.pockets[0].z0, inch(0, 3, 4));
    assert!(design.waived.contains(&Rule::ThicknessKnown));
    assert!(design.warnings.iter().any(|warning| warning.contains("calipered")), "{:?}", design.warnings);
}

/// A strip of 24 x 3 with 6 in of waste at both ends: rails (4-9/16 - 3) / 2 = 25/32 would do for
/// the width, but without a base a rail is 1-1/4: 3 + 2-1/2 = 5-1/2 wide, 24 long.
#[test]
fn narrow_and_long_gets_side_rails() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "24"
width = "3"
thickness = "3/4"
[carve]
length = "12"
width = "2"
[carrier]
construction = "side-rails"
"#;
    let design = design(job);
    assert_eq!(sizes(&design), [inch(24, 0, 1), inch(5, 1, 2), inch(0, 3, 4)]);
    assert_eq!((design.origin().x, design.origin().y), (Length::ZERO, inch(1, 1, 4)));
    let reason = design.trace.find("fence-rail").expect("traced");
    assert_eq!(reason.decided_by, Some(Rule::RailWidth));
}

fn disc(extra: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
shape = "disc"
diameter = "8"
thickness = "3/4"
[hold]
by = "tape"
{extra}
"#
    )
}

/// A disc of 8: round of 8-1/16. With 4 in at each end 16-1/16, under the 16-1/8 the machine wants:
/// 1/32 more at each end, 16-1/8. Width 8-1/16 + 1-1/2 = 9-9/16. Depth 3/4 + 1/64 = 49/64.
#[test]
fn disc_in_a_sunk_round() {
    let design = design(&disc(""));
    assert_eq!(design.construction, "disc-nest");
    assert_eq!(design.carrier.length, inch(16, 1, 8));
    assert_eq!(design.carrier.width, inch(9, 9, 16));
    assert_eq!(design.pockets[0].kind, PocketKind::Blind);
    assert_eq!(design.pockets[0].z1 - design.pockets[0].z0, inch(0, 49, 64));
    let Outline::Disc { diameter, centre } = &design.pockets[0].outline else { panic!("round") };
    assert_eq!(*diameter, inch(8, 1, 16));
    assert_eq!((centre.x, centre.y), (inch(8, 1, 16), inch(4, 25, 32)));
    let reason = design.trace.find("carrier.length").expect("traced");
    assert_eq!(reason.decided_by, Some(Rule::LengthMin));
}

/// With a band saw and no router: two halves struck from jointed edges. Struck across 9-9/16 and then
/// ripped they would come out 8-1/16 - 1/8 = 7-15/16, too small; so the board starts at 9-9/16 + 1/8 +
/// 1/16 = 9-3/4 or more, and each half is 4-25/32 after 1/32 of jointing.
#[test]
fn split_nest_allows_for_the_kerf() {
    let request = read(&disc("[shop]\ntools = [\"table saw\", \"mitre saw\", \"band saw\", \"planer\"]"));
    let outcome = solve::solve(&request);
    let mut design = outcome.designs.into_iter().find(|design| design.variant.contains("half-rounds")).expect("split");
    assert_eq!(check(&request, &mut design), [], "verified");
    let split = part(&design, Role::NestHalf);
    assert_eq!(split.size.width, inch(4, 25, 32));
    let parent =
        design.cut_list.parents.iter().find(|parent| parent.yields.iter().any(|(id, _)| *id == split.id)).unwrap();
    assert!(parent.size.width >= inch(9, 3, 4), "{:?}", parent.size.width);
    let rip =
        design.cut_list.steps.iter().find(|step| step.piece == parent.id && step.operation == Operation::Rip).unwrap();
    assert_eq!(rip.setting, inch(4, 25, 32) + inch(0, 1, 32));
}

/// With straight saws only: a square pocket, corner blocks clear of the largest disc.
/// The corner is (sqrt 2 - 1) x 4-1/64 = 1.66 in from the disc, so legs stay under 1.66 x sqrt 2 = 2.35.
#[test]
fn disc_in_a_square_with_corner_blocks() {
    let design = design(&disc("[shop]\ntools = [\"table saw\", \"mitre saw\", \"planer\"]"));
    let blocks = part(&design, Role::CornerBlock);
    assert_eq!(blocks.places.len(), 4);
    let Outline::Polygon(points) = &blocks.places[0].outline else { panic!("triangle") };
    let leg = (points[1].x - points[0].x).to_inches();
    assert!(leg > 2.0 && leg < 2.35, "{leg}");
}

/// 24 x 6 x 1/8 with waste all round, on film of 0.005: a riser of its own size. On 15/32 plywood
/// 0.46875 + 0.005 + 0.125 = 0.59875 in.
#[test]
fn thin_stock_on_a_riser() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "24"
width = "6"
thickness = ".125"
[carve]
length = "14"
width = "4"
depth = "1/16"
"#;
    let design = design(job);
    assert_eq!(design.construction, "riser");
    assert_eq!(design.carrier.length, inch(24, 0, 1));
    assert!((design.carrier.thickness.to_inches() - 0.59875).abs() < 1e-9);
}

/// 9 x 6 x 3 thick in a frame without a base: 9 + 8 = 17, 6 + 2 x 1-1/4 = 8-1/2, 3 thick; rails of
/// 3 in are glued up of two boards of at most 1-3/4.
#[test]
fn thick_blank_in_a_frame_without_a_base() {
    let job = r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "9"
width = "6"
thickness = "3"
[carrier]
construction = "flush-frame"
"#;
    let design = design(job);
    assert_eq!(sizes(&design), [inch(17, 0, 1), inch(8, 1, 2), inch(3, 0, 1)]);
    assert_eq!(part(&design, Role::FenceRail).layers, 2);
    assert_eq!(design.blank.z0, Length::ZERO);
}

/// A typed end allowance of the common rule: 12 in with 3-1/2 at each end needs 19 in. Cutter to
/// roller 2-3/4 + 3/4 of grip = 3-1/2. The blank is glued in, so nothing is added for slip.
#[test]
fn common_length_rule() {
    let job = r#"
[machine]
use = "roller-carver-medium"
cutter-to-roller = "2-3/4"
[blank]
length = "12"
width = "6"
thickness = "3/4"
[carrier]
construction = "flush-frame"
"#;
    assert_eq!(design(job).carrier.length, inch(19, 0, 1));
}
