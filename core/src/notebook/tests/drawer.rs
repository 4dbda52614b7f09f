//! What the shop has on hand, in the journal.

use super::*;
use crate::drawer::{InsertItem, Item, ItemCount, ItemSet, MakersSheet, NamedItem};
use crate::drill::Drill;
use crate::insert::Family;
use crate::sync::sync_folder;

fn drill(name: &str) -> Item {
    Item::Drill(Drill::parse(name).unwrap())
}

fn count(item: Item, count: u32) -> ItemCount {
    ItemCount {
        item,
        count,
        worn: 0,
        checked: None,
    }
}

fn counts(notebook: &Notebook, item: &Item) -> Option<(u32, u32)> {
    let on_hand = notebook.on_hand().unwrap();
    on_hand.get(item).map(|one| (one.count, one.worn))
}

#[test]
fn a_set_adds_what_is_missing_and_a_count_replaces_the_one_before() {
    let bench = Bench::new();
    let notebook = &bench.notebook;
    let used_up = notebook.set_on_hand(&[count(drill("29/64"), 3)]).unwrap();
    let half_dozen = ItemSet::FractionsToHalf.items();
    let added = notebook.add_on_hand(&half_dozen).unwrap();
    assert_eq!(added.len(), half_dozen.len() - 1, "29/64 is there already");
    assert_eq!(counts(notebook, &drill("29/64")), Some((3, 0)));
    let wear = |one: &mut ItemCount| {
        one.count -= 1;
        one.worn += 1;
    };
    notebook.change_on_hand(&drill("29/64"), wear).unwrap();
    assert_eq!(counts(notebook, &drill("29/64")), Some((2, 1)));
    assert!(notebook.entry(used_up[0]).unwrap().replaced);
    notebook.set_on_hand(&[count(drill("29/64"), 0)]).unwrap();
    assert_eq!(notebook.add_on_hand(&half_dozen).unwrap().len(), 1);
    assert_eq!(counts(notebook, &drill("29/64")), Some((1, 0)));
    let why = notebook.change_on_hand(&drill("X"), wear).unwrap_err();
    assert!(
        why.to_string()
            .contains("X (.397) drill is not in the drawer")
    );
}

#[test]
fn what_cannot_be_right_is_refused_and_nothing_is_recorded() {
    let bench = Bench::new();
    let refused = |bad: ItemCount| {
        let both = [count(drill("29/64"), 1), bad];
        bench.notebook.set_on_hand(&both).unwrap_err().to_string()
    };
    let unnamed = Item::Gauge(NamedItem { name: " ".into() });
    assert!(refused(count(unnamed, 1)).contains("name is empty"));
    assert!(refused(count(drill("X"), u32::MAX)).contains("more than 100000"));
    let long = Item::named(Item::Consumable, "x".repeat(500));
    assert!(refused(count(long, 1)).contains("longer than"));
    let angle = Item::Countersink(crate::drawer::CountersinkItem {
        angle_deg: f64::NAN,
        diameter: Length::from_fraction(1, 2),
    });
    assert!(refused(count(angle, 1)).contains("30 to 150"));
    assert!(bench.notebook.on_hand().unwrap().is_empty());
}

#[test]
fn the_lower_count_of_two_devices_counts_until_somebody_records_it_again() {
    let (one, other) = (Bench::new(), Bench::new());
    one.notebook
        .set_on_hand(&[count(drill("29/64"), 3)])
        .unwrap();
    other
        .notebook
        .set_on_hand(&[count(drill("29/64"), 1)])
        .unwrap();
    let folder = TempDir::new().unwrap();
    for bench in [&one, &other, &one] {
        sync_folder(&bench.notebook, folder.path()).unwrap();
    }
    for bench in [&one, &other] {
        let on_hand = bench.notebook.on_hand().unwrap();
        let [item] = on_hand.items() else {
            panic!("{on_hand:?}")
        };
        assert!(item.differ && item.count == 1 && item.entries.len() == 2);
    }
    one.notebook
        .set_on_hand(&[count(drill("29/64"), 2)])
        .unwrap();
    let on_hand = one.notebook.on_hand().unwrap();
    assert!(!on_hand.items()[0].differ && on_hand.items()[0].count == 2);
}

#[test]
fn a_makers_sheet_is_a_file_of_inserts_that_a_later_sheet_replaces() {
    let bench = Bench::new();
    let thread = Thread::parse("3/8-16").unwrap();
    let mut sheet = MakersSheet {
        insert: InsertItem {
            family: Family::WireThread,
            thread,
            outside: "3/8-16 STI".into(),
            length: thread.nominal(),
        },
        source: "card in the box".into(),
        hole: None,
        drill: Some(Drill::parse("25/64").unwrap()),
        full_thread: None,
        countersink: None,
        set_below: None,
        keys: 0,
    };
    bench.notebook.add_makers_sheet(&sheet).unwrap();
    sheet.drill = Some(Drill::parse("X").unwrap());
    bench.notebook.add_makers_sheet(&sheet).unwrap();
    assert_eq!(bench.notebook.inserts().unwrap().len(), 1);
    let inserts = bench.notebook.catalog().unwrap().inserts_for(&thread);
    let wire = inserts.iter().find(|one| one.family == Family::WireThread);
    let wire = wire.unwrap();
    assert_eq!(wire.drill, sheet.drill.unwrap());
    assert!(wire.shop_file.is_some());
    let before = bench.notebook.inserts().unwrap();
    sheet.drill = None;
    bench.notebook.add_makers_sheet(&sheet).unwrap_err();
    assert_eq!(bench.notebook.inserts().unwrap(), before);
}
