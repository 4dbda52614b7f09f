//! What is under way, and what came of the last exchange: what it moved, what came in question, what went wrong.

use crate::meeting::{Done, Leg, LegState, Run, Way};
use crate::words::{count, sentence_case, when};
use holebook_core::exchange::{Progress, Report, Stage};
use holebook_core::notebook::{HoleId, HoleView, Moved, Notebook, NotebookError};
use maud::{Markup, html};

/// Holes in question that are named; of more, the number is said.
const HOLES: usize = 12;
/// Files that were not taken and are named; of more, the number is said.
const PROBLEMS: usize = 6;

/// The leaf; nothing where nothing was done since the program started.
pub fn leaf(notebook: &Notebook, run: Option<&Run>) -> Result<Markup, NotebookError> {
    let Some(run) = run else {
        return Ok(html! {});
    };
    let legs = run
        .legs
        .iter()
        .map(|leg| one(notebook, leg))
        .collect::<Result<Vec<_>, _>>()?;
    let failed = run.legs.iter().filter(|leg| has_failed(leg)).count();
    Ok(html! {
        section.leaf.run.next[run.is_under_way()].question[failed > 0] #run data-follow[run.is_under_way()] aria-labelledby="run-head" {
            @match run.ended {
                None => { h2 #run-head { "Under way" } }
                Some(at) => { h2 #run-head { (ended(failed, run.legs.len())) ", " (when(&at)) } }
            }
            @for leg in &legs { (leg) }
            @if run.is_under_way() {
                form method="post" action="/exchange/end" { button { "End it" } }
                p.faint { "You can go on writing meanwhile. What is moved by the time it ends stays, and the next exchange goes on from there." }
            }
        }
    })
}

fn has_failed(leg: &Leg) -> bool {
    matches!(leg.state, LegState::Failed(_))
}

/// What became of a run of so many legs, of which so many failed.
fn ended(failed: usize, legs: usize) -> &'static str {
    match failed {
        0 => "Done",
        failed if failed < legs => "Done in part",
        _ => "Not done",
    }
}

fn one(notebook: &Notebook, leg: &Leg) -> Result<Markup, NotebookError> {
    let name = sentence_case(&leg.name);
    let body = match &leg.state {
        LegState::Waiting => html! { p.faint { "Comes next." } },
        LegState::UnderWay(progress) => under_way(leg, *progress),
        LegState::Failed(why) => html! {
            p.problem role="alert" { (sentence_case(why.trim_end_matches('.'))) "." }
        },
        LegState::Done(Done::Written(file)) => super::bundle::written(file),
        LegState::Done(Done::Moved(report)) => outcome(notebook, leg.way, report)?,
    };
    Ok(html! { h3 { (name) } (body) })
}

fn under_way(leg: &Leg, progress: Option<Progress>) -> Markup {
    let Some(progress) = progress else {
        return html! { p { "Begins." } progress aria-label=(leg.name) {} };
    };
    let words = match (leg.way, progress.stage) {
        (_, Stage::Looking) => "Looking at what lies there",
        (_, Stage::Taking) => "Taking",
        (Way::WriteBundle, Stage::Leaving) => "Writing",
        (_, Stage::Leaving) => "Leaving",
    };
    let (done, of) = match (progress.photo_bytes_of, progress.entries_of) {
        (0, entries) => (progress.entries, entries),
        (bytes, _) => (progress.photo_bytes, bytes),
    };
    html! {
        p { (words)
            @if progress.entries_of > 0 { ": " (progress.entries) " of " (progress.entries_of) " entries" }
            @if progress.photo_bytes_of > 0 { ", " (megabytes(progress.photo_bytes)) " of " (megabytes(progress.photo_bytes_of)) " MB of photos" }
            "." }
        @if of > 0 { progress aria-label=(leg.name) max=(of) value=(done.min(of)) {} }
        @else { progress aria-label=(leg.name) {} }
    }
}

