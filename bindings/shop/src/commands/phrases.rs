//! Phrases and numbers that several commands share.

use holebook_core::hole::remedies::{Assessment, Check};
use holebook_core::insert::Insert;
use holebook_core::length::{Length, Rounding, Unit, in_unit};

/// Formats the name of a remedy: an insert's family, else the remedy.
pub fn remedy_name(assessment: &Assessment) -> String {
    match assessment.family() {
        Some(family) => family.to_string(),
        None => assessment.remedy.to_string(),
    }
}

/// Formats a remedy with its thread in the casting and its length.
pub fn remedy_label(assessment: &Assessment, unit: Unit) -> String {
    let mut text = remedy_name(assessment);
    if let Some(outside) = &assessment.outside_thread {
        text.push_str(&format!(", {outside}"));
    }
    if let Some(insert) = &assessment.insert {
        let length = insert.show_length(unit);
        let long = if length.contains('D') { "" } else { " long" };
        text.push_str(&format!(", {length}{long}"));
    }
    text
}

/// Formats an insert's length without the set length of a coil: `1-1/2 D`, `.500 in`.
pub fn short_length(insert: &Insert, unit: Unit) -> String {
    let length = insert.show_length(unit);
    length
        .split_once(" (")
        .map_or(length.clone(), |(short, _)| short.to_owned())
}

/// Formats a depth to drill to, rounded up so that the thread is never short, or `unknown`.
pub fn drill_depth(depth: Option<Length>, unit: Unit) -> String {
    depth.map_or_else(
        || "unknown".into(),
        |depth| depth.rounded(unit, Rounding::Up),
    )
}

/// Formats a check that does not pass, with its numbers in the reader's unit; `None` if it passes.
pub fn failed_check(check: &Check, unit: Unit) -> Option<String> {
    let reason = check.reason()?;
    let source = format!(" ({})", check.limit_from);
    let text = match reason.strip_suffix(&source) {
        // The source has parentheses of its own.
        Some(numbers) => format!("{numbers}: {}", check.limit_from),
        None => reason,
    };
    Some(in_unit(&text, unit))
}

/// Formats a computed number of millimeters with `format`, or as `unknown` if it is out of range.
pub fn computed_mm(mm: f64, format: impl Fn(Length) -> String) -> String {
    Length::from_mm(mm).map_or_else(|_| "unknown".into(), format)
}

/// Formats a whole percentage: `77%`.
pub fn percent(percent: f64) -> String {
    format!("{percent:.0}%")
}
