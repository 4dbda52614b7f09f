//! What histories held, so that it shows where they no longer hold what they are there for.

use crate::exchange::Report;

/// How often things happened.
#[derive(Debug, Default, Clone)]
pub struct Tally {
    pub histories: usize,
    pub entries: usize,
    pub exchanges: usize,
    pub moved: usize,
    pub photos: usize,
    /// Exchanges that were cut off.
    pub cut: usize,
    /// Devices that were killed and began again.
    pub killed: usize,
    /// Notebooks that went on under another name.
    pub forks: usize,
    /// Entries that went with a disk.
    pub lost: usize,
    /// Files that were left cut short.
    pub cut_short: usize,
    /// Entries that this version does not understand, at the end.
    pub foreign: usize,
    /// Questions with several answers, at the end.
    pub open: usize,
    /// Answers that were replaced by one that saw them, at the end.
    pub settled: usize,
}

impl Tally {
    pub fn take(&mut self, report: &Report) {
        self.exchanges += 1;
        self.moved += report.entries_taken + report.entries_left;
        self.photos += report.photos_taken + report.photos_left;
    }

    pub fn add(&mut self, other: &Self) {
        for (sum, more) in self.all().into_iter().zip(other.clone().all()) {
            *sum += *more;
        }
    }

    /// Whether everything happened that is to happen.
    pub fn is_full(&self) -> bool {
        self.clone().all().into_iter().all(|count| *count > 0)
    }

    fn all(&mut self) -> [&mut usize; 13] {
        let Self {
            histories,
            entries,
            exchanges,
            moved,
            photos,
            cut,
            killed,
            forks,
            lost,
            cut_short,
            foreign,
            open,
            settled,
        } = self;
        [
            histories, entries, exchanges, moved, photos, cut, killed, forks, lost, cut_short,
            foreign, open, settled,
        ]
    }
}
