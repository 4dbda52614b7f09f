//! Pairing this device with a shop computer.

use super::connect::ConnectError;
use super::http_client::{self, HttpClient, RequestError};
use super::pinned;
use super::transport::PinnedConnector;
use crate::code::{LinkCode, PairingCode, TypedCode};
use crate::exchange::Exchange;
use crate::key::Pin;
use crate::names;
use crate::pairing_store::{PairedShop, PairingStore};
use crate::secret::Token;
use crate::wire::{
    DigitsRequest, DigitsResponse, ExchangeMessage, MAX_SMALL_BYTES, PAIR, PAIR_DIGITS,
    PAIR_EXCHANGE, PairRequest, PairResponse,
};
use crate::{Fingerprint, PairingError};
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;
use std::net::SocketAddr;

/// Pairs this device, called `name`, with the shop computer that made `code`, and saves the
/// received token in `store`. Tries the addresses in the code, then `extra_addresses`. Blocks for a
/// fraction of a second, or about ten seconds if the shop computer cannot be reached.
///
/// The secret of a link is sent only to a computer with the key in the link. Digits are not sent at
/// all: see `exchange.rs`.
///
/// # Errors
/// If the shop computer cannot be reached, a different computer answers, the code is wrong, used,
/// or expired, or the pairing cannot be saved.
pub fn pair(
    store: &PairingStore,
    code: &PairingCode,
    name: &str,
    extra_addresses: &[SocketAddr],
) -> Result<PairedShop, PairingError> {
    let name = names::validate(name)?;
    let mut addresses = code.addresses().to_vec();
    let extra = extra_addresses.iter();
    addresses.extend(extra.filter(|extra| !code.addresses().contains(extra)));
    match code {
        PairingCode::Link(link) => pair_by_link(store, link, name, addresses),
        PairingCode::Typed { digits, .. } => pair_by_digits(store, digits, &name, &addresses),
    }
}

fn pair_by_link(
    store: &PairingStore,
    code: &LinkCode,
    name: String,
    addresses: Vec<SocketAddr>,
) -> Result<PairedShop, PairingError> {
    let request = PairRequest {
        secret: code.secret.to_text(),
        name,
    };
    let client = client(Pin::Key(code.fingerprint), addresses)?;
    let response = post(&client, PAIR, &request, PairingError::CodeUnknown)?;
    let (address, _) = peer(&client)?;
    let mut addresses = vec![address];
    addresses.extend(code.addresses.iter().filter(|other| **other != address));
    save(store, &code.fingerprint, &addresses, &response)
}

/// Tries each computer at the addresses, since any may announce itself as a shop computer. The first
/// that proves to know the digits is the right one.
fn pair_by_digits(
    store: &PairingStore,
    digits: &TypedCode,
    name: &str,
    addresses: &[SocketAddr],
) -> Result<PairedShop, PairingError> {
    let mut failure = PairingError::NoShopFound;
    let mut tried = BTreeSet::new();
    for address in addresses {
        match try_digits(store, digits, name, *address, &mut tried) {
            Ok(shop) => return Ok(shop),
            // What a shop computer answered says more than that another did not.
            Err(PairingError::Unreachable { .. })
                if !matches!(failure, PairingError::NoShopFound) => {}
            Err(error) => failure = error,
        }
    }
    Err(failure)
}

/// Tries to pair with the computer at an address, unless its key is one of those that were `tried`.
fn try_digits(
    store: &PairingStore,
    digits: &TypedCode,
    name: &str,
    address: SocketAddr,
    tried: &mut BTreeSet<Fingerprint>,
) -> Result<PairedShop, PairingError> {
    let client = client(Pin::Any, vec![address])?;
    // Opens the connection, so that the key is known to which the exchange is bound.
    let opened = client.connector.open_ahead();
    opened.map_err(|error| unreachable_error(RequestError::Connect(error)))?;
    let (_, fingerprint) = peer(&client)?;
    if !tried.insert(fingerprint) {
        return Err(PairingError::WrongDigits);
    }
    let exchange = Exchange::of_device(digits, &fingerprint);
    let message = URL_SAFE_NO_PAD.encode(&exchange.message);
    let wrong = || PairingError::WrongDigits;
    let theirs: ExchangeMessage = post(
        &client,
        PAIR_EXCHANGE,
        &ExchangeMessage { message },
        wrong(),
    )?;
    let theirs = URL_SAFE_NO_PAD.decode(theirs.message).unwrap_or_default();
    let key = exchange.finish(&theirs);
    let key = key.ok_or_else(|| unexpected_response("no key exchange".to_owned()))?;
    let request = DigitsRequest {
        proof: URL_SAFE_NO_PAD.encode(key.device_proof().0),
        name: name.to_owned(),
    };
    let response: DigitsResponse = post(&client, PAIR_DIGITS, &request, wrong())?;
    let proof = URL_SAFE_NO_PAD.decode(&response.proof).unwrap_or_default();
    let same_key = peer(&client)?.1 == fingerprint;
    if !same_key || !key.shop_proof().matches(&proof) {
        return Err(PairingError::WrongKey);
    }
    save(store, &fingerprint, &[address], &response.paired)
}

fn save(
    store: &PairingStore,
    fingerprint: &Fingerprint,
    addresses: &[SocketAddr],
    response: &PairResponse,
) -> Result<PairedShop, PairingError> {
    let token = Token::parse(&response.token);
    let token = token.ok_or_else(|| unexpected_response("no token".to_owned()))?;
    store.save_shop(*fingerprint, &response.name, addresses, &token)
}

fn client(pin: Pin, addresses: Vec<SocketAddr>) -> Result<HttpClient, PairingError> {
    let config = pinned::config(pin).map_err(|error| unexpected_response(error.to_string()))?;
    Ok(HttpClient::new(
        PinnedConnector::new(config, addresses),
        None,
    ))
}

/// Returns the address of the computer that answered, and its key's fingerprint.
fn peer(client: &HttpClient) -> Result<(SocketAddr, Fingerprint), PairingError> {
    let peer = client.connector.peer();
    peer.ok_or_else(|| unexpected_response("it sent no certificate".to_owned()))
}

/// Sends a request and reads the response. `unknown` is the error if the code is not known there.
fn post<T: DeserializeOwned>(
    client: &HttpClient,
    path: &str,
    request: &impl Serialize,
    unknown: PairingError,
) -> Result<T, PairingError> {
    let failed = |detail: String| unexpected_response(detail);
    let body = serde_json::to_vec(request).map_err(|error| failed(error.to_string()))?;
    let response = client.request(("POST", path), &[], &body[..]);
    let mut response = response.map_err(unreachable_error)?;
    match response.status().as_u16() {
        200 => {
            let bytes = http_client::read_body(&mut response, MAX_SMALL_BYTES);
            let bytes = bytes.map_err(|error| failed(error.to_string()))?;
            serde_json::from_slice(&bytes).map_err(|error| failed(error.to_string()))
        }
        403 => Err(unknown),
        409 => Err(PairingError::CodeUsed),
        410 => Err(PairingError::CodeExpired),
        429 => Err(PairingError::TooManyTries),
        500..600 => Err(PairingError::ServerFailure),
        status => Err(failed(format!("status {status}"))),
    }
}

fn unexpected_response(detail: String) -> PairingError {
    PairingError::UnexpectedResponse { detail }
}

fn unreachable_error(error: RequestError) -> PairingError {
    match error {
        RequestError::Connect(ConnectError::WrongKey(_)) => PairingError::WrongKey,
        other => PairingError::Unreachable {
            detail: other.to_string(),
        },
    }
}
