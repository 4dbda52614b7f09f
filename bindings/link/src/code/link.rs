//! The link: `holebook://pair?v=1&a=192.168.1.5:29376&k=<fingerprint>&s=<secret>`, with an `a` for each address.

use super::{CodeError, CodeSecret, LinkSecret, PairCode};
use crate::Fingerprint;
use crate::key::Pin;
use std::net::SocketAddr;

/// What it begins with.
const SCHEME: &str = "holebook";
/// The form that this version writes and reads.
const VERSION: &str = "1";
/// More addresses than this are not tried, whoever wrote them.
const MOST_ADDRESSES: usize = 8;
/// A longer text is not looked at.
const LONGEST: usize = 2048;

pub(crate) fn write(
    addresses: &[SocketAddr],
    fingerprint: &Fingerprint,
    secret: &LinkSecret,
) -> String {
    let mut link = format!("{SCHEME}://pair?v={VERSION}");
    for address in addresses.iter().take(MOST_ADDRESSES) {
        link.push_str("&a=");
        // Brackets may not stand in a query as they are (RFC 3986, section 3.4).
        link.push_str(&address.to_string().replace('[', "%5B").replace(']', "%5D"));
    }
    link.push_str(&format!("&k={fingerprint}&s={}", secret.text()));
    link
}

pub(super) fn read(text: &str) -> Result<PairCode, CodeError> {
    let (scheme, rest) = text.split_once("://").ok_or(CodeError::NotALink)?;
    let (host, query) = rest.split_once('?').ok_or(CodeError::NotALink)?;
    let is_ours = scheme.eq_ignore_ascii_case(SCHEME)
        && host.trim_end_matches('/').eq_ignore_ascii_case("pair")
        && text.len() <= LONGEST;
    if !is_ours {
        return Err(CodeError::NotALink);
    }
    let part = |name: &str| {
        form_urlencoded::parse(query.as_bytes())
            .find(|(key, _)| key == name)
            .map(|(_, value)| value.into_owned())
    };
    if part("v").is_some_and(|version| version != VERSION) {
        return Err(CodeError::Newer);
    }
    let addresses: Vec<SocketAddr> = form_urlencoded::parse(query.as_bytes())
        .filter(|(key, _)| key == "a")
        .filter_map(|(_, value)| value.parse().ok())
        .filter(|address: &SocketAddr| address.port() != 0)
        .take(MOST_ADDRESSES)
        .collect();
    if addresses.is_empty() {
        return Err(CodeError::Part { part: "address" });
    }
    let key = part("k").and_then(|key| key.parse::<Fingerprint>().ok());
    let secret = part("s").and_then(|secret| LinkSecret::read(&secret));
    Ok(PairCode {
        addresses,
        pin: Pin::Whole(key.ok_or(CodeError::Part { part: "key" })?),
        secret: CodeSecret::Link(secret.ok_or(CodeError::Part { part: "secret" })?),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn sample() -> (Vec<SocketAddr>, Fingerprint, LinkSecret) {
        let addresses = ["192.168.1.5:29376", "[fd00::12]:29376"];
        let addresses = addresses.map(|text| text.parse().unwrap()).to_vec();
        (
            addresses,
            Fingerprint::of_key(b"key"),
            LinkSecret::fresh().unwrap(),
        )
    }

    #[test]
    fn a_link_reads_back() {
        let (addresses, key, secret) = sample();
        let text = write(&addresses, &key, &secret);
        for text in [
            text.clone(),
            text.replace("holebook://pair", "HOLEBOOK://PAIR/"),
        ] {
            let code: PairCode = text.parse().unwrap();
            assert_eq!(code.addresses, addresses);
            assert_eq!(code.pin, Pin::Whole(key));
            assert_eq!(code.secret.text(), secret.text());
        }
        let allowed =
            |letter: char| letter.is_ascii_alphanumeric() || "-._~:/?&=%".contains(letter);
        assert!(text.chars().all(allowed), "{text}");
    }

    #[test]
    fn what_is_no_link_says_what_is_wrong() {
        let (addresses, key, secret) = sample();
        let text = write(&addresses, &key, &secret);
        let bad = [
            ("https://example.org/?v=1".to_owned(), CodeError::NotALink),
            ("holebook://other?v=1".to_owned(), CodeError::NotALink),
            (
                format!("{text}&x={}", "y".repeat(3000)),
                CodeError::NotALink,
            ),
            (text.replace("v=1", "v=2"), CodeError::Newer),
            (
                text.replace("&a=", "&b="),
                CodeError::Part { part: "address" },
            ),
            (text.replace("&k=", "&k=x"), CodeError::Part { part: "key" }),
            (
                text[..text.len() - 1].to_owned(),
                CodeError::Part { part: "secret" },
            ),
        ];
        for (text, error) in bad {
            assert_eq!(text.parse::<PairCode>().unwrap_err(), error, "{text}");
        }
    }
}
