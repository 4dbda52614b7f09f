//! The sync and pairing pages over a fake backend and over real folders.
#![allow(missing_docs, clippy::unwrap_used)]

use chrono::{DateTime, FixedOffset};
use holebook_core::hole::record::WantedThread;
use holebook_core::notebook::{
    CastingBody, FaceBody, HoleEntry, HoleId, Notebook, Settings, SyncCounts,
};
use holebook_core::sync::{FolderRemote, Progress, SyncPhase, SyncReport, sync_folder, sync_with};
use holebook_screens::sync_backend::*;
use holebook_screens::{Body, Method, Request, Response, Upload, answer, answer_with};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use tempfile::TempDir;

/// A backend that does what the test tells it and logs the calls.
#[derive(Default)]
struct FakeBackend {
    remotes: Vec<KnownRemote>,
    run: Mutex<Option<Run>>,
    calls: Mutex<Vec<String>>,
    code: Mutex<Option<PairingCode>>,
    devices: Mutex<Vec<PairedDevice>>,
    serves_pairing: bool,
    pairs: bool,
    shows_unsynced: bool,
    files: bool,
}

impl FakeBackend {
    fn note(&self, what: impl Into<String>) {
        self.calls.lock().unwrap().push(what.into());
    }

    fn calls(&self) -> Vec<String> {
        std::mem::take(&mut self.calls.lock().unwrap())
    }
}

impl SyncBackend for FakeBackend {
    fn known_remotes(&self) -> Result<Vec<KnownRemote>, SyncRefused> {
        Ok(self.remotes.clone())
    }
    fn run(&self) -> Option<Run> {
        self.run.lock().unwrap().clone()
    }
    fn start(&self, task: SyncTask<'_>) -> Result<(), SyncRefused> {
        if self.run().is_some_and(|run| run.is_running()) {
            return Err(SyncRefused("a sync is already running".to_owned()));
        }
        self.note(match task {
            SyncTask::SyncAll => "all".to_owned(),
            SyncTask::Sync(remote) => format!("with {remote}"),
            SyncTask::SyncFolder { folder, create } => {
                format!("folder {}, create: {create}", folder.display())
            }
            SyncTask::SyncBucket(bucket) => format!("{bucket:?}"),
            SyncTask::ImportBundle(upload) => format!("import {}", upload.name),
            SyncTask::WriteBundle(share) => format!("write {share:?}"),
            SyncTask::Export => "export".to_owned(),
        });
        Ok(())
    }
    fn cancel(&self) {
        self.note("cancel");
    }
    fn forget(&self, remote: &str) -> Result<(), SyncRefused> {
        self.note(format!("forget {remote}"));
        Ok(())
    }
    fn shows_unsynced_count(&self) -> bool {
        self.shows_unsynced
    }
    fn is_missing_folder(&self, folder: &Path) -> bool {
        folder.ends_with("missing")
    }
    fn supports_folders(&self) -> bool {
        self.files
    }
    fn supports_buckets(&self) -> bool {
        self.files
    }
    fn supports_bundles(&self) -> bool {
        self.files
    }
    fn pairing_server(&self) -> Option<&dyn PairingServer> {
        self.serves_pairing.then_some(self as &dyn PairingServer)
    }
    fn pairing_client(&self) -> Option<&dyn PairingClient> {
        self.pairs.then_some(self as &dyn PairingClient)
    }
}

