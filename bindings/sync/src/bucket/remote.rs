//! A bucket or a WebDAV folder as a remote.

use super::address::Address;
use super::error::BucketError;
use super::file_store::{FileStore, Upload};
use super::keys::Keys;
use super::s3::S3;
use super::webdav::WebDav;
use crate::http::SendOnce;
use holebook_core::notebook::MAX_LINE_BYTES;
use holebook_core::photo::{LARGEST_FILE_BYTES, PhotoHash};
use holebook_core::sync::{CHUNK_BYTES, Listing, Problem, Remote, Segment, SyncError};
use std::io::{Read, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// The most bytes of a segment: a chunk, or a single longer line with its line break.
const MAX_SEGMENT_BYTES: u64 = (CHUNK_BYTES + MAX_LINE_BYTES + 1) as u64;

/// A bucket or a WebDAV folder. Opening it makes no request.
pub struct BucketRemote {
    address: Address,
    store: Box<dyn FileStore>,
    created: AtomicBool,
}

/// How a remote may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BucketOptions {
    /// Whether an unencrypted connection is allowed.
    pub unencrypted: bool,
    /// Whether a WebDAV folder is created if its parent exists.
    pub create: bool,
}

impl BucketRemote {
    /// The remote at an address, with these keys.
    ///
    /// # Errors
    /// [`BucketError::NoKeys`], and [`BucketError::Unencrypted`] unless that is allowed.
    pub fn open(address: Address, keys: Keys, options: BucketOptions) -> Result<Self, BucketError> {
        let remote = address.name();
        if !address.url().is_secure() && !options.unencrypted {
            return Err(BucketError::Unencrypted { remote });
        }
        let store: Box<dyn FileStore> = match &address {
            Address::S3 {
                endpoint,
                bucket,
                folder,
            } => Box::new(S3::new(remote, endpoint, bucket, folder, keys)?),
            Address::Dav(url) => Box::new(WebDav::new(remote, url, &keys, options.create)),
        };
        Ok(Self {
            address,
            store,
            created: AtomicBool::new(false),
        })
    }

    /// Whether its folder was created.
    #[must_use]
    pub fn was_created(&self) -> bool {
        self.created.load(Ordering::Relaxed)
    }
}

impl Remote for BucketRemote {
    fn interrupt(&self) {
        self.store.interrupt();
    }

    fn id(&self) -> String {
        self.address.id()
    }

    fn name(&self) -> String {
        self.address.name()
    }

    fn list(&self, known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let mut listing = Listing::default();
        let existed = self
            .store
            .list(&mut |name, bytes| add_to_listing(&mut listing, name, bytes))?;
        if !existed {
            self.created.store(true, Ordering::Relaxed);
        }
        if listing.unreadable.is_empty() {
            listing.state = Some(listing.fingerprint());
        }
        let same = known.is_some() && known == listing.state.as_deref();
        Ok((!same).then_some(listing))
    }

    fn pull_lines(&self, segment: &Segment, _from: u64) -> Result<Vec<u8>, SyncError> {
        let mut lines = Vec::new();
        self.store
            .get(&segment.to_string(), MAX_SEGMENT_BYTES + 1, &mut lines)?;
        Ok(lines)
    }

    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError> {
        self.store.put(&segment.to_string(), Upload::Bytes(lines))
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        self.store
            .get(&photo_name(photo), LARGEST_FILE_BYTES + 1, into)
    }

    fn push_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        let mut once = SendOnce::new(from);
        let digest = photo.to_string();
        let pushed = self.store.put(
            &photo_name(photo),
            Upload::Stream {
                from: &mut once,
                bytes,
                digest,
            },
        );
        match once.take_error() {
            Some(error) => Err(SyncError::File(Problem {
                file: photo_name(photo),
                reason: format!("this notebook cannot read it ({error})"),
            })),
            None => pushed,
        }
    }
}

fn photo_name(photo: &PhotoHash) -> String {
    format!("photos/{photo}")
}

