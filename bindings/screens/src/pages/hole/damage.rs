//! What is missing round the intended centre, and a form to say it.

use super::Leaf;
use crate::carrier::Request;
use crate::form::{Refusal, length, needed_length};
use holebook_core::hole::damage::{BrokenTool, Damage, HardZone, Span, Station};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{HoleId, Notebook, Saying};
use maud::{Markup, html};

/// What is missing, as it stands, and a form to say it.
pub fn leaf(leaf: &Leaf<'_>) -> Markup {
    let answers = &leaf.hole.record.damage;
    let now = answers.settled();
    let open = leaf.is_next("damage") || leaf.desk.was_refused("damage");
    html! {
        h3 { "Damage" }
        @match now {
            Some(damage) => (words(damage, leaf.desk.unit)),
            None => p.faint { @if answers.differ() { "Two answers stand; see above." } @else { "Nothing said yet." } },
        }
        details id=[(leaf.is_next("damage")).then_some("next")] open[open] {
            summary { @if now.is_some() { "Say it anew" } @else { "Say what is missing" } }
            @if now != Some(&Damage::default()) {
                form method="post" action=(leaf.path("damage")) {
                    (leaf.over(&answers.0))
                    input type="hidden" name="nothing" value="yes";
                    p { button { "Nothing is missing or broken" } }
                }
            }
            (form(now, leaf))
        }
    }
}

/// The damage in words.
pub fn words(damage: &Damage, unit: Unit) -> Markup {
    html! {
        @if damage == &Damage::default() { p { "Nothing is missing, hard or broken." } }
        ul {
            @for station in &damage.stations {
                li { "From " (station.span.from.show(unit)) " to " (station.span.to.show(unit)) " deep: a circle of "
                    b { (station.diameter.show(unit)) } " is missing, its centre "
                    (station.offset.show(unit)) " off" }
            }
            @for hard in &damage.hard {
                li { b { "Hard" } " from " (hard.span.from.show(unit)) " to " (hard.span.to.show(unit)) " deep" }
            }
            @if let Some(broken) = &damage.broken_tool {
                li { b { "Broken " (broken.what) } " in it"
                    @if let Some(long) = broken.length { ", " (long.show(unit)) " long" }
                    @if let Some(top) = broken.top { ", its top " (top.show(unit)) " down" } }
            }
            @if damage.crack { li { b { "A crack" } " runs from it" } }
        }
    }
}

/// Rows of stations and hard zones that the form offers beyond those that stand.
const SPARE_ROWS: usize = 2;
/// Rows at most, so that a form can't ask for work without end.
const MOST_ROWS: usize = 24;

fn form(now: Option<&Damage>, leaf: &Leaf<'_>) -> Markup {
    let blank = Damage::default();
    let now = now.unwrap_or(&blank);
    html! {
        form method="post" action=(leaf.path("damage")) {
            (leaf.over(&leaf.hole.record.damage.0))
            h3 { "Missing metal, from the face down" }
            p.faint { "Each line a circle of missing metal over a span of depth: a crater is short and wide, a wandered hole long and off centre. "
                "Leave the old thread's own bore out." }
            @for row in 0..(now.stations.len() + SPARE_ROWS).min(MOST_ROWS) { (station_row(row, now.stations.get(row), leaf)) }
            h3 { "Hardened by welding or chill" }
            @for row in 0..(now.hard.len() + 1).min(MOST_ROWS) { (hard_row(row, now.hard.get(row), leaf)) }
            (broken_fields(now.broken_tool.as_ref(), leaf))
            (leaf.desk.form("damage").tick("crack", "A crack runs from the hole", now.crack))
            p { button.main { "Record the damage" } }
        }
    }
}

fn station_row(row: usize, now: Option<&Station>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    let direction = now.map(|station| station.direction_deg.to_string());
    html! {
        fieldset {
            legend { "Missing metal " (row + 1) }
            div.fields {
                (form.length(&format!("from-{row}"), "From depth", now.map(|station| station.span.from), ""))
                (form.length(&format!("to-{row}"), "To depth", now.map(|station| station.span.to), ""))
                (form.length(&format!("diameter-{row}"), "Diameter", now.map(|station| station.diameter), ""))
                (form.length(&format!("offset-{row}"), "Centre off by", now.map(|station| station.offset), ""))
                (form.text(&format!("direction-{row}"), "Towards (degrees, 0 right, 90 up)", direction.as_deref(), ""))
            }
        }
    }
}

fn hard_row(row: usize, now: Option<&HardZone>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    html! {
        fieldset {
            legend { "Hard zone " (row + 1) }
            div.fields {
                (form.length(&format!("hard-from-{row}"), "From depth", now.map(|zone| zone.span.from), ""))
                (form.length(&format!("hard-to-{row}"), "To depth", now.map(|zone| zone.span.to), ""))
            }
        }
    }
}

