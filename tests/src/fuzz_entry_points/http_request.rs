//! HTTP requests to the shop program: addresses, queries, and forms with and without files.

use super::{FuzzEntryPoint, entry_bodies, temp_notebook};
use arbitrary::{Result, Unstructured};
use axum::body::Body;
use axum::http::{Request, header};
use holebook_screens::{Body as Page, Method, Response};
use holebook_shop::serve::access::{AccessControl, HostName};
use holebook_shop::serve::router::ScreenServer;
use holebook_shop::serve::{Screens, percent};
use hyper::service::Service as _;
use hyper_util::service::TowerToHyperService;
use std::fs;
use std::sync::{Arc, Mutex};
use tokio::runtime::{Builder, Runtime};

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "http_request",
    run,
    examples,
};

const PORT: u16 = 29_375;
const BOUNDARY: &str = "part";

/// What the screens received: a form's pairs, and files with field, name and bytes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct ScreenRequest {
    path: String,
    query: Vec<(String, String)>,
    form: Vec<(String, String)>,
    files: Vec<(String, String, Vec<u8>)>,
}

/// Screens that record the request they get, with the bytes of the files.
#[derive(Default)]
struct RecordingScreens(Mutex<Option<ScreenRequest>>);

impl Screens for RecordingScreens {
    fn answer(&self, request: &holebook_screens::Request) -> Response {
        let files = request.uploads.iter().map(|upload| {
            let bytes =
                fs::read(&upload.path).expect("an upload is on disk while it is asked about");
            (upload.field.clone(), upload.name.clone(), bytes)
        });
        let asked = ScreenRequest {
            path: request.path.clone(),
            query: request.query.clone(),
            form: request.form.clone(),
            files: files.collect(),
        };
        assert!(request.method == Method::Post || asked.form.is_empty() && asked.files.is_empty());
        *self.0.lock().expect("lock not poisoned") = Some(asked);
        Response {
            status: 204,
            headers: vec![],
            body: Page::Empty,
        }
    }
}

/// A request to send.
struct HttpRequest {
    target: String,
    kind: String,
    body: Vec<u8>,
    has_cookie: bool,
    /// What the screens must receive, if known.
    expected: Option<ScreenRequest>,
}

/// What reaches the screens is what another decoder gets from it, or what was put into the form;
/// nothing reaches them without the cookie; and no file is left behind.
fn run(bytes: &[u8]) {
    decoders(bytes);
    let mut u = Unstructured::new(bytes);
    let Ok(sent) = send(&mut u) else {
        return;
    };
    let uploads = temp_notebook::folder();
    let access = Arc::new(AccessControl::new(PORT, HostName::Address).expect("randomness"));
    let screens = Arc::new(RecordingScreens::default());
    let server = ScreenServer::new(
        Arc::clone(&screens),
        Arc::clone(&access),
        uploads.path().to_owned(),
    );
    let service = TowerToHyperService::new(server.router());
    let Some(request) = request(&sent, &access) else {
        return;
    };
    let answer = runtime()
        .block_on(service.call(request))
        .expect("the server always answers");
    let status = answer.status().as_u16();
    let asked = screens.0.lock().expect("lock not poisoned").take();
    assert_eq!(asked.is_some(), status == 204, "{status}");
    assert!(status < 500, "{status}");
    assert!(sent.has_cookie || asked.is_none(), "the cookie is required");
    if let Some(asked) = &asked {
        check(&sent, asked);
    }
    if sent.expected.is_some() && sent.has_cookie {
        assert_eq!(
            asked,
            sent.expected,
            "{}",
            String::from_utf8_lossy(&sent.body)
        );
    }
    let left = fs::read_dir(uploads.path())
        .expect("the folder of the try")
        .count();
    assert_eq!(left, 0, "no file is left behind");
}

/// The two decoders, compared with another implementation.
fn decoders(bytes: &[u8]) {
    if let Ok(pairs) = percent::decode_pairs(bytes) {
        assert_eq!(pairs, other_pairs(bytes));
    }
    if let Ok(text) = std::str::from_utf8(bytes)
        && let Ok(path) = percent::decode_path(text)
    {
        assert!(!path.contains('\0'));
        assert_eq!(
            path,
            percent_encoding::percent_decode_str(text).decode_utf8_lossy()
        );
    }
}

fn other_pairs(bytes: &[u8]) -> Vec<(String, String)> {
    form_urlencoded::parse(bytes).into_owned().collect()
}

fn check(sent: &HttpRequest, asked: &ScreenRequest) {
    assert!(asked.path.starts_with('/') && !asked.path.contains('\0'));
    // The fragment after `#` is for the browser only.
    let target = sent.target.split('#').next().unwrap_or_default();
    let query = target.split_once('?').map_or("", |(_, query)| query);
    assert_eq!(asked.query, other_pairs(query.as_bytes()));
    if sent.kind == "application/x-www-form-urlencoded" {
        assert_eq!(asked.form, other_pairs(&sent.body));
    }
}

