//! From sized parts to a finished design: letters, mass, bond, cut list, warnings.

use super::bearing::bearing;
use super::flush_frame::may_not_move;
use super::layout::{Line, carve_rect};
use super::mass::mass_kg;
use super::stack::demand;
use super::{Construction, Setting, grip, screws, steps};
use crate::design::{
    Contact, CutList, Design, Extent, Gang, Joint, KeepOut, Part, PlacedBlank, Pocket, Role, Void, VoidKind,
};
use crate::geometry::{Lay, Outline, Point, Rect};
use crate::length::{Length, Note};
use crate::request::{Assumption, Hold, Request, RoundKind, Shape, Stock};
use crate::rules::Rule;
use crate::saw::{Assembly, cut_list};
use crate::trace::{Clash, Conflict, Trace};

/// Square millimetres in a square inch.
const SQUARE_INCH: f64 = 645.16;
/// Under this area a bond that is too weak forbids the design. Common practice, no source.
const SMALL_PART_SQ_IN: f64 = 6.0;
/// The area of an outline moved or turned is out by far less than this: a part of just that area counts
/// as small, however it was worked out.
const AREA_ROUNDING: f64 = 1.0 + 1e-7;
/// Rounds and slopes are weighed twice, in closed form here and in strips by the verification: a carrier
/// so near the limit counts as over it.
const MASS_ROUNDING: f64 = 1.001;
/// Least ratio of bond strength to cutter force. Engineering judgement.
const HOLD_FACTOR: f64 = 3.0;
/// The same where the rollers give no help.
const FRAGILE_FACTOR: f64 = 4.0;

/// How many times over a carrier is to be held down where it could tip. Engineering judgement.
const HELD_DOWN: f64 = 1.5;

/// Everything a construction has settled before the common work is done.
pub struct Draft {
    /// What distinguishes this candidate.
    pub variant: String,
    /// Degrees by which a blank of any outline is loaded turned.
    pub turn: f64,
    /// Overall size.
    pub carrier: Extent,
    /// Blank in its place.
    pub blank: PlacedBlank,
    /// Pockets.
    pub pockets: Vec<Pocket>,
    /// Where straight parts hold the blank.
    pub contacts: Vec<Contact>,
    /// Parts, letters not yet given.
    pub parts: Vec<Part>,
    /// Joints, by the roles of what they join (`None` for the blank).
    pub joints: Vec<(Role, Option<Role>, Joint)>,
    /// Recessed blank, rails carry the rollers.
    pub bridge: bool,
    /// Not symmetrical.
    pub lopsided: bool,
    /// Cutter that sinks the pocket.
    pub pocket_cutter: Option<Length>,
    /// Wishes left out so far.
    pub waived: Vec<Rule>,
    /// Reasons so far.
    pub trace: Trace,
    /// Deepest cut below the top plane.
    pub depth_below_top: Length,
    /// How it is put together.
    pub assembly: Assembly,
    /// Height of the wall beside the blank.
    pub wall: Length,
    /// Whether the blank is glued in by its edges.
    pub glued_edges: bool,
}

/// The blank's outline with its near corner at `x`, `y`.
pub fn blank_outline(setting: &Setting<'_>, x: Length, y: Length) -> Outline {
    let (length, width) = (setting.length.nominal, setting.width.nominal);
    match &setting.request.blank.shape {
        Shape::Rectangle => Outline::Rect(Rect::sized(x, y, length, width)),
        Shape::Round(round) => match round.small() {
            None => Outline::Rect(Rect::sized(x, y, length, width)),
            Some(small) => {
                // Tapering to both sides of its middle.
                let aside = (width - small.nominal).half();
                let thick_leads = matches!(round.kind, RoundKind::Spindle { thick_leads: true, .. });
                let (lead, trail) = if thick_leads { (Length::ZERO, aside) } else { (aside, Length::ZERO) };
                Outline::Polygon(vec![
                    Point::new(x, y + lead),
                    Point::new(x + length, y + trail),
                    Point::new(x + length, y + width - trail),
                    Point::new(x, y + width - lead),
                ])
            }
        },
        Shape::Outline(drawn) => Outline::Path(drawn.path.moved_to(x, y)),
        Shape::Disc => Outline::Disc { centre: Point::new(x + length.half(), y + length.half()), diameter: length },
        Shape::Taper { narrow, wide_leads } => {
            let (lead, trail) = if *wide_leads { (width, narrow.nominal) } else { (narrow.nominal, width) };
            Outline::Polygon(vec![
                Point::new(x, y),
                Point::new(x + length, y),
                Point::new(x + length, y + trail),
                Point::new(x, y + lead),
            ])
        }
    }
}

