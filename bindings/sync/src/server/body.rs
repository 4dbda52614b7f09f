//! Request and response bodies, passed between async connections and blocking threads.

use http_body_util::BodyExt as _;
use hyper::body::{Body, Bytes, Frame, Incoming};
use std::convert::Infallible;
use std::io::{self, Read, Write};
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::sync::mpsc;
use tokio::time::{Instant, timeout, timeout_at};

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

/// Why a request body could not be read completely.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum BodyError {
    TooLarge,
    TooSlow,
    Broken,
}

/// Reads a body chunk by chunk within its limits.
struct BodyFrames {
    body: Incoming,
    remaining: u64,
    idle_timeout: Duration,
    deadline: Instant,
}

impl BodyFrames {
    /// Starts reading a body of at most `max_bytes`.
    ///
    /// # Errors
    /// If its announced length is more than that.
    fn new(body: Incoming, max_bytes: u64, limits: ReadLimits) -> Result<Self, BodyError> {
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
}

/// Reads a whole body of at most `max_bytes`.
///
/// # Errors
/// If it is too large, too slow, or incomplete.
pub(super) async fn read_all(
    body: Incoming,
    max_bytes: u64,
    limits: ReadLimits,
) -> Result<Vec<u8>, BodyError> {
    let mut frames = BodyFrames::new(body, max_bytes, limits)?;
    let mut all = Vec::new();
    while let Some(chunk) = frames.next().await? {
        all.extend_from_slice(&chunk);
    }
    Ok(all)
}

/// Forwards a body to the thread that reads from the pipe. If that thread stops reading, the rest
/// is discarded, so that the client can finish sending and receive the response.
///
/// # Errors
/// If the body is too large, too slow, or incomplete.
pub(super) async fn forward(
    body: Incoming,
    max_bytes: u64,
    limits: ReadLimits,
    to: mpsc::Sender<BodyChunk>,
) -> Result<(), BodyError> {
    let mut frames = BodyFrames::new(body, max_bytes, limits)?;
    while let Some(chunk) = frames.next().await? {
        let _ = to.send(BodyChunk::Data(chunk)).await;
    }
    let _ = to.send(BodyChunk::End).await;
    Ok(())
}

/// A chunk of a body, or its end. A lost connection sends no `End`, so it is not taken for one.
pub(super) enum BodyChunk {
    Data(Bytes),
    End,
}

/// Creates a pipe for a request body: [`forward`] writes to it, a blocking thread reads from it.
pub(super) fn request_pipe() -> (mpsc::Sender<BodyChunk>, BodyReader) {
    let (sender, receiver) = mpsc::channel(CHANNEL_CHUNKS);
    let reader = BodyReader {
        receiver,
        chunk: Bytes::new(),
        ended: false,
    };
    (sender, reader)
}

/// The reading end of a request pipe, for a blocking thread.
pub(super) struct BodyReader {
    receiver: mpsc::Receiver<BodyChunk>,
    chunk: Bytes,
    ended: bool,
}

impl Read for BodyReader {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        while self.chunk.is_empty() && !self.ended {
            match self.receiver.blocking_recv() {
                Some(BodyChunk::Data(chunk)) => self.chunk = chunk,
                Some(BodyChunk::End) => self.ended = true,
                None => return Err(io::ErrorKind::UnexpectedEof.into()),
            }
        }
        let bytes = into.len().min(self.chunk.len());
        into[..bytes].copy_from_slice(&self.chunk.split_to(bytes));
        Ok(bytes)
    }
}

/// Creates a pipe for a response body that a blocking thread writes.
pub(super) fn response_pipe() -> (BodyWriter, ResponseBody) {
    let (sender, receiver) = mpsc::channel(CHANNEL_CHUNKS);
    (BodyWriter { sender }, ResponseBody::Stream(receiver))
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

/// The body of a response.
pub(super) enum ResponseBody {
    /// The whole body; `None` if it is empty or was sent.
    Full(Option<Bytes>),
    /// The chunks that a thread writes.
    Stream(mpsc::Receiver<io::Result<Bytes>>),
}

impl From<Vec<u8>> for ResponseBody {
    fn from(bytes: Vec<u8>) -> Self {
        Self::Full(Some(bytes.into()).filter(|bytes: &Bytes| !bytes.is_empty()))
    }
}

impl Body for ResponseBody {
    type Data = Bytes;
    type Error = io::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<io::Result<Frame<Bytes>>>> {
        match &mut *self {
            Self::Full(bytes) => Poll::Ready(bytes.take().map(|bytes| Ok(Frame::data(bytes)))),
            Self::Stream(receiver) => receiver
                .poll_recv(context)
                .map(|chunk| chunk.map(|chunk| chunk.map(Frame::data))),
        }
    }

    fn is_end_stream(&self) -> bool {
        matches!(self, Self::Full(None))
    }

    fn size_hint(&self) -> hyper::body::SizeHint {
        match self {
            Self::Full(bytes) => {
                hyper::body::SizeHint::with_exact(bytes.as_ref().map_or(0, Bytes::len) as u64)
            }
            Self::Stream(_) => hyper::body::SizeHint::default(),
        }
    }
}

/// Returns a response without a body.
pub(super) fn empty_response(status: hyper::StatusCode) -> hyper::Response<ResponseBody> {
    let mut response = hyper::Response::new(ResponseBody::Full(None));
    *response.status_mut() = status;
    response
}

/// The response to a request. Errors are responses too.
pub(super) type HttpResult = Result<hyper::Response<ResponseBody>, Infallible>;
