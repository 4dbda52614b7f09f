//! The steps of the chosen remedy with their numbers, and a form to record each.

use super::{HolePage, passed};
use crate::carrier::Request;
use crate::form::{Form, back, hidden};
use crate::form_names::{Field, FormName};
use crate::journal::planned_text;
use crate::labels::{author, count, date_time, number_value, sentence, sources};
use crate::pages::FormContext;
use holebook_core::hole::caution::Caution;
use holebook_core::hole::record::{CheckKind, CutStep, FitCheck, Remedy};
use holebook_core::hole::removal::{self, Removal};
use holebook_core::hole::steps::{Step, StepKey, Value, out_of_order};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{HoleId, Notebook, NotebookError, PlannedRecord};
use holebook_core::strength::TorqueUnit;
use maud::{Markup, html};

/// The section; nothing if no remedy is chosen. The next step is in its own panel above.
pub fn section(page: &HolePage<'_>) -> Markup {
    let steps = numbered(page);
    let others: Vec<(usize, &Step)> = steps
        .filter(|(_, step)| !page.is_next_step(step.key))
        .collect();
    html! {
        @if !others.is_empty() {
            section.panel aria-labelledby="steps" {
                h2 #steps { "Steps" }
                ol.steps { @for (number, step) in others { (step_line(number, step, page)) } }
            }
        }
    }
}

/// The step to do next, in full.
pub fn next_step(key: StepKey, page: &HolePage<'_>) -> Markup {
    let mut steps = numbered(page);
    let next = steps.find(|(_, step)| step.key == key);
    let quick = passed::is_next(key, page);
    let line = next.map(|(number, step)| html! { ol.steps { (step_line(number, step, page)) } });
    html! {
        @if quick { (passed::form(page)) }
        @match line {
            Some(line) if quick => details { summary { "Numbers, and other ways to check" } (line) },
            Some(line) => (line),
            None => {},
        }
    }
}

/// The steps with their numbers, from 1.
fn numbered<'a>(page: &'a HolePage<'_>) -> impl Iterator<Item = (usize, &'a Step)> {
    (1..).zip(&page.plan.steps)
}

fn step_line(number: usize, step: &Step, page: &HolePage<'_>) -> Markup {
    let next = page.is_next_step(step.key);
    let cut = step.key == StepKey::FaceCut;
    html! {
        li.done[step.done.is_some()].now[next].face-cut-step[cut] value=(number) data-number=(number) {
            h3 { (step_title(number, step, page)) @if step.done.is_some() { span.visually-hidden { ", done" } } }
            @for problem in &step.problems {
                p.problem { b { "Open: " } (sentence(&in_unit(&problem.to_string(), page.context.unit))) }
            }
            (body(step, next, page))
        }
    }
}

/// The title of a step. The next step has it as the heading of its panel, and says how far the work
/// is.
fn step_title(number: usize, step: &Step, page: &HolePage<'_>) -> Markup {
    let title = in_unit(&step.title, page.context.unit);
    html! {
        @if page.is_next_step(step.key) {
            span.visually-hidden { (title) ", " } "Step " (number) " of " (page.plan.steps.len())
        } @else { (title) }
    }
}

/// The next step in full; later ones with their numbers, earlier ones as done. The rest is folded, so
/// that the next step stands out.
fn body(step: &Step, next: bool, page: &HolePage<'_>) -> Markup {
    let open = next || was_rejected(step, page);
    let unit = page.context.unit;
    html! {
        @if step.done.is_some() {
            details open[open] {
                summary { span { (done_line(step)) span.visually-hidden { "; numbers, and record again" } } }
                (numbers(step, unit))
                (rest(step, next, page))
            }
        } @else {
            (numbers(step, unit))
            @if next { (rest(step, next, page)) } @else {
                details open[open] { summary { (fold_label(step)) } (rest(step, next, page)) }
            }
        }
    }
}

/// Names the cautions within a fold, so that people know they are there.
fn fold_label(step: &Step) -> String {
    match step.cautions.len() {
        0 => "Details and record".to_owned(),
        cautions => format!(
            "Details, {}, record",
            count(cautions, "caution", "cautions")
        ),
    }
}

fn rest(step: &Step, next: bool, page: &HolePage<'_>) -> Markup {
    let unit = page.context.unit;
    // How to get a broken piece out is the step itself, so it comes before recording that.
    let clearing = step.key == StepKey::Cut(CutStep::ClearBroken);
    // What comes before this notebook is no hazard of the step: it is said below the button.
    let (deference, hazards): (Vec<&Caution>, Vec<_>) = step
        .cautions
        .iter()
        .partition(|caution| **caution == Caution::ManualFirst);
    html! {
        @for caution in hazards {
            p.caution { b { "Caution: " } (sentence(&in_unit(&caution.to_string(), unit))) }
        }
        @if clearing { (notes(step, unit)) }
        (record(step, next, page))
        p.faint { (in_unit(&step.why, unit)) @for caution in deference { " " (caution) } }
        @if !clearing { (notes(step, unit)) }
    }
}

