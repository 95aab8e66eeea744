//! The constructions. One file each; [`CONSTRUCTIONS`] lists them.

mod angled;
mod assemble;
mod bearing;
mod bearings;
mod blind_pocket;
mod bridge;
mod cleat_nest;
mod cleat_steps;
mod cradle;
mod disc_nest;
mod end_extensions;
mod flush_frame;
mod framed;
mod gang;
mod grip;
mod layout;
mod mass;
mod none;
mod outline_nest;
mod outline_ring;
mod rails_on_base;
mod repeat_loading;
mod riser;
mod screws;
mod seat;
mod second_side;
mod set_out;
mod shimmed;
mod side_rails;
mod stack;
mod steps;
mod stiff;
mod taper_in_plan;
mod taper_in_thickness;
mod wedge_steps;
mod wedges;

use crate::design::Design;
use crate::geometry::heights::HeightGrid;
use crate::length::{Length, Measured, Unit};
use crate::request::{Hold, Request, Shape, Through, Tool};
use crate::rules::Rule;
use crate::trace::{Clash, Conflict};

/// A construction: how to turn a blank into something the machine takes.
pub trait Construction: Sync {
    /// Name in job files and commands.
    fn id(&self) -> &'static str;
    /// Plain words for the sheet.
    fn title(&self) -> &'static str;
    /// When it is used, one sentence.
    fn when(&self) -> &'static str;
    /// Holds it can be used with, in the order tried.
    fn holds(&self) -> &'static [Hold];
    /// Sizes every variant of the construction for one setting.
    fn attempts(&self, setting: &Setting<'_>) -> Vec<Attempt>;
}

/// Every construction, in the order tried.
pub const CONSTRUCTIONS: &[&dyn Construction] = &[
    &none::None,
    &blind_pocket::BlindPocket,
    &rails_on_base::RailsOnBase,
    &flush_frame::FlushFrame,
    &end_extensions::EndExtensions,
    &side_rails::SideRails,
    &disc_nest::DiscNest,
    &outline_nest::OutlineNest,
    &cleat_nest::CleatNest,
    &riser::Riser,
    &bridge::Bridge,
    &taper_in_plan::TaperInPlan,
    &gang::Gang,
    &shimmed::Shimmed,
    &second_side::SecondSide,
    &cradle::Cradle,
    &taper_in_thickness::TaperInThickness,
    &repeat_loading::RepeatLoading,
];

/// The construction with this id.
pub fn by_id(id: &str) -> Option<&'static dyn Construction> {
    CONSTRUCTIONS.iter().copied().find(|construction| construction.id() == id)
}

/// One variant tried: a design, or the conflict that forbids it.
#[derive(Debug, Clone)]
pub struct Attempt {
    /// What distinguishes it.
    pub variant: String,
    /// The design or the conflict.
    pub result: Result<Box<Design>, Conflict>,
}

impl Attempt {
    /// A variant that cannot be built.
    pub fn fails(variant: impl Into<String>, conflict: Conflict) -> Attempt {
        Attempt { variant: variant.into(), result: Err(conflict) }
    }

    /// A design, named after its own variant.
    pub fn works(design: Design) -> Attempt {
        Attempt { variant: design.variant.clone(), result: Ok(Box::new(design)) }
    }

    fn of(variant: &str, result: Result<Design, Conflict>) -> Attempt {
        match result {
            Ok(design) => Attempt::works(design),
            Err(conflict) => Attempt::fails(variant, conflict),
        }
    }
}

/// Thickness drawn for a blank whose thickness has not been measured yet.
const UNKNOWN_THICKNESS: Length = Length::inches(3, 4);

/// A blank no farther off a flat table lies flat. Common practice, no source.
const FLAT: Length = Length::inches(1, 64);

