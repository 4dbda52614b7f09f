//! A bucket or a WebDAV folder as one of the shelves that an exchange knows.

use super::address::Address;
use super::ask::Ended;
use super::dav::Dav;
use super::error::BucketError;
use super::keys::Keys;
use super::s3::S3;
use super::store::{Load, Store};
use holebook_core::exchange::{ExchangeError, PIECE_BYTES, Problem, Shelf, Stretch, Survey};
use holebook_core::notebook::LONGEST_LINE;
use holebook_core::photo::{LARGEST_FILE_BYTES, PhotoHash};
use holebook_link::http::Once;
use std::io::{Read, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// The most bytes of lines in one file: a piece, or a line that alone is longer, with its line break.
const LINES_BYTES: u64 = (PIECE_BYTES + LONGEST_LINE + 1) as u64;

/// A bucket or a WebDAV folder. Nothing is asked of the network before it is used.
pub struct BucketShelf<'w> {
    address: Address,
    store: Box<dyn Store + 'w>,
    made: AtomicBool,
}

/// How a shelf may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct May {
    /// Whether what goes there may be read on the way.
    pub unencrypted: bool,
    /// Whether a WebDAV folder is made where only its last part is missing.
    pub make: bool,
}

impl<'w> BucketShelf<'w> {
    /// The shelf at an address, let in by these keys. `ended` is asked now and then whether to go on.
    ///
    /// # Errors
    /// [`BucketError::NoKeys`], and [`BucketError::Unencrypted`] where that was not allowed.
    pub fn open(
        address: Address,
        keys: Keys,
        may: May,
        ended: &'w Ended<'w>,
    ) -> Result<Self, BucketError> {
        let shelf = address.name();
        if !address.site().is_private() && !may.unencrypted {
            return Err(BucketError::Unencrypted { shelf });
        }
        let store: Box<dyn Store + 'w> = match &address {
            Address::S3 {
                endpoint,
                bucket,
                folder,
            } => Box::new(S3::new(shelf, endpoint, bucket, folder, keys, ended)?),
            Address::Dav(site) => Box::new(Dav::new(shelf, site, &keys, may.make, ended)),
        };
        Ok(Self {
            address,
            store,
            made: AtomicBool::new(false),
        })
    }

    /// Whether its folder was made.
    #[must_use]
    pub fn was_made(&self) -> bool {
        self.made.load(Ordering::Relaxed)
    }
}

impl Shelf for BucketShelf<'_> {
    fn id(&self) -> String {
        self.address.id()
    }

    fn name(&self) -> String {
        self.address.name()
    }

    fn survey(&self, known: Option<&str>) -> Result<Option<Survey>, ExchangeError> {
        let mut survey = Survey::default();
        let was_there = self
            .store
            .list(&mut |name, bytes| note(&mut survey, name, bytes))?;
        if !was_there {
            self.made.store(true, Ordering::Relaxed);
        }
        if survey.unsound.is_empty() {
            survey.state = Some(survey.word());
        }
        let same = known.is_some() && known == survey.state.as_deref();
        Ok((!same).then_some(survey))
    }

    fn lines(&self, stretch: &Stretch, _from: u64) -> Result<Vec<u8>, ExchangeError> {
        let mut lines = Vec::new();
        self.store
            .get(&stretch.to_string(), LINES_BYTES + 1, &mut lines)?;
        Ok(lines)
    }

    fn leave_lines(&self, stretch: &Stretch, lines: &[u8]) -> Result<(), ExchangeError> {
        self.store.put(&stretch.to_string(), Load::Bytes(lines))
    }

    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError> {
        self.store
            .get(&place_of(photo), LARGEST_FILE_BYTES + 1, into)
    }

    fn leave_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), ExchangeError> {
        let mut once = Once::new(from);
        let digest = photo.to_string();
        let left = self.store.put(
            &place_of(photo),
            Load::Stream {
                from: &mut once,
                bytes,
                digest,
            },
        );
        match once.failed() {
            Some(error) => Err(ExchangeError::File(Problem {
                file: place_of(photo),
                why: format!("it could not be read here ({error})"),
            })),
            None => left,
        }
    }
}

fn place_of(photo: &PhotoHash) -> String {
    format!("photos/{photo}")
}

