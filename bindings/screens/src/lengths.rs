//! Lengths, depths and numbers of checks in the reader's unit.

use holebook_core::length::{Length, Rounding, Unit};
use holebook_core::strength::show_load;
use maud::{Markup, html};

pub use holebook_core::labels::no_break;

/// A depth to cut to, from the face as is and from the finished face, rounded to the safe side.
pub fn depth_pair(
    as_is: Option<Length>,
    finished: Length,
    rounding: Rounding,
    unit: Unit,
) -> Markup {
    let depth = |length: Length| no_break(&length.rounded(unit, rounding));
    html! {
        @match as_is {
            Some(as_is) => { b { (depth(as_is)) } " face as is" }
            None => { "face as is: unknown until the face cut is planned" }
        }
        ", " b { (depth(finished)) } " finished face"
    }
}

/// A number of a check in the reader's unit; `check_unit` is the unit that the check states it in.
pub fn check_value(value: f64, check_unit: &str, unit: Unit) -> String {
    match (check_unit, Length::from_mm(value)) {
        ("mm", Ok(length)) => length.rounded(unit, Rounding::Nearest),
        ("N", _) => show_load(value, unit),
        ("", _) => short(value),
        _ => format!("{} {check_unit}", short(value)),
    }
}

/// Two decimals at most, without trailing zeros.
fn short(value: f64) -> String {
    let shown = format!("{value:.2}");
    shown.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A limit in the reader's unit, without the unit, rounded up.
pub fn limit(mm: f64, unit: Unit) -> String {
    Length::from_mm(mm).map_or_else(
        |_| "unknown".to_owned(),
        |it| it.rounded_number(unit, Rounding::Up),
    )
}

/// A coordinate in the reader's unit, without the unit.
pub fn number(mm: f64, unit: Unit) -> String {
    Length::from_mm(mm).map_or_else(
        |_| "unknown".to_owned(),
        |it| it.rounded_number(unit, Rounding::Nearest),
    )
}

/// A length in the reader's unit.
pub fn length(mm: f64, unit: Unit, rounding: Rounding) -> String {
    Length::from_mm(mm).map_or_else(|_| "unknown".to_owned(), |it| it.rounded(unit, rounding))
}
