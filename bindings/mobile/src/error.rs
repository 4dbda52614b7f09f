//! The error of every call: which case it is, its facts, and one sentence for the person.

use holebook_core::export::ExportError;
use holebook_core::notebook as core;
use holebook_core::photo::PhotoError;
use holebook_core::sync::{BundleError, SyncError};
use holebook_paper::PaperError;
use holebook_screens::sync_backend::StartError;
use holebook_sync::PairingError;
use holebook_sync::service::ServiceError;
use std::path::Path;

/// Why a call failed. Every case carries `reason`: one sentence that says what happened, where, and
/// what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error, uniffi::Error)]
#[uniffi::export(Display)]
pub enum NotebookError {
    /// A newer version of the program has written the notebook. Nothing was changed.
    #[error("{reason}")]
    NewerVersion {
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
    /// Somebody has the notebook open, and what was asked can only be done alone: shut it down
    /// first.
    #[error("{reason}")]
    OpenElsewhere {
        /// The sentence for the person.
        reason: String,
        /// The notebook's folder.
        dir: String,
    },
    /// Nothing has that id.
    #[error("{reason}")]
    NoSuch {
        /// The sentence for the person.
        reason: String,
        /// The kind of thing: casting, face, photo, hole or entry.
        what: String,
        /// The id.
        id: String,
    },
    /// The input is not valid. Nothing was recorded.
    #[error("{reason}")]
    Invalid {
        /// The sentence for the person.
        reason: String,
    },
    /// A text cannot be parsed as a length, thread, grade or metal.
    #[error("{reason}")]
    Unreadable {
        /// The sentence for the person, with what to write instead.
        reason: String,
        /// The expected kind: length, thread, grade, metal, drill, pitch.
        what: String,
        /// The text.
        asked: String,
    },
    /// A remote cannot be reached, read or written. What was synced by then stays.
    #[error("{reason}")]
    Remote {
        /// The sentence for the person.
        reason: String,
        /// The remote's name, or the file on it.
        remote: String,
        /// What is wrong, so that a program can offer the right help.
        problem: RemoteProblem,
    },
    /// A sync is running already, started by a call or by a page. Wait until it has finished, or
    /// cancel it.
    #[error("{reason}")]
    SyncRunning {
        /// The sentence for the person.
        reason: String,
    },
    /// Pairing failed, or the stored pairings cannot be used.
    #[error("{reason}")]
    Pairing {
        /// The sentence for the person.
        reason: String,
        /// What is wrong, so that a program can offer the right help.
        problem: PairingProblem,
    },
    /// A bundle or an export could not be written, or a bundle not imported. Neither the notebook nor any file has changed.
    #[error("{reason}")]
    Bundle {
        /// The sentence for the person.
        reason: String,
        /// What is wrong, so that a program can offer the right help.
        problem: BundleProblem,
    },
    /// A sync or export was canceled. What was synced by then stays.
    #[error("{reason}")]
    Canceled {
        /// The sentence for the person.
        reason: String,
    },
    /// Lines from another notebook were rejected. Nothing was changed.
    #[error("{reason}")]
    RejectedLine {
        /// The sentence for the person.
        reason: String,
    },
    /// A photo could not be added or found.
    #[error("{reason}")]
    Photo {
        /// The sentence for the person.
        reason: String,
        /// What is wrong with it, so that a program can offer the right help.
        problem: PhotoProblem,
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

/// What is wrong with a remote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum RemoteProblem {
    /// It is not there.
    NotFound,
    /// It has no room left.
    Full,
    /// It cannot be written.
    NotWritable,
    /// It cannot be reached, or the way to it broke.
    Unreachable,
    /// It does not let this device in, or is not the one that it was paired with.
    AccessDenied,
    /// It failed in another way.
    Failed,
}

/// What is wrong with pairing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum PairingProblem {
    /// The text is not a pairing code; `reason` says where it is wrong.
    CodeInvalid,
    /// The shop computer does not know the code.
    CodeUnknown,
    /// A device has paired with the code already.
    CodeUsed,
    /// The code has expired, or was withdrawn.
    CodeExpired,
    /// This device sent too many wrong codes; it can try again with a new code.
    TooManyAttempts,
    /// Another computer answers in its place. Nothing was sent to it.
    WrongKey,
    /// The shop computer cannot be reached.
    Unreachable,
    /// This device is not paired with that shop computer.
    NotPaired,
    /// The name of this device in the settings is too long for pairing.
    NameTooLong,
    /// The file that keeps the pairings cannot be read or written.
    Storage,
    /// It failed in another way.
    Failed,
}

/// What is wrong with a bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum BundleProblem {
    /// Something of that name is there already.
    Exists,
    /// There is nothing to write.
    NothingToWrite,
    /// The notebook holds more than fits one bundle.
    TooLarge,
    /// The disk is full.
    StorageFull,
    /// It cannot be written for another reason.
    WriteFailed,
    /// The file cannot be read.
    ReadFailed,
    /// The file is not a bundle, or is damaged.
    Invalid,
}

