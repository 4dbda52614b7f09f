//! Calls that fail on purpose, to test how panics and every error reach other languages. Only with
//! the feature `faults`.

use crate::error::{BundleProblem, NotebookError, PairingProblem, PhotoProblem, RemoteProblem};
use crate::notebook::Notebook;

#[uniffi::export]
impl Notebook {
    /// Panics: fails with `Internal`, and the notebook stays usable. Only in a library built for
    /// tests.
    pub fn panic_on_purpose(&self) -> Result<(), NotebookError> {
        self.call("panic_on_purpose", |_| panic!("made on purpose"))
    }

    /// Fails with the error case of that number, from 0; returns how many there are for a number
    /// beyond them. Only in a library built for tests.
    pub fn fail_on_purpose(&self, which: u32) -> Result<u32, NotebookError> {
        self.call("fail_on_purpose", |_| {
            let mut cases = cases();
            let count = u32::try_from(cases.len()).unwrap_or(u32::MAX);
            match usize::try_from(which).ok().filter(|at| *at < cases.len()) {
                Some(at) => Err(cases.swap_remove(at)),
                None => Ok(count),
            }
        })
    }
}

/// Every case, each with the same sentence.
fn cases() -> Vec<NotebookError> {
    let reason = || "this was made on purpose; there is nothing to do".to_owned();
    let dir = || "a folder".to_owned();
    vec![
        NotebookError::NewerVersion {
            reason: reason(),
            dir: dir(),
            theirs: i64::MAX,
            ours: 1,
        },
        NotebookError::NotANotebook {
            reason: reason(),
            path: dir(),
        },
        NotebookError::Damaged {
            reason: reason(),
            dir: dir(),
        },
        NotebookError::NotWritable {
            reason: reason(),
            dir: dir(),
        },
        NotebookError::StorageFull {
            reason: reason(),
            dir: dir(),
        },
        NotebookError::Busy {
            reason: reason(),
            dir: dir(),
        },
        NotebookError::OpenElsewhere {
            reason: reason(),
            dir: dir(),
        },
        NotebookError::NoSuch {
            reason: reason(),
            what: "hole".to_owned(),
            id: "none".to_owned(),
        },
        NotebookError::Invalid { reason: reason() },
        NotebookError::Unreadable {
            reason: reason(),
            what: "length".to_owned(),
            asked: "an ell".to_owned(),
        },
        NotebookError::Remote {
            reason: reason(),
            remote: dir(),
            problem: RemoteProblem::NotFound,
        },
        NotebookError::SyncRunning { reason: reason() },
        NotebookError::Pairing {
            reason: reason(),
            problem: PairingProblem::CodeExpired,
        },
        NotebookError::Bundle {
            reason: reason(),
            problem: BundleProblem::Invalid,
        },
        NotebookError::Canceled { reason: reason() },
        NotebookError::RejectedLine { reason: reason() },
        NotebookError::Photo {
            reason: reason(),
            problem: PhotoProblem::Heic,
        },
        NotebookError::Storage {
            reason: reason(),
            dir: dir(),
        },
        NotebookError::Closed { reason: reason() },
        NotebookError::Internal {
            reason: reason(),
            call: "fail_on_purpose".to_owned(),
        },
    ]
}