/// The blank placed with its near corner at `x`, `y` and its underside at `z`.
pub fn place_blank(setting: &Setting<'_>, x: Length, y: Length, z: Length) -> PlacedBlank {
    let top = z + setting.thickness + setting.rise;
    PlacedBlank {
        outline: blank_outline(setting, x, y),
        z0: z,
        z1: top,
        highest: top + setting.request.blank.relief_height,
        thickness_known: setting.thickness_known,
        underside: setting.seat.as_ref().map(|seat| seat.moved(x, y)),
    }
}

/// Whether the carrier holds its shape while the blank moves: it has a floor, or both rails and the ends.
fn is_tied(parts: &[Part]) -> bool {
    let has = |role: Role| parts.iter().any(|part| part.role == role || twin_role(part.role) == Some(role));
    has(Role::Board) || has(Role::Base) || (has(Role::LeadEnd) && has(Role::FarRail))
}

/// Bond under the blank, and the hold rules. Returns the bonded area and the wishes left out.
fn hold_rules(setting: &Setting<'_>, draft: &Draft) -> Result<(f64, Vec<Rule>), Conflict> {
    let (request, estimates) = (setting.request, &setting.request.shop.estimates);
    if setting.hold == Hold::HotGlue && is_tied(&draft.parts) && request.blank.round().is_none() {
        may_not_move(setting, setting.moves)?;
    }
    let bonded = setting.hold.bonds_underside();
    if setting.freed() && !bonded {
        let text = format!(
            "the part is cut free all round and held only by {}; its hold goes with the last pass",
            setting.hold.id()
        );
        return Err(Conflict::plain(Rule::FreedPartHeld, text));
    }
    // Screws were chosen by what they hold.
    if setting.hold == Hold::Screws {
        return Ok((0.0, Vec::new()));
    }
    // Of several pockets the one with the largest hole in its floor holds least.
    let holes = || {
        let places = draft.parts.iter().flat_map(|part| &part.places);
        places.flat_map(|place| &place.voids).filter(|void| matches!(void.kind, VoidKind::PushOut | VoidKind::Under))
    };
    let hole_in = |pocket: &Pocket| -> f64 {
        let room = pocket.outline.bounds();
        let own = holes().filter(|void| void.outline.bounds().meets(&room));
        own.map(|void| void.outline.area_mm2()).sum()
    };
    let hole = draft.pockets.iter().map(hole_in).fold(0.0, f64::max);
    let area = if bonded { request.blank.area_mm2() - hole } else { 0.0 };
    let square_inches = area / SQUARE_INCH;
    let small = request.blank.area_mm2() / SQUARE_INCH < SMALL_PART_SQ_IN * AREA_ROUNDING;
    let mut waived = Vec::new();
    let (lift_psi, slide_psi) = estimates.bond_psi(setting.hold);
    if draft.bridge {
        let factor = square_inches * lift_psi / estimates.lift_force_lbf;
        if factor < FRAGILE_FACTOR {
            let text = format!(
                "bond {square_inches:.2} sq in x {} psi / {} lbf lift = {factor:.2}, wanted {FRAGILE_FACTOR} where rollers do not press the blank",
                lift_psi, estimates.lift_force_lbf
            );
            return Err(Conflict::plain(Rule::FragileTop, text));
        }
    } else if bonded || setting.length.low() < request.machine.cutter_to_roller * 2 {
        let factor = square_inches * lift_psi / estimates.lift_force_lbf;
        if factor < HOLD_FACTOR && !draft.glued_edges {
            if small {
                let text = if bonded {
                    format!(
                        "bond {square_inches:.3} sq in x {} psi / {} lbf lift = {factor:.3}, wanted {HOLD_FACTOR}",
                        lift_psi, estimates.lift_force_lbf
                    )
                } else {
                    format!(
                        "held at the edges only and shorter than the rollers are apart: nothing holds it down ({square_inches:.2} sq in bonded)"
                    )
                };
                return Err(Conflict::plain(Rule::LiftFactor, text));
            }
            waived.push(Rule::LiftFactor);
        }
    }
    let low_wall = Length::from_ticks(setting.thickness.ticks() / 3).max(Length::inches(1, 4));
    // The adhesive lifts the blank along the wall.
    let wall = draft.wall - setting.adhesive;
    waived.extend(grip::holds(setting, draft, wall, low_wall, None)?);
    if wall < low_wall && !draft.glued_edges {
        let factor = square_inches * slide_psi / estimates.side_force_lbf;
        if factor < HOLD_FACTOR {
            let text = format!(
                "wall {} beside the blank is lower than {}; bond {square_inches:.2} sq in x {} psi / {} lbf side force = {factor:.2}, wanted {HOLD_FACTOR}",
                setting.say_depth(wall),
                setting.say_depth(low_wall),
                slide_psi,
                estimates.side_force_lbf
            );
            return Err(Conflict::plain(Rule::SlideFactor, text));
        }
    }
    Ok((area, waived))
}

