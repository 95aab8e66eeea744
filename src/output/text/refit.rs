//! `refit`: the re-issued set-up card, and what is out.

use super::explain::check_row;
use super::layout::{pairs, paragraph, table};
use super::{height, relation, unconfirmed};
use crate::design::{Check, Design, Status};
use crate::length::Length;
use crate::request::Request;
use crate::setup::refit::{Action, Finding, Refit};
use crate::setup::{Landing, LandingAxis, fine_ruler, fits_all_round, hold_test, lies, lies_in_round, stands_words};

/// What `refit` prints.
pub fn refit(request: &Request, refit: &Refit) -> String {
    let name = if request.name.is_empty() { String::new() } else { format!("{}: ", request.name) };
    let verdict = if refit.runs() {
        "SET-UP CARD FOR THE CARRIER AS BUILT. It can be run with these settings."
    } else {
        "DO NOT RUN THIS CARRIER. As built it misses limits of the machine or of its own strength."
    };
    let mut text = paragraph(&format!("{name}{verdict}"));
    if let Some(figures) = unconfirmed(&request.machine) {
        text.push_str(&paragraph(&format!("MACHINE FIGURES NOT CONFIRMED: {figures}.")));
    }
    text.push_str(&findings(request, refit, "Out, and must be put right", Status::Fail));
    text.push_str(&findings(request, refit, "Worth knowing", Status::Warn));
    text.push_str("\nSizes\n");
    text.push_str(&sizes(request, refit));
    if refit.runs() {
        text.push_str("\nSet and check\n");
        text.push_str(&pairs(&card(request, refit)));
    }
    text.push_str("\nLimits, on the sizes as built, no guard kept\n");
    let rows: Vec<Vec<String>> = refit
        .checks
        .iter()
        .map(|check| {
            let mut row = vec![check.rule.id().to_owned()];
            row.extend(check_row(request, check));
            row
        })
        .collect();
    text.push_str(&table(&["rule", "looked at", "required", "found", "to spare", ""], &rows));
    text.push('\n');
    text.push_str(&paragraph(if refit.runs() {
        "The drawing is not issued again: write the new sizes on it, and put this card in place of the old one."
    } else {
        "No settings are given. Put right what is out, measure again and run refit again."
    }));
    text
}

fn findings(request: &Request, refit: &Refit, heading: &str, status: Status) -> String {
    let rows: Vec<Vec<String>> = refit
        .findings
        .iter()
        .filter(|finding| finding.check.status == status)
        .map(|finding: &Finding| {
            vec![
                format!("{}, {}", finding.check.rule.id(), finding.check.subject),
                numbers(request, &finding.check),
                finding.action.word().to_owned(),
                finding.text.clone(),
            ]
        })
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    format!("\n{heading}\n{}", table(&["limit", "found", "do", "how"], &rows))
}

/// `3-31/32 in, wanted 4 in`.
fn numbers(request: &Request, check: &Check) -> String {
    let show = |quantity| super::quantity(request, quantity);
    format!("{}; {} {}", show(check.actual), relation(check.relation), show(check.required))
}

fn sizes(request: &Request, refit: &Refit) -> String {
    let rows: Vec<Vec<String>> = refit
        .sizes
        .iter()
        .map(|size| {
            let (built, off) = match size.built {
                Some(built) if built == size.drawn => (height(request, built), "as drawn".to_owned()),
                Some(built) => (height(request, built), signed(request, built - size.drawn)),
                None => ("not measured".to_owned(), "taken as drawn".to_owned()),
            };
            vec![size.name.to_owned(), height(request, size.drawn), built, off]
        })
        .collect();
    table(&["size", "drawn", "built", "off by"], &rows)
}

/// A figure with its sign: an offset without one is read the wrong way.
fn signed(request: &Request, length: Length) -> String {
    let text = height(request, length);
    if length > Length::ZERO { format!("+{text}") } else { text }
}

fn card(request: &Request, refit: &Refit) -> Vec<(String, String)> {
    let (card, design) = (&refit.card, &refit.design);
    let mut rows: Vec<(String, String)> = Vec::new();
    let mut line = |name: &str, value: String| rows.push((name.to_owned(), value));
    let layer = request.machine.takes_whole_face();
    if layer {
        line("feed", format!("LEAD end first, TOP up, FENCE edge on the same side every pass; {}", lies(design)));
    } else {
        line(
            "machine should read",
            format!(
                "{} ± {} long, {} ± {} wide. Else STOP: clean the strip, feed again, measure by tape",
                height(request, card.length.size),
                height(request, card.length.tolerance),
                height(request, card.width.size),
                height(request, card.width.tolerance)
            ),
        );
        line("feed", format!("LEAD end first, FENCE edge to fence, TOP up; {}", lies(design)));
        artwork(&mut line, request, refit);
    }
    line("deepest cut", deepest(request, refit));
    if let Some(below) = refit.metal_below {
        line("metal", format!("none higher than {} above the bed face in the hatched area", height(request, below)));
    }
    line("hold", format!("{}: {}", card.hold.id(), hold_test(card.hold, fits_all_round(design))));
    if !layer {
        line("far guide", format!("{} from the fence, at the widest place", height(request, card.far_guide)));
    }
    if card.stands {
        line("stands", stands_words(request, card));
    }
    let landing = card.landing;
    if !layer {
        let lying =
            if lies_in_round(design) { "the blank in the middle of its round" } else { "the blank pushed home" };
        line(
            "carving lands",
            format!(
                "within ± {} along and ± {} across, with {lying}",
                height(request, landing.along.as_built()),
                height(request, landing.across.as_built())
            ),
        );
    }
    if design.clip_corner {
        line("clipped corner", "lead/far: it shows which way the carrier goes".to_owned());
    }
    rows
}

