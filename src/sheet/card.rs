//! The machine card: what to set, what the machine should read, when to stop.

use super::flow::{Flow, Table};
use super::{lists, notes};
use crate::design::{Design, Gang};
use crate::drawing::Weight;
use crate::geometry::Outline;
use crate::length::{Length, Unit};
use crate::request::{Hold, Request, Through};
use crate::setup::{
    SetupCard, face_word, fits_all_round, force_words, held_by_contacts, hold_test, lies, lies_in_nest, lies_in_round,
    stands_words,
};
use crate::views::depth_text;

/// The machine card.
pub(super) fn card(flow: &mut Flow, request: &Request, design: &Design) {
    let setup = SetupCard::of(request, design);
    flow.heading("MACHINE CARD");
    if let Some(text) = notes::unconfirmed_text(request) {
        flow.boxed(&text);
    }
    if setup.deepest.is_none() {
        flow.boxed("DO NOT SET DEPTH YET: the blank's thickness is not measured.");
    }
    let mut table = Table::new(&["Set or check", &request.machine.name]);
    let layer = request.machine.takes_whole_face();
    let rows = if layer { layer_rows(request, design, &setup) } else { carver_rows(request, design, &setup) };
    table.rows.extend(rows.into_iter().map(|(name, value)| vec![name.to_owned(), value]));
    flow.table(&table);

    flow.fields(&["As built: long", "wide, lead", "wide, trail"]);
    flow.fields(&["thick", "lead end", "fence rail"]);
    flow.heading("Before the first cut");
    let no_second =
        request.blank.irreplaceable.then_some("there is no second blank: run scrap of the same size first.");
    if layer {
        let look = "Look the whole carrier over, joints too: no metal, no grit, no lump of glue above the line given.";
        flow.tick(1, look, None);
        let set = "Set the head clear of the wood, then come down to the setting above. Feed by the LEAD end, let the \
                   rollers take it.";
        flow.tick(2, set, no_second);
        let again = "Another pass: measure again and run the job again first.";
        flow.tick(3, again, None);
    } else {
        let above = match request.shop.ruler.unit {
            Unit::Inch => "1/4 in",
            Unit::Millimetre => "6 mm",
        };
        flow.tick(
            1,
            "Hand pass, cutter out, power off where the machine allows: feed the full length. No roller drops, rubs or climbs.",
            None,
        );
        flow.tick(2, &format!("Bit {above} above the wood: trace the carve area, watch its corners."), no_second);
    }
    flow.gap(2.0);
    flow.paragraph(&cautions(request, design, setup.stands).join(" "), Weight::Regular);
}

