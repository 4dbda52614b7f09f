//! What the fit says: the lost centers first, then every hole.

use super::{PlacesPage, good, picture};
use crate::face_map::{self, Shape, Spot};
use crate::form_names::{Field, FormName};
use crate::labels::{count, sentence, sources};
use crate::lengths::{length, limit, number};
use holebook_core::labels::o_clock;
use holebook_core::length::{Rounding, Unit, in_unit};
use holebook_core::notebook::PhotoId;
use holebook_core::places::{Basis, Center, Centers, Off, PhotosDiffer};
use maud::{Markup, html};

/// The centers, or what is missing to have them.
pub fn sections(page: &PlacesPage<'_>) -> Markup {
    match &page.centers {
        Ok(centers) => html! {
            (lost(page, centers))
            (picture::section(page, centers))
            (all(page, centers))
        },
        Err(_) => html! {
            section.panel.next {
                h2 { "No centers yet" }
                p { (page.problem().unwrap_or_default()) }
                p { a.button.main href=(page.path("pattern")) {
                    @if page.face.record.pattern.0.is_empty() { "Enter the pattern" } @else { "Change the pattern" }
                } }
            }
        },
    }
}

fn lost(page: &PlacesPage<'_>, centers: &Centers) -> Markup {
    let unit = page.unit();
    let lost: Vec<&Center> = centers.holes.iter().filter(|center| center.lost).collect();
    let moves = page.path("moves");
    html! {
        section.panel.next #lost {
            h2 { (headline(centers, lost.len())) }
            @if lost.is_empty() { p { "Every hole of the pattern was found where it belongs." } }
            ul.lost-centers { @for center in &lost { li { (lost_line(center, unit)) } } }
            @for differs in &centers.differing { p { b { "Check: " } (differing_line(page, differs)) } }
            @for warning in &centers.warnings { p { b { "Check: " } (sentence(&in_unit(warning, unit))) } }
            p.row {
                a.button.main href=(moves) { "Table moves" }
            }
            p.caution { b { "Caution: " } "A predicted center is no better than the holes it rests on. Scribe it, and measure it from two sound neighbors before you drill." }
        }
    }
}

fn headline(centers: &Centers, lost: usize) -> String {
    let lost = count(lost, "lost center", "lost centers");
    let agree = count(
        centers.agreeing as usize,
        "good hole agrees",
        "good holes agree",
    );
    format!("{lost}; {agree}")
}

/// A lost center: its place and how sure it is, and how far off the hole is that was found.
fn lost_line(center: &Center, unit: Unit) -> Markup {
    let (x, y) = (number(center.x_mm, unit), number(center.y_mm, unit));
    html! {
        b { "Hole " (center.number) } ": X " b { (x) } ", Y " b { (y) } ", within "
        (length(center.radius95_mm, unit, Rounding::Up))
        @if let Some(off) = &center.off { ". The hole found is " (off_text(off, unit)) }
        "."
    }
}

/// A hole that photos disagree about.
fn differing_line(page: &PlacesPage<'_>, differs: &PhotosDiffer) -> Markup {
    let number_of = |photo: &PhotoId| {
        let mut photos = page.face.photos.iter();
        photos.position(|other| other.id == *photo).map(|at| at + 1)
    };
    let named = differs.photos.iter();
    let named: Vec<(usize, PhotoId)> = named.filter_map(|it| Some((number_of(it)?, *it))).collect();
    let by = length(differs.by_mm, page.unit(), Rounding::Nearest);
    html! {
        @for (at, (number, photo)) in named.iter().enumerate() {
            @if at > 0 { " and " }
            a href=(format!("/photo/{photo}")) { "photo " (number) }
        }
        @if named.len() == 2 { " put hole " (differs.number) " " (by) " apart, more than their errors allow. " }
        @else { " puts hole " (differs.number) " " (by) " from where the others do, more than the errors allow. " }
        @if differs.left_out { "Nothing tells which is right, so the hole is left out: check its marks." }
        @else { "Check its marks." }
    }
}

/// How far off a hole is and which way: `off by .118 ±.012 in toward 2 o'clock`.
pub fn off_text(off: &Off, unit: Unit) -> String {
    let by = number(off.by_mm, unit);
    let tolerance = length(off.tolerance_mm, unit, Rounding::Up);
    format!(
        "off by {by} ±{tolerance} toward {}",
        o_clock(to_five(off.direction_deg))
    )
}

/// A direction to 5 degrees, ten minutes of the clock: no closer than anybody points.
pub fn to_five(direction_deg: f64) -> f64 {
    (direction_deg / 5.0).round() * 5.0
}

fn all(page: &PlacesPage<'_>, centers: &Centers) -> Markup {
    let unit = page.unit();
    html! {
        details.panel {
            summary { "Every hole" }
            form method="post" action=(FormName::ChooseGood.address_of(page.face.id)) {
                div.scroll tabindex="0" role="region" aria-label="Centers of every hole" { table {
                    thead { tr { th { "Hole" } th { "Good" } th.number { "X" } th.number { "Y" } th.number { "Within" } th { "Found" } } }
                    tbody { @for center in &centers.holes { tr {
                        th scope="row" { (center.number) }
                        td { @if center.off.is_some() {
                            label.choice.good-hole {
                                input type="checkbox" name=(Field::Good.name()) value=(center.number) checked[center.used] autocomplete="off";
                                span.visually-hidden { "Hole " (center.number) " is good" }
                            }
                        } }
                        td.number { (number(center.x_mm, unit)) }
                        td.number { (number(center.y_mm, unit)) }
                        td.number { (limit(center.radius95_mm, unit)) }
                        td { (found(center, unit)) }
                    } } }
                } }
                p { button { "Use the ticked holes as good" } }
            }
            (good::section(page))
            p.faint { "● agrees, ✗ wandered, ○ not found. Figures are in " (units(unit)) ", "
                @match centers.basis {
                    Basis::Photo => "counted as in the pattern",
                    Basis::Places => "counted as the holes were measured",
                }
                "." }
            (map(centers))
            (sources([
                "Within: the true center is inside this circle 95 times in 100, by weighted least squares".to_owned(),
                "Wandered: off by more than its error explains once in 1,000 holes".to_owned(),
                "A mark placed by hand counts as good to a thousandth of the photo's longer side (judgment), one at the middle of a rim to .04 of the rim's diameter (rims found in drawn pictures)".to_owned(),
            ]))
        }
    }
}

const fn units(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Millimeter => "millimeters",
    }
}

fn found(center: &Center, unit: Unit) -> String {
    match &center.off {
        None => "○".to_owned(),
        Some(off) if off.wandered => format!("✗ {}", off_text(off, unit)),
        Some(off) => format!("● {} off", number(off.by_mm, unit)),
    }
}

fn map(centers: &Centers) -> Markup {
    let spots = centers.holes.iter().map(|center| {
        let wandered = center.off.filter(|off| off.wandered);
        let (x, y) = wandered.map_or((0.0, 0.0), |off| (off.x_mm, off.y_mm));
        Spot {
            x_mm: center.x_mm + x,
            y_mm: center.y_mm + y,
            shape: match (wandered, center.lost) {
                (Some(_), _) => Shape::Wandered {
                    from_x_mm: center.x_mm,
                    from_y_mm: center.y_mm,
                },
                (None, true) => Shape::Lost,
                (None, false) => Shape::Center,
            },
            label: center.number.to_string(),
        }
    });
    let spots: Vec<Spot> = spots.collect();
    face_map::draw(
        &spots,
        "To scale. Circle: agrees. Dashed circle: lost. Square: wandered, with a line from where it belongs.",
    )
}
