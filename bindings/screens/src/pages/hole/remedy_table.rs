//! The remedies side by side in one short table, each linked to its card.

use super::remedy_card::{percent_down, title, verdict_mark};
use crate::labels::verdict;
use holebook_core::hole::remedies::Assessment;
use holebook_core::length::Unit;
use maud::{Markup, html};

/// Id of a remedy's card.
pub fn card_id(index: usize) -> String {
    format!("remedy-{}", index + 1)
}

/// Remedy, verdict, drill, tap and strength of those that fit, each with its place in the list of all.
pub fn table(fitting: &[(usize, &Assessment)], unit: Unit) -> Markup {
    html! {
        table.remedy-table {
            caption { "Strength is a percentage of what a sound hole for this bolt in the same metal holds." }
            thead { tr { th { "Remedy" } th.number { "Strength" } } }
            tbody { @for (index, assessment) in fitting { (row(*index, assessment, unit)) } }
        }
    }
}

fn row(index: usize, assessment: &Assessment, unit: Unit) -> Markup {
    html! {
        tr {
            th scope="row" {
                a href=(format!("#{}", card_id(index))) { (title(assessment, unit)) }
                span { b { (verdict_mark(assessment.verdict)) " " (verdict(assessment.verdict)) }
                    @if let Some(drill) = &assessment.drill { ", drill " (drill.show(unit)) }
                    @if let Some(outside) = &assessment.outside_thread { ", tap " (outside) } }
            }
            td.number { (strength(assessment)) }
        }
    }
}

/// A percentage of a sound hole's strength, rounded down to the safe side.
fn strength(assessment: &Assessment) -> Markup {
    html! {
        @if let Some(ratio) = assessment.sound_ratio {
            b { (percent_down(ratio)) }
        } @else { "?" span.visually-hidden { " unknown" } }
    }
}
