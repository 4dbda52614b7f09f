//! What holds for a bucket remote on any server.

use super::apache::apache;
use super::s3::{BUCKET, store, write_keys};
use super::server_process::are_available;
use super::test_notebook::{Server, TestNotebook, remote, remote_at};
use holebook_core::notebook::{DeviceId, Head, LineHash};
use holebook_core::photo::PhotoHash;
use holebook_core::sync::{Remote as _, SyncReport};
use holebook_sync::bucket::{Address, BucketOptions, BucketRemote, Keys};
use holebook_test_support::Proxy;
use std::thread;
use std::time::Duration;

/// Runs a case on both servers, with a name for its own remote.
fn on_both(name: &str, case: impl Fn(&dyn Server, &str) + Sync) {
    if !are_available() {
        return;
    }
    thread::scope(|scope| {
        let other = scope.spawn(|| case(apache(), name));
        case(store(), name);
        other.join().unwrap();
    });
}

#[test]
fn two_devices_sync_and_nothing_is_transferred_without_changes() {
    on_both("both-ways", |server, name| {
        let (here, there) = (TestNotebook::new(), TestNotebook::new());
        here.add_photo(90_000);
        let left = here.sync(&remote(server, name)).unwrap();
        assert_eq!((left.entries_pushed, left.photos_pushed), (2, 1));
        let taken = there.sync(&remote(server, name)).unwrap();
        assert_eq!(
            (taken.entries_pulled, taken.photos_pulled, taken.problems),
            (2, 1, vec![])
        );
        there.add_photo(1600);
        there.sync(&remote(server, name)).unwrap();
        let taken = here.sync(&remote(server, name)).unwrap();
        assert_eq!((taken.entries_pulled, taken.photos_pulled), (2, 1));
        assert_eq!(here.contents(), there.contents());
        assert!(here.is_valid() && there.is_valid());
        // The names are those of a stick, and nothing else is there.
        let files = server.files(name);
        assert_eq!(files.len(), 6, "{files:?}");
        let guest = TestNotebook::new();
        let listing = remote(server, name).list(None).unwrap().unwrap();
        assert_eq!((listing.segments.len(), listing.photos.len()), (4, 2));
        for (name, _) in &files {
            let segment = listing
                .segments
                .iter()
                .any(|segment| segment.to_string() == *name);
            assert!(
                segment
                    || listing
                        .photos
                        .keys()
                        .any(|photo| format!("photos/{photo}") == *name),
                "{name}"
            );
        }
        guest.sync(&remote(server, name)).unwrap();
        assert_eq!(guest.contents(), here.contents());

        let proxy = Proxy::to(server.at());
        let by_proxy = remote_at(server, name, proxy.address);
        // Its address is a new one, so the first sync lists everything.
        here.sync(&by_proxy).unwrap();
        let before = proxy.bytes();
        let again = here.sync(&by_proxy).unwrap();
        let moved = proxy.bytes() - before;
        assert_eq!(
            again.entries_pulled + again.entries_pushed + again.photos_pulled + again.photos_pushed,
            0
        );
        // Only a listing was transferred, no file.
        assert!(moved < 20_000, "{moved} bytes for {} files", files.len());
        let listing = by_proxy.list(None).unwrap().unwrap();
        assert!(by_proxy.list(listing.state.as_deref()).unwrap().is_none());
    });
}

/// Syncs again if the error says so: the S3-compatible test server responds with 500 if two clients
/// put the same object at the same moment, and a photo is not sent twice within one sync.
fn sync_with_retry(notebook: &TestNotebook, remote: &BucketRemote) -> SyncReport {
    for _ in 0..5 {
        match notebook.sync(remote) {
            Err(busy) if busy.to_string().contains("busy, status 500") => {
                assert!(busy.to_string().contains("sync again"), "{busy}");
            }
            done => return done.unwrap(),
        }
    }
    panic!("the remote is always busy");
}

#[test]
fn two_devices_push_at_once() {
    on_both("at-once", |server, name| {
        let notebooks = [TestNotebook::new(), TestNotebook::new()];
        for (seed, notebook) in (1..).zip(&notebooks) {
            notebook.add_photo(250_000 + seed);
            notebook.add_photo(250_000);
        }
        thread::scope(|scope| {
            let left = notebooks
                .each_ref()
                .map(|notebook| scope.spawn(|| sync_with_retry(notebook, &remote(server, name))));
            for left in left {
                assert_eq!(left.join().unwrap().problems, []);
            }
        });
        for notebook in &notebooks {
            notebook.sync(&remote(server, name)).unwrap();
        }
        notebooks[0].sync(&remote(server, name)).unwrap();
        assert_eq!(notebooks[0].contents(), notebooks[1].contents());
        assert!(notebooks.iter().all(TestNotebook::is_valid));
    });
}

