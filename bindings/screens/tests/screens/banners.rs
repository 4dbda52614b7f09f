//! What pages show of the app around them: its script, waiting shared files, sharing, printing.
#![allow(missing_docs, clippy::unwrap_used)]

use chrono::DateTime;
use holebook_core::notebook::Notebook;
use holebook_screens::sync_backend::{
    BundleFile, KnownRemote, PairingClient, Run, RunResult, RunStep, RunStepState, SyncBackend,
    SyncRefused, SyncTask, TaskKind,
};
use holebook_screens::{Body, Method, Request, Response, ShellState, WaitingBundle, answer_with};
use tempfile::TempDir;

/// A device that can pair and import bundles, as a phone can.
#[derive(Default)]
struct Phone {
    run: Option<Run>,
}

impl SyncBackend for Phone {
    fn known_remotes(&self) -> Result<Vec<KnownRemote>, SyncRefused> {
        Ok(Vec::new())
    }
    fn run(&self) -> Option<Run> {
        self.run.clone()
    }
    fn start(&self, _: SyncTask<'_>) -> Result<(), SyncRefused> {
        Ok(())
    }
    fn cancel(&self) {}
    fn forget(&self, _: &str) -> Result<(), SyncRefused> {
        Ok(())
    }
    fn supports_bundles(&self) -> bool {
        true
    }
    fn pairing_client(&self) -> Option<&dyn PairingClient> {
        Some(self)
    }
}

impl PairingClient for Phone {
    fn pair(&self, _: &str) -> Result<String, SyncRefused> {
        Ok("Bench".to_owned())
    }
}

/// A notebook with one face, shown in a shell.
struct Screens {
    notebook: Notebook,
    phone: Phone,
    face: String,
    _dir: TempDir,
}

impl Screens {
    fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(&dir.path().join("notebook")).unwrap();
        let mut screens = Self {
            notebook,
            phone: Phone::default(),
            face: String::new(),
            _dir: dir,
        };
        let casting = screens.submit("/casting", "Pump end");
        screens.face = screens.submit(&format!("{casting}/face"), "Cover joint");
        screens
    }

    fn submit(&self, path: &str, name: &str) -> String {
        let form = vec![("name".to_owned(), name.to_owned())];
        let response = self.answer(&Request {
            method: Method::Post,
            form,
            ..Request::get(path)
        });
        let (_, address) = &response.headers[0];
        address.split('?').next().unwrap().to_owned()
    }

    fn answer(&self, request: &Request) -> Response {
        answer_with(&self.notebook, &self.phone, request)
    }

    fn page(&self, path: &str, shell: &ShellState) -> String {
        let shell = Some(shell.clone());
        text(self.answer(&Request {
            shell,
            ..Request::get(path)
        }))
    }
}

fn text(response: Response) -> String {
    match response.body {
        Body::Text(text) => text,
        _ => panic!("the response is not a page"),
    }
}

fn shell() -> ShellState {
    ShellState {
        script: "/shell/shell.js".to_owned(),
        waiting_photos: 0,
        waiting_bundles: Vec::new(),
        cable_folder: Some("/storage/holebook/<sync>".to_owned()),
    }
}

fn bundle(name: &str) -> WaitingBundle {
    WaitingBundle {
        name: name.to_owned(),
        bytes: 1_250_000,
    }
}

#[test]
fn without_a_shell_no_page_mentions_it() {
    let screens = Screens::new();
    let sheet = format!("{}/sheet", screens.face);
    for path in ["/", "/sync", "/pair", "/nowhere", &screens.face, &sheet] {
        let page = text(screens.answer(&Request::get(path)));
        assert!(!page.contains("/shell/"), "{path}: {page}");
        assert!(!page.contains("shell-banner"), "{path}: {page}");
    }
}

#[test]
fn every_page_loads_the_shell_script_before_its_own() {
    let screens = Screens::new();
    let script = "<script src=\"/shell/shell.js\"></script>";
    for path in ["/", "/sync", "/pair", "/nowhere", "/bench", &screens.face] {
        let page = screens.page(path, &shell());
        let at = page
            .find(script)
            .unwrap_or_else(|| panic!("{path}: {page}"));
        assert_eq!(page.find("<script"), Some(at), "{path}");
    }
    let fragment = screens.answer(&Request {
        shell: Some(shell()),
        ..Request::get("/style.css")
    });
    assert!(!text(fragment).contains("<script"));
}

#[test]
fn shared_photos_wait_on_every_page_and_are_added_on_a_face() {
    let screens = Screens::new();
    let one = ShellState {
        waiting_photos: 1,
        ..shell()
    };
    let page = screens.page("/", &one);
    assert!(
        page.contains("1 shared photo is waiting. Open the face or hole it shows to add it."),
        "{page}"
    );
    assert!(!page.contains("data-waiting"));
    assert!(page.contains("action=\"/shell/discard-photos\""));
    let several = ShellState {
        waiting_photos: 3,
        ..shell()
    };
    let page = screens.page(&screens.face, &several);
    assert!(page.contains("3 shared photos are waiting.</p>"), "{page}");
    let form = format!("action=\"{}/photo\" data-waiting=\"photo\"", screens.face);
    assert!(page.contains(&form), "{page}");
    assert!(page.contains("Add them here") && page.contains("Discard them"));
    assert!(!screens.page("/", &shell()).contains("shared photo"));
    let request = Request {
        method: Method::Post,
        ..Request::get(&format!("{}/hole", screens.face))
    };
    let added = screens.answer(&request);
    let hole = added.headers.iter().find(|(name, _)| *name == "location");
    let hole = hole.unwrap().1.split(['?', '#']).next().unwrap().to_owned();
    let page = screens.page(&hole, &several);
    let form = format!("action=\"{hole}/photo\" data-waiting=\"photo\"");
    assert!(page.contains(&form), "{page}");
    assert!(page.contains("Add them to this hole"), "{page}");
}