type Rows = Vec<(&'static str, String)>;

/// What is set and read on a carver.
fn carver_rows(request: &Request, design: &Design, setup: &SetupCard) -> Rows {
    let ruler = &request.shop.ruler;
    let n = |length: Length| ruler.number(length);
    let mut rows: Rows = Vec::new();
    let mut line = |name: &'static str, value: String| rows.push((name, value));
    line("Carrier", format!("{}, {}", design.title, size_or_plan(request, design)));
    line(
        "Machine should read",
        format!(
            "{} ± {} long, {} ± {} wide. Else STOP: clean the strip, feed again, measure by tape",
            n(setup.length.size),
            n(setup.length.tolerance),
            n(setup.width.size),
            n(setup.width.tolerance)
        ),
    );
    line("Feed", format!("LEAD end first, FENCE edge to fence, TOP up; {}", lies(design)));
    if let Some(carved) = &request.blank.second_side {
        line("Blank", carved.flip.words().to_owned());
    }
    if design.turn != 0.0 {
        let turned = libm::rint(design.turn.abs() * 10.0) / 10.0;
        let way = if design.turn > 0.0 { "counter-clockwise" } else { "clockwise" };
        line(
            "Blank and artwork",
            format!("both turned {turned}° {way}, seen from above, from how the outline was drawn"),
        );
    }
    if lies_in_round(design) {
        let centre = design.blank.outline.bounds().centre();
        line("Artwork by centre", format!("{} from LEAD, {} from FENCE", n(centre.x), n(centre.y)));
    } else {
        line(
            if lies_in_nest(design) || held_by_contacts(design) {
                "Artwork by the blank's ends"
            } else {
                "Artwork by corner"
            },
            format!("{} from LEAD, {} from FENCE", n(setup.corner.x), n(setup.corner.y)),
        );
    }
    line(
        if design.gang.is_some() { "or pocket 1 from the middle" } else { "or from the middle" },
        format!(
            "{} along, {} across (plus: to trail, to far)",
            signed(request, setup.centre.x),
            signed(request, setup.centre.y)
        ),
    );
    if let Some(gang) = &design.gang {
        let others = if gang.is_free() { "by the pocket table" } else { "by the pitch, or by the pocket table" };
        line("", format!("both are pocket 1; the others {others}"));
        if gang.is_free() && gang.turns_any() {
            line("Turned", "where the pocket table says so the artwork is turned half round with its blank".to_owned());
        }
        if let Some(turned) = design.blank_outlines().get(1).filter(|_| gang.pair.is_some()).map(Outline::bounds) {
            let (x, y) = (n(turned.x0), n(turned.y0));
            line(
                "Pocket 2",
                format!("{x} from LEAD, {y} from FENCE, its artwork turned half round; so every second one of a row"),
            );
        }
        let pitch: Vec<String> = crate::views::pitch_words(request, gang).into_iter().rev().collect();
        line(if gang.is_free() { "Nests" } else { "Rows" }, pitch.join("; "));
        if gang.is_mixed() {
            line("Outlines", gang.kinds_words());
        }
        line("Loads", loads(gang));
    }
    if let Some(strip) = &request.blank.strip {
        let (parts, pitch) = (strip.each, n(strip.pitch()));
        let way = if design.turned { "towards the fence" } else { "towards the trail end" };
        line(
            "Parts in the strip",
            format!("{parts}, {pitch} from one to the next {way}; corners in the table of parts"),
        );
    }
    line(
        "Carve area",
        format!(
            "{} to {} along, {} to {} across",
            n(setup.carve.x0),
            n(setup.carve.x1),
            n(setup.carve.y0),
            n(setup.carve.y1)
        ),
    );
    line("Carving lands", lands(request, design, setup));
    line(
        "Deepest cut",
        match setup.deepest {
            Some(deepest) => {
                // What lies under the blank is cut into where the blank is cut through.
                let floor = design.pockets.first().map_or(Length::ZERO, |pocket| pocket.z0);
                let into = floor - (design.carrier.thickness - deepest);
                let cut = request.carve.through != Through::No && into > Length::ZERO;
                format!(
                    "{} below the top plane{}; the machine reaches {}",
                    depth_text(request, deepest),
                    if cut { format!(", {} into the wood under the blank", n(into)) } else { String::new() },
                    depth_text(request, setup.deepest_allowed)
                )
            }
            None => "not yet".to_owned(),
        },
    );
    line("Hold", format!("{}: {}", hold_name(setup.hold), hold_test(setup.hold, fits_all_round(design))));
    line("Cutter's force", force_words(request));
    line(
        "Far guide",
        format!(
            "{} from the fence: {} clear at the widest place",
            request.shop.depth_ruler.number(setup.far_guide),
            request.shop.depth_ruler.number(setup.far_guide - design.carrier.width)
        ),
    );
    line("Stands", if setup.stands { stands_words(request, setup) } else { "none needed".to_owned() });
    if setup.clipped_corner {
        line("Clipped corner", "lead/far: it shows which way the carrier goes".to_owned());
    }
    let to_write = "_".repeat(10);
    line("Machine read", format!("long {to_write}  wide {to_write}"));
    rows
}

/// What is set and read on a planer or drum sander: it takes a layer off everything that goes through.
fn layer_rows(request: &Request, design: &Design, setup: &SetupCard) -> Rows {
    let machine = &request.machine;
    let done = face_word(machine);
    let mut rows: Rows = Vec::new();
    let mut line = |name: &'static str, value: String| rows.push((name, value));
    line("Carrier", format!("{}, {}", design.title, size_or_plan(request, design)));
    line(
        "Feed",
        format!("LEAD end first, face to be {done} up, FENCE edge on the same side every pass; {}", lies(design)),
    );
    match setup.deepest {
        Some(depth) => {
            line(
                "Depth of one pass",
                format!(
                    "{} below the top plane; the machine takes {} at most",
                    depth_text(request, depth),
                    depth_text(request, setup.deepest_allowed)
                ),
            );
            let left = depth_text(request, design.carrier.thickness - depth);
            line("Thickness to set", format!("{left} above the bed; the carrier's top is {done} away with the blank"));
        }
        None => line("Depth of one pass", "not yet".to_owned()),
    }
    if let Some(keep_out) = &design.keep_out {
        let height = if setup.deepest.is_some() && keep_out.above > Length::ZERO {
            format!("above {} from the bed face", depth_text(request, keep_out.above))
        } else {
            "in it".to_owned()
        };
        line("Metal", format!("none {height}, anywhere"));
    }
    line("Snipe", snipe(request, design));
    line("Hold", format!("{}: {}", hold_name(setup.hold), hold_test(setup.hold, fits_all_round(design))));
    if setup.stands {
        line("Stands", stands_words(request, setup));
    }
    if setup.clipped_corner {
        line("Clipped corner", "lead/far: it shows which way the carrier goes".to_owned());
    }
    let to_write = "_".repeat(10);
    line("After the pass", format!("carrier {to_write}  blank {to_write} thick"));
    rows
}

/// Where the ends, held by one roller only, may be cut deeper: geometry of the rollers.
fn snipe(request: &Request, design: &Design) -> String {
    let reach = request.machine.cutter_to_roller;
    let blank = design.blank.outline.bounds();
    let (lead, trail) = (blank.x0, design.carrier.length - blank.x1);
    let n = |length: Length| request.shop.ruler.number(length);
    if lead >= reach && trail >= reach {
        format!("may come within {} of either end: there lies carrier, not blank", n(reach))
    } else {
        let deepest = (reach - lead.min(trail)).or_zero();
        format!(
            "may come within {} of either end: up to {} of the blank lies there, lift the free end",
            n(reach),
            n(deepest)
        )
    }
}

/// How far the carving may land from where it is drawn, at worst.
fn lands(request: &Request, design: &Design, setup: &SetupCard) -> String {
    let n = |length: Length| request.shop.depth_ruler.number(length);
    let (along, across) = (setup.landing.along, setup.landing.across);
    let (loose_along, loose_across) = (n(along.not_pushed_home()), n(across.not_pushed_home()));
    let home = format!("at worst ± {} along, ± {} across", n(along.pushed_home()), n(across.pushed_home()));
    if fits_all_round(design) || held_by_contacts(design) {
        format!("at worst ± {loose_along} along, ± {loose_across} across")
    } else if along.play <= Length::ZERO && across.play <= Length::ZERO {
        home
    } else {
        format!("{home} with the blank pushed home, else ± {loose_along} and ± {loose_across}")
    }
}

/// `40 in one load` or `100 in 3 loads: 36, the last 28`.
fn loads(gang: &Gang) -> String {
    match gang.loads() {
        0 | 1 => format!("{} in one load", gang.blanks),
        loads if gang.is_mixed() => format!("{} in {loads} loads, shared out as beside the pocket table", gang.blanks),
        loads => {
            format!("{} in {loads} loads: {} in each, {} in the last", gang.blanks, gang.pockets, gang.last_load())
        }
    }
}

fn size_or_plan(request: &Request, design: &Design) -> String {
    if design.blank.thickness_known {
        lists::size_text(request, design.carrier)
    } else {
        let ruler = &request.shop.ruler;
        format!("{} x {}", ruler.number(design.carrier.length), ruler.number(design.carrier.width))
    }
}

/// A figure with its sign: an offset without one is read the wrong way.
fn signed(request: &Request, length: Length) -> String {
    let number = request.shop.ruler.number(length);
    if length > Length::ZERO { format!("+{number}") } else { number }
}

fn hold_name(hold: Hold) -> &'static str {
    match hold {
        Hold::Snug => "Snug edges",
        Hold::Wedge => "Wedges",
        Hold::Tape => "Double-sided cloth tape",
        Hold::Film => "Double-sided film tape",
        Hold::HotGlue => "Hot glue",
        Hold::Keeper => "Keepers",
        Hold::Screws => "Screws from below",
    }
}

