//! Nests for discs: a round sunk into a board, two half-rounds, or a square with corner blocks.

use super::assemble::{Draft, finish, hold_words, place_blank, plan_trace};
use super::blind_pocket::{Sunk, push_out_hole, sunk};
use super::framed::{self, Framed, best_panel, is_disc, stock_part};
use super::layout::{self, Edges, Rails, WALL};
use super::stack;
use super::stiff::Field;
use super::{Attempt, Construction, Setting};
use crate::design::{Design, Extent, Grain, Joint, JointKind, Place, Pocket, PocketKind, Role, Void, VoidKind};
use crate::geometry::{Outline, Point, Rect};
use crate::length::Length;
use crate::request::{Hold, Tool};
use crate::rules::Rule;
use crate::saw::Assembly;
use crate::trace::Conflict;

/// Disc nest.
pub struct DiscNest;

impl Construction for DiscNest {
    fn id(&self) -> &'static str {
        "disc-nest"
    }

    fn title(&self) -> &'static str {
        "Nest for a disc"
    }

    fn when(&self) -> &'static str {
        "Rounds, plates and slices."
    }

    fn holds(&self) -> &'static [Hold] {
        // A round turns in a round pocket: only a bond underneath, or glue, stops it.
        &[Hold::Tape, Hold::Film, Hold::HotGlue, Hold::Screws]
    }

    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt> {
        if !is_disc(setting) {
            return vec![Attempt::fails("round", Conflict::plain(Rule::EdgesShaped, "the blank is not round"))];
        }
        let square = Framed { rail: WALL, above: Length::ZERO, may_pack: true, corner_blocks: true };
        let plain = setting.needs_plain_top();
        vec![
            Attempt::of("round pocket in one board", self.sunk_round(setting)),
            Attempt::of("two half-rounds on a base", self.split(setting)),
            Attempt::of("square pocket with corner blocks", plain.and_then(|()| framed::design(setting, self, square))),
        ]
    }
}

