//! Bench tables: the core's calculators as pages, without a casting. Each is a GET form with its
//! answer below; nothing is recorded.

mod calculator;
mod cutting;
mod drill;
mod drill_table;
mod flatness;
mod identify;
mod insert;
mod pattern;
mod remedies;
mod strength;
mod thread;
mod thread_tables;
mod tool;

pub use calculator::{index, show};
pub use tool::Tool;

use crate::carrier::Request;
use crate::form::{Form, FormError, length};
use crate::form_names::Field;
use holebook_core::drill::DrillKinds;
use holebook_core::hole::limits::Limits;
use holebook_core::insert::Catalog;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{Notebook, NotebookError};
use holebook_core::thread::{Thread, ThreadError, standard_threads};
use maud::{Markup, html};
use std::sync::Arc;

/// What a calculator works with.
struct Bench {
    /// The reader's unit.
    unit: Unit,
    /// The drills on hand, if set.
    drill_kinds: Option<DrillKinds>,
    /// All inserts, with the shop's own.
    catalog: Arc<Catalog>,
    /// The limits to judge by.
    limits: Limits,
    /// The request, its query as form fields.
    asked: Request,
}

impl Bench {
    fn of(notebook: &Notebook, request: &Request) -> Result<Bench, NotebookError> {
        let settings = notebook.settings()?;
        Ok(Bench {
            unit: settings.unit,
            drill_kinds: settings.drill_kinds,
            catalog: notebook.catalog()?,
            limits: notebook.limits()?,
            asked: Request {
                form: request.query.clone(),
                ..Request::get(&request.path)
            },
        })
    }

    /// Reads the thread.
    fn thread(&self) -> Result<Thread, FormError> {
        let wrong = |message: String| FormError::of(Field::Thread, THREAD, message);
        let text = self
            .asked
            .field(Field::Thread)
            .ok_or_else(|| wrong("required; enter it like 3/8-16 or M10".to_owned()))?;
        Thread::parse(text).map_err(|error| wrong(error.to_string()))
    }

    /// Reads the thread of a bolt, which an STI hole is not.
    fn bolt_thread(&self) -> Result<Thread, FormError> {
        let wrong = |error: ThreadError| FormError::of(Field::Thread, THREAD, error);
        self.thread()?.not_sti().map_err(wrong)
    }

    /// Reads a length above 0.
    fn length(&self, field: Field, label: &str) -> Result<Option<Length>, FormError> {
        let length = length(&self.asked, field, label, self.unit)?;
        if length.is_some_and(|length| !length.is_positive()) {
            return Err(FormError::of(field, label, "must be more than 0"));
        }
        Ok(length)
    }

    /// Reads a length above 0 that is required.
    fn required_length(&self, field: Field, label: &str) -> Result<Length, FormError> {
        self.length(field, label)?
            .ok_or_else(|| FormError::of(field, label, "required; enter the measured value"))
    }

    /// Reads the drills to choose from: those chosen, else those on hand, else the usual ones.
    fn drill_kinds(&self, usual: DrillKinds) -> Result<DrillKinds, FormError> {
        let chosen = self
            .asked
            .field(Field::DrillSet)
            .map(str::parse)
            .transpose();
        let chosen = chosen.map_err(|error| FormError::of(Field::DrillSet, DRAWER, error))?;
        Ok(chosen.or(self.drill_kinds).unwrap_or(usual))
    }

    /// The field for a thread, with a list of all known ones.
    fn thread_field(&self, form: &Form<'_>) -> Markup {
        html! {
            (form.text_from(Field::Thread, THREAD, None, "3/8-16, 1/4-28 UNF, M10, 1/2 BSW", Some("threads")))
            datalist #threads { @for thread in standard_threads() { option value=(thread.designation()) {} } }
        }
    }

    /// The field for the drills to choose from.
    fn drill_kinds_field(&self, form: &Form<'_>) -> Markup {
        let own = match self.drill_kinds {
            Some(kinds) => format!("on hand: {}", kinds.name()),
            None => "the usual kinds".to_owned(),
        };
        let kinds = DRILL_SETS.map(|(label, kinds)| (kinds.to_string(), label.to_owned()));
        let options: Vec<(String, String)> =
            std::iter::once((String::new(), own)).chain(kinds).collect();
        form.select(Field::DrillSet, DRAWER, None, &options)
    }
}

const THREAD: &str = "Thread";
const DRAWER: &str = "Drills";

/// Sets of drills that shops have.
const DRILL_SETS: [(&str, DrillKinds); 5] = [
    (
        "inch fractions only",
        DrillKinds::of(&[holebook_core::drill::DrillKind::Fractional]),
    ),
    ("fractions, letters, numbers", DrillKinds::INCH),
    ("metric by tenths", DrillKinds::METRIC),
    ("metric by tenths and half-tenths", DrillKinds::METRIC_FINE),
    ("all kinds", DrillKinds::ALL),
];
