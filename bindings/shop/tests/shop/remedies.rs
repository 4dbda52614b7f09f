//! `holebook remedies`: promised JSON, text for people, and errors for impossible holes.

use crate::common::{error_sentence, has_keys, json, run, run_with_input, stdout};
use serde_json::{Value, json};
use std::process::Output;

fn remedies(hole: &Value, args: &[&str]) -> Output {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("hole.json");
    std::fs::write(&file, hole.to_string()).unwrap();
    run(
        home.path(),
        &[&["remedies", "--hole", file.to_str().unwrap()], args].concat(),
    )
}

/// A hole with a crater, in the promised JSON.
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
fn json_has_the_promised_keys() {
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
            ["fits", "marginal", "does not fit", "unknown"].contains(&verdict),
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
fn depths_from_the_face_as_is_include_the_face_cut() {
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
fn missing_reading_leaves_its_checks_unknown() {
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
fn text_has_verdicts_reasons_with_both_numbers_and_the_safe_side() {
    // Text lines are wrapped.
    let text = stdout(&remedies(&crater(), &[]));
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "key-locking insert, thin wall, 1/2-13 UNC",
        "29/64",
        "does not fit",
        "at least",
        "Thread left and strength are judged conservatively: a thread's shear strength drops later than its flank height.",
        "Caution:",
        "machine's manual",
    ] {
        assert!(text.contains(wanted), "{wanted} is not in\n{text}");
    }
    assert!(
        text.contains(" .551 in"),
        "edge distance in inches:\n{text}"
    );
    assert!(stdout(&remedies(&crater(), &["--unit", "mm"])).contains("14 mm"));
}

#[test]
fn impossible_hole_gets_one_sentence() {
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
            json!([{"from_mm": 0, "to_mm": 9, "diameter_mm": 13, "diameter_tolerance_mm": -1}]),
        ),
        ("errors", json!({"depth_mm": -0.2})),
        ("lean", json!({"by_mm": 1})),
        ("lean", json!({"by_mm": 1, "over_mm": 20, "tilt_deg": 3})),
        ("lean", json!({"tilt_deg": 80})),
    ] {
        let text = error_sentence(&remedies(&with(key, value.clone()), &["--json"]));
        assert!(text.contains("hole.json"), "{key} {value}: {text}");
    }
}

#[test]
fn malformed_description_gets_one_sentence() {
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
        error_sentence(&run_with_input(
            home.path(),
            &["remedies", "--hole", "-"],
            text,
        ));
    }
    assert!(
        error_sentence(&run(home.path(), &["remedies", "--hole", "/no/such/file"]))
            .contains("/no/such/file")
    );
    error_sentence(&run(home.path(), &["remedies", "--hole", "/"]));
    assert_eq!(run(home.path(), &["remedies"]).status.code(), Some(2));
}

#[test]
fn description_is_read_from_standard_input() {
    let home = tempfile::tempdir().unwrap();
    let answer = json(&run_with_input(
        home.path(),
        &["remedies", "--hole", "-", "--json"],
        &crater().to_string(),
    ));
    assert!(answer.as_array().unwrap().len() > 3);
}

#[test]
fn sensitivity_to_a_reading_is_in_json_and_text() {
    // The heavy insert needs 3 mm of wall beside its keys, 10.14 mm to the edge, and 10.5 ±0.8 mm may
    // be 9.7 mm.
    let mut hole = with("errors", json!({"nearest_edge_mm": 0.8}));
    hole["nearest_edge_mm"] = json!(10.5);
    let answer = json(&remedies(&hole, &["--json"]));
    let sensitive = |row: &&Value| !row["sensitivities"].as_array().unwrap().is_empty();
    let row = answer.as_array().unwrap().iter().find(sensitive).unwrap();
    assert_eq!(row["verdict"], "unknown");
    let sensitivity = &row["sensitivities"][0];
    assert_eq!(
        (
            &sensitivity["reading"],
            &sensitivity["stated_mm"],
            &sensitivity["tolerance_mm"],
        ),
        (&json!("nearest-edge"), &json!(10.5), &json!(0.8))
    );
    has_keys(
        sensitivity,
        &[
            "reading",
            "name",
            "stated_mm",
            "tolerance_mm",
            "limit_mm",
            "at_most",
            "measure_to_mm",
            "alone",
            "advice",
        ],
    );
    let mut checks = row["checks"].as_array().unwrap().iter();
    assert!(checks.any(|check| check["passes_as_read"] == true && check["passes"] == false));
    let text = stdout(&remedies(&hole, &["--unit", "mm"]));
    assert!(
        text.contains("depends on the edge distance: reads 10.5 mm"),
        "{text}"
    );
    // Without tolerances nothing is sensitive to them.
    let answer = json(&remedies(&crater(), &["--json"]));
    assert!(!answer.as_array().unwrap().iter().any(|row| sensitive(&row)));
}

