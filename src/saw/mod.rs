//! Cut list in an order that keeps hands away from blades.
//!
//! Every part comes out of a *parent* piece long enough to be held: parents are planed and ripped
//! while long, then crosscut, and a short part is always the piece that falls away. Assembled
//! carriers are built over-size and trimmed last.

mod cradle;
mod parts;
mod writer;

use crate::design::{CutList, Extent, Parent, Part, Role};
use crate::geometry::Outline;
use crate::length::Length;
use crate::request::Request;
use crate::trace::Conflict;
use writer::Writer;

/// How the finished parts become a carrier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Assembly {
    /// One board.
    Single,
    /// Glued up over-size and trimmed on all sides.
    Trimmed,
    /// Glued up; the far edge is the blank's own, so only the ends are trimmed.
    TrimmedEnds,
    /// Glued up; neither edges nor ends are trimmed (the blank's own).
    Untrimmed,
}

/// What is left over on purpose, on the shop's own ruler. Common practice, no source.
#[derive(Debug, Clone, Copy)]
struct Spare {
    /// A piece shorter than this is never ripped; also in machine manuals.
    shortest_rip: Length,
    /// Length of the piece that stays under the hands in a crosscut.
    hand_hold: Length,
    /// Waste at each end of a planed parent.
    snipe: Length,
    /// Over-length of what is trimmed last, at each end.
    end: Length,
    /// Over-width taken off by the last rip: never less than a kerf.
    width: Length,
    /// To joint or straighten an edge.
    edge: Length,
    /// What the planer takes off a board at least.
    planing: Length,
    /// Narrower strips need a pushing block.
    narrow: Length,
    /// What jointing takes off the two sawn edges of a split nest.
    jointing: Length,
    /// Strips that short webs are cut from are pulled no longer than this, and boards for strips no wider.
    longest_strip: Length,
    widest_parent: Length,
}

impl Spare {
    fn of(request: &Request) -> Spare {
        let mark = |inches: Length| inches.up(request.step());
        Spare {
            shortest_rip: mark(Length::inches(12, 1)),
            hand_hold: mark(Length::inches(6, 1)),
            snipe: mark(Length::inches(3, 1)),
            end: mark(Length::inches(1, 2)),
            width: mark(Length::inches(1, 8).max(request.shop.kerf)),
            edge: mark(Length::inches(1, 4)),
            planing: mark(Length::inches(1, 16)),
            narrow: Length::inches(3, 4),
            // Half of it comes off each half, and both are still set on the ruler.
            jointing: mark(Length::inches(1, 32)) * 2,
            longest_strip: Length::inches(48, 1),
            widest_parent: Length::inches(6, 1),
        }
    }
}

/// How much longer than finished each end of a part is left that is trimmed with the carrier.
pub fn end_over(request: &Request, assembly: Assembly) -> Length {
    match assembly {
        Assembly::Trimmed | Assembly::TrimmedEnds => Spare::of(request).end,
        Assembly::Single | Assembly::Untrimmed => Length::ZERO,
    }
}

/// Size of the piece pulled for a panel (a base or a board) of finished size `length` x `width`.
pub fn panel_parent(request: &Request, length: Length, width: Length) -> (Length, Length) {
    let (kerf, spare) = (request.shop.kerf, Spare::of(request));
    let (long, short) = (length.max(width), length.min(width));
    let pulled = if long >= spare.shortest_rip {
        long + spare.end * 2
    } else {
        (long + kerf + spare.hand_hold).max(spare.shortest_rip)
    };
    (pulled.up(request.step()), (short + spare.width + spare.edge).up(request.step()))
}

