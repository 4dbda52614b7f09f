//! Holes that a list of work leaves out: a line for each reason on a face, with a link to each hole.

use crate::labels::sentence;
use holebook_core::hole::kit::{HoleName, OpenHole};
use holebook_core::length::{Unit, in_unit};
use maud::{Markup, html};

/// The list.
pub fn list(open: &[OpenHole], unit: Unit) -> Markup {
    html! {
        ul.value-list.open-holes { @for (why, holes) in by_reason(open) {
            li {
                @if let Some(hole) = holes.first() { b { (hole.face_name) } ": " }
                (sentence(&in_unit(why, unit)))
                span.row { @for hole in holes {
                    a.hole-link href=(format!("/hole/{}#next", hole.hole)) {
                        span.visually-hidden { (hole.face_name) " " } b { (hole.number) } }
                } }
            }
        } }
    }
}

/// The holes by their face and reason, each in the order of the first.
fn by_reason(open: &[OpenHole]) -> Vec<(&str, Vec<&HoleName>)> {
    let mut all: Vec<(&str, Vec<&HoleName>)> = Vec::new();
    for one in open {
        let same = |(why, holes): &&mut (&str, Vec<&HoleName>)| {
            *why == one.why && holes.first().is_some_and(|at| at.face == one.at.face)
        };
        match all.iter_mut().find(same) {
            Some((_, holes)) => holes.push(&one.at),
            None => all.push((&one.why, vec![&one.at])),
        }
    }
    all
}
