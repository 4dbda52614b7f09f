//! Which way up a camera was held, and turning its picture upright.

use super::raster::Raster;

/// How the stored rows and columns lie in the upright picture: EXIF tag 0x0112, values 1 to 8 (EXIF 3.0).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Orientation {
    /// 1: as stored.
    #[default]
    Upright,
    /// 2: mirrored left to right.
    Mirrored,
    /// 3: turned half round.
    HalfTurn,
    /// 4: mirrored top to bottom.
    Flipped,
    /// 5: rows and columns swapped.
    Transposed,
    /// 6: wants a quarter turn clockwise.
    QuarterTurn,
    /// 7: swapped and turned half round.
    Transversed,
    /// 8: wants a quarter turn anticlockwise.
    QuarterTurnBack,
}

impl Orientation {
    /// The EXIF value; anything but 1 to 8 says nothing.
    pub(super) const fn from_exif(value: u32) -> Option<Self> {
        Some(match value {
            1 => Self::Upright,
            2 => Self::Mirrored,
            3 => Self::HalfTurn,
            4 => Self::Flipped,
            5 => Self::Transposed,
            6 => Self::QuarterTurn,
            7 => Self::Transversed,
            8 => Self::QuarterTurnBack,
            _ => return None,
        })
    }

    const fn swaps_sides(self) -> bool {
        matches!(
            self,
            Self::Transposed | Self::QuarterTurn | Self::Transversed | Self::QuarterTurnBack
        )
    }

    /// Width and height of the upright picture, from those stored.
    pub(super) const fn upright_size(self, width: u32, height: u32) -> (u32, u32) {
        if self.swaps_sides() {
            (height, width)
        } else {
            (width, height)
        }
    }

    /// The picture turned upright.
    pub(super) fn upright(self, picture: Raster) -> Raster {
        if self == Self::Upright {
            return picture;
        }
        let (width, height) = self.upright_size(picture.width, picture.height);
        let samples = match picture.channels() {
            1 => self.moved::<1>(&picture),
            _ => self.moved::<3>(&picture),
        };
        Raster {
            width,
            height,
            samples,
            ..picture
        }
    }

    /// Where the upright picture's first pixel is stored, and how many pixels on its neighbours to the right and below
    /// are stored.
    fn walk(self, width: isize, height: isize) -> (isize, isize, isize) {
        let (last_column, last_row) = (width - 1, (height - 1) * width);
        match self {
            Self::Upright => (0, 1, width),
            Self::Mirrored => (last_column, -1, width),
            Self::HalfTurn => (last_row + last_column, -1, -width),
            Self::Flipped => (last_row, 1, -width),
            Self::Transposed => (0, width, 1),
            Self::QuarterTurn => (last_row, -width, 1),
            Self::Transversed => (last_row + last_column, -width, -1),
            Self::QuarterTurnBack => (last_column, width, -1),
        }
    }

    /// Square tiles keep both the reading and the writing within the processor's cache.
    fn moved<const N: usize>(self, picture: &Raster) -> Vec<u8> {
        const TILE: usize = 32;
        let (from, _) = picture.samples.as_chunks::<N>();
        let (width, height) = self.upright_size(picture.width, picture.height);
        let (width, height) = (width as usize, height as usize);
        let (origin, right, down) = self.walk(picture.width as isize, picture.height as isize);
        let mut samples = vec![0; from.len() * N];
        let (to, _) = samples.as_chunks_mut::<N>();
        for top in (0..height).step_by(TILE) {
            for left in (0..width).step_by(TILE) {
                for y in top..height.min(top + TILE) {
                    let start = origin + y as isize * down + left as isize * right;
                    let row = &mut to[y * width + left..y * width + width.min(left + TILE)];
                    for (x, pixel) in row.iter_mut().enumerate() {
                        *pixel = from[(start + x as isize * right) as usize];
                    }
                }
            }
        }
        samples
    }
}
