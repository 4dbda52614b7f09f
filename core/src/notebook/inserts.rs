//! The shop's own inserts: each file of them is a journal entry.
//!
//! All of them are about one subject, the shop's drawer, so that they are found without reading the
//! rest of the journal. A file replaces the active ones of the same name. If two devices add files
//! of one name, both are active until somebody adds that name again, and the inserts of both are
//! offered.

use super::Notebook;
use super::body::{InsertsBody, StrikeOutBody};
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::id::EntryId;
use super::load;
use super::row_number::row_numbers;
use super::write::NewEntry;
use crate::hole::record::Recorded;
use crate::insert::{Catalog, ShopFile};
use rusqlite::{Connection, params};
use std::borrow::Cow;
use std::sync::{Arc, PoisonError};
use uuid::Uuid;

/// The shop's drawer: the subject of every file of inserts.
pub(super) const DRAWER: Uuid = Uuid::from_u128(0x8d1a_57c0_4f0e_8b6a_9c31_d0a3_66b5_2e17);

/// An active file of the shop's inserts.
pub type InsertsFile = Recorded<InsertsBody>;

/// The catalog, and the entries that it was built from.
#[derive(Debug, Default)]
pub(super) struct CachedCatalog {
    from: Vec<EntryId>,
    catalog: Option<Arc<Catalog>>,
}

impl Notebook {
    /// Adds a file of the shop's own inserts. It replaces the active ones of the same name.
    ///
    /// # Errors
    /// If the file cannot be parsed, if its name is empty or too long, or if the notebook cannot be
    /// written.
    pub fn add_inserts(&self, name: &str, text: &str) -> Result<EntryId, NotebookError> {
        let body = InsertsBody {
            name: name.trim().to_owned(),
            text: text.to_owned(),
        };
        self.write(|tx| {
            let new = NewEntry::new(DRAWER, &body)?;
            let active = files(tx.conn())?.into_iter();
            let replaces = active
                .filter(|file| file.body.name == body.name)
                .map(|file| file.entry);
            tx.insert(new.replacing(replaces))
        })
    }

    /// Strikes out every file of that name, also those that become active again meanwhile. Returns
    /// how many entries it struck out.
    ///
    /// # Errors
    /// If no file of that name is active, if the reason is empty, or if the notebook cannot be
    /// written.
    pub fn remove_inserts(&self, name: &str, reason: &str) -> Result<usize, NotebookError> {
        self.write(|tx| {
            let mut struck_out = 0;
            loop {
                let active = files(tx.conn())?;
                let Some(file) = active.iter().find(|file| file.body.name == name) else {
                    break;
                };
                let strike_out = StrikeOutBody {
                    entry: file.entry,
                    reason: reason.trim().to_owned(),
                };
                tx.insert(NewEntry::new(DRAWER, &strike_out)?)?;
                struck_out += 1;
            }
            if struck_out == 0 {
                return Err(Fault::invalid(format!(
                    "there is no file of inserts named `{name}`; `holebook insert` lists their names"
                )));
            }
            Ok(struck_out)
        })
    }

    /// Returns the active files of the shop's own inserts, in the order of their entries.
    /// [`Notebook::remove_inserts`] removes one.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn inserts(&self) -> Result<Vec<InsertsFile>, NotebookError> {
        self.read(files)
    }

    /// Returns all inserts: the built-in ones, and the shop's own.
    ///
    /// The catalog is cached until files of inserts are added or struck out, here or by another
    /// program. Checking for that costs one query that does not grow with the castings.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn catalog(&self) -> Result<Arc<Catalog>, NotebookError> {
        let from = self.read(active_ids)?;
        {
            let cached = self.catalog.lock().unwrap_or_else(PoisonError::into_inner);
            if let Some(catalog) = cached.catalog.as_ref().filter(|_| cached.from == from) {
                return Ok(Arc::clone(catalog));
            }
        }
        let files = self.read(files)?;
        let from = files.iter().map(|file| file.entry).collect();
        let catalog = Arc::new(with_files(files));
        let mut cached = self.catalog.lock().unwrap_or_else(PoisonError::into_inner);
        *cached = CachedCatalog {
            from,
            catalog: Some(Arc::clone(&catalog)),
        };
        Ok(catalog)
    }
}

/// Returns all inserts, without a cache: the built-in ones alone if the shop has no files.
pub(super) fn load_catalog(conn: &Connection) -> Result<Cow<'static, Catalog>, Fault> {
    let files = files(conn)?;
    Ok(match files.is_empty() {
        true => Cow::Borrowed(Catalog::standard()),
        false => Cow::Owned(with_files(files)),
    })
}

fn with_files(files: Vec<InsertsFile>) -> Catalog {
    let shop: Vec<ShopFile> = files.into_iter().map(shop_file).collect();
    Catalog::with_shop_files(&shop)
}

fn shop_file(file: InsertsFile) -> ShopFile {
    ShopFile {
        name: file.body.name,
        text: file.body.text,
    }
}

fn files(conn: &Connection) -> Result<Vec<InsertsFile>, Fault> {
    Ok(load::entries::<InsertsBody>(conn, DRAWER)?.0)
}

/// Returns the entries of the active files, in the same order.
fn active_ids(conn: &Connection) -> Result<Vec<EntryId>, Fault> {
    let numbers = row_numbers(conn, DRAWER)?;
    let mut statement = conn.prepare_cached(
        "SELECT e.id FROM entry_status s JOIN entry e ON e.n = s.n
         WHERE s.n BETWEEN ?1 AND ?2 AND s.kind = ?3
         AND s.understood AND NOT s.struck_out AND NOT s.replaced ORDER BY e.id",
    )?;
    let range = params![numbers.start(), numbers.end(), EntryKind::Inserts.name()];
    let ids = statement.query_map(range, |row| row.get(0).map(EntryId))?;
    Ok(ids.collect::<Result<_, _>>()?)
}
