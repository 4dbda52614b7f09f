//! QR codes as SVG or as terminal text, by the renderers of the QR library.

use qrcode::render::{svg, unicode::Dense1x2};
use qrcode::{EcLevel, QrCode};

/// The background of a terminal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Background {
    /// Light text on a dark background.
    Dark,
    /// Dark text on a light background.
    Light,
}

/// Encodes the text; `None` if it is too long for a QR code, which a link never is.
fn encode(text: &str) -> Option<QrCode> {
    let levels = [EcLevel::M, EcLevel::L];
    let code = |level| QrCode::with_error_correction_level(text, level).ok();
    levels.into_iter().find_map(code)
}

/// Returns the QR code of the text as an SVG element with one unit a module; empty if the text is too long.
pub(super) fn svg(text: &str) -> String {
    let Some(code) = encode(text) else {
        return String::new();
    };
    let image = code
        .render::<svg::Color<'_>>()
        .module_dimensions(1, 1)
        .build();
    // Inside a page there is no XML declaration, and the page gives the size.
    let start = image.find("<svg").unwrap_or_default();
    let size = code.width() + 2 * QUIET_ZONE;
    let fixed = format!(" width=\"{size}\" height=\"{size}\"");
    let label = " role=\"img\" aria-label=\"QR code of the pairing link\"";
    image[start..].replacen(&fixed, label, 1)
}

/// The quiet zone that the renderers draw around a code, in modules (ISO/IEC 18004 requires four).
const QUIET_ZONE: usize = 4;

/// Returns the QR code of the text in half-block characters; empty if the text is too long.
pub(super) fn text(text: &str, background: Background) -> String {
    let Some(code) = encode(text) else {
        return String::new();
    };
    // Text is dark on a light background and light on a dark one.
    let (dark, light) = match background {
        Background::Light => (Dense1x2::Dark, Dense1x2::Light),
        Background::Dark => (Dense1x2::Light, Dense1x2::Dark),
    };
    let mut renderer = code.render::<Dense1x2>();
    let drawn = renderer.dark_color(dark).light_color(light);
    drawn.module_dimensions(1, 1).build() + "\n"
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const LINK: &str = "holebook://pair?v=1&a=192.168.1.5:29376&k=0123456789012345678901234567890123456789012&s=0123456789012345678901";

    /// The dark modules of the SVG: each is `M<column> <row>h1v1H<column>V<row>` in its path.
    fn drawn(image: &str) -> Vec<(usize, usize)> {
        let path = image.split("d=\"").nth(1).unwrap();
        let path = path.split('"').next().unwrap();
        let corner = |module: &str| {
            let (column, rest) = module.split_once(' ').unwrap();
            let (row, size) = rest.split_once('h').unwrap();
            assert!(size.starts_with("1v1H"), "{module}");
            (column.parse().unwrap(), row.parse().unwrap())
        };
        path.split('M').skip(1).map(corner).collect()
    }

    #[test]
    fn the_svg_has_a_margin_a_label_and_no_styles() {
        let image = svg(LINK);
        assert!(image.starts_with("<svg ") && image.ends_with("</svg>"));
        assert!(!image.contains("style") && !image.contains("script"));
        assert!(image.contains("aria-label") && image.contains("viewBox"));
        assert!(!image[..image.find('>').unwrap()].contains("width="));
        let modules = drawn(&image);
        assert!(
            modules.contains(&(4, 4)),
            "a finder pattern starts at the inner edge of the margin"
        );
        assert!(
            modules
                .iter()
                .all(|(column, row)| *column >= 4 && *row >= 4)
        );
    }

    #[test]
    fn the_text_is_square_and_inverts_with_the_background() {
        let (dark, light) = (text(LINK, Background::Dark), text(LINK, Background::Light));
        let lines: Vec<&str> = light.lines().collect();
        let width = lines[0].chars().count();
        assert_eq!(lines.len(), width.div_ceil(2));
        assert!(lines.iter().all(|line| line.chars().count() == width));
        assert!(lines[0].chars().all(|character| character == ' '));
        assert!(
            dark.lines()
                .next()
                .is_some_and(|line| line.chars().all(|character| character == '█'))
        );
    }

    /// Decodes the modules, drawn as 5 by 5 pixels each, with an independent QR reader.
    fn read(size: usize, is_dark: impl Fn(usize, usize) -> bool) -> String {
        let pixel = |x: usize, y: usize| if is_dark(x / 5, y / 5) { 0 } else { 255 };
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(size * 5, size * 5, pixel);
        let found = image.detect_grids();
        assert_eq!(found.len(), 1);
        found[0].decode().unwrap().1
    }

    #[test]
    fn an_independent_reader_decodes_the_svg_and_the_text() {
        let modules = drawn(&svg(LINK));
        let size = encode(LINK).unwrap().width() + 2 * QUIET_ZONE;
        let is_dark = |column, row| modules.contains(&(column, row));
        assert_eq!(read(size, is_dark), LINK);
        for (background, ink) in [(Background::Light, true), (Background::Dark, false)] {
            let text = text(LINK, background);
            let characters: Vec<Vec<char>> =
                text.lines().map(|line| line.chars().collect()).collect();
            let dark = |column: usize, row: usize| {
                let halves = if row.is_multiple_of(2) {
                    ['█', '▀']
                } else {
                    ['█', '▄']
                };
                halves.contains(&characters[row / 2][column]) == ink
            };
            assert_eq!(read(size, dark), LINK, "{background:?}");
        }
    }
}
