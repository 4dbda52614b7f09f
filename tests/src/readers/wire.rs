//! Requests over HTTP as the shop's program takes them: addresses, queries, forms plain and with files.

use super::{Reader, scratch, shapes};
use arbitrary::{Result, Unstructured};
use axum::body::Body;
use axum::http::{Request, header};
use holebook_screens::{Body as Page, Method, Response};
use holebook_shop::serve::carry::Carrier;
use holebook_shop::serve::guard::Guard;
use holebook_shop::serve::{Screens, decode};
use hyper::service::Service as _;
use hyper_util::service::TowerToHyperService;
use std::fs;
use std::sync::{Arc, Mutex};
use tokio::runtime::{Builder, Runtime};

pub const READER: Reader = Reader {
    name: "wire",
    give,
    examples,
};

const PORT: u16 = 29_375;
const BOUNDARY: &str = "part";

/// A form's pairs, or a file with its field, its name and its bytes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Asked {
    path: String,
    query: Vec<(String, String)>,
    form: Vec<(String, String)>,
    files: Vec<(String, String, Vec<u8>)>,
}

/// Screens that keep what they were asked, with the bytes of the files.
#[derive(Default)]
struct Kept(Mutex<Option<Asked>>);

impl Screens for Kept {
    fn answer(&self, request: &holebook_screens::Request) -> Response {
        let files = request.uploads.iter().map(|upload| {
            let bytes =
                fs::read(&upload.path).expect("an upload is on disk while it is asked about");
            (upload.field.clone(), upload.name.clone(), bytes)
        });
        let asked = Asked {
            path: request.path.clone(),
            query: request.query.clone(),
            form: request.form.clone(),
            files: files.collect(),
        };
        assert!(request.method == Method::Post || asked.form.is_empty() && asked.files.is_empty());
        *self.0.lock().expect("nobody panicked with it") = Some(asked);
        Response {
            status: 204,
            headers: vec![],
            body: Page::Empty,
        }
    }
}

/// What is sent.
struct Sent {
    target: String,
    kind: String,
    body: Vec<u8>,
    is_let_in: bool,
    /// What the screens must be asked, where that is known.
    means: Option<Asked>,
}

/// What reaches the screens is what another decoder makes of it, or what was put into the form; nobody reaches them without the
/// cookie; and no file is left behind.
fn give(bytes: &[u8]) {
    decoders(bytes);
    let mut u = Unstructured::new(bytes);
    let Ok(sent) = send(&mut u) else {
        return;
    };
    let incoming = scratch::folder();
    let guard = Arc::new(Guard::new(PORT).expect("randomness"));
    let kept = Arc::new(Kept::default());
    let carrier = Carrier::new(
        Arc::clone(&kept),
        Arc::clone(&guard),
        incoming.path().to_owned(),
    );
    let service = TowerToHyperService::new(carrier.router());
    let Some(request) = request(&sent, &guard) else {
        return;
    };
    let answer = runtime()
        .block_on(service.call(request))
        .expect("a carrier always answers");
    let status = answer.status().as_u16();
    let asked = kept.0.lock().expect("nobody panicked with it").take();
    assert_eq!(asked.is_some(), status == 204, "{status}");
    assert!(status < 500, "{status}");
    assert!(
        sent.is_let_in || asked.is_none(),
        "only who has the cookie is let in"
    );
    if let Some(asked) = &asked {
        check(&sent, asked);
    }
    if sent.means.is_some() && sent.is_let_in {
        assert_eq!(asked, sent.means, "{}", String::from_utf8_lossy(&sent.body));
    }
    let left = fs::read_dir(incoming.path())
        .expect("the folder of the try")
        .count();
    assert_eq!(left, 0, "no file is left behind");
}

/// The two decoders by themselves, against another one.
fn decoders(bytes: &[u8]) {
    if let Ok(pairs) = decode::pairs(bytes) {
        assert_eq!(pairs, other_pairs(bytes));
    }
    if let Ok(text) = std::str::from_utf8(bytes)
        && let Ok(path) = decode::path(text)
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

fn check(sent: &Sent, asked: &Asked) {
    assert!(asked.path.starts_with('/') && !asked.path.contains('\0'));
    // What stands behind a `#` is for the browser alone.
    let target = sent.target.split('#').next().unwrap_or_default();
    let query = target.split_once('?').map_or("", |(_, query)| query);
    assert_eq!(asked.query, other_pairs(query.as_bytes()));
    if sent.kind == "application/x-www-form-urlencoded" {
        assert_eq!(asked.form, other_pairs(&sent.body));
    }
}

/// Makes a request: bytes as they come, or a form put together as a browser does.
fn send(u: &mut Unstructured<'_>) -> Result<Sent> {
    let target = target(u)?;
    let is_let_in = u.ratio(15, 16)?;
    let (kind, body, means) = match u.int_in_range(0..=3)? {
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
            let means = Asked {
                form,
                ..Asked::default()
            };
            (
                "application/x-www-form-urlencoded".to_owned(),
                body.finish().into_bytes(),
                Some(means),
            )
        }
        _ => with_files(u)?,
    };
    let means = means.filter(|_| target == "/casting").map(|means| Asked {
        path: target.clone(),
        ..means
    });
    Ok(Sent {
        target,
        kind,
        body,
        is_let_in,
        means,
    })
}

/// All bytes that are left.
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

/// Pairs of text without zero bytes, which a form cannot carry here.
fn pairs(u: &mut Unstructured<'_>) -> Result<Vec<(String, String)>> {
    let mut pairs = Vec::new();
    for _ in 0..u.int_in_range(0..=6)? {
        let name = (*u.choose(&["name", "note", "a b", "\u{e4}", "x&y=z"])?).to_owned();
        pairs.push((name, shapes::text(u)?.replace('\0', "")));
    }
    Ok(pairs)
}

/// A form with files, as browsers write it; sometimes cut off, and then nobody can say what it means.
fn with_files(u: &mut Unstructured<'_>) -> Result<(String, Vec<u8>, Option<Asked>)> {
    let mut means = Asked::default();
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
            means
                .files
                .push((name, file.to_owned(), value.into_bytes()));
        } else {
            body.extend(format!("\r\n\r\n{value}\r\n").as_bytes());
            means.form.push((name, value));
        }
    }
    body.extend(format!("--{BOUNDARY}--\r\n").as_bytes());
    let whole = u.ratio(3, 4)?;
    if !whole {
        body.truncate(u.choose_index(body.len())?);
        body.extend(rest(u)?);
    }
    let kind = format!("multipart/form-data; boundary={BOUNDARY}");
    Ok((kind, body, whole.then_some(means)))
}

/// None where the target is none that HTTP knows.
fn request(sent: &Sent, guard: &Guard) -> Option<Request<Body>> {
    let cookie = guard.cookie();
    let cookie = if sent.is_let_in {
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
    let mut examples = (super::history::READER.examples)();
    examples.push(b"thread=3%2F8-16&note=a+b%2Bc&empty=&alone&&name=Z%C3%A4hler".to_vec());
    examples.push(b"/hole/a%20b/journal".to_vec());
    examples
}
