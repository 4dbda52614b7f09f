//! The nearest drills for a thread's holes, or for a diameter.

use super::{Bench, choices};
use crate::form::{Form, Refusal};
use crate::words::sentence_case;
use holebook_core::drill::{Drawer, HoleWanted, Purpose, choices as nearest, usual_drawer};
use holebook_core::insert::holes_for;
use maud::{Markup, html};

const DIAMETER: &str = "Or a diameter";
const ENGAGED: &str = "Thread engaged";

pub fn fields(bench: &Bench, form: &Form<'_>) -> Markup {
    html! { div.fields {
        (bench.thread_field(form))
        (form.length("diameter", DIAMETER, None, "9.9 mm, 25/64, .390"))
        (form.choose("for", "For", None, &jobs()))
        (bench.drawer_field(form))
        (form.length("engaged", ENGAGED, None, "narrows the tapped hole of an inch thread; may stay empty"))
    } }
}

pub fn answer(bench: &Bench) -> Result<Markup, Refusal> {
    let (holes, usual) = holes(bench)?;
    let drawer = bench.drawer(usual)?;
    Ok(html! {
        (choices::caution())
        @for hole in &holes {
            section.leaf {
                h2 { (sentence_case(&hole.job)) }
                (choices::table(&nearest(hole, drawer), bench.unit))
            }
        }
    })
}

/// The holes asked for, and the drills that are usual for them.
fn holes(bench: &Bench) -> Result<(Vec<HoleWanted>, Drawer), Refusal> {
    let diameter = bench.length("diameter", DIAMETER)?;
    match (diameter, bench.asked.field("thread")) {
        (Some(_), Some(_)) => {
            let sentence = "a thread and a diameter are written; keep one of them";
            Err(Refusal::of(DIAMETER, sentence).at("diameter"))
        }
        (Some(diameter), None) => Ok((vec![HoleWanted::diameter(diameter)], Drawer::ALL)),
        (None, _) => {
            let engaged = bench.length("engaged", ENGAGED)?;
            let thread = bench.thread()?;
            let mut holes = holes_for(&bench.catalogue, &thread, engaged);
            let job = bench.asked.field("for");
            holes.retain(|hole| job.is_none_or(|job| job == job_of(hole.purpose)));
            Ok((holes, usual_drawer(&thread)))
        }
    }
}

/// What a thread's hole may be for, to choose from.
fn jobs() -> Vec<(String, String)> {
    [
        ("", "every hole of the thread"),
        ("tap", "tapping"),
        ("insert", "inserts"),
        ("clearance", "a bolt to pass through"),
        ("broken", "a broken bolt"),
    ]
    .map(|(key, words)| (key.to_owned(), words.to_owned()))
    .to_vec()
}

const fn job_of(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Tap | Purpose::Diameter => "tap",
        Purpose::Insert => "insert",
        Purpose::Clearance(_) => "clearance",
        Purpose::BrokenBoltPilot | Purpose::BrokenBoltCore => "broken",
    }
}
