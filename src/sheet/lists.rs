//! Cut list and build sequence, with boxes to tick.

use super::flow::{Flow, Table};
use super::stages;
use crate::design::{Design, Extent, Grain, Operation, Role, VoidKind};
use crate::drawing::Weight;
use crate::geometry::{Outline, Rect};
use crate::length::Length;
use crate::request::{Hold, Request};
use crate::views::Stage;

/// `17-1/16 x 7-9/16 x 1`: length and width on the plan ruler, thickness on the finer one.
pub(super) fn size_text(request: &Request, size: Extent) -> String {
    let shop = &request.shop;
    format!(
        "{} x {} x {}",
        shop.ruler.number(size.length),
        shop.ruler.number(size.width),
        shop.depth_ruler.number(size.thickness)
    )
}

/// The cut list, and the build sequence after it.
pub(super) fn cut_and_build(flow: &mut Flow, request: &Request, design: &Design, stages: &[Stage]) {
    cut(flow, request, design);
    build(flow, request, design, stages);
}

/// The cut list: finished parts, pieces to pull, operations in their safe order.
fn cut(flow: &mut Flow, request: &Request, design: &Design) {
    flow.heading("Finished parts");
    let mut parts = Table::new(&["", "Part", "Count", "Long x wide x thick", "Material", "Grain"]);
    for part in &design.parts {
        let grain = match part.grain {
            Grain::AlongFeed => "along feed",
            Grain::AcrossFeed => "across feed",
            Grain::None => "any",
        };
        let layers = if part.layers > 1 { format!(", {} layers glued", part.layers) } else { String::new() };
        let remark = part.remark.as_ref().map(|remark| format!("; {remark}")).unwrap_or_default();
        parts.rows.push(vec![
            part.id.clone(),
            format!("{}{remark}", part.name),
            part.places.len().to_string(),
            size_text(request, part.size),
            format!("{}{layers}", part.material),
            grain.to_owned(),
        ]);
    }
    flow.table(&parts);

    if !design.cut_list.parents.is_empty() {
        flow.heading("Pull from the stock");
        let mut parents = Table::new(&["Piece", "Count", "Long x wide x thick", "Material", "Gives"]);
        for parent in &design.cut_list.parents {
            let gives: Vec<String> = parent.yields.iter().map(|(id, count)| format!("{count} x {id}")).collect();
            parents.rows.push(vec![
                parent.id.clone(),
                parent.count.to_string(),
                size_text(request, parent.size),
                parent.material.clone(),
                gives.join(", "),
            ]);
        }
        flow.table(&parents);
    }
    if !design.cut_list.steps.is_empty() {
        flow.heading("Operations, in this order");
        flow.paragraph(&saw_cautions(design).join(" "), Weight::Bold);
        flow.gap(1.5);
        for (place, step) in design.cut_list.steps.iter().enumerate() {
            let care = step.careful.then_some("more than ordinary care: push block, sled, clamp or cradle.");
            flow.tick(place + 1, &step.note, care);
        }
    }
}

/// Cautions for the operations this cut list asks for. Common practice, no source.
fn saw_cautions(design: &Design) -> Vec<&'static str> {
    let asks = |wanted: &[Operation]| design.cut_list.steps.iter().any(|step| wanted.contains(&step.operation));
    use Operation::{Bore, Crosscut, Plane, Pocket, Rip, SawRound, TaperRip, TrimCrosscut, TrimRip};
    let mut cautions = Vec::new();
    if asks(&[Rip, Crosscut, TaperRip, TrimRip, TrimCrosscut]) {
        cautions.push("Saw the long pieces in this order. A SHORT part is always the offcut: hold the long piece.");
    }
    if asks(&[SawRound]) {
        cautions.push("Saw rounds in a cradle only: they roll under the blade.");
    }
    if asks(&[Plane]) {
        cautions.push("No metal and no lumps of dried glue before planing. Nothing shorter than the machine allows.");
    }
    if asks(&[Pocket, Bore]) {
        cautions.push("Clamp the board before routing or boring. Unplug to change cutters.");
    }
    cautions.push("Eye and ear protection; a dust mask for MDF and for woods that irritate.");
    cautions
}