impl PairingServer for FakeBackend {
    fn address(&self) -> Result<String, SyncRefused> {
        Ok("192.168.7.20:29376".to_owned())
    }
    fn code(&self) -> Option<PairingCode> {
        self.code.lock().unwrap().clone()
    }
    fn create_code(&self) -> Result<(), SyncRefused> {
        *self.code.lock().unwrap() = Some(PairingCode {
            address: "192.168.7.20".to_owned(),
            link: "holebook://pair?k=1&s=2".to_owned(),
            picture_svg: "<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_owned(),
            until: at("2026-11-25T14:12:00+01:00"),
            state: PairingCodeState::Open {
                digits: "482 913 077".to_owned(),
                renewed: false,
            },
        });
        Ok(())
    }
    fn cancel_code(&self) -> Result<(), SyncRefused> {
        if let Some(code) = self.code.lock().unwrap().as_mut() {
            code.state = PairingCodeState::Expired;
        }
        Ok(())
    }
    fn devices(&self) -> Result<Vec<PairedDevice>, SyncRefused> {
        Ok(self.devices.lock().unwrap().clone())
    }
    fn revoke(&self, device: &str) -> Result<(), SyncRefused> {
        let mut devices = self.devices.lock().unwrap();
        let found = devices.iter_mut().find(|known| known.id == device);
        let found = found.ok_or_else(|| SyncRefused("no such device is paired".to_owned()))?;
        found.revoked_at = Some(at("2026-11-25T15:00:00+01:00"));
        Ok(())
    }
}

impl PairingClient for FakeBackend {
    fn pair(&self, code: &str) -> Result<String, SyncRefused> {
        self.note(format!("pair {code}"));
        match code {
            "right" => Ok("Bench".to_owned()),
            _ => Err(SyncRefused(
                "the 3rd word, 'abanden', is not in the list".to_owned(),
            )),
        }
    }
}

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

struct Device {
    notebook: Arc<Notebook>,
    dir: TempDir,
}

impl Device {
    fn new() -> Self {
        let dir = TempDir::new().unwrap();
        let notebook = Arc::new(Notebook::open(&dir.path().join("notebook")).unwrap());
        Self { notebook, dir }
    }

    fn named(person: &str, name: &str) -> Self {
        let device = Self::new();
        let settings = device.notebook.settings().unwrap();
        let settings = Settings {
            person: person.to_owned(),
            device_name: name.to_owned(),
            ..settings
        };
        device.notebook.set_settings(&settings).unwrap();
        device
    }

    fn hole(&self) -> HoleId {
        let casting = self.notebook.add_casting(&CastingBody {
            name: "Pump".to_owned(),
            note: None,
            metal: None,
        });
        let face = self.notebook.add_face(&FaceBody {
            casting: casting.unwrap(),
            name: "Cover joint".to_owned(),
            note: None,
        });
        self.notebook.add_hole(face.unwrap(), None, None).unwrap()
    }

    fn want(&self, hole: HoleId, thread: &str) {
        let wanted = WantedThread {
            thread: thread.parse().unwrap(),
            bolt: None,
            through: None,
            pressure: false,
        };
        self.notebook
            .record(hole, HoleEntry::WantedThread(wanted), &[])
            .unwrap();
    }
}

fn get(device: &Device, backend: &dyn SyncBackend, path: &str) -> String {
    let response = answer_with(&device.notebook, backend, &Request::get(path));
    assert_eq!(response.status, 200, "{path}: {}", text(&response));
    text(&response)
}

fn post(device: &Device, backend: &dyn SyncBackend, path: &str, form: &[(&str, &str)]) -> Response {
    let pairs = form.iter();
    let request = Request {
        method: Method::Post,
        form: pairs
            .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()))
            .collect(),
        ..Request::get(path)
    };
    answer_with(&device.notebook, backend, &request)
}

/// Returns the address that an accepted form redirects to.
fn redirect(response: &Response) -> &str {
    assert_eq!(response.status, 303, "{}", text(response));
    &response.headers[0].1
}

fn text(response: &Response) -> String {
    match &response.body {
        Body::Text(text) => text.clone(),
        _ => String::new(),
    }
}

fn remote(id: &str, name: &str, paired: bool) -> KnownRemote {
    KnownRemote {
        id: id.to_owned(),
        name: name.to_owned(),
        paired,
    }
}

fn step(name: &str, state: RunStepState) -> RunStep {
    RunStep {
        kind: TaskKind::Sync,
        name: name.to_owned(),
        state,
    }
}