/// The cut list of a carrier made of `parts`.
///
/// # Errors
/// The rule that forbids it: an operation the shop has no tool for, or that no piece is safe for.
pub fn cut_list(request: &Request, carrier: Extent, parts: &[Part], assembly: Assembly) -> Result<CutList, Conflict> {
    let mut writer = Writer::new(request);
    let is_panel = |part: &Part| matches!(part.role, Role::Board | Role::Base | Role::Ring);
    for part in parts.iter().filter(|part| is_panel(part)) {
        writer.panel(part, assembly == Assembly::Trimmed);
    }
    for part in parts.iter().filter(|part| part.role == Role::NestHalf) {
        writer.nest_halves(part);
    }
    for part in parts.iter().filter(|part| part.role == Role::Ring) {
        writer.ring(part);
    }
    let sloped = |part: &Part| part.places.iter().any(|place| matches!(place.outline, Outline::Polygon(_)));
    let frame = |part: &&Part| {
        matches!(part.role, Role::FenceRail | Role::FarRail | Role::LeadEnd | Role::TrailEnd) && !sloped(part)
    };
    let shortest = Spare::of(request).shortest_rip;
    let (long, short): (Vec<&Part>, Vec<&Part>) =
        parts.iter().filter(frame).partition(|part| part.size.length >= shortest);
    for group in grouped(&long, |a, b| {
        a.material == b.material && a.size.thickness == b.size.thickness && a.size.length == b.size.length
    }) {
        writer.strips(&group, assembly);
    }
    for group in grouped(&short, |a, b| {
        a.material == b.material && a.size.thickness == b.size.thickness && a.size.width == b.size.width
    }) {
        writer.short_pieces(&group, assembly);
    }
    for part in parts.iter().filter(|part| part.role == Role::CradleStrip) {
        writer.cradle_strips(part);
    }
    for part in parts.iter().filter(|part| part.role == Role::CradleRiser) {
        writer.short_pieces(&[part], Assembly::Untrimmed);
    }
    for part in parts.iter().filter(|part| part.role == Role::Web) {
        writer.webs(part);
    }
    let cleats: Vec<&Part> =
        parts.iter().filter(|part| matches!(part.role, Role::Cleat | Role::BackingCleat)).collect();
    if !cleats.is_empty() {
        // All of one strip, and not trimmed with the carrier.
        writer.short_pieces(&cleats, Assembly::Untrimmed);
    }
    let wedge = |part: &Part| matches!(part.role, Role::FarWedge | Role::TrailWedge | Role::CleatWedge);
    let tapered =
        |part: &&Part| sloped(part) && part.role != Role::CornerBlock && !wedge(part) && !part.role.stands_at_angle();
    for part in parts.iter().filter(tapered) {
        writer.tapered(part, assembly);
    }
    for part in parts.iter().filter(|part| wedge(part)) {
        writer.wedges(part);
    }
    for part in parts.iter().filter(|part| part.role == Role::CornerBlock) {
        writer.corner_blocks(part);
    }
    for part in parts.iter().filter(|part| matches!(part.role, Role::Packing | Role::Shim)) {
        // Cut with a knife out of card or veneer: there is nothing to saw.
        writer.list.parents.push(Parent {
            id: format!("P{}", writer.list.parents.len() + 1),
            material: part.material.clone(),
            size: part.size,
            count: part.places.len().max(1),
            yields: vec![(part.id.clone(), part.places.len())],
        });
    }
    for part in parts.iter().filter(|part| part.role == Role::Keeper) {
        // Sliced off a rod by hand, the rod held by what is left of it.
        let (kerf, count) = (request.shop.kerf, part.places.len());
        let each = (part.size.thickness + kerf) * i64::try_from(count).unwrap_or(2);
        writer.list.parents.push(Parent {
            id: format!("P{}", writer.list.parents.len() + 1),
            material: part.material.clone(),
            size: Extent {
                length: (each + Spare::of(request).hand_hold).up(request.step()),
                width: part.size.width,
                thickness: part.size.width,
            },
            count: 1,
            yields: vec![(part.id.clone(), count)],
        });
    }
    for part in parts.iter().filter(|part| part.role == Role::WedgeShim) {
        writer.wedge_shims(part);
    }
    for part in parts {
        writer.pockets(part);
    }
    writer.finish(carrier, parts, assembly);
    writer.done()
}

/// Groups parts that can come out of one parent, in the order they stand.
fn grouped<'p>(parts: &[&'p Part], alike: impl Fn(&Part, &Part) -> bool) -> Vec<Vec<&'p Part>> {
    let mut groups: Vec<Vec<&Part>> = Vec::new();
    for part in parts {
        match groups.iter_mut().find(|group| group.first().is_some_and(|first| alike(first, part))) {
            Some(group) => group.push(part),
            None => groups.push(vec![part]),
        }
    }
    groups
}

fn label(part: &Part) -> String {
    format!("{} ({})", part.id, part.name)
}
