//! The sync page: what is not synced yet, the remotes, progress, and bundles.

mod bucket;
pub mod bundle;
mod cable;
mod devices;
mod remotes;
mod run;

use crate::carrier::Request;
use crate::form::{FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::{count, not_synced_entries};
use crate::notices::{Notice, with_notice};
use crate::page::{Crumb, Page};
use crate::pages::FormContext;
use crate::sync_backend::{KnownRemote, Run, SyncBackend, SyncRefused, SyncTask};
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};
use std::path::Path;

/// The page's address.
pub const PATH: &str = "/sync";

/// Seconds between refreshes of the page while something is running.
const REFRESH_SECONDS: u16 = 2;

/// Whether this device can sync at all; if not, no page mentions it.
pub fn is_offered(backend: &dyn SyncBackend) -> bool {
    backend.supports_folders()
        || backend.supports_buckets()
        || backend.supports_bundles()
        || backend.pairing_server().is_some()
        || backend.pairing_client().is_some()
        || backend
            .known_remotes()
            .is_ok_and(|remotes| !remotes.is_empty())
}

/// The page.
pub fn show(
    notebook: &Notebook,
    backend: &dyn SyncBackend,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let run = backend.run();
    let running = run.as_ref().is_some_and(Run::is_running);
    let remotes = backend.known_remotes();
    let content = html! {
        h1 { "Sync" }
        (context.outcome_or("Not done."))
        (run::section(notebook, run.as_ref(), context.shell.is_some())?)
        (not_synced(notebook, backend, &remotes, running)?)
        (remotes::section(notebook, &remotes, running)?)
        (pairing(backend))
        (devices::section(notebook)?)
        @if backend.supports_folders() { (folder(context)) }
        @if backend.supports_buckets() { (bucket::section(context)) }
        @if backend.supports_bundles() { (bundle::section(context)) (bundle::export_section()) }
        @if let Some(shell) = context.shell { (cable::section(shell)) }
    };
    let crumbs = [Crumb::to("Castings", "/"), Crumb::here("Sync")];
    let title = context.title_or("Not done", "Sync");
    Ok(Page::new(&title, crumbs, content).refreshed_every(running.then_some(REFRESH_SECONDS)))
}

/// How much exists on this device only, and the button that syncs it.
fn not_synced(
    notebook: &Notebook,
    backend: &dyn SyncBackend,
    remotes: &Result<Vec<KnownRemote>, SyncRefused>,
    running: bool,
) -> Result<Markup, NotebookError> {
    let entries = notebook.entries_not_synced()?;
    let photos = match entries {
        0 => 0,
        _ => notebook.photos_not_synced()?,
    };
    let photos = usize::try_from(photos).unwrap_or(usize::MAX);
    let known = remotes.as_ref().map_or(0, Vec::len);
    Ok(html! {
        section.panel.next[known > 0 && !running] aria-labelledby="not-synced" {
            h2 #not-synced { @if entries == 0 { "All synced" } @else { "Not synced yet" } }
            @if backend.pairing_server().is_some() { (not_synced_shop(entries, photos)) } @else if entries == 0 {
                p { "Everything recorded on this device is on a remote." }
            } @else {
                p { (not_synced_entries(entries))
                    @if photos > 0 { ", with " (count(photos, "photo", "photos")) }
                    ". If you lose the device, you lose them." }
            }
            @if known > 0 && !running {
                form method="post" action=(FormName::StartSync.address()) {
                    button.main { @if known == 1 { "Sync now" } @else { "Sync with all " (known) } }
                }
            }
        }
    })
}

/// A shop computer is a remote itself; copies that paired devices took from it are not counted.
fn not_synced_shop(entries: u64, photos: usize) -> Markup {
    html! {
        @if entries == 0 { p { "Everything recorded on this computer is on a remote." } } @else {
            p { (count(usize::try_from(entries).unwrap_or(usize::MAX), "entry", "entries")) " recorded here"
                @if photos > 0 { ", with " (count(photos, "photo", "photos")) ", " }
                @if entries == 1 { " is" } @else { " are" } " on no stick, folder or bucket yet." }
            p.faint { "Copies on paired devices are not counted." }
        }
    }
}

