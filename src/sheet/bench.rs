//! The bench sheets: views at the largest standard scale that fits, with the sizes and warnings beside them.

use super::flow::Flow;
use super::frame::{Draft, Lie, content};
use super::pack::{Sizes, pack};
use crate::design::{Design, Gang, Pocket, PocketKind, Role};
use crate::drawing::{Area, At, Picture, Text, Weight, at};
use crate::geometry::Outline;
use crate::length::{Length, Ruler};
use crate::request::{Flip, Request};
use crate::rules::Rounding;
use crate::setup::{
    face_word, has_datum_corner, held_by_contacts, lies_in_cradle, lies_in_round, pocket_of, unconfirmed,
};
use crate::views::{self, SMALL, Scale, Section, depth_text, proud_text};

/// Height of the three overall figures, mm (a nominal height of ISO 3098).
const HUGE: f64 = 7.0;
/// A plan shorter than this on paper is too small for a bench: rather use another sheet, mm.
const READABLE: f64 = 100.0;
/// Nor any other view along the carrier shorter than this, mm.
const DISCERNIBLE: f64 = 50.0;
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
            // The overview has them, where there is one.
            Block::Warnings => plain && has_warnings(request, design),
            Block::Numbers => plain,
            Block::Plan | Block::Key => true,
        };
        blocks.iter().copied().filter(wanted).collect()
    };
    use Block::{Across, Along, Bed, Depths, Key, Numbers, Plan, Warnings};
    // From everything on one sheet to every view on its own. The first sheet always has the plan, and the
    // warnings too unless the plan needs all of it.
    let groupings: Vec<Vec<Vec<Block>>> = [
        vec![vec![Plan, Along, Across, Numbers, Warnings, Depths, Key, Bed]],
        vec![vec![Plan, Along, Across, Numbers, Warnings, Depths, Key], vec![Bed]],
        vec![vec![Plan, Along, Across, Numbers, Warnings, Depths], vec![Bed, Key]],
        vec![vec![Plan, Along, Across, Numbers, Warnings], vec![Bed, Depths, Key]],
        vec![vec![Plan, Along, Across, Warnings], vec![Numbers, Bed, Depths, Key]],
        vec![vec![Plan, Along, Numbers, Warnings], vec![Bed, Across, Depths, Key]],
        vec![vec![Plan, Along, Warnings], vec![Numbers, Bed, Across, Depths, Key]],
        vec![vec![Plan, Numbers, Warnings, Key], vec![Along, Across, Depths, Bed]],
        vec![vec![Plan, Numbers, Warnings], vec![Along, Across, Depths, Key, Bed]],
        vec![vec![Plan, Warnings], vec![Along, Across, Numbers, Depths, Key, Bed]],
        vec![vec![Plan, Numbers, Warnings], vec![Along, Across, Depths, Key], vec![Bed]],
        vec![vec![Plan, Warnings], vec![Along, Across, Numbers, Depths, Key], vec![Bed]],
        vec![vec![Plan, Numbers], vec![Warnings, Along, Across, Depths, Key, Bed]],
        vec![vec![Plan], vec![Warnings, Numbers, Along, Across, Depths, Key, Bed]],
        vec![vec![Plan, Numbers], vec![Warnings, Along, Across, Depths, Key], vec![Bed]],
        vec![vec![Plan], vec![Warnings, Numbers, Along, Across, Depths, Key], vec![Bed]],
        vec![vec![Plan], vec![Warnings, Numbers, Depths, Key], vec![Along, Across, Bed]],
        vec![vec![Plan], vec![Warnings, Numbers, Depths, Key], vec![Along, Across], vec![Bed]],
    ]
    .iter()
    .map(|sheets| sheets.iter().map(|blocks| with(blocks)).collect())
    .chain([[Plan, Numbers, Warnings, Along, Across, Depths, Key, Bed].iter().map(|block| with(&[*block])).collect()])
    .collect();
    let area = content(request.shop.paper, Lie::Landscape);
    let mut drawings = Drawings { request, design, width: area.width(), done: Vec::new() };
    // The first grouping whose views are all readable; else the one that comes nearest to it.
    let mut fallback: Option<(f64, Vec<Draft>)> = None;
    for grouping in groupings {
        let blocks = grouping.iter().filter(|blocks| !blocks.is_empty());
        let sheets: Option<Vec<(Draft, f64)>> = blocks.map(|blocks| sheet(&mut drawings, area, blocks)).collect();
        let Some(sheets) = sheets else { continue };
        let readable = sheets.iter().map(|(_, readable)| *readable).fold(1.0, f64::min);
        let drafts = sheets.into_iter().map(|(draft, _)| draft).collect();
        if readable >= 1.0 {
            return titled(drafts);
        }
        if fallback.as_ref().is_none_or(|(best, _)| readable > best + 1e-9) {
            fallback = Some((readable, drafts));
        }
    }
    let alone = with(&[Numbers, Plan, Along, Across, Bed]);
    titled(fallback.map_or_else(|| overflowing(&mut drawings, area, &alone), |(_, drafts)| drafts))
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
    /// How long the carrier should be at least on paper in this view, mm.
    fn wanted_length(self) -> Option<f64> {
        match self {
            Block::Plan => Some(READABLE),
            Block::Along | Block::Bed => Some(DISCERNIBLE),
            Block::Across | Block::Numbers | Block::Warnings | Block::Depths | Block::Key => None,
        }
    }

    /// Whether it is drawn at the scale of its sheet, or may be.
    fn is_to_scale(self) -> bool {
        matches!(self, Block::Plan | Block::Along | Block::Across | Block::Bed)
    }
}

