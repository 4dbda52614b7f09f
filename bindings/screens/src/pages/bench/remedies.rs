//! The ways to make one hole hold again, from its main readings.

use super::Bench;
use crate::form::{Form, Refusal};
use crate::pages::casting::{metal_fields, read_metal};
use crate::pages::hole::shall::{grades, read_through, throughs};
use crate::pages::hole::{compared, way};
use crate::words::count;
use holebook_core::hole::damage::{Damage, Span, Station};
use holebook_core::hole::remedies::{Assessment, Verdict, remedies};
use holebook_core::hole::situation::Situation;
use holebook_core::length::Length;
use maud::{Markup, html};

const GRADE: &str = "Bolt's grade";
const DEPTH: &str = "Depth to the bottom";
const FLOOR: &str = "Metal under the bottom";
const EDGE: &str = "Centre to the nearest edge";
const NEIGHBOUR: &str = "Centre to the nearest hole";
const CUT: &str = "To come off the face";
const LOST: &str = "Metal missing, diameter";
const LOST_TO: &str = "Missing down to";
const LOST_OFF: &str = "Its centre off by";

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! {
        div.fields {
            (bench.thread_field(form))
            (form.choose("bolt", GRADE, None, &grades()))
            (form.choose("through", "Hole", None, &throughs()))
            (metal_fields(form, None))
            (form.length("depth", DEPTH, None, "from the face of today"))
            (form.length("floor", FLOOR, None, "of a blind hole"))
            (form.length("edge", EDGE, None, "edge, port or passage"))
            (form.length("neighbour", NEIGHBOUR, None, "centre to centre"))
            (form.length("cut", CUT, None, "0 where the face stays as it is"))
        }
        fieldset {
            legend { "What is missing round the centre" }
            div.fields {
                (form.length("lost", LOST, None, "0 where the thread is whole; empty: nobody looked"))
                (form.length("lost-to", LOST_TO, None, "empty: down to the bottom"))
                (form.length("lost-off", LOST_OFF, None, "how far the missing circle lies off"))
            }
        }
    }
}

pub fn answer(bench: &Bench) -> Result<Markup, Refusal> {
    let situation = situation(bench)?;
    let found = remedies(&situation, &bench.catalogue);
    Ok(html! {
        section.leaf {
            h2 { (situation.thread.designation()) ", the ways, the least that fits first" }
            (compared::table(&found, bench.unit))
            (way::safe_side())
        }
        section.leaf {
            h2 { "Each way with its reasons" }
            (cards(&found, bench))
        }
    })
}

fn cards(found: &[Assessment], bench: &Bench) -> Markup {
    let (fitting, not): (Vec<_>, Vec<_>) = found
        .iter()
        .enumerate()
        .partition(|(_, way)| way.verdict != Verdict::DoesNotFit);
    html! {
        div.ways { @for (place, way) in fitting { (card(place, way, bench)) } }
        @if !not.is_empty() {
            details {
                summary { (count(not.len(), "way that does not fit", "ways that do not fit")) }
                div.ways { @for (place, way) in not { (card(place, way, bench)) } }
            }
        }
    }
}

fn card(place: usize, way: &Assessment, bench: &Bench) -> Markup {
    html! {
        article.way.first[place == 0] id=(compared::place_of(place)) {
            h3 { (way::title(way, bench.unit)) }
            (way::body(way, false, bench.unit))
        }
    }
}

fn situation(bench: &Bench) -> Result<Situation, Refusal> {
    let thread = bench.thread()?;
    let grade = bench.asked.field("bolt").map(str::parse).transpose();
    let situation = Situation {
        bolt: grade.map_err(|error| Refusal::of(GRADE, error).at("bolt"))?,
        metal: read_metal(&bench.asked)?.unwrap_or_default(),
        through: read_through(&bench.asked),
        depth: bench.length("depth", DEPTH)?,
        floor: bench.length("floor", FLOOR)?,
        nearest_edge: bench.length("edge", EDGE)?,
        nearest_hole: bench.length("neighbour", NEIGHBOUR)?,
        face_cut: or_none(bench, "cut", CUT)?,
        ..Situation::of(thread)
    };
    let lost = or_none(bench, "lost", LOST)?;
    let situation = Situation {
        damage_read: lost.is_some(),
        damage: damage(bench, lost, situation.depth)?,
        ..situation
    };
    situation
        .check()
        .map_err(|error| Refusal::new(error.to_string()))?;
    Ok(situation)
}

/// A length of which 0 says something of its own.
fn or_none(bench: &Bench, field: &str, label: &str) -> Result<Option<Length>, Refusal> {
    let length = crate::form::length(&bench.asked, field, label, bench.unit)?;
    if length.is_some_and(|length| length < Length::ZERO) {
        return Err(Refusal::of(label, "it must be 0 or more; measure it again").at(field));
    }
    Ok(length)
}

fn damage(bench: &Bench, lost: Option<Length>, depth: Option<Length>) -> Result<Damage, Refusal> {
    let Some(diameter) = lost.filter(|lost| lost.is_positive()) else {
        return Ok(Damage::default());
    };
    let to = bench.length("lost-to", LOST_TO)?.or(depth).ok_or_else(|| {
        Refusal::of(
            LOST_TO,
            "say how deep the metal is missing, or how deep the hole is",
        )
        .at("lost-to")
    })?;
    let offset = or_none(bench, "lost-off", LOST_OFF)?.unwrap_or(Length::ZERO);
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
