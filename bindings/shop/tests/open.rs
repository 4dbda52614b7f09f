//! `holebook open`: who is let in, from where changes are taken, and how a run begins and ends.

#![cfg(unix)]
#![allow(clippy::unwrap_used)]

mod common;

use common::http::{raw, send};
use common::showing::Showing;
use std::fs;
use std::net::TcpListener;
use std::time::{Duration, Instant};
use tempfile::TempDir;

fn open() -> (TempDir, Showing) {
    let home = tempfile::tempdir().unwrap();
    let showing = Showing::start(home.path(), &["open", "--no-open", "--no-shelf"]);
    (home, showing)
}

#[test]
fn the_printed_address_lets_in_and_nothing_else_does() {
    let (_home, showing) = open();
    let port = showing.port;
    let plain = send(port, "GET", "/", &[], b"");
    assert_eq!(plain.status, 403);
    assert!(
        plain.text().contains("the program printed"),
        "the page says how to open: {}",
        plain.text()
    );
    for target in [
        "/?key=",
        "/?key=0",
        "/settings",
        "/style.css",
        "/photo/x/original",
        &format!("/?key={}", "0".repeat(64)),
    ] {
        assert_eq!(send(port, "GET", target, &[], b"").status, 403, "{target}");
    }
    let cookie = format!("holebook-{port}={}", showing.key);
    assert_eq!(
        send(port, "GET", "/", &[("Cookie", &cookie)], b"").status,
        403,
        "the key is no cookie"
    );

    let welcome = send(port, "GET", &format!("/?key={}", showing.key), &[], b"");
    assert_eq!(
        (welcome.status, welcome.header("location")),
        (303, Some("/"))
    );
    let set = welcome.header("set-cookie").unwrap();
    for wanted in [
        &format!("holebook-{port}="),
        "; HttpOnly",
        "; SameSite=Strict",
        "; Path=/",
    ] {
        assert!(set.contains(wanted), "{wanted} is not in {set}");
    }
    assert_eq!(showing.get("/").status, 200);
    assert_eq!(showing.get("/nowhere").status, 404);
}

#[test]
fn every_answer_carries_the_carriers_fields() {
    let (_home, showing) = open();
    for answer in [
        send(showing.port, "GET", "/", &[], b""),
        showing.get("/"),
        showing.get("/nowhere"),
    ] {
        assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
        assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
        assert_eq!(
            answer.header("cross-origin-opener-policy"),
            Some("same-origin")
        );
        assert!(answer.header("content-security-policy").is_some());
    }
}

#[test]
fn a_name_from_outside_that_points_here_is_turned_away() {
    let (_home, showing) = open();
    let cookie = showing.cookie();
    for host in [
        "example.org",
        "example.org:29375",
        "127.0.0.1",
        "0.0.0.0",
        "[::1]",
    ] {
        let answer = send(
            showing.port,
            "GET",
            "/",
            &[("Cookie", &cookie), ("Host", host)],
            b"",
        );
        assert_eq!(answer.status, 403, "{host}");
    }
    let localhost = format!("localhost:{}", showing.port);
    let answer = send(
        showing.port,
        "GET",
        "/",
        &[("Cookie", &cookie), ("Host", &localhost)],
        b"",
    );
    assert_eq!(answer.status, 200);
}

#[test]
fn a_change_from_another_page_changes_nothing() {
    let (home, showing) = open();
    let cookie = showing.cookie();
    let own = format!("http://127.0.0.1:{}", showing.port);
    let next_port = format!("http://127.0.0.1:{}", showing.port.wrapping_add(1));
    let post = |fields: &[(&str, &str)]| {
        let always = [
            ("Cookie", cookie.as_str()),
            ("Content-Type", "application/x-www-form-urlencoded"),
        ];
        send(
            showing.port,
            "POST",
            "/settings",
            &[&always, fields].concat(),
            b"person=Stranger&device=Bench&unit=in",
        )
    };
    assert_eq!(post(&[]).status, 403, "no origin");
    assert_eq!(post(&[("Origin", "http://example.org")]).status, 403);
    assert_eq!(post(&[("Origin", "null")]).status, 403);
    assert_eq!(
        post(&[("Origin", &next_port)]).status,
        403,
        "another port of this computer"
    );
    assert_eq!(post(&[("Sec-Fetch-Site", "cross-site")]).status, 403);
    assert_eq!(post(&[("Sec-Fetch-Site", "same-site")]).status, 403);
    assert!(!showing.get("/settings").text().contains("Stranger"));
    assert!(post(&[("Origin", &own)]).status < 400);
    assert!(
        showing.get("/settings").text().contains("Stranger"),
        "the same change from the own page is made"
    );
    drop(home);
}

