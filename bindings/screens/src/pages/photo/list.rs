//! Beside the photo: which hole is marked next, what was marked last, and the list of all marks.

use super::Leaf;
use super::record::Recorded;
use crate::plate::plate;
use crate::words::state;
use holebook_core::hole::record::Said;
use holebook_core::notebook::{EntryId, HoleId, MarkBody, MarkView};
use maud::{Markup, html};
use std::collections::HashSet;

/// The list to choose the next hole from: those of the face without a mark here, then a new one. After a mark it
/// stands on the one that follows, so that marking goes on without looking up.
pub fn next(leaf: &Leaf, after: Option<u32>) -> Markup {
    let marked: HashSet<HoleId> = leaf.photo.marks.iter().map(|mark| mark.hole).collect();
    let mut waiting: Vec<_> = leaf
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
    let fresh = leaf
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
                    option value=(hole.id) selected[following == Some(hole.id)] { "hole " (hole.number) }
                }
                option value="new" selected[following.is_none()] { "hole " (fresh) " (new)" }
            }
        }
    }
}

/// What was recorded last, for the script to say, and the way to take it back: striking it.
pub fn last(leaf: &Leaf, recorded: Option<&Recorded>) -> Markup {
    let entry = recorded.and_then(|recorded| recorded.entry);
    html! {
        div.last-mark.row #last-mark hidden[entry.is_none()] {
            @if let Some(recorded) = recorded { p { (recorded.words) } }
            @if let Some(entry) = entry { (strike_form(leaf, entry)) }
        }
    }
}

fn strike_form(leaf: &Leaf, entry: EntryId) -> Markup {
    html! {
        form method="post" action=(format!("{}/strike", leaf.path())) data-part="" {
            input type="hidden" name="entry" value=(entry);
            button { "Strike this mark" }
        }
    }
}

/// All marks, with the state of each hole in words.
pub fn marks(leaf: &Leaf) -> Markup {
    html! {
        section.leaf #mark-list {
            h2 { "Marks on this photo" }
            @if leaf.photo.marks.is_empty() {
                p { "None yet. Press Mark, then press on the first hole of the photo." }
            }
            ul.mark-list { @for mark in &leaf.photo.marks { (line(leaf, mark)) } }
        }
    }
}

fn line(leaf: &Leaf, mark: &MarkView) -> Markup {
    html! {
        li {
            a href=(format!("/hole/{}", mark.hole)) {
                (plate(mark.number, mark.state, mark.in_question, false))
                span { b { "Hole " (mark.number) } " " (state(mark.state)) @if mark.in_question { ", in question" } }
            }
            @if mark.answers.differ() { (differing(leaf, mark)) }
        }
    }
}

/// Marks of one hole that lie apart: each can be let stand; the others are then replaced by it.
fn differing(leaf: &Leaf, mark: &MarkView) -> Markup {
    html! {
        p { "It is marked at different places. Which one is right?" }
        div.answers { @for said in &mark.answers.0 { (answer(leaf, mark, said)) } }
    }
}

fn answer(leaf: &Leaf, mark: &MarkView, said: &Said<MarkBody>) -> Markup {
    let place = format!("{:.0}, {:.0}", said.body.x_px, said.body.y_px);
    html! {
        form method="post" action=(format!("{}/mark", leaf.path())) data-part="" {
            input type="hidden" name="hole" value=(mark.hole);
            input type="hidden" name="x_px" value=(said.body.x_px);
            input type="hidden" name="y_px" value=(said.body.y_px);
            @for other in &mark.answers.0 { input type="hidden" name="over" value=(other.entry); }
            p { "At " (place) " pixels" }
            p { (leaf.writers.words(said)) }
            button { "This one stands" span.hidden { " for hole " (mark.number) ", at " (place) } }
        }
    }
}