#[test]
fn device_without_sync_does_not_mention_it() {
    let device = Device::new();
    device.hole();
    let front = text(&answer(&device.notebook, &Request::get("/")));
    assert!(!front.contains("/sync") && !front.contains("not synced"));
    for path in ["/sync", "/sync/file", "/pair", "/devices"] {
        let response = answer(&device.notebook, &Request::get(path));
        assert_eq!(response.status, 404, "{path}");
    }
    for path in [
        "/sync/start",
        "/sync/import",
        "/pair/code",
        "/pair/shop",
        "/devices/revoke",
    ] {
        assert_eq!(
            post(&device, &NoSync, path, &[("device", "x"), ("code", "y")]).status,
            404,
            "{path}"
        );
    }
}

#[test]
fn every_page_head_counts_entries_not_synced_yet() {
    let device = Device::new();
    let hole = device.hole();
    let mut backend = FakeBackend {
        files: true,
        ..FakeBackend::default()
    };
    assert!(!get(&device, &backend, "/").contains("not synced yet"));
    backend.shows_unsynced = true;
    for path in [
        "/",
        "/bench",
        "/settings",
        &format!("/hole/{hole}"),
        "/sync",
    ] {
        let page = get(&device, &backend, path);
        assert!(
            page.contains("⇧\u{a0}</span>3<span class=\"visually-hidden\"> not synced yet"),
            "{path}"
        );
    }
    let page = get(&device, &backend, "/sync");
    assert!(
        page.contains("3 entries are on this device only. If you lose the device, you lose them.")
    );

    let face = device.notebook.hole(hole).unwrap().face;
    let photo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/photos/print.jpg");
    device.notebook.add_photo(face, &photo, None).unwrap();
    let page = get(&device, &backend, "/sync");
    assert!(
        page.contains("4 entries are on this device only, with 1 photo. If you lose the device"),
        "{page}"
    );

    let remote = TempDir::new().unwrap();
    sync_folder(&device.notebook, remote.path()).unwrap();
    let page = get(&device, &backend, "/sync");
    assert!(page.contains("Everything recorded on this device is on a remote."));
    assert!(!page.contains("not synced yet</span>") && page.contains("sync-link"));
}

#[test]
fn every_remote_shows_its_last_sync() {
    let device = Device::new();
    device.hole();
    let folder = TempDir::new().unwrap();
    sync_folder(&device.notebook, folder.path()).unwrap();
    let id = format!("folder:{}", folder.path().display());
    assert_eq!(device.notebook.remotes().unwrap()[0].id, id);
    let backend = FakeBackend {
        remotes: vec![
            remote("shop:abc", "the shop computer Bench", true),
            remote(&id, "the folder /media/stick", false),
        ],
        ..FakeBackend::default()
    };
    let page = get(&device, &backend, "/sync");
    assert!(page.contains("The shop computer Bench") && page.contains("Not synced yet."));
    assert!(page.contains("Received nothing; sent 3 entries."), "{page}");
    assert!(page.contains("Sync with all 2"));

    let begin = |form: &[(&str, &str)]| post(&device, &backend, "/sync/start", form);
    assert_eq!(redirect(&begin(&[])), "/sync?notice=started");
    assert_eq!(
        redirect(&begin(&[("remote", "shop:abc")])),
        "/sync?notice=started"
    );
    let forgotten = post(&device, &backend, "/sync/forget", &[("remote", &id)]);
    assert_eq!(redirect(&forgotten), "/sync?notice=forgotten");
    assert_eq!(
        backend.calls(),
        ["all", "with shop:abc", &format!("forget {id}")]
    );
    // This backend supports neither folders nor bundles.
    assert_eq!(
        post(&device, &backend, "/sync/folder", &[("folder", "/x")]).status,
        404
    );
    assert_eq!(post(&device, &backend, "/sync/export", &[]).status, 404);
}

