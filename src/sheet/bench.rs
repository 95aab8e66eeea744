//! The bench sheets: views at the largest standard scale that fits, with the sizes and warnings beside them.

use super::flow::Flow;
use super::frame::{Draft, Lie, content};
use super::pack::{Sizes, pack};
use crate::design::{Design, Pocket, PocketKind};
use crate::drawing::{Area, Picture, Text, Weight, at};
use crate::geometry::Outline;
use crate::length::{Length, Ruler};
use crate::request::{Flip, Request};
use crate::rules::Rounding;
use crate::views::{self, SMALL, Scale, Section, depth_text};

/// Height of the three overall figures, mm (a nominal height of ISO 3098).
const HUGE: f64 = 7.0;
/// A plan shorter than this on paper is too small for a bench: rather use another sheet, mm.
const READABLE: f64 = 80.0;
/// Section B-B is drawn no wider than this on paper, mm.
const ACROSS: f64 = 110.0;

/// A block of a bench sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Block {
    Plan,
    Along,
    Across,
    Bed,
    Numbers,
    Warnings,
    Depths,
    Key,
}

/// The bench sheets of a design.
pub(super) fn drafts(request: &Request, design: &Design) -> Vec<Draft> {
    let plain = design.construction == "none";
    let sections = !plain && design.blank.thickness_known;
    let bed = !plain && views::has_bed_face(request, design);
    let with = |blocks: &[Block]| -> Vec<Block> {
        let wanted = |block: &Block| match block {
            Block::Along | Block::Across | Block::Depths => sections,
            Block::Bed => bed,
            Block::Warnings => has_warnings(request, design),
            Block::Plan | Block::Numbers | Block::Key => true,
        };
        blocks.iter().copied().filter(wanted).collect()
    };
    use Block::{Across, Along, Bed, Depths, Key, Numbers, Plan, Warnings};
    // From everything on one sheet to every view on its own; warnings never come after the plan.
    let groupings = [
        vec![with(&[Plan, Along, Across, Numbers, Warnings, Depths, Key, Bed])],
        vec![with(&[Plan, Along, Across, Numbers, Warnings, Depths, Key]), with(&[Bed])],
        vec![with(&[Plan, Numbers, Warnings, Key]), with(&[Along, Across, Depths, Bed])],
        vec![with(&[Plan, Numbers, Warnings, Key]), with(&[Along, Across, Depths]), with(&[Bed])],
        vec![with(&[Plan, Numbers, Warnings]), with(&[Along, Across, Depths, Key, Bed])],
        vec![with(&[Plan, Numbers, Warnings]), with(&[Along, Across, Depths, Key]), with(&[Bed])],
        vec![with(&[Warnings, Numbers, Key]), with(&[Plan]), with(&[Along, Across, Depths, Bed])],
        vec![with(&[Warnings, Numbers, Key]), with(&[Plan]), with(&[Along, Across, Depths]), with(&[Bed])],
        [Warnings, Numbers, Key, Plan, Along, Across, Depths, Bed].iter().map(|block| with(&[*block])).collect(),
    ];
    let area = content(request.shop.paper, Lie::Landscape);
    let mut drawings = Drawings { request, design, width: area.width(), done: Vec::new() };
    let mut fallback = None;
    for grouping in groupings {
        let blocks = grouping.iter().filter(|blocks| !blocks.is_empty());
        let sheets: Option<Vec<(Draft, Option<Scale>)>> =
            blocks.map(|blocks| sheet(&mut drawings, area, blocks)).collect();
        let Some(sheets) = sheets else { continue };
        let plan_length = sheets.iter().find_map(|(_, scale)| *scale).map_or(0.0, |scale| scale.ratio)
            * design.carrier.length.to_mm();
        let large = plan_length >= READABLE;
        let drafts = sheets.into_iter().map(|(draft, _)| draft).collect();
        if large {
            return titled(drafts);
        }
        fallback.get_or_insert(drafts);
    }
    let alone = with(&[Numbers, Plan, Along, Across, Bed]);
    titled(fallback.unwrap_or_else(|| overflowing(&mut drawings, area, &alone)))
}

