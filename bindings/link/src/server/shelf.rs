//! What paired devices ask of the shelf.

use super::Served;
use super::body::{Going, Outward, Pace, Short, inward, outward, pass_on, whole};
use super::route::{Route, bare};
use crate::wire::{self, LINES_BYTES};
use holebook_core::exchange::{ExchangeError, NotebookShelf, Shelf as _, Stretch, Survey};
use holebook_core::notebook::NotebookError;
use holebook_core::photo::{LARGEST_FILE_BYTES, PhotoError, PhotoHash};
use hyper::body::Incoming;
use hyper::header::{self, HeaderValue};
use hyper::{Request, Response, StatusCode};
use std::io::{BufWriter, Write as _};
use std::sync::Arc;
use tokio::task::JoinError;

/// How much of a photo goes over at once, in bytes.
const PIECE: usize = 128 << 10;

pub(super) async fn answer(
    served: Arc<Served>,
    device: i64,
    route: Route,
    request: Request<Incoming>,
) -> Response<Going> {
    match route {
        Route::Survey => survey(served, device, &request).await,
        Route::Lines(stretch, from) => lines(served, device, stretch, from).await,
        Route::LeaveLines(stretch) => leave_lines(served, device, stretch, request).await,
        Route::Photo(photo) => give_photo(served, device, photo).await,
        Route::LeavePhoto(photo) => leave_photo(served, device, photo, request).await,
        Route::Done => done(served, device).await,
    }
}

async fn survey(served: Arc<Served>, device: i64, request: &Request<Incoming>) -> Response<Going> {
    let tag = request.headers().get(header::IF_NONE_MATCH);
    let known = tag.and_then(|tag| tag.to_str().ok()).map(bare_tag);
    let working = served.clone();
    let surveyed = blocking(&served, move || {
        let survey = NotebookShelf(&working.notebook).survey(known.as_deref());
        if matches!(survey, Ok(None)) {
            // Nothing new on either side is the whole exchange.
            working.note_end(device);
        }
        survey
    });
    match surveyed.await {
        Ok(Some(survey)) => with_survey(&survey),
        Ok(None) => bare(StatusCode::NOT_MODIFIED),
        Err(response) => response,
    }
}

fn bare_tag(tag: &str) -> String {
    tag.trim().trim_matches('"').to_owned()
}

fn with_survey(survey: &Survey) -> Response<Going> {
    let mut response = Response::new(wire::write_survey(survey).into_bytes().into());
    let state = survey.state.as_deref();
    let tag = state.and_then(|state| HeaderValue::from_str(&format!("\"{state}\"")).ok());
    if let Some(tag) = tag {
        response.headers_mut().insert(header::ETAG, tag);
    }
    response
}

async fn lines(served: Arc<Served>, device: i64, stretch: Stretch, from: u64) -> Response<Going> {
    let _turn = served.lines.take(device).await;
    let working = served.clone();
    let read = blocking(&served, move || {
        NotebookShelf(&working.notebook).lines(&stretch, from)
    });
    match read.await {
        Ok(lines) => {
            served.count(device, |passed| passed.entries_taken += count(&lines));
            Response::new(lines.into())
        }
        Err(response) => response,
    }
}

async fn leave_lines(
    served: Arc<Served>,
    device: i64,
    stretch: Stretch,
    request: Request<Incoming>,
) -> Response<Going> {
    let _turn = served.lines.take(device).await;
    let lines = match whole(request.into_body(), LINES_BYTES, pace(&served)).await {
        Ok(lines) => lines,
        Err(short) => return cut_short(short),
    };
    let (working, entries) = (served.clone(), count(&lines));
    let left = blocking(&served, move || {
        NotebookShelf(&working.notebook).leave_lines(&stretch, &lines)
    });
    match left.await {
        Ok(()) => {
            served.count(device, |passed| passed.entries_brought += entries);
            bare(StatusCode::NO_CONTENT)
        }
        Err(response) => response,
    }
}

async fn give_photo(served: Arc<Served>, device: i64, photo: PhotoHash) -> Response<Going> {
    let turn = served.photos.take(device).await;
    let file = served.notebook.photos().original(&photo);
    let Ok(found) = tokio::fs::metadata(&file).await else {
        return said(StatusCode::UNPROCESSABLE_ENTITY, "it is not here");
    };
    let (writer, going) = outward();
    let working = served.clone();
    tokio::task::spawn_blocking(move || {
        write_photo(&working, device, photo, writer);
        drop(turn);
    });
    let mut response = Response::new(going);
    let length = HeaderValue::from(found.len());
    response
        .headers_mut()
        .insert(header::CONTENT_LENGTH, length);
    response
}

