//! The carrier with screens made for the test: what reaches them, and what never does.

#![allow(clippy::unwrap_used)]

#[path = "../../tests/common/http.rs"]
mod http;

use super::carry::Carrier;
use super::listen::{self, Limits};
use super::{Screens, guard::Guard};
use holebook_screens::{Body, Method, Request, Response};
use http::{Answer, raw, send};
use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

type Answering = Box<dyn Fn(&Request) -> Response + Send + Sync>;

/// Screens that answer as the test says, and keep what they were asked.
struct Made {
    answering: Answering,
    asked: Mutex<Vec<Request>>,
}

impl Screens for Made {
    fn answer(&self, request: &Request) -> Response {
        self.asked.lock().unwrap().push(request.clone());
        (self.answering)(request)
    }
}

/// A carrier at work.
struct Run {
    port: u16,
    guard: Arc<Guard>,
    screens: Arc<Made>,
    incoming: tempfile::TempDir,
    _runtime: tokio::runtime::Runtime,
}

impl Run {
    fn start(answering: impl Fn(&Request) -> Response + Send + Sync + 'static) -> Self {
        Self::start_within(Limits::default(), answering)
    }

    fn start_within(
        limits: Limits,
        answering: impl Fn(&Request) -> Response + Send + Sync + 'static,
    ) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        let guard = Arc::new(Guard::new(port).unwrap());
        let screens = Arc::new(Made {
            answering: Box::new(answering),
            asked: Mutex::default(),
        });
        let incoming = tempfile::tempdir().unwrap();
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .unwrap();
        let carrier = Carrier::new(screens.clone(), guard.clone(), incoming.path().into());
        let serving = listen::serve(listener, carrier.router(), limits, std::future::pending());
        runtime.spawn(serving);
        Self {
            port,
            guard,
            screens,
            incoming,
            _runtime: runtime,
        }
    }

    fn cookie(&self) -> String {
        self.guard.cookie().split(';').next().unwrap().to_owned()
    }

    fn get(&self, target: &str) -> Answer {
        send(self.port, "GET", target, &[("Cookie", &self.cookie())], b"")
    }

    fn post(&self, kind: &str, body: &[u8]) -> Answer {
        let origin = format!("http://127.0.0.1:{}", self.port);
        let fields = [
            ("Cookie", self.cookie()),
            ("Origin", origin),
            ("Content-Type", kind.to_owned()),
        ];
        let fields: Vec<_> = fields
            .iter()
            .map(|(name, value)| (*name, value.as_str()))
            .collect();
        send(self.port, "POST", "/casting", &fields, body)
    }

    fn asked(&self) -> Vec<Request> {
        self.screens.asked.lock().unwrap().clone()
    }

    fn files_left(&self) -> usize {
        std::fs::read_dir(self.incoming.path()).unwrap().count()
    }
}

fn text(text: &str) -> Response {
    let headers = vec![("content-type", "text/plain; charset=utf-8".to_owned())];
    Response {
        status: 200,
        headers,
        body: Body::Text(text.to_owned()),
    }
}

const FORM: &str = "application/x-www-form-urlencoded";
const PARTS: &str = "multipart/form-data; boundary=edge";

fn part(head: &str, content: &[u8]) -> Vec<u8> {
    let head = format!("--edge\r\nContent-Disposition: form-data; {head}\r\n\r\n");
    [head.as_bytes(), content, b"\r\n"].concat()
}

#[test]
fn a_request_reaches_the_screens_decoded() {
    let run = Run::start(|_| text("seen"));
    let answer = run.get("/hole/a%20b?view=full&name=Z%C3%A4hler+1");
    assert_eq!((answer.status, answer.text().as_str()), (200, "seen"));
    let asked = &run.asked()[0];
    assert_eq!(asked.method, Method::Get);
    assert_eq!(asked.path, "/hole/a b");
    assert_eq!(asked.asked("name"), Some("Zähler 1"));
    assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
    assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
    assert_eq!(
        answer.header("cross-origin-opener-policy"),
        Some("same-origin")
    );
}

