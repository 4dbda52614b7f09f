//! Who may ask: a key that this run alone knows, the right host, and for changes the right origin.
//!
//! The screens stand on loopback, where every program and every web page of this computer can knock. Three doors keep them
//! out. A page elsewhere cannot guess the key, and without it no request is answered. A name of the outside that
//! points at 127.0.0.1 fails the check of the `Host` field. A page that the same browser shows from another address
//! (another port included: browsers send cookies there too) fails the check of the `Origin` field on every change.

use axum::http::{HeaderMap, HeaderName, header};
use std::fmt::Write as _;
use std::sync::Mutex;
use subtle::ConstantTimeEq;

/// A random secret of 256 bits, written in hexadecimal digits.
#[derive(Clone)]
pub struct Secret(String);

impl Secret {
    /// Draws a secret from the operating system.
    ///
    /// # Errors
    /// Where the operating system has no randomness to give.
    pub fn draw() -> Result<Self, getrandom::Error> {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes)?;
        let mut text = String::with_capacity(64);
        for byte in bytes {
            // Writing to a `String` does not fail.
            let _ = write!(text, "{byte:02x}");
        }
        Ok(Self(text))
    }

    /// The digits, for the address or the cookie.
    pub fn digits(&self) -> &str {
        &self.0
    }

    /// Whether `said` is the secret; takes the same time however much of it is right.
    fn is(&self, said: &str) -> bool {
        self.0.as_bytes().ct_eq(said.as_bytes()).into()
    }
}

/// Why a request is turned away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refusal {
    /// It carries no key of this run.
    NoKey,
    /// It was sent to another name than this computer's own.
    WrongHost,
    /// It would change something and does not come from the notebook's own pages.
    WrongOrigin,
}

/// The checks of one run.
pub struct Guard {
    port: u16,
    /// Stands in the printed address and opens as often as it is used.
    key: Secret,
    /// Stands in the address given to the browser's command line, which others on this computer can read: opens once.
    ticket: Mutex<Option<Secret>>,
    /// Stands in the browser's cookie.
    cookie: Secret,
    cookie_name: String,
}

impl Guard {
    /// New secrets for a run on `port`.
    ///
    /// # Errors
    /// Where the operating system has no randomness to give.
    pub fn new(port: u16) -> Result<Self, getrandom::Error> {
        Ok(Self {
            port,
            key: Secret::draw()?,
            ticket: Mutex::new(None),
            cookie: Secret::draw()?,
            // Cookies do not tell ports apart; the name must, or two runs side by side would shut each other out.
            cookie_name: format!("holebook-{port}"),
        })
    }

    /// The address to print: opens the screens as long as the run lasts.
    pub fn address(&self) -> String {
        self.address_with(&self.key)
    }

    /// An address that opens the screens once.
    ///
    /// # Errors
    /// Where the operating system has no randomness to give.
    pub fn address_for_once(&self) -> Result<String, getrandom::Error> {
        let ticket = Secret::draw()?;
        let address = self.address_with(&ticket);
        if let Ok(mut place) = self.ticket.lock() {
            *place = Some(ticket);
        }
        Ok(address)
    }

    fn address_with(&self, secret: &Secret) -> String {
        format!("http://127.0.0.1:{}/?key={}", self.port, secret.digits())
    }

    /// Whether `said` is the key, or the ticket, which is used up by it.
    pub fn takes_key(&self, said: &str) -> bool {
        if self.key.is(said) {
            return true;
        }
        let Ok(mut ticket) = self.ticket.lock() else {
            return false;
        };
        let right = ticket.as_ref().is_some_and(|ticket| ticket.is(said));
        if right {
            *ticket = None;
        }
        right
    }

    /// The cookie that a browser with the right key is given.
    pub fn cookie(&self) -> String {
        let (name, value) = (&self.cookie_name, self.cookie.digits());
        format!("{name}={value}; Path=/; HttpOnly; SameSite=Strict")
    }

