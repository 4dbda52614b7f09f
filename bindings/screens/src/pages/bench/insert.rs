//! The inserts that give a thread.

use super::Bench;
use crate::form::{Form, Refusal};
use crate::lengths::drill;
use crate::words::sentence_case;
use holebook_core::insert::Insert;
use holebook_core::length::{Length, Unit};
use maud::{Markup, html};
use std::sync::Arc;

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields { (bench.thread_field(form)) } }
}

pub fn answer(bench: &Bench) -> Result<Markup, Refusal> {
    let thread = bench.thread()?;
    let inserts = bench.catalogue.inserts_for(&thread);
    if inserts.is_empty() {
        return Ok(html! { section.leaf { h2 { (thread.designation()) }
        p { "No insert for this thread is kept here. The tables name key-locking inserts between No. 2 and 3/4 in; "
            "a shop can add its own from the card in hand." } } });
    }
    Ok(html! {
        @for group in groups(&inserts) { (leaf(&group, bench.unit)) }
        p.caution { b { "Care. " } "The card that came with the insert in hand decides over these numbers. Wipe oil out of a blind hole before "
            "anything is screwed in: trapped fluid can burst the boss." }
    })
}

/// The lengths of one kind, which share their hole.
fn groups(inserts: &[Arc<Insert>]) -> Vec<Vec<&Insert>> {
    let mut groups: Vec<Vec<&Insert>> = Vec::new();
    for insert in inserts {
        let same = |group: &&mut Vec<&Insert>| {
            let first = group[0];
            first.family == insert.family
                && first.outside == insert.outside
                && first.source == insert.source
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(insert),
            None => groups.push(vec![insert]),
        }
    }
    groups
}

fn leaf(group: &[&Insert], unit: Unit) -> Markup {
    let first = group[0];
    html! {
        section.leaf {
            h2 { (sentence_case(&first.family.to_string())) }
            dl.facts {
                dt { "Drill" } dd { (drill(&first.drill, unit)) }
                dt { "Hole before tapping" } dd { (span(first.hole_min, first.hole_max, unit)) }
                dt { "Tap" } dd { (first.tap) }
                @if let Some(countersink) = first.countersink {
                    dt { "Countersink" } dd { (span(countersink.min, countersink.max, unit)) }
                }
                dt { "Top below the face" } dd { (span(first.set_below_min, first.set_below_max, unit)) }
                @if first.keys > 0 { dt { "Keys" } dd { (first.keys) } }
                @if first.tang { dt { "Tang" } dd { "to be broken off" } }
            }
            table {
                thead { tr { th { "Length" } th.number { "Full thread at least" } } }
                tbody { @for insert in group { tr {
                    th scope="row" { (insert.length.show(unit)) }
                    td.number { (insert.full_thread_min.show(unit)) }
                } } }
            }
            details { summary { "What to know beside the numbers" }
                ul { @for note in &first.notes { li { (note) } } } }
            p.source { (sentence_case(&first.source)) "." }
        }
    }
}

fn span(least: Length, most: Length, unit: Unit) -> String {
    let (least, most) = (least.show(unit), most.show(unit));
    if least == most {
        most
    } else {
        format!("{least} to {most}")
    }
}
