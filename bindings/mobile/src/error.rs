//! What can go wrong, as it crosses: which case it is, its facts, and one sentence for the person.

use holebook_core::exchange::{BundleError, ExchangeError};
use holebook_core::notebook as core;
use holebook_core::photo::PhotoError;
use holebook_link::LinkError;
use std::path::Path;

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
    /// Somebody has the notebook open, and what was asked can only be done alone: shut it down first.
    #[error("{reason}")]
    OpenElsewhere {
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
    /// What was to be recorded or worked out makes no sense. Nothing was recorded.
    #[error("{reason}")]
    Unfit {
        /// The sentence for the person.
        reason: String,
    },
    /// What was written is none of what was asked for: no length, thread, grade or metal that is known here.
    #[error("{reason}")]
    Unreadable {
        /// The sentence for the person, with what to write instead.
        reason: String,
        /// What was asked for: length, thread, grade, metal, drill, pitch.
        what: String,
        /// What was written.
        asked: String,
    },
    /// The shelf of an exchange cannot be reached, read or written. What was moved by then stays.
    #[error("{reason}")]
    Shelf {
        /// The sentence for the person.
        reason: String,
        /// The shelf's name, or the file on it.
        shelf: String,
        /// What is wrong, so that a program can offer the right help.
        trouble: ShelfTrouble,
    },
    /// An exchange is under way already, begun by a call or by a page. Wait until it is over, or end it.
    #[error("{reason}")]
    UnderWay {
        /// The sentence for the person.
        reason: String,
    },
    /// Pairing with a shop computer, or what is kept of it.
    #[error("{reason}")]
    Pairing {
        /// The sentence for the person.
        reason: String,
        /// What is wrong, so that a program can offer the right help.
        trouble: PairingTrouble,
    },
    /// A bundle could not be written, or not be taken in. Neither the notebook nor any file has changed.
    #[error("{reason}")]
    Bundle {
        /// The sentence for the person.
        reason: String,
        /// What is wrong, so that a program can offer the right help.
        trouble: BundleTrouble,
    },
    /// Whoever watched an exchange ended it. What was moved by then stays.
    #[error("{reason}")]
    Stopped {
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
        /// What is wrong with it, so that a program can offer the right help.
        flaw: PhotoFlaw,
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

/// What is wrong with a shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum ShelfTrouble {
    /// It is not there.
    NotThere,
    /// It has no room left.
    Full,
    /// It cannot be written.
    NotWritable,
    /// It cannot be reached, or the way to it broke.
    Unreachable,
    /// It does not let this device in, or is not the one that it was paired with.
    NotLetIn,
    /// It failed in another way.
    Failed,
}

/// What is wrong with pairing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum PairingTrouble {
    /// What was typed or scanned is no pairing code; the sentence says where it is wrong.
    CodeUnreadable,
    /// The shop computer does not know the code.
    CodeUnknown,
    /// A device has paired with the code already.
    CodeUsed,
    /// The code is too old, or was withdrawn.
    CodeOver,
    /// The shop computer has had too many wrong codes, from whomever, and waits for a minute.
    TooManyTries,
    /// Another computer answers in its place. It was told nothing.
    WrongKey,
    /// The shop computer is not reached.
    NotReached,
    /// This device is not paired with that shop computer.
    NotPaired,
    /// The name of this device in the settings is too long for pairing.
    Name,
    /// What is kept of pairings cannot be read or written.
    NotKept,
    /// It failed in another way.
    Failed,
}

/// What is wrong with a bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum BundleTrouble {
    /// A file of that name is there already.
    Exists,
    /// There is nothing to write.
    Nothing,
    /// The notebook holds more than fits one bundle.
    TooMuch,
    /// There is no room where it was to be written.
    NoRoom,
    /// It cannot be written, for another reason than room.
    NotWritten,
    /// The file cannot be read.
    Unreadable,
    /// The file is no bundle, or not a sound one.
    Unsound,
}

