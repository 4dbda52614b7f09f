//! Bundles, written and imported.

use super::calls::{add_casting, castings, report, sync};
use crate::support::{TestPhone, measured_hole};
use holebook_core::notebook::{self as core, DeviceId, Entry, EntryKind, Line};
use holebook_core::photo::PhotoHash;
use holebook_mobile::*;
use std::io::Read as _;
use std::path::Path;

fn import(file: &str) -> SyncTarget {
    SyncTarget::Bundle {
        path: file.to_owned(),
    }
}

/// What is wrong with a bundle.
pub fn bundle_problem(error: NotebookError) -> BundleProblem {
    match error {
        NotebookError::Bundle { reason, problem } => {
            assert!(!reason.is_empty());
            problem
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn bundles_carry_entries_both_ways() {
    let (barn, bench) = (TestPhone::new(), TestPhone::new());
    measured_hole(&barn.notebook);
    let file = |phone: &TestPhone, name: &str| {
        let path = phone.dir.path().join(name);
        path.to_string_lossy().into_owned()
    };
    let there = file(&barn, "there.zip");
    let entries = barn.notebook.entries_not_synced().unwrap();
    let written = barn
        .notebook
        .write_bundle(there.clone(), BundleContent::NotSynced)
        .unwrap();
    assert_eq!((written.entries, written.photos), (entries, 1));
    assert_eq!(written.bytes, std::fs::metadata(&there).unwrap().len());
    // PKWARE, .ZIP File Format Specification, section 4.3.7: a local file header begins so.
    let mut begin = [0; 4];
    let mut open = std::fs::File::open(&there).unwrap();
    open.read_exact(&mut begin).unwrap();
    assert_eq!(&begin, b"PK\x03\x04");
    assert_eq!(
        barn.notebook.entries_not_synced().unwrap(),
        entries,
        "a file may never arrive"
    );

    let run = bench.notebook.start_sync(import(&there)).unwrap();
    let imported = report(run.result().unwrap());
    assert_eq!(u64::from(imported.entries_pulled), entries);
    assert_eq!(imported.photos_pulled, 1);
    assert_eq!(run.progress().remote, "the bundle 'there.zip'");
    assert!(Path::new(&there).exists(), "the file stays");
    let again = report(sync(&bench.notebook, import(&there)).unwrap());
    assert_eq!((again.entries_pulled, again.photos_pulled), (0, 0));

    add_casting(&bench.notebook, "from the bench");
    let back = file(&bench, "back.zip");
    bench
        .notebook
        .write_bundle(back.clone(), BundleContent::All)
        .unwrap();
    assert_eq!(
        report(sync(&barn.notebook, import(&back)).unwrap()).entries_pulled,
        1
    );
    assert_eq!(castings(&barn.notebook), castings(&bench.notebook));
}

#[test]
fn problem_with_a_bundle_is_reported_and_nothing_changes() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let at = |name: &str| phone.dir.path().join(name).to_string_lossy().into_owned();
    let write = |name: &str, what| {
        notebook
            .write_bundle(at(name), what)
            .map_err(bundle_problem)
    };
    assert_eq!(
        write("empty.zip", BundleContent::All).unwrap_err(),
        BundleProblem::NothingToWrite
    );
    add_casting(notebook, "one");
    write("one.zip", BundleContent::All).unwrap();
    assert_eq!(
        write("one.zip", BundleContent::All).unwrap_err(),
        BundleProblem::Exists
    );
    let nowhere = write("no/such/folder/one.zip", BundleContent::All).unwrap_err();
    assert_eq!(nowhere, BundleProblem::WriteFailed);

    std::fs::write(at("letter.zip"), "Dear").unwrap();
    let try_import = |name: &str| sync(notebook, import(&at(name))).map_err(bundle_problem);
    assert_eq!(
        try_import("letter.zip").unwrap_err(),
        BundleProblem::Invalid
    );
    assert_eq!(
        try_import("nothing.zip").unwrap_err(),
        BundleProblem::ReadFailed
    );
    assert_eq!(castings(notebook), ["one"]);
}

#[test]
fn bundle_that_claims_too_many_files_is_rejected() {
    let (barn, bench) = (TestPhone::new(), TestPhone::new());
    add_casting(&barn.notebook, "one");
    let path = barn.dir.path().join("one.zip");
    let file = path.to_string_lossy().into_owned();
    barn.notebook
        .write_bundle(file.clone(), BundleContent::All)
        .unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    // PKWARE, .ZIP File Format Specification, section 4.3.16: the last 22 bytes of the file have the
    // number of files twice.
    let end = bytes.len() - 22;
    assert_eq!(&bytes[end..end + 4], b"PK\x05\x06");
    for at in [end + 8, end + 10] {
        bytes[at..at + 2].copy_from_slice(&60_000_u16.to_le_bytes());
    }
    std::fs::write(&path, bytes).unwrap();
    let refused = sync(&bench.notebook, import(&file)).unwrap_err();
    assert!(refused.to_string().contains("60000 files"), "{refused}");
    assert_eq!(bundle_problem(refused), BundleProblem::Invalid);
    assert_eq!(castings(&bench.notebook), [""; 0]);
}

/// Lines of another device with that many photos, whose files have only their number.
fn photo_lines(dir: &Path, photos: u64) -> Vec<Line> {
    let (device, face) = (DeviceId::fresh(), core::EntryId::fresh());
    let mut lines: Vec<Line> = Vec::new();
    for seq in 1..=photos {
        let content = seq.to_string();
        let hash = PhotoHash::of(content.as_bytes());
        std::fs::write(dir.join(hash.to_string()), content).unwrap();
        let body = serde_json::json!({
            "face": face, "hash": hash, "width_px": 4000, "height_px": 3000, "metadata_removed": true,
        });
        let entry = Entry {
            id: core::EntryId::fresh(),
            device,
            seq,
            at: chrono::Local::now().fixed_offset(),
            by: "Ada".to_owned(),
            kind: EntryKind::Photo.name().to_owned(),
            subject: core::EntryId::fresh().into(),
            body,
            replaces: Vec::new(),
            prev: lines.last().map(Line::hash),
            seen: Vec::new(),
            corrects: None,
        };
        lines.push(Line::write(&entry).unwrap());
    }
    lines
}

#[test]
fn notebook_too_large_for_a_bundle_is_an_error_and_leaves_no_file() {
    let phone = TestPhone::new();
    phone.notebook.shutdown();
    let folder = phone.dir.path().join("notebook");
    let core = core::Notebook::open(&folder).unwrap();
    let lines = photo_lines(&folder.join("photos"), 50_000);
    core.import_lines(&lines).unwrap();
    drop(core);

    let notebook = Notebook::open(folder.to_string_lossy().into_owned()).unwrap();
    let place = phone.dir.path().join("all.zip");
    let path = place.to_string_lossy().into_owned();
    let refused = notebook.write_bundle(path, BundleContent::All).unwrap_err();
    assert!(refused.to_string().contains("50000 files"), "{refused}");
    assert_eq!(bundle_problem(refused), BundleProblem::TooLarge);
    let left: Vec<_> = std::fs::read_dir(phone.dir.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}
