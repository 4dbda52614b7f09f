//! Positions in a file.

use std::ops::Range;

/// A value with its byte range in the file.
pub(super) type Located<T> = (Range<usize>, T);

/// Returns the line number of a byte, from 1.
pub(super) fn line_number(text: &str, byte: usize) -> usize {
    let before = text.as_bytes().iter().take(byte);
    1 + before.filter(|&&byte| byte == b'\n').count()
}
