//! All inserts that a hole may be given: those that come with the notebook, and the shop's own.

use super::file::{FileError, InsertFile, WireDrill};
use super::{Insert, bushing, from_row, standard, wire};
use crate::thread::{Thread, standard_threads};
use std::collections::HashMap;
use std::sync::{Arc, OnceLock};

/// A file of the shop's own inserts, kept whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShopFile {
    /// What the file is called.
    pub name: String,
    /// What it says.
    pub text: String,
}

/// The inserts that there are for each thread, worked out once.
///
/// Cheap to share, and asking it costs nothing that grows with its size.
#[derive(Clone, Debug, Default)]
pub struct Catalogue {
    by_thread: HashMap<Thread, Vec<Arc<Insert>>>,
    not_read: Vec<FileError>,
}

impl Catalogue {
    /// The inserts that come with the notebook.
    pub fn standard() -> &'static Catalogue {
        static STANDARD: OnceLock<Catalogue> = OnceLock::new();
        STANDARD.get_or_init(|| {
            let files = standard::files();
            let drills: Vec<&WireDrill> = files.iter().flat_map(|file| &file.wire_drills).collect();
            let mut catalogue = Catalogue::default();
            for thread in standard_threads() {
                let drill = drills.iter().find(|drill| drill.thread == thread);
                catalogue.add(by_formula(thread, drill.copied()));
            }
            let rows = files.iter().flat_map(|file| inserts_of(file, None));
            catalogue.add(rows.collect::<Vec<_>>());
            catalogue.sort();
            catalogue
        })
    }

    /// Those and the shop's own. A row of the shop's wins over the standard one of the same kind, threads and length, since the card
    /// in hand decides; its notes say so. Rows of two files of the shop stand side by side.
    ///
    /// A file that this version cannot read is left out, and named by [`Catalogue::not_read`].
    pub fn with_shop(files: &[ShopFile]) -> Catalogue {
        let mut catalogue = Catalogue::standard().clone();
        for file in files {
            match InsertFile::read(&file.name, &file.text) {
                Ok(read) => catalogue.add_shop(&read),
                Err(error) => catalogue.not_read.push(error),
            }
        }
        catalogue.sort();
        catalogue
    }

    fn add_shop(&mut self, file: &InsertFile) {
        for drill in &file.wire_drills {
            let wire = wire::inserts_for(drill.thread, Some(drill), Some(&file.name));
            wire.into_iter().for_each(|insert| self.put_shop(insert));
        }
        for insert in inserts_of(file, Some(&file.name)) {
            self.put_shop(insert);
        }
    }

    fn put_shop(&mut self, mut insert: Insert) {
        let special = || by_formula(insert.internal, None).map(Arc::new).collect();
        let own = self
            .by_thread
            .entry(insert.internal)
            .or_insert_with(special);
        let same = |kept: &Arc<Insert>| kept.shop_file.is_none() && kept.is_same_as(&insert);
        if let Some(at) = own.iter().position(same) {
            let standard = own.remove(at);
            insert.notes.push(format!(
                "The shop's own figures, in place of those of {}.",
                standard.source
            ));
        }
        own.push(Arc::new(insert));
    }

    fn add(&mut self, inserts: impl IntoIterator<Item = Insert>) {
        for insert in inserts {
            let own = self.by_thread.entry(insert.internal).or_default();
            own.push(Arc::new(insert));
        }
    }

    /// By kind, then the shorter first.
    fn sort(&mut self) {
        for inserts in self.by_thread.values_mut() {
            inserts.sort_by_key(|insert| (insert.family, insert.length));
        }
    }

    /// The inserts that give a thread: wire thread inserts of 1, 1.5, 2, 2.5 and 3 diameters, then the other kinds where there is the
    /// size. Those of a special, which no standard lists and nobody wrote a row for, are worked out as they are asked for. Empty for a
    /// thread that no insert gives, such as a pipe thread.
    pub fn inserts_for(&self, thread: &Thread) -> Vec<Arc<Insert>> {
        match self.by_thread.get(thread) {
            Some(kept) => kept.clone(),
            None => by_formula(*thread, None).map(Arc::new).collect(),
        }
    }

    /// The shop's files that this version cannot read, and why.
    pub fn not_read(&self) -> &[FileError] {
        &self.not_read
    }
}

/// What follows from the thread alone.
fn by_formula(thread: Thread, drill: Option<&WireDrill>) -> impl Iterator<Item = Insert> {
    let wire = wire::inserts_for(thread, drill, None);
    wire.into_iter().chain(bushing::inserts_for(thread))
}

fn inserts_of<'a>(
    file: &'a InsertFile,
    shop: Option<&'a str>,
) -> impl Iterator<Item = Insert> + 'a {
    file.rows.iter().flat_map(move |row| {
        let threads = row.internal.iter();
        threads.map(move |thread| from_row::insert(row, *thread, shop))
    })
}
