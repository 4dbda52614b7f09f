//! The setup of a face, the holes that inherit it, and several holes at once.

#![allow(clippy::unwrap_used)]

use crate::support::Screens;
use holebook_core::hole::record::Quantity;
use holebook_core::hole::stage::Stage;
use holebook_core::length::Length;
use holebook_core::notebook::{FaceId, HoleId};

fn add_hole(screens: &Screens, face: FaceId) -> HoleId {
    let hole = screens.submit(&format!("/face/{face}/hole"), &[]);
    hole.trim_start_matches("/hole/").parse().unwrap()
}

/// The setup form as the page has it, with these fields changed.
fn save(screens: &Screens, face: FaceId, fields: &[(&str, &str)]) -> String {
    let path = format!("/face/{face}/setup");
    let action = format!("{path}/save");
    let shown = screens.hidden(&path, &action, "replaces");
    let mut form: Vec<(&str, &str)> = shown.iter().map(|id| ("replaces", id.as_str())).collect();
    form.extend(fields);
    screens.submit(&action, &form)
}

/// Thread, rule and usual values of an invented cover joint, in inches.
const SETUP: [(&str, &str); 12] = [
    ("thread", "3/8-16 UNC"),
    ("bolt", "SAE J429 grade 5"),
    ("through", "blind"),
    ("tool", "6 in rule ±1/64 in"),
    ("depth", "1-1/4 in"),
    ("depth-instrument", "6 in rule"),
    ("floor", "3/8 in"),
    ("floor-tolerance", "1/16 in"),
    ("nearest-edge", "7/8 in"),
    ("nearest-edge-instrument", "6 in Rule"),
    ("nearest-hole", "2-1/2 in"),
    ("nearest-hole-instrument", "eye"),
];

fn inch(over: i64, under: i64) -> Length {
    Length::from_fraction(over, under)
}

#[test]
fn what_is_set_once_is_shown_at_every_hole_with_where_it_comes_from() {
    let screens = Screens::new();
    let face = screens.face();
    let hole = add_hole(&screens, face);
    let page = screens.get(&format!("/face/{face}"));
    assert!(page.contains("Set up the face") && page.contains("thread not set"));
    assert_eq!(save(&screens, face, &SETUP), format!("/face/{face}"));

    let setup = screens.notebook.face(face).unwrap().record.setup;
    let usual = |what| setup.usual(what).next().unwrap().body.clone();
    // The rule's tolerance, a typed one, and none for what is no tool in use.
    assert_eq!(usual(Quantity::Depth).tolerance, Some(inch(1, 64)));
    assert_eq!(usual(Quantity::NearestEdge).tolerance, Some(inch(1, 64)));
    assert_eq!(usual(Quantity::Floor).tolerance, Some(inch(1, 16)));
    assert_eq!(usual(Quantity::NearestHole).tolerance, None);

    let list = screens.get(&format!("/face/{face}"));
    assert!(list.contains("3/8-16 UNC, SAE J429 grade 5, blind"));
    assert!(list.contains("Change setup") && !list.contains("thread not set"));
    let page = screens.get(&format!("/hole/{hole}"));
    assert_eq!(
        page.matches("from the face's setup").count(),
        5,
        "thread and four values"
    );
    assert!(page.contains("None measured at this hole yet."));
    assert_eq!(screens.stage(hole), Stage::NotMeasured);
    let sheet = screens.get(&format!("/face/{face}/sheet"));
    assert!(sheet.contains("face's setup"));
}

#[test]
fn saving_the_form_unchanged_records_nothing() {
    let screens = Screens::new();
    let face = screens.face();
    save(&screens, face, &SETUP);
    let history = || screens.notebook.history(face.0, 1000, None).unwrap().len();
    let before = history();
    save(&screens, face, &SETUP);
    assert_eq!(history(), before);
    // One value changed is one entry; a blank one is taken out.
    let mut changed = SETUP;
    changed[6] = ("floor", "1/2 in");
    save(&screens, face, &changed);
    assert_eq!(history(), before + 1);
    changed[6] = ("floor", "");
    changed[7] = ("floor-tolerance", "");
    save(&screens, face, &changed);
    let setup = screens.notebook.face(face).unwrap().record.setup;
    assert_eq!(setup.usual(Quantity::Floor).count(), 0);
    assert_eq!(setup.usual(Quantity::Depth).count(), 1);
}

