//! The search, and what was opened last.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::Screens;
use holebook_screens::{Request, answer};

fn search(screens: &Screens, text: &str) -> String {
    let mut request = Request::get("/search");
    request.query = vec![("find".to_owned(), text.to_owned())];
    let response = answer(&screens.notebook, &request);
    assert_eq!(response.status, 200);
    crate::support::text(&response)
}

#[test]
fn a_note_is_found_with_where_it_is_and_shown_as_typed() {
    let screens = Screens::new();
    let hole = screens.hole();
    let note = "Seized; came out with <heat>. Serial 4711-B";
    screens.submit(&format!("/hole/{hole}/note"), &[("text", note)]);
    let page = search(&screens, "serial 4711");
    assert!(page.contains(&format!(
        "<a href=\"/hole/{hole}\">Hole 1, Cover joint, Pump end</a>"
    )));
    assert!(
        page.contains("Note: Seized; came out with &lt;heat&gt;."),
        "{page}"
    );
    assert!(page.contains("1 result."));
    let page = search(&screens, "pump END");
    assert!(page.contains("href=\"/casting/") && page.contains(">Pump end</a>"));
    assert!(search(&screens, "brass").contains("Nothing found."));
}

#[test]
fn hostile_and_long_text_is_shown_as_text() {
    let screens = Screens::new();
    screens.hole();
    let page = search(&screens, "\"><script>alert(1)</script>");
    assert!(!page.contains("<script>alert"));
    assert!(page.contains("Nothing found."));
    let page = search(&screens, &"x".repeat(100_000));
    assert!(page.contains("Nothing found."));
    assert!(search(&screens, "  ").contains("Enter a word"));
    let note = "long ".repeat(300);
    let hole = screens.hole();
    screens.submit(&format!("/hole/{hole}/note"), &[("text", &note)]);
    let page = search(&screens, "long");
    assert!(page.contains('…') && !page.contains(note.trim()));
}

#[test]
fn the_first_page_has_what_was_opened_last_with_its_next_step() {
    let screens = Screens::new();
    assert!(!screens.get("/").contains("Recently opened"));
    let hole = screens.hole();
    let face = screens.notebook.hole(hole).unwrap().face;
    assert!(
        !screens.get("/").contains("Recently opened"),
        "adding is not opening"
    );
    screens.get(&format!("/face/{face}"));
    screens.get(&format!("/hole/{hole}"));
    let page = screens.get("/");
    let recent = page.split("<ul class=\"recent\">").nth(1).unwrap();
    let recent = recent.split("</ul>").next().unwrap();
    let at = |text: &str| {
        recent
            .find(text)
            .unwrap_or_else(|| panic!("{text}: {recent}"))
    };
    assert!(at(&format!("/hole/{hole}")) < at(&format!("/face/{face}")));
    at("next: Set thread");
    at("0 of 1 passed, next: Set thread (1 hole)");
    // A page that is not there is not remembered.
    let missing = answer(
        &screens.notebook,
        &Request::get("/hole/00000000-0000-7000-8000-000000000000"),
    );
    assert_eq!(missing.status, 404);
    assert_eq!(screens.notebook.recently_opened().unwrap().len(), 2);
}
