//! Bench tables about where things are on a face.
#![allow(missing_docs)]

use crate::support::Screens;
use holebook_screens::{Body, Request, answer};

/// Asks a bench table; returns the status and the page.
fn ask(tool: &str, fields: &[(&str, &str)]) -> (u16, String) {
    let screens = Screens::new();
    let mut request = Request::get(&format!("/bench/{tool}"));
    let pairs = fields
        .iter()
        .map(|(name, value)| ((*name).to_owned(), (*value).to_owned()));
    request.query = pairs.collect();
    let response = answer(&screens.notebook, &request);
    let Body::Text(page) = response.body else {
        panic!("a page is text");
    };
    (response.status, page)
}

/// As [`ask`], for readings that must be refused at a field.
fn refusal(tool: &str, fields: &[(&str, &str)]) -> String {
    let (status, page) = ask(tool, fields);
    assert_eq!(status, 422, "{page}");
    assert!(page.contains("role=\"alert\""));
    page
}

const SQUARE: &str = "1 0 0\r\n2 100 0\r\n\r\n3; 100; 100\r\n4\t0\t100\r\n5 50 50";

#[test]
fn holes_are_read_as_they_are_pasted() {
    let found = "1 0 0\n2 100 0\n3 100 100";
    let fields = [
        ("wanted-pattern", SQUARE),
        ("found", found),
        ("found-tolerance", ".01"),
    ];
    let (status, page) = ask("pattern", &fields);
    assert_eq!(status, 200);
    assert!(page.contains("3 agree, 0 wandered, 2 predicted"), "{page}");
    assert!(page.contains("face-map") && page.matches("class=\"lost\"").count() == 2);
}

#[test]
fn bad_lines_are_named_and_nothing_typed_is_lost() {
    let fields = |wanted, found| {
        [
            ("wanted-pattern", wanted),
            ("found", found),
            ("found-tolerance", ".01"),
        ]
    };
    let hostile = "1 0 <script>alert(1)</script>";
    let page = refusal("pattern", &fields(hostile, "1 0 0"));
    assert!(page.contains("&lt;script&gt;") && !page.contains("<script>alert"));
    assert!(
        refusal("pattern", &fields("1 0 0\nhole 5 5", "1 0 0"))
            .contains("line 2: &quot;hole&quot; is not a hole number")
    );
    assert!(refusal("pattern", &fields("1 0 NaN", "1 0 0")).contains("line 1"));
    assert!(refusal("pattern", &fields("", "")).contains("0 holes in the pattern"));
    let many = "1 0 0\n".repeat(1_001);
    assert!(refusal("pattern", &fields(&many, "1 0 0")).contains("more than 1000 lines"));
    let line = "0 0 0\n1 0 0\n2 0 0";
    assert!(refusal("flatness", &[("heights", line)]).contains("on one line"));
    assert!(refusal("flatness", &[("heights", "0 0")]).contains("2 lengths found"));
    assert!(refusal("flatness", &[("holes", "1 0 0")]).contains("0 readings"));
    let steep = "0 0 0\n1 0 9\n0 1 -9\n1 1 30";
    assert!(refusal("flatness", &[("heights", steep)]).contains("check their unit"));
}

#[test]
fn a_face_of_a_thousand_readings_is_judged() {
    let line = |at: u32| format!("{} {} 0.00{}\n", at % 40, at / 40, at % 7);
    let heights: String = (0..1_000).map(line).collect();
    let (status, page) = ask("flatness", &[("heights", &heights), ("holes", "7 3 3")]);
    assert_eq!(status, 200);
    assert!(page.contains("Least face cut") && page.contains("What each hole loses"));
}
