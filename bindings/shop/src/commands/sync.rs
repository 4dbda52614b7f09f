//! `holebook sync`: syncs the notebook with a remote.

use super::count_of;
use super::output::OutputOptions;
use super::progress::ProgressLine;
use crate::cli;
use crate::failure::Failure;
use crate::folders::is_notebook;
use crate::new_remotes;
use crate::out;
use crate::table::{item, paragraph, plain};
use holebook_core::notebook::Notebook;
use holebook_core::sync::{Bundle, MissingFolder, OnProgress, SyncError, SyncReport, folder_name};
#[cfg(feature = "bucket")]
use holebook_sync::bucket::Address;
use holebook_sync::service::{RemoteEntry, Remotes, ServiceError};
use serde::Serialize;
use std::path::Path;
use std::sync::Arc;

/// The most skipped files that are named; of the others, only the number is.
const MAX_PROBLEMS: usize = 10;

/// Syncs the notebook in `folder` with the named remote, or with every known one; creates the
/// notebook if needed.
///
/// # Errors
/// If the notebook or the remote cannot be reached, read, or written, or some files could not be
/// pulled.
pub fn run(folder: &Path, args: &cli::Sync, output: OutputOptions) -> Result<(), Failure> {
    if let Some(file) = &args.bundle {
        return import_bundle(folder, file, output);
    }
    let remotes = open(folder)?;
    #[cfg(feature = "bucket")]
    if let Some(address) = &args.bucket.bucket {
        return sync_bucket(&remotes, address, &args.bucket, output);
    }
    match (&args.folder, &args.shop) {
        (Some(folder), _) => sync_folder(&remotes, folder, args.create, output),
        (None, Some(name)) => {
            let shop = find_shop(remotes.known()?, name)?;
            sync_named(&shop.name, output, |on_progress| {
                remotes.sync(&shop.location, on_progress)
            })
        }
        (None, None) => sync_all(&remotes, output),
    }
}

/// Imports a bundle. A notebook that was made for it stays only if something was imported.
fn import_bundle(folder: &Path, file: &Path, output: OutputOptions) -> Result<(), Failure> {
    Bundle::open(file)?;
    let is_new = !is_notebook(folder);
    let imported = import_into(folder, file);
    if is_new && imported.as_ref().map_or(true, is_nothing) {
        // It is empty, and harmless if it stays.
        let _ = Notebook::delete_if_empty(folder);
    }
    let report = imported?;
    let pulled = count(report.entries_pulled, report.photos_pulled);
    let moved = format!("Pulled from the bundle: {pulled}.\n");
    print_report(&report, &moved, &bundle_name(file), output)
}

fn import_into(folder: &Path, file: &Path) -> Result<SyncReport, Failure> {
    let remotes = open(folder)?;
    let progress = ProgressLine::start()?;
    Ok(remotes.import_bundle(file, &progress.watch(&bundle_name(file)))?)
}

/// Opens the notebook, which is made if needed, and prints its warnings.
fn open(folder: &Path) -> Result<Arc<Remotes>, Failure> {
    let notebook = Notebook::open(folder)?;
    super::warn(&notebook)?;
    Ok(new_remotes(Arc::new(notebook)))
}

fn bundle_name(file: &Path) -> String {
    format!("the bundle {}", file.display())
}

fn is_nothing(report: &SyncReport) -> bool {
    report.entries_pulled == 0 && report.photos_pulled == 0
}

/// Syncs with a folder. One that is missing may be mistyped, so it is created only if asked.
fn sync_folder(
    remotes: &Remotes,
    folder: &Path,
    create: bool,
    output: OutputOptions,
) -> Result<(), Failure> {
    let missing = match create {
        true => MissingFolder::Create,
        false => MissingFolder::Ask,
    };
    let synced = sync_named(&folder_name(folder), output, |on_progress| {
        remotes.sync_folder(folder, missing, on_progress)
    });
    synced.map_err(|failure| match failure {
        Failure::Service(ServiceError::Sync(SyncError::RemoteMissing { remote })) => {
            Failure::Message(format!(
                "{} does not exist; check its path, or add --create to create it",
                plain(&remote)
            ))
        }
        other => other,
    })
}

