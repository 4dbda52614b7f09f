//! The bolt-up sheet as HTML: on the screen, to print, and as one file.

use super::{LUBRICATION, choice, photo};
use crate::page::Page;
use crate::pages::sheet::{self, Pictures};
use crate::pages::{FormContext, below_face};
use holebook_core::hole::bolt_up::BoltPass;
use holebook_core::labels::{
    DRAWING_NOTE, GRIP_NOTE, PASSES_SOURCE, SEALER, TABLE_NOTE, WARM_UP, full_torque, sentence,
    tightening_warnings, weakest,
};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{FaceId, Notebook};
use holebook_core::strength::Lubrication;
use holebook_paper::bolt_rows::{BoltRow, BoltUpFacts, CAUTIONS, TO_WRITE};
use holebook_paper::{PaperError, PaperSize, SheetKind};
use maud::{Markup, html};

/// The sheet as a page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    lubrication: Option<Lubrication>,
    context: FormContext<'_>,
) -> Result<Page, PaperError> {
    let facts = BoltUpFacts::read(notebook, id, lubrication, context.unit)?;
    let lubrication = facts.joint.lubrication;
    let content = html! {
        div.screen-only {
            div.sheet-links {
                a.button href=(format!("/face/{id}/bolt-up?{LUBRICATION}={}", lubrication.word())) { "Bolt-up" }
                (pdfs(&facts, context))
            }
            (choice(lubrication, &format!("/face/{id}/bolt-up/sheet")))
        }
        (article(notebook, &facts, Pictures::Linked, context.unit)?)
    };
    let title = SheetKind::BoltUp.label();
    Ok(below_face::page(&facts.joint.face, title, context, content))
}

/// The sheet as one HTML file with its style and picture inside.
pub fn file(
    notebook: &Notebook,
    id: FaceId,
    lubrication: Option<Lubrication>,
    unit: Unit,
) -> Result<String, PaperError> {
    let facts = BoltUpFacts::read(notebook, id, lubrication, unit)?;
    let body = article(notebook, &facts, Pictures::Embedded, unit)?;
    Ok(sheet::whole_file(&facts.joint.face, body))
}

/// Links to the sheet, for the page of the joint.
pub fn links(id: FaceId, lubrication: Lubrication) -> Markup {
    let bolts = lubrication.word();
    html! {
        div.sheet-links {
            a.button href=(format!("/face/{id}/bolt-up/sheet?{LUBRICATION}={bolts}")) { "Sheet with boxes to tick" }
        }
    }
}

fn pdfs(facts: &BoltUpFacts, context: FormContext<'_>) -> Markup {
    let share = if context.shell.is_some() {
        "Share "
    } else {
        ""
    };
    let (face, bolts) = (facts.joint.face.id, facts.joint.lubrication.word());
    html! {
        @for size in PaperSize::ALL {
            a.button download href=(format!("{}&{LUBRICATION}={bolts}", sheet::pdf_address(face, SheetKind::BoltUp, size))) {
                (share) "PDF, " (sheet::paper_name(size)) }
        }
    }
}

fn article(
    notebook: &Notebook,
    facts: &BoltUpFacts,
    pictures: Pictures,
    unit: Unit,
) -> Result<Markup, PaperError> {
    let joint = &facts.joint;
    let writer = notebook.settings()?.person;
    let picture = photo::picture(notebook, joint, pictures)?;
    Ok(html! {
        article.sheet {
            div.sheet-head {
                (picture)
                div {
                    h1 { "Bolt-up: " bdi { (joint.face.casting_name) } ", " bdi { (joint.face.name) } }
                    p { b { (facts.state()) } }
                    p { b { "Bolts: " } (joint.lubrication.name()) ". The torque is for that alone. " (full_torque(joint, unit)) }
                    @for warning in tightening_warnings(joint, unit) { p { b { (warning) } } }
                    @if let Some(weakest) = weakest(joint, unit) { p { (weakest) } }
                    @if !picture.0.is_empty() { p { (DRAWING_NOTE) } }
                    p { (joint.order.by.sentence()) " " (GRIP_NOTE) }
                    p { (SEALER) }
                    p { b { (WARM_UP) "." } }
                    (sheet::printed(&writer))
                    div.caution { b { "Caution: " } @for caution in CAUTIONS { (sentence(&in_unit(&caution.to_string(), unit))) " " } }
                }
            }
            @if !facts.rows.is_empty() { (table(facts)) (to_write()) }
        }
    })
}

fn table(facts: &BoltUpFacts) -> Markup {
    html! {
        p { (TABLE_NOTE) }
        div.scroll tabindex="0" role="region" aria-label="Bolts in the order of tightening" {
            table.sheet-table {
                caption.visually-hidden { "Bolts in the order of tightening" }
                thead { tr {
                    th scope="col" { "Order" } th scope="col" { "Hole" } th scope="col" { "Bolt" } th scope="col" { "Grip" }
                    th scope="col" { "Engaged" } th scope="col" { "Torque limit, weakest part" }
                    @for pass in BoltPass::ALL { th scope="col" { @for (at, line) in facts.pass_title(pass).lines().enumerate() {
                        @if at > 0 { br; } (line) } } }
                } }
                tbody { @for row in &facts.rows { (line(row)) } }
            }
        }
        p.faint { (PASSES_SOURCE) }
    }
}

fn line(row: &BoltRow) -> Markup {
    html! {
        tr {
            td { (row.place) }
            th scope="row" { (row.number) @if row.open { br; b { "OPEN" } } }
            td { @for (at, line) in row.bolt.iter().enumerate() { @if at == 0 { b { (line) } } @else { br; (line) } } }
            td { (row.grip) } td { (row.engaged) }
            td { b { (row.limit) } br; (row.weakest) }
            @for pass in &row.passes { td.to-write { @if let Some(pass) = pass { (pass) } } }
        }
    }
}

/// What stays open to write on the print.
fn to_write() -> Markup {
    html! {
        dl.sheet-to-write { @for name in TO_WRITE { dt { (name) } dd {} } }
    }
}
