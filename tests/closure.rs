//! Form and force closure against published examples and hand arithmetic.
//!
//! A wrench is (moment, fx, fy). Where no source is named, the balance was worked by hand and stands
//! beside the case. Pushes are compared by their ratios: the margin is their least, their mean is 1.

use sledwright::geometry::closure::{Closure, Contact, force_closure, form_closure};
use sledwright::geometry::path::Mm;

fn contact(at: Mm, push: Mm) -> Contact {
    let long = libm::hypot(push.0, push.1);
    Contact { at, push: (push.0 / long, push.1 / long) }
}

fn contacts<const N: usize>(list: [(Mm, Mm); N]) -> Vec<Contact> {
    list.into_iter().map(|(at, push)| contact(at, push)).collect()
}

const RIGHT: Mm = (1.0, 0.0);
const LEFT: Mm = (-1.0, 0.0);
const UP: Mm = (0.0, 1.0);
const DOWN: Mm = (0.0, -1.0);

/// Closed, with pushes in these ratios and this margin.
fn closed(contacts: &[Contact], ratios: &[f64], margin: f64) {
    let found = form_closure(contacts).expect("closed");
    same(&found, ratios, margin);
    // Neither the origin nor the unit matters.
    let moved: Vec<Contact> =
        contacts.iter().map(|c| Contact { at: (c.at.0 * 25.4 + 1000.0, c.at.1 * 25.4 - 333.0), ..*c }).collect();
    same(&form_closure(&moved).expect("closed wherever it lies"), ratios, margin);
}

fn same(found: &Closure, ratios: &[f64], margin: f64) {
    assert!((found.margin - margin).abs() < 1e-4, "{found:?}, not {margin}");
    assert_eq!(found.pushes.len(), ratios.len());
    let least = ratios.iter().copied().fold(f64::INFINITY, f64::min);
    for (push, ratio) in found.pushes.iter().zip(ratios) {
        assert!((push / found.margin - ratio / least).abs() < 1e-3, "{found:?}, not {ratios:?}");
    }
}

fn open(contacts: &[Contact]) {
    assert_eq!(form_closure(contacts), None);
}

#[test]
fn the_published_example_with_four_contacts() {
    // Lynch and Park, Modern Robotics, example 12.7: wrenches (0,-1,0), (0,0,-1), (-1,1,0), (2,0,1).
    // A push f at p has the moment px fy - py fx: (0,0) left and down; (0,1) right gives -1; (2,0) up
    // gives 2. Rows: -k1 + k3 = 0, -k2 + k4 = 0, -k3 + 2 k4 = 0, so k = (2,1,2,1); mean 1 makes the
    // least 4/6.
    let grasp = contacts([((0.0, 0.0), LEFT), ((0.0, 0.0), DOWN), ((0.0, 1.0), RIGHT), ((2.0, 0.0), UP)]);
    closed(&grasp, &[2.0, 1.0, 2.0, 1.0], 2.0 / 3.0);
}

#[test]
fn the_published_example_made_to_fail() {
    // The same with the last wrench (-1, 0, -1): nothing pushes up, however the rank is 3 (Lynch and
    // Park, after the example; worked by hand: the third row is -k2 - k4 = 0). (1,0) down has moment -1.
    open(&contacts([((0.0, 0.0), LEFT), ((0.0, 0.0), DOWN), ((0.0, 1.0), RIGHT), ((1.0, 0.0), DOWN)]));
}

#[test]
fn a_square_held_at_its_four_mid_sides_turns() {
    // All four normals meet in the centre: rank 2, though the pushes balance (by hand).
    open(&contacts([((0.5, 0.0), UP), ((1.0, 0.5), LEFT), ((0.5, 1.0), DOWN), ((0.0, 0.5), RIGHT)]));
}

#[test]
fn a_square_with_all_contacts_off_centre_one_way_turns_the_other() {
    // Moments about the centre: each -1/4, by hand; no positive weights make them vanish.
    open(&contacts([((0.25, 0.0), UP), ((1.0, 0.25), LEFT), ((0.75, 1.0), DOWN), ((0.0, 0.75), RIGHT)]));
}

#[test]
fn a_square_with_contacts_off_centre_in_turn_is_held() {
    // Moments about the centre -1/4, +1/4, -1/4, +1/4 cancel with equal pushes: k = (1,1,1,1).
    let grasp = contacts([((0.25, 0.0), UP), ((1.0, 0.75), LEFT), ((0.75, 1.0), DOWN), ((0.0, 0.25), RIGHT)]);
    closed(&grasp, &[1.0, 1.0, 1.0, 1.0], 1.0);
}

fn triangle(base: &[f64]) -> Vec<Contact> {
    let h = 3.0_f64.sqrt() / 2.0;
    let mut found: Vec<Contact> = base.iter().map(|x| contact((*x, 0.0), UP)).collect();
    // Mid-points of the right and left edge, normals 210 and 330 degrees.
    found.push(contact((0.75, h / 2.0), (-h, -0.5)));
    found.push(contact((0.25, h / 2.0), (h, -0.5)));
    found
}

