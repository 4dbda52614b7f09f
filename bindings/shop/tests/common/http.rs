//! A small HTTP client over a plain socket, so that a test can send what no browser would.

#![allow(dead_code)]

use std::io::{Read, Write};
use std::net::{Ipv4Addr, TcpStream};
use std::time::Duration;

/// What came back.
#[derive(Debug)]
pub struct Answer {
    /// HTTP status code.
    pub status: u16,
    /// Header fields, names in lower case.
    pub headers: Vec<(String, String)>,
    /// The body's bytes, put together again where it came in chunks.
    pub body: Vec<u8>,
}

impl Answer {
    /// A header field's value.
    pub fn header(&self, name: &str) -> Option<&str> {
        let (_, value) = self.headers.iter().find(|(held, _)| held == name)?;
        Some(value)
    }

    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The cookie that was set, as the browser sends it back.
    pub fn cookie(&self) -> String {
        let set = self.header("set-cookie").expect("a cookie was set");
        set.split(';').next().unwrap_or_default().to_owned()
    }
}

/// Sends bytes as they are and reads until the other side closes.
pub fn raw(port: u16, bytes: &[u8]) -> Answer {
    let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).expect("the port is open");
    stream
        .set_read_timeout(Some(Duration::from_secs(60)))
        .expect("a timeout can be set");
    // The server may close early on purpose; what it answered is still read.
    let _ = stream.write_all(bytes);
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    parse(&answer)
}

/// One request with the given header fields; `Host` is added where it is not among them.
pub fn send(port: u16, method: &str, target: &str, fields: &[(&str, &str)], body: &[u8]) -> Answer {
    let mut head = format!("{method} {target} HTTP/1.1\r\nConnection: close\r\n");
    if !fields
        .iter()
        .any(|(name, _)| name.eq_ignore_ascii_case("host"))
    {
        head += &format!("Host: 127.0.0.1:{port}\r\n");
    }
    for (name, value) in fields {
        head += &format!("{name}: {value}\r\n");
    }
    if !body.is_empty() {
        head += &format!("Content-Length: {}\r\n", body.len());
    }
    let mut bytes = (head + "\r\n").into_bytes();
    bytes.extend_from_slice(body);
    raw(port, &bytes)
}

fn parse(answer: &[u8]) -> Answer {
    let end = answer
        .windows(4)
        .position(|four| four == b"\r\n\r\n")
        .expect("the answer has a head");
    let head = String::from_utf8_lossy(&answer[..end]).into_owned();
    let mut lines = head.split("\r\n");
    let status = lines
        .next()
        .and_then(|line| line.split(' ').nth(1)?.parse().ok());
    let headers: Vec<_> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_ascii_lowercase(), value.trim().to_owned()))
        .collect();
    let body = answer[end + 4..].to_vec();
    let chunked = headers
        .iter()
        .any(|(name, value)| name == "transfer-encoding" && value == "chunked");
    let body = if chunked { unchunked(&body) } else { body };
    Answer {
        status: status.expect("the answer has a status"),
        headers,
        body,
    }
}

fn unchunked(mut rest: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(end) = rest.windows(2).position(|two| two == b"\r\n") {
        let length = usize::from_str_radix(&String::from_utf8_lossy(&rest[..end]), 16).unwrap_or(0);
        if length == 0 {
            break;
        }
        body.extend_from_slice(&rest[end + 2..end + 2 + length]);
        rest = &rest[end + 2 + length + 2..];
    }
    body
}
