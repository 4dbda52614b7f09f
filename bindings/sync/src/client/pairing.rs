//! Pairing this device with a shop computer.

use super::connect::ConnectError;
use super::http_client::{self, HttpClient, RequestError};
use super::pinned;
use super::transport::PinnedConnector;
use crate::code::PairingCode;
use crate::names;
use crate::pairing_store::{PairedShop, PairingStore};
use crate::secret::Token;
use crate::wire::{MAX_SMALL_BYTES, PAIR, PairRequest, PairResponse};
use crate::{Fingerprint, PairingError};
use std::net::SocketAddr;
use ureq::Body;
use ureq::http::Response;

/// Pairs this device, called `name`, with the shop computer that made `code`, and saves the
/// received token in `store`. Tries the addresses in the code, then `extra_addresses`. Blocks for a
/// fraction of a second, or about ten seconds if the shop computer cannot be reached.
///
/// The code's secret is sent only to a computer with the key in the code.
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
    let request = PairRequest {
        secret: code.secret.to_text(),
        name: names::validate(name)?,
    };
    let body =
        serde_json::to_vec(&request).map_err(|error| unexpected_response(error.to_string()))?;
    let client = client_for(code, extra_addresses)?;
    let mut response = client
        .request(("POST", PAIR), &[], &body[..])
        .map_err(unreachable_error)?;
    let response = parse_response(&mut response)?;
    let token =
        Token::parse(&response.token).ok_or_else(|| unexpected_response("no token".to_owned()))?;
    let (address, fingerprint) = server_identity(&client)?;
    let mut addresses = vec![address];
    let others = code.addresses().iter().filter(|other| **other != address);
    addresses.extend(others);
    store.save_shop(fingerprint, &response.name, &addresses, &token)
}

fn client_for(
    code: &PairingCode,
    extra_addresses: &[SocketAddr],
) -> Result<HttpClient, PairingError> {
    let config =
        pinned::config(code.pin).map_err(|error| unexpected_response(error.to_string()))?;
    let mut addresses = code.addresses().to_vec();
    addresses.extend(
        extra_addresses
            .iter()
            .filter(|extra| !code.addresses().contains(extra)),
    );
    Ok(HttpClient::new(
        PinnedConnector::new(config, addresses),
        None,
    ))
}

/// Returns the address of the computer that answered, and its full fingerprint, of which the words
/// hold only the start.
fn server_identity(client: &HttpClient) -> Result<(SocketAddr, Fingerprint), PairingError> {
    let peer = client.connector.peer();
    peer.ok_or_else(|| unexpected_response("it sent no certificate".to_owned()))
}

fn parse_response(response: &mut Response<Body>) -> Result<PairResponse, PairingError> {
    match response.status().as_u16() {
        200 => {
            let bytes = http_client::read_body(response, MAX_SMALL_BYTES);
            let bytes = bytes.map_err(|error| unexpected_response(error.to_string()))?;
            serde_json::from_slice(&bytes).map_err(|error| unexpected_response(error.to_string()))
        }
        403 => Err(PairingError::CodeUnknown),
        409 => Err(PairingError::CodeUsed),
        410 => Err(PairingError::CodeExpired),
        429 => Err(PairingError::TooManyTries),
        500..600 => Err(PairingError::ServerFailure),
        status => Err(unexpected_response(format!("status {status}"))),
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
