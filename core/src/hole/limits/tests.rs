#![allow(clippy::unwrap_used)]

use super::*;

#[test]
fn every_limit_is_within_its_range_and_has_a_reason() {
    Limits::STANDARD.validate().unwrap();
    for info in Limits::ALL {
        assert_eq!(info.value(&Limits::STANDARD), info.standard, "{}", info.key);
        assert!(
            info.reason.len() > 8 && !info.reason.ends_with('.'),
            "{}",
            info.key
        );
        assert!(info.label.starts_with(char::is_uppercase), "{}", info.key);
    }
}

#[test]
fn only_changes_are_written_and_they_are_read_back() {
    assert_eq!(serde_json::to_string(&Limits::STANDARD).unwrap(), "{}");
    let mut limits = Limits::STANDARD;
    limits.set("wall_mm", 2.5).unwrap();
    let text = serde_json::to_string(&limits).unwrap();
    assert_eq!(text, r#"{"wall_mm":2.5}"#);
    assert_eq!(serde_json::from_str::<Limits>(&text).unwrap(), limits);
    assert_eq!(Limits::from_json(&text).unwrap(), limits);
    let changed: Vec<_> = limits
        .changed()
        .iter()
        .map(|(info, value)| (info.key, *value))
        .collect();
    assert_eq!(changed, [("wall_mm", 2.5)]);
}

#[test]
fn unknown_key_is_refused_in_a_file_and_ignored_in_the_journal() {
    let newer = r#"{"wall_mn": 2.5}"#;
    let why = Limits::from_json(newer).unwrap_err().to_string();
    assert!(
        why.contains("`wall_mn`") && why.contains("`wall_mm`"),
        "{why}"
    );
    assert_eq!(
        serde_json::from_str::<Limits>(newer).unwrap(),
        Limits::STANDARD
    );
}

#[test]
fn value_out_of_range_is_refused_with_the_range() {
    let mut limits = Limits::STANDARD;
    let why = limits.set("thread_left_keys", 1.5).unwrap_err().to_string();
    assert!(
        why.contains("thread_left_keys is 1.5") && why.contains("from 0 to 1"),
        "{why}"
    );
    assert!(limits.set("tilt_deg", f64::NAN).is_err());
    assert!(serde_json::from_str::<Limits>(r#"{"pressure_factor": 0.5}"#).is_err());
    assert_eq!(limits, Limits::STANDARD);
}

#[test]
fn stricter_of_two_counts_for_each_limit() {
    let with = |key: &str, value: f64| {
        let mut limits = Limits::STANDARD;
        limits.set(key, value).unwrap();
        limits
    };
    let both = with("wall_mm", 3.0).strictest(&with("tilt_deg", 2.0));
    assert_eq!((both.wall_mm, both.tilt_deg), (3.0, 2.0));
    let looser = with("wall_mm", 1.0).strictest(&with("tilt_deg", 5.0));
    assert_eq!(looser, Limits::STANDARD);
}

/// `core/README.md` lists the limits in one table.
#[test]
fn readme_lists_every_limit_with_its_value_and_reason() {
    let readme = include_str!("../../../README.md");
    let mut table = String::from("| limit | key | standard | reason |\n|---|---|---|---|\n");
    for info in Limits::ALL {
        let value = match info.unit {
            unit if unit.is_length() => format!("{} mm", info.standard),
            _ => info.show(info.standard, Unit::Millimeter),
        };
        table += &format!(
            "| {} | `{}` | {value} | {} |\n",
            info.label, info.key, info.reason
        );
    }
    assert!(
        readme.contains(&table),
        "core/README.md must contain:\n{table}"
    );
}
