//! What is missing round the intended centre, and a form to say it.

mod read;

pub use read::record;

use super::Leaf;
use super::readings::usual_errors;
use holebook_core::hole::damage::{BrokenTool, Damage, HardZone, Lean, Station, Tilt};
use holebook_core::length::{Length, Unit};
use maud::{Markup, html};

/// What is missing, as it stands, and a form to say it.
pub fn leaf(leaf: &Leaf<'_>) -> Markup {
    let answers = &leaf.hole.record.damage;
    let now = answers.settled();
    let open = leaf.is_next("damage") || leaf.desk.was_refused("damage");
    html! {
        h3 { "Damage" }
        @match now {
            Some(damage) => (words(damage, leaf.desk.unit)),
            None => p.faint { @if answers.differ() { "Two answers stand; see above." } @else { "Nothing said yet." } },
        }
        details id=[(leaf.is_next("damage")).then_some("next")] open[open] {
            summary { @if now.is_some() { "Say it anew" } @else { "Say what is missing" } }
            @if now != Some(&Damage::default()) {
                form method="post" action=(leaf.path("damage")) {
                    (leaf.over(&answers.0))
                    input type="hidden" name="nothing" value="yes";
                    p { button { "Nothing is missing or broken" } }
                }
            }
            (form(now, leaf))
        }
    }
}

/// The damage in words.
pub fn words(damage: &Damage, unit: Unit) -> Markup {
    html! {
        @if damage == &Damage::default() { p { "Nothing is missing, hard or broken." } }
        ul {
            @for station in &damage.stations { li { (station_words(station, unit)) } }
            @for hard in &damage.hard {
                li { b { "Hard" } " from " (hard.span.from.show(unit)) " to " (hard.span.to.show(unit)) " deep" (off_by(hard.error, "the ends", unit)) }
            }
            @if let Some(lean) = &damage.lean { li { (lean_words(lean, unit)) } }
            @if let Some(broken) = &damage.broken_tool {
                li { b { "Broken " (broken.what) } " in it"
                    @if let Some(long) = broken.length { ", " (long.show(unit)) " long" }
                    @if let Some(top) = broken.top { ", its top " (top.show(unit)) " down" } }
            }
            @if damage.crack { li { b { "A crack" } " runs from it" } }
        }
    }
}

fn station_words(station: &Station, unit: Unit) -> Markup {
    let (from, to) = (station.span.from.show(unit), station.span.to.show(unit));
    html! {
        "From " (from) " to " (to) " deep: a circle of " b { (station.diameter.show(unit)) } " is missing, its centre "
        (station.offset.show(unit)) " off"
        @if station.changes() {
            ", changing to "
            @match station.to_diameter {
                Some(diameter) if !diameter.is_positive() => "a point",
                diameter => (diameter.unwrap_or(station.diameter).show(unit)),
            }
            " and " (station.to_offset.unwrap_or(station.offset).show(unit)) " off at its lower end"
        }
        (off_by(station.diameter_error, "the diameter", unit))
        (off_by(station.offset_error, "the centre", unit))
    }
}

/// How far a reading may be off, where that was said.
fn off_by(error: Option<Length>, what: &str, unit: Unit) -> Markup {
    html! { @if let Some(error) = error { ", " (what) " ± " (error.show(unit)) } }
}

fn lean_words(lean: &Lean, unit: Unit) -> Markup {
    html! {
        "The old hole " b { "leans " }
        @match lean.tilt {
            Tilt::Run { by, over } => { (by.show(unit)) " over " (over.show(unit)) " of depth (" (format!("{:.1}", lean.tilt.degrees())) "°)" },
            Tilt::Degrees(degrees) => { (format!("{degrees:.1}")) "°" },
        }
        " towards " (format!("{:.0}", lean.direction_deg)) "°"
        @if lean.offset.is_positive() { ", its centre " (lean.offset.show(unit)) " off at the face" }
        @if let Some(diameter) = lean.diameter { ", " (diameter.show(unit)) " wide" }
    }
}

/// Rows of stations and hard zones that the form offers beyond those that stand.
const SPARE_ROWS: usize = 2;
/// Rows at most, so that a form can't ask for work without end.
const MOST_ROWS: usize = 24;

fn form(now: Option<&Damage>, leaf: &Leaf<'_>) -> Markup {
    let blank = Damage::default();
    let now = now.unwrap_or(&blank);
    html! {
        form method="post" action=(leaf.path("damage")) {
            (leaf.over(&leaf.hole.record.damage.0))
            h3 { "Missing metal, from the face down" }
            p.faint { "Each line a circle of missing metal over a span of depth: a crater is short and wide, a wandered hole long and off centre. "
                "Leave the old thread's own bore out." }
            @for row in 0..(now.stations.len() + SPARE_ROWS).min(MOST_ROWS) { (station_row(row, now.stations.get(row), leaf)) }
            h3 { "Hardened by welding or chill" }
            @for row in 0..(now.hard.len() + 1).min(MOST_ROWS) { (hard_row(row, now.hard.get(row), leaf)) }
            (lean_fields(now.lean.as_ref(), leaf))
            (broken_fields(now.broken_tool.as_ref(), leaf))
            (leaf.desk.form("damage").tick("crack", "A crack runs from the hole", now.crack))
            p { button.main { "Record the damage" } }
        }
    }
}

