//! The job sheet of a face: for the machine while the work is done, and for the casting's file
//! after.

use crate::journal;
use crate::labels::{assessed_remedy, author, date_time, remedy_spec};
use crate::page::{Crumb, Page, STYLE};
use crate::pages::FormContext;
use crate::pages::hole::damage;
use crate::pages::photo::marked_photo;
use base64::prelude::{BASE64_STANDARD, Engine};
use chrono::{DateTime, FixedOffset};
use holebook_core::hole::missing::missing;
use holebook_core::hole::plan::Plan;
use holebook_core::hole::remedies::Assessment;
use holebook_core::hole::stage::Stage;
use holebook_core::hole::steps::ReachedDepths;
use holebook_core::insert::Catalog;
use holebook_core::length::{Length, Rounding, Unit, in_unit, show_range};
use holebook_core::notebook::{
    EntryKind, FaceId, FaceView, HoleView, Notebook, NotebookError, PhotoView,
};
use holebook_core::photo::PhotoError;
use holebook_core::strength::bolt::{BoltLength, BoltLengthAdvice};
use maud::{DOCTYPE, Markup, html};

/// Most log entries of one hole on the sheet.
const LINES: usize = 60;

/// The sheet as a page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let assessment = [
        Crumb::to("Castings", "/"),
        Crumb::to(&face.casting_name, format!("/casting/{}", face.casting)),
        Crumb::to(&face.name, format!("/face/{id}")),
        Crumb::here("Job sheet"),
    ];
    let content = html! {
        p.screen-only { "Print this page from the browser; it is laid out for paper." }
        (content(notebook, &face, context.unit, Pictures::Linked)?)
    };
    Ok(Page::new(
        &format!("Job sheet, {}", face.name),
        assessment,
        content,
    ))
}

/// The sheet as one HTML file with its style and pictures inside.
pub fn file(notebook: &Notebook, id: FaceId, unit: Unit) -> Result<String, NotebookError> {
    let face = notebook.face(id)?;
    let title = format!("{}, {}", face.casting_name, face.name);
    let body = content(notebook, &face, unit, Pictures::Embedded)?;
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
    let catalog = notebook.catalog()?;
    Ok(html! {
        article.sheet {
            (head(face, unit, &writer, holebook_core::notebook::now()))
            @for photo in &face.photos { (picture(notebook, photo, face, pictures)?) }
            div.scroll tabindex="0" role="region" aria-label="Holes" { (table(&holes, &catalog, unit)) }
            (cautions())
            h2 { "Log" }
            div.sheet-records { @for hole in &holes { (log(notebook, hole, unit)?) } }
        }
    })
}

/// How the sheet includes its pictures.
#[derive(Clone, Copy)]
enum Pictures {
    /// By address.
    Linked,
    /// As data.
    Embedded,
}

fn picture(
    notebook: &Notebook,
    photo: &PhotoView,
    face: &FaceView,
    pictures: Pictures,
) -> Result<Markup, NotebookError> {
    let source = match pictures {
        Pictures::Linked => format!("/photo/{}/view.jpg", photo.id),
        Pictures::Embedded => {
            let path = notebook.photos().view(&photo.hash)?;
            let bytes = std::fs::read(&path).map_err(|error| PhotoError::storage(&path, error))?;
            format!("data:image/jpeg;base64,{}", BASE64_STANDARD.encode(bytes))
        }
    };
    Ok(marked_photo(
        &source,
        "The face with its holes marked by number",
        photo,
        face,
        false,
    ))
}

