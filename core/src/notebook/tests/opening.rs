//! Opening what is not a notebook: one sentence, and nothing is changed.

use super::*;
use crate::notebook::{NotebookError, paths};
use rusqlite::Connection;
use std::fs;
use std::path::Path;
use std::time::SystemTime;

/// Everything in a folder: names, contents and timestamps.
fn snapshot(dir: &Path) -> Vec<(String, Vec<u8>, SystemTime)> {
    let files = fs::read_dir(dir)
        .unwrap()
        .map(Result::unwrap)
        .filter(|entry| entry.path().is_file());
    let mut files: Vec<_> = files
        .map(|entry| {
            let name = entry.file_name().into_string().unwrap();
            (
                name,
                fs::read(entry.path()).unwrap(),
                entry.metadata().unwrap().modified().unwrap(),
            )
        })
        .collect();
    files.sort();
    files
}

/// Opens a folder that is refused, and checks that nothing in it was touched.
fn refused(dir: &Path) -> NotebookError {
    let before = snapshot(dir);
    let time = fs::metadata(dir).unwrap().modified().unwrap();
    let error = Notebook::open(dir).map(drop).unwrap_err();
    assert_eq!(snapshot(dir), before, "{error}");
    assert_eq!(
        fs::metadata(dir).unwrap().modified().unwrap(),
        time,
        "{error}"
    );
    let sentence = error.to_string();
    assert!(
        sentence.contains("; ") && !sentence.contains('\n'),
        "{sentence}"
    );
    error
}

fn file_in(dir: &TempDir) -> std::path::PathBuf {
    dir.path().join(paths::FILE)
}

#[test]
fn a_newer_notebook_is_refused_and_left_as_it_is() {
    let Bench { notebook, dir } = Bench::new();
    drop(notebook);
    Connection::open(file_in(&dir))
        .unwrap()
        .pragma_update(None, "user_version", 99)
        .unwrap();
    let error = refused(dir.path());
    assert!(
        matches!(error, NotebookError::Newer { theirs: 99, .. }),
        "{error}"
    );
}

#[test]
fn a_newer_notebook_whose_layout_is_still_in_the_log_is_refused_too() {
    let Bench { notebook, dir } = Bench::new();
    drop(notebook);
    let newer = Connection::open(file_in(&dir)).unwrap();
    newer.pragma_update(None, "wal_autocheckpoint", 0).unwrap();
    newer.pragma_update(None, "user_version", 99).unwrap();
    // As it is on disk when power fails.
    let after = TempDir::new().unwrap();
    for name in [paths::FILE, "notebook.sqlite-wal"] {
        fs::copy(dir.path().join(name), after.path().join(name)).unwrap();
    }
    let error = refused(after.path());
    assert!(
        matches!(error, NotebookError::Newer { theirs: 99, .. }),
        "{error}"
    );
    let error = Notebook::open(dir.path()).map(drop).unwrap_err();
    assert!(
        matches!(error, NotebookError::Newer { .. }),
        "while the newer one runs: {error}"
    );
}

#[test]
fn what_is_not_a_notebook_is_refused_and_left_as_it_is() {
    let foreign = TempDir::new().unwrap();
    Connection::open(file_in(&foreign))
        .unwrap()
        .execute_batch("CREATE TABLE song (title TEXT);")
        .unwrap();
    let text = TempDir::new().unwrap();
    fs::write(file_in(&text), "a shopping list, and no database at all: it is long enough for a header of a hundred bytes, though").unwrap();
    let other = TempDir::new().unwrap();
    fs::write(other.path().join("letter.txt"), "Dear Sir").unwrap();
    for dir in [&foreign, &text, &other] {
        let error = refused(dir.path());
        assert!(
            matches!(error, NotebookError::NotANotebook { .. }),
            "{error}"
        );
    }
    let error = Notebook::open(&other.path().join("letter.txt"))
        .map(drop)
        .unwrap_err();
    assert!(!error.to_string().is_empty());
    assert_eq!(
        fs::read_to_string(other.path().join("letter.txt")).unwrap(),
        "Dear Sir"
    );
}