fn station_row(row: usize, now: Option<&Station>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    let direction = now.map(|station| station.direction_deg.to_string());
    html! {
        fieldset {
            legend { "Missing metal " (row + 1) }
            div.fields {
                (form.length(&format!("from-{row}"), "From depth", now.map(|station| station.span.from), ""))
                (form.length(&format!("to-{row}"), "To depth", now.map(|station| station.span.to), ""))
                (form.length(&format!("diameter-{row}"), "Diameter", now.map(|station| station.diameter), ""))
                (form.length(&format!("offset-{row}"), "Centre off by", now.map(|station| station.offset), ""))
                (form.text(&format!("direction-{row}"), "Towards (degrees, 0 right, 90 up)", direction.as_deref(), ""))
            }
            (lower_end(row, now, leaf))
            (errors(row, now, leaf))
        }
    }
}

/// Where the circle is another at its lower end.
fn lower_end(row: usize, now: Option<&Station>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    let [diameter, offset, direction] =
        ["to-diameter", "to-offset", "to-direction"].map(|name| format!("{name}-{row}"));
    let to_direction = now.and_then(|station| station.to_direction_deg);
    let changes = now.is_some_and(Station::changes);
    let open = changes || form.any_typed(&[&diameter, &offset, &direction]);
    html! {
        details open[open] {
            summary { "It tapers or leans" }
            p.faint { "The circle at its lower end; what is left empty is as above. Diameter 0: it comes to a point." }
            div.fields {
                (form.length(&diameter, "At its lower end, diameter", now.and_then(|station| station.to_diameter), ""))
                (form.length(&offset, "There, centre off by", now.and_then(|station| station.to_offset), ""))
                (form.text(&direction, "There, towards (degrees)", to_direction.map(|deg| deg.to_string()).as_deref(), ""))
            }
        }
    }
}

/// How far a station's readings may be off.
fn errors(row: usize, now: Option<&Station>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    let [diameter, offset] = ["diameter-error", "offset-error"].map(|name| format!("{name}-{row}"));
    let (its, centre) = now.map_or((None, None), |station| {
        (station.diameter_error, station.offset_error)
    });
    let open = its.is_some() || centre.is_some() || form.any_typed(&[&diameter, &offset]);
    html! {
        details open[open] {
            summary { "It may be off" }
            p.faint { (usual_errors(leaf.desk.unit)) }
            div.fields {
                (form.length(&diameter, "May be off by ±, diameter", its, ""))
                (form.length(&offset, "May be off by ±, centre", centre, ""))
            }
        }
    }
}

fn hard_row(row: usize, now: Option<&HardZone>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    html! {
        fieldset {
            legend { "Hard zone " (row + 1) }
            div.fields {
                (form.length(&format!("hard-from-{row}"), "From depth", now.map(|zone| zone.span.from), ""))
                (form.length(&format!("hard-to-{row}"), "To depth", now.map(|zone| zone.span.to), ""))
                (form.length(&format!("hard-error-{row}"), "May be off by ±, ends", now.and_then(|zone| zone.error), ""))
            }
        }
    }
}

/// Names of the fields of a lean.
const LEAN: [&str; 7] = [
    "lean-by",
    "lean-over",
    "lean-degrees",
    "lean-direction",
    "lean-offset",
    "lean-offset-direction",
    "lean-diameter",
];

fn lean_fields(now: Option<&Lean>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    let (by, over, degrees) = match now.map(|lean| lean.tilt) {
        Some(Tilt::Run { by, over }) => (Some(by), Some(over), None),
        Some(Tilt::Degrees(degrees)) => (None, None, Some(degrees.to_string())),
        None => (None, None, None),
    };
    let direction = now.map(|lean| lean.direction_deg.to_string());
    let off = now.filter(|lean| lean.offset.is_positive());
    let off_direction = off.map(|lean| lean.offset_direction_deg.to_string());
    html! {
        details open[now.is_some() || form.any_typed(&LEAN)] {
            summary { "The old hole leans" }
            p.faint { "Stand a bolt or a pin in it beside a square: how far it leans over how much of its length. Or write the angle." }
            div.fields {
                (form.length("lean-by", "Leans by", by, ""))
                (form.length("lean-over", "Over a depth of", over, ""))
                (form.text("lean-degrees", "Or degrees from square", degrees.as_deref(), ""))
                (form.text("lean-direction", "Its lower end goes towards (degrees, 0 right, 90 up)", direction.as_deref(), ""))
                (form.length("lean-offset", "Centre at the face off by", off.map(|lean| lean.offset), "if it is"))
                (form.text("lean-offset-direction", "Towards (degrees)", off_direction.as_deref(), ""))
                (form.length("lean-diameter", "Old hole across, to the bottom of its thread", now.and_then(|lean| lean.diameter), "empty: the wanted thread's size"))
            }
        }
    }
}

fn broken_fields(now: Option<&BrokenTool>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("damage");
    let kinds = ["", "bolt", "stud", "tap", "drill", "screw extractor"].map(|kind| {
        (
            kind.to_owned(),
            if kind.is_empty() { "none" } else { kind }.to_owned(),
        )
    });
    html! {
        fieldset {
            legend { "Broken off in it" }
            div.fields {
                (form.choose("broken", "Piece", now.map(|broken| broken.what.as_str()), &kinds))
                (form.length("broken-length", "Length", now.and_then(|broken| broken.length), "if known"))
                (form.length("broken-top", "Its top below the face", now.and_then(|broken| broken.top), "if known"))
            }
        }
    }
}
