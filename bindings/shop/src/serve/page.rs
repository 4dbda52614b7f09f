//! The server's own plain pages, for requests that never reach the screens.

use super::access::Rejection;
use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;

/// Builds a page with one heading and one sentence. Neither may contain text from the request.
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

/// Builds the page for a rejected request.
pub fn rejection_page(rejection: Rejection) -> Response {
    let (title, sentence) = match rejection {
        Rejection::NoKey => (
            "This notebook is locked",
            "Open it with the full address that the program printed when it started; \
             the address changes every time.",
        ),
        Rejection::WrongHost => (
            "Wrong address",
            "The notebook answers only on this computer: open it with the address that the program printed.",
        ),
        Rejection::WrongOrigin => (
            "Nothing was changed",
            "The form did not come from the notebook's own page. Go back to the notebook and enter it there.",
        ),
    };
    page(StatusCode::FORBIDDEN, title, sentence)
}
