//! From a design to finished sheets: overview, bench sheets, cut list, build sequence, machine card, reasons.
//!
//! All sheets share the frame and title block of `frame`; text flows over as many sheets as it needs.

mod bench;
mod boards;
mod card;
mod flow;
mod frame;
mod lists;
mod overlap;
mod overview;
mod pack;
mod parts;
mod pockets;
mod reasons;
mod stages;
mod template;

pub use boards::{SawPlan, money, saw_plan, to_buy, verdict};
pub use overlap::overlaps;
pub use template::template;

use crate::design::Design;
use crate::drawing::{Page, Picture};
use crate::request::Request;
use flow::Flow;
use frame::{Draft, Lie, content};

/// The sheets of a design, in the order they are used. At least one.
pub fn sheets(request: &Request, design: &Design) -> Vec<Page> {
    let mut drafts = bench::drafts(request, design);
    if let Some(gang) = &design.gang {
        drafts.extend(text_sheets("Pocket table", pockets::pockets(request, design, gang)));
    }
    if design.construction != "none" {
        if design.blank.thickness_known {
            let mut flow = Flow::new(content(request.shop.paper, Lie::Landscape));
            parts::parts(&mut flow, request, design);
            let parts = text_sheets("Parts", flow.finish());
            drafts.extend(parts.map(|draft| Draft { lie: Lie::Landscape, ..draft }));
            drafts.extend(text_sheets("Cut and build", lists::cut_and_build(request, design)));
        }
        drafts.extend(text_sheets("Machine card", card::card(request, design)));
    }
    if !(design.checks.is_empty() && design.assumptions.is_empty() && design.trace.reasons.is_empty()) {
        drafts.extend(text_sheets("Reasons", reasons::reasons(request, design)));
    }
    if design.construction != "none" {
        let titles: Vec<&str> = drafts.iter().map(|draft| draft.title.as_str()).collect();
        let overview = overview::drafts(request, design, &titles);
        drafts.splice(0..0, overview);
    }
    let total = drafts.len();
    drafts.into_iter().enumerate().map(|(place, draft)| frame::page(request, design, draft, place + 1, total)).collect()
}

fn text_sheets(title: &str, pages: Vec<Picture>) -> impl Iterator<Item = Draft> {
    pages.into_iter().enumerate().map(move |(place, picture)| Draft {
        title: if place == 0 { title.to_owned() } else { format!("{title} ({})", place + 1) },
        lie: Lie::Portrait,
        scale: "none".to_owned(),
        picture,
    })
}
