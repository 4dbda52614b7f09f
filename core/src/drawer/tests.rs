//! The drawer without a notebook.

#![allow(clippy::unwrap_used)]

use super::*;
use crate::drill::Drill;
use crate::id::EntryId;
use crate::insert::{Catalog, Family, ShopFile, TapChamfer};
use crate::length::{Length, Unit};
use crate::thread::Thread;
use std::collections::BTreeSet;

fn drill(name: &str) -> Item {
    Item::Drill(Drill::parse(name).unwrap())
}

fn tap(thread: &str, chamfer: TapChamfer) -> Item {
    let thread = Thread::parse(thread).unwrap();
    Item::Tap(TapItem { thread, chamfer })
}

fn on_hand(items: &[(Item, u32)]) -> OnHand {
    OnHand::of(items.iter().map(|(item, count)| {
        let count = ItemCount {
            item: item.clone(),
            count: *count,
            worn: 0,
            checked: None,
        };
        (EntryId::fresh(), count)
    }))
}

fn inch(text: &str) -> Length {
    Length::parse(text, Some(Unit::Inch)).unwrap()
}

#[test]
fn every_item_reads_back_as_it_was_written() {
    let thread = Thread::parse("3/8-16").unwrap();
    let insert = InsertItem {
        family: Family::KeyLockingThinWall,
        thread,
        outside: "9/16-12 UNC".into(),
        length: inch(".562"),
    };
    let items = [
        Item::Insert(insert),
        drill("29/64"),
        tap("M12 LH", TapChamfer::Bottoming),
        Item::Countersink(CountersinkItem {
            angle_deg: 90.0,
            diameter: inch("5/8"),
        }),
        Item::InstallTool(InstallTool {
            family: Family::WireThread,
            thread,
        }),
        Item::named(Item::Gauge, "plug gauge; 'Größe' 3/8, \"go\""),
        Item::named(Item::Consumable, "解脂剂 🧴"),
        Item::named(Item::OtherTool, "Сверло"),
        Item::named(Item::ShopMade, "plug"),
        Item::Bolt(BoltItem {
            thread,
            length: inch("1-3/4"),
            threaded_to_head: true,
        }),
    ];
    let mut keys = BTreeSet::new();
    for item in items {
        let json = serde_json::to_string(&item).unwrap();
        assert_eq!(serde_json::from_str::<Item>(&json).unwrap(), item, "{json}");
        assert!(keys.insert(item.key()), "{json}");
        assert!(!item.label(Unit::Inch).is_empty());
    }
    let labels = [
        (drill("29/64"), "29/64 (.453) drill"),
        (tap("1/2-13", TapChamfer::Plug), "1/2-13 UNC tap, plug"),
        (tap("M12 LH", TapChamfer::Plug), "M12x1.75 LH tap, plug"),
    ];
    for (item, label) in labels {
        assert_eq!(item.label(Unit::Inch), label);
    }
}

#[test]
fn sets_hold_the_sizes_that_they_name() {
    let labels = |set: ItemSet| -> Vec<String> {
        let items = set.items().into_iter();
        items.map(|item| item.label(Unit::Millimeter)).collect()
    };
    // 4/64 to 32/64, 33/64 to 64/64, and so on.
    let counts = [29, 32, 26, 60, 20, 19, 91, 5, 5, 5, 5, 5];
    for (set, count) in ItemSet::ALL.into_iter().zip(counts) {
        assert_eq!(set.items().len(), count, "{set:?}");
        assert_eq!(ItemSet::from_word(set.word()), Some(set));
        let keys: BTreeSet<String> = set.items().iter().map(Item::key).collect();
        assert_eq!(keys.len(), count, "{set:?} names an item twice");
    }
    let fractions = labels(ItemSet::FractionsToHalf);
    assert!(fractions[0].starts_with("1/16 ") && fractions[28].starts_with("1/2 "));
    assert!(labels(ItemSet::NumbersTo60)[0].starts_with("#60 "));
    assert_eq!(labels(ItemSet::MetricHalves)[1], "1.5 mm drill");
}

#[test]
fn a_drill_of_the_same_size_or_within_the_hole_will_do() {
    let exact = Need::of(drill("1/4"));
    assert!(exact.accepts(&drill("E")), "E is 1/4");
    assert!(!exact.accepts(&drill("6.3 mm")));
    let hole = Need {
        item: drill("29/64"),
        accepts: Accepts::DrillBetween {
            least: inch(".450"),
            most: inch(".458"),
        },
    };
    let (inside, outside) = (drill("11.5 mm"), drill("11.8 mm"));
    assert!(hole.accepts(&inside) && !hole.accepts(&outside));
    let shop = on_hand(&[(outside.clone(), 5), (inside.clone(), 1)]);
    let found: Vec<&Item> = hole.found(&shop).map(|one| &one.item).collect();
    assert_eq!(found, [&inside]);
    assert!(!hole.is_missing(&shop));
    // The wanted one comes first.
    let shop = on_hand(&[(inside, 1), (drill("29/64"), 1)]);
    let first = hole.found(&shop).next().unwrap();
    assert_eq!(first.item, drill("29/64"));
}

#[test]
fn a_group_without_entries_is_not_known_and_a_used_up_item_is_missing() {
    let need = Need::of(tap("1/2-13", TapChamfer::Plug));
    assert!(!need.is_missing(&OnHand::default()));
    assert!(!need.is_missing(&on_hand(&[(drill("29/64"), 1)])));
    let others = on_hand(&[(tap("1/2-13", TapChamfer::Bottoming), 1)]);
    assert!(need.is_missing(&others), "another chamfer");
    let used_up = on_hand(&[(tap("1/2-13", TapChamfer::Plug), 0)]);
    assert!(need.is_missing(&used_up));
    let left = Need::of(tap("1/2-13 LH", TapChamfer::Plug));
    assert!(left.is_missing(&on_hand(&[(tap("1/2-13", TapChamfer::Plug), 1)])));
}

