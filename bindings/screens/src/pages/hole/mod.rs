//! A hole's page, from top to bottom as the work goes: what is there, what it shall be, what to do next, what was done.

pub mod compared;
pub mod damage;
pub mod done;
mod next;
pub mod number;
mod questions;
mod readings;
mod record;
mod section;
pub mod shall;
pub mod way;
mod ways;
pub mod work;

pub use record::take;

use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::plate::{STAGES, plate};
use crate::words::state;
use crate::writers::Writers;
use holebook_core::hole::plan::Plan;
use holebook_core::hole::record::{Said, Wanted};
use holebook_core::notebook::{HoleId, HoleView, Notebook, NotebookError};
use maud::{Markup, html};

/// All that the parts of the page draw from.
pub struct Leaf<'a> {
    /// The hole with its record.
    pub hole: &'a HoleView,
    /// What follows from the record.
    pub plan: Plan,
    /// What the hole before or after it shall be, to be offered where nothing is said of this one.
    pub neighbour: Option<Wanted>,
    /// Who wrote the answers that differ.
    pub writers: Writers,
    /// The reader's unit and the form that was refused, if any.
    pub desk: Desk<'a>,
}

impl Leaf<'_> {
    /// The path of one of the page's forms.
    pub fn path(&self, form: &str) -> String {
        format!("/hole/{}/{form}", self.hole.id)
    }

    /// Whether this form is the next thing to do.
    pub fn is_next(&self, form: &str) -> bool {
        next::form(&self.plan.next) == form
    }

    /// The answers that stand on this page, so that a new one replaces just these.
    pub fn over<T>(&self, answers: &[Said<T>]) -> Markup {
        html! { @for answer in answers { input type="hidden" name="over" value=(answer.entry); } }
    }
}

/// The hole's page.
pub fn show(notebook: &Notebook, id: HoleId, desk: Desk<'_>) -> Result<Page, NotebookError> {
    let hole = notebook.hole(id)?;
    let catalogue = notebook.catalogue()?;
    let plan = Plan::of(&hole.record, &hole.face_record, &catalogue);
    let neighbour = neighbour(notebook, &hole)?;
    let leaf = Leaf {
        hole: &hole,
        plan,
        neighbour,
        writers: writers(notebook, &hole)?,
        desk,
    };
    let content = html! {
        (head(&leaf))
        (desk.outcome())
        (questions::leaf(&leaf))
        div.two {
            section.leaf.stay aria-labelledby="there" {
                h2 #there { "What is there" }
                (section::drawing(&leaf))
                (readings::leaf(&leaf))
                (damage::leaf(&leaf))
            }
            div {
                (shall::leaf(&leaf))
                (work::leaf(&leaf))
                (done::leaf(notebook, &leaf)?)
            }
        }
    };
    let title = format!("Hole {}", hole.number);
    let casting = hole
        .casting
        .map(|id| Crumb::to(&hole.casting_name, format!("/casting/{id}")));
    let mut way = vec![Crumb::to("Castings", "/")];
    way.extend(casting);
    way.push(Crumb::to(&hole.face_name, format!("/face/{}", hole.face)));
    way.push(Crumb::here(&title));
    Ok(page(&desk.title(&title), way, content))
}

/// Who wrote what is in question.
fn writers(notebook: &Notebook, hole: &HoleView) -> Result<Writers, NotebookError> {
    let record = &hole.record;
    Writers::default()
        .and(notebook, &hole.placed)?
        .and(notebook, &record.wanted)?
        .and(notebook, &record.damage)?
        .and(notebook, &record.choice)
}

/// Most holes of a face take the same bolt: what a neighbour shall be is a good first word for one not yet said.
fn neighbour(notebook: &Notebook, hole: &HoleView) -> Result<Option<Wanted>, NotebookError> {
    let beside = hole
        .previous
        .or(hole.next)
        .filter(|_| hole.record.wanted.0.is_empty());
    let beside = beside.map(|id| notebook.hole(id)).transpose()?;
    Ok(beside.and_then(|beside| beside.record.wanted.settled().cloned()))
}

fn head(leaf: &Leaf<'_>) -> Markup {
    let hole = leaf.hole;
    let standing = &hole.standing;
    html! {
        div.hole-head {
            (plate(hole.number, standing.state, hole.in_question, true))
            div.grow {
                h1 { "Hole " (hole.number) }
                ol.stages aria-label="Stages" {
                    @for stage in STAGES {
                        li.reached[standing.state >= stage] aria-current=[(standing.state == stage).then_some("step")] {
                            @if standing.state >= stage { "✓ " } (state(stage))
                        }
                    }
                }
            }
            @if let Some(previous) = hole.previous { a.button href=(format!("/hole/{previous}")) rel="prev" { "‹ Hole before" } }
            @if let Some(next) = hole.next { a.button href=(format!("/hole/{next}")) rel="next" { "Hole after ›" } }
        }
        (next::strip(&leaf.plan.next))
    }
}
