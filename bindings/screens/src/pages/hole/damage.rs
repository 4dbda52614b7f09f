//! Damage of a hole: what is missing, hard, broken or cracked, and a form to describe it.

mod read;
pub mod taken_from;

pub use read::record;

use super::HolePage;
use super::ask::trace_link;
use super::readings::{TOLERANCE, tolerance_hint, tolerance_sources};
use crate::clock_direction::editable_clock;
use crate::form::{Form, hidden};
use crate::form_names::{Field, FormName, RowField};
use crate::labels::{markup, sentence};
use holebook_core::hole::damage::{BrokenTool, Damage, HardZone, Lean, Station, Tilt};
use holebook_core::hole::mouth::{BrokenMouth, broken_mouth};
use holebook_core::labels::{NO_DAMAGE, damage_lines};
use holebook_core::length::{Unit, in_unit};
use maud::{Markup, html};

/// Labels that the form and its error messages share.
mod label {
    pub const FROM: &str = "From depth";
    pub const TO: &str = "To depth";
    pub const DIAMETER: &str = "Diameter";
    pub const OFFSET: &str = "Off center by";
    pub const DIRECTION: &str = "Direction (clock)";
    pub const LOWER_DIAMETER: &str = "Diameter at lower end";
    pub const LOWER_OFFSET: &str = "Off center by, lower end";
    pub const LOWER_DIRECTION: &str = "Direction (clock), lower end";
    pub const DIAMETER_TOLERANCE: &str = "Diameter tolerance ±";
    pub const OFFSET_TOLERANCE: &str = "Off-center tolerance ±";
    pub const TILT: &str = "Old hole not square";
    pub const TILT_BY: &str = "Leans by";
    pub const TILT_OVER: &str = "Over a depth of";
    pub const TILT_DEGREES: &str = "Or degrees from square";
    pub const TILT_DIRECTION: &str = "Lower end leans toward (clock)";
    pub const TILT_OFFSET: &str = "Off center at the face by";
    pub const TILT_DIAMETER: &str = "Old hole diameter, to thread root";
    pub const PIECE: &str = "Piece";
    pub const PIECE_LENGTH: &str = "Length";
    pub const PIECE_TOP: &str = "Top below face";
}

/// The damage as recorded, and a form to describe it.
pub fn section(page: &HolePage<'_>) -> Markup {
    let entries = &page.hole.record.damage;
    let now = entries.agreed();
    let open = page.long_form(FormName::Damage).is_rejected();
    html! {
        h3 { "Damage" }
        @match now {
            Some(damage) => (describe(damage, page.context.unit)),
            None => p.faint { @if entries.differ() { "Entries disagree; see above." } @else { "Not described yet." } },
        }
        @if let Some(mouth) = mouth(page) {
            p.caution { b { "Caution: " } (sentence(&in_unit(&mouth.to_string(), page.context.unit))) }
        }
        details open[open] {
            summary { @if now.is_some() { "Redo" } @else { "Describe damage" } }
            @if now != Some(&Damage::default()) {
                form method="post" action=(page.address(FormName::Damage)) {
                    (page.replaces(&entries.0))
                    (hidden(Field::NoDamage, "yes"))
                    p { button { (GOOD) } }
                }
            }
            div #describe-damage { (form(now, page)) }
        }
    }
}

/// The crater that breaks the sealing face, if there is one.
fn mouth(page: &HolePage<'_>) -> Option<BrokenMouth> {
    let situation = page.plan.situation.as_ref().ok()?;
    broken_mouth(situation, page.plan.chosen())
}

/// The button for a hole without damage.
const GOOD: &str = NO_DAMAGE;

/// Describes the damage in words.
pub fn describe(damage: &Damage, unit: Unit) -> Markup {
    html! {
        @if damage == &Damage::default() { p { (GOOD) "." } }
        ul { @for line in damage_lines(damage, unit) { li { (markup(&line)) } } }
    }
}

