//! The notebook: opened once, shared by all threads, and shut down at the end.

use crate::carrier::{Request, Response};
use crate::error::NotebookError;
use crate::guard::guard;
use holebook_core::notebook as core;
use holebook_sync::service::{Remotes, SeenShops, ServiceOptions, SyncService};
use parking_lot::RwLock;
use std::path::Path;
use std::sync::Arc;

/// All data of this device: a folder with one database and the photos beside it.
///
/// Open it once in a program and keep it. Every call blocks until the disk has answered (a photo
/// takes a second or two on a phone), so call from a background thread. Any thread may call; calls
/// wait for each other where they must. When a call that records something returns, it is on the
/// disk.
#[derive(uniffi::Object)]
pub struct Notebook {
    /// `None` after shutdown. Every call holds a read lock, so shutdown waits for running calls.
    open: RwLock<Option<Open>>,
}

/// What a phone calls itself while its settings have no name.
const UNNAMED: &str = "unnamed phone";

/// The notebook while it is open, and its sync service.
struct Open {
    notebook: Arc<core::Notebook>,
    seen: Arc<SeenShops>,
    sync: SyncService,
}

impl Open {
    fn new(notebook: core::Notebook) -> Self {
        let (notebook, seen) = (Arc::new(notebook), Arc::new(SeenShops::default()));
        let finder = Arc::clone(&seen);
        let remotes = Arc::new(Remotes::new(Arc::clone(&notebook), finder, UNNAMED));
        // A phone may be lost in the barn, so its pages show what would be lost with it.
        let options = ServiceOptions {
            shows_unsynced_count: true,
            ..ServiceOptions::default()
        };
        Self {
            notebook,
            seen,
            sync: SyncService::new(remotes, options),
        }
    }
}

impl Notebook {
    /// Runs the call named `call` on the open notebook.
    pub(crate) fn call<T>(
        &self,
        call: &'static str,
        work: impl FnOnce(&core::Notebook) -> Result<T, NotebookError>,
    ) -> Result<T, NotebookError> {
        self.with_open(call, |open| work(&open.notebook))
    }

    /// Runs the call named `call` on the sync service of the open notebook.
    pub(crate) fn sync<T>(
        &self,
        call: &'static str,
        work: impl FnOnce(&SyncService) -> Result<T, NotebookError>,
    ) -> Result<T, NotebookError> {
        self.with_open(call, |open| work(&open.sync))
    }

    /// Runs the call named `call` on the shop computers seen by the phone.
    pub(crate) fn seen<T>(
        &self,
        call: &'static str,
        work: impl FnOnce(&SeenShops) -> Result<T, NotebookError>,
    ) -> Result<T, NotebookError> {
        self.with_open(call, |open| work(&open.seen))
    }

    fn with_open<T>(
        &self,
        call: &'static str,
        work: impl FnOnce(&Open) -> Result<T, NotebookError>,
    ) -> Result<T, NotebookError> {
        guard(call, || {
            let open = self.open.read();
            work(open.as_ref().ok_or_else(NotebookError::closed)?)
        })
    }
}

#[uniffi::export]
impl Notebook {
    /// Opens the notebook in the folder `dir`; if the folder is new or empty, a notebook is created
    /// in it. Blocks.
    ///
    /// Fails if the folder holds something else (`NotANotebook`), a newer version wrote the
    /// notebook (`NewerVersion`, nothing is changed then), it is damaged (`Damaged`), or the folder
    /// cannot be written (`NotWritable`, `StorageFull`).
    #[uniffi::constructor]
    pub fn open(dir: String) -> Result<Arc<Self>, NotebookError> {
        guard("open", || {
            let open = Open::new(core::Notebook::open(Path::new(&dir))?);
            let open = RwLock::new(Some(open));
            Ok(Arc::new(Self { open }))
        })
    }

    /// Answers one request of the screens. Blocks while the notebook is read or written, and for up
    /// to some ten seconds while a page pairs with a shop computer; what it acknowledges is on
    /// disk. A sync that a page starts continues in the background.
    ///
    /// Invalid input from the person is not an error here: the response is then the page with one
    /// sentence about it. Fails only after shutdown (`Closed`) or with an internal error
    /// (`Internal`).
    pub fn answer(&self, request: Request) -> Result<Response, NotebookError> {
        self.with_open("answer", |open| {
            let Open { notebook, sync, .. } = open;
            Ok(holebook_screens::answer_with(notebook, sync, &request))
        })
    }

    /// Closes the notebook: waits until the calls that run have ended, then closes its files. Every
    /// later call fails with `Closed`. Calling it twice is fine.
    ///
    /// A running sync or export is canceled between two chunks; what was synced by then stays.
    /// Blocks until that is done, some 30 seconds at most if a network stalls.
    pub fn shutdown(&self) {
        if let Some(open) = self.open.read().as_ref() {
            open.sync.cancel_all();
        }
        let mut open = self.open.write();
        if let Some(open) = open.take() {
            open.sync.shut_down();
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::carrier::ResponseBody;

    fn front() -> Request {
        Request::get("/")
    }

    fn at(dir: &tempfile::TempDir) -> String {
        dir.path().join("notebook").to_string_lossy().into_owned()
    }

    #[test]
    fn the_screens_answer_until_shutdown_and_closed_after() {
        let dir = tempfile::tempdir().unwrap();
        let notebook = Notebook::open(at(&dir)).unwrap();
        let response = notebook.answer(front()).unwrap();
        assert_eq!(response.status, 200);
        assert!(matches!(response.body, ResponseBody::Text(text) if text.contains("<html")));
        notebook.shutdown();
        notebook.shutdown();
        let closed = notebook.answer(front()).unwrap_err();
        assert_eq!(closed, NotebookError::closed());
        assert!(closed.to_string().contains("open it again"));
        assert_eq!(
            Notebook::open(at(&dir))
                .unwrap()
                .answer(front())
                .unwrap()
                .status,
            200
        );
    }

    #[test]
    fn a_panic_names_its_call_and_the_notebook_goes_on() {
        let dir = tempfile::tempdir().unwrap();
        let notebook = Notebook::open(at(&dir)).unwrap();
        let failed = notebook
            .call("drill", |_| -> Result<(), _> { panic!("no chuck") })
            .unwrap_err();
        let NotebookError::Internal { call, reason } = failed else {
            panic!("{failed:?}")
        };
        assert_eq!(call, "drill");
        assert!(reason.contains("no chuck"), "{reason}");
        assert_eq!(notebook.answer(front()).unwrap().status, 200);
    }

    #[test]
    fn a_folder_of_something_else_is_refused_with_its_name() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("letter.txt"), "Dear").unwrap();
        let here = dir.path().to_string_lossy().into_owned();
        let refused = Notebook::open(here.clone()).err().unwrap();
        assert!(
            matches!(&refused, NotebookError::NotANotebook { path, .. } if *path == here),
            "{refused:?}"
        );
    }
}
