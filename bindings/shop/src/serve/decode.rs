//! Percent-encoding, read strictly: what is not well formed is refused, never guessed at.

use std::borrow::Cow;

/// A text that is not percent-encoded UTF-8.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum DecodeError {
    /// A `%` without two hexadecimal digits after it.
    #[error("a % in the address or form is not followed by two hexadecimal digits")]
    Percent,
    /// The bytes are not UTF-8.
    #[error("the address or form is not UTF-8 text")]
    NotUtf8,
    /// A zero byte.
    #[error("the address or form holds a zero byte")]
    Zero,
}

/// A path such as `/hole/a%20b`; it begins with `/`.
pub fn path(encoded: &str) -> Result<String, DecodeError> {
    text(encoded)
}

/// The pairs of a query or of a form's body, where `+` stands for a space.
pub fn pairs(encoded: &[u8]) -> Result<Vec<(String, String)>, DecodeError> {
    let encoded = std::str::from_utf8(encoded).map_err(|_| DecodeError::NotUtf8)?;
    let parts = encoded.split('&').filter(|part| !part.is_empty());
    parts
        .map(|part| {
            let (name, value) = part.split_once('=').unwrap_or((part, ""));
            Ok((form_text(name)?, form_text(value)?))
        })
        .collect()
}

fn form_text(encoded: &str) -> Result<String, DecodeError> {
    text(&encoded.replace('+', " "))
}

fn text(encoded: &str) -> Result<String, DecodeError> {
    if !percents_are_whole(encoded) {
        return Err(DecodeError::Percent);
    }
    let bytes: Cow<'_, [u8]> = percent_encoding::percent_decode_str(encoded).into();
    if bytes.contains(&0) {
        return Err(DecodeError::Zero);
    }
    String::from_utf8(bytes.into_owned()).map_err(|_| DecodeError::NotUtf8)
}

fn percents_are_whole(encoded: &str) -> bool {
    let mut after = encoded.split('%').skip(1).map(str::as_bytes);
    after.all(|rest| rest.len() >= 2 && rest[..2].iter().all(u8::is_ascii_hexdigit))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_form_reads_as_the_browser_meant_it() {
        // application/x-www-form-urlencoded as the URL standard (url.spec.whatwg.org, section 5.1) parses it.
        let read = pairs("thread=3%2F8-16&note=a+b%2Bc&empty=&alone&&name=Z%C3%A4hler".as_bytes())
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
    fn what_is_not_well_formed_is_refused() {
        assert_eq!(path("/a%"), Err(DecodeError::Percent));
        assert_eq!(path("/a%4"), Err(DecodeError::Percent));
        assert_eq!(path("/a%zz"), Err(DecodeError::Percent));
        assert_eq!(path("/a%ff"), Err(DecodeError::NotUtf8));
        assert_eq!(path("/a%00"), Err(DecodeError::Zero));
        assert_eq!(pairs(b"a=\xff"), Err(DecodeError::NotUtf8));
        assert_eq!(pairs(b"a=%C3"), Err(DecodeError::NotUtf8));
        assert_eq!(path("/a%2Fb").unwrap(), "/a/b");
    }
}
