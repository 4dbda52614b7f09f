//! Pixels in memory.

/// Whether pixels have colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tone {
    Grey,
    Colour,
}

/// Rows of 8-bit pixels from the top, left to right: one sample each if grey, else red, green and blue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Raster {
    pub width: u32,
    pub height: u32,
    pub tone: Tone,
    pub samples: Vec<u8>,
}

impl Raster {
    /// Samples a pixel.
    pub(super) const fn channels(&self) -> usize {
        match self.tone {
            Tone::Grey => 1,
            Tone::Colour => 3,
        }
    }
}
