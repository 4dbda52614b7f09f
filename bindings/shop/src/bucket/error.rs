//! What can go wrong with a bucket or a WebDAV folder, said so that a person can act on it.

use holebook_core::exchange::ExchangeError;
use std::path::PathBuf;

/// Why a bucket or a WebDAV folder could not be used. What was left there and taken from there by then stays.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BucketError {
    /// What was written is no address.
    #[error("'{text}' is no shelf: {why}")]
    Address {
        /// What was written, without a password.
        text: String,
        /// What is wrong with it, and what to do.
        why: &'static str,
    },
    /// The file of keys cannot be used. Nothing of what it holds is repeated.
    #[error("the keys in {} cannot be used: {why}", file.display())]
    Keys {
        /// The file.
        file: PathBuf,
        /// Why not, and what to do.
        why: String,
    },
    /// There are no keys.
    #[error(
        "there are no keys for {shelf}; put `key` and `secret` in a file and say where it is (--bucket-keys), or set AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY"
    )]
    NoKeys {
        /// The shelf's name.
        shelf: String,
    },
    /// Everybody on the way could read what is sent.
    #[error(
        "what goes to {shelf} could be read and changed on the way, since its address begins with http://; use https://, or say that it may (--unencrypted) where the network is yours alone"
    )]
    Unencrypted {
        /// The shelf's name.
        shelf: String,
    },
    /// Which keys belong to which shelf cannot be kept or read.
    #[error("what is kept of buckets in {} could not be read or written ({detail}); see that you may write there, or move the file away and name the bucket again", file.display())]
    Kept {
        /// The file.
        file: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// Nobody answers, or the connection broke.
    #[error(
        "{shelf} cannot be reached ({detail}); see that this computer is on the network and the address is right, then exchange again"
    )]
    Unreachable {
        /// The shelf's name.
        shelf: String,
        /// What happened.
        detail: String,
    },
    /// Somebody answers whose certificate is not good, so that it may be anybody.
    #[error(
        "{shelf} was told nothing, since the certificate shown there is not good ({detail}); see the address and this computer's clock, or have this computer trust whoever signed it"
    )]
    Certificate {
        /// The shelf's name.
        shelf: String,
        /// What is wrong with it.
        detail: String,
    },
    /// The store refuses: its answer says why.
    #[error("{shelf} {why}")]
    Refused {
        /// The shelf's name.
        shelf: String,
        /// Why, and what to do, following its name.
        why: String,
    },
    /// What came is not what such a store answers.
    #[error("{shelf} answers as no {kind} does ({detail}); see that the address is that of one")]
    Answer {
        /// The shelf's name.
        shelf: String,
        /// What was expected: an S3 store, or a WebDAV folder.
        kind: &'static str,
        /// What came.
        detail: String,
    },
}

impl From<BucketError> for ExchangeError {
    fn from(error: BucketError) -> Self {
        Self::Elsewhere(Box::new(error))
    }
}
