//! The notebook: opened once, shared by all threads, shut down at the end.

use crate::carrier::{Request, Response};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::meet::Meet;
use holebook_core::notebook as core;
use parking_lot::RwLock;
use std::path::Path;
use std::sync::Arc;

/// All that this device holds: a folder with one file and the photos beside it.
///
/// Open it once in a program and keep it. Every call blocks until the disk has answered (a photo takes a second or two
/// on a phone), so call from a background thread. Any thread may call; calls wait for each other where they must. When
/// a call that records something returns, it is on the disk.
#[derive(uniffi::Object)]
pub struct Notebook {
    /// `None` after shutdown. Calls hold the reading side, so shutdown waits until those that run have ended.
    open: RwLock<Option<Open>>,
}

/// The notebook while it is open, and how it meets others.
struct Open {
    notebook: Arc<core::Notebook>,
    meet: Meet,
}

impl Notebook {
    /// Runs the call named `call` on the open notebook.
    pub(crate) fn call<T>(
        &self,
        call: &'static str,
        work: impl FnOnce(&core::Notebook) -> Result<T, NotebookError>,
    ) -> Result<T, NotebookError> {
        self.whole(call, |open| work(&open.notebook))
    }

    /// Runs the call named `call` on what the open notebook meets others by.
    pub(crate) fn meet<T>(
        &self,
        call: &'static str,
        work: impl FnOnce(&Meet) -> Result<T, NotebookError>,
    ) -> Result<T, NotebookError> {
        self.whole(call, |open| work(&open.meet))
    }

    fn whole<T>(
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
    /// Opens the notebook in the folder `dir`; where the folder is new or empty, a notebook is made in it. Blocks.
    ///
    /// Fails where the folder holds something else (`NotANotebook`), a newer version wrote the notebook (`Newer`,
    /// nothing is changed then), it is damaged (`Damaged`), or the folder cannot be written (`NotWritable`, `StorageFull`).
    #[uniffi::constructor]
    pub fn open(dir: String) -> Result<Arc<Self>, NotebookError> {
        guard("open", || {
            let notebook = Arc::new(core::Notebook::open(Path::new(&dir))?);
            let meet = Meet::of(Arc::clone(&notebook));
            let open = RwLock::new(Some(Open { notebook, meet }));
            Ok(Arc::new(Self { open }))
        })
    }

    /// Answers one request of the screens. Blocks while the notebook is read or written, and for up to some ten seconds while a
    /// page pairs with a shop computer; what it acknowledges is on disk. An exchange that a page begins goes on in the background.
    ///
    /// What a person typed wrongly is no error here: the response is then the page with one sentence that says so.
    /// Fails only after shutdown (`Closed`) or by a fault of the program (`Internal`).
    pub fn answer(&self, request: Request) -> Result<Response, NotebookError> {
        self.whole("answer", |open| {
            let Open { notebook, meet } = open;
            Ok(holebook_screens::answer_with(notebook, meet, &request.into()).into())
        })
    }

    /// Closes the notebook: waits until the calls that run have ended, then lets go of its files. Every later call fails
    /// with `Closed`. Doing it twice does no harm.
    ///
    /// An exchange or bundle that is under way is ended soon, between two pieces of what is moved; what was moved by then stays.
    /// Blocks until all that is done, at most some 30 seconds where a network stands still.
    pub fn shutdown(&self) {
        if let Some(open) = self.open.read().as_ref() {
            open.meet.end_all();
        }
        let mut open = self.open.write();
        if let Some(open) = open.take() {
            open.meet.stop();
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::carrier::{Method, ResponseBody};

    fn front() -> Request {
        Request {
            method: Method::Get,
            path: "/".to_owned(),
            query: Vec::new(),
            form: Vec::new(),
            uploads: Vec::new(),
        }
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
        assert!(matches!(response.body, ResponseBody::Text { text } if text.contains("<html")));
        notebook.shutdown();
        notebook.shutdown();
        let closed = notebook.answer(front()).unwrap_err();
        assert_eq!(closed, NotebookError::closed());
        assert!(closed.sentence().contains("open it again"));
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
