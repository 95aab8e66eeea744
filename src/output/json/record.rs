//! The published format of `design.json`, field by field.

use schemars::JsonSchema;
use serde::Serialize;

use super::contact_record::ContactRecord;
use super::gang_record::GangRecord;
use super::screws::ScrewsRecord;

/// A finished carrier design. Lengths are given in millimetres and as the user's own text.
#[derive(Debug, Serialize, JsonSchema)]
pub struct DesignFile {
    /// Always `sledwright-design`.
    pub format: String,
    /// Version of this format.
    pub version: u32,
    /// Files written together with this one.
    pub files: Vec<String>,
    /// The job.
    pub job: JobRecord,
    /// Construction, such as `blind-pocket`; `none` where the blank can be fed as it is.
    pub construction: String,
    /// The construction in plain words.
    pub title: String,
    /// Stock, kind of end, hold: what tells this design from others of the construction.
    pub variant: String,
    /// Orientation of the blank: `as-measured` or `turned-90`.
    pub orientation: String,
    /// Overall size of what is fed.
    pub carrier: SizeRecord,
    /// The blank in its place.
    pub blank: BlankRecord,
    /// Pockets.
    pub pockets: Vec<PocketRecord>,
    /// Rows and columns of the pockets; null where only one blank lies in the carrier.
    pub gang: Option<GangRecord>,
    /// What a blank that is round in section lies on.
    pub cradle: Option<CradleRecord>,
    /// Where straight parts and wedges hold a blank of any outline: fence, fence, lead, far, trail; empty
    /// where walls or glue do.
    pub contacts: Vec<ContactRecord>,
    /// The blank's datum corner, from the lead end and the fence edge.
    pub blank_origin: PointRecord,
    /// Blank centre less carrier centre.
    pub centre_offset: PointRecord,
    /// Carve area, in carrier coordinates.
    pub carve_area: RectRecord,
    /// Deepest cut below the top plane; null until the blank's thickness is measured.
    pub depth_below_top: Option<LengthRecord>,
    /// How the blank is held: `snug`, `wedge`, `tape`, `film`, `hot-glue`, `keeper` or `screws`.
    pub hold: String,
    /// The screws that hold it from below; null for other holds.
    pub screws: Option<ScrewsRecord>,
    /// Parts to make.
    pub parts: Vec<PartRecord>,
    /// Joints between parts, or between a part and the blank.
    pub joints: Vec<JointRecord>,
    /// Space without metal; null where there is no carrier.
    pub keep_out: Option<KeepOutRecord>,
    /// Pieces to pull from the stock and operations in a safe order.
    pub saw_plan: SawPlanRecord,
    /// Build sequence.
    pub build: Vec<BuildRecord>,
    /// Set-up of the machine.
    pub setup: SetupRecord,
    /// Every rule with its numbers, from the second, separate calculation.
    pub checks: Vec<CheckRecord>,
    /// Why each dimension is what it is.
    pub trace: Vec<ReasonRecord>,
    /// Defaults and estimates used.
    pub assumptions: Vec<AssumptionRecord>,
    /// Whether every part comes out of stock on hand.
    pub stock_on_hand: bool,
    /// Warnings, worst first.
    pub warnings: Vec<String>,
    /// Doubts about the job as given.
    pub cautions: Vec<String>,
    /// Mass of carrier and blank, kg.
    pub mass_kg: f64,
}

/// A length.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LengthRecord {
    /// Millimetres.
    pub mm: f64,
    /// As printed, with its unit.
    pub text: String,
}

/// The job.
#[derive(Debug, Serialize, JsonSchema)]
pub struct JobRecord {
    /// Its name.
    pub name: String,
    /// Its date, if the job states one.
    pub date: Option<String>,
    /// Unit of the texts: `in` or `mm`.
    pub units: String,
    /// Machine profile.
    pub machine: String,
    /// Machine figures nobody has measured yet.
    pub machine_unconfirmed: Vec<String>,
}

/// Length, width and thickness.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SizeRecord {
    /// Along the feed.
    pub length: LengthRecord,
    /// Across the feed.
    pub width: LengthRecord,
    /// Thickness; null until the blank's thickness is measured.
    pub thickness: Option<LengthRecord>,
}

/// A point in plan, from the lead end and the fence edge.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PointRecord {
    /// Along the feed.
    pub x: LengthRecord,
    /// Across.
    pub y: LengthRecord,
}

/// An upright rectangle in plan.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RectRecord {
    /// Nearest to the lead end.
    pub x: LengthRecord,
    /// Nearest to the fence edge.
    pub y: LengthRecord,
    /// Extent along the feed.
    pub length: LengthRecord,
    /// Extent across.
    pub width: LengthRecord,
}

