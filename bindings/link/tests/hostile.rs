//! A server with the right key that does not keep to what was agreed: the device comes to no harm and says what happened.

#![allow(clippy::unwrap_used)]

mod common;

use common::books::stretch;
use common::raw::pretend;
use common::{Bench, Desk, files};
use holebook_core::exchange::{ExchangeError, Shelf as _};
use holebook_core::photo::PhotoHash;
use holebook_link::LanShelf;
use std::io::{self, Write};

/// A device whose shop computer's place was taken by one that answers as `answering` says, with the same key.
fn device(
    answering: impl Fn(&str, &mut dyn Write) -> io::Result<()> + Send + Sync + 'static,
) -> (Desk, LanShelf) {
    let mut bench = Bench::start();
    let (phone, shop) = bench.paired();
    bench.stop();
    let address = pretend(&bench.desk, answering);
    let shelf = LanShelf::open(&phone.store, &shop, &[address]).unwrap();
    (phone, shelf)
}

fn answers(text: &'static str) -> impl Fn(&str, &mut dyn Write) -> io::Result<()> {
    move |_, out| out.write_all(text.as_bytes())
}

#[test]
fn a_full_disk_over_there_is_said_so() {
    let (_, shelf) = device(answers(
        "HTTP/1.1 507 Insufficient Storage\r\nContent-Length: 0\r\n\r\n",
    ));
    let lines = shelf.leave_lines(&stretch(), b"{}\n").unwrap_err();
    let photo = shelf
        .leave_photo(&PhotoHash::of(b"x"), 1, &mut &b"x"[..])
        .unwrap_err();
    for error in [lines, photo] {
        assert!(matches!(error, ExchangeError::ShelfFull { .. }), "{error}");
        assert!(error.to_string().contains("the shop computer"), "{error}");
    }
}

#[test]
fn what_is_no_answer_is_an_error_in_a_sentence() {
    for text in [
        "",
        "no http at all\r\n\r\n",
        "HTTP/1.1 200 OK\r\nContent-Length: 1000\r\n\r\nshort",
        "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
        "HTTP/1.1 304 Not Modified\r\n\r\n",
        "HTTP/1.1 301 Moved\r\nLocation: https://127.0.0.1:1/\r\nContent-Length: 0\r\n\r\n",
        "HTTP/1.1 500 No\r\nContent-Length: 9\r\n\r\nit\x1b[31mhurts",
    ] {
        let (_, shelf) = device(answers(text));
        let error = shelf.survey(None).unwrap_err();
        assert!(
            matches!(
                error,
                ExchangeError::Unreachable { .. } | ExchangeError::Shelf { .. }
            ),
            "{text}: {error}"
        );
        assert!(!error.to_string().contains('\x1b'));
    }
}

/// Sends for as long as it is listened to, up to a gigabyte; gives up with an error where it is not.
fn without_end(out: &mut dyn Write, piece: &[u8]) -> io::Result<()> {
    for _ in 0..(1 << 30) / piece.len() {
        out.write_all(piece)?;
    }
    panic!("a gigabyte was listened to");
}

#[test]
fn what_has_no_end_is_not_read_to_its_end() {
    let endless = |head: &'static str| {
        move |_: &str, out: &mut dyn Write| {
            out.write_all(head.as_bytes())?;
            without_end(out, &[b'x'; 16 << 10])
        }
    };
    let body = "HTTP/1.1 200 OK\r\n\r\n";
    let (_, shelf) = device(endless(body));
    assert!(shelf.survey(None).is_err());
    assert!(shelf.lines(&stretch(), 1).is_err());
    let mut bytes = 0;
    let _ = shelf.photo(&PhotoHash::of(b"x"), &mut Counting(&mut bytes));
    assert!(bytes <= 200_000_001, "{bytes}");
    let (_, shelf) = device(endless("HTTP/1.1 200 OK\r\nX: "));
    assert!(shelf.survey(None).is_err());
    let (_, shelf) = device(endless("HTTP/1.1 422 No\r\n\r\n"));
    let error = shelf.lines(&stretch(), 1).unwrap_err();
    assert!(
        matches!(error, ExchangeError::File(_)) && error.to_string().len() < 1000,
        "{error}"
    );
}

struct Counting<'a>(&'a mut u64);

impl Write for Counting<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        *self.0 += bytes.len() as u64;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_photo_that_is_not_what_its_name_says_is_not_taken() {
    let photo = PhotoHash::of(b"the photo");
    let (phone, shelf) = device(move |head, out| {
        let body = if head.starts_with("GET /shelf") {
            format!("photos/{photo} 9\n")
        } else {
            "not it at all".to_owned()
        };
        write!(
            out,
            "HTTP/1.1 200 OK\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        )
    });
    let survey = shelf.survey(None).unwrap().unwrap();
    assert_eq!(survey.photos.get(&photo), Some(&9));
    let taken = phone
        .notebook
        .photos()
        .adopt_with(&photo, |file| shelf.photo(&photo, file));
    assert!(taken.is_err());
    assert_eq!(files(phone.dir.path()), Vec::<String>::new());
}
