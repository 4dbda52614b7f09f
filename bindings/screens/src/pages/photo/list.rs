//! Beside the photo: the next hole to mark, and the list of all marks.

use super::PhotoPage;
use super::marks::{badge_of, condition_name};
use crate::form::{hidden, replaced_entries};
use crate::form_names::{Field, FormName};
use crate::hole_badge::hole_badge;
use crate::newest::{earlier, newest};
use holebook_core::hole::record::Recorded;
use holebook_core::notebook::{HoleId, HoleSummary, MarkBody, MarkView};
use maud::{Markup, html};
use std::collections::HashSet;

/// The list to choose the next hole from: those of the face without a mark here, then a new one,
/// then those whose mark is to be moved. After a mark it moves on by itself. A photo of one hole is
/// marked for that hole alone.
pub fn next(page: &PhotoPage, after: Option<u32>) -> Markup {
    html! {
        div.field #next-mark {
            label for="next-hole" { "Next mark" }
            select #next-hole autocomplete="off" { (next_options(page, after)) }
        }
    }
}

/// The options of the list, for the form that works without the script, too.
pub fn next_options(page: &PhotoPage, after: Option<u32>) -> Markup {
    let marked: HashSet<HoleId> = page.photo.marks.iter().map(|mark| mark.hole).collect();
    let alone = page.photo.hole;
    let holes = page.face.holes.iter();
    let holes = holes.filter(|hole| alone.is_none_or(|only| hole.id == only));
    let (marked, waiting): (Vec<&HoleSummary>, Vec<_>) =
        holes.partition(|hole| marked.contains(&hole.id));
    let following = match after {
        Some(last) => waiting.iter().find(|hole| hole.number > last),
        None => waiting.first(),
    };
    let following = following.map(|hole| hole.id);
    let highest = page.face.holes.iter().map(|hole| hole.number).max();
    html! {
        @for hole in waiting {
            option value=(hole.id) selected[following == Some(hole.id)] { "Hole " (hole.number) }
        }
        @if alone.is_none() {
            option value="new" selected[following.is_none()] { "Hole " (highest.unwrap_or(0) + 1) " (new)" }
        }
        @if !marked.is_empty() {
            optgroup label="Move a mark" {
                @for hole in marked { option value=(hole.id) { "Hole " (hole.number) " again" } }
            }
        }
    }
}

/// All marks with their holes' conditions and stages.
pub fn marks(page: &PhotoPage) -> Markup {
    html! {
        section.panel #mark-list {
            h2 { "Marks on this photo" }
            @if page.photo.marks.is_empty() {
                p { "None yet. Press and hold on the first hole in the photo; with a mouse, click it." }
            }
            ul.mark-list { @for mark in &page.photo.marks { (line(page, mark)) } }
        }
    }
}

fn line(page: &PhotoPage, mark: &MarkView) -> Markup {
    let name = format!(" hole {}", mark.number);
    html! {
        li data-condition=(condition_name(mark)) {
            a.grow href=(format!("/hole/{}", mark.hole)) {
                (hole_badge(badge_of(mark, &page.face), false))
                span {
                    b { "Hole " (mark.number) } " "
                    @match mark.condition { Some(condition) => (condition), None => "not graded" }
                    ", " (mark.stage) @if mark.conflict { ", conflict" }
                }
            }
            a.button href=(format!("{}?grade={}#grade", page.path(), mark.hole)) { "Grade" span.visually-hidden { (name) } }
            @if mark.entries.differ() { (conflict(page, mark)) } @else {
                @for entry in &mark.entries.0 {
                    form method="post" action=(FormName::StrikeOutMark.address_of(page.photo.id)) data-part="" {
                        (hidden(Field::Entry, entry.entry))
                        button { "Remove mark" span.visually-hidden { " of" (name) } }
                    }
                }
            }
        }
    }
}

/// Different marks of one hole; the one that is picked replaces the others.
fn conflict(page: &PhotoPage, mark: &MarkView) -> Markup {
    let (shown, before) = newest(&mark.entries.0);
    html! {
        p { "This hole has different marks. Which one is right?" }
        div.side-by-side { @for entry in shown { (choice(page, mark, entry)) } }
        @if before > 0 { p { (earlier(before)) } }
    }
}

fn choice(page: &PhotoPage, mark: &MarkView, entry: &Recorded<MarkBody>) -> Markup {
    let position = format!("{:.0}, {:.0}", entry.body.x_px, entry.body.y_px);
    html! {
        form method="post" action=(FormName::Mark.address_of(page.photo.id)) data-part="" {
            (hidden(Field::Hole, mark.hole))
            (hidden(Field::XPixels, entry.body.x_px))
            (hidden(Field::YPixels, entry.body.y_px))
            (replaced_entries(mark.entries.0.iter().map(|entry| entry.entry)))
            p { "At " (position) " pixels" }
            p { (page.authors.describe(entry)) }
            button { "Use this one" span.visually-hidden { " for hole " (mark.number) ", at " (position) } }
        }
    }
}
