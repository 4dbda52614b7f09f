//! A keypad of our own for numbers, large enough for gloves. The page's script shows it and keeps the
//! phone's keyboard away; without the script, fields are typed into as usual.

use holebook_core::length::Unit;
use maud::{Markup, html};

/// The keypad's script with its address.
pub const SCRIPT: (&str, &str) = ("/keypad.js", include_str!("../../../../assets/keypad.js"));

/// What is typed with the keypad.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keys {
    /// Lengths.
    Length,
    /// A thread's name.
    Thread,
}

/// Fractions that a rule and a drill drawer have.
const FRACTIONS: [&str; 8] = ["1/16", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];

/// The keypad for the fields of the form that it is in.
pub fn keypad(keys: Keys, unit: Unit) -> Markup {
    let other = match unit {
        Unit::Inch => "mm",
        Unit::Millimeter => "in",
    };
    let rows: [[&str; 4]; 4] = match keys {
        Keys::Length => [
            ["7", "8", "9", "/"],
            ["4", "5", "6", "."],
            ["1", "2", "3", " "],
            ["-", "0", other, BACK],
        ],
        Keys::Thread => [
            ["7", "8", "9", "/"],
            ["4", "5", "6", "-"],
            ["1", "2", "3", "M"],
            [".", "0", " ", BACK],
        ],
    };
    html! {
        div.keypad hidden role="group" aria-label="Keypad" {
            @if keys == Keys::Length && unit == Unit::Inch {
                @for fraction in FRACTIONS { button.fraction type="button" data-fraction=(fraction) { (fraction) } }
            }
            @for key in rows.into_iter().flatten() { (button(key)) }
        }
    }
}

const BACK: &str = "back";

fn button(key: &str) -> Markup {
    html! {
        @match key {
            BACK => button type="button" data-back aria-label="Delete last character" { "⌫" },
            " " => button type="button" data-key=" " aria-label="Space" { "␣" },
            "in" | "mm" => button type="button" data-unit=(key) { (key) },
            key => button type="button" data-key=(key) { (key) },
        }
    }
}