impl BundleProblem {
    fn of(error: &BundleError) -> Self {
        match error {
            BundleError::Exists { .. } => Self::Exists,
            BundleError::NothingToWrite { .. } => Self::NothingToWrite,
            BundleError::TooLarge => Self::TooLarge,
            BundleError::StorageFull { .. } => Self::StorageFull,
            BundleError::WriteFailed { .. } | BundleError::ReadOnly { .. } => Self::WriteFailed,
            BundleError::ReadFailed { .. } => Self::ReadFailed,
            BundleError::Invalid { .. } => Self::Invalid,
        }
    }
}

/// What is wrong with a photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum PhotoProblem {
    /// The file cannot be read, or is not there.
    Unreadable,
    /// It is a folder or something else that is not a file.
    NotAFile,
    /// It is empty.
    Empty,
    /// It has more bytes than a photo may have.
    FileTooLarge,
    /// It is a HEIC photo. A phone can convert it to JPEG.
    Heic,
    /// It is a picture in an unsupported format.
    OtherFormat,
    /// It is not a picture.
    NotAPicture,
    /// It ends before the picture does.
    Truncated,
    /// It is damaged.
    Damaged,
    /// It is a JPEG of a rare kind.
    RareJpeg,
    /// It declares a size without pixels.
    NoPixels,
    /// It has more pixels than a photo may have.
    TooManyPixels,
    /// The notebook's folder of photos cannot be used.
    Storage,
    /// The notebook has its entry but not its file; a sync may transfer it.
    Missing,
    /// The notebook's file of it has changed.
    NotAsNamed,
}

impl PhotoProblem {
    /// Returns the problem, or the folder if the disk is full.
    fn of(error: &PhotoError) -> Result<Self, &Path> {
        Ok(match error {
            PhotoError::Unreadable { .. } => Self::Unreadable,
            PhotoError::NotAFile { .. } => Self::NotAFile,
            PhotoError::Empty { .. } => Self::Empty,
            PhotoError::FileTooLarge { .. } => Self::FileTooLarge,
            PhotoError::Heic { .. } => Self::Heic,
            PhotoError::OtherFormat { .. } => Self::OtherFormat,
            PhotoError::NotAPicture { .. } => Self::NotAPicture,
            PhotoError::CutShort { .. } => Self::Truncated,
            PhotoError::Damaged { .. } => Self::Damaged,
            PhotoError::RareJpeg { .. } => Self::RareJpeg,
            PhotoError::NoPixels { .. } => Self::NoPixels,
            PhotoError::TooManyPixels { .. } => Self::TooManyPixels,
            PhotoError::Storage { .. } => Self::Storage,
            PhotoError::Missing { .. } => Self::Missing,
            PhotoError::NotAsNamed { .. } => Self::NotAsNamed,
            PhotoError::StorageFull { dir } => return Err(dir),
        })
    }
}

impl NotebookError {
    /// The notebook was shut down.
    pub(crate) fn closed() -> Self {
        Self::Closed {
            reason: "the notebook was shut down; open it again".to_owned(),
        }
    }

    /// What is wrong with the remote, if the error is about a remote.
    pub(crate) fn remote_problem(&self) -> Option<RemoteProblem> {
        match self {
            Self::Remote { problem, .. } => Some(*problem),
            _ => None,
        }
    }

    /// Nothing has that id.
    pub(crate) fn no_such(what: &'static str, id: String) -> Self {
        core::NotebookError::NoSuch { what, id }.into()
    }

    /// A text cannot be parsed as `what`; `why` is the sentence.
    pub(crate) fn unreadable(what: &str, asked: String, why: &impl std::fmt::Display) -> Self {
        Self::Unreadable {
            reason: why.to_string(),
            what: what.to_owned(),
            asked,
        }
    }

    /// The input is not valid; `why` is the sentence.
    pub(crate) fn invalid(why: impl std::fmt::Display) -> Self {
        Self::Invalid {
            reason: why.to_string(),
        }
    }
}

/// Errors that are kept in a finished run are converted from a reference, all others by value.
macro_rules! by_value_too {
    ($($error:ty),+) => {$(
        impl From<$error> for NotebookError {
            fn from(error: $error) -> Self {
                Self::from(&error)
            }
        }
    )+};
}

by_value_too!(core::NotebookError, SyncError, PairingError, ServiceError);

impl From<&ExportError> for NotebookError {
    fn from(error: &ExportError) -> Self {
        let reason = error.to_string();
        let problem = match error {
            ExportError::Exists { .. } | ExportError::NotAnExport { .. } => BundleProblem::Exists,
            ExportError::StorageFull { .. } => BundleProblem::StorageFull,
            ExportError::WriteFailed { .. } => BundleProblem::WriteFailed,
            ExportError::Notebook(error) => return error.into(),
            ExportError::Canceled => return Self::Canceled { reason },
        };
        Self::Bundle { reason, problem }
    }
}