/// Empty rows of stations and hard zones beyond those that are recorded.
const SPARE_ROWS: usize = 2;
/// Most rows of a form, so that no request can ask for endless work.
const MOST_ROWS: usize = 24;

fn form(now: Option<&Damage>, page: &HolePage<'_>) -> Markup {
    let blank = Damage::default();
    let now = now.unwrap_or(&blank);
    let form = page.long_form(FormName::Damage);
    let unit = page.context.unit;
    html! {
        form method="post" action=(page.address(FormName::Damage)) {
            (page.replaces(&page.hole.record.damage.0))
            h3 { "Missing metal, from the face down" }
            (trace_link(page))
            p.faint { "Each line is a circle of missing metal over a range of depth. A crater is wide and short, a wandered hole long and off center. "
                "Leave the old thread's own hole out. Direction: 12 is up and 3 is right in the photo." }
            @for row in 0..(now.stations.len() + SPARE_ROWS).min(MOST_ROWS) { (station_row(row, now.stations.get(row), form, unit)) }
            h3 { "Hard metal, from welding or chill" }
            @for row in 0..(now.hard.len() + 1).min(MOST_ROWS) { (hard_row(row, now.hard.get(row), form)) }
            (lean_fields(now.lean.as_ref(), form))
            (broken_fields(now.broken_tool.as_ref(), form))
            (form.checkbox(Field::Crack, "Crack at the hole", now.crack))
            (tolerance_sources())
            p { button.main { "Record damage" } }
            (form.questions())
        }
    }
}

fn station_row(row: usize, now: Option<&Station>, form: Form<'_>, unit: Unit) -> Markup {
    let field = |field| Field::Row(field, row);
    let direction = now.map(|station| editable_clock(station.direction_deg));
    html! {
        fieldset {
            legend { "Missing metal " (row + 1) }
            div.fields {
                (form.length(field(RowField::From), label::FROM, now.map(|station| station.span.from), ""))
                (form.length(field(RowField::To), label::TO, now.map(|station| station.span.to), ""))
                (form.length(field(RowField::Diameter), label::DIAMETER, now.map(|station| station.diameter), ""))
                (form.length(field(RowField::Offset), label::OFFSET, now.map(|station| station.offset), ""))
                (form.text(field(RowField::Direction), label::DIRECTION, direction.as_deref(), CLOCK_HINT))
            }
            @if let Some(now) = now { (taken_from::fields(row, now)) }
            (lower_end(row, now, form))
            (tolerances(row, now, form, unit))
        }
    }
}

const CLOCK_HINT: &str = "3, 3:30 or 45°";

/// Fields for a circle that differs at its lower end.
fn lower_end(row: usize, now: Option<&Station>, form: Form<'_>) -> Markup {
    let [diameter, offset, direction] = [
        RowField::LowerDiameter,
        RowField::LowerOffset,
        RowField::LowerDirection,
    ]
    .map(|field| Field::Row(field, row));
    let now_direction = now.and_then(|station| station.to_direction_deg);
    let changes = now.is_some_and(Station::changes);
    let open = changes || form.any_typed(&[diameter, offset, direction]);
    html! {
        details open[open] {
            summary { "Tapers or leans" }
            p.faint { "The circle at its lower end. Blank = as above. Diameter 0 = a point." }
            div.fields {
                (form.length(diameter, label::LOWER_DIAMETER, now.and_then(|station| station.to_diameter), ""))
                (form.length(offset, label::LOWER_OFFSET, now.and_then(|station| station.to_offset), ""))
                (form.text(direction, label::LOWER_DIRECTION, now_direction.map(editable_clock).as_deref(), CLOCK_HINT))
            }
        }
    }
}