#[test]
fn running_sync_shows_progress_and_refreshes_without_script() {
    let device = Device::new();
    let backend = FakeBackend {
        files: true,
        remotes: vec![remote("shop:abc", "the shop computer Bench", true)],
        ..FakeBackend::default()
    };
    let idle = get(&device, &backend, "/sync");
    assert!(!idle.contains("http-equiv") && !idle.contains("follow-progress.js"));
    let progress = Progress {
        phase: SyncPhase::Pulling,
        entries: 12,
        entries_total: 40,
        photo_bytes: 3_140_000,
        photo_bytes_total: 22_000_000,
    };
    *backend.run.lock().unwrap() = Some(Run {
        steps: vec![
            step(
                "the shop computer Bench",
                RunStepState::Running(Some(progress)),
            ),
            step("the folder /media/stick", RunStepState::Waiting),
        ],
        ended: None,
    });
    let page = get(&device, &backend, "/sync");
    assert!(page.contains("<noscript><meta http-equiv=\"refresh\" content=\"2\"></noscript>"));
    assert!(page.contains("src=\"/follow-progress.js\""));
    assert!(
        page.contains("Receiving: 12 of 40 entries, 3.1 of 22.0 MB of photos."),
        "{page}"
    );
    assert!(page.contains("max=\"22000000\" value=\"3140000\""));
    assert!(page.contains("Waiting.") && page.contains("action=\"/sync/stop\""));
    assert!(!page.contains("action=\"/sync/start\""), "one at a time");
    assert_eq!(
        get(&device, &backend, "/follow-progress.js")
            .matches("fetch(")
            .count(),
        1
    );

    let second = post(&device, &backend, "/sync/folder", &[("folder", "/x")]);
    assert_eq!(second.status, 422);
    let page = text(&second);
    assert!(
        page.contains("Not done. A sync is already running."),
        "{page}"
    );
    redirect(&post(&device, &backend, "/sync/stop", &[]));
    assert_eq!(backend.calls(), ["cancel"]);
}

#[test]
fn failures_and_skipped_files_are_named() {
    let device = Device::new();
    let backend = FakeBackend {
        files: true,
        ..FakeBackend::default()
    };
    let problem = holebook_core::sync::Problem {
        file: "photos/ab".to_owned(),
        reason: "it is cut short".to_owned(),
    };
    *backend.run.lock().unwrap() = Some(Run {
        steps: vec![
            step(
                "the shop computer Bench",
                RunStepState::Failed(StepFailure::new(SyncRefused(
                    "the shop computer Bench cannot be reached".to_owned(),
                ))),
            ),
            step(
                "the folder /media/stick",
                RunStepState::Done(RunResult::Synced(SyncReport {
                    entries_pulled: 1,
                    problems: vec![problem; 8],
                    ..SyncReport::default()
                })),
            ),
        ],
        ended: Some(at("2026-11-25T14:12:00+01:00")),
    });
    let page = get(&device, &backend, "/sync");
    assert!(page.contains(">Partly done, 25 Nov 2026, 14:12"));
    assert!(
        page.contains("role=\"alert\">The shop computer Bench cannot be reached.</p>"),
        "{page}"
    );
    assert!(page.contains("Received 1 entry; sent nothing."));
    assert_eq!(
        page.matches("Photos/ab on the remote was skipped").count(),
        6
    );
    assert!(page.contains("2 more files were skipped."));
}

#[test]
fn folder_needs_a_full_path() {
    let device = Device::new();
    let backend = FakeBackend {
        files: true,
        ..FakeBackend::default()
    };
    let folder = |path: &str| post(&device, &backend, "/sync/folder", &[("folder", path)]);
    for wrong in ["", "stick", "../stick"] {
        let refused = folder(wrong);
        assert_eq!(refused.status, 422, "{wrong}");
        assert!(text(&refused).contains("aria-invalid=\"true\""), "{wrong}");
    }
    redirect(&folder("/media/a stick/holebook"));
    assert_eq!(
        backend.calls(),
        ["folder /media/a stick/holebook, create: false"]
    );
}

