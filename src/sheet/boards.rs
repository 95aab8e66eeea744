//! Pages of a saw plan: what to pull and to buy, every board with its cuts, the jobs' own steps, labels.

use super::flow::{Flow, Table};
use super::form::Form;
use crate::design::{BoardCut, BoardPlan, Design, Direction, Extent, PlacedPiece, SawnBoard, WantedPiece};
use crate::drawing::{Align, Area, Hatch, Ink, Line, Page, Picture, Text, Weight, at, font};
use crate::geometry::Rect;
use crate::length::{Length, Unit};
use crate::request::{Request, SheetStyle, Shop};
use crate::views::{LARGE, SMALL};

/// Least width of a column on large paper, mm.
const COLUMN: f64 = 150.0;
/// Height of the heading and of the line at the foot, mm.
const BAR: f64 = 11.0;
/// Room for the numbers of rips beside a board, and for the words below it, mm.
const NUMBERS: f64 = 17.0;
const WORDS: f64 = 6.0;
/// Tallest picture of a board, mm.
const TALLEST: f64 = 75.0;
/// The narrowest piece is drawn at least this wide where the board's picture has room, mm.
const STRIP: f64 = 7.0;
/// Least width and height of a label, mm.
const LABEL: (f64, f64) = (85.0, 34.0);

/// A plan with everything its pages say.
pub struct SawPlan<'a> {
    /// The plan.
    pub plan: &'a BoardPlan,
    /// The shop.
    pub shop: &'a Shop,
    /// Jobs and their designs, in the plan's order.
    pub jobs: &'a [(&'a Request, &'a Design)],
}

impl SawPlan<'_> {
    /// Paper and conventions: those of the first job.
    fn style(&self) -> SheetStyle {
        let usual = || SheetStyle::usual(self.shop.ruler.unit);
        self.jobs.first().map_or_else(usual, |(request, _)| request.sheet.clone())
    }

    fn say(&self, length: Length) -> String {
        self.shop.ruler.number(length)
    }

    fn size(&self, size: Extent) -> String {
        format!(
            "{} x {} x {}",
            self.say(size.length),
            self.say(size.width),
            self.shop.depth_ruler.number(size.thickness)
        )
    }

    /// Length and width of a place, no larger than it is.
    fn flat(&self, place: &Rect) -> String {
        let step = self.shop.ruler.step;
        format!("{} x {}", self.say(place.length().down(step)), self.say(place.width().down(step)))
    }

    fn wanted(&self, id: &str) -> Option<&WantedPiece> {
        self.plan.wanted.iter().find(|piece| piece.id == id)
    }

    fn job_name(&self, job: usize) -> &str {
        self.jobs.get(job.saturating_sub(1)).map_or("", |(request, _)| request.name.as_str())
    }
}

/// The pages, labels last.
pub fn saw_plan(saw: &SawPlan<'_>) -> Vec<Page> {
    let form = Form::of_text(&saw.style());
    let frame = form.frame();
    let content = Area::new(frame.x0 + 3.0, frame.y0 + BAR + 2.0, frame.x1 - 3.0, frame.y1 - BAR - 2.0);
    let mut drafts: Vec<(&str, Picture)> = Vec::new();
    drafts.extend(flowed(content, |flow| pull(flow, saw)).into_iter().map(|page| ("Saw plan", page)));
    let boards = flowed(content, |flow| {
        for board in &saw.plan.boards {
            board_and_cuts(flow, saw, board);
        }
    });
    drafts.extend(boards.into_iter().map(|page| ("Boards", page)));
    let own = flowed(content, |flow| {
        for (place, (request, design)) in saw.jobs.iter().enumerate() {
            own_steps(flow, place + 1, request, design);
        }
    });
    drafts.extend(own.into_iter().map(|page| ("Parts of each carrier", page)));
    drafts.extend(labels(saw, content).into_iter().map(|page| ("Labels", page)));
    let total = drafts.len();
    let (width, height) = form.size();
    let pages = drafts.into_iter().enumerate().map(|(place, (title, content))| {
        let mut picture = Picture::default();
        surround(&mut picture, frame, saw, title, (place + 1, total));
        picture.add(content, at(0.0, 0.0));
        let title = format!("{title}, page {} of {total}", place + 1);
        Page { title, width, height, frame, margin: form.marks(), picture }
    });
    pages.collect()
}

