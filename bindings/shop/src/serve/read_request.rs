//! Reads a request: path and query here, form and files in [`super::form`].

use super::form;
use super::percent;
use super::request::{ReadRequest, RequestError};
use axum::extract::Request;
use holebook_screens::Method;
use std::path::Path;

/// Reads a request. Files are streamed to `folder`, never held in memory whole.
///
/// # Errors
/// [`RequestError`]; files already saved are deleted.
pub async fn read(request: Request, folder: &Path) -> Result<ReadRequest, RequestError> {
    let path = percent::decode_path(request.uri().path())?;
    let query = percent::decode_pairs(request.uri().query().unwrap_or("").as_bytes())?;
    let mut read = ReadRequest {
        request: holebook_screens::Request {
            query,
            ..holebook_screens::Request::get(&path)
        },
        files: Vec::new(),
    };
    if request.method() == axum::http::Method::POST {
        read.request.method = Method::Post;
        form::read_form(request, folder, &mut read).await?;
    }
    Ok(read)
}
