//! Letting a device in that shows a code.

use super::body::{Going, Pace, Short, whole};
use super::route::bare;
use super::{Event, Served};
use crate::LinkError;
use crate::names;
use crate::secret::{Digest, Token};
use crate::store::Redeemed;
use crate::wire::{PairAnswer, PairAsk, SMALL_BYTES};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use hyper::body::Incoming;
use hyper::{Response, StatusCode};
use std::sync::Arc;
use std::time::Duration;

/// How long a stranger's few bytes may take.
const PACE: Pace = Pace {
    still: Duration::from_secs(5),
    slowest: 1024,
};

pub(super) async fn answer(served: &Arc<Served>, body: Incoming) -> Response<Going> {
    let asked = match whole(body, SMALL_BYTES, PACE).await {
        Ok(bytes) => serde_json::from_slice::<PairAsk>(&bytes).ok(),
        Err(Short::TooLarge) => return bare(StatusCode::PAYLOAD_TOO_LARGE),
        Err(_) => None,
    };
    let Some(asked) = asked else {
        return bare(StatusCode::BAD_REQUEST);
    };
    let Some(turn) = served.gate.turn().await else {
        return bare(StatusCode::TOO_MANY_REQUESTS);
    };
    let working = served.clone();
    let redeemed = tokio::task::spawn_blocking(move || redeem(&working, &asked)).await;
    match redeemed {
        Ok(Ok(Ok(answer))) => answer_with(&answer),
        Ok(Ok(Err(status))) => {
            (served.told)(Event::WrongCode);
            turn.hold_back().await;
            bare(status)
        }
        Ok(Err(LinkError::Name)) => bare(StatusCode::UNPROCESSABLE_ENTITY),
        Ok(Err(error)) => {
            served.fault(error);
            bare(StatusCode::INTERNAL_SERVER_ERROR)
        }
        Err(_) => bare(StatusCode::INTERNAL_SERVER_ERROR),
    }
}

/// The answer to a code that is good, or the status that says why another is not.
fn redeem(served: &Served, asked: &PairAsk) -> Result<Result<PairAnswer, StatusCode>, LinkError> {
    // What is not even written like a secret is as wrong as any other.
    let secret = URL_SAFE_NO_PAD.decode(&asked.secret).unwrap_or_default();
    let (name, token) = (names::clean(&asked.name)?, Token::fresh()?);
    let redeemed = served
        .store
        .redeem(&Digest::of(&secret), &name, &token.digest())?;
    Ok(match redeemed {
        Redeemed::Paired(device) => {
            (served.told)(Event::Paired { device, name });
            Ok(PairAnswer {
                token: token.text(),
                name: served.store.own_name()?,
            })
        }
        Redeemed::Unknown => Err(StatusCode::FORBIDDEN),
        Redeemed::Used => Err(StatusCode::CONFLICT),
        Redeemed::Over => Err(StatusCode::GONE),
    })
}

fn answer_with(answer: &PairAnswer) -> Response<Going> {
    match serde_json::to_vec(answer) {
        Ok(bytes) => Response::new(bytes.into()),
        Err(_) => bare(StatusCode::INTERNAL_SERVER_ERROR),
    }
}
