//! What must hold of a shelf elsewhere, whoever keeps it.

use crate::apache::apache;
use crate::desk::{Desk, Server, shelf, shelf_at};
use crate::s3::{BUCKET, store, write_keys};
use crate::served::are_there;
use holebook_core::exchange::{Report, Shelf as _};
use holebook_core::notebook::{DeviceId, Head, LineHash};
use holebook_core::photo::PhotoHash;
use holebook_shop::bucket::{Address, BucketShelf, Keys, May};
use holebook_tests::proxy::Proxy;
use std::thread;
use std::time::Duration;

/// Both servers, each with a name for the case's own shelf.
fn on_both(name: &str, case: impl Fn(&dyn Server, &str) + Sync) {
    if !are_there() {
        return;
    }
    thread::scope(|scope| {
        let other = scope.spawn(|| case(apache(), name));
        case(store(), name);
        other.join().unwrap();
    });
}

#[test]
fn two_devices_meet_over_it_and_nothing_new_moves_nothing() {
    on_both("both-ways", |server, name| {
        let (here, there) = (Desk::new(), Desk::new());
        here.photograph(90_000);
        let left = here.exchange(&shelf(server, name)).unwrap();
        assert_eq!((left.entries_left, left.photos_left), (2, 1));
        let taken = there.exchange(&shelf(server, name)).unwrap();
        assert_eq!(
            (taken.entries_taken, taken.photos_taken, taken.problems),
            (2, 1, vec![])
        );
        there.photograph(1600);
        there.exchange(&shelf(server, name)).unwrap();
        let taken = here.exchange(&shelf(server, name)).unwrap();
        assert_eq!((taken.entries_taken, taken.photos_taken), (2, 1));
        assert_eq!(here.ends(), there.ends());
        assert!(here.is_sound() && there.is_sound());
        // The names are those of a stick, and nothing else is left there.
        let files = server.files(name);
        assert_eq!(files.len(), 6, "{files:?}");
        let guest = Desk::new();
        let survey = shelf(server, name).survey(None).unwrap().unwrap();
        assert_eq!((survey.stretches.len(), survey.photos.len()), (4, 2));
        for (name, _) in &files {
            let stretch = survey
                .stretches
                .iter()
                .any(|stretch| stretch.to_string() == *name);
            assert!(
                stretch
                    || survey
                        .photos
                        .keys()
                        .any(|photo| format!("photos/{photo}") == *name),
                "{name}"
            );
        }
        guest.exchange(&shelf(server, name)).unwrap();
        assert_eq!(guest.ends(), here.ends());

        let proxy = Proxy::before(server.at());
        let by_proxy = shelf_at(server, name, proxy.address);
        // Its address is another one, so the first exchange looks at everything.
        here.exchange(&by_proxy).unwrap();
        let before = proxy.passed();
        let again = here.exchange(&by_proxy).unwrap();
        let moved = proxy.passed() - before;
        assert_eq!(
            again.entries_taken + again.entries_left + again.photos_taken + again.photos_left,
            0
        );
        // A list of what lies there, and no file.
        assert!(moved < 20_000, "{moved} bytes for {} files", files.len());
        let survey = by_proxy.survey(None).unwrap().unwrap();
        assert!(by_proxy.survey(survey.state.as_deref()).unwrap().is_none());
    });
}

/// Exchanges again where the sentence says so: the S3-compatible test server answers 500 where two put the same object in the
/// same moment, and a photo is not sent twice within one exchange.
fn exchange_as_told(desk: &Desk, shelf: &BucketShelf<'_>) -> Report {
    for _ in 0..5 {
        match desk.exchange(shelf) {
            Err(busy) if busy.to_string().contains("it is busy, status 500") => {
                assert!(busy.to_string().contains("exchange again"), "{busy}");
            }
            done => return done.unwrap(),
        }
    }
    panic!("the shelf is always busy");
}

#[test]
fn two_leave_at_once() {
    on_both("at-once", |server, name| {
        let desks = [Desk::new(), Desk::new()];
        for (seed, desk) in (1..).zip(&desks) {
            desk.photograph(250_000 + seed);
            desk.photograph(250_000);
        }
        thread::scope(|scope| {
            let left = desks
                .each_ref()
                .map(|desk| scope.spawn(|| exchange_as_told(desk, &shelf(server, name))));
            for left in left {
                assert_eq!(left.join().unwrap().problems, []);
            }
        });
        for desk in &desks {
            desk.exchange(&shelf(server, name)).unwrap();
        }
        desks[0].exchange(&shelf(server, name)).unwrap();
        assert_eq!(desks[0].ends(), desks[1].ends());
        assert!(desks.iter().all(Desk::is_sound));
    });
}

