//! The files of a saw plan: pages, one picture, a table of cuts, a record for other programs, the pile as
//! it is afterwards. All of them are written, or none.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::boards::Planned;
use crate::boards::pile::{self, PileBoard};
use crate::design::{Against, BoardPlan, Check, Design, Direction, Extent, Status};
use crate::drawing::{Area, Page, Picture, at};
use crate::geometry::Rect;
use crate::length::Length;
use crate::output::files::{RenderError, Rendered};
use crate::output::json::LengthRecord;
use crate::output::{pdf, svg};
use crate::request::{Request, Shop};
use crate::sheet::{SawPlan, amount, money, saw_plan, to_buy, verdict};

/// Value of `format` in `saw-plan.json`: how a folder of ours is recognised.
pub const FORMAT: &str = "sledwright-saw-plan";
/// Version of the format.
pub const VERSION: u32 = 1;
/// The file a folder of ours is recognised by.
pub const STAMP_FILE: &str = "saw-plan.json";
/// Every file that can be written, the last one listing the others.
pub const FILES: [&str; 6] =
    ["saw-plan.pdf", "saw-plan.svg", "saw-plan.csv", "pile-after.toml", "pile-after.csv", STAMP_FILE];

/// `saw-plan.json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SawPlanFile {
    /// Always `sledwright-saw-plan`.
    pub format: String,
    /// Version of the format.
    pub version: u32,
    /// Files written together with this one.
    pub files: Vec<String>,
    /// Names of the jobs, in the order of their numbers.
    pub jobs: Vec<String>,
    /// Width of the saw kerf.
    pub kerf: LengthRecord,
    /// Pieces asked for.
    pub pieces: Vec<PieceRecord>,
    /// Boards cut into, in order.
    pub boards: Vec<BoardRecord>,
    /// Cuts, in order.
    pub cuts: Vec<CutRecord>,
    /// What has to be bought.
    pub buy: Vec<BuyRecord>,
    /// How good the plan is, for each kind of board.
    pub proofs: Vec<ProofRecord>,
    /// Every rule of the replay with its outcome.
    pub checks: Vec<CheckRecord>,
}

/// A size.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BoardSizeRecord {
    /// With the grain.
    pub length: LengthRecord,
    /// Across.
    pub width: LengthRecord,
    /// Thickness.
    pub thickness: LengthRecord,
}

/// A place on a board, from its near end and its near edge.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlaceRecord {
    /// From the near end.
    pub x: LengthRecord,
    /// From the near edge.
    pub y: LengthRecord,
    /// Along the board.
    pub length: LengthRecord,
    /// Across it.
    pub width: LengthRecord,
}

/// A piece asked for.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PieceRecord {
    /// Name on its label.
    pub id: String,
    /// Number of the job, from 1.
    pub job: usize,
    /// Name in the job's own cut list.
    pub parent: String,
    /// Material.
    pub material: String,
    /// Size.
    pub size: BoardSizeRecord,
}

/// A piece in its place.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LaidRecord {
    /// Name on its label.
    pub id: String,
    /// Its place.
    pub place: PlaceRecord,
    /// Whether its length runs across the board.
    pub turned: bool,
}

/// A board.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BoardRecord {
    /// Name in the plan.
    pub id: String,
    /// What is written on it.
    pub mark: Option<String>,
    /// Whether it has to be bought.
    pub bought: bool,
    /// Material.
    pub material: String,
    /// Size as it lies on the pile.
    pub size: BoardSizeRecord,
    /// Places avoided.
    pub bad: Vec<PlaceRecord>,
    /// Pieces that come out of it.
    pub pieces: Vec<LaidRecord>,
    /// What goes back on the pile.
    pub leftovers: Vec<LaidRecord>,
}