/// The hold rules asked of a further outline of a gang: wishes it leaves out.
fn kind_holds(setting: &Setting<'_>, draft: &mut Draft, gang: &Gang, kind: usize) -> Result<Vec<Rule>, Conflict> {
    let own = |place: &usize| gang.kind(*place) == kind;
    let pockets = draft.pockets.iter().enumerate().filter(|(place, _)| own(place)).map(|(_, pocket)| pocket.clone());
    let pockets: Vec<Pocket> = pockets.collect();
    let Some(nested) = gang.nested.iter().find(|nested| nested.kind == kind) else {
        return Ok(Vec::new());
    };
    let blank = PlacedBlank { outline: nested.blank.clone(), ..draft.blank.clone() };
    let (blank, pockets) = (std::mem::replace(&mut draft.blank, blank), std::mem::replace(&mut draft.pockets, pockets));
    let found = hold_rules(setting, draft);
    (draft.blank, draft.pockets) = (blank, pockets);
    found.map(|(_, waived)| waived)
}

/// Checks that every parent comes out of its stock, where the stock on hand has a size.
fn stock_fits(setting: &Setting<'_>, list: &CutList) -> Result<(), Conflict> {
    // Waste along the edges of a piece from the pile. Common practice, no source.
    let waste = Length::inches(1, 2);
    for parent in &list.parents {
        let pile: Vec<&Stock> =
            setting.request.stock.iter().filter(|stock| stock.name == parent.material && stock.on_hand()).collect();
        let bought = setting.request.stock.iter().any(|stock| stock.name == parent.material && !stock.on_hand());
        if pile.is_empty() || bought {
            continue;
        }
        let fits = |stock: &&Stock| {
            let (Some(length), Some(width)) = (stock.length, stock.width) else { return true };
            let (long, wide) = (parent.size.length + waste, parent.size.width + waste);
            (long <= length && wide <= width) || (stock.kind.is_sheet() && long <= width && wide <= length)
        };
        if !pile.iter().any(fits) {
            let text = format!(
                "{} on hand: no piece of {} x {} (with {} edge waste) comes out of it",
                parent.material,
                setting.say(parent.size.length),
                setting.say(parent.size.width),
                setting.say(waste.half())
            );
            let clash = Clash { rule: Rule::StockExists, text, amount: Length::ZERO };
            return Err(Conflict { clashes: vec![clash], shortfall: Length::ZERO });
        }
    }
    Ok(())
}

/// Checks how far the blank stands off the top plane: a coarse depth ruler rounds a pocket far down.
fn flush(setting: &Setting<'_>, draft: &mut Draft) -> Result<(), Conflict> {
    // A cradle answers for its crown itself, over the whole range of its readings.
    let cradled = setting.request.blank.round().is_some();
    if draft.bridge || cradled || !draft.blank.thickness_known || draft.parts.is_empty() {
        return Ok(());
    }
    let proud = [("blank above the top plane", draft.blank.z1 - draft.carrier.thickness)];
    let most = Length::inches(1, 32);
    demand(setting, Rule::BlankFlushLimit, "blank proud on this ruler for depths", &proud, most, true)?;
    if proud[0].1 > Length::inches(1, 64) {
        draft.waived.push(Rule::BlankFlush);
    }
    Ok(())
}