#[test]
fn missing_folder_is_asked_about_before_it_is_created() {
    let device = Device::new();
    let backend = FakeBackend {
        files: true,
        ..FakeBackend::default()
    };
    let path = ("folder", "/media/stick/missing");
    assert!(!get(&device, &backend, "/sync").contains("Create this folder"));
    let asked = post(&device, &backend, "/sync/folder", &[path]);
    assert_eq!(asked.status, 422);
    let page = text(&asked);
    assert!(
        page.contains("There is no folder at this path.") && page.contains("Create this folder")
    );
    assert!(
        page.contains("value=\"/media/stick/missing\""),
        "what was typed stays"
    );
    assert_eq!(backend.calls(), Vec::<String>::new());
    redirect(&post(
        &device,
        &backend,
        "/sync/folder",
        &[path, ("create", "yes")],
    ));
    assert_eq!(
        backend.calls(),
        ["folder /media/stick/missing, create: true"]
    );
}

#[test]
fn names_cannot_disguise_themselves_on_the_pages() {
    let device = Device::new();
    let backend = FakeBackend {
        serves_pairing: true,
        remotes: vec![remote(
            "shop:abc",
            "the shop computer B\u{435}nch\u{202e}",
            true,
        )],
        devices: Mutex::new(vec![PairedDevice {
            id: "7".to_owned(),
            name: "\u{5d8}\u{5dc}\u{5e4}\u{5d5}\u{5df}\u{200b}".to_owned(),
            paired_at: at("2026-11-24T09:00:00+01:00"),
            last_sync: None,
            revoked_at: None,
        }]),
        ..FakeBackend::default()
    };
    let page = get(&device, &backend, "/sync");
    assert!(
        page.contains("The shop computer B[U+0435]nch[U+202E]"),
        "{page}"
    );
    assert!(!page.contains('\u{202e}') && !page.contains('\u{435}'));
    let page = get(&device, &backend, "/devices");
    let isolated = "\u{2068}\u{5d8}\u{5dc}\u{5e4}\u{5d5}\u{5df}[U+200B]\u{2069}";
    assert!(
        page.contains(isolated) && page.contains("Number 7, paired"),
        "{page}"
    );
}

#[test]
fn new_devices_are_named_with_the_remote_that_their_entries_came_from() {
    let (barn, bench) = (Device::new(), Device::new());
    barn.hole();
    let folder = TempDir::new().unwrap();
    sync_folder(&barn.notebook, folder.path()).unwrap();
    let backend = OneFolder::of(&bench, folder.path());
    assert!(!get(&bench, &backend, "/sync").contains("id=\"devices\""));
    redirect(&post(&bench, &backend, "/sync/start", &[]));
    backend.worker.wait();
    let page = get(&bench, &backend, "/sync");
    let id = barn.notebook.heads().unwrap()[0].device.to_string();
    let end = id.rsplit('-').next().unwrap();
    assert!(
        page.contains("New here") && page.contains("check that you know them"),
        "{page}"
    );
    assert!(page.contains(&format!("({end})")), "{page}");
    let from = format!("First entries from the folder {}", folder.path().display());
    assert!(page.contains(&from), "{page}");
    redirect(&post(&bench, &backend, "/sync/start", &[]));
    backend.worker.wait();
    let page = get(&bench, &backend, "/sync");
    assert!(
        !page.contains("New here") && page.contains("First entries from the folder"),
        "{page}"
    );
}