    /// Whether the request carries the cookie.
    pub fn has_cookie(&self, headers: &HeaderMap) -> bool {
        let lines = headers.get_all(header::COOKIE).iter();
        let mut pairs = lines
            .filter_map(|line| line.to_str().ok())
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.trim().split_once('='));
        pairs.any(|(name, value)| name == self.cookie_name && self.cookie.is(value))
    }

    /// Whether the request was sent to this computer by its own name.
    ///
    /// # Errors
    /// [`Refusal::WrongHost`].
    pub fn check_host(&self, headers: &HeaderMap) -> Result<(), Refusal> {
        let host = only(headers, header::HOST).ok_or(Refusal::WrongHost)?;
        let own = [
            format!("127.0.0.1:{}", self.port),
            format!("localhost:{}", self.port),
        ];
        if own.iter().any(|own| own.eq_ignore_ascii_case(host)) {
            Ok(())
        } else {
            Err(Refusal::WrongHost)
        }
    }

    /// Whether a change comes from the notebook's own pages. To be asked after [`Guard::check_host`].
    ///
    /// # Errors
    /// [`Refusal::WrongOrigin`].
    pub fn check_origin(&self, headers: &HeaderMap) -> Result<(), Refusal> {
        let own = if headers.contains_key(header::ORIGIN) {
            let host = only(headers, header::HOST).ok_or(Refusal::WrongOrigin)?;
            let own = format!("http://{host}");
            only(headers, header::ORIGIN).is_some_and(|origin| own.eq_ignore_ascii_case(origin))
        } else {
            only(headers, HeaderName::from_static("sec-fetch-site")) == Some("same-origin")
        };
        own.then_some(()).ok_or(Refusal::WrongOrigin)
    }
}

/// The value of a field that stands exactly once.
fn only(headers: &HeaderMap, name: HeaderName) -> Option<&str> {
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
    fn a_ticket_opens_once_and_the_key_always() {
        let guard = Guard::new(29_375).unwrap();
        let once = guard.address_for_once().unwrap();
        let ticket = once.split_once("key=").unwrap().1;
        assert!(guard.takes_key(ticket));
        assert!(!guard.takes_key(ticket));
        let always = guard.address();
        let key = always.split_once("key=").unwrap().1;
        assert!(guard.takes_key(key) && guard.takes_key(key));
        assert!(!guard.takes_key(""));
        assert!(!guard.takes_key(&key[..63]));
    }

    #[test]
    fn secrets_differ_from_run_to_run() {
        let (one, other) = (Guard::new(1).unwrap(), Guard::new(1).unwrap());
        assert_ne!(one.address(), other.address());
        assert_ne!(one.cookie(), other.cookie());
        assert!(!one.cookie().contains(one.key.digits()));
    }

    #[test]
    fn the_cookie_is_found_among_others_of_the_same_host() {
        let guard = Guard::new(8080).unwrap();
        let pair = guard.cookie().split(';').next().unwrap().to_owned();
        let line = format!("theme=dark; holebook-8080=stale; {pair}");
        assert!(guard.has_cookie(&headers(&[("cookie", &line)])));
        assert!(!guard.has_cookie(&headers(&[("cookie", "holebook-8080=")])));
        assert!(!guard.has_cookie(&headers(&[])));
        let other = pair.replace("8080", "8081");
        assert!(!guard.has_cookie(&headers(&[("cookie", &other)])));
    }

    #[test]
    fn only_this_computers_own_names_are_hosts() {
        let guard = Guard::new(29_375).unwrap();
        for right in ["127.0.0.1:29375", "localhost:29375", "LOCALHOST:29375"] {
            assert_eq!(
                guard.check_host(&headers(&[("host", right)])),
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
                guard.check_host(&headers(&[("host", wrong)])),
                Err(Refusal::WrongHost),
                "{wrong}"
            );
        }
        let twice = headers(&[("host", "localhost:29375"), ("host", "localhost:29375")]);
        assert_eq!(guard.check_host(&twice), Err(Refusal::WrongHost));
    }

    #[test]
    fn a_change_must_come_from_the_own_pages() {
        let guard = Guard::new(29_375).unwrap();
        let from = |fields: &[(&'static str, &str)]| {
            let mut map = headers(fields);
            map.append("host", "localhost:29375".parse().unwrap());
            guard.check_origin(&map)
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
            // A right `Sec-Fetch-Site` does not make up for a wrong `Origin`.
            let fields = [("origin", wrong), ("sec-fetch-site", "same-origin")];
            assert_eq!(from(&fields), Err(Refusal::WrongOrigin), "{wrong}");
        }
        assert_eq!(from(&[]), Err(Refusal::WrongOrigin));
        assert_eq!(
            from(&[("sec-fetch-site", "same-site")]),
            Err(Refusal::WrongOrigin)
        );
    }
}
