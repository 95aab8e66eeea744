//! The bench sheets: views at standard scales, arranged as the projection asks, with the notes beside them.

use super::book::{CLEAR, Leaf, Least, apart};
use super::flow::Flow;
use super::form::{Form, Lie};
use super::frame::block_height;
use super::notes;
use super::pack::{Places, Sizes, pack, without};
use crate::design::Design;
use crate::drawing::{Area, At, Picture, at};
use crate::request::{Projection, Request};
use crate::views::{self, Scale, Section};

/// A plan shorter than this on paper is too small for a bench: rather use another sheet, mm.
const READABLE: f64 = 100.0;
/// On larger paper a plan takes at least this share of its width, up to full size.
const SHARE: f64 = 0.38;
/// Section B-B is drawn no wider than this on paper, mm.
const ACROSS: f64 = 110.0;
/// On larger paper than a printer's it may take this share of its width.
const ACROSS_SHARE: f64 = 0.3;
/// What all bench sheets are called.
const NAME: &str = "Bench sheet";
/// Least size of a room on a bench sheet that is worth keeping for text, mm.
pub(super) const ROOM: Least = Least { width: 84.0, height: 40.0 };

/// A block of a bench sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Block {
    Plan,
    Along,
    Across,
    Second,
    Detail,
    Bed,
    Numbers,
    Warnings,
    Depths,
    Key,
}

/// Bench sheets that could be, those with the plan at the larger scale first.
pub(super) fn candidates(request: &Request, design: &Design) -> Vec<Vec<Leaf>> {
    let plain = design.construction == "none";
    let sections = !plain && design.blank.thickness_known;
    let bed = !plain && views::has_bed_face(request, design);
    let second = design.second_section_point().is_some();
    let detail = views::detail(request, design).is_some();
    let wanted = |block: &Block| match block {
        Block::Along | Block::Across | Block::Depths => sections,
        Block::Second => sections && second,
        Block::Detail => sections && detail,
        Block::Bed => bed,
        // The overview has them, where there is one.
        Block::Warnings => plain && notes::has_warnings(request, design),
        Block::Numbers => plain,
        Block::Plan | Block::Key => true,
    };
    use Block::{Across, Along, Bed, Depths, Detail, Key, Numbers, Plan, Second, Warnings};
    // What belongs to the plan first, or the views first, or what must be read first.
    let orders = [
        [Plan, Along, Across, Second, Numbers, Warnings, Depths, Detail, Key, Bed],
        [Plan, Numbers, Warnings, Along, Across, Second, Depths, Key, Bed, Detail],
        [Plan, Along, Numbers, Warnings, Bed, Across, Second, Detail, Depths, Key],
        [Plan, Warnings, Numbers, Key, Along, Across, Second, Bed, Depths, Detail],
    ];
    let mut drawings = Drawings { request, design, done: Vec::new() };
    let mut readable: Vec<(f64, Vec<Leaf>)> = Vec::new();
    // The one that comes nearest to being readable, should none be.
    let mut fallback: Option<(f64, Vec<Leaf>)> = None;
    for scale in views::scales(request.sheet.standard) {
        let mut legible = false;
        let lies = Form::lies(&request.sheet);
        for (order, lie) in orders.iter().flat_map(|order| lies.iter().map(move |lie| (order, *lie))) {
            let blocks: Vec<Block> = order.iter().copied().filter(wanted).collect();
            let Some(found) = greedy(&mut drawings, &blocks, *scale, &[lie]) else { continue };
            let worst = found.iter().map(|sheet| sheet.readable).fold(f64::INFINITY, f64::min);
            let leaves: Vec<Leaf> = found.into_iter().map(|sheet| sheet.leaf).collect();
            if worst >= 1.0 {
                legible = true;
                readable.push((scale.ratio, leaves));
            } else if fallback.as_ref().is_none_or(|(best, _)| worst > best + 1e-9) {
                fallback = Some((worst, leaves));
            }
        }
        // At smaller scales no more can be read.
        if !legible && (!readable.is_empty() || fallback.is_some()) {
            break;
        }
    }
    if readable.is_empty() {
        let views: Vec<Block> = [Plan, Along, Across, Second, Detail, Bed].into_iter().filter(wanted).collect();
        return vec![fallback.map_or_else(|| overflowing(&mut drawings, &views), |(_, leaves)| leaves)];
    }
    readable.into_iter().map(|(_, leaves)| leaves).collect()
}