fn tolerances(row: usize, now: Option<&Station>, form: Form<'_>, unit: Unit) -> Markup {
    let [diameter, offset] = [RowField::DiameterTolerance, RowField::OffsetTolerance]
        .map(|field| Field::Row(field, row));
    let (of_diameter, of_offset) = now.map_or((None, None), |station| {
        (station.diameter_tolerance, station.offset_tolerance)
    });
    let recorded = of_diameter.is_some() || of_offset.is_some();
    let open = recorded || form.any_typed(&[diameter, offset]);
    html! {
        details open[open] {
            summary { "Tolerances" }
            (tolerance_hint(unit))
            div.fields {
                (form.length(diameter, label::DIAMETER_TOLERANCE, of_diameter, ""))
                (form.length(offset, label::OFFSET_TOLERANCE, of_offset, ""))
            }
        }
    }
}

fn hard_row(row: usize, now: Option<&HardZone>, form: Form<'_>) -> Markup {
    let field = |field| Field::Row(field, row);
    html! {
        fieldset {
            legend { "Hard zone " (row + 1) }
            div.fields {
                (form.length(field(RowField::HardFrom), label::FROM, now.map(|zone| zone.span.from), ""))
                (form.length(field(RowField::HardTo), label::TO, now.map(|zone| zone.span.to), ""))
                (form.length(field(RowField::HardTolerance), TOLERANCE, now.and_then(|zone| zone.tolerance), ""))
            }
        }
    }
}

/// Fields of a hole that is not square.
const TILT_FIELDS: [Field; 7] = [
    Field::TiltBy,
    Field::TiltOver,
    Field::TiltDegrees,
    Field::TiltDirection,
    Field::TiltOffset,
    Field::TiltOffsetDirection,
    Field::TiltDiameter,
];

fn lean_fields(now: Option<&Lean>, form: Form<'_>) -> Markup {
    let (by, over, degrees) = match now.map(|lean| lean.tilt) {
        Some(Tilt::Run { by, over }) => (Some(by), Some(over), None),
        Some(Tilt::Degrees(degrees)) => (None, None, Some(degrees.to_string())),
        None => (None, None, None),
    };
    let direction = now.map(|lean| editable_clock(lean.direction_deg));
    let off = now.filter(|lean| lean.offset.is_positive());
    let off_direction = off.map(|lean| editable_clock(lean.offset_direction_deg));
    html! {
        details open[now.is_some() || form.any_typed(&TILT_FIELDS)] {
            summary { (label::TILT) }
            p.faint { "Put a bolt or pin in it and a square beside it: measure how far it leans, and over what length. Or enter the angle." }
            div.fields {
                (form.length(Field::TiltBy, label::TILT_BY, by, ""))
                (form.length(Field::TiltOver, label::TILT_OVER, over, ""))
                (form.text(Field::TiltDegrees, label::TILT_DEGREES, degrees.as_deref(), ""))
                (form.text(Field::TiltDirection, label::TILT_DIRECTION, direction.as_deref(), CLOCK_HINT))
                (form.length(Field::TiltOffset, label::TILT_OFFSET, off.map(|lean| lean.offset), "blank = on center"))
                (form.text(Field::TiltOffsetDirection, label::DIRECTION, off_direction.as_deref(), CLOCK_HINT))
                (form.length(Field::TiltDiameter, label::TILT_DIAMETER, now.and_then(|lean| lean.diameter), "blank = size of the wanted thread"))
            }
        }
    }
}

fn broken_fields(now: Option<&BrokenTool>, form: Form<'_>) -> Markup {
    let kinds = ["", "bolt", "stud", "tap", "drill", "screw extractor"].map(|kind| {
        let label = if kind.is_empty() { "none" } else { kind };
        (kind.to_owned(), label.to_owned())
    });
    html! {
        fieldset {
            legend { "Broken off in the hole" }
            div.fields {
                (form.select(Field::BrokenPiece, label::PIECE, now.map(|broken| broken.what.as_str()), &kinds))
                (form.length(Field::BrokenLength, label::PIECE_LENGTH, now.and_then(|broken| broken.length), "if known"))
                (form.length(Field::BrokenTop, label::PIECE_TOP, now.and_then(|broken| broken.top), "if known"))
            }
        }
    }
}