/// Gives letters to the parts: equal ones become one row.
fn letter(parts: Vec<Part>) -> Vec<Part> {
    let mut rows: Vec<Part> = Vec::new();
    for part in parts {
        let plain = |part: &Part| part.places.iter().all(|place| matches!(place.outline, Outline::Rect(_)));
        let twin = rows.iter_mut().find(|row| {
            row.name == part.name
                && row.material == part.material
                && row.size == part.size
                && plain(row)
                && plain(&part)
        });
        match twin {
            Some(row) => row.places.extend(part.places),
            None => rows.push(part),
        }
    }
    for (row, letter) in rows.iter_mut().zip('A'..='Z') {
        row.id = letter.to_string();
    }
    rows
}

/// Finishes a design, or refuses it because of hold, stock or mass.
pub fn finish(setting: &Setting<'_>, construction: &dyn Construction, draft: Draft) -> Result<Design, Conflict> {
    finish_gang(setting, construction, draft, None)
}

/// Finishes a design whose pockets, if there is a `gang`, all hold a blank as the first does.
pub fn finish_gang(
    setting: &Setting<'_>,
    construction: &dyn Construction,
    draft: Draft,
    gang: Option<Gang>,
) -> Result<Design, Conflict> {
    finish_kinds(setting, construction, draft, gang, &[])
}