/// Adds a file if it is a segment or a photo; other files belong to someone else.
fn add_to_listing(listing: &mut Listing, name: &str, bytes: u64) {
    if let Some(photo) = name.strip_prefix("photos/") {
        listing
            .photos
            .extend(photo.parse().ok().map(|photo: PhotoHash| (photo, bytes)));
    } else if let Ok(segment) = name.parse::<Segment>() {
        if (1..=MAX_SEGMENT_BYTES).contains(&bytes) {
            listing.segment_sizes.insert(segment.clone(), bytes);
            listing.segments.insert(segment);
        } else {
            let reason = if bytes == 0 {
                "it is empty"
            } else {
                "it is too large for a segment"
            };
            listing.unreadable.push(Problem {
                file: segment.to_string(),
                reason: reason.to_owned(),
            });
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::notebook::{CastingBody, Notebook};
    use holebook_core::sync::{SyncReport, ignore_progress, sync_with};
    use std::collections::BTreeMap;
    use std::sync::{Arc, Mutex};
    use tempfile::TempDir;

    /// The files of a store, by name.
    type Files = Arc<Mutex<BTreeMap<String, Vec<u8>>>>;

    /// A store in memory.
    struct Memory(Files);

    impl FileStore for Memory {
        fn interrupt(&self) {}

        fn list(&self, each: &mut dyn FnMut(&str, u64)) -> Result<bool, SyncError> {
            let files = self.0.lock().unwrap();
            files
                .iter()
                .for_each(|(name, bytes)| each(name, bytes.len() as u64));
            Ok(true)
        }

        fn get(&self, name: &str, _: u64, into: &mut dyn Write) -> Result<(), SyncError> {
            into.write_all(&self.0.lock().unwrap()[name]).unwrap();
            Ok(())
        }

        fn put(&self, name: &str, upload: Upload<'_, '_>) -> Result<(), SyncError> {
            let bytes = match upload {
                Upload::Bytes(bytes) => bytes.to_vec(),
                Upload::Stream { from, .. } => {
                    let mut bytes = Vec::new();
                    from.read_to_end(&mut bytes).unwrap();
                    bytes
                }
            };
            self.0.lock().unwrap().insert(name.to_owned(), bytes);
            Ok(())
        }
    }

    fn remote(files: &Files) -> BucketRemote {
        BucketRemote {
            address: Address::parse("https://dav.invalid/shop", None).unwrap(),
            store: Box::new(Memory(files.clone())),
            created: AtomicBool::new(false),
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

    fn sync(notebook: &Notebook, files: &Files) -> SyncReport {
        sync_with(notebook, &remote(files), &ignore_progress).unwrap()
    }

    #[test]
    fn segments_of_a_wrong_size_are_pushed_again() {
        let files = Files::default();
        let (_dir, first) = notebook(3);
        assert_eq!(sync(&first, &files).entries_pushed, 3);
        let (name, whole) = files.lock().unwrap().pop_first().unwrap();
        let until = whole.iter().position(|byte| *byte == b'\n').unwrap() + 1;
        for cut in [&whole[..until], &whole[..until + 5], &[]] {
            files.lock().unwrap().insert(name.clone(), cut.to_vec());
            assert_eq!(sync(&first, &files).entries_pushed, 3, "{}", cut.len());
            assert_eq!(files.lock().unwrap()[&name], whole);
        }
    }

    #[test]
    fn empty_file_forces_a_full_listing_each_time() {
        let files = Files::default();
        let (_dir, first) = notebook(3);
        sync(&first, &files);
        assert!(remote(&files).list(None).unwrap().unwrap().state.is_some());
        let (name, whole) = files.lock().unwrap().pop_first().unwrap();
        files.lock().unwrap().insert(name.clone(), Vec::new());
        let listing = remote(&files).list(None).unwrap().unwrap();
        assert_eq!(
            (
                listing.segments.len(),
                listing.unreadable.len(),
                listing.state
            ),
            (0, 1, None)
        );
        let (_other, second) = notebook(0);
        let report = sync(&second, &files);
        assert_eq!((report.entries_pulled, report.problems.len()), (0, 1));
        files.lock().unwrap().insert(name, whole);
        assert_eq!(sync(&second, &files).entries_pulled, 3);
    }
}
