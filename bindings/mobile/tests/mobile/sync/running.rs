//! While a sync runs: its progress, no second sync, canceling, and shutdown.

use super::calls::{add_casting, castings, paired, report, sync, with};
use super::pages::{ask, page};
use crate::support::TestPhone;
use holebook_mobile::*;
use holebook_test_support::{Proxy, TestShopComputer};
use std::sync::Arc;
use std::thread;

/// Pixels across a photo of about 250 kB.
const EDGE: u32 = 500;
/// Bytes after which the connection is held: some photos are transferred, some are not.
const MIDWAY: u64 = 600_000;

/// A shop computer with photos, and a phone whose sync with it is held in the middle of them.
struct Midway {
    computer: TestShopComputer,
    proxy: Proxy,
    phone: TestPhone,
    shop: PairedShop,
    run: Arc<SyncRun>,
}

impl Midway {
    fn begin() -> Self {
        let computer = TestShopComputer::start();
        for photo in 0..6 {
            computer.add_photo(photo, EDGE);
        }
        let proxy = Proxy::to(computer.address());
        let phone = TestPhone::new();
        let code = computer.offer_at(proxy.address).link().to_owned();
        let shop = phone.notebook.pair(code).unwrap();
        proxy.hold_after(MIDWAY);
        let run = phone.notebook.start_sync(with(&shop)).unwrap();
        proxy.wait_until_held();
        Self {
            computer,
            proxy,
            phone,
            shop,
            run,
        }
    }

    /// Asserts that the next sync finishes it.
    fn assert_completes(&self, notebook: &Notebook) {
        sync(notebook, with(&self.shop)).unwrap();
        assert!(notebook.verify().unwrap().findings.is_empty());
        let here = castings(notebook);
        assert_eq!(here.len(), 6);
        assert_eq!(self.computer.notebook.castings().unwrap().len(), 6);
    }
}

fn is_canceled(error: &NotebookError) -> bool {
    matches!(error, NotebookError::Canceled { .. })
}

#[test]
fn progress_can_be_queried_and_the_page_shows_the_same_run() {
    let midway = Midway::begin();
    let notebook = &midway.phone.notebook;
    let progress = midway.run.progress();
    assert_eq!(progress.phase, SyncRunPhase::Pulling, "{progress:?}");
    assert_eq!((progress.number, progress.remotes), (1, 1));
    assert_eq!(progress.remote, "the shop computer Shop computer");
    assert!(
        progress.photo_bytes < progress.photo_bytes_total,
        "{progress:?}"
    );
    assert!(progress.photo_bytes_total > MIDWAY, "{progress:?}");
    assert!(!midway.run.is_over());
    let shown = page(notebook, "/sync");
    assert!(shown.contains("Syncing") && shown.contains("The shop computer Shop computer"));
    // The notebook can be written meanwhile.
    add_casting(notebook, "meanwhile");
    midway.proxy.restore();
    assert_eq!(report(midway.run.result().unwrap()).photos_pulled, 6);
    assert_eq!(midway.run.progress().phase, SyncRunPhase::Finished);
    assert!(page(notebook, "/sync").contains("Received "));
}

#[test]
fn second_sync_is_rejected_by_call_and_by_page() {
    let midway = Midway::begin();
    let notebook = &midway.phone.notebook;
    for with in [with(&midway.shop), SyncTarget::All] {
        let refused = notebook.start_sync(with).err().unwrap();
        assert!(
            matches!(refused, NotebookError::SyncRunning { .. }),
            "{refused:?}"
        );
    }
    let refused = ask(notebook, Method::Post, "/sync/start", &[]);
    assert_eq!(refused.status, 422);
    midway.proxy.restore();
    midway.run.result().unwrap();
    // A call is rejected too while the page's sync runs.
    midway.proxy.hold_after(1);
    assert_eq!(ask(notebook, Method::Post, "/sync/start", &[]).status, 303);
    let refused = notebook.start_sync(with(&midway.shop)).err().unwrap();
    assert!(
        matches!(refused, NotebookError::SyncRunning { .. }),
        "{refused:?}"
    );
    midway.proxy.restore();
}

#[test]
fn canceled_sync_is_finished_by_the_next() {
    for by_page in [false, true] {
        let midway = Midway::begin();
        let notebook = &midway.phone.notebook;
        if by_page {
            assert_eq!(ask(notebook, Method::Post, "/sync/stop", &[]).status, 303);
        } else {
            midway.run.cancel();
        }
        midway.proxy.restore();
        let error = midway.run.result().unwrap_err();
        assert!(is_canceled(&error), "{error:?}");
        midway.run.cancel();
        midway.assert_completes(notebook);
    }
}

#[test]
fn shutdown_cancels_it_and_the_notebook_opens_valid() {
    let midway = Midway::begin();
    let notebook = midway.phone.notebook.clone();
    let closing = thread::spawn({
        let notebook = notebook.clone();
        move || notebook.shutdown()
    });
    // The run can be queried meanwhile.
    assert!(!midway.run.is_over());
    midway.proxy.restore();
    closing.join().unwrap();
    let error = midway.run.result().unwrap_err();
    assert!(is_canceled(&error), "{error:?}");
    assert!(midway.run.is_over());
    let closed: [Result<(), NotebookError>; 7] = [
        notebook.start_sync(SyncTarget::All).map(drop),
        notebook.known_remotes().map(drop),
        notebook.shops().map(drop),
        notebook.pair("a b c".to_owned()).map(drop),
        notebook.set_seen_shops(Vec::new()),
        notebook.set_bundle_folder("bundles".to_owned()),
        notebook
            .write_bundle("b.zip".to_owned(), BundleContent::All)
            .map(drop),
    ];
    for call in closed {
        assert!(
            matches!(call, Err(NotebookError::Closed { .. })),
            "{call:?}"
        );
    }
    let at = midway.phone.dir.path().join("notebook");
    let again = Notebook::open(at.to_string_lossy().into_owned()).unwrap();
    midway.assert_completes(&again);
}

#[test]
fn dropped_notebook_ends_its_sync() {
    let computer = TestShopComputer::start();
    let (phone, shop) = paired(&computer);
    let run = phone.notebook.start_sync(with(&shop)).unwrap();
    let TestPhone {
        notebook,
        dir: _dir,
    } = phone;
    drop(notebook);
    // It ends, finished or canceled.
    let _ = run.result();
    assert!(run.is_over());
}