/// More about the step, folded.
fn notes(step: &Step, unit: Unit) -> Markup {
    let summary = match step.key {
        StepKey::Cut(CutStep::ClearBroken) => "Ways to take it out, the least harm first",
        StepKey::Cut(CutStep::MakeBushing) => "More about the bushing",
        StepKey::FinalCheck => "Where these numbers come from",
        _ => "More about cutting",
    };
    html! {
        @if !step.notes.is_empty() {
            // How to get a broken piece out is the step itself.
            details open[step.key == StepKey::Cut(CutStep::ClearBroken)] {
                summary { (summary) }
                ul.value-list { @for note in &step.notes { li { (in_unit(note, unit)) } } }
                (sources(step.sources.iter().map(|source| in_unit(source, unit))))
            }
        }
    }
}

/// Whether this step's form was rejected.
fn was_rejected(step: &Step, page: &HolePage<'_>) -> bool {
    page.context.rejected.is_some_and(|rejected| {
        rejected.form == FormName::of_step(step.key) && is_for(step.key, rejected.request)
    })
}

/// The numbers to work to.
pub fn numbers(step: &Step, unit: Unit) -> Markup {
    html! {
        @if !step.numbers.is_empty() {
            dl.facts { @for number in &step.numbers { dt { (number.name) } dd { (number_value(number, unit)) } } }
        }
    }
}

fn done_line(step: &Step) -> Markup {
    html! {
        @if let Some(done) = &step.done {
            "Done"
            @if let Some(by) = &done.by { ", " (author(by)) }
            @if let Some(at) = &done.at { ", " (date_time(at)) }
            @if let Some(reason) = &done.reason { ": " (reason) }
        }
    }
}

/// The buttons that record the step as planned, and the form for another value; for the face cut, a
/// link to its form.
fn record(step: &Step, next: bool, page: &HolePage<'_>) -> Markup {
    let Some(name) = FormName::of_step(step.key) else {
        let path = format!("/face/{}#milled", page.hole.face);
        return html! {
            p { a.button.main[next] href=(path) { "Record it on the face's page" } }
        };
    };
    let ways = ways(step, page);
    html! {
        @if ways.is_empty() { (form(step, name, page, None)) } @else {
            (one_tap(&ways, &OneTap { hole: page.hole.id, step, back: None, main: next, unit: page.context.unit }))
            details.other-value open[was_rejected(step, page)] {
                summary { "Other value" }
                (form(step, name, page, None))
            }
        }
    }
}

/// What one tap records of the step; nothing if it is done, out of order, or needs a measured value.
fn ways(step: &Step, page: &HolePage<'_>) -> Vec<PlannedRecord> {
    let face = &page.hole.face_record;
    let planned = page.plan.as_planned(face, step.key, page.context.unit);
    let planned = planned.unwrap_or_default().into_iter();
    planned.map(PlannedRecord::from).collect()
}

/// Where a step is recorded as planned.
pub struct OneTap<'a> {
    /// The hole.
    pub hole: HoleId,
    /// The step.
    pub step: &'a Step,
    /// The page that it leads back to, if that is not the hole's.
    pub back: Option<&'a str>,
    /// Whether it is the one thing to do on its page.
    pub main: bool,
    /// The reader's unit.
    pub unit: Unit,
}

/// The buttons that record a step as planned, one for each way in which it may have been done.
pub fn one_tap(ways: &[PlannedRecord], at: &OneTap<'_>) -> Markup {
    html! {
        form.one-tap method="post" action=(FormName::AsPlanned.address_of(at.hole)) {
            (hidden(Field::Step, at.step.key.word()))
            @if let Some(back) = at.back { (hidden(Field::Back, back)) }
            @for (index, way) in ways.iter().enumerate() {
                button.main[at.main && index == 0] name=(Field::Planned.name()) value=(way.key) { (way.label) }
            }
            @if let [way] = ways { p.faint { "Records: " (planned_text(&way.entry, at.unit)) } }
        }
    }
}

/// The form of one step of a hole, for a page that it leads back to; nothing if the hole has no such
/// step.
pub fn other_value(
    notebook: &Notebook,
    hole: HoleId,
    key: StepKey,
    context: FormContext<'_>,
    back: &str,
) -> Result<Markup, NotebookError> {
    super::with_page(notebook, hole, context, |page| {
        let step = page.plan.steps.iter().find(|step| step.key == key);
        let named = step.zip(FormName::of_step(key));
        Ok(html! { @if let Some((step, name)) = named { (form(step, name, &page, Some(back))) } })
    })
}

