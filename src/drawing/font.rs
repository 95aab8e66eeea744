//! Metrics of the embedded font, so that layout knows the size of every text it places.
//!
//! Heights are heights of capitals (the nominal height of ISO 3098); the size of the type is larger.

use ttf_parser::Face;

use super::Weight;
use crate::library::lettering;
pub use crate::library::lettering::{BOLD, REGULAR};

/// Height of a capital over the size of the type: 1493 of 2048 units, from the outline of `H`.
pub const CAPITAL: f64 = 1493.0 / 2048.0;
/// How far letters such as `g` reach below the base line, over the size of the type.
pub const DESCENT: f64 = 0.24;
/// How far brackets and accents reach above the base line, over the size of the type.
pub const ASCENT: f64 = 0.77;

/// Stands for a character the font has no glyph for.
const REPLACEMENT: char = '?';

fn face(weight: Weight) -> Option<&'static Face<'static>> {
    let [regular, bold] = lettering::faces();
    match weight {
        Weight::Regular => regular.as_ref(),
        Weight::Bold => bold.as_ref(),
    }
}

/// The text as it can be printed: line ends and tabs become spaces, and every other character the
/// font lacks becomes `?`, so that a loss is seen.
pub fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => ' ',
            c if face(Weight::Regular).is_some_and(|face| face.glyph_index(c).is_some()) => c,
            _ => REPLACEMENT,
        })
        .collect()
}

/// Width in mm of a text whose capitals are `height` mm high.
pub fn width(text: &str, height: f64, weight: Weight) -> f64 {
    let size = size(height);
    let Some(face) = face(weight) else { return text.chars().count() as f64 * 0.7 * size };
    let units: u32 = text
        .chars()
        .filter_map(|c| face.glyph_index(c).or_else(|| face.glyph_index(REPLACEMENT)))
        .map(|glyph| u32::from(face.glyph_hor_advance(glyph).unwrap_or(0)))
        .sum();
    f64::from(units) / f64::from(face.units_per_em()) * size
}

/// Width of a glyph over the size of the type, by its number in the face.
pub fn advance(glyph: u16, weight: Weight) -> Option<f64> {
    let face = face(weight)?;
    let units = face.glyph_hor_advance(ttf_parser::GlyphId(glyph))?;
    Some(f64::from(units) / f64::from(face.units_per_em()))
}

/// Size of the type in mm for capitals `height` mm high.
pub fn size(height: f64) -> f64 {
    height / CAPITAL
}

/// Breaks a text into lines no wider than `room` mm, at spaces where it can and inside a word where
/// it must. Never empty.
pub fn wrap(text: &str, height: f64, weight: Weight, room: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut filled = 0.0;
    let space = width(" ", height, weight);
    for word in printable(text).split(' ').filter(|word| !word.is_empty()) {
        let wide = width(word, height, weight);
        if !line.is_empty() && filled + space + wide <= room {
            line.push(' ');
            line.push_str(word);
            filled += space + wide;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        filled = 0.0;
        if wide <= room {
            line.push_str(word);
            filled = wide;
            continue;
        }
        for c in word.chars() {
            let advance = width(c.encode_utf8(&mut [0; 4]), height, weight);
            if !line.is_empty() && filled + advance > room {
                let rest = line.split_off(hyphen(&line).unwrap_or(line.len()));
                filled = width(&rest, height, weight);
                lines.push(std::mem::replace(&mut line, rest));
            }
            line.push(c);
            filled += advance;
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(line);
    }
    lines
}

/// Where a long word may best be broken: after its last hyphen between letters, never inside a figure
/// such as `17-1/16`.
fn hyphen(word: &str) -> Option<usize> {
    let after = word.rfind('-')? + 1;
    let before = word.get(..after - 1)?.chars().next_back()?;
    (before.is_alphabetic() && after < word.len()).then_some(after)
}

/// The text cut off with `…` where it is wider than `room` mm.
pub fn shorten(text: &str, height: f64, weight: Weight, room: f64) -> String {
    let text = printable(text);
    if width(&text, height, weight) <= room {
        return text;
    }
    let room = room - width("…", height, weight);
    let mut filled = 0.0;
    let kept: String = text
        .chars()
        .take_while(|c| {
            filled += width(c.encode_utf8(&mut [0; 4]), height, weight);
            filled <= room
        })
        .collect();
    kept + "…"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_weights_parse_and_capitals_are_as_high_as_said() {
        for weight in [Weight::Regular, Weight::Bold] {
            let face = face(weight).unwrap();
            let glyph = face.glyph_index('H').unwrap();
            let outline = face.glyph_bounding_box(glyph).unwrap();
            assert_eq!(f64::from(outline.y_max) / f64::from(face.units_per_em()), CAPITAL);
        }
    }

    #[test]
    fn every_character_the_sheets_need_has_a_glyph_in_both_weights() {
        // Latin-1, Latin Extended-A, Greek, Cyrillic; fractions and marks of shop drawings.
        let latin = ('\u{a1}'..='\u{17f}').filter(|c| *c != '\u{ad}');
        let greek = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρστυφχψως".chars();
        let cyrillic = 'А'..='я';
        let marks = "½¼¾⅛⅜⅝⅞Ø×°±⌀→′″≥≤☐–—…".chars();
        for c in (' '..='~').chain(latin).chain(greek).chain(cyrillic).chain(marks) {
            for weight in [Weight::Regular, Weight::Bold] {
                assert!(face(weight).unwrap().glyph_index(c).is_some(), "{c:?} {weight:?}");
            }
        }
    }

    #[test]
    fn missing_characters_are_replaced_visibly() {
        assert_eq!(printable("a漢b\tc"), "a?b c");
    }

    #[test]
    fn wrapped_lines_keep_every_word_and_fit() {
        let text = "Glue the rails to the base, then check the diagonals: incomprehensibilities abound";
        for room in [20.0, 45.0, 100.0] {
            let lines = wrap(text, 3.5, Weight::Regular, room);
            assert!(lines.iter().all(|line| width(line, 3.5, Weight::Regular) <= room + 1e-9), "{lines:?}");
            assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
        }
    }
}
