//! One question at a time: its card, its quick answers, skipping, and the sound hole.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::{Screens, text};
use holebook_core::hole::record::{HoleRecord, Quantity, Remedy};
use holebook_core::hole::stage::Stage;
use holebook_core::length::Length;
use holebook_core::notebook::HoleId;

struct Asked {
    screens: Screens,
    hole: HoleId,
}

impl Asked {
    /// A hole on a face that stays as is, with its thread.
    fn new() -> Asked {
        let screens = Screens::new();
        screens.submit(
            "/settings",
            &[("person", "M. Vance"), ("device", "bench"), ("unit", "in")],
        );
        let hole = screens.hole();
        let asked = Asked { screens, hole };
        let face = asked.screens.notebook.hole(hole).unwrap().face;
        asked
            .screens
            .submit(&format!("/face/{face}/cut"), &[("planned", "0")]);
        asked.post(
            "wanted-thread",
            &[("thread", "3/8-16"), ("through", "blind"), ("card", "ask")],
        );
        asked
    }

    /// Another hole of the same face.
    fn beside(self) -> Asked {
        let face = self.screens.notebook.hole(self.hole).unwrap().face;
        let path = self.screens.submit(&format!("/face/{face}/hole"), &[]);
        let hole = path.trim_start_matches("/hole/").parse().unwrap();
        Asked {
            screens: self.screens,
            hole,
        }
    }

    fn post(&self, form: &str, fields: &[(&str, &str)]) -> String {
        self.screens
            .submit(&format!("/hole/{}/{form}", self.hole), fields)
    }

    fn page(&self, query: &str) -> String {
        self.screens.get(&format!("/hole/{}{query}", self.hole))
    }

    /// The heading of the next thing to do.
    fn next(&self, query: &str) -> String {
        let page = self.page(query);
        let (_, rest) = page.split_once("next-banner").unwrap();
        let (_, rest) = rest.split_once("<b>").unwrap_or(("", rest));
        let (title, _) = rest.split_once('<').unwrap();
        title.trim_start_matches(" done\">").to_owned()
    }

    /// The value of a hidden field or button in the next panel.
    fn value(&self, name: &str) -> String {
        let page = self.page("");
        let (_, panel) = page.split_once("id=\"next\"").unwrap();
        let (_, rest) = panel.split_once(&format!("name=\"{name}\"")).unwrap();
        let (_, rest) = rest.split_once("value=\"").unwrap();
        rest.split_once('"').unwrap().0.replace("&quot;", "\"")
    }

    fn record(&self) -> HoleRecord {
        self.screens.notebook.hole(self.hole).unwrap().record
    }
}

#[test]
fn a_sound_hole_is_left_and_passed_by_two_buttons_and_nothing_is_made_up() {
    let asked = Asked::new();
    assert_eq!(asked.next(""), "What is wrong with it?");
    asked.post("condition", &[("condition", "sound")]);
    assert_eq!(asked.next(""), "Sound: leave it as is");
    let leave = asked.value("remedy");
    asked.post("remedy", &[("remedy", &leave)]);
    assert_eq!(asked.next(""), "Final check");
    let choice = asked.value("choice");
    let way = asked.value("how");
    let fields = [
        ("step", "final-check"),
        ("choice", choice.as_str()),
        ("how", way.as_str()),
        ("passes", "yes"),
    ];
    asked.post("final-check", &fields);
    assert_eq!(asked.screens.stage(asked.hole), Stage::Passed);
    let record = asked.record();
    assert!(record.readings.is_empty() && record.damage.0.is_empty());
    assert_eq!(record.choice.agreed().unwrap().spec.remedy, Remedy::Leave);
    let check = &record.final_checks[0].body;
    assert!(check.torque_nm.is_none() && check.engaged.is_none());
}

#[test]
fn a_hole_that_is_not_sound_needs_a_reason_to_be_left() {
    let asked = Asked::new();
    asked.post("condition", &[("condition", "crater")]);
    let leave = r#"{"remedy":"leave","family":null,"length_mm":null,"outside_thread":null}"#;
    let at = format!("/hole/{}/remedy", asked.hole);
    let message = asked.screens.rejected(&at, &[("remedy", leave)]);
    assert!(message.contains("reason"), "{message}");
}

#[test]
fn questions_follow_each_other_until_the_remedy_is_chosen() {
    let asked = Asked::new();
    asked.post("condition", &[("condition", "loose")]);
    let rule = "6 in rule|1/64 in";
    for (title, word, value) in [
        ("Measure the depth of the hole", "depth", "1.5"),
        ("How far is the thread gone?", "", ""),
        (
            "Measure the distance to the nearest edge",
            "nearest-edge",
            "1.25",
        ),
        (
            "Measure the distance to the nearest hole",
            "nearest-hole",
            "2.5",
        ),
    ] {
        assert_eq!(asked.next(""), title);
        if word.is_empty() {
            let fields = [
                ("from-0", "0"),
                ("to-0", "1.5"),
                ("diameter-0", ".37"),
                ("picked-tool", "caliper|.002 in"),
            ];
            asked.post("damage", &fields);
        } else {
            asked.post(
                "reading",
                &[(word, value), ("picked-tool", rule), ("card", "ask")],
            );
        }
    }
    assert_eq!(asked.next(""), "Choose a remedy");
    let record = asked.record();
    let depth = &record.readings[0].body;
    assert_eq!(depth.instrument.as_deref(), Some("6 in rule"));
    assert_eq!(
        depth.tolerance,
        Some(Length::parse("1/64 in", None).unwrap())
    );
    let station = &record.damage.0[0].body.stations[0];
    assert_eq!(
        station.diameter_tolerance,
        Some(Length::parse(".002 in", None).unwrap())
    );
    // At most three remedies are not folded.
    let page = asked.page("");
    let (_, panel) = page.split_once("id=\"next\"").unwrap();
    let (open, _) = panel
        .split_once("All remedies, least invasive first")
        .unwrap();
    assert_eq!(open.matches("<article").count(), 3);
    assert!(open.contains("First, because") && open.contains("Metal: "));
}

