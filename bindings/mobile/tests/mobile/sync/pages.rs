//! The phone's pages of sync and pairing.

use super::calls::{add_casting, report, sync};
use crate::support::TestPhone;
use holebook_mobile::*;
use holebook_test_support::TestShopComputer;
use std::path::Path;
use std::thread;
use std::time::Duration;

pub fn ask(notebook: &Notebook, method: Method, path: &str, form: &[(&str, &str)]) -> Response {
    send(notebook, method, path, form, Vec::new())
}

fn send(
    notebook: &Notebook,
    method: Method,
    path: &str,
    form: &[(&str, &str)],
    uploads: Vec<Upload>,
) -> Response {
    let pair = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
    notebook
        .answer(Request {
            method,
            form: form.iter().map(pair).collect(),
            uploads,
            ..Request::get(path)
        })
        .unwrap()
}

fn text(response: Response) -> String {
    match response.body {
        ResponseBody::Text(text) => text,
        other => panic!("{other:?}"),
    }
}

pub fn page(notebook: &Notebook, path: &str) -> String {
    text(ask(notebook, Method::Get, path, &[]))
}

/// The page of sync when no sync is running.
fn idle_page(notebook: &Notebook) -> String {
    loop {
        let shown = page(notebook, "/sync");
        if !shown.contains("Syncing") {
            return shown;
        }
        thread::sleep(Duration::from_millis(20));
    }
}

#[test]
fn phone_pairs_syncs_and_forgets_by_its_pages() {
    let (computer, phone) = (TestShopComputer::start(), TestPhone::new());
    let notebook = &phone.notebook;
    add_casting(notebook, "from the barn");
    let front = page(notebook, "/");
    assert!(front.contains("href=\"/sync\""), "{front}");
    assert!(front.contains("sync-link not-synced"), "{front}");
    let offered = page(notebook, "/sync");
    assert!(offered.contains("href=\"/pair\""));
    // A phone has no devices, no pairing code of its own, and no paths to type.
    assert!(!offered.contains("/devices") && !offered.contains("/sync/folder"));
    assert_eq!(ask(notebook, Method::Get, "/devices", &[]).status, 404);
    assert_eq!(ask(notebook, Method::Post, "/pair/code", &[]).status, 404);

    let wrong = ask(notebook, Method::Post, "/pair/shop", &[("code", "123 456")]);
    assert_eq!(wrong.status, 422);
    assert!(text(wrong).contains("code has 9 digits"));
    let offer = computer.offer();
    let paired = ask(
        notebook,
        Method::Post,
        "/pair/shop",
        &[("code", offer.link())],
    );
    assert_eq!(paired.status, 303);
    let shop = notebook.shops().unwrap().remove(0);

    assert_eq!(ask(notebook, Method::Post, "/sync/start", &[]).status, 303);
    assert!(idle_page(notebook).contains("sent 1 entry"));
    assert_eq!(computer.notebook.castings().unwrap().len(), 1);
    assert!(!page(notebook, "/").contains("sync-link not-synced"));
    let form = [("remote", shop.id.as_str())];
    assert_eq!(
        ask(notebook, Method::Post, "/sync/start", &form).status,
        303
    );
    assert!(idle_page(notebook).contains("Nothing new on either side."));

    assert_eq!(
        ask(notebook, Method::Post, "/sync/forget", &form).status,
        303
    );
    assert_eq!(notebook.shops().unwrap(), []);
    let gone = ask(notebook, Method::Post, "/sync/start", &form);
    assert_eq!(gone.status, 422);
    assert!(text(gone).contains("no longer on the list"));
}

#[test]
fn bundles_are_written_and_imported_by_page_once_they_have_a_folder() {
    let (barn, other) = (TestPhone::new(), TestPhone::new());
    let notebook = &barn.notebook;
    add_casting(notebook, "one");
    assert!(!page(notebook, "/sync").contains("/sync/export"));
    assert_eq!(ask(notebook, Method::Post, "/sync/export", &[]).status, 404);

    let set_folder = |phone: &TestPhone| {
        let path = phone.dir.path().join("cache/bundles");
        let folder = path.to_string_lossy().into_owned();
        phone.notebook.set_bundle_folder(folder).unwrap();
        path
    };
    let bundles = set_folder(&barn);
    assert_eq!(
        ask(notebook, Method::Post, "/sync/export", &[("what", "all")]).status,
        303
    );
    assert!(idle_page(notebook).contains("/sync/file"));
    let ResponseBody::File(path) = ask(notebook, Method::Get, "/sync/file", &[]).body else {
        panic!("no file")
    };
    let file = Path::new(&path);
    assert!(file.starts_with(&bundles) && file.extension().unwrap() == "zip");
    assert_eq!(
        file.parent().unwrap().parent().unwrap(),
        bundles,
        "one folder for one file"
    );

    set_folder(&other);
    let sent = other.dir.path().join("sent.zip");
    std::fs::copy(file, &sent).unwrap();
    let upload = Upload {
        field: "bundle".to_owned(),
        name: "holebook.zip".to_owned(),
        path: sent,
    };
    let taken = send(
        &other.notebook,
        Method::Post,
        "/sync/import",
        &[],
        vec![upload],
    );
    assert_eq!(taken.status, 303);
    assert!(idle_page(&other.notebook).contains("Imported 1 entry"));
    assert_eq!(other.notebook.castings().unwrap()[0].name, "one");
}

#[test]
fn failed_sync_is_shown_by_the_page() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let stick = phone.dir.path().join("stick");
    let folder = SyncTarget::Folder {
        path: stick.to_string_lossy().into_owned(),
    };
    report(sync(notebook, folder).unwrap());
    std::fs::remove_dir_all(&stick).unwrap();
    assert_eq!(ask(notebook, Method::Post, "/sync/start", &[]).status, 303);
    assert!(idle_page(notebook).contains("plug in the stick"));
}
