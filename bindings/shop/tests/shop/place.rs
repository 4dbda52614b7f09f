//! `holebook place`.

use crate::common::{error_sentence, has_keys, json, one_line, run_with_input, stdout};
use serde_json::json;
use std::process::Output;

/// Asks a question whose file is standard input.
fn place(question: &[&str], input: &str) -> Output {
    let home = tempfile::tempdir().unwrap();
    let args: Vec<&str> = ["place"].iter().chain(question).copied().collect();
    run_with_input(home.path(), &[args, vec!["--file", "-"]].concat(), input)
}

/// A square of 100 mm and its middle; the middle hole drifted 3 mm up.
fn square() -> String {
    let at = [
        (1, 0, 0),
        (2, 100, 0),
        (3, 100, 100),
        (4, 0, 100),
        (5, 50, 50),
        (6, 50, 0),
    ];
    let wanted: Vec<_> = at
        .iter()
        .map(|(hole, x, y)| json!({"hole": hole, "x_mm": x, "y_mm": y}))
        .collect();
    let found: Vec<_> = at[..5]
        .iter()
        .map(|(hole, x, y)| json!({"hole": hole, "x_mm": 10 - y + if *hole == 5 { 3 } else { 0 }, "y_mm": x, "error_mm": 0.1}))
        .collect();
    json!({"wanted": wanted, "found": found, "mirror": false, "scale": false}).to_string()
}

#[test]
fn pattern_predicts_every_center_and_names_what_wandered() {
    let answer = json(&place(&["pattern", "--json"], &square()));
    has_keys(
        &answer,
        &[
            "angle_deg",
            "scale",
            "mirrored",
            "holes",
            "agreeing",
            "warnings",
        ],
    );
    assert!((answer["angle_deg"].as_f64().unwrap() - 90.0).abs() < 1e-9);
    let holes = answer["holes"].as_array().unwrap();
    for hole in holes {
        has_keys(
            hole,
            &[
                "hole",
                "x_mm",
                "y_mm",
                "residual_mm",
                "wandered",
                "radius95_mm",
                "off_x_mm",
                "off_y_mm",
                "direction_deg",
            ],
        );
    }
    assert_eq!(holes[4]["wandered"], true);
    assert!((holes[4]["residual_mm"].as_f64().unwrap() - 3.0).abs() < 1e-9);
    assert!(holes[5]["residual_mm"].is_null() && holes[5]["wandered"] == false);
    assert!((holes[5]["y_mm"].as_f64().unwrap() - 50.0).abs() < 1e-9);
    let text = stdout(&place(&["pattern", "--unit", "in"], &square()));
    assert!(
        text.contains("4 holes agree (in)")
            && text.contains("wandered")
            && text.contains("not found"),
        "{text}"
    );
    assert!(text.contains(".118"), "3 mm in inches: {text}");
}

/// The promises of `mirror` and `scale`: a pattern seen from the back, twice as large and 2 % more.
#[test]
fn a_pattern_is_turned_over_and_scaled_where_that_is_allowed() {
    let at = [
        (1, 0, 0),
        (2, 100, 0),
        (3, 0, 60),
        (4, 100, 60),
        (5, 30, 60),
    ];
    let wanted = at.map(|(hole, x, y)| json!({"hole": hole, "x_mm": x, "y_mm": y}));
    let found = at[..4].iter().map(|(hole, x, y)| {
        let (x_mm, y_mm) = (-2.02 * f64::from(*x), 2.02 * f64::from(*y));
        json!({"hole": hole, "x_mm": x_mm, "y_mm": y_mm, "error_mm": 0.1})
    });
    let found: Vec<_> = found.collect();
    let asked = |mirror: bool, scale: bool| {
        json!({"wanted": wanted, "found": found, "mirror": mirror, "scale": scale}).to_string()
    };
    let answer = json(&place(&["pattern", "--json"], &asked(true, true)));
    assert_eq!(answer["mirrored"], true);
    assert!((answer["scale"].as_f64().unwrap() - 2.02).abs() < 1e-9);
    // In the coordinates of what was found; nobody found hole 5.
    let last = &answer["holes"][4];
    assert!((last["x_mm"].as_f64().unwrap() + 60.6).abs() < 1e-9);
    assert!((last["y_mm"].as_f64().unwrap() - 121.2).abs() < 1e-9);
    assert!(last["residual_mm"].is_null() && last["radius95_mm"].as_f64().unwrap() > 0.0);
    let why = error_sentence(&place(&["pattern", "--json"], &asked(false, true)));
    assert!(why.contains("mirrored"), "{why}");
}

