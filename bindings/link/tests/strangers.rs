//! What is not served: to whom, and to what.

#![allow(clippy::unwrap_used)]

mod common;

use common::heads::field;
use common::raw::{Raw, request, token, with_body};
use common::{Bench, Desk, quick};
use holebook_core::exchange::{ExchangeError, Shelf as _};
use holebook_core::photo::PhotoHash;
use holebook_link::LanShelf;
use holebook_link::server::Limits;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Requests for all that there is, and for what somebody might hope for.
fn all_requests(bench: &Bench) -> Vec<(&'static str, String)> {
    let head = bench.desk.notebook.heads().unwrap().remove(0);
    let lines = holebook_core::exchange::Stretch::to(&head, 1);
    let photo = bench.desk.notebook.photos().hashes().unwrap().remove(0);
    let mut all = vec![
        ("GET", "/shelf".to_owned()),
        ("GET", format!("/{lines}?from=1")),
        ("PUT", format!("/{lines}")),
        ("GET", format!("/photos/{photo}")),
        ("PUT", format!("/photos/{photo}")),
        ("POST", "/done".to_owned()),
    ];
    for path in [
        "/",
        "/pair",
        "/notebook.sqlite",
        "/link.sqlite",
        "/../link.sqlite",
        "/photos/",
        "/castings",
        "*",
    ] {
        all.extend(["GET", "PUT", "DELETE", "OPTIONS"].map(|method| (method, path.to_owned())));
    }
    all.push(("POST", "/pair?x=1".to_owned()));
    all
}

fn bench() -> Bench {
    let bench = Bench::start();
    bench.desk.note("bench", 3);
    bench.desk.photograph(1, 100);
    bench
}

#[test]
fn whoever_is_not_paired_gets_the_same_bare_answer_everywhere() {
    let bench = bench();
    let unknown = "A".repeat(43);
    for (method, path) in all_requests(&bench) {
        for token in [None, Some(unknown.as_str()), Some("x"), Some("")] {
            let answer =
                Raw::connect(bench.address()).ask(request(method, &path, token).as_bytes());
            let answer = answer.unwrap();
            assert_eq!(
                (answer.status, answer.body.len()),
                (401, 0),
                "{method} {path} {token:?}"
            );
            let mut names: Vec<_> = answer
                .head
                .lines()
                .skip(1)
                .filter_map(|line| line.split(':').next())
                .collect();
            names.retain(|name| !name.is_empty());
            names.sort_unstable();
            assert_eq!(
                names,
                ["connection", "content-length", "date"].as_slice(),
                "{method} {path}"
            );
        }
    }
    let mut twice = request("GET", "/shelf", Some(&unknown));
    twice = twice.replacen(
        "\r\n",
        &format!("\r\nAuthorization: Bearer {unknown}\r\n"),
        1,
    );
    assert_eq!(
        Raw::connect(bench.address())
            .ask(twice.as_bytes())
            .unwrap()
            .status,
        401
    );
}

#[test]
fn whoever_is_paired_gets_nothing_but_the_shelf() {
    let bench = bench();
    let (phone, _) = bench.paired();
    let token = token(&phone);
    let known = |path: &str| path == "/shelf" || path == "/done" || path.contains("-");
    for (method, path) in all_requests(&bench) {
        let answer = Raw::connect(bench.address())
            .ask(request(method, &path, Some(&token)).as_bytes())
            .unwrap();
        let is_photo = path.starts_with("/photos/") && path.len() > 20;
        let expected = match method {
            _ if !known(&path) && !is_photo => [404].as_slice(),
            // Nothing is no lines; a photo that is here already is as good as left.
            "PUT" => &[204, 422],
            _ => &[200, 204],
        };
        assert!(
            expected.contains(&answer.status),
            "{method} {path}: {answer:?}"
        );
    }
}

#[test]
fn a_revoked_device_is_let_in_no_more_from_its_next_request_on() {
    let bench = bench();
    let (phone, shop) = bench.paired();
    let shelf = LanShelf::open(&phone.store, &shop, &[]).unwrap();
    assert!(shelf.survey(None).unwrap().is_some());
    let device = bench.desk.store.devices().unwrap()[0].id;
    // As another program would: over a connection of its own.
    holebook_link::Store::open(bench.desk.dir.path())
        .unwrap()
        .revoke(device)
        .unwrap();
    let errors = [
        shelf.survey(None).unwrap_err(),
        shelf.finish().unwrap_err(),
        shelf
            .leave_photo(&PhotoHash::of(b"x"), 100_000_000, &mut std::io::repeat(0))
            .unwrap_err(),
        phone.exchange(&shop).unwrap_err(),
    ];
    for error in errors {
        assert!(matches!(error, ExchangeError::NotLetIn { .. }), "{error}");
        assert!(error.to_string().contains("revoked"), "{error}");
    }
    assert_eq!(
        bench.desk.store.devices().unwrap().len(),
        1,
        "it stays on the list"
    );
}

