//! `holebook remedies`: its promise to scripts, what people read, and its words against holes that cannot be.

#![allow(clippy::unwrap_used)]

mod common;

use common::{has_keys, json, run, run_with_input, said, sentence};
use serde_json::{Value, json};
use std::process::Output;

fn remedies(hole: &Value, words: &[&str]) -> Output {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("hole.json");
    std::fs::write(&file, hole.to_string()).unwrap();
    run(
        home.path(),
        &[&["remedies", "--hole", file.to_str().unwrap()], words].concat(),
    )
}

/// A hole with a crater, as the promise to scripts writes one.
fn crater() -> Value {
    json!({
        "thread": "3/8-16", "bolt": {"grade": "SAE J429 grade 5"}, "iron": "ASTM A48 class 25", "through": false,
        "depth_mm": 32.0, "floor_mm": 9.0, "nearest_edge_mm": 14.0, "nearest_hole_mm": 60.0, "face_cut_mm": 0.5,
        "damage": [{"from_mm": 0, "to_mm": 9, "diameter_mm": 13.0, "offset_mm": 1.2}], "hard": [{"from_mm": 0, "to_mm": 4.0}],
        "broken_tool": null, "on_hand": null
    })
}

fn with(key: &str, value: Value) -> Value {
    let mut hole = crater();
    hole[key] = value;
    hole
}

#[test]
fn the_json_has_the_promised_keys() {
    let answer = json(&remedies(&crater(), &["--json"]));
    let all = answer.as_array().unwrap();
    assert!(all.len() > 3);
    for row in all {
        for key in [
            "remedy",
            "family",
            "outside_thread",
            "verdict",
            "checks",
            "thread_left",
            "effective_engagement_mm",
            "parent_strength_n",
            "bolt_strength_n",
            "strength_ratio",
            "depths_mm",
            "drill",
            "tap",
            "cautions",
        ] {
            assert!(row.get(key).is_some(), "{key} is not in {row}");
        }
        let verdict = row["verdict"].as_str().unwrap();
        assert!(
            ["fits", "fits with care", "does not fit", "not known"].contains(&verdict),
            "{verdict}"
        );
        for key in ["drill", "full_thread", "set_now", "set_after_cut"] {
            assert!(row["depths_mm"].get(key).is_some(), "{key}");
        }
        for check in row["checks"].as_array().unwrap() {
            for key in ["check", "has", "needs", "unit", "passes", "limit_from"] {
                assert!(check.get(key).is_some(), "{key} is not in {check}");
            }
        }
        for left in row["thread_left"].as_array().unwrap() {
            has_keys(left, &["depth_mm", "fraction"]);
        }
    }
}

#[test]
fn depths_of_today_are_deeper_by_the_face_cut() {
    let rows = json(&remedies(&crater(), &["--json"]));
    let mut seen = 0;
    for depths in rows.as_array().unwrap().iter().map(|row| &row["depths_mm"]) {
        if let (Some(now), Some(after)) =
            (depths["set_now"].as_f64(), depths["set_after_cut"].as_f64())
        {
            assert!((now - after - 0.5).abs() < 1e-6, "{depths}");
            seen += 1;
        }
    }
    assert!(seen > 0);
}

#[test]
fn a_missing_reading_leaves_its_checks_unknown() {
    let rows = json(&remedies(
        &with("nearest_edge_mm", Value::Null),
        &["--json"],
    ));
    let checks: Vec<&Value> = rows
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|row| row["checks"].as_array().unwrap())
        .collect();
    let edge: Vec<_> = checks
        .iter()
        .filter(|check| check["check"].as_str().unwrap().contains("edge"))
        .collect();
    assert!(!edge.is_empty());
    assert!(
        edge.iter()
            .all(|check| check["passes"].is_null() && check["has"].is_null()),
        "{edge:?}"
    );
}

#[test]
fn people_see_verdicts_reasons_with_both_numbers_and_the_safe_side() {
    // Lines are wrapped for people.
    let words = said(&remedies(&crater(), &[]));
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "key-locking insert, thin wall, 1/2-13 UNC",
        "29/64",
        "does not fit",
        "at least",
        "Thread left and strength are a judgement on the safe side: a thread's shear strength falls later than its flank height.",
        "Beware:",
        "machine's manual",
    ] {
        assert!(words.contains(wanted), "{wanted} is not in\n{words}");
    }
    assert!(
        words.contains("0.5512 in"),
        "edge distance in inches:\n{words}"
    );
    assert!(said(&remedies(&crater(), &["--unit", "mm"])).contains("14 mm"));
}

#[test]
fn a_hole_that_cannot_be_gets_one_sentence() {
    for (key, value) in [
        ("thread", json!("3/8-17")),
        ("thread", json!("0")),
        ("depth_mm", json!(0)),
        ("depth_mm", json!(-32)),
        ("depth_mm", json!(1e12)),
        ("depth_mm", json!("32")),
        ("floor_mm", json!(-1)),
        ("nearest_edge_mm", json!(0)),
        ("nearest_hole_mm", json!(1e9)),
        ("face_cut_mm", json!(-0.5)),
        ("face_cut_mm", json!(40)),
        ("iron", json!("cheese")),
        ("bolt", json!({"grade": "grade 99"})),
        (
            "damage",
            json!([{"from_mm": 0, "to_mm": 50, "diameter_mm": 13}]),
        ),
        (
            "damage",
            json!([{"from_mm": 9, "to_mm": 0, "diameter_mm": 13}]),
        ),
        (
            "damage",
            json!([{"from_mm": 0, "to_mm": 9, "diameter_mm": 0}]),
        ),
        (
            "damage",
            json!([{"from_mm": 0, "to_mm": 9, "diameter_mm": -3}]),
        ),
        (
            "damage",
            json!([{"from_mm": -2, "to_mm": 9, "diameter_mm": 13}]),
        ),
        ("damage", json!([{"from_mm": 0, "to_mm": 9}])),
        ("hard", json!([{"from_mm": 0, "to_mm": 400}])),
        (
            "damage",
            json!([{"from_mm": 0, "to_mm": 9, "diameter_mm": 13, "to_diameter_mm": -1}]),
        ),
        (
            "damage",
            json!([{"from_mm": 0, "to_mm": 9, "diameter_mm": 13, "diameter_error_mm": -1}]),
        ),
        ("errors", json!({"depth_mm": -0.2})),
        ("lean", json!({"by_mm": 1})),
        ("lean", json!({"by_mm": 1, "over_mm": 20, "tilt_deg": 3})),
        ("lean", json!({"tilt_deg": 80})),
    ] {
        let words = sentence(&remedies(&with(key, value.clone()), &["--json"]));
        assert!(words.contains("hole.json"), "{key} {value}: {words}");
    }
}