#[test]
fn a_triangle_held_at_its_mid_sides_is_immobile_only_by_curvature() {
    // Czyzowicz, Stojmenovic and Urrutia, quoted by Cheong, Haverkort and van der Stappen: immobile, yet
    // not in first-order form closure; three contacts, and their normals meet.
    open(&triangle(&[0.5]));
}

#[test]
fn a_triangle_on_two_points_of_its_base_is_held() {
    // Base at 0.2 and 0.8, mid-points of the others. Forces: x: k3 = k4; y: k1 + k2 = (k3 + k4) / 2.
    // Moments: the normals of the mid-sides meet the middle of the base line, so k1 = k2. With k1 = 1:
    // k3 = k4 = 2, mean 6/4, least 2/3.
    closed(&triangle(&[0.2, 0.8]), &[1.0, 1.0, 2.0, 2.0], 2.0 / 3.0);
}

/// A rectangle 4 x 2 on two contacts below and one at its left end.
fn located() -> Vec<Contact> {
    contacts([((1.0, 0.0), UP), ((3.0, 0.0), UP), ((0.0, 1.0), RIGHT)])
}

fn with(more: Mm, push: Mm) -> Vec<Contact> {
    let mut all = located();
    all.push(contact(more, push));
    all
}

#[test]
fn three_locating_contacts_alone_do_not_hold() {
    // Reuleaux 1876: fewer than four never do.
    open(&located());
}

#[test]
fn a_clamp_from_above_leaves_it_free_to_slide() {
    // Nothing pushes to the left: k3 = 0, a margin of none.
    open(&with((2.0, 2.0), DOWN));
}

#[test]
fn clamps_from_above_and_from_the_right_hold_it() {
    // k3 = k5; k4 = k1 + k2; moments k1 + 3 k2 - k3 - 2 k4 + k5 = -k1 + k2 = 0: k = (1,1,1,2,1), mean
    // 6/5, least 5/6.
    let mut all = with((2.0, 2.0), DOWN);
    all.push(contact((4.0, 1.0), LEFT));
    closed(&all, &[1.0, 1.0, 1.0, 2.0, 1.0], 5.0 / 6.0);
}

#[test]
fn one_clamp_at_45_degrees_holds_where_its_line_passes_between_the_contacts() {
    // Clamp of push c at (x, 2): k3 = c / r2, k1 + k2 = c / r2 with r2 the root of 2; moments
    // k1 + 3 k2 - k3 + (2 - x) c / r2 = 0. With c / r2 = 1: k1 + k2 = 1, k1 + 3 k2 = x - 1, so
    // k2 = x/2 - 1, k1 = 2 - x/2.
    let r2 = 2.0_f64.sqrt();
    let clamped = |x: f64| with((x, 2.0), (-1.0, -1.0));
    // x = 3.5: k = (1/4, 3/4, 1, r2), least over mean 1 / (8 + 4 r2) * 4 = 0.2929.
    closed(&clamped(3.5), &[1.0, 3.0, 4.0, 4.0 * r2], 4.0 / (8.0 + 4.0 * r2));
    // x = 3: k = (1/2, 1/2, 1, r2), least over mean 4 / (4 + 2 r2) = 0.5858.
    closed(&clamped(3.0), &[1.0, 1.0, 2.0, 2.0 * r2], 4.0 / (4.0 + 2.0 * r2));
    // x = 4, the corner: k1 = 0: its line passes through the second contact, no margin.
    open(&clamped(4.0));
}

fn disc(degrees: &[f64]) -> Vec<Contact> {
    let at = |degrees: &f64| libm::sincos(degrees.to_radians());
    degrees.iter().map(at).map(|(y, x)| contact((10.0 * x, 10.0 * y), (-x, -y))).collect()
}

#[test]
fn no_number_of_contacts_holds_a_disc() {
    // Lynch and Park, 12.1.7, of spheres; a disc in the plane alike: every normal meets the centre.
    open(&disc(&[0.0, 80.0, 150.0, 200.0, 290.0]));
}

#[test]
fn two_opposed_contacts_hold_by_friction_where_their_line_lies_in_both_cones() {
    // Nguyen, "Constructing force-closure grasps" (1988): faces 1 apart, contacts offset by s, friction
    // 0.3: the line between them leans by s, so s < 0.3 is held.
    let offset = |s: f64| contacts([((0.0, 0.0), UP), ((s, 1.0), DOWN)]);
    assert!(force_closure(&offset(0.29), 0.3).is_some());
    assert_eq!(force_closure(&offset(0.31), 0.3), None);
}

#[test]
fn friction_holds_a_disc_that_nothing_else_does() {
    // Three contacts 120 degrees apart: with friction they turn it either way, without they cannot.
    let thirds = disc(&[90.0, 210.0, 330.0]);
    assert!(force_closure(&thirds, 0.1).is_some());
    assert_eq!(force_closure(&thirds, 0.0), None);
}
