//! `holebook identify`: readings of a caliper and a pitch gauge.

use crate::common::{error_sentence, has_keys, json, run, stdout};

fn identify(args: &[&str]) -> std::process::Output {
    let home = tempfile::tempdir().unwrap();
    run(home.path(), &[&["identify"], args].concat())
}

#[test]
fn json_has_the_promised_keys_and_the_right_thread_first() {
    // ASME B1.1: a 7/16-14 UNC-2A screw measures .4258 to .4361 in across its crests, 10.815 to
    // 11.077 mm.
    let answer = json(&identify(&[
        "--outside",
        "11.05mm",
        "--pitch",
        "14tpi",
        "--json",
    ]));
    for row in answer.as_array().unwrap() {
        has_keys(
            row,
            &[
                "designation",
                "series",
                "misfit_mm",
                "pitch_misfit_mm",
                "within_limits",
                "note",
                "match_level",
                "told_apart_by",
            ],
        );
    }
    assert_eq!(answer[0]["designation"], "7/16-14 UNC");
    assert_eq!(answer[0]["within_limits"], true);
    // 25.4 mm / 14 = 1.814 mm: the same screw read with a metric gauge.
    let metric = json(&identify(&[
        "--outside",
        "11.05mm",
        "--pitch",
        "1.8mm",
        "--json",
    ]));
    assert_eq!(metric[0]["designation"], "7/16-14 UNC");
}

#[test]
fn bore_is_compared_with_the_limits_of_a_hole() {
    // FED-STD-H28/2B table II.A.1: minor diameter of 3/8-16 UNC-2B .307 to .321 in.
    let answer = json(&identify(&[
        "--inside", ".315", "--pitch", "16tpi", "--json",
    ]));
    assert_eq!(answer[0]["designation"], "3/8-16 UNC");
}

#[test]
fn text_has_the_notes() {
    let text = stdout(&identify(&["--outside", "11.05 mm"]));
    assert!(text.contains("No pitch measured"), "{text}");
    assert!(stdout(&identify(&["--outside", "170mm"])).contains("No known thread"));
}

#[test]
fn ambiguous_readings_are_not_guessed() {
    let both = stdout(&identify(&["--outside", "9.45mm", "--pitch", "16tpi"]));
    assert!(both.contains("2 threads match these readings."), "{both}");
    assert!(
        both.contains("3/8-16 BSW") && both.contains("flank angle"),
        "{both}"
    );
    let named = stdout(&identify(&["--outside", "9.85mm", "--pitch", "15mm/10"]));
    assert!(named.contains("This is M10x1.5"), "{named}");
    let rows = json(&identify(&[
        "--outside",
        "9.85mm",
        "--pitch",
        "15mm/10",
        "--json",
    ]));
    assert_eq!(rows[0]["match_level"], "only_match");
    assert_eq!(rows[1]["match_level"], "unlikely");
    // The same readings with the larger tolerances of a rule leave more than one.
    let rough = stdout(&identify(&[
        "--outside",
        "9.7mm",
        "--pitch",
        "15.5mm/10",
        "--error",
        "0.5mm",
        "--pitch-error",
        "0.1mm",
    ]));
    assert!(
        rough.contains("M10x1.5")
            && rough.contains("3/8-16 UNC")
            && rough.contains("3 threads match"),
        "{rough}"
    );
}

#[test]
fn impossible_readings_get_one_sentence() {
    let text = error_sentence(&identify(&["--outside", "11.05"]));
    assert!(
        text.contains("11.05 in") && text.contains("11.05 mm"),
        "both readings are named: {text}"
    );
    for wrong in [
        "0mm",
        "NaN",
        "inf",
        "-5mm",
        "1e9mm",
        "999999mm",
        "mm",
        "",
        "3/0",
        "12 furlongs",
    ] {
        let arg = format!("--outside={wrong}");
        error_sentence(&identify(&[&arg]));
    }
    for wrong in [
        "14", "18mm/0", "18/10", "0tpi", "-14tpi", "NaNtpi", "coarse", "", "0mm", "1e99mm",
    ] {
        let arg = format!("--pitch={wrong}");
        error_sentence(&identify(&["--outside=11.05mm", &arg]));
    }
}

#[test]
fn wrong_usage_exits_with_status_2() {
    for args in [
        &[] as &[&str],
        &["--pitch", "14tpi"],
        &["--outside", "1in", "--inside", "1in"],
    ] {
        assert_eq!(identify(args).status.code(), Some(2), "{args:?}");
    }
}
