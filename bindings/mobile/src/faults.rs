//! Calls that fail on purpose, so that tests can see what becomes of a panic and of every error. Only in a library built for
//! tests.

use crate::error::{BundleTrouble, NotebookError, PairingTrouble, PhotoFlaw, ShelfTrouble};
use crate::notebook::Notebook;

#[uniffi::export]
impl Notebook {
    /// Panics on purpose: it fails with `Internal`, and the notebook goes on. Only in a library built for tests.
    pub fn panic_on_purpose(&self) -> Result<(), NotebookError> {
        self.call("panic_on_purpose", |_| panic!("made on purpose"))
    }

    /// Fails with the case of that number, from 0; answers how many there are for a number beyond them. Only in a library
    /// built for tests.
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
        NotebookError::Newer {
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
        NotebookError::Unfit { reason: reason() },
        NotebookError::Unreadable {
            reason: reason(),
            what: "length".to_owned(),
            asked: "an ell".to_owned(),
        },
        NotebookError::Shelf {
            reason: reason(),
            shelf: dir(),
            trouble: ShelfTrouble::NotThere,
        },
        NotebookError::UnderWay { reason: reason() },
        NotebookError::Pairing {
            reason: reason(),
            trouble: PairingTrouble::CodeOver,
        },
        NotebookError::Bundle {
            reason: reason(),
            trouble: BundleTrouble::Unsound,
        },
        NotebookError::Stopped { reason: reason() },
        NotebookError::NotTaken { reason: reason() },
        NotebookError::Photo {
            reason: reason(),
            flaw: PhotoFlaw::Heic,
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
