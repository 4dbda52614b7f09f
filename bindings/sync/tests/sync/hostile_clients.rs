//! Clients that are not paired, revoked, slow, or send too much.

use holebook_core::photo::PhotoHash;
use holebook_core::sync::{Remote as _, SyncError};
use holebook_sync::LanRemote;
use holebook_sync::server::Limits;
use holebook_test_support::http_head::field;
use holebook_test_support::raw_tls::{RawTls, request, request_with_body, token};
use holebook_test_support::{TestNotebook, TestShopComputer, notebooks, test_limits};
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// Requests for everything that is served, and for what an attacker might try.
fn all_requests(computer: &TestShopComputer) -> Vec<(&'static str, String)> {
    let head = computer.notebook.heads().unwrap().remove(0);
    let lines = holebook_core::sync::Segment::ending_at(&head, 1);
    let photo = computer.notebook.photos().hashes().unwrap().remove(0);
    let mut all = vec![
        ("GET", "/journal".to_owned()),
        ("GET", format!("/{lines}?from=1")),
        ("PUT", format!("/{lines}")),
        ("GET", format!("/photos/{photo}")),
        ("PUT", format!("/photos/{photo}")),
        ("POST", "/done".to_owned()),
    ];
    for path in [
        "/",
        "/pair",
        "/pair/exchange",
        "/pair/digits",
        "/notebook.sqlite",
        "/link.sqlite",
        "/../link.sqlite",
        "/photos/",
        "/castings",
        "*",
    ] {
        all.extend(["GET", "PUT", "DELETE", "OPTIONS"].map(|method| (method, path.to_owned())));
    }
    all
}

fn shop_computer() -> TestShopComputer {
    let computer = TestShopComputer::start();
    computer.add_castings("shop", 3);
    computer.add_photo(1, 100);
    computer
}