#[test]
fn a_usual_depth_is_shown_from_the_face_as_it_is_and_stays_as_old_as_it_is() {
    let screens = Screens::new();
    let face = screens.face();
    save(&screens, face, &SETUP);
    screens.submit(&format!("/face/{face}/milled"), &[("taken", "1/32 in")]);
    let hole = add_hole(&screens, face);
    let page = screens.get(&format!("/face/{face}/setup"));
    assert!(page.contains("before the face was cut"));
    // 1-1/4 less 1/32; saved as shown it is still the value from before the cut.
    let mut shown = SETUP;
    shown[4] = ("depth", "1-7/32 in");
    save(&screens, face, &shown);
    let record = screens.notebook.face(face).unwrap().record;
    let depth = record.setup.usual(Quantity::Depth).next().unwrap();
    assert_eq!(depth.body.value, inch(5, 4));
    assert_eq!(depth.value_as_is(&record), inch(39, 32));
    assert!(screens.get(&format!("/hole/{hole}")).contains("1-7/32"));
}

#[test]
fn a_sound_hole_is_left_as_is_and_a_cut_one_says_what_was_not_measured() {
    let screens = Screens::new();
    let face = screens.face();
    let (sound, bad) = (add_hole(&screens, face), add_hole(&screens, face));
    screens.submit(&format!("/face/{face}/cut"), &[("planned", "0")]);
    save(&screens, face, &SETUP);
    let damage = |hole, form: &[(&str, &str)]| {
        screens.submit(&format!("/hole/{hole}/damage"), form);
        screens.get(&format!("/hole/{hole}"))
    };
    let page = damage(sound, &[("no-damage", "yes")]);
    let first = page.split("<article").nth(1).unwrap();
    assert!(first.contains("Leave as is"), "{first}");
    assert!(!first.contains("Not measured at this hole"));
    screens.submit(
        &format!("/hole/{sound}/remedy"),
        &[(
            "remedy",
            r#"{"remedy":"leave","family":null,"length_mm":null,"outside_thread":null}"#,
        )],
    );
    let path = format!("/hole/{sound}/final-check");
    let choice = screens.hidden(&format!("/hole/{sound}"), &path, "choice");
    let form = [
        ("step", "final-check"),
        ("choice", choice[0].as_str()),
        ("passes", "yes"),
        ("how", "new bolt"),
    ];
    screens.submit(&path, &form);
    assert_eq!(screens.stage(sound), Stage::Passed);

    let stripped = [
        ("from-0", "0"),
        ("to-0", "3/4 in"),
        ("diameter-0", ".370 in"),
    ];
    let page = damage(bad, &stripped);
    assert!(page.contains("Not measured at this hole"));
    screens.submit(
        &format!("/hole/{bad}/reading"),
        &[("depth", "1-1/4 in"), ("depth-instrument", "6 in rule")],
    );
    let view = screens.notebook.hole(bad).unwrap();
    assert_eq!(
        view.record.readings[0].body.tolerance,
        Some(inch(1, 64)),
        "the rule's"
    );
}

#[test]
fn wrong_setups_are_refused_with_one_sentence() {
    let screens = Screens::new();
    let face = screens.face();
    let path = format!("/face/{face}/setup/save");
    for (form, part) in [
        (vec![("other-thread", "nonsense")], "nonsense"),
        (vec![("other-thread", "1/2-14 NPT")], "pipe thread"),
        (vec![("bolt", "SAE J429 grade 5")], "pick the thread"),
        (vec![("depth", "deep")], "Hole depth"),
        (vec![("depth", "0")], "not more than 0"),
        (
            vec![("depth-instrument", "6 in rule")],
            "the reading is missing",
        ),
        (vec![("other-tool-tolerance", ".001")], "enter its name"),
        (
            vec![("tool", "caliper"), ("tool", "Caliper")],
            "listed twice",
        ),
    ] {
        let message = screens.rejected(&path, &form);
        assert!(message.contains(part), "{message}");
    }
    // A slip of the decimal point is asked about.
    screens.asked(&path, &[("depth", "48 in")]);
    assert!(screens.notebook.face(face).unwrap().record.setup.is_empty());
}