/// Sheets filled one after the other: each takes, of the blocks left, every one in its turn that still
/// fits. The first sheet lies one of the ways given; of the ways paper may lie each takes the one that
/// holds more blocks.
fn greedy(drawings: &mut Drawings<'_>, blocks: &[Block], scale: Scale, lies: &[Lie]) -> Option<Vec<Sheet>> {
    let mut left = blocks.to_vec();
    let mut sheets: Vec<Sheet> = Vec::new();
    while !left.is_empty() {
        let begins = sheets.is_empty();
        let first = begins && drawings.design.construction == "none";
        let mut best: Option<(usize, f64, Sheet, Vec<Block>)> = None;
        for lie in if begins { lies } else { Form::lies(&drawings.request.sheet) } {
            let form = Form::new(&drawings.request.sheet, *lie);
            let mut taken: Vec<Block> = Vec::new();
            for block in &left {
                taken.push(*block);
                if !fits(drawings, form, &taken, scale, first) {
                    taken.pop();
                    // The plan begins the first sheet or there is none.
                    if *block == Block::Plan {
                        break;
                    }
                }
            }
            if taken.is_empty() {
                continue;
            }
            let Some(sheet) = sheet(drawings, form, &taken, scale, first) else { continue };
            let room = sheet.leaf.rooms.iter().map(|room| room.width() * room.height()).fold(0.0, f64::max);
            let better = best.as_ref().is_none_or(|(count, other, ..)| {
                taken.len() > *count || (taken.len() == *count && room > other + 1e-9)
            });
            if better {
                best = Some((taken.len(), room, sheet, taken));
            }
        }
        let (_, _, sheet, taken) = best?;
        left.retain(|block| !taken.contains(block));
        sheets.push(sheet);
    }
    Some(sheets)
}

/// A sheet, and how it turned out.
struct Sheet {
    leaf: Leaf,
    /// Length of the carrier on paper over what it should be at least: 1 or more is readable.
    readable: f64,
}

/// Blocks drawn so far, so that trying another grouping costs little.
struct Drawings<'a> {
    request: &'a Request,
    design: &'a Design,
    done: Vec<Done>,
}

/// A block as it was drawn: which, at what scale, and each way it may be set with its size.
struct Done {
    block: Block,
    scale: &'static str,
    pictures: Vec<(Picture, Area)>,
}

impl Drawings<'_> {
    /// The ways a block can be set at a scale.
    fn of(&mut self, block: Block, scale: Scale) -> &[(Picture, Area)] {
        let text = if block.is_to_scale() { scale.text } else { "" };
        let found = self.done.iter().position(|done| done.block == block && done.scale == text);
        let place = found.unwrap_or_else(|| {
            let pictures = variants(self.request, self.design, block, scale).into_iter();
            let pictures = pictures.map(|picture| {
                let area = picture.area();
                (picture, area)
            });
            self.done.push(Done { block, scale: text, pictures: pictures.collect() });
            self.done.len() - 1
        });
        self.done.get(place).map_or(&[], |done| &done.pictures)
    }
}

impl Block {
    /// How long the carrier should be at least on paper in this view, as a share of what the plan wants.
    fn wanted_length(self) -> Option<f64> {
        match self {
            Block::Plan => Some(1.0),
            Block::Along | Block::Bed => Some(0.5),
            _ => None,
        }
    }

    /// Whether it is drawn at the scale of its sheet, or may be.
    fn is_to_scale(self) -> bool {
        matches!(self, Block::Plan | Block::Along | Block::Across | Block::Second | Block::Bed)
    }
}