/// Text over as many pages as it needs; nothing is no page.
fn flowed(content: Area, write: impl FnOnce(&mut Flow)) -> Vec<Picture> {
    let mut flow = Flow::new(&[], 0, vec![content], COLUMN);
    write(&mut flow);
    let mut pages: Vec<Picture> = Vec::new();
    for (place, piece) in flow.finish().pieces {
        if piece.items.is_empty() {
            continue;
        }
        pages.resize_with(pages.len().max(place + 1), Picture::default);
        if let Some(page) = pages.get_mut(place) {
            page.add(piece, at(0.0, 0.0));
        }
    }
    pages
}

fn surround(picture: &mut Picture, frame: Area, saw: &SawPlan<'_>, title: &str, (number, total): (usize, usize)) {
    let base = frame.y1 - 3.0 - LARGE;
    picture.text(Text::new(at(frame.x0 + 3.0, base), LARGE, &title.to_uppercase()).bold());
    picture.line(Line::Thin, &[at(frame.x0, frame.y1 - BAR), at(frame.x1, frame.y1 - BAR)]);
    let foot = frame.y0 + BAR;
    picture.line(Line::Thin, &[at(frame.x0, foot), at(frame.x1, foot)]);
    let sheet = format!("sheet {number} of {total}");
    let right = Text::new(at(frame.x1 - 3.0, frame.y0 + 4.0), SMALL, &sheet).bold().align(Align::End);
    let room = right.start().x - frame.x0 - 8.0;
    picture.text(right);
    let names: Vec<&str> = saw.jobs.iter().map(|(request, _)| request.name.as_str()).collect();
    let unit = if saw.shop.ruler.unit == Unit::Inch { "inch" } else { "mm" };
    let text = format!("{unit}   kerf {}   {}", saw.say(saw.plan.kerf), names.join(", "));
    let text = font::shorten(&font::printable(&text), SMALL, Weight::Regular, room);
    picture.text(Text::new(at(frame.x0 + 3.0, frame.y0 + 4.0), SMALL, &text));
}

/// What to take from the pile, what to buy, and how good the plan is.
fn pull(flow: &mut Flow, saw: &SawPlan<'_>) {
    let plan = saw.plan;
    flow.heading("Take from the pile");
    let mut table = Table::new(&["Board", "Marked", "Material", "Long x wide", "Gives", "Back on the pile"]);
    for board in plan.boards.iter().filter(|board| !board.bought) {
        table.rows.push(row(saw, board));
    }
    if table.rows.is_empty() {
        flow.paragraph("Nothing.", Weight::Regular);
    }
    flow.table(&table);
    if plan.boards.iter().any(|board| board.bought) {
        flow.heading("Buy");
        let mut table = Table::new(&["Count", "Material", "Long x wide x thick", "Price of one", "Weight of all"]);
        for (count, board) in to_buy(plan) {
            table.rows.push(vec![
                count.to_string(),
                board.material.clone(),
                saw.size(board.size),
                board.price.map_or_else(|| "not stated".to_owned(), money),
                format!("{:.1} kg", board.mass_kg * count as f64),
            ]);
        }
        flow.table(&table);
        let bought = || plan.boards.iter().filter(|board| board.bought);
        if bought().all(|board| board.price.is_some()) {
            let sum: i64 = bought().filter_map(|board| board.price).sum();
            flow.paragraph(&format!("Together {}.", money(sum)), Weight::Bold);
        }
        let mut table = Table::new(&["Board", "Marked", "Material", "Long x wide", "Gives", "Back on the pile"]);
        for board in bought() {
            table.rows.push(row(saw, board));
        }
        flow.table(&table);
    }
    flow.heading("Pieces asked for");
    let mut table = Table::new(&["Piece", "For", "Long x wide x thick", "Material", "Board"]);
    for piece in &plan.wanted {
        let board = plan.boards.iter().find(|board| board.pieces.iter().any(|placed| placed.id == piece.id));
        table.rows.push(vec![
            piece.id.clone(),
            format!("{}, piece {}", saw.job_name(piece.job), piece.parent),
            saw.size(piece.size),
            piece.material.clone(),
            board.map_or_else(String::new, |board| board.id.clone()),
        ]);
    }
    flow.table(&table);
    flow.heading("How good the plan is");
    let mut table = Table::new(&["Material", "Pieces", "Cost", "No plan below", "So"]);
    for proof in &plan.proofs {
        table.rows.push(vec![
            proof.material.clone(),
            proof.pieces.to_string(),
            amount(proof, proof.cost),
            amount(proof, proof.bound),
            verdict(proof),
        ]);
    }
    flow.table(&table);
    let text = "Cost of the boards cut into: their price where all have one, else the wood in them in litres, ten times as \
                much for a board to be bought.";
    flow.paragraph(text, Weight::Regular);
    flow.boxed(
        "Caliper every board first. A raw edge does not run against a fence: joint one edge, or fix a straight board \
         along it, before the first rip. Look for nails and dried glue. Guard, splitter and push stick in place; eye and \
         ear protection; dust mask. Let offcuts lie until the blade stands. The machines' manuals come first.",
    );
}

