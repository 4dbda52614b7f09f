//! The sheets of a face: for the machine while the work is done, and for the casting's file after. On
//! the screen, as HTML to print, and as PDF.

use crate::carrier::{Request, Response};
use crate::journal;
use crate::labels::{author, date_time};
use crate::page::{self, Crumb, Page, STYLE};
use crate::pages::hole::damage;
use crate::pages::photo::marked_photo;
use crate::pages::{FormContext, below_face, bolt_up};
use base64::prelude::{BASE64_STANDARD, Engine};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{
    EntryKind, FaceId, FaceView, HoleView, Notebook, NotebookError, PhotoView, now,
};
use holebook_core::photo::PhotoError;
use holebook_paper::face_lines::face_lines;
use holebook_paper::work_rows::{DepthPair, WorkRow, condition_label, work_rows};
use holebook_paper::{CAUTION, PaperError, PaperSize, SheetKind, SheetOptions, sheet_pdf};
use maud::{DOCTYPE, Markup, html};

/// Most log entries of one hole on the record.
const LINES: usize = 60;

/// The work sheet as a page, with links to the other sheets.
pub fn show(notebook: &Notebook, id: FaceId, context: FormContext<'_>) -> Result<Page, PaperError> {
    let face = notebook.face(id)?;
    let content = html! {
        (links(id, context))
        (work(notebook, &face, context.unit, Pictures::Linked)?)
    };
    Ok(page_of(&face, "Job sheet", content))
}

/// The record as a page.
pub fn show_record(
    notebook: &Notebook,
    id: FaceId,
    context: FormContext<'_>,
) -> Result<Page, PaperError> {
    let face = notebook.face(id)?;
    let content = html! {
        p.screen-only { a.button href=(format!("/face/{id}/sheet")) { "All sheets" } }
        (record(notebook, &face, context.unit, Pictures::Linked)?)
    };
    Ok(page_of(&face, SheetKind::Record.label(), content))
}

fn page_of(face: &FaceView, title: &str, content: Markup) -> Page {
    let mut crumbs = below_face::crumbs(face);
    crumbs.push(Crumb::here(title));
    Page::new(&format!("{title}, {}", face.name), crumbs, content)
}

/// Links to the other sheets.
fn links(id: FaceId, context: FormContext<'_>) -> Markup {
    html! {
        div.sheet-links.screen-only {
            a.button href=(format!("/face/{id}/record")) { "Record, to read here" }
            a.button href=(format!("/face/{id}/bolt-up/sheet")) { "Bolt-up, to read here" }
            @if context.shell.is_none() {
                (pdfs(id, PaperSize::usual(context.unit)))
                details {
                    summary { "On " (paper_name(other_paper(context.unit))) }
                    div.sheet-links { (pdfs(id, other_paper(context.unit))) }
                }
            }
        }
    }
}

/// The sheets to print, folded, for the face's page. The app around the pages has buttons on the page
/// of the sheet that share them instead, since its browser shows no PDF.
pub fn on_face(face: &FaceView, context: FormContext<'_>) -> Markup {
    html! {
        @if context.shell.is_none() && !face.holes.is_empty() {
            details.panel {
                summary { "Sheets to print" }
                div.sheet-links { (pdfs(face.id, PaperSize::usual(context.unit))) }
            }
        }
    }
}

fn pdfs(id: FaceId, size: PaperSize) -> Markup {
    html! {
        @for kind in SheetKind::ALL {
            @if kind == SheetKind::BoltUp { (bolt_up_pdf(id, size)) } @else {
                a.button href=(pdf_address(id, kind, size)) { (pdf_label(kind, size)) } }
        }
    }
}

/// The bolt-up sheet, whose torque is for bolts that are lubricated in one way.
fn bolt_up_pdf(id: FaceId, size: PaperSize) -> Markup {
    let kind = SheetKind::BoltUp;
    html! {
        form.sheet-choice action=(format!("/face/{id}/sheet/{}.pdf", kind.word())) {
            input type="hidden" name="paper" value=(size.word());
            (bolt_up::select())
            button { (pdf_label(kind, size)) }
        }
    }
}

fn pdf_label(kind: SheetKind, size: PaperSize) -> String {
    format!("{} (PDF, {})", kind.label(), paper_name(size))
}