#[test]
fn a_device_that_the_shop_computer_does_not_know_is_told_so() {
    let bench = bench();
    let (phone, shop) = bench.paired();
    let conn = rusqlite::Connection::open(phone.store.file()).unwrap();
    conn.execute("UPDATE shop SET token = zeroblob(32)", [])
        .unwrap();
    let error = phone.exchange(&shop).unwrap_err();
    assert!(matches!(error, ExchangeError::NotLetIn { .. }), "{error}");
    assert!(
        error.to_string().contains("does not know this device"),
        "{error}"
    );
}

#[test]
fn another_computer_at_the_address_is_told_nothing() {
    let mut bench = bench();
    let (phone, shop) = bench.paired();
    bench.stop();
    let mut other = Bench::start();
    other.stop();
    other.port = bench.port;
    other.resume();
    let error = phone.exchange(&shop).unwrap_err();
    assert!(matches!(error, ExchangeError::NotLetIn { .. }), "{error}");
    assert!(error.to_string().contains("another computer"), "{error}");
}

#[test]
fn plain_http_gets_no_answer() {
    let bench = bench();
    let mut plain = TcpStream::connect(bench.address()).unwrap();
    plain
        .set_read_timeout(Some(Duration::from_secs(20)))
        .unwrap();
    plain
        .write_all(b"GET /shelf HTTP/1.1\r\nHost: x\r\n\r\n")
        .unwrap();
    let mut answer = Vec::new();
    // The connection may be closed or torn down; either ends it.
    let _ = plain.read_to_end(&mut answer);
    assert!(
        !answer.starts_with(b"HTTP") && answer.len() < 16,
        "{answer:?}"
    );
}

#[test]
fn what_is_too_large_is_refused_before_it_is_read() {
    let bench = bench();
    let (phone, _) = bench.paired();
    let token = token(&phone);
    let head = bench.desk.notebook.heads().unwrap().remove(0);
    let lines = format!("/{}", holebook_core::exchange::Stretch::to(&head, 1));
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    for (path, announced) in [
        (&photo, 200_000_001_u64),
        (&lines, 6 << 20),
        (&photo, u64::MAX),
    ] {
        let head = request("PUT", path, Some(&token));
        let head = head.replacen("\r\n", &format!("\r\nContent-Length: {announced}\r\n"), 1);
        let answer = Raw::connect(bench.address()).ask(head.as_bytes());
        let status = answer.map(|answer| answer.status).unwrap();
        // A length that no number holds is refused as a head that is too large.
        assert!([413, 431].contains(&status), "{path} {announced}: {status}");
    }
    let chunked = request("PUT", &lines, Some(&token));
    let chunked = chunked.replacen("\r\n", "\r\nTransfer-Encoding: chunked\r\n", 1);
    let mut raw = Raw::connect(bench.address());
    raw.0.write_all(chunked.as_bytes()).unwrap();
    let chunk = [b"100000\r\n".as_slice(), &vec![b'x'; 1 << 20], b"\r\n"].concat();
    let sent = (0..8)
        .take_while(|_| raw.0.write_all(&chunk).is_ok())
        .count();
    assert!(sent < 8 || raw.answer().is_ok_and(|answer| answer.status == 413));
    let small = with_body("POST", "/pair", None, &[b' '; 5000]);
    assert_eq!(
        Raw::connect(bench.address()).ask(&small).unwrap().status,
        413
    );
    let long = format!("GET /shelf HTTP/1.1\r\nX: {}\r\n\r\n", "x".repeat(200_000));
    let answer = Raw::connect(bench.address()).ask(long.as_bytes());
    assert!(answer.is_err() || answer.is_ok_and(|answer| answer.status == 431));
    let many = format!("GET /shelf HTTP/1.1\r\n{}\r\n", "X: y\r\n".repeat(100));
    let answer = Raw::connect(bench.address()).ask(many.as_bytes());
    assert!(answer.is_err() || answer.is_ok_and(|answer| answer.status == 431));
}

