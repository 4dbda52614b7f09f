//! Progress of the holes of a face or casting: a count at each stage, in words and as a bar.

use crate::labels::count;
use holebook_core::hole::stage::Stage;
use holebook_core::notebook::StageCounts;
use maud::{Markup, html};

/// How many holes have passed and how many are begun, in words, with a bar for the eye: `9 of 14
/// passed, 3 begun, 1 conflict`.
pub fn progress_line(counts: &StageCounts) -> Markup {
    let total = counts.total();
    html! {
        @if total > 0 {
            div.progress-line {
                p {
                    b { (counts.of(Stage::Passed)) " of " (total) } " passed"
                    @if begun(counts) > 0 { ", " (begun(counts)) " begun" }
                    @if counts.conflicts > 0 { ", " b { (count(counts.conflicts as usize, "conflict", "conflicts")) } }
                    @if counts.problems > 0 { ", " b { (count(counts.problems as usize, "hole", "holes")) " with open problems" } }
                }
                (bar(counts))
            }
        }
    }
}

/// Passed holes as a full bar, those that work has begun on as a thin one.
fn bar(counts: &StageCounts) -> Markup {
    let total = counts.total();
    let passed = counts.of(Stage::Passed);
    html! {
        svg.progress-bar viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true" focusable="false" {
            rect.passed x="0" y="0" width=(percent(passed, total)) height="4" {}
            rect.started x=(percent(passed, total)) y="1" width=(percent(begun(counts), total)) height="2" {}
        }
    }
}

/// How many holes are between their first reading and their final check.
fn begun(counts: &StageCounts) -> u32 {
    counts.total() - counts.of(Stage::Passed) - counts.of(Stage::NotMeasured)
}

/// The counts in words; the bar beside them is for the eye only.
pub fn progress(counts: &StageCounts) -> Markup {
    html! {
        @if counts.total() > 0 {
            (bar(counts))
            ul.stages {
                @for stage in Stage::ALL {
                    @if counts.of(stage) > 0 {
                        li { b { (counts.of(stage)) } " " (stage) }
                    }
                }
                @if counts.conflicts > 0 {
                    li { b { (count(counts.conflicts as usize, "conflict", "conflicts")) } }
                }
            }
        }
    }
}

fn percent(part: u32, whole: u32) -> String {
    format!("{:.2}", 100.0 * f64::from(part) / f64::from(whole))
}
