//! The content of several places together, to know what a lost disk took with it.

use super::CheckResult;
use super::queries::context;
use crate::notebook::{EntryId, Line, LineHash};
use crate::photo::PhotoHash;
use crate::sync::{Remote, Segment};
use std::collections::{BTreeMap, BTreeSet};

/// Lines and photos that are stored somewhere.
#[derive(Default)]
pub struct StoredContent {
    lines: BTreeMap<(u64, LineHash), Line>,
    pub photos: BTreeSet<PhotoHash>,
}

impl StoredContent {
    /// Adds the intact content of a remote.
    pub fn add(&mut self, remote: &dyn Remote) -> CheckResult {
        let listing = remote
            .list(None)
            .map_err(context("a listing"))?
            .unwrap_or_default();
        for segment in &listing.segments {
            self.add_lines(remote, segment)?;
        }
        for photo in listing.photos.keys() {
            let mut bytes = Vec::new();
            remote
                .pull_photo(photo, &mut bytes)
                .map_err(context("a photo"))?;
            if PhotoHash::of(&bytes) == *photo {
                self.photos.insert(*photo);
            }
        }
        Ok(())
    }

    fn add_lines(&mut self, remote: &dyn Remote, segment: &Segment) -> CheckResult {
        let mut next = segment.first;
        while next <= segment.last {
            let bytes = remote.pull_lines(segment, next).map_err(context("lines"))?;
            let text = String::from_utf8(bytes).map_err(context("lines"))?;
            for text in text.lines() {
                let line = Line::read(text.to_owned()).map_err(context("a line"))?;
                next = line.entry().seq + 1;
                self.lines.insert((line.entry().seq, line.hash()), line);
            }
        }
        Ok(())
    }

    /// The entries that can be recovered: all lines before them are stored too.
    pub fn entries(&self) -> BTreeSet<EntryId> {
        let mut whole = BTreeSet::new();
        let mut entries = BTreeSet::new();
        for ((_, hash), line) in &self.lines {
            let entry = line.entry();
            if entry.prev.is_none_or(|prev| whole.contains(&prev)) {
                whole.insert(*hash);
                entries.insert(entry.id);
            }
        }
        entries
    }
}
