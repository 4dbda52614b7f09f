//! After each form that records, the next page offers to undo exactly that.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, problem, text};
use holebook_core::hole::stage::Stage;
use holebook_screens::Response;

/// The address that a response redirects to.
fn location(response: &Response) -> String {
    assert_eq!(response.status, 303, "{}", problem(response));
    response.headers[0].1.clone()
}

/// The fields of the undo form on the page that a form leads to; none if nothing is offered.
fn offered(screens: &Screens, response: &Response) -> Vec<(String, String)> {
    let address = location(response);
    let page = screens.get(address.split('#').next().unwrap());
    let form = page.split("action=\"/undo\"").nth(1).unwrap_or_default();
    let form = form.split("</form>").next().unwrap();
    let fields = form.split("name=\"").skip(1).map(|rest| {
        let (name, rest) = rest.split_once("\" value=\"").unwrap();
        (name.to_owned(), rest.split('"').next().unwrap().to_owned())
    });
    fields.collect()
}

/// Presses Undo on the page that a form leads to.
fn undo(screens: &Screens, response: &Response) -> Response {
    let fields = offered(screens, response);
    assert!(!fields.is_empty(), "no undo is offered");
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    screens.post("/undo", &fields)
}

#[test]
fn a_form_s_measurements_are_undone_together_and_the_offer_ends() {
    let screens = Screens::new();
    let hole = screens.hole();
    let earlier = [("depth", "1.250")];
    screens.submit(&format!("/hole/{hole}/reading"), &earlier);
    let fields = [("floor", ".500"), ("nearest-edge", "1.250")];
    let recorded = screens.post(&format!("/hole/{hole}/reading"), &fields);
    let undone = undo(&screens, &recorded);
    assert_eq!(location(&undone), format!("/hole/{hole}?notice=undone"));
    let record = screens.notebook.hole(hole).unwrap().record;
    assert_eq!(record.readings.len(), 1, "the earlier one stays");
    let page = screens.get(&format!("/hole/{hole}?notice=undone"));
    assert!(page.contains("Undone. It stays readable in the log."));
    assert!(page.contains("Struck out by "), "the log");
    assert!(offered(&screens, &recorded).is_empty(), "offered again");
    assert_eq!(screens.stage(hole), Stage::Measured);
}

#[test]
fn undoing_what_made_a_page_leads_to_the_page_above() {
    let screens = Screens::new();
    let face = screens.face();
    let added = screens.post(&format!("/face/{face}/hole"), &[]);
    let undone = undo(&screens, &added);
    assert_eq!(location(&undone), format!("/face/{face}?notice=undone"));
    assert!(screens.notebook.face(face).unwrap().holes.is_empty());
    let casting = screens.post("/casting", &[("name", "Bracket")]);
    let undone = undo(&screens, &casting);
    assert_eq!(location(&undone), "/?notice=undone");
}

#[test]
fn what_newer_entries_rest_on_is_refused_with_one_sentence_on_its_page() {
    let screens = Screens::new();
    let face = screens.face();
    let added = screens.post(&format!("/face/{face}/hole"), &[]);
    let offer = offered(&screens, &added);
    let hole = screens.notebook.face(face).unwrap().holes[0].id;
    screens.submit(&format!("/hole/{hole}/note"), &[("text", "rusty")]);
    let fields: Vec<(&str, &str)> = offer
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    let refused = screens.post("/undo", &fields);
    assert_eq!(refused.status, 422);
    let message = problem(&refused);
    assert!(message.starts_with("Not undone. More was recorded about the hole since"));
    assert!(text(&refused).contains("rusty"), "the hole's page");
}

#[test]
fn strike_outs_and_settings_offer_no_undo() {
    let screens = Screens::new();
    let hole = screens.hole();
    let note = screens.post(&format!("/hole/{hole}/note"), &[("text", "rusty")]);
    let entry = offered(&screens, &note)[0].1.clone();
    let struck_out = screens.post(
        &format!("/hole/{hole}/strike-out"),
        &[("entry", &entry), ("reason", "clean")],
    );
    assert!(!location(&struck_out).contains("undo="));
    let saved = screens.post(
        "/settings",
        &[("person", "Ada"), ("device", "bench"), ("unit", "in")],
    );
    assert!(!location(&saved).contains("undo="));
}

#[test]
fn a_page_to_go_back_to_is_only_a_path_of_the_notebook() {
    let screens = Screens::new();
    let hole = screens.hole();
    for back in [
        "//elsewhere.example/",
        "https://elsewhere.example",
        "/\\x",
        "/a?b",
        "",
    ] {
        let note = screens.post(&format!("/hole/{hole}/note"), &[("text", "rusty")]);
        let entry = offered(&screens, &note)[0].1.clone();
        let undone = screens.post("/undo", &[("entry", &entry), ("back", back)]);
        assert_eq!(location(&undone), "/?notice=undone", "{back}");
    }
}
