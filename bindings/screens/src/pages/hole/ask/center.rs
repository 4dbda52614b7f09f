//! The intended center of an off-center hole or a crater: it is found first, and where the pattern
//! knows how far the hole is off, that is offered instead of typing.

use super::{found, skip_field};
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use crate::pages::hole::{HolePage, outline};
use crate::pages::places::{off_text, to_five};
use holebook_core::hole::condition::Condition;
use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::hole::next_question::Topic;
use holebook_core::hole::problem::Problem;
use holebook_core::labels::o_clock;
use holebook_core::length::{Length, Rounding, Unit};
use holebook_core::notebook::{AskedQuestion, Notebook, NotebookError};
use holebook_core::places::{EdgeInPhoto, HoleCenter};
use maud::{Markup, html};

/// Where a hole belongs, if the question is how far it is off; `None` otherwise, or if that cannot be
/// told.
pub fn center_of(
    notebook: &Notebook,
    page: &HolePage<'_>,
    asked: Option<&AskedQuestion>,
) -> Result<Option<HoleCenter>, NotebookError> {
    let condition = page.hole.record.condition_in_force();
    let off = matches!(condition, Some(Condition::OffCenter | Condition::Crater));
    let asked = asked.is_some_and(|asked| asked.question.topic == Topic::Damage);
    match (asked && off) || places_changed(page) {
        true => notebook.center(page.hole.id),
        false => Ok(None),
    }
}

/// Whether what the damage was taken from changed since.
pub fn places_changed(page: &HolePage<'_>) -> bool {
    let mut problems = page.plan.status.problems.iter();
    problems.any(|problem| matches!(problem, Problem::PlacesChanged { .. }))
}

/// The damage as the places on the face have it now, if what it was taken from changed: the amounts
/// that were taken from them, and the rest as it was described. `None` if they cannot be taken again.
pub fn retaken(
    notebook: &Notebook,
    page: &HolePage<'_>,
    center: Option<&HoleCenter>,
) -> Result<Option<Damage>, NotebookError> {
    let first = page.hole.record.damage.0.first();
    let Some(before) = first.filter(|_| places_changed(page)) else {
        return Ok(None);
    };
    let mut damage = before.body.clone();
    // What the fields of the rows cannot carry is described again by hand.
    if damage.lean.is_some() || damage.broken_tool.is_some() {
        return Ok(None);
    }
    for old in damage.stations.iter_mut().filter(|it| is_taken(it)) {
        let new = match &old.traced {
            Some(edge) => traced_again(notebook, page, edge, old.span)?,
            None => center.and_then(|center| station(center, old.span, old.diameter)),
        };
        let Some(new) = new else { return Ok(None) };
        let diameter_tolerance = match &new.traced {
            Some(_) => new.diameter_tolerance,
            None => old.diameter_tolerance,
        };
        *old = Station {
            diameter_tolerance,
            to_diameter: old.to_diameter,
            to_offset: old.to_offset,
            to_direction_deg: old.to_direction_deg,
            ..new
        };
    }
    Ok(Some(damage))
}

/// Whether a circle was taken from the places on the face.
fn is_taken(station: &Station) -> bool {
    station.offset_source.is_some() || !station.rests_on.is_empty()
}

fn traced_again(
    notebook: &Notebook,
    page: &HolePage<'_>,
    edge: &EdgeInPhoto,
    span: Span,
) -> Result<Option<Station>, NotebookError> {
    match notebook.measure_outline(page.hole.id, edge.photo, &edge.points()) {
        Ok(measured) => Ok(outline::station(&measured, edge.clone(), span)),
        Err(NotebookError::Invalid(_) | NotebookError::NoSuch { .. }) => Ok(None),
        Err(error) => Err(error),
    }
}