/// Syncs with a bucket or a WebDAV folder; its keys file is given now or known from last time.
#[cfg(feature = "bucket")]
fn sync_bucket(
    remotes: &Remotes,
    address: &str,
    args: &cli::Bucket,
    output: OutputOptions,
) -> Result<(), Failure> {
    let address = Address::parse(address, args.endpoint.as_deref())?;
    let keys = args.bucket_keys.as_ref().map(|file| {
        std::path::absolute(file)
            .map_err(|error| Failure::file("looking for the keys in", file, &error))
    });
    let access = remotes.bucket_settings().access(&address)?;
    let access = access.updated(keys.transpose()?, args.unencrypted);
    sync_named(&address.name(), output, |on_progress| {
        remotes.sync_bucket(&address, access, on_progress)
    })
}

/// Finds the shop computer with this name; the only one if no name is given.
fn find_shop(known: Vec<RemoteEntry>, name: &str) -> Result<RemoteEntry, Failure> {
    let mut shops = known;
    shops.retain(RemoteEntry::is_paired);
    let all: Vec<String> = shops.iter().map(|shop| shop.name.clone()).collect();
    let matches = |shop: &RemoteEntry| {
        name.is_empty()
            || shop.id == format!("shop:{name}")
            || shop.name.to_lowercase() == format!("the shop computer {}", name.to_lowercase())
    };
    let mut found: Vec<RemoteEntry> = shops.into_iter().filter(matches).collect();
    match (found.pop(), found.is_empty()) {
        (Some(shop), true) => Ok(shop),
        (None, _) if all.is_empty() => Err(Failure::Message(
            "this computer is not paired with a shop computer; pair it with `holebook pair --code` and the code that one shows"
                .to_owned(),
        )),
        _ => Err(Failure::Message(format!(
            "no single shop computer matches '{}'; this computer is paired with {}",
            plain(name),
            plain(&all.join(", "))
        ))),
    }
}

/// Syncs with one remote.
fn sync_named(
    name: &str,
    output: OutputOptions,
    sync: impl FnOnce(&OnProgress<'_>) -> Result<SyncReport, ServiceError>,
) -> Result<(), Failure> {
    let progress = ProgressLine::start()?;
    let report = sync(&progress.watch(name))?;
    drop(progress);
    print_report(&report, &transferred(&report), name, output)
}

/// Prints the report of one sync.
fn print_report(
    report: &SyncReport,
    moved: &str,
    name: &str,
    output: OutputOptions,
) -> Result<(), Failure> {
    if output.json {
        out::print_json(report)?;
    } else {
        out::print(&format!("{moved}{}", report_text(report, name)))?;
    }
    match problem_sentence(report, name) {
        None => Ok(()),
        Some(sentence) => Err(Failure::Message(sentence)),
    }
}

/// The sentence about files that were skipped.
fn problem_sentence(report: &SyncReport, name: &str) -> Option<String> {
    let problems = report.problems.len() as u64;
    (problems > 0).then(|| {
        format!(
            "{} on {name} could not be synced, everything else was; sync again from the devices that have them",
            count_of(problems, "file", "files")
        )
    })
}

/// The result of syncing with one of several remotes.
#[derive(Serialize)]
struct RemoteOutcome {
    remote: String,
    name: String,
    report: Option<SyncReport>,
    error: Option<String>,
}

#[derive(Serialize)]
struct Answer<'a> {
    syncs: &'a [RemoteOutcome],
}

