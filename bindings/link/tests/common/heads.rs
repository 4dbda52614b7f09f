//! Heads of requests and answers over HTTP, read by hand.

use std::io;

/// A head as it comes, with the line that ends it: no byte of what follows is read.
///
/// # Errors
/// Where the connection ends before it does, or a read fails.
///
/// # Panics
/// Where it is no text.
pub fn head(from: &mut impl io::Read) -> io::Result<String> {
    let mut head = Vec::new();
    while !head.ends_with(b"\r\n\r\n") {
        let mut byte = [0];
        from.read_exact(&mut byte)?;
        head.push(byte[0]);
    }
    Ok(String::from_utf8(head).unwrap())
}

/// The value of a header field.
#[must_use]
pub fn field<'a>(head: &'a str, name: &str) -> Option<&'a str> {
    head.lines().find_map(|line| {
        let (key, value) = line.split_once(':')?;
        key.eq_ignore_ascii_case(name).then(|| value.trim())
    })
}