/// A cut.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CutRecord {
    /// Number, from 1.
    pub number: usize,
    /// The board.
    pub board: String,
    /// What goes over the saw.
    pub piece: String,
    /// Its size before.
    pub before: BoardSizeRecord,
    /// `rip` or `crosscut`.
    pub direction: String,
    /// The machine.
    pub machine: String,
    /// Fence or stop setting.
    pub setting: LengthRecord,
    /// Which part lies between blade and fence or stop: `near` or `far`.
    pub against: String,
    /// Name of the part at the near edge or end; null for waste.
    pub near: Option<String>,
    /// Name of the part at the far edge or end; null for waste.
    pub far: Option<String>,
    /// Length under the hands.
    pub held: LengthRecord,
    /// Where the kerf runs.
    pub line: PlaceRecord,
    /// What to do, in words.
    pub note: String,
}

/// Boards alike to buy.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BuyRecord {
    /// How many.
    pub count: usize,
    /// Material.
    pub material: String,
    /// Size of one.
    pub size: BoardSizeRecord,
    /// Price of one, where the pile states it.
    pub price: Option<f64>,
    /// Weight of all, kg.
    pub mass_kg: f64,
}

/// What is known of the plan for one kind of board.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ProofRecord {
    /// Materials.
    pub material: String,
    /// Pieces.
    pub pieces: usize,
    /// Cost of the boards cut into.
    pub cost: i64,
    /// No plan costs less.
    pub bound: i64,
    /// What cost is counted in.
    pub unit: String,
    /// Whether nothing better is possible.
    pub proven: bool,
    /// Whether time ran out.
    pub timed_out: bool,
}

/// One check of the replay.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CheckRecord {
    /// The rule's name.
    pub rule: String,
    /// What was looked at.
    pub subject: String,
    /// Whether it holds.
    pub holds: bool,
}

/// The schema of [`SawPlanFile`].
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(SawPlanFile).to_value()
}

/// What the files are made from.
pub struct Source<'a> {
    /// The plan and what it was made from.
    pub planned: &'a Planned,
    /// Its checks.
    pub checks: &'a [Check],
    /// Jobs and their designs.
    pub jobs: &'a [(&'a Request, &'a Design)],
    /// The pile before.
    pub pile: &'a [PileBoard],
    /// Whether the pile is written as CSV rather than TOML; `None` where it came from the jobs only.
    pub pile_as_csv: bool,
    /// Date for the documents that carry one, seconds since the start of 1970.
    pub created: Option<u64>,
}

/// Renders every file, in memory.
///
/// # Errors
/// Only when a document library fails.
pub fn render(source: &Source<'_>) -> Result<Vec<Rendered>, RenderError> {
    let Planned { plan, shop, rows } = source.planned;
    let pages = saw_plan(&SawPlan { plan, shop, jobs: source.jobs });
    let failed = |file: &'static str| move |message: String| RenderError { file, message };
    let meta = pdf::Meta { title: "Saw plan".to_owned(), language: "en".to_owned(), created: source.created };
    let bytes = pdf::render(&pages, &meta).map_err(|error| failed(FILES[0])(error.to_string()))?;
    let mut files = vec![Rendered { name: FILES[0].to_owned(), bytes }];
    files.push(Rendered { name: FILES[1].to_owned(), bytes: svg::render(&stacked(&pages)).into_bytes() });
    let bytes = cuts_csv(plan, shop).map_err(|error| failed(FILES[2])(error.to_string()))?;
    files.push(Rendered { name: FILES[2].to_owned(), bytes });
    let after = crate::boards::pile_after(source.pile, rows, plan);
    let unit = shop.ruler.unit;
    files.push(if source.pile_as_csv {
        let bytes = pile::to_csv(&after, unit).map_err(|error| failed(FILES[4])(error.to_string()))?;
        Rendered { name: FILES[4].to_owned(), bytes }
    } else {
        Rendered { name: FILES[3].to_owned(), bytes: pile::to_toml(&after, unit).into_bytes() }
    });
    let names = files.iter().map(|file| file.name.clone()).chain([STAMP_FILE.to_owned()]).collect();
    let mut text =
        serde_json::to_string_pretty(&record(source, names)).map_err(|error| failed(STAMP_FILE)(error.to_string()))?;
    text.push('\n');
    files.push(Rendered { name: STAMP_FILE.to_owned(), bytes: text.into_bytes() });
    Ok(files)
}

