//! What histories covered, so that it shows if they no longer exercise what they are there for.

use crate::sync::SyncReport;

/// How often things happened.
#[derive(Debug, Default, Clone)]
pub struct Coverage {
    pub histories: usize,
    pub entries: usize,
    pub syncs: usize,
    pub transferred: usize,
    pub photos: usize,
    /// Interrupted syncs.
    pub interrupted: usize,
    /// Devices that were killed and restarted.
    pub killed: usize,
    /// Notebooks that continued as a new device.
    pub forks: usize,
    /// Entries lost with a disk.
    pub lost: usize,
    /// Truncated files.
    pub truncated: usize,
    /// Entries that this version does not understand, at the end.
    pub not_understood: usize,
    /// Questions with several answers, at the end.
    pub conflicts: usize,
    /// Answers replaced by one that saw them, at the end.
    pub replaced: usize,
}

impl Coverage {
    pub fn count(&mut self, report: &SyncReport) {
        self.syncs += 1;
        self.transferred += (report.entries_pulled + report.entries_pushed) as usize;
        self.photos += (report.photos_pulled + report.photos_pushed) as usize;
    }

    pub fn add(&mut self, other: &Self) {
        for (sum, more) in self.all().into_iter().zip(other.clone().all()) {
            *sum += *more;
        }
    }

    /// Whether everything that can happen has happened.
    pub fn is_complete(&self) -> bool {
        self.clone().all().into_iter().all(|count| *count > 0)
    }

    fn all(&mut self) -> [&mut usize; 13] {
        let Self {
            histories,
            entries,
            syncs,
            transferred,
            photos,
            interrupted,
            killed,
            forks,
            lost,
            truncated,
            not_understood,
            conflicts,
            replaced,
        } = self;
        [
            histories,
            entries,
            syncs,
            transferred,
            photos,
            interrupted,
            killed,
            forks,
            lost,
            truncated,
            not_understood,
            conflicts,
            replaced,
        ]
    }
}
