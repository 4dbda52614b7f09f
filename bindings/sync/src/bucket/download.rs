//! Downloading a file: if the connection breaks in the middle, the rest is requested, a few times.

use super::response::{header, is_busy};
use crate::http::{io_error_text, limited_body};
use holebook_core::sync::SyncError;
use std::io::{self, Read, Write};
use ureq::Body;
use ureq::http::Response;

/// Buffer size in bytes.
const BUFFER_BYTES: usize = 128 << 10;
/// How often the rest is requested.
const MAX_RESUMES: usize = 3;

/// Writes a file to `into`, at most `most` bytes of it. `open` requests it from a byte on; the
/// server may ignore that. `refused` converts a response without a file, and `broken` a broken
/// connection, to an error.
///
/// # Errors
/// What `open`, `refused` and `broken` return, and if `into` cannot be written.
pub fn download(
    name: &str,
    most: u64,
    into: &mut dyn Write,
    open: impl Fn(u64) -> Result<Response<Body>, SyncError>,
    refused: impl Fn(&mut Response<Body>) -> SyncError,
    broken: impl Fn(String) -> SyncError,
) -> Result<(), SyncError> {
    let mut done = 0;
    let mut tries = MAX_RESUMES;
    loop {
        let mut response = open(done)?;
        let skip = match response.status().as_u16() {
            200 => done,
            206 if begins_at(&response, done) => 0,
            status if is_busy(status) => return Err(broken(format!("busy, status {status}"))),
            _ => return Err(refused(&mut response)),
        };
        let mut from = limited_body(&mut response, skip + most - done);
        let before = done;
        let passed = io::copy(&mut (&mut from).take(skip), &mut io::sink());
        let passed = passed
            .map(drop)
            .and_then(|()| copy_counted(&mut from, into, &mut done, name));
        match passed {
            Ok(CopyResult::All) => return Ok(()),
            Ok(CopyResult::NotWritten(error)) => return Err(error),
            Err(error) if tries == 0 || done == before => {
                return Err(broken(io_error_text(&error)));
            }
            Err(_) => tries -= 1,
        }
    }
}

enum CopyResult {
    All,
    NotWritten(SyncError),
}

/// Copies a body, and counts the bytes.
fn copy_counted(
    from: &mut impl Read,
    into: &mut dyn Write,
    done: &mut u64,
    name: &str,
) -> io::Result<CopyResult> {
    let mut buffer = vec![0; BUFFER_BYTES];
    loop {
        let read = from.read(&mut buffer)?;
        if read == 0 {
            return Ok(CopyResult::All);
        }
        if let Err(error) = into.write_all(&buffer[..read]) {
            let (file, detail) = (name.to_owned(), error.to_string());
            return Ok(CopyResult::NotWritten(SyncError::RemoteIo { file, detail }));
        }
        *done += read as u64;
    }
}

fn begins_at(response: &Response<Body>, byte: u64) -> bool {
    header(response, "content-range")
        .is_some_and(|range| range.starts_with(&format!("bytes {byte}-")))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::cell::RefCell;

    const FILE: &[u8] = b"a photo received in several parts";

    /// A response: its status, where its content begins, and where the connection breaks.
    type Answer = (u16, usize, usize);

    /// What was received over these responses, and from which bytes on was requested.
    fn fetched(answers: &[Answer]) -> (Vec<u64>, Result<Vec<u8>, SyncError>) {
        let requested = RefCell::new(Vec::new());
        let open = |from: u64| {
            let (status, start, end) = answers[requested.borrow().len()];
            requested.borrow_mut().push(from);
            let breaks = (end < FILE.len()).then(|| io::ErrorKind::ConnectionReset.into());
            let body = FILE[start..end].chain(Ends(breaks));
            let range = format!("bytes {start}-{}/{}", FILE.len() - 1, FILE.len());
            let response = Response::builder().status(status);
            let response = response.header("content-range", range);
            Ok(response.body(Body::builder().reader(body)).unwrap())
        };
        let io_error = |detail| SyncError::RemoteIo {
            file: "photos/x".to_owned(),
            detail,
        };
        let refused = |response: &mut Response<Body>| io_error(response.status().to_string());
        let mut into = Vec::new();
        let done = download("photos/x", 100, &mut into, open, refused, io_error);
        (requested.into_inner(), done.map(|()| into))
    }

    /// Ends, or breaks off.
    struct Ends(Option<io::Error>);

    impl Read for Ends {
        fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
            self.0.take().map_or(Ok(0), Err)
        }
    }

    #[test]
    fn rest_is_requested_after_a_broken_connection() {
        let (requested, received) = fetched(&[(200, 0, 12), (206, 12, 20), (206, 20, FILE.len())]);
        assert_eq!(
            (requested, received.unwrap()),
            (vec![0, 12, 20], FILE.to_vec())
        );
    }

    #[test]
    fn already_received_bytes_are_skipped() {
        let (requested, received) = fetched(&[(200, 0, 12), (200, 0, FILE.len())]);
        assert_eq!((requested, received.unwrap()), (vec![0, 12], FILE.to_vec()));
    }

    #[test]
    fn wrong_range_is_rejected() {
        let (_, received) = fetched(&[(200, 0, 12), (206, 7, FILE.len())]);
        assert!(received.is_err());
    }
}