#[test]
fn plane_places_marks() {
    let known = [
        (0, 1000, 0, 0),
        (1000, 1000, 100, 0),
        (1000, 0, 100, 100),
        (0, 0, 0, 100),
    ];
    let known: Vec<_> = known
        .iter()
        .map(|(px, py, x, y)| json!({"px": px, "py": py, "x_mm": x, "y_mm": y}))
        .collect();
    let input = json!({"known": known, "marks": [{"px": 500, "py": 250}]}).to_string();
    let answer = json(&place(&["plane", "--json"], &input));
    has_keys(
        &answer,
        &[
            "points",
            "residual_mm",
            "known_residuals_mm",
            "tilt_deg",
            "warnings",
        ],
    );
    has_keys(
        &answer["points"][0],
        &["x_mm", "y_mm", "error_mm", "radius95_mm"],
    );
    assert!((answer["points"][0]["x_mm"].as_f64().unwrap() - 50.0).abs() < 1e-6);
    assert!((answer["points"][0]["y_mm"].as_f64().unwrap() - 75.0).abs() < 1e-6);
    let text = stdout(&place(&["plane", "--unit", "mm"], &input));
    assert!(text.contains("nothing checks the known points"), "{text}");
}

#[test]
fn flatness_gives_the_least_cut() {
    let points = [(0, 0, 0.2), (100, 0, 0.0), (100, 100, 0.0), (0, 100, 0.0)];
    let points: Vec<_> = points
        .iter()
        .map(|(x, y, z)| json!({"x_mm": x, "y_mm": y, "z_mm": z}))
        .collect();
    let input = json!({"points": points, "holes": [{"hole": 3, "x_mm": 0, "y_mm": 0}]}).to_string();
    let answer = json(&place(&["flatness", "--json"], &input));
    for key in [
        "flatness_least_squares_mm",
        "flatness_minimum_zone_mm",
        "face_cut_mm",
        "tilt_x_deg",
        "tilt_y_deg",
    ] {
        assert!(answer[key].is_f64(), "{key}");
    }
    assert!((answer["face_cut_mm"].as_f64().unwrap() - 0.1).abs() < 1e-6);
    let text = one_line(&stdout(&place(&["flatness", "--unit", "mm"], &input)));
    assert!(
        text.contains("Flatness 0.1 mm") && text.contains("Depth that each hole loses"),
        "{text}"
    );
}

