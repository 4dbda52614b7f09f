//! Exports of small notebooks; `bindings/shop/tests/shop/export.rs` reads one with other programs.
#![allow(clippy::unwrap_used)]

use super::table::BYTE_ORDER_MARK;
use super::{ExportError, Exported, tables, to_folder, to_zip};
use crate::hole::bolt_up::{BoltPass, BoltTightened};
use crate::hole::record::Note;
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{Bench, depth_of, lines, wanted};
use crate::notebook::{CastingBody, FaceBody, HoleEntry, Notebook};
use crate::strength::Lubrication;
use crate::sync::ignore_progress;
use std::collections::BTreeMap;
use std::fs;
use std::io::Read as _;
use std::ops::ControlFlow;
use std::path::Path;
use tempfile::TempDir;

const NAMES: [&str; 6] = [
    "Zylinderkopf außen, Gehäuse",
    "Картер левый",
    "泵壳 \"A\"",
    "غلاف المضخة",
    "pump 🔩 end",
    "=HYPERLINK(\"http://x\")",
];

/// A notebook with a casting of each name, and a photo.
fn bench() -> Bench {
    let (bench, face, holes) = Bench::with_holes(3);
    for name in NAMES {
        let body = CastingBody {
            name: name.into(),
            note: Some("line one\nline two".into()),
            metal: None,
        };
        let casting = bench.notebook.add_casting(&body).unwrap();
        let body = FaceBody {
            casting,
            name: format!("{name}, top"),
            note: None,
        };
        bench.notebook.add_face(&body).unwrap();
    }
    let hole = holes[0];
    bench.notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    let wrong = bench.notebook.record(hole, depth_of(31.0), &[]).unwrap();
    bench
        .notebook
        .record(hole, depth_of(9.921_875), &[])
        .unwrap();
    bench.notebook.strike_out(wrong, "-2 off, misread").unwrap();
    let tightened = BoltTightened {
        pass: BoltPass::First,
        torque_nm: Some(12.5),
        reason: None,
        lubrication: Some(Lubrication::Oiled),
    };
    let tightened = HoleEntry::BoltTightened(tightened);
    bench.notebook.record(hole, tightened, &[]).unwrap();
    let source = TempDir::new().unwrap();
    let file = photo_file(&source, 7);
    let (photo, _) = bench.notebook.add_photo(face, &file, None).unwrap();
    bench.notebook.mark(hole, photo, 10.0, 20.5, &[]).unwrap();
    bench
}

fn export(notebook: &Notebook, to: &Path) -> Exported {
    to_folder(notebook, to, false, &ignore_progress).unwrap()
}

/// Every file of a folder with its content.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for under in ["", "photos"] {
        for entry in fs::read_dir(folder.join(under)).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file() {
                let name = path.strip_prefix(folder).unwrap().to_str().unwrap();
                found.insert(name.replace('\\', "/"), fs::read(&path).unwrap());
            }
        }
    }
    found
}

