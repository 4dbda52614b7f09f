//! The remedies for one hole, from its main readings.

use super::Bench;
use crate::form::{Form, FormError, length};
use crate::form_names::Field;
use crate::labels::{count, quantity, quantity_hint};
use crate::pages::casting::{metal_fields, read_metal};
use crate::pages::hole::wanted_thread::{
    GRADE, PRESSURE, grade_options, read_grade, read_through, through_options,
};
use crate::pages::hole::{remedy_card, remedy_table};
use holebook_core::hole::caution::Caution;
use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::hole::record::Quantity;
use holebook_core::hole::remedies::{Assessment, Verdict, assessments};
use holebook_core::hole::situation::Situation;
use holebook_core::length::Length;
use maud::{Markup, html};

const CUT: &str = "Stock to remove";
const MISSING: &str = "Missing metal, diameter";
const MISSING_TO: &str = "Missing down to";
const MISSING_OFFSET: &str = "Off center by";

/// The readings that the form asks for.
const READINGS: [(Field, Quantity); 8] = [
    (Field::Depth, Quantity::Depth),
    (Field::Floor, Quantity::Floor),
    (Field::Edge, Quantity::NearestEdge),
    (Field::Neighbor, Quantity::NearestHole),
    (
        Field::Reading(Quantity::NeighborDiameter),
        Quantity::NeighborDiameter,
    ),
    (Field::Reading(Quantity::Grip), Quantity::Grip),
    (Field::Reading(Quantity::BoltLength), Quantity::BoltLength),
    (Field::Reading(Quantity::FullThread), Quantity::FullThread),
];

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! {
        div.fields {
            (bench.thread_field(form))
            (form.select(Field::Bolt, GRADE, None, &grade_options()))
            (form.select(Field::Through, "Hole", None, &through_options()))
            (metal_fields(form, None))
            @for (field, what) in READINGS { (form.length(field, quantity(what), None, quantity_hint(what))) }
            (form.length(Field::FaceCut, CUT, None, "0 = the face stays as is"))
        }
        (form.checkbox(Field::Pressure, PRESSURE, false))
        fieldset {
            legend { "Damage" }
            div.fields {
                (form.length(Field::MissingDiameter, MISSING, None, "0 = thread is whole; blank = not looked at"))
                (form.length(Field::MissingTo, MISSING_TO, None, "blank = to the bottom"))
                (form.length(Field::MissingOffset, MISSING_OFFSET, None, "center of the missing circle"))
            }
        }
    }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let situation = situation(bench)?;
    let found = assessments(&situation, &bench.catalog);
    Ok(html! {
        section.panel {
            h2 { (situation.thread.designation()) ": remedies, least invasive first" }
            (remedy_table::table(&fitting(&found), bench.unit))
            (remedy_card::about_strength())
        }
        section.panel {
            h2 { "Remedies with reasons" }
            (cards(&found, bench))
        }
    })
}

/// The remedies that fit, each with its place in the list of all.
fn fitting(found: &[Assessment]) -> Vec<(usize, &Assessment)> {
    let found = found.iter().enumerate();
    found
        .filter(|(_, assessment)| assessment.verdict != Verdict::DoesNotFit)
        .collect()
}

fn cards(found: &[Assessment], bench: &Bench) -> Markup {
    let (fitting, not): (Vec<_>, Vec<_>) = found
        .iter()
        .enumerate()
        .partition(|(_, assessment)| assessment.verdict != Verdict::DoesNotFit);
    let shared = remedy_card::shared_cautions(found);
    html! {
        (remedy_card::shared(&shared, bench.unit))
        div.remedy-cards { @for (index, assessment) in fitting { (card(index, assessment, &shared, bench)) } }
        @if !not.is_empty() {
            details {
                summary { (count(not.len(), "remedy that does not fit", "remedies that do not fit")) }
                div.remedy-cards { @for (index, assessment) in not { (card(index, assessment, &shared, bench)) } }
            }
        }
    }
}

fn card(index: usize, assessment: &Assessment, elsewhere: &[Caution], bench: &Bench) -> Markup {
    html! {
        article.remedy-card.first[index == 0] id=(remedy_table::card_id(index)) {
            h3 { (remedy_card::title(assessment, bench.unit)) }
            (remedy_card::body(assessment, false, elsewhere, bench.unit))
        }
    }
}

fn situation(bench: &Bench) -> Result<Situation, FormError> {
    let thread = bench.bolt_thread()?;
    let [
        depth,
        floor,
        nearest_edge,
        nearest_hole,
        neighbor_diameter,
        grip,
        bolt_length,
        full_thread,
    ] = READINGS.map(|(field, what)| bench.length(field, quantity(what)));
    let situation = Situation {
        bolt: read_grade(&bench.asked)?,
        metal: read_metal(&bench.asked)?.unwrap_or_default(),
        through: read_through(&bench.asked),
        depth: depth?,
        floor: floor?,
        nearest_edge: nearest_edge?,
        nearest_hole: nearest_hole?,
        neighbor_diameter: neighbor_diameter?,
        grip: grip?,
        bolt_length: bolt_length?,
        full_thread: full_thread?,
        face_cut: zero_or_more(bench, Field::FaceCut, CUT)?,
        pressure: bench.asked.field(Field::Pressure).is_some(),
        limits: Some(bench.limits.clone()),
        ..Situation::of(thread)
    };
    let missing = zero_or_more(bench, Field::MissingDiameter, MISSING)?;
    let situation = Situation {
        damage_described: missing.is_some(),
        damage: damage(bench, missing, situation.depth)?,
        ..situation
    };
    situation
        .validate()
        .map_err(|error| FormError::new(error.to_string()))?;
    Ok(situation)
}

/// Parses a length whose 0 has a meaning of its own.
fn zero_or_more(bench: &Bench, field: Field, label: &str) -> Result<Option<Length>, FormError> {
    let length = length(&bench.asked, field, label, bench.unit)?;
    if length.is_some_and(|length| length < Length::ZERO) {
        return Err(FormError::of(field, label, "must be 0 or more"));
    }
    Ok(length)
}

fn damage(
    bench: &Bench,
    missing: Option<Length>,
    depth: Option<Length>,
) -> Result<Damage, FormError> {
    let Some(diameter) = missing.filter(|missing| missing.is_positive()) else {
        return Ok(Damage::default());
    };
    let to = bench.length(Field::MissingTo, MISSING_TO)?.or(depth);
    let to = to.ok_or_else(|| {
        let message = "enter how deep the metal is missing, or the hole depth";
        FormError::of(Field::MissingTo, MISSING_TO, message)
    })?;
    let offset = zero_or_more(bench, Field::MissingOffset, MISSING_OFFSET)?.unwrap_or(Length::ZERO);
    Ok(Damage {
        stations: vec![Station::of(
            Span {
                from: Length::ZERO,
                to,
            },
            diameter,
            offset,
            0.0,
        )],
        ..Damage::default()
    })
}
