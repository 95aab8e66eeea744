//! `design.json`: a stable, versioned description of a finished design.
//!
//! These structs are the published format. They are kept apart from [`Design`] so that the inside
//! of the program can change without changing the file.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::design::{Design, Grain, JointKind, Operation, PocketKind, Quantity, Relation, Status};
use crate::geometry::{Outline, Point, Rect};
use crate::length::{Length, Ruler, Unit};
use crate::request::Request;
use crate::rules::Severity;
use crate::setup::{SetupCard, hold_test};

/// Value of `format`: how a folder of ours is recognised.
pub const FORMAT: &str = "sledwright-design";
/// Version of the format. Raised when a field changes its meaning or goes away.
pub const VERSION: u32 = 1;

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
    /// The blank's datum corner, from the lead end and the fence edge.
    pub blank_origin: PointRecord,
    /// Blank centre less carrier centre.
    pub centre_offset: PointRecord,
    /// Carve area, in carrier coordinates.
    pub carve_area: RectRecord,
    /// Deepest cut below the top plane; null until the blank's thickness is measured.
    pub depth_below_top: Option<LengthRecord>,
    /// How the blank is held: `snug`, `wedge`, `tape`, `film` or `hot-glue`.
    pub hold: String,
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
    /// Thickness.
    pub thickness: LengthRecord,
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
}

/// A pocket.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PocketRecord {
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
    /// Finished thickness.
    pub thickness: LengthRecord,
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
    /// Underside above the bed face.
    pub bottom: LengthRecord,
    /// Top above the bed face.
    pub top: LengthRecord,
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
    /// Lowest point of the joint.
    pub bottom: LengthRecord,
    /// Highest point of the joint.
    pub top: LengthRecord,
}

/// Space without metal.
#[derive(Debug, Serialize, JsonSchema)]
pub struct KeepOutRecord {
    /// Plan area.
    pub area: RectRecord,
    /// Metal inside the area stays below this height.
    pub above: LengthRecord,
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
    /// Whether the lead/far corner is clipped.
    pub clipped_corner: bool,
    /// How the hold is tested.
    pub hold_test: String,
    /// Centres of push-out holes.
    pub push_out: Vec<PointRecord>,
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

/// The part of a `design.json` by which a folder of ours is recognised.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Stamp {
    /// Must be [`FORMAT`].
    pub format: String,
    /// Version it was written in.
    pub version: u32,
    /// Files written with it.
    pub files: Vec<String>,
}

/// Reads the stamp of a `design.json`; `None` when it is not one of ours.
pub fn stamp(text: &str) -> Option<Stamp> {
    serde_json::from_str::<Stamp>(text).ok().filter(|stamp| stamp.format == FORMAT && stamp.version >= 1)
}

/// The schema of [`DesignFile`].
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(DesignFile).to_value()
}

/// The text of `design.json`. `files` are the names of all files written with it.
pub fn render(request: &Request, design: &Design, files: &[String]) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(&record(request, design, files))?;
    text.push('\n');
    Ok(text)
}

/// A ruler for each direction: plan sizes and heights are printed on rulers of their own.
struct Writer {
    plan: Ruler,
    height: Ruler,
}

impl Writer {
    fn plan(&self, length: Length) -> LengthRecord {
        LengthRecord { mm: length.to_mm(), text: self.plan.with_unit(length) }
    }

    fn height(&self, length: Length) -> LengthRecord {
        LengthRecord { mm: length.to_mm(), text: self.height.with_unit(length) }
    }

    fn point(&self, point: Point) -> PointRecord {
        PointRecord { x: self.plan(point.x), y: self.plan(point.y) }
    }

    fn rect(&self, rect: Rect) -> RectRecord {
        RectRecord {
            x: self.plan(rect.x0),
            y: self.plan(rect.y0),
            length: self.plan(rect.length()),
            width: self.plan(rect.width()),
        }
    }

    fn outline(&self, outline: &Outline) -> Option<OutlineRecord> {
        match outline {
            Outline::Rect(_) => None,
            Outline::Disc { centre, diameter } => {
                Some(OutlineRecord::Disc { centre: self.point(*centre), diameter: self.plan(*diameter) })
            }
            Outline::Polygon(points) => Some(OutlineRecord::Polygon(points.iter().map(|p| self.point(*p)).collect())),
        }
    }

    fn quantity(&self, quantity: Quantity) -> QuantityRecord {
        match quantity {
            // Limits and margins may be finer than the plan ruler.
            Quantity::Length(length) => QuantityRecord::Length(self.height(length)),
            Quantity::Number(value, unit) => QuantityRecord::Number { value, unit: unit.to_owned() },
        }
    }
}

