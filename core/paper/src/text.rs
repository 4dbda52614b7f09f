//! Text to print: styled letters, wrapped to a width.

use crate::fonts::fonts;
use holebook_core::labels::Text;
use unicode_normalization::UnicodeNormalization;

/// A character to print with its style.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Letter {
    /// The character.
    pub letter: char,
    /// Whether it is bold.
    pub bold: bool,
    /// Whether it is struck through.
    pub struck: bool,
}

/// Letters in their order, not wrapped. Accents are composed with their letters, which the fonts have
/// as one.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Letters(Vec<Letter>);

impl Letters {
    /// Returns plain letters.
    pub fn plain(text: &str) -> Letters {
        Letters::default().and(text, false)
    }

    /// Returns bold letters.
    pub fn bold(text: &str) -> Letters {
        Letters::default().and(text, true)
    }

    /// Appends letters.
    pub fn and(mut self, text: &str, bold: bool) -> Letters {
        let seen = text.nfc().filter(|letter| *letter != '\r');
        let letters = seen.map(|letter| Letter {
            letter: if letter == '\t' { ' ' } else { letter },
            bold,
            struck: false,
        });
        self.0.extend(letters);
        self
    }

    /// Appends other letters.
    pub fn and_letters(mut self, other: &Letters) -> Letters {
        self.0.extend(&other.0);
        self
    }

    /// Returns the same letters struck through.
    pub fn struck(mut self) -> Letters {
        self.0.iter_mut().for_each(|letter| letter.struck = true);
        self
    }

    /// Returns whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Returns their width in one line, points.
    pub fn width(&self, size: f32) -> f32 {
        width(&self.0, size)
    }

    /// Returns the letters of a line.
    pub fn of_line(line: Line) -> Letters {
        Letters(line.0)
    }

    /// Returns them as one line.
    pub fn line(self) -> Line {
        Line(self.0)
    }

    /// Breaks them into lines of at most `width` points, at spaces, and within a word that is longer
    /// than a line. Always at least one line.
    pub fn wrapped(&self, width: f32, size: f32) -> Vec<Line> {
        let paragraphs = self.0.split(|letter| letter.letter == '\n');
        paragraphs
            .flat_map(|paragraph| wrap(paragraph, width / size))
            .collect()
    }
}

impl From<&str> for Letters {
    fn from(text: &str) -> Letters {
        Letters::plain(text)
    }
}

impl From<String> for Letters {
    fn from(text: String) -> Letters {
        Letters::plain(&text)
    }
}

impl From<&Text> for Letters {
    fn from(text: &Text) -> Letters {
        let spans = text.spans().iter();
        spans.fold(Letters::default(), |letters, span| {
            letters.and(&span.text, span.bold)
        })
    }
}

impl From<Text> for Letters {
    fn from(text: Text) -> Letters {
        Letters::from(&text)
    }
}

/// A line of letters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line(pub Vec<Letter>);

impl Line {
    /// Returns its width, points.
    pub fn width(&self, size: f32) -> f32 {
        width(&self.0, size)
    }
}

fn em(letter: Letter) -> f32 {
    fonts().width(letter.letter, letter.bold)
}

fn width(letters: &[Letter], size: f32) -> f32 {
    letters.iter().map(|letter| em(*letter)).sum::<f32>() * size
}

/// Wraps one paragraph; widths are shares of the text's size.
fn wrap(letters: &[Letter], most: f32) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut line: Vec<Letter> = Vec::new();
    let mut wide = 0.0;
    for word in letters.split_inclusive(|letter| letter.letter == ' ') {
        let visible = word.strip_suffix_space();
        let word_wide: f32 = visible.iter().map(|letter| em(*letter)).sum();
        if wide + word_wide > most && !line.is_empty() {
            lines.push(Line(std::mem::take(&mut line)));
            wide = 0.0;
        }
        for &letter in word {
            let next = em(letter);
            if letter.letter != ' ' && wide + next > most && !line.is_empty() {
                lines.push(Line(std::mem::take(&mut line)));
                wide = 0.0;
            }
            line.push(letter);
            wide += next;
        }
    }
    if !line.is_empty() || lines.is_empty() {
        lines.push(Line(line));
    }
    for line in &mut lines {
        line.0.truncate(line.0.strip_suffix_space().len());
    }
    lines
}

trait StripSpace {
    fn strip_suffix_space(&self) -> &[Letter];
}

impl StripSpace for [Letter] {
    fn strip_suffix_space(&self) -> &[Letter] {
        let last = self.iter().rposition(|letter| letter.letter != ' ');
        &self[..last.map_or(0, |last| last + 1)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn shown(line: &Line) -> String {
        line.0.iter().map(|letter| letter.letter).collect()
    }

    #[test]
    fn lines_break_at_spaces_and_fractions_stay_whole() {
        let text = Letters::plain("Drill 29/64 to .912, then tap 1/2-13");
        let lines: Vec<String> = text.wrapped(60.0, 9.0).iter().map(shown).collect();
        assert_eq!(lines.join(" "), "Drill 29/64 to .912, then tap 1/2-13");
        assert!(lines.len() > 2);
        assert!(lines.iter().any(|line| line.contains("29/64")));
        assert!(lines.iter().any(|line| line.contains("1/2-13")));
    }

    #[test]
    fn accents_are_composed_and_a_new_line_breaks() {
        let lines = Letters::plain("Gro\u{0308}\u{df}e\nzwei").wrapped(500.0, 9.0);
        let lines: Vec<String> = lines.iter().map(shown).collect();
        assert_eq!(lines, ["Größe", "zwei"]);
    }

    proptest! {
        /// Nothing is lost, and no line of more than one character is too wide.
        #[test]
        fn wrapping_loses_nothing(text in "[a-zA-ZäЖω中🔧 ]{0,120}", wide in 5.0..300.0_f32) {
            let lines = Letters::plain(&text).wrapped(wide, 9.0);
            let joined: String = lines.iter().map(shown).collect();
            let letters = |text: &str| text.chars().filter(|it| *it != ' ').collect::<String>();
            prop_assert_eq!(letters(&joined), letters(&text));
            for line in &lines {
                prop_assert!(line.0.len() <= 1 || line.width(9.0) <= wide + 0.01);
            }
        }
    }
}
