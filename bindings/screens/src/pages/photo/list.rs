//! Beside the photo: the next hole to mark, the last mark, and the list of all marks.

use super::PhotoPage;
use super::marks::badge;
use crate::form::{hidden, replaced_entries};
use crate::form_names::{Field, FormName};
use crate::hole_badge::hole_badge;
use crate::newest::{earlier, newest};
use holebook_core::hole::record::Recorded;
use holebook_core::notebook::{EntryId, HoleId, MarkBody, MarkView};
use maud::{Markup, html};
use std::collections::HashSet;

/// The list to choose the next hole from: those of the face without a mark here, then a new one.
/// After a mark it moves on by itself.
pub fn next(page: &PhotoPage, after: Option<u32>) -> Markup {
    let marked: HashSet<HoleId> = page.photo.marks.iter().map(|mark| mark.hole).collect();
    let mut waiting: Vec<_> = page
        .face
        .holes
        .iter()
        .filter(|hole| !marked.contains(&hole.id))
        .collect();
    waiting.sort_by_key(|hole| hole.number);
    let following = match after {
        Some(last) => waiting.iter().find(|hole| hole.number > last),
        None => waiting.first(),
    };
    let following = following.map(|hole| hole.id);
    let new_number = page
        .face
        .holes
        .iter()
        .map(|hole| hole.number)
        .max()
        .unwrap_or(0)
        + 1;
    html! {
        div.field #next-mark {
            label for="next-hole" { "Next mark" }
            select #next-hole autocomplete="off" {
                @for hole in waiting {
                    option value=(hole.id) selected[following == Some(hole.id)] { "Hole " (hole.number) }
                }
                option value="new" selected[following.is_none()] { "Hole " (new_number) " (new)" }
            }
        }
    }
}

/// What a form changed.
pub struct MarkOutcome {
    /// A sentence about it.
    pub message: String,
    /// The hole's number.
    pub number: u32,
    /// The mark's entry if one was recorded; it can be struck out.
    pub entry: Option<EntryId>,
}

/// The last mark, for the script to announce, with a button to strike it out.
pub fn last(page: &PhotoPage, outcome: Option<&MarkOutcome>) -> Markup {
    let entry = outcome.and_then(|outcome| outcome.entry);
    html! {
        div.last-mark.row #last-mark hidden[entry.is_none()] {
            @if let Some(outcome) = outcome { p { (outcome.message) } }
            @if let Some(entry) = entry { (strike_out_form(page, entry)) }
        }
    }
}

fn strike_out_form(page: &PhotoPage, entry: EntryId) -> Markup {
    html! {
        form method="post" action=(FormName::StrikeOutMark.address_of(page.photo.id)) data-part="" {
            (hidden(Field::Entry, entry))
            button { "Strike out this mark" }
        }
    }
}

/// All marks with their holes' stages.
pub fn marks(page: &PhotoPage) -> Markup {
    html! {
        section.panel #mark-list {
            h2 { "Marks on this photo" }
            @if page.photo.marks.is_empty() {
                p { "None yet. Press Mark, then press the first hole in the photo." }
            }
            ul.mark-list { @for mark in &page.photo.marks { (line(page, mark)) } }
        }
    }
}

fn line(page: &PhotoPage, mark: &MarkView) -> Markup {
    html! {
        li {
            a href=(format!("/hole/{}", mark.hole)) {
                (hole_badge(badge(mark, &page.face), false))
                span { b { "Hole " (mark.number) } " " (mark.stage) @if mark.conflict { ", conflict" } }
            }
            @if mark.entries.differ() { (conflict(page, mark)) }
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