#[test]
fn a_damaged_file_is_reported_and_never_deleted() {
    let (bench, _, holes) = Bench::with_holes(5);
    for mm in 1..=300 {
        bench
            .notebook
            .record(holes[mm % 5], depth_of(mm as f64), &[])
            .unwrap();
    }
    let Bench { notebook, dir } = bench;
    drop(notebook);
    let whole = fs::read(file_in(&dir)).unwrap();
    let pages = whole.len() / 4096;
    for page in 1..pages {
        let mut damaged = whole.clone();
        damaged[page * 4096..(page + 1) * 4096].fill(0xa5);
        fs::write(file_in(&dir), &damaged).unwrap();
        let unsound = match Notebook::open(dir.path()) {
            Ok(notebook) => notebook.verify().map_or(true, |report| !report.is_ok()),
            Err(NotebookError::Damaged { .. }) => true,
            Err(error) => panic!("page {page}: {error}"),
        };
        assert!(unsound, "page {page}");
        assert_eq!(fs::read(file_in(&dir)).unwrap().len(), damaged.len());
    }
    fs::write(file_in(&dir), &whole[..whole.len() / 2]).unwrap();
    let unsound = Notebook::open(dir.path())
        .and_then(|notebook| notebook.verify())
        .map_or(true, |report| !report.is_ok());
    assert!(unsound, "cut in half");
}

#[test]
fn a_file_left_empty_by_a_power_cut_becomes_a_notebook() {
    let dir = TempDir::new().unwrap();
    fs::write(file_in(&dir), "").unwrap();
    fs::create_dir(dir.path().join(paths::PHOTOS)).unwrap();
    assert!(
        Notebook::open(dir.path())
            .unwrap()
            .verify()
            .unwrap()
            .is_ok()
    );
    // And one that got as far as its header.
    let dir = TempDir::new().unwrap();
    Connection::open(file_in(&dir))
        .unwrap()
        .pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(()))
        .unwrap();
    assert!(
        Notebook::open(dir.path())
            .unwrap()
            .verify()
            .unwrap()
            .is_ok()
    );
}

#[test]
fn a_notebook_created_by_several_at_once_is_one_notebook() {
    for _ in 0..5 {
        let dir = TempDir::new().unwrap();
        let path = dir.path().join("new/notebook");
        let makers: Vec<_> = (0..4)
            .map(|_| {
                let path = path.clone();
                std::thread::spawn(move || Notebook::open(&path).unwrap().device().unwrap())
            })
            .collect();
        let devices: std::collections::BTreeSet<_> = makers
            .into_iter()
            .map(|maker| maker.join().unwrap())
            .collect();
        assert_eq!(devices.len(), 1);
    }
}

/// A program that is killed inside a checkpoint, or whose disk fills up there, leaves a file that has
/// some of the log's pages and not others, and a first page that counts more pages than there are.
#[test]
fn a_notebook_whose_checkpoint_was_interrupted_opens_with_all_its_entries() {
    let (bench, _, holes) = Bench::with_holes(1);
    let checkpoint = "PRAGMA wal_checkpoint(TRUNCATE); PRAGMA wal_autocheckpoint = 0";
    bench
        .notebook
        .connection()
        .execute_batch(checkpoint)
        .unwrap();
    for mm in 1..=60 {
        bench
            .notebook
            .record(holes[0], depth_of(f64::from(mm)), &[])
            .unwrap();
    }
    let all = lines(&bench.notebook);
    let file = fs::read(file_in(&bench.dir)).unwrap();
    let log = fs::read(bench.dir.path().join("notebook.sqlite-wal")).unwrap();
    // The newest version of each page, in the order in which a checkpoint writes them.
    let mut pages = std::collections::BTreeMap::new();
    for frame in log[32..].chunks_exact(24 + 4096) {
        let page = u32::from_be_bytes(frame[..4].try_into().unwrap());
        pages.insert(page as usize, &frame[24..]);
    }
    let (count, mut counts_more) = (pages.len(), 0);
    for done in 0..=count {
        let mut bytes = file.clone();
        for (page, content) in pages.iter().take(done) {
            bytes.resize(bytes.len().max(page * 4096), 0);
            bytes[(page - 1) * 4096..page * 4096].copy_from_slice(content);
        }
        let size = u32::from_be_bytes(bytes[28..32].try_into().unwrap()) as usize;
        counts_more += usize::from(size * 4096 > bytes.len());
        let after = TempDir::new().unwrap();
        fs::write(file_in(&after), &bytes).unwrap();
        fs::write(after.path().join("notebook.sqlite-wal"), &log).unwrap();
        let notebook = Notebook::open(after.path()).unwrap();
        assert_eq!(lines(&notebook), all, "{done} of {count} pages");
        assert!(notebook.verify().unwrap().is_ok());
        assert_eq!(notebook.warnings().unwrap(), []);
    }
    assert!(counts_more > 0, "the file never was shorter than it says");
}