#[test]
fn whoever_is_slow_is_not_waited_for() {
    let limits = Limits {
        // Long enough for the others, also where the machine does much else.
        handshake: Duration::from_secs(3),
        head: Duration::from_secs(3),
        still: Duration::from_secs(3),
        ..quick()
    };
    let bench = Bench::start_with(Desk::new(), limits);
    let (phone, shop) = bench.paired();
    let token = token(&phone);
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    let body =
        request("PUT", &photo, Some(&token)).replacen("\r\n", "\r\nContent-Length: 100000\r\n", 1);
    let pairing = request("POST", "/pair", None).replacen("\r\n", "\r\nContent-Length: 100\r\n", 1);
    let since = Instant::now();
    let silent = TcpStream::connect(bench.address()).unwrap();
    let mut starts = vec![String::new(), "GET /shelf HT".to_owned(), body];
    let slow: Vec<_> = starts
        .drain(..)
        .map(|start| {
            let mut raw = Raw::connect(bench.address());
            raw.0.write_all(start.as_bytes()).unwrap();
            raw.0.flush().unwrap();
            raw
        })
        .collect();
    // Others are served meanwhile.
    phone.note("barn", 1);
    phone.exchange(&shop).unwrap();
    for mut raw in slow {
        let mut rest = Vec::new();
        let _ = raw.0.read_to_end(&mut rest);
        let text = String::from_utf8_lossy(&rest);
        assert!(rest.is_empty() || text.contains(" 408 "), "{text}");
    }
    let mut rest = Vec::new();
    let _ = (&silent).read_to_end(&mut rest);
    assert!(
        since.elapsed() < Duration::from_secs(25),
        "{:?}",
        since.elapsed()
    );
    let mut raw = Raw::connect(bench.address());
    raw.0.write_all(pairing.as_bytes()).unwrap();
    assert_eq!(
        raw.answer().unwrap().status,
        400,
        "a stranger's few bytes have five seconds"
    );
}

#[test]
fn a_body_that_drips_is_not_waited_for() {
    let limits = Limits {
        still: Duration::from_secs(1),
        slowest: 1 << 20,
        ..quick()
    };
    let bench = Bench::start_with(Desk::new(), limits);
    let (phone, _) = bench.paired();
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    let head = request("PUT", &photo, Some(&token(&phone)));
    let head = head.replacen("\r\n", "\r\nContent-Length: 1000\r\n", 1);
    let mut raw = Raw::connect(bench.address());
    raw.0.write_all(head.as_bytes()).unwrap();
    let dripped = (0..100).take_while(|_| {
        std::thread::sleep(Duration::from_millis(100));
        raw.0.write_all(b"x").and_then(|()| raw.0.flush()).is_ok()
    });
    assert!(
        dripped.count() < 60,
        "it drips for ten seconds and may take one"
    );
    assert_eq!(common::files(bench.desk.dir.path()), Vec::<String>::new());
}

#[test]
fn a_request_that_shows_two_tokens_is_nobody_s() {
    let bench = bench();
    let (phone, _) = bench.paired();
    let good = format!("Authorization: Bearer {}\r\n", token(&phone));
    let other = format!("Authorization: Bearer {}\r\n", "A".repeat(43));
    for (shown, status) in [
        (good.clone(), 200),
        (format!("{good}{other}"), 401),
        (format!("{good}{good}"), 401),
    ] {
        let ask = format!("GET /shelf HTTP/1.1\r\nHost: x\r\n{shown}\r\n");
        let answer = Raw::connect(bench.address()).ask(ask.as_bytes()).unwrap();
        assert_eq!(answer.status, status);
    }
}