/// Where blocks go on a sheet: the ways they are set with their shifts, and the areas left.
fn placed(
    drawings: &mut Drawings<'_>,
    form: Form,
    blocks: &[Block],
    scale: Scale,
    first: bool,
) -> Option<(Places, Vec<Area>)> {
    let areas = form.free(block_height(first));
    let widest = areas.iter().map(Area::width).fold(0.0, f64::max);
    // A view longer than the sheet cannot fit whatever its lettering: do not draw it in vain.
    let length = drawings.design.carrier.length.to_mm() * scale.ratio;
    if length > widest && blocks.iter().any(|block| block.wanted_length().is_some()) {
        return None;
    }
    let sizes: Vec<(Block, Vec<Area>)> = blocks
        .iter()
        .map(|block| (*block, drawings.of(*block, scale).iter().map(|(_, area)| *area).collect()))
        .collect();
    arrange(&areas, &sizes, drawings.request.sheet.projection)
}

fn fits(drawings: &mut Drawings<'_>, form: Form, blocks: &[Block], scale: Scale, first: bool) -> bool {
    placed(drawings, form, blocks, scale, first).is_some()
}

fn sheet(drawings: &mut Drawings<'_>, form: Form, blocks: &[Block], scale: Scale, first: bool) -> Option<Sheet> {
    let (places, free) = placed(drawings, form, blocks, scale, first)?;
    let mut picture = Picture::default();
    for (block, (variant, shift)) in blocks.iter().zip(places) {
        if let Some((chosen, _)) = drawings.of(*block, scale).get(variant) {
            picture.add(chosen.clone(), shift);
        }
    }
    let wanted = blocks.iter().filter_map(|block| block.wanted_length()).fold(0.0, f64::max);
    let full = drawings.design.carrier.length.to_mm();
    let widest = form.free(0.0).iter().map(Area::width).fold(0.0, f64::max);
    let least = wanted * READABLE.max((SHARE * widest).min(full));
    let readable = if wanted > 0.0 { full * scale.ratio / least } else { 1.0 };
    let to_scale = blocks.iter().any(|block| block.is_to_scale());
    let printed = if to_scale { scale.text.to_owned() } else { "none".to_owned() };
    let leaf = Leaf { form, picture, scale: printed, names: vec![NAME], rooms: apart(free, ROOM) };
    Some(Sheet { leaf, readable })
}

/// Places the views that line up as the projection asks, and packs everything else round them. Returns
/// for each block which of its ways was used and how far it is shifted, and the areas left.
fn arrange(areas: &[Area], blocks: &[(Block, Vec<Area>)], projection: Projection) -> Option<(Places, Vec<Area>)> {
    let order = match projection {
        Projection::ThirdAngle => [Block::Plan, Block::Along, Block::Bed],
        Projection::FirstAngle => [Block::Bed, Block::Along, Block::Plan],
    };
    let find = |wanted: Block| blocks.iter().position(|(block, _)| *block == wanted);
    let column: Vec<(usize, Area)> = order
        .into_iter()
        .filter_map(|wanted| find(wanted).and_then(|place| Some((place, *blocks.get(place)?.1.first()?))))
        .collect();
    let aside = find(Block::Across).filter(|_| find(Block::Along).is_some());
    let ways: Vec<Option<(usize, usize, Area, bool)>> =
        match aside.and_then(|place| blocks.get(place).map(|b| (place, b))) {
            Some((place, (_, variants))) => variants
                .iter()
                .enumerate()
                .flat_map(|(variant, area)| [true, false].map(|clear| Some((place, variant, *area, clear))))
                .collect(),
            None => vec![None],
        };
    areas.iter().find_map(|area| {
        ways.iter().find_map(|way| {
            let lined_up = line_up(*area, &column, *way, find(Block::Along), projection)?;
            let mut free = areas.to_vec();
            let mut places: Vec<Option<(usize, At)>> = vec![None; blocks.len()];
            for (place, variant, shift, taken) in lined_up {
                let taken = taken.grown(CLEAR);
                free = free.into_iter().flat_map(|area| without(area, &taken)).collect();
                *places.get_mut(place)? = Some((variant, shift));
            }
            let others: Vec<usize> = (0..blocks.len()).filter(|place| places.get(*place) == Some(&None)).collect();
            let sizes: Vec<Sizes> = others
                .iter()
                .filter_map(|place| blocks.get(*place))
                .map(|(_, variants)| variants.iter().map(|area| (area.width(), area.height())).collect())
                .collect();
            let (packed, left) = pack_somehow(&free, &sizes)?;
            for (place, (variant, corner)) in others.into_iter().zip(packed) {
                let own = *blocks.get(place)?.1.get(variant)?;
                *places.get_mut(place)? = Some((variant, at(corner.x - own.x0, corner.y - own.y1)));
            }
            Some((places.into_iter().collect::<Option<Places>>()?, left))
        })
    })
}

