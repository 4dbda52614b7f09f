//! A thread: its limits, drills for tapping, and what bolts of it hold.

use super::{Bench, Tool, choices, limits};
use crate::form::{Form, Refusal};
use crate::words::sentence_case;
use holebook_core::drill::{choices as nearest, tapped_hole, usual_drawer};
use holebook_core::length::Unit;
use holebook_core::thread::report::report;
use maud::{Markup, html};

const CLASS: &str = "Class";

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields {
        (bench.thread_field(form))
        (form.text("class", CLASS, None, "3B, 3A, 4H; left empty: the usual"))
        (bench.drawer_field(form))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, Refusal> {
    let thread = bench.thread()?;
    let report = report(thread, bench.asked.field("class"))
        .map_err(|error| Refusal::of(CLASS, error).at("class"))?;
    let drills = nearest(
        &tapped_hole(&thread, None),
        bench.drawer(usual_drawer(&thread))?,
    );
    let unit = bench.unit;
    let pitch = match report.threads_per_inch {
        Some(threads) => format!("{threads} threads per inch ({:.4} mm)", report.pitch_mm),
        None => format!("{} mm", report.pitch_mm),
    };
    Ok(html! {
        section.leaf {
            h2 { (report.designation) }
            dl.facts {
                dt { "Nominal size" } dd { (report.major_mm.show(unit)) }
                dt { "Pitch" } dd { (pitch) }
                @if let Some(area) = report.stress_area_mm2 { dt { "Stress area" } dd { (area_words(area, unit)) } }
            }
            h3 { "Limits" }
            (limits::table(&report, unit))
            @for note in &report.notes { p { (note) } }
            @for caution in &report.cautions { p.caution { b { "Care. " } (caution) } }
            p.source { (sentence_case(report.source)) "." }
        }
        section.leaf {
            h2 { "Drill for tapping" }
            (choices::table(&drills, unit))
            (choices::caution())
        }
        @if !thread.is_pipe() {
            section.leaf {
                h2 { "Bolts of this thread" }
                (limits::bolts(&thread, unit))
                p.caution { b { "Care. " } "In old iron the hole strips before a strong bolt breaks. " a href=(Tool::Hold.path()) { "What holds" }
                    " says how much thread it takes. The machine's manual gives the torque." }
            }
        }
    })
}

fn area_words(area_mm2: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{:.4} sq in", area_mm2 / (25.4 * 25.4)),
        Unit::Millimetre => format!("{area_mm2:.1} mm²"),
    }
}