fn titled(mut drafts: Vec<Draft>) -> Vec<Draft> {
    let several = drafts.len() > 1;
    for (place, draft) in drafts.iter_mut().enumerate() {
        draft.title = if several { format!("Bench sheet {}", place + 1) } else { "Bench sheet".to_owned() };
    }
    drafts
}

/// Blocks drawn so far, so that trying another grouping costs little.
struct Drawings<'a> {
    request: &'a Request,
    design: &'a Design,
    width: f64,
    done: Vec<((Block, &'static str), Vec<Picture>)>,
}

impl Drawings<'_> {
    /// The ways a block can be set at a scale.
    fn of(&mut self, block: Block, scale: Scale) -> Vec<Picture> {
        let key = (block, if block.is_to_scale() { scale.text } else { "" });
        if let Some((_, pictures)) = self.done.iter().find(|(done, _)| *done == key) {
            return pictures.clone();
        }
        let pictures = variants(self.request, self.design, block, scale, self.width);
        self.done.push((key, pictures.clone()));
        pictures
    }
}

impl Block {
    /// Whether it is drawn at the scale of its sheet. Section B-B has its own.
    fn is_to_scale(self) -> bool {
        matches!(self, Block::Plan | Block::Along | Block::Bed)
    }
}

/// One sheet with these blocks at the largest scale at which they fit, and that scale if the plan is among them.
fn sheet(drawings: &mut Drawings<'_>, area: Area, blocks: &[Block]) -> Option<(Draft, Option<Scale>)> {
    let scales = views::scales(drawings.request.shop.ruler.unit);
    let to_scale = blocks.iter().any(|block| block.is_to_scale());
    let scales = if to_scale { scales } else { scales.get(..1).unwrap_or(scales) };
    scales.iter().find_map(|scale| {
        // A view longer than the sheet cannot fit whatever its lettering: do not draw it in vain.
        let length = drawings.design.carrier.length.to_mm() * scale.ratio;
        if length > area.width() && to_scale {
            return None;
        }
        let pictures: Vec<Vec<Picture>> = blocks.iter().map(|block| drawings.of(*block, *scale)).collect();
        let sizes: Vec<Sizes> = pictures
            .iter()
            .map(|variants| {
                let areas = variants.iter().map(Picture::area);
                areas.map(|area| (area.width(), area.height())).collect()
            })
            .collect();
        let places = pack(area, &sizes)?;
        let mut picture = Picture::default();
        for (mut variants, (variant, corner)) in pictures.into_iter().zip(places) {
            let chosen = variants.swap_remove(variant);
            let own = chosen.area();
            picture.add(chosen, at(corner.x - own.x0, corner.y - own.y1));
        }
        let plan = blocks.contains(&Block::Plan).then_some(*scale);
        let printed = if to_scale { scale.text.to_owned() } else { "none".to_owned() };
        Some((Draft { title: String::new(), lie: Lie::Landscape, scale: printed, picture }, plan))
    })
}

/// For text too long, or a design too large, to be set in blocks: the text flows over as many sheets as
/// it needs, and every view has its own sheet at the largest scale that fits (else the smallest there is).
fn overflowing(drawings: &mut Drawings<'_>, area: Area, views: &[Block]) -> Vec<Draft> {
    let (request, design) = (drawings.request, drawings.design);
    let mut flow = Flow::new(area);
    warnings(&mut flow, request, design);
    if views.contains(&Block::Along) {
        depths(&mut flow, request, design);
    }
    key(&mut flow, request, design);
    let draft =
        |scale: &str, picture| Draft { title: String::new(), lie: Lie::Landscape, scale: scale.to_owned(), picture };
    let mut drafts: Vec<Draft> = flow.finish().into_iter().map(|picture| draft("none", picture)).collect();
    for block in views {
        let fitting = sheet(drawings, area, &[*block]).map(|(draft, _)| draft);
        let smallest = views::scales(request.shop.ruler.unit).last();
        drafts.extend(fitting.or_else(|| {
            let scale = *smallest?;
            let view = drawings.of(*block, scale).into_iter().next()?;
            let own = view.area();
            let mut picture = Picture::default();
            picture.add(view, at(area.x0 - own.x0, area.y1 - own.y1));
            Some(draft(scale.text, picture))
        }));
    }
    drafts
}

