//! Files of a shop's own inserts.

use super::FuzzEntryPoint;
use holebook_core::insert::{Catalog, InsertFile, ShopFile};
use holebook_core::thread::Thread;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "inserts_file",
    run,
    examples,
};

/// A valid file can be used completely; an invalid one is rejected with a sentence that names one
/// of its lines.
fn run(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let shop = ShopFile {
        name: "drawer".to_owned(),
        text: text.to_owned(),
    };
    match InsertFile::parse(&shop.name, text) {
        Ok(file) => {
            assert!(!file.is_empty());
            let catalogue = Catalog::with_shop_files(&[shop]);
            assert!(catalogue.unread_files().is_empty());
            for thread in ["3/8-16 UNC", "M10x1.5", "5/16-18 UNC", "1/4-20 UNC"] {
                let thread = Thread::parse(thread).expect("a standard thread");
                for insert in catalogue.inserts_for(&thread) {
                    assert_eq!(insert.internal, thread);
                    assert!(!insert.source.is_empty());
                }
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(
                sentence.len() < 1_000 && !sentence.contains(char::is_control),
                "{sentence:?}"
            );
            let lines = text.split('\n').count();
            assert!(
                (1..=lines).contains(&error.line),
                "line {} of {lines}: {error}",
                error.line
            );
            let catalogue = Catalog::with_shop_files(&[shop]);
            assert_eq!(catalogue.unread_files().len(), 1);
        }
    }
}

fn examples() -> Vec<Vec<u8>> {
    let standard = [
        include_str!("../../../core/data/inserts/key-locking-thin-wall.toml"),
        include_str!("../../../core/data/inserts/wire-drills.toml"),
    ];
    let first_rows = standard.map(|file| {
        let end = file
            .match_indices("\n\n")
            .nth(4)
            .map_or(file.len(), |(at, _)| at + 1);
        file.as_bytes()[..end].to_vec()
    });
    let small = "unit = \"in\"\n[common]\nfamily = \"key-locking insert, thin wall\"\nsource = \"card\"\n[[insert]]\ninternal = [\"5/16-18\"]\n\
        outside = \"7/16-14\"\nlength = 0.437\nhole = [0.396, \"10.2 mm\"]\ndrill = \"X\"\ncountersink = [0.447, 0.457]\nfull_thread = 0.5\n\
        set_below = [0.010, 0.030]\nkeys = 4\nshear_area_in2 = 0.2321\nconfidence = \"card\"\nnotes = [\"a\"]\n[[wire_drill]]\nthread = \"3/8-16\"\n\
        drill = \"X\"\nsource = \"card\"\nconfidence = \"card\"\n";
    let mut examples: Vec<Vec<u8>> = first_rows.into();
    examples.push(small.as_bytes().to_vec());
    examples
}
