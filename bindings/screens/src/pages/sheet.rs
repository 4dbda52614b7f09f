//! The sheet of a face: what hangs on the machine while the work is done, and what is kept with the casting after.

use crate::journal;
use crate::lengths::drill;
use crate::page::{Crumb, Page, STYLE, page};
use crate::pages::Desk;
use crate::pages::hole::damage;
use crate::pages::photo::marked_photo;
use crate::words::{state, when, work};
use base64::prelude::{BASE64_STANDARD, Engine};
use chrono::{DateTime, Local};
use holebook_core::hole::missing::missing;
use holebook_core::hole::plan::Plan;
use holebook_core::hole::remedies::Assessment;
use holebook_core::hole::state::State;
use holebook_core::insert::Catalogue;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{FaceId, FaceView, HoleView, Notebook, NotebookError, PhotoView};
use holebook_core::photo::PhotoError;
use holebook_core::strength::bolt::Reach;
use maud::{DOCTYPE, Markup, html};

/// Journal lines of one hole that the sheet carries at most.
const LINES: usize = 60;

/// The sheet as a page.
pub fn show(notebook: &Notebook, id: FaceId, desk: Desk<'_>) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let way = [
        Crumb::to("Castings", "/"),
        Crumb::to(&face.casting_name, format!("/casting/{}", face.casting)),
        Crumb::to(&face.name, format!("/face/{id}")),
        Crumb::here("Sheet"),
    ];
    let content = html! {
        p.screen-only { "Print this page from the browser; it is laid out for paper." }
        (content(notebook, &face, desk.unit, Pictures::Linked)?)
    };
    Ok(page(&format!("Sheet of {}", face.name), way, content))
}

/// The sheet as one file that needs nothing beside it: style and pictures are in it.
pub fn file(notebook: &Notebook, id: FaceId, unit: Unit) -> Result<String, NotebookError> {
    let face = notebook.face(id)?;
    let title = format!("{}, {}", face.casting_name, face.name);
    let body = content(notebook, &face, unit, Pictures::Inside)?;
    let text = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (maud::PreEscaped(STYLE)) }
            }
            body { main { (body) } }
        }
    };
    Ok(text.into_string())
}

fn content(
    notebook: &Notebook,
    face: &FaceView,
    unit: Unit,
    pictures: Pictures,
) -> Result<Markup, NotebookError> {
    let holes: Vec<HoleView> = face
        .holes
        .iter()
        .map(|hole| notebook.hole(hole.id))
        .collect::<Result<_, _>>()?;
    let writer = notebook.settings()?.person;
    let catalogue = notebook.catalogue()?;
    Ok(html! {
        article.sheet {
            (head(face, unit, &writer, Local::now()))
            @for photo in &face.photos { (picture(notebook, photo, pictures)?) }
            div.scroll tabindex="0" role="region" aria-label="Table of the holes" { (table(&holes, &catalogue, unit)) }
            (cautions())
            h2 { "What was recorded" }
            div.sheet-records { @for hole in &holes { (recorded(notebook, hole, unit)?) } }
        }
    })
}

/// Where the sheet's pictures are.
#[derive(Clone, Copy)]
enum Pictures {
    /// At their own addresses.
    Linked,
    /// In the sheet itself.
    Inside,
}

fn picture(
    notebook: &Notebook,
    photo: &PhotoView,
    pictures: Pictures,
) -> Result<Markup, NotebookError> {
    let source = match pictures {
        Pictures::Linked => format!("/photo/{}/view.jpg", photo.id),
        Pictures::Inside => {
            let path = notebook.photos().view(&photo.hash)?;
            let bytes = std::fs::read(&path).map_err(|error| PhotoError::storing(&path, error))?;
            format!("data:image/jpeg;base64,{}", BASE64_STANDARD.encode(bytes))
        }
    };
    Ok(marked_photo(
        &source,
        "The face with its holes marked by number",
        photo,
        false,
    ))
}

fn head(face: &FaceView, unit: Unit, writer: &str, now: DateTime<Local>) -> Markup {
    let record = &face.record;
    let planned = record
        .planned_cut
        .settled()
        .map(|cut| cut.planned.show(unit));
    let metal = record.metal.map(|metal| metal.to_string());
    html! {
        h1 { (face.casting_name) ": " (face.name) }
        dl.facts {
            dt { "Face cut planned" } dd { (planned.as_deref().unwrap_or("not decided")) }
            dt { "Still to come off" } dd { (record.cut_to_come().map_or_else(|| "not known".to_owned(), |cut| cut.show(unit))) }
            dt { "Metal" } dd { (metal.as_deref().unwrap_or("not known; reckoned as ASTM A48 class 20 iron")) }
            dt { "Sheet made" } dd { (now.format("%-d %b %Y, %H:%M")) @if !writer.is_empty() { ", by " (writer) } }
        }
    }
}

