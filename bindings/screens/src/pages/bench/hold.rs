//! What fails first, and how far a bolt may be tightened.

use super::Bench;
use crate::form::{Form, Refusal};
use crate::lengths::{force, measure};
use crate::pages::casting::{metal_fields, read_metal};
use crate::pages::hole::shall::grades;
use crate::words::{sentence_case, torque, torque_unit};
use holebook_core::length::Unit;
use holebook_core::strength::{Bound, Condition, Engagements, Hold, Torque, hold};
use maud::{Markup, html};

const ENGAGED: &str = "Thread engaged";
const GRADE: &str = "Bolt's grade";

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields {
        (bench.thread_field(form))
        (form.choose("bolt", GRADE, None, &grades()))
        (metal_fields(form, None))
        (form.length("engaged", ENGAGED, None, "whole thread, straight in sound metal"))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, Refusal> {
    let thread = bench.thread()?;
    let grade = bench.asked.field("bolt").map(str::parse).transpose();
    let grade = grade.map_err(|error| Refusal::of(GRADE, error).at("bolt"))?;
    let metal = read_metal(&bench.asked)?.unwrap_or_default();
    let engaged = bench.needed_length("engaged", ENGAGED)?;
    let found = hold(thread, grade, metal, engaged)
        .map_err(|error| Refusal::of(ENGAGED, error).at("engaged"))?;
    let unit = bench.unit;
    Ok(html! {
        section.leaf {
            h2 { (thread.designation()) ", " (engaged.show(unit)) " in " (metal.description()) }
            @match found.comparison.weakest {
                Some(part) => p.big { "First " (part) },
                None => p.big { "What fails first is not known" },
            }
            (loads(&found, unit))
            @for lack in &found.comparison.lacks { p { "? Not known: " (lack) "." } }
            p.source { "Metal: " (metal.source()) "." }
        }
        @if let Some(needed) = &found.comparison.engagement { (engagement(needed, unit)) }
        @if !found.torques.is_empty() { (torques(&found.torques, unit)) }
    })
}

fn loads(found: &Hold, unit: Unit) -> Markup {
    html! {
        table {
            thead { tr { th { "What fails" } th.number { "Load" } } }
            tbody { @for load in &found.comparison.loads { tr {
                th scope="row" { (sentence_case(&load.part.to_string())) br; span.source { (load.from) } }
                td.number { (force(load.load_n, unit)) }
            } } }
        }
    }
}

fn engagement(needed: &Engagements, unit: Unit) -> Markup {
    let shown = |mm: f64| measure(mm, "mm", unit);
    html! {
        section.leaf {
            h2 { "Thread for the bolt to break first" }
            dl.facts {
                dt { "FED-STD-H28/2B" } dd { (shown(needed.h28_mm)) }
                dt { "ISO/TR 16224" }
                dd { @match needed.iso16224_mm { Some(mm) => (shown(mm)), None => "gives none" } }
            }
            p.source { (sentence_case(needed.h28_formula)) ". " (sentence_case(needed.iso16224_note)) "." }
        }
    }
}

fn torques(all: &[(Condition, Torque)], unit: Unit) -> Markup {
    let (_, first) = all[0];
    html! {
        section.leaf {
            h2 { "Tightening torque" }
            div.scroll tabindex="0" role="region" aria-label="Torque" { table {
                caption { "In " (torque_unit(unit)) }
                thead { tr { th { "Threads" } th.number { "Least" } th.number { "Usual" } th.number { "Most" } } }
                tbody { @for (condition, it) in all { tr {
                    th scope="row" { (sentence_case(condition.name())) }
                    td.number { (figure(it.low_nm_torque, unit)) }
                    td.number { b { (figure(it.usual_nm_torque, unit)) } }
                    td.number { (figure(it.high_nm_torque, unit)) }
                } } }
            } }
            p { "The preload stays below " b { (force(first.preload_cap_n, unit)) } ", which "
                @match first.bound {
                    Bound::Bolt => "the bolt sets: three quarters of its proof load.",
                    Bound::Iron => "the metal sets: half the load that strips it (judgement).",
                }
            }
            p.source { "Range of the nut factor from a bolt supplier's page, usual value from a trade newsletter (secondary sources); scatter with a "
                "torque wrench NSTS 08307A and NASA-STD-5020B." }
            p.caution { b { "Care. " } "With threads whose state you do not know, do not go above the least. The machine's manual comes first, and its torque "
                "before these. Tighten in steps with a torque wrench, standing clear of its line." }
        }
    }
}

/// A torque whose unit stands above it.
fn figure(newton_metres: f64, unit: Unit) -> String {
    let shown = torque(newton_metres, unit);
    shown
        .trim_end_matches(torque_unit(unit))
        .trim_end()
        .to_owned()
}
