//! `holebook insert`, its figures against the sheets they come from and its words against bad input.

#![allow(clippy::unwrap_used)]

mod common;

use common::{has_keys, json, run, said, sentence};
use serde_json::{Value, json};

fn insert(words: &[&str]) -> std::process::Output {
    let home = tempfile::tempdir().unwrap();
    run(home.path(), &[&["insert"], words].concat())
}

fn of_family<'a>(answer: &'a Value, family: &str) -> Vec<&'a Value> {
    let rows = answer.as_array().unwrap().iter();
    rows.filter(|row| row["family"] == family).collect()
}

#[test]
fn the_json_has_the_promised_keys() {
    let answer = json(&insert(&["3/8-16", "--json"]));
    for row in answer.as_array().unwrap() {
        for key in [
            "family",
            "outside_thread",
            "drill",
            "tap",
            "countersink_mm",
            "set_below_mm",
            "length_mm",
            "keys",
            "source",
        ] {
            assert!(row.get(key).is_some(), "{key}");
        }
        has_keys(&row["drill"], &["name", "diameter_mm"]);
        has_keys(&row["countersink_mm"], &["min", "max"]);
        has_keys(&row["set_below_mm"], &["min", "max"]);
    }
}

#[test]
fn a_thin_wall_insert_for_three_eighths_is_that_of_its_sheet() {
    // MS51830E (1992): 3/8-16 internal, 1/2-13 outside, four keys, tap drill 29/64; countersink .510 to .520 in.
    let answer = json(&insert(&["3/8-16", "--json"]));
    let rows = of_family(&answer, "key-locking insert, thin wall");
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0]["outside_thread"], "1/2-13 UNC");
    assert_eq!(rows[0]["drill"]["name"], "29/64");
    assert_eq!(rows[0]["keys"], 4);
    assert_eq!(
        rows[0]["countersink_mm"],
        json!({"min": 12.954, "max": 13.208})
    );
}

#[test]
fn a_wire_thread_insert_comes_in_five_lengths() {
    // Nominal lengths of 1, 1-1/2, 2, 2-1/2 and 3 diameters, as ASME B18.29.1 has them.
    let answer = json(&insert(&["1/2-13", "--json"]));
    let rows = of_family(&answer, "wire thread insert");
    let lengths: Vec<_> = rows.iter().map(|row| &row["length_mm"]).collect();
    assert_eq!(lengths, [12.7, 19.05, 25.4, 31.75, 38.1]);
    assert!(
        rows.iter()
            .all(|row| row["outside_thread"] == "1/2-13 STI" && row["keys"] == 0)
    );
}

#[test]
fn people_see_names_units_and_sources() {
    let words = said(&insert(&["3/8-16"]));
    for wanted in [
        "29/64 (0.4531 in)",
        "1/2-13 UNC",
        "0.510 to 0.520 in",
        "MS51830E",
    ] {
        assert!(words.contains(wanted), "{wanted} is not in\n{words}");
    }
    assert!(said(&insert(&["3/8-16", "--unit", "mm"])).contains("29/64 (11.51 mm)"));
}

#[test]
fn what_is_no_thread_gets_one_sentence() {
    assert!(sentence(&insert(&["3/8-17"])).contains("3/8-16"));
    sentence(&insert(&["NaN"]));
    sentence(&insert(&["3/8-17", "--json"]));
}
