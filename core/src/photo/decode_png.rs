//! Pixels of a PNG file, row by row: a large one is averaged down while it is read, and never lies in memory whole.

use std::io::Cursor;

use png::{ColorType, Transformations};

use super::decode::{checked, damaged};
use super::error::Flaw;
use super::png as structure;
use super::raster::{Raster, Tone};

type Reader<'a> = png::Reader<Cursor<&'a [u8]>>;

/// Reads all pixels: transparent parts come out white, 16 bits as 8, palettes as colours. Squares of pixels are
/// averaged to one as long as the long edge stays at `wanted` or more.
pub(super) fn read(
    bytes: &[u8],
    map: &structure::Map,
    wanted: u32,
) -> Result<(Raster, Option<Vec<u8>>), Flaw> {
    let mut decoder = png::Decoder::new(Cursor::new(&bytes[..map.end]));
    decoder.set_transformations(Transformations::EXPAND | Transformations::STRIP_16);
    decoder.set_ignore_text_chunk(true);
    let mut reader = decoder.read_info().map_err(damaged)?;
    let (tone, clear) = match reader.output_color_type().0 {
        ColorType::Grayscale => (Tone::Grey, false),
        ColorType::GrayscaleAlpha => (Tone::Grey, true),
        ColorType::Rgb | ColorType::Indexed => (Tone::Colour, false),
        ColorType::Rgba => (Tone::Colour, true),
    };
    if (reader.info().width, reader.info().height) != (map.width, map.height) {
        return Err(Flaw::Damaged("it tells two sizes".into()));
    }
    let profile = reader
        .info()
        .icc_profile
        .as_ref()
        .map(|profile| profile.to_vec());
    let rows = Rows { tone, clear };
    let picture = match reader.info().interlaced {
        true => rows.interlaced(&mut reader, map)?,
        false => rows.averaged(
            &mut reader,
            map,
            (map.width.max(map.height) / (2 * wanted)).max(1),
        )?,
    };
    reader.finish().map_err(damaged)?;
    Ok((checked(picture)?, profile))
}

/// How the decoder gives out rows.
#[derive(Clone, Copy)]
struct Rows {
    tone: Tone,
    /// With an alpha sample behind each pixel's others.
    clear: bool,
}

/// The seven passes of interlacing (W3C PNG, 8.1): first column and line, and the steps to the next.
const PASSES: [(u32, u32, u32, u32); 7] = [
    (0, 0, 8, 8),
    (4, 0, 8, 8),
    (0, 4, 4, 8),
    (2, 0, 4, 4),
    (0, 2, 2, 4),
    (1, 0, 2, 2),
    (0, 1, 1, 2),
];

impl Rows {
    const fn channels(self) -> usize {
        match self.tone {
            Tone::Grey => 1,
            Tone::Colour => 3,
        }
    }

    /// The next row, laid on white.
    fn next(self, reader: &mut Reader<'_>, row: &mut Vec<u8>) -> Result<(), Flaw> {
        let data = reader.next_row().map_err(damaged)?.ok_or(Flaw::CutShort)?;
        row.clear();
        match (self.clear, self.tone) {
            (false, _) => row.extend(data.data()),
            (true, Tone::Grey) => on_white::<2>(data.data(), row),
            (true, Tone::Colour) => on_white::<4>(data.data(), row),
        }
        Ok(())
    }

    /// Rows from top to bottom; each square of `side` by `side` pixels becomes one.
    fn averaged(
        self,
        reader: &mut Reader<'_>,
        map: &structure::Map,
        side: u32,
    ) -> Result<Raster, Flaw> {
        let (width, height) = (map.width.div_ceil(side), map.height.div_ceil(side));
        let mut samples = Vec::with_capacity(width as usize * height as usize * self.channels());
        let mut row = Vec::new();
        let mut sums = vec![0_u32; width as usize * self.channels()];
        for line in 0..map.height {
            self.next(reader, &mut row)?;
            if side == 1 {
                samples.extend(&row);
                continue;
            }
            self.add(&row, &mut sums, side as usize);
            let rows = line % side + 1;
            if rows == side || line + 1 == map.height {
                samples.extend(self.means(&sums, map.width, side, rows));
                sums.fill(0);
            }
        }
        Ok(Raster {
            width,
            height,
            tone: self.tone,
            samples,
        })
    }

    fn add(self, row: &[u8], sums: &mut [u32], side: usize) {
        let channels = self.channels();
        for (square, sums) in row
            .chunks(side * channels)
            .zip(sums.chunks_exact_mut(channels))
        {
            for pixel in square.chunks_exact(channels) {
                sums.iter_mut()
                    .zip(pixel)
                    .for_each(|(sum, sample)| *sum += u32::from(*sample));
            }
        }
    }

    /// The last square of a row may be narrower.
    fn means(self, sums: &[u32], width: u32, side: u32, rows: u32) -> impl Iterator<Item = u8> {
        let channels = self.channels();
        sums.iter().enumerate().map(move |(i, sum)| {
            let left = (i / channels) as u32 * side;
            let pixels = side.min(width - left) * rows;
            ((sum + pixels / 2) / pixels) as u8
        })
    }

    /// Rows in the order of interlacing, each pixel to its place.
    fn interlaced(self, reader: &mut Reader<'_>, map: &structure::Map) -> Result<Raster, Flaw> {
        let channels = self.channels();
        let mut samples = vec![0; map.width as usize * map.height as usize * channels];
        let mut row = Vec::new();
        for (column, line, right, down) in PASSES.into_iter().filter(|pass| pass.0 < map.width) {
            for line in (line..map.height).step_by(down as usize) {
                self.next(reader, &mut row)?;
                let start = line as usize * map.width as usize * channels;
                let places = (column..map.width)
                    .step_by(right as usize)
                    .map(|x| start + x as usize * channels);
                for (at, pixel) in places.zip(row.chunks_exact(channels)) {
                    samples[at..at + channels].copy_from_slice(pixel);
                }
            }
        }
        Ok(Raster {
            width: map.width,
            height: map.height,
            tone: self.tone,
            samples,
        })
    }
}

/// Lays pixels with alpha behind their other samples on white, as on paper.
fn on_white<const N: usize>(pixels: &[u8], row: &mut Vec<u8>) {
    for pixel in pixels.as_chunks::<N>().0 {
        let alpha = u32::from(pixel[N - 1]);
        let laid = pixel[..N - 1]
            .iter()
            .map(|sample| (u32::from(*sample) * alpha + 255 * (255 - alpha) + 127) / 255);
        row.extend(laid.map(|sample| sample as u8));
    }
}