#[test]
fn bucket_form_reads_address_and_key_file() {
    let device = Device::new();
    let backend = FakeBackend {
        files: true,
        ..FakeBackend::default()
    };
    let bucket = |form: &[(&str, &str)]| post(&device, &backend, "/sync/bucket", form);
    let address = ("address", "https://store.example/barn");
    for (wrong, form) in [
        (
            "no address",
            [("address", " "), ("keys", "/home/k/keys.toml")],
        ),
        ("not a full path", [address, ("keys", "keys.toml")]),
    ] {
        let refused = bucket(&form);
        assert_eq!(refused.status, 422, "{wrong}");
        let page = text(&refused);
        assert!(page.contains("aria-invalid=\"true\""), "{wrong}");
        assert!(
            page.contains("<details class=\"panel\" open>") && page.contains(form[1].1),
            "{wrong}: what was typed stays in sight"
        );
    }
    redirect(&bucket(&[address]));
    redirect(&bucket(&[
        ("address", "s3://parts/barn"),
        ("endpoint", "https://store.example"),
        ("keys", "/home/k/keys.toml"),
        ("unencrypted", "yes"),
    ]));
    let calls = |bucket: BucketRequest<'_>| format!("{bucket:?}");
    let plain = BucketRequest {
        address: address.1,
        endpoint: None,
        keys: None,
        unencrypted: false,
    };
    let full = BucketRequest {
        address: "s3://parts/barn",
        endpoint: Some("https://store.example"),
        keys: Some(Path::new("/home/k/keys.toml")),
        unencrypted: true,
    };
    assert_eq!(backend.calls(), [calls(plain), calls(full)]);

    let bare = FakeBackend::default();
    assert_eq!(post(&device, &bare, "/sync/bucket", &[address]).status, 404);
}

#[test]
fn bundles_are_exported_downloaded_and_imported() {
    let device = Device::new();
    let backend = FakeBackend {
        files: true,
        ..FakeBackend::default()
    };
    assert!(get(&device, &backend, "/sync").contains("Export bundle"));
    redirect(&post(&device, &backend, "/sync/export", &[("what", "all")]));
    redirect(&post(&device, &backend, "/sync/export", &[("what", "new")]));
    assert_eq!(post(&device, &backend, "/sync/import", &[]).status, 422);
    let request = Request {
        method: Method::Post,
        uploads: vec![Upload {
            field: "bundle".to_owned(),
            name: "barn.zip".to_owned(),
            path: PathBuf::from("/nowhere"),
        }],
        ..Request::get("/sync/import")
    };
    redirect(&answer_with(&device.notebook, &backend, &request));
    assert_eq!(
        backend.calls(),
        ["write All", "write NotSynced", "import barn.zip"]
    );

    let none = answer_with(&device.notebook, &backend, &Request::get("/sync/file"));
    assert_eq!(none.status, 404);
    let path = device.dir.path().join("b.zip");
    *backend.run.lock().unwrap() = Some(Run {
        steps: vec![RunStep {
            kind: TaskKind::WriteBundle,
            name: "a bundle".to_owned(),
            state: RunStepState::Done(RunResult::BundleWritten(BundleFile {
                path: path.clone(),
                name: "holebook-\"2026\r\n.zip".to_owned(),
                bytes: 12_340_000,
                entries: 3,
                photos: 1,
            })),
        }],
        ended: Some(at("2026-11-25T14:12:00+01:00")),
    });
    assert!(get(&device, &backend, "/sync").contains(": 3 entries and 1 photo, 12.3 MB."));
    let file = answer_with(&device.notebook, &backend, &Request::get("/sync/file"));
    assert_eq!(file.body, Body::File(path));
    let (_, named) = &file.headers[1];
    assert_eq!(named, "attachment; filename=\"holebook-2026.zip\"");
}

