//! `holebook identify`: which thread a reading belongs to.

use super::look::Look;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item, paragraph};
use holebook_core::length::{Length, Unit};
use holebook_core::thread::identify::{
    Candidate, Conclusion, Identified, Measured, Readings, Standing, identify, parse_pitch,
};

/// The notes of so many threads are shown; the others say much the same.
const NOTES_SHOWN: usize = 3;

/// Says which threads the readings may belong to.
///
/// # Errors
/// A reading that does not read, or cannot be.
pub fn run(asked: &cli::Identify, look: Look) -> Result<(), Failure> {
    let found = identify(&readings(asked)?)?;
    if look.json {
        return out::json(&found.candidates);
    }
    out::say(&words(&found, look.unit()))
}

fn readings(asked: &cli::Identify) -> Result<Readings, Failure> {
    let length = |text: &String| Length::parse(text, None);
    let measured = match (&asked.outside, &asked.inside) {
        (Some(outside), _) => Measured::Outside(length(outside)?),
        (None, Some(inside)) => Measured::Inside(length(inside)?),
        (None, None) => {
            return Err(Failure::Said(
                "say what was measured, with --outside or --inside".into(),
            ));
        }
    };
    let mut pitch = asked.pitch.as_deref().map(parse_pitch).transpose()?;
    let pitch_error = asked.pitch_error.as_ref().map(length).transpose()?;
    if let (Some(pitch), Some(error)) = (&mut pitch, pitch_error) {
        pitch.error = error;
    }
    let mut readings = Readings::new(measured, pitch);
    if let Some(error) = &asked.error {
        readings.diameter_error = length(error)?;
    }
    Ok(readings)
}

fn words(found: &Identified, unit: Unit) -> String {
    let mut words = said(&found.conclusion);
    if found.candidates.is_empty() {
        return words;
    }
    let mut table = Table::new(&[
        ("it may be", Side::Left),
        ("outside its sizes by", Side::Right),
        ("pitch off by", Side::Right),
        ("so it is", Side::Left),
    ]);
    let mut notes = String::new();
    for candidate in &found.candidates {
        let misfit = if candidate.misfit_mm == 0.0 {
            "within".into()
        } else {
            small(candidate.misfit_mm, unit)
        };
        let pitch = candidate
            .pitch_misfit_mm
            .map_or_else(|| "not measured".into(), |misfit| small(misfit, unit));
        let standing = standing(candidate.standing).to_owned();
        table.row([candidate.designation.clone(), misfit, pitch, standing]);
    }
    let open = |candidate: &&Candidate| candidate.standing != Standing::Unlikely;
    for candidate in found.candidates.iter().filter(open).take(NOTES_SHOWN) {
        if let Some(note) = &candidate.note {
            notes.push_str(&item(&format!("{}: {note}", candidate.designation)));
        }
    }
    words.push_str(&format!("\n{table}"));
    if !notes.is_empty() {
        words.push_str(&format!("\n{notes}"));
    }
    words
}

/// The conclusion, and the readings that would tell.
fn said(conclusion: &Conclusion) -> String {
    let mut words = paragraph(&conclusion.to_string());
    if let Conclusion::Several { tells, .. } = conclusion {
        for tell in tells {
            words.push_str(&item(&format!("What would tell: {tell}.")));
        }
    }
    words
}

const fn standing(standing: Standing) -> &'static str {
    match standing {
        Standing::Told => "the one",
        Standing::Possible => "possible",
        Standing::Unlikely => "unlikely",
    }
}

fn small(misfit_mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{:.4} in", misfit_mm / 25.4),
        Unit::Millimetre => format!("{misfit_mm:.2} mm"),
    }
}