fn row(saw: &SawPlan<'_>, board: &SawnBoard) -> Vec<String> {
    let gives: Vec<&str> = board.pieces.iter().map(|piece| piece.id.as_str()).collect();
    let left: Vec<String> =
        board.leftovers.iter().map(|left| format!("{} {}", left.id, saw.flat(&left.place))).collect();
    vec![
        board.id.clone(),
        board.mark.clone().unwrap_or_default(),
        board.material.clone(),
        format!("{} x {}", saw.say(board.size.length), saw.say(board.size.width)),
        gives.join(", "),
        if left.is_empty() { "nothing".to_owned() } else { left.join(", ") },
    ]
}

/// Boards to buy, those alike together.
pub fn to_buy(plan: &BoardPlan) -> Vec<(usize, &SawnBoard)> {
    let mut rows: Vec<(usize, &SawnBoard)> = Vec::new();
    for board in plan.boards.iter().filter(|board| board.bought) {
        match rows.iter_mut().find(|(_, other)| other.row == board.row) {
            Some((count, _)) => *count += 1,
            None => rows.push((1, board)),
        }
    }
    rows
}

/// Hundredths as an amount.
pub fn money(hundredths: i64) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// A cost of a plan as a person reads it.
pub fn amount(proof: &crate::design::Proof, cost: i64) -> String {
    if proof.unit.starts_with("hundredths") { money(cost) } else { format!("{:.1} litres", cost as f64 / 10.0) }
}

/// What is known of a plan, in words.
pub fn verdict(proof: &crate::design::Proof) -> String {
    if proof.is_best() {
        return "proven best".to_owned();
    }
    let gap = (proof.cost - proof.bound) as f64 / proof.cost.max(1) as f64 * 100.0;
    let ended = if proof.timed_out { "time ran out; " } else { "" };
    format!("{ended}not proven: at most {gap:.1} % could be saved")
}

fn board_and_cuts(flow: &mut Flow, saw: &SawPlan<'_>, board: &SawnBoard) {
    let cuts: Vec<&BoardCut> = saw.plan.cuts.iter().filter(|cut| cut.board == board.id).collect();
    let (picture, height) = board_picture(saw, board, &cuts, flow.width());
    // Heading, picture and the first cuts stay together.
    flow.keep(height + 1.6 * LARGE + 26.0);
    let mark = board.mark.as_ref().map(|mark| format!(", marked {mark}")).unwrap_or_default();
    let bought = if board.bought { ", to be bought" } else { "" };
    flow.heading(&format!("{}{mark}{bought}: {}, {}", board.id, board.material, saw.size(board.size)));
    flow.figure(picture);
    if cuts.is_empty() {
        flow.paragraph("It is used as it lies: nothing to cut.", Weight::Regular);
    }
    for cut in cuts {
        flow.tick(cut.number, &cut.note, caution(cut, saw));
    }
}

