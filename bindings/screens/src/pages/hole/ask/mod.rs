//! The question that a hole asks next, one at a time: a number with a keypad, a choice, or what is
//! wrong with it. Each card sends one of the page's usual forms.

mod center;
mod clock;
mod figure;
mod found;
pub mod keypad;

pub use center::{center_of, retaken, taken_again};
pub use found::{rows_but_depths, trace_link};
pub use keypad::SCRIPT;

use super::HolePage;
use super::readings::reading_value;
use super::wanted_thread::{GRADE, grade_options};
use crate::carrier::Request;
use crate::form::{Form, hidden, replaced_entries};
use crate::form_names::{Field, FormName};
use crate::labels::{quantity, sentence};
use holebook_core::hole::face_setup::MeasuringTool;
use holebook_core::hole::next_question::Topic;
use holebook_core::hole::record::{Quantity, Reading, WantedThread};
use holebook_core::length::{Length, Unit, in_unit};
use holebook_core::notebook::{AskedQuestion, HoleEntry, LikelyAnswer};
use keypad::{Keys, keypad};
use maud::{Markup, html};
use std::collections::BTreeSet;

/// The query parameter that names skipped topics, with commas between them.
pub const SKIP: &str = "skip";

/// The topics that the person skipped, as an address or a form names them.
pub fn skipped(request: &Request) -> BTreeSet<Topic> {
    let words = request.param(SKIP).or_else(|| request.field(Field::Skip));
    let words = words.unwrap_or_default().split(',');
    words.filter_map(Topic::from_word).collect()
}

/// Names topics in an address or a form.
pub fn skip_words(topics: &BTreeSet<Topic>) -> String {
    let words: Vec<&str> = topics.iter().map(|topic| topic.word()).collect();
    words.join(",")
}

/// The heading of the question.
pub fn title(asked: &AskedQuestion, page: &HolePage<'_>) -> String {
    let topic = asked.question.topic;
    let of_damage = found::title(page).filter(|_| topic == Topic::Damage);
    let closer = match asked.question.measure_to {
        Some(_) if of_damage.is_none() => " more closely",
        _ => "",
    };
    of_damage.map_or_else(|| format!("{topic}{closer}"), str::to_owned)
}

/// The card of the question, below its heading.
pub fn card(asked: &AskedQuestion, page: &HolePage<'_>) -> Markup {
    let card = Card { asked, page };
    html! {
        p.why { (sentence(&in_unit(&asked.question.because, page.context.unit))) }
        @match asked.question.topic {
            Topic::Measure(what) => (card.measure(what)),
            Topic::Thread => (card.thread()),
            Topic::Through => (card.through()),
            Topic::BoltGrade => (card.grade()),
            Topic::FaceCut => (card.face_cut()),
            Topic::Damage => (found::card(asked, page)),
        }
        (card.skip())
    }
}

/// The value that marks a card's form, so that it is told from the long form of the same name.
pub const CARD: &str = "ask";

struct Card<'a> {
    asked: &'a AskedQuestion,
    page: &'a HolePage<'a>,
}

