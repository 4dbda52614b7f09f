//! Access control: a random key per run, a random host name, a `Host` check, and an `Origin` check for
//! changes.
//!
//! The screens are on loopback, which every program and web page on this computer can reach.
//! Without the key, which they cannot guess, no request is answered. A foreign name that resolves
//! to 127.0.0.1 (DNS rebinding) fails the `Host` check. A page from another origin in the same
//! browser fails the `Origin` check.
//!
//! A browser sends a cookie to every port of the host that set it (RFC 6265, section 8.5), so with
//! 127.0.0.1 as the host, any other server on this computer that the person visits would get it and
//! could use it. The screens therefore have a random name of their own under `localhost`, which
//! leads to this computer (RFC 6761, section 6.3) and which nobody else can make the browser visit.

use axum::http::{HeaderMap, HeaderName, header};
use std::sync::{Mutex, PoisonError};
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
        Ok(Self(hex::encode(bytes)))
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

/// The host name at which the screens are served.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HostName {
    /// A random one under `localhost`.
    Random,
    /// 127.0.0.1, for a browser that does not open names under `localhost`.
    Address,
}

/// How a request names this computer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NamedHost {
    /// By the name at which the screens are served.
    Own,
    /// By 127.0.0.1, at which only a key is accepted.
    Entrance,
}

/// The access checks of one run.
pub struct AccessControl {
    port: u16,
    /// The host name, without the port.
    host: String,
    /// In the printed address; valid for the whole run.
    key: Secret,
    /// Each valid once: in the address on the browser's command line, which others on this computer
    /// can read, and in the redirect from there.
    one_time_keys: Mutex<Vec<Secret>>,
    /// In the browser's cookie.
    cookie: Secret,
    cookie_name: String,
}

impl AccessControl {
    /// Creates new secrets for a run on `port`.
    ///
    /// # Errors
    /// If the operating system provides no random numbers.
    pub fn new(port: u16, host: HostName) -> Result<Self, getrandom::Error> {
        let host = match host {
            // A label of a name has at most 63 characters (RFC 1035, section 2.3.4).
            HostName::Random => format!("h{}.localhost", &Secret::random()?.hex()[..32]),
            HostName::Address => ENTRANCE.to_owned(),
        };
        Ok(Self {
            port,
            host,
            key: Secret::random()?,
            one_time_keys: Mutex::default(),
            cookie: Secret::random()?,
            // Cookies ignore the port, so without it two runs would overwrite each other's.
            cookie_name: format!("holebook-{port}"),
        })
    }

    /// Returns the address to print, valid for the whole run.
    pub fn address(&self) -> String {
        self.address_with(&self.host, &self.key)
    }

    /// Creates an address that is valid once and does not tell the host name, for the browser's
    /// command line.
    ///
    /// # Errors
    /// If the operating system provides no random numbers.
    pub fn entrance_address(&self) -> Result<String, getrandom::Error> {
        Ok(self.address_with(ENTRANCE, &self.one_time_key()?))
    }

    /// Creates the address to which the entrance leads, valid once.
    ///
    /// # Errors
    /// If the operating system provides no random numbers.
    pub fn one_time_address(&self) -> Result<String, getrandom::Error> {
        Ok(self.address_with(&self.host, &self.one_time_key()?))
    }

    fn one_time_key(&self) -> Result<Secret, getrandom::Error> {
        let key = Secret::random()?;
        let mut keys = self.lock();
        if keys.len() >= MAX_ONE_TIME_KEYS {
            keys.remove(0);
        }
        keys.push(key.clone());
        Ok(key)
    }

