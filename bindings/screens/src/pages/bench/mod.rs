//! Bench tables: the core's calculators on pages of their own, without a casting. Each is a form that asks by its address, and the answer
//! under it; nothing is recorded.

mod choices;
mod cutting;
mod drill;
mod hold;
mod identify;
mod insert;
mod limits;
mod remedies;
mod shell;
mod thread;
mod tool;

pub use shell::{index, show};
pub use tool::Tool;

use crate::carrier::Request;
use crate::form::{Form, Refusal, length};
use holebook_core::drill::Drawer;
use holebook_core::insert::Catalogue;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{Notebook, NotebookError};
use holebook_core::thread::{Thread, standard_threads};
use maud::{Markup, html};
use std::sync::Arc;

/// What a calculator works with.
struct Bench {
    /// The reader's unit.
    unit: Unit,
    /// The drills at hand, where somebody said.
    drawer: Option<Drawer>,
    /// The inserts there are, the shop's own among them.
    catalogue: Arc<Catalogue>,
    /// What was asked, its query as a form's fields.
    asked: Request,
}

impl Bench {
    fn of(notebook: &Notebook, request: &Request) -> Result<Bench, NotebookError> {
        let settings = notebook.settings()?;
        Ok(Bench {
            unit: settings.unit,
            drawer: settings.drawer,
            catalogue: notebook.catalogue()?,
            asked: Request {
                form: request.query.clone(),
                ..Request::get(&request.path)
            },
        })
    }

    /// The thread in the field `thread`.
    fn thread(&self) -> Result<Thread, Refusal> {
        let text = self.asked.field("thread").ok_or_else(|| {
            Refusal::of(
                THREAD,
                "nothing is written; write one such as 3/8-16 or M10",
            )
            .at("thread")
        })?;
        Thread::parse(text).map_err(|error| Refusal::of(THREAD, error).at("thread"))
    }

    /// A length above zero, or none where the field is empty.
    fn length(&self, field: &str, label: &str) -> Result<Option<Length>, Refusal> {
        let length = length(&self.asked, field, label, self.unit)?;
        if length.is_some_and(|length| !length.is_positive()) {
            return Err(Refusal::of(label, "it must be more than 0; measure it again").at(field));
        }
        Ok(length)
    }

    /// A length above zero that must be there.
    fn needed_length(&self, field: &str, label: &str) -> Result<Length, Refusal> {
        self.length(field, label)?.ok_or_else(|| {
            Refusal::of(label, "nothing is written; write the value that was read").at(field)
        })
    }

    /// The drawer that was chosen, else the notebook's, else the kinds that are usual for what is drilled.
    fn drawer(&self, usual: Drawer) -> Result<Drawer, Refusal> {
        let chosen = self.asked.field("drawer").map(str::parse).transpose();
        let chosen = chosen.map_err(|error| Refusal::of(DRAWER, error).at("drawer"))?;
        Ok(chosen.or(self.drawer).unwrap_or(usual))
    }

    /// The field for a thread, with the list of all that are kept.
    fn thread_field(&self, form: &Form<'_>) -> Markup {
        html! {
            (form.text_from("thread", THREAD, None, "3/8-16, 1/4-28 UNF, M10, 1/2 BSW", Some("threads")))
            datalist #threads { @for thread in standard_threads() { option value=(thread.designation()) {} } }
        }
    }

    /// The field for the drills to choose from.
    fn drawer_field(&self, form: &Form<'_>) -> Markup {
        let own = match self.drawer {
            Some(drawer) => format!("my drawer: {}", drawer.name()),
            None => "the kinds usual for it".to_owned(),
        };
        let mut of = vec![(String::new(), own)];
        let mut offer =
            |drawer: Drawer, words: &str| of.push((drawer.to_string(), words.to_owned()));
        for (words, drawer) in KINDS {
            offer(drawer, words);
        }
        form.choose("drawer", DRAWER, None, &of)
    }
}

const THREAD: &str = "Thread";
const DRAWER: &str = "Drills from";

/// What shops have, to choose from.
const KINDS: [(&str, Drawer); 5] = [
    (
        "inch fractions only",
        Drawer::of(&[holebook_core::drill::Kind::Fractional]),
    ),
    ("fractions, letters, numbers", Drawer::INCH),
    ("metric by tenths", Drawer::METRIC),
    ("metric by tenths and half-tenths", Drawer::METRIC_FINE),
    ("every kind", Drawer::ALL),
];