#[test]
fn the_other_questions_are_answered() {
    let holes =
        r#"{"shape": "circle", "center": {"x_mm": 0, "y_mm": 0}, "diameter_mm": 200, "count": 8}"#;
    let made = json(&place(&["layout", "--json"], holes));
    assert_eq!(made.as_array().unwrap().len(), 8);
    assert!(stdout(&place(&["layout"], holes)).contains("8 holes (in)"));
    let plain: Vec<_> = made
        .as_array()
        .unwrap()
        .iter()
        .map(|it| json!({"hole": it["hole"], "x_mm": it["x_mm"], "y_mm": it["y_mm"]}))
        .collect();
    let joint = json!({"holes": plain}).to_string();
    assert!(stdout(&place(&["tightening"], &joint)).contains("1, 5, 3, 7, 2, 6, 4, 8"));

    let distances = r#"{"holes": [{"hole": 1}, {"hole": 2}, {"hole": 3}], "distances": [
        {"from": 1, "to": 2, "reading_mm": 40, "error_mm": 0.05}, {"from": 1, "to": 3, "reading_mm": 30, "error_mm": 0.05},
        {"from": 2, "to": 3, "reading_mm": 50, "error_mm": 0.05}]}"#;
    assert!(stdout(&place(&["distances", "--unit", "mm"], distances)).contains("no spare reading"));
    let photos = r#"{"points": [{"photo": 1, "hole": 7, "x_mm": 1, "y_mm": 2, "error_mm": 0.1}, {"photo": 2, "hole": 7, "x_mm": 4, "y_mm": 2, "error_mm": 0.1}]}"#;
    assert!(stdout(&place(&["photos"], photos)).contains("photo 1, photo 2"));
    let droop = r#"{"one_end_mm": -0.1, "middle_mm": 0, "other_end_mm": -0.1, "travel_mm": 600, "face_mm": 300}"#;
    assert!(
        stdout(&place(&["droop", "--unit", "mm"], droop))
            .contains("the ends of the milled face will stand")
    );

    let face = |z: [f64; 4]| {
        let at = [(0, 0), (100, 0), (100, 100), (0, 100)];
        let points: Vec<_> = at
            .iter()
            .zip(z)
            .map(|((x, y), z)| json!({"x_mm": x, "y_mm": y, "z_mm": z}))
            .collect();
        json!(points)
    };
    let two = json!({"lower": face([0.0; 4]), "upper": face([0.1, -0.1, 0.1, -0.1])}).to_string();
    assert!(
        stdout(&place(&["rocking", "--unit", "mm"], &two)).contains("The faces rock by 0.4 mm")
    );
    let jack = |jack, x, y| json!({"jack": jack, "x_mm": x, "y_mm": y, "lead_mm": 2.0});
    let jacks = json!({"points": face([0.0, 0.4, 0.4, 0.0]), "jacks": [jack(1, 0, 0), jack(2, 100, 0), jack(3, 0, 100)]});
    let text = stdout(&place(&["leveling", "--unit", "mm"], &jacks.to_string()));
    assert!(
        text.contains("0.20") && text.contains("stays") && text.contains("Caution"),
        "{text}"
    );
}

#[test]
fn moves_print_as_text_csv_and_drawing() {
    let input = json!({
        "holes": [{"hole": 1, "x_mm": 0, "y_mm": 0}, {"hole": 2, "x_mm": 25.4, "y_mm": 0}, {"hole": 3, "x_mm": -12.7, "y_mm": 5}],
        "reference": 1, "keep_order": true, "alignment": {"by": "as-drawn"},
        "x_wheel": {"lead_mm": 2.54, "divisions": 100, "backlash_mm": 0.2},
    })
    .to_string();
    let text = stdout(&place(&["moves", "--unit", "in"], &input));
    assert!(
        text.contains("10 + 0.0") && text.contains("-5 + 0.0*") && text.contains("Caution"),
        "{text}"
    );
    let csv = stdout(&place(&["moves", "--csv", "--unit", "in"], &input));
    assert!(
        csv.starts_with("hole,x_in,y_in") && csv.contains("2,1.0000,0.0000"),
        "{csv}"
    );
    assert!(stdout(&place(&["moves", "--dxf"], &input)).ends_with("EOF\n"));
    assert_eq!(
        json(&place(&["moves", "--json"], &input))["moves"]
            .as_array()
            .unwrap()
            .len(),
        2
    );
}

#[test]
fn bad_files_get_one_sentence() {
    let text = error_sentence(&place(&["pattern"], "{"));
    assert!(text.contains("is not JSON: line 1"), "{text}");
    let text = error_sentence(&place(&["pattern", "--json"], r#"{"wanted": []}"#));
    assert!(text.contains("missing field `found`"), "{text}");
    let one = r#"{"wanted": [{"hole": 1, "x_mm": 0, "y_mm": 0}, {"hole": 2, "x_mm": 50, "y_mm": 0}],
        "found": [{"hole": 1, "x_mm": 0, "y_mm": 0, "error_mm": 0.1}, {"hole": 2, "x_mm": 55, "y_mm": 0, "error_mm": 0.1}]}"#;
    let text = error_sentence(&place(&["pattern", "--unit", "in"], one));
    assert!(text.contains("are 2.165 in apart but 1.969 in"), "{text}");
    let line = r#"{"points": [{"x_mm": 0, "y_mm": 0, "z_mm": 0}, {"x_mm": 1, "y_mm": 0, "z_mm": 0}, {"x_mm": 2, "y_mm": 0, "z_mm": 0}]}"#;
    assert!(error_sentence(&place(&["flatness"], line)).contains("lie on one line"));
    assert!(
        error_sentence(&place(&["flatness"], r#"{"points": [{"x_mm": 1e999}]}"#))
            .contains("line 1")
    );
}
