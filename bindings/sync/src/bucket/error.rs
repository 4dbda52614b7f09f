//! Errors of a bucket or a WebDAV folder, each with what to do about it.

use holebook_core::sync::SyncError;
use std::path::PathBuf;

/// Why a bucket or a WebDAV folder could not be used. What was pushed and pulled by then stays.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BucketError {
    /// The text is not a valid address.
    #[error("'{text}' is not a remote: {reason}")]
    Address {
        /// The text, without a password.
        text: String,
        /// What is wrong with it, and what to do.
        reason: &'static str,
    },
    /// The keys file cannot be used. Its content is never repeated.
    #[error("cannot use the keys in {}: {reason}", file.display())]
    Keys {
        /// The file.
        file: PathBuf,
        /// Why, and what to do.
        reason: String,
    },
    /// There are no keys.
    #[error(
        "there are no keys for {remote}; put `key` and `secret` in a file and name it (--bucket-keys), or set AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY"
    )]
    NoKeys {
        /// The remote's name.
        remote: String,
    },
    /// The connection would not be encrypted.
    #[error(
        "the connection to {remote} is not encrypted, since its address begins with http://; use https://, or allow it (--unencrypted) on a network of your own"
    )]
    Unencrypted {
        /// The remote's name.
        remote: String,
    },
    /// The bucket settings cannot be read or written.
    #[error("cannot read or write the bucket settings in {} ({detail}); check that you may write there, or move the file away and name the bucket again", file.display())]
    Settings {
        /// The file.
        file: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// No response, or the connection broke.
    #[error(
        "{remote} cannot be reached ({detail}); check the network and the address, then sync again"
    )]
    Unreachable {
        /// The remote's name.
        remote: String,
        /// What happened.
        detail: String,
    },
    /// The server's certificate is not valid, so it may be anyone.
    #[error(
        "nothing was sent to {remote}, since its certificate is not valid ({detail}); check the address and this computer's clock, or add its issuer to the trusted certificates"
    )]
    Certificate {
        /// The remote's name.
        remote: String,
        /// What is wrong with it.
        detail: String,
    },
    /// The store refuses; its response says why.
    #[error("{remote} {reason}")]
    Refused {
        /// The remote's name.
        remote: String,
        /// Why, and what to do, to follow the remote's name.
        reason: String,
    },
    /// The response is not one of such a store.
    #[error("{remote} does not respond like {kind} ({detail}); check its address")]
    UnexpectedResponse {
        /// The remote's name.
        remote: String,
        /// What was expected: an S3-compatible store, or a WebDAV folder.
        kind: &'static str,
        /// What was received.
        detail: String,
    },
}

impl From<BucketError> for SyncError {
    fn from(error: BucketError) -> Self {
        Self::Other(Box::new(error))
    }
}
