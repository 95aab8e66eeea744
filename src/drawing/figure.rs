//! Fractions in figures, set one over the other: the numerator above a level bar, the denominator below.
//!
//! The text keeps its characters (`16-7/16`), so that it can be searched for and read aloud; the hyphen
//! and the slash are written but not shown.

use super::{Text, font};

/// Height of the digits of a fraction over that of the whole number: the next smaller nominal height.
const DIGITS: f64 = 0.7;
/// Clear room between the bar and the digits, over the height of the whole number.
const CLEAR: f64 = 0.14;
/// How far the bar reaches over the wider number, and how far it keeps from what stands beside it.
const OVER: f64 = 0.12;

/// A piece of a text that is set by itself. Places are along and above the start of the base line, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// Along the base line.
    pub x: f64,
    /// Above the base line.
    pub y: f64,
    /// Height of its capitals.
    pub height: f64,
    /// What it says.
    pub text: String,
    /// Whether it is shown; else it is only there to be searched for.
    pub shown: bool,
}

/// The bar of a fraction: from, to and how high, mm.
pub type Bar = (f64, f64, f64);

/// A text in pieces.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Set {
    /// The pieces, in the order of the text.
    pub runs: Vec<Run>,
    /// Bars of fractions.
    pub bars: Vec<Bar>,
    /// Length of the whole.
    pub width: f64,
}

/// How far fractions of a figure reach above and below the base line, over the height of its digits.
pub(super) const ABOVE: f64 = 0.5 + CLEAR + DIGITS + 0.04;
/// Below the base line.
pub(super) const BELOW: f64 = ABOVE - 1.0;

/// What is between fractions, and the fractions: `(whole text, None)` or `(numerator, Some(denominator))`.
fn pieces(text: &str) -> Vec<(&str, Option<&str>)> {
    let digits = |text: &str, back: bool| {
        let count = |digits: &mut dyn Iterator<Item = u8>| digits.take_while(u8::is_ascii_digit).count();
        if back { count(&mut text.bytes().rev()) } else { count(&mut text.bytes()) }
    };
    let mut found = Vec::new();
    let mut rest = text;
    let mut searched = 0;
    while let Some(slash) = rest.get(searched..).and_then(|tail| tail.find('/')).map(|at| at + searched) {
        let (before, after) = (rest.get(..slash).unwrap_or(""), rest.get(slash + 1..).unwrap_or(""));
        let (above, below) = (digits(before, true), digits(after, false));
        if above == 0 || below == 0 {
            searched = slash + 1;
            continue;
        }
        found.push((before.get(..slash - above).unwrap_or(""), None));
        found.push((before.get(slash - above..).unwrap_or(""), after.get(..below)));
        rest = after.get(below..).unwrap_or("");
        searched = 0;
    }
    found.push((rest, None));
    found.retain(|(text, _)| !text.is_empty());
    found
}

/// Whether a text has a fraction in it.
pub fn has_fraction(text: &str) -> bool {
    pieces(text).iter().any(|(_, below)| below.is_some())
}

/// Sets a text with its fractions stacked.
pub fn set(text: &Text) -> Set {
    let height = text.height;
    let wide = |words: &str, height: f64| font::width(words, height, text.weight);
    let mut set = Set::default();
    let pieces = pieces(&text.text);
    let run =
        |x: f64, y: f64, height: f64, words: &str, shown: bool| Run { x, y, height, text: words.to_owned(), shown };
    for (place, (words, below)) in pieces.iter().enumerate() {
        let Some(below) = below else {
            let fraction_next = pieces.get(place + 1).is_some_and(|(_, below)| below.is_some());
            // A hyphen between a whole number and its fraction is not shown.
            let joined = fraction_next
                && words.strip_suffix('-').is_some_and(|whole| whole.ends_with(|last: char| last.is_ascii_digit()));
            let shown = if joined { words.get(..words.len() - 1).unwrap_or("") } else { words };
            set.runs.push(run(set.width, 0.0, height, shown, true));
            set.width += wide(shown, height);
            if joined {
                set.runs.push(run(set.width, 0.0, height * DIGITS, "-", false));
            }
            continue;
        };
        let small = height * DIGITS;
        let (above_wide, below_wide) = (wide(words, small), wide(below, small));
        let bar = above_wide.max(below_wide) + 2.0 * OVER * height;
        let from = set.width + OVER * height;
        let middle = from + bar / 2.0;
        set.runs.push(run(middle - above_wide / 2.0, height * (0.5 + CLEAR), small, words, true));
        set.runs.push(run(middle, height * (0.5 + CLEAR), small, "/", false));
        set.runs.push(run(middle - below_wide / 2.0, height * (0.5 - CLEAR - DIGITS), small, below, true));
        set.bars.push((from, from + bar, height / 2.0));
        set.width = from + bar + OVER * height;
    }
    set
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::at;

    #[test]
    fn fractions_are_found_and_nothing_else() {
        assert_eq!(pieces("16-7/16"), [("16-", None), ("7", Some("16"))]);
        assert_eq!(pieces("Ø 3/4 (0.750)"), [("Ø ", None), ("3", Some("4")), (" (0.750)", None)]);
        assert_eq!(
            pieces("2 x 1/4 and/or 3/8"),
            [("2 x ", None), ("1", Some("4")), (" and/or ", None), ("3", Some("8"))]
        );
        assert_eq!(pieces("km/h 4/"), [("km/h 4/", None)]);
        assert!(has_fraction("1/32") && !has_fraction("12.5"));
    }

    #[test]
    fn what_is_written_is_the_text_and_stands_in_its_box() {
        let text = Text::new(at(0.0, 0.0), 5.0, "16-7/16").stacked();
        let set = set(&text);
        assert_eq!(set.runs.iter().map(|run| run.text.as_str()).collect::<String>(), "16-7/16");
        // Of the next smaller nominal height of ISO 3098, 3.5 mm under 5 mm, on both sides of the bar.
        let shown: Vec<(&str, f64)> =
            set.runs.iter().filter(|run| run.shown).map(|run| (run.text.as_str(), run.height)).collect();
        assert_eq!(shown, [("16", 5.0), ("7", 3.5), ("16", 3.5)]);
        let area = text.area();
        for run in set.runs.iter().filter(|run| run.shown) {
            assert!(run.y >= area.y0 && run.y + run.height <= area.y1, "{run:?} {area:?}");
            assert!(run.x >= 0.0 && run.x + font::width(&run.text, run.height, text.weight) <= area.x1 + 1e-9);
        }
        let [(from, to, y)] = set.bars[..] else { panic!("one bar") };
        let digits = set.runs.iter().filter(|run| run.shown && run.height < 4.0);
        assert!(digits.clone().count() == 2 && digits.clone().all(|run| run.y + run.height < y || run.y > y));
        assert!(0.0 < from && to <= area.x1);
    }
}