/// A rejected form is answered at the form's address, with the page of its face.
#[test]
fn rejected_form_of_a_face_still_offers_to_add_the_photos() {
    let screens = Screens::new();
    let request = Request {
        method: Method::Post,
        shell: Some(ShellState {
            waiting_photos: 2,
            ..shell()
        }),
        form: vec![("planned".to_owned(), "abc".to_owned())],
        ..Request::get(&format!("{}/cut", screens.face))
    };
    let response = screens.answer(&request);
    assert_eq!(response.status, 422);
    let page = text(response);
    assert!(page.contains("Add them here"), "{page}");
    assert!(page.contains("<script src=\"/shell/shell.js\">"));
}

#[test]
fn shared_bundles_are_imported_one_after_the_other_on_the_sync_page() {
    let screens = Screens::new();
    let two = ShellState {
        waiting_bundles: vec![bundle("barn <1>.zip"), bundle("second.zip")],
        ..shell()
    };
    let page = screens.page("/", &two);
    assert!(
        page.contains("Shared bundle barn &lt;1&gt;.zip (1.2 MB) is waiting."),
        "{page}"
    );
    assert!(page.contains("1 more waits after it.") && page.contains("href=\"/sync\">Go to Sync"));
    assert!(!page.contains("second.zip") && !page.contains("data-waiting"));
    let page = screens.page("/sync", &two);
    assert!(
        page.contains("action=\"/sync/import\" data-waiting=\"bundle\""),
        "{page}"
    );
    assert!(page.contains("action=\"/shell/discard-bundle\""));
    let one = ShellState {
        waiting_bundles: vec![bundle("barn.zip")],
        ..shell()
    };
    assert!(!screens.page("/sync", &one).contains("after it"));
}

#[test]
fn code_that_came_by_a_link_warns_and_typed_one_does_not() {
    let screens = Screens::new();
    assert!(!screens.page("/pair", &shell()).contains("Caution: "));
    let request = Request {
        query: vec![("code".to_owned(), "\"><script>x".to_owned())],
        shell: Some(shell()),
        ..Request::get("/pair")
    };
    let page = text(screens.answer(&request));
    assert!(
        page.contains("<b>Caution: </b>This code came from a link."),
        "{page}"
    );
    assert!(!page.contains("<script>x"), "{page}");
}

#[test]
fn job_sheet_can_be_shared_and_printed() {
    let screens = Screens::new();
    let page = screens.page(&format!("{}/sheet", screens.face), &shell());
    for address in ["/shell/share-sheet", "/shell/print"] {
        assert!(page.contains(&format!("action=\"{address}\"")), "{page}");
    }
    let face = screens.face.trim_start_matches("/face/");
    assert!(page.contains(&format!("name=\"face\" value=\"{face}\"")));
    let bolts = "<label>Bolts: <select name=\"bolts\"><option value=\"\" selected>as recorded, else machine oil</option>\
        <option value=\"dry\">plain steel, dry</option>";
    assert!(page.contains(bolts), "{page}");
    assert_eq!(page.matches("<select").count(), 1, "{page}");
    assert!(page.contains(">Record, to read here<"), "{page}");
    let own_page = screens.page(&screens.face, &shell());
    assert!(!own_page.contains("/shell/print"));
    let sheet = format!("{}/bolt-up/sheet", screens.face);
    assert!(screens.page(&sheet, &shell()).contains(">Share PDF, A4<"));
}

#[test]
fn sync_page_names_the_cable_folder() {
    let screens = Screens::new();
    let page = screens.page("/sync", &shell());
    assert!(page.contains("/storage/holebook/&lt;sync&gt;"), "{page}");
    assert!(page.contains("action=\"/shell/sync-cable\""));
    let none = ShellState {
        cable_folder: None,
        ..shell()
    };
    let page = screens.page("/sync", &none);
    assert!(page.contains("storage is not available"), "{page}");
    assert!(!page.contains("/shell/sync-cable"));
    assert!(!screens.page("/", &shell()).contains("sync-cable"));
}

#[test]
fn bundle_can_be_shared_in_a_shell_only() {
    let mut screens = Screens::new();
    let file = BundleFile {
        name: "notebook.zip".to_owned(),
        path: "/cache/notebook.zip".into(),
        entries: 2,
        photos: 0,
        bytes: 900,
    };
    screens.phone.run = Some(Run {
        steps: vec![RunStep {
            kind: TaskKind::WriteBundle,
            name: "the bundle".to_owned(),
            state: RunStepState::Done(RunResult::BundleWritten(file)),
        }],
        ended: Some(DateTime::parse_from_rfc3339("2026-11-25T14:12:00+01:00").unwrap()),
    });
    assert!(
        screens
            .page("/sync", &shell())
            .contains(">Save or share the bundle<")
    );
    let page = text(screens.answer(&Request::get("/sync")));
    assert!(page.contains(">Save the bundle<"), "{page}");
}