/// All pages on one tall sheet, the first on top.
fn stacked(pages: &[Page]) -> Page {
    let width = pages.iter().map(|page| page.width).fold(0.0, f64::max);
    let height: f64 = pages.iter().map(|page| page.height).sum();
    let (mut picture, mut margin) = (Picture::default(), Picture::default());
    let mut top = height;
    for page in pages {
        top -= page.height;
        picture.add(page.picture.clone(), at(0.0, top));
        margin.add(page.margin.clone(), at(0.0, top));
    }
    Page { title: "Saw plan".to_owned(), width, height, frame: Area::new(0.0, 0.0, width, height), margin, picture }
}

/// One row a cut.
fn cuts_csv(plan: &BoardPlan, shop: &Shop) -> Result<Vec<u8>, csv::Error> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    table.write_record([
        "cut",
        "board",
        "piece",
        "length",
        "width",
        "thickness",
        "do",
        "machine",
        "setting",
        "setting_mm",
        "against",
        "makes",
        "leaves",
        "held",
    ])?;
    let ruler = shop.ruler;
    for cut in &plan.cuts {
        let name = |id: &Option<String>| id.clone().unwrap_or_else(|| "waste".to_owned());
        let (makes, leaves) = match cut.against {
            Against::Near => (name(&cut.near), name(&cut.far)),
            Against::Far => (name(&cut.far), name(&cut.near)),
        };
        table.write_record([
            cut.number.to_string(),
            cut.board.clone(),
            cut.piece.clone(),
            ruler.with_unit(cut.before.length),
            ruler.with_unit(cut.before.width),
            shop.depth_ruler.with_unit(cut.before.thickness),
            direction(cut.direction).to_owned(),
            cut.machine.to_owned(),
            ruler.with_unit(cut.setting),
            format!("{:.3}", cut.setting.to_mm()),
            side(cut.against).to_owned(),
            makes,
            leaves,
            ruler.with_unit(cut.held.down(ruler.step)),
        ])?;
    }
    table.into_inner().map_err(|error| csv::Error::from(error.into_error()))
}

fn direction(direction: Direction) -> &'static str {
    match direction {
        Direction::Rip => "rip",
        Direction::Crosscut => "crosscut",
    }
}

fn side(against: Against) -> &'static str {
    match against {
        Against::Near => "near",
        Against::Far => "far",
    }
}

