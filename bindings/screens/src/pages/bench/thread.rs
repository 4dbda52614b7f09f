//! A thread: its limits, tap drills, and the strength of its bolts.

use super::{Bench, Tool, drill_table, thread_tables};
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::{sentence, sources, without_source_tags};
use holebook_core::drill::{drill_choices as nearest, usual_drills};
use holebook_core::insert::holes_for;
use holebook_core::length::{in_unit, show_area};
use holebook_core::thread::report::report;
use maud::{Markup, html};

const CLASS: &str = "Class";

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields {
        (bench.thread_field(form))
        (form.text(Field::Class, CLASS, None, "3B, 3A, 4H; blank = usual class"))
        (bench.drill_kinds_field(form))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let thread = bench.thread()?;
    let report = report(thread, bench.asked.field(Field::Class))
        .map_err(|error| FormError::of(Field::Class, CLASS, error))?;
    // The first hole is the tapped one.
    let holes = holes_for(&bench.catalog, &thread, None);
    let drills = nearest(&holes[0], bench.drill_kinds(usual_drills(&thread))?);
    let unit = bench.unit;
    let (label, size) = report.size_line(unit);
    let pitch = match report.threads_per_inch {
        Some(threads) => format!("{threads} TPI"),
        None => format!("{} mm", report.pitch_mm),
    };
    Ok(html! {
        section.panel {
            h2 { (report.designation) }
            dl.facts {
                dt { (label) } dd { (size) }
                dt { "Pitch" } dd { (pitch) }
                @if let Some(area) = report.stress_area_mm2 { dt { "Stress area" } dd { (show_area(area, unit)) } }
            }
            h3 { "Limits" }
            (thread_tables::table(&report, unit))
            @for note in &report.notes { p { (in_unit(&without_source_tags(note), unit)) } }
            @for caution in &report.cautions { p.caution { b { "Caution: " } (sentence(&in_unit(caution, unit))) } }
            (sources([report.source.to_owned()]))
        }
        section.panel {
            h2 { "Tap drill" }
            @if let Some(warning) = report.tap_drill.warning(unit) { p { (warning) } }
            (drill_table::table(&drills, unit))
            (drill_table::caution())
        }
        @if thread.takes_bolt() {
            section.panel {
                h2 { "Bolts of this thread" }
                (thread_tables::bolts(&thread, unit))
                p.caution { b { "Caution: " } "In old iron the hole strips before a strong bolt breaks. " a href=(Tool::Strength.path()) { "Strength and torque" }
                    " shows how much thread it takes. Use the torque in the machine's manual." }
            }
        }
    })
}
