//! Which thread fits a reading.

use super::Bench;
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::{sentence, sentence_case, sources};
use holebook_core::length::{Length, Rounding, Unit, in_unit};
use holebook_core::thread::identify::{
    Candidate, Conclusion, MatchLevel, Measured, Readings, identify, parse_pitch,
};
use maud::{Markup, html};

const READING: &str = "Caliper";
const TOLERANCE: &str = "Caliper tolerance ±";
const PITCH: &str = "Pitch";
/// A pitch that differs by less is shown as the same: it would be .0000 in.
const SAME_PITCH_MM: f64 = 0.001;

pub fn fields(form: &Form<'_>) -> Markup {
    html! { div.fields {
        (form.select(Field::MeasuredAcross, "Measured", None, &[
            ("outside".to_owned(), "outside of the screw".to_owned()),
            ("inside".to_owned(), "bore of the hole".to_owned()),
        ]))
        (form.length(Field::CaliperReading, READING, None, "across the crests"))
        (form.length(Field::CaliperTolerance, TOLERANCE, None, "blank = usual for a caliper"))
        (form.text(Field::Pitch, PITCH, None, "optional; 14tpi, 1.8mm, or 18mm/10 over ten threads"))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let found = identify(&readings(bench)?)
        .map_err(|error| FormError::of(Field::CaliperReading, READING, error))?;
    let unit = bench.unit;
    let (matching, unlikely): (Vec<_>, Vec<_>) = found
        .candidates
        .iter()
        .partition(|candidate| candidate.match_level != MatchLevel::Unlikely);
    Ok(html! {
        section.panel {
            h2 { "Result" }
            p { b { (sentence_case(&in_unit(&found.conclusion.to_string(), unit))) } }
            @if let Conclusion::SeveralMatch { deciding_checks, .. } = &found.conclusion {
                ul { @for check in deciding_checks { li { "To decide: " (sentence_tail(check, unit)) } } }
            }
            p.caution { b { "Caution: " } "A thread that nearly fits holds part of its load and pulls out without warning. "
                "Try a gauge or a known screw by hand before you rely on it." }
            (sources([
                "Limits: the usual class".to_owned(),
                "Allowance for worn crests and for the reading: judgment".to_owned(),
            ]))
        }
        @if !matching.is_empty() { section.panel {
            h2 { "Matches" }
            ol.candidates { @for candidate in &matching { (line(candidate, unit)) } }
        } }
        @if !unlikely.is_empty() { section.panel { details {
            summary { "Close, but unlikely" }
            ol.candidates { @for candidate in &unlikely { (line(candidate, unit)) } }
        } } }
    })
}

fn readings(bench: &Bench) -> Result<Readings, FormError> {
    let reading = bench.required_length(Field::CaliperReading, READING)?;
    let measured = match bench.asked.field(Field::MeasuredAcross) {
        Some("inside") => Measured::Inside(reading),
        _ => Measured::Outside(reading),
    };
    let pitch = bench.asked.field(Field::Pitch).map(parse_pitch).transpose();
    let pitch = pitch.map_err(|error| FormError::of(Field::Pitch, PITCH, error))?;
    let mut readings = Readings::new(measured, pitch);
    if let Some(tolerance) = bench.length(Field::CaliperTolerance, TOLERANCE)? {
        readings.diameter_tolerance = tolerance;
    }
    Ok(readings)
}

/// The end of a sentence, in the reader's unit.
fn sentence_tail(text: &str, unit: Unit) -> String {
    format!("{}.", in_unit(text.trim_end_matches('.'), unit))
}

fn line(candidate: &Candidate, unit: Unit) -> Markup {
    let off = |mm: f64| match Length::from_mm(mm) {
        Ok(length) if unit == Unit::Millimeter => length.rounded(unit, Rounding::Nearest),
        Ok(length) => length.show_limit(unit),
        Err(_) => "too much".to_owned(),
    };
    html! {
        li {
            b.big { (candidate.designation) }
            p {
                @if candidate.misfit_mm == 0.0 { "● Diameter within limits" }
                @else { "◐ Diameter " (off(candidate.misfit_mm)) " outside the limits" }
                @match candidate.pitch_misfit_mm {
                    Some(misfit) if misfit.abs() < SAME_PITCH_MM => "; pitch matches.",
                    Some(misfit) => { "; pitch off by " (off(misfit)) "." }
                    None => "; pitch not measured.",
                }
            }
            @if let Some(note) = &candidate.note { p.faint { (sentence(&in_unit(note, unit))) } }
            @if let Some(tell) = &candidate.told_apart_by { p.faint { "Easily confused with the first; tell them apart by " (sentence_tail(tell, unit)) } }
        }
    }
}