#[test]
fn a_plain_form_reaches_the_screens() {
    let run = Run::start(|_| text("done"));
    assert_eq!(run.post(FORM, b"thread=3%2F8-16&note=a+b").status, 200);
    let asked = &run.asked()[0];
    assert_eq!(asked.method, Method::Post);
    assert_eq!(asked.field("thread"), Some("3/8-16"));
    assert_eq!(asked.field("note"), Some("a b"));
}

#[test]
fn a_form_with_files_reaches_the_screens_and_its_files_go_afterwards() {
    let run = Run::start(|request| {
        let upload = &request.uploads[0];
        assert!(upload.path.exists());
        text(&format!(
            "{} bytes of {}",
            std::fs::metadata(&upload.path).unwrap().len(),
            upload.name
        ))
    });
    let picture = vec![7_u8; 3 << 20];
    let body = [
        part("name=\"note\"", "Zähler".as_bytes()),
        part("name=\"photo\"; filename=\"../../fläche.jpg\"", &picture),
        part("name=\"more\"; filename=\"\"", b""),
        b"--edge--\r\n".to_vec(),
    ]
    .concat();
    let answer = run.post(PARTS, &body);
    assert_eq!(
        (answer.status, answer.text().as_str()),
        (200, "3145728 bytes of ../../fläche.jpg")
    );
    let asked = &run.asked()[0];
    assert_eq!(asked.field("note"), Some("Zähler"));
    assert_eq!(asked.uploads.len(), 1, "a file field left empty is no file");
    assert!(
        asked.uploads[0].path.starts_with(run.incoming.path()),
        "the name sent is never part of the path"
    );
    assert_eq!(run.files_left(), 0);
}

#[test]
fn a_form_that_breaks_off_or_is_not_text_changes_nothing() {
    let run = Run::start(|_| text("reached"));
    let cut_short = part("name=\"photo\"; filename=\"a.jpg\"", &[1, 2, 3]);
    assert_eq!(run.post(PARTS, &cut_short).status, 400);
    let not_text = [part("name=\"note\"", b"\xff\xfe"), b"--edge--\r\n".to_vec()].concat();
    assert_eq!(run.post(PARTS, &not_text).status, 400);
    assert_eq!(run.post(FORM, b"note=%zz").status, 400);
    assert_eq!(run.post(FORM, b"note=%ff").status, 400);
    assert_eq!(run.post("application/json", b"{}").status, 415);
    assert_eq!(run.get("/hole/%C3").status, 400);
    assert_eq!(run.get("/?a=%").status, 400);
    assert!(run.asked().is_empty());
    assert_eq!(run.files_left(), 0);
}

#[test]
fn a_form_or_file_over_its_limit_is_refused_with_a_page() {
    let run = Run::start(|_| text("reached"));
    let form = [b"note=".to_vec(), vec![b'a'; super::form::FORM_LIMIT]].concat();
    let answer = run.post(FORM, &form);
    assert_eq!(answer.status, 413);
    assert!(answer.text().contains("too large"));
    let field = [
        part("name=\"note\"", &vec![b'a'; super::form::FORM_LIMIT + 1]),
        b"--edge--\r\n".to_vec(),
    ]
    .concat();
    assert_eq!(run.post(PARTS, &field).status, 413);
    assert!(run.asked().is_empty());
}

#[test]
fn a_file_over_its_limit_is_refused_though_its_length_was_not_told() {
    let run = Run::start(|_| text("reached"));
    let origin = format!("http://127.0.0.1:{}", run.port);
    let mut request = format!(
        "POST /casting HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nConnection: close\r\nCookie: {}\r\nOrigin: {origin}\r\n\
         Content-Type: {PARTS}\r\nTransfer-Encoding: chunked\r\n\r\n",
        run.port,
        run.cookie()
    )
    .into_bytes();
    let piece = vec![0_u8; 32 << 20];
    let head = part("name=\"photo\"; filename=\"a.jpg\"", b"");
    let head = &head[..head.len() - 2];
    request.extend(format!("{:x}\r\n", head.len()).bytes());
    request.extend(head);
    for _ in 0..8 {
        request.extend(format!("\r\n{:x}\r\n", piece.len()).bytes());
        request.extend(&piece);
    }
    request.extend(b"\r\n0\r\n\r\n");
    assert_eq!(raw(run.port, &request).status, 413);
    assert!(run.asked().is_empty());
    assert_eq!(run.files_left(), 0);
}

