//! A hole's page: the hole in the photo with the next thing to do and its one big button; then the
//! remedies and steps, the drawing, and the long forms for the desk, folded; the log last.

mod ask;
mod choose_remedy;
mod conflicts;
pub mod damage;
mod drawing;
pub mod log;
mod next;
pub mod number;
mod on_hand;
pub mod outline;
mod passed;
mod picture;
pub mod readings;
mod record;
pub mod remedy_card;
pub mod remedy_table;
pub mod steps;
mod tries;
pub mod unusual;
pub mod wanted_thread;

pub use ask::{SCRIPT as KEYPAD, SKIP, skip_words, skipped};
pub use conflicts::fact_of;
pub use log::NOTE_ID;
pub use record::submit;

use crate::authors::Authors;
use crate::carrier::Request;
use crate::form::{Form, replaced_entries};
use crate::form_names::{Field, FormName};
use crate::hole_badge::{Badge, hole_badge, stages};
use crate::labels::{assessed_remedy, remedy_spec};
use crate::page::{Crumb, Page};
use crate::pages::FormContext;
use holebook_core::hole::damage::Damage;
use holebook_core::hole::next_question::Topic;
use holebook_core::hole::plan::Plan;
use holebook_core::hole::record::{Recorded, RemedySpec, WantedThread};
use holebook_core::hole::stage::Fact;
use holebook_core::hole::steps::StepKey;
use holebook_core::insert::Catalog;
use holebook_core::notebook::{AskedQuestion, EntryId, HoleId, HoleView, Notebook, NotebookError};
use holebook_core::places::HoleCenter;
use maud::{Markup, html};
use next::NextForm;
use picture::Pictures;
use std::collections::BTreeSet;

/// What all parts of the page draw from.
pub struct HolePage<'a> {
    /// The hole with its record.
    pub hole: &'a HoleView,
    /// What follows from the record.
    pub plan: Plan,
    /// The wanted thread of the previous or next hole, offered if this one has none.
    pub neighbor: Option<WantedThread>,
    /// The inserts that the plan is made with.
    pub catalog: &'a Catalog,
    /// Who recorded the entries that conflict.
    pub authors: Authors,
    /// The question to ask next, if there is one.
    pub asked: Option<AskedQuestion>,
    /// What the person skipped.
    pub skipped: BTreeSet<Topic>,
    /// Where it belongs by the pattern of its face, if the question is how far it is off.
    pub center: Option<HoleCenter>,
    /// The damage as the places on the face have it now, if what it was taken from changed.
    pub retaken: Option<Damage>,
    /// What the remedies take that is not on hand.
    pub shortages: on_hand::Shortages,
    /// The photos that show the hole.
    pub pictures: Pictures,
    /// The reader's unit and the rejected form, if any.
    pub context: FormContext<'a>,
}

impl HolePage<'_> {
    /// The address of one of the page's forms.
    pub fn address(&self, form: FormName) -> String {
        form.address_of(self.hole.id)
    }

    /// Whether this form is the next thing to do.
    pub fn is_next(&self, form: FormName) -> bool {
        next::form(self) == NextForm::Form(form)
    }

    /// Whether this step is the next thing to do.
    pub fn is_next_step(&self, step: StepKey) -> bool {
        next::form(self) == NextForm::Step(step)
    }

    /// A form on a question's card.
    pub fn card_form<'f>(&'f self, id: &'f str, name: FormName) -> Form<'f> {
        let on_card = |request: &Request| request.field(Field::Card).is_some();
        self.context.form_where(id, name, on_card)
    }

    /// The long form of the same name.
    pub fn long_form(&self, name: FormName) -> Form<'_> {
        let on_page = |request: &Request| request.field(Field::Card).is_none();
        self.context.form_where(name.word(), name, on_page)
    }

    /// Hidden fields that name the entries a form replaces: those shown on this page.
    pub fn replaces<T>(&self, entries: &[Recorded<T>]) -> Markup {
        replaced_entries(entries.iter().map(|entry| entry.entry))
    }

    /// Says that a value is the face's usual one, with the way to its setup.
    pub fn setup_link(&self) -> Markup {
        html! { a.faint href=(format!("/face/{}/setup", self.hole.face)) { "from the face's setup" } }
    }

    /// A chosen remedy with its thread and length.
    pub fn remedy_label(&self, spec: &RemedySpec) -> String {
        let unit = self.context.unit;
        let mut assessments = self.plan.assessments.iter();
        match assessments.find(|assessment| assessment.spec() == *spec) {
            Some(assessment) => assessed_remedy(assessment, unit),
            None => remedy_spec(spec, unit),
        }
    }
}

/// The hole's page.
pub fn show(
    notebook: &Notebook,
    id: HoleId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let skipped = skipped(request);
    with_page(notebook, id, context, |page| {
        let catalog = notebook.catalog()?;
        let asked = notebook.ask_about(page.hole, &page.plan, &catalog, &skipped)?;
        let center = ask::center_of(notebook, &page, asked.as_ref())?;
        let page = HolePage {
            retaken: ask::retaken(notebook, &page, center.as_ref())?,
            center,
            asked,
            skipped,
            shortages: shortages(notebook, &page, request)?,
            pictures: picture::of_hole(notebook, page.hole)?,
            ..page
        };
        whole_page(notebook, &page)
    })
}

