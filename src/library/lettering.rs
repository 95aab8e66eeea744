//! The font of the sheets, and which characters it has.

use std::sync::LazyLock;

use ttf_parser::Face;

use crate::diagnostic::quoted;

/// Regular weight: a subset of DejaVu Sans (see `shared/fonts/README`).
pub const REGULAR: &[u8] = include_bytes!("../../shared/fonts/DejaVuSans-subset.ttf");
/// Bold weight: a subset of DejaVu Sans Bold.
pub const BOLD: &[u8] = include_bytes!("../../shared/fonts/DejaVuSans-Bold-subset.ttf");

static FACES: LazyLock<[Option<Face<'static>>; 2]> =
    LazyLock::new(|| [Face::parse(REGULAR, 0).ok(), Face::parse(BOLD, 0).ok()]);

/// The regular face and the bold one, in this order, where they can be read.
pub fn faces() -> &'static [Option<Face<'static>>; 2] {
    &FACES
}

/// Whether the sheets can print a character, in both weights.
pub fn has(character: char) -> bool {
    FACES.iter().flatten().all(|face| face.glyph_index(character).is_some())
}

/// What a text that cannot be printed may hold instead.
pub const HELP: &str = "it has Latin, Greek and Cyrillic letters, figures and common marks; an accented letter is one \
                        character, not a letter and an accent";

/// Says that `what` holds a character that cannot be printed.
pub fn lacks(what: &str, lacking: char) -> String {
    let shown = quoted(lacking.encode_utf8(&mut [0; 4]));
    format!("{what} holds a character that the font of the sheets lacks: {shown}")
}

/// The first character of a text that the sheets cannot print.
pub fn missing(text: &str) -> Option<char> {
    text.chars().find(|character| !has(*character))
}
