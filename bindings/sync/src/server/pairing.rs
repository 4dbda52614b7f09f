//! Handles pairing requests.

use super::body::{BodyError, ReadLimits, ResponseBody, empty_response, read_all};
use super::{Event, Server};
use crate::PairingError;
use crate::names;
use crate::pairing_store::Redeemed;
use crate::secret::{Digest, Token};
use crate::wire::{MAX_SMALL_BYTES, PairRequest, PairResponse};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use hyper::body::Incoming;
use hyper::{Response, StatusCode};
use std::sync::Arc;
use std::time::Duration;

/// Limits of a pairing request's body, which comes from an unknown device and is small.
const BODY_LIMITS: ReadLimits = ReadLimits {
    idle_timeout: Duration::from_secs(5),
    min_bytes_per_second: 1024,
};

pub(super) async fn handle(server: &Arc<Server>, body: Incoming) -> Response<ResponseBody> {
    let request = match read_all(body, MAX_SMALL_BYTES, BODY_LIMITS).await {
        Ok(bytes) => serde_json::from_slice::<PairRequest>(&bytes).ok(),
        Err(BodyError::TooLarge) => return empty_response(StatusCode::PAYLOAD_TOO_LARGE),
        Err(_) => None,
    };
    let Some(request) = request else {
        return empty_response(StatusCode::BAD_REQUEST);
    };
    let Some(permit) = server.rate_limiter.acquire().await else {
        return empty_response(StatusCode::TOO_MANY_REQUESTS);
    };
    let worker = server.clone();
    let redeemed = tokio::task::spawn_blocking(move || redeem(&worker, &request)).await;
    match redeemed {
        Ok(Ok(Ok(response))) => json_response(&response),
        Ok(Ok(Err(status))) => {
            (server.on_event)(Event::WrongCode);
            permit.delay_after_wrong_code().await;
            empty_response(status)
        }
        Ok(Err(PairingError::InvalidName)) => empty_response(StatusCode::UNPROCESSABLE_ENTITY),
        Ok(Err(error)) => {
            server.report_failure(error);
            empty_response(StatusCode::INTERNAL_SERVER_ERROR)
        }
        Err(_) => empty_response(StatusCode::INTERNAL_SERVER_ERROR),
    }
}

/// Redeems the code of a pairing request. Returns the response, or the error status if the code is
/// not valid.
fn redeem(
    server: &Server,
    request: &PairRequest,
) -> Result<Result<PairResponse, StatusCode>, PairingError> {
    // A malformed secret counts as a wrong one.
    let secret = URL_SAFE_NO_PAD.decode(&request.secret).unwrap_or_default();
    let (name, token) = (names::validate(&request.name)?, Token::generate()?);
    let redeemed = server
        .store
        .redeem(&Digest::of(&secret), &name, &token.digest())?;
    Ok(match redeemed {
        Redeemed::Paired(device) => {
            (server.on_event)(Event::Paired { device, name });
            Ok(PairResponse {
                token: token.to_text(),
                name: server.store.server_name()?,
            })
        }
        Redeemed::Unknown => Err(StatusCode::FORBIDDEN),
        Redeemed::Used => Err(StatusCode::CONFLICT),
        Redeemed::Expired => Err(StatusCode::GONE),
    })
}

fn json_response(response: &PairResponse) -> Response<ResponseBody> {
    match serde_json::to_vec(response) {
        Ok(bytes) => Response::new(bytes.into()),
        Err(_) => empty_response(StatusCode::INTERNAL_SERVER_ERROR),
    }
}
