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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::cell::RefCell;

    const FILE: &[u8] = b"a photo that goes over in pieces";

    /// An answer: its status, where what it has begins, and where the way breaks.
    type Answer = (u16, usize, usize);

    /// What came over these answers, and from which bytes on was asked.
    fn fetched(answers: &[Answer]) -> (Vec<u64>, Result<Vec<u8>, ExchangeError>) {
        let asked = RefCell::new(Vec::new());
        let open = |from: u64| {
            let (status, start, end) = answers[asked.borrow().len()];
            asked.borrow_mut().push(from);
            let breaks = (end < FILE.len()).then(|| io::ErrorKind::ConnectionReset.into());
            let body = FILE[start..end].chain(Ends(breaks));
            let range = format!("bytes {start}-{}/{}", FILE.len() - 1, FILE.len());
            let response = Response::builder().status(status);
            let response = response.header("content-range", range);
            Ok(response.body(Body::builder().reader(body)).unwrap())
        };
        let told = |detail| ExchangeError::Shelf {
            file: "photos/x".to_owned(),
            detail,
        };
        let refused = |response: &mut Response<Body>| told(response.status().to_string());
        let mut into = Vec::new();
        let done = fetch("photos/x", 100, &mut into, open, refused, told);
        (asked.into_inner(), done.map(|()| into))
    }

    /// Ends, or breaks off.
    struct Ends(Option<io::Error>);

    impl Read for Ends {
        fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
            self.0.take().map_or(Ok(0), Err)
        }
    }

    #[test]
    fn where_the_way_breaks_the_rest_is_asked_for() {
        let (asked, came) = fetched(&[(200, 0, 12), (206, 12, 20), (206, 20, FILE.len())]);
        assert_eq!((asked, came.unwrap()), (vec![0, 12, 20], FILE.to_vec()));
    }

    #[test]
    fn where_all_of_it_comes_again_what_was_there_already_is_passed_over() {
        let (asked, came) = fetched(&[(200, 0, 12), (200, 0, FILE.len())]);
        assert_eq!((asked, came.unwrap()), (vec![0, 12], FILE.to_vec()));
    }

    #[test]
    fn another_part_than_the_one_that_was_asked_for_is_not_taken() {
        let (_, came) = fetched(&[(200, 0, 12), (206, 7, FILE.len())]);
        assert!(came.is_err());
    }
}
