//! The background jobs of the service: one for each remote or bundle.

use super::error::ServiceError;
use super::remotes::{RemoteEntry, Remotes};
#[cfg(feature = "bucket")]
use crate::bucket::{Address, BucketAccess};
use holebook_core::sync::{MissingFolder, OnProgress, SyncReport, folder_name};
use holebook_screens::sync_backend::{Job, RunResult, StepFailure, TaskKind};
use std::path::Path;
use std::sync::Arc;

/// A sync with a known remote.
pub(super) fn sync_remote(remotes: &Arc<Remotes>, remote: RemoteEntry) -> Job {
    let name = remote.name.clone();
    job(
        remotes,
        TaskKind::Sync,
        name,
        move |remotes, on_progress| remotes.sync(&remote.location, on_progress),
    )
}

/// A sync with a folder.
pub(super) fn sync_folder(remotes: &Arc<Remotes>, folder: &Path, missing: MissingFolder) -> Job {
    let (name, folder) = (folder_name(folder), folder.to_owned());
    job(
        remotes,
        TaskKind::Sync,
        name,
        move |remotes, on_progress| remotes.sync_folder(&folder, missing, on_progress),
    )
}

/// A sync with a bucket or a WebDAV folder.
#[cfg(feature = "bucket")]
pub(super) fn sync_bucket(remotes: &Arc<Remotes>, address: Address, access: BucketAccess) -> Job {
    let name = address.name();
    job(
        remotes,
        TaskKind::Sync,
        name,
        move |remotes, on_progress| remotes.sync_bucket(&address, access, on_progress),
    )
}

/// The import of a bundle that stays where it is.
pub(super) fn import_bundle(remotes: &Arc<Remotes>, file: &Path) -> Job {
    let file_name = file.file_name().unwrap_or(file.as_os_str());
    let name = format!("the bundle '{}'", Path::new(file_name).display());
    let file = file.to_owned();
    let kind = TaskKind::ImportBundle;
    job(remotes, kind, name, move |remotes, on_progress| {
        remotes.import_bundle(&file, on_progress)
    })
}

fn job(
    remotes: &Arc<Remotes>,
    kind: TaskKind,
    name: String,
    work: impl FnOnce(&Remotes, &OnProgress<'_>) -> Result<SyncReport, ServiceError> + Send + 'static,
) -> Job {
    let remotes = Arc::clone(remotes);
    Job::new(kind, name, move |on_progress| {
        let report = work(&remotes, on_progress);
        report.map(RunResult::Synced).map_err(StepFailure::new)
    })
}