#[test]
fn entries_that_disagree_are_resolved_on_the_setup_page() {
    let screens = Screens::new();
    let face = screens.face();
    let hole = add_hole(&screens, face);
    let path = format!("/face/{face}/setup");
    // Two pages that were opened before either was saved.
    for thread in ["3/8-16 UNC", "M10x1.5"] {
        screens.submit(&format!("{path}/save"), &[("other-thread", thread)]);
    }
    let page = screens.get(&format!("/hole/{hole}"));
    assert!(page.contains("disagree on the setup of the face") && page.contains("Open the setup"));
    let page = screens.get(&path);
    assert!(page.contains("Resolve conflict"));
    let entries = screens.hidden_all(&path, &format!("{path}/remove"), "entry");
    assert_eq!(entries.len(), 2);
    screens.submit(&format!("{path}/remove"), &[("entry", &entries[0])]);
    assert!(!screens.get(&path).contains("Resolve conflict"));
    let refused = screens.rejected(&format!("{path}/remove"), &[("entry", &entries[0])]);
    assert!(refused.contains("not in the setup"), "{refused}");
}

#[test]
fn another_face_s_setup_is_copied() {
    let screens = Screens::new();
    let first = screens.face();
    assert!(
        !screens
            .get(&format!("/face/{first}/setup"))
            .contains("Copy the setup")
    );
    save(&screens, first, &SETUP);
    let second = screens.face();
    let path = format!("/face/{second}/setup");
    assert!(screens.get(&path).contains("Pump end: Cover joint"));
    screens.submit(&format!("{path}/copy"), &[("from", &first.to_string())]);
    let setup = screens.notebook.face(second).unwrap().record.setup;
    assert_eq!(setup.readings.len(), 4);
    assert!(
        screens
            .rejected(&format!("{path}/copy"), &[])
            .contains("From")
    );
    let unknown = FaceId::fresh().to_string();
    assert!(
        screens
            .rejected(&format!("{path}/copy"), &[("from", &unknown)])
            .contains("face")
    );
}

#[test]
fn several_holes_get_the_same_by_number_or_from_the_list() {
    let screens = Screens::new();
    let face = screens.face();
    let holes: Vec<HoleId> = (0..6).map(|_| add_hole(&screens, face)).collect();
    save(&screens, face, &SETUP);
    screens.submit(
        &format!("/hole/{}/wanted-thread", holes[1]),
        &[("thread", "M8")],
    );
    let path = format!("/face/{face}/alike");
    let shown = screens.hidden(&path, &format!("{path}/record"), "replaces");
    assert_eq!(shown.len(), 1);
    let last = holes[5].to_string();
    screens.submit(
        &format!("{path}/record"),
        &[
            ("replaces", &shown[0]),
            ("holes", "2-3"),
            ("hole", &last),
            ("thread", "M10"),
            ("through", "through"),
            ("depth", "1.5 in"),
            ("depth-instrument", "6 in rule"),
        ],
    );
    let threads: Vec<_> = screens
        .notebook
        .face(face)
        .unwrap()
        .holes
        .iter()
        .map(|hole| (hole.thread.unwrap().designation(), hole.conflict))
        .collect();
    let (usual, other) = (
        ("3/8-16 UNC".to_owned(), false),
        ("M10x1.5".to_owned(), false),
    );
    let expected = [&usual, &other, &other, &usual, &usual, &other].map(Clone::clone);
    assert_eq!(threads, expected);
    let read = screens.notebook.hole(holes[5]).unwrap().record.readings;
    assert_eq!(read[0].body.tolerance, Some(inch(1, 64)));

    for (form, part) in [
        (vec![("thread", "M10")], "no hole is picked"),
        (vec![("holes", "1-3")], "Nothing was entered"),
        (vec![("holes", "9"), ("thread", "M10")], "no hole 9"),
        (vec![("holes", "3-1"), ("thread", "M10")], "runs backward"),
        (
            vec![("holes", "two"), ("thread", "M10")],
            "not a hole number",
        ),
        (
            vec![("holes", "1"), ("pressure", "yes")],
            "enter the thread",
        ),
    ] {
        let message = screens.rejected(&format!("{path}/record"), &form);
        assert!(message.contains(part), "{message}");
    }
}