/// Makes a request: raw bytes, or a form encoded as a browser does it.
fn send(u: &mut Unstructured<'_>) -> Result<HttpRequest> {
    let target = target(u)?;
    let has_cookie = u.ratio(15, 16)?;
    let (kind, body, expected) = match u.int_in_range(0..=3)? {
        0 => {
            let kind = *u.choose(&[
                "application/x-www-form-urlencoded",
                "multipart/form-data; boundary=part",
                "text/plain",
                "multipart/form-data",
                "",
            ])?;
            (kind.to_owned(), rest(u)?, None)
        }
        1 => {
            let form = pairs(u)?;
            let mut body = form_urlencoded::Serializer::new(String::new());
            body.extend_pairs(&form);
            let expected = ScreenRequest {
                form,
                ..ScreenRequest::default()
            };
            (
                "application/x-www-form-urlencoded".to_owned(),
                body.finish().into_bytes(),
                Some(expected),
            )
        }
        _ => with_files(u)?,
    };
    let expected = expected
        .filter(|_| target == "/casting")
        .map(|expected| ScreenRequest {
            path: target.clone(),
            ..expected
        });
    Ok(HttpRequest {
        target,
        kind,
        body,
        has_cookie,
        expected,
    })
}

/// All remaining bytes.
fn rest(u: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    Ok(u.bytes(u.len())?.to_vec())
}

fn target(u: &mut Unstructured<'_>) -> Result<String> {
    Ok(match u.int_in_range(0..=3)? {
        0 => format!("/{}", u.arbitrary::<&str>()?),
        1 => format!("/hole?{}", u.arbitrary::<&str>()?),
        _ => "/casting".to_owned(),
    })
}

/// Pairs of text without zero bytes, which a form cannot contain here.
fn pairs(u: &mut Unstructured<'_>) -> Result<Vec<(String, String)>> {
    let mut pairs = Vec::new();
    for _ in 0..u.int_in_range(0..=6)? {
        let name = (*u.choose(&["name", "note", "a b", "\u{e4}", "x&y=z"])?).to_owned();
        pairs.push((name, entry_bodies::text(u)?.replace('\0', "")));
    }
    Ok(pairs)
}

/// A form with files, encoded as browsers do it; sometimes truncated, and then its meaning is
/// undefined.
fn with_files(u: &mut Unstructured<'_>) -> Result<(String, Vec<u8>, Option<ScreenRequest>)> {
    let mut expected = ScreenRequest::default();
    let mut body = Vec::new();
    for (name, value) in pairs(u)? {
        let name = name.replace('&', "");
        let value = value.replace(BOUNDARY, "");
        let head = format!("--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"");
        body.extend(head.as_bytes());
        if u.ratio(1, 3)? {
            let file = *u.choose(&["a.jpg", "../../b.jpg", "C:\\c.jpg", "\u{e4}.png"])?;
            body.extend(
                format!("; filename=\"{file}\"\r\nContent-Type: image/jpeg\r\n\r\n{value}\r\n")
                    .as_bytes(),
            );
            expected
                .files
                .push((name, file.to_owned(), value.into_bytes()));
        } else {
            body.extend(format!("\r\n\r\n{value}\r\n").as_bytes());
            expected.form.push((name, value));
        }
    }
    body.extend(format!("--{BOUNDARY}--\r\n").as_bytes());
    let whole = u.ratio(3, 4)?;
    if !whole {
        body.truncate(u.choose_index(body.len())?);
        body.extend(rest(u)?);
    }
    let kind = format!("multipart/form-data; boundary={BOUNDARY}");
    Ok((kind, body, whole.then_some(expected)))
}

/// None if the target is not valid in HTTP.
fn request(sent: &HttpRequest, access: &AccessControl) -> Option<Request<Body>> {
    let cookie = access.cookie();
    let cookie = if sent.has_cookie {
        cookie.split(';').next()?
    } else {
        "holebook-29375=0"
    };
    let host = format!("127.0.0.1:{PORT}");
    Request::post(sent.target.as_str())
        .header(header::HOST, &host)
        .header(header::ORIGIN, format!("http://{host}"))
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, &sent.kind)
        .body(Body::from(sent.body.clone()))
        .ok()
}

fn runtime() -> Runtime {
    Builder::new_current_thread()
        .enable_all()
        .build()
        .expect("a runtime")
}

fn examples() -> Vec<Vec<u8>> {
    let mut examples = (super::history::ENTRY_POINT.examples)();
    examples.push(b"thread=3%2F8-16&note=a+b%2Bc&empty=&alone&&name=Z%C3%A4hler".to_vec());
    examples.push(b"/hole/a%20b/journal".to_vec());
    examples
}
