//! What is unusual is asked about once, and saved when the person says that it is right.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, problem, text};
use holebook_core::hole::record::Quantity;
use holebook_core::notebook::HoleId;

impl Screens {
    fn values(&self, hole: HoleId, quantity: Quantity) -> Vec<f64> {
        let record = self.notebook.hole(hole).unwrap().record;
        let readings = record.readings.iter().map(|entry| &entry.body);
        readings
            .filter(|reading| reading.quantity == quantity)
            .map(|reading| reading.value.mm())
            .collect()
    }
}

#[test]
fn unusual_reading_is_saved_once_it_is_said_to_be_right() {
    let screens = Screens::new();
    let hole = screens.hole();
    let path = format!("/hole/{hole}/reading");
    let typed = [
        ("depth", "48 in"),
        ("floor", ".4"),
        ("depth-tolerance", "1/64"),
    ];
    let (page, key) = screens.asked(&path, &typed);
    for value in ["value=\"48 in\"", "value=\".4\"", "value=\"1/64\""] {
        assert!(page.contains(value), "{value} is lost");
    }
    assert!(
        page.contains("id=\"reading-depth-wrong\""),
        "not at its field"
    );
    assert!(page.contains("48 in"), "{page}");
    assert_eq!(screens.values(hole, Quantity::Depth), [0.0; 0]);

    // The ordinary button asks again.
    screens.asked(&path, &typed);
    // An answer counts for the value that it was given for, not for another.
    let confirmed = [("depth", "44 in"), ("confirmed", key.as_str())];
    let (page, _) = screens.asked(&path, &confirmed);
    assert!(page.contains("44 in"));
    // A second question does not ask the first one again.
    let two = [
        ("depth", "48 in"),
        ("grip", "1 m"),
        ("confirmed", key.as_str()),
    ];
    assert!(screens.rejected(&path, &two).contains("unknown unit"));
    let two = [
        ("depth", "48 in"),
        ("grip", "1000 mm"),
        ("confirmed", key.as_str()),
    ];
    let (page, second) = screens.asked(&path, &two);
    let block = page.split("class=\"question\"").nth(1).unwrap();
    let block = block.split("</div>").next().unwrap();
    assert!(
        block.contains("grip") && !block.contains("the depth"),
        "{block}"
    );
    assert!(page.contains(&format!(
        "type=\"hidden\" name=\"confirmed\" value=\"{key}\""
    )));
    let all = [
        ("depth", "48 in"),
        ("grip", "1000 mm"),
        ("confirmed", key.as_str()),
        ("confirmed", second.as_str()),
    ];
    screens.submit(&path, &all);
    assert_eq!(screens.values(hole, Quantity::Depth), [1219.2]);
    assert_eq!(screens.values(hole, Quantity::Grip), [1000.0]);
}

#[test]
fn several_questions_are_answered_together() {
    let screens = Screens::new();
    let hole = screens.hole();
    let path = format!("/hole/{hole}/reading");
    let typed = [
        ("depth", "48 in"),
        ("floor", ".06"),
        ("floor-tolerance", "1/8"),
    ];
    let (page, key) = screens.asked(&path, &typed);
    assert_eq!(page.matches("<b>Check: </b>").count(), 2, "{page}");
    let mut confirmed = typed.to_vec();
    confirmed.push(("confirmed", &key));
    screens.submit(&path, &confirmed);
    assert_eq!(screens.values(hole, Quantity::Floor), [1.524]);
}

#[test]
fn what_is_impossible_is_refused_and_not_asked_about() {
    let screens = Screens::new();
    let hole = screens.hole();
    let path = format!("/hole/{hole}/reading");
    let response = screens.post(&path, &[("depth", "-1"), ("grip", "1000 mm")]);
    assert!(problem(&response).contains("Nothing was recorded."));
    assert!(!text(&response).contains("It is right, save it"));
}

