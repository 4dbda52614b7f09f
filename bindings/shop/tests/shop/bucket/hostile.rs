//! A store that misbehaves or is busy: the notebook stays valid, and a sentence says what happened.

use super::fake_server::{FakeServer, response};
use super::s3::write_keys;
use super::test_notebook::TestNotebook;
use holebook_core::photo::PhotoHash;
use holebook_core::sync::{Listing, Remote as _, SyncError, sync_with};
use holebook_sync::bucket::{Address, BucketOptions, BucketRemote, Keys};
use holebook_test_support::notebooks::unknown_segment;
use std::net::SocketAddr;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, mpsc};
use std::time::{Duration, Instant};

fn keys() -> Keys {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("keys.toml");
    write_keys(
        &file,
        "key = 'K'\nsecret = 'sesame'\nuser = 'ada'\npassword = 'sesame'\n",
    );
    Keys::read(&file).unwrap()
}

fn bucket(at: SocketAddr) -> BucketRemote {
    let address = Address::parse("s3://parts/barn", Some(&format!("http://{at}"))).unwrap();
    BucketRemote::open(address, keys(), BucketOptions::default()).unwrap()
}

fn folder(at: SocketAddr) -> BucketRemote {
    let address = Address::parse(&format!("http://{at}/dav"), None).unwrap();
    BucketRemote::open(address, keys(), BucketOptions::default()).unwrap()
}

/// The error in one sentence that reveals no secret.
fn sentence_of(error: &SyncError) -> String {
    let message = error.to_string();
    assert!(
        !message.contains("sesame") && !message.contains('\n'),
        "{message}"
    );
    assert!(!format!("{error:?}").contains("sesame"), "{error:?}");
    message
}

fn refused(status: &str, code: &str, more: &str) -> String {
    response(
        status,
        &format!("<Error><Code>{code}</Code><Message>secret text</Message>{more}</Error>"),
    )
}

#[test]
fn refusals_say_what_to_do() {
    for (reply, expected) in [
        (
            refused("403 Forbidden", "RequestTimeTooSkewed", ""),
            "clock is wrong; set it",
        ),
        (refused("403 Forbidden", "ExpiredToken", ""), "get new keys"),
        (
            refused("403 Forbidden", "AccessDenied", ""),
            "may list, read and write there",
        ),
        (
            response("403 Forbidden", ""),
            "may list, read and write there",
        ),
        (
            refused(
                "400 Bad Request",
                "AuthorizationHeaderMalformed",
                "<Region>eu-west-9</Region>",
            ),
            "add region = \"eu-west-9\"",
        ),
        (
            refused("301 Moved", "PermanentRedirect", ""),
            "is in another region or at another endpoint",
        ),
        (response("507 Insufficient Storage", ""), "is full"),
        (refused("409 Conflict", "QuotaExceeded", ""), "is full"),
        (
            refused("418 Teapot", "Teapot\u{1b}[2J", ""),
            "(status 418 Teapot2J)",
        ),
        (
            response("404 Not Found", "<html>lost</html>"),
            "does not respond like an S3-compatible store",
        ),
    ] {
        let error = bucket(FakeServer::with_response(reply.clone()).at)
            .list(None)
            .unwrap_err();
        let message = sentence_of(&error);
        assert!(
            message.contains(expected) && !message.contains("secret text"),
            "{reply}\n{message}"
        );
        assert!(message.contains("s3://parts/barn"), "{message}");
    }
    for (reply, expected) in [
        (
            "HTTP/1.1 401 No\r\nWWW-Authenticate: Digest realm=\"x\"\r\nContent-Length: 0\r\n\r\n"
                .to_owned(),
            "enable Basic authentication",
        ),
        (
            response("403 Forbidden", ""),
            "reading and writing are allowed",
        ),
        (
            response("405 No", ""),
            "does not respond like a WebDAV folder",
        ),
        (
            response("200 OK", "<html/>"),
            "does not respond like a WebDAV folder",
        ),
        (
            response("207 OK", "<html/>"),
            "did not send a folder listing",
        ),
        (response("423 Locked", ""), "is locked"),
        (response("302 Found", ""), "has moved"),
    ] {
        let error = folder(FakeServer::with_response(reply.clone()).at)
            .list(None)
            .unwrap_err();
        let message = sentence_of(&error);
        assert!(
            message.contains(expected) && message.contains("WebDAV folder"),
            "{reply}\n{message}"
        );
    }
}

