//! A text as a QR code, in a picture or in half blocks.

use qrcode::{Color, EcLevel, QrCode};

/// The empty margin that readers need, in modules (ISO/IEC 18004 asks for four).
const MARGIN: usize = 4;

/// What a terminal shows behind its letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ground {
    /// Letters are lighter than what is behind them.
    Dark,
    /// Letters are darker than what is behind them.
    Light,
}

/// Which modules are dark, margin included.
struct Square {
    size: usize,
    dark: Vec<bool>,
}

impl Square {
    /// None where the text is longer than a QR code holds, which a link never is.
    fn of(text: &str) -> Option<Self> {
        let levels = [EcLevel::M, EcLevel::L];
        let code = levels
            .into_iter()
            .find_map(|level| QrCode::with_error_correction_level(text, level).ok())?;
        let size = code.width();
        let colours = code.to_colors();
        Some(Self {
            size,
            dark: colours
                .iter()
                .map(|colour| *colour == Color::Dark)
                .collect(),
        })
    }

    fn whole(&self) -> usize {
        self.size + 2 * MARGIN
    }

    fn is_dark(&self, column: usize, row: usize) -> bool {
        let inside = |at: usize| at.checked_sub(MARGIN).filter(|at| *at < self.size);
        match (inside(column), inside(row)) {
            (Some(column), Some(row)) => self.dark[row * self.size + column],
            _ => false,
        }
    }
}

pub(super) fn svg(text: &str) -> String {
    let Some(square) = Square::of(text) else {
        return String::new();
    };
    let whole = square.whole();
    let mut path = String::new();
    for row in 0..whole {
        for column in 0..whole {
            if square.is_dark(column, row) {
                path.push_str(&format!("M{column} {row}h1v1h-1z"));
            }
        }
    }
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {whole} {whole}\" role=\"img\" \
         aria-label=\"QR code of the pairing link\" shape-rendering=\"crispEdges\">\
         <rect width=\"{whole}\" height=\"{whole}\" fill=\"#fff\"/><path fill=\"#000\" d=\"{path}\"/></svg>"
    )
}

pub(super) fn text(text: &str, ground: Ground) -> String {
    let Some(square) = Square::of(text) else {
        return String::new();
    };
    // A letter stands for two modules, one above the other; ink is dark on a light ground and light on a dark one.
    let ink = |column, row| square.is_dark(column, row) == (ground == Ground::Light);
    let mut lines = String::new();
    for row in (0..square.whole()).step_by(2) {
        for column in 0..square.whole() {
            lines.push(match (ink(column, row), ink(column, row + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            });
        }
        lines.push('\n');
    }
    lines
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const LINK: &str = "holebook://pair?v=1&a=192.168.1.5:29376&k=0123456789012345678901234567890123456789012&s=0123456789012345678901";

    #[test]
    fn the_picture_has_its_margin_and_no_styles() {
        let picture = svg(LINK);
        assert!(picture.starts_with("<svg ") && picture.ends_with("</svg>"));
        assert!(!picture.contains("style") && !picture.contains("script"));
        assert!(
            picture.contains("M4 4h1v1h-1z"),
            "a finder pattern begins inside the margin"
        );
        assert!(!picture.contains("M3 4h1"));
    }

    #[test]
    fn the_text_is_square_and_turns_with_the_ground() {
        let (dark, light) = (text(LINK, Ground::Dark), text(LINK, Ground::Light));
        let lines: Vec<&str> = light.lines().collect();
        let width = lines[0].chars().count();
        assert_eq!(lines.len(), width.div_ceil(2));
        assert!(lines.iter().all(|line| line.chars().count() == width));
        assert!(lines[0].chars().all(|letter| letter == ' '));
        assert!(
            dark.lines()
                .next()
                .is_some_and(|line| line.chars().all(|letter| letter == '█'))
        );
    }

    /// What another program reads in modules of five by five pixels.
    fn read(whole: usize, is_dark: impl Fn(usize, usize) -> bool) -> String {
        let pixel = |x: usize, y: usize| if is_dark(x / 5, y / 5) { 0 } else { 255 };
        let mut picture = rqrr::PreparedImage::prepare_from_greyscale(whole * 5, whole * 5, pixel);
        let found = picture.detect_grids();
        assert_eq!(found.len(), 1);
        found[0].decode().unwrap().1
    }

    #[test]
    fn another_program_reads_the_link_from_the_picture_and_from_the_text() {
        let picture = svg(LINK);
        let whole = Square::of(LINK).unwrap().whole();
        let drawn = |column, row| picture.contains(&format!("M{column} {row}h1v1h-1z"));
        assert_eq!(read(whole, drawn), LINK);
        for (ground, ink) in [(Ground::Light, true), (Ground::Dark, false)] {
            let text = text(LINK, ground);
            let letters: Vec<Vec<char>> = text.lines().map(|line| line.chars().collect()).collect();
            let dark = |column: usize, row: usize| {
                let halves = if row.is_multiple_of(2) {
                    ['█', '▀']
                } else {
                    ['█', '▄']
                };
                halves.contains(&letters[row / 2][column]) == ink
            };
            assert_eq!(read(whole, dark), LINK, "{ground:?}");
        }
    }
}
