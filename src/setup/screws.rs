//! Screws from below in figures for the bench.

use crate::design::Screws;
use crate::request::Request;

/// What is bored and what is driven, in words.
pub fn screw_words(request: &Request, screws: &Screws) -> String {
    let (ruler, depth) = (&request.shop.ruler, &request.shop.depth_ruler);
    format!(
        "{} wood screws {} x {}, flat heads. Through the carrier Ø {}, countersunk Ø {} at the bed face, {} deep: heads {} below it. Pilot holes Ø {}. They go {} into the blank; their tips stand {} above the bed face, {} or more below the deepest cut.",
        screws.places.len(),
        screws.size,
        ruler.with_unit(screws.length),
        depth.with_unit(screws.hole),
        depth.with_unit(screws.mouth),
        depth.with_unit(screws.countersink),
        depth.with_unit(screws.sunk),
        depth.with_unit(screws.pilot),
        depth.with_unit(screws.bite.down(request.depth_step())),
        depth.with_unit(screws.tip),
        depth.with_unit(request.screws.clear),
    )
}