fn head(face: &FaceView, unit: Unit, writer: &str, now: DateTime<FixedOffset>) -> Markup {
    let record = &face.record;
    let planned = record
        .planned_cut
        .agreed()
        .map(|cut| cut.planned.show(unit));
    let metal = record.metal.map(|metal| metal.to_string());
    html! {
        h1 { (face.casting_name) ": " (face.name) }
        dl.facts {
            dt { "Stock to remove" } dd { (planned.as_deref().unwrap_or("not planned")) }
            dt { "Left to remove" } dd { (record.left_to_remove().map_or_else(|| "unknown".to_owned(), |cut| cut.show(unit))) }
            dt { "Metal" } dd { (metal.as_deref().unwrap_or("unknown; figured as ASTM A48 class 20 iron")) }
            @if let Some(limits) = own_limits(face, unit) { dt { "Judged by this shop's limits" } dd { (limits) } }
            dt { "Printed" } dd { (now.format("%-d %b %Y, %H:%M")) @if !writer.is_empty() { ", by " (writer) } }
        }
    }
}

/// The limits that this shop changed; `None` if it judges by the standard ones.
fn own_limits(face: &FaceView, unit: Unit) -> Option<String> {
    let limits = face.record.limits.as_ref()?;
    let changed = limits.changed();
    let shown = changed.iter().map(|(info, value)| {
        let (value, standard) = (info.show(*value, unit), info.show(info.standard, unit));
        format!("{}: {value} (standard {standard})", info.label)
    });
    let shown: Vec<String> = shown.collect();
    (!shown.is_empty()).then(|| shown.join("; "))
}

fn table(holes: &[HoleView], catalog: &Catalog, unit: Unit) -> Markup {
    html! {
        table.sheet-table {
            caption { "Holes. Depths from the face as is; from the finished face in parentheses." }
            thead { tr {
                th scope="col" { "Hole" } th scope="col" { "Thread, bolt" } th scope="col" { "Stage" } th scope="col" { "Remedy" }
                th scope="col" { "Drill, tap" } th scope="col" { "Drill to" } th scope="col" { "Top below face" } th scope="col" { "Missing" }
            } }
            tbody { @for hole in holes { (row(hole, catalog, unit)) } }
        }
    }
}

fn row(hole: &HoleView, catalog: &Catalog, unit: Unit) -> Markup {
    let plan = Plan::of(&hole.record, &hole.face_record, catalog);
    html! {
        tr {
            th scope="row" { (hole.number) }
            td { @if let Some(wanted) = plan.record.wanted.agreed() {
                (no_break(&wanted.thread.designation())) @if let Some(bolt) = &wanted.bolt { br; (bolt) }
                @if plan.inherited.thread { br; span.faint { "face's setup" } } } @else { "–" } }
            td { (stage(hole)) @if hole.conflict { br; b { "conflict" } }
                @for problem in &plan.status.problems { br; b { "Open: " } (in_unit(&problem.to_string(), unit)) } }
            td { (remedy_cell(hole, &plan, unit)) }
            (numbers(plan.chosen().filter(|_| !plan.stopped_by_crack()), &plan.reached, unit))
            td { @for reading in missing(&plan, &hole.record, catalog) { (in_unit(&reading.to_string(), unit)) br; } }
        }
    }
}

fn stage(hole: &HoleView) -> &'static str {
    let choice = hole.record.choice.agreed();
    hole.status
        .stage
        .label_for(choice.map(|choice| choice.spec.remedy))
}

/// The chosen remedy, or the first of the list named as not chosen. Only a chosen one gets numbers,
/// since people follow a sheet.
fn remedy_cell(hole: &HoleView, plan: &Plan, unit: Unit) -> String {
    if plan.stopped_by_crack() {
        return "crack found: send it out; no thread repair holds in a cracked wall".to_owned();
    }
    match (hole.record.choice.agreed(), plan.chosen(), plan.leading()) {
        (Some(_), Some(chosen), _) => assessed_remedy(chosen, unit),
        (Some(choice), None, _) => remedy_spec(&choice.spec, unit),
        (None, ..) if hole.status.stage == Stage::Passed => "sound".to_owned(),
        (None, _, Some(first)) => {
            format!(
                "not chosen; first in the list: {}",
                assessed_remedy(first, unit)
            )
        }
        (None, _, None) => "not chosen".to_owned(),
    }
}