impl<'a> Card<'a> {
    fn form(&self, name: FormName) -> Form<'a> {
        self.page.card_form(CARD, name)
    }

    /// Hidden fields that every card sends.
    fn hidden(&self) -> Markup {
        html! { (hidden(Field::Card, CARD)) (skip_field(self.page)) }
    }

    fn measure(&self, what: Quantity) -> Markup {
        let form = self.form(FormName::Readings);
        let unit = self.page.context.unit;
        let closer = self.asked.question.measure_to.is_some();
        html! {
            (figure::figure(self.asked.question.topic))
            (self.at_least(what))
            form.ask method="post" action=(self.page.address(FormName::Readings)) {
                (self.hidden())
                @if closer { (replaced_entries(self.asked.replaces.iter().copied())) }
                (form.length(Field::Reading(what), quantity(what), None, ""))
                (tools(&self.asked.tools, form, unit))
                @if self.asked.closer_tool { p.faint { "A coarser tool may not decide, and would be asked about again." } }
                (keypad(Keys::Length, unit))
                p { button.main { "Save" } }
                (form.questions())
            }
            @for answer in &self.asked.likely { (self.likely(answer)) }
        }
    }

    /// A button that answers with a distance that is always enough: seen at a glance, not measured.
    fn at_least(&self, what: Quantity) -> Markup {
        let unit = self.page.context.unit;
        let Some(enough) = self
            .asked
            .question
            .enough
            .map(|least| round_up(least, unit))
        else {
            return html! {};
        };
        html! {
            form.ask.quick method="post" action=(self.page.address(FormName::Readings)) {
                (self.hidden())
                (hidden(Field::Reading(what), enough.exact()))
                (hidden(Field::Instrument(what), Reading::AT_LEAST))
                button { (enough.show(unit)) " or more" }
            }
        }
    }

    fn thread(&self) -> Markup {
        let form = self.form(FormName::WantedThread);
        html! {
            @for answer in &self.asked.likely { (self.likely(answer)) }
            form.ask method="post" action=(self.page.address(FormName::WantedThread)) {
                (self.hidden())
                (self.page.replaces(&self.page.hole.record.wanted.0))
                (form.text(Field::Thread, "Bolt thread", None, "like 3/8-16 or M10"))
                (keypad(Keys::Thread, self.page.context.unit))
                p { button.main { "Save" } }
                (form.questions())
            }
        }
    }

    fn through(&self) -> Markup {
        html! {
            (figure::figure(Topic::Through))
            form.ask.quick method="post" action=(self.page.address(FormName::WantedThread)) {
                (self.hidden())
                (self.wanted_fields(&[Field::Through]))
                @for (value, label) in [("blind", "Blind"), ("through", "Through")] {
                    button name=(Field::Through.name()) value=(value) { (label) }
                }
            }
        }
    }

    fn grade(&self) -> Markup {
        let form = self.form(FormName::WantedThread);
        html! {
            form.ask method="post" action=(self.page.address(FormName::WantedThread)) {
                (self.hidden())
                (self.wanted_fields(&[Field::Bolt]))
                (form.select(Field::Bolt, GRADE, None, &grade_options()))
                p { button.main { "Save" } }
            }
            @for answer in &self.asked.likely { (self.likely(answer)) }
        }
    }

    fn face_cut(&self) -> Markup {
        let form = self.form(FormName::PlanCutHere);
        let unit = self.page.context.unit;
        html! {
            (figure::figure(Topic::FaceCut))
            form.ask method="post" action=(self.page.address(FormName::PlanCutHere)) {
                (self.hidden())
                (form.length(Field::PlannedCut, "Stock to remove", None, "for the whole face"))
                (keypad(Keys::Length, unit))
                p { button.main { "Save" } }
                (form.questions())
            }
            form.ask.quick method="post" action=(self.page.address(FormName::PlanCutHere)) {
                (self.hidden())
                (hidden(Field::PlannedCut, 0))
                button { "The face stays as is" }
            }
        }
    }

    /// The wanted thread as it is, without the fields that the person answers.
    fn wanted_fields(&self, without: &[Field]) -> Markup {
        let wanted = self.page.plan.record.wanted.agreed();
        html! {
            (self.page.replaces(&self.page.hole.record.wanted.0))
            @if let Some(wanted) = wanted { (wanted_fields(wanted, without)) }
        }
    }

    /// A button that answers as another hole did.
    fn likely(&self, answer: &LikelyAnswer) -> Markup {
        let unit = self.page.context.unit;
        let (form, value, fields) = match &answer.entry {
            HoleEntry::Reading(reading) => {
                let what = reading.quantity;
                let fields = html! {
                    (hidden(Field::Reading(what), reading.value.exact()))
                    @if let Some(tolerance) = reading.tolerance { (hidden(Field::Tolerance(what), tolerance.exact())) }
                    @if let Some(instrument) = &reading.instrument { (hidden(Field::Instrument(what), instrument)) }
                };
                (FormName::Readings, reading_value(reading, unit), fields)
            }
            HoleEntry::WantedThread(wanted) => {
                let fields = html! {
                    (self.page.replaces(&self.page.hole.record.wanted.0))
                    (wanted_fields(wanted, &[]))
                };
                (FormName::WantedThread, self.wanted_value(wanted), fields)
            }
            _ => return html! {},
        };
        html! {
            form.ask.quick method="post" action=(self.page.address(form)) {
                (self.hidden())
                (fields)
                button { (value) ", as hole " (answer.number) }
            }
        }
    }

    fn wanted_value(&self, wanted: &WantedThread) -> String {
        match self.asked.question.topic {
            Topic::BoltGrade => wanted
                .bolt
                .map_or_else(String::new, |grade| grade.to_string()),
            _ => wanted.thread.designation(),
        }
    }

    /// A link to the page without this question.
    fn skip(&self) -> Markup {
        let mut skipped = self.page.skipped.clone();
        skipped.insert(self.asked.question.topic);
        let label = match self.asked.question.topic {
            Topic::Through | Topic::BoltGrade => "Don't know",
            _ => "Skip for now",
        };
        html! {
            p.skip { a.button href=(format!("/hole/{}?{SKIP}={}#next", self.page.hole.id, skip_words(&skipped))) { (label) } }
        }
    }
}

