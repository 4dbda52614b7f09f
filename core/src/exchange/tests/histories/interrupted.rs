//! Cutting an exchange off: a shelf that can be reached so many times, and a notebook that can be changed so many times.

use super::plan::{At, Cut};
use crate::exchange::{ExchangeError, Shelf, Stretch, Survey};
use crate::notebook::Notebook;
use crate::photo::PhotoHash;
use std::io::{Read, Write};
use std::sync::atomic::{AtomicU8, Ordering};

/// A shelf that after so many calls cannot be reached any more.
pub struct Interrupted<'a> {
    pub shelf: &'a dyn Shelf,
    left: AtomicU8,
    reply: bool,
}

impl<'a> Interrupted<'a> {
    pub fn new(shelf: &'a dyn Shelf, cut: Option<Cut>) -> Self {
        let (left, reply) = match cut {
            Some(Cut {
                at: At::Shelf,
                after,
                ..
            }) => (after, false),
            Some(Cut {
                at: At::Reply,
                after,
                ..
            }) => (after, true),
            _ => (u8::MAX, false),
        };
        Self {
            shelf,
            left: AtomicU8::new(left),
            reply,
        }
    }

    fn call<T>(&self, call: impl FnOnce() -> Result<T, ExchangeError>) -> Result<T, ExchangeError> {
        let left = self
            .left
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, |left| {
                left.checked_sub(1)
            });
        let broken = || ExchangeError::Unreachable {
            shelf: self.shelf.name(),
            detail: "the test cut it off".to_owned(),
        };
        match left {
            Err(_) => Err(broken()),
            Ok(1) if self.reply => call().and_then(|_| Err(broken())),
            Ok(_) => call(),
        }
    }
}

impl Shelf for Interrupted<'_> {
    fn id(&self) -> String {
        self.shelf.id()
    }

    fn name(&self) -> String {
        self.shelf.name()
    }

    fn survey(&self, known: Option<&str>) -> Result<Option<Survey>, ExchangeError> {
        self.call(|| self.shelf.survey(known))
    }

    fn lines(&self, stretch: &Stretch, from: u64) -> Result<Vec<u8>, ExchangeError> {
        self.call(|| self.shelf.lines(stretch, from))
    }

    fn leave_lines(&self, stretch: &Stretch, lines: &[u8]) -> Result<(), ExchangeError> {
        self.call(|| self.shelf.leave_lines(stretch, lines))
    }

    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError> {
        self.call(|| self.shelf.photo(photo, into))
    }

    fn leave_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), ExchangeError> {
        self.call(|| self.shelf.leave_photo(photo, bytes, from))
    }

    fn doubt(&self, file: &str) {
        self.shelf.doubt(file);
    }

    fn finish(&self) -> Result<(), ExchangeError> {
        self.call(|| self.shelf.finish())
    }
}

/// From now on so many changes of the notebook reach the disk, and none after them.
pub fn let_change(notebook: &Notebook, times: u8) {
    let mut left = times;
    let refuse = move || {
        let refused = left == 0;
        left = left.saturating_sub(1);
        refused
    };
    let hooked = notebook.connection().commit_hook(Some(refuse));
    hooked.expect("a hook");
}

/// All changes reach the disk again.
pub fn let_change_freely(notebook: &Notebook) {
    let hooked = notebook.connection().commit_hook(None::<fn() -> bool>);
    hooked.expect("a hook");
}