/// One sheet with these blocks at the largest scale at which they fit, and how readable its views are: 1
/// or more where they are as long as they should be.
fn sheet(drawings: &mut Drawings<'_>, area: Area, blocks: &[Block]) -> Option<(Draft, f64)> {
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
        let places = pack_somehow(area, &sizes)?;
        let mut picture = Picture::default();
        for (mut variants, (variant, corner)) in pictures.into_iter().zip(places) {
            let chosen = variants.swap_remove(variant);
            let own = chosen.area();
            picture.add(chosen, at(corner.x - own.x0, corner.y - own.y1));
        }
        let wanted = blocks.iter().filter_map(|block| block.wanted_length()).fold(0.0, f64::max);
        let readable = if wanted > 0.0 { length / wanted } else { 1.0 };
        let printed = if to_scale { scale.text.to_owned() } else { "none".to_owned() };
        Some((Draft { title: String::new(), lie: Lie::Landscape, scale: printed, picture }, readable))
    })
}

/// The ways a block can be set: each with its number and its size.
type Ways = Vec<(usize, (f64, f64))>;

/// Packs blocks as they come; else with the narrow ways of setting them first; else the largest first.
fn pack_somehow(area: Area, blocks: &[Sizes]) -> Option<Vec<(usize, At)>> {
    pack(area, blocks).or_else(|| {
        // Blocks and their ways keep their numbers while they are sorted.
        let mut narrow: Vec<(usize, Ways)> =
            blocks.iter().map(|sizes| sizes.iter().copied().enumerate().collect()).enumerate().collect();
        for (_, ways) in &mut narrow {
            ways.sort_by(|(_, a), (_, b)| a.0.total_cmp(&b.0));
        }
        let mut largest_first = narrow.clone();
        let extent = |ways: &Ways| ways.first().map_or(0.0, |(_, (width, height))| width * height);
        largest_first.sort_by(|(_, a), (_, b)| extent(b).total_cmp(&extent(a)));
        [narrow, largest_first].into_iter().find_map(|sequence| {
            let sizes: Vec<Sizes> =
                sequence.iter().map(|(_, ways)| ways.iter().map(|(_, size)| *size).collect()).collect();
            let mut placed: Vec<(usize, (usize, At))> = Vec::new();
            for ((block, ways), (place, corner)) in sequence.iter().zip(pack(area, &sizes)?) {
                placed.push((*block, (ways.get(place)?.0, corner)));
            }
            placed.sort_by_key(|(block, _)| *block);
            Some(placed.into_iter().map(|(_, place)| place).collect())
        })
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
            // As large as it may be, else at the scale of the plan.
            let mut ways = vec![views::section(request, design, Section::Across, *own)];
            if scale.ratio < own.ratio {
                ways.push(views::section(request, design, Section::Across, scale));
            }
            ways
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
    let widths = [78.0, 62.0, 56.0, 100.0, 130.0, 230.0_f64];
    let set = |width: f64| {
        let mut flow = Flow::column(width.min(sheet));
        write(&mut flow);
        flow.finish().pop().unwrap_or_default()
    };
    widths.into_iter().map(set).collect()
}

/// The three overall figures, side by side and one under the other.
pub(super) fn numbers(request: &Request, design: &Design) -> Vec<Picture> {
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
    !unconfirmed(&request.machine).is_empty()
        || !design.blank.thickness_known
        || design.construction == "none"
        || !design.warnings.is_empty()
}

/// What must be read before anything else.
pub(super) fn warnings(flow: &mut Flow, request: &Request, design: &Design) {
    if let Some(text) = unconfirmed_text(request) {
        flow.boxed(&text);
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
    } else if lies_in_round(design) {
        flow.paragraph("Adds up (to the round's centre, and on to the far side):", Weight::Regular);
        let centre = pocket_of(design).map_or(blank, |pocket| pocket.outline.bounds()).centre();
        let along = [centre.x, design.carrier.length - centre.x];
        flow.paragraph(&format!("along {}", sum(ruler, &along, design.carrier.length)), Weight::Bold);
        let across = [centre.y, design.carrier.width - centre.y];
        flow.paragraph(&format!("across {}", sum(ruler, &across, design.carrier.width)), Weight::Bold);
    } else {
        if let Some(gang) = &design.gang {
            rows(flow, request, design, gang);
        } else {
            let between = if held_by_contacts(design) { "wedges" } else { "play" };
            flow.paragraph(&format!("Adds up (lead end, blank, {between}, trail end):"), Weight::Regular);
            let pocket = pocket_of(design);
            let hold =
                |edge: fn(&crate::geometry::Rect) -> Length| pocket.map_or(edge(&blank), |p| edge(&p.outline.bounds()));
            let along = [blank.x0, blank.length(), hold(|r| r.x1) - blank.x1, design.carrier.length - hold(|r| r.x1)];
            flow.paragraph(&format!("along {}", sum(ruler, &along, design.carrier.length)), Weight::Bold);
            let across = [blank.y0, blank.width(), hold(|r| r.y1) - blank.y1, design.carrier.width - hold(|r| r.y1)];
            flow.paragraph(&format!("across {}", sum(ruler, &across, design.carrier.width)), Weight::Bold);
        }
    }
    if request.machine.takes_whole_face() {
        let done = face_word(&request.machine);
        flow.paragraph(&format!("The whole top is {done}, blank and carrier alike."), Weight::Regular);
    } else {
        flow.paragraph(
            &format!(
                "Dashed in the plan: carve area{}, {} to {} from the lead end, {} to {} from the fence edge.",
                if design.gang.is_some() { " of pocket 1" } else { "" },
                n(carve.x0),
                n(carve.x1),
                n(carve.y0),
                n(carve.y1)
            ),
            Weight::Regular,
        );
    }
    if !design.keepers().is_empty() {
        flow.paragraph(
            "Rounds beside the pocket: keepers, solid where parked, dashed as far as they turn; a cross marks the peg.",
            Weight::Bold,
        );
    }
    if let Some(angle) = &request.blank.angle {
        flow.paragraph(
            &format!("The blank is a rectangle {} x {} set at {}.", n(angle.length), n(angle.width), angle.words()),
            Weight::Bold,
        );
    }
    if let Some(strip) = &request.blank.strip {
        flow.paragraph(
            &format!(
                "Small rectangles: {} parts of {} x {}, {} from one to the next. Chain lines across: saw apart there, after carving.",
                strip.each,
                n(strip.length),
                n(strip.width),
                n(strip.pitch())
            ),
            Weight::Bold,
        );
    }
    if lies_in_round(design) {
        let said = if design.gang.is_some() {
            "Every blank lies in the middle of its round."
        } else {
            "The blank lies in the middle of its round."
        };
        flow.paragraph(said, Weight::Regular);
    } else if lies_in_cradle(design) {
        flow.paragraph(
            "The blank is pushed home to the lead wall, and lies in the middle of its cradle.",
            Weight::Regular,
        );
    } else if held_by_contacts(design) {
        let told = "Dots in the plan: contacts, numbered as in the build steps. Arrows: wedges in the order in which they are driven, and which way.";
        flow.paragraph(told, Weight::Regular);
    } else if has_datum_corner(design) {
        flow.paragraph(
            if design.gang.is_some() {
                "Black wedge: datum corner of pocket 1; every blank is pushed home to that corner of its pocket."
            } else {
                "Black wedge: datum corner; the blank is pushed home to it."
            },
            Weight::Regular,
        );
    }
    if let Some(keep_out) = &design.keep_out {
        let height = if design.blank.thickness_known && keep_out.above > Length::ZERO {
            format!(" above {} from the bed face", depth_text(request, keep_out.above))
        } else {
            String::new()
        };
        let but = if design.screws.is_some() { "; the screws of the table end below that" } else { "" };
        flow.paragraph(&format!("Slanting hatch in the plan: NO METAL{height}{but}."), Weight::Bold);
    }
    if let Some(relief) = design.pockets.iter().find_map(|pocket| pocket.relief) {
        let how = if relief.bored { "bore each inside corner" } else { "run the cutter out at each inside corner" };
        flow.paragraph(&format!("Corner relief: {how}, Ø {}.", n(relief.diameter)), Weight::Regular);
    }
    // The pockets of a gang are all of one size.
    let told = if design.gang.is_some() { 1 } else { design.pockets.len() };
    for pocket in design.pockets.iter().take(told) {
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

/// The rows of a gang, and their closing sums.
fn rows(flow: &mut Flow, request: &Request, design: &Design, gang: &Gang) {
    let n = |length: Length| request.shop.ruler.number(length);
    let Some(first) = design.pockets.first().map(|pocket| pocket.outline.bounds()) else { return };
    let last = design.pockets.iter().map(|pocket| pocket.outline.bounds());
    let (x1, y1) = last.fold((first.x1, first.y1), |(x, y), bounds| (x.max(bounds.x1), y.max(bounds.y1)));
    flow.paragraph(
        &format!(
            "{} pockets {} x {}, web {}; numbered from the lead end, the row at the fence first. All corners: pocket table. Chosen for: {}.",
            gang.pockets,
            n(first.length()),
            n(first.width()),
            n(gang.web),
            gang.objective.words()
        ),
        Weight::Regular,
    );
    flow.paragraph(
        if gang.pair.is_some() {
            "Adds up (lead end, pitches of pairs, second of the last pair, pocket, trail end):"
        } else {
            "Adds up (lead end, pitches, set-off, pocket, trail end):"
        },
        Weight::Regular,
    );
    let sum = |near: Length, pitch: Length, times: usize, all: Length, pocket: Length, whole: Length| {
        let mut terms = vec![n(near)];
        let pitches = pitch * times as i64;
        if times > 0 {
            terms.push(format!("{times} x {}", n(pitch)));
        }
        let rest = all - pitches - pocket;
        if rest != Length::ZERO {
            terms.push(n(rest));
        }
        terms.extend([n(pocket), n(whole - near - all)]);
        format!("{} =\u{a0}{}", terms.join(" + "), n(whole))
    };
    // Of pairs the whole pitches, and the rest is how far the second of the last pair lies beyond the first.
    let times = gang.columns.saturating_sub(1) / if gang.pair.is_some() { 2 } else { 1 };
    let along = sum(first.x0, gang.pitch.x, times, x1 - first.x0, first.length(), design.carrier.length);
    flow.paragraph(&format!("along {along}"), Weight::Bold);
    let across =
        sum(first.y0, gang.pitch.y, gang.rows.saturating_sub(1), y1 - first.y0, first.width(), design.carrier.width);
    flow.paragraph(&format!("across {across}"), Weight::Bold);
}

/// The deeper pocket under relief, and how the blank is turned over to lie in it.
fn relief_room(flow: &mut Flow, request: &Request, room: &Pocket, flip: Flip) {
    let (depth, floor) = (depth_text(request, room.z1 - room.z0), depth_text(request, room.z0));
    flow.paragraph("not deeper: the ledge the border lies on", Weight::Regular);
    flow.paragraph(&format!("Room for the relief: {depth} below the ledge; floor left {floor}"), Weight::Bold);
    flow.paragraph(&format!("{}.", flip.words()), Weight::Bold);
}

/// Depths that are set on a machine, each with the way an error may go.
fn depths(flow: &mut Flow, request: &Request, design: &Design) {
    if let Some(pocket) = pocket_of(design) {
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
                let ring = design.parts.iter().any(|part| part.role == Role::Ring);
                flow.heading(&format!("{} HEIGHT {depth}", if ring { "RING" } else { "RAIL" }));
                flow.paragraph(&format!("not higher; base {below}"), Weight::Regular);
            }
            PocketKind::Open => flow.paragraph("The blank lies on the machine's bed.", Weight::Regular),
        }
    }
    if design.adhesive > Length::ZERO {
        let text = format!("Under the blank: adhesive {} thick.", depth_text(request, design.adhesive));
        flow.paragraph(&text, Weight::Regular);
    }
    let blank = &design.blank;
    for (name, top) in [("Blank top", blank.z1), ("Relief", blank.highest)] {
        let relief = name == "Relief";
        if let (Some(how), false) = (proud_text(request, top - design.carrier.thickness), relief && top == blank.z1) {
            flow.paragraph(&format!("{name} {how}."), Weight::Bold);
        }
    }
    for line in views::cradle_lines(request, design) {
        flow.paragraph(&line, Weight::Regular);
    }
    let deepest = depth_text(request, design.depth_below_top);
    let below = format!("{deepest} below the top plane");
    let text = if request.machine.takes_whole_face() {
        format!("Dashed in the sections: what is {}, {below}.", face_word(&request.machine))
    } else {
        format!("Dashed in the sections: deepest cut, {below}.")
    };
    flow.paragraph(&text, Weight::Regular);
    flow.paragraph("Level hatch in the sections: the blank.", Weight::Regular);
}

/// `4 + 9 + 1/16 + 4 = 17-1/16`; parts of no length are left out.
fn sum(ruler: &Ruler, parts: &[Length], whole: Length) -> String {
    let parts: Vec<String> =
        parts.iter().filter(|part| **part != Length::ZERO).map(|part| ruler.number(*part)).collect();
    // The result is not torn from its sign of equality at a line's end.
    format!("{} =\u{a0}{}", parts.join(" + "), ruler.number(whole))
}

/// So many names stand in the box; the reasons sheet has all.
const NAMED: usize = 4;

/// The boxed line for a machine nobody has measured: the figures that matter most, and how many more.
pub(super) fn unconfirmed_text(request: &Request) -> Option<String> {
    let names = unconfirmed(&request.machine);
    let more = names.len().saturating_sub(NAMED);
    let named = names.get(..NAMED).unwrap_or(&names).join(", ");
    let rest = if more > 0 { format!(" and {more} more (reasons sheet)") } else { String::new() };
    (!names.is_empty()).then(|| format!("MACHINE FIGURES NOT CONFIRMED: {named}{rest}"))
}
