//! What the artwork would come to without a carrier.

use crate::length::Length;
use crate::library::MachineKind;
use crate::request::{Request, Shape};

/// The artwork run on the bare blank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shrunk {
    /// The machine does not take the bare blank at all.
    NotFed,
    /// It would have to be made smaller.
    Smaller {
        /// Where the cutter may work on the bare blank, along and across.
        room: (Length, Length),
        /// The artwork as wanted.
        wanted: (Length, Length),
        /// What is left of it, in the same proportions.
        left: (Length, Length),
        /// Its finest line as wanted, and what is left of that.
        finest: (Length, Length),
    },
}

/// What comes of the artwork where the blank is fed without a carrier, as it lies; `None` where it would go as
/// it is, or on a machine that takes the whole face.
///
/// At both ends the wood under the far roller stays uncut: cutter to roller, least grip, cutter radius and
/// overrun. Across, the cutter stays within its travel. The artwork keeps its proportions.
pub fn shrunk(request: &Request) -> Option<Shrunk> {
    let (machine, blank, carve) = (&request.machine, &request.blank, &request.carve);
    if machine.kind != MachineKind::Carver {
        return None;
    }
    let (length, width) = (&blank.length, &blank.width);
    let within = |low: Length, high: Length, least: Length, most: Length| low >= least && high <= most;
    let fed = matches!(blank.shape, Shape::Rectangle)
        && blank.warp.is_none()
        && blank.slope.is_none()
        && !blank.fragile
        && within(
            length.low(),
            length.high(),
            machine.length.min + machine.length_guard,
            machine.length.max - machine.length_guard,
        )
        && within(
            width.low(),
            width.high(),
            machine.width.min + machine.width_guard,
            machine.width.max - machine.width_guard,
        )
        && blank.thickness.as_ref().is_none_or(|thick| {
            within(thick.low(), thick.high(), machine.thickness.min, machine.thickness.max - machine.thickness_guard)
        });
    if !fed {
        return Some(Shrunk::NotFed);
    }
    let reach = carve.cutter.half_up() + carve.overrun;
    let end = machine.cutter_to_roller + machine.grip_least + reach;
    let across = (width.nominal.min(machine.window.max - reach) - (machine.window.min + reach).or_zero()).or_zero();
    let room = ((length.nominal - end * 2).or_zero(), across);
    let wanted = (carve.length, carve.width);
    let share = |room: Length, wanted: Length| if wanted > Length::ZERO { room / wanted } else { 1.0 };
    let scale = share(room.0, wanted.0).min(share(room.1, wanted.1));
    if scale >= 1.0 {
        return None;
    }
    if scale <= 0.0 {
        return Some(Shrunk::NotFed);
    }
    let scaled = |size: Length| Length::from_mm(size.to_mm() * scale).unwrap_or_default();
    let finest = carve.finest.unwrap_or(carve.cutter);
    Some(Shrunk::Smaller { room, wanted, left: (scaled(wanted.0), scaled(wanted.1)), finest: (finest, scaled(finest)) })
}

/// The same in words.
pub fn shrunk_words(request: &Request) -> Option<String> {
    let ruler = &request.shop.ruler;
    let fine = &request.shop.depth_ruler;
    Some(match shrunk(request)? {
        Shrunk::NotFed => {
            "Without a carrier nothing can be carved: the machine does not take the bare blank, or its rollers leave no room between them."
                .to_owned()
        }
        Shrunk::Smaller { wanted, left, finest, .. } => {
            let per_cent = 100.0 * left.0.to_mm() / wanted.0.to_mm().max(1e-9);
            let n = |length: Length| ruler.number(length.down(ruler.step));
            let (was, now) = (finest.0, finest.1.down(fine.step));
            let line = match request.carve.finest {
                Some(_) => "its finest line",
                None => "a line as wide as the cutter",
            };
            let lost = if finest.0 >= request.carve.cutter && finest.1 < request.carve.cutter { ", narrower than the cutter" } else { "" };
            format!(
                "Without a carrier the artwork shrinks to {per_cent:.0} %: {} x {} instead of {} x {}, and {line}, {}, to {}{lost}.",
                n(left.0),
                ruler.with_unit(left.1.down(ruler.step)),
                n(wanted.0),
                ruler.with_unit(wanted.1),
                fine.number(was),
                fine.with_unit(now)
            )
        }
    })
}