#[test]
fn pairing_code_is_shown_until_it_is_used() {
    let device = Device::new();
    let backend = FakeBackend {
        serves_pairing: true,
        ..FakeBackend::default()
    };
    assert!(get(&device, &backend, "/sync").contains("href=\"/devices\""));
    assert!(get(&device, &backend, "/pair").contains("Make a pairing code"));
    assert_eq!(
        redirect(&post(&device, &backend, "/pair/code", &[])),
        "/pair?notice=code"
    );
    let page = get(&device, &backend, "/pair");
    for words in [
        "<p class=\"code-digits\">482 913 077</p>",
        "type this before the digits: <span class=\"nowrap\">192.168.7.20</span>",
        "Expires at 14:12",
        "Pairs one device",
        "can read and change this whole notebook",
        "holebook://pair?k=1&amp;s=2",
        "src=\"data:image/svg+xml;base64,",
        "192.168.7.20:29376",
        "<noscript><meta",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("somebody else on this network"));
    backend.code.lock().unwrap().as_mut().unwrap().state = PairingCodeState::Open {
        digits: "000 000 001".to_owned(),
        renewed: true,
    };
    let page = get(&device, &backend, "/pair");
    assert!(page.contains("000 000 001") && page.contains("somebody else on this network"));
    backend.code.lock().unwrap().as_mut().unwrap().state =
        PairingCodeState::Used("Barn <phone>".to_owned());
    let page = get(&device, &backend, "/pair");
    assert!(page.contains("✓ Barn &lt;phone&gt; is paired."), "{page}");
    assert!(!page.contains("000 000 001") && !page.contains("http-equiv"));
    redirect(&post(&device, &backend, "/pair/code", &[]));
    redirect(&post(&device, &backend, "/pair/withdraw", &[]));
    let page = get(&device, &backend, "/pair");
    assert!(page.contains("no longer works") && !page.contains("482 913 077"));
    assert_eq!(
        post(&device, &backend, "/pair/shop", &[("code", "right")]).status,
        404
    );
}

#[test]
fn revoked_device_stays_listed() {
    let device = Device::new();
    let counts = SyncCounts {
        entries_pulled: 1,
        entries_pushed: 12,
        photos_pulled: 0,
        photos_pushed: 3,
    };
    let paired = |id: &str, name: &str, last| PairedDevice {
        id: id.to_owned(),
        name: name.to_owned(),
        paired_at: at("2026-11-24T09:00:00+01:00"),
        last_sync: last,
        revoked_at: None,
    };
    let backend = FakeBackend {
        serves_pairing: true,
        devices: Mutex::new(vec![
            paired(
                "a",
                "Barn phone",
                Some((at("2026-11-25T14:12:00+01:00"), counts)),
            ),
            paired("b", "Old phone", None),
        ]),
        ..FakeBackend::default()
    };
    let page = get(&device, &backend, "/devices");
    assert!(
        page.contains("It sent 12 entries and 3 photos and received 1 entry."),
        "{page}"
    );
    assert!(page.contains("Not synced yet."));
    assert!(page.contains("It can no longer sync."));
    let revoke = |id: &str| post(&device, &backend, "/devices/revoke", &[("device", id)]);
    assert_eq!(revoke("c").status, 422);
    assert_eq!(redirect(&revoke("b")), "/devices?notice=revoked");
    let page = get(&device, &backend, "/devices");
    assert!(page.contains("<span class=\"struck-out\">Old phone</span>"));
    assert!(!page.contains("name=\"device\" value=\"b\""));
    assert!(page.contains("name=\"device\" value=\"a\""));
}

#[test]
fn device_pairs_by_typed_or_scanned_code() {
    let device = Device::new();
    let backend = FakeBackend {
        pairs: true,
        ..FakeBackend::default()
    };
    assert!(get(&device, &backend, "/sync").contains("Pair with a shop computer"));
    let scanned = Request {
        query: vec![("code".to_owned(), "holebook://pair?a=\"<".to_owned())],
        ..Request::get("/pair")
    };
    let page = text(&answer_with(&device.notebook, &backend, &scanned));
    assert!(
        page.contains("holebook://pair?a=&quot;&lt;</textarea>"),
        "{page}"
    );
    let pair = |code: &str| post(&device, &backend, "/pair/shop", &[("code", code)]);
    assert_eq!(pair("").status, 422);
    let wrong = pair("abanden one two");
    assert_eq!(wrong.status, 422);
    let page = text(&wrong);
    assert!(
        page.contains("The 3rd word, 'abanden', is not in the list."),
        "{page}"
    );
    assert!(
        page.contains(">abanden one two</textarea>"),
        "what was typed stays"
    );
    assert_eq!(redirect(&pair("right")), "/sync?notice=paired");
    assert_eq!(backend.calls(), ["pair abanden one two", "pair right"]);
    assert_eq!(post(&device, &backend, "/pair/code", &[]).status, 404);
}