#[test]
fn redirects_are_not_followed() {
    let other = FakeServer::with_response(response("200 OK", ""));
    let there = format!(
        "HTTP/1.1 307 There\r\nLocation: http://{}/\r\nContent-Length: 0\r\n\r\n",
        other.at
    );
    let here = FakeServer::with_response(there);
    assert!(bucket(here.at).list(None).is_err());
    assert!(folder(here.at).list(None).is_err());
    assert_eq!(other.requests().len(), 0);
}

#[test]
fn unencrypted_connection_needs_permission() {
    let address = Address::parse("http://192.0.2.1/dav", None).unwrap();
    let refused = BucketRemote::open(address, keys(), BucketOptions::default())
        .err()
        .unwrap();
    assert!(refused.to_string().contains("--unencrypted"), "{refused}");
}

#[test]
fn busy_store_is_retried_a_few_times() {
    let tries = AtomicUsize::new(0);
    let list = response(
        "200 OK",
        "<ListBucketResult><IsTruncated>false</IsTruncated></ListBucketResult>",
    );
    let at_last = FakeServer::start(move |_, out| match tries.fetch_add(1, Ordering::SeqCst) {
        0 | 1 => out.write_all(refused("503 Slow Down", "SlowDown", "").as_bytes()),
        _ => out.write_all(list.as_bytes()),
    });
    assert_eq!(
        bucket(at_last.at).list(None).unwrap().unwrap().photos.len(),
        0
    );
    let never = FakeServer::with_response(refused("503 Slow Down", "SlowDown", ""));
    let error = bucket(never.at).list(None).unwrap_err();
    assert!(
        sentence_of(&error).contains("(busy, status 503)"),
        "{error}"
    );
    assert_eq!(never.requests().len(), 4);
}

#[test]
fn canceling_works_during_retries() {
    let never = FakeServer::with_response(response("503 Slow Down", ""));
    let address = Address::parse(&format!("http://{}/dav", never.at), None).unwrap();
    let remote = BucketRemote::open(address, keys(), BucketOptions::default()).unwrap();
    let since = Instant::now();
    let result = std::thread::scope(|scope| {
        let listing = scope.spawn(|| remote.list(None));
        while never.requests().is_empty() {
            std::thread::sleep(Duration::from_millis(5));
        }
        remote.interrupt();
        listing.join().unwrap()
    });
    assert!(matches!(result, Err(SyncError::Canceled)), "{result:?}");
    assert!(never.requests().len() < 4 && since.elapsed() < Duration::from_secs(60));
}

/// Without canceling, each of these would wait half a minute or longer.
#[test]
fn canceling_ends_a_sync_with_a_server_that_stalls() {
    let stalls_before: &[&str] = &[
        "",
        "HTTP/1.1 207 Multi-Status\r\nContent-Length: 9\r\n\r\n<m",
    ];
    for start in stalls_before {
        let asked = Arc::new(AtomicBool::new(false));
        let (release, released) = mpsc::channel::<()>();
        let released = std::sync::Mutex::new(released);
        let seen = Arc::clone(&asked);
        let server = FakeServer::start(move |_, out| {
            out.write_all(start.as_bytes())?;
            out.flush()?;
            seen.store(true, Ordering::SeqCst);
            let _ = released.lock().unwrap().recv();
            Ok(())
        });
        let notebook = TestNotebook::new();
        let since = Instant::now();
        let result = sync_with(&notebook.notebook, &folder(server.at), &|_| match asked
            .load(Ordering::SeqCst)
        {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        });
        assert!(matches!(result, Err(SyncError::Canceled)), "{result:?}");
        assert!(
            since.elapsed() < Duration::from_secs(25),
            "{:?}",
            since.elapsed()
        );
        drop(release);
    }
}

