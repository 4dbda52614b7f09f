//! How the shop computer meets other devices: what the screens are handed beside the notebook.

mod host;
pub mod lan;
mod serving;
pub mod shelves;

#[cfg(feature = "bucket")]
use crate::bucket::Address;
use crate::failure::Failure;
use holebook_core::notebook::Notebook;
use holebook_screens::meeting::{
    self, Bucket, Bundles, Done, Guest, Meeting, NotDone, Piece, Run, Shelf, Task, Way, Worker,
};
use host::Host;
use lan::Reach;
use shelves::{Known, Shelves, name_of_folder};
use std::path::Path;
use std::sync::Arc;

/// The shop computer's exchanges, in the background of its screens.
pub struct Meet {
    notebook: Arc<Notebook>,
    bundles: Bundles,
    shelves: Arc<Shelves>,
    worker: Worker,
    /// None where the notebook is kept off the network.
    host: Option<Host>,
}

impl Meet {
    /// For the notebook; `reach` says whether paired devices reach it, none where it is kept off the network. Bundles lie in
    /// the folder `incoming` meanwhile.
    pub fn new(notebook: Arc<Notebook>, reach: Option<Reach>, incoming: &Path) -> Self {
        let shelves = Arc::new(Shelves::new(Arc::clone(&notebook)));
        let pairings = shelves.pairings();
        let host = |reach| Host::new(Arc::clone(&notebook), Arc::clone(pairings), reach);
        Self {
            host: reach.map(host),
            notebook,
            bundles: Bundles::within(incoming),
            shelves,
            worker: Worker::default(),
        }
    }

    /// Ends what is under way, and waits until it has.
    pub fn stop(&self) {
        self.worker.end();
        self.worker.wait();
    }

    fn known(&self, id: &str) -> Result<Known, NotDone> {
        let mut known = self.shelves.known().map_err(NotDone::from)?.into_iter();
        known.find(|known| known.id == id).ok_or_else(|| {
            NotDone("That shelf is not on the list any more; open the page again.".to_owned())
        })
    }

    fn piece(&self, known: Known) -> Piece {
        let shelves = Arc::clone(&self.shelves);
        Piece::new(Way::Exchange, known.name.clone(), move |watch| {
            moved(shelves.exchange(&known, watch))
        })
    }

    fn folder(&self, folder: &Path) -> Piece {
        let (shelves, folder) = (Arc::clone(&self.shelves), folder.to_owned());
        Piece::new(Way::Exchange, name_of_folder(&folder), move |watch| {
            moved(shelves.with_folder(&folder, watch))
        })
    }

    #[cfg(feature = "bucket")]
    fn bucket(&self, asked: Bucket<'_>) -> Result<Piece, Failure> {
        let address = Address::read(asked.address, asked.endpoint)?;
        let way = self.shelves.buckets().way(&address)?;
        let way = way.and_said(asked.keys.map(Path::to_owned), asked.unencrypted);
        // What is wrong with it without a word to the network is told where it was typed.
        way.open(address.clone(), false, &|| false)?;
        let shelves = Arc::clone(&self.shelves);
        Ok(Piece::new(Way::Exchange, address.name(), move |watch| {
            moved(shelves.with_bucket(&address, way, watch))
        }))
    }

    #[cfg(not(feature = "bucket"))]
    fn bucket(&self, _: Bucket<'_>) -> Result<Piece, Failure> {
        Err(Failure::Said(
            "this program was built without its feature for buckets; build it with that".to_owned(),
        ))
    }
}

fn moved(done: Result<holebook_core::exchange::Report, Failure>) -> Result<Done, String> {
    done.map(Done::Moved).map_err(|why| why.to_string())
}

impl Meeting for Meet {
    fn shelves(&self) -> Result<Vec<Shelf>, NotDone> {
        let known = self.shelves.known().map_err(NotDone::from)?;
        let shelf = |Known { id, name, place }| Shelf {
            id,
            name,
            paired: place.is_paired(),
        };
        Ok(known.into_iter().map(shelf).collect())
    }

    fn run(&self) -> Option<Run> {
        self.worker.run()
    }

    fn begin(&self, task: Task<'_>) -> Result<(), NotDone> {
        let pieces = match task {
            Task::ExchangeWithAll => {
                let known = self.shelves.known().map_err(NotDone::from)?;
                known.into_iter().map(|known| self.piece(known)).collect()
            }
            Task::ExchangeWith(id) => vec![self.piece(self.known(id)?)],
            Task::ExchangeFolder(folder) => vec![self.folder(folder)],
            Task::ExchangeBucket(bucket) => vec![self.bucket(bucket).map_err(NotDone::from)?],
            Task::TakeBundle(upload) => {
                vec![self.bundles.take(Arc::clone(&self.notebook), upload)?]
            }
            Task::WriteBundle(share) => {
                vec![self.bundles.write(Arc::clone(&self.notebook), share)?]
            }
        };
        self.worker.begin(pieces)?;
        Ok(())
    }

    fn end(&self) {
        self.worker.end();
    }

    fn forget(&self, shelf: &str) -> Result<(), NotDone> {
        let known = self.known(shelf)?;
        self.shelves.forget(&known).map_err(NotDone::from)
    }

    fn takes_folders(&self) -> bool {
        true
    }

    fn takes_buckets(&self) -> bool {
        cfg!(feature = "bucket")
    }

    fn bundles(&self) -> bool {
        true
    }

    fn host(&self) -> Option<&dyn meeting::Host> {
        let host = self.host.as_ref()?;
        Some(host)
    }

    fn guest(&self) -> Option<&dyn Guest> {
        Some(self)
    }
}

impl Guest for Meet {
    fn pair(&self, code: &str) -> Result<String, NotDone> {
        let shop = self.shelves.pair(code).map_err(NotDone::from)?;
        Ok(shop.name)
    }
}
