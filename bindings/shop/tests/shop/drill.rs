//! `holebook drill`: the nearest drills of a drawer, against published figures, and its errors for
//! bad input.

use crate::common::{error_sentence, json, run, stdout};
use serde_json::Value;

fn drill(args: &[&str]) -> std::process::Output {
    let home = tempfile::tempdir().unwrap();
    run(home.path(), &[&["drill"], args].concat())
}

fn of<'a>(answer: &'a Value, job: &str) -> &'a Value {
    let all = answer.as_array().unwrap();
    let found = all
        .iter()
        .find(|hole| hole["job"].as_str().unwrap().contains(job));
    found.unwrap_or_else(|| panic!("{job}: {answer}"))
}

#[test]
fn drawer_with_only_fractional_drills() {
    // FED-STD-H28/2B Table II.A.1: 5/16 leaves 77% of 3/8-16. MS51830E: .452 to .457 for the thin
    // wall insert, 29/64 in it.
    let answer = json(&drill(&["3/8-16", "--drawer", "fractional", "--json"]));
    let tap = of(&answer, "tap 3/8-16 UNC");
    assert_eq!(tap["below"]["name"], "5/16");
    assert!((tap["below"]["thread_percent"].as_f64().unwrap() - 77.0).abs() < 0.5);
    assert_eq!(tap["above"]["size_check"], "too_large");
    let thin = of(&answer, "thin wall");
    assert_eq!(thin["exact"]["name"], "29/64");
    // ASME B18.2.8: 25/64, 13/32, 27/64.
    for (fit, name) in [("close", "25/64"), ("normal", "13/32"), ("loose", "27/64")] {
        assert_eq!(of(&answer, &format!("{fit} fit"))["exact"]["name"], name);
    }
    assert_eq!(of(&answer, "first drill")["exact"]["name"], "3/16");
    let text = stdout(&drill(&["3/8-16", "--drawer", "fractional"]));
    assert!(text.contains("from inch fractions"), "{text}");
    assert!(text.contains("77% thread, within the limits"), "{text}");
    assert!(!text.contains("8 mm "), "{text}");
}

#[test]
fn diameter_has_neighbors() {
    let answer = json(&drill(&["9.9mm", "--drawer", "inch", "--json"]));
    let found = of(&answer, "diameter");
    assert_eq!(found["below"]["name"], "W");
    assert_eq!(found["above"]["name"], "25/64");
    let text = stdout(&drill(&[".390 in", "--drawer", "metric", "--unit", "mm"]));
    assert!(
        text.contains("9.9 mm") && text.contains("9.95 mm"),
        "{text}"
    );
}

#[test]
fn drawer_comes_from_the_settings() {
    let home = tempfile::tempdir().unwrap();
    let folder = home.path().join("notebook");
    let notebook = holebook_core::notebook::Notebook::open(&folder).unwrap();
    let settings = holebook_core::notebook::Settings {
        drill_kinds: Some("number".parse().unwrap()),
        ..notebook.settings().unwrap()
    };
    notebook.set_settings(&settings).unwrap();
    drop(notebook);
    let at = [
        "drill",
        "1/4-20",
        "--json",
        "--notebook",
        folder.to_str().unwrap(),
    ];
    let tap = json(&run(home.path(), &at));
    let tap = of(&tap, "tap 1/4-20");
    assert_eq!(
        (&tap["drawer"], &tap["below"]["name"]),
        (&"number".into(), &"#7".into())
    );
    let letters = json(&run(
        home.path(),
        &[&at[..], &["--drawer", "letter"]].concat(),
    ));
    assert_eq!(of(&letters, "tap 1/4-20")["drawer"], "letter");
}

#[test]
fn bad_input_gets_one_sentence() {
    for (args, expected) in [
        (vec!["3/8-16", "--drawer", "wooden"], "wooden"),
        (
            vec!["3/8-16", "--drawer", ","],
            "no kind of drill was given",
        ),
        (vec!["3/8-17"], "3/8-16"),
        (vec!["nonsense"], "nonsense"),
        (vec!["9.9"], "9.9 mm"),
        (vec!["3/8-16", "--engagement", "long"], "long"),
    ] {
        let error = error_sentence(&drill(&args));
        assert!(error.contains(expected), "{args:?}: {error}");
    }
}