#[test]
fn broken_connection_leaves_no_partial_file() {
    on_both("cut", |server, name| {
        let proxy = Proxy::to(server.at());
        let (here, there) = (TestNotebook::new(), TestNotebook::new());
        here.add_photo(2_000_000);
        here.add_photo(1_950_000);
        // During the listing, in the middle of a photo upload, and after the uploads.
        for bytes in [700, 900_000, 3_000_000] {
            proxy.cut_after(bytes);
            let cut = here.sync(&remote_at(server, name, proxy.address));
            assert!(cut.is_err(), "{cut:?}");
            let sentence = cut.unwrap_err().to_string();
            assert!(
                sentence.contains("cannot be reached") && sentence.contains("sync again"),
                "{sentence}"
            );
            let whole = |photo: &(String, u64)| {
                !photo.0.starts_with("photos/")
                    || photo.0.contains("unfinished")
                    || photo.1 > 1_900_000
            };
            assert!(
                server.files(name).iter().all(whole),
                "{:?}",
                server.files(name)
            );
        }
        proxy.restore();
        here.sync(&remote_at(server, name, proxy.address)).unwrap();

        // While pulling: the rest of a photo is requested where it broke.
        proxy.cut_after(2_500_000);
        thread::scope(|scope| {
            scope.spawn(|| {
                let before = proxy.bytes();
                while proxy.bytes() < before + 2_500_000 {
                    thread::sleep(Duration::from_millis(2));
                }
                thread::sleep(Duration::from_millis(100));
                proxy.restore();
            });
            let taken = there.sync(&remote_at(server, name, proxy.address)).unwrap();
            assert_eq!((taken.photos_pulled, taken.problems), (2, vec![]));
        });
        assert_eq!(there.contents(), here.contents());
        assert!(there.is_valid());

        let last = TestNotebook::new();
        proxy.cut_after(2_500_000);
        assert!(last.sync(&remote_at(server, name, proxy.address)).is_err());
        assert!(last.is_valid());
        proxy.restore();
        last.sync(&remote_at(server, name, proxy.address)).unwrap();
        assert_eq!(last.contents(), here.contents());
    });
}

#[test]
fn files_that_do_not_match_their_names_are_rejected() {
    on_both("wrong", |server, name| {
        let (here, there) = (TestNotebook::new(), TestNotebook::new());
        here.add_photo(40_000);
        here.sync(&remote(server, name)).unwrap();
        let files = server.files(name);
        let (photo, bytes) = files
            .iter()
            .find(|(name, _)| name.starts_with("photos/"))
            .unwrap();
        server.put(name, photo, &vec![7; *bytes as usize]);
        // Lines of an unknown device, an empty file, and files of someone else.
        let head = Head {
            device: DeviceId::fresh(),
            seq: 2,
            hash: LineHash::of("x"),
        };
        let strange = holebook_core::sync::Segment::ending_at(&head, 1).to_string();
        server.put(name, &strange, b"{\"not\":\"a line\"}\n");
        let empty = Head {
            device: DeviceId::fresh(),
            seq: 2,
            hash: LineHash::of("x"),
        };
        let empty = holebook_core::sync::Segment::ending_at(&empty, 1).to_string();
        server.put(name, &empty, b"");
        server.put(name, "photos/holiday.jpg", b"not ours");
        server.put(name, "journal/notes.txt", b"not ours");
        let taken = there.sync(&remote(server, name)).unwrap();
        let mut problems: Vec<_> = taken
            .problems
            .iter()
            .map(|problem| problem.file.clone())
            .collect();
        problems.sort();
        let mut wanted = vec![photo.clone(), strange, empty];
        wanted.sort();
        assert_eq!(problems, wanted);
        assert_eq!((taken.entries_pulled, taken.photos_pulled), (2, 0));
        let hash: PhotoHash = photo.strip_prefix("photos/").unwrap().parse().unwrap();
        assert_eq!(taken.photos_missing, [hash]);
        assert_eq!(there.contents().0, here.contents().0);
        assert!(there.notebook.photos().hashes().unwrap().is_empty());
    });
}