fn variants(request: &Request, design: &Design, block: Block, scale: Scale, width: f64) -> Vec<Picture> {
    match block {
        Block::Plan => vec![views::plan(request, design, scale)],
        Block::Along => vec![views::section(request, design, Section::Along, scale)],
        Block::Across => {
            let width = design.carrier.width.to_mm();
            let scales = views::scales(request.shop.ruler.unit);
            let own = scales.iter().find(|own| width * own.ratio <= ACROSS).unwrap_or(&scale);
            vec![views::section(request, design, Section::Across, *own)]
        }
        Block::Depths => columns(width, |flow| depths(flow, request, design)),
        Block::Bed => vec![views::bed_face(request, design, scale)],
        Block::Numbers => numbers(request, design),
        Block::Warnings => columns(width, |flow| warnings(flow, request, design)),
        Block::Key => columns(width, |flow| key(flow, request, design)),
    }
}

/// Text set in columns of several widths.
fn columns(sheet: f64, write: impl Fn(&mut Flow)) -> Vec<Picture> {
    let widths = [78.0, 62.0, 100.0, 130.0, 230.0_f64];
    let set = |width: f64| {
        let mut flow = Flow::column(width.min(sheet));
        write(&mut flow);
        flow.finish().pop().unwrap_or_default()
    };
    widths.into_iter().map(set).collect()
}

/// The three overall figures, side by side and one under the other.
fn numbers(request: &Request, design: &Design) -> Vec<Picture> {
    let size = design.carrier;
    let known = design.blank.thickness_known;
    let shop = &request.shop;
    let cells = |below: bool| {
        [
            figure(design, "LONG", "carrier.length", ("shorter", "longer"), size.length, &shop.ruler, true, below),
            figure(design, "WIDE", "carrier.width", ("narrower", "wider"), size.width, &shop.ruler, true, below),
            figure(
                design,
                "THICK",
                "carrier.thickness",
                ("thinner", "thicker"),
                size.thickness,
                &shop.depth_ruler,
                known,
                below,
            ),
        ]
    };
    let (mut row, mut column) = (Picture::default(), Picture::default());
    let mut x = 0.0;
    for cell in cells(true) {
        let width = cell.area().width();
        row.add(cell, at(x, 0.0));
        x += width + 6.0;
    }
    for (place, cell) in cells(false).into_iter().enumerate() {
        column.add(cell, at(0.0, -16.5 * place as f64));
    }
    vec![row, column]
}

/// One figure with its name above it; the other unit stands below, or else above beside the name.
#[expect(clippy::too_many_arguments, reason = "one private helper for three like figures")]
fn figure(
    design: &Design,
    name: &str,
    dimension: &str,
    (less, more): (&str, &str),
    size: Length,
    ruler: &Ruler,
    known: bool,
    below: bool,
) -> Picture {
    let decided = design.trace.find(dimension).and_then(|reason| reason.decided_by);
    let limit = match decided.map(|rule| rule.info().rounding) {
        Some(Rounding::Up) => format!("{name}, not {less}"),
        Some(Rounding::Down) => format!("{name}, not {more}"),
        Some(Rounding::Exact) | None => name.to_owned(),
    };
    let mut picture = Picture::default();
    let name = Text::new(at(0.0, 0.0), SMALL, if known { &limit } else { name });
    let other = if below { at(0.0, -16.2) } else { at(name.width() + 3.0, 0.0) };
    picture.text(name);
    if known {
        picture.text(Text::new(at(0.0, -9.6), HUGE, &ruler.with_unit(size)).bold());
        if let Some((_, bracket)) = ruler.both(size).split_once(" (") {
            picture.text(Text::new(other, SMALL, &format!("({bracket}")));
        }
    } else {
        picture.text(Text::new(at(0.0, -9.6), HUGE, "?").bold());
        picture.text(Text::new(other, SMALL, "caliper the blank first"));
    }
    picture
}

