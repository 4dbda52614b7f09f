//! Finding things again by typed calls.

use crate::support::{TestPhone, choose, measured_hole};
use holebook_mobile::*;

#[test]
fn a_hole_is_found_opened_and_listed_with_its_next_task() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let results = notebook.search("INVENTED pump".to_owned()).unwrap();
    assert_eq!(results.found[0].casting, Some(job.casting));
    assert!(!results.more);
    assert_eq!(notebook.search("%".to_owned()).unwrap().found, []);

    notebook.remember_opened(Opened::Hole(job.hole)).unwrap();
    let recent = notebook.recently_opened().unwrap();
    assert_eq!(recent[0].opened, Opened::Hole(job.hole));
    assert_eq!(recent[0].holes[0].next.action, NextAction::ChooseRemedy);

    choose(notebook, job.hole);
    let listed = notebook.list().unwrap();
    let task = &listed[0].faces[0].holes[0].next_task;
    assert_eq!(task.action, notebook.plan(job.hole).unwrap().next);
    assert!(matches!(task.action, NextAction::Step { .. }), "{task:?}");
    assert_eq!(notebook.face(job.face).unwrap().holes[0].next, *task);
}
