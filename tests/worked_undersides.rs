//! Worked carriers for blanks whose underside is no plain flat face: warped, or carved already. Sizes by
//! hand, by common practice (no published source), the arithmetic beside each case.
//!
//! House machine (`roller-carver-medium`, invented): 4 in of end allowance at each end, rails of 3/4; a
//! tape reads to 1/32 and the slip is 1/64 a side, so a pocket is the blank plus 1/16.

use sledwright::design::{Design, Role, VoidKind};
use sledwright::geometry::{Outline, Rect};
use sledwright::length::Length;
use sledwright::plan::check;
use sledwright::rules::Rule;

#[path = "support/carriers.rs"]
mod carriers;
#[path = "support/parts.rs"]
mod parts;
use carriers::{design, inch, read, refused};
use parts::{part, sizes};

fn cupped(extra: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[blank]
length = "14"
width = "8"
thickness = "13/16"
{extra}
"#
    )
}

/// 14 x 8 x 13/16, cupped 1/8, hollow down. Highest place 13/16 + 1/8 = 15/16, so rails and ends of
/// 15/16 on 15/32 plywood: 1-13/32. 14-1/16 + 8 = 22-1/16; 8-1/16 + 1-1/2 = 9-9/16. Shims of 1/8
/// under the centre line, none at the long edges; half way between, an arc of 1/8 stands 3/4 of it:
/// no place there, the 8 in are parted in two. Both faces flattened leave 13/16 - 1/8 = 11/16.
#[test]
fn cupped_board_on_shims() {
    let cupped_so = cupped("cup = \"1/8\"\nwanted-thickness = \"11/16\"");
    let design = design(&cupped_so);
    assert_eq!(design.construction, "shimmed");
    assert_eq!(sizes(&design), [inch(22, 1, 16), inch(9, 9, 16), inch(1, 13, 32)]);
    assert_eq!(part(&design, Role::FenceRail).size.thickness, inch(0, 15, 16));
    let shims = part(&design, Role::Shim);
    assert!(shims.places.iter().all(|shim| shim.z1 - shim.z0 == inch(0, 1, 8)), "{shims:#?}");
    // Blank's corner 4 and 3/4 in; its centre line at 4-3/4, shims 3/4 in wide about it.
    assert!(shims.places.iter().all(|shim| shim.outline.bounds().y0 == inch(4, 3, 8)), "{shims:#?}");
    assert!(design.steps.iter().any(|step| step.text.contains("shim map")));
}

/// A sixteenth more is wanted than flattening leaves: 13/16 - 1/8 = 11/16 against 3/4.
#[test]
fn too_thin_once_flattened() {
    let (_, outcome) = refused(&cupped("cup = \"1/8\"\nwanted-thickness = \"3/4\""));
    let shimmed = outcome.rejected.iter().find(|one| one.construction == "shimmed").expect("tried");
    assert_eq!(shimmed.conflict.clashes[0].rule, Rule::WarpBudget);
    assert_eq!(shimmed.conflict.shortfall, inch(0, 1, 16));
}

fn of_the_top(design: &Design) -> Vec<&str> {
    design.warnings.iter().map(String::as_str).filter(|warning| warning.contains("below the rails")).collect()
}

/// The cutter runs level with the rails while a cupped top falls away: 3/8 hollow down over 8 in is 3/8
/// lower at the long edges than along the middle, six times a cut of 1/16. Cut 1/4 deep and cupped 1/8,
/// half is left at the edges: 1/4 - 1/8 = 1/8.
#[test]
fn a_cut_that_misses_the_low_places_is_told() {
    let sixteenth = cupped("cup = \"3/8\"") + "[carve]\ndepth = \"1/16\"\n";
    let whole = design(&sixteenth);
    let told = of_the_top(&whole);
    assert_eq!(told.len(), 1, "{:#?}", whole.warnings);
    assert!(told[0].contains("falls 3/8 in below the rails") && told[0].contains("thins out to nothing"), "{told:?}");
    let quarter = design(&(cupped("cup = \"1/8\"") + "[carve]\ndepth = \"1/4\"\n"));
    let told = of_the_top(&quarter);
    assert!(told.len() == 1 && told[0].contains("only 1/8 in deep, 1/4 in asked"), "{told:?}");
    // Along the middle, 2 in wide: 1 in of the 4 from the middle to the edge, straight between the shims'
    // places 3/8 x 1/4 = 3/32, less than half of 1/4.
    let area = "[carve]\nlength = \"12\"\nwidth = \"2\"\ndepth = \"1/4\"\n";
    let middle = design(&(cupped("cup = \"3/8\"") + area));
    assert!(of_the_top(&middle).is_empty(), "{:#?}", middle.warnings);
}