fn has_warnings(request: &Request, design: &Design) -> bool {
    !request.machine.unconfirmed.is_empty()
        || !design.blank.thickness_known
        || design.construction == "none"
        || !design.warnings.is_empty()
}

/// What must be read before anything else.
fn warnings(flow: &mut Flow, request: &Request, design: &Design) {
    if !request.machine.unconfirmed.is_empty() {
        flow.boxed(&unconfirmed(request));
    }
    if !design.blank.thickness_known {
        flow.boxed(
            "Caliper the blank's thickness at three corners and run the job again: no depth is given until then.",
        );
    }
    if design.construction == "none" {
        flow.boxed("No carrier needed: feed the blank itself.");
    }
    for (place, warning) in design.warnings.iter().take(5).enumerate() {
        if place == 0 {
            flow.heading("WARNINGS");
        }
        flow.paragraph(&format!("{}. {warning}", place + 1), Weight::Bold);
    }
}

/// The closing sums and the key to the marks of the plan.
fn key(flow: &mut Flow, request: &Request, design: &Design) {
    let ruler = &request.shop.ruler;
    let n = |length: Length| ruler.number(length);
    let (carve, blank) = (design.carve, design.blank.outline.bounds());
    if design.construction == "none" {
        flow.paragraph(
            &format!(
                "Uncarved margins: lead {}, trail {}, fence {}, far {}.",
                n(carve.x0 - blank.x0),
                n(blank.x1 - carve.x1),
                n(carve.y0 - blank.y0),
                n(blank.y1 - carve.y1)
            ),
            Weight::Regular,
        );
    } else {
        flow.paragraph("Adds up (lead end, blank, play, trail end):", Weight::Regular);
        let pocket = held_in(design);
        let hold =
            |edge: fn(&crate::geometry::Rect) -> Length| pocket.map_or(edge(&blank), |p| edge(&p.outline.bounds()));
        let along = [blank.x0, blank.length(), hold(|r| r.x1) - blank.x1, design.carrier.length - hold(|r| r.x1)];
        flow.paragraph(&format!("along {}", sum(ruler, &along, design.carrier.length)), Weight::Bold);
        let across = [blank.y0, blank.width(), hold(|r| r.y1) - blank.y1, design.carrier.width - hold(|r| r.y1)];
        flow.paragraph(&format!("across {}", sum(ruler, &across, design.carrier.width)), Weight::Bold);
    }
    flow.paragraph(
        &format!(
            "Dashed in the plan: carve area, {} to {} from the lead end, {} to {} from the fence edge.",
            n(carve.x0),
            n(carve.x1),
            n(carve.y0),
            n(carve.y1)
        ),
        Weight::Regular,
    );
    if design.construction != "none" && !matches!(design.blank.outline, Outline::Disc { .. }) {
        flow.paragraph("Black wedge: datum corner; the blank is pushed home to it.", Weight::Regular);
    }
    if let Some(keep_out) = &design.keep_out {
        let height = if design.blank.thickness_known && keep_out.above > Length::ZERO {
            format!(" above {} from the bed face", depth_text(request, keep_out.above))
        } else {
            String::new()
        };
        flow.paragraph(&format!("Slanting hatch in the plan: NO METAL{height}."), Weight::Bold);
    }
    if let Some(relief) = design.pockets.iter().find_map(|pocket| pocket.relief) {
        let how = if relief.bored { "bore each inside corner" } else { "run the cutter out at each inside corner" };
        flow.paragraph(&format!("Corner relief: {how}, Ø {}.", n(relief.diameter)), Weight::Regular);
    }
    for pocket in &design.pockets {
        if let Outline::Disc { diameter, .. } = &pocket.outline {
            flow.paragraph(&format!("Round pocket: Ø {}, not smaller.", n(*diameter)), Weight::Regular);
        }
    }
    if design.clip_corner {
        flow.paragraph("Saw off the lead/far corner: fed backwards, this carrier is wrong.", Weight::Bold);
    }
    if design.bridge {
        flow.paragraph("ROLLERS TOUCH THE RAILS ONLY.", Weight::Bold);
    }
}