#[test]
fn a_device_that_stands_still_keeps_no_other_waiting() {
    // As long as a device may stand still; nobody shall wait for it.
    let limits = Limits {
        still: Duration::from_secs(60),
        ..quick()
    };
    let bench = Bench::start_with(Desk::new(), limits);
    let (slow, _) = bench.paired();
    let (phone, shop) = bench.paired();
    phone.note("barn", 3);
    phone.photograph(2, 100);
    let head = phone.notebook.heads().unwrap().remove(0);
    let lines = format!("/{}", holebook_core::exchange::Stretch::to(&head, 1));
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    let places = [lines.as_str(); 4].into_iter().chain([&*photo; 12]);
    let kept = places.map(|path| {
        let head = request("PUT", path, Some(&token(&slow)));
        let head = head.replacen("\r\n", "\r\nContent-Length: 10000\r\n", 1);
        let mut raw = Raw::connect(bench.address());
        raw.0.write_all(head.as_bytes()).unwrap();
        raw.0.flush().unwrap();
        raw
    });
    let kept: Vec<Raw> = kept.collect();
    std::thread::sleep(Duration::from_millis(500));
    let since = Instant::now();
    let report = phone.exchange(&shop).unwrap();
    assert_eq!(report.photos_left, 1);
    assert!(
        since.elapsed() < Duration::from_secs(30),
        "{:?}",
        since.elapsed()
    );
    drop(kept);
}

#[test]
fn a_refusal_tells_nothing_of_where_the_shop_computer_keeps_its_notebook() {
    let bench = bench();
    let (phone, _) = bench.paired();
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    for body in [b"another".as_slice(), b""] {
        let put = with_body("PUT", &photo, Some(&token(&phone)), body);
        let answer = Raw::connect(bench.address()).ask(&put).unwrap();
        let said = String::from_utf8(answer.body).unwrap();
        let folder = bench.desk.dir.path().file_name().unwrap().to_str().unwrap();
        assert_eq!(answer.status, 422);
        assert!(!said.is_empty() && !said.contains(folder), "{said}");
    }
}

#[test]
fn one_address_has_only_so_many_connections() {
    let limits = Limits {
        connections_each: 3,
        ..quick()
    };
    let bench = Bench::start_with(Desk::new(), limits);
    let ask = request("GET", "/shelf", None);
    let mut kept: Vec<Raw> = (0..3).map(|_| Raw::connect(bench.address())).collect();
    for raw in &mut kept {
        raw.0.conn.complete_io(&mut raw.0.sock).unwrap();
    }
    assert!(Raw::connect(bench.address()).ask(ask.as_bytes()).is_err());
    kept.clear();
    let since = Instant::now();
    while Raw::connect(bench.address()).ask(ask.as_bytes()).is_err() {
        assert!(since.elapsed() < Duration::from_secs(60));
    }
}

#[test]
fn what_has_not_changed_is_a_304_without_a_body() {
    let bench = bench();
    let (phone, _) = bench.paired();
    let token = token(&phone);
    let mut raw = Raw::connect(bench.address());
    let first = raw
        .ask(request("GET", "/shelf", Some(&token)).as_bytes())
        .unwrap();
    let tag = field(&first.head, "etag").unwrap();
    let again = request("GET", "/shelf", Some(&token));
    let again = again.replacen("\r\n", &format!("\r\nIf-None-Match: {tag}\r\n"), 1);
    let second = raw.ask(again.as_bytes()).unwrap();
    assert_eq!((second.status, second.body.len()), (304, 0));
    bench.desk.note("more", 1);
    let third = raw.ask(again.as_bytes()).unwrap();
    assert_eq!(third.status, 200);
    assert_ne!(field(&third.head, "etag").unwrap(), tag);
}

/// What another program makes of the server: TLS 1.3 alone, and the key of the fingerprint.
#[test]
fn curl_sees_the_same_key() {
    let bench = bench();
    let fingerprint = bench.desk.store.fingerprint().unwrap().to_string();
    // curl writes base64 with the other alphabet, and filled up.
    let right = fingerprint.replace('-', "+").replace('_', "/") + "=";
    let wrong = format!("{}A=", "A".repeat(42));
    let ask = |pin: &str, more: &[&str]| {
        let output = std::process::Command::new("curl")
            .args([
                "--silent",
                "--insecure",
                "--noproxy",
                "*",
                "--write-out",
                "%{http_code}",
            ])
            .args(["--pinnedpubkey", &format!("sha256//{pin}")])
            .args(more)
            .arg(format!("https://127.0.0.1:{}/shelf", bench.port))
            .output()
            .expect("these tests need curl");
        (
            output.status.code().unwrap(),
            String::from_utf8(output.stdout).unwrap(),
        )
    };
    assert_eq!(ask(&right, &[]), (0, "401".to_owned()));
    // 90: the pinned key does not match; 35: no TLS that both speak (curl's manual, exit codes).
    assert_eq!(ask(&wrong, &[]), (90, "000".to_owned()));
    assert_eq!(ask(&right, &["--tls-max", "1.2"]), (35, "000".to_owned()));
}
