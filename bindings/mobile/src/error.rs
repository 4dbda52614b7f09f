//! What can go wrong, as it crosses: which case it is, its facts, and one sentence for the person.

use holebook_core::notebook as core;

/// Why a call failed. Every case carries `reason`: one sentence that says what happened, where, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
#[uniffi::export(Display)]
pub enum NotebookError {
    /// A newer version of the program has written the notebook. Nothing was changed.
    #[error("{reason}")]
    Newer {
        /// The sentence for the person.
        reason: String,
        /// The notebook's folder.
        dir: String,
        /// The layout it has.
        theirs: i64,
        /// The newest layout that this version knows.
        ours: i64,
    },
    /// The folder holds something else. Nothing was changed.
    #[error("{reason}")]
    NotANotebook {
        /// The sentence for the person.
        reason: String,
        /// The folder or file.
        path: String,
    },
    /// The notebook's file is damaged. It is left as it is.
    #[error("{reason}")]
    Damaged {
        /// The sentence for the person.
        reason: String,
        /// The notebook's folder.
        dir: String,
    },
    /// The folder or a file in it cannot be written, or the folder cannot be made.
    #[error("{reason}")]
    NotWritable {
        /// The sentence for the person.
        reason: String,
        /// The notebook's folder.
        dir: String,
    },
    /// The disk is full. Nothing of the change was kept.
    #[error("{reason}")]
    StorageFull {
        /// The sentence for the person.
        reason: String,
        /// The notebook's folder.
        dir: String,
    },
    /// Another program kept the notebook busy for ten seconds.
    #[error("{reason}")]
    Busy {
        /// The sentence for the person.
        reason: String,
        /// The notebook's folder.
        dir: String,
    },
    /// There is nothing of that name.
    #[error("{reason}")]
    NoSuch {
        /// The sentence for the person.
        reason: String,
        /// What was asked for: casting, face, photo, hole or entry.
        what: String,
        /// Its name, as it was given.
        id: String,
    },
    /// What was to be recorded makes no sense. Nothing was recorded.
    #[error("{reason}")]
    Unfit {
        /// The sentence for the person.
        reason: String,
    },
    /// Lines that came from another notebook cannot be taken. Nothing was changed.
    #[error("{reason}")]
    NotTaken {
        /// The sentence for the person.
        reason: String,
    },
    /// A photo could not be brought in or found.
    #[error("{reason}")]
    Photo {
        /// The sentence for the person.
        reason: String,
    },
    /// The disk failed in a way that none of the others describes.
    #[error("{reason}")]
    Storage {
        /// The sentence for the person.
        reason: String,
        /// The notebook's folder.
        dir: String,
    },
    /// The notebook was shut down.
    #[error("{reason}")]
    Closed {
        /// The sentence for the person.
        reason: String,
    },
    /// A fault of the program itself. What was recorded before is safe.
    #[error("{reason}")]
    Internal {
        /// The sentence for the person.
        reason: String,
        /// The call that failed.
        call: String,
    },
}

#[uniffi::export]
impl NotebookError {
    /// The sentence for the person, whichever case it is.
    pub fn sentence(&self) -> String {
        self.to_string()
    }
}

impl NotebookError {
    /// The notebook was shut down.
    pub(crate) fn closed() -> Self {
        Self::Closed {
            reason: "the notebook was shut down; open it again".to_owned(),
        }
    }
}

impl From<core::NotebookError> for NotebookError {
    fn from(error: core::NotebookError) -> Self {
        use core::NotebookError as Core;
        let reason = error.to_string();
        let text = |path: std::path::PathBuf| path.to_string_lossy().into_owned();
        match error {
            Core::Newer { dir, theirs, ours } => Self::Newer {
                reason,
                dir: text(dir),
                theirs,
                ours,
            },
            Core::NotANotebook { path, why: _ } => Self::NotANotebook {
                reason,
                path: text(path),
            },
            Core::Damaged { dir, detail: _ } => Self::Damaged {
                reason,
                dir: text(dir),
            },
            Core::NotWritable { dir } => Self::NotWritable {
                reason,
                dir: text(dir),
            },
            Core::StorageFull { dir } => Self::StorageFull {
                reason,
                dir: text(dir),
            },
            Core::Busy { dir } => Self::Busy {
                reason,
                dir: text(dir),
            },
            Core::NoSuch { what, id } => Self::NoSuch {
                reason,
                what: what.to_owned(),
                id,
            },
            Core::Unfit(_) => Self::Unfit { reason },
            Core::NotTaken(_) => Self::NotTaken { reason },
            Core::Photo(_) => Self::Photo { reason },
            Core::Storage { dir, detail: _ } => Self::Storage {
                reason,
                dir: text(dir),
            },
        }
    }
}
