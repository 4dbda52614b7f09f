//! What a person wrote of the damage, read back from its form.

use super::{LEAN, MOST_ROWS};
use crate::carrier::Request;
use crate::form::{Refusal, length, needed_length};
use holebook_core::hole::damage::{BrokenTool, Damage, HardZone, Lean, Span, Station, Tilt};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{HoleId, Notebook, Saying};

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
        lean: read_lean(request, unit)?,
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
            &[
                "from",
                "to",
                "offset",
                "direction",
                "to-diameter",
                "to-offset",
                "to-direction",
                "diameter-error",
                "offset-error",
            ],
            ("diameter", "diameter"),
        );
    };
    let span = read_span(request, ("from", "to"), row, unit)?;
    let offset = field("offset", "centre off by")?.unwrap_or(Length::ZERO);
    let direction_deg = angle(request, &format!("direction-{row}"), "Towards")?;
    Ok(Some(Station {
        to_diameter: field("to-diameter", "diameter at its lower end")?,
        to_offset: field("to-offset", "centre off by at its lower end")?,
        to_direction_deg: angle(request, &format!("to-direction-{row}"), "Towards there")?,
        diameter_error: field("diameter-error", "diameter may be off by")?,
        offset_error: field("offset-error", "centre may be off by")?,
        ..Station::of(span, diameter, offset, direction_deg.unwrap_or(0.0))
    }))
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
        return no_half_row(
            request,
            row,
            &["hard-from", "hard-error"],
            ("hard-to", "end"),
        );
    }
    let span = read_span(request, ("hard-from", "hard-to"), row, unit)?;
    let label = format!("Hard zone {}, ends may be off by", row + 1);
    let error = length(request, &format!("hard-error-{row}"), &label, unit)?;
    Ok(Some(HardZone { span, error }))
}

/// How the old hole leans: so much over so much, or degrees.
fn read_lean(request: &Request, unit: Unit) -> Result<Option<Lean>, Refusal> {
    let field = |name: &str, label: &str| length(request, name, label, unit);
    let (by, over) = (
        field("lean-by", "Leans by")?,
        field("lean-over", "Over a depth of")?,
    );
    let degrees = angle(request, "lean-degrees", "Or degrees from square")?;
    let tilt = match (by, over, degrees) {
        (Some(by), Some(over), None) => Tilt::Run { by, over },
        (None, None, Some(degrees)) => Tilt::Degrees(degrees),
        (None, None, None) => return no_lean(request),
        (Some(_), None, None) => {
            return Err(unclear(
                "over which depth it leans is not written",
                "lean-over",
            ));
        }
        (None, Some(_), None) => {
            return Err(unclear("by how much it leans is not written", "lean-by"));
        }
        (_, _, Some(_)) => {
            return Err(unclear(
                "it is written twice; keep the one that was measured",
                "lean-degrees",
            ));
        }
    };
    let direction =
        |name: &str, label: &str| Ok::<f64, Refusal>(angle(request, name, label)?.unwrap_or(0.0));
    Ok(Some(Lean {
        tilt,
        direction_deg: direction("lean-direction", "Its lower end goes towards")?,
        offset: field("lean-offset", "Centre at the face off by")?.unwrap_or(Length::ZERO),
        offset_direction_deg: direction("lean-offset-direction", "Towards")?,
        diameter: field("lean-diameter", "Diameter of the old hole")?,
    }))
}

fn no_lean(request: &Request) -> Result<Option<Lean>, Refusal> {
    match LEAN.iter().find(|field| request.field(field).is_some()) {
        Some(_) => Err(unclear(
            "by how much it leans is not written; write it, or empty the fields beside it",
            "lean-by",
        )),
        None => Ok(None),
    }
}

fn unclear(sentence: &str, field: &str) -> Refusal {
    Refusal::of("The old hole leans", sentence).at(field)
}

/// An angle from a field that may be left empty, in degrees.
fn angle(request: &Request, field: &str, label: &str) -> Result<Option<f64>, Refusal> {
    let Some(text) = request.field(field) else {
        return Ok(None);
    };
    match text.replace(',', ".").parse::<f64>() {
        Ok(degrees) if degrees.is_finite() && degrees.abs() <= 360.0 => Ok(Some(degrees)),
        _ => Err(Refusal::of(
            label,
            format!("'{text}' is not an angle from 0 to 360 degrees"),
        )
        .at(field)),
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