/// A length rounded up to what can be judged at a glance: 1/8 in or 5 mm.
fn round_up(length: Length, unit: Unit) -> Length {
    let step = match unit {
        Unit::Inch => 3_175_000,
        Unit::Millimeter => 5_000_000,
    };
    Length::from_nm((length.nm() + step - 1).div_euclid(step) * step)
}

/// A hidden field with the topics that the person skipped.
pub fn skip_field(page: &HolePage<'_>) -> Markup {
    html! { @if !page.skipped.is_empty() { (hidden(Field::Skip, skip_words(&page.skipped))) } }
}

/// A wanted thread as hidden fields.
fn wanted_fields(wanted: &WantedThread, without: &[Field]) -> Markup {
    let through = match wanted.through {
        Some(true) => "through",
        Some(false) => "blind",
        None => "",
    };
    html! {
        (hidden(Field::Thread, wanted.thread.designation()))
        @if !without.contains(&Field::Bolt) && let Some(bolt) = wanted.bolt { (hidden(Field::Bolt, bolt)) }
        @if !without.contains(&Field::Through) { (hidden(Field::Through, through)) }
        @if wanted.pressure { (hidden(Field::Pressure, "yes")) }
    }
}

/// The tools to pick from, the likely one first and picked.
pub fn tools(tools: &[MeasuringTool], form: Form<'_>, unit: Unit) -> Markup {
    let typed = form.typed_value(Field::PickedTool);
    html! {
        fieldset.tools {
            legend { "Measured with" }
            @for (index, tool) in tools.iter().take(SHOWN_TOOLS).enumerate() {
                @let value = tool_value(tool);
                label.choice {
                    input type="radio" name=(Field::PickedTool.name()) value=(value)
                        checked[typed.map_or(index == 0, |typed| typed == value)];
                    span { (tool.name) @if let Some(tolerance) = tool.tolerance { " ±" (tolerance.show(unit)) } }
                }
            }
        }
    }
}

/// How many tools a card offers; the long form takes any.
const SHOWN_TOOLS: usize = 4;

/// A tool as the value of its field: its name, a bar, and its tolerance.
fn tool_value(tool: &MeasuringTool) -> String {
    let tolerance = tool.tolerance.map(Length::exact).unwrap_or_default();
    format!("{}|{tolerance}", tool.name)
}

/// Reads the tool that was picked: its name and tolerance; `None` if the form has none.
pub fn read_tool(request: &Request) -> Option<MeasuringTool> {
    let (name, tolerance) = request.field(Field::PickedTool)?.rsplit_once('|')?;
    Some(MeasuringTool {
        name: name.trim().to_owned(),
        tolerance: Length::parse(tolerance, None).ok(),
    })
}