impl DiscNest {
    /// A round sunk into one board.
    fn sunk_round(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        let sunk = sunk(setting, None)?;
        let Sunk { along, across, stock, heights, .. } = &sunk;
        let (length, width) = (along.total(), across.total());
        let square = Rect::sized(along.near(), across.near(), along.pocket(), across.pocket());
        let pocket = round(&square);
        let board = Rect::new(Length::ZERO, Length::ZERO, length, width);
        let mut part = stock_part("board", Role::Board, stock, board, (Length::ZERO, heights.top));
        if let Some(place) = part.places.first_mut() {
            place.voids.push(Void {
                outline: pocket.clone(),
                z0: heights.floor,
                z1: heights.top,
                kind: VoidKind::Pocket,
            });
            place.voids.extend(push_out_hole(setting, &square, heights.floor));
        }
        // A disc has no corner to be pushed into: it lies in the middle of its round.
        let slack = (along.pocket() - setting.length.nominal).half();
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: 0.0,
                variant: format!("round pocket in {}, {}", stock.name, hold_words(setting.hold)),
                carrier: Extent { length, width, thickness: heights.top },
                blank: place_blank(setting, square.x0 + slack, square.y0 + slack, heights.floor + setting.adhesive),
                pockets: vec![Pocket {
                    outline: pocket,
                    z0: heights.floor,
                    z1: heights.top,
                    kind: PocketKind::Blind,
                    relief: None,
                }],
                parts: vec![part],
                joints: Vec::new(),
                bridge: false,
                lopsided: !(along.symmetrical && across.symmetrical),
                pocket_cutter: Some(setting.request.shop.pocket_cutter),
                waived: waived_play(setting, &square, sunk.waived.clone()),
                trace: sunk.trace.clone(),
                depth_below_top: sunk.depth_below_top,
                assembly: Assembly::Single,
                wall: heights.depth(),
                glued_edges: false,
            },
        )
    }

    /// Two boards with a half-round each, glued on the centre line, on a base.
    fn split(&self, setting: &Setting<'_>) -> Result<Design, Conflict> {
        setting.needs_plain_top()?;
        if !(setting.owns(Tool::BandSaw) || setting.owns(Tool::Jigsaw)) {
            return Err(Conflict::plain(Rule::ToolOwned, "sawing half-rounds needs a band saw or a jigsaw"));
        }
        let along = layout::along(setting, Edges::Loose, None)?;
        let rails = Rails { least: WALL, carries_strip: false, bite: None, stiff: None, along: None };
        let across = layout::across(setting, Edges::Loose, rails)?;
        if across.near() != across.far() {
            let text = "the halves must be equal, and the cutter's window wants the disc off the middle";
            return Err(Conflict::plain(Rule::CutterWindow, text));
        }
        let height = stack::flush_depth(setting);
        let layer = stack::upper_layer(setting, height, stack::Allowed::LowerOrPacked)?;
        let (length, width) = (along.total(), across.total());
        let (base, heights) =
            best_panel(setting, &Field::of(&along, &across, Some(layer.elasticity)), layer.height, false)?;
        let floor = heights.floor + layer.packing;
        let (depth_below_top, flute) = stack::cut_depth(setting, heights.top, floor, false)?;
        let square = Rect::sized(along.near(), across.near(), along.pocket(), across.pocket());
        let pocket = round(&square);
        let z = (heights.floor, heights.top);
        let (zero, middle) = (Length::ZERO, width.half());
        let mut halves = framed::layer_part("half", Role::NestHalf, &layer, Rect::new(zero, zero, length, middle), z);
        let void = Void { outline: pocket.clone(), z0: z.0, z1: z.1, kind: VoidKind::Pocket };
        let far = Outline::Rect(Rect::new(zero, middle, length, width));
        halves.places.push(Place { outline: far, z0: z.0, z1: z.1, voids: Vec::new() });
        for place in &mut halves.places {
            place.voids.push(void.clone());
        }
        let mut parts = vec![
            stock_part("base", Role::Base, base, Rect::new(zero, zero, length, width), (zero, heights.floor)),
            halves,
        ];
        if layer.packing > zero {
            let disc = Rect::sized(square.x0, square.y0, setting.length.nominal, setting.length.nominal);
            let mut packing = framed::part(
                "packing",
                Role::Packing,
                "card or veneer",
                800.0,
                1,
                Grain::None,
                disc,
                (heights.floor, floor),
            );
            for place in &mut packing.places {
                place.outline = round(&disc);
            }
            packing.remark = Some("a disc, cut with a knife; glue to the base".to_owned());
            parts.push(packing);
        }
        let contact = Rect::new(zero, middle, length, middle);
        let unnamed = || (String::new(), String::new());
        let joints = vec![
            (
                Role::NestHalf,
                Some(Role::NestHalf),
                Joint { between: unnamed(), contact, z0: z.0, z1: z.1, kind: JointKind::Glue },
            ),
            (
                Role::NestHalf,
                Some(Role::Base),
                Joint {
                    between: unnamed(),
                    contact: Rect::new(zero, zero, length, width),
                    z0: z.0,
                    z1: z.0,
                    kind: JointKind::GlueAndPegs,
                },
            ),
        ];
        let mut trace = plan_trace(setting, &along, &across);
        stack::trace_heights(setting, &heights, base, "rail-height", Length::ZERO, &mut trace);
        let slack = (along.pocket() - setting.length.nominal).half();
        let waived: Vec<Rule> = [&along.waived[..], &across.waived, &heights.waived, &flute].concat();
        finish(
            setting,
            self,
            Draft {
                contacts: Vec::new(),
                turn: 0.0,
                variant: format!(
                    "two half-rounds of {} on {}, {}",
                    layer.material,
                    base.name,
                    hold_words(setting.hold)
                ),
                carrier: Extent { length, width, thickness: heights.top },
                blank: place_blank(setting, square.x0 + slack, square.y0 + slack, floor + setting.adhesive),
                pockets: vec![Pocket {
                    outline: pocket,
                    z0: floor,
                    z1: heights.top,
                    kind: PocketKind::OnBase,
                    relief: None,
                }],
                parts,
                joints,
                bridge: false,
                lopsided: !(along.symmetrical && across.symmetrical),
                pocket_cutter: None,
                waived: waived_play(setting, &square, waived),
                trace,
                depth_below_top,
                assembly: Assembly::Trimmed,
                wall: heights.top - floor,
                glued_edges: false,
            },
        )
    }
}

/// The round that touches the sides of a square.
pub(super) fn round(square: &Rect) -> Outline {
    let diameter = square.length().min(square.width());
    let centre = Point::new(square.x0 + diameter.half(), square.y0 + diameter.half());
    Outline::Disc { centre, diameter }
}

fn waived_play(setting: &Setting<'_>, pocket: &Rect, mut waived: Vec<Rule>) -> Vec<Rule> {
    if framed::play_is_wide(setting, pocket) {
        waived.push(Rule::Play);
    }
    waived
}
