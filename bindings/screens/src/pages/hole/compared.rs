//! The ways side by side in one short table, each a step from its card.

use super::way::{title, verdict_mark};
use crate::words::verdict;
use holebook_core::hole::remedies::{Assessment, Verdict};
use holebook_core::length::Unit;
use maud::{Markup, html};

/// The id of a way's card.
pub fn place_of(place: usize) -> String {
    format!("way-{}", place + 1)
}

/// Remedy, verdict, drill and tap, and what it holds, the least that fits first. Ways that do not fit stand further down.
pub fn table(ways: &[Assessment], unit: Unit) -> Markup {
    let fitting = ways.iter().enumerate();
    let fitting = fitting.filter(|(_, way)| way.verdict != Verdict::DoesNotFit);
    html! {
        table.compared {
            caption { "In short: what each holds, of what breaks the bolt" }
            thead { tr { th { "Way" } th.number { "Holds" } } }
            tbody { @for (place, way) in fitting { (row(place, way, unit)) } }
        }
    }
}

fn row(place: usize, way: &Assessment, unit: Unit) -> Markup {
    html! {
        tr {
            th scope="row" {
                a href=(format!("#{}", place_of(place))) { (title(way, unit)) }
                span { b { (verdict_mark(way.verdict)) " " (verdict(way.verdict)) }
                    @if let Some(with) = &way.drill { ", drill " (with.name) }
                    @if let Some(outside) = &way.outside_thread { ", tap " (outside) } }
            }
            td.number { (holds(way)) }
        }
    }
}

/// A share of the bolt where its grade is known, else of a sound hole.
fn holds(way: &Assessment) -> Markup {
    let of_sound = || Some(way.parent_strength_n? / way.sound_strength_n?);
    html! {
        @if let Some(ratio) = way.strength_ratio {
            b { (format!("{:.0} %", ratio * 100.0)) }
        } @else if let Some(share) = of_sound() {
            b { (format!("{:.0} %", share * 100.0)) } br; "of sound"
        } @else { "?" span.hidden { " not known" } }
    }
}
