//! The kit and the order of work, as pages and files.
#![allow(clippy::unwrap_used)]

use crate::support::{Screens, text};
use holebook_core::hole::record::{Choice, Cut, CutStep};
use holebook_core::length::Length;
use holebook_core::notebook::HoleEntry;
use holebook_screens::{Request, Response, answer};

/// A face with a hole that has a remedy, and one that nobody looked at; with the casting's address.
fn with_two_holes(screens: &Screens, casting: &str) -> (String, String) {
    let casting = screens.submit(
        "/casting",
        &[("name", casting), ("metal", "ASTM A48 class 25")],
    );
    let face = screens.submit(&format!("{casting}/face"), &[("name", "Cover joint")]);
    let hole = screens.submit(&format!("{face}/hole"), &[]);
    screens.submit(&format!("{face}/hole"), &[]);
    screens.submit(&format!("{face}/cut"), &[("planned", ".020")]);
    let id = hole.trim_start_matches("/hole/").parse().unwrap();
    screens.submit(
        &format!("{hole}/wanted-thread"),
        &[("thread", "3/8-16"), ("through", "no")],
    );
    screens.submit(
        &format!("{hole}/reading"),
        &[
            ("depth", "1-1/2"),
            ("floor", "1/2"),
            ("nearest-edge", "1-1/4"),
            ("nearest-hole", "3"),
            ("grip", "5/8"),
        ],
    );
    let spec = serde_json::json!({"remedy": "key-locking-insert", "family": "key-locking insert, thin wall",
        "length_mm": 12.7, "outside_thread": "1/2-13 UNC"});
    let choice = Choice {
        spec: serde_json::from_value(spec).unwrap(),
        reason: None,
        basis: None,
    };
    screens
        .notebook
        .record(id, HoleEntry::Remedy(choice), &[])
        .unwrap();
    (casting, face)
}

/// Records that the hole of [`with_two_holes`] was drilled.
fn drill(screens: &Screens, face: &str) {
    let face = face.trim_start_matches("/face/").parse().unwrap();
    let hole = screens.notebook.face(face).unwrap().holes[0].id;
    let view = screens.notebook.hole(hole).unwrap();
    let cut = Cut {
        spec: view.record.choice.agreed().unwrap().spec.clone(),
        step: CutStep::Drill,
        depth: Some(Length::from_mm(20.0).unwrap()),
        diameter: None,
        tool: None,
        removal: None,
        reason: None,
    };
    screens
        .notebook
        .record(hole, HoleEntry::Cut(cut), &[])
        .unwrap();
}

#[test]
fn a_tool_counts_the_holes_that_it_cut_until_it_is_sharpened() {
    let screens = Screens::new();
    let (casting, face) = with_two_holes(&screens, "Pump end");
    let wear = "/drawer/wear";
    assert!(screens.get(wear).contains("Nothing was drilled or tapped"));
    drill(&screens, &face);
    let page = screens.get(wear);
    assert!(page.contains("29/64 drill"), "{page}");
    assert!(page.contains("1 hole<") && page.contains("Pump end, Cover joint: 1<"));
    for page in ["/drawer".to_owned(), format!("{casting}/runs")] {
        assert!(screens.get(&page).contains("href=\"/drawer/wear\""));
    }
    let tool = screens.hidden(wear, "/drawer/renewed", "tool").remove(0);
    let next = screens.submit("/drawer/renewed", &[("tool", &tool)]);
    assert_eq!(next, wear);
    assert!(screens.get(wear).contains("Nothing was drilled or tapped"));
    let nameless = screens.rejected("/drawer/renewed", &[("tool", "")]);
    assert!(nameless.contains("Tool"), "{nameless}");
}

fn file(screens: &Screens, path: &str) -> Response {
    let response = answer(&screens.notebook, &Request::get(path));
    assert_eq!(response.status, 200, "{path}");
    response
}

#[test]
fn the_kit_ends_in_what_to_buy_and_names_what_is_open() {
    let screens = Screens::new();
    let (casting, face) = with_two_holes(&screens, "Pump end");
    for page in [
        "/kit".to_owned(),
        format!("{casting}/kit"),
        format!("{face}/kit"),
    ] {
        let page = screens.get(&page);
        for part in [
            "To buy or make",
            "3/8-16 UNC key-locking insert, thin wall, .500 in long",
            "29/64 (.453) drill",
            "Not in the kit, or not wholly",
            "No remedy is chosen",
            "Text to copy",
            "Judgment: ",
        ] {
            assert!(page.contains(part), "no {part}");
        }
    }
    screens.submit("/drawer/set", &[("set", "fractions-to-1-2")]);
    let page = screens.get("/kit");
    assert!(
        page.contains("1 on hand, <b>have it"),
        "the drill is counted off"
    );
    assert_eq!(
        screens
            .get(&format!("{casting}/kit"))
            .matches("<h1>")
            .count(),
        1
    );
}

#[test]
fn the_kit_is_sent_as_csv_or_text() {
    let screens = Screens::new();
    let (casting, _) = with_two_holes(&screens, "=Pumpe, \"Größe\" 泵 🔩");
    let csv = file(&screens, &format!("{casting}/kit/csv"));
    let rows = text(&csv);
    assert!(rows.starts_with("\u{feff}group,item,needed,"), "{rows}");
    assert!(
        rows.contains("\"'=Pumpe, \"\"Größe\"\" 泵 🔩, Cover joint: 2\""),
        "{rows}"
    );
    let header = |response: &Response, name: &str| {
        let mut headers = response.headers.iter();
        headers.find(|(key, _)| *key == name).unwrap().1.clone()
    };
    assert_eq!(header(&csv, "content-type"), "text/csv; charset=utf-8");
    let disposition = header(&csv, "content-disposition");
    assert_eq!(disposition, "attachment; filename=\"kit-pumpe-gr-e.csv\"");
    let plain = file(&screens, "/kit/text");
    assert!(text(&plain).starts_with("Kit for all castings\n\nTo buy or make\n"));
    let missing = answer(&screens.notebook, &Request::get("/kit/pdf"));
    assert_eq!(missing.status, 404);
}

#[test]
fn the_order_installs_nothing_before_the_face_cut() {
    let screens = Screens::new();
    let (casting, face) = with_two_holes(&screens, "Pump end");
    for path in [
        "/order".to_owned(),
        format!("{casting}/order"),
        format!("{face}/order"),
    ] {
        let page = screens.get(&path);
        let at = |part: &str| page.find(part).unwrap_or_else(|| panic!("no {part}"));
        assert!(at("29/64 drill") < at("1/2-13 UNC tap"));
        assert!(at("<h2>Cut the face</h2>") < at("<h2>Install 1/2-13 UNC</h2>"));
        assert!(
            page.contains("decide before the cut: hole 2."),
            "the other hole"
        );
        assert!(page.contains("Not in the order yet"));
        assert!(
            screens
                .get(&format!("{path}?hard=first"))
                .contains("✓ first")
        );
    }
}

#[test]
fn without_work_both_pages_say_so() {
    let screens = Screens::new();
    assert!(
        screens
            .get("/kit")
            .contains("Nothing: no open work takes anything.")
    );
    assert!(screens.get("/order").contains("No hole has a step to do."));
}