/// Hollow up the middle is the low place: 3/8 below the edges, however narrow the carving in it.
#[test]
fn a_hollow_top_is_missed_in_the_middle() {
    let job =
        cupped("cup = \"3/8\"\ncup-hollow = \"up\"") + "[carve]\nlength = \"12\"\nwidth = \"2\"\ndepth = \"1/2\"\n";
    let design = design(&job);
    let told = of_the_top(&design);
    assert!(told.len() == 1 && told[0].contains("only 1/8 in deep, 1/2 in asked"), "{told:?}");
}

/// Hollow up the edges float: both long edges stand on shims of 1/8 and the middle on the base.
#[test]
fn hollow_up_the_edges_are_shimmed() {
    let design = design(&cupped("cup = \"1/8\"\ncup-hollow = \"up\""));
    let shims = part(&design, Role::Shim);
    assert!(shims.places.iter().all(|shim| shim.z1 - shim.z0 == inch(0, 1, 8)), "{shims:#?}");
    let rows: std::collections::BTreeSet<_> = shims.places.iter().map(|shim| shim.outline.bounds().y0).collect();
    // 3/4 and, ending at 8-3/4, 8.
    assert_eq!(rows.into_iter().collect::<Vec<_>>(), [inch(0, 3, 4), inch(8, 0, 1)]);
}

/// A corner that lifts 3/16 with the opposite one pressed down: both floating corners are shimmed
/// half of it, 3/32, so the highest place is 13/16 + 3/32 = 29/32 and the carrier 29/32 + 15/32 = 1-3/8.
/// Along the edges the shims shrink to half of that, 3/64, in the middle of the board too.
#[test]
fn twisted_board_on_shims() {
    let design = design(&cupped("twist = \"3/16\""));
    assert_eq!(design.carrier.thickness, inch(1, 3, 8));
    let underside = design.blank.underside.as_ref().expect("not flat");
    let (last_row, last) = (underside.rows.len() - 1, underside.rows[0].len() - 1);
    let corners = [(0, 0), (0, last), (last_row, 0), (last_row, last)].map(|(row, column)| underside.rows[row][column]);
    assert_eq!(corners, [Length::ZERO, inch(0, 3, 32), inch(0, 3, 32), Length::ZERO]);
    assert_eq!(underside.rows[last_row / 2][last / 2], inch(0, 3, 64));
}

/// Gaps read at the corners, 0 0 0 and 1/4 in: level, two corners stand 1/8 and two stand on the base
/// (zone half the lift of the corner), so 13/16 + 1/8 = 15/16.
#[test]
fn gaps_at_the_corners_are_laid_level() {
    let design = design(&cupped("gaps = [\"0, 0\", \"0, 1/4\"]"));
    let underside = design.blank.underside.as_ref().expect("not flat");
    let eighth = inch(0, 1, 8);
    assert_eq!(underside.rows, [[eighth, Length::ZERO], [Length::ZERO, eighth]]);
    assert_eq!(part(&design, Role::FenceRail).size.thickness, inch(0, 15, 16));
}

fn carved_down(flip: &str, from_fence: &str) -> String {
    format!(
        r#"
[machine]
use = "roller-carver-medium"
[shop]
tools = ["table saw", "mitre saw", "router", "planer"]
[blank]
length = "10"
width = "6"
thickness = "3/4"
[second-side]
relief-length = "7"
relief-width = "3-1/2"
from-lead = "1"
from-fence = "{from_fence}"
height = "3/16"
flip = "{flip}"
[hold]
by = "snug"
"#
    )
}

