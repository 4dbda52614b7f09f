//! Credentials for a bucket or a WebDAV folder: from a file that only its owner can read, or from
//! the environment.
//!
//! ```toml
//! # for a bucket; `region` if the store has one, `token` for a temporary key
//! key = "..."
//! secret = "..."
//! region = "us-east-1"
//! # for a WebDAV folder
//! user = "bench"
//! password = "..."
//! ```
//!
//! The program never writes keys: not to the notebook, not to a remote, not to a message.

use super::error::BucketError;
use serde::Deserialize;
use std::fmt;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

/// The most bytes of a keys file.
const MAX_FILE_BYTES: u64 = 64 << 10;
/// The region of a store that does not name one.
const DEFAULT_REGION: &str = "us-east-1";

/// Credentials.
#[derive(Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Keys {
    key: Option<String>,
    secret: Option<String>,
    token: Option<String>,
    region: Option<String>,
    user: Option<String>,
    password: Option<String>,
}

impl fmt::Debug for Keys {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Keys")
    }
}

/// Credentials for a bucket.
pub(super) struct S3Keys<'a> {
    pub key: &'a str,
    pub secret: &'a str,
    pub token: Option<&'a str>,
    pub region: &'a str,
}

impl Keys {
    /// Reads a keys file.
    ///
    /// # Errors
    /// [`BucketError::Keys`] if it cannot be read, other users can read it, or its content is
    /// invalid.
    pub fn read(file: &Path) -> Result<Self, BucketError> {
        let bad = |reason: String| BucketError::Keys {
            file: file.to_owned(),
            reason,
        };
        let text = content(file).map_err(|error| {
            bad(match error.kind() {
                io::ErrorKind::NotFound => {
                    "the file does not exist; create it, or name another one (--bucket-keys)"
                        .to_owned()
                }
                _ => format!("{error}; check that it is a text file that you can read"),
            })
        })?;
        let text = text.ok_or_else(|| bad("other users of this computer can read the file; restrict it to yourself, for example with chmod 600, and get new keys if others may have read it".to_owned()))?;
        // The TOML parser's message quotes the line, and with it a secret.
        let keys: Self = toml::from_str(&text).map_err(|error| {
            let before = error.span().map_or(0, |span| span.start.min(text.len()));
            let line = text.as_bytes()[..before].iter().filter(|byte| **byte == b'\n').count() + 1;
            bad(format!(
                "line {line} is not one of `key = \"...\"`, `secret`, `region` or `token` for a bucket, or of `user` and `password` for a WebDAV folder; correct it"
            ))
        })?;
        match keys.is_valid() {
            true => Ok(keys),
            false => Err(bad(
                "a value is empty or contains a line break; copy it again".to_owned(),
            )),
        }
    }

    /// The keys in the environment variables that are usual for S3: `AWS_ACCESS_KEY_ID`,
    /// `AWS_SECRET_ACCESS_KEY`, and where needed `AWS_SESSION_TOKEN` and `AWS_REGION` or
    /// `AWS_DEFAULT_REGION`; empty without them.
    #[must_use]
    pub fn from_env() -> Self {
        let of = |name: &str| {
            std::env::var(name)
                .ok()
                .filter(|value| !value.trim().is_empty())
        };
        let keys = Self {
            key: of("AWS_ACCESS_KEY_ID"),
            secret: of("AWS_SECRET_ACCESS_KEY"),
            token: of("AWS_SESSION_TOKEN"),
            region: of("AWS_REGION").or_else(|| of("AWS_DEFAULT_REGION")),
            ..Self::default()
        };
        if keys.is_valid() {
            keys
        } else {
            Self::default()
        }
    }

    /// Each value goes into one line of a request.
    fn is_valid(&self) -> bool {
        let Self {
            key,
            secret,
            token,
            region,
            user,
            password,
        } = self;
        [key, secret, token, region, user, password]
            .into_iter()
            .flatten()
            .all(|value| !value.trim().is_empty() && !value.chars().any(char::is_control))
    }

    /// The keys for a bucket.
    pub(super) fn s3_keys(&self) -> Option<S3Keys<'_>> {
        Some(S3Keys {
            key: self.key.as_deref()?,
            secret: self.secret.as_deref()?,
            token: self.token.as_deref(),
            region: self.region.as_deref().unwrap_or(DEFAULT_REGION),
        })
    }

    /// The user and password for a WebDAV folder; none if it needs no login.
    pub(super) fn webdav_login(&self) -> Option<(&str, &str)> {
        Some((self.user.as_deref()?, self.password.as_deref()?))
    }
}

/// The file's content; none if other users can read it.
fn content(file: &Path) -> io::Result<Option<String>> {
    let open = File::open(file)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        if open.metadata()?.permissions().mode() & 0o077 != 0 {
            return Ok(None);
        }
    }
    let mut text = String::new();
    open.take(MAX_FILE_BYTES).read_to_string(&mut text)?;
    Ok(Some(text))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn written(text: &str) -> tempfile::NamedTempFile {
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), text).unwrap();
        file
    }

    #[test]
    fn keys_are_read_and_not_displayed() {
        let file = written("key = \"K\"\nsecret = \"sesame\"\nuser = 'ada'\npassword = 'sesame'\n");
        let keys = Keys::read(file.path()).unwrap();
        let bucket = keys.s3_keys().unwrap();
        assert_eq!(
            (bucket.key, bucket.secret, bucket.region),
            ("K", "sesame", "us-east-1")
        );
        assert_eq!(keys.webdav_login(), Some(("ada", "sesame")));
        assert!(!format!("{keys:?}").contains("sesame"));
    }

    #[test]
    fn content_of_a_keys_file_is_never_repeated() {
        for text in [
            "key = \"K\"\nsecret = sesame\n",
            "key = \"K\"\nsesame = \"x\"\n",
            "key = \"K\"\nsecret = \"sesame\\n\"\n",
            "key = \"K\"\nsecret = [\"sesame\"]\n",
            "secret sesame",
        ] {
            let refused = Keys::read(written(text).path()).unwrap_err();
            let said = format!("{refused} {refused:?}");
            assert!(
                matches!(refused, BucketError::Keys { .. }) && !said.contains("sesame"),
                "{said}"
            );
        }
    }

    #[cfg(unix)]
    #[test]
    fn keys_file_readable_by_others_is_rejected() {
        use std::os::unix::fs::PermissionsExt as _;
        let file = written("user = 'ada'\npassword = 'sesame'\n");
        std::fs::set_permissions(file.path(), std::fs::Permissions::from_mode(0o640)).unwrap();
        let refused = Keys::read(file.path()).unwrap_err().to_string();
        assert!(refused.contains("chmod 600"), "{refused}");
    }
}