/// Links to the pages for pairing.
fn pairing(backend: &dyn SyncBackend) -> Markup {
    html! {
        @if backend.pairing_server().is_some() || backend.pairing_client().is_some() {
            p.row.pairing {
                @if backend.pairing_server().is_some() {
                    a.button href="/pair" { "Pair a device" }
                    a.button href="/devices" { "Paired devices" }
                } @else {
                    a.button href="/pair" { "Pair with a shop computer" }
                }
            }
        }
    }
}

const FOLDER: &str = "Folder path on this computer";

fn folder(context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::SyncFolder);
    html! {
        section.panel aria-labelledby="folder" {
            h2 #folder { "Folder or stick" }
            form method="post" action=(FormName::SyncFolder.address()) {
                (form.text(Field::Folder, FOLDER, None, "/media/stick/holebook"))
                @if form.is_wrong(Field::Create) { (form.checkbox(Field::Create, "Create this folder", false)) }
                p { button { "Sync with this folder" } }
            }
        }
    }
}

/// Processes a form of the page and returns the address of the next page; `None` if this device has
/// no such form.
pub fn submit(
    backend: &dyn SyncBackend,
    form: FormName,
    request: &Request,
) -> Option<Result<String, FormError>> {
    if !is_offered(backend) {
        return None;
    }
    let start = |task| {
        Ok(backend
            .start(task)
            .map(|()| with_notice(PATH, Notice::Started))?)
    };
    Some(match form {
        FormName::StartSync => match request.field(Field::Remote) {
            Some(remote) => start(SyncTask::Sync(remote)),
            None => start(SyncTask::SyncAll),
        },
        FormName::StopSync => {
            backend.cancel();
            Ok(with_notice(PATH, Notice::Stopping))
        }
        FormName::SyncFolder if backend.supports_folders() => {
            read_folder(backend, request).and_then(start)
        }
        FormName::SyncBucket if backend.supports_buckets() => {
            bucket::read(request).and_then(|bucket| start(SyncTask::SyncBucket(bucket)))
        }
        FormName::ForgetRemote => required_text(request, Field::Remote, "Remote")
            .and_then(|remote| Ok(backend.forget(remote)?))
            .map(|()| with_notice(PATH, Notice::Forgotten)),
        FormName::ImportBundle if backend.supports_bundles() => {
            bundle::uploaded(request).and_then(|bundle| start(SyncTask::ImportBundle(bundle)))
        }
        FormName::ExportBundle if backend.supports_bundles() => {
            start(SyncTask::WriteBundle(bundle::share(request)))
        }
        FormName::Export if backend.supports_bundles() => start(SyncTask::Export),
        _ => return None,
    })
}

/// Reads the form. A folder that does not exist may be a mistyped one, so the page asks first.
fn read_folder<'a>(
    backend: &dyn SyncBackend,
    request: &'a Request,
) -> Result<SyncTask<'a>, FormError> {
    let path = required_text(request, Field::Folder, FOLDER)?;
    let folder = absolute_path(path, Field::Folder, FOLDER)?;
    let create = request.field(Field::Create).is_some();
    if !create && backend.is_missing_folder(folder) {
        let message =
            "There is no folder at this path. Check the path, or tick the box to create it.";
        return Err(FormError::new(message).at(Field::Create));
    }
    Ok(SyncTask::SyncFolder { folder, create })
}

/// A path that a person typed, who does not know in which folder the program runs.
fn absolute_path<'a>(path: &'a str, field: Field, label: &str) -> Result<&'a Path, FormError> {
    let path = Path::new(path);
    if path.is_absolute() {
        return Ok(path);
    }
    let message = format!(
        "'{}' is not a full path; enter it as the file manager shows it",
        path.display()
    );
    Err(FormError::of(field, label, message))
}

impl From<SyncRefused> for FormError {
    fn from(not_done: SyncRefused) -> Self {
        Self::new(not_done.0)
    }
}
