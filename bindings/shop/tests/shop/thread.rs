//! `holebook thread`, its figures against published tables and its errors for bad input.

use crate::common::{error_sentence, has_keys, json, program, run, stdout};
use serde_json::{Value, json};

fn thread(args: &[&str]) -> std::process::Output {
    let home = tempfile::tempdir().unwrap();
    let output = run(home.path(), &[&["thread"], args].concat());
    assert_eq!(
        std::fs::read_dir(home.path()).unwrap().count(),
        0,
        "no notebook is created"
    );
    output
}

fn close(value: &Value, wanted: f64, within: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - wanted).abs() <= within, "{value} is not {wanted}");
}

#[test]
fn json_has_the_promised_keys() {
    let answer = json(&thread(&["7/16-14", "--json"]));
    has_keys(
        &answer,
        &[
            "designation",
            "series",
            "threads_per_inch",
            "pitch_mm",
            "major_mm",
            "internal",
            "external",
            "stress_area_mm2",
            "tap_drill",
            "flank_angle_deg",
            "hand",
            "notes",
            "cautions",
            "source",
        ],
    );
    has_keys(
        &answer["internal"],
        &[
            "class",
            "minor_min_mm",
            "minor_max_mm",
            "pitch_diameter_min_mm",
            "pitch_diameter_max_mm",
        ],
    );
    has_keys(
        &answer["external"],
        &[
            "class",
            "major_min_mm",
            "major_max_mm",
            "pitch_diameter_min_mm",
            "pitch_diameter_max_mm",
        ],
    );
    for key in ["name", "diameter_mm", "thread_percent"] {
        assert!(answer["tap_drill"].get(key).is_some(), "{key}");
    }
    assert_eq!(answer["designation"], "7/16-14 UNC");
    assert_eq!(answer["series"], "UNC");
    assert_eq!(answer["threads_per_inch"], 14);
    close(&answer["pitch_mm"], 25.4 / 14.0, 1e-6);
    assert_eq!(answer["major_mm"], 11.1125);
    assert_eq!(
        (&answer["internal"]["class"], &answer["external"]["class"]),
        (&json!("2B"), &json!("2A"))
    );
    assert_eq!(answer["tap_drill"]["name"], "U");
    // (D - drill) n / 0.01299, the usual handbook rule: (0.4375 - 0.368) x 14 / 0.01299 = 74.9.
    close(&answer["tap_drill"]["thread_percent"], 74.9, 0.1);
}

#[test]
fn limits_of_3_8_16_match_the_standard() {
    // In inches, for 3/8-16 UNC: 2A and 2B limits and stress area as ASME B1.1 tables and
    // FED-STD-H28/2B (1991) table II.A.1 print them (2B minor diameter to three places).
    let answer = json(&thread(&["3/8-16", "--json"]));
    let inches =
        |of: &str, key: &str, wanted: f64| close(&answer[of][key], wanted * 25.4, 0.000_051 * 25.4);
    inches("external", "pitch_diameter_min_mm", 0.3287);
    inches("external", "pitch_diameter_max_mm", 0.3331);
    inches("external", "major_max_mm", 0.3737);
    inches("internal", "minor_min_mm", 0.307);
    inches("internal", "minor_max_mm", 0.321);
    inches("internal", "pitch_diameter_min_mm", 0.3344);
    inches("internal", "pitch_diameter_max_mm", 0.3401);
    close(
        &answer["stress_area_mm2"],
        0.0775 * 645.16,
        0.000_051 * 645.16,
    );
}

#[test]
fn limits_of_m10_match_the_standard() {
    // ISO 965-2, M10 in 6H and 6g; d, d2 of the screw also in the worked example at
    // obliczenia.icad.pl/gwinty/metryczne (M10-6g: d 9.968/9.732, d2 8.994/8.862).
    let answer = json(&thread(&["M10", "--json"]));
    assert_eq!(answer["threads_per_inch"], Value::Null);
    assert_eq!(
        (&answer["internal"]["class"], &answer["external"]["class"]),
        (&json!("6H"), &json!("6g"))
    );
    for (of, key, wanted) in [
        ("external", "major_max_mm", 9.968),
        ("external", "major_min_mm", 9.732),
        ("external", "pitch_diameter_max_mm", 8.994),
        ("external", "pitch_diameter_min_mm", 8.862),
        ("internal", "minor_min_mm", 8.376),
        ("internal", "minor_max_mm", 8.676),
        ("internal", "pitch_diameter_min_mm", 9.026),
        ("internal", "pitch_diameter_max_mm", 9.206),
    ] {
        close(&answer[of][key], wanted, 0.000_6);
    }
}

