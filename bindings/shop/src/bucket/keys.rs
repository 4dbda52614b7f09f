//! What lets this computer into a bucket or a WebDAV folder: from a file that only its owner reads, or from the environment.
//!
//! ```toml
//! # for a bucket; `region` where the store has one, `token` where the key is good for some hours
//! key = "..."
//! secret = "..."
//! region = "us-east-1"
//! # for a WebDAV folder
//! user = "bench"
//! password = "..."
//! ```
//! Keys are never written by the program: not into the notebook, not onto a shelf, not into a sentence.

use super::error::BucketError;
use serde::Deserialize;
use std::fmt;
use std::fs::File;
use std::io::{self, Read as _};
use std::path::Path;

/// The most bytes that a file of keys may have.
const LARGEST: u64 = 64 << 10;
/// The region of a store that does not say that it has any.
const USUAL_REGION: &str = "us-east-1";

/// Keys.
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

/// A bucket's keys.
pub(super) struct BucketKeys<'a> {
    pub key: &'a str,
    pub secret: &'a str,
    pub token: Option<&'a str>,
    pub region: &'a str,
}

impl Keys {
    /// Reads a file of keys.
    ///
    /// # Errors
    /// [`BucketError::Keys`] where it cannot be read, others than its owner can read it, or it holds something else.
    pub fn read(file: &Path) -> Result<Self, BucketError> {
        let bad = |why: String| BucketError::Keys {
            file: file.to_owned(),
            why,
        };
        let text = content(file).map_err(|error| {
            bad(match error.kind() {
                io::ErrorKind::NotFound => {
                    "there is no such file; write it, or name another (--bucket-keys)".to_owned()
                }
                _ => format!("{error}; see that it is a text file that you can read"),
            })
        })?;
        let text = text.ok_or_else(|| bad("others on this computer can read the file; make it yours alone, such as with chmod 600, and if others may have read it get new keys".to_owned()))?;
        // What the reader of TOML says repeats the line, and with it a secret.
        let keys: Self = toml::from_str(&text).map_err(|error| {
            let before = error.span().map_or(0, |span| span.start.min(text.len()));
            let line = text.as_bytes()[..before].iter().filter(|byte| **byte == b'\n').count() + 1;
            bad(format!(
                "line {line} is not one of `key = \"...\"`, with secret, region and token for a bucket, or user and password for a WebDAV folder; correct it"
            ))
        })?;
        match keys.is_sound() {
            true => Ok(keys),
            false => Err(bad(
                "one of them is empty or holds a line break; copy it again".to_owned(),
            )),
        }
    }

    /// The keys that the environment holds, as is usual for S3: `AWS_ACCESS_KEY_ID`, `AWS_SECRET_ACCESS_KEY`, and where it is
    /// needed `AWS_SESSION_TOKEN` and `AWS_REGION` or `AWS_DEFAULT_REGION`. Without them there are none.
    #[must_use]
    pub fn of_environment() -> Self {
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
        if keys.is_sound() {
            keys
        } else {
            Self::default()
        }
    }

    /// Each goes into one line of a request.
    fn is_sound(&self) -> bool {
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

    /// Those for a bucket.
    pub(super) fn of_bucket(&self) -> Option<BucketKeys<'_>> {
        Some(BucketKeys {
            key: self.key.as_deref()?,
            secret: self.secret.as_deref()?,
            token: self.token.as_deref(),
            region: self.region.as_deref().unwrap_or(USUAL_REGION),
        })
    }

    /// The user and password for a WebDAV folder; none where it takes anybody.
    pub(super) fn of_folder(&self) -> Option<(&str, &str)> {
        Some((self.user.as_deref()?, self.password.as_deref()?))
    }
}

/// What the file holds; none where others can read it.
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
    open.take(LARGEST).read_to_string(&mut text)?;
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
    fn keys_are_read_and_not_shown() {
        let file = written("key = \"K\"\nsecret = \"sesame\"\nuser = 'ada'\npassword = 'sesame'\n");
        let keys = Keys::read(file.path()).unwrap();
        let bucket = keys.of_bucket().unwrap();
        assert_eq!(
            (bucket.key, bucket.secret, bucket.region),
            ("K", "sesame", "us-east-1")
        );
        assert_eq!(keys.of_folder(), Some(("ada", "sesame")));
        assert!(!format!("{keys:?}").contains("sesame"));
    }

    #[test]
    fn what_a_file_of_keys_holds_is_never_repeated() {
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
    fn a_file_that_others_can_read_is_refused() {
        use std::os::unix::fs::PermissionsExt as _;
        let file = written("user = 'ada'\npassword = 'sesame'\n");
        std::fs::set_permissions(file.path(), std::fs::Permissions::from_mode(0o640)).unwrap();
        let refused = Keys::read(file.path()).unwrap_err().to_string();
        assert!(refused.contains("chmod 600"), "{refused}");
    }
}
