//! `design.json`: a stable, versioned description of a finished design.
//!
//! The structs of `record` are the published format. They are kept apart from [`Design`] so that the inside
//! of the program can change without changing the file.

mod contact_record;
mod gang_record;
mod record;
mod screws;

pub use contact_record::*;
pub use gang_record::*;
pub use record::*;

use serde::Deserialize;

use crate::design::{
    Added, Contact, Design, Gang, Grain, JointKind, Operation, PocketKind, Quantity, Relation, Role, Status, VoidKind,
};
use crate::geometry::{Outline, Point, Rect};
use crate::length::{Length, Ruler, Unit};
use crate::mechanics::NEWTONS_PER_LBF;
use crate::request::{Level, Request};
use crate::rules::Severity;
use crate::setup::shrunk::shrunk_words;
use crate::setup::{LandingAxis, SetupCard, cradle_figures, fine_ruler, fits_all_round, hold_test};

/// Value of `format`: how a folder of ours is recognised.
pub const FORMAT: &str = "sledwright-design";
/// Version of the format. Raised when a field changes its meaning or goes away.
pub const VERSION: u32 = 1;

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

/// The text of a `design.json` of ours with another list of files; `None` when it is none of ours.
pub fn with_files(text: &str, files: &[String]) -> Option<String> {
    const OPEN: &str = "\"files\": [";
    stamp(text)?;
    // Only the format and the version stand before it, so the first is the right one.
    let (before, rest) = text.split_once(OPEN)?;
    let (_, after) = rest.split_once(']')?;
    let names: Vec<String> = files.iter().map(serde_json::to_string).collect::<Result<_, _>>().ok()?;
    Some(format!("{before}{OPEN}\n    {}\n  ]{after}", names.join(",\n    ")))
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
            Outline::Path(path) => Some(OutlineRecord::Path(
                path.vertices()
                    .iter()
                    .map(|vertex| VertexRecord {
                        point: self.point(vertex.point),
                        arc_through: vertex.via.map(|via| self.point(via)),
                    })
                    .collect(),
            )),
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
        orientation: if design.turned {
            "turned-90".to_owned()
        } else if design.turn != 0.0 {
            crate::design::turn_words(design.turn)
        } else {
            "as-measured".to_owned()
        },
        carrier: SizeRecord {
            length: w.plan(design.carrier.length),
            width: w.plan(design.carrier.width),
            thickness: known.then(|| w.height(design.carrier.thickness)),
        },
        blank: BlankRecord {
            bounds: w.rect(design.blank.outline.bounds()),
            outline: w.outline(&design.blank.outline),
            bottom: known.then(|| w.height(design.blank.z0)),
            top: known.then(|| w.height(design.blank.z1)),
            highest: known.then(|| w.height(design.blank.highest)),
            warp: warp(&w, request, design),
            slope: slope(&w, request, design),
            angle: request.blank.angle.as_ref().map(|angle| angle.degrees),
            strip: request.blank.strip.as_ref().map(|strip| strip_record(&w, design, strip)),
        },
        pockets: pockets(&w, design),
        contacts: contacts(&w, design),
        gang: design.gang.as_ref().map(|gang| gang_record(&w, gang)),
        cradle: cradle_record(&w, request, design),
        blank_origin: w.point(card.corner),
        centre_offset: w.point(card.centre),
        carve_area: w.rect(design.carve),
        depth_below_top: card.deepest.map(|depth| w.height(depth)),
        hold: design.hold.id().to_owned(),
        screws: screws::screws(&w, design),
        parts: parts(&w, design),
        joints: joints(&w, design),
        keep_out: design
            .keep_out
            .map(|keep| KeepOutRecord { area: w.rect(keep.area), above: known.then(|| w.height(keep.above)) }),
        saw_plan: saw_plan(&w, design),
        build: design
            .steps
            .iter()
            .map(|step| BuildRecord {
                text: step.text.clone(),
                caution: step.caution.clone(),
                adds: step.adds.iter().map(added).collect(),
            })
            .collect(),
        setup: SetupRecord {
            length: ReadingRecord { size: w.plan(card.length.size), tolerance: w.plan(card.length.tolerance) },
            width: ReadingRecord { size: w.plan(card.width.size), tolerance: w.plan(card.width.tolerance) },
            deepest_allowed: w.height(card.deepest_allowed),
            far_guide: w.height(card.far_guide),
            stands: card.stands,
            stand_places: card.stand_places.iter().map(|place| w.plan(*place)).collect(),
            own_stands: request
                .stands
                .as_ref()
                .map(|own| [&own.infeed, &own.outfeed].map(|side| side.iter().map(|place| w.plan(*place)).collect())),
            cutter_force: cutter_force(request),
            without_carrier: shrunk_words(request).filter(|_| !design.parts.is_empty()),
            clipped_corner: card.clipped_corner,
            hold_test: hold_test(card.hold, fits_all_round(design)).to_owned(),
            push_out: card.push_out.iter().map(|point| w.point(*point)).collect(),
            landing: LandingRecord {
                along: landing_axis(&w, card.landing.along),
                across: landing_axis(&w, card.landing.across),
                width: card.landing.width.map(|stack| WidthStackRecord {
                    parts: stack.parts,
                    with_blank: stack.with_blank,
                    worst: w.height(stack.worst),
                    root_sum_square: LengthRecord {
                        mm: stack.root_sum_square.to_mm(),
                        text: fine_ruler(request.units).with_unit(stack.root_sum_square),
                    },
                    after_last_rip: w.height(stack.after_last_rip),
                }),
            },
        },
        checks: checks(&w, design),
        trace: trace(&w, design),
        assumptions: design
            .assumptions
            .iter()
            .map(|a| AssumptionRecord { key: a.key.clone(), value: a.value.clone(), source: a.source.clone() })
            .collect(),
        stock_on_hand: design.uses_only_stock_on_hand,
        warnings: design.warnings.clone(),
        cautions: request.cautions.clone(),
        mass_kg: design.mass_kg,
    }
}

