//! Names of people, devices, and remotes as they are shown: nothing in a name is invisible, changes
//! the direction of the text around it, or passes for another letter.
//!
//! A name may come from anyone who can write where this notebook syncs. What a name hides is shown by
//! its number in Unicode: `[U+200B]`.

use std::fmt::Write as _;

/// Returns a name with everything that it hides made visible.
#[must_use]
pub fn escaped(name: &str) -> String {
    let mut shown = String::with_capacity(name.len());
    let is_copy = is_copy(name);
    for (at, word) in name.split(' ').enumerate() {
        if at > 0 {
            shown.push(' ');
        }
        let is_disguised = is_copy || is_mixed(word);
        let mut before = None;
        for letter in word.chars() {
            if is_hidden(letter, before) || (is_disguised && passes_for_latin(letter)) {
                // Writing to a `String` does not fail.
                let _ = write!(shown, "[U+{:04X}]", u32::from(letter));
            } else {
                shown.push(letter);
            }
            before = Some(letter);
        }
    }
    shown
}

/// Returns a name like [`escaped`] for a page. One in a script that runs from right to left is
/// isolated, so that it does not reorder the text around it (Unicode Standard Annex 9, section 2.4).
#[must_use]
pub fn shown(name: &str) -> String {
    let name = escaped(name);
    match name.chars().any(is_right_to_left) {
        true => format!("\u{2068}{name}\u{2069}"),
        false => name,
    }
}

/// Whether a letter cannot be seen, moves others, or is drawn like an ordinary one. A sign for emoji
/// after another sign is part of a picture.
fn is_hidden(letter: char, before: Option<char>) -> bool {
    let joins = matches!(letter, '\u{fe0f}' | '\u{200d}');
    if joins && before != Some(letter) && before.is_some_and(is_picture) {
        return false;
    }
    letter.is_control() || is_invisible(letter) || is_odd_space(letter) || is_styled(letter)
}

/// Pictures and the signs that join them, as far as blocks of Unicode tell.
fn is_picture(letter: char) -> bool {
    matches!(letter, '\u{2190}'..='\u{2bff}' | '\u{1f000}'..='\u{1faff}' | '\u{fe0f}')
}

/// Characters that are not drawn (Unicode, property Default_Ignorable_Code_Point, and format
/// characters), and those without a meaning of their own (private use).
#[must_use]
pub fn is_invisible(letter: char) -> bool {
    matches!(
        letter,
        '\u{ad}' | '\u{34f}' | '\u{600}'..='\u{605}' | '\u{61c}' | '\u{6dd}' | '\u{70f}'
            | '\u{890}'..='\u{891}' | '\u{8e2}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{e000}'..='\u{f8ff}'
            | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffc}'
            | '\u{110bd}' | '\u{110cd}' | '\u{13430}'..='\u{1343f}' | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{10ffff}'
    )
}

/// Spaces that look like the ordinary one, or like none.
fn is_odd_space(letter: char) -> bool {
    letter != ' ' && (letter.is_whitespace() || matches!(letter, '\u{2800}'))
}

/// Letters and digits in another style or width, which read as the ordinary ones.
fn is_styled(letter: char) -> bool {
    matches!(
        letter,
        '\u{2100}'..='\u{214f}' | '\u{2160}'..='\u{217f}' | '\u{249c}'..='\u{24e9}'
            | '\u{ff01}'..='\u{ff5e}' | '\u{1d400}'..='\u{1d7ff}' | '\u{1f110}'..='\u{1f189}'
    )
}

/// Scripts whose letters run from right to left, by their blocks.
fn is_right_to_left(letter: char) -> bool {
    matches!(
        letter,
        '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}'
            | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}'
    )
}

/// Scripts that have letters drawn like Latin ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Script {
    Latin,
    /// Greek, Coptic, Cyrillic, Armenian, Cherokee, Lisu.
    LooksLatin,
}