#[test]
fn crack_is_for_a_specialist_and_the_text_says_why() {
    let hole = with("crack", json!(true));
    let answer = json(&remedies(&hole, &["--json"]));
    let all = answer.as_array().unwrap();
    assert_eq!(
        (&all[0]["remedy"], &all[0]["verdict"]),
        (&json!("specialist"), &json!("fits"))
    );
    assert!(all[1..].iter().all(|row| row["verdict"] == "does not fit"));
    // Text lines are wrapped.
    let text = stdout(&remedies(&hole, &[]))
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        text.contains("no thread repair holds in a cracked wall")
            && text.contains("someone qualified"),
        "{text}"
    );
}

#[test]
fn taper_and_tilt_are_included() {
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
fn text_lines_have_at_most_a_hundred_columns() {
    for unit in ["in", "mm"] {
        let text = stdout(&remedies(&crater(), &["--unit", unit]));
        assert!(
            text.contains("extra heavy duty"),
            "the longest name is among them"
        );
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{unit}: {line}");
        }
    }
}

#[test]
fn unknown_key_is_refused_by_name_with_the_nearest_one() {
    let text = error_sentence(&remedies(&with("cracked", json!(true)), &["--json"]));
    assert!(
        text.contains("`cracked`") && text.contains("nearest is `crack`"),
        "{text}"
    );
    let nested = json!([{"from_mm": 0, "to_mm": 9, "diametre_mm": 13}]);
    let text = error_sentence(&remedies(&with("damage", nested), &[]));
    assert!(
        text.contains("`diametre_mm`") && text.contains("`diameter_mm`"),
        "{text}"
    );
}

#[test]
fn limits_come_from_a_file_or_the_notebook() {
    let home = tempfile::tempdir().unwrap();
    let file = |name: &str, value: Value| {
        let file = home.path().join(name);
        std::fs::write(&file, value.to_string()).unwrap();
        file.to_str().unwrap().to_owned()
    };
    let hole = file("hole.json", crater());
    let wide = file("wide.json", json!({"wall_mm": 9.0}));
    let verdict = |args: &[&str]| {
        let base = ["remedies", "--hole", hole.as_str(), "--json"];
        let rows = json(&run(home.path(), &[&base[..], args].concat()));
        let mut rows = rows.as_array().unwrap().iter();
        let wire = |row: &&Value| row["remedy"] == "wire-insert";
        let row = rows.find(wire).unwrap();
        let mut checks = row["checks"].as_array().unwrap().iter();
        let wall = checks.find(|check| check["check"] == "wall to the edge");
        (
            wall.unwrap()["needs"].as_f64().unwrap(),
            row["edge_wall_mm"].as_f64().unwrap(),
        )
    };
    // A fifth of the 11.588 mm of 3/8-16 STI (ASME B18.29.1, three places in inches: .456).
    let (needs, wall) = verdict(&[]);
    assert!((needs - 0.2 * 11.588).abs() < 0.01, "{needs}");
    assert!((wall - (14.0 - 11.588 / 2.0)).abs() < 0.01, "{wall}");
    assert_eq!(verdict(&["--limits", &wide]).0, 9.0);
    let text = stdout(&run(
        home.path(),
        &[
            "remedies", "--hole", &hole, "--limits", &wide, "--unit", "mm",
        ],
    ));
    assert!(text.contains("limit of this shop, wall_mm: 9 mm"), "{text}");
    assert!(text.contains("1 is first:"), "{text}");
    let misspelled = file("misspelled.json", json!({"wall_mn": 9.0}));
    let why = error_sentence(&run(
        home.path(),
        &["remedies", "--hole", &hole, "--limits", &misspelled],
    ));
    assert!(
        why.contains("`wall_mn`") && why.contains("`wall_mm`"),
        "{why}"
    );
}