fn is_for(key: StepKey, request: &Request) -> bool {
    request.field(Field::Step) == Some(key.word())
}

fn form(step: &Step, name: FormName, page: &HolePage<'_>, leads_back: Option<&str>) -> Markup {
    let word = step.key.word();
    let rejected = page.context.rejected.filter(|_| was_rejected(step, page));
    // A form that was rejected still leads back to the page that it came from.
    let leads_back = leads_back.or_else(|| back(rejected?.request));
    let fields = StepForm {
        step,
        page,
        form: page
            .context
            .form_where(word, name, |request| is_for(step.key, request)),
    };
    html! {
        form method="post" action=(page.address(name)) {
            (hidden(Field::Step, word))
            @if let Some(back) = leads_back { (hidden(Field::Back, back)) }
            @for entry in &page.hole.record.choice.0 { (hidden(Field::Choice, entry.entry)) }
            div.fields { (fields.fields()) }
            (fields.reason())
            p { button.main[page.is_next_step(step.key)] { (fields.button()) } }
            (fields.form.questions())
        }
    }
}

/// Labels that the form and its error messages share.
pub mod label {
    /// How deep a cut went.
    pub const DEPTH: &str = "Depth reached";
    /// Diameter of a countersink at the face, or of ground-out metal.
    pub const DIAMETER: &str = "Diameter reached";
    /// How deep an insert sits.
    pub const BELOW_FACE: &str = "Top below face";
    /// Locking keys driven down.
    pub const KEYS: &str = "Keys staked";
    /// Pass or fail.
    pub const RESULT: &str = "Result";
    /// How the final check was made.
    pub const CHECKED_BY: &str = "Checked by";
    /// The torque of the final check.
    pub const TORQUE: &str = "Torque held";
    /// Thread that a bolt or gauge engaged.
    pub const ENGAGEMENT: &str = "Thread engagement";
    /// How a broken piece came out.
    pub const REMOVAL: &str = "How it came out";
    /// Why a step is done out of order.
    pub const REASON: &str = "Reason for doing it now";
}

/// The fields of one step's form.
struct StepForm<'a> {
    step: &'a Step,
    page: &'a HolePage<'a>,
    form: Form<'a>,
}

