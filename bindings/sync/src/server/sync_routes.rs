//! Handles sync requests of paired devices.

use super::Server;
use super::body::{BodyError, BodyWriter, ReadLimits, read_all, reading, response_pipe};
use super::router::Device;
use crate::wire::{self, MAX_CHUNK_BYTES};
use axum::Extension;
use axum::body::{Body, HttpBody as _};
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use holebook_core::notebook::NotebookError;
use holebook_core::photo::{LARGEST_FILE_BYTES, PhotoError, PhotoHash};
use holebook_core::sync::{Listing, NotebookRemote, Remote as _, Segment, SyncError};
use serde::Deserialize;
use std::io::{BufWriter, Write as _};
use std::sync::Arc;
use tokio::task::JoinError;

/// The buffer for sending a photo, in bytes.
const BUFFER_BYTES: usize = 128 << 10;

/// The server, as a handler gets it.
type Shared = State<Arc<Server>>;
/// Who sent the request.
type Sender = Extension<Device>;

/// The path of a segment of the journal: its author's device and its file.
type SegmentPath = Path<(String, String)>;

/// Which lines of a segment to send.
#[derive(Deserialize)]
pub(super) struct Lines {
    /// The number of the first entry.
    from: u64,
}

pub(super) async fn listing(
    State(server): Shared,
    Extension(Device(device)): Sender,
    headers: HeaderMap,
) -> Response {
    let tag = headers.get(header::IF_NONE_MATCH);
    let known = tag.and_then(|tag| tag.to_str().ok()).map(bare_tag);
    let worker = server.clone();
    let result = blocking(&server, move || {
        let listing = NotebookRemote(&worker.notebook).list(known.as_deref());
        if matches!(listing, Ok(None)) {
            // Nothing is new on either side, so the device sends no further request.
            worker.record_finish(device);
        }
        listing
    });
    match result.await {
        Ok(Some(listing)) => listing_response(&listing),
        Ok(None) => StatusCode::NOT_MODIFIED.into_response(),
        Err(response) => response,
    }
}

fn bare_tag(tag: &str) -> String {
    tag.trim().trim_matches('"').to_owned()
}

fn listing_response(listing: &Listing) -> Response {
    let mut response = Response::new(Body::from(wire::write_listing(listing)));
    let state = listing.state.as_deref();
    let tag = state.and_then(|state| HeaderValue::from_str(&format!("\"{state}\"")).ok());
    if let Some(tag) = tag {
        response.headers_mut().insert(header::ETAG, tag);
    }
    response
}

/// Returns the segment at a path; `None` if it is none.
fn segment((device, file): (String, String)) -> Option<Segment> {
    format!("journal/{device}/{file}").parse().ok()
}

pub(super) async fn send_lines(
    State(server): Shared,
    Extension(Device(device)): Sender,
    Path(path): SegmentPath,
    Query(Lines { from }): Query<Lines>,
) -> Response {
    let Some(segment) = segment(path) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let _permit = server.chunk_requests.acquire(device).await;
    let worker = server.clone();
    let read = blocking(&server, move || {
        NotebookRemote(&worker.notebook).pull_lines(&segment, from)
    });
    match read.await {
        Ok(lines) => {
            server.update_counts(device, |counts| {
                counts.entries_pulled += count_lines(&lines)
            });
            Response::new(Body::from(lines))
        }
        Err(response) => response,
    }
}

pub(super) async fn receive_lines(
    State(server): Shared,
    Extension(Device(device)): Sender,
    Path(path): SegmentPath,
    body: Body,
) -> Response {
    let Some(segment) = segment(path) else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let _permit = server.chunk_requests.acquire(device).await;
    let lines = match read_all(body, MAX_CHUNK_BYTES, read_limits(&server)).await {
        Ok(lines) => lines,
        Err(error) => return body_error_response(error),
    };
    let (worker, entries) = (server.clone(), count_lines(&lines));
    let stored = blocking(&server, move || {
        let author = segment.device;
        let is_new = worker.notebook.last_number(author)? == 0;
        NotebookRemote(&worker.notebook).push_lines(&segment, &lines)?;
        if is_new {
            let from = worker.device_name(device);
            worker.notebook.record_arrivals(&[author], &from)?;
        }
        Ok(())
    });
    match stored.await {
        Ok(()) => {
            server.update_counts(device, |counts| counts.entries_pushed += entries);
            StatusCode::NO_CONTENT.into_response()
        }
        Err(response) => response,
    }
}

pub(super) async fn send_photo(
    State(server): Shared,
    Extension(Device(device)): Sender,
    Path(photo): Path<String>,
) -> Response {
    let Ok(photo) = photo.parse::<PhotoHash>() else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let permit = server.photo_requests.acquire(device).await;
    let file = server.notebook.photos().original(&photo);
    let Ok(metadata) = tokio::fs::metadata(&file).await else {
        return sentence_response(StatusCode::UNPROCESSABLE_ENTITY, "it is not there");
    };
    let (writer, body) = response_pipe();
    let worker = server.clone();
    tokio::task::spawn_blocking(move || {
        write_photo(&worker, device, photo, writer);
        drop(permit);
    });
    let mut response = Response::new(body);
    let length = HeaderValue::from(metadata.len());
    response
        .headers_mut()
        .insert(header::CONTENT_LENGTH, length);
    response
}

