//! Reads a form from a request's body, with or without files.

use super::percent::{self, DecodeError};
use super::request::{ReadRequest, RequestError};
use axum::body::{Body, Bytes};
use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::extract::{FromRequest as _, Request};
use axum::http::{HeaderMap, StatusCode, header};
use holebook_screens::Upload;
use http_body_util::BodyExt as _;
use std::path::Path;
use std::time::Duration;
use tokio::io::{AsyncWriteExt as _, BufWriter};
use tokio::time::timeout;

/// Most bytes in the fields of one form.
pub const FORM_LIMIT: usize = 1 << 20;
/// Most bytes in the files of one form: a folder of phone photos, or a few of the largest cameras'.
pub const FILES_LIMIT: usize = 250 << 20;
/// Most bytes in the body of a form with files, including the lines between its parts.
pub const WIRE_LIMIT: usize = FILES_LIMIT + 2 * FORM_LIMIT;
/// Most parts in one form.
const PARTS_LIMIT: usize = 2_000;
/// How long the sender may pause within a form.
const IDLE_TIMEOUT: Duration = Duration::from_secs(30);
/// How long a body that is too large is read and discarded, so that the browser gets to the
/// response.
const DRAIN_TIMEOUT: Duration = Duration::from_secs(10);

/// Discarding stops after a pause this long.
const DRAIN_IDLE_TIMEOUT: Duration = Duration::from_secs(1);

/// Reads the form in the request's body into `read`; files go to `folder`.
///
/// # Errors
/// [`RequestError`].
pub async fn read_form(
    request: Request,
    folder: &Path,
    read: &mut ReadRequest,
) -> Result<(), RequestError> {
    let limit = match media_type(request.headers()).as_deref() {
        Some("application/x-www-form-urlencoded") => FORM_LIMIT,
        Some("multipart/form-data") => WIRE_LIMIT,
        _ => return Err(RequestError::NotAForm),
    };
    let length = request.headers().get(header::CONTENT_LENGTH);
    let length = length.and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    if length.is_some_and(|length| length > limit) {
        drain(request.into_body()).await;
        return Err(RequestError::TooLarge);
    }
    if limit == FORM_LIMIT {
        read.request.form = percent::decode_pairs(&read_body(request.into_body()).await?)?;
        return Ok(());
    }
    let parts = Multipart::from_request(request, &())
        .await
        .map_err(|_| RequestError::NotAForm)?;
    read_parts(parts, folder, read).await
}

/// Returns the media type without its parameters.
fn media_type(headers: &HeaderMap) -> Option<String> {
    let media_type = headers.get(header::CONTENT_TYPE)?.to_str().ok()?;
    Some(media_type.split(';').next()?.trim().to_ascii_lowercase())
}

async fn read_body(mut body: Body) -> Result<Vec<u8>, RequestError> {
    let mut bytes = Vec::new();
    while let Some(frame) = timeout(IDLE_TIMEOUT, body.frame())
        .await
        .map_err(|_| RequestError::TimedOut)?
    {
        let Ok(data) = frame.map_err(|_| RequestError::Malformed)?.into_data() else {
            continue;
        };
        if bytes.len() + data.len() > FORM_LIMIT {
            drain(body).await;
            return Err(RequestError::TooLarge);
        }
        bytes.extend_from_slice(&data);
    }
    Ok(bytes)
}

/// Reads and discards the rest of a body for a while. The response does not depend on the outcome.
async fn drain(mut body: Body) {
    let rest =
        async { while let Ok(Some(Ok(_))) = timeout(DRAIN_IDLE_TIMEOUT, body.frame()).await {} };
    let _ = timeout(DRAIN_TIMEOUT, rest).await;
}

async fn read_parts(
    mut parts: Multipart,
    folder: &Path,
    read: &mut ReadRequest,
) -> Result<(), RequestError> {
    let (mut fields_left, mut files_left) = (FORM_LIMIT, FILES_LIMIT);
    for _ in 0..PARTS_LIMIT {
        let next = timeout(IDLE_TIMEOUT, parts.next_field())
            .await
            .map_err(|_| RequestError::TimedOut)?;
        let Some(field) = next.map_err(|error| multipart_error(&error))? else {
            return Ok(());
        };
        let name = field.name().ok_or(RequestError::Malformed)?.to_owned();
        match field.file_name().map(ToOwned::to_owned) {
            Some(file_name) => {
                save_file(field, name, file_name, folder, &mut files_left, read).await?
            }
            None => {
                let value = read_field(field, &mut fields_left).await?;
                read.request.form.push((name, value));
            }
        }
    }
    Err(RequestError::TooLarge)
}

async fn read_field(mut field: Field<'_>, left: &mut usize) -> Result<String, RequestError> {
    let mut bytes = Vec::new();
    while let Some(chunk) = next_chunk(&mut field, left).await? {
        bytes.extend_from_slice(&chunk);
    }
    String::from_utf8(bytes).map_err(|_| DecodeError::NotUtf8.into())
}

/// Saves one file of the form to disk.
async fn save_file(
    mut field: Field<'_>,
    name: String,
    file_name: String,
    folder: &Path,
    left: &mut usize,
    read: &mut ReadRequest,
) -> Result<(), RequestError> {
    let (file, path) = tempfile::Builder::new()
        .prefix("upload-")
        .tempfile_in(folder)?
        .into_parts();
    let mut file = BufWriter::with_capacity(256 << 10, tokio::fs::File::from_std(file));
    let mut empty = true;
    while let Some(chunk) = next_chunk(&mut field, left).await? {
        empty &= chunk.is_empty();
        file.write_all(&chunk).await?;
    }
    file.flush().await?;
    // For an empty file field, a browser sends a part without name and content.
    if !(empty && file_name.is_empty()) {
        let upload = Upload {
            field: name,
            name: file_name,
            path: path.to_path_buf(),
        };
        read.request.uploads.push(upload);
        read.files.push(path);
    }
    Ok(())
}

async fn next_chunk(
    field: &mut Field<'_>,
    left: &mut usize,
) -> Result<Option<Bytes>, RequestError> {
    let chunk = timeout(IDLE_TIMEOUT, field.chunk())
        .await
        .map_err(|_| RequestError::TimedOut)?;
    let chunk = chunk.map_err(|error| multipart_error(&error))?;
    let length = chunk.as_ref().map_or(0, Bytes::len);
    *left = left.checked_sub(length).ok_or(RequestError::TooLarge)?;
    Ok(chunk)
}

fn multipart_error(error: &MultipartError) -> RequestError {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        RequestError::TooLarge
    } else {
        RequestError::Malformed
    }
}
