//! The shelves that this notebook can exchange with by name, and an exchange with one of them.

#[cfg(feature = "bucket")]
use crate::bucket::{Address, Kept, Way};
use crate::failure::Failure;
use holebook_core::exchange::{FolderShelf, Report, Watch, bundle, exchange_folder, exchange_over};
use holebook_core::notebook::Notebook;
use holebook_link::{Fingerprint, LanShelf, Pairings, Shop, discover, own_addresses};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
#[cfg(feature = "bucket")]
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// How long a shop computer is looked for on the network that does not answer where it was.
const PATIENCE: Duration = Duration::from_secs(3);

/// What a computer calls itself whose people have given it no name.
const UNNAMED: &str = "a computer without a name";

/// A shelf that was exchanged with before, or is paired with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// What tells it from all others.
    pub id: String,
    /// What to call it in a sentence.
    pub name: String,
    /// Where it is.
    pub place: Place,
}

/// Where a shelf is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// A folder.
    Folder(PathBuf),
    /// A shop computer that this one is paired with.
    Shop(Fingerprint),
    /// A bucket or a WebDAV folder.
    #[cfg(feature = "bucket")]
    Bucket(Address),
}

impl Place {
    /// Where the shelf of this id is; none where it takes more than its id to reach it.
    fn of(id: &str) -> Option<Self> {
        let place = FolderShelf::place_of(id).map(Self::Folder);
        #[cfg(feature = "bucket")]
        let place = place.or_else(|| Address::of_id(id).map(Self::Bucket));
        place
    }

    /// Whether it lets this device in because they are paired.
    pub fn is_paired(&self) -> bool {
        matches!(self, Self::Shop(_))
    }
}

impl From<Shop> for Known {
    fn from(shop: Shop) -> Self {
        Self {
            id: shop.shelf_id(),
            name: shop.shelf_name(),
            place: Place::Shop(shop.fingerprint),
        }
    }
}

/// The shelves of one notebook.
pub struct Shelves {
    notebook: Arc<Notebook>,
    pairings: Arc<Pairings>,
}

impl Shelves {
    /// Those of this notebook.
    pub fn new(notebook: Arc<Notebook>) -> Self {
        let pairings = Arc::new(Pairings::of(notebook.dir()));
        Self { notebook, pairings }
    }

    /// Its pairings.
    pub fn pairings(&self) -> &Arc<Pairings> {
        &self.pairings
    }

    /// The shelves that are known: the shop computers it is paired with, then the folders and buckets, last exchanged with first.
    ///
    /// # Errors
    /// Where the notebook or its pairings cannot be read.
    pub fn known(&self) -> Result<Vec<Known>, Failure> {
        let mut known = self.shops()?;
        for shelf in self.notebook.shelves()? {
            known.extend(Place::of(&shelf.id).map(|place| Known {
                id: shelf.id,
                name: shelf.name,
                place,
            }));
        }
        Ok(known)
    }

    /// The shop computers that it is paired with.
    ///
    /// # Errors
    /// Where the pairings cannot be read.
    pub fn shops(&self) -> Result<Vec<Known>, Failure> {
        Ok(self
            .pairings
            .shops()?
            .into_iter()
            .map(Known::from)
            .collect())
    }

    /// Pairs this computer with the shop computer that the code is from.
    ///
    /// # Errors
    /// Where the code cannot be read or is good no more, or the shop computer is not reached.
    pub fn pair(&self, code: &str) -> Result<Shop, Failure> {
        let name = self.notebook.settings()?.device_name;
        Ok(self.pairings.pair(code, &name, UNNAMED, &[])?)
    }

