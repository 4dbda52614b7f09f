//! A server with the right key that misbehaves: the device stays intact, and its error says what
//! happened.

use holebook_core::photo::PhotoHash;
use holebook_core::sync::{Remote as _, SyncError, sync_with};
use holebook_sync::LanRemote;
use holebook_test_support::notebooks::{files, unknown_segment};
use holebook_test_support::raw_tls::serve_with_key_of;
use holebook_test_support::{TestNotebook, TestShopComputer};
use std::io::{self, Write};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, mpsc};
use std::time::{Duration, Instant};

/// A device whose shop computer was replaced by a server with the same key that responds as `handler`
/// says.
fn device(
    handler: impl Fn(&str, &mut dyn Write) -> io::Result<()> + Send + Sync + 'static,
) -> (TestNotebook, LanRemote) {
    let mut computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    computer.stop();
    let address = serve_with_key_of(&computer, handler);
    let remote = LanRemote::open(&phone.store, &shop, &[address]).unwrap();
    (phone, remote)
}

fn response(text: &'static str) -> impl Fn(&str, &mut dyn Write) -> io::Result<()> {
    move |_, out| out.write_all(text.as_bytes())
}

#[test]
fn status_507_is_reported_as_a_full_remote() {
    let (_, remote) = device(response(
        "HTTP/1.1 507 Insufficient Storage\r\nContent-Length: 0\r\n\r\n",
    ));
    let lines = remote.push_lines(&unknown_segment(), b"{}\n").unwrap_err();
    let photo = remote
        .push_photo(&PhotoHash::of(b"x"), 1, &mut &b"x"[..])
        .unwrap_err();
    for error in [lines, photo] {
        assert!(matches!(error, SyncError::RemoteFull { .. }), "{error}");
        assert!(error.to_string().contains("the shop computer"), "{error}");
    }
}

#[test]
fn invalid_response_is_an_error_with_a_message() {
    for text in [
        "",
        "no http at all\r\n\r\n",
        "HTTP/1.1 200 OK\r\nContent-Length: 1000\r\n\r\nshort",
        "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n",
        "HTTP/1.1 304 Not Modified\r\n\r\n",
        "HTTP/1.1 301 Moved\r\nLocation: https://127.0.0.1:1/\r\nContent-Length: 0\r\n\r\n",
        "HTTP/1.1 500 No\r\nContent-Length: 9\r\n\r\nit\x1b[31mhurts",
    ] {
        let (_, remote) = device(response(text));
        let error = remote.list(None).unwrap_err();
        assert!(
            matches!(
                error,
                SyncError::Unreachable { .. } | SyncError::RemoteIo { .. }
            ),
            "{text}: {error}"
        );
        assert!(!error.to_string().contains('\x1b'));
    }
}

/// Sends until the client closes the connection, which is an error, or a gigabyte is read.
fn send_endlessly(out: &mut dyn Write, chunk: &[u8]) -> io::Result<()> {
    for _ in 0..(1 << 30) / chunk.len() {
        out.write_all(chunk)?;
    }
    panic!("a gigabyte was read");
}

#[test]
fn endless_response_is_read_up_to_a_limit() {
    let endless = |head: &'static str| {
        move |_: &str, out: &mut dyn Write| {
            out.write_all(head.as_bytes())?;
            send_endlessly(out, &[b'x'; 16 << 10])
        }
    };
    let body = "HTTP/1.1 200 OK\r\n\r\n";
    let (_, remote) = device(endless(body));
    assert!(remote.list(None).is_err());
    assert!(remote.pull_lines(&unknown_segment(), 1).is_err());
    let mut bytes = 0;
    let _ = remote.pull_photo(&PhotoHash::of(b"x"), &mut Counting(&mut bytes));
    assert!(bytes <= 200_000_001, "{bytes}");
    let (_, remote) = device(endless("HTTP/1.1 200 OK\r\nX: "));
    assert!(remote.list(None).is_err());
    let (_, remote) = device(endless("HTTP/1.1 422 No\r\n\r\n"));
    let error = remote.pull_lines(&unknown_segment(), 1).unwrap_err();
    assert!(
        matches!(error, SyncError::File(_)) && error.to_string().len() < 1000,
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
fn photo_that_does_not_match_its_hash_is_rejected() {
    let photo = PhotoHash::of(b"the photo");
    let (phone, remote) = device(move |head, out| {
        let body = if head.starts_with("GET /journal") {
            format!("photos/{photo} 9\n")
        } else {
            "something else".to_owned()
        };
        write!(
            out,
            "HTTP/1.1 200 OK\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        )
    });
    let listing = remote.list(None).unwrap().unwrap();
    assert_eq!(listing.photos.get(&photo), Some(&9));
    let pulled = phone
        .notebook
        .photos()
        .receive_with(&photo, |file| remote.pull_photo(&photo, file));
    assert!(pulled.is_err());
    assert_eq!(files(phone.dir.path()), Vec::<String>::new());
}

/// Without canceling, each of these would wait half a minute or longer.
#[test]
fn canceling_ends_a_sync_with_a_server_that_stalls() {
    let whole = "HTTP/1.1 200 OK\r\nContent-Length: 0\r\n\r\n";
    for (stalls_at, start) in [
        ("GET /journal", ""),
        (
            "GET /journal",
            "HTTP/1.1 200 OK\r\nContent-Length: 900\r\n\r\nj",
        ),
        // Before the body is asked for, and while the server does not read it.
        ("PUT /photos", ""),
        ("PUT /photos", "HTTP/1.1 100 Continue\r\n\r\n"),
    ] {
        let asked = Arc::new(AtomicBool::new(false));
        let seen = Arc::clone(&asked);
        let (release, released) = mpsc::channel::<()>();
        let released = Mutex::new(released);
        let (phone, remote) = device(move |head, out| {
            if !head.starts_with(stalls_at) {
                return out.write_all(whole.as_bytes());
            }
            out.write_all(start.as_bytes())?;
            out.flush()?;
            seen.store(true, Ordering::SeqCst);
            let _ = released.lock().unwrap().recv();
            Ok(())
        });
        phone.add_photo(1, 3000);
        let since = Instant::now();
        let result = sync_with(
            &phone.notebook,
            &remote,
            &|_| match asked.load(Ordering::SeqCst) {
                true => ControlFlow::Break(()),
                false => ControlFlow::Continue(()),
            },
        );
        assert!(matches!(result, Err(SyncError::Canceled)), "{result:?}");
        assert!(
            since.elapsed() < Duration::from_secs(25),
            "{:?}",
            since.elapsed()
        );
        assert!(asked.load(Ordering::SeqCst), "{stalls_at}");
        drop(release);
    }
}

/// Takes half a minute, since that is how long a body may be slow.
#[test]
fn server_that_drips_a_byte_a_second_does_not_hold_a_sync() {
    let (_, remote) = device(|_, out| {
        write!(out, "HTTP/1.1 200 OK\r\nContent-Length: 100000\r\n\r\n")?;
        loop {
            out.write_all(b"x")?;
            out.flush()?;
            std::thread::sleep(Duration::from_secs(1));
        }
    });
    let since = Instant::now();
    let error = remote.list(None).unwrap_err();
    assert!(matches!(error, SyncError::Unreachable { .. }), "{error}");
    assert!(
        since.elapsed() < Duration::from_secs(50),
        "{:?}",
        since.elapsed()
    );
}
