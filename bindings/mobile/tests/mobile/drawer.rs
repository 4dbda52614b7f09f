//! The drawer by typed calls.

use crate::support::{TestPhone, choose, measured_hole};
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

#[test]
fn the_kit_and_the_order_of_a_chosen_remedy_are_read() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let scope = || WorkScope::Face { id: job.face };
    let kit = notebook.kit(scope()).unwrap();
    assert!(kit.lines.is_empty() && kit.open.len() == 1, "{kit:?}");
    choose(notebook, job.hole);
    let kit = notebook.kit(WorkScope::All).unwrap();
    assert!(
        kit.lines.iter().any(|line| line.group == Group::Inserts),
        "{kit:?}"
    );
    let ids = vec![job.casting];
    assert_eq!(notebook.kit(WorkScope::Castings { ids }).unwrap(), kit);
    let csv = notebook.kit_csv(scope(), LengthUnit::Inch).unwrap();
    assert!(csv.starts_with("group,item,needed,"), "{csv}");
    let text = notebook.kit_text(scope(), "Kit".to_owned(), LengthUnit::Inch);
    assert!(text.unwrap().starts_with("Kit\n\nTo buy or make\n"));
    let order = notebook.work_order(scope(), HardHoles::First).unwrap();
    let steps: Vec<StepKey> = order
        .runs
        .iter()
        .flat_map(|run| &run.steps)
        .map(|step| step.step.key)
        .collect();
    let at = |key: StepKey| steps.iter().position(|step| *step == key).unwrap();
    assert!(at(StepKey::FaceCut) < at(StepKey::Install), "{steps:?}");
}
