//! Reads the damage form.

use super::super::ask::read_tool;
use super::super::unusual::questions;
use super::{MOST_ROWS, TILT_FIELDS, label, taken_from};
use crate::carrier::Request;
use crate::clock_direction::read_clock;
use crate::form::{FormError, ask, degrees, length, replaces, required_length};
use crate::form_names::{Field, RowField};
use holebook_core::hole::damage::{BrokenTool, Damage, HardZone, Lean, Span, Station, Tilt};
use holebook_core::hole::plausibility::{self, Known};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{HoleEntry, HoleId, Notebook};

/// Records the damage.
pub fn record(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let (station_rows, stations) = read_rows(|row| read_station(request, row, unit))?;
    let (hard_rows, hard) = read_rows(|row| read_hard(request, row, unit))?;
    let damage = Damage {
        stations,
        hard,
        lean: read_lean(request, unit)?,
        broken_tool: read_broken(request, unit)?,
        crack: request.field(Field::Crack).is_some(),
    };
    if damage == Damage::default() && request.field(Field::NoDamage).is_none() {
        return Err(FormError::new(format!(
            "No damage was entered; describe it, or press '{}'.",
            super::GOOD
        )));
    }
    // What is impossible is refused before anything is asked.
    let possible = damage.validate(None);
    possible.map_err(|error| FormError::new(error.to_string()))?;
    let view = notebook.hole(hole)?;
    let known = Known::of(&view.record, &view.face_record);
    let unusual = plausibility::damage(&damage, &known);
    ask(request, questions(unusual, (&station_rows, &hard_rows)))?;
    notebook.record(hole, HoleEntry::Damage(damage), &replaces(request)?)?;
    Ok(())
}

/// Reads the rows that are filled in; returns their numbers and what they say.
fn read_rows<T>(
    read: impl Fn(usize) -> Result<Option<T>, FormError>,
) -> Result<(Vec<usize>, Vec<T>), FormError> {
    let filled = (0..MOST_ROWS).filter_map(|row| {
        let read = read(row).transpose()?;
        Some(read.map(|one| (row, one)))
    });
    filled.collect()
}

/// `Line 2, diameter`.
fn row_label(row: usize, label: &str) -> String {
    format!("Line {}, {}", row + 1, label.to_lowercase())
}

fn read_station(request: &Request, row: usize, unit: Unit) -> Result<Option<Station>, FormError> {
    let field = |field| Field::Row(field, row);
    let read = |name, label: &str| length(request, field(name), &row_label(row, label), unit);
    let read_direction =
        |name, label: &str| read_clock(request, field(name), &row_label(row, label));
    let Some(diameter) = read(RowField::Diameter, label::DIAMETER)? else {
        let others = [
            RowField::From,
            RowField::To,
            RowField::Offset,
            RowField::Direction,
            RowField::LowerDiameter,
            RowField::LowerOffset,
            RowField::LowerDirection,
            RowField::DiameterTolerance,
            RowField::OffsetTolerance,
        ];
        return empty_row(request, row, &others, RowField::Diameter, "diameter");
    };
    let span = read_span(request, (RowField::From, RowField::To), row, unit)?;
    let offset = read(RowField::Offset, label::OFFSET)?.unwrap_or(Length::ZERO);
    let direction_deg = read_direction(RowField::Direction, label::DIRECTION)?;
    let circle = Station::of(span, diameter, offset, direction_deg.unwrap_or(0.0));
    let circle = taken_from::read(request, row, circle);
    Ok(Some(Station {
        to_diameter: read(RowField::LowerDiameter, label::LOWER_DIAMETER)?,
        to_offset: read(RowField::LowerOffset, label::LOWER_OFFSET)?,
        to_direction_deg: read_direction(RowField::LowerDirection, label::LOWER_DIRECTION)?,
        diameter_tolerance: read(RowField::DiameterTolerance, label::DIAMETER_TOLERANCE)?
            .or_else(|| read_tool(request)?.tolerance),
        offset_tolerance: read(RowField::OffsetTolerance, label::OFFSET_TOLERANCE)?,
        ..circle
    }))
}

