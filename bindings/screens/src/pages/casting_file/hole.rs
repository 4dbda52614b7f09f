//! One hole in the file: as found, what is planned and done, its checks, and its whole log.

use super::{Copied, PlannedHole};
use crate::journal;
use crate::labels::{assessed_remedy, author, date_time, quantity, remedy_spec, sentence};
use crate::pages::hole::damage;
use holebook_core::hole::plan::Plan;
use holebook_core::hole::record::HoleRecord;
use holebook_core::hole::steps::Step;
use holebook_core::length::in_unit;
use holebook_core::notebook::{EntryKind, FaceView, HoleView, JournalLine, NotebookError};
use maud::{Markup, html};

impl Copied<'_> {
    /// The holes of a face in one table, each with a link to its section.
    pub(super) fn overview(&self, face: &FaceView, holes: &[PlannedHole]) -> Markup {
        let label = format!("Holes of {}", face.name);
        html! {
            div.scroll tabindex="0" role="region" aria-label=(label) {
                table.sheet-table {
                    caption { (label) }
                    thead { tr { th scope="col" { "Hole" } th scope="col" { "Thread" } th scope="col" { "First look" }
                        th scope="col" { "Stage" } th scope="col" { "Remedy" } th scope="col" { "Open" } } }
                    tbody { @for hole in holes { (self.row(hole)) } }
                }
            }
        }
    }

    fn row(&self, PlannedHole { hole, plan }: &PlannedHole) -> Markup {
        let choice = hole.record.choice.agreed();
        let look = hole.record.condition.agreed();
        html! {
            tr {
                th scope="row" { a href=(format!("#hole-{}", hole.id)) { (hole.number) } }
                td { @if let Some(wanted) = plan.record.wanted.agreed() { (wanted.thread.designation()) } @else { "–" } }
                td { @if let Some(look) = look { (look.condition.label()) } @else { "–" } }
                td { (hole.status.stage.label_for(choice.map(|choice| choice.spec.remedy))) }
                td { @if let Some(choice) = choice { (remedy_spec(&choice.spec, self.unit)) } @else { "–" } }
                td { @if hole.conflict { b { "conflict" } } @if hole.conflict && !hole.status.problems.is_empty() { ", " }
                    @if !hole.status.problems.is_empty() { b { "open problem" } } }
            }
        }
    }

    /// The section of one hole.
    pub(super) fn hole(&self, planned: &PlannedHole) -> Result<Markup, NotebookError> {
        let PlannedHole { hole, plan } = planned;
        let log = self.notebook.history(hole.id.0, usize::MAX, None)?;
        let choice = hole.record.choice.agreed();
        let stage = plan.status.stage;
        Ok(html! {
            section.panel id=(format!("hole-{}", hole.id)) {
                h3 { "Hole " (hole.number) }
                p { "Stage: " b { (stage.label_for(choice.map(|choice| choice.spec.remedy))) } ". Next: " b { (plan.next) } }
                (self.open(hole, plan))
                h4 { "As found" }
                (self.as_found(&hole.record))
                h4 { "Remedy and steps" }
                (self.remedy(plan))
                h4 { "Checks" }
                (self.checks(&log))
                h4 { "Log" }
                (self.log(&log))
            }
        })
    }

    /// What keeps the hole from passing.
    fn open(&self, hole: &HoleView, plan: &Plan) -> Markup {
        let conflicts = plan.status.conflicts.iter().map(ToString::to_string);
        let problems = plan.status.problems.iter().map(ToString::to_string);
        let elsewhere = hole.conflict && plan.status.conflicts.is_empty();
        html! {
            @for conflict in conflicts { p.problem { "Conflict: " (in_unit(&conflict, self.unit)) "." } }
            @if elsewhere { p.problem { "Conflict: entries disagree on its number, its position or its mark." } }
            @for problem in problems { p.problem { "Open: " (sentence(&in_unit(&problem, self.unit))) } }
        }
    }

    fn as_found(&self, record: &HoleRecord) -> Markup {
        html! {
            @if let Some(look) = record.condition.agreed() { p { "First look: " b { (look.condition.label()) } } }
            @for damage in &record.damage.0 { (damage::describe(&damage.body, self.unit)) }
            @if record.damage.0.is_empty() { p { "Damage not described." } }
            @if !record.readings.is_empty() { ul { @for reading in &record.readings {
                li { (quantity(reading.body.quantity)) ": " b { (match reading.body.tolerance {
                        Some(tolerance) => reading.body.value.show_tolerance(tolerance, self.unit),
                        None => reading.body.value.show(self.unit),
                    }) }
                    @if let Some(instrument) = &reading.body.instrument { ", " bdi { (instrument) } }
                    span.faint { " · " (author(&reading.by)) ", " (date_time(&reading.at)) } }
            } } }
        }
    }

    fn remedy(&self, plan: &Plan) -> Markup {
        let choice = plan.record.choice.agreed();
        html! {
            @match (choice, plan.chosen()) {
                (Some(choice), chosen) => { p { b { (chosen.map_or_else(|| remedy_spec(&choice.spec, self.unit), |chosen| assessed_remedy(chosen, self.unit))) }
                    @if let Some(reason) = &choice.reason { ". Reason: " bdi { (reason) } } } }
                (None, _) => { p { "No remedy chosen." } }
            }
            @if !plan.steps.is_empty() { ol { @for step in &plan.steps { li { (self.step(step)) } } } }
        }
    }

    fn step(&self, step: &Step) -> Markup {
        html! {
            (step.title) ": "
            @match &step.done {
                Some(done) => { b { "done" } @if let Some(by) = &done.by { ", " (author(by)) } @if let Some(at) = &done.at { ", " (date_time(at)) }
                    @if let Some(reason) = &done.reason { ". Reason: " bdi { (reason) } } }
                None => { b { "open" } }
            }
            @for problem in &step.problems { ". " (sentence(&in_unit(&problem.to_string(), self.unit))) }
        }
    }

    fn checks(&self, log: &[JournalLine]) -> Markup {
        let is_check = |line: &&JournalLine| {
            matches!(
                line.entry_kind(),
                Some(EntryKind::Check | EntryKind::FinalCheck | EntryKind::TrialFit)
            ) && line.is_active()
        };
        let checks: Vec<&JournalLine> = log.iter().filter(is_check).collect();
        html! {
            @if checks.is_empty() { p { "None recorded." } } @else {
                ul { @for line in checks { li { (journal::entry_text(line, self.unit))
                    span.faint { " · " (author(&line.by)) ", " (date_time(&line.at)) } } } }
            }
        }
    }

    /// Every entry, newest first, also those that no longer count.
    pub(super) fn log(&self, lines: &[JournalLine]) -> Markup {
        html! {
            ol.journal { @for line in lines { li {
                span.struck-out[line.struck_out_by.is_some()] { (journal::entry_text(line, self.unit)) }
                div.faint { (author(&line.by)) ", " (date_time(&line.at))
                    @if line.replaced { " · replaced by a later entry" }
                    @if line.unverified { " · not verified: an entry before it is lost" } }
                @if let Some(strike) = &line.struck_out_by { p { "Struck out by " (author(&strike.by)) ": " bdi { (strike.reason) } } }
            } } }
        }
    }
}