fn cutter_force(request: &Request) -> CutterForceRecord {
    let estimates = &request.shop.estimates;
    let range = estimates.loads.cutting.map(|cutting| cutting.range_lbf());
    CutterForceRecord {
        side: estimates.side_force_lbf * NEWTONS_PER_LBF,
        lift: estimates.lift_force_lbf * NEWTONS_PER_LBF,
        estimated: range.map(|(low, high)| [low * NEWTONS_PER_LBF, high * NEWTONS_PER_LBF]),
    }
}

fn landing_axis(w: &Writer, axis: LandingAxis) -> LandingAxisRecord {
    LandingAxisRecord {
        pushed_home: w.height(axis.pushed_home()),
        not_pushed_home: w.height(axis.not_pushed_home()),
        as_built: w.height(axis.as_built()),
    }
}

fn contacts(w: &Writer, design: &Design) -> Vec<ContactRecord> {
    let side = |part: Role| match part {
        Role::FenceRail => "fence",
        Role::LeadEnd => "lead",
        Role::FarWedge => "far",
        Role::Cleat => "cleat",
        Role::CleatWedge => "wedge",
        _ => "trail",
    };
    let mark = |mark: Point| MarkRecord { x: w.plan(mark.x), y: w.plan(mark.y) };
    let record = |contact: &Contact| ContactRecord {
        x: w.plan(contact.at.x),
        y: w.plan(contact.at.y),
        side: side(contact.part).to_owned(),
        packed: contact.packed,
        push: [contact.push().0, contact.push().1],
        marks: contact.marks.map(|marks| marks.map(mark)),
        angle: contact.slant().map(|(degrees, _)| degrees),
    };
    design.contacts.iter().map(record).collect()
}

fn warp(w: &Writer, request: &Request, design: &Design) -> Option<WarpRecord> {
    let (warp, underside) = (request.blank.warp.as_ref()?, design.blank.underside.as_ref()?);
    let measured = request.blank.thickness.as_ref();
    Some(WarpRecord {
        flatness: w.height(warp.flatness()),
        corner_lift: w.height(warp.corner_lift),
        left_when_flat: measured.map(|thickness| w.height(thickness.smallest - warp.flatness())),
        shims: underside
            .places()
            .map(|(x, y, thickness)| ShimRecord { x: w.plan(x), y: w.plan(y), thickness: w.height(thickness) })
            .collect(),
    })
}

fn strip_record(w: &Writer, design: &Design, strip: &crate::request::Strip) -> StripRecord {
    StripRecord {
        part: w.rect(crate::geometry::Rect::sized(strip.end, strip.side, strip.length, strip.width)),
        pitch: w.plan(strip.pitch()),
        wanted: strip.wanted,
        cut_apart: strip.cut_apart.id().to_owned(),
        parts: design.strip_parts(strip).into_iter().map(|part| w.rect(part)).collect(),
        cuts: design
            .strip_cuts(strip)
            .into_iter()
            .map(|line| line.into_iter().map(|end| w.point(end)).collect())
            .collect(),
    }
}

