//! The server with fake screens: which requests reach them, and which do not.

#![allow(clippy::unwrap_used)]

use super::Screens;
use super::access::{AccessControl, HostName};
use super::listen::{self, Limits};
use super::router::ScreenServer;
use holebook_screens::{Body, Method, Request, Response};
use holebook_test_support::http_client::{HttpResponse, send, send_raw};
use std::io::{Read as _, Write as _};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::PathBuf;
use std::sync::{Arc, Mutex, mpsc};
use std::time::{Duration, Instant};

type AnswerWith = Box<dyn Fn(&Request) -> Response + Send + Sync>;

/// Screens that answer with a closure and record the requests.
struct FakeScreens {
    answer_with: AnswerWith,
    requests: Mutex<Vec<Request>>,
}

impl Screens for FakeScreens {
    fn answer(&self, request: &Request) -> Response {
        self.requests.lock().unwrap().push(request.clone());
        (self.answer_with)(request)
    }
}

/// A running server.
struct TestServer {
    port: u16,
    access: Arc<AccessControl>,
    screens: Arc<FakeScreens>,
    uploads: tempfile::TempDir,
    _runtime: tokio::runtime::Runtime,
}

impl TestServer {
    fn start(answer_with: impl Fn(&Request) -> Response + Send + Sync + 'static) -> Self {
        Self::start_within(Limits::default(), answer_with)
    }

    fn start_within(
        limits: Limits,
        answer_with: impl Fn(&Request) -> Response + Send + Sync + 'static,
    ) -> Self {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
        let port = listener.local_addr().unwrap().port();
        let access = Arc::new(AccessControl::new(port, HostName::Random).unwrap());
        let screens = Arc::new(FakeScreens {
            answer_with: Box::new(answer_with),
            requests: Mutex::default(),
        });
        let uploads = tempfile::tempdir().unwrap();
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .unwrap();
        let server = ScreenServer::new(screens.clone(), access.clone(), uploads.path().into());
        let serving = listen::serve(listener, server.router(), limits, std::future::pending());
        runtime.spawn(serving);
        Self {
            port,
            access,
            screens,
            uploads,
            _runtime: runtime,
        }
    }

    fn cookie(&self) -> String {
        self.access.cookie().split(';').next().unwrap().to_owned()
    }

    /// The host and port in the address.
    fn host(&self) -> String {
        let address = self.access.address();
        let rest = address.strip_prefix("http://").unwrap();
        rest.split_once('/').unwrap().0.to_owned()
    }

    fn get(&self, target: &str) -> HttpResponse {
        self.send("GET", target, &[])
    }

    /// Sends a request from the browser that has the cookie.
    fn send(&self, method: &str, target: &str, more: &[(&str, &str)]) -> HttpResponse {
        let (cookie, host) = (self.cookie(), self.host());
        let fields = [&[("Cookie", cookie.as_str()), ("Host", &host)], more].concat();
        send(self.port, method, target, &fields, b"")
    }

    fn post(&self, kind: &str, body: &[u8]) -> HttpResponse {
        let origin = format!("http://{}", self.host());
        let fields = [
            ("Cookie", self.cookie()),
            ("Host", self.host()),
            ("Origin", origin),
            ("Content-Type", kind.to_owned()),
        ];
        let fields: Vec<_> = fields
            .iter()
            .map(|(name, value)| (*name, value.as_str()))
            .collect();
        send(self.port, "POST", "/casting", &fields, body)
    }

    fn requests(&self) -> Vec<Request> {
        self.screens.requests.lock().unwrap().clone()
    }