impl BundleTrouble {
    fn of(error: &BundleError) -> Self {
        match error {
            BundleError::Exists { .. } => Self::Exists,
            BundleError::Nothing { .. } => Self::Nothing,
            BundleError::TooMuch => Self::TooMuch,
            BundleError::NoRoom { .. } => Self::NoRoom,
            BundleError::NotWritten { .. } | BundleError::OnlyRead { .. } => Self::NotWritten,
            BundleError::Unreadable { .. } => Self::Unreadable,
            BundleError::Unsound { .. } => Self::Unsound,
        }
    }
}

/// What is wrong with a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum PhotoFlaw {
    /// The file cannot be read, or is not there.
    Unreadable,
    /// It is a folder or something else that is no file.
    NotAFile,
    /// It is empty.
    Empty,
    /// It has more bytes than a photo may have.
    FileTooLarge,
    /// It is a HEIC photo. A phone can make a JPEG of it.
    Heic,
    /// It is a picture of another kind that is not read here.
    OtherFormat,
    /// It is no picture.
    NotAPicture,
    /// It ends before the picture does.
    CutShort,
    /// It is damaged.
    Damaged,
    /// It is a JPEG of a rare kind.
    RareJpeg,
    /// It says that it has no pixels.
    NoPixels,
    /// It has more pixels than a photo may have.
    TooManyPixels,
    /// The notebook's folder of photos cannot be used.
    Storage,
    /// The notebook knows it and has not its file; an exchange brings it.
    Missing,
    /// The notebook's file of it has changed.
    NotAsNamed,
}

impl PhotoFlaw {
    /// The flaw; where it is none of the photo's but the disk is full, the place that is.
    fn of(error: &PhotoError) -> Result<Self, &Path> {
        Ok(match error {
            PhotoError::Unreadable { .. } => Self::Unreadable,
            PhotoError::NotAFile { .. } => Self::NotAFile,
            PhotoError::Empty { .. } => Self::Empty,
            PhotoError::FileTooLarge { .. } => Self::FileTooLarge,
            PhotoError::Heic { .. } => Self::Heic,
            PhotoError::OtherFormat { .. } => Self::OtherFormat,
            PhotoError::NotAPicture { .. } => Self::NotAPicture,
            PhotoError::CutShort { .. } => Self::CutShort,
            PhotoError::Damaged { .. } => Self::Damaged,
            PhotoError::RareJpeg { .. } => Self::RareJpeg,
            PhotoError::NoPixels { .. } => Self::NoPixels,
            PhotoError::TooManyPixels { .. } => Self::TooManyPixels,
            PhotoError::Storage { .. } => Self::Storage,
            PhotoError::Missing { .. } => Self::Missing,
            PhotoError::NotAsNamed { .. } => Self::NotAsNamed,
            PhotoError::StorageFull { place } => return Err(place),
        })
    }
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

    /// What is wrong with the shelf, where it is the shelf that is in trouble.
    pub(crate) fn shelf_trouble(&self) -> Option<ShelfTrouble> {
        match self {
            Self::Shelf { trouble, .. } => Some(*trouble),
            _ => None,
        }
    }

    /// There is nothing of that name.
    pub(crate) fn no_such(what: &'static str, id: String) -> Self {
        core::NotebookError::NoSuch { what, id }.into()
    }

    /// What was written is no such thing; `why` says so in a sentence.
    pub(crate) fn unreadable(what: &str, asked: String, why: &impl std::fmt::Display) -> Self {
        Self::Unreadable {
            reason: why.to_string(),
            what: what.to_owned(),
            asked,
        }
    }

    /// What was asked makes no sense; `why` says so in a sentence.
    pub(crate) fn unfit(why: impl std::fmt::Display) -> Self {
        Self::Unfit {
            reason: why.to_string(),
        }
    }
}