/// An outline that is no upright rectangle.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OutlineRecord {
    /// A disc.
    Disc {
        /// Its centre.
        centre: PointRecord,
        /// Its diameter.
        diameter: LengthRecord,
    },
    /// A polygon, counter-clockwise.
    Polygon(Vec<PointRecord>),
    /// A closed path of lines and arcs, counter-clockwise.
    Path(Vec<VertexRecord>),
}

/// A vertex of a path, and how the path goes on from it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VertexRecord {
    /// Where it is.
    pub point: PointRecord,
    /// A point the arc to the next vertex passes through; absent for a straight line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub arc_through: Option<PointRecord>,
}

/// The blank in its place.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BlankRecord {
    /// The smallest upright rectangle round it.
    pub bounds: RectRecord,
    /// Its outline where that is no rectangle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outline: Option<OutlineRecord>,
    /// Underside above the bed face; null until the thickness is measured.
    pub bottom: Option<LengthRecord>,
    /// Top of the border above the bed face; null until the thickness is measured.
    pub top: Option<LengthRecord>,
    /// Highest relief above the bed face; null until the thickness is measured.
    pub highest: Option<LengthRecord>,
    /// How it is laid level, where it is not flat.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warp: Option<WarpRecord>,
    /// How its top is brought level, where it tapers in thickness.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slope: Option<SlopeRecord>,
    /// Degrees by which a rectangle is set to the feed, counter-clockwise seen from above.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angle: Option<f64>,
    /// The parts in it, where it is a strip that is sawn apart after carving.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strip: Option<StripRecord>,
}

/// A strip of small parts.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StripRecord {
    /// The first part, from the strip's own lead fence corner.
    pub part: RectRecord,
    /// From one part to the next along the strip.
    pub pitch: LengthRecord,
    /// Parts wanted in all.
    pub wanted: usize,
    /// How they are sawn apart: `hand-saw` or `power-saw`.
    pub cut_apart: String,
    /// Every part on the carrier, from its lead end and fence edge.
    pub parts: Vec<RectRecord>,
    /// Both ends of every line along which the strips are sawn apart, after carving.
    pub cuts: Vec<Vec<PointRecord>>,
}

/// A blank that tapers in thickness, levelled on wedge shims.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SlopeRecord {
    /// Thickness at the thin end or side.
    pub thin: LengthRecord,
    /// Height of the wedges at every station, row by row from the fence edge, in it from the lead end.
    pub shims: Vec<ShimRecord>,
}

/// A blank that is not flat, laid level on shims.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WarpRecord {
    /// Thinnest zone that holds its underside.
    pub flatness: LengthRecord,
    /// How far one corner lifts when the opposite one is pressed down.
    pub corner_lift: LengthRecord,
    /// Thickness left once both faces are flat; null until the thickness is measured.
    pub left_when_flat: Option<LengthRecord>,
    /// Shim at every place, row by row from the fence edge, in it from the lead end.
    pub shims: Vec<ShimRecord>,
}

/// A place under the blank and the shim there.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ShimRecord {
    /// From the lead end.
    pub x: LengthRecord,
    /// From the fence edge.
    pub y: LengthRecord,
    /// Thickness; nothing where the blank lies on the base.
    pub thickness: LengthRecord,
}

/// A pocket.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PocketRecord {
    /// Its number on the plan, from 1; pocket 1 holds the blank that is drawn.
    pub number: usize,
    /// Nearest to the lead end.
    pub x: LengthRecord,
    /// Nearest to the fence edge.
    pub y: LengthRecord,
    /// Floor above the bed face; null until the blank's thickness is measured.
    pub z: Option<LengthRecord>,
    /// Along the feed.
    pub length: LengthRecord,
    /// Across.
    pub width: LengthRecord,
    /// Depth; null until the blank's thickness is measured.
    pub depth: Option<LengthRecord>,
    /// `blind`, `on-base` or `open`.
    pub kind: String,
    /// Its outline where that is no rectangle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outline: Option<OutlineRecord>,
    /// Relief of its inside corners.
    pub relief: Option<ReliefRecord>,
}

/// A cradle.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CradleRecord {
    /// What carries the blank: `v`, `saddle` (two square edges) or `flat` (a half-round on its flat side).
    pub seat: String,
    /// Degrees between the faces of a V.
    pub v_angle: Option<u32>,
    /// What of a tapered spindle lies level: `crown` or `axis`.
    pub level: Option<String>,
    /// The middle of the blank from the fence edge.
    pub centre_line: LengthRecord,
    /// Its highest line above the bed face.
    pub crown: LengthRecord,
    /// Each stretch that carries it, from the lead end.
    pub stretches: Vec<StretchRecord>,
    /// What stops it from turning.
    pub turn_stop: String,
}

