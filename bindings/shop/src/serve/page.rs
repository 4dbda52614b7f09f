//! The few plain pages that are the carrier's own, for requests that never reach the screens.

use super::guard::Refusal;
use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;

/// A page of one heading and one sentence. Both are the program's own words, never a visitor's.
pub fn page(status: StatusCode, title: &str, sentence: &str) -> Response {
    let html = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{title} · Holebook</title></head>\n\
         <body>\n<main>\n<h1>{title}</h1>\n<p>{sentence}</p>\n</main>\n</body>\n</html>\n"
    );
    let mut response = Response::new(Body::from(html));
    *response.status_mut() = status;
    let headers = response.headers_mut();
    headers.insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static("text/html; charset=utf-8"),
    );
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    let policy = "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";
    headers.insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(policy),
    );
    response
}

/// The page for a request that is turned away.
pub fn refused(refusal: Refusal) -> Response {
    let (title, sentence) = match refusal {
        Refusal::NoKey => (
            "This notebook is shut",
            "Open it with the whole address that the program printed in its window when it started; \
             the address changes with every start.",
        ),
        Refusal::WrongHost => (
            "Not this address",
            "The notebook answers only on this computer itself: open it with the address that the program printed.",
        ),
        Refusal::WrongOrigin => (
            "Nothing was changed",
            "The change did not come from the notebook's own page; go back to the notebook and make it there.",
        ),
    };
    page(StatusCode::FORBIDDEN, title, sentence)
}