impl From<&core::NotebookError> for NotebookError {
    fn from(error: &core::NotebookError) -> Self {
        use core::NotebookError as Core;
        let reason = error.to_string();
        match error {
            Core::Newer { dir, theirs, ours } => Self::NewerVersion {
                reason,
                dir: text(dir),
                theirs: *theirs,
                ours: *ours,
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
            Core::OpenElsewhere { dir } => Self::OpenElsewhere {
                reason,
                dir: text(dir),
            },
            Core::NoSuch { what, id } => Self::NoSuch {
                reason,
                what: (*what).to_owned(),
                id: id.clone(),
            },
            Core::Invalid(_) => Self::Invalid { reason },
            Core::RejectedLine(_) => Self::RejectedLine { reason },
            Core::Photo(error) => Self::of_photo(error),
            Core::Gone { dir } | Core::Storage { dir, detail: _ } => Self::Storage {
                reason,
                dir: text(dir),
            },
        }
    }
}

impl From<PhotoError> for NotebookError {
    fn from(error: PhotoError) -> Self {
        Self::of_photo(&error)
    }
}

impl From<PaperError> for NotebookError {
    fn from(error: PaperError) -> Self {
        match error {
            PaperError::Notebook(error) => error.into(),
            PaperError::Pdf(_) => Self::Internal {
                reason: error.to_string(),
                call: "sheet_pdf".to_owned(),
            },
        }
    }
}

impl NotebookError {
    fn of_photo(error: &PhotoError) -> Self {
        let reason = error.to_string();
        match PhotoProblem::of(error) {
            Ok(problem) => Self::Photo { reason, problem },
            Err(full) => Self::StorageFull {
                reason,
                dir: text(full),
            },
        }
    }
}

impl From<&ServiceError> for NotebookError {
    fn from(error: &ServiceError) -> Self {
        let reason = error.to_string();
        match error {
            ServiceError::Sync(error) => error.into(),
            ServiceError::Notebook(error) => error.into(),
            ServiceError::Export(error) => error.into(),
            ServiceError::Pairing(error) => error.into(),
            ServiceError::Start(StartError::Busy) => Self::SyncRunning { reason },
            ServiceError::UnknownRemote { id } => Self::no_such("remote", id.clone()),
            ServiceError::NoRemotes => Self::Remote {
                reason,
                remote: "any remote".to_owned(),
                problem: RemoteProblem::NotFound,
            },
            ServiceError::BundleFolder { folder, .. } | ServiceError::Folder { folder, .. } => {
                Self::NotWritable {
                    reason,
                    dir: text(folder),
                }
            }
            _ => Self::Internal {
                reason,
                call: "start_sync".to_owned(),
            },
        }
    }
}

impl From<&SyncError> for NotebookError {
    fn from(error: &SyncError) -> Self {
        let (reason, unnamed) = (error.to_string(), "the remote".to_owned());
        let (remote, problem) = match error {
            SyncError::RemoteNotFound { remote } => (remote, RemoteProblem::NotFound),
            SyncError::RemoteMissing { remote } => (remote, RemoteProblem::NotFound),
            SyncError::NotReadable { remote, file: _ } => (remote, RemoteProblem::AccessDenied),
            SyncError::IsNotebook { remote } => (remote, RemoteProblem::Failed),
            SyncError::RemoteFull { remote } => (remote, RemoteProblem::Full),
            SyncError::NotWritable { remote } => (remote, RemoteProblem::NotWritable),
            SyncError::Unreachable { remote, detail: _ } => (remote, RemoteProblem::Unreachable),
            SyncError::AccessDenied { remote, reason: _ } => (remote, RemoteProblem::AccessDenied),
            SyncError::RemoteIo { file, detail: _ } => (file, RemoteProblem::Failed),
            SyncError::File(problem) => (&problem.file, RemoteProblem::Failed),
            SyncError::Bundle(error) => {
                let problem = BundleProblem::of(error);
                return Self::Bundle { reason, problem };
            }
            SyncError::Other(_) => (&unnamed, RemoteProblem::Failed),
            SyncError::Canceled => return Self::Canceled { reason },
            SyncError::Notebook(error) => return error.into(),
            SyncError::Photo(error) => return Self::of_photo(error),
        };
        Self::Remote {
            reason,
            remote: remote.clone(),
            problem,
        }
    }
}

impl From<&PairingError> for NotebookError {
    fn from(error: &PairingError) -> Self {
        let problem = match error {
            PairingError::Code(_) => PairingProblem::CodeInvalid,
            PairingError::CodeUnknown | PairingError::WrongDigits => PairingProblem::CodeUnknown,
            PairingError::CodeUsed => PairingProblem::CodeUsed,
            PairingError::CodeExpired => PairingProblem::CodeExpired,
            PairingError::TooManyTries => PairingProblem::TooManyAttempts,
            PairingError::WrongKey => PairingProblem::WrongKey,
            PairingError::Unreachable { .. } | PairingError::NoShopFound => {
                PairingProblem::Unreachable
            }
            PairingError::NotPaired => PairingProblem::NotPaired,
            PairingError::InvalidName => PairingProblem::NameTooLong,
            PairingError::Store { .. }
            | PairingError::StoreFull { .. }
            | PairingError::NewerSchema { .. } => PairingProblem::Storage,
            _ => PairingProblem::Failed,
        };
        Self::Pairing {
            reason: error.to_string(),
            problem,
        }
    }
}

fn text(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}
