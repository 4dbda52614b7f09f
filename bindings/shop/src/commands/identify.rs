//! `holebook identify`: finds the threads that a reading can mean.

use super::output::OutputOptions;
use super::phrases::computed_mm;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, item, paragraph};
use holebook_core::length::{Length, Unit, in_unit};
use holebook_core::thread::identify::{
    Candidate, Conclusion, Identification, MatchLevel, Measured, Readings, identify, parse_pitch,
};

/// How many notes are shown; further ones repeat them.
const NOTES_SHOWN: usize = 3;

/// Prints the threads that the readings can mean.
///
/// # Errors
/// If a reading cannot be parsed or is out of range.
pub fn run(args: &cli::Identify, output: OutputOptions) -> Result<(), Failure> {
    let found = identify(&readings(args)?)?;
    if output.json {
        return out::print_json(&found.candidates);
    }
    out::print(&identified_text(&found, output.unit()))
}

fn readings(args: &cli::Identify) -> Result<Readings, Failure> {
    let length = |text: &String| Length::parse(text, None);
    let measured = match (&args.outside, &args.inside) {
        (Some(outside), _) => Measured::Outside(Length::parse_diameter(outside, None)?),
        (None, Some(inside)) => Measured::Inside(Length::parse_diameter(inside, None)?),
        (None, None) => {
            return Err(Failure::Message(
                "give a reading with --outside or --inside".into(),
            ));
        }
    };
    let mut pitch = args.pitch.as_deref().map(parse_pitch).transpose()?;
    let pitch_error = args.pitch_error.as_ref().map(length).transpose()?;
    if let (Some(pitch), Some(error)) = (&mut pitch, pitch_error) {
        pitch.tolerance = error;
    }
    let mut readings = Readings::new(measured, pitch);
    if let Some(error) = &args.error {
        readings.diameter_tolerance = length(error)?;
    }
    Ok(readings)
}

fn identified_text(found: &Identification, unit: Unit) -> String {
    let mut text = conclusion_text(&found.conclusion, unit);
    if found.candidates.is_empty() {
        return text;
    }
    let mut table = Table::new(&[
        ("thread", Side::Left),
        ("outside limits by", Side::Right),
        ("pitch off by", Side::Right),
        ("match", Side::Left),
    ]);
    let mut notes = String::new();
    for candidate in &found.candidates {
        let misfit = if candidate.misfit_mm == 0.0 {
            "within limits".into()
        } else {
            misfit_text(candidate.misfit_mm, unit)
        };
        let pitch = candidate
            .pitch_misfit_mm
            .map_or_else(|| "not measured".into(), |misfit| misfit_text(misfit, unit));
        let level = likelihood(candidate.match_level).to_owned();
        table.row([candidate.designation.clone(), misfit, pitch, level]);
    }
    let likely = |candidate: &&Candidate| candidate.match_level != MatchLevel::Unlikely;
    for candidate in found.candidates.iter().filter(likely).take(NOTES_SHOWN) {
        if let Some(note) = &candidate.note {
            let note = in_unit(note, unit);
            notes.push_str(&item(&format!("{}: {note}", candidate.designation)));
        }
    }
    text.push_str(&format!("\n{table}"));
    if !notes.is_empty() {
        text.push_str(&format!("\n{notes}"));
    }
    text
}

/// The conclusion, and the readings that would decide.
fn conclusion_text(conclusion: &Conclusion, unit: Unit) -> String {
    let mut text = paragraph(&in_unit(&conclusion.to_string(), unit));
    if let Conclusion::SeveralMatch {
        deciding_checks: checks,
        ..
    } = conclusion
    {
        for check in checks {
            text.push_str(&item(&in_unit(&format!("To decide: {check}."), unit)));
        }
    }
    text
}

const fn likelihood(level: MatchLevel) -> &'static str {
    match level {
        MatchLevel::OnlyMatch => "match",
        MatchLevel::Possible => "possible",
        MatchLevel::Unlikely => "unlikely",
    }
}

fn misfit_text(misfit_mm: f64, unit: Unit) -> String {
    if misfit_mm == 0.0 {
        return "0".into();
    }
    computed_mm(misfit_mm, |misfit| misfit.show_limit(unit))
}
