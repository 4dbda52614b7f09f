//! The intended center of an off-center hole or a crater: it is found first, and where the pattern
//! knows how far the hole is off, that is offered instead of typing.

use super::{found, skip_field};
use crate::form::hidden;
use crate::form_names::{Field, FormName};
use crate::pages::hole::HolePage;
use crate::pages::places::{off_text, to_five};
use holebook_core::hole::condition::Condition;
use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::hole::next_question::Topic;
use holebook_core::hole::problem::Problem;
use holebook_core::labels::o_clock;
use holebook_core::length::{Length, Rounding, Unit};
use holebook_core::notebook::{AskedQuestion, HoleView, Notebook, NotebookError};
use holebook_core::places::{Center, Off};
use maud::{Markup, html};

/// Where a hole belongs, if the question is how far it is off; `None` otherwise, or if that cannot be
/// told.
pub fn center_of(
    notebook: &Notebook,
    hole: &HoleView,
    asked: &AskedQuestion,
) -> Result<Option<Center>, NotebookError> {
    let condition = hole.record.condition_in_force();
    let off = matches!(condition, Some(Condition::OffCenter | Condition::Crater));
    match asked.question.topic {
        Topic::Damage if off => notebook.center(hole.id),
        _ => Ok(None),
    }
}

/// The intended center: what is known of it, or the ways to find it.
pub fn first(page: &HolePage<'_>) -> Markup {
    let places = format!("/face/{}/places", page.hole.face);
    match &page.center {
        Some(center) => html! {
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
pub fn station(off: &Off, span: Span, diameter: Length) -> Option<Station> {
    let round = |mm: f64, rounding| {
        let length = Length::from_mm(mm).ok()?;
        Some(length.round_to(Unit::Inch, rounding))
    };
    let offset = round(off.by_mm, Rounding::Nearest)?;
    Some(Station {
        offset_tolerance: Some(round(off.tolerance_mm, Rounding::Up)?),
        offset_source: Some(off.source),
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

/// After the pattern changed: a button that takes the amount again, and leaves the rest of the damage
/// as it was described.
pub fn taken_again(before: &Damage, page: &HolePage<'_>) -> Markup {
    let changed = page.plan.status.problems.contains(&Problem::PatternChanged);
    let off = page
        .center
        .as_ref()
        .and_then(|center| center.off)
        .filter(|_| changed);
    let Some(off) = off else {
        return html! {};
    };
    let mut damage = before.clone();
    for old in &mut damage.stations {
        if old.offset_source.is_some()
            && let Some(new) = station(&off, old.span, old.diameter)
        {
            old.offset = new.offset;
            old.direction_deg = new.direction_deg;
            old.offset_tolerance = new.offset_tolerance;
            old.offset_source = new.offset_source;
        }
    }
    let taken = damage
        .stations
        .iter()
        .find(|station| station.offset_source.is_some());
    // What the fields of the rows cannot carry is described again by hand.
    if damage.lean.is_some() || damage.broken_tool.is_some() {
        return html! {};
    }
    html! {
        @if let Some(taken) = taken {
            form.ask.quick method="post" action=(page.address(FormName::Damage)) {
                (hidden(Field::Card, super::CARD))
                (skip_field(page))
                (page.replaces(&page.hole.record.damage.0))
                (found::rows(&damage))
                button { (said(taken, page.context.unit)) }
            }
        }
    }
}