/// The build sequence, and the cautions that belong to the whole of it.
fn build(flow: &mut Flow, request: &Request, design: &Design, stages: &[Stage]) {
    flow.heading("Measure before you start, and write it down");
    flow.fields(&["Blank long", "wide", "thick", "stock thick"]);
    flow.heading("Build, in this order");
    let cautions = build_cautions(design).join(" ");
    if !cautions.is_empty() {
        flow.paragraph(&cautions, Weight::Bold);
    }
    stages::rows(flow, stages);
    for (place, step) in design.steps.iter().enumerate() {
        flow.tick(place + 1, &step.text, step.caution.as_deref());
    }
    shim_map(request, design, flow);
    strip_parts(request, design, flow);
    corners(request, design, flow);
    keepers(request, design, flow);
    cleats(request, design, flow);
    screws(request, design, flow);
}

/// The marks that cleats at angles are laid to, on the finished carrier.
fn cleats(request: &Request, design: &Design, flow: &mut Flow) {
    let marked: Vec<_> = design.contacts.iter().enumerate().filter(|(_, contact)| contact.marks.is_some()).collect();
    if marked.is_empty() {
        return;
    }
    let n = |length: Length| request.shop.ruler.number(length);
    flow.heading("Cleats");
    flow.paragraph(
        "Each from the finished carrier's lead end / fence edge: the two marks under the cleat's working edge, a square end of it at a. The angle is a check only.",
        Weight::Regular,
    );
    let mut table = Table::new(&["Contact", "piece", "mark a", "mark b", "to the fence edge"]);
    for (place, contact) in marked {
        let (Some([first, second]), Some((degrees, on))) = (contact.marks, contact.slant()) else { continue };
        let role = if contact.part == Role::CleatWedge { Role::BackingCleat } else { contact.part };
        let piece = design.parts.iter().find(|part| part.role == role);
        let at = |mark: crate::geometry::Point| format!("{} / {}", n(mark.x), n(mark.y));
        let way = match degrees {
            _ if degrees < 0.05 => "along it".to_owned(),
            _ if degrees > 89.95 => "square to it".to_owned(),
            _ => format!("{degrees:.1}°, off it towards the {} end", if on { "trail" } else { "lead" }),
        };
        table.rows.push(vec![
            (place + 1).to_string(),
            piece.map_or_else(String::new, |part| format!("{} {}", part.id, part.name)),
            at(first),
            at(second),
            way,
        ]);
    }
    flow.table(&table);
}

/// Which screws, and where they are.
fn screws(request: &Request, design: &Design, flow: &mut Flow) {
    let Some(screws) = &design.screws else { return };
    let n = |length: Length| request.shop.ruler.number(length);
    flow.heading("Screws from below");
    flow.paragraph(&crate::setup::screw_words(request, screws), Weight::Regular);
    // The screws of a gang come pocket after pocket, as many to each.
    let each = screws.places.len() / design.pockets.len().max(1);
    let ganged = design.gang.is_some() && each > 0;
    let mut table = if ganged {
        Table::new(&["Screw", "under pocket", "from the lead end", "from the fence edge"])
    } else {
        Table::new(&["Screw", "from the lead end", "from the fence edge"])
    };
    for (place, at) in screws.places.iter().enumerate() {
        let mut row = vec![(place + 1).to_string(), n(at.x), n(at.y)];
        if ganged {
            row.insert(1, (place / each + 1).to_string());
        }
        table.rows.push(row);
    }
    flow.table(&table);
}

