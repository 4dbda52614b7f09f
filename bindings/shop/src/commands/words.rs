//! Words and figures that several commands say alike.

use holebook_core::hole::record::Work;
use holebook_core::hole::remedies::Check;
use holebook_core::length::{Length, Unit};
use holebook_core::strength::POUND_FORCE_N;

/// A remedy with the insert or thread it takes.
pub fn work(work: &Work, unit: Unit) -> String {
    let mut words = match work.family {
        Some(family) => family.to_string(),
        None => work.remedy.to_string(),
    };
    if let Some(outside) = &work.outside_thread {
        words.push_str(&format!(", {outside}"));
    }
    if let Some(length) = work.length {
        words.push_str(&format!(", {} long", length.show(unit)));
    }
    words
}

/// A load.
pub fn load(load_n: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{:.0} lbf", load_n / POUND_FORCE_N),
        Unit::Millimetre => format!("{load_n:.0} N"),
    }
}

/// A length, or that it is not known.
pub fn length(length: Option<Length>, unit: Unit) -> String {
    length.map_or_else(|| "not known".into(), |length| length.show(unit))
}

/// What a check that does not pass says, with both numbers in the reader's unit; `None` where it passes.
pub fn failed(check: &Check, unit: Unit) -> Option<String> {
    match (check.passes, check.lacks) {
        (Some(true), _) => None,
        (None, Some(lack)) => Some(format!("{}: not known; say {lack}", check.check)),
        (None, None) => Some(format!("{}: not known", check.check)),
        (Some(false), _) => {
            let (has, needs) = (
                figure(check.has, check.unit, unit),
                figure(check.needs, check.unit, unit),
            );
            let at = if check.passes_as_read {
                " at the worst of the readings"
            } else {
                ""
            };
            Some(format!(
                "{}: {has}{at}; {}: {}",
                check.check,
                check.limit(&needs),
                check.limit_from
            ))
        }
    }
}

fn figure(value: Option<f64>, of: &str, unit: Unit) -> String {
    let Some(value) = value else {
        return "an unknown figure".into();
    };
    match of {
        "mm" => Length::from_mm(value)
            .map_or_else(|_| format!("{value} mm"), |length| length.show(unit)),
        "N" => load(value, unit),
        "" => format!("{value:.2}"),
        other => format!("{value:.2} {other}"),
    }
}
