//! From a design to finished sheets: overview, views with their notes, cut list, build sequence, machine card, reasons.
//!
//! All sheets share the form and title block of `form` and `frame`. Views are placed first (`bench`); text
//! then fills the room they leave and goes on over as many sheets as it needs (`book`, `flow`). Of all
//! ways to set the views the one with the fewest sheets is taken, of those the one at the largest scale.

mod bench;
mod boards;
mod book;
mod card;
mod flow;
mod form;
mod frame;
mod lists;
mod notes;
mod overlap;
mod overview;
mod pack;
mod parts;
mod pockets;
mod reasons;
mod stages;
mod template;

pub use boards::{SawPlan, amount, money, saw_plan, to_buy, verdict};
pub use overlap::overlaps;
pub use template::template;

use crate::design::Design;
use crate::drawing::Page;
use crate::request::Request;
use crate::views::{Stage, part_figures};
use book::{Book, Leaf, Least};

/// Least width of a column of steps and tables where there are several, mm.
const STEPS: f64 = 118.0;
/// Least width of a column of reasons, mm: about forty letters.
const REASONS: f64 = 60.0;
/// Least and greatest width of the machine card, mm.
const CARD: (f64, f64) = (118.0, 195.0);

/// The sheets of a design, in the order they are used. At least one.
pub fn sheets(request: &Request, design: &Design) -> Vec<Page> {
    // Each candidate is filled once without its drawings, to count the sheets it takes.
    let mut best: Option<(usize, Vec<Leaf>, bool)> = None;
    let front =
        if design.construction == "none" { Vec::new() } else { overview::leaves(request, design, &kinds(design)) };
    let stages = stages::pictures(request, design);
    for bench in bench::candidates(request, design) {
        let leaves: Vec<Leaf> = front.iter().cloned().chain(bench).collect();
        for early in [false, true] {
            let bare = leaves.iter().map(Leaf::without_picture).collect();
            let count = filled(request, design, &stages, bare, early).len();
            // The first of the thinnest: candidates come with the larger scale first.
            if best.as_ref().is_none_or(|(least, ..)| count < *least) {
                best = Some((count, leaves.clone(), early));
            }
        }
    }
    let Some((_, leaves, early)) = best else { return Vec::new() };
    let book = filled(request, design, &stages, leaves, early);
    let drafts = book.into_drafts();
    let total = drafts.len();
    drafts.into_iter().enumerate().map(|(place, draft)| frame::page(request, design, draft, place + 1, total)).collect()
}

/// The kinds of sheets after the overview.
fn kinds(design: &Design) -> Vec<&'static str> {
    let mut kinds = vec!["bench sheet"];
    if design.gang.is_some() {
        kinds.push("pocket table");
    }
    if design.blank.thickness_known {
        kinds.extend(["parts", "cut and build"]);
    }
    kinds.extend(["machine card", "reasons"]);
    kinds
}

/// Bench sheets with all text after them; the machine card where there is room for it once the steps are
/// set, or before them.
fn filled(request: &Request, design: &Design, stages: &[Stage], leaves: Vec<Leaf>, card_early: bool) -> Book {
    let mut book = Book::new(&request.sheet, leaves);
    let card = |book: &mut Book| {
        if design.construction != "none" {
            book.card("Machine card", CARD.1, CARD.0, |flow| card::card(flow, request, design));
        }
    };
    if card_early {
        card(&mut book);
    }
    if let Some(gang) = &design.gang {
        let least = Least { width: STEPS, height: 90.0 };
        book.text("Pocket table", STEPS, least, |flow| pockets::pockets(flow, request, design, gang));
    }
    if design.construction != "none" && design.blank.thickness_known {
        // A column is as wide as the widest figure.
        let figures = part_figures(request, design);
        let width = figures.iter().map(|figure| figure.area().width()).fold(STEPS, f64::max);
        book.text("Parts", width, Least { width, height: 90.0 }, |flow| parts::parts(flow, figures));
        let least = Least { width: STEPS, height: 90.0 };
        book.text("Cut and build", STEPS, least, |flow| lists::cut_and_build(flow, request, design, stages));
    }
    if !card_early {
        card(&mut book);
    }
    if !(design.checks.is_empty() && design.assumptions.is_empty() && design.trace.reasons.is_empty()) {
        let least = Least { width: REASONS, height: 40.0 };
        book.aside("Reasons", REASONS, least, |flow| reasons::reasons(flow, request, design));
    }
    book
}