#[test]
fn a_description_that_is_none_gets_one_sentence() {
    let home = tempfile::tempdir().unwrap();
    for text in [
        "",
        "{",
        "[]",
        "hello",
        "null",
        "{}",
        "{\"thread\": \"3/8-16\", \"depth_mm\": NaN}",
        "{\"thread\": \"3/8-16\", \"depth_mm\": 1e999}",
    ] {
        sentence(&run_with_input(
            home.path(),
            &["remedies", "--hole", "-"],
            text,
        ));
    }
    assert!(
        sentence(&run(home.path(), &["remedies", "--hole", "/no/such/file"]))
            .contains("/no/such/file")
    );
    sentence(&run(home.path(), &["remedies", "--hole", "/"]));
    assert_eq!(run(home.path(), &["remedies"]).status.code(), Some(2));
}

#[test]
fn a_description_may_come_on_standard_input() {
    let home = tempfile::tempdir().unwrap();
    let answer = json(&run_with_input(
        home.path(),
        &["remedies", "--hole", "-", "--json"],
        &crater().to_string(),
    ));
    assert!(answer.as_array().unwrap().len() > 3);
}

#[test]
fn a_way_that_hangs_on_a_reading_says_so_to_scripts_and_to_people() {
    // The heavy insert needs 13.49 mm to the edge, and 14 mm may be 13.2.
    let hole = with("errors", json!({"nearest_edge_mm": 0.8}));
    let answer = json(&remedies(&hole, &["--json"]));
    let hanging = |row: &&Value| !row["depends_on"].as_array().unwrap().is_empty();
    let row = answer.as_array().unwrap().iter().find(hanging).unwrap();
    assert_eq!(row["verdict"], "fits with care");
    let hangs = &row["depends_on"][0];
    assert_eq!(
        (&hangs["reading"], &hangs["stated_mm"], &hangs["error_mm"]),
        (&json!("nearest-edge"), &json!(14.0), &json!(0.8))
    );
    has_keys(
        hangs,
        &[
            "reading",
            "name",
            "stated_mm",
            "error_mm",
            "needs_mm",
            "at_most",
            "measure_to_mm",
            "alone",
            "words",
        ],
    );
    let mut checks = row["checks"].as_array().unwrap().iter();
    assert!(checks.any(|check| check["passes_as_read"] == true && check["passes"] == false));
    let words = said(&remedies(&hole, &["--unit", "mm"]));
    assert!(
        words.contains("it hangs on the distance to the nearest edge: it reads 14 mm"),
        "{words}"
    );
    // With nothing said of errors, nothing hangs on them.
    let answer = json(&remedies(&crater(), &["--json"]));
    assert!(!answer.as_array().unwrap().iter().any(|row| hanging(&row)));
}

#[test]
fn a_crack_is_for_a_specialist_and_the_words_say_why() {
    let hole = with("crack", json!(true));
    let answer = json(&remedies(&hole, &["--json"]));
    let all = answer.as_array().unwrap();
    assert_eq!(
        (&all[0]["remedy"], &all[0]["verdict"]),
        (&json!("specialist"), &json!("fits"))
    );
    assert!(all[1..].iter().all(|row| row["verdict"] == "does not fit"));
    // Lines are wrapped for people.
    let words = said(&remedies(&hole, &[]))
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        words.contains("no thread repair holds in a cracked wall")
            && words.contains("someone qualified"),
        "{words}"
    );
}

#[test]
fn tapers_and_leans_are_read() {
    let tapered = json!([{"from_mm": 0, "to_mm": 9, "diameter_mm": 13.0, "offset_mm": 1.2, "to_diameter_mm": 9.0, "to_offset_mm": 0.2}]);
    let strength = |hole: &Value| {
        let answer = json(&remedies(hole, &["--json"]));
        let all = answer.as_array().unwrap().clone();
        let heavy = all
            .iter()
            .find(|row| row["outside_thread"] == "9/16-12 UNC")
            .unwrap();
        heavy["parent_strength_n"].as_f64().unwrap()
    };
    assert!(strength(&with("damage", tapered)) > strength(&crater()));
    let leaning = with(
        "lean",
        json!({"by_mm": 3, "over_mm": 12, "direction_deg": 40}),
    );
    assert!(strength(&leaning) < strength(&crater()));
}

#[test]
fn no_line_for_people_is_longer_than_a_hundred_columns() {
    for unit in ["in", "mm"] {
        let words = said(&remedies(&crater(), &["--unit", unit]));
        assert!(
            words.contains("extra heavy duty"),
            "the longest name is among them"
        );
        for line in words.lines() {
            assert!(line.chars().count() <= 100, "{unit}: {line}");
        }
    }
}