fn slope(w: &Writer, request: &Request, design: &Design) -> Option<SlopeRecord> {
    let (slope, underside) = (request.blank.slope.as_ref()?, design.blank.underside.as_ref()?);
    Some(SlopeRecord {
        thin: w.height(slope.thin.nominal),
        shims: underside
            .places()
            .map(|(x, y, thickness)| ShimRecord { x: w.plan(x), y: w.plan(y), thickness: w.height(thickness) })
            .collect(),
    })
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
        .enumerate()
        .map(|(place, pocket)| {
            let bounds = pocket.outline.bounds();
            PocketRecord {
                number: place + 1,
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

fn cradle_record(w: &Writer, request: &Request, design: &Design) -> Option<CradleRecord> {
    let figures = cradle_figures(request, design)?;
    let round = request.blank.round()?;
    let (seat, stop) = match figures.bevelled {
        Some(true) => ("v", "hot glue along both lines of contact"),
        Some(false) => ("saddle", "hot glue along both lines of contact"),
        None => ("flat", "its own flat side"),
    };
    let stretch = |stretch: &crate::setup::Stretch| StretchRecord {
        from: w.plan(stretch.from),
        to: w.plan(stretch.to),
        foot: w.height(stretch.foot),
        contact: w.height(stretch.contact),
        aside: w.height(stretch.aside),
    };
    Some(CradleRecord {
        seat: seat.to_owned(),
        v_angle: (figures.bevelled == Some(true)).then_some(round.v_degrees),
        level: figures.level.map(|level| if level == Level::Axis { "axis" } else { "crown" }.to_owned()),
        centre_line: w.height(figures.centre_line),
        crown: w.height(figures.crown),
        stretches: figures.stretches.iter().map(stretch).collect(),
        turn_stop: stop.to_owned(),
    })
}

fn gang_record(w: &Writer, gang: &Gang) -> GangRecord {
    let loads = gang.loads();
    let load = |place: usize| gang.kinds.iter().map(|kind| gang.in_load(kind, place)).sum();
    let kind = |kind: &crate::design::Kind| GangOutlineRecord {
        name: kind.name.clone(),
        blanks: kind.blanks,
        pockets: kind.pockets,
    };
    let nested = |nested: &crate::design::Nested| NestedRecord {
        outline: nested.kind + 1,
        turned_half_round: nested.turned,
        blank: w.outline(&nested.blank),
    };
    let layout = |layout: &crate::design::GangLayout| LayoutRecord {
        rows: layout.rows,
        columns: layout.columns,
        pockets: layout.pockets,
        staggered: layout.staggered,
        loads: layout.loads,
        length: w.plan(layout.length),
        width: w.plan(layout.width),
        refused: layout.refused.map(|rule| rule.id().to_owned()),
    };
    GangRecord {
        rows: gang.rows,
        columns: gang.columns,
        pitch: w.point(gang.pitch),
        pair: gang.pair.map(|pair| w.plan(pair)),
        set_off: w.plan(gang.shift),
        web: w.plan(gang.web),
        blanks: gang.blanks,
        loads: (0..loads).map(load).collect(),
        objective: gang.objective.id().to_owned(),
        layouts: gang.layouts.iter().map(layout).collect(),
        outlines: gang.kinds.iter().map(kind).collect(),
        nested: gang.nested.iter().map(nested).collect(),
    }
}

fn parts(w: &Writer, design: &Design) -> Vec<PartRecord> {
    let known = design.blank.thickness_known;
    design
        .parts
        .iter()
        .map(|part| PartRecord {
            id: part.id.clone(),
            name: part.name.clone(),
            material: part.material.clone(),
            length: w.plan(part.size.length),
            width: w.plan(part.size.width),
            thickness: known.then(|| w.height(part.size.thickness)),
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
                    bottom: known.then(|| w.height(place.z0)),
                    top: known.then(|| w.height(place.z1)),
                })
                .collect(),
        })
        .collect()
}

fn added(added: &Added) -> AddedRecord {
    match added {
        Added::Part { id, place } => AddedRecord::Part { id: id.clone(), number: place + 1 },
        Added::Cut(kind) => AddedRecord::Cut { name: cut(*kind).to_owned() },
        Added::Blank => AddedRecord::Blank,
    }
}

/// The name of a kind of cut in files.
fn cut(kind: VoidKind) -> &'static str {
    match kind {
        VoidKind::Pocket => "pocket",
        VoidKind::Relief => "corner-relief",
        VoidKind::FingerGap => "finger-gap",
        VoidKind::Under => "room-below",
        VoidKind::PushOut => "push-out-hole",
        VoidKind::ClippedCorner => "clipped-corner",
        VoidKind::Bevel => "bevel",
        VoidKind::SlopeAlong => "slope-along",
        VoidKind::SlopeAcross => "slope-across",
        VoidKind::KeeperNotch => "keeper-notch",
        VoidKind::PegHole => "peg-hole",
        VoidKind::ScrewHole => "screw-hole",
        VoidKind::Countersink => "countersink",
    }
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
    let known = design.blank.thickness_known;
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
            bottom: known.then(|| w.height(joint.z0)),
            top: known.then(|| w.height(joint.z1)),
        })
        .collect()
}

fn saw_plan(w: &Writer, design: &Design) -> SawPlanRecord {
    let operation = |operation| match operation {
        Operation::Plane => "plane",
        Operation::Rip => "rip",
        Operation::Crosscut => "crosscut",
        Operation::TaperRip => "taper-rip",
        Operation::BevelRip => "bevel-rip",
        Operation::SawRound => "saw-round",
        Operation::Notch => "notch",
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
