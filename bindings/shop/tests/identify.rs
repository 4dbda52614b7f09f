//! `holebook identify`: readings of a caliper and a pitch gauge.

#![allow(clippy::unwrap_used)]

mod common;

use common::{has_keys, json, run, said, sentence};

fn identify(words: &[&str]) -> std::process::Output {
    let home = tempfile::tempdir().unwrap();
    run(home.path(), &[&["identify"], words].concat())
}

#[test]
fn the_json_has_the_promised_keys_and_the_right_thread_first() {
    // ASME B1.1: a 7/16-14 UNC-2A screw measures .4258 to .4361 in across its crests, 10.815 to 11.077 mm.
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
                "standing",
                "told_by",
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
fn a_bore_is_judged_by_the_limits_of_a_hole() {
    // FED-STD-H28/2B table II.A.1: minor diameter of 3/8-16 UNC-2B .307 to .321 in.
    let answer = json(&identify(&[
        "--inside", ".315", "--pitch", "16tpi", "--json",
    ]));
    assert_eq!(answer[0]["designation"], "3/8-16 UNC");
}

#[test]
fn people_see_why_to_beware() {
    assert!(
        said(&identify(&["--outside", "11.05 mm"])).contains("no pitch was measured")
            || said(&identify(&["--outside", "11.05 mm"])).contains("No pitch was measured")
    );
    assert!(said(&identify(&["--outside", "170mm"])).contains("No thread kept here"));
}

#[test]
fn what_cannot_be_told_apart_is_not_guessed() {
    let both = said(&identify(&["--outside", "9.45mm", "--pitch", "16tpi"]));
    assert!(both.contains("cannot tell"), "{both}");
    assert!(
        both.contains("3/8-16 BSW") && both.contains("flank angle"),
        "{both}"
    );
    let told = said(&identify(&["--outside", "9.85mm", "--pitch", "15mm/10"]));
    assert!(told.contains("It is M10x1.5"), "{told}");
    let rows = json(&identify(&[
        "--outside",
        "9.85mm",
        "--pitch",
        "15mm/10",
        "--json",
    ]));
    assert_eq!(rows[0]["standing"], "told");
    assert_eq!(rows[1]["standing"], "unlikely");
    // The same readings by a rule that may be off by a millimetre leave more than one.
    let rough = said(&identify(&[
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
        rough.contains("M10x1.5") && rough.contains("3/8-16 UNC") && rough.contains("cannot tell"),
        "{rough}"
    );
}

#[test]
fn readings_that_cannot_be_get_one_sentence() {
    let words = sentence(&identify(&["--outside", "11.05"]));
    assert!(
        words.contains("11.05 in") && words.contains("11.05 mm"),
        "both readings are named: {words}"
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
        sentence(&identify(&[&arg]));
    }
    for wrong in [
        "14", "18mm/0", "18/10", "0tpi", "-14tpi", "NaNtpi", "coarse", "", "0mm", "1e99mm",
    ] {
        let arg = format!("--pitch={wrong}");
        sentence(&identify(&["--outside=11.05mm", &arg]));
    }
}

#[test]
fn wrong_usage_has_its_own_status() {
    for words in [
        &[] as &[&str],
        &["--pitch", "14tpi"],
        &["--outside", "1in", "--inside", "1in"],
    ] {
        assert_eq!(identify(words).status.code(), Some(2), "{words:?}");
    }
}
