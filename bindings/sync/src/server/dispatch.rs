//! Authenticates requests, and passes each to its handler.

use super::body::{HttpResult, ResponseBody, empty_response};
use super::connection::Connection;
use super::route::Route;
use super::{Server, pairing, sync_routes};
use crate::pairing_store::Caller;
use crate::secret::Token;
use crate::wire::{PAIR, PAIR_DIGITS, PAIR_EXCHANGE};
use hyper::body::Incoming;
use hyper::header::{self, HeaderValue};
use hyper::{Method, Request, Response, StatusCode};
use std::sync::Arc;

/// Handles one request: pairing without a token, everything else with one.
pub(super) async fn handle(
    server: Arc<Server>,
    connection: Arc<Connection>,
    request: Request<Incoming>,
) -> HttpResult {
    let uri = request.uri();
    tracing::debug!(method = %request.method(), path = uri.path(), "request from a device");
    if request.method() == Method::POST && uri.query().is_none() {
        match uri.path() {
            PAIR => return Ok(pairing::by_link(&server, request.into_body()).await),
            PAIR_EXCHANGE => {
                return Ok(pairing::exchange(&server, &connection, request.into_body()).await);
            }
            PAIR_DIGITS => {
                return Ok(pairing::by_digits(&server, &connection, request.into_body()).await);
            }
            _ => {}
        }
    }
    let device = match caller(&server, &request).await {
        Ok(Caller::Device(device)) => {
            connection.trust();
            device
        }
        Ok(Caller::Revoked) => return Ok(rejected(StatusCode::FORBIDDEN)),
        Ok(Caller::Unknown) => return Ok(rejected(StatusCode::UNAUTHORIZED)),
        Err(status) => return Ok(empty_response(status)),
    };
    match Route::parse(request.method(), uri.path(), uri.query()) {
        Some(route) => Ok(sync_routes::handle(server, device, route, request).await),
        None => Ok(rejected(StatusCode::NOT_FOUND)),
    }
}

/// Returns who sent the request. The store is read every time, since another program may have
/// revoked the device meanwhile.
async fn caller(server: &Arc<Server>, request: &Request<Incoming>) -> Result<Caller, StatusCode> {
    let Some(token) = token(request) else {
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

fn token(request: &Request<Incoming>) -> Option<Token> {
    let mut headers = request.headers().get_all(header::AUTHORIZATION).iter();
    let value = headers.next()?.to_str().ok()?;
    if headers.next().is_some() {
        return None;
    }
    Token::parse(value.strip_prefix("Bearer ")?)
}

/// Returns a response without a body that closes the connection, so that unauthorized clients
/// cannot keep one open.
fn rejected(status: StatusCode) -> Response<ResponseBody> {
    let mut response = empty_response(status);
    let close = HeaderValue::from_static("close");
    response.headers_mut().insert(header::CONNECTION, close);
    response
}