/// Block, way, shift and area taken.
type Lined = (usize, usize, At, Area);

/// Views one above the other, lead ends in line, from the upper left corner of an area; beside the
/// section along, on one level with it, the section across: at its right in third angle, where the view
/// from the trail end belongs, at its left in first angle. `aside` is its block, its way, its area, and
/// whether it keeps clear of all the others' columns, so that it may reach above and below its row.
fn line_up(
    area: Area,
    column: &[(usize, Area)],
    aside: Option<(usize, usize, Area, bool)>,
    along: Option<usize>,
    projection: Projection,
) -> Option<Vec<Lined>> {
    let third = projection == Projection::ThirdAngle;
    let left = column.iter().map(|(_, own)| -own.x0).fold(0.0, f64::max);
    let level = |place: usize| along == Some(place);
    // Above and below the section along its neighbour may need more room.
    let extra = |place: usize, own: &Area| match aside {
        Some((_, _, other, false)) if level(place) => ((other.y1 - own.y1).max(0.0), (own.y0 - other.y0).max(0.0)),
        _ => (0.0, 0.0),
    };
    let mut x = area.x0 + left;
    if let (Some((_, _, other, _)), false) = (aside, third) {
        x += other.width() + CLEAR;
    }
    let mut y = area.y1;
    let mut placed: Vec<Lined> = Vec::new();
    let mut base = None;
    for (place, own) in column {
        let (above, below) = extra(*place, own);
        let shift = at(x, y - above - own.y1);
        if level(*place) {
            base = Some(shift.y);
        }
        placed.push((*place, 0, shift, moved(*own, shift)));
        y = shift.y + own.y0 - below - CLEAR;
    }
    if let (Some((place, way, own, clear)), Some(mut base)) = (aside, base) {
        // Higher than what stands above it: all go down.
        let down = if clear { (base + own.y1 - area.y1).max(0.0) } else { 0.0 };
        base -= down;
        for (_, _, shift, taken) in &mut placed {
            shift.y -= down;
            *taken = moved(*taken, at(0.0, -down));
        }
        let beside = placed.iter().filter(|(place, ..)| clear || level(*place)).map(|(.., taken)| *taken);
        let beside = beside.fold(Area::NOTHING, Area::with);
        let shift = at(if third { beside.x1 + CLEAR - own.x0 } else { beside.x0 - CLEAR - own.x1 }, base);
        placed.push((place, way, shift, moved(own, shift)));
    }
    let fits = placed.iter().all(|(.., taken)| area.grown(1e-6).holds(taken));
    fits.then_some(placed)
}

fn moved(area: Area, by: At) -> Area {
    Area::new(area.x0 + by.x, area.y0 + by.y, area.x1 + by.x, area.y1 + by.y)
}

/// The ways a block can be set: each with its number and its size.
type Ways = Vec<(usize, (f64, f64))>;

/// Packs blocks as they come; else with the narrow ways of setting them first; else the largest first.
fn pack_somehow(free: &[Area], blocks: &[Sizes]) -> Option<(Places, Vec<Area>)> {
    pack(free.to_vec(), blocks).or_else(|| {
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
            let (packed, left) = pack(free.to_vec(), &sizes)?;
            let mut placed: Vec<(usize, (usize, At))> = Vec::new();
            for ((block, ways), (place, corner)) in sequence.iter().zip(packed) {
                placed.push((*block, (ways.get(place)?.0, corner)));
            }
            placed.sort_by_key(|(block, _)| *block);
            Some((placed.into_iter().map(|(_, place)| place).collect(), left))
        })
    })
}

