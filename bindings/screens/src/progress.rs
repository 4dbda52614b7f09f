//! How far the holes of a face or casting are: a count at each stage, as words and as a strip.

use crate::words::state;
use holebook_core::hole::state::State;
use holebook_core::notebook::StateCounts;
use maud::{Markup, html};

/// The counts, in words; the strip beside them is drawing only.
pub fn progress(counts: &StateCounts) -> Markup {
    let total = counts.total();
    let proved = counts.of(State::Proved);
    let begun = total - proved - counts.of(State::Unread);
    html! {
        @if total > 0 {
            svg.strip viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true" focusable="false" {
                rect.full x="0" y="0" width=(share(proved, total)) height="4" {}
                rect.half x=(share(proved, total)) y="1" width=(share(begun, total)) height="2" {}
            }
            ul.stages {
                @for stage in State::ALL {
                    @if counts.of(stage) > 0 {
                        li { b { (counts.of(stage)) } " " (state(stage)) }
                    }
                }
                @if counts.in_question > 0 {
                    li { b { (counts.in_question) } " in question" }
                }
            }
        }
    }
}

fn share(part: usize, whole: usize) -> String {
    format!("{:.2}", 100.0 * part as f64 / whole as f64)
}