#[test]
fn a_fault_in_the_screens_ends_one_answer_and_not_the_run() {
    let run = Run::start(|request| {
        assert!(request.path != "/fault", "a fault made for the test");
        text("still here")
    });
    let answer = run.get("/fault");
    assert_eq!(answer.status, 500);
    assert!(answer.text().contains("fault"));
    assert!(
        !answer.text().contains("made for the test"),
        "the fault's own words are for the terminal"
    );
    assert_eq!(run.get("/").text(), "still here");
}

#[test]
fn a_file_is_streamed_with_its_length_and_known_by_its_tag() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("picture");
    let content: Vec<u8> = (0..1_000_003_u32).map(|n| n as u8).collect();
    std::fs::write(&path, &content).unwrap();
    let held: PathBuf = path.clone();
    let run = Run::start(move |_| Response {
        status: 200,
        headers: vec![
            ("content-type", "image/jpeg".to_owned()),
            ("etag", "\"abc\"".to_owned()),
        ],
        body: Body::File(held.clone()),
    });
    let answer = run.get("/photo/x/original");
    assert_eq!(answer.header("content-length"), Some("1000003"));
    assert_eq!(answer.body, content);
    let cookie = run.cookie();
    let again = send(
        run.port,
        "GET",
        "/p",
        &[("Cookie", &cookie), ("If-None-Match", "\"x\", W/\"abc\"")],
        b"",
    );
    assert_eq!((again.status, again.body.len()), (304, 0));
    let head = send(run.port, "HEAD", "/p", &[("Cookie", &cookie)], b"");
    assert_eq!(
        (head.status, head.header("content-length"), head.body.len()),
        (200, Some("1000003"), 0)
    );
    std::fs::remove_file(&path).unwrap();
    assert_eq!(run.get("/photo/x/original").status, 404);
}

#[test]
fn a_response_no_header_can_carry_is_a_fault_and_no_split_answer() {
    let run = Run::start(|_| Response {
        status: 303,
        headers: vec![("location", "/a\r\nset-cookie: x=1".to_owned())],
        body: Body::Empty,
    });
    let answer = run.get("/");
    assert_eq!((answer.status, answer.header("set-cookie")), (500, None));
}

#[test]
fn other_methods_and_an_address_of_another_host_are_turned_away() {
    let run = Run::start(|_| text("reached"));
    let cookie = run.cookie();
    for method in ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"] {
        assert_eq!(
            send(run.port, method, "/", &[("Cookie", &cookie)], b"").status,
            405,
            "{method}"
        );
    }
    assert_eq!(run.get("http://example.org/").status, 403);
    let no_host = format!("GET / HTTP/1.0\r\nCookie: {cookie}\r\n\r\n");
    assert_eq!(raw(run.port, no_host.as_bytes()).status, 403);
    assert!(run.asked().is_empty());
}

#[test]
fn a_port_in_use_gives_way_to_the_next() {
    let first = listen::listen().unwrap();
    let second = listen::listen().unwrap();
    let (first, second) = (first.local_addr().unwrap(), second.local_addr().unwrap());
    assert_ne!(first.port(), second.port());
    assert!(first.ip().is_loopback() && second.ip().is_loopback());
}

#[test]
fn a_browser_that_dawdles_is_cut_off_and_holds_up_nobody() {
    let limits = Limits {
        header_time: Duration::from_millis(300),
        connections: 1,
    };
    let run = Run::start_within(limits, |_| text("seen"));
    let since = Instant::now();
    let mut dawdling = TcpStream::connect((Ipv4Addr::LOCALHOST, run.port)).unwrap();
    dawdling.write_all(b"GET / HTTP/1.1\r\nHost: 127").unwrap();
    // The only place is taken, so this waits until the other is cut off.
    assert_eq!(run.get("/").text(), "seen");
    assert!(
        since.elapsed() >= Duration::from_millis(200) && since.elapsed() < Duration::from_secs(10)
    );
    let mut rest = Vec::new();
    let _ = dawdling.read_to_end(&mut rest);
    assert!(rest.is_empty());
}
