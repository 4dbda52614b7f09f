//! The shop's own inserts: files of them, entries of the journal like all else.
//!
//! All of them are about one thing, the shop's drawer, so that they lie together and are found without a look at the rest of the
//! journal. A file takes the place of those that stand under its name. Where two devices add files of one name, both stand until
//! somebody adds that name again, and the inserts of both are offered.

use super::Notebook;
use super::body::{InsertsBody, StrikeBody};
use super::check;
use super::error::{Fault, NotebookError};
use super::gather;
use super::id::EntryId;
use super::kind::Kind;
use super::place;
use super::write::Draft;
use crate::hole::record::Said;
use crate::insert::{Catalogue, InsertFile, ShopFile};
use rusqlite::{Connection, params};
use std::sync::{Arc, PoisonError};
use uuid::Uuid;

/// The shop's drawer, which every file of inserts is about.
pub(super) const DRAWER: Uuid = Uuid::from_u128(0x8d1a_57c0_4f0e_8b6a_9c31_d0a3_66b5_2e17);

/// A file of the shop's inserts that stands.
pub type InsertsFile = Said<InsertsBody>;

/// The catalogue as it was last worked out, and the entries that it was worked out from.
#[derive(Debug, Default)]
pub(super) struct Kept {
    from: Vec<EntryId>,
    catalogue: Option<Arc<Catalogue>>,
}

impl Notebook {
    /// Adds a file of the shop's own inserts, in place of those that stand under the same name.
    ///
    /// # Errors
    /// Where the file cannot be read as one of inserts, its name is empty or too long, or the notebook cannot be written.
    pub fn add_inserts(&self, name: &str, text: &str) -> Result<EntryId, NotebookError> {
        let name = name.trim();
        self.write(|pen| {
            check::name("the file's name", name)?;
            InsertFile::read(name, text).map_err(|error| Fault::unfit(error.to_string()))?;
            let standing = files(pen.conn())?.into_iter();
            let over = standing
                .filter(|said| said.body.name == name)
                .map(|said| EntryId(said.entry));
            let body = InsertsBody {
                name: name.to_owned(),
                text: text.to_owned(),
            };
            pen.put(Draft::new(Kind::Inserts, DRAWER, &body)?.over(over))
        })
    }

    /// Strikes every file of that name, those too that would stand again, and says how many entries it struck.
    ///
    /// # Errors
    /// Where no file of that name stands, no reason is given, or the notebook cannot be written.
    pub fn remove_inserts(&self, name: &str, reason: &str) -> Result<usize, NotebookError> {
        self.write(|pen| {
            check::words("the reason", reason)?;
            let mut struck = 0;
            loop {
                let standing = files(pen.conn())?;
                let Some(file) = standing.iter().find(|said| said.body.name == name) else {
                    break;
                };
                let strike = StrikeBody {
                    entry: EntryId(file.entry),
                    reason: reason.trim().to_owned(),
                };
                pen.put(Draft::new(Kind::Strike, DRAWER, &strike)?)?;
                struck += 1;
            }
            if struck == 0 {
                return Err(Fault::unfit(format!(
                    "no file of inserts named `{name}` stands; look at their names with `holebook insert`"
                )));
            }
            Ok(struck)
        })
    }

    /// The files of the shop's own inserts that stand, in the order of their entries. [`Notebook::remove_inserts`] takes one out.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn inserts(&self) -> Result<Vec<InsertsFile>, NotebookError> {
        self.read(files)
    }

    /// All inserts: those that come with the notebook, and the shop's own.
    ///
    /// It is kept, and worked out anew only after files of inserts were added or struck, here or by another program. To see that none
    /// were takes one look at the drawer, which does not grow with the castings.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn catalogue(&self) -> Result<Arc<Catalogue>, NotebookError> {
        let from = self.read(standing)?;
        {
            let kept = self
                .catalogue
                .lock()
                .unwrap_or_else(PoisonError::into_inner);
            if let Some(catalogue) = kept.catalogue.as_ref().filter(|_| kept.from == from) {
                return Ok(Arc::clone(catalogue));
            }
        }
        let files = self.read(files)?;
        let from = files.iter().map(|said| EntryId(said.entry)).collect();
        let shop: Vec<ShopFile> = files.into_iter().map(shop_file).collect();
        let catalogue = Arc::new(Catalogue::with_shop(&shop));
        let mut kept = self
            .catalogue
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        *kept = Kept {
            from,
            catalogue: Some(Arc::clone(&catalogue)),
        };
        Ok(catalogue)
    }
}

fn shop_file(said: InsertsFile) -> ShopFile {
    ShopFile {
        name: said.body.name,
        text: said.body.text,
    }
}

fn files(conn: &Connection) -> Result<Vec<InsertsFile>, Fault> {
    Ok(gather::answers::<InsertsBody>(conn, DRAWER, Kind::Inserts)?.0)
}

/// The entries of the files that stand, in the same order.
fn standing(conn: &Connection) -> Result<Vec<EntryId>, Fault> {
    let places = place::of(conn, DRAWER)?;
    let mut statement = conn.prepare_cached(
        "SELECT e.id FROM entry e JOIN said s ON s.n = e.n WHERE e.n BETWEEN ?1 AND ?2 AND e.kind = ?3
         AND s.understood AND NOT s.struck AND NOT s.replaced ORDER BY e.id",
    )?;
    let asked = params![places.start(), places.end(), Kind::Inserts.word()];
    let ids = statement.query_map(asked, |row| row.get(0).map(EntryId))?;
    Ok(ids.collect::<Result<_, _>>()?)
}