#[test]
fn a_letter_is_a_drill_only_where_a_diameter_is_asked_for() {
    let screens = Screens::new();
    let hole = screens.hole();
    let path = format!("/hole/{hole}/reading");
    for field in ["depth", "floor", "nearest-edge", "grip", "bore-tolerance"] {
        let message = screens.rejected(&path, &[(field, "U"), ("bore", ".31")]);
        assert!(message.contains("names a drill"), "{field}: {message}");
    }
    // Letter drill N is .302 in.
    screens.submit(&path, &[("bore", "N")]);
    assert_eq!(screens.values(hole, Quantity::Bore), [7.6708]);
    let damage = format!("/hole/{hole}/damage");
    let message = screens.rejected(&damage, &[("to-0", "x"), ("diameter-0", "X")]);
    assert!(message.contains("names a drill"), "{message}");
    screens.submit(&damage, &[("to-0", ".5"), ("diameter-0", "X")]);
}

#[test]
fn a_thread_that_does_not_go_with_the_bore_is_asked_about() {
    let screens = Screens::new();
    let hole = screens.hole();
    screens.submit(&format!("/hole/{hole}/reading"), &[("bore", ".8")]);
    let path = format!("/hole/{hole}/wanted-thread");
    let typed = [("thread", "3/8-16"), ("through", "blind")];
    let (page, key) = screens.asked(&path, &typed);
    assert!(page.contains("the bore is") || page.contains("The bore is"));
    let mut confirmed = typed.to_vec();
    confirmed.push(("confirmed", &key));
    screens.submit(&path, &confirmed);
    let wanted = screens.notebook.hole(hole).unwrap().record.wanted;
    assert!(wanted.agreed().is_some());
}

#[test]
fn damage_below_the_bottom_is_asked_about_at_its_line() {
    let screens = Screens::new();
    let hole = screens.hole();
    screens.submit(&format!("/hole/{hole}/reading"), &[("depth", "1.25")]);
    let path = format!("/hole/{hole}/damage");
    // The first line is left blank, so that the question belongs to the second.
    let typed = [("to-1", "2"), ("diameter-1", ".4")];
    let (page, key) = screens.asked(&path, &typed);
    assert!(page.contains("id=\"damage-to-1-wrong\""), "not at its line");
    let mut confirmed = typed.to_vec();
    confirmed.push(("confirmed", &key));
    screens.submit(&path, &confirmed);
}

#[test]
fn thick_face_cuts_and_unmeasured_holes_are_asked_about() {
    let screens = Screens::new();
    let hole = screens.hole();
    let face = screens.notebook.hole(hole).unwrap().face;
    let plan = format!("/face/{face}/cut");
    let (_, key) = screens.asked(&plan, &[("planned", ".200")]);
    screens.submit(&plan, &[("planned", ".200"), ("confirmed", &key)]);
    assert!(
        screens
            .rejected(&plan, &[("planned", "2.5")])
            .contains("check the number and unit")
    );
    let milled = format!("/face/{face}/milled");
    let (page, key) = screens.asked(&milled, &[("taken", ".020")]);
    assert!(page.contains("ole 1 is not measured yet"), "{page}");
    screens.submit(&format!("/hole/{hole}/reading"), &[("depth", "1.25")]);
    screens.submit(&milled, &[("taken", ".020")]);
    screens.submit(&milled, &[("taken", ".010"), ("confirmed", &key)]);
}

#[test]
fn cast_iron_without_a_class_is_a_metal() {
    let screens = Screens::new();
    for (name, field, metal) in [
        ("picked", "metal", "unknown"),
        ("typed", "metal-strength", "Cast iron"),
        ("typed out", "metal-strength", "gray iron, class unknown"),
    ] {
        let casting = screens.submit("/casting", &[("name", name), (field, metal)]);
        let page = screens.get(&casting);
        assert!(
            page.contains("Gray iron, class unknown: strength is"),
            "{page}"
        );
    }
}
