//! Columns for people who read a terminal.

use std::fmt;

/// Which side of its column a cell keeps to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A table of text, its columns as wide as they need to be.
#[derive(Debug)]
pub struct Table {
    sides: Vec<Side>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// A table with a heading row; `columns` gives each heading and the side its cells keep to.
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

    /// A table without a heading.
    pub fn bare(sides: &[Side]) -> Self {
        Self {
            sides: sides.to_vec(),
            rows: Vec::new(),
        }
    }

    /// Adds a row; cells that are missing stay empty.
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

/// One item of a list, broken into lines that fit a terminal.
pub fn item(text: &str) -> String {
    hanging("-", 2, text)
}

/// `text` broken into lines that fit a terminal.
pub fn paragraph(text: &str) -> String {
    hanging("", 0, text).trim_start().to_owned()
}

/// `text` behind a `lead`, broken into lines that fit a terminal; all but the first are set in by `margin` columns.
pub fn hanging(lead: &str, margin: usize, text: &str) -> String {
    let mut lines = vec![format!("{lead:<0$}", margin.saturating_sub(1))];
    for word in plain(text).split_whitespace() {
        let room = |line: &String| line.chars().count() + 1 + word.chars().count() <= WIDTH;
        match lines.last_mut() {
            Some(line) if room(line) => line.extend([" ", word]),
            _ => lines.push(format!("{:margin$}{word}", "")),
        }
    }
    lines.join("\n") + "\n"
}

/// Text that came from elsewhere, without the signs that would steer the terminal.
pub fn plain(text: &str) -> String {
    let steers = |sign: char| {
        sign.is_control() || matches!(sign, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars()
        .map(|sign| if steers(sign) { '\u{fffd}' } else { sign })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_under_each_other() {
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
    fn a_name_cannot_steer_the_terminal() {
        assert_eq!(
            plain("a\u{1b}[2Jb\n\u{202e}c ü"),
            "a\u{fffd}[2Jb\u{fffd}\u{fffd}c ü"
        );
    }
}