    fn files_left(&self) -> usize {
        std::fs::read_dir(self.uploads.path()).unwrap().count()
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
    let server = TestServer::start(|_| text("seen"));
    let answer = server.get("/hole/a%20b?view=full&name=Z%C3%A4hler+1");
    assert_eq!((answer.status, answer.text().as_str()), (200, "seen"));
    let request = &server.requests()[0];
    assert_eq!(request.method, Method::Get);
    assert_eq!(request.path, "/hole/a b");
    assert_eq!(request.param("name"), Some("Zähler 1"));
    assert_eq!(answer.header("x-content-type-options"), Some("nosniff"));
    assert_eq!(answer.header("referrer-policy"), Some("same-origin"));
    assert_eq!(
        answer.header("cross-origin-opener-policy"),
        Some("same-origin")
    );
}

#[test]
fn a_plain_form_reaches_the_screens() {
    let server = TestServer::start(|_| text("done"));
    assert_eq!(server.post(FORM, b"thread=3%2F8-16&note=a+b").status, 200);
    let request = &server.requests()[0];
    assert_eq!(request.method, Method::Post);
    assert_eq!(request.value("thread"), Some("3/8-16"));
    assert_eq!(request.value("note"), Some("a b"));
}

#[test]
fn a_form_with_files_reaches_the_screens_and_its_files_are_deleted_afterwards() {
    let server = TestServer::start(|request| {
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
    let answer = server.post(PARTS, &body);
    assert_eq!(
        (answer.status, answer.text().as_str()),
        (200, "3145728 bytes of ../../fläche.jpg")
    );
    let request = &server.requests()[0];
    assert_eq!(request.value("note"), Some("Zähler"));
    assert_eq!(
        request.uploads.len(),
        1,
        "an empty file field is not an upload"
    );
    assert!(
        request.uploads[0].path.starts_with(server.uploads.path()),
        "the name in the form is never part of the path"
    );
    assert_eq!(server.files_left(), 0);
}

/// Sends a form with one photo of this name.
fn post_photo(server: &TestServer, name: &str) -> HttpResponse {
    let head = format!("name=\"photo\"; filename=\"{name}\"");
    let body = [part(&head, b"a picture"), b"--edge--\r\n".to_vec()].concat();
    server.post(PARTS, &body)
}

#[test]
fn others_import_photos_and_read_pages_while_a_slow_photo_is_imported() {
    let (begun, slow_begins) = mpsc::channel();
    let (release, released) = mpsc::channel::<()>();
    let released = Mutex::new(released);
    let server = TestServer::start(move |request| {
        if request
            .uploads
            .iter()
            .any(|upload| upload.name == "slow.jpg")
        {
            begun.send(()).unwrap();
            let waited = released
                .lock()
                .unwrap()
                .recv_timeout(Duration::from_secs(60));
            return text(if waited.is_ok() {
                "released"
            } else {
                "not released"
            });
        }
        text("done")
    });
    let slow = std::thread::scope(|scope| {
        let slow = scope.spawn(|| post_photo(&server, "slow.jpg"));
        slow_begins.recv().unwrap();
        assert_eq!(post_photo(&server, "quick.jpg").text(), "done");
        assert_eq!(server.get("/").text(), "done");
        release.send(()).unwrap();
        slow.join().unwrap()
    });
    assert_eq!(slow.text(), "released");
}

#[test]
fn an_incomplete_or_non_text_form_does_not_reach_the_screens() {
    let server = TestServer::start(|_| text("reached"));
    let cut_short = part("name=\"photo\"; filename=\"a.jpg\"", &[1, 2, 3]);
    assert_eq!(server.post(PARTS, &cut_short).status, 400);
    let not_text = [part("name=\"note\"", b"\xff\xfe"), b"--edge--\r\n".to_vec()].concat();
    assert_eq!(server.post(PARTS, &not_text).status, 400);
    assert_eq!(server.post(FORM, b"note=%zz").status, 400);
    assert_eq!(server.post(FORM, b"note=%ff").status, 400);
    assert_eq!(server.post("application/json", b"{}").status, 415);
    assert_eq!(server.get("/hole/%C3").status, 400);
    assert_eq!(server.get("/?a=%").status, 400);
    assert!(server.requests().is_empty());
    assert_eq!(server.files_left(), 0);
}

#[test]
fn a_form_or_file_over_its_limit_is_rejected_with_a_page() {
    let server = TestServer::start(|_| text("reached"));
    let form = [b"note=".to_vec(), vec![b'a'; super::form::FORM_LIMIT]].concat();
    let answer = server.post(FORM, &form);
    assert_eq!(answer.status, 413);
    assert!(answer.text().contains("Too large"));
    let field = [
        part("name=\"note\"", &vec![b'a'; super::form::FORM_LIMIT + 1]),
        b"--edge--\r\n".to_vec(),
    ]
    .concat();
    assert_eq!(server.post(PARTS, &field).status, 413);
    assert!(server.requests().is_empty());
}

#[test]
fn a_file_over_its_limit_is_rejected_without_a_content_length() {
    let server = TestServer::start(|_| text("reached"));
    let mut request = format!(
        "POST /casting HTTP/1.1\r\nHost: {0}\r\nConnection: close\r\nCookie: {1}\r\nOrigin: http://{0}\r\n\
         Content-Type: {PARTS}\r\nTransfer-Encoding: chunked\r\n\r\n",
        server.host(),
        server.cookie()
    )
    .into_bytes();
    let chunk = vec![0_u8; 32 << 20];
    let head = part("name=\"photo\"; filename=\"a.jpg\"", b"");
    let head = &head[..head.len() - 2];
    request.extend(format!("{:x}\r\n", head.len()).bytes());
    request.extend(head);
    for _ in 0..8 {
        request.extend(format!("\r\n{:x}\r\n", chunk.len()).bytes());
        request.extend(&chunk);
    }
    request.extend(b"\r\n0\r\n\r\n");
    assert_eq!(send_raw(server.port, &request).status, 413);
    assert!(server.requests().is_empty());
    assert_eq!(server.files_left(), 0);
}

#[test]
fn a_panic_in_the_screens_fails_one_request_and_not_the_server() {
    let server = TestServer::start(|request| {
        assert!(request.path != "/panic", "panic made for the test");
        text("still here")
    });
    let answer = server.get("/panic");
    assert_eq!(answer.status, 500);
    assert!(answer.text().contains("bug in the program"));
    assert!(
        !answer.text().contains("made for the test"),
        "the panic message is only for the terminal"
    );
    assert_eq!(server.get("/").text(), "still here");
}

#[test]
fn a_file_is_streamed_with_its_length_and_cached_by_its_etag() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("picture");
    let content: Vec<u8> = (0..1_000_003_u32).map(|n| n as u8).collect();
    std::fs::write(&path, &content).unwrap();
    let streamed: PathBuf = path.clone();
    let server = TestServer::start(move |_| Response {
        status: 200,
        headers: vec![
            ("content-type", "image/jpeg".to_owned()),
            ("etag", "\"abc\"".to_owned()),
        ],
        body: Body::File(streamed.clone()),
    });
    let answer = server.get("/photo/x/original");
    assert_eq!(answer.header("content-length"), Some("1000003"));
    assert_eq!(answer.body, content);
    let again = server.send("GET", "/p", &[("If-None-Match", "\"x\", W/\"abc\"")]);
    assert_eq!((again.status, again.body.len()), (304, 0));
    let head = server.send("HEAD", "/p", &[]);
    assert_eq!(
        (head.status, head.header("content-length"), head.body.len()),
        (200, Some("1000003"), 0)
    );
    std::fs::remove_file(&path).unwrap();
    assert_eq!(server.get("/photo/x/original").status, 404);
}

#[test]
fn an_invalid_header_is_an_internal_error_and_cannot_split_the_response() {
    let server = TestServer::start(|_| Response {
        status: 303,
        headers: vec![("location", "/a\r\nset-cookie: x=1".to_owned())],
        body: Body::Empty,
    });
    let answer = server.get("/");
    assert_eq!((answer.status, answer.header("set-cookie")), (500, None));
}

#[test]
fn other_methods_and_hosts_are_rejected() {
    let server = TestServer::start(|_| text("reached"));
    let cookie = server.cookie();
    for method in ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE"] {
        assert_eq!(server.send(method, "/", &[]).status, 405, "{method}");
    }
    assert_eq!(server.get("http://example.org/").status, 403);
    let no_host = format!("GET / HTTP/1.0\r\nCookie: {cookie}\r\n\r\n");
    assert_eq!(send_raw(server.port, no_host.as_bytes()).status, 403);
    assert!(server.requests().is_empty());
}

#[test]
fn a_port_in_use_is_skipped() {
    let first = listen::bind().unwrap();
    let second = listen::bind().unwrap();
    let (first, second) = (first.local_addr().unwrap(), second.local_addr().unwrap());
    assert_ne!(first.port(), second.port());
    assert!(first.ip().is_loopback() && second.ip().is_loopback());
}

#[test]
fn the_entrance_leads_to_the_own_host_and_gives_no_cookie() {
    let server = TestServer::start(|_| text("seen"));
    let at = |host: &str, target: &str| {
        let cookie = server.cookie();
        let fields = [("Host", host), ("Cookie", cookie.as_str())];
        send(server.port, "GET", target, &fields, b"")
    };
    let entrance = server.access.entrance_address().unwrap();
    let (_, target) = entrance.split_once(&server.port.to_string()).unwrap();
    let by_address = format!("127.0.0.1:{}", server.port);
    // Even with the cookie, nothing is served at an address that other servers share.
    assert_eq!(at(&by_address, "/").status, 403);
    assert_eq!(at(&format!("localhost:{}", server.port), "/").status, 403);
    let led = at(&by_address, target);
    assert_eq!((led.status, led.header("set-cookie")), (303, None));
    let location = led.header("location").unwrap().to_owned();
    let own = format!("http://{}", server.host());
    let target = location.strip_prefix(&own).unwrap();
    let signed_in = send(server.port, "GET", target, &[("Host", &server.host())], b"");
    assert_eq!(signed_in.cookie(), server.cookie());
    let again = send(server.port, "GET", target, &[("Host", &server.host())], b"");
    assert_eq!(again.status, 403, "it is valid once");
    assert_eq!(server.get("/").text(), "seen");
}

#[test]
fn a_slow_browser_is_disconnected() {
    let limits = Limits {
        header_timeout: Duration::from_millis(300),
        ..Limits::default()
    };
    let server = TestServer::start_within(limits, |_| text("seen"));
    let since = Instant::now();
    let mut slow = TcpStream::connect((Ipv4Addr::LOCALHOST, server.port)).unwrap();
    slow.write_all(b"GET / HTTP/1.1\r\nHost: 127").unwrap();
    let mut rest = Vec::new();
    let _ = slow.read_to_end(&mut rest);
    assert!(rest.is_empty());
    assert!(
        since.elapsed() >= Duration::from_millis(200) && since.elapsed() < Duration::from_secs(10)
    );
}

#[test]
fn slow_connections_do_not_keep_the_owner_out() {
    let server = TestServer::start(|_| text("seen"));
    // A connection that the owner's browser keeps open.
    let mut kept = TcpStream::connect((Ipv4Addr::LOCALHOST, server.port)).unwrap();
    let ask = |stream: &mut TcpStream| {
        let (host, cookie) = (server.host(), server.cookie());
        write!(
            stream,
            "GET / HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\n\r\n"
        )
        .unwrap();
        let mut answer = [0; 4096];
        let read = stream.read(&mut answer).unwrap();
        String::from_utf8_lossy(&answer[..read]).contains("200 OK")
    };
    assert!(ask(&mut kept));
    let slow: Vec<TcpStream> = (0..500)
        .map(|_| {
            let mut slow = TcpStream::connect((Ipv4Addr::LOCALHOST, server.port)).unwrap();
            let _ = slow.write_all(b"GET / HTTP/1.1\r\nHost: 127");
            slow
        })
        .collect();
    let since = Instant::now();
    for _ in 0..20 {
        assert_eq!(server.get("/").text(), "seen");
    }
    assert!(ask(&mut kept), "the open connection still is");
    assert!(
        since.elapsed() < Duration::from_secs(5),
        "{:?}",
        since.elapsed()
    );
    drop(slow);
}