/// Where the keepers turn, are parked and lock.
fn keepers(request: &Request, design: &Design, flow: &mut Flow) {
    let keepers = design.keepers();
    let Some(first) = keepers.first() else { return };
    let n = |length: Length| request.shop.ruler.number(length);
    flow.heading("Keepers");
    flow.paragraph(
        &format!(
            "Discs of {}, pegged {} off the middle. All from the lead end / from the fence edge: the peg, and the disc's middle when it is parked and when its mark points at the blank. It locks on the way.",
            n(first.diameter),
            n(crate::design::Keeper::OFF)
        ),
        Weight::Regular,
    );
    let notches: Vec<_> = design
        .parts
        .iter()
        .flat_map(|part| &part.places)
        .flat_map(|place| &place.voids)
        .filter(|void| void.kind == VoidKind::KeeperNotch)
        .map(|void| void.outline.bounds())
        .collect();
    let mut table = Table::new(&["Keeper", "peg", "parked", "farthest", "notch"]);
    for keeper in keepers {
        let trail = keeper.lock.y == keeper.park.y;
        let at = |point: crate::geometry::Point| format!("{} / {}", n(point.x), n(point.y));
        table.rows.push(vec![
            if trail { "trail" } else { "far" }.to_owned(),
            at(keeper.pivot),
            at(keeper.park),
            at(keeper.lock),
            notches
                .iter()
                .find(|notch| {
                    notch.grown(Length::INCH).meets(&Rect::sized(
                        keeper.pivot.x,
                        keeper.pivot.y,
                        Length::ZERO,
                        Length::ZERO,
                    ))
                })
                .map_or_else(String::new, |notch| {
                    if trail {
                        format!("{} to {} from fence", n(notch.y0), n(notch.y1))
                    } else {
                        format!("{} to {} from lead", n(notch.x0), n(notch.x1))
                    }
                }),
        ]);
    }
    flow.table(&table);
}

/// Where the corners of a rectangle set at an angle lie, from the one nearest to the fence on.
fn corners(request: &Request, design: &Design, flow: &mut Flow) {
    let (Some(angle), Outline::Path(path)) = (&request.blank.angle, &design.blank.outline) else { return };
    let n = |length: Length| request.shop.ruler.number(length.nearest(request.step()));
    flow.heading("Corners of the blank as it lies");
    let words = format!(
        "Set at {}; to the nearest mark, for checking: the template or the nest itself places it.",
        angle.words()
    );
    flow.paragraph(&words, Weight::Regular);
    let mut corners: Vec<_> = path.vertices().iter().map(|vertex| vertex.point).collect();
    if let Some(first) = (0..corners.len()).min_by_key(|place| corners.get(*place).map(|corner| corner.y)) {
        corners.rotate_left(first);
    }
    let mut table = Table::new(&["Corner", "from lead", "from fence"]);
    let named =
        ["nearest to the fence", "nearest to the trail end", "farthest from the fence", "nearest to the lead end"];
    for (name, corner) in named.into_iter().zip(corners) {
        table.rows.push(vec![name.to_owned(), n(corner.x), n(corner.y)]);
    }
    flow.table(&table);
}

/// Where every part lies in its strip and in the carrier.
fn strip_parts(request: &Request, design: &Design, flow: &mut Flow) {
    let Some(strip) = &request.blank.strip else { return };
    let n = |length: Length| request.shop.ruler.number(length);
    flow.heading("Parts in the strip");
    let mut words = format!(
        "Lead fence corner of each part of {} x {}; carve at {} x {}, {} and {} in from that corner.",
        n(strip.length),
        n(strip.width),
        n(strip.carve.length()),
        n(strip.carve.width()),
        n(strip.carve.x0),
        n(strip.carve.y0)
    );
    if design.turned {
        words.push_str(" The strip is loaded turned by a quarter: its trail end lies at the fence.");
    }
    flow.paragraph(&words, Weight::Regular);
    let mut table = Table::new(&["No.", "strip, from lead", "from fence", "carrier, from lead", "from fence"]);
    for (place, (own, laid)) in strip.parts().iter().zip(design.strip_parts(strip)).enumerate() {
        table.rows.push(vec![(place + 1).to_string(), n(own.x0), n(own.y0), n(laid.x0), n(laid.y0)]);
    }
    flow.table(&table);
}