fn table(holes: &[HoleView], catalogue: &Catalogue, unit: Unit) -> Markup {
    html! {
        table.sheet-table {
            caption { "Holes. Depths run from the face of today; after the face cut in brackets." }
            thead { tr {
                th scope="col" { "Hole" } th scope="col" { "Thread, bolt" } th scope="col" { "Stage" } th scope="col" { "Remedy" }
                th scope="col" { "Drill, tap" } th scope="col" { "Drill to" } th scope="col" { "Set below" } th scope="col" { "Still missing" }
            } }
            tbody { @for hole in holes { (row(hole, catalogue, unit)) } }
        }
    }
}

fn row(hole: &HoleView, catalogue: &Catalogue, unit: Unit) -> Markup {
    let plan = Plan::of(&hole.record, &hole.face_record, catalogue);
    html! {
        tr {
            th scope="row" { (hole.number) }
            td { @if let Some(wanted) = hole.record.wanted.settled() {
                (together(&wanted.thread.designation())) @if let Some(bolt) = &wanted.bolt { br; (bolt) } } @else { "–" } }
            td { (state(hole.standing.state)) @if !hole.standing.questions.is_empty() { br; b { "in question" } } }
            td { (remedy_words(hole, &plan, unit)) }
            (numbers(plan.chosen().filter(|_| !plan.stopped_by_crack()), unit))
            td { @for lack in missing(&hole.record, &hole.face_record, catalogue) { (lack) br; } }
        }
    }
}

/// The chosen remedy. One that is only the first of the ways is named as that, and its numbers are left out: a sheet is followed.
fn remedy_words(hole: &HoleView, plan: &Plan, unit: Unit) -> String {
    if plan.stopped_by_crack() {
        return "a crack was seen: for a specialist, no thread repair holds in a cracked wall"
            .to_owned();
    }
    match (hole.record.choice.settled(), plan.leading()) {
        (Some(choice), _) => work(&choice.work, unit),
        (None, _) if hole.standing.state == State::Proved => "sound".to_owned(),
        (None, Some(first)) => format!(
            "not chosen; first of the ways: {}",
            work(&first.work(), unit)
        ),
        (None, None) => "not chosen".to_owned(),
    }
}

/// Drill and tap, how deep to go, and how far below to set, each from today's face and from the finished one.
fn numbers(way: Option<&Assessment>, unit: Unit) -> Markup {
    let depths = way.and_then(|way| way.depths.as_ref());
    html! {
        td {
            @if let Some(with) = way.and_then(|way| way.drill.as_ref()) { (together(&drill(with, unit))) br; }
            @if let Some(tap) = way.and_then(|way| way.tap.as_ref()) { (tap) }
            @if let Some(bolt) = way.and_then(|way| way.bolt.as_ref()) { br; (bolt_words(bolt, unit)) }
        }
        td { @if let Some(depths) = depths { (both(depths.drill, Some(depths.drill_after_cut), unit)) } }
        td { @if let Some(depths) = depths { (both(depths.set_now, depths.set_after_cut, unit)) } }
    }
}

/// The bolt to take; where none that is sold serves, how long it must be.
fn bolt_words(bolt: &Reach, unit: Unit) -> Markup {
    let least = bolt.least.show(unit);
    match (&bolt.name, bolt.most) {
        (Some(name), _) => together(&format!("bolt: {name}")),
        (None, Some(most)) if most < bolt.least => {
            html! { "bolt: the hole is too shallow for one" }
        }
        (None, Some(most)) => {
            html! { "bolt: none sold; " (together(&least)) " to " (together(&most.show(unit))) }
        }
        (None, None) => html! { "bolt: none sold; " (together(&least)) " or longer" },
    }
}

fn both(now: Option<Length>, after: Option<Length>, unit: Unit) -> Markup {
    html! {
        @if let Some(now) = now { b { (together(&now.show(unit))) } }
        @if let Some(after) = after { " " (together(&format!("({})", after.show(unit)))) }
    }
}

/// Words that stay on one line, so that no number is read without its unit.
fn together(words: &str) -> Markup {
    html! { span.together { (words) } }
}

fn cautions() -> Markup {
    html! {
        div.caution { b { "Before the work" }
            " Eyes covered; iron dust kept out of the lungs. Clamp the casting; no gloves near a turning spindle. Sling it by its strong points, and never "
            "stand under it. Wipe oil out of blind holes: a bolt driven onto trapped oil can burst the boss. Brazing and welding, and anything that will hold "
            "pressure, by those who are trained and licensed for it. Torque: the machine's manual and the iron decide, not the bolt's chart." }
    }
}

fn recorded(notebook: &Notebook, hole: &HoleView, unit: Unit) -> Result<Markup, NotebookError> {
    let lines = notebook.history(hole.id.0, LINES, None)?;
    Ok(html! {
        section.sheet-hole {
            h3 { "Hole " (hole.number) }
            @if let Some(damage) = hole.record.damage.settled() { (damage::words(damage, unit)) }
            ul.journal { @for line in lines.iter().filter(|line| line.stands() && is_work(&line.kind)) {
                li { (journal::words(line, unit)) span.faint { " · " (crate::words::writer(&line.by)) ", " (when(&line.at)) } }
            } }
        }
    })
}

/// Whether a line tells of the hole's work; its number, mark and wanted thread stand in the table and on the photo.
fn is_work(kind: &str) -> bool {
    !matches!(kind, "hole" | "mark" | "wanted" | "damage" | "strike")
}