/// A stretch of cradle that carries the blank along one line on each side.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StretchRecord {
    /// Where it begins, from the lead end.
    pub from: LengthRecord,
    /// Where it ends.
    pub to: LengthRecord,
    /// What its strips stand on, above the bed face: of a V the apex.
    pub foot: LengthRecord,
    /// The lines of contact above the bed face.
    pub contact: LengthRecord,
    /// The lines of contact from the middle of the blank.
    pub aside: LengthRecord,
}

/// Corner relief.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReliefRecord {
    /// Diameter.
    pub diameter: LengthRecord,
    /// How far it bites past each wall.
    pub bite: LengthRecord,
    /// Bored on the corner itself rather than run in diagonally.
    pub bored: bool,
}

/// A part; equal parts share one record.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PartRecord {
    /// Piece letter.
    pub id: String,
    /// Trade name.
    pub name: String,
    /// Material.
    pub material: String,
    /// Finished length, with the grain.
    pub length: LengthRecord,
    /// Finished width.
    pub width: LengthRecord,
    /// Finished thickness; null until the blank's thickness is measured.
    pub thickness: Option<LengthRecord>,
    /// How many.
    pub count: usize,
    /// `along-feed`, `across-feed` or `none`.
    pub grain: String,
    /// Layers glued to make the thickness.
    pub layers: u32,
    /// Remark for the cut list.
    pub remark: Option<String>,
    /// Where each goes.
    pub places: Vec<PlaceRecord>,
}

/// Where a part goes.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlaceRecord {
    /// The smallest upright rectangle round it.
    pub bounds: RectRecord,
    /// Its outline where that is no rectangle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outline: Option<OutlineRecord>,
    /// Underside above the bed face; null until the blank's thickness is measured.
    pub bottom: Option<LengthRecord>,
    /// Top above the bed face; null until the blank's thickness is measured.
    pub top: Option<LengthRecord>,
}

/// A joint.
#[derive(Debug, Serialize, JsonSchema)]
pub struct JointRecord {
    /// The two it joins: part ids or `blank`.
    pub between: [String; 2],
    /// `glue`, `glue-and-pegs`, `glued-butt`, `glue-spots` or `pinched`.
    pub kind: String,
    /// Where they touch in plan.
    pub contact: RectRecord,
    /// Lowest point of the joint; null until the blank's thickness is measured.
    pub bottom: Option<LengthRecord>,
    /// Highest point of the joint; null until the blank's thickness is measured.
    pub top: Option<LengthRecord>,
}

/// Space without metal.
#[derive(Debug, Serialize, JsonSchema)]
pub struct KeepOutRecord {
    /// Plan area.
    pub area: RectRecord,
    /// Metal inside the area stays below this height; null until the blank's thickness is measured.
    pub above: Option<LengthRecord>,
}

/// Pieces to pull and operations.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SawPlanRecord {
    /// Pieces to pull from the stock.
    pub parents: Vec<ParentRecord>,
    /// Operations in order.
    pub steps: Vec<StepRecord>,
}

/// A piece to pull from the stock.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ParentRecord {
    /// Its name.
    pub id: String,
    /// Material.
    pub material: String,
    /// Length to pull, with the grain.
    pub length: LengthRecord,
    /// Width to pull.
    pub width: LengthRecord,
    /// Thickness.
    pub thickness: LengthRecord,
    /// How many.
    pub count: usize,
    /// Parts that come out of it.
    pub yields: Vec<YieldRecord>,
}

/// Parts that come out of a piece.
#[derive(Debug, Serialize, JsonSchema)]
pub struct YieldRecord {
    /// Piece letter.
    pub part: String,
    /// How many.
    pub count: usize,
}

/// An operation at a machine.
#[derive(Debug, Serialize, JsonSchema)]
pub struct StepRecord {
    /// What is done, such as `rip`.
    pub operation: String,
    /// The tool.
    pub tool: String,
    /// What goes over the machine.
    pub piece: String,
    /// Fence, stop or thickness setting.
    pub setting: LengthRecord,
    /// What comes off.
    pub makes: String,
    /// How many such cuts.
    pub times: usize,
    /// Length under the hands after the last of them.
    pub held: LengthRecord,
    /// Needs more than ordinary care.
    pub careful: bool,
    /// Line for the sheet.
    pub note: String,
}

/// One line of the build sequence.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BuildRecord {
    /// What to do.
    pub text: String,
    /// Caution that belongs to it.
    pub caution: Option<String>,
    /// What the carrier has after it that it had not before.
    pub adds: Vec<AddedRecord>,
}

/// What a step of the build adds.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum AddedRecord {
    /// A part is in its place.
    Part {
        /// Its letter.
        id: String,
        /// Which of its places, counted from 1 in the order of the part's places.
        number: usize,
    },
    /// Cuts of a kind are made, in every part that has them.
    Cut {
        /// The kind.
        name: String,
    },
    /// The blank is in its place.
    Blank,
}