/// Writes a photo to the response, or aborts it on an error. A closed connection is ignored: the
/// client retries.
fn write_photo(server: &Server, device: i64, photo: PhotoHash, writer: BodyWriter) {
    let mut buffered = BufWriter::with_capacity(BUFFER_BYTES, writer);
    let written = NotebookRemote(&server.notebook).pull_photo(&photo, &mut buffered);
    if written.is_ok() && buffered.flush().is_ok() {
        server.update_counts(device, |counts| counts.photos_pulled += 1);
        return;
    }
    let (writer, _) = buffered.into_parts();
    writer.abort();
}

pub(super) async fn receive_photo(
    State(server): Shared,
    Extension(Device(device)): Sender,
    Path(photo): Path<String>,
    body: Body,
) -> Response {
    let Ok(photo) = photo.parse::<PhotoHash>() else {
        return StatusCode::NOT_FOUND.into_response();
    };
    let _permit = server.photo_requests.acquire(device).await;
    let bytes = body.size_hint().lower();
    let worker = server.clone();
    let store = move |reader: &mut dyn std::io::Read| {
        NotebookRemote(&worker.notebook).push_photo(&photo, bytes, reader)
    };
    let received = match reading(body, LARGEST_FILE_BYTES, read_limits(&server), store) {
        Ok(receive) => blocking(&server, move || Ok(receive())).await,
        Err(error) => Ok(Err(error)),
    };
    match received {
        Err(response) => response,
        Ok(Err(error)) => body_error_response(error),
        Ok(Ok(Err(error))) => error_response(&server, error),
        Ok(Ok(Ok(_))) => {
            server.update_counts(device, |counts| counts.photos_pushed += 1);
            StatusCode::NO_CONTENT.into_response()
        }
    }
}

pub(super) async fn finish(State(server): Shared, Extension(Device(device)): Sender) -> Response {
    let worker = server.clone();
    let recorded = blocking(&server, move || {
        worker.record_finish(device);
        Ok(())
    });
    recorded.await.map_or_else(
        |response| response,
        |()| StatusCode::NO_CONTENT.into_response(),
    )
}

/// Runs blocking work on a blocking thread. Errors are returned as the response to send.
async fn blocking<T: Send + 'static>(
    server: &Arc<Server>,
    work: impl FnOnce() -> Result<T, SyncError> + Send + 'static,
) -> Result<T, Response> {
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(done)) => Ok(done),
        Ok(Err(error)) => Err(error_response(server, error)),
        Err(error) => Err(panic_response(server, &error)),
    }
}

fn panic_response(server: &Server, error: &JoinError) -> Response {
    server.report_failure(error);
    StatusCode::INTERNAL_SERVER_ERROR.into_response()
}

/// Converts an error to a response. The device gets what it can act on; other errors are reported
/// on this computer.
fn error_response(server: &Server, error: SyncError) -> Response {
    let full = matches!(
        error,
        SyncError::RemoteFull { .. }
            | SyncError::Notebook(NotebookError::StorageFull { .. })
            | SyncError::Photo(PhotoError::StorageFull { .. })
    );
    match error {
        SyncError::File(problem) => {
            sentence_response(StatusCode::UNPROCESSABLE_ENTITY, &problem.reason)
        }
        error if full => {
            server.report_failure(error);
            StatusCode::INSUFFICIENT_STORAGE.into_response()
        }
        SyncError::Notebook(NotebookError::Busy { .. }) => {
            sentence_response(StatusCode::SERVICE_UNAVAILABLE, "its notebook is busy")
        }
        error => {
            server.report_failure(error);
            let sentence = "its notebook could not be read or written; check the shop computer";
            sentence_response(StatusCode::INTERNAL_SERVER_ERROR, sentence)
        }
    }
}

fn body_error_response(error: BodyError) -> Response {
    let status = match error {
        BodyError::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
        BodyError::TooSlow => StatusCode::REQUEST_TIMEOUT,
        BodyError::Broken => StatusCode::BAD_REQUEST,
    };
    sentence_response(status, &error.to_string())
}

fn sentence_response(status: StatusCode, sentence: &str) -> Response {
    (status, sentence.to_owned()).into_response()
}

fn read_limits(server: &Server) -> ReadLimits {
    ReadLimits {
        idle_timeout: server.limits.idle_timeout,
        min_bytes_per_second: server.limits.min_bytes_per_second,
    }
}

/// Counts lines by their line breaks.
fn count_lines(lines: &[u8]) -> u64 {
    lines.iter().filter(|byte| **byte == b'\n').count() as u64
}
