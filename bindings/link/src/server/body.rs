//! Bodies between the network, which does not block, and threads that do.

use http_body_util::BodyExt as _;
use hyper::body::{Body, Bytes, Frame, Incoming};
use std::convert::Infallible;
use std::io::{self, Read, Write};
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::sync::mpsc;
use tokio::time::{Instant, timeout, timeout_at};

/// How many pieces may wait between both sides.
const PIECES: usize = 4;

/// How long a body may take.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pace {
    /// How long it may stand still.
    pub still: Duration,
    /// Bytes per second that it must at least have.
    pub slowest: u64,
}

/// Why a body did not come whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Short {
    TooLarge,
    TooSlow,
    Broken,
}

/// Takes a body piece by piece.
struct Pieces {
    body: Incoming,
    left: u64,
    still: Duration,
    until: Instant,
}

impl Pieces {
    /// The pieces of a body that may have `most` bytes.
    fn of(body: Incoming, most: u64, pace: Pace) -> Result<Self, Short> {
        let announced = body.size_hint().lower();
        if announced > most {
            return Err(Short::TooLarge);
        }
        let bytes = body.size_hint().upper().unwrap_or(most);
        let until = Instant::now() + pace.still + Duration::from_secs(bytes / pace.slowest.max(1));
        Ok(Self {
            body,
            left: most,
            still: pace.still,
            until,
        })
    }

    async fn next(&mut self) -> Result<Option<Bytes>, Short> {
        loop {
            let frame = timeout_at(self.until, timeout(self.still, self.body.frame())).await;
            let Ok(Ok(frame)) = frame else {
                return Err(Short::TooSlow);
            };
            let Some(frame) = frame else {
                return Ok(None);
            };
            let Ok(piece) = frame.map_err(|_| Short::Broken)?.into_data() else {
                continue;
            };
            let bytes = piece.len() as u64;
            self.left = self.left.checked_sub(bytes).ok_or(Short::TooLarge)?;
            return Ok(Some(piece));
        }
    }
}

/// All of a body, which may have `most` bytes.
pub(super) async fn whole(body: Incoming, most: u64, pace: Pace) -> Result<Vec<u8>, Short> {
    let mut pieces = Pieces::of(body, most, pace)?;
    let mut all = Vec::new();
    while let Some(piece) = pieces.next().await? {
        all.extend_from_slice(&piece);
    }
    Ok(all)
}

/// Passes a body on to a thread that reads it. Where that thread wants no more, the rest is passed over, so that the other
/// end is there to hear the answer.
pub(super) async fn pass_on(
    body: Incoming,
    most: u64,
    pace: Pace,
    to: mpsc::Sender<Piece>,
) -> Result<(), Short> {
    let mut pieces = Pieces::of(body, most, pace)?;
    while let Some(piece) = pieces.next().await? {
        let _ = to.send(Piece::Some(piece)).await;
    }
    let _ = to.send(Piece::End).await;
    Ok(())
}

/// A piece of a body, or its end: where the network just falls silent, there is no end.
pub(super) enum Piece {
    Some(Bytes),
    End,
}

/// The two ends of a passage for a body that comes in.
pub(super) fn inward() -> (mpsc::Sender<Piece>, Inward) {
    let (sender, receiver) = mpsc::channel(PIECES);
    let inward = Inward {
        receiver,
        piece: Bytes::new(),
        ended: false,
    };
    (sender, inward)
}

/// A body as a thread reads it.
pub(super) struct Inward {
    receiver: mpsc::Receiver<Piece>,
    piece: Bytes,
    ended: bool,
}

impl Read for Inward {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        while self.piece.is_empty() && !self.ended {
            match self.receiver.blocking_recv() {
                Some(Piece::Some(piece)) => self.piece = piece,
                Some(Piece::End) => self.ended = true,
                None => return Err(io::ErrorKind::UnexpectedEof.into()),
            }
        }
        let bytes = into.len().min(self.piece.len());
        into[..bytes].copy_from_slice(&self.piece.split_to(bytes));
        Ok(bytes)
    }
}

/// The two ends of a passage for a body that goes out.
pub(super) fn outward() -> (Outward, Going) {
    let (sender, receiver) = mpsc::channel(PIECES);
    (Outward { sender }, Going::Pieces(receiver))
}

/// Where a thread writes a body.
pub(super) struct Outward {
    sender: mpsc::Sender<io::Result<Bytes>>,
}

impl Outward {
    /// Breaks the body off, so that nobody takes it for whole.
    pub fn break_off(&self) {
        let _ = self.sender.blocking_send(Err(io::ErrorKind::Other.into()));
    }
}

impl Write for Outward {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let sent = self.sender.blocking_send(Ok(Bytes::copy_from_slice(bytes)));
        sent.map_err(|_| io::Error::from(io::ErrorKind::BrokenPipe))?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The body of an answer.
pub(super) enum Going {
    /// All of it, until it is taken.
    Whole(Option<Bytes>),
    /// As a thread writes it.
    Pieces(mpsc::Receiver<io::Result<Bytes>>),
}

impl From<Vec<u8>> for Going {
    fn from(bytes: Vec<u8>) -> Self {
        Self::Whole(Some(bytes.into()).filter(|bytes: &Bytes| !bytes.is_empty()))
    }
}

impl Body for Going {
    type Data = Bytes;
    type Error = io::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<io::Result<Frame<Bytes>>>> {
        match &mut *self {
            Self::Whole(bytes) => Poll::Ready(bytes.take().map(|bytes| Ok(Frame::data(bytes)))),
            Self::Pieces(receiver) => receiver
                .poll_recv(context)
                .map(|piece| piece.map(|piece| piece.map(Frame::data))),
        }
    }

    fn is_end_stream(&self) -> bool {
        matches!(self, Self::Whole(None))
    }

    fn size_hint(&self) -> hyper::body::SizeHint {
        match self {
            Self::Whole(bytes) => {
                hyper::body::SizeHint::with_exact(bytes.as_ref().map_or(0, Bytes::len) as u64)
            }
            Self::Pieces(_) => hyper::body::SizeHint::default(),
        }
    }
}

/// An answer to a request; there is always one.
pub(super) type Answer = Result<hyper::Response<Going>, Infallible>;
