//! Access control: a random key per run, a `Host` check, and an `Origin` check for changes.
//!
//! The screens are on loopback, which every program and web page on this computer can reach.
//! Without the key, which they cannot guess, no request is answered. A foreign name that resolves
//! to 127.0.0.1 (DNS rebinding) fails the `Host` check. A page from another origin in the same
//! browser (another port included: browsers send cookies there too) fails the `Origin` check.

use axum::http::{HeaderMap, HeaderName, header};
use std::fmt::Write as _;
use std::sync::Mutex;
use subtle::ConstantTimeEq;

/// A random secret of 256 bits, in hexadecimal digits.
#[derive(Clone)]
pub struct Secret(String);

impl Secret {
    /// Creates a secret from the operating system's random numbers.
    ///
    /// # Errors
    /// If the operating system provides no random numbers.
    pub fn random() -> Result<Self, getrandom::Error> {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes)?;
        let mut text = String::with_capacity(64);
        for byte in bytes {
            // Writing to a `String` does not fail.
            let _ = write!(text, "{byte:02x}");
        }
        Ok(Self(text))
    }

    /// Returns the digits, for the address or the cookie.
    pub fn hex(&self) -> &str {
        &self.0
    }

    /// Compares `given` with the secret in constant time.
    fn matches(&self, given: &str) -> bool {
        self.0.as_bytes().ct_eq(given.as_bytes()).into()
    }
}

/// Why a request is rejected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rejection {
    /// It has no key of this run.
    NoKey,
    /// Its `Host` is not this computer.
    WrongHost,
    /// It is a change that does not come from the notebook's own pages.
    WrongOrigin,
}

/// The access checks of one run.
pub struct AccessControl {
    port: u16,
    /// In the printed address; valid for the whole run.
    key: Secret,
    /// In the address on the browser's command line, which others on this computer can read: valid
    /// once.
    one_time_key: Mutex<Option<Secret>>,
    /// In the browser's cookie.
    cookie: Secret,
    cookie_name: String,
}

impl AccessControl {
    /// Creates new secrets for a run on `port`.
    ///
    /// # Errors
    /// If the operating system provides no random numbers.
    pub fn new(port: u16) -> Result<Self, getrandom::Error> {
        Ok(Self {
            port,
            key: Secret::random()?,
            one_time_key: Mutex::new(None),
            cookie: Secret::random()?,
            // Cookies ignore the port, so without it two runs would overwrite each other's.
            cookie_name: format!("holebook-{port}"),
        })
    }

    /// Returns the address to print, valid for the whole run.
    pub fn address(&self) -> String {
        self.address_with(&self.key)
    }

    /// Creates an address that is valid once.
    ///
    /// # Errors
    /// If the operating system provides no random numbers.
    pub fn one_time_address(&self) -> Result<String, getrandom::Error> {
        let new_key = Secret::random()?;
        let address = self.address_with(&new_key);
        if let Ok(mut one_time_key) = self.one_time_key.lock() {
            *one_time_key = Some(new_key);
        }
        Ok(address)
    }

    fn address_with(&self, secret: &Secret) -> String {
        format!("http://127.0.0.1:{}/?key={}", self.port, secret.hex())
    }

    /// Whether `given` is the key or the one-time key, which this uses up.
    pub fn accepts_key(&self, given: &str) -> bool {
        if self.key.matches(given) {
            return true;
        }
        let Ok(mut one_time_key) = self.one_time_key.lock() else {
            return false;
        };
        let matches = one_time_key.as_ref().is_some_and(|key| key.matches(given));
        if matches {
            *one_time_key = None;
        }
        matches
    }

    /// Returns the cookie for a browser with the right key.
    pub fn cookie(&self) -> String {
        let (name, value) = (&self.cookie_name, self.cookie.hex());
        format!("{name}={value}; Path=/; HttpOnly; SameSite=Strict")
    }

    /// Whether the request has the cookie.
    pub fn has_cookie(&self, headers: &HeaderMap) -> bool {
        let lines = headers.get_all(header::COOKIE).iter();
        let mut pairs = lines
            .filter_map(|line| line.to_str().ok())
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.trim().split_once('='));
        pairs.any(|(name, value)| name == self.cookie_name && self.cookie.matches(value))
    }

    /// Checks that the request was sent to this computer by its own name.
    ///
    /// # Errors
    /// [`Rejection::WrongHost`].
    pub fn check_host(&self, headers: &HeaderMap) -> Result<(), Rejection> {
        let host = single_value(headers, header::HOST).ok_or(Rejection::WrongHost)?;
        let own = [
            format!("127.0.0.1:{}", self.port),
            format!("localhost:{}", self.port),
        ];
        if own.iter().any(|own| own.eq_ignore_ascii_case(host)) {
            Ok(())
        } else {
            Err(Rejection::WrongHost)
        }
    }

    /// Checks that a change comes from the notebook's own pages. Call [`AccessControl::check_host`]
    /// first.
    ///
    /// # Errors
    /// [`Rejection::WrongOrigin`].
    pub fn check_origin(&self, headers: &HeaderMap) -> Result<(), Rejection> {
        let own = if headers.contains_key(header::ORIGIN) {
            let host = single_value(headers, header::HOST).ok_or(Rejection::WrongOrigin)?;
            let own = format!("http://{host}");
            single_value(headers, header::ORIGIN)
                .is_some_and(|origin| own.eq_ignore_ascii_case(origin))
        } else {
            single_value(headers, HeaderName::from_static("sec-fetch-site")) == Some("same-origin")
        };
        own.then_some(()).ok_or(Rejection::WrongOrigin)
    }
}