fn record(source: &Source<'_>, files: Vec<String>) -> SawPlanFile {
    let Planned { plan, shop, .. } = source.planned;
    let length = |length: Length| LengthRecord { mm: length.to_mm(), text: shop.ruler.with_unit(length) };
    let height = |length: Length| LengthRecord { mm: length.to_mm(), text: shop.depth_ruler.with_unit(length) };
    let size = |size: Extent| BoardSizeRecord {
        length: length(size.length),
        width: length(size.width),
        thickness: height(size.thickness),
    };
    let place = |rect: &Rect| PlaceRecord {
        x: length(rect.x0),
        y: length(rect.y0),
        length: length(rect.length()),
        width: length(rect.width()),
    };
    SawPlanFile {
        format: FORMAT.to_owned(),
        version: VERSION,
        files,
        jobs: source.jobs.iter().map(|(request, _)| request.name.clone()).collect(),
        kerf: length(plan.kerf),
        pieces: plan
            .wanted
            .iter()
            .map(|piece| PieceRecord {
                id: piece.id.clone(),
                job: piece.job,
                parent: piece.parent.clone(),
                material: piece.material.clone(),
                size: size(piece.size),
            })
            .collect(),
        boards: plan
            .boards
            .iter()
            .map(|board| BoardRecord {
                id: board.id.clone(),
                mark: board.mark.clone(),
                bought: board.bought,
                material: board.material.clone(),
                size: size(board.size),
                bad: board.bad.iter().map(place).collect(),
                pieces: board
                    .pieces
                    .iter()
                    .map(|piece| LaidRecord { id: piece.id.clone(), place: place(&piece.place), turned: piece.turned })
                    .collect(),
                leftovers: board
                    .leftovers
                    .iter()
                    .map(|left| LaidRecord { id: left.id.clone(), place: place(&left.place), turned: false })
                    .collect(),
            })
            .collect(),
        cuts: plan
            .cuts
            .iter()
            .map(|cut| CutRecord {
                number: cut.number,
                board: cut.board.clone(),
                piece: cut.piece.clone(),
                before: size(cut.before),
                direction: direction(cut.direction).to_owned(),
                machine: cut.machine.to_owned(),
                setting: length(cut.setting),
                against: side(cut.against).to_owned(),
                near: cut.near.clone(),
                far: cut.far.clone(),
                held: length(cut.held),
                line: place(&cut.line),
                note: cut.note.clone(),
            })
            .collect(),
        buy: to_buy(plan)
            .into_iter()
            .map(|(count, board)| BuyRecord {
                count,
                material: board.material.clone(),
                size: size(board.size),
                price: board.price.map(|price| price as f64 / 100.0),
                mass_kg: board.mass_kg * count as f64,
            })
            .collect(),
        proofs: plan
            .proofs
            .iter()
            .map(|proof| ProofRecord {
                material: proof.material.clone(),
                pieces: proof.pieces,
                cost: proof.cost,
                bound: proof.bound,
                unit: proof.unit.to_owned(),
                proven: proof.is_best(),
                timed_out: proof.timed_out,
            })
            .collect(),
        checks: source
            .checks
            .iter()
            .map(|check| CheckRecord {
                rule: check.rule.id().to_owned(),
                subject: check.subject.clone(),
                holds: check.status == Status::Pass,
            })
            .collect(),
    }
}

/// The part of a `saw-plan.json` by which a folder of ours is recognised.
#[derive(Debug, Deserialize)]
struct Stamp {
    format: String,
}

/// Whether a text is a `saw-plan.json` of ours.
pub fn is_ours(text: &str) -> bool {
    serde_json::from_str::<Stamp>(text).is_ok_and(|stamp| stamp.format == FORMAT)
}

/// What the plan comes to, for the terminal.
pub fn summary(planned: &Planned, jobs: &[(&Request, &Design)]) -> String {
    let Planned { plan, shop, .. } = planned;
    let mut text = String::new();
    let (taken, bought) = (plan.boards.iter().filter(|board| !board.bought).count(), to_buy(plan));
    let count: usize = bought.iter().map(|(count, _)| count).sum();
    text.push_str(&format!(
        "{} pieces for {} jobs out of {taken} boards of the pile{}, {} cuts.\n\n",
        plan.wanted.len(),
        jobs.len(),
        if count > 0 { format!(" and {count} to be bought") } else { String::new() },
        plan.cuts.len()
    ));
    for (count, board) in bought {
        let price = board.price.map(|price| format!(", {} each", money(price))).unwrap_or_default();
        text.push_str(&format!(
            "  buy {count} x {}, {} x {}{price}, {:.1} kg\n",
            board.material,
            shop.ruler.number(board.size.length),
            shop.ruler.with_unit(board.size.width),
            board.mass_kg * count as f64
        ));
    }
    for proof in &plan.proofs {
        text.push_str(&format!(
            "  {}: cost {}, no plan below {}: {}\n",
            proof.material,
            amount(proof, proof.cost),
            amount(proof, proof.bound),
            verdict(proof)
        ));
    }
    let left: usize = plan.boards.iter().map(|board| board.leftovers.len()).sum();
    text.push_str(&format!("\n{left} leftovers go back on the pile, labelled.\n"));
    text
}