/// Cells for the tools, the drill depth, and how far the insert's top is below the face.
fn numbers(assessment: Option<&Assessment>, reached: &ReachedDepths, unit: Unit) -> Markup {
    let depths = assessment.and_then(|assessment| assessment.depths.as_ref());
    html! {
        td { @if let Some(assessment) = assessment {
            @if let Some(drill) = &assessment.drill { (no_break(&drill.show(unit))) br; }
            @if let Some(tap) = &assessment.tap { (tap) }
            @if let Some(bolt) = &assessment.bolt { br; (bolt_line(bolt, unit)) }
        } }
        td { @if let Some(depths) = depths { (both(depths.drill, Some(depths.drill_after_cut), Rounding::Up, unit)) }
            (recorded("drilled", reached.drilled, unit)) (recorded("tapped", reached.tapped, unit)) }
        td { @if let Some(depths) = depths { (both(depths.install_now, depths.install_after_cut, Rounding::Nearest, unit)) }
            (recorded("is", reached.top, unit)) }
    }
}

/// A depth as it was recorded, from the face as is.
fn recorded(what: &str, depth: Option<Length>, unit: Unit) -> Markup {
    html! { @if let Some(depth) = depth { br; (no_break(&format!("{what} {}", depth.show(unit)))) } }
}

/// The bolt to use, or the length it needs if none on sale fits.
fn bolt_line(bolt: &BoltLength, unit: Unit) -> Markup {
    match (&bolt.name, bolt.most) {
        (Some(name), _) => no_break(&format!("bolt: {name}")),
        _ if bolt.advice == Some(BoltLengthAdvice::RoomNotKnown) => {
            html! { "bolt: depth of the hole unknown" }
        }
        (None, Some(most)) if most < bolt.least => {
            html! { "bolt: the hole is too shallow" }
        }
        (None, Some(most)) => {
            html! { "bolt: no standard length; " (no_break(&show_range(bolt.least, most, unit))) }
        }
        (None, None) => {
            let least = bolt.least.rounded(unit, Rounding::Up);
            html! { "bolt: no standard length; " (no_break(&least)) " or longer" }
        }
    }
}

fn both(as_is: Option<Length>, finished: Option<Length>, rounding: Rounding, unit: Unit) -> Markup {
    let shown = |length: Length| length.rounded(unit, rounding);
    html! {
        @if let Some(as_is) = as_is { b { (no_break(&shown(as_is))) } }
        @if let Some(finished) = finished { " " (no_break(&format!("({})", shown(finished)))) }
    }
}

/// Text that stays on one line, so that a number keeps its unit.
fn no_break(text: &str) -> Markup {
    html! { span.nowrap { (text) } }
}

fn cautions() -> Markup {
    html! {
        div.caution { b { "Caution: " }
            "Wear eye protection and a dust mask. Clamp the casting; no gloves near a turning spindle. Lift it by its strong points and never "
            "stand under it. Wipe oil out of blind holes: a bolt driven onto trapped oil can burst the boss. Leave brazing, welding and anything that holds "
            "pressure to people who are trained and licensed for it. Torque: the machine's manual and the iron decide, not the bolt's chart." }
    }
}

fn log(notebook: &Notebook, hole: &HoleView, unit: Unit) -> Result<Markup, NotebookError> {
    let lines = notebook.history(hole.id.0, LINES, None)?;
    Ok(html! {
        section.sheet-hole {
            h3 { "Hole " (hole.number) }
            @if let Some(damage) = hole.record.damage.agreed() { (damage::describe(damage, unit)) }
            ul.journal { @for line in lines.iter().filter(|line| line.is_active() && is_work(&line.kind)) {
                li { (journal::entry_text(line, unit)) span.faint { " · " (author(&line.by)) ", " (date_time(&line.at)) } }
            } }
        }
    })
}

/// Whether an entry is about work on the hole; its number, mark and thread are elsewhere on the
/// sheet.
fn is_work(kind: &str) -> bool {
    !matches!(
        EntryKind::from_name(kind),
        Some(
            EntryKind::Hole
                | EntryKind::Mark
                | EntryKind::WantedThread
                | EntryKind::Damage
                | EntryKind::StrikeOut
        )
    )
}