/// Thickness of the shim at every place, seen from above: far side on top, lead end at the left.
fn shim_map(request: &Request, design: &Design, flow: &mut Flow) {
    let Some(underside) = &design.blank.underside else { return };
    let (plan, depth) = (&request.shop.ruler, &request.shop.depth_ruler);
    let (heading, words) = match request.blank.slope {
        Some(_) => (
            "Wedge heights, seen from above, far side on top",
            "Height of the wedge shims above the base at each station, to the nearest mark. Columns from the lead end, rows from the fence edge of the carrier.",
        ),
        None => (
            "Shim map, seen from above, far side on top",
            "Thickness under the blank at each place, to the nearest mark; 0 where it lies on the base. Columns from the lead end, rows from the fence edge of the carrier, to the middle of each shim.",
        ),
    };
    // The map stays in one piece where it can.
    flow.keep(40.0 + 8.0 * (underside.ys.len() as f64 + 1.0));
    flow.heading(heading);
    flow.paragraph(words, Weight::Regular);
    // A shim at an edge stands inside it.
    let shims = || design.parts.iter().filter(|part| part.role == Role::Shim).flat_map(|part| &part.places);
    let bounds: Vec<Rect> = shims().map(|place| place.outline.bounds()).collect();
    let middle_x = |x: Length| bounds.iter().find(|b| b.x0 <= x && x <= b.x1).map_or(x, |b| b.centre().x);
    let middle_y = |y: Length| bounds.iter().find(|b| b.y0 <= y && y <= b.y1).map_or(y, |b| b.centre().y);
    // A sheet has room for so many columns; a wider map goes on below.
    const COLUMNS: usize = 7;
    for (first, xs) in underside.xs.chunks(COLUMNS).enumerate() {
        let mut head = vec!["from fence".to_owned()];
        head.extend(xs.iter().map(|x| plan.number(middle_x(*x).nearest(plan.step))));
        let mut table = Table { head, rows: Vec::new() };
        for (y, row) in underside.ys.iter().zip(&underside.rows).rev() {
            let mut cells = vec![plan.number(middle_y(*y).nearest(plan.step))];
            let here = row.iter().skip(first * COLUMNS).take(xs.len());
            cells.extend(here.map(|shim| depth.number(shim.nearest(depth.step))));
            table.rows.push(cells);
        }
        flow.table(&table);
    }
    if let Some(warp) = &request.blank.warp {
        let mut text = format!(
            "Out of flat {}; one corner lifts {} when the opposite one is pressed down.",
            depth.with_unit(warp.flatness()),
            depth.with_unit(warp.corner_lift)
        );
        if let Some(thickness) = &request.blank.thickness {
            text.push_str(&format!(
                " Flattening one face leaves {} at the thinnest place, both faces the same all over.",
                depth.with_unit(thickness.smallest - warp.flatness())
            ));
        }
        flow.paragraph(&text, Weight::Regular);
    }
}

/// Cautions for the whole of the building; doubts about the job stand among the warnings.
fn build_cautions(design: &Design) -> Vec<&'static str> {
    let mut cautions = Vec::new();
    if design.keep_out.is_some() {
        cautions.push(if design.screws.is_some() {
            "No nail or brad in the hatched area, and no screw but those of the table, no longer than it says: a cutter that meets metal breaks."
        } else {
            "No nail, brad or screw in the hatched area: a cutter that meets metal breaks."
        });
    }
    match design.hold {
        Hold::HotGlue => cautions.push("Hot glue burns skin. Release it with fresh air in the room."),
        Hold::Tape | Hold::Film => {
            let mut voids = design.parts.iter().flat_map(|part| &part.places).flat_map(|place| &place.voids);
            cautions.push(if voids.any(|void| void.kind == VoidKind::PushOut) {
                "Push the blank out from below, slowly, all along; never lever it with a chisel."
            } else {
                "Lift the blank out with a thin wooden wedge under its edge, never with a chisel."
            });
        }
        Hold::Screws => cautions.push("Measure every screw before it is driven: one that is longer meets the cutter."),
        Hold::Snug | Hold::Wedge | Hold::Keeper => {}
    }
    cautions
}
