//! A part of a run, whose error crosses as what it is: the pages only need its sentence.

use crate::error::NotebookError;
use crate::guard::guard;
use holebook_core::exchange::{Report, Watch};
use holebook_core::notebook::Notebook;
use holebook_screens::meeting::{Done, Piece, Way};
use std::sync::{Arc, OnceLock};

/// What a part of a run comes to.
pub(crate) type Outcome = Result<Report, NotebookError>;

/// Why a part failed, once it has.
pub(crate) type Failed = Arc<OnceLock<NotebookError>>;

/// What a part works with.
pub(crate) struct Doing<'a> {
    pub notebook: &'a Notebook,
    pub watch: &'a Watch<'a>,
}

/// A part of a run that is not begun yet.
pub(crate) struct Todo {
    piece: Piece,
    failed: Failed,
}

impl Todo {
    /// Work on the notebook. A panic in it is an error that names the call.
    pub fn new(
        notebook: Arc<Notebook>,
        way: Way,
        name: String,
        work: impl FnOnce(&Doing<'_>) -> Outcome + Send + 'static,
    ) -> Self {
        let failed = Failed::default();
        let told = Arc::clone(&failed);
        let piece = Piece::new(way, name, move |watch| {
            let doing = Doing {
                notebook: &notebook,
                watch,
            };
            let done = guard("begin_exchange", || work(&doing));
            done.map(Done::Moved).map_err(|error| {
                let sentence = error.to_string();
                // Nobody else tells it.
                let _ = told.set(error);
                sentence
            })
        });
        Self { piece, failed }
    }

    /// For the worker, and for whoever wants to know why it failed.
    pub fn apart(self) -> (Piece, Failed) {
        (self.piece, self.failed)
    }
}
