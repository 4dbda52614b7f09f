//! `holebook insert`, its figures against the sheets they come from and its errors for bad input.

use crate::common::{error_sentence, has_keys, json, run, stdout};
use serde_json::{Value, json};

fn insert(args: &[&str]) -> std::process::Output {
    let home = tempfile::tempdir().unwrap();
    run(home.path(), &[&["insert"], args].concat())
}

fn of_family<'a>(answer: &'a Value, family: &str) -> Vec<&'a Value> {
    let rows = answer.as_array().unwrap().iter();
    rows.filter(|row| row["family"] == family).collect()
}

#[test]
fn json_has_the_promised_keys() {
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
fn thin_wall_insert_for_three_eighths_matches_its_sheet() {
    // MS51830E (1992): 3/8-16 internal, 1/2-13 outside, four keys, tap drill 29/64; countersink
    // .510 to .520 in.
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
fn wire_thread_insert_comes_in_five_lengths() {
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
fn text_has_names_units_and_sources() {
    let text = stdout(&insert(&["3/8-16"]));
    for wanted in ["29/64 (.453)", "1/2-13 UNC", ".510-.520 in", "MS51830E"] {
        assert!(text.contains(wanted), "{wanted} is not in\n{text}");
    }
    assert!(stdout(&insert(&["3/8-16", "--unit", "mm"])).contains("29/64 (11.51)"));
}

#[test]
fn unknown_thread_gets_one_sentence() {
    assert!(error_sentence(&insert(&["3/8-17"])).contains("3/8-16"));
    error_sentence(&insert(&["NaN"]));
    error_sentence(&insert(&["3/8-17", "--json"]));
}

/// An invented insert file: thin wall, 3/8-16, longer than the standard's.
const INSERT_FILE: &str = "unit = \"in\"\n[[insert]]\nfamily = \"key-locking insert, thin wall\"\ninternal = [\"3/8-16\"]\noutside = \"1/2-13\"\n\
                    length = 0.625\nhole = [0.452, 0.457]\nset_below = [0.01, 0.03]\nkeys = 4\nsource = \"the sheet in the box\"\n";

#[test]
fn own_inserts_are_added_and_removed() {
    let home = tempfile::tempdir().unwrap();
    let (notebook, file) = (
        home.path().join("notebook"),
        home.path().join("drawer.toml"),
    );
    std::fs::write(&file, INSERT_FILE).unwrap();
    let (notebook, file) = (notebook.to_str().unwrap(), file.to_str().unwrap());
    let at = |args: &[&str]| run(home.path(), &[args, &["--notebook", notebook]].concat());
    let thin = || {
        of_family(
            &json(&at(&["insert", "3/8-16", "--json"])),
            "key-locking insert, thin wall",
        )
        .len()
    };

    assert!(stdout(&at(&["insert", "--check", file])).contains("1 row, all valid"));
    assert!(error_sentence(&at(&["insert", "--add", file])).contains("no notebook"));
    holebook_core::notebook::Notebook::open(std::path::Path::new(notebook)).unwrap();
    assert_eq!(thin(), 1);
    let added = json(&at(&["insert", "--add", file, "--json"]));
    has_keys(&added, &["file", "rows", "entry"]);
    assert_eq!(thin(), 2);
    let text = stdout(&at(&["insert", "3/8-16"]));
    assert!(text.contains("from the shop's file drawer.toml"), "{text}");
    assert!(stdout(&at(&["insert"])).contains("drawer.toml"));
    stdout(&at(&["insert", "--remove", "drawer.toml"]));
    assert_eq!(thin(), 1);
    assert!(error_sentence(&at(&["insert", "--remove", "drawer.toml"])).contains("drawer.toml"));
}

#[test]
fn own_inserts_are_among_the_remedies() {
    let home = tempfile::tempdir().unwrap();
    let notebook = home.path().join("notebook");
    let opened = holebook_core::notebook::Notebook::open(&notebook).unwrap();
    opened.add_inserts("drawer.toml", INSERT_FILE).unwrap();
    let hole = home.path().join("hole.json");
    std::fs::write(
        &hole,
        json!({"thread": "3/8-16", "depth_mm": 32.0}).to_string(),
    )
    .unwrap();
    let args = ["remedies", "--hole", hole.to_str().unwrap(), "--json"];
    let lengths = |answer: &Value| -> Vec<Value> {
        let rows = of_family(answer, "key-locking insert, thin wall");
        rows.iter().map(|row| row["length_mm"].clone()).collect()
    };
    let named = [&args[..], &["--notebook", notebook.to_str().unwrap()]].concat();
    assert!(lengths(&json(&run(home.path(), &named))).contains(&json!(15.875)));
    assert!(!lengths(&json(&run(home.path(), &args))).contains(&json!(15.875)));
}

#[test]
fn invalid_file_is_reported_with_its_line() {
    let home = tempfile::tempdir().unwrap();
    let file = home.path().join("drawer.toml");
    let check = |text: &[u8]| {
        std::fs::write(&file, text).unwrap();
        error_sentence(&run(
            home.path(),
            &["insert", "--check", file.to_str().unwrap()],
        ))
    };
    assert!(check(INSERT_FILE.replace("1/2-13", "1/2-99").as_bytes()).contains("line 5"));
    assert!(check(INSERT_FILE.replace("0.625", "nan").as_bytes()).contains("line 6"));
    assert!(check(b"\xff\xfe").contains("UTF-8"));
    assert!(check(&b"#".repeat(300_000)).contains("split it"));
    std::fs::remove_file(&file).unwrap();
    error_sentence(&run(
        home.path(),
        &["insert", "--check", file.to_str().unwrap()],
    ));
}

#[test]
fn text_lines_have_at_most_a_hundred_columns() {
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
            for line in stdout(&insert(&[thread, "--unit", unit])).lines() {
                assert!(line.chars().count() <= 100, "{thread} {unit}: {line}");
            }
        }
    }
}
