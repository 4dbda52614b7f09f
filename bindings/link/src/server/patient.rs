//! A stream that ends where the other end stands still for too long with what it is given.

use std::future::Future as _;
use std::io;
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep, sleep};

/// A stream of which no write waits longer than it may. How long a read may wait depends on what is read, so others see to
/// that.
pub(super) struct Patient<S> {
    stream: S,
    patience: Duration,
    /// Runs while a write waits.
    waiting: Option<Pin<Box<Sleep>>>,
}

impl<S> Patient<S> {
    pub fn new(stream: S, patience: Duration) -> Self {
        Self {
            stream,
            patience,
            waiting: None,
        }
    }

    /// Passes on what a write came to; one that waits for too long is an error.
    fn passed<T>(
        &mut self,
        context: &mut Context<'_>,
        written: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if written.is_ready() {
            self.waiting = None;
            return written;
        }
        let patience = self.patience;
        let waiting = self
            .waiting
            .get_or_insert_with(|| Box::pin(sleep(patience)));
        ready!(waiting.as_mut().poll(context));
        waiting.as_mut().reset(Instant::now() + patience);
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Patient<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, into)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Patient<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.passed(context, written)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let written = Pin::new(&mut self.stream).poll_flush(context);
        self.passed(context, written)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let written = Pin::new(&mut self.stream).poll_shutdown(context);
        self.passed(context, written)
    }
}