fn broken_fields(now: Option<&BrokenTool>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    let kinds = ["", "bolt", "stud", "tap", "drill", "screw extractor"].map(|kind| {
        (
            kind.to_owned(),
            if kind.is_empty() { "none" } else { kind }.to_owned(),
        )
    });
    html! {
        fieldset {
            legend { "Broken off in it" }
            div.fields {
                (form.choose("broken", "Piece", now.map(|broken| broken.what.as_str()), &kinds))
                (form.length("broken-length", "Length", now.and_then(|broken| broken.length), "if known"))
                (form.length("broken-top", "Its top below the face", now.and_then(|broken| broken.top), "if known"))
            }
        }
    }
}

/// Records what is missing.
pub fn record(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
    unit: Unit,
) -> Result<(), Refusal> {
    let damage = Damage {
        stations: read_rows(|row| read_station(request, row, unit))?,
        hard: read_rows(|row| read_hard(request, row, unit))?,
        lean: None,
        broken_tool: read_broken(request, unit)?,
        crack: request.field("crack").is_some(),
    };
    if damage == Damage::default() && request.field("nothing").is_none() {
        return Err(Refusal::new(
            "No damage was written; fill in what is missing, or press 'Nothing is missing or broken'."
                .to_owned(),
        ));
    }
    notebook.say(hole, Saying::Damage(damage), &crate::form::over(request)?)?;
    Ok(())
}

fn read_rows<T>(read: impl Fn(usize) -> Result<Option<T>, Refusal>) -> Result<Vec<T>, Refusal> {
    (0..MOST_ROWS)
        .filter_map(|row| read(row).transpose())
        .collect()
}

fn read_station(request: &Request, row: usize, unit: Unit) -> Result<Option<Station>, Refusal> {
    let field = |name: &str, label: &str| {
        length(
            request,
            &format!("{name}-{row}"),
            &format!("Missing metal {}, {label}", row + 1),
            unit,
        )
    };
    let Some(diameter) = field("diameter", "diameter")? else {
        return no_half_row(
            request,
            row,
            &["from", "to", "offset", "direction"],
            ("diameter", "diameter"),
        );
    };
    let span = read_span(request, ("from", "to"), row, unit)?;
    let offset = field("offset", "centre off by")?.unwrap_or(Length::ZERO);
    let direction_deg = read_direction(request, row)?;
    Ok(Some(Station::of(span, diameter, offset, direction_deg)))
}

/// A row whose main field is empty is no row, unless something else in it was filled.
fn no_half_row<T>(
    request: &Request,
    row: usize,
    others: &[&str],
    (missing, its_name): (&str, &str),
) -> Result<Option<T>, Refusal> {
    let filled = others
        .iter()
        .any(|name| request.field(&format!("{name}-{row}")).is_some());
    if filled {
        return Err(Refusal::new(format!(
            "Line {}: its {its_name} is not written; write it, or empty the line.",
            row + 1
        ))
        .at(&format!("{missing}-{row}")));
    }
    Ok(None)
}

fn read_span(
    request: &Request,
    (from, to): (&str, &str),
    row: usize,
    unit: Unit,
) -> Result<Span, Refusal> {
    Ok(Span {
        from: length(request, &format!("{from}-{row}"), "From depth", unit)?
            .unwrap_or(Length::ZERO),
        to: needed_length(request, &format!("{to}-{row}"), "To depth", unit)?,
    })
}

fn read_hard(request: &Request, row: usize, unit: Unit) -> Result<Option<HardZone>, Refusal> {
    if request.field(&format!("hard-to-{row}")).is_none() {
        return no_half_row(request, row, &["hard-from"], ("hard-to", "end"));
    }
    let span = read_span(request, ("hard-from", "hard-to"), row, unit)?;
    Ok(Some(span.into()))
}

fn read_direction(request: &Request, row: usize) -> Result<f64, Refusal> {
    let Some(text) = request.field(&format!("direction-{row}")) else {
        return Ok(0.0);
    };
    match text.replace(',', ".").parse::<f64>() {
        Ok(degrees) if degrees.is_finite() && degrees.abs() <= 360.0 => Ok(degrees),
        _ => Err(Refusal::of(
            "Towards",
            format!("'{text}' is not an angle from 0 to 360 degrees"),
        )
        .at(&format!("direction-{row}"))),
    }
}

fn read_broken(request: &Request, unit: Unit) -> Result<Option<BrokenTool>, Refusal> {
    let Some(what) = request.field("broken") else {
        let measured = ["broken-length", "broken-top"]
            .iter()
            .any(|field| request.field(field).is_some());
        if measured {
            let sentence = "Broken off in it: which piece it is was not chosen; choose it, or empty its lengths.";
            return Err(Refusal::new(sentence.to_owned()).at("broken"));
        }
        return Ok(None);
    };
    Ok(Some(BrokenTool {
        what: what.to_owned(),
        length: length(request, "broken-length", "Length of the broken piece", unit)?,
        top: length(request, "broken-top", "Top of the broken piece", unit)?,
    }))
}
