//! The numbered badge of a hole: a ring of ticks, one for each stage, filled once reached, and the
//! tag of its condition in the gap of the ring.
//!
//! A broken ring means a conflict. A stage that does not apply to the remedy has no tick. A hole that
//! nobody looked at has no tag.

use crate::condition_tag::condition_tag;
use holebook_core::hole::condition::Condition;
use holebook_core::hole::record::Remedy;
use holebook_core::hole::stage::Stage;
use maud::{Markup, html};
use std::f64::consts::TAU;

/// What a badge shows.
#[derive(Debug, Clone, Copy)]
pub struct Badge {
    /// The hole's number.
    pub number: u32,
    /// Its condition, if a first look is recorded.
    pub condition: Option<Condition>,
    /// Its stage.
    pub stage: Stage,
    /// Its remedy, if one is chosen.
    pub remedy: Option<Remedy>,
    /// Whether its entries conflict.
    pub conflict: bool,
}

/// Stages that a remedy has, without the one that every hole starts in.
pub fn stages(remedy: Option<Remedy>) -> impl Iterator<Item = Stage> {
    let path = Stage::path(remedy).iter().copied();
    path.filter(|stage| *stage != Stage::NotMeasured)
}

/// A badge within text; hidden from screen readers, since the text next to it says the same.
pub fn hole_badge(badge: Badge, large: bool) -> Markup {
    html! {
        svg.badge.large[large] viewBox="-50 -50 100 100" aria-hidden="true" focusable="false" {
            (badge_body(badge))
        }
    }
}

/// The drawing within a box of 100 units round its center, for use inside another drawing.
pub fn badge_body(badge: Badge) -> Markup {
    // Each stage keeps its place on the ring, so that badges compare at a glance.
    let places = Stage::ALL.len() - 1;
    html! {
        circle.disc.conflict[badge.conflict] cx="0" cy="0" r="33" {}
        @for stage in stages(badge.remedy) {
            @if let Some(place) = Stage::ALL.iter().skip(1).position(|it| *it == stage) {
                path.tick.reached[badge.stage >= stage] d=(arc(place, places)) {}
            }
        }
        text x="0" y="13" { (badge.number) }
        @if let Some(condition) = badge.condition {
            g transform=(format!("translate({TAG_AT} {TAG_AT})")) { (condition_tag(condition)) }
        }
    }
}

/// Where the tag of the condition is: at the lower right, across and down.
const TAG_AT: f64 = 32.0;

/// The arc of one of `places` ticks, clockwise from the bottom to the right, with a gap to its
/// neighbors. The tag has the rest of the ring.
fn arc(place: usize, places: usize) -> String {
    const RADIUS: f64 = 43.0;
    const GAP: f64 = 0.09;
    /// Where the ring starts, clockwise from the top, and how far it goes.
    const START: f64 = 0.48 * TAU;
    const SPAN: f64 = 0.79 * TAU;
    let share = SPAN / places as f64;
    let point = |angle: f64| (RADIUS * angle.sin(), -RADIUS * angle.cos());
    let (x1, y1) = point(START + share * place as f64 + GAP);
    let (x2, y2) = point(START + share * (place + 1) as f64 - GAP);
    format!("M{x1:.2} {y1:.2}A{RADIUS} {RADIUS} 0 0 1 {x2:.2} {y2:.2}")
}