fn record(request: &Request, design: &Design, files: &[String]) -> DesignFile {
    let w = Writer { plan: request.shop.ruler, height: request.shop.depth_ruler };
    let known = design.blank.thickness_known;
    let card = SetupCard::of(request, design);
    DesignFile {
        format: FORMAT.to_owned(),
        version: VERSION,
        files: files.to_vec(),
        job: JobRecord {
            name: request.name.clone(),
            date: request.date.clone(),
            units: match request.units {
                Unit::Inch => "in",
                Unit::Millimetre => "mm",
            }
            .to_owned(),
            machine: request.machine.id.clone(),
            machine_unconfirmed: request.machine.unconfirmed.clone(),
        },
        construction: design.construction.to_owned(),
        title: design.title.clone(),
        variant: design.variant.clone(),
        orientation: if design.turned { "turned-90" } else { "as-measured" }.to_owned(),
        carrier: SizeRecord {
            length: w.plan(design.carrier.length),
            width: w.plan(design.carrier.width),
            thickness: w.height(design.carrier.thickness),
        },
        blank: BlankRecord {
            bounds: w.rect(design.blank.outline.bounds()),
            outline: w.outline(&design.blank.outline),
            bottom: known.then(|| w.height(design.blank.z0)),
            top: known.then(|| w.height(design.blank.z1)),
            highest: known.then(|| w.height(design.blank.highest)),
        },
        pockets: pockets(&w, design),
        blank_origin: w.point(card.corner),
        centre_offset: w.point(card.centre),
        carve_area: w.rect(design.carve),
        depth_below_top: card.deepest.map(|depth| w.height(depth)),
        hold: design.hold.id().to_owned(),
        parts: parts(&w, design),
        joints: joints(&w, design),
        keep_out: design.keep_out.map(|keep| KeepOutRecord { area: w.rect(keep.area), above: w.height(keep.above) }),
        saw_plan: saw_plan(&w, design),
        build: design
            .steps
            .iter()
            .map(|step| BuildRecord { text: step.text.clone(), caution: step.caution.clone() })
            .collect(),
        setup: SetupRecord {
            length: ReadingRecord { size: w.plan(card.length.size), tolerance: w.plan(card.length.tolerance) },
            width: ReadingRecord { size: w.plan(card.width.size), tolerance: w.plan(card.width.tolerance) },
            deepest_allowed: w.height(card.deepest_allowed),
            far_guide: w.height(card.far_guide),
            stands: card.stands,
            clipped_corner: card.clipped_corner,
            hold_test: hold_test(card.hold).to_owned(),
            push_out: card.push_out.iter().map(|point| w.point(*point)).collect(),
        },
        checks: checks(&w, design),
        trace: trace(&w, design),
        assumptions: design
            .assumptions
            .iter()
            .map(|a| AssumptionRecord { key: a.key.clone(), value: a.value.clone(), source: a.source.clone() })
            .collect(),
        warnings: design.warnings.clone(),
        cautions: request.cautions.clone(),
        mass_kg: design.mass_kg,
    }
}

fn pockets(w: &Writer, design: &Design) -> Vec<PocketRecord> {
    let known = design.blank.thickness_known;
    let kind = |kind| match kind {
        PocketKind::Blind => "blind",
        PocketKind::OnBase => "on-base",
        PocketKind::Open => "open",
    };
    design
        .pockets
        .iter()
        .map(|pocket| {
            let bounds = pocket.outline.bounds();
            PocketRecord {
                x: w.plan(bounds.x0),
                y: w.plan(bounds.y0),
                z: known.then(|| w.height(pocket.z0)),
                length: w.plan(bounds.length()),
                width: w.plan(bounds.width()),
                depth: known.then(|| w.height(pocket.z1 - pocket.z0)),
                kind: kind(pocket.kind).to_owned(),
                outline: w.outline(&pocket.outline),
                relief: pocket.relief.map(|relief| ReliefRecord {
                    diameter: w.height(relief.diameter),
                    bite: w.height(relief.bite),
                    bored: relief.bored,
                }),
            }
        })
        .collect()
}

