//! The holes of a face at a glance: for each what to do next, the tool, the depth, its condition,
//! its stage and its remedy, sorted and filtered as the address says.

mod facet;
mod filter;
mod left;

use crate::carrier::Request;
use crate::hole_badge::{Badge, hole_badge};
use crate::labels::{count, remedy, sentence_case};
use crate::lengths::no_break;
pub use facet::task_label;
pub use left::first_left;

use filter::Filter;
use holebook_core::hole::stage::Stage;
use holebook_core::length::{Rounding, Unit};
use holebook_core::notebook::{FaceView, HoleSummary, StageCounts};
use maud::{Markup, html};

/// Points out where the hole of a row is on the photo: its path and text.
pub const SCRIPT: (&str, &str) = (
    "/hole-list.js",
    include_str!("../../../assets/hole-list.js"),
);

/// How far the holes of a face have come.
pub fn counts(holes: &[HoleSummary]) -> StageCounts {
    let of = |stage| holes.iter().filter(|hole| hole.stage == stage).count() as u32;
    let stages = Stage::ALL.map(|stage| (stage, of(stage)));
    StageCounts {
        holes: stages.into_iter().filter(|(_, holes)| *holes > 0).collect(),
        conflicts: holes.iter().filter(|hole| hole.conflict).count() as u32,
        problems: holes.iter().filter(|hole| hole.problems > 0).count() as u32,
    }
}

/// What is left to do, and the list; nothing for a face without holes.
pub fn list(face: &FaceView, request: &Request, unit: Unit) -> Markup {
    let filter = Filter::read(request);
    let shown = filter.apply(&face.holes);
    let path = format!("/face/{}", face.id);
    html! {
        (left::section(&face.holes, &path, unit))
        (filter.form(&face.holes, &path, unit))
        @if filter.is_active() {
            p role="status" {
                "Showing " (shown.len()) " of " (count(face.holes.len(), "hole", "holes")) ". "
                a.button href=(path) { "Show all" }
            }
        }
        ol.holes #hole-list { @for hole in shown { (row(hole, unit)) } }
    }
}

/// A hole; the whole row is a link, so that a gloved finger hits it.
fn row(hole: &HoleSummary, unit: Unit) -> Markup {
    let badge = Badge {
        number: hole.number,
        condition: hole.condition,
        stage: hole.stage,
        remedy: hole.remedy,
        conflict: hole.conflict || hole.problems > 0,
    };
    html! {
        li {
            a href=(format!("/hole/{}", hole.id)) data-hole=(hole.id) {
                (hole_badge(badge, false))
                span.visually-hidden { "Hole " (hole.number) " " }
                b.task { (task_label(hole)) }
                " " span.tool { @if let Some(tool) = &hole.next.tool { (tool.show(unit)) } }
                " " span.depth { @if let Some(depth) = hole.next.depth {
                    (no_break(&depth.rounded(unit, Rounding::Up))) " deep" } }
                " " span.about { (about(hole)) }
            }
        }
    }
}

/// What else there is to know of a hole, what needs attention first.
fn about(hole: &HoleSummary) -> Markup {
    let thread = hole
        .thread
        .map_or("thread not set".to_owned(), |thread| thread.designation());
    html! {
        @if hole.conflict { b { "conflict" } " · " }
        @if hole.problems > 0 { b { (count(hole.problems as usize, "open problem", "open problems")) } " · " }
        @if hole.shares_number { b { "number used twice" } " · " }
        @if let Some(condition) = hole.condition { (sentence_case(condition.label())) " · " }
        (hole.stage.label_for(hole.remedy))
        @if let Some(chosen) = hole.remedy { " · " (remedy(chosen)) }
        " · " (thread)
    }
}