/// The address of a sheet as PDF.
pub fn pdf_address(id: FaceId, kind: SheetKind, size: PaperSize) -> String {
    format!("/face/{id}/sheet/{}.pdf?paper={}", kind.word(), size.word())
}

fn other_paper(unit: Unit) -> PaperSize {
    match PaperSize::usual(unit) {
        PaperSize::Letter => PaperSize::A4,
        PaperSize::A4 => PaperSize::Letter,
    }
}

/// The name of a size of paper.
pub fn paper_name(size: PaperSize) -> &'static str {
    match size {
        PaperSize::Letter => "Letter",
        PaperSize::A4 => "A4",
    }
}

/// Which PDF an address names: `work.pdf?paper=a4`. `None` if it names none.
pub fn pdf_at(file: &str, request: &Request, unit: Unit) -> Option<SheetOptions> {
    let kind = SheetKind::from_word(file.strip_suffix(".pdf")?)?;
    let size = match request.param("paper") {
        Some(word) => PaperSize::from_word(word)?,
        None => PaperSize::usual(unit),
    };
    Some(SheetOptions {
        kind,
        size,
        unit,
        lubrication: bolt_up::lubrication(request),
    })
}

/// A sheet as PDF.
pub fn pdf(
    notebook: &Notebook,
    face: FaceId,
    options: SheetOptions,
) -> Result<Response, PaperError> {
    let bytes = sheet_pdf(notebook, face, options)?;
    Ok(page::pdf(bytes, &format!("{}.pdf", options.kind.word())))
}

/// The work sheet as one HTML file with its style and pictures inside.
pub fn file(notebook: &Notebook, id: FaceId, unit: Unit) -> Result<String, PaperError> {
    let face = notebook.face(id)?;
    let body = work(notebook, &face, unit, Pictures::Embedded)?;
    Ok(whole_file(&face, body))
}

/// The record as one HTML file with its style and pictures inside.
pub fn record_file(notebook: &Notebook, id: FaceId, unit: Unit) -> Result<String, PaperError> {
    let face = notebook.face(id)?;
    let body = record(notebook, &face, unit, Pictures::Embedded)?;
    Ok(whole_file(&face, body))
}

/// One HTML file with its style inside.
pub fn whole_file(face: &FaceView, body: Markup) -> String {
    let title = format!("{}, {}", face.casting_name, face.name);
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
    text.into_string()
}

fn work(
    notebook: &Notebook,
    face: &FaceView,
    unit: Unit,
    pictures: Pictures,
) -> Result<Markup, PaperError> {
    let rows = work_rows(notebook, face.id, unit)?;
    Ok(html! {
        article.sheet {
            (top(notebook, face, unit, pictures)?)
            div.scroll tabindex="0" role="region" aria-label="Holes" { (table(&rows, unit)) }
        }
    })
}

/// The photos, what the sheet is about, and the cautions.
fn top(
    notebook: &Notebook,
    face: &FaceView,
    unit: Unit,
    pictures: Pictures,
) -> Result<Markup, PaperError> {
    let writer = notebook.settings()?.person;
    Ok(html! {
        div.sheet-head {
            @for photo in face.photos_of_face() { (picture(notebook, photo, face, pictures)?) }
            div { (head(face, unit, &writer)) (cautions()) }
        }
    })
}

fn record(
    notebook: &Notebook,
    face: &FaceView,
    unit: Unit,
    pictures: Pictures,
) -> Result<Markup, PaperError> {
    let holes = face.holes.iter().map(|hole| notebook.hole(hole.id));
    let holes: Vec<HoleView> = holes.collect::<Result<_, _>>()?;
    Ok(html! {
        article.sheet {
            (top(notebook, face, unit, pictures)?)
            h2 { "Log" }
            div.sheet-records { @for hole in &holes { (log(notebook, hole, unit)?) } }
        }
    })
}

/// How the sheet includes its pictures.
#[derive(Clone, Copy)]
pub enum Pictures {
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
    let source = picture_source(notebook, photo, pictures)?;
    Ok(marked_photo(
        &source,
        "The face with its holes marked by number",
        photo,
        face,
        false,
    ))
}