/// 10 x 6 x 3/4, relief of 7 x 3-1/2 standing 3/16 above its border, 1 in from the lead end and 3/4 in
/// from the fence edge as carved. Ledge 3/4 deep; room for the relief 3/16 + 1/16 = 1/4 deeper, so with
/// a floor of 1/4 the board is 3/4 + 1/4 + 1/4 = 1-1/4 or the next that is had: 1-1/2. Corner at 4, 3/4.
/// About the feed: y' = 6 - 3/4 - 3-1/2 = 1-3/4, x' = 1; grown 1/8: 7/8 to 8-1/8 by 1-5/8 to 5-3/8 from
/// the blank's corner, 4-7/8 to 12-1/8 by 2-3/8 to 6-1/8 in the carrier.
#[test]
fn second_side_rolled_over_about_the_feed() {
    let design = design(&carved_down("along", "3/4"));
    assert_eq!(design.construction, "second-side");
    assert_eq!(design.carrier.thickness, inch(1, 1, 2));
    assert_eq!(design.pockets[0].z1 - design.pockets[0].z0, inch(0, 3, 4));
    let room = &design.pockets[1];
    assert_eq!(room.z1 - room.z0, inch(0, 1, 4));
    let area = room.outline.bounds();
    assert_eq!([area.x0, area.x1, area.y0, area.y1], [inch(4, 7, 8), inch(12, 1, 8), inch(2, 3, 8), inch(6, 1, 8)]);
}

/// End for end: x' = 10 - 1 - 7 = 2, y' = 3/4; grown 1/8: 1-7/8 to 9-1/8 by 5/8 to 4-3/8 from the blank's
/// corner; the narrowest ledge is 5/8.
#[test]
fn second_side_turned_end_for_end() {
    let design = design(&carved_down("across", "3/4"));
    let area = design.pockets[1].outline.bounds();
    assert_eq!([area.x0, area.x1, area.y0, area.y1], [inch(5, 7, 8), inch(13, 1, 8), inch(1, 3, 8), inch(5, 1, 8)]);
}

/// Only 7/16 of border as carved leaves a ledge of 7/16 - 1/8 = 5/16, a sixteenth short of 3/8.
#[test]
fn second_side_needs_a_ledge() {
    let (_, outcome) = refused(&carved_down("across", "7/16"));
    let second = outcome.rejected.iter().find(|one| one.construction == "second-side").expect("tried");
    assert_eq!(second.conflict.clashes[0].rule, Rule::Ledge);
    assert_eq!(second.conflict.shortfall, inch(0, 1, 16));
}

/// What the verification finds broken in a design that was changed by hand.
fn broken(job: &str, mut design: Design) -> Vec<Rule> {
    check(&read(job), &mut design).into_iter().map(|check| check.rule).collect()
}

#[test]
fn room_for_the_relief_on_the_wrong_side_is_found() {
    let job = carved_down("along", "3/4");
    let mut mirrored = design(&job);
    // As if it had been turned end for end: 5-7/8..13-1/8 by 1-3/8..5-1/8.
    let wrong = Outline::Rect(Rect::new(inch(5, 7, 8), inch(1, 3, 8), inch(13, 1, 8), inch(5, 1, 8)));
    for void in mirrored.parts.iter_mut().flat_map(|part| &mut part.places).flat_map(|place| &mut place.voids) {
        if void.kind == VoidKind::Under {
            void.outline = wrong.clone();
        }
    }
    assert!(broken(&job, mirrored).contains(&Rule::ReliefClear));
    let mut shallow = design(&job);
    for void in shallow.parts.iter_mut().flat_map(|part| &mut part.places).flat_map(|place| &mut place.voids) {
        if void.kind == VoidKind::Under {
            void.z0 += inch(0, 1, 64);
        }
    }
    assert!(broken(&job, shallow).contains(&Rule::ReliefClear));
}

#[test]
fn a_missing_or_wrong_shim_is_found() {
    let job = cupped("cup = \"1/8\"");
    let mut missing = design(&job);
    for part in missing.parts.iter_mut().filter(|part| part.role == Role::Shim) {
        part.places.pop();
    }
    assert!(broken(&job, missing).contains(&Rule::BlankFlat));
    let mut thick = design(&job);
    for shim in thick.parts.iter_mut().filter(|part| part.role == Role::Shim).flat_map(|part| &mut part.places) {
        shim.z1 += inch(0, 1, 64);
    }
    assert!(broken(&job, thick).contains(&Rule::BlankFlat));
    // A blank drawn pressed flat is not the one measured.
    let mut pressed = design(&job);
    if let Some(underside) = &mut pressed.blank.underside {
        underside.rows.iter_mut().flatten().for_each(|height| *height = Length::ZERO);
    }
    assert!(broken(&job, pressed).contains(&Rule::BlankFlat));
}
