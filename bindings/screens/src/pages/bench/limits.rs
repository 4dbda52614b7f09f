//! A thread's limits and what bolts of it hold, as tables.

use crate::lengths::force;
use holebook_core::length::{Length, Unit};
use holebook_core::strength::Grade;
use holebook_core::thread::Thread;
use holebook_core::thread::report::ThreadReport;
use maud::{Markup, html};

/// Least and most of each diameter, hole and screw.
pub fn table(report: &ThreadReport, unit: Unit) -> Markup {
    let (hole, screw) = (&report.internal, &report.external);
    let class = |name: Option<&'static str>| match name {
        Some(name) => format!("class {name}"),
        None => "basic sizes, no class".to_owned(),
    };
    let of_hole = format!("Hole, {}", class(hole.class.map(|class| class.name())));
    let of_screw = format!("Screw, {}", class(screw.class.map(|class| class.name())));
    html! {
        div.scroll tabindex="0" role="region" aria-label="Limits" { table {
            thead { tr { th { "Diameter" } th.number { "Least" } th.number { "Most" } } }
            tbody {
                tr { th colspan="3" scope="rowgroup" { (of_hole) } }
                (row("minor", hole.minor_min_mm, hole.minor_max_mm, unit))
                (row("pitch", hole.pitch_diameter_min_mm, hole.pitch_diameter_max_mm, unit))
            }
            tbody {
                tr { th colspan="3" scope="rowgroup" { (of_screw) } }
                (row("major", screw.major_min_mm, screw.major_max_mm, unit))
                (row("pitch", screw.pitch_diameter_min_mm, screw.pitch_diameter_max_mm, unit))
            }
        } }
    }
}

fn row(diameter: &str, least: Length, most: Length, unit: Unit) -> Markup {
    html! { tr { td { (diameter) } td.number { (in_full(least, unit)) } td.number { (in_full(most, unit)) } } }
}

/// With the places that the standards state limits to.
fn in_full(limit: Length, unit: Unit) -> String {
    let places = match unit {
        Unit::Inch => 4,
        Unit::Millimetre => 3,
    };
    limit.show_places(unit, places)
}

/// What bolts of each grade hold at this size.
pub fn bolts(thread: &Thread, unit: Unit) -> Markup {
    let area = thread.stress_area_mm2();
    let grades: Vec<_> = Grade::ALL
        .iter()
        .filter_map(|grade| Some((grade, grade.strength(thread).ok()?)))
        .collect();
    html! {
        @if grades.is_empty() { p { "No grade kept here covers this size." } } @else {
            div.scroll tabindex="0" role="region" aria-label="Bolts" { table {
                thead { tr { th { "Bolt" } th.number { "Proof load" } th.number { "Breaks at" } } }
                tbody { @for (grade, strength) in &grades { tr {
                    th scope="row" { (grade) }
                    td.number { (force(area * strength.proof_mpa, unit)) }
                    td.number { (force(area * strength.tensile_mpa, unit)) }
                } } }
            } }
            @for source in sources(&grades.iter().map(|(grade, _)| grade.source()).collect::<Vec<_>>()) {
                p.source { (source) "." }
            }
        }
    }
}

fn sources<'a>(all: &[&'a str]) -> Vec<&'a str> {
    let mut kept = Vec::new();
    for source in all {
        if !kept.contains(source) {
            kept.push(*source);
        }
    }
    kept
}
