//! Tables of a thread's limits and of the strength of its bolts.

use crate::labels::sources;
use holebook_core::length::{Length, Unit};
use holebook_core::strength::{Grade, show_load};
use holebook_core::thread::Thread;
use holebook_core::thread::report::ThreadReport;
use maud::{Markup, html};

/// Limits of each diameter, internal and external thread.
pub fn table(report: &ThreadReport, unit: Unit) -> Markup {
    let (hole, screw) = (&report.internal, &report.external);
    let class = |name: Option<&'static str>| match name {
        Some(name) => format!("class {name}"),
        None => "basic sizes, no class".to_owned(),
    };
    let of_hole = format!("Internal, {}", class(hole.class.map(|class| class.name())));
    let of_screw = format!("External, {}", class(screw.class.map(|class| class.name())));
    html! {
        div.scroll tabindex="0" role="region" aria-label="Limits" { table {
            thead { tr { th { "Diameter" } th.number { "Min" } th.number { "Max" } } }
            tbody {
                tr { th colspan="3" scope="rowgroup" { (of_hole) } }
                (row("minor", hole.minor_min, hole.minor_max, unit))
                (row("pitch", hole.pitch_diameter_min, hole.pitch_diameter_max, unit))
            }
            tbody {
                tr { th colspan="3" scope="rowgroup" { (of_screw) } }
                (row("major", screw.major_min, screw.major_max, unit))
                (row("pitch", screw.pitch_diameter_min, screw.pitch_diameter_max, unit))
            }
        } }
    }
}

fn row(diameter: &str, least: Length, most: Length, unit: Unit) -> Markup {
    html! { tr { td { (diameter) } td.number { (least.show_limit(unit)) } td.number { (most.show_limit(unit)) } } }
}

/// Strength of bolts of each grade at this size.
pub fn bolts(thread: &Thread, unit: Unit) -> Markup {
    let area = thread.stress_area_mm2();
    let grades: Vec<_> = Grade::ALL
        .iter()
        .filter_map(|grade| Some((grade, grade.strength(thread).ok()?)))
        .collect();
    html! {
        @if grades.is_empty() { p { "No bolt grade on file covers this size." } } @else {
            div.scroll tabindex="0" role="region" aria-label="Bolts" { table {
                thead { tr { th { "Bolt" } th.number { "Proof load" } th.number { "Breaks at" } } }
                tbody { @for (grade, strength) in &grades { tr {
                    th scope="row" { (grade) }
                    td.number { (show_load(area * strength.proof_mpa, unit)) }
                    td.number { (show_load(area * strength.tensile_mpa, unit)) }
                } } }
            } }
            (sources(grades.iter().map(|(grade, _)| grade.source().to_owned())))
        }
    }
}
