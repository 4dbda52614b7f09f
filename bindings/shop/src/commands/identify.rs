//! `holebook identify`: which thread a reading belongs to.

use super::look::Look;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item};
use holebook_core::length::{Length, Unit};
use holebook_core::thread::identify::{Candidate, Measured, identify, parse_pitch};

/// Says which threads the readings may belong to.
///
/// # Errors
/// A reading that does not read, or cannot be.
pub fn run(asked: &cli::Identify, look: Look) -> Result<(), Failure> {
    let measured = match (&asked.outside, &asked.inside) {
        (Some(outside), _) => Measured::Outside(Length::parse(outside, None)?),
        (None, Some(inside)) => Measured::Inside(Length::parse(inside, None)?),
        (None, None) => {
            return Err(Failure::Said(
                "say what was measured, with --outside or --inside".into(),
            ));
        }
    };
    let pitch = asked.pitch.as_deref().map(parse_pitch).transpose()?;
    let candidates = identify(measured, pitch)?;
    if look.json {
        return out::json(&candidates);
    }
    out::say(&words(&candidates, look.unit()))
}

fn words(candidates: &[Candidate], unit: Unit) -> String {
    if candidates.is_empty() {
        return "No thread kept here is near to that; measure again, and see whether it is a pipe thread or an old \
                one of the maker's own.\n"
            .into();
    }
    let mut table = Table::new(&[
        ("it may be", Side::Left),
        ("outside its limits by", Side::Right),
        ("pitch off by", Side::Right),
    ]);
    let mut notes = String::new();
    for candidate in candidates {
        let misfit = if candidate.misfit_mm == 0.0 {
            "within".into()
        } else {
            small(candidate.misfit_mm, unit)
        };
        let pitch = candidate
            .pitch_misfit_mm
            .map_or_else(|| "not measured".into(), |misfit| small(misfit, unit));
        table.row([candidate.designation.clone(), misfit, pitch]);
        if let Some(note) = &candidate.note {
            notes.push_str(&item(&format!("{}: {note}", candidate.designation)));
        }
    }
    if notes.is_empty() {
        table.to_string()
    } else {
        format!("{table}\n{notes}")
    }
}

fn small(misfit_mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{:.4} in", misfit_mm / 25.4),
        Unit::Millimetre => format!("{misfit_mm:.2} mm"),
    }
}