/// What the remedies of the page take that is not on hand.
fn shortages(
    notebook: &Notebook,
    page: &HolePage<'_>,
    request: &Request,
) -> Result<on_hand::Shortages, NotebookError> {
    if page.plan.assessments.is_empty() {
        return Ok(on_hand::Shortages::default());
    }
    let is_limited = request.param(on_hand::PARAM).is_some();
    let (plan, face) = (&page.plan, &page.hole.face_record);
    let on_hand = notebook.on_hand()?;
    Ok(on_hand::Shortages::of(plan, face, &on_hand, is_limited))
}

/// A page of one conflict alone; `None` if the hole has no such conflict.
pub fn show_conflict(
    notebook: &Notebook,
    id: HoleId,
    fact: Fact,
    before: Option<EntryId>,
    context: FormContext<'_>,
) -> Result<Option<Page>, NotebookError> {
    with_page(notebook, id, context, |page| {
        Ok(conflicts::show(&page, fact, before))
    })
}

/// Loads a hole with what all parts of its page draw from.
fn with_page<T>(
    notebook: &Notebook,
    id: HoleId,
    context: FormContext<'_>,
    with: impl FnOnce(HolePage<'_>) -> Result<T, NotebookError>,
) -> Result<T, NotebookError> {
    let hole = notebook.hole(id)?;
    let catalog = notebook.catalog()?;
    with(HolePage {
        plan: Plan::of(&hole.record, &hole.face_record, &catalog),
        neighbor: neighbor(notebook, &hole)?,
        authors: authors(notebook, &hole)?,
        asked: None,
        skipped: BTreeSet::new(),
        center: None,
        retaken: None,
        shortages: on_hand::Shortages::default(),
        pictures: Pictures::default(),
        hole: &hole,
        catalog: &catalog,
        context,
    })
}

fn whole_page(notebook: &Notebook, page: &HolePage<'_>) -> Result<Page, NotebookError> {
    let hole = page.hole;
    let content = html! {
        (head(page))
        (page.context.outcome())
        (conflicts::section(page))
        (conflicts::problems(page))
        div.two-columns.hole-page {
            div {
                (next::panel(page))
                (choose_remedy::section(page))
                (steps::section(page))
            }
            div {
                section.panel aria-labelledby="as-found" {
                    h2 #as-found { "As found" }
                    (drawing::drawing(page))
                    (damage::section(page))
                    (readings::section(page))
                    (picture::section(page))
                }
                (wanted_thread::section(page))
                (tries::section(page))
            }
        }
        (log::section(notebook, page)?)
    };
    let title = format!("Hole {}", hole.number);
    let casting = hole
        .casting
        .map(|id| Crumb::to(&hole.casting_name, format!("/casting/{id}")));
    let mut crumbs = vec![Crumb::to("Castings", "/")];
    crumbs.extend(casting);
    crumbs.push(Crumb::to(&hole.face_name, format!("/face/{}", hole.face)));
    crumbs.push(Crumb::here(&title));
    Ok(Page::new(&page.context.title(&title), crumbs, content).with_script(KEYPAD.0))
}

fn authors(notebook: &Notebook, hole: &HoleView) -> Result<Authors, NotebookError> {
    let record = &hole.record;
    Authors::default()
        .and(notebook, &hole.placement)?
        .and(notebook, &record.wanted)?
        .and(notebook, &record.condition)?
        .and(notebook, &record.damage)?
        .and(notebook, &record.choice)
}

/// Most holes of a face take the same bolt, so a neighbor's thread is a good default.
fn neighbor(notebook: &Notebook, hole: &HoleView) -> Result<Option<WantedThread>, NotebookError> {
    let beside = hole
        .previous
        .or(hole.next)
        .filter(|_| hole.record.wanted.0.is_empty() && hole.face_record.setup.thread.0.is_empty());
    let beside = beside.map(|id| notebook.hole(id)).transpose()?;
    Ok(beside.and_then(|beside| beside.record.wanted.agreed().cloned()))
}

fn head(page: &HolePage<'_>) -> Markup {
    let hole = page.hole;
    let stage = hole.status.stage;
    let remedy = hole.record.choice.agreed().map(|choice| choice.spec.remedy);
    let badge = Badge {
        number: hole.number,
        condition: hole.record.condition_in_force(),
        stage,
        remedy,
        conflict: hole.conflict || !page.plan.status.problems.is_empty(),
    };
    html! {
        div.hole-header {
            (hole_badge(badge, true))
            div.grow {
                h1 { "Hole " (hole.number) }
                ol.stages aria-label="Stages" {
                    @for it in stages(remedy) {
                        li.reached[stage >= it] aria-current=[(stage == it).then_some("step")] {
                            @if stage >= it { "✓ " } (it.label_for(remedy))
                        }
                    }
                }
            }
            label.button.note-tap for=(log::NOTE_ID) { "Note" }
            @if let Some(previous) = hole.previous { a.button href=(format!("/hole/{previous}")) rel="prev" { "‹" span.word { " Previous" } } }
            @if let Some(next) = hole.next { a.button href=(format!("/hole/{next}")) rel="next" { span.word { "Next " } "›" } }
        }
    }
}