#[test]
fn a_wrong_layout_number_is_named_as_the_cause() {
    for (layout, part) in [
        (-3, "layout number is -3"),
        (70_000, "70000"),
        (1, "layout"),
        (0, "layout"),
    ] {
        let Bench { notebook, dir } = Bench::new();
        drop(notebook);
        Connection::open(file_in(&dir))
            .unwrap()
            .pragma_update(None, "user_version", layout)
            .unwrap();
        let error = Notebook::open(dir.path()).map(drop).unwrap_err();
        assert!(matches!(error, NotebookError::Damaged { .. }), "{error}");
        assert!(error.to_string().contains(part), "{error}");
        assert!(!error.to_string().contains('\n'), "{error}");
        crate::repair::repair(dir.path()).unwrap();
        Notebook::open(dir.path()).unwrap();
    }
}

#[cfg(unix)]
#[test]
fn only_its_owner_can_read_a_notebook() {
    use std::os::unix::fs::PermissionsExt as _;
    let above = TempDir::new().unwrap();
    let dir = above.path().join("new/notebook");
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let check = || {
        let notebook = Notebook::open(&dir).unwrap();
        let casting = notebook.add_casting(&casting_body());
        casting.unwrap();
        assert_eq!(mode(&dir), 0o700);
        for ending in ["", "-wal", "-shm"] {
            let file = open_side(&dir, ending);
            assert_eq!(mode(&file), 0o600, "{}", file.display());
        }
    };
    check();
    // What an earlier version, a copy or a restore left open to others.
    fs::set_permissions(&dir, fs::Permissions::from_mode(0o755)).unwrap();
    fs::set_permissions(dir.join(paths::FILE), fs::Permissions::from_mode(0o644)).unwrap();
    check();
}

#[cfg(unix)]
fn casting_body() -> crate::notebook::CastingBody {
    crate::notebook::CastingBody {
        name: "Bed".to_owned(),
        note: None,
        metal: None,
    }
}

#[cfg(unix)]
fn open_side(dir: &Path, ending: &str) -> std::path::PathBuf {
    paths::side_file(&dir.join(paths::FILE), ending)
}

#[cfg(unix)]
#[test]
fn nothing_is_acknowledged_once_the_folder_or_its_files_are_gone() {
    for what in ["folder", "moved", "database", "log", "replaced"] {
        let above = TempDir::new().unwrap();
        let dir = above.path().join("notebook");
        let notebook = Notebook::open(&dir).unwrap();
        let body = casting_body();
        notebook.add_casting(&body).unwrap();
        match what {
            "folder" => fs::remove_dir_all(&dir).unwrap(),
            "moved" => fs::rename(&dir, above.path().join("elsewhere")).unwrap(),
            "database" => fs::remove_file(dir.join(paths::FILE)).unwrap(),
            "log" => fs::remove_file(open_side(&dir, "-wal")).unwrap(),
            _ => {
                let copy = dir.join("copy");
                fs::copy(dir.join(paths::FILE), &copy).unwrap();
                fs::rename(copy, dir.join(paths::FILE)).unwrap();
            }
        }
        let error = notebook.add_casting(&body).map(drop).unwrap_err();
        assert!(
            matches!(error, NotebookError::Gone { .. }),
            "{what}: {error}"
        );
    }
}

/// `.in-use` and the like are ours; a foreign file is named.
#[test]
fn the_refusal_of_a_folder_names_a_foreign_file() {
    let other = TempDir::new().unwrap();
    fs::write(other.path().join(".in-use"), "").unwrap();
    fs::write(other.path().join("letter.txt"), "Dear Sir").unwrap();
    let error = refused(other.path());
    assert!(error.to_string().contains("letter.txt"), "{error}");
}
