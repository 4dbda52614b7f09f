//! The nearest drills for one hole, as a table.

use crate::labels::sources;
use holebook_core::drill::{DrillChoice, DrillChoices, SizeCheck};
use holebook_core::length::{Length, Rounding, Unit, in_unit, show_limits};
use maud::{Markup, html};

/// The target diameter with its limits, and the nearest drills.
pub fn table(found: &DrillChoices, unit: Unit) -> Markup {
    let wanted = &found.hole;
    let best = found.best().map(|choice| choice.drill);
    let tapped = wanted.depth.is_some();
    html! {
        p { "Target " b { (wanted.aim.show_limit(unit)) } (limits(wanted.least, wanted.largest, unit)) }
        div.scroll tabindex="0" role="region" aria-label=(format!("Drills, {}", wanted.job)) { table {
            thead { tr {
                th { "Drill" } @if tapped { th.number { "Thread" } } th.number { "Typical hole" }
            } }
            tbody { @for choice in found.iter() { (row(choice, best == Some(choice.drill), tapped, unit)) } }
        } }
        @if let Some(why) = found.no_fit_advice(unit) {
            p { b { (why) } }
        }
        p.faint { "Drills considered: " (found.kinds.name()) "." }
        (sources([in_unit(&wanted.source, unit)]))
    }
}

fn row(choice: &DrillChoice, best: bool, tapped: bool, unit: Unit) -> Markup {
    html! {
        tr {
            th scope="row" { (choice.drill.show(unit)) span.verdict-line { (size_label(choice)) @if best { ", best" } } }
            @if tapped { td.number { (percent(choice.thread_percent)) } }
            td.number {
                @if let Some(cuts) = choice.cuts {
                    (cuts.rounded(unit, Rounding::Nearest))
                    @if tapped { br; (percent(choice.cut_percent)) }
                } @else { "not tested" }
            }
        }
    }
}

fn percent(percent: Option<f64>) -> String {
    percent.map_or_else(String::new, |percent| format!("{percent:.0}%"))
}

/// Whether the drill is within the limits, with a symbol for the eye.
fn size_label(choice: &DrillChoice) -> String {
    let cuts_within = choice
        .cut_size_check
        .is_none_or(|cut| cut == choice.size_check);
    match choice.size_check {
        SizeCheck::Within if cuts_within => "● OK".to_owned(),
        SizeCheck::Within => "◐ OK; may cut oversize".to_owned(),
        SizeCheck::TooSmall | SizeCheck::TooLarge => format!("✗ {}", choice.size_check),
        SizeCheck::NoLimits => "no limits".to_owned(),
    }
}

fn limits(least: Option<Length>, largest: Option<Length>, unit: Unit) -> String {
    match (least, largest) {
        (Some(least), Some(largest)) => {
            format!(", limits {}", show_limits(least, largest, unit))
        }
        (Some(least), None) => format!(", at least {}", least.show_limit(unit)),
        (None, Some(largest)) => format!(", at most {}", largest.show_limit(unit)),
        (None, None) => String::new(),
    }
}

/// The caution for every table of drills.
pub fn caution() -> Markup {
    html! {
        p.caution { b { "Caution: " } "Drills cut oversize. Try yours on scrap and measure the hole. Clamp the casting; wear eye protection." }
        (sources(["Typical hole: mean of tests in iron and steel, FED-STD-H28/2B Table II.A.1".to_owned()]))
    }
}
