//! The inserts for a thread.

use super::Bench;
use crate::form::{Form, FormError};
use crate::labels::{sentence_case, sources, without_source_tags};
use holebook_core::insert::Insert;
use holebook_core::length::{Rounding, Unit, in_unit, show_range};
use maud::{Markup, html};
use std::sync::Arc;

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields { (bench.thread_field(form)) } }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let thread = bench.thread()?;
    let inserts = bench.catalog.inserts_for(&thread);
    if inserts.is_empty() {
        return Ok(html! { section.panel { h2 { (thread.designation()) }
        p { "No insert on file for this thread. The tables have key-locking inserts from No. 2 to 3/4 in; "
            "add your own from the insert maker's sheet." } } });
    }
    Ok(html! {
        @for group in groups(&inserts) { (section(&group, bench.unit)) }
        p.caution { b { "Caution: " } "The insert maker's sheet overrides these numbers. Wipe oil out of a blind hole before "
            "you screw anything in: trapped fluid can burst the boss." }
    })
}

/// Groups the lengths of one kind, which share their hole.
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

fn section(group: &[&Insert], unit: Unit) -> Markup {
    let first = group[0];
    let tagged = first
        .notes
        .iter()
        .filter(|note| without_source_tags(note) != **note)
        .map(|note| in_unit(note, unit));
    html! {
        section.panel {
            h2 { (sentence_case(&first.family.to_string())) }
            dl.facts {
                dt { "Drill" } dd { (first.drill.show(unit)) }
                dt { "Hole before tapping" } dd { (show_range(first.hole_min, first.hole_max, unit)) }
                dt { "Tap" } dd { (first.tap) }
                @if let Some(countersink) = first.countersink {
                    dt { "Countersink" } dd { (show_range(countersink.min, countersink.max, unit)) }
                }
                dt { "Top below face" } dd { (show_range(first.set_below_min, first.set_below_max, unit)) }
                @if first.keys > 0 { dt { "Keys" } dd { (first.keys) } }
                @if first.tang { dt { "Tang" } dd { "break it off" } }
            }
            table {
                thead { tr { th { "Length" } th.number { "Full thread, min" } } }
                tbody { @for insert in group { tr {
                    th scope="row" { (insert.show_length(unit)) }
                    td.number { (insert.full_thread_min.rounded(unit, Rounding::Up)) }
                } } }
            }
            details { summary { "Notes" }
                ul { @for note in &first.notes { li { (in_unit(&without_source_tags(note), unit)) } } } }
            (sources(std::iter::once(first.source.to_string()).chain(tagged)))
        }
    }
}
