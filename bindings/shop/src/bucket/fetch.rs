//! Fetching a file: where the way breaks in the middle, the rest is asked for, a few times.

use super::ask::{field, is_busy};
use holebook_core::exchange::ExchangeError;
use holebook_link::http::{limited, plain};
use std::io::{self, Read, Write};
use ureq::Body;
use ureq::http::Response;

/// How much is passed on at once, in bytes.
const PASSED_ON: usize = 128 << 10;
/// How often the rest is asked for.
const TRIES: usize = 3;

/// Writes a file into `into`, at most `most` bytes of it. `open` asks for it from a byte on; it need not get just that.
/// `refused` says why an answer has no file in it, and `broke` that the way to it broke.
///
/// # Errors
/// What `open`, `refused` and `broke` say, and where `into` cannot be written.
pub fn fetch(
    name: &str,
    most: u64,
    into: &mut dyn Write,
    open: impl Fn(u64) -> Result<Response<Body>, ExchangeError>,
    refused: impl Fn(&mut Response<Body>) -> ExchangeError,
    broke: impl Fn(String) -> ExchangeError,
) -> Result<(), ExchangeError> {
    let mut done = 0;
    let mut tries = TRIES;
    loop {
        let mut response = open(done)?;
        let skip = match response.status().as_u16() {
            200 => done,
            206 if begins_at(&response, done) => 0,
            status if is_busy(status) => return Err(broke(format!("it is busy, status {status}"))),
            _ => return Err(refused(&mut response)),
        };
        let mut from = limited(&mut response, skip + most - done);
        let before = done;
        let passed = io::copy(&mut (&mut from).take(skip), &mut io::sink());
        let passed = passed
            .map(drop)
            .and_then(|()| pass_on(&mut from, into, &mut done, name));
        match passed {
            Ok(Passed::All) => return Ok(()),
            Ok(Passed::NotWritten(error)) => return Err(error),
            Err(error) if tries == 0 || done == before => return Err(broke(plain(&error))),
            Err(_) => tries -= 1,
        }
    }
}

enum Passed {
    All,
    NotWritten(ExchangeError),
}

/// Passes on what comes, and counts it.
fn pass_on(
    from: &mut impl Read,
    into: &mut dyn Write,
    done: &mut u64,
    name: &str,
) -> io::Result<Passed> {
    let mut piece = vec![0; PASSED_ON];
    loop {
        let read = from.read(&mut piece)?;
        if read == 0 {
            return Ok(Passed::All);
        }
        if let Err(error) = into.write_all(&piece[..read]) {
            let (file, detail) = (name.to_owned(), error.to_string());
            return Ok(Passed::NotWritten(ExchangeError::Shelf { file, detail }));
        }
        *done += read as u64;
    }
}

fn begins_at(response: &Response<Body>, byte: u64) -> bool {
    field(response, "content-range")
        .is_some_and(|range| range.starts_with(&format!("bytes {byte}-")))
}
