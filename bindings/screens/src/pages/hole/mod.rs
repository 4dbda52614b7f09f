//! A hole's page, from top to bottom as the work goes: what is there, what it shall be, what to do next, what was done.

pub mod done;
mod next;
mod questions;
mod record;
pub mod shall;
pub mod there;
mod ways;
pub mod work;

pub use record::take;

use crate::carrier::Response;
use crate::page::{Crumb, page};
use crate::pages::Desk;
use crate::plate::{STAGES, plate};
use crate::section;
use crate::words::state;
use holebook_core::hole::record::{Said, Wanted};
use holebook_core::hole::remedies::{Assessment, assessment_of, remedies};
use holebook_core::hole::situation::{Situation, situation_of};
use holebook_core::hole::steps::{Step, steps};
use holebook_core::notebook::{HoleId, HoleView, Notebook, NotebookError};
use maud::{Markup, html};
use next::Next;

/// All that the parts of the page draw from.
pub struct Leaf<'a> {
    /// The hole with its record.
    pub hole: &'a HoleView,
    /// What the remedies are reckoned from; the sentence says what stands in the way.
    pub situation: Result<Situation, String>,
    /// Every way, best first.
    pub ways: Vec<Assessment>,
    /// The steps of the chosen remedy; none where none is chosen.
    pub steps: Vec<Step>,
    /// What to do next.
    pub next: Next,
    /// What the hole before or after it shall be, to be offered where nothing is said of this one.
    pub neighbour: Option<Wanted>,
    /// The reader's unit and the form that was refused, if any.
    pub desk: Desk<'a>,
}

impl Leaf<'_> {
    /// The chosen remedy as it is judged now.
    pub fn chosen(&self) -> Option<&Assessment> {
        chosen(self.hole, &self.ways)
    }

    /// The path of one of the page's forms.
    pub fn path(&self, form: &str) -> String {
        format!("/hole/{}/{form}", self.hole.id)
    }

    /// Whether this form is the next thing to do.
    pub fn is_next(&self, form: &str) -> bool {
        self.next.form() == form
    }

    /// The answers that stand on this page, so that a new one replaces just these.
    pub fn over<T>(&self, answers: &[Said<T>]) -> Markup {
        html! { @for answer in answers { input type="hidden" name="over" value=(answer.entry); } }
    }
}

/// The chosen remedy among the ways.
pub fn chosen<'a>(hole: &HoleView, ways: &'a [Assessment]) -> Option<&'a Assessment> {
    let choice = hole.record.choice.settled()?;
    assessment_of(ways, &choice.work)
}

/// The hole's page.
pub fn show(notebook: &Notebook, id: HoleId, desk: Desk<'_>) -> Result<Response, NotebookError> {
    let hole = notebook.hole(id)?;
    let situation =
        situation_of(&hole.record, &hole.face_record).map_err(|error| error.to_string());
    let ways = situation.as_ref().map(remedies).unwrap_or_default();
    let steps = match (&situation, chosen(&hole, &ways)) {
        (Ok(situation), Some(chosen)) => steps(situation, chosen, &hole.record),
        _ => Vec::new(),
    };
    let next = Next::of(&hole, &steps);
    let neighbour = neighbour(notebook, &hole)?;
    let leaf = Leaf {
        hole: &hole,
        situation,
        ways,
        steps,
        next,
        neighbour,
        desk,
    };
    let content = html! {
        (head(&leaf))
        (desk.problem())
        (questions::leaf(&leaf))
        div.two {
            section.leaf.stay aria-labelledby="there" {
                h2 #there { "What is there" }
                (section::drawing(&leaf))
                (there::readings(&leaf))
                (there::damage(&leaf))
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
    Ok(page(&title, &way, content))
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
            (plate(hole.number, standing.state, !standing.questions.is_empty(), true))
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
            @if let Some(previous) = hole.previous { a.button href=(format!("/hole/{previous}")) rel="prev" { "‹ Previous" } }
            @if let Some(next) = hole.next { a.button href=(format!("/hole/{next}")) rel="next" { "Next ›" } }
        }
        (leaf.next.strip())
    }
}