    /// Exchanges with one of them.
    ///
    /// # Errors
    /// Where the shelf or the notebook cannot be reached, read or written, or `watch` ended it.
    pub fn exchange(&self, known: &Known, watch: &Watch<'_>) -> Result<Report, Failure> {
        match &known.place {
            Place::Folder(folder) => {
                let shelf = FolderShelf::reopen(folder)?;
                Ok(exchange_over(&self.notebook, &shelf, watch)?)
            }
            Place::Shop(fingerprint) => {
                let shop = LanShelf::open(self.pairings.store()?, fingerprint, &[])?;
                let shop = shop.with_finder(look_round);
                Ok(exchange_over(&self.notebook, &shop, watch)?)
            }
            #[cfg(feature = "bucket")]
            Place::Bucket(address) => {
                let way = self.buckets().way(address)?;
                self.over_bucket(address, &way, false, watch)
            }
        }
    }

    /// Exchanges with a folder, which is made where only its last part is missing.
    ///
    /// # Errors
    /// Where the folder or the notebook cannot be reached, read or written, or `watch` ended it.
    pub fn with_folder(&self, folder: &Path, watch: &Watch<'_>) -> Result<Report, Failure> {
        Ok(exchange_folder(&self.notebook, folder, watch)?)
    }

    /// Exchanges with a bucket or a WebDAV folder, gone to by this way, which is kept; a folder is made where only its last part
    /// is missing.
    ///
    /// # Errors
    /// Where it or the notebook cannot be reached, read or written, it does not let this computer in, or `watch` ended it.
    #[cfg(feature = "bucket")]
    pub fn with_bucket(
        &self,
        address: &Address,
        way: Way,
        watch: &Watch<'_>,
    ) -> Result<Report, Failure> {
        let report = self.over_bucket(address, &way, true, watch)?;
        self.buckets().keep(address, way)?;
        Ok(report)
    }

    #[cfg(feature = "bucket")]
    fn over_bucket(
        &self,
        address: &Address,
        way: &Way,
        make: bool,
        watch: &Watch<'_>,
    ) -> Result<Report, Failure> {
        // While nothing moves, whoever watches is asked about what was told last.
        let last = Mutex::new(None);
        let told = || *last.lock().unwrap_or_else(PoisonError::into_inner);
        let ended = || told().is_some_and(|progress| watch(progress).is_break());
        let watching = |progress| {
            *last.lock().unwrap_or_else(PoisonError::into_inner) = Some(progress);
            watch(progress)
        };
        let shelf = way.open(address.clone(), make, &ended)?;
        let report = exchange_over(&self.notebook, &shelf, &watching)?;
        Ok(Report {
            made_shelf: shelf.was_made(),
            ..report
        })
    }

    /// The ways to the buckets that it exchanged with.
    #[cfg(feature = "bucket")]
    pub fn buckets(&self) -> Kept {
        Kept::of(self.notebook.dir())
    }

    /// Takes what is new in a bundle.
    ///
    /// # Errors
    /// Where the bundle cannot be read or is not sound, the notebook cannot be written, or `watch` ended it.
    pub fn take_bundle(&self, file: &Path, watch: &Watch<'_>) -> Result<Report, Failure> {
        Ok(bundle::take_in(&self.notebook, file, watch)?)
    }

    /// Takes a shelf off the list, and lets go of the pairing with it; what lies on it stays.
    ///
    /// # Errors
    /// Where the notebook or its pairings cannot be written.
    pub fn forget(&self, known: &Known) -> Result<(), Failure> {
        if let Place::Shop(fingerprint) = &known.place {
            self.pairings.store()?.forget_shop(fingerprint)?;
        }
        #[cfg(feature = "bucket")]
        if let Place::Bucket(address) = &known.place {
            self.buckets().forget(address)?;
        }
        Ok(self.notebook.forget_shelf(&known.id)?)
    }
}

/// Looks for a shop computer that does not answer where it was. A computer on no network waits for nobody.
fn look_round(fingerprint: &Fingerprint) -> Vec<SocketAddr> {
    if own_addresses(0).is_empty() {
        return Vec::new();
    }
    discover::find(fingerprint, PATIENCE)
}

/// What to call a folder in a sentence, as it calls itself.
pub fn name_of_folder(folder: &Path) -> String {
    format!("the shelf {}", folder.display())
}
