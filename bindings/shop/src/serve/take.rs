//! Takes a request off the wire: its path and query here, its form and files in [`super::form`].

use super::decode::{self, DecodeError};
use super::form;
use super::page::page;
use axum::extract::Request;
use axum::http::StatusCode;
use axum::response::Response;
use holebook_screens::Method;
use std::path::Path;
use tempfile::TempPath;

/// A request for the screens, with the files that came with it; they are removed when this is dropped.
pub struct Taken {
    /// What the screens are asked.
    pub request: holebook_screens::Request,
    /// Holds the files on disk.
    pub files: Vec<TempPath>,
}

/// Why a request could not be taken.
#[derive(Debug, thiserror::Error)]
pub enum TakeError {
    /// The address or the form is not well formed.
    #[error("{0}")]
    Decode(#[from] DecodeError),
    /// It is larger than it may be.
    #[error(
        "what was sent is too large: a form may hold 1 MiB, the files sent at once 250 MiB; send fewer pictures at once, and take a larger bundle in with `holebook exchange --bundle`"
    )]
    TooLarge,
    /// It is neither of the two kinds of form.
    #[error("what was sent is not a form that the notebook reads; use the notebook's own pages")]
    NotAForm,
    /// The parts of a form with files are broken.
    #[error("the form did not arrive whole; send it again")]
    Broken,
    /// The sender fell silent.
    #[error("the rest of the form did not arrive in time; send it again")]
    Silent,
    /// A file could not be put on disk.
    #[error(
        "the picture could not be put on the disk that holds the notebook; make room there, see that it can be written, and send it again"
    )]
    Disk(#[from] std::io::Error),
}

impl TakeError {
    /// The page that says so.
    pub fn page(&self) -> Response {
        let status = match self {
            Self::Decode(_) | Self::Broken => StatusCode::BAD_REQUEST,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::NotAForm => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::Silent => StatusCode::REQUEST_TIMEOUT,
            Self::Disk(_) => StatusCode::INSUFFICIENT_STORAGE,
        };
        let mut sentence = self.to_string();
        if let Some(first) = sentence.get_mut(0..1) {
            first.make_ascii_uppercase();
        }
        page(status, "Nothing was changed", &format!("{sentence}."))
    }
}

/// Takes a request. Files go to `folder` piece by piece, never whole into memory.
///
/// # Errors
/// [`TakeError`]; files that came before the fault are removed again.
pub async fn take(request: Request, folder: &Path) -> Result<Taken, TakeError> {
    let path = decode::path(request.uri().path())?;
    let query = decode::pairs(request.uri().query().unwrap_or("").as_bytes())?;
    let mut taken = Taken {
        request: holebook_screens::Request {
            query,
            ..holebook_screens::Request::get(&path)
        },
        files: Vec::new(),
    };
    if request.method() == axum::http::Method::POST {
        taken.request.method = Method::Post;
        form::take(request, folder, &mut taken).await?;
    }
    Ok(taken)
}
