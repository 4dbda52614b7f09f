//! The embedded fonts: which one has a character, how wide it is, and what is printed for a character
//! that none has.
//!
//! Text is set glyph by glyph, without shaping, so scripts that need it are not in the fonts.

use holebook_core::display_name::is_invisible;
use krilla::text::Font;
use skrifa::instance::{LocationRef, Size};
use skrifa::raw::FontRef;
use skrifa::{GlyphId, MetadataProvider};
use std::sync::LazyLock;

/// Regular, bold, then the fonts that are asked for what those two lack.
const FILES: [&[u8]; 5] = [
    include_bytes!("../fonts/NotoSans-SemiCondensed.ttf"),
    include_bytes!("../fonts/NotoSans-SemiCondensedBold.ttf"),
    include_bytes!("../fonts/NotoSansMath-Regular.ttf"),
    include_bytes!("../fonts/NotoSansSymbols-Regular.ttf"),
    include_bytes!("../fonts/NotoSansSymbols2-Regular.ttf"),
];

/// Size of the number in the box of a missing character, as a share of the text's size.
pub const BOXED_SIZE: f32 = 0.66;
/// Space between that number and its box on either side, as a share of the text's size.
pub const BOXED_PADDING: f32 = 0.12;

/// A font of the document, by its place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FontIndex(usize);

/// What is printed for a character.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Printed {
    /// A glyph of a font; its width as a share of the text's size.
    Glyph(FontIndex, GlyphId, f32),
    /// Its number in Unicode in a box.
    Boxed,
    /// Nothing: it only marks the direction of text, and nothing is reordered here.
    Nothing,
}

/// The characters below this one, Latin, Greek, and Cyrillic among them, are looked up once.
const COMMON: u32 = 0x530;

/// The fonts, parsed once.
pub struct Fonts {
    faces: Vec<(Font, FontRef<'static>)>,
    /// What is printed for each common character, regular and bold.
    common: [Vec<Printed>; 2],
}

static FONTS: LazyLock<Fonts> = LazyLock::new(Fonts::parse);

/// Returns the fonts.
pub fn fonts() -> &'static Fonts {
    &FONTS
}

impl Fonts {
    fn parse() -> Fonts {
        let faces = FILES.iter().filter_map(|file| {
            let font = Font::new((*file).into(), 0)?;
            Some((font, FontRef::new(file).ok()?))
        });
        let mut fonts = Fonts {
            faces: faces.collect(),
            common: [Vec::new(), Vec::new()],
        };
        fonts.common = [false, true].map(|bold| {
            let letters = (0..COMMON).filter_map(char::from_u32);
            letters.map(|letter| fonts.look_up(letter, bold)).collect()
        });
        fonts
    }

    /// Returns a font.
    pub fn font(&self, index: FontIndex) -> &Font {
        &self.faces[index.0].0
    }

    /// Returns what is printed for a character.
    pub fn printed(&self, letter: char, bold: bool) -> Printed {
        let common = self.common[usize::from(bold)].get(letter as usize);
        common
            .copied()
            .unwrap_or_else(|| self.look_up(letter, bold))
    }

    fn look_up(&self, letter: char, bold: bool) -> Printed {
        if matches!(letter, '\u{2066}'..='\u{2069}') {
            return Printed::Nothing;
        }
        if letter.is_control() || is_invisible(letter) {
            return Printed::Boxed;
        }
        let own = usize::from(bold);
        let order = std::iter::once(own).chain(2..self.faces.len());
        let mut found = order.filter_map(|at| self.glyph(at, letter));
        found.next().unwrap_or(Printed::Boxed)
    }

    fn glyph(&self, at: usize, letter: char) -> Option<Printed> {
        let (font, face) = self.faces.get(at)?;
        let glyph = face.charmap().map(letter)?;
        let metrics = face.glyph_metrics(Size::unscaled(), LocationRef::default());
        let width = metrics.advance_width(glyph)? / font.units_per_em();
        Some(Printed::Glyph(FontIndex(at), glyph, width))
    }

    /// Returns the width of a character as a share of the text's size.
    pub fn width(&self, letter: char, bold: bool) -> f32 {
        match self.printed(letter, bold) {
            Printed::Glyph(_, _, width) => width,
            Printed::Boxed => boxed_width(letter),
            Printed::Nothing => 0.0,
        }
    }
}

/// Returns what stands in the box of a missing character.
pub fn number_of(letter: char) -> String {
    format!("U+{:04X}", u32::from(letter))
}

/// Returns the width of that box as a share of the text's size.
pub fn boxed_width(letter: char) -> f32 {
    let number = number_of(letter);
    let widths = number.chars().map(|digit| fonts().width(digit, false));
    widths.sum::<f32>() * BOXED_SIZE + 4.0 * BOXED_PADDING
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_fonts_are_read() {
        assert_eq!(fonts().faces.len(), FILES.len());
    }

    #[test]
    fn latin_greek_cyrillic_and_signs_of_the_trade_have_glyphs_in_both_weights() {
        let letters = "AZaz09äöüßÄÖÜéñçłŻőğøåČ ΑΩαωΰ АЯаяёЁѕ ⌀±×°–—…“”’≤≥→□☐✓⁄½µ−√·№⅛⅜²³↧⌴⌵∠⊥";
        for letter in letters.chars() {
            for bold in [false, true] {
                let printed = fonts().printed(letter, bold);
                assert!(matches!(printed, Printed::Glyph(..)), "{letter}");
            }
        }
    }

    #[test]
    fn what_has_no_glyph_or_cannot_be_seen_is_boxed() {
        for letter in "中字電🔧👩אבجहไ\u{200b}\u{202e}\u{fe0f}\u{7}\u{e000}".chars() {
            assert_eq!(fonts().printed(letter, false), Printed::Boxed, "{letter:?}");
            assert!(fonts().width(letter, true) > 1.0);
        }
        assert_eq!(number_of('中'), "U+4E2D");
    }

    /// Columns of numbers line up only if all digits are equally wide.
    #[test]
    fn digits_are_equally_wide() {
        for bold in [false, true] {
            let zero = fonts().width('0', bold);
            assert!(('1'..='9').all(|digit| fonts().width(digit, bold) == zero));
        }
    }
}