/// Set-up of the machine.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SetupRecord {
    /// Length the machine should read.
    pub length: ReadingRecord,
    /// Width the machine should read.
    pub width: ReadingRecord,
    /// Deepest the machine reaches below the top plane.
    pub deepest_allowed: LengthRecord,
    /// Distance from fence to far guide.
    pub far_guide: LengthRecord,
    /// Whether stands are wanted on both sides at bed height.
    pub stands: bool,
    /// Where stands go, from the ends of the bed.
    pub stand_places: Vec<LengthRecord>,
    /// The shop's own stands, from the cutter, at the infeed and at the outfeed; null where places are suggested.
    pub own_stands: Option<[Vec<LengthRecord>; 2]>,
    /// Forces of the cutter that the checks reckon with.
    pub cutter_force: CutterForceRecord,
    /// What would become of the artwork without a carrier, in words; null where it would go as it is.
    pub without_carrier: Option<String>,
    /// Whether the lead/far corner is clipped.
    pub clipped_corner: bool,
    /// How the hold is tested.
    pub hold_test: String,
    /// Centres of push-out holes.
    pub push_out: Vec<PointRecord>,
    /// How far the carving may land from where it is drawn, at worst.
    pub landing: LandingRecord,
}

/// Forces of the cutter: estimates, N.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CutterForceRecord {
    /// To the side.
    pub side: f64,
    /// Upwards.
    pub lift: f64,
    /// Least and greatest to the side by feed, depth and wood; null for knives and drums.
    pub estimated: Option<[f64; 2]>,
}

/// How far the carving may land from where it is drawn, at worst.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LandingRecord {
    /// Along the feed.
    pub along: LandingAxisRecord,
    /// Across the feed.
    pub across: LandingAxisRecord,
    /// Width of a carrier glued up of several parts; null where it is sawn from one piece.
    pub width: Option<WidthStackRecord>,
}

/// Landing in one direction, each plus or minus.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LandingAxisRecord {
    /// With the blank pushed home against its wall.
    pub pushed_home: LengthRecord,
    /// With the blank anywhere in its pocket.
    pub not_pushed_home: LengthRecord,
    /// Pushed home, and the origin set from the wall as measured on the finished carrier.
    pub as_built: LengthRecord,
}

/// How far the width of a glued-up carrier may be off, plus or minus.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WidthStackRecord {
    /// Sawn parts side by side.
    pub parts: usize,
    /// Whether the blank itself lies between them without slip.
    pub with_blank: bool,
    /// All off the same way.
    pub worst: LengthRecord,
    /// Root of the sum of squares.
    pub root_sum_square: LengthRecord,
    /// After the last rip off the far edge.
    pub after_last_rip: LengthRecord,
}

/// A size the machine should read.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReadingRecord {
    /// What it should read.
    pub size: LengthRecord,
    /// Stop when it is off by more than this.
    pub tolerance: LengthRecord,
}

/// A quantity in a check: a length or a number with a unit.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum QuantityRecord {
    /// A length.
    Length(LengthRecord),
    /// A number.
    Number {
        /// The number.
        value: f64,
        /// Its unit; empty for a ratio.
        unit: String,
    },
}

/// One rule with its numbers.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CheckRecord {
    /// The rule.
    pub rule: String,
    /// What was looked at.
    pub subject: String,
    /// `pass`, `warn` or `fail`.
    pub status: String,
    /// `must` or `should`.
    pub severity: String,
    /// Safe side of the limit: `at-least`, `at-most` or `equal`.
    pub relation: String,
    /// The limit.
    pub required: QuantityRecord,
    /// The value found.
    pub actual: QuantityRecord,
    /// How much is to spare.
    pub margin: QuantityRecord,
}

/// Why a dimension is what it is.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ReasonRecord {
    /// Name of the dimension.
    pub dimension: String,
    /// Its value.
    pub value: LengthRecord,
    /// Terms of its sum.
    pub terms: Vec<TermRecord>,
    /// The rule that decided.
    pub decided_by: Option<String>,
    /// What would have come next.
    pub runner_up: Option<RunnerUpRecord>,
}

/// One term of a sum.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TermRecord {
    /// What it stands for.
    pub label: String,
    /// How much.
    pub amount: LengthRecord,
    /// The rule that demands it.
    pub rule: Option<String>,
}

/// What would have set a dimension next.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RunnerUpRecord {
    /// The rule.
    pub rule: String,
    /// The value it would have given.
    pub value: LengthRecord,
    /// What it demands.
    pub text: String,
}

/// A default that was used.
#[derive(Debug, Serialize, JsonSchema)]
pub struct AssumptionRecord {
    /// Key of the job file.
    pub key: String,
    /// Its value.
    pub value: String,
    /// Where it comes from.
    pub source: String,
}