impl From<core::NotebookError> for NotebookError {
    fn from(error: core::NotebookError) -> Self {
        use core::NotebookError as Core;
        let reason = error.to_string();
        match error {
            Core::Newer { dir, theirs, ours } => Self::Newer {
                reason,
                dir: text(&dir),
                theirs,
                ours,
            },
            Core::NotANotebook { path, why: _ } => Self::NotANotebook {
                reason,
                path: text(&path),
            },
            Core::Damaged { dir, detail: _ } => Self::Damaged {
                reason,
                dir: text(&dir),
            },
            Core::NotWritable { dir } => Self::NotWritable {
                reason,
                dir: text(&dir),
            },
            Core::StorageFull { dir } => Self::StorageFull {
                reason,
                dir: text(&dir),
            },
            Core::Busy { dir } => Self::Busy {
                reason,
                dir: text(&dir),
            },
            Core::OpenElsewhere { dir } => Self::OpenElsewhere {
                reason,
                dir: text(&dir),
            },
            Core::NoSuch { what, id } => Self::NoSuch {
                reason,
                what: what.to_owned(),
                id,
            },
            Core::Unfit(_) => Self::Unfit { reason },
            Core::NotTaken(_) => Self::NotTaken { reason },
            Core::Photo(error) => match PhotoFlaw::of(&error) {
                Ok(flaw) => Self::Photo { reason, flaw },
                Err(full) => Self::StorageFull {
                    reason,
                    dir: text(full),
                },
            },
            Core::Storage { dir, detail: _ } => Self::Storage {
                reason,
                dir: text(&dir),
            },
        }
    }
}

impl From<PhotoError> for NotebookError {
    fn from(error: PhotoError) -> Self {
        core::NotebookError::from(error).into()
    }
}

impl From<ExchangeError> for NotebookError {
    fn from(error: ExchangeError) -> Self {
        let reason = error.to_string();
        let (shelf, trouble) = match error {
            ExchangeError::NoShelf { shelf } => (shelf, ShelfTrouble::NotThere),
            ExchangeError::ShelfFull { shelf } => (shelf, ShelfTrouble::Full),
            ExchangeError::NotWritable { shelf } => (shelf, ShelfTrouble::NotWritable),
            ExchangeError::Unreachable { shelf, detail: _ } => (shelf, ShelfTrouble::Unreachable),
            ExchangeError::NotLetIn { shelf, why: _ } => (shelf, ShelfTrouble::NotLetIn),
            ExchangeError::Shelf { file, detail: _ } => (file, ShelfTrouble::Failed),
            ExchangeError::File(problem) => (problem.file, ShelfTrouble::Failed),
            ExchangeError::Bundle(error) => {
                let trouble = BundleTrouble::of(&error);
                return Self::Bundle { reason, trouble };
            }
            ExchangeError::Elsewhere(_) => ("the shelf".to_owned(), ShelfTrouble::Failed),
            ExchangeError::Stopped => return Self::Stopped { reason },
            ExchangeError::Notebook(error) => return error.into(),
            ExchangeError::Photo(error) => return error.into(),
        };
        Self::Shelf {
            reason,
            shelf,
            trouble,
        }
    }
}

impl From<LinkError> for NotebookError {
    fn from(error: LinkError) -> Self {
        let trouble = match &error {
            LinkError::Code(_) => PairingTrouble::CodeUnreadable,
            LinkError::CodeUnknown => PairingTrouble::CodeUnknown,
            LinkError::CodeUsed => PairingTrouble::CodeUsed,
            LinkError::CodeEnded => PairingTrouble::CodeOver,
            LinkError::TooManyTries => PairingTrouble::TooManyTries,
            LinkError::WrongKey => PairingTrouble::WrongKey,
            LinkError::Unreachable { .. } => PairingTrouble::NotReached,
            LinkError::NotPaired => PairingTrouble::NotPaired,
            LinkError::Name => PairingTrouble::Name,
            LinkError::Store { .. } | LinkError::Newer { .. } => PairingTrouble::NotKept,
            _ => PairingTrouble::Failed,
        };
        Self::Pairing {
            reason: error.to_string(),
            trouble,
        }
    }
}

fn text(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}
