//! The catalog of inserts: built-in ones and the shop's own.

use super::file::{FileError, InsertFile};
use super::wire_drill::WireDrill;
use super::{Family, Insert, bushing, from_row, standard, wire};
use crate::thread::{Thread, standard_threads};
use std::collections::HashMap;
use std::sync::{Arc, OnceLock};

/// A file of the shop's own inserts, as stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShopFile {
    /// File name.
    pub name: String,
    /// Contents.
    pub text: String,
}

/// The inserts for each thread, computed once. A lookup takes constant time.
#[derive(Clone, Debug, Default)]
pub struct Catalog {
    by_thread: HashMap<Thread, Vec<Arc<Insert>>>,
    not_read: Vec<FileError>,
}

impl Catalog {
    /// Returns the built-in inserts.
    pub fn standard() -> &'static Catalog {
        static STANDARD: OnceLock<Catalog> = OnceLock::new();
        STANDARD.get_or_init(|| {
            let files = standard::files();
            let drills: Vec<&WireDrill> = files.iter().flat_map(|file| &file.wire_drills).collect();
            let mut catalog = Catalog::default();
            for thread in standard_threads() {
                let drill = drills.iter().find(|drill| drill.thread == thread);
                catalog.add(formula_inserts(thread, drill.copied()));
            }
            let rows = files.iter().flat_map(|file| file_inserts(file, None));
            catalog.add(rows.collect::<Vec<_>>());
            catalog.sort();
            catalog
        })
    }

    /// Creates a catalog of the built-in inserts and the shop's own.
    ///
    /// A shop row replaces the built-in row of the same family, threads and length and says so in
    /// its notes. Rows of two shop files do not replace each other. Files with errors are skipped
    /// and listed by [`Catalog::unread_files`].
    pub fn with_shop_files(files: &[ShopFile]) -> Catalog {
        let mut catalog = Catalog::standard().clone();
        for file in files {
            match InsertFile::parse(&file.name, &file.text) {
                Ok(read) => catalog.add_shop(&read),
                Err(error) => catalog.not_read.push(error),
            }
        }
        catalog.sort();
        catalog
    }

    fn add_shop(&mut self, file: &InsertFile) {
        for drill in &file.wire_drills {
            let wire = wire::inserts_for(drill.thread, Some(drill), Some(&file.name));
            wire.into_iter().for_each(|insert| self.put_shop(insert));
        }
        for insert in file_inserts(file, Some(&file.name)) {
            self.put_shop(insert);
        }
    }

    fn put_shop(&mut self, mut insert: Insert) {
        let special = || {
            formula_inserts(insert.internal, None)
                .map(Arc::new)
                .collect()
        };
        let own = self
            .by_thread
            .entry(insert.internal)
            .or_insert_with(special);
        let same = |kept: &Arc<Insert>| kept.shop_file.is_none() && kept.is_same_piece(&insert);
        if let Some(at) = own.iter().position(same) {
            let standard = own.remove(at);
            insert.notes.push(format!(
                "The shop's own figures, replacing those of {}.",
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

    /// Sorts by family, then length.
    fn sort(&mut self) {
        for inserts in self.by_thread.values_mut() {
            inserts.sort_by_key(|insert| (insert.family, insert.length));
        }
    }

    /// Returns the inserts for a thread: wire thread inserts of 1, 1.5, 2, 2.5 and 3 diameters,
    /// then the other families that have the size.
    ///
    /// For a special without rows they are computed on demand. Empty for a thread that has no
    /// inserts, such as a pipe thread. For an STI hole, the wire thread inserts that fit it.
    pub fn inserts_for(&self, thread: &Thread) -> Vec<Arc<Insert>> {
        if thread.is_sti() {
            let mut inserts = self.inserts_for(&thread.bolt());
            inserts.retain(|insert| insert.family == Family::WireThread);
            return inserts;
        }
        match self.by_thread.get(thread) {
            Some(kept) => kept.clone(),
            None => formula_inserts(*thread, None).map(Arc::new).collect(),
        }
    }

    /// Returns the errors of the shop files that were skipped.
    pub fn unread_files(&self) -> &[FileError] {
        &self.not_read
    }
}

/// Returns the inserts that can be computed from the thread alone.
fn formula_inserts(thread: Thread, drill: Option<&WireDrill>) -> impl Iterator<Item = Insert> {
    let wire = wire::inserts_for(thread, drill, None);
    wire.into_iter().chain(bushing::inserts_for(thread))
}

fn file_inserts<'a>(
    file: &'a InsertFile,
    shop: Option<&'a str>,
) -> impl Iterator<Item = Insert> + 'a {
    file.rows.iter().flat_map(move |row| {
        let threads = row.internal.iter();
        threads.map(move |thread| from_row::insert(row, *thread, shop))
    })
}
