//! Request and response bodies, passed between async connections and blocking threads.

use axum::body::{Body, Bytes, HttpBody as _};
use futures_util::{Stream, TryStreamExt as _, stream};
use http_body_util::BodyExt as _;
use std::io::{self, Read, Write};
use std::time::Duration;
use tokio::sync::mpsc;
use tokio::time::{Instant, timeout, timeout_at};
use tokio_util::io::{StreamReader, SyncIoBridge};

/// The most chunks buffered between a connection and a thread.
const CHANNEL_CHUNKS: usize = 4;

/// How slowly a request body may arrive.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReadLimits {
    /// The longest wait for the next bytes.
    pub idle_timeout: Duration,
    /// The minimum average rate.
    pub min_bytes_per_second: u64,
}

/// Why a request body could not be read completely. The sentence is the response to the device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(super) enum BodyError {
    #[error("it is too large")]
    TooLarge,
    #[error("it was sent too slowly")]
    TooSlow,
    #[error("it was not sent completely")]
    Broken,
}

/// A body that is read chunk by chunk within its limits.
struct LimitedBody {
    body: Body,
    remaining: u64,
    idle_timeout: Duration,
    deadline: Instant,
    error: Option<BodyError>,
}

impl LimitedBody {
    /// Starts reading a body of at most `max_bytes`.
    ///
    /// # Errors
    /// If its announced length is more than that.
    fn new(body: Body, max_bytes: u64, limits: ReadLimits) -> Result<Self, BodyError> {
        let announced = body.size_hint().lower();
        if announced > max_bytes {
            return Err(BodyError::TooLarge);
        }
        let bytes = body.size_hint().upper().unwrap_or(max_bytes);
        let slowest = Duration::from_secs(bytes / limits.min_bytes_per_second.max(1));
        let deadline = Instant::now() + limits.idle_timeout + slowest;
        Ok(Self {
            body,
            remaining: max_bytes,
            idle_timeout: limits.idle_timeout,
            deadline,
            error: None,
        })
    }

    async fn next(&mut self) -> Result<Option<Bytes>, BodyError> {
        loop {
            let frame =
                timeout_at(self.deadline, timeout(self.idle_timeout, self.body.frame())).await;
            let Ok(Ok(frame)) = frame else {
                return Err(BodyError::TooSlow);
            };
            let Some(frame) = frame else {
                return Ok(None);
            };
            let Ok(chunk) = frame.map_err(|_| BodyError::Broken)?.into_data() else {
                continue;
            };
            let bytes = chunk.len() as u64;
            self.remaining = self
                .remaining
                .checked_sub(bytes)
                .ok_or(BodyError::TooLarge)?;
            return Ok(Some(chunk));
        }
    }

    /// Returns the chunks. After an error every further one is that error, never the end.
    fn into_stream(self) -> impl Stream<Item = Result<Bytes, BodyError>> {
        stream::unfold(self, |mut body| async {
            let next = match body.error {
                Some(error) => Err(error),
                None => body.next().await,
            };
            body.error = next.as_ref().err().copied();
            next.transpose().map(|chunk| (chunk, body))
        })
    }
}

/// Reads a whole body of at most `max_bytes`.
///
/// # Errors
/// If it is too large, too slow, or incomplete.
pub(super) async fn read_all(
    body: Body,
    max_bytes: u64,
    limits: ReadLimits,
) -> Result<Vec<u8>, BodyError> {
    let chunks = LimitedBody::new(body, max_bytes, limits)?.into_stream();
    let append = |mut all: Vec<u8>, chunk: Bytes| async move {
        all.extend_from_slice(&chunk);
        Ok(all)
    };
    chunks.try_fold(Vec::new(), append).await
}

/// Reads a body of at most `max_bytes` on a blocking thread. If `work` does not read all of it, the
/// rest is discarded, so that the client can finish sending and receive the response.
///
/// Call it in the runtime; the returned function blocks.
///
/// # Errors
/// If the body is too large, too slow, or incomplete, whatever `work` returned.
pub(super) fn reading<T>(
    body: Body,
    max_bytes: u64,
    limits: ReadLimits,
    work: impl FnOnce(&mut dyn Read) -> T,
) -> Result<impl FnOnce() -> Result<T, BodyError>, BodyError> {
    let chunks = LimitedBody::new(body, max_bytes, limits)?.into_stream();
    let reader = StreamReader::new(Box::pin(chunks.map_err(io::Error::other)));
    let mut reader = SyncIoBridge::new(reader);
    Ok(move || {
        let done = work(&mut reader);
        let rest = io::copy(&mut reader, &mut io::sink());
        match rest.map_err(|error| error.downcast().unwrap_or(BodyError::Broken)) {
            Ok(_) => Ok(done),
            Err(error) => Err(error),
        }
    })
}

/// Creates a pipe for a response body that a blocking thread writes.
pub(super) fn response_pipe() -> (BodyWriter, Body) {
    let (sender, mut receiver) = mpsc::channel(CHANNEL_CHUNKS);
    let chunks = stream::poll_fn(move |context| receiver.poll_recv(context));
    (BodyWriter { sender }, Body::from_stream(chunks))
}

/// The writing end of a response pipe, for a blocking thread.
pub(super) struct BodyWriter {
    sender: mpsc::Sender<io::Result<Bytes>>,
}

impl BodyWriter {
    /// Aborts the response, so that the client does not take it for complete.
    pub fn abort(&self) {
        let _ = self.sender.blocking_send(Err(io::ErrorKind::Other.into()));
    }
}

impl Write for BodyWriter {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let sent = self.sender.blocking_send(Ok(Bytes::copy_from_slice(bytes)));
        sent.map_err(|_| io::Error::from(io::ErrorKind::BrokenPipe))?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
