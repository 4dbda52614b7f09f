//! The shop's own inserts are synced as entries, and the catalog follows them.

use super::*;
use crate::insert::{Catalog, Family};
use crate::notebook::{DeviceId, Entry, EntryId};
use crate::sync::sync_folder;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;

/// An invented card: a thin-wall insert for 3/8-16 of `length` thousandths.
fn card(length: u32) -> String {
    format!(
        "unit = \"in\"\n[[insert]]\nfamily = \"key-locking insert, thin wall\"\ninternal = [\"3/8-16\"]\noutside = \"1/2-13\"\n\
         length = 0.{length:03}\nhole = [0.452, 0.457]\nset_below = [0.01, 0.03]\nkeys = 4\nsource = \"card in the box\"\n"
    )
}

/// Lengths of the thin-wall inserts for 3/8-16 that a notebook offers, thousandths of an inch.
fn offered(notebook: &Notebook) -> Vec<i64> {
    let catalog = notebook.catalog().unwrap();
    let inserts = catalog.inserts_for(&Thread::parse("3/8-16").unwrap());
    let thin = inserts
        .iter()
        .filter(|insert| insert.family == Family::KeyLockingThinWall);
    thin.map(|insert| insert.length.nm() / 25_400).collect()
}

fn meet(one: &Bench, other: &Bench) {
    let folder = TempDir::new().unwrap();
    for bench in [one, other, one] {
        assert_eq!(
            sync_folder(&bench.notebook, folder.path())
                .unwrap()
                .problems,
            []
        );
    }
}

#[test]
fn a_file_is_offered_replaced_and_struck_out() {
    let bench = Bench::new();
    assert_eq!(offered(&bench.notebook), [500]);
    let first = bench
        .notebook
        .add_inserts("drawer.toml", &card(620))
        .unwrap();
    assert_eq!(offered(&bench.notebook), [500, 620]);
    let second = bench
        .notebook
        .add_inserts(" drawer.toml ", &card(700))
        .unwrap();
    assert_eq!(offered(&bench.notebook), [500, 700]);
    let files = bench.notebook.inserts().unwrap();
    assert_eq!(files.len(), 1);
    assert_eq!(
        (files[0].entry, files[0].body.text.as_str()),
        (second, card(700).as_str())
    );
    // As everywhere in the journal, what it replaced is active again.
    bench.notebook.strike_out(second, "wrong box").unwrap();
    assert_eq!(offered(&bench.notebook), [500, 620]);
    bench.notebook.strike_out(first, "given away").unwrap();
    assert_eq!(offered(&bench.notebook), [500]);
    assert!(bench.notebook.verify().unwrap().findings.is_empty());
    bench.notebook.rebuild().unwrap();
    assert_eq!(offered(&bench.notebook), [500]);
}

#[test]
fn the_catalog_is_cached_until_the_drawer_changes() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench
        .notebook
        .add_inserts("drawer.toml", &card(620))
        .unwrap();
    let kept = bench.notebook.catalog().unwrap();
    bench
        .notebook
        .record(holes[0], wanted("3/8-16"), &[])
        .unwrap();
    assert!(Arc::ptr_eq(&kept, &bench.notebook.catalog().unwrap()));
    // Another program has the same notebook open.
    let other = Notebook::open(bench.dir.path()).unwrap();
    other.add_inserts("drawer.toml", &card(700)).unwrap();
    assert_eq!(offered(&bench.notebook), [500, 700]);
}

#[test]
fn two_devices_with_files_of_one_name_offer_both_until_one_is_added_again() {
    let (one, other) = (Bench::new(), Bench::new());
    one.notebook.add_inserts("drawer.toml", &card(620)).unwrap();
    other
        .notebook
        .add_inserts("drawer.toml", &card(700))
        .unwrap();
    meet(&one, &other);
    for bench in [&one, &other] {
        assert_eq!(offered(&bench.notebook), [500, 620, 700]);
        assert_eq!(bench.notebook.inserts().unwrap().len(), 2);
    }
    other
        .notebook
        .add_inserts("drawer.toml", &card(640))
        .unwrap();
    meet(&one, &other);
    for bench in [&one, &other] {
        assert_eq!(offered(&bench.notebook), [500, 640]);
    }
}

#[test]
fn a_file_that_is_wrong_is_not_recorded() {
    let bench = Bench::new();
    let wrong = card(620).replace("1/2-13", "1/2-99");
    let error = bench
        .notebook
        .add_inserts("drawer.toml", &wrong)
        .unwrap_err();
    assert!(
        error.to_string().contains("`drawer.toml`, line 5: "),
        "{error}"
    );
    assert!(bench.notebook.add_inserts("  ", &card(620)).is_err());
    assert!(lines(&bench.notebook).is_empty());
}

/// The first line of a device with a newer version.
fn newer_line(subject: Uuid, body: Value) -> Line {
    Line::write(&Entry {
        id: EntryId::fresh(),
        device: DeviceId::fresh(),
        seq: 1,
        at: chrono::DateTime::from_timestamp_nanos(0).fixed_offset(),
        by: "Bo".into(),
        kind: "inserts".into(),
        subject,
        body,
        replaces: vec![],
        prev: None,
        seen: Vec::new(),
        corrects: None,
    })
    .unwrap()
}

/// A newer version may accept a file that this one cannot read: it is kept and named, and the rest
/// is offered.
#[test]
fn a_newer_file_is_kept_and_named() {
    let bench = Bench::new();
    let body = crate::notebook::InsertsBody {
        name: "newer.toml".into(),
        text: card(620).replace("keys = 4", "keys = 4\nmood = \"bright\""),
    };
    let drawer = crate::notebook::inserts::DRAWER;
    let newer = newer_line(drawer, json!(body));
    bench.notebook.import_lines(&[newer]).unwrap();
    let catalog = bench.notebook.catalog().unwrap();
    assert_eq!(catalog.unread_files().len(), 1);
    assert!(catalog.unread_files()[0].to_string().contains("mood"));
    let thread = Thread::parse("3/8-16").unwrap();
    assert_eq!(
        catalog.inserts_for(&thread),
        Catalog::standard().inserts_for(&thread)
    );
}
