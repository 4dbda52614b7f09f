//! Progress of the holes of a face or casting: a count at each stage, in words and as a bar.

use holebook_core::hole::stage::Stage;
use holebook_core::notebook::StageCounts;
use maud::{Markup, html};

/// The counts in words; the bar beside them is for the eye only.
pub fn progress(counts: &StageCounts) -> Markup {
    let total = counts.total();
    let passed = counts.of(Stage::Passed);
    let begun = total - passed - counts.of(Stage::NotMeasured);
    html! {
        @if total > 0 {
            svg.progress-bar viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true" focusable="false" {
                rect.passed x="0" y="0" width=(percent(passed, total)) height="4" {}
                rect.started x=(percent(passed, total)) y="1" width=(percent(begun, total)) height="2" {}
            }
            ul.stages {
                @for stage in Stage::ALL {
                    @if counts.of(stage) > 0 {
                        li { b { (counts.of(stage)) } " " (stage) }
                    }
                }
                @if counts.conflicts > 0 {
                    li { b { (crate::labels::count(counts.conflicts as usize, "conflict", "conflicts")) } }
                }
            }
        }
    }
}

fn percent(part: u32, whole: u32) -> String {
    format!("{:.2}", 100.0 * f64::from(part) / f64::from(whole))
}
