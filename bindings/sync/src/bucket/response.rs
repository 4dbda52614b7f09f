//! Reads a store's response: its status, header fields, and the text of an error.

use crate::http::limited_body;
use std::io::Read as _;
use ureq::Body;
use ureq::http::Response;

/// The most bytes of an error response that are read.
const MAX_ERROR_BYTES: u64 = 64 << 10;

/// Reads the body of an error response, as far as it arrives.
pub fn error_body(response: &mut Response<Body>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let _ = limited_body(response, MAX_ERROR_BYTES).read_to_end(&mut bytes);
    bytes
}

/// A header field's value.
pub fn header<'a>(response: &'a Response<Body>, name: &str) -> Option<&'a str> {
    response.headers().get(name)?.to_str().ok()
}

/// Whether the request may be retried later.
pub fn is_busy(status: u16) -> bool {
    matches!(status, 408 | 429 | 500 | 502 | 503 | 504)
}
