//! Writes pages as a PDF with the fonts that they use embedded.

use crate::PaperError;
use crate::fonts::{BOXED_PADDING, BOXED_SIZE, FontIndex, Printed, boxed_width, fonts, number_of};
use crate::page::{Gray, Mark, Page, Segment};
use crate::text::{Letter, Letters, Line};
use chrono::{DateTime, Datelike, FixedOffset, Timelike};
use krilla::color::luma;
use krilla::configure::{Archival, ConfigurationBuilder};
use krilla::error::KrillaError;
use krilla::geom::{PathBuilder, Point, Size, Transform};
use krilla::image::Image;
use krilla::metadata::{DateTime as PdfTime, Metadata};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};

/// What a PDF says of itself.
pub struct About {
    /// Its title.
    pub title: String,
    /// When it was made.
    pub at: DateTime<FixedOffset>,
}

/// Writes the pages, all of `size` points.
///
/// They conform to PDF/A-2u (ISO 19005-2), so that a record can be read in ten years. Where something
/// in a notebook does not allow that, they are written as an ordinary PDF.
pub fn write(pages: &[Page], size: (f32, f32), about: &About) -> Result<Vec<u8>, PaperError> {
    match document(pages, size, about, Some(Archival::A2_U))?.finish() {
        Err(KrillaError::Validation(_)) => document(pages, size, about, None)?.finish(),
        finished => finished,
    }
    .map_err(|error| PaperError::Pdf(format!("{error:?}")))
}

fn document(
    pages: &[Page],
    size: (f32, f32),
    about: &About,
    archival: Option<Archival>,
) -> Result<Document, PaperError> {
    let configuration = ConfigurationBuilder::new();
    let configuration = match archival {
        Some(archival) => configuration.with_archival_validator(archival),
        None => configuration,
    };
    let configuration = configuration.finish();
    let mut document = Document::new_with(SerializeSettings {
        compress_content_streams: true,
        configuration: configuration.map_err(|error| PaperError::Pdf(format!("{error:?}")))?,
        ..SerializeSettings::default()
    });
    document.set_metadata(metadata(about));
    for page in pages {
        let (width, height) = size;
        let settings = PageSettings::from_wh(width, height)
            .ok_or_else(|| PaperError::Pdf("a page has no size".to_owned()))?;
        let mut sheet = document.start_page_with(settings);
        let mut surface = sheet.surface();
        for mark in &page.marks {
            draw(&mut surface, mark)?;
        }
        surface.finish();
        sheet.finish();
    }
    Ok(document)
}

fn metadata(about: &About) -> Metadata {
    let at = about.at;
    let small = |number: u32| u8::try_from(number).unwrap_or(0);
    let minutes = at.offset().local_minus_utc() / 60;
    let mut time = PdfTime::new(u16::try_from(at.year()).unwrap_or(1970))
        .month(small(at.month()))
        .day(small(at.day()))
        .hour(small(at.hour()))
        .minute(small(at.minute()))
        .second(small(at.second()));
    if let Ok(hours) = i8::try_from(minutes / 60) {
        time = time
            .utc_offset_hour(hours)
            .utc_offset_minute(small((minutes % 60).unsigned_abs()));
    }
    Metadata::new()
        .title(about.title.clone())
        .creator("Holebook".to_owned())
        .language("en".to_owned())
        .creation_date(time)
}

fn draw(surface: &mut Surface<'_>, mark: &Mark) -> Result<(), PaperError> {
    match mark {
        Mark::Text {
            x,
            y,
            size,
            gray,
            line,
        } => draw_line(surface, (*x, *y), *size, *gray, line),
        Mark::Path {
            path,
            fill,
            stroke,
            dashed,
        } => draw_path(surface, path, *fill, *stroke, *dashed),
        Mark::Picture {
            jpeg,
            x,
            y,
            width,
            height,
        } => {
            // PDF/A wants pictures without interpolation.
            let image = Image::from_jpeg(jpeg.clone().into(), false).map_err(PaperError::Pdf)?;
            if let Some(size) = Size::from_wh(*width, *height) {
                surface.push_transform(&Transform::from_translate(*x, *y));
                surface.draw_image(image, size);
                surface.pop();
            }
        }
    }
    Ok(())
}

fn filled(gray: Gray) -> Fill {
    Fill {
        paint: luma::Color::new(gray).into(),
        ..Fill::default()
    }
}