/// The deeper pocket under relief, and how the blank is turned over to lie in it.
fn relief_room(flow: &mut Flow, request: &Request, room: &Pocket, flip: Flip) {
    let (depth, floor) = (depth_text(request, room.z1 - room.z0), depth_text(request, room.z0));
    flow.paragraph("not deeper: the ledge the border lies on", Weight::Regular);
    flow.paragraph(&format!("Room for the relief: {depth} below the ledge; floor left {floor}"), Weight::Bold);
    let turned = match flip {
        Flip::Along => "CARVING DOWN: rolled over sideways, the SAME END LEADS.",
        Flip::Across => "CARVING DOWN: turned end for end, the SAME EDGE AT THE FENCE.",
    };
    flow.paragraph(turned, Weight::Bold);
}

/// Depths that are set on a machine, each with the way an error may go.
fn depths(flow: &mut Flow, request: &Request, design: &Design) {
    if let Some(pocket) = held_in(design) {
        let depth = depth_text(request, pocket.z1 - pocket.z0);
        let below = depth_text(request, pocket.z0);
        match pocket.kind {
            PocketKind::Blind => {
                flow.heading(&format!("POCKET DEPTH {depth}"));
                match (design.pockets.get(1), &request.blank.second_side) {
                    (Some(room), Some(carved)) => relief_room(flow, request, room, carved.flip),
                    _ => flow.paragraph(&format!("not deeper; floor left {below}"), Weight::Regular),
                }
            }
            PocketKind::OnBase => {
                flow.heading(&format!("RAIL HEIGHT {depth}"));
                flow.paragraph(&format!("not higher; base {below}"), Weight::Regular);
            }
            PocketKind::Open => flow.paragraph("The blank lies on the machine's bed.", Weight::Regular),
        }
    }
    if design.adhesive > Length::ZERO {
        let text = format!("Under the blank: adhesive {} thick.", depth_text(request, design.adhesive));
        flow.paragraph(&text, Weight::Regular);
    }
    let deepest = depth_text(request, design.depth_below_top);
    flow.paragraph(&format!("Dashed in the sections: deepest cut, {deepest} below the top plane."), Weight::Regular);
    flow.paragraph("Level hatch in the sections: the blank.", Weight::Regular);
}

/// The pocket the blank lies in.
fn held_in(design: &Design) -> Option<&Pocket> {
    let blank = design.blank.outline.bounds();
    design.pockets.iter().find(|pocket| {
        let pocket = pocket.outline.bounds();
        pocket.x0 <= blank.x0 && blank.x1 <= pocket.x1 && pocket.y0 <= blank.y0 && blank.y1 <= pocket.y1
    })
}

/// `4 + 9 + 1/16 + 4 = 17-1/16`; parts of no length are left out.
fn sum(ruler: &Ruler, parts: &[Length], whole: Length) -> String {
    let parts: Vec<String> =
        parts.iter().filter(|part| **part != Length::ZERO).map(|part| ruler.number(*part)).collect();
    // The result is not torn from its sign of equality at a line's end.
    format!("{} =\u{a0}{}", parts.join(" + "), ruler.number(whole))
}

/// Figures whose error spoils blanks soonest, by the beginnings of their names.
const CRITICAL: [&str; 4] = ["cutter-to-roller", "strip", "window", "depth"];
/// So many names stand in the box; the reasons sheet has all.
const NAMED: usize = 4;

/// The boxed line for a machine nobody has measured: the figures that matter most, and how many more.
pub(super) fn unconfirmed(request: &Request) -> String {
    let rank = |name: &str| CRITICAL.iter().position(|start| name.starts_with(start)).unwrap_or(CRITICAL.len());
    let mut names: Vec<&str> = request.machine.unconfirmed.iter().map(String::as_str).collect();
    names.sort_by_key(|name| rank(name));
    let more = names.len().saturating_sub(NAMED);
    names.truncate(NAMED);
    let rest = if more > 0 { format!(" and {more} more (reasons sheet)") } else { String::new() };
    format!("MACHINE FIGURES NOT CONFIRMED: {}{rest}", names.join(", "))
}