fn sync_all(remotes: &Remotes, output: OutputOptions) -> Result<(), Failure> {
    let known = remotes.known()?;
    if known.is_empty() {
        return Err(Failure::Message(
            "this notebook has no known remote yet; name one, such as a folder on a stick with --folder DIR"
                .to_owned(),
        ));
    }
    let progress = ProgressLine::start()?;
    let outcomes: Vec<RemoteOutcome> = known
        .into_iter()
        .map(|remote| sync_one(remotes, remote, &progress))
        .collect();
    drop(progress);
    if output.json {
        out::print_json(&Answer { syncs: &outcomes })?;
    } else {
        out::print(&outcomes.iter().map(outcome_text).collect::<String>())?;
    }
    let failed = outcomes.iter().filter(|outcome| outcome.error.is_some());
    match failed.count() {
        0 => Ok(()),
        failed => Err(Failure::Message(format!(
            "{} of {} failed to sync; see above",
            failed,
            count_of(outcomes.len() as u64, "remote", "remotes")
        ))),
    }
}

fn sync_one(remotes: &Remotes, remote: RemoteEntry, progress: &ProgressLine) -> RemoteOutcome {
    let done = if progress.is_canceled() {
        Err(ServiceError::from(SyncError::Canceled))
    } else {
        remotes.sync(&remote.location, &progress.watch(&remote.name))
    };
    let error = match &done {
        Ok(report) => problem_sentence(report, &remote.name),
        Err(why) => Some(why.to_string()),
    };
    RemoteOutcome {
        remote: remote.id,
        name: remote.name,
        report: done.ok(),
        error,
    }
}

fn outcome_text(outcome: &RemoteOutcome) -> String {
    let mut text = format!("With {}:\n", plain(&outcome.name));
    if let Some(report) = &outcome.report {
        text += &transferred(report);
        text += &report_text(report, &outcome.name);
    }
    if let Some(why) = &outcome.error {
        text += &item(why);
    }
    text
}

fn count(entries: u32, photos: u32) -> String {
    let entries = count_of(entries.into(), "entry", "entries");
    format!(
        "{entries} and {}",
        count_of(photos.into(), "photo", "photos")
    )
}

/// Formats what was pulled and pushed.
fn transferred(report: &SyncReport) -> String {
    format!(
        "Pulled: {}.\nPushed: {}.\n",
        count(report.entries_pulled, report.photos_pulled),
        count(report.entries_pushed, report.photos_pushed)
    )
}

/// Formats everything else that a sync found.
fn report_text(report: &SyncReport, name: &str) -> String {
    let mut text = String::new();
    if report.created_remote {
        text.push_str("The remote was created.\n");
    }
    if !report.conflicts.is_empty() {
        let holes = count_of(report.conflicts.len() as u64, "hole", "holes");
        text.push_str(&paragraph(&format!(
            "{holes} with a conflict: two devices recorded different answers. Resolve it in `holebook open`."
        )));
    }
    if !report.photos_missing.is_empty() {
        let missing = count_of(report.photos_missing.len() as u64, "photo is", "photos are");
        text.push_str(&format!(
            "{missing} still on another device; sync there, then here again.\n"
        ));
    }
    if !report.new_devices.is_empty() {
        let devices = count_of(report.new_devices.len() as u64, "device", "devices");
        text.push_str(&item(&format!(
            "The first entries of {devices} arrived, from {name}. Whoever can write there can write entries in any name: see the Sync page of `holebook open`."
        )));
    }
    if let Some(device) = report.continued_as {
        text.push_str(&item(&format!(
            "This notebook was copied or restored from a copy; nothing is lost, and it continues as device {device}."
        )));
    }
    for problem in report.problems.iter().take(MAX_PROBLEMS) {
        text.push_str(&item(&problem.to_string()));
    }
    if let Some(more) = report
        .problems
        .len()
        .checked_sub(MAX_PROBLEMS)
        .filter(|more| *more > 0)
    {
        let files = count_of(more as u64, "more file was", "more files were");
        text.push_str(&item(&format!(
            "{files} skipped; --json lists all of them."
        )));
    }
    text
}