fn draw_path(
    surface: &mut Surface<'_>,
    path: &[Segment],
    fill: Option<Gray>,
    stroke: Option<(f32, Gray)>,
    dashed: bool,
) {
    let mut builder = PathBuilder::new();
    for segment in path {
        match *segment {
            Segment::Move(x, y) => builder.move_to(x, y),
            Segment::To(x, y) => builder.line_to(x, y),
            Segment::Curve(x1, y1, x2, y2, x, y) => builder.cubic_to(x1, y1, x2, y2, x, y),
            Segment::Close => builder.close(),
        }
    }
    let Some(path) = builder.finish() else { return };
    surface.set_fill(fill.map(filled));
    surface.set_stroke(stroke.map(|(width, gray)| Stroke {
        paint: luma::Color::new(gray).into(),
        width,
        dash: dashed.then(|| StrokeDash {
            array: vec![3.0, 2.5],
            offset: 0.0,
        }),
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

/// Letters of one font in a row, and where they start.
struct Run {
    font: FontIndex,
    x: f32,
    text: String,
    glyphs: Vec<KrillaGlyph>,
}

fn draw_line(surface: &mut Surface<'_>, (x, y): (f32, f32), size: f32, gray: Gray, line: &Line) {
    let mut at = x;
    let mut run: Option<Run> = None;
    for letter in &line.0 {
        match fonts().printed(letter.letter, letter.bold) {
            Printed::Nothing => {}
            Printed::Glyph(font, glyph, width) => {
                if run.as_ref().is_some_and(|run| run.font != font) {
                    draw_run(surface, run.take(), y, size, gray);
                }
                let run = run.get_or_insert_with(|| Run {
                    font,
                    x: at,
                    text: String::new(),
                    glyphs: Vec::new(),
                });
                run.push(letter, GlyphId::new(glyph.to_u32()), width);
                at += width * size;
            }
            Printed::Boxed => {
                draw_run(surface, run.take(), y, size, gray);
                draw_boxed(surface, (at, y), size, gray, letter.letter);
                at += boxed_width(letter.letter) * size;
            }
        }
    }
    draw_run(surface, run, y, size, gray);
    strike(surface, (x, y), size, gray, line);
}

impl Run {
    fn push(&mut self, letter: &Letter, glyph: GlyphId, width: f32) {
        let start = self.text.len();
        self.text.push(letter.letter);
        let range = start..self.text.len();
        self.glyphs
            .push(KrillaGlyph::new(glyph, width, 0.0, 0.0, 0.0, range, None));
    }
}

fn draw_run(surface: &mut Surface<'_>, run: Option<Run>, y: f32, size: f32, gray: Gray) {
    let Some(run) = run else { return };
    surface.set_fill(Some(filled(gray)));
    surface.set_stroke(None);
    let font = fonts().font(run.font).clone();
    let start = Point::from_xy(run.x, y);
    surface.draw_glyphs(start, &run.glyphs, font, &run.text, size, false);
}

/// Draws a character that no font has: its number in a box.
fn draw_boxed(surface: &mut Surface<'_>, (x, y): (f32, f32), size: f32, gray: Gray, letter: char) {
    let number = Letters::plain(&number_of(letter)).line();
    let padding = BOXED_PADDING * size;
    let width = (boxed_width(letter) - 2.0 * BOXED_PADDING) * size;
    let (left, top, bottom) = (x + padding, y - 0.72 * size, y + 0.16 * size);
    let outline = [
        Segment::Move(left, top),
        Segment::To(left + width, top),
        Segment::To(left + width, bottom),
        Segment::To(left, bottom),
        Segment::Close,
    ];
    draw_path(surface, &outline, None, Some((0.04 * size, gray)), false);
    let at = (left + padding, y - 0.05 * size);
    draw_line(surface, at, BOXED_SIZE * size, gray, &number);
}

/// Draws a line through the letters that are struck.
fn strike(surface: &mut Surface<'_>, (x, y): (f32, f32), size: f32, gray: Gray, line: &Line) {
    let mut at = x;
    for part in line.0.chunk_by(|a, b| a.struck == b.struck) {
        let width = Line(part.to_vec()).width(size);
        if part.iter().any(|letter| letter.struck) {
            let through = y - 0.27 * size;
            let path = [Segment::Move(at, through), Segment::To(at + width, through)];
            draw_path(surface, &path, None, Some((0.07 * size, gray)), false);
        }
        at += width;
    }
}
