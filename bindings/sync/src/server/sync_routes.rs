//! Handles sync requests of paired devices.

use super::Server;
use super::body::{
    BodyError, BodyWriter, ReadLimits, ResponseBody, empty_response, forward, read_all,
    request_pipe, response_pipe,
};
use super::route::Route;
use crate::wire::{self, MAX_CHUNK_BYTES};
use holebook_core::notebook::NotebookError;
use holebook_core::photo::{LARGEST_FILE_BYTES, PhotoError, PhotoHash};
use holebook_core::sync::{Listing, NotebookRemote, Remote as _, Segment, SyncError};
use hyper::body::Incoming;
use hyper::header::{self, HeaderValue};
use hyper::{Request, Response, StatusCode};
use std::io::{BufWriter, Write as _};
use std::sync::Arc;
use tokio::task::JoinError;

/// The buffer for sending a photo, in bytes.
const BUFFER_BYTES: usize = 128 << 10;

pub(super) async fn handle(
    server: Arc<Server>,
    device: i64,
    route: Route,
    request: Request<Incoming>,
) -> Response<ResponseBody> {
    match route {
        Route::Listing => listing(server, device, &request).await,
        Route::PullLines(segment, from) => send_lines(server, device, segment, from).await,
        Route::PushLines(segment) => receive_lines(server, device, segment, request).await,
        Route::PullPhoto(photo) => send_photo(server, device, photo).await,
        Route::PushPhoto(photo) => receive_photo(server, device, photo, request).await,
        Route::Finish => finish(server, device).await,
    }
}

async fn listing(
    server: Arc<Server>,
    device: i64,
    request: &Request<Incoming>,
) -> Response<ResponseBody> {
    let tag = request.headers().get(header::IF_NONE_MATCH);
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
        Ok(None) => empty_response(StatusCode::NOT_MODIFIED),
        Err(response) => response,
    }
}

fn bare_tag(tag: &str) -> String {
    tag.trim().trim_matches('"').to_owned()
}

fn listing_response(listing: &Listing) -> Response<ResponseBody> {
    let mut response = Response::new(wire::write_listing(listing).into_bytes().into());
    let state = listing.state.as_deref();
    let tag = state.and_then(|state| HeaderValue::from_str(&format!("\"{state}\"")).ok());
    if let Some(tag) = tag {
        response.headers_mut().insert(header::ETAG, tag);
    }
    response
}

async fn send_lines(
    server: Arc<Server>,
    device: i64,
    segment: Segment,
    from: u64,
) -> Response<ResponseBody> {
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
            Response::new(lines.into())
        }
        Err(response) => response,
    }
}

async fn receive_lines(
    server: Arc<Server>,
    device: i64,
    segment: Segment,
    request: Request<Incoming>,
) -> Response<ResponseBody> {
    let _permit = server.chunk_requests.acquire(device).await;
    let lines = match read_all(request.into_body(), MAX_CHUNK_BYTES, read_limits(&server)).await {
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
            empty_response(StatusCode::NO_CONTENT)
        }
        Err(response) => response,
    }
}

async fn send_photo(server: Arc<Server>, device: i64, photo: PhotoHash) -> Response<ResponseBody> {
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

async fn receive_photo(
    server: Arc<Server>,
    device: i64,
    photo: PhotoHash,
    request: Request<Incoming>,
) -> Response<ResponseBody> {
    let _permit = server.photo_requests.acquire(device).await;
    let (sender, mut reader) = request_pipe();
    let body = request.into_body();
    let bytes = hyper::body::Body::size_hint(&body).lower();
    let worker = server.clone();
    let stored = blocking(&server, move || {
        NotebookRemote(&worker.notebook).push_photo(&photo, bytes, &mut reader)
    });
    let received = forward(body, LARGEST_FILE_BYTES, read_limits(&server), sender);
    let (received, stored) = tokio::join!(received, stored);
    match (received, stored) {
        (Err(error), _) => body_error_response(error),
        (Ok(()), Err(response)) => response,
        (Ok(()), Ok(())) => {
            server.update_counts(device, |counts| counts.photos_pushed += 1);
            empty_response(StatusCode::NO_CONTENT)
        }
    }
}

async fn finish(server: Arc<Server>, device: i64) -> Response<ResponseBody> {
    let worker = server.clone();
    let recorded = blocking(&server, move || {
        worker.record_finish(device);
        Ok(())
    });
    recorded.await.map_or_else(
        |response| response,
        |()| empty_response(StatusCode::NO_CONTENT),
    )
}

/// Runs blocking work on a blocking thread. Errors are returned as the response to send.
async fn blocking<T: Send + 'static>(
    server: &Arc<Server>,
    work: impl FnOnce() -> Result<T, SyncError> + Send + 'static,
) -> Result<T, Response<ResponseBody>> {
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(done)) => Ok(done),
        Ok(Err(error)) => Err(error_response(server, error)),
        Err(error) => Err(panic_response(server, &error)),
    }
}

fn panic_response(server: &Server, error: &JoinError) -> Response<ResponseBody> {
    server.report_failure(error);
    empty_response(StatusCode::INTERNAL_SERVER_ERROR)
}

/// Converts an error to a response. The device gets what it can act on; other errors are reported
/// on this computer.
fn error_response(server: &Server, error: SyncError) -> Response<ResponseBody> {
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
            empty_response(StatusCode::INSUFFICIENT_STORAGE)
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

fn body_error_response(error: BodyError) -> Response<ResponseBody> {
    match error {
        BodyError::TooLarge => sentence_response(StatusCode::PAYLOAD_TOO_LARGE, "it is too large"),
        BodyError::TooSlow => {
            sentence_response(StatusCode::REQUEST_TIMEOUT, "it was sent too slowly")
        }
        BodyError::Broken => {
            sentence_response(StatusCode::BAD_REQUEST, "it was not sent completely")
        }
    }
}

fn sentence_response(status: StatusCode, sentence: &str) -> Response<ResponseBody> {
    let mut response = Response::new(sentence.as_bytes().to_vec().into());
    *response.status_mut() = status;
    response
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