/// Finishes a design whose pockets may hold blanks of several outlines, each with its setting.
pub fn finish_kinds(
    setting: &Setting<'_>,
    construction: &dyn Construction,
    mut draft: Draft,
    gang: Option<Gang>,
    kinds: &[Setting<'_>],
) -> Result<Design, Conflict> {
    let request = setting.request;
    flush(setting, &mut draft)?;
    let screws = screws::fastened(setting, &mut draft, gang.as_ref())?;
    let (bond_area_mm2, mut more) = hold_rules(setting, &draft)?;
    draft.waived.append(&mut more);
    if let Some(gang) = &gang {
        for (kind, setting) in kinds.iter().enumerate().skip(1) {
            let mut more = kind_holds(setting, &mut draft, gang, kind)?;
            draft.waived.append(&mut more);
        }
    }
    let origin = draft.blank.outline.bounds();
    let carve = carve_rect(setting, origin.x0, origin.y0);
    let reach = if setting.freed() { request.carve.cutter + request.carve.overrun } else { setting.reach() };
    let whole = request.machine.takes_whole_face();
    let mut swept = if whole {
        Rect::new(Length::ZERO, Length::ZERO, draft.carrier.length, draft.carrier.width)
    } else {
        carve.grown(reach)
    };
    let first = draft.pockets.first().map(|pocket| &pocket.outline);
    if let (Some(gang), Some(first), false) = (&gang, first, whole) {
        for (place, pocket) in draft.pockets.iter().enumerate() {
            let there = match gang.nested.get(place) {
                Some(nested) => nested.blank.bounds().grown(reach),
                None => {
                    let lay = Lay::between(first, &pocket.outline, gang.is_turned(place));
                    lay.rect(carve.grown(reach))
                }
            };
            swept = Rect::new(
                swept.x0.min(there.x0),
                swept.y0.min(there.y0),
                swept.x1.max(there.x1),
                swept.y1.max(there.y1),
            );
        }
    }
    let joints = std::mem::take(&mut draft.joints);
    let mut parts = letter(std::mem::take(&mut draft.parts));
    if draft.lopsided && !parts.is_empty() {
        clip_corner(&mut parts, draft.carrier);
    }
    let name = |role: Option<Role>| match role {
        None => "blank".to_owned(),
        Some(role) => {
            let owner = |part: &&Part| part.role == role || twin_role(role).is_some_and(|twin| part.role == twin);
            parts
                .iter()
                .find(|part| part.role == role)
                .or_else(|| parts.iter().find(owner))
                .map_or_else(String::new, |part| part.id.clone())
        }
    };
    let joints: Vec<Joint> =
        joints.into_iter().map(|(a, b, joint)| Joint { between: (name(Some(a)), name(b)), ..joint }).collect();
    let list = if draft.blank.thickness_known && !parts.is_empty() {
        cut_list(request, draft.carrier, &parts, draft.assembly)?
    } else {
        CutList::default()
    };
    stock_fits(setting, &list)?;
    // Every blank of a full load.
    let volume = |setting: &Setting<'_>| setting.request.blank.volume_mm3(setting.thickness);
    let blanks = match &gang {
        Some(gang) if gang.is_mixed() => {
            gang.kinds.iter().zip(kinds).map(|(kind, setting)| kind.pockets as f64 * volume(setting)).sum()
        }
        Some(_) => draft.pockets.len() as f64 * volume(setting),
        None => volume(setting),
    };
    let mass_kg = mass_kg(setting, &parts, blanks);
    if mass_kg * MASS_ROUNDING > request.shop.estimates.one_person_kg {
        draft.waived.push(Rule::Mass);
    }
    let unsure = Length::inches(1, 64);
    if request.blank.thickness.as_ref().is_none_or(|measured| measured.high() - measured.largest > unsure) {
        draft.waived.push(Rule::ThicknessKnown);
    }
    let top = draft.blank.z1.max(draft.carrier.thickness);
    let keep_out = (!parts.is_empty()).then(|| KeepOut {
        area: if whole { swept } else { swept.grown(Length::inches(1, 4)) },
        above: top.min(draft.carrier.thickness) - draft.depth_below_top - Length::inches(1, 8),
    });
    let mut assumptions = request.assumptions.clone();
    if request.hold.is_none() {
        assumptions.push(Assumption {
            key: "hold.by".to_owned(),
            value: setting.hold.id().to_owned(),
            source: "chosen by the search".to_owned(),
        });
    }
    if setting.hold.bonds_underside() && request.hold_thickness.is_none() {
        assumptions.push(Assumption {
            key: "hold.thickness".to_owned(),
            value: request.shop.depth_ruler.with_unit(setting.adhesive),
            source: "common practice, no source".to_owned(),
        });
    }
    assumptions.extend(screws.iter().flat_map(|chosen| screws::assumed(setting, chosen)));
    draft.waived.sort();
    draft.waived.dedup();
    let mut design = Design {
        construction: construction.id(),
        title: construction.title().to_owned(),
        variant: draft.variant,
        turned: setting.turned,
        turn: draft.turn,
        carrier: draft.carrier,
        blank: draft.blank,
        pockets: draft.pockets,
        contacts: draft.contacts,
        gang,
        parts,
        joints,
        keep_out,
        swept,
        carve,
        depth_below_top: draft.depth_below_top,
        hold: setting.hold,
        adhesive: setting.adhesive,
        screws,
        bond_area_mm2,
        bridge: draft.bridge,
        clip_corner: draft.lopsided,
        pocket_cutter: draft.pocket_cutter,
        cut_list: list,
        steps: Vec::new(),
        waived: draft.waived,
        trace: draft.trace,
        checks: Vec::new(),
        assumptions,
        warnings: Vec::new(),
        mass_kg,
        uses_only_stock_on_hand: false,
    };
    let on_hand = |part: &Part| {
        let mut pile = request.stock.iter().chain([&request.board]).filter(|stock| stock.name == part.material);
        matches!(part.role, Role::Packing | Role::Shim) || pile.any(Stock::on_hand)
    };
    design.uses_only_stock_on_hand = design.parts.iter().all(on_hand);
    bears(request, &mut design);
    design.steps = steps::build_steps(setting, &design, draft.assembly);
    design.warnings = warnings(setting, &design);
    Ok(design)
}

/// Asks the finished carrier whether it is stiff enough and stays on the bed; what was asked of its pocket's
/// section alone before is answered by this.
fn bears(request: &Request, design: &mut Design) {
    design.waived.retain(|rule| *rule != Rule::CarrierStiff);
    if design.parts.is_empty() || !design.blank.thickness_known {
        return;
    }
    let found = bearing(request, design);
    if found.give > request.shop.estimates.loads.most_give.to_mm() {
        design.waived.push(Rule::CarrierStiff);
    }
    if found.hold_down < HELD_DOWN {
        design.waived.push(Rule::Tipping);
    }
    design.waived.sort();
}

/// Fence and far rails (and the two ends) may share a row when equal.
fn twin_role(role: Role) -> Option<Role> {
    match role {
        Role::FarRail => Some(Role::FenceRail),
        Role::TrailEnd => Some(Role::LeadEnd),
        _ => None,
    }
}

/// Saws the lead/far corner off every part that reaches it.
fn clip_corner(parts: &mut [Part], carrier: Extent) {
    // Narrow carriers keep 3/4 in of surface under the roller at the far side beside the clip; one
    // shorter than any gap a roller notices does no harm.
    let spare = (carrier.width.half() - Length::inches(3, 4)).down(Length::inches(1, 32));
    let leg = spare.clamp(Length::inches(3, 16), Length::inches(3, 4));
    let (end, far) = (Length::ZERO, carrier.width);
    let corner = vec![Point::new(end, far - leg), Point::new(end + leg, far), Point::new(end, far)];
    for place in parts.iter_mut().flat_map(|part| &mut part.places) {
        let bounds = place.outline.bounds();
        if bounds.x0 <= end && bounds.y1 >= far {
            let (z0, z1) = (place.z0, place.z1);
            let outline = Outline::Polygon(corner.clone());
            place.voids.push(Void { outline, z0, z1, kind: VoidKind::ClippedCorner });
        }
    }
}

/// Whether the carrier needs stands to keep it level.
pub fn needs_stands(setting: &Setting<'_>, length: Length) -> bool {
    setting.request.on_stands(length)
}

fn warnings(setting: &Setting<'_>, design: &Design) -> Vec<String> {
    let request = setting.request;
    let mut warnings = Vec::new();
    if request.blank.irreplaceable {
        warnings.push("The blank cannot be replaced: run the whole job in a scrap of the same size first.".to_owned());
    }
    for rule in &design.waived {
        warnings.push(match rule {
            Rule::ThicknessKnown if !design.blank.thickness_known => {
                "Thickness not measured: caliper it at three corners before any depth is set or anything is cut."
                    .to_owned()
            }
            Rule::ThicknessKnown => "Thickness was not calipered: set the depth from the real piece.".to_owned(),
            Rule::LiftFactor if setting.hold.bonds_underside() => {
                "The bond is weak for the lifting force of the cutter: take light passes, and test by pulling."
                    .to_owned()
            }
            Rule::LiftFactor => {
                "Shorter than the rollers are apart and held at its edges only: tape it as well.".to_owned()
            }
            Rule::HoldWorst => {
                "By estimate its edges do not hold it down at the worst place: press it in firmly, tape it as well, or take light passes."
                    .to_owned()
            }
            Rule::FloorStiff => {
                "By estimate the floor gives under the cutter: light passes, or a thicker floor.".to_owned()
            }
            Rule::CarrierStiff => {
                "By estimate the carrier bends at the cutter: light passes, or thicker stock.".to_owned()
            }
            Rule::Tipping => {
                "By estimate its overhang may tip it off the bed: hold the free end, or set stands closer.".to_owned()
            }
            Rule::Mass => format!("Heavy: {:.1} kg with the blank. Carry and feed it with two.", design.mass_kg),
            Rule::GripWanted => "Ends shorter than wanted: the grip behind the roller is near its least.".to_owned(),
            Rule::PocketFloorWanted => "Thin floor under the pocket: light passes, no leaning on it.".to_owned(),
            Rule::BaseWanted => "Thin base: keep the carrier flat, carry it by the rails.".to_owned(),
            Rule::FluteLength => {
                "The cut is deeper than the flutes are long: take it in steps, widening as you go.".to_owned()
            }
            Rule::Play => "Much play round the blank: pack or wedge the trail and far sides.".to_owned(),
            Rule::TrimLast => {
                "The far edge is the blank's own: check it parallel to the fence edge before feeding.".to_owned()
            }
            other => format!("{}: {}.", other.id(), other.info().why),
        });
    }
    if needs_stands(setting, design.carrier.length) {
        warnings.push("Long: stands at bed height, where the set-up card says.".to_owned());
    }
    if design.cut_list.steps.iter().any(|step| step.careful) {
        warnings.push("Some cuts need more than ordinary care; they are marked in the cut list.".to_owned());
    }
    if request.machine.takes_whole_face() && !design.parts.is_empty() {
        let low = design.keep_out.map(|keep_out| keep_out.above).filter(|_| design.blank.thickness_known);
        let low = low.map_or_else(String::new, |low| format!(" above {} from the bed face", setting.say_depth(low)));
        warnings.push(format!(
            "Rails and ends are taken down with the blank: no nail, brad or screw anywhere in the carrier{low}, lower by \
             what each further pass takes."
        ));
    }
    warnings.extend(thinned_out(setting, design));
    let blank = &request.blank;
    let sizes = [Some(&blank.length), Some(&blank.width), blank.thickness.as_ref()];
    if sizes.into_iter().flatten().any(|measured| measured.notes.contains(&Note::Approximate)) {
        warnings.push("A size was given as approximate: fit the pocket to the real blank.".to_owned());
    }
    if let Some(gang) = &design.gang {
        warnings.push(gang_words(gang));
    } else if blank.count > 1 {
        warnings.push(format!(
            "{} blanks alike: one carrier, loaded {} times; check each blank against the pocket.",
            blank.count, blank.count
        ));
    }
    // What a rule left out already says is not said twice.
    // Nor is what is for a nest, where there is none.
    let told = |caution: &str| {
        design.waived.contains(&Rule::ThicknessKnown) && caution.contains("caliper")
            || !design.contacts.is_empty() && caution.contains("nest")
    };
    warnings.extend(request.cautions.iter().filter(|caution| !told(caution)).map(|caution| sentence(caution)));
    warnings
}

/// What is said where the top of a warped blank falls so far below the rails, within the carve area,
/// that half of the depth asked for or more is missing there: the cutter keeps its height over the
/// rails, whatever the blank does.
fn thinned_out(setting: &Setting<'_>, design: &Design) -> Option<String> {
    setting.request.blank.warp.as_ref()?;
    let underside = design.blank.underside.as_ref()?;
    let corner = design.origin();
    let area = carve_rect(setting, corner.x, corner.y);
    // Straight between the crossings: lowest at a crossing, or where a line of the grid leaves the area.
    let within = |marks: &[Length], from: Length, to: Length| -> Vec<Length> {
        let inside = marks.iter().copied().filter(|mark| (from..=to).contains(mark));
        inside.chain([from, to]).collect()
    };
    let (xs, ys) = (within(&underside.xs, area.x0, area.x1), within(&underside.ys, area.y0, area.y1));
    let lowest = xs.iter().flat_map(|x| ys.iter().map(|y| underside.at(*x, *y))).min()?;
    let top = design.blank.z0 + setting.thickness + lowest;
    let falls = (design.carrier.thickness - top).nearest(setting.request.depth_step());
    let depth = setting.request.carve.depth;
    if falls * 2 < depth || setting.cut_through() {
        return None;
    }
    let (low, asked) = (setting.say_depth(falls), setting.say_depth(depth));
    let there = if falls < depth {
        format!("there the cut is only {} deep, {asked} asked", setting.say_depth(depth - falls))
    } else {
        format!(
            "the cut of {asked} thins out to nothing where the top lies {asked} low, and beyond that the cutter does not touch it"
        )
    };
    Some(format!(
        "The blank's top falls {low} below the rails within the carve area, by the shim map: {there}. Carve deeper, or where it is high \
         only, or flatten the top first."
    ))
}

/// How the blanks are shared out, and what they must have in common.
fn gang_words(gang: &Gang) -> String {
    let alike = "The blanks of a load must be of one thickness: check each against the first.";
    match gang.loads() {
        0 | 1 => alike.to_owned(),
        loads if gang.is_mixed() => {
            format!("{} blanks in {loads} loads, shared out as beside the pocket table. {alike}", gang.blanks)
        }
        loads if gang.last_load() == gang.pockets => {
            format!("{} blanks in {loads} loads of {}. {alike}", gang.blanks, gang.pockets)
        }
        loads => format!(
            "{} blanks in {loads} loads: {} in each, {} in the last. {alike}",
            gang.blanks,
            gang.pockets,
            gang.last_load()
        ),
    }
}

/// A remark as a sentence.
fn sentence(remark: &str) -> String {
    let mut letters = remark.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    format!("{first}{}{}", letters.as_str(), if remark.ends_with('.') { "" } else { "." })
}

/// Adds the reasons of both plan axes.
pub fn plan_trace(setting: &Setting<'_>, along: &Line, across: &Line) -> Trace {
    let mut trace = Trace::default();
    along.trace(setting, ["lead-end", "pocket.length", "trail-end", "carrier.length"], &mut trace);
    across.trace(setting, ["fence-rail", "pocket.width", "far-rail", "carrier.width"], &mut trace);
    trace
}

/// Words for the hold, for the variant text.
pub fn hold_words(hold: Hold) -> &'static str {
    match hold {
        Hold::Snug => "snug, card shims",
        Hold::Wedge => "wedged",
        Hold::Tape => "cloth tape",
        Hold::Film => "film tape",
        Hold::HotGlue => "glue spots",
        Hold::Keeper => "off-centre keepers",
        Hold::Screws => "screws from below",
    }
}
