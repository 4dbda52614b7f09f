//! Converts a response of the screens to HTTP.

use super::page::page;
use axum::body::Body;
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, header};
use axum::response::Response;
use std::path::Path;
use tokio_util::io::ReaderStream;

/// Bytes of a file that are read at a time.
const CHUNK_BYTES: usize = 64 << 10;

/// Converts `response` to HTTP. If the browser has it cached, by `request_headers`, it is not sent
/// again.
pub async fn respond(
    response: holebook_screens::Response,
    request_headers: &HeaderMap,
) -> Response {
    let Ok(status) = StatusCode::from_u16(response.status) else {
        return internal_error();
    };
    let Some(headers) = header_map(&response.headers) else {
        return internal_error();
    };
    if status == StatusCode::OK && is_cached(&headers, request_headers) {
        return build(StatusCode::NOT_MODIFIED, headers, Body::empty());
    }
    match response.body {
        holebook_screens::Body::Text(text) => build(status, headers, Body::from(text)),
        holebook_screens::Body::Bytes(bytes) => build(status, headers, Body::from(bytes)),
        holebook_screens::Body::Empty => build(status, headers, Body::empty()),
        holebook_screens::Body::File(path) => stream_file(status, headers, &path).await,
    }
}

/// Builds the page for a panic in the screens.
pub fn internal_error() -> Response {
    let sentence = "This page failed because of a bug in the program; everything recorded before is safe. \
                    Go back and retry; if it fails again, run `holebook verify`.";
    page(
        StatusCode::INTERNAL_SERVER_ERROR,
        "Internal error",
        sentence,
    )
}

/// Adds the security headers that every response carries.
pub fn add_security_headers(response: &mut Response) {
    let always = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // Not `no-referrer`: with it, a browser sends `Origin: null` even with the notebook's own
        // forms (fetch.spec.whatwg.org, "append a request Origin header").
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

fn header_map(fields: &[(&'static str, String)]) -> Option<HeaderMap> {
    let mut headers = HeaderMap::new();
    for (name, value) in fields {
        let name = HeaderName::from_bytes(name.as_bytes()).ok()?;
        headers.append(name, HeaderValue::from_str(value).ok()?);
    }
    Some(headers)
}

/// Whether the browser has the response cached, by its ETag (RFC 9110, section 13.1.2).
fn is_cached(headers: &HeaderMap, request_headers: &HeaderMap) -> bool {
    let Some(tag) = headers.get(header::ETAG).and_then(|tag| tag.to_str().ok()) else {
        return false;
    };
    let bare = |tag: &str| tag.trim().trim_start_matches("W/").to_owned();
    let lines = request_headers
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|line| line.to_str().ok());
    lines
        .flat_map(|line| line.split(','))
        .any(|cached| cached.trim() == "*" || bare(cached) == bare(tag))
}

async fn stream_file(status: StatusCode, mut headers: HeaderMap, path: &Path) -> Response {
    let opened = async {
        let file = tokio::fs::File::open(path).await?;
        let length = file.metadata().await?.len();
        std::io::Result::Ok((file, length))
    };
    let Ok((file, length)) = opened.await else {
        let sentence = "The photo is not in the notebook's folder or cannot be read; run `holebook verify` to see what is missing.";
        return page(StatusCode::NOT_FOUND, "Photo missing", sentence);
    };
    headers.insert(header::CONTENT_LENGTH, HeaderValue::from(length));
    build(
        status,
        headers,
        Body::from_stream(ReaderStream::with_capacity(file, CHUNK_BYTES)),
    )
}

fn build(status: StatusCode, headers: HeaderMap, body: Body) -> Response {
    let mut response = Response::new(body);
    *response.status_mut() = status;
    *response.headers_mut() = headers;
    response
}
