//! Cut list and build sequence, with boxes to tick.

use super::flow::{Flow, Table};
use super::frame::{Lie, content};
use crate::design::{Design, Extent, Grain, Operation};
use crate::drawing::{Picture, Weight};
use crate::request::{Hold, Request};

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

/// The cut list: finished parts, pieces to pull, operations in their safe order.
pub(super) fn cut(request: &Request, design: &Design) -> Vec<Picture> {
    let mut flow = Flow::new(content(request.shop.paper, Lie::Portrait));
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
        for caution in saw_cautions(design) {
            flow.paragraph(caution, Weight::Bold);
        }
        flow.gap(1.5);
        for (place, step) in design.cut_list.steps.iter().enumerate() {
            let care = step.careful.then_some("more than ordinary care: use the push block, sled, clamp or cradle.");
            flow.tick(place + 1, &step.note, care);
        }
    }
    flow.finish()
}

/// Cautions for the operations this cut list asks for. Common practice, no source.
fn saw_cautions(design: &Design) -> Vec<&'static str> {
    let asks = |wanted: &[Operation]| design.cut_list.steps.iter().any(|step| wanted.contains(&step.operation));
    use Operation::{Bore, Crosscut, Plane, Pocket, Rip, SawRound, TaperRip, TrimCrosscut, TrimRip};
    let mut cautions = Vec::new();
    if asks(&[Rip, Crosscut, TaperRip, TrimRip, TrimCrosscut]) {
        cautions.push("Saw the long pieces in this order. The part is the offcut, never the piece you hold.");
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
pub(super) fn build(request: &Request, design: &Design) -> Vec<Picture> {
    let mut flow = Flow::new(content(request.shop.paper, Lie::Portrait));
    flow.heading("Measure before you start, and write it down");
    flow.paragraph(
        "Caliper blank and stock. Stop where a reading differs from this sheet by more than it allows.",
        Weight::Regular,
    );
    flow.fields(&["Blank long", "wide", "thick"]);
    flow.fields(&["Stock thick", "at the other end"]);
    flow.heading("Build, in this order");
    for (place, step) in design.steps.iter().enumerate() {
        flow.tick(place + 1, &step.text, step.caution.as_deref());
    }
    shim_map(request, design, &mut flow);
    let cautions = build_cautions(request, design);
    if !cautions.is_empty() {
        flow.heading("Cautions");
        for caution in cautions {
            flow.paragraph(&caution, Weight::Regular);
        }
    }
    flow.heading("As built");
    flow.paragraph("Measure the finished carrier at both ends.", Weight::Regular);
    flow.fields(&["Long", "wide, lead", "wide, trail"]);
    flow.fields(&["Thick", "lead end", "fence rail"]);
    flow.finish()
}

/// Thickness of the shim at every place, seen from above: far side on top, lead end at the left.
fn shim_map(request: &Request, design: &Design, flow: &mut Flow) {
    let Some(underside) = &design.blank.underside else { return };
    let (plan, depth) = (&request.shop.ruler, &request.shop.depth_ruler);
    flow.heading("Shim map, seen from above, far side on top");
    flow.paragraph(
        "Thickness under the blank at each place, to the nearest mark; 0 where it lies on the base. Columns from the lead end, rows from the fence edge of the carrier.",
        Weight::Regular,
    );
    // A sheet has room for so many columns; a wider map goes on below.
    const COLUMNS: usize = 7;
    for (first, xs) in underside.xs.chunks(COLUMNS).enumerate() {
        let mut head = vec!["from fence".to_owned()];
        head.extend(xs.iter().map(|x| plan.number(x.nearest(plan.step))));
        let mut table = Table { head, rows: Vec::new() };
        for (y, row) in underside.ys.iter().zip(&underside.rows).rev() {
            let mut cells = vec![plan.number(y.nearest(plan.step))];
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

fn build_cautions(request: &Request, design: &Design) -> Vec<String> {
    let mut cautions = request.cautions.clone();
    if design.keep_out.is_some() {
        cautions.push("No nail, brad or screw in the hatched area: a cutter that meets metal breaks.".to_owned());
    }
    match design.hold {
        Hold::HotGlue => cautions.push("Hot glue burns skin. Release it with fresh air in the room.".to_owned()),
        Hold::Tape | Hold::Film => {
            cautions
                .push("Lift the blank out from below or with a thin wedge, the blade away from the hand.".to_owned());
        }
        Hold::Snug | Hold::Wedge => {}
    }
    cautions
}