#[test]
fn truncated_segments_are_pushed_again() {
    on_both("short", |server, name| {
        let (here, there) = (TestNotebook::new(), TestNotebook::new());
        here.record_casting("first");
        here.record_casting("second");
        here.sync(&remote(server, name)).unwrap();
        let (file, bytes) = server.files(name).remove(0);
        let listing = remote(server, name).list(None).unwrap().unwrap();
        let segment = listing.segments.first().unwrap();
        let lines = remote(server, name).pull_lines(segment, 1).unwrap();
        assert_eq!(lines.len() as u64, bytes);
        let first = lines.iter().position(|byte| *byte == b'\n').unwrap() + 1;
        server.put(name, &file, &lines[..first]);
        let cut = there.sync(&remote(server, name)).unwrap();
        assert_eq!((cut.entries_pulled, cut.problems.len()), (1, 1));
        // Nothing was recorded here since, and yet the file is pushed again.
        assert_eq!(here.sync(&remote(server, name)).unwrap().entries_pushed, 2);
        assert!(server.files(name).contains(&(file, bytes)));
        let again = there.sync(&remote(server, name)).unwrap();
        assert_eq!((again.entries_pulled, again.problems), (1, vec![]));
        assert_eq!(there.contents(), here.contents());
    });
}

#[test]
fn listing_has_more_than_one_page() {
    if !are_available() {
        return;
    }
    let name = "many";
    let here = TestNotebook::new();
    here.record_casting("before");
    here.sync(&remote(store(), name)).unwrap();
    store().crowd(&format!("{name}/photos/"), 1005);
    let photo = PhotoHash::of(b"the last of them");
    let last = format!("photos/{}", "f".repeat(64));
    store().put(name, &format!("photos/{photo}"), b"the last of them");
    store().put(name, &last, b"?");
    let listing = remote(store(), name).list(None).unwrap().unwrap();
    assert_eq!((listing.segments.len(), listing.photos.len()), (1, 2));
    assert_eq!(listing.photos[&photo], 16);
}

#[test]
fn access_errors_say_why() {
    if !are_available() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("keys.toml");
    let sentence_of = |address: Address, keys: &str| {
        write_keys(&file, keys);
        let remote = BucketRemote::open(
            address,
            Keys::read(&file).unwrap(),
            BucketOptions::default(),
        );
        let message = remote.map(|remote| remote.list(None).expect_err(&remote.name()).to_string());
        let message = message.unwrap_or_else(|error| error.to_string());
        assert!(
            !message.contains("sesame") && !message.contains('\n'),
            "{message}"
        );
        message
    };
    let good = std::fs::read_to_string(store().keys()).unwrap();
    let parts =
        |name: &str| Address::parse(&format!("s3://{name}/x"), Some(&store().endpoint())).unwrap();
    let key = good.lines().next().unwrap();
    for (address, keys, expected) in [
        (
            parts(BUCKET),
            format!("{key}\nsecret = 'sesame'"),
            "rejects the secret of this key",
        ),
        (
            parts(BUCKET),
            "key = 'NOBODY'\nsecret = 'sesame'".to_owned(),
            "does not know this key",
        ),
        (parts(BUCKET), String::new(), "there are no keys"),
        (
            parts("lost"),
            good.clone(),
            "does not exist; check its name",
        ),
    ] {
        let message = sentence_of(address, &keys);
        assert!(
            message.contains(expected) && message.contains("s3://"),
            "{message}"
        );
    }
    let dav =
        |path: &str| Address::parse(&format!("http://{}/{path}", apache().at()), None).unwrap();
    let good = std::fs::read_to_string(apache().keys()).unwrap();
    for (path, keys, expected) in [
        (
            "remotes/x",
            "user = 'bench'\npassword = 'sesame'",
            "rejects this user and password",
        ),
        ("remotes/x", "", "requires a user and password"),
        ("remotes/none", &*good, "does not exist"),
        ("remotes/none/none", &*good, "does not exist"),
        ("plain", &*good, "does not respond like a WebDAV folder"),
    ] {
        let message = sentence_of(dav(path), keys);
        assert!(
            message.contains(expected) && message.contains("WebDAV folder"),
            "{message}"
        );
    }
    // Named explicitly it is created, but not its parent.
    let made = TestNotebook::new();
    let keys = || Keys::read(&apache().keys()).unwrap();
    let options = BucketOptions {
        create: true,
        ..BucketOptions::default()
    };
    let lost = BucketRemote::open(dav("remotes/none/none"), keys(), options).unwrap();
    let message = made.sync(&lost).unwrap_err().to_string();
    assert!(message.contains("nor does its parent folder"), "{message}");
    let new = BucketRemote::open(dav("remotes/made"), keys(), options).unwrap();
    made.sync(&new).unwrap();
    assert!(new.was_created());
    let closed = Address::parse("http://127.0.0.1:1/x", None).unwrap();
    let closed = BucketRemote::open(closed, keys(), options).unwrap();
    let message = made.sync(&closed).unwrap_err().to_string();
    assert!(message.contains("nothing is listening there"), "{message}");
}
