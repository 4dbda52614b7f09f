//! What lies in several places together, so that it is known what is lost with a disk.

use super::Done;
use super::look::told;
use crate::exchange::{Shelf, Stretch};
use crate::notebook::{EntryId, Line, LineHash};
use crate::photo::PhotoHash;
use std::collections::{BTreeMap, BTreeSet};

/// Lines and photos that lie somewhere.
#[derive(Default)]
pub struct Lying {
    lines: BTreeMap<(u64, LineHash), Line>,
    pub photos: BTreeSet<PhotoHash>,
}

impl Lying {
    /// Adds what lies on a shelf and is whole.
    pub fn add(&mut self, shelf: &dyn Shelf) -> Done {
        let survey = shelf
            .survey(None)
            .map_err(told("a survey"))?
            .unwrap_or_default();
        for stretch in &survey.stretches {
            self.add_lines(shelf, stretch)?;
        }
        for photo in survey.photos.keys() {
            let mut bytes = Vec::new();
            shelf.photo(photo, &mut bytes).map_err(told("a photo"))?;
            if PhotoHash::of(&bytes) == *photo {
                self.photos.insert(*photo);
            }
        }
        Ok(())
    }

    fn add_lines(&mut self, shelf: &dyn Shelf, stretch: &Stretch) -> Done {
        let mut next = stretch.first;
        while next <= stretch.last {
            let bytes = shelf.lines(stretch, next).map_err(told("lines"))?;
            let text = String::from_utf8(bytes).map_err(told("lines"))?;
            for text in text.lines() {
                let line = Line::read(text.to_owned()).map_err(told("a line"))?;
                next = line.entry().seq + 1;
                self.lines.insert((line.entry().seq, line.hash()), line);
            }
        }
        Ok(())
    }

    /// The entries that can be had: all lines before them are here too.
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
