//! Tests of parsing and formatting designations.

use super::super::*;
use super::thread;
use proptest::prelude::*;

fn refusal(text: &str) -> String {
    Thread::parse(text).unwrap_err().to_string()
}

#[test]
fn a_thread_can_be_written_in_many_ways() {
    let three_eighths = thread("3/8-16 UNC");
    for text in [
        "3/8-16",
        "3/8 - 16 unc",
        "0.375-16",
        ".375-16",
        "3/8 UNC",
        "3/8\"-16",
        "3/8-16 tpi",
        "3/8-16UNC",
    ] {
        assert_eq!(thread(text), three_eighths, "{text}");
    }
    for text in ["#10-24", "10-24", "No. 10-24", ".190-24 UNC"] {
        assert_eq!(thread(text).designation(), "10-24 UNC", "{text}");
    }
    for text in ["M10", "m10x1.5", "M10 x 1.5", "M10×1,5", "M10-1.5"] {
        assert_eq!(thread(text).designation(), "M10x1.5", "{text}");
    }
    assert_eq!(thread("1-1/8-12").designation(), "1-1/8-12 UNF");
    assert_eq!(thread("1 1/8-12").designation(), "1-1/8-12 UNF");
    assert_eq!(thread("1-8").designation(), "1-8 UNC");
    assert_eq!(thread("1-64").nominal(), Length::from_fraction(73, 1000));
    assert_eq!(thread("11/16-11").designation(), "11/16-11 NS");
    assert_eq!(thread(".438-14").designation(), "7/16-14 UNC");
}

#[test]
fn an_unknown_thread_suggests_the_nearest() {
    let error = refusal("3/8-17");
    assert!(error.contains("3/8-16 UNC, 3/8-24 UNF"), "{error}");
    let error = refusal("M11");
    assert!(
        error.contains("M10x1.5") && error.contains("M12x1.75"),
        "{error}"
    );
    let error = refusal("M10x1.3");
    assert!(error.contains("M10x1.5"), "{error}");
    let error = refusal("3/8");
    assert!(
        ["3/8-16 UNC", "3/8-24 UNF", "3/8-16 BSW", "3/8-20 BSF"]
            .iter()
            .all(|one| error.contains(one)),
        "{error}"
    );
    for text in [
        "",
        "0-0",
        "-3/8-16",
        "NaN-16",
        "3/8-0",
        "3/8--16",
        "M",
        "M0",
        "M-10",
        "M10x0",
        "x",
        "3/8-16 XYZ",
        "∞",
    ] {
        assert!(Thread::parse(text).is_err(), "{text}");
    }
}

#[test]
fn unicode_fractions_are_parsed() {
    for (text, plain) in [("⅜-16", "3/8-16"), ("1⅛-7 UNC", "1-1/8-7 UNC")] {
        assert_eq!(thread(text), thread(plain));
    }
}

#[test]
fn half_threads_are_parsed_and_formatted() {
    for text in ["2-4.5 UNC", "2-4 1/2 UNC", "2-4-1/2", "2-4½ UNC"] {
        assert_eq!(thread(text).designation(), "2-4.5 UNC", "{text}");
    }
    for text in [
        "1-1/4-11.5 NPT",
        "1-1/4 - 11 1/2 NPT",
        "1 1/4-11-1/2 NPT",
        "1-1/4 NPT",
    ] {
        assert_eq!(thread(text).designation(), "1-1/4-11.5 NPT", "{text}");
    }
    let json = serde_json::to_value(thread("2-4.5").threads_per_inch()).unwrap();
    assert_eq!(json, serde_json::json!(4.5));
    let json = serde_json::to_value(thread("3/8-16").threads_per_inch()).unwrap();
    assert_eq!(json, serde_json::json!(16));
}

#[test]
fn a_left_hand_thread_differs_only_in_its_hand() {
    for text in [
        "3/8-16 UNC LH",
        "3/8-16 LH",
        "3/8-16-LH",
        "3/8 UNC left hand",
        "3/8-16 UNC-2B-LH",
        "3/8-16 UNC LH-2B",
    ] {
        let left = thread(text);
        assert_eq!(left.designation(), "3/8-16 UNC LH", "{text}");
        assert_eq!(left.hand(), Hand::Left);
        assert_eq!(left.with_hand(Hand::Right), thread("3/8-16"));
        assert_eq!(left.usual_internal(), thread("3/8-16").usual_internal());
    }
    assert_eq!(thread("M10x1.5 LH").designation(), "M10x1.5 LH");
    assert_eq!(thread("G 1/2 LH").designation(), "G 1/2 LH");
    assert_eq!(thread("3/8-16 RH"), thread("3/8-16"));
}

#[test]
fn a_class_after_the_thread_is_parsed() {
    for (text, designation, class) in [
        ("3/8-16 UNC-2B", "3/8-16 UNC", "2B"),
        ("3/8-16 UNC 3a", "3/8-16 UNC", "3A"),
        ("3/8-16-2B", "3/8-16 UNC", "2B"),
        ("M10x1.5-6H", "M10x1.5", "6H"),
        ("M10-6g", "M10x1.5", "6g"),
        ("M10 - 4h", "M10x1.5", "4h"),
    ] {
        let written = ParsedThread::parse(text).unwrap();
        assert_eq!(written.thread.designation(), designation, "{text}");
        assert_eq!(written.class.unwrap().to_string(), class, "{text}");
    }
    assert_eq!(ParsedThread::parse("M10-1.5").unwrap().class, None);
    assert!(refusal("M10-2B").contains("6H"));
    assert!(refusal("M10-9Z").contains("tolerance class"));
    assert!(refusal("1/2-12 BSW-2B").contains("basic sizes"));
    assert!(refusal("10-24-1B").contains("no class 1B"));
}

