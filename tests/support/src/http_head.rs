//! Heads of HTTP requests and responses, read by hand.

use std::io;

/// Reads a head with the empty line that ends it, and no byte of what follows.
///
/// # Errors
/// If the connection ends before the head does, or a read fails.
///
/// # Panics
/// If it is not UTF-8.
pub fn read_head(from: &mut impl io::Read) -> io::Result<String> {
    let mut head = Vec::new();
    while !head.ends_with(b"\r\n\r\n") {
        let mut byte = [0];
        from.read_exact(&mut byte)?;
        head.push(byte[0]);
    }
    Ok(String::from_utf8(head).unwrap())
}

/// The value of a header field, in any case.
#[must_use]
pub fn field<'a>(head: &'a str, name: &str) -> Option<&'a str> {
    head.lines().find_map(|line| {
        let (key, value) = line.split_once(':')?;
        key.eq_ignore_ascii_case(name).then(|| value.trim())
    })
}