/// For text too long, or a design too large, to be set in blocks: the text flows over as many sheets as
/// it needs, and every view has its own sheet at the largest scale that fits (else the smallest there is).
fn overflowing(drawings: &mut Drawings<'_>, views: &[Block]) -> Vec<Leaf> {
    let (request, design) = (drawings.request, drawings.design);
    let form = Form::of_text(&request.sheet);
    let area = |first: bool| form.free(block_height(first)).into_iter().take(1).collect::<Vec<_>>();
    let rooms: Vec<(usize, Area)> = area(true).into_iter().map(|area| (0, area)).collect();
    let mut flow = Flow::new(&rooms, 1, area(false), 120.0);
    // One under the other: there is always room for that.
    if let Some(numbers) = notes::numbers(request, design).pop() {
        flow.figure(numbers);
    }
    notes::warnings(&mut flow, request, design);
    if views.contains(&Block::Along) {
        notes::depths(&mut flow, request, design);
    }
    notes::key(&mut flow, request, design);
    let leaf = |form: Form, scale: &str, picture: Picture| Leaf {
        form,
        picture,
        scale: scale.to_owned(),
        names: vec![NAME],
        rooms: Vec::new(),
    };
    let mut leaves: Vec<Leaf> =
        flow.finish().pieces.into_iter().map(|(_, picture)| leaf(form, "none", picture)).collect();
    let scales = views::scales(request.sheet.standard);
    for block in views {
        let fitting = scales.iter().find_map(|scale| greedy(drawings, &[*block], *scale, Form::lies(&request.sheet)));
        let fitting = fitting.and_then(|mut sheets| sheets.pop()).map(|sheet| sheet.leaf);
        leaves.extend(fitting.or_else(|| {
            let scale = *scales.last()?;
            let (view, own) = drawings.of(*block, scale).first()?.clone();
            let area = *area(false).first()?;
            let mut picture = Picture::default();
            picture.add(view, at(area.x0 - own.x0, area.y1 - own.y1));
            Some(leaf(form, scale.text, picture))
        }));
    }
    leaves
}

fn variants(request: &Request, design: &Design, block: Block, scale: Scale) -> Vec<Picture> {
    // The narrowest sheet a block of text may have to itself.
    let forms = Form::lies(&request.sheet).iter().map(|lie| Form::new(&request.sheet, *lie));
    let width = forms.map(|form| form.frame().width() - 6.0).fold(f64::INFINITY, f64::min);
    match block {
        Block::Plan => vec![views::plan(request, design, scale)],
        Block::Along => vec![views::section(request, design, Section::Along, scale)],
        Block::Across | Block::Second => {
            let which = if block == Block::Across { Section::Across } else { Section::Second };
            let across = design.carrier.width.to_mm();
            let scales = views::scales(request.sheet.standard);
            let widest = ACROSS.max(ACROSS_SHARE * width);
            let own = scales.iter().find(|own| across * own.ratio <= widest).unwrap_or(&scale);
            // As large as it may be, else smaller, down to the scale of the plan.
            let between =
                scales.iter().filter(|next| next.ratio <= own.ratio && next.ratio >= scale.ratio.min(own.ratio));
            between.map(|scale| views::section(request, design, which, *scale)).collect()
        }
        Block::Detail => views::detail(request, design).into_iter().collect(),
        Block::Bed => vec![views::bed_face(request, design, scale)],
        Block::Numbers => notes::numbers(request, design),
        Block::Depths => notes::columns(width, |flow| notes::depths(flow, request, design)),
        Block::Warnings => notes::columns(width, |flow| notes::warnings(flow, request, design)),
        Block::Key => notes::columns(width, |flow| notes::key(flow, request, design)),
    }
}
