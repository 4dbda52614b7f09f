#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

/// An invented maker's sheet with consistent figures.
const CARD: &str = r#"
unit = "mm"

[common]
family = "key-locking insert, thin wall"
source = "card in the box"

[[insert]]
internal = ["M8"]
outside = "M14"
length = 14.0
hole = [12.8, 12.95]
set_below = [0.25, 0.75]
keys = 4
"#;

fn parse(text: &str) -> Result<InsertFile, FileError> {
    InsertFile::parse("drawer.toml", text)
}

/// The sheet with one piece replaced.
fn with(piece: &str, other: &str) -> String {
    assert!(CARD.contains(piece), "{piece}");
    CARD.replacen(piece, other, 1)
}

fn refusal(text: &str) -> String {
    let error = parse(text).unwrap_err().to_string();
    assert!(error.starts_with("`drawer.toml`, line "), "{error}");
    assert!(!error.contains('\n'), "{error}");
    error
}

#[test]
fn an_insert_file_is_parsed() {
    let file = parse(CARD).unwrap();
    let row = &file.rows[0];
    assert_eq!((file.len(), row.line), (1, 8));
    assert_eq!(row.confidence, Confidence::Card);
    assert_eq!(row.length.mm(), 14.0);
    // No drill is given: the one nearest 12.875 mm is used.
    assert!(row.drill_chosen && row.hole.0 <= row.drill.diameter);
    assert!(row.drill.diameter <= row.hole.1);
    assert_eq!((row.full_thread, row.countersink), (None, None));
}

#[test]
fn a_text_has_its_own_unit() {
    let file = parse(&with("length = 14.0", "length = \"9/16\"")).unwrap();
    assert_eq!(file.rows[0].length, Length::from_fraction(9, 16));
}

#[test]
fn errors_name_the_line() {
    let cases = [
        ("internal = [\"M8\"]", "internal = [\"M8.3\"]", 9, "M8.3"),
        ("internal = [\"M8\"]", "internal = []", 9, "at least one"),
        (
            "internal = [\"M8\"]",
            "internal = [\"M8\", \"M8x1.25\"]",
            9,
            "only once",
        ),
        (
            "internal = [\"M8\"]",
            "internal = [\"M14\"]",
            12,
            "does not fit inside",
        ),
        ("outside = \"M14\"", "outside = \"M14x17\"", 10, "outside"),
        ("length = 14.0", "length = 0", 11, "more than 0"),
        ("length = 14.0", "length = -3.5", 11, "more than 0"),
        ("length = 14.0", "length = nan", 11, "length"),
        ("length = 14.0", "length = 1e300", 11, "length"),
        ("length = 14.0", "length = 4000", 11, "at most"),
        ("length = 14.0", "length = true", 11, "a length is a number"),
        ("length = 14.0", "", 8, "`length` is missing"),
        ("length = 14.0", "lenght = 14.0", 11, "lenght"),
        ("hole = [12.8, 12.95]", "hole = [10.0, 10.2]", 12, "M14"),
        ("hole = [12.8, 12.95]", "hole = [13.8, 14.2]", 12, "M14"),
        (
            "hole = [12.8, 12.95]",
            "hole = [12.95, 12.8]",
            12,
            "smaller number first",
        ),
        (
            "hole = [12.8, 12.95]",
            "hole = [12.8, 12.95]\ndrill = \"13.5 mm\"",
            13,
            "13.5",
        ),
        (
            "hole = [12.8, 12.95]",
            "hole = [12.8, 12.95]\ndrill = \"ZZ\"",
            13,
            "ZZ",
        ),
        (
            "hole = [12.8, 12.95]",
            "hole = [12.81, 12.82]",
            12,
            "no drill",
        ),
        ("keys = 4", "keys = 40", 14, "40 keys"),
        ("keys = 4", "keys = -1", 14, "-1 keys"),
        ("keys = 4", "countersink = [13.0, 14.5]", 14, "smaller than"),
        (
            "keys = 4",
            "countersink = [14.5, 15.0]\ncountersink_angle_deg = [nan, 90]",
            15,
            "degrees",
        ),
        ("keys = 4", "shear_area_mm2 = 1e6", 14, "shear area"),
        ("keys = 4", "shear_area_mm2 = nan", 14, "shear area"),
        (
            "keys = 4",
            "shear_area_mm2 = 90\nshear_area_in2 = 0.2",
            10,
            "twice",
        ),
        ("keys = 4", "confidence = \"sure\"", 14, "sure"),
        ("keys = 4", "full_thread = -1", 14, "full_thread"),
        (
            "source = \"card in the box\"",
            "source = \"\"",
            6,
            "not be empty",
        ),
        (
            "family = \"key-locking insert, thin wall\"",
            "family = \"rivet\"",
            5,
            "rivet",
        ),
        (
            "family = \"key-locking insert, thin wall\"",
            "family = \"wire thread insert\"",
            5,
            "wire_drill",
        ),
        ("unit = \"mm\"", "unit = \"furlong\"", 2, "furlong"),
        ("unit = \"mm\"", "", 11, "has no unit"),
        ("[[insert]]", "[[insert]", 8, "correct this line"),
        ("keys = 4", "keys = 4\nkeys = 4", 15, "duplicate"),
    ];
    for (piece, other, line, reason) in cases {
        let error = refusal(&with(piece, other));
        let position = format!("`drawer.toml`, line {line}: ");
        assert!(
            error.starts_with(&position) && error.contains(reason),
            "{other}: {error}"
        );
    }
}

#[test]
fn an_insert_may_be_listed_only_once() {
    let twice = format!("{CARD}{}", &CARD[CARD.find("[[insert]]").unwrap()..]);
    let error = refusal(&twice);
    assert!(
        error.contains("line 15") && error.contains("on line 8"),
        "{error}"
    );
}

#[test]
fn a_wire_drill_must_be_within_the_hole_limits() {
    let drill = |drill: &str| {
        format!("[[wire_drill]]\nthread = \"3/8-16\"\ndrill = \"{drill}\"\nsource = \"card\"\n")
    };
    assert!(parse(&drill("25/64")).is_ok());
    assert!(refusal(&drill("U")).contains("minor diameter limits"));
    let twice = drill("25/64") + &drill("X");
    assert!(refusal(&twice).contains("already on line 1"));
}

#[test]
fn empty_and_oversized_files_are_refused() {
    assert!(refusal("").contains("no inserts"));
    assert!(refusal(&"#".repeat(MAX_FILE_BYTES + 1)).contains("split it"));
    let row = "[[wire_drill]]\nthread = \"3/8-16\"\ndrill = \"X\"\nsource = \"c\"\n";
    assert!(refusal(&row.repeat(MAX_ROWS + 1)).contains("rows"));
}

proptest! {
    /// A truncated or corrupted file is parsed or refused in one sentence.
    #[test]
    fn corrupted_files_never_panic(cut in 0..CARD.len(), at in 0..CARD.len(), byte in 1u8..127) {
        let _ = parse(&CARD[..cut]);
        let mut other = CARD.as_bytes().to_vec();
        other[at] = byte;
        if let Err(error) = parse(std::str::from_utf8(&other).unwrap()) {
            prop_assert!(!error.to_string().contains('\n'), "{}", error);
        }
    }
}
