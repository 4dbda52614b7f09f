//! Strict percent-decoding: malformed text is rejected, never guessed at.

use std::borrow::Cow;

/// Why a text could not be decoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DecodeError {
    /// A `%` without two hexadecimal digits after it.
    #[error("a % in the address or form is not followed by two hexadecimal digits")]
    BadEscape,
    /// The bytes are not UTF-8.
    #[error("the address or form is not UTF-8 text")]
    NotUtf8,
    /// A zero byte.
    #[error("the address or form contains a zero byte")]
    ZeroByte,
}

/// Decodes a path such as `/hole/a%20b`.
///
/// # Errors
/// [`DecodeError`].
pub fn decode_path(encoded: &str) -> Result<String, DecodeError> {
    decode_text(encoded)
}

/// Decodes the pairs of a query or of a form's body, where `+` is a space.
///
/// # Errors
/// [`DecodeError`].
pub fn decode_pairs(encoded: &[u8]) -> Result<Vec<(String, String)>, DecodeError> {
    let encoded = std::str::from_utf8(encoded).map_err(|_| DecodeError::NotUtf8)?;
    let parts = encoded.split('&').filter(|part| !part.is_empty());
    parts
        .map(|part| {
            let (name, value) = part.split_once('=').unwrap_or((part, ""));
            Ok((decode_form_text(name)?, decode_form_text(value)?))
        })
        .collect()
}

fn decode_form_text(encoded: &str) -> Result<String, DecodeError> {
    decode_text(&encoded.replace('+', " "))
}

fn decode_text(encoded: &str) -> Result<String, DecodeError> {
    if !escapes_are_valid(encoded) {
        return Err(DecodeError::BadEscape);
    }
    let bytes: Cow<'_, [u8]> = percent_encoding::percent_decode_str(encoded).into();
    if bytes.contains(&0) {
        return Err(DecodeError::ZeroByte);
    }
    String::from_utf8(bytes.into_owned()).map_err(|_| DecodeError::NotUtf8)
}

fn escapes_are_valid(encoded: &str) -> bool {
    let mut after = encoded.split('%').skip(1).map(str::as_bytes);
    after.all(|rest| rest.len() >= 2 && rest[..2].iter().all(u8::is_ascii_hexdigit))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_form_decodes_as_the_url_standard_says() {
        // application/x-www-form-urlencoded as the URL standard (url.spec.whatwg.org, section 5.1)
        // parses it.
        let read =
            decode_pairs("thread=3%2F8-16&note=a+b%2Bc&empty=&alone&&name=Z%C3%A4hler".as_bytes())
                .unwrap();
        let wanted = [
            ("thread", "3/8-16"),
            ("note", "a b+c"),
            ("empty", ""),
            ("alone", ""),
            ("name", "Zähler"),
        ];
        let wanted: Vec<_> = wanted
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .into();
        assert_eq!(read, wanted);
    }

    #[test]
    fn malformed_text_is_rejected() {
        assert_eq!(decode_path("/a%"), Err(DecodeError::BadEscape));
        assert_eq!(decode_path("/a%4"), Err(DecodeError::BadEscape));
        assert_eq!(decode_path("/a%zz"), Err(DecodeError::BadEscape));
        assert_eq!(decode_path("/a%ff"), Err(DecodeError::NotUtf8));
        assert_eq!(decode_path("/a%00"), Err(DecodeError::ZeroByte));
        assert_eq!(decode_pairs(b"a=\xff"), Err(DecodeError::NotUtf8));
        assert_eq!(decode_pairs(b"a=%C3"), Err(DecodeError::NotUtf8));
        assert_eq!(decode_path("/a%2Fb").unwrap(), "/a/b");
    }
}