/// Notes a file that is lines or a photo; whatever else lies there is somebody else's.
fn note(survey: &mut Survey, name: &str, bytes: u64) {
    if let Some(photo) = name.strip_prefix("photos/") {
        survey
            .photos
            .extend(photo.parse().ok().map(|photo: PhotoHash| (photo, bytes)));
    } else if let Ok(stretch) = name.parse::<Stretch>() {
        if (1..=LINES_BYTES).contains(&bytes) {
            survey.sizes.insert(stretch.clone(), bytes);
            survey.stretches.insert(stretch);
        } else {
            let why = if bytes == 0 {
                "it is empty"
            } else {
                "it is larger than lines ever are"
            };
            survey.unsound.push(Problem {
                file: stretch.to_string(),
                why: why.to_owned(),
            });
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::exchange::{Report, exchange_over, unwatched};
    use holebook_core::notebook::{CastingBody, Notebook};
    use std::collections::BTreeMap;
    use std::sync::{Arc, Mutex};
    use tempfile::TempDir;

    /// What lies in a store, by name.
    type Files = Arc<Mutex<BTreeMap<String, Vec<u8>>>>;

    /// A store in memory.
    struct Memory(Files);

    impl Store for Memory {
        fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, ExchangeError> {
            let files = self.0.lock().unwrap();
            files
                .iter()
                .for_each(|(name, bytes)| each(name, bytes.len() as u64));
            Ok(true)
        }

        fn get(&self, name: &str, _: u64, into: &mut dyn Write) -> Result<(), ExchangeError> {
            into.write_all(&self.0.lock().unwrap()[name]).unwrap();
            Ok(())
        }

        fn put(&self, name: &str, load: Load<'_, '_>) -> Result<(), ExchangeError> {
            let bytes = match load {
                Load::Bytes(bytes) => bytes.to_vec(),
                Load::Stream { from, .. } => {
                    let mut bytes = Vec::new();
                    from.read_to_end(&mut bytes).unwrap();
                    bytes
                }
            };
            self.0.lock().unwrap().insert(name.to_owned(), bytes);
            Ok(())
        }
    }

    fn shelf(files: &Files) -> BucketShelf<'static> {
        BucketShelf {
            address: Address::read("https://dav.invalid/shop", None).unwrap(),
            store: Box::new(Memory(files.clone())),
            made: AtomicBool::new(false),
        }
    }

    fn notebook(castings: usize) -> (TempDir, Notebook) {
        let dir = TempDir::new().unwrap();
        let notebook = Notebook::open(dir.path()).unwrap();
        for at in 0..castings {
            let body = CastingBody {
                name: format!("casting {at}"),
                note: None,
                metal: None,
            };
            notebook.add_casting(&body).unwrap();
        }
        (dir, notebook)
    }

    fn meet(notebook: &Notebook, files: &Files) -> Report {
        exchange_over(notebook, &shelf(files), &unwatched).unwrap()
    }

    #[test]
    fn lines_of_another_size_than_they_have_are_left_again() {
        let files = Files::default();
        let (_dir, first) = notebook(3);
        assert_eq!(meet(&first, &files).entries_left, 3);
        let (name, whole) = files.lock().unwrap().pop_first().unwrap();
        let until = whole.iter().position(|byte| *byte == b'\n').unwrap() + 1;
        for cut in [&whole[..until], &whole[..until + 5], &[]] {
            files.lock().unwrap().insert(name.clone(), cut.to_vec());
            assert_eq!(meet(&first, &files).entries_left, 3, "{}", cut.len());
            assert_eq!(files.lock().unwrap()[&name], whole);
        }
    }

    #[test]
    fn while_there_is_an_empty_file_everything_is_looked_at_each_time() {
        let files = Files::default();
        let (_dir, first) = notebook(3);
        meet(&first, &files);
        assert!(shelf(&files).survey(None).unwrap().unwrap().state.is_some());
        let (name, whole) = files.lock().unwrap().pop_first().unwrap();
        files.lock().unwrap().insert(name.clone(), Vec::new());
        let survey = shelf(&files).survey(None).unwrap().unwrap();
        assert_eq!(
            (survey.stretches.len(), survey.unsound.len(), survey.state),
            (0, 1, None)
        );
        let (_other, second) = notebook(0);
        let report = meet(&second, &files);
        assert_eq!((report.entries_taken, report.problems.len()), (0, 1));
        files.lock().unwrap().insert(name, whole);
        assert_eq!(meet(&second, &files).entries_taken, 3);
    }
}
