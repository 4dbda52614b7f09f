//! A small HTTP client over a plain socket, so that a test can send what no browser would.

use std::io::{Read, Write};
use std::net::{Ipv4Addr, TcpStream};
use std::time::Duration;

/// What came back.
#[derive(Debug)]
pub struct HttpResponse {
    /// HTTP status code.
    pub status: u16,
    /// Header fields, names in lower case.
    pub headers: Vec<(String, String)>,
    /// The body, without its chunk lengths if it came in chunks.
    pub body: Vec<u8>,
}

impl HttpResponse {
    /// The value of a header field; `name` is in lower case.
    #[must_use]
    pub fn header(&self, name: &str) -> Option<&str> {
        let (_, value) = self.headers.iter().find(|(field, _)| field == name)?;
        Some(value)
    }

    /// The body as text.
    #[must_use]
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// The cookie that was set, as the browser sends it back.
    ///
    /// # Panics
    /// If none was set.
    #[must_use]
    pub fn cookie(&self) -> String {
        let set = self.header("set-cookie").expect("a cookie was set");
        set.split(';').next().unwrap_or_default().to_owned()
    }
}

/// Sends bytes as they are to a port of loopback, and reads until the server closes.
///
/// # Panics
/// If the port is closed, or what came back is not an HTTP response.
#[must_use]
pub fn send_raw(port: u16, bytes: &[u8]) -> HttpResponse {
    let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, port)).expect("the port is open");
    stream
        .set_read_timeout(Some(Duration::from_secs(60)))
        .unwrap();
    // The server may close early on purpose; its response is still read.
    let _ = stream.write_all(bytes);
    let mut response = Vec::new();
    let _ = stream.read_to_end(&mut response);
    parse(&response)
}

/// Sends one request with these header fields; adds `Host` if it is not among them.
///
/// # Panics
/// As [`send_raw`].
#[must_use]
pub fn send(
    port: u16,
    method: &str,
    target: &str,
    fields: &[(&str, &str)],
    body: &[u8],
) -> HttpResponse {
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
    send_raw(port, &bytes)
}

fn parse(response: &[u8]) -> HttpResponse {
    let end = response
        .windows(4)
        .position(|window| window == b"\r\n\r\n")
        .expect("the response has a head");
    let head = String::from_utf8_lossy(&response[..end]).into_owned();
    let mut lines = head.split("\r\n");
    let status = lines
        .next()
        .and_then(|line| line.split(' ').nth(1)?.parse().ok());
    let headers: Vec<_> = lines
        .filter_map(|line| line.split_once(':'))
        .map(|(name, value)| (name.to_ascii_lowercase(), value.trim().to_owned()))
        .collect();
    let body = response[end + 4..].to_vec();
    let chunked = headers
        .iter()
        .any(|(name, value)| name == "transfer-encoding" && value == "chunked");
    let body = if chunked { join_chunks(&body) } else { body };
    HttpResponse {
        status: status.expect("the response has a status"),
        headers,
        body,
    }
}

fn join_chunks(mut rest: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(end) = rest.windows(2).position(|window| window == b"\r\n") {
        let length = usize::from_str_radix(&String::from_utf8_lossy(&rest[..end]), 16).unwrap_or(0);
        if length == 0 {
            break;
        }
        body.extend_from_slice(&rest[end + 2..end + 2 + length]);
        rest = &rest[end + 2 + length + 2..];
    }
    body
}

#[cfg(test)]
mod tests {
    use super::parse;

    #[test]
    fn response_in_chunks_is_joined() {
        let response = parse(
            b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\nSet-Cookie: a=b; Path=/\r\n\r\n\
              3\r\nabc\r\n2\r\nde\r\n0\r\n\r\n",
        );
        assert_eq!((response.status, &*response.text()), (200, "abcde"));
        assert_eq!(response.cookie(), "a=b");
    }
}
