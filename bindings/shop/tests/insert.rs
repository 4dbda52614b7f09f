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

/// An invented card: thin wall, 3/8-16, longer than the standard's.
const CARD: &str = "unit = \"in\"\n[[insert]]\nfamily = \"key-locking insert, thin wall\"\ninternal = [\"3/8-16\"]\noutside = \"1/2-13\"\n\
                    length = 0.625\nhole = [0.452, 0.457]\nset_below = [0.01, 0.03]\nkeys = 4\nsource = \"card in the box\"\n";

#[test]
fn a_shop_adds_its_own_and_takes_them_out_again() {
    let home = tempfile::tempdir().unwrap();
    let (notebook, file) = (
        home.path().join("notebook"),
        home.path().join("drawer.toml"),
    );
    std::fs::write(&file, CARD).unwrap();
    let (notebook, file) = (notebook.to_str().unwrap(), file.to_str().unwrap());
    let at = |words: &[&str]| run(home.path(), &[words, &["--notebook", notebook]].concat());
    let thin = || {
        of_family(
            &json(&at(&["insert", "3/8-16", "--json"])),
            "key-locking insert, thin wall",
        )
        .len()
    };

    assert!(said(&at(&["insert", "--check", file])).contains("1 row, all in order"));
    assert!(sentence(&at(&["insert", "--add", file])).contains("no notebook"));
    holebook_core::notebook::Notebook::open(std::path::Path::new(notebook)).unwrap();
    assert_eq!(thin(), 1);
    let added = json(&at(&["insert", "--add", file, "--json"]));
    has_keys(&added, &["file", "rows", "entry"]);
    assert_eq!(thin(), 2);
    let words = said(&at(&["insert", "3/8-16"]));
    assert!(words.contains("in the shop's file drawer.toml"), "{words}");
    assert!(said(&at(&["insert"])).contains("drawer.toml"));
    said(&at(&["insert", "--remove", "drawer.toml"]));
    assert_eq!(thin(), 1);
    assert!(sentence(&at(&["insert", "--remove", "drawer.toml"])).contains("drawer.toml"));
}

#[test]
fn the_shops_own_are_among_the_remedies() {
    let home = tempfile::tempdir().unwrap();
    let notebook = home.path().join("notebook");
    let kept = holebook_core::notebook::Notebook::open(&notebook).unwrap();
    kept.add_inserts("drawer.toml", CARD).unwrap();
    let hole = home.path().join("hole.json");
    std::fs::write(
        &hole,
        json!({"thread": "3/8-16", "depth_mm": 32.0}).to_string(),
    )
    .unwrap();
    let words = ["remedies", "--hole", hole.to_str().unwrap(), "--json"];
    let lengths = |answer: &Value| -> Vec<Value> {
        let rows = of_family(answer, "key-locking insert, thin wall");
        rows.iter().map(|row| row["length_mm"].clone()).collect()
    };
    let named = [&words[..], &["--notebook", notebook.to_str().unwrap()]].concat();
    assert!(lengths(&json(&run(home.path(), &named))).contains(&json!(15.875)));
    assert!(!lengths(&json(&run(home.path(), &words))).contains(&json!(15.875)));
}

#[test]
fn a_wrong_file_is_named_with_its_line() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("drawer.toml");
    let check = |text: &[u8]| {
        std::fs::write(&file, text).unwrap();
        sentence(&run(
            home.path(),
            &["insert", "--check", file.to_str().unwrap()],
        ))
    };
    assert!(check(CARD.replace("1/2-13", "1/2-99").as_bytes()).contains("line 5"));
    assert!(check(CARD.replace("0.625", "nan").as_bytes()).contains("line 6"));
    assert!(check(b"\xff\xfe").contains("UTF-8"));
    assert!(check(&b"#".repeat(300_000)).contains("split it"));
    std::fs::remove_file(&file).unwrap();
    sentence(&run(
        home.path(),
        &["insert", "--check", file.to_str().unwrap()],
    ));
}

#[test]
fn no_line_for_people_is_longer_than_a_hundred_columns() {
    for thread in [
        "8-32",
        "3/8-16",
        "3/4-10",
        "M10",
        "M20",
        "1/2-12 BSW",
        "5/8-13 UNS",
        "M10x1.25",
    ] {
        for unit in ["in", "mm"] {
            for line in said(&insert(&[thread, "--unit", unit])).lines() {
                assert!(line.chars().count() <= 100, "{thread} {unit}: {line}");
            }
        }
    }
}
