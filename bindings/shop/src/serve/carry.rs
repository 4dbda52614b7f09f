//! One request from end to end: the guard's checks, then the screens, then the answer.

use super::guard::{Guard, Refusal};
use super::page::{page, refused};
use super::take::{Taken, take};
use super::{Screens, decode, form, give};
use axum::Router;
use axum::body::Body;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::response::Response;
use std::path::PathBuf;
use std::sync::Arc;
use tokio::sync::Semaphore;
use tokio::task::JoinError;

/// What every request of a run shares.
pub struct Carrier<S> {
    screens: Arc<S>,
    guard: Arc<Guard>,
    /// Where files of forms are put until the screens have taken them in.
    incoming: PathBuf,
    /// One picture is brought in at a time: decoding one takes some hundred megabytes.
    one_picture: Arc<Semaphore>,
}

impl<S: Screens> Carrier<S> {
    /// A carrier between `screens` and the browser.
    pub fn new(screens: Arc<S>, guard: Arc<Guard>, incoming: PathBuf) -> Self {
        Self {
            screens,
            guard,
            incoming,
            one_picture: Arc::new(Semaphore::new(1)),
        }
    }

    /// The service that answers requests.
    pub fn router(self) -> Router {
        Router::new()
            .fallback(carry::<S>)
            .layer(DefaultBodyLimit::max(form::WIRE_LIMIT))
            .with_state(Arc::new(self))
    }
}

async fn carry<S: Screens>(State(carrier): State<Arc<Carrier<S>>>, request: Request) -> Response {
    let is_head = request.method() == Method::HEAD;
    let mut response = match turn_away(&carrier.guard, &request) {
        Some(response) => response,
        None => pass(&carrier, request).await,
    };
    give::harden(&mut response);
    if is_head {
        without_body(response)
    } else {
        response
    }
}

/// The answer to a request that shall not reach the screens; `None` where it may.
fn turn_away(guard: &Guard, request: &Request) -> Option<Response> {
    let headers = request.headers();
    if request.uri().authority().is_some() {
        return Some(refused(Refusal::WrongHost));
    }
    if let Err(refusal) = guard.check_host(headers) {
        return Some(refused(refusal));
    }
    if ![Method::GET, Method::HEAD, Method::POST].contains(request.method()) {
        return Some(not_allowed());
    }
    if let Some(response) = let_in(guard, request) {
        return Some(response);
    }
    if !guard.has_cookie(headers) {
        return Some(refused(Refusal::NoKey));
    }
    if request.method() == Method::POST {
        return guard.check_origin(headers).err().map(refused);
    }
    None
}

/// The answer to the address with the key: the cookie, and on to the castings.
fn let_in(guard: &Guard, request: &Request) -> Option<Response> {
    if request.uri().path() != "/" || request.method() == Method::POST {
        return None;
    }
    let pairs = decode::pairs(request.uri().query()?.as_bytes()).ok()?;
    let (_, key) = pairs.iter().find(|(name, _)| name == "key")?;
    let right = guard.takes_key(key);
    if !right && !guard.has_cookie(request.headers()) {
        return Some(refused(Refusal::NoKey));
    }
    let mut response = Response::new(Body::empty());
    *response.status_mut() = StatusCode::SEE_OTHER;
    let headers = response.headers_mut();
    headers.insert(header::LOCATION, HeaderValue::from_static("/"));
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    if right {
        let cookie = HeaderValue::from_str(&guard.cookie()).ok()?;
        headers.insert(header::SET_COOKIE, cookie);
    }
    Some(response)
}

async fn pass<S: Screens>(carrier: &Arc<Carrier<S>>, request: Request) -> Response {
    let asked: HeaderMap = request.headers().clone();
    match take(request, &carrier.incoming).await {
        Ok(taken) => match answer(carrier, taken).await {
            Ok(given) => give::give(given, &asked).await,
            Err(_) => give::fault(),
        },
        Err(error) => error.page(),
    }
}

/// Asks the screens on a thread that may block. A fault in them ends that thread's work and nothing else.
async fn answer<S: Screens>(
    carrier: &Arc<Carrier<S>>,
    taken: Taken,
) -> Result<holebook_screens::Response, JoinError> {
    let turn = if taken.files.is_empty() {
        None
    } else {
        Arc::clone(&carrier.one_picture).acquire_owned().await.ok()
    };
    let screens = Arc::clone(&carrier.screens);
    // The files go with the work: should the browser go away, they stay until the screens are done with them.
    let work = tokio::task::spawn_blocking(move || {
        let response = screens.answer(&taken.request);
        drop((taken.files, turn));
        response
    });
    work.await
}

fn not_allowed() -> Response {
    let sentence = "The notebook answers only to looking and to its own forms.";
    let mut response = page(StatusCode::METHOD_NOT_ALLOWED, "Not known here", sentence);
    let methods = HeaderValue::from_static("GET, HEAD, POST");
    response.headers_mut().insert(header::ALLOW, methods);
    response
}

/// The same answer without what it carries; its length stays.
fn without_body(response: Response) -> Response {
    let (mut parts, body) = response.into_parts();
    let length = axum::body::HttpBody::size_hint(&body).exact();
    if let (Some(length), false) = (length, parts.headers.contains_key(header::CONTENT_LENGTH)) {
        parts
            .headers
            .insert(header::CONTENT_LENGTH, HeaderValue::from(length));
    }
    Response::from_parts(parts, Body::empty())
}