/// The intended center: what is known of it, or the ways to find it.
pub fn first(page: &HolePage<'_>) -> Markup {
    let places = format!("/face/{}/places", page.hole.face);
    match &page.center {
        Some(HoleCenter { center, .. }) => html! {
            p {
                @match &center.off {
                    Some(off) => { "By the " (off.source) " it is " (off_text(off, page.context.unit)) "." }
                    None => "Its center is known by the pattern, but the hole is not marked or measured."
                }
                " " a.button href=(places) { "See where it belongs" }
            }
        },
        None => html! {
            details.find-center {
                summary { "Find its center first" }
                p { "How far it is off counts from its center." }
                p.row {
                    a.button href=(places) { "By the pattern" }
                    a.button href=(format!("/face/{}/pattern", page.hole.face)) { "By a gasket or sister part" }
                }
                p { b { "By two neighbors. " } "Measure on the drawing, the gasket, or the mating part from this hole to two sound neighbors. Set dividers to each distance, and scribe an arc from each neighbor over the hole: its center is where they cross. A third neighbor checks it." }
            }
        },
    }
}

/// An off-center hole as the pattern has it: rounded as people read it, with its error as tolerance.
pub fn station(center: &HoleCenter, span: Span, diameter: Length) -> Option<Station> {
    let off = center.center.off?;
    let round = |mm: f64, rounding| {
        let length = Length::from_mm(mm).ok()?;
        Some(length.round_to(Unit::Inch, rounding))
    };
    let offset = round(off.by_mm, Rounding::Nearest)?;
    Some(Station {
        offset_tolerance: Some(round(off.tolerance_mm, Rounding::Up)?),
        offset_source: Some(off.source),
        rests_on: center.rests_on.clone(),
        ..Station::of(span, diameter, offset, to_five(off.direction_deg))
    })
}

/// What a button says: `Off center by .118 in ±.012 toward 2 o'clock, by the photo plane`.
fn said(station: &Station, unit: Unit) -> String {
    let by = match station.offset_tolerance {
        Some(tolerance) => station.offset.show_tolerance(tolerance, unit),
        None => station.offset.show(unit),
    };
    let toward = o_clock(station.direction_deg);
    let source = station
        .offset_source
        .map(|source| format!(", by the {source}"));
    format!(
        "Off center by {by} toward {toward}{}",
        source.unwrap_or_default()
    )
}

/// A button that records the hole as it is offered.
pub fn offer(station: &Station, page: &HolePage<'_>) -> Markup {
    let damage = Damage {
        stations: vec![station.clone()],
        ..Damage::default()
    };
    html! {
        form.ask.quick method="post" action=(page.address(FormName::Damage)) {
            (hidden(Field::Card, super::CARD))
            (skip_field(page))
            (found::rows(&damage))
            button { (said(station, page.context.unit)) }
        }
    }
}

/// After what the damage was taken from changed: a button that takes it again, and one that keeps it
/// because somebody measured it at the hole.
pub fn taken_again(page: &HolePage<'_>) -> Markup {
    let first = page.hole.record.damage.0.first();
    let Some(before) = first.filter(|_| places_changed(page)) else {
        return html! {};
    };
    let new = page.retaken.as_ref();
    let taken = new.and_then(|damage| damage.stations.iter().find(|it| is_taken(it)));
    let kept = Damage {
        stations: before
            .body
            .stations
            .iter()
            .cloned()
            .map(as_measured)
            .collect(),
        ..before.body.clone()
    };
    let is_whole = kept.lean.is_none() && kept.broken_tool.is_none();
    html! {
        @match (new, taken) {
            (Some(new), Some(taken)) => (self::form(new, &said(taken, page.context.unit), true, page)),
            _ => { p { "The places on the face no longer give it. Measure it at the hole, or mark and trace it again." } }
        }
        @if is_whole && let Some(old) = before.body.stations.iter().find(|it| is_taken(it)) {
            (self::form(&kept, &format!("Keep {}: I measured it at the hole", old.offset.show(page.context.unit)), false, page))
        }
    }
}

/// A circle that somebody measured at the hole.
fn as_measured(station: Station) -> Station {
    Station {
        offset_source: None,
        rests_on: Vec::new(),
        traced: None,
        ..station
    }
}

fn form(damage: &Damage, says: &str, main: bool, page: &HolePage<'_>) -> Markup {
    html! {
        form.ask.quick method="post" action=(page.address(FormName::Damage)) {
            (hidden(Field::Card, super::CARD))
            (skip_field(page))
            (page.replaces(&page.hole.record.damage.0))
            (found::rows(damage))
            button.main[main] { (says) }
        }
    }
}
