//! Pairing code as a link: `holebook://pair?v=1&a=192.168.1.5:29376&k=<fingerprint>&s=<secret>`,
//! with one `a` for each address.

use super::{CodeError, LinkCode, LinkSecret};
use crate::Fingerprint;
use std::net::SocketAddr;

/// The URI scheme.
const SCHEME: &str = "holebook";
/// The link format that this version writes and reads.
const VERSION: &str = "1";
/// The most addresses in a link; further ones are ignored.
const MAX_ADDRESSES: usize = 8;
/// The longest link that is parsed, in bytes.
const MAX_LINK_BYTES: usize = 2048;

/// Returns the link for these addresses, key, and secret.
pub(crate) fn write(
    addresses: &[SocketAddr],
    fingerprint: &Fingerprint,
    secret: &LinkSecret,
) -> String {
    let mut link = format!("{SCHEME}://pair?v={VERSION}");
    for address in addresses.iter().take(MAX_ADDRESSES) {
        link.push_str("&a=");
        // A query must not contain brackets (RFC 3986, section 3.4).
        link.push_str(&address.to_string().replace('[', "%5B").replace(']', "%5D"));
    }
    link.push_str(&format!("&k={fingerprint}&s={}", secret.to_text()));
    link
}

/// Parses a link. Unknown parameters are ignored.
///
/// # Errors
/// If it is not a pairing link, a newer version wrote it, or a part is missing or damaged.
pub(super) fn read(text: &str) -> Result<LinkCode, CodeError> {
    let (scheme, rest) = text.split_once("://").ok_or(CodeError::NotAPairingLink)?;
    let (host, query) = rest.split_once('?').ok_or(CodeError::NotAPairingLink)?;
    let is_pairing_link = scheme.eq_ignore_ascii_case(SCHEME)
        && host.trim_end_matches('/').eq_ignore_ascii_case("pair")
        && text.len() <= MAX_LINK_BYTES;
    if !is_pairing_link {
        return Err(CodeError::NotAPairingLink);
    }
    let parameter = |name: &str| {
        form_urlencoded::parse(query.as_bytes())
            .find(|(key, _)| key == name)
            .map(|(_, value)| value.into_owned())
    };
    if parameter("v").is_some_and(|version| version != VERSION) {
        return Err(CodeError::NewerVersion);
    }
    let addresses: Vec<SocketAddr> = form_urlencoded::parse(query.as_bytes())
        .filter(|(key, _)| key == "a")
        .filter_map(|(_, value)| value.parse().ok())
        .filter(|address: &SocketAddr| address.port() != 0)
        .take(MAX_ADDRESSES)
        .collect();
    if addresses.is_empty() {
        return Err(CodeError::MalformedLink { part: "address" });
    }
    let key = parameter("k").and_then(|key| key.parse::<Fingerprint>().ok());
    let secret = parameter("s").and_then(|secret| LinkSecret::parse(&secret));
    Ok(LinkCode {
        addresses,
        fingerprint: key.ok_or(CodeError::MalformedLink { part: "key" })?,
        secret: secret.ok_or(CodeError::MalformedLink { part: "secret" })?,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::PairingCode;

    fn sample() -> (Vec<SocketAddr>, Fingerprint, LinkSecret) {
        let addresses = ["192.168.1.5:29376", "[fd00::12]:29376"];
        let addresses = addresses.map(|text| text.parse().unwrap()).to_vec();
        (
            addresses,
            Fingerprint::of_key(b"key"),
            LinkSecret::generate().unwrap(),
        )
    }

    #[test]
    fn a_link_round_trips() {
        let (addresses, key, secret) = sample();
        let text = write(&addresses, &key, &secret);
        for text in [
            text.clone(),
            text.replace("holebook://pair", "HOLEBOOK://PAIR/"),
        ] {
            let Ok(PairingCode::Link(code)) = text.parse() else {
                panic!("{text}");
            };
            assert_eq!(code.addresses, addresses);
            assert_eq!(code.fingerprint, key);
            assert_eq!(code.secret.to_text(), secret.to_text());
        }
        let allowed =
            |letter: char| letter.is_ascii_alphanumeric() || "-._~:/?&=%".contains(letter);
        assert!(text.chars().all(allowed), "{text}");
    }

    #[test]
    fn an_invalid_link_reports_what_is_wrong() {
        let (addresses, key, secret) = sample();
        let text = write(&addresses, &key, &secret);
        let bad = [
            (
                "https://example.org/?v=1".to_owned(),
                CodeError::NotAPairingLink,
            ),
            (
                "holebook://other?v=1".to_owned(),
                CodeError::NotAPairingLink,
            ),
            (
                format!("{text}&x={}", "y".repeat(3000)),
                CodeError::NotAPairingLink,
            ),
            (text.replace("v=1", "v=2"), CodeError::NewerVersion),
            (
                text.replace("&a=", "&b="),
                CodeError::MalformedLink { part: "address" },
            ),
            (
                text.replace("&k=", "&k=x"),
                CodeError::MalformedLink { part: "key" },
            ),
            (
                text[..text.len() - 1].to_owned(),
                CodeError::MalformedLink { part: "secret" },
            ),
        ];
        for (text, error) in bad {
            assert_eq!(text.parse::<PairingCode>().unwrap_err(), error, "{text}");
        }
    }
}