fn outcome(notebook: &Notebook, way: Way, report: &Report) -> Result<Markup, NotebookError> {
    let all = Moved {
        entries_taken: report.entries_taken,
        entries_left: report.entries_left,
        photos_taken: report.photos_taken,
        photos_left: report.photos_left,
    };
    let missing = report.photos_missing.len();
    let words = match way {
        Way::TakeBundle => taken(all),
        _ => moved(all, report.problems.len()),
    };
    Ok(html! {
        p { (words) @if report.made_shelf { " The shelf was new." } }
        (in_question(notebook, &report.in_question)?)
        @if missing > 0 {
            p { (count(missing, "photo is", "photos are")) " still with another device; exchange there, then here again." }
        }
        @if report.went_on_as.is_some() {
            p { "This notebook was copied, or restored from a copy; nothing is lost, and it goes on as a device of its own." }
        }
        @if !report.problems.is_empty() {
            ul { @for problem in report.problems.iter().take(PROBLEMS) { li { (sentence_case(&problem.to_string())) "." } } }
            @if let Some(more) = report.problems.len().checked_sub(PROBLEMS).filter(|more| *more > 0) {
                p { "And " (count(more, "more file was", "more files were")) " not taken." }
            }
        }
    })
}

/// The holes in which two answers stand since, each a step away from being settled. What was settled meanwhile is not
/// asked again.
fn in_question(notebook: &Notebook, holes: &[HoleId]) -> Result<Markup, NotebookError> {
    let mut links = Vec::new();
    for id in holes.iter().take(HOLES) {
        match notebook.hole(*id) {
            Ok(hole) if hole.in_question => links.push(link(&hole)),
            Ok(_) | Err(NotebookError::NoSuch { .. }) => {}
            Err(error) => return Err(error),
        }
    }
    let more = holes.len().saturating_sub(HOLES);
    Ok(html! {
        @if links.is_empty() && more == 0 {
            @if !holes.is_empty() { p { "What came in question by it is settled." } }
        } @else {
            div.caution {
                p { b { "In question" } ": two devices wrote different things of "
                    (count(links.len() + more, "hole", "holes")) ". See both, and say which stands:" }
                ul.asked { @for link in &links { li { (link) } } }
                @if more > 0 { p { "And of " (count(more, "other hole", "other holes")) ", which their castings show." } }
            }
        }
    })
}

fn link(hole: &HoleView) -> Markup {
    html! {
        a href=(format!("/hole/{}#questions", hole.id)) {
            "Hole " (hole.number) ", " (hole.face_name) ", " (hole.casting_name)
        }
    }
}

/// What an exchange moved, in a sentence; `lacking` files could not be taken.
pub fn moved(moved: Moved, lacking: usize) -> String {
    let Moved {
        entries_taken,
        entries_left,
        photos_taken,
        photos_left,
    } = moved;
    if entries_taken + entries_left + photos_taken + photos_left + lacking == 0 {
        return "Nothing was new on either side.".to_owned();
    }
    format!(
        "Took {}; left {}.",
        things(entries_taken, photos_taken),
        things(entries_left, photos_left)
    )
}

/// What was taken from a bundle.
fn taken(moved: Moved) -> String {
    match moved.entries_taken + moved.photos_taken {
        0 => "Nothing in it was new.".to_owned(),
        _ => format!("Took {}.", things(moved.entries_taken, moved.photos_taken)),
    }
}

/// Entries and photos, those that there are.
pub fn things(entries: usize, photos: usize) -> String {
    let entries_words = count(entries, "entry", "entries");
    match (entries, photos) {
        (0, 0) => "nothing".to_owned(),
        (_, 0) => entries_words,
        (0, _) => count(photos, "photo", "photos"),
        _ => format!("{entries_words} and {}", count(photos, "photo", "photos")),
    }
}

/// Bytes as megabytes, to the tenth.
pub fn megabytes(bytes: u64) -> String {
    format!("{:.1}", bytes as f64 / 1e6)
}
