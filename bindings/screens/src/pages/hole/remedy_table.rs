//! The remedies side by side in one short table, each linked to its card.

use super::remedy_card::{title, verdict_mark};
use crate::labels::verdict;
use holebook_core::hole::remedies::{Assessment, Verdict};
use holebook_core::length::Unit;
use maud::{Markup, html};

/// Id of a remedy's card.
pub fn card_id(index: usize) -> String {
    format!("remedy-{}", index + 1)
}

/// Remedy, verdict, drill, tap and strength, least invasive first; without those that do not fit.
pub fn table(assessments: &[Assessment], unit: Unit) -> Markup {
    let fitting = assessments.iter().enumerate();
    let fitting = fitting.filter(|(_, assessment)| assessment.verdict != Verdict::DoesNotFit);
    html! {
        table.remedy-table {
            caption { "Strength is a percentage of the load that breaks the bolt." }
            thead { tr { th { "Remedy" } th.number { "Strength" } } }
            tbody { @for (index, assessment) in fitting { (row(index, assessment, unit)) } }
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

/// A percentage of the bolt's strength if its grade is known, else of a sound hole's.
fn strength(assessment: &Assessment) -> Markup {
    let of_sound = || Some(assessment.parent_strength_n? / assessment.sound_strength_n?);
    html! {
        @if let Some(ratio) = assessment.strength_ratio {
            b { (format!("{:.0}%", ratio * 100.0)) }
        } @else if let Some(share) = of_sound() {
            b { (format!("{:.0}%", share * 100.0)) } br; "of sound"
        } @else { "?" span.visually-hidden { " unknown" } }
    }
}