impl Script {
    fn of(letter: char) -> Option<Self> {
        match letter {
            'A'..='Z' | 'a'..='z' | '\u{c0}'..='\u{24f}' | '\u{1e00}'..='\u{1eff}' => {
                Some(Self::Latin)
            }
            '\u{250}'..='\u{2af}'
            | '\u{370}'..='\u{58f}'
            | '\u{13a0}'..='\u{13ff}'
            | '\u{1c80}'..='\u{1c8f}'
            | '\u{1d00}'..='\u{1dbf}'
            | '\u{1f00}'..='\u{1fff}'
            | '\u{2c80}'..='\u{2cff}'
            | '\u{2de0}'..='\u{2dff}'
            | '\u{a4d0}'..='\u{a4ff}'
            | '\u{a640}'..='\u{a69f}'
            | '\u{a720}'..='\u{a7ff}'
            | '\u{ab30}'..='\u{abbf}' => Some(Self::LooksLatin),
            _ => None,
        }
    }
}

/// Cyrillic and Greek letters that are drawn like Latin ones (from memory of the data of Unicode
/// Technical Standard 39).
const LOOK_ALIKES: &str = "АВЕЅІЈКМНОРСТУХѴаеорсухѕіјһԁԛԝѵ\
    ΑΒΕΖΗΙΚΜΝΟΡΤΥΧοϲν";

/// Whether a word has letters of another script among Latin ones.
fn is_mixed(word: &str) -> bool {
    word.chars()
        .any(|letter| Script::of(letter) == Some(Script::Latin))
        && word.chars().any(passes_for_latin)
}

/// Whether a name has no letters of another script but those that are drawn like Latin ones.
fn is_copy(name: &str) -> bool {
    let mut others = name.chars().filter(|letter| passes_for_latin(*letter));
    others.all(|letter| LOOK_ALIKES.contains(letter))
}

fn passes_for_latin(letter: char) -> bool {
    Script::of(letter) == Some(Script::LooksLatin)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ordinary_names_stay_as_they_are() {
        for name in [
            "Barn phone",
            "K. Bench",
            "Zähler 1, Größe",
            "Телефон в сарае",
            "Τηλέφωνο",
            "現場の電話",
            "Ada's phone 🔧",
            "👩\u{200d}🔧 ❤\u{fe0f}",
            "",
        ] {
            assert_eq!(escaped(name), name);
            assert_eq!(shown(name), name);
        }
    }

    #[test]
    fn hidden_characters_are_shown() {
        for (name, shows) in [
            ("Barn\u{200b} phone", "Barn[U+200B] phone"),
            ("Barn\u{a0}phone", "Barn[U+00A0]phone"),
            ("\u{202e}enohp", "[U+202E]enohp"),
            ("a\u{2066}b\u{2069}", "a[U+2066]b[U+2069]"),
            ("1\u{fe0f}", "1[U+FE0F]"),
            ("x\u{e0041}", "x[U+E0041]"),
            ("a\u{1b}[2J\n", "a[U+001B][2J[U+000A]"),
            ("\u{3164}", "[U+3164]"),
            ("\u{1d401}\u{ff41}rn", "[U+1D401][U+FF41]rn"),
        ] {
            assert_eq!(escaped(name), shows);
        }
    }

    #[test]
    fn letters_that_pass_for_others_are_shown() {
        for (name, shows) in [
            ("B\u{430}rn phone", "B[U+0430]rn phone"),
            ("\u{421}\u{440}\u{43e}", "[U+0421][U+0440][U+043E]"),
            ("\u{391}da", "[U+0391]da"),
            ("Barn \u{440}hone", "Barn [U+0440]hone"),
        ] {
            assert_eq!(escaped(name), shows);
        }
    }

    #[test]
    fn a_name_from_right_to_left_is_isolated() {
        assert_eq!(shown("טלפון"), "\u{2068}טלפון\u{2069}");
        assert_eq!(escaped("טלפון"), "טלפון");
    }
}
