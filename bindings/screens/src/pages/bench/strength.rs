//! What fails first, and the tightening torque.

use super::Bench;
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::{sentence, sentence_case, sources};
use crate::pages::casting::{metal_fields, read_metal};
use crate::pages::hole::wanted_thread::{GRADE, grade_options, read_grade};
use holebook_core::length::{Length, Rounding, Unit, in_unit};
use holebook_core::strength::{
    EngagementNeeded, Lubrication, PreloadLimit, StrengthReport, Torque, TorqueUnit, show_load,
    strength_report,
};
use maud::{Markup, html};

const ENGAGEMENT: &str = "Thread engagement";

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields {
        (bench.thread_field(form))
        (form.select(Field::Bolt, GRADE, None, &grade_options()))
        (metal_fields(form, None))
        (form.length(Field::Engagement, ENGAGEMENT, None, "full thread in sound metal"))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let thread = bench.thread()?;
    let grade = read_grade(&bench.asked)?;
    let metal = read_metal(&bench.asked)?.unwrap_or_default();
    let engagement = bench.required_length(Field::Engagement, ENGAGEMENT)?;
    let found = strength_report(thread, grade, metal, engagement)
        .map_err(|error| FormError::of(Field::Engagement, ENGAGEMENT, error))?;
    let unit = bench.unit;
    let from_loads = found
        .comparison
        .loads
        .iter()
        .map(|load| format!("{}: {}", load.failure_mode, load.from));
    let from = std::iter::once(format!("metal: {}", metal.source())).chain(from_loads);
    Ok(html! {
        section.panel {
            h2 { (thread.designation()) ", " (engagement.show(unit)) " in " (metal.description()) }
            @match found.comparison.weakest {
                Some(part) => p.big { "First: " (part) },
                None => p.big { "What fails first is unknown" },
            }
            (loads(&found, unit))
            @for missing in &found.comparison.missing { p { "? Unknown: " (sentence(&in_unit(missing, unit))) } }
            (sources(from))
        }
        @if let Some(needed) = &found.comparison.engagement { (needed_engagement(needed, unit)) }
        @if !found.torques.is_empty() { (torques(&found.torques, unit)) }
    })
}

fn loads(found: &StrengthReport, unit: Unit) -> Markup {
    html! {
        table {
            thead { tr { th { "What fails" } th.number { "Load" } } }
            tbody { @for load in &found.comparison.loads { tr {
                th scope="row" { (sentence_case(&load.failure_mode.to_string())) }
                td.number { (show_load(load.load_n, unit)) }
            } } }
        }
    }
}

fn needed_engagement(needed: &EngagementNeeded, unit: Unit) -> Markup {
    let shown = |mm: f64| match Length::from_mm(mm) {
        Ok(length) => length.rounded(unit, Rounding::Up),
        Err(_) => "unknown".to_owned(),
    };
    html! {
        section.panel {
            h2 { "Engagement for the bolt to break first" }
            dl.facts {
                dt { "FED-STD-H28/2B" } dd { (shown(needed.h28_mm)) }
                dt { "ISO/TR 16224" }
                dd { @match needed.iso16224_mm { Some(mm) => (shown(mm)), None => "gives none" } }
            }
            (sources([needed.h28_formula.to_string(), needed.iso16224_note.to_string()]))
        }
    }
}

fn torques(all: &[(Lubrication, Torque)], unit: Unit) -> Markup {
    let (_, first) = all[0];
    let usual = all
        .iter()
        .map(|(_, torque)| torque.usual_nm_torque)
        .fold(0.0, f64::max);
    let torque_unit = TorqueUnit::of(usual, unit);
    html! {
        section.panel {
            h2 { "Tightening torque" }
            div.scroll tabindex="0" role="region" aria-label="Torque" { table {
                caption { (torque_unit.symbol()) }
                thead { tr { th { "Threads" } th.number { "Low" } th.number { "Usual" } th.number { "High" } } }
                tbody { @for (lubrication, torque) in all { tr {
                    th scope="row" { (sentence_case(lubrication.name())) }
                    td.number { (torque_unit.number(torque.low_nm_torque)) }
                    td.number { b { (torque_unit.number(torque.usual_nm_torque)) } }
                    td.number { (torque_unit.number(torque.high_nm_torque)) }
                } } }
            } }
            p { "Preload stays below " b { (show_load(first.preload_cap_n, unit)) } ": "
                @match first.preload_limit {
                    PreloadLimit::Bolt => "three quarters of the bolt's proof load.",
                    PreloadLimit::ParentMetal => "half the load that strips the metal.",
                }
            }
            p.caution { b { "Caution: " } "If you do not know the state of the threads, stay at or below Low. The torque in the machine's manual overrides "
                "these. Tighten in steps with a torque wrench, and stand clear of its line." }
            (sources([
                "Range of the nut factor: a bolt supplier's page; usual value: a trade newsletter (secondary sources)".to_owned(),
                "Scatter of a torque wrench: NSTS 08307A and NASA-STD-5020B".to_owned(),
                "Half the stripping load of the metal: judgment".to_owned(),
            ]))
        }
    }
}