fn parts(w: &Writer, design: &Design) -> Vec<PartRecord> {
    design
        .parts
        .iter()
        .map(|part| PartRecord {
            id: part.id.clone(),
            name: part.name.clone(),
            material: part.material.clone(),
            length: w.plan(part.size.length),
            width: w.plan(part.size.width),
            thickness: w.height(part.size.thickness),
            count: part.places.len(),
            grain: grain(part.grain).to_owned(),
            layers: part.layers,
            remark: part.remark.clone(),
            places: part
                .places
                .iter()
                .map(|place| PlaceRecord {
                    bounds: w.rect(place.outline.bounds()),
                    outline: w.outline(&place.outline),
                    bottom: w.height(place.z0),
                    top: w.height(place.z1),
                })
                .collect(),
        })
        .collect()
}

/// The name of a grain direction in files.
pub fn grain(grain: Grain) -> &'static str {
    match grain {
        Grain::AlongFeed => "along-feed",
        Grain::AcrossFeed => "across-feed",
        Grain::None => "none",
    }
}

fn joints(w: &Writer, design: &Design) -> Vec<JointRecord> {
    let kind = |kind| match kind {
        JointKind::Glue => "glue",
        JointKind::GlueAndPegs => "glue-and-pegs",
        JointKind::GluedButt => "glued-butt",
        JointKind::GlueSpots => "glue-spots",
        JointKind::Pinched => "pinched",
    };
    design
        .joints
        .iter()
        .map(|joint| JointRecord {
            between: [joint.between.0.clone(), joint.between.1.clone()],
            kind: kind(joint.kind).to_owned(),
            contact: w.rect(joint.contact),
            bottom: w.height(joint.z0),
            top: w.height(joint.z1),
        })
        .collect()
}

fn saw_plan(w: &Writer, design: &Design) -> SawPlanRecord {
    let operation = |operation| match operation {
        Operation::Plane => "plane",
        Operation::Rip => "rip",
        Operation::Crosscut => "crosscut",
        Operation::TaperRip => "taper-rip",
        Operation::SawRound => "saw-round",
        Operation::GlueUp => "glue-up",
        Operation::Pocket => "pocket",
        Operation::Bore => "bore",
        Operation::TrimRip => "trim-rip",
        Operation::TrimCrosscut => "trim-crosscut",
    };
    SawPlanRecord {
        parents: design
            .cut_list
            .parents
            .iter()
            .map(|parent| ParentRecord {
                id: parent.id.clone(),
                material: parent.material.clone(),
                length: w.plan(parent.size.length),
                width: w.plan(parent.size.width),
                thickness: w.height(parent.size.thickness),
                count: parent.count,
                yields: parent
                    .yields
                    .iter()
                    .map(|(part, count)| YieldRecord { part: part.clone(), count: *count })
                    .collect(),
            })
            .collect(),
        steps: design
            .cut_list
            .steps
            .iter()
            .map(|step| StepRecord {
                operation: operation(step.operation).to_owned(),
                tool: step.tool.to_owned(),
                piece: step.piece.clone(),
                setting: w.height(step.setting),
                makes: step.makes.clone(),
                times: step.times,
                held: w.plan(step.held),
                careful: step.careful,
                note: step.note.clone(),
            })
            .collect(),
    }
}

fn checks(w: &Writer, design: &Design) -> Vec<CheckRecord> {
    design
        .checks
        .iter()
        .map(|check| CheckRecord {
            rule: check.rule.id().to_owned(),
            subject: check.subject.clone(),
            status: match check.status {
                Status::Pass => "pass",
                Status::Warn => "warn",
                Status::Fail => "fail",
            }
            .to_owned(),
            severity: match check.rule.info().severity {
                Severity::Must => "must",
                Severity::Should => "should",
            }
            .to_owned(),
            relation: match check.relation {
                Relation::AtLeast => "at-least",
                Relation::AtMost => "at-most",
                Relation::Equal => "equal",
            }
            .to_owned(),
            required: w.quantity(check.required),
            actual: w.quantity(check.actual),
            margin: w.quantity(check.margin()),
        })
        .collect()
}

fn trace(w: &Writer, design: &Design) -> Vec<ReasonRecord> {
    design
        .trace
        .reasons
        .iter()
        .map(|reason| ReasonRecord {
            dimension: reason.dimension.clone(),
            value: w.height(reason.value),
            terms: reason
                .terms
                .iter()
                .map(|term| TermRecord {
                    label: term.label.clone(),
                    amount: w.height(term.amount),
                    rule: term.rule.map(|rule| rule.id().to_owned()),
                })
                .collect(),
            decided_by: reason.decided_by.map(|rule| rule.id().to_owned()),
            runner_up: reason.runner_up.as_ref().map(|next| RunnerUpRecord {
                rule: next.rule.id().to_owned(),
                value: w.height(next.value),
                text: next.text.clone(),
            }),
        })
        .collect()
}