/// Cautions at the machine, worst first. Common practice, no source.
fn cautions(request: &Request, design: &Design, stands: bool) -> Vec<&'static str> {
    let layer = request.machine.takes_whole_face();
    let mut cautions = vec!["Hands clear of rollers and cutter while power is on."];
    if layer {
        cautions.push("Stand beside the feed: a piece that tips is thrown straight back.");
    } else if design.keep_out.is_some() {
        cautions.push(if design.screws.is_some() {
            "No metal in the hatched area of the plan but the screws of the table, no longer than it says."
        } else {
            "No metal in the hatched area of the plan."
        });
    }
    if design.screws.is_some() {
        cautions.push(
            "Screws under the blank: never cut deeper than this card, never run another job without taking them out.",
        );
    }
    if request.carve.through == Through::AllRound {
        cautions.push("Cut the part free last of all, the last pass no deeper than the others.");
    }
    if request.carve.through != Through::No {
        cautions.push("The cut goes through into the carrier: a part cut free is loose at the end. Touch nothing until the cutter stands.");
    }
    cautions.push("Look for the LEAD and FENCE marks each time you feed.");
    cautions.push("Stay with the machine; stop it when it sounds different. Eye and ear protection.");
    if layer {
        cautions.push("Draw off the dust.");
    }
    if stands {
        cautions.push("Carry a long carrier flat, two people where it is heavy.");
    }
    cautions.push("The machine's own manual and local rules come first.");
    cautions
}