#[test]
fn a_distance_that_is_seen_to_be_enough_is_answered_with_one_press() {
    let asked = Asked::new();
    asked.post("condition", &[("condition", "loose")]);
    asked.post("reading", &[("depth", "1.5"), ("card", "ask")]);
    let fields = [("from-0", "0"), ("to-0", "1.5"), ("diameter-0", ".37")];
    asked.post("damage", &fields);
    assert_eq!(asked.next(""), "Measure the distance to the nearest edge");
    assert!(asked.page("").contains(" or more</button>"));
    let (enough, seen) = (
        asked.value("nearest-edge"),
        asked.value("nearest-edge-instrument"),
    );
    let fields = [
        ("nearest-edge", enough.as_str()),
        ("nearest-edge-instrument", seen.as_str()),
        ("card", "ask"),
    ];
    asked.post("reading", &fields);
    assert_eq!(asked.next(""), "Measure the distance to the nearest hole");
    let record = asked.record();
    let reading = &record.readings.last().unwrap().body;
    assert!(reading.is_at_least() && reading.tolerance.is_none());
    // In whole eighths, as a rule beside it shows at a glance.
    assert_eq!(reading.value.nm() % 3_175_000, 0);
    assert!(asked.page("").contains(" or more</b>"));
}

#[test]
fn a_skipped_question_gives_way_to_the_next_and_can_be_asked_again() {
    let asked = Asked::new();
    asked.post("condition", &[("condition", "loose")]);
    assert_eq!(asked.next("?skip=depth"), "How far is the thread gone?");
    let page = asked.page("?skip=depth");
    assert!(
        page.contains("?skip=damage,depth#next") && page.contains("Ask again: 1 question skipped")
    );
    assert_eq!(asked.next("?skip=damage,depth"), "Choose a remedy");
    assert_eq!(asked.next("?skip=color"), "Measure the depth of the hole");
    // What was skipped stays skipped when another question is answered.
    let path = format!("/hole/{}/damage", asked.hole);
    let fields = [
        ("from-0", "0"),
        ("to-0", "1"),
        ("diameter-0", ".37"),
        ("skip", "depth"),
    ];
    let answered = asked.screens.post(&path, &fields);
    let location = answered
        .headers
        .iter()
        .find(|(name, _)| *name == "location");
    assert!(location.unwrap().1.contains("&skip=depth"));
}

#[test]
fn the_hole_beside_it_answers_with_one_press_and_says_that_it_was_not_measured() {
    let asked = Asked::new();
    asked.post(
        "reading",
        &[("depth", "1-1/2"), ("depth-instrument", "depth rod")],
    );
    let asked = asked.beside();
    assert_eq!(asked.next(""), "Which bolt goes in?");
    assert!(asked.page("").contains("3/8-16 UNC, as hole 1"));
    let (thread, through) = (asked.value("thread"), asked.value("through"));
    asked.post(
        "wanted-thread",
        &[("thread", &thread), ("through", &through), ("card", "ask")],
    );
    asked.post("condition", &[("condition", "off-center")]);
    assert!(asked.page("").contains("as hole 1"));
    let instrument = asked.value("depth-instrument");
    asked.post(
        "reading",
        &[
            ("depth", "1-1/2"),
            ("depth-instrument", &instrument),
            ("card", "ask"),
        ],
    );
    let reading = &asked.record().readings[0].body;
    assert_eq!(reading.quantity, Quantity::Depth);
    assert_eq!(
        reading.instrument.as_deref(),
        Some("not measured, as hole 1")
    );
}

#[test]
fn a_rejected_card_keeps_what_was_typed_and_leaves_the_long_form_alone() {
    let asked = Asked::new();
    asked.post("condition", &[("condition", "loose")]);
    let path = format!("/hole/{}/reading", asked.hole);
    let response = asked
        .screens
        .post(&path, &[("depth", "wide"), ("card", "ask")]);
    assert_eq!(response.status, 422);
    let page = text(&response);
    assert_eq!(page.matches("value=\"wide\"").count(), 1);
    let (_, panel) = page.split_once("id=\"next\"").unwrap();
    assert!(
        panel
            .split("</form>")
            .next()
            .unwrap()
            .contains("value=\"wide\"")
    );
    assert!(asked.record().readings.is_empty());
}

#[test]
fn the_face_cut_is_planned_from_the_hole() {
    let screens = Screens::new();
    let hole = screens.hole();
    let asked = Asked { screens, hole };
    asked.post(
        "wanted-thread",
        &[("thread", "3/8-16"), ("through", "blind")],
    );
    asked.post(
        "damage",
        &[("from-0", "0"), ("to-0", "20 mm"), ("diameter-0", "9.4 mm")],
    );
    assert_eq!(asked.next(""), "How much comes off the face?");
    assert_eq!(
        asked.post("face-cut", &[("planned", "0")]),
        format!("/hole/{hole}")
    );
    assert_eq!(asked.next(""), "Measure the depth of the hole");
}