    fn address_with(&self, host: &str, secret: &Secret) -> String {
        format!("http://{host}:{}/?key={}", self.port, secret.hex())
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Vec<Secret>> {
        self.one_time_keys
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// Whether `given` is the key, or a one-time key, which this uses up.
    pub fn accepts_key(&self, given: &str) -> bool {
        if self.key.matches(given) {
            return true;
        }
        let mut keys = self.lock();
        let unused = keys.len();
        keys.retain(|key| !key.matches(given));
        keys.len() < unused
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
    pub fn check_host(&self, headers: &HeaderMap) -> Result<NamedHost, Rejection> {
        let host = single_value(headers, header::HOST).ok_or(Rejection::WrongHost)?;
        let is = |name: &str| format!("{name}:{}", self.port).eq_ignore_ascii_case(host);
        match () {
            () if is(&self.host) => Ok(NamedHost::Own),
            () if is(ENTRANCE) || is("localhost") => Ok(NamedHost::Entrance),
            () => Err(Rejection::WrongHost),
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

/// The host of the entrance.
const ENTRANCE: &str = "127.0.0.1";
/// The most one-time keys that are valid at once.
const MAX_ONE_TIME_KEYS: usize = 16;

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

    fn access(port: u16) -> AccessControl {
        AccessControl::new(port, HostName::Random).unwrap()
    }

    /// The host and port in an address.
    fn host_of(address: &str) -> String {
        let rest = address.strip_prefix("http://").unwrap();
        rest.split_once('/').unwrap().0.to_owned()
    }

    fn key_of(address: &str) -> &str {
        address.split_once("key=").unwrap().1
    }

    #[test]
    fn a_one_time_key_is_valid_once_and_the_key_always() {
        let access = access(29_375);
        let (entrance, own) = (
            access.entrance_address().unwrap(),
            access.one_time_address().unwrap(),
        );
        for once in [&own, &entrance] {
            assert!(access.accepts_key(key_of(once)));
            assert!(!access.accepts_key(key_of(once)));
        }
        let always = access.address();
        let key = key_of(&always);
        assert!(access.accepts_key(key) && access.accepts_key(key));
        assert!(!access.accepts_key(""));
        assert!(!access.accepts_key(&key[..63]));
        let many: Vec<_> = (0..100)
            .map(|_| access.one_time_address().unwrap())
            .collect();
        let valid = many.iter().filter(|once| access.accepts_key(key_of(once)));
        assert_eq!(valid.count(), MAX_ONE_TIME_KEYS);
    }

    #[test]
    fn secrets_differ_from_run_to_run() {
        let (one, other) = (access(1), access(1));
        assert_ne!(one.address(), other.address());
        assert_ne!(host_of(&one.address()), host_of(&other.address()));
        assert_ne!(one.cookie(), other.cookie());
        assert!(!one.cookie().contains(one.key.hex()));
    }

    #[test]
    fn the_browsers_command_line_does_not_tell_the_host_name() {
        let access = access(29_375);
        assert_eq!(
            host_of(&access.entrance_address().unwrap()),
            "127.0.0.1:29375"
        );
        let own = host_of(&access.address());
        assert!(own.ends_with(".localhost:29375") && own.len() > 40, "{own}");
        assert_eq!(host_of(&access.one_time_address().unwrap()), own);
    }

    #[test]
    fn the_cookie_is_found_among_others() {
        let access = access(8080);
        let pair = access.cookie().split(';').next().unwrap().to_owned();
        let line = format!("theme=dark; holebook-8080=stale; {pair}");
        assert!(access.has_cookie(&headers(&[("cookie", &line)])));
        assert!(!access.has_cookie(&headers(&[("cookie", "holebook-8080=")])));
        assert!(!access.has_cookie(&headers(&[])));
        let other = pair.replace("8080", "8081");
        assert!(!access.has_cookie(&headers(&[("cookie", &other)])));
        assert!(
            !access.cookie().contains("Domain"),
            "other hosts would get it"
        );
    }

    #[test]
    fn only_the_own_host_and_the_entrance_are_accepted() {
        let access = access(29_375);
        let own = host_of(&access.address());
        let check = |host: &str| access.check_host(&headers(&[("host", host)]));
        for (host, named) in [
            (own.as_str(), NamedHost::Own),
            (&own.to_uppercase(), NamedHost::Own),
            ("127.0.0.1:29375", NamedHost::Entrance),
            ("localhost:29375", NamedHost::Entrance),
            ("LOCALHOST:29375", NamedHost::Entrance),
        ] {
            assert_eq!(check(host), Ok(named), "{host}");
        }
        for wrong in [
            "127.0.0.1",
            "localhost:29376",
            "example.org:29375",
            "other.localhost:29375",
            "localhost.example.org:29375",
            "[::1]:29375",
            "",
        ] {
            assert_eq!(check(wrong), Err(Rejection::WrongHost), "{wrong}");
        }
        let twice = headers(&[("host", own.as_str()), ("host", &own)]);
        assert_eq!(access.check_host(&twice), Err(Rejection::WrongHost));
        let by_address = AccessControl::new(29_375, HostName::Address).unwrap();
        let host = headers(&[("host", "127.0.0.1:29375")]);
        assert_eq!(by_address.check_host(&host), Ok(NamedHost::Own));
    }

    #[test]
    fn a_change_must_come_from_the_same_origin() {
        let access = access(29_375);
        let own = host_of(&access.address());
        let from = |fields: &[(&'static str, &str)]| {
            let mut map = headers(fields);
            map.append("host", own.parse().unwrap());
            access.check_origin(&map)
        };
        assert_eq!(from(&[("origin", &format!("http://{own}"))]), Ok(()));
        assert_eq!(from(&[("sec-fetch-site", "same-origin")]), Ok(()));
        for wrong in [
            "http://127.0.0.1:29375".to_owned(),
            "http://localhost:29375".to_owned(),
            "http://other.localhost:29375".to_owned(),
            own.replace("29375", "8080"),
            format!("https://{own}"),
            "null".to_owned(),
            format!("http://{own}.example.org"),
        ] {
            // A matching `Sec-Fetch-Site` does not excuse a wrong `Origin`.
            let fields = [
                ("origin", wrong.as_str()),
                ("sec-fetch-site", "same-origin"),
            ];
            assert_eq!(from(&fields), Err(Rejection::WrongOrigin), "{wrong}");
        }
        assert_eq!(from(&[]), Err(Rejection::WrongOrigin));
        assert_eq!(
            from(&[("sec-fetch-site", "same-site")]),
            Err(Rejection::WrongOrigin)
        );
    }
}
