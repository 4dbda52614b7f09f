//! The progress of a sync, or the result of the last one: counts, conflicts and problems.

use super::devices;
use crate::form_names::FormName;
use crate::labels::{count, date_time, entries_and_photos, megabytes, sentence, sentence_case};
use crate::sync_backend::{Run, RunResult, RunStep, RunStepState, TaskKind};
use holebook_core::display_name::shown;
use holebook_core::notebook::{HoleId, HoleView, Notebook, NotebookError, SyncCounts};
use holebook_core::sync::{Progress, SyncPhase, SyncReport};
use maud::{Markup, html};

/// Most holes with conflicts that are listed; the rest are counted.
const HOLES: usize = 12;
/// Most problems that are listed; the rest are counted.
const PROBLEMS: usize = 6;

/// The section; nothing if nothing ran since the program started. `can_share` says that a bundle
/// can be shared with other apps.
pub fn section(
    notebook: &Notebook,
    run: Option<&Run>,
    can_share: bool,
) -> Result<Markup, NotebookError> {
    let Some(run) = run else {
        return Ok(html! {});
    };
    let steps = run
        .steps
        .iter()
        .map(|step| leg_section(notebook, step, can_share))
        .collect::<Result<Vec<_>, _>>()?;
    let failed = run.steps.iter().filter(|step| has_failed(step)).count();
    Ok(html! {
        section.panel.run.next[run.is_running()].failed[failed > 0] #run data-follow[run.is_running()] aria-labelledby="run-head" {
            @match run.ended {
                None => { h2 #run-head { "Syncing" } }
                Some(at) => { h2 #run-head { (result(failed, run.steps.len())) ", " (date_time(&at)) } }
            }
            @for step in &steps { (step) }
            @if run.is_running() {
                form method="post" action=(FormName::StopSync.address()) { button { "Stop" } }
                p.faint { "You can keep working. If you stop it, what is transferred stays, and the next sync continues from there." }
            }
        }
    })
}

fn has_failed(step: &RunStep) -> bool {
    matches!(step.state, RunStepState::Failed(_))
}

/// The result of a run of `steps`, of which `failed` failed.
fn result(failed: usize, steps: usize) -> &'static str {
    match failed {
        0 => "Done",
        failed if failed < steps => "Partly done",
        _ => "Failed",
    }
}

fn leg_section(
    notebook: &Notebook,
    step: &RunStep,
    can_share: bool,
) -> Result<Markup, NotebookError> {
    let name = sentence_case(&shown(&step.name));
    let body = match &step.state {
        RunStepState::Waiting => html! { p.faint { "Waiting." } },
        RunStepState::Running(progress) => in_progress(step, *progress),
        RunStepState::Failed(why) => {
            html! { p.problem role="alert" { (sentence(&why.to_string())) } }
        }
        RunStepState::Done(RunResult::BundleWritten(file)) => {
            super::bundle::written("Save the bundle", file, can_share)
        }
        RunStepState::Done(RunResult::Exported(file)) => {
            super::bundle::written("Save the export", file, can_share)
        }
        RunStepState::Done(RunResult::Synced(report)) => outcome(notebook, step, report)?,
    };
    Ok(html! { h3 { (name) } (body) })
}

fn in_progress(step: &RunStep, progress: Option<Progress>) -> Markup {
    let Some(progress) = progress else {
        return html! { p { "Starting." } progress aria-label=(shown(&step.name)) {} };
    };
    let phase = match (step.kind, progress.phase) {
        (_, SyncPhase::Listing) => "Comparing",
        (_, SyncPhase::Pulling) => "Receiving",
        (TaskKind::WriteBundle | TaskKind::Export, SyncPhase::Pushing) => "Writing",
        (_, SyncPhase::Pushing) => "Sending",
    };
    let (done, of) = match (progress.photo_bytes_total, progress.entries_total) {
        (0, entries) => (progress.entries, entries),
        (bytes, _) => (progress.photo_bytes, bytes),
    };
    html! {
        p { (phase)
            @if progress.entries_total > 0 { ": " (progress.entries) " of " (progress.entries_total) " entries" }
            @if progress.photo_bytes_total > 0 { ", " (megabytes(progress.photo_bytes)) " of " (megabytes(progress.photo_bytes_total)) " MB of photos" }
            "." }
        @if of > 0 { progress aria-label=(step.name) max=(of) value=(done.min(of)) {} }
        @else { progress aria-label=(step.name) {} }
    }
}