#[test]
fn a_connection_that_is_cut_leaves_nothing_half() {
    on_both("cut", |server, name| {
        let proxy = Proxy::before(server.at());
        let (here, there) = (Desk::new(), Desk::new());
        here.photograph(2_000_000);
        here.photograph(1_950_000);
        // While it looks, in the middle of a photo that goes there, and behind them.
        for bytes in [700, 900_000, 3_000_000] {
            proxy.cut_after(bytes);
            let cut = here.exchange(&shelf_at(server, name, proxy.address));
            assert!(cut.is_err(), "{cut:?}");
            let sentence = cut.unwrap_err().to_string();
            assert!(
                sentence.contains("cannot be reached") && sentence.contains("exchange again"),
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
        proxy.mend();
        here.exchange(&shelf_at(server, name, proxy.address))
            .unwrap();

        // On the way back: the rest of a photo is asked for where it broke.
        proxy.cut_after(2_500_000);
        thread::scope(|scope| {
            scope.spawn(|| {
                let before = proxy.passed();
                while proxy.passed() < before + 2_500_000 {
                    thread::sleep(Duration::from_millis(2));
                }
                thread::sleep(Duration::from_millis(100));
                proxy.mend();
            });
            let taken = there
                .exchange(&shelf_at(server, name, proxy.address))
                .unwrap();
            assert_eq!((taken.photos_taken, taken.problems), (2, vec![]));
        });
        assert_eq!(there.ends(), here.ends());
        assert!(there.is_sound());

        let last = Desk::new();
        proxy.cut_after(2_500_000);
        assert!(
            last.exchange(&shelf_at(server, name, proxy.address))
                .is_err()
        );
        assert!(last.is_sound());
        proxy.mend();
        last.exchange(&shelf_at(server, name, proxy.address))
            .unwrap();
        assert_eq!(last.ends(), here.ends());
    });
}

#[test]
fn what_is_not_what_its_name_says_is_not_taken() {
    on_both("wrong", |server, name| {
        let (here, there) = (Desk::new(), Desk::new());
        here.photograph(40_000);
        here.exchange(&shelf(server, name)).unwrap();
        let files = server.files(name);
        let (photo, bytes) = files
            .iter()
            .find(|(name, _)| name.starts_with("photos/"))
            .unwrap();
        server.put(name, photo, &vec![7; *bytes as usize]);
        // Lines of a device that nobody is, a file cut to nothing, and what others keep there.
        let head = Head {
            device: DeviceId::fresh(),
            seq: 2,
            hash: LineHash::of("x"),
        };
        let strange = holebook_core::exchange::Stretch::to(&head, 1).to_string();
        server.put(name, &strange, b"{\"not\":\"a line\"}\n");
        let empty = Head {
            device: DeviceId::fresh(),
            seq: 2,
            hash: LineHash::of("x"),
        };
        let empty = holebook_core::exchange::Stretch::to(&empty, 1).to_string();
        server.put(name, &empty, b"");
        server.put(name, "photos/holiday.jpg", b"not ours");
        server.put(name, "journal/notes.txt", b"not ours");
        let taken = there.exchange(&shelf(server, name)).unwrap();
        let mut problems: Vec<_> = taken
            .problems
            .iter()
            .map(|problem| problem.file.clone())
            .collect();
        problems.sort();
        let mut wanted = vec![photo.clone(), strange, empty];
        wanted.sort();
        assert_eq!(problems, wanted);
        assert_eq!((taken.entries_taken, taken.photos_taken), (2, 0));
        let hash: PhotoHash = photo.strip_prefix("photos/").unwrap().parse().unwrap();
        assert_eq!(taken.photos_missing, [hash]);
        assert_eq!(there.ends().0, here.ends().0);
        assert!(there.notebook.photos().hashes().unwrap().is_empty());
    });
}

#[test]
fn lines_that_were_cut_short_are_left_again() {
    on_both("short", |server, name| {
        let (here, there) = (Desk::new(), Desk::new());
        here.note("first");
        here.note("second");
        here.exchange(&shelf(server, name)).unwrap();
        let (file, bytes) = server.files(name).remove(0);
        let survey = shelf(server, name).survey(None).unwrap().unwrap();
        let stretch = survey.stretches.first().unwrap();
        let lines = shelf(server, name).lines(stretch, 1).unwrap();
        assert_eq!(lines.len() as u64, bytes);
        let first = lines.iter().position(|byte| *byte == b'\n').unwrap() + 1;
        server.put(name, &file, &lines[..first]);
        let cut = there.exchange(&shelf(server, name)).unwrap();
        assert_eq!((cut.entries_taken, cut.problems.len()), (1, 1));
        // Nothing was written here since, and yet it leaves the file again.
        assert_eq!(here.exchange(&shelf(server, name)).unwrap().entries_left, 2);
        assert!(server.files(name).contains(&(file, bytes)));
        let again = there.exchange(&shelf(server, name)).unwrap();
        assert_eq!((again.entries_taken, again.problems), (1, vec![]));
        assert_eq!(there.ends(), here.ends());
    });
}

#[test]
fn more_than_a_thousand_objects_are_listed_whole() {
    if !are_there() {
        return;
    }
    let name = "many";
    let here = Desk::new();
    here.note("before");
    here.exchange(&shelf(store(), name)).unwrap();
    store().crowd(&format!("{name}/photos/"), 1005);
    let photo = PhotoHash::of(b"the last of them");
    let last = format!("photos/{}", "f".repeat(64));
    store().put(name, &format!("photos/{photo}"), b"the last of them");
    store().put(name, &last, b"?");
    let survey = shelf(store(), name).survey(None).unwrap().unwrap();
    assert_eq!((survey.stretches.len(), survey.photos.len()), (1, 2));
    assert_eq!(survey.photos[&photo], 16);
}

#[test]
fn who_is_not_let_in_is_told_why() {
    if !are_there() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("keys.toml");
    let told = |address: Address, keys: &str| {
        write_keys(&file, keys);
        let shelf = BucketShelf::open(address, Keys::read(&file).unwrap(), May::default(), &|| {
            false
        });
        let told = shelf.map(|shelf| shelf.survey(None).expect_err(&shelf.name()).to_string());
        let told = told.unwrap_or_else(|error| error.to_string());
        assert!(!told.contains("sesame") && !told.contains('\n'), "{told}");
        told
    };
    let good = std::fs::read_to_string(store().keys()).unwrap();
    let parts =
        |name: &str| Address::read(&format!("s3://{name}/x"), Some(&store().endpoint())).unwrap();
    let key = good.lines().next().unwrap();
    for (address, keys, sentence) in [
        (
            parts(BUCKET),
            format!("{key}\nsecret = 'sesame'"),
            "does not take the secret of this key",
        ),
        (
            parts(BUCKET),
            "key = 'NOBODY'\nsecret = 'sesame'".to_owned(),
            "does not know this key",
        ),
        (parts(BUCKET), String::new(), "there are no keys"),
        (parts("lost"), good.clone(), "is not there; see its name"),
    ] {
        let told = told(address, &keys);
        assert!(told.contains(sentence) && told.contains("s3://"), "{told}");
    }
    let dav =
        |path: &str| Address::read(&format!("http://{}/{path}", apache().at()), None).unwrap();
    let good = std::fs::read_to_string(apache().keys()).unwrap();
    for (path, keys, sentence) in [
        (
            "shelves/x",
            "user = 'bench'\npassword = 'sesame'",
            "does not take this user and password",
        ),
        ("shelves/x", "", "wants a user and password"),
        ("shelves/none", &*good, "is not there"),
        ("shelves/none/none", &*good, "is not there"),
        ("plain", &*good, "answers as no WebDAV folder does"),
    ] {
        let told = told(dav(path), keys);
        assert!(
            told.contains(sentence) && told.contains("WebDAV folder"),
            "{told}"
        );
    }
    // Named anew it is made, but not what it should lie in.
    let made = Desk::new();
    let keys = || Keys::read(&apache().keys()).unwrap();
    let may = May {
        make: true,
        ..May::default()
    };
    let lost = BucketShelf::open(dav("shelves/none/none"), keys(), may, &|| false).unwrap();
    let told = made.exchange(&lost).unwrap_err().to_string();
    assert!(
        told.contains("nor is the folder that it should lie in"),
        "{told}"
    );
    let new = BucketShelf::open(dav("shelves/made"), keys(), may, &|| false).unwrap();
    made.exchange(&new).unwrap();
    assert!(new.was_made());
    let nobody = Address::read("http://127.0.0.1:1/x", None).unwrap();
    let nobody = BucketShelf::open(nobody, keys(), may, &|| false).unwrap();
    let told = made.exchange(&nobody).unwrap_err().to_string();
    assert!(told.contains("nothing listens there"), "{told}");
}