impl StepForm<'_> {
    fn fields(&self) -> Markup {
        match self.step.key {
            StepKey::Cut(step) => self.cut(step),
            StepKey::TrialFit if self.is_gauged() => html! {
                (self.result("Gauge goes in", "Does not fit"))
                (self.form.text(Field::Note, "Gauge, and remarks", None, "STI plug gauge, or a sacrificial coil"))
            },
            StepKey::TrialFit => html! {
                (self.result("Goes in freely", "Does not fit"))
                (self.form.length(Field::BelowFace, label::BELOW_FACE, None, "face as is"))
                (self.form.text(Field::Note, "Note", None, ""))
            },
            StepKey::Install => self.form.length(
                Field::BelowFace,
                label::BELOW_FACE,
                None,
                "measured, face as is",
            ),
            StepKey::StakeKeys => {
                self.form
                    .text(Field::KeysStaked, label::KEYS, self.keys().as_deref(), "")
            }
            StepKey::Check(check) => html! {
                (self.result("Pass", "Fail"))
                @if check != CheckKind::RunsInByHand {
                    (self.form.length(Field::CheckReading, check_reading(check), None, "if measured"))
                } @else if self.remedy().is_some_and(Remedy::may_be_locking) {
                    (self.form.checkbox(Field::Locking, "Locking insert, run in with a wrench", false))
                }
                (self.form.text(Field::MeasuredWith, "Checked with", None, ""))
            },
            StepKey::FinalCheck => html! {
                (self.result("Pass", "Fail"))
                (self.form.text(Field::CheckedBy, label::CHECKED_BY, None, "thread plug gauge, or new bolt to its torque"))
                (self.form.text(Field::Torque, &self.torque_label(), None, "if checked by torque"))
                (self.form.length(Field::Engagement, label::ENGAGEMENT, None, "if measured"))
            },
            StepKey::FaceCut => html! {},
        }
    }

    /// Names the unit of a torque that is typed without one.
    fn torque_label(&self) -> String {
        let unit = match self.page.context.unit {
            Unit::Inch => TorqueUnit::FootPound,
            Unit::Millimeter => TorqueUnit::NewtonMeter,
        };
        format!("{} ({})", label::TORQUE, unit.symbol())
    }

    fn remedy(&self) -> Option<Remedy> {
        let chosen = self.page.plan.chosen();
        chosen.map(|assessment| assessment.remedy)
    }

    fn is_gauged(&self) -> bool {
        self.remedy().and_then(Remedy::fit_check) == Some(FitCheck::Gauge)
    }

    fn cut(&self, step: CutStep) -> Markup {
        if step == CutStep::BroachSlots {
            return self.result("Broached", "Not needed: 150 Brinell or softer");
        }
        let has_depth = !matches!(
            step,
            CutStep::ClearBroken | CutStep::Plug | CutStep::Countersink | CutStep::MakeBushing
        );
        let has_diameter = matches!(step, CutStep::RelieveHard | CutStep::Countersink);
        html! {
            @if has_depth { (self.form.length(Field::Depth, label::DEPTH, None, "from the face as is")) }
            @if has_diameter { (self.form.length(Field::Diameter, label::DIAMETER, None, "measured")) }
            @match step {
                CutStep::ClearBroken => (self.form.select(Field::Removal, label::REMOVAL, None, &self.removals())),
                CutStep::MakeBushing => (self.form.text(Field::Tool, "Material", None, "")),
                _ => (self.form.text(Field::Tool, "Tool", self.tool(step).as_deref(), "")),
            }
        }
    }

    /// The ways in which the broken piece may have come out: those that suit it first.
    fn removals(&self) -> Vec<(String, String)> {
        let situation = self.page.plan.situation.as_ref().ok();
        let piece = situation.and_then(|situation| situation.damage.broken_tool.as_ref());
        let mut all = piece.map(removal::ways).unwrap_or_default();
        for way in Removal::ALL {
            if !all.contains(&way) {
                all.push(way);
            }
        }
        let named = all
            .into_iter()
            .map(|way| (way.name().to_owned(), way.name().to_owned()));
        let none = (String::new(), "pick one".to_owned());
        std::iter::once(none).chain(named).collect()
    }

    /// The planned tool, to be kept or changed.
    fn tool(&self, step: CutStep) -> Option<String> {
        let named = self
            .step
            .numbers
            .iter()
            .find_map(|number| match &number.value {
                Value::Drill(drill) => Some(format!("drill {drill}")),
                Value::Text(text) if step == CutStep::Tap => Some(text.clone()),
                _ => None,
            });
        named.filter(|_| matches!(step, CutStep::Drill | CutStep::Tap | CutStep::DrillPlug))
    }

    fn keys(&self) -> Option<String> {
        let count = self
            .step
            .numbers
            .iter()
            .find_map(|number| match number.value {
                Value::Count(count) => Some(count),
                _ => None,
            });
        count.map(|count| count.to_string())
    }

    fn result(&self, yes: &str, no: &str) -> Markup {
        let options = [("yes", yes), ("no", no)];
        self.form.radios(Field::Result, label::RESULT, &options)
    }

    /// A field for the reason if the step is out of the planned order.
    fn reason(&self) -> Markup {
        let page = self.page;
        let work = page.plan.work(&page.hole.face_record);
        let why = work.and_then(|work| out_of_order(&work, self.step.key));
        html! {
            @if let Some(why) = why.filter(|_| self.step.done.is_none()) {
                // If the reason was rejected, the same sentence is at its field.
                @if !self.form.is_wrong(Field::Reason) {
                    p { b { "Out of order. " } (sentence(&in_unit(&why, page.context.unit))) }
                }
                @if !self.form.asks_for_reason() {
                    (self.form.text(Field::Reason, label::REASON, None, "kept in the log"))
                }
            }
        }
    }

    fn button(&self) -> &'static str {
        match self.step.key {
            StepKey::Cut(CutStep::ClearBroken) => "Record removal",
            StepKey::Cut(CutStep::BroachSlots) => "Record key slots",
            StepKey::Cut(CutStep::MakeBushing) => "Record bushing",
            StepKey::Cut(_) => "Record cut",
            StepKey::TrialFit if self.is_gauged() => "Record gauge check",
            StepKey::TrialFit => "Record trial fit",
            StepKey::Install => "Record as installed",
            StepKey::StakeKeys => "Record keys",
            StepKey::Check(_) => "Record check",
            StepKey::FinalCheck => "Record final check",
            StepKey::FaceCut => "",
        }
    }
}

/// Label of a check's reading.
pub const fn check_reading(check: CheckKind) -> &'static str {
    match check {
        CheckKind::StakeCheck => "Below straightedge by",
        CheckKind::Square => "Out of square by",
        CheckKind::RunsInByHand => "Reading",
    }
}
