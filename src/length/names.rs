//! Trade names that look like sizes but are not: what they usually measure.
//!
//! Softwood sizes are those of the American Softwood Lumber Standard, PS 20 (from memory); plywood
//! by its performance category (PS 1 and PS 2 label thicknesses rounded to 1/32 in, from memory);
//! hardwood quarters are common practice, no source.

/// Usual thickness of plywood sold under this name in inches.
pub(super) fn plywood(numerator: i128, denominator: i128) -> Option<&'static str> {
    [((1, 4), "7/32"), ((3, 8), "11/32"), ((1, 2), "15/32"), ((5, 8), "19/32"), ((3, 4), "23/32"), ((7, 8), "27/32")]
        .into_iter()
        .find(|((top, bottom), _)| top * denominator == bottom * numerator)
        .map(|(_, actual)| actual)
}

/// Usual surfaced thickness of hardwood sold by the quarter inch.
pub(super) fn quarters(quarters: i128) -> Option<&'static str> {
    Some(match quarters {
        4 => "13/16",
        5 => "1",
        6 => "1-1/4",
        8 => "1-3/4",
        10 => "2-1/4",
        12 => "2-3/4",
        16 => "3-3/4",
        _ => return None,
    })
}

/// Usual dry size of softwood lumber named `thickness x width`.
pub(super) fn lumber(thickness: i128, width: i128) -> Option<(&'static str, &'static str)> {
    let thick = match thickness {
        1 => "3/4",
        2 => "1-1/2",
        4 => "3-1/2",
        _ => return None,
    };
    let wide = match width {
        2 => "1-1/2",
        3 => "2-1/2",
        4 => "3-1/2",
        6 => "5-1/2",
        8 => "7-1/4",
        10 => "9-1/4",
        12 => "11-1/4",
        _ => return None,
    };
    Some((thick, wide))
}