#[test]
fn other_class_is_shown_if_named() {
    let answer = json(&thread(&["3/8-16", "--class", "3B", "--json"]));
    assert_eq!(
        (&answer["internal"]["class"], &answer["external"]["class"]),
        (&json!("3B"), &json!("2A"))
    );
    // FED-STD-H28/2B and ASME B1.1: pitch diameter of 3/8-16 UNC-3B at most 0.3387 in.
    close(
        &answer["internal"]["pitch_diameter_max_mm"],
        0.3387 * 25.4,
        0.000_051 * 25.4,
    );
    let screw = json(&thread(&["3/8-16", "--class", "3A", "--json"]));
    assert_eq!(
        (&screw["internal"]["class"], &screw["external"]["class"]),
        (&json!("2B"), &json!("3A"))
    );
}

#[test]
fn text_is_in_the_named_unit() {
    let inches = stdout(&thread(&["3/8-16", "--unit", "in"]));
    assert!(
        inches.contains(" .3401 in") && !inches.contains("8.639 mm"),
        "{inches}"
    );
    let metric = stdout(&thread(&["3/8-16", "--unit", "mm"]));
    assert!(
        metric.contains("8.639 mm") && metric.contains("5/16"),
        "{metric}"
    );
    // By default a metric thread is in millimeters.
    assert!(stdout(&thread(&["M10"])).contains("9.206 mm"));
}

#[test]
fn british_and_pipe_threads_are_shown_without_class() {
    let half = stdout(&thread(&["1/2 Whitworth"]));
    assert!(
        half.contains("1/2-12 BSW") && half.contains("basic size") && half.contains("55 degrees"),
        "{half}"
    );
    let pipe = stdout(&thread(&["G 1/2", "--unit", "mm"]));
    assert!(
        pipe.contains("20.955 mm") && pipe.contains("Caution:") && !pipe.contains("Stress area"),
        "{pipe}"
    );
    let json = json(&thread(&["3/8-24 NF-3B LH", "--json"]));
    assert_eq!(json["designation"], "3/8-24 UNF LH");
    assert_eq!(json["internal"]["class"], "3B");
    assert!(json["notes"][0].as_str().unwrap().contains("today UNF"));
    let twelve = error_sentence(&thread(&["1/2-12"]));
    assert!(twelve.contains("1/2-12 BSW"), "{twelve}");
}

#[test]
fn unknown_thread_gets_one_sentence_with_the_nearest() {
    let nearest = error_sentence(&thread(&["3/8-17"]));
    assert!(
        nearest.contains("3/8-17") && nearest.contains("3/8-16 UNC"),
        "{nearest}"
    );
    let metric = error_sentence(&thread(&["M11x7", "--json"]));
    assert!(metric.contains("M10"), "{metric}");
    for wrong in [
        "",
        "0",
        "0-16",
        "NaN",
        "inf-16",
        "-3/8-16",
        "3/0-16",
        "3/8-0",
        "M0",
        "M-10",
        "bolt",
        "999999999999-16",
        "\u{1b}[2J",
    ] {
        let text = error_sentence(&thread(&["--", wrong]));
        assert!(!text.contains('\u{1b}'), "{text}");
    }
}

#[test]
fn class_that_the_thread_lacks_is_rejected() {
    let text = error_sentence(&thread(&["3/8-16", "--class", "6H"]));
    assert!(text.contains("2B"), "{text}");
    error_sentence(&thread(&["3/8-16", "--class", "9Z"]));
}

#[test]
fn wrong_usage_exits_with_status_2() {
    for args in [
        &[] as &[&str],
        &["3/8-16", "--unit", "furlong"],
        &["3/8-16", "--class"],
        &["3/8-16", "--nonsense"],
    ] {
        let output = thread(args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(output.stdout.is_empty() && !output.stderr.is_empty());
    }
}

#[test]
fn closed_output_pipe_is_not_an_error() {
    let home = tempfile::tempdir().unwrap();
    let mut child = program(home.path())
        .args(["thread", "3/8-16"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(
        output.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

/// A shell splits a designation at its spaces; the program joins it again.
#[test]
fn designation_of_several_words_needs_no_quotes() {
    for args in [&["1/2", "BSW"][..], &["3/8-16", "UNC", "LH"], &["G", "1/2"]] {
        let split = stdout(&thread(args));
        assert_eq!(split, stdout(&thread(&[&args.join(" ")])));
    }
}