/// A caution that belongs to a cut.
fn caution(cut: &BoardCut, saw: &SawPlan<'_>) -> Option<&'static str> {
    let long = cut.before.length > Length::inches(60, 1);
    match cut.direction {
        Direction::Rip if cut.setting < Length::inches(3, 4) => Some("narrow strip: pushing block, stand aside."),
        Direction::Crosscut if cut.before.width > saw.shop.mitre_width * 2 && long => {
            Some("large piece: carry it on the sled, supported on both sides.")
        }
        Direction::Rip if long => Some("long piece: have a support at the outfeed side."),
        _ => None,
    }
}

/// A board to scale: pieces, kerfs with the numbers of their cuts, leftovers, bad places.
fn board_picture(saw: &SawPlan<'_>, board: &SawnBoard, cuts: &[&BoardCut], room: f64) -> (Picture, f64) {
    let (long, wide) = (board.size.length.to_mm(), board.size.width.to_mm());
    let across = room - NUMBERS - 2.0;
    // One to a whole number: nothing is measured off this picture.
    let ratio = libm::ceil((long / across).max(wide / TALLEST)).max(1.0);
    let factor = 1.0 / ratio;
    // Narrow strips are drawn wider, so that there is room for their names.
    let narrowest = board.pieces.iter().map(|piece| piece.place.width().to_mm()).fold(wide, f64::min).max(0.1);
    let times = libm::ceil(STRIP / (narrowest * factor)).clamp(1.0, libm::floor((TALLEST / (wide * factor)).max(1.0)));
    let up = factor * times;
    let words = match times > 1.0 {
        true => format!("1:{ratio:.0}, widths x{times:.0}"),
        false => format!("1:{ratio:.0}"),
    };
    let origin = at(NUMBERS, WORDS);
    let spot = |x: Length, y: Length| at(origin.x + x.to_mm() * factor, origin.y + y.to_mm() * up);
    let area = |place: &Rect| {
        let (a, b) = (spot(place.x0, place.y0), spot(place.x1, place.y1));
        Area::new(a.x, a.y, b.x, b.y)
    };
    let whole = Rect::sized(Length::ZERO, Length::ZERO, board.size.length, board.size.width);
    let mut picture = Picture::default();
    picture.frame(Line::Edge, area(&whole));
    let low = area(&whole);
    picture.line(Line::Fence, &[at(low.x0, low.y0), at(low.x1, low.y0)]);
    for left in &board.leftovers {
        picture.hatch(Hatch::STRIP, area(&left.place).corners());
    }
    for bad in &board.bad {
        let box_ = area(bad);
        picture.frame(Line::Hidden, box_);
        picture.line(Line::Thin, &[at(box_.x0, box_.y0), at(box_.x1, box_.y1)]);
        picture.line(Line::Thin, &[at(box_.x0, box_.y1), at(box_.x1, box_.y0)]);
    }
    for piece in &board.pieces {
        picture.frame(Line::Edge, area(&piece.place));
    }
    for cut in cuts {
        let line = area(&cut.line);
        // Never thinner than a line that can be seen.
        let grown = match cut.direction {
            Direction::Rip => Area { y1: line.y1.max(line.y0 + 0.35), ..line },
            Direction::Crosscut => Area { x1: line.x1.max(line.x0 + 0.35), ..line },
        };
        picture.solid(Ink::Black, grown.corners());
    }
    let mut taken: Vec<Area> = Vec::new();
    numbers(&mut picture, cuts, &area, &mut taken, low);
    for piece in &board.pieces {
        name_piece(&mut picture, saw, piece, area(&piece.place), &mut taken);
    }
    for left in &board.leftovers {
        let words = [format!("{} {}", left.id, saw.flat(&left.place)), left.id.clone()];
        inside(&mut picture, &words, area(&left.place), &mut taken);
    }
    let note = format!("near end left, near edge below; scale {words}");
    picture.text(Text::new(at(origin.x, 0.8), SMALL, &note));
    (picture, WORDS + wide * up + 3.0)
}

/// The numbers of the cuts: of rips beside the board, of crosscuts on their kerfs.
fn numbers(
    picture: &mut Picture,
    cuts: &[&BoardCut],
    area: &dyn Fn(&Rect) -> Area,
    taken: &mut Vec<Area>,
    whole: Area,
) {
    for cut in cuts {
        let line = area(&cut.line);
        let number = cut.number.to_string();
        let text = |x: f64, y: f64| Text::new(at(x, y - SMALL / 2.0), SMALL, &number).bold().align(Align::Middle);
        let (x, y) = ((line.x0 + line.x1) / 2.0, (line.y0 + line.y1) / 2.0);
        let mut places: Vec<(f64, f64)> = Vec::new();
        if cut.direction == Direction::Rip && line.x0 <= whole.x0 + 0.01 && line.x1 >= whole.x1 - 0.01 {
            places.extend([(whole.x0 - 4.0, y), (whole.x0 - 10.0, y), (whole.x0 - 14.5, y)]);
        }
        match cut.direction {
            Direction::Rip => places.extend((1..8).map(|part| (line.x0 + line.width() * f64::from(part) / 8.0, y))),
            Direction::Crosscut => {
                places.extend([4, 3, 5, 2, 6, 1, 7].map(|part| (x, line.y0 + line.height() * f64::from(part) / 8.0)));
            }
        }
        let free = |place: &&(f64, f64)| {
            let box_ = text(place.0, place.1).area();
            !taken.iter().any(|other| other.meets(&box_))
        };
        let place = places.iter().find(free).or(places.first()).copied().unwrap_or((x, y));
        let text = text(place.0, place.1);
        taken.push(text.area());
        picture.label(text);
    }
}

fn name_piece(picture: &mut Picture, saw: &SawPlan<'_>, piece: &PlacedPiece, area: Area, taken: &mut Vec<Area>) {
    let size =
        saw.wanted(&piece.id).map(|wanted| format!("{} x {}", saw.say(wanted.size.length), saw.say(wanted.size.width)));
    let words = [format!("{}  {}", piece.id, size.unwrap_or_default()), piece.id.clone()];
    inside(picture, &words, area, taken);
}

/// The longest of some words that fit into an area, clear of what stands there.
fn inside(picture: &mut Picture, words: &[String], area: Area, taken: &mut Vec<Area>) {
    let y = (area.y0 + area.y1) / 2.0 - SMALL / 2.0;
    for (place, words) in words.iter().enumerate() {
        let last = place == 1;
        for part in [4, 3, 5, 2, 6] {
            let x = area.x0 + area.width() * f64::from(part) / 8.0;
            let text = Text::new(at(x, y), SMALL, words).bold().align(Align::Middle);
            let box_ = text.area();
            let within = box_.x0 >= area.x0 && box_.x1 <= area.x1;
            let free = !taken.iter().any(|other| other.meets(&box_.grown(0.8)));
            if (within && free) || (last && free && part == 6) {
                taken.push(box_);
                picture.label(text);
                return;
            }
            if area.height() > 2.0 * box_.width() && area.width() > box_.height() && !within && last {
                let text = Text {
                    upwards: true,
                    at: at((area.x0 + area.x1) / 2.0 + SMALL / 2.0, (area.y0 + area.y1) / 2.0),
                    ..text
                };
                taken.push(text.area());
                picture.label(text);
                return;
            }
        }
    }
}

/// From the pieces to the parts of one carrier: its own cut list.
fn own_steps(flow: &mut Flow, number: usize, request: &Request, design: &Design) {
    flow.heading(&format!("Job {number}: {}", request.name));
    if design.cut_list.steps.is_empty() {
        flow.paragraph("Nothing to saw.", Weight::Regular);
        return;
    }
    let text =
        format!("P1 of this list is the piece labelled {number}-P1, and so on. Parts and build: its own sheets.");
    flow.paragraph(&text, Weight::Regular);
    for (place, step) in design.cut_list.steps.iter().enumerate() {
        let caution = step.careful.then_some("more than ordinary care.");
        flow.tick(place + 1, &step.note, caution);
    }
}

/// Labels to cut out and stick on: pieces, then leftovers.
fn labels(saw: &SawPlan<'_>, content: Area) -> Vec<Picture> {
    let mut texts: Vec<[String; 4]> = Vec::new();
    for board in &saw.plan.boards {
        for piece in &board.pieces {
            let Some(wanted) = saw.wanted(&piece.id) else { continue };
            texts.push([
                piece.id.clone(),
                saw.job_name(wanted.job).to_owned(),
                saw.size(wanted.size),
                wanted.material.clone(),
            ]);
        }
        for left in &board.leftovers {
            texts.push([left.id.clone(), "back on the pile".to_owned(), saw.flat(&left.place), board.material.clone()]);
        }
    }
    let columns = libm::floor(content.width() / LABEL.0).max(1.0) as usize;
    let width = content.width() / columns as f64;
    let rows = libm::floor(content.height() / LABEL.1).max(1.0) as usize;
    let mut pages = Vec::new();
    for page in texts.chunks(rows * columns) {
        let mut picture = Picture::default();
        for (place, [id, name, size, material]) in page.iter().enumerate() {
            let (column, line) = (place % columns, place / columns);
            let x = content.x0 + column as f64 * width;
            let top = content.y1 - line as f64 * LABEL.1;
            picture.frame(Line::Cut, Area::new(x, top - LABEL.1, x + width, top));
            let room = width - 6.0;
            let big = 9.0;
            let id = font::shorten(&font::printable(id), big, Weight::Bold, room);
            picture.text(Text::new(at(x + 3.0, top - 3.0 - big), big, &id).bold());
            let name = font::shorten(&font::printable(name), SMALL, Weight::Regular, room);
            picture.text(Text::new(at(x + 3.0, top - 19.0), SMALL, &name));
            let size = font::shorten(&font::printable(size), SMALL, Weight::Bold, room);
            picture.text(Text::new(at(x + 3.0, top - 25.0), SMALL, &size).bold());
            let material = font::shorten(&font::printable(material), SMALL, Weight::Regular, room);
            picture.text(Text::new(at(x + 3.0, top - 31.0), SMALL, &material));
        }
        pages.push(picture);
    }
    pages
}
