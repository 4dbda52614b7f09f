//! A request as it was read, and why one could not be read.

use super::page::page;
use super::percent::DecodeError;
use axum::http::StatusCode;
use axum::response::Response;
use tempfile::TempPath;

/// A request for the screens with its uploaded files, which are deleted when this is dropped.
pub struct ReadRequest {
    /// The request.
    pub request: holebook_screens::Request,
    /// The uploaded files.
    pub files: Vec<TempPath>,
}

/// Why a request could not be read.
#[derive(Debug, thiserror::Error)]
pub enum RequestError {
    /// The address or the form is malformed.
    #[error("{0}")]
    Decode(#[from] DecodeError),
    /// It exceeds a limit of [`super::form`].
    #[error(
        "too large: at most 250 MiB of files and 1 MiB of text at once; add fewer photos at a time, and import a larger bundle with `holebook sync --bundle`"
    )]
    TooLarge,
    /// It is neither of the two kinds of form.
    #[error("the notebook cannot read this kind of form; use the notebook's own pages")]
    NotAForm,
    /// The parts of a form with files are malformed.
    #[error("the form is incomplete; send it again")]
    Malformed,
    /// The sender paused for too long.
    #[error("timeout while receiving the form; send it again")]
    TimedOut,
    /// A file could not be saved.
    #[error(
        "the file could not be saved on the notebook's disk; free some space, check that the folder is writable, and send it again"
    )]
    Disk(#[from] std::io::Error),
}

impl RequestError {
    /// Builds the page with the error.
    pub fn page(&self) -> Response {
        let status = match self {
            Self::Decode(_) | Self::Malformed => StatusCode::BAD_REQUEST,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::NotAForm => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::TimedOut => StatusCode::REQUEST_TIMEOUT,
            Self::Disk(_) => StatusCode::INSUFFICIENT_STORAGE,
        };
        let mut sentence = self.to_string();
        if let Some(first) = sentence.get_mut(0..1) {
            first.make_ascii_uppercase();
        }
        page(status, "Nothing was recorded", &format!("{sentence}."))
    }
}
