//! What the pages need: the service as their [`SyncBackend`].

use super::error::ServiceError;
use super::{Remotes, SyncService, jobs};
use holebook_core::sync::MissingFolder;
use holebook_screens::sync_backend::{
    BucketRequest, Bundles, Job, KnownRemote, PairingClient, PairingServer, Run, SyncBackend,
    SyncRefused, SyncTask,
};
use std::path::Path;
use std::sync::{Arc, PoisonError};

impl SyncBackend for SyncService {
    fn known_remotes(&self) -> Result<Vec<KnownRemote>, SyncRefused> {
        let known = self.remotes.known()?.into_iter();
        let remotes = known.map(|remote| KnownRemote {
            paired: remote.is_paired(),
            id: remote.id,
            name: remote.name,
        });
        Ok(remotes.collect())
    }

    fn run(&self) -> Option<Run> {
        self.worker.run()
    }

    fn start(&self, task: SyncTask<'_>) -> Result<(), SyncRefused> {
        let jobs = match task {
            SyncTask::SyncAll => self.sync_all()?,
            SyncTask::Sync(id) => {
                let remote = self.remotes.by_id(id)?;
                vec![jobs::sync_remote(&self.remotes, remote)]
            }
            SyncTask::SyncFolder { folder, create } => {
                let missing = match create {
                    true => MissingFolder::Create,
                    false => MissingFolder::Ask,
                };
                vec![jobs::sync_folder(&self.remotes, folder, missing)]
            }
            SyncTask::SyncBucket(bucket) => vec![self.bucket_job(bucket)?],
            SyncTask::ImportBundle(upload) => {
                let notebook = Arc::clone(self.remotes.notebook());
                vec![self.bundle_job(|bundles| bundles.import(notebook, upload))?]
            }
            SyncTask::WriteBundle(scope) => {
                let notebook = Arc::clone(self.remotes.notebook());
                vec![self.bundle_job(|bundles| bundles.write(notebook, scope))?]
            }
            SyncTask::Export => {
                let notebook = Arc::clone(self.remotes.notebook());
                vec![self.bundle_job(|bundles| bundles.export(notebook))?]
            }
        };
        Ok(SyncService::run(self, jobs).map(drop)?)
    }

    fn cancel(&self) {
        self.worker.cancel();
    }

    fn forget(&self, remote: &str) -> Result<(), SyncRefused> {
        let remote = self.remotes.by_id(remote)?;
        Ok(self.remotes.forget(&remote)?)
    }

    fn shows_unsynced_count(&self) -> bool {
        self.options.shows_unsynced_count
    }

    fn is_missing_folder(&self, folder: &Path) -> bool {
        Remotes::is_missing_folder(folder)
    }

    fn supports_folders(&self) -> bool {
        self.options.named_remotes
    }

    fn supports_buckets(&self) -> bool {
        self.options.named_remotes && cfg!(feature = "bucket")
    }

    fn supports_bundles(&self) -> bool {
        let bundles = self.bundles.read().unwrap_or_else(PoisonError::into_inner);
        bundles.is_some()
    }

    fn pairing_server(&self) -> Option<&dyn PairingServer> {
        let server = self.options.pairing_server.as_ref()?;
        Some(server.as_ref() as &dyn PairingServer)
    }

    fn pairing_client(&self) -> Option<&dyn PairingClient> {
        Some(self)
    }
}

impl PairingClient for SyncService {
    fn pair(&self, code: &str) -> Result<String, SyncRefused> {
        Ok(self.remotes.pair(code)?.name)
    }
}

impl SyncService {
    fn bundle_job(
        &self,
        job: impl FnOnce(&Bundles) -> Result<Job, SyncRefused>,
    ) -> Result<Job, ServiceError> {
        let bundles = self.bundles.read().unwrap_or_else(PoisonError::into_inner);
        let bundles = bundles.as_ref().ok_or(ServiceError::NoBundleFolder)?;
        Ok(job(bundles)?)
    }

    #[cfg(feature = "bucket")]
    fn bucket_job(&self, request: BucketRequest<'_>) -> Result<Job, ServiceError> {
        use crate::bucket::Address;
        if !self.options.named_remotes {
            return Err(ServiceError::NoBuckets);
        }
        let address = Address::parse(request.address, request.endpoint)?;
        let access = self.remotes.bucket_settings().access(&address)?;
        let keys = request.keys.map(std::path::Path::to_owned);
        let access = access.updated(keys, request.unencrypted);
        // Mistakes that need no network are reported where they were typed.
        access.open(address.clone(), false)?;
        Ok(jobs::sync_bucket(&self.remotes, address, access))
    }

    #[cfg(not(feature = "bucket"))]
    fn bucket_job(&self, _: BucketRequest<'_>) -> Result<Job, ServiceError> {
        Err(ServiceError::NoBuckets)
    }
}
