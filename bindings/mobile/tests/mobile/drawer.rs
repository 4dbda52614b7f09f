//! The drawer by typed calls.

use crate::support::TestPhone;
use holebook_mobile::*;

#[test]
fn a_set_and_a_count_are_recorded_and_read_back() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let sets = item_sets();
    let letters = sets.iter().find(|set| set.word == "letters").unwrap();
    assert_eq!(letters.items.len(), 26);
    let new = notebook.add_item_set("letters".to_owned()).unwrap();
    assert_eq!(new.len(), 26);
    assert!(
        notebook
            .add_item_set("letters".to_owned())
            .unwrap()
            .is_empty()
    );
    let checked = "2026-10-01".parse().unwrap();
    let gauge = ItemCount {
        item: Item::Gauge(NamedItem {
            name: "3/8-16 STI plug gauge".to_owned(),
        }),
        count: 1,
        worn: 0,
        checked: Some(checked),
    };
    notebook.set_on_hand(vec![gauge.clone()]).unwrap();
    let on_hand = notebook.on_hand().unwrap();
    assert_eq!(on_hand.len(), 27);
    let read = on_hand.iter().find(|one| one.item == gauge.item).unwrap();
    assert_eq!((read.checked, read.differ), (Some(checked), false));
    let unknown = notebook.add_item_set("wooden".to_owned()).unwrap_err();
    assert!(
        matches!(unknown, NotebookError::Invalid { .. }),
        "{unknown:?}"
    );
}
