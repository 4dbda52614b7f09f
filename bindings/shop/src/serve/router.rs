//! Handles one request: access checks, then the screens, then the response.

use super::access::{AccessControl, NamedHost, Rejection};
use super::page::{page, rejection_page};
use super::read_request::read;
use super::request::ReadRequest;
use super::{Screens, form, percent, respond};
use axum::Router;
use axum::body::Body;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::response::Response;
use holebook_sync::http_server::OpenConnection;
use std::path::PathBuf;
use std::sync::Arc;
use tokio::sync::Semaphore;
use tokio::task::JoinError;

/// The most forms with photos that are handled at once: each takes up to 200 MB of memory beside its
/// file. More than one, so that nobody waits for a photo that takes long to decode.
const MAX_IMPORTS: usize = 3;

/// The HTTP server's state, shared by all requests.
pub struct ScreenServer<S> {
    screens: Arc<S>,
    access: Arc<AccessControl>,
    /// The folder for uploaded files.
    uploads: PathBuf,
    /// Permits to import photos.
    imports: Arc<Semaphore>,
}

impl<S: Screens> ScreenServer<S> {
    /// Creates a server for `screens`; uploaded files go to the folder `uploads`.
    pub fn new(screens: Arc<S>, access: Arc<AccessControl>, uploads: PathBuf) -> Self {
        Self {
            screens,
            access,
            uploads,
            imports: Arc::new(Semaphore::new(MAX_IMPORTS)),
        }
    }

    /// Builds the service that answers requests.
    pub fn router(self) -> Router {
        Router::new()
            .fallback(handle::<S>)
            .layer(DefaultBodyLimit::max(form::WIRE_LIMIT))
            .with_state(Arc::new(self))
    }
}

async fn handle<S: Screens>(
    State(server): State<Arc<ScreenServer<S>>>,
    request: Request,
) -> Response {
    let is_head = request.method() == Method::HEAD;
    let mut response = match reject(&server.access, &request) {
        Some(response) => response,
        None => forward(&server, request).await,
    };
    respond::add_security_headers(&mut response);
    if is_head {
        strip_body(response)
    } else {
        response
    }
}

/// Answers a request that must not reach the screens; `None` if it may.
fn reject(access: &AccessControl, request: &Request) -> Option<Response> {
    let headers = request.headers();
    if request.uri().authority().is_some() {
        return Some(rejection_page(Rejection::WrongHost));
    }
    let host = match access.check_host(headers) {
        Ok(host) => host,
        Err(rejection) => return Some(rejection_page(rejection)),
    };
    if ![Method::GET, Method::HEAD, Method::POST].contains(request.method()) {
        return Some(method_not_allowed());
    }
    if let Some(response) = sign_in(access, host, request) {
        return Some(response);
    }
    if host == NamedHost::Entrance {
        return Some(rejection_page(Rejection::NoKey));
    }
    if !access.has_cookie(headers) {
        return Some(rejection_page(Rejection::NoKey));
    }
    if let Some(connection) = request.extensions().get::<Arc<OpenConnection>>() {
        connection.trust();
    }
    if request.method() == Method::POST {
        return access.check_origin(headers).err().map(rejection_page);
    }
    None
}

/// Answers the address with the key: at the entrance redirects to the screens' own host name, and
/// there sets the cookie and redirects to the castings.
fn sign_in(access: &AccessControl, host: NamedHost, request: &Request) -> Option<Response> {
    if request.uri().path() != "/" || request.method() == Method::POST {
        return None;
    }
    let pairs = percent::decode_pairs(request.uri().query()?.as_bytes()).ok()?;
    let (_, key) = pairs.iter().find(|(name, _)| name == "key")?;
    let accepted = access.accepts_key(key);
    if host == NamedHost::Entrance {
        let location = accepted.then(|| access.one_time_address().ok()).flatten();
        return Some(match location {
            Some(location) => redirect(HeaderValue::from_str(&location).ok()?),
            None => rejection_page(Rejection::NoKey),
        });
    }
    if !accepted && !access.has_cookie(request.headers()) {
        return Some(rejection_page(Rejection::NoKey));
    }
    let mut response = redirect(HeaderValue::from_static("/"));
    if accepted {
        let cookie = HeaderValue::from_str(&access.cookie()).ok()?;
        response.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    Some(response)
}

fn redirect(location: HeaderValue) -> Response {
    let mut response = Response::new(Body::empty());
    *response.status_mut() = StatusCode::SEE_OTHER;
    let headers = response.headers_mut();
    headers.insert(header::LOCATION, location);
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    response
}

async fn forward<S: Screens>(server: &Arc<ScreenServer<S>>, request: Request) -> Response {
    let headers: HeaderMap = request.headers().clone();
    match read(request, &server.uploads).await {
        Ok(request) => match answer(server, request).await {
            Ok(response) => respond::respond(response, &headers).await,
            Err(_) => respond::internal_error(),
        },
        Err(error) => error.page(),
    }
}

/// Calls the screens on a thread that may block. A panic there ends this request and nothing else.
async fn answer<S: Screens>(
    server: &Arc<ScreenServer<S>>,
    request: ReadRequest,
) -> Result<holebook_screens::Response, JoinError> {
    let permit = if request.files.is_empty() {
        None
    } else {
        Arc::clone(&server.imports).acquire_owned().await.ok()
    };
    let screens = Arc::clone(&server.screens);
    // The task owns the files: if the browser disconnects, they stay until the screens are done.
    let work = tokio::task::spawn_blocking(move || {
        let response = screens.answer(&request.request);
        drop((request.files, permit));
        response
    });
    work.await
}

fn method_not_allowed() -> Response {
    let sentence = "The notebook accepts only GET, HEAD, and POST.";
    let mut response = page(
        StatusCode::METHOD_NOT_ALLOWED,
        "Method not allowed",
        sentence,
    );
    let methods = HeaderValue::from_static("GET, HEAD, POST");
    response.headers_mut().insert(header::ALLOW, methods);
    response
}

/// Removes the body and keeps its length, for HEAD.
fn strip_body(response: Response) -> Response {
    let (mut parts, body) = response.into_parts();
    let length = axum::body::HttpBody::size_hint(&body).exact();
    if let (Some(length), false) = (length, parts.headers.contains_key(header::CONTENT_LENGTH)) {
        parts
            .headers
            .insert(header::CONTENT_LENGTH, HeaderValue::from(length));
    }
    Response::from_parts(parts, Body::empty())
}