#[test]
fn unpaired_client_gets_the_same_empty_401_for_every_request() {
    let computer = shop_computer();
    let unknown = "A".repeat(43);
    for (method, path) in all_requests(&computer) {
        for token in [None, Some(unknown.as_str()), Some("x"), Some("")] {
            let response =
                RawTls::connect(computer.address()).send(request(method, &path, token).as_bytes());
            let response = response.unwrap();
            assert_eq!(
                (response.status, response.body.len()),
                (401, 0),
                "{method} {path} {token:?}"
            );
            let mut names: Vec<_> = response
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
    let mut twice = request("GET", "/journal", Some(&unknown));
    twice = twice.replacen(
        "\r\n",
        &format!("\r\nAuthorization: Bearer {unknown}\r\n"),
        1,
    );
    assert_eq!(
        RawTls::connect(computer.address())
            .send(twice.as_bytes())
            .unwrap()
            .status,
        401
    );
}

#[test]
fn paired_device_can_access_only_the_sync_routes() {
    let computer = shop_computer();
    let (phone, _) = computer.paired_device();
    let token = token(&phone);
    let known = |path: &str| path == "/journal" || path == "/done" || path.contains("-");
    for (method, path) in all_requests(&computer) {
        let response = RawTls::connect(computer.address())
            .send(request(method, &path, Some(&token)).as_bytes())
            .unwrap();
        let is_photo = path.starts_with("/photos/") && path.len() > 20;
        let expected = match method {
            _ if !known(&path) && !is_photo => [404].as_slice(),
            // An empty body is no lines; a photo that is already there counts as pushed.
            "PUT" => &[204, 422],
            _ => &[200, 204],
        };
        assert!(
            expected.contains(&response.status),
            "{method} {path}: {response:?}"
        );
    }
}

#[test]
fn revoked_device_is_rejected_from_its_next_request() {
    let computer = shop_computer();
    let (phone, shop) = computer.paired_device();
    let remote = LanRemote::open(&phone.store, &shop, &[]).unwrap();
    assert!(remote.list(None).unwrap().is_some());
    let device = computer.store.devices().unwrap()[0].id;
    // Over another connection, as another program would.
    holebook_sync::PairingStore::open(computer.dir.path())
        .unwrap()
        .revoke(device)
        .unwrap();
    let errors = [
        remote.list(None).unwrap_err(),
        remote.finish().unwrap_err(),
        remote
            .push_photo(&PhotoHash::of(b"x"), 100_000_000, &mut std::io::repeat(0))
            .unwrap_err(),
        phone.sync(&shop).unwrap_err(),
    ];
    for error in errors {
        assert!(matches!(error, SyncError::AccessDenied { .. }), "{error}");
        assert!(error.to_string().contains("revoked"), "{error}");
    }
    assert_eq!(
        computer.store.devices().unwrap().len(),
        1,
        "it stays listed"
    );
}

#[test]
fn unknown_device_gets_an_error_that_says_so() {
    let computer = shop_computer();
    let (phone, shop) = computer.paired_device();
    let conn = rusqlite::Connection::open(phone.store.file()).unwrap();
    conn.execute("UPDATE shop SET token = zeroblob(32)", [])
        .unwrap();
    let error = phone.sync(&shop).unwrap_err();
    assert!(matches!(error, SyncError::AccessDenied { .. }), "{error}");
    assert!(
        error.to_string().contains("does not know this device"),
        "{error}"
    );
}

#[test]
fn another_computer_at_the_address_is_rejected() {
    let mut computer = shop_computer();
    let (phone, shop) = computer.paired_device();
    computer.stop();
    let mut other = TestShopComputer::start();
    other.stop();
    other.port = computer.port;
    other.resume();
    let error = phone.sync(&shop).unwrap_err();
    assert!(matches!(error, SyncError::AccessDenied { .. }), "{error}");
    assert!(
        error.to_string().contains("a different computer"),
        "{error}"
    );
}

#[test]
fn plain_http_gets_no_response() {
    let computer = shop_computer();
    let mut plain = TcpStream::connect(computer.address()).unwrap();
    plain
        .set_read_timeout(Some(Duration::from_secs(20)))
        .unwrap();
    plain
        .write_all(b"GET /journal HTTP/1.1\r\nHost: x\r\n\r\n")
        .unwrap();
    let mut response = Vec::new();
    // The connection may be closed or torn down; either ends it.
    let _ = plain.read_to_end(&mut response);
    assert!(
        !response.starts_with(b"HTTP") && response.len() < 16,
        "{response:?}"
    );
}

#[test]
fn body_or_head_over_its_limit_is_rejected_unread() {
    let computer = shop_computer();
    let (phone, _) = computer.paired_device();
    let token = token(&phone);
    let head = computer.notebook.heads().unwrap().remove(0);
    let lines = format!("/{}", holebook_core::sync::Segment::ending_at(&head, 1));
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    for (path, announced) in [
        (&photo, 200_000_001_u64),
        (&lines, 6 << 20),
        (&photo, u64::MAX),
    ] {
        let head = request("PUT", path, Some(&token));
        let head = head.replacen("\r\n", &format!("\r\nContent-Length: {announced}\r\n"), 1);
        let response = RawTls::connect(computer.address()).send(head.as_bytes());
        let status = response.map(|response| response.status).unwrap();
        // A length beyond 64 bits is rejected as a head that is too large.
        assert!([413, 431].contains(&status), "{path} {announced}: {status}");
    }
    let chunked = request("PUT", &lines, Some(&token));
    let chunked = chunked.replacen("\r\n", "\r\nTransfer-Encoding: chunked\r\n", 1);
    let mut raw = RawTls::connect(computer.address());
    raw.0.write_all(chunked.as_bytes()).unwrap();
    let chunk = [b"100000\r\n".as_slice(), &vec![b'x'; 1 << 20], b"\r\n"].concat();
    let sent = (0..8)
        .take_while(|_| raw.0.write_all(&chunk).is_ok())
        .count();
    assert!(sent < 8 || raw.response().is_ok_and(|response| response.status == 413));
    let small = request_with_body("POST", "/pair", None, &[b' '; 5000]);
    assert_eq!(
        RawTls::connect(computer.address())
            .send(&small)
            .unwrap()
            .status,
        413
    );
    let long = format!(
        "GET /journal HTTP/1.1\r\nX: {}\r\n\r\n",
        "x".repeat(200_000)
    );
    let response = RawTls::connect(computer.address()).send(long.as_bytes());
    assert!(response.is_err() || response.is_ok_and(|response| response.status == 431));
    let many = format!("GET /journal HTTP/1.1\r\n{}\r\n", "X: y\r\n".repeat(100));
    let response = RawTls::connect(computer.address()).send(many.as_bytes());
    assert!(response.is_err() || response.is_ok_and(|response| response.status == 431));
}

#[test]
fn slow_client_is_disconnected() {
    let limits = Limits {
        // Long enough for the other clients even on a busy machine.
        handshake_timeout: Duration::from_secs(3),
        header_timeout: Duration::from_secs(3),
        idle_timeout: Duration::from_secs(3),
        ..test_limits()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let (phone, shop) = computer.paired_device();
    let token = token(&phone);
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    let body =
        request("PUT", &photo, Some(&token)).replacen("\r\n", "\r\nContent-Length: 100000\r\n", 1);
    let pairing = request("POST", "/pair", None).replacen("\r\n", "\r\nContent-Length: 100\r\n", 1);
    let since = Instant::now();
    let silent = TcpStream::connect(computer.address()).unwrap();
    let mut starts = vec![String::new(), "GET /journal HT".to_owned(), body];
    let slow: Vec<_> = starts
        .drain(..)
        .map(|start| {
            let mut raw = RawTls::connect(computer.address());
            raw.0.write_all(start.as_bytes()).unwrap();
            raw.0.flush().unwrap();
            raw
        })
        .collect();
    // Other devices are served meanwhile.
    phone.add_castings("barn", 1);
    phone.sync(&shop).unwrap();
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
    let mut raw = RawTls::connect(computer.address());
    raw.0.write_all(pairing.as_bytes()).unwrap();
    assert_eq!(
        raw.response().unwrap().status,
        400,
        "an unpaired client's body has a timeout of five seconds"
    );
}

#[test]
fn body_slower_than_the_minimum_rate_is_rejected() {
    let limits = Limits {
        idle_timeout: Duration::from_secs(1),
        min_bytes_per_second: 1 << 20,
        ..test_limits()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let (phone, _) = computer.paired_device();
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    let head = request("PUT", &photo, Some(&token(&phone)));
    let head = head.replacen("\r\n", "\r\nContent-Length: 1000\r\n", 1);
    let mut raw = RawTls::connect(computer.address());
    raw.0.write_all(head.as_bytes()).unwrap();
    let sent = (0..100).take_while(|_| {
        std::thread::sleep(Duration::from_millis(100));
        raw.0.write_all(b"x").and_then(|()| raw.0.flush()).is_ok()
    });
    assert!(
        sent.count() < 60,
        "sending takes ten seconds and one is allowed"
    );
    assert_eq!(notebooks::files(computer.dir.path()), Vec::<String>::new());
}

#[test]
fn request_with_two_tokens_is_rejected() {
    let computer = shop_computer();
    let (phone, _) = computer.paired_device();
    let good = format!("Authorization: Bearer {}\r\n", token(&phone));
    let other = format!("Authorization: Bearer {}\r\n", "A".repeat(43));
    for (headers, status) in [
        (good.clone(), 200),
        (format!("{good}{other}"), 401),
        (format!("{good}{good}"), 401),
    ] {
        let get = format!("GET /journal HTTP/1.1\r\nHost: x\r\n{headers}\r\n");
        let response = RawTls::connect(computer.address())
            .send(get.as_bytes())
            .unwrap();
        assert_eq!(response.status, status);
    }
}

#[test]
fn stalled_device_does_not_delay_another() {
    // A device may stall for this long without others waiting for it.
    let limits = Limits {
        idle_timeout: Duration::from_secs(60),
        ..test_limits()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let (slow, _) = computer.paired_device();
    let (phone, shop) = computer.paired_device();
    phone.add_castings("barn", 3);
    phone.add_photo(2, 100);
    let head = phone.notebook.heads().unwrap().remove(0);
    let lines = format!("/{}", holebook_core::sync::Segment::ending_at(&head, 1));
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    let paths = [lines.as_str(); 4].into_iter().chain([&*photo; 12]);
    let stalled = paths.map(|path| {
        let head = request("PUT", path, Some(&token(&slow)));
        let head = head.replacen("\r\n", "\r\nContent-Length: 10000\r\n", 1);
        let mut raw = RawTls::connect(computer.address());
        raw.0.write_all(head.as_bytes()).unwrap();
        raw.0.flush().unwrap();
        raw
    });
    let stalled: Vec<RawTls> = stalled.collect();
    std::thread::sleep(Duration::from_millis(500));
    let since = Instant::now();
    let report = phone.sync(&shop).unwrap();
    assert_eq!(report.photos_pushed, 1);
    assert!(
        since.elapsed() < Duration::from_secs(30),
        "{:?}",
        since.elapsed()
    );
    drop(stalled);
}

#[test]
fn error_response_does_not_reveal_the_notebooks_folder() {
    let computer = shop_computer();
    let (phone, _) = computer.paired_device();
    let photo = format!("/photos/{}", PhotoHash::of(b"x"));
    for body in [b"another".as_slice(), b""] {
        let put = request_with_body("PUT", &photo, Some(&token(&phone)), body);
        let response = RawTls::connect(computer.address()).send(&put).unwrap();
        let message = String::from_utf8(response.body).unwrap();
        let folder = computer.dir.path().file_name().unwrap().to_str().unwrap();
        assert_eq!(response.status, 422);
        assert!(
            !message.is_empty() && !message.contains(folder),
            "{message}"
        );
    }
}

/// Connects and finishes the handshake.
fn connected(computer: &TestShopComputer) -> RawTls {
    let mut raw = RawTls::connect(computer.address());
    raw.0.conn.complete_io(&mut raw.0.sock).unwrap();
    raw
}

#[test]
fn connections_per_address_are_limited_but_not_those_of_paired_devices() {
    let limits = Limits {
        max_connections_per_address: 3,
        ..test_limits()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let (phone, _) = computer.paired_device();
    let token = token(&phone);
    let get = |raw: &mut RawTls| {
        let response = raw.send(request("GET", "/journal", Some(&token)).as_bytes());
        response.map(|response| response.status).ok()
    };
    let mut paired = connected(&computer);
    assert_eq!(get(&mut paired), Some(200));
    // Each of these takes the place of an older one, and none that of the paired device.
    let mut idle: Vec<RawTls> = (0..10).map(|_| connected(&computer)).collect();
    assert_eq!(get(&mut paired), Some(200));
    assert_eq!(get(&mut idle[0]), None, "it was closed");
    let mut newest = idle.pop().unwrap();
    assert_eq!(get(&mut newest), Some(200));
    let mut third = connected(&computer);
    assert_eq!(get(&mut third), Some(200));
    // All three are of the paired device now, so a further one is closed.
    let mut refused = RawTls::connect(computer.address());
    assert_eq!(get(&mut refused), None);
    assert_eq!(get(&mut paired), Some(200));
}

#[test]
fn idle_connections_do_not_keep_a_paired_device_out() {
    let limits = Limits {
        max_connections: 16,
        max_connections_per_address: 1000,
        ..test_limits()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let (phone, shop) = computer.paired_device();
    phone.add_castings("barn", 1);
    let silent: Vec<TcpStream> = (0..300)
        .map(|_| TcpStream::connect(computer.address()).unwrap())
        .collect();
    let since = Instant::now();
    assert_eq!(phone.sync(&shop).unwrap().entries_pushed, 1);
    assert!(
        since.elapsed() < Duration::from_secs(5),
        "{:?}",
        since.elapsed()
    );
    drop(silent);
}

#[test]
fn unchanged_listing_is_a_304_without_a_body() {
    let computer = shop_computer();
    let (phone, _) = computer.paired_device();
    let token = token(&phone);
    let mut raw = RawTls::connect(computer.address());
    let first = raw
        .send(request("GET", "/journal", Some(&token)).as_bytes())
        .unwrap();
    let tag = field(&first.head, "etag").unwrap();
    let again = request("GET", "/journal", Some(&token));
    let again = again.replacen("\r\n", &format!("\r\nIf-None-Match: {tag}\r\n"), 1);
    let second = raw.send(again.as_bytes()).unwrap();
    assert_eq!((second.status, second.body.len()), (304, 0));
    computer.add_castings("more", 1);
    let third = raw.send(again.as_bytes()).unwrap();
    assert_eq!(third.status, 200);
    assert_ne!(field(&third.head, "etag").unwrap(), tag);
}

/// Another program sees TLS 1.3 only, and the key of the fingerprint.
#[test]
fn curl_verifies_the_same_key() {
    let computer = shop_computer();
    let fingerprint = computer.store.fingerprint().unwrap().to_string();
    // curl takes base64 with the standard alphabet and padding.
    let right = fingerprint.replace('-', "+").replace('_', "/") + "=";
    let wrong = format!("{}A=", "A".repeat(42));
    let run_curl = |pin: &str, more: &[&str]| {
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
            .arg(format!("https://127.0.0.1:{}/journal", computer.port))
            .output()
            .expect("these tests need curl");
        (
            output.status.code().unwrap(),
            String::from_utf8(output.stdout).unwrap(),
        )
    };
    assert_eq!(run_curl(&right, &[]), (0, "401".to_owned()));
    // 90: the pinned key does not match; 35: no common TLS version (curl's manual, exit codes).
    assert_eq!(run_curl(&wrong, &[]), (90, "000".to_owned()));
    assert_eq!(
        run_curl(&right, &["--tls-max", "1.2"]),
        (35, "000".to_owned())
    );
}
