//! Lengths, drills and depths as they stand on the screens, in the reader's unit.

use holebook_core::drill::Drill;
use holebook_core::length::{Length, Unit};
use holebook_core::strength::POUND_FORCE_N;
use maud::{Markup, html};

/// A drill by its own name, its diameter beside it.
pub fn drill(drill: &Drill, unit: Unit) -> String {
    let diameter = drill.diameter.show(unit);
    let name = drill.name.to_string();
    if name == diameter {
        name
    } else {
        format!("{name} ({diameter})")
    }
}

/// A depth from the face of today, and from the finished face.
pub fn now_and_after(now: Option<Length>, after: Length, unit: Unit) -> Markup {
    html! {
        @match now {
            Some(now) => { b { (together(now, unit)) } " now" }
            None => { "not known now: the face cut is not decided" }
        }
        ", " b { (together(after, unit)) } " from the finished face"
    }
}

/// A length whose unit never stands on a line of its own.
fn together(length: Length, unit: Unit) -> String {
    length.show(unit).replace(' ', "\u{a0}")
}

/// A number of a check in the reader's unit; `unit_word` is the check's own.
pub fn measure(value: f64, unit_word: &str, unit: Unit) -> String {
    match (unit_word, Length::from_mm(value)) {
        ("mm", Ok(length)) => length.show(unit),
        ("N", _) => force(value, unit),
        ("", _) => format!("{value:.2}"),
        _ => format!("{value:.2} {unit_word}"),
    }
}

/// A force: pounds-force beside inches, kilonewtons beside millimetres.
pub fn force(newtons: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{:.0} lbf", newtons / POUND_FORCE_N),
        Unit::Millimetre => format!("{:.1} kN", newtons / 1000.0),
    }
}
