//! The numbered plate that stands for a hole: ticks round its edge, one filled for every stage the hole
//! has reached; a broken edge means that its entries disagree.

use holebook_core::hole::state::State;
use maud::{Markup, html};
use std::f64::consts::TAU;

/// The stages that have a tick, in the order the work goes.
pub const STAGES: [State; 6] = [
    State::Read,
    State::Planned,
    State::Cut,
    State::DryFitted,
    State::Set,
    State::Proved,
];

/// A plate to stand in text: an SVG of its own, hidden from screen readers since the words stand beside it.
pub fn plate(number: u32, state: State, in_question: bool, large: bool) -> Markup {
    html! {
        svg.plate.large[large] viewBox="-50 -50 100 100" aria-hidden="true" focusable="false" {
            (plate_body(number, state, in_question))
        }
    }
}

/// The plate's drawing within a box of 100 units round its centre, for use inside another drawing.
pub fn plate_body(number: u32, state: State, in_question: bool) -> Markup {
    html! {
        circle.disc.broken[in_question] cx="0" cy="0" r="33" {}
        @for (place, stage) in STAGES.iter().enumerate() {
            path.tick.reached[state >= *stage] d=(arc(place)) {}
        }
        text x="0" y="13" { (number) }
    }
}

/// The arc of the tick at `place`, clockwise from the top, with a gap to its neighbours.
fn arc(place: usize) -> String {
    const RADIUS: f64 = 43.0;
    const GAP: f64 = 0.12;
    let share = TAU / STAGES.len() as f64;
    let point = |angle: f64| (RADIUS * angle.sin(), -RADIUS * angle.cos());
    let (x1, y1) = point(share * place as f64 + GAP);
    let (x2, y2) = point(share * (place + 1) as f64 - GAP);
    format!("M{x1:.2} {y1:.2}A{RADIUS} {RADIUS} 0 0 1 {x2:.2} {y2:.2}")
}