/// No row, if its main field and all others are empty.
fn empty_row<T>(
    request: &Request,
    row: usize,
    others: &[RowField],
    missing: RowField,
    name: &str,
) -> Result<Option<T>, FormError> {
    let filled = others
        .iter()
        .any(|field| request.field(Field::Row(*field, row)).is_some());
    if filled {
        let message = format!(
            "Line {}: its {name} is missing; enter it, or clear the line.",
            row + 1
        );
        return Err(FormError::new(message).at(Field::Row(missing, row)));
    }
    Ok(None)
}

fn read_span(
    request: &Request,
    (from, to): (RowField, RowField),
    row: usize,
    unit: Unit,
) -> Result<Span, FormError> {
    Ok(Span {
        from: length(request, Field::Row(from, row), label::FROM, unit)?.unwrap_or(Length::ZERO),
        to: required_length(request, Field::Row(to, row), label::TO, unit)?,
    })
}

fn read_hard(request: &Request, row: usize, unit: Unit) -> Result<Option<HardZone>, FormError> {
    if request.field(Field::Row(RowField::HardTo, row)).is_none() {
        let others = [RowField::HardFrom, RowField::HardTolerance];
        return empty_row(request, row, &others, RowField::HardTo, "lower end");
    }
    let span = read_span(request, (RowField::HardFrom, RowField::HardTo), row, unit)?;
    let label = format!("Hard zone {}, tolerance", row + 1);
    let field = Field::Row(RowField::HardTolerance, row);
    let tolerance = length(request, field, &label, unit)?;
    Ok(Some(HardZone { span, tolerance }))
}

/// How far the old hole is from square: a run over a depth, or degrees.
fn read_lean(request: &Request, unit: Unit) -> Result<Option<Lean>, FormError> {
    let read = |field, label: &str| length(request, field, label, unit);
    let (by, over) = (
        read(Field::TiltBy, label::TILT_BY)?,
        read(Field::TiltOver, label::TILT_OVER)?,
    );
    let angle = degrees(request, Field::TiltDegrees, label::TILT_DEGREES)?;
    let wrong = |field, message: &str| Err(FormError::of(field, label::TILT, message));
    let tilt = match (by, over, angle) {
        (Some(by), Some(over), None) => Tilt::Run { by, over },
        (None, None, Some(degrees)) => Tilt::Degrees(degrees),
        (None, None, None) => return no_lean(request),
        (Some(_), None, None) => {
            return wrong(Field::TiltOver, "enter the depth over which it leans");
        }
        (None, Some(_), None) => return wrong(Field::TiltBy, "enter how far it leans"),
        (_, _, Some(_)) => {
            return wrong(
                Field::TiltDegrees,
                "both a run and an angle are given; keep the one that was measured",
            );
        }
    };
    let direction = |field, label: &str| {
        Ok::<f64, FormError>(read_clock(request, field, label)?.unwrap_or(0.0))
    };
    Ok(Some(Lean {
        tilt,
        direction_deg: direction(Field::TiltDirection, label::TILT_DIRECTION)?,
        offset: read(Field::TiltOffset, label::TILT_OFFSET)?.unwrap_or(Length::ZERO),
        offset_direction_deg: direction(Field::TiltOffsetDirection, label::DIRECTION)?,
        diameter: read(Field::TiltDiameter, label::TILT_DIAMETER)?,
    }))
}

fn no_lean(request: &Request) -> Result<Option<Lean>, FormError> {
    let mut fields = TILT_FIELDS.iter();
    match fields.find(|field| request.field(**field).is_some()) {
        Some(_) => Err(FormError::of(
            Field::TiltBy,
            label::TILT,
            "enter how far it leans, or clear the fields beside it",
        )),
        None => Ok(None),
    }
}

fn read_broken(request: &Request, unit: Unit) -> Result<Option<BrokenTool>, FormError> {
    let Some(what) = request.field(Field::BrokenPiece) else {
        let measured = [Field::BrokenLength, Field::BrokenTop]
            .iter()
            .any(|field| request.field(*field).is_some());
        if measured {
            let message =
                "Broken off in the hole: choose which piece it is, or clear its measurements.";
            return Err(FormError::new(message).at(Field::BrokenPiece));
        }
        return Ok(None);
    };
    let read = |field, label: &str| {
        let label = format!("Broken {what}, {}", label.to_lowercase());
        length(request, field, &label, unit)
    };
    Ok(Some(BrokenTool {
        what: what.to_owned(),
        length: read(Field::BrokenLength, label::PIECE_LENGTH)?,
        top: read(Field::BrokenTop, label::PIECE_TOP)?,
    }))
}