/// Returns the value of a header that occurs exactly once.
fn single_value(headers: &HeaderMap, name: HeaderName) -> Option<&str> {
    let mut values = headers.get_all(name).iter();
    let value = values.next()?.to_str().ok()?;
    values.next().is_none().then_some(value)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn headers(pairs: &[(&'static str, &str)]) -> HeaderMap {
        let mut map = HeaderMap::new();
        for (name, value) in pairs {
            map.append(*name, value.parse().unwrap());
        }
        map
    }

    #[test]
    fn a_one_time_key_is_valid_once_and_the_key_always() {
        let access = AccessControl::new(29_375).unwrap();
        let once = access.one_time_address().unwrap();
        let one_time_key = once.split_once("key=").unwrap().1;
        assert!(access.accepts_key(one_time_key));
        assert!(!access.accepts_key(one_time_key));
        let always = access.address();
        let key = always.split_once("key=").unwrap().1;
        assert!(access.accepts_key(key) && access.accepts_key(key));
        assert!(!access.accepts_key(""));
        assert!(!access.accepts_key(&key[..63]));
    }

    #[test]
    fn secrets_differ_from_run_to_run() {
        let (one, other) = (
            AccessControl::new(1).unwrap(),
            AccessControl::new(1).unwrap(),
        );
        assert_ne!(one.address(), other.address());
        assert_ne!(one.cookie(), other.cookie());
        assert!(!one.cookie().contains(one.key.hex()));
    }

    #[test]
    fn the_cookie_is_found_among_others() {
        let access = AccessControl::new(8080).unwrap();
        let pair = access.cookie().split(';').next().unwrap().to_owned();
        let line = format!("theme=dark; holebook-8080=stale; {pair}");
        assert!(access.has_cookie(&headers(&[("cookie", &line)])));
        assert!(!access.has_cookie(&headers(&[("cookie", "holebook-8080=")])));
        assert!(!access.has_cookie(&headers(&[])));
        let other = pair.replace("8080", "8081");
        assert!(!access.has_cookie(&headers(&[("cookie", &other)])));
    }

    #[test]
    fn only_loopback_hosts_are_accepted() {
        let access = AccessControl::new(29_375).unwrap();
        for right in ["127.0.0.1:29375", "localhost:29375", "LOCALHOST:29375"] {
            assert_eq!(
                access.check_host(&headers(&[("host", right)])),
                Ok(()),
                "{right}"
            );
        }
        for wrong in [
            "127.0.0.1",
            "localhost:29376",
            "example.org:29375",
            "localhost.example.org:29375",
            "[::1]:29375",
            "",
        ] {
            assert_eq!(
                access.check_host(&headers(&[("host", wrong)])),
                Err(Rejection::WrongHost),
                "{wrong}"
            );
        }
        let twice = headers(&[("host", "localhost:29375"), ("host", "localhost:29375")]);
        assert_eq!(access.check_host(&twice), Err(Rejection::WrongHost));
    }

    #[test]
    fn a_change_must_come_from_the_same_origin() {
        let access = AccessControl::new(29_375).unwrap();
        let from = |fields: &[(&'static str, &str)]| {
            let mut map = headers(fields);
            map.append("host", "localhost:29375".parse().unwrap());
            access.check_origin(&map)
        };
        assert_eq!(from(&[("origin", "http://localhost:29375")]), Ok(()));
        assert_eq!(from(&[("sec-fetch-site", "same-origin")]), Ok(()));
        for wrong in [
            "http://127.0.0.1:29375",
            "http://localhost:8080",
            "https://localhost:29375",
            "null",
            "http://localhost:29375.example.org",
        ] {
            // A matching `Sec-Fetch-Site` does not excuse a wrong `Origin`.
            let fields = [("origin", wrong), ("sec-fetch-site", "same-origin")];
            assert_eq!(from(&fields), Err(Rejection::WrongOrigin), "{wrong}");
        }
        assert_eq!(from(&[]), Err(Rejection::WrongOrigin));
        assert_eq!(
            from(&[("sec-fetch-site", "same-site")]),
            Err(Rejection::WrongOrigin)
        );
    }
}
