//! Decodes a PNG file row by row into a smaller picture, so that 108 megapixels are never held in
//! memory, in any of its formats.

use std::io::{BufRead, Seek};

use image::{DynamicImage, GrayImage, RgbImage};
use png::{ColorType, Decoder, Limits, Reader, Transformations};

use crate::PictureError;

/// The most memory for one row and for a color profile; a row of 8,000,000 pixels is no photo.
const MOST_ROW_BYTES: usize = 64 << 20;

/// The seven passes of an interlaced file (8.2): first column and row, and the steps between them.
const PASSES: [[u32; 4]; 7] = [
    [0, 0, 8, 8],
    [4, 0, 8, 8],
    [0, 4, 4, 8],
    [2, 0, 4, 4],
    [0, 2, 2, 4],
    [1, 0, 2, 2],
    [0, 1, 1, 2],
];

/// A decoded picture of 8 bits, gray or red, green and blue, and the color profile of its file.
pub(crate) struct Reduced {
    pub picture: DynamicImage,
    pub profile: Option<Vec<u8>>,
}

/// Decodes a file whose long edge should have at least `wanted` pixels, if it has that many.
/// Transparent parts become white, as on paper; of 16 bits the upper 8 count.
pub(crate) fn decode(file: impl BufRead + Seek, wanted: u32) -> Result<Reduced, PictureError> {
    let limits = Limits {
        bytes: MOST_ROW_BYTES,
    };
    let mut decoder = Decoder::new_with_limits(file, limits);
    decoder.set_transformations(Transformations::EXPAND | Transformations::STRIP_16);
    decoder.set_ignore_text_chunk(true);
    let mut reader = decoder.read_info().map_err(PictureError::damaged)?;
    let (width, height) = reader.info().size();
    let profile = reader.info().icc_profile.as_deref().map(<[u8]>::to_vec);
    let interlaced = reader.info().interlaced;
    let step = (width.max(height) / wanted.max(1)).max(1);
    let mut averages = Averages::new(
        reader.output_color_type().0,
        (width, height),
        step,
        interlaced,
    );
    if reader
        .output_line_size(width)
        .is_none_or(|bytes| bytes > MOST_ROW_BYTES)
    {
        return Err(PictureError::Damaged("its rows are too long".into()));
    }
    match interlaced {
        true => read_passes(&mut reader, (width, height), &mut averages)?,
        false => {
            for y in 0..height {
                averages.add(next_row(&mut reader)?, y, [0, 1]);
            }
        }
    }
    // What follows the pixels is checked too.
    reader.finish().map_err(PictureError::damaged)?;
    let picture = averages.finish()?;
    Ok(Reduced { picture, profile })
}

fn read_passes<R: BufRead + Seek>(
    reader: &mut Reader<R>,
    (width, height): (u32, u32),
    averages: &mut Averages,
) -> Result<(), PictureError> {
    for [column, row, across, down] in PASSES {
        if column >= width {
            continue;
        }
        for y in (row..height).step_by(down as usize) {
            averages.add(next_row(reader)?, y, [column, across]);
        }
    }
    Ok(())
}

fn next_row<R: BufRead + Seek>(reader: &mut Reader<R>) -> Result<&[u8], PictureError> {
    let row = reader
        .next_interlaced_row()
        .map_err(PictureError::damaged)?;
    row.map(|row| row.data()).ok_or(PictureError::CutShort)
}

/// Averages of squares of pixels, which become the pixels of the smaller picture.
struct Averages {
    color: ColorType,
    /// Width and height of the file's picture.
    from: (u32, u32),
    /// Width and height of the smaller picture.
    to: (u32, u32),
    /// Side of a square, in pixels.
    step: u32,
    /// Rows of squares in `sums`: one where rows come in order, else all.
    bands: u32,
    /// Sums of the samples of each square. Empty if a square is one pixel.
    sums: Vec<u32>,
    samples: Vec<u8>,
}

impl Averages {
    fn new(color: ColorType, from: (u32, u32), step: u32, interlaced: bool) -> Self {
        let to = (from.0.div_ceil(step), from.1.div_ceil(step));
        let row = to.0 as usize * channels(color);
        let bands = if interlaced { to.1 } else { 1 };
        Self {
            color,
            from,
            to,
            step,
            bands,
            sums: vec![0; if step > 1 { row * bands as usize } else { 0 }],
            samples: vec![0; row * to.1 as usize],
        }
    }

    /// Adds a row of the file, or one of a pass, whose first column and step are given.
    fn add(&mut self, data: &[u8], y: u32, [column, across]: [u32; 2]) {
        let (channels, row) = (channels(self.color), y / self.step);
        let width = self.to.0 as usize * channels;
        let stored = self.color.samples();
        let mut x = column;
        for pixel in data.chunks_exact(stored) {
            let at = (x / self.step) as usize * channels;
            let blended = on_white(pixel);
            for (channel, sample) in blended.into_iter().take(channels).enumerate() {
                match self.step {
                    1 => self.samples[row as usize * width + at + channel] = sample,
                    _ => {
                        let band = (row % self.bands) as usize;
                        self.sums[band * width + at + channel] += u32::from(sample);
                    }
                }
            }
            x += across;
        }
        let is_last = (y + 1).is_multiple_of(self.step) || y + 1 == self.from.1;
        if self.bands == 1 && self.step > 1 && is_last {
            self.average(row);
        }
    }

    /// Turns the sums of a row of squares into samples.
    fn average(&mut self, row: u32) {
        let channels = channels(self.color);
        let width = self.to.0 as usize * channels;
        let band = (row % self.bands) as usize * width;
        let side = |index: u32, all: u32| self.step.min(all - index * self.step);
        let high = side(row, self.from.1);
        for at in 0..width {
            let count = high * side((at / channels) as u32, self.from.0);
            let sum = &mut self.sums[band + at];
            self.samples[row as usize * width + at] = ((*sum + count / 2) / count) as u8;
            *sum = 0;
        }
    }

    fn finish(mut self) -> Result<DynamicImage, PictureError> {
        if self.bands > 1 && self.step > 1 {
            (0..self.to.1).for_each(|row| self.average(row));
        }
        let (width, height) = self.to;
        let picture: Option<DynamicImage> = match channels(self.color) {
            1 => GrayImage::from_raw(width, height, self.samples).map(Into::into),
            _ => RgbImage::from_raw(width, height, self.samples).map(Into::into),
        };
        picture.ok_or_else(|| PictureError::damaged("its size and its pixels do not agree"))
    }
}

/// Samples of one pixel of the smaller picture.
const fn channels(color: ColorType) -> usize {
    match color {
        ColorType::Grayscale | ColorType::GrayscaleAlpha => 1,
        ColorType::Rgb | ColorType::Rgba | ColorType::Indexed => 3,
    }
}

/// Blends a stored pixel with white.
fn on_white(pixel: &[u8]) -> [u8; 3] {
    let blend = |sample: u8, alpha: u8| {
        let (sample, alpha) = (u32::from(sample), u32::from(alpha));
        ((sample * alpha + 255 * (255 - alpha) + 127) / 255) as u8
    };
    match *pixel {
        [gray] => [gray; 3],
        [gray, alpha] => [blend(gray, alpha); 3],
        [red, green, blue] => [red, green, blue],
        [red, green, blue, alpha] => [red, green, blue].map(|sample| blend(sample, alpha)),
        _ => [255; 3],
    }
}