/// Writes a photo to whoever asked. That they went away is their affair.
fn write_photo(served: &Served, device: i64, photo: PhotoHash, writer: Outward) {
    let mut buffered = BufWriter::with_capacity(PIECE, writer);
    let written = NotebookShelf(&served.notebook).photo(&photo, &mut buffered);
    if written.is_ok() && buffered.flush().is_ok() {
        served.count(device, |passed| passed.photos_taken += 1);
        return;
    }
    let (writer, _) = buffered.into_parts();
    writer.break_off();
}

async fn leave_photo(
    served: Arc<Served>,
    device: i64,
    photo: PhotoHash,
    request: Request<Incoming>,
) -> Response<Going> {
    let _turn = served.photos.take(device).await;
    let (sender, mut reader) = inward();
    let body = request.into_body();
    let bytes = hyper::body::Body::size_hint(&body).lower();
    let working = served.clone();
    let left = blocking(&served, move || {
        NotebookShelf(&working.notebook).leave_photo(&photo, bytes, &mut reader)
    });
    let came = pass_on(body, LARGEST_FILE_BYTES, pace(&served), sender);
    let (came, left) = tokio::join!(came, left);
    match (came, left) {
        (Err(short), _) => cut_short(short),
        (Ok(()), Err(response)) => response,
        (Ok(()), Ok(())) => {
            served.count(device, |passed| passed.photos_brought += 1);
            bare(StatusCode::NO_CONTENT)
        }
    }
}

async fn done(served: Arc<Served>, device: i64) -> Response<Going> {
    let working = served.clone();
    let noted = blocking(&served, move || {
        working.note_end(device);
        Ok(())
    });
    noted
        .await
        .map_or_else(|response| response, |()| bare(StatusCode::NO_CONTENT))
}

/// Does what may block on a thread that may. What fails is an answer already.
async fn blocking<T: Send + 'static>(
    served: &Arc<Served>,
    work: impl FnOnce() -> Result<T, ExchangeError> + Send + 'static,
) -> Result<T, Response<Going>> {
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(done)) => Ok(done),
        Ok(Err(error)) => Err(refused(served, error)),
        Err(error) => Err(failed(served, &error)),
    }
}

fn failed(served: &Served, error: &JoinError) -> Response<Going> {
    served.fault(error);
    bare(StatusCode::INTERNAL_SERVER_ERROR)
}

/// Says why not. A device hears what concerns it; what concerns this computer is for the person at it.
fn refused(served: &Served, error: ExchangeError) -> Response<Going> {
    let full = matches!(
        error,
        ExchangeError::ShelfFull { .. }
            | ExchangeError::Notebook(NotebookError::StorageFull { .. })
            | ExchangeError::Photo(PhotoError::StorageFull { .. })
    );
    match error {
        ExchangeError::File(problem) => said(StatusCode::UNPROCESSABLE_ENTITY, &problem.why),
        error if full => {
            served.fault(error);
            bare(StatusCode::INSUFFICIENT_STORAGE)
        }
        ExchangeError::Notebook(NotebookError::Busy { .. }) => {
            said(StatusCode::SERVICE_UNAVAILABLE, "its notebook is busy")
        }
        error => {
            served.fault(error);
            let sentence = "its notebook could not be read or written; look at the shop computer";
            said(StatusCode::INTERNAL_SERVER_ERROR, sentence)
        }
    }
}

fn cut_short(short: Short) -> Response<Going> {
    match short {
        Short::TooLarge => said(StatusCode::PAYLOAD_TOO_LARGE, "it is too large for a shelf"),
        Short::TooSlow => said(StatusCode::REQUEST_TIMEOUT, "it came too slowly"),
        Short::Broken => said(StatusCode::BAD_REQUEST, "it did not come whole"),
    }
}

fn said(status: StatusCode, sentence: &str) -> Response<Going> {
    let mut response = Response::new(sentence.as_bytes().to_vec().into());
    *response.status_mut() = status;
    response
}

fn pace(served: &Served) -> Pace {
    Pace {
        still: served.limits.still,
        slowest: served.limits.slowest,
    }
}

/// How many lines there are.
fn count(lines: &[u8]) -> u64 {
    lines.iter().filter(|byte| **byte == b'\n').count() as u64
}