/// A request seen with one orientation and one hold.
#[derive(Debug, Clone)]
pub struct Setting<'a> {
    /// The request.
    pub request: &'a Request,
    /// Whether the blank is turned by 90 degrees.
    pub turned: bool,
    /// How the blank is held.
    pub hold: Hold,
    /// Thickness of the adhesive under it.
    pub adhesive: Length,
    /// Along the feed.
    pub length: &'a Measured,
    /// Across the feed.
    pub width: &'a Measured,
    /// What openings must be larger by along the feed.
    pub growth_along: Length,
    /// What they must be larger by across the feed.
    pub growth_across: Length,
    /// How far the blank itself swells or shrinks, along the feed and across it.
    pub moves: [Length; 2],
    /// Uncarved margins: lead, trail, fence, far.
    pub margins: [Length; 4],
    /// Nominal thickness (a stand-in when not measured).
    pub thickness: Length,
    /// Whether it is measured.
    pub thickness_known: bool,
    /// How far a warped blank's highest place lies above where a flat one's would, laid on shims.
    pub rise: Length,
    /// Thickness of the shim at each place, from the blank's datum corner; `None` for a blank laid flat.
    pub seat: Option<HeightGrid>,
    /// Room for relief under a blank that lies on its carved face; `None` for a plain underside.
    pub below: Option<second_side::Below>,
    /// Which of the materials the upper layer can be made of is taken, in the order of preference:
    /// the next is tried where the pieces do not come out of one on hand.
    pub upper_choice: usize,
}

