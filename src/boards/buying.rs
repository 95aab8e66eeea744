//! Sizes boards are sold in.

use super::pile::PileBoard;
use crate::length::{Length, Unit};
use crate::library::MaterialKind;

/// A board sawn to size by the mill is straight on all sides; sheets are cut clean.
const MILLED: Length = Length::ZERO;

/// Widths of dressed dry softwood boards, nominal 1x4 to 1x12 (American Softwood Lumber Standard PS 20).
const WIDTHS: [Length; 5] =
    [Length::inches(7, 2), Length::inches(11, 2), Length::inches(29, 4), Length::inches(37, 4), Length::inches(45, 4)];
/// Thicknesses of the same: 1x, 5/4, 2x and 3x.
const THICKNESSES: [Length; 4] =
    [Length::inches(3, 4), Length::inches(1, 1), Length::inches(3, 2), Length::inches(5, 2)];
/// Lengths, feet.
const FEET: [i64; 3] = [6, 8, 10];

/// Dressed boards in millimetres; common practice, no source.
const WIDTHS_MM: [i64; 4] = [95, 120, 145, 195];
const THICKNESSES_MM: [i64; 4] = [20, 28, 45, 70];
const LENGTHS_MM: [i64; 2] = [2400, 3000];

/// What is asked of a board to buy.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Material as printed, without its thickness.
    pub material: String,
    /// What it is.
    pub kind: MaterialKind,
    /// Thickness: of a sheet the very one, of a board to be planed the least.
    pub thickness: Length,
    /// Density, kg/m3.
    pub density: f64,
}

/// The standard sizes a need can be bought in.
pub fn sizes(need: &Need, units: Unit) -> Vec<PileBoard> {
    let mm = |number: i64| Length::micrometres(number * 1000);
    let row = |thickness: Length, length: Length, width: Length, trim: Length| PileBoard {
        mark: None,
        material: need.material.clone(),
        nominal: None,
        kind: need.kind,
        thickness,
        length,
        width,
        count: usize::MAX,
        trim,
        bad: Vec::new(),
        price: None,
        to_buy: true,
        density: need.density,
    };
    if need.kind.is_sheet() {
        // 4 x 8 ft, and the quarter of it that is sold cut; 2440 x 1220 mm and its quarter.
        let (length, width) = match units {
            Unit::Inch => (Length::inches(96, 1), Length::inches(48, 1)),
            Unit::Millimetre => (mm(2440), mm(1220)),
        };
        let quarter = row(need.thickness, length.half(), width.half(), MILLED);
        return vec![quarter, row(need.thickness, length, width, MILLED)];
    }
    let (thicknesses, widths, lengths): (Vec<Length>, Vec<Length>, Vec<Length>) = match units {
        Unit::Inch => {
            (THICKNESSES.to_vec(), WIDTHS.to_vec(), FEET.iter().map(|feet| Length::inches(12 * feet, 1)).collect())
        }
        Unit::Millimetre => (THICKNESSES_MM.map(mm).to_vec(), WIDTHS_MM.map(mm).to_vec(), LENGTHS_MM.map(mm).to_vec()),
    };
    let Some(thickness) = thicknesses.into_iter().find(|thickness| *thickness >= need.thickness) else {
        return Vec::new();
    };

    widths.iter().flat_map(|width| lengths.iter().map(|length| row(thickness, *length, *width, MILLED))).collect()
}