/// Where the carving goes.
fn artwork(line: &mut impl FnMut(&str, String), request: &Request, refit: &Refit) {
    let (card, design) = (&refit.card, &refit.design);
    let (name, from) = if lies_in_round(design) {
        ("artwork by centre", design.blank.outline.bounds().centre())
    } else {
        ("artwork by corner", card.corner)
    };
    line(
        name,
        format!("{} from the lead end, {} from the fence edge", height(request, from.x), height(request, from.y)),
    );
    line(
        "or from the middle",
        format!(
            "{} along, {} across, blank centre from carrier centre (plus: to trail, to far)",
            signed(request, card.centre.x),
            signed(request, card.centre.y)
        ),
    );
    line(
        "carve area",
        format!(
            "{} to {} along, {} to {} across",
            height(request, card.carve.x0),
            height(request, card.carve.x1),
            height(request, card.carve.y0),
            height(request, card.carve.y1)
        ),
    );
}

/// The depth as the blank lies now, and once a shim has brought it flush.
fn deepest(request: &Request, refit: &Refit) -> String {
    let (card, blank) = (&refit.card, &refit.design.blank);
    let Some(deepest) = card.deepest else {
        return "DO NOT SET DEPTH YET: caliper the blank's thickness at three corners first".to_owned();
    };
    let reach = format!("the machine reaches {}", height(request, card.deepest_allowed));
    let shim = refit.findings.iter().find(|finding| finding.action == Action::Shim);
    match shim.filter(|_| blank.thickness_known) {
        Some(shim) => format!(
            "{} below the top plane as the blank lies now, {} with the shim under it; {reach}",
            height(request, deepest),
            height(request, deepest - shim.amount)
        ),
        None => format!("{} below the top plane; {reach}", height(request, deepest)),
    }
}

/// What `explain JOB landing` prints: how far the carving may land from where it is drawn.
pub fn landing(request: &Request, design: &Design) -> String {
    let landing = Landing::of(request, design);
    let n = |length: Length| height(request, length);
    let mut text = String::from("landing: how far the carving may land from where it is drawn, at worst\n");
    let axis = |name: &str, wall: &str, axis: LandingAxis| {
        let datum = if axis.wall > Length::ZERO {
            format!("{wall} {} (saw, both edges) + ", n(axis.wall))
        } else {
            String::new()
        };
        let reading = if axis.reading > Length::ZERO {
            format!("reading {} + origin {}", n(axis.reading), n(axis.origin))
        } else {
            format!("origin {}", n(axis.origin))
        };
        vec![
            vec![
                name.to_owned(),
                "blank pushed home".to_owned(),
                n(axis.pushed_home()),
                format!("{datum}origin {}", n(axis.origin)),
            ],
            vec![
                name.to_owned(),
                "not pushed home".to_owned(),
                n(axis.not_pushed_home()),
                format!("the same + play {}", n(axis.play)),
            ],
            vec![name.to_owned(), "set from as-built sizes".to_owned(), n(axis.as_built()), reading],
        ]
    };
    let mut rows = axis("along", "lead end", landing.along);
    rows.extend(axis("across", "fence rail", landing.across));
    text.push_str(&table(&["", "case", "off by ±", "made of"], &rows));
    if let Some(stack) = landing.width {
        let blank = if stack.with_blank { " and the blank" } else { "" };
        text.push_str(&format!("\nwidth of the carrier, {} sawn parts{blank} side by side\n", stack.parts));
        text.push_str(&pairs(&[
            (format!("± {}", n(stack.worst)), "at worst: all off the same way".to_owned()),
            (format!("± {}", likely(request, stack.root_sum_square)), "likely: root of the sum of squares".to_owned()),
            (format!("± {}", n(stack.after_last_rip)), "after the last rip off the far edge".to_owned()),
        ]));
    }
    text
}

/// A figure on no ruler's mark, to 0.001 in or 0.01 mm.
fn likely(request: &Request, length: Length) -> String {
    fine_ruler(request.units).with_unit(length)
}
