//! Authenticates requests, and routes each to its handler.

use super::connection::Connection;
use super::{Server, pairing, sync_routes};
use crate::pairing_store::Caller;
use crate::secret::Token;
use crate::wire::{DONE, JOURNAL, PAIR, PAIR_DIGITS, PAIR_EXCHANGE};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse as _, Response};
use axum::routing::{get, post};
use axum::{Extension, Router};
use std::sync::Arc;

/// The number of the paired device that sent a request.
#[derive(Debug, Clone, Copy)]
pub(super) struct Device(pub i64);

/// Builds the service of one connection: pairing without a token, everything else with one.
pub(super) fn router(server: Arc<Server>) -> Router {
    let lines = get(sync_routes::send_lines).put(sync_routes::receive_lines);
    let photo = get(sync_routes::send_photo).put(sync_routes::receive_photo);
    let routes = Router::new()
        .route(PAIR, post(pairing::by_link))
        .route(PAIR_EXCHANGE, post(pairing::exchange))
        .route(PAIR_DIGITS, post(pairing::by_digits))
        .route(JOURNAL, get(sync_routes::listing))
        .route("/journal/{device}/{file}", lines)
        .route("/photos/{hash}", photo)
        .route(DONE, post(sync_routes::finish))
        .fallback(not_found)
        .method_not_allowed_fallback(not_found)
        .with_state(Arc::clone(&server));
    // Around the whole router: what is rejected does not tell which paths and methods there are.
    Router::new()
        .fallback_service(routes)
        .layer(from_fn_with_state(server, authenticate))
}

async fn not_found() -> Response {
    rejected(StatusCode::NOT_FOUND)
}

/// Rejects whoever is not paired, and adds the [`Device`] to requests of one that is.
async fn authenticate(
    State(server): State<Arc<Server>>,
    Extension(connection): Extension<Arc<Connection>>,
    mut request: Request,
    next: Next,
) -> Response {
    tracing::debug!(method = %request.method(), path = request.uri().path(), "request from a device");
    if is_pairing(&request) {
        return next.run(request).await;
    }
    match caller(&server, request.headers()).await {
        Ok(Caller::Device(device)) => {
            connection.trust();
            request.extensions_mut().insert(Device(device));
            next.run(request).await
        }
        Ok(Caller::Revoked) => rejected(StatusCode::FORBIDDEN),
        Ok(Caller::Unknown) => rejected(StatusCode::UNAUTHORIZED),
        Err(status) => status.into_response(),
    }
}

fn is_pairing(request: &Request) -> bool {
    let is_path = [PAIR, PAIR_EXCHANGE, PAIR_DIGITS].contains(&request.uri().path());
    is_path && request.method() == Method::POST
}

/// Returns who sent the request. The store is read every time, since another program may have
/// revoked the device meanwhile.
async fn caller(server: &Arc<Server>, headers: &HeaderMap) -> Result<Caller, StatusCode> {
    let Some(token) = token(headers) else {
        return Ok(Caller::Unknown);
    };
    let worker = server.clone();
    let caller = tokio::task::spawn_blocking(move || worker.store.caller(&token.digest())).await;
    match caller {
        Ok(Ok(caller)) => Ok(caller),
        Ok(Err(error)) => {
            server.report_failure(error);
            Err(StatusCode::INTERNAL_SERVER_ERROR)
        }
        Err(_) => Err(StatusCode::INTERNAL_SERVER_ERROR),
    }
}

fn token(headers: &HeaderMap) -> Option<Token> {
    let mut headers = headers.get_all(header::AUTHORIZATION).iter();
    let value = headers.next()?.to_str().ok()?;
    if headers.next().is_some() {
        return None;
    }
    Token::parse(value.strip_prefix("Bearer ")?)
}

/// Returns a response without a body that closes the connection, so that unauthorized clients
/// cannot keep one open.
fn rejected(status: StatusCode) -> Response {
    let close = HeaderValue::from_static("close");
    (status, [(header::CONNECTION, close)]).into_response()
}
