//! The nearest drills for a thread's holes or a diameter.

use super::{Bench, drill_table};
use crate::form::{Form, FormError};
use crate::form_names::Field;
use crate::labels::sentence_case;
use holebook_core::drill::{
    DrillKinds, HolePurpose, HoleSpec, drill_choices as nearest, usual_drills,
};
use holebook_core::insert::holes_for;
use maud::{Markup, html};

const DIAMETER: &str = "Or a diameter";
const ENGAGEMENT: &str = "Thread engagement";

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields {
        (bench.thread_field(form))
        (form.length(Field::Diameter, DIAMETER, None, "9.9 mm, 25/64, .390"))
        (form.select(Field::Purpose, "For", None, &purposes()))
        (bench.drill_kinds_field(form))
        (form.length(Field::Engagement, ENGAGEMENT, None, "optional; narrows the limits of an inch thread"))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, FormError> {
    let (holes, usual) = holes(bench)?;
    let kinds = bench.drill_kinds(usual)?;
    Ok(html! {
        (drill_table::caution())
        @for hole in &holes {
            section.panel {
                h2 { (sentence_case(&hole.job)) }
                (drill_table::table(&nearest(hole, kinds), bench.unit))
            }
        }
    })
}

/// The requested holes, and the usual drills for them.
fn holes(bench: &Bench) -> Result<(Vec<HoleSpec>, DrillKinds), FormError> {
    let diameter = bench.length(Field::Diameter, DIAMETER)?;
    match (diameter, bench.asked.field(Field::Thread)) {
        (Some(_), Some(_)) => {
            let message = "both a thread and a diameter are given; keep one";
            Err(FormError::of(Field::Diameter, DIAMETER, message))
        }
        (Some(diameter), None) => Ok((vec![HoleSpec::diameter(diameter)], DrillKinds::ALL)),
        (None, _) => {
            let engaged = bench.length(Field::Engagement, ENGAGEMENT)?;
            let thread = bench.thread()?;
            let mut holes = holes_for(&bench.catalog, &thread, engaged);
            let job = bench.asked.field(Field::Purpose);
            holes.retain(|hole| job.is_none_or(|job| job == job_of(hole.purpose)));
            Ok((holes, usual_drills(&thread)))
        }
    }
}

/// What a thread's hole is for.
fn purposes() -> Vec<(String, String)> {
    [
        ("", "all holes of the thread"),
        ("tap", "tapping"),
        ("insert", "inserts"),
        ("clearance", "clearance for a bolt"),
        ("broken", "removing a broken bolt"),
    ]
    .map(|(key, words)| (key.to_owned(), words.to_owned()))
    .to_vec()
}

const fn job_of(purpose: HolePurpose) -> &'static str {
    match purpose {
        HolePurpose::Tap | HolePurpose::Diameter => "tap",
        HolePurpose::Insert => "insert",
        HolePurpose::Clearance(_) => "clearance",
        HolePurpose::BrokenBoltPilot | HolePurpose::BrokenBoltCore => "broken",
    }
}