#[test]
fn what_is_too_large_or_not_text_gets_a_page_and_the_run_goes_on() {
    let (_home, showing) = open();
    let large = showing.post("/settings", &format!("person={}", "a".repeat(1 << 20)));
    assert_eq!(large.status, 413);
    assert_eq!(showing.post("/settings", "person=%C3").status, 400);
    assert_eq!(showing.get("/hole/%ff").status, 400);
    let cookie = showing.cookie();
    let head = format!(
        "POST /settings HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nConnection: close\r\nCookie: {cookie}\r\nOrigin: http://127.0.0.1:{0}\r\n\
         Content-Type: multipart/form-data; boundary=edge\r\nContent-Length: 999999999999\r\n\r\n",
        showing.port
    );
    // Says that it will send far too much, and sends nothing: the answer comes when the wait for more is over.
    assert_eq!(raw(showing.port, head.as_bytes()).status, 413);
    assert_eq!(showing.get("/").status, 200);
}

#[test]
fn two_runs_stand_side_by_side_on_two_ports() {
    let (_home, first) = open();
    let (_other_home, second) = open();
    assert_ne!(first.port, second.port);
    assert_ne!(first.key, second.key);
    let cookie = first.cookie();
    assert_eq!(
        send(second.port, "GET", "/", &[("Cookie", &cookie)], b"").status,
        403
    );
    assert_eq!((first.get("/").status, second.get("/").status), (200, 200));
}

#[test]
fn ports_in_use_by_others_are_passed_over() {
    // A port that a run of another test holds just now may be free again in a moment; only those held here stay taken.
    let held: Vec<_> = (29_375..29_385)
        .filter_map(|port| TcpListener::bind(("127.0.0.1", port)).ok())
        .collect();
    let ports: Vec<u16> = held
        .iter()
        .map(|listener| listener.local_addr().unwrap().port())
        .collect();
    assert!(!ports.is_empty());
    let (_home, showing) = open();
    assert!(
        !ports.contains(&showing.port),
        "{} is among {ports:?}",
        showing.port
    );
    drop(held);
}

#[test]
fn ctrl_c_ends_the_run_and_leaves_only_the_notebook() {
    let (home, showing) = open();
    assert_eq!(showing.get("/").status, 200);
    let status = showing.stop();
    assert_eq!(status.code(), Some(0));
    let notebook = home.path().join("holebook");
    let left: Vec<_> = fs::read_dir(&notebook)
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    assert!(
        left.iter().all(|name| name == ".in-use"
            || name == ".shelf-lock"
            || !name.to_string_lossy().starts_with('.')),
        "{left:?}"
    );
    assert!(
        left.iter().all(|name| name != "notebook.sqlite-wal"),
        "the log is carried over: {left:?}"
    );
}

#[test]
fn as_json_the_address_is_the_one_value() {
    let home = tempfile::tempdir().unwrap();
    let showing = Showing::start(home.path(), &["open", "--no-open", "--json"]);
    assert_eq!(showing.get("/").status, 200);
}

#[test]
fn a_bundle_is_written_by_the_page_and_saved() {
    let home = tempfile::tempdir().unwrap();
    let sample = home.path().join("sample");
    let sample = sample.to_str().unwrap();
    common::said(&common::run(
        home.path(),
        &["demo", "--no-open", "--notebook", sample],
    ));
    let showing = Showing::start(
        home.path(),
        &["open", "--no-open", "--no-shelf", "--notebook", sample],
    );
    assert_eq!(showing.get("/exchange/file").status, 404);
    assert_eq!(showing.post("/exchange/write", "what=all").status, 303);
    let patience = Instant::now();
    while showing.get("/exchange/file").status != 200 {
        assert!(patience.elapsed() < Duration::from_secs(120));
        std::thread::sleep(Duration::from_millis(50));
    }
    let file = showing.get("/exchange/file");
    assert_eq!(file.header("content-type"), Some("application/zip"));
    let named = file.header("content-disposition").unwrap();
    assert!(
        named.starts_with("attachment; filename=\"holebook-"),
        "{named}"
    );
    let saved = home.path().join("saved.zip");
    std::fs::write(&saved, &file.body).unwrap();
    let barn = home.path().join("barn");
    let words = [
        "exchange",
        "--bundle",
        saved.to_str().unwrap(),
        "--json",
        "--notebook",
        barn.to_str().unwrap(),
    ];
    let taken = common::json(&common::run(home.path(), &words));
    assert!(taken["entries_taken"].as_u64().unwrap() > 100);
}
