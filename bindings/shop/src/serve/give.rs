//! Puts a response of the screens on the wire.

use super::page::page;
use axum::body::Body;
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::Response;
use std::path::Path;
use tokio_util::io::ReaderStream;

/// How much of a file is read at a time.
const PIECE: usize = 64 << 10;

/// Puts `given` on the wire; `asked` are the header fields of the request.
pub async fn give(given: holebook_screens::Response, asked: &HeaderMap) -> Response {
    let Ok(status) = StatusCode::from_u16(given.status) else {
        return fault();
    };
    let Some(headers) = fields(&given.headers) else {
        return fault();
    };
    if status == StatusCode::OK && is_known(&headers, asked) {
        return with(StatusCode::NOT_MODIFIED, headers, Body::empty());
    }
    match given.body {
        holebook_screens::Body::Text(text) => with(status, headers, Body::from(text)),
        holebook_screens::Body::Empty => with(status, headers, Body::empty()),
        holebook_screens::Body::File(path) => file(status, headers, &path).await,
    }
}

/// The page that says that the program itself failed.
pub fn fault() -> Response {
    let sentence = "The program met a fault of its own and this page could not be made; what was recorded before is safe. \
                    Go back and try again, and if it stays so, run `holebook verify`.";
    page(
        StatusCode::INTERNAL_SERVER_ERROR,
        "A fault in the program",
        sentence,
    )
}

/// Adds what every response carries, whoever made it.
pub fn harden(response: &mut Response) {
    let always = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // Not `no-referrer`: under it a browser sends `Origin: null` with the notebook's own forms
        // (fetch.spec.whatwg.org, "append a request Origin header"), and they could not be told from a stranger's.
        (header::REFERRER_POLICY, "same-origin"),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
    ];
    for (name, value) in always {
        response
            .headers_mut()
            .insert(name, HeaderValue::from_static(value));
    }
}

fn fields(given: &[(&'static str, String)]) -> Option<HeaderMap> {
    let mut headers = HeaderMap::new();
    for (name, value) in given {
        let name = HeaderName::from_bytes(name.as_bytes()).ok()?;
        headers.append(name, HeaderValue::from_str(value).ok()?);
    }
    Some(headers)
}

/// Whether the browser holds what would be sent: one of its tags is the response's (RFC 9110, section 13.1.2).
fn is_known(headers: &HeaderMap, asked: &HeaderMap) -> bool {
    let Some(tag) = headers.get(header::ETAG).and_then(|tag| tag.to_str().ok()) else {
        return false;
    };
    let bare = |tag: &str| tag.trim().trim_start_matches("W/").to_owned();
    let lines = asked
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|line| line.to_str().ok());
    lines
        .flat_map(|line| line.split(','))
        .any(|held| held.trim() == "*" || bare(held) == bare(tag))
}

async fn file(status: StatusCode, mut headers: HeaderMap, path: &Path) -> Response {
    let opened = async {
        let file = tokio::fs::File::open(path).await?;
        let length = file.metadata().await?.len();
        std::io::Result::Ok((file, length))
    };
    let Ok((file, length)) = opened.await else {
        let sentence = "The picture is not in the notebook's folder or cannot be read; run `holebook verify` to see what is missing.";
        return page(StatusCode::NOT_FOUND, "The picture is missing", sentence);
    };
    headers.insert(header::CONTENT_LENGTH, HeaderValue::from(length));
    with(
        status,
        headers,
        Body::from_stream(ReaderStream::with_capacity(file, PIECE)),
    )
}

fn with(status: StatusCode, headers: HeaderMap, body: Body) -> Response {
    let mut response = Response::new(body);
    *response.status_mut() = status;
    *response.headers_mut() = headers;
    response
}