fn outcome(
    notebook: &Notebook,
    RunStep { kind, name, .. }: &RunStep,
    report: &SyncReport,
) -> Result<Markup, NotebookError> {
    let all = SyncCounts {
        entries_pulled: report.entries_pulled,
        entries_pushed: report.entries_pushed,
        photos_pulled: report.photos_pulled,
        photos_pushed: report.photos_pushed,
    };
    let missing = report.photos_missing.len();
    let text = match kind {
        TaskKind::ImportBundle => imported(all),
        _ => transferred(all, report.problems.len()),
    };
    Ok(html! {
        p { (text) @if report.created_remote { " New remote created." } }
        (conflicts(notebook, &report.conflicts)?)
        (devices::first_time(notebook, &report.new_devices, name)?)
        @if missing > 0 {
            p { (count(missing, "photo is", "photos are")) " still on another device. Sync that one, then sync here again." }
        }
        @if report.continued_as.is_some() {
            p { "This notebook is a copy or was restored from one. Nothing is lost; it continues as a new device." }
        }
        @if !report.problems.is_empty() {
            ul { @for problem in report.problems.iter().take(PROBLEMS) { li { (sentence(&problem.to_string())) } } }
            @if let Some(more) = report.problems.len().checked_sub(PROBLEMS).filter(|more| *more > 0) {
                p { (count(more, "more file was", "more files were")) " skipped." }
            }
        }
    })
}

/// Links to the holes with new conflicts that are not resolved yet.
fn conflicts(notebook: &Notebook, holes: &[HoleId]) -> Result<Markup, NotebookError> {
    let mut links = Vec::new();
    for id in holes.iter().take(HOLES) {
        match notebook.hole(*id) {
            Ok(hole) if hole.conflict => links.push(link(&hole)),
            Ok(_) | Err(NotebookError::NoSuch { .. }) => {}
            Err(error) => return Err(error),
        }
    }
    let more = holes.len().saturating_sub(HOLES);
    Ok(html! {
        @if links.is_empty() && more == 0 {
            @if !holes.is_empty() { p { "All conflicts from it are resolved." } }
        } @else {
            div.caution {
                p { b { (count(links.len() + more, "conflict", "conflicts")) } ": devices disagree about these holes. Open each and pick one:" }
                ul.link-list { @for link in &links { li { (link) } } }
                @if more > 0 { p { "And " (count(more, "other hole", "other holes")) "; see their castings." } }
            }
        }
    })
}

fn link(hole: &HoleView) -> Markup {
    html! {
        a href=(format!("/hole/{}#conflicts", hole.id)) {
            "Hole " (hole.number) ", " (hole.face_name) ", " (hole.casting_name)
        }
    }
}

/// What a sync transferred, in a sentence; `problems` files were skipped.
pub fn transferred(counts: SyncCounts, problems: usize) -> String {
    let SyncCounts {
        entries_pulled,
        entries_pushed,
        photos_pulled,
        photos_pushed,
    } = counts;
    if entries_pulled + entries_pushed + photos_pulled + photos_pushed == 0 && problems == 0 {
        return "Nothing new on either side.".to_owned();
    }
    format!(
        "Received {}; sent {}.",
        entries_and_photos(entries_pulled, photos_pulled),
        entries_and_photos(entries_pushed, photos_pushed)
    )
}

/// What a bundle brought.
fn imported(counts: SyncCounts) -> String {
    match counts.entries_pulled + counts.photos_pulled {
        0 => "Nothing in it was new.".to_owned(),
        _ => format!(
            "Imported {}.",
            entries_and_photos(counts.entries_pulled, counts.photos_pulled)
        ),
    }
}
