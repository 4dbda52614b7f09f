//! Text tables and line wrapping for a terminal.

use std::fmt;
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

/// The alignment of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Text.
    Left,
    /// Numbers.
    Right,
}

/// A text table with columns as wide as their widest cell.
#[derive(Debug)]
pub struct Table {
    sides: Vec<Side>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Creates a table with a heading row; `columns` gives each heading and alignment.
    pub fn new(columns: &[(&str, Side)]) -> Self {
        let heading = columns
            .iter()
            .map(|(heading, _)| (*heading).to_owned())
            .collect();
        let sides = columns.iter().map(|(_, side)| *side).collect();
        Self {
            sides,
            rows: vec![heading],
        }
    }

    /// Creates a table without a heading.
    pub fn bare(sides: &[Side]) -> Self {
        Self {
            sides: sides.to_vec(),
            rows: Vec::new(),
        }
    }

    /// Adds a row; missing cells stay empty.
    pub fn row<const N: usize>(&mut self, cells: [String; N]) {
        self.rows
            .push(cells.iter().map(|cell| plain(cell)).collect());
    }

    fn widths(&self) -> Vec<usize> {
        let width = |column: usize| {
            let cells = self.rows.iter().filter_map(|row| row.get(column));
            cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
        };
        (0..self.sides.len()).map(width).collect()
    }
}

impl fmt::Display for Table {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let widths = self.widths();
        for row in &self.rows {
            let mut line = String::new();
            for ((cell, side), width) in row.iter().zip(&self.sides).zip(&widths) {
                let cell = match side {
                    Side::Left => format!("{cell:<width$}"),
                    Side::Right => format!("{cell:>width$}"),
                };
                line.push_str(&cell);
                line.push_str("  ");
            }
            writeln!(out, "{}", line.trim_end())?;
        }
        Ok(())
    }
}

/// The width that every terminal has.
const WIDTH: usize = 80;

/// Formats a list item, wrapped to the width of a terminal.
pub fn item(text: &str) -> String {
    hanging("-", 2, text)
}

/// Wraps a paragraph to the width of a terminal.
pub fn paragraph(text: &str) -> String {
    hanging("", 0, text)
}

/// Wraps `text` to the width of a terminal, behind a `lead` and with all lines indented by `margin`
/// columns.
pub fn hanging(lead: &str, margin: usize, text: &str) -> String {
    let text = plain(text);
    let words: Vec<&str> = text.split_whitespace().collect();
    let (first, rest) = (format!("{lead:<margin$}"), " ".repeat(margin));
    let options = Options::new(WIDTH)
        .initial_indent(&first)
        .subsequent_indent(&rest)
        .break_words(false)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    textwrap::fill(&words.join(" "), options) + "\n"
}

/// Replaces control and direction characters in foreign text, so that it cannot control the
/// terminal.
pub fn plain(text: &str) -> String {
    let is_control = |sign: char| {
        sign.is_control() || matches!(sign, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars()
        .map(|sign| if is_control(sign) { '\u{fffd}' } else { sign })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_right_aligned() {
        let mut table = Table::new(&[
            ("hole", Side::Right),
            ("drill", Side::Left),
            ("deep", Side::Right),
        ]);
        table.row(["1".into(), "29/64".into(), "20.5".into()]);
        table.row(["12".into(), "X".into(), "9.0".into()]);
        let wanted = "hole  drill  deep\n   1  29/64  20.5\n  12  X       9.0\n";
        assert_eq!(table.to_string(), wanted);
    }

    #[test]
    fn a_name_cannot_control_the_terminal() {
        assert_eq!(
            plain("a\u{1b}[2Jb\n\u{202e}c ü"),
            "a\u{fffd}[2Jb\u{fffd}\u{fffd}c ü"
        );
    }
}
