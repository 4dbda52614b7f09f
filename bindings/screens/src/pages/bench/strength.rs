//! What fails first, and the tightening torque.

use super::Bench;
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::{sentence, sentence_case, sources};
use crate::pages::casting::{metal_fields, read_metal};
use crate::pages::hole::wanted_thread::{GRADE, grade_options, read_grade};
use holebook_core::length::{Length, Rounding, Unit, in_unit};
use holebook_core::strength::{
    EngagementNeeded, Lubrication, StrengthReport, Torque, TorqueUnit, manual_torque_advice,
    show_load, show_load_range, strength_report,
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
    let thread = bench.bolt_thread()?;
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
    let from = [
        format!("metal: {}", metal.source()),
        format!("shear strength: {}", metal.kind().shear_source()),
    ];
    let from = from.into_iter().chain(from_loads);
    Ok(html! {
        section.panel {
            h2 { (thread.designation()) ", " (engagement.show(unit)) " in " (metal.description()) }
            @match found.comparison.weakest {
                Some(part) => p.big { "First: " (part) },
                None => p.big { "What fails first is unknown" },
            }
            p { (manual_torque_advice(found.sound_ratio)) }
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
                td.number {
                    (show_load(load.load_n, unit))
                    @if let Some(low) = load.floor_n { br; "could be as low as " (show_load(low, unit)) }
                }
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
                @if needed.h28_floor_mm > needed.h28_mm { dt { "Planned with" } dd { (shown(needed.h28_mm)) } }
                dt { "FED-STD-H28/2B" } dd { (shown(needed.h28_floor_mm)) }
                dt { "ISO/TR 16224" }
                dd { @match needed.iso16224_mm { Some(mm) => (shown(mm)), None => "gives none" } }
            }
            (sources([needed.h28_formula.to_string(), needed.iso16224_note.to_string()]))
        }
    }
}

fn torques(all: &[(Lubrication, Torque)], unit: Unit) -> Markup {
    let usual = all
        .iter()
        .map(|(_, torque)| torque.bolt_nm_torque)
        .fold(0.0, f64::max);
    let torque_unit = TorqueUnit::of(usual, unit);
    let limited = all
        .iter()
        .any(|(_, torque)| torque.hole_limit_nm_torque.is_some());
    html! {
        section.panel {
            h2 { "Tightening torque" }
            div.scroll tabindex="0" role="region" aria-label="Torque" { table {
                caption { (torque_unit.symbol()) }
                thead { tr { th { "Threads" } th.number { "Usual for this bolt" } th.number { "This hole's limit" } } }
                tbody { @for (lubrication, torque) in all { tr {
                    th scope="row" { (sentence_case(lubrication.name())) }
                    td.number { (usual_torque(torque, torque_unit)) }
                    td.number { @match torque.hole_limit_nm_torque {
                        Some(limit) => b { (torque_unit.number(limit)) },
                        None => "no smaller limit",
                    } }
                } } }
            } }
            @if limited { p { "The limit is the torque at which the clamp load reaches half the load that strips the metal." } }
            h3 { "What friction makes of it" }
            dl.facts { @for (lubrication, torque) in all {
                dt { (sentence_case(lubrication.name())) ", " (torque_unit.number(torque.usual_nm_torque)) " " (torque_unit.symbol()) }
                dd { "clamp load " (show_load_range(torque.preload_min_n, torque.preload_max_n, unit)) }
            } }
            p { "One torque gives any clamp load in that range. It is a spread, not a range to choose from." }
            p.caution { b { "Caution: " } "The torque in the machine's manual overrides these. Tighten in steps with a torque wrench, and "
                "stand clear of its line." }
            (sources([
                "Usual torque: nut factor .20 dry and .15 oiled, 75% of the proof load (common practice, no source); zinc from a trade newsletter (secondary source)".to_owned(),
                "Scatter of a torque wrench: NSTS 08307A and NASA-STD-5020B".to_owned(),
                "Half the load that strips the metal: judgment".to_owned(),
            ]))
        }
    }
}

/// The bolt's usual torque, in bold where the hole sets no smaller one.
fn usual_torque(torque: &Torque, unit: TorqueUnit) -> Markup {
    let number = unit.number(torque.bolt_nm_torque);
    html! { @if torque.hole_limit_nm_torque.is_none() { b { (number) } } @else { (number) } }
}