/// The address of a picture, or its data.
pub fn picture_source(
    notebook: &Notebook,
    photo: &PhotoView,
    pictures: Pictures,
) -> Result<String, NotebookError> {
    Ok(match pictures {
        Pictures::Linked => format!("/photo/{}/view.jpg", photo.id),
        Pictures::Embedded => {
            let path = notebook.photos().view(&photo.hash)?;
            let bytes = std::fs::read(&path).map_err(|error| PhotoError::storage(&path, error))?;
            format!("data:image/jpeg;base64,{}", BASE64_STANDARD.encode(bytes))
        }
    })
}

/// When the sheet was printed, and by whom.
pub fn printed(writer: &str) -> Markup {
    html! {
        dl.facts { dt { "Printed" } dd { (date_time(&now())) @if !writer.is_empty() { ", by " (author(writer)) } } }
    }
}

fn head(face: &FaceView, unit: Unit, writer: &str) -> Markup {
    html! {
        h1 { bdi { (face.casting_name) } ": " bdi { (face.name) } }
        dl.facts {
            @for (name, value) in face_lines(&face.record, unit) { dt { (name) } dd { (value) } }
            dt { "Printed" } dd { (date_time(&now())) @if !writer.is_empty() { ", by " (author(writer)) } }
        }
    }
}

fn table(rows: &[WorkRow], unit: Unit) -> Markup {
    html! {
        table.sheet-table {
            caption { "Depths in " (unit_name(unit)) " from the face as is; from the finished face in parentheses." }
            thead { tr {
                th scope="col" { "Hole" } th scope="col" { "Condition, thread" } th scope="col" { "Remedy, next step" }
                th scope="col" { "Drill to" } th scope="col" { "Tap, full thread to" } th scope="col" { "Drill rpm, feed" }
                th scope="col" { "Drilled to" } th scope="col" { "Tapped to" } th scope="col" { "By, date" }
            } }
            tbody { @for row in rows { (line(row)) } }
        }
    }
}

/// The unit in words.
pub fn unit_name(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Millimeter => "millimeters",
    }
}

fn line(row: &WorkRow) -> Markup {
    let [drilled, tapped, top] = &row.reached;
    html! {
        tr {
            th scope="row" { (row.number) }
            td { (condition_label(row))
                @if let Some(thread) = &row.thread { br; span.nowrap { (thread) } }
                @if row.usual_thread { br; span.faint { "face's setup" } } }
            td { (row.remedy) br; (state(row))
                @for open in &row.open { br; b { "Open: " } (open) }
                @if !row.missing.is_empty() { br; b { "Missing: " } (row.missing.join("; ")) }
                @if let Some(bolt) = &row.bolt { br; (bolt) } }
            td { (tool(row.drill.as_deref(), &row.drill_to)) }
            td { (tool(row.tap.as_deref(), &row.tap_to)) (below("top", &row.top)) }
            td { @if let Some(rpm) = &row.rpm { (rpm) } @if let Some(feed) = &row.feed { br; (feed) } }
            td.to-write { @if let Some(depth) = drilled { (depth) } }
            td.to-write { @if let Some(depth) = tapped { (depth) }
                @if let Some(depth) = top { @if tapped.is_some() { br; } "top " (depth) } }
            td.to-write { @if row.passed { "passed" } }
        }
    }
}

/// What to do next, or that it has passed.
fn state(row: &WorkRow) -> Markup {
    html! { @if row.passed { (row.stage) } @else { b { "Next: " (row.next) } } }
}

fn tool(name: Option<&str>, to: &DepthPair) -> Markup {
    html! {
        @if let Some(name) = name { (name) br; }
        @if !to.to_string().is_empty() { "to " b.nowrap { (to) } }
    }
}

fn below(what: &str, depth: &DepthPair) -> Markup {
    html! { @if !depth.to_string().is_empty() { br; (what) " " b.nowrap { (depth) } " below" } }
}

fn cautions() -> Markup {
    html! { div.caution { b { "Caution: " } (CAUTION) } }
}

fn log(notebook: &Notebook, hole: &HoleView, unit: Unit) -> Result<Markup, NotebookError> {
    let lines = notebook.history(hole.id.0, LINES, None)?;
    let status = &hole.status;
    Ok(html! {
        section.sheet-hole {
            h3 { "Hole " (hole.number) }
            @for conflict in &status.conflicts { p { b { "Conflict: " } (in_unit(&conflict.to_string(), unit)) } }
            @for problem in &status.problems { p { b { "Open: " } (in_unit(&problem.to_string(), unit)) } }
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
