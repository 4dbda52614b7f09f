//! Pairing with a shop computer.

use super::ask::{self, Asker, Silence};
use super::carry::Carrier;
use super::pinned;
use super::reach::Miss;
use crate::code::PairCode;
use crate::names;
use crate::secret::Token;
use crate::store::{Shop, Store};
use crate::wire::{PAIR, PairAnswer, PairAsk, SMALL_BYTES};
use crate::{Fingerprint, LinkError};
use std::net::SocketAddr;
use ureq::Body;
use ureq::http::Response;

/// Pairs this device, which calls itself `name`, with the shop computer that `code` is from, and keeps what it is given in
/// `store`. `more` are addresses at which it may be too. Blocks until it has answered: a fraction of a second, or some ten
/// seconds where it cannot be reached.
///
/// The code's secret is shown only to a computer with the key that the code names.
///
/// # Errors
/// Where it cannot be reached, another computer answers, the code is wrong, used or too old, or the pairing cannot be kept.
pub fn pair(
    store: &Store,
    code: &PairCode,
    name: &str,
    more: &[SocketAddr],
) -> Result<Shop, LinkError> {
    let ask = PairAsk {
        secret: code.secret.text(),
        name: names::clean(name)?,
    };
    let body = serde_json::to_vec(&ask).map_err(|error| unclear(error.to_string()))?;
    let asker = asker(code, more)?;
    let mut response = asker
        .ask(("POST", PAIR), &[], &body[..])
        .map_err(not_reached)?;
    let answer = answer(&mut response)?;
    let token = Token::read(&answer.token).ok_or_else(|| unclear("no token".to_owned()))?;
    let (address, fingerprint) = seen(&asker)?;
    let mut addresses = vec![address];
    let others = code.addresses().iter().filter(|other| **other != address);
    addresses.extend(others);
    store.keep_shop(fingerprint, &answer.name, &addresses, &token)
}

fn asker(code: &PairCode, more: &[SocketAddr]) -> Result<Asker, LinkError> {
    let config = pinned::config(code.pin).map_err(|error| unclear(error.to_string()))?;
    let mut addresses = code.addresses().to_vec();
    addresses.extend(more.iter().filter(|more| !code.addresses().contains(more)));
    Ok(Asker::new(Carrier::new(config, addresses), None))
}

/// Where the computer is that answered, and its whole fingerprint, of which words hold only the start.
fn seen(asker: &Asker) -> Result<(SocketAddr, Fingerprint), LinkError> {
    let found = asker.carrier.found();
    found.ok_or_else(|| unclear("it shows no key".to_owned()))
}

fn answer(response: &mut Response<Body>) -> Result<PairAnswer, LinkError> {
    match response.status().as_u16() {
        200 => {
            let bytes = ask::whole(response, SMALL_BYTES);
            let bytes = bytes.map_err(|error| unclear(error.to_string()))?;
            serde_json::from_slice(&bytes).map_err(|error| unclear(error.to_string()))
        }
        403 => Err(LinkError::CodeUnknown),
        409 => Err(LinkError::CodeUsed),
        410 => Err(LinkError::CodeEnded),
        429 => Err(LinkError::TooManyTries),
        500..600 => Err(LinkError::Fault),
        status => Err(unclear(format!("status {status}"))),
    }
}

fn unclear(detail: String) -> LinkError {
    LinkError::Answer { detail }
}

fn not_reached(silence: Silence) -> LinkError {
    match silence {
        Silence::Miss(Miss::WrongKey(_)) => LinkError::WrongKey,
        other => LinkError::Unreachable {
            detail: other.to_string(),
        },
    }
}
