//! The nearest drills for one hole, as a table.

use crate::lengths::drill;
use holebook_core::drill::{Choice, Choices, Standing};
use holebook_core::length::{Length, Unit};
use maud::{Markup, html};

/// What is wanted, and the drills on either side of it.
pub fn table(found: &Choices, unit: Unit) -> Markup {
    let wanted = &found.wanted;
    let best = found.best().map(|choice| choice.drill);
    let tapped = wanted.depth.is_some();
    html! {
        p { "Aim " b { (wanted.aim.show(unit)) } (limits(wanted.least, wanted.largest, unit)) }
        div.scroll tabindex="0" role="region" aria-label=(format!("Drills, {}", wanted.job)) { table {
            thead { tr {
                th { "Drill" } @if tapped { th.number { "Thread" } } th.number { "Cuts about" }
            } }
            tbody { @for choice in found.each() { (row(choice, best == Some(choice.drill), tapped, unit)) } }
        } }
        @if let Some(why) = found.why_none() {
            p { b { (why) } }
        }
        p.source { "From " (found.drawer.name()) ". " (crate::words::sentence_case(&wanted.source)) "." }
    }
}

fn row(choice: &Choice, best: bool, tapped: bool, unit: Unit) -> Markup {
    html! {
        tr {
            th scope="row" { (drill(&choice.drill, unit)) span.standing { (standing(choice)) @if best { ", take it" } } }
            @if tapped { td.number { (percent(choice.thread_percent)) } }
            td.number {
                @if let Some(cuts) = choice.cuts {
                    (cuts.show(unit))
                    @if tapped { br; (percent(choice.cut_percent)) }
                } @else { "not tested" }
            }
        }
    }
}

fn percent(percent: Option<f64>) -> String {
    percent.map_or_else(String::new, |percent| format!("{percent:.0} %"))
}

/// A sign beside the words, so that the eye finds it.
fn standing(choice: &Choice) -> String {
    let cuts_within = choice.cut_standing.is_none_or(|cut| cut == choice.standing);
    match choice.standing {
        Standing::Within if cuts_within => "● within".to_owned(),
        Standing::Within => "◐ within, cuts over".to_owned(),
        Standing::TooSmall | Standing::TooLarge => format!("✗ {}", choice.standing),
        Standing::NoLimits => "no limits".to_owned(),
    }
}

fn limits(least: Option<Length>, largest: Option<Length>, unit: Unit) -> String {
    match (least, largest) {
        (Some(least), Some(largest)) => {
            format!(", from {} to {}", least.show(unit), largest.show(unit))
        }
        (Some(least), None) => format!(", at least {}", least.show(unit)),
        (None, Some(largest)) => format!(", at most {}", largest.show(unit)),
        (None, None) => String::new(),
    }
}

/// Belongs to every table of drills.
pub fn caution() -> Markup {
    html! {
        p.caution { b { "Care. " } "A drill cuts over its size; the right column is the mean of tests in iron and steel "
            "(FED-STD-H28/2B Table II.A.1). Try yours on scrap and measure the hole. Clamp the casting, wear eye protection." }
    }
}
