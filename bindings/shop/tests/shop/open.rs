//! `holebook open`: access, origins of changes, ports, and how a run ends.

use crate::common::served_screens::ServedScreens;
use crate::common::{json, run, stdout};
use holebook_test_support::http_client::{send, send_raw};
use std::fs;
use std::net::TcpListener;
use std::time::{Duration, Instant};
use tempfile::TempDir;

fn open() -> (TempDir, ServedScreens) {
    let home = tempfile::tempdir().unwrap();
    let screens = ServedScreens::start(home.path(), &["open", "--no-open", "--no-network"]);
    (home, screens)
}

#[test]
fn only_the_printed_address_gives_access() {
    let (_home, screens) = open();
    let port = screens.port;
    let plain = screens.get_without_cookie("/");
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
        assert_eq!(screens.get_without_cookie(target).status, 403, "{target}");
    }
    let cookie = format!("holebook-{port}={}", screens.key);
    assert_eq!(
        send(
            port,
            "GET",
            "/",
            &[("Cookie", &cookie), ("Host", &screens.host)],
            b""
        )
        .status,
        403,
        "the key is no cookie"
    );

    let welcome = screens.get_without_cookie(&format!("/?key={}", screens.key));
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
    assert_eq!(screens.get("/").status, 200);
    assert_eq!(screens.get("/nowhere").status, 404);
}

#[test]
fn every_response_has_the_security_headers() {
    let (_home, screens) = open();
    for answer in [
        send(screens.port, "GET", "/", &[], b""),
        screens.get_without_cookie("/"),
        screens.get("/"),
        screens.get("/nowhere"),
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
fn request_for_another_host_name_is_rejected() {
    let (_home, screens) = open();
    let cookie = screens.cookie();
    for host in [
        "example.org",
        "example.org:29375",
        "127.0.0.1",
        &format!("127.0.0.1:{}", screens.port),
        &format!("localhost:{}", screens.port),
        &format!("other.localhost:{}", screens.port),
        "0.0.0.0",
        "[::1]",
    ] {
        let answer = send(
            screens.port,
            "GET",
            "/",
            &[("Cookie", &cookie), ("Host", host)],
            b"",
        );
        assert_eq!(answer.status, 403, "{host}");
    }
    assert!(
        screens
            .host
            .ends_with(&format!(".localhost:{}", screens.port))
    );
    assert_eq!(screens.get("/").status, 200);
}

#[test]
fn change_from_another_origin_is_rejected() {
    let (home, screens) = open();
    let cookie = screens.cookie();
    let own = format!("http://{}", screens.host);
    let next_port = format!("http://127.0.0.1:{}", screens.port.wrapping_add(1));
    let post = |fields: &[(&str, &str)]| {
        let always = [
            ("Cookie", cookie.as_str()),
            ("Host", &screens.host),
            ("Content-Type", "application/x-www-form-urlencoded"),
        ];
        send(
            screens.port,
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
    assert!(!screens.get("/settings").text().contains("Stranger"));
    assert!(post(&[("Origin", &own)]).status < 400);
    assert!(
        screens.get("/settings").text().contains("Stranger"),
        "the same change from its own page is accepted"
    );
    drop(home);
}

#[test]
fn request_that_is_too_large_or_not_text_gets_an_error_page() {
    let (_home, screens) = open();
    let large = screens.post("/settings", &format!("person={}", "a".repeat(1 << 20)));
    assert_eq!(large.status, 413);
    assert_eq!(screens.post("/settings", "person=%C3").status, 400);
    assert_eq!(screens.get("/hole/%ff").status, 400);
    let cookie = screens.cookie();
    let head = format!(
        "POST /settings HTTP/1.1\r\nHost: {0}\r\nConnection: close\r\nCookie: {cookie}\r\nOrigin: http://{0}\r\n\
         Content-Type: multipart/form-data; boundary=edge\r\nContent-Length: 999999999999\r\n\r\n",
        screens.host
    );
    // It announces far too much and sends nothing: the response comes when waiting for the body
    // times out.
    assert_eq!(send_raw(screens.port, head.as_bytes()).status, 413);
    assert_eq!(screens.get("/").status, 200);
}

#[test]
fn two_runs_use_two_ports() {
    let (_home, first) = open();
    let (_other_home, second) = open();
    assert_ne!(first.port, second.port);
    assert_ne!(first.key, second.key);
    let cookie = first.cookie();
    assert_eq!(
        send(
            second.port,
            "GET",
            "/",
            &[("Cookie", &cookie), ("Host", &second.host)],
            b""
        )
        .status,
        403
    );
    assert_eq!((first.get("/").status, second.get("/").status), (200, 200));
}

#[test]
fn ports_in_use_are_skipped() {
    // A port that another test's run uses may become free at any moment; those bound here stay in
    // use.
    let bound: Vec<_> = (29_375..29_385)
        .filter_map(|port| TcpListener::bind(("127.0.0.1", port)).ok())
        .collect();
    let ports: Vec<u16> = bound
        .iter()
        .map(|listener| listener.local_addr().unwrap().port())
        .collect();
    assert!(!ports.is_empty());
    let (_home, screens) = open();
    assert!(
        !ports.contains(&screens.port),
        "{} is among {ports:?}",
        screens.port
    );
    drop(bound);
}

#[test]
fn ctrl_c_ends_the_run_and_leaves_only_the_notebook() {
    let (home, screens) = open();
    assert_eq!(screens.get("/").status, 200);
    let status = screens.stop();
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
        "the log is merged into the database: {left:?}"
    );
}

#[test]
fn json_has_the_address() {
    let home = tempfile::tempdir().unwrap();
    let screens = ServedScreens::start(home.path(), &["open", "--no-open", "--json"]);
    assert_eq!(screens.get("/").status, 200);
}

#[test]
fn bundle_is_exported_by_the_page_and_saved() {
    let home = tempfile::tempdir().unwrap();
    let sample = home.path().join("sample");
    let sample = sample.to_str().unwrap();
    stdout(&run(
        home.path(),
        &["demo", "--no-open", "--notebook", sample],
    ));
    let screens = ServedScreens::start(
        home.path(),
        &["open", "--no-open", "--no-network", "--notebook", sample],
    );
    assert_eq!(screens.get("/sync/file").status, 404);
    assert_eq!(screens.post("/sync/export", "what=all").status, 303);
    let start = Instant::now();
    while screens.get("/sync/file").status != 200 {
        assert!(start.elapsed() < Duration::from_secs(120));
        std::thread::sleep(Duration::from_millis(50));
    }
    let file = screens.get("/sync/file");
    assert_eq!(file.header("content-type"), Some("application/zip"));
    let named = file.header("content-disposition").unwrap();
    assert!(
        named.starts_with("attachment; filename=\"holebook-"),
        "{named}"
    );
    let saved = home.path().join("saved.zip");
    std::fs::write(&saved, &file.body).unwrap();
    let barn = home.path().join("barn");
    let args = [
        "sync",
        "--bundle",
        saved.to_str().unwrap(),
        "--json",
        "--notebook",
        barn.to_str().unwrap(),
    ];
    let imported = json(&run(home.path(), &args));
    assert!(imported["entries_pulled"].as_u64().unwrap() > 100);
}