/// A backend that syncs with one folder through the real worker.
struct OneFolder {
    notebook: Arc<Notebook>,
    folder: PathBuf,
    worker: Worker,
}

impl OneFolder {
    fn of(device: &Device, folder: &Path) -> Self {
        Self {
            notebook: Arc::clone(&device.notebook),
            folder: folder.to_owned(),
            worker: Worker::default(),
        }
    }
}

impl SyncBackend for OneFolder {
    fn known_remotes(&self) -> Result<Vec<KnownRemote>, SyncRefused> {
        Ok(vec![remote("folder", "the folder /media/stick", false)])
    }
    fn run(&self) -> Option<Run> {
        self.worker.run()
    }
    fn start(&self, _: SyncTask<'_>) -> Result<(), SyncRefused> {
        let (notebook, folder) = (Arc::clone(&self.notebook), self.folder.clone());
        let work = move |watch: &holebook_core::sync::OnProgress<'_>| {
            let (remote, _) = FolderRemote::open(&folder).map_err(StepFailure::new)?;
            let report = sync_with(&notebook, &remote, watch);
            report.map(RunResult::Synced).map_err(StepFailure::new)
        };
        self.worker.start(vec![Job::new(
            TaskKind::Sync,
            "the folder /media/stick",
            work,
        )])?;
        Ok(())
    }
    fn cancel(&self) {
        self.worker.cancel();
    }
    fn forget(&self, _: &str) -> Result<(), SyncRefused> {
        Ok(())
    }
}

#[test]
fn conflict_from_a_sync_is_linked_shown_and_resolved() {
    let folder = TempDir::new().unwrap();
    let (barn, bench) = (
        Device::named("R. Barn", "Barn phone"),
        Device::named("K. Bench", "Shop computer"),
    );
    let (in_barn, at_bench) = (
        OneFolder::of(&barn, folder.path()),
        OneFolder::of(&bench, folder.path()),
    );
    let sync = |device: &Device, backend: &OneFolder| {
        redirect(&post(device, backend, "/sync/start", &[]));
        backend.worker.wait();
        get(device, backend, "/sync")
    };
    let hole = barn.hole();
    sync(&barn, &in_barn);
    let page = sync(&bench, &at_bench);
    assert!(page.contains("Received 4 entries; sent 1 entry."), "{page}");
    assert!(!page.contains("devices disagree"));

    barn.want(hole, "3/8-16");
    bench.want(hole, "7/16-14");
    sync(&barn, &in_barn);
    let page = sync(&bench, &at_bench);
    let link = format!("<a href=\"/hole/{hole}#conflicts\">Hole 1, Cover joint, Pump</a>");
    assert!(page.contains(&link), "{page}");

    let page = get(&bench, &at_bench, &format!("/hole/{hole}"));
    assert!(
        page.contains("R. Barn, on Barn phone, ") && page.contains("K. Bench, on Shop computer, "),
        "{page}"
    );
    let view = bench.notebook.hole(hole).unwrap();
    for path in [
        format!("/face/{}", view.face),
        format!("/casting/{}", view.casting.unwrap()),
        "/".to_owned(),
    ] {
        assert!(get(&bench, &at_bench, &path).contains("conflict"), "{path}");
    }
    let wanted = &view.record.wanted.0;
    let entries: Vec<String> = wanted
        .iter()
        .map(|recorded| recorded.entry.to_string())
        .collect();
    let form = [
        ("kind", "wanted-thread"),
        ("entry", &*entries[0]),
        ("replaces", &*entries[0]),
        ("replaces", &*entries[1]),
    ];
    redirect(&post(
        &bench,
        &at_bench,
        &format!("/hole/{hole}/resolve"),
        &form,
    ));
    sync(&bench, &at_bench);
    let page = sync(&barn, &in_barn);
    assert!(!page.contains("devices disagree"));
    assert!(!barn.notebook.hole(hole).unwrap().conflict);
}