impl<'a> Setting<'a> {
    /// Looks at a request with the blank turned or not, and held so.
    pub fn new(request: &'a Request, turned: bool, hold: Hold) -> Setting<'a> {
        let (blank, carve) = (&request.blank, &request.carve);
        let adhesive = if hold.bonds_underside() {
            request.hold_thickness.unwrap_or(match hold {
                Hold::Film => Length::inches(5, 1000),
                _ => Length::inches(1, 64),
            })
        } else {
            Length::ZERO
        };
        let straight = [carve.margin_lead, carve.margin_trail, carve.margin_fence, carve.margin_far];
        // Turned counter-clockwise seen from above: the fence side leads, the trail end meets the fence.
        let rotated = [carve.margin_fence, carve.margin_far, carve.margin_trail, carve.margin_lead];
        let thickness = blank.thickness.as_ref().map(|measured| measured.nominal);
        // A round stays round for the carrier's sake: its nest takes the larger growth both ways.
        let (growth_length, growth_width) = if matches!(blank.shape, Shape::Disc | Shape::Outline(_)) {
            let most = blank.growth_length.max(blank.growth_width);
            (most, most)
        } else {
            (blank.growth_length, blank.growth_width)
        };
        Setting {
            request,
            turned,
            hold,
            adhesive,
            length: if turned { &blank.width } else { &blank.length },
            width: if turned { &blank.length } else { &blank.width },
            growth_along: if turned { growth_width } else { growth_length },
            growth_across: if turned { growth_length } else { growth_width },
            moves: if turned {
                [blank.moves.width, blank.moves.length]
            } else {
                [blank.moves.length, blank.moves.width]
            },
            // Knives and drums leave nothing standing round what they cut.
            margins: if request.machine.takes_whole_face() {
                [Length::ZERO; 4]
            } else if turned {
                rotated
            } else {
                straight
            },
            thickness: thickness.unwrap_or(UNKNOWN_THICKNESS),
            thickness_known: thickness.is_some(),
            rise: Length::ZERO,
            seat: None,
            below: None,
            upper_choice: 0,
        }
    }

    /// Ruler step for plan dimensions.
    pub fn step(&self) -> Length {
        self.request.step()
    }

    /// Radius of the carving cutter; zero where knives or a drum take the whole face.
    pub fn cutter_radius(&self) -> Length {
        if self.request.machine.takes_whole_face() { Length::ZERO } else { self.request.carve.cutter.half_up() }
    }

    /// Cutter radius and overrun: how far the cutter reaches past the outline of the cut.
    pub fn reach(&self) -> Length {
        if self.request.machine.takes_whole_face() {
            return Length::ZERO;
        }
        self.cutter_radius() + self.request.carve.overrun
    }

    /// How far the cutter's centre runs past the end of a blank that is cut free all round.
    pub fn past_end(&self) -> Length {
        if self.freed() { self.cutter_radius() } else { Length::ZERO }
    }

    /// Whether the part is cut free all round.
    pub fn freed(&self) -> bool {
        self.request.carve.through == Through::AllRound
    }

    /// Whether the cutter goes through the blank anywhere.
    pub fn cut_through(&self) -> bool {
        self.request.carve.through != Through::No
    }

    /// The margin credited to the end allowance: what the user states, less the cutter's reach.
    pub fn credit(&self, margin: Length) -> Length {
        if self.request.carve.stated { (margin - self.reach()).or_zero() } else { Length::ZERO }
    }

    /// Clearance on each side: never less than the saw's tolerance, so that the tightest pocket the
    /// shop may saw still admits the largest blank.
    pub fn clearance(&self) -> Length {
        self.request.shop.clearance.max(self.request.shop.tolerance)
    }

    /// What two sawn edges can be out together.
    pub fn two_edges(&self) -> Length {
        self.request.shop.tolerance * 2
    }

    /// Whether the shop owns the tool.
    pub fn owns(&self, tool: Tool) -> bool {
        self.request.shop.tools.contains(&tool)
    }

    /// Whether the shop can sink a flat pocket.
    pub fn sinks_pockets(&self) -> bool {
        self.owns(Tool::Router) || self.owns(Tool::Carver) || (self.owns(Tool::DrillPress) && self.owns(Tool::Chisel))
    }

    /// Whether rails can be brought to any thickness.
    pub fn thicknesses_boards(&self) -> bool {
        self.owns(Tool::Planer) || self.owns(Tool::DrumSander)
    }

    /// Refuses a blank that is not a plain rectangle, or that does not lie flat.
    pub fn needs_rectangle(&self) -> Result<(), Conflict> {
        self.needs_edges()?;
        if let Some(slope) = &self.request.blank.slope {
            let text = format!(
                "the blank is {} thick at one end and {} at the other: laid flat its top is not level",
                self.say_depth(self.thickness),
                self.say_depth(slope.thin.nominal)
            );
            let shortfall = self.thickness - slope.thin.nominal;
            return Err(Conflict {
                clashes: vec![Clash { rule: Rule::WedgeShim, text, amount: shortfall }],
                shortfall,
            });
        }
        let Some(warp) = &self.request.blank.warp else { return Ok(()) };
        let off = warp.gaps.greatest().max(warp.corner_lift);
        if off <= FLAT {
            return Ok(());
        }
        let text = format!(
            "the blank stands {} off a flat table; the rollers would press it flat where nothing is under it",
            self.say_depth(off)
        );
        Err(Conflict {
            clashes: vec![Clash { rule: Rule::BlankFlat, text, amount: off - FLAT }],
            shortfall: off - FLAT,
        })
    }

    /// Refuses a blank whose outline is not a plain rectangle.
    pub fn needs_edges(&self) -> Result<(), Conflict> {
        if self.request.blank.second_side.is_some() && self.below.is_none() {
            let text = "the blank lies on its carved face; a plain floor would press the relief";
            return Err(Conflict::plain(Rule::ReliefClear, text));
        }
        match self.request.blank.shape {
            Shape::Rectangle => Ok(()),
            Shape::Disc => {
                Err(Conflict::plain(Rule::EdgesShaped, "the blank is round; this needs straight, parallel edges"))
            }
            Shape::Round(_) => {
                Err(Conflict::plain(Rule::EdgesShaped, "the blank is round in section; this needs a flat underside"))
            }
            Shape::Outline(_) => Err(Conflict::plain(
                Rule::EdgesShaped,
                "the blank has an outline of its own; this needs straight, parallel edges",
            )),
            Shape::Taper { .. } => {
                Err(Conflict::plain(Rule::EdgesShaped, "the blank tapers; this needs straight, parallel edges"))
            }
        }
    }

    /// Refuses a blank whose relief must not be rolled on, for constructions that let rollers touch it.
    pub fn needs_plain_top(&self) -> Result<(), Conflict> {
        let blank = &self.request.blank;
        if blank.fragile || blank.relief_height > Length::ZERO {
            return Err(Conflict::plain(
                Rule::FragileTop,
                "the top must not be rolled on (fragile, or relief stands above its border); the rollers would press it",
            ));
        }
        Ok(())
    }

    /// Number with unit on the user's ruler.
    pub fn say(&self, length: Length) -> String {
        self.request.shop.ruler.with_unit(length)
    }

    /// Number with unit on the ruler for depths.
    pub fn say_depth(&self, length: Length) -> String {
        self.request.shop.depth_ruler.with_unit(length)
    }

    /// The unit the sheet is in.
    pub fn unit(&self) -> Unit {
        self.request.shop.ruler.unit
    }
}