/// The rows of a table, each as its cells by the names in the first row.
fn rows(files: &BTreeMap<String, Vec<u8>>, table: &str) -> Vec<BTreeMap<String, String>> {
    let text = String::from_utf8(files[table].clone()).unwrap();
    let text = text.strip_prefix(BYTE_ORDER_MARK).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

#[test]
fn an_export_holds_every_entry_row_and_photo() {
    let bench = bench();
    let to = TempDir::new().unwrap();
    let to = to.path().join("out");
    let exported = export(&bench.notebook, &to);
    let files = files(&to);
    let journal = lines(&bench.notebook);
    let text: String = journal
        .iter()
        .map(|line| format!("{}\n", line.text()))
        .collect();
    assert_eq!(String::from_utf8_lossy(&files["journal.jsonl"]), text);
    assert_eq!(exported.entries, journal.len() as u64);
    assert_eq!(
        (exported.holes, exported.photos, exported.photos_missing),
        (3, 1, 0)
    );

    assert_eq!(rows(&files, "log.csv").len(), journal.len());
    assert_eq!(rows(&files, "holes.csv").len(), 3);
    assert_eq!(rows(&files, "castings.csv").len(), NAMES.len() + 1);
    assert_eq!(rows(&files, "faces.csv").len(), NAMES.len() + 1);
    let readings = rows(&files, "readings.csv");
    let statuses: Vec<&str> = readings.iter().map(|row| &*row["status"]).collect();
    assert_eq!(statuses, ["struck out", "in force"]);
    assert_eq!(
        (&*readings[1]["value_mm"], &*readings[1]["value_in"]),
        ("9.921875", "0.390625")
    );
    let struck = rows(&files, "log.csv");
    let struck = struck
        .iter()
        .find(|row| row["status"] == "struck out")
        .unwrap();
    assert_eq!(struck["struck_out_because"], "'-2 off, misread");

    // How a bolt was lubricated is in the table and in the journal.
    let log = rows(&files, "log.csv");
    let tightened = log.iter().find(|row| row["kind"] == "bolt-tightened");
    let tightened = tightened.unwrap();
    assert!(
        tightened["what"].ends_with(", machine oil"),
        "{tightened:?}"
    );
    let content: serde_json::Value = serde_json::from_str(&tightened["content"]).unwrap();
    assert_eq!(content["lubrication"], "oiled");
    let in_journal = format!("\"body\":{}", tightened["content"]);
    assert!(text.contains(&in_journal), "{in_journal}: {text}");

    let photo = rows(&files, "photos.csv").remove(0);
    assert_eq!((&*photo["hole"], &*photo["hole_x_px"]), ("1", "10"));
    let hash = bench.notebook.photos().hashes().unwrap()[0];
    let original = fs::read(bench.notebook.photos().original(&hash)).unwrap();
    assert_eq!(files[&photo["file"]], original);
}

#[test]
fn names_in_every_script_survive_and_none_is_a_formula() {
    let bench = bench();
    let to = TempDir::new().unwrap();
    let to = to.path().join("out");
    export(&bench.notebook, &to);
    let files = files(&to);
    let rows = rows(&files, "castings.csv");
    for name in NAMES {
        let guarded = match name.starts_with('=') {
            true => format!("'{name}"),
            false => name.to_owned(),
        };
        let row = rows.iter().find(|row| row["casting"] == guarded).unwrap();
        assert_eq!(row["note"], "line one\nline two");
    }
}

#[test]
fn the_readme_explains_every_file_and_column() {
    let bench = bench();
    let to = TempDir::new().unwrap();
    let to = to.path().join("out");
    export(&bench.notebook, &to);
    let files = files(&to);
    let readme = String::from_utf8(files["README.txt"].clone()).unwrap();
    for name in files.keys().filter(|name| !name.starts_with("photos/")) {
        assert!(
            name == "README.txt" || readme.to_lowercase().contains(name),
            "{name}"
        );
    }
    for table in tables::TABLES {
        let section = readme.split(table.file).nth(1).unwrap();
        let section = section.split("\n\n").next().unwrap();
        for column in table.header() {
            assert!(section.contains(&column), "{}: {column}", table.file);
        }
        assert!(!rows(&files, table.file).is_empty(), "{}", table.file);
    }
}

#[test]
fn nothing_is_overwritten_but_an_earlier_export() {
    let bench = bench();
    let dir = TempDir::new().unwrap();
    let to = dir.path().join("out");
    fs::create_dir(&to).unwrap();
    export(&bench.notebook, &to);
    let first = files(&to);
    let again = to_folder(&bench.notebook, &to, false, &ignore_progress);
    assert!(
        matches!(again, Err(ExportError::Exists { .. })),
        "{again:?}"
    );
    assert_eq!(files(&to), first);

    let casting = bench.notebook.castings().unwrap()[0].id;
    let text = "one more".into();
    bench
        .notebook
        .note_casting(casting, &Note { text })
        .unwrap();
    to_folder(&bench.notebook, &to, true, &ignore_progress).unwrap();
    assert_ne!(files(&to)["journal.jsonl"], first["journal.jsonl"]);

    fs::write(to.join("my own.ods"), "mine").unwrap();
    let refused = to_folder(&bench.notebook, &to, true, &ignore_progress);
    assert!(
        matches!(&refused, Err(ExportError::NotAnExport { other, .. }) if other == "my own.ods")
    );
    assert!(to.join("my own.ods").exists());
    let left: Vec<_> = fs::read_dir(dir.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "no temporary folder stays: {left:?}");
}

#[test]
fn a_canceled_export_leaves_nothing() {
    let bench = bench();
    let dir = TempDir::new().unwrap();
    let stop = |_| ControlFlow::Break(());
    for attempt in [
        to_folder(&bench.notebook, &dir.path().join("out"), false, &stop),
        to_zip(&bench.notebook, &dir.path().join("out.zip"), &stop),
    ] {
        assert!(matches!(attempt, Err(ExportError::Canceled)), "{attempt:?}");
    }
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
}

#[test]
fn the_zip_file_holds_the_same_files() {
    let bench = bench();
    let dir = TempDir::new().unwrap();
    let (folder, zip) = (dir.path().join("out"), dir.path().join("out.zip"));
    let exported = export(&bench.notebook, &folder);
    assert_eq!(
        to_zip(&bench.notebook, &zip, &ignore_progress).unwrap(),
        exported
    );
    let mut archive = zip::ZipArchive::new(fs::File::open(&zip).unwrap()).unwrap();
    let mut unpacked = BTreeMap::new();
    for at in 0..archive.len() {
        let mut file = archive.by_index(at).unwrap();
        let mut content = Vec::new();
        file.read_to_end(&mut content).unwrap();
        unpacked.insert(file.name().unwrap().into_owned(), content);
    }
    let mut expected = files(&folder);
    // It gives the time of the export.
    for files in [&mut expected, &mut unpacked] {
        assert!(files.remove("README.txt").is_some());
    }
    assert_eq!(unpacked, expected);
    let again = to_zip(&bench.notebook, &zip, &ignore_progress);
    assert!(matches!(again, Err(ExportError::Exists { .. })));
}
