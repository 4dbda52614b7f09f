//! Which thread a reading belongs to.

use super::Bench;
use crate::form::{Form, Refusal, unit_word};
use crate::words::sentence_case;
use holebook_core::length::Unit;
use holebook_core::thread::identify::{
    Candidate, Conclusion, Measured, Readings, Standing, identify, parse_pitch,
};
use maud::{Markup, html};

const READING: &str = "Caliper";
const OFF: &str = "Caliper may be off by";
const PITCH: &str = "Pitch";

pub fn fields(form: &Form<'_>) -> Markup {
    html! { div.fields {
        (form.choose("across", "Measured across", None, &[
            ("outside".to_owned(), "the outside of the screw".to_owned()),
            ("inside".to_owned(), "the bore of the hole".to_owned()),
        ]))
        (form.length("reading", READING, None, "across the crests"))
        (form.length("off", OFF, None, "empty: as a caliper usually is (judgement)"))
        (form.text("pitch", PITCH, None, "14tpi, 1.8mm, or 18mm/10 over ten; may stay empty"))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, Refusal> {
    let found =
        identify(&readings(bench)?).map_err(|error| Refusal::of(READING, error).at("reading"))?;
    let (open, unlikely): (Vec<_>, Vec<_>) = found
        .candidates
        .iter()
        .partition(|candidate| candidate.standing != Standing::Unlikely);
    Ok(html! {
        section.leaf {
            h2 { "What the readings say" }
            p { b { (sentence_case(&found.conclusion.to_string())) } }
            @if let Conclusion::Several { tells, .. } = &found.conclusion {
                ul { @for tell in tells { li { "What would tell: " (tell) "." } } }
            }
            p.caution { b { "Care. " } "A thread that only nearly fits holds part of its load, and pulls out without a sign. "
                "Try a gauge or a known screw by hand before anything depends on it." }
            p.source { "Limits of the usual class; what a worn crest and a reading may be off by is a judgement." }
        }
        @if !open.is_empty() { section.leaf {
            h2 { "It may be" }
            ol.candidates { @for candidate in &open { (line(candidate, bench.unit)) } }
        } }
        @if !unlikely.is_empty() { section.leaf { details {
            summary { "Near, but unlikely" }
            ol.candidates { @for candidate in &unlikely { (line(candidate, bench.unit)) } }
        } } }
    })
}

fn readings(bench: &Bench) -> Result<Readings, Refusal> {
    let reading = bench.needed_length("reading", READING)?;
    let measured = match bench.asked.field("across") {
        Some("inside") => Measured::Inside(reading),
        _ => Measured::Outside(reading),
    };
    let pitch = bench.asked.field("pitch").map(parse_pitch).transpose();
    let pitch = pitch.map_err(|error| Refusal::of(PITCH, error).at("pitch"))?;
    let mut readings = Readings::new(measured, pitch);
    if let Some(off) = bench.length("off", OFF)? {
        readings.diameter_error = off;
    }
    Ok(readings)
}

fn line(candidate: &Candidate, unit: Unit) -> Markup {
    let off = |mm: f64| match unit {
        Unit::Inch => format!("{:.4} {}", mm / 25.4, unit_word(unit)),
        Unit::Millimetre => format!("{mm:.2} {}", unit_word(unit)),
    };
    html! {
        li {
            b.big { (candidate.designation) }
            p {
                @if candidate.misfit_mm == 0.0 { "● The reading is that of a sound thread" }
                @else { "◐ The reading lies " (off(candidate.misfit_mm)) " outside its sizes" }
                @match candidate.pitch_misfit_mm {
                    Some(misfit) => { ", its pitch is off by " (off(misfit)) "." }
                    None => ", its pitch was not measured.",
                }
            }
            @if let Some(note) = &candidate.note { p.faint { (sentence_case(note.trim_end_matches('.'))) "." } }
            @if let Some(tell) = &candidate.told_by { p.faint { "Told from the first by: " (tell) "." } }
        }
    }
}