#[test]
fn invalid_listing_is_rejected() {
    let page = "<ListBucketResult><Contents><Key>barn/photos/x</Key><Size>1</Size></Contents>";
    let circle = format!(
        "{page}<IsTruncated>true</IsTruncated><NextContinuationToken>a</NextContinuationToken></ListBucketResult>"
    );
    let lost = format!("{page}<IsTruncated>true</IsTruncated></ListBucketResult>");
    let bomb = "<!DOCTYPE a [<!ENTITY b 'bbbbbbbb'><!ENTITY c '&b;&b;&b;&b;'>]><ListBucketResult>&c;</ListBucketResult>";
    let deep = format!("<ListBucketResult>{}", "<a>".repeat(200_000));
    for (list, expected) in [
        (&*circle, "listing does not end"),
        (&lost, "truncated and has no continuation token"),
        (bomb, "has an unexpected form"),
        (&deep, "has an unexpected form"),
        (page, "not XML or is truncated"),
        ("", "not XML or is truncated"),
        ("\u{0}\u{1}", "not XML or is truncated"),
    ] {
        let error = bucket(FakeServer::with_response(response("200 OK", list)).at)
            .list(None)
            .unwrap_err();
        assert!(
            sentence_of(&error).contains(expected),
            "{list:.80}\n{error}"
        );
    }
    // Broken off in the middle, although its head gives the length; and endless.
    let cut = format!("HTTP/1.1 200 OK\r\nContent-Length: 5000\r\nConnection: close\r\n\r\n{page}");
    let cut = FakeServer::start(move |_, out| {
        out.write_all(cut.as_bytes())?;
        Err(std::io::ErrorKind::Other.into())
    });
    let error = bucket(cut.at).list(None).unwrap_err();
    assert!(
        sentence_of(&error).contains("the connection was lost"),
        "{error}"
    );
    let endless = FakeServer::start(|_, out| {
        out.write_all(b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n<ListBucketResult>")?;
        loop {
            out.write_all(&[b'x'; 1 << 16])?;
        }
    });
    let error = bucket(endless.at).list(None).unwrap_err();
    assert!(
        sentence_of(&error).contains("not XML or is truncated"),
        "{error}"
    );
}

#[test]
fn unknown_names_in_a_listing_are_ignored() {
    let photo = PhotoHash::of(b"x");
    let segment = unknown_segment();
    let listed = |names: &[(String, &str)]| {
        let items: String = names
            .iter()
            .map(|(name, size)| {
                format!("<Contents><Key>{name}</Key><Size>{size}</Size></Contents>")
            })
            .collect();
        response(
            "200 OK",
            &format!("<ListBucketResult>{items}<Prefix>barn/photos/</Prefix></ListBucketResult>"),
        )
    };
    let names = [
        (format!("barn/photos/{photo}"), "7"),
        (format!("barn/{segment}"), "12"),
        (format!("elsewhere/photos/{photo}"), "9"),
        ("barn/photos/../../secret".to_owned(), "1"),
        (
            format!("barn/photos/{}", photo.to_string().to_uppercase()),
            "1",
        ),
        (
            "barn/journal/x/000000000001-000000000001-0000000000000000.jsonl".to_owned(),
            "1",
        ),
        (format!("barn/photos/{}", PhotoHash::of(b"y")), "-1"),
        (
            format!("barn/photos/{}", PhotoHash::of(b"z")),
            "99999999999999999999999",
        ),
    ];
    let listing = bucket(FakeServer::with_response(listed(&names)).at)
        .list(None)
        .unwrap()
        .unwrap();
    let wanted = Listing {
        segments: [segment.clone()].into(),
        segment_sizes: [(segment, 12)].into(),
        photos: [(photo, 7)].into(),
        ..Listing::default()
    };
    assert_eq!(
        Listing {
            state: None,
            ..listing
        },
        wanted
    );
}

#[test]
fn response_is_read_up_to_a_limit() {
    let endless = FakeServer::start(|_, out| {
        out.write_all(b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n")?;
        loop {
            out.write_all(&[b'x'; 1 << 16])?;
        }
    });
    for remote in [bucket(endless.at), folder(endless.at)] {
        let lines = remote.pull_lines(&unknown_segment(), 1).unwrap();
        assert!(lines.len() < 16 << 20, "{}", lines.len());
    }
}

/// A WebDAV listing of one file with this size.
fn property(length: &str) -> String {
    response(
        "207 Multi-Status",
        &format!(
            "<D:multistatus xmlns:D='DAV:'><D:response><D:href>/dav/photos/u</D:href><D:propstat><D:prop><D:getcontentlength>{length}</D:getcontentlength></D:prop></D:propstat></D:response></D:multistatus>"
        ),
    )
}

#[test]
fn incomplete_upload_is_not_renamed() {
    let short = property("2");
    let server = FakeServer::start(move |head, out| {
        let reply = if head.starts_with("PROPFIND") {
            short.clone()
        } else {
            response("201 Created", "")
        };
        out.write_all(reply.as_bytes())
    });
    let error = folder(server.at)
        .push_photo(&PhotoHash::of(b"xyz"), 3, &mut &b"xyz"[..])
        .unwrap_err();
    assert!(
        sentence_of(&error).contains("a file did not arrive completely"),
        "{error}"
    );
    let requests = server.requests();
    assert!(
        requests
            .iter()
            .any(|line| line.starts_with("DELETE /dav/photos/unfinished-")),
        "{requests:?}"
    );
    assert!(
        !requests.iter().any(|line| line.starts_with("MOVE")),
        "{requests:?}"
    );
    assert!(
        !requests
            .iter()
            .any(|line| line.starts_with(&format!("PUT /dav/photos/{}", PhotoHash::of(b"xyz")))),
        "{requests:?}"
    );

    let whole = property("3");
    let server = FakeServer::start(move |head, out| {
        let reply = match head.split(' ').next() {
            Some("PROPFIND") => whole.clone(),
            Some("MOVE") => response("405 No", ""),
            _ => response("201 Created", ""),
        };
        out.write_all(reply.as_bytes())
    });
    let error = folder(server.at)
        .push_lines(&unknown_segment(), b"{}\n")
        .unwrap_err();
    assert!(
        sentence_of(&error).contains("does not allow renaming files"),
        "{error}"
    );
}

#[test]
fn folder_created_by_another_device_is_accepted() {
    let serve = |there: String| {
        FakeServer::start(move |head, out| {
            let reply = match head.split(' ').next() {
                Some("MKCOL") => response("403 Forbidden", ""),
                Some("PROPFIND") if head.contains("/unfinished-") => property("3"),
                Some("PROPFIND") => there.clone(),
                _ => response("201 Created", ""),
            };
            out.write_all(reply.as_bytes())
        })
    };
    let list = response("207 Multi-Status", "<multistatus xmlns='DAV:'/>");
    folder(serve(list).at)
        .push_lines(&unknown_segment(), b"{}\n")
        .unwrap();

    let error = folder(serve(response("404 Not Found", "")).at)
        .push_lines(&unknown_segment(), b"{}\n")
        .unwrap_err();
    assert!(
        sentence_of(&error).contains("does not allow this user to do that"),
        "{error}"
    );
}

/// Takes half a minute, since that is how long a body may be slow.
#[test]
fn a_listing_that_drips_a_byte_a_second_does_not_hold_a_sync() {
    let server = FakeServer::start(|_, out| {
        write!(
            out,
            "HTTP/1.1 207 Multi-Status\r\nContent-Length: 100000\r\n\r\n<multistatus xmlns=\"DAV:\">"
        )?;
        loop {
            out.write_all(b" ")?;
            out.flush()?;
            std::thread::sleep(Duration::from_secs(1));
        }
    });
    let since = Instant::now();
    let error = folder(server.at).list(None).unwrap_err();
    let message = sentence_of(&error);
    assert!(message.contains("(no answer in time)"), "{message}");
    assert!(
        since.elapsed() < Duration::from_secs(50),
        "{:?}",
        since.elapsed()
    );
}
