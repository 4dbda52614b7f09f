//! Why a picture cannot be used.

/// Why bytes are not a usable picture. The caller knows the file's name and writes the sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PictureError {
    /// A HEIC or HEIF picture, which needs a decoder that is not here.
    Heic,
    /// Another kind of picture or video, with its article: `a TIFF picture`.
    OtherFormat(&'static str),
    /// No known kind of picture.
    NotAPicture,
    /// The file ends before the picture does.
    CutShort,
    /// The picture cannot be decoded, and why.
    Damaged(String),
    /// A JPEG coding that no camera writes, and which.
    RareJpeg(&'static str),
    /// A width or height of zero, in pixels.
    NoPixels(u32, u32),
    /// More than [`crate::LARGEST_PICTURE_PIXELS`]: width and height, in pixels.
    TooManyPixels(u32, u32),
}

impl PictureError {
    /// A damaged picture, from what a decoder or encoder says: its message becomes part of a
    /// sentence.
    pub fn damaged(why: impl std::fmt::Display) -> Self {
        let why = why.to_string();
        Self::Damaged(why.trim_end_matches(['.', '\n']).replace('\n', " "))
    }
}