#[test]
fn countersinks_and_bolts_will_do_within_limits() {
    let sink = |angle_deg, diameter: &str| {
        let diameter = inch(diameter);
        Item::Countersink(CountersinkItem {
            angle_deg,
            diameter,
        })
    };
    let need = Need {
        item: sink(90.0, ".572"),
        accepts: Accepts::CountersinkBetween {
            least_deg: 82.0,
            most_deg: 100.0,
            diameter: inch(".572"),
        },
    };
    assert!(need.accepts(&sink(82.0, "3/4")));
    assert!(!need.accepts(&sink(120.0, "3/4")) && !need.accepts(&sink(90.0, "1/2")));
    let bolt = |length: &str, threaded_to_head| {
        Item::Bolt(BoltItem {
            thread: Thread::parse("3/8-16").unwrap(),
            length: inch(length),
            threaded_to_head,
        })
    };
    let need = Need {
        item: bolt("1-1/2", true),
        accepts: Accepts::BoltBetween {
            least: inch("1-3/8"),
            most: Some(inch("1-5/8")),
        },
    };
    assert!(need.accepts(&bolt("1-5/8", true)) && !need.accepts(&bolt("1-5/8", false)));
    assert!(!need.accepts(&bolt("1-3/4", true)) && !need.accepts(&bolt("1-1/4", true)));
}

#[test]
fn a_named_item_is_found_by_the_words_that_matter() {
    let cleaner = Need::of(Item::named(Item::Consumable, "cleaner, free of oil"));
    let named = |name: &str| Item::named(Item::Consumable, name);
    assert!(cleaner.accepts(&named("Brake Cleaner")));
    assert!(!cleaner.accepts(&named("threadlocker")));
    assert!(!cleaner.accepts(&Item::named(Item::OtherTool, "cleaner")));
}

#[test]
fn two_counts_of_one_item_come_to_the_lower_one() {
    let count = |count, worn| ItemCount {
        item: drill("29/64"),
        count,
        worn,
        checked: None,
    };
    let entries = [EntryId::fresh(), EntryId::fresh()];
    let both = OnHand::of([(entries[0], count(3, 0)), (entries[1], count(1, 2))]);
    let [one] = both.items() else {
        panic!("{both:?}")
    };
    assert_eq!((one.count, one.worn, one.differ), (1, 2, true));
    assert_eq!(one.entries, entries);
    let agreed = OnHand::of([(entries[0], count(2, 0)), (entries[1], count(2, 0))]);
    assert!(!agreed.items()[0].differ);
}

/// The figures of MS51830's thin-wall row for 5/16-18, changed to be told apart.
fn sheet() -> MakersSheet {
    MakersSheet {
        insert: InsertItem {
            family: Family::KeyLockingThinWall,
            thread: Thread::parse("5/16-18").unwrap(),
            outside: "7/16-14 UNC".into(),
            length: standard_length(),
        },
        source: "card in the box, \"lot 7\"".into(),
        hole: Some((inch(".397"), inch(".402"))),
        drill: None,
        full_thread: Some(inch(".520")),
        countersink: Some((inch(".450"), inch(".460"))),
        set_below: Some((inch(".010"), inch(".030"))),
        keys: 4,
    }
}

fn standard_length() -> Length {
    let thread = Thread::parse("5/16-18").unwrap();
    let inserts = Catalog::standard().inserts_for(&thread).into_iter();
    let mut thin = inserts.filter(|one| one.family == Family::KeyLockingThinWall);
    thin.next().unwrap().length
}

#[test]
fn a_makers_sheet_replaces_the_standards_row_and_says_so() {
    let sheet = sheet();
    let file = ShopFile {
        name: sheet.file_name(),
        text: sheet.file_text().unwrap(),
    };
    let catalog = Catalog::with_shop_files(&[file]);
    let before = Catalog::standard().inserts_for(&sheet.insert.thread);
    let inserts = catalog.inserts_for(&sheet.insert.thread);
    assert_eq!(
        inserts.len(),
        before.len(),
        "the row is replaced, not added"
    );
    let own = inserts.iter().find(|one| one.shop_file.is_some()).unwrap();
    assert_eq!((own.hole_min, own.hole_max), sheet.hole.unwrap());
    assert_eq!(own.full_thread_min, inch(".520"));
    let replaced = own
        .notes
        .iter()
        .any(|note| note.contains("The shop's own figures, replacing"));
    assert!(replaced, "{:?}", own.notes);
    assert!(
        own.source.starts_with("card in the box, \"lot 7\""),
        "{}",
        own.source
    );
}

#[test]
fn a_sheet_that_lacks_a_figure_says_which() {
    let refused = |sheet: MakersSheet| sheet.file_text().unwrap_err().to_string();
    let no_hole = MakersSheet {
        hole: None,
        ..sheet()
    };
    assert!(refused(no_hole).contains("diameter of the hole before tapping"));
    let no_depth = MakersSheet {
        set_below: None,
        ..sheet()
    };
    assert!(refused(no_depth).contains("below the face"));
    let upside_down = MakersSheet {
        hole: Some((inch(".402"), inch(".397"))),
        ..sheet()
    };
    assert!(refused(upside_down).contains("do not make an insert"));
    let mut wire = sheet();
    wire.insert.family = Family::WireThread;
    assert!(refused(wire.clone()).contains("enter the drill"));
    wire.drill = Some(Drill::parse("21/64").unwrap());
    wire.file_text().unwrap();
}
