//! The tag of a condition: its letter in a shape of its own, so that it is read without color.
//!
//! A sound hole and one to look at later have an open shape; every other condition has a filled one.
//! The shapes are this notebook's own.

use holebook_core::hole::condition::Condition;
use maud::{Markup, html};
use std::f64::consts::TAU;

/// The tag as a picture within text; hidden from screen readers, since the text beside it says the
/// same.
pub fn condition_icon(condition: Condition) -> Markup {
    html! {
        svg.tag-icon viewBox="-30 -30 60 60" aria-hidden="true" focusable="false" {
            (condition_tag(condition))
        }
    }
}

/// The tag around the origin, at most 27 units from it, for use inside another drawing.
pub fn condition_tag(condition: Condition) -> Markup {
    let open = matches!(condition, Condition::Sound | Condition::Unknown);
    html! {
        g.tag.open[open].later[condition == Condition::Unknown] {
            (shape(condition))
            path.letter data-letter=(condition.letter()) d=(letter(condition)) {}
        }
    }
}

fn shape(condition: Condition) -> Markup {
    let path = match condition {
        Condition::Sound | Condition::Unknown => {
            return html! { circle.shape r="22" {} };
        }
        Condition::OffCenter => {
            return html! {
                circle.shape cx="16" cy="-16" r="10" {}
                circle.shape r="20" {}
            };
        }
        Condition::Welded => star(),
        Condition::Loose => "M-20-20H20V20H-20Z".to_owned(),
        Condition::NotSquare => "M-13-20H27L13 20H-27Z".to_owned(),
        Condition::BrokenBolt => "M-25 0L-13-21H13L25 0L13 21H-13Z".to_owned(),
        Condition::BrokenTool => "M0-27L24-8V21H-24V-8Z".to_owned(),
        Condition::Crater => "M-25-17H25C25 12 13 25 0 25S-25 12-25-17Z".to_owned(),
    };
    html! { path.shape d=(path) {} }
}

/// The letter as strokes, so that it looks the same in every font, and is no text beside the hole's
/// number: screen readers get the condition by name.
const fn letter(condition: Condition) -> &'static str {
    match condition {
        Condition::Sound => "M7-7C4-10-7-11-7-5.5C-7 1 7-1 7 5.5C7 11-4 10-7 7",
        Condition::Loose => "M-6-10V10H7",
        Condition::NotSquare => "M-7 10V-10L7 10V-10",
        Condition::BrokenBolt => "M-6-10V10H1C9 10 9-.5 1-.5H-6M1-.5C7-.5 7-10 1-10H-6",
        Condition::BrokenTool => "M-8-8H8M0-8V12",
        Condition::OffCenter => "M0-10C10-10 10 10 0 10S-10-10 0-10Z",
        Condition::Crater => "M8-8C3-13-8-11-8-2S3 9 8 4",
        Condition::Welded => "M-11-9L-6 9L0-5L6 9L11-9",
        Condition::Unknown => "M-6-6C-6-13 7-13 6-5C5 0 0 0 0 5M0 10.5V11",
    }
}

/// A star of ten points.
fn star() -> String {
    const POINTS: u32 = 20;
    let point = |at: u32| {
        let radius = if at.is_multiple_of(2) { 27.0 } else { 20.0 };
        let angle = TAU * f64::from(at) / f64::from(POINTS);
        format!("{:.1} {:.1}", radius * angle.sin(), -radius * angle.cos())
    };
    let points: Vec<String> = (0..POINTS).map(point).collect();
    format!("M{}Z", points.join("L"))
}
