//! Where in a file something stands.

use std::ops::Range;

/// Something with the bytes of the file that it belongs to.
pub(super) type At<T> = (Range<usize>, T);

/// The line that a byte of the text is on, from 1.
pub(super) fn line(text: &str, byte: usize) -> usize {
    let before = text.as_bytes().iter().take(byte);
    1 + before.filter(|&&byte| byte == b'\n').count()
}
