//! Handles pairing requests: by the secret of a link, or by digits.

use super::body::{BodyError, ReadLimits, read_all};
use super::connection::Connection;
use super::{Event, Server};
use crate::PairingError;
use crate::exchange::{Exchange, SharedKey};
use crate::names;
use crate::pairing_store::{OpenDigits, Redeemed};
use crate::secret::{Digest, Token};
use crate::wire::{
    DigitsRequest, DigitsResponse, ExchangeMessage, MAX_SMALL_BYTES, PairRequest, PairResponse,
};
use axum::Extension;
use axum::body::Body;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Response};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::sync::Arc;
use std::time::Duration;

/// Limits of a pairing request's body, which comes from an unknown device and is small.
const BODY_LIMITS: ReadLimits = ReadLimits {
    idle_timeout: Duration::from_secs(5),
    min_bytes_per_second: 1024,
};

/// An exchange whose messages were sent, on one connection: the device's proof is missing.
pub(super) struct BegunExchange {
    open: OpenDigits,
    key: SharedKey,
}

/// The response, or the status of a rejection.
type Outcome<T> = Result<T, StatusCode>;

/// Pairs a device by the secret of a link.
pub(super) async fn by_link(State(server): State<Arc<Server>>, body: Body) -> Response {
    let request: PairRequest = match read(body).await {
        Ok(request) => request,
        Err(status) => return status.into_response(),
    };
    respond(blocking(&server, move |server| redeem_link(server, &request)).await)
}

/// Begins pairing by digits: answers the device's message of the key exchange with this computer's.
/// Only once a connection, since every guess needs an exchange of its own.
pub(super) async fn exchange(
    State(server): State<Arc<Server>>,
    Extension(connection): Extension<Arc<Connection>>,
    body: Body,
) -> Response {
    let request: ExchangeMessage = match read(body).await {
        Ok(request) => request,
        Err(status) => return status.into_response(),
    };
    let begun = blocking(&server, move |server| begin(server, &request)).await;
    respond(begun.and_then(|(begun, message)| {
        connection
            .begin_exchange(begun)
            .then_some(message)
            .ok_or(StatusCode::CONFLICT)
    }))
}

/// Ends pairing by digits: checks the device's proof and pairs it.
pub(super) async fn by_digits(
    State(server): State<Arc<Server>>,
    Extension(connection): Extension<Arc<Connection>>,
    body: Body,
) -> Response {
    let request: DigitsRequest = match read(body).await {
        Ok(request) => request,
        Err(status) => return status.into_response(),
    };
    let Some(begun) = connection.take_exchange() else {
        return StatusCode::BAD_REQUEST.into_response();
    };
    let peer = connection.peer;
    let Some(delay) = server.guesses.count(peer, begun.open.offer) else {
        return StatusCode::TOO_MANY_REQUESTS.into_response();
    };
    let redeemed = blocking(&server, move |server| {
        redeem_digits(server, &begun, &request)
    })
    .await;
    match redeemed {
        Ok(_) => server.guesses.was_right(peer),
        Err(StatusCode::FORBIDDEN) => tokio::time::sleep(delay).await,
        Err(_) => {}
    }
    respond(redeemed)
}

async fn read<T: DeserializeOwned>(body: Body) -> Outcome<T> {
    match read_all(body, MAX_SMALL_BYTES, BODY_LIMITS).await {
        Ok(bytes) => serde_json::from_slice(&bytes).map_err(|_| StatusCode::BAD_REQUEST),
        Err(BodyError::TooLarge) => Err(StatusCode::PAYLOAD_TOO_LARGE),
        Err(_) => Err(StatusCode::BAD_REQUEST),
    }
}

fn respond<T: Serialize>(outcome: Outcome<T>) -> Response {
    let body = outcome.and_then(|response| {
        serde_json::to_vec(&response).map_err(|_| StatusCode::INTERNAL_SERVER_ERROR)
    });
    match body {
        Ok(bytes) => Response::new(Body::from(bytes)),
        Err(status) => status.into_response(),
    }
}

/// Runs blocking work on a blocking thread, and reports what fails because of this computer.
async fn blocking<T: Send + 'static>(
    server: &Arc<Server>,
    work: impl FnOnce(&Server) -> Result<Outcome<T>, PairingError> + Send + 'static,
) -> Outcome<T> {
    let worker = server.clone();
    match tokio::task::spawn_blocking(move || work(&worker)).await {
        Ok(Ok(outcome)) => outcome,
        Ok(Err(PairingError::InvalidName)) => Err(StatusCode::UNPROCESSABLE_ENTITY),
        Ok(Err(error)) => {
            server.report_failure(error);
            Err(StatusCode::INTERNAL_SERVER_ERROR)
        }
        Err(_) => Err(StatusCode::INTERNAL_SERVER_ERROR),
    }
}

fn redeem_link(
    server: &Server,
    request: &PairRequest,
) -> Result<Outcome<PairResponse>, PairingError> {
    // A malformed secret counts as a wrong one.
    let secret = URL_SAFE_NO_PAD.decode(&request.secret).unwrap_or_default();
    let (name, token) = (names::validate(&request.name)?, Token::generate()?);
    let redeemed = server
        .store
        .redeem(&Digest::of(&secret), &name, &token.digest())?;
    finish(server, redeemed, name, &token)
}

fn begin(
    server: &Server,
    request: &ExchangeMessage,
) -> Result<Outcome<(BegunExchange, ExchangeMessage)>, PairingError> {
    let Some(open) = server.store.open_digits()? else {
        return Ok(Err(StatusCode::GONE));
    };
    let exchange = Exchange::of_shop(&open.digits, &server.fingerprint);
    let message = URL_SAFE_NO_PAD.encode(&exchange.message);
    let theirs = URL_SAFE_NO_PAD.decode(&request.message).unwrap_or_default();
    Ok(match exchange.finish(&theirs) {
        Some(key) => Ok((BegunExchange { open, key }, ExchangeMessage { message })),
        None => Err(StatusCode::BAD_REQUEST),
    })
}

fn redeem_digits(
    server: &Server,
    begun: &BegunExchange,
    request: &DigitsRequest,
) -> Result<Outcome<DigitsResponse>, PairingError> {
    let proof = URL_SAFE_NO_PAD.decode(&request.proof).unwrap_or_default();
    if !begun.key.device_proof().matches(&proof) {
        server.store.count_wrong_guess(&begun.open)?;
        (server.on_event)(Event::WrongCode);
        return Ok(Err(StatusCode::FORBIDDEN));
    }
    let (name, token) = (names::validate(&request.name)?, Token::generate()?);
    let redeemed = server
        .store
        .redeem_digits(&begun.open, &name, &token.digest())?;
    let paired = finish(server, redeemed, name, &token)?;
    let proof = URL_SAFE_NO_PAD.encode(begun.key.shop_proof().0);
    Ok(paired.map(|paired| DigitsResponse { proof, paired }))
}

/// Reports the result, and returns what the device gets.
fn finish(
    server: &Server,
    redeemed: Redeemed,
    name: String,
    token: &Token,
) -> Result<Outcome<PairResponse>, PairingError> {
    Ok(match redeemed {
        Redeemed::Paired(device) => {
            (server.on_event)(Event::Paired { device, name });
            Ok(PairResponse {
                token: token.to_text(),
                name: server.store.server_name()?,
            })
        }
        Redeemed::Unknown => {
            (server.on_event)(Event::WrongCode);
            Err(StatusCode::FORBIDDEN)
        }
        Redeemed::Used => Err(StatusCode::CONFLICT),
        Redeemed::Expired => Err(StatusCode::GONE),
    })
}