#[test]
fn whitworth_and_pipe_threads_have_many_names() {
    for text in [
        "1/2-12 BSW",
        "1/2 BSW",
        "W 1/2",
        "W1/2",
        "1/2 Whitworth",
        "Whitworth 1/2",
        "BSW 1/2",
        ".5-12 bsw",
    ] {
        assert_eq!(thread(text).designation(), "1/2-12 BSW", "{text}");
    }
    for text in [
        "G 1/2",
        "g1/2",
        "BSP 1/2",
        "1/2 BSPP",
        "1/2-14 BSP",
        "Rp 1/2",
    ] {
        assert_eq!(thread(text).designation(), "G 1/2", "{text}");
    }
    for text in ["R 1/2", "Rc 1/2", "rc1/2", "1/2 BSPT", "BSPT 1/2"] {
        assert_eq!(thread(text).designation(), "R 1/2", "{text}");
    }
    assert_eq!(thread("1/2 NPT"), thread("1/2-14 NPT"));
    assert_eq!(thread("3/8 BSF").designation(), "3/8-20 BSF");
    assert_eq!(thread("2 BSW").designation(), "2-4.5 BSW");
    assert_eq!(thread("G 1/2").nominal().nm(), 20_955_000);
    assert!(refusal("G 5").contains("G 2"));
}

#[test]
fn older_names_map_to_current_series() {
    for (text, today, name) in [
        ("3/8-16 USS", "3/8-16 UNC", OldName::Uss),
        ("3/8 SAE", "3/8-24 UNF", OldName::Sae),
        ("3/8-16 NC", "3/8-16 UNC", OldName::NationalCoarse),
        ("3/8-24 NF-2B", "3/8-24 UNF", OldName::NationalFine),
        ("1-14 NF", "1-14 UNS", OldName::NationalFine),
        ("11/16-16 SAE", "11/16-16 UN", OldName::Sae),
        ("1/2-28 NEF", "1/2-28 UNEF", OldName::NationalExtraFine),
        ("BSP 3/4", "G 3/4", OldName::Bsp),
    ] {
        let written = ParsedThread::parse(text).unwrap();
        assert_eq!(written.thread.designation(), today, "{text}");
        assert_eq!(written.old_name, Some(name), "{text}");
    }
    assert_eq!(ParsedThread::parse("3/8-16 UNC").unwrap().old_name, None);
    // Fine threads of 1 in had 14 threads in one list and 12 in the other.
    assert!(refusal("1.000 NF").contains("1-12 UNF, 1-14 UNS"));
    assert!(refusal("1/2-12 USS").contains("1/2-13 UNC"));
}

#[test]
fn half_inch_twelve_is_ambiguous() {
    let error = refusal("1/2-12");
    assert!(
        error.contains("1/2-12 BSW") && error.contains("UNS"),
        "{error}"
    );
}

#[test]
fn uns_specials_are_computed() {
    for (text, designation) in [
        ("1/2-12 UNS", "1/2-12 UNS"),
        ("2.500-28 UNS", "2-1/2-28 UNS"),
        (".391-27 UNS", "25/64-27 UNS"),
        (".420-20 UNS", ".42-20 UNS"),
        ("#10-40 UNS", ".19-40 UNS"),
        ("1-14 UNS", "1-14 UNS"),
    ] {
        assert_eq!(thread(text).designation(), designation, "{text}");
    }
    assert!(refusal("3/8-16 UNS").contains("3/8-16 UNC"));
    for absurd in ["1/2-2 UNS", "4.000-80 UNS", "9-8 UNS", ".01-80 UNS"] {
        assert!(Thread::parse(absurd).is_err(), "{absurd}");
    }
    assert!(standard_threads().all(|t| t.designation() != "1/2-12 UNS"));
}

proptest! {
    #[test]
    fn no_text_makes_the_parser_panic(text in "\\PC{0,30}") {
        if let Ok(t) = Thread::parse(&text) {
            prop_assert_eq!(thread(&t.designation()), t);
        }
    }

    #[test]
    fn near_designations_never_panic(
        text in "(G|W|R|BSP|NPT|m|M|#)?[ ]?[0-9/.-]{1,8}[- x]?[0-9.]{0,4}( 1/2)? ?(UNC|unf|UNS|BSW|NPT|SAE)?( LH|-2B|-6H)?"
    ) {
        if let Ok(t) = Thread::parse(&text) {
            prop_assert_eq!(thread(&t.designation()), t);
        }
    }

    #[test]
    fn specials_parse_from_their_designation(size_nm in 1_524_000_i64..152_400_000, halves in 8_u32..160, left in any::<bool>()) {
        let size = Length::from_nm(size_nm).inches();
        let text = format!("{size:.4}-{} UNS{}", f64::from(halves) / 2.0, if left { " LH" } else { "" });
        if let Ok(t) = Thread::parse(&text) {
            prop_assert_eq!(thread(&t.designation()), t);
            prop_assert!(t.usual_internal().minor_min.is_positive());
            prop_assert!(t.usual_external().pitch_diameter_min < t.usual_external().pitch_diameter_max);
        }
    }
}
