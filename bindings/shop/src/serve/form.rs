//! Takes a form off the wire, plain or with files.

use super::decode::{self, DecodeError};
use super::take::{TakeError, Taken};
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

/// Bytes that the fields of one form may take.
pub const FORM_LIMIT: usize = 1 << 20;
/// Bytes that the files of one form may take: a folder of phone pictures, or a few of the largest cameras'.
pub const FILES_LIMIT: usize = 250 << 20;
/// Bytes that a form with files may take on the wire, the lines between its parts included.
pub const WIRE_LIMIT: usize = FILES_LIMIT + 2 * FORM_LIMIT;
/// Parts that one form may have.
const PARTS_LIMIT: usize = 2_000;
/// How long a sender may be silent in the middle of a form.
const SILENCE: Duration = Duration::from_secs(30);
/// How long a body that is too large is read and thrown away, so that the browser comes to read the answer.
const DRAIN: Duration = Duration::from_secs(10);

/// A pause after which nothing more is waited for there.
const PAUSE: Duration = Duration::from_secs(1);

/// Takes the form in `request`'s body.
pub async fn take(request: Request, folder: &Path, taken: &mut Taken) -> Result<(), TakeError> {
    let limit = match kind(request.headers()).as_deref() {
        Some("application/x-www-form-urlencoded") => FORM_LIMIT,
        Some("multipart/form-data") => WIRE_LIMIT,
        _ => return Err(TakeError::NotAForm),
    };
    let length = request.headers().get(header::CONTENT_LENGTH);
    let length = length.and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
    if length.is_some_and(|length| length > limit) {
        drain(request.into_body()).await;
        return Err(TakeError::TooLarge);
    }
    if limit == FORM_LIMIT {
        taken.request.form = decode::pairs(&gather(request.into_body()).await?)?;
        return Ok(());
    }
    let parts = Multipart::from_request(request, &())
        .await
        .map_err(|_| TakeError::NotAForm)?;
    take_parts(parts, folder, taken).await
}

/// The media type without its parameters.
fn kind(headers: &HeaderMap) -> Option<String> {
    let kind = headers.get(header::CONTENT_TYPE)?.to_str().ok()?;
    Some(kind.split(';').next()?.trim().to_ascii_lowercase())
}

async fn gather(mut body: Body) -> Result<Vec<u8>, TakeError> {
    let mut bytes = Vec::new();
    while let Some(frame) = timeout(SILENCE, body.frame())
        .await
        .map_err(|_| TakeError::Silent)?
    {
        let Ok(data) = frame.map_err(|_| TakeError::Broken)?.into_data() else {
            continue;
        };
        if bytes.len() + data.len() > FORM_LIMIT {
            drain(body).await;
            return Err(TakeError::TooLarge);
        }
        bytes.extend_from_slice(&data);
    }
    Ok(bytes)
}

/// Reads on for a while, as long as something comes. Whether the sender finishes or not, the answer is the same.
async fn drain(mut body: Body) {
    let rest = async { while let Ok(Some(Ok(_))) = timeout(PAUSE, body.frame()).await {} };
    let _ = timeout(DRAIN, rest).await;
}

async fn take_parts(
    mut parts: Multipart,
    folder: &Path,
    taken: &mut Taken,
) -> Result<(), TakeError> {
    let (mut fields_left, mut files_left) = (FORM_LIMIT, FILES_LIMIT);
    for _ in 0..PARTS_LIMIT {
        let next = timeout(SILENCE, parts.next_field())
            .await
            .map_err(|_| TakeError::Silent)?;
        let Some(field) = next.map_err(|error| broken(&error))? else {
            return Ok(());
        };
        let name = field.name().ok_or(TakeError::Broken)?.to_owned();
        match field.file_name().map(ToOwned::to_owned) {
            Some(file_name) => {
                take_file(field, name, file_name, folder, &mut files_left, taken).await?
            }
            None => {
                let value = take_text(field, &mut fields_left).await?;
                taken.request.form.push((name, value));
            }
        }
    }
    Err(TakeError::TooLarge)
}

async fn take_text(mut field: Field<'_>, left: &mut usize) -> Result<String, TakeError> {
    let mut bytes = Vec::new();
    while let Some(piece) = next_piece(&mut field, left).await? {
        bytes.extend_from_slice(&piece);
    }
    String::from_utf8(bytes).map_err(|_| DecodeError::NotUtf8.into())
}

/// Puts one file of the form on disk.
async fn take_file(
    mut field: Field<'_>,
    name: String,
    file_name: String,
    folder: &Path,
    left: &mut usize,
    taken: &mut Taken,
) -> Result<(), TakeError> {
    let (file, path) = tempfile::Builder::new()
        .prefix("upload-")
        .tempfile_in(folder)?
        .into_parts();
    let mut file = BufWriter::with_capacity(256 << 10, tokio::fs::File::from_std(file));
    let mut empty = true;
    while let Some(piece) = next_piece(&mut field, left).await? {
        empty &= piece.is_empty();
        file.write_all(&piece).await?;
    }
    file.flush().await?;
    // A browser sends a part without name and content for a file field that was left empty.
    if !(empty && file_name.is_empty()) {
        let upload = Upload {
            field: name,
            name: file_name,
            path: path.to_path_buf(),
        };
        taken.request.uploads.push(upload);
        taken.files.push(path);
    }
    Ok(())
}

async fn next_piece(field: &mut Field<'_>, left: &mut usize) -> Result<Option<Bytes>, TakeError> {
    let piece = timeout(SILENCE, field.chunk())
        .await
        .map_err(|_| TakeError::Silent)?;
    let piece = piece.map_err(|error| broken(&error))?;
    let length = piece.as_ref().map_or(0, Bytes::len);
    *left = left.checked_sub(length).ok_or(TakeError::TooLarge)?;
    Ok(piece)
}

fn broken(error: &MultipartError) -> TakeError {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        TakeError::TooLarge
    } else {
        TakeError::Broken
    }
}
