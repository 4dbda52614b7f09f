//! One casting as a single page: it shows what was struck out and what is in conflict.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::Screens;
use holebook_core::length::Unit;
use holebook_core::notebook::{DeviceId, Entry, EntryId, EntryKind, HoleId, Line};
use holebook_screens::casting_file;
use serde_json::json;

/// Another device's thread for the hole, as a sync would bring it.
fn import_thread(screens: &Screens, hole: HoleId, thread: &str) {
    let entry = Entry {
        id: EntryId::fresh(),
        device: DeviceId::fresh(),
        seq: 1,
        at: holebook_core::notebook::now(),
        by: "Ада".to_owned(),
        kind: EntryKind::WantedThread.name().to_owned(),
        subject: hole.into(),
        body: json!({"thread": thread}),
        replaces: Vec::new(),
        prev: None,
        seen: Vec::new(),
        corrects: None,
    };
    let line = Line::write(&entry).unwrap();
    screens.notebook.import_lines(&[line]).unwrap();
}

#[test]
fn the_page_shows_struck_out_entries_and_conflicts() {
    let screens = Screens::new();
    let hole = screens.hole();
    let path = format!("/hole/{hole}");
    screens.submit(&format!("{path}/note"), &[("text", "cracked <b>here</b>")]);
    let wrong = screens.notebook.history(hole.into(), 1, None).unwrap()[0].entry;
    let reason = "wrong hole <script>";
    screens.notebook.strike_out(wrong, reason).unwrap();
    import_thread(&screens, hole, "3/8-16 UNC");
    import_thread(&screens, hole, "7/16-14 UNC");

    let casting = screens.notebook.castings().unwrap()[0].id;
    let page = casting_file(&screens.notebook, casting, Unit::Inch).unwrap();
    for wanted in [
        "<span class=\"struck-out\">“cracked &lt;b&gt;here&lt;/b&gt;”",
        "wrong hole &lt;script&gt;",
        "Conflict: 2 entries disagree on the wanted thread",
        "<b>conflict</b>",
        "3/8-16 UNC",
        "7/16-14 UNC",
        "Ада",
        "default-src 'none'",
    ] {
        assert!(page.contains(wanted), "{wanted} is not in {page}");
    }
    assert!(!page.contains("<script"), "no script");
}

#[test]
fn every_name_is_on_the_page_in_its_own_direction() {
    let screens = Screens::new();
    for name in ["Gehäuse", "Картер", "泵壳", "غلاف", "pump 🔩"] {
        let casting = screens.submit("/casting", &[("name", name), ("metal", "")]);
        screens.submit(&format!("{casting}/face"), &[("name", name)]);
        let id = casting.trim_start_matches("/casting/").parse().unwrap();
        let page = casting_file(&screens.notebook, id, Unit::Millimeter).unwrap();
        assert!(
            page.contains(&format!("<h1><bdi>{name}</bdi></h1>")),
            "{page}"
        );
        assert!(
            page.contains(&format!("<h2><bdi>{name}</bdi></h2>")),
            "{page}"
        );
    }
}
